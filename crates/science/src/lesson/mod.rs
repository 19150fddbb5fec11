//! The lesson: which drill, in which lane, for how long, so that the runs teach most.
//!
//! [`lesson`] takes a class with what was seen of it, a bag of hurdles, a floor and some minutes, and returns blocks of
//! drills for the lanes, with what the plan is worth and how far from the best it may be. Method page:
//! `docs/methods/lesson.md`.

mod dress;
mod pace;
mod parts;
pub mod search;
pub mod worth;

use std::collections::{BTreeMap, BTreeSet};
use std::iter;

use lanewright_model::drill::{Drill, DrillId, Family, Ladder, Setting};
use lanewright_model::kit::Surface;
use lanewright_model::plan::Plan;
use lanewright_model::run::{Observation, Watched};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::contacts::{RUN_ON_CONTACTS, RunSteps};
use crate::decide::{self, ClassModel, Expected};
use crate::flow::{self, Flow, LaneFlow, Paces, StartRule};
use crate::plan::{PlanError, PlanInput, plan};
use crate::site::{WALK_EXIT_M, WALK_RUN_UP_M};

pub(crate) use dress::drill_arg;
pub use pace::{ClassPace, FACTOR_MAX, LanePace, ROUNDS_MIN, SAME_LESSON_S, START_GAP_MIN_S};
pub use parts::{FixedPart, Use, When, usual_parts};
use search::{ChildTask, GroupTask, Pin, SearchError, Solution, Task, Way, done_by};

/// Name and version of the method.
pub const METHOD: &str = "lesson/1";
/// Expected clean rate from which a drill counts as clean for planning (engineering assumption).
pub const CLEAN_RATE: f64 = 0.85;
/// Expected clean rate from which runs of this lesson open what needs the drill (engineering assumption).
pub const OPENS_RATE: f64 = 0.75;
/// Runs in one earlier block that open what needs the drill (engineering assumption).
pub const RUNS_TO_OPEN: f64 = 4.0;
/// Runs after which 63 % of a lesson's gain at a drill is had (engineering assumption).
pub const RUNS_SCALE: f64 = 8.0;
/// Weight of a drill that is clean already, against 1 for one that is worked on (engineering assumption).
pub const REVIEW_WEIGHT: f64 = 0.5;
/// Every child has a drill at which it succeeds this often, floor lines included (engineering assumption).
pub const EASY_RATE: f64 = 0.80;
/// Different drills from which one lesson is made up (engineering assumption: more are not taught in an hour).
pub const DRILLS_PER_LESSON: usize = 6;
/// Shortest and longest block, in minutes (engineering assumption).
pub const BLOCK_MINUTES: (u32, u32) = (3, 12);
/// Different main drills at the same time per adult (engineering assumption).
pub const MAINS_PER_ADULT: u32 = 2;
/// Minutes to re-set lanes on marks that were laid beforehand (engineering assumption).
pub const CHANGE_ON_MARKS_MIN: u32 = 1;
/// Minutes to re-set lanes by tape (engineering assumption).
pub const CHANGE_BY_TAPE_MIN: u32 = 3;
/// Steps of a child in a second over hurdles, walking (engineering assumption; with a lane's gap it gives the speed).
pub const WALK_STEPS_HZ: f64 = 1.8;
/// Steps of a child in a second over hurdles, running at learning effort (engineering assumption).
pub const RUN_STEPS_HZ: f64 = 2.8;
/// Room beyond the exit line of a walk before the way back begins, in metres (engineering assumption).
pub const WALK_OUT_M: f64 = 1.0;
/// The proven gap below which a plan is called the best: a share of its worth.
pub const GAP_CLOSED: f64 = 1e-9;

