//! How fast children are at a marker, and how far they need to stop.

/// Deceleration that stopping rooms are planned with, in metres per second squared (engineering assumption).
///
/// Trained adults brake at 4 to 6; no figure for untrained children was found. 2 also covers a surprise and dust.
pub const DECELERATION_MPS2: f64 = 2.0;

/// Deceleration on wet grass or a dusty floor, in metres per second squared (engineering assumption).
pub const DECELERATION_SLIPPERY_MPS2: f64 = 1.5;

/// Speed at which children walk through a lane, in metres per second.
///
/// Preferred walking speed of 457 school children: boys 1.35 ± 0.22, girls 1.43 ± 0.22 (Ahmedov et al. 2022,
/// Cyprus J Med Sci 7:404-408).
pub const WALK_MPS: f64 = 1.4;

/// Time constant of a child's sprint, in seconds: top speed over the acceleration from standing.
///
/// Trained football players under 10 and under 12: 1.0 s; older groups 1.07 to 1.43 (from force and speed in Sci
/// Rep 2025, s41598-025-89501-3, Table 2). The shortest is the careful choice: speed comes sooner.
pub const SPRINT_TIME_CONSTANT_S: f64 = 1.0;

/// Returns the room to stop from a speed, in metres.
///
/// # Formula
/// v t + v² / (2 a), with the reaction time t; 0 at a marker that was announced.
pub fn stopping_room_m(speed_mps: f64, deceleration_mps2: f64, reaction_s: f64) -> f64 {
    speed_mps * reaction_s + speed_mps * speed_mps / (2.0 * deceleration_mps2)
}

/// Returns the speed after sprinting a distance, in metres per second.
///
/// `from_mps` is the speed at its beginning (0 for a standing start), `top_mps` the runner's top speed. Whoever
/// is at top speed already stays there.
///
/// # Formula
/// The exponential sprint dv/dt = (V − v) / τ (Furusawa, Hill & Parkinson 1927). From speed v₀ the runner has
/// covered d at the time t that solves V t − τ (V − v₀) (1 − e^(−t/τ)) = d; the speed there is
/// V − (V − v₀) e^(−t/τ).
///
/// # Accuracy
/// Newton steps to 1e-12 of the time constant; the left side is increasing and convex, so they cannot run away.
pub fn sprint_speed_mps(from_mps: f64, top_mps: f64, time_constant_s: f64, distance_m: f64) -> f64 {
    if from_mps >= top_mps || distance_m <= 0.0 {
        return from_mps;
    }
    let missing_mps = top_mps - from_mps;
    // In units of the time constant: u − share (1 − e^(−u)) = reach.
    let share = missing_mps / top_mps;
    let reach = distance_m / (top_mps * time_constant_s);
    // Right of the solution, from where Newton falls towards it without overshooting.
    let mut u = reach + share;
    for _ in 0..60 {
        let value = u + share * libm::expm1(-u) - reach;
        let step = value / (1.0 - share * libm::exp(-u));
        u -= step;
        if step.abs() <= 1e-12 {
            break;
        }
    }
    top_mps - missing_mps * libm::exp(-u)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn whoever_is_at_top_speed_stays_there() {
        assert_eq!(sprint_speed_mps(6.0, 6.0, 1.0, 10.0), 6.0);
        assert_eq!(sprint_speed_mps(6.5, 6.0, 1.0, 10.0), 6.5);
        assert_eq!(sprint_speed_mps(3.0, 6.0, 1.0, 0.0), 3.0);
    }

    proptest! {
        #[test]
        fn sprinting_in_two_legs_equals_sprinting_at_once(
            from in 0.0_f64..5.0,
            more in 0.1_f64..6.0,
            tau in 0.5_f64..2.0,
            first in 0.1_f64..30.0,
            second in 0.1_f64..30.0,
        ) {
            let top = from + more;
            let at_once = sprint_speed_mps(from, top, tau, first + second);
            let halfway = sprint_speed_mps(from, top, tau, first);
            prop_assert!((sprint_speed_mps(halfway, top, tau, second) - at_once).abs() < 1e-9);
            prop_assert!(from < halfway && halfway <= at_once && at_once <= top);
        }

        #[test]
        fn the_speed_belongs_to_the_distance(
            from in 0.0_f64..5.0, more in 0.1_f64..6.0, tau in 0.5_f64..2.0, distance in 0.01_f64..60.0,
        ) {
            let top = from + more;
            let speed = sprint_speed_mps(from, top, tau, distance);
            // Step through the motion in small time steps (mid-point rule) until that speed is reached.
            let steps = 4000;
            let u_end = libm::log(more / (top - speed).max(1e-12));
            let dt = u_end * tau / f64::from(steps);
            let mut covered = 0.0;
            for step in 0..steps {
                let t = (f64::from(step) + 0.5) * dt;
                covered += (top - more * libm::exp(-t / tau)) * dt;
            }
            // Near top speed the time is not to be had from the speed.
            prop_assume!(top - speed > 1e-6);
            prop_assert!((covered - distance).abs() < 1e-3 * (1.0 + distance));
        }
    }
}
