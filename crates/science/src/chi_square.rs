//! The chi-square distribution: how far spreads may be from what is true.

/// Returns the chance of a value above `x` with `df` degrees of freedom (above 0).
///
/// # Formula
/// The regularised incomplete gamma function Q(df/2, x/2): its series below df/2 + 1, its continued fraction above
/// (NIST Digital Library of Mathematical Functions, 8.11.4 and 8.9.2).
pub fn above(x: f64, df: f64) -> f64 {
    const TERMS_MAX: u32 = 10_000;
    if x <= 0.0 {
        return 1.0;
    }
    let (a, x) = (0.5 * df, 0.5 * x);
    let front = libm::exp(a * libm::log(x) - x - libm::lgamma(a));
    if x < a + 1.0 {
        let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
        for _ in 0..TERMS_MAX {
            n += 1.0;
            term *= x / n;
            sum += term;
            if term <= 1e-17 * sum {
                break;
            }
        }
        return (1.0 - front * sum).clamp(0.0, 1.0);
    }
    let mut b = x + 1.0 - a;
    let (mut c, mut d) = (f64::MAX, 1.0 / b);
    let mut fraction = d;
    for i in 1..=TERMS_MAX {
        let i = f64::from(i);
        let numerator = -i * (i - a);
        b += 2.0;
        d = 1.0 / (numerator * d + b);
        c = b + numerator / c;
        fraction *= c * d;
        if (c * d - 1.0).abs() <= 1e-16 {
            break;
        }
    }
    (front * fraction).clamp(0.0, 1.0)
}

/// Returns the value below which a share `p` lies, for `p` strictly between 0 and 1.
///
/// # Accuracy
/// By bisection, to 1e-12 of the value.
pub fn quantile(p: f64, df: f64) -> f64 {
    let (mut low, mut high) = (0.0, df + 1.0);
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
    fn two_degrees_of_freedom_are_an_exponential() {
        for x in [1e-6, 0.3, 1.0, 5.0, 40.0] {
            assert!((above(x, 2.0) - libm::exp(-0.5 * x)).abs() < 1e-14, "{x}");
        }
    }

    #[test]
    fn one_degree_of_freedom_is_a_squared_normal() {
        for z in [0.1, 1.0, 1.96, 4.0] {
            assert!((above(z * z, 1.0) - 2.0 * crate::normal::cdf(-z)).abs() < 1e-14, "{z}");
        }
    }

    #[test]
    fn the_quantile_inverts_the_chance() {
        for df in [1.0, 3.0, 9.0, 40.0, 300.0] {
            for p in [0.01, 0.05, 0.5, 0.95, 0.99] {
                assert!((1.0 - above(quantile(p, df), df) - p).abs() < 1e-11, "{df} {p}");
            }
        }
    }
}
