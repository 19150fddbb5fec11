//! The unit: several lessons ahead, with the spread of what may come.
//!
//! [`unit`] plans the next lesson, follows many samples of the class through it, plans the one after on what is then
//! expected, and so on to the last date. It is asked again after every lesson, with what happened in it. Method page:
//! `docs/methods/unit.md`.

mod learning;
mod says;

use std::collections::BTreeMap;

use jiff::civil::Date;
use lanewright_model::Estimate;
use lanewright_model::drill::{Drill, DrillId, Family};
use lanewright_model::run::Observation;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use crate::decide::{ClassModel, Expected, needed_rate};
use crate::lesson::{self, CLEAN_RATE, Lesson, LessonError, LessonInput, Outlook, PinAsk};
use crate::seeded::Seeded;

pub use learning::{
    CHILD_SD_LN, CLASS_SD_LN, CLASS_START_SD, DAY_SD, DRILL_START_SD, GAIN_PER_RUN, LESSONS_TO_LEARN,
    LOSS_DAYS, LOSS_MOST, RUNS_60_TO_88, loss,
};
use learning::{Learned, Skill, day_of};

/// Name and version of the method.
pub const METHOD: &str = "unit/1";
/// Fewest and most lessons of a unit.
pub const LESSONS: (usize, usize) = (1, 12);
/// Fewest and most samples of the class.
pub const DRAWS: (usize, usize) = (20, 2_000);
/// Samples that are usual: the share of children clean at a drill is then known to about 3 points at worst.
pub const DRAWS_USUAL: usize = 200;
/// Days without a lesson after which the next one starts with a check (engineering assumption; a week left out is no
/// break yet).
pub const BREAK_DAYS: i64 = 14;
/// Minutes of that check (engineering assumption: two or three runs of each child).
pub const CHECK_MINUTES: u32 = 4;
/// Expected clean rate from which a drill suits a check (engineering assumption).
pub const CHECK_RATE: f64 = 0.80;
/// Steps that the search for a later lesson may take: those plans are sketches, made anew when their day comes.
pub const SKETCH_STEPS_MAX: u64 = 200_000;
/// Samples that stand for the class when a later lesson is planned.
const OUTLOOK_POINTS: usize = 50;

/// Everything that a unit follows from.
#[derive(Debug, Clone)]
pub struct UnitInput<'a> {
    /// The next lesson, with what was seen of the class so far. Its day is replaced by each date in turn; pins hold for
    /// the next lesson only.
    pub lesson: LessonInput<'a>,
    /// The days of the lessons, 1 to 12, earliest first. Holidays are the dates left out.
    pub dates: Vec<Date>,
    /// Samples of the class, 20 to 2000; [`DRAWS_USUAL`].
    pub draws: usize,
    /// Seed of the samples: the same seed gives the same unit.
    pub seed: u64,
}

/// Why there is no unit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum UnitError {
    /// A lesson cannot be planned.
    #[error("lesson {number}: {error}")]
    Lesson {
        /// Which, from 1.
        number: usize,
        /// Why.
        error: LessonError,
    },
    /// Too few or too many lessons.
    #[error("{0} lessons; a unit has 1 to 12")]
    Lessons(usize),
    /// Dates are not in order.
    #[error("{after} does not come after {before}; give the dates of the lessons in order")]
    Order {
        /// The date before.
        before: Date,
        /// The date that should be later.
        after: Date,
    },
    /// Too few or too many samples.
    #[error("{0} draws; allowed are 20 to 2000")]
    Draws(usize),
}

impl UnitError {
    /// Returns what to say to the coach.
    pub fn message(&self) -> Message {
        match self {
            Self::Lesson { number, error } => Message::new("unit-error-lesson")
                .with("number", Arg::Count(*number as i64))
                .with("why", Arg::Say(Box::new(error.message()))),
            Self::Lessons(count) => {
                Message::new("unit-error-lessons").with("count", Arg::Count(*count as i64))
            }
            Self::Order { before, after } => Message::new("unit-error-order")
                .text("before", before.to_string())
                .text("after", after.to_string()),
            Self::Draws(count) => Message::new("unit-error-draws").with("count", Arg::Count(*count as i64)),
        }
    }
}

