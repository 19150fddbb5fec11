//! Wishes: who runs only or never where, who together, who apart. Whether they can be met, and which ones clash.

use super::task::Task;
use super::{Ask, LanesError};

/// One wish, naming children by their index into `Ask::children` and lanes from 0 = shortest gap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wish {
    /// The child runs in this lane only.
    Only {
        /// Who.
        child: usize,
        /// Where.
        lane: usize,
    },
    /// The child does not run in this lane.
    Never {
        /// Who.
        child: usize,
        /// Where not.
        lane: usize,
    },
    /// The two share a lane.
    Together {
        /// One of them.
        first: usize,
        /// The other.
        second: usize,
    },
    /// The two do not share a lane.
    Apart {
        /// One of them.
        first: usize,
        /// The other.
        second: usize,
    },
}

/// Steps of the search for any arrangement that meets the wishes. Source: engineering assumption; real lists of
/// wishes take a few dozen.
const FEASIBLE_STEPS_MAX: usize = 50_000;

/// A set of lanes.
pub(super) type LaneSet = u64;

/// Children who must share a lane, or a single child with a wish.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Unit {
    /// Places in the order of own gaps, ascending.
    pub members: Vec<usize>,
    /// Lanes where all of them may run.
    pub lanes: LaneSet,
    /// Units that must run elsewhere, ascending, each once. The unit itself when its members must also be apart.
    pub apart: Vec<usize>,
}

/// Returns all wishes, in the order in which they are asked.
pub(super) fn list(ask: &Ask) -> Vec<Wish> {
    let mut wishes = Vec::new();
    for (child, about) in ask.children.iter().enumerate() {
        wishes.extend(about.only.map(|lane| Wish::Only { child, lane }));
        let here = about.never.iter().filter(|lane| **lane < ask.lanes);
        wishes.extend(here.map(|lane| Wish::Never { child, lane: *lane }));
    }
    wishes.extend(ask.together.iter().map(|&(first, second)| Wish::Together { first, second }));
    wishes.extend(ask.apart.iter().map(|&(first, second)| Wish::Apart { first, second }));
    wishes
}

/// Returns the children whom the wishes touch, as units in the order of their smallest own gap.
pub(super) fn units(task: &Task, wishes: &[Wish]) -> Vec<Unit> {
    let mut place_of = vec![0; task.children()];
    for (place, child) in task.order.iter().enumerate() {
        place_of[*child] = place;
    }
    // The smallest place among those who must be together stands for all of them.
    let mut leader: Vec<usize> = (0..task.children()).collect();
    for wish in wishes {
        if let Wish::Together { first, second } = wish {
            let (a, b) = (leader[place_of[*first]], leader[place_of[*second]]);
            let (smaller, larger) = (a.min(b), a.max(b));
            leader.iter_mut().filter(|of| **of == larger).for_each(|of| *of = smaller);
        }
    }
    let all_lanes = LaneSet::MAX >> (LaneSet::BITS as usize - task.lanes);
    let mut allowed = vec![all_lanes; task.children()];
    let mut touched = vec![false; task.children()];
    for (place, of) in leader.iter().enumerate().filter(|(place, of)| place != *of) {
        touched[place] = true;
        touched[*of] = true;
    }
    for wish in wishes {
        match *wish {
            Wish::Only { child, lane } => {
                touched[place_of[child]] = true;
                allowed[leader[place_of[child]]] &= 1 << lane;
            }
            Wish::Never { child, lane } => {
                touched[place_of[child]] = true;
                allowed[leader[place_of[child]]] &= !(1 << lane);
            }
            Wish::Apart { first, second } => {
                touched[place_of[first]] = true;
                touched[place_of[second]] = true;
            }
            Wish::Together { .. } => {}
        }
    }
    let mut units: Vec<Unit> = Vec::new();
    let mut unit_of = vec![usize::MAX; task.children()];
    for place in (0..task.children()).filter(|place| touched[*place]) {
        let of = leader[place];
        if unit_of[of] == usize::MAX {
            unit_of[of] = units.len();
            units.push(Unit { members: Vec::new(), lanes: allowed[of], apart: Vec::new() });
        }
        units[unit_of[of]].members.push(place);
    }
    for wish in wishes {
        if let Wish::Apart { first, second } = *wish {
            let (a, b) = (unit_of[leader[place_of[first]]], unit_of[leader[place_of[second]]]);
            units[a].apart.push(b);
            units[b].apart.push(a);
        }
    }
    for unit in &mut units {
        unit.apart.sort_unstable();
        unit.apart.dedup();
    }
    units
}

