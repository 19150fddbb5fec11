//! Lessons for invented classes, planned as the program plans them.

#![allow(dead_code, reason = "each test file uses its own part")]

use jiff::civil::date;
use lanewright_draw::{LessonPageOptions, Paper};
use lanewright_model::drill::Ladder;
use lanewright_model::import::{self, Options};
use lanewright_model::kit::{HurdleStock, Kit, Space};
use lanewright_model::run::{self, Observation};
use lanewright_model::runner::Runner;
use lanewright_science::decide;
use lanewright_science::lesson::{Lesson, LessonInput, Use, lesson};
use lanewright_science::plan::PlanInput;

const CLASS: &[u8] = include_bytes!("../../../../fixtures/demo/class.csv");
const RUNS: &str = include_str!("../../../../fixtures/demo/runs.jsonl");
/// Four more children for a class of 32.
const MORE: [(&str, f64); 4] =
    [("Bartholomew-M.", 151.0), ("Ailbhe", 138.0), ("Tamsin", 147.0), ("Oisin", 155.0)];

/// What a lesson is asked for.
#[derive(Clone)]
pub struct Ask {
    pub use_for: Use,
    pub minutes: u32,
    pub lanes: u32,
    pub more_children: bool,
    pub history: bool,
    pub helping: Vec<String>,
    pub hurdles: u32,
    pub space: (f64, f64),
    pub adults: u32,
}

impl Ask {
    /// The demo class in four lanes for fifty minutes.
    pub fn demo() -> Self {
        Self {
            use_for: Use::Lesson,
            minutes: 50,
            lanes: 4,
            more_children: false,
            history: true,
            helping: Vec::new(),
            hurdles: 24,
            space: (36.0, 20.0),
            adults: 1,
        }
    }
}

/// The children of the demo class.
pub fn children() -> Vec<Runner> {
    let preview = import::read(CLASS, &Options::default()).expect("the demo class is read");
    preview.accept().expect("nothing is left open")
}

/// Plans a lesson.
pub fn planned(ask: &Ask) -> Lesson {
    let ladder = Ladder::built_in();
    let history: Vec<Observation> = if ask.history { run::read_lines(RUNS).0 } else { Vec::new() };
    let mut class = children();
    if ask.more_children {
        for (index, (name, stature_cm)) in MORE.into_iter().enumerate() {
            let mut runner = Runner::named(format!("r{}", 29 + index), name.to_owned());
            runner.stature_cm = Some(stature_cm);
            class.push(runner);
        }
    }
    class.retain(|runner| !ask.helping.contains(&runner.label));
    let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: ask.hurdles }], ..Kit::default() };
    let mut lanes = PlanInput::new(class, Vec::new(), kit, date(2026, 3, 9));
    lanes.space = Some(Space::hall(ask.space.0, ask.space.1));
    lanes.lanes_max = Some(ask.lanes);
    lanes.adults = ask.adults;
    let decide = decide::Options {
        now: "2026-03-09T10:00:00Z".parse().expect("a moment"),
        losses: decide::Losses::default(),
    };
    let mut input = LessonInput::new(lanes, &ladder, &history, decide, ask.use_for, ask.minutes);
    input.helping = ask.helping.clone();
    input.steps_max = 200_000;
    lesson(&input).expect("a lesson")
}

pub const SOFTWARE: &str = "Lanewright 0.0.0";

/// What the printed lessons of the tests say beside the lesson.
pub fn options(paper: Paper) -> LessonPageOptions {
    LessonPageOptions {
        paper,
        class_name: Some("7 Larch".into()),
        date: Some("9 March 2026".into()),
        place: Some("Fennimore Hill, small hall".into()),
        software: SOFTWARE.into(),
        without_names: false,
    }
}

/// Every kind of lesson that is looked at and tried for room, by name.
pub fn all() -> Vec<(&'static str, Ask)> {
    let demo = Ask::demo;
    let large = Ask { lanes: 6, hurdles: 48, space: (36.0, 30.0), adults: 2, more_children: true, ..demo() };
    vec![
        ("demo", demo()),
        ("new", Ask { history: false, helping: vec!["Wren".into(), "Idris".into()], ..demo() }),
        ("large", large.clone()),
        ("large-mixed", Ask { minutes: 60, ..large.clone() }),
        ("large-long", Ask { minutes: 75, ..large.clone() }),
        ("large-new", Ask { history: false, helping: vec!["Wren".into()], ..large }),
        ("warm-up", Ask { use_for: Use::WarmUp, minutes: 10, ..demo() }),
        ("station", Ask { use_for: Use::Station, minutes: 12, lanes: 2, ..demo() }),
    ]
}

/// One of [`all`] by its name.
pub fn named(name: &str) -> Ask {
    all().into_iter().find(|(known, _)| *known == name).expect("a known name").1
}
