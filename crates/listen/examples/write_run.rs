//! Writes a made-up run as a WAV file of 16 bits: `cargo run -p lanewright-listen --example write_run -- FILE [SEED]`.
//! The recordings in `fixtures/sound` come from it.

#[path = "../tests/synth/mod.rs"]
mod synth;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let path = arguments.next().expect("a file to write");
    let seed = arguments.next().and_then(|seed| seed.parse().ok()).unwrap_or(21);
    let (made, plan) = synth::shown(seed);
    std::fs::write(&path, synth::wav(&made.samples, plan.rate_hz)).expect("the file can be written");
    println!("first crossing at {:.2} s, knock at {:.2} s", made.first_crossing_s, made.knocks[0].0);
    println!("speeds {:.2?}", made.speeds_mps);
}
