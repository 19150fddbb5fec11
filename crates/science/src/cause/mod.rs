//! Is it the child, one hurdle, the lane, the leg, or tiredness?
//!
//! Explains the knocks of many runs by a logistic fit with crossed random effects: every standing hurdle that a
//! runner met is one observation. Within a lane one hurdle can be blamed at once. A whole lane can be told from the
//! children who run in it only after some have run in another lane too; until then the finding says so and asks for
//! the swap. Method page: `docs/methods/cause.md`.

mod envelope;

use std::collections::{BTreeMap, BTreeSet};

use lanewright_model::drill::Ladder;
use lanewright_model::run::{Leg, Run, setup_words};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::normal;
use envelope::{Cholesky, Envelope};

/// Name and version of the method.
pub const METHOD: &str = "cause/2";
/// Spread of hurdles within lanes: standard deviation on the log-odds scale (engineering assumption; one lesson
/// cannot teach it).
pub const SLOT_SD: f64 = 0.7;
/// Spread of whole lanes, likewise (engineering assumption).
pub const LANE_SD: f64 = 0.5;
/// Spread of positions along the lane about their straight trend, likewise (engineering assumption).
pub const POSITION_SD: f64 = 0.25;
/// Spread of drills about their middle, likewise (engineering assumption): from walking to running at speed the odds of
/// a fall change by more than from lane to lane.
pub const DRILL_SD: f64 = 1.0;
/// Spread of the effects of leg, order and trend along the lane, likewise (engineering assumption).
pub const EFFECT_SD: f64 = 0.5;
/// Spread of the carry-over from a hurdle that fell to the next one, likewise (engineering assumption).
pub const CARRY_SD: f64 = 1.5;
/// Spreads of runners that are tried; the one that explains the runs best is taken.
pub const RUNNER_SDS: [f64; 5] = [0.4, 0.7, 1.0, 1.4, 1.9];
/// Odds ratio above which a hurdle counts as worse than the others.
pub const WORSE_ODDS: f64 = 1.5;
/// Probability from which a hurdle is blamed (engineering assumption).
pub const BLAME_P: f64 = 0.8;
/// Most hurdles that are named in sentences; the rest are counted.
pub const NAMED_MAX: usize = 8;
/// Hurdles are taken to be laid anew when nobody ran over them for longer than this, in hours, and when a child has not
/// run for so long, its next run is the first of a lesson (engineering assumption).
pub const LAID_ANEW_H: i64 = 4;
/// Children who must have run in two lanes before lanes can be told from children (engineering assumption).
pub const SWAPPED_MIN: usize = 4;

/// An odds ratio with its 90 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OddsRatio {
    /// Median.
    pub median: f64,
    /// 5th percentile.
    pub low: f64,
    /// 95th percentile.
    pub high: f64,
}

impl OddsRatio {
    fn from_log(mean: f64, variance: f64) -> Self {
        let reach = normal::Z_95 * variance.sqrt();
        Self { median: libm::exp(mean), low: libm::exp(mean - reach), high: libm::exp(mean + reach) }
    }
}

/// One runner against the middle runner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunnerCause {
    /// The runner's class, when the runs name it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    /// Runner id.
    pub runner: String,
    /// Odds of a knock against those of the middle runner.
    pub odds_ratio: OddsRatio,
    /// Knocks seen.
    pub knocks: u32,
    /// Standing hurdles met.
    pub hurdles: u32,
}

/// One hurdle of one set-up against the others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SlotCause {
    /// Lane letter.
    pub lane: String,
    /// Set-up name.
    pub setup: String,
    /// Hurdle number, counted from 1.
    pub hurdle: u32,
    /// Odds of a knock against those of the middle hurdle.
    pub odds_ratio: OddsRatio,
    /// Probability that the odds ratio is above [`WORSE_ODDS`].
    pub p_above_1_5: f64,
    /// Knocks seen.
    pub knocks: u32,
    /// Times it was met standing.
    pub met: u32,
}

/// One set-up as a whole against the others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneCause {
    /// Lane letter.
    pub lane: String,
    /// Set-up name.
    pub setup: String,
    /// Odds of a knock against those of the middle lane.
    pub odds_ratio: OddsRatio,
    /// Runners who have run here and elsewhere.
    pub swapped: usize,
    /// Whether enough children have swapped to tell the lane from its children.
    pub told_from_children: bool,
}

