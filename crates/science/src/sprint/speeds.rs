//! Mean speeds over a stretch between two marks, with what the clock and the tape leave open.

use serde::{Deserialize, Serialize};

use super::{Mark, MarksError, Timing};
use crate::normal::Z_95;

/// Mean speed over one stretch, with its 90 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Speed {
    /// Where the stretch begins, metres.
    pub from_m: f64,
    /// Where it ends.
    pub to_m: f64,
    /// Length over time, metres per second.
    pub speed_mps: f64,
    /// 5th percentile.
    pub low_mps: f64,
    /// 95th percentile; none when the stretch is so short for this timing that no speed is too high.
    pub high_mps: Option<f64>,
}

/// Returns the mean speed between two marks that the runner passed with the clock running: a flying speed.
///
/// # Formula
/// Fieller's interval for the ratio of two normal quantities (Journal of the Royal Statistical Society B 16:175-185,
/// 1954): all v with (x − v t)² ≤ z² (σₓ² + v² σₜ²), where σₓ² is twice the variance of one tape mark and σₜ² twice
/// that of one time.
///
/// # Errors
/// When the marks are not in rising order.
pub fn speed_between(from: &Mark, to: &Mark, timing: &Timing) -> Result<Speed, MarksError> {
    super::rising(0, Some(from), to)?;
    Ok(ratio(from, to, timing.tape_sd_m, 2.0 * timing.sd_s * timing.sd_s))
}

/// Returns the mean speed from the start of the clock to a mark.
pub(super) fn speed_from_start(to: &Mark, timing: &Timing) -> Speed {
    let variance = timing.sd_s * timing.sd_s + timing.start_sd_s * timing.start_sd_s;
    ratio(&Mark { distance_m: 0.0, time_s: 0.0 }, to, timing.tape_sd_m, variance)
}

/// Returns the speed in the exit sprint: from the mark at the last hurdle to one beyond it.
///
/// The same sum as [`speed_between`]; its name says which stretch is meant.
///
/// # Errors
/// When the marks are not in rising order.
pub fn exit_speed(last_hurdle: &Mark, beyond: &Mark, timing: &Timing) -> Result<Speed, MarksError> {
    speed_between(last_hurdle, beyond, timing)
}

fn ratio(from: &Mark, to: &Mark, tape_sd_m: f64, time_variance: f64) -> Speed {
    let (length_m, seconds) = (to.distance_m - from.distance_m, to.time_s - from.time_s);
    let length_variance = 2.0 * tape_sd_m * tape_sd_m;
    let a = seconds * seconds - Z_95 * Z_95 * time_variance;
    let b = length_m * seconds;
    let c = (length_m * length_m - Z_95 * Z_95 * length_variance).max(0.0);
    let root = (b * b - a * c).max(0.0).sqrt();
    // The smaller root without cancellation; it is the only positive one when the time may be nothing at all.
    let low_mps = c / (b + root);
    let high_mps = (a > 0.0).then(|| (b + root) / a);
    Speed { from_m: from.distance_m, to_m: to.distance_m, speed_mps: length_m / seconds, low_mps, high_mps }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seeded::Seeded;

    #[test]
    fn the_interval_holds_the_true_speed_in_nine_of_ten() {
        let mut random = Seeded(5);
        let timing = Timing { sd_s: 0.1, start_sd_s: 0.0, tape_sd_m: 0.02 };
        let (mut held, rounds) = (0, 20_000);
        for _ in 0..rounds {
            let mut mark = |x: f64| Mark {
                distance_m: x + timing.tape_sd_m * random.normal(),
                time_s: x / 5.0 + timing.sd_s * random.normal(),
            };
            let speed = speed_between(&mark(5.0), &mark(10.0), &timing).unwrap();
            held += u32::from(speed.low_mps <= 5.0 && speed.high_mps.is_none_or(|high| high >= 5.0));
        }
        let share = f64::from(held) / f64::from(rounds);
        assert!((share - 0.9).abs() < 0.008, "{share}");
    }

    #[test]
    fn a_stretch_too_short_for_the_timing_has_no_upper_limit() {
        let timing = Timing { sd_s: 0.1, start_sd_s: 0.0, tape_sd_m: 0.01 };
        let mark = |distance_m, time_s| Mark { distance_m, time_s };
        let speed = speed_between(&mark(10.0, 2.0), &mark(11.0, 2.2), &timing).unwrap();
        assert!(speed.high_mps.is_none() && speed.low_mps > 0.0 && speed.low_mps < speed.speed_mps);
    }
}
