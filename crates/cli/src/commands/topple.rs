//! `lanewright topple`: does a stand-in fall easily.

use std::fmt::Write as _;

use lanewright_model::plan_json::{Said, said};
use lanewright_model::words::Units;
use lanewright_model::{Arg, Message};
use lanewright_science::topple::{self, Finger, First, Object, Push, RestingBar, Topple, Verdict};
use serde::Serialize;

use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # What anyone can do: push it at the top with one finger, and weigh it.
  lanewright topple --push one-finger --mass-kg 0.4
  # A luggage scale hooked to the top edge gave way at 350 g.
  lanewright topple --push 350g --mass-kg 0.5
  # From mass and shape: a cardboard box 30 cm high and 20 cm deep.
  lanewright topple --mass-kg 0.6 --height-m 0.3 --half-depth-m 0.1 --centre-height-m 0.15 --friction 0.4
  # A stick that rests on two cones.
  lanewright topple --resting-bar --mass-kg 0.15 --friction 0.4";

const NOTES: &str = "\
A verdict is no approval: try it on your own floor, from every side children may come.
The rules of your school come first. How it is computed: docs/methods/topple.md

Exit codes:
  0  done, whatever the verdict
  2  a flag is missing or cannot be understood";

/// Says whether a stand-in hurdle falls easily when a foot hits it.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = NOTES, arg_required_else_help = true,
    allow_negative_numbers = true)]
pub(crate) struct Args {
    /// Push at the top that makes it give: one-finger, hand, hardly, or a reading such as 350g, 3.5N
    #[arg(long, value_name = "PUSH", value_parser = push)]
    push: Option<Push>,
    /// Mass of the part that moves
    #[arg(long, value_name = "KG")]
    mass_kg: Option<f64>,
    /// Height at which the foot hits
    #[arg(long, value_name = "M")]
    height_m: Option<f64>,
    /// Centre of mass to the far edge over which it tips, along the floor
    #[arg(long, value_name = "M")]
    half_depth_m: Option<f64>,
    /// Height of the centre of mass
    #[arg(long, value_name = "M")]
    centre_height_m: Option<f64>,
    /// Friction with the floor: about 0.3 on polish, 0.4 for card or wood, 0.6 for rubber feet
    #[arg(long, value_name = "SHARE")]
    friction: Option<f64>,
    /// It is a bar that rests on two supports; needs --mass-kg and --friction
    #[arg(long, conflicts_with_all = ["push", "height_m", "half_depth_m", "centre_height_m"])]
    resting_bar: bool,
    /// Slope of the lip that holds the bar; 0 on flat tops
    #[arg(long, value_name = "DEGREES", default_value_t = 0.0, requires = "resting_bar")]
    lip_deg: f64,
    /// Answer as JSON (docs/formats/topple.md)
    #[arg(long)]
    json: bool,
}

fn push(text: &str) -> Result<Push, String> {
    let number = |text: &str, unit: &str| {
        text.strip_suffix(unit)
            .and_then(|number| number.trim().parse::<f64>().ok())
            .filter(|number| *number > 0.0)
    };
    match text {
        "one-finger" => return Ok(Push::OneFinger(Finger::Easily)),
        "hand" => return Ok(Push::OneFinger(Finger::NeedsHand)),
        "hardly" => return Ok(Push::OneFinger(Finger::Hardly)),
        _ => {}
    }
    let lower = text.to_lowercase();
    if let Some(kilograms) = number(&lower, "kg") {
        return Ok(Push::Grams(kilograms * 1000.0));
    }
    if let Some(grams) = number(&lower, "g") {
        return Ok(Push::Grams(grams));
    }
    number(&lower, "n").map(Push::Newtons).ok_or_else(|| {
        "say one-finger, hand or hardly, or a reading with its unit such as 3.5N or 350g".to_owned()
    })
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let topple = judge(args)?;
    if args.json { output::print_json(&ToppleOut::new(&topple)) } else { output::print(&text(&topple)) }
}

