//! Planning beside the page: what the page asks of its worker, and what the worker tells.
//!
//! Both run the same program; between them goes text. The worker keeps nothing: what it learned of the class it tells,
//! and the page gives it back with the next question, so that a worker may be ended at any moment.

use jiff::Timestamp;
use jiff::civil::Date;
use lanewright_model::plan::Plan;
use lanewright_model::run::{Observation, Run};
use lanewright_model::{Arg, Ladder, Message};
use lanewright_science::cause::cause;
use lanewright_science::decide::{ClassModel, Known, Options};
use lanewright_science::lesson::{
    CHANGE_BY_TAPE_MIN, CHANGE_ON_MARKS_MIN, GAP_CLOSED, Lesson, LessonError, LessonInput, lesson,
    lesson_watched,
};
use lanewright_science::plan::PlanInput;
use lanewright_science::unit::{DRAWS_USUAL, Unit, UnitInput, unit_watched};
use serde::{Deserialize, Serialize};

use super::lesson::LessonAsk;

/// Steps of the search beside the page; a class of 32 needs a tenth of a hundredth to a third of it to be done.
pub const STEPS_MAX: u64 = 400_000_000;
/// Steps of the search on the page itself, where there is no worker.
pub const STEPS_ON_PAGE: u64 = 3_000_000;
/// The share of the search that is told as progress at a time.
const TOLD_EVERY: f64 = 0.02;

/// What the page asks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// A lesson, or the next lessons.
    Plan(Box<Asked>),
    /// What is typical of the class, before anybody wants to know a thing that follows from it.
    Learn {
        /// What was seen of the class.
        history: Vec<Observation>,
        /// The moment.
        now: Timestamp,
    },
    /// Which hurdles and lanes stand out today.
    Lanes {
        /// What was seen of the class.
        history: Vec<Observation>,
    },
}

impl Question {
    /// Answers beside the page and tells on the way.
    pub fn answer(&self, ladder: &Ladder, tell: &mut dyn FnMut(Told)) {
        match self {
            Question::Plan(asked) => asked.answer(ladder, tell),
            Question::Learn { history, now } => {
                let options = Options { now: *now, losses: Default::default() };
                tell(Told::Learned(Box::new(ClassModel::learn(history, ladder, &options).known())));
            }
            Question::Lanes { history } => tell(Told::Lanes(lanes_said(history, ladder))),
        }
    }

    /// Returns what ends its answer.
    pub fn ending(&self) -> Ending {
        match self {
            Question::Plan(_) => Ending::Plan,
            Question::Learn { .. } | Question::Lanes { .. } => Ending::Learned,
        }
    }
}

/// What ends an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// A plan, or that there is none.
    Plan,
    /// What was learned.
    Learned,
}

impl Ending {
    /// Whether this is the last thing told.
    pub fn is(self, told: &Told) -> bool {
        match told {
            Told::Planned(_) | Told::Unit(_) | Told::NoUnit(_) | Told::NoPlan => true,
            Told::Lanes(_) => true,
            Told::Learned(_) => self == Ending::Learned,
            Told::Done(_) | Told::Better(_) => false,
        }
    }
}

/// What is asked about a lesson.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// Children, kit, floor.
    pub input: PlanInput,
    /// What was seen of the class.
    pub history: Vec<Observation>,
    /// What an earlier answer learned from just these observations.
    pub known: Option<Known>,
    /// Labels of those who help.
    pub helping: Vec<String>,
    /// What the coach asks.
    pub ask: LessonAsk,
    /// The moment.
    pub now: Timestamp,
    /// The days of the next lessons, when they are asked for too; then these are what is told.
    pub days: Vec<Date>,
    /// Seed of their samples.
    pub seed: u64,
}

/// What the worker tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Told {
    /// What was learned of the class.
    Learned(Box<Known>),
    /// How far it is, 0 to 1.
    Done(f64),
    /// A plan, better than the one before.
    Better(Box<Planned>),
    /// The best plan found, and the end of the search.
    Planned(Box<Planned>),
    /// The next lessons.
    Unit(Box<Unit>),
    /// There are no next lessons: why.
    NoUnit(Message),
    /// There is no plan; the page finds out why.
    NoPlan,
    /// What stands out of hurdles and lanes today.
    Lanes(Vec<Message>),
}

