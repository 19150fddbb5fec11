//! The class's own parameters: how abilities spread, how knocks cluster, how hard each drill is.
//!
//! Ability `t` of a child at a drill is standard normal over the class (larger is worse); it moves the chance of
//! breaking down and the chance of a single knock, each by its own slope, on the log-odds scale. The six numbers
//! of [`ClassParameters`] and one shift per drill are the most probable ones given all runs of the class and the
//! documented defaults; a new class simply is its defaults.

use lanewright_model::run::HurdleSet;
use serde::{Deserialize, Serialize};

use super::chain::Chain;

/// Lowest and highest ability of the grid, and its step, in standard deviations of the class.
const ABILITY_MAX: f64 = 4.0;
/// Step of the ability grid.
const ABILITY_STEP: f64 = 0.25;
/// Points of the ability grid.
pub const GRID: usize = 33;

/// Parameters that a class's children share.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClassParameters {
    /// Log-odds of breaking down before one hurdle, for the middle child.
    pub break_logit: f64,
    /// ln of how far one standard deviation of ability moves `break_logit`.
    pub break_slope_ln: f64,
    /// Log-odds of knocking one hurdle while sound, for the middle child.
    pub knock_logit: f64,
    /// ln of how far one standard deviation of ability moves `knock_logit`.
    pub knock_slope_ln: f64,
    /// Log-odds of knocking one hurdle while broken down.
    pub broken_knock_logit: f64,
    /// Log-odds of staying broken down to the next hurdle.
    pub stay_logit: f64,
}

/// Number of entries of [`ClassParameters`].
pub const PARAMETERS: usize = 6;

/// What a class looks like before any run was seen (engineering assumption): about one breakdown in twenty
/// hurdles, three single knocks in a hundred, every second hurdle down while broken, a breakdown lasting about
/// three hurdles.
pub const DEFAULTS: ClassParameters = ClassParameters {
    break_logit: -2.9,
    break_slope_ln: 0.0,
    knock_logit: -3.5,
    knock_slope_ln: -0.4,
    broken_knock_logit: 0.0,
    stay_logit: 0.8,
};

/// How far classes differ from the defaults: standard deviations, in the order of the fields (engineering
/// assumption). Wide, since a class of thirty children with a few runs each says a lot about itself.
pub const DEFAULT_SDS: [f64; PARAMETERS] = [0.9, 0.5, 0.85, 0.6, 0.7, 0.8];

/// How far a drill's difficulty differs from its default: standard deviation in units of ability (engineering
/// assumption).
pub const DRILL_SD: f64 = 0.6;

impl ClassParameters {
    /// Returns the entries in the order of the fields.
    pub fn to_array(self) -> [f64; PARAMETERS] {
        [
            self.break_logit,
            self.break_slope_ln,
            self.knock_logit,
            self.knock_slope_ln,
            self.broken_knock_logit,
            self.stay_logit,
        ]
    }

    /// Returns parameters from entries in the order of the fields.
    pub fn from_array(entries: [f64; PARAMETERS]) -> Self {
        let [break_logit, break_slope_ln, knock_logit, knock_slope_ln, broken_knock_logit, stay_logit] =
            entries;
        Self { break_logit, break_slope_ln, knock_logit, knock_slope_ln, broken_knock_logit, stay_logit }
    }

    /// Returns the chain of a child whose ability, drill and circumstances add up to `t`.
    pub fn chain(&self, t: f64) -> Chain {
        Chain {
            break_p: logistic(self.break_logit + libm::exp(self.break_slope_ln) * t),
            stay_p: logistic(self.stay_logit),
            knock_sound_p: logistic(self.knock_logit + libm::exp(self.knock_slope_ln) * t),
            knock_broken_p: logistic(self.broken_knock_logit),
        }
    }
}

/// Returns 1 / (1 + e^-x).
pub fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-x))
}

/// Returns the ability grid.
pub fn abilities() -> [f64; GRID] {
    std::array::from_fn(|index| -ABILITY_MAX + ABILITY_STEP * index as f64)
}

