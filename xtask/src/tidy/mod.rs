//! The rules of the house that a program can check. Each rule has a test with bad input.

mod arrows;
mod floats;
mod pages;
mod pure;
mod text;
mod words;

use anyhow::{Result, bail};

use crate::house::House;
use crate::stages::Counts;
use crate::third_party;

/// A place where a rule is broken.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    /// `path:line` or `path`.
    pub place: String,
    /// What is wrong and what to do.
    pub what: String,
}

impl Problem {
    fn new(place: impl Into<String>, what: impl Into<String>) -> Self {
        Self { place: place.into(), what: what.into() }
    }

    fn at(path: &str, line: usize, what: impl Into<String>) -> Self {
        Self::new(format!("{path}:{line}"), what)
    }
}

/// A file of the repository.
#[derive(Debug, Clone, Default)]
pub struct File {
    /// Path from the top, with `/`.
    pub path: String,
    /// Its text; empty for what is no text.
    pub text: String,
    /// Its size.
    pub size_bytes: u64,
}

impl File {
    /// Returns whether the file is Rust that ships: no test, no example, no benchmark.
    fn is_product_rust(&self) -> bool {
        let folders = ["/tests/", "/examples/", "/benches/"];
        self.path.ends_with(".rs")
            && !self.path.ends_with("/tests.rs")
            && !folders.iter().any(|folder| self.path.contains(folder))
    }
}

/// Runs every rule over the repository.
pub fn run(house: &House) -> Result<Counts> {
    let mut files = Vec::new();
    for path in house.files()? {
        let bytes = std::fs::read(house.root.join(&path))?;
        let size_bytes = bytes.len() as u64;
        let text = String::from_utf8(bytes).unwrap_or_default();
        files.push(File { path: path.to_string_lossy().replace('\\', "/"), text, size_bytes });
    }
    let graph = arrows::graph(house)?;
    let rules: [(&str, Vec<Problem>); 12] = [
        ("pure crates know no world", pure::rule(&files)),
        ("arrows as in docs/architecture.md", arrows::rule(&files, &graph)),
        ("every crate keeps the lints of the workspace", arrows::lints_rule(&files)),
        ("platform floats are refused", floats::rule(&files)),
        ("ids and words match", words::rule(&files)),
        ("lines are at most 120 signs", text::line_rule(&files)),
        ("nothing unfinished, nothing ignored", text::unfinished_rule(&files)),
        ("no path of somebody's machine", text::machine_rule(&files)),
        ("fixtures are small", text::size_rule(&files)),
        ("pages are sound and their links lead somewhere", pages::rule(&files)),
        ("method pages have their five parts", pages::method_rule(&files)),
        ("licences are allowed and listed", third_party::rule(house)?),
    ];
    let mut counts = Counts::NONE;
    for (name, mut problems) in rules {
        problems.sort();
        if problems.is_empty() {
            counts.passed += 1;
        } else {
            counts.failed += 1;
            println!("{name}:");
            for problem in problems {
                println!("  {}: {}", problem.place, problem.what);
            }
        }
    }
    println!("tidy: {} rules held, {} did not", counts.passed, counts.failed);
    if counts.failed > 0 {
        bail!("{} rules of the house are broken", counts.failed);
    }
    Ok(counts)
}

#[cfg(test)]
fn file(path: &str, text: &str) -> File {
    File { path: path.into(), text: text.into(), size_bytes: text.len() as u64 }
}
