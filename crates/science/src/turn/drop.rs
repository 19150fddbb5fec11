//! Drop-off over repeats, and how much of it is noise.

use lanewright_model::Estimate;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::METHOD;
use crate::student;

/// Fewest repeats that a slope is said for: two more than its two numbers (engineering assumption).
pub const REPEATS_MIN: usize = 4;
/// Most repeats: more are no series of one lesson.
pub const REPEATS_MAX: usize = 60;

/// What happened to the times from repeat to repeat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DropOff {
    /// Seconds more from one repeat to the next; positive: slower.
    pub slope_s: Estimate,
    /// Sum of the times over repeats times the best, less 1: share by which the series is slower than its best.
    pub decrement: f64,
    /// Slowest over best, less 1.
    pub slowest_over_best: f64,
    /// Decrement that timing alone makes on average, with nobody tiring.
    pub noise_mean: f64,
    /// Decrement that timing alone exceeds once in twenty.
    pub noise_high: f64,
    /// Whether the decrement lies above `noise_high`.
    pub above_noise: bool,
    /// Name and version of the method.
    pub method: String,
}

impl DropOff {
    /// Returns the drop-off in words; below the noise it says so.
    pub fn words(&self) -> Message {
        let id = match (self.above_noise, self.slope_s.low > 0.0) {
            (false, _) => "turn-drop-noise",
            (true, true) => "turn-drop-slower",
            (true, false) => "turn-drop-uneven",
        };
        Message::new(id)
            .with("decrement", Arg::Share(self.decrement))
            .with("noise", Arg::Share(self.noise_high))
    }
}

/// Returns the drop-off over times of like repeats in their order; nothing for fewer than four, or times that are not
/// above 0.
///
/// `timing_sd_s` is the error of one time, standard deviation in seconds, above 0.
///
/// # Formula
/// Slope by least squares, its interval by Student's t with n − 2 degrees of freedom, never narrower than the timing
/// makes it. Decrement Σt / (n · best) − 1 (Fitzsimons et al. 1993; Glaister et al. 2008, Journal of Strength and
/// Conditioning Research 22:1597-1601).
pub fn drop_off(times_s: &[f64], timing_sd_s: f64) -> Option<DropOff> {
    let count = times_s.len();
    let sound = times_s.iter().all(|time| time.is_finite() && *time > 0.0) && timing_sd_s > 0.0;
    if !(REPEATS_MIN..=REPEATS_MAX).contains(&count) || !sound {
        return None;
    }
    let n = count as f64;
    let mean = times_s.iter().sum::<f64>() / n;
    let middle = 0.5 * (n - 1.0);
    let (mut across, mut along) = (0.0, 0.0);
    for (index, time) in times_s.iter().enumerate() {
        let away = index as f64 - middle;
        across += away * (time - mean);
        along += away * away;
    }
    let slope = across / along;
    let rest: f64 = times_s
        .iter()
        .enumerate()
        .map(|(index, time)| {
            let rest = time - mean - slope * (index as f64 - middle);
            rest * rest
        })
        .sum();
    let from_scatter = student::quantile(0.95, n - 2.0) * (rest / (n - 2.0) / along).sqrt();
    let from_timing = crate::normal::Z_95 * timing_sd_s / along.sqrt();
    let half = from_scatter.max(from_timing);
    let best = times_s.iter().copied().fold(f64::INFINITY, f64::min);
    let slowest = times_s.iter().copied().fold(0.0, f64::max);
    let (noise_mean, noise_high) = noise_floor(count, timing_sd_s, mean);
    let decrement = mean / best - 1.0;
    Some(DropOff {
        slope_s: Estimate {
            median: slope,
            low: slope - half,
            high: slope + half,
            n: count as u32,
            method: METHOD.to_owned(),
        },
        decrement,
        slowest_over_best: slowest / best - 1.0,
        noise_mean,
        noise_high,
        above_noise: decrement > noise_high,
        method: METHOD.to_owned(),
    })
}

