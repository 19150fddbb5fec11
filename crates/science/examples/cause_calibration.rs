//! Looks for one bad hurdle in simulated lessons. Run:
//! `cargo run --release -p lanewright-science --example cause_calibration`.

use lanewright_dice::Dice;
use lanewright_model::Ladder;
use lanewright_model::run::{HurdleSet, Leg, Run, Source, Watched};
use lanewright_science::cause::cause;
use lanewright_science::decide::fit::logistic;

fn main() {
    let ladder = Ladder::built_in();
    for (name, carry) in [("independent knocks", 0.0), ("knocks in rows", 1.5)] {
        for bad in [true, false] {
            let (mut top, mut sure, mut accused, mut classes) = (0, 0, 0, 0);
            for class in 0..200u64 {
                let mut random = Dice(class * 31 + 5);
                let culprit = (random.share() * 4.0) as usize * 8 + (random.share() * 8.0) as usize;
                let base = -2.2 + 0.3 * random.normal();
                let mut runs = Vec::new();
                for child in 0..28usize {
                    let ability = 0.8 * random.normal();
                    let lane = child / 7;
                    for round in 0..5 {
                        let mut bits = 0u64;
                        let mut fell = false;
                        for number in 0..8usize {
                            let mut logit = base + ability + 0.03 * number as f64;
                            if bad && lane * 8 + number == culprit {
                                logit += libm::log(5.0);
                            }
                            if fell {
                                logit += carry;
                            }
                            fell = random.share() < logistic(logit);
                            if fell {
                                bits |= 1 << number;
                            }
                        }
                        runs.push(Run {
                            runner: format!("r{child:02}"),
                            drill: "alternate-run".into(),
                            lane: ["A", "B", "C", "D"][lane].into(),
                            class: None,
                            at: format!("2026-03-02T10:{:02}:{:02}Z", round * 10, child)
                                .parse()
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
                            setup: ["A1", "B1", "C1", "D1"][lane].into(),
                            source: Source::Tap,
                        });
                    }
                }
                let refs: Vec<&Run> = runs.iter().collect();
                let causes = cause(&refs, &ladder).expect("some knocks");
                let worst = &causes.slots[0];
                classes += 1;
                let is_culprit = bad
                    && worst.lane == ["A", "B", "C", "D"][culprit / 8]
                    && worst.hurdle as usize == culprit % 8 + 1;
                top += i32::from(is_culprit);
                sure += i32::from(is_culprit && worst.p_above_1_5 >= 0.8);
                accused += i32::from(worst.p_above_1_5 >= 0.9);
            }
            let share = |count: i32| f64::from(count) / f64::from(classes);
            println!(
                "{name}, {}: on top {:.2}, with P >= .8 {:.2}, any at P >= .9 {:.2}",
                if bad { "one bad hurdle" } else { "none bad" },
                share(top),
                share(sure),
                share(accused)
            );
        }
    }
}
