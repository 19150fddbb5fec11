//! The search: which blocks, how long, which drill in which lane, so that the worth of all runs is greatest.
//!
//! A [`Task`] holds numbers only. [`solve`] finds the best plan and proves it, or says how far from the best
//! it may be.
//!
//! # Method
//! The whole minutes of the blocks and the number of times that lanes are re-set form a division of the time.
//! With every lane for itself (no limit on different drills at a time), with settings and the order of blocks
//! left open, and with every child free to do whichever of its ways gives most where a way still has to be
//! opened, the best of a division is found group by group: that is the relaxation, and its value bounds the
//! division. The bounds are then drawn tighter by branching on the drills that may stand at the same time.
//! Divisions are searched in the order of their bounds, first with the places of the re-settings, then in
//! every order of their blocks that could matter, until no bound is above the best plan found.

/// Most drills that a task may hold.
pub const DRILLS_MAX: usize = 16;
/// Most blocks that a task may hold.
pub const BLOCKS_MAX: usize = 5;
/// Values closer than this are equal: then fewer changes, then fewer blocks, then slow drills first.
pub const TIE: f64 = 1e-9;
/// Steps after which a search stops and reports the bound it has (a step is one drill tried in one block by
/// one sort of child): about a third of a second on a laptop.
pub const STEPS_MAX: u64 = 30_000_000;

/// What is to be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// Minutes for blocks and changes together.
    pub minutes: u32,
    /// Minutes for re-setting lanes between two blocks.
    pub change_minutes: u32,
    /// Most blocks, 1 to [`BLOCKS_MAX`].
    pub blocks_max: usize,
    /// Shortest block in minutes, at least 1.
    pub block_min: u32,
    /// Longest block in minutes.
    pub block_max: u32,
    /// Most different main drills at the same time.
    pub mains_max: usize,
    /// Runs after which half-lives of gain are counted: a child's gain at a drill is 1 − e^(−runs / this).
    pub runs_scale: f64,
    /// Runs of a drill in one earlier block that open what needs it.
    pub runs_to_open: f64,
    /// Number of drills, at most [`DRILLS_MAX`]; slow ones first.
    pub drills: usize,
    /// Lane groups.
    pub groups: Vec<GroupTask>,
    /// What the coach has fixed.
    pub pins: Vec<Pin>,
}

/// One lane group.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupTask {
    /// For each drill, the lane setting it stands on; `None` where this lane cannot hold it.
    pub setting: Vec<Option<u32>>,
    /// Runs per child per minute of each drill.
    pub rho: Vec<f64>,
    /// The children.
    pub children: Vec<ChildTask>,
}

/// One child.
#[derive(Debug, Clone, PartialEq)]
pub struct ChildTask {
    /// Worth of each drill: weight times expected gain, never negative.
    pub worth: Vec<f64>,
    /// For each main drill, what the child does while it is on: the first way that is open. None open: the
    /// child works on the spot, which counts nothing.
    pub ways: Vec<Vec<Way>>,
}

/// One thing a child may do.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Way {
    /// Which drill.
    pub drill: usize,
    /// Drills of which the child must have done enough runs in one earlier block.
    pub after: Vec<usize>,
}

/// Something the coach has fixed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Pin {
    /// Which block, from 0. The plan has at least that many.
    pub block: usize,
    /// Its minutes, when they are fixed.
    pub minutes: Option<u32>,
    /// The drill of each group, where it is fixed; empty when none is.
    pub drills: Vec<Option<usize>>,
}

