use jiff::Timestamp;
use jiff::civil::date;
use lanewright_model::drill::Ladder;
use lanewright_model::kit::{HurdleStock, Kit, Space};
use lanewright_model::run::{HurdleSet, Run, Source, Watched};
use lanewright_model::runner::Runner;
use lanewright_model::words::{Units, Words};

use super::*;
use crate::decide::{Losses, Options};
use crate::lesson::Use;
use crate::lesson::worth::gain;
use crate::plan::PlanInput;

const WALKS: [&str; 2] = ["single-walk", "alternate-walk"];

fn at(day: &str) -> Timestamp {
    format!("{day}T10:00:00Z").parse().unwrap()
}

fn run(runner: usize, drill: &str, day: &str, knocked: &[u32]) -> Observation {
    Observation::Run(Run {
        runner: format!("r{runner:02}"),
        drill: drill.into(),
        lane: "A".into(),
        class: None,
        at: at(day),
        lead: None,
        hurdles: 8,
        knocked: HurdleSet::from_numbers(knocked, 8).unwrap(),
        down_before: HurdleSet::default(),
        watched: Watched::Knocks,
        faults: Vec::new(),
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
        let runners = (0..children)
            .map(|index| {
                let mut runner = Runner::named(format!("r{index:02}"), format!("Child {index}"));
                runner.stature_cm = Some(138.0 + 2.0 * index as f64);
                runner
            })
            .collect();
        let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: 24 }], ..Kit::default() };
        let mut lanes = PlanInput::new(runners, Vec::new(), kit, date(2026, 3, 2));
        lanes.space = Some(Space::hall(36.0, 20.0));
        Self { ladder: Ladder::built_in(), history: Vec::new(), lanes }
    }

    /// `runs` runs of every child at a drill on a day, with `falls` of the first hurdles down in each.
    fn seen(&mut self, drill: &str, day: &str, runs: usize, falls: u32) -> &mut Self {
        let knocked: Vec<u32> = (1..=falls).collect();
        for child in 0..self.lanes.runners.len() {
            for _ in 0..runs {
                self.history.push(run(child, drill, day, &knocked));
            }
        }
        self
    }

    fn input(&self, dates: Vec<Date>) -> UnitInput<'_> {
        let now = at(&dates[0].to_string());
        let decide = Options { now, losses: Losses::default() };
        let mut lesson =
            LessonInput::new(self.lanes.clone(), &self.ladder, &self.history, decide, Use::Lesson, 50);
        lesson.steps_max = 500_000;
        UnitInput { lesson, dates, draws: 100, seed: 7 }
    }
}

fn weekly(first: Date, count: i64) -> Vec<Date> {
    (0..count).map(|week| first + jiff::Span::new().days(7 * week)).collect()
}

fn drills(lesson: &UnitLesson) -> Vec<&str> {
    lesson.blocks.iter().flat_map(|block| block.drills.values()).map(|drill| drill.0.as_str()).collect()
}

#[test]
fn a_typical_child_goes_from_60_to_88_percent_in_about_forty_runs() {
    let (mut x, end, mut runs) = (learning::logit(0.60), learning::logit(0.88), 0);
    while x < end {
        x += GAIN_PER_RUN * gain(crate::decide::fit::logistic(x));
        runs += 1;
    }
    assert!((f64::from(runs) - RUNS_60_TO_88).abs() <= 2.0, "{runs}");
}