/// Returns the class's prior weights on the ability grid, adding up to one.
pub fn ability_weights() -> [f64; GRID] {
    let mut weights = abilities().map(crate::normal::pdf);
    let sum: f64 = weights.iter().sum();
    for weight in &mut weights {
        *weight /= sum;
    }
    weights
}

/// Half the distance between two points of the ability grid: each point stands for this much on either side.
pub const CELL_HALF: f64 = ABILITY_STEP / 2.0;

/// Evidence of one child at one drill: which patterns, with which weight.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Evidence {
    /// Index of the drill.
    pub drill: usize,
    /// Pattern index and weight; each pattern at most once.
    pub patterns: Vec<(usize, f64)>,
}

/// The chains of children all over the ability grid, side by side, so that one pass along the lane serves them all.
pub struct Chains {
    break_p: [f64; GRID],
    stay_p: f64,
    knock_sound_p: [f64; GRID],
    knock_broken_p: f64,
}

impl Chains {
    /// Returns the chains of children whose drill and circumstances shift their ability by `shift`.
    pub fn new(parameters: &ClassParameters, shift: f64) -> Self {
        let chains = abilities().map(|t| parameters.chain(t + shift));
        Self {
            break_p: chains.map(|chain| chain.break_p),
            stay_p: chains[0].stay_p,
            knock_sound_p: chains.map(|chain| chain.knock_sound_p),
            knock_broken_p: chains[0].knock_broken_p,
        }
    }

    /// Returns [`Chain::likelihood`] of each, with the same digits.
    pub fn likelihoods(&self, hurdles: u32, knocked: HurdleSet, down: HurdleSet) -> [f64; GRID] {
        let (mut sound, mut broken) = ([1.0; GRID], [0.0; GRID]);
        for number in 1..=hurdles {
            self.step(&mut sound, &mut broken);
            let fell = (!down.contains(number)).then(|| knocked.contains(number));
            self.see(fell, &mut sound, &mut broken);
        }
        std::array::from_fn(|point| sound[point] + broken[point])
    }

    /// Adds to `slopes` how a sum of likelihoods, each child's times its `weight`, changes with the chances of the
    /// chains.
    ///
    /// # Formula
    /// The forward pass keeps the states before each hurdle; going back from the last one, the slope with respect to
    /// a state is that with respect to the states it leads to, each times the chance of going there. One pass back
    /// gives the slopes with respect to all chances (reverse differentiation of the forward algorithm).
    pub fn add_slopes(
        &self,
        (hurdles, knocked, down): (u32, HurdleSet, HurdleSet),
        weight: &[f64; GRID],
        slopes: &mut ChainSlopes,
    ) {
        let shown_at = |number: u32| (!down.contains(number)).then(|| knocked.contains(number));
        let mut before = Vec::with_capacity(hurdles as usize);
        let (mut sound, mut broken) = ([1.0; GRID], [0.0; GRID]);
        for number in 1..=hurdles {
            before.push((sound, broken));
            self.step(&mut sound, &mut broken);
            self.see(shown_at(number), &mut sound, &mut broken);
        }
        // Slopes with respect to the state after a hurdle.
        let (mut to_sound, mut to_broken) = (*weight, *weight);
        for number in (1..=hurdles).rev() {
            let (was_sound, was_broken) = &before[number as usize - 1];
            if let Some(fell) = shown_at(number) {
                let (mut came_sound, mut came_broken) = (*was_sound, *was_broken);
                self.step(&mut came_sound, &mut came_broken);
                let sign = if fell { 1.0 } else { -1.0 };
                for point in 0..GRID {
                    slopes.knock_sound[point] += sign * to_sound[point] * came_sound[point];
                    slopes.knock_broken += sign * to_broken[point] * came_broken[point];
                }
                self.see(Some(fell), &mut to_sound, &mut to_broken);
            }
            for point in 0..GRID {
                let (ends_sound, ends_broken) = (to_sound[point], to_broken[point]);
                let breaking = ends_broken - ends_sound;
                slopes.breaks[point] += was_sound[point] * breaking;
                slopes.stays += was_broken[point] * breaking;
                to_sound[point] = ends_sound + self.break_p[point] * breaking;
                to_broken[point] = ends_sound + self.stay_p * breaking;
            }
        }
    }