/// A block as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedBlock {
    /// Minutes.
    pub minutes: u32,
    /// Whether lanes are re-set before it.
    pub change: bool,
    /// The main drill of each group.
    pub mains: Vec<usize>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// Worth of all runs.
    pub value: f64,
    /// No plan is worth more than this.
    pub bound: f64,
    /// The relaxation's own bound, before any branching.
    pub relaxed_bound: f64,
    /// Whether the search was finished, so that the bound is the value.
    pub finished: bool,
    /// The blocks.
    pub blocks: Vec<PlannedBlock>,
    /// Steps taken.
    pub steps: u64,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SearchError {
    /// Not even one block has room.
    #[error("{minutes} min are left for blocks; the shortest block takes {block_min} min")]
    NoRoom {
        /// What is left.
        minutes: u32,
        /// What a block takes.
        block_min: u32,
    },
    /// What is fixed does not go together.
    #[error("what is fixed does not go together: {0}")]
    Pins(&'static str),
    /// A number is out of its range.
    #[error("{field} is out of its range: {allowed}")]
    Range {
        /// The field.
        field: &'static str,
        /// What may stand there.
        allowed: &'static str,
    },
}

/// Returns what a child does in each block, `None` for working on the spot.
pub fn done_by(task: &Task, group: usize, child: usize, blocks: &[PlannedBlock]) -> Vec<Option<usize>> {
    let (group_task, child_task) = (&task.groups[group], &task.groups[group].children[child]);
    let mut opened = vec![false; task.drills];
    blocks
        .iter()
        .map(|block| {
            let done = child_task.ways[block.mains[group]]
                .iter()
                .find(|way| way.after.iter().all(|drill| opened[*drill]))
                .map(|way| way.drill);
            if let Some(drill) = done
                && group_task.rho[drill] * f64::from(block.minutes) >= task.runs_to_open
            {
                opened[drill] = true;
            }
            done
        })
        .collect()
}

/// Returns the worth of a plan: Σ over children and drills of worth · (1 − e^(−runs / scale)).
pub fn value_of(task: &Task, blocks: &[PlannedBlock]) -> f64 {
    let mut value = 0.0;
    for (index, group) in task.groups.iter().enumerate() {
        for (number, child) in group.children.iter().enumerate() {
            let done = done_by(task, index, number, blocks);
            for drill in 0..task.drills {
                let runs: f64 = blocks
                    .iter()
                    .zip(&done)
                    .filter(|(_, done)| **done == Some(drill))
                    .map(|(block, _)| group.rho[drill] * f64::from(block.minutes))
                    .sum();
                value += child.worth[drill] * gained(runs, task.runs_scale);
            }
        }
    }
    value
}

/// Returns 1 − e^(−runs / scale).
pub fn gained(runs: f64, scale: f64) -> f64 {
    -libm::expm1(-runs / scale)
}

/// Finds the best plan.
///
/// # Errors
/// No block has room, what is fixed does not go together, or a number is out of its range.
pub fn solve(task: &Task) -> Result<Solution, SearchError> {
    solve_within(task, STEPS_MAX)
}

/// Finds the best plan, or the best found within so many steps.
///
/// # Errors
/// As [`solve`].
pub fn solve_within(task: &Task, steps_max: u64) -> Result<Solution, SearchError> {
    check(task)?;
    // Nobody does more minutes than the blocks have.
    let fixed = task.pins.iter().filter_map(|pin| pin.minutes).max().unwrap_or(0);
    let most = (task.block_max.max(fixed) as usize * task.blocks_max).min(task.minutes as usize);
    let groups: Vec<Group> = task.groups.iter().map(|group| Group::new(task, group, most + 1)).collect();
    let mut search = Search { task, groups, best: None, steps: 0, steps_max };
    search.run()
}

fn check(task: &Task) -> Result<(), SearchError> {
    let range = |holds: bool, field, allowed| {
        if holds { Ok(()) } else { Err(SearchError::Range { field, allowed }) }
    };
    range((1..=BLOCKS_MAX).contains(&task.blocks_max), "blocks", "1 to 5")?;
    range(
        task.block_min >= 1 && task.block_min <= task.block_max,
        "block minutes",
        "1 and up, shortest first",
    )?;
    range(task.block_max <= 60, "block minutes", "at most 60")?;
    range((1..=DRILLS_MAX).contains(&task.drills), "drills", "1 to 16")?;
    range(task.mains_max >= 1, "main drills at a time", "1 and up")?;
    range(!task.groups.is_empty(), "lane groups", "at least one")?;
    for group in &task.groups {
        range(
            group.setting.len() == task.drills && group.rho.len() == task.drills,
            "drills of a group",
            "one entry for each drill",
        )?;
        range(
            group
                .children
                .iter()
                .all(|child| child.worth.len() == task.drills && child.ways.len() == task.drills),
            "drills of a child",
            "one entry for each drill",
        )?;
        range(
            group.setting.iter().any(Option::is_some),
            "drills of a lane",
            "at least one that its lane can hold",
        )?;
    }
    if task.minutes < task.block_min {
        return Err(SearchError::NoRoom { minutes: task.minutes, block_min: task.block_min });
    }
    for pin in &task.pins {
        if pin.block >= task.blocks_max {
            return Err(SearchError::Pins("a fixed block lies beyond the most blocks"));
        }
        if pin.minutes.is_some_and(|minutes| minutes == 0 || minutes > 60) {
            return Err(SearchError::Pins("a fixed block takes 1 to 60 min"));
        }
        for (group, drill) in pin.drills.iter().enumerate() {
            if let Some(drill) = drill
                && task.groups.get(group).and_then(|group| *group.setting.get(*drill)?).is_none()
            {
                return Err(SearchError::Pins("a lane cannot hold the drill that is fixed for it"));
            }
        }
    }
    Ok(())
}

/// Children of one group who are alike in what is open to them; their gains add up to one table.
struct Sort {
    /// `gain[drill * stride + minutes]`: what that many minutes of the drill give all of them.
    gain: Vec<f64>,
    /// For each main drill the ways up to the first that is open: drill, and a bit mask of what must be opened
    /// before.
    ways: Ways,
}

struct Group {
    sorts: Vec<Sort>,
    /// Whole minutes of a drill in one block from which it opens what needs it; too many to reach when none
    /// does.
    opens_from: Vec<u32>,
    setting: Vec<Option<u32>>,
    any_opening: bool,
    /// Entries of `gain` for one drill.
    stride: usize,
}

/// For each main drill the ways: drill, and a bit mask of what must be opened before.
type Ways = Vec<Vec<(usize, u32)>>;

impl Group {
    fn new(task: &Task, group: &GroupTask, stride: usize) -> Self {
        let mut keys: Vec<Ways> = Vec::new();
        let mut sorts: Vec<Sort> = Vec::new();
        for child in &group.children {
            if child.worth.iter().all(|worth| *worth <= 0.0) {
                continue;
            }
            let ways: Ways = child.ways.iter().map(|ways| shortened(ways)).collect();
            let index = keys.iter().position(|key| *key == ways).unwrap_or_else(|| {
                keys.push(ways.clone());
                sorts.push(Sort { gain: vec![0.0; stride * task.drills], ways });
                sorts.len() - 1
            });
            for (drill, worth) in child.worth.iter().enumerate().filter(|(_, worth)| **worth > 0.0) {
                for minutes in 0..stride {
                    sorts[index].gain[drill * stride + minutes] +=
                        worth * gained(group.rho[drill] * minutes as f64, task.runs_scale);
                }
            }
        }
        let opens_from = group
            .rho
            .iter()
            .map(|rho| {
                (1..=60u32).find(|minutes| rho * f64::from(*minutes) >= task.runs_to_open).unwrap_or(u32::MAX)
            })
            .collect();
        let any_opening = sorts.iter().any(|sort| sort.ways.iter().flatten().any(|(_, mask)| *mask != 0));
        Self { sorts, opens_from, setting: group.setting.clone(), any_opening, stride }
    }
}

/// The ways up to the first that needs nothing.
fn shortened(ways: &[Way]) -> Vec<(usize, u32)> {
    let mut short = Vec::new();
    for way in ways {
        let mask = way.after.iter().fold(0u32, |mask, drill| mask | 1 << drill);
        short.push((way.drill, mask));
        if mask == 0 {
            break;
        }
    }
    short
}

/// Where one group's walk through the blocks stands.
struct Walk {
    /// Minutes of each drill by sort of child.
    minutes: Vec<[u16; DRILLS_MAX]>,
    /// Drills opened, a bit mask by sort of child; `None` in the relaxation, where that is left open.
    opened: Option<Vec<u32>>,
    /// What to take back, sort by sort: drill (none: [`NOTHING`]) and what was opened before.
    undo: Vec<(u8, u32)>,
    steps: u64,
}

const NOTHING: u8 = u8::MAX;

impl Walk {
    fn new(sorts: usize, relaxed: bool) -> Self {
        let opened = (!relaxed).then(|| vec![0; sorts]);
        Self { minutes: vec![[0; DRILLS_MAX]; sorts], opened, undo: Vec::new(), steps: 0 }
    }
}

/// Some blocks' minutes, longest first, with the number of times that lanes are re-set: what the relaxation
/// looks at.
struct Division {
    minutes: Vec<u32>,
    changes: u32,
    bound: f64,
}

impl Division {
    fn order(&self) -> (u32, usize) {
        (self.changes, self.minutes.len())
    }

    /// How uneven the blocks are: even ones are tried first among equals.
    fn unevenness(&self) -> u32 {
        self.minutes.iter().map(|minutes| minutes * minutes).sum()
    }
}

struct Best {
    value: f64,
    order: (u32, usize),
    minutes: Vec<u32>,
    /// Main drill by group and block.
    mains: Vec<Vec<usize>>,
}

/// For every group and every beginning of a sequence of drills, the best that any completion reaches.
type BestFrom = Vec<Vec<Vec<f64>>>;

struct Search<'a> {
    task: &'a Task,
    groups: Vec<Group>,
    best: Option<Best>,
    steps: u64,
    steps_max: u64,
}

