//! The class's own parameters: how abilities spread, how knocks cluster, how hard each drill is.
//!
//! Ability `t` of a child at a drill is standard normal over the class (larger is worse); it moves the chance of
//! breaking down and the chance of a single knock, each by its own slope, on the log-odds scale. The six numbers
//! of [`ClassParameters`] and one shift per drill are the most probable ones given all runs of the class and the
//! documented defaults; a new class simply is its defaults.

use lanewright_model::run::HurdleSet;

use super::chain::Chain;

/// Lowest and highest ability of the grid, and its step, in standard deviations of the class.
const ABILITY_MAX: f64 = 4.0;
/// Step of the ability grid.
const ABILITY_STEP: f64 = 0.25;
/// Points of the ability grid.
pub const GRID: usize = 33;

/// Parameters that a class's children share.
#[derive(Debug, Clone, Copy, PartialEq)]
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

    fn log_prior(&self) -> f64 {
        let defaults = DEFAULTS.to_array();
        let mut sum = 0.0;
        for (index, value) in self.to_array().into_iter().enumerate() {
            let z = (value - defaults[index]) / DEFAULT_SDS[index];
            sum -= 0.5 * z * z;
        }
        sum
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
            let says_nothing = down.contains(number);
            let fell = knocked.contains(number);
            let broken_p = match (says_nothing, fell) {
                (true, _) => 1.0,
                (false, true) => self.knock_broken_p,
                (false, false) => 1.0 - self.knock_broken_p,
            };
            for point in 0..GRID {
                let (was_sound, was_broken) = (sound[point], broken[point]);
                let break_p = self.break_p[point];
                sound[point] = was_sound * (1.0 - break_p) + was_broken * (1.0 - self.stay_p);
                broken[point] = (was_sound * break_p + was_broken * self.stay_p) * broken_p;
            }
            if !says_nothing {
                for (value, knock_p) in sound.iter_mut().zip(&self.knock_sound_p) {
                    *value *= if fell { *knock_p } else { 1.0 - knock_p };
                }
            }
        }
        std::array::from_fn(|point| sound[point] + broken[point])
    }
}

/// A distinct thing that a run can show, together with what shifts its difficulty.
pub trait Pattern {
    /// Returns its probability for children all over the ability grid.
    fn likelihoods(&self, chains: &Chains) -> [f64; GRID];
    /// Returns the shift in units of ability from the circumstances (exit sprint, effort).
    fn shift(&self) -> f64;
    /// Returns the index of the drill.
    fn drill(&self) -> usize;
}