/// Whether wishes can be met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Feasible {
    /// For example with these lanes, by unit.
    Yes(Vec<u8>),
    No,
    /// Not known: the search came to its limit.
    Unknown,
}

/// Looks for any lanes for the units that meet all wishes and leave room for everyone.
pub(super) fn feasible(task: &Task, units: &[Unit]) -> Feasible {
    let kinds = lane_kinds(task, units);
    let mut search = Filling {
        task,
        units,
        kinds: &kinds,
        lane_of: vec![None; units.len()],
        load: vec![0; task.lanes],
        steps_left: FEASIBLE_STEPS_MAX,
    };
    if units.iter().enumerate().any(|(index, unit)| unit.apart.contains(&index)) {
        return Feasible::No;
    }
    match search.fill() {
        Some(true) => {
            let lanes = search.lane_of.iter().map(|lane| lane.expect("all units have a lane") as u8);
            Feasible::Yes(lanes.collect())
        }
        Some(false) => Feasible::No,
        None => Feasible::Unknown,
    }
}

/// Gives lanes that the same units may enter the same number.
fn lane_kinds(task: &Task, units: &[Unit]) -> Vec<usize> {
    let entry = |lane: usize| -> Vec<bool> { units.iter().map(|unit| unit.lanes >> lane & 1 == 1).collect() };
    (0..task.lanes).map(|lane| (0..lane).find(|other| entry(*other) == entry(lane)).unwrap_or(lane)).collect()
}

/// Depth-first search with the fewest choices first.
struct Filling<'a> {
    task: &'a Task,
    units: &'a [Unit],
    kinds: &'a [usize],
    lane_of: Vec<Option<usize>>,
    load: Vec<usize>,
    steps_left: usize,
}

impl Filling<'_> {
    /// Returns whether the units left can be placed; `None` when the limit was reached.
    fn fill(&mut self) -> Option<bool> {
        let Some((unit, lanes)) = (0..self.units.len())
            .filter(|unit| self.lane_of[*unit].is_none())
            .map(|unit| (unit, self.open_lanes(unit)))
            .min_by_key(|(unit, lanes)| (lanes.len(), usize::MAX - self.units[*unit].members.len(), *unit))
        else {
            return Some(true);
        };
        let size = self.units[unit].members.len();
        for lane in lanes {
            self.steps_left = self.steps_left.checked_sub(1)?;
            self.lane_of[unit] = Some(lane);
            self.load[lane] += size;
            if self.fill()? {
                return Some(true);
            }
            self.load[lane] -= size;
            self.lane_of[unit] = None;
        }
        Some(false)
    }

    /// Returns the lanes that a unit can still enter; of empty lanes of one kind only the first.
    fn open_lanes(&self, unit: usize) -> Vec<usize> {
        let about = &self.units[unit];
        let fuller_used = self.load.iter().filter(|load| **load > self.task.queue).count();
        let mut open: Vec<usize> = Vec::new();
        for lane in (0..self.task.lanes).filter(|lane| about.lanes >> lane & 1 == 1) {
            let after = self.load[lane] + about.members.len();
            let becomes_fuller = after > self.task.queue && self.load[lane] <= self.task.queue;
            let has_room =
                after <= self.task.queue + 1 && (!becomes_fuller || fuller_used < self.task.fuller_lanes);
            let is_free_of = about.apart.iter().all(|other| self.lane_of[*other] != Some(lane));
            let is_new = self.load[lane] > 0
                || !open.iter().any(|seen| self.load[*seen] == 0 && self.kinds[*seen] == self.kinds[lane]);
            if has_room && is_free_of && is_new {
                open.push(lane);
            }
        }
        open
    }
}

/// Returns the error that names a smallest clashing set: wishes are left out one by one as long as the rest clashes.
pub(super) fn clash(task: &Task, wishes: &[Wish]) -> LanesError {
    let mut clashing = wishes.to_vec();
    let mut index = 0;
    while index < clashing.len() {
        let mut without = clashing.clone();
        without.remove(index);
        if feasible(task, &units(task, &without)) == Feasible::No {
            clashing = without;
        } else {
            index += 1;
        }
    }
    LanesError::WishesClash { wishes: clashing }
}
