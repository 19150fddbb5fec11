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
/// Longer ago than this is another lesson, in minutes (engineering assumption: four hours).
pub const LESSON_MAX_MIN: f64 = 240.0;
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

/// What one more look at a child is worth. Stays true until the child runs again or the class is learned anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Expected fall of the loss by one more watched run.
    pub worth: f64,
    /// When the child was seen last, at whatever drill.
    pub last_seen: Option<Timestamp>,
    /// Runs and sweeps seen at this drill.
    pub runs: u32,
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
    let mut drills: Vec<&str> = candidates.iter().map(|(_, drill)| drill.as_str()).collect();
    drills.sort_unstable();
    drills.dedup();
    let outcomes: Vec<Outcomes> = drills.iter().map(|drill| Outcomes::new(model, drill)).collect();
    let looks = candidates.iter().map(|(runner, drill)| {
        let place = drills.binary_search(&drill.as_str()).expect("collected above");
        look(model, &outcomes[place], observations, runner, options)
    });
    order(looks.collect(), options.now)
}

/// Returns what one more look at that runner is worth. `observations` need only hold the runner's own.
pub fn look(
    model: &ClassModel,
    outcomes: &Outcomes,
    observations: &[Observation],
    runner: &str,
    options: &Options,
) -> Look {
    let seen = observations.iter().filter_map(|observation| match observation {
        Observation::Run(run) if run.runner == *runner => Some(run.at),
        Observation::Sweep(sweep) if sweep.runner == *runner => Some(sweep.at),
        _ => None,
    });
    let (runs, _, _) = model.seen_of(runner, &outcomes.drill);
    Look {
        runner: runner.to_owned(),
        drill: outcomes.drill.clone(),
        worth: outcomes.worth(model, runner, options),
        last_seen: seen.max(),
        runs,
    }
}

/// Orders looks, the one to take first in front; ties keep their order.
///
/// Whoever was not seen in this lesson comes first, then whoever was not seen for longer than the limit, the longest
/// unseen in front, then by worth.
pub fn order(looks: Vec<Look>, now: Timestamp) -> Vec<WatchNext> {
    let mut order: Vec<(f64, WatchNext)> = looks
        .into_iter()
        .map(|look| {
            let unseen_min = look.last_seen.map(|last| minutes_between(last, now));
            // How long unseen counts for the order: what lies before this lesson is all the same.
            let counts = match unseen_min {
                Some(minutes) if minutes < LESSON_MAX_MIN => minutes,
                _ => f64::INFINITY,
            };
            let why = match unseen_min {
                None => Message::new("watch-never-seen"),
                Some(_) if counts.is_infinite() => Message::new("watch-not-today"),
                Some(_) if counts >= UNSEEN_LIMIT_MIN => {
                    Message::new("watch-long-unseen").with("minutes", Arg::Count(counts.round() as i64))
                }
                Some(_) if look.runs < RUNS_MIN => Message::new("watch-seen-little"),
                Some(_) if look.worth > 0.0 => Message::new("watch-could-change"),
                Some(_) => Message::new("watch-clear"),
            };
            let Look { runner, drill, worth, .. } = look;
            (counts, WatchNext { runner, drill, worth, unseen_min, why })
        })
        .collect();
    order.sort_by(|(a_unseen, a), (b_unseen, b)| {
        let overdue = |unseen: f64| unseen >= UNSEEN_LIMIT_MIN;
        match (overdue(*a_unseen), overdue(*b_unseen)) {
            (true, true) => b_unseen.total_cmp(a_unseen),
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

/// Everything that a run through the lane could show at one drill, for every ability: the same for all children of a
/// class until it is learned anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcomes {
    drill: String,
    likelihoods: Vec<[f64; GRID]>,
}

impl Outcomes {
    /// Lists all patterns of falls over the lane's first [`OUTCOME_HURDLES_MAX`] hurdles.
    pub fn new(model: &ClassModel, drill: &str) -> Self {
        let shift = model.shift_of(drill);
        let hurdles = model.lane_hurdles().min(OUTCOME_HURDLES_MAX);
        let chains = abilities().map(|t| model.fit().parameters.chain(t + shift));
        let likelihoods = (0..1u64 << hurdles)
            .map(|falls| {
                chains.map(|chain| chain.likelihood(hurdles, HurdleSet(falls), HurdleSet::default()))
            })
            .collect();
        Self { drill: drill.to_owned(), likelihoods }
    }

    /// Returns the expected fall of the loss by one more watched run of that runner at this drill.
    ///
    /// # Formula
    /// loss now − Σ over outcomes P(outcome) · loss after it, each pattern of falls with the key fault seen or not.
    fn worth(&self, model: &ClassModel, runner: &str, options: &Options) -> f64 {
        let (mass, shift) = model.ability_of(runner, &self.drill);
        let (runs, hurdles, clear) = model.seen_of(runner, &self.drill);
        let needed = needed_rate(model.ladder().get(&self.drill), None, false);
        let rates = model.rates(shift);
        let best_loss = |[move_on, repeat, back]: [f64; 3], runs: u32, hurdles: u32, clear: u32| {
            if hurdles < HURDLES_MIN || runs < RUNS_MIN {
                repeat
            } else if clear < WATCHED_CLEAR_MIN {
                repeat.min(back)
            } else {
                move_on.min(repeat).min(back)
            }
        };
        let losses = |mass: &[f64; GRID]| {
            let curve = RateCurve { rates: &rates, mass };
            expected_losses(curve.at_least(needed), 1.0 - curve.at_least(BACK_RATE), &options.losses)
        };
        let now = best_loss(losses(&mass), runs, hurdles, clear);
        let (runs, hurdles) = (runs + 1, hurdles + model.lane_hurdles());
        let mut after = 0.0;
        for likelihood in &self.likelihoods {
            let joint: [f64; GRID] = std::array::from_fn(|index| mass[index] * likelihood[index]);
            let p: f64 = joint.iter().sum();
            if p <= 0.0 {
                continue;
            }
            let losses = losses(&joint.map(|value| value / p));
            after += p
                * (CLEAR_TECHNIQUE_P * best_loss(losses, runs, hurdles, clear + 1)
                    + (1.0 - CLEAR_TECHNIQUE_P) * best_loss(losses, runs, hurdles, 0));
        }
        (now - after).max(0.0)
    }
}
