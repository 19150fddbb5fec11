use jiff::civil::{Date, date};
use lanewright_model::words::{Units, Words};
use lanewright_model::{Age, Runner, Sex, Verdict};
use proptest::prelude::*;

use super::*;
use crate::seeded::Seeded;

const TODAY: Date = date(2026, 3, 2);
const BASE_DEPTH_M: f64 = 0.3;

fn child(label: &str, stature_cm: f64) -> Runner {
    Runner { stature_cm: Some(stature_cm), stature_date: Some(TODAY), ..Runner::named(label, label) }
}

fn tape(drill: &str, distance_m: f64, steps: u32) -> StrideObservation {
    StrideObservation::Tape { drill: Some(DrillId(drill.into())), distance_m, steps }
}

fn trial(drill: &str, gap_m: f64, verdict: Verdict) -> StrideObservation {
    StrideObservation::Trial { drill: DrillId(drill.into()), gap_m, verdict }
}

fn gaps(runners: &[Runner], drills: &[&str]) -> Vec<RunnerGaps> {
    gaps_at(runners, drills, None)
}

fn gaps_at(runners: &[Runner], drills: &[&str], effort: Option<f64>) -> Vec<RunnerGaps> {
    let ladder = Ladder::built_in();
    let drills: Vec<&Drill> = drills.iter().map(|id| ladder.get(id).unwrap()).collect();
    class_gaps(runners, &drills, effort, BASE_DEPTH_M, TODAY)
}

fn with(mut runner: Runner, steps: &[StrideObservation]) -> Runner {
    runner.steps.extend_from_slice(steps);
    runner
}

fn first_gap(runner: Runner, drill: &str) -> GapForDrill {
    gaps(&[runner], &[drill]).remove(0).gaps.remove(0)
}

fn notice_ids(gaps: &RunnerGaps) -> Vec<&str> {
    gaps.notices.iter().map(|notice| notice.id.as_str()).collect()
}

const EVERY_DRILL: [&str; 9] = [
    "single-walk",
    "dead-leg-run",
    "alternate-walk",
    "alternate-run",
    "two-contact-walk",
    "two-contact-run",
    "side-walk",
    "side-run",
    "side-shuttle",
];

#[test]
fn prior_spread_is_the_drills_own_when_size_is_known() {
    let all = gaps(&[child("a", 149.0)], &EVERY_DRILL).remove(0);
    let ladder = Ladder::built_in();
    for gap in &all.gaps {
        let rule = ladder.get(&gap.drill.0).unwrap().gap.unwrap();
        let size = crate::body::MEASURED_SD_LN;
        let expected = (rule.sd_ln * rule.sd_ln + size * size).sqrt();
        assert!((gap.sd_ln - expected).abs() < 1e-12, "{}", gap.drill);
        assert_eq!(gap.gap_m.n, 0);
    }
}

#[test]
fn drills_without_a_gap_are_passed_over_and_the_order_is_kept() {
    let all =
        gaps(&[child("a", 149.0)], &["side-walk", "spot-single", "alternate-run", "free-run", "single-walk"]);
    let ids: Vec<&str> = all[0].gaps.iter().map(|gap| gap.drill.0.as_str()).collect();
    assert_eq!(ids, ["side-walk", "alternate-run", "single-walk"]);
    assert!(gaps(&[], &EVERY_DRILL).is_empty());
    assert!(gaps(&[child("a", 149.0)], &[])[0].gaps.is_empty());
}

#[test]
fn taller_children_get_longer_gaps_in_every_drill_whether_or_not_age_is_known() {
    for age in [None, Some(Age::Years { age_y: 12.3, on: Some(TODAY) })] {
        let class: Vec<Runner> = (0..8)
            .map(|k| Runner {
                age,
                sex: Some(Sex::Female),
                ..child(&format!("r{k}"), 135.0 + 5.0 * f64::from(k))
            })
            .collect();
        let all = gaps(&class, &EVERY_DRILL);
        for pair in all.windows(2) {
            for (short, tall) in pair[0].gaps.iter().zip(&pair[1].gaps) {
                assert!(tall.gap_m.median > 1.01 * short.gap_m.median, "{}", short.drill);
            }
        }
    }
}

#[test]
fn effort_counts_for_the_own_running_step_only() {
    let class = [child("a", 149.0)];
    let median = |drill, effort| gaps_at(&class, &[drill], effort)[0].gaps[0].gap_m.median;
    assert_eq!(median("alternate-run", None), median("alternate-run", Some(0.6)));
    assert!(median("alternate-run", Some(0.75)) > 1.05 * median("alternate-run", Some(0.6)));
    assert!(median("alternate-run", Some(0.85)) > median("alternate-run", Some(0.75)));
    assert_eq!(median("alternate-run", Some(1.7)), median("alternate-run", Some(1.0)));
    assert_eq!(median("alternate-run", Some(f64::NAN)), median("alternate-run", None));
    for drill in ["alternate-walk", "two-contact-run", "dead-leg-run", "side-run"] {
        assert_eq!(median(drill, Some(0.9)), median(drill, None));
    }
}