/// A share from 0 to 1 over the samples: mean and the shortest ranges that hold about 80 and 90 % of them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Mean.
    pub mean: f64,
    /// Low end of the 80 % range.
    pub low_80: f64,
    /// High end of the 80 % range.
    pub high_80: f64,
    /// Low end of the 90 % range.
    pub low_90: f64,
    /// High end of the 90 % range.
    pub high_90: f64,
}

/// Several lessons ahead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Unit {
    /// The lessons, in order.
    pub lessons: Vec<UnitLesson>,
    /// When each child's next drill is expected to open, in the order of the class.
    pub children: Vec<ChildAhead>,
    /// How fast the class learns.
    pub learning: LearningRate,
    /// What it rests on and leaves open.
    pub notes: Vec<Message>,
    /// The next lesson in full.
    #[serde(skip)]
    pub next: Option<Lesson>,
    /// Samples of the class.
    pub draws: usize,
    /// Their seed.
    pub seed: u64,
    /// Name and version of the method.
    pub method: String,
}

/// One lesson of a unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnitLesson {
    /// Its day.
    pub date: Date,
    /// Days since the lesson before; absent when the class has not run yet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days_since: Option<i64>,
    /// The first block is a check after a break.
    pub check_first: bool,
    /// What is planned.
    pub blocks: Vec<UnitBlock>,
    /// Share of the children whose clean rate is at least [`CLEAN_RATE`] after the lesson, by drill, for all drills
    /// that were run by then.
    pub clean: BTreeMap<String, Spread>,
    /// Children whose run is expected to be clean enough for an exit sprint or more speed, by drill: runner ids.
    pub exit_sprint: BTreeMap<String, Vec<String>>,
    /// Runs of a child, on average over the class.
    pub runs_per_child: f64,
    /// Foot contacts of a child, on average over the class.
    pub contacts_per_child: f64,
    /// Share of the hurdles that stand, per child and drill of this lesson.
    pub expected: Vec<Expectation>,
}

/// Some minutes of one lesson.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnitBlock {
    /// Minutes.
    pub minutes: u32,
    /// Main drill of each lane, by lane letter.
    pub drills: BTreeMap<String, DrillId>,
}

/// What a child's runs of a drill in one lesson are expected to show.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Expectation {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Runs.
    pub runs: u32,
    /// Hurdles of a run.
    pub hurdles: u32,
    /// Share of the hurdles that stand after the runs.
    pub standing: Spread,
}

/// What lies ahead of one child.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChildAhead {
    /// Runner id.
    pub runner: String,
    /// Label.
    pub name: String,
    /// The next drill that is not open yet; absent when all are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<DrillId>,
    /// Lesson, from 1, by whose start it is open in 10 % of the samples; absent when that is after the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub earliest: Option<usize>,
    /// The same for 50 %.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub middle: Option<usize>,
    /// The same for 90 %.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub latest: Option<usize>,
    /// Share of the samples in which it is open after the last lesson.
    pub within_unit: f64,
}

/// How fast a class learns.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LearningRate {
    /// Runs that take its typical child from 60 to 88 % of the hurdles standing; `n` counts runs seen.
    pub runs_60_to_88: Estimate,
    /// Days on which the class ran.
    pub lessons: usize,
    /// The class's own runs count; else it is the documented rate with its spread.
    pub own: bool,
}

/// Runs of a child at a drill that are asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct RunsAhead {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// Runs, at least 1.
    pub runs: u32,
    /// Hurdles of a run, at least 1.
    pub hurdles: u32,
}

/// Plans several lessons.
///
/// # Errors
/// A number or the order of the dates is wrong, or a lesson cannot be planned.
pub fn unit(input: &UnitInput) -> Result<Unit, UnitError> {
    unit_watched(input, &mut |_| {})
}

