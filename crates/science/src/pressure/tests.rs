use lanewright_model::run::{HurdleSet, Run, Source, Watched};

use super::*;
use crate::decide::{self, Losses};
use crate::seeded::Seeded;

fn options() -> Options {
    Options { now: "2026-03-02T11:00:00Z".parse().unwrap(), losses: Losses::default() }
}

fn run(runner: &str, effort: f64, exit_sprint: bool, knocked: &[u32], faults: &[&str]) -> Observation {
    Observation::Run(Run {
        runner: runner.to_owned(),
        drill: "alternate-run".to_owned(),
        lane: "A".to_owned(),
        class: None,
        at: "2026-03-02T10:00:00Z".parse().unwrap(),
        lead: None,
        hurdles: 8,
        knocked: HurdleSet::from_numbers(knocked, 8).unwrap(),
        down_before: HurdleSet::default(),
        watched: Watched::Technique,
        faults: faults.iter().map(|fault| (*fault).to_owned()).collect(),
        effort: Some(effort),
        exit_sprint,
        gap_m: None,
        height_cm: None,
        setup: "A".to_owned(),
        source: Source::Tap,
    })
}

/// A class in the middle, so that its parameters are those of a class.
fn class() -> Vec<Observation> {
    let mut random = Seeded(6);
    let mut runs = Vec::new();
    for child in 0..20 {
        for _ in 0..4 {
            let knocked: Vec<u32> = (1..=8).filter(|_| random.uniform() < 0.07).collect();
            runs.push(run(&format!("c{child:02}"), 0.6, false, &knocked, &[]));
        }
    }
    runs
}

fn judged(runs: &[Observation], runner: &str) -> UnderPressure {
    let ladder = Ladder::built_in();
    let model = ClassModel::learn(runs, &ladder, &options());
    judge(&model, runner, "alternate-run", &[], &options()).unwrap()
}

#[test]
fn a_child_who_stays_clean_as_the_effort_rises_holds_to_the_top_seen() {
    let mut runs = class();
    for effort in [0.6, 0.7, 0.8, 0.9] {
        runs.extend((0..4).map(|_| run("a", effort, false, &[], &[])));
    }
    let judged = judged(&runs, "a");
    assert_eq!(judged.ladder.highest_effort, Some(0.9), "{judged:?}");
    assert_eq!(judged.effort.unwrap().verdict, PressureVerdict::Holds);
    assert_eq!(judged.ladder.steps.iter().map(|step| step.runs).sum::<u32>(), 16);
    assert!(
        judged.ladder.steps.iter().all(|step| step.needed == if step.effort < 0.75 { 0.90 } else { 0.85 })
    );
}

#[test]
fn a_child_who_falls_apart_at_speed_breaks_there_and_holds_below() {
    let mut runs = class();
    runs.extend((0..10).map(|_| run("b", 0.5, false, &[], &[])));
    runs.extend((0..6).map(|_| run("b", 0.9, false, &[3, 4, 5, 6], &[])));
    let judged = judged(&runs, "b");
    let verdicts: Vec<_> = judged.ladder.steps.iter().map(|step| step.verdict).collect();
    assert_eq!(verdicts, [PressureVerdict::Holds, PressureVerdict::Breaks], "{judged:?}");
    assert_eq!((judged.ladder.highest_effort, judged.ladder.next_effort), (Some(0.5), Some(0.6)));
    let effort = judged.effort.unwrap();
    assert!(effort.verdict == PressureVerdict::Breaks && effort.difference.high < 0.0);
    assert!(judged.why.iter().any(|why| why.id == "pressure-clean-up-to"));
}

#[test]
fn one_run_at_an_effort_is_not_enough_seen() {
    let mut runs = class();
    runs.extend((0..4).map(|_| run("d", 0.6, false, &[], &[])));
    runs.push(run("d", 0.9, false, &[], &[]));
    let judged = judged(&runs, "d");
    assert_eq!(judged.ladder.steps[1].verdict, PressureVerdict::NotEnoughSeen);
    assert_eq!(judged.effort.unwrap().verdict, PressureVerdict::NotEnoughSeen);
    assert_ne!(judged.ladder.highest_effort, Some(0.9));
}

