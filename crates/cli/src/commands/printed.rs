//! Printed plans.

use std::path::Path;

use jiff::civil::Date;
use lanewright_draw::{
    LessonPageOptions, Page, Paper, PlanPageOptions, lesson_pages, plan_pages, unit_pages,
};
use lanewright_model::drill::Ladder;
use lanewright_model::plan::Plan;
use lanewright_model::words::Words;
use lanewright_science::lesson::Lesson;
use lanewright_science::unit::Unit;

use crate::failure::{Failure, Kind};

/// What goes onto the printed plan.
#[derive(clap::Args)]
#[command(next_help_heading = "What comes out")]
pub(crate) struct PrintArgs {
    /// Paper of the printed plan
    #[arg(long, value_enum, default_value = "a4", requires = "pdf")]
    paper: PaperArg,
    /// Class as it is called on the printed plan [default: the name of the class list]
    #[arg(long, value_name = "NAME", requires = "pdf")]
    class_name: Option<String>,
    /// Where, on the printed plan
    #[arg(long, value_name = "PLACE", requires = "pdf")]
    place: Option<String>,
    /// Length of your shoe, for marks in shoe lengths on the printed plan
    #[arg(long, value_name = "M", requires = "pdf")]
    shoe_length_m: Option<f64>,
    /// Leaves the children's names off the printed plan
    #[arg(long, requires = "pdf")]
    without_names: bool,
}

/// What goes onto the printed lesson.
#[derive(clap::Args)]
#[command(next_help_heading = "What comes out")]
pub(crate) struct LessonPrintArgs {
    /// Paper of the printed lesson
    #[arg(long, value_enum, default_value = "a4", requires = "pdf")]
    paper: PaperArg,
    /// Class as it is called on the printed lesson [default: the name of the class list]
    #[arg(long, value_name = "NAME", requires = "pdf")]
    class_name: Option<String>,
    /// Where, on the printed lesson
    #[arg(long, value_name = "PLACE", requires = "pdf")]
    place: Option<String>,
    /// Leaves the children's names off the printed lesson
    #[arg(long, requires = "pdf")]
    without_names: bool,
}

impl LessonPrintArgs {
    pub(crate) fn paper(&self) -> Paper {
        self.paper.into()
    }

    pub(crate) fn class_name(&self) -> Option<String> {
        self.class_name.clone()
    }

    pub(crate) fn place(&self) -> Option<String> {
        self.place.clone()
    }

    pub(crate) fn without_names(&self) -> bool {
        self.without_names
    }
}

#[derive(Clone, Copy, clap::ValueEnum)]
pub(crate) enum PaperArg {
    A4,
    Letter,
}

impl From<PaperArg> for Paper {
    fn from(paper: PaperArg) -> Self {
        match paper {
            PaperArg::A4 => Self::A4,
            PaperArg::Letter => Self::Letter,
        }
    }
}

/// Returns the printed plan as PDF.
pub(crate) fn pdf(
    plan: &Plan,
    words: &Words,
    args: &PrintArgs,
    class: &Path,
    day: Date,
) -> Result<Vec<u8>, Failure> {
    if let Some(length_m) = args.shoe_length_m.filter(|length_m| !(0.1..=0.5).contains(length_m)) {
        return Err(Failure::new(
            Kind::Usage,
            format!("--shoe-length-m is {length_m}; allowed is 0.1 to 0.5 m"),
        ));
    }
    let options = PlanPageOptions {
        paper: args.paper.into(),
        date: Some(written(day, words)),
        place: args.place.clone(),
        shoe_length_m: args.shoe_length_m,
        software: software(),
        without_names: args.without_names,
    };
    let class_name = args.class_name.clone().or_else(|| file_name(class)).unwrap_or_default();
    file(&plan_pages(plan, &class_name, words, &options), "plan", day)
}

/// Returns the printed lesson as PDF: one sheet, and the task card of a station.
pub(crate) fn lesson_pdf(
    lesson: &Lesson,
    ladder: &Ladder,
    words: &Words,
    args: &LessonPrintArgs,
    class: &Path,
    day: Date,
) -> Result<Vec<u8>, Failure> {
    file(&lesson_pages(lesson, ladder, words, &lesson_options(words, args, class, day)), "lesson", day)
}

fn lesson_options(words: &Words, args: &LessonPrintArgs, class: &Path, day: Date) -> LessonPageOptions {
    LessonPageOptions {
        paper: args.paper.into(),
        class_name: args.class_name.clone().or_else(|| file_name(class)),
        date: Some(written(day, words)),
        place: args.place.clone(),
        software: software(),
        without_names: args.without_names,
    }
}

/// Returns the printed unit as PDF.
pub(crate) fn unit_pdf(
    unit: &Unit,
    ladder: &Ladder,
    words: &Words,
    args: &LessonPrintArgs,
    class: &Path,
    day: Date,
) -> Result<Vec<u8>, Failure> {
    file(&unit_pages(unit, ladder, words, &lesson_options(words, args, class, day)), "unit", day)
}

pub(crate) fn file_name(class: &Path) -> Option<String> {
    class.file_stem().filter(|stem| *stem != "-").map(|stem| stem.to_string_lossy().into_owned())
}

pub(crate) fn software() -> String {
    format!("Lanewright {}", env!("CARGO_PKG_VERSION"))
}

pub(crate) fn written(day: Date, words: &Words) -> String {
    words.day(day, true)
}

pub(crate) fn file(pages: &[Page], what: &str, day: Date) -> Result<Vec<u8>, Failure> {
    let created = (day.year() as u16, day.month() as u8, day.day() as u8);
    let options = lanewright_paper::Options { creator: software(), created: Some(created) };
    lanewright_paper::pdf(pages, &options)
        .map_err(|error| Failure::new(Kind::Write, format!("the printed {what} cannot be made: {error}")))
}
