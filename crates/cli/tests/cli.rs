//! The program as a shell sees it: output, help and refusals.
//!
//! Texts are compared with `tests/golden/`; after looking at the difference, `UPDATE_GOLDEN=1 cargo test -p lanewright`
//! writes them anew.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/class.csv");

const DEMO_RUNS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/runs.jsonl");
const DEMO_SOUND: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/sound/run.m4a");

const DEMO_SPLITS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/splits.csv");

/// The program itself and each of its commands.
const COMMANDS: [&str; 18] = [
    "",
    "start",
    "lanes",
    "topple",
    "decide",
    "cause",
    "listen",
    "sprint",
    "report",
    "report cards",
    "report class",
    "report handover",
    "export",
    "import",
    "erase",
    "backup",
    "restore",
    "check",
];

/// The day for which all outputs below are made.
const ON: &[&str] = &["--on", "2026-03-02"];

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_lanewright"))
}

fn run(args: &[&str]) -> Output {
    program().args(args).stdin(Stdio::null()).output().unwrap()
}

fn run_with_input(args: &[&str], input: &[u8]) -> Output {
    let mut child = program()
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that refuses its flags does not read what it is sent.
    let _ = child.stdin.take().unwrap().write_all(input);
    child.wait_with_output().unwrap()
}

/// `lanes` on the demo class, on a fixed day.
fn lanes(args: &[&str]) -> Output {
    run(&[&["lanes", "--class", DEMO], ON, args].concat())
}

#[track_caller]
fn stdout(output: &Output) -> String {
    let (out, err) =
        (String::from_utf8(output.stdout.clone()).unwrap(), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{}: {err}", output.status);
    assert!(err.is_empty(), "{err}");
    out
}

#[track_caller]
fn golden(name: &str, text: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, text).unwrap();
        return;
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        text == expected,
        "{name} is not what it was. Look at the difference; if it is meant, run with UPDATE_GOLDEN=1.\n{}",
        first_difference(&expected, text)
    );
}

fn first_difference(expected: &str, found: &str) -> String {
    let pairs = expected.lines().chain(std::iter::repeat("")).zip(found.lines().chain(std::iter::repeat("")));
    let most = expected.lines().count().max(found.lines().count());
    for (line, (expected, found)) in pairs.take(most).enumerate() {
        if expected != found {
            return format!("line {}\n- {expected}\n+ {found}", line + 1);
        }
    }
    "the ends of the files differ".to_owned()
}

// What it says

#[cfg(feature = "pdf")]
#[test]
fn help_of_every_command_is_as_reviewed() {
    let mut text = String::new();
    for command in COMMANDS {
        let args: Vec<&str> = command.split(' ').chain(["--help"]).filter(|arg| !arg.is_empty()).collect();
        text += &format!("$ lanewright {}\n\n{}\n", args.join(" "), stdout(&run(&args)));
    }
    golden("help.txt", &text);
}

#[test]
fn demo_class_on_a_hall_floor_is_as_reviewed() {
    let text = stdout(&lanes(&["--drill", "alternate-run", "--hurdles", "24", "--space", "28x15"]));
    golden("lanes.txt", &text);
}

#[test]
fn demo_class_that_does_not_fit_in_feet_is_as_reviewed() {
    let args = ["--drill", "alternate-run,alternate-walk", "--hurdles", "16x30,8x20", "--space", "26x15"];
    let more = ["--exit-sprint-m", "12", "--units", "feet", "--easy", "Wren", "--absent", "Idris,r02"];
    golden("lanes-feet.txt", &stdout(&lanes(&[&args[..], &more].concat())));
}

/// Everyone but six children, so that the file stays small.
const SIX: &str = "r07,r08,r09,r10,r11,r12,r13,r14,r15,r16,r17,r18,r19,r20,r21,r22,r23,r24,r25,r26,r27,r28";

#[test]
fn json_is_as_documented() {
    let args = ["--drill", "alternate-run", "--hurdles", "12", "--space", "20x12", "--absent", SIX, "--json"];
    golden("lanes.json", &stdout(&lanes(&args)));
}

