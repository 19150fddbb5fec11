//! `lanewright report`: progress on paper. Cards for the children, a report for the class, a handover for a stand-in.

use std::path::{Path, PathBuf};

use jiff::civil::Date;
use lanewright_draw::page::to_html;
use lanewright_draw::papers::{
    CardOptions, HandoverOptions, Level, ReportInput, ReportOptions, Shown, card_pages, handover_pages,
    name_line, report_figures, report_pages,
};
use lanewright_draw::{Figure, Page, Paper, Style};
use lanewright_model::Message;
use lanewright_model::drill::Ladder;
use lanewright_model::plan_json::said;
use lanewright_model::run::{Observation, Run};
use lanewright_model::runner::Runner;
use lanewright_model::words::{Units, Words};
use lanewright_science::cause::cause;
use lanewright_science::decide::Losses;
use lanewright_science::lesson::lesson as plan_lesson;
use lanewright_science::progress::{Ask, ChildProgress, ClassProgress, Reach, progress};
use serde_json::Value;

use super::runs::Beside;
use super::{lanes, lesson, printed, runs};
use crate::class;
use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # A card for every child, two to a sheet, to be cut apart.
  lanewright report cards runs.jsonl --class 7-larch.csv --pdf cards.pdf
  # What the class can do, how it went, lanes, and who was seen too little.
  lanewright report class runs.jsonl --class 7-larch.csv --pdf report.pdf
  # Everything that someone else needs for the next lesson, on one sheet.
  lanewright report handover --class 7-larch.csv --history runs.jsonl --minutes 50 --hurdles 24 \\
    --space 32x18 --pdf handover.pdf";

const CARDS_EXAMPLES: &str = "\
Examples:
  lanewright report cards runs.jsonl --class 7-larch.csv --pdf cards.pdf
  # In very plain words, one child, a whole sheet.
  lanewright report cards runs.jsonl --class 7-larch.csv --only Wren --words very-plain \\
    --one-to-a-sheet --pdf wren.pdf
  # Only what can be done and what comes next.
  lanewright report cards runs.jsonl --class 7-larch.csv --show steps,can,next --html cards.html
  # What the cards say, for another program.
  lanewright report cards runs.jsonl --class 7-larch.csv --json";

const CLASS_EXAMPLES: &str = "\
Examples:
  lanewright report class runs.jsonl --class 7-larch.csv --pdf report.pdf
  # For a colleague: no names.
  lanewright report class runs.jsonl --class 7-larch.csv --without-names --pdf report.pdf
  # The charts as pictures, and the numbers behind them.
  lanewright report class runs.jsonl --class 7-larch.csv --svg charts --csv progress.csv";

const HANDOVER_EXAMPLES: &str = "\
Examples:
  lanewright report handover --class 7-larch.csv --history runs.jsonl --minutes 50 --hurdles 24 \\
    --space 32x18 --pdf handover.pdf
  # Two children help, and whom to call.
  lanewright report handover --class 7-larch.csv --history runs.jsonl --minutes 50 --hurdles 24 \\
    --space 32x18 --helping Wren,Idris --contact 'the office, extension 12' --pdf handover.pdf";

fn notes() -> String {
    format!(
        "What is called a change, and who can do a drill: docs/methods/progress.md. The JSON and the CSV:\n\
         docs/formats/report.md. It prompts; the teacher decides.\n\n{}",
        crate::EXIT_CODES
    )
}

/// Prints progress: a card for each child, a report for the class, a handover for a stand-in.
#[derive(clap::Args)]
#[command(
    help_template = crate::HELP,
    before_help = EXAMPLES,
    after_help = notes(),
    arg_required_else_help = true,
    disable_help_subcommand = true,
)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// A card for each child, in plain words: what it can do, what changed, one thing to work on, what comes next
    #[command(help_template = crate::HELP, before_help = CARDS_EXAMPLES, after_help = notes(),
        arg_required_else_help = true)]
    Cards(Box<CardsArgs>),
    /// A report for the teacher: how many children are where, progress with ranges, lessons, lanes, who was not seen
    #[command(help_template = crate::HELP, before_help = CLASS_EXAMPLES, after_help = notes(),
        arg_required_else_help = true)]
    Class(Box<ClassArgs>),
    /// One sheet for whoever takes the next lesson; takes what `lanewright lesson` takes
    #[command(help_template = crate::HELP, before_help = HANDOVER_EXAMPLES, after_help = notes(),
        arg_required_else_help = true)]
    Handover(Box<HandoverArgs>),
}

