use jiff::civil::date;
use lanewright_model::run::{Bout, HurdleSet, Run, Source, Sweep, Watched};
use lanewright_model::words::{Units, Words};
use proptest::prelude::*;

use super::*;
use crate::body::Pace;

fn run(runner: &str, drill: &str, at: &str, hurdles: u32) -> Observation {
    Observation::Run(Run {
        runner: runner.into(),
        drill: drill.into(),
        lane: "A".into(),
        class: None,
        at: at.parse().unwrap(),
        lead: None,
        hurdles,
        knocked: HurdleSet::default(),
        down_before: HurdleSet::default(),
        watched: Watched::Knocks,
        faults: vec![],
        effort: None,
        exit_sprint: false,
        gap_m: None,
        height_cm: None,
        setup: "A1".into(),
        source: Source::Tap,
    })
}

fn shuttle(runner: &str, at: &str, passes: u32, turns: u32) -> Observation {
    Observation::Bout(Bout {
        runner: runner.into(),
        drill: "side-shuttle".into(),
        class: None,
        at: at.parse().unwrap(),
        passes,
        turns,
        one_step_turns: 0,
        seconds: 20.0,
        falls: None,
    })
}

/// Read once: the property counts very often.
fn ladder() -> &'static Ladder {
    static LADDER: std::sync::OnceLock<Ladder> = std::sync::OnceLock::new();
    LADDER.get_or_init(Ladder::built_in)
}

fn counted(observations: &[Observation]) -> BTreeMap<String, ChildContacts> {
    count(observations, ladder(), &Unrecorded::default())
}

fn child(days: &[(Date, Tally)]) -> ChildContacts {
    ChildContacts { days: days.iter().copied().collect() }
}

#[track_caller]
fn is_whole(prompt: &Prompt) {
    let text = Words::english(Units::Metric).say(&prompt.say);
    assert!(!text.contains('{') && text != prompt.say.id, "{text}");
    assert_eq!(text.matches(". ").count(), 0, "one sentence: {text}");
}

fn abouts(contacts: &ChildContacts, day: Date, new_to_jumps: bool) -> Vec<About> {
    let said = prompts("Mira", contacts, day, new_to_jumps);
    said.iter().for_each(is_whole);
    said.iter().map(|prompt| prompt.about).collect()
}

const MONDAY: Date = date(2026, 3, 2);

#[test]
fn each_kind_of_run_counts_in_its_class() {
    let at = "2026-03-02T10:14:05Z";
    let contacts = counted(&[
        run("a", "alternate-walk", at, 8),
        run("a", "alternate-run", at, 8),
        run("a", "two-contact-run", at, 8),
        shuttle("a", at, 4, 3),
        run("a", "free-run", at, 1),
        run("a", "leapfrog", at, 8),
    ]);
    let total = contacts["a"].total();
    // Walk: 7 gaps, 2 in, 2 out. Run: 7 + 6 + 2; with two contacts 14 + 4 + 2. Shuttle: 4 passes of 3 gaps of 2.
    let expected = Tally { a: 11, b: 15 + 20 + 24, c: 0, d: 3, runs: 4, not_counted: 2 };
    assert_eq!(total, expected);
}

#[test]
fn an_exit_sprint_adds_its_contacts() {
    let Observation::Run(mut sprint) = run("a", "alternate-run", "2026-03-02T10:14:05Z", 8) else {
        unreachable!()
    };
    sprint.exit_sprint = true;
    assert_eq!(counted(&[Observation::Run(sprint)])["a"].total().b, 7 + 6 + EXIT_SPRINT_CONTACTS);
}

#[test]
fn looks_at_a_lane_add_no_contacts() {
    let sweep = Sweep {
        runner: "a".into(),
        drill: "alternate-run".into(),
        lane: "A".into(),
        class: None,
        at: "2026-03-02T10:14:05Z".parse().unwrap(),
        got_it: true,
    };
    assert!(counted(&[Observation::Sweep(sweep)]).is_empty());
}

