//! The best arrangement in order of own gaps, when some children already have their lane.

use super::task::{Gaps, Price, Scratch, Task, Worth};

/// Stands for "no lane yet".
pub(super) const OPEN: u8 = u8::MAX;

/// Children in lanes, and the lanes' gaps.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Arrangement {
    pub worth: Worth,
    /// By place in the order of own gaps.
    pub lane_of: Vec<u8>,
    /// By lane, not falling.
    pub gaps: Vec<Gaps>,
}

/// Working space, kept between calls.
#[derive(Debug, Default)]
pub(super) struct Bench {
    scratch: Scratch,
    prices: Vec<Price>,
    /// Best worth so far for (lanes done, fuller lanes used, last gap at most this).
    reached: Vec<Worth>,
    /// How it got there: index of the last lane's gap, whether that lane has the fuller queue, its other gap.
    steps: Vec<Step>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Step {
    gap_index: usize,
    fuller: bool,
    other: usize,
}

/// Returns the best way to give a lane to every child who has none, and gaps to all lanes; `None` when the lanes
/// given already overfill one.
///
/// Gaps do not fall from lane to lane, and the children without a lane are dealt out in the order of their own gaps.
/// For one drill that loses nothing: with the gaps fixed, two such children who stand the wrong way round can swap
/// lanes, and (a − x)² + (b − y)² ≤ (a − y)² + (b − x)² whenever a ≤ b and x ≤ y.
///
/// A lane's first child without a lane follows from the number of lanes done and of fuller ones among them, so the
/// state is (lanes done, fuller lanes among them, last gap): a few hundred entries for a class.
pub(super) fn arrange(task: &Task, lane_of: &[u8], bench: &mut Bench) -> Option<Arrangement> {
    let (lanes, fuller_lanes, width) = (task.lanes, task.fuller_lanes, task.width);
    let open: Vec<usize> = (0..task.children()).filter(|place| lane_of[*place] == OPEN).collect();
    let mut given: Vec<Vec<usize>> = vec![Vec::new(); lanes];
    for (place, lane) in lane_of.iter().enumerate().filter(|(_, lane)| **lane != OPEN) {
        given[usize::from(*lane)].push(place);
    }
    let layer = (fuller_lanes + 1) * width;
    bench.reached.clear();
    bench.reached.resize((lanes + 1) * layer, Worth::NEVER);
    bench.steps.clear();
    bench.steps.resize((lanes + 1) * layer, Step::default());
    bench.prices.resize(width, Price { worth: Worth::NEVER, other: 0 });
    bench.reached[..width].fill(Worth::NOTHING);

    let mut given_before = 0;
    for (lane, members) in given.iter().enumerate() {
        let (done, next) = bench.reached[lane * layer..][..2 * layer].split_at_mut(layer);
        let steps = &mut bench.steps[(lane + 1) * layer..][..layer];
        for fuller_before in 0..=fuller_lanes.min(lane) {
            let so_far = &done[fuller_before * width..][..width];
            if !so_far[width - 1].can_be() {
                continue;
            }
            let start = lane * task.queue + fuller_before - given_before;
            for fuller in [true, false] {
                let fuller_after = fuller_before + usize::from(fuller);
                let size = task.queue + usize::from(fuller);
                if fuller_after > fuller_lanes || members.len() > size {
                    continue;
                }
                let Some(taken) = open.get(start..start + size - members.len()) else { continue };
                task.price(members.iter().chain(taken).copied(), &mut bench.scratch, &mut bench.prices);
                let row = fuller_after * width;
                for (gap_index, price) in bench.prices.iter().enumerate() {
                    if !price.worth.can_be() || !so_far[gap_index].can_be() {
                        continue;
                    }
                    let mut worth = so_far[gap_index].plus(price.worth);
                    worth.fuller += u64::from(fuller) << lane;
                    if worth < next[row + gap_index] {
                        next[row + gap_index] = worth;
                        steps[row + gap_index] = Step { gap_index, fuller, other: price.other };
                    }
                }
            }
        }
        // From "last gap is exactly this" to "last gap is at most this".
        for row in 0..=fuller_lanes {
            for at in row * width + 1..(row + 1) * width {
                if next[at - 1] <= next[at] {
                    next[at] = next[at - 1];
                    steps[at] = steps[at - 1];
                }
            }
        }
        given_before += members.len();
    }

    let worth = bench.reached[lanes * layer + fuller_lanes * width + width - 1];
    if !worth.can_be() {
        return None;
    }
    let mut gaps = vec![Gaps { first: 0, other: 0 }; lanes];
    let mut sizes = vec![0; lanes];
    let (mut fuller_left, mut gap_index) = (fuller_lanes, width - 1);
    for lane in (0..lanes).rev() {
        let step = bench.steps[(lane + 1) * layer + fuller_left * width + gap_index];
        gaps[lane] = Gaps { first: task.units(step.gap_index), other: step.other };
        sizes[lane] = task.queue + usize::from(step.fuller);
        fuller_left -= usize::from(step.fuller);
        gap_index = step.gap_index;
    }
    let mut lane_of = lane_of.to_vec();
    let mut waiting = open.iter();
    for lane in 0..lanes {
        for place in waiting.by_ref().take(sizes[lane] - given[lane].len()) {
            lane_of[*place] = lane as u8;
        }
    }
    Some(Arrangement { worth, lane_of, gaps })
}
