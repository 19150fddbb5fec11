//! Times at marks, as a table: `distance_m,time_s`, and `runner` when the file holds several.
//!
//! The format page is `docs/formats/sprint.md`. Reading never stops at the first mistake: every bad cell is reported
//! with its line and column, and then nothing is returned.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::words::{Arg, Message};

/// Furthest mark, metres.
pub const DISTANCE_MAX_M: f64 = 1000.0;
/// Longest time, seconds.
pub const TIME_MAX_S: f64 = 3600.0;

/// One time at one mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitRow {
    /// Line in the file, counted from 1.
    pub line: u64,
    /// Metres from the start line or the first gate.
    pub distance_m: f64,
    /// Clock reading, seconds.
    pub time_s: f64,
}

/// The marks of one runner, in rising order.
#[derive(Debug, Clone, PartialEq)]
pub struct RunnerSplits {
    /// Name or id; none when the file has no column `runner`.
    pub runner: Option<String>,
    /// At least one mark.
    pub marks: Vec<SplitRow>,
}

/// A cell that cannot be read.
#[derive(Debug, Clone, PartialEq)]
pub struct BadCell {
    /// Line number, counted from 1.
    pub line: u64,
    /// Column: its name in the first line, or its number where the first line has no name for it.
    pub column: Cow<'static, str>,
    /// What is wrong and what to change.
    pub problem: Message,
}

impl BadCell {
    /// Returns place and problem as one message.
    pub fn message(&self) -> Message {
        Message::new("cli-list-place")
            .text("line", self.line.to_string())
            .text("column", self.column.as_ref())
            .with("said", Arg::Say(Box::new(self.problem.clone())))
    }
}

