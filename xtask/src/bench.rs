//! Measured runs: ours against a general library, and long random runs.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

use anyhow::{Context, Result, bail, ensure};
use serde_json::Value;

use crate::house::House;
use crate::{tools, web};

/// One comparison, as `bench/bench.toml` describes it.
struct Comparison {
    name: String,
    asks: String,
    ours: Vec<String>,
    reference: Option<Vec<String>>,
    /// Numbers may differ by this share of the larger one.
    tolerance: f64,
    /// The answers of the reference are kept for tests.
    keep: bool,
}

/// Reads the words behind `bench`, then runs the comparisons, or those whose name has the word in it, and prints what
/// they show. With `--keep` the answers of the references go into `bench/reference`, for tests that need no Python.
pub fn bench(house: &House, words: &[String]) -> Result<()> {
    let keep = words.iter().any(|word| word == "--keep");
    let word = match &words.iter().filter(|word| *word != "--keep").collect::<Vec<_>>()[..] {
        [] => None,
        [word] => Some(word.as_str()),
        more => bail!("bench takes one word and --keep, not {}", more.len()),
    };
    let mut unequal = 0;
    let mut ran = 0;
    for comparison in comparisons(&fs::read_to_string(house.root.join("bench/bench.toml"))?)? {
        if word.is_none_or(|word| comparison.name.contains(word)) {
            ran += 1;
            unequal += compare(house, &comparison, keep)?;
        }
    }
    ensure!(ran > 0, "no comparison of that name in bench/bench.toml");
    if unequal > 0 { bail!("{unequal} results differ") } else { Ok(()) }
}

fn comparisons(text: &str) -> Result<Vec<Comparison>> {
    let table: toml::Table = toml::from_str(text)?;
    let list =
        table.get("compare").and_then(toml::Value::as_array).context("bench.toml has [[compare]] entries")?;
    list.iter()
        .map(|entry| {
            let text = |key: &str| entry.get(key).and_then(toml::Value::as_str);
            let words = |key: &str| -> Option<Vec<String>> {
                let list = entry.get(key)?.as_array()?;
                Some(list.iter().filter_map(toml::Value::as_str).map(str::to_owned).collect())
            };
            Ok(Comparison {
                name: text("name").context("a comparison has a name")?.to_owned(),
                asks: text("asks").context("a comparison says what it asks")?.to_owned(),
                ours: words("ours").context("a comparison has a command for ours")?,
                reference: words("reference"),
                tolerance: entry.get("tolerance").and_then(toml::Value::as_float).unwrap_or(1e-9),
                keep: entry.get("keep").and_then(toml::Value::as_bool).unwrap_or(false),
            })
        })
        .collect()
}

/// What one side says about one case.
#[derive(Debug, Clone)]
struct Said {
    seed: Value,
    result: Value,
    seconds: f64,
}

/// Runs both sides on the same cases in this run; returns how many results differ.
fn compare(house: &House, comparison: &Comparison, keep: bool) -> Result<usize> {
    println!("{}: {}", comparison.name, comparison.asks);
    let ours_text = said(house, &comparison.ours, None)?;
    let ours = read(&ours_text)?;
    ensure!(!ours.is_empty(), "{} printed no case", comparison.ours.join(" "));
    let Some(reference) = &comparison.reference else {
        for (case, said) in &ours {
            let result = if said.result.is_null() { String::new() } else { said.result.to_string() };
            println!("  {case:30} {:>12}  {result}", shown(said.seconds));
        }
        return Ok(0);
    };
    let theirs: BTreeMap<String, Said> =
        read(&said(house, reference, Some(&ours_text))?)?.into_iter().collect();
    if keep && comparison.keep {
        keep_answers(house, comparison, &ours, &theirs)?;
    }
    let mut unequal = 0;
    println!("  {:24} {:>12} {:>12} {:>9}  result", "case", "ours", "reference", "ratio");
    for (case, said) in &ours {
        let Some(other) = theirs.get(case) else {
            unequal += 1;
            println!(
                "  {case:24} {:>12} {:>12} {:>9}  the reference says nothing",
                shown(said.seconds),
                "-",
                "-"
            );
            continue;
        };
        let equal = same(&said.result, &other.result, comparison.tolerance);
        unequal += usize::from(!equal);
        let ratio = format!("{:.1}", other.seconds / said.seconds);
        let verdict =
            if equal { "equal".to_owned() } else { format!("DIFFERS: {} | {}", said.result, other.result) };
        println!(
            "  {case:24} {:>12} {:>12} {ratio:>9}  {verdict}",
            shown(said.seconds),
            shown(other.seconds)
        );
    }
    Ok(unequal)
}