/// What explains the knocks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Causes {
    /// Runners, in the order of their classes and ids.
    pub runners: Vec<RunnerCause>,
    /// Hurdles, the most suspicious first.
    pub slots: Vec<SlotCause>,
    /// The left leg against the right.
    pub lead: OddsRatio,
    /// Each further run of a child in one lesson against the run before.
    pub order: OddsRatio,
    /// The last hurdle of a lane against the first.
    pub position: OddsRatio,
    /// A hurdle after one that fell against a hurdle after one that stood.
    pub carry: OddsRatio,
    /// Whole set-ups.
    pub lanes: Vec<LaneCause>,
    /// What it comes to, in plain sentences.
    pub findings: Vec<Message>,
    /// Runs used.
    pub runs: u32,
    /// Name and version of the method.
    pub method: String,
}

impl Causes {
    /// Returns the hurdles that are found worse than the others, the most suspicious first.
    pub fn blamed(&self) -> impl Iterator<Item = &SlotCause> {
        self.slots.iter().filter(|slot| slot.is_blamed())
    }
}

impl SlotCause {
    /// Returns whether the hurdle is found worse than the others.
    pub fn is_blamed(&self) -> bool {
        self.p_above_1_5 >= BLAME_P
    }
}

impl LaneCause {
    /// Returns whether more falls in the set-up than its children explain.
    pub fn is_blamed(&self) -> bool {
        self.told_from_children && self.odds_ratio.low > 1.0
    }
}

/// Fixed effects, last entries of the shared part.
const INTERCEPT: usize = 0;
const LEG: usize = 1;
const ORDER: usize = 2;
const TREND: usize = 3;
const CARRY: usize = 4;
const FIXED: usize = 5;

/// One kind of observation: `hits` of `of` with the same explanation.
struct Row {
    slot: usize,
    runner: usize,
    /// Columns of the shared part with their factors, in rising order.
    columns: [(usize, f64); 9],
    hits: f64,
    of: f64,
}

/// A runner: its class, if named, and its id.
type RunnerKey = (Option<String>, String);

/// What is to be explained.
///
/// The shared part (everything but the slots) is laid out group by group: lanes and runners that have to do with each
/// other stand together, lanes first; positions, drills and fixed effects concern everyone and come last. So classes
/// that never meet share no entries of the system but those of the last rows.
struct Design {
    rows: Vec<Row>,
    slots: Vec<(String, String, u32)>,
    runners: Vec<RunnerKey>,
    lanes: Vec<(String, String)>,
    positions: usize,
    /// Drills that were run; none where all runs are of one, which the overall level holds.
    drills: usize,
    layout: Layout,
    /// Columns of the shared part that each slot has to do with, in rising order.
    touched: Vec<Vec<usize>>,
}

/// Where each effect stands in the shared part.
struct Layout {
    lanes: Vec<usize>,
    runners: Vec<usize>,
    /// First column that each row of the system can touch.
    first: Vec<usize>,
}

impl Layout {
    /// Lays out the shared part for the pairs of lane and runner that met.
    fn new(met: &BTreeSet<(usize, usize)>, lanes: usize, runners: usize, shared: usize) -> Self {
        // Each group is known by its least lane.
        let mut group: Vec<usize> = (0..lanes).collect();
        fn least(group: &mut [usize], mut lane: usize) -> usize {
            while group[lane] != lane {
                group[lane] = group[group[lane]];
                lane = group[lane];
            }
            lane
        }
        let mut lanes_of: Vec<Vec<usize>> = vec![Vec::new(); runners];
        for (lane, runner) in met {
            lanes_of[*runner].push(*lane);
        }
        for own in &lanes_of {
            for pair in own.windows(2) {
                let (a, b) = (least(&mut group, pair[0]), least(&mut group, pair[1]));
                group[a.max(b)] = a.min(b);
            }
        }
        // A runner whose hurdles all lay down has no lane here: it stands after all groups.
        let runner_groups: Vec<usize> =
            lanes_of.iter().map(|own| own.first().map_or(lanes, |lane| least(&mut group, *lane))).collect();
        let lane_groups: Vec<usize> = (0..lanes).map(|lane| least(&mut group, lane)).collect();
        let mut order: Vec<(usize, bool, usize)> = lane_groups
            .iter()
            .enumerate()
            .map(|(lane, group)| (*group, false, lane))
            .chain(runner_groups.iter().enumerate().map(|(runner, group)| (*group, true, runner)))
            .collect();
        order.sort_unstable();
        let mut layout = Self {
            lanes: vec![0; lanes],
            runners: vec![0; runners],
            first: Vec::with_capacity(order.len() + shared),
        };
        for (column, (_, is_runner, index)) in order.into_iter().enumerate() {
            if is_runner {
                layout.runners[index] = column;
                let first = lanes_of[index].iter().map(|lane| layout.lanes[*lane]).min();
                layout.first.push(first.unwrap_or(column));
            } else {
                // Two lanes share no hurdle.
                layout.lanes[index] = column;
                layout.first.push(column);
            }
        }
        layout.first.extend(std::iter::repeat_n(0, shared));
        layout
    }
}

