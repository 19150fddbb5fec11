//! The commands on the data folder as a shell sees them.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use lanewright_store::{Password, SqliteStore, Store};
use lanewright_sync::SchoolId;
use serde_json::{Value, json};

const SCHOOL: &str = "5c0e1a52-6f0b-4b1d-9c38-0d6f2f1f7a10";
const FIXTURES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/export");

fn lanewright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lanewright")).args(args).stdin(Stdio::null()).output().unwrap()
}

/// Runs a command on a data folder.
fn on(data: &Path, args: &[&str]) -> Output {
    lanewright(&[args, &["--data", data.to_str().unwrap()]].concat())
}

#[track_caller]
fn done(output: &Output) -> String {
    assert!(output.status.success(), "{}", said(output));
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn said(output: &Output) -> String {
    // Notes are wrapped at the width of a page.
    String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn refused(output: &Output, code: i32, words: &[&str]) {
    let said = said(output);
    assert_eq!(output.status.code(), Some(code), "{said}");
    for word in words {
        assert!(said.contains(word), "{word} is missing: {said}");
    }
}

fn record(kind: &str, id: &str, body: Value) -> Value {
    json!({
        "id": id, "kind": kind, "version": 1, "body": body, "school": SCHOOL,
        "stamp": "1772446445000-000003-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e",
    })
}

/// A folder with two classes and three children, each with a height and a run.
fn school() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let id = |number: u32| format!("019c8945-2b80-7000-8000-{number:012}");
    let mut records = vec![
        record("class", &id(1), json!({"name": "7 Larch"})),
        record("class", &id(2), json!({"name": "8 Elm"})),
    ];
    for (number, class, name) in [(10, 1, "Zebulonquist"), (20, 1, "Bo"), (30, 2, "Bo")] {
        let runner = id(number);
        records.push(record("runner-label", &runner, json!({"class": id(class), "label": name})));
        let measured = json!({"kind": "stature", "stature_cm": 145.5});
        let body = json!({"runner": runner, "on": "2026-02-23", "measured": measured});
        records.push(record("measurement", &id(number + 1), body));
        let run = json!({
            "runner": runner, "drill": "alternate-run", "lane": "=B", "at_ms": 1_772_446_445_000i64, "hurdles": 8,
            "knocked": [3, 4], "setup": "B1", "gap_m": -1.5,
        });
        records.push(record("run", &id(number + 2), json!({"class": id(class), "run": run})));
    }
    let file = folder.path().join("start.json");
    let export = json!({"format": "lanewright-export/1", "school": SCHOOL, "records": records});
    fs::write(&file, export.to_string()).unwrap();
    let data = folder.path().join("data");
    let read = on(&data, &["import", file.to_str().unwrap()]);
    done(&read);
    assert!(said(&read).contains("11 records were read in"), "{}", said(&read));
    (folder, data)
}

/// Everything in a folder, without the moment of the export.
fn records(data: &Path) -> Value {
    let text = done(&on(data, &["export", "--to", "-"]));
    serde_json::from_str::<Value>(&text).unwrap()["records"].clone()
}

fn files_with(folder: &Path, text: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files_with(&path, text));
        } else if fs::read(&path).unwrap().windows(text.len()).any(|window| window == text.as_bytes()) {
            found.push(path);
        }
    }
    found
}

#[test]
fn what_was_exported_reads_in_elsewhere_as_the_same() {
    let (folder, data) = school();
    let all = records(&data);
    let json = folder.path().join("all.json");
    let tables = folder.path().join("tables");
    done(&on(&data, &["export", "--to", json.to_str().unwrap()]));
    done(&on(&data, &["export", "--form", "tables", "--to", tables.to_str().unwrap()]));
    for (name, from) in [("a", &json), ("b", &tables)] {
        let other = folder.path().join(name);
        done(&on(&other, &["import", from.to_str().unwrap()]));
        assert_eq!(records(&other), all);
        // Once more changes nothing.
        done(&on(&other, &["import", from.to_str().unwrap()]));
        assert_eq!(records(&other), all);
    }
    let copy = folder.path().join("copy.sqlite");
    done(&on(&data, &["export", "--form", "sqlite", "--to", copy.to_str().unwrap()]));
    let restored = folder.path().join("restored");
    done(&on(&restored, &["restore", copy.to_str().unwrap()]));
    assert_eq!(records(&restored), all);
    refused(
        &on(&data, &["export", "--form", "tables", "--to", tables.to_str().unwrap()]),
        6,
        &["there already"],
    );
}

