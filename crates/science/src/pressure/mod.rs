//! Technique under pressure: does a child's clean rate hold when an exit sprint waits at the end, and as the effort
//! rises; do the steps stay even; and up to which effort is the child clean enough.
//!
//! Everything about knocks comes from the model of [`crate::decide`] and its class parameters: the child's own ability,
//! what pressure adds for everyone, and what it adds for this child. Method page: `docs/methods/pressure.md`.

mod effort;
mod steps;

use lanewright_model::drill::Ladder;
use lanewright_model::run::Observation;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::decide::{ClassModel, Options, Pressure, PressureVerdict, Rate};

pub use effort::{EFFORT_OWN_SD_PER_TENTH, EffortLadder, EffortStep};
pub use steps::{RHYTHM_FAULTS, StepEvenness};

/// Name and version of the method.
pub const METHOD: &str = "pressure/1";
/// Chance from which something is said to hold or to break (engineering assumption, the same as for the exit sprint in
/// [`crate::decide`]).
pub const SAID_FROM: f64 = 0.8;

/// One thing without pressure and under it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Contrast {
    /// Without pressure, with its 90 % interval.
    pub without: Rate,
    /// Under pressure.
    pub under: Rate,
    /// Under pressure minus without.
    pub difference: Rate,
    /// Holds, breaks, or not enough seen.
    pub verdict: PressureVerdict,
}

/// What pressure does to one child at one drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnderPressure {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Clean rate with an exit sprint against without, when runs of both sorts were seen.
    pub sprint: Option<Pressure>,
    /// Share of watched runs without a fault of rhythm, with an exit sprint against without; when watched in both.
    pub rhythm: Option<Contrast>,
    /// Unevenness of steps (coefficient of variation of step times, lower is better), with an exit sprint against
    /// without; when heard in both.
    pub evenness: Option<Contrast>,
    /// Clean rate at the highest effort seen against the lowest, without exit sprints; when several efforts were seen.
    pub effort: Option<Contrast>,
    /// Effort by effort.
    pub ladder: EffortLadder,
    /// What to say, most important first.
    pub why: Vec<Message>,
    /// Name and version of the method.
    pub method: String,
}

/// Judges every runner at every drill seen, sorted by class, runner and drill; each class learns from its own runs.
///
/// `steps` may be empty: where nothing was heard, nothing is said of step times.
pub fn all(
    observations: &[Observation],
    ladder: &Ladder,
    steps: &[StepEvenness],
    options: &Options,
) -> Vec<UnderPressure> {
    let mut classes: std::collections::BTreeMap<Option<&str>, Vec<&Observation>> = Default::default();
    for observation in observations {
        if let Observation::Run(run) = observation {
            classes.entry(run.class.as_deref()).or_default().push(observation);
        }
    }
    let mut judged = Vec::new();
    for own in classes.into_values() {
        let model = ClassModel::learn(own.iter().copied(), ladder, options);
        let mut cases: Vec<(&str, &str)> = own
            .iter()
            .filter_map(|observation| match observation {
                Observation::Run(run) => Some((run.runner.as_str(), run.drill.as_str())),
                _ => None,
            })
            .collect();
        cases.sort_unstable();
        cases.dedup();
        judged.extend(
            cases.into_iter().filter_map(|(runner, drill)| judge(&model, runner, drill, steps, options)),
        );
    }
    judged
}

/// Judges one runner at one drill; nothing when no run of it was seen.
///
/// What is said of a runner rests on the class's parameters and that runner's own runs.
pub fn judge(
    model: &ClassModel,
    runner: &str,
    drill: &str,
    steps: &[StepEvenness],
    options: &Options,
) -> Option<UnderPressure> {
    let runs = model.runs_of(runner, drill);
    if runs.is_empty() {
        return None;
    }
    let sprint = model
        .decisions_of(runner, options)
        .into_iter()
        .find(|decision| decision.drill == drill)
        .and_then(|decision| decision.under_sprint);
    let rhythm = steps::rhythm(&runs);
    let evenness = steps::evenness(steps, runner, drill);
    let (ladder, effort) = effort::judge(model, drill, &runs, options);
    let mut judged = UnderPressure {
        runner: runner.to_owned(),
        drill: drill.to_owned(),
        sprint,
        rhythm,
        evenness,
        effort,
        ladder,
        why: Vec::new(),
        method: METHOD.to_owned(),
    };
    judged.why = reasons(&judged);
    Some(judged)
}

fn reasons(judged: &UnderPressure) -> Vec<Message> {
    let mut why = Vec::new();
    if let Some(sprint) = &judged.sprint {
        why.push(match sprint.verdict {
            PressureVerdict::Holds => Message::new("pressure-sprint-holds"),
            PressureVerdict::Breaks => Message::new("pressure-sprint-breaks")
                .with("lost", Arg::Share((-sprint.difference.mean).max(0.0))),
            PressureVerdict::NotEnoughSeen => Message::new("pressure-sprint-open"),
        });
    }
    let breaks = |contrast: &Option<Contrast>| {
        contrast.is_some_and(|contrast| contrast.verdict == PressureVerdict::Breaks)
    };
    if breaks(&judged.rhythm) || breaks(&judged.evenness) {
        why.push(Message::new("pressure-steps-break"));
    }
    match (judged.ladder.highest_effort, judged.ladder.next_effort) {
        (Some(highest), next) => {
            why.push(Message::new("pressure-clean-up-to").with("effort", Arg::Share(highest)));
            if let Some(next) = next {
                why.push(Message::new("pressure-try-next").with("effort", Arg::Share(next)));
            }
        }
        (None, _) if judged.ladder.steps.iter().any(|step| step.verdict == PressureVerdict::Breaks) => {
            why.push(Message::new("pressure-clean-nowhere"));
        }
        (None, _) => why.push(Message::new("pressure-effort-open")),
    }
    why
}

#[cfg(test)]
mod tests;
