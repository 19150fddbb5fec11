//! The power goes, at many moments, and it is looked what the disk still has.
//!
//! A run of the program is traced: what it wrote, what it synced, and when it acked what. From the trace the disk is
//! built again as a cut would leave it at some moment: what was synced is there; of the rest nothing, everything, or a
//! random part of the sectors; names of files count as written only once their folder was synced. Each such disk is
//! opened by the store and judged: it opens, and holds every record that had been acked before that moment.
//!
//! What this proves rests on drives that keep what they say they have synced. One that does not loses acked records
//! (second control); against that only a second copy helps, and the devices have one.
#![cfg(target_os = "linux")]

mod disk;
mod trace;
#[path = "../wire/mod.rs"]
mod wire;

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};

use disk::{Disk, Left};
use lanewright_model::erasure::{ERASURE, Erased};
use lanewright_store::{SqliteStore, Store};
use lanewright_sync::{Record, RecordKey, SchoolId, canonical_json, erasure};
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};
use trace::{Event, What, events, finished, traced, tracer};
use uuid::Uuid;
use wire::{Dice, Line, Program, Recorder, cases, now_ms, parts, seed};

/// Where a child that is erased midway is named.
const ERASED: Uuid = Uuid::from_u128(0x105);

/// How a disk breaks the contract.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Fault {
    /// It does not open.
    Unopened(String),
    /// Records that were acked are not there.
    AckedLost(usize),
    /// Something is there that nobody sent.
    NeverSent,
    /// A part of a push is there.
    Torn,
    /// A run of an erased child is there beside its erasure.
    Returned,
}

/// What was seen on many disks.
#[derive(Debug, Default)]
struct Seen {
    disks: usize,
    with_unsynced: usize,
    with_acked: usize,
    lost: usize,
    unopened: usize,
    faults: Vec<Fault>,
}

fn is_about_erased(record: &Record) -> bool {
    record.body["run"]["runner"].as_str().is_some_and(|runner| runner == ERASED.to_string())
}

/// Returns everything that a disk holds, or why it does not open.
async fn held(folder: &Path) -> Result<BTreeMap<RecordKey, Record>, String> {
    let home = SchoolId(Uuid::from_u128(1));
    let store = SqliteStore::open(folder, home).await.map_err(|error| error.to_string())?;
    let (mut all, mut after) = (BTreeMap::new(), 0);
    loop {
        let page = store.pull(store.home(), after, 500).await.map_err(|error| error.to_string())?;
        all.extend(page.records.into_iter().map(|record| (record.key(), record)));
        after = page.cursor;
        if !page.more {
            store.close().await;
            return Ok(all);
        }
    }
}

fn judge(
    held: &BTreeMap<RecordKey, Record>,
    pushes: &[Vec<Record>],
    acked: &[&Record],
    faults: &mut Vec<Fault>,
) {
    let erased = held.keys().any(|key| key.kind == ERASURE && key.id == ERASED);
    let holds = |record: &Record| held.get(&record.key()).is_some_and(|found| found.stamp >= record.stamp);
    let lost = acked.iter().filter(|record| !(holds(record) || erased && is_about_erased(record))).count();
    if lost > 0 {
        faults.push(Fault::AckedLost(lost));
    }
    let sent = |found: &Record| pushes.iter().flatten().any(|record| record == found);
    if !held.values().all(sent) {
        faults.push(Fault::NeverSent);
    }
    for push in pushes {
        let asked = push.iter().filter(|record| !(erased && is_about_erased(record)));
        let (there, missing): (Vec<&Record>, Vec<&Record>) = asked.partition(|record| holds(record));
        if !there.is_empty() && !missing.is_empty() {
            faults.push(Fault::Torn);
        }
    }
    if erased && held.values().any(is_about_erased) {
        faults.push(Fault::Returned);
    }
}