#[test]
fn step_measured_at_one_effort_is_carried_along_the_cadence_curve() {
    // A free run at 75 % that is exactly what the curve expects moves nothing, at whatever effort it is asked for.
    let runner = Runner { sex: Some(Sex::Female), ..child("a", 149.0) };
    let before = gaps_at(std::slice::from_ref(&runner), &["alternate-run"], Some(0.75)).remove(0);
    let step_m = before.gaps[0].gap_m.median;
    let seen = with(
        runner.clone(),
        &[StrideObservation::TimedRun {
            distance_m: 20.0 * step_m,
            steps: 20,
            time_s: None,
            effort: 0.75,
            cadence_hz: None,
            cadence_sd_hz: None,
        }],
    );
    for effort in [0.6, 0.75, 0.9] {
        let prior = gaps_at(std::slice::from_ref(&runner), &["alternate-run"], Some(effort)).remove(0);
        let after = gaps_at(std::slice::from_ref(&seen), &["alternate-run"], Some(effort)).remove(0);
        assert!((after.gaps[0].mu_ln - prior.gaps[0].mu_ln).abs() < 1e-12, "{effort}");
        assert!(after.gaps[0].sd_ln < prior.gaps[0].sd_ln);
    }
}

#[test]
fn free_step_alone_says_what_the_sum_of_its_uncertainties_says_and_many_say_no_more_than_hurdles_allow() {
    let runner = child("a", 149.0);
    let prior = first_gap(runner.clone(), "alternate-run");
    let step_m = 1.15 * prior.gap_m.median;
    let taped = |times: usize| {
        let steps = vec![StrideObservation::Tape { drill: None, distance_m: 6.0 * step_m, steps: 6 }; times];
        first_gap(with(runner.clone(), &steps), "alternate-run")
    };
    // One: the tape's own variance and the hurdles' 0.08², as one noisy witness.
    let noise = taped_step(6.0 * step_m, 6).variance + HURDLE_SD_LN * HURDLE_SD_LN;
    let prior_belief = Belief { mu_ln: prior.mu_ln, variance: prior.sd_ln * prior.sd_ln };
    let hand = prior_belief.measured(LnLength { ln_m: libm::log(step_m), variance: noise });
    assert!((taped(1).mu_ln - hand.mu_ln).abs() < 1e-12);
    assert!((taped(1).sd_ln - hand.sd_ln()).abs() < 1e-12);
    // Many: what is left is the spread of what hurdles change, given the prior.
    let left = prior_belief.measured(LnLength { ln_m: 0.0, variance: HURDLE_SD_LN * HURDLE_SD_LN }).sd_ln();
    assert!(taped(50).sd_ln > left && taped(50).sd_ln < 1.01 * left);
}

#[test]
fn timed_run_tells_of_top_speed_and_narrows_the_step() {
    let runner = Runner { age: Some(Age::Born(date(2014, 3, 2))), sex: Some(Sex::Male), ..child("a", 149.0) };
    let counted = StrideObservation::TimedRun {
        distance_m: 20.0,
        steps: 15,
        time_s: None,
        effort: 0.75,
        cadence_hz: None,
        cadence_sd_hz: None,
    };
    let timed = StrideObservation::TimedRun {
        distance_m: 20.0,
        steps: 15,
        time_s: Some(3.4),
        effort: 0.75,
        cadence_hz: None,
        cadence_sd_hz: None,
    };
    let [prior, counted, timed] = [runner.clone(), with(runner.clone(), &[counted]), with(runner, &[timed])]
        .map(|runner| {
            let mut all = gaps(&[runner], &["alternate-run"]);
            all.remove(0)
        });
    assert_eq!(prior.v_max_mps, counted.v_max_mps);
    // 20 m in 3.4 s at 75 % means 7.8 m/s, more than usual at twelve.
    assert!(timed.v_max_mps.median > 1.05 * prior.v_max_mps.median && timed.v_max_mps.median < 7.84);
    assert_eq!(timed.v_max_mps.n, 1);
    assert!(timed.gaps[0].sd_ln < counted.gaps[0].sd_ln && counted.gaps[0].sd_ln < prior.gaps[0].sd_ln);
}

fn heard(time_s: f64, cadence_hz: f64, cadence_sd_hz: Option<f64>) -> StrideObservation {
    let steps = (cadence_hz * time_s).round() as u32;
    StrideObservation::TimedRun {
        distance_m: 20.0,
        steps,
        time_s: Some(time_s),
        effort: 0.75,
        cadence_hz: Some(cadence_hz),
        cadence_sd_hz,
    }
}

