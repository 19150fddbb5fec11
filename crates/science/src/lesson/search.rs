//! The search: which blocks, how long, which drill in which lane, so that the worth of all runs is greatest.
//!
//! A [`Task`] holds numbers only. [`solve`] finds the best plan and proves it, or says how far from the best it may be.
//!
//! # Method
//! The number of blocks, the boundaries at which lanes may be re-set, and the whole minutes of each block form a
//! configuration. With every lane for itself (no limit on different drills at a time) and every child free to do whichever
//! of its ways gives most where a way still has to be opened, the best of a configuration is found group by group: that
//! is the relaxation, and its value bounds the configuration in whatever order its blocks come. Configurations are then searched in the order of their bounds, branching on the drills that may
//! stand at the same time, until no bound is above the best plan found.

/// Most drills that a task may hold.
pub const DRILLS_MAX: usize = 16;
/// Most blocks that a task may hold.
pub const BLOCKS_MAX: usize = 5;
/// Values closer than this are equal: then fewer changes, then fewer blocks stand.
pub const TIE: f64 = 1e-9;
/// Steps after which a search stops and reports the bound it has (a step is one drill tried in one block by one sort of
/// child). About a second on a laptop.
pub const STEPS_MAX: u64 = 100_000_000;

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
    /// Number of drills, at most [`DRILLS_MAX`].
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
    /// For each main drill, what the child does while it is on: the first way that is open. None open: the child works
    /// on the spot, which counts nothing.
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
    let groups: Vec<Group> = task.groups.iter().map(|group| Group::new(task, group)).collect();
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
    /// `gain[drill][minutes]`: what that many minutes of the drill give all of them.
    gain: Vec<Vec<f64>>,
    /// For each main drill the ways: drill, and a bit mask of drills that must have been opened before.
    ways: Vec<Vec<(usize, u32)>>,
}

struct Group {
    sorts: Vec<Sort>,
    /// Whole minutes of a drill in one block from which it opens what needs it; too many to reach when none does.
    opens_from: Vec<u32>,
    setting: Vec<Option<u32>>,
    any_opening: bool,
}

