//! A plan: every child's own gap, the lanes, and how they stand on the floor.
//!
//! The serialised form is the output of `lanewright lanes --json`; its format page is `docs/formats/lanes.md`.
//! Numbers are unrounded. Lengths along a lane are measured from its start line (the rear start mark), in
//! running direction.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::drill::{DrillId, Setting};
use crate::estimate::Estimate;
use crate::runner::RunnerId;
use crate::words::{Arg, Message, Words};

/// The answer to "who runs where, how far apart, and does it fit".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Children who run today, in the order of the class list.
    pub runners: Vec<PlannedRunner>,
    /// Lanes A, B, C …, shortest gap first.
    pub lanes: Vec<PlannedLane>,
    /// How well the lanes suit the children, for the first drill.
    pub misfit: Misfit,
    /// Whether everything stands on the floor with its stopping room. `true` when no floor was given.
    pub fits: bool,
    /// What the coach should know, most important first.
    pub warnings: Vec<Message>,
    /// What would make it fit, best first; empty when it fits.
    pub remedies: Vec<Message>,
    /// How many lanes the kit, the floor and the adults would allow.
    pub lanes_possible: u32,
    /// The drills asked for, in order.
    pub drills: Vec<DrillId>,
    /// Effort as a share of top speed, of the first drill.
    pub effort: f64,
    /// Effort of each drill that is run, as a share of top speed; a walking drill has none.
    #[serde(default)]
    pub efforts: BTreeMap<DrillId, f64>,
    /// How the lanes lie on the floor, when a floor was given.
    pub floor: Option<Floor>,
}

/// One child in the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlannedRunner {
    /// Which child.
    pub id: RunnerId,
    /// Label as it is shown.
    pub name: String,
    /// Own comfortable gap for the first drill, in metres.
    pub spacing_m: Estimate,
    /// Hurdle height that suits this child, in centimetres; 0 is a floor line.
    pub hurdle_height_cm: f64,
    /// What the gap rests on, in plain words (`measured steps`, `stature`, `age and sex`, `the class`…).
    pub basis: String,
    /// The lane this child runs in, `A`, `B`, …
    pub lane: String,
    /// Lane gap over own gap, minus one: +0.05 means the lane is 5 % wide for the child.
    pub fit_ratio: f64,
    /// Stature used, in centimetres.
    pub stature_cm: Estimate,
    /// Gap and band for every drill asked for.
    pub gaps: Vec<DrillGap>,
}

/// One child's gap for one drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrillGap {
    /// Which drill.
    pub drill: DrillId,
    /// Comfortable gap, in metres.
    pub gap_m: Estimate,
    /// Shortest gap that the drill tolerates for this child, in metres.
    pub band_low_m: f64,
    /// Longest gap that the drill tolerates for this child, in metres.
    pub band_high_m: f64,
    /// Whether the lane's gap for this drill lies inside the band.
    pub inside: bool,
}

/// One lane as it is to be set out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlannedLane {
    /// Name of the lane, `A` for the shortest gap.
    pub lane: String,
    /// Gap for the first drill, in metres.
    pub spacing_m: f64,
    /// Hurdles in the lane.
    pub hurdles: u32,
    /// Height of the hurdles in centimetres; 0 is a floor line.
    pub hurdle_height_cm: f64,
    /// Tape distances of the hurdles from the start line for the first drill, in metres.
    pub marks_m: Vec<f64>,
    /// One or two settings on the same marks.
    pub settings: Vec<LaneSetting>,
    /// Labels of the children, shortest own gap first.
    pub runners: Vec<String>,
    /// Start line to first hurdle, in metres.
    pub run_up_m: f64,
    /// Last hurdle to the end of the stopping room, in metres.
    pub run_out_m: f64,
    /// Whole length, back of the waiting room to the end of the clear margin, in metres.
    pub length_m: f64,
    /// Parts of that length and the width, and the speeds they come from.
    pub parts: LaneParts,
}

/// One of at most two gaps on a lane's marks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneSetting {
    /// Long or short.
    pub setting: Setting,
    /// Gap between hurdles, in metres.
    pub gap_m: f64,
    /// Tape distances from the start line, in metres.
    pub marks_m: Vec<f64>,
    /// The drills that use it.
    pub drills: Vec<DrillId>,
}

/// Lengths of a lane's parts, front to back, and what they follow from.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct LaneParts {
    /// Room behind the start line for those who wait, in metres.
    pub waiting_m: f64,
    /// Stopping room and clear margin before the start line for drills that run both ways; 0 otherwise, in metres.
    #[serde(default)]
    pub start_stopping_m: f64,
    /// Second start mark: distance from the start line, one step forward, so that either leg can lead, in metres; 0
    /// where there is none (side-steps).
    pub second_start_m: f64,
    /// Start line to first hurdle, in metres.
    pub run_up_m: f64,
    /// First to last hurdle, in metres.
    pub hurdles_m: f64,
    /// Last hurdle to the exit line: running on, or the exit sprint, in metres.
    pub exit_m: f64,
    /// Exit line to standstill, in metres. Never shortened.
    pub stopping_m: f64,
    /// Clear margin beyond the stopping room, in metres.
    pub margin_m: f64,
    /// Speed at the exit line that the stopping room is laid out for, in metres per second.
    pub exit_speed_mps: f64,
    /// Width of the lane itself, in metres.
    pub width_m: f64,
    /// Clear strip beside the hurdles for one-leg drills, in metres; 0 when none is needed.
    pub side_strip_m: f64,
    /// Width of the way back beside the lane, in metres.
    pub way_back_m: f64,
}

