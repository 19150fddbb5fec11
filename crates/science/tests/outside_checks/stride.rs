//! Steps and gaps against published figures and worked values.

use lanewright_model::Sex::{self, Female, Male};
use lanewright_model::{Drill, Ladder, Runner, Verdict};
use lanewright_science::body::{leg_length_m, sitting_height_ratio, usual};
use lanewright_science::stride::{
    Belief, JUDGEMENT_SD_LN, LnLength, TOLERANCE_LN, cadence_hz, class_gaps, hurdle_height_cm, pool_class,
    slow_cadence_hz, step_length_m, timed_step, usual_v_max_mps, v_max_from_50_m_mps, v_max_that_suits_mps,
};

const TODAY: jiff::civil::Date = jiff::civil::date(2026, 3, 2);

fn assert_close(ours: f64, published: f64, tolerance: f64, what: &str) {
    assert!((ours - published).abs() <= tolerance, "{what}: {ours} against {published}");
}

/// The last digit shown in a table with so many decimals: half a unit and a little, for some of the values were cut
/// rather than rounded.
fn last_digit(decimals: i32) -> f64 {
    0.6 * 10f64.powi(-decimals)
}

fn measured(stature_cm: f64) -> Runner {
    Runner { stature_cm: Some(stature_cm), stature_date: Some(TODAY), ..Runner::named("a", "a") }
}

// Running cadence -------------------------------------------------------------------------------------------------

/// Slow-running cadence: 2.5 (0.77/L)^0.61, worked by hand. The last row is a 2-year-old, whom Schepens, Willems &
/// Cavagna 1998 (J Physiol 509:927-940) see at 4 Hz.
#[test]
fn slow_cadence_falls_with_leg_length() {
    for (leg_m, hz) in [
        (0.40, 3.728),
        (0.50, 3.253),
        (0.60, 2.911),
        (0.65, 2.772),
        (0.70, 2.650),
        (0.77, 2.500),
        (0.85, 2.500),
        (0.357, 3.996),
    ] {
        assert_close(slow_cadence_hz(leg_m), hz, last_digit(3), "slow cadence");
    }
    assert_close(slow_cadence_hz(0.357), 4.0, 0.005, "two years, Schepens et al. 1998");
}

/// Cadence and step over speed for a leg of 0.65 m and a top speed of 5.8 m/s: worked by hand from the anchors of
/// Schepens et al. 1998 and the break at 65 to 70 % of top speed (PMC8523042).
#[test]
fn cadence_and_step_over_speed() {
    for (speed, hz, step_m) in [
        (2.5, 2.772, 0.902),
        (3.5, 2.983, 1.173),
        (4.35, 3.370, 1.291),
        (5.0, 3.653, 1.369),
        (5.8, 4.000, 1.450),
    ] {
        assert_close(cadence_hz(speed, 5.8, 0.65), hz, last_digit(3), "cadence");
        assert_close(step_length_m(speed, 5.8, 0.65), step_m, last_digit(3), "step");
    }
}

/// A girl of 11 years and 145 cm: 50 m in 9.12 s (Japanese national fitness survey 2015), sitting height .519 of
/// stature (Fredriks et al. 2005), then the cadence curve; worked by hand.
#[test]
fn worked_example_of_a_girl_of_eleven() {
    let v_max = v_max_from_50_m_mps(9.12);
    assert_close(v_max, 6.234, last_digit(3), "top speed");
    let leg_m = leg_length_m(1.45, 0.519);
    assert_close(leg_m, 0.6974, 0.000_05 + 1e-12, "leg");
    assert_close(slow_cadence_hz(leg_m), 2.656, last_digit(3), "slow cadence");
    let speed = 0.75 * v_max;
    assert_close(speed, 4.676, last_digit(3), "speed at 75 %");
    assert_close(cadence_hz(speed, v_max, leg_m), 3.310, last_digit(3), "cadence at 75 %");
    for (effort, step_m) in [(0.75, 1.412), (0.60, 1.281), (1.00, 1.559)] {
        assert_close(step_length_m(effort * v_max, v_max, leg_m), step_m, last_digit(3), "step");
    }
}

