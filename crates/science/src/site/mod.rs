//! How long and wide lanes are on the floor, and what to change when they do not fit.
//!
//! A lane is, front to back: waiting room, run-up, hurdles, exit, stopping room, clear margin. The stopping room
//! follows from the speed that the fastest child of the lane really reaches and from nothing else: no floor makes
//! it shorter, and no remedy touches it. `docs/methods/site.md` has the formulas, sources and limits.

mod kinematics;
mod remedy;

use lanewright_model::drill::{Drill, DrillId};
use lanewright_model::kit::{Space, Surface};
use lanewright_model::plan::{Floor, LaneParts, LanePlace};

pub use kinematics::{
    DECELERATION_MPS2, DECELERATION_SLIPPERY_MPS2, SPRINT_TIME_CONSTANT_S, WALK_MPS, sprint_speed_mps,
    stopping_room_m,
};
pub use remedy::{Change, HURDLES_MIN, RUN_UP_STEPS_MIN, apply, remedies};

/// Clear margin beyond every stopping room, in metres (engineering assumption). Never shortened.
pub const MARGIN_M: f64 = 2.0;

/// Gap between lanes that are run one way, in metres (engineering assumption). The way back lies in it.
pub const LANE_GAP_M: f64 = 1.0;

/// Gap between lanes with drills that run both ways or sideways, in metres (engineering assumption).
pub const LANE_GAP_BOTH_WAYS_M: f64 = 2.0;

/// Width of the way back beside a lane, in metres (engineering assumption).
pub const WAY_BACK_M: f64 = 1.0;

/// Clear distance from a lane or its side strip to a wall beside it, in metres (engineering assumption).
pub const WALL_CLEAR_M: f64 = 1.0;

/// Clear floor on either side of the hurdles inside the lane, in metres (engineering assumption).
pub const BESIDE_HURDLE_M: f64 = 0.3;

/// Clear strip beside the lane for one-leg drills, in metres (engineering assumption): with the floor inside the
/// lane, one metre beside the hurdles. For the other leg, strip and way back change places.
pub const SIDE_STRIP_M: f64 = 0.7;

/// Run-up of walking and sideways drills, in metres: one metre in all (common practice, no source).
pub const WALK_RUN_UP_M: f64 = 1.0;

/// Room to step off after the last hurdle in walking and sideways drills, in metres (engineering assumption).
pub const WALK_EXIT_M: f64 = 1.0;

/// Steps that a runner runs on after the last hurdle before slowing down (engineering assumption).
pub const RUN_ON_STEPS: u32 = 2;

/// Children who wait stand in twos, this much floor a pair, in metres (engineering assumption).
pub const PAIR_M: f64 = 0.5;

/// Clear floor between the start line and the first pair that waits, in metres (engineering assumption).
pub const BEHIND_START_M: f64 = 0.5;

/// Extra room between lanes, when the floor has it, goes no further than this per lane, in metres: the coach must
/// still see them all (engineering assumption).
const SPREAD_MAX_M: f64 = 1.0;

/// Lengths on the floor are compared to within this, in metres: a tenth of a millimetre is no misfit.
const ROUNDING_M: f64 = 1e-4;

/// What one drill asks of a lane.
#[derive(Debug, Clone, PartialEq)]
pub struct DrillAsk {
    /// Which drill.
    pub drill: DrillId,
    /// Walked, not run.
    pub walk: bool,
    /// Run both ways between the ends.
    pub both_ways: bool,
    /// Needs a clear strip beside the hurdles.
    pub side_strip: bool,
    /// Steps of run-up.
    pub run_up_steps: u32,
    /// Step of the lane's children in this drill, in metres.
    pub step_m: f64,
    /// Speed as a share of top speed; of no account where `walk`.
    pub effort: f64,
}