/// Plans several lessons and tells on the way how many are planned.
///
/// # Errors
/// As in [`unit`].
pub fn unit_watched(input: &UnitInput, look: &mut dyn FnMut(usize)) -> Result<Unit, UnitError> {
    let ahead = input.dates.len();
    if !(LESSONS.0..=LESSONS.1).contains(&ahead) {
        return Err(UnitError::Lessons(ahead));
    }
    if !(DRAWS.0..=DRAWS.1).contains(&input.draws) {
        return Err(UnitError::Draws(input.draws));
    }
    for pair in input.dates.windows(2) {
        if pair[1] <= pair[0] {
            return Err(UnitError::Order { before: pair[0], after: pair[1] });
        }
    }
    let of_lesson = |number: usize| move |error| UnitError::Lesson { number, error };
    let drills = lesson::allowed_drills(&input.lesson).map_err(of_lesson(1))?;
    let runners: Vec<&str> = input.lesson.lanes.runners.iter().map(|runner| runner.id.0.as_str()).collect();
    let model = model_of(&input.lesson);
    let learned = Learned::new(&input.lesson, &model, &runners, &drills);
    let mut class = Class::new(&learned, &runners, &drills, day_of(input.dates[0]), input.draws, input.seed);
    let last = last_day(input.lesson.history);
    class.run_before = input.lesson.history.iter().filter_map(|seen| drill_of(seen, &drills)).fold(
        vec![false; drills.len()],
        |mut run, drill| {
            run[drill] = true;
            run
        },
    );
    let next_drills = class.next_drills();
    let mut opens: Vec<Vec<Option<usize>>> = vec![vec![None; runners.len()]; input.draws];
    let mut lessons = Vec::with_capacity(ahead);
    let mut next = None;
    let mut before = last;
    for (index, date) in input.dates.iter().enumerate() {
        let day = day_of(*date);
        let days_since = before.map(|before| day - before);
        if index > 0 {
            class.rest((day - day_of(input.dates[index - 1])) as f64);
        }
        class.note_open(&next_drills, &mut opens, index);
        let check = if days_since.is_some_and(|days| days > BREAK_DAYS) { class.check_drill() } else { None };
        let mut ask = input.lesson.clone();
        ask.lanes.today = *date;
        let planned = if index == 0 {
            planned(&mut ask, &lesson::outlook_of(&input.lesson, &model), check)
        } else {
            ask.pins.clear();
            ask.steps_max = ask.steps_max.min(SKETCH_STEPS_MAX);
            planned(&mut ask, &class.outlook(), check)
        };
        let (plan, check_first) = planned.map_err(of_lesson(index + 1))?;
        let exit_sprint = class.exit_sprint();
        let asked = class.asked(&plan);
        let expected = class.follow(&asked);
        lessons.push(UnitLesson {
            date: *date,
            days_since,
            check_first,
            blocks: plan
                .blocks
                .iter()
                .map(|block| UnitBlock {
                    minutes: block.minutes,
                    drills: block
                        .groups
                        .iter()
                        .map(|group| (group.lane.clone(), group.drill.clone()))
                        .collect(),
                })
                .collect(),
            clean: class.clean(),
            exit_sprint,
            runs_per_child: plan.moving.runs_per_child,
            contacts_per_child: contacts_per_child(&plan),
            expected,
        });
        next.get_or_insert(plan);
        before = Some(day);
        look(index + 1);
    }
    // What opened in the last lesson counts as open after it.
    class.note_open(&next_drills, &mut opens, ahead);
    let children = input
        .lesson
        .lanes
        .runners
        .iter()
        .enumerate()
        .map(|(child, runner)| {
            let next = next_drills[child].map(|drill| drills[drill].id.clone());
            ahead_of(&runner.id.0, &runner.label, next, opens.iter().map(|draw| draw[child]), ahead)
        })
        .collect();
    let learning = learning_rate(&learned, input.lesson.history);
    let notes = says::notes(&learning, ahead);
    Ok(Unit {
        lessons,
        children,
        learning,
        notes,
        next,
        draws: input.draws,
        seed: input.seed,
        method: METHOD.to_owned(),
    })
}

