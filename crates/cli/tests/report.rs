//! Progress on paper, as a person and another program call it.
#![cfg(feature = "pdf")]

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const CLASS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/class.csv");
const RUNS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/unit.jsonl");

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lanewright")).args(args).output().expect("the program starts")
}

fn report(what: &str, more: &[&str]) -> Output {
    run(&[&["report", what, RUNS, "--class", CLASS], more].concat())
}

fn ok(output: &Output) -> &[u8] {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    &output.stdout
}

fn file(folder: &Path, name: &str) -> String {
    folder.join(name).to_str().expect("a path").to_owned()
}

#[test]
fn cards_come_as_pdf_page_and_json_that_agree() {
    let folder = tempfile::tempdir().expect("a folder");
    let (pdf, html) = (file(folder.path(), "cards.pdf"), file(folder.path(), "cards.html"));
    let output = report("cards", &["--pdf", &pdf, "--html", &html, "--json"]);
    let children: Value = serde_json::from_slice(ok(&output)).expect("JSON");
    assert_eq!(children.as_array().expect("a list").len(), 28);
    let child = &children[0];
    for key in ["runner", "days", "runs", "hurdles", "drills", "focus", "next"] {
        assert!(!child[key].is_null(), "{key}");
    }
    assert_eq!(child["drills"].as_array().expect("drills").len(), 9);
    assert!(child["drills"][0]["decision"]["why"][0]["text"].is_string());
    let page = std::fs::read_to_string(&html).expect("the page");
    assert!(page.contains("<h1>Abiola</h1>") && page.matches("<section>").count() == 28);
    assert!(std::fs::read(&pdf).expect("the file").starts_with(b"%PDF-1.7"));
}

#[test]
fn one_child_in_very_plain_words_is_one_card() {
    let output = report(
        "cards",
        &["--only", "Wren", "--words", "very-plain", "--one-to-a-sheet", "--show", "can,next", "--html", "-"],
    );
    let page = String::from_utf8(ok(&output).to_vec()).expect("text");
    assert_eq!(page.matches("<h1>").count(), 1);
    assert!(page.contains("<h1>Wren</h1>") && page.contains("Next time") && !page.contains("<svg"));
}

#[test]
fn equal_calls_give_equal_files() {
    let pdf = || ok(&report("class", &["--pdf", "-"])).to_vec();
    let first = pdf();
    assert!(first.len() > 10_000 && first == pdf());
}

#[test]
fn the_class_report_writes_charts_and_rows() {
    let folder = tempfile::tempdir().expect("a folder");
    let (svg, csv) = (file(folder.path(), "charts"), file(folder.path(), "progress.csv"));
    let output = report("class", &["--svg", &svg, "--csv", &csv, "--json"]);
    let json: Value = serde_json::from_slice(ok(&output)).expect("JSON");
    assert_eq!(json["days"].as_array().expect("days").len(), 5);
    assert!(json["lane_findings"][0]["text"].is_string());
    let count = std::fs::read_to_string(folder.path().join("charts/count.svg")).expect("a chart");
    assert!(count.starts_with("<svg") && count.contains("<desc"));
    let rows = std::fs::read_to_string(&csv).expect("the rows");
    let drills = json["drills"].as_array().expect("drills").len();
    assert_eq!(rows.lines().count(), 1 + 28 * drills);
    let width = rows.lines().next().expect("a head").split(',').count();
    assert!(rows.lines().all(|row| row.split(',').count() == width));
}

