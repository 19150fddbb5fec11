//! Student's t distribution, for means and slopes whose spread is learned from the same few values.

use crate::proportion;

/// Returns the chance of a value above `t` with `df` degrees of freedom (above 0).
///
/// # Formula
/// Half the regularised incomplete beta function at df / (df + t²) of df/2 and 1/2, for t ≥ 0 (NIST Digital Library of
/// Mathematical Functions, 8.17).
pub fn above(t: f64, df: f64) -> f64 {
    if t < 0.0 {
        return 1.0 - above(-t, df);
    }
    0.5 * proportion::beta_below(0.5 * df, 0.5, df / (df + t * t))
}

/// Returns the value below which a share `p` lies, for 0.5 ≤ p < 1.
///
/// # Accuracy
/// By bisection, to 1e-12 of the value.
pub fn quantile(p: f64, df: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while above(high, df) > 1.0 - p {
        high *= 2.0;
    }
    while high - low > 1e-13 * high {
        let middle = 0.5 * (low + high);
        if above(middle, df) > 1.0 - p { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_degree_of_freedom_has_quantiles_in_closed_form() {
        for p in [0.6, 0.9, 0.95, 0.995] {
            let exact = libm::tan(std::f64::consts::PI * (p - 0.5));
            assert!((quantile(p, 1.0) / exact - 1.0).abs() < 1e-10, "{p}");
        }
    }

    #[test]
    fn many_degrees_of_freedom_are_a_normal() {
        assert!((quantile(0.95, 1e7) - crate::normal::Z_95).abs() < 1e-6);
        assert!((above(-1.0, 5.0) + above(1.0, 5.0) - 1.0).abs() < 1e-15);
    }
}
