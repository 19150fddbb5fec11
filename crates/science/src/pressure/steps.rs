//! Steps under pressure: faults of rhythm that were watched, and step times that were heard.

use lanewright_model::run::{Run, Watched};
use serde::{Deserialize, Serialize};

use super::{Contrast, SAID_FROM};
use crate::decide::{PressureVerdict, Rate};
use crate::normal::{self, Z_95};
use crate::proportion;

/// Faults that are faults of rhythm.
pub const RHYTHM_FAULTS: [&str; 4] = ["hops", "reaches", "irregular", "heavy"];
/// Watched or heard runs of each sort without which nothing is said (engineering assumption).
const RUNS_EACH_MIN: usize = 2;
/// Share of runs without a fault of rhythm that counts as holding (engineering assumption).
const RHYTHM_HOLDS: f64 = 0.7;
/// Ratio of unevenness up to which steps count as holding (engineering assumption).
const EVENNESS_RATIO_HOLDS: f64 = 1.25;
/// How unlike the unevenness of two runs of one child is beside the counting of steps, on the log scale (engineering
/// assumption).
const RUN_SD_LN: f64 = 0.15;

/// How even the steps of one run were, as heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepEvenness {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// An exit sprint followed.
    pub exit_sprint: bool,
    /// Standard deviation of the step times over their mean, above 0.
    pub cv: f64,
    /// Step times behind it, at least 3.
    pub steps: u32,
}

/// Returns the share of watched runs without a fault of rhythm, with an exit sprint against without.
///
/// # Formula
/// Wilson's intervals; the difference by Newcombe's method 10 (Statistics in Medicine 17:873-890, 1998).
pub(super) fn rhythm(runs: &[&Run]) -> Option<Contrast> {
    let count = |sprint: bool| {
        let watched: Vec<&&Run> = runs
            .iter()
            .filter(|run| run.watched == Watched::Technique && run.exit_sprint == sprint)
            .collect();
        let even = watched
            .iter()
            .filter(|run| !run.faults.iter().any(|fault| RHYTHM_FAULTS.contains(&fault.as_str())));
        (even.count() as u32, watched.len() as u32)
    };
    let ((without, of_without), (under, of_under)) = (count(false), count(true));
    if of_without == 0 || of_under == 0 {
        return None;
    }
    let share = |hits: u32, of: u32| {
        let (low, high) = proportion::wilson(hits, of, Z_95);
        Rate { mean: f64::from(hits) / f64::from(of), low, high }
    };
    let (plain, sprint) = (share(without, of_without), share(under, of_under));
    let mean = sprint.mean - plain.mean;
    let difference = Rate {
        mean,
        low: mean - libm::hypot(sprint.mean - sprint.low, plain.high - plain.mean),
        high: mean + libm::hypot(sprint.high - sprint.mean, plain.mean - plain.low),
    };
    let p_holds = proportion::p_at_least(under, of_under, RHYTHM_HOLDS);
    let p_worse = proportion::p_greater(without, of_without, under, of_under);
    let verdict = if (of_without as usize) < RUNS_EACH_MIN || (of_under as usize) < RUNS_EACH_MIN {
        PressureVerdict::NotEnoughSeen
    } else if p_holds >= SAID_FROM {
        PressureVerdict::Holds
    } else if p_worse >= SAID_FROM && p_holds <= 1.0 - SAID_FROM {
        PressureVerdict::Breaks
    } else {
        PressureVerdict::NotEnoughSeen
    };
    Some(Contrast { without: plain, under: sprint, difference, verdict })
}

/// Returns the unevenness of one runner's steps at one drill, with an exit sprint against without.
///
/// # Formula
/// Means of ln cv; one run's ln cv errs by √(1 / (2 (n − 1)) + 0.15²) for n step times. The difference of the two is
/// judged as a ratio.
pub(super) fn evenness(steps: &[StepEvenness], runner: &str, drill: &str) -> Option<Contrast> {
    let of = |sprint: bool| {
        let own = steps.iter().filter(|step| {
            step.runner == runner
                && step.drill == drill
                && step.exit_sprint == sprint
                && step.cv > 0.0
                && step.steps >= 3
        });
        let (mut sum, mut variance, mut count) = (0.0, 0.0, 0usize);
        for step in own {
            sum += libm::log(step.cv);
            variance += 0.5 / f64::from(step.steps - 1) + RUN_SD_LN * RUN_SD_LN;
            count += 1;
        }
        let n = count as f64;
        (sum / n, variance.sqrt() / n, count)
    };
    let ((plain, plain_sd, plain_runs), (under, under_sd, under_runs)) = (of(false), of(true));
    if plain_runs == 0 || under_runs == 0 {
        return None;
    }
    let rate = |ln: f64, sd: f64| Rate {
        mean: libm::exp(ln),
        low: libm::exp(ln - Z_95 * sd),
        high: libm::exp(ln + Z_95 * sd),
    };
    let (without, with) = (rate(plain, plain_sd), rate(under, under_sd));
    let mean = with.mean - without.mean;
    let half = Z_95 * libm::hypot(with.mean * under_sd, without.mean * plain_sd);
    let limit = libm::log(EVENNESS_RATIO_HOLDS);
    let p_holds = normal::cdf((limit - (under - plain)) / libm::hypot(plain_sd, under_sd));
    let verdict = if plain_runs < RUNS_EACH_MIN || under_runs < RUNS_EACH_MIN {
        PressureVerdict::NotEnoughSeen
    } else if p_holds >= SAID_FROM {
        PressureVerdict::Holds
    } else if p_holds <= 1.0 - SAID_FROM {
        PressureVerdict::Breaks
    } else {
        PressureVerdict::NotEnoughSeen
    };
    let difference = Rate { mean, low: mean - half, high: mean + half };
    Some(Contrast { without, under: with, difference, verdict })
}
