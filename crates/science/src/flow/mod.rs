//! How many runs fit: queue, waits, fallen hurdles, runs and contacts per child per minute.
//!
//! [`flow`] is a closed form for one lane; [`what_would_help`] says what would keep a whole class moving more;
//! [`learn_interval`] takes the pace from the lesson's own runs; [`setters`] says who stands hurdles up when. Method
//! page: `docs/methods/flow.md`.

mod help;
mod learn;
mod roster;
#[cfg(test)]
mod tests;

use lanewright_model::run::LANE_HURDLES_MAX;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::contacts::{self, RunSteps};

pub use help::{
    BeforeAfter, Change, FOLLOW_FROM_SHARE, Help, JOG_BACK_MPS, LaneAsk, Room, follow_from, what_would_help,
    what_would_help_over,
};
pub use learn::{CLASS_SD_LN, GAP_CV, LEARN_METHOD, LaneStarts, LearnedPace, PAUSE_FACTOR, learn_interval};
pub use roster::{Roster, RosterAsk, SetterTurn, TURN_RUNS, setters};

/// Name and version of the method.
pub const METHOD: &str = "flow/1";

/// Share of the time that public health agencies ask children to be moving in a lesson: at least half, in moderate
/// to vigorous activity (value from memory).
pub const MOVING_SHARE_ASKED: f64 = 0.5;

const SECONDS_PER_MINUTE: f64 = 60.0;

/// When the next child may start.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StartRule {
    /// The lane is clear and every hurdle stands again.
    #[default]
    Clear,
    /// The one before has passed that hurdle. Needs a setter on each side, and the school's rules must allow it.
    Follow {
        /// Which hurdle, counted from 1.
        hurdle: u32,
    },
}

/// The times that no tape measures: all engineering assumptions, all to be overridden by what a class really does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Paces {
    /// What getting up to speed costs a run, in seconds.
    pub lag_run_s: f64,
    /// What getting up to speed costs a walk, in seconds.
    pub lag_walk_s: f64,
    /// Speed of the way back, in metres per second.
    pub walk_back_mps: f64,
    /// From coming back to being ready on the mark, in seconds.
    pub ready_s: f64,
    /// To stand one fallen hurdle up, in seconds.
    pub reset_s_per_hurdle: f64,
    /// Extra pause before a child follows another into the lane, in seconds.
    pub follow_pause_s: f64,
}

impl Default for Paces {
    fn default() -> Self {
        Self {
            lag_run_s: 1.1,
            lag_walk_s: 0.4,
            walk_back_mps: 1.3,
            ready_s: 3.0,
            reset_s_per_hurdle: 4.0,
            follow_pause_s: 0.5,
        }
    }
}

impl Paces {
    /// Returns what getting up to speed costs, in seconds.
    pub fn lag_s(&self, walk: bool) -> f64 {
        if walk { self.lag_walk_s } else { self.lag_run_s }
    }

    /// Checks that every pace is one that children can have.
    ///
    /// # Errors
    /// Names the number, what stood there and what may.
    pub fn check(&self) -> Result<(), FlowError> {
        range("lag_run_s", self.lag_run_s, 0.0, 10.0, "0 to 10 s")?;
        range("lag_walk_s", self.lag_walk_s, 0.0, 10.0, "0 to 10 s")?;
        range("walk_back_mps", self.walk_back_mps, 0.3, 6.0, "0.3 to 6 m/s")?;
        range("ready_s", self.ready_s, 0.0, 120.0, "0 to 120 s")?;
        range("reset_s_per_hurdle", self.reset_s_per_hurdle, 0.0, 60.0, "0 to 60 s")?;
        range("follow_pause_s", self.follow_pause_s, 0.0, 30.0, "0 to 30 s")
    }
}

