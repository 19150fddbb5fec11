//! Cadence and step length in running: how fast the feet come at a speed, and so how far apart they land.

use lanewright_model::Sex;

use crate::normal;

/// Leg length from which slow-running cadence no longer falls, in metres: the usual sub-ischial leg length at 12 to
/// 13 years (Fredriks et al. 2005), where Schepens et al. 1998 see it level off.
const LEVEL_LEG_M: f64 = 0.77;

/// Cadence of slow running on grown legs, in steps a second (Schepens, Willems & Cavagna 1998, J Physiol
/// 509:927-940).
const SLOW_GROWN_HZ: f64 = 2.5;

/// How slow-running cadence falls with leg length below that: ln(4/2.5) / ln(0.77/0.357), from 4 Hz at 2 years
/// (same paper; leg length at 2 years from Fredriks).
const SLOW_EXPONENT: f64 = 0.61;

/// Cadence at top speed, in steps a second, at every age (same paper: about 4 Hz).
const FASTEST_HZ: f64 = 4.0;

/// Share of top speed at which speed begins to come from cadence rather than step length (segmented law in adults:
/// 65 to 70 %, PMC8523042).
const BREAK_RATIO: f64 = 0.675;

/// Share of the way from slow to fastest cadence at that break. Engineering assumption that meets the 3.0 Hz seen
/// in adults.
const BREAK_SHARE: f64 = 1.0 / 3.0;

/// Speed below which cadence does not depend on speed, in metres a second: 11 km/h (Schepens et al. 1998).
const LEVEL_SPEED_MPS: f64 = 3.06;

/// That speed is never more than this share of top speed. Engineering assumption, for slow runners.
const LEVEL_RATIO_MAX: f64 = 0.60;

/// Returns the cadence of slow running in steps a second, for a sub-ischial leg length in metres.
///
/// # Formula
/// 2.5 (0.77 / L)^0.61 for L < 0.77 m, else 2.5.
pub fn slow_cadence_hz(leg_length_m: f64) -> f64 {
    if leg_length_m < LEVEL_LEG_M {
        SLOW_GROWN_HZ * libm::pow(LEVEL_LEG_M / leg_length_m, SLOW_EXPONENT)
    } else {
        SLOW_GROWN_HZ
    }
}

/// Returns running cadence in steps a second (one foot contact to the next of the other foot is one step).
///
/// `speed_mps` and `v_max_mps` (the runner's own top speed) are positive, in metres a second; above top speed the
/// cadence of top speed holds. `leg_length_m` is sub-ischial.
///
/// # Formula
/// With r = v / Vmax: level up to r₀ = min(3.06 m/s / Vmax, 0.60), linear to a third of the way to 4 Hz at
/// r = 0.675, linear to 4 Hz at r = 1.
///
/// # Accuracy
/// Within 3 % of the mean cadence of 68 high-school runners at 3.8 m/s (Luedke et al.).
pub fn cadence_hz(speed_mps: f64, v_max_mps: f64, leg_length_m: f64) -> f64 {
    cadence_from_slow_hz(speed_mps, v_max_mps, slow_cadence_hz(leg_length_m))
}

fn cadence_from_slow_hz(speed_mps: f64, v_max_mps: f64, slow_hz: f64) -> f64 {
    // A leg so short that slow cadence would pass 4 Hz belongs to no runner; the curve stays flat there.
    let slow_hz = slow_hz.min(FASTEST_HZ);
    let break_hz = slow_hz + BREAK_SHARE * (FASTEST_HZ - slow_hz);
    let level_ratio = (LEVEL_SPEED_MPS / v_max_mps).min(LEVEL_RATIO_MAX);
    let ratio = (speed_mps / v_max_mps).min(1.0);
    if ratio <= level_ratio {
        slow_hz
    } else if ratio <= BREAK_RATIO {
        slow_hz + (break_hz - slow_hz) * (ratio - level_ratio) / (BREAK_RATIO - level_ratio)
    } else {
        break_hz + (FASTEST_HZ - break_hz) * (ratio - BREAK_RATIO) / (1.0 - BREAK_RATIO)
    }
}

/// Returns running step length in metres: speed over cadence. Arguments as in [`cadence_hz`].
pub fn step_length_m(speed_mps: f64, v_max_mps: f64, leg_length_m: f64) -> f64 {
    speed_mps / cadence_hz(speed_mps, v_max_mps, leg_length_m)
}

/// Time lost in getting up to speed over 50 m, in seconds: the time constant of the exponential sprint model
/// (Furusawa, Hill & Parkinson). Engineering assumption inside its usual range 0.9 to 1.4 s; 0.9 to 1.3 s moves top
/// speed by 3 % either way.
const SPRINT_TAU_S: f64 = 1.1;

