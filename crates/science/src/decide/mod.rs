//! Who moves on, who repeats, who steps back: from a few noisy runs, with honest doubt.
//!
//! Answers for each runner and drill: how clean the runs are (posterior of the clean rate with interval), how
//! probable it is that they are clean enough or far from it, and which next step loses least if wrong. Knocks in a
//! row count as what they are, one broken line, through a two-state chain along the lane; what is typical of
//! the class and of the drill is learned from the class's own runs. Method page: `docs/methods/decide.md`.
//!
//! It prompts; the teacher decides.

pub mod after;
pub mod chain;
mod expect;
pub mod fit;
pub mod leg;
mod why;

use std::collections::BTreeMap;

use jiff::Timestamp;
use lanewright_model::drill::{Drill, Ladder};
use lanewright_model::run::{HurdleSet, Observation, Run, Watched};
use lanewright_model::words::Message;
use serde::{Deserialize, Serialize};

use crate::verdict::LaneDoubts;
use fit::{ChainSlopes, Chains, Evidence, Fit, GRID, Pattern, Table};

pub(crate) use expect::first_shift;
pub use expect::{Expected, Outlook};
pub use leg::LegDifference;

/// Name and version of the method.
pub const METHOD: &str = "decide/1";
/// Fewer hurdles than this are not enough to say anything (engineering assumption).
pub const HURDLES_MIN: u32 = 12;
/// Fewer runs than this are not enough to say anything (engineering assumption).
pub const RUNS_MIN: u32 = 2;
/// Watched runs without the key fault that moving on needs (engineering assumption).
pub const WATCHED_CLEAR_MIN: u32 = 2;
/// Clean rate at which a child steps back (engineering assumption).
pub const BACK_RATE: f64 = 0.70;
/// Effort from which the mark for high effort holds (engineering assumption: from "normal" speed upwards).
pub const HIGH_EFFORT: f64 = 0.75;
/// Hurdles that a sweep counts for (engineering assumption).
pub const SWEEP_HURDLES: u32 = 4;
/// Share of sweeps that say the wrong thing (engineering assumption).
pub const SWEEP_MISJUDGED: f64 = 0.15;
/// Days after which evidence counts half (engineering assumption: four weeks).
pub const HALF_LIFE_DAYS: f64 = 28.0;
/// Evidence that counts less than this share of a fresh run is left out: older than 24 weeks (engineering assumption).
pub const FADED_OUT: f64 = 1.0 / 64.0;
/// How much an exit sprint makes a run harder, in standard deviations of the class (engineering assumption).
pub const SPRINT_SHIFT: f64 = 0.5;
/// How much each tenth of effort above the drill's usual makes a run harder (engineering assumption).
pub const EFFORT_SHIFT_PER_TENTH: f64 = 0.15;
/// Spread between children of what pressure does to them, in standard deviations of the class (engineering
/// assumption).
pub const PRESSURE_SD: f64 = 0.7;
/// How alike one child's abilities at different drills are: correlation (engineering assumption).
pub const DRILL_CORRELATION: f64 = 0.5;

/// What a mistake costs. Only ratios matter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Losses {
    /// Moving on a child whose runs are not clean enough.
    pub wrong_move_on: f64,
    /// Any other mistake.
    pub other: f64,
}

impl Losses {
    /// Returns the chance of being clean enough above which moving on loses less than staying, for a child who is
    /// nowhere near stepping back.
    pub fn asked(&self) -> f64 {
        asked_chance(0.0, self)
    }
}

impl Default for Losses {
    /// A wrong move-on costs three times any other mistake (engineering assumption).
    fn default() -> Self {
        Self { wrong_move_on: 3.0, other: 1.0 }
    }
}

/// The next step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// Goes on to a harder drill.
    MoveOn,
    /// Stays.
    Repeat,
    /// Goes back to an easier one.
    StepBack,
    /// Nothing can be said yet.
    NotEnoughSeen,
}

/// A clean rate with its 90 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Rate {
    /// Posterior mean, 0 to 1.
    pub mean: f64,
    /// 5th percentile.
    pub low: f64,
    /// 95th percentile.
    pub high: f64,
}