#[test]
fn topple_is_as_reviewed() {
    let shape = "--height-m 0.3 --half-depth-m 0.1 --centre-height-m 0.15 --friction 0.4";
    let mut text = String::new();
    for line in [
        format!("topple --mass-kg 0.6 {shape}"),
        format!("topple --mass-kg 5 {shape} --json"),
        format!("topple --push 14N --mass-kg 0.6 {shape}"),
        "topple --push one-finger".to_owned(),
        "topple --push 350g --mass-kg 0.5".to_owned(),
        "topple --resting-bar --mass-kg 0.15 --friction 0.4 --lip-deg 45".to_owned(),
    ] {
        let args: Vec<&str> = line.split(' ').collect();
        text += &format!("$ lanewright {line}\n\n{}\n", stdout(&run(&args)));
    }
    golden("topple.txt", &text);
}

#[test]
fn sprint_is_as_reviewed() {
    let mut text = String::new();
    for line in [
        "--start photocell --timing-sd-s 0.005",
        "--start free --timing-sd-s 0.005",
        "--start first-movement --timing-sd-s 0.1",
        "--start flying:4 --timing-sd-s 0.02 --hurdled",
    ] {
        let args: Vec<&str> = ["sprint", DEMO_SPLITS].into_iter().chain(line.split(' ')).collect();
        text += &format!("$ lanewright sprint splits.csv {line}\n\n{}\n", stdout(&run(&args)));
    }
    golden("sprint.txt", &text);
}

// What it does

#[test]
fn class_list_from_standard_input_gives_the_same_plan() {
    let args = ["--drill", "alternate-run", "--hurdles", "24"];
    let piped =
        run_with_input(&[&["lanes", "--class", "-"], ON, &args].concat(), &std::fs::read(DEMO).unwrap());
    assert_eq!(stdout(&piped), stdout(&lanes(&args)));
}

