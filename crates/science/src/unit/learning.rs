//! How clean rates move: what a run adds, what a week takes, and what a class's own runs say about both.
//!
//! A child's state at a drill is `x`, the logit of its clean rate over a lane. Where it started, how fast it learns and
//! how hard the drill is for the class are uncertain together; [`Learned::draw`] takes one sample of all of them.

use std::collections::BTreeMap;

use lanewright_model::drill::Drill;
use lanewright_model::run::{HurdleSet, Observation};

use crate::decide::chain::Chain;
use crate::decide::fit::{ClassParameters, logistic};
use crate::decide::{self, ClassModel, DRILL_CORRELATION, SWEEP_HURDLES, SWEEP_MISJUDGED};
use crate::lesson::LessonInput;
use crate::lesson::worth::gain;
use crate::normal;
use crate::seeded::Seeded;

/// What a run at the best clean rate adds to the logit of the clean rate, in a typical child (engineering assumption:
/// from 60 to 88 % in about 40 runs).
pub const GAIN_PER_RUN: f64 = 0.05;
/// Runs that take a typical child from 60 to 88 % at that gain (engineering assumption).
pub const RUNS_60_TO_88: f64 = 40.0;
/// How far classes differ in what a run adds: standard deviation of its logarithm (engineering assumption).
pub const CLASS_SD_LN: f64 = 0.4;
/// How far children of a class differ in what a run adds: standard deviation of its logarithm (engineering assumption).
pub const CHILD_SD_LN: f64 = 0.4;
/// Most that is lost at a drill that is not run any more, on the logit scale (engineering assumption).
pub const LOSS_MOST: f64 = 0.25;
/// Days without a run of the drill after which 63 % of that is lost (engineering assumption).
pub const LOSS_DAYS: f64 = 28.0;
/// How much better or worse than itself a child is at a drill on one day: standard deviation on the logit scale
/// (engineering assumption).
pub const DAY_SD: f64 = 0.25;
/// How far all drills of a class together are harder or easier than their documented first rates: standard deviation on
/// the logit scale (engineering assumption).
pub const CLASS_START_SD: f64 = 0.6;
/// The same for one drill beside the others (engineering assumption).
pub const DRILL_START_SD: f64 = 0.6;
/// Lessons from which the class's own runs say how fast it learns (engineering assumption: two days tell no trend from
/// two forms of the day).
pub const LESSONS_TO_LEARN: usize = 3;

/// Points of ln gain, from −1.2 to 1.2.
const RATES: usize = 9;
const RATE_STEP: f64 = 0.3;
/// Points of a child's own factor, in standard deviations from −2 to 2.
const FACTORS: usize = 5;
/// Points of the state at the first run.
const STARTS: usize = 27;
const START_LOW: f64 = -1.25;
const START_STEP: f64 = 0.25;
/// Points of a drill's level in the class, around the documented one.
const LEVELS: usize = 15;
const LEVEL_STEP: f64 = 0.25;
/// Grid of states for tables.
const X_LOW: f64 = -2.0;
const X_STEP: f64 = 0.1;
const X_POINTS: usize = 91;

/// Returns ln(c / (1 − c)).
pub(super) fn logit(rate: f64) -> f64 {
    libm::log(rate / (1.0 - rate))
}

/// Returns what `days` without a run of a drill take, on the logit scale; from 0 to [`LOSS_MOST`].
pub fn loss(days: f64) -> f64 {
    LOSS_MOST * (1.0 - libm::exp(-days.max(0.0) / LOSS_DAYS))
}

/// A function of the state, looked up between grid points.
struct OnStates([f64; X_POINTS]);

impl OnStates {
    fn new(function: impl Fn(f64) -> f64) -> Self {
        Self(std::array::from_fn(|index| function(X_LOW + X_STEP * index as f64)))
    }

    fn at(&self, x: f64) -> f64 {
        let place = ((x - X_LOW) / X_STEP).clamp(0.0, (X_POINTS - 1) as f64 - 1e-9);
        let index = place as usize;
        let share = place - index as f64;
        self.0[index] * (1.0 - share) + self.0[index + 1] * share
    }
}

/// From the logit of a clean rate to the ability at which the class's chain has that rate.
struct Scale {
    parameters: ClassParameters,
    /// Logits of the clean rate at abilities from −9 to 7, falling.
    logits: Vec<f64>,
}

impl Scale {
    const T_LOW: f64 = -9.0;
    const T_STEP: f64 = 0.1;

