//! What holds for every class list: reading never panics, our own form gives back what was written, and separators,
//! decimal marks, encodings, line ends and the order of columns make no difference.
//!
//! `PROPTEST_CASES` sets the number of cases of every property, `LANEWRIGHT_FUZZ_CASES` that of all files together
//! that must not make the reader panic.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use jiff::civil::Date;
use lanewright_model::import::{
    BYTES_MAX, Delimiter, ImportError, NAME_CHARS_MAX, Options, ROWS_MAX, compare, read, write,
};
use lanewright_model::{Age, Runner, Sex, StrideObservation};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};

/// Files that must not make the reader panic, in an ordinary run: five properties share them.
const FUZZ_CASES: u32 = 20_000;
/// Most rounds of questions and answers about one file.
const ROUNDS_MAX: u32 = 12;
/// Whole classes that are written and read, per property, in an ordinary run.
const CLASS_CASES: u32 = 400;

fn cases(usual: u32) -> ProptestConfig {
    config(std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(usual))
}

fn fuzz() -> ProptestConfig {
    let asked = std::env::var("LANEWRIGHT_FUZZ_CASES").ok().and_then(|text| text.parse().ok());
    config(asked.unwrap_or(FUZZ_CASES) / 5)
}

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// Reads and does everything with a preview that an app does.
fn read_and_use(bytes: &[u8], options: &Options) {
    let Ok(preview) = read(bytes, options) else { return };
    assert!(preview.bad_count >= preview.bad.len());
    assert!(preview.questions.iter().all(|question| !question.answers.is_empty()));
    let lines = bytes.iter().filter(|byte| matches!(byte, b'\n' | b'\r')).count() as u64 + 1;
    assert!(preview.rows.iter().all(|row| (1..=lines).contains(&row.line)));
    assert!(preview.bad.iter().all(|cell| (1..=lines).contains(&cell.line)));
    let sound = preview.is_acceptable();
    let rows: Vec<Runner> = preview.rows.iter().map(|row| row.runner.clone()).collect();
    match preview.accept() {
        Ok(runners) => {
            assert!(sound && runners == rows);
            let labels: BTreeSet<&str> = runners.iter().map(|runner| runner.label.as_str()).collect();
            let ids: BTreeSet<&str> = runners.iter().map(|runner| runner.id.0.as_str()).collect();
            assert_eq!((labels.len(), ids.len()), (runners.len(), runners.len()), "names and ids tell apart");
            assert!(runners.iter().all(|runner| {
                !runner.label.is_empty() && runner.stature_cm.is_none_or(|cm| (60.0..=230.0).contains(&cm))
            }));
        }
        Err(error) => assert!(!sound && matches!(error, ImportError::NotAccepted { .. })),
    }
}

/// Pieces that class lists are made of, and that trip readers.
fn piece() -> impl Strategy<Value = &'static str> {
    select(vec![
        ",",
        ";",
        "\t",
        "|",
        "\n",
        "\r\n",
        "\r",
        "\"",
        "\"\"",
        "'",
        " ",
        "",
        "Name",
        "name",
        "id",
        "First name",
        "Surname",
        "Height (cm)",
        "Height (ft)",
        "Height",
        "DOB",
        "Measured on",
        "Age",
        "Sex",
        "Step length",
        "Leg length",
        "Weight",
        "stature_cm",
        "Wren",
        "Umi",
        "Zoë",
        "7 Larch",
        "Total",
        "143",
        "1.43",
        "1,43",
        "1,234",
        "1.234",
        "4'11\"",
        "4-11",
        "4 ft 8 in",
        "1m43",
        "11y 4m",
        "11;4",
        "11.10",
        "2014-03-12",
        "03/04/2014",
        "25/12/2013",
        "12/25/2013",
        "3/4/14",
        "14-03-02",
        "41710",
        "2014",
        "m",
        "f",
        "h",
        "g",
        "w",
        "x",
        "-",
        "n/a",
        "?",
        "=1+1",
        "#REF!",
        "sep=;\n",
        "\u{feff}",
        "\0",
        "\u{202e}",
        "½",
        "99999999999999999999",
        "0",
        "-1",
        "1e9",
        "NaN",
        "½½",
        "(cm)",
        "(m)",
    ])
}

fn options() -> impl Strategy<Value = Options> {
    let delimiter = proptest::option::of(select(Delimiter::ALL.to_vec()));
    let first_line = proptest::option::weighted(0.2, 0_u64..6);
    let encoding = proptest::option::weighted(
        0.2,
        select(vec!["utf-8", "windows-1252", "utf-16le", "utf-16be", "shift_jis"]),
    );
    (delimiter, first_line, encoding).prop_map(|(delimiter, first_line, encoding)| Options {
        delimiter,
        first_line,
        encoding: encoding.map(str::to_owned),
        ..Options::default()
    })
}