/// Returns what the runs of a coming lesson are expected to show, given what was seen before.
///
/// What is asked about children or drills that are not there is left out. The same seed gives the same answer.
pub fn expect_runs(
    input: &LessonInput,
    date: Date,
    asked: &[RunsAhead],
    draws: usize,
    seed: u64,
) -> Vec<Expectation> {
    let drills: Vec<&Drill> = hurdle_drills(input);
    let runners: Vec<&str> = input.lanes.runners.iter().map(|runner| runner.id.0.as_str()).collect();
    let learned = Learned::new(input, &model_of(input), &runners, &drills);
    let mut class =
        Class::new(&learned, &runners, &drills, day_of(date), draws.clamp(DRAWS.0, DRAWS.1), seed);
    let asked: Vec<Asked> = asked
        .iter()
        .filter_map(|asked| {
            Some(Asked {
                child: runners.iter().position(|id| *id == asked.runner)?,
                drill: drills.iter().position(|drill| drill.id.0 == asked.drill)?,
                runs: asked.runs.max(1),
                hurdles: asked.hurdles.max(1),
            })
        })
        .collect();
    class.follow(&asked)
}

/// Returns how fast a class learns, from its runs so far.
pub fn learning_of(input: &LessonInput) -> LearningRate {
    let drills: Vec<&Drill> = hurdle_drills(input);
    let runners: Vec<&str> = input.lanes.runners.iter().map(|runner| runner.id.0.as_str()).collect();
    let learned = Learned::new(input, &model_of(input), &runners, &drills);
    learning_rate(&learned, input.history)
}

fn model_of<'a>(input: &LessonInput<'a>) -> ClassModel<'a> {
    ClassModel::learn(input.history.iter(), input.ladder, &input.decide)
}

fn hurdle_drills<'a>(input: &LessonInput<'a>) -> Vec<&'a Drill> {
    let drills = input.ladder.drills().iter();
    drills.filter(|drill| drill.gap.is_some() && drill.family != Family::Free).collect()
}

fn learning_rate(learned: &Learned, history: &[Observation]) -> LearningRate {
    let runs = |p: f64| RUNS_60_TO_88 * libm::exp(-learned.rate_quantile(p));
    let own = learned.lessons >= LESSONS_TO_LEARN;
    let seen = history.iter().filter(|seen| matches!(seen, Observation::Run(_))).count() as u32;
    LearningRate {
        runs_60_to_88: Estimate {
            median: runs(0.5),
            low: runs(0.95),
            high: runs(0.05),
            n: if own { seen } else { 0 },
            method: METHOD.to_owned(),
        },
        lessons: learned.lessons,
        own,
    }
}

/// Plans one lesson, with a check first where there is a drill for it and room for the block.
fn planned(
    ask: &mut LessonInput,
    outlook: &dyn Outlook,
    check: Option<DrillId>,
) -> Result<(Lesson, bool), LessonError> {
    if let Some(drill) = check.filter(|_| ask.pins.iter().all(|pin| pin.block != 0)) {
        let pins = ask.pins.clone();
        let minutes = Some(CHECK_MINUTES);
        ask.pins.push(PinAsk { block: 0, minutes, drill: Some(drill), ..PinAsk::default() });
        if let Ok(lesson) = lesson::lesson_for(ask, outlook) {
            return Ok((lesson, true));
        }
        ask.pins = pins;
    }
    Ok((lesson::lesson_for(ask, outlook)?, false))
}

/// Runs of a child at a drill, by number.
struct Asked {
    child: usize,
    drill: usize,
    runs: u32,
    hurdles: u32,
}

/// The samples of a class, from lesson to lesson.
struct Class<'a> {
    learned: &'a Learned,
    runners: &'a [&'a str],
    drills: &'a [&'a Drill],
    /// draws\[draw\]\[child\]\[drill\]
    draws: Vec<Vec<Vec<Skill>>>,
    run_before: Vec<bool>,
    numbers: Seeded,
}

