use jiff::Timestamp;
use lanewright_model::run::{HurdleSet, Source};

use super::*;
use crate::decide::decide;
use crate::seeded::Seeded;

const HURDLES: u32 = 8;

/// One run on a day of March 2026, so many minutes after ten.
fn run(runner: &str, drill: &str, day: i64, minute: i64, knocked: &[u32]) -> Run {
    let start = Timestamp::from_second(1_772_445_600 + day * 86_400 + minute * 60).unwrap();
    Run {
        runner: runner.to_owned(),
        drill: drill.to_owned(),
        lane: "A".to_owned(),
        class: None,
        at: start,
        lead: None,
        hurdles: HURDLES,
        knocked: HurdleSet::from_numbers(knocked, HURDLES).unwrap(),
        down_before: HurdleSet::default(),
        watched: Watched::Technique,
        faults: Vec::new(),
        effort: None,
        exit_sprint: false,
        gap_m: Some(1.2),
        height_cm: Some(30.0),
        setup: "A/1.2/30".to_owned(),
        source: Source::Tap,
    }
}

fn knocks(random: &mut Seeded, clean: f64) -> Vec<u32> {
    (1..=HURDLES).filter(|_| random.uniform() > clean).collect()
}

/// A class whose children have their own clean rates, which `gain` shifts from one lesson to the next.
fn class(random: &mut Seeded, children: usize, lessons: i64, runs: i64, gain: f64) -> Vec<Observation> {
    let mut all = Vec::new();
    for child in 0..children {
        let base = 0.6 + 0.3 * random.uniform();
        for lesson in 0..lessons {
            for number in 0..runs {
                let clean = (base + gain * lesson as f64).min(0.98);
                let fell = knocks(random, clean);
                let id = format!("r{child:02}");
                all.push(Observation::Run(run(&id, "alternate-run", 7 * lesson, number * 3, &fell)));
            }
        }
    }
    all
}

fn ids(children: usize) -> Vec<String> {
    (0..children).map(|child| format!("r{child:02}")).collect()
}

fn asked(observations: &[Observation], children: usize) -> ClassProgress {
    let ids = ids(children);
    let runners: Vec<&str> = ids.iter().map(String::as_str).collect();
    let ladder = Ladder::built_in();
    progress(
        observations,
        &Ask { runners: &runners, ladder: &ladder, utc_offset_s: 0, losses: Losses::default() },
    )
}

#[test]
fn in_the_latest_lesson_it_says_what_decide_says() {
    let all = class(&mut Seeded(4), 12, 3, 4, 0.05);
    let found = asked(&all, 12);
    let now = all.iter().map(at).max().unwrap();
    let decisions = decide(&all, &Ladder::built_in(), &Options { now, losses: Losses::default() });
    assert_eq!(decisions.len(), 12);
    for decision in &decisions {
        let child = found.children.iter().find(|child| child.runner == decision.runner).unwrap();
        let own = child.drills.iter().find(|drill| drill.drill == decision.drill).unwrap();
        assert_eq!(own.decision.as_ref(), Some(decision));
    }
}

#[test]
fn a_drill_left_clean_stays_clean_months_later() {
    let mut all: Vec<Observation> =
        (0..10).map(|number| Observation::Run(run("r00", "single-walk", 0, number, &[]))).collect();
    let at_once = asked(&all, 1);
    assert_eq!(at_once.children[0].drills[0].reach, Reach::Clean);
    all.extend((0..3).map(|number| Observation::Run(run("r00", "alternate-walk", 120, number, &[2, 3]))));
    let later = asked(&all, 1);
    assert_eq!(later.children[0].drills[0].reach, Reach::Clean);
    assert_eq!(later.days.len(), 2);
}

#[test]
fn children_who_did_not_change_are_seldom_told_that_they_did() {
    let (mut told, mut of) = (0, 0);
    for seed in 0..20 {
        let found = asked(&class(&mut Seeded(seed), 28, 3, 3, 0.0), 28);
        for child in &found.children {
            of += child.drills.iter().filter(|drill| drill.change.is_some()).count();
            told += child.real_changes().len();
        }
    }
    assert_eq!(of, 560);
    let share = told as f64 / of as f64;
    assert!(share < 0.04, "{told} of {of}");
}

