//! Which crate may depend on which: read from the table in `docs/architecture.md`, compared with cargo's own view.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::{Context, Result};
use serde_json::Value;

use super::pure::PURE;
use super::{File, Problem};
use crate::house::House;
use crate::tools;

/// Where the table stands.
const PAGE: &str = "docs/architecture.md";

/// General crates that bring a clock, a network or a random source into a pure crate.
const WORLDLY: &[&str] = &[
    "async-std",
    "axum",
    "chrono",
    "getrandom",
    "hyper",
    "js-sys",
    "rand",
    "reqwest",
    "rusqlite",
    "smol",
    "sqlx",
    "tokio",
    "web-sys",
    "web-time",
];

/// What each crate of ours depends on when it ships.
pub type Graph = BTreeMap<String, BTreeSet<String>>;

/// Asks cargo for the graph.
pub fn graph(house: &House) -> Result<Graph> {
    let text =
        tools::output(house.cargo().args(["metadata", "--no-deps", "--format-version", "1", "--quiet"]))?;
    let data: Value = serde_json::from_str(&text)?;
    let mut graph = Graph::new();
    for package in data["packages"].as_array().context("cargo lists packages")? {
        let name = package["name"].as_str().context("a package has a name")?;
        let needs = package["dependencies"].as_array().context("a package has dependencies")?;
        // A kind of null is an ordinary dependency; tests may lean on whatever they like.
        let needs =
            needs.iter().filter(|need| need["kind"].is_null()).filter_map(|need| need["name"].as_str());
        graph.insert(short(name).to_owned(), needs.map(|name| short(name).to_owned()).collect());
    }
    Ok(graph)
}

/// Returns the name of a crate as the table says it.
fn short(name: &str) -> &str {
    if name == "lanewright" { "cli" } else { name.strip_prefix("lanewright-").unwrap_or(name) }
}

/// Reads the allowed arrows: each crate may use those in its row and whatever these may use.
fn allowed(page: &str) -> Graph {
    let quoted = |cell: &str| -> Vec<String> {
        cell.split('`')
            .skip(1)
            .step_by(2)
            .flat_map(|word| word.split([',', ' ']))
            .map(str::to_owned)
            .collect()
    };
    let mut direct = Graph::new();
    for line in page.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').collect();
        if let [names, _, needs, _] = cells[..] {
            let needs: BTreeSet<String> =
                needs.split(',').map(|name| name.trim().trim_matches('`').to_owned()).collect();
            for name in quoted(names) {
                direct.insert(name, needs.clone());
            }
        }
    }
    let mut closed = direct.clone();
    for _ in 0..direct.len() {
        for name in direct.keys() {
            let further: BTreeSet<String> =
                closed[name].iter().filter_map(|need| closed.get(need)).flatten().cloned().collect();
            closed.get_mut(name).expect("it is a key").extend(further);
        }
    }
    closed
}

/// Returns the arrows that the table does not allow.
pub fn rule(files: &[File], graph: &Graph) -> Vec<Problem> {
    let page = files.iter().find(|file| file.path == PAGE).map_or("", |file| file.text.as_str());
    let allowed = allowed(page);
    let mut problems = Vec::new();
    for (name, needs) in graph {
        let Some(may) = allowed.get(name) else {
            if !["xtask", "e2e"].contains(&name.as_str()) {
                problems.push(Problem::new(PAGE, format!("the table has no row for {name}")));
            }
            continue;
        };
        for need in needs {
            let ours = graph.contains_key(need);
            if ours && !may.contains(need) {
                let what =
                    format!("{name} may not depend on {need}; the table in {PAGE} says on what it may");
                problems.push(Problem::new(format!("crates/{name}/Cargo.toml"), what));
            }
            if PURE.contains(&name.as_str()) && WORLDLY.contains(&need.as_str()) {
                let what = format!("{name} is pure and {need} brings the world in");
                problems.push(Problem::new(format!("crates/{name}/Cargo.toml"), what));
            }
        }
    }
    problems
}

/// Returns the manifests that do not take the lints of the workspace.
pub fn lints_rule(files: &[File]) -> Vec<Problem> {
    files
        .iter()
        .filter(|file| file.path.ends_with("/Cargo.toml"))
        .filter(|file| {
            let table = toml::from_str::<toml::Table>(&file.text).unwrap_or_default();
            table.get("lints").and_then(|lints| lints.get("workspace")).and_then(toml::Value::as_bool)
                != Some(true)
        })
        .map(|file| Problem::new(&file.path, "add [lints] workspace = true"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::file;
    use super::*;

    const TABLE: &str = "| crate | holds | may depend on | I/O |\n|---|---|---|---|\n| `model` | a | – | none |\n\
                         | `science` | b | model | none |\n| `draw` | c | science | none |\n\
                         | `xtask`, `e2e` | d | – | all |\n";

    fn problems(edges: &[(&str, &[&str])]) -> Vec<Problem> {
        let graph = edges
            .iter()
            .map(|(name, needs)| ((*name).to_owned(), needs.iter().map(|need| (*need).to_owned()).collect()))
            .collect();
        rule(&[file(PAGE, TABLE)], &graph)
    }

    #[test]
    fn arrows_in_the_table_pass_also_over_two_steps() {
        assert_eq!(
            problems(&[("model", &["serde"]), ("science", &["model"]), ("draw", &["science", "model"])]),
            []
        );
    }

    #[test]
    fn an_arrow_against_the_table_is_refused() {
        assert_eq!(problems(&[("model", &["science"]), ("science", &[])]).len(), 1);
    }

    #[test]
    fn a_crate_without_a_row_is_refused() {
        assert_eq!(problems(&[("weather", &[])]).len(), 1);
    }

    #[test]
    fn a_pure_crate_with_a_runtime_is_refused() {
        assert_eq!(problems(&[("science", &["tokio"])]).len(), 1);
    }

    #[test]
    fn a_manifest_without_the_lints_is_refused() {
        let good = file("crates/a/Cargo.toml", "[lints]\nworkspace = true\n");
        let bad = file("crates/b/Cargo.toml", "[package]\nname = \"b\"\n");
        assert_eq!(lints_rule(&[good, bad]).len(), 1);
    }
}
