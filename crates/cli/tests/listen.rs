//! `lanewright listen`, as a person calls it.
#![cfg(feature = "audio")]

#[path = "../../listen/tests/synth/mod.rs"]
mod synth;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

const SOUND: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/sound");

fn lanewright(arguments: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lanewright"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program starts")
}

fn text(output: &Output) -> String {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn golden(name: &str, text: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, text).expect("the golden file can be written");
    }
    let expected = std::fs::read_to_string(&path).expect("the golden file is there");
    assert_eq!(text, expected, "{name}; look, then UPDATE_GOLDEN=1 cargo test -p lanewright");
}

/// A folder with the run that is shown as `run.wav`.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let (made, plan) = synth::shown(21);
    std::fs::write(folder.path().join("run.wav"), synth::wav(&made.samples, plan.rate_hz)).expect("written");
    folder
}

const LANE: [&str; 8] =
    ["--hurdles", "5", "--spacing-m", "4.8", "--contacts-per-gap", "3", "--first-crossing-s", "1.96"];

#[test]
fn a_run_is_told_in_sentences() {
    let folder = folder();
    let said = text(&lanewright(&[&["listen", "run.wav"][..], &LANE].concat(), folder.path()));
    golden("listen.txt", &said);
}

#[test]
fn json_has_the_promised_keys_and_the_truth_within_its_ranges() {
    let folder = folder();
    let (made, _) = synth::shown(21);
    let said = text(&lanewright(&[&["listen", "run.wav", "--json"][..], &LANE].concat(), folder.path()));
    let all: Value = serde_json::from_str(&said).expect("JSON");
    let one = &all[0];
    for key in [
        "file",
        "usable",
        "reason",
        "contacts",
        "knocks",
        "brakes",
        "cadence_hz",
        "cv_step_time",
        "asymmetry",
        "gaps",
    ] {
        assert!(one.get(key).is_some(), "{key} is missing");
    }
    assert_eq!(one["usable"], true);
    assert_eq!(one["contacts"].as_array().expect("a list").len(), made.contacts_s.len());
    assert_eq!(one["knocks"][0]["hurdle"], 3);
    for (gap, truth) in one["gaps"].as_array().expect("a list").iter().zip(&made.speeds_mps) {
        let number = |key: &str| gap[key].as_f64().expect("a number");
        assert!((number("speed_mps") / truth - 1.0).abs() < 0.03, "{gap} {truth}");
        assert!(number("low_mps") <= *truth && *truth <= number("high_mps"), "{gap} {truth}");
    }
}

#[test]
fn a_free_run_with_distance_and_time_has_a_step_with_its_range() {
    let folder = folder();
    let free = ["listen", "run.wav", "--distance-m", "20", "--time-s", "4.6"];
    let said = text(&lanewright(&[&free[..], &["--json"]].concat(), folder.path()));
    let one: Value = serde_json::from_str::<Value>(&said).expect("JSON")[0].clone();
    let number = |key: &str| one["step_m"][key].as_f64().expect("a number");
    let expected = 20.0 / 4.6 / one["cadence_hz"].as_f64().expect("a number");
    assert!((number("value") - expected).abs() < 1e-9);
    assert!(number("low") < 0.95 * expected && number("high") > 1.05 * expected);
    assert!(text(&lanewright(&free, folder.path())).contains("One step was 1.5"));
    for wrong in [["--distance-m", "20", "--time-s", "0"], ["--distance-m", "2", "--time-s", "1"]] {
        let refused = lanewright(&[&["listen", "run.wav"][..], &wrong].concat(), folder.path());
        assert_eq!(refused.status.code(), Some(2), "{wrong:?}");
    }
}

#[test]
fn every_kind_of_file_says_the_same() {
    let said = text(&lanewright(&["listen", SOUND, "--json"], Path::new(".")));
    let all: Vec<Value> = serde_json::from_str(&said).expect("JSON");
    assert_eq!(all.len(), 4);
    for one in &all {
        assert_eq!(one["contacts"].as_array().expect("a list").len(), 21, "{}", one["file"]);
        assert_eq!(one["knocks"].as_array().expect("a list").len(), 1, "{}", one["file"]);
        let cadence = one["cadence_hz"].as_f64().expect("a number");
        assert!((cadence - 2.87).abs() < 0.02, "{}: {cadence}", one["file"]);
    }
}

#[test]
fn the_strip_is_drawn_and_standard_input_is_read() {
    let folder = folder();
    text(&lanewright(&["listen", "run.wav", "--svg", "run.svg"], folder.path()));
    let svg = std::fs::read_to_string(folder.path().join("run.svg")).expect("the strip");
    assert_eq!(svg.matches("class=\"contact\"").count(), 21);
    assert_eq!(svg.matches("class=\"knock\"").count(), 1);
    let input = std::fs::File::open(folder.path().join("run.wav")).expect("the file");
    let output = Command::new(env!("CARGO_BIN_EXE_lanewright"))
        .args(["listen", "-", "--json"])
        .stdin(Stdio::from(input))
        .output()
        .expect("the program starts");
    let all: Value = serde_json::from_str(&text(&output)).expect("JSON");
    assert_eq!(all[0]["contacts"].as_array().expect("a list").len(), 21);
}