fn good_files() -> Vec<Vec<u8>> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/ugly");
    let mut files: Vec<(PathBuf, Vec<u8>)> = fs::read_dir(folder)
        .expect("the ugly files")
        .map(|entry| entry.expect("an entry").path())
        .map(|path| (path.clone(), fs::read(path).expect("a file")))
        // Long files only make the runs longer.
        .filter(|(_, bytes)| bytes.len() < 600)
        .collect();
    files.sort();
    files.into_iter().map(|(_, bytes)| bytes).collect()
}

proptest! {
    #![proptest_config(fuzz())]

    #[test]
    fn random_bytes_never_make_the_reader_panic(bytes in vec(any::<u8>(), 0..120)) {
        read_and_use(&bytes, &Options::default());
    }

    #[test]
    fn random_pieces_of_lists_never_make_the_reader_panic(pieces in vec(piece(), 0..40)) {
        read_and_use(pieces.concat().as_bytes(), &Options::default());
    }
}

proptest! {
    #![proptest_config(fuzz())]

    #[test]
    fn random_pieces_under_any_options_never_make_the_reader_panic(
        pieces in vec(piece(), 0..40),
        options in options(),
    ) {
        read_and_use(pieces.concat().as_bytes(), &options);
    }

    #[test]
    fn answers_always_come_to_an_end(pieces in vec(piece(), 0..40), answers in vec(any::<Index>(), 1..8)) {
        let text = pieces.concat();
        let mut options = Options::default();
        let mut rounds = 0;
        while let Ok(preview) = read(text.as_bytes(), &options) {
            if preview.questions.is_empty() {
                break;
            }
            rounds += 1;
            prop_assert!(rounds <= ROUNDS_MAX, "{:?}", preview.questions);
            for (question, index) in preview.questions.iter().zip(answers.iter().cycle()) {
                let answer = &question.answers[index.index(question.answers.len())];
                answer.choices.iter().for_each(|choice| options.choose(choice));
            }
        }
    }

    #[test]
    fn mutated_files_never_make_the_reader_panic(
        file in select(good_files()),
        changes in vec((any::<Index>(), 0_u8..4, any::<u8>()), 1..6),
    ) {
        let mut bytes = file;
        for (place, what, byte) in changes {
            let at = place.index(bytes.len() + 1);
            match what {
                0 => bytes.insert(at, byte),
                1 if at < bytes.len() => drop(bytes.remove(at)),
                2 if at < bytes.len() => bytes[at] = byte,
                _ => bytes.truncate(at),
            }
        }
        read_and_use(&bytes, &Options::default());
    }
}

/// Any text that can be a name, signs that spreadsheets and readers take for something else included.
fn label() -> impl Strategy<Value = String> {
    let signs = "[=+@',;|\"?. -]{0,3}[A-Za-zÀ-ž0-9 ;,]{0,12}[!?.]{0,1}";
    let odd = select(vec![
        "-",
        "?",
        "n/a",
        "NA",
        "Total",
        "24 pupils",
        "Name",
        "null",
        "'",
        "''",
        "'=x",
        "=1",
        "@x",
        "🦊",
        "1",
        "m",
        "sep=;",
    ]);
    prop_oneof![4 => signs.prop_map(String::from), 1 => "\\PC{1,20}".prop_map(String::from), 1 => odd.prop_map(str::to_owned)]
        .prop_map(|text| text.trim().to_owned())
        .prop_filter("a name", |text| {
            let unseen = |c: char| {
                c.is_control()
                    || matches!(c, '\u{fffd}' | '\u{feff}' | '\u{200b}'..='\u{200f}')
                    || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}')
            };
            !text.is_empty() && text.chars().count() < NAME_CHARS_MAX && !text.chars().any(unseen)
        })
}

fn date(from: i16, to: i16) -> impl Strategy<Value = Date> {
    (from..=to, 1_i8..=12, 1_i8..=28).prop_map(|(year, month, day)| jiff::civil::date(year, month, day))
}

fn age() -> impl Strategy<Value = Age> {
    prop_oneof![
        (3.0..=25.0_f64, proptest::option::of(date(2010, 2030)))
            .prop_map(|(age_y, on)| Age::Years { age_y, on }),
        (3_u32..=25).prop_map(|age_y| Age::Years { age_y: f64::from(age_y), on: None }),
        date(1990, 2009).prop_map(Age::Born),
    ]
}

