//! `lanewright lanes`: from a class list and a bag of hurdles to lanes on the floor.

use std::path::{Path, PathBuf};

use jiff::civil::Date;
use lanewright_draw::{FloorOptions, floor_plan};
use lanewright_model::drill::{Drill, Family, Ladder};
use lanewright_model::kit::{HurdleStock, Kit, Space, Surface};
use lanewright_model::plan_json::PlanOut;
use lanewright_model::runner::{Runner, RunnerId};
use lanewright_model::words::Units;
use lanewright_science::plan::{HEIGHT_CM, PlanError, PlanInput, Wishes, lane_index, plan, usual_height_cm};

use crate::class;
use crate::commands::lanes_text;
#[cfg(feature = "pdf")]
use crate::commands::printed;
use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # A class, 24 hurdles, a hall of 28 by 15 metres with walls all round.
  lanewright lanes --class 7-larch.csv --drill alternate-run --hurdles 24 --space 28x15
  # Walk and run on the same lanes, with the floor plan as a drawing.
  lanewright lanes --class 7-larch.csv --drill alternate-walk,alternate-run --hurdles 24 --svg lanes.svg
  # The plan on paper, with marks in your own shoe lengths for want of a tape.
  lanewright lanes --class 7-larch.csv --drill alternate-run --hurdles 24 --space 28x15 \\
    --pdf lanes.pdf --shoe-length-m 0.29
  # Who is absent does not run; a sprint of 8 m follows the last hurdle; for another program.
  lanewright lanes --class 7-larch.csv --drill alternate-run --hurdles 24 --absent Wren,Idris \\
    --exit-sprint-m 8 --json
  # From another program, sixteen hurdles of 30 cm and eight of 20 cm.
  cat 7-larch.csv | lanewright lanes --class - --drill two-contact-run --hurdles 16x30,8x20";

const NOTES: &str = "\
The class list needs a column of names; sex, age or birth date, stature, leg length and step length make
the gaps surer (docs/formats/class-list.md). The JSON is described in docs/formats/lanes.md.

Keep the stopping room clear. The rules of your school come first.";

fn notes() -> String {
    let ladder = Ladder::built_in();
    let drills = ladder.drills().iter().filter(|drill| drill.gap.is_some() || drill.family == Family::Free);
    let drills: String = drills.map(|drill| format!("\n  {:<17} {}", drill.id.0, drill.how)).collect();
    format!("Drills, slow ones first:{drills}\n\n{NOTES}\n\n{}", crate::EXIT_CODES)
}