/// Returns mean and 95th percentile of the decrement that timing alone makes when nobody tires, for `repeats` (2 to 60)
/// of `mean_s` seconds.
///
/// # Formula
/// The best of n is below the mean of n by u times the timing error, where u is the extreme deviate from the sample
/// mean; the decrement is then uσ / (t − uσ). Its distribution (Nair 1948, Biometrika 35:118-144; Grubbs 1950, Annals
/// of Mathematical Statistics 21:27-58) grows with n: F₁ = 1, Fₙ(u) = n √(n / (2π (n−1))) ∫₀ᵘ exp(−n x² / (2 (n−1)))
/// Fₙ₋₁(n x / (n−1)) dx.
pub fn noise_floor(repeats: usize, timing_sd_s: f64, mean_s: f64) -> (f64, f64) {
    /// Step of the grid and its end, in timing errors: beyond it nothing is left to 1e-12 even for sixty repeats.
    const STEP: f64 = 0.01;
    const POINTS: usize = 1001;
    let mut below = vec![1.0; POINTS];
    for n in 2..=repeats.clamp(2, REPEATS_MAX) {
        let n = n as f64;
        let ratio = n / (n - 1.0);
        let front = n * (ratio / std::f64::consts::TAU).sqrt();
        let density = |x: f64| {
            let place = (x * ratio / STEP).min((POINTS - 1) as f64);
            let index = (place as usize).min(POINTS - 2);
            let share = place - index as f64;
            let earlier = below[index] * (1.0 - share) + below[index + 1] * share;
            front * libm::exp(-0.5 * ratio * x * x) * earlier
        };
        let mut next = vec![0.0; POINTS];
        for index in 1..POINTS {
            let from = (index - 1) as f64 * STEP;
            // Simpson's rule over one step.
            let part = (density(from) + 4.0 * density(from + 0.5 * STEP) + density(from + STEP)) * STEP / 6.0;
            next[index] = (next[index - 1] + part).min(1.0);
        }
        below = next;
    }
    let scale = timing_sd_s / mean_s;
    let decrement = |u: f64| {
        // Noise as great as the time itself leaves no best to compare with.
        let lost = (u * scale).min(0.99);
        lost / (1.0 - lost)
    };
    let mut mean = 0.0;
    for (index, pair) in below.windows(2).enumerate() {
        mean += (pair[1] - pair[0]) * decrement((index as f64 + 0.5) * STEP);
    }
    let at = below.iter().position(|below| *below >= 0.95).unwrap_or(POINTS - 1).max(1);
    let share = (0.95 - below[at - 1]) / (below[at] - below[at - 1]);
    (mean, decrement((at as f64 - 1.0 + share) * STEP))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_or_impossible_times_say_nothing() {
        assert!(drop_off(&[5.0, 5.1, 5.2], 0.05).is_none());
        assert!(drop_off(&[5.0, 5.1, 0.0, 5.2], 0.05).is_none());
        assert!(drop_off(&[5.0, 5.1, 5.2, 5.3], 0.0).is_none());
    }

    #[test]
    fn a_steady_series_is_noise_and_a_tiring_one_is_not() {
        let steady = drop_off(&[5.0, 5.05, 4.98, 5.02, 5.01], 0.1).unwrap();
        assert!(!steady.above_noise && steady.words().id == "turn-drop-noise");
        let tiring = drop_off(&[5.0, 5.3, 5.6, 5.9, 6.2, 6.5], 0.1).unwrap();
        assert!(tiring.above_noise && tiring.slope_s.low > 0.0 && tiring.words().id == "turn-drop-slower");
    }

    #[test]
    fn two_repeats_differ_from_their_mean_as_a_folded_normal() {
        // (greater − smaller) / 2 is |d| / 2 with d of variance 2: mean 1 / √π, 95 % at 1.96 / √2.
        let (mean, high) = noise_floor(2, 1e-6, 1.0);
        assert!((mean / 1e-6 - 0.564_19).abs() < 1e-4, "{mean}");
        assert!((high / 1e-6 - 1.385_9).abs() < 1e-3, "{high}");
    }
}
