//! `lanewright cause`: what explains the knocks.

use std::fmt::Write as _;

use lanewright_model::Ladder;
use lanewright_model::plan_json::said;
use lanewright_model::run::{Observation, Run, setup_words};
use lanewright_model::words::{Arg, Message, Units};
use lanewright_science::cause::{BLAME_P, Causes, OddsRatio, cause};

use super::runs;
use crate::failure::{Failure, Kind};
use crate::{language, output};

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
    #[command(flatten)]
    runs: runs::RunsArgs,
    /// Answer as JSON (docs/formats/cause.md)
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let observations = args.runs.read()?;
    let runs: Vec<&Run> = observations
        .iter()
        .filter_map(|observation| match observation {
            Observation::Run(run) => Some(run),
            Observation::Sweep(_) | Observation::Bout(_) => None,
        })
        .collect();
    let causes = cause(&runs, &Ladder::built_in())
        .ok_or_else(|| Failure::new(Kind::NoPlan, language::words(Units::Metric).get("cli-run-no-knock")))?;
    if args.json {
        let mut value = serde_json::to_value(&causes).expect("causes are JSON values");
        value["findings"] = serde_json::to_value(said(&causes.findings)).expect("messages are JSON values");
        return output::print_json(&value);
    }
    output::print(&text(&causes))
}

fn text(causes: &Causes) -> String {
    let words = language::words(Units::Metric);
    let mut text = String::new();
    for finding in &causes.findings {
        output::bullet(&words.say(finding), &mut text);
    }
    let odds = |odds: &OddsRatio| {
        words.say(
            &Message::new("cli-odds")
                .with("times", Arg::Decimals(odds.median, 1))
                .with("low", Arg::Decimals(odds.low, 1))
                .with("high", Arg::Decimals(odds.high, 1)),
        )
    };
    let head = Message::new("cli-odds-head").with("runs", Arg::Count(causes.runs as i64));
    let _ = writeln!(text, "\n{}", words.say(&head));
    for (what, ratio) in [
        ("cli-odds-lead", &causes.lead),
        ("cli-odds-order", &causes.order),
        ("cli-odds-position", &causes.position),
        ("cli-odds-carry", &causes.carry),
    ] {
        let _ = writeln!(text, "  {:30} {}", words.get(what), odds(ratio));
    }
    let suspects: Vec<_> =
        causes.slots.iter().take_while(|slot| slot.p_above_1_5 >= 1.0 - BLAME_P).take(8).collect();
    if !suspects.is_empty() {
        let _ = writeln!(text, "\n{}", words.get("cli-suspects"));
        // Of a lane without letter, gap and height nothing is known.
        let known = |setup: &str| setup.contains(|sign| sign != '/');
        let setups: Vec<String> = suspects
            .iter()
            .map(|slot| match known(&slot.setup) {
                true => format!("({})", words.show(&setup_words(&slot.setup))),
                false => String::new(),
            })
            .collect();
        let width = setups.iter().map(|setup| setup.chars().count()).max().unwrap_or(0);
        for (slot, setup) in suspects.into_iter().zip(setups) {
            // Columns below each other.
            let suspect =
                Message::new(if slot.lane.is_empty() { "cli-suspect-no-lane" } else { "cli-suspect" })
                    .text("lane", slot.lane.as_str())
                    .text("hurdle", format!("{:<2}", slot.hurdle))
                    .text("setup", format!("{setup:<width$}"))
                    .text("knocks", format!("{:>3}", slot.knocks))
                    .text("met", format!("{:<4}", slot.met))
                    .text("odds", odds(&slot.odds_ratio));
            let _ = writeln!(text, "  {}", words.say(&suspect));
        }
    }
    text
}
