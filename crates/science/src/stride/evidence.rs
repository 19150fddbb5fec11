//! What one observation says about a step or a gap. All on the log scale: lengths multiply, so logs add.

use lanewright_model::Verdict;

use crate::normal;

/// Trial-to-trial spread of a child's step, as a standard deviation of ln step: coefficient of variation 3.8 to 5 %
/// in 54 boys over 30 m (Meyers et al. 2015), low end.
pub const TRIAL_SD_LN: f64 = 0.04;

/// Reading error of a tape laid from toe to toe, in metres. Engineering assumption.
pub const TAPE_SD_M: f64 = 0.01;

/// Rounding of a step count at both ends of a distance, in steps: √2 / √12.
pub const COUNT_SD_STEPS: f64 = 0.408_248_290_463_863;

/// Error of a hand-stopped time in seconds. Engineering assumption (0.10 to 0.15 s).
pub const STOPWATCH_SD_S: f64 = 0.12;

/// How much hurdles change a child's free step, as a standard deviation of ln step. Engineering assumption: adult
/// sprinters lengthen their step over 20 cm and not over 13 cm (Makaruk 2021), sizes of the effect not seen.
pub const HURDLE_SD_LN: f64 = 0.08;

/// Spread of a "comfortable step length" in a class list, of which the number of steps is not known, as a standard
/// deviation of ln step. Engineering assumption.
pub const LISTED_STEP_SD_LN: f64 = 0.05;

/// How far a gap may be off before it looks too close or too far, on ln gap. Engineering assumption.
pub const TOLERANCE_LN: f64 = 0.07;

/// Spread of that judgement, as a standard deviation of ln gap. Engineering assumption.
pub const JUDGEMENT_SD_LN: f64 = 0.07;

/// Share of judgements that say nothing: looked away, wrong child, wrong button. Engineering assumption.
pub const MISJUDGED_SHARE: f64 = 0.05;

/// Smallest probability of a verdict that is divided by.
const PROBABILITY_FLOOR: f64 = 1e-12;

/// How far from the mean several verdicts are integrated, in standard deviations of the belief before them.
const INTEGRATION_RANGE_SD: f64 = 6.0;

/// Step of that integration on ln gap, over the square root of the number of verdicts. A verdict changes over 0.07 and
/// n of them over 0.07 / √n; the sums are then exact to 1e-6 of the spread (tested).
const INTEGRATION_STEP_LN: f64 = 0.05;

/// What is believed of ln gap (metres): a normal distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    /// Mean of ln gap.
    pub mu_ln: f64,
    /// Variance of ln gap.
    pub variance: f64,
}

impl Belief {
    /// Returns the belief with the given median gap in metres and standard deviation of its logarithm.
    pub fn new(median_m: f64, sd_ln: f64) -> Self {
        Self { mu_ln: libm::log(median_m), variance: sd_ln * sd_ln }
    }

    /// Returns the median gap in metres.
    pub fn median_m(&self) -> f64 {
        libm::exp(self.mu_ln)
    }

    /// Returns the standard deviation of ln gap.
    pub fn sd_ln(&self) -> f64 {
        self.variance.sqrt()
    }

    /// Returns the belief after a measured length.
    ///
    /// # Formula
    /// K = s² / (s² + r), μ += K (ln length − μ), s² *= 1 − K.
    #[must_use]
    pub fn measured(&self, length: LnLength) -> Self {
        let gain = self.variance / (self.variance + length.variance);
        Self { mu_ln: self.mu_ln + gain * (length.ln_m - self.mu_ln), variance: self.variance * (1.0 - gain) }
    }

    /// Returns the belief after a tried gap was judged, and how probable the verdict was.
    ///
    /// `misjudged` is the share of verdicts that say nothing, 0 to 1; [`MISJUDGED_SHARE`] by default.
    ///
    /// # Formula
    /// The verdict rests on ln gap − θ plus a normal error of 0.07: "too far" above 0.07, "too close" below −0.07,
    /// "right" between. Mean and variance of θ after it are exact (moments of a truncated normal), mixed with the
    /// belief before it for the verdicts that say nothing.
    #[must_use]
    pub fn judged(&self, ln_gap: f64, verdict: Verdict, misjudged: f64) -> (Self, f64) {
        let (low, high) = limits(verdict);
        let total = self.variance + JUDGEMENT_SD_LN * JUDGEMENT_SD_LN;
        let total_sd = total.sqrt();
        let offset = ln_gap - self.mu_ln;
        let (a, b) = ((low - offset) / total_sd, (high - offset) / total_sd);
        let probability = normal::interval_probability(a, b);
        let divisor = probability.max(PROBABILITY_FLOOR);
        let times = |x: f64| if x.is_finite() { x * normal::pdf(x) } else { 0.0 };
        let first = (normal::pdf(a) - normal::pdf(b)) / divisor;
        let second = (times(a) - times(b)) / divisor;
        let moved = Self {
            mu_ln: self.mu_ln - self.variance / total_sd * first,
            variance: self.variance - self.variance * self.variance / total * (first * first - second),
        };
        let meant = (1.0 - misjudged) * probability;
        let meaningless = misjudged / 3.0;
        let share = if meant + meaningless > 0.0 { meant / (meant + meaningless) } else { 0.0 };
        let mu_ln = share * moved.mu_ln + (1.0 - share) * self.mu_ln;
        let spread = |belief: &Self| {
            let off = belief.mu_ln - mu_ln;
            belief.variance + off * off
        };
        let variance = share * spread(&moved) + (1.0 - share) * spread(self);
        (Self { mu_ln, variance }, meant + meaningless)
    }