/// Lanes may be re-set before every block.
const ANYWHERE: u32 = u32::MAX;
/// Divisions whose orders are searched before the others' bounds are drawn tighter.
const FIRST_LOOKS: usize = 2;

impl Search<'_> {
    fn run(&mut self) -> Result<Solution, SearchError> {
        let mut divisions = self.divisions();
        if divisions.is_empty() {
            return Err(SearchError::Pins("the fixed blocks take more minutes than there are"));
        }
        // Bounds with every lane for itself.
        for division in &mut divisions {
            let mut bound = 0.0;
            for group in 0..self.groups.len() {
                bound += self.table(group, &division.minutes, ANYWHERE, true)[0][0];
            }
            division.bound = bound;
        }
        by_bound(&mut divisions);
        let relaxed_bound = divisions[0].bound;
        for changes in 0..=divisions.iter().map(|division| division.changes).max().unwrap_or(0) {
            let mut looks = 0;
            for division in divisions.iter().filter(|division| division.changes == changes) {
                if looks < FIRST_LOOKS && self.may_improve(division.bound, division.order()) {
                    self.search_orders(division);
                    looks += 1;
                }
            }
        }
        // Tighter bounds: as many drills at a time as may be, settings and order left open.
        for division in &mut divisions {
            if self.may_improve(division.bound, division.order()) && self.steps < self.steps_max {
                division.bound = division.bound.min(self.bound_of(&division.minutes, ANYWHERE));
            }
        }
        by_bound(&mut divisions);
        let mut bound = f64::NEG_INFINITY;
        let mut finished = true;
        for division in &divisions {
            if !self.may_improve(division.bound, division.order()) {
                continue;
            }
            if self.steps >= self.steps_max && self.best.is_some() {
                finished = false;
                bound = division.bound;
                break;
            }
            self.search_orders(division);
        }
        let Some(best) = &self.best else {
            return Err(SearchError::Pins("no lane can do what is fixed"));
        };
        let blocks: Vec<PlannedBlock> = (0..best.minutes.len())
            .map(|block| PlannedBlock {
                minutes: best.minutes[block],
                change: false,
                mains: best.mains.iter().map(|mains| mains[block]).collect(),
            })
            .collect();
        let blocks = self.named_for_what_is_done(self.with_changes(blocks));
        let blocks = self.slow_first(blocks);
        let value = value_of(self.task, &blocks);
        Ok(Solution {
            value,
            bound: if finished { value } else { bound.max(value) },
            relaxed_bound: relaxed_bound.max(value),
            finished,
            blocks,
            steps: self.steps,
        })
    }

    /// A block in which everybody in a lane falls back on the same easier drill is that drill's block, where the plan
    /// stays worth as much.
    fn named_for_what_is_done(&self, mut blocks: Vec<PlannedBlock>) -> Vec<PlannedBlock> {
        let value = value_of(self.task, &blocks);
        let changes = blocks.iter().filter(|block| block.change).count();
        for index in 0..blocks.len() {
            for group in 0..self.task.groups.len() {
                let children = 0..self.task.groups[group].children.len();
                let mut done = children
                    .map(|child| done_by(self.task, group, child, &blocks)[index])
                    .collect::<Vec<_>>();
                done.dedup();
                let [Some(drill)] = done[..] else { continue };
                if drill == blocks[index].mains[group] || self.pinned_drill(index, group).is_some() {
                    continue;
                }
                let mut other = blocks.clone();
                other[index].mains[group] = drill;
                let other = self.with_changes(other);
                let mut mains = other[index].mains.clone();
                mains.sort_unstable();
                mains.dedup();
                if mains.len() <= self.task.mains_max
                    && other.iter().filter(|block| block.change).count() == changes
                    && value_of(self.task, &other) >= value - TIE
                {
                    blocks = other;
                }
            }
        }
        blocks
    }

    /// Of the orders that are worth the same with as many re-settings, the one with slow drills first; drills
    /// stand slow ones first in a task.
    fn slow_first(&self, blocks: Vec<PlannedBlock>) -> Vec<PlannedBlock> {
        if self.in_place() {
            return blocks;
        }
        let value = value_of(self.task, &blocks);
        let changes = |blocks: &[PlannedBlock]| blocks.iter().filter(|block| block.change).count();
        let pace = |blocks: &[PlannedBlock]| -> Vec<usize> {
            blocks.iter().map(|block| block.mains.iter().sum()).collect()
        };
        let numbers: Vec<u32> = (0..blocks.len() as u32).collect();
        let mut best = blocks.clone();
        for order in permutations(&numbers) {
            let other: Vec<PlannedBlock> =
                order.iter().map(|number| blocks[*number as usize].clone()).collect();
            let other = self.with_changes(other);
            if changes(&other) == changes(&best)
                && pace(&other) < pace(&best)
                && value_of(self.task, &other) >= value - TIE
            {
                best = other;
            }
        }
        best
    }

    /// Marks the blocks before which a lane needs another setting.
    fn with_changes(&self, mut blocks: Vec<PlannedBlock>) -> Vec<PlannedBlock> {
        for index in 0..blocks.len() {
            blocks[index].change = index > 0
                && (0..self.groups.len()).any(|group| {
                    let setting = &self.groups[group].setting;
                    setting[blocks[index].mains[group]] != setting[blocks[index - 1].mains[group]]
                });
        }
        blocks
    }

    fn may_improve(&self, bound: f64, order: (u32, usize)) -> bool {
        self.best
            .as_ref()
            .is_none_or(|best| bound > best.value + TIE || (bound >= best.value - TIE && order < best.order))
    }

    fn pinned_minutes(&self, block: usize) -> Option<u32> {
        self.task.pins.iter().rev().filter(|pin| pin.block == block).find_map(|pin| pin.minutes)
    }

    fn pinned_drill(&self, block: usize, group: usize) -> Option<usize> {
        let pins = self.task.pins.iter().rev().filter(|pin| pin.block == block);
        pins.filter_map(|pin| pin.drills.get(group).copied().flatten()).next()
    }

    /// Whether the coach fixed something: then blocks have places of their own and cannot be swapped.
    fn in_place(&self) -> bool {
        !self.task.pins.is_empty()
    }

    /// All divisions of the time that could be best; longest block first, or in place where blocks are fixed.
    ///
    /// They use the time as far as blocks can. Some minutes are left over only where every block that could be longer
    /// would open something by its next minute: what is opened may be worth less to a child than what it does until
    /// then. Any other block gains by one minute more.
    fn divisions(&self) -> Vec<Division> {
        let task = self.task;
        let fewest = task.pins.iter().map(|pin| pin.block + 1).max().unwrap_or(1);
        let mut all = Vec::new();
        let just_short = self.just_short();
        for blocks in fewest..=task.blocks_max {
            let (low, high): (Vec<u32>, Vec<u32>) = (0..blocks)
                .map(|block| match self.pinned_minutes(block) {
                    Some(minutes) => (minutes, minutes),
                    None => (task.block_min, task.block_max),
                })
                .unzip();
            for changes in 0..blocks as u32 {
                let Some(minutes) = task.minutes.checked_sub(task.change_minutes * changes) else { continue };
                let sum = minutes.min(high.iter().sum());
                if sum < low.iter().sum() {
                    continue;
                }
                let sorted = !self.in_place();
                let mut push = |minutes: &[u32]| {
                    if !sorted || minutes.windows(2).all(|pair| pair[1] <= pair[0]) {
                        all.push(Division { minutes: minutes.to_vec(), changes, bound: 0.0 });
                    }
                };
                divide(sum, &low, &high, &mut Vec::with_capacity(blocks), &mut push);
                let lengths: Vec<Vec<u32>> = low
                    .iter()
                    .zip(&high)
                    .map(|(low, high)| {
                        let short = just_short.iter().filter(|minutes| (low..high).contains(minutes));
                        short.chain([high]).copied().collect()
                    })
                    .collect();
                choose(sum, &lengths, &mut Vec::with_capacity(blocks), &mut push);
            }
        }
        all
    }

    /// Block lengths that a minute more would make long enough to open something.
    fn just_short(&self) -> Vec<u32> {
        let mut lengths: Vec<u32> = Vec::new();
        for group in &self.groups {
            let needed = group
                .sorts
                .iter()
                .flat_map(|sort| sort.ways.iter().flatten())
                .fold(0, |all, (_, mask)| all | mask);
            for (drill, opens_from) in group.opens_from.iter().enumerate() {
                if needed & (1 << drill) != 0 && *opens_from != u32::MAX {
                    lengths.push(opens_from - 1);
                }
            }
        }
        lengths.sort_unstable();
        lengths.dedup();
        lengths
    }

    /// Values of all sequences of one group, with the best completion of each beginning.
    ///
    /// Sequences that re-set the lane elsewhere than in `changes` are left out (bit b − 1: before block b).
    /// Relaxed, where a way must be opened first, the child gets the most that any of its ways up to the first
    /// open one could give on top of what it surely did; gains fall with every minute, so that is never too
    /// little, in whatever order the blocks come.
    fn table(&mut self, group: usize, minutes: &[u32], changes: u32, relaxed: bool) -> Vec<Vec<f64>> {
        let drills = self.task.drills;
        let blocks = minutes.len();
        let mut levels: Vec<Vec<f64>> =
            (0..=blocks).map(|level| vec![f64::NEG_INFINITY; drills.pow(level as u32)]).collect();
        let mut walk = Walk::new(self.groups[group].sorts.len(), relaxed);
        let allowed: Vec<Vec<usize>> = (0..blocks)
            .map(|block| {
                let pinned = self.pinned_drill(block, group);
                (0..drills)
                    .filter(|main| pinned.is_none_or(|pinned| pinned == *main))
                    .filter(|main| self.groups[group].setting[*main].is_some())
                    .collect()
            })
            .collect();
        let stage = Stage { group: &self.groups[group], drills, minutes, allowed: &allowed, changes };
        stage.walk(0, 0, None, 0.0, &mut walk, &mut levels[blocks]);
        self.steps += walk.steps;
        for level in (0..blocks).rev() {
            let (upper, lower) = levels.split_at_mut(level + 1);
            for (best, below) in upper[level].iter_mut().zip(lower[0].chunks_exact(drills)) {
                *best = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            }
        }
        levels
    }

    /// Searches a division in every order of its blocks and every place of the re-settings.
    fn search_orders(&mut self, division: &Division) {
        let opening = self.groups.iter().any(|group| group.any_opening);
        let blocks = division.minutes.len();
        // Without anything to open, the order within a stretch is of no account: longest first will do.
        let orders =
            if self.in_place() { vec![division.minutes.clone()] } else { permutations(&division.minutes) };
        for changes in (0..1u32 << (blocks - 1)).filter(|changes| changes.count_ones() == division.changes) {
            for minutes in &orders {
                let falls =
                    |block: usize| changes & (1 << (block - 1)) != 0 || minutes[block] <= minutes[block - 1];
                if !self.in_place() && !(1..blocks).all(falls) {
                    continue;
                }
                if !opening || self.in_place() {
                    self.search(minutes, changes, division.order());
                    continue;
                }
                let bound = self.bound_of(minutes, changes);
                if self.may_improve(bound, division.order()) {
                    for ordered in orders_within(minutes, changes) {
                        self.search(&ordered, changes, division.order());
                    }
                }
            }
        }
    }

    /// The relaxation's bound with as many drills at a time as may be; not below the best plan found.
    fn bound_of(&mut self, minutes: &[u32], changes: u32) -> f64 {
        let floor = self.best.as_ref().map_or(f64::NEG_INFINITY, |best| best.value);
        let mut tables: BestFrom = Vec::with_capacity(self.groups.len());
        for group in 0..self.groups.len() {
            tables.push(self.table(group, minutes, changes, true));
        }
        let root: f64 = tables.iter().map(|levels| levels[0][0]).sum();
        if root <= floor - TIE {
            return root;
        }
        let mut top = (floor - 2.0 * TIE, None);
        self.branch(&tables, minutes.len(), false, &mut top);
        top.0
    }

    /// Branch and bound over the sets of drills that stand at the same time.
    fn search(&mut self, minutes: &[u32], changes: u32, order: (u32, usize)) {
        let mut tables: BestFrom = Vec::with_capacity(self.groups.len());
        for group in 0..self.groups.len() {
            tables.push(self.table(group, minutes, changes, false));
        }
        let root: f64 = tables.iter().map(|levels| levels[0][0]).sum();
        if !self.may_improve(root, order) {
            return;
        }
        let equal_will_do = self.best.as_ref().is_some_and(|best| order < best.order);
        let floor = self.best.as_ref().map_or(f64::NEG_INFINITY, |best| best.value);
        let mut top = (floor, None);
        self.branch(&tables, minutes.len(), equal_will_do, &mut top);
        if let (value, Some(mains)) = top {
            self.best = Some(Best { value, order, minutes: minutes.to_vec(), mains });
        }
    }

    /// Finds the best choice of sets above `top`, or as good as it where that will do.
    fn branch(
        &mut self,
        tables: &BestFrom,
        blocks: usize,
        equal_will_do: bool,
        top: &mut (f64, Option<Vec<Vec<usize>>>),
    ) {
        let sets: Vec<Vec<Vec<usize>>> = (0..blocks).map(|block| self.sets(block)).collect();
        let reached: Vec<Vec<u32>> = vec![vec![0]; tables.len()];
        let mut branching =
            Branching { tables, sets: &sets, drills: self.task.drills, equal_will_do, steps: 0, top };
        branching.go(0, &reached);
        self.steps += branching.steps;
    }

    /// The largest sets of drills that may stand at the same time in a block.
    fn sets(&self, block: usize) -> Vec<Vec<usize>> {
        let mut fixed: Vec<usize> =
            (0..self.groups.len()).filter_map(|group| self.pinned_drill(block, group)).collect();
        fixed.sort_unstable();
        fixed.dedup();
        let free: Vec<usize> = (0..self.task.drills).filter(|drill| !fixed.contains(drill)).collect();
        let more = self.task.mains_max.saturating_sub(fixed.len()).min(free.len());
        let mut sets = Vec::new();
        let mut chosen = fixed;
        subsets(&free, more, &mut chosen, &mut sets);
        sets
    }
}