impl Design {
    fn shared(&self) -> usize {
        self.layout.first.len()
    }

    fn position_column(&self, position: usize) -> usize {
        self.shared() - FIXED - self.drills - self.positions + position
    }

    fn drill_column(&self, drill: usize) -> usize {
        self.shared() - FIXED - self.drills + drill
    }

    fn fixed_column(&self, effect: usize) -> usize {
        self.shared() - FIXED + effect
    }

    fn precisions(&self, runner_sd: f64) -> Vec<f64> {
        let mut precisions = vec![1.0 / (EFFECT_SD * EFFECT_SD); self.shared()];
        // The overall level is free: ten logits either way.
        precisions[self.fixed_column(INTERCEPT)] = 1e-2;
        precisions[self.fixed_column(CARRY)] = 1.0 / (CARRY_SD * CARRY_SD);
        for position in 0..self.positions {
            precisions[self.position_column(position)] = 1.0 / (POSITION_SD * POSITION_SD);
        }
        for drill in 0..self.drills {
            precisions[self.drill_column(drill)] = 1.0 / (DRILL_SD * DRILL_SD);
        }
        for column in &self.layout.runners {
            precisions[*column] = 1.0 / (runner_sd * runner_sd);
        }
        for column in &self.layout.lanes {
            precisions[*column] = 1.0 / (LANE_SD * LANE_SD);
        }
        precisions
    }

    /// Returns the columns in the order of [`Regression`].
    fn told_order(&self) -> Vec<usize> {
        (0..FIXED)
            .map(|effect| self.fixed_column(effect))
            .chain((0..self.positions).map(|position| self.position_column(position)))
            .chain((0..self.drills).map(|drill| self.drill_column(drill)))
            .chain(self.layout.runners.iter().copied())
            .chain(self.layout.lanes.iter().copied())
            .collect()
    }
}

/// Explains the knocks of the given runs. Returns `None` when there is nothing to explain: no knock, or no hurdle
/// that stood.
pub fn cause(runs: &[&Run], ladder: &Ladder) -> Option<Causes> {
    let design = design(runs, ladder);
    let hits: f64 = design.rows.iter().map(|row| row.hits).sum();
    if design.rows.is_empty() || hits == 0.0 {
        return None;
    }
    let mut best: Option<Mode> = None;
    for runner_sd in RUNNER_SDS {
        let fit = Mode::find(&design, runner_sd, best.as_ref())?;
        if best.as_ref().is_some_and(|best| best.log_evidence >= fit.log_evidence) {
            // The evidence has one hill over the spreads: past its top there is nothing more to find.
            break;
        }
        best = Some(fit);
    }
    best.map(|fit| fit.causes(&design, runs))
}

/// One row of a [`Regression`]: the effects it holds with their factors, falls, and how often it was seen.
pub type RegressionRow = (Vec<(usize, f64)>, f64, f64);

/// The regression behind the causes, laid open so that any general library can be given the same problem.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Regression {
    /// Prior standard deviation of each effect: fixed effects, positions, drills, runners, lanes, then slots.
    pub sds: Vec<f64>,
    /// What was seen, equal things counted together.
    pub rows: Vec<RegressionRow>,
    /// The most probable effects as found here, in the same order.
    pub effects: Vec<f64>,
    /// Standard deviation of each effect's posterior (Laplace), in the same order.
    pub spreads: Vec<f64>,
}