/// Plans the lanes for a class: every child's own gap, who runs where, tape marks, and whether it fits the floor.
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
    class: PathBuf,
    /// Drills by id, the main one first; they are listed below
    #[arg(
        long = "drill",
        value_name = "ID[,ID…]",
        value_delimiter = ',',
        required = true,
        help_heading = "What there is"
    )]
    drills: Vec<String>,
    /// Hurdles in the bag: a number, or numbers by height in cm such as 16x30,8x20
    #[arg(long, value_name = "TOTAL", value_parser = hurdles, help_heading = "What there is")]
    hurdles: Hurdles,
    /// Height wanted; 0 for floor lines [default: 30, or what most hurdles have]
    #[arg(long, value_name = "CM", help_heading = "What there is")]
    height_cm: Option<f64>,
    #[command(flatten)]
    floor: FloorArgs,
    /// Width of a hurdle
    #[arg(long, value_name = "M", default_value_t = Kit::default().hurdle_width_m, help_heading = "What there is")]
    hurdle_width_m: f64,
    /// Depth of a hurdle's base along the lane
    #[arg(long, value_name = "M", default_value_t = Kit::default().base_depth_m, help_heading = "What there is")]
    base_depth_m: f64,
    /// Drill ladder of your own, in the form of crates/model/data/drills.toml
    #[arg(long, value_name = "FILE.toml", help_heading = "What there is")]
    ladder: Option<PathBuf>,
    /// Day for which ages count [default: today]
    #[arg(long, value_name = "YYYY-MM-DD", help_heading = "What there is")]
    on: Option<Date>,

    /// Lanes wanted [default: as many as hurdles, floor, adults and children suit]
    #[arg(long, value_name = "K", help_heading = "What is wanted")]
    lanes_max: Option<u32>,
    /// Speed as a share of top speed, 0.05 to 1 [default: the drill's own]
    #[arg(long, value_name = "SHARE", help_heading = "What is wanted")]
    effort: Option<f64>,
    /// Sprint after the last hurdle
    #[arg(long, value_name = "M", default_value_t = 0.0, help_heading = "What is wanted")]
    exit_sprint_m: f64,
    /// Most hurdles in a lane, when the floor is short
    #[arg(long, value_name = "N", help_heading = "What is wanted")]
    hurdles_per_lane_max: Option<u32>,
    /// Most steps of run-up, when the floor is short
    #[arg(long, value_name = "N", help_heading = "What is wanted")]
    run_up_steps_max: Option<u32>,

    /// Children who are not here, or here and not running; by name or id
    #[arg(long, value_name = "NAME[,NAME…]", value_delimiter = ',', help_heading = "Who runs where")]
    absent: Vec<String>,
    /// Children who run, but without sprints and turns
    #[arg(long, value_name = "NAME[,NAME…]", value_delimiter = ',', help_heading = "Who runs where")]
    easy: Vec<String>,
    /// Lane that a child runs in, such as Wren=A; A has the shortest gap for the first drill
    #[arg(long, value_name = "NAME=LANE", value_delimiter = ',', help_heading = "Who runs where")]
    only: Vec<String>,
    /// Lane that a child is kept out of, such as Wren=D
    #[arg(long, value_name = "NAME=LANE", value_delimiter = ',', help_heading = "Who runs where")]
    never: Vec<String>,
    /// Children who share a lane, such as Wren+Idris
    #[arg(long, value_name = "NAME+NAME", value_delimiter = ',', help_heading = "Who runs where")]
    together: Vec<String>,
    /// Children who do not share a lane
    #[arg(long, value_name = "NAME+NAME", value_delimiter = ',', help_heading = "Who runs where")]
    apart: Vec<String>,

    /// Answer as JSON, always in metres
    #[arg(long, help_heading = "What comes out")]
    json: bool,
    /// Writes the floor plan as a drawing; - writes it to standard output instead of the text
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    svg: Option<PathBuf>,
    /// Writes the printed plan: floor, strips, and a list of marks for each lane; - as above
    #[cfg(feature = "pdf")]
    #[arg(long, value_name = "FILE", help_heading = "What comes out")]
    pdf: Option<PathBuf>,
    #[cfg(feature = "pdf")]
    #[command(flatten)]
    print: printed::PrintArgs,
    /// Units of text and drawings
    #[arg(long, value_enum, default_value = "metric", help_heading = "What comes out")]
    units: UnitsArg,

    #[command(flatten)]
    list: class::ListArgs,
}

/// The floor, and who watches on it.
#[derive(clap::Args)]
pub(crate) struct FloorArgs {
    /// Floor in metres, the running direction first, such as 32x18
    #[arg(long, value_name = "LxW", value_parser = size, allow_hyphen_values = true, help_heading = "What there is")]
    space: Option<(f64, f64)>,
    /// What the floor is made of; slippery: wet grass or dust, hard: asphalt or concrete
    #[arg(long, value_enum, default_value = "hall", requires = "space", help_heading = "What there is")]
    surface: SurfaceArg,
    /// Where walls are: all, none, or some of start,finish,left,right
    #[arg(long, value_name = "SIDES", value_parser = walls, default_value = "all", requires = "space",
        help_heading = "What there is")]
    walls: Walls,
    /// Adults who watch lanes
    #[arg(long, value_name = "N", default_value_t = 1, help_heading = "What there is")]
    pub(crate) adults: u32,
}

