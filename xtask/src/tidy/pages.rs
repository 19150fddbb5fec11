//! Rules about Markdown pages.

use std::collections::BTreeMap;

use super::{File, Problem};
use crate::markdown::{self, Page};

/// Headings that a page about a computation has, by a word in them.
const METHOD_HEADINGS: [&str; 2] = ["checked", "ends"];

/// Words of which a page about a computation has one, so that a reader learns where its numbers come from.
const SOURCE_WORDS: [&str; 4] = ["source", "assumption", "common practice", "et al."];

/// Returns pages without one title, with headings that jump, with blocks of unknown kind, with dead links.
pub fn rule(files: &[File]) -> Vec<Problem> {
    let pages: BTreeMap<&str, Page> = files
        .iter()
        .filter(|file| file.path.ends_with(".md"))
        .map(|file| (file.path.as_str(), Page::read(&file.text)))
        .collect();
    let mut problems = Vec::new();
    for (path, page) in &pages {
        let titles = page.headings.iter().filter(|(_, level, _)| *level == 1).count();
        if titles != 1 {
            problems.push(Problem::new(*path, format!("{titles} titles (# …); a page has one")));
        }
        let levels = std::iter::once(1).chain(page.headings.iter().map(|(_, level, _)| *level));
        for ((line, level, text), above) in page.headings.iter().zip(levels) {
            if *level > above + 1 {
                problems.push(Problem::at(path, *line, format!("the heading '{text}' skips a level")));
            }
        }
        for block in &page.blocks {
            if let Err(error) = markdown::usage(block) {
                problems.push(Problem::at(path, block.line, error.to_string()));
            }
        }
        for (line, target) in &page.links {
            if let Some(what) = dead(path, target, files, &pages) {
                problems.push(Problem::at(path, *line, what));
            }
        }
    }
    let rust = pages.iter().filter(|(_, page)| page.blocks.iter().any(|block| block.kind == "rust"));
    let tested =
        files.iter().find(|file| file.path == "e2e/src/lib.rs").map_or("", |file| file.text.as_str());
    for (path, _) in rust {
        if !tested.contains(&format!("../../{path}\"")) {
            problems.push(Problem::new(
                *path,
                "its rust blocks are not in the list of doc tests in e2e/src/lib.rs",
            ));
        }
    }
    problems
}

/// Says what is wrong with a link, if something is.
fn dead(path: &str, target: &str, files: &[File], pages: &BTreeMap<&str, Page>) -> Option<String> {
    if target.contains("://") || target.starts_with("mailto:") {
        return None;
    }
    let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
    let full = if file.is_empty() { path.to_owned() } else { resolve(path, file) };
    let folder = format!("{}/", full.trim_end_matches('/'));
    if !files.iter().any(|known| known.path == full || known.path.starts_with(&folder)) {
        return Some(format!("the link to {target} leads nowhere"));
    }
    let known =
        pages.get(full.as_str()).is_none_or(|page| page.anchors().iter().any(|known| known == anchor));
    (!anchor.is_empty() && !known).then(|| format!("{full} has no heading for #{anchor}"))
}

/// Returns the path from the top that a link on a page means.
fn resolve(page: &str, link: &str) -> String {
    let mut parts: Vec<&str> = page.split('/').collect();
    parts.pop();
    for part in link.split('/') {
        match part {
            "." | "" => {}
            ".." => drop(parts.pop()),
            other => parts.push(other),
        }
    }
    parts.join("/")
}

/// Returns pages about computations that lack a part: what it answers, formula, source, how it is checked, where it
/// ends.
pub fn method_rule(files: &[File]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for file in
        files.iter().filter(|file| file.path.starts_with("docs/methods/") && file.path.ends_with(".md"))
    {
        let page = Page::read(&file.text);
        let mut lacks = |what: &str| problems.push(Problem::new(&file.path, what));
        for word in METHOD_HEADINGS {
            let has =
                |(_, level, text): &(usize, usize, String)| *level > 1 && text.to_lowercase().contains(word);
            if !page.headings.iter().any(has) {
                lacks(&format!("no heading with the word '{word}'"));
            }
        }
        let title = page.headings.first().map_or(0, |(line, _, _)| *line);
        let first = file.text.lines().skip(title).find(|line| !line.trim().is_empty());
        if first.is_none_or(|line| line.starts_with('#') && !line.to_lowercase().contains("answers")) {
            lacks("nothing under the title says what it answers");
        }
        let headed = page.headings.iter().any(|(_, _, text)| text.to_lowercase().contains("formula"));
        let in_a_block = page.blocks.iter().any(|block| block.kind == "text");
        let in_a_line = file.text.lines().any(|line| line.split('`').skip(1).step_by(2).any(is_formula));
        let in_a_table = file.text.lines().any(|line| line.starts_with("|--"));
        if !(headed || in_a_block || in_a_line || in_a_table) {
            lacks(
                "no formula: a heading of that name, a text block, a line of code with an operator, a table",
            );
        }
        let text = file.text.to_lowercase();
        if !SOURCE_WORDS.iter().any(|word| text.contains(word)) {
            lacks("nothing says where its numbers come from: source, assumption or common practice");
        }
    }
    problems
}

fn is_formula(code: &str) -> bool {
    ["=", "≤", "<", "·", "+"].iter().any(|sign| code.contains(sign))
}

#[cfg(test)]
mod tests {
    use super::super::file;
    use super::*;

    fn problems(pages: &[(&str, &str)]) -> usize {
        rule(&pages.iter().map(|(path, text)| file(path, text)).collect::<Vec<_>>()).len()
    }

    #[test]
    fn a_sound_page_passes() {
        let text =
            "# A\n\n## B\n\nSee [b](b.md#c-d), [here](#b), [out](https://example.org).\n\n```json\n{}\n```\n";
        assert_eq!(problems(&[("docs/a.md", text), ("docs/b.md", "# B\n\n## C d\n")]), 0);
    }

    #[test]
    fn each_fault_is_found() {
        for (what, text) in [
            ("two titles", "# A\n\n# B\n"),
            ("no title", "## B\n"),
            ("a jump", "# A\n\n### B\n"),
            ("a dead link", "# A\n\n[b](b.md)\n"),
            ("a dead anchor", "# A\n\n[b](#b)\n"),
            ("an unknown block", "# A\n\n```\nls\n```\n"),
            ("an untested rust block", "# A\n\n```rust\nlet a = 1;\n```\n"),
        ] {
            assert_eq!(problems(&[("docs/a.md", text)]), 1, "{what}");
        }
    }

    #[test]
    fn a_method_page_without_a_part_is_found() {
        let whole = "# Lanes\n\nHow many lanes?\n\nThe gap is `g = 2 s`, an engineering assumption.\n\n\
                     ## How it is checked\n\n## Where it ends\n";
        assert_eq!(method_rule(&[file("docs/methods/a.md", whole)]), []);
        for (part, instead) in [
            (
                "How many lanes?\n\nThe gap is `g = 2 s`, an engineering assumption.",
                "## How many\nThe gap is `g = 2 s` (source).",
            ),
            ("`g = 2 s`", "twice the step"),
            ("an engineering assumption", "of course"),
            ("## How it is checked", ""),
            ("## Where it ends", ""),
        ] {
            let text = whole.replace(part, instead);
            assert_eq!(method_rule(&[file("docs/methods/a.md", &text)]).len(), 1, "{part}");
        }
    }
}