/// Cuts the power at `count` moments of a history and judges each disk.
fn cut_often(history: &[Event], pushes: &[Vec<Record>], count: usize, seed: u64, lies: bool) -> Seen {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    let by_digest: BTreeMap<String, &Record> =
        pushes.iter().flatten().map(|record| (record.digest(), record)).collect();
    let mut dice = Dice(seed);
    let mut moments: Vec<usize> = (0..count).map(|_| dice.below(history.len() + 1)).collect();
    moments.sort_unstable();
    let mut disk = Disk::new(lies);
    let (mut acked, mut done) = (Vec::new(), 0);
    let mut seen = Seen::default();
    for (number, moment) in moments.into_iter().enumerate() {
        for event in &history[done..moment] {
            disk.take(event);
            if let What::Acked(digest) = &event.what {
                acked.extend(by_digest.get(digest).copied());
            }
        }
        done = moment;
        let left = match number % 5 {
            0 => Left::Nothing,
            1 => Left::Everything,
            2 => Left::Sectors(90),
            3 => Left::Sectors(50),
            _ => Left::Sectors(10),
        };
        // Memory serves as well: what counts here is what is in the files.
        let memory = Path::new("/dev/shm");
        let folder = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }
            .expect("a folder");
        disk.cut(left, &mut dice, folder.path());
        seen.disks += 1;
        seen.with_unsynced += usize::from(disk.has_unsynced());
        seen.with_acked += usize::from(!acked.is_empty());
        let before = seen.faults.len();
        match runtime.block_on(held(folder.path())) {
            Ok(held) => judge(&held, pushes, &acked, &mut seen.faults),
            Err(error) => {
                seen.unopened += 1;
                seen.faults.push(Fault::Unopened(error));
            }
        }
        let new = &seen.faults[before..];
        seen.lost += usize::from(new.iter().any(|fault| matches!(fault, Fault::AckedLost(_))));
        if !new.is_empty() {
            eprintln!("moment {moment} of {}, {left:?}: {new:?}", history.len());
        }
    }
    seen
}

/// Pushes until enough is done or nobody answers. Returns what has no answer yet, first what was left over.
fn work(
    line: &mut Line,
    recorder: &mut Recorder,
    dice: &mut Dice,
    count: usize,
    left_over: Option<Vec<Record>>,
    pushes: &std::sync::Mutex<Vec<Vec<Record>>>,
    acks: &AtomicUsize,
) -> Option<Vec<Record>> {
    let mut left_over = left_over;
    for _ in 0..count {
        let again = left_over.is_some();
        let push = left_over.take().unwrap_or_else(|| {
            let many = dice.below(4);
            let mut push: Vec<Record> = (0..many).map(|_| recorder.run(now_ms())).collect();
            push.push(if dice.percent(20) { recorder.today(now_ms()) } else { recorder.run(now_ms()) });
            push
        });
        if !again {
            pushes.lock().expect("whole").push(push.clone());
        }
        match line.push(&push) {
            Ok(answer) => {
                assert!(push.iter().all(|record| answer.acked.iter().any(|acked| acked.proves(record))));
                acks.fetch_add(push.len(), Ordering::SeqCst);
            }
            Err(_) => return Some(push),
        }
    }
    None
}

