//! One word, one meaning: what `docs/glossary.md` says of it is what every sentence means by it.

use std::fs;
use std::path::PathBuf;

/// Messages in which the word stands for a run in which nothing fell, or for a floor.
const MAY: [&str; 2] = ["trackside-", "weather-check-floor"];

/// Ids of messages that hold one of these words.
fn saying(language: &str, wanted: &[&str]) -> Vec<String> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("words").join(language);
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("words of that language") {
        let text = fs::read_to_string(entry.expect("an entry").path()).expect("a text");
        let mut id = String::new();
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            let (start, said) = match line.split_once(" =") {
                Some((start, said)) if !line.starts_with(' ') => (start, said),
                _ => ("", line),
            };
            if !start.is_empty() {
                id = start.to_owned();
            }
            let said = said.to_lowercase();
            // What stands in braces is a name and no word.
            let mut parts = said.split('{');
            let first = parts.next().unwrap_or_default().to_owned();
            let plain =
                parts.fold(first, |text, part| text + part.split_once('}').map_or("", |(_, rest)| rest));
            let mut words = plain.split(|sign: char| !sign.is_alphabetic());
            if words.any(|word| wanted.contains(&word)) {
                found.push(id.clone());
            }
        }
    }
    found
}

#[test]
fn clean_is_said_of_a_run_in_which_nothing_fell_and_of_no_share_or_bar() {
    for (language, words) in [("en", ["clean", "cleaner"]), ("de", ["sauber", "sauberer"])] {
        let said = saying(language, &words);
        assert!(said.iter().any(|id| id == "trackside-clean"), "{language}");
        for id in said {
            assert!(MAY.iter().any(|may| id.starts_with(may)), "{language}: {id}");
        }
    }
}