/// Step lengths that follow for boys and girls of median size of the British 1990 reference at half past each
/// birthday (legs interpolated from its medians at 8, 10, … 18 years), efforts 50, 65, 75, 85 and 100 %.
#[test]
fn table_of_usual_steps_by_age() {
    const BOYS_LEG_M: [f64; 6] = [0.6016, 0.6606, 0.7149, 0.7860, 0.8318, 0.8452];
    const GIRLS_LEG_M: [f64; 6] = [0.5906, 0.6574, 0.7219, 0.7561, 0.7681, 0.7700];
    let rows: [(Sex, usize, f64, [f64; 5]); 10] = [
        (Male, 8, 5.59, [0.98, 1.15, 1.23, 1.30, 1.40]),
        (Male, 10, 6.11, [1.13, 1.29, 1.37, 1.44, 1.53]),
        (Male, 12, 6.76, [1.26, 1.46, 1.55, 1.61, 1.69]),
        (Male, 14, 7.85, [1.46, 1.73, 1.82, 1.89, 1.96]),
        (Male, 16, 8.08, [1.49, 1.78, 1.88, 1.94, 2.02]),
        (Female, 8, 5.42, [0.94, 1.11, 1.18, 1.26, 1.35]),
        (Female, 10, 5.95, [1.10, 1.26, 1.34, 1.40, 1.49]),
        (Female, 12, 6.31, [1.21, 1.37, 1.45, 1.51, 1.58]),
        (Female, 14, 6.65, [1.27, 1.46, 1.54, 1.59, 1.66]),
        (Female, 16, 6.44, [1.26, 1.43, 1.50, 1.55, 1.61]),
    ];
    for (sex, age, published_v_max, steps_m) in rows {
        let legs = if sex == Male { BOYS_LEG_M } else { GIRLS_LEG_M };
        let below = (age - 8) / 2;
        let leg_m = legs[below] + 0.25 * (legs[below + 1] - legs[below]);
        let v_max = usual_v_max_mps(Some(sex), age as f64 + 0.5);
        assert_close(v_max, published_v_max, last_digit(2), "top speed");
        for (effort, step_m) in [0.50, 0.65, 0.75, 0.85, 1.00].into_iter().zip(steps_m) {
            // One unit of the last digit more than rounding: our legs are interpolated over two years.
            let step = step_length_m(effort * v_max, v_max, leg_m);
            assert_close(step, step_m, 0.01 + last_digit(2), &format!("{sex:?} {age} at {effort}"));
        }
    }
}

/// High-school runners at 3.8 m/s take 171.3 ± 8.3 steps a minute (68 runners of 16 years, Luedke et al.), which is a
/// step of 1.331 m; collegiate runners 177.1 at 4.6 m/s, 1.558 m. Top speed is not published and assumed 6.5 and 7.5.
#[test]
fn cadence_of_young_runners_is_within_its_published_spread() {
    assert_close(3.8 / (171.3 / 60.0), 1.331, last_digit(3), "published step");
    assert_close(4.6 / (177.1 / 60.0), 1.558, last_digit(3), "published step");
    assert_close(60.0 * cadence_hz(3.8, 6.5, 0.77), 171.3, 8.3, "steps a minute at 3.8 m/s");
    assert_close(cadence_hz(3.8, 6.5, 0.77) / (171.3 / 60.0), 1.0, 0.03, "share at 3.8 m/s");
    assert_close(cadence_hz(4.6, 7.5, 0.85) / (177.1 / 60.0), 1.0, 0.07, "share at 4.6 m/s");
}

/// Japanese girls gain 0.24 m/s of sprint speed and 0.07 to 0.08 m of step a year before 12.7 years and nothing much
/// after (-0.09 m/s, 0.01 m; Nagahara et al. 2019, 94 girls).
#[test]
fn girls_gain_speed_and_step_until_twelve_and_then_hold() {
    let sprint_step = |age_y| {
        let leg = leg_length_m(usual(Female, age_y).m_cm / 100.0, sitting_height_ratio(Some(Female), age_y));
        let v_max = usual_v_max_mps(Some(Female), age_y);
        (v_max, step_length_m(v_max, v_max, leg))
    };
    let (v_8, s_8) = sprint_step(8.5);
    let (v_12, s_12) = sprint_step(12.5);
    assert_close((v_12 - v_8) / 4.0, 0.24, 0.03, "speed a year to twelve");
    assert_close((s_12 - s_8) / 4.0, 0.07, 0.02, "step a year to twelve");
    let (v_14, s_14) = sprint_step(14.5);
    let (v_17, s_17) = sprint_step(17.5);
    assert_close((v_17 - v_14) / 3.0, -0.09, 0.03, "speed a year after fourteen");
    assert_close((s_17 - s_14) / 3.0, 0.01, 0.04, "step a year after fourteen");
}