fn by_bound(divisions: &mut [Division]) {
    divisions.sort_by(|a, b| {
        b.bound
            .total_cmp(&a.bound)
            .then(a.order().cmp(&b.order()))
            .then(a.unevenness().cmp(&b.unevenness()))
            .then(b.minutes.cmp(&a.minutes))
    });
}

/// One group's walk through blocks of given minutes.
struct Stage<'a> {
    group: &'a Group,
    drills: usize,
    minutes: &'a [u32],
    /// Drills that may be the main one, block by block.
    allowed: &'a [Vec<usize>],
    /// Bit b − 1: the lane may be re-set before block b.
    changes: u32,
}

impl Stage<'_> {
    fn walk(
        &self,
        block: usize,
        prefix: usize,
        last: Option<u32>,
        value: f64,
        walk: &mut Walk,
        complete: &mut [f64],
    ) {
        if block == self.minutes.len() {
            complete[prefix] = value;
            return;
        }
        let minutes = self.minutes[block];
        let may_change = block == 0 || self.changes & (1 << (block - 1)) != 0;
        let is_last = block + 1 == self.minutes.len();
        for main in &self.allowed[block] {
            let setting = self.group.setting[*main];
            if !may_change && setting != last {
                continue;
            }
            walk.steps += self.group.sorts.len() as u64;
            let undo_from = walk.undo.len();
            let mut more = 0.0;
            for (index, sort) in self.group.sorts.iter().enumerate() {
                more += self.step(sort, index, *main, minutes, is_last, walk);
            }
            let next = prefix * self.drills + main;
            if is_last {
                complete[next] = value + more;
            } else {
                self.walk(block + 1, next, setting, value + more, walk, complete);
                self.take_back(undo_from, minutes, walk);
            }
        }
    }

    /// What some minutes of a main drill add for one sort of child; noted in the walk unless it is the last
    /// block.
    #[inline]
    fn step(
        &self,
        sort: &Sort,
        index: usize,
        main: usize,
        minutes: u32,
        is_last: bool,
        walk: &mut Walk,
    ) -> f64 {
        let stride = self.group.stride;
        let more_by = |drill: usize, before: u16| {
            let at = drill * stride + usize::from(before);
            sort.gain[at + minutes as usize] - sort.gain[at]
        };
        let ways = &sort.ways[main];
        let way = match &walk.opened {
            Some(opened) => ways.iter().find(|(_, after)| after & !opened[index] == 0),
            None => ways.first().filter(|(_, after)| *after == 0),
        };
        let opened = walk.opened.as_ref().map_or(0, |opened| opened[index]);
        let Some((drill, _)) = way.copied() else {
            if !is_last {
                walk.undo.push((NOTHING, opened));
            }
            if walk.opened.is_some() {
                return 0.0;
            }
            let options = ways.iter().map(|(drill, _)| more_by(*drill, walk.minutes[index][*drill]));
            return options.fold(0.0, f64::max);
        };
        let more = more_by(drill, walk.minutes[index][drill]);
        if !is_last {
            walk.undo.push((drill as u8, opened));
            walk.minutes[index][drill] += minutes as u16;
            if minutes >= self.group.opens_from[drill]
                && let Some(all) = &mut walk.opened
            {
                all[index] |= 1 << drill;
            }
        }
        more
    }

    fn take_back(&self, undo_from: usize, minutes: u32, walk: &mut Walk) {
        for index in 0..self.group.sorts.len() {
            let (drill, opened) = walk.undo[undo_from + index];
            if drill != NOTHING {
                walk.minutes[index][usize::from(drill)] -= minutes as u16;
                if let Some(all) = &mut walk.opened {
                    all[index] = opened;
                }
            }
        }
        walk.undo.truncate(undo_from);
    }
}