    fn new(parameters: ClassParameters, hurdles: u32) -> Self {
        let logits = (0..=160)
            .map(|step| {
                let rate = parameters.chain(Self::T_LOW + Self::T_STEP * f64::from(step)).clean_rate(hurdles);
                logit(rate.clamp(1e-6, 1.0 - 1e-6))
            })
            .collect();
        Self { parameters, logits }
    }

    fn ability(&self, x: f64) -> f64 {
        let after = self.logits.partition_point(|known| *known > x).clamp(1, self.logits.len() - 1);
        let (above, below) = (self.logits[after - 1], self.logits[after]);
        let share = if above > below { ((above - x) / (above - below)).clamp(0.0, 1.0) } else { 0.0 };
        Self::T_LOW + Self::T_STEP * ((after - 1) as f64 + share)
    }

    fn logit_at(&self, ability: f64) -> f64 {
        let place =
            ((ability - Self::T_LOW) / Self::T_STEP).clamp(0.0, (self.logits.len() - 1) as f64 - 1e-9);
        let index = place as usize;
        let share = place - index as f64;
        self.logits[index] * (1.0 - share) + self.logits[index + 1] * share
    }

    fn chain(&self, x: f64) -> Chain {
        self.parameters.chain(self.ability(x))
    }
}

/// One run or sweep of a child at a drill.
struct Event {
    day: i64,
    pattern: usize,
    weight: f64,
}

/// A child's runs at a drill, and how probable they are for each learning rate, own factor and start.
struct Case {
    events: Vec<Event>,
    likelihood: Vec<[[f64; STARTS]; FACTORS]>,
}

/// A drill as the class knows it.
struct Level {
    /// State of the middle child at its first run, as documented.
    documented: f64,
    /// Posterior of its difference from that, for each learning rate; `None` for a drill that the class has not run.
    seen: Option<Vec<[f64; LEVELS]>>,
}

/// What a class's runs taught about its learning.
pub(super) struct Learned {
    scale: Scale,
    gains: OnStates,
    patterns: Vec<OnStates>,
    /// Spread of the children at the start of a drill.
    spread: f64,
    rate_weights: [f64; RATES],
    levels: Vec<Level>,
    cases: BTreeMap<(usize, usize), Case>,
    children: usize,
    /// Days on which the class ran.
    pub lessons: usize,
}

/// A child at a drill, in one sample.
#[derive(Debug, Clone, Copy)]
pub(super) struct Skill {
    /// Logit of the clean rate.
    pub x: f64,
    /// What a run at the best rate adds.
    gain_per_run: f64,
    /// Days since the last run; `None` before the first.
    idle_days: Option<f64>,
}

impl Skill {
    /// Days pass without a run.
    pub fn rest(&mut self, days: f64) {
        if let Some(idle) = &mut self.idle_days {
            self.x -= loss(*idle + days) - loss(*idle);
            *idle += days;
        }
    }

    pub fn rate(&self) -> f64 {
        logistic(self.x)
    }
}

/// Returns the day of a date, counted from 1970-01-01.
pub(super) fn day_of(date: jiff::civil::Date) -> i64 {
    const EPOCH: jiff::civil::Date = jiff::civil::date(1970, 1, 1);
    date.since(EPOCH).map_or(0, |span| i64::from(span.get_days()))
}

fn day_at(at: jiff::Timestamp) -> i64 {
    at.as_second().div_euclid(86_400)
}