impl DrillAsk {
    /// Returns what a drill of the ladder asks, with the step of the lane's children.
    ///
    /// An effort above the highest that the drill is meant for counts as that highest.
    pub fn new(drill: &Drill, step_m: f64, effort: Option<f64>) -> Self {
        Self {
            drill: drill.id.clone(),
            walk: drill.walk,
            both_ways: drill.both_ways,
            side_strip: drill.needs_side_strip(),
            run_up_steps: drill.run_up_steps,
            step_m,
            effort: effort.unwrap_or(drill.effort).min(drill.effort_max),
        }
    }

    /// Returns whether a sprint may follow the last hurdle: only after drills that are run one way.
    pub fn may_sprint(&self) -> bool {
        !self.walk && !self.both_ways
    }
}

/// What is asked of one lane.
#[derive(Debug, Clone, PartialEq)]
pub struct LaneAsk {
    /// Children who share it.
    pub children: u32,
    /// Hurdles in it.
    pub hurdles: u32,
    /// The longest gap that will stand, in metres.
    pub gap_m: f64,
    /// Top speed of the fastest child of the lane, in metres per second.
    pub v_max_mps: f64,
    /// The drills that will be done in it; at least one.
    pub drills: Vec<DrillAsk>,
    /// The run-up of a lane that stands already, in metres; absent: it follows from the steps of the children.
    pub run_up_m: Option<f64>,
}

/// Everything that decides how lanes lie on a floor.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteAsk {
    /// The lanes, left to right.
    pub lanes: Vec<LaneAsk>,
    /// Sprint after the last hurdle, in metres; 0 for none.
    pub exit_sprint_m: f64,
    /// Most steps of run-up that running drills get, when the floor is short.
    pub run_up_steps_max: Option<u32>,
    /// Width of a hurdle, in metres.
    pub hurdle_width_m: f64,
    /// What the floor is made of.
    pub surface: Surface,
    /// The floor, when its size is known.
    pub space: Option<Space>,
}

/// How lanes lie on a floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// Lengths and widths of each lane.
    pub parts: Vec<LaneParts>,
    /// Where they stand, when a floor was given. Lanes that do not fit stand over its edge.
    pub floor: Option<Floor>,
    /// Whether everything stands on the floor with its stopping room; `true` when no floor was given.
    pub fits: bool,
    /// What is missing in length, in metres; 0 when it fits.
    pub short_length_m: f64,
    /// What is missing in width, in metres; 0 when it fits.
    pub short_width_m: f64,
}

/// Returns the deceleration that stopping rooms on a surface are planned with, in metres per second squared.
pub fn deceleration_mps2(surface: Surface) -> f64 {
    match surface {
        Surface::Slippery => DECELERATION_SLIPPERY_MPS2,
        Surface::Hall | Surface::Track | Surface::Grass | Surface::Hard => DECELERATION_MPS2,
    }
}

/// Returns the room behind the start line for the children of one lane, of whom one is running, in metres.
pub fn waiting_room_m(children: u32) -> f64 {
    let pairs = children.saturating_sub(1).div_ceil(2);
    BEHIND_START_M + PAIR_M * f64::from(pairs.max(1))
}

/// Returns the whole length of a lane, from the back of the waiting room to the end of the clear margin, in metres.
pub fn length_m(parts: &LaneParts) -> f64 {
    before_start_m(parts) + after_start_m(parts)
}