/// The choice of sets, block by block.
struct Branching<'a> {
    tables: &'a BestFrom,
    sets: &'a [Vec<Vec<usize>>],
    drills: usize,
    equal_will_do: bool,
    steps: u64,
    top: &'a mut (f64, Option<Vec<Vec<usize>>>),
}

impl Branching<'_> {
    fn improves(&self, bound: f64) -> bool {
        bound > self.top.0 + TIE || (self.equal_will_do && self.top.1.is_none() && bound >= self.top.0 - TIE)
    }

    fn go(&mut self, block: usize, reached: &[Vec<u32>]) {
        let last = block + 1 == self.sets.len();
        let mut choices: Vec<(f64, usize)> = Vec::with_capacity(self.sets[block].len());
        for (index, set) in self.sets[block].iter().enumerate() {
            let bound = self.bound(block, reached, set);
            if bound > f64::NEG_INFINITY && self.improves(bound) {
                choices.push((bound, index));
            }
        }
        choices.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (bound, index) in choices {
            if !self.improves(bound) {
                break;
            }
            let set = &self.sets[block][index];
            if last {
                // The bound of complete sequences is their value.
                let mains = self.tables.iter().zip(reached).map(|(levels, own)| {
                    let level = &levels[block + 1];
                    let mut best = (f64::NEG_INFINITY, 0);
                    for longer in self.longer(own, set) {
                        if level[longer] > best.0 {
                            best = (level[longer], longer);
                        }
                    }
                    sequence(best.1, block + 1, self.drills)
                });
                *self.top = (bound, Some(mains.collect()));
            } else {
                let next: Vec<Vec<u32>> = self
                    .tables
                    .iter()
                    .zip(reached)
                    .map(|(levels, own)| {
                        self.longer(own, set)
                            .filter(|longer| levels[block + 1][*longer] > f64::NEG_INFINITY)
                            .map(|longer| longer as u32)
                            .collect()
                    })
                    .collect();
                self.go(block + 1, &next);
            }
        }
    }

    fn longer<'b>(&self, reached: &'b [u32], set: &'b [usize]) -> impl Iterator<Item = usize> + use<'b> {
        let drills = self.drills;
        reached.iter().flat_map(move |prefix| set.iter().map(move |drill| *prefix as usize * drills + drill))
    }

    fn bound(&mut self, block: usize, reached: &[Vec<u32>], set: &[usize]) -> f64 {
        let mut bound = 0.0;
        for (levels, own) in self.tables.iter().zip(reached) {
            let level = &levels[block + 1];
            let mut best = f64::NEG_INFINITY;
            for prefix in own {
                let row = &level[*prefix as usize * self.drills..][..self.drills];
                for drill in set {
                    best = best.max(row[*drill]);
                }
            }
            self.steps += own.len() as u64;
            bound += best;
        }
        bound
    }
}