impl Learned {
    /// Learns from the runs of the input's history by `runners` at `drills`.
    pub fn new(input: &LessonInput, model: &ClassModel, runners: &[&str], drills: &[&Drill]) -> Self {
        let (parameters, hurdles) = (model.fit().parameters, model.lane_hurdles());
        let scale = Scale::new(parameters, hurdles);
        let default_scale = Scale::new(decide::fit::DEFAULTS, hurdles);
        let child = |id: &str| runners.iter().position(|runner| *runner == id);
        let number = |id: &str| drills.iter().position(|drill| drill.id.0 == id);
        let mut patterns = Vec::new();
        let mut numbers: BTreeMap<(u32, u64, u64, u64), usize> = BTreeMap::new();
        let mut days: Vec<i64> = Vec::new();
        let mut events: BTreeMap<(usize, usize), Vec<(jiff::Timestamp, Event)>> = BTreeMap::new();
        for observation in input.history {
            let (runner, drill, at, key, shift) = match observation {
                Observation::Run(run) if run.standing() > 0 => {
                    let shift = decide::circumstances(run, input.ladder.get(&run.drill));
                    let key = (run.hurdles, run.knocked.0, run.down_before.0, shift.to_bits());
                    (&run.runner, &run.drill, run.at, key, shift)
                }
                Observation::Sweep(sweep) => {
                    (&sweep.runner, &sweep.drill, sweep.at, (0, u64::from(sweep.got_it), 0, 0), 0.0)
                }
                _ => continue,
            };
            let (Some(child), Some(drill)) = (child(runner), number(drill)) else { continue };
            days.push(day_at(at));
            let pattern = *numbers.entry(key).or_insert_with(|| {
                patterns.push(OnStates::new(|x| {
                    let chain = parameters.chain(scale.ability(x) + shift);
                    libm::log(probability(&chain, key).max(1e-300))
                }));
                patterns.len() - 1
            });
            let weight = decide::fading(at, input.decide.now);
            events.entry((child, drill)).or_default().push((at, Event { day: day_at(at), pattern, weight }));
        }
        days.sort_unstable();
        days.dedup();
        let mut learned = Self {
            spread: scale.logit_at(-0.5) - scale.logit_at(0.5),
            scale,
            gains: OnStates::new(|x| gain(logistic(x))),
            patterns,
            rate_weights: std::array::from_fn(|rate| normal::pdf(rate_of(rate) / CLASS_SD_LN)),
            levels: drills
                .iter()
                .map(|drill| Level {
                    documented: default_scale.logit_at(decide::first_shift(drill)),
                    seen: None,
                })
                .collect(),
            cases: BTreeMap::new(),
            children: runners.len(),
            lessons: days.len(),
        };
        for (key, mut own) in events {
            own.sort_by_key(|(at, _)| *at);
            let events: Vec<Event> = own.into_iter().map(|(_, event)| event).collect();
            let likelihood = learned.likelihood(&events);
            learned.cases.insert(key, Case { events, likelihood });
        }
        learned.learn_levels();
        let sum: f64 = learned.rate_weights.iter().sum();
        learned.rate_weights = learned.rate_weights.map(|weight| weight / sum);
        learned
    }

    /// Follows a child through its runs: log probability of what they showed, and the state after the last.
    fn follow(&self, events: &[Event], start: f64, gain_per_run: f64) -> (f64, f64) {
        let (mut x, mut sum, mut last) = (start, 0.0, None);
        for event in events {
            if let Some(last) = last
                && event.day > last
            {
                x -= loss((event.day - last) as f64);
            }
            last = Some(event.day);
            sum += event.weight * self.patterns[event.pattern].at(x);
            x += gain_per_run * self.gains.at(x);
        }
        (sum, x)
    }

    /// Probability of a child's runs on the grid, as shares of the greatest.
    fn likelihood(&self, events: &[Event]) -> Vec<[[f64; STARTS]; FACTORS]> {
        let mut logs: Vec<[[f64; STARTS]; FACTORS]> = (0..RATES)
            .map(|rate| {
                std::array::from_fn(|factor| {
                    std::array::from_fn(|start| {
                        let gain = GAIN_PER_RUN * libm::exp(rate_of(rate) + factor_of(factor) * CHILD_SD_LN);
                        self.follow(events, start_of(start), gain).0
                    })
                })
            })
            .collect();
        let top = logs.iter().flatten().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
        for value in logs.iter_mut().flatten().flatten() {
            *value = libm::exp(*value - top);
        }
        logs
    }

    /// Learns each drill's level and, with enough lessons, how fast the class learns.
    fn learn_levels(&mut self) {
        let factor_weights = factor_weights();
        let mut log_rates = [0.0; RATES];
        for drill in 0..self.levels.len() {
            let own: Vec<&Case> =
                self.cases.iter().filter(|((_, known), _)| *known == drill).map(|(_, case)| case).collect();
            if own.is_empty() {
                continue;
            }
            let documented = self.levels[drill].documented;
            let starts: Vec<[f64; STARTS]> =
                (0..LEVELS).map(|level| self.start_weights(documented + level_of(level))).collect();
            let sd = (CLASS_START_SD * CLASS_START_SD + DRILL_START_SD * DRILL_START_SD).sqrt();
            let mut seen = Vec::with_capacity(RATES);
            for (rate, log_rate) in log_rates.iter_mut().enumerate() {
                let mut logs: [f64; LEVELS] =
                    std::array::from_fn(|level| libm::log(normal::pdf(level_of(level) / sd)));
                for case in &own {
                    let by_start: [f64; STARTS] = std::array::from_fn(|start| {
                        (0..FACTORS)
                            .map(|factor| factor_weights[factor] * case.likelihood[rate][factor][start])
                            .sum()
                    });
                    for (log, weights) in logs.iter_mut().zip(&starts) {
                        let sum: f64 = weights.iter().zip(&by_start).map(|(a, b)| a * b).sum();
                        *log += libm::log(sum.max(1e-300));
                    }
                }
                let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                let weights = logs.map(|log| libm::exp(log - top));
                let sum: f64 = weights.iter().sum();
                *log_rate += top + libm::log(sum);
                seen.push(weights.map(|weight| weight / sum));
            }
            self.levels[drill].seen = Some(seen);
        }
        if self.lessons >= LESSONS_TO_LEARN {
            let top = log_rates.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            for (weight, log_rate) in self.rate_weights.iter_mut().zip(log_rates) {
                *weight *= libm::exp(log_rate - top);
            }
        }
    }