/// What cards and class report have in common.
#[derive(clap::Args)]
struct Common {
    /// Runs, one JSON object a line (docs/formats/runs.md); - reads from standard input
    #[arg(value_name = "RUNS.jsonl", help_heading = "What there is")]
    runs: PathBuf,
    /// Class list
    #[arg(long, value_name = "FILE.csv", help_heading = "What there is")]
    class: PathBuf,
    /// Pass over lines that cannot be read, and name them
    #[arg(long, help_heading = "What there is")]
    skip_bad: bool,
    /// Class of these runs, when the file has several that use the same ids; more than one with commas
    #[arg(long, value_name = "CLASS[,CLASS…]", value_delimiter = ',', help_heading = "What there is")]
    runs_of: Vec<String>,
    /// Drill ladder of your own, in the form of crates/model/data/drills.toml
    #[arg(long, value_name = "FILE.toml", help_heading = "What there is")]
    ladder: Option<PathBuf>,
    /// Hours by which the school's clock is ahead of UTC, so that a day is the school's day; -12 to 14
    #[arg(long, value_name = "H", default_value_t = 0.0, allow_hyphen_values = true, value_parser = runs::utc_offset,
        help_heading = "What there is")]
    utc_offset_h: f64,
    /// Day to be written on the paper [default: the day of the last run]
    #[arg(long, value_name = "YYYY-MM-DD", help_heading = "What comes out")]
    on: Option<Date>,
    /// Class as it is called on the paper [default: the name of the class list]
    #[arg(long, value_name = "NAME", help_heading = "What comes out")]
    class_name: Option<String>,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4", help_heading = "What comes out")]
    paper: printed::PaperArg,
    /// Writes a PDF; - writes it to standard output
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    pdf: Option<PathBuf>,
    /// Writes a page for a browser, which prints it as well
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    html: Option<PathBuf>,
    /// Answer as JSON
    #[arg(long, help_heading = "What comes out")]
    json: bool,
    #[command(flatten)]
    list: class::ListArgs,
}

impl Common {
    /// No output replaces an input.
    fn apart(&self, csv: Option<&Path>, charts: &[PathBuf]) -> Result<(), Failure> {
        let inputs = lanes::inputs(&self.class, self.ladder.as_ref(), Some(&self.runs));
        let (pdf, html) = (self.pdf.as_deref(), self.html.as_deref());
        let mut outputs = vec![("--pdf", pdf), ("--html", html), ("--csv", csv)];
        outputs.extend(charts.iter().map(|path| ("--svg", Some(path.as_path()))));
        output::apart(&inputs, &outputs)
    }
}

