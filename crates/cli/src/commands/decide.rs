//! `lanewright decide`: the next step for every runner and drill.

use std::fmt::Write as _;

use lanewright_model::Ladder;
use lanewright_model::plan_json::said;
use lanewright_model::run::{Observation, Run};
use lanewright_model::words::{Arg, Message, Units};
use lanewright_science::cause::cause;
use lanewright_science::decide::{Action, Decision, Losses};
use lanewright_science::verdict::{Ask, Lanes, verdicts};
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
    /// Judges everything as of this moment, such as 2026-03-02T12:00:00Z, and older runs count less [default: each
    /// drill as of the last lesson in which the child was seen at it, like the cards]
    #[arg(long, value_name = "TIME")]
    at: Option<jiff::Timestamp>,
    /// Hours by which the school's clock is ahead of UTC, so that a day is the school's day; -12 to 14
    #[arg(long, value_name = "H", default_value_t = 0.0, allow_hyphen_values = true,
        value_parser = runs::utc_offset)]
    utc_offset_h: f64,
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
    let ladder = Ladder::built_in();
    let ask = Ask {
        utc_offset_s: (args.utc_offset_h * 3600.0).round() as i32,
        losses: Losses { wrong_move_on: args.wrong_move_on_costs, other: 1.0 },
        at: args.at,
        ..Ask::new(&ladder)
    };
    let all: Vec<&Run> = observations
        .iter()
        .filter_map(|observation| match observation {
            Observation::Run(run) => Some(run),
            Observation::Sweep(_) | Observation::Bout(_) => None,
        })
        .collect();
    // What `lanewright cause` says of the same file.
    let lanes = Lanes::new(&all, cause(&all, &ladder).as_ref());
    let decisions = verdicts(&observations, &ask, Some(&lanes));
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
    output::print(&text(&decisions, &ask))
}

fn text(decisions: &[Decision], ask: &Ask<'_>) -> String {
    let words = language::words(Units::Metric);
    let mut text = String::new();
    let how = Message::new(if ask.at.is_some() { "cli-decide-how-at" } else { "cli-decide-how" });
    let how = words.say(&how.with("asked", Arg::Share(ask.losses.asked())));
    output::wrapped("", "", how.split(' '), &mut text);
    let mut drills: Vec<&str> = decisions.iter().map(|decision| decision.drill.as_str()).collect();
    drills.sort_unstable();
    drills.dedup();
    // Slow before fast; drills that the ladder does not have come last.
    let place =
        |id: &str| ask.ladder.drills().iter().position(|drill| drill.id.0 == id).unwrap_or(usize::MAX);
    drills.sort_by_key(|id| place(id));
    for drill in drills {
        let id = format!("drill-{drill}");
        let name = if words.has(&id) { words.get(&id) } else { drill.to_owned() };
        let _ = writeln!(text, "\n{name}");
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
                    &Message::new("cli-stay-up")
                        .with("mean", Arg::OfHundred(rate.mean))
                        .with("low", Arg::OfHundred(rate.low))
                        .with("high", Arg::OfHundred(rate.high)),
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