#[test]
fn heard_run_counts_by_time_and_cadence_and_hurdles_keep_their_say() {
    let runner =
        Runner { age: Some(Age::Born(date(2015, 3, 2))), sex: Some(Sex::Female), ..child("a", 145.0) };
    let run = heard(4.4, 3.35, Some(0.05));
    // The time alone moves top speed, and with it what is expected; then the step moves the belief.
    let at =
        |runner: &Runner| gaps_at(std::slice::from_ref(runner), &["alternate-run"], Some(0.75)).remove(0);
    let after = at(&with(runner.clone(), &[run]));
    let v_max_mps = after.v_max_mps.median;
    let body = crate::body::class_bodies(std::slice::from_ref(&runner), TODAY).remove(0);
    let size = crate::body::MEASURED_SD_LN;
    let prior = step_length_m(0.75 * v_max_mps, v_max_mps, body.leg_length_m.median);
    let belief = Belief { mu_ln: libm::log(prior), variance: 0.12 * 0.12 };
    let step = timed_step(20.0, (4.4, STOPWATCH_SD_S), (3.35, 0.05));
    let free = LnLength { variance: step.variance + HURDLE_SD_LN * HURDLE_SD_LN, ..step };
    let expected = belief.measured(free);
    assert!((after.gaps[0].mu_ln - expected.mu_ln).abs() < size * size, "{}", after.gaps[0].mu_ln);
    assert!((after.gaps[0].sd_ln - expected.sd_ln()).abs() < size);
    assert_eq!((after.gaps[0].gap_m.n, after.basis), (1, Basis::MeasuredSteps));
    // A cadence that is less certain says less; one of unknown certainty counts as certain.
    let sd = |what: StrideObservation| at(&with(runner.clone(), &[what])).gaps[0].sd_ln;
    assert!(sd(heard(4.4, 3.35, Some(0.5))) > after.gaps[0].sd_ln);
    assert!(sd(heard(4.4, 3.35, None)) < after.gaps[0].sd_ln);
}

#[test]
fn without_a_time_a_heard_run_is_a_counted_one() {
    let run = |time_s, cadence_hz| StrideObservation::TimedRun {
        distance_m: 20.0,
        steps: 15,
        time_s,
        effort: 0.75,
        cadence_hz,
        cadence_sd_hz: None,
    };
    let gap = |what: StrideObservation| first_gap(with(child("a", 149.0), &[what]), "alternate-run");
    assert_eq!(gap(run(None, Some(3.4))), gap(run(None, None)));
    assert_ne!(gap(run(Some(4.4), Some(3.6))), gap(run(Some(4.4), None)));
}

#[test]
fn three_measured_children_inform_the_other_twenty_seven() {
    let mut class: Vec<Runner> = (0..30).map(|k| child(&format!("r{k}"), 140.0 + f64::from(k))).collect();
    let before = gaps(&class, &["alternate-walk"]);
    for index in [3, 14, 27] {
        let shorter = 0.85 * before[index].gaps[0].gap_m.median;
        class[index].steps.push(tape("alternate-walk", 6.0 * shorter, 6));
    }
    let after = gaps(&class, &["alternate-walk"]);
    for index in 0..30 {
        let (before, after) = (&before[index].gaps[0], &after[index].gaps[0]);
        let moved = after.mu_ln - before.mu_ln;
        if [3, 14, 27].contains(&index) {
            assert!((-0.163..-0.12).contains(&moved), "{moved}");
            assert!(after.sd_ln < 0.4 * before.sd_ln);
            assert_eq!(after.gap_m.n, 1);
        } else {
            // By hand: −0.1625 · 3w / (1/0.08² + 3w) with w = 1 / (0.14² − 0.08² + 0.0019).
            assert!((moved + 0.091).abs() < 0.001, "{moved}");
            assert!(after.sd_ln < before.sd_ln - 0.009);
            assert_eq!(after.gap_m.n, 0);
        }
    }
}

#[test]
fn one_drill_informs_another_through_the_child_only() {
    let class = [child("a", 150.0), child("b", 150.0)];
    let before = gaps(&class, &["alternate-walk", "alternate-run"]);
    let long_m = 1.25 * before[0].gaps[1].gap_m.median;
    let seen = [with(class[0].clone(), &[tape("alternate-run", 8.0 * long_m, 8)]), class[1].clone()];
    let after = gaps(&seen, &["alternate-walk", "alternate-run"]);
    let moved =
        |runner: usize, drill: usize| after[runner].gaps[drill].mu_ln - before[runner].gaps[drill].mu_ln;
    assert!(moved(0, 1) > 0.15 && moved(0, 0) > 0.02 && moved(0, 0) < 0.08);
    // The classmate learns what the class shares in that drill, and nothing about walking.
    assert!(moved(1, 1) > 0.02);
    assert!(moved(1, 0).abs() < 1e-12);
    assert_eq!((after[0].gaps[0].gap_m.n, after[0].gaps[1].gap_m.n), (0, 1));
}

