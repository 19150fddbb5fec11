//! The best arrangement in which children are dealt out to lanes in one order, when some already have their lane.

use super::task::{Gaps, Price, Sums, Task, Worth};

/// Stands for "no lane yet".
pub(super) const OPEN: u8 = u8::MAX;

/// Children in lanes, and the lanes' gaps.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Arrangement {
    pub worth: Worth,
    /// By place in the order of own gaps.
    pub lane_of: Vec<u8>,
    /// By lane.
    pub gaps: Vec<Gaps>,
}

/// Working space, kept between calls.
#[derive(Debug, Default)]
pub(super) struct Bench {
    sums: Sums,
    prices: Vec<Price>,
    /// Best worth so far for (lanes done, fuller lanes among them, last gap at most this).
    reached: Vec<Worth>,
    /// How it got there.
    steps: Vec<Step>,
}

/// The last of the lanes done.
#[derive(Debug, Clone, Copy, Default)]
struct Step {
    gaps: Gaps,
    /// It has the fuller queue.
    fuller: bool,
    /// The lane before has at most the gap of this column.
    column: usize,
}

/// Returns the best way to give a lane to every child who has none, and gaps to all lanes; `None` when the lanes
/// given already overfill one.
///
/// The children without a lane are dealt out in the order given, lane by lane; usually in that of their own gaps.
/// With one drill that loses nothing as long as gaps do not fall from lane to lane, which is asked for there
/// ([`Task::gaps_rise`]): two such children who stand the wrong way round can swap lanes, and
/// (a − x)² + (b − y)² ≤ (a − y)² + (b − x)² whenever a ≤ b and x ≤ y.
///
/// A lane's first child without a lane follows from the number of lanes done and of fuller ones among them, so the
/// state is (lanes done, fuller lanes among them, last gap): a few hundred entries for a class. Where gaps may fall,
/// the last gap does not matter.
pub(super) fn arrange(
    task: &Task,
    lane_of: &[u8],
    order: &[usize],
    bench: &mut Bench,
) -> Option<Arrangement> {
    let (lanes, fuller_lanes) = (task.lanes, task.fuller_lanes);
    let columns = if task.gaps_rise { task.width } else { 1 };
    let open: Vec<usize> = order.iter().copied().filter(|place| lane_of[*place] == OPEN).collect();
    let mut given: Vec<Vec<usize>> = vec![Vec::new(); lanes];
    for (place, lane) in lane_of.iter().enumerate().filter(|(_, lane)| **lane != OPEN) {
        given[usize::from(*lane)].push(place);
    }
    let layer = (fuller_lanes + 1) * columns;
    bench.reached.clear();
    bench.reached.resize((lanes + 1) * layer, Worth::NEVER);
    bench.steps.clear();
    bench.steps.resize((lanes + 1) * layer, Step::default());
    bench.prices.resize(columns, Price::NEVER);
    bench.reached[..columns].fill(Worth::NOTHING);

    let mut given_before = 0;
    for (lane, members) in given.iter().enumerate() {
        let (done, next) = bench.reached[lane * layer..][..2 * layer].split_at_mut(layer);
        let steps = &mut bench.steps[(lane + 1) * layer..][..layer];
        for fuller_before in 0..=fuller_lanes.min(lane) {
            let so_far = &done[fuller_before * columns..][..columns];
            if !so_far[columns - 1].can_be() {
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
                task.sum_up(members.iter().chain(taken).copied(), &mut bench.sums);
                if task.gaps_rise {
                    task.price(&bench.sums, &mut bench.prices);
                } else {
                    bench.prices[0] = task.lay(&bench.sums, 0..=task.width - 1);
                }
                let row = fuller_after * columns;
                for (column, price) in bench.prices.iter().enumerate() {
                    if !price.worth.can_be() || !so_far[column].can_be() {
                        continue;
                    }
                    let mut worth = so_far[column].plus(price.worth);
                    worth.fuller += u64::from(fuller) << lane;
                    if worth < next[row + column] {
                        next[row + column] = worth;
                        steps[row + column] = Step { gaps: price.gaps, fuller, column };
                    }
                }
            }
        }
        // From "last gap is exactly this" to "last gap is at most this".
        for row in 0..=fuller_lanes {
            for at in row * columns + 1..(row + 1) * columns {
                if next[at - 1] <= next[at] {
                    next[at] = next[at - 1];
                    steps[at] = steps[at - 1];
                }
            }
        }
        given_before += members.len();
    }

    let worth = bench.reached[lanes * layer + fuller_lanes * columns + columns - 1];
    if !worth.can_be() {
        return None;
    }
    let mut gaps = vec![Gaps::default(); lanes];
    let mut sizes = vec![0; lanes];
    let (mut fuller_left, mut column) = (fuller_lanes, columns - 1);
    for lane in (0..lanes).rev() {
        let step = bench.steps[(lane + 1) * layer + fuller_left * columns + column];
        gaps[lane] = step.gaps;
        sizes[lane] = task.queue + usize::from(step.fuller);
        fuller_left -= usize::from(step.fuller);
        column = step.column;
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
