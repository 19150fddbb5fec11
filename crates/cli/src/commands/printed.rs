//! Printed plans.

use std::path::Path;

use jiff::civil::Date;
use lanewright_draw::{Paper, PlanPageOptions, plan_pages};
use lanewright_model::plan::Plan;
use lanewright_model::words::Words;

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

#[derive(Clone, Copy, clap::ValueEnum)]
enum PaperArg {
    A4,
    Letter,
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
    let software = format!("Lanewright {}", env!("CARGO_PKG_VERSION"));
    let options = PlanPageOptions {
        paper: match args.paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::Letter => Paper::Letter,
        },
        date: Some(day.strftime("%-d %B %Y").to_string()),
        place: args.place.clone(),
        shoe_length_m: args.shoe_length_m,
        software: software.clone(),
        without_names: args.without_names,
    };
    let file_name = || match class.file_stem() {
        Some(stem) if stem != "-" => stem.to_string_lossy().into_owned(),
        _ => String::new(),
    };
    let class_name = args.class_name.clone().unwrap_or_else(file_name);
    let pages = plan_pages(plan, &class_name, words, &options);
    let created = (day.year() as u16, day.month() as u8, day.day() as u8);
    lanewright_paper::pdf(&pages, &lanewright_paper::Options { creator: software, created: Some(created) })
        .map_err(|error| Failure::new(Kind::Write, format!("the printed plan cannot be made: {error}")))
}
