//! `lanewright sprint`: speeds between marks, and the speed curve where marks and timing carry one.

use std::fmt::Write as _;
use std::path::PathBuf;

use lanewright_model::plan_json::{Said, said};
use lanewright_model::splits::{self, RunnerSplits};
use lanewright_model::words::{Units, Words};
use lanewright_model::{Arg, Estimate, Message};
use lanewright_science::sprint::{self, Analysis, Ask, Course, Curve, Mark, Speed, Start, TAPE_SD_M, Timing};
use serde::Serialize;

use super::runs;
use crate::failure::{Failure, Kind};
use crate::{language, output};

/// Mistakes that are listed; of more, only how many.
const LISTED_MAX: usize = 20;

const EXAMPLES: &str = "\
Examples:
  # Light beams every five metres; the first beam at the line starts the clock.
  lanewright sprint splits.csv --start photocell --timing-sd-s 0.005
  # From the gun, with the measured reaction.
  lanewright sprint splits.csv --start gun --reaction-s 0.146 --timing-sd-s 0.01 --json
  # Ten metres of run-up before the first gate.
  lanewright sprint splits.csv --start flying:10 --timing-sd-s 0.005
  # A stopwatch carries speeds, no curve.
  lanewright sprint splits.csv --start first-movement --timing-sd-s 0.1";

const NOTES: &str = "\
SPLITS.csv has the columns distance_m,time_s, and runner when it holds several.
A light beam errs by about 0.005 s, film of 50 pictures a second by 0.02 s, a hand by 0.1 s.
No force and no power: no timing of a school carries them. How it is computed: docs/methods/sprint.md

Exit codes:
  0  done; a refused curve is an answer too: \"allowed\": false
  2  a flag is missing or cannot be understood
  3  the file cannot be read
  4  the file has mistakes; nothing was computed
  5  the file holds no time";

/// Says how fast a sprint was from times at marks, and how it sped up where the timing carries that.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = NOTES, arg_required_else_help = true)]
pub(crate) struct Args {
    /// Times at marks (docs/formats/sprint.md); - reads from standard input
    #[arg(value_name = "SPLITS.csv")]
    splits: PathBuf,
    /// What started the clock: gun, first-movement, photocell, flying:METRES of run-up, or free
    #[arg(long, value_name = "START", value_parser = start)]
    start: Start,
    /// Error of one time, standard deviation
    #[arg(long, value_name = "S", value_parser = timing)]
    timing_sd_s: f64,
    /// Reaction to the gun in this run [default: 0.17 ± 0.09, published]
    #[arg(long, value_name = "S", value_parser = reaction)]
    reaction_s: Option<f64>,
    /// Error of where one mark lies, standard deviation
    #[arg(long, value_name = "M", default_value_t = TAPE_SD_M, value_parser = tape)]
    tape_sd_m: f64,
    /// Hurdles stood in the way: speeds only
    #[arg(long)]
    hurdled: bool,
    /// Answer as JSON (docs/formats/sprint.md)
    #[arg(long)]
    json: bool,
}

fn start(text: &str) -> Result<Start, String> {
    match text {
        "gun" => return Ok(Start::Gun { reaction_s: None }),
        "first-movement" => return Ok(Start::FirstMovement),
        "photocell" => return Ok(Start::Photocell),
        "free" => return Ok(Start::Free),
        _ => {}
    }
    let say = "say gun, first-movement, photocell, free, or flying:METRES such as flying:10";
    let metres = text.strip_prefix("flying:").ok_or_else(|| say.to_owned())?;
    number(metres, 0.1..=100.0, "0.1 to 100 m of run-up").map(|run_up_m| Start::Flying { run_up_m })
}

fn number(text: &str, range: std::ops::RangeInclusive<f64>, allowed: &str) -> Result<f64, String> {
    text.trim()
        .parse::<f64>()
        .ok()
        .filter(|value| range.contains(value))
        .ok_or_else(|| format!("allowed is {allowed}"))
}