/// What can be said of one runner at one drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Decision {
    /// Runner id.
    pub runner: String,
    /// Drill id.
    pub drill: String,
    /// The next step that loses least.
    pub action: Action,
    /// Probability that the runs are clean enough to move on.
    pub p_up: f64,
    /// Probability that they are so unclean that the child steps back.
    pub p_back: f64,
    /// Clean rate.
    pub clean_rate: Rate,
    /// Runs seen (sweeps included).
    pub runs: u32,
    /// Standing hurdles met in them.
    pub hurdles: u32,
    /// Reasons, most important first.
    pub why: Vec<Message>,
    /// The clean rate that counts as clean enough.
    pub needed: f64,
    /// Watched runs in a row, latest first, without the drill's key fault.
    pub watched_clear: u32,
    /// What an exit sprint does, when runs with and without were seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub under_sprint: Option<Pressure>,
    /// Which leg knocks more, when that can be said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leg: Option<LegDifference>,
    /// Hurdles to be looked at before the child; filled in by [`crate::verdict`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lanes: Option<LaneDoubts>,
    /// Whether the run after falls in a row was better, when there was one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_correction: Option<AfterCorrection>,
    /// The moment from which the age of the runs was counted.
    pub as_of: Timestamp,
    /// Name and version of the method.
    pub method: String,
}

/// What pressure does to a child's clean rate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pressure {
    /// Clean rate under pressure.
    pub clean_rate: Rate,
    /// Clean rate under pressure minus without.
    pub difference: Rate,
    /// Holds, breaks, or not enough seen.
    pub verdict: PressureVerdict,
}

/// Whether technique holds under pressure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PressureVerdict {
    /// Clean enough under pressure with a probability of at least 0.8.
    Holds,
    /// Worse than without pressure, and not clean enough, each with a probability of at least 0.8.
    Breaks,
    /// Neither can be said.
    NotEnoughSeen,
}

/// What the run after falls in a row looked like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AfterCorrection {
    /// Fewer fell.
    Better,
    /// As many or more fell.
    NotBetter,
}

/// What to compute with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// The moment from which the age of evidence is counted.
    pub now: Timestamp,
    /// What mistakes cost.
    pub losses: Losses,
}

/// A distinct pattern of one drill.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Seen {
    Run { drill: usize, hurdles: u32, knocked: HurdleSet, down: HurdleSet, shift: f64 },
    Sweep { drill: usize, got_it: bool },
}

impl Pattern for Seen {
    fn likelihoods(&self, chains: &Chains) -> [f64; GRID] {
        match *self {
            Seen::Run { hurdles, knocked, down, .. } => chains.likelihoods(hurdles, knocked, down),
            Seen::Sweep { got_it, .. } => {
                let all_stand = chains.likelihoods(SWEEP_HURDLES, HurdleSet::default(), HurdleSet::default());
                all_stand.map(|clean| {
                    let says_got_it = clean * (1.0 - SWEEP_MISJUDGED) + (1.0 - clean) * SWEEP_MISJUDGED;
                    if got_it { says_got_it } else { 1.0 - says_got_it }
                })
            }
        }
    }

    fn add_slopes(&self, chains: &Chains, weight: &[f64; GRID], slopes: &mut ChainSlopes) {
        match *self {
            Seen::Run { hurdles, knocked, down, .. } => {
                chains.add_slopes((hurdles, knocked, down), weight, slopes);
            }
            Seen::Sweep { got_it, .. } => {
                let sign = if got_it { 1.0 } else { -1.0 };
                let nothing = HurdleSet::default();
                let of_clean = weight.map(|weight| sign * (1.0 - 2.0 * SWEEP_MISJUDGED) * weight);
                chains.add_slopes((SWEEP_HURDLES, nothing, nothing), &of_clean, slopes);
            }
        }
    }

    fn shift(&self) -> f64 {
        match *self {
            Seen::Run { shift, .. } => shift,
            Seen::Sweep { .. } => 0.0,
        }
    }

    fn drill(&self) -> usize {
        match *self {
            Seen::Run { drill, .. } | Seen::Sweep { drill, .. } => drill,
        }
    }
}

/// Everything seen of one runner at one drill.
#[derive(Debug, Default)]
struct Case<'a> {
    plain: Evidence,
    sprint: Evidence,
    runs: Vec<&'a Run>,
    sweeps: u32,
}

/// Parameters of a class that were learned once and are used until they are learned anew.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Known {
    /// The class's parameters.
    pub parameters: fit::ClassParameters,
    /// Difficulty of each drill that was seen.
    pub drill_shifts: BTreeMap<String, f64>,
    /// Hurdles that lanes of this class usually have; taken from the runs when absent.
    pub lane_hurdles: Option<u32>,
}

