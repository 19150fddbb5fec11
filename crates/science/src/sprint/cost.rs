//! What the hurdles cost: hurdled against flat over the same two marks.

use lanewright_model::Estimate;
use serde::{Deserialize, Serialize};

use super::METHOD;
use crate::change::TypicalError;
use crate::normal::Z_95;

/// Time that the hurdles of a lane take.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HurdlesCost {
    /// Hurdled minus flat, seconds.
    pub seconds: Estimate,
    /// The same for one hurdle.
    pub per_hurdle_s: Estimate,
    /// The same as a share of the flat time.
    pub share: Estimate,
}

/// Returns what the hurdles cost one child; nothing when either list is empty or there is no hurdle.
///
/// Both lists hold times over the same two marks, in seconds. `error` is the typical error of one such time, timing
/// included.
///
/// # Formula
/// Difference of the means; its variance is e² (1/n + 1/m). The share's interval is that of the difference over the
/// mean flat time, whose own error is of second order.
pub fn hurdles_cost(
    flat_s: &[f64],
    hurdled_s: &[f64],
    hurdles: u32,
    error: &TypicalError,
) -> Option<HurdlesCost> {
    if flat_s.is_empty() || hurdled_s.is_empty() || hurdles == 0 {
        return None;
    }
    let mean = |times: &[f64]| times.iter().sum::<f64>() / times.len() as f64;
    let (flat, hurdled) = (mean(flat_s), mean(hurdled_s));
    let sd = error.value * (1.0 / flat_s.len() as f64 + 1.0 / hurdled_s.len() as f64).sqrt();
    let n = (flat_s.len() + hurdled_s.len()) as u32;
    let scaled = |by: f64| Estimate {
        median: (hurdled - flat) / by,
        low: (hurdled - flat - Z_95 * sd) / by,
        high: (hurdled - flat + Z_95 * sd) / by,
        n,
        method: METHOD.to_owned(),
    };
    Some(HurdlesCost { seconds: scaled(1.0), per_hurdle_s: scaled(f64::from(hurdles)), share: scaled(flat) })
}
