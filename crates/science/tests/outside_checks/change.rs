//! Typical errors and changes against published formulas, tables and worked rows.

use lanewright_science::change::{Better, Quantity, Verdict, judge, typical_error};
use lanewright_science::{chi_square, student};

/// Upper points of NIST/SEMATECH e-Handbook of Statistical Methods, tables 1.3.6.7.4 (chi-square) and 1.3.6.7.2 (t).
#[test]
fn quantiles_equal_the_published_tables() {
    for (p, df, printed) in [
        (0.95, 1.0, 3.841),
        (0.95, 10.0, 18.307),
        (0.99, 5.0, 15.086),
        (0.05, 9.0, 3.325),
        (0.975, 30.0, 46.979),
    ] {
        let value = chi_square::quantile(p, df);
        assert!((value - printed).abs() <= 0.000_5 + 1e-9, "chi-square {p} {df}: {value}");
    }
    for (p, df, printed) in [(0.95, 4.0, 2.132), (0.975, 9.0, 2.262), (0.99, 20.0, 2.528), (0.90, 1.0, 3.078)]
    {
        let value = student::quantile(p, df);
        assert!((value - printed).abs() <= 0.000_5 + 1e-9, "t {p} {df}: {value}");
    }
}

/// Ten invented children who ran twice, computed with NumPy and SciPy: standard deviation of the differences 0.059264,
/// typical error 0.041906 with 95 % interval 0.0288 to 0.0765, smallest difference told 0.116157 s.
const PAIRS: [[f64; 2]; 10] = [
    [4.82, 4.86],
    [5.10, 5.04],
    [4.95, 4.99],
    [5.33, 5.28],
    [5.61, 5.70],
    [4.77, 4.79],
    [5.22, 5.15],
    [5.05, 5.10],
    [5.48, 5.41],
    [5.15, 5.19],
];

#[test]
fn typical_error_of_ten_pairs_is_that_of_a_general_library() {
    let repeats: Vec<Vec<f64>> = PAIRS.iter().map(|pair| pair.to_vec()).collect();
    let error = typical_error(&repeats, Quantity::Seconds { timing_sd_s: 0.1 });
    assert!((error.value - 0.041_906).abs() < 5e-7, "{error:?}");
    assert!((error.value * std::f64::consts::SQRT_2 - 0.059_264).abs() < 7e-7);
    // The printed one takes 1.96 where the quantile is 1.959964.
    assert!((error.smallest_told() / 0.116_157 - 1.0).abs() < 3e-5);
    assert_eq!((error.df, error.children), (9, 10));
    let bound = |p: f64| error.value * (9.0 / chi_square::quantile(p, 9.0)).sqrt();
    assert!((bound(0.975) - 0.0288).abs() < 6e-5 && (bound(0.025) - 0.0765).abs() < 6e-5);
}

/// The same data, a change of −0.15 s and a smallest change of 0.05 s: chance of a real gain .954, of none that counts
/// .045 (Φ by SciPy).
#[test]
fn chance_of_a_real_gain_is_that_of_a_general_library() {
    let repeats: Vec<Vec<f64>> = PAIRS.iter().map(|pair| pair.to_vec()).collect();
    let error = typical_error(&repeats, Quantity::Seconds { timing_sd_s: 0.1 });
    let change = judge(&[5.15], &[5.0], Better::Less, &error, 0.05).unwrap();
    assert!(
        (change.p_gain - 0.954).abs() < 5e-4 && (1.0 - change.p_gain - change.p_loss - 0.045).abs() < 7e-4
    );
    assert_eq!(change.verdict, Verdict::Gain);
    // Below the smallest difference told, nothing is called a gain.
    assert_eq!(judge(&[5.11], &[5.0], Better::Less, &error, 0.05).unwrap().verdict, Verdict::NotTold);
}

/// English academy players, change of direction (Science and Medicine in Football 3:157, 2019): typical errors of 2.0
/// and 3.2 % go with smallest detectable changes of 5.5 and 8.9 %.
#[test]
fn smallest_difference_told_is_the_published_multiple_of_the_typical_error() {
    let error = typical_error(&[], Quantity::Count);
    for (typical, printed) in [(2.0, 5.5), (3.2, 8.9)] {
        assert!((typical * error.smallest_told() / error.value - printed).abs() < 0.05);
    }
}

/// A stopwatch in a class: no change below about 0.3 s is called one before the class has repeats of its own.
#[test]
fn by_hand_and_without_repeats_a_change_of_three_tenths_is_not_yet_told() {
    let error = typical_error(&[], Quantity::Seconds { timing_sd_s: 0.1 });
    assert!((0.3..0.45).contains(&error.smallest_told()), "{error:?}");
}
