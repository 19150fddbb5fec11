//! Plain proportions: hits out of a number of tries, each try like the next.
//!
//! Knocks along a lane are not like that (they come in rows, see [`crate::decide`]); what is here serves where tries
//! are told apart by nothing: how often one hurdle fell, which leg knocks more, and the two simple rules that the
//! next step is compared with.

/// Returns the chance that the rate behind `hits` of `of` is at least `rate`, when every rate was as likely before.
///
/// # Formula
/// The rate is Beta(1 + hits, 1 + of − hits); the chance is 1 − I at `rate`, the regularised incomplete beta function
/// by its continued fraction (NIST Digital Library of Mathematical Functions, 8.17.22).
pub fn p_at_least(hits: u32, of: u32, rate: f64) -> f64 {
    let (a, b) = (1.0 + f64::from(hits), 1.0 + f64::from(of - hits));
    if rate <= 0.0 {
        1.0
    } else if rate >= 1.0 {
        0.0
    } else if rate > (a + 1.0) / (a + b + 2.0) {
        incomplete_beta(b, a, 1.0 - rate)
    } else {
        1.0 - incomplete_beta(a, b, rate)
    }
}

/// Returns the chance that the first of two rates is the greater one, when every pair of rates was as likely before.
///
/// # Formula
/// With Beta(a, b) for the first and Beta(c, d) for the second rate, a and c counted from one:
/// Σ over i below a of B(c + i, b + d) / ((b + i) B(1 + i, b) B(c, d)): integration by parts, a times over.
pub fn p_greater(hits: u32, of: u32, other_hits: u32, of_other: u32) -> f64 {
    let b = 1.0 + f64::from(of - hits);
    let (c, d) = (1.0 + f64::from(other_hits), 1.0 + f64::from(of_other - other_hits));
    let sum: f64 = (0..=hits)
        .map(|i| {
            let i = f64::from(i);
            libm::exp(ln_beta(c + i, b + d) - libm::log(b + i) - ln_beta(1.0 + i, b) - ln_beta(c, d))
        })
        .sum();
    sum.clamp(0.0, 1.0)
}

/// Returns the range in which the rate behind `hits` of `of` lies, for a half width of `z` standard deviations.
/// Nothing tried: any rate, 0 to 1.
///
/// # Formula
/// Wilson 1927, Journal of the American Statistical Association 22:209-212:
/// (p + z²/2n ± z √(p(1−p)/n + z²/4n²)) / (1 + z²/n).
pub fn wilson(hits: u32, of: u32, z: f64) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let n = f64::from(of);
    let share = f64::from(hits) / n;
    let half = z * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    let scale = 1.0 + z * z / n;
    let middle = share + z * z / (2.0 * n);
    (((middle - half) / scale).max(0.0), ((middle + half) / scale).min(1.0))
}

/// Returns the chance of at least one row of `row` hits among `tries` tries that each hit with chance `p`.
///
/// # Formula
/// S(j) = 0 below `row`, S(row) = p^row, S(j) = S(j−1) + (1 − S(j−row−1)) (1−p) p^row: the first row either is there
/// already or ends just now, after a miss (de Moivre, The Doctrine of Chances, 1738).
pub fn row_chance(row: u32, tries: u32, p: f64) -> f64 {
    let (row, tries) = (row as usize, tries as usize);
    let all_hit: f64 = (0..row).map(|_| p).product();
    let mut chances = vec![0.0; tries + 1];
    for j in row..=tries {
        chances[j] = if j == row {
            all_hit
        } else {
            chances[j - 1] + (1.0 - chances[j - row - 1]) * (1.0 - p) * all_hit
        };
    }
    chances[tries]
}

/// Returns how many tries pass on average until the first row of `row` hits is complete.
///
/// # Formula
/// (1 − p^row) / ((1−p) p^row) (Feller, An Introduction to Probability Theory and Its Applications, XIII.7).
pub fn row_wait(row: u32, p: f64) -> f64 {
    let all_hit: f64 = (0..row).map(|_| p).product();
    (1.0 - all_hit) / ((1.0 - p) * all_hit)
}