impl Default for Known {
    /// What a new class is: the documented defaults.
    fn default() -> Self {
        Self { parameters: fit::DEFAULTS, drill_shifts: BTreeMap::new(), lane_hurdles: None }
    }
}

/// What a class's runs taught, ready to judge its runners one by one.
pub struct ClassModel<'a> {
    ladder: &'a Ladder,
    drills: Vec<&'a str>,
    patterns: Vec<Seen>,
    cases: BTreeMap<(&'a str, usize), Case<'a>>,
    lane_hurdles: u32,
    fit: Fit,
    table: Table,
}

/// Judges every runner at every drill seen, sorted by class, runner and drill.
///
/// Each class (the `class` of its runs) learns from its own runs. Drills that are not in the ladder are judged as
/// runs without a key fault.
pub fn decide(observations: &[Observation], ladder: &Ladder, options: &Options) -> Vec<Decision> {
    let mut classes: BTreeMap<Option<&str>, Vec<&Observation>> = BTreeMap::new();
    for observation in observations {
        if !matches!(observation, Observation::Bout(_)) {
            classes.entry(observation.class()).or_default().push(observation);
        }
    }
    classes
        .into_values()
        .flat_map(|own| ClassModel::learn(own.iter().copied(), ladder, options).decisions(options))
        .collect()
}