impl<P: Pattern> Pattern for &P {
    fn likelihoods(&self, chains: &Chains) -> [f64; GRID] {
        (**self).likelihoods(chains)
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
    /// Rounds the search took.
    pub rounds: u32,
}

/// Finds the most probable parameters for the evidence. `drill_defaults` holds each drill's expected difficulty.
pub fn fit(evidence: &[Evidence], patterns: &[impl Pattern], drill_defaults: &[f64]) -> Fit {
    let mut drill_shifts = drill_defaults.to_vec();
    let weights = ability_weights();
    let every = evidence.len().div_ceil(FIT_CASES_MAX).max(1);
    let all = used_only(evidence.iter().step_by(every), patterns);
    // Only drills whose evidence is given count: the others add the same whatever is tried.
    let log_posterior = |parameters: &ClassParameters, shifts: &[f64], of: &(Vec<Evidence>, Vec<&_>)| {
        let (evidence, patterns) = of;
        let table = Table::new(parameters, shifts, patterns);
        let mut sum = parameters.log_prior();
        for (shift, default) in shifts.iter().zip(drill_defaults) {
            let z = (shift - default) / DRILL_SD;
            sum -= 0.5 * z * z;
        }
        for child in evidence {
            sum += log_marginal(&table.of(child), &weights);
        }
        sum
    };
    if all.0.is_empty() {
        return Fit { parameters: DEFAULTS, drill_shifts, rounds: 0 };
    }
    let of_drill: Vec<(Vec<Evidence>, Vec<&_>)> = (0..drill_defaults.len())
        .map(|drill| used_only(evidence.iter().step_by(every).filter(|child| child.drill == drill), patterns))
        .collect();
    let mut parameters = DEFAULTS;
    let mut rounds = 0;
    // One drill needs one pass; several drills alternate between the shared numbers and each drill's own.
    let passes = if drill_defaults.len() > 1 { 2 } else { 1 };
    for pass in 0..passes {
        let steps = DEFAULT_SDS.map(|sd| if pass == 0 { 0.5 * sd } else { 0.15 * sd });
        let (best, used) = simplex_search(parameters.to_array(), steps, |entries| {
            -log_posterior(&ClassParameters::from_array(*entries), &drill_shifts, &all)
        });
        parameters = ClassParameters::from_array(best);
        rounds += used;
        if drill_defaults.len() > 1 {
            for drill in 0..drill_shifts.len() {
                let (best, used) = simplex_search([drill_shifts[drill]], [0.3], |entry| {
                    let mut shifts = drill_shifts.clone();
                    shifts[drill] = entry[0];
                    -log_posterior(&parameters, &shifts, &of_drill[drill])
                });
                drill_shifts[drill] = best[0];
                rounds += used;
            }
        }
    }
    Fit { parameters, drill_shifts, rounds }
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

/// Returns ln Σ weight · e^log likelihood.
pub fn log_marginal(log_likelihood: &[f64; GRID], weights: &[f64; GRID]) -> f64 {
    let top = log_likelihood.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 =
        log_likelihood.iter().zip(weights).map(|(value, weight)| weight * libm::exp(value - top)).sum();
    top + libm::log(sum)
}

/// Most function evaluations of one search.
const SEARCH_MAX: u32 = 400;
/// The search ends when the log posterior differs by less than this over the simplex: a likelihood ratio of 1.01 is
/// far below what a decision can feel.
const SEARCH_TOLERANCE: f64 = 0.01;
/// Most cases (one child at one drill) that the class's parameters are learned from; of more, every k-th is taken.
/// Six numbers and a shift per drill are known well enough from four hundred.
const FIT_CASES_MAX: usize = 400;

/// Minimises a function of a few numbers by the downhill simplex of Nelder and Mead (Computer Journal 7:308, 1965).
/// Returns the best point and the number of evaluations. Deterministic.
fn simplex_search<const N: usize>(
    start: [f64; N],
    steps: [f64; N],
    function: impl Fn(&[f64; N]) -> f64,
) -> ([f64; N], u32) {
    let mut used = 0;
    let mut value_of = |point: [f64; N]| {
        used += 1;
        (function(&point), point)
    };
    let mut simplex = vec![value_of(start)];
    for axis in 0..N {
        let mut point = start;
        point[axis] += steps[axis];
        simplex.push(value_of(point));
    }
    for _ in 0..SEARCH_MAX {
        simplex.sort_by(|a, b| a.0.total_cmp(&b.0));
        if simplex[N].0 - simplex[0].0 < SEARCH_TOLERANCE {
            break;
        }
        let centre: [f64; N] = std::array::from_fn(|axis| {
            simplex[..N].iter().map(|(_, point)| point[axis]).sum::<f64>() / N as f64
        });
        let along = |factor: f64| -> [f64; N] {
            std::array::from_fn(|axis| centre[axis] + factor * (simplex[N].1[axis] - centre[axis]))
        };
        let reflected = value_of(along(-1.0));
        let next = if reflected.0 < simplex[0].0 {
            let expanded = value_of(along(-2.0));
            if expanded.0 < reflected.0 { Some(expanded) } else { Some(reflected) }
        } else if reflected.0 < simplex[N - 1].0 {
            Some(reflected)
        } else {
            let contracted =
                if reflected.0 < simplex[N].0 { value_of(along(-0.5)) } else { value_of(along(0.5)) };
            (contracted.0 < reflected.0.min(simplex[N].0)).then_some(contracted)
        };
        match next {
            Some(point) => simplex[N] = point,
            None => {
                let best = simplex[0].1;
                for corner in simplex.iter_mut().skip(1) {
                    let point = std::array::from_fn(|axis| 0.5 * (best[axis] + corner.1[axis]));
                    *corner = value_of(point);
                }
            }
        }
    }
    simplex.sort_by(|a, b| a.0.total_cmp(&b.0));
    (simplex[0].1, used)
}
