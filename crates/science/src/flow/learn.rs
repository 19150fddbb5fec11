//! The pace of a lesson from the time stamps of its own runs.

use lanewright_model::Estimate;
use serde::{Deserialize, Serialize};

use super::{FlowError, SECONDS_PER_MINUTE, range};
use crate::normal;

/// Name and version of the method.
pub const LEARN_METHOD: &str = "flow-learn/1";

/// A time between two starts that is longer than so many times the usual one is a pause: a talk, a new set-up
/// (engineering assumption).
pub const PAUSE_FACTOR: f64 = 4.0;

/// How far a whole class may be from the model before anything is seen: standard deviation of ln interval
/// (engineering assumption: nine classes of ten within a factor of 1.6).
pub const CLASS_SD_LN: f64 = 0.3;

/// Spread of the times between starts as a share of their mean, before anything is seen (engineering assumption).
pub const GAP_CV: f64 = 0.25;

/// So many gaps the assumption [`GAP_CV`] weighs (engineering assumption).
const GAP_CV_WEIGHT: f64 = 6.0;

/// A lane with fewer gaps than this borrows the usual gap of the class to tell pauses.
const OWN_MEDIAN_GAPS: usize = 4;

/// How far lanes of one class may lie apart in ln interval: each of these is tried, with half-normal weights.
const LANE_SDS_LN: [f64; 11] = [0.02, 0.05, 0.08, 0.12, 0.16, 0.20, 0.26, 0.34, 0.44, 0.60, 0.80];

/// Scale of the half-normal weights (engineering assumption).
const LANE_SD_SCALE: f64 = 0.4;

/// The starts of one lane in one block, as far as they were recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneStarts {
    /// When children started, in seconds from any moment; in any order.
    pub starts_s: Vec<f64>,
    /// Children who take turns in it, 1 to 100.
    pub children: u32,
    /// What [`super::flow`] says for the time between two starts of one child, in seconds.
    pub model_interval_s: f64,
}

/// What a lane's own runs say about its pace.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LearnedPace {
    /// Runs of each child in a minute, with 90 % interval; `n` is the number of gaps used.
    pub runs_per_min: Estimate,
    /// Gaps that were left out as pauses.
    pub pauses: u32,
}

/// Returns the pace of each lane, learned from its own starts and, where these are few, from the other lanes and
/// from the model.
///
/// Every run of a lane must have been recorded: a run that is missing looks like a slow one.
///
/// # Formula
/// x = ln(children × mean gap / model interval) + cv² / 2n of a lane is normal around its true value θ with standard
/// deviation cv / √n, cv from all gaps together. θ is normal around what the class shares with standard deviation τ,
/// and that is normal around 0 with [`CLASS_SD_LN`]. τ is not known: the posterior is the mixture over a grid of τ. The
/// interval are the 5th and 95th percentile of the mixture.
///
/// # Errors
/// Names the number that is out of its range. Starts that are no number are refused.
pub fn learn_interval(lanes: &[LaneStarts]) -> Result<Vec<LearnedPace>, FlowError> {
    for lane in lanes {
        range("children", f64::from(lane.children), 1.0, 100.0, "1 to 100")?;
        range("model_interval_s", lane.model_interval_s, 0.1, 1e5, "0.1 to 100000 s")?;
        for &start_s in &lane.starts_s {
            range("starts_s", start_s, -1e12, 1e12, "seconds from any moment")?;
        }
    }
    let sorted: Vec<Vec<f64>> = lanes.iter().map(gaps_s).collect();
    let model_gap_s = |lane: &LaneStarts| lane.model_interval_s / f64::from(lane.children);
    let class_ratio = median(
        sorted
            .iter()
            .zip(lanes)
            .flat_map(|(gaps, lane)| gaps.iter().map(|gap| gap / model_gap_s(lane)))
            .collect(),
    );
    let kept: Vec<(Vec<f64>, u32)> = sorted
        .iter()
        .zip(lanes)
        .map(|(gaps, lane)| {
            let usual_s = if gaps.len() >= OWN_MEDIAN_GAPS {
                median(gaps.clone())
            } else {
                class_ratio.map(|ratio| ratio * model_gap_s(lane))
            };
            let longest_s = usual_s.map_or(f64::INFINITY, |usual_s| PAUSE_FACTOR * usual_s);
            let used: Vec<f64> = gaps.iter().copied().filter(|gap| *gap <= longest_s).collect();
            let pauses = (gaps.len() - used.len()) as u32;
            (used, pauses)
        })
        .collect();
    let cv_squared = pooled_cv_squared(kept.iter().map(|(gaps, _)| gaps.as_slice()));
    let seen: Vec<Option<(f64, f64)>> = kept
        .iter()
        .zip(lanes)
        .map(|((gaps, _), lane)| {
            let mean_s = mean(gaps)?;
            let variance = cv_squared / gaps.len() as f64;
            // The logarithm of a mean lies half its variance too low on average.
            let x = libm::log(mean_s / model_gap_s(lane)) + 0.5 * variance;
            Some((x, variance))
        })
        .collect();
    let class = Class::of(&seen);
    Ok(kept
        .iter()
        .zip(lanes)
        .zip(&seen)
        .map(|(((gaps, pauses), lane), seen)| {
            let mixture = class.lane(*seen);
            let runs_per_min =
                |p: f64| SECONDS_PER_MINUTE / (lane.model_interval_s * libm::exp(quantile(&mixture, p)));
            let runs_per_min = Estimate {
                median: runs_per_min(0.5),
                low: runs_per_min(0.95),
                high: runs_per_min(0.05),
                n: if seen.is_some() { gaps.len() as u32 } else { 0 },
                method: LEARN_METHOD.to_owned(),
            };
            LearnedPace { runs_per_min, pauses: *pauses }
        })
        .collect())
}