/// Everything that a lesson follows from.
#[derive(Debug, Clone)]
pub struct LessonInput<'a> {
    /// Class, kit, floor, adults, wishes. Its drills are set by the lesson.
    pub lanes: PlanInput,
    /// All drills.
    pub ladder: &'a Ladder,
    /// What was seen of the class so far; empty for a new class.
    pub history: &'a [Observation],
    /// The moment for which it is planned, and what mistakes cost.
    pub decide: decide::Options,
    /// What it is for.
    pub use_for: Use,
    /// All minutes, 3 to 180.
    pub minutes: u32,
    /// Parts that take time and hold no drill; what is usual for the use when absent.
    pub fixed: Option<Vec<FixedPart>>,
    /// Minutes to re-set lanes between blocks, 0 to 10.
    pub change_minutes: u32,
    /// Only these drills, and what they need; empty for all.
    pub only: Vec<DrillId>,
    /// Not these drills.
    pub without: Vec<DrillId>,
    /// Most blocks; what is usual for the use when absent.
    pub blocks_max: Option<usize>,
    /// What the coach has fixed.
    pub pins: Vec<PinAsk>,
    /// Children who are here and do not run.
    pub helping: Vec<String>,
    /// The times that no tape measures.
    pub paces: Paces,
    /// Steps after which the search reports the bound it has; see [`search::STEPS_MAX`].
    pub steps_max: u64,
}

impl<'a> LessonInput<'a> {
    /// Returns the input for a class, with everything else as it usually is.
    pub fn new(
        lanes: PlanInput,
        ladder: &'a Ladder,
        history: &'a [Observation],
        decide: decide::Options,
        use_for: Use,
        minutes: u32,
    ) -> Self {
        Self {
            lanes,
            ladder,
            history,
            decide,
            use_for,
            minutes,
            fixed: None,
            change_minutes: CHANGE_ON_MARKS_MIN,
            only: Vec::new(),
            without: Vec::new(),
            blocks_max: None,
            pins: Vec::new(),
            helping: Vec::new(),
            paces: Paces::default(),
            steps_max: search::STEPS_MAX,
        }
    }
}

/// Something the coach has fixed about one block.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PinAsk {
    /// Which block, from 0.
    pub block: usize,
    /// Its minutes.
    #[serde(default)]
    pub minutes: Option<u32>,
    /// The drill of every lane that `lanes` does not name.
    #[serde(default)]
    pub drill: Option<DrillId>,
    /// Drills by lane letter.
    #[serde(default)]
    pub lanes: BTreeMap<String, DrillId>,
}

/// Why there is no lesson.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LessonError {
    /// The lanes cannot be planned.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The blocks cannot be planned.
    #[error(transparent)]
    Search(#[from] SearchError),
    /// The fixed parts take all the time.
    #[error(
        "{minutes} min less {fixed} min for fixed parts leave no block; take more time, or shorten a fixed part"
    )]
    NoTime {
        /// All minutes.
        minutes: u32,
        /// Minutes of fixed parts.
        fixed: u32,
    },
    /// A number is out of its range.
    #[error("{field} is {provided}; allowed is {allowed}")]
    Range {
        /// The field.
        field: &'static str,
        /// What stood there.
        provided: f64,
        /// What may stand there.
        allowed: &'static str,
    },
    /// A drill is not in the ladder or has no hurdles.
    #[error("there is no drill with hurdles called `{0}`")]
    UnknownDrill(DrillId),
    /// A lane is not there.
    #[error("there is no lane `{0}`")]
    UnknownLane(String),
    /// No drill is left that anyone may do.
    #[error("no drill is left that anyone in the class may do; allow more drills")]
    NoDrill,
    /// A lane has numbers that no lane can have.
    #[error(transparent)]
    Flow(#[from] flow::FlowError),
}

impl LessonError {
    /// Returns what to say to the coach.
    pub fn message(&self) -> Message {
        match self {
            Self::Plan(error) => error.message(),
            Self::NoTime { minutes, fixed } => Message::new("lesson-error-no-time")
                .with("minutes", Arg::Count(i64::from(*minutes)))
                .with("fixed", Arg::Count(i64::from(*fixed))),
            Self::NoDrill => Message::new("lesson-error-no-drill"),
            other => Message::new("lesson-error-other").text("reason", other.to_string()),
        }
    }
}