/// Returns the regression for one spread of runners, with its solution. `None` as for [`cause`].
pub fn regression(runs: &[&Run], ladder: &Ladder, runner_sd: f64) -> Option<Regression> {
    let design = design(runs, ladder);
    let mode = Mode::find(&design, runner_sd, None)?;
    let order = design.told_order();
    let mut told = vec![0; order.len()];
    for (index, column) in order.iter().enumerate() {
        told[*column] = index;
    }
    let precisions = design.precisions(runner_sd);
    let mut sds: Vec<f64> = order.iter().map(|column| 1.0 / precisions[*column].sqrt()).collect();
    let first_slot = sds.len();
    sds.extend(std::iter::repeat_n(SLOT_SD, design.slots.len()));
    let rows = design
        .rows
        .iter()
        .map(|row| {
            let mut columns: Vec<(usize, f64)> = row
                .columns
                .into_iter()
                .filter(|(_, x)| *x != 0.0)
                .map(|(column, x)| (told[column], x))
                .collect();
            columns.sort_by_key(|(index, _)| *index);
            columns.push((first_slot + row.slot, 1.0));
            (columns, row.hits, row.of)
        })
        .collect();
    let effects = order.iter().map(|column| mode.dense[*column]).chain(mode.slots.iter().copied()).collect();
    let shared = order.iter().map(|column| mode.sum_of(&[(*column, 1.0)], &[]));
    let slots = (0..design.slots.len()).map(|slot| mode.sum_of(&[], &[(slot, 1.0)]));
    let spreads = shared.chain(slots).map(|(_, variance)| variance.sqrt()).collect();
    Some(Regression { sds, rows, effects, spreads })
}

const HOUR_MS: i64 = 3_600_000;

/// Returns the set-up of each run: its name, and where that is only lane, gap and height, the laying of the hurdles.
///
/// A name that somebody gave stays as it is. Otherwise a pause of more than [`LAID_ANEW_H`] begins a new laying, with
/// the day of its first run behind the name (in world time; with the time of day when one day has two).
pub(crate) fn setups(runs: &[&Run]) -> Vec<String> {
    let mut order: Vec<usize> = (0..runs.len()).collect();
    order.sort_by_key(|index| runs[*index].at);
    // Of each default name: its layings, each with the runs in it.
    let mut layings: BTreeMap<&str, Vec<Vec<usize>>> = BTreeMap::new();
    for index in order {
        let run = runs[index];
        if !run.has_default_setup() {
            continue;
        }
        let known = layings.entry(&run.setup).or_default();
        let last = known.last().and_then(|laying| laying.last()).map(|last| runs[*last].at.as_millisecond());
        match known.last_mut() {
            Some(laying)
                if last.is_some_and(|last| run.at.as_millisecond() - last <= LAID_ANEW_H * HOUR_MS) =>
            {
                laying.push(index);
            }
            _ => known.push(vec![index]),
        }
    }
    let mut setups: Vec<String> = runs.iter().map(|run| run.setup.clone()).collect();
    for (name, layings) in layings.into_iter().filter(|(_, layings)| layings.len() > 1) {
        // `2026-03-02T10:14:05Z`: the day, or the day with hour and minute.
        let began: Vec<String> = layings.iter().map(|laying| runs[laying[0]].at.to_string()).collect();
        for (laying, moment) in layings.iter().zip(&began) {
            let day = moment.get(..10).unwrap_or(moment);
            let twice = began.iter().filter(|other| other.starts_with(day)).count() > 1;
            let said = if twice { moment.get(..16).unwrap_or(moment) } else { day };
            for index in laying {
                setups[*index] = format!("{name}/{said}");
            }
        }
    }
    setups
}