#[test]
fn an_exported_data_file_lets_nobody_in() {
    let (folder, data) = school();
    let hash = "$argon2id$v=19$m=47104,t=1,p=1$yttrium";
    let password = Password { hash: hash.into(), set_ms: 5 };
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let school = SchoolId(SCHOOL.parse().unwrap());
        let store = SqliteStore::open(&data, school).await.unwrap();
        assert!(store.set_password(school, None, Some(password)).await.unwrap());
        store.close().await;
    });
    let backup = folder.path().join("backup.sqlite");
    let copy = folder.path().join("copy.sqlite");
    let made = done(&on(&data, &["backup", "--to", backup.to_str().unwrap()]));
    // What an earlier copy holds goes with it.
    fs::copy(made.trim(), &copy).unwrap();
    done(&on(&data, &["export", "--form", "sqlite", "--to", copy.to_str().unwrap()]));
    let with = files_with(folder.path(), "$argon2");
    assert!(with.iter().any(|path| path.starts_with(&data)), "the control: {with:?}");
    assert!(with.iter().any(|path| path.starts_with(&backup)), "a backup is the whole file: {with:?}");
    assert!(!with.contains(&copy), "{with:?}");
}

#[test]
fn an_export_replaces_only_an_earlier_export_of_its_form() {
    let (folder, data) = school();
    let before = records(&data);
    let to = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    fs::write(to("notes.txt"), "my notes").unwrap();
    for form in ["json", "sqlite"] {
        let export = |path: &str| on(&data, &["export", "--form", form, "--to", path]);
        refused(&export(&to("notes.txt")), 2, &["there already", "no export of this form", "another name"]);
        refused(&export(&to("data/lanewright.sqlite")), 2, &["is the data itself", "Nothing was written"]);
        refused(&export(&to("data")), 2, &["is a folder"]);
        let own = to(&format!("own.{form}"));
        done(&export(&own));
        done(&export(&own));
        let other = if form == "json" { "sqlite" } else { "json" };
        refused(&on(&data, &["export", "--form", other, "--to", &own]), 2, &["no export of this form"]);
    }
    assert_eq!(fs::read_to_string(to("notes.txt")).unwrap(), "my notes");
    assert_eq!(records(&data), before);
}

#[test]
fn tables_for_spreadsheets_guard_text_only_and_are_not_read_in() {
    let (folder, data) = school();
    let to = folder.path().join("sheets");
    done(&on(&data, &["export", "--form", "spreadsheets", "--to", to.to_str().unwrap()]));
    let runs = fs::read_to_string(to.join("run.csv")).unwrap();
    assert!(runs.contains(",'=B,") && runs.contains(",-1.5,") && runs.contains(",Zebulonquist,"), "{runs}");
    assert!(runs.contains("2026-03-02T10:14:05Z"), "{runs}");
    refused(&on(&folder.path().join("x"), &["import", to.to_str().unwrap()]), 4, &["made for spreadsheets"]);
}

#[test]
fn a_wrong_export_changes_nothing_and_is_named_with_its_place() {
    let (folder, data) = school();
    let before = records(&data);
    let file = folder.path().join("wrong.json");
    let mut export: Value =
        serde_json::from_str(&fs::read_to_string(folder.path().join("start.json")).unwrap()).unwrap();
    export["records"][0]["body"] = json!({"name": "Renamed"});
    export["records"][0]["stamp"] = json!("1772446446000-000003-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e");
    export["records"][1]["body"] = json!({"title": 8});
    fs::write(&file, export.to_string()).unwrap();
    refused(&on(&data, &["import", file.to_str().unwrap()]), 4, &["record 2 (class", "shape of its kind"]);
    assert_eq!(records(&data), before, "all of it or nothing");
    export["records"] = json!([]);
    export["school"] = json!("5c0e1a52-6f0b-4b1d-9c38-0d6f2f1f7a11");
    fs::write(&file, export.to_string()).unwrap();
    refused(&on(&data, &["import", file.to_str().unwrap()]), 3, &["another school"]);
    refused(&on(&data, &["import", "nowhere.json"]), 3, &["nowhere.json"]);
}

#[test]
fn exports_of_version_1_still_read_in() {
    let folder = tempfile::tempdir().unwrap();
    let (a, b) = (folder.path().join("a"), folder.path().join("b"));
    done(&on(&a, &["import", &format!("{FIXTURES}/v1.json")]));
    done(&on(&b, &["import", &format!("{FIXTURES}/v1")]));
    assert_eq!(records(&a), records(&b));
    assert!(records(&a).as_array().unwrap().len() > 20);
}