/// A lesson as planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// What it is for.
    #[serde(rename = "use")]
    pub use_for: Use,
    /// Worth of all runs: Σ over children and drills of w · E\[g\] · (1 − e^(−runs/8)).
    pub value: f64,
    /// No plan with these inputs is worth more.
    pub bound: f64,
    /// Share of the bound that may be left on the table: 1 − value / bound.
    pub gap: f64,
    /// How the bound was got.
    pub relaxation: String,
    /// What the relaxation alone allows, before any branching.
    pub relaxed_bound: f64,
    /// Minutes of the plan, fixed parts and changes included.
    pub total_minutes: u32,
    /// Minutes asked for.
    pub minutes: u32,
    /// Parts without drills.
    pub fixed: Vec<FixedPart>,
    /// The blocks, in order.
    pub blocks: Vec<Block>,
    /// The lane groups.
    pub groups: Vec<LaneGroup>,
    /// What a run of each drill is worth to each child, by runner id and drill id.
    pub worth: BTreeMap<String, BTreeMap<String, Worth>>,
    /// Labels by runner id.
    pub names: BTreeMap<String, String>,
    /// Whether the lanes stand on the floor with their stopping room.
    pub fits: bool,
    /// How much of the time children move.
    pub moving: Moving,
    /// The pace of the class's latest lesson, by which runs are reckoned; absent where too little was tapped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pace: Option<ClassPace>,
    /// What would keep them moving more, greatest effect first, at most three.
    pub more_moving: Vec<flow::Help>,
    /// What to show at the start.
    pub demonstrate: Vec<Message>,
    /// What to say.
    pub talk: Vec<Message>,
    /// Who does what, besides running.
    pub jobs: Vec<Message>,
    /// A card for a station where no adult stands.
    pub card: Vec<Message>,
    /// What to take care of, most important first.
    pub cautions: Vec<Message>,
    /// What is worth knowing about a child's contacts and growth; asks, never forbids.
    pub prompts: Vec<Message>,
    /// What the plan leaves open or rests on.
    pub notes: Vec<Message>,
    /// The lanes on the floor.
    #[serde(skip)]
    pub plan: Option<Plan>,
    /// Name and version of the method.
    pub method: String,
}

/// Some minutes in which every lane does one drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Minutes.
    pub minutes: u32,
    /// Minutes before it in which lanes are re-set; 0 when none is.
    pub change_minutes: u32,
    /// What each lane does.
    pub groups: Vec<BlockGroup>,
    /// Why this block is there, most important first.
    pub why: Vec<Message>,
    /// What the lesson would lose without it: a share of its worth, 0 to 1.
    pub share: f64,
}

/// One lane in one block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BlockGroup {
    /// Lane letter.
    pub lane: String,
    /// Which of the lane's gaps stands.
    pub setting: Setting,
    /// That gap, in metres.
    pub gap_m: f64,
    /// The main drill.
    pub drill: DrillId,
    /// Children who do an easier drill meanwhile: runner id to drill.
    pub easier: BTreeMap<String, DrillId>,
    /// Children who run over floor lines, since no drill is easy enough for them: runner ids.
    pub over_lines: Vec<String>,
    /// Runs of each child.
    pub runs_per_child: f64,
    /// Foot contacts of each child.
    pub contacts_per_child: f64,
    /// How the lane flows.
    pub flow: Flow,
    /// Who stands hurdles up, in order; labels.
    pub setters: Vec<String>,
    /// Starts for which nobody has the hands free to stand hurdles up: an adult stands in.
    pub starts_without_setter: u32,
    /// Who re-sets the lane before the block; labels, empty when it stays as it is.
    pub movers: Vec<String>,
    /// The fault to watch for.
    pub watch_for: Option<String>,
    /// The lead leg changes from run to run.
    pub lead_changes: bool,
}

/// The children of one lane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneGroup {
    /// Lane letter.
    pub lane: String,
    /// Runner ids, shortest own gap first.
    pub runners: Vec<String>,
    /// Runs per child per minute, by drill.
    pub rho: BTreeMap<String, f64>,
    /// Gap in metres, by drill.
    pub spacing_m: BTreeMap<String, f64>,
    /// Hurdles in the lane.
    pub hurdles: u32,
    /// Their height in centimetres.
    pub hurdle_height_cm: f64,
}

/// What runs of one drill are worth to one child.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Worth {
    /// Weight: 1 worked on, ½ clean already, 0 not for this child in this lesson.
    pub w: f64,
    /// Expected gain of a run, 0 to 1.
    pub e_g: f64,
    /// Expected clean rate, 0 to 1.
    pub e_c: f64,
    /// Counts as clean.
    pub clean: bool,
    /// Runs that this rests on.
    pub runs: u32,
}

/// How much of the time a child moves, on average over the class.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Moving {
    /// Minutes of running and coming back in the blocks.
    pub minutes_per_child: f64,
    /// As a share of the blocks.
    pub share_of_blocks: f64,
    /// As a share of the whole time.
    pub share_of_lesson: f64,
    /// Runs of a child, on average.
    pub runs_per_child: f64,
    /// The least that the children of a lane move: share of the blocks.
    pub least_share: f64,
}

