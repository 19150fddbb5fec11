//! Clean rate as the effort rises, and the highest effort at which a child is clean enough.

use std::collections::BTreeMap;

use lanewright_model::drill::Drill;
use lanewright_model::run::Run;
use serde::{Deserialize, Serialize};

use super::{Contrast, SAID_FROM};
use crate::decide::fit::{CELL_HALF, GRID, abilities, ability_weights};
use crate::decide::{
    ClassModel, EFFORT_SHIFT_PER_TENTH, HURDLES_MIN, Options, PRESSURE_SD, PressureVerdict, RUNS_MIN, Rate,
    RateCurve, SPRINT_SHIFT, circumstances, fading, needed_rate, weighted_summary,
};

/// Spread between children of what a tenth of effort adds, in standard deviations of the class.
///
/// What an exit sprint adds differs from child to child by [`PRESSURE_SD`]; a tenth of effort is so many parts of a
/// sprint as its expected share, so this adds no assumption of its own.
pub const EFFORT_OWN_SD_PER_TENTH: f64 = PRESSURE_SD * EFFORT_SHIFT_PER_TENTH / SPRINT_SHIFT;

/// The child's own part of what effort adds, in its standard deviations: the points that are summed over.
const OWN: [f64; 9] = [-2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0];

/// One effort that was seen.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EffortStep {
    /// Effort as a share of top speed, to the tenth.
    pub effort: f64,
    /// Clean rate at this effort, with its 90 % interval.
    pub clean_rate: Rate,
    /// Clean rate that counts as clean enough at this effort.
    pub needed: f64,
    /// Chance of being clean enough.
    pub p_enough: f64,
    /// Runs at this effort.
    pub runs: u32,
    /// Standing hurdles met in them.
    pub hurdles: u32,
    /// Holds: clean enough; breaks: not; or not enough seen at this effort and above.
    pub verdict: PressureVerdict,
}

/// The efforts of one child at one drill, from low to high.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct EffortLadder {
    /// Efforts that were seen.
    pub steps: Vec<EffortStep>,
    /// The highest effort at which the child is clean enough; none when that cannot be said of any.
    pub highest_effort: Option<f64>,
    /// The effort to try next: a tenth more, as far as the drill goes.
    pub next_effort: Option<f64>,
}

/// One effort's runs.
struct Level<'a> {
    /// Effort in tenths.
    tenths: i64,
    runs: Vec<&'a Run>,
}

/// Returns the efforts of one child, and the highest against the lowest; empty for walks and for drills that are not in
/// the ladder. Runs with an exit sprint are left to their own comparison; a run without an effort counts as the drill's
/// usual.
pub(super) fn judge(
    model: &ClassModel,
    drill_id: &str,
    runs: &[&Run],
    options: &Options,
) -> (EffortLadder, Option<Contrast>) {
    let nothing = (EffortLadder::default(), None);
    let Some(drill) = model.ladder().get(drill_id).filter(|drill| !drill.walk) else { return nothing };
    let levels = levels(drill, runs);
    if levels.is_empty() {
        return nothing;
    }
    let posterior = Posterior::new(model, drill_id, drill, &levels, options);
    let steps: Vec<EffortStep> = (0..levels.len())
        .map(|at| {
            let level = &levels[at];
            let effort = level.tenths as f64 / 10.0;
            let needed = needed_rate(Some(drill), Some(effort), false);
            let (clean_rate, p_enough) = posterior.at(level.tenths, needed);
            let met = |levels: &[Level]| {
                levels.iter().flat_map(|level| &level.runs).map(|run| run.standing()).sum()
            };
            let above = &levels[at..];
            let (runs_above, hurdles_above): (usize, u32) =
                (above.iter().map(|level| level.runs.len()).sum(), met(above));
            let verdict = if hurdles_above < HURDLES_MIN || runs_above < RUNS_MIN as usize {
                PressureVerdict::NotEnoughSeen
            } else if p_enough >= SAID_FROM {
                PressureVerdict::Holds
            } else if p_enough <= 1.0 - SAID_FROM {
                PressureVerdict::Breaks
            } else {
                PressureVerdict::NotEnoughSeen
            };
            let hurdles = met(&levels[at..=at]);
            EffortStep {
                effort,
                clean_rate,
                needed,
                p_enough,
                runs: level.runs.len() as u32,
                hurdles,
                verdict,
            }
        })
        .collect();
    let highest_effort =
        steps.iter().rev().find(|step| step.verdict == PressureVerdict::Holds).map(|step| step.effort);
    let next_effort = highest_effort
        .map(|effort| ((effort * 10.0).round() + 1.0) / 10.0)
        .filter(|next| *next <= drill.effort_max.min(1.0) + 1e-9);
    let contrast = (levels.len() > 1).then(|| {
        let (lowest, highest) = (&steps[0], &steps[steps.len() - 1]);
        let (difference, p_worse) = posterior.difference(levels[0].tenths, levels[levels.len() - 1].tenths);
        let verdict = if highest.hurdles < HURDLES_MIN {
            PressureVerdict::NotEnoughSeen
        } else if highest.p_enough >= SAID_FROM {
            PressureVerdict::Holds
        } else if p_worse >= SAID_FROM && highest.p_enough <= 1.0 - SAID_FROM {
            PressureVerdict::Breaks
        } else {
            PressureVerdict::NotEnoughSeen
        };
        Contrast { without: lowest.clean_rate, under: highest.clean_rate, difference, verdict }
    });
    (EffortLadder { steps, highest_effort, next_effort }, contrast)
}

