//! Fixed cases for the comparison with general libraries: invented runs from a small generator whose seed stands
//! beside them. `bench/` compares them live; tests compare them with the stored answers in `bench/reference`.

use jiff::Timestamp;
use lanewright_model::Ladder;
use lanewright_model::run::{HurdleSet, Leg, Run, Source, Watched};
use lanewright_science::cause::regression;
use lanewright_science::decide::chain::states;
use lanewright_science::normal::Z_95;
use lanewright_science::proportion::{p_at_least, p_greater, wilson};
use lanewright_science::sprint::curve::{Clock, fit};
use lanewright_science::sprint::{Exponential, Mark};
use serde_json::{Value, json};

/// Seed of the runs for the chain.
const CHAIN_SEED: u64 = 11;
/// Seed of the runs for the causes.
const CAUSES_SEED: u64 = 5;
/// Seed of the sprints.
const SPRINTS_SEED: u64 = 3;
/// Up to so many places, the result names what was found at every one of them.
const PLACES_NAMED_MAX: usize = 200;

/// Small generator for cases: a linear congruential one.
struct Random(u64);

impl Random {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// One problem, ready to be solved by [`Case::solve`].
pub struct Case {
    /// Name of the case.
    pub name: String,
    /// Seed of its data; absent where the data stand in the input itself.
    pub seed: Option<u64>,
    /// What a general library needs.
    pub input: Value,
    solve: Box<dyn Fn() -> Value>,
}

impl Case {
    /// Returns our result, in the shape that the reference answers in.
    pub fn solve(&self) -> Value {
        (self.solve)()
    }
}

/// Knocks along lanes: likelihood, and where the line was broken.
pub fn chains() -> Vec<Case> {
    let mut random = Random(CHAIN_SEED);
    let mut cases = Vec::new();
    for (hurdles, count) in [(8, 100), (8, 1000), (12, 1000), (8, 20)] {
        let knock = [0.02 + 0.08 * random.unit(), 0.4 + 0.3 * random.unit()];
        let (start, leave, stay) = ([0.9, 0.1], 0.02 + 0.08 * random.unit(), 0.6 + 0.3 * random.unit());
        let change = [[1.0 - leave, leave], [1.0 - stay, stay]];
        let runs: Vec<Vec<u8>> =
            (0..count).map(|_| (0..hurdles).map(|_| u8::from(random.unit() < 0.25)).collect()).collect();
        let input = json!({"start": start, "change": change, "knock": knock, "runs": runs});
        let solve = move || {
            let (mut log_likelihood, mut broken) = (0.0, Vec::new());
            for run in &runs {
                let seen: Vec<[f64; 2]> =
                    run.iter().map(|fell| if *fell == 1 { knock } else { knock.map(|p| 1.0 - p) }).collect();
                let found = states(start, change, &seen);
                log_likelihood += found.log_likelihood;
                broken.extend(found.smoothed);
            }
            let sum: f64 = broken.iter().sum();
            let mut result = json!({"log_likelihood": log_likelihood, "places_broken": sum});
            if broken.len() <= PLACES_NAMED_MAX {
                result["broken"] = json!(broken);
            }
            result
        };
        cases.push(Case {
            name: format!("{count} runs of {hurdles} hurdles"),
            seed: Some(CHAIN_SEED),
            input,
            solve: Box::new(solve),
        });
    }
    cases
}

/// What explains the knocks: most probable effects and their spread.
pub fn causes() -> Vec<Case> {
    let mut random = Random(CAUSES_SEED);
    let mut cases = Vec::new();
    let drills = [("alternate-run", 0.0), ("alternate-walk", -1.0), ("two-contact-run", 0.8)];
    for (children, rounds, drills) in
        [(28usize, 5, &drills[..1]), (32, 20, &drills[..1]), (28, 6, &drills[..])]
    {
        let mut runs = Vec::new();
        for child in 0..children {
            let level = -2.5 + 1.6 * random.unit();
            for round in 0..rounds {
                let lane =
                    if random.unit() < 0.2 { random.unit() * 4.0 } else { (child % 4) as f64 } as usize;
                let (drill, harder) = drills[round % drills.len()];
                let bits = (0..8).fold(0u64, |bits, number| {
                    let logit = level + harder + if lane == 1 && number == 4 { 1.6 } else { 0.0 };
                    bits | u64::from(random.unit() < 1.0 / (1.0 + libm::exp(-logit))) << number
                });
                let lane = ["A", "B", "C", "D"][lane];
                runs.push(Run {
                    runner: format!("r{child:02}"),
                    drill: drill.into(),
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
        let ladder = Ladder::built_in();
        let problem = move || {
            let refs: Vec<&Run> = runs.iter().collect();
            regression(&refs, &ladder, 1.0).expect("there are knocks")
        };
        let stated = problem();
        cases.push(Case {
            name: match drills.len() {
                1 => format!("{children} children, {rounds} runs each"),
                many => format!("{children} children, {rounds} runs each, {many} drills"),
            },
            seed: Some(CAUSES_SEED),
            input: json!({"sds": stated.sds, "rows": stated.rows}),
            solve: Box::new(move || {
                let found = problem();
                json!({"effects": found.effects, "spreads": found.spreads})
            }),
        });
    }
    cases
}

/// Plain proportions: a rate above a mark, the greater of two rates, a 90 % range.
pub fn proportions() -> Vec<Case> {
    [(0u32, 12u32, 3u32, 12u32), (2, 24, 9, 30), (18, 20, 16, 20), (140, 900, 170, 1000)]
        .into_iter()
        .map(|(hits, of, other_hits, of_other)| Case {
            name: format!("{hits} of {of}, {other_hits} of {of_other}"),
            seed: None,
            input: json!({"hits": hits, "of": of, "other_hits": other_hits, "of_other": of_other, "rate": 0.1, "z": Z_95}),
            solve: Box::new(move || {
                let (low, high) = wilson(hits, of, Z_95);
                json!({
                    "at_least": p_at_least(hits, of, 0.1),
                    "greater": p_greater(hits, of, other_hits, of_other),
                    "low": low,
                    "high": high,
                })
            }),
        })
        .collect()
}

/// Speed curves of a few runners: with the first movement known, with a flying start, and with it fitted.
pub fn sprints() -> Vec<Case> {
    vec![
        sprint_case("60 runners, first movement known", 60, Clock::Known { t0_s: 0.15 }),
        sprint_case("60 runners, flying 3 m", 60, Clock::Flying { run_up_m: 3.0 }),
        sprint_case("60 runners, first movement fitted", 60, Clock::Free),
    ]
}

/// Speed curves of ten thousand runners.
pub fn many_sprints() -> Vec<Case> {
    vec![sprint_case("10000 runners", 10_000, Clock::Known { t0_s: 0.15 })]
}

fn sprint_case(name: &str, runners: usize, clock: Clock) -> Case {
    let mut random = Random(SPRINTS_SEED);
    let run_up_m = if let Clock::Flying { run_up_m } = clock { run_up_m } else { 0.0 };
    let t0_s = if run_up_m > 0.0 { 0.0 } else { 0.15 };
    let places_m = [5.0, 10.0, 15.0, 20.0, 25.0, 30.0];
    let all: Vec<Vec<Mark>> = (0..runners)
        .map(|_| {
            let runner =
                Exponential { v_max_mps: 5.0 + 4.0 * random.unit(), tau_s: 0.8 + 0.8 * random.unit() };
            let at_gate_s = runner.time_s(run_up_m);
            places_m
                .iter()
                .map(|&distance_m| {
                    // The sum of four uniforms, nearly normal: a standard deviation of 0.01 s.
                    let error_s = 0.01 * 1.732 * ((0..4).map(|_| random.unit()).sum::<f64>() - 2.0);
                    let time_s = runner.time_s(distance_m + run_up_m) - at_gate_s + t0_s + error_s;
                    Mark { distance_m, time_s }
                })
                .collect()
        })
        .collect();
    let times: Vec<Vec<f64>> =
        all.iter().map(|marks| marks.iter().map(|mark| mark.time_s).collect()).collect();
    let start = match clock {
        Clock::Known { t0_s } => json!({"known_s": t0_s}),
        Clock::Flying { run_up_m } => json!({"flying_m": run_up_m}),
        Clock::Free => json!("free"),
    };
    Case {
        name: name.to_owned(),
        seed: Some(SPRINTS_SEED),
        input: json!({"start": start, "distance_m": places_m, "time_s": times}),
        solve: Box::new(move || {
            let fitted: Vec<_> = all.iter().map(|marks| fit(marks, clock)).collect();
            let of = |number: fn(&lanewright_science::sprint::curve::Fitted) -> f64| -> Vec<f64> {
                fitted.iter().map(number).collect()
            };
            json!({
                "v_max_mps": of(|fitted| fitted.curve.v_max_mps),
                "tau_s": of(|fitted| fitted.curve.tau_s),
                "rse_s": of(|fitted| fitted.rse_s),
                "v_max_error_mps": of(|fitted| fitted.standard_errors[0]),
                "tau_error_s": of(|fitted| fitted.standard_errors[1]),
            })
        }),
    }
}