/// What is known of one child at one drill.
struct Known {
    worth: Worth,
    /// Drills of which runs in this lesson would open it; `None` when it stays closed.
    after: Option<Vec<usize>>,
}

/// Plans a lesson.
///
/// # Errors
/// The lanes cannot be planned, no time or no drill is left, what is fixed does not go together, or a number is out of
/// its range.
pub fn lesson(input: &LessonInput) -> Result<Lesson, LessonError> {
    let model = ClassModel::learn(input.history.iter(), input.ladder, &input.decide);
    lesson_for(input, &outlook_of(input, &model))
}

/// Plans a lesson for a class that was learned before, and tells on the way how far it is: first when it has a good
/// plan.
///
/// # Errors
/// As in [`lesson`].
pub fn lesson_watched(
    input: &LessonInput,
    model: &ClassModel,
    look: &mut dyn FnMut(Progress),
) -> Result<Lesson, LessonError> {
    planned(input, &outlook_of(input, model), look)
}

/// How far the planning of a lesson is.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    /// Share of the search that is done, 0 to 1.
    pub done: f64,
    /// A plan that is better than what was told before. Its bound is infinite while none is known.
    pub better: Option<Lesson>,
}

/// What to expect of the class at every drill with hurdles.
pub(crate) fn outlook_of<'m>(input: &LessonInput, model: &'m ClassModel<'m>) -> decide::Outlook<'m> {
    let drills: Vec<&Drill> = input.ladder.drills().iter().filter(|drill| drill.gap.is_some()).collect();
    model.ways_to_expect(&drills)
}

/// What a plan goes by.
pub(crate) trait Outlook {
    /// Returns what to expect of a child at a drill.
    fn expected(&self, runner: &str, drill: &Drill) -> Expected;
    /// Returns whether the drill's key fault keeps it from counting as clean.
    fn shows_key_fault(&self, runner: &str, drill: &Drill) -> bool;
}

impl Outlook for decide::Outlook<'_> {
    fn expected(&self, runner: &str, drill: &Drill) -> Expected {
        decide::Outlook::expected(self, runner, drill)
    }

    /// Whether the last run in which technique was watched shows it.
    fn shows_key_fault(&self, runner: &str, drill: &Drill) -> bool {
        let Some(key_fault) = &drill.key_fault else { return false };
        let runs = self.model().runs_of(runner, &drill.id.0);
        let last = runs.iter().rev().find(|run| run.watched == Watched::Technique);
        last.is_some_and(|run| run.faults.contains(key_fault))
    }
}

/// Plans a lesson for a class as `outlook` expects it to be; errors as in [`lesson`].
pub(crate) fn lesson_for(input: &LessonInput, outlook: &dyn Outlook) -> Result<Lesson, LessonError> {
    planned(input, outlook, &mut |_| {})
}

fn planned(
    input: &LessonInput,
    outlook: &dyn Outlook,
    look: &mut dyn FnMut(Progress),
) -> Result<Lesson, LessonError> {
    let range = |field, provided: f64, low: f64, high: f64, allowed| {
        if (low..=high).contains(&provided) {
            Ok(())
        } else {
            Err(LessonError::Range { field, provided, allowed })
        }
    };
    range("minutes", f64::from(input.minutes), 3.0, 180.0, "3 to 180 min")?;
    range("change minutes", f64::from(input.change_minutes), 0.0, 10.0, "0 to 10 min")?;
    if let Some(blocks) = input.blocks_max {
        range("blocks", blocks as f64, 1.0, search::BLOCKS_MAX as f64, "1 to 5")?;
    }
    let fixed = input.fixed.clone().unwrap_or_else(|| usual_parts(input.use_for));
    let fixed_minutes: u32 = fixed.iter().map(|part| part.minutes).sum();
    let left = input.minutes.saturating_sub(fixed_minutes);
    if left < BLOCK_MINUTES.0 {
        return Err(LessonError::NoTime { minutes: input.minutes, fixed: fixed_minutes });
    }
    let blocks_max = input.blocks_max.unwrap_or(input.use_for.blocks_max());
    let allowed = allowed_drills(input)?;
    let (drills, known) = known_of_class(input, outlook, &allowed, blocks_max);
    if drills.is_empty() {
        return Err(LessonError::NoDrill);
    }
    let (mut drills, plan, left_out) = lanes_that_fit(input, drills)?;
    // Slow ones first: that is how blocks of the same worth are ordered.
    drills.sort_by(|a, b| a.effort.total_cmp(&b.effort));
    // Numbers of the drills among all those allowed.
    let numbers: Vec<usize> = drills
        .iter()
        .map(|drill| {
            allowed.iter().position(|known| known.id == drill.id).expect("chosen among those allowed")
        })
        .collect();
    let pace = pace::pace_of(input, &plan);
    let task = task_of(input, &plan, &drills, &numbers, &known, pace.as_ref(), left, blocks_max)?;
    let dressed = |solution: Solution| {
        dress::dressed(&dress::Undressed {
            input,
            fixed: fixed.clone(),
            drills: &drills,
            numbers: &numbers,
            known: &known,
            plan: plan.clone(),
            left_out: left_out.clone(),
            pace: pace.clone(),
            task: &task,
            solution,
        })
    };
    let solution = search::solve_watched(&task, input.steps_max, &mut |now| {
        // A plan that cannot be dressed is told as what it is once the search is over.
        let better = now.better.and_then(|solution| dressed(solution).ok());
        look(Progress { done: now.done, better });
    })?;
    Ok(dressed(solution)?)
}