    /// Goes from one hurdle to the next.
    fn step(&self, sound: &mut [f64; GRID], broken: &mut [f64; GRID]) {
        for point in 0..GRID {
            let (was_sound, was_broken) = (sound[point], broken[point]);
            let break_p = self.break_p[point];
            sound[point] = was_sound * (1.0 - break_p) + was_broken * (1.0 - self.stay_p);
            broken[point] = was_sound * break_p + was_broken * self.stay_p;
        }
    }

    /// Weighs the states by what the hurdle showed: fell, stood, or nothing.
    fn see(&self, fell: Option<bool>, sound: &mut [f64; GRID], broken: &mut [f64; GRID]) {
        let Some(fell) = fell else { return };
        let chance = |knock_p: f64| if fell { knock_p } else { 1.0 - knock_p };
        for point in 0..GRID {
            sound[point] *= chance(self.knock_sound_p[point]);
            broken[point] *= chance(self.knock_broken_p);
        }
    }
}

/// Slopes with respect to the chances of [`Chains`].
pub struct ChainSlopes {
    breaks: [f64; GRID],
    stays: f64,
    knock_sound: [f64; GRID],
    knock_broken: f64,
}

impl ChainSlopes {
    const NONE: Self = Self { breaks: [0.0; GRID], stays: 0.0, knock_sound: [0.0; GRID], knock_broken: 0.0 };
}

/// A distinct thing that a run can show, together with what shifts its difficulty.
pub trait Pattern {
    /// Returns its probability for children all over the ability grid.
    fn likelihoods(&self, chains: &Chains) -> [f64; GRID];
    /// Adds to `slopes` how the sum of these probabilities, each times its weight, changes with the chains' chances.
    fn add_slopes(&self, chains: &Chains, weight: &[f64; GRID], slopes: &mut ChainSlopes);
    /// Returns the shift in units of ability from the circumstances (exit sprint, effort).
    fn shift(&self) -> f64;
    /// Returns the index of the drill.
    fn drill(&self) -> usize;
}

impl<P: Pattern> Pattern for &P {
    fn likelihoods(&self, chains: &Chains) -> [f64; GRID] {
        (**self).likelihoods(chains)
    }
    fn add_slopes(&self, chains: &Chains, weight: &[f64; GRID], slopes: &mut ChainSlopes) {
        (**self).add_slopes(chains, weight, slopes);
    }
    fn shift(&self) -> f64 {
        (**self).shift()
    }
    fn drill(&self) -> usize {
        (**self).drill()
    }
}

/// Log likelihoods of every pattern on the ability grid.
pub struct Table(pub Vec<[f64; GRID]>);

impl Table {
    /// Computes the table for the given parameters and drill shifts.
    pub fn new(parameters: &ClassParameters, drill_shifts: &[f64], patterns: &[impl Pattern]) -> Self {
        // Chains depend on (drill shift + circumstances) only: share them between patterns.
        let mut chains: Vec<(f64, Chains)> = Vec::new();
        Self(
            patterns
                .iter()
                .map(|pattern| {
                    let shift = drill_shifts[pattern.drill()] + pattern.shift();
                    let index = chains.iter().position(|(known, _)| *known == shift).unwrap_or_else(|| {
                        chains.push((shift, Chains::new(parameters, shift)));
                        chains.len() - 1
                    });
                    pattern.likelihoods(&chains[index].1).map(|likelihood| libm::log(likelihood.max(1e-300)))
                })
                .collect(),
        )
    }

    /// Returns the log likelihood of one child's evidence on the grid.
    pub fn of(&self, evidence: &Evidence) -> [f64; GRID] {
        let mut sums = [0.0; GRID];
        for (pattern, weight) in &evidence.patterns {
            for (sum, value) in sums.iter_mut().zip(&self.0[*pattern]) {
                *sum += weight * value;
            }
        }
        sums
    }
}

