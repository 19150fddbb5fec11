//! Which leg knocks more: the chance behind it and what an exact test says of the same counts.

use lanewright_science::decide::leg::told;
use lanewright_science::proportion::p_greater;

/// Knocks and crossings of one leg and of the other.
type Counts = (u32, u32, u32, u32);

/// SciPy 1.17.1: `quad` over beta(1 + k, 1 + n − k).pdf · beta(1 + k₂, 1 + n₂ − k₂).cdf, and the two-sided p of
/// `fisher_exact` for the same table.
const BY_SCIPY: [(Counts, f64, f64); 8] = [
    ((2, 24, 0, 36), 0.939_186, 0.155_932),
    ((3, 12, 0, 12), 0.952_174, 0.217_391),
    ((6, 20, 2, 20), 0.934_993, 0.235_116),
    ((9, 20, 4, 20), 0.949_939, 0.175_996),
    ((5, 20, 0, 20), 0.989_656, 0.047_124),
    ((6, 20, 0, 20), 0.995_690, 0.020_196),
    ((4, 24, 0, 36), 0.991_790, 0.021_791),
    ((7, 24, 1, 36), 0.997_927, 0.005_157),
];

/// Fisher's exact test, two-sided: the sum of the chances of all tables with the same sums that are no likelier than
/// this one (Fisher 1935, Journal of the Royal Statistical Society 98:39-82).
fn fisher((k, n, k_other, n_other): Counts) -> f64 {
    let ln_choose = |n: u32, k: u32| {
        libm::lgamma(f64::from(n) + 1.0)
            - libm::lgamma(f64::from(k) + 1.0)
            - libm::lgamma(f64::from(n - k) + 1.0)
    };
    let all = k + k_other;
    let chance =
        |k: u32| libm::exp(ln_choose(n, k) + ln_choose(n_other, all - k) - ln_choose(n + n_other, all));
    let own = chance(k);
    (all.saturating_sub(n_other)..=all.min(n)).map(chance).filter(|other| *other <= own * (1.0 + 1e-7)).sum()
}

#[test]
fn chance_and_exact_test_equal_a_general_library() {
    for (counts, greater, p) in BY_SCIPY {
        let (k, n, k_other, n_other) = counts;
        assert!((p_greater(k, n, k_other, n_other) - greater).abs() < 5e-7, "{counts:?}");
        assert!((fisher(counts) - p).abs() < 5e-7, "{counts:?}");
    }
}

#[test]
fn two_knocks_against_none_name_no_leg() {
    for ((k, n, k_other, n_other), greater, _) in BY_SCIPY {
        assert_eq!(told([k, k_other], [n, n_other]).is_some(), greater >= 0.99, "{k} of {n}");
    }
    // Three in a row of bad luck: the chance is high enough, the knocks are too few.
    assert!(p_greater(3, 9, 0, 60) > 0.99 && told([3, 0], [9, 60]).is_none());
}

#[test]
fn a_leg_that_is_named_passes_an_exact_test() {
    let (mut named, mut worst) = (0, 0.0_f64);
    for n in (8..=40).step_by(4) {
        for n_other in (8..=40).step_by(4) {
            for k in 0..=n {
                for k_other in 0..=n_other {
                    let higher = f64::from(k) / f64::from(n) > f64::from(k_other) / f64::from(n_other);
                    if higher && told([k, k_other], [n, n_other]).is_some() {
                        named += 1;
                        worst = worst.max(fisher((k, n, k_other, n_other)));
                    }
                }
            }
        }
    }
    assert!(named > 1000 && worst < 0.051, "{named} tables, {worst}");
}