/// Two lives of the real program, the first ended by a kill, the second in order, with an erasure in it.
fn two_lives(tracer: &Path, seed: u64) -> (Vec<Event>, Vec<Vec<Record>>) {
    let folder = tempfile::tempdir().expect("a folder");
    let data = folder.path().canonicalize().expect("a path").join("data");
    std::fs::create_dir(&data).expect("made");
    let program = Path::new(env!("CARGO_BIN_EXE_lanewright"));
    let keeping: Vec<OsString> = vec!["--data".into(), data.clone().into()];
    let (log, pushes, acks) =
        (folder.path().join("log"), std::sync::Mutex::new(Vec::new()), AtomicUsize::new(0));
    let mut history: Vec<Event> = Vec::new();
    let mut devices: Vec<(Line, Recorder, Dice, Option<Vec<Record>>)> = Vec::new();
    let mut moment = 0;
    for life in 0..2 {
        let trace = folder.path().join(format!("trace-{life}"));
        let mut running = Program::start_under(traced(tracer, &trace, program), &keeping, &log);
        let process = running.child.id();
        let (host, path) = parts(&running.link().expect("it starts"));
        if life == 0 {
            let mut coach = Line::enter(&host, &path).expect("it answers");
            let school = coach.school().expect("it answers");
            for number in 0..3 {
                let line = coach.invite("coach").expect("it answers");
                devices.push((line, Recorder::new(number, school, seed), Dice(seed + number as u64), None));
            }
        }
        let (acks, pushes) = (&acks, &pushes);
        devices = std::thread::scope(|scope| {
            let threads: Vec<_> = devices
                .drain(..)
                .map(|(line, mut recorder, mut dice, left)| {
                    let host = &host;
                    scope.spawn(move || {
                        let mut line = line.moved(host);
                        let count = if life == 0 { usize::MAX } else { 12 };
                        let left = work(&mut line, &mut recorder, &mut dice, count, left, pushes, acks);
                        (line, recorder, dice, left)
                    })
                })
                .collect();
            if life == 0 {
                while acks.load(Ordering::SeqCst) < 120 {
                    assert!(threads.iter().all(|thread| !thread.is_finished()), "nobody answers");
                    std::thread::sleep(std::time::Duration::from_millis(2));
                }
                running.child.kill().expect("killed");
            }
            threads.into_iter().map(|thread| thread.join().expect("whole")).collect()
        });
        if life == 1 {
            let (line, recorder, dice, _) = &mut devices[0];
            let stamp = recorder.today(now_ms()).stamp;
            let erasing = vec![erasure(ERASED, Erased::Runner, stamp, recorder.school)];
            pushes.lock().expect("whole").push(erasing.clone());
            line.push(&erasing).expect("it answers");
            work(line, recorder, dice, 12, None, pushes, acks);
            running.stop();
        } else {
            drop(running);
        }
        let text = finished(&trace, process);
        history.extend(events(&text, &data, moment));
        moment += text.lines().count();
    }
    (history, pushes.into_inner().expect("whole"))
}

#[test]
fn a_power_cut_takes_no_acked_record_from_the_program() {
    let Some(tracer) = tracer() else { return };
    let seed = seed(20_260_302);
    let (history, pushes) = two_lives(&tracer, seed);
    let acks = history.iter().filter(|event| matches!(event.what, What::Acked(_))).count();
    let sent: usize = pushes.iter().map(Vec::len).sum();
    assert!(acks >= 150 && acks <= sent, "the trace tells of {acks} acks of {sent} records");

    let count = cases(250, 25);
    let seen = cut_often(&history, &pushes, count, seed, false);
    println!("the program, seed {seed}: {acks} acks, {} events, {}", history.len(), told(&seen));
    assert_eq!(seen.faults, []);
    // Otherwise hardly anything could have been lost.
    assert!(seen.with_unsynced > count / 4 && seen.with_acked > count / 2, "{seen:?}");

    // The first control: on a drive that only says that it has synced the log, the same history loses acked records.
    let seen = cut_often(&history, &pushes, 50, seed, true);
    println!("the same on a drive that lies about the log: {}", told(&seen));
    assert!(seen.lost > 0, "{seen:?}");
}

fn told(seen: &Seen) -> String {
    format!(
        "{} disks, {} with something unsynced, {} after an ack: {} have lost acked records, {} do not open, {} faults",
        seen.disks,
        seen.with_unsynced,
        seen.with_acked,
        seen.lost,
        seen.unopened,
        seen.faults.len()
    )
}

/// Names the folder and the setting for a child that only writes.
const CHILD: &str = "LANEWRIGHT_WRITES_WITH";

/// What the child pushes: always the same.
fn plain_pushes() -> Vec<Vec<Record>> {
    let mut recorder = Recorder::new(0, SchoolId(Uuid::from_u128(1)), 7);
    (0..120).map(|number| vec![recorder.run(1_772_446_445_000 + number)]).collect()
}

