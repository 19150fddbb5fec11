//! The class as one linear-Gaussian model, solved without ever building it whole.
//!
//! ln gap of child i in drill d is
//!
//! ```text
//! prior(i,d) + κ_d (c_k + a_i) + b_ik + e_id + s_id h_i
//! ```
//!
//! with k the drill's *channel* (drills whose comfortable gap is one and the same thing), c_k what the whole class
//! shares (shoes, floor, what this teacher calls "easy"), a_i the child's own trait in all drills, b_ik in one
//! channel, e_id in one drill, and h_i the error of the child's size. Children are independent once the few c_k are
//! known, so each child is a matrix of its own (channels + drills), and the class is their meeting in c.
//!
//! Measured lengths are exact in this scheme. Verdicts are not Gaussian; all of a child's verdicts in one drill are
//! replaced by the Gaussian with the exact mean and variance after them. A child's evidence is first read with the
//! class unknown (what it says of c), then once more with what the *other* children say of c.

use lanewright_model::Verdict;

use super::evidence::{Belief, LnLength, MISJUDGED_SHARE};

/// Spread of what a class shares, as a standard deviation of ln gap: floor, shoes, the teacher's "easy". Engineering
/// assumption.
pub const CLASS_OFFSET_SD_LN: f64 = 0.08;

/// Spread of a child's own trait that shows in all drills. Engineering assumption.
pub const OWN_TRAIT_SD_LN: f64 = 0.065;

/// Least share of a drill's variance that is the drill's or channel's own. Keeps drills with a small spread sane.
const OWN_SHARE_MIN: f64 = 0.2;

/// Share of that rest which belongs to the single drill when a channel holds several. Engineering assumption.
const DRILL_SHARE: f64 = 0.25;

/// How a drill hangs together with others.
#[derive(Debug, Clone, Copy)]
pub(super) struct DrillModel {
    /// Number of the channel, from 0.
    pub channel: usize,
    /// Spread of ln gap between children of one size: the prior of the drill.
    pub sd_ln: f64,
    /// Whether all drills of the channel are one and the same step.
    pub one_step: bool,
    /// Variance by which this drill stands apart from the rest of its channel, on top of the spread; the same in all
    /// of a child's observations of it. For free running, which is not quite running over hurdles.
    pub apart: f64,
}

impl DrillModel {
    /// κ: how strongly class offset and own trait show in this drill.
    fn loading(&self) -> f64 {
        let shared = CLASS_OFFSET_SD_LN * CLASS_OFFSET_SD_LN + OWN_TRAIT_SD_LN * OWN_TRAIT_SD_LN;
        ((1.0 - OWN_SHARE_MIN) * self.sd_ln * self.sd_ln / shared).min(1.0).sqrt()
    }

    /// Variance that is left for channel and drill when the drill's whole spread is `sd_ln`.
    fn rest(&self, sd_ln: f64) -> f64 {
        let loading = self.loading();
        let shared = CLASS_OFFSET_SD_LN * CLASS_OFFSET_SD_LN + OWN_TRAIT_SD_LN * OWN_TRAIT_SD_LN;
        (sd_ln * sd_ln - loading * loading * shared).max(OWN_SHARE_MIN * sd_ln * sd_ln)
    }
}

/// What is known of one child in one drill before anything is seen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prior {
    /// ln of the median gap in metres.
    pub mu_ln: f64,
    /// Spread of ln gap for children of exactly this size.
    pub sd_ln: f64,
    /// Change of ln gap per change of ln stature.
    pub size_loading: f64,
}

/// One child: what is known beforehand, one entry a drill, and what was seen.
#[derive(Debug, Clone)]
pub(super) struct Child {
    pub priors: Vec<Prior>,
    /// Variance of ln stature.
    pub size_variance: f64,
    /// Observations of one drill stand together: its verdicts are then taken in at once.
    pub seen: Vec<Seen>,
}

/// One observation of a drill's gap.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    /// Number of the drill.
    pub drill: usize,
    pub what: What,
}

#[derive(Debug, Clone, Copy)]
pub(super) enum What {
    Measured(LnLength),
    Judged { ln_gap: f64, verdict: Verdict },
}