impl Group {
    fn new(task: &Task, group: &GroupTask) -> Self {
        let minutes_most = (task.block_max.max(60) as usize) * task.blocks_max;
        let mut keys: Vec<&Vec<Vec<Way>>> = Vec::new();
        let mut sorts: Vec<Sort> = Vec::new();
        for child in &group.children {
            let index = keys.iter().position(|key| **key == child.ways).unwrap_or_else(|| {
                keys.push(&child.ways);
                sorts.push(Sort {
                    gain: vec![vec![0.0; minutes_most + 1]; task.drills],
                    ways: child
                        .ways
                        .iter()
                        .map(|ways| {
                            ways.iter()
                                .map(|way| {
                                    let mask = way.after.iter().fold(0u32, |mask, drill| mask | 1 << drill);
                                    (way.drill, mask)
                                })
                                .collect()
                        })
                        .collect(),
                });
                sorts.len() - 1
            });
            for (drill, worth) in child.worth.iter().enumerate() {
                if *worth > 0.0 {
                    for (minutes, gain) in sorts[index].gain[drill].iter_mut().enumerate() {
                        *gain += worth * gained(group.rho[drill] * minutes as f64, task.runs_scale);
                    }
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
        Self { sorts, opens_from, setting: group.setting.clone(), any_opening }
    }
}

/// Where one group's walk through the blocks stands.
struct Walk {
    /// Minutes of each drill by sort of child.
    minutes: Vec<[u16; DRILLS_MAX]>,
    /// Drills opened, a bit mask by sort of child; `None` in the relaxation, where that is left open.
    opened: Option<Vec<u32>>,
    /// What to take back, sort by sort: drill (none: `usize::MAX`) and what was opened before.
    undo: Vec<(usize, u32)>,
}

impl Walk {
    fn new(sorts: usize, relaxed: bool) -> Self {
        let opened = (!relaxed).then(|| vec![0; sorts]);
        Self { minutes: vec![[0; DRILLS_MAX]; sorts], opened, undo: Vec::new() }
    }
}

/// One configuration: minutes of the blocks, and the boundaries at which lanes may be re-set.
#[derive(Clone)]
struct Configuration {
    minutes: Vec<u32>,
    /// Bit b − 1: lanes may be re-set before block b.
    changes: u32,
    bound: f64,
}

impl Configuration {
    fn order(&self) -> (u32, usize) {
        (self.changes.count_ones(), self.minutes.len())
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

struct Search<'a> {
    task: &'a Task,
    groups: Vec<Group>,
    best: Option<Best>,
    steps: u64,
    steps_max: u64,
}

impl Search<'_> {
    fn run(&mut self) -> Result<Solution, SearchError> {
        let mut configurations = self.configurations();
        if configurations.is_empty() {
            return Err(SearchError::Pins("the fixed blocks take more minutes than there are"));
        }
        for configuration in &mut configurations {
            let mut bound = 0.0;
            for group in 0..self.groups.len() {
                bound += self.group_best(group, configuration);
            }
            configuration.bound = bound;
        }
        configurations.sort_by(|a, b| {
            b.bound
                .total_cmp(&a.bound)
                .then(a.order().cmp(&b.order()))
                .then(a.unevenness().cmp(&b.unevenness()))
                .then(b.minutes.cmp(&a.minutes))
                .then(a.changes.cmp(&b.changes))
        });
        let relaxed_bound = configurations[0].bound;
        let mut bound = f64::NEG_INFINITY;
        let mut finished = true;
        for configuration in &configurations {
            if !self.may_improve(configuration.bound, configuration.order()) {
                if self.best.as_ref().is_some_and(|best| configuration.bound < best.value - TIE) {
                    break;
                }
                continue;
            }
            if self.steps >= self.steps_max && self.best.is_some() {
                finished = false;
                bound = configuration.bound;
                break;
            }
            if !self.search_orders(configuration) {
                finished = false;
                bound = configuration.bound;
                break;
            }
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
        let blocks = self.with_changes(blocks);
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

    /// Marks the blocks before which a lane needs another setting.
    fn with_changes(&self, mut blocks: Vec<PlannedBlock>) -> Vec<PlannedBlock> {
        for index in 0..blocks.len() {
            let change = index > 0
                && (0..self.groups.len()).any(|group| {
                    let setting = &self.groups[group].setting;
                    setting[blocks[index].mains[group]] != setting[blocks[index - 1].mains[group]]
                });
            blocks[index].change = change;
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

    /// All configurations that use the time as far as blocks can; blocks that can be swapped stand longest first.
    fn configurations(&self) -> Vec<Configuration> {
        let task = self.task;
        let fewest = task.pins.iter().map(|pin| pin.block + 1).max().unwrap_or(1);
        let mut all = Vec::new();
        for blocks in fewest..=task.blocks_max {
            for changes in 0..1u32 << (blocks - 1) {
                let spent = task.change_minutes * changes.count_ones();
                let Some(minutes) = task.minutes.checked_sub(spent) else { continue };
                let (low, high): (Vec<u32>, Vec<u32>) = (0..blocks)
                    .map(|block| match self.pinned_minutes(block) {
                        Some(minutes) => (minutes, minutes),
                        None => (task.block_min, task.block_max),
                    })
                    .unzip();
                let sum = minutes.min(high.iter().sum());
                if sum < low.iter().sum() {
                    continue;
                }
                let sorted = task.pins.is_empty();
                let mut chosen = Vec::with_capacity(blocks);
                divide(sum, &low, &high, &mut chosen, &mut |minutes: &[u32]| {
                    // Within a stretch without re-setting, order is settled later.
                    let falls = |block: usize| {
                        changes & (1 << (block - 1)) != 0 || minutes[block] <= minutes[block - 1]
                    };
                    if !sorted || (1..blocks).all(falls) {
                        all.push(Configuration { minutes: minutes.to_vec(), changes, bound: 0.0 });
                    }
                });
            }
        }
        all
    }

    /// The relaxation: this group for itself, in whatever order the blocks come.
    ///
    /// Where a way must be opened first, the child gets the most that any of its ways up to the first open one could give
    /// on top of what it surely did; gains fall with every minute, so that is never too little.
    fn group_best(&mut self, group: usize, configuration: &Configuration) -> f64 {
        let mut walk = Walk::new(self.groups[group].sorts.len(), true);
        let mut best = f64::NEG_INFINITY;
        self.walk(group, configuration, 0, 0, None, 0.0, &mut walk, &mut |_, _, value| {
            best = f64::max(best, value);
        });
        best
    }

    /// Walks through all sequences of one group that the configuration allows; calls back for every complete one.
    #[allow(clippy::too_many_arguments)]
    fn walk(
        &mut self,
        group: usize,
        configuration: &Configuration,
        block: usize,
        prefix: usize,
        last: Option<usize>,
        value: f64,
        walk: &mut Walk,
        complete: &mut dyn FnMut(usize, usize, f64),
    ) {
        if block == configuration.minutes.len() {
            complete(prefix, block, value);
            return;
        }
        let minutes = configuration.minutes[block];
        let pinned = self.pinned_drill(block, group);
        let may_change = block == 0 || configuration.changes & (1 << (block - 1)) != 0;
        let sorts = self.groups[group].sorts.len();
        self.steps += (self.task.drills * sorts.max(1)) as u64;
        for main in 0..self.task.drills {
            if pinned.is_some_and(|pinned| pinned != main) {
                continue;
            }
            let Some(setting) = self.groups[group].setting[main] else { continue };
            if let Some(last) = last
                && !may_change
                && self.groups[group].setting[last] != Some(setting)
            {
                continue;
            }
            let mut more = 0.0;
            let undo_from = walk.undo.len();
            for index in 0..sorts {
                let here = &self.groups[group];
                let sort = &here.sorts[index];
                let ways = &sort.ways[main];
                let more_by = |drill: usize, before: u16| {
                    let before = usize::from(before);
                    sort.gain[drill][before + minutes as usize] - sort.gain[drill][before]
                };
                let opened = walk.opened.as_ref().map_or(0, |opened| opened[index]);
                let way = match &walk.opened {
                    Some(_) => ways.iter().find(|(_, after)| after & !opened == 0),
                    None => ways.first().filter(|(_, after)| *after == 0),
                };
                let Some((drill, _)) = way.copied() else {
                    if walk.opened.is_none() {
                        let last = ways.iter().position(|(_, after)| *after == 0).unwrap_or(ways.len());
                        let options = ways.iter().take(last + 1);
                        more += options
                            .map(|(drill, _)| more_by(*drill, walk.minutes[index][*drill]))
                            .fold(0.0, f64::max);
                    }
                    walk.undo.push((usize::MAX, opened));
                    continue;
                };
                more += more_by(drill, walk.minutes[index][drill]);
                walk.undo.push((drill, opened));
                walk.minutes[index][drill] += minutes as u16;
                if minutes >= here.opens_from[drill]
                    && let Some(all) = &mut walk.opened
                {
                    all[index] |= 1 << drill;
                }
            }
            let next = prefix * self.task.drills + main;
            self.walk(group, configuration, block + 1, next, Some(main), value + more, walk, complete);
            for index in 0..sorts {
                let (drill, opened) = walk.undo[undo_from + index];
                if drill != usize::MAX {
                    walk.minutes[index][drill] -= minutes as u16;
                    if let Some(all) = &mut walk.opened {
                        all[index] = opened;
                    }
                }
            }
            walk.undo.truncate(undo_from);
        }
    }

    /// Searches a configuration in every order of its blocks that could matter. `false` when the steps ran out.
    fn search_orders(&mut self, configuration: &Configuration) -> bool {
        let opening = self.groups.iter().any(|group| group.any_opening);
        if !opening || !self.task.pins.is_empty() {
            return self.search(configuration);
        }
        let mut orders: Vec<Vec<u32>> = vec![Vec::new()];
        let mut start = 0;
        for block in 1..=configuration.minutes.len() {
            let ends =
                block == configuration.minutes.len() || configuration.changes & (1 << (block - 1)) != 0;
            if ends {
                let stretch = permutations(&configuration.minutes[start..block]);
                orders = orders
                    .iter()
                    .flat_map(|known| stretch.iter().map(|more| [known.as_slice(), more].concat()))
                    .collect();
                start = block;
            }
        }
        for minutes in orders {
            let ordered = Configuration { minutes, ..configuration.clone() };
            if !self.search(&ordered) {
                return false;
            }
        }
        true
    }

    /// Branch and bound over the sets of drills that stand at the same time.
    fn search(&mut self, configuration: &Configuration) -> bool {
        let blocks = configuration.minutes.len();
        let drills = self.task.drills;
        // best_from[group][block][prefix]: the best that any completion of that prefix reaches.
        let mut best_from: Vec<Vec<Vec<f64>>> = Vec::with_capacity(self.groups.len());
        for group in 0..self.groups.len() {
            let mut levels: Vec<Vec<f64>> =
                (0..=blocks).map(|level| vec![f64::NEG_INFINITY; drills.pow(level as u32)]).collect();
            let mut walk = Walk::new(self.groups[group].sorts.len(), false);
            self.walk(group, configuration, 0, 0, None, 0.0, &mut walk, &mut |prefix, level, value| {
                levels[level][prefix] = value;
            });
            for level in (0..blocks).rev() {
                let (upper, lower) = levels.split_at_mut(level + 1);
                for (prefix, best) in upper[level].iter_mut().enumerate() {
                    let below = &lower[0][prefix * drills..(prefix + 1) * drills];
                    *best = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                }
            }
            best_from.push(levels);
        }
        let root: f64 = best_from.iter().map(|levels| levels[0][0]).sum();
        if !self.may_improve(root, configuration.order()) {
            return true;
        }
        let reached = vec![vec![0usize]; self.groups.len()];
        self.branch(configuration, &best_from, 0, &reached)
    }

    fn branch(
        &mut self,
        configuration: &Configuration,
        best_from: &[Vec<Vec<f64>>],
        block: usize,
        reached: &[Vec<usize>],
    ) -> bool {
        let drills = self.task.drills;
        if block == configuration.minutes.len() {
            let mut value = 0.0;
            let mut mains = Vec::with_capacity(reached.len());
            for (levels, prefixes) in best_from.iter().zip(reached) {
                let mut best = (f64::NEG_INFINITY, 0);
                for prefix in prefixes {
                    if levels[block][*prefix] > best.0 {
                        best = (levels[block][*prefix], *prefix);
                    }
                }
                value += best.0;
                mains.push(sequence(best.1, block, drills));
            }
            if self.may_improve(value, configuration.order()) {
                self.best = Some(Best {
                    value,
                    order: configuration.order(),
                    minutes: configuration.minutes.clone(),
                    mains,
                });
            }
            return true;
        }
        let mut choices: Vec<(f64, Vec<Vec<usize>>)> = Vec::new();
        for set in self.sets(block) {
            let mut bound = 0.0;
            let mut next = Vec::with_capacity(reached.len());
            for (levels, prefixes) in best_from.iter().zip(reached) {
                let level = &levels[block + 1];
                let mut best = f64::NEG_INFINITY;
                let mut own = Vec::with_capacity(prefixes.len() * set.len());
                for prefix in prefixes {
                    for drill in &set {
                        let longer = prefix * drills + drill;
                        if level[longer] > f64::NEG_INFINITY {
                            best = best.max(level[longer]);
                            own.push(longer);
                        }
                    }
                }
                bound += best;
                next.push(own);
                self.steps += (prefixes.len() * set.len()) as u64;
            }
            if bound > f64::NEG_INFINITY && self.may_improve(bound, configuration.order()) {
                choices.push((bound, next));
            }
        }
        choices.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (bound, next) in choices {
            if !self.may_improve(bound, configuration.order()) {
                break;
            }
            if self.steps >= self.steps_max && self.best.is_some() {
                return false;
            }
            if !self.branch(configuration, best_from, block + 1, &next) {
                return false;
            }
        }
        true
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
