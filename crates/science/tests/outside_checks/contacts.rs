//! Contacts against a worked example and published guidance.

use jiff::civil::date;
use lanewright_model::Ladder;
use lanewright_science::contacts::{
    About, ChildContacts, JUMP_DAYS_A_WEEK, JUMPS_ANYONE, JUMPS_NEW, RunSteps, Tally, per_run, planned,
    prompts,
};

/// Eight hurdles with three steps in each gap, four steps in and four out: 29 running contacts a run, 290 in ten runs.
/// These are ordinary running, not 290 jumps, and prompt nothing.
#[test]
fn twenty_nine_running_contacts_a_run_are_running() {
    let steps = RunSteps { per_gap: 3, run_up: 4, exit: 4 };
    assert_eq!(per_run(8, steps), 29);
    let day = date(2026, 3, 2);
    let running = Tally { b: 10 * per_run(8, steps), runs: 10, ..Tally::default() };
    assert_eq!(running.b, 290);
    let contacts = ChildContacts { days: [(day, running)].into_iter().collect() };
    assert_eq!(prompts("Mira", &contacts, day, true), []);
}

/// Steps through N hurdles with s steps in each space: (N − 1) s + run-in + run-out.
#[test]
fn a_plan_counts_two_contacts_per_gap_twice() {
    let ladder = Ladder::built_in();
    let of = |id: &str| planned(ladder.get(id).unwrap(), 8, 10, 2);
    let (once, twice) = (of("alternate-run"), of("two-contact-run"));
    // Run-ups differ: six steps and four.
    assert_eq!((once.b, twice.b), (10 * (7 + 6 + 2), 10 * (14 + 4 + 2)));
}

/// Michailidis 2014, review of jump training in youth football: two sessions a week, 50 to 60 jumps in week 1, rising
/// to 100 to 120. Bedoya et al. 2015, review: two sessions a week, 72 h between, starting with 50 to 60 contacts, no
/// more than 80 to 120 (the numbers of contacts from memory).
#[test]
fn marks_for_jumps_lie_inside_the_published_ranges() {
    assert!((50..=60).contains(&JUMPS_NEW));
    assert!((100..=120).contains(&JUMPS_ANYONE) && (80..=120).contains(&JUMPS_ANYONE));
    assert_eq!(JUMP_DAYS_A_WEEK, 2);
    let day = date(2026, 3, 2);
    let said = |jumps, new_to_jumps| {
        let tally = Tally { c: jumps, ..Tally::default() };
        let contacts = ChildContacts { days: [(day, tally)].into_iter().collect() };
        prompts("Mira", &contacts, day, new_to_jumps).iter().any(|prompt| prompt.about == About::Jumps)
    };
    assert_eq!(
        [said(60, true), said(61, true), said(61, false), said(100, false), said(101, false)],
        [false, true, false, false, true]
    );
}