/// The two ways to a running step at learning effort, the cadence curve of the age and two walking steps (0.88 of
/// stature), agree within 12 % at every age from 8 to 17 and within 3 % on average.
#[test]
fn cadence_curve_and_two_walking_steps_agree_at_learning_effort() {
    let mut differences = Vec::new();
    for sex in [Female, Male] {
        for half_years in 17..=34 {
            let age_y = 0.5 * f64::from(half_years);
            let stature_m = usual(sex, age_y).m_cm / 100.0;
            let leg_m = leg_length_m(stature_m, sitting_height_ratio(Some(sex), age_y));
            let v_max = usual_v_max_mps(Some(sex), age_y);
            let from_age_m = step_length_m(0.6 * v_max, v_max, leg_m);
            let from_stature_m = 0.88 * stature_m;
            let same = v_max_that_suits_mps(from_stature_m, 0.6, leg_m);
            assert_close(step_length_m(0.6 * same, same, leg_m), from_stature_m, 1e-9, "inverse");
            assert_close(from_age_m / from_stature_m, 1.0, 0.125, &format!("{sex:?} {age_y}"));
            differences.push(from_age_m / from_stature_m - 1.0);
        }
    }
    let mean = differences.iter().sum::<f64>() / differences.len() as f64;
    assert_close(mean, 0.0, 0.03, "mean difference");
}

/// Comfortable walking step of healthy children (Hausdorff et al. 1999, PhysioNet gait maturation database): stride
/// time × speed / 2 over height, against the 0.44 of the alternate walk-over.
#[test]
fn walking_step_is_0_44_of_stature_in_children() {
    let share = Ladder::built_in().get("alternate-walk").unwrap().gap.unwrap().comfortable_ratio;
    for (height_m, speed, stride_s, step_m) in
        [(1.05, 1.00, 0.900, 0.450), (1.25, 1.20, 0.955, 0.573), (1.55, 1.28, 1.072, 0.686)]
    {
        assert_close(speed * stride_s / 2.0, step_m, last_digit(3), "published step");
        assert_close(step_m / height_m, share, 0.02, "share of stature");
    }
}

// Gaps from size --------------------------------------------------------------------------------------------------

/// Settled shares of stature for children of 128, 149 and 173 cm (worked by hand): one-leg drills 0.55, alternate walk
/// 0.44, two walking steps 0.88, side-step 0.46. Side-steps without a hurdle base between the feet.
#[test]
fn gaps_that_are_shares_of_stature() {
    let ladder = Ladder::built_in();
    let drill = |id: &str| ladder.get(id).unwrap();
    for (id, gaps_m) in [
        ("single-walk", [0.704, 0.820, 0.952]),
        ("dead-leg-run", [0.704, 0.820, 0.952]),
        ("alternate-walk", [0.563, 0.656, 0.761]),
        ("two-contact-walk", [1.126, 1.311, 1.522]),
        ("two-contact-run", [1.126, 1.311, 1.522]),
        ("side-walk", [0.589, 0.685, 0.796]),
        // Without an age the own running step is two walking steps.
        ("alternate-run", [1.126, 1.311, 1.522]),
    ] {
        for (stature_cm, gap_m) in [128.0, 149.0, 173.0].into_iter().zip(gaps_m) {
            let gaps = class_gaps(&[measured(stature_cm)], &[drill(id)], None, 0.0, TODAY);
            assert_close(gaps[0].gaps[0].gap_m.median, gap_m, last_digit(3), id);
        }
    }
}

