use jiff::Timestamp;
use jiff::civil::date;
use lanewright_model::kit::{HurdleStock, Kit, Space};
use lanewright_model::run::{HurdleSet, Run, Source};
use lanewright_model::runner::{Runner, RunnerId};

use super::*;
use crate::decide::{Losses, Options};
use crate::seeded::Seeded;

fn now() -> Timestamp {
    "2026-03-02T10:00:00Z".parse().unwrap()
}

fn class(count: usize) -> Vec<Runner> {
    let mut numbers = Seeded(5);
    (0..count)
        .map(|index| {
            let mut runner = Runner::named(format!("r{index:02}"), format!("Child {index}"));
            runner.stature_cm = Some((146.0 + 8.0 * numbers.normal()).clamp(120.0, 180.0));
            runner
        })
        .collect()
}

fn run(runner: &str, drill: &str, knocked: &[u32], faults: &[&str]) -> Observation {
    Observation::Run(Run {
        runner: runner.into(),
        drill: drill.into(),
        lane: "A".into(),
        class: None,
        at: now(),
        lead: None,
        hurdles: 8,
        knocked: HurdleSet::from_numbers(knocked, 8).unwrap(),
        down_before: HurdleSet::default(),
        watched: Watched::Technique,
        faults: faults.iter().map(|fault| (*fault).to_owned()).collect(),
        effort: None,
        exit_sprint: false,
        gap_m: None,
        height_cm: None,
        setup: "A1".into(),
        source: Source::Tap,
    })
}

struct Asked {
    ladder: Ladder,
    history: Vec<Observation>,
    lanes: PlanInput,
}

impl Asked {
    fn new(children: usize) -> Self {
        let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: 24 }], ..Kit::default() };
        let mut lanes = PlanInput::new(class(children), Vec::new(), kit, date(2026, 3, 2));
        lanes.space = Some(Space::hall(36.0, 20.0));
        Self { ladder: Ladder::built_in(), history: Vec::new(), lanes }
    }

    fn input(&self, use_for: Use, minutes: u32) -> LessonInput<'_> {
        let decide = Options { now: now(), losses: Losses::default() };
        let mut input =
            LessonInput::new(self.lanes.clone(), &self.ladder, &self.history, decide, use_for, minutes);
        // A debug build is slow; the plan found is the same.
        input.steps_max = 2_000_000;
        input
    }
}

/// Everything that a plan promises, checked from what it says of itself.
fn holds(lesson: &Lesson, input: &LessonInput) {
    let fixed: u32 = lesson.fixed.iter().map(|part| part.minutes).sum();
    let blocks: u32 = lesson.blocks.iter().map(|block| block.minutes + block.change_minutes).sum();
    assert_eq!(lesson.total_minutes, fixed + blocks);
    assert!(lesson.total_minutes <= input.minutes);
    // The value, from rho, worth and easier alone.
    let mut runs: BTreeMap<(&str, &str), f64> = BTreeMap::new();
    for block in &lesson.blocks {
        assert!((BLOCK_MINUTES.0..=BLOCK_MINUTES.1).contains(&block.minutes));
        let mains: BTreeSet<&DrillId> = block.groups.iter().map(|group| &group.drill).collect();
        assert!(mains.len() <= (input.lanes.adults * MAINS_PER_ADULT) as usize);
        for (own, group) in block.groups.iter().zip(&lesson.groups) {
            assert_eq!(own.lane, group.lane);
            for runner in &group.runners {
                let drill = own.easier.get(runner).unwrap_or(&own.drill);
                let more = group.rho[&drill.0] * f64::from(block.minutes);
                *runs.entry((runner, drill.0.as_str())).or_default() += more;
                if let (Some(gap_m), Some(easier_m)) =
                    (group.spacing_m.get(&own.drill.0), group.spacing_m.get(&drill.0))
                {
                    assert_eq!(gap_m, easier_m, "one lane, one gap");
                }
            }
        }
    }
    let value: f64 = runs
        .iter()
        .map(|((runner, drill), runs)| {
            let worth = lesson.worth[*runner][*drill];
            worth.w * worth.e_g * (1.0 - libm::exp(-runs / RUNS_SCALE))
        })
        .sum();
    assert!((value - lesson.value).abs() < 1e-9, "{value} against {}", lesson.value);
    assert!(lesson.bound >= lesson.value);
}

