//! The class in its simplest case: one drill, some children measured once.
//!
//! The whole model of [`class_gaps`](super::class_gaps) comes down to this when there is one drill and every size is
//! exactly known; kept as a function of its own because it can be checked by hand.

use super::evidence::Belief;
use crate::normal;

/// What a class's measured children say of each other and of the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct PooledClass {
    /// What the whole class shares: deviation of ln gap from the prior, with its variance.
    pub shared: Belief,
    /// Each measured child's own deviation, in the order given.
    pub measured: Vec<Belief>,
    /// The deviation of any child who was not measured.
    pub unmeasured: Belief,
}

/// Returns deviations of ln gap from the prior, for measured and unmeasured children.
///
/// `deviations` holds, for each measured child, ln(observed / prior) and the variance of the observation;
/// `class_sd_ln` and `child_sd_ln` are the spreads of what a class shares and of children around it.
///
/// # Formula
/// With w = 1 / (τ² + r): P = 1 / (1/ω² + Σw), c = P Σ w y; K = τ² w, θ = c + K (y − c),
/// variance τ² (1 − K) + (1 − K)² P; unmeasured c, τ² + P.
pub fn pool_class(deviations: &[(f64, f64)], class_sd_ln: f64, child_sd_ln: f64) -> PooledClass {
    let own = child_sd_ln * child_sd_ln;
    let (shared, shared_variance) =
        normal::shared_offset(deviations.iter().map(|(y, noise)| (*y, own + noise)), class_sd_ln);
    let measured = deviations
        .iter()
        .map(|(y, noise)| {
            let gain = own / (own + noise);
            Belief {
                mu_ln: shared + gain * (y - shared),
                variance: own * (1.0 - gain) + (1.0 - gain) * (1.0 - gain) * shared_variance,
            }
        })
        .collect();
    PooledClass {
        shared: Belief { mu_ln: shared, variance: shared_variance },
        measured,
        unmeasured: Belief { mu_ln: shared, variance: own + shared_variance },
    }
}
