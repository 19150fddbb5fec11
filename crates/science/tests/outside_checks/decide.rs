//! Two-state chain against published worked examples and general libraries.

use lanewright_science::decide::chain::states;

/// Russell & Norvig, Artificial Intelligence, the umbrella world: rain persists with .7, umbrella .9 in rain, .2
/// without, seen on two days.
#[test]
fn umbrella_world_gives_the_textbook_values() {
    let seen = [[0.2, 0.9]; 2];
    let states = states([0.5, 0.5], [[0.7, 0.3], [0.3, 0.7]], &seen);
    let close = |value: f64, printed: f64| (value - printed).abs() < 5e-7;
    assert!(close(states.filtered[0], 0.818182) && close(states.filtered[1], 0.883357));
    assert!(close(states.smoothed[0], 0.883357));
}

/// A run of ten hurdles with five knocks, computed by hmmlearn 0.3 (CategoricalHMM) and by enumeration of all 1024
/// state paths.
#[test]
fn hurdle_chain_equals_a_general_library() {
    let knocks = [0, 0, 1, 0, 0, 1, 1, 0, 1, 1];
    let seen: Vec<[f64; 2]> =
        knocks.iter().map(|knock| if *knock == 1 { [0.10, 0.50] } else { [0.90, 0.50] }).collect();
    let states = states([0.9, 0.1], [[0.95, 0.05], [0.10, 0.90]], &seen);
    assert!((states.log_likelihood - -8.213929578).abs() < 5e-10);
    let filtered = [0.05814, 0.05779, 0.35489, 0.23155, 0.15402, 0.52480, 0.83114, 0.63313, 0.87716, 0.95112];
    let smoothed = [0.16234, 0.29987, 0.56620, 0.59922, 0.69873, 0.90974, 0.95004, 0.94008, 0.96475, 0.95112];
    for (value, printed) in states.filtered.iter().zip(filtered) {
        assert!((value - printed).abs() < 6e-6, "{value} against {printed}");
    }
    for (value, printed) in states.smoothed.iter().zip(smoothed) {
        assert!((value - printed).abs() < 6e-6, "{value} against {printed}");
    }
}