/// Drills with hurdles that may stand in this lesson, slow ones first.
pub(crate) fn allowed_drills<'a>(input: &LessonInput<'a>) -> Result<Vec<&'a Drill>, LessonError> {
    for id in input
        .only
        .iter()
        .chain(&input.without)
        .chain(input.pins.iter().flat_map(|pin| pin.drill.iter().chain(pin.lanes.values())))
    {
        if input.ladder.get(&id.0).is_none_or(|drill| drill.gap.is_none()) {
            return Err(LessonError::UnknownDrill(id.clone()));
        }
    }
    // What is asked for, and what it needs; what is fixed is asked for as well.
    let mut wanted: BTreeSet<&DrillId> = input.only.iter().collect();
    if !wanted.is_empty() {
        wanted.extend(input.pins.iter().flat_map(|pin| pin.drill.iter().chain(pin.lanes.values())));
        loop {
            let needs: Vec<&DrillId> = wanted
                .iter()
                .flat_map(|id| input.ladder.get(&id.0).into_iter().flat_map(|drill| &drill.needs))
                .filter(|need| !wanted.contains(need))
                .collect();
            if needs.is_empty() {
                break;
            }
            wanted.extend(needs);
        }
    }
    let hard_floor = input.lanes.space.as_ref().is_some_and(|space| space.surface == Surface::Hard);
    let allowed: Vec<&Drill> = input
        .ladder
        .drills()
        .iter()
        .filter(|drill| drill.gap.is_some() && drill.family != Family::Free)
        .filter(|drill| wanted.is_empty() || wanted.contains(&drill.id))
        .filter(|drill| !input.without.contains(&drill.id))
        .filter(|drill| drill.walk || !hard_floor)
        .take(search::DRILLS_MAX)
        .collect();
    if allowed.is_empty() { Err(LessonError::NoDrill) } else { Ok(allowed) }
}

/// What is known of every child at every drill, and the drills that anyone can get to.
fn known_of_class<'a>(
    input: &LessonInput<'a>,
    outlook: &dyn Outlook,
    allowed: &[&'a Drill],
    blocks_max: usize,
) -> (Vec<&'a Drill>, Vec<Vec<Known>>) {
    let pinned = |drill: &Drill| {
        input.pins.iter().any(|pin| pin.drill.iter().chain(pin.lanes.values()).any(|id| *id == drill.id))
    };
    let mut reached = vec![false; allowed.len()];
    let known: Vec<Vec<Known>> = input
        .lanes
        .runners
        .iter()
        .map(|runner| {
            let easy = input.lanes.easy.contains(&runner.id);
            let own = known_of_child(input, outlook, allowed, &runner.id.0, easy);
            let depths = depths(&own);
            own.into_iter()
                .enumerate()
                .map(|(index, mut known)| {
                    if depths[index].is_some_and(|depth| depth < blocks_max) {
                        reached[index] = true;
                    } else {
                        known.worth.w = 0.0;
                    }
                    known
                })
                .collect()
        })
        .collect();
    // What is fixed comes with what a child falls back on.
    let mut fixed: BTreeSet<usize> = BTreeSet::new();
    for drill in allowed.iter().filter(|drill| pinned(drill)) {
        let ways = input.ladder.ways_down(&drill.id.0);
        fixed.extend(ways.iter().filter_map(|way| allowed.iter().position(|own| own.id == way.id)));
    }
    let chosen = chosen_drills(&known, &reached, |index| fixed.contains(&index));
    let drills = chosen.into_iter().map(|index| allowed[index]).collect();
    (drills, known)
}