/// Returns what is believed of every child's gap in every drill, after all children's observations.
pub(super) fn posterior(drills: &[DrillModel], children: &[Child]) -> Vec<Vec<Belief>> {
    // Only channels in which something was seen can tell of their class offset.
    let mut used: Vec<usize> =
        children.iter().flat_map(|child| child.seen.iter().map(|seen| drills[seen.drill].channel)).collect();
    used.sort_unstable();
    used.dedup();
    let offsets = used.len();
    let slot: Vec<Option<usize>> =
        drills.iter().map(|drill| used.binary_search(&drill.channel).ok()).collect();

    let vague =
        ClassOffsets { mean: vec![0.0; offsets], covariance: Square::diagonal(offsets, class_variance()) };
    let messages: Vec<Option<Information>> = children
        .iter()
        .map(|child| {
            (!child.seen.is_empty()).then(|| {
                let mut state = State::new(drills, &slot, child, &vague);
                state.take(child, Widening::Refused);
                state.information_on_offsets(offsets)
            })
        })
        .collect();
    let mut total = Information {
        precision: Square::diagonal(offsets, 1.0 / class_variance()),
        weighted_mean: vec![0.0; offsets],
    };
    for message in messages.iter().flatten() {
        total.add(message, 1.0);
    }
    let class = total.offsets();
    children
        .iter()
        .zip(&messages)
        .map(|(child, message)| match message {
            None => without_observations(drills, &slot, child, &class),
            Some(message) => {
                let mut others = total.clone();
                others.add(message, -1.0);
                let mut state = State::new(drills, &slot, child, &others.offsets());
                state.take(child, Widening::Allowed);
                (0..drills.len()).map(|drill| state.belief(offsets + drill)).collect()
            }
        })
        .collect()
}

fn class_variance() -> f64 {
    CLASS_OFFSET_SD_LN * CLASS_OFFSET_SD_LN
}

fn without_observations(
    drills: &[DrillModel],
    slot: &[Option<usize>],
    child: &Child,
    class: &ClassOffsets,
) -> Vec<Belief> {
    drills
        .iter()
        .zip(slot)
        .zip(&child.priors)
        .map(|((drill, slot), prior)| {
            let loading = drill.loading();
            let (offset, offset_variance) = match slot {
                Some(slot) => (class.mean[*slot], class.covariance.at(*slot, *slot)),
                None => (0.0, class_variance()),
            };
            let shared = offset_variance + OWN_TRAIT_SD_LN * OWN_TRAIT_SD_LN;
            let size = prior.size_loading * prior.size_loading * child.size_variance;
            Belief {
                mu_ln: prior.mu_ln + loading * offset,
                variance: loading * loading * shared + size + drill.rest(prior.sd_ln) + drill.apart,
            }
        })
        .collect()
}

/// Mean and covariance of the class offsets of the channels in use.
struct ClassOffsets {
    mean: Vec<f64>,
    covariance: Square,
}

/// The same in information form, in which independent witnesses simply add.
#[derive(Clone)]
struct Information {
    precision: Square,
    weighted_mean: Vec<f64>,
}

impl Information {
    fn add(&mut self, other: &Information, sign: f64) {
        for (sum, part) in self.precision.cells.iter_mut().zip(&other.precision.cells) {
            *sum += sign * part;
        }
        for (sum, part) in self.weighted_mean.iter_mut().zip(&other.weighted_mean) {
            *sum += sign * part;
        }
    }

    fn offsets(&self) -> ClassOffsets {
        let covariance = self.precision.inverse();
        let mean = covariance.times(&self.weighted_mean);
        ClassOffsets { mean, covariance }
    }
}

/// Whether verdicts that contradict everything may widen the belief.
#[derive(Clone, Copy, PartialEq)]
enum Widening {
    Allowed,
    /// Such verdicts are left out: what they would tell the class is "I know less than nothing".
    Refused,
}

/// Joint belief of the class offsets (first) and one child's ln gaps (behind them).
struct State {
    mean: Vec<f64>,
    covariance: Square,
}

