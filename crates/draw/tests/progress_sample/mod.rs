//! An invented class after five lessons, for tests that look at cards, report and handover.
#![allow(dead_code, reason = "each test file uses its part")]

use jiff::civil::date;
use lanewright_draw::papers::{CardOptions, HandoverOptions, ReportInput, ReportOptions};
use lanewright_draw::{Page, Paper, card_pages, handover_pages, report_pages};
use lanewright_model::drill::Ladder;
use lanewright_model::import;
use lanewright_model::kit::{HurdleStock, Kit, Space};
use lanewright_model::run::{Observation, Run, read_lines};
use lanewright_model::runner::Runner;
use lanewright_model::words::{Units, Words};
use lanewright_science::cause::cause;
use lanewright_science::decide::{Losses, Options};
use lanewright_science::lesson::{Lesson, LessonInput, Use, lesson};
use lanewright_science::plan::PlanInput;
use lanewright_science::progress::{Ask, ChildProgress, ClassProgress, progress};

const CLASS: &[u8] = include_bytes!("../../../../fixtures/demo/class.csv");
const RUNS: &str = include_str!("../../../../fixtures/demo/unit.jsonl");

pub struct Sample {
    pub ladder: Ladder,
    pub runners: Vec<Runner>,
    pub names: Vec<String>,
    pub observations: Vec<Observation>,
    pub progress: ClassProgress,
    pub words: Words,
}

impl Sample {
    pub fn new() -> Self {
        let (observations, bad) = read_lines(RUNS);
        assert!(bad.is_empty());
        Self::of(observations)
    }

    /// The class with these runs only.
    pub fn of(observations: Vec<Observation>) -> Self {
        let ladder = Ladder::built_in();
        let runners = import::read(CLASS, &import::Options::default())
            .expect("a class list")
            .accept()
            .expect("a class list without mistakes");
        let ids: Vec<&str> = runners.iter().map(|runner| runner.id.0.as_str()).collect();
        let ask = Ask { runners: &ids, ladder: &ladder, utc_offset_s: 0, losses: Losses::default() };
        let progress = progress(&observations, &ask);
        let names = runners.iter().map(|runner| runner.label.clone()).collect();
        Self { ladder, runners, names, observations, progress, words: Words::english(Units::Metric) }
    }

    pub fn children(&self) -> Vec<(String, &ChildProgress)> {
        self.names.iter().cloned().zip(&self.progress.children).collect()
    }

    pub fn cards(&self, options: &CardOptions) -> Vec<Page> {
        card_pages(&self.children(), &self.ladder, &self.words, options)
    }

    pub fn report(&self, options: &ReportOptions) -> Vec<Page> {
        let last = self.progress.days.last().copied();
        let runs: Vec<&Run> = self
            .observations
            .iter()
            .filter_map(|seen| match seen {
                Observation::Run(run) => Some(run),
                _ => None,
            })
            .filter(|run| Some(jiff::tz::Offset::UTC.to_datetime(run.at).date()) == last)
            .collect();
        let findings = cause(&runs, &self.ladder).map(|causes| causes.findings).unwrap_or_default();
        let input = ReportInput {
            progress: &self.progress,
            names: &self.names,
            lane_findings: &findings,
            ladder: &self.ladder,
        };
        report_pages(&input, &self.words, options)
    }

    pub fn lesson(&self) -> Lesson {
        let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: 24 }], ..Kit::default() };
        let space = Space::hall(32.0, 18.0);
        let runners = self.runners.clone();
        let lanes =
            PlanInput { space: Some(space), ..PlanInput::new(runners, Vec::new(), kit, date(2026, 4, 13)) };
        let now = "2026-03-30T12:00:00Z".parse().expect("a moment");
        let decide = Options { now, losses: Losses::default() };
        let mut input = LessonInput::new(lanes, &self.ladder, &self.observations, decide, Use::Lesson, 50);
        input.helping = vec!["Wren".to_owned()];
        input.steps_max = 20_000;
        lesson(&input).expect("a lesson")
    }

    pub fn handover(&self, lesson: &Lesson, options: &HandoverOptions) -> Vec<Page> {
        handover_pages(lesson, &self.progress, &self.ladder, &self.words, options)
    }
}

pub fn card_options(paper: Paper) -> CardOptions {
    CardOptions {
        paper,
        class_name: Some("7 Larch".to_owned()),
        date: Some("30 March 2026".to_owned()),
        ..CardOptions::default()
    }
}

pub fn report_options(paper: Paper) -> ReportOptions {
    ReportOptions {
        paper,
        class_name: Some("7 Larch".to_owned()),
        date: Some("30 March 2026".to_owned()),
        software: "Lanewright".to_owned(),
        without_names: false,
    }
}

pub fn handover_options(paper: Paper) -> HandoverOptions {
    HandoverOptions {
        paper,
        class_name: Some("7 Larch".to_owned()),
        date: Some("13 April 2026".to_owned()),
        place: Some("Small hall".to_owned()),
        contact: Some("the office, extension 12".to_owned()),
        helping: vec!["Wren".to_owned()],
        easy: vec!["Bram".to_owned()],
        absent: Vec::new(),
        software: "Lanewright".to_owned(),
        without_names: false,
    }
}
