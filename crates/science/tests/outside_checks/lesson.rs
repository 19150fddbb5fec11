//! The lesson against a published rule, a worked example and an independent search.

use lanewright_science::lesson::search::{
    ChildTask, GroupTask, Pin, PlannedBlock, SearchError, Task, Way, done_by, solve, value_of,
};
use lanewright_science::lesson::worth::{expected_gain, gain};
use proptest::prelude::*;

/// The rule of Wilson, Shenhav, Straccia & Cohen 2019 (Nature Communications 10:4646): the optimum is Φ(1), which the
/// paper prints as a success rate of 84.13 % (error rate 15.87 %).
#[test]
fn gain_is_greatest_at_the_published_success_rate() {
    let best =
        (5001..10_000).map(|step| f64::from(step) / 10_000.0).max_by(|a, b| gain(*a).total_cmp(&gain(*b)));
    assert_eq!(best, Some(0.8413));
    assert!((gain(0.841_344_746_068_542_9) - 1.0).abs() < 1e-12);
    assert_eq!((gain(0.5), gain(0.3), gain(0.0), gain(1.0)), (0.0, 0.0, 0.0, 0.0));
}

/// z φ(z) / φ(1), computed with scipy 1.17.1's normal distribution.
#[test]
fn gain_equals_the_formula_in_a_general_library() {
    let rows = [
        (0.6, 0.404507),
        (0.7, 0.753522),
        (0.75, 0.885797),
        (0.8, 0.973762),
        (0.88, 0.971378),
        (0.9, 0.929493),
        (0.95, 0.701089),
        (0.99, 0.256238),
    ];
    for (rate, expected) in rows {
        assert!((gain(rate) - expected).abs() < 5e-7, "{rate}: {}", gain(rate));
    }
}

/// Means of the gain over Beta posteriors, by numerical integration with scipy 1.17.1.
#[test]
fn expected_gain_over_beta_posteriors_equals_numerical_integration() {
    let rows = [
        ((9, 1), 0.707960),
        ((18, 3), 0.889438),
        ((7, 3), 0.660453),
        ((1, 1), 0.328872),
        ((30, 2), 0.693872),
    ];
    for ((a, b), expected) in rows {
        const STEPS: u32 = 400_000;
        let points = (0..STEPS).map(|step| {
            let c = (f64::from(step) + 0.5) / f64::from(STEPS);
            (c, c.powi(a - 1) * (1.0 - c).powi(b - 1))
        });
        let value = expected_gain(points);
        assert!((value - expected).abs() < 2e-6, "Beta({a},{b}): {value}");
    }
}

fn way(drill: usize) -> Way {
    Way { drill, after: Vec::new() }
}

/// One group of two, three drills that are all open.
fn worked_example() -> Task {
    let child =
        |worth: [f64; 3]| ChildTask { worth: worth.to_vec(), ways: (0..3).map(|d| vec![way(d)]).collect() };
    Task {
        minutes: 14,
        change_minutes: 1,
        blocks_max: 3,
        block_min: 3,
        block_max: 10,
        mains_max: 2,
        runs_scale: 8.0,
        runs_to_open: 4.0,
        drills: 3,
        groups: vec![GroupTask {
            setting: vec![Some(0), Some(1), Some(1)],
            rho: vec![3.0, 2.5, 2.5],
            children: vec![child([0.7, 0.95, 0.3]), child([0.9, 0.6, 0.1])],
        }],
        pins: Vec::new(),
    }
}

fn block(minutes: u32, change: bool, main: usize) -> PlannedBlock {
    PlannedBlock { minutes, change, mains: vec![main] }
}

/// The worked example of `docs/methods/lesson.md`, by enumeration in another program.
#[test]
fn the_worked_example_comes_out() {
    let task = worked_example();
    let solution = solve(&task).unwrap();
    assert!((solution.value - 2.823092).abs() < 5e-7, "{}", solution.value);
    assert_eq!(solution.bound, solution.value);
    assert!(solution.finished && solution.relaxed_bound >= solution.value);
    let mut minutes: Vec<(usize, u32)> =
        solution.blocks.iter().map(|block| (block.mains[0], block.minutes)).collect();
    minutes.sort_unstable();
    assert_eq!(minutes, [(0, 5), (1, 5), (2, 3)]);
    assert_eq!(solution.blocks.iter().filter(|block| block.change).count(), 1);
    // The runners-up.
    let value = |blocks: &[PlannedBlock]| value_of(&task, blocks);
    assert!((value(&[block(6, false, 0), block(7, true, 1)]) - 2.807456).abs() < 5e-7);
    assert!((value(&[block(4, false, 0), block(6, true, 1), block(3, false, 2)]) - 2.798649).abs() < 5e-7);
    assert!((value(&[block(7, false, 0), block(6, true, 1)]) - 2.796396).abs() < 5e-7);
}

