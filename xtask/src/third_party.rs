//! What ships with us and under which licence: `THIRD_PARTY.md`, made from cargo's own tree, and `deny.toml`, the
//! licences that we accept.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::house::House;
use crate::tidy::Problem;
use crate::tools;

const PAGE: &str = "THIRD_PARTY.md";
/// The list is made for one kind of machine, so that it is the same wherever it is made.
const NATIVE: &str = "x86_64-unknown-linux-gnu";

/// A crate that ships.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Part {
    name: String,
    version: String,
    licence: String,
    /// Where it ships: the program, the app.
    ships_in: BTreeSet<&'static str>,
}

/// Writes the page, or says that it is out of date.
pub fn run(house: &House, check_only: bool) -> Result<()> {
    if check_only {
        let problems = rule(house)?;
        for problem in &problems {
            println!("{}: {}", problem.place, problem.what);
        }
        if !problems.is_empty() {
            bail!("licences need a look");
        }
    } else {
        fs::write(house.root.join(PAGE), page(house)?)?;
    }
    Ok(())
}

/// Returns parts under a licence that is not accepted, and says when the page is out of date.
pub fn rule(house: &House) -> Result<Vec<Problem>> {
    let accepted = accepted(&fs::read_to_string(house.root.join("deny.toml"))?)?;
    let mut problems: Vec<Problem> = parts(house)?
        .iter()
        .filter(|part| !allows(&part.licence, &accepted))
        .map(|part| Problem {
            place: "deny.toml".into(),
            what: format!(
                "{} {} is under '{}', which is not accepted",
                part.name, part.version, part.licence
            ),
        })
        .collect();
    if fs::read_to_string(house.root.join(PAGE)).unwrap_or_default() != page(house)? {
        let what = "is out of date: cargo xtask third-party".into();
        problems.push(Problem { place: PAGE.into(), what });
    }
    Ok(problems)
}

/// Reads the accepted licences.
fn accepted(text: &str) -> Result<BTreeSet<String>> {
    let table: toml::Table = toml::from_str(text)?;
    let list =
        table.get("licenses").and_then(|licences| licences.get("allow")).and_then(toml::Value::as_array);
    let list = list.context("deny.toml has a list licenses.allow")?;
    Ok(list.iter().filter_map(toml::Value::as_str).map(str::to_owned).collect())
}

/// Returns whether an SPDX expression can be met with accepted licences alone.
fn allows(expression: &str, accepted: &BTreeSet<String>) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let value = any_of(&words, &mut at, accepted);
    value && at == words.len()
}

fn any_of(words: &[&str], at: &mut usize, accepted: &BTreeSet<String>) -> bool {
    let mut value = all_of(words, at, accepted);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        value |= all_of(words, at, accepted);
    }
    value
}

fn all_of(words: &[&str], at: &mut usize, accepted: &BTreeSet<String>) -> bool {
    let mut value = one(words, at, accepted);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        value &= one(words, at, accepted);
    }
    value
}

fn one(words: &[&str], at: &mut usize, accepted: &BTreeSet<String>) -> bool {
    let Some(word) = words.get(*at) else { return false };
    *at += 1;
    if *word == "(" {
        let value = any_of(words, at, accepted);
        *at += 1;
        return value;
    }
    let mut licence = (*word).to_owned();
    if words.get(*at) == Some(&"WITH") {
        licence += &format!(" WITH {}", words.get(*at + 1).unwrap_or(&""));
        *at += 2;
    }
    accepted.contains(&licence)
}

/// Asks cargo what ships in the program and in the app.
fn parts(house: &House) -> Result<Vec<Part>> {
    let mut parts: BTreeMap<(String, String), Part> = BTreeMap::new();
    for (package, target, ships_in) in
        [("lanewright", NATIVE, "program"), ("lanewright-app", tools::WASM, "app")]
    {
        let edges = "normal,no-proc-macro";
        let text = tools::output(house.cargo().args([
            "tree", "--quiet", "-p", package, "--target", target, "-e", edges, "--prefix", "none", "-f",
            "{p}|{l}",
        ]))?;
        for line in text.lines() {
            let Some((package, licence)) = line.split_once('|') else { continue };
            // `name v1.2.3`; ours go on with a path, repeated ones with a star.
            let mut words = package.split(' ');
            let (Some(name), Some(version)) = (words.next(), words.next()) else { continue };
            if words.next().is_some_and(|more| more.starts_with("(/") || more.contains(":\\")) {
                continue;
            }
            let version = version.trim_start_matches('v').to_owned();
            let licence = licence.trim_end_matches("(*)").trim().to_owned();
            let part = Part { name: name.to_owned(), version, licence, ships_in: BTreeSet::new() };
            parts.entry((part.name.clone(), part.version.clone())).or_insert(part).ships_in.insert(ships_in);
        }
    }
    Ok(parts.into_values().collect())
}

