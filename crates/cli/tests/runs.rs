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

/// Notes are wrapped at the width of a page.
fn notes(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" ")
}

const CLASS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/class.csv");

#[test]
fn a_run_of_the_future_is_named_and_left_out_and_changes_no_verdict() {
    let good = std::fs::read_to_string(RUNS).expect("the demo runs");
    let first = good.lines().next().expect("a line");
    let (start, rest) = first.split_once("\"at\":\"").expect("a date");
    let future = format!("{start}\"at\":\"2636{}", &rest[4..]);
    let input = format!("{good}{future}\n");
    let line = format!("line {} (", good.lines().count() + 1);
    let folder = tempfile::tempdir().expect("a folder");
    let (mixed, only) = (folder.path().join("mixed.jsonl"), folder.path().join("only.jsonl"));
    std::fs::write(&mixed, &input).expect("written");
    std::fs::write(&only, format!("{future}\n")).expect("written");
    let (mixed, only) = (mixed.to_str().expect("a path"), only.to_str().expect("a path"));
    let lesson = ["lesson", "--class", CLASS, "--minutes", "40", "--hurdles", "24", "--on", "2026-03-02"];
    let lesson = [&lesson[..], &["--steps-max", "20000", "--json", "--history"]].concat();
    let mut calls = vec![vec!["decide", "--json"], vec!["cause", "--json"], lesson];
    if cfg!(feature = "pdf") {
        calls.push(vec!["report", "class", "--class", CLASS, "--json"]);
    }
    for call in calls {
        let plain = lanewright(&[&call[..], &[RUNS]].concat());
        assert!(plain.status.success() && plain.stderr.is_empty(), "{call:?}: {}", notes(&plain));
        let spoilt = lanewright(&[&call[..], &[mixed]].concat());
        assert!(spoilt.stdout == plain.stdout, "{call:?}");
        let said = notes(&spoilt);
        assert!(said.contains("One run is dated ahead") && said.contains(&line), "{call:?}: {said}");
        assert!(said.contains("2636)") && said.contains("Put the dates right"), "{said}");
    }
    let all = lanewright(&["decide", only]);
    assert_eq!(all.status.code(), Some(4));
    assert!(notes(&all).contains("every run is dated ahead") && notes(&all).contains("or the clock"));
    let german = lanewright(&["decide", mixed, "--language", "de"]);
    assert!(notes(&german).contains("in der Zukunft und bleibt weg: Zeile"), "{}", notes(&german));
}

