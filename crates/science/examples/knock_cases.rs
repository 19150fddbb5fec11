//! Prints the cases of `chain`, `causes`, `proportions`, `sprint` or `sprint-many` with our result and time, one JSON
//! object a line, for the comparison with a general library (`cargo xtask bench`).

mod cases;

use std::time::Instant;

use serde_json::json;

fn main() {
    let cases = match std::env::args().nth(1).as_deref() {
        Some("causes") => cases::causes(),
        Some("proportions") => cases::proportions(),
        Some("sprint") => cases::sprints(),
        Some("sprint-many") => cases::many_sprints(),
        _ => cases::chains(),
    };
    for case in cases {
        let clock = Instant::now();
        let result = case.solve();
        let seconds = clock.elapsed().as_secs_f64();
        let (name, seed, input) = (&case.name, case.seed, &case.input);
        println!(
            "{}",
            json!({"case": name, "seed": seed, "input": input, "result": result, "seconds": seconds})
        );
    }
}