impl<'a> Class<'a> {
    fn new(
        learned: &'a Learned,
        runners: &'a [&'a str],
        drills: &'a [&'a Drill],
        today: i64,
        draws: usize,
        seed: u64,
    ) -> Self {
        let mut numbers = Seeded(seed);
        let draws = (0..draws).map(|_| learned.draw(today, &mut numbers)).collect();
        Self { learned, runners, drills, draws, run_before: vec![false; drills.len()], numbers }
    }

    fn rest(&mut self, days: f64) {
        for skill in self.draws.iter_mut().flatten().flatten() {
            skill.rest(days);
        }
    }

    /// Mean clean rate of a child at a drill.
    fn mean(&self, child: usize, drill: usize) -> f64 {
        self.draws.iter().map(|draw| draw[child][drill].rate()).sum::<f64>() / self.draws.len() as f64
    }

    fn outlook(&self) -> Samples<'_> {
        Samples { class: self }
    }

    /// The first drill of each child that is not open while what its needs need is.
    fn next_drills(&self) -> Vec<Option<usize>> {
        let number = |id: &DrillId| self.drills.iter().position(|drill| drill.id == *id);
        (0..self.runners.len())
            .map(|child| {
                let is_open = |drill: usize| {
                    let mut needs = self.drills[drill].needs.iter().filter_map(number);
                    needs.all(|need| self.mean(child, need) >= CLEAN_RATE)
                };
                (0..self.drills.len()).find(|drill| {
                    let mut needs = self.drills[*drill].needs.iter().filter_map(number);
                    !is_open(*drill) && needs.all(is_open)
                })
            })
            .collect()
    }

    /// Notes, in each sample, who has all that the next drill needs at the start of lesson `index`.
    fn note_open(&self, next: &[Option<usize>], opens: &mut [Vec<Option<usize>>], index: usize) {
        for (draw, opens) in self.draws.iter().zip(opens) {
            for (child, (next, opens)) in next.iter().zip(opens).enumerate() {
                let (Some(next), None) = (next, &opens) else { continue };
                let needs = self.drills[*next].needs.iter();
                let mut needs =
                    needs.filter_map(|need| self.drills.iter().position(|drill| drill.id == *need));
                if needs.all(|need| draw[child][need].rate() >= CLEAN_RATE) {
                    *opens = Some(index);
                }
            }
        }
    }

    /// The drill for a check: the hardest that was run and that half of the children do well, or else the first run.
    fn check_drill(&self) -> Option<DrillId> {
        let suits = |drill: &usize| {
            let well =
                (0..self.runners.len()).filter(|child| self.mean(*child, *drill) >= CHECK_RATE).count();
            2 * well >= self.runners.len()
        };
        let run = || (0..self.drills.len()).filter(|drill| self.run_before[*drill]);
        let chosen = run().rev().find(suits).or_else(|| run().next())?;
        Some(self.drills[chosen].id.clone())
    }

    /// Who runs clean enough for an exit sprint or more speed, by running drill that was run before.
    fn exit_sprint(&self) -> BTreeMap<String, Vec<String>> {
        let mut ready = BTreeMap::new();
        for (index, drill) in self.drills.iter().enumerate() {
            if drill.walk || drill.both_ways || !self.run_before[index] {
                continue;
            }
            let needed = needed_rate(Some(drill), None, false);
            let who: Vec<String> = (0..self.runners.len())
                .filter(|child| self.mean(*child, index) >= needed)
                .map(|child| self.runners[child].to_owned())
                .collect();
            if !who.is_empty() {
                ready.insert(drill.id.0.clone(), who);
            }
        }
        ready
    }

    /// Whole runs of each child at each drill of a lesson.
    fn asked(&self, lesson: &Lesson) -> Vec<Asked> {
        let mut runs: BTreeMap<(usize, usize), (f64, u32)> = BTreeMap::new();
        for block in &lesson.blocks {
            for (own, group) in block.groups.iter().zip(&lesson.groups) {
                for runner in &group.runners {
                    let done = own.easier.get(runner).unwrap_or(&own.drill);
                    let child = self.runners.iter().position(|known| known == runner);
                    let drill = self.drills.iter().position(|drill| drill.id == *done);
                    // On the spot and over floor lines nothing falls, and nothing is learned that shows here.
                    let (Some(child), Some(drill), false) = (child, drill, own.over_lines.contains(runner))
                    else {
                        continue;
                    };
                    let rho = group.rho.get(&done.0).copied().unwrap_or(0.0);
                    let entry = runs.entry((child, drill)).or_insert((0.0, group.hurdles));
                    entry.0 += rho * f64::from(block.minutes);
                }
            }
        }
        runs.into_iter()
            .map(|((child, drill), (runs, hurdles))| Asked {
                child,
                drill,
                runs: libm::round(runs) as u32,
                hurdles,
            })
            .filter(|asked| asked.runs > 0)
            .collect()
    }

    /// Follows every sample through the runs.
    fn follow(&mut self, asked: &[Asked]) -> Vec<Expectation> {
        let mut standing: Vec<Vec<f64>> = vec![Vec::with_capacity(self.draws.len()); asked.len()];
        for draw in &mut self.draws {
            for (asked, standing) in asked.iter().zip(&mut standing) {
                let skill = &mut draw[asked.child][asked.drill];
                let (met, stood) = self.learned.run(skill, asked.runs, asked.hurdles, &mut self.numbers);
                standing.push(f64::from(stood) / f64::from(met));
            }
        }
        for asked in asked {
            self.run_before[asked.drill] = true;
        }
        asked
            .iter()
            .zip(standing)
            .map(|(asked, standing)| Expectation {
                runner: self.runners[asked.child].to_owned(),
                drill: self.drills[asked.drill].id.0.clone(),
                runs: asked.runs,
                hurdles: asked.hurdles,
                standing: spread(standing),
            })
            .collect()
    }

    /// Share of the children that are clean, by drill that was run.
    fn clean(&self) -> BTreeMap<String, Spread> {
        (0..self.drills.len())
            .filter(|drill| self.run_before[*drill])
            .map(|drill| {
                let shares = self
                    .draws
                    .iter()
                    .map(|draw| {
                        let clean = draw.iter().filter(|child| child[drill].rate() >= CLEAN_RATE).count();
                        clean as f64 / draw.len() as f64
                    })
                    .collect();
                (self.drills[drill].id.0.clone(), spread(shares))
            })
            .collect()
    }
}