impl State {
    fn new(drills: &[DrillModel], slot: &[Option<usize>], child: &Child, class: &ClassOffsets) -> Self {
        let offsets = class.mean.len();
        let size = offsets + drills.len();
        let mut mean = class.mean.clone();
        let mut covariance = Square::diagonal(size, 0.0);
        for a in 0..offsets {
            for b in 0..offsets {
                *covariance.at_mut(a, b) = class.covariance.at(a, b);
            }
        }
        for (a, drill_a) in drills.iter().enumerate() {
            let (loading_a, prior_a) = (drill_a.loading(), &child.priors[a]);
            mean.push(prior_a.mu_ln + slot[a].map_or(0.0, |slot| loading_a * class.mean[slot]));
            for offset in 0..offsets {
                let cell = slot[a].map_or(0.0, |slot| loading_a * class.covariance.at(slot, offset));
                *covariance.at_mut(offset, offsets + a) = cell;
                *covariance.at_mut(offsets + a, offset) = cell;
            }
            for (b, drill_b) in drills.iter().enumerate() {
                let (loading_b, prior_b) = (drill_b.loading(), &child.priors[b]);
                let same_channel = drill_a.channel == drill_b.channel;
                let offset = match (slot[a], slot[b]) {
                    (Some(a), Some(b)) => class.covariance.at(a, b),
                    (None, None) if same_channel => class_variance(),
                    _ => 0.0,
                };
                let mut cell = loading_a * loading_b * (offset + OWN_TRAIT_SD_LN * OWN_TRAIT_SD_LN)
                    + prior_a.size_loading * prior_b.size_loading * child.size_variance;
                let rests = (drill_a.rest(prior_a.sd_ln) * drill_b.rest(prior_b.sd_ln)).sqrt();
                if a == b {
                    cell += rests + drill_a.apart;
                } else if same_channel {
                    cell += if drill_a.one_step { rests } else { (1.0 - DRILL_SHARE) * rests };
                }
                *covariance.at_mut(offsets + a, offsets + b) = cell;
            }
        }
        Self { mean, covariance }
    }

    fn belief(&self, index: usize) -> Belief {
        Belief { mu_ln: self.mean[index], variance: self.covariance.at(index, index) }
    }

    /// Takes in all observations of the child: measured lengths first, then the verdicts, drill by drill.
    fn take(&mut self, child: &Child, widening: Widening) {
        let offsets = self.mean.len() - child.priors.len();
        for seen in &child.seen {
            if let What::Measured(length) = seen.what {
                let index = offsets + seen.drill;
                let after = self.belief(index).measured(length);
                self.set_belief(index, after);
            }
        }
        let verdicts: Vec<(usize, (f64, Verdict))> = child
            .seen
            .iter()
            .filter_map(|seen| match seen.what {
                What::Judged { ln_gap, verdict } => Some((seen.drill, (ln_gap, verdict))),
                What::Measured(_) => None,
            })
            .collect();
        for of_drill in verdicts.chunk_by(|a, b| a.0 == b.0) {
            let index = offsets + of_drill[0].0;
            let before = self.belief(index);
            let judged: Vec<(f64, Verdict)> = of_drill.iter().map(|(_, judged)| *judged).collect();
            let after = before.judged_all(&judged, MISJUDGED_SHARE);
            if widening == Widening::Allowed || after.variance < before.variance {
                self.set_belief(index, after);
            }
        }
    }

    /// Replaces the belief of one entry and carries the change to all others.
    fn set_belief(&mut self, index: usize, after: Belief) {
        let before = self.belief(index);
        let column: Vec<f64> =
            (0..self.mean.len()).map(|row| self.covariance.at(row, index) / before.variance).collect();
        let (moved, narrowed) = (after.mu_ln - before.mu_ln, after.variance - before.variance);
        for (row, share) in column.iter().enumerate() {
            self.mean[row] += share * moved;
            for (other, other_share) in column.iter().enumerate() {
                *self.covariance.at_mut(row, other) += share * other_share * narrowed;
            }
        }
    }

    /// What this child's observations say of the class offsets, beyond the vague prior they were read with.
    fn information_on_offsets(&self, offsets: usize) -> Information {
        let mut block = Square::diagonal(offsets, 0.0);
        for a in 0..offsets {
            for b in 0..offsets {
                *block.at_mut(a, b) = self.covariance.at(a, b);
            }
        }
        let mut precision = block.inverse();
        let weighted_mean = precision.times(&self.mean[..offsets]);
        for a in 0..offsets {
            *precision.at_mut(a, a) -= 1.0 / class_variance();
        }
        Information { precision, weighted_mean }
    }
}

/// A small square matrix, row by row.
#[derive(Clone)]
struct Square {
    size: usize,
    cells: Vec<f64>,
}

impl Square {
    fn diagonal(size: usize, value: f64) -> Self {
        let mut square = Self { size, cells: vec![0.0; size * size] };
        for index in 0..size {
            *square.at_mut(index, index) = value;
        }
        square
    }

