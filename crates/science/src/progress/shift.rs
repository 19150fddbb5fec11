//! First lessons against last lessons of one child at one drill.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use lanewright_model::run::{Observation, Run};
use serde::{Deserialize, Serialize};

use super::{Seen, at, drill_of, runner_of};
use crate::change::{self, Better, Change, Quantity, TypicalError, Verdict};
use crate::decide::{ClassModel, HURDLES_MIN, Known, RUNS_MIN, Rate, weighted_summary};

/// Chance that the clean rate changed that way, from which a change may be called one (engineering assumption: the
/// same 95 % that a single comparison of runs asks for).
pub const REAL_P: f64 = 0.95;

/// A change of one child's clean rate at one drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RateChange {
    /// First lesson of the part before.
    pub from: Date,
    /// Last lesson of the part before.
    pub from_until: Date,
    /// First lesson of the part after.
    pub to: Date,
    /// Last lesson of the part after.
    pub to_until: Date,
    /// Clean rate before, from those runs alone.
    pub before: Rate,
    /// Clean rate after, likewise.
    pub after: Rate,
    /// After minus before.
    pub difference: Rate,
    /// Chance that it rose.
    pub p_better: f64,
    /// The shares of single runs compared, with the typical error of the class.
    pub runs: Change,
    /// Runs before and after.
    pub run_counts: (u32, u32),
    /// Standing hurdles before and after.
    pub hurdles: (u32, u32),
}

impl RateChange {
    /// Returns whether it lies beyond the noise: single runs and whole patterns both say so, and alike.
    pub fn is_real(&self) -> bool {
        match self.runs.verdict {
            Verdict::Gain => self.p_better >= REAL_P,
            Verdict::Loss => self.p_better <= 1.0 - REAL_P,
            Verdict::NotTold => false,
        }
    }

    /// Returns whether it went up.
    pub fn is_gain(&self) -> bool {
        self.difference.mean > 0.0
    }
}

/// Runs of one child at one drill, by lesson.
type ByDay<'a> = BTreeMap<Date, Vec<&'a Run>>;

/// Returns the changes by runner and drill, wherever there is enough before and after.
pub(super) fn changes(
    seen: &Seen<'_>,
    learned: &Known,
    drill_days: &BTreeMap<(&str, &str), BTreeSet<Date>>,
) -> BTreeMap<(String, String), RateChange> {
    let mut runs: BTreeMap<(&str, &str), ByDay<'_>> = BTreeMap::new();
    for (observation, day) in &seen.all {
        // Runs with an exit sprint are another thing: they are compared with each other elsewhere.
        if let Observation::Run(run) = observation
            && run.standing() > 0
            && !run.exit_sprint
        {
            let key = (run.runner.as_str(), run.drill.as_str());
            runs.entry(key).or_default().entry(*day).or_default().push(run);
        }
    }
    let errors = errors_by_drill(&runs);
    let mut found = BTreeMap::new();
    for ((runner, drill), by_day) in &runs {
        if drill_days.get(&(*runner, *drill)).is_none_or(|days| days.len() < 2) {
            continue;
        }
        let (Some((error, smallest)), Some((before, after))) = (errors.get(drill), split(by_day)) else {
            continue;
        };
        let shares = |part: &[Date]| -> Vec<f64> {
            part.iter().flat_map(|day| by_day[day].iter().map(|run| share(run))).collect()
        };
        let Some(judged) = change::judge(&shares(&before), &shares(&after), Better::More, error, *smallest)
        else {
            continue;
        };
        let parts = [&before, &after].map(|part| curve(seen, learned, runner, drill, part));
        let [Some(first), Some(second)] = parts else { continue };
        let (difference, p_better) = difference(&first, &second);
        let count = |part: &[Date]| part.iter().map(|day| by_day[day].len() as u32).sum();
        let hurdles = |part: &[Date]| -> u32 {
            part.iter().flat_map(|day| by_day[day].iter().map(|run| run.standing())).sum()
        };
        let change = RateChange {
            from: before[0],
            from_until: before[before.len() - 1],
            to: after[0],
            to_until: after[after.len() - 1],
            before: weighted_summary(first),
            after: weighted_summary(second),
            difference,
            p_better,
            runs: judged,
            run_counts: (count(&before), count(&after)),
            hurdles: (hurdles(&before), hurdles(&after)),
        };
        found.insert(((*runner).to_owned(), (*drill).to_owned()), change);
    }
    found
}

