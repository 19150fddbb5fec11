//! What one program bears: 200 devices push runs at rising rates. `cargo xtask bench load`.
//!
//! Words after `--` go to `lanewright start` and say where records are kept; without any, in a new folder on the disk
//! that holds temporary files. The devices run on the same machine and take their share of it, so the figures are for
//! a machine that does both. A latency counts from the moment at which its push was due, so that a program that falls
//! behind cannot hide it.

#[path = "../tests/wire/mod.rs"]
mod wire;

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use lanewright_sync::Record;
use lanewright_sync::message::PUSH_RECORDS_MAX;
use serde_json::{Value, json};
use wire::{Dice, Line, Program, Recorder, now_ms, parts};

/// Devices at once.
const DEVICES: usize = 200;
/// How long each rate is held.
const HELD: Duration = Duration::from_secs(8);
/// The first rate, in pushes a second, and by how much each next one is greater.
const RATE_FIRST: f64 = 25.0;
const RATE_STEP: f64 = std::f64::consts::SQRT_2;
/// Beyond the knee: the slowest hundredth waits longer than this, or less than this share of what is due is answered.
const P99_MAX_S: f64 = 1.0;
const ANSWERED_MIN: f64 = 0.95;
/// Runs between two looks at memory and file.
const FILL: usize = 100_000;
/// Phones that come back from a field without a network, and runs on each.
const RETURNING: usize = 30;
const RUNS_EACH: usize = 100;

struct Device {
    line: Line,
    recorder: Recorder,
    dice: Dice,
}

/// What became of the pushes of one step.
#[derive(Debug, Default)]
struct Answered {
    latencies_s: Vec<f64>,
    over_s: f64,
    /// Pushes that fell due.
    due: usize,
    failed: usize,
}

impl Answered {
    fn at(&self, share: f64) -> f64 {
        let last = self.latencies_s.len().saturating_sub(1);
        self.latencies_s.get((share * last as f64).round() as usize).copied().unwrap_or(f64::NAN)
    }

    fn per_s(&self) -> f64 {
        self.latencies_s.len() as f64 / self.over_s
    }
}

/// Lets all devices push one run at a time for a while: at a rate, or each as soon as it has its answer.
fn pushed(devices: &mut [Device], rate_hz: Option<f64>) -> Answered {
    let began = Instant::now();
    let over = AtomicBool::new(false);
    let each_hz = rate_hz.map(|rate_hz| rate_hz / devices.len() as f64);
    let mut all = Answered::default();
    std::thread::scope(|scope| {
        let over = &over;
        let threads: Vec<_> = devices
            .iter_mut()
            .map(|device| {
                scope.spawn(move || {
                    let (mut latencies, mut failed, mut due, mut due_s) = (Vec::new(), 0, 0, 0.0);
                    loop {
                        if let Some(each_hz) = each_hz {
                            // Presses that know nothing of each other: exponential pauses.
                            due_s -= libm::log(1.0 - device.dice.share()) / each_hz;
                            if due_s > HELD.as_secs_f64() {
                                break;
                            }
                            due += 1;
                            if over.load(Ordering::Relaxed) {
                                continue;
                            }
                            let moment = began + Duration::from_secs_f64(due_s);
                            std::thread::sleep(moment.saturating_duration_since(Instant::now()));
                        } else {
                            if over.load(Ordering::Relaxed) {
                                break;
                            }
                            (due, due_s) = (due + 1, began.elapsed().as_secs_f64());
                        }
                        let run = device.recorder.run(now_ms());
                        match device.line.push(std::slice::from_ref(&run)) {
                            Ok(answer) if answer.acked.len() == 1 => {
                                latencies.push(began.elapsed().as_secs_f64() - due_s);
                            }
                            _ => failed += 1,
                        }
                    }
                    (latencies, due, failed)
                })
            })
            .collect();
        std::thread::sleep(HELD);
        // Twice the time for what is late; then it counts as not answered.
        let mut waited = Duration::ZERO;
        while rate_hz.is_some() && waited < HELD && !threads.iter().all(|thread| thread.is_finished()) {
            std::thread::sleep(Duration::from_millis(50));
            waited += Duration::from_millis(50);
        }
        over.store(true, Ordering::Relaxed);
        for thread in threads {
            let (latencies, due, failed) = thread.join().expect("whole");
            all.due += due;
            all.latencies_s.extend(latencies);
            all.failed += failed;
        }
    });
    all.over_s = began.elapsed().as_secs_f64();
    all.latencies_s.sort_by(f64::total_cmp);
    all
}

/// Memory of a process in MiB: now, and at most. Nothing where the system does not tell.
fn memory_mib(process: u32) -> Option<(f64, f64)> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let of = |name: &str| {
        let line = status.lines().find(|line| line.starts_with(name))?;
        Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
    };
    Some((of("VmRSS:")?, of("VmHWM:")?))
}

/// Bytes of all files in a folder.
fn bytes_in(folder: &Path) -> u64 {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    entries.filter_map(|entry| entry.metadata().ok()).map(|meta| meta.len()).sum()
}

fn say(case: &str, seconds: f64, result: &Value) {
    println!("{}", json!({"case": case, "input": null, "result": result, "seconds": seconds}));
}

