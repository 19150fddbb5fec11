//! What one more run costs in a class of 32 with ten runs each, here; `cargo xtask bench run` compares it with the
//! browser.

use std::time::Instant;

use lanewright_app::logic::kept::OneMoreRun;
use serde_json::json;

/// Runs that are taken in before the clock counts, and rounds of the class that are timed.
const ROUNDS: (usize, usize) = (2, 25);
/// Children of the class.
const CHILDREN: usize = 32;

fn main() {
    let mut class = OneMoreRun::new();
    let (mut sum, mut times) = (0.0, Vec::new());
    for round in 0..ROUNDS.0 + ROUNDS.1 {
        let clock = Instant::now();
        for child in 0..CHILDREN {
            sum += class.take(child);
        }
        if round >= ROUNDS.0 {
            times.push(clock.elapsed().as_secs_f64() / CHILDREN as f64);
        }
    }
    times.sort_by(f64::total_cmp);
    let input = json!({"rounds": [ROUNDS.0, ROUNDS.1], "children": CHILDREN});
    for (case, seconds) in [("median", times[times.len() / 2]), ("quickest", times[0])] {
        println!("{}", json!({"case": case, "input": input, "result": sum, "seconds": seconds}));
    }
}
