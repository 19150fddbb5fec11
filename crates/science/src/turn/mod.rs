//! Sideways bouts with turns on call: when to call, who with whom, how the lanes lie, and what the bouts showed.
//!
//! A bout is a shuttle of 5 to 30 seconds, or free, through low hurdles, sideways; at each call the child turns within
//! one step and goes back, facing the other way. Method page: `docs/methods/turn.md`.

mod bouts;
mod calls;
mod clocks;
mod drop;
mod lateral;
mod matching;
mod pairs;

pub use bouts::{BoutSeen, BoutSummary, Fall, per_ten_seconds, summarise};
pub use calls::{CALL_LENGTH_MAX_S, CallAsk, CallError, GAP_MIN_S, calls};
pub use clocks::{
    ClockError, ClockOffset, DRIFT_MAX_PPM, Exchange, Phone, Stamp, TimeBetween, clock_offset, time_between,
};
pub use drop::{DropOff, drop_off, noise_floor};
pub use lateral::{
    BothWays, LateralAsk, LateralLane, LateralSetup, Pass, Side, Way, gives_way_both_ways, lateral_setup,
    passes,
};
pub use pairs::{Child, Pairing, pairs};

/// Name and version of the method.
pub const METHOD: &str = "turn/1";
