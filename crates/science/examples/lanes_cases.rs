//! Prints lane problems with our answers, one JSON object a line, for a general solver to repeat.
//!
//! `bench/lanes_mip.py` reads them; `bench/README.md` describes the form. The time is that of the first call for
//! each case. With `several 400` as arguments it prints 400 classes with two or three drills each; add `--compare` to
//! the reference's command to count how often it finds something better.

use std::hint::black_box;
use std::time::Instant;

use lanewright_dice::Dice;
use lanewright_model::{Drill, Ladder, Setting};
use lanewright_science::lanes::{Ask, Child, ChildDrill, Optimum, optimise};
use serde_json::{Value, json};

/// One of 0 to `end` − 1, by scaling a share.
fn below(dice: &mut Dice, end: usize) -> usize {
    (dice.share() * end as f64) as usize
}

/// A class of invented children: statures around 1.48 m, a third of them with a measured step.
fn class(dice: &mut Dice, drills: &[&Drill], count: usize) -> Vec<Child> {
    (0..count)
        .map(|_| {
            let stature_m = (1.48 + 0.09 * dice.bell()).clamp(1.15, 1.85);
            let measured = if dice.share() < 1.0 / 3.0 { libm::exp(0.1 * dice.bell()) } else { 1.0 };
            let drills: Vec<ChildDrill> = drills
                .iter()
                .map(|drill| {
                    let rule = drill.gap.expect("only drills with hurdles are asked for");
                    let own = if rule.own_running_step { measured } else { 1.0 };
                    let gap_m = rule.comfortable_ratio * stature_m * own;
                    let base_m = if rule.band_of_own_step { gap_m } else { stature_m };
                    let (low_m, high_m) = (rule.low_ratio * base_m, rule.high_ratio * base_m);
                    ChildDrill { gap_ln: libm::log(gap_m), low_m, high_m }
                })
                .collect();
            Child { own_gap_ln: drills[0].gap_ln, drills, only: None, never: Vec::new() }
        })
        .collect()
}

/// Everything that another solver needs.
fn input(ask: &Ask) -> Value {
    let children: Vec<Value> = ask
        .children
        .iter()
        .map(|child| {
            let drills: Vec<Value> = child
                .drills
                .iter()
                .map(|drill| json!({"gap_ln": drill.gap_ln, "low_m": drill.low_m, "high_m": drill.high_m}))
                .collect();
            json!({"drills": drills, "only": child.only, "never": child.never})
        })
        .collect();
    json!({
        "children": children,
        "settings": ask.settings,
        "lanes": ask.lanes,
        "together": ask.together,
        "apart": ask.apart,
        "gap_min_m": ask.gap_min_m,
    })
}

/// What must be equal: everything that decides between arrangements, not the arrangement. Bands and second gaps
/// decide nothing when there is one drill.
fn result(ask: &Ask, optimum: &Optimum) -> Value {
    if ask.settings.len() == 1 {
        return json!({"sum_sq_ln": optimum.sum_sq_ln});
    }
    let settings: usize = optimum.lanes.iter().map(|lane| lane.setting_count()).sum();
    let has_both =
        |lane: &&lanewright_science::lanes::LaneGaps| lane.long_m.is_some() && lane.short_m.is_some();
    let not_half = optimum.lanes.iter().filter(has_both).filter(|lane| !lane.short_is_half).count();
    json!({
        "outside": optimum.outside.len(),
        "settings": settings,
        "not_half": not_half,
        "sum_sq_ln": optimum.sum_sq_ln,
    })
}

fn case(name: &str, ask: &Ask) {
    let clock = Instant::now();
    let answer = black_box(optimise(black_box(ask)));
    let seconds = clock.elapsed().as_secs_f64();
    let optimum = answer.expect("the cases have answers");
    println!(
        "{}",
        json!({"case": name, "input": input(ask), "result": result(ask, &optimum), "seconds": seconds})
    );
}

fn settings_of(drills: &[&Drill]) -> Vec<Setting> {
    drills.iter().map(|drill| drill.gap.expect("only drills with hurdles are asked for").setting).collect()
}

/// Prints classes of 20 to 32 in 3 to 6 lanes, with two or three different drills.
fn several(count: usize) {
    let mut dice = Dice(7);
    let ladder = Ladder::built_in();
    let with_gap: Vec<&Drill> = ladder.drills().iter().filter(|drill| drill.gap.is_some()).collect();
    for number in 0..count {
        let drill_count = 2 + below(&mut dice, 2);
        let mut drills: Vec<&Drill> = Vec::new();
        while drills.len() < drill_count {
            let drill = with_gap[below(&mut dice, with_gap.len())];
            if !drills.iter().any(|other| other.id == drill.id) {
                drills.push(drill);
            }
        }
        let (children, lanes) = (20 + below(&mut dice, 13), 3 + below(&mut dice, 4));
        let class = class(&mut dice, &drills, children);
        let settings = settings_of(&drills);
        let ask =
            Ask { children: &class, settings: &settings, lanes, together: &[], apart: &[], gap_min_m: 0.35 };
        let ids: Vec<&str> = drills.iter().map(|drill| drill.id.0.as_str()).collect();
        case(&format!("{number}: {}, {children} in {lanes}", ids.join(" + ")), &ask);
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [] => compared(),
        [word, count] if word == "several" => several(count.parse().expect("a count is a whole number")),
        _ => panic!("no arguments, or `several` and a count"),
    }
}

/// Prints the cases of the comparison.
fn compared() {
    let mut dice = Dice(7);
    let ladder = Ladder::built_in();
    for (name, ids, children, lanes) in [
        ("run, 32 in 6", &["alternate-run"][..], 32, 6),
        ("run, 28 in 4", &["alternate-run"], 28, 4),
        ("dead leg, 24 in 5", &["dead-leg-run"], 24, 5),
        ("run + walk, 24 in 4", &["alternate-run", "alternate-walk"], 24, 4),
        ("two runs, 24 in 4", &["alternate-run", "two-contact-run"], 24, 4),
        ("dead leg + run, 24 in 4", &["dead-leg-run", "two-contact-run"], 24, 4),
    ] {
        let drills: Vec<&Drill> = ids.iter().map(|id| ladder.get(id).expect("built in")).collect();
        let settings = settings_of(&drills);
        let class = class(&mut dice, &drills, children);
        let ask =
            Ask { children: &class, settings: &settings, lanes, together: &[], apart: &[], gap_min_m: 0.35 };
        case(name, &ask);
    }
    let run = [ladder.get("alternate-run").expect("built in")];
    let mut wishing = class(&mut dice, &run, 16);
    wishing[3].only = Some(0);
    wishing[8].never = vec![2, 3];
    let ask = Ask {
        children: &wishing,
        settings: &[Setting::Long],
        lanes: 4,
        together: &[(0, 5), (5, 11)],
        apart: &[(1, 2), (2, 9), (1, 9)],
        gap_min_m: 0.35,
    };
    case("run, 8 wishes, 16 in 4", &ask);
}