impl<'a> ClassModel<'a> {
    /// Learns the class's parameters from its runs.
    pub fn learn<I>(observations: I, ladder: &'a Ladder, options: &Options) -> Self
    where
        I: IntoIterator<Item = &'a Observation> + Clone,
    {
        Self::build(observations, ladder, options, None)
    }

    /// Takes in the runs with parameters that were learned before: what one more run costs.
    ///
    /// What is said of one runner then rests on that runner's observations alone, so these are enough to give.
    pub fn with<I>(observations: I, ladder: &'a Ladder, options: &Options, known: &'a Known) -> Self
    where
        I: IntoIterator<Item = &'a Observation> + Clone,
    {
        Self::build(observations, ladder, options, Some(known))
    }

    /// Returns what was learned, to be used again with [`ClassModel::with`].
    pub fn known(&self) -> Known {
        Known {
            parameters: self.fit.parameters,
            drill_shifts: self
                .drills
                .iter()
                .map(|drill| (*drill).to_owned())
                .zip(self.fit.drill_shifts.iter().copied())
                .collect(),
            lane_hurdles: Some(self.lane_hurdles),
        }
    }

    fn build<I>(observations: I, ladder: &'a Ladder, options: &Options, known: Option<&'a Known>) -> Self
    where
        I: IntoIterator<Item = &'a Observation> + Clone,
    {
        let mut drills: Vec<&str> = observations
            .clone()
            .into_iter()
            .filter_map(|observation| match observation {
                Observation::Run(run) => Some(run.drill.as_str()),
                Observation::Sweep(sweep) => Some(sweep.drill.as_str()),
                Observation::Bout(_) => None,
            })
            .collect();
        // What was learned of a drill holds for a child who was not seen at it, too.
        drills.extend(known.iter().flat_map(|known| known.drill_shifts.keys().map(String::as_str)));
        drills.sort_unstable();
        drills.dedup();
        let drill_index = |id: &str| drills.binary_search(&id).expect("collected above");
        let mut patterns: Vec<Seen> = Vec::new();
        let mut pattern_ids: BTreeMap<(usize, u32, u64, u64, u64), usize> = BTreeMap::new();
        let mut cases: BTreeMap<(&str, usize), Case> = BTreeMap::new();
        let mut lane_counts: BTreeMap<u32, u32> = BTreeMap::new();
        for observation in observations {
            let (runner, drill, seen, at) = match observation {
                Observation::Run(run) => {
                    if run.standing() == 0 {
                        continue;
                    }
                    let drill = drill_index(&run.drill);
                    *lane_counts.entry(run.hurdles).or_default() += 1;
                    let shift = circumstances(run, ladder.get(&run.drill));
                    let seen = Seen::Run {
                        drill,
                        hurdles: run.hurdles,
                        knocked: run.knocked,
                        down: run.down_before,
                        shift,
                    };
                    (run.runner.as_str(), drill, seen, run.at)
                }
                Observation::Sweep(sweep) => {
                    let drill = drill_index(&sweep.drill);
                    (sweep.runner.as_str(), drill, Seen::Sweep { drill, got_it: sweep.got_it }, sweep.at)
                }
                Observation::Bout(_) => continue,
            };
            let weight = fading(at, options.now);
            let case = cases.entry((runner, drill)).or_default();
            let under_sprint = matches!(observation, Observation::Run(run) if run.exit_sprint);
            let evidence = if under_sprint { &mut case.sprint } else { &mut case.plain };
            evidence.drill = drill;
            if weight >= FADED_OUT {
                let key = match seen {
                    Seen::Run { drill, hurdles, knocked, down, shift } => {
                        (drill, hurdles, knocked.0, down.0, shift.to_bits())
                    }
                    Seen::Sweep { drill, got_it } => (drill, 0, u64::from(got_it), 0, 0),
                };
                let pattern = *pattern_ids.entry(key).or_insert_with(|| {
                    patterns.push(seen);
                    patterns.len() - 1
                });
                match evidence.patterns.iter_mut().find(|(known, _)| *known == pattern) {
                    Some((_, sum)) => *sum += weight,
                    None => evidence.patterns.push((pattern, weight)),
                }
            }
            match observation {
                Observation::Run(run) => case.runs.push(run),
                _ => case.sweeps += 1,
            }
        }
        for case in cases.values_mut() {
            case.runs.sort_by_key(|run| run.at);
        }
        let lane_hurdles = lane_counts
            .iter()
            .max_by_key(|(hurdles, count)| (**count, **hurdles))
            .map_or(8, |(hurdles, _)| *hurdles);
        let lane_hurdles = known.and_then(|known| known.lane_hurdles).unwrap_or(lane_hurdles);
        let drill_defaults = vec![0.0; drills.len()];
        let everything: Vec<Evidence> = cases
            .values()
            .flat_map(|case| [&case.plain, &case.sprint])
            .filter(|evidence| !evidence.patterns.is_empty())
            .cloned()
            .collect();
        let fit = match known {
            None => fit::fit(&everything, &patterns, &drill_defaults),
            Some(known) => Fit {
                parameters: known.parameters,
                drill_shifts: drills
                    .iter()
                    .map(|drill| known.drill_shifts.get(*drill).copied().unwrap_or(0.0))
                    .collect(),
                rounds: 0,
            },
        };
        let table = Table::new(&fit.parameters, &fit.drill_shifts, &patterns);
        Self { ladder, drills, patterns, cases, lane_hurdles, fit, table }
    }

    /// Returns what the class taught.
    pub fn fit(&self) -> &Fit {
        &self.fit
    }

    /// Returns the number of distinct patterns: what the cost of learning grows with.
    pub fn pattern_count(&self) -> usize {
        self.patterns.len()
    }

    /// Judges every runner at every drill seen, sorted by runner and drill.
    pub fn decisions(&self, options: &Options) -> Vec<Decision> {
        let mut decisions = Vec::with_capacity(self.cases.len());
        let mut start = None;
        for (runner, _) in self.cases.keys() {
            if start == Some(*runner) {
                continue;
            }
            start = Some(*runner);
            decisions.extend(self.decisions_of(runner, options));
        }
        decisions
    }

    /// Judges one runner at every drill seen: what one more run costs when the class's parameters stand.
    pub fn decisions_of(&self, runner: &str, options: &Options) -> Vec<Decision> {
        let own: Vec<(usize, &Case)> = self
            .cases
            .range((runner, 0)..)
            .take_while(|((name, _), _)| *name == runner)
            .map(|((_, drill), case)| (*drill, case))
            .collect();
        let likelihoods: Vec<[f64; GRID]> = own
            .iter()
            .map(|(_, case)| {
                let mut sums = self.table.of(&case.plain);
                for (sum, value) in sums.iter_mut().zip(self.table.of(&case.sprint)) {
                    *sum += value;
                }
                sums
            })
            .collect();
        let priors = other_drills_priors(&likelihoods);
        own.iter()
            .zip(likelihoods.iter().zip(&priors))
            .map(|((drill, case), (likelihood, prior))| {
                self.judge(runner, *drill, case, &posterior(likelihood, prior), options)
            })
            .collect()
    }

    /// Returns what stands on the ability grid for one runner at one drill, seen or not, with the drill's shift.
    pub(crate) fn ability_of(&self, runner: &str, drill: &str) -> ([f64; GRID], f64) {
        let index = self.drills.binary_search(&drill).ok();
        let mut likelihoods = Vec::new();
        let mut here = None;
        for ((_, other), case) in self.cases.range((runner, 0)..).take_while(|((name, _), _)| *name == runner)
        {
            let mut sums = self.table.of(&case.plain);
            for (sum, value) in sums.iter_mut().zip(self.table.of(&case.sprint)) {
                *sum += value;
            }
            if Some(*other) == index {
                here = Some(likelihoods.len());
            }
            likelihoods.push(sums);
        }
        // A drill not seen of this runner still gains from the runner's other drills.
        let here = here.unwrap_or_else(|| {
            likelihoods.push([0.0; GRID]);
            likelihoods.len() - 1
        });
        let priors = other_drills_priors(&likelihoods);
        (
            posterior(&likelihoods[here], &priors[here]),
            index.map_or(0.0, |index| self.fit.drill_shifts[index]),
        )
    }

    /// Returns the runs and sweeps seen of one runner at one drill, hurdles met, and watched runs in a row without
    /// the key fault.
    pub(crate) fn seen_of(&self, runner: &str, drill: &str) -> (u32, u32, u32) {
        let Ok(index) = self.drills.binary_search(&drill) else { return (0, 0, 0) };
        // The key borrows for the life of the observations: look the case up by comparing.
        self.cases
            .range((runner, index)..)
            .next()
            .filter(|((name, found), _)| *name == runner && *found == index)
            .map_or((0, 0, 0), |(_, case)| {
                let hurdles =
                    case.runs.iter().map(|run| run.standing()).sum::<u32>() + SWEEP_HURDLES * case.sweeps;
                (case.runs.len() as u32 + case.sweeps, hurdles, watched_clear(case, self.ladder.get(drill)))
            })
    }

    /// Returns the runs of one runner at one drill, oldest first.
    pub fn runs_of(&self, runner: &str, drill: &str) -> Vec<&'a Run> {
        let Ok(index) = self.drills.binary_search(&drill) else { return Vec::new() };
        self.cases
            .range((runner, index)..)
            .next()
            .filter(|((name, found), _)| *name == runner && *found == index)
            .map_or_else(Vec::new, |(_, case)| case.runs.clone())
    }

