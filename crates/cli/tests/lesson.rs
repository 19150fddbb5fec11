//! The lesson, as a person and another program call it.

// Another program's own arithmetic is the point of it.
#![allow(clippy::disallowed_methods)]
use std::collections::BTreeMap;
use std::process::{Command, Output};

use serde_json::Value;

const CLASS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/class.csv");
const RUNS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/runs.jsonl");

fn lesson(more: &[&str]) -> Output {
    let usual = [
        "lesson",
        "--class",
        CLASS,
        "--minutes",
        "50",
        "--hurdles",
        "24",
        "--space",
        "32x18",
        "--on",
        "2026-03-02",
    ];
    Command::new(env!("CARGO_BIN_EXE_lanewright"))
        .args(usual)
        .args(["--steps-max", "2000000"])
        .args(more)
        .output()
        .expect("the program starts")
}

fn json(more: &[&str]) -> Value {
    let output = lesson(&[more, &["--json"]].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// The value as any other program can compute it.
fn value_again(plan: &Value) -> f64 {
    let mut runs: BTreeMap<(String, String), f64> = BTreeMap::new();
    for block in plan["blocks"].as_array().expect("blocks") {
        let lanes = block["groups"].as_array().expect("lanes");
        for (own, group) in lanes.iter().zip(plan["groups"].as_array().expect("groups")) {
            for runner in group["runners"].as_array().expect("runners") {
                let runner = runner.as_str().expect("an id");
                let drill = own["easier"].get(runner).unwrap_or(&own["drill"]).as_str().expect("an id");
                *runs.entry((runner.to_owned(), drill.to_owned())).or_default() +=
                    number(&group["rho"][drill]) * number(&block["minutes"]);
            }
        }
    }
    runs.iter()
        .map(|((runner, drill), runs)| {
            let worth = &plan["worth"][runner][drill];
            number(&worth["w"]) * number(&worth["e_g"]) * (1.0 - (-runs / 8.0).exp())
        })
        .sum()
}

#[test]
fn the_value_can_be_computed_again_from_the_output() {
    for more in [&[][..], &["--history", RUNS], &["--history", RUNS, "--adults", "2", "--use", "station"]] {
        let plan = json(more);
        assert!((value_again(&plan) - number(&plan["value"])).abs() < 1e-9);
        assert!(number(&plan["bound"]) >= number(&plan["value"]));
        let minutes = |list: &Value, key: &str| -> f64 {
            list.as_array().expect("a list").iter().map(|one| number(&one[key])).sum()
        };
        let used = minutes(&plan["fixed"], "minutes")
            + minutes(&plan["blocks"], "minutes")
            + minutes(&plan["blocks"], "change_minutes");
        assert_eq!(used, number(&plan["total_minutes"]));
        assert!(used <= 50.0);
        assert!(!plan["relaxation"].as_str().expect("text").is_empty());
        assert!(plan["blocks"][0]["why"][0]["text"].as_str().is_some_and(|text| !text.is_empty()));
    }
}

#[test]
fn the_same_question_has_the_same_answer() {
    assert_eq!(lesson(&["--history", RUNS, "--json"]).stdout, lesson(&["--history", RUNS, "--json"]).stdout);
}

#[test]
fn the_text_names_every_block_child_and_part() {
    let output = lesson(&["--history", RUNS, "--helping", "Wren", "--absent", "Idris"]);
    assert!(output.status.success());
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    for part in ["Register", "Block 1", "Two free runs without hurdles", "Kit away", "Take care"] {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
    assert!(text.contains("Wren stands hurdles up in lane A."), "{text}");
    assert!(!text.contains("Idris"), "who is absent has no part in it");
}

#[test]
fn what_is_fixed_stands() {
    let plan = json(&["--history", RUNS, "--fix", "2=8:two-contact-walk"]);
    assert_eq!(plan["blocks"][1]["minutes"], 8);
    for group in plan["blocks"][1]["groups"].as_array().expect("lanes") {
        assert_eq!(group["drill"], "two-contact-walk");
    }
    let plan = json(&["--history", RUNS, "--without", "dead-leg-run,alternate-run"]);
    assert!(!plan["blocks"].to_string().contains("dead-leg-run"));
}

#[test]
fn a_unit_has_its_lessons_on_their_days_and_is_the_same_for_the_same_seed() {
    let days = ["--history", RUNS, "--lesson-days", "2026-03-09,2026-03-16,2026-04-20", "--seed", "7"];
    let unit = json(&days);
    let lessons = unit["lessons"].as_array().expect("lessons");
    assert_eq!(lessons.len(), 3);
    assert_eq!((&lessons[2]["date"], &lessons[2]["check_first"]), (&"2026-04-20".into(), &true.into()));
    for lesson in lessons {
        for share in lesson["clean"].as_object().expect("drills").values() {
            assert!(number(&share["low_90"]) <= number(&share["low_80"]));
            assert!(number(&share["high_80"]) <= number(&share["high_90"]));
        }
    }
    assert_eq!(unit, json(&days));
    let text = String::from_utf8(lesson(&["--weeks", "2"]).stdout).expect("UTF-8").replace('\u{a0}', " ");
    assert!(text.starts_with("Lesson 1, 2 March 2026") && text.contains("Lesson 2, 9 March 2026"), "{text}");
}

#[test]
fn what_cannot_be_is_said_with_a_way_out() {
    for (more, code, says) in [
        (&["--drill", "alternate-rum"][..], 2, "Did you mean `alternate-run`?"),
        (&["--fix", "2=walk-about"], 2, "there is no drill with hurdles"),
        (&["--fix", "two"], 2, "2=8:two-contact-walk"),
        (&["--fixed", "register=48"], 5, "leave no block"),
        (&["--helping", "Nobody"], 2, "nobody in the class list"),
        (&["--history", "no-such-file.jsonl"], 3, "cannot be read"),
        (&["--blocks-max", "9"], 2, "--blocks-max is 9; allowed is 1 to 5"),
        (&["--adults", "-1"], 2, "write a whole number, 0 or more"),
        (
            &["--absent", "Idris", "--helping", "Wren,idris"],
            2,
            "Idris is named by --absent and by --helping.",
        ),
        (&["--weeks", "13"], 2, "2 to 12"),
        (&["--lesson-days", "2026-03-09,2026-03-02"], 2, "does not come after"),
    ] {
        let output = lesson(more);
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{more:?}: {error}");
        assert!(error.contains(says), "{more:?}: {error}");
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn flags_that_cannot_be_are_told_what_may_stand_there() {
    for (minutes, more, says) in [
        ("45.5", &[][..], "write whole minutes, 3 to 180"),
        ("-45", &[], "write whole minutes, 3 to 180"),
        ("2", &[], "--minutes is 2; allowed is 3 to 180 min"),
        ("50", &["--space", "-18x9"], "give length x width in metres, 1 to 500"),
        ("50", &["--on", "01.02.2025"], "write the day as YYYY-MM-DD"),
    ] {
        let output = Command::new(env!("CARGO_BIN_EXE_lanewright"))
            .args(["lesson", "--class", CLASS, "--hurdles", "24", "--minutes", minutes])
            .args(more)
            .output()
            .expect("the program starts");
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{error}");
        assert!(error.contains(says), "{error}");
    }
}

#[cfg(feature = "pdf")]
#[test]
fn a_unit_is_printed_as_one_lesson_is_and_the_same_every_time() {
    for flags in [&["--weeks", "2"][..], &["--lesson-days", "2026-03-09,2026-03-16", "--paper", "letter"]] {
        let pdf = || {
            let output = lesson(&[flags, &["--pdf", "-"]].concat());
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
            output.stdout
        };
        let first = pdf();
        assert!(first.starts_with(b"%PDF-1.7") && first.len() > 10_000 && first == pdf(), "{flags:?}");
    }
    let output = lesson(&["--weeks", "2", "--pdf", "-", "--json"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("both want standard output"));
}

#[cfg(feature = "pdf")]
#[test]
fn a_unit_is_no_handover_and_the_way_out_is_said() {
    for flags in [&["--weeks", "2"][..], &["--lesson-days", "2026-03-09,2026-03-16"]] {
        let output = Command::new(env!("CARGO_BIN_EXE_lanewright"))
            .args([
                "report",
                "handover",
                "--class",
                CLASS,
                "--minutes",
                "50",
                "--hurdles",
                "24",
                "--pdf",
                "-",
            ])
            .args(flags)
            .output()
            .expect("the program starts");
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{error}");
        let instead = format!("leave {} out", flags[0]);
        assert!(error.contains("A handover is for one lesson") && error.contains(&instead), "{error}");
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn of_many_who_stand_hurdles_up_two_are_named_and_the_rest_counted() {
    for (language, says) in [("en", "Stand hurdles up, in turn: "), ("de", "Es stellen reihum auf: ")] {
        let text = String::from_utf8(lesson(&["--language", language]).stdout).expect("UTF-8");
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let said: Vec<&str> =
            text.split(says).skip(1).map(|rest| rest.split('.').next().unwrap_or("")).collect();
        assert!(!said.is_empty());
        assert!(
            said.iter().all(|names| names.matches(',').count() == 1 && names.contains(" 5 ")),
            "{said:?}"
        );
    }
}