impl FloorArgs {
    /// Returns the floor, where one was given.
    pub(crate) fn space(&self) -> Option<Space> {
        self.space.map(|(length_m, width_m)| Space {
            length_m,
            width_m,
            surface: self.surface.into(),
            wall_start: self.walls.start,
            wall_finish: self.walls.finish,
            wall_left: self.walls.left,
            wall_right: self.walls.right,
        })
    }
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum SurfaceArg {
    Hall,
    Track,
    Grass,
    Slippery,
    Hard,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum UnitsArg {
    Metric,
    Feet,
}

impl From<SurfaceArg> for Surface {
    fn from(surface: SurfaceArg) -> Self {
        match surface {
            SurfaceArg::Hall => Self::Hall,
            SurfaceArg::Track => Self::Track,
            SurfaceArg::Grass => Self::Grass,
            SurfaceArg::Slippery => Self::Slippery,
            SurfaceArg::Hard => Self::Hard,
        }
    }
}

/// Hurdles by height; the height is absent where only their number was given.
pub(crate) type Hurdles = std::sync::Arc<Vec<(u32, Option<f64>)>>;

pub(crate) fn hurdles(text: &str) -> Result<Hurdles, String> {
    let wrong = || "give a number such as 24, or numbers by height in cm such as 16x30,8x20".to_owned();
    let entries: Option<Vec<(u32, Option<f64>)>> = text
        .split(',')
        .map(|entry| match entry.split_once(['x', 'X', '×']) {
            None => Some((entry.trim().parse().ok()?, None)),
            Some((count, height)) => {
                let height_cm: f64 = height.trim().trim_end_matches("cm").trim().parse().ok()?;
                Some((
                    count.trim().parse().ok()?,
                    Some(height_cm).filter(|cm| (0.0..=60.0).contains(cm))?.into(),
                ))
            }
        })
        .collect();
    let entries = entries.ok_or_else(wrong)?;
    let plain = entries.iter().filter(|(_, height)| height.is_none()).count();
    let total: u64 = entries.iter().map(|(count, _)| u64::from(*count)).sum();
    match (plain, entries.len(), total) {
        (0, _, 0..=1000) | (1, 1, 0..=1000) => Ok(entries.into()),
        (_, _, 1001..) => Err("that is more than 1000 hurdles".to_owned()),
        _ => Err(wrong()),
    }
}

fn size(text: &str) -> Result<(f64, f64), String> {
    let metres = |text: &str| text.trim().trim_end_matches('m').trim().parse::<f64>().ok();
    text.split_once(['x', 'X', '×'])
        .and_then(|(length, width)| Some((metres(length)?, metres(width)?)))
        .filter(|(length, width)| (1.0..=500.0).contains(length) && (1.0..=500.0).contains(width))
        .ok_or_else(|| "give length x width in metres, 1 to 500, such as 28x15".to_owned())
}

#[derive(Clone, Copy, Default)]
struct Walls {
    start: bool,
    finish: bool,
    left: bool,
    right: bool,
}

fn walls(text: &str) -> Result<Walls, String> {
    let mut walls = Walls::default();
    match text {
        "all" => return Ok(Walls { start: true, finish: true, left: true, right: true }),
        "none" => return Ok(walls),
        _ => {}
    }
    for side in text.split(',') {
        match side.trim() {
            "start" => walls.start = true,
            "finish" => walls.finish = true,
            "left" => walls.left = true,
            "right" => walls.right = true,
            other => {
                return Err(format!(
                    "`{other}` is no side; say all, none, or some of start,finish,left,right"
                ));
            }
        }
    }
    Ok(walls)
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    check_outputs(args)?;
    let ladder = ladder(args.ladder.as_ref())?;
    let drills = drills(&args.drills, &ladder)?;
    let list = class::read(&args.class, &args.list)?;
    let input = input(args, ladder, drills, list)?;
    let plan = plan(&input).map_err(|error| no_plan(&error))?;
    let units = match args.units {
        UnitsArg::Metric => Units::Metric,
        UnitsArg::Feet => Units::FeetInches,
    };
    let words = language::words(units);
    let asked = lanes_text::Asked {
        sprint: input.exit_sprint_m > 0.0 && input.drills.iter().any(|drill| !drill.walk && !drill.both_ways),
    };
    let mut to_stdout = false;
    if let Some(path) = &args.svg {
        let figure = floor_plan(&plan, &words, &FloorOptions::default());
        output::write(path, figure.svg.as_bytes())?;
        to_stdout = path.as_os_str() == "-";
    }
    #[cfg(feature = "pdf")]
    if let Some(path) = &args.pdf {
        output::write(path, &printed::pdf(&plan, &words, &args.print, &args.class, input.today)?)?;
        to_stdout |= path.as_os_str() == "-";
    }
    match (to_stdout, args.json) {
        (true, _) => Ok(()),
        (false, true) => output::print(&PlanOut::new(&plan).to_json()),
        (false, false) => output::print(&lanes_text::text(&plan, asked, &words)),
    }
}

/// Standard output holds one thing, and no output replaces an input.
fn check_outputs(args: &Args) -> Result<(), Failure> {
    let is_stdout = |path: &Option<PathBuf>| path.as_ref().is_some_and(|path| path.as_os_str() == "-");
    let mut claims = vec![("--json", args.json), ("--svg -", is_stdout(&args.svg))];
    #[cfg(feature = "pdf")]
    claims.push(("--pdf -", is_stdout(&args.pdf)));
    claims.retain(|(_, claimed)| *claimed);
    if let [(first, _), (second, _), ..] = claims[..] {
        return Err(Failure::new(
            Kind::Usage,
            format!("{first} and {second} both want standard output; give one of them a file"),
        ));
    }
    let mut outputs = vec![("--svg", args.svg.as_deref())];
    #[cfg(feature = "pdf")]
    outputs.push(("--pdf", args.pdf.as_deref()));
    output::apart(&inputs(&args.class, args.ladder.as_ref(), None), &outputs)
}

/// The files that a command on a class reads.
pub(crate) fn inputs<'a>(
    class: &'a Path,
    ladder: Option<&'a PathBuf>,
    runs: Option<&'a PathBuf>,
) -> Vec<&'a Path> {
    [Some(class), ladder.map(PathBuf::as_path), runs.map(PathBuf::as_path)].into_iter().flatten().collect()
}