    /// Returns the number of hurdles that lanes usually have in these runs.
    pub fn lane_hurdles(&self) -> u32 {
        self.lane_hurdles
    }

    /// Returns the difficulty of a drill in units of ability; 0 for one that was not seen.
    pub(crate) fn shift_of(&self, drill: &str) -> f64 {
        self.drills.binary_search(&drill).map_or(0.0, |index| self.fit.drill_shifts[index])
    }

    pub(crate) fn ladder(&self) -> &'a Ladder {
        self.ladder
    }

    fn judge(
        &self,
        runner: &str,
        drill_index: usize,
        case: &Case,
        ability: &[f64; GRID],
        options: &Options,
    ) -> Decision {
        let id = self.drills[drill_index];
        let drill = self.ladder.get(id);
        let last_effort = case.runs.iter().rev().find_map(|run| run.effort);
        let always_sprint = !case.runs.is_empty() && case.runs.iter().all(|run| run.exit_sprint);
        let needed = needed_rate(drill, last_effort, always_sprint);
        let usual_shift = case.runs.last().map_or(0.0, |run| circumstances(run, drill));
        let shift = self.fit.drill_shifts[drill_index]
            + if always_sprint { usual_shift } else { effort_shift(last_effort, drill) };
        let rates = self.rates(shift);
        let curve = RateCurve { rates: &rates, mass: ability };
        let clean_rate = curve.summary();
        let p_up = curve.at_least(needed);
        let p_back = 1.0 - curve.at_least(BACK_RATE);
        let runs = case.runs.len() as u32 + case.sweeps;
        let hurdles = case.runs.iter().map(|run| run.standing()).sum::<u32>() + SWEEP_HURDLES * case.sweeps;
        let watched_clear = watched_clear(case, drill);
        let technique_shown = watched_clear >= WATCHED_CLEAR_MIN;
        let [loss_move_on, loss_repeat, loss_back] = expected_losses(p_up, p_back, &options.losses);
        let enough = hurdles >= HURDLES_MIN && runs >= RUNS_MIN;
        let action = if !enough {
            Action::NotEnoughSeen
        } else if loss_back < loss_repeat && loss_back < loss_move_on {
            Action::StepBack
        } else if loss_move_on < loss_repeat && technique_shown {
            Action::MoveOn
        } else {
            Action::Repeat
        };
        let under_sprint = self.pressure(drill_index, drill, case, ability);
        let leg = leg::leg_difference(&case.runs, drill);
        let after_correction = after_correction(&case.runs);
        let mut decision = Decision {
            runner: runner.to_owned(),
            drill: id.to_owned(),
            action,
            p_up,
            p_back,
            clean_rate,
            runs,
            hurdles,
            why: Vec::new(),
            needed,
            watched_clear,
            under_sprint,
            leg,
            lanes: None,
            after_correction,
            as_of: options.now,
            method: METHOD.to_owned(),
        };
        decision.why = why::reasons(
            &decision,
            &case.runs,
            case.sweeps,
            drill,
            loss_move_on < loss_repeat.min(loss_back),
            &options.losses,
        );
        decision
    }

    /// Returns the clean rates of the ability cells for the given shift: best border, middle, worst border.
    pub(crate) fn rates(&self, shift: f64) -> [[f64; 3]; GRID] {
        // Rates fall with ability, so a cell's rates lie between those of its borders.
        fit::abilities().map(|t| {
            [t - fit::CELL_HALF, t, t + fit::CELL_HALF]
                .map(|t| self.fit.parameters.chain(t + shift).clean_rate(self.lane_hurdles))
        })
    }

    /// Clean rate under an exit sprint against without, from runs of both sorts.
    ///
    /// The child's own ability comes from all runs; what the sprint adds has the class's expectation and an own
    /// part of spread [`PRESSURE_SD`], learned from the runs with a sprint.
    fn pressure(
        &self,
        drill_index: usize,
        drill: Option<&Drill>,
        case: &Case,
        _ability: &[f64; GRID],
    ) -> Option<Pressure> {
        if case.sprint.patterns.is_empty() || case.plain.patterns.is_empty() {
            return None;
        }
        const OWN: [f64; 9] = [-2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0];
        let plain = self.table.of(&case.plain);
        let weights = fit::ability_weights();
        let shift = self.fit.drill_shifts[drill_index];
        let mut points: Vec<(f64, f64, f64)> = Vec::with_capacity(GRID * OWN.len());
        let mut top = f64::NEG_INFINITY;
        for own in OWN {
            let table = Table::new(
                &self.fit.parameters,
                &vec![shift + own * PRESSURE_SD; self.fit.drill_shifts.len()],
                &self.patterns_of(&case.sprint),
            );
            let mut sprint = [0.0; GRID];
            for (row, (_, weight)) in table.0.iter().zip(&case.sprint.patterns) {
                for (sum, value) in sprint.iter_mut().zip(row) {
                    *sum += weight * value;
                }
            }
            for (index, t) in fit::abilities().into_iter().enumerate() {
                let log_mass = plain[index] + sprint[index] - 0.5 * own * own + libm::log(weights[index]);
                top = top.max(log_mass);
                let rate = |t: f64| self.fit.parameters.chain(t).clean_rate(self.lane_hurdles);
                points.push((
                    log_mass,
                    rate(t + shift + SPRINT_SHIFT + own * PRESSURE_SD),
                    rate(t + shift + SPRINT_SHIFT + own * PRESSURE_SD) - rate(t + shift),
                ));
            }
        }
        let mut under: Vec<(f64, f64)> = Vec::with_capacity(points.len());
        let mut difference: Vec<(f64, f64)> = Vec::with_capacity(points.len());
        for (log_mass, rate, change) in points {
            let mass = libm::exp(log_mass - top);
            under.push((rate, mass));
            difference.push((change, mass));
        }
        let needed = needed_rate(drill, None, true);
        let p_enough = share_at_least(&under, needed);
        let p_worse = 1.0 - share_at_least(&difference, 0.0);
        let (clean_rate, difference) = (weighted_summary(under), weighted_summary(difference));
        let hurdles: u32 = case.runs.iter().filter(|run| run.exit_sprint).map(|run| run.standing()).sum();
        let verdict = if hurdles < HURDLES_MIN {
            PressureVerdict::NotEnoughSeen
        } else if p_enough >= 0.8 {
            PressureVerdict::Holds
        } else if p_worse >= 0.8 && p_enough <= 0.2 {
            PressureVerdict::Breaks
        } else {
            PressureVerdict::NotEnoughSeen
        };
        Some(Pressure { clean_rate, difference, verdict })
    }

    fn patterns_of(&self, evidence: &Evidence) -> Vec<Seen> {
        evidence.patterns.iter().map(|(pattern, _)| self.patterns[*pattern]).collect()
    }
}