#[test]
fn a_great_gain_is_told_and_a_great_loss_too() {
    let mut random = Seeded(9);
    let mut all = class(&mut random, 20, 1, 4, 0.0);
    for number in 0..5 {
        // r20 comes from half to all, r21 goes the other way.
        let (poor, good): (&[u32], &[u32]) = (&[1, 3, 5, 6], &[]);
        for (id, first, last) in [("r20", poor, good), ("r21", good, poor)] {
            all.push(Observation::Run(run(id, "alternate-run", 0, number, first)));
            all.push(Observation::Run(run(id, "alternate-run", 21, number, last)));
        }
    }
    let found = asked(&all, 22);
    let (up, down) = (&found.children[20], &found.children[21]);
    let change = up.real_changes()[0].change.as_ref().unwrap();
    assert!(change.is_gain() && change.difference.low > 0.0, "{change:?}");
    assert!(!down.real_changes()[0].change.as_ref().unwrap().is_gain());
    assert_eq!(change.run_counts, (5, 5));
}

#[test]
fn what_comes_before_and_after_never_overlaps_and_holds_enough() {
    let mut all = class(&mut Seeded(2), 8, 1, 4, 0.0);
    // One run a lesson: two lessons make a part.
    for lesson in 0..4 {
        all.push(Observation::Run(run("r08", "alternate-run", 7 * lesson, 0, &[])));
    }
    for lesson in 0..3 {
        all.push(Observation::Run(run("r09", "alternate-run", 7 * lesson, 0, &[])));
    }
    let found = asked(&all, 10);
    let of =
        |child: usize| found.children[child].drills.iter().find(|own| own.drill == "alternate-run").unwrap();
    let change = of(8).change.as_ref().unwrap();
    assert!(change.from_until < change.to && change.hurdles == (16, 16), "{change:?}");
    assert!(of(9).change.is_none() && of(0).change.is_none());
}

#[test]
fn the_fault_to_work_on_is_the_one_seen_most_lately() {
    let faults: [&[&str]; 5] = [&["arms"], &["leans-back"], &["arms", "leans-back"], &[], &["arms"]];
    let all: Vec<Observation> = (0..)
        .zip(faults)
        .map(|(number, faults)| {
            let faults = faults.iter().map(|fault| (*fault).to_owned()).collect();
            Observation::Run(Run { faults, ..run("r00", "alternate-run", 0, number, &[4]) })
        })
        .collect();
    let found = asked(&all, 1);
    let focus = found.children[0].focus.as_ref().unwrap();
    // Both twice in the last four, but only arms in the last two.
    assert_eq!((focus.fault.as_deref(), focus.seen, focus.of), (Some("arms"), 2, 4));
    let found = asked(&all[..4], 1);
    assert_eq!(found.children[0].focus.as_ref().unwrap().fault.as_deref(), Some("leans-back"));
}

#[test]
fn next_steps_follow_the_ladder() {
    let clean = |drill: &str, day: i64| -> Vec<Observation> {
        (0..4).map(|number| Observation::Run(run("r00", drill, day, number, &[]))).collect()
    };
    let next = |all: &[Observation]| asked(all, 1).children[0].next.clone();
    assert_eq!(next(&[]), Next::Begin);
    assert_eq!(next(&clean("alternate-walk", 0)[..1]), Next::ShowMore("alternate-walk".into()));
    assert_eq!(next(&clean("alternate-walk", 0)), Next::Try("alternate-run".into()));
    let both = [clean("alternate-walk", 0), clean("alternate-run", 7)].concat();
    assert_eq!(next(&both), Next::Try("two-contact-walk".into()));
    let poor: Vec<Observation> = (0..5)
        .map(|number| Observation::Run(run("r00", "alternate-run", 0, number, &[1, 2, 4, 5, 7, 8])))
        .collect();
    assert_eq!(next(&poor), Next::Easier("two-contact-run".into()));
    let unwatched: Vec<Observation> = (0..6)
        .map(|number| {
            let watched = Watched::Knocks;
            Observation::Run(Run { watched, ..run("r00", "alternate-run", 0, number, &[]) })
        })
        .collect();
    assert_eq!(next(&unwatched), Next::BeWatched("alternate-run".into()));
    let all: Vec<Observation> = Ladder::built_in()
        .drills()
        .iter()
        .filter(|drill| drill.gap.is_some())
        .flat_map(|drill| clean(&drill.id.0, 0))
        .collect();
    assert_eq!(next(&all), Next::Free);
}