    fn start_weights(&self, level: f64) -> [f64; STARTS] {
        let mut weights: [f64; STARTS] =
            std::array::from_fn(|start| normal::pdf((start_of(start) - level) / self.spread));
        let sum: f64 = weights.iter().sum::<f64>().max(1e-300);
        for weight in &mut weights {
            *weight /= sum;
        }
        weights
    }

    /// Returns the quantile of ln(gain / default gain) of the class; mass is spread evenly over each grid cell.
    pub fn rate_quantile(&self, p: f64) -> f64 {
        let mut sum = 0.0;
        for (rate, weight) in self.rate_weights.iter().enumerate() {
            if sum + weight >= p && *weight > 0.0 {
                return rate_of(rate) + RATE_STEP * ((p - sum) / weight - 0.5);
            }
            sum += weight;
        }
        rate_of(RATES - 1) + 0.5 * RATE_STEP
    }

    /// Takes one sample of the whole class, as it is on `today`: skill of each child at each drill.
    pub fn draw(&self, today: i64, numbers: &mut Seeded) -> Vec<Vec<Skill>> {
        let rate = pick(self.rate_weights.iter().copied(), numbers);
        let ln_rate = rate_of(rate) + RATE_STEP * (numbers.uniform() - 0.5);
        // Levels: seen ones first, since they say how hard the others are.
        let mut levels: Vec<Option<f64>> = self
            .levels
            .iter()
            .map(|level| {
                let seen = level.seen.as_ref()?;
                let index = pick(seen[rate].iter().copied(), numbers);
                Some(level.documented + level_of(index) + LEVEL_STEP * (numbers.uniform() - 0.5))
            })
            .collect();
        let differences: Vec<f64> = levels
            .iter()
            .zip(&self.levels)
            .filter_map(|(drawn, level)| Some((*drawn)? - level.documented))
            .collect();
        let seen = differences.len() as f64;
        let (class, drill) = (CLASS_START_SD * CLASS_START_SD, DRILL_START_SD * DRILL_START_SD);
        let common_mean = class * differences.iter().sum::<f64>() / (seen * class + drill);
        let common_sd = (class * drill / (seen * class + drill)).sqrt();
        let common = common_mean + common_sd * numbers.normal();
        for (drawn, level) in levels.iter_mut().zip(&self.levels) {
            drawn.get_or_insert_with(|| level.documented + common + DRILL_START_SD * numbers.normal());
        }
        let levels: Vec<f64> = levels.into_iter().flatten().collect();
        (0..self.children)
            .map(|child| self.draw_child(child, rate, ln_rate, &levels, today, numbers))
            .collect()
    }

