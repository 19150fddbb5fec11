//! `lanewright lesson`: which drills, in which lane, for how long.

#[cfg(feature = "pdf")]
use std::path::Path;
use std::path::PathBuf;

use jiff::civil::Date;
use lanewright_model::drill::{DrillId, Ladder};
use lanewright_model::kit::{HurdleStock, Kit};
use lanewright_model::plan_json::said;
use lanewright_model::run::Observation;
use lanewright_model::runner::{Runner, RunnerId};
use lanewright_model::words::{Message, Units};
use lanewright_science::decide::{Losses, Options};
use lanewright_science::lesson::{
    CHANGE_BY_TAPE_MIN, CHANGE_ON_MARKS_MIN, FixedPart, Lesson, LessonError, LessonInput, PinAsk, Use,
    lesson, search,
};
use lanewright_science::plan::{HEIGHT_CM, PlanInput, usual_height_cm};
use lanewright_science::unit::{DRAWS_USUAL, UnitError, UnitInput, unit};
use lanewright_science::weather::{Guidance, Wbgt, WeatherError, heat_advice, wbgt_estimate};
use serde_json::Value;

use crate::class;
#[cfg(feature = "pdf")]
use crate::commands::printed;
use crate::commands::runs::Beside;
use crate::commands::{lanes, lesson_text, runs};
use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # A whole lesson of 50 minutes in a hall of 32 by 18 metres with 24 hurdles.
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18
  # With what was seen so far, and two children who help.
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18 \\
    --history runs.jsonl --helping Wren,Idris
  # On paper: one sheet to carry.
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18 --pdf lesson.pdf
  # One station of a circuit, for another program.
  lanewright lesson --class 7-larch.csv --minutes 12 --hurdles 24 --space 32x18 --use station --json
  # On a hot day.
  lanewright lesson --class 7-larch.csv --minutes 40 --hurdles 24 --air-c 31 --humidity-pct 55
  # Six lessons ahead, one a week.
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18 \\
    --history runs.jsonl --weeks 6
  # The same on paper.
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18 \\
    --history runs.jsonl --weeks 6 --pdf unit.pdf
  # The second block is fixed: 8 minutes of two-contact walk; no sideways drills.
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18 \\
    --fix 2=8:two-contact-walk --without side-walk,side-run,side-shuttle";

const NOTES: &str = "\
Without --history the plan rests on what is usual. The JSON is described in docs/formats/lesson.md, the rule in
docs/methods/lesson.md. Weather, space and supervision are the teacher's call; the rules of your school come first.";

fn notes() -> String {
    format!("{NOTES}\n\n{}", crate::EXIT_CODES)
}