fn page(house: &House) -> Result<String> {
    let mut text = String::from(
        "# What ships with us\n\n\
         Made by `cargo xtask third-party`; `cargo xtask tidy` says when it is out of date. The licences that\n\
         we accept are listed in `deny.toml`. *program*: linked into `lanewright`; *app*: in the page that the\n\
         browser loads.\n\n",
    );
    let fonts: Vec<PathBuf> = house
        .files()?
        .into_iter()
        .filter(|path| path.extension().is_some_and(|extension| extension == "ttf" || extension == "otf"))
        .collect();
    if !fonts.is_empty() {
        text += "## Fonts\n\nTheir licence lies beside them.\n\n| font | in |\n|---|---|\n";
        for font in fonts {
            let folder =
                font.parent().map(|folder| folder.to_string_lossy().into_owned()).unwrap_or_default();
            let name = font.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            text += &format!("| {name} | {folder} |\n");
        }
        text += "\n";
    }
    text += "## Crates\n\n| crate | version | licence | in |\n|---|---|---|---|\n";
    for part in parts(house)? {
        let ships_in = part.ships_in.iter().copied().collect::<Vec<_>>().join(", ");
        text += &format!("| {} | {} | {} | {ships_in} |\n", part.name, part.version, part.licence);
    }
    Ok(text)
}

/// Writes the licence texts of all that ships, as their licences ask, equal ones once.
pub fn write_texts(house: &House, file: &Path) -> Result<()> {
    let data = tools::output(house.cargo().args(["metadata", "--format-version", "1", "--quiet"]))?;
    let data: serde_json::Value = serde_json::from_str(&data)?;
    let packages = data["packages"].as_array().context("cargo lists packages")?;
    // By text: which crates come under it.
    let mut texts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for part in parts(house)? {
        let package = packages.iter().find(|package| {
            package["name"] == part.name.as_str() && package["version"] == part.version.as_str()
        });
        let manifest =
            package.and_then(|package| package["manifest_path"].as_str()).context("cargo knows it")?;
        let folder = Path::new(manifest).parent().context("a manifest lies in a folder")?;
        let mut found = licence_files(folder)?;
        if found.is_empty() {
            found.push(format!("Under the terms of {}.\n", part.licence));
        }
        for text in found {
            texts.entry(text).or_default().push(format!("{} {}", part.name, part.version));
        }
    }
    for path in house.files()?.iter().filter(|path| path.ends_with("OFL.txt") || is_font_licence(path)) {
        let text = fs::read_to_string(house.root.join(path))?;
        let name = path.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        texts.entry(text).or_default().push(format!("the font of {name}"));
    }
    let mut page = String::from("Lanewright contains the work of others, under these licences.\n");
    for (text, names) in texts {
        page += &format!("\n{}\n{}\n\n{}\n", "=".repeat(100), names.join(", "), text.trim_end());
    }
    fs::write(file, page).with_context(|| format!("could not write {}", file.display()))
}

fn is_font_licence(path: &Path) -> bool {
    path.file_name().is_some_and(|name| {
        let name = name.to_string_lossy();
        name.ends_with("-OFL.txt") || name.ends_with("-Apache-2.0.txt")
    })
}

/// Returns the licence texts in a folder.
fn licence_files(folder: &Path) -> Result<Vec<String>> {
    let mut paths: Vec<PathBuf> = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().map(|name| name.to_string_lossy().to_uppercase()).unwrap_or_default();
        let licence = ["LICENSE", "LICENCE", "COPYING", "COPYRIGHT", "NOTICE", "UNLICENSE"];
        if path.is_file() && licence.iter().any(|start| name.starts_with(start)) {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths.iter().filter_map(|path| fs::read_to_string(path).ok()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_read_as_spdx_means_them() {
        let accepted: BTreeSet<String> =
            ["MIT", "BSD-3-Clause", "Apache-2.0 WITH LLVM-exception"].map(str::to_owned).into();
        for good in [
            "MIT",
            "GPL-3.0 OR MIT",
            "MIT/GPL-3.0",
            "BSD-3-Clause AND MIT",
            "(GPL-3.0 OR MIT) AND MIT",
            "Apache-2.0 WITH LLVM-exception",
            "GPL-3.0 AND GPL-2.0 OR MIT",
        ] {
            assert!(allows(good, &accepted), "{good}");
        }
        for bad in ["", "GPL-3.0", "MIT AND GPL-3.0", "Apache-2.0", "(MIT", "GPL-3.0 OR (MIT AND GPL-2.0)"] {
            assert!(!allows(bad, &accepted), "{bad}");
        }
    }

    #[test]
    fn the_accepted_list_is_read() {
        assert!(accepted("[licenses]\nallow = [\"MIT\"]\n").expect("a list").contains("MIT"));
        assert!(accepted("[licenses]\n").is_err());
    }
}