    fn draw_child(
        &self,
        child: usize,
        rate: usize,
        ln_rate: f64,
        levels: &[f64],
        today: i64,
        numbers: &mut Seeded,
    ) -> Vec<Skill> {
        let factor_weights = factor_weights();
        let mut deviations = Vec::new();
        let mut skills: Vec<Option<Skill>> = vec![None; levels.len()];
        for (drill, level) in levels.iter().enumerate() {
            let Some(case) = self.cases.get(&(child, drill)) else { continue };
            let starts = self.start_weights(*level);
            let weights = (0..FACTORS * STARTS).map(|index| {
                let (factor, start) = (index / STARTS, index % STARTS);
                factor_weights[factor] * starts[start] * case.likelihood[rate][factor][start]
            });
            let index = pick(weights, numbers);
            let factor = factor_of(index / STARTS) + numbers.uniform() - 0.5;
            let start = start_of(index % STARTS) + START_STEP * (numbers.uniform() - 0.5);
            deviations.push((start - level) / self.spread);
            let gain_per_run = GAIN_PER_RUN * libm::exp(ln_rate + factor * CHILD_SD_LN);
            let (_, x) = self.follow(&case.events, start, gain_per_run);
            let mut skill = Skill { x, gain_per_run, idle_days: Some(0.0) };
            let last = case.events.last().map_or(today, |event| event.day);
            skill.rest((today - last).max(0) as f64);
            skills[drill] = Some(skill);
        }
        // What the drills that were run say of the child tells about the others.
        let seen = deviations.len() as f64;
        let shared = DRILL_CORRELATION * seen / (1.0 + (seen - 1.0) * DRILL_CORRELATION);
        let mean = if deviations.is_empty() { 0.0 } else { deviations.iter().sum::<f64>() / seen };
        let common = shared * mean;
        let left = DRILL_CORRELATION - DRILL_CORRELATION * shared;
        let own = common + left.max(0.0).sqrt() * numbers.normal();
        skills
            .into_iter()
            .zip(levels)
            .map(|(skill, level)| {
                skill.unwrap_or_else(|| {
                    let deviation = own + (1.0 - DRILL_CORRELATION).sqrt() * numbers.normal();
                    let ln_gain = ln_rate + CHILD_SD_LN * numbers.normal();
                    let gain_per_run = GAIN_PER_RUN * libm::exp(ln_gain);
                    Skill { x: level + self.spread * deviation, gain_per_run, idle_days: None }
                })
            })
            .collect()
    }

    /// Makes runs and learns from them; returns hurdles met and hurdles that stood.
    ///
    /// `hurdles` of 0 simulates the learning only.
    pub fn run(&self, skill: &mut Skill, runs: u32, hurdles: u32, numbers: &mut Seeded) -> (u32, u32) {
        let form = if hurdles > 0 { DAY_SD * numbers.normal() } else { 0.0 };
        let mut stood = 0;
        for _ in 0..runs {
            if hurdles > 0 {
                stood += simulate(&self.scale.chain(skill.x + form), hurdles, numbers);
            }
            skill.x += skill.gain_per_run * self.gains.at(skill.x);
            skill.idle_days = Some(0.0);
        }
        (runs * hurdles, stood)
    }
}

/// Hurdles that stand after one run.
fn simulate(chain: &Chain, hurdles: u32, numbers: &mut Seeded) -> u32 {
    let (mut is_broken, mut stood) = (false, 0);
    for _ in 0..hurdles {
        is_broken = numbers.uniform() < if is_broken { chain.stay_p } else { chain.break_p };
        let knock_p = if is_broken { chain.knock_broken_p } else { chain.knock_sound_p };
        stood += u32::from(numbers.uniform() >= knock_p);
    }
    stood
}

/// Probability of what a run or a sweep showed. Key: hurdles (0 for a sweep), knocked or got it, down before.
fn probability(chain: &Chain, key: (u32, u64, u64, u64)) -> f64 {
    match key {
        (0, got_it, _, _) => {
            let clean = chain.all_stand(SWEEP_HURDLES);
            let says_got_it = clean * (1.0 - SWEEP_MISJUDGED) + (1.0 - clean) * SWEEP_MISJUDGED;
            if got_it == 1 { says_got_it } else { 1.0 - says_got_it }
        }
        (hurdles, knocked, down, _) => chain.likelihood(hurdles, HurdleSet(knocked), HurdleSet(down)),
    }
}

fn rate_of(index: usize) -> f64 {
    RATE_STEP * (index as f64 - (RATES - 1) as f64 / 2.0)
}

fn factor_of(index: usize) -> f64 {
    index as f64 - (FACTORS - 1) as f64 / 2.0
}

fn factor_weights() -> [f64; FACTORS] {
    let weights: [f64; FACTORS] = std::array::from_fn(|index| normal::pdf(factor_of(index)));
    let sum: f64 = weights.iter().sum();
    weights.map(|weight| weight / sum)
}

fn start_of(index: usize) -> f64 {
    START_LOW + START_STEP * index as f64
}

fn level_of(index: usize) -> f64 {
    LEVEL_STEP * (index as f64 - (LEVELS - 1) as f64 / 2.0)
}

/// Picks an index with a probability in proportion to its weight.
fn pick(weights: impl Iterator<Item = f64> + Clone, numbers: &mut Seeded) -> usize {
    let total: f64 = weights.clone().sum();
    let mut left = numbers.uniform() * total;
    let mut last = 0;
    for (index, weight) in weights.enumerate() {
        if weight > 0.0 {
            last = index;
            if left < weight {
                return index;
            }
        }
        left -= weight;
    }
    last
}
