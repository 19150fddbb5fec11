//! What to change when lanes do not fit on a floor. Never the stopping room.

use super::{Arrangement, DrillAsk, LaneAsk, SiteAsk, arrange, turned};

/// Fewer hurdles than this are no lane: there is no rhythm to find (engineering assumption).
pub const HURDLES_MIN: u32 = 4;

/// Fewest steps of run-up for running drills (common practice: 4 to 8 free steps before the first hurdle).
pub const RUN_UP_STEPS_MIN: u32 = 4;

/// A sprint shorter than this is left out altogether, in metres (engineering assumption).
const SPRINT_MIN_M: f64 = 3.0;

/// Sprints are shortened in steps of this, in metres.
const SPRINT_STEP_M: f64 = 0.5;

/// One thing to change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// Sprint less after the last hurdle.
    ShortenExit {
        /// By how much, in metres.
        by_m: f64,
        /// What is left, in metres; 0 for no sprint.
        to_m: f64,
    },
    /// Run across the floor instead of along it.
    OtherDirection,
    /// Fewer hurdles in each lane.
    FewerHurdles {
        /// How many fewer in the fullest lane.
        by: u32,
        /// Most hurdles in a lane.
        to: u32,
    },
    /// Fewer steps of run-up.
    ShortenRunUp {
        /// How many fewer.
        by: u32,
        /// What is left.
        to: u32,
    },
    /// Fewer lanes.
    FewerLanes {
        /// How many fewer.
        by: u32,
        /// What is left.
        to: u32,
    },
}

/// Returns what is asked after a change.
pub fn apply(ask: &SiteAsk, change: &Change) -> SiteAsk {
    let mut ask = ask.clone();
    match *change {
        Change::ShortenExit { to_m, .. } => ask.exit_sprint_m = to_m,
        Change::OtherDirection => ask.space = ask.space.as_ref().map(turned),
        Change::FewerHurdles { to, .. } => {
            for lane in &mut ask.lanes {
                lane.hurdles = lane.hurdles.min(to);
            }
        }
        Change::ShortenRunUp { to, .. } => ask.run_up_steps_max = Some(to),
        Change::FewerLanes { to, .. } => merge_lanes(&mut ask, to),
    }
    ask
}

/// Fewer lanes with the same children: each of the lanes left is as long as the longest there was.
fn merge_lanes(ask: &mut SiteAsk, to: u32) {
    let children: u32 = ask.lanes.iter().map(|lane| lane.children).sum();
    let Some(mut lane) = ask.lanes.first().cloned() else { return };
    let largest = |value: fn(&LaneAsk) -> f64| ask.lanes.iter().map(value).fold(0.0, f64::max);
    lane.children = children.div_ceil(to.max(1));
    lane.gap_m = largest(|lane| lane.gap_m);
    lane.v_max_mps = largest(|lane| lane.v_max_mps);
    lane.hurdles = ask.lanes.iter().map(|lane| lane.hurdles).max().unwrap_or(0);
    for (index, drill) in lane.drills.iter_mut().enumerate() {
        drill.step_m =
            ask.lanes.iter().filter_map(|lane| lane.drills.get(index)).map(|d| d.step_m).fold(0.0, f64::max);
    }
    ask.lanes = vec![lane; to as usize];
}

/// Returns what would make the lanes fit, best first: each entry is a list of changes to be made together.
///
/// Every entry was tried: with its changes applied, [`arrange`] says that it fits, and each change is as small as it
/// can be with the others. Single changes stand before combined ones; among them the sprint goes first, because it
/// costs least and wins most. Empty when everything fits already, and when nothing helps.
pub fn remedies(ask: &SiteAsk) -> Vec<Vec<Change>> {
    if ask.space.is_none() || arrange(ask).fits {
        return Vec::new();
    }
    let mut found: Vec<Vec<Change>> = Vec::new();
    for turn in [false, true] {
        let mut changes = Vec::new();
        let mut changed = ask.clone();
        if turn {
            changes.push(Change::OtherDirection);
            changed = apply(&changed, &Change::OtherDirection);
        }
        if let Some(fewer) = lanes_for_width(&changed) {
            changed = apply(&changed, &fewer);
            changes.push(fewer);
        }
        let arrangement = arrange(&changed);
        if arrangement.fits {
            found.push(changes);
        } else if width_fits(&arrangement) {
            for shorter in shorter(&changed) {
                found.push(changes.iter().copied().chain(shorter).collect());
            }
        }
    }
    let mut needed: Vec<Vec<Change>> = Vec::new();
    for changes in found {
        let changes = without_idle(ask, changes);
        if !needed.contains(&changes) {
            needed.push(changes);
        }
    }
    // Stable: what was found first stays first among those with as many changes.
    needed.sort_by_key(Vec::len);
    let single = needed.iter().any(|changes| changes.len() == 1);
    needed.retain(|changes| !single || changes.len() == 1);
    needed
}

