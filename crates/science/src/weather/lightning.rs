//! When to go inside, and when to come out again.

use jiff::{SignedDuration, Timestamp};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{WeatherError, range};

/// Flash to bang up to which the 30/30 rule sends everybody inside, in seconds.
pub const FLASH_TO_BANG_S: f64 = 30.0;

/// Time inside after the last thunder, in minutes.
pub const RESUME_AFTER_MIN: i64 = 30;

/// Thunder takes five seconds for a mile, as the rule counts.
const SECONDS_PER_MILE: f64 = 5.0;

const METRES_PER_MILE: f64 = 1609.344;

/// Which rule counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LightningRule {
    /// Any thunder: inside. The simpler and the stricter one.
    #[default]
    AnyThunder,
    /// Thunder within 30 s of the flash: inside. Thunder whose flash nobody timed counts as close.
    ThirtyThirty,
}

/// Thunder that was heard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Thunder {
    /// When.
    pub at: Timestamp,
    /// Seconds from the flash, when somebody counted.
    pub flash_to_bang_s: Option<f64>,
}

/// Where everybody should be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sky {
    /// Nothing keeps the class inside.
    Open,
    /// Inside.
    Inside {
        /// The thunder that counts: the last one.
        last: Timestamp,
        /// When it is over, unless it thunders again.
        resume_at: Timestamp,
    },
}

/// Returns how far away the flash was, in metres; `flash_to_bang_s` 0 to 300.
///
/// # Formula
/// Five seconds a mile.
///
/// # Errors
/// A count out of its range.
pub fn storm_distance_m(flash_to_bang_s: f64) -> Result<f64, WeatherError> {
    range("flash_to_bang_s", flash_to_bang_s, 0.0, 300.0, "0 to 300 s")?;
    Ok(flash_to_bang_s / SECONDS_PER_MILE * METRES_PER_MILE)
}

/// Returns where everybody should be at `now`, from all thunder heard so far, in any order.
///
/// Each thunder starts the 30 minutes again; under the 30/30 rule one that was far away does not send anybody inside,
/// but it keeps inside who is there. Thunder after `now` is not known yet.
pub fn lightning(heard: &[Thunder], now: Timestamp, rule: LightningRule) -> Sky {
    let mut known: Vec<&Thunder> = heard.iter().filter(|thunder| thunder.at <= now).collect();
    known.sort_by_key(|thunder| thunder.at);
    let mut sky = Sky::Open;
    for thunder in known {
        // A count that is no number was not counted: it counts as close.
        let far = thunder.flash_to_bang_s.is_some_and(|seconds| seconds > FLASH_TO_BANG_S);
        let inside_then = matches!(sky, Sky::Inside { resume_at, .. } if thunder.at < resume_at);
        if rule == LightningRule::AnyThunder || !far || inside_then {
            let resume_at =
                thunder.at.checked_add(SignedDuration::from_mins(RESUME_AFTER_MIN)).unwrap_or(Timestamp::MAX);
            sky = Sky::Inside { last: thunder.at, resume_at };
        }
    }
    match sky {
        Sky::Inside { resume_at, .. } if now < resume_at => sky,
        _ => Sky::Open,
    }
}

/// Returns one sentence on where everybody should be at `now`.
pub fn lightning_note(sky: Sky, now: Timestamp) -> Message {
    match sky {
        Sky::Open => Message::new("weather-lightning-open"),
        Sky::Inside { resume_at, .. } => {
            const MILLISECONDS_PER_MINUTE: i64 = 60_000;
            let left = resume_at.as_millisecond().saturating_sub(now.as_millisecond()).max(0);
            // Rounded up: nobody comes out too early.
            let minutes = (left + MILLISECONDS_PER_MINUTE - 1) / MILLISECONDS_PER_MINUTE;
            Message::new("weather-lightning-inside").with("minutes", Arg::Count(minutes))
        }
    }
}
