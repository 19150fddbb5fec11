//! What one run is worth: most where success is neither sure nor hopeless.

use crate::normal;

/// Name of the rule.
pub const METHOD: &str = "gain/1";

/// Returns how fast a learner improves at success rate `clean_rate` (0 to 1), as a share of the fastest; 0 below one
/// half.
///
/// # Formula
/// g(c) = z φ(z) / φ(1) with z = Φ⁻¹(c); greatest at c = Φ(1) = 0.8413.
///
/// # Source
/// Wilson, Shenhav, Straccia & Cohen 2019, "The Eighty Five Percent Rule for optimal learning", Nature Communications
/// 10:4646, for learners with Gaussian noise. That children's running follows the same rule is an engineering
/// assumption; the idea for movement is in Guadagnoli & Lee 2004, Journal of Motor Behavior 36:212-224.
pub fn gain(clean_rate: f64) -> f64 {
    if clean_rate <= 0.5 || clean_rate >= 1.0 {
        return 0.0;
    }
    let z = normal::quantile(clean_rate);
    z * normal::pdf(z) / normal::pdf(1.0)
}

/// Returns the gain expected over a posterior of clean rates, given as points with their weights.
///
/// Weights need not add up to one. 0 for no points.
pub fn expected_gain(points: impl IntoIterator<Item = (f64, f64)>) -> f64 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for (rate, weight) in points {
        sum += weight * gain(rate);
        weights += weight;
    }
    if weights > 0.0 { sum / weights } else { 0.0 }
}