fn sequence(mut prefix: usize, blocks: usize, drills: usize) -> Vec<usize> {
    let mut mains = vec![0; blocks];
    for main in mains.iter_mut().rev() {
        *main = prefix % drills;
        prefix /= drills;
    }
    mains
}

fn subsets(free: &[usize], more: usize, chosen: &mut Vec<usize>, sets: &mut Vec<Vec<usize>>) {
    if more == 0 {
        sets.push(chosen.clone());
        return;
    }
    for index in 0..=free.len() - more {
        chosen.push(free[index]);
        subsets(&free[index + 1..], more - 1, chosen, sets);
        chosen.pop();
    }
}

/// Calls back for every way to divide `sum` into whole numbers within their limits.
fn divide(sum: u32, low: &[u32], high: &[u32], chosen: &mut Vec<u32>, found: &mut impl FnMut(&[u32])) {
    let block = chosen.len();
    if block == low.len() {
        if sum == 0 {
            found(chosen);
        }
        return;
    }
    let (rest_low, rest_high): (u32, u32) = (low[block + 1..].iter().sum(), high[block + 1..].iter().sum());
    let from = low[block].max(sum.saturating_sub(rest_high));
    let to = high[block].min(sum.saturating_sub(rest_low));
    for minutes in (from..=to).rev() {
        chosen.push(minutes);
        divide(sum - minutes, low, high, chosen, found);
        chosen.pop();
    }
}