/// How well lanes suit children: squared and largest differences of ln(lane gap / own gap), first drill.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Misfit {
    /// Sum over children of the squared difference.
    pub sum_sq_ln: f64,
    /// Largest absolute difference.
    pub max_abs_ln: f64,
}

/// The floor with the lanes placed on it. `x` runs along the floor from the start end, `y` across from the left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Floor {
    /// The floor that was given.
    pub space: crate::kit::Space,
    /// One entry per lane, same order as `Plan::lanes`.
    pub lanes: Vec<LanePlace>,
    /// Length that the longest lane needs, in metres.
    pub needed_length_m: f64,
    /// Width that all lanes need, in metres.
    pub needed_width_m: f64,
}

impl Plan {
    /// Returns the effort that holds for all drills of the plan, if one does: all are run, and at the same effort.
    pub fn effort_of_all(&self) -> Option<f64> {
        let first = *self.efforts.values().next()?;
        let alike = |drill: &DrillId| self.efforts.get(drill) == Some(&first);
        self.drills.iter().all(alike).then_some(first)
    }

    /// Returns the names of the drills, each that is run with its effort, unless one effort holds for all.
    pub fn drills_said(&self, words: &Words) -> String {
        let of_all = self.effort_of_all().is_some();
        let said = |drill: &DrillId| {
            let name = words.get(&format!("drill-{drill}"));
            match self.efforts.get(drill).filter(|_| !of_all) {
                Some(effort) => words.say(
                    &Message::new("plan-drill-effort")
                        .text("drill", name)
                        .with("effort", Arg::Share(*effort)),
                ),
                None => name,
            }
        };
        self.drills.iter().map(said).collect::<Vec<_>>().join(", ")
    }
}

impl Floor {
    /// Returns what is needed as it is said beside the size of the floor, length and width: rounded up, but where it
    /// fits never beyond the floor.
    pub fn needed(&self, words: &Words) -> (Arg, Arg) {
        // What is longer by less than this is no misfit; see `site` in the science crate.
        const ROUNDING_M: f64 = 1e-4;
        let of = |needed_m: f64, at_hand_m: f64| {
            let room = Arg::RoomM(needed_m);
            let at_hand = Arg::MeasuredM(at_hand_m);
            let fits = needed_m <= at_hand_m + ROUNDING_M;
            if fits && words.length_shown_m(&room) > words.length_shown_m(&at_hand) { at_hand } else { room }
        };
        (of(self.needed_length_m, self.space.length_m), of(self.needed_width_m, self.space.width_m))
    }

    /// Returns the length that is left over: the floor's less what is said to be needed; never below 0.
    pub fn spare_length(&self, words: &Words) -> Arg {
        let needed_m = words.length_shown_m(&Arg::RoomM(self.needed_length_m));
        Arg::MeasuredM((words.length_shown_m(&Arg::MeasuredM(self.space.length_m)) - needed_m).max(0.0))
    }
}

/// Where one lane stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LanePlace {
    /// Start line, metres from the start end of the floor.
    pub start_x_m: f64,
    /// Left edge of the lane, metres from the left edge of the floor. A side strip lies left of it.
    pub left_y_m: f64,
    /// Right edge of the lane (its way back lies beyond it), metres from the left edge of the floor.
    pub right_y_m: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Space;
    use crate::words::Units;

    #[test]
    fn what_is_needed_is_never_said_to_be_less_than_a_floor_that_does_not_hold_it() {
        for units in [Units::Metric, Units::FeetInches] {
            let words = Words::english(units);
            for millimetres in 28_900..29_300 {
                let needed_m = f64::from(millimetres) / 1000.0;
                let space = Space::hall(29.05, 7.5);
                let floor =
                    Floor { space, lanes: Vec::new(), needed_length_m: needed_m, needed_width_m: needed_m };
                let (length, width) = floor.needed(&words);
                let (length_m, at_hand_m) =
                    (words.length_shown_m(&length), words.length_shown_m(&Arg::MeasuredM(29.05)));
                assert_eq!(length_m <= at_hand_m, needed_m <= 29.05, "{needed_m}: {}", words.show(&length));
                assert!(words.length_shown_m(&width) >= needed_m - 1e-4, "{needed_m}");
                let spare_m = words.length_shown_m(&floor.spare_length(&words));
                assert!(
                    spare_m >= 0.0 && spare_m <= (29.05 - needed_m).max(0.0) + 1e-6,
                    "{needed_m}: {spare_m}"
                );
            }
        }
    }

    #[test]
    fn the_length_to_spare_is_the_floor_less_what_is_said_to_be_needed() {
        let words = Words::english(Units::Metric);
        let floor = Floor {
            space: Space::hall(32.0, 18.0),
            lanes: Vec::new(),
            needed_length_m: 28.98,
            needed_width_m: 9.8,
        };
        assert_eq!(words.show(&floor.needed(&words).0), "29 m");
        assert_eq!(words.show(&floor.spare_length(&words)), "3 m");
    }
}