/// The drills that a lesson is made up from: those worth most to the class, each with the drills that open it.
fn chosen_drills(known: &[Vec<Known>], reached: &[bool], pinned: impl Fn(usize) -> bool) -> Vec<usize> {
    let mut order: Vec<(bool, f64, usize)> = (0..reached.len())
        .filter(|index| reached[*index] || pinned(*index))
        .map(|index| {
            (pinned(index), known.iter().map(|own| own[index].worth.w * own[index].worth.e_g).sum(), index)
        })
        .collect();
    order.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(&b.2)));
    let mut chosen: BTreeSet<usize> = BTreeSet::new();
    for (is_pinned, _, index) in order {
        let mut more: BTreeSet<usize> = BTreeSet::new();
        let mut open = vec![index];
        while let Some(next) = open.pop() {
            if !chosen.contains(&next) && more.insert(next) {
                open.extend(known.iter().filter_map(|own| own[next].after.as_ref()).flatten());
            }
        }
        if is_pinned || chosen.len() + more.len() <= DRILLS_PER_LESSON {
            chosen.extend(more);
        }
    }
    chosen.into_iter().collect()
}

fn known_of_child(
    input: &LessonInput,
    outlook: &dyn Outlook,
    allowed: &[&Drill],
    runner: &str,
    easy: bool,
) -> Vec<Known> {
    let seen: Vec<(f64, f64, bool, u32)> = allowed
        .iter()
        .map(|drill| {
            let expected = outlook.expected(runner, drill);
            let e_c = expected.mean();
            let e_g = worth::expected_gain(expected.points.iter().copied());
            let clean = e_c >= CLEAN_RATE && !outlook.shows_key_fault(runner, drill);
            (e_c, e_g, clean, expected.runs)
        })
        .collect();
    allowed
        .iter()
        .zip(&seen)
        .map(|(drill, (e_c, e_g, clean, runs))| {
            // Turns are not for those who go easy today.
            let closed_today = easy && drill.contact_class == "D";
            let mut after = Vec::new();
            let mut open = !closed_today;
            for need in &drill.needs {
                match allowed.iter().position(|other| other.id == *need) {
                    Some(index) if seen[index].2 => {}
                    Some(index) if seen[index].0 >= OPENS_RATE => after.push(index),
                    Some(_) => open = false,
                    // A drill that was taken out of the lesson: only what was seen counts.
                    None => {
                        let clean = input.ladder.get(&need.0).is_none_or(|need| {
                            outlook.expected(runner, need).mean() >= CLEAN_RATE
                                && !outlook.shows_key_fault(runner, need)
                        });
                        open &= clean;
                    }
                }
            }
            let weight = if *clean { REVIEW_WEIGHT } else { 1.0 };
            Known {
                worth: Worth {
                    w: if open { weight } else { 0.0 },
                    e_g: *e_g,
                    e_c: *e_c,
                    clean: *clean,
                    runs: *runs,
                },
                after: open.then_some(after),
            }
        })
        .collect()
}

/// In how many blocks at least each drill could be opened; `None` for never.
fn depths(known: &[Known]) -> Vec<Option<usize>> {
    let mut depths: Vec<Option<usize>> = vec![None; known.len()];
    // Every round settles at least one more drill, or nothing changes any more.
    for _ in 0..known.len() {
        for (index, own) in known.iter().enumerate() {
            let Some(after) = &own.after else { continue };
            let needs: Option<Vec<usize>> = after.iter().map(|need| depths[*need]).collect();
            if let Some(needs) = needs {
                depths[index] = Some(needs.into_iter().map(|depth| depth + 1).max().unwrap_or(0));
            }
        }
    }
    depths
}

/// Hurdles that a lane is tried with where it is too long for the floor with as many as there are. Engineering
/// assumption: fewer than four show no rhythm.
const FEWER_HURDLES: [u32; 3] = [6, 5, 4];

