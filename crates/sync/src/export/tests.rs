use super::tables::{TABLES, Type};
use super::*;
use crate::stamp::{DeviceId, Stamp};
use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

const SCHOOL: SchoolId = SchoolId(Uuid::from_u128(1));
const NOW_MS: u64 = 1_772_446_445_000;

fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        // Adding zero turns -0.0, which equals 0.0 and yet reads differently, into 0.0.
        any::<f64>().prop_map(|number| Value::from(number + 0.0)),
        "(?s).{0,8}".prop_map(Value::from),
    ];
    leaf.prop_recursive(2, 12, 4, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
            proptest::collection::btree_map("[a-z]{0,4}", inner, 0..4)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

fn fitting(kind: Type) -> BoxedStrategy<Value> {
    match kind {
        Type::Text => "(?s).{0,12}".prop_map(Value::from).boxed(),
        Type::Id(_) => (0u128..4).prop_map(|id| json!(Uuid::from_u128(id))).boxed(),
        Type::Whole => any::<i64>().prop_map(Value::from).boxed(),
        Type::Number => (-400i32..400).prop_map(|share| Value::from(f64::from(share) / 3.0)).boxed(),
        Type::Truth => any::<bool>().prop_map(Value::from).boxed(),
        Type::Day => {
            (1i8..13, 1i8..29).prop_map(|(month, day)| json!(jiff::civil::date(2026, month, day))).boxed()
        }
        Type::List => proptest::collection::vec(any_json(), 0..4).prop_map(Value::from).boxed(),
        Type::Object => proptest::collection::btree_map("[a-z]{1,4}", any_json(), 0..3)
            .prop_map(|map| Value::Object(map.into_iter().collect()))
            .boxed(),
    }
}

/// A body with some of its kind's columns, most of them as they should be, and with keys that no column has.
fn any_body(table: usize) -> impl Strategy<Value = Value> {
    let columns: Vec<_> = TABLES[table]
        .columns
        .iter()
        .map(|column| {
            let value = prop_oneof![
                3 => fitting(column.kind).prop_map(Some),
                1 => any_json().prop_map(Some),
                2 => Just(None),
            ];
            value.prop_map(move |value| (column.path, value))
        })
        .collect();
    (columns, proptest::collection::btree_map("[a-z_]{1,9}", any_json(), 0..2)).prop_map(
        |(values, others)| {
            let mut body = Value::Object(others.into_iter().collect());
            for (path, value) in values {
                let Some(value) = value else { continue };
                let mut place = &mut body;
                for key in path {
                    if !place.is_object() {
                        *place = json!({});
                    }
                    place = &mut place[*key];
                }
                *place = value;
            }
            body
        },
    )
}

fn any_record() -> impl Strategy<Value = Record> {
    let known = (0..TABLES.len())
        .prop_flat_map(|table| any_body(table).prop_map(move |body| (TABLES[table].kind.to_owned(), body)));
    let unknown = ("[a-z]{1,3}(-[a-z]{1,3})?", any_json());
    let stamp = (0u64..10_000_000_000_000, 0u32..1_000_000, any::<u128>());
    (prop_oneof![8 => known, 1 => unknown], any::<u128>(), 1u32..4, stamp).prop_map(
        |((kind, body), id, version, (wall_ms, counter, device))| Record {
            id: Uuid::from_u128(id),
            kind,
            version,
            body,
            stamp: Stamp { wall_ms, counter, device: DeviceId(Uuid::from_u128(device)) },
            school: SCHOOL,
        },
    )
}

fn any_school() -> impl Strategy<Value = Vec<Record>> {
    proptest::collection::vec(any_record(), 0..20).prop_map(|records| {
        let by_key: BTreeMap<RecordKey, Record> =
            records.into_iter().map(|record| (record.key(), record)).collect();
        by_key.into_values().collect()
    })
}

fn package_back(files: &[(String, String)]) -> Result<Export, ExportError> {
    let content = |name: &str| {
        let found = files.iter().find(|(file, _)| file == name);
        found.map(|(_, text)| text.clone().into_bytes()).ok_or_else(|| "it is not there".to_owned())
    };
    read_package(&String::from_utf8(content(PACKAGE_FILE).unwrap()).unwrap(), content)
}

proptest! {
    #[test]
    fn a_school_reads_back_from_json_bit_by_bit(records in any_school()) {
        let back = read_json(&write_json(SCHOOL, records.iter().rev(), NOW_MS)).unwrap();
        prop_assert_eq!(back, Export { school: Some(SCHOOL), exported_ms: Some(NOW_MS), records });
    }

    #[test]
    fn a_school_reads_back_from_tables_bit_by_bit(records in any_school()) {
        let back = package_back(&write_package(SCHOOL, records.iter().rev(), NOW_MS, Variant::Plain)).unwrap();
        let digests = |records: &[Record]| records.iter().map(Record::digest).collect::<Vec<_>>();
        prop_assert_eq!(digests(&back.records), digests(&records));
        prop_assert_eq!(back, Export { school: Some(SCHOOL), exported_ms: Some(NOW_MS), records });
    }

    #[test]
    fn no_cell_for_a_spreadsheet_starts_as_a_formula_and_no_number_is_touched(records in any_school()) {
        for (name, text) in write_package(SCHOOL, &records, NOW_MS, Variant::Spreadsheets) {
            if !name.ends_with(".csv") {
                continue;
            }
            let marked = text.starts_with('\u{feff}');
            prop_assert!(marked);
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            for row in reader.records() {
                for cell in &row.unwrap() {
                    let number = cell.parse::<f64>().is_ok();
                    let runs = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
                    prop_assert!(number || !runs, "{name}: {cell:?}");
                }
            }
        }
    }
}

/// Writes damaged forms of a text: cut, doubled, with a byte changed, or with a piece of another put in.
fn damaged(text: &str, cuts: (u32, u32, u8, u8)) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    if bytes.is_empty() {
        return bytes;
    }
    let length = bytes.len();
    let (from, to) = (cuts.0 as usize % length, cuts.1 as usize % length);
    let (from, to) = (from.min(to), from.max(to));
    match cuts.2 % 6 {
        0 => bytes.truncate(from),
        1 => drop(bytes.drain(from..to.min(from + 40))),
        2 => bytes[from] = cuts.3,
        3 => bytes.insert(from, cuts.3),
        4 => {
            let piece = bytes[from..to.min(from + 30)].to_vec();
            bytes.splice(to..to, piece);
        }
        _ => {
            let piece =
                ["\"", ",", "{}", "null", "1e999", "[[[[", "\r\n", "\u{0}", "-", "18446744073709551616"];
            let piece = piece[usize::from(cuts.3) % piece.len()].bytes();
            bytes.splice(from..(from + 1).min(length), piece);
        }
    }
    bytes
}