fn design(runs: &[&Run], ladder: &Ladder) -> Design {
    let setups = setups(runs);
    let mut runners: Vec<RunnerKey> =
        runs.iter().map(|run| (run.class.clone(), run.runner.clone())).collect();
    runners.sort_unstable();
    runners.dedup();
    let mut lanes: Vec<(String, String)> =
        runs.iter().zip(&setups).map(|(run, setup)| (setup.clone(), run.lane.clone())).collect();
    lanes.sort_unstable();
    lanes.dedup_by(|a, b| a.0 == b.0);
    let lanes: Vec<(String, String)> = lanes.into_iter().map(|(setup, lane)| (lane, setup)).collect();
    let lane_ids: BTreeMap<&str, usize> =
        lanes.iter().enumerate().map(|(index, (_, setup))| (setup.as_str(), index)).collect();
    let positions = runs.iter().map(|run| run.hurdles as usize).max().unwrap_or(0);
    let drills: BTreeSet<&str> = runs.iter().map(|run| run.drill.as_str()).collect();
    let drill_ids: BTreeMap<&str, usize> = drills.iter().zip(0..).map(|(drill, id)| (*drill, id)).collect();
    let drills = if drills.len() > 1 { drills.len() } else { 0 };
    let mut slots = Vec::new();
    let mut slot_ids: BTreeMap<(usize, u32), usize> = BTreeMap::new();
    // Slot, runner, hurdle, drill, leg, order, whether the one before fell, hurdles in the lane: falls and times met.
    type Group = (usize, usize, u32, usize, i8, i32, bool, u32);
    let mut groups: BTreeMap<Group, (f64, f64)> = BTreeMap::new();
    let mut sorted: Vec<(&&Run, &String)> = runs.iter().zip(&setups).collect();
    sorted.sort_by_key(|(run, _)| run.at);
    // Of each runner: the moment of the latest run, and how many came before it in that lesson.
    let mut so_far: BTreeMap<usize, (i64, i32)> = BTreeMap::new();
    for (run, setup) in sorted {
        let at_ms = run.at.as_millisecond();
        let runner = runners
            .binary_search_by(|(class, runner)| (class, runner).cmp(&(&run.class, &run.runner)))
            .expect("collected above");
        let (last_ms, order) = so_far.entry(runner).or_insert((at_ms, -1));
        *order = if at_ms - *last_ms > LAID_ANEW_H * HOUR_MS { 0 } else { *order + 1 };
        *last_ms = at_ms;
        let order_here = *order;
        let lane = lane_ids[setup.as_str()];
        let contacts = ladder.get(&run.drill).and_then(|drill| drill.contacts_per_gap).unwrap_or(1);
        let mut fell_before = false;
        for number in 1..=run.hurdles {
            if run.down_before.contains(number) {
                fell_before = false;
                continue;
            }
            let next = slot_ids.len();
            let slot = *slot_ids.entry((lane, number)).or_insert(next);
            if slot == slots.len() {
                slots.push((run.lane.clone(), setup.clone(), number));
            }
            let leg = match run.lead {
                None => 0,
                Some(lead) => {
                    let crosses_left = (lead == Leg::Left) == (contacts != 1 || number % 2 == 1);
                    if crosses_left { 1 } else { -1 }
                }
            };
            let fell = run.knocked.contains(number);
            let drill = drill_ids[run.drill.as_str()];
            let group = (slot, runner, number, drill, leg, order_here, fell_before, run.hurdles);
            let entry = groups.entry(group).or_default();
            entry.0 += f64::from(u8::from(fell));
            entry.1 += 1.0;
            fell_before = fell;
        }
    }
    let lane_of = |slot: usize| -> usize {
        let (_, setup, _): &(String, String, u32) = &slots[slot];
        lane_ids[setup.as_str()]
    };
    let met: BTreeSet<(usize, usize)> =
        groups.keys().map(|(slot, runner, ..)| (lane_of(*slot), *runner)).collect();
    let layout = Layout::new(&met, lanes.len(), runners.len(), positions + drills + FIXED);
    let mut design = Design {
        rows: Vec::new(),
        slots: Vec::new(),
        runners,
        lanes: lanes.clone(),
        positions,
        drills,
        layout,
        touched: Vec::new(),
    };
    for ((slot, runner, number, drill, leg, order, fell_before, hurdles), (hits, of)) in groups {
        let along = if hurdles > 1 { f64::from(number - 1) / f64::from(hurdles - 1) - 0.5 } else { 0.0 };
        design.rows.push(Row {
            slot,
            runner,
            columns: [
                (design.layout.lanes[lane_of(slot)], 1.0),
                (design.layout.runners[runner], 1.0),
                (design.position_column(number as usize - 1), 1.0),
                if drills > 0 {
                    (design.drill_column(drill), 1.0)
                } else {
                    (design.fixed_column(INTERCEPT), 0.0)
                },
                (design.fixed_column(INTERCEPT), 1.0),
                (design.fixed_column(LEG), 0.5 * f64::from(leg)),
                // Later runs of one lesson differ little from each other: the sixth counts like the fifth.
                (design.fixed_column(ORDER), f64::from(order.min(9)) - 2.0),
                (design.fixed_column(TREND), along),
                (design.fixed_column(CARRY), if fell_before { 1.0 } else { 0.0 }),
            ],
            hits,
            of,
        });
    }
    for rows in design.rows.chunk_by(|a, b| a.slot == b.slot) {
        let mut columns: Vec<usize> = rows
            .iter()
            .flat_map(|row| row.columns)
            .filter(|(_, x)| *x != 0.0)
            .map(|(column, _)| column)
            .collect();
        columns.sort_unstable();
        columns.dedup();
        design.touched.push(columns);
    }
    design.slots = slots;
    design
}

