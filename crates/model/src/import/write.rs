//! Our own form of a class list.

use super::cell::needs_guard;
use crate::runner::{Age, Runner, Sex, StrideObservation};

/// Writes a class list in our own form: RFC 4180, commas, decimal points, every line ended by CR LF.
///
/// Columns: `id,name,sex`, then `age_y` and `birth_date` as the class needs them, `age_date` when one is known,
/// `stature_cm,stature_date,leg_length_cm,step_length_m`. Numbers are written in full. Of the steps, the form carries
/// the last step length that a list gave; tapes, timed runs, trials, places in a line-up and earlier statures are
/// facts of their own and not in it.
///
/// A name or id that a spreadsheet could take for a formula (first character `=`, `+`, `-`, `@`) gets an apostrophe in
/// front, which [`super::read`] takes off again; numbers and dates never do.
pub fn write(runners: &[Runner]) -> String {
    let born = runners.iter().any(|runner| matches!(runner.age, Some(Age::Born(_))));
    let aged = runners.iter().any(|runner| matches!(runner.age, Some(Age::Years { .. })));
    let age_dated = runners.iter().any(|runner| matches!(runner.age, Some(Age::Years { on: Some(_), .. })));
    let mut columns = vec!["id", "name", "sex"];
    columns.extend((aged || !born).then_some("age_y"));
    columns.extend(age_dated.then_some("age_date"));
    columns.extend(born.then_some("birth_date"));
    columns.extend(["stature_cm", "stature_date", "leg_length_cm", "step_length_m"]);

    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(&columns).expect("writing to memory does not fail");
    for runner in runners {
        let record = columns.iter().map(|column| cell(runner, column));
        writer.write_record(record).expect("writing to memory does not fail");
    }
    let bytes = writer.into_inner().expect("writing to memory does not fail");
    String::from_utf8(bytes).expect("only text was written")
}

fn cell(runner: &Runner, column: &str) -> String {
    let number = |value: Option<f64>| value.map_or(String::new(), |value| value.to_string());
    match column {
        "id" => guarded(&runner.id.0),
        "name" => guarded(&runner.label),
        "sex" => match runner.sex {
            Some(Sex::Female) => "f".to_owned(),
            Some(Sex::Male) => "m".to_owned(),
            None => String::new(),
        },
        "age_y" => match runner.age {
            Some(Age::Years { age_y, .. }) => age_y.to_string(),
            _ => String::new(),
        },
        "age_date" => match runner.age {
            Some(Age::Years { on: Some(on), .. }) => on.to_string(),
            _ => String::new(),
        },
        "birth_date" => match runner.age {
            Some(Age::Born(born)) => born.to_string(),
            _ => String::new(),
        },
        "stature_cm" => number(runner.stature_cm),
        "stature_date" => match (runner.stature_cm, runner.stature_date) {
            (Some(_), Some(day)) => day.to_string(),
            _ => String::new(),
        },
        "leg_length_cm" => number(runner.leg_length_cm),
        "step_length_m" => number(runner.steps.iter().rev().find_map(|step| match step {
            StrideObservation::StepLength { step_length_m } => Some(*step_length_m),
            _ => None,
        })),
        other => unreachable!("no column {other} in our own form"),
    }
}

fn guarded(text: &str) -> String {
    if needs_guard(text) { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_list_is_written_as_it_was_meant() {
        let mut wren = Runner::named("r01", "Wren");
        wren.sex = Some(Sex::Female);
        wren.age = Some(Age::Born(date(2014, 2, 4)));
        wren.stature_cm = Some(143.5);
        wren.stature_date = Some(date(2026, 2, 23));
        wren.steps = vec![StrideObservation::StepLength { step_length_m: 1.26 }];
        let quill = Runner::named("r02", "=Quill, \"Q\"");
        assert_eq!(
            write(&[wren, quill]),
            "id,name,sex,birth_date,stature_cm,stature_date,leg_length_cm,step_length_m\r\n\
             r01,Wren,f,2014-02-04,143.5,2026-02-23,,1.26\r\n\
             r02,\"'=Quill, \"\"Q\"\"\",,,,,,\r\n"
        );
    }
}
