//! Whatever stands in a file of runs: every line is read or named with its number, and never a panic.

use lanewright_model::run::{LANE_HURDLES_MAX, Observation, read_lines};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};

/// Files per property; `LANEWRIGHT_FUZZ_CASES` asks for more of the two properties together.
fn cases() -> ProptestConfig {
    let asked = std::env::var("LANEWRIGHT_FUZZ_CASES").ok().and_then(|cases| cases.parse().ok());
    let cases = asked.unwrap_or(20_000) / 2;
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// Lines of the format page, one of each kind.
const LINES: [&str; 3] = [
    r#"{"runner":"r07","drill":"alternate-run","lane":"B","at":"2026-03-02T10:14:05Z","lead":"left","hurdles":8,"knocked":[3,4],"down_before":[1],"watched":"technique","faults":["leans-back"],"effort":0.6,"exit_sprint":false,"gap_m":1.3,"height_cm":30,"setup":"B1"}"#,
    r#"{"kind":"sweep","runner":"r07","drill":"alternate-run","lane":"B","at":"2026-03-02T10:20:00Z","seen":"got-it"}"#,
    r#"{"kind":"bout","runner":"r07","drill":"side-shuttle","at":"2026-03-02T10:25:00Z","passes":6,"turns":5,"one_step_turns":4,"seconds":15}"#,
];

/// Pieces that lines are made of, and that trip readers.
fn piece() -> impl Strategy<Value = &'static str> {
    select(vec![
        "{",
        "}",
        "[",
        "]",
        ",",
        ":",
        "\"",
        "\n",
        "\r\n",
        " ",
        "null",
        "true",
        "0",
        "-1",
        "64",
        "65",
        "1e999",
        "0.5",
        "4294967296",
        "\u{0}",
        "\u{feff}",
        "\\u0000",
        "\\ud800",
        "\"runner\":\"r1\"",
        "\"drill\":\"high-knees\"",
        "\"at\":\"2026-03-02T10:14:05Z\"",
        "\"at\":\"-009999-01-02T01:59:59Z\"",
        "\"at\":\"2026-02-30T24:00:00+99:99\"",
        "\"hurdles\":8",
        "\"hurdles\":64",
        "\"hurdles\":0",
        "\"knocked\":[1,1,64]",
        "\"down_before\":[8]",
        "\"knocked\":[9]",
        "\"effort\":1",
        "\"effort\":1e-320",
        "\"gap_m\":1e308",
        "\"kind\":\"sweep\"",
        "\"kind\":\"bout\"",
        "\"kind\":\"\\u0072un\"",
        "\"seen\":\"got-it\"",
        "\"passes\":6,\"turns\":5,\"one_step_turns\":6",
        "\"seconds\":600",
        "\"lane\":\"\"",
        "\"setup\":\"\"",
        "\"source\":\"sound\"",
        "\"moon\":{\"phase\":[[[[]]]]}",
        "Zoë",
        "🦊",
    ])
}

/// Reads, and holds the reader to what it promises.
fn read_and_judge(text: &str) {
    let (observations, bad) = read_lines(text);
    let written = text.lines().filter(|line| !line.trim().is_empty()).count();
    assert_eq!(observations.len() + bad.len(), written, "every line is read or named");
    assert!(bad.windows(2).all(|pair| pair[0].line < pair[1].line));
    for one in &bad {
        let named = text.lines().nth(one.line - 1).expect("a line of that number");
        assert!(!named.trim().is_empty() && !one.problem.id.is_empty());
    }
    for observation in &observations {
        match observation {
            Observation::Run(run) => {
                assert!((1..=LANE_HURDLES_MAX).contains(&run.hurdles) && run.standing() <= run.hurdles);
                assert!(run.knocked.0 & run.down_before.0 == 0);
                assert!(run.knocked.numbers().into_iter().all(|number| number <= run.hurdles));
                assert!(run.effort.is_none_or(|effort| effort > 0.0 && effort <= 1.0));
                assert!(run.gap_m.is_none_or(|gap_m| (0.1..=20.0).contains(&gap_m)));
                assert!(run.height_cm.is_none_or(|height_cm| (0.0..=120.0).contains(&height_cm)));
                assert!(!run.runner.trim().is_empty());
            }
            Observation::Bout(bout) => {
                assert!(bout.one_step_turns <= bout.turns && bout.seconds > 0.0 && bout.seconds <= 600.0);
            }
            Observation::Sweep(sweep) => assert!(!sweep.drill.trim().is_empty()),
        }
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn random_pieces_are_read_or_named(pieces in vec(piece(), 0..40)) {
        read_and_judge(&pieces.concat());
    }

    #[test]
    fn damaged_lines_are_read_or_named(
        lines in vec(select(LINES.to_vec()), 1..4),
        changes in vec((any::<Index>(), 0_u8..6, any::<u8>(), piece()), 0..4),
    ) {
        let mut bytes = lines.join("\n").into_bytes();
        for (place, what, byte, piece) in changes {
            let at = place.index(bytes.len() + 1);
            match what {
                0 => bytes.insert(at, byte),
                1 if at < bytes.len() => drop(bytes.remove(at)),
                2 if at < bytes.len() => bytes[at] = byte,
                3 => bytes.truncate(at),
                _ => drop(bytes.splice(at..at, piece.bytes())),
            }
        }
        read_and_judge(&String::from_utf8_lossy(&bytes));
    }
}

/// The pieces do make runs now and then; otherwise the properties would only see refusals.
#[test]
fn whole_lines_of_the_pieces_are_runs() {
    let (observations, bad) = read_lines(&LINES.join("\n"));
    assert_eq!((observations.len(), bad.len()), (3, 0));
    let pieces = [
        "{",
        "\"runner\":\"r1\"",
        ",",
        "\"drill\":\"high-knees\"",
        ",",
        "\"at\":\"2026-03-02T10:14:05Z\"",
        ",",
        "\"hurdles\":64",
        ",",
        "\"knocked\":[1,1,64]",
        "}",
    ];
    assert_eq!(read_lines(&pieces.concat()).0.len(), 1);
}