/// 1 − e^(−n/8).
#[test]
fn what_runs_give_follows_the_table() {
    for (runs, expected) in [(4.0, 0.393469), (8.0, 0.632121), (12.0, 0.776870)] {
        let value = lanewright_science::lesson::search::gained(runs, 8.0);
        assert!((value - expected).abs() < 5e-7);
    }
}

/// A search of its own: every number of blocks, every division of the time (all of it or not), every drill in every
/// lane; nothing is left out and nothing bounded.
fn best_by_trying_everything(task: &Task) -> Option<(f64, u32, usize)> {
    let mut best: Option<(f64, u32, usize)> = None;
    for blocks in 1..=task.blocks_max {
        let mut mains = vec![vec![0; task.groups.len()]; blocks];
        try_mains(task, &mut mains, 0, &mut best);
    }
    best
}

fn try_mains(task: &Task, mains: &mut Vec<Vec<usize>>, at: usize, best: &mut Option<(f64, u32, usize)>) {
    let groups = task.groups.len();
    if at == mains.len() * groups {
        let mut minutes = vec![0; mains.len()];
        try_minutes(task, mains, &mut minutes, 0, best);
        return;
    }
    for drill in 0..task.drills {
        if task.groups[at % groups].setting[drill].is_some() {
            mains[at / groups][at % groups] = drill;
            try_mains(task, mains, at + 1, best);
        }
    }
}

fn try_minutes(
    task: &Task,
    mains: &[Vec<usize>],
    minutes: &mut Vec<u32>,
    at: usize,
    best: &mut Option<(f64, u32, usize)>,
) {
    if at < minutes.len() {
        for choice in task.block_min..=task.block_max {
            minutes[at] = choice;
            try_minutes(task, mains, minutes, at + 1, best);
        }
        return;
    }
    let mut changes = 0;
    for block in 1..mains.len() {
        let differs = |group: usize| {
            let setting = &task.groups[group].setting;
            setting[mains[block][group]] != setting[mains[block - 1][group]]
        };
        changes += u32::from((0..task.groups.len()).any(differs));
    }
    if minutes.iter().sum::<u32>() + changes * task.change_minutes > task.minutes {
        return;
    }
    for pin in &task.pins {
        let Some(here) = mains.get(pin.block) else { return };
        let drills_hold =
            pin.drills.iter().zip(here).all(|(wanted, is)| wanted.is_none_or(|wanted| wanted == *is));
        if !drills_hold || pin.minutes.is_some_and(|wanted| wanted != minutes[pin.block]) {
            return;
        }
    }
    for here in mains {
        let mut different = here.clone();
        different.sort_unstable();
        different.dedup();
        if different.len() > task.mains_max {
            return;
        }
    }
    // The value, written out anew: drill by drill and child by child.
    let mut value = 0.0;
    for (group_index, group) in task.groups.iter().enumerate() {
        for child in &group.children {
            let mut runs = vec![0.0; task.drills];
            let mut most_in_one_block = vec![0.0_f64; task.drills];
            for (here, minutes) in mains.iter().zip(minutes.iter()) {
                for way in &child.ways[here[group_index]] {
                    if way.after.iter().all(|need| most_in_one_block[*need] >= task.runs_to_open) {
                        let more = group.rho[way.drill] * f64::from(*minutes);
                        runs[way.drill] += more;
                        most_in_one_block[way.drill] = most_in_one_block[way.drill].max(more);
                        break;
                    }
                }
            }
            for (worth, runs) in child.worth.iter().zip(&runs) {
                value += worth * (1.0 - libm::exp(-runs / task.runs_scale));
            }
        }
    }
    let better = best.is_none_or(|(known, known_changes, known_blocks)| {
        value > known + 1e-9
            || (value > known - 1e-9 && (changes, mains.len()) < (known_changes, known_blocks))
    });
    if better {
        *best = Some((value, changes, mains.len()));
    }
}