/// Returns the lengths and widths of one lane. The floor's size has no part in them.
///
/// Start marks and run-up are rounded to what one lays with a tape: the run-up up to a tenth of a metre, the second
/// mark to 5 cm.
pub fn parts(ask: &SiteAsk, lane: &LaneAsk) -> LaneParts {
    let deceleration_mps2 = deceleration_mps2(ask.surface);
    let run_mps = |drill: &DrillAsk| if drill.walk { WALK_MPS } else { drill.effort * lane.v_max_mps };
    let fastest = |drills: &mut dyn Iterator<Item = &DrillAsk>| drills.map(run_mps).fold(0.0, f64::max);
    let longest = |length: &dyn Fn(&DrillAsk) -> f64| lane.drills.iter().map(length).fold(0.0, f64::max);

    let from_steps_m = longest(&|drill| {
        if !drill.may_sprint() {
            return WALK_RUN_UP_M;
        }
        let steps = ask.run_up_steps_max.map_or(drill.run_up_steps, |max| drill.run_up_steps.min(max));
        (f64::from(steps) * drill.step_m).max(WALK_RUN_UP_M)
    });
    let run_up_m = lane.run_up_m.unwrap_or(from_steps_m).max(WALK_RUN_UP_M);
    // Side-steps start where they stand: there is no other leg to lead with.
    let second_start_m = longest(&|drill| match (drill.both_ways, drill.walk) {
        (true, _) => 0.0,
        (false, true) => WALK_RUN_UP_M / 2.0,
        (false, false) => drill.step_m.clamp(WALK_RUN_UP_M / 2.0, run_up_m),
    });

    let sprints = sprint_m(ask, lane) > 0.0;
    let before_mps = fastest(&mut lane.drills.iter());
    let (exit_m, exit_speed_mps) = if sprints {
        let from_mps = fastest(&mut lane.drills.iter().filter(|drill| drill.may_sprint()));
        let after_mps = sprint_speed_mps(from_mps, lane.v_max_mps, SPRINT_TIME_CONSTANT_S, ask.exit_sprint_m);
        (ask.exit_sprint_m, after_mps.max(before_mps))
    } else {
        let run_on_m = longest(&|drill| {
            if drill.may_sprint() { f64::from(RUN_ON_STEPS) * drill.step_m } else { WALK_EXIT_M }
        });
        (run_on_m, before_mps)
    };
    let back_mps = fastest(&mut lane.drills.iter().filter(|drill| drill.both_ways));
    let start_stopping_m =
        if back_mps > 0.0 { stopping_room_m(back_mps, deceleration_mps2, 0.0) + MARGIN_M } else { 0.0 };

    LaneParts {
        waiting_m: waiting_room_m(lane.children),
        start_stopping_m,
        second_start_m: (second_start_m * 20.0).round() / 20.0,
        run_up_m: (run_up_m * 10.0 - ROUNDING_M).ceil() / 10.0,
        hurdles_m: f64::from(lane.hurdles.saturating_sub(1)) * lane.gap_m,
        exit_m,
        stopping_m: stopping_room_m(exit_speed_mps, deceleration_mps2, 0.0),
        margin_m: MARGIN_M,
        exit_speed_mps,
        width_m: ask.hurdle_width_m + 2.0 * BESIDE_HURDLE_M,
        side_strip_m: if lane.drills.iter().any(|drill| drill.side_strip) { SIDE_STRIP_M } else { 0.0 },
        way_back_m: WAY_BACK_M,
    }
}

/// Places lanes on the floor and says whether they fit.
///
/// Lanes stand side by side, start lines level; with a sprint after the last hurdle they are race lanes, and the last
/// hurdles are level instead. Length to spare goes to the finish, width to spare between the lanes.
pub fn arrange(ask: &SiteAsk) -> Arrangement {
    let parts: Vec<LaneParts> = ask.lanes.iter().map(|lane| parts(ask, lane)).collect();
    let Some(space) = &ask.space else {
        return Arrangement { parts, floor: None, fits: true, short_length_m: 0.0, short_width_m: 0.0 };
    };
    let race = ask.lanes.iter().any(|lane| sprint_m(ask, lane) > 0.0);
    // What stands before and behind the line at which the lanes are level.
    let level_m = |part: &LaneParts| if race { part.run_up_m + part.hurdles_m } else { 0.0 };
    let before_m = parts.iter().map(|part| before_start_m(part) + level_m(part)).fold(0.0, f64::max);
    let behind_m = parts.iter().map(|part| after_start_m(part) - level_m(part)).fold(0.0, f64::max);
    let needed_length_m = before_m + behind_m;
    let gap_m = lane_gap_m(ask.lanes.iter().flat_map(|lane| &lane.drills));
    let needed_width_m = width_m(space, gap_m, parts.iter());

    let lane_count = parts.len() as f64;
    let spread_m = ((space.width_m - needed_width_m) / (lane_count + 1.0)).clamp(0.0, SPREAD_MAX_M);
    let over_m = (space.width_m - needed_width_m - spread_m * lane_count).max(0.0);
    let mut y_m = over_m / 2.0 + if space.wall_left { WALL_CLEAR_M } else { 0.0 };
    let mut places = Vec::with_capacity(parts.len());
    for part in &parts {
        let left_y_m = y_m + part.side_strip_m;
        let right_y_m = left_y_m + part.width_m;
        places.push(LanePlace { start_x_m: before_m - level_m(part), left_y_m, right_y_m });
        y_m = right_y_m + gap_m.max(part.way_back_m) + spread_m;
    }
    let short_length_m = (needed_length_m - space.length_m).max(0.0);
    let short_width_m = (needed_width_m - space.width_m).max(0.0);
    Arrangement {
        parts,
        floor: Some(Floor { space: space.clone(), lanes: places, needed_length_m, needed_width_m }),
        fits: short_length_m <= ROUNDING_M && short_width_m <= ROUNDING_M,
        short_length_m,
        short_width_m,
    }
}

