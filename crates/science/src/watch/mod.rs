//! Whom to watch next: where one more seen run would help the next step most, with nobody unseen for long.
//!
//! The worth of a run is how much the expected loss of the best next step falls on average when its outcome is
//! known (value of sample information), over all that a run through the lane could show. A child at whom nobody has
//! looked for longer than the limit comes first whatever the worth. Method page: `docs/methods/watch.md`.

use jiff::Timestamp;
use lanewright_model::run::{HurdleSet, Observation};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::decide::fit::{GRID, abilities};
use crate::decide::{
    BACK_RATE, ClassModel, HURDLES_MIN, Options, RUNS_MIN, RateCurve, WATCHED_CLEAR_MIN, expected_losses,
    needed_rate,
};

/// Name and version of the method.
pub const METHOD: &str = "watch/1";
/// Nobody goes unseen for longer than this, in minutes (engineering assumption: a quarter of a lesson).
pub const UNSEEN_LIMIT_MIN: f64 = 10.0;
/// How often a watched run shows no key fault (engineering assumption).
pub const CLEAR_TECHNIQUE_P: f64 = 0.8;
/// Outcomes are enumerated over at most this many hurdles; longer lanes are judged by their first ones, which
/// changes the order of children little and keeps the cost bounded.
pub const OUTCOME_HURDLES_MAX: u32 = 8;

/// One child to watch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WatchNext {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Expected fall of the loss by one more watched run; 0 when nothing it could show would change the step.
    pub worth: f64,
    /// Minutes since the child was last seen; absent when not seen in these runs.
    pub unseen_min: Option<f64>,
    /// Why this child.
    pub why: Message,
}

/// Orders candidates (runner and drill), the one to watch first in front.
///
/// `observations` are the runs that `model` learned from; they tell when each child was last seen. Ties keep the
/// order of the candidates, so a queue stays a queue.
pub fn next(
    model: &ClassModel,
    observations: &[Observation],
    candidates: &[(String, String)],
    options: &Options,
) -> Vec<WatchNext> {
    let mut order: Vec<(bool, WatchNext)> = candidates
        .iter()
        .map(|(runner, drill)| {
            let last = observations
                .iter()
                .filter_map(|observation| match observation {
                    Observation::Run(run) if run.runner == *runner => Some(run.at),
                    Observation::Sweep(sweep) if sweep.runner == *runner => Some(sweep.at),
                    _ => None,
                })
                .max();
            let unseen_min = last.map(|last| minutes_between(last, options.now));
            let (runs, _, _) = model.seen_of(runner, drill);
            let overdue = unseen_min.is_none_or(|minutes| minutes >= UNSEEN_LIMIT_MIN);
            let worth = worth(model, runner, drill, options);
            let why = match unseen_min {
                None => Message::new("watch-never-seen"),
                Some(minutes) if overdue => {
                    Message::new("watch-long-unseen").with("minutes", Arg::Count(minutes.round() as i64))
                }
                Some(_) if runs < RUNS_MIN => Message::new("watch-seen-little"),
                Some(_) if worth > 0.0 => Message::new("watch-could-change"),
                Some(_) => Message::new("watch-clear"),
            };
            (overdue, WatchNext { runner: runner.clone(), drill: drill.clone(), worth, unseen_min, why })
        })
        .collect();
    order.sort_by(|(a_overdue, a), (b_overdue, b)| {
        let unseen = |entry: &WatchNext| entry.unseen_min.unwrap_or(f64::INFINITY);
        match (a_overdue, b_overdue) {
            (true, true) => unseen(b).total_cmp(&unseen(a)),
            (true, false) => std::cmp::Ordering::Less,
            (false, true) => std::cmp::Ordering::Greater,
            (false, false) => b.worth.total_cmp(&a.worth),
        }
    });
    order.into_iter().map(|(_, entry)| entry).collect()
}

fn minutes_between(earlier: Timestamp, later: Timestamp) -> f64 {
    const MILLISECONDS_PER_MINUTE: f64 = 60_000.0;
    (later.as_millisecond() - earlier.as_millisecond()).max(0) as f64 / MILLISECONDS_PER_MINUTE
}

/// Returns the expected fall of the loss by one more watched run of that runner at that drill.
///
/// # Formula
/// loss now − Σ over outcomes P(outcome) · loss after it. Outcomes are all patterns of falls over the lane's first
/// [`OUTCOME_HURDLES_MAX`] hurdles, each with the key fault seen or not.
pub fn worth(model: &ClassModel, runner: &str, drill: &str, options: &Options) -> f64 {
    let (mass, shift) = model.ability_of(runner, drill);
    let (runs, hurdles, clear) = model.seen_of(runner, drill);
    let needed = needed_rate(model.ladder().get(drill), None, false);
    let rates = model.rates(shift);
    let parameters = model.fit().parameters;
    let seen_hurdles = model.lane_hurdles().min(OUTCOME_HURDLES_MAX);
    let chains = abilities().map(|t| parameters.chain(t + shift));
    let best_loss = |mass: &[f64; GRID], runs: u32, hurdles: u32, clear: u32| {
        let curve = RateCurve { rates: &rates, mass };
        let [move_on, repeat, back] =
            expected_losses(curve.at_least(needed), 1.0 - curve.at_least(BACK_RATE), &options.losses);
        if hurdles < HURDLES_MIN || runs < RUNS_MIN {
            repeat
        } else if clear < WATCHED_CLEAR_MIN {
            repeat.min(back)
        } else {
            move_on.min(repeat).min(back)
        }
    };
    let now = best_loss(&mass, runs, hurdles, clear);
    let mut after = 0.0;
    for pattern in 0..1u64 << seen_hurdles {
        let joint: [f64; GRID] = std::array::from_fn(|index| {
            mass[index] * chains[index].likelihood(seen_hurdles, HurdleSet(pattern), HurdleSet::default())
        });
        let p: f64 = joint.iter().sum();
        if p <= 0.0 {
            continue;
        }
        let updated = joint.map(|value| value / p);
        let (runs, hurdles) = (runs + 1, hurdles + model.lane_hurdles());
        after += p
            * (CLEAR_TECHNIQUE_P * best_loss(&updated, runs, hurdles, clear + 1)
                + (1.0 - CLEAR_TECHNIQUE_P) * best_loss(&updated, runs, hurdles, 0));
    }
    (now - after).max(0.0)
}
