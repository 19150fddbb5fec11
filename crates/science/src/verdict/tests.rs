//! Claims about verdicts: one for all who ask, with its day, and the lane before the child.

use lanewright_model::drill::Ladder;
use lanewright_model::run::{HurdleSet, Leg, Observation, Run, Source, Watched, read_lines};

use super::*;
use crate::cause::cause;
use crate::decide::{Action, decide};
use crate::progress;
use crate::seeded::Seeded;

const UNIT: &str = include_str!("../../../../fixtures/demo/unit.jsonl");

fn run(runner: &str, lane: &str, day: u32, minute: u32, knocked: &[u32]) -> Run {
    Run {
        runner: runner.into(),
        drill: "alternate-run".into(),
        lane: lane.into(),
        class: None,
        at: format!("2026-03-{day:02}T10:{minute:02}:00Z").parse().unwrap(),
        lead: None,
        hurdles: 8,
        knocked: HurdleSet::from_numbers(knocked, 8).unwrap(),
        down_before: HurdleSet::default(),
        watched: Watched::Technique,
        faults: vec![],
        effort: Some(0.6),
        exit_sprint: false,
        gap_m: Some(1.25),
        height_cm: Some(30.0),
        setup: format!("{lane}1"),
        source: Source::Tap,
    }
}

fn of(runs: Vec<Run>) -> Vec<Observation> {
    runs.into_iter().map(Observation::Run).collect()
}

/// Judges everything, lanes of the same runs looked at.
fn judged(all: &[Observation]) -> Vec<Decision> {
    let ladder = Ladder::built_in();
    let runs: Vec<&Run> = all
        .iter()
        .filter_map(|seen| match seen {
            Observation::Run(run) => Some(run),
            _ => None,
        })
        .collect();
    let lanes = Lanes::new(&runs, cause(&runs, &ladder).as_ref());
    verdicts(all, &Ask::new(&ladder), Some(&lanes))
}

fn says(decision: &Decision, id: &str) -> bool {
    decision.why.iter().any(|message| message.id == id)
}

#[test]
fn next_steps_and_cards_give_every_child_the_same_figures() {
    let (all, bad) = read_lines(UNIT);
    assert!(bad.is_empty());
    let ladder = Ladder::built_in();
    let mut runners: Vec<&str> = all.iter().map(Observation::runner).collect();
    runners.sort_unstable();
    runners.dedup();
    let ask =
        progress::Ask { runners: &runners, ladder: &ladder, utc_offset_s: 0, losses: Losses::default() };
    let on_cards: Vec<Decision> = progress::progress(&all, &ask)
        .children
        .into_iter()
        .flat_map(|child| child.drills)
        .filter_map(|drill| drill.decision)
        .collect();
    let mut next_steps = verdicts(&all, &Ask::new(&ladder), None);
    assert!(next_steps.len() > 100);
    let place = |decision: &Decision| ladder.drills().iter().position(|drill| drill.id.0 == decision.drill);
    next_steps.sort_by(|a, b| (&a.runner, place(a)).cmp(&(&b.runner, place(b))));
    assert_eq!(next_steps, on_cards);
}

#[test]
fn at_a_moment_that_is_asked_for_every_drill_is_judged_as_of_then() {
    let (all, _) = read_lines(UNIT);
    let ladder = Ladder::built_in();
    let now = "2026-04-20T12:00:00Z".parse().unwrap();
    let mut asked = verdicts(&all, &Ask { at: Some(now), ..Ask::new(&ladder) }, None);
    let plain = decide(&all, &ladder, &Options { now, losses: Losses::default() });
    for decision in &mut asked {
        decision.why.retain(|message| message.id != "why-last-seen");
    }
    assert_eq!(asked, plain);
}

#[test]
fn a_drill_left_behind_keeps_its_verdict_and_says_its_day() {
    let first: Vec<Run> = (0..6).map(|minute| run("a", "A", 2, minute, &[])).collect();
    let later = |day: u32| -> Vec<Run> {
        (0..4)
            .map(|minute| Run { drill: "two-contact-run".into(), ..run("a", "A", day, minute, &[2]) })
            .collect()
    };
    let alone = judged(&of(first.clone()));
    let both = judged(&of([first, later(9), later(30)].concat()));
    let (then, now) = (&alone[0], both.iter().find(|decision| decision.drill == "alternate-run").unwrap());
    assert_eq!((then.action, now.action), (Action::MoveOn, Action::MoveOn));
    assert_eq!(then.as_of, now.as_of);
    assert!(!says(then, "why-last-seen") && says(now, "why-last-seen"));
    // What was seen comes first, its day right behind it.
    assert_eq!(now.why[1].id, "why-last-seen");
    assert!(!says(&both[1], "why-last-seen"), "the latest lesson needs no day");
}