/// Reads a ladder of the user's own, or returns the built-in one.
pub(crate) fn ladder(path: Option<&PathBuf>) -> Result<Ladder, Failure> {
    let Some(path) = path else { return Ok(Ladder::built_in()) };
    let bytes = output::read(path)?;
    let text = String::from_utf8(bytes)
        .map_err(|_| Failure::new(Kind::Read, format!("`{}` is not UTF-8 text", path.display())))?;
    Ladder::from_toml(&text)
        .map_err(|error| Failure::new(Kind::Read, format!("`{}`: {error}", path.display())))
}

fn drills(ids: &[String], ladder: &Ladder) -> Result<Vec<Drill>, Failure> {
    let mut drills: Vec<Drill> = Vec::new();
    for id in ids {
        let id = id.trim();
        let Some(drill) = ladder.get(id) else {
            let known: Vec<&str> = ladder.drills().iter().map(|drill| drill.id.0.as_str()).collect();
            let mut failure = Failure::new(Kind::Usage, format!("--drill: there is no drill `{id}`"));
            if let Some(near) = nearest(id, &known) {
                failure = failure.and(format!("Did you mean `{near}`?"));
            }
            return Err(failure.and(format!("There are: {}", known.join(", "))));
        };
        if drills.iter().all(|known| known.id != drill.id) {
            drills.push(drill.clone());
        }
    }
    Ok(drills)
}

