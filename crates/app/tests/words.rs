//! Every text of the app has words, and every word of the app is used.

use std::collections::BTreeSet;
use std::path::Path;

use lanewright_model::words::{Units, Words};

/// Texts of all source files below a folder.
fn sources(folder: &Path, texts: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, texts);
        } else {
            texts.push(std::fs::read_to_string(path).unwrap());
        }
    }
}

/// Ids of the app that stand between quotation marks in its sources.
fn ids_said() -> BTreeSet<String> {
    let mut texts = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut texts);
    let is_id = |text: &&str| {
        text.starts_with("app-")
            && !text.ends_with('-')
            && text.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-')
    };
    texts.iter().flat_map(|text| text.split('"')).filter(is_id).map(str::to_owned).collect()
}

#[test]
fn every_text_of_the_app_has_words() {
    let words = Words::english(Units::Metric);
    let said = ids_said();
    assert!(said.len() > 200, "the sources were not found");
    let missing: Vec<&String> = said.iter().filter(|id| !words.has(id)).collect();
    assert!(missing.is_empty(), "without words: {missing:?}");
}

#[test]
fn every_word_of_the_app_is_said() {
    let said = ids_said();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../model/words/en/app.ftl");
    let text = std::fs::read_to_string(file).unwrap();
    let unused: Vec<&str> = text
        .lines()
        .filter_map(|line| line.split_once(" = ").map(|(id, _)| id))
        .filter(|id| id.starts_with("app-") && !said.contains(*id))
        .collect();
    assert!(unused.is_empty(), "nobody says: {unused:?}");
}