#[test]
fn drills_of_one_channel_share_what_was_seen() {
    let class = [child("a", 150.0)];
    let before = gaps(&class, &["single-walk", "dead-leg-run"]).remove(0);
    let seen = with(class[0].clone(), &[trial("single-walk", 0.9, Verdict::TooFar)]);
    let after = gaps(&[seen], &["single-walk", "dead-leg-run"]).remove(0);
    let moved = |drill: usize| after.gaps[drill].mu_ln - before.gaps[drill].mu_ln;
    assert!(moved(0) < moved(1) && moved(1) < 0.7 * moved(0), "{} {}", moved(0), moved(1));
    assert_eq!(after.basis, Basis::TriedGaps);
    assert_eq!(after.gaps[1].gap_m.n, 1);
}

#[test]
fn answer_for_one_drill_does_not_depend_on_the_others_asked_for() {
    let runner = with(
        child("a", 150.0),
        &[
            tape("alternate-run", 8.0, 6),
            trial("two-contact-run", 1.4, Verdict::TooFar),
            trial("alternate-walk", 0.6, Verdict::TooClose),
            StrideObservation::StepLength { step_length_m: 1.3 },
            trial("two-contact-run", 1.2, Verdict::Right),
        ],
    );
    let class = [runner, child("b", 140.0)];
    let all = gaps(&class, &EVERY_DRILL);
    for drill in EVERY_DRILL {
        for (alone, among) in gaps(&class, &[drill]).iter().zip(&all) {
            let among = among.gaps.iter().find(|gap| gap.drill.0 == drill).unwrap();
            assert!((alone.gaps[0].mu_ln - among.mu_ln).abs() < 1e-12, "{drill}");
            assert!((alone.gaps[0].sd_ln - among.sd_ln).abs() < 1e-12, "{drill}");
            assert_eq!(alone.gaps[0].gap_m.n, among.gap_m.n);
        }
    }
}

#[test]
fn verdicts_move_the_gap_the_right_way() {
    let runner = child("a", 150.0);
    let before = first_gap(runner.clone(), "alternate-run");
    let gap_m = before.gap_m.median;
    let after =
        |verdict| first_gap(with(runner.clone(), &[trial("alternate-run", gap_m, verdict)]), "alternate-run");
    assert!(after(Verdict::TooFar).gap_m.median < 0.95 * gap_m);
    assert!(after(Verdict::TooClose).gap_m.median > 1.05 * gap_m);
    assert!((after(Verdict::Right).gap_m.median / gap_m - 1.0).abs() < 1e-12);
    for verdict in [Verdict::TooFar, Verdict::TooClose, Verdict::Right] {
        assert!(after(verdict).sd_ln < before.sd_ln);
    }
}

#[test]
fn verdict_against_all_expectation_hardly_moves_the_gap_and_does_not_touch_the_class() {
    let class = [with(child("a", 150.0), &[trial("alternate-run", 0.5, Verdict::TooFar)]), child("b", 150.0)];
    let before = gaps(&[child("a", 150.0), child("b", 150.0)], &["alternate-run"]);
    let after = gaps(&class, &["alternate-run"]);
    for (before, after) in before.iter().zip(&after) {
        assert!((before.gaps[0].mu_ln - after.gaps[0].mu_ln).abs() < 0.01);
        assert!(after.gaps[0].sd_ln < 1.05 * before.gaps[0].sd_ln);
    }
}

#[test]
fn band_holds_the_gap_and_goes_with_it() {
    let runner = child("a", 150.0);
    let before = first_gap(runner.clone(), "alternate-walk");
    assert!((before.band_low_m - 0.35 * 1.5).abs() < 1e-9 && (before.band_high_m - 0.58 * 1.5).abs() < 1e-9);
    let after = first_gap(with(runner.clone(), &[tape("alternate-walk", 8.8, 8)]), "alternate-walk");
    assert!(after.band_low_m > before.band_low_m && after.gap_m.median < after.band_high_m);
    let run = first_gap(runner, "alternate-run");
    assert!((run.band_low_m / run.gap_m.median - 0.9).abs() < 1e-12);
    assert!((run.band_high_m / run.gap_m.median - 1.1).abs() < 1e-12);
}

#[test]
fn side_step_leaves_room_for_two_feet_and_the_base() {
    let runner = child("a", 150.0);
    let ladder = Ladder::built_in();
    let side = ladder.get("side-walk").unwrap();
    let at_depth = |base_depth_m| {
        class_gaps(std::slice::from_ref(&runner), &[side], None, base_depth_m, TODAY)[0].gaps[0].clone()
    };
    assert!((at_depth(0.0).gap_m.median - 0.46 * 1.5).abs() < 1e-9);
    let wide = at_depth(0.3);
    assert!((wide.gap_m.median - (2.0 * 0.15 * 1.5 + 0.3)).abs() < 1e-9);
    assert!((libm::exp(wide.mu_ln) - wide.gap_m.median).abs() < 1e-9);
    let huge = at_depth(0.9);
    assert!(huge.band_low_m <= huge.gap_m.median && huge.gap_m.median <= huge.band_high_m);
    assert!(huge.gap_m.low <= huge.gap_m.median && huge.gap_m.median <= huge.gap_m.high);
}