#[test]
fn what_rest_takes_does_not_depend_on_how_it_is_cut() {
    let asked = Asked::new(4);
    let input = asked.input(weekly(date(2026, 3, 2), 1));
    let drills = hurdle_drills(&input.lesson);
    let runners = ["r00"];
    let learned = Learned::new(&input.lesson, &model_of(&input.lesson), &runners, &drills);
    let mut skill = learned.draw(0, &mut Seeded(1))[0][0];
    let before = skill.x;
    skill.rest(30.0);
    assert_eq!(skill.x, before, "what was never run is not forgotten");
    learned.run(&mut skill, 1, 0, &mut Seeded(1));
    let (mut whole, mut cut) = (skill, skill);
    whole.rest(21.0);
    cut.rest(7.0);
    cut.rest(14.0);
    assert!((whole.x - cut.x).abs() < 1e-12);
    assert!((skill.x - whole.x - loss(21.0)).abs() < 1e-12 && loss(21.0) < LOSS_MOST);
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_one_differs_by_chance_only() {
    let mut asked = Asked::new(12);
    asked.seen("single-walk", "2026-02-23", 5, 1);
    let mut input = asked.input(weekly(date(2026, 3, 2), 2));
    let first = unit(&input).unwrap();
    let bytes = serde_json::to_string(&first).unwrap();
    assert_eq!(bytes, serde_json::to_string(&unit(&input).unwrap()).unwrap());
    input.seed = 8;
    let other = unit(&input).unwrap();
    assert_ne!(bytes, serde_json::to_string(&other).unwrap());
    for (own, other) in first.lessons[0].clean.values().zip(other.lessons[0].clean.values()) {
        // The range of 90 % is at least as long as two standard deviations of anything with one peak.
        let sd = (own.high_90 - own.low_90).max(0.05) / 2.0;
        let error = sd * (2.0 / input.draws as f64).sqrt();
        assert!((own.mean - other.mean).abs() < 4.0 * error, "{own:?} {other:?}");
    }
}

#[test]
fn every_lesson_has_blocks_runs_contacts_and_ranges_in_order() {
    let asked = Asked::new(12);
    let unit = unit(&asked.input(weekly(date(2026, 3, 2), 3))).unwrap();
    assert_eq!(unit.lessons.len(), 3);
    assert_eq!(unit.children.len(), 12);
    for lesson in &unit.lessons {
        assert!(!lesson.blocks.is_empty() && lesson.runs_per_child > 1.0 && lesson.contacts_per_child > 10.0);
        assert!(!lesson.expected.is_empty());
        let standing = lesson.expected.iter().map(|expected| &expected.standing);
        for spread in lesson.clean.values().chain(standing) {
            assert!(spread.low_90 <= spread.low_80 && spread.low_80 <= spread.high_80);
            assert!(spread.high_80 <= spread.high_90 && spread.low_90 >= 0.0 && spread.high_90 <= 1.0);
        }
    }
    // Practice shows: what was run again is cleaner after it.
    assert!(drills(&unit.lessons[1]).contains(&"alternate-walk"), "{:?}", unit.lessons[1].blocks);
    let clean = |lesson: &UnitLesson| lesson.clean["alternate-walk"].mean;
    assert!(clean(&unit.lessons[1]) > clean(&unit.lessons[0]) + 0.02);
    // The first lesson is the planner's own.
    let input = asked.input(weekly(date(2026, 3, 2), 1));
    assert_eq!(unit.next.as_ref().unwrap().blocks, crate::lesson::lesson(&input.lesson).unwrap().blocks);
}

#[test]
fn a_break_of_more_than_two_weeks_starts_with_a_check() {
    let mut asked = Asked::new(10);
    for drill in WALKS {
        asked.seen(drill, "2026-03-02", 6, 0);
    }
    let unit = unit(&asked.input(vec![date(2026, 3, 16), date(2026, 3, 23), date(2026, 4, 13)])).unwrap();
    let checks: Vec<bool> = unit.lessons.iter().map(|lesson| lesson.check_first).collect();
    assert_eq!(checks, [false, false, true]);
    assert_eq!(unit.lessons[2].days_since, Some(21));
    let first = &unit.lessons[2].blocks[0];
    assert_eq!(first.minutes, CHECK_MINUTES);
    // What is checked was run before.
    let before: Vec<&str> = unit.lessons[..2].iter().flat_map(drills).chain(WALKS).collect();
    assert!(first.drills.values().all(|drill| before.contains(&drill.0.as_str())), "{first:?}");
}

#[test]
fn what_happened_changes_the_plan_and_a_class_that_falls_behind_repeats() {
    let dates = || weekly(date(2026, 3, 9), 2);
    let (mut ahead, mut behind) = (Asked::new(10), Asked::new(10));
    for drill in WALKS {
        ahead.seen(drill, "2026-03-02", 8, 0);
        behind.seen(drill, "2026-03-02", 8, 3);
    }
    let (ahead_unit, behind_unit) =
        (unit(&ahead.input(dates())).unwrap(), unit(&behind.input(dates())).unwrap());
    let only_walks = |lesson: &UnitLesson| drills(lesson).iter().all(|drill| WALKS.contains(drill));
    assert!(only_walks(&behind_unit.lessons[0]), "{:?}", behind_unit.lessons[0].blocks);
    assert!(!only_walks(&ahead_unit.lessons[0]), "{:?}", ahead_unit.lessons[0].blocks);
    // And one more lesson seen turns the second plan round again.
    for drill in WALKS {
        behind.seen(drill, "2026-03-09", 10, 0);
        behind.seen(drill, "2026-03-16", 10, 0);
    }
    let caught_up = unit(&behind.input(weekly(date(2026, 3, 23), 1))).unwrap();
    assert!(!only_walks(&caught_up.lessons[0]), "{:?}", caught_up.lessons[0].blocks);
}

#[test]
fn sprints_and_turns_come_by_what_the_class_runs_clean_and_not_by_date() {
    let new = unit(&Asked::new(8).input(weekly(date(2026, 3, 2), 1))).unwrap();
    assert!(new.lessons[0].exit_sprint.is_empty());
    assert!(!drills(&new.lessons[0]).contains(&"side-shuttle"));
    let mut ready = Asked::new(8);
    for drill in ["single-walk", "alternate-walk", "alternate-run", "side-walk", "side-run"] {
        ready.seen(drill, "2026-02-23", 8, 0);
    }
    let ready = unit(&ready.input(weekly(date(2026, 3, 2), 1))).unwrap();
    assert_eq!(ready.lessons[0].exit_sprint["alternate-run"].len(), 8);
}

#[test]
fn a_child_who_falls_less_opens_its_next_drill_sooner() {
    let mut asked = Asked::new(8);
    for child in 0..8 {
        for index in 0..6 {
            let knocked: &[u32] = if child < 4 && index == 0 {
                &[4]
            } else if child < 4 {
                &[]
            } else {
                &[3, 4]
            };
            asked.history.push(run(child, "single-walk", "2026-02-23", knocked));
        }
    }
    let unit = unit(&asked.input(weekly(date(2026, 3, 2), 4))).unwrap();
    let behind = &unit.children[7];
    assert_eq!(behind.next.as_ref().unwrap().0, "dead-leg-run");
    assert!(behind.earliest.is_some_and(|earliest| earliest >= 1));
    assert!(behind.latest.is_none_or(|latest| Some(latest) >= behind.earliest));
    // For the others the walk counts as clean already, so that their next drill lies further on.
    assert_ne!(unit.children[0].next, behind.next);
}

#[test]
fn from_three_lessons_on_the_class_says_how_fast_it_learns() {
    let rate = |falls: &[u32]| {
        let mut asked = Asked::new(16);
        let days = ["2026-02-02", "2026-02-09", "2026-02-16", "2026-02-23"];
        for (day, falls) in days.iter().zip(falls) {
            asked.seen("alternate-walk", day, 8, *falls);
        }
        learning_of(&asked.input(weekly(date(2026, 3, 2), 1)).lesson)
    };
    let (unknown, fast, slow) = (rate(&[2, 1]), rate(&[3, 2, 1, 0]), rate(&[2, 2, 2, 2]));
    assert!(!unknown.own && unknown.runs_60_to_88.n == 0);
    assert!((unknown.runs_60_to_88.median / RUNS_60_TO_88 - 1.0).abs() < 0.02, "{unknown:?}");
    assert!(fast.own && fast.runs_60_to_88.n == 512);
    let (fast, slow) = (fast.runs_60_to_88, slow.runs_60_to_88);
    assert!(fast.high < slow.low, "{fast:?} {slow:?}");
    let width = |runs: &Estimate| libm::log(runs.high / runs.low);
    assert!(width(&fast) < width(&unknown.runs_60_to_88), "{fast:?} {unknown:?}");
}

#[test]
fn wrong_input_is_said() {
    let asked = Asked::new(4);
    let mut input = asked.input(weekly(date(2026, 3, 2), 2));
    input.dates.reverse();
    let error = unit(&input).unwrap_err();
    assert_eq!(error, UnitError::Order { before: date(2026, 3, 9), after: date(2026, 3, 2) });
    input.dates = weekly(date(2026, 3, 2), 13);
    assert_eq!(unit(&input).unwrap_err(), UnitError::Lessons(13));
    input.dates.truncate(1);
    input.draws = 5;
    assert_eq!(unit(&input).unwrap_err(), UnitError::Draws(5));
    input.draws = 20;
    input.lesson.minutes = 24;
    assert!(matches!(unit(&input).unwrap_err(), UnitError::Lesson { number: 1, .. }));
}

#[test]
fn a_unit_reads_as_sentences() {
    let mut asked = Asked::new(6);
    asked.seen("single-walk", "2026-02-02", 6, 1);
    let unit = unit(&asked.input(weekly(date(2026, 3, 2), 2))).unwrap();
    let words = Words::english(Units::Metric);
    let said: Vec<String> =
        unit.sentences(&asked.ladder).iter().flatten().map(|message| words.say(message)).collect();
    assert!(said[0].replace('\u{a0}', " ").starts_with("Lesson 1, 2 March 2026"), "{said:?}");
    assert!(said[1].contains("28 days") && said[1].contains("check first"), "{said:?}");
    assert!(said.iter().any(|line| line.contains("contacts for each child")));
    assert!(said.iter().any(|line| line.contains("sketches")));
}

#[test]
fn children_for_whom_the_same_opens_are_one_sentence_with_all_their_names() {
    let mut asked = Asked::new(6);
    asked.seen("single-walk", "2026-02-02", 6, 1);
    let mut unit = unit(&asked.input(weekly(date(2026, 3, 2), 2))).unwrap();
    let words = Words::english(Units::Metric);
    // Two children alike but for how often, one to whom everything is open.
    let first = unit.children[0].clone();
    let ahead = |name: &str, within_unit: f64| ChildAhead { name: name.into(), within_unit, ..first.clone() };
    let open = ChildAhead { next: None, ..ahead("Wren", 1.0) };
    let later = ChildAhead {
        next: Some(DrillId("side-run".into())),
        earliest: None,
        latest: None,
        ..ahead("Idris", 0.1)
    };
    unit.children = vec![ahead("Bram", 0.72), open, ahead("Kesia", 0.84), later];
    let said: Vec<String> = unit.what_opens(&asked.ladder).iter().map(|said| words.say(said)).collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said[0].ends_with("2 children (Bram, Kesia).") && said[0].contains("72 % to 84 %"), "{said:?}");
    assert_eq!(said[1], "Every drill is open: Wren.");
    assert!(said[2].ends_with(": Idris."), "{said:?}");
    for child in &unit.children {
        assert_eq!(said.iter().filter(|line| line.contains(&child.name)).count(), 1, "{said:?}");
    }
}

#[test]
fn a_range_is_short_and_near_to_its_word() {
    // Even steps below a heap at 1: the heap is inside, and the low end makes up the rest.
    let heap = |below: usize| -> Vec<f64> {
        (0..100).map(|step| if step < below { 0.01 * step as f64 } else { 1.0 }).collect()
    };
    let half = spread(heap(50));
    assert_eq!((half.low_80, half.high_80), (0.20, 1.0));
    assert_eq!((half.low_90, half.high_90), (0.10, 1.0));
    // Nine in ten at 1: nothing nearer to 80 % than the heap alone.
    let most = spread(heap(10));
    assert_eq!((most.low_80, most.high_80, most.low_90, most.high_90), (1.0, 1.0, 1.0, 1.0));
    // Three equal steps: two of them are nearer to 80 % than all, and all nearer to 90 %.
    let steps: Vec<f64> = (0..100)
        .map(|step| {
            if step < 24 {
                0.5
            } else if step < 60 {
                0.75
            } else {
                1.0
            }
        })
        .collect();
    let steps = spread(steps);
    assert_eq!((steps.low_80, steps.high_80), (0.75, 1.0));
    assert_eq!((steps.low_90, steps.high_90), (0.5, 1.0));
}
