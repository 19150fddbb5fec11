//! Branch and bound over the lanes of the children with wishes.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::arrange::{Arrangement, Bench, OPEN, arrange};
use super::improve::improve;
use super::task::{Task, plain_sum_sq};
use super::wishes::{self, Feasible, LaneSet, Unit};
use super::{Ask, LanesError, Proof};

/// Arrangements worked out before the search settles for the best one found. Source: engineering assumption: a
/// blink on a phone; the wishes of a class take a few dozen.
const ARRANGED_MAX: usize = 4_000;

/// Arrangements worked out on the way down from the best open branch once that limit is reached.
const DIVE_MAX: usize = 400;

/// What the search found.
#[derive(Debug)]
pub(super) struct Found {
    pub arrangement: Arrangement,
    pub proof: Proof,
}

/// Finds the best arrangement that meets the wishes.
///
/// In a branch some units have their lane; the others go where they suit best, wishes or not, so with one drill
/// nothing in the branch is better than its arrangement. Branches are taken up best first. When the best open one
/// meets all wishes as it is, nothing left can be better. Otherwise one unit whose wish is not met is tried in each
/// lane open to it.
pub(super) fn search(task: &Task, ask: &Ask) -> Result<Found, LanesError> {
    let wishes = wishes::list(ask);
    let units = wishes::units(task, &wishes);
    let example = match wishes::feasible(task, &units) {
        Feasible::Yes(lanes) => Some(lanes),
        Feasible::No => return Err(wishes::clash(task, &wishes)),
        Feasible::Unknown => None,
    };
    let in_order = (0..task.children()).collect();
    let mut tree = Tree { task, units: &units, in_order, bench: Bench::default(), arranged: 0 };
    let (mut best, cut_short) = tree.grow();
    if let (true, Some(lanes)) = (cut_short.is_some(), example) {
        let lanes = lanes.iter().map(|lane| 1 << lane).collect();
        best = better(best, tree.branch(lanes));
    }
    let Some(mut found) = best.map(|branch| branch.arrangement) else {
        return Err(if cut_short.is_some() {
            LanesError::WishesTooMany
        } else {
            wishes::clash(task, &wishes)
        });
    };
    if task.is_plain() {
        let proof = match cut_short {
            Some(lower) if lower < found.worth.first => Proof::Bound { lower: plain_sum_sq(lower) },
            _ => Proof::Exact,
        };
        return Ok(Found { arrangement: found, proof });
    }
    improve(task, &units, &mut found);
    let mut with_wishes = vec![OPEN; task.children()];
    for place in units.iter().flat_map(|unit| &unit.members) {
        with_wishes[*place] = found.lane_of[*place];
    }
    for order in task.other_orders(ask) {
        if let Some(mut other) = arrange(task, &with_wishes, &order, &mut tree.bench) {
            improve(task, &units, &mut other);
            if other.worth < found.worth {
                found = other;
            }
        }
    }
    let proof = match cut_short {
        None => Proof::InOrder,
        Some(_) => {
            let first_drill = Ask { settings: &ask.settings[..1], ..*ask };
            let free = vec![OPEN; task.children()];
            let relaxed = arrange(&Task::new(&first_drill), &free, &tree.in_order, &mut Bench::default())
                .expect("without wishes there is always an arrangement");
            Proof::Bound { lower: plain_sum_sq(relaxed.worth.first) }
        }
    };
    Ok(Found { arrangement: found, proof })
}

/// A part of the search: the lanes still open to each unit, and the best arrangement that heeds those with one lane.
#[derive(Debug)]
struct Branch {
    lanes: Vec<LaneSet>,
    arrangement: Arrangement,
}

fn better(a: Option<Branch>, b: Option<Branch>) -> Option<Branch> {
    match (a, b) {
        (Some(a), Some(b)) if b.arrangement.worth < a.arrangement.worth => Some(b),
        (a, b) => a.or(b),
    }
}

struct Tree<'a> {
    task: &'a Task,
    units: &'a [Unit],
    /// All places.
    in_order: Vec<usize>,
    bench: Bench,
    arranged: usize,
}

