//! The pages: their code blocks run, their data parses, their links lead somewhere.
//!
//! | block | what happens |
//! |---|---|
//! | `sh` | runs with `lanewright` on the PATH, in a folder of its own with a copy of `fixtures/`, one folder a page |
//! | `json`, `toml`, `csv` | parses; `csv` has as many cells in each row as in its header |
//! | `jsonl` | each line parses |
//! | `rust` | compiled and run as a doc test by the crate `lanewright-e2e` |
//! | `text`, `ftl` | shown only |
//!
//! A block that would wait for ever (it starts a server) is marked `sh no_run`, and the line before its fence says why:
//! `<!-- not run: it serves until you stop it -->`.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::house::House;
use crate::stages::Counts;

/// A fenced block of code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// Line of its fence, from 1.
    pub line: usize,
    /// What stands behind the fence: `sh`, `sh no_run`, `json` …
    pub kind: String,
    /// Its text.
    pub text: String,
    /// The line before the fence, for the reason of a block that does not run.
    pub before: String,
}

/// A page taken apart.
#[derive(Debug, Default)]
pub struct Page {
    /// Headings: line from 1, level, text.
    pub headings: Vec<(usize, usize, String)>,
    /// Blocks of code.
    pub blocks: Vec<Block>,
    /// Link targets: line from 1, target.
    pub links: Vec<(usize, String)>,
}

impl Page {
    /// Takes a page apart.
    pub fn read(text: &str) -> Self {
        let mut page = Self::default();
        let mut open: Option<(String, Block)> = None;
        let mut before = "";
        for (index, line) in text.lines().enumerate() {
            let trimmed = line.trim_start();
            let fence: String = trimmed.chars().take_while(|sign| *sign == '`' || *sign == '~').collect();
            match &mut open {
                Some((mark, block)) => {
                    if trimmed.trim_end() == mark.as_str() {
                        page.blocks.push(block.clone());
                        open = None;
                    } else {
                        block.text += line;
                        block.text += "\n";
                    }
                }
                None if fence.len() >= 3 => {
                    let kind = trimmed[fence.len()..].trim().to_owned();
                    let block =
                        Block { line: index + 1, kind, text: String::new(), before: before.to_owned() };
                    open = Some((fence, block));
                }
                None => {
                    let level = line.chars().take_while(|sign| *sign == '#').count();
                    if (1..=6).contains(&level) && line[level..].starts_with(' ') {
                        page.headings.push((index + 1, level, line[level..].trim().to_owned()));
                    }
                    page.links.extend(links(line).into_iter().map(|target| (index + 1, target)));
                }
            }
            if !line.trim().is_empty() {
                before = line;
            }
        }
        if let Some((_, block)) = open {
            page.blocks.push(block);
        }
        page
    }

    /// Returns the anchors of the page, as they stand behind `#` in a link.
    pub fn anchors(&self) -> Vec<String> {
        self.headings
            .iter()
            .map(|(_, _, text)| {
                text.to_lowercase()
                    .chars()
                    .filter(|sign| sign.is_alphanumeric() || matches!(sign, ' ' | '-' | '_'))
                    .map(|sign| if sign == ' ' { '-' } else { sign })
                    .collect()
            })
            .collect()
    }
}

/// Returns the targets of the links of a line, leaving out what stands in code.
fn links(line: &str) -> Vec<String> {
    let plain: String = line.split('`').step_by(2).collect::<Vec<_>>().join("``");
    let mut found = Vec::new();
    let mut rest = plain.as_str();
    while let Some(at) = rest.find("](") {
        rest = &rest[at + 2..];
        if let Some(end) = rest.find(')') {
            found.push(rest[..end].split(' ').next().unwrap_or_default().to_owned());
        }
    }
    found
}

/// What is to be done with a block.
#[derive(Debug, PartialEq, Eq)]
pub enum Use {
    /// Run as a shell script.
    Run,
    /// Parsed here.
    Parse,
    /// Left to `cargo test --doc`.
    DocTest,
    /// Shown only.
    Show,
}

/// Returns what is to be done with a block.
///
/// # Errors
///
/// When its kind is unknown or it does not run and does not say why.
pub fn usage(block: &Block) -> Result<Use> {
    Ok(match block.kind.as_str() {
        "sh" => Use::Run,
        "json" | "jsonl" | "toml" | "csv" => Use::Parse,
        "rust" => Use::DocTest,
        "text" | "ftl" => Use::Show,
        "sh no_run" if block.before.contains("not run:") => Use::Show,
        "sh no_run" => bail!("say why it is not run, on the line before: <!-- not run: … -->"),
        other => bail!("a code block is sh, json, jsonl, toml, csv, rust, ftl or text, not '{other}'"),
    })
}

/// Parses a block of data.
pub fn parse(block: &Block) -> Result<()> {
    match block.kind.as_str() {
        "json" => {
            serde_json::from_str::<serde_json::Value>(&block.text)?;
        }
        "jsonl" => {
            for line in block.text.lines().filter(|line| !line.trim().is_empty()) {
                serde_json::from_str::<serde_json::Value>(line).with_context(|| line.to_owned())?;
            }
        }
        "toml" => {
            toml::from_str::<toml::Table>(&block.text)?;
        }
        "csv" => {
            let mut widths = block.text.lines().filter(|line| !line.is_empty()).map(csv_cells);
            let header = widths.next().unwrap_or(0);
            if let Some(at) = widths.position(|width| width != header) {
                bail!("row {} has not the {header} cells of the header", at + 2);
            }
        }
        other => bail!("{other} is no data"),
    }
    Ok(())
}

