//! Prints lessons to plan, with the best plan's worth and the time it took: one side of `cargo xtask bench lesson`.

use std::hint::black_box;
use std::time::Instant;

use lanewright_dice::Dice;
use lanewright_science::lesson::search::{ChildTask, GroupTask, Task, Way, solve_within};
use serde_json::json;

/// One of 0 to `end` − 1, by scaling a share.
fn below(dice: &mut Dice, end: usize) -> usize {
    (dice.share() * end as f64) as usize
}

/// Invented lanes: the first half of the drills on one gap, the others on another; one child in three falls back on the
/// drill before on the same gap.
fn task(dice: &mut Dice, groups: usize, drills: usize, blocks_max: usize, minutes: u32) -> Task {
    let setting: Vec<u32> = (0..drills).map(|drill| u32::from(2 * drill >= drills)).collect();
    let groups = (0..groups)
        .map(|_| GroupTask {
            setting: setting.iter().copied().map(Some).collect(),
            rho: (0..drills).map(|_| 0.5 + dice.share()).collect(),
            children: (0..6)
                .map(|_| ChildTask {
                    worth: (0..drills).map(|_| dice.share()).collect(),
                    ways: (0..drills)
                        .map(|drill| {
                            let falls =
                                drill > 0 && setting[drill - 1] == setting[drill] && below(dice, 3) == 0;
                            vec![Way { drill: if falls { drill - 1 } else { drill }, after: Vec::new() }]
                        })
                        .collect(),
                })
                .collect(),
        })
        .collect();
    Task {
        minutes,
        change_minutes: 1,
        blocks_max,
        block_min: 3,
        block_max: 12,
        mains_max: 2,
        runs_scale: 8.0,
        runs_to_open: 4.0,
        drills,
        groups,
        pins: Vec::new(),
    }
}

fn main() {
    let mut dice = Dice(11);
    for (groups, drills, blocks, minutes) in
        [(1, 3, 3, 14), (2, 3, 3, 18), (2, 4, 3, 20), (3, 4, 3, 20), (3, 4, 4, 27), (4, 5, 3, 20)]
    {
        let task = task(&mut dice, groups, drills, blocks, minutes);
        let clock = Instant::now();
        let solution = black_box(solve_within(black_box(&task), u64::MAX)).expect("the cases have answers");
        let seconds = clock.elapsed().as_secs_f64();
        assert!(solution.finished);
        let lanes: Vec<_> = task
            .groups
            .iter()
            .map(|group| {
                let children: Vec<_> = group
                    .children
                    .iter()
                    .map(|child| {
                        let does: Vec<usize> = child.ways.iter().map(|ways| ways[0].drill).collect();
                        json!({"worth": child.worth, "does": does})
                    })
                    .collect();
                json!({"setting": group.setting, "rho": group.rho, "children": children})
            })
            .collect();
        let input = json!({
            "minutes": task.minutes,
            "change_minutes": task.change_minutes,
            "blocks_max": task.blocks_max,
            "block_minutes": [task.block_min, task.block_max],
            "mains_max": task.mains_max,
            "runs_scale": task.runs_scale,
            "lanes": lanes,
        });
        let name = format!("{groups} lanes, {drills} drills, {blocks} blocks, {minutes} min");
        println!(
            "{}",
            json!({"case": name, "input": input, "result": {"value": solution.value}, "seconds": seconds})
        );
    }
}
