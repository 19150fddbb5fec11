//! The unit against worked values and against simulated classes whose truth is known.

use lanewright_science::lesson::worth::gain;
use lanewright_science::unit::{GAIN_PER_RUN, RUNS_60_TO_88, loss};

use crate::unit_world::{Curve, Held, USUAL_FORM, look_back};

/// Worked by hand: 0.25 (1 − e^(−d/28)).
#[test]
fn the_loss_of_a_week_and_of_a_month_is_as_worked_by_hand() {
    for (days, value) in [(0.0, 0.0), (7.0, 0.055_299_8), (28.0, 0.158_030_1), (84.0, 0.237_553_2)] {
        assert!((loss(days) - value).abs() < 1e-6, "{days} days: {}", loss(days));
    }
}

/// The gain per run from the differential equation dx = k g(c) dn, c = 1 / (1 + e^−x): k = ∫ dx / (40 g) from 60 to
/// 88 %, by the midpoint rule; an independent quadrature (100 000 points, another language) gave 0.049946.
#[test]
fn the_gain_per_run_is_what_forty_runs_from_60_to_88_percent_ask_for() {
    let logit = |rate: f64| libm::log(rate / (1.0 - rate));
    let (low, high, points) = (logit(0.60), logit(0.88), 2_000);
    let width = (high - low) / f64::from(points);
    let integral: f64 = (0..points)
        .map(|point| low + width * (f64::from(point) + 0.5))
        .map(|x| width / gain(1.0 / (1.0 + libm::exp(-x))))
        .sum();
    let per_run = integral / RUNS_60_TO_88;
    assert!((per_run - 0.049_946).abs() < 1e-5, "{per_run}");
    assert!((per_run - GAIN_PER_RUN).abs() < 1e-3);
}

/// A few classes only, so with room for chance; `examples/unit_calibration.rs` takes many.
#[test]
fn ranges_of_eighty_percent_hold_about_that_share_of_the_next_lesson() {
    let mut all = Held::default();
    for (seed, curve) in [(101, Curve::NearSure), (102, Curve::Slowing), (103, Curve::Steady)] {
        for held in look_back(curve, USUAL_FORM, 16, 4, 100, seed) {
            all.add(&held);
        }
    }
    let share = all.in_80 / all.outcomes;
    assert!(all.outcomes > 300.0);
    assert!((0.70..=0.90).contains(&share), "{share}");
    let bias = all.error / all.outcomes;
    assert!(bias.abs() < 0.05, "{bias}");
    // And the forecast is nearer than the share of the lesson before.
    assert!(all.last_square.1 < all.last_square.0);
}
