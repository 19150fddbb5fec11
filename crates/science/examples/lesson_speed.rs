//! Prints how long planning a lesson takes, what it is worth, and the bound, for invented classes of 32 with no, some
//! and much history. A number as argument is the most steps of the search; `--blocks` prints the blocks too.

use std::time::Instant;

use jiff::Timestamp;
use jiff::civil::date;
use lanewright_dice::Dice;
use lanewright_model::drill::Ladder;
use lanewright_model::kit::{HurdleStock, Kit, Space};
use lanewright_model::run::{HurdleSet, Observation, Run, Source, Watched};
use lanewright_model::runner::Runner;
use lanewright_science::decide::{Losses, Options};
use lanewright_science::lesson::{LessonInput, Use, lesson};
use lanewright_science::plan::PlanInput;

/// Runs of the first `drills` drills of the ladder, four each, by children of different skill.
fn history(
    dice: &mut Dice,
    runners: &[Runner],
    ladder: &Ladder,
    drills: usize,
    at: Timestamp,
) -> Vec<Observation> {
    let mut runs = Vec::new();
    let with_hurdles = ladder.drills().iter().filter(|drill| drill.gap.is_some());
    let own: Vec<f64> = runners.iter().map(|_| dice.bell()).collect();
    for (number, drill) in with_hurdles.take(drills).enumerate() {
        for (runner, own) in runners.iter().zip(&own) {
            let skill = 0.7 * own + 0.7 * dice.bell();
            let knock = 1.0 / (1.0 + libm::exp(2.6 - 0.2 * number as f64 - 0.8 * skill));
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
                    source: Source::Tap,
                }));
            }
        }
    }
    runs
}

fn main() {
    let ladder = Ladder::built_in();
    let now: Timestamp = "2026-03-02T10:00:00Z".parse().expect("a moment");
    println!(
        "seen  adults  lanes  drills  blocks  value     bound     gap     relaxed     first ms  again ms"
    );
    for seed in 1..=3 {
        for seen in [0, 2, 5, 9] {
            for adults in [1, 2] {
                let mut dice = Dice(seed);
                let runners: Vec<Runner> = (0..32)
                    .map(|number| {
                        let mut runner = Runner::named(format!("r{number:02}"), format!("Child {number}"));
                        runner.stature_cm = Some((148.0 + 9.0 * dice.bell()).clamp(115.0, 185.0).round());
                        runner
                    })
                    .collect();
                let runs = history(&mut dice, &runners, &ladder, seen, now);
                let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: 36 }], ..Kit::default() };
                let mut lanes = PlanInput::new(runners, Vec::new(), kit, date(2026, 3, 2));
                lanes.space = Some(Space::hall(40.0, 28.0));
                lanes.adults = adults;
                let options = Options { now, losses: Losses::default() };
                let mut input = LessonInput::new(lanes, &ladder, &runs, options, Use::Lesson, 50);
                if let Some(steps) = std::env::args().find_map(|argument| argument.parse().ok()) {
                    input.steps_max = steps;
                }
                let began = Instant::now();
                let planned = lesson(&input).expect("a lesson");
                let first_ms = began.elapsed().as_secs_f64() * 1e3;
                let began = Instant::now();
                let again = lesson(&input).expect("a lesson");
                let again_ms = began.elapsed().as_secs_f64() * 1e3;
                assert_eq!(planned, again);
                println!(
                    "{seen:>4}  {adults:>6}  {:>5}  {:>6}  {:>6}  {:<8.4}  {:<8.4}  {:<6.4}  {:<10.4}  {:>8.1}  {:>8.1}",
                    planned.groups.len(),
                    planned.groups[0].rho.len() - 1,
                    planned.blocks.len(),
                    planned.value,
                    planned.bound,
                    planned.gap,
                    planned.relaxed_bound,
                    first_ms,
                    again_ms,
                );
                if std::env::args().any(|argument| argument == "--blocks") {
                    for block in &planned.blocks {
                        let lanes: Vec<String> = block
                            .groups
                            .iter()
                            .map(|group| format!("{} {} (+{})", group.lane, group.drill, group.easier.len()))
                            .collect();
                        println!(
                            "      {} + {} min: {}",
                            block.change_minutes,
                            block.minutes,
                            lanes.join(", ")
                        );
                    }
                }
            }
        }
    }
}