/// One lane and the children who share it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LaneFlow {
    /// Children who take turns in it, 1 to 100.
    pub children: u32,
    /// Start line to first hurdle, in metres, 0 to 100. For a run without hurdles the whole way.
    pub run_up_m: f64,
    /// Hurdles in it, 0 to 64.
    pub hurdles: u32,
    /// One hurdle to the next, in metres, 0 to 20.
    pub gap_m: f64,
    /// Last hurdle to exit line, in metres, 0 to 100.
    pub exit_m: f64,
    /// Exit line to where the way back begins, in metres, 0 to 100: the stopping room.
    pub run_out_m: f64,
    /// Speed through the lane, in metres per second, 0.2 to 13.
    pub speed_mps: f64,
    /// What getting up to speed costs, in seconds, 0 to 10; see [`Paces::lag_s`].
    pub lag_s: f64,
    /// Expected share of the hurdles that stand after a run, 0 to 1.
    pub clean_rate: f64,
    /// When the next child may start.
    pub start: StartRule,
    /// Children walk back to the start; `false` for drills that run both ways, whose way back is the next run.
    pub walk_back: bool,
    /// Foot contacts of one run.
    pub contacts: RunSteps,
}

/// A number out of its range.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{field} is {provided}; allowed is {allowed}")]
pub struct FlowError {
    /// The field.
    pub field: &'static str,
    /// What stood there.
    pub provided: f64,
    /// What may stand there.
    pub allowed: &'static str,
}

pub(crate) fn range(
    field: &'static str,
    provided: f64,
    low: f64,
    high: f64,
    allowed: &'static str,
) -> Result<(), FlowError> {
    // Written so that a number that is none (NaN) is refused as well.
    if provided >= low && provided <= high { Ok(()) } else { Err(FlowError { field, provided, allowed }) }
}

impl LaneFlow {
    /// Returns the way from the start line to hurdle `number`, counted from 1, in metres; to the end of the run-up
    /// for 0 and 1.
    pub fn to_hurdle_m(&self, number: u32) -> f64 {
        self.run_up_m + f64::from(number.saturating_sub(1)) * self.gap_m
    }

    /// Returns the way from the start line to the exit line, in metres.
    pub fn length_m(&self) -> f64 {
        self.to_hurdle_m(self.hurdles) + self.exit_m
    }

    /// Checks that every number is one that a lane can have.
    ///
    /// # Errors
    /// Names the number, what stood there and what may.
    pub fn check(&self) -> Result<(), FlowError> {
        range("children", f64::from(self.children), 1.0, 100.0, "1 to 100")?;
        range("run_up_m", self.run_up_m, 0.0, 100.0, "0 to 100 m")?;
        range("hurdles", f64::from(self.hurdles), 0.0, f64::from(LANE_HURDLES_MAX), "0 to 64")?;
        range("gap_m", self.gap_m, 0.0, 20.0, "0 to 20 m")?;
        range("exit_m", self.exit_m, 0.0, 100.0, "0 to 100 m")?;
        range("run_out_m", self.run_out_m, 0.0, 100.0, "0 to 100 m")?;
        range("speed_mps", self.speed_mps, 0.2, 13.0, "0.2 to 13 m/s")?;
        range("lag_s", self.lag_s, 0.0, 10.0, "0 to 10 s")?;
        range("clean_rate", self.clean_rate, 0.0, 1.0, "0 to 1")?;
        range(
            "length_m",
            self.length_m(),
            0.5,
            f64::INFINITY,
            "half a metre or more of run-up, gaps and exit",
        )?;
        if let StartRule::Follow { hurdle } = self.start {
            let last = f64::from(self.hurdles);
            range("start.hurdle", f64::from(hurdle), 1.0, last, "1 to the number of hurdles in the lane")?;
        }
        Ok(())
    }
}

/// What one lane gives its children.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Flow {
    /// One run, start line to exit line, in seconds.
    pub run_s: f64,
    /// The way back, in seconds; 0 for drills that run both ways.
    pub back_s: f64,
    /// Standing up what one run knocked down on average, in seconds.
    pub reset_s: f64,
    /// Shortest time from one child's start to the next child's, in seconds.
    pub start_gap_s: f64,
    /// Run, way back and getting ready, in seconds.
    pub cycle_s: f64,
    /// From one start of a child to that child's next, in seconds.
    pub interval_s: f64,
    /// Runs of each child in a minute.
    pub runs_per_min: f64,
    /// Share of the time in which a child runs or walks back, 0 to 1.
    pub moving_share: f64,
    /// What is left of the interval: waiting and getting ready, in seconds.
    pub wait_s: f64,
    /// Foot contacts of one run.
    pub contacts_per_run: u32,
    /// Foot contacts of each child in a minute.
    pub contacts_per_min: f64,
    /// Children running, coming back or getting ready at a time, on average; the others wait.
    pub in_cycle: f64,
}

