//! Bouts made at known times: turns found, contacts in them counted, stops told apart, the device's own tone left out.

mod synth;

use lanewright_listen::{Findings, Listener, NoTurns, Own, Stop, Turns};
use synth::{BoutPlan, Dice, MadeBout, Plan, TONE_S, make, make_bout};

/// What a device notes of its own tones: loudspeaker and microphone lag a little.
fn own(made: &MadeBout) -> Own {
    let sounds_s = made.calls_s.iter().map(|&call| [call - 0.03, call + TONE_S + 0.2]).collect();
    Own { calls_s: made.calls_s.clone(), sounds_s }
}

fn hear(plan: &BoutPlan) -> (MadeBout, Findings) {
    let made = make_bout(plan);
    let mut listener = Listener::new(plan.rate_hz);
    listener.push(&made.samples);
    let found = listener.finish_bout(&own(&made));
    (made, found)
}

fn turns(found: &Findings) -> &Turns {
    found.turns.as_ref().expect("they were asked for")
}

/// Made and found: turns, of them found, found that are none, contacts said right, contacts said wrong.
fn tally(plans: &[BoutPlan]) -> [usize; 5] {
    let mut sums = [0; 5];
    for plan in plans {
        let (made, found) = hear(plan);
        let heard = turns(&found);
        sums[0] += made.turns_s.len();
        for turn in &heard.turns {
            let at = made.turns_s.iter().position(|t| (t - turn.t_s).abs() < 0.1);
            match at {
                None => sums[2] += 1,
                Some(at) => {
                    sums[1] += 1;
                    if let Some(one) = turn.one_step {
                        sums[if one == (plan.turns[at] == 1) { 3 } else { 4 }] += 1;
                    }
                }
            }
        }
    }
    sums
}

fn plans(change: impl Fn(&mut BoutPlan, &mut Dice)) -> Vec<BoutPlan> {
    (0..20)
        .map(|seed| {
            let mut dice = Dice::new(500 + seed);
            let mut plan = BoutPlan {
                step_s: dice.between(0.28, 0.42),
                pause_steps: dice.between(1.6, 2.4),
                snr_db: if seed % 2 == 0 { 20.0 } else { 10.0 },
                rate_hz: [44_100, 48_000, 16_000][seed as usize % 3],
                ..BoutPlan::plain(900 + seed)
            };
            change(&mut plan, &mut dice);
            plan
        })
        .collect()
}

#[test]
fn heavy_turns_on_one_step_are_found_and_counted_as_such() {
    let [made, found, wrong, right, false_] = tally(&plans(|_, _| ()));
    println!("{found} of {made} turns, {wrong} that are none; one step: {right} right, {false_} wrong");
    assert!(found * 10 >= made * 9 && wrong * 20 <= made, "{found} of {made}, {wrong} wrong");
    assert!(false_ * 20 <= found && right * 10 >= found * 7, "{right} right, {false_} wrong");
}

#[test]
fn turns_of_several_steps_are_not_taken_for_one() {
    let several = plans(|plan, dice| {
        plan.turns = (0..3).map(|_| if dice.unit() < 0.5 { 2 } else { 3 }).collect();
    });
    let [made, found, wrong, right, false_] = tally(&several);
    println!("{found} of {made} turns, {wrong} that are none; several: {right} right, {false_} wrong");
    assert!(found * 10 >= made * 8 && wrong * 10 <= made, "{found} of {made}, {wrong} wrong");
    assert!(false_ * 20 <= found && right * 10 >= found * 6, "{right} right, {false_} wrong");
}

#[test]
fn light_turns_need_the_call_and_the_own_tone_is_no_contact() {
    let called = plans(|plan, _| (plan.heavy, plan.tone) = (false, 2.0));
    let [made, found, wrong, ..] = tally(&called);
    println!("light, called by tone: {found} of {made} turns, {wrong} that are none");
    assert!(found * 10 >= made * 7 && wrong * 10 <= made, "{found} of {made}, {wrong} wrong");
    for plan in &called {
        let (made, found) = hear(plan);
        for contact in &found.contacts {
            let in_tone =
                made.calls_s.iter().any(|&call| (call + 0.04..call + 0.04 + TONE_S).contains(&contact.t_s));
            assert!(!in_tone, "a contact at {} s, calls at {:?}", contact.t_s, made.calls_s);
        }
    }
}

#[test]
fn heavy_and_quick_stops_are_told_apart_by_the_childs_own_contacts() {
    let (_, heavy) = hear(&BoutPlan::plain(3));
    for turn in &turns(&heavy).turns {
        assert_eq!(turn.stop, Stop::Heavy, "{turn:#?}");
        let strength = turn.strength_db.expect("others to compare with");
        assert!(strength.low > 0.0 && strength.high > strength.value, "{strength:?}");
    }
    let quick = BoutPlan { heavy: false, tone: 1.0, pause_steps: 1.6, ..BoutPlan::plain(4) };
    let (_, quick) = hear(&quick);
    let found = &turns(&quick).turns;
    assert!(!found.is_empty() && found.iter().all(|turn| turn.stop != Stop::Heavy), "{found:?}");
    assert!(found.iter().all(|turn| turn.call.is_some() && turn.after_call_s.is_some_and(|s| s > 0.0)));
}

#[test]
fn a_run_without_a_turn_has_none_and_a_take_without_steps_says_so() {
    for seed in 40..50 {
        let plan = Plan { knocked: vec![3], ..Plan::plain(seed) };
        let mut listener = Listener::new(plan.rate_hz);
        listener.push(&make(&plan).samples);
        let found = listener.finish_bout(&Own::default());
        let heard = turns(&found);
        assert_eq!((heard.reason, heard.turns.len()), (None, 0), "seed {seed}: {:?}", heard.turns);
    }
    let mut silent = Listener::new(16_000);
    silent.push(&vec![0.0; 64_000]);
    assert_eq!(turns(&silent.finish_bout(&Own::default())).reason, Some(NoTurns::NotHeard));
}

#[test]
fn calls_that_nobody_followed_are_named() {
    let plan = BoutPlan { tone: 1.0, ..BoutPlan::plain(6) };
    let made = make_bout(&plan);
    let mut calls = own(&made);
    // A call in the middle of the first pass, by somebody else's voice.
    calls.calls_s.insert(0, 1.0);
    let mut listener = Listener::new(plan.rate_hz);
    listener.push(&made.samples);
    let found = listener.finish_bout(&calls);
    let heard = turns(&found);
    assert_eq!(heard.calls_without, [1], "{heard:?}");
    assert_eq!(heard.turns.iter().filter_map(|turn| turn.call).collect::<Vec<_>>(), [2, 3, 4]);
}