fn any_task(opening: bool) -> impl Strategy<Value = Task> {
    let child = move |drills: usize| {
        let worth = proptest::collection::vec(0.0_f64..1.0, drills);
        let opens = proptest::collection::vec(0_u8..4, drills);
        let falls = proptest::collection::vec(proptest::option::of(0..drills), drills);
        (worth, opens, falls).prop_map(move |(worth, opens, falls)| ChildTask {
            worth,
            ways: (0..drills)
                .map(|drill| {
                    let mut ways = Vec::new();
                    let after =
                        if opening && drill > 0 && opens[drill] == 0 { vec![drill - 1] } else { vec![] };
                    let open = !(opens[drill] == 1 && drill > 0);
                    if open {
                        ways.push(Way { drill, after });
                    }
                    ways.extend(falls[drill].filter(|other| *other != drill).map(way));
                    ways
                })
                .collect(),
        })
    };
    let group = move |drills: usize| {
        (
            proptest::collection::vec(0_u32..2, drills),
            proptest::collection::vec(0.4_f64..2.5, drills),
            proptest::collection::vec(child(drills), 1..4),
        )
            .prop_map(|(settings, rho, children)| GroupTask {
                setting: settings.into_iter().map(Some).collect(),
                rho,
                children,
            })
    };
    (2_usize..4, 1_usize..3, 1_usize..4, 0_u32..3, 1_usize..3, 6_u32..15).prop_flat_map(
        move |(drills, groups, blocks_max, change_minutes, mains_max, minutes)| {
            // Trying everything takes long where lanes, drills and blocks are all many.
            let blocks_max = if drills * groups > 4 { blocks_max.min(2) } else { blocks_max };
            proptest::collection::vec(group(drills), groups).prop_map(move |groups| Task {
                minutes,
                change_minutes,
                blocks_max,
                block_min: 3,
                block_max: 6,
                mains_max,
                runs_scale: 8.0,
                runs_to_open: 4.0,
                drills,
                groups,
                pins: Vec::new(),
            })
        },
    )
}

fn equals_trying_everything(task: &Task) -> Result<(), TestCaseError> {
    let solution = solve(task);
    let Some((value, changes, blocks)) = best_by_trying_everything(task) else {
        let refused = matches!(solution, Err(SearchError::NoRoom { .. } | SearchError::Pins(_)));
        prop_assert!(refused);
        return Ok(());
    };
    let solution = solution.unwrap();
    prop_assert!((solution.value - value).abs() < 1e-9, "{} against {value}", solution.value);
    prop_assert!(solution.finished && solution.bound == solution.value);
    prop_assert!(solution.relaxed_bound >= value - 1e-9);
    let own_changes = solution.blocks.iter().filter(|block| block.change).count() as u32;
    prop_assert_eq!((own_changes, solution.blocks.len()), (changes, blocks), "ties");
    let spent: u32 = solution.blocks.iter().map(|block| block.minutes).sum();
    prop_assert!(spent + own_changes * task.change_minutes <= task.minutes);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_search_equals_trying_everything(task in any_task(false)) {
        equals_trying_everything(&task)?;
    }

    #[test]
    fn the_search_equals_trying_everything_where_drills_open_others(task in any_task(true)) {
        equals_trying_everything(&task)?;
    }

    #[test]
    fn what_the_coach_fixed_stands_and_the_rest_is_still_the_best(
        task in any_task(true), block in 0_usize..3, minutes in proptest::option::of(2_u32..8), drill in 0_usize..2,
    ) {
        let mut task = task;
        task.blocks_max = task.blocks_max.max(block + 1).min(3);
        if task.drills * task.groups.len() > 4 {
            task.blocks_max = task.blocks_max.min(2);
        }
        prop_assume!(block < task.blocks_max);
        let mut drills = vec![None; task.groups.len()];
        drills[0] = Some(drill);
        task.pins = vec![Pin { block, minutes, drills }];
        // Trying everything knows the limits of a block only where it is fixed within them.
        prop_assume!(minutes.is_none_or(|minutes| (task.block_min..=task.block_max).contains(&minutes)));
        if let Ok(solution) = solve(&task) {
            prop_assert_eq!(solution.blocks[block].mains[0], drill);
            prop_assert!(minutes.is_none_or(|minutes| solution.blocks[block].minutes == minutes));
        }
        equals_trying_everything(&task)?;
    }
}

#[test]
fn a_child_waits_on_the_spot_until_its_drill_opens() {
    let mut task = worked_example();
    task.groups[0].children[0].ways[1] = vec![Way { drill: 1, after: vec![0] }];
    let blocks = [block(4, false, 1), block(2, true, 0), block(4, true, 1)];
    let too_few = Task { runs_to_open: 7.0, ..task.clone() };
    assert_eq!(done_by(&too_few, 0, 0, &blocks), [None, Some(0), None]);
    assert_eq!(done_by(&task, 0, 0, &blocks), [None, Some(0), Some(1)]);
}