#[test]
fn no_chart_is_written_over_what_is_read_or_over_another_output() {
    let folder = tempfile::tempdir().expect("a folder");
    let charts = folder.path().join("charts");
    std::fs::create_dir(&charts).expect("a folder");
    let charts_name = file(folder.path(), "charts");
    for (kept, from, is_class) in [("count.svg", RUNS, false), ("alternate-run.svg", CLASS, true)] {
        // A file of runs that bears the name of a chart, and a link to it from elsewhere.
        let path = charts.join(kept);
        std::fs::copy(from, &path).expect("a copy");
        let own = path.to_str().expect("a path");
        let (runs, class) = if is_class { (RUNS, own) } else { (own, CLASS) };
        let csv = file(folder.path(), "rows.csv");
        let output = run(&["report", "class", runs, "--class", class, "--svg", &charts_name, "--csv", &csv]);
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{error}");
        assert!(error.contains("--svg would write over") && error.contains(kept), "{error}");
        assert_eq!(std::fs::read(&path).expect("the file"), std::fs::read(from).expect("the original"));
        assert_eq!(std::fs::read_dir(folder.path()).expect("the folder").count(), 1, "nothing was written");
        std::fs::remove_file(&path).expect("removed");
    }
    for folder_name in [charts_name, file(folder.path(), "not-there-yet")] {
        let csv = file(Path::new(&folder_name), "count.svg");
        let output = report("class", &["--svg", &folder_name, "--csv", &csv]);
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{error}");
        assert!(error.contains("--svg and --csv would both write"), "{error}");
        assert!(!Path::new(&csv).exists());
    }
}

#[test]
fn a_handover_says_first_that_it_is_too_hot_to_run() {
    let output = run(&[
        "report",
        "handover",
        "--class",
        CLASS,
        "--minutes",
        "50",
        "--hurdles",
        "24",
        "--space",
        "32x18",
        "--on",
        "2026-04-13",
        "--wbgt-c",
        "33",
        "--steps-max",
        "20000",
        "--html",
        "-",
    ]);
    let page = String::from_utf8(ok(&output).to_vec()).expect("text");
    let hot = page.find("do not run").expect("the caution");
    assert!(hot < page.find("<svg").expect("the timeline"));
}

#[test]
fn the_handover_takes_what_the_lesson_takes() {
    let folder = tempfile::tempdir().expect("a folder");
    let html = file(folder.path(), "handover.html");
    let output = run(&[
        "report",
        "handover",
        "--class",
        CLASS,
        "--history",
        RUNS,
        "--minutes",
        "50",
        "--hurdles",
        "24",
        "--space",
        "32x18",
        "--on",
        "2026-04-13",
        "--helping",
        "Wren",
        "--contact",
        "extension 12",
        "--steps-max",
        "20000",
        "--html",
        &html,
    ]);
    ok(&output);
    let page = std::fs::read_to_string(&html).expect("the page");
    for needed in ["Handover: class", "13\u{a0}April\u{a0}2026", "extension 12", "Wren stands hurdles up"] {
        assert!(page.contains(needed), "{needed}");
    }
}

#[test]
fn names_without_letters_are_told_by_their_place_and_never_printed_as_boxes() {
    let folder = tempfile::tempdir().expect("a folder");
    let (class, runs) = (file(folder.path(), "class.csv"), file(folder.path(), "runs.jsonl"));
    std::fs::write(&class, "id,name\na1,Ελένη\na2,ᎠᏓ\n").expect("a class list");
    let line =
        r#"{"runner":"a2","drill":"alternate-walk","at":"2026-03-02T10:00:00Z","hurdles":8,"knocked":[2]}"#;
    std::fs::write(&runs, format!("{line}\n")).expect("runs");
    let (pdf, html) = (file(folder.path(), "cards.pdf"), file(folder.path(), "cards.html"));
    let output = run(&["report", "cards", &runs, "--class", &class, "--pdf", &pdf, "--html", &html]);
    ok(&output);
    let note = String::from_utf8_lossy(&output.stderr).replace("\n  ", " ");
    assert!(note.contains("in these places of the class list: 2.") && !note.contains("ᎠᏓ"), "{note}");
    assert!(std::fs::read_to_string(&html).expect("the page").contains("ᎠᏓ"));
}

#[test]
fn calls_that_ask_for_nothing_or_for_too_much_are_refused() {
    for (more, says) in [
        (&["--only", "Wren"][..], "nothing is to come out"),
        (&["--json", "--pdf", "-"][..], "standard output"),
        (&["--only", "Wrenn", "--json"][..], "Did you mean `Wren`?"),
    ] {
        let output = report("cards", more);
        assert_eq!(output.status.code(), Some(2), "{more:?}");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains(says), "{said}");
    }
}
