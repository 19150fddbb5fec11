//! `lanewright decide`: the next step for every runner and drill.

use std::fmt::Write as _;

use lanewright_model::Ladder;
use lanewright_model::plan_json::said;
use lanewright_model::words::{Arg, Message, Units};
use lanewright_science::decide::{Action, Decision, Losses, Options, decide};
use serde_json::Value;

use super::runs;
use crate::failure::Failure;
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  lanewright decide runs.jsonl
  lanewright decide runs.jsonl --json > next-steps.json
  # A wrong move-on hurts more here than elsewhere.
  lanewright decide runs.jsonl --wrong-move-on-costs 5";

const NOTES: &str = "\
It prompts; the teacher decides. How it is computed: docs/methods/decide.md

Exit codes:
  0  done
  2  a flag is missing or cannot be understood
  3  the file cannot be read
  4  the file has lines that are no runs; nothing was judged
  5  the file holds no run";

/// Says who moves on, who repeats and who steps back, from a file of runs.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = NOTES)]
pub(crate) struct Args {
    #[command(flatten)]
    runs: runs::RunsArgs,
    /// Moment from which the age of runs counts, such as 2026-03-02T12:00:00Z [default: the last run]
    #[arg(long, value_name = "TIME")]
    at: Option<jiff::Timestamp>,
    /// What a wrong move-on costs, when any other mistake costs 1
    #[arg(long, value_name = "COST", default_value_t = 3.0, value_parser = cost)]
    wrong_move_on_costs: f64,
    /// Answer as JSON (docs/formats/decide.md)
    #[arg(long)]
    json: bool,
}

fn cost(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(cost) if (0.1..=100.0).contains(&cost) => Ok(cost),
        _ => Err("allowed is 0.1 to 100".to_owned()),
    }
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let observations = args.runs.read()?;
    let options = Options {
        now: args.at.unwrap_or_else(|| runs::latest(&observations)),
        losses: Losses { wrong_move_on: args.wrong_move_on_costs, other: 1.0 },
    };
    let decisions = decide(&observations, &Ladder::built_in(), &options);
    if args.json {
        let all: Vec<Value> = decisions
            .iter()
            .map(|decision| {
                let mut value = serde_json::to_value(decision).expect("decisions are JSON values");
                value["why"] = serde_json::to_value(said(&decision.why)).expect("messages are JSON values");
                value
            })
            .collect();
        return output::print_json(&all);
    }
    output::print(&text(&decisions))
}

fn text(decisions: &[Decision]) -> String {
    let words = language::words(Units::Metric);
    let mut text = String::new();
    let mut drills: Vec<&str> = decisions.iter().map(|decision| decision.drill.as_str()).collect();
    drills.sort_unstable();
    drills.dedup();
    for drill in drills {
        let id = format!("drill-{drill}");
        let name = if words.has(&id) { words.get(&id) } else { drill.to_owned() };
        if !text.is_empty() {
            text.push('\n');
        }
        let _ = writeln!(text, "{name}");
        for action in [Action::MoveOn, Action::Repeat, Action::StepBack, Action::NotEnoughSeen] {
            let those: Vec<&Decision> = decisions
                .iter()
                .filter(|decision| decision.drill == drill && decision.action == action)
                .collect();
            if those.is_empty() {
                continue;
            }
            let _ = writeln!(text, "\n  {}", words.get(action_words(action)));
            for decision in those {
                let rate = &decision.clean_rate;
                let range = words.say(
                    &Message::new("cli-clean")
                        .with("mean", Arg::Share(rate.mean))
                        .with("low", Arg::Share(rate.low))
                        .with("high", Arg::Share(rate.high)),
                );
                let why: Vec<String> = decision.why.iter().map(|message| words.say(message)).collect();
                let sentence = format!("{}: {range}. {}", decision.runner, why.join(" "));
                output::wrapped("    ", "      ", sentence.split(' '), &mut text);
            }
        }
    }
    text
}

fn action_words(action: Action) -> &'static str {
    match action {
        Action::MoveOn => "action-move-on",
        Action::Repeat => "action-repeat",
        Action::StepBack => "action-step-back",
        Action::NotEnoughSeen => "action-not-enough-seen",
    }
}
