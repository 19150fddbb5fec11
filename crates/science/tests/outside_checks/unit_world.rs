//! Simulated classes with known truth, for looking back at forecasts. Nothing here comes from the forecaster:
//! abilities, learning curves, forms of the day and forgetting are this file's own.

use jiff::Timestamp;
use jiff::civil::date;
use lanewright_dice::Dice;
use lanewright_model::drill::Ladder;
use lanewright_model::kit::{HurdleStock, Kit};
use lanewright_model::run::{HurdleSet, Observation, Run, Source, Watched};
use lanewright_model::runner::Runner;
use lanewright_science::decide::{Losses, Options};
use lanewright_science::lesson::{LessonInput, Use};
use lanewright_science::plan::PlanInput;
use lanewright_science::unit::{RunsAhead, expect_runs};

/// How children learn in a world.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Curve {
    /// Fastest at 84 % success, as the forecaster assumes, but with noise in every run.
    NearSure,
    /// Fastest at 50 %: much at first, ever less later.
    Slowing,
    /// The same step with every run.
    Steady,
}

fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-x))
}

pub const DRILLS: [&str; 4] = ["single-walk", "alternate-walk", "two-contact-walk", "alternate-run"];
pub const HURDLES: u32 = 8;
/// Form of the day in the usual world.
pub const USUAL_FORM: f64 = 0.28;

/// One class and what it learned.
struct World {
    curve: Curve,
    /// How much a child's form differs from day to day: standard deviation in log-odds.
    form_sd: f64,
    broken_p: f64,
    stay_p: f64,
    sound_logit: f64,
    /// How good each child is at each drill: log-odds of not breaking down.
    skill: Vec<[f64; 4]>,
    /// How fast each child learns.
    pace: Vec<f64>,
    dice: Dice,
}

impl World {
    fn new(curve: Curve, form_sd: f64, children: usize, seed: u64) -> Self {
        let mut dice = Dice(seed.wrapping_mul(7919).wrapping_add(11));
        let class = 0.45 * dice.normal();
        let levels: [f64; 4] = [2.3, 2.0, 1.9, 1.35].map(|usual| usual + class + 0.4 * dice.normal());
        let class_pace = libm::exp(0.35 * dice.normal());
        let mut skill = Vec::new();
        let mut pace = Vec::new();
        for _ in 0..children {
            let child = 0.7 * dice.normal();
            skill.push(levels.map(|level| level + child + 0.6 * dice.normal()));
            pace.push(class_pace * libm::exp(0.4 * dice.normal()));
        }
        Self {
            curve,
            form_sd,
            broken_p: dice.between(0.45, 0.65),
            stay_p: dice.between(0.55, 0.75),
            sound_logit: dice.between(-4.0, -3.0),
            skill,
            pace,
            dice,
        }
    }

    /// Long-run share of hurdles standing at that skill.
    fn rate(&self, skill: f64) -> f64 {
        let (mut broken, mut stood) = (0.0, 0.0);
        let break_p = logistic(-skill);
        let sound_p = logistic(self.sound_logit - 0.6 * (skill - 2.5));
        for _ in 0..HURDLES {
            broken = broken * self.stay_p + (1.0 - broken) * break_p;
            stood += (1.0 - broken) * (1.0 - sound_p) + broken * (1.0 - self.broken_p);
        }
        stood / f64::from(HURDLES)
    }