/// Calls back for every choice of one length a block whose sum stays below `below`.
fn choose(below: u32, lengths: &[Vec<u32>], chosen: &mut Vec<u32>, found: &mut impl FnMut(&[u32])) {
    let Some(here) = lengths.get(chosen.len()) else {
        found(chosen);
        return;
    };
    for minutes in here.iter().filter(|minutes| **minutes < below) {
        chosen.push(*minutes);
        choose(below - minutes, lengths, chosen, found);
        chosen.pop();
    }
}

/// Returns the distinct orders of blocks that keep every block within its stretch between re-settings.
fn orders_within(minutes: &[u32], changes: u32) -> Vec<Vec<u32>> {
    let mut orders: Vec<Vec<u32>> = vec![Vec::new()];
    let mut start = 0;
    for block in 1..=minutes.len() {
        if block == minutes.len() || changes & (1 << (block - 1)) != 0 {
            let stretch = permutations(&minutes[start..block]);
            orders = orders
                .iter()
                .flat_map(|known| stretch.iter().map(|more| [known.as_slice(), more].concat()))
                .collect();
            start = block;
        }
    }
    orders
}

/// Returns the distinct orders of some numbers, the given one first.
fn permutations(numbers: &[u32]) -> Vec<Vec<u32>> {
    if numbers.len() <= 1 {
        return vec![numbers.to_vec()];
    }
    let mut all = Vec::new();
    for index in 0..numbers.len() {
        if numbers[..index].contains(&numbers[index]) {
            continue;
        }
        let mut rest = numbers.to_vec();
        let first = rest.remove(index);
        all.extend(permutations(&rest).into_iter().map(|rest| [vec![first], rest].concat()));
    }
    all
}