/// The lanes for as many of the drills as stand on the floor together, and the drills that had to stay out.
///
/// Drills are left out before hurdles are: what runs is missed less than what stands idle. Where no set of drills
/// stands at all, the lanes of all of them come back, and say what is missing.
fn lanes_that_fit<'a>(
    input: &LessonInput,
    drills: Vec<&'a Drill>,
) -> Result<(Vec<&'a Drill>, Plan, Vec<DrillId>), LessonError> {
    // What asks most of a floor goes first: running both ways, a clear strip beside the lane, running, the long gap.
    let keeps: [fn(&Drill) -> bool; 6] = [
        |_| true,
        |drill| !drill.both_ways || drill.walk,
        |drill| !drill.both_ways,
        |drill| !drill.both_ways && (!drill.needs_side_strip() || drill.walk),
        |drill| !drill.both_ways && drill.walk,
        |drill| drill.walk && drill.gap.as_ref().is_some_and(|gap| gap.setting == Setting::Short),
    ];
    let pinned: BTreeSet<&DrillId> =
        input.pins.iter().flat_map(|pin| pin.drill.iter().chain(pin.lanes.values())).collect();
    let asked = input.lanes.hurdles_per_lane_max;
    let fewer = FEWER_HURDLES.into_iter().filter(|most| asked.is_none_or(|asked| *most < asked)).map(Some);
    let mut first = None;
    for (most, keep) in iter::once(asked).chain(fewer).flat_map(|most| keeps.map(|keep| (most, keep))) {
        let kept: Vec<&Drill> =
            drills.iter().filter(|drill| keep(drill) || pinned.contains(&drill.id)).copied().collect();
        if kept.is_empty() {
            continue;
        }
        // The main drill orders the lanes: one on the long gap, where there is one.
        let mut ordered: Vec<Drill> = kept.iter().map(|drill| (*drill).clone()).collect();
        ordered.sort_by_key(|drill| drill.gap.as_ref().map(|gap| gap.setting));
        let ask =
            PlanInput { drills: ordered, effort: None, hurdles_per_lane_max: most, ..input.lanes.clone() };
        let planned = plan(&ask)?;
        if planned.fits {
            let left_out = drills.iter().filter(|drill| !kept.iter().any(|known| known.id == drill.id));
            let left_out = left_out.map(|drill| drill.id.clone()).collect();
            return Ok((kept, planned, left_out));
        }
        first.get_or_insert((kept, planned, Vec::new()));
    }
    Ok(first.expect("the first attempt keeps all drills"))
}

#[allow(clippy::too_many_arguments, reason = "each is a part of the question")]
fn task_of(
    input: &LessonInput,
    plan: &Plan,
    drills: &[&Drill],
    numbers: &[usize],
    known: &[Vec<Known>],
    pace: Option<&ClassPace>,
    minutes: u32,
    blocks_max: usize,
) -> Result<Task, LessonError> {
    let mut groups = Vec::with_capacity(plan.lanes.len());
    for lane in &plan.lanes {
        let members = members(input, plan, &lane.lane);
        let factor = pace.map_or(1.0, |pace| pace.factor_of(&lane.lane));
        let mut setting = Vec::with_capacity(drills.len());
        let mut rho = Vec::with_capacity(drills.len());
        for (drill, number) in drills.iter().zip(numbers) {
            let own = lane.settings.iter().find(|own| own.drills.contains(&drill.id));
            // Where long and short are the same gap there is nothing to re-set between them.
            let place = own.and_then(|own| lane.settings.iter().position(|other| other.gap_m == own.gap_m));
            setting.push(place.map(|place| place as u32));
            let clean = mean(members.iter().map(|child| known[*child][*number].worth.e_c));
            let ask = lane_flow(input, lane, drill, members.len() as u32, clean);
            rho.push(match ask {
                Some(ask) => flow::flow(&ask, &input.paces)?.slowed(factor).runs_per_min,
                None => 0.0,
            });
        }
        let children = members
            .iter()
            .map(|child| ChildTask {
                worth: numbers
                    .iter()
                    .map(|number| known[*child][*number].worth.w * known[*child][*number].worth.e_g)
                    .collect(),
                ways: drills
                    .iter()
                    .enumerate()
                    .map(|(main, drill)| {
                        ways(input.ladder, drill, setting[main], &setting, drills, numbers, &known[*child])
                    })
                    .collect(),
            })
            .collect();
        groups.push(GroupTask { setting, rho, children });
    }
    Ok(Task {
        minutes,
        change_minutes: input.change_minutes,
        blocks_max,
        block_min: BLOCK_MINUTES.0,
        block_max: BLOCK_MINUTES.1,
        mains_max: (input.lanes.adults.max(1) * MAINS_PER_ADULT) as usize,
        runs_scale: RUNS_SCALE,
        runs_to_open: RUNS_TO_OPEN,
        drills: drills.len(),
        groups,
        pins: pins(input, plan, drills)?,
    })
}