fn gaps_s(lane: &LaneStarts) -> Vec<f64> {
    let mut starts_s = lane.starts_s.clone();
    starts_s.sort_by(f64::total_cmp);
    starts_s.windows(2).map(|pair| pair[1] - pair[0]).collect()
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => None,
        even if even % 2 == 0 => Some(0.5 * (values[middle - 1] + values[middle])),
        _ => Some(values[middle]),
    }
}

/// Returns the mean, or nothing where there is no gap or none with a length.
fn mean(gaps: &[f64]) -> Option<f64> {
    let sum: f64 = gaps.iter().sum();
    (sum > 0.0).then(|| sum / gaps.len() as f64)
}

fn pooled_cv_squared<'a>(lanes: impl Iterator<Item = &'a [f64]>) -> f64 {
    let (mut weight, mut sum) = (GAP_CV_WEIGHT, GAP_CV_WEIGHT * GAP_CV * GAP_CV);
    for gaps in lanes {
        if let Some(mean_s) = mean(gaps) {
            weight += gaps.len() as f64 - 1.0;
            sum += gaps.iter().map(|gap| (gap / mean_s - 1.0).powi(2)).sum::<f64>();
        }
    }
    sum / weight
}

/// What the lanes of a class share, for each spread between lanes that is tried.
struct Class {
    /// Weight, spread between lanes, mean and variance of what they share.
    tried: Vec<(f64, f64, f64, f64)>,
}

impl Class {
    fn of(seen: &[Option<(f64, f64)>]) -> Self {
        let mut tried: Vec<(f64, f64, f64, f64)> = LANE_SDS_LN
            .iter()
            .map(|&lane_sd| {
                let lanes = || seen.iter().flatten().map(|&(x, variance)| (x, variance + lane_sd * lane_sd));
                let (shared, shared_variance) = normal::shared_offset(lanes(), CLASS_SD_LN);
                let ln_likelihood = 0.5 * shared * shared / shared_variance
                    + 0.5 * libm::log(shared_variance)
                    - lanes().map(|(x, v)| 0.5 * (libm::log(v) + x * x / v)).sum::<f64>();
                let ln_weight =
                    ln_likelihood - 0.5 * (lane_sd / LANE_SD_SCALE).powi(2) + libm::log(cell(lane_sd));
                (ln_weight, lane_sd, shared, shared_variance)
            })
            .collect();
        let most = tried.iter().map(|entry| entry.0).fold(f64::NEG_INFINITY, f64::max);
        for entry in &mut tried {
            entry.0 = libm::exp(entry.0 - most);
        }
        let total: f64 = tried.iter().map(|entry| entry.0).sum();
        for entry in &mut tried {
            entry.0 /= total;
        }
        Self { tried }
    }

    /// Returns the posterior of a lane as weights, means and standard deviations.
    fn lane(&self, seen: Option<(f64, f64)>) -> Vec<(f64, f64, f64)> {
        self.tried
            .iter()
            .map(|&(weight, lane_sd, shared, shared_variance)| {
                let lane_variance = lane_sd * lane_sd;
                let Some((x, variance)) = seen else {
                    return (weight, shared, (lane_variance + shared_variance).sqrt());
                };
                // How much the lane leans on the class.
                let lean = variance / (variance + lane_variance);
                let mean = (1.0 - lean) * x + lean * shared;
                (weight, mean, ((1.0 - lean) * variance + lean * lean * shared_variance).sqrt())
            })
            .collect()
    }
}

/// Returns the width of the cell around a point of the grid.
fn cell(lane_sd: f64) -> f64 {
    let index = LANE_SDS_LN.iter().position(|value| *value == lane_sd).unwrap_or(0);
    let below = if index == 0 { 0.0 } else { LANE_SDS_LN[index - 1] };
    let above = LANE_SDS_LN.get(index + 1).copied().unwrap_or(LANE_SDS_LN[index]);
    0.5 * (above - below)
}

/// Returns the quantile of a mixture of normals, by halving.
fn quantile(mixture: &[(f64, f64, f64)], p: f64) -> f64 {
    let below =
        |x: f64| mixture.iter().map(|(weight, mean, sd)| weight * normal::cdf((x - mean) / sd)).sum::<f64>();
    let reach = |sign: f64| {
        let ends = mixture.iter().map(|(_, mean, sd)| sign * mean + 10.0 * sd);
        sign * ends.fold(f64::NEG_INFINITY, f64::max)
    };
    let (mut low, mut high) = (reach(-1.0), reach(1.0));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if below(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
