//! Prints cases of the two-state chain (`chain`) or of the causes' regression (`causes`) with our result and time,
//! one JSON object a line, for the comparison with a general library (`cargo xtask bench`).

use std::time::Instant;

use jiff::Timestamp;
use lanewright_model::Ladder;
use lanewright_model::run::{HurdleSet, Leg, Run, Source, Watched};
use lanewright_science::cause::regression;
use lanewright_science::decide::chain::states;
use serde_json::json;

/// Small generator for cases: a linear congruential one.
struct Random(u64);

impl Random {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn main() {
    match std::env::args().nth(1).as_deref() {
        Some("causes") => causes(),
        _ => chains(),
    }
}

fn chains() {
    let mut random = Random(11);
    for (hurdles, count) in [(8, 100), (8, 1000), (12, 1000)] {
        let knock = [0.02 + 0.08 * random.unit(), 0.4 + 0.3 * random.unit()];
        let (start, leave, stay) = ([0.9, 0.1], 0.02 + 0.08 * random.unit(), 0.6 + 0.3 * random.unit());
        let change = [[1.0 - leave, leave], [1.0 - stay, stay]];
        let runs: Vec<Vec<u8>> =
            (0..count).map(|_| (0..hurdles).map(|_| u8::from(random.unit() < 0.25)).collect()).collect();
        let clock = Instant::now();
        let (mut log_likelihood, mut broken) = (0.0, 0.0);
        for run in &runs {
            let seen: Vec<[f64; 2]> =
                run.iter().map(|fell| if *fell == 1 { knock } else { knock.map(|p| 1.0 - p) }).collect();
            let found = states(start, change, &seen);
            log_likelihood += found.log_likelihood;
            broken += found.smoothed.iter().sum::<f64>();
        }
        let seconds = clock.elapsed().as_secs_f64();
        println!(
            "{}",
            json!({
                "case": format!("{count} runs of {hurdles} hurdles"),
                "input": {"start": start, "change": change, "knock": knock, "runs": runs},
                "result": {"log_likelihood": log_likelihood, "places_broken": broken},
                "seconds": seconds,
            })
        );
    }
}

fn causes() {
    let ladder = Ladder::built_in();
    let mut random = Random(5);
    for (children, rounds) in [(28usize, 5), (32, 20)] {
        let mut runs = Vec::new();
        for child in 0..children {
            let level = -2.5 + 1.6 * random.unit();
            for round in 0..rounds {
                let lane =
                    if random.unit() < 0.2 { random.unit() * 4.0 } else { (child % 4) as f64 } as usize;
                let bits = (0..8).fold(0u64, |bits, number| {
                    let logit = level + if lane == 1 && number == 4 { 1.6 } else { 0.0 };
                    bits | u64::from(random.unit() < 1.0 / (1.0 + libm::exp(-logit))) << number
                });
                let lane = ["A", "B", "C", "D"][lane];
                runs.push(Run {
                    runner: format!("r{child:02}"),
                    drill: "alternate-run".into(),
                    lane: lane.into(),
                    class: None,
                    at: Timestamp::from_second(1_772_446_000 + 60 * (round * 40 + child) as i64)
                        .expect("a time"),
                    lead: Some(if round % 2 == 0 { Leg::Left } else { Leg::Right }),
                    hurdles: 8,
                    knocked: HurdleSet(bits),
                    down_before: HurdleSet::default(),
                    watched: Watched::Knocks,
                    faults: vec![],
                    effort: None,
                    exit_sprint: false,
                    gap_m: None,
                    height_cm: None,
                    setup: lane.into(),
                    source: Source::Tap,
                });
            }
        }
        let refs: Vec<&Run> = runs.iter().collect();
        let clock = Instant::now();
        let found = regression(&refs, &ladder, 1.0).expect("there are knocks");
        let seconds = clock.elapsed().as_secs_f64();
        println!(
            "{}",
            json!({
                "case": format!("{children} children, {rounds} runs each"),
                "input": {"sds": found.sds, "rows": found.rows},
                "result": {"effects": found.effects},
                "seconds": seconds,
            })
        );
    }
}