/// A class as our own form carries it: ids and labels differ from each other.
fn class() -> impl Strategy<Value = Vec<Runner>> {
    let optional = proptest::option::of::<std::ops::RangeInclusive<f64>>;
    let runner = (
        (label(), label()),
        proptest::option::of(select(vec![Sex::Female, Sex::Male])),
        proptest::option::of(age()),
        proptest::option::of((60.0..=230.0_f64, proptest::option::of(date(2010, 2030)))),
        optional(25.0..=130.0),
        optional(0.2..=3.0),
    );
    vec(runner, 1..20).prop_map(|rows| {
        let (mut ids, mut labels) = (BTreeSet::new(), BTreeSet::new());
        let mut class = Vec::new();
        for ((id, label), sex, age, stature, leg_length_cm, step_length_m) in rows {
            if !ids.insert(id.clone()) || !labels.insert(label.clone()) {
                continue;
            }
            let mut runner = Runner::named(id, label);
            runner.sex = sex;
            runner.age = age;
            (runner.stature_cm, runner.stature_date) =
                stature.map_or((None, None), |(cm, on)| (Some(cm), on));
            runner.leg_length_cm = leg_length_cm;
            runner.steps = step_length_m
                .map(|step_length_m| StrideObservation::StepLength { step_length_m })
                .into_iter()
                .collect();
            class.push(runner);
        }
        class
    })
}

/// A small class whose list can be written in every way that coaches use.
fn plain_class() -> impl Strategy<Value = Vec<(String, Option<bool>, u32)>> {
    let name = select(vec![
        "Wren",
        "Piran",
        "Umi",
        "Zoë",
        "Jürgen",
        "François",
        "Núria",
        "Søren",
        "Anna Lena",
        "O’Neil",
    ]);
    vec((name, proptest::option::of(any::<bool>()), 1100_u32..1900), 2..12).prop_map(|rows| {
        let mut seen = BTreeSet::new();
        rows.into_iter()
            .filter(|(name, ..)| seen.insert(*name))
            .map(|(name, girl, stature_mm)| (name.to_owned(), girl, stature_mm))
            .collect()
    })
}

fn told(runners: &[Runner]) -> Vec<(String, Option<Sex>, Option<f64>)> {
    runners.iter().map(|runner| (runner.label.clone(), runner.sex, runner.stature_cm)).collect()
}