impl Tree<'_> {
    /// Returns the best branch that meets all wishes, if one was found, and — when the search was cut short — the
    /// sum of squares that no arrangement undercuts (one drill).
    fn grow(&mut self) -> (Option<Branch>, Option<i128>) {
        let mut open = BinaryHeap::new();
        let mut branches: Vec<Option<Branch>> = Vec::new();
        let root = self.branch(self.units.iter().map(|unit| unit.lanes).collect());
        let mut next: Vec<Branch> = root.into_iter().collect();
        loop {
            for branch in next.drain(..) {
                // Of equally good branches the one found first is taken up first.
                open.push(Reverse((branch.arrangement.worth, branches.len())));
                branches.push(Some(branch));
            }
            let Some(Reverse((worth, number))) = open.pop() else { return (None, None) };
            let branch = branches[number].take().expect("every branch is taken up once");
            let Some(unit) = self.unmet(&branch) else { return (Some(branch), None) };
            if self.arranged >= ARRANGED_MAX {
                return (self.dive(branch), Some(worth.first));
            }
            next = self.fork(&branch, unit);
        }
    }

    /// Goes down from a branch, the best fork first, to the first one that meets all wishes.
    fn dive(&mut self, from: Branch) -> Option<Branch> {
        let mut stack = vec![from];
        while let Some(branch) = stack.pop() {
            let Some(unit) = self.unmet(&branch) else { return Some(branch) };
            if self.arranged >= ARRANGED_MAX + DIVE_MAX {
                return None;
            }
            let mut forks = self.fork(&branch, unit);
            forks.sort_by_key(|fork| Reverse(fork.arrangement.worth));
            stack.append(&mut forks);
        }
        None
    }

    fn fork(&mut self, branch: &Branch, unit: usize) -> Vec<Branch> {
        let open_lanes = (0..self.task.lanes).filter(|lane| branch.lanes[unit] >> lane & 1 == 1);
        open_lanes
            .filter_map(|lane| {
                let mut lanes = branch.lanes.clone();
                lanes[unit] = 1 << lane;
                self.branch(lanes)
            })
            .collect()
    }

    /// Works out a branch; `None` when its wishes cannot be met or a lane overflows.
    fn branch(&mut self, mut lanes: Vec<LaneSet>) -> Option<Branch> {
        // A unit with one lane left keeps others out of it; that may leave another unit with one lane.
        let mut settled = vec![false; lanes.len()];
        while let Some(unit) = (0..lanes.len()).find(|unit| !settled[*unit] && lanes[*unit].is_power_of_two())
        {
            settled[unit] = true;
            for other in &self.units[unit].apart {
                lanes[*other] &= !lanes[unit];
            }
        }
        if lanes.contains(&0) {
            return None;
        }
        let mut lane_of = vec![OPEN; self.task.children()];
        for (unit, lanes) in self.units.iter().zip(&lanes) {
            if lanes.is_power_of_two() {
                for place in &unit.members {
                    lane_of[*place] = lanes.trailing_zeros() as u8;
                }
            }
        }
        self.arranged += 1;
        let arrangement = arrange(self.task, &lane_of, &self.in_order, &mut self.bench)?;
        Some(Branch { lanes, arrangement })
    }

    /// Returns a unit whose wish the branch's arrangement does not meet: the one with the fewest lanes left, then
    /// the one with the smallest own gap.
    fn unmet(&self, branch: &Branch) -> Option<usize> {
        let lane_of = &branch.arrangement.lane_of;
        let is_met = |unit: &Unit, lanes: LaneSet| {
            let lane = lane_of[unit.members[0]];
            unit.members.iter().all(|place| lane_of[*place] == lane)
                && lanes >> lane & 1 == 1
                && unit
                    .apart
                    .iter()
                    .flat_map(|other| &self.units[*other].members)
                    .all(|other| lane_of[*other] != lane)
        };
        (0..self.units.len())
            .filter(|unit| !branch.lanes[*unit].is_power_of_two())
            .filter(|unit| !is_met(&self.units[*unit], branch.lanes[*unit]))
            .min_by_key(|unit| (branch.lanes[*unit].count_ones(), *unit))
    }
}
