//! Every file under `fixtures/ugly/` gives the right rows, the right question, the right place of what is wrong, or a
//! clear refusal. What is expected of each stands in `fixtures/ugly/EXPECTED.toml`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use lanewright_model::import::{BAD_CELLS_LISTED_MAX, Options, Preview, RowPreview, read, write};
use lanewright_model::words::{Message, Units, Words};
use lanewright_model::{Age, Sex, StrideObservation};
use serde::Deserialize;

/// Fewest files that must be there.
const FILES_MIN: usize = 45;
/// Most rounds of answers that any file needs.
const ROUNDS_MAX: usize = 10;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    file: Vec<Expected>,
}

#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Expected {
    name: String,
    /// What is ugly about it.
    why: String,
    /// Id of the sentence with which the file as a whole is refused.
    refused: Option<String>,
    /// Encoding that is used, where it is not plain letters.
    encoding: Option<String>,
    /// `line column id` of every question.
    questions: Vec<String>,
    /// `line column id` of every wrong cell, at most twelve, then `… N in all`.
    bad: Vec<String>,
    /// Ids of the warnings.
    warnings: Vec<String>,
    /// What the children are, when nothing is wrong; after the first answer to every question, when there are some.
    rows: Vec<String>,
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/ugly")
}

fn files() -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder())
        .expect("the folder of ugly files")
        .map(|entry| entry.expect("a readable entry"))
        .map(|entry| (entry.file_name().into_string().expect("a plain name"), entry.path()))
        .filter(|(name, _)| name != "EXPECTED.toml" && !name.starts_with('.'))
        .map(|(name, path)| (name, fs::read(path).expect("a readable file")))
        .collect()
}

fn expected() -> BTreeMap<String, Expected> {
    let text = fs::read_to_string(folder().join("EXPECTED.toml")).expect("the table of expectations");
    let table: Table = toml::from_str(&text).expect("a valid table");
    let count = table.file.len();
    let by_name: BTreeMap<String, Expected> =
        table.file.into_iter().map(|file| (file.name.clone(), file)).collect();
    assert_eq!(by_name.len(), count, "a file stands twice in the table");
    by_name
}

/// Answers every question with its first answer until none is left.
fn answer(bytes: &[u8], preview: Preview) -> Preview {
    let mut options = Options::default();
    let mut preview = preview;
    for _ in 0..ROUNDS_MAX {
        if preview.questions.is_empty() {
            return preview;
        }
        for question in &preview.questions {
            let first = question.answers.first().expect("every question has answers");
            first.choices.iter().for_each(|choice| options.choose(choice));
        }
        preview = read(bytes, &options).expect("answers do not break a file");
    }
    panic!("questions stay open whatever is answered: {:?}", preview.questions)
}

/// `line label; sex; age; stature; leg; step`, without what is unknown.
fn summary(row: &RowPreview) -> String {
    let runner = &row.runner;
    let mut parts = vec![format!("{} {}", row.line, runner.label)];
    if runner.id.0 != runner.label {
        parts.push(format!("id {}", runner.id.0));
    }
    parts.extend(runner.sex.map(|sex| if sex == Sex::Female { "f" } else { "m" }.to_owned()));
    parts.extend(runner.age.map(|age| match age {
        Age::Born(born) => format!("born {born}"),
        Age::Years { age_y, on: None } => format!("{age_y:.2} y"),
        Age::Years { age_y, on: Some(on) } => format!("{age_y:.2} y on {on}"),
    }));
    parts.extend(runner.stature_cm.map(|stature_cm| format!("{stature_cm:.2} cm")));
    parts.extend(runner.stature_date.map(|day| format!("on {day}")));
    parts.extend(runner.leg_length_cm.map(|leg_length_cm| format!("leg {leg_length_cm} cm")));
    parts.extend(runner.steps.iter().map(|step| match step {
        StrideObservation::StepLength { step_length_m } => format!("step {step_length_m} m"),
        other => panic!("a class list carries no {other:?}"),
    }));
    parts.join("; ")
}

fn shortened(mut list: Vec<String>, shown: usize) -> Vec<String> {
    let count = list.len();
    if count > shown {
        list.truncate(shown);
        list.push(format!("… {count} in all"));
    }
    list
}

