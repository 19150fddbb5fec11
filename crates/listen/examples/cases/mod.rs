//! Cases in which parts of the listener are compared with general libraries.

use lanewright_listen::candidates::{Floor, median, novelty, quantile};
use lanewright_listen::fft::Fft;
use lanewright_listen::front::{BANDS, Biquad, LEAST_POWER, Sound};
use serde_json::{Value, json};

#[path = "../../tests/synth/mod.rs"]
pub mod synth;

/// One problem: everything a reference needs, and how we solve it.
pub struct Case {
    pub name: String,
    pub seed: Option<u64>,
    pub input: Value,
    solve: Box<dyn Fn() -> Value>,
}

impl Case {
    pub fn solve(&self) -> Value {
        (self.solve)()
    }
}

fn noise(seed: u64, count: usize) -> Vec<f64> {
    let mut dice = synth::Dice::new(seed);
    // Six digits are enough, and keep the files short.
    (0..count).map(|_| (dice.normal() * 0.3 * 1e6).round() / 1e6).collect()
}

/// Spectrum, filters, rising energy, statistics of step times.
pub fn parts() -> Vec<Case> {
    vec![spectrum(), filter("high-pass"), filter("low-pass"), rising(), rhythm()]
}

fn spectrum() -> Case {
    let samples = noise(1, 512);
    let input = json!({"kind": "spectrum", "samples": samples});
    let solve = move || {
        let mut power = vec![0.0f32; 257];
        Fft::new(512).power(&samples.iter().map(|x| *x as f32).collect::<Vec<_>>(), &mut power);
        json!({"power": power})
    };
    Case { name: "power spectrum of 512".to_owned(), seed: Some(1), input, solve: Box::new(solve) }
}

fn filter(kind: &'static str) -> Case {
    let samples = noise(2, 300);
    let corner = if kind == "high-pass" { 80.0 } else { 2200.0 };
    let input = json!({"kind": kind, "samples": samples, "rate_hz": 22_050, "corner_hz": corner});
    let solve = move || {
        let mut section = match kind {
            "high-pass" => Biquad::high_pass(corner, 22_050.0),
            _ => Biquad::low_pass(corner, 22_050.0),
        };
        json!({"out": samples.iter().map(|x| section.step(*x)).collect::<Vec<f64>>()})
    };
    Case { name: format!("{kind} of second order"), seed: Some(2), input, solve: Box::new(solve) }
}

/// Bands whose floor is the least power everywhere (most of the time nothing sounds), with bursts.
fn rising() -> Case {
    let frames = 120;
    let mut dice = synth::Dice::new(3);
    let powers: Vec<f64> = (0..frames * BANDS)
        .map(|k| {
            let burst = matches!(k / BANDS, 40..46 | 80..83);
            let power = if burst { 1e-8 * dice.between(0.0, 1.0) } else { f64::from(LEAST_POWER) };
            (power * 1e14).round() / 1e14
        })
        .collect();
    let input = json!({"kind": "rising", "powers": powers, "bands": BANDS, "floor": 1e-10});
    let solve = move || {
        let sound =
            Sound { bands: powers.iter().map(|x| *x as f32).collect(), frame_s: 0.005, ..Sound::default() };
        json!({"novelty": novelty(&sound, &Floor::of(&sound))})
    };
    Case { name: "rising energy".to_owned(), seed: Some(3), input, solve: Box::new(solve) }
}

fn rhythm() -> Case {
    let steps: Vec<f64> = noise(4, 25).iter().map(|x| ((0.33 + 0.05 * x) * 1e6).round() / 1e6).collect();
    let input = json!({"kind": "steps", "steps": steps});
    let solve = move || {
        json!({
            "median": median(&steps),
            "low": quantile(&steps, 0.3),
            "high": quantile(&steps, 0.95),
        })
    };
    Case { name: "order of step times".to_owned(), seed: Some(4), input, solve: Box::new(solve) }
}