/// Writes what the reference answered, with the versions that answered.
fn keep_answers(
    house: &House,
    comparison: &Comparison,
    ours: &[(String, Said)],
    theirs: &BTreeMap<String, Said>,
) -> Result<()> {
    let pins = fs::read_to_string(house.root.join("bench/requirements.txt"))?;
    let mut versions: BTreeMap<&str, String> = pins
        .lines()
        .filter_map(|line| line.split_once("=="))
        .map(|(library, version)| (library, version.to_owned()))
        .collect();
    let said = Command::new(python(house)?).arg("--version").output()?;
    let python = String::from_utf8(said.stdout)?.trim().trim_start_matches("Python ").to_owned();
    versions.insert("python", python);
    let cases: Vec<Value> = ours
        .iter()
        .filter_map(|(case, said)| {
            let answer = theirs.get(case)?;
            Some(serde_json::json!({"case": case, "seed": said.seed, "result": answer.result}))
        })
        .collect();
    let made_by = comparison.reference.as_ref().and_then(|words| words.last());
    let kept = serde_json::json!({"made_by": made_by, "versions": versions, "cases": cases});
    let path = house.root.join("bench/reference").join(format!("{}.json", comparison.name));
    fs::create_dir_all(house.root.join("bench/reference"))?;
    fs::write(&path, format!("{kept}\n"))?;
    println!("  kept in {}", path.display());
    Ok(())
}

/// Runs one side at the top of the repository. `python` means the one with the pinned packages of
/// `bench/requirements.txt`.
fn said(house: &House, words: &[String], input: Option<&str>) -> Result<String> {
    let (program, args) = words.split_first().context("a command has a program")?;
    let mut command = match program.as_str() {
        "cargo" => house.cargo(),
        "python" => {
            let mut command = Command::new(python(house)?);
            command.current_dir(&house.root);
            // A tuned setting for old libraries would slow the reference down and flatter us.
            command.env_remove("OPENBLAS_CORETYPE").env_remove("OPENBLAS_L2_SIZE");
            command
        }
        "program" => {
            // The program as it ships, and one beside it that asks it.
            tools::run(house.cargo().args(["build", "--release", "--quiet", "-p", "lanewright"]))?;
            let mut command = house.cargo();
            command.args(["run", "--release", "--quiet", "-p", "lanewright", "--example"]);
            command
        }
        "browser" => {
            // The app as it ships, and a program of ours that runs it in a browser.
            web::build(house, web::Kind::Ship)?;
            tools::run(house.cargo().args([
                "build",
                "--quiet",
                "-p",
                "lanewright",
                "-p",
                "lanewright-e2e",
                "--bins",
            ]))?;
            let mut command = house.cargo();
            command.args(["run", "--quiet", "-p", "lanewright-e2e", "--bin"]);
            command
                .env("LANEWRIGHT_BROWSER", tools::ensure_browser()?)
                .env("LANEWRIGHT_PROGRAM", house.program());
            command
        }
        other => bail!("a side runs through cargo, python, the program or a browser, not {other}"),
    };
    let mut child = command
        .args(args)
        .stdin(if input.is_some() { Stdio::piped() } else { Stdio::null() })
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("could not run {}", words.join(" ")))?;
    let pipe = child.stdin.take();
    let output = std::thread::scope(|scope| {
        if let (Some(mut pipe), Some(input)) = (pipe, input) {
            // Written beside the reading: a side that answers as it reads would otherwise wait for ever.
            scope.spawn(move || pipe.write_all(input.as_bytes()));
        }
        child.wait_with_output()
    })?;
    ensure!(output.status.success(), "{} ended with {}", words.join(" "), output.status);
    Ok(String::from_utf8(output.stdout)?)
}

/// Returns a Python that has exactly the pinned packages; makes it on first use.
fn python(house: &House) -> Result<PathBuf> {
    let pins = fs::read_to_string(house.root.join("bench/requirements.txt"))?;
    let folder = house.target.join("bench-venv");
    let program = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let stamp = folder.join("pinned");
    if fs::read_to_string(&stamp).is_ok_and(|stamped| stamped == pins) {
        return Ok(program);
    }
    eprintln!("making a Python with the pinned reference libraries");
    let base = tools::find("python3").context("the reference libraries need python3")?;
    let _ = fs::remove_dir_all(&folder);
    tools::run(Command::new(base).args(["-m", "venv"]).arg(&folder))
        .context("python3 could not make a venv (Debian: apt-get install python3-venv)")?;
    let pip = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"];
    tools::run(Command::new(&program).args(pip).arg(house.root.join("bench/requirements.txt")))?;
    fs::write(&stamp, pins)?;
    Ok(program)
}

/// Reads the lines of one side: case by case, in their order.
fn read(text: &str) -> Result<Vec<(String, Said)>> {
    let mut cases = Vec::new();
    for line in text.lines().filter(|line| line.starts_with('{')) {
        let data: Value = serde_json::from_str(line).with_context(|| line.to_owned())?;
        let case = data["case"].as_str().context("a line has a case")?.to_owned();
        let seconds = data["seconds"].as_f64().context("a line has seconds")?;
        let (seed, result) = (data["seed"].clone(), data["result"].clone());
        cases.push((case, Said { seed, result, seconds }));
    }
    Ok(cases)
}