fn timing(text: &str) -> Result<f64, String> {
    number(text, 1e-4..=1.0, "0.0001 to 1 s; light beams 0.005, film 0.02, by hand 0.1")
}

fn reaction(text: &str) -> Result<f64, String> {
    number(text, 0.0..=1.0, "0 to 1 s")
}

fn tape(text: &str) -> Result<f64, String> {
    number(text, 0.0..=0.5, "0 to 0.5 m")
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let start = match (args.start, args.reaction_s) {
        (Start::Gun { .. }, reaction_s) => Start::Gun { reaction_s },
        (_, Some(_)) => {
            return Err(Failure::new(Kind::Usage, "--reaction-s goes with --start gun only")
                .and("Leave it out: no other start has a reaction in its times."));
        }
        (start, None) => start,
    };
    let timing = Timing { tape_sd_m: args.tape_sd_m, ..Timing::of_sd(args.timing_sd_s) };
    let course = if args.hurdled { Course::Hurdled } else { Course::Flat };
    let ask = Ask { start, timing, course };
    let runners = read(args)?;
    let analyses: Vec<(Option<&str>, Analysis)> =
        runners.iter().map(|runner| (runner.runner.as_deref(), analyse(runner, &ask))).collect();
    if !args.json {
        return output::print(&text(&analyses));
    }
    let all: Vec<SprintOut> =
        analyses.iter().map(|(runner, analysis)| SprintOut::new(*runner, analysis)).collect();
    match &all[..] {
        [one] if one.runner.is_none() => output::print_json(one),
        all => output::print_json(&all),
    }
}

fn analyse(runner: &RunnerSplits, ask: &Ask) -> Analysis {
    let marks: Vec<Mark> =
        runner.marks.iter().map(|row| Mark { distance_m: row.distance_m, time_s: row.time_s }).collect();
    sprint::analyse(&marks, ask).expect("reading let only rising marks through")
}

fn read(args: &Args) -> Result<Vec<RunnerSplits>, Failure> {
    let path = args.splits.display();
    let bytes = output::read(&args.splits)?;
    let words = language::words(Units::Metric);
    let say = |id: &str| words.say(&Message::new(id).text("path", path.to_string()));
    let text = std::str::from_utf8(&bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
        Failure::new(Kind::ClassList, runs::not_utf8(&args.splits, line)).and(say("splits-utf8-remedy"))
    })?;
    let runners = splits::read_splits(text).map_err(|bad| {
        let mut failure = Failure::new(Kind::ClassList, say("splits-mistakes"));
        for cell in bad.iter().take(LISTED_MAX) {
            failure = failure.and(words.say(&cell.message()));
        }
        if bad.len() > LISTED_MAX {
            let more = Arg::Count((bad.len() - LISTED_MAX) as i64);
            failure = failure.and(words.say(&Message::new("splits-more").with("count", more)));
        }
        failure.and(say("splits-remedy"))
    })?;
    if runners.is_empty() {
        return Err(Failure::new(Kind::NoPlan, say("splits-none")).and(say("splits-none-remedy")));
    }
    Ok(runners)
}

/// The analysis as other programs get it.
#[derive(Serialize)]
struct SprintOut<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    runner: Option<&'a str>,
    v_max_mps: Option<f64>,
    tau_s: Option<f64>,
    t0_s: Option<f64>,
    rse_s: Option<f64>,
    allowed: bool,
    reason: Option<String>,
    would_allow: Option<String>,
    splits: Vec<SplitOut>,
    fastest: Option<Speed>,
    curve: Option<&'a Curve>,
    notes: Vec<Said<'a>>,
    method: &'a str,
}

#[derive(Serialize)]
struct SplitOut {
    distance_m: f64,
    time_s: f64,
    speed_mps: f64,
    low_mps: f64,
    high_mps: Option<f64>,
}