#[test]
fn a_new_class_walks_before_it_runs() {
    let asked = Asked::new(24);
    let input = asked.input(Use::Lesson, 50);
    let lesson = lesson(&input).unwrap();
    holds(&lesson, &input);
    let first = &lesson.blocks[0];
    assert!(first.groups.iter().all(|group| group.drill.0 == "single-walk"), "{first:?}");
    assert!(lesson.notes.iter().any(|note| note.id == "lesson-note-new-class"));
    // Runs come only for those whose walk was done often enough before.
    assert!(
        lesson.blocks.iter().flat_map(|block| &block.groups).all(|group| group.drill.0 != "alternate-run")
    );
}

#[test]
fn a_class_that_walks_clean_runs() {
    let mut asked = Asked::new(12);
    for runner in &asked.lanes.runners {
        for _ in 0..6 {
            asked.history.push(run(&runner.id.0, "single-walk", &[], &[]));
            asked.history.push(run(&runner.id.0, "alternate-walk", &[], &[]));
        }
    }
    let input = asked.input(Use::Lesson, 50);
    let lesson = lesson(&input).unwrap();
    holds(&lesson, &input);
    let runs = |group: &BlockGroup| !asked.ladder.get(&group.drill.0).unwrap().walk;
    assert!(lesson.blocks.iter().flat_map(|block| &block.groups).any(runs));
}

#[test]
fn the_key_fault_keeps_a_drill_from_counting_as_clean() {
    let mut asked = Asked::new(6);
    for _ in 0..6 {
        asked.history.push(run("r00", "single-walk", &[], &[]));
        asked.history.push(run("r01", "single-walk", &[], &["goes-round"]));
    }
    let lesson = lesson(&asked.input(Use::Station, 12)).unwrap();
    assert!(lesson.worth["r00"]["single-walk"].clean);
    assert!(!lesson.worth["r01"]["single-walk"].clean);
}

#[test]
fn whoever_goes_easy_makes_no_turns() {
    let mut asked = Asked::new(8);
    for runner in &asked.lanes.runners {
        for drill in ["single-walk", "alternate-walk", "side-walk", "side-run"] {
            for _ in 0..6 {
                asked.history.push(run(&runner.id.0, drill, &[], &[]));
            }
        }
    }
    asked.lanes.easy = vec![RunnerId("r03".into())];
    let mut input = asked.input(Use::Lesson, 50);
    input.pins = vec![PinAsk { block: 0, drill: Some(DrillId("side-shuttle".into())), ..PinAsk::default() }];
    let lesson = lesson(&input).unwrap();
    holds(&lesson, &input);
    let first = lesson.blocks[0].groups.iter().find(|group| group.easier.contains_key("r03")).unwrap();
    assert_eq!(first.easier["r03"].0, "side-run");
    assert_eq!(lesson.worth["r03"]["side-shuttle"].w, 0.0);
}

#[test]
fn what_the_coach_fixes_stands() {
    let asked = Asked::new(20);
    let mut input = asked.input(Use::Lesson, 50);
    let free = lesson(&input).unwrap();
    input.pins = vec![PinAsk {
        block: 1,
        minutes: Some(10),
        drill: Some(DrillId("single-walk".into())),
        lanes: BTreeMap::new(),
    }];
    let fixed = lesson(&input).unwrap();
    holds(&fixed, &input);
    assert_eq!(fixed.blocks[1].minutes, 10);
    assert!(fixed.blocks[1].groups.iter().all(|group| group.drill.0 == "single-walk"));
    assert!(fixed.value <= free.value + search::TIE);
    input.pins.clear();
    input.without = vec![DrillId("single-walk".into())];
    let without = lesson(&input);
    assert!(matches!(without, Err(LessonError::NoDrill)), "nothing is open without it: {without:?}");
}

