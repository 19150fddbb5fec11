//! Message ids in code and the words in the Fluent files match: no id without words, no words without a use.
//!
//! An id is *said* where it stands as a literal right behind one of [`HEADS`]. It is *used* where it stands as a whole
//! literal anywhere in what ships, where a `format!` pattern such as `"drill-{}"` covers it, where a data file of the
//! model or another message names it.

use std::collections::{BTreeMap, BTreeSet};

use super::{File, Problem};
use crate::source::Source;

/// The code, without spaces, behind which a literal is a message id.
const HEADS: &[&str] = &["Message::new(", "words.get(", "words.has(", "app.get(", "t("];
/// Where the words stand.
const FOLDER: &str = "crates/model/words/";
/// The language that every id must have.
const FIRST: &str = "crates/model/words/en/";

/// Returns ids without words, words without a use, ids with two words, languages that lack an id.
pub fn rule(files: &[File]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut words: BTreeMap<String, String> = BTreeMap::new();
    let mut used: BTreeSet<String> = BTreeSet::new();
    let mut by_language: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for file in files.iter().filter(|file| file.path.starts_with(FOLDER) && file.path.ends_with(".ftl")) {
        let language = file.path[FOLDER.len()..].split('/').next().unwrap_or_default().to_owned();
        for (index, line) in file.text.lines().enumerate() {
            used.extend(references(line));
            let Some((id, _)) =
                line.split_once('=').filter(|_| line.starts_with(|sign: char| sign.is_alphabetic()))
            else {
                continue;
            };
            let (id, place) = (id.trim().to_owned(), format!("{}:{}", file.path, index + 1));
            if !by_language.entry(language.clone()).or_default().insert(id.clone()) {
                problems.push(Problem::new(place, format!("{id} has words already")));
            } else if file.path.starts_with(FIRST) {
                words.insert(id, place);
            }
        }
    }
    for (language, ids) in &by_language {
        for id in words.keys().filter(|id| !ids.contains(*id)) {
            problems.push(Problem::new(
                format!("{FOLDER}{language}"),
                format!("{id} has no words in {language}"),
            ));
        }
        for id in ids.iter().filter(|id| !words.contains_key(*id)) {
            problems.push(Problem::new(
                format!("{FOLDER}{language}"),
                format!("{id} has words in {language} and none in {FIRST}"),
            ));
        }
    }

    for file in files.iter().filter(|file| file.path.starts_with("crates/")) {
        if file.is_product_rust() {
            for literal in Source::read(&file.text).product_literals() {
                let formatted =
                    literal.before.strip_suffix("format!(").map(|rest| rest.trim_end_matches('&'));
                let said = ends_with_head(&literal.before) || formatted.is_some_and(ends_with_head);
                let covered: Vec<&String> = words.keys().filter(|id| covers(&literal.text, id)).collect();
                if said && covered.is_empty() {
                    let what = format!("no words for {} in {FIRST}", literal.text);
                    problems.push(Problem::at(&file.path, literal.line, what));
                }
                used.extend(covered.into_iter().cloned());
            }
        } else if file.path.starts_with("crates/model/data/") {
            used.extend(file.text.split('"').skip(1).step_by(2).map(str::to_owned));
        }
    }
    for (id, place) in words.iter().filter(|(id, _)| !used.contains(*id)) {
        problems.push(Problem::new(place, format!("nothing says {id}")));
    }
    problems
}

/// Returns whether the code ends with one of the heads, as a whole word.
fn ends_with_head(code: &str) -> bool {
    HEADS.iter().any(|head| {
        let before = code.strip_suffix(head).map(|rest| rest.chars().next_back());
        before.is_some_and(|before| !before.is_some_and(|sign| sign.is_alphanumeric() || sign == '_'))
    })
}

/// Returns the messages that a line of Fluent refers to: `{ other-id }`.
fn references(line: &str) -> Vec<String> {
    line.split('{')
        .skip(1)
        .filter_map(|part| part.split('}').next())
        .map(|inner| inner.trim().to_owned())
        .filter(|inner| inner.starts_with(|sign: char| sign.is_ascii_lowercase()) && is_id(inner))
        .collect()
}