impl<'a> SprintOut<'a> {
    fn new(runner: Option<&'a str>, analysis: &'a Analysis) -> Self {
        let words = Words::english(Units::Metric);
        // Taken apart by name, so that a new field is not forgotten here.
        let Analysis { splits, fastest, curve, refusal, notes, method } = analysis;
        Self {
            runner,
            v_max_mps: curve.as_ref().map(|curve| curve.v_max_mps.median),
            tau_s: curve.as_ref().map(|curve| curve.tau_s.median),
            t0_s: curve.as_ref().map(|curve| curve.t0_s.median),
            rse_s: curve.as_ref().map(|curve| curve.rse_s),
            allowed: curve.is_some(),
            reason: refusal.map(|refusal| words.say(&refusal.reason())),
            would_allow: refusal.map(|refusal| words.say(&refusal.remedy())),
            splits: splits
                .iter()
                .map(|split| SplitOut {
                    distance_m: split.distance_m,
                    time_s: split.time_s,
                    speed_mps: split.speed.speed_mps,
                    low_mps: split.speed.low_mps,
                    high_mps: split.speed.high_mps,
                })
                .collect(),
            fastest: *fastest,
            curve: curve.as_ref(),
            notes: said(notes),
            method,
        }
    }
}

fn text(analyses: &[(Option<&str>, Analysis)]) -> String {
    let words = language::words(Units::Metric);
    let mut text = String::new();
    for (runner, analysis) in analyses {
        if !text.is_empty() {
            text.push('\n');
        }
        if let Some(runner) = runner {
            let _ = writeln!(text, "{runner}");
        }
        for split in &analysis.splits {
            let speed = words.say(&speed_words(&split.speed));
            let (distance, time) =
                (words.show(&Arg::Number(split.distance_m)), words.show(&Arg::Decimals(split.time_s, 2)));
            let _ = writeln!(text, "{distance:>7} m {time:>7} s   {speed}");
        }
        text.push('\n');
        if let Some(fastest) = &analysis.fastest {
            let said = Message::new("sprint-fastest")
                .with("from", Arg::MeasuredM(fastest.from_m))
                .with("to", Arg::MeasuredM(fastest.to_m))
                .with("speed", Arg::Say(Box::new(speed_words(fastest))));
            output::bullet(&words.say(&said), &mut text);
        }
        if let Some(curve) = &analysis.curve {
            output::bullet(&words.say(&curve_words(curve)), &mut text);
        }
        if let Some(refusal) = &analysis.refusal {
            let said = format!("{} {}", words.say(&refusal.reason()), words.say(&refusal.remedy()));
            output::bullet(&said, &mut text);
        }
        for note in &analysis.notes {
            output::bullet(&words.say(note), &mut text);
        }
    }
    text
}

fn speed_words(speed: &Speed) -> Message {
    let tenths = |value: f64| Arg::Decimals(value, 1);
    let said =
        |id: &str| Message::new(id).with("speed", tenths(speed.speed_mps)).with("low", tenths(speed.low_mps));
    match speed.high_mps {
        Some(high_mps) => said("sprint-speed").with("high", tenths(high_mps)),
        None => said("sprint-speed-open"),
    }
}

fn curve_words(curve: &Curve) -> Message {
    let hundredths = |value: f64| Arg::Decimals(value, 2);
    let Estimate { median, low, high, .. } = &curve.v_max_mps;
    Message::new("sprint-curve")
        .with("v", hundredths(*median))
        .with("v_low", hundredths(*low))
        .with("v_high", hundredths(*high))
        .with("tau", hundredths(curve.tau_s.median))
        .with("tau_low", hundredths(curve.tau_s.low))
        .with("tau_high", hundredths(curve.tau_s.high))
        .with("marks", Arg::Count(i64::from(curve.marks_used)))
        .with("rse", Arg::Number(curve.rse_s))
}