/// Returns the expected losses of moving on, repeating and stepping back.
pub(crate) fn expected_losses(p_up: f64, p_back: f64, losses: &Losses) -> [f64; 3] {
    [losses.wrong_move_on * (1.0 - p_up), losses.other * (p_up + p_back), losses.other * (1.0 - p_back)]
}

/// Returns the chance of being clean enough above which moving on loses less than staying.
///
/// # Formula
/// From w (1 − p) < o (p + q): p > (w − o q) / (w + o), with w and o what a wrong move-on and any other mistake cost,
/// q the chance of a clean rate at which the child steps back.
pub(crate) fn asked_chance(p_back: f64, losses: &Losses) -> f64 {
    let (wrong, other) = (losses.wrong_move_on, losses.other);
    ((wrong - other * p_back) / (wrong + other)).clamp(0.0, 1.0)
}

/// Returns the clean rate that counts as clean enough: walks .95, runs .90, under an exit sprint or at high effort
/// .85 (engineering assumptions).
pub fn needed_rate(drill: Option<&Drill>, effort: Option<f64>, exit_sprint: bool) -> f64 {
    let walk = drill.is_some_and(|drill| drill.walk);
    match (walk, exit_sprint || effort.is_some_and(|effort| effort >= HIGH_EFFORT)) {
        (true, _) => 0.95,
        (false, false) => 0.90,
        (false, true) => 0.85,
    }
}