/// Counts the cells of a line; a comma between quotes separates nothing.
fn csv_cells(line: &str) -> usize {
    let mut quoted = false;
    1 + line
        .chars()
        .filter(|sign| {
            quoted ^= *sign == '"';
            *sign == ',' && !quoted
        })
        .count()
}

/// Returns the pages whose blocks run.
pub fn pages(files: &[PathBuf]) -> Vec<&PathBuf> {
    files
        .iter()
        .filter(|path| path.extension().is_some_and(|extension| extension == "md"))
        .filter(|path| path.starts_with("docs") || path.components().count() == 1)
        .filter(|path| path.as_path() != Path::new("THIRD_PARTY.md"))
        .collect()
}

/// Runs every code block of every page. The program must have been built.
pub fn run(house: &House) -> Result<Counts> {
    let mut counts = Counts::NONE;
    let files = house.files()?;
    let scratch = house.target.join("docs");
    let _ = std::fs::remove_dir_all(&scratch);
    for path in pages(&files) {
        let page = Page::read(&std::fs::read_to_string(house.root.join(path))?);
        let folder = scratch.join(path.with_extension(""));
        for block in &page.blocks {
            let outcome = usage(block).and_then(|usage| match usage {
                Use::Run => shell(house, &folder, &block.text).map(|()| true),
                Use::Parse => parse(block).map(|()| true),
                Use::DocTest | Use::Show => Ok(false),
            });
            let place = format!("{}:{} ({})", path.display(), block.line, block.kind);
            match outcome {
                Ok(true) => counts.passed += 1,
                Ok(false) => {}
                Err(error) => {
                    counts.failed += 1;
                    println!("{place}: {error:#}");
                }
            }
        }
    }
    println!("code blocks: {} held, {} did not", counts.passed, counts.failed);
    Ok(counts)
}

/// Runs a block line by line, as a reader would type it, and stops at the first line that fails.
fn shell(house: &House, folder: &Path, text: &str) -> Result<()> {
    if !folder.exists() {
        copy(&house.root.join("fixtures"), &folder.join("fixtures"))?;
    }
    let own = house.program();
    let mut search = vec![own.parent().context("the program lies in a folder")?.to_owned()];
    search.extend(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()));
    let output = Command::new("bash")
        .args(["-euxo", "pipefail", "-c", text])
        .current_dir(folder)
        .env("PATH", std::env::join_paths(search)?)
        .env("NO_COLOR", "1")
        .env("PS4", "+ ")
        .stdin(Stdio::null())
        .output()
        .context("bash runs the code blocks")?;
    if output.status.success() {
        return Ok(());
    }
    bail!("ended with {}\n{}", output.status, String::from_utf8_lossy(&output.stderr).trim_end());
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            copy(&entry.path(), &to.join(entry.file_name()))?;
        } else {
            std::fs::copy(entry.path(), to.join(entry.file_name()))?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "# One\n\nSee [two](two.md#three) and `[no](link)`.\n\n```json\n{\"a\": 1}\n```\n\n## Four & five\n\n<!-- not run: it serves -->\n```sh no_run\nlanewright start\n```\n";

    #[test]
    fn a_page_falls_into_its_parts() {
        let page = Page::read(PAGE);
        assert_eq!(page.headings.len(), 2);
        assert_eq!(page.links, [(3, "two.md#three".to_owned())]);
        assert_eq!(page.blocks.len(), 2);
        assert_eq!(page.blocks[0].line, 5);
        assert_eq!(page.anchors(), ["one", "four--five"]);
        assert_eq!(usage(&page.blocks[1]).expect("it says why"), Use::Show);
    }

    #[test]
    fn a_block_that_does_not_run_must_say_why() {
        let page = Page::read("# a\n\n```sh no_run\nls\n```\n");
        assert!(usage(&page.blocks[0]).is_err());
    }

    #[test]
    fn an_unknown_or_missing_kind_is_refused() {
        for text in ["```\nls\n```", "```bash\nls\n```"] {
            assert!(usage(&Page::read(text).blocks[0]).is_err(), "{text}");
        }
    }

    #[test]
    fn broken_data_is_refused() {
        let bad = [("json", "{,}"), ("jsonl", "{}\n{"), ("toml", "a ="), ("csv", "a,b\n1\n")];
        let good = [("json", "{}"), ("jsonl", "{}\n\n[]"), ("toml", "a = 1"), ("csv", "a,b\n1,\"2,5\"\n")];
        let parses = |(kind, text): (&str, &str)| {
            let page = Page::read(&format!("```{kind}\n{text}\n```\n"));
            parse(&page.blocks[0]).is_ok()
        };
        for case in bad {
            assert!(!parses(case), "{case:?}");
        }
        for case in good {
            assert!(parses(case), "{case:?}");
        }
    }
}
