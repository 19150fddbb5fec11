use proptest::prelude::*;

use super::*;
use crate::change::{self, Quantity};

const CHILD: Exponential = Exponential { v_max_mps: 6.5, tau_s: 1.1 };

fn run(places_m: &[f64], t0_s: f64) -> Vec<Mark> {
    places_m.iter().map(|&x| Mark { distance_m: x, time_s: CHILD.time_s(x) + t0_s }).collect()
}

fn ask(start: Start, sd_s: f64) -> Ask {
    Ask { start, timing: Timing::of_sd(sd_s), course: Course::Flat }
}

fn refusal(marks: &[Mark], ask: &Ask) -> Refusal {
    let said = analyse(marks, ask).unwrap();
    assert!(said.curve.is_none() && said.notes.is_empty(), "{said:?}");
    said.refusal.unwrap()
}

#[test]
fn too_few_marks_are_refused_with_how_many_would_do() {
    let two = run(&[5.0, 10.0], 0.0);
    let first = ask(Start::FirstMovement, 0.005);
    assert_eq!(refusal(&two, &first), Refusal::TooFewMarks { marks: 2, needed: 3 });
    let three = run(&[5.0, 10.0, 20.0], 0.0);
    assert!(analyse(&three, &first).unwrap().curve.is_some());
    assert_eq!(refusal(&three, &ask(Start::Free, 0.005)), Refusal::TooFewMarks { marks: 3, needed: 4 });
}

#[test]
fn a_free_start_needs_finer_timing_than_a_declared_one() {
    let marks = run(&[5.0, 10.0, 15.0, 20.0], 0.1);
    assert_eq!(refusal(&marks, &ask(Start::Free, 0.03)), Refusal::FreeStartTooCoarse { sd_s: 0.03 });
    assert!(analyse(&marks, &ask(Start::Gun { reaction_s: Some(0.1) }, 0.03)).unwrap().curve.is_some());
    assert_eq!(refusal(&marks, &ask(Start::FirstMovement, 0.031)), Refusal::HandTimes { sd_s: 0.031 });
}

#[test]
fn a_start_that_is_not_what_was_said_is_noticed_by_a_time_constant_of_nobody() {
    let places_m = [5.0, 10.0, 20.0, 30.0];
    let late = refusal(&run(&places_m, -0.45), &ask(Start::FirstMovement, 0.005));
    assert_eq!(late, Refusal::TauOutOfRange { too_short: true });
    let early = refusal(&run(&places_m, 0.7), &ask(Start::FirstMovement, 0.005));
    assert_eq!(early, Refusal::TauOutOfRange { too_short: false });
    assert_ne!(late.reason(), early.reason());
}

#[test]
fn times_that_no_person_runs_are_named_and_are_never_the_fastest() {
    let mark = |distance_m, time_s| Mark { distance_m, time_s };
    let marks = [mark(10.0, 2.0), mark(20.0, 2.2), mark(30.0, 3.5), mark(40.0, 4.9)];
    for start in [Start::FirstMovement, Start::Free, Start::Flying { run_up_m: 10.0 }] {
        let said = analyse(&marks, &ask(start, 0.005)).unwrap();
        let Some(Refusal::TooFast { from_m, to_m, .. }) = said.refusal else { panic!("{said:?}") };
        assert_eq!((from_m, to_m), (10.0, 20.0));
        assert_eq!(said.fastest.map(|speed| speed.from_m), Some(20.0), "{said:?}");
    }
    let first = [mark(10.0, 0.2), mark(20.0, 0.3)];
    assert!(matches!(refusal(&first, &ask(Start::Photocell, 0.1)), Refusal::TooFast { from_m: 0.0, .. }));
    assert_eq!(analyse(&first, &ask(Start::Photocell, 0.1)).unwrap().fastest, None);
    // Of a clock that started on the way the first stretch says nothing.
    let late = [mark(5.0, 0.3), mark(10.0, 1.2), mark(15.0, 2.0)];
    assert!(!matches!(refusal(&late, &ask(Start::Free, 0.005)), Refusal::TooFast { .. }));
}

#[test]
fn marks_at_top_speed_leave_the_time_constant_open() {
    let marks: Vec<Mark> = [10.0, 20.0, 30.0]
        .iter()
        .map(|&x| Mark { distance_m: x, time_s: CHILD.time_s(x + 20.0) - CHILD.time_s(20.0) })
        .collect();
    let said = analyse(&marks, &ask(Start::Flying { run_up_m: 20.0 }, 0.02)).unwrap();
    assert!(matches!(said.refusal, Some(Refusal::TauOpen | Refusal::TauOutOfRange { .. })), "{said:?}");
}

#[test]
fn a_runner_who_eases_up_is_fitted_to_where_the_slowing_began() {
    let mut marks = run(&[5.0, 10.0, 15.0, 20.0, 25.0], 0.0);
    // Two seconds for the last five metres.
    marks.push(Mark { distance_m: 30.0, time_s: marks[4].time_s + 2.0 });
    let said = analyse(&marks, &ask(Start::FirstMovement, 0.005)).unwrap();
    let curve = said.curve.unwrap();
    assert_eq!(curve.marks_used, 5);
    assert!((curve.v_max_mps.median - 6.5).abs() < 1e-6);
    assert!(said.notes.iter().any(|note| note.id == "sprint-note-slower"));
}