fn levels<'a>(drill: &Drill, runs: &[&'a Run]) -> Vec<Level<'a>> {
    let mut by_tenths: BTreeMap<i64, Vec<&Run>> = BTreeMap::new();
    for run in runs.iter().filter(|run| !run.exit_sprint && run.standing() > 0) {
        let tenths = (run.effort.unwrap_or(drill.effort) * 10.0).round() as i64;
        by_tenths.entry(tenths).or_default().push(run);
    }
    by_tenths.into_iter().map(|(tenths, runs)| Level { tenths, runs }).collect()
}

/// What the runs say of the child's ability and of what effort adds for this child, on a grid of both.
struct Posterior<'m, 'a> {
    model: &'m ClassModel<'a>,
    /// Difficulty of the drill at its usual effort.
    shift: f64,
    usual_tenths: i64,
    /// Weights by own part and ability; together one.
    mass: [[f64; GRID]; OWN.len()],
}

impl<'m, 'a> Posterior<'m, 'a> {
    fn new(
        model: &'m ClassModel<'a>,
        drill_id: &str,
        drill: &Drill,
        levels: &[Level],
        options: &Options,
    ) -> Self {
        let shift = model.shift_of(drill_id);
        let usual_tenths = (drill.effort * 10.0).round() as i64;
        let parameters = &model.fit().parameters;
        let weights = ability_weights();
        let mut logs = [[0.0; GRID]; OWN.len()];
        let mut top = f64::NEG_INFINITY;
        for (own, row) in OWN.into_iter().zip(&mut logs) {
            for ((t, weight), log) in abilities().into_iter().zip(weights).zip(row) {
                *log = libm::log(weight) - 0.5 * own * own;
                for level in levels {
                    let more = (level.tenths - usual_tenths) as f64;
                    for run in &level.runs {
                        let at = t
                            + shift
                            + circumstances(run, Some(drill))
                            + own * EFFORT_OWN_SD_PER_TENTH * more;
                        let chance =
                            parameters.chain(at).likelihood(run.hurdles, run.knocked, run.down_before);
                        *log += fading(run.at, options.now) * libm::log(chance.max(1e-300));
                    }
                }
                top = top.max(*log);
            }
        }
        let mut mass = logs.map(|row| row.map(|log| libm::exp(log - top)));
        let sum: f64 = mass.iter().flatten().sum();
        for value in mass.iter_mut().flatten() {
            *value /= sum;
        }
        Self { model, shift, usual_tenths, mass }
    }

    fn shift_at(&self, own: f64, tenths: i64) -> f64 {
        let more = (tenths - self.usual_tenths) as f64;
        self.shift + (EFFORT_SHIFT_PER_TENTH + own * EFFORT_OWN_SD_PER_TENTH) * more
    }

    /// Clean rate at an effort, and the chance that it is at least `needed`.
    fn at(&self, tenths: i64, needed: f64) -> (Rate, f64) {
        let rates = OWN.map(|own| self.model.rates(self.shift_at(own, tenths)));
        let at_least = |rate: f64| -> f64 {
            rates.iter().zip(&self.mass).map(|(rates, mass)| RateCurve { rates, mass }.at_least(rate)).sum()
        };
        let quantile = |p: f64| {
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..40 {
                let middle = 0.5 * (low + high);
                if 1.0 - at_least(middle) < p { low = middle } else { high = middle }
            }
            0.5 * (low + high)
        };
        let mean = rates
            .iter()
            .zip(&self.mass)
            .flat_map(|(rates, mass)| rates.iter().zip(mass))
            .map(|(cell, mass)| cell[1] * mass)
            .sum();
        (Rate { mean, low: quantile(0.05), high: quantile(0.95) }, at_least(needed))
    }

    /// Clean rate at the higher effort minus that at the lower one, and the chance that it is below 0.
    fn difference(&self, low_tenths: i64, high_tenths: i64) -> (Rate, f64) {
        let mut points = Vec::with_capacity(OWN.len() * GRID * 2);
        for (own, row) in OWN.into_iter().zip(&self.mass) {
            let (low, high) = (self.shift_at(own, low_tenths), self.shift_at(own, high_tenths));
            let rate = |t: f64| self.model.fit().parameters.chain(t).clean_rate(self.model.lane_hurdles());
            for (t, mass) in abilities().into_iter().zip(row) {
                // Two points a cell, so that the interval does not jump from one ability to the next.
                for t in [t - 0.5 * CELL_HALF, t + 0.5 * CELL_HALF] {
                    points.push((rate(t + high) - rate(t + low), 0.5 * mass));
                }
            }
        }
        let p_worse = points.iter().filter(|(change, _)| *change < 0.0).map(|(_, mass)| mass).sum();
        (weighted_summary(points), p_worse)
    }
}