/// What the class taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The class's parameters.
    pub parameters: ClassParameters,
    /// Difficulty of each drill in units of ability.
    pub drill_shifts: Vec<f64>,
    /// How often the search tried numbers.
    pub rounds: u32,
}

/// Finds the most probable parameters for the evidence. `drill_defaults` holds each drill's expected difficulty.
pub fn fit(evidence: &[Evidence], patterns: &[impl Pattern], drill_defaults: &[f64]) -> Fit {
    let every = evidence.len().div_ceil(FIT_CASES_MAX).max(1);
    let (cases, patterns) = used_only(evidence.iter().step_by(every), patterns);
    if cases.is_empty() {
        return Fit { parameters: DEFAULTS, drill_shifts: drill_defaults.to_vec(), rounds: 0 };
    }
    let class = Class { cases, patterns, drill_defaults, weights: ability_weights() };
    let found = quasi_newton(class.distances(), |distances| class.minus_log_posterior(distances));
    let (parameters, drill_shifts) = class.numbers(&found.point);
    Fit { parameters, drill_shifts, rounds: found.tried }
}

/// Evidence of a class, and how probable numbers make it.
struct Class<'a, P> {
    cases: Vec<Evidence>,
    patterns: Vec<&'a P>,
    drill_defaults: &'a [f64],
    weights: [f64; GRID],
}

/// Chains that share a drill and its circumstances.
struct Shared {
    drill: usize,
    circumstances: f64,
    chains: Chains,
    slopes: ChainSlopes,
}

