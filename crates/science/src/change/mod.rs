//! Is a change real, or just one run like the other: the typical error, and what lies beyond it.
//!
//! The same child never runs twice alike. How unlike is learned from repeats within one lesson; a gain is called a gain
//! only when it is greater than that explains and great enough to count. Method page: `docs/methods/change.md`.

use lanewright_model::Estimate;
use lanewright_model::words::Message;
use serde::{Deserialize, Serialize};

use crate::chi_square;
use crate::normal::{self, Z_95};

/// Name and version of the method.
pub const METHOD: &str = "change/1";

/// Fewest degrees of freedom with which the class's own repeats are used (engineering assumption: seven children who
/// ran twice). With fewer the interval reaches beyond twice the value.
pub const OWN_DF_MIN: u32 = 6;
/// How unlike two sprints of one child are within a lesson beside the timing, in seconds (youth 10-yard times a week
/// apart, timed by light beams: differences of 0.13 to 0.14 s, over √2; Wannouch 2024).
pub const CHILD_SD_S: f64 = 0.09;
/// How unlike two clean rates of one child are beside the counting of single hurdles (engineering assumption: knocks
/// come in rows).
pub const CHILD_SD_RATE: f64 = 0.08;
/// Clean rate at which the counting error of the default is taken (engineering assumption).
const DEFAULT_RATE: f64 = 0.9;
/// How unlike two bouts of one child are, in passes or turns (engineering assumption).
pub const CHILD_SD_COUNT: f64 = 1.0;
/// Smallest change that counts, when the class does not say: seconds (engineering assumption).
pub const SMALLEST_S: f64 = 0.05;
/// The same for clean rates: one hurdle in twenty (engineering assumption).
pub const SMALLEST_RATE: f64 = 0.05;
/// The same for passes or turns of a bout (engineering assumption).
pub const SMALLEST_COUNT: f64 = 1.0;
/// Share of the spread between children that is a change worth having (Hopkins 2004, Sportscience 8:1-7: 0.2 of the
/// standard deviation between athletes).
pub const SMALLEST_SHARE: f64 = 0.2;
/// Fewest children whose spread says what a small change is (engineering assumption).
pub const SPREAD_CHILDREN_MIN: usize = 8;
/// A change is told from none beyond this many standard errors of a difference: two sides, 95 %. With √2 it makes the
/// usual factor 2.77 (Bland & Altman 1986, Lancet 327:307-310).
const TOLD_Z: f64 = 1.959_963_984_540_054;

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Times over the same marks.
    Seconds {
        /// Error of one such time, standard deviation in seconds.
        timing_sd_s: f64,
    },
    /// Shares of the standing hurdles that still stand.
    CleanRate {
        /// Hurdles of one run, at least 1.
        hurdles: u32,
    },
    /// Passes or turns of a bout of the same length.
    Count,
}

impl Quantity {
    /// Returns the typical error of one value when the class has too few repeats.
    ///
    /// # Formula
    /// Child and measurement added as variances; a clean rate's counting error is √(p (1 − p) / h) at p = 0.9.
    pub fn default_error(self) -> f64 {
        let (child, measured) = match self {
            Quantity::Seconds { timing_sd_s } => (CHILD_SD_S, timing_sd_s * timing_sd_s),
            Quantity::CleanRate { hurdles } => {
                (CHILD_SD_RATE, DEFAULT_RATE * (1.0 - DEFAULT_RATE) / f64::from(hurdles.max(1)))
            }
            Quantity::Count => (CHILD_SD_COUNT, 0.0),
        };
        (child * child + measured).sqrt()
    }

    fn default_smallest(self) -> f64 {
        match self {
            Quantity::Seconds { .. } => SMALLEST_S,
            Quantity::CleanRate { .. } => SMALLEST_RATE,
            Quantity::Count => SMALLEST_COUNT,
        }
    }
}

/// Where a typical error comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ErrorSource {
    /// Repeats of this class.
    OwnClass,
    /// The documented default: too few repeats.
    Default,
}

/// How far one value of a child lies from what it is on average: a standard deviation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TypicalError {
    /// In the unit of the values.
    pub value: f64,
    /// 5th percentile of where the true one may be. For a default: as from [`OWN_DF_MIN`] degrees of freedom.
    pub low: f64,
    /// 95th percentile.
    pub high: f64,
    /// Degrees of freedom behind it: repeats beyond the first, less what the order took.
    pub df: u32,
    /// Children with repeats.
    pub children: u32,
    /// Own repeats or the default.
    pub source: ErrorSource,
}

impl TypicalError {
    /// Returns the smallest difference between two single values that is told from none (95 %): 1.96 √2 e.
    pub fn smallest_told(&self) -> f64 {
        TOLD_Z * std::f64::consts::SQRT_2 * self.value
    }

    /// Returns in words what it rests on.
    pub fn words(&self) -> Message {
        match self.source {
            ErrorSource::OwnClass => Message::new("change-error-own")
                .with("children", lanewright_model::Arg::Count(i64::from(self.children))),
            ErrorSource::Default => Message::new("change-error-default"),
        }
    }
}