/// One record of each kind, of the page of formats.
fn shown() -> Vec<Record> {
    let page = include_str!("../../../../docs/formats/records.md");
    let block = page.split("```jsonl\n").nth(1).and_then(|rest| rest.split("```").next()).expect("a block");
    block.lines().map(|line| serde_json::from_str(line).expect(line)).collect()
}

/// Damaged bytes per reader; `LANEWRIGHT_FUZZ_CASES` asks for more.
fn fuzz_cases() -> u32 {
    std::env::var("LANEWRIGHT_FUZZ_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(20_000)
}

/// Texts of all messages that travel between app and server, made once.
fn messages() -> Vec<String> {
    let records = shown()[..3].to_vec();
    let place = crate::Place { history: SCHOOL.0, seq: 57 };
    let at = Some(place);
    let acked = records.iter().map(crate::Acked::of).collect();
    let reason = crate::RefusalReason::ClockAhead;
    let refused = vec![crate::Refused { key: records[0].key(), stamp: records[0].stamp, reason }];
    vec![
        serde_json::to_string(&crate::Push { records: records.clone() }).unwrap(),
        serde_json::to_string(&crate::PushAnswer { acked, refused, now_ms: NOW_MS, at }).unwrap(),
        serde_json::to_string(&crate::PullAnswer { records, cursor: 57, more: true, at }).unwrap(),
        serde_json::to_string(&crate::Standing { at: place, known: true }).unwrap(),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(fuzz_cases()))]

    #[test]
    fn a_damaged_export_is_refused_or_read_and_never_panics(
        cuts in proptest::collection::vec(any::<(u32, u32, u8, u8)>(), 1..4),
    ) {
        let text = write_json(shown()[0].school, &shown()[..3], NOW_MS);
        let text = cuts.iter().fold(text, |text, cuts| String::from_utf8_lossy(&damaged(&text, *cuts)).into_owned());
        if let Err(error) = read_json(&text) {
            prop_assert!(!error.place.is_empty() && !error.problem.is_empty());
        }
    }

    #[test]
    fn damaged_tables_are_refused_or_read_and_never_panic(
        which in any::<u8>(),
        cuts in proptest::collection::vec(any::<(u32, u32, u8, u8)>(), 1..4),
    ) {
        thread_local! {
            static FILES: Vec<(String, String)> =
                // A class, a run and a measurement: every type of cell.
                write_package(shown()[0].school, [&shown()[0], &shown()[3], &shown()[12]], NOW_MS, Variant::Plain);
        }
        let mut files = FILES.with(Clone::clone);
        let which = usize::from(which) % files.len();
        for cuts in &cuts {
            files[which].1 = String::from_utf8_lossy(&damaged(&files[which].1, *cuts)).into_owned();
        }
        if let Err(error) = package_back(&files) {
            prop_assert!(!error.place.is_empty() && !error.problem.is_empty());
        }
    }

    #[test]
    fn a_damaged_message_is_refused_or_read_and_never_panics(
        which in any::<u8>(),
        cuts in proptest::collection::vec(any::<(u32, u32, u8, u8)>(), 1..4),
    ) {
        thread_local! {
            static MESSAGES: Vec<String> = messages();
        }
        let text = MESSAGES.with(|messages| messages[usize::from(which) % messages.len()].clone());
        let text = cuts.iter().fold(text, |text, cuts| String::from_utf8_lossy(&damaged(&text, *cuts)).into_owned());
        if let Ok(push) = serde_json::from_str::<crate::Push>(&text) {
            for record in &push.records {
                let _ = crate::check(record, SCHOOL, NOW_MS);
                let erasures = crate::erasures_in(&push.records);
                let _ = crate::left_of(&erasures, record).map(|left| left.digest());
            }
        }
        if let Ok(answer) = serde_json::from_str::<crate::PushAnswer>(&text) {
            // What was changed on its way proves nothing.
            for record in &shown()[..3] {
                let proven = answer.acked.iter().any(|acked| acked.proves(record));
                prop_assert!(!proven || text.contains(&record.digest()));
            }
        }
        let _ = serde_json::from_str::<crate::PullAnswer>(&text);
        let _ = serde_json::from_str::<crate::Standing>(&text);
    }
}

