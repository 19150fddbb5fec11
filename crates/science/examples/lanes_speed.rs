//! Prints how long lanes take: the first call, then a thousand different classes in the same process. The first line's
//! first call is the first of the process.

use std::hint::black_box;
use std::time::Instant;

use lanewright_dice::Dice;
use lanewright_model::{Drill, Ladder, Setting};
use lanewright_science::lanes::{Ask, Child, ChildDrill, Proof, optimise};

/// One of 0 to `end` − 1, by scaling a share.
fn below(dice: &mut Dice, end: usize) -> usize {
    (dice.share() * end as f64) as usize
}

/// A class of invented children: statures around 1.48 m, one in three with a measured step.
fn class(dice: &mut Dice, drills: &[&Drill], count: usize) -> Vec<Child> {
    (0..count)
        .map(|_| {
            let stature_m = (1.48 + 0.09 * dice.bell()).clamp(1.15, 1.85);
            let measured = if below(dice, 3) == 0 { libm::exp(0.1 * dice.bell()) } else { 1.0 };
            let drills: Vec<ChildDrill> = drills
                .iter()
                .map(|drill| {
                    let rule = drill.gap.expect("only drills with hurdles are asked for");
                    let gap_m = rule.comfortable_ratio
                        * stature_m
                        * if rule.own_running_step { measured } else { 1.0 };
                    let base_m = if rule.band_of_own_step { gap_m } else { stature_m };
                    let (low_m, high_m) = (rule.low_ratio * base_m, rule.high_ratio * base_m);
                    ChildDrill { gap_ln: libm::log(gap_m), low_m, high_m }
                })
                .collect();
            Child { own_gap_ln: drills[0].gap_ln, drills, only: None, never: Vec::new() }
        })
        .collect()
}

fn main() {
    const CHILDREN: usize = 32;
    const LANES: usize = 6;
    const CLASSES: usize = 1_000;
    let ladder = Ladder::built_in();
    println!("{CHILDREN} children, {LANES} lanes");
    for (ids, wishes) in [
        (&["alternate-run"][..], 0),
        (&["alternate-run"], 6),
        (&["alternate-run"], 12),
        (&["alternate-run", "alternate-walk"], 0),
        (&["alternate-run", "alternate-walk", "dead-leg-run"], 0),
        (&["dead-leg-run", "two-contact-run", "alternate-walk"], 0),
        (&["alternate-run", "alternate-walk", "dead-leg-run"], 6),
    ] {
        let drills: Vec<&Drill> = ids.iter().map(|id| ladder.get(id).expect("built in")).collect();
        let settings: Vec<Setting> = drills
            .iter()
            .map(|drill| drill.gap.expect("only drills with hurdles are asked for").setting)
            .collect();
        let mut dice = Dice(7);
        let mut times_ms = Vec::new();
        let (mut cut_short, mut clashing) = (0, 0);
        for _ in 0..CLASSES {
            let mut children = class(&mut dice, &drills, CHILDREN);
            let (mut together, mut apart) = (Vec::new(), Vec::new());
            for wish in 0..wishes {
                let (one, other) = (below(&mut dice, CHILDREN), below(&mut dice, CHILDREN));
                match wish % 4 {
                    0 => children[one].only = Some(below(&mut dice, LANES)),
                    1 => children[one].never.push(below(&mut dice, LANES)),
                    2 if one != other => together.push((one, other)),
                    _ if one != other => apart.push((one, other)),
                    _ => {}
                }
            }
            let ask = Ask {
                children: &children,
                settings: &settings,
                lanes: LANES,
                together: &together,
                apart: &apart,
                gap_min_m: 0.35,
            };
            let start = Instant::now();
            let answer = black_box(optimise(black_box(&ask)));
            let took_ms = start.elapsed().as_secs_f64() * 1e3;
            match answer {
                Ok(optimum) => cut_short += u32::from(matches!(optimum.proof, Proof::Bound { .. })),
                Err(_) => clashing += 1,
            }
            times_ms.push(took_ms);
        }
        let (first_ms, all_ms) = (times_ms[0], times_ms.iter().sum::<f64>());
        times_ms.sort_by(f64::total_cmp);
        let (middle_ms, longest_ms) = (times_ms[CLASSES / 2], times_ms[CLASSES - 1]);
        println!(
            "{}, {wishes} wishes: first call {first_ms:.3} ms; {CLASSES} classes {all_ms:.0} ms, one in the middle \
             {middle_ms:.3} ms, longest {longest_ms:.3} ms; {cut_short} cut short, {clashing} clash",
            ids.join(" + "),
        );
    }
}
