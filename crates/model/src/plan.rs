//! A plan: every child's own gap, the lanes, and how they stand on the floor.
//!
//! The serialised form is the output of `lanewright lanes --json`; its format page is `docs/formats/lanes.md`.
//! Numbers are unrounded. Lengths along a lane are measured from its start line (the rear start mark), in
//! running direction.

use serde::{Deserialize, Serialize};

use crate::drill::{DrillId, Setting};
use crate::estimate::Estimate;
use crate::runner::RunnerId;
use crate::words::Message;

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
    /// Effort as a share of top speed.
    pub effort: f64,
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
