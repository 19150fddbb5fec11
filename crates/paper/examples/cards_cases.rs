//! What many cards in one PDF cost: `cargo xtask bench cards`. One JSON line a case; the most memory that the process
//! had so far goes to standard error.

#[path = "../../draw/tests/progress_sample/mod.rs"]
mod progress_sample;

use std::time::Instant;

use lanewright_draw::{Paper, card_pages};
use lanewright_paper::Options;
use progress_sample::{Sample, card_options};

/// Most memory so far, in MiB, where the system tells.
fn peak_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}

fn main() {
    let sample = Sample::new();
    let class = sample.children();
    let options = card_options(Paper::A4);
    for count in [28, 250, 1000] {
        let children: Vec<_> = (0..count)
            .map(|index| {
                let (name, child) = &class[index % class.len()];
                (format!("{name} {}", index / class.len() + 1), *child)
            })
            .collect();
        let start = Instant::now();
        let pages = card_pages(&children, &sample.ladder, &sample.words, &options);
        let laid_s = start.elapsed().as_secs_f64();
        let file = lanewright_paper::pdf(&pages, &Options::default()).expect("a file");
        let seconds = start.elapsed().as_secs_f64();
        let line = serde_json::json!({
            "case": format!("{count} cards"),
            "input": {"cards": count},
            "result": {"sheets": pages.len(), "bytes": file.len()},
            "seconds": seconds,
        });
        println!("{line}");
        let peak = peak_mib().map_or_else(String::new, |mib| format!(", at most {mib:.0} MiB"));
        eprintln!(
            "{count} cards: {:.2} ms a card ({:.0} % of it laying out), {:.1} KiB a card{peak}",
            1000.0 * seconds / count as f64,
            100.0 * laid_s / seconds,
            file.len() as f64 / 1024.0 / count as f64,
        );
    }
}
