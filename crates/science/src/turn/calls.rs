//! When to call: times that nobody can foresee.

use serde::{Deserialize, Serialize};

use crate::seeded::Seeded;

/// Longest bout, seconds: a free one ends here at the latest (as in the run file).
pub const CALL_LENGTH_MAX_S: f64 = 600.0;
/// Shortest time from one call to the next, seconds (engineering assumption: to brake, turn in one step and be under
/// way again, and no faster, so that nobody turns on a planted leg).
pub const GAP_MIN_S: f64 = 1.2;
/// Mean time from call to call in a bout of up to five seconds, and in longer ones (engineering assumptions).
const GAP_MEAN_SHORT_S: f64 = 2.0;
const GAP_MEAN_S: f64 = 4.0;
/// Bouts up to this length count as short, seconds.
const SHORT_S: f64 = 7.0;

/// What calls are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CallAsk {
    /// Length of the bout, seconds; none for a free one, which gets calls for [`CALL_LENGTH_MAX_S`].
    pub length_s: Option<f64>,
    /// Shortest time from call to call, from the start to the first and from the last to the end: seconds, above 0.
    pub gap_min_s: f64,
    /// Mean time from call to call, seconds; greater than the shortest.
    pub gap_mean_s: f64,
}

impl CallAsk {
    /// Returns what suits a bout of that length.
    pub fn of_length(length_s: Option<f64>) -> Self {
        let short = length_s.is_some_and(|length_s| length_s <= SHORT_S);
        let gap_mean_s = if short { GAP_MEAN_SHORT_S } else { GAP_MEAN_S };
        Self { length_s, gap_min_s: GAP_MIN_S, gap_mean_s }
    }
}

/// Calls that cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CallError {
    /// The length is no length.
    #[error("the bout is {provided} s long; allowed is above 0 up to 600 s, or none for a free one")]
    Length {
        /// As given, seconds.
        provided: f64,
    },
    /// The gaps are no gaps.
    #[error(
        "calls {gap_min_s} s apart at least and {gap_mean_s} s on average: both above 0, the average greater"
    )]
    Gaps {
        /// As given, seconds.
        gap_min_s: f64,
        /// As given, seconds.
        gap_mean_s: f64,
    },
}

/// Returns the times of the calls in seconds from the start of the bout, rising; the same seed gives the same calls.
///
/// A bout that is too short for a call gets none, and chance may leave one without a call: a call that must come
/// could be foreseen.
///
/// # Formula
/// After the shortest gap has passed, a call comes with the same chance in every moment, whatever happened before:
/// gap = shortest + exponential of mean (mean − shortest). No call comes later than the shortest gap before the end,
/// so that every turn can be made.
///
/// # Errors
/// When length or gaps are out of range.
pub fn calls(ask: &CallAsk, seed: u64) -> Result<Vec<f64>, CallError> {
    let length_s = ask.length_s.unwrap_or(CALL_LENGTH_MAX_S);
    if !(length_s > 0.0 && length_s <= CALL_LENGTH_MAX_S) {
        return Err(CallError::Length { provided: length_s });
    }
    let CallAsk { gap_min_s, gap_mean_s, .. } = *ask;
    if !(gap_min_s > 0.0 && gap_mean_s > gap_min_s && gap_mean_s.is_finite()) {
        return Err(CallError::Gaps { gap_min_s, gap_mean_s });
    }
    let mut random = Seeded(seed);
    let (mut times, mut now) = (Vec::new(), 0.0);
    loop {
        now += gap_min_s - (gap_mean_s - gap_min_s) * libm::log(random.uniform());
        if now > length_s - gap_min_s {
            return Ok(times);
        }
        times.push(now);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_asks_are_refused() {
        let ask = CallAsk::of_length(Some(10.0));
        for length_s in [0.0, -1.0, 601.0, f64::NAN] {
            assert!(matches!(
                calls(&CallAsk { length_s: Some(length_s), ..ask }, 1),
                Err(CallError::Length { .. })
            ));
        }
        for (gap_min_s, gap_mean_s) in [(0.0, 1.0), (2.0, 2.0), (1.0, f64::INFINITY), (f64::NAN, 2.0)] {
            let ask = CallAsk { gap_min_s, gap_mean_s, ..ask };
            assert!(matches!(calls(&ask, 1), Err(CallError::Gaps { .. })), "{ask:?}");
        }
    }
}