/// Runs of the last hours tell of the lanes as they stand: so long before the latest run, in milliseconds.
const LANES_OF_MS: i64 = 12 * 60 * 60 * 1000;

/// Returns what stands out of hurdles and lanes in the runs of the latest day.
pub fn lanes_said(history: &[Observation], ladder: &Ladder) -> Vec<Message> {
    let runs: Vec<&Run> = history
        .iter()
        .filter_map(|observation| match observation {
            Observation::Run(run) => Some(run),
            _ => None,
        })
        .collect();
    let latest = runs.iter().map(|run| run.at.as_millisecond()).max().unwrap_or(0);
    let recent: Vec<&Run> =
        runs.into_iter().filter(|run| run.at.as_millisecond() > latest - LANES_OF_MS).collect();
    cause(&recent, ladder).map(|causes| causes.findings).unwrap_or_default()
}

/// Returns what of it is said of one lane.
pub fn said_of_lane(said: &[Message], lane: &str) -> Vec<Message> {
    let of_it =
        |message: &&Message| matches!(message.args.get("lane"), Some(Arg::Text(letter)) if letter == lane);
    said.iter().filter(of_it).cloned().collect()
}

/// Returns what a sentence about a lane is of, whatever its numbers are by now: who has read it once that day has read
/// it.
pub fn lane_said_key(message: &Message) -> String {
    let part = |name: &str| match message.args.get(name) {
        Some(Arg::Text(text)) => text.clone(),
        Some(Arg::Count(number)) => number.to_string(),
        _ => String::new(),
    };
    format!("{} {} {}", message.id, part("lane"), part("hurdle"))
}

/// A plan on its way to the page.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// The lesson; its bound is its value where none is known.
    pub lesson: Lesson,
    /// Its lanes on the floor, which the lesson itself does not write.
    pub plan: Option<Plan>,
    /// Share of the worth that may be left on the table at most; absent while nothing is known.
    pub gap: Option<f64>,
}

impl Planned {
    fn new(mut lesson: Lesson) -> Self {
        let gap = lesson.bound.is_finite().then_some(lesson.gap);
        if gap.is_none() {
            // Text knows no infinite numbers.
            (lesson.bound, lesson.relaxed_bound, lesson.gap) = (lesson.value, lesson.value, 0.0);
        }
        Self { plan: lesson.plan.clone(), lesson, gap }
    }

    /// Returns the lesson with its lanes.
    pub fn unpack(self) -> Lesson {
        Lesson { plan: self.plan, ..self.lesson }
    }
}

/// Whether a plan is proven to be the best.
pub fn is_proven(gap: f64) -> bool {
    gap <= GAP_CLOSED
}

impl Asked {
    /// Returns what the planner is asked.
    pub fn lesson_input<'a>(&'a self, ladder: &'a Ladder, steps_max: u64) -> LessonInput<'a> {
        let options = Options { now: self.now, losses: Default::default() };
        let input = PlanInput { ladder: Some(ladder.clone()), ..self.input.clone() };
        let ask = &self.ask;
        LessonInput {
            change_minutes: if ask.by_tape { CHANGE_BY_TAPE_MIN } else { CHANGE_ON_MARKS_MIN },
            pins: ask.pins.clone(),
            fixed: ask.fixed.clone(),
            blocks_max: ask.blocks_max,
            helping: self.helping.clone(),
            steps_max,
            ..LessonInput::new(input, ladder, &self.history, options, ask.use_for, ask.minutes)
        }
    }

    /// Answers on the page itself, in a moment.
    ///
    /// # Errors
    /// Why there is no lesson.
    pub fn answer_here(&self, ladder: &Ladder) -> Result<Lesson, LessonError> {
        lesson(&self.lesson_input(ladder, STEPS_ON_PAGE))
    }

    /// Answers beside the page and tells on the way.
    pub fn answer(&self, ladder: &Ladder, tell: &mut dyn FnMut(Told)) {
        if self.days.is_empty() { self.answer_lesson(ladder, tell) } else { self.answer_unit(ladder, tell) }
    }