fn is_id(text: &str) -> bool {
    text.chars().all(|sign| sign.is_ascii_alphanumeric() || sign == '-')
}

/// Returns whether a literal means the id: the same text, or a pattern whose fixed parts are in it.
fn covers(literal: &str, id: &str) -> bool {
    if !literal.contains('{') {
        return literal == id;
    }
    // "drill-{}" covers; "{}" and "{}: {}" mean nothing in particular.
    let mut parts = Vec::new();
    let mut rest = literal;
    while let Some((fixed, more)) = rest.split_once('{') {
        parts.push(fixed);
        match more.split_once('}') {
            Some((_, after)) => rest = after,
            None => return false,
        }
    }
    parts.push(rest);
    let fixed: usize = parts.iter().map(|part| part.len()).sum();
    if fixed < 3 || !parts.iter().all(|part| is_id(part)) {
        return false;
    }
    let (first, last) = (parts[0], parts[parts.len() - 1]);
    let Some(mut inner) = id.strip_prefix(first).and_then(|inner| inner.strip_suffix(last)) else {
        return false;
    };
    for part in &parts[1..parts.len() - 1] {
        match inner.split_once(*part) {
            Some((_, after)) => inner = after,
            None => return false,
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::super::file;
    use super::*;

    fn problems(words: &str, code: &str) -> Vec<String> {
        let files = [file("crates/model/words/en/app.ftl", words), file("crates/app/src/a.rs", code)];
        rule(&files).into_iter().map(|problem| problem.what).collect()
    }

    #[test]
    fn matching_ids_pass() {
        let words = "# words\nsave = Save\ndrill-run = Run { gap-unit }\ngap-unit = m\n    .attribute = x\n";
        let code = "t(\"save\");\nMessage::new(&format!(\"drill-{}\", id));\nformat!(\"{} m\", a);\n";
        assert_eq!(problems(words, code), Vec::<String>::new());
    }

    #[test]
    fn an_id_without_words_is_found() {
        let code = "t(\"save\");\nMessage::new(\n    \"undo\",\n);\nwords.get(&format!(\"fault-{}\", id));\n";
        assert_eq!(problems("save = Save\n", code).len(), 2);
    }

    #[test]
    fn words_that_nothing_says_are_found_also_when_a_test_says_them() {
        let code = "#[cfg(test)]\nmod tests {\n    fn a() { t(\"save\"); }\n}\n";
        assert_eq!(problems("save = Save\n", code), ["nothing says save"]);
    }

    #[test]
    fn two_words_for_one_id_are_found() {
        assert_eq!(problems("save = Save\nsave = Keep\n", "t(\"save\");\n"), ["save has words already"]);
    }

    #[test]
    fn a_language_that_lacks_an_id_is_found() {
        let files = [
            file("crates/model/words/en/app.ftl", "save = Save\nundo = Undo\n"),
            file("crates/model/words/xx/app.ftl", "save = Evas\n"),
            file("crates/app/src/a.rs", "t(\"save\"); t(\"undo\");\n"),
        ];
        assert_eq!(rule(&files).len(), 1);
    }

    #[test]
    fn an_id_that_only_another_language_has_is_found() {
        let files = [
            file("crates/model/words/en/app.ftl", "save = Save\n"),
            file("crates/model/words/xx/app.ftl", "save = Evas\nundo = Odnu\n"),
            file("crates/app/src/a.rs", "t(\"save\");\n"),
        ];
        assert_eq!(rule(&files).len(), 1);
    }

    #[test]
    fn a_pattern_covers_only_what_fits_its_fixed_parts() {
        assert!(covers("drill-{}", "drill-run"));
        assert!(covers("setting-{name}-short", "setting-long-short"));
        assert!(!covers("{}", "drill-run"));
        assert!(!covers("{}-{}", "drill-run"));
        assert!(!covers("fault-{}", "drill-run"));
    }
}