#[derive(clap::Args)]
struct CardsArgs {
    #[command(flatten)]
    common: Common,
    /// Only these children; by name or id
    #[arg(long, value_name = "NAME[,NAME…]", value_delimiter = ',', help_heading = "What is wanted")]
    only: Vec<String>,
    /// How plain the words are
    #[arg(long = "words", value_enum, default_value = "plain", help_heading = "What is wanted")]
    level: LevelArg,
    /// What stands on a card
    #[arg(
        long,
        value_enum,
        value_delimiter = ',',
        default_value = "steps,can,changes,work,next",
        help_heading = "What is wanted"
    )]
    show: Vec<ShowArg>,
    /// One card to a sheet in large print, instead of two to be cut apart
    #[arg(long, help_heading = "What is wanted")]
    one_to_a_sheet: bool,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum LevelArg {
    Plain,
    VeryPlain,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum ShowArg {
    /// The stairs of drills
    Steps,
    /// What can be done, in words
    Can,
    /// What changed
    Changes,
    /// One thing to work on, with its cue and a drawing
    Work,
    /// What comes next
    Next,
}

#[derive(clap::Args)]
struct ClassArgs {
    #[command(flatten)]
    common: Common,
    /// Leaves the children's names off the paper
    #[arg(long, help_heading = "What is wanted")]
    without_names: bool,
    /// Writes the charts into this folder, one SVG each
    #[arg(long, value_name = "FOLDER", help_heading = "What comes out")]
    svg: Option<PathBuf>,
    /// Writes a row for each child and drill
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    csv: Option<PathBuf>,
}

#[derive(clap::Args)]
struct HandoverArgs {
    #[command(flatten)]
    lesson: lesson::Args,
    /// Who is told when a child is hurt or something breaks
    #[arg(long, value_name = "WHO", help_heading = "Who does what")]
    contact: Option<String>,
    /// Writes a page for a browser, which prints it as well
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    html: Option<PathBuf>,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    match &args.what {
        What::Cards(args) => cards(args),
        What::Class(args) => class_report(args),
        What::Handover(args) => handover(args),
    }
}

/// Everything that cards and class report are made from.
struct Given {
    ladder: Ladder,
    list: Vec<Runner>,
    observations: Vec<Observation>,
    progress: ClassProgress,
    words: Words,
    day: Date,
    class_name: Option<String>,
}

impl Given {
    fn read(common: &Common) -> Result<Self, Failure> {
        let ladder = lanes::ladder(common.ladder.as_ref())?;
        let list = class::read(&common.class, &common.list)?;
        let observations = runs::read(
            &common.runs,
            common.skip_bad,
            &ladder,
            Some(Beside { runners: &list, runs_of: &common.runs_of }),
        )?;
        let utc_offset_s = (common.utc_offset_h * 3600.0).round() as i32;
        let progress = progress_of(&list, &observations, &ladder, utc_offset_s);
        let day = common.on.or(progress.days.last().copied());
        let day =
            day.unwrap_or_else(|| jiff::tz::Offset::UTC.to_datetime(runs::latest(&observations)).date());
        let class_name = common.class_name.clone().or_else(|| printed::file_name(&common.class));
        let words = language::words(Units::Metric);
        Ok(Self { ladder, list, observations, progress, words, day, class_name })
    }

    fn names(&self) -> Vec<String> {
        self.list.iter().map(|runner| runner.label.clone()).collect()
    }

    fn written_day(&self) -> Option<String> {
        Some(printed::written(self.day, &self.words))
    }
}

fn progress_of(
    list: &[Runner],
    observations: &[Observation],
    ladder: &Ladder,
    utc_offset_s: i32,
) -> ClassProgress {
    let runners: Vec<&str> = list.iter().map(|runner| runner.id.0.as_str()).collect();
    progress(observations, &Ask { runners: &runners, ladder, utc_offset_s, losses: Losses::default() })
}

/// Refuses a call that asks for nothing, and two answers that want standard output.
fn outputs(pdf: Option<&Path>, html: Option<&Path>, json: bool, others: bool) -> Result<(), Failure> {
    if pdf.is_none() && html.is_none() && !json && !others {
        return Err(Failure::new(
            Kind::Usage,
            "nothing is to come out: give --pdf FILE, --html FILE or --json",
        ));
    }
    let to_stdout = |path: Option<&Path>| path.is_some_and(|path| path.as_os_str() == "-");
    if usize::from(json) + usize::from(to_stdout(pdf)) + usize::from(to_stdout(html)) > 1 {
        return Err(Failure::new(
            Kind::Usage,
            "two answers want standard output; give one of them a file of its own",
        ));
    }
    Ok(())
}

/// Returns the names as a PDF can print them: a stand-in for those with letters that the built-in faces lack.
fn printable(names: &[String], stand_in: impl Fn(usize) -> String) -> Vec<String> {
    let mut lacking = Vec::new();
    let shown = names
        .iter()
        .enumerate()
        .map(|(index, name)| {
            if lanewright_paper::can_print(name) {
                name.clone()
            } else {
                lacking.push((index + 1).to_string());
                stand_in(index)
            }
        })
        .collect();
    if !lacking.is_empty() {
        output::note(&format!(
            "the PDF has no letters for the names in these places of the class list: {}. It leaves them to be \
             written by hand; the page of --html has them, in the letters of the device that shows it",
            lacking.join(", ")
        ));
    }
    shown
}

fn cards(args: &CardsArgs) -> Result<(), Failure> {
    let common = &args.common;
    outputs(common.pdf.as_deref(), common.html.as_deref(), common.json, false)?;
    common.apart(None, &[])?;
    let given = Given::read(common)?;
    let mut wanted = Vec::new();
    for name in &args.only {
        wanted.push(lanes::find(&given.list, "--only", name)?);
    }
    let shows = |part: ShowArg| args.show.contains(&part);
    let options = CardOptions {
        paper: common.paper.into(),
        level: match args.level {
            LevelArg::Plain => Level::Plain,
            LevelArg::VeryPlain => Level::VeryPlain,
        },
        shown: Shown {
            steps: shows(ShowArg::Steps),
            can: shows(ShowArg::Can),
            changes: shows(ShowArg::Changes),
            work: shows(ShowArg::Work),
            next: shows(ShowArg::Next),
        },
        two_to_a_sheet: !args.one_to_a_sheet,
        class_name: given.class_name.clone(),
        date: given.written_day(),
    };
    let chosen = |index: usize| wanted.is_empty() || wanted.contains(&given.list[index].id);
    let pages = |names: &[String]| -> Vec<Page> {
        let children: Vec<(String, &ChildProgress)> = names
            .iter()
            .cloned()
            .zip(&given.progress.children)
            .enumerate()
            .filter(|(index, _)| chosen(*index))
            .map(|(_, child)| child)
            .collect();
        card_pages(&children, &given.ladder, &given.words, &options)
    };
    let names = given.names();
    if let Some(path) = &common.html {
        output::write(path, to_html(&pages(&names)).as_bytes())?;
    }
    if let Some(path) = &common.pdf {
        let names = printable(&names, |_| name_line(&given.words));
        output::write(path, &printed::file(&pages(&names), "card", given.day)?)?;
    }
    if common.json {
        let children: Vec<Value> = given
            .progress
            .children
            .iter()
            .enumerate()
            .filter(|(index, _)| chosen(*index))
            .map(|(_, child)| spoken(child))
            .collect();
        return output::print_json(&children);
    }
    Ok(())
}

/// A child as other programs get it: with every reason spoken.
fn spoken(child: &ChildProgress) -> Value {
    let mut value = serde_json::to_value(child).expect("progress is a JSON value");
    for (index, drill) in child.drills.iter().enumerate() {
        if let Some(decision) = &drill.decision {
            value["drills"][index]["decision"]["why"] =
                serde_json::to_value(said(&decision.why)).expect("messages are JSON values");
        }
    }
    value
}

/// What is found about the lanes in the time of the report: what `lanewright cause` says of the same file.
fn lane_findings(given: &Given) -> Vec<Message> {
    let runs: Vec<&Run> = given
        .observations
        .iter()
        .filter_map(|seen| match seen {
            Observation::Run(run) => Some(run),
            _ => None,
        })
        .collect();
    cause(&runs, &given.ladder).map(|causes| causes.findings).unwrap_or_default()
}

fn class_report(args: &ClassArgs) -> Result<(), Failure> {
    let common = &args.common;
    let others = args.svg.is_some() || args.csv.is_some();
    outputs(common.pdf.as_deref(), common.html.as_deref(), common.json, others)?;
    common.apart(args.csv.as_deref(), &[])?;
    let given = Given::read(common)?;
    let findings = lane_findings(&given);
    let names = given.names();
    let options = ReportOptions {
        paper: common.paper.into(),
        class_name: given.class_name.clone(),
        date: given.written_day(),
        software: printed::software(),
        without_names: args.without_names,
    };
    let input = ReportInput {
        progress: &given.progress,
        names: &names,
        lane_findings: &findings,
        ladder: &given.ladder,
    };
    // The charts' names are known only now; still nothing is written.
    let charts: Vec<(PathBuf, Figure)> = match &args.svg {
        Some(folder) => report_figures(&input, &given.words, Paper::A4.inner_px().0, Style::Print)
            .into_iter()
            .map(|(id, figure)| (folder.join(format!("{id}.svg")), figure))
            .collect(),
        None => Vec::new(),
    };
    common.apart(args.csv.as_deref(), &charts.iter().map(|(path, _)| path.clone()).collect::<Vec<_>>())?;
    if let Some(path) = &common.html {
        let pages = report_pages(&input, &given.words, &options);
        output::write(path, to_html(&pages).as_bytes())?;
    }
    if let Some(path) = &common.pdf {
        let names = printable(&names, |index| given.list[index].id.0.clone());
        let pages = report_pages(&ReportInput { names: &names, ..input }, &given.words, &options);
        output::write(path, &printed::file(&pages, "report", given.day)?)?;
    }
    if let Some(folder) = &args.svg {
        std::fs::create_dir_all(folder).map_err(|error| {
            Failure::new(Kind::Write, format!("`{}` cannot be made: {error}", folder.display()))
        })?;
        for (path, figure) in &charts {
            output::write(path, figure.svg.as_bytes())?;
        }
    }
    if let Some(path) = &args.csv {
        output::write(path, csv(&given.progress).as_bytes())?;
    }
    if common.json {
        let mut value = serde_json::to_value(&given.progress).expect("progress is a JSON value");
        value["children"] = given.progress.children.iter().map(spoken).collect();
        value["lane_findings"] = serde_json::to_value(said(&findings)).expect("messages are JSON values");
        return output::print_json(&value);
    }
    Ok(())
}

/// A row for each child and each drill of the class. The runner is named as in the run file.
fn csv(progress: &ClassProgress) -> String {
    let mut text = String::from(
        "runner,drill,reach,runs,hurdles,clean_mean,clean_low,clean_high,change,difference,difference_low,\
         difference_high\n",
    );
    for child in &progress.children {
        for drill in &child.drills {
            if !progress.drills.iter().any(|own| own.drill == drill.drill) {
                continue;
            }
            let reach = match drill.reach {
                Reach::Clean => "clean",
                Reach::Working => "working",
                Reach::SeenLittle => "seen-little",
                Reach::NotSeen => "not-seen",
            };
            let mut cells = vec![quoted(&child.runner), quoted(&drill.drill), reach.to_owned()];
            match &drill.decision {
                Some(decision) => {
                    let rate = &decision.clean_rate;
                    cells.extend([decision.runs.to_string(), decision.hurdles.to_string()]);
                    cells.extend([rate.mean, rate.low, rate.high].map(|share| share.to_string()));
                }
                None => cells.extend(std::iter::repeat_n(String::new(), 5)),
            }
            match &drill.change {
                Some(change) => {
                    let word = match (change.is_real(), change.is_gain()) {
                        (true, true) => "gain",
                        (true, false) => "loss",
                        (false, _) => "not-told",
                    };
                    cells.push(word.to_owned());
                    let difference = &change.difference;
                    cells.extend([difference.mean, difference.low, difference.high].map(|it| it.to_string()));
                }
                None => cells.extend(std::iter::repeat_n(String::new(), 4)),
            }
            text.push_str(&cells.join(","));
            text.push('\n');
        }
    }
    text
}

/// A cell as CSV has it. What a spreadsheet would take for a formula gets an apostrophe in front.
fn quoted(cell: &str) -> String {
    let cell =
        if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{cell}") } else { cell.to_owned() };
    if cell.contains([',', '"', '\n', '\r']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
}

fn handover(args: &HandoverArgs) -> Result<(), Failure> {
    let own = &args.lesson;
    outputs(own.pdf.as_deref(), args.html.as_deref(), own.json, false)?;
    own.prints_one_lesson()?;
    output::apart(&own.inputs(), &[("--pdf", own.pdf.as_deref()), ("--html", args.html.as_deref())])?;
    if own.json {
        return Err(Failure::new(
            Kind::Usage,
            "the handover is paper; `lanewright lesson --json` has its numbers",
        ));
    }
    let ladder = lanes::ladder(own.ladder.as_ref())?;
    let list = class::read(&own.class, &own.list)?;
    let history = match &own.history {
        Some(path) => {
            runs::read(path, own.skip_bad, &ladder, Some(Beside { runners: &list, runs_of: &own.runs_of }))?
        }
        None => Vec::new(),
    };
    let progress = progress_of(&list, &history, &ladder, 0);
    let words = language::words(Units::Metric);
    let written = |names: &[String]| -> Result<Vec<String>, Failure> {
        names
            .iter()
            .map(|name| {
                let id = lanes::find(&list, "--absent, --helping or --easy", name)?;
                let found = list.iter().find(|runner| runner.id == id);
                Ok(found.map_or_else(|| name.clone(), |runner| runner.label.clone()))
            })
            .collect()
    };
    let mut input = lesson::input(own, list.clone(), &ladder, &history)?;
    let options = HandoverOptions {
        paper: own.print.paper(),
        class_name: own.print.class_name().or_else(|| printed::file_name(&own.class)),
        date: Some(printed::written(input.lanes.today, &words)),
        place: own.print.place(),
        contact: args.contact.clone(),
        helping: written(&own.helping)?,
        easy: written(&own.easy)?,
        absent: written(&own.absent)?,
        software: printed::software(),
        without_names: own.print.without_names(),
    };
    if own.pdf.is_some() {
        // Names stand in sentences of the plan: those without letters are replaced before it is made.
        let names: Vec<String> = input.lanes.runners.iter().map(|runner| runner.label.clone()).collect();
        let ids: Vec<String> = input.lanes.runners.iter().map(|runner| runner.id.0.clone()).collect();
        let printable = printable(&names, |index| ids[index].clone());
        for (runner, label) in input.lanes.runners.iter_mut().zip(printable) {
            runner.label = label;
        }
    }
    let day = input.lanes.today;
    let mut planned = plan_lesson(&input).map_err(|error| lesson::no_lesson(&error, &ladder))?;
    planned.cautions.splice(0..0, lesson::heat(own)?);
    let pages = handover_pages(&planned, &progress, &ladder, &words, &options);
    if let Some(path) = &args.html {
        output::write(path, to_html(&pages).as_bytes())?;
    }
    if let Some(path) = &own.pdf {
        output::write(path, &printed::file(&pages, "handover", day)?)?;
    }
    Ok(())
}