/// Coaches set wickets for early teens at 4 to 5.5 ft (1.22 to 1.68 m); three squads' practice, no study.
#[test]
fn running_gaps_of_early_teens_lie_where_coaches_put_them() {
    let ladder = Ladder::built_in();
    let run: [&Drill; 1] = [ladder.get("alternate-run").unwrap()];
    for (sex, age_y) in [(Female, 12.5), (Female, 13.5), (Female, 14.5), (Male, 12.5)] {
        let age = Some(lanewright_model::Age::Years { age_y, on: Some(TODAY) });
        let runner = Runner { sex: Some(sex), age, ..measured(usual(sex, age_y).m_cm) };
        for effort in [0.6, 0.75] {
            let gap_m = class_gaps(std::slice::from_ref(&runner), &run, Some(effort), 0.3, TODAY)[0].gaps[0]
                .gap_m
                .median;
            assert!((1.22..=1.68).contains(&gap_m), "{sex:?} {age_y} at {effort}: {gap_m}");
        }
    }
}

/// 30 cm over sub-ischial leg length is 0.50 at 8 years and 0.41 at 12 (statures of the WHO, proportions of
/// Fredriks et al. 2005): too high at 8, right at 12.
#[test]
fn thirty_centimetres_suit_twelve_year_olds_and_are_high_for_eight_year_olds() {
    for (sex, age_y, share) in
        [(Male, 8.0, 0.50), (Female, 8.0, 0.50), (Male, 12.0, 0.41), (Female, 12.0, 0.41)]
    {
        let age = Some(lanewright_model::Age::Years { age_y: age_y + 1e-9, on: Some(TODAY) });
        let runner = Runner { sex: Some(sex), age, ..measured(usual(sex, age_y).m_cm) };
        let leg = class_gaps(&[runner], &[], None, 0.3, TODAY).remove(0).leg_length_m;
        assert_close(0.30 / leg.median, share, 0.01, "share of leg length");
        let (height_cm, message) = hurdle_height_cm(&leg, 30.0, &[30.0, 20.0, 15.0]);
        assert_eq!((height_cm, message.is_some()), if age_y < 10.0 { (20.0, true) } else { (30.0, false) });
    }
}

// What observations change ----------------------------------------------------------------------------------------

/// 20 m in 4.40 s at 3.35 steps a second, worked by hand: the step, its noise, the prior of the girl of eleven after
/// it, and then a gap of 1.40 m that was too far.
#[test]
fn timed_run_and_then_a_gap_that_was_too_far() {
    let step = timed_step(20.0, (4.40, 0.10), (3.35, 0.05));
    assert_close(20.0 / 4.40, 4.545, last_digit(3), "speed");
    assert_close(libm::exp(step.ln_m), 1.357, last_digit(3), "step");
    assert_close(step.variance.sqrt(), 0.0484, last_digit(4), "noise");
    let v_max = v_max_from_50_m_mps(9.12);
    let prior_m = step_length_m(0.75 * v_max, v_max, leg_length_m(1.45, 0.519));
    let before = Belief::new(prior_m, 0.12);
    let after = before.measured(step);
    assert_close(before.variance / (before.variance + step.variance), 0.8603, last_digit(4), "gain");
    assert_close(after.median_m(), 1.364, last_digit(3), "after the run");
    assert_close(after.sd_ln(), 0.0449, last_digit(4), "its spread");
    let (judged, probability) = after.judged(libm::log(1.40), Verdict::TooFar, 0.0);
    assert_close(judged.median_m(), 1.327, last_digit(3), "after the verdict");
    assert_close(judged.sd_ln(), 0.0398, last_digit(4), "its spread");
    assert_close(probability, 0.297, last_digit(3), "probability of the verdict");
}

/// A taped 1.36 m against a prior of 1.50 m, worked by hand.
#[test]
fn taped_step_against_a_prior() {
    let length = LnLength { ln_m: libm::log(1.36), variance: 0.05 * 0.05 };
    let before = Belief::new(1.50, 0.12);
    let after = before.measured(length);
    assert_close(before.variance / (before.variance + length.variance), 0.85207, last_digit(5), "gain");
    assert_close(after.median_m(), 1.3799, last_digit(4), "median");
    assert_close(after.sd_ln(), 0.0461, last_digit(4), "spread");
}

