//! The reasons behind a decision, in plain words with their evidence.

use lanewright_model::drill::Drill;
use lanewright_model::run::{Leg, Run, Watched};
use lanewright_model::words::{Arg, Message};

use super::{
    Action, AfterCorrection, BACK_RATE, Decision, HURDLES_MIN, Losses, PressureVerdict, RUNS_MIN,
    WATCHED_CLEAR_MIN, asked_chance, in_a_row,
};

/// Returns the reasons, most important first. `clean_enough` says that knocks alone would let the child move on.
pub(super) fn reasons(
    decision: &Decision,
    runs: &[&Run],
    sweeps: u32,
    drill: Option<&Drill>,
    clean_enough: bool,
    losses: &Losses,
) -> Vec<Message> {
    let mut why = vec![evidence(decision, runs)];
    match decision.action {
        Action::NotEnoughSeen => {
            let hurdles_more = HURDLES_MIN.saturating_sub(decision.hurdles);
            why.push(if decision.runs < RUNS_MIN || hurdles_more == 0 {
                Message::new("why-see-one-more-run")
            } else {
                Message::new("why-see-more-hurdles").with("hurdles", Arg::Count(i64::from(hurdles_more)))
            });
        }
        Action::StepBack => why.push(
            Message::new("why-step-back")
                .with("p", Arg::Share(decision.p_back))
                .with("rate", Arg::OfHundred(BACK_RATE)),
        ),
        Action::MoveOn | Action::Repeat => why.push(
            Message::new(if clean_enough { "why-clean-enough" } else { "why-repeat" })
                .with("p", Arg::Share(decision.p_up))
                .with("needed", Arg::OfHundred(decision.needed))
                .with("asked", Arg::Share(asked_chance(decision.p_back, losses))),
        ),
    }
    if clean_enough && decision.watched_clear < WATCHED_CLEAR_MIN {
        let watched = runs.iter().filter(|run| run.watched == Watched::Technique).count();
        let key = drill.and_then(|drill| drill.key_fault.as_deref());
        let last_watched = runs.iter().rev().find(|run| run.watched == Watched::Technique);
        let fault_seen = match (key, last_watched) {
            (Some(key), Some(_)) if decision.watched_clear == 0 => Some(key),
            _ => None,
        };
        why.push(match (watched, fault_seen) {
            (0, _) => Message::new("why-only-knocks-watched"),
            (_, Some(key)) => Message::new("why-key-fault")
                .with("fault", Arg::Say(Box::new(Message::new(&format!("fault-{key}"))))),
            _ => Message::new("why-watch-once-more"),
        });
    }
    if let Some(after) = decision.after_correction {
        why.push(Message::new(match after {
            AfterCorrection::Better => "why-next-run-better",
            AfterCorrection::NotBetter => "why-next-run-not-better",
        }));
    } else if runs.last().is_some_and(|run| in_a_row(run) >= 2) {
        why.push(Message::new("why-one-more-try"));
    }
    if let Some(pressure) = &decision.under_sprint {
        match pressure.verdict {
            PressureVerdict::Holds => why.push(Message::new("why-holds-under-sprint")),
            PressureVerdict::Breaks => why.push(Message::new("why-breaks-under-sprint")),
            PressureVerdict::NotEnoughSeen => {}
        }
    }
    if let Some(leg) = &decision.leg {
        why.push(
            Message::new(match leg.leg {
                Leg::Left => "why-left-leg",
                Leg::Right => "why-right-leg",
            })
            .with("knocks", Arg::Count(i64::from(leg.knocks)))
            .with("crossings", Arg::Count(i64::from(leg.crossings)))
            .with("other_knocks", Arg::Count(i64::from(leg.other_knocks)))
            .with("other_crossings", Arg::Count(i64::from(leg.other_crossings))),
        );
    }
    if sweeps > 0 && runs.is_empty() {
        why.push(Message::new("why-only-sweeps"));
    }
    why
}

fn evidence(decision: &Decision, runs: &[&Run]) -> Message {
    let knocked: u32 = runs.iter().map(|run| run.knocked.count()).sum();
    let rows: usize = runs.iter().filter(|run| in_a_row(run) >= 2).count();
    let standing: u32 = runs.iter().map(|run| run.standing()).sum();
    let single = runs.iter().all(|run| in_a_row(run) < 2);
    let id = match (runs.len(), knocked, rows) {
        (0, _, _) => "why-evidence-sweeps",
        (_, 0, _) => "why-evidence-none-fell",
        (_, 1, _) => "why-evidence-single",
        (_, _, 1)
            if runs.iter().filter(|run| run.knocked.count() > 0).count() == 1
                && runs.iter().any(|run| in_a_row(run) == knocked) =>
        {
            "why-evidence-one-row"
        }
        _ if single => "why-evidence-singles",
        _ => "why-evidence-rows",
    };
    Message::new(id)
        .with("knocked", Arg::Count(i64::from(knocked)))
        .with("hurdles", Arg::Count(i64::from(standing)))
        .with("runs", Arg::Count(runs.len() as i64))
        .with("rows", Arg::Count(rows as i64))
        .with("sweeps", Arg::Count(i64::from(decision.runs) - runs.len() as i64))
}