/// Leaves out changes without which it fits as well.
fn without_idle(ask: &SiteAsk, mut changes: Vec<Change>) -> Vec<Change> {
    let mut index = 0;
    while index < changes.len() {
        let mut fewer = changes.clone();
        fewer.remove(index);
        if arrange(&fewer.iter().fold(ask.clone(), |ask, change| apply(&ask, change))).fits {
            changes = fewer;
            index = 0;
        } else {
            index += 1;
        }
    }
    changes
}

fn width_fits(arrangement: &Arrangement) -> bool {
    arrangement.short_width_m <= super::ROUNDING_M
}

/// The smallest cut in the number of lanes that makes the width fit, when one is needed and helps.
fn lanes_for_width(ask: &SiteAsk) -> Option<Change> {
    if width_fits(&arrange(ask)) {
        return None;
    }
    let lanes = ask.lanes.len() as u32;
    (1..lanes)
        .map(|by| Change::FewerLanes { by, to: lanes - by })
        .find(|change| width_fits(&arrange(&apply(ask, change))))
}

/// Ways to shorten lanes until they fit: one measure alone where one is enough, else several together.
fn shorter(ask: &SiteAsk) -> Vec<Vec<Change>> {
    let measures: [fn(&SiteAsk) -> Vec<Change>; 3] = [exits, hurdles, run_ups];
    let fitting = |ask: &SiteAsk, measure: fn(&SiteAsk) -> Vec<Change>| {
        measure(ask).into_iter().find(|change| arrange(&apply(ask, change)).fits)
    };
    let singles: Vec<Vec<Change>> =
        measures.iter().filter_map(|measure| Some(vec![fitting(ask, *measure)?])).collect();
    if !singles.is_empty() {
        return singles;
    }
    // Two or three together: all of one, then as little of the next as is enough.
    let mut together: Vec<Vec<Change>> = Vec::new();
    for order in [[0, 1, 2], [0, 2, 1], [1, 2, 0]] {
        let mut changed = ask.clone();
        let mut changes: Vec<Change> = Vec::new();
        for index in order {
            if let Some(last) = fitting(&changed, measures[index]) {
                changes.push(last);
                break;
            }
            if let Some(most) = measures[index](&changed).pop() {
                changed = apply(&changed, &most);
                changes.push(most);
            }
        }
        let all_of = |changes: &[Change]| changes.iter().fold(ask.clone(), |ask, change| apply(&ask, change));
        if !arrange(&all_of(&changes)).fits {
            continue;
        }
        // The last measure has some play: give back to the earlier ones what it leaves over.
        for index in 0..changes.len() {
            let measure = match changes[index] {
                Change::ShortenExit { .. } => exits,
                Change::FewerHurdles { .. } => hurdles,
                _ => run_ups,
            };
            let mut others = changes.clone();
            others.remove(index);
            if let Some(smaller) = fitting(&all_of(&others), measure) {
                changes[index] = smaller;
            }
        }
        changes.sort_by_key(|change| match change {
            Change::ShortenExit { .. } => 0,
            Change::FewerHurdles { .. } => 1,
            _ => 2,
        });
        if !together.contains(&changes) {
            together.push(changes);
        }
    }
    together
}

/// Shorter sprints, the smallest cut first; none at all at the end.
fn exits(ask: &SiteAsk) -> Vec<Change> {
    let from_m = ask.exit_sprint_m;
    let mut changes = Vec::new();
    let mut to_m = ((from_m - SPRINT_STEP_M / 100.0) / SPRINT_STEP_M).floor() * SPRINT_STEP_M;
    while to_m >= SPRINT_MIN_M {
        changes.push(Change::ShortenExit { by_m: from_m - to_m, to_m });
        to_m -= SPRINT_STEP_M;
    }
    if from_m > 0.0 {
        changes.push(Change::ShortenExit { by_m: from_m, to_m: 0.0 });
    }
    changes
}

fn hurdles(ask: &SiteAsk) -> Vec<Change> {
    let from = ask.lanes.iter().map(|lane| lane.hurdles).max().unwrap_or(0);
    (1..=from.saturating_sub(HURDLES_MIN)).map(|by| Change::FewerHurdles { by, to: from - by }).collect()
}

fn run_ups(ask: &SiteAsk) -> Vec<Change> {
    let runs = |drill: &&DrillAsk| drill.may_sprint();
    let from = ask
        .lanes
        .iter()
        .flat_map(|lane| lane.drills.iter().filter(runs))
        .map(|drill| ask.run_up_steps_max.map_or(drill.run_up_steps, |max| drill.run_up_steps.min(max)))
        .max()
        .unwrap_or(0);
    (1..=from.saturating_sub(RUN_UP_STEPS_MIN)).map(|by| Change::ShortenRunUp { by, to: from - by }).collect()
}
