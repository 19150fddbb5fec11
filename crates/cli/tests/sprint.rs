//! `lanewright sprint` as a person calls it.

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

const SPLITS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/splits.csv");

fn sprint(input: &str, arguments: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_lanewright"))
        .args(["sprint", "-"])
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // A program that refuses its flags does not read what it is sent.
    let _ = child.stdin.take().expect("piped").write_all(input.as_bytes());
    child.wait_with_output().expect("it ends")
}

fn json(input: &str, arguments: &[&str]) -> serde_json::Value {
    let output = sprint(input, &[arguments, &["--json"]].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

const MARKS: &str = "distance_m,time_s\n5,1.616\n10,2.528\n20,4.152\n30,5.709\n";

#[test]
fn one_runner_is_an_object_with_the_promised_keys() {
    let said = json(MARKS, &["--start", "first-movement", "--timing-sd-s", "0.005"]);
    for key in ["v_max_mps", "tau_s", "t0_s", "rse_s", "allowed", "reason", "splits"] {
        assert!(said.get(key).is_some(), "{key} is missing in {said}");
    }
    assert_eq!((&said["allowed"], &said["reason"]), (&true.into(), &serde_json::Value::Null));
    // Times of V = 6.5 m/s and τ = 1.1 s, rounded to the millisecond.
    assert!((said["v_max_mps"].as_f64().unwrap() - 6.5).abs() < 0.01);
    assert!((said["tau_s"].as_f64().unwrap() - 1.1).abs() < 0.005);
    let split = &said["splits"][1];
    assert_eq!(split["distance_m"], 10.0);
    assert!((split["speed_mps"].as_f64().unwrap() - 5.0 / (2.528 - 1.616)).abs() < 1e-12);
    assert!(split["low_mps"].as_f64() < split["speed_mps"].as_f64());
}

#[test]
fn a_runner_column_makes_a_list() {
    let file = std::fs::read_to_string(SPLITS).expect("the demo splits");
    let said = json(&file, &["--start", "photocell", "--timing-sd-s", "0.005"]);
    let names: Vec<&str> =
        said.as_array().unwrap().iter().map(|one| one["runner"].as_str().unwrap()).collect();
    assert_eq!(names, ["Wren", "Idris", "Cosima"]);
    // A list of one runner with a name is a list, too.
    let one = json("runner,distance_m,time_s\nWren,5,1.6\n", &["--start", "gun", "--timing-sd-s", "0.1"]);
    assert_eq!(one.as_array().unwrap().len(), 1);
}

#[test]
fn hand_times_and_hurdles_get_speeds_without_a_curve_and_are_told_why() {
    for (more, word) in
        [(&["--timing-sd-s", "0.1"][..], "0.1 s"), (&["--timing-sd-s", "0.005", "--hurdled"], "urdle")]
    {
        let said = json(MARKS, &[&["--start", "first-movement"], more].concat());
        assert_eq!(said["allowed"], false);
        for key in ["v_max_mps", "tau_s", "t0_s", "rse_s", "curve"] {
            assert!(said[key].is_null(), "{key} in {said}");
        }
        assert!(said["reason"].as_str().unwrap().contains(word), "{said}");
        assert!(!said["would_allow"].as_str().unwrap().is_empty());
        assert_eq!(said["splits"].as_array().unwrap().len(), 4);
    }
}

#[test]
fn mistakes_are_named_by_line_and_column_and_nothing_is_computed() {
    let start = ["--start", "gun", "--timing-sd-s", "0.1"];
    let refused = sprint("distance_m,time_s\n5,1.6\n10,soon\n20,1.5\n", &start);
    assert_eq!(refused.status.code(), Some(4));
    assert!(refused.stdout.is_empty());
    let said = String::from_utf8_lossy(&refused.stderr);
    assert!(said.contains("line 3, column time_s") && said.contains("line 4, column time_s"), "{said}");
    assert_eq!(sprint("distance_m,time_s\n", &start).status.code(), Some(5));
    assert_eq!(sprint("metres,seconds\n5,1\n", &start).status.code(), Some(4));
}

#[test]
fn a_decimal_comma_in_a_table_of_commas_is_never_read_as_another_time() {
    let start = ["--start", "gun", "--timing-sd-s", "0.1"];
    let refused = sprint("runner,distance_m,time_s\nA,10,2,5\n", &start);
    assert_eq!(refused.status.code(), Some(4));
    assert!(refused.stdout.is_empty());
    let said = String::from_utf8_lossy(&refused.stderr);
    assert!(said.contains("line 2, column 4") && said.contains("put ; between the cells"), "{said}");
    let read = sprint("runner;distance_m;time_s\nA;10;2,5\n", &start);
    assert!(String::from_utf8_lossy(&read.stdout).contains("2.50 s"), "{read:?}");
}

#[test]
fn times_that_nobody_runs_are_called_so() {
    let said =
        json("distance_m,time_s\n10,0.2\n20,0.3\n", &["--start", "photocell", "--timing-sd-s", "0.005"]);
    let reason = said["reason"].as_str().unwrap();
    assert!(reason.contains("50.0 m/s") && reason.contains("nobody runs faster than 13 m/s"), "{said}");
    assert!(said["would_allow"].as_str().unwrap().contains("Check the times"), "{said}");
    assert!(said["fastest"].is_null());
}

#[test]
fn flags_that_cannot_be_are_refused() {
    for (flags, word) in [
        (&["--start", "block", "--timing-sd-s", "0.1"][..], "flying:METRES"),
        (&["--start", "flying:0", "--timing-sd-s", "0.1"], "0.1 to 100 m"),
        (&["--start", "gun", "--timing-sd-s", "0"], "0.0001 to 1 s"),
        (&["--start", "gun", "--timing-sd-s", "-1"], "0.0001 to 1 s"),
        (&["--start", "gun", "--tape-sd-m", "-0.1", "--timing-sd-s", "0.1"], "0 to 0.5 m"),
        (&["--start", "gun", "--reaction-s", "2", "--timing-sd-s", "0.1"], "0 to 1 s"),
        (&["--start", "photocell", "--reaction-s", "0.2", "--timing-sd-s", "0.1"], "--start gun only"),
        (&["--start", "gun"], "--timing-sd-s"),
    ] {
        let refused = sprint(MARKS, flags);
        assert_eq!(refused.status.code(), Some(2), "{flags:?}");
        let said = String::from_utf8_lossy(&refused.stderr);
        assert!(said.contains(word), "{flags:?}: {said}");
    }
}

#[test]
fn what_is_wrong_with_a_table_of_times_is_told_in_german() {
    let arguments = ["--start", "photocell", "--timing-sd-s", "0.005", "--language", "de"];
    let refused = sprint("distance_m,time_s\n5,1.6\n10,NaN\n20,1.5\n", &arguments);
    assert_eq!(refused.status.code(), Some(4));
    let said = String::from_utf8_lossy(&refused.stderr);
    for part in [
        "Fehler: in `-` sind Fehler",
        "Zeile 3, Spalte time_s: „NaN“ ist keine Zahl",
        "Zeile 4, Spalte time_s: 1,5 s bei 20 m ist nicht später als 1,6 s bei 5 m (Zeile 2)",
        "Nichts wurde berechnet",
    ] {
        assert!(said.contains(part), "{said}");
    }
    let empty = sprint("distance_m,time_s\n", &arguments);
    assert!(String::from_utf8_lossy(&empty.stderr).contains("in `-` steht keine Zeit"));
}