fn found(name: &str, bytes: &[u8], why: &str) -> Expected {
    let mut found = Expected { name: name.to_owned(), why: why.to_owned(), ..Expected::default() };
    let preview = match read(bytes, &Options::default()) {
        Ok(preview) => preview,
        Err(error) => {
            found.refused = Some(error.message().id);
            return found;
        }
    };
    found.encoding = Some(preview.encoding.name.to_owned()).filter(|_| !bytes.is_ascii());
    let place = |line: u64, column: &str, message: &Message| format!("{line} {column} {}", message.id);
    found.questions =
        preview.questions.iter().map(|asked| place(asked.line, &asked.column, &asked.message)).collect();
    found.warnings = preview.warnings.iter().map(|warning| warning.id.clone()).collect();
    let mut bad: Vec<String> =
        preview.bad.iter().map(|cell| place(cell.line, &cell.column, &cell.remedy)).collect();
    bad.extend((bad.len()..preview.bad_count).map(|_| String::new()));
    found.bad = shortened(bad, 12);
    let preview = answer(bytes, preview);
    if preview.is_acceptable() {
        found.rows = preview.rows.iter().map(summary).collect();
    }
    found
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// The block that would stand in the table.
fn block(found: &Expected) -> String {
    let mut text = format!("[[file]]\nname = {}\nwhy = {}\n", quoted(&found.name), quoted(&found.why));
    for (key, value) in [("refused", &found.refused), ("encoding", &found.encoding)] {
        if let Some(value) = value {
            text += &format!("{key} = {}\n", quoted(value));
        }
    }
    let lists = [
        ("questions", &found.questions),
        ("bad", &found.bad),
        ("warnings", &found.warnings),
        ("rows", &found.rows),
    ];
    for (key, list) in lists.into_iter().filter(|(_, list)| !list.is_empty()) {
        let lines: Vec<String> = list.iter().map(|entry| format!("  {},\n", quoted(entry))).collect();
        text += &format!("{key} = [\n{}]\n", lines.concat());
    }
    text
}

#[test]
fn ugly_files_give_the_right_rows_or_a_clear_refusal() {
    let expected = expected();
    let files = files();
    assert!(files.len() >= FILES_MIN, "{} files", files.len());
    let listed: BTreeSet<&String> = expected.keys().collect();
    let there: BTreeSet<&String> = files.keys().collect();
    let mut wrong: Vec<String> = Vec::new();
    for name in listed.difference(&there) {
        wrong.push(format!("# {name} is in the table and not in the folder"));
    }
    for (name, bytes) in &files {
        let wanted = expected.get(name).cloned().unwrap_or_default();
        let found = found(name, bytes, &wanted.why);
        if found != wanted {
            wrong.push(format!("# not as expected:\n{}", block(&found)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for file in expected.values() {
        assert!(!file.why.is_empty(), "{}: what is ugly about it?", file.name);
    }
}

#[test]
fn nothing_is_taken_from_a_file_with_a_wrong_cell_or_an_open_question() {
    for (name, bytes) in files() {
        let Ok(preview) = read(&bytes, &Options::default()) else { continue };
        let rows = preview.rows.len();
        let sound = preview.bad_count == 0 && preview.questions.is_empty();
        match preview.accept() {
            Ok(runners) => assert!(sound && runners.len() == rows, "{name}"),
            Err(_) => assert!(!sound, "{name}"),
        }
    }
}

#[test]
fn what_was_accepted_survives_our_own_form() {
    for (name, bytes) in files() {
        let Ok(preview) = read(&bytes, &Options::default()) else { continue };
        let Ok(runners) = answer(&bytes, preview).accept() else { continue };
        let again = read(write(&runners).as_bytes(), &Options::default()).expect("our own form");
        assert_eq!(again.accept().as_ref(), Ok(&runners), "{name}");
    }
}

#[test]
fn every_sentence_of_every_preview_is_said_in_full() {
    let words = Words::english(Units::Metric);
    let feet = Words::english(Units::FeetInches);
    let say = |name: &str, message: &Message| {
        for words in [&words, &feet] {
            let said = words.say(message);
            assert!(words.has(&message.id), "{name}: no words for {}", message.id);
            // An argument that is missing, or an inner message without words, would show like this.
            assert!(!said.contains("{$") && !said.contains("import-"), "{name}: {said}");
        }
    };
    for (name, bytes) in files() {
        match read(&bytes, &Options::default()) {
            Err(error) => say(&name, &error.message()),
            Ok(preview) => {
                preview.understood().iter().chain(&preview.warnings).for_each(|message| say(&name, message));
                preview.header.iter().for_each(|column| say(&name, &column.message()));
                preview.bad.iter().for_each(|cell| say(&name, &cell.message()));
                preview.rows.iter().flat_map(|row| &row.notes).for_each(|note| say(&name, note));
                for question in &preview.questions {
                    say(&name, &question.message);
                    say(&name, &question.column_name());
                    question.answers.iter().for_each(|answer| say(&name, &answer.message));
                }
            }
        }
    }
}

#[test]
fn every_message_id_in_the_code_has_words() {
    let words = Words::english(Units::Metric);
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/import");
    let mut ids = 0;
    for entry in fs::read_dir(folder).expect("the module") {
        let text = fs::read_to_string(entry.expect("an entry").path()).expect("a source file");
        for id in
            text.split('"').filter(|part| part.starts_with("import-") && !part.contains(char::is_whitespace))
        {
            ids += 1;
            assert!(words.has(id), "no words for {id}");
        }
    }
    assert!(ids > 100, "only {ids} ids were found");
}

#[test]
fn wrong_cells_are_all_counted_and_listed_up_to_a_limit() {
    let bytes = fs::read(folder().join("wrong-in-every-row.csv")).expect("the file");
    let preview = read(&bytes, &Options::default()).expect("a preview");
    assert_eq!((preview.bad.len(), preview.bad_count), (BAD_CELLS_LISTED_MAX, 250));
}