#[test]
fn entries_that_cannot_be_right_are_passed_over_with_one_notice() {
    let rubbish = [
        StrideObservation::StepLength { step_length_m: f64::NAN },
        StrideObservation::StepLength { step_length_m: 130.0 },
        StrideObservation::Tape { drill: None, distance_m: 8.0, steps: 0 },
        StrideObservation::Tape { drill: None, distance_m: -8.0, steps: 6 },
        tape("no-such-drill", 8.0, 6),
        trial("spot-single", 1.3, Verdict::Right),
        trial("alternate-run", 0.0, Verdict::Right),
        StrideObservation::TimedRun {
            distance_m: 20.0,
            steps: 15,
            time_s: Some(0.0),
            effort: 0.75,
            cadence_hz: None,
            cadence_sd_hz: None,
        },
        StrideObservation::TimedRun {
            distance_m: 20.0,
            steps: 15,
            time_s: Some(4.0),
            effort: 7.5,
            cadence_hz: None,
            cadence_sd_hz: None,
        },
        heard(4.4, 12.0, Some(0.05)),
        heard(4.4, 3.35, Some(-0.05)),
        heard(4.4, 3.35, Some(9.0)),
        heard(4.4, f64::NAN, None),
    ];
    let clean = gaps(&[child("a", 150.0)], &EVERY_DRILL).remove(0);
    for entry in &rubbish {
        let seen = gaps(&[with(child("a", 150.0), std::slice::from_ref(entry))], &EVERY_DRILL).remove(0);
        assert_eq!(seen.gaps, clean.gaps, "{entry:?}");
        assert_eq!(notice_ids(&seen), ["stride-observation-passed-over"], "{entry:?}");
    }
    let all = gaps(&[with(child("a", 150.0), &rubbish)], &EVERY_DRILL).remove(0);
    assert_eq!(notice_ids(&all), ["stride-observation-passed-over"]);
    assert_eq!(all.basis, Basis::Stature);
}

#[test]
fn surprising_step_counts_but_asks_for_a_second_look() {
    let seen = with(child("a", 150.0), &[StrideObservation::StepLength { step_length_m: 2.4 }]);
    let seen = gaps(&[seen], &["alternate-run"]).remove(0);
    assert_eq!(notice_ids(&seen), ["stride-steps-surprising"]);
    assert_eq!(seen.basis, Basis::MeasuredSteps);
    let fine = with(child("a", 150.0), &[StrideObservation::StepLength { step_length_m: 1.5 }]);
    assert!(gaps(&[fine], &["alternate-run"])[0].notices.is_empty());
}

#[test]
fn steps_of_a_free_run_may_name_the_free_drill() {
    let unnamed = StrideObservation::Tape { drill: None, distance_m: 8.0, steps: 6 };
    let named = tape("free-run", 8.0, 6);
    let median =
        |what: StrideObservation| first_gap(with(child("a", 150.0), &[what]), "alternate-run").gap_m.median;
    // The free drill is faster, so the same step there means a shorter step at learning effort.
    assert!(median(named) < median(unnamed));
}

#[test]
fn every_notice_has_words() {
    let words = Words::english(Units::Metric);
    for id in [
        "body-growing-fast",
        "body-growing-fast-probably",
        "body-stature-shrank",
        "body-stature-surprising",
        "body-leg-length-odd",
        "body-line-up-out-of-order",
        "body-age-not-usable",
        "body-size-unknown",
        "stride-steps-surprising",
        "stride-observation-passed-over",
        "stride-hurdle-lower",
        "stride-hurdle-floor-line",
    ] {
        assert!(words.has(id), "{id}");
    }
    let leg = normal::log_normal_estimate(libm::log(0.596), 0.03, 0, "body/1");
    assert_eq!(
        words.say(&hurdle_height_cm(&leg, 30.0, &[20.0]).1.unwrap()),
        "A hurdle of 30 cm is 50 % of this child's leg: 20 cm suits better to begin with."
    );
}