#[test]
fn every_kind_of_this_version_has_a_table_that_holds_all_it_says() {
    let kinds: Vec<&str> = TABLES.iter().map(|table| table.kind).collect();
    let mut known = lanewright_model::record::KINDS.to_vec();
    known.sort_unstable();
    let mut sorted = kinds.clone();
    sorted.sort_unstable();
    assert_eq!(sorted, known);
    for (name, text) in write_package(shown()[0].school, &shown(), NOW_MS, Variant::Plain) {
        if !name.ends_with(".csv") {
            continue;
        }
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let more = reader.headers().unwrap().len() - 1;
        for row in reader.records() {
            let row = row.unwrap();
            // What is null has no cell; nothing else may be left over.
            let left: Value =
                serde_json::from_str(if row[more].is_empty() { "{}" } else { &row[more] }).unwrap();
            fn only_nulls(value: &Value) -> bool {
                value.is_null() || value.as_object().is_some_and(|map| map.values().all(only_nulls))
            }
            assert!(only_nulls(&left), "{name}: {left}");
        }
    }
}

#[test]
fn a_heard_run_keeps_its_cadence_in_both_forms_and_has_its_own_cells() {
    use lanewright_model::record::{Body, Measured};
    use lanewright_model::{Age, Runner, StrideObservation};
    let heard = StrideObservation::TimedRun {
        distance_m: 20.0,
        steps: 15,
        time_s: Some(4.4),
        effort: 0.75,
        cadence_hz: Some(3.35),
        cadence_sd_hz: Some(0.05),
    };
    let mut runner = Runner::named("018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e", "Ada");
    runner.age = Some(Age::Born(jiff::civil::date(2014, 6, 5)));
    runner.steps = vec![heard.clone()];
    let records: Vec<Record> = lanewright_model::record::bodies_for_runner(&runner, "c", 0)
        .into_iter()
        .map(|(kind, id, body)| Record {
            id: id.parse().unwrap(),
            kind: kind.to_owned(),
            version: 1,
            body: body.to_value(),
            stamp: Stamp { wall_ms: NOW_MS, counter: 0, device: DeviceId(Uuid::from_u128(7)) },
            school: SCHOOL,
        })
        .collect();
    let files = write_package(SCHOOL, &records, NOW_MS, Variant::Plain);
    let table = &files.iter().find(|(name, _)| name == "measurement.csv").unwrap().1;
    assert!(table.contains(",20.0,15,4.4,0.75,3.35,0.05,"), "{table}");
    let json = read_json(&write_json(SCHOOL, &records, NOW_MS)).expect("read");
    for export in [json, package_back(&files).expect("read")] {
        let back: Vec<StrideObservation> = export
            .records
            .iter()
            .filter_map(|record| match Body::from_value(&record.kind, &record.body).unwrap()? {
                Body::Measurement(body) => match body.measured {
                    Measured::Steps { observation } => Some(observation),
                    _ => None,
                },
                _ => None,
            })
            .collect();
        assert_eq!(back, std::slice::from_ref(&heard));
    }
}