fn input(args: &Args, ladder: Ladder, drills: Vec<Drill>, list: Vec<Runner>) -> Result<PlanInput, Failure> {
    let find = |flag: &str, name: &str| find(&list, flag, name);
    let some = |flag: &str, names: &[String]| -> Result<Vec<RunnerId>, Failure> {
        names.iter().map(|name| find(flag, name)).collect()
    };
    let pairs = |flag: &str, pairs: &[String]| -> Result<Vec<(RunnerId, RunnerId)>, Failure> {
        pairs
            .iter()
            .map(|pair| {
                let (first, second) = pair.split_once('+').ok_or_else(|| {
                    Failure::new(Kind::Usage, format!("{flag}: `{pair}` is no pair; write NAME+NAME"))
                })?;
                Ok((find(flag, first)?, find(flag, second)?))
            })
            .collect()
    };
    let places = |flag: &str, places: &[String]| -> Result<Vec<(RunnerId, String)>, Failure> {
        places
            .iter()
            .map(|place| {
                let (name, lane) = place
                    .split_once('=')
                    .filter(|(_, lane)| lane_index(lane).is_some())
                    .ok_or_else(|| {
                        Failure::new(
                            Kind::Usage,
                            format!("{flag}: `{place}` is no lane for a child; write NAME=A"),
                        )
                    })?;
                Ok((find(flag, name)?, lane.trim().to_uppercase()))
            })
            .collect()
    };
    let absent = some("--absent", &args.absent)?;
    let wishes = Wishes {
        only: places("--only", &args.only)?,
        never: places("--never", &args.never)?,
        together: pairs("--together", &args.together)?,
        apart: pairs("--apart", &args.apart)?,
    };
    let easy = some("--easy", &args.easy)?;
    let (class_mates, runners) = list.into_iter().partition(|runner| absent.contains(&runner.id));

    let plain_cm = args.height_cm.unwrap_or(HEIGHT_CM);
    let kit = Kit {
        hurdles: args
            .hurdles
            .iter()
            .map(|(count, height_cm)| HurdleStock { height_cm: height_cm.unwrap_or(plain_cm), count: *count })
            .collect(),
        hurdle_width_m: args.hurdle_width_m,
        base_depth_m: args.base_depth_m,
        shoe_length_m: None,
    };
    let today = args.on.unwrap_or_else(|| jiff::ZonedDateTime::now().date());
    Ok(PlanInput {
        class_mates,
        effort: args.effort,
        height_cm: args.height_cm.unwrap_or_else(|| usual_height_cm(&kit)),
        space: args.floor.space(),
        lanes_max: args.lanes_max,
        adults: args.floor.adults,
        exit_sprint_m: args.exit_sprint_m,
        hurdles_per_lane_max: args.hurdles_per_lane_max,
        run_up_steps_max: args.run_up_steps_max,
        wishes,
        easy,
        ladder: Some(ladder),
        ..PlanInput::new(runners, drills, kit, today)
    })
}

/// Finds a child by id or name; capitals do not matter.
pub(crate) fn find(list: &[Runner], flag: &str, name: &str) -> Result<RunnerId, Failure> {
    let name = name.trim();
    let is = |text: &str| text.to_lowercase() == name.to_lowercase();
    if let Some(found) =
        list.iter().find(|runner| is(&runner.id.0)).or_else(|| list.iter().find(|runner| is(&runner.label)))
    {
        return Ok(found.id.clone());
    }
    let labels: Vec<&str> = list.iter().map(|runner| runner.label.as_str()).collect();
    let failure = Failure::new(Kind::Usage, format!("{flag}: nobody in the class list is called `{name}`"));
    Err(match nearest(name, &labels) {
        Some(near) => failure.and(format!("Did you mean `{near}`?")),
        None => failure.and("Write the name as it stands in the class list, or the id."),
    })
}

/// The known word that differs least, when it is near enough to be meant.
pub(crate) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    let word = word.to_lowercase();
    known
        .iter()
        .map(|candidate| (edits(&word, &candidate.to_lowercase()), *candidate))
        .filter(|(edits, _)| *edits <= 1 + word.chars().count() / 4)
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// Letters to insert, drop or change to get from one word to the other.
fn edits(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (at, letter) in from.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = at + 1;
        for column in 1..=to.len() {
            let change = diagonal + usize::from(letter != to[column - 1]);
            diagonal = row[column];
            row[column] = change.min(row[column] + 1).min(row[column - 1] + 1);
        }
    }
    row[to.len()]
}

pub(crate) fn no_plan(error: &PlanError) -> Failure {
    let words = language::words(Units::Metric);
    let kind = if matches!(error, PlanError::Range { .. }) { Kind::Usage } else { Kind::NoPlan };
    let failure = match error {
        PlanError::Range { field, .. } => {
            let flag = match *field {
                "length_m" | "width_m" => "--space".to_owned(),
                "hurdles.height_cm" => "--hurdles".to_owned(),
                field => format!("--{}", field.replace('_', "-")),
            };
            return Failure::new(kind, error.to_string().replacen(field, &flag, 1));
        }
        error => Failure::new(kind, words.say(&error.message())),
    };
    match error {
        PlanError::Wishes(wishes) => {
            wishes.iter().fold(failure, |failure, wish| failure.and(format!("- {}", words.say(wish))))
        }
        _ => failure,
    }
}