/// Returns how many lanes for these drills stand side by side on a floor; 0 when not even one does.
pub fn lanes_across(drills: &[DrillAsk], hurdle_width_m: f64, space: &Space) -> u32 {
    let lane = LaneParts {
        width_m: hurdle_width_m + 2.0 * BESIDE_HURDLE_M,
        side_strip_m: if drills.iter().any(|drill| drill.side_strip) { SIDE_STRIP_M } else { 0.0 },
        way_back_m: WAY_BACK_M,
        ..LaneParts::default()
    };
    let gap_m = lane_gap_m(drills.iter());
    let fits =
        |count: usize| width_m(space, gap_m, std::iter::repeat_n(&lane, count)) <= space.width_m + ROUNDING_M;
    (1..=LANES_MOST).take_while(|count| fits(*count as usize)).last().unwrap_or(0)
}

/// No floor gives more lanes than this: beyond it letters and oversight end.
pub const LANES_MOST: u32 = 26;

/// Returns the floor as it lies for running along its width, from the left side to the right.
pub fn turned(space: &Space) -> Space {
    Space {
        length_m: space.width_m,
        width_m: space.length_m,
        surface: space.surface,
        wall_start: space.wall_left,
        wall_finish: space.wall_right,
        wall_left: space.wall_finish,
        wall_right: space.wall_start,
    }
}

/// Returns the sprint that really follows the last hurdle of a lane, in metres.
fn sprint_m(ask: &SiteAsk, lane: &LaneAsk) -> f64 {
    if lane.drills.iter().any(DrillAsk::may_sprint) { ask.exit_sprint_m } else { 0.0 }
}

fn before_start_m(parts: &LaneParts) -> f64 {
    parts.waiting_m + parts.start_stopping_m
}

fn after_start_m(parts: &LaneParts) -> f64 {
    parts.run_up_m + parts.hurdles_m + parts.exit_m + parts.stopping_m + parts.margin_m
}

fn lane_gap_m<'a>(mut drills: impl Iterator<Item = &'a DrillAsk>) -> f64 {
    if drills.any(|drill| drill.both_ways) { LANE_GAP_BOTH_WAYS_M } else { LANE_GAP_M }
}

/// Width that lanes need side by side: the last one keeps its way back, which also keeps it clear of a wall.
fn width_m<'a>(space: &Space, gap_m: f64, lanes: impl Iterator<Item = &'a LaneParts>) -> f64 {
    let mut width_m = if space.wall_left { WALL_CLEAR_M } else { 0.0 };
    let mut last_gap_m = 0.0;
    let mut last_way_back_m: f64 = 0.0;
    for lane in lanes {
        last_gap_m = gap_m.max(lane.way_back_m);
        last_way_back_m = lane.way_back_m;
        width_m += lane.side_strip_m + lane.width_m + last_gap_m;
    }
    let beside_m = if space.wall_right { last_way_back_m.max(WALL_CLEAR_M) } else { last_way_back_m };
    width_m - last_gap_m + beside_m
}

#[cfg(test)]
mod tests;