/// Writes records into a data file as the store does, but with a setting of its own, and says after each commit which
/// record is in.
async fn write_with(synchronous: &str, folder: &Path) {
    let store = SqliteStore::open(folder, SchoolId(Uuid::from_u128(1))).await.expect("opened");
    store.close().await;
    let mut connection = SqliteConnectOptions::new()
        .filename(folder.join("lanewright.sqlite"))
        .pragma("journal_mode", "wal")
        .pragma("synchronous", synchronous.to_owned())
        // So that the log is written back, and synced, a few times even here.
        .pragma("wal_autocheckpoint", "100")
        .disable_statement_logging()
        .connect()
        .await
        .expect("connected");
    for (seq, record) in (1_i64..).zip(plain_pushes().concat()) {
        let mut transaction = connection.begin_with("BEGIN IMMEDIATE").await.expect("begun");
        sqlx::query("INSERT INTO record VALUES ($1, $2, $3, $4, $5, $6, $7, $8)")
            .bind(record.school.0.to_string())
            .bind(&record.kind)
            .bind(record.id.to_string())
            .bind(i64::from(record.version))
            .bind(canonical_json(&record.body))
            .bind(record.stamp.to_string())
            .bind(record.digest())
            .bind(seq)
            .execute(&mut *transaction)
            .await
            .expect("inserted");
        sqlx::query("UPDATE school SET seq = $1")
            .bind(seq)
            .execute(&mut *transaction)
            .await
            .expect("counted");
        transaction.commit().await.expect("committed");
        println!("\"digest\":\"{}\"", record.digest());
        std::io::stdout().flush().expect("said");
    }
    // No closing: that would write the log back.
    std::process::exit(0);
}

/// The second control: one setting makes the difference.
#[test]
fn with_any_setting_but_ours_a_power_cut_takes_acked_records() {
    if let Some(told) = std::env::var_os(CHILD) {
        let told = told.into_string().expect("text");
        let (synchronous, folder) = told.split_once(' ').expect("a setting and a folder");
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
        return runtime.block_on(write_with(synchronous, Path::new(folder)));
    }
    let Some(tracer) = tracer() else { return };
    let seed = seed(20_260_302);
    let mut lost = BTreeMap::new();
    for synchronous in ["FULL", "NORMAL", "OFF"] {
        let folder = tempfile::tempdir().expect("a folder");
        let data = folder.path().canonicalize().expect("a path").join("data");
        std::fs::create_dir(&data).expect("made");
        let trace = folder.path().join("trace");
        let own = std::env::current_exe().expect("a path");
        let mut command: Command = traced(&tracer, &trace, &own);
        command.args(["--exact", "--nocapture", "with_any_setting_but_ours_a_power_cut_takes_acked_records"]);
        command.env(CHILD, format!("{synchronous} {}", data.display()));
        let mut child = command.stdout(std::process::Stdio::piped()).spawn().expect("it starts");
        let process = child.id();
        let mut said = String::new();
        std::io::Read::read_to_string(&mut child.stdout.take().expect("piped"), &mut said).expect("read");
        assert!(child.wait().expect("it ends").success(), "{said}");
        let history = events(&finished(&trace, process), &data, 0);
        let acks = history.iter().filter(|event| matches!(event.what, What::Acked(_))).count();
        assert_eq!(acks, plain_pushes().len(), "{synchronous}: all acks are in the trace");
        let seen = cut_often(&history, &plain_pushes(), cases(60, 100), seed, false);
        println!("synchronous = {synchronous}, seed {seed}: {}", told(&seen));
        lost.insert(synchronous, (seen.lost, seen.unopened));
    }
    assert_eq!(lost["FULL"], (0, 0));
    assert!(lost["NORMAL"].0 > 0 && lost["NORMAL"].1 == 0, "{lost:?}");
    assert!(lost["OFF"].0 > 0, "{lost:?}");
}