/// Plans a lesson: drills by block and lane, minutes, jobs, what to say and what to watch for.
#[derive(clap::Args)]
#[command(
    help_template = crate::HELP,
    before_help = EXAMPLES,
    after_help = notes(),
    arg_required_else_help = true,
    allow_negative_numbers = true,
)]
pub(crate) struct Args {
    /// Class list; - reads standard input
    #[arg(long, value_name = "FILE.csv", help_heading = "What there is")]
    pub(crate) class: PathBuf,
    /// All minutes, 3 to 180
    #[arg(long, value_name = "M", value_parser = minutes, help_heading = "What there is")]
    minutes: u32,
    /// Hurdles in the bag: a number, or numbers by height in cm such as 16x30,8x20
    #[arg(long, value_name = "TOTAL", value_parser = lanes::hurdles, help_heading = "What there is")]
    hurdles: lanes::Hurdles,
    #[command(flatten)]
    floor: lanes::FloorArgs,
    /// Runs seen so far, one JSON object a line (docs/formats/runs.md)
    #[arg(long, value_name = "RUNS.jsonl", help_heading = "What there is")]
    pub(crate) history: Option<PathBuf>,
    /// Pass over lines of the history that cannot be read, and name them
    #[arg(long, requires = "history", help_heading = "What there is")]
    pub(crate) skip_bad: bool,
    /// Class of these runs, when the file has several that use the same ids; more than one with commas
    #[arg(
        long,
        value_name = "CLASS[,CLASS…]",
        value_delimiter = ',',
        requires = "history",
        help_heading = "What there is"
    )]
    pub(crate) runs_of: Vec<String>,
    /// Air temperature in °C, for a word on the heat; with --humidity-pct
    #[arg(long, value_name = "T", requires = "humidity_pct", help_heading = "What there is")]
    air_c: Option<f64>,
    /// Humidity of the air in percent
    #[arg(long, value_name = "R", requires = "air_c", help_heading = "What there is")]
    humidity_pct: Option<f64>,
    /// Wet-bulb globe temperature in °C, where there is a meter: better than an estimate
    #[arg(long, value_name = "T", conflicts_with = "air_c", help_heading = "What there is")]
    wbgt_c: Option<f64>,
    /// Drill ladder of your own, in the form of crates/model/data/drills.toml
    #[arg(long, value_name = "FILE.toml", help_heading = "What there is")]
    pub(crate) ladder: Option<PathBuf>,
    /// Day of the lesson [default: today]
    #[arg(long, value_name = "YYYY-MM-DD", help_heading = "What there is")]
    on: Option<Date>,

    /// What it is for
    #[arg(long = "use", value_enum, default_value = "lesson", help_heading = "What is wanted")]
    use_for: UseArg,
    /// Parts without hurdles and their minutes, such as register=3,talk=2; replaces the usual ones
    #[arg(long, value_name = "PART=M", value_delimiter = ',', value_parser = part, help_heading = "What is wanted")]
    fixed: Vec<FixedPart>,
    /// Only these drills and what they need, by id
    #[arg(long = "drill", value_name = "ID", value_delimiter = ',', help_heading = "What is wanted")]
    only: Vec<String>,
    /// Not these drills
    #[arg(long, value_name = "ID", value_delimiter = ',', help_heading = "What is wanted")]
    without: Vec<String>,
    /// Fixes a block: its number, and minutes, drill or both, such as 2=8:two-contact-walk
    #[arg(long, value_name = "N=[M][:ID]", value_delimiter = ',', value_parser = pin, help_heading = "What is wanted")]
    fix: Vec<PinAsk>,
    /// A unit: that many lessons ahead, one a week from the day of the lesson, 2 to 12
    #[arg(long, value_name = "W", conflicts_with = "lesson_days", help_heading = "What is wanted")]
    weeks: Option<u32>,
    /// A unit: the days of its lessons, earliest first; holidays are the days left out
    #[arg(long, value_name = "YYYY-MM-DD[,…]", value_delimiter = ',', help_heading = "What is wanted")]
    lesson_days: Vec<Date>,
    /// Seed of the unit's samples; the same seed gives the same unit
    #[arg(long, value_name = "N", default_value_t = 1, help_heading = "What is wanted")]
    seed: u64,
    /// Most blocks, 1 to 5 [default: 4, or 2 for a warm-up or a station]
    #[arg(long, value_name = "N", help_heading = "What is wanted")]
    blocks_max: Option<usize>,
    /// No marks are laid beforehand: lanes are re-set by tape, which takes 3 minutes instead of 1
    #[arg(long, help_heading = "What is wanted")]
    by_tape: bool,
    /// Lanes wanted [default: as many as hurdles, floor, adults and children suit]
    #[arg(long, value_name = "K", help_heading = "What is wanted")]
    lanes_max: Option<u32>,

    /// Children who are not here; by name or id
    #[arg(long, value_name = "NAME[,NAME…]", value_delimiter = ',', help_heading = "Who does what")]
    pub(crate) absent: Vec<String>,
    /// Children who are here and do not run, but can help
    #[arg(long, value_name = "NAME[,NAME…]", value_delimiter = ',', help_heading = "Who does what")]
    pub(crate) helping: Vec<String>,
    /// Children who run, but without sprints and turns
    #[arg(long, value_name = "NAME[,NAME…]", value_delimiter = ',', help_heading = "Who does what")]
    pub(crate) easy: Vec<String>,

    /// Answer as JSON
    #[arg(long, help_heading = "What comes out")]
    pub(crate) json: bool,
    /// Writes the printed lesson, one sheet and a station's card, or the unit; - writes it to standard output
    #[cfg(feature = "pdf")]
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    pub(crate) pdf: Option<PathBuf>,
    #[cfg(feature = "pdf")]
    #[command(flatten)]
    pub(crate) print: printed::LessonPrintArgs,
    /// Steps after which the search for something better stops and says how far it may be off
    #[arg(long, value_name = "N", default_value_t = 10 * search::STEPS_MAX, help_heading = "What comes out")]
    steps_max: u64,

    #[command(flatten)]
    pub(crate) list: class::ListArgs,
}