#[test]
fn helping_children_have_jobs_and_lanes_have_setters() {
    let asked = Asked::new(20);
    let mut input = asked.input(Use::Lesson, 50);
    input.helping = vec!["Noor".into()];
    let lesson = lesson(&input).unwrap();
    assert_eq!(lesson.jobs.len(), 1);
    assert_eq!(lesson.blocks[0].groups[0].setters[0], "Noor");
    assert!(lesson.blocks.iter().flat_map(|block| &block.groups).all(|group| !group.setters.is_empty()));
    assert!(lesson.more_moving.len() <= 3);
}

#[test]
fn a_station_has_a_card_and_a_warm_up_is_short() {
    let asked = Asked::new(10);
    let station = lesson(&asked.input(Use::Station, 12)).unwrap();
    assert!(!station.card.is_empty() && station.blocks.len() <= 2);
    let warm_up = lesson(&asked.input(Use::WarmUp, 8)).unwrap();
    assert!(warm_up.card.is_empty() && warm_up.blocks.len() <= 2 && warm_up.total_minutes <= 8);
}

#[test]
fn what_would_keep_them_moving_starts_from_the_moving_time_that_is_said() {
    for (use_for, minutes) in [(Use::Lesson, 50), (Use::Station, 15)] {
        let asked = Asked::new(24);
        let lesson = lesson(&asked.input(use_for, minutes)).unwrap();
        for help in &lesson.more_moving {
            let share = help.moving_share;
            assert!(
                (share.before - lesson.moving.share_of_blocks).abs() < 1e-9,
                "{share:?} {:?}",
                lesson.moving
            );
            let percent = |share: f64| (share * 100.0).round();
            assert!(percent(share.after) > percent(share.before), "{share:?}");
        }
        assert!(!lesson.more_moving.is_empty());
    }
}

#[test]
fn short_gaps_that_do_not_rise_with_the_letters_are_said() {
    let mut seen = 0;
    for children in 18..30 {
        let asked = Asked::new(children);
        let lesson = lesson(&LessonInput { steps_max: 20_000, ..asked.input(Use::Lesson, 50) }).unwrap();
        let long: Vec<f64> =
            lesson.plan.iter().flat_map(|plan| &plan.lanes).map(|lane| lane.spacing_m).collect();
        assert!(long.is_sorted(), "{long:?}");
        let falls = lesson.blocks.iter().any(|block| {
            let short = block.groups.iter().filter(|group| group.setting == Setting::Short);
            !short.map(|group| group.gap_m).is_sorted()
        });
        let said = lesson.notes.iter().any(|note| note.id == "lesson-note-letters");
        assert_eq!(said, falls);
        seen += u32::from(falls);
    }
    assert!((1..12).contains(&seen), "{seen} of 12 classes");
}

#[test]
fn no_time_is_said_with_what_takes_it() {
    let asked = Asked::new(10);
    assert_eq!(
        lesson(&asked.input(Use::Lesson, 24)).unwrap_err(),
        LessonError::NoTime { minutes: 24, fixed: 23 }
    );
    let mut input = asked.input(Use::Lesson, 50);
    input.only = vec![DrillId("moonwalk".into())];
    assert_eq!(lesson(&input).unwrap_err(), LessonError::UnknownDrill(DrillId("moonwalk".into())));
}

#[test]
fn the_order_of_the_class_list_decides_nothing() {
    let asked = Asked::new(16);
    let first = lesson(&asked.input(Use::Lesson, 45)).unwrap();
    let mut turned = Asked::new(16);
    turned.lanes.runners.reverse();
    let second = lesson(&turned.input(Use::Lesson, 45)).unwrap();
    assert!((first.value - second.value).abs() < 1e-9);
    let drills = |lesson: &Lesson| {
        lesson
            .blocks
            .iter()
            .map(|block| block.groups.iter().map(|group| group.drill.clone()).collect::<Vec<_>>())
            .collect::<Vec<_>>()
    };
    assert_eq!(drills(&first), drills(&second));
}

/// Three rounds of lane A's queue, one start every so many seconds, as they were tapped.
fn rounds(lesson: &Lesson, drill: &str, every_s: i64) -> Vec<Observation> {
    let queue = &lesson.groups[0];
    let starts = (0..3).flat_map(|_| queue.runners.iter()).zip(0i64..);
    starts
        .map(|(runner, start)| {
            let Observation::Run(mut seen) = run(runner, drill, &[], &[]) else { unreachable!("a run") };
            seen.at = Timestamp::from_second(now().as_second() - 3600 + start * every_s).unwrap();
            seen.gap_m = queue.spacing_m.get(drill).copied();
            seen.hurdles = queue.hurdles;
            Observation::Run(seen)
        })
        .collect()
}