#[test]
fn an_erased_child_is_in_no_file_and_not_read_in_again() {
    let (folder, data) = school();
    let backups = folder.path().join("backups");
    done(&on(&data, &["backup", "--to", backups.to_str().unwrap()]));
    assert_eq!(files_with(&backups, "Zebulonquist").len(), 1);
    let dry = on(&data, &["erase", "--child", "Zebulonquist", "--dry-run"]);
    assert!(
        said(&dry).contains(
            "3 records go: one child with its name; one entry on age, sex or size; one run, sweep or bout."
        ),
        "{}",
        said(&dry)
    );
    refused(&on(&data, &["erase", "--child", "Zebulonquist"]), 2, &["nothing was erased", "--yes"]);
    assert!(!files_with(&data, "Zebulonquist").is_empty());
    let backups_text = backups.to_str().unwrap();
    let erased = on(&data, &["erase", "--child", "Zebulonquist", "--yes", "--backups", backups_text]);
    done(&erased);
    assert!(said(&erased).contains("One backup in"), "{}", said(&erased));
    assert_eq!(files_with(&data, "Zebulonquist"), Vec::<PathBuf>::new());
    assert_eq!(files_with(&backups, "Zebulonquist"), Vec::<PathBuf>::new());
    // The export from before is read in, and the child is not.
    let again = on(&data, &["import", folder.path().join("start.json").to_str().unwrap()]);
    done(&again);
    assert!(said(&again).contains("3 of them name what was erased"), "{}", said(&again));
    assert_eq!(files_with(&data, "Zebulonquist"), Vec::<PathBuf>::new());
    assert_eq!(records(&data).as_array().unwrap().len(), 11 - 3 + 1);
}

#[test]
fn a_class_a_past_and_a_name_that_is_not_there() {
    let (_folder, data) = school();
    refused(
        &on(&data, &["erase", "--child", "Bo", "--yes"]),
        2,
        &["2 child entries are called Bo", "Give the id"],
    );
    refused(&on(&data, &["erase", "--child", "Cy", "--yes"]), 5, &["there is no child of this name: Cy"]);
    refused(&on(&data, &["erase", "--class", "9 Oak", "--yes"]), 5, &["there is no class"]);
    refused(&on(&data, &["erase", "--before", "2999-01-01", "--yes"]), 2, &["still to come"]);
    refused(&on(&data, &["erase", "--keep-days", "7", "--yes"]), 2, &["30 or more"]);
    refused(&on(&data, &["erase", "--keep-days", "-1"]), 2, &["'-1' for '--keep-days", "0 or more"]);
    refused(&on(&data, &["erase", "--keep-days", "30.5"]), 2, &["write a whole number"]);
    refused(&on(&data, &["erase", "--before", "01.02.2025"]), 2, &["write the day as YYYY-MM-DD"]);
    done(&on(&data, &["erase", "--child", "Bo", "--class", "8 Elm", "--yes"]));
    done(&on(&data, &["erase", "--class", "7 Larch", "--yes"]));
    let left = records(&data);
    let kinds: Vec<&str> =
        left.as_array().unwrap().iter().map(|record| record["kind"].as_str().unwrap()).collect();
    assert_eq!(kinds, ["class", "erasure", "erasure", "erasure", "erasure"]);
}

#[test]
fn what_was_seen_before_a_day_goes_and_the_children_stay() {
    let (_folder, data) = school();
    done(&on(&data, &["erase", "--before", "2026-03-01", "--yes"]));
    let left = records(&data);
    let count = |kind: &str| left.as_array().unwrap().iter().filter(|record| record["kind"] == kind).count();
    assert_eq!((count("measurement"), count("run"), count("runner-label")), (0, 3, 3));
    done(&on(&data, &["erase", "--keep-days", "730", "--yes"]));
    assert!(records(&data).to_string().contains("\"keep_days\":730"));
}

#[test]
fn a_sound_file_is_called_sound_and_a_changed_one_is_not() {
    let (folder, data) = school();
    let text = done(&on(&data, &["check"]));
    assert!(text.contains("is sound: 11 records") && text.contains("settings hold"), "{text}");
    let told: Value = serde_json::from_str(&done(&on(&data, &["check", "--json"]))).unwrap();
    assert_eq!((told["sound"].clone(), told["settings"]["secure_delete"].clone()), (json!(true), json!("1")));
    let backups = folder.path().join("backups");
    let made = done(&on(&data, &["backup", "--to", backups.to_str().unwrap(), "--keep-days", "30"]));
    let copy = made.trim();
    done(&lanewright(&["check", "--file", copy]));
    let mut bytes = fs::read(copy).unwrap();
    let at = bytes.windows(4).position(|window| window == b"Zebu").unwrap();
    bytes[at] = b'X';
    fs::write(copy, bytes).unwrap();
    refused(&lanewright(&["check", "--file", copy]), 7, &["is not sound", "record runner-label", "restore"]);
    refused(&on(&data, &["restore", copy, "--yes"]), 7, &["damaged"]);
    refused(&on(&folder.path().join("nowhere"), &["check"]), 3, &["no Lanewright data", "--data DIR"]);
}