#[cfg(feature = "pdf")]
impl Args {
    /// The files that are read.
    pub(crate) fn inputs(&self) -> Vec<&Path> {
        lanes::inputs(&self.class, self.ladder.as_ref(), self.history.as_ref())
    }

    /// Whether the print goes to standard output, which holds one thing.
    fn claims_stdout(&self, path: &Path) -> Result<bool, Failure> {
        let claims = path.as_os_str() == "-";
        if claims && self.json {
            return Err(Failure::new(
                Kind::Usage,
                "--json and --pdf - both want standard output; give one of them a file",
            ));
        }
        Ok(claims)
    }

    /// A stand-in takes one lesson.
    pub(crate) fn prints_one_lesson(&self) -> Result<(), Failure> {
        let flag = match (self.weeks, self.lesson_days.is_empty()) {
            (Some(_), _) => "--weeks",
            (None, false) => "--lesson-days",
            (None, true) => return Ok(()),
        };
        if self.pdf.is_none() {
            return Ok(());
        }
        let words = language::words(Units::Metric);
        Err(Failure::new(Kind::Usage, words.say(&Message::new("cli-unit-on-paper").text("flag", flag)))
            .and(words.say(&Message::new("cli-unit-on-paper-instead").text("flag", flag))))
    }
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum UseArg {
    WarmUp,
    Station,
    Lesson,
}

impl From<UseArg> for Use {
    fn from(use_for: UseArg) -> Self {
        match use_for {
            UseArg::WarmUp => Self::WarmUp,
            UseArg::Station => Self::Station,
            UseArg::Lesson => Self::Lesson,
        }
    }
}

fn minutes(text: &str) -> Result<u32, String> {
    text.trim().parse().map_err(|_| "write whole minutes, 3 to 180".to_owned())
}

fn part(text: &str) -> Result<FixedPart, String> {
    text.split_once('=')
        .and_then(|(what, minutes)| Some((what.trim(), minutes.trim().parse::<u32>().ok()?)))
        .filter(|(what, minutes)| !what.is_empty() && *minutes <= 120)
        .map(|(what, minutes)| FixedPart::new(what, minutes))
        .ok_or_else(|| "give a part and its minutes, such as talk=2".to_owned())
}

fn pin(text: &str) -> Result<PinAsk, String> {
    let wrong = || "give the block and its minutes, drill or both, such as 2=8:two-contact-walk".to_owned();
    let (block, what) = text.split_once('=').ok_or_else(wrong)?;
    let block =
        block.trim().parse::<usize>().ok().and_then(|block| block.checked_sub(1)).ok_or_else(wrong)?;
    let (minutes, drill) = match what.split_once(':') {
        Some((minutes, drill)) => (minutes.trim(), Some(drill.trim())),
        None if what.trim().parse::<u32>().is_ok() => (what.trim(), None),
        None => ("", Some(what.trim())),
    };
    let minutes = match minutes {
        "" => None,
        minutes => Some(minutes.parse::<u32>().map_err(|_| wrong())?),
    };
    let drill = drill.filter(|drill| !drill.is_empty()).map(|drill| DrillId(drill.to_owned()));
    if minutes.is_none() && drill.is_none() {
        return Err(wrong());
    }
    Ok(PinAsk { block, minutes, drill, ..PinAsk::default() })
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    #[cfg(feature = "pdf")]
    output::apart(&args.inputs(), &[("--pdf", args.pdf.as_deref())])?;
    let ladder = lanes::ladder(args.ladder.as_ref())?;
    let list = class::read(&args.class, &args.list)?;
    let history = match &args.history {
        Some(path) => {
            runs::read(path, args.skip_bad, &ladder, Some(Beside { runners: &list, runs_of: &args.runs_of }))?
        }
        None => Vec::new(),
    };
    let input = input(args, list, &ladder, &history)?;
    if let Some(dates) = unit_dates(args, input.lanes.today)? {
        let asked = UnitInput { lesson: input, dates, draws: DRAWS_USUAL, seed: args.seed };
        let planned = unit(&asked).map_err(|error| no_unit(&error, &ladder))?;
        #[cfg(feature = "pdf")]
        if let Some(path) = &args.pdf {
            let to_stdout = args.claims_stdout(path)?;
            let words = language::words(Units::Metric);
            output::write(
                path,
                &printed::unit_pdf(&planned, &ladder, &words, &args.print, &args.class, asked.dates[0])?,
            )?;
            if to_stdout {
                return Ok(());
            }
        }
        if args.json {
            let mut value = serde_json::to_value(&planned).expect("units are JSON values");
            value["notes"] = serde_json::to_value(said(&planned.notes)).expect("messages are JSON values");
            return output::print_json(&value);
        }
        return output::print(&lesson_text::unit_text(&planned, &ladder, &language::words(Units::Metric)));
    }
    let mut planned = lesson(&input).map_err(|error| no_lesson(&error, &ladder))?;
    // Heat is the first thing to take care of.
    planned.cautions.splice(0..0, heat(args)?);
    #[cfg(feature = "pdf")]
    if let Some(path) = &args.pdf {
        let to_stdout = args.claims_stdout(path)?;
        let words = language::words(Units::Metric);
        let day = input.lanes.today;
        output::write(path, &printed::lesson_pdf(&planned, &ladder, &words, &args.print, &args.class, day)?)?;
        if to_stdout {
            return Ok(());
        }
    }
    if args.json {
        return output::print_json(&spoken(&planned));
    }
    output::print(&lesson_text::text(&planned, &ladder, &language::words(Units::Metric)))
}

/// What the weather asks for.
pub(crate) fn heat(args: &Args) -> Result<Vec<Message>, Failure> {
    let wbgt = match (args.wbgt_c, args.air_c, args.humidity_pct) {
        (Some(wbgt_c), ..) => Wbgt::Measured(wbgt_c),
        (None, Some(air_c), Some(humidity_pct)) => wbgt_estimate(air_c, humidity_pct).map_err(no_heat)?,
        _ => return Ok(Vec::new()),
    };
    Ok(heat_advice(&wbgt, &Guidance::default()).map_err(no_heat)?.say)
}

fn no_heat(error: WeatherError) -> Failure {
    let flag = error.field.replace('_', "-");
    Failure::new(Kind::Usage, format!("--{flag} is {}; allowed is {}", error.provided, error.allowed))
}

/// The days of a unit's lessons, when a unit is asked for.
fn unit_dates(args: &Args, first: Date) -> Result<Option<Vec<Date>>, Failure> {
    let Some(weeks) = args.weeks else {
        return Ok((!args.lesson_days.is_empty()).then(|| args.lesson_days.clone()));
    };
    if !(2..=12).contains(&weeks) {
        return Err(Failure::new(Kind::Usage, format!("--weeks is {weeks}; allowed is 2 to 12")));
    }
    let days = (0..i64::from(weeks)).map(|week| first.checked_add(jiff::Span::new().weeks(week)));
    days.collect::<Result<Vec<Date>, _>>()
        .map(Some)
        .map_err(|error| Failure::new(Kind::Usage, format!("--weeks: the last lesson has no date: {error}")))
}

fn no_unit(error: &UnitError, ladder: &Ladder) -> Failure {
    match error {
        UnitError::Lesson { number: 1, error } => no_lesson(error, ladder),
        UnitError::Order { .. } => Failure::new(Kind::Usage, format!("--lesson-days: {error}")),
        error => Failure::new(Kind::NoPlan, language::words(Units::Metric).say(&error.message())),
    }
}

pub(crate) fn input<'a>(
    args: &Args,
    list: Vec<Runner>,
    ladder: &'a Ladder,
    history: &'a [Observation],
) -> Result<LessonInput<'a>, Failure> {
    let some = |flag: &str, names: &[String]| -> Result<Vec<RunnerId>, Failure> {
        names.iter().map(|name| lanes::find(&list, flag, name)).collect()
    };
    let absent = some("--absent", &args.absent)?;
    let helping = some("--helping", &args.helping)?;
    let easy = some("--easy", &args.easy)?;
    if let Some(both) = list.iter().find(|runner| absent.contains(&runner.id) && helping.contains(&runner.id))
    {
        let words = language::words(Units::Metric);
        let said = Message::new("cli-absent-and-helping").text("name", both.label.as_str());
        return Err(
            Failure::new(Kind::Usage, words.say(&said)).and(words.get("cli-absent-and-helping-remedy"))
        );
    }
    let labels: Vec<String> = list
        .iter()
        .filter(|runner| helping.contains(&runner.id))
        .map(|runner| runner.label.clone())
        .collect();
    let (class_mates, runners) =
        list.into_iter().partition(|runner| absent.contains(&runner.id) || helping.contains(&runner.id));
    let kit = Kit {
        hurdles: args
            .hurdles
            .iter()
            .map(|(count, height_cm)| HurdleStock {
                height_cm: height_cm.unwrap_or(HEIGHT_CM),
                count: *count,
            })
            .collect(),
        ..Kit::default()
    };
    let today = args.on.unwrap_or_else(|| jiff::ZonedDateTime::now().date());
    let lanes = PlanInput {
        class_mates,
        height_cm: usual_height_cm(&kit),
        space: args.floor.space(),
        lanes_max: args.lanes_max,
        adults: args.floor.adults,
        easy,
        ladder: Some(ladder.clone()),
        ..PlanInput::new(runners, Vec::new(), kit, today)
    };
    let drills = |flag: &str, ids: &[String]| -> Result<Vec<DrillId>, Failure> {
        ids.iter().map(|id| known_drill(flag, id, ladder)).collect()
    };
    for drill in args.fix.iter().filter_map(|pin| pin.drill.as_ref()) {
        known_drill("--fix", &drill.0, ladder)?;
    }
    let decide = Options {
        now: if history.is_empty() { jiff::Timestamp::now() } else { runs::latest(history) },
        losses: Losses::default(),
    };
    let use_for = args.use_for.into();
    Ok(LessonInput {
        fixed: (!args.fixed.is_empty()).then(|| args.fixed.clone()),
        change_minutes: if args.by_tape { CHANGE_BY_TAPE_MIN } else { CHANGE_ON_MARKS_MIN },
        only: drills("--drill", &args.only)?,
        without: drills("--without", &args.without)?,
        blocks_max: args.blocks_max,
        pins: args.fix.clone(),
        helping: labels,
        steps_max: args.steps_max,
        ..LessonInput::new(lanes, ladder, history, decide, use_for, args.minutes)
    })
}