#[test]
fn the_exit_sprint_is_judged_as_the_next_step_judges_it() {
    let mut runs = class();
    runs.extend((0..5).map(|_| run("e", 0.6, false, &[], &[])));
    runs.extend((0..5).map(|_| run("e", 0.6, true, &[4, 5, 6, 7], &["hops"])));
    let judged = judged(&runs, "e");
    let decisions = decide::decide(&runs, &Ladder::built_in(), &options());
    let decision = decisions.iter().find(|decision| decision.runner == "e").unwrap();
    assert_eq!(judged.sprint, decision.under_sprint);
    assert_eq!(judged.sprint.unwrap().verdict, PressureVerdict::Breaks);
    // Runs with a sprint stay out of the ladder of efforts.
    assert_eq!(judged.ladder.steps.iter().map(|step| step.runs).sum::<u32>(), 5);
    let rhythm = judged.rhythm.unwrap();
    assert!(rhythm.verdict == PressureVerdict::Breaks && rhythm.difference.high < 0.0, "{rhythm:?}");
}

#[test]
fn steps_heard_in_both_are_compared_as_a_ratio() {
    let step = |exit_sprint, cv| StepEvenness {
        runner: "a".into(),
        drill: "alternate-run".into(),
        exit_sprint,
        cv,
        steps: 12,
    };
    let of = |plain: f64, sprint: f64| {
        let heard: Vec<StepEvenness> =
            (0..6).flat_map(|_| [step(false, plain), step(true, sprint)]).collect();
        steps::evenness(&heard, "a", "alternate-run").unwrap()
    };
    assert_eq!(of(0.06, 0.06).verdict, PressureVerdict::Holds);
    let breaks = of(0.06, 0.12);
    assert_eq!(breaks.verdict, PressureVerdict::Breaks);
    assert!(breaks.difference.low > 0.0 && (breaks.difference.mean - 0.06).abs() < 1e-12);
    assert!(steps::evenness(&[step(false, 0.06)], "a", "alternate-run").is_none());
    let single = [step(false, 0.06), step(true, 0.2)];
    let single = steps::evenness(&single, "a", "alternate-run").unwrap();
    assert_eq!(single.verdict, PressureVerdict::NotEnoughSeen);
}

/// Chances are what they say: of simulated children who are said to hold at an effort with chance p, about that many
/// do.
#[test]
fn chances_along_the_ladder_come_true() {
    let mut random = Seeded(21);
    let ladder = Ladder::built_in();
    let drill = ladder.get("alternate-run").unwrap();
    let parameters = decide::fit::DEFAULTS;
    let known = decide::Known::default();
    let (mut expected, mut came_true, mut variance) = (0.0, 0.0, 0.0);
    let (mut inside, mut of) = (0, 0);
    for _ in 0..500 {
        let (ability, own) = (random.normal(), random.normal() * EFFORT_OWN_SD_PER_TENTH);
        let at = |effort: f64| {
            let tenths = (effort * 10.0).round() - (drill.effort * 10.0).round();
            parameters.chain(ability + (decide::EFFORT_SHIFT_PER_TENTH + own) * tenths)
        };
        let mut runs = Vec::new();
        for effort in [0.5, 0.7, 0.9] {
            for _ in 0..3 {
                let chain = at(effort);
                let mut broken = false;
                let knocked: Vec<u32> = (1..=8)
                    .filter(|_| {
                        let turn = random.uniform();
                        broken = turn < if broken { chain.stay_p } else { chain.break_p };
                        random.uniform() < if broken { chain.knock_broken_p } else { chain.knock_sound_p }
                    })
                    .collect();
                runs.push(run("x", effort, false, &knocked, &[]));
            }
        }
        let model = ClassModel::with(&runs, &ladder, &options(), &known);
        let judged = judge(&model, "x", "alternate-run", &[], &options()).unwrap();
        let top = judged.ladder.steps.last().unwrap();
        let truth = at(0.9).clean_rate(8);
        expected += top.p_enough;
        variance += top.p_enough * (1.0 - top.p_enough);
        came_true += f64::from(truth >= top.needed);
        for step in &judged.ladder.steps {
            let truth = at(step.effort).clean_rate(8);
            inside += u32::from(step.clean_rate.low <= truth && truth <= step.clean_rate.high);
            of += 1;
        }
    }
    assert!((expected - came_true).abs() < 3.0 * variance.sqrt(), "{expected:.1} and {came_true}");
    let share = f64::from(inside) / f64::from(of);
    assert!((0.87..0.94).contains(&share), "{share}");
}