/// Learns the typical error from repeats within one lesson, one list per child in the order of running; the documented
/// default when there are too few.
///
/// # Formula
/// Each value is the child's level, plus what the first, second … try has in common for all (getting warm, getting
/// tired), plus error. Least squares over children and tries; e² is the sum of squares over its degrees of freedom N
/// − K − J + 1 for N values, K children, J tries. For pairs this is the standard deviation of the differences over
/// √2. The interval is √(df e² / χ²).
pub fn typical_error(repeats: &[Vec<f64>], quantity: Quantity) -> TypicalError {
    let repeats: Vec<&[f64]> = repeats.iter().map(Vec::as_slice).filter(|values| values.len() > 1).collect();
    let children = repeats.len() as u32;
    let (sum_of_squares, df) = within(&repeats);
    let (value, df_used, source) = if df >= OWN_DF_MIN {
        ((sum_of_squares / f64::from(df)).sqrt(), df, ErrorSource::OwnClass)
    } else {
        (quantity.default_error(), OWN_DF_MIN, ErrorSource::Default)
    };
    let bound = |p: f64| value * (f64::from(df_used) / chi_square::quantile(p, f64::from(df_used))).sqrt();
    TypicalError { value, low: bound(0.95), high: bound(0.05), df, children, source }
}

/// Sum of squares left by children and tries, with its degrees of freedom.
fn within(repeats: &[&[f64]]) -> (f64, u32) {
    const ROUNDS_MAX: u32 = 1000;
    let tries = repeats.iter().map(|values| values.len()).max().unwrap_or(0);
    let count: usize = repeats.iter().map(|values| values.len()).sum();
    let df = (count + 1).saturating_sub(repeats.len() + tries) as u32;
    if repeats.is_empty() {
        return (0.0, 0);
    }
    let mut common = vec![0.0; tries];
    let mut levels = vec![0.0; repeats.len()];
    for _ in 0..ROUNDS_MAX {
        for (level, values) in levels.iter_mut().zip(repeats) {
            *level = values.iter().zip(&common).map(|(value, common)| value - common).sum::<f64>()
                / values.len() as f64;
        }
        let mut moved = 0.0f64;
        for (index, common) in common.iter_mut().enumerate() {
            let (mut sum, mut of) = (0.0, 0.0);
            for (level, values) in levels.iter().zip(repeats) {
                if let Some(value) = values.get(index) {
                    sum += value - level;
                    of += 1.0;
                }
            }
            moved = moved.max((sum / of - *common).abs());
            *common = sum / of;
        }
        if moved < 1e-13 {
            break;
        }
    }
    let mut sum_of_squares = 0.0;
    for (level, values) in levels.iter().zip(repeats) {
        for (value, common) in values.iter().zip(&common) {
            let rest = value - level - common;
            sum_of_squares += rest * rest;
        }
    }
    (sum_of_squares, df)
}

/// Returns the smallest change that counts: a fifth of the spread between the children, one value per child; the
/// documented default when they are few.
pub fn smallest_change(children: &[f64], quantity: Quantity) -> f64 {
    if children.len() < SPREAD_CHILDREN_MIN {
        return quantity.default_smallest();
    }
    let mean = children.iter().sum::<f64>() / children.len() as f64;
    let squares: f64 = children.iter().map(|value| (value - mean) * (value - mean)).sum();
    SMALLEST_SHARE * (squares / (children.len() - 1) as f64).sqrt()
}

/// Which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Better {
    /// Times.
    Less,
    /// Clean rates, passes, turns.
    More,
}

/// What a change is called.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Better, beyond the typical error and by enough to count.
    Gain,
    /// Worse, by the same measure.
    Loss,
    /// Nothing that one run like the other would not explain.
    NotTold,
}

/// A change between two times of measuring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// Mean before.
    pub before: f64,
    /// Mean after.
    pub after: f64,
    /// The change, positive when better.
    pub gain: Estimate,
    /// Smallest change that these values tell from none.
    pub smallest_told: f64,
    /// Smallest change that counts.
    pub smallest: f64,
    /// Chance that the child is better by at least the smallest change that counts.
    pub p_gain: f64,
    /// Chance that the child is worse by at least that.
    pub p_loss: f64,
    /// What it is called.
    pub verdict: Verdict,
    /// Name and version of the method.
    pub method: String,
}