    /// One run: what fell; the child learns from it.
    fn run(&mut self, child: usize, drill: usize, form: f64) -> HurdleSet {
        let skill = self.skill[child][drill];
        let today = skill + form;
        let break_p = logistic(-today);
        let sound_p = logistic(self.sound_logit - 0.6 * (today - 2.5));
        let (mut is_broken, mut bits) = (false, 0u64);
        for place in 0..HURDLES {
            is_broken = self.dice.share() < if is_broken { self.stay_p } else { break_p };
            if self.dice.share() < if is_broken { self.broken_p } else { sound_p } {
                bits |= 1 << place;
            }
        }
        let rate = self.rate(skill);
        // Each curve takes a middle child from 60 to 88 % in about forty runs.
        let step = match self.curve {
            Curve::NearSure => 0.062 * libm::exp(-0.5 * ((rate - 0.84) / 0.14) * ((rate - 0.84) / 0.14)),
            Curve::Slowing => 0.3 * rate * (1.0 - rate),
            Curve::Steady => 0.05,
        };
        self.skill[child][drill] += self.pace[child] * step * self.dice.between(0.0, 2.0);
        HurdleSet(bits)
    }

    /// One lesson on `day`: 5 to 12 runs of each child at two or three drills.
    fn lesson(&mut self, number: usize, day: i64, absent: f64) -> Vec<Observation> {
        let drills: &[usize] = match number {
            0 => &[0, 1],
            1 => &[0, 1, 2],
            2 => &[1, 2],
            _ => &[1, 2, 3],
        };
        let runs = 5 + (self.dice.share() * 6.0) as usize;
        let weather = 0.1 * self.dice.normal();
        let start = at_day(day);
        let mut seen = Vec::new();
        for child in 0..self.skill.len() {
            if self.dice.share() < absent {
                continue;
            }
            for drill in drills {
                let form = weather + self.form_sd * self.dice.normal();
                let own = runs + (self.dice.share() * 3.0) as usize;
                for index in 0..own {
                    let knocked = self.run(child, *drill, form);
                    seen.push(run(child, *drill, start + 60 * index as i64, knocked));
                }
            }
        }
        seen
    }

    fn rest(&mut self, days: i64) {
        let lost = 0.2 * (1.0 - libm::exp2(-days as f64 / 20.0));
        for skill in self.skill.iter_mut().flatten() {
            *skill -= lost * self.dice.between(0.5, 1.5);
        }
    }
}

const FIRST_DAY: i64 = 20_515; // 2026-03-03

fn at_day(day: i64) -> i64 {
    day * 86_400 + 36_000
}

fn run(child: usize, drill: usize, second: i64, knocked: HurdleSet) -> Observation {
    Observation::Run(Run {
        runner: format!("c{child:02}"),
        drill: DRILLS[drill].into(),
        lane: "A".into(),
        class: None,
        at: Timestamp::from_second(second).expect("a time"),
        lead: None,
        hurdles: HURDLES,
        knocked,
        down_before: HurdleSet::default(),
        watched: Watched::Knocks,
        faults: Vec::new(),
        effort: None,
        exit_sprint: false,
        gap_m: None,
        height_cm: None,
        setup: "A1".into(),
        source: Source::Tap,
    })
}

/// How often forecasts held what happened.
#[derive(Debug, Clone, Copy, Default)]
pub struct Held {
    /// Outcomes looked at.
    pub outcomes: f64,
    /// Inside the 80 % range, its ends counting as inside.
    pub in_80: f64,
    /// Inside the 90 % range.
    pub in_90: f64,
    /// Sum of outcome minus mean.
    pub error: f64,
    /// Sum of the squares of outcome minus mean.
    pub square: f64,
    /// The same for the lesson before as the forecast, where the child ran the drill in it, with the number of them.
    pub last_square: (f64, f64, f64),
    /// Sum of the widths of the 80 % range.
    pub width: f64,
}

impl Held {
    pub fn add(&mut self, other: &Self) {
        self.outcomes += other.outcomes;
        self.in_80 += other.in_80;
        self.in_90 += other.in_90;
        self.error += other.error;
        self.square += other.square;
        self.width += other.width;
        self.last_square.0 += other.last_square.0;
        self.last_square.1 += other.last_square.1;
        self.last_square.2 += other.last_square.2;
    }
}