/// Verdicts against a prior of 1.50 m with a spread of 0.12 (tolerance and judgement 0.07 each); the moments were
/// worked from the truncated normal and checked by numerical integration.
#[test]
fn verdicts_on_a_tried_gap() {
    let before = Belief::new(1.50, 0.12);
    for (verdict, gap_m, median_m, sd_ln, probability) in [
        (Verdict::TooFar, 1.50, 1.3323, 0.08083, 0.30718),
        (Verdict::TooClose, 1.50, 1.6888, 0.08083, 0.30718),
        (Verdict::Right, 1.50, 1.5000, 0.06734, 0.38565),
        (Verdict::Right, 1.60, 1.5678, 0.06727, 0.34926),
        (Verdict::TooFar, 1.60, 1.3773, 0.08642, 0.48432),
    ] {
        let (after, p) = before.judged(libm::log(gap_m), verdict, 0.0);
        assert_close(after.median_m(), median_m, last_digit(4), "median");
        assert_close(after.sd_ln(), sd_ln, last_digit(5), "spread");
        assert_close(p, probability, last_digit(5), "probability");
    }
}

/// The same updates, with misjudged verdicts mixed in, by brute force: the belief on a fine grid times the probability
/// of the verdict.
#[test]
fn verdicts_agree_with_integration_on_a_grid() {
    let phi = |x: f64| 0.5 * libm::erfc(-x / std::f64::consts::SQRT_2);
    for misjudged in [0.0, 0.05, 0.2] {
        for (prior_m, sd_ln, gap_m) in
            [(1.5, 0.12, 1.5), (1.3, 0.14, 1.6), (0.66, 0.22, 0.5), (1.3, 0.04, 1.0)]
        {
            for verdict in [Verdict::TooFar, Verdict::Right, Verdict::TooClose] {
                let before = Belief::new(prior_m, sd_ln);
                let (mut weight, mut first, mut second) = (0.0, 0.0, 0.0);
                let steps = 20_000;
                for index in 0..=steps {
                    let z = -9.0 + 18.0 * f64::from(index) / f64::from(steps);
                    let theta = before.mu_ln + sd_ln * z;
                    let off = libm::log(gap_m) - theta;
                    let too_far = phi((off - TOLERANCE_LN) / JUDGEMENT_SD_LN);
                    let too_close = phi((-off - TOLERANCE_LN) / JUDGEMENT_SD_LN);
                    let meant = match verdict {
                        Verdict::TooFar => too_far,
                        Verdict::TooClose => too_close,
                        Verdict::Right => 1.0 - too_far - too_close,
                    };
                    let mass = libm::exp(-0.5 * z * z) * ((1.0 - misjudged) * meant + misjudged / 3.0);
                    weight += mass;
                    first += mass * theta;
                    second += mass * theta * theta;
                }
                let mean = first / weight;
                let variance = second / weight - mean * mean;
                let (after, _) = before.judged(libm::log(gap_m), verdict, misjudged);
                assert_close(after.mu_ln, mean, 1e-9, "mean");
                assert_close(after.variance, variance, 1e-9, "variance");
            }
        }
    }
}

/// Three measured children and a class, worked by hand and checked by matrix algebra: deviations -0.10, -0.06, -0.02,
/// noise 0.05, children's spread 0.09, class spread 0.08.
#[test]
fn three_measured_children_and_their_class() {
    let class = pool_class(&[(-0.10, 0.0025), (-0.06, 0.0025), (-0.02, 0.0025)], 0.08, 0.09);
    assert_close(class.shared.mu_ln, -0.03866, last_digit(5), "shared");
    assert_close(class.shared.variance, 0.002277, last_digit(6), "its variance");
    for (child, theta) in class.measured.iter().zip([-0.08553, -0.05497, -0.02440]) {
        assert_close(child.mu_ln, theta, last_digit(5), "measured child");
        assert_close(child.sd_ln(), 0.04513, last_digit(5), "its spread");
    }
    assert_close(class.unmeasured.mu_ln, -0.03866, last_digit(5), "unmeasured child");
    assert_close(class.unmeasured.sd_ln(), 0.10187, last_digit(5), "its spread");
}
