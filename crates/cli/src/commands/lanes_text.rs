//! A plan as text that one person can set lanes out from.

use std::fmt::Write as _;

use lanewright_model::plan::{Plan, PlannedLane, PlannedRunner};
use lanewright_model::words::{Units, Words};
use lanewright_model::{Arg, Message};

use crate::output::{bullet, wrapped};

/// What was asked, as far as the words depend on it.
#[derive(Clone, Copy)]
pub(crate) struct Asked {
    /// A sprint follows the last hurdle.
    pub sprint: bool,
}

/// Returns the plan as text: what is asked, whether it fits, the lanes, the children, what to look at.
pub(crate) fn text(plan: &Plan, asked: Asked, words: &Words) -> String {
    let mut text = String::new();
    heading(plan, words, &mut text);
    for lane in &plan.lanes {
        text.push('\n');
        one_lane(plan, lane, asked.sprint, words, &mut text);
    }
    text.push('\n');
    children(plan, words, &mut text);
    // What does not fit stands in the heading already.
    let said = ["plan-too-long", "plan-too-wide"];
    let mut warnings = plan.warnings.iter().filter(|warning| !said.contains(&warning.id.as_str())).peekable();
    if warnings.peek().is_some() {
        let _ = writeln!(text, "\n{}", words.get("plan-look-at"));
    }
    for warning in warnings {
        bullet(&words.say(warning), &mut text);
    }
    text.push('\n');
    let both_ways = plan.lanes.iter().any(|lane| lane.parts.start_stopping_m > 0.0);
    let caution = words.get(if both_ways { "plan-caution-both-ways" } else { "plan-caution" });
    wrapped("", "", caution.split(' '), &mut text);
    text
}

fn heading(plan: &Plan, words: &Words, text: &mut String) {
    // A walk has no effort; where drills differ, each that is run is named with its own.
    let of_all = plan.effort_of_all();
    let heading = Message::new(if of_all.is_some() { "plan-heading" } else { "plan-heading-walk" })
        .with("lanes", Arg::Count(plan.lanes.len() as i64))
        .with("children", Arg::Count(plan.runners.len() as i64))
        .text("drills", plan.drills_said(words))
        .with("effort", Arg::Share(of_all.unwrap_or_default()));
    let _ = writeln!(text, "{}", words.say(&heading));
    if let Some(floor) = &plan.floor {
        let id = if plan.fits { "plan-fits" } else { "plan-does-not-fit" };
        let (needed_length, needed_width) = floor.needed(words);
        let fits = Message::new(id)
            .with("length", Arg::MeasuredM(floor.space.length_m))
            .with("width", Arg::MeasuredM(floor.space.width_m))
            .with("needed-length", needed_length)
            .with("needed-width", needed_width);
        let _ = writeln!(text, "{}", words.say(&fits));
    }
    if !plan.remedies.is_empty() {
        let count = Arg::Count(plan.remedies.len() as i64);
        let _ = writeln!(text, "{}", words.say(&Message::new("plan-make-it-fit").with("count", count)));
        for remedy in &plan.remedies {
            bullet(&words.say(remedy), text);
        }
    }
}

fn one_lane(plan: &Plan, lane: &PlannedLane, sprint: bool, words: &Words, text: &mut String) {
    let height = if lane.hurdle_height_cm == 0.0 {
        Message::new("plan-lane-lines").with("hurdles", Arg::Count(i64::from(lane.hurdles)))
    } else {
        Message::new("plan-lane-hurdles")
            .with("hurdles", Arg::Count(i64::from(lane.hurdles)))
            .with("height", Arg::HeightCm(lane.hurdle_height_cm))
    };
    let title = Message::new("plan-lane")
        .text("lane", lane.lane.as_str())
        .with("hurdles", Arg::Say(Box::new(height)))
        .with("length", Arg::RoomM(lane.length_m));
    let _ = writeln!(text, "{}", words.say(&title));
    if let Some(place) = plan
        .floor
        .as_ref()
        .and_then(|floor| floor.lanes.get(plan.lanes.iter().position(|other| other == lane)?))
    {
        let place = Message::new("plan-lane-place")
            .with("start", Arg::GapM(place.start_x_m))
            .with("middle", Arg::GapM((place.left_y_m + place.right_y_m) / 2.0));
        line("plan-row-place", &words.say(&place), words, text);
    }
    let parts = &lane.parts;
    let wait = Message::new(if parts.start_stopping_m > 0.0 {
        "plan-lane-wait-both-ways"
    } else {
        "plan-lane-wait"
    })
    .with("clear", Arg::RoomM(parts.start_stopping_m))
    .with("back", Arg::RoomM(parts.start_stopping_m + parts.waiting_m));
    line("plan-row-wait", &words.say(&wait), words, text);
    let start =
        Message::new(if parts.second_start_m > 0.0 { "plan-lane-start" } else { "plan-lane-one-start" })
            .with("second", Arg::GapM(parts.second_start_m));
    line("plan-row-start", &words.say(&start), words, text);
    for setting in &lane.settings {
        let drills: Vec<String> =
            setting.drills.iter().map(|drill| words.get(&format!("drill-{drill}"))).collect();
        let gap = Message::new("plan-lane-gap")
            .with("gap", Arg::GapM(setting.gap_m))
            .text("drills", drills.join(", "));
        line("plan-row-gap", &words.say(&gap), words, text);
        wrapped(
            &row("plan-row-marks", words),
            &row("", words),
            marks(&setting.marks_m, words).iter().map(String::as_str),
            text,
        );
    }
    let exit_m = lane.run_up_m + parts.hurdles_m + parts.exit_m;
    let stop = Message::new(if sprint { "plan-lane-sprint" } else { "plan-lane-stop" })
        .with("exit", Arg::GapM(exit_m))
        .with("stop", words.free_until(exit_m + parts.stopping_m))
        .with("clear", words.free_until(exit_m + parts.stopping_m + parts.margin_m));
    line("plan-row-stop", &words.say(&stop), words, text);
    let names: Vec<String> = lane
        .runners
        .iter()
        .enumerate()
        .map(|(index, name)| if index + 1 < lane.runners.len() { format!("{name},") } else { name.clone() })
        .collect();
    wrapped(&row("plan-row-runs", words), &row("", words), names.iter().map(String::as_str), text);
}