#[test]
fn a_mistake_is_named_with_its_place() {
    let files = write_package(shown()[0].school, &shown(), NOW_MS, Variant::Plain);
    let with = |file: &str, from: &str, to: &str| {
        let mut files = files.clone();
        let place = files.iter().position(|(name, _)| name == file).expect(file);
        assert!(files[place].1.contains(from), "{from} is not in {file}");
        files[place].1 = files[place].1.replacen(from, to, 1);
        package_back(&files).expect_err("refused").to_string()
    };
    let cases = [
        with("run.csv", ",8,", ",eight,"),
        with("run.csv", "1772446445000-000010", "1772446445000-10"),
        with("run.csv", "[3,4]", "3 4"),
        with("class.csv", "id,stamp", "id,stomp"),
        with("class.csv", "7 Larch", "7 Larch,8 Elm"),
        with("datapackage.json", "lanewright-export/1", "lanewright-export/2"),
        with("datapackage.json", "lanewright-export/1", "recipes/1"),
        with("datapackage.json", "\"plain\"", "\"spreadsheets\""),
        with("datapackage.json", "class.csv", "../class.csv"),
    ];
    let expected = [
        "run.csv, line 2, column hurdles: `eight` is not a whole number",
        "run.csv, line 2, column stamp: `1772446445000-10-018f3a1e-7b1c-7c3a-9d2e` is not a stamp",
        "run.csv, line 2, column knocked: `3 4` is not a list in JSON",
        "class.csv, line 1: column `stamp` is missing",
        "class.csv, line 2: 7 cells instead of 6",
        "datapackage.json: this export has version 2, and this program reads 1; use the newer program",
        "datapackage.json: this is no export of Lanewright: `format` is not `lanewright-export/1`",
        concat!(
            "datapackage.json: these tables were made for spreadsheets or for research and cannot be read in; ",
            "use the plain export"
        ),
        "datapackage.json: the path of `class` has to be `class.csv`",
    ];
    assert_eq!(cases.each_ref().map(String::as_str), expected);

    let json = write_json(shown()[0].school, &shown(), NOW_MS);
    let twice =
        json.replacen("\n{", &format!("\n{},\n{{", json.lines().nth(4).unwrap().trim_end_matches(',')), 1);
    let error = read_json(&twice).expect_err("refused");
    assert!(
        error.to_string().starts_with("record 2: ") && error.problem.ends_with("at record 1 already"),
        "{error}"
    );
    let other = json.replacen("\"school\":\"5c0e1a52", "\"school\":\"5c0e1a53", 2);
    assert!(read_json(&other).expect_err("refused").problem.contains("another school"));
    let cut = read_json(&json[..json.len() / 2]).expect_err("refused");
    assert!(cut.place.starts_with("line "), "{cut}");
}

#[test]
fn a_copy_of_an_early_app_is_read() {
    let text = serde_json::to_string(&json!({"format": FORMAT_BEFORE, "records": shown()})).unwrap();
    let export = read_json(&text).expect("read");
    assert_eq!((export.school, export.records.len()), (Some(shown()[0].school), shown().len()));
}

/// Exports of released versions have to open for ever. Written once with `write_json` and `write_package`.
#[test]
fn the_exports_of_version_1_still_open() {
    let json = include_str!("../../../../fixtures/export/v1.json");
    let export = read_json(json).expect("read");
    assert_eq!(export.records.len(), 25);
    assert_eq!(write_json(export.school.expect("a school"), &export.records, NOW_MS), json);
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/export/v1");
    let file = |name: &str| std::fs::read(format!("{folder}/{name}")).map_err(|error| error.to_string());
    let description = String::from_utf8(file(PACKAGE_FILE).expect("there")).expect("text");
    assert_eq!(read_package(&description, file).expect("read").records, export.records);
}