/// Judges the change of one child; nothing when either list is empty.
///
/// `smallest` is the smallest change that counts, from [`smallest_change`]; 0 or more.
///
/// # Formula
/// Gain d of the means with standard error s = e √(1/n + 1/m); a change is told beyond 1.96 s. Chance of a real gain
/// Φ((d − smallest) / s) (Hopkins 2004, Sportscience 8:1-7).
pub fn judge(
    before: &[f64],
    after: &[f64],
    better: Better,
    error: &TypicalError,
    smallest: f64,
) -> Option<Change> {
    if before.is_empty() || after.is_empty() {
        return None;
    }
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (mean_before, mean_after) = (mean(before), mean(after));
    let gain = match better {
        Better::Less => mean_before - mean_after,
        Better::More => mean_after - mean_before,
    };
    let sd = error.value * (1.0 / before.len() as f64 + 1.0 / after.len() as f64).sqrt();
    let smallest_told = TOLD_Z * sd;
    let p_beyond =
        |distance: f64| if sd > 0.0 { normal::cdf(distance / sd) } else { f64::from(distance > 0.0) };
    let verdict = if gain.abs() <= smallest_told || gain.abs() < smallest {
        Verdict::NotTold
    } else if gain > 0.0 {
        Verdict::Gain
    } else {
        Verdict::Loss
    };
    Some(Change {
        before: mean_before,
        after: mean_after,
        gain: Estimate {
            median: gain,
            low: gain - Z_95 * sd,
            high: gain + Z_95 * sd,
            n: (before.len() + after.len()) as u32,
            method: METHOD.to_owned(),
        },
        smallest_told,
        smallest,
        p_gain: p_beyond(gain - smallest),
        p_loss: p_beyond(-gain - smallest),
        verdict,
        method: METHOD.to_owned(),
    })
}

impl Change {
    /// Returns what the change is called, in words.
    pub fn words(&self) -> Message {
        Message::new(match self.verdict {
            Verdict::Gain => "change-gain",
            Verdict::Loss => "change-loss",
            Verdict::NotTold => "change-not-told",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seeded::Seeded;

    const SECONDS: Quantity = Quantity::Seconds { timing_sd_s: 0.1 };

    fn class(random: &mut Seeded, children: usize, tries: usize, error: f64) -> Vec<Vec<f64>> {
        (0..children)
            .map(|_| {
                let level = 5.0 + 0.4 * random.normal();
                (0..tries).map(|at| level - 0.05 * at as f64 + error * random.normal()).collect()
            })
            .collect()
    }

    #[test]
    fn what_all_tries_share_is_no_error() {
        let repeats: Vec<Vec<f64>> =
            (0..9).map(|child| (0..3).map(|at| f64::from(child) - 0.1 * f64::from(at)).collect()).collect();
        let error = typical_error(&repeats, SECONDS);
        assert!(error.value < 1e-9 && error.source == ErrorSource::OwnClass && error.df == 16, "{error:?}");
    }

    #[test]
    fn few_repeats_give_the_default_and_say_so() {
        let error = typical_error(&class(&mut Seeded(1), 6, 2, 0.05), SECONDS);
        assert_eq!((error.source, error.df, error.children), (ErrorSource::Default, 5, 6));
        assert!((error.value - (0.09f64 * 0.09 + 0.01).sqrt()).abs() < 1e-12 && error.low < error.value);
        assert_eq!(typical_error(&[], SECONDS).source, ErrorSource::Default);
        assert_eq!(typical_error(&[vec![5.0], vec![4.8]], SECONDS).children, 0);
    }

    #[test]
    fn the_interval_of_the_typical_error_holds_the_true_one_in_nine_of_ten() {
        let mut random = Seeded(3);
        for tries in [2, 3] {
            let held = (0..2000)
                .filter(|_| {
                    let error = typical_error(&class(&mut random, 12, tries, 0.08), SECONDS);
                    error.low <= 0.08 && 0.08 <= error.high
                })
                .count();
            assert!((held as f64 / 2000.0 - 0.9).abs() < 0.02, "{held} with {tries} tries");
        }
    }

    #[test]
    fn children_who_did_not_change_are_seldom_called_better() {
        let mut random = Seeded(8);
        let (mut called, rounds) = (0, 4000);
        for _ in 0..rounds {
            let error = typical_error(&class(&mut random, 25, 2, 0.08), SECONDS);
            let mut two = || [5.0 + 0.08 * random.normal(), 5.0 + 0.08 * random.normal()];
            let change = judge(&two(), &two(), Better::Less, &error, 0.0).unwrap();
            called += u32::from(change.verdict == Verdict::Gain);
        }
        let share = f64::from(called) / f64::from(rounds);
        assert!((0.015..0.04).contains(&share), "{share}");
    }

    #[test]
    fn a_change_too_small_to_count_is_no_gain_however_sure() {
        let error = TypicalError {
            value: 0.01,
            low: 0.008,
            high: 0.02,
            df: 9,
            children: 10,
            source: ErrorSource::OwnClass,
        };
        let change = judge(&[5.0; 8], &[4.96; 8], Better::Less, &error, 0.05).unwrap();
        assert!(change.gain.median > change.smallest_told && change.verdict == Verdict::NotTold);
        assert_eq!(judge(&[4.0], &[5.0], Better::Less, &error, 0.05).unwrap().verdict, Verdict::Loss);
        assert_eq!(judge(&[0.5], &[0.9], Better::More, &error, 0.05).unwrap().verdict, Verdict::Gain);
        assert!(judge(&[], &[1.0], Better::More, &error, 0.05).is_none());
    }
}