/// What the samples expect, for planning a later lesson. Technique is not simulated: only clean rates count.
struct Samples<'a> {
    class: &'a Class<'a>,
}

impl Outlook for Samples<'_> {
    fn expected(&self, runner: &str, drill: &Drill) -> Expected {
        let child = self.class.runners.iter().position(|known| *known == runner);
        let number = self.class.drills.iter().position(|known| known.id == drill.id);
        let (Some(child), Some(number)) = (child, number) else {
            // A drill that was taken out of the unit stays as hard as documented.
            return Expected { points: vec![(drill.first_clean_rate, 1.0)], runs: 0 };
        };
        let draws = &self.class.draws;
        let points = draws.len().min(OUTLOOK_POINTS);
        let rates = (0..points).map(|point| draws[point * draws.len() / points][child][number].rate());
        Expected { points: rates.map(|rate| (rate, 1.0 / points as f64)).collect(), runs: 0 }
    }

    fn shows_key_fault(&self, _runner: &str, _drill: &Drill) -> bool {
        false
    }
}

fn drill_of(observation: &Observation, drills: &[&Drill]) -> Option<usize> {
    let id = match observation {
        Observation::Run(run) => &run.drill,
        Observation::Sweep(sweep) => &sweep.drill,
        Observation::Bout(_) => return None,
    };
    drills.iter().position(|drill| drill.id.0 == *id)
}

/// The last day of the history, counted as [`day_of`] counts.
fn last_day(history: &[Observation]) -> Option<i64> {
    history
        .iter()
        .filter_map(|seen| match seen {
            Observation::Run(run) => Some(run.at),
            Observation::Sweep(sweep) => Some(sweep.at),
            Observation::Bout(_) => None,
        })
        .max()
        .map(|at| at.as_second().div_euclid(86_400))
}

