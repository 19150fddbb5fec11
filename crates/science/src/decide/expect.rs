//! What to expect of one child at one drill, seen or not: for planning ahead, not for judging.

use std::collections::BTreeMap;

use lanewright_model::drill::Drill;

use super::ClassModel;
use super::fit::{self, ClassParameters, DEFAULTS, GRID};

/// Hurdles of the lane that [`Drill::first_clean_rate`] speaks of (engineering assumption).
const LANE_HURDLES: u32 = 8;

/// What is expected of one child at one drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Points of the posterior: clean rate and weight; weights add up to one.
    pub points: Vec<(f64, f64)>,
    /// Runs and sweeps of this child at this drill that it rests on.
    pub runs: u32,
}

impl Expected {
    /// Returns the expected clean rate.
    pub fn mean(&self) -> f64 {
        self.points.iter().map(|(rate, weight)| rate * weight).sum()
    }
}

impl ClassModel<'_> {
    /// Returns what to expect of a child at a drill.
    ///
    /// A drill that this class has not run yet is as much harder or easier than those it has run as
    /// [`Drill::first_clean_rate`] says; with no runs at all the expected rate is that entry. What was seen of the
    /// child at other drills counts.
    pub fn expected(&self, runner: &str, drill: &Drill) -> Expected {
        self.ways_to_expect(&[drill]).expected(runner, drill)
    }

    /// Works out once what is the same for all children at some drills: for asking about many children.
    pub fn ways_to_expect(&self, drills: &[&Drill]) -> Outlook<'_> {
        let offset = self.unseen_offset();
        let known = drills.iter().map(|drill| {
            let seen = self.drills.binary_search(&drill.id.0.as_str());
            let shift =
                seen.map_or_else(|_| first_shift(drill) + offset, |index| self.fit.drill_shifts[index]);
            (drill.id.0.clone(), self.rates(shift))
        });
        Outlook { known: known.collect(), model: self }
    }

    /// How much harder than documented the drills are that the class has run, on average.
    fn unseen_offset(&self) -> f64 {
        let seen: Vec<f64> = self
            .drills
            .iter()
            .zip(&self.fit.drill_shifts)
            .filter_map(|(id, shift)| Some(shift - first_shift(self.ladder.get(id)?)))
            .collect();
        if seen.is_empty() { 0.0 } else { seen.iter().sum::<f64>() / seen.len() as f64 }
    }
}

/// What to expect of the children of a class at some drills.
pub struct Outlook<'m> {
    model: &'m ClassModel<'m>,
    /// Clean rates over the grid of abilities, by drill.
    known: BTreeMap<String, [[f64; 3]; GRID]>,
}

impl<'m> Outlook<'m> {
    /// Returns the class that it is about.
    pub fn model(&self) -> &'m ClassModel<'m> {
        self.model
    }

    /// Returns what to expect of a child at a drill; see [`ClassModel::expected`].
    pub fn expected(&self, runner: &str, drill: &Drill) -> Expected {
        let id = drill.id.0.as_str();
        let Some(known) = self.known.get(id) else { return self.model.expected(runner, drill) };
        let (mass, _) = self.model.ability_of(runner, id);
        let mut points = Vec::with_capacity(3 * mass.len());
        for (rates, weight) in known.iter().zip(mass) {
            // Simpson's rule over the cell.
            for (rate, share) in rates.iter().zip([1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0]) {
                points.push((*rate, weight * share));
            }
        }
        Expected { points, runs: self.model.seen_of(runner, id).0 }
    }
}

/// The difficulty at which a class of the documented defaults has the drill's expected clean rate.
pub(crate) fn first_shift(drill: &Drill) -> f64 {
    let mean = |parameters: &ClassParameters, shift: f64| -> f64 {
        fit::abilities()
            .iter()
            .zip(fit::ability_weights())
            .map(|(t, weight)| weight * parameters.chain(t + shift).clean_rate(LANE_HURDLES))
            .sum()
    };
    let (mut easy, mut hard) = (-6.0, 6.0);
    for _ in 0..60 {
        let middle = 0.5 * (easy + hard);
        if mean(&DEFAULTS, middle) > drill.first_clean_rate { easy = middle } else { hard = middle }
    }
    0.5 * (easy + hard)
}