/// The most probable effects, and the spread about them.
struct Mode {
    dense: Vec<f64>,
    slots: Vec<f64>,
    slot_curvature: Vec<f64>,
    slot_cross: Vec<Vec<(usize, f64)>>,
    factor: Cholesky,
    log_evidence: f64,
}

/// Most Newton steps; a well-behaved fit takes about eight.
const NEWTON_MAX: usize = 60;
/// The fit ends when no effect moves by more than this on the log-odds scale.
const NEWTON_TOLERANCE: f64 = 1e-8;

struct Curvature {
    gradient: Vec<f64>,
    slot_gradient: Vec<f64>,
    slot_curvature: Vec<f64>,
    slot_cross: Vec<Vec<(usize, f64)>>,
    factor: Cholesky,
}

impl Mode {
    /// Newton's method on the log posterior. Each row touches one slot, so slots are eliminated first (their block
    /// is diagonal) and only lanes, runners, positions and fixed effects form one system.
    /// Starts from the mode found for another spread of runners, if any.
    fn find(design: &Design, runner_sd: f64, start: Option<&Self>) -> Option<Self> {
        let precisions = design.precisions(runner_sd);
        let (mut dense, mut slots) = match start {
            Some(start) => (start.dense.clone(), start.slots.clone()),
            None => (vec![0.0; design.shared()], vec![0.0; design.slots.len()]),
        };
        let mut value = log_posterior(design, &precisions, &dense, &slots);
        for _ in 0..NEWTON_MAX {
            let curvature = Curvature::at(design, &precisions, &dense, &slots)?;
            let mut step = curvature.gradient.clone();
            for (slot, cross) in curvature.slot_cross.iter().enumerate() {
                let share = curvature.slot_gradient[slot] / curvature.slot_curvature[slot];
                for (column, weight) in cross {
                    step[*column] -= weight * share;
                }
            }
            curvature.factor.solve(&mut step);
            let slot_step: Vec<f64> = (0..slots.len())
                .map(|slot| {
                    let along: f64 = curvature.slot_cross[slot]
                        .iter()
                        .map(|(column, weight)| weight * step[*column])
                        .sum();
                    (curvature.slot_gradient[slot] - along) / curvature.slot_curvature[slot]
                })
                .collect();
            let mut factor = 1.0;
            let moved = loop {
                let try_dense: Vec<f64> = dense.iter().zip(&step).map(|(a, b)| a + factor * b).collect();
                let try_slots: Vec<f64> = slots.iter().zip(&slot_step).map(|(a, b)| a + factor * b).collect();
                let try_value = log_posterior(design, &precisions, &try_dense, &try_slots);
                if try_value >= value - 1e-12 || factor < 1e-6 {
                    value = try_value;
                    dense = try_dense;
                    slots = try_slots;
                    break step
                        .iter()
                        .chain(&slot_step)
                        .map(|part| (factor * part).abs())
                        .fold(0.0, f64::max);
                }
                factor *= 0.5;
            };
            if moved < NEWTON_TOLERANCE {
                break;
            }
        }
        let curvature = Curvature::at(design, &precisions, &dense, &slots)?;
        let log_prior_scale: f64 = precisions.iter().map(|precision| 0.5 * libm::log(*precision)).sum();
        let log_det: f64 = curvature.factor.log_det()
            + curvature.slot_curvature.iter().map(|value| libm::log(*value)).sum::<f64>();
        Some(Self {
            log_evidence: value + log_prior_scale - 0.5 * log_det,
            dense,
            slots,
            slot_curvature: curvature.slot_curvature,
            slot_cross: curvature.slot_cross,
            factor: curvature.factor,
        })
    }

    /// Returns mean and variance of the sum of the given dense effects and slots.
    fn sum_of(&self, columns: &[(usize, f64)], slots: &[(usize, f64)]) -> (f64, f64) {
        let mut mean: f64 = columns.iter().map(|(column, weight)| weight * self.dense[*column]).sum();
        let mut vector = vec![0.0; self.dense.len()];
        let mut variance = 0.0;
        for (column, weight) in columns {
            vector[*column] += weight;
        }
        for (slot, weight) in slots {
            mean += weight * self.slots[*slot];
            variance += weight * weight / self.slot_curvature[*slot];
            for (column, cross) in &self.slot_cross[*slot] {
                vector[*column] -= weight * cross / self.slot_curvature[*slot];
            }
        }
        (mean, variance + self.factor.quadratic(&vector))
    }