/// Reads a table of times: runners in the order of their first row, each one's marks by distance.
///
/// Columns may come in any order, parted by commas, semicolons or tabs; other columns are passed over. With
/// semicolons or tabs a comma may stand for the decimal point. A row of 0 m at 0 s is the start itself and is passed
/// over. An empty table gives an empty list. A row with more cells than the first line is a mistake: most likely a
/// decimal comma parted a number in two, and then every cell after it would be read as another one.
///
/// # Errors
/// Every bad cell.
pub fn read_splits(text: &str) -> Result<Vec<RunnerSplits>, Vec<BadCell>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first_line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let delimiter = if first_line.contains('\t') {
        b'\t'
    } else if first_line.contains(';') {
        b';'
    } else {
        b','
    };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader.headers().cloned().unwrap_or_default();
    if header.is_empty() {
        return Ok(Vec::new());
    }
    let place = |name: &str| header.iter().position(|column| column.eq_ignore_ascii_case(name));
    let (runner_at, distance_at, time_at) = (place("runner"), place("distance_m"), place("time_s"));
    let missing: Vec<BadCell> = [("distance_m", distance_at), ("time_s", time_at)]
        .into_iter()
        .filter(|(_, at)| at.is_none())
        .map(|(column, _)| BadCell {
            line: 1,
            column: column.into(),
            problem: Message::new("splits-no-column"),
        })
        .collect();
    let (Some(distance_at), Some(time_at)) = (distance_at, time_at) else { return Err(missing) };
    let mut bad = Vec::new();
    let mut order: Vec<Option<String>> = Vec::new();
    let mut rows: BTreeMap<Option<String>, Vec<SplitRow>> = BTreeMap::new();
    for record in reader.records() {
        // A table of text with lines of any length has nothing left to refuse.
        let Ok(record) = record else { continue };
        let line = record.position().map_or(0, csv::Position::line);
        if record.iter().all(str::is_empty) {
            continue;
        }
        // Spreadsheets put commas behind a row as they please; only what holds something counts.
        let cells = (0..record.len()).rfind(|&at| !record[at].is_empty()).map_or(0, |last| last + 1);
        if cells > header.len() {
            let (column, width) = ((header.len() + 1).to_string().into(), header.len());
            let id = if delimiter == b',' { "splits-many-cells-comma" } else { "splits-many-cells" };
            let problem = Message::new(id)
                .with("cells", Arg::Count(cells as i64))
                .with("width", Arg::Count(width as i64));
            bad.push(BadCell { line, column, problem });
            continue;
        }
        let runner = runner_at.map(|at| record.get(at).unwrap_or("").to_owned());
        if runner.as_deref() == Some("") {
            let problem = Message::new("splits-no-name");
            bad.push(BadCell { line, column: "runner".into(), problem });
        }
        let mut number = |at: usize, column: &'static str, most: f64, unit: &str| {
            let cell = record.get(at).unwrap_or("");
            let decimal = if delimiter == b',' { cell.to_owned() } else { cell.replace(',', ".") };
            let problem = match decimal.parse::<f64>() {
                Ok(value) if (0.0..=most).contains(&value) => return Some(value),
                Ok(value) if value.is_finite() => {
                    Message::new("splits-range").text("cell", cell).with("most", Arg::Number(most))
                }
                _ if cell.is_empty() => Message::new("splits-no-number"),
                _ => Message::new("splits-not-a-number").text("cell", cell),
            };
            bad.push(BadCell { line, column: column.into(), problem: problem.text("unit", unit) });
            None
        };
        let distance_m = number(distance_at, "distance_m", DISTANCE_MAX_M, "m");
        let time_s = number(time_at, "time_s", TIME_MAX_S, "s");
        let (Some(distance_m), Some(time_s)) = (distance_m, time_s) else { continue };
        match (distance_m == 0.0, time_s == 0.0) {
            (true, true) => {}
            (true, false) => bad.push(BadCell {
                line,
                column: "time_s".into(),
                problem: Message::new("splits-start").with("time", Arg::Number(time_s)),
            }),
            (false, true) => bad.push(BadCell {
                line,
                column: "time_s".into(),
                problem: Message::new("splits-no-time").with("distance", Arg::Number(distance_m)),
            }),
            (false, false) => {
                if !rows.contains_key(&runner) {
                    order.push(runner.clone());
                }
                rows.entry(runner).or_default().push(SplitRow { line, distance_m, time_s });
            }
        }
    }
    for marks in rows.values_mut() {
        marks.sort_by(|a, b| a.distance_m.total_cmp(&b.distance_m).then(a.line.cmp(&b.line)));
        for two in marks.windows(2) {
            let (before, mark) = (two[0], two[1]);
            if mark.distance_m == before.distance_m {
                let problem = Message::new("splits-mark-twice")
                    .with("distance", Arg::Number(mark.distance_m))
                    .text("line", before.line.to_string());
                bad.push(BadCell { line: mark.line, column: "distance_m".into(), problem });
            } else if mark.time_s <= before.time_s {
                let problem = Message::new("splits-not-later")
                    .with("time", Arg::Number(mark.time_s))
                    .with("distance", Arg::Number(mark.distance_m))
                    .with("before", Arg::Number(before.time_s))
                    .with("before_distance", Arg::Number(before.distance_m))
                    .text("line", before.line.to_string());
                bad.push(BadCell { line: mark.line, column: "time_s".into(), problem });
            }
        }
    }
    if !bad.is_empty() {
        bad.sort_by_key(|cell| cell.line);
        return Err(bad);
    }
    Ok(order
        .into_iter()
        .map(|runner| {
            let marks = rows.remove(&runner).unwrap_or_default();
            RunnerSplits { runner, marks }
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::{Language, Units, Words};
    use proptest::prelude::*;

    fn said(text: &str) -> Vec<String> {
        said_in(Language::English, text)
    }

    fn said_in(language: Language, text: &str) -> Vec<String> {
        let words = Words::new(language, Units::Metric);
        read_splits(text).unwrap_err().iter().map(|cell| words.say(&cell.message())).collect()
    }

    #[test]
    fn a_bad_time_is_named_in_the_language_of_the_reader() {
        let all = said_in(Language::German, "distance_m;time_s\n5;1,6\n10;1,5\n20;NaN\n");
        assert_eq!(
            all[0],
            "Zeile 3, Spalte time_s: 1,5 s bei 10 m ist nicht später als 1,6 s bei 5 m (Zeile 2)"
        );
        assert!(all[1].starts_with("Zeile 4, Spalte time_s: „NaN“"), "{}", all[1]);
    }

    #[test]
    fn one_runner_needs_no_name_and_rows_may_come_in_any_order() {
        let read = read_splits("time_s,distance_m\n3.3,20\n0,0\n1.6,5\n\n").unwrap();
        assert_eq!(read.len(), 1);
        assert_eq!(read[0].runner, None);
        let marks: Vec<(f64, f64)> = read[0].marks.iter().map(|row| (row.distance_m, row.time_s)).collect();
        assert_eq!(marks, [(5.0, 1.6), (20.0, 3.3)]);
    }

    #[test]
    fn several_runners_keep_the_order_of_their_first_rows() {
        let read = read_splits("runner;distance_m;time_s\nWren;5;1,61\nIdris;5;1,70\nWren;10;2,5\n").unwrap();
        assert_eq!(read[0].runner.as_deref(), Some("Wren"));
        assert_eq!((read[0].marks.len(), read[1].marks.len()), (2, 1));
        assert_eq!(read[0].marks[0].time_s, 1.61);
        assert!(
            read_splits("").unwrap().is_empty() && read_splits("distance_m,time_s\n").unwrap().is_empty()
        );
    }

    #[test]
    fn every_bad_cell_is_named_by_line_and_column() {
        let all = said(
            "runner,distance_m,time_s\nWren,5,fast\n,10,2.5\nWren,-3,\nWren,1001,3\nWren,0,0.2\nWren,8,0\n",
        );
        assert_eq!(all.len(), 7, "{all:#?}");
        assert!(all[0].starts_with("line 2, column time_s: “fast” is no number"));
        assert!(all[1].starts_with("line 3, column runner: the name is missing"));
        assert!(all[2].starts_with("line 4, column distance_m: -3 is out of range"));
        assert!(all[3].starts_with("line 4, column time_s: the number is missing"));
        assert!(all[4].starts_with("line 5, column distance_m: 1001"));
        assert!(all[5].starts_with("line 6, column time_s: 0.2 s at 0 m"));
        assert!(all[6].starts_with("line 7, column time_s: 0 s at 8 m"));
    }

    #[test]
    fn a_decimal_comma_between_commas_is_refused_and_between_semicolons_read() {
        let all = said("runner,distance_m,time_s\nA,10,2,5\nA,20,4.5\nA,30,6.5,,\n");
        assert_eq!(all.len(), 1, "{all:#?}");
        assert!(
            all[0].starts_with("line 2, column 4: the row has 4 cells, the first line 3; a decimal comma?")
        );
        let read = read_splits("runner;distance_m;time_s\nA;10;2,5\nA;20,5;4,5\n").unwrap();
        let marks: Vec<(f64, f64)> = read[0].marks.iter().map(|row| (row.distance_m, row.time_s)).collect();
        assert_eq!(marks, [(10.0, 2.5), (20.5, 4.5)]);
        assert!(said("distance_m;time_s\n10;2,5;4\n")[0].ends_with("the row has 3 cells, the first line 2"));
    }

    #[test]
    fn times_must_rise_and_marks_stand_once() {
        let all = said("distance_m,time_s\n5,1.6\n10,1.5\n10,2.5\n");
        assert_eq!(all[0], "line 3, column time_s: 1.5 s at 10 m is not later than 1.6 s at 5 m (line 2)");
        assert_eq!(all[1], "line 4, column distance_m: 10 m stands in line 3 already; one time a mark");
        assert_eq!(said("distance,time\n5,1\n").len(), 2);
    }

    proptest! {
        #[test]
        fn no_text_makes_it_panic(text in "(runner|distance_m|time_s|[,;\n\t\"0-9.a-])*") {
            if let Ok(read) = read_splits(&text) {
                for runner in read {
                    prop_assert!(!runner.marks.is_empty());
                    let rising = runner.marks.windows(2).all(|two| {
                        two[0].distance_m < two[1].distance_m && two[0].time_s < two[1].time_s
                    });
                    prop_assert!(rising);
                }
            }
        }
    }
}
