//! How soon a lesson for 32 children, 50 minutes, is planned and proven, here; `cargo xtask bench beside` compares it
//! with the worker in the browser.

use std::time::Instant;

use jiff::Timestamp;
use jiff::civil::date;
use lanewright_app::logic::beside::{Asked, Told};
use lanewright_app::logic::lesson::LessonAsk;
use lanewright_dice::Dice;
use lanewright_model::kit::HurdleStock;
use lanewright_model::run::{HurdleSet, Observation, Run, Source, Watched};
use lanewright_model::{Kit, Ladder, Runner, Space};
use lanewright_science::plan::PlanInput;
use serde_json::json;

/// Four runs of each child at the first drills of the ladder, by children of different skill.
fn history(
    dice: &mut Dice,
    runners: &[Runner],
    ladder: &Ladder,
    drills: usize,
    at: Timestamp,
) -> Vec<Observation> {
    let own: Vec<f64> = runners.iter().map(|_| dice.bell()).collect();
    let with_hurdles = ladder.drills().iter().filter(|drill| drill.gap.is_some());
    let mut runs = Vec::new();
    for (number, drill) in with_hurdles.take(drills).enumerate() {
        for (runner, own) in runners.iter().zip(&own) {
            let skill = 0.7 * own + 0.7 * dice.bell();
            let knock = (0.1 + 0.015 * number as f64 - 0.06 * skill).clamp(0.005, 0.6);
            for _ in 0..4 {
                let fallen: Vec<u32> = (1..=8).filter(|_| dice.share() < knock).collect();
                runs.push(Observation::Run(Run {
                    runner: runner.id.0.clone(),
                    drill: drill.id.0.clone(),
                    lane: "A".into(),
                    class: None,
                    at,
                    lead: None,
                    hurdles: 8,
                    knocked: HurdleSet::from_numbers(&fallen, 8).expect("in range"),
                    down_before: HurdleSet::default(),
                    watched: Watched::Technique,
                    faults: Vec::new(),
                    effort: None,
                    exit_sprint: false,
                    gap_m: None,
                    height_cm: None,
                    setup: "A1".into(),
                    source: Source::Paper,
                }));
            }
        }
    }
    runs
}

fn asked(ladder: &Ladder, seen: usize, adults: u32) -> Asked {
    let mut dice = Dice(1);
    let now: Timestamp = "2026-03-02T10:00:00Z".parse().expect("a moment");
    let runners: Vec<Runner> = (0..32)
        .map(|number| {
            let mut runner = Runner::named(format!("r{number:02}"), format!("Child {number}"));
            runner.stature_cm = Some((148.0 + 9.0 * dice.bell()).clamp(115.0, 185.0).round());
            runner
        })
        .collect();
    let history = history(&mut dice, &runners, ladder, seen, now);
    let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: 36 }], ..Kit::default() };
    let mut input = PlanInput::new(runners, Vec::new(), kit, date(2026, 3, 2));
    input.space = Some(Space::hall(40.0, 28.0));
    input.adults = adults;
    let ask = LessonAsk { minutes: 50, ..LessonAsk::default() };
    Asked { input, history, known: None, helping: Vec::new(), ask, now, days: Vec::new(), seed: 1 }
}

fn main() {
    let ladder = Ladder::built_in();
    for seen in [0, 2, 5, 9] {
        for adults in [1, 2] {
            let mut asked = asked(&ladder, seen, adults);
            let input = serde_json::to_value(&asked).expect("it can be written");
            for round in ["new", "known"] {
                let (began, mut first, mut worth) = (Instant::now(), None, None);
                let mut learned = None;
                asked.answer(&ladder, &mut |told| match told {
                    Told::Learned(known) => learned = Some(*known),
                    Told::Better(_) => {
                        first.get_or_insert_with(|| began.elapsed());
                    }
                    Told::Planned(planned) => worth = Some((planned.lesson.value, planned.gap)),
                    _ => {}
                });
                let all = began.elapsed();
                for (what, time) in [("first plan", first.expect("a first plan")), ("proven", all)] {
                    let case = format!("{round}, {seen} drills, {adults} adults, {what}");
                    println!(
                        "{}",
                        json!({
                            "case": case, "input": input, "result": worth, "seconds": time.as_secs_f64(),
                        })
                    );
                }
                asked.known = learned;
            }
        }
    }
}