impl Flow {
    /// Returns the same lane when each child starts so many times less often than the model says: the way through and
    /// back stays, the waits change.
    #[must_use]
    pub fn slowed(&self, factor: f64) -> Self {
        let interval_s = self.interval_s * factor;
        Self {
            start_gap_s: self.start_gap_s * factor,
            interval_s,
            runs_per_min: self.runs_per_min / factor,
            moving_share: (self.moving_share / factor).min(1.0),
            wait_s: (interval_s - self.run_s - self.back_s).max(0.0),
            contacts_per_min: self.contacts_per_min / factor,
            in_cycle: self.in_cycle / factor,
            ..*self
        }
    }

    /// Returns for how many starts, counted from its own, a child is busy and cannot do a job beside the lane.
    pub fn busy_starts(&self) -> u32 {
        // A child that is back a rounding error after a start is back at it.
        (self.in_cycle - 1e-9).ceil().max(1.0) as u32
    }

    /// Returns one sentence on how much of the time a child moves, with what is asked of a lesson.
    pub fn moving_note(&self) -> Message {
        moving_note(self.moving_share)
    }
}

/// Returns one sentence on how much of the time children move, beside the half that is asked of a lesson.
pub fn moving_note(moving_share: f64) -> Message {
    let id = if moving_share >= MOVING_SHARE_ASKED { "flow-moving-half" } else { "flow-moving-less" };
    Message::new(id).with("share", Arg::Share(moving_share)).with("asked", Arg::Share(MOVING_SHARE_ASKED))
}

/// Returns how a lane flows once everybody has run at least once.
///
/// # Formula
/// With the lane's length L = run-up + (H − 1) gap + exit:
/// run = L / v + lag; back = (L + run-out) / walk-back speed; reset = 4 s · H (1 − c); cycle = run + back + ready;
/// start gap = (run-up + (H − 1) gap) / v + lag + reset on a clear lane, or (run-up + (k − 1) gap) / v + lag + pause +
/// reset when following at hurdle k; interval = max(N · start gap, cycle); moving share = (run + back) / interval;
/// children in the cycle = N · cycle / interval (Little's law).
///
/// # Errors
/// Names the number that is out of its range.
///
/// # Accuracy
/// Exact for times that do not vary (a discrete-event simulation agrees to rounding). Where times vary it is a
/// bound that is never beaten on average; `docs/methods/flow.md` says how far below it such a lane runs.
pub fn flow(lane: &LaneFlow, paces: &Paces) -> Result<Flow, FlowError> {
    lane.check()?;
    paces.check()?;
    let run_s = lane.length_m() / lane.speed_mps + lane.lag_s;
    let back_s = if lane.walk_back { (lane.length_m() + lane.run_out_m) / paces.walk_back_mps } else { 0.0 };
    let reset_s = paces.reset_s_per_hurdle * f64::from(lane.hurdles) * (1.0 - lane.clean_rate);
    let (passed, pause_s) = match lane.start {
        StartRule::Clear => (lane.hurdles, 0.0),
        StartRule::Follow { hurdle } => (hurdle, paces.follow_pause_s),
    };
    let start_gap_s = lane.to_hurdle_m(passed) / lane.speed_mps + lane.lag_s + pause_s + reset_s;
    let cycle_s = run_s + back_s + paces.ready_s;
    let children = f64::from(lane.children);
    let interval_s = (children * start_gap_s).max(cycle_s);
    let runs_per_min = SECONDS_PER_MINUTE / interval_s;
    let contacts_per_run = contacts::per_run(lane.hurdles, lane.contacts);
    Ok(Flow {
        run_s,
        back_s,
        reset_s,
        start_gap_s,
        cycle_s,
        interval_s,
        runs_per_min,
        moving_share: (run_s + back_s) / interval_s,
        wait_s: interval_s - run_s - back_s,
        contacts_per_run,
        contacts_per_min: f64::from(contacts_per_run) * runs_per_min,
        in_cycle: children * cycle_s / interval_s,
    })
}