#[test]
fn a_plan_that_does_not_fit_is_an_answer() {
    let output = lanes(&["--drill", "alternate-run", "--hurdles", "24", "--space", "20x15", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(json["fits"], false);
    assert!(json["remedies"].as_array().unwrap().iter().all(|remedy| remedy["text"].is_string()));
    assert_eq!(json["warnings"][0]["id"], "plan-too-long");
}

#[test]
fn room_that_is_needed_is_rounded_up_so_that_it_never_reads_like_a_floor_that_holds_it() {
    for tenths in 285..300 {
        let length_m = f64::from(tenths) / 10.0;
        let space = format!("{length_m}x18");
        let more = ["--space", &space, "--drill", "alternate-run"];
        let text = stdout(&lanes(&[&["--hurdles", "24"], &more[..]].concat()));
        let line = text.lines().nth(1).expect("does it fit").to_owned();
        let needed = line.split(": ").nth(1).and_then(|rest| rest.split(' ').next()).expect("a length");
        let needed_m: f64 = needed.parse().expect("a number");
        assert_eq!(line.starts_with("It fits"), needed_m <= length_m, "{line}");
    }
}

#[test]
fn the_effort_of_a_walk_is_not_said_for_the_run_after_it() {
    let line = |drills: &str| {
        let text = stdout(&lanes(&["--hurdles", "24", "--drill", drills]));
        text.lines().next().expect("a heading").to_owned()
    };
    assert!(
        line("alternate-walk,alternate-run")
            .ends_with(": Alternate walk-over, Alternate run at 60 % effort.")
    );
    assert!(line("alternate-walk").ends_with(": Alternate walk-over."));
    assert!(line("alternate-run").ends_with(": Alternate run, at 60 % effort."));
}

#[test]
fn where_it_goes_both_ways_hurdles_are_not_said_to_tip_one_way() {
    for (drill, says) in
        [("side-run", "so that they tip either way"), ("alternate-run", "tip in running direction")]
    {
        let text = stdout(&lanes(&["--hurdles", "24", "--drill", drill]));
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(says), "{text}");
        assert_eq!(text.contains("in running direction"), drill == "alternate-run", "{text}");
    }
}

#[test]
fn remedies_can_be_typed_in() {
    let short = ["--drill", "alternate-run", "--hurdles", "24", "--space", "26x15", "--json"];
    let fits = |more: &[&str]| {
        let json: serde_json::Value =
            serde_json::from_str(&stdout(&lanes(&[&short[..], more].concat()))).unwrap();
        (json["fits"].as_bool().unwrap(), json["remedies"].clone())
    };
    let (fits_already, remedies) = fits(&[]);
    assert!(!fits_already);
    let mut tried = 0;
    for remedy in remedies.as_array().unwrap() {
        let to = |kind: &str| remedy["args"]["to"][kind].to_string();
        let flags = match remedy["id"].as_str().unwrap() {
            "plan-change-hurdles" => ["--hurdles-per-lane-max".to_owned(), to("count")],
            "plan-change-run-up" => ["--run-up-steps-max".to_owned(), to("count")],
            "plan-change-effort" => ["--effort".to_owned(), to("share")],
            _ => continue,
        };
        assert!(fits(&[&flags[0], &flags[1]]).0, "{remedy}");
        tried += 1;
    }
    assert!(tried >= 2, "{remedies}");
}

#[test]
fn drawing_is_written_whole_or_to_standard_output() {
    let folder = folder("drawing");
    let path = folder.join("lanes.svg");
    let args = ["--drill", "alternate-run", "--hurdles", "24", "--space", "28x15", "--svg"];
    let text = stdout(&lanes(&[&args[..], &[path.to_str().unwrap()]].concat()));
    assert!(text.starts_with("4 lanes"));
    let drawn = std::fs::read_to_string(&path).unwrap();
    assert!(drawn.starts_with("<svg") && drawn.trim_end().ends_with("</svg>"));
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1, "nothing unfinished is left behind");
    assert_eq!(stdout(&lanes(&[&args[..], &["-"]].concat())).trim_end(), drawn.trim_end());
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

#[cfg(feature = "pdf")]
#[test]
fn printed_plan_is_a_pdf_that_is_the_same_every_time() {
    let args = ["--drill", "alternate-run", "--hurdles", "24", "--space", "28x15", "--pdf", "-"];
    let letter = lanes(&[&args[..], &["--paper", "letter", "--class-name", "7 Larch"]].concat());
    let again = lanes(&[&args[..], &["--paper", "letter", "--class-name", "7 Larch"]].concat());
    assert!(letter.status.success() && letter.stdout.starts_with(b"%PDF-"));
    assert!(letter.stdout == again.stdout);
    assert!(lanes(&args).stdout != letter.stdout, "A4 is not Letter");
}

#[cfg(all(unix, feature = "pdf"))]
#[test]
fn examples_of_the_help_run() {
    let folder = folder("examples");
    std::fs::copy(DEMO, folder.join("7-larch.csv")).unwrap();
    std::fs::copy(DEMO_RUNS, folder.join("runs.jsonl")).unwrap();
    std::fs::copy(DEMO_SPLITS, folder.join("splits.csv")).unwrap();
    std::fs::create_dir(folder.join("recordings")).unwrap();
    for place in ["run.m4a", "bout.m4a", "recordings/run.m4a"] {
        std::fs::copy(DEMO_SOUND, folder.join(place)).unwrap();
    }
    let bin = Path::new(env!("CARGO_BIN_EXE_lanewright")).parent().unwrap();
    let mut count = 0;
    for command in COMMANDS {
        let args: Vec<&str> = command.split(' ').chain(["--help"]).filter(|arg| !arg.is_empty()).collect();
        let help = stdout(&run(&args));
        let examples = help.split("\n\n").next().unwrap().replace("\\\n", " ");
        for line in examples.lines().map(str::trim) {
            // `start` serves until it is stopped, and some work on this user's data: their own tests run them.
            let of_data = ["start", "export", "import", "erase", "backup", "restore", "check"];
            let elsewhere = of_data.iter().any(|command| line.contains(&format!("lanewright {command}")));
            let runs = line.contains("lanewright ") && !line.starts_with('#') && !elsewhere;
            if !runs {
                continue;
            }
            let output = Command::new("sh")
                .args(["-c", line])
                .current_dir(&folder)
                .env("PATH", format!("{}:{}", bin.display(), std::env::var("PATH").unwrap_or_default()))
                .output()
                .unwrap();
            assert!(output.status.success(), "{line}\n{}", String::from_utf8_lossy(&output.stderr));
            count += 1;
        }
    }
    assert!(count >= 10, "{count}");
}

// What it refuses

#[track_caller]
fn refused(output: &Output, code: i32, says: &[&str]) {
    let err = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{err}");
    assert!(output.stdout.is_empty(), "{}", String::from_utf8_lossy(&output.stdout));
    for part in says {
        assert!(err.contains(part), "`{part}` is missing in: {err}");
    }
}

#[test]
fn a_flag_that_cannot_be_understood_is_refused_with_what_may_stand_there() {
    let usual = ["--drill", "alternate-run", "--hurdles", "24"];
    let with = |more: &[&str]| lanes(&[&usual[..], more].concat());
    refused(&with(&["--space", "28"]), 2, &["--space", "28x15"]);
    refused(&with(&["--effort", "1.4"]), 2, &["--effort is 1.4", "0.05 to 1"]);
    refused(&with(&["--lanes-max", "0"]), 2, &["--lanes-max is 0", "1 to 26"]);
    refused(&with(&["--absent", "Idres"]), 2, &["`Idres`", "Did you mean `Idris`?"]);
    refused(&with(&["--only", "Wren"]), 2, &["`Wren`", "NAME=A"]);
    refused(&with(&["--apart", "Wren"]), 2, &["`Wren`", "NAME+NAME"]);
    refused(&with(&["--space", "28x15", "--walls", "north"]), 2, &["`north`", "start,finish,left,right"]);
    let on = ["lanes", "--class", DEMO, "--drill", "alternate-run", "--hurdles", "24", "--on", "2.3.2026"];
    refused(&run(&on), 2, &["--on", "write the day as YYYY-MM-DD"]);
    refused(&with(&["--space", "-18x9"]), 2, &["'-18x9' for '--space", "1 to 500"]);
    refused(&with(&["--exit-sprint-m", "eight"]), 2, &["write a number, with a point before decimals"]);
    refused(&with(&["--lanes-max", "2.5"]), 2, &["'2.5' for '--lanes-max", "write a whole number"]);
    refused(&run(&["decide", DEMO_RUNS, "--wrong-move-on-costs", "-1"]), 2, &["allowed is 0.1 to 100"]);
    refused(&run(&["decide", DEMO_RUNS, "--at", "2.3.2026"]), 2, &["write date, time and zone"]);
    refused(&with(&["--svg", "-", "--json"]), 2, &["--json and --svg -", "give one of them a file"]);
    refused(&lanes(&["--drill", "alternate-runs", "--hurdles", "24"]), 2, &["Did you mean `alternate-run`?"]);
    refused(&lanes(&["--drill", "alternate-run", "--hurdles", "many"]), 2, &["a number such as 24"]);
    refused(&lanes(&["--drill", "alternate-run"]), 2, &["--hurdles"]);
    refused(&run(&["lane"]), 2, &["lanes"]);
    refused(&run(&["topple", "--mass-kg", "0.5"]), 2, &["--height-m is missing", "one-finger"]);
    refused(&run(&["topple", "--push", "3"]), 2, &["3.5N or 350g"]);
    refused(&run(&["topple", "--push", "3N", "--mass-kg", "-1"]), 2, &["--mass-kg is -1", "0.01 to 200 kg"]);
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let output =
        run(&["lanes", "--class", "no-such-list.csv", "--drill", "alternate-run", "--hurdles", "24"]);
    refused(&output, 3, &["no-such-list.csv", "Check the name"]);
}

#[test]
fn mistakes_in_a_class_list_are_named_by_line_and_column_with_the_remedy() {
    let list = "name,stature_cm\nWren,143\nIdris,1430\nUmi,tall\n";
    let output = run_with_input(
        &["lanes", "--class", "-", "--drill", "alternate-run", "--hurdles", "24"],
        list.as_bytes(),
    );
    refused(&output, 4, &["line 3, column stature_cm", "line 4, column stature_cm", "Nothing was planned"]);
}

#[test]
fn a_class_list_that_is_no_table_is_called_so() {
    let noise: Vec<u8> = (0..300_u32).map(|k| (k.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let lanes = ["lanes", "--class", "-", "--drill", "alternate-run", "--hurdles", "24"];
    refused(&run_with_input(&lanes, &noise), 4, &["This is not a text file. Save the class list as CSV."]);
    let many: String = (0..2500).map(|number| format!("Child{number}\n")).collect();
    let many = run_with_input(&lanes, format!("name\n{many}").as_bytes());
    refused(&many, 4, &["2002"]);
}

#[test]
fn a_height_that_is_still_to_come_is_named_at_its_cell() {
    let list = "name,stature_cm,stature_date\nWren,143,2059-03-04\n";
    let lanes = ["lanes", "--class", "-", "--drill", "alternate-run", "--hurdles", "24"];
    let refusal = run_with_input(&lanes, list.as_bytes());
    refused(&refusal, 4, &["line 2, column stature_date", "This day is still to come"]);
}

#[test]
fn a_notice_is_said_once_and_begins_in_the_language_asked_for() {
    let list = "name\nLina\nUmi\nLina\n";
    let lanes = ["lanes", "--class", "-", "--drill", "alternate-run", "--hurdles", "24"];
    for (language, start) in [("en", "note: Lina"), ("de", "Hinweis: Lina")] {
        let output = run_with_input(&[&lanes[..], &["--language", language]].concat(), list.as_bytes());
        let said = String::from_utf8_lossy(&output.stderr);
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(output.status.success() && said.starts_with(start), "{said}");
        assert_eq!(said.matches("Lina 2").count(), 1, "{said}");
    }
}

#[test]
fn an_empty_class_list_is_refused() {
    let output =
        run_with_input(&["lanes", "--class", "-", "--drill", "alternate-run", "--hurdles", "24"], b"");
    refused(&output, 4, &["error"]);
}

#[test]
fn what_is_ambiguous_in_a_class_list_is_asked_and_answered_by_a_flag() {
    let list = "name,birth_date\nWren,03/04/2014\nIdris,05/06/2014\n";
    let args = ["lanes", "--class", "-", "--drill", "alternate-run", "--hurdles", "24"];
    refused(&run_with_input(&args, list.as_bytes()), 4, &["--dates day-month-year"]);
    for answer in ["day-month-year", "month-day-year"] {
        let answered = run_with_input(&[&args[..], ON, &["--dates", answer]].concat(), list.as_bytes());
        assert!(answered.status.success(), "{}", String::from_utf8_lossy(&answered.stderr));
    }
}

#[test]
fn what_cannot_be_planned_is_refused() {
    let usual = ["--drill", "alternate-run", "--hurdles", "24"];
    let everyone: Vec<String> = (1..=28).map(|number| format!("r{number:02}")).collect();
    let output = lanes(&[&usual[..], &["--absent", &everyone.join(",")]].concat());
    refused(&output, 5, &["Nobody runs today"]);
    refused(&lanes(&["--drill", "free-run", "--hurdles", "24"]), 5, &["None of these drills has hurdles"]);
    let clash = ["--together", "Wren+Idris", "--apart", "Idris+Wren"];
    let output = lanes(&[&usual[..], &clash].concat());
    refused(
        &output,
        5,
        &["Idris and Wren in one lane", "Idris and Wren in different lanes", "Take one of them back"],
    );
}

#[test]
fn a_file_that_cannot_be_written_is_named() {
    let output = lanes(&["--drill", "alternate-run", "--hurdles", "24", "--svg", "no-such-folder/lanes.svg"]);
    refused(&output, 6, &["no-such-folder/lanes.svg", "Check that the folder is there"]);
}

#[cfg(feature = "pdf")]
#[test]
fn no_output_is_written_over_what_is_read() {
    let folder = folder("over");
    let (class, runs, sound) = (folder.join("over.csv"), folder.join("over.jsonl"), folder.join("over.m4a"));
    for (from, to) in [(DEMO, &class), (DEMO_RUNS, &runs), (DEMO_SOUND, &sound)] {
        std::fs::copy(from, to).unwrap();
    }
    let before: Vec<Vec<u8>> = [&class, &runs, &sound].map(|path| std::fs::read(path).unwrap()).to_vec();
    let lanes = "lanes --class over.csv --drill alternate-run --hurdles 24";
    let lesson = "lesson --class over.csv --minutes 50 --hurdles 24 --history over.jsonl";
    for (line, says) in [
        (format!("{lanes} --pdf over.csv"), "--pdf would write over `over.csv`, which is read here."),
        (format!("{lanes} --svg ./over.csv"), "--svg would write over `./over.csv`"),
        (format!("{lanes} --svg plan --pdf ../over/plan"), "--pdf and --svg would both write"),
        (format!("{lanes} --pdf ."), "`.` is a folder."),
        (format!("{lesson} --pdf over.jsonl"), "--pdf would write over"),
        ("report cards over.jsonl --class over.csv --html over.jsonl".to_owned(), "--html would write over"),
        ("report class over.jsonl --class over.csv --csv over.csv".to_owned(), "--csv would write over"),
        (format!("{} --html over.csv", lesson.replacen("lesson", "report handover", 1)), "--html would"),
        ("listen over.m4a --svg over.m4a".to_owned(), "--svg would write over"),
    ] {
        let output = program().args(line.split(' ')).current_dir(&folder).output().unwrap();
        refused(&output, 2, &[says, "Give another name. Nothing was written."]);
    }
    let after: Vec<Vec<u8>> = [&class, &runs, &sound].map(|path| std::fs::read(path).unwrap()).to_vec();
    assert!(before == after && std::fs::read_dir(&folder).unwrap().count() == 3);
    // An earlier answer of the same name is replaced.
    for _ in 0..2 {
        let again =
            program().args(format!("{lanes} --svg plan.svg").split(' ')).current_dir(&folder).output();
        assert!(again.unwrap().status.success());
    }
}

#[cfg(unix)]
#[test]
fn a_reader_that_goes_away_is_no_mistake() {
    let line = format!(
        "{} lanes --class {DEMO} --drill alternate-run --hurdles 24 --json; echo \"code $?\" >&2",
        env!("CARGO_BIN_EXE_lanewright")
    );
    let output =
        Command::new("sh").args(["-c", &format!("({line}) | head -c 1 >/dev/null")]).output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr).trim(), "code 0");
}

// Languages

#[test]
fn german_is_asked_for_by_a_flag_anywhere_or_by_a_variable() {
    let flags = ["--drill", "alternate-run", "--hurdles", "24", "--on", "2026-03-02"];
    let lanes = [&["lanes", "--class", DEMO], &flags[..]].concat();
    let after = stdout(&run(&[&lanes[..], &["--language", "de"]].concat()));
    assert!(after.contains("Vier Bahnen") || after.contains("4 Bahnen"), "{after}");
    assert!(after.contains("1,") && !after.contains("lane"), "{after}");
    assert_eq!(stdout(&run(&[&["--language", "de-AT"], &lanes[..]].concat())), after);
    let variable = program().args(&lanes).env("LANEWRIGHT_LANGUAGE", "de_CH.UTF-8").output().unwrap();
    assert_eq!(stdout(&variable), after);
    // The flag beats the variable; JSON is the same in every language.
    let english = stdout(&run(&lanes));
    let mut asked = program();
    asked.args(&lanes).args(["--language", "en"]).env("LANEWRIGHT_LANGUAGE", "de");
    assert_eq!(stdout(&asked.output().unwrap()), english);
    let json = [&lanes[..], &["--json"]].concat();
    assert_eq!(stdout(&run(&[&json[..], &["--language", "de"]].concat())), stdout(&run(&json)));
}

#[test]
fn a_language_without_words_is_refused() {
    let flag = run(&["cause", DEMO_RUNS, "--language", "xx"]);
    assert_eq!(flag.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&flag.stderr).contains("there are en, de"));
    let variable = program().args(["cause", DEMO_RUNS]).env("LANEWRIGHT_LANGUAGE", "xx").output().unwrap();
    assert_eq!(variable.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&variable.stderr).contains("there are en, de"));
}