#[test]
fn days_are_the_schools_days_and_weeks_begin_on_monday() {
    let late = "2026-03-01T23:30:00Z";
    let runs = [run("a", "alternate-run", late, 8), run("a", "alternate-run", "2026-03-02T09:00:00Z", 8)];
    let abroad = counted(&runs);
    assert_eq!(abroad["a"].days.len(), 2);
    assert_eq!(abroad["a"].weeks().keys().map(|week| week.week).collect::<Vec<_>>(), [9, 10]);
    let unrecorded = Unrecorded { utc_offset_s: 3600, ..Unrecorded::default() };
    let at_home = count(&runs, ladder(), &unrecorded);
    assert_eq!(at_home["a"].days.keys().collect::<Vec<_>>(), [&MONDAY]);
    // The first days of January belong to the last week of the year before.
    assert_eq!(Week::of(date(2027, 1, 2)), Week { year: 2026, week: 53 });
}

#[test]
fn running_and_walking_prompt_nothing_however_much() {
    let busy = child(&[(MONDAY, Tally { a: 5000, b: 5000, ..Tally::default() })]);
    assert_eq!(abouts(&busy, MONDAY, true), []);
    assert_eq!(abouts(&busy, MONDAY.tomorrow().unwrap(), true), []);
}

#[test]
fn jumps_and_turns_prompt_above_their_marks_only() {
    let with = |c, d| child(&[(MONDAY, Tally { c, d, ..Tally::default() })]);
    assert_eq!(abouts(&with(60, 30), MONDAY, true), []);
    assert_eq!(abouts(&with(61, 0), MONDAY, true), [About::Jumps]);
    assert_eq!(abouts(&with(61, 0), MONDAY, false), []);
    assert_eq!(abouts(&with(101, 31), MONDAY, false), [About::Jumps, About::Turns]);
}

#[test]
fn days_in_a_row_and_a_third_day_in_the_week_are_said_once_each() {
    let turns = Tally { d: 5, ..Tally::default() };
    let run = Tally { b: 200, ..Tally::default() };
    let day = |number| date(2026, 3, number);
    assert_eq!(abouts(&child(&[(day(2), turns), (day(3), turns)]), day(3), false), [About::DaysInARow]);
    assert_eq!(abouts(&child(&[(day(2), turns), (day(3), run)]), day(3), false), []);
    let three = child(&[(day(2), turns), (day(4), turns), (day(6), turns)]);
    assert_eq!(abouts(&three, day(4), false), []);
    assert_eq!(abouts(&three, day(6), false), [About::DaysAWeek]);
    // Sunday and Monday: in a row, and in two weeks.
    let over_the_weekend = child(&[(day(1), turns), (day(2), turns), (day(3), turns)]);
    let said = prompts("Mira", &over_the_weekend, day(3), false);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].say.args["count"], lanewright_model::Arg::Count(3));
}

#[test]
fn growth_is_one_sentence_or_none() {
    assert_eq!(growth_prompt("Mira", Pace::Usual), None);
    assert_eq!(growth_prompt("Mira", Pace::Fast).unwrap().say.id, "contacts-growing-fast");
    is_whole(&growth_prompt("Mira", Pace::Fast).unwrap());
    is_whole(&growth_prompt("Mira", Pace::ProbablyFast).unwrap());
    assert_eq!(growth_prompt("Mira", Pace::ProbablyFast).unwrap().say.id, "contacts-growing-fast-probably");
}

proptest! {
    #[test]
    fn counting_in_parts_equals_counting_at_once(
        runs in prop::collection::vec((0_usize..12, 1_u32..12, 0_i64..20_000), 0..40), cut in 0_usize..40,
    ) {
        let observations: Vec<Observation> = runs
            .iter()
            .map(|&(drill, hurdles, minutes)| {
                let at = jiff::Timestamp::from_second(1_772_445_600 + 60 * minutes).unwrap();
                let id = &ladder().drills()[drill % ladder().drills().len()].id.0;
                run("a", id, &at.to_string(), hurdles)
            })
            .collect();
        let total = |part: &[Observation]| counted(part).get("a").map(ChildContacts::total).unwrap_or_default();
        let (first, second) = observations.split_at(cut.min(observations.len()));
        let mut joined = total(first);
        joined.join(&total(second));
        prop_assert_eq!(joined, total(&observations));
        let contacts = counted(&observations);
        if let Some(child) = contacts.get("a") {
            let mut by_week = Tally::default();
            for tally in child.weeks().values() {
                by_week.join(tally);
            }
            prop_assert_eq!(by_week, child.total());
        }
    }
}