/// Returns the weight of evidence of that moment: one now, half after four weeks. Future evidence counts as now.
pub(crate) fn fading(at: Timestamp, now: Timestamp) -> f64 {
    const MILLISECONDS_PER_DAY: f64 = 86_400_000.0;
    let days = (now.as_millisecond() - at.as_millisecond()).max(0) as f64 / MILLISECONDS_PER_DAY;
    // Whole days: runs of one lesson share their weight, so equal patterns can be counted together.
    libm::exp2(-days.floor() / HALF_LIFE_DAYS)
}

fn effort_shift(effort: Option<f64>, drill: Option<&Drill>) -> f64 {
    match (effort, drill) {
        (Some(effort), Some(drill)) if !drill.walk => {
            EFFORT_SHIFT_PER_TENTH * ((effort - drill.effort) * 10.0).round()
        }
        _ => 0.0,
    }
}

pub(crate) fn circumstances(run: &Run, drill: Option<&Drill>) -> f64 {
    effort_shift(run.effort, drill) + if run.exit_sprint { SPRINT_SHIFT } else { 0.0 }
}

/// Returns, for each drill of one runner, the prior on the ability grid given the runner's other drills.
///
/// Abilities at two drills share a common part: t = √ρ u + √(1−ρ) e. The common part is integrated over its grid.
fn other_drills_priors(likelihoods: &[[f64; GRID]]) -> Vec<[f64; GRID]> {
    let weights = fit::ability_weights();
    if likelihoods.len() < 2 {
        return vec![weights; likelihoods.len()];
    }
    let grid = fit::abilities();
    let (common, own_sd) = (DRILL_CORRELATION.sqrt(), (1.0 - DRILL_CORRELATION).sqrt());
    // given[u][t]: prior weight of ability t when the common part is u.
    let given: Vec<[f64; GRID]> = grid
        .iter()
        .map(|u| {
            let mut row = grid.map(|t| crate::normal::pdf((t - common * u) / own_sd));
            let sum: f64 = row.iter().sum();
            for value in &mut row {
                *value /= sum;
            }
            row
        })
        .collect();
    let marginals: Vec<Vec<f64>> = likelihoods
        .iter()
        .map(|likelihood| {
            let top = likelihood.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let scaled = likelihood.map(|value| libm::exp(value - top));
            let sum_over = |row: &[f64; GRID]| row.iter().zip(&scaled).map(|(a, b)| a * b).sum::<f64>();
            given.iter().map(|row| top + libm::log(sum_over(row))).collect()
        })
        .collect();
    (0..likelihoods.len())
        .map(|drill| {
            let logs: Vec<f64> = (0..GRID)
                .map(|u| {
                    let others: f64 = marginals
                        .iter()
                        .enumerate()
                        .filter(|(other, _)| *other != drill)
                        .map(|(_, row)| row[u])
                        .sum();
                    others + libm::log(weights[u])
                })
                .collect();
            let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let mut prior = [0.0; GRID];
            for (u, log_weight) in logs.iter().enumerate() {
                let weight = libm::exp(log_weight - top);
                for (sum, value) in prior.iter_mut().zip(&given[u]) {
                    *sum += weight * value;
                }
            }
            let sum: f64 = prior.iter().sum();
            prior.map(|value| value / sum)
        })
        .collect()
}