#[test]
fn what_cannot_be_is_named_by_line_key_and_range() {
    let run = |more: &str| {
        format!(r#"{{"runner":"r01","drill":"alternate-run","at":"2026-03-02T10:00:00Z","hurdles":8{more}}}"#)
    };
    let lines = [
        run(""),
        run(r#","gap_m":-1"#),
        run(r#","gap_m":250"#),
        run(r#","height_cm":99999"#),
        run(r#","height_cm":1e999"#),
        run("").replace("\"hurdles\":8", "\"hurdles\":-8"),
    ];
    let refused = with_input(&["decide", "-"], &lines.join("\n"));
    assert_eq!(refused.status.code(), Some(4));
    let said = notes(&refused);
    for says in [
        "has 5 lines that cannot be read",
        "line 2: `gap_m` is -1; allowed is 0.1 to 20 m",
        "line 3: `gap_m` is 250; allowed is 0.1 to 20 m",
        "line 4: `height_cm` is 99999; allowed is 0 to 120 cm",
        "line 5: `height_cm` is 1e999; write centimetres",
        "line 6: `hurdles` is -8; write a whole number",
    ] {
        assert!(said.contains(says), "{says}: {said}");
    }
    assert!(!said.contains("line 1"), "{said}");
}

#[test]
fn a_drill_that_no_ladder_has_is_named_with_its_lines() {
    let run = |drill: &str| {
        format!(
            r#"{{"runner":"r01","drill":"{drill}","at":"2026-03-02T10:00:00Z","hurdles":8,"knocked":[2]}}"#
        )
    };
    let input = [run("alternate-run"), run("alternate-rum"), run("alternate-rum")].join("\n");
    for command in ["decide", "cause"] {
        let said = notes(&with_input(&[command, "-"], &input));
        assert!(said.contains("This drill is not on the ladder"), "{said}");
        assert!(said.contains("alternate-rum (lines 2, 3). Is alternate-run meant?"), "{said}");
    }
    assert_eq!(notes(&with_input(&["decide", "-"], &run("alternate-run"))), "");
    // A ladder of one's own makes a drill known.
    let folder = tempfile::tempdir().expect("a folder");
    let (ladder, runs) = (folder.path().join("own.toml"), folder.path().join("runs.jsonl"));
    let built_in = include_str!("../../model/data/drills.toml");
    std::fs::write(&ladder, built_in.replace("\"two-contact-walk\"", "\"our-walk\"")).expect("written");
    std::fs::write(&runs, run("our-walk")).expect("written");
    let (ladder, runs) = (ladder.to_str().expect("a path"), runs.to_str().expect("a path"));
    let lesson = ["lesson", "--class", CLASS, "--minutes", "40", "--hurdles", "24", "--on", "2026-03-02"];
    let lesson = [&lesson[..], &["--steps-max", "20000", "--history", runs]].concat();
    assert!(notes(&lanewright(&lesson)).contains("our-walk (line 1)"));
    let known = lanewright(&[&lesson[..], &["--ladder", ladder]].concat());
    assert!(known.status.success() && known.stderr.is_empty(), "{}", notes(&known));
}

#[test]
fn runners_who_are_not_in_the_class_list_are_named_with_their_lines() {
    let line = |runner: &str| {
        format!(r#"{{"runner":"{runner}","drill":"alternate-run","at":"2026-03-02T10:00:00Z","hurdles":8}}"#)
    };
    let mut input = vec![line("r01"), line("Bo"), line("Bo"), line("Cy")];
    let folder = tempfile::tempdir().expect("a folder");
    let runs = folder.path().join("runs.jsonl");
    let lesson = ["lesson", "--class", CLASS, "--minutes", "40", "--hurdles", "24", "--on", "2026-03-02"];
    let lesson =
        [&lesson[..], &["--steps-max", "20000", "--history", runs.to_str().expect("a path")]].concat();
    std::fs::write(&runs, input.join("\n")).expect("written");
    let said = notes(&lanewright(&lesson));
    assert!(said.contains("not in the class list: Bo (lines 2, 3), Cy (line 4)."), "{said}");
    input.extend((0..8).map(|number| line(&format!("x{number}"))));
    std::fs::write(&runs, input.join("\n")).expect("written");
    let said = notes(&lanewright(&lesson));
    assert!(said.contains("x5 (line 10) and 2 more."), "{said}");
}

#[test]
fn runs_of_two_classes_that_use_the_same_ids_are_never_one_child() {
    let line = |class: &str, day: usize, knocked: &str| {
        format!(
            "{{\"runner\":\"r01\",\"drill\":\"alternate-run\",\"at\":\"2026-03-0{day}T10:00:00Z\",\
             \"hurdles\":6,\"knocked\":[{knocked}],\"class\":\"{class}\"}}\n\
             {{\"kind\":\"bout\",\"runner\":\"r01\",\"drill\":\"side-shuttle\",\"at\":\"2026-03-0{day}T10:10:00Z\",\
             \"passes\":6,\"turns\":5,\"one_step_turns\":4,\"seconds\":15,\"class\":\"{class}\"}}\n"
        )
    };
    let own: String = (2..6).map(|day| line("7-larch", day, "")).collect();
    let both: String =
        own.clone() + &(2..6).map(|day| line("8-alder", day, "1,2,3,4,5,6")).collect::<String>();
    let report = ["report", "class", "-", "--class", CLASS, "--json"];
    let alone = with_input(&report, &own);
    assert!(alone.status.success(), "{}", notes(&alone));
    let refused = with_input(&report, &both);
    assert!(!refused.status.success() && refused.stdout.is_empty());
    let said = notes(&refused);
    assert!(said.contains("several classes: 7-larch (8 lines), 8-alder (8 lines). r01"), "{said}");
    assert!(said.contains("--runs-of"), "{said}");
    let chosen = with_input(&[&report[..], &["--runs-of", "7-larch"]].concat(), &both);
    assert_eq!(chosen.stdout, alone.stdout, "{}", notes(&chosen));
    let merged = with_input(&[&report[..], &["--runs-of", "7-larch,8-alder"]].concat(), &both);
    assert!(merged.status.success() && merged.stdout != alone.stdout, "{}", notes(&merged));
    let none = with_input(&[&report[..], &["--runs-of", "7-lurch"]].concat(), &both);
    assert!(notes(&none).contains("has no class 7-lurch. It has 7-larch (8 lines)"), "{}", notes(&none));
}

#[test]
fn a_file_of_another_kind_is_called_so_once_and_a_file_joined_to_itself_is_noticed() {
    let list = std::fs::read_to_string(CLASS).expect("the class list");
    let refused = with_input(&["decide", "-"], &list);
    let said = notes(&refused);
    assert_eq!(refused.status.code(), Some(4), "{said}");
    assert!(
        said.contains("is no run file") && said.contains("--class") && !said.contains("line 2"),
        "{said}"
    );
    let line = |minute: usize, more: &str| {
        format!(
            "{{\"runner\":\"r01\",\"drill\":\"alternate-run\",\"at\":\"2026-03-02T10:{minute:02}:00Z\",\
             \"hurdles\":6{more}}}\n"
        )
    };
    let once: String = (10..20).map(|minute| line(minute, "")).collect();
    let told = with_input(&["decide", "-"], &once);
    assert!(told.status.success() && told.stderr.is_empty(), "{}", notes(&told));
    let said = notes(&with_input(&["decide", "-"], &format!("{once}{once}")));
    assert!(said.contains("10 lines repeat another") && said.contains("11 as 1, 12 as 2"), "{said}");
    assert!(said.contains("and 2 more"), "{said}");
    // Whoever types runs in from paper has no seconds.
    let paper: String = (10..12).map(|_| line(10, ",\"source\":\"paper\"")).collect();
    assert!(with_input(&["decide", "-"], &paper).stderr.is_empty());
}

#[test]
fn knocks_in_lanes_without_names_are_told_without_them() {
    let run = |runner: usize, day: usize, knocked: &str| {
        format!(
            "{{\"runner\":\"r{runner}\",\"drill\":\"alternate-run\",\"at\":\"2026-03-0{day}T10:0{runner}:00Z\",\
             \"hurdles\":6,\"knocked\":[{knocked}]}}"
        )
    };
    let lines = |days: usize| -> String {
        let knocked = |at| if at % 2 == 0 { "2" } else { "" };
        (0..40).map(|at| run(at % 8, 2 + at / 8 % days, knocked(at)) + "\n").collect()
    };
    for (language, says, days) in [("en", "hurdle 2", 5), ("en", "hurdle 2", 1), ("de", "Hürde 2", 5)] {
        let output = with_input(&["cause", "-", "--language", language], &lines(days));
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(output.status.success() && said.contains(says), "{said}");
        assert!(!said.contains("lane  ") && !said.contains("//") && !said.contains("Bahn ,"), "{said}");
        assert!(!said.contains("Lane ,") && !said.contains("Lane  "), "{said}");
    }
}

const UNIT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/unit.jsonl");

fn json(output: &Output) -> Vec<serde_json::Value> {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("a JSON list")
}

#[test]
fn next_steps_and_cards_say_the_same_of_every_child_and_drill() {
    for file in [RUNS, UNIT] {
        let steps = json(&lanewright(&["decide", file, "--json"]));
        let cards = json(&lanewright(&["report", "cards", file, "--class", CLASS, "--json"]));
        let mut compared = 0;
        for card in &cards {
            for drill in card["drills"].as_array().expect("drills") {
                let Some(on_card) = drill.get("decision") else { continue };
                let step = steps
                    .iter()
                    .find(|step| step["runner"] == card["runner"] && step["drill"] == drill["drill"])
                    .expect("whoever has a card has a next step");
                for key in ["action", "p_up", "p_back", "clean_rate", "needed", "runs", "hurdles", "as_of"] {
                    assert_eq!(step[key], on_card[key], "{key} of {} at {}", card["runner"], drill["drill"]);
                }
                compared += 1;
            }
        }
        assert_eq!(compared, steps.len());
    }
}

#[test]
fn the_line_of_a_child_says_which_hurdle_of_its_lane_to_look_at_first() {
    let causes = lanewright(&["cause", RUNS, "--json"]);
    let causes: serde_json::Value = serde_json::from_slice(&causes.stdout).expect("JSON");
    let bad = &causes["slots"][0];
    let told: Vec<serde_json::Value> = json(&lanewright(&["decide", RUNS, "--json"]))
        .into_iter()
        .filter(|step| step.get("lanes").is_some())
        .collect();
    assert!(!told.is_empty());
    let mut knocks = 0;
    for step in &told {
        let place = &step["lanes"]["places"][0];
        assert_eq!((&place["lane"], &place["hurdle"]), (&bad["lane"], &bad["hurdle"]));
        assert!(
            step["lanes"]["without"]["clean_rate"]["mean"].as_f64() > step["clean_rate"]["mean"].as_f64()
        );
        knocks += place["knocks"].as_u64().expect("a count");
    }
    let all = bad["knocks"].as_u64().expect("a count");
    assert!(
        2 * knocks > all && knocks <= all,
        "{knocks} of {all}: nearly all are told to the child who made them"
    );
    let said = String::from_utf8_lossy(&lanewright(&["decide", RUNS]).stdout).replace('\n', " ");
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("Look at hurdle 5 of lane B first"), "{said}");
    let german = lanewright(&["decide", RUNS, "--language", "de"]);
    let german = String::from_utf8_lossy(&german.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(german.contains("Erst nach Hürde 5 von Bahn B sehen"), "{german}");
}

#[test]
fn what_is_wrong_with_a_run_file_is_told_in_german() {
    let good = std::fs::read_to_string(RUNS).expect("the demo runs");
    let input = format!("{}\n{{\"runner\":\"r01\"}}\n", good.lines().next().expect("a line"));
    let refused = with_input(&["decide", "-", "--language", "de"], &input);
    assert_eq!(refused.status.code(), Some(4));
    let said = String::from_utf8_lossy(&refused.stderr);
    for part in
        ["Fehler: in `-` ist eine Zeile nicht zu lesen", "Zeile 2: `drill` fehlt", "--skip-bad übergehen"]
    {
        assert!(said.contains(part), "{said}");
    }
    let passed = with_input(&["decide", "-", "--skip-bad", "--language", "de"], &input);
    assert!(notes(&passed).contains("übergangen: Zeile 2: `drill` fehlt"), "{}", notes(&passed));
    let all_stood = r#"{"runner":"a","drill":"alternate-run","at":"2026-03-02T10:00:00Z","hurdles":8}"#;
    let nothing = with_input(&["cause", "-", "--language", "de"], all_stood);
    assert!(notes(&nothing).contains("kippte keine Hürde"), "{}", notes(&nothing));
}