#[test]
fn the_pace_of_the_classs_own_starts_is_used_and_said() {
    let mut asked = Asked::new(16);
    let usual = lesson(&asked.input(Use::Lesson, 45)).unwrap();
    assert_eq!(usual.pace, None);
    let children = usual.groups[0].runners.len() as f64;
    let drill = usual.blocks[0].groups[0].drill.0.clone();
    let model_s = usual.blocks[0].groups[0].flow.interval_s / children;
    // The plan expects falls, these runs had none: what the model says of them is a third less.
    for factor in [0.7, 1.0] {
        let every_s = (factor * model_s).round() as i64;
        asked.history = rounds(&usual, &drill, every_s);
        let planned = lesson(&asked.input(Use::Lesson, 45)).unwrap();
        holds(&planned, &asked.input(Use::Lesson, 45));
        let pace = planned.pace.clone().expect("three rounds were tapped");
        let lane = pace.lanes["A"];
        assert!(lane.low_s <= every_s as f64 && every_s as f64 <= lane.high_s, "{lane:?}");
        assert!((lane.every_s / every_s as f64 - 1.0).abs() < 0.15, "{lane:?}");
        assert!(planned.notes.iter().any(|note| note.id == "lesson-note-pace"));
        // Another lane goes at the pace of the class.
        assert_eq!(pace.factor_of("B"), pace.factor);
        for group in planned.blocks.iter().flat_map(|block| &block.groups).filter(|group| group.lane == "A") {
            let model = group.flow.interval_s / pace.factor_of("A");
            assert!((60.0 / group.flow.runs_per_min - model * pace.factor_of("A")).abs() < 1e-6);
            if group.drill.0 == drill {
                assert!(
                    (group.flow.interval_s / (children * every_s as f64) - 1.0).abs() < 0.25,
                    "{group:?}"
                );
            }
        }
    }
    // A child with one run where the others have three, and runs typed in all at once, say nothing of the pace.
    let mut missing = rounds(&usual, &drill, model_s.round() as i64);
    missing.remove(usual.groups[0].runners.len());
    missing.remove(0);
    asked.history = missing;
    assert_eq!(lesson(&asked.input(Use::Lesson, 45)).unwrap().pace, None);
    asked.history = rounds(&usual, &drill, 0);
    assert_eq!(lesson(&asked.input(Use::Lesson, 45)).unwrap().pace, None);
    // Somebody watched four lanes in turn: full rounds, every fourth run.
    asked.history = rounds(&usual, &drill, (4.0 * model_s).round() as i64);
    assert_eq!(lesson(&asked.input(Use::Lesson, 45)).unwrap().pace, None);
}

#[test]
fn in_a_small_hall_what_does_not_stand_there_stays_out_however_many_hurdles_there_are() {
    for hurdles in [12, 18, 24, 30] {
        let mut asked = Asked::new(26);
        asked.lanes.kit.hurdles[0].count = hurdles;
        asked.lanes.space = Some(Space::hall(18.0, 9.0));
        let planned = lesson(&asked.input(Use::Lesson, 45)).unwrap();
        assert!(planned.fits, "{hurdles} hurdles");
        assert!(planned.notes.iter().any(|note| note.id == "lesson-note-left-out"));
        holds(&planned, &asked.input(Use::Lesson, 45));
        // Whoever asks for fewer hurdles in a lane gets no more.
        asked.lanes.hurdles_per_lane_max = Some(4);
        let fewer = lesson(&asked.input(Use::Lesson, 45)).unwrap();
        assert!(fewer.fits && fewer.groups.iter().all(|group| group.hurdles <= 4));
    }
    // A corridor on which no lane stands says so.
    let mut asked = Asked::new(26);
    asked.lanes.space = Some(Space::hall(8.0, 2.0));
    assert!(!lesson(&asked.input(Use::Lesson, 45)).unwrap().fits);
}