/// Follows one class through `lessons` lessons and looks back at the forecast made after each for the next.
///
/// Returns one [`Held`] for each lesson forecast.
pub fn look_back(
    curve: Curve,
    form_sd: f64,
    children: usize,
    lessons: usize,
    draws: usize,
    seed: u64,
) -> Vec<Held> {
    let ladder = Ladder::built_in();
    let mut world = World::new(curve, form_sd, children, seed);
    let runners: Vec<Runner> =
        (0..children).map(|child| Runner::named(format!("c{child:02}"), format!("Child {child}"))).collect();
    let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: 24 }], ..Kit::default() };
    let lanes = PlanInput::new(runners, Vec::new(), kit, date(2026, 3, 2));
    let mut history: Vec<Observation> = Vec::new();
    let mut day = FIRST_DAY;
    let mut held = Vec::new();
    for number in 0..lessons {
        if number > 0 {
            let days = 7 * (1 + i64::from(world.dice.share() < 0.2));
            world.rest(days);
            day += days;
        }
        let seen = world.lesson(number, day, 0.06);
        if number > 0 {
            let now = Timestamp::from_second(at_day(day) - 3_600).expect("a time");
            let options = Options { now, losses: Losses::default() };
            let input = LessonInput::new(lanes.clone(), &ladder, &history, options, Use::Lesson, 50);
            held.push(compare(&input, day, &seen, draws, seed));
        }
        history.extend(seen);
    }
    held
}

/// Share standing and runs of a child at a drill.
fn shares(runs: &[Observation], child: &str, drill: &str) -> (f64, u32) {
    let (mut stood, mut met, mut count) = (0, 0, 0);
    for seen in runs {
        let Observation::Run(run) = seen else { continue };
        if run.runner == child && run.drill == drill {
            met += run.hurdles;
            stood += run.hurdles - run.knocked.count();
            count += 1;
        }
    }
    (f64::from(stood) / f64::from(met.max(1)), count)
}

fn compare(input: &LessonInput, day: i64, seen: &[Observation], draws: usize, seed: u64) -> Held {
    let mut asked = Vec::new();
    let mut outcomes = Vec::new();
    for runner in &input.lanes.runners {
        for drill in DRILLS {
            let (share, runs) = shares(seen, &runner.id.0, drill);
            if runs > 0 {
                asked.push(RunsAhead {
                    runner: runner.id.0.clone(),
                    drill: drill.into(),
                    runs,
                    hurdles: HURDLES,
                });
                outcomes.push(share);
            }
        }
    }
    let last_day = input.history.iter().filter_map(|seen| match seen {
        Observation::Run(run) => Some(run.at.as_second().div_euclid(86_400)),
        _ => None,
    });
    let last_day = last_day.max().unwrap_or(0);
    let last: Vec<Observation> = input
        .history
        .iter()
        .filter(|seen| match seen {
            Observation::Run(run) => run.at.as_second().div_euclid(86_400) == last_day,
            _ => false,
        })
        .cloned()
        .collect();
    let date = date(1970, 1, 1) + jiff::Span::new().days(day);
    let expected = expect_runs(input, date, &asked, draws, seed);
    let mut held = Held::default();
    for (expected, outcome) in expected.iter().zip(&outcomes) {
        let standing = &expected.standing;
        held.outcomes += 1.0;
        let inside = |low: f64, high: f64| low - 1e-12 <= *outcome && *outcome <= high + 1e-12;
        held.in_80 += f64::from(u8::from(inside(standing.low_80, standing.high_80)));
        held.in_90 += f64::from(u8::from(inside(standing.low_90, standing.high_90)));
        held.error += outcome - standing.mean;
        held.square += (outcome - standing.mean) * (outcome - standing.mean);
        held.width += standing.high_80 - standing.low_80;
        let (before, runs) = shares(&last, &expected.runner, &expected.drill);
        if runs > 0 {
            held.last_square.0 += (outcome - before) * (outcome - before);
            held.last_square.1 += (outcome - standing.mean) * (outcome - standing.mean);
            held.last_square.2 += 1.0;
        }
    }
    held
}