#[test]
fn a_class_that_gets_cleaner_is_told_with_its_range() {
    let found = asked(&class(&mut Seeded(6), 24, 4, 3, 0.06), 24);
    let drill = &found.drills[0];
    assert_eq!((drill.days.len(), drill.days[0].children, drill.days[0].runs), (4, 24, 72));
    let change = drill.change.unwrap();
    assert!(change.told && change.difference.low > 0.0 && change.children == 24, "{change:?}");
    assert!((change.after - change.before - change.difference.mean).abs() < 1e-12);
    assert_eq!(drill.clean + drill.working + drill.seen_little + drill.not_seen, 24);
    let same = asked(&class(&mut Seeded(6), 24, 4, 3, 0.0), 24);
    assert!(!same.drills[0].change.unwrap().told);
}

#[test]
fn lessons_count_runs_contacts_and_minutes_by_hand() {
    let all: Vec<Observation> =
        (0..3).map(|number| Observation::Run(run("r00", "alternate-run", 0, 4 * number, &[]))).collect();
    let found = asked(&all, 2);
    let lesson = &found.lessons[0];
    assert_eq!((lesson.runs, lesson.seen.len(), lesson.minutes), (3, 1, 8.0));
    let contacts = lesson.contacts_per_child.middle / 3.0;
    let counted = contacts::per_run_of("alternate-run", HURDLES);
    assert_eq!(contacts, f64::from(counted));
    // Contacts at 2.8 a second, 1.1 s to get going, and back over the same way at 1.3 m/s.
    let by_hand = contacts / 2.8 + 1.1 + contacts * 1.2 / 1.3;
    assert!((lesson.moving_min_per_child.middle - 3.0 * by_hand / 60.0).abs() < 1e-12);
    assert_eq!(found.not_seen_enough().map(|child| child.runner.as_str()).collect::<Vec<_>>(), ["r01"]);
}

mod contacts {
    use lanewright_model::Ladder;

    use crate::contacts::{RUN_ON_CONTACTS, RunSteps, per_run};

    pub fn per_run_of(drill: &str, hurdles: u32) -> u32 {
        per_run(hurdles, RunSteps::of(Ladder::built_in().get(drill).unwrap(), RUN_ON_CONTACTS).unwrap())
    }
}

#[test]
fn a_lane_laid_otherwise_is_named_with_both_gaps() {
    let wide = |day: i64| Run { gap_m: Some(1.25), ..run("r00", "alternate-run", day, 0, &[]) };
    let all = [
        Observation::Run(run("r00", "alternate-run", 0, 0, &[])),
        Observation::Run(run("r00", "alternate-run", 0, 1, &[])),
        // One slip of the keyboard is no change.
        Observation::Run(Run { gap_m: Some(1.9), ..run("r00", "alternate-run", 0, 2, &[]) }),
        Observation::Run(wide(7)),
        Observation::Run(wide(14)),
    ];
    let found = asked(&all, 1);
    assert_eq!(found.lane_changes.len(), 1);
    let change = &found.lane_changes[0];
    assert_eq!((change.from_gap_m, change.to_gap_m), (1.2, 1.25));
    assert_eq!((change.from, change.to), (found.days[0], found.days[1]));
}

#[test]
fn days_are_the_schools_days() {
    // Eleven at night by UTC is the next day two hours east of it.
    let late = Run { at: "2026-03-02T23:00:00Z".parse().unwrap(), ..run("r00", "alternate-run", 0, 0, &[]) };
    let ladder = Ladder::built_in();
    let ask =
        |utc_offset_s| Ask { runners: &["r00"], ladder: &ladder, utc_offset_s, losses: Losses::default() };
    let all = [Observation::Run(late)];
    assert_eq!(progress(&all, &ask(0)).days[0].to_string(), "2026-03-02");
    assert_eq!(progress(&all, &ask(7200)).days[0].to_string(), "2026-03-03");
}

#[test]
fn runs_of_other_classes_are_passed_over() {
    let mut all = class(&mut Seeded(3), 3, 1, 3, 0.0);
    all.push(Observation::Run(run("someone-else", "side-run", 0, 0, &[])));
    let found = asked(&all, 3);
    assert_eq!(found.drills.len(), 1);
    assert_eq!(found.lessons[0].runs, 9);
}