    fn causes(&self, design: &Design, runs: &[&Run]) -> Causes {
        let odds = |column: usize| {
            let (mean, variance) = self.sum_of(&[(column, 1.0)], &[]);
            OddsRatio::from_log(mean, variance)
        };
        let mut by_runner = vec![(0.0, 0.0); design.runners.len()];
        let mut by_slot = vec![(0.0, 0.0); design.slots.len()];
        for row in &design.rows {
            by_runner[row.runner].0 += row.hits;
            by_runner[row.runner].1 += row.of;
            by_slot[row.slot].0 += row.hits;
            by_slot[row.slot].1 += row.of;
        }
        let runners = design
            .runners
            .iter()
            .enumerate()
            .map(|(index, (class, runner))| RunnerCause {
                class: class.clone(),
                runner: runner.clone(),
                odds_ratio: odds(design.layout.runners[index]),
                knocks: by_runner[index].0 as u32,
                hurdles: by_runner[index].1 as u32,
            })
            .collect();
        let mut slots: Vec<SlotCause> = design
            .slots
            .iter()
            .enumerate()
            .map(|(index, (lane, setup, hurdle))| {
                let (mean, variance) = self.sum_of(&[], &[(index, 1.0)]);
                SlotCause {
                    lane: lane.clone(),
                    setup: setup.clone(),
                    hurdle: *hurdle,
                    odds_ratio: OddsRatio::from_log(mean, variance),
                    p_above_1_5: normal::cdf((mean - libm::log(WORSE_ODDS)) / variance.sqrt()),
                    knocks: by_slot[index].0 as u32,
                    met: by_slot[index].1 as u32,
                }
            })
            .collect();
        slots.sort_by(|a, b| {
            b.p_above_1_5
                .total_cmp(&a.p_above_1_5)
                .then_with(|| (&a.setup, a.hurdle).cmp(&(&b.setup, b.hurdle)))
        });
        let mut lanes_of: BTreeMap<(Option<&str>, &str), Vec<&str>> = BTreeMap::new();
        let setups = setups(runs);
        for (run, setup) in runs.iter().zip(&setups) {
            let known = lanes_of.entry((run.class.as_deref(), run.runner.as_str())).or_default();
            if !known.contains(&setup.as_str()) {
                known.push(setup.as_str());
            }
        }
        let lanes: Vec<LaneCause> = design
            .lanes
            .iter()
            .enumerate()
            .map(|(index, (lane, setup))| {
                let swapped = lanes_of
                    .values()
                    .filter(|known| known.len() > 1 && known.contains(&setup.as_str()))
                    .count();
                LaneCause {
                    lane: lane.clone(),
                    setup: setup.clone(),
                    odds_ratio: odds(design.layout.lanes[index]),
                    swapped,
                    told_from_children: swapped >= SWAPPED_MIN,
                }
            })
            .collect();
        let findings = findings(&slots, &lanes);
        Causes {
            runners,
            slots,
            lead: odds(design.fixed_column(LEG)),
            order: odds(design.fixed_column(ORDER)),
            position: odds(design.fixed_column(TREND)),
            carry: odds(design.fixed_column(CARRY)),
            lanes,
            findings,
            runs: runs.len() as u32,
            method: METHOD.to_owned(),
        }
    }
}

impl Curvature {
    fn at(design: &Design, precisions: &[f64], dense: &[f64], slots: &[f64]) -> Option<Self> {
        let size = dense.len();
        let mut gradient: Vec<f64> = dense.iter().zip(precisions).map(|(value, p)| -value * p).collect();
        let mut matrix = Envelope::new(&design.layout.first);
        for (index, precision) in precisions.iter().enumerate() {
            matrix.add(index, index, *precision);
        }
        let slot_precision = 1.0 / (SLOT_SD * SLOT_SD);
        let mut slot_gradient: Vec<f64> = slots.iter().map(|value| -value * slot_precision).collect();
        let mut slot_curvature = vec![slot_precision; slots.len()];
        let mut slot_cross: Vec<Vec<(usize, f64)>> = vec![Vec::new(); slots.len()];
        let mut cross = vec![0.0; size];
        // Rows are sorted by slot: one slot's coupling is gathered and eliminated before the next begins.
        for rows in design.rows.chunk_by(|a, b| a.slot == b.slot) {
            let slot = rows[0].slot;
            for row in rows {
                let p = crate::decide::fit::logistic(log_odds(row, dense, slots));
                let residual = row.hits - row.of * p;
                let weight = row.of * p * (1.0 - p);
                slot_gradient[slot] += residual;
                slot_curvature[slot] += weight;
                // Columns stand in rising order, so this walks the lower triangle.
                for (index, (column, x)) in row.columns.iter().enumerate() {
                    if *x == 0.0 {
                        continue;
                    }
                    gradient[*column] += residual * x;
                    cross[*column] += weight * x;
                    for (other, y) in &row.columns[..=index] {
                        matrix.add(*column, *other, weight * x * y);
                    }
                }
            }
            let touched: Vec<(usize, f64)> = design.touched[slot]
                .iter()
                .map(|column| (*column, cross[*column]))
                .filter(|(_, value)| *value != 0.0)
                .collect();
            for (index, (column, x)) in touched.iter().enumerate() {
                for (other, y) in &touched[..=index] {
                    matrix.add(*column, *other, -x * y / slot_curvature[slot]);
                }
                cross[*column] = 0.0;
            }
            slot_cross[slot] = touched;
        }
        let factor = matrix.factor()?;
        Some(Self { gradient, slot_gradient, slot_curvature, slot_cross, factor })
    }
}