    /// Returns the belief after several tried gaps were judged, each given as ln gap and verdict.
    ///
    /// The order does not matter: mean and variance are those of belief × all verdicts together, by summation on an
    /// even grid. For a single verdict it is [`Belief::judged`].
    #[must_use]
    pub fn judged_all(&self, verdicts: &[(f64, Verdict)], misjudged: f64) -> Self {
        match verdicts {
            [] => return *self,
            [(ln_gap, verdict)] => return self.judged(*ln_gap, *verdict, misjudged).0,
            _ => {}
        }
        let sd = self.sd_ln();
        let steps_per_sd = (sd * (verdicts.len() as f64).sqrt() / INTEGRATION_STEP_LN).max(4.0);
        let half = (INTEGRATION_RANGE_SD * steps_per_sd).ceil();
        let step = INTEGRATION_RANGE_SD * sd / half;
        let at = |index: usize| (index as f64 - half) * step;
        let mut weights: Vec<f64> =
            (0..=2 * half as usize).map(|index| normal::pdf(at(index) / sd)).collect();
        for (ln_gap, verdict) in verdicts {
            let (low, high) = limits(*verdict);
            let mut most = 0.0f64;
            for (index, weight) in weights.iter_mut().enumerate() {
                let off = ln_gap - self.mu_ln - at(index);
                let probability = normal::interval_probability(
                    (low - off) / JUDGEMENT_SD_LN,
                    (high - off) / JUDGEMENT_SD_LN,
                );
                *weight *= (1.0 - misjudged) * probability + misjudged / 3.0;
                most = most.max(*weight);
            }
            // Only shares count; kept away from underflow when there are hundreds of verdicts.
            if most > 0.0 {
                weights.iter_mut().for_each(|weight| *weight /= most);
            }
        }
        let total: f64 = weights.iter().sum();
        if total <= 0.0 {
            return *self;
        }
        let mean = weights.iter().enumerate().map(|(index, weight)| weight * at(index)).sum::<f64>() / total;
        let variance = weights
            .iter()
            .enumerate()
            .map(|(index, weight)| weight * (at(index) - mean) * (at(index) - mean))
            .sum::<f64>()
            / total;
        Self { mu_ln: self.mu_ln + mean, variance }
    }
}

/// Between which limits of ln gap − θ, as judged, a verdict lies.
fn limits(verdict: Verdict) -> (f64, f64) {
    match verdict {
        Verdict::TooFar => (TOLERANCE_LN, f64::INFINITY),
        Verdict::TooClose => (f64::NEG_INFINITY, -TOLERANCE_LN),
        Verdict::Right => (-TOLERANCE_LN, TOLERANCE_LN),
    }
}

/// A measured length: its logarithm (of metres) and the variance of that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LnLength {
    /// ln of the length in metres.
    pub ln_m: f64,
    /// Variance of ln length.
    pub variance: f64,
}

/// Returns the step that a tape over `steps` steps shows.
///
/// # Formula
/// ln(distance / steps); variance 0.04² + 0.04² / steps + (0.01 m / distance)².
pub fn taped_step(distance_m: f64, steps: u32) -> LnLength {
    let steps = f64::from(steps);
    let trial = TRIAL_SD_LN * TRIAL_SD_LN;
    let tape = TAPE_SD_M / distance_m;
    LnLength { ln_m: libm::log(distance_m / steps), variance: trial + trial / steps + tape * tape }
}

/// Returns the step of a run over a known distance with counted steps.
///
/// # Formula
/// ln(distance / steps); variance (0.41 / steps)² + 0.04².
pub fn counted_step(distance_m: f64, steps: u32) -> LnLength {
    let rounding = COUNT_SD_STEPS / f64::from(steps);
    LnLength {
        ln_m: libm::log(distance_m / f64::from(steps)),
        variance: rounding * rounding + TRIAL_SD_LN * TRIAL_SD_LN,
    }
}