impl<P: Pattern> Class<'_, P> {
    /// Returns where the search starts: at the defaults. Every number is counted in standard deviations from its
    /// default; the only drill of a class is as hard as its numbers say, so it has no shift of its own.
    fn distances(&self) -> Vec<f64> {
        let drills = if self.drill_defaults.len() > 1 { self.drill_defaults.len() } else { 0 };
        vec![0.0; PARAMETERS + drills]
    }

    /// Returns the class's numbers and the drills' shifts.
    fn numbers(&self, distances: &[f64]) -> (ClassParameters, Vec<f64>) {
        let defaults = DEFAULTS.to_array();
        let entries = std::array::from_fn(|index| defaults[index] + DEFAULT_SDS[index] * distances[index]);
        let mut shifts = self.drill_defaults.to_vec();
        for (shift, distance) in shifts.iter_mut().zip(&distances[PARAMETERS..]) {
            *shift += DRILL_SD * distance;
        }
        (ClassParameters::from_array(entries), shifts)
    }

    /// Returns minus the log posterior, up to a constant, and its slopes.
    fn minus_log_posterior(&self, distances: &[f64]) -> (f64, Vec<f64>) {
        let (parameters, shifts) = self.numbers(distances);
        let mut shared: Vec<Shared> = Vec::new();
        let mut likelihoods = Vec::with_capacity(self.patterns.len());
        let mut table = Table(Vec::with_capacity(self.patterns.len()));
        let mut chains_of = Vec::with_capacity(self.patterns.len());
        for pattern in &self.patterns {
            let (drill, circumstances) = (pattern.drill(), pattern.shift());
            let same = |known: &Shared| known.drill == drill && known.circumstances == circumstances;
            let index = shared.iter().position(same).unwrap_or_else(|| {
                let chains = Chains::new(&parameters, shifts[drill] + circumstances);
                shared.push(Shared { drill, circumstances, chains, slopes: ChainSlopes::NONE });
                shared.len() - 1
            });
            let likelihood = pattern.likelihoods(&shared[index].chains).map(|value| value.max(SMALLEST));
            table.0.push(likelihood.map(libm::log));
            likelihoods.push(likelihood);
            chains_of.push(index);
        }
        // How much each pattern's log likelihood weighs at each ability, over all children.
        let mut log_weights = vec![[0.0; GRID]; self.patterns.len()];
        let mut log_posterior = 0.0;
        for case in &self.cases {
            let log_likelihood = table.of(case);
            let (log_sum, shares) = marginal(&log_likelihood, &self.weights);
            log_posterior += log_sum;
            for (pattern, weight) in &case.patterns {
                for (sum, share) in log_weights[*pattern].iter_mut().zip(&shares) {
                    *sum += weight * share;
                }
            }
        }
        for (pattern, (index, (likelihood, log_weight))) in
            self.patterns.iter().zip(chains_of.iter().zip(likelihoods.iter().zip(&log_weights)))
        {
            let Shared { chains, slopes, .. } = &mut shared[*index];
            let weight = std::array::from_fn(|point| log_weight[point] / likelihood[point]);
            pattern.add_slopes(chains, &weight, slopes);
        }
        let mut log_slopes = self.slopes_of_numbers(&parameters, &shifts, &shared);
        for (slope, distance) in log_slopes.iter_mut().zip(distances) {
            log_posterior -= 0.5 * distance * distance;
            *slope -= distance;
        }
        (-log_posterior, log_slopes.into_iter().map(|slope| -slope).collect())
    }

    /// Carries slopes over from the chains' chances to the class's numbers, in standard deviations.
    fn slopes_of_numbers(&self, parameters: &ClassParameters, shifts: &[f64], shared: &[Shared]) -> Vec<f64> {
        let mut entries = [0.0; PARAMETERS];
        let mut of_drill = vec![0.0; shifts.len()];
        let break_slope = libm::exp(parameters.break_slope_ln);
        let knock_slope = libm::exp(parameters.knock_slope_ln);
        let of_logit = |p: f64| p * (1.0 - p);
        for Shared { drill, circumstances, chains, slopes } in shared {
            for (point, t) in abilities().into_iter().enumerate() {
                let ability = t + shifts[*drill] + circumstances;
                let breaks = slopes.breaks[point] * of_logit(chains.break_p[point]);
                let knocks = slopes.knock_sound[point] * of_logit(chains.knock_sound_p[point]);
                entries[0] += breaks;
                entries[1] += breaks * break_slope * ability;
                entries[2] += knocks;
                entries[3] += knocks * knock_slope * ability;
                of_drill[*drill] += breaks * break_slope + knocks * knock_slope;
            }
            entries[4] += slopes.knock_broken * of_logit(chains.knock_broken_p);
            entries[5] += slopes.stays * of_logit(chains.stay_p);
        }
        let of_class = entries.into_iter().zip(DEFAULT_SDS).map(|(slope, sd)| slope * sd);
        let drills = self.distances().len() - PARAMETERS;
        of_class.chain(of_drill.into_iter().take(drills).map(|slope| slope * DRILL_SD)).collect()
    }
}

/// Returns the evidence with its patterns numbered anew, and just the patterns that it uses.
fn used_only<'a, P: Pattern>(
    evidence: impl Iterator<Item = &'a Evidence>,
    patterns: &'a [P],
) -> (Vec<Evidence>, Vec<&'a P>) {
    let mut numbers = vec![None; patterns.len()];
    let mut used = Vec::new();
    let evidence = evidence
        .map(|child| Evidence {
            drill: child.drill,
            patterns: child
                .patterns
                .iter()
                .map(|(pattern, weight)| {
                    let number = *numbers[*pattern].get_or_insert_with(|| {
                        used.push(&patterns[*pattern]);
                        used.len() - 1
                    });
                    (number, *weight)
                })
                .collect(),
        })
        .collect();
    (evidence, used)
}

/// Returns ln Σ weight · e^log likelihood, and the share that each point of the grid has in the sum.
fn marginal(log_likelihood: &[f64; GRID], weights: &[f64; GRID]) -> (f64, [f64; GRID]) {
    let top = log_likelihood.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let parts: [f64; GRID] =
        std::array::from_fn(|point| weights[point] * libm::exp(log_likelihood[point] - top));
    let sum: f64 = parts.iter().sum();
    (top + libm::log(sum), parts.map(|part| part / sum))
}