    fn answer_lesson(&self, ladder: &Ladder, tell: &mut dyn FnMut(Told)) {
        let input = self.lesson_input(ladder, STEPS_MAX);
        let learned;
        let model = match &self.known {
            Some(known) => ClassModel::with(&self.history, ladder, &input.decide, known),
            None => {
                let model = ClassModel::learn(&self.history, ladder, &input.decide);
                learned = model.known();
                tell(Told::Learned(Box::new(learned)));
                model
            }
        };
        let mut told = 0.0;
        let planned = lesson_watched(&input, &model, &mut |now| {
            if let Some(better) = now.better {
                tell(Told::Better(Box::new(Planned::new(better))));
            }
            if now.done >= told + TOLD_EVERY {
                told = now.done;
                tell(Told::Done(told));
            }
        });
        match planned {
            Ok(lesson) => tell(Told::Planned(Box::new(Planned::new(lesson)))),
            Err(_) => tell(Told::NoPlan),
        }
    }

    fn answer_unit(&self, ladder: &Ladder, tell: &mut dyn FnMut(Told)) {
        let lesson = self.lesson_input(ladder, STEPS_ON_PAGE);
        let days = self.days.len() as f64;
        let asked = UnitInput { lesson, dates: self.days.clone(), draws: DRAWS_USUAL, seed: self.seed };
        match unit_watched(&asked, &mut |done| tell(Told::Done(done as f64 / days))) {
            Ok(unit) => tell(Told::Unit(Box::new(unit))),
            Err(error) => tell(Told::NoUnit(error.message())),
        }
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use lanewright_model::run::{HurdleSet, Source, Watched};
    use lanewright_model::{Kit, Runner, Space};

    use super::*;

    fn run(number: u32, turn: u32) -> Observation {
        let fallen = HurdleSet::from_numbers(if turn.is_multiple_of(3) { &[2] } else { &[] }, 8);
        Observation::Run(Run {
            runner: format!("r{number}"),
            drill: "alternate-walk".into(),
            lane: "A".into(),
            class: None,
            at: Timestamp::from_second(1_772_445_600 + i64::from(turn * 40 + number)).expect("a moment"),
            lead: None,
            hurdles: 8,
            knocked: fallen.expect("in range"),
            down_before: HurdleSet::default(),
            watched: Watched::Knocks,
            faults: Vec::new(),
            effort: None,
            exit_sprint: false,
            gap_m: Some(0.6),
            height_cm: Some(30.0),
            setup: "A".into(),
            source: Source::Paper,
        })
    }

    fn asked() -> Asked {
        let runners = (0..8)
            .map(|number| {
                let mut runner = Runner::named(format!("r{number}"), format!("Child {number}"));
                runner.stature_cm = Some(130.0 + 3.0 * f64::from(number));
                runner
            })
            .collect();
        let mut input = PlanInput::new(runners, Vec::new(), Kit::default(), date(2026, 3, 2));
        input.space = Some(Space::hall(32.0, 18.0));
        Asked {
            input,
            history: (0..6).flat_map(|turn| (0..8).map(move |number| run(number, turn))).collect(),
            known: None,
            helping: vec!["Child 9".into()],
            ask: LessonAsk::default(),
            now: Timestamp::from_second(1_772_532_000).expect("a moment"),
            days: Vec::new(),
            seed: 1,
        }
    }

    fn answers(asked: &Asked) -> Vec<Told> {
        // Through text, as between page and worker.
        told_to(&Question::Plan(Box::new(asked.clone())))
    }

    fn told_to(question: &Question) -> Vec<Told> {
        let text = serde_json::to_string(question).expect("it can be written");
        let question: Question = serde_json::from_str(&text).expect("it can be read");
        let mut told = Vec::new();
        question.answer(&Ladder::built_in(), &mut |news| {
            let text = serde_json::to_string(&news).expect("it can be written");
            told.push(serde_json::from_str(&text).expect("it can be read"));
        });
        told
    }

    #[test]
    fn the_worker_ends_with_the_plan_that_the_planner_makes() {
        let asked = asked();
        let told = answers(&asked);
        let Some(Told::Planned(planned)) = told.last() else { panic!("{told:?}") };
        assert!(planned.gap.is_some_and(is_proven), "{:?}", planned.gap);
        let lesson = planned.clone().unpack();
        assert_eq!(
            Ok(lesson),
            lanewright_science::lesson::lesson(&asked.lesson_input(&Ladder::built_in(), STEPS_MAX))
        );
        // A plan to begin with came first, and none that came later is worse.
        let worth: Vec<f64> = told
            .iter()
            .filter_map(|told| match told {
                Told::Better(planned) | Told::Planned(planned) => Some(planned.lesson.value),
                _ => None,
            })
            .collect();
        assert!(worth.len() > 1 && worth.windows(2).all(|pair| pair[1] >= pair[0] - 1e-9), "{worth:?}");
    }

    #[test]
    fn what_is_learned_ahead_is_what_the_plan_would_have_learned() {
        let asked = asked();
        let question = Question::Learn { history: asked.history.clone(), now: asked.now };
        let ahead = told_to(&question);
        let [Told::Learned(known)] = &ahead[..] else { panic!("{ahead:?}") };
        assert!(question.ending().is(&ahead[0]));
        let plan = Question::Plan(Box::new(asked.clone()));
        let told = told_to(&plan);
        assert_eq!(told.first(), ahead.first(), "the plan learns the same");
        assert_eq!(told.iter().position(|told| plan.ending().is(told)), Some(told.len() - 1));
        let known = Asked { known: Some((**known).clone()), ..asked };
        assert_eq!(answers(&known).last(), told.last());
    }

    #[test]
    fn a_hurdle_that_falls_for_everybody_is_said_of_its_lane_and_only_while_it_stands() {
        // Hurdle 5 of lane A falls in three runs of four, nothing falls in lane B.
        let runs = |since_s: i64, bad: bool| -> Vec<Observation> {
            let one = |lane: &str, number: u32, turn: u32| {
                let Observation::Run(mut run) = run(number, turn) else { unreachable!("a run") };
                let falls = bad && lane == "A" && !(turn + number).is_multiple_of(4);
                run.knocked = HurdleSet::from_numbers(if falls { &[5] } else { &[] }, 8).expect("in range");
                (run.lane, run.setup) = (lane.into(), lane.into());
                run.at = Timestamp::from_second(since_s + i64::from(turn * 40 + number)).expect("a moment");
                Observation::Run(run)
            };
            let turns = (0..6u32).flat_map(|turn| (0..8u32).map(move |number| (turn, number)));
            turns.map(|(turn, number)| one(if number < 4 { "A" } else { "B" }, number, turn)).collect()
        };
        let monday_s = 1_772_445_600;
        let question = Question::Lanes { history: runs(monday_s, true) };
        let told = told_to(&question);
        let [Told::Lanes(said)] = &told[..] else { panic!("{told:?}") };
        assert!(question.ending().is(&told[0]));
        let of_a = said_of_lane(said, "A");
        assert_eq!(of_a.len(), 1, "{said:?}");
        assert_eq!(lane_said_key(&of_a[0]), "cause-hurdle A 5");
        assert_eq!(said_of_lane(said, "B"), []);
        // Two days later the lanes were laid anew.
        let both = [runs(monday_s, true), runs(monday_s + 2 * 86_400, false)].concat();
        assert_eq!(said_of_lane(&lanes_said(&both, &Ladder::built_in()), "A"), []);
        assert_eq!(lanes_said(&[], &Ladder::built_in()), []);
    }

    #[test]
    fn what_was_learned_once_gives_the_same_plan() {
        let mut asked = asked();
        let first = answers(&asked);
        let Some(Told::Learned(known)) = first.first() else { panic!("{first:?}") };
        asked.known = Some((**known).clone());
        let again = answers(&asked);
        assert_eq!(again.last(), first.last());
        assert!(!again.iter().any(|told| matches!(told, Told::Learned(_))));
    }

    #[test]
    fn the_next_lessons_come_with_their_progress() {
        let mut asked = asked();
        asked.days = vec![date(2026, 3, 3), date(2026, 3, 10)];
        let told = answers(&asked);
        assert_eq!(told[..2], [Told::Done(0.5), Told::Done(1.0)]);
        assert!(matches!(&told[2], Told::Unit(unit) if unit.lessons.len() == 2), "{told:?}");
    }

    #[test]
    fn no_plan_is_told_as_none() {
        let mut asked = asked();
        asked.ask.minutes = 5;
        assert_eq!(answers(&asked).last(), Some(&Told::NoPlan));
    }
}