proptest! {
    #![proptest_config(cases(CLASS_CASES))]

    #[test]
    fn our_own_form_gives_back_what_was_written(class in class()) {
        let text = write(&class);
        let preview = read(text.as_bytes(), &Options::default()).unwrap();
        prop_assert!(preview.bad.is_empty() && preview.questions.is_empty(), "{:?} {:?}\n{}", preview.bad, preview.questions, text);
        prop_assert_eq!(preview.accept().unwrap(), class);
    }

    #[test]
    fn our_own_form_starts_no_cell_with_a_formula(class in class()) {
        let text = write(&class);
        let mut reader = csv::ReaderBuilder::new().from_reader(text.as_bytes());
        for record in reader.records() {
            for cell in &record.unwrap() {
                prop_assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{}", cell);
            }
        }
    }

    #[test]
    fn the_way_of_writing_makes_no_difference(
        class in plain_class(),
        separator in select(vec![',', ';', '\t', '|']),
        decimal_comma in any::<bool>(),
        line_end in select(vec!["\n", "\r\n", "\r"]),
        encoding in select(vec!["utf-8", "utf-8 mark", "utf-16le", "utf-16be", "windows-1252"]),
        metres in any::<bool>(),
        unit_in_header in any::<bool>(),
        sex_first in any::<bool>(),
    ) {
        let stature = |mm: u32| {
            let text = if metres { format!("{}.{:03}", mm / 1000, mm % 1000) } else { format!("{}.{}", mm / 10, mm % 10) };
            // A fourth decimal keeps the comma from being a mark of thousands.
            let text = if metres { format!("{text}0") } else { text };
            let text = if decimal_comma { text.replace('.', ",") } else { text };
            if text.contains(separator) { format!("\"{text}\"") } else { text }
        };
        let heading = match (unit_in_header, metres) {
            (true, true) => "Height (m)",
            (true, false) => "Height (cm)",
            (false, _) => "Height",
        };
        let order = |name: &str, sex: &str, height: &str| {
            let cells = if sex_first { [sex, name, height] } else { [name, sex, height] };
            cells.join(&separator.to_string())
        };
        let mut lines = vec![order("Name", "Sex", heading)];
        for (name, girl, mm) in &class {
            let sex = girl.map_or("", |girl| if girl { "girl" } else { "boy" });
            lines.push(order(name, sex, &stature(*mm)));
        }
        let text = lines.join(line_end);
        let bytes = match encoding {
            "utf-8" => text.into_bytes(),
            "utf-8 mark" => [b"\xef\xbb\xbf", text.as_bytes()].concat(),
            "utf-16le" => [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect(),
            "utf-16be" => [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect(),
            _ => encoding_rs::WINDOWS_1252.encode(&text).0.into_owned(),
        };
        let expected: Vec<_> = class
            .iter()
            .map(|(name, girl, mm)| {
                let sex = girl.map(|girl| if girl { Sex::Female } else { Sex::Male });
                (name.clone(), sex, Some(f64::from(*mm) / 10.0))
            })
            .collect();
        let preview = read(&bytes, &Options::default()).unwrap();
        prop_assert!(preview.questions.is_empty() && preview.bad.is_empty(), "{:?} {:?}", preview.questions, preview.bad);
        prop_assert_eq!(told(&preview.accept().unwrap()), expected);
    }

    #[test]
    fn a_wrong_cell_is_found_on_its_line(
        before in vec(select(vec!["Wren,143", "\"Anna\nLena\",140,", "", ",,", "\"Umi\",151"]), 0..12),
        line_end in select(vec!["\n", "\r\n", "\r"]),
    ) {
        let lines: Vec<&str> = std::iter::once("Name,Height,Notes").chain(before).collect();
        let text = format!("{}\nPiran,14,", lines.join("\n"));
        let line = text.matches('\n').count() as u64 + 1;
        let preview = read(text.replace('\n', line_end).as_bytes(), &Options::default()).unwrap();
        let at: Vec<u64> = preview.bad.iter().filter(|cell| cell.column == "Height").map(|cell| cell.line).collect();
        prop_assert_eq!(at, vec![line]);
    }

    #[test]
    fn a_list_beside_itself_brings_nothing_new(class in class()) {
        let comparison = compare(&class, &class);
        prop_assert_eq!(comparison.already_there.len(), class.len());
        prop_assert!(comparison.changed.is_empty() && comparison.new.is_empty() && comparison.not_in_list.is_empty());
    }
}

#[test]
fn size_limits_refuse_and_the_largest_files_are_read() {
    let too_large = vec![b'a'; BYTES_MAX + 1];
    assert!(matches!(read(&too_large, &Options::default()), Err(ImportError::TooLarge { .. })));
    let most: String = (0..ROWS_MAX).map(|number| format!("r{number}\n")).collect();
    assert_eq!(read(most.as_bytes(), &Options::default()).map(|preview| preview.rows.len()), Ok(ROWS_MAX));
    // The largest file of nothing but separators, of quotation marks, of line ends and of one cell.
    for filling in [",", "\"", "\n", "a", "\",\n", "x;", "1,234\t"] {
        let text = filling.repeat(BYTES_MAX / filling.len());
        read_and_use(text.as_bytes(), &Options::default());
    }
}

#[test]
fn a_list_that_is_too_long_is_told_the_line_of_the_first_child_too_many() {
    for (children, titles) in [(ROWS_MAX + 1, 0), (ROWS_MAX + 500, 0), (ROWS_MAX + 500, 2)] {
        let mut text = "7 Larch\n".repeat(titles) + "Name,Height (cm)\n";
        for child in 0..children {
            text.push_str(&format!("Child{child},143\n"));
        }
        let error = read(text.as_bytes(), &Options::default()).expect_err("too many");
        let line = (titles + 1 + ROWS_MAX + 1) as u64;
        assert_eq!(error, ImportError::TooManyRows { line, allowed: ROWS_MAX }, "{children} {titles}");
    }
}

#[test]
fn days_that_are_still_to_come_are_named_at_their_cells() {
    let list = "name,birth_date,stature_cm,stature_date\nWren,2014-03-12,143,2026-03-04\nUmi,2030-01-01,,\n";
    let on = |today| read(list.as_bytes(), &Options { today, ..Options::default() }).expect("a list");
    assert!(on(None).is_acceptable());
    let today = "2026-03-02".parse::<Date>().ok();
    let bad = on(today).bad;
    let places: Vec<(u64, &str, &str)> =
        bad.iter().map(|cell| (cell.line, cell.column.as_str(), cell.remedy.id.as_str())).collect();
    assert_eq!(
        places,
        [(2, "stature_date", "import-bad-date-ahead"), (3, "birth_date", "import-bad-date-ahead")]
    );
    // A day more is let through, for clocks and zones.
    assert_eq!(on("2026-03-03".parse::<Date>().ok()).bad.len(), 1);
}
