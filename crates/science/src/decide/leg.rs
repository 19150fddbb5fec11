//! Which leg knocks more, said only when a child with equal legs would hardly ever be told so.

use lanewright_model::drill::Drill;
use lanewright_model::run::{Leg, Run};
use serde::{Deserialize, Serialize};

use crate::proportion;

/// Chance that this leg's rate is the higher one, from which it is named (engineering assumption: either leg can be
/// named, every child of a class is asked about after every run, so the 0.95 of a single question says too much).
pub const LEG_P: f64 = 0.99;
/// Fewest knocks of a leg that is named (engineering assumption: from fewer, one stumble makes the difference).
pub const LEG_KNOCKS_MIN: u32 = 4;
/// Fewest crossings of either leg (engineering assumption).
pub const LEG_CROSSINGS_MIN: u32 = 8;

/// Knocks by leg, of a child whose one leg knocks more.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LegDifference {
    /// The leg that knocks more.
    pub leg: Leg,
    /// Its knocks; falls in a row count once, for the leg that began the row.
    pub knocks: u32,
    /// Its crossings; the hurdles of a row after its first are left out.
    pub crossings: u32,
    /// The other leg's knocks.
    pub other_knocks: u32,
    /// The other leg's crossings.
    pub other_crossings: u32,
    /// Probability that this leg's knock rate is the higher one.
    pub p_worse: f64,
}

/// Compares knocks by leg. With one contact per gap the legs take hurdles in turn, the lead leg the first; with two
/// contacts the lead leg takes them all.
///
/// A hurdle right behind one that fell says that the line was broken and not which leg knocks, so it is left out: a
/// single broken line would otherwise speak against the leg that happened to lead.
pub fn leg_difference(runs: &[&Run], drill: Option<&Drill>) -> Option<LegDifference> {
    let contacts = drill?.contacts_per_gap?;
    let (mut knocks, mut crossings) = ([0u32; 2], [0u32; 2]);
    for run in runs {
        let Some(lead) = run.lead else { continue };
        let lead_index = usize::from(lead == Leg::Right);
        let mut fell_before = false;
        for number in (1..=run.hurdles).filter(|number| !run.down_before.contains(*number)) {
            let fell = run.knocked.contains(number);
            if !fell_before {
                let leg = if contacts == 1 && number % 2 == 0 { 1 - lead_index } else { lead_index };
                crossings[leg] += 1;
                knocks[leg] += u32::from(fell);
            }
            fell_before = fell;
        }
    }
    told(knocks, crossings)
}

/// Returns the leg that knocks more, left leg first in the counts, if the rule lets it be named.
pub fn told(knocks: [u32; 2], crossings: [u32; 2]) -> Option<LegDifference> {
    if crossings.iter().any(|count| *count < LEG_CROSSINGS_MIN) {
        return None;
    }
    let rate = |leg: usize| f64::from(knocks[leg]) / f64::from(crossings[leg]);
    let worse = usize::from(rate(1) > rate(0));
    if knocks[worse] < LEG_KNOCKS_MIN {
        return None;
    }
    let p_worse =
        proportion::p_greater(knocks[worse], crossings[worse], knocks[1 - worse], crossings[1 - worse]);
    (p_worse >= LEG_P).then_some(LegDifference {
        leg: if worse == 1 { Leg::Right } else { Leg::Left },
        knocks: knocks[worse],
        crossings: crossings[worse],
        other_knocks: knocks[1 - worse],
        other_crossings: crossings[1 - worse],
        p_worse,
    })
}