/// Marks as one reads them off a tape. In metres the unit stands once, at the end.
fn marks(marks_m: &[f64], words: &Words) -> Vec<String> {
    let shown = marks_m.iter().map(|mark_m| words.show(&Arg::GapM(*mark_m)));
    match words.units {
        Units::Metric => {
            let last = marks_m.len().saturating_sub(1);
            shown
                .enumerate()
                .map(
                    |(index, mark)| {
                        if index < last { format!("{} ", mark.trim_end_matches(" m")) } else { mark }
                    },
                )
                .collect()
        }
        Units::FeetInches => {
            let last = marks_m.len().saturating_sub(1);
            shown
                .enumerate()
                .map(|(index, mark)| if index < last { format!("{mark},") } else { mark })
                .collect()
        }
    }
}

fn children(plan: &Plan, words: &Words, text: &mut String) {
    let columns = ["name", "own-gap", "likely", "lane", "fit", "hurdle", "basis"]
        .map(|column| words.get(&format!("plan-column-{column}")));
    let rows: Vec<[String; 7]> = plan.runners.iter().map(|runner| child(runner, words)).collect();
    let widths: Vec<usize> = (0..columns.len())
        .map(|column| {
            rows.iter()
                .map(|row| row[column].chars().count())
                .chain([columns[column].chars().count()])
                .max()
                .unwrap_or(0)
        })
        .collect();
    for row in std::iter::once(&columns).chain(&rows) {
        let cells: Vec<String> =
            row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}", width = *width)).collect();
        let _ = writeln!(text, "{}", cells.join("  ").trim_end());
    }
}

fn child(runner: &PlannedRunner, words: &Words) -> [String; 7] {
    let own = &runner.spacing_m;
    let likely =
        Message::new("plan-from-to").with("low", Arg::GapM(own.low)).with("high", Arg::GapM(own.high));
    let outside = runner.gaps.iter().any(|gap| !gap.inside);
    let fit = format!("{:+.0} %", runner.fit_ratio * 100.0).replace("-0 %", "+0 %");
    let height = if runner.hurdle_height_cm == 0.0 {
        words.get("plan-floor-lines")
    } else {
        words.show(&Arg::HeightCm(runner.hurdle_height_cm))
    };
    [
        runner.name.clone(),
        words.show(&Arg::GapM(own.median)),
        words.say(&likely),
        runner.lane.clone(),
        if outside { words.say(&Message::new("plan-outside").text("fit", fit)) } else { fit },
        height,
        basis(runner, words),
    ]
}

/// What the gap rests on; the plan says it in plain English.
fn basis(runner: &PlannedRunner, words: &Words) -> String {
    let id = format!("cli-basis-{}", runner.basis.replace(' ', "-"));
    if words.has(&id) { words.get(&id) } else { runner.basis.clone() }
}

/// The label of a row inside a lane, at its fixed width.
fn row(id: &str, words: &Words) -> String {
    let label = if id.is_empty() { String::new() } else { words.get(id) };
    format!("  {label:<8}")
}

fn line(id: &str, said: &str, words: &Words, text: &mut String) {
    wrapped(&row(id, words), &row("", words), said.split(' '), text);
}
