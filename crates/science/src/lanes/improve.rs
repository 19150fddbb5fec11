//! Several drills: better arrangements out of any one order.

use std::ops::RangeInclusive;

use super::arrange::Arrangement;
use super::task::{Price, Sums, Task, Worth};
use super::wishes::Unit;

/// Improves an arrangement by swapping two children of different lanes, or moving one from a fuller queue to one
/// that is not, until no such step makes it better. Puts the lanes in the order of their gaps.
///
/// Bands need not rise with own gaps (a measured step moves a child's band for one drill and not for another), so
/// with several drills any one order may cost something. Children who must be together stay where they are.
pub(super) fn improve(task: &Task, units: &[Unit], arrangement: &mut Arrangement) {
    let mut lanes = Lanes::new(task, units, arrangement);
    while lanes.sweep() {}
    lanes.write(arrangement);
}

/// One lane as it stands.
#[derive(Debug, Clone)]
struct Lane {
    size: usize,
    sums: Sums,
    price: Price,
}

struct Lanes<'a> {
    task: &'a Task,
    units: &'a [Unit],
    unit_of: Vec<Option<usize>>,
    lane_of: Vec<u8>,
    lanes: Vec<Lane>,
    /// By lane: number of the sweep that last changed it, or what it may do.
    changed: Vec<usize>,
    sweeps: usize,
    /// The two lanes of a step as they would be.
    from: Sums,
    to: Sums,
}

impl<'a> Lanes<'a> {
    fn new(task: &'a Task, units: &'a [Unit], arrangement: &Arrangement) -> Self {
        let mut unit_of = vec![None; task.children()];
        for (index, unit) in units.iter().enumerate() {
            for place in &unit.members {
                unit_of[*place] = Some(index);
            }
        }
        let lane_of = arrangement.lane_of.clone();
        let lanes = arrangement.gaps.iter().enumerate().map(|(lane, gaps)| {
            let members = (0..task.children()).filter(|place| usize::from(lane_of[*place]) == lane);
            let sums = task.sums(members.clone());
            let at = task.index(gaps.first);
            Lane { size: members.count(), price: task.lay(&sums, at..=at), sums }
        });
        Self {
            task,
            units,
            unit_of,
            lanes: lanes.collect(),
            changed: vec![0; task.lanes],
            sweeps: 0,
            from: Sums::default(),
            to: Sums::default(),
            lane_of: lane_of.clone(),
        }
    }

    /// Tries every step once, except between lanes that are as they were when it last failed, and takes those that
    /// make the arrangement better; returns whether there was one.
    fn sweep(&mut self) -> bool {
        let children = self.task.children();
        self.sweeps += 1;
        let mut better = false;
        for place in 0..children {
            for other in place + 1..children {
                let to = self.lane_of[other];
                better |= self.lane_of[place] != to && self.change(place, to, Some(other));
            }
            for lane in 0..self.task.lanes {
                let leaving = self.lanes[usize::from(self.lane_of[place])].size;
                better |= leaving > self.lanes[lane].size && self.change(place, lane as u8, None);
            }
        }
        better
    }

    /// Moves a child to a lane, and another one back in exchange, if that is allowed and better.
    fn change(&mut self, place: usize, to_lane: u8, back: Option<usize>) -> bool {
        let from_lane = self.lane_of[place];
        if !self.may_enter(place, to_lane, back)
            || back.is_some_and(|back| !self.may_enter(back, from_lane, Some(place)))
        {
            return false;
        }
        let (from, to) = (usize::from(from_lane), usize::from(to_lane));
        if self.changed[from].max(self.changed[to]) + 1 < self.sweeps {
            return false;
        }
        let before = self.lanes[from].price.worth.plus(self.lanes[to].price.worth);
        self.from.clone_from(&self.lanes[from].sums);
        self.task.leave(&mut self.from, place);
        if let Some(back) = back {
            self.task.join(&mut self.from, back);
        }
        let left = self.task.lay(&self.from, self.room(from));
        if left.worth >= before {
            return false;
        }
        self.to.clone_from(&self.lanes[to].sums);
        self.task.join(&mut self.to, place);
        if let Some(back) = back {
            self.task.leave(&mut self.to, back);
        }
        let joined = self.task.lay(&self.to, self.room(to));
        let rises = left.gaps.first == joined.gaps.first
            || (left.gaps.first < joined.gaps.first) == (from < to)
            || !self.task.gaps_rise;
        if !rises || !joined.worth.can_be() || left.worth.plus(joined.worth) >= before {
            return false;
        }
        self.lane_of[place] = to_lane;
        match back {
            Some(back) => self.lane_of[back] = from_lane,
            None => {
                self.lanes[from].size -= 1;
                self.lanes[to].size += 1;
            }
        }
        std::mem::swap(&mut self.lanes[from].sums, &mut self.from);
        std::mem::swap(&mut self.lanes[to].sums, &mut self.to);
        self.lanes[from].price = left;
        self.lanes[to].price = joined;
        for lane in [from, to] {
            // Where gaps must rise, the neighbours' room has changed too.
            let reach = usize::from(self.task.gaps_rise);
            self.changed[lane.saturating_sub(reach)..=(lane + reach).min(self.task.lanes - 1)]
                .fill(self.sweeps);
        }
        true
    }

    /// Returns which gaps for the first drill, as indices, a lane may have while the others stay.
    fn room(&self, lane: usize) -> RangeInclusive<usize> {
        let all = 0..=self.task.width - 1;
        if !self.task.gaps_rise {
            return all;
        }
        let gap_of = |lane: usize| self.task.index(self.lanes[lane].price.gaps.first);
        let low = if lane == 0 { *all.start() } else { gap_of(lane - 1) };
        let high = if lane + 1 == self.lanes.len() { *all.end() } else { gap_of(lane + 1) };
        low..=high
    }

    /// Returns whether a child's wishes allow a lane that another child leaves.
    fn may_enter(&self, place: usize, lane: u8, leaves: Option<usize>) -> bool {
        let Some(unit) = self.unit_of[place] else { return true };
        let about = &self.units[unit];
        let mut kept_from = about.apart.iter().flat_map(|other| &self.units[*other].members);
        about.members.len() == 1
            && about.lanes >> lane & 1 == 1
            && kept_from.all(|other| Some(*other) == leaves || self.lane_of[*other] != lane)
    }

    /// Writes the result back, lanes in the order of their gaps for the first drill; lanes with equal ones in that of
    /// their other gap, unless wishes name lanes, and else in theirs.
    fn write(self, arrangement: &mut Arrangement) {
        let mut order: Vec<usize> = (0..self.lanes.len()).collect();
        order.sort_by_key(|lane| {
            let gaps = self.lanes[*lane].price.gaps;
            (gaps.first, if self.task.gaps_rise { 0 } else { gaps.other })
        });
        let mut worth = Worth::NOTHING;
        for (to, from) in order.iter().enumerate() {
            let lane = &self.lanes[*from];
            arrangement.gaps[to] = lane.price.gaps;
            worth = worth.plus(lane.price.worth);
            worth.fuller |= u64::from(lane.size > self.task.queue) << to;
        }
        for (place, lane) in self.lane_of.iter().enumerate() {
            let to = order.iter().position(|from| *from == usize::from(*lane)).expect("every lane is there");
            arrangement.lane_of[place] = to as u8;
        }
        arrangement.worth = worth;
    }
}
