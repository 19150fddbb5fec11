//! `lanewright cause`: what explains the knocks.

use std::fmt::Write as _;
use std::path::PathBuf;

use lanewright_model::Ladder;
use lanewright_model::plan_json::said;
use lanewright_model::run::{Observation, Run};
use lanewright_model::words::{Units, Words};
use lanewright_science::cause::{BLAME_P, Causes, OddsRatio, cause};

use super::runs;
use crate::failure::{Failure, Kind};
use crate::output;

const EXAMPLES: &str = "\
Examples:
  lanewright cause runs.jsonl
  lanewright cause runs.jsonl --json > causes.json";

const NOTES: &str = "\
A finding says what to measure, not what is wrong. How it is computed: docs/methods/cause.md

Exit codes:
  0  done
  2  a flag is missing or cannot be understood
  3  the file cannot be read
  4  the file has lines that are no runs; nothing was judged
  5  the file holds no knock to explain";

/// Says whether a child, one hurdle, a lane, a leg or tiredness explains the knocks, from a file of runs.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = NOTES)]
pub(crate) struct Args {
    /// Run file, one JSON object a line (docs/formats/runs.md); - reads from standard input
    #[arg(value_name = "RUNS.jsonl")]
    runs: PathBuf,
    /// Pass over lines that cannot be read, and name them
    #[arg(long)]
    skip_bad: bool,
    /// Answer as JSON (docs/formats/cause.md)
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let observations = runs::read(&args.runs, args.skip_bad)?;
    let runs: Vec<&Run> = observations
        .iter()
        .filter_map(|observation| match observation {
            Observation::Run(run) => Some(run),
            Observation::Sweep(_) | Observation::Bout(_) => None,
        })
        .collect();
    let causes = cause(&runs, &Ladder::built_in()).ok_or_else(|| {
        Failure::new(Kind::NoPlan, "no hurdle fell in these runs, so there is nothing to explain")
    })?;
    if args.json {
        let mut value = serde_json::to_value(&causes).expect("causes are JSON values");
        value["findings"] = serde_json::to_value(said(&causes.findings)).expect("messages are JSON values");
        return output::print_json(&value);
    }
    output::print(&text(&causes))
}

fn text(causes: &Causes) -> String {
    let words = Words::english(Units::Metric);
    let mut text = String::new();
    for finding in &causes.findings {
        output::bullet(&words.say(finding), &mut text);
    }
    let odds = |odds: &OddsRatio| format!("{:.1} times ({:.1} to {:.1})", odds.median, odds.low, odds.high);
    let _ = writeln!(text, "\nOdds that a hurdle falls, with likely range, from {} runs:", causes.runs);
    for (what, ratio) in [
        ("left leg against right", &causes.lead),
        ("each further run of a child", &causes.order),
        ("last hurdle against first", &causes.position),
        ("after a hurdle that fell", &causes.carry),
    ] {
        let _ = writeln!(text, "  {what:30} {}", odds(ratio));
    }
    let suspects: Vec<_> =
        causes.slots.iter().take_while(|slot| slot.p_above_1_5 >= 1.0 - BLAME_P).take(8).collect();
    if !suspects.is_empty() {
        let _ = writeln!(text, "\nHurdles that could be worse than the others, most suspicious first:");
        for slot in suspects {
            let _ = writeln!(
                text,
                "  lane {} hurdle {:<2} ({:<14} {:>3} of {:<4} fell, {}",
                slot.lane,
                slot.hurdle,
                format!("{})", slot.setup),
                slot.knocks,
                slot.met,
                odds(&slot.odds_ratio)
            );
        }
    }
    text
}