fn ln_beta(a: f64, b: f64) -> f64 {
    libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b)
}

/// Returns the regularised incomplete beta function I at `x` of Beta(a, b): the chance of a value below `x`.
pub(crate) fn beta_below(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x >= 1.0 {
        1.0
    } else if x > (a + 1.0) / (a + b + 2.0) {
        1.0 - incomplete_beta(b, a, 1.0 - x)
    } else {
        incomplete_beta(a, b, x)
    }
}

/// Returns I at `x` of Beta(a, b) for x below (a + 1) / (a + b + 2), where the fraction converges fast.
fn incomplete_beta(a: f64, b: f64, x: f64) -> f64 {
    const TERMS_MAX: u32 = 400;
    const TINY: f64 = 1e-300;
    let front = libm::exp(a * libm::log(x) + b * libm::log1p(-x) - ln_beta(a, b)) / a;
    // Lentz's way of evaluating a continued fraction from its front end.
    let away_from_zero = |value: f64| if value.abs() < TINY { TINY } else { value };
    let (mut c, mut d) = (1.0, 1.0 / away_from_zero(1.0 - (a + b) * x / (a + 1.0)));
    let mut fraction = d;
    for m in 1..=TERMS_MAX {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let before = fraction;
        for term in [even, odd] {
            d = 1.0 / away_from_zero(1.0 + term * d);
            c = away_from_zero(1.0 + term / c);
            fraction *= c * d;
        }
        if (fraction - before).abs() <= 1e-16 * fraction.abs() {
            break;
        }
    }
    front * fraction
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_seen_says_nothing() {
        assert!((p_at_least(0, 0, 0.8) - 0.2).abs() < 1e-15);
        assert!((p_greater(0, 0, 0, 0) - 0.5).abs() < 1e-15);
        assert_eq!(wilson(0, 0, 1.96), (0.0, 1.0));
    }

    proptest! {
        #[test]
        fn of_two_rates_one_is_the_greater(
            (of, share) in (0u32..200, 0.0..=1.0), (of_other, other) in (0u32..200, 0.0..=1.0),
        ) {
            let (hits, hits_other) = ((f64::from(of) * share) as u32, (f64::from(of_other) * other) as u32);
            let there = p_greater(hits, of, hits_other, of_other);
            let back = p_greater(hits_other, of_other, hits, of);
            prop_assert!((there + back - 1.0).abs() < 1e-9, "{there} and {back}");
        }

        #[test]
        fn more_hits_make_a_high_rate_more_probable(of in 1u32..300, share in 0.0..1.0, rate in 0.01..0.99) {
            let hits = (f64::from(of) * share) as u32;
            let (fewer, more) = (p_at_least(hits, of, rate), p_at_least(hits + 1, of, rate));
            prop_assert!((0.0..=1.0).contains(&fewer) && fewer <= more + 1e-12, "{fewer} and {more}");
        }

        #[test]
        fn the_range_holds_the_share(of in 1u32..500, share in 0.0..=1.0) {
            let hits = (f64::from(of) * share) as u32;
            let (low, high) = wilson(hits, of, crate::normal::Z_95);
            let seen = f64::from(hits) / f64::from(of);
            prop_assert!(low <= seen + 1e-12 && seen <= high + 1e-12 && low >= 0.0 && high <= 1.0);
        }
    }

    #[test]
    fn rows_are_as_frequent_as_counting_all_outcomes_says() {
        // Every string of twelve tries, weighed by its probability.
        let p: f64 = 0.3;
        for row in 1..=5u32 {
            let counted: f64 = (0..1u32 << 12)
                .filter(|bits| {
                    let mut longest = 0;
                    (0..12).fold(0, |now, place| {
                        let now = if bits >> place & 1 == 1 { now + 1 } else { 0 };
                        longest = longest.max(now);
                        now
                    });
                    longest >= row
                })
                .map(|bits| {
                    (0..12).map(|place| if bits >> place & 1 == 1 { p } else { 1.0 - p }).product::<f64>()
                })
                .sum();
            assert!((counted - row_chance(row, 12, p)).abs() < 1e-12, "row of {row}");
        }
    }
}