#[test]
fn recordings_without_an_answer_say_why_and_what_to_do() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).expect("written");
    write("damaged.wav", b"RIFF\x10\0\0\0WAVEnothing of the kind");
    write("empty.mp3", b"");
    write("long.wav", &synth::wav(&vec![0.01; 8000 * 130], 8000));
    write("short.wav", &synth::wav(&vec![0.01; 4000], 8000));
    write("silent.wav", &synth::wav(&vec![0.0; 24_000], 8000));
    write("notes.txt", b"no recording");
    let said = text(&lanewright(&["listen", ".", "--json"], folder.path()));
    let all: Vec<Value> = serde_json::from_str(&said).expect("JSON");
    let reasons: Vec<&str> = all.iter().map(|one| one["reason"].as_str().expect("a reason")).collect();
    assert_eq!(reasons, ["undecodable", "empty", "too-long", "too-short", "silent"]);
    assert!(
        all.iter().all(|one| one["usable"] == false && !one["remedy"].as_str().expect("text").is_empty())
    );
    let noise: Vec<u8> = (0..4000_u32).map(|k| (k.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    write("noise.wav", &noise);
    for (language, says) in
        [("en", "it is no recording of a known kind"), ("de", "keine Aufnahme einer bekannten Art")]
    {
        let refused = lanewright(&["listen", "noise.wav", "--language", language], folder.path());
        assert_eq!(refused.status.code(), Some(3), "nothing was heard");
        let said = String::from_utf8_lossy(&refused.stdout).into_owned();
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(says) && !said.contains("unsupported"), "{said}");
    }
    let missing = lanewright(&["listen", "nowhere.wav"], folder.path());
    assert_eq!(missing.status.code(), Some(3));
    let german = lanewright(&["listen", "nowhere.wav", "--language", "de"], folder.path());
    let said =
        String::from_utf8_lossy(&german.stdout).into_owned() + &String::from_utf8_lossy(&german.stderr);
    assert!(
        said.contains("gibt es nicht") && !said.contains("cannot") && !said.contains("os error"),
        "{said}"
    );
}

#[test]
fn a_first_crossing_beyond_the_recording_is_called_so() {
    let folder = folder();
    let lane =
        ["--hurdles", "5", "--spacing-m", "4.8", "--contacts-per-gap", "3", "--first-crossing-s", "99"];
    let said = text(&lanewright(&[&["listen", "run.wav"][..], &lane].concat(), folder.path()));
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("at 99 s lies beyond the recording, which ends after 8."), "{said}");
    let json = lanewright(&[&["listen", "run.wav", "--json"][..], &lane].concat(), folder.path());
    assert!(String::from_utf8_lossy(&json.stderr).contains("beyond the recording"), "{json:?}");
}

/// Real recordings are not part of this repository. Where the variable names a folder of them, each with a JSON file of
/// its true contacts beside it, the mean F within 50 ms is asked for.
#[test]
fn real_recordings_reach_the_promised_score_where_they_are_at_hand() {
    let Some(folder) = std::env::var_os("LANEWRIGHT_LISTEN_CLIPS") else {
        eprintln!("skipped: LANEWRIGHT_LISTEN_CLIPS names no folder of recordings");
        return;
    };
    let folder = PathBuf::from(folder);
    let said = text(&lanewright(&["listen", ".", "--json"], &folder));
    let all: Vec<Value> = serde_json::from_str(&said).expect("JSON");
    let times = |value: &Value| -> Vec<f64> {
        value
            .as_array()
            .expect("a list")
            .iter()
            .map(|event| event["t_s"].as_f64().expect("seconds"))
            .collect()
    };
    let mut scores = Vec::new();
    for one in &all {
        let name = Path::new(one["file"].as_str().expect("a name")).with_extension("json");
        let truth: Value =
            serde_json::from_slice(&std::fs::read(folder.join(name)).expect("the truth")).expect("JSON");
        let (truth_s, heard_s) = (times(&truth["contacts"]), times(&one["contacts"]));
        if truth["set"] != "composed" || truth_s.is_empty() {
            continue;
        }
        let (mut i, mut j, mut hits) = (0, 0, 0);
        while i < truth_s.len() && j < heard_s.len() {
            match heard_s[j] - truth_s[i] {
                late if late > 0.05 => i += 1,
                early if early < -0.05 => j += 1,
                _ => (i, j, hits) = (i + 1, j + 1, hits + 1),
            }
        }
        scores.push(2.0 * f64::from(hits) / (truth_s.len() + heard_s.len()) as f64);
    }
    let mean = scores.iter().sum::<f64>() / scores.len() as f64;
    println!("{} recordings, mean F {mean:.3}", scores.len());
    assert!(mean >= 0.92, "mean F {mean}");
}