/// Returns whether two results are the same, numbers up to the tolerance.
fn same(ours: &Value, theirs: &Value, tolerance: f64) -> bool {
    match (ours, theirs) {
        (Value::Number(a), Value::Number(b)) => match (a.as_f64(), b.as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= tolerance * a.abs().max(b.abs()).max(1.0),
            _ => a == b,
        },
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b, tolerance))
        }
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len()
                && a.iter().all(|(key, value)| b.get(key).is_some_and(|other| same(value, other, tolerance)))
        }
        (a, b) => a == b,
    }
}

fn shown(seconds: f64) -> String {
    match seconds {
        seconds if seconds >= 1.0 => format!("{seconds:.2} s"),
        seconds if seconds >= 1e-3 => format!("{:.2} ms", seconds * 1e3),
        seconds => format!("{:.1} µs", seconds * 1e6),
    }
}

/// How many cases a property gets in a long run.
const SOAK_CASES: u64 = 100_000;

/// How many more cases a reader of foreign bytes gets: they are short.
const SOAK_FUZZ_TIMES: u64 = 10;

/// Crates with properties and fuzz tests worth a long run, and which of their tests. Of the program: reading sound, the
/// kills and the power cuts, as many times as often as the properties' cases are more.
const SOAK_CRATES: [(&str, &[&str]); 8] = [
    ("lanewright-model", &["--lib", "--tests"]),
    ("lanewright-science", &["--lib", "--tests"]),
    ("lanewright-draw", &["--lib", "--tests"]),
    ("lanewright-listen", &["--lib", "--tests"]),
    ("lanewright-sync", &["--lib", "--tests"]),
    ("lanewright-store", &["--lib", "--tests"]),
    ("lanewright-sim", &["--lib", "--tests"]),
    ("lanewright", &["--bins", "--test", "kill", "--test", "power_cut"]),
];

/// Reads the words behind `soak`, a number of cases and a part of a crate's name, and runs every property with many
/// cases, optimised but with overflow checks and assertions on.
pub fn soak(house: &House, words: &[String]) -> Result<()> {
    let (mut cases, mut part) = (SOAK_CASES, "");
    for word in words {
        match word.replace('_', "").parse() {
            Ok(number) => cases = number,
            Err(_) => part = word,
        }
    }
    let mut failed = Vec::new();
    let chosen = SOAK_CRATES.iter().filter(|(name, _)| name.ends_with(part));
    for (name, tests) in chosen {
        let began = Instant::now();
        let mut command = house.cargo();
        command.args(["test", "--profile", "soak", "--no-fail-fast", "-p", name]).args(*tests);
        command.env("PROPTEST_CASES", cases.to_string()).env("LANEWRIGHT_SOAK_CASES", cases.to_string());
        command.env("LANEWRIGHT_FUZZ_CASES", (SOAK_FUZZ_TIMES * cases).to_string());
        command.args(["--", "--nocapture"]);
        let counts = tools::count_tests(&mut command)?;
        println!(
            "soak: {name}, {cases} cases a property, {} passed, {} failed, {:.0} s",
            counts.passed,
            counts.failed,
            began.elapsed().as_secs_f64()
        );
        if counts.failed > 0 {
            failed.push(*name);
        }
    }
    ensure!(failed.is_empty(), "failed: {}", failed.join(", "));
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn results_are_the_same_up_to_the_tolerance() {
        assert!(same(
            &json!({"cost": 1.0, "lanes": [1, 2]}),
            &json!({"lanes": [1, 2], "cost": 1.0 + 1e-12}),
            1e-9
        ));
        for other in
            [json!({"cost": 1.001, "lanes": [1, 2]}), json!({"cost": 1.0, "lanes": [2, 1]}), json!(null)]
        {
            assert!(!same(&json!({"cost": 1.0, "lanes": [1, 2]}), &other, 1e-9), "{other}");
        }
    }

    #[test]
    fn lines_that_are_no_cases_are_passed_over() {
        let cases = read("warming up\n{\"case\":\"a\",\"result\":1,\"seconds\":0.5}\n").expect("one case");
        assert_eq!((cases[0].0.as_str(), cases[0].1.seconds), ("a", 0.5));
        assert!(read("{\"result\":1}\n").is_err());
    }

    #[test]
    fn the_list_of_comparisons_of_this_repository_is_sound() {
        let text = include_str!("../../bench/bench.toml");
        for comparison in comparisons(text).expect("it parses") {
            let scripts = comparison.reference.iter().flatten().filter(|word| word.ends_with(".py"));
            for script in scripts {
                let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..").join(script);
                assert!(path.exists(), "{}: no {script}", comparison.name);
            }
        }
    }
}
