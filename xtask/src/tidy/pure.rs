//! Pure crates take time, seeds and file contents as arguments: they read no clock, file, network, environment or
//! random source, and print nothing.

use super::{File, Problem};
use crate::source::Source;

/// The crates that are pure, tests and examples apart.
pub const PURE: &[&str] = &["draw", "listen", "model", "paper", "science", "sync"];

/// What pure code may not name, with the reason.
const BANNED: &[(&str, &str)] = &[
    ("dbg!", "prints"),
    ("eprint!", "prints"),
    ("eprintln!", "prints"),
    ("getrandom", "is a random source; take a seed"),
    ("HashMap", "has a random order; use BTreeMap"),
    ("HashSet", "has a random order; use BTreeSet"),
    ("Instant", "is a clock; take the time as an argument"),
    ("now_v7", "reads a clock; take the id as an argument"),
    ("new_v4", "is a random source; take the id as an argument"),
    ("print!", "prints"),
    ("println!", "prints"),
    ("rand", "is a random source; take a seed"),
    ("std::env", "reads the environment"),
    ("std::fs", "reads files; take their content"),
    ("std::net", "is the network"),
    ("std::process", "runs programs"),
    ("std::thread", "starts threads, which the browser has not"),
    ("SystemTime", "is a clock; take the time as an argument"),
    ("Timestamp::now", "is a clock; take the time as an argument"),
    ("Zoned::now", "is a clock; take the time as an argument"),
];

/// Returns where a pure crate names what it may not.
pub fn rule(files: &[File]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for file in files.iter().filter(|file| is_pure(&file.path) && file.is_product_rust()) {
        let source = Source::read(&file.text);
        let grouped = grouped_imports(&source);
        let written = source.product_lines().chain(grouped.iter().map(|(line, path)| (*line, path.as_str())));
        for (line, code) in written {
            for (name, why) in BANNED.iter().filter(|(name, _)| names(code, name)) {
                problems.push(Problem::at(&file.path, line, format!("{name} {why}")));
            }
        }
    }
    problems
}

fn is_pure(path: &str) -> bool {
    PURE.iter().any(|name| path.starts_with(&format!("crates/{name}/src/")))
}

/// Returns what `use std::{fs, io};` imports, spelled out: `std::fs`, `std::io`; on one line or on many.
fn grouped_imports(source: &Source) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut open = false;
    for (line, code) in source.product_lines() {
        let inner = match code.split_once("std::{") {
            Some((_, inner)) => inner,
            None if open => code,
            None => continue,
        };
        let (inside, closed) = inner.split_once('}').map_or((inner, false), |(inside, _)| (inside, true));
        open = !closed;
        let parts = inside.split(',').map(str::trim).filter(|part| !part.is_empty());
        found.extend(parts.map(|part| (line, format!("std::{part}"))));
    }
    found
}

/// Returns whether the code names that thing: whole words only.
fn names(code: &str, name: &str) -> bool {
    let word = |sign: char| sign.is_alphanumeric() || sign == '_';
    code.match_indices(name).any(|(at, _)| {
        let before = code[..at].chars().next_back();
        let after = code[at + name.len()..].chars().next();
        !before.is_some_and(word) && (name.ends_with('!') || !after.is_some_and(word))
    })
}

#[cfg(test)]
mod tests {
    use super::super::file;
    use super::*;

    #[test]
    fn each_banned_name_is_found() {
        for (name, _) in BANNED {
            let text = format!("fn a() {{\n    let b = {name}(1);\n}}\n");
            let problems = rule(&[file("crates/model/src/bad.rs", &text)]);
            assert_eq!(problems.len(), 1, "{name}: {problems:?}");
            assert_eq!(problems[0].place, "crates/model/src/bad.rs:2");
        }
    }

    #[test]
    fn a_grouped_import_is_found() {
        for text in ["use std::{fmt, fs};\n", "use std::{\n    fmt,\n    fs,\n};\n"] {
            assert_eq!(rule(&[file("crates/sync/src/bad.rs", text)]).len(), 1, "{text}");
        }
    }

    #[test]
    fn tests_comments_and_other_crates_may() {
        let files = [
            file(
                "crates/model/src/a.rs",
                "// println!\n#[cfg(test)]\nmod tests {\n    fn a() { println!() }\n}\n",
            ),
            file("crates/model/tests/a.rs", "use std::fs;\n"),
            file("crates/store/src/a.rs", "use std::fs;\n"),
            file("crates/model/src/b.rs", "let operand = brand + \"println!\";\n"),
        ];
        assert_eq!(rule(&files), []);
    }
}