fn posterior(likelihood: &[f64; GRID], prior: &[f64; GRID]) -> [f64; GRID] {
    let top = likelihood.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut mass: [f64; GRID] =
        std::array::from_fn(|index| prior[index] * libm::exp(likelihood[index] - top));
    let sum: f64 = mass.iter().sum();
    for value in &mut mass {
        *value /= sum;
    }
    mass
}

/// A posterior over clean rates: ability cells with the rates at their borders and middle.
pub(crate) struct RateCurve<'a> {
    pub(crate) rates: &'a [[f64; 3]; GRID],
    pub(crate) mass: &'a [f64; GRID],
}

impl RateCurve<'_> {
    /// Probability that the rate is at least `rate`. Within a cell the mass is spread evenly over ability.
    pub(crate) fn at_least(&self, rate: f64) -> f64 {
        let mut sum = 0.0;
        for (cell, mass) in self.rates.iter().zip(self.mass) {
            let [best, _, worst] = *cell;
            let share = if worst >= rate {
                1.0
            } else if best < rate {
                0.0
            } else {
                (best - rate) / (best - worst)
            };
            sum += mass * share;
        }
        sum.clamp(0.0, 1.0)
    }

    fn summary(&self) -> Rate {
        let mean = self.rates.iter().zip(self.mass).map(|(cell, mass)| cell[1] * mass).sum();
        Rate { mean, low: self.quantile(0.05), high: self.quantile(0.95) }
    }

    /// The rate below which a share `p` of the posterior lies, by bisection to far below what is shown.
    fn quantile(&self, p: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if 1.0 - self.at_least(middle) < p { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}

fn share_at_least(points: &[(f64, f64)], value: f64) -> f64 {
    let total: f64 = points.iter().map(|(_, mass)| mass).sum();
    points.iter().filter(|(point, _)| *point >= value).map(|(_, mass)| mass).sum::<f64>() / total
}

pub(crate) fn weighted_summary(mut points: Vec<(f64, f64)>) -> Rate {
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = points.iter().map(|(_, mass)| mass).sum();
    let mean = points.iter().map(|(point, mass)| point * mass).sum::<f64>() / total;
    let quantile = |p: f64| {
        let mut sum = 0.0;
        points
            .iter()
            .find(|(_, mass)| {
                sum += mass;
                sum >= p * total
            })
            .map_or(mean, |(point, _)| *point)
    };
    Rate { mean, low: quantile(0.05), high: quantile(0.95) }
}

/// Counts the latest watched runs in a row without the drill's key fault.
fn watched_clear(case: &Case, drill: Option<&Drill>) -> u32 {
    let key = drill.and_then(|drill| drill.key_fault.as_deref());
    case.runs
        .iter()
        .rev()
        .filter(|run| run.watched == Watched::Technique)
        .take_while(|run| !key.is_some_and(|key| run.faults.iter().any(|fault| fault == key)))
        .count() as u32
}

/// Looks at the latest run with two or more falls in a row that has a run after it.
fn after_correction(runs: &[&Run]) -> Option<AfterCorrection> {
    let index = (0..runs.len().saturating_sub(1)).rev().find(|index| in_a_row(runs[*index]) >= 2)?;
    let share = |run: &Run| f64::from(run.knocked.count()) / f64::from(run.standing());
    Some(if share(runs[index + 1]) < share(runs[index]) {
        AfterCorrection::Better
    } else {
        AfterCorrection::NotBetter
    })
}

/// Returns the longest row of falls in a run; hurdles that lay down already neither add nor part.
pub fn in_a_row(run: &Run) -> u32 {
    let (mut longest, mut current) = (0, 0);
    for number in 1..=run.hurdles {
        if run.down_before.contains(number) {
            continue;
        }
        current = if run.knocked.contains(number) { current + 1 } else { 0 };
        longest = longest.max(current);
    }
    longest
}