#[test]
fn times_further_off_than_their_timing_explains_widen_the_interval_and_say_so() {
    let mut marks = run(&[5.0, 10.0, 15.0, 20.0, 25.0], 0.0);
    let plain = analyse(&marks, &ask(Start::FirstMovement, 0.005)).unwrap().curve.unwrap();
    marks[1].time_s += 0.06;
    let said = analyse(&marks, &ask(Start::FirstMovement, 0.005)).unwrap();
    let off = said.curve.unwrap();
    assert!(off.tau_s.high - off.tau_s.low > 2.0 * (plain.tau_s.high - plain.tau_s.low));
    assert!(said.notes.iter().any(|note| note.id == "sprint-note-misfit"));
}

#[test]
fn an_unknown_reaction_leaves_more_open_than_a_measured_one() {
    let marks = run(&[5.0, 10.0, 15.0, 20.0], 0.17);
    let width = |reaction_s| {
        let curve = analyse(&marks, &ask(Start::Gun { reaction_s }, 0.005)).unwrap().curve.unwrap();
        curve.tau_s.high - curve.tau_s.low
    };
    assert!(width(None) > 2.0 * width(Some(0.17)));
}

#[test]
fn marks_that_are_no_run_are_refused_by_their_place() {
    let ask = ask(Start::FirstMovement, 0.005);
    assert_eq!(analyse(&[], &ask), Err(MarksError::Empty));
    let mark = |distance_m, time_s| Mark { distance_m, time_s };
    assert!(matches!(analyse(&[mark(0.0, 1.0)], &ask), Err(MarksError::NotPositive { mark: 1, .. })));
    assert!(matches!(analyse(&[mark(5.0, f64::NAN)], &ask), Err(MarksError::NotPositive { mark: 1, .. })));
    let back = [mark(5.0, 2.0), mark(10.0, 1.9)];
    assert!(matches!(analyse(&back, &ask), Err(MarksError::NotRising { mark: 2, .. })));
}

#[test]
fn hurdles_cost_what_the_hurdled_times_are_longer_by() {
    let error = change::typical_error(&[], Quantity::Seconds { timing_sd_s: 0.1 });
    let cost = hurdles_cost(&[4.0, 4.2], &[5.0, 5.2, 5.1], 8, &error).unwrap();
    assert!((cost.seconds.median - 1.0).abs() < 1e-12 && (cost.per_hurdle_s.median - 0.125).abs() < 1e-12);
    assert!((cost.share.median - 1.0 / 4.1).abs() < 1e-12 && cost.seconds.n == 5);
    let half = Z_95 * error.value * (0.5f64 + 1.0 / 3.0).sqrt();
    assert!((cost.seconds.high - 1.0 - half).abs() < 1e-12);
    assert!(
        hurdles_cost(&[], &[5.0], 8, &error).is_none() && hurdles_cost(&[4.0], &[5.0], 0, &error).is_none()
    );
}

proptest! {
    /// Whatever the marks: no panic, one answer or the other, and a curve only within its rules.
    #[test]
    fn a_curve_is_said_or_refused_never_both(
        steps in proptest::collection::vec((0.1f64..20.0, 0.01f64..4.0), 1..9),
        which in 0usize..6, sd_s in 0.0001f64..0.2, hurdled: bool,
    ) {
        let start = [
            Start::Gun { reaction_s: None },
            Start::Gun { reaction_s: Some(0.2) },
            Start::FirstMovement,
            Start::Photocell,
            Start::Flying { run_up_m: 3.0 },
            Start::Free,
        ][which];
        let mut at = Mark { distance_m: 0.0, time_s: 0.0 };
        let marks: Vec<Mark> = steps
            .into_iter()
            .map(|(metres, seconds)| {
                at = Mark { distance_m: at.distance_m + metres, time_s: at.time_s + seconds };
                at
            })
            .collect();
        let course = if hurdled { Course::Hurdled } else { Course::Flat };
        let said = analyse(&marks, &Ask { start, timing: Timing::of_sd(sd_s), course }).unwrap();
        prop_assert!(said.curve.is_some() != said.refusal.is_some());
        for split in &said.splits {
            prop_assert!(split.speed.low_mps <= split.speed.speed_mps);
            prop_assert!(split.speed.high_mps.is_none_or(|high| high >= split.speed.speed_mps));
        }
        if let Some(curve) = said.curve {
            prop_assert!(!hurdled && sd_s <= CURVE_TIMING_SD_MAX_S);
            prop_assert!(start != Start::Free || sd_s <= FREE_TIMING_SD_MAX_S);
            prop_assert!((TAU_RANGE_S[0]..=TAU_RANGE_S[1]).contains(&curve.tau_s.median));
            for estimate in [&curve.v_max_mps, &curve.tau_s, &curve.t0_s] {
                prop_assert!(estimate.low <= estimate.median && estimate.median <= estimate.high);
            }
            prop_assert_eq!(curve.residuals_s.len(), curve.marks_used as usize);
        }
    }
}