/// Two lanes of six children with five runs each; hurdle 4 of lane B falls for nearly everybody.
fn a_bad_hurdle() -> Vec<Observation> {
    let mut random = Seeded(7);
    let mut all = Vec::new();
    for child in 0..12 {
        let lane = if child < 6 { "A" } else { "B" };
        for minute in 0..5 {
            let knocked: Vec<u32> = (1..=8)
                .filter(|hurdle| {
                    let there = lane == "B" && *hurdle == 4;
                    let share = match (there, child) {
                        (true, 11) => 0.0,
                        (true, _) => 0.7,
                        _ => 0.03,
                    };
                    random.uniform() < share
                })
                .collect();
            all.push(run(&format!("c{child:02}"), lane, 2, minute, &knocked));
        }
    }
    of(all)
}

#[test]
fn a_child_of_a_bad_hurdle_is_told_to_look_at_the_hurdle_first() {
    let all = judged(&a_bad_hurdle());
    for decision in &all {
        let met_it = ("c06".."c11").contains(&decision.runner.as_str());
        assert_eq!(says(decision, "why-lane-hurdle"), met_it, "{}", decision.runner);
        let Some(lanes) = &decision.lanes else { continue };
        let [place] = &lanes.places[..] else { panic!("one place: {lanes:?}") };
        assert_eq!((place.lane.as_str(), place.hurdle, place.met), ("B", 4, 5));
        assert!(place.knocks > 0);
        assert!(lanes.without.clean_rate.mean > decision.clean_rate.mean, "{decision:?}");
        assert!(says(decision, "why-lane-without") || says(decision, "why-lane-without-same"));
    }
    // Who ran there and knocked nothing there has nothing to look at.
    assert!(all.iter().filter(|decision| decision.lanes.is_some()).count() >= 4);
    assert!(all.iter().any(|decision| says(decision, "why-lane-without")), "someone's next step hangs on it");
}

#[test]
fn the_word_about_the_lane_changes_no_figure_of_the_child() {
    let all = a_bad_hurdle();
    let (with, without) = (judged(&all), verdicts(&all, &Ask::new(&Ladder::built_in()), None));
    for (with, without) in with.iter().zip(&without) {
        assert_eq!(
            (with.action, with.p_up, with.clean_rate),
            (without.action, without.p_up, without.clean_rate)
        );
    }
}

#[test]
fn a_leg_is_not_named_for_what_a_bad_hurdle_does() {
    // Always the same lead leg: hurdle 4 is always crossed by the other one.
    let mut all = a_bad_hurdle();
    for observation in &mut all {
        let Observation::Run(run) = observation else { continue };
        run.lead = Some(Leg::Left);
        if run.runner == "c06" {
            let knocked: &[u32] = if run.at.to_string().contains("10:00") { &[4, 6, 8] } else { &[4] };
            run.knocked = HurdleSet::from_numbers(knocked, 8).unwrap();
        }
    }
    let child = |all: &[Decision]| all.iter().find(|decision| decision.runner == "c06").unwrap().clone();
    let blind = child(&verdicts(&all, &Ask::new(&Ladder::built_in()), None));
    assert_eq!(blind.leg.expect("seven against none").leg, Leg::Right);
    let seeing = child(&judged(&all));
    assert!(seeing.leg.is_none() && !says(&seeing, "why-right-leg") && says(&seeing, "why-lane-hurdle"));
}

#[test]
fn sound_lanes_cast_no_doubt() {
    let mut random = Seeded(3);
    let all = (0..60)
        .map(|index| {
            let knocked: Vec<u32> = (1..=8).filter(|_| random.uniform() < 0.08).collect();
            run(&format!("c{:02}", index / 5), "A", 2, index % 5, &knocked)
        })
        .collect();
    assert!(judged(&of(all)).iter().all(|decision| decision.lanes.is_none()));
}