fn known_drill(flag: &str, id: &str, ladder: &Ladder) -> Result<DrillId, Failure> {
    let id = id.trim();
    let known: Vec<&str> =
        ladder.drills().iter().filter(|drill| drill.gap.is_some()).map(|drill| drill.id.0.as_str()).collect();
    if known.contains(&id) {
        return Ok(DrillId(id.to_owned()));
    }
    let mut failure =
        Failure::new(Kind::Usage, format!("{flag}: there is no drill with hurdles called `{id}`"));
    if let Some(near) = lanes::nearest(id, &known) {
        failure = failure.and(format!("Did you mean `{near}`?"));
    }
    Err(failure.and(format!("There are: {}", known.join(", "))))
}

pub(crate) fn no_lesson(error: &LessonError, ladder: &Ladder) -> Failure {
    match error {
        LessonError::Plan(error) => lanes::no_plan(error),
        LessonError::UnknownDrill(id) if ladder.get(&id.0).is_some() => Failure::new(
            Kind::NoPlan,
            format!("the drill `{id}` cannot stand in this lesson: its needs or its lanes are not there"),
        )
        .and("Allow the drills that it needs, or take another one."),
        LessonError::Range { field, .. } => {
            Failure::new(Kind::Usage, error.to_string().replacen(field, flag_of(field), 1))
        }
        error => Failure::new(Kind::NoPlan, language::words(Units::Metric).say(&error.message())),
    }
}

/// The flag that sets what a range is about.
fn flag_of(field: &str) -> &str {
    match field {
        "blocks" => "--blocks-max",
        "minutes" => "--minutes",
        field => field,
    }
}

/// The lesson as other programs get it: with every message spoken.
fn spoken(lesson: &Lesson) -> Value {
    let spoken =
        |messages: &[Message]| serde_json::to_value(said(messages)).expect("messages are JSON values");
    let mut value = serde_json::to_value(lesson).expect("lessons are JSON values");
    for (key, messages) in [
        ("demonstrate", &lesson.demonstrate),
        ("talk", &lesson.talk),
        ("jobs", &lesson.jobs),
        ("card", &lesson.card),
        ("cautions", &lesson.cautions),
        ("prompts", &lesson.prompts),
        ("notes", &lesson.notes),
    ] {
        value[key] = spoken(messages);
    }
    for (index, block) in lesson.blocks.iter().enumerate() {
        value["blocks"][index]["why"] = spoken(&block.why);
    }
    for (index, help) in lesson.more_moving.iter().enumerate() {
        value["more_moving"][index]["say"] = spoken(std::slice::from_ref(&help.say))[0].take();
    }
    value
}