    fn at(&self, row: usize, column: usize) -> f64 {
        self.cells[row * self.size + column]
    }

    fn at_mut(&mut self, row: usize, column: usize) -> &mut f64 {
        &mut self.cells[row * self.size + column]
    }

    fn times(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.size)
            .map(|row| (0..self.size).map(|column| self.at(row, column) * vector[column]).sum())
            .collect()
    }

    /// Inverse of a symmetric positive definite matrix (Gauss-Jordan; such matrices need no pivoting).
    fn inverse(&self) -> Self {
        let mut left = self.clone();
        let mut right = Self::diagonal(self.size, 1.0);
        for pivot in 0..self.size {
            let scale = 1.0 / left.at(pivot, pivot);
            for column in 0..self.size {
                *left.at_mut(pivot, column) *= scale;
                *right.at_mut(pivot, column) *= scale;
            }
            for row in (0..self.size).filter(|row| *row != pivot) {
                let factor = left.at(row, pivot);
                for column in 0..self.size {
                    let (from_left, from_right) = (left.at(pivot, column), right.at(pivot, column));
                    *left.at_mut(row, column) -= factor * from_left;
                    *right.at_mut(row, column) -= factor * from_right;
                }
            }
        }
        right
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seeded::Seeded;
    use crate::stride::pool::pool_class;

    fn models() -> Vec<DrillModel> {
        vec![
            DrillModel { channel: 0, sd_ln: 0.18, one_step: false, apart: 0.0 },
            DrillModel { channel: 0, sd_ln: 0.18, one_step: false, apart: 0.0 },
            DrillModel { channel: 1, sd_ln: 0.14, one_step: true, apart: 0.0 },
            DrillModel { channel: 1, sd_ln: 0.14, one_step: true, apart: 0.0064 },
            DrillModel { channel: 2, sd_ln: 0.14, one_step: false, apart: 0.0 },
            DrillModel { channel: 3, sd_ln: 0.09, one_step: false, apart: 0.0 },
        ]
    }

    fn children(seeded: &mut Seeded, drills: &[DrillModel], count: usize) -> Vec<Child> {
        (0..count)
            .map(|index| Child {
                priors: drills
                    .iter()
                    .map(|drill| Prior {
                        mu_ln: 0.1 * seeded.normal(),
                        sd_ln: drill.sd_ln * if drill.one_step && index % 2 == 0 { 0.86 } else { 1.0 },
                        size_loading: if drill.one_step { 0.7 } else { 1.0 },
                    })
                    .collect(),
                size_variance: 0.002 * seeded.uniform(),
                seen: (0..index % 4)
                    .map(|_| Seen {
                        drill: seeded.below(drills.len() - 1),
                        what: What::Measured(LnLength {
                            ln_m: 0.2 * seeded.normal(),
                            variance: 0.001 + 0.004 * seeded.uniform(),
                        }),
                    })
                    .collect(),
            })
            .collect()
    }

    /// The same model with nothing left out: one covariance over all children and drills, conditioned at once.
    fn all_at_once(drills: &[DrillModel], children: &[Child]) -> Vec<Vec<Belief>> {
        let size = children.len() * drills.len();
        let place = |child: usize, drill: usize| child * drills.len() + drill;
        let mut covariance = Square::diagonal(size, 0.0);
        let mut mean = Vec::new();
        for (i, child) in children.iter().enumerate() {
            for (d, drill) in drills.iter().enumerate() {
                mean.push(child.priors[d].mu_ln);
                for (j, other) in children.iter().enumerate() {
                    for (e, other_drill) in drills.iter().enumerate() {
                        let same_channel = drill.channel == other_drill.channel;
                        let loadings = drill.loading() * other_drill.loading();
                        let (a, b) = (&child.priors[d], &other.priors[e]);
                        let mut cell = if same_channel { loadings * 0.08 * 0.08 } else { 0.0 };
                        if i == j {
                            cell += loadings * 0.065 * 0.065;
                            cell += a.size_loading * b.size_loading * child.size_variance;
                            let rests = drill.rest(a.sd_ln).sqrt() * other_drill.rest(b.sd_ln).sqrt();
                            let channel_share = if drill.one_step { 1.0 } else { 0.75 };
                            cell += match (d == e, same_channel) {
                                (true, _) => rests + drill.apart,
                                (false, true) => channel_share * rests,
                                (false, false) => 0.0,
                            };
                        }
                        *covariance.at_mut(place(i, d), place(j, e)) = cell;
                    }
                }
            }
        }
        let seen: Vec<(usize, LnLength)> = children
            .iter()
            .enumerate()
            .flat_map(|(i, child)| {
                child.seen.iter().map(move |seen| match seen.what {
                    What::Measured(length) => (place(i, seen.drill), length),
                    What::Judged { .. } => panic!("only measured lengths here"),
                })
            })
            .collect();
        let mut among_seen = Square::diagonal(seen.len(), 0.0);
        for (row, (a, length)) in seen.iter().enumerate() {
            for (column, (b, _)) in seen.iter().enumerate() {
                *among_seen.at_mut(row, column) =
                    covariance.at(*a, *b) + if row == column { length.variance } else { 0.0 };
            }
        }
        let weights = among_seen.inverse();
        let residuals: Vec<f64> = seen.iter().map(|(place, length)| length.ln_m - mean[*place]).collect();
        let weighted = weights.times(&residuals);
        let belief = |index: usize| {
            let to_seen: Vec<f64> = seen.iter().map(|(place, _)| covariance.at(index, *place)).collect();
            let product = |vector: &[f64]| to_seen.iter().zip(vector).map(|(a, b)| a * b).sum::<f64>();
            Belief {
                mu_ln: mean[index] + product(&weighted),
                variance: covariance.at(index, index) - product(&weights.times(&to_seen)),
            }
        };
        (0..children.len())
            .map(|child| (0..drills.len()).map(|drill| belief(place(child, drill))).collect())
            .collect()
    }

    #[test]
    fn child_by_child_equals_the_whole_class_at_once() {
        let drills = models();
        let mut seeded = Seeded(2);
        for count in [1, 2, 5, 13] {
            let children = children(&mut seeded, &drills, count);
            for (ours, whole) in posterior(&drills, &children).iter().zip(all_at_once(&drills, &children)) {
                for (ours, whole) in ours.iter().zip(whole) {
                    assert!((ours.mu_ln - whole.mu_ln).abs() < 1e-10);
                    assert!((ours.variance - whole.variance).abs() < 1e-12);
                }
            }
        }
    }

    #[test]
    fn one_drill_and_exact_sizes_equal_the_hand_formula() {
        let drills = [DrillModel { channel: 0, sd_ln: 0.14, one_step: true, apart: 0.0 }];
        let own_sd = (0.14f64 * 0.14 - CLASS_OFFSET_SD_LN * CLASS_OFFSET_SD_LN).sqrt();
        let deviations = [(-0.10, 0.0025), (-0.06, 0.0031), (-0.02, 0.0008)];
        let prior = Prior { mu_ln: 0.3, sd_ln: 0.14, size_loading: 1.0 };
        let child = |seen| Child { priors: vec![prior], size_variance: 0.0, seen };
        let mut children: Vec<Child> = deviations
            .iter()
            .map(|(y, variance)| {
                let length = LnLength { ln_m: 0.3 + y, variance: *variance };
                child(vec![Seen { drill: 0, what: What::Measured(length) }])
            })
            .collect();
        children.push(child(Vec::new()));
        let ours = posterior(&drills, &children);
        let hand = pool_class(&deviations, CLASS_OFFSET_SD_LN, own_sd);
        for (ours, hand) in ours.iter().zip(hand.measured.iter().chain([&hand.unmeasured])) {
            assert!((ours[0].mu_ln - 0.3 - hand.mu_ln).abs() < 1e-12);
            assert!((ours[0].variance - hand.variance).abs() < 1e-14);
        }
    }

    #[test]
    fn prior_variance_is_whole_for_wide_and_narrow_drills() {
        for sd_ln in [0.02, 0.05, 0.09, 0.12, 0.14, 0.22, 0.5] {
            let drill = DrillModel { channel: 0, sd_ln, one_step: false, apart: 0.0 };
            let shared = CLASS_OFFSET_SD_LN * CLASS_OFFSET_SD_LN + OWN_TRAIT_SD_LN * OWN_TRAIT_SD_LN;
            let total = drill.loading() * drill.loading() * shared + drill.rest(sd_ln);
            assert!((total - sd_ln * sd_ln).abs() < 1e-15, "{sd_ln}");
            assert!(drill.rest(sd_ln) > 0.0);
        }
    }
}