fn log_odds(row: &Row, dense: &[f64], slots: &[f64]) -> f64 {
    row.columns.iter().map(|(column, x)| x * dense[*column]).sum::<f64>() + slots[row.slot]
}

fn log_posterior(design: &Design, precisions: &[f64], dense: &[f64], slots: &[f64]) -> f64 {
    let mut sum = 0.0;
    for (value, precision) in dense.iter().zip(precisions) {
        sum -= 0.5 * precision * value * value;
    }
    for value in slots {
        sum -= 0.5 * value * value / (SLOT_SD * SLOT_SD);
    }
    for row in &design.rows {
        // hits · ln p + misses · ln (1 − p), with ln (1 + e^x) in a form that neither overflows nor cancels.
        let x = log_odds(row, dense, slots);
        sum += row.hits * x - row.of * (x.max(0.0) + libm::log1p(libm::exp(-x.abs())));
    }
    sum
}

/// Returns the letter of a lane, or that it has none.
pub(crate) fn lane_words(lane: &str) -> Arg {
    match lane {
        "" => Arg::Say(Box::new(Message::new("cause-lane-unnamed"))),
        letter => Arg::Text(letter.to_owned()),
    }
}

fn findings(slots: &[SlotCause], lanes: &[LaneCause]) -> Vec<Message> {
    // Where one lane was laid more than once, its letter alone does not say which laying.
    let laid_often = |letter: &str| lanes.iter().filter(|lane| lane.lane == letter).count() > 1;
    let blamed: Vec<&SlotCause> = slots.iter().filter(|slot| slot.is_blamed()).collect();
    let mut findings: Vec<Message> = blamed
        .iter()
        .take(NAMED_MAX)
        .map(|slot| {
            let id = match (slot.hurdle == 1, laid_often(&slot.lane)) {
                (true, false) => "cause-first-hurdle",
                (true, true) => "cause-first-hurdle-setup",
                (false, false) => "cause-hurdle",
                (false, true) => "cause-hurdle-setup",
            };
            Message::new(id)
                .with("lane", lane_words(&slot.lane))
                .with("setup", setup_words(&slot.setup))
                .with("hurdle", Arg::Count(i64::from(slot.hurdle)))
                .with("times", Arg::Decimals(slot.odds_ratio.median, 1))
                .with("knocks", Arg::Count(i64::from(slot.knocks)))
                .with("met", Arg::Count(i64::from(slot.met)))
        })
        .collect();
    if blamed.len() > NAMED_MAX {
        let more = (blamed.len() - NAMED_MAX) as i64;
        findings.push(Message::new("cause-more-hurdles").with("hurdles", Arg::Count(more)));
    }
    for lane in lanes {
        if lane.is_blamed() {
            let id = if laid_often(&lane.lane) { "cause-lane-setup" } else { "cause-lane" };
            findings.push(
                Message::new(id).with("lane", lane_words(&lane.lane)).with("setup", setup_words(&lane.setup)),
            );
        }
    }
    let untold: Vec<&LaneCause> = lanes.iter().filter(|lane| !lane.told_from_children).collect();
    if lanes.len() > 1 && !untold.is_empty() {
        findings.push(Message::new("cause-swap").with("children", Arg::Count(SWAPPED_MIN as i64)));
    }
    if findings.is_empty() {
        findings.push(Message::new("cause-nothing"));
    }
    findings
}