fn rounded(value: f64, digits: i32) -> f64 {
    let scale = 10_f64.powi(digits);
    (value * scale).round() / scale
}

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let data = folder.path().join("data");
    let mut keeping: Vec<OsString> = std::env::args_os().skip(1).collect();
    let in_file = keeping.is_empty();
    if in_file {
        keeping = vec!["--data".into(), data.clone().into()];
    }
    let program = std::env::var_os("LANEWRIGHT_PROGRAM").map_or_else(beside, PathBuf::from);
    let log = folder.path().join("log");
    let start = || {
        let began = Instant::now();
        let mut running = Program::start(&program, &keeping, &log);
        let link = running.link().expect("it starts");
        (running, parts(&link), began.elapsed().as_secs_f64())
    };
    let (running, (host, path), _) = start();
    let process = running.child.id();
    let mut coach = Line::enter(&host, &path).expect("it answers");
    let school = coach.school().expect("it answers");
    let mut devices: Vec<Device> = (0..DEVICES)
        .map(|number| {
            let role = if number % 4 == 0 { "coach" } else { "helper" };
            let line = coach.invite(role).expect("it answers");
            Device { line, recorder: Recorder::new(number, school, 1), dice: Dice(number as u64) }
        })
        .collect();
    let mut stored = 0;

    let most = pushed(&mut devices, None);
    stored += most.latencies_s.len();
    let told = |answered: &Answered, due_hz: Option<f64>| {
        json!({
            "due_per_s": due_hz.map(|due| rounded(due, 0)), "answered_per_s": rounded(answered.per_s(), 0),
            "p50_ms": rounded(1e3 * answered.at(0.5), 1), "p99_ms": rounded(1e3 * answered.at(0.99), 1),
            "max_ms": rounded(1e3 * answered.at(1.0), 1), "failed": answered.failed,
        })
    };
    say("each as fast as it can", most.at(0.5), &told(&most, None));

    let (mut rate_hz, mut knee_hz) = (RATE_FIRST, 0.0);
    loop {
        let step = pushed(&mut devices, Some(rate_hz));
        stored += step.latencies_s.len();
        say(&format!("{rate_hz:.0} pushes a second"), step.at(0.5), &told(&step, Some(rate_hz)));
        let answered = step.latencies_s.len() as f64 / step.due.max(1) as f64;
        if step.at(0.99) > P99_MAX_S || answered < ANSWERED_MIN || step.failed > 0 {
            break;
        }
        knee_hz = rate_hz;
        rate_hz *= RATE_STEP;
    }
    say("the last rate before the knee", 0.0, &json!({"per_s": rounded(knee_hz, 0)}));

    // Half a district's phones come into the network at once.
    let began = Instant::now();
    std::thread::scope(|scope| {
        for device in devices.iter_mut().take(RETURNING) {
            scope.spawn(|| {
                let runs: Vec<Record> = (0..RUNS_EACH).map(|_| device.recorder.run(now_ms())).collect();
                assert_eq!(device.line.push(&runs).expect("it answers").acked.len(), RUNS_EACH);
            });
        }
    });
    let seconds = began.elapsed().as_secs_f64();
    stored += RETURNING * RUNS_EACH;
    let result = json!({"phones": RETURNING, "runs_each": RUNS_EACH, "runs_per_s": rounded((RETURNING * RUNS_EACH) as f64 / seconds, 0)});
    say("phones back from a field", seconds, &result);

    let look = |case: &str, seconds: f64, stored: usize| {
        let (now, most) = memory_mib(process).unzip();
        let mib = |value: Option<f64>| value.map(|value| rounded(value, 0));
        let bytes = in_file.then(|| bytes_in(&data));
        let files_mib = bytes.map(|bytes| rounded(bytes as f64 / f64::from(1 << 20), 1));
        let bytes_a_run = bytes.map(|bytes| bytes / stored.max(1) as u64);
        let result = json!({"runs": stored, "memory_mib": mib(now), "memory_max_mib": mib(most), "files_mib": files_mib, "bytes_a_run": bytes_a_run});
        say(case, seconds, &result);
    };
    look("after the load", 0.0, stored);
    for round in 1..=2 {
        let began = Instant::now();
        while stored < round * FILL {
            let device = &mut devices[stored % DEVICES];
            let count = PUSH_RECORDS_MAX.min(round * FILL - stored);
            let runs: Vec<Record> = (0..count).map(|_| device.recorder.run(now_ms())).collect();
            assert_eq!(device.line.push(&runs).expect("it answers").acked.len(), count);
            stored += count;
        }
        look(&format!("filled up to {}", round * FILL), began.elapsed().as_secs_f64(), stored);
    }
    let began = Instant::now();
    // A new connection: the first has been silent for so long that the program has closed it.
    let pulled = coach.moved(&host).pull(0).expect("it answers").0.len();
    say("a new phone reads all", began.elapsed().as_secs_f64(), &json!({"runs": pulled}));
    assert_eq!(pulled, stored);
    look("after that", 0.0, stored);
    drop(running);
    let (running, _, seconds) = start();
    say("started again", seconds, &json!({"runs": stored, "after": "a kill"}));
    drop(running);
}

/// The program that was built beside this one.
fn beside() -> PathBuf {
    let own = std::env::current_exe().expect("a path");
    let folder = own.parent().and_then(Path::parent).expect("two folders up");
    folder.join(format!("lanewright{}", std::env::consts::EXE_SUFFIX))
}