fn judge(args: &Args) -> Result<Topple, Failure> {
    let allowed =
        |flag: &str, value: Option<f64>, range: std::ops::RangeInclusive<f64>, allowed: &str| match value
            .filter(|value| !range.contains(value))
        {
            Some(provided) => {
                Err(Failure::new(Kind::Usage, format!("{flag} is {provided}; allowed is {allowed}")))
            }
            None => Ok(()),
        };
    allowed("--mass-kg", args.mass_kg, 0.01..=200.0, "0.01 to 200 kg")?;
    allowed("--friction", args.friction, 0.01..=2.0, "0.01 to 2")?;
    allowed("--lip-deg", Some(args.lip_deg), 0.0..=89.0, "0 to 89 degrees")?;
    if args.resting_bar {
        let bar = RestingBar {
            mass_kg: needed(args.mass_kg, "--mass-kg")?,
            friction: needed(args.friction, "--friction")?,
            lip_rad: args.lip_deg.to_radians(),
        };
        return Ok(topple::judge_resting_bar(&bar));
    }
    let shape = [args.height_m, args.half_depth_m, args.centre_height_m, args.friction];
    let object = if args.push.is_none() || shape.iter().any(Option::is_some) {
        let object = Object {
            mass_kg: needed(args.mass_kg, "--mass-kg")?,
            height_m: needed(args.height_m, "--height-m")?,
            half_depth_m: needed(args.half_depth_m, "--half-depth-m")?,
            centre_height_m: needed(args.centre_height_m, "--centre-height-m")?,
            friction: needed(args.friction, "--friction")?,
        };
        object.check().map_err(|error| {
            let flag = error.field.replace('_', "-");
            Failure::new(Kind::Usage, format!("--{flag} is {}; allowed is {}", error.provided, error.allowed))
        })?;
        Some(object)
    } else {
        None
    };
    Ok(match (args.push, object) {
        (Some(push), object) => topple::from_push(push, args.mass_kg, object.as_ref()),
        (None, Some(object)) => topple::judge(&object),
        (None, None) => unreachable!("without a push a shape was asked for"),
    })
}

fn needed(value: Option<f64>, flag: &str) -> Result<f64, Failure> {
    value.ok_or_else(|| {
        Failure::new(Kind::Usage, format!("{flag} is missing"))
            .and("Give mass and shape (--mass-kg --height-m --half-depth-m --centre-height-m --friction),")
            .and("or try it by hand: lanewright topple --push one-finger --mass-kg 0.4")
    })
}

/// The verdict as other programs get it.
#[derive(Serialize)]
struct ToppleOut<'a> {
    tip_force_n: Option<f64>,
    slide_force_n: Option<f64>,
    tip_energy_j: Option<f64>,
    effective_mass_kg: Option<f64>,
    first: First,
    verdict: Verdict,
    why: Vec<Said<'a>>,
    cautions: Vec<Said<'a>>,
    measured_force_n: Option<f64>,
}

impl<'a> ToppleOut<'a> {
    fn new(topple: &'a Topple) -> Self {
        // Taken apart by name, so that a new field is not forgotten here.
        let Topple {
            tip_force_n,
            slide_force_n,
            tip_energy_j,
            effective_mass_kg,
            first,
            verdict,
            why,
            cautions,
            measured_force_n,
        } = topple;
        Self {
            tip_force_n: *tip_force_n,
            slide_force_n: *slide_force_n,
            tip_energy_j: *tip_energy_j,
            effective_mass_kg: *effective_mass_kg,
            first: *first,
            verdict: *verdict,
            why: said(why),
            cautions: said(cautions),
            measured_force_n: *measured_force_n,
        }
    }
}

fn text(topple: &Topple) -> String {
    let words = language::words(Units::Metric);
    let mut text = String::new();
    let verdict = match topple.verdict {
        Verdict::FallsEasily => "topple-falls-easily",
        Verdict::TooFirm => "topple-too-firm",
        Verdict::NotEnoughKnown => "topple-not-enough-known",
    };
    let _ = writeln!(text, "{}", words.get(verdict));
    for reason in &topple.why {
        output::bullet(&words.say(reason), &mut text);
    }
    let figures: Vec<String> = [
        topple.tip_force_n.map(|force| ("topple-figure-tips", Arg::ForceN(force))),
        topple.slide_force_n.map(|force| {
            let id =
                if topple.first == First::BarFalls { "topple-figure-bar" } else { "topple-figure-slides" };
            (id, Arg::ForceN(force))
        }),
        topple
            .tip_energy_j
            .map(|energy| ("topple-figure-work", Arg::Number((energy * 1000.0).round() / 1000.0))),
        topple.effective_mass_kg.map(|mass| ("topple-figure-mass", Arg::Number(mass))),
    ]
    .into_iter()
    .flatten()
    .map(|(id, value)| words.say(&Message::new(id).with("value", value)))
    .collect();
    if !figures.is_empty() {
        let _ = writeln!(text, "\n{}: {}.", words.get("topple-figures"), figures.join("; "));
    }
    let _ = writeln!(text, "\n{}", words.get("topple-before"));
    for caution in &topple.cautions {
        output::bullet(&words.say(caution), &mut text);
    }
    text
}