/// Likelihoods below this count as this, so that their logarithm is a number.
const SMALLEST: f64 = 1e-300;
/// Most steps of one search.
const STEPS_MAX: u32 = 60;
/// The search ends when a further step promises less than this in log posterior: a likelihood ratio of 1.001 is far
/// below what a decision can feel.
const PROMISE_MIN: f64 = 0.001;
/// Longest step in standard deviations of the defaults.
const STEP_MAX: f64 = 1.0;
/// Most cases (one child at one drill) that the class's parameters are learned from; of more, every k-th is taken.
/// Six numbers and a shift per drill are known well enough from four hundred.
const FIT_CASES_MAX: usize = 400;

/// Where a search ended.
struct Found {
    point: Vec<f64>,
    /// How often the function was computed.
    tried: u32,
}

/// Minimises a smooth function that comes with its slopes by the quasi-Newton method of Broyden, Fletcher, Goldfarb
/// and Shanno (Nocedal & Wright, Numerical Optimization, 2nd edition 2006, algorithm 6.1), halving a step until it
/// lowers the function enough (the Armijo condition, same book, 3.1). Deterministic.
fn quasi_newton(start: Vec<f64>, function: impl Fn(&[f64]) -> (f64, Vec<f64>)) -> Found {
    let axes = start.len();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut point = start;
    let (mut value, mut slopes) = function(&point);
    let mut tried = 1;
    // Inverse of the curvature as known so far; the defaults' own curvature is one along every axis.
    let mut inverse: Vec<Vec<f64>> = (0..axes)
        .map(|row| (0..axes).map(|column| if row == column { 1.0 } else { 0.0 }).collect())
        .collect();
    for turn in 0..STEPS_MAX {
        let mut step: Vec<f64> = inverse.iter().map(|row| -dot(row, &slopes)).collect();
        let length = dot(&step, &step).sqrt();
        if length > STEP_MAX {
            step.iter_mut().for_each(|entry| *entry *= STEP_MAX / length);
        }
        let descent = dot(&step, &slopes);
        if -descent < 2.0 * PROMISE_MIN {
            break;
        }
        let mut factor = 1.0;
        let next = loop {
            let there: Vec<f64> = point.iter().zip(&step).map(|(from, by)| from + factor * by).collect();
            let (there_value, there_slopes) = function(&there);
            tried += 1;
            if there_value <= value + 1e-4 * factor * descent {
                break Some((there, there_value, there_slopes));
            }
            factor *= 0.5;
            if factor < 1e-6 {
                break None;
            }
        };
        let Some((there, there_value, there_slopes)) = next else { break };
        let moved: Vec<f64> = there.iter().zip(&point).map(|(to, from)| to - from).collect();
        let turned: Vec<f64> = there_slopes.iter().zip(&slopes).map(|(to, from)| to - from).collect();
        (point, value, slopes) = (there, there_value, there_slopes);
        let curvature = dot(&moved, &turned);
        if curvature <= 1e-12 {
            continue;
        }
        if turn == 0 {
            let scale = curvature / dot(&turned, &turned);
            (0..axes).for_each(|axis| inverse[axis][axis] = scale);
        }
        let carried: Vec<f64> = inverse.iter().map(|row| dot(row, &turned)).collect();
        let weight = (1.0 + dot(&turned, &carried) / curvature) / curvature;
        for row in 0..axes {
            for column in 0..axes {
                inverse[row][column] += weight * moved[row] * moved[column]
                    - (carried[row] * moved[column] + moved[row] * carried[column]) / curvature;
            }
        }
    }
    Found { point, tried }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Shown {
        drill: usize,
        shift: f64,
        seen: (u32, HurdleSet, HurdleSet),
    }

    impl Pattern for Shown {
        fn likelihoods(&self, chains: &Chains) -> [f64; GRID] {
            chains.likelihoods(self.seen.0, self.seen.1, self.seen.2)
        }
        fn add_slopes(&self, chains: &Chains, weight: &[f64; GRID], slopes: &mut ChainSlopes) {
            chains.add_slopes(self.seen, weight, slopes);
        }
        fn shift(&self) -> f64 {
            self.shift
        }
        fn drill(&self) -> usize {
            self.drill
        }
    }

    /// Two drills, runs with and without pressure, hurdles that lay, and a child with fading evidence.
    fn class() -> (Vec<Shown>, Vec<Evidence>) {
        let set = |bits| HurdleSet(bits);
        let patterns = vec![
            Shown { drill: 0, shift: 0.0, seen: (8, set(0), set(0)) },
            Shown { drill: 0, shift: 0.4, seen: (8, set(0b0011_1000), set(0)) },
            Shown { drill: 0, shift: 0.0, seen: (8, set(0b0000_0100), set(0b0100_0000)) },
            Shown { drill: 1, shift: 0.0, seen: (6, set(0b11_0000), set(0)) },
            Shown { drill: 1, shift: 0.0, seen: (6, set(0), set(0b1)) },
        ];
        let evidence = vec![
            Evidence { drill: 0, patterns: vec![(0, 5.0), (1, 1.0)] },
            Evidence { drill: 0, patterns: vec![(1, 2.0), (2, 3.0), (0, 0.3)] },
            Evidence { drill: 1, patterns: vec![(3, 4.0), (4, 1.0)] },
            Evidence { drill: 1, patterns: vec![(4, 6.5)] },
        ];
        (patterns, evidence)
    }

    #[test]
    fn slopes_are_those_that_small_differences_show() {
        let (patterns, cases) = class();
        let class = Class {
            cases,
            patterns: patterns.iter().collect(),
            drill_defaults: &[0.0, 0.2],
            weights: ability_weights(),
        };
        let at = [0.3, -0.2, 0.5, 0.1, -0.4, 0.2, 0.7, -0.6];
        let (_, slopes) = class.minus_log_posterior(&at);
        assert_eq!(slopes.len(), at.len());
        for axis in 0..at.len() {
            let value = |by: f64| {
                let mut moved = at;
                moved[axis] += by;
                class.minus_log_posterior(&moved).0
            };
            let shown = (value(1e-5) - value(-1e-5)) / 2e-5;
            assert!(
                (slopes[axis] - shown).abs() < 1e-7 * (1.0 + shown.abs()),
                "{axis}: {} {shown}",
                slopes[axis]
            );
        }
    }

    #[test]
    fn no_number_near_the_fitted_ones_is_more_probable() {
        let (patterns, cases) = class();
        let class = Class {
            cases,
            patterns: patterns.iter().collect(),
            drill_defaults: &[0.0, 0.2],
            weights: ability_weights(),
        };
        let found = quasi_newton(class.distances(), |distances| class.minus_log_posterior(distances));
        let best = class.minus_log_posterior(&found.point).0;
        assert!(best < class.minus_log_posterior(&class.distances()).0 - 1.0);
        for axis in 0..found.point.len() {
            for by in [-0.3, -0.05, 0.05, 0.3] {
                let mut moved = found.point.clone();
                moved[axis] += by;
                assert!(class.minus_log_posterior(&moved).0 > best - PROMISE_MIN, "{axis} {by}");
            }
        }
    }

    #[test]
    fn the_search_finds_the_valley_of_rosenbrocks_function() {
        // Rosenbrock 1960, Computer Journal 3:175: a narrow bent valley with its lowest point at (1, 1).
        let found = quasi_newton(vec![-1.2, 1.0], |at| {
            let (x, y) = (at[0], at[1]);
            let bend = y - x * x;
            (
                100.0 * bend * bend + (1.0 - x) * (1.0 - x),
                vec![-400.0 * x * bend - 2.0 * (1.0 - x), 200.0 * bend],
            )
        });
        assert!(
            (found.point[0] - 1.0).abs() < 0.05 && (found.point[1] - 1.0).abs() < 0.1,
            "{:?}",
            found.point
        );
        assert!(found.tried < 100);
    }
}
