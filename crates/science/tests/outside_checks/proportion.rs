//! Plain proportions against published tables and a general library.

use lanewright_science::decide::fit::logistic;
use lanewright_science::proportion::{p_at_least, p_greater, row_chance, row_wait, wilson};

fn close(value: f64, printed: f64, half_a_unit: f64) {
    assert!((value - printed).abs() <= half_a_unit * 1.000_001, "{value} against {printed}");
}

/// Values of scipy.stats.beta(1 + k, 1 + n − k).sf(0.8).
#[test]
fn chance_of_a_rate_above_a_mark_equals_a_general_library() {
    for (hits, of, printed) in
        [(18, 20, 0.821_297), (10, 10, 0.914_101), (16, 20, 0.413_992), (45, 50, 0.957_879)]
    {
        close(p_at_least(hits, of, 0.8), printed, 5e-7);
    }
    // 15 to 20 of 20.
    for (hits, printed) in [(15, 0.231), (16, 0.414), (17, 0.630), (18, 0.821), (19, 0.942), (20, 0.991)] {
        close(p_at_least(hits, 20, 0.8), printed, 5e-4);
    }
}

/// Two uniform rates of which one hit once in one try: ∫∫ over p > q of 2p = 2/3.
#[test]
fn the_greater_of_two_rates_in_closed_form() {
    close(p_greater(1, 1, 0, 0), 2.0 / 3.0, 1e-15);
    close(p_greater(0, 0, 1, 1), 1.0 / 3.0, 1e-15);
    // Two hits of two against none of two: ∫ 3p² (1 − (1−p)³) dp = 1 − 3 B(3, 4) = 19/20.
    close(p_greater(2, 2, 0, 2), 19.0 / 20.0, 1e-15);
}

/// Newcombe 1998, Statistics in Medicine 17:857-872, Table I, method 3 (score, 95 %).
#[test]
fn score_intervals_equal_the_published_table() {
    for (hits, of, low, high) in
        [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
    {
        let range = wilson(hits, of, 1.959_963_984_540_054);
        close(range.0, low, 5e-5);
        close(range.1, high, 5e-5);
    }
}

/// Values of statsmodels proportion_confint(method="wilson").
#[test]
fn score_intervals_equal_a_general_library() {
    for (hits, of, low, high) in [(18, 20, 0.6990, 0.9721), (10, 10, 0.7225, 1.0)] {
        let range = wilson(hits, of, 1.959_963_984_540_054);
        close(range.0, low, 5e-5);
        close(range.1, high, 5e-5);
    }
}

/// De Moivre's example: three in a row within ten throws of a coin, 65/128.
#[test]
fn three_heads_in_a_row_within_ten_throws() {
    close(row_chance(3, 10, 0.5), 65.0 / 128.0, 1e-15);
}

/// The same chances from powers of a Markov chain's matrix.
#[test]
fn chances_of_a_row_equal_those_of_a_markov_chain() {
    for (tries, row, p, printed) in [
        (20, 5, 0.5, 0.249_870_300),
        (50, 5, 0.5, 0.551_875_323),
        (100, 7, 0.5, 0.317_520_387),
        (200, 7, 0.5, 0.543_707_916),
        (10, 5, 0.8, 0.655_360_000),
        (20, 8, 0.8, 0.541_151_946),
        (30, 10, 0.8, 0.493_059_895),
        (30, 10, 0.9, 0.869_749_171),
        (40, 10, 0.7, 0.264_207_547),
    ] {
        close(row_chance(row, tries, p), printed, 5e-10);
    }
}

/// Feller, An Introduction to Probability Theory and Its Applications, volume 1, XIII.7: (1 − pʳ)/(q pʳ).
#[test]
fn mean_waits_for_a_row_follow_the_published_formula() {
    for (row, p, printed, unit) in [
        (3, 0.5, 14.0, 1e-12),
        (5, 0.5, 62.0, 1e-12),
        (5, 0.8, 10.2588, 5e-5),
        (10, 0.8, 41.5661, 5e-5),
        (10, 0.9, 18.6797, 5e-5),
    ] {
        close(row_wait(row, p), printed, unit);
    }
}

/// Rasch's model at ability 1 and difficulty 0.
#[test]
fn one_logit_above_the_difficulty_succeeds_in_73_of_100() {
    close(logistic(1.0), 0.731_059, 5e-7);
}