#[test]
fn what_is_no_data_file_is_called_so() {
    let (folder, data) = school();
    let list = folder.path().join("b.csv");
    fs::write(&list, "name\nWren\n").unwrap();
    let (list, there) = (list.to_str().unwrap(), data.to_str().unwrap());
    refused(&lanewright(&["check", "--file", there]), 3, &["is a folder", "--data takes the folder"]);
    refused(&lanewright(&["check", "--file", list]), 3, &["is no data file of Lanewright", "one backup"]);
    refused(&on(&data, &["restore", list, "--yes"]), 3, &["is no data file of Lanewright"]);
    refused(&lanewright(&["check", "--file", "nowhere.sqlite"]), 3, &["cannot be read"]);
    assert_eq!(records(&data).as_array().unwrap().len(), 11);
}

#[test]
fn one_of_a_thing_is_called_one() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let class = record("class", "019c8945-2b80-7000-8000-000000000001", json!({"name": "7 Larch"}));
    let label = json!({"class": "019c8945-2b80-7000-8000-000000000001", "label": "Bo"});
    let label = record("runner-label", "019c8945-2b80-7000-8000-000000000002", label);
    let file = folder.path().join("one.json");
    for (record, says) in [(class, "One record was"), (label, "One record was")] {
        let export = json!({"format": "lanewright-export/1", "school": SCHOOL, "records": [record]});
        fs::write(&file, export.to_string()).unwrap();
        let read = on(&data, &["import", file.to_str().unwrap()]);
        done(&read);
        assert!(said(&read).to_lowercase().contains(&says.to_lowercase()), "{}", said(&read));
    }
    let to = folder.path().join("research");
    refused(
        &on(&data, &["export", "--form", "research", "--to", to.to_str().unwrap()]),
        5,
        &["there is one child, and 5 are needed"],
    );
    let erased = on(&data, &["erase", "--child", "Bo", "--dry-run", "--language", "de"]);
    done(&erased);
    let german = said(&erased);
    assert!(german.starts_with("Hinweis: Bo (ein Kind): Ein Eintrag wird gelöscht: "), "{german}");
    let tables = folder.path().join("tables");
    done(&on(&data, &["export", "--form", "tables", "--to", tables.to_str().unwrap()]));
    let classes = fs::read_to_string(tables.join("class.csv")).unwrap();
    let header = classes.lines().next().unwrap();
    fs::write(tables.join("class.csv"), format!("{header}\r\nx\r\n")).unwrap();
    refused(&on(&data, &["import", tables.to_str().unwrap()]), 4, &["1 cell instead of"]);
}

#[test]
fn old_backups_run_out_and_other_files_stay() {
    let (folder, data) = school();
    let backups = folder.path().join("backups");
    fs::create_dir(&backups).unwrap();
    for name in ["lanewright-20200101T000000Z.sqlite", "holiday.jpg", "lanewright-notes.sqlite"] {
        fs::write(backups.join(name), "x").unwrap();
    }
    done(&on(&data, &["backup", "--to", backups.to_str().unwrap(), "--keep-days", "30"]));
    let names: Vec<String> = fs::read_dir(&backups)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(names.len(), 3, "{names:?}");
    assert!(!names.contains(&"lanewright-20200101T000000Z.sqlite".to_owned()));
}

#[test]
fn research_files_tell_of_nobody_and_too_few_are_refused() {
    let (folder, data) = school();
    let to = folder.path().join("research");
    let text = to.to_str().unwrap();
    refused(&on(&data, &["export", "--form", "research", "--to", text]), 5, &["3 children", "5 are needed"]);
    refused(&on(&data, &["export", "--form", "research", "--k", "2", "--to", text]), 2, &["3 or more"]);
    let made = on(&data, &["export", "--form", "research", "--k", "3", "--to", text]);
    done(&made);
    assert!(said(&made).contains("k-anonymity"), "{}", said(&made));
    assert!(to.join("runs.csv").exists());
    for told in ["Zebulonquist", "Larch", "145.5", "019c8945"] {
        assert_eq!(files_with(&to, told), Vec::<PathBuf>::new(), "{told}");
    }
}
