//! Prints the cases of `parts`, or a minute of sound with the time it took to hear it, one JSON object a line, for the
//! comparison with a general library (`cargo xtask bench`).

mod cases;

use std::time::Instant;

use cases::synth::{Dice, Plan, make};
use lanewright_listen::Listener;
use serde_json::json;

fn main() {
    if std::env::args().nth(1).as_deref() == Some("minute") {
        return minute();
    }
    for case in cases::parts() {
        let clock = Instant::now();
        let result = case.solve();
        let seconds = clock.elapsed().as_secs_f64();
        println!(
            "{}",
            json!({"case": case.name, "seed": case.seed, "input": case.input, "result": result, "seconds": seconds})
        );
    }
}

/// How often the minute is heard, after once that is not counted: the median passes over what else the machine does.
const REPEATS: usize = 9;

/// Sixty seconds at 44.1 kHz, run after run, as one take; the whole way from samples to findings.
fn minute() {
    let rate_hz = 44_100;
    let length = 60 * rate_hz as usize;
    let mut samples = Vec::new();
    let mut seed = 0;
    while samples.len() < length {
        seed += 1;
        let snr_db = Dice::new(seed).between(5.0, 20.0);
        samples.extend(make(&Plan { rate_hz, snr_db, ..Plan::plain(seed) }).samples);
    }
    samples.truncate(length);
    let hear = || {
        let clock = Instant::now();
        let mut listener = Listener::new(rate_hz);
        for piece in samples.chunks(4096) {
            listener.push(piece);
        }
        let heard_s = listener.heard_s();
        let pushed = clock.elapsed().as_secs_f64();
        let found = listener.finish(None);
        (clock.elapsed().as_secs_f64(), pushed, heard_s, found.contacts.len())
    };
    hear();
    let mut times: Vec<_> = (0..REPEATS).map(|_| hear()).collect();
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (seconds, pushed, heard_s, contacts) = times[REPEATS / 2];
    eprintln!(
        "{:.0} times real time, {:.0} % of it while it sounds, {contacts} contacts",
        60.0 / seconds,
        100.0 * pushed / seconds
    );
    println!(
        "{}",
        json!({"case": "a minute of sound", "seed": 1, "input":
            {"rate_hz": rate_hz, "seconds": 60, "repeats": REPEATS}, "result": {"heard_s": heard_s},
            "seconds": seconds})
    );
}
