//! Cost of learning and judging, and how it grows with runs. Run:
//! `cargo run --release -p lanewright-science --example decide_speed`.

use std::time::Instant;

use jiff::Timestamp;
use lanewright_model::Ladder;
use lanewright_model::run::{HurdleSet, Observation, Run, Source, Watched};
use lanewright_science::cause::cause;
use lanewright_science::decide::{ClassModel, Options, decide};

fn main() {
    let ladder = Ladder::built_in();
    let drills = ["single-walk", "alternate-walk", "two-contact-run", "alternate-run"];
    let now: Timestamp = "2026-07-01T10:00:00Z".parse().expect("a time");
    let options = Options { now, losses: Default::default() };
    let mut seed = 1u64;
    let mut unit = move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1u64 << 53) as f64
    };
    println!("   runs  children  classes  patterns  next steps  one child    causes  set-ups x hurdles");
    for (children, classes, lessons, runs_each) in [
        (32, 1, 1, 5),
        (32, 1, 4, 8),
        (32, 1, 40, 8),
        (320, 1, 40, 8),
        (360, 1, 40, 25),
        (840, 30, 24, 5),
        (840, 30, 40, 11),
    ] {
        let mut observations = Vec::new();
        for child in 0..children {
            let p = 0.02 + 0.3 * unit() * unit();
            for lesson in 0..lessons {
                for run in 0..runs_each {
                    let mut bits = 0u64;
                    let mut fell = false;
                    for number in 0..8 {
                        fell = unit() < if fell { 0.5 } else { p };
                        bits |= u64::from(fell) << number;
                    }
                    let lane = ["A", "B", "C", "D"][child % 4];
                    let class = child * classes / children;
                    observations.push(Observation::Run(Run {
                        runner: format!("r{child:03}"),
                        drill: drills[(run + lesson) % 4].into(),
                        lane: lane.into(),
                        class: (classes > 1).then(|| format!("class {class}")),
                        at: Timestamp::from_millisecond(
                            now.as_millisecond() - 86_400_000 * 7 * (lessons - 1 - lesson) as i64
                                + 60_000 * run as i64,
                        )
                        .expect("a time"),
                        lead: None,
                        hurdles: 8,
                        knocked: HurdleSet(bits),
                        down_before: HurdleSet::default(),
                        watched: Watched::Technique,
                        faults: vec![],
                        effort: Some(0.6),
                        exit_sprint: false,
                        gap_m: None,
                        height_cm: None,
                        setup: format!("{lane}{lesson}-{class}"),
                        source: Source::Tap,
                    }));
                }
            }
        }
        let start = Instant::now();
        let decisions = decide(&observations, &ladder, &options);
        let decided = start.elapsed();
        let first_class: Vec<&Observation> = observations.iter().take(observations.len() / classes).collect();
        let model = ClassModel::learn(first_class.iter().copied(), &ladder, &options);
        let start = Instant::now();
        let one = model.decisions_of("r007", &options);
        let one_child = start.elapsed();
        let runs: Vec<&Run> = observations
            .iter()
            .filter_map(|observation| if let Observation::Run(run) = observation { Some(run) } else { None })
            .collect();
        let start = Instant::now();
        let causes = cause(&runs, &ladder);
        let caused = start.elapsed();
        assert_eq!(decisions[..decisions.len() / classes], model.decisions(&options));
        println!(
            "{:>7}  {children:>8}  {classes:>7}  {:>8}  {:>7.1} ms  {:>6.3} ms  {:>5.0} ms  {}",
            observations.len(),
            model.pattern_count(),
            decided.as_secs_f64() * 1e3,
            one_child.as_secs_f64() * 1e3,
            caused.as_secs_f64() * 1e3,
            causes.map_or(0, |causes| causes.slots.len())
        );
        assert!(!one.is_empty());
    }
}