/// Returns the step of a timed run whose footfalls were heard.
///
/// `time_s` and `cadence_hz` come with their standard deviations, in seconds and steps a second.
///
/// # Formula
/// ln(distance / time / cadence); variance (sd/t)² + (sd/f)² + 0.04².
pub fn timed_step(
    distance_m: f64,
    (time_s, time_sd_s): (f64, f64),
    (cadence_hz, cadence_sd_hz): (f64, f64),
) -> LnLength {
    let (time, cadence) = (time_sd_s / time_s, cadence_sd_hz / cadence_hz);
    LnLength {
        ln_m: libm::log(distance_m / time_s / cadence_hz),
        variance: time * time + cadence * cadence + TRIAL_SD_LN * TRIAL_SD_LN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdict_that_cannot_be_believed_moves_little_and_stays_finite() {
        let belief = Belief::new(1.5, 0.12);
        let (after, probability) = belief.judged(libm::log(0.4), Verdict::TooFar, MISJUDGED_SHARE);
        assert!((after.median_m() - 1.5).abs() < 0.01 && after.variance.is_finite());
        assert!((probability - MISJUDGED_SHARE / 3.0).abs() < 1e-6);
        let (after, _) = belief.judged(libm::log(0.4), Verdict::TooFar, 0.0);
        assert!(after.mu_ln.is_finite() && after.variance.is_finite());
    }

    #[test]
    fn one_verdict_by_summation_is_the_closed_form() {
        for sd_ln in [0.03, 0.08, 0.14, 0.25] {
            for gap_m in [0.9, 1.3, 1.6] {
                for verdict in [Verdict::TooFar, Verdict::Right, Verdict::TooClose] {
                    let belief = Belief::new(1.31, sd_ln);
                    let (closed, _) = belief.judged(libm::log(gap_m), verdict, MISJUDGED_SHARE);
                    // A second verdict that says nothing at all makes it sum.
                    let far_off = (libm::log(gap_m), verdict);
                    let nothing = (libm::log(1e-9), Verdict::TooClose);
                    let summed = belief.judged_all(&[far_off, nothing], MISJUDGED_SHARE);
                    assert!((summed.mu_ln - closed.mu_ln).abs() < 1e-6 * sd_ln);
                    assert!((summed.variance / closed.variance - 1.0).abs() < 1e-6);
                }
            }
        }
    }

    #[test]
    fn order_of_verdicts_does_not_matter_and_many_do_not_underflow() {
        let belief = Belief::new(0.66, 0.14);
        let verdicts = [(0.66, Verdict::TooFar), (0.60, Verdict::TooFar), (0.50, Verdict::Right)]
            .map(|(m, v)| (libm::log(m), v));
        let forward = belief.judged_all(&verdicts, MISJUDGED_SHARE);
        let backward = belief.judged_all(&[verdicts[2], verdicts[0], verdicts[1]], MISJUDGED_SHARE);
        assert!((forward.mu_ln - backward.mu_ln).abs() < 1e-12);
        assert!((forward.variance - backward.variance).abs() < 1e-14);
        let many = belief.judged_all(&[(libm::log(0.3), Verdict::TooFar); 500], MISJUDGED_SHARE);
        assert!(many.mu_ln.is_finite() && many.variance > 0.0 && many.median_m() < 0.4);
    }

    #[test]
    fn probabilities_of_the_three_verdicts_add_up_to_one() {
        let belief = Belief::new(1.31, 0.14);
        for gap_m in [0.7, 1.2, 1.31, 1.5, 2.4] {
            let sum: f64 = [Verdict::TooFar, Verdict::Right, Verdict::TooClose]
                .into_iter()
                .map(|verdict| belief.judged(libm::log(gap_m), verdict, MISJUDGED_SHARE).1)
                .sum();
            assert!((sum - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn beliefs_after_the_three_verdicts_average_to_the_one_before() {
        // The law of total expectation and variance: an exact update must satisfy both.
        let belief = Belief::new(1.31, 0.14);
        for gap_m in [0.9, 1.31, 1.5] {
            let (mut mean, mut square) = (0.0, 0.0);
            for verdict in [Verdict::TooFar, Verdict::Right, Verdict::TooClose] {
                let (after, probability) = belief.judged(libm::log(gap_m), verdict, MISJUDGED_SHARE);
                mean += probability * after.mu_ln;
                square += probability * (after.variance + after.mu_ln * after.mu_ln);
            }
            assert!((mean - belief.mu_ln).abs() < 1e-12);
            assert!((square - mean * mean - belief.variance).abs() < 1e-12);
        }
    }
}