/// What a child may do while a drill is on: the drill, or what it falls back on in the same setting.
fn ways(
    ladder: &Ladder,
    main: &Drill,
    main_setting: Option<u32>,
    setting: &[Option<u32>],
    drills: &[&Drill],
    numbers: &[usize],
    known: &[Known],
) -> Vec<Way> {
    let Some(main_setting) = main_setting else { return Vec::new() };
    ladder
        .ways_down(&main.id.0)
        .into_iter()
        .filter_map(|way| {
            let index = drills.iter().position(|drill| drill.id == way.id)?;
            if setting[index] != Some(main_setting) {
                return None;
            }
            let after = known[numbers[index]].after.as_ref()?;
            // A need that is no drill of this lesson cannot be run in it.
            let after: Option<Vec<usize>> =
                after.iter().map(|need| numbers.iter().position(|number| number == need)).collect();
            Some(Way { drill: index, after: after? })
        })
        .collect()
}

fn pins(input: &LessonInput, plan: &Plan, drills: &[&Drill]) -> Result<Vec<Pin>, LessonError> {
    let number = |id: &DrillId| {
        drills.iter().position(|drill| drill.id == *id).ok_or_else(|| LessonError::UnknownDrill(id.clone()))
    };
    input
        .pins
        .iter()
        .map(|pin| {
            let everywhere = pin.drill.as_ref().map(&number).transpose()?;
            let mut chosen = vec![everywhere; plan.lanes.len()];
            for (lane, drill) in &pin.lanes {
                let index = plan.lanes.iter().position(|known| known.lane.eq_ignore_ascii_case(lane));
                let index = index.ok_or_else(|| LessonError::UnknownLane(lane.clone()))?;
                chosen[index] = Some(number(drill)?);
            }
            Ok(Pin { block: pin.block, minutes: pin.minutes, drills: chosen })
        })
        .collect()
}

/// Indices of a lane's children in the class, shortest own gap first.
fn members(input: &LessonInput, plan: &Plan, lane: &str) -> Vec<usize> {
    let mut members: Vec<(f64, usize)> = plan
        .runners
        .iter()
        .filter(|runner| runner.lane == lane)
        .filter_map(|runner| {
            let index = input.lanes.runners.iter().position(|own| own.id == runner.id)?;
            Some((runner.spacing_m.median, index))
        })
        .collect();
    members.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    members.into_iter().map(|(_, index)| index).collect()
}

/// One lane under one drill, for the flow; `None` when the lane does not hold the drill.
fn lane_flow(
    input: &LessonInput,
    lane: &lanewright_model::plan::PlannedLane,
    drill: &Drill,
    children: u32,
    clean_rate: f64,
) -> Option<LaneFlow> {
    let gap_m = lane.settings.iter().find(|own| own.drills.contains(&drill.id))?.gap_m;
    let contacts = RunSteps::of(drill, RUN_ON_CONTACTS)?;
    let steps_hz = if drill.walk { WALK_STEPS_HZ } else { RUN_STEPS_HZ };
    let (run_up_m, exit_m, run_out_m) = if drill.walk {
        (WALK_RUN_UP_M, WALK_EXIT_M, WALK_OUT_M)
    } else {
        (lane.run_up_m, lane.parts.exit_m, lane.parts.stopping_m)
    };
    Some(LaneFlow {
        children,
        run_up_m,
        hurdles: lane.hurdles,
        gap_m,
        exit_m,
        run_out_m,
        speed_mps: gap_m / f64::from(contacts.per_gap.max(1)) * steps_hz,
        lag_s: input.paces.lag_s(drill.walk),
        clean_rate,
        start: StartRule::Clear,
        walk_back: !drill.both_ways,
        contacts,
    })
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values {
        sum += value;
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

#[cfg(test)]
mod tests;