fn contacts_per_child(lesson: &Lesson) -> f64 {
    let (mut contacts, mut children) = (0.0, 0.0);
    for group in &lesson.groups {
        children += group.runners.len() as f64;
    }
    for block in &lesson.blocks {
        for (own, group) in block.groups.iter().zip(&lesson.groups) {
            contacts += own.contacts_per_child * group.runners.len() as f64;
        }
    }
    contacts / f64::max(children, 1.0)
}

fn ahead_of(
    runner: &str,
    name: &str,
    next: Option<DrillId>,
    opens: impl Iterator<Item = Option<usize>>,
    lessons: usize,
) -> ChildAhead {
    // Lessons are counted from 1; what never opens sorts last.
    let mut opens: Vec<usize> = opens.map(|opens| opens.map_or(usize::MAX, |index| index + 1)).collect();
    opens.sort_unstable();
    let at = |p: f64| {
        let place = (p * opens.len() as f64) as usize;
        opens.get(place.min(opens.len() - 1)).copied().filter(|number| next.is_some() && *number <= lessons)
    };
    let (earliest, middle, latest) = (at(0.1), at(0.5), at(0.9));
    let within = opens.iter().filter(|number| **number != usize::MAX).count() as f64 / opens.len() as f64;
    ChildAhead {
        runner: runner.to_owned(),
        name: name.to_owned(),
        within_unit: if next.is_some() { within } else { 0.0 },
        next,
        earliest,
        middle,
        latest,
    }
}

/// Mean, the shortest range that holds about 90 % of the samples, and in it the one that holds about 80 % of all.
///
/// Shares come in steps and pile up at 1: a range between two percentiles would there hold more than it says. Of the
/// shortest range that holds enough and the same without its lower or upper end, the one nearest to its word stands.
fn spread(mut values: Vec<f64>) -> Spread {
    values.sort_by(f64::total_cmp);
    let nine = nearest(&values, 0.9 * values.len() as f64);
    let eight = nearest(nine, 0.8 * values.len() as f64);
    Spread {
        mean: values.iter().sum::<f64>() / values.len() as f64,
        low_80: eight[0],
        high_80: eight[eight.len() - 1],
        low_90: nine[0],
        high_90: nine[nine.len() - 1],
    }
}

/// The short range of sorted values whose number of values, equal ones included, is nearest to `wanted`.
fn nearest(values: &[f64], wanted: f64) -> &[f64] {
    let count = (libm::ceil(wanted - 1e-9) as usize).clamp(1, values.len());
    let found = shortest(values, count);
    let (low, high) = (found[0], found[count - 1]);
    // Everything equal to an end belongs to the range.
    let start = values.partition_point(|value| *value < low);
    let end = values.partition_point(|value| *value <= high);
    let without_low = values.partition_point(|value| *value <= low);
    let without_high = values.partition_point(|value| *value < high);
    let miss = |range: &(usize, usize)| (range.1 as f64 - range.0 as f64 - wanted).abs();
    let mut best = (start, end);
    for other in [(without_low, end), (start, without_high)] {
        if other.1 > other.0 && miss(&other) < miss(&best) {
            best = other;
        }
    }
    &values[best.0..best.1]
}

/// The shortest run of `count` sorted values; of equal ones, the most central.
fn shortest(values: &[f64], count: usize) -> &[f64] {
    let mut best = &values[..count];
    let mut best_key = (f64::INFINITY, usize::MAX);
    for (start, own) in values.windows(count).enumerate() {
        let left = values.len() - count - start;
        let key = (own[count - 1] - own[0], left.abs_diff(start));
        if key.0 < best_key.0 - 1e-12 || (key.0 < best_key.0 + 1e-12 && key.1 < best_key.1) {
            best_key = key;
            best = own;
        }
    }
    best
}

#[cfg(test)]
mod tests;
