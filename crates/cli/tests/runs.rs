//! The commands that judge run files, as a person calls them.

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

const RUNS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/runs.jsonl");

fn lanewright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lanewright")).args(arguments).output().expect("the program starts")
}

fn with_input(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_lanewright"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    child.stdin.take().expect("piped").write_all(input.as_bytes()).expect("it reads");
    child.wait_with_output().expect("it ends")
}

#[test]
fn decide_gives_the_promised_keys_for_every_runner_and_drill() {
    let output = lanewright(&["decide", RUNS, "--json"]);
    assert!(output.status.success());
    let all: Vec<serde_json::Value> = serde_json::from_slice(&output.stdout).expect("a JSON list");
    assert_eq!(all.len(), 29);
    for one in &all {
        for key in ["runner", "drill", "action", "p_up", "p_back", "clean_rate", "runs", "hurdles", "why"] {
            assert!(one.get(key).is_some(), "{key} is missing in {one}");
        }
        let rate = &one["clean_rate"];
        let number = |key: &str| rate[key].as_f64().expect("a number");
        assert!(number("low") <= number("mean") && number("mean") <= number("high"));
        assert!(!one["why"][0]["text"].as_str().expect("text").is_empty());
    }
    assert!(all.iter().any(|one| one["action"] == "not-enough-seen"));
}

#[test]
fn cause_gives_the_promised_keys_and_blames_the_bad_hurdle_of_the_demo() {
    let output = lanewright(&["cause", RUNS, "--json"]);
    assert!(output.status.success());
    let causes: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!((&causes["slots"][0]["lane"], &causes["slots"][0]["hurdle"]), (&"B".into(), &5.into()));
    for key in ["lead", "order", "position"] {
        assert!(causes[key]["median"].as_f64().is_some(), "{key}");
    }
}

#[test]
fn bad_lines_are_named_and_passed_over_only_when_asked() {
    let good = std::fs::read_to_string(RUNS).expect("the demo runs");
    let first = good.lines().next().expect("a line");
    let input = format!("{first}\n{{\"runner\":\"r01\"}}\n{first}\nhello\n");
    let refused = with_input(&["decide", "-"], &input);
    assert_eq!(refused.status.code(), Some(4));
    assert!(refused.stdout.is_empty());
    let said = String::from_utf8_lossy(&refused.stderr);
    assert!(said.contains("line 2") && said.contains("line 4") && said.contains("--skip-bad"), "{said}");
    let skipped = with_input(&["decide", "-", "--skip-bad", "--json"], &input);
    assert!(skipped.status.success());
    assert!(String::from_utf8_lossy(&skipped.stderr).contains("line 4"));
    let all: Vec<serde_json::Value> = serde_json::from_slice(&skipped.stdout).expect("a JSON list");
    assert_eq!(all[0]["runs"], 2);
}

#[test]
fn nothing_to_judge_and_nothing_to_explain_say_so() {
    assert_eq!(with_input(&["decide", "-"], "\n").status.code(), Some(5));
    let clean = r#"{"runner":"a","drill":"alternate-run","at":"2026-03-02T10:00:00Z","hurdles":8}"#;
    let output = with_input(&["cause", "-"], clean);
    assert_eq!(output.status.code(), Some(5));
    assert!(String::from_utf8_lossy(&output.stderr).contains("no hurdle fell"));
    assert_eq!(lanewright(&["decide", "no-such-file.jsonl"]).status.code(), Some(3));
}

#[test]
fn a_hundred_thousand_runs_are_read_without_trouble() {
    let good = std::fs::read_to_string(RUNS).expect("the demo runs");
    let lines: Vec<&str> = good.lines().filter(|line| !line.contains("sweep")).collect();
    let mut input = String::new();
    for copy in 0..100_000 / lines.len() + 1 {
        for line in &lines {
            // Other children, so that nothing is counted twice.
            input.push_str(
                &line.replace("\"runner\":\"r", &format!("\"class\":\"c{}\",\"runner\":\"r", copy % 12)),
            );
            input.push('\n');
        }
    }
    let output = with_input(&["decide", "-", "--json"], &input);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let all: Vec<serde_json::Value> = serde_json::from_slice(&output.stdout).expect("a JSON list");
    assert_eq!(all.len(), 12 * 28);
}
