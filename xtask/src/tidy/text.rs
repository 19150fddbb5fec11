//! Rules about plain text: line length, unfinished code, machine paths, sizes.

use super::{File, Problem};
use crate::source::Source;

/// Longest line of Rust. rustfmt wraps code at 110; comments, which it leaves alone, may go on a little.
const LINE_MAX: usize = 120;
/// Largest fixture.
const FIXTURE_MAX_BYTES: u64 = 256 * 1024;

/// Returns Rust lines that are too long to read side by side. Long texts in strings may stay whole.
pub fn line_rule(files: &[File]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for file in files.iter().filter(|file| file.path.ends_with(".rs")) {
        let literal_lines: Vec<usize> =
            Source::read(&file.text).literals.iter().map(|literal| literal.line).collect();
        for (index, line) in file.text.lines().enumerate() {
            let signs = line.chars().count();
            if signs > LINE_MAX && !literal_lines.contains(&(index + 1)) {
                problems.push(Problem::at(
                    &file.path,
                    index + 1,
                    format!("{signs} signs; at most {LINE_MAX}"),
                ));
            }
        }
    }
    problems
}

/// Returns code that is not finished and tests that do not run.
pub fn unfinished_rule(files: &[File]) -> Vec<Problem> {
    let banned = ["todo!", "unimplemented!", "#[ignore"];
    let mut problems = Vec::new();
    for file in files.iter().filter(|file| file.path.ends_with(".rs")) {
        for (index, code) in Source::read(&file.text).code.iter().enumerate() {
            for name in banned.iter().filter(|name| code.contains(**name)) {
                problems.push(Problem::at(&file.path, index + 1, format!("{name} has no place here")));
            }
        }
    }
    problems
}

/// Returns paths that exist on one machine only.
pub fn machine_rule(files: &[File]) -> Vec<Problem> {
    // Written in two parts, so that this file does not break its own rule.
    let homes: Vec<String> =
        [("/ro", "ot/"), ("/ho", "me/"), ("/Us", "ers/"), ("/wo", "rk/"), ("/t", "mp/"), ("C:\\Us", "ers")]
            .iter()
            .map(|(a, b)| format!("{a}{b}"))
            .collect();
    let mut problems = Vec::new();
    for file in files.iter().filter(|file| file.path != "Cargo.lock") {
        for (index, line) in file.text.lines().enumerate() {
            for home in homes.iter().filter(|home| stands_alone(line, home)) {
                problems.push(Problem::at(&file.path, index + 1, format!("{home} is on one machine only")));
            }
        }
    }
    problems
}

/// Returns whether the path starts here, rather than in the middle of a longer one or of an address.
fn stands_alone(line: &str, path: &str) -> bool {
    line.match_indices(path).any(|(at, _)| {
        !line[..at]
            .chars()
            .next_back()
            .is_some_and(|sign| sign.is_alphanumeric() || matches!(sign, '.' | '}' | '-' | '_'))
    })
}

/// Returns fixtures that are too large to read.
pub fn size_rule(files: &[File]) -> Vec<Problem> {
    files
        .iter()
        .filter(|file| file.path.starts_with("fixtures/") && file.size_bytes > FIXTURE_MAX_BYTES)
        .map(|file| {
            Problem::new(&file.path, format!("{} bytes; at most {FIXTURE_MAX_BYTES}", file.size_bytes))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::file;
    use super::*;

    #[test]
    fn a_long_line_is_found_but_a_long_text_may_stay() {
        let long = "a".repeat(LINE_MAX);
        let code = file("crates/a/src/a.rs", &format!("fn {long}() {{}}\nfn b() {{}}\n"));
        let text = file("crates/a/src/b.rs", &format!("const A: &str = \"{long}\";\n"));
        let places: Vec<String> = line_rule(&[code, text]).into_iter().map(|problem| problem.place).collect();
        assert_eq!(places, ["crates/a/src/a.rs:1"]);
    }

    #[test]
    fn unfinished_code_is_found_but_its_name_in_a_text_is_not() {
        let bad = file("crates/a/src/a.rs", "fn a() {\n    todo!()\n}\n#[ignore = \"slow\"]\nfn b() {}\n");
        let good = file("crates/a/src/b.rs", "// todo!\nlet a = \"unimplemented!\";\n");
        assert_eq!(unfinished_rule(&[bad, good]).len(), 2);
    }

    #[test]
    fn a_machine_path_is_found_but_an_address_is_not() {
        let bad = file("docs/a.md", &format!("see {}me/coach/file\n", "/ho"));
        let good = file("docs/b.md", &format!("open example.org{}me/page\n", "/ho"));
        assert_eq!(machine_rule(&[bad, good]).len(), 1);
    }

    #[test]
    fn a_large_fixture_is_found() {
        let mut large = file("fixtures/ugly/a.csv", "");
        large.size_bytes = FIXTURE_MAX_BYTES + 1;
        assert_eq!(size_rule(&[large, file("fixtures/b.csv", "name\n")]).len(), 1);
    }
}