/// Returns top speed in metres a second from a 50 m time from standing, in seconds.
///
/// # Formula
/// Vmax = 50 / (T − τ), τ = 1.1 s.
pub fn v_max_from_50_m_mps(time_50_m_s: f64) -> f64 {
    50.0 / (time_50_m_s - SPRINT_TAU_S)
}

/// First school year of [`TIME_50_M_MALE_S`] and [`TIME_50_M_FEMALE_S`], in years of age. Surveyed children are
/// half a year older on average.
const TIME_FIRST_AGE_Y: f64 = 8.5;

/// Mean 50 m time of boys by school year, ages 8 to 17, in seconds (Japanese national fitness survey 2015, from
/// secondary tabulations).
const TIME_50_M_MALE_S: [f64; 10] = [10.04, 9.60, 9.29, 8.78, 8.50, 7.84, 7.47, 7.47, 7.29, 7.16];

/// The same for girls.
const TIME_50_M_FEMALE_S: [f64; 10] = [10.33, 9.91, 9.50, 9.12, 9.02, 8.74, 8.62, 8.90, 8.86, 8.90];

/// Youngest age in years to which the first year's trend is carried on.
const TIME_YOUNGEST_AGE_Y: f64 = 5.0;

/// Returns usual top speed in metres a second at a decimal age.
///
/// Linear in the 50 m time between school years; below 8.5 years the first trend is carried on to 5 years, above
/// 17.5 years the last value holds. The geometric mean of both sexes when sex is unknown.
pub fn usual_v_max_mps(sex: Option<Sex>, age_y: f64) -> f64 {
    let of = |times: &[f64; 10]| {
        let place = normal::within(age_y, TIME_YOUNGEST_AGE_Y, TIME_FIRST_AGE_Y + 9.0) - TIME_FIRST_AGE_Y;
        let below = place.floor().clamp(0.0, 8.0);
        let index = below as usize;
        v_max_from_50_m_mps(times[index] + (place - below) * (times[index + 1] - times[index]))
    };
    match sex {
        Some(Sex::Female) => of(&TIME_50_M_FEMALE_S),
        Some(Sex::Male) => of(&TIME_50_M_MALE_S),
        None => (of(&TIME_50_M_FEMALE_S) * of(&TIME_50_M_MALE_S)).sqrt(),
    }
}

/// Returns the top speed in metres a second at which a step of the given length belongs to an effort.
///
/// `effort` is a share of top speed. The inverse of [`step_length_m`] in the top speed; used to join a share of
/// stature to the cadence curve when age is unknown. The answer lies between 1 and 15 m/s.
pub fn v_max_that_suits_mps(step_m: f64, effort: f64, leg_length_m: f64) -> f64 {
    let slow_hz = slow_cadence_hz(leg_length_m);
    let (mut low, mut high) = (1.0, 15.0);
    // Step length rises with top speed at a fixed effort; forty halvings leave 1e-11 m/s.
    for _ in 0..40 {
        let v_max = 0.5 * (low + high);
        let speed = effort * v_max;
        if speed / cadence_from_slow_hz(speed, v_max, slow_hz) < step_m { low = v_max } else { high = v_max }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cadence_has_no_steps_and_rises_with_speed() {
        for v_max in [4.0, 5.0, 6.5, 9.0] {
            for leg in [0.45, 0.6, 0.77, 0.9] {
                let mut before = cadence_hz(0.01, v_max, leg);
                for hundredth in 1..=1200 {
                    let cadence = cadence_hz(f64::from(hundredth) / 100.0, v_max, leg);
                    assert!(cadence >= before && cadence - before < 0.05, "{v_max} {leg} {hundredth}");
                    before = cadence;
                }
                assert!((before - FASTEST_HZ).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn suiting_top_speed_inverts_the_step() {
        for (v_max, effort, leg) in [(5.2, 0.6, 0.6), (6.3, 0.6, 0.72), (7.9, 0.85, 0.85), (4.6, 0.7, 0.58)] {
            let step = step_length_m(effort * v_max, v_max, leg);
            assert!((v_max_that_suits_mps(step, effort, leg) - v_max).abs() < 1e-9);
        }
    }

    #[test]
    fn usual_top_speed_is_finite_at_every_age() {
        for age_y in [-1.0, 3.0, 8.5, 12.25, 17.5, 80.0, f64::NAN] {
            for sex in [None, Some(Sex::Female), Some(Sex::Male)] {
                assert!((3.0..10.0).contains(&usual_v_max_mps(sex, age_y)));
            }
        }
        assert!(usual_v_max_mps(None, 6.0) < usual_v_max_mps(None, 8.0));
    }
}
