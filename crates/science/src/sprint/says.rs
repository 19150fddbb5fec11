//! Refusals in words: why there is no curve, and what would allow one.

use lanewright_model::words::{Arg, Message};

use super::{CURVE_TIMING_SD_MAX_S, FREE_TIMING_SD_MAX_S, Refusal, SPEED_MAX_MPS};

impl Refusal {
    /// Returns why no curve is said.
    pub fn reason(&self) -> Message {
        match *self {
            Refusal::Hurdled => Message::new("sprint-refused-hurdled"),
            Refusal::HandTimes { sd_s } => {
                Message::new("sprint-refused-hand").with("seconds", Arg::Number(sd_s))
            }
            Refusal::TooFast { from_m, to_m, speed_mps } => Message::new("sprint-refused-too-fast")
                .with("from", Arg::MeasuredM(from_m))
                .with("to", Arg::MeasuredM(to_m))
                .with("speed", Arg::Decimals(speed_mps, 1))
                .with("most", Arg::Number(SPEED_MAX_MPS)),
            Refusal::TooFewMarks { marks, .. } => {
                Message::new("sprint-refused-marks").with("marks", Arg::Count(i64::from(marks)))
            }
            Refusal::FreeStartTooCoarse { sd_s } => {
                Message::new("sprint-refused-free").with("seconds", Arg::Number(sd_s))
            }
            Refusal::TauOutOfRange { too_short: true } => Message::new("sprint-refused-tau-short"),
            Refusal::TauOutOfRange { too_short: false } => Message::new("sprint-refused-tau-long"),
            Refusal::TauOpen => Message::new("sprint-refused-tau-open"),
        }
    }

    /// Returns what would allow a curve.
    pub fn remedy(&self) -> Message {
        match *self {
            Refusal::Hurdled => Message::new("sprint-allows-flat"),
            Refusal::HandTimes { .. } => {
                Message::new("sprint-allows-gates").with("seconds", Arg::Number(CURVE_TIMING_SD_MAX_S))
            }
            Refusal::TooFast { .. } => Message::new("sprint-allows-right-times"),
            Refusal::TooFewMarks { needed, .. } => {
                Message::new("sprint-allows-marks").with("needed", Arg::Count(i64::from(needed)))
            }
            Refusal::FreeStartTooCoarse { .. } => {
                Message::new("sprint-allows-declared").with("seconds", Arg::Number(FREE_TIMING_SD_MAX_S))
            }
            Refusal::TauOutOfRange { .. } => Message::new("sprint-allows-start"),
            Refusal::TauOpen => Message::new("sprint-allows-more"),
        }
    }
}