/// Every combination of known, unknown and nonsensical facts.
fn every_kind_of_runner() -> Vec<Runner> {
    let mut all = Vec::new();
    let ages = [
        None,
        Some(Age::Years { age_y: 11.0, on: None }),
        Some(Age::Born(date(2013, 7, 1))),
        Some(Age::Born(date(2031, 7, 1))),
        Some(Age::Years { age_y: f64::NAN, on: Some(TODAY) }),
    ];
    let statures = [
        (None, None),
        (Some(149.0), Some(TODAY)),
        (Some(131.0), Some(date(2019, 1, 1))),
        (Some(149.0), None),
        (Some(f64::INFINITY), Some(TODAY)),
        (Some(14.9), Some(date(2040, 1, 1))),
    ];
    let lines = [None, Some((3, 28)), Some((0, 0)), Some((9, 3))];
    let steps = [
        vec![],
        vec![
            StrideObservation::StepLength { step_length_m: 1.3 },
            trial("side-walk", 0.7, Verdict::TooClose),
        ],
        vec![
            StrideObservation::TimedRun {
                distance_m: 20.0,
                steps: 16,
                time_s: Some(4.4),
                effort: 0.75,
                cadence_hz: None,
                cadence_sd_hz: None,
            },
            trial("alternate-run", 0.2, Verdict::TooFar),
            StrideObservation::StepLength { step_length_m: f64::INFINITY },
        ],
    ];
    for sex in [None, Some(Sex::Female), Some(Sex::Male)] {
        for age in ages {
            for (stature_cm, stature_date) in statures {
                for leg_length_cm in [None, Some(78.0), Some(-3.0)] {
                    for line_up in lines {
                        for steps in &steps {
                            let label = format!("r{}", all.len());
                            all.push(Runner {
                                sex,
                                age,
                                stature_cm,
                                stature_date,
                                leg_length_cm,
                                line_up,
                                steps: steps.clone(),
                                stature_before: Some((140.0, date(2025, 9, 1))),
                                ..Runner::named(label.clone(), label)
                            });
                        }
                    }
                }
            }
        }
    }
    all
}

fn assert_sound(all: &[RunnerGaps]) {
    let ordered = |estimate: &Estimate| {
        estimate.low > 0.0
            && estimate.low <= estimate.median
            && estimate.median <= estimate.high
            && estimate.high.is_finite()
    };
    for runner in all {
        assert!(ordered(&runner.stature_cm) && ordered(&runner.leg_length_m) && ordered(&runner.v_max_mps));
        for gap in &runner.gaps {
            assert!(ordered(&gap.gap_m) && gap.mu_ln.is_finite(), "{}: {gap:?}", runner.id.0);
            // Verdicts against all expectation may widen: they are all wrong, or the child is very unusual.
            assert!(gap.sd_ln > 0.0 && gap.sd_ln < 0.8);
            assert!(gap.band_low_m <= gap.gap_m.median && gap.gap_m.median <= gap.band_high_m);
            assert!((libm::exp(gap.mu_ln) / gap.gap_m.median - 1.0).abs() < 1e-12);
        }
    }
}

#[test]
fn answer_is_sound_for_every_combination_of_missing_and_nonsensical_facts() {
    let kinds = every_kind_of_runner();
    assert_sound(&gaps(&kinds, &EVERY_DRILL));
    // Alone, each rests on itself only.
    for runner in &kinds {
        assert_sound(&gaps(std::slice::from_ref(runner), &["alternate-run", "side-run"]));
    }
}

#[test]
fn unit_of_length_does_not_matter() {
    // Shares of stature and tried gaps have no length of their own: a class of dolls gets the gaps of dolls.
    let scale = 0.8;
    let class = |scale: f64| {
        [
            with(child("a", 160.0 * scale), &[trial("alternate-walk", 0.80 * scale, Verdict::TooFar)]),
            with(child("b", 150.0 * scale), &[trial("single-walk", 0.80 * scale, Verdict::Right)]),
            child("c", 170.0 * scale),
        ]
    };
    let drills = ["alternate-walk", "single-walk", "two-contact-run"];
    for (life_size, dolls) in gaps(&class(1.0), &drills).iter().zip(gaps(&class(scale), &drills)) {
        for (life_size, doll) in life_size.gaps.iter().zip(&dolls.gaps) {
            assert!((doll.gap_m.median / life_size.gap_m.median - scale).abs() < 1e-12);
            assert!((doll.band_low_m / life_size.band_low_m - scale).abs() < 1e-12);
            assert!((doll.sd_ln - life_size.sd_ln).abs() < 1e-12);
        }
    }
}

fn any_observation() -> impl Strategy<Value = StrideObservation> {
    let drill = prop::sample::select(EVERY_DRILL.to_vec());
    let verdict = prop::sample::select(vec![Verdict::TooClose, Verdict::Right, Verdict::TooFar]);
    prop_oneof![
        (0.9..1.8f64).prop_map(|step_length_m| StrideObservation::StepLength { step_length_m }),
        (drill.clone(), 0.4..0.9f64, 2..12u32).prop_map(|(drill, step_m, steps)| tape(
            drill,
            step_m * f64::from(steps),
            steps
        )),
        (10..24u32, prop::option::of(3.0..6.0f64), 0.5..1.0f64, prop::option::of(2.5..4.2f64)).prop_map(
            |(steps, time_s, effort, cadence_hz)| StrideObservation::TimedRun {
                distance_m: 20.0,
                steps,
                time_s,
                effort,
                cadence_hz,
                cadence_sd_hz: cadence_hz.map(|hz| 0.02 * hz),
            }
        ),
        (drill, 0.5..1.8f64, verdict).prop_map(|(drill, gap_m, verdict)| trial(drill, gap_m, verdict)),
    ]
}