fn share(run: &Run) -> f64 {
    1.0 - f64::from(run.knocked.count()) / f64::from(run.standing().max(1))
}

/// Shares by lesson and child, means by child, and most hurdles of a run.
type Repeats = (Vec<Vec<f64>>, Vec<f64>, u32);

/// Typical error of one run and smallest change that counts, by drill, from the class's own lessons.
fn errors_by_drill<'a>(
    runs: &BTreeMap<(&'a str, &'a str), ByDay<'_>>,
) -> BTreeMap<&'a str, (TypicalError, f64)> {
    let mut repeats: BTreeMap<&str, Repeats> = BTreeMap::new();
    for ((_, drill), by_day) in runs {
        let entry = repeats.entry(*drill).or_default();
        for own in by_day.values() {
            entry.0.push(own.iter().map(|run| share(run)).collect());
            entry.2 = entry.2.max(own.iter().map(|run| run.hurdles).max().unwrap_or(0));
        }
        let all: Vec<f64> = by_day.values().flatten().map(|run| share(run)).collect();
        entry.1.push(all.iter().sum::<f64>() / all.len().max(1) as f64);
    }
    repeats
        .into_iter()
        .map(|(drill, (repeats, means, hurdles))| {
            let quantity = Quantity::CleanRate { hurdles: hurdles.max(1) };
            let learned = change::typical_error(&repeats, quantity);
            // A class of clean runs says that runs hardly differ; one knock more is then no proof of anything.
            let error = if learned.value < quantity.default_error() / 2.0 {
                change::typical_error(&[], quantity)
            } else {
                learned
            };
            (drill, (error, change::smallest_change(&means, quantity)))
        })
        .collect()
}

/// First lessons and last lessons: as few of each as hold enough runs, and none in both.
fn split(by_day: &ByDay<'_>) -> Option<(Vec<Date>, Vec<Date>)> {
    let enough = |days: &[Date]| {
        let runs: usize = days.iter().map(|day| by_day[day].len()).sum();
        let hurdles: u32 = days.iter().flat_map(|day| by_day[day].iter().map(|run| run.standing())).sum();
        runs as u32 >= RUNS_MIN && hurdles >= HURDLES_MIN
    };
    let days: Vec<Date> = by_day.keys().copied().collect();
    let first = (1..days.len()).find(|until| enough(&days[..*until]))?;
    let last = (first..days.len()).rev().find(|from| enough(&days[*from..]))?;
    Some((days[..first].to_vec(), days[last..].to_vec()))
}

/// Points of the clean rate with their weights, from the runs of some lessons alone.
fn curve(
    seen: &Seen<'_>,
    learned: &Known,
    runner: &str,
    drill: &str,
    part: &[Date],
) -> Option<Vec<(f64, f64)>> {
    let own: Vec<&Observation> = seen
        .all
        .iter()
        .filter(|(observation, day)| {
            let plain = matches!(observation, Observation::Run(run) if !run.exit_sprint);
            plain
                && part.contains(day)
                && runner_of(observation) == runner
                && drill_of(observation) == Some(drill)
        })
        .map(|(observation, _)| *observation)
        .collect();
    let now = own.iter().map(|observation| at(observation)).max().unwrap_or(Timestamp::UNIX_EPOCH);
    let model = ClassModel::with(own.iter().copied(), seen.ladder, &seen.options(now), learned);
    let (mass, shift) = model.ability_of(runner, drill);
    let rates = model.rates(shift);
    (!own.is_empty()).then(|| rates.iter().map(|cell| cell[1]).zip(mass).collect())
}

/// Second minus first, each from its own runs, and the chance that the second is the greater one.
fn difference(first: &[(f64, f64)], second: &[(f64, f64)]) -> (Rate, f64) {
    let mut points = Vec::with_capacity(first.len() * second.len());
    let mut p_better = 0.0;
    for (before, mass_before) in first {
        for (after, mass_after) in second {
            let mass = mass_before * mass_after;
            points.push((after - before, mass));
            // Equal cells are as likely one way as the other.
            p_better += if after > before {
                mass
            } else if after < before {
                0.0
            } else {
                mass / 2.0
            };
        }
    }
    (weighted_summary(points), p_better)
}
