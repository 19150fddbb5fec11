//! Made runs for `cargo xtask bench listen-beside`: how long listening to a recording takes here, printed with the
//! recording, so that a browser can be asked the same.

#[path = "../../listen/tests/synth/mod.rs"]
mod synth;

use std::time::Instant;

use lanewright_app::logic::sound::{Asked, answer};
use lanewright_listen::Lane;
use serde_json::{Value, json};
use synth::{Plan, make};

const RATE_HZ: u32 = 48_000;

fn main() {
    for (seed, seconds) in (1..).zip([5.0, 10.0, 20.0]) {
        let hurdles = (2.0 * seconds) as usize - 2;
        let plan =
            Plan { hurdles, spacing_m: 2.0, contacts_per_gap: 1, rate_hz: RATE_HZ, ..Plan::plain(seed) };
        let made = make(&plan);
        // Whole numbers, as from a microphone of 16 bits: they are the same on both sides.
        let mut whole: Vec<i16> = made.samples.iter().map(|sample| (sample * 32_767.0) as i16).collect();
        whole.resize((seconds * f64::from(RATE_HZ)) as usize, 0);
        let samples: Vec<f32> = whole.iter().map(|sample| f32::from(*sample) / 32_768.0).collect();
        let lane = Lane { hurdles, spacing_m: 2.0, contacts_per_gap: 1, first_crossing_s: None };
        let asked = serde_json::to_string(&Asked { lane: Some(lane), own: None }).expect("it can be written");
        let began = Instant::now();
        let found = answer(&samples, RATE_HZ, &asked).expect("it can be read");
        let took_s = began.elapsed().as_secs_f64();
        let found: Value = serde_json::from_str(&found).expect("JSON");
        println!(
            "{}",
            json!({
                "case": format!("{seconds} s of sound"),
                "input": {"samples": whole, "rate": RATE_HZ, "asked": asked},
                "result": found,
                "seconds": took_s,
            })
        );
    }
}