fn any_runner() -> impl Strategy<Value = Runner> {
    let sex = prop::sample::select(vec![None, Some(Sex::Female), Some(Sex::Male)]);
    (
        sex,
        prop::option::of(7.0..18.0f64),
        prop::option::of(115.0..190.0f64),
        prop::option::of(0.46..0.56f64),
        prop::collection::vec(any_observation(), 0..4),
    )
        .prop_map(|(sex, age_y, stature_cm, leg_share, steps)| Runner {
            sex,
            age: age_y.map(|age_y| Age::Years { age_y, on: Some(TODAY) }),
            stature_cm,
            stature_date: Some(TODAY),
            leg_length_cm: stature_cm.zip(leg_share).map(|(stature_cm, share)| share * stature_cm),
            steps,
            ..Runner::named("a", "a")
        })
}

proptest! {
    #[test]
    fn order_of_the_children_does_not_matter(class in prop::collection::vec(any_runner(), 1..8), turn in 0..8usize) {
        let forward = gaps(&class, &EVERY_DRILL);
        let mut turned = class.clone();
        turned.rotate_left(turn % class.len());
        let mut backward = gaps(&turned, &EVERY_DRILL);
        backward.rotate_right(turn % class.len());
        for (a, b) in forward.iter().zip(&backward) {
            for (a, b) in a.gaps.iter().zip(&b.gaps) {
                prop_assert!((a.mu_ln - b.mu_ln).abs() < 1e-9 && (a.sd_ln - b.sd_ln).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn any_class_gets_sound_gaps(class in prop::collection::vec(any_runner(), 1..8)) {
        assert_sound(&gaps(&class, &EVERY_DRILL));
    }

    #[test]
    fn one_more_measured_step_never_widens_anything(
        class in prop::collection::vec(any_runner(), 1..6), step_share in 0.9..1.1f64,
    ) {
        // Without verdicts the model is exactly Gaussian, and then seeing more can only narrow.
        let mut class = class;
        for runner in &mut class {
            runner.steps.retain(|step| !matches!(step, StrideObservation::Trial { .. }));
        }
        let before = gaps(&class, &EVERY_DRILL);
        let step_m = step_share * before[0].gaps[3].gap_m.median;
        class[0].steps.push(StrideObservation::StepLength { step_length_m: step_m.clamp(0.2, 3.4) });
        let after = gaps(&class, &EVERY_DRILL);
        for (before, after) in before.iter().zip(&after) {
            for (before, after) in before.gaps.iter().zip(&after.gaps) {
                prop_assert!(after.sd_ln <= before.sd_ln + 1e-12);
            }
        }
        prop_assert!(after[0].gaps[3].sd_ln < before[0].gaps[3].sd_ln);
    }

    #[test]
    fn own_verdict_that_was_to_be_expected_narrows(runner in any_runner(), off in -0.1..0.1f64) {
        let before = gaps(std::slice::from_ref(&runner), &["alternate-run"]).remove(0).gaps.remove(0);
        let gap_m = before.gap_m.median * libm::exp(off);
        let mut judged = runner;
        judged.steps.push(trial("alternate-run", gap_m, Verdict::Right));
        let after = gaps(&[judged], &["alternate-run"]).remove(0).gaps.remove(0);
        prop_assert!(after.sd_ln < before.sd_ln);
    }
}

/// Judges a gap as the model says children judge: see `Belief::judged`.
fn judge(seeded: &mut Seeded, gap_m: f64, true_ln: f64) -> Verdict {
    if seeded.uniform() < MISJUDGED_SHARE {
        return [Verdict::TooFar, Verdict::TooClose, Verdict::Right][seeded.below(3)];
    }
    let off = libm::log(gap_m) - true_ln + JUDGEMENT_SD_LN * seeded.normal();
    if off > TOLERANCE_LN {
        Verdict::TooFar
    } else if off < -TOLERANCE_LN {
        Verdict::TooClose
    } else {
        Verdict::Right
    }
}

/// A class with true gaps drawn from the model for one drill, sizes measured exactly enough.
fn drawn_class(seeded: &mut Seeded, count: usize, share: f64, sd_ln: f64) -> (Vec<Runner>, Vec<f64>) {
    let class_offset = CLASS_OFFSET_SD_LN * seeded.normal();
    let own_sd = (sd_ln * sd_ln - CLASS_OFFSET_SD_LN * CLASS_OFFSET_SD_LN).sqrt();
    (0..count)
        .map(|index| {
            let stature_cm = 150.0 + 7.0 * seeded.normal();
            let true_ln = libm::log(share * stature_cm / 100.0) + class_offset + own_sd * seeded.normal();
            (child(&format!("r{index}"), stature_cm), true_ln)
        })
        .unzip()
}

/// Root mean square error of ln gap and share of children inside their 90 % interval.
#[derive(Default)]
struct Score {
    squares: f64,
    inside: f64,
    count: f64,
}

impl Score {
    fn add(&mut self, gaps: &[RunnerGaps], true_ln: &[f64]) {
        for (runner, true_ln) in gaps.iter().zip(true_ln) {
            let error = runner.gaps[0].mu_ln - true_ln;
            self.squares += error * error;
            let true_m = libm::exp(*true_ln);
            let gap_m = &runner.gaps[0].gap_m;
            self.inside += f64::from(u8::from((gap_m.low..=gap_m.high).contains(&true_m)));
            self.count += 1.0;
        }
    }

    fn rms(&self) -> f64 {
        (self.squares / self.count).sqrt()
    }

    fn coverage(&self) -> f64 {
        self.inside / self.count
    }
}

#[test]
fn tried_gaps_find_the_own_gap_as_fast_as_the_design_study_says() {
    // The study: 24 children, prior error 0.117, then after 1 to 8 judged passes the errors below; verdicts without
    // misjudgement there, 5 % misjudged here, hence a little slower.
    const STUDY: [f64; 9] = [0.117, 0.071, 0.052, 0.043, 0.037, 0.034, 0.032, 0.029, 0.027];
    let ladder = Ladder::built_in();
    let mut drill = ladder.get("alternate-walk").unwrap().clone();
    drill.gap.as_mut().unwrap().sd_ln = 0.12;
    let mut seeded = Seeded(11);
    let mut scores: [Score; 9] = Default::default();
    for _ in 0..40 {
        let (mut class, true_ln) = drawn_class(&mut seeded, 24, 0.44, 0.12);
        for score in &mut scores {
            let gaps = class_gaps(&class, &[&drill], None, BASE_DEPTH_M, TODAY);
            score.add(&gaps, &true_ln);
            for ((runner, gaps), true_ln) in class.iter_mut().zip(&gaps).zip(&true_ln) {
                let gap_m = gaps.gaps[0].gap_m.median;
                let verdict = judge(&mut seeded, gap_m, *true_ln);
                runner.steps.push(trial("alternate-walk", gap_m, verdict));
            }
        }
    }
    for (passes, (score, study)) in scores.iter().zip(STUDY).enumerate() {
        let ratio = score.rms() / study;
        assert!((0.9..1.2).contains(&ratio), "{passes} passes: {} against {study}", score.rms());
        assert!((0.87..0.93).contains(&score.coverage()), "{passes} passes: {}", score.coverage());
    }
}

#[test]
fn three_minutes_of_trying_two_gaps_halve_the_error() {
    // Every child tries the 5 cm gap nearest to its own, then the gap that the first verdict suggests.
    let ladder = Ladder::built_in();
    let walk = ladder.get("alternate-walk").unwrap();
    let mut seeded = Seeded(5);
    let mut scores: [Score; 3] = Default::default();
    for _ in 0..60 {
        let (mut class, true_ln) = drawn_class(&mut seeded, 28, 0.44, 0.14);
        for score in &mut scores {
            let gaps = class_gaps(&class, &[walk], None, BASE_DEPTH_M, TODAY);
            score.add(&gaps, &true_ln);
            for ((runner, gaps), true_ln) in class.iter_mut().zip(&gaps).zip(&true_ln) {
                let gap_m = 0.05 * (gaps.gaps[0].gap_m.median / 0.05).round();
                let verdict = judge(&mut seeded, gap_m, *true_ln);
                runner.steps.push(trial("alternate-walk", gap_m, verdict));
            }
        }
    }
    let rms = scores.each_ref().map(Score::rms);
    assert!(rms[2] < 0.5 * rms[0], "{rms:?}");
    for score in &scores {
        assert!((0.87..0.93).contains(&score.coverage()), "{}", score.coverage());
    }
}

#[test]
fn taped_steps_of_some_leave_honest_intervals_for_all() {
    let ladder = Ladder::built_in();
    let walk = ladder.get("alternate-walk").unwrap();
    let mut seeded = Seeded(3);
    let (mut before, mut taped, mut others) = (Score::default(), Score::default(), Score::default());
    for _ in 0..120 {
        let (mut class, true_ln) = drawn_class(&mut seeded, 30, 0.44, 0.14);
        before.add(&class_gaps(&class, &[walk], None, BASE_DEPTH_M, TODAY), &true_ln);
        for (runner, true_ln) in class.iter_mut().zip(&true_ln).take(3) {
            let noise = taped_step(6.0 * libm::exp(*true_ln), 6).variance.sqrt();
            let seen_m = libm::exp(true_ln + noise * seeded.normal());
            runner.steps.push(tape("alternate-walk", 6.0 * seen_m, 6));
        }
        let gaps = class_gaps(&class, &[walk], None, BASE_DEPTH_M, TODAY);
        taped.add(&gaps[..3], &true_ln[..3]);
        others.add(&gaps[3..], &true_ln[3..]);
    }
    assert!(taped.rms() < 0.35 * before.rms(), "{} {}", taped.rms(), before.rms());
    assert!(others.rms() < 0.96 * before.rms(), "{} {}", others.rms(), before.rms());
    for score in [&before, &taped, &others] {
        assert!((0.86..0.94).contains(&score.coverage()), "{}", score.coverage());
    }
}
