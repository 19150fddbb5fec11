//! A program that is killed again and again while eight devices push, and the judge of what is left.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Condvar, Mutex};
use std::time::Duration;

use super::{Dice, Line, NoAnswer, Program, Recorder, now_ms, parts, seed};
use lanewright_sync::{Record, RecordKey, SchoolId, Stamp};

/// Devices that push at once.
const DEVICES: usize = 8;
/// Most records of one push here.
const PUSH_MAX: usize = 4;
/// Acks after which the program is killed at the latest, counted from its start.
const ACKS_A_LIFE_MAX: usize = 60;
/// Longest wait for whatever the next step needs. Long enough for any machine; then the run has failed.
const STUCK: Duration = Duration::from_secs(120);
/// Lives of the program after which a run that has not seen enough gives up.
const LIVES_MAX: usize = 5_000;

/// A flaw put in on purpose: the judge has to find it, or it proves nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flaw {
    /// The log of the database is gone after each kill, as if its commits had never been on the disk.
    LogLost,
    /// The answer comes before the commit: a push counts as acked as soon as it is sent.
    AckBeforeCommit,
    /// Devices empty their outbox when they send.
    OutboxEmptiedBySending,
    /// Devices give what they send again new names.
    NewNamesOnRetry,
}

/// A way in which the contract is broken.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// Acked, and not there, or not as it was sent.
    AckedLost(String),
    /// The same fact twice.
    Doubled(String),
    /// There, and nobody sent it.
    NeverSent(String),
    /// A push of which a part is there.
    Torn(String),
    /// Written on a device, and nowhere once all has healed.
    NeverArrived(String),
    /// Refused, or not answered although the answer came.
    Refused(String),
}

/// What a device has written, and what it knows of it.
#[derive(Debug, Default)]
struct Story {
    sent: BTreeMap<RecordKey, BTreeMap<Stamp, Record>>,
    acked: BTreeMap<RecordKey, Stamp>,
    acks: usize,
    /// Pushes without an answer since the last start.
    in_doubt: Vec<Vec<Record>>,
    unknown: usize,
    kept: usize,
    gone: usize,
    faults: BTreeSet<Fault>,
}

/// Where the program answers, and who is just asking.
#[derive(Debug, Default)]
struct Town {
    host: Option<String>,
    life: usize,
    closing: bool,
    asking: usize,
    ended: usize,
    story: Story,
}

#[derive(Debug, Default)]
struct Square {
    town: Mutex<Town>,
    bell: Condvar,
}

impl Square {
    /// Waits until `ready`, then changes something.
    fn when<T>(&self, what: &str, ready: impl Fn(&Town) -> bool, change: impl FnOnce(&mut Town) -> T) -> T {
        let town = self.town.lock().expect("whole");
        let (mut town, waited) =
            self.bell.wait_timeout_while(town, STUCK, |town| !ready(town)).expect("whole");
        assert!(!waited.timed_out(), "stuck: {what}");
        let result = change(&mut town);
        self.bell.notify_all();
        result
    }

    fn now<T>(&self, change: impl FnOnce(&mut Town) -> T) -> T {
        self.when("", |_| true, change)
    }
}

/// One device: writes, sends, keeps what is not proven, sends it again.
fn device(square: &Square, mut recorder: Recorder, mut line: Line, dice: &mut Dice, flaw: Option<Flaw>) {
    let mut outbox: Vec<Record> = Vec::new();
    let mut life = 0;
    let mut tries = 0;
    loop {
        let (host, now, closing) = square.when(
            "the program does not come back",
            |town| town.host.is_some(),
            |town| {
                town.asking += 1;
                (town.host.clone().expect("there"), town.life, town.closing)
            },
        );
        if now != life {
            (life, tries) = (now, 0);
            line = line.moved(&host);
        }
        if outbox.is_empty() {
            if closing {
                return square.now(|town| (town.asking, town.ended) = (town.asking - 1, town.ended + 1));
            }
            let many = 1 + dice.below(PUSH_MAX);
            outbox.extend((1..many).map(|_| recorder.run(now_ms())));
            outbox.push(if dice.percent(20) { recorder.today(now_ms()) } else { recorder.run(now_ms()) });
            square.now(|town| {
                for record in &outbox {
                    town.story.sent.entry(record.key()).or_default().insert(record.stamp, record.clone());
                }
            });
        }
        let answer = line.push(&outbox);
        square.now(|town| {
            town.asking -= 1;
            let story = &mut town.story;
            if flaw == Some(Flaw::AckBeforeCommit) && answer != Err(NoAnswer::NotSent) {
                story.acks += outbox.len();
                story.acked.extend(outbox.drain(..).map(|record| (record.key(), record.stamp)));
                return;
            }
            match &answer {
                Ok(answer) => {
                    for acked in &answer.acked {
                        if let Some(at) = outbox.iter().position(|record| acked.proves(record)) {
                            let record = outbox.remove(at);
                            let known = story.acked.entry(record.key()).or_insert(record.stamp);
                            *known = record.stamp.max(*known);
                            story.acks += 1;
                        }
                    }
                    for left in outbox.drain(..) {
                        story.faults.insert(Fault::Refused(format!("{:?}", left.key())));
                    }
                }
                Err(NoAnswer::NotSent) => {}
                Err(NoAnswer::Unknown) => {
                    story.unknown += 1;
                    story.in_doubt.push(outbox.clone());
                }
            }
            if answer.is_err() {
                match flaw {
                    Some(Flaw::OutboxEmptiedBySending) => outbox.clear(),
                    Some(Flaw::NewNamesOnRetry) => {
                        for record in outbox.iter_mut().filter(|record| record.kind == "run") {
                            record.id = dice.uuid();
                            let sent = story.sent.entry(record.key()).or_default();
                            sent.insert(record.stamp, record.clone());
                        }
                    }
                    _ => {}
                }
            }
        });
        if answer.is_err() {
            tries += 1;
            assert!(tries < 1000, "a program that runs does not answer");
            std::thread::sleep(Duration::from_millis(5));
        }
    }
}

/// The mark by which a fact is known under whatever name.
fn mark(record: &Record) -> String {
    let body = &record.body;
    body["run"]["setup"].as_str().or(body["mark"].as_str()).unwrap_or_default().to_owned()
}

/// Compares what is there with what was sent and acked. `healed`: everything that was written has to be there.
fn judge(story: &mut Story, there: &[Record], healed: bool) {
    let mut found: BTreeMap<RecordKey, &Record> = BTreeMap::new();
    let mut marks = BTreeSet::new();
    let mut faults = BTreeSet::new();
    for record in there {
        if found.insert(record.key(), record).is_some() || !marks.insert((&record.kind, mark(record))) {
            faults.insert(Fault::Doubled(mark(record)));
        }
        let sent = story.sent.get(&record.key()).and_then(|sent| sent.get(&record.stamp));
        if sent != Some(record) {
            faults.insert(Fault::NeverSent(mark(record)));
        }
    }
    let holds = |key: &RecordKey, stamp: Stamp| found.get(key).is_some_and(|record| record.stamp >= stamp);
    for (key, stamp) in story.acked.iter().filter(|(key, stamp)| !holds(key, **stamp)) {
        faults.insert(Fault::AckedLost(format!("{} {stamp}", key.id)));
    }
    for (key, sent) in story.sent.iter().filter(|_| healed) {
        if sent.keys().any(|stamp| !holds(key, *stamp)) {
            faults.insert(Fault::NeverArrived(key.id.to_string()));
        }
    }
    for push in story.in_doubt.drain(..) {
        let kept = push.iter().filter(|record| holds(&record.key(), record.stamp)).count();
        story.kept += usize::from(kept == push.len());
        story.gone += usize::from(kept == 0);
        if kept != 0 && kept != push.len() {
            faults.insert(Fault::Torn(format!("{kept} of {}", push.len())));
        }
    }
    story.faults.extend(faults);
}

/// Where the program keeps its records.
pub struct Keeping {
    arguments: Vec<OsString>,
    /// The data file, where there is one.
    file: Option<PathBuf>,
}

impl Keeping {
    /// In the empty PostgreSQL database whose address stands in this file.
    pub fn in_database(file: &Path) -> Self {
        Self { arguments: vec!["--database".into(), file.into()], file: None }
    }

    /// In a data folder below this one.
    pub fn in_folder(folder: &Path) -> Self {
        let arguments = vec!["--data".into(), folder.join("data").into()];
        Self { arguments, file: Some(folder.join("data/lanewright.sqlite")) }
    }
}

/// What a run has seen.
#[derive(Debug)]
pub struct Seen {
    acks: usize,
    unknown: usize,
    kept: usize,
    gone: usize,
    lives: usize,
    killed_at_start: usize,
    pub faults: Vec<Fault>,
}

impl Seen {
    /// A run in which little was acked, or no kill met a push, proves nothing.
    pub fn proves_something(&self, acks: usize) -> bool {
        self.acks >= acks && self.lives >= 10 && self.killed_at_start > 0 && self.kept > 0 && self.gone > 0
    }
}

/// The program as built for these tests; examples that share this folder have none.
fn program() -> &'static str {
    match option_env!("CARGO_BIN_EXE_lanewright") {
        Some(program) => program,
        None => unreachable!("only tests of the program kill it"),
    }
}

/// Lives and deaths until enough is acked, or until a flaw is found.
fn play(seed: u64, acks: usize, keeping: &Keeping, folder: &Path, flaw: Option<Flaw>) -> Seen {
    let program = Path::new(program());
    let log = folder.join("log");
    let mut dice = Dice(seed);
    let start = || Program::start(program, &keeping.arguments, &log);

    // Everyone comes in; what they got is on the disk in order, so that a flaw takes runs and not their way in.
    let mut first = start();
    let (host, path) = parts(&first.link().expect("a link"));
    let mut coach = Line::enter(&host, &path).expect("it answers");
    let school: SchoolId = coach.school().expect("it answers");
    let lines: Vec<Line> = (0..DEVICES).map(|_| coach.invite("coach").expect("it answers")).collect();
    first.stop();

    let square = Square::default();
    let mut seen =
        Seen { acks: 0, unknown: 0, kept: 0, gone: 0, lives: 0, killed_at_start: 0, faults: Vec::new() };
    std::thread::scope(|scope| {
        let square = &square;
        for (number, line) in lines.into_iter().enumerate() {
            let recorder = Recorder::new(number, school, seed);
            let mut dice = Dice(dice.bits());
            scope.spawn(move || device(square, recorder, line, &mut dice, flaw));
        }
        loop {
            // Some are killed while they start, before or after their first look at the file.
            if dice.percent(20) {
                let starting = start();
                std::thread::sleep(Duration::from_micros(dice.below(60_000) as u64));
                starting.kill();
                seen.killed_at_start += 1;
            }
            let mut program = start();
            let Some(link) = program.link() else {
                panic!("it does not start again: {}", std::fs::read_to_string(&log).unwrap_or_default())
            };
            let (host, _) = parts(&link);
            coach = coach.moved(&host);
            let there = coach.pull(0).expect("it answers").0;
            let closing = square.now(|town| {
                judge(&mut town.story, &there, false);
                let story = &town.story;
                (seen.acks, seen.unknown) = (story.acks, story.unknown);
                (seen.kept, seen.gone) = (story.kept, story.gone);
                seen.faults = story.faults.iter().cloned().collect();
                let over = seen.proves_something(acks) || seen.lives >= LIVES_MAX;
                town.closing = over || !seen.faults.is_empty();
                (town.host, town.life) = (Some(host), town.life + 1);
                town.closing
            });
            if closing {
                square.when("devices do not get rid of their outboxes", |town| town.ended == DEVICES, |_| ());
                let there = coach.pull(0).expect("it answers").0;
                square.now(|town| {
                    judge(&mut town.story, &there, true);
                    (seen.acks, seen.unknown) = (town.story.acks, town.story.unknown);
                    seen.faults = town.story.faults.iter().cloned().collect();
                });
                program.stop();
                break;
            }
            let until = seen.acks + 1 + dice.below(ACKS_A_LIFE_MAX);
            square.when("nothing is acked any more", |town| town.story.acks >= until, |_| ());
            std::thread::sleep(Duration::from_micros(dice.below(4_000) as u64));
            program.kill();
            seen.lives += 1;
            square.now(|town| town.host = None);
            square.when("devices wait for the dead", |town| town.asking == 0, |_| ());
            if let (Some(Flaw::LogLost), Some(file)) = (flaw, &keeping.file) {
                let _ = std::fs::remove_file(file.with_extension("sqlite-wal"));
            }
        }
    });
    seen
}

/// Plays with a seed of its own and says what was seen. The program's log goes into `folder`.
pub fn played(name: &str, acks: usize, keeping: &Keeping, folder: &Path, flaw: Option<Flaw>) -> Seen {
    let seed = seed(20_260_302);
    let seen = play(seed, acks, keeping, folder, flaw);
    println!(
        "{name}, seed {seed}: {} acked, {} pushes without an answer ({} kept, {} gone), killed {} times while serving, \
         {} while starting, {} faults {:?}",
        seen.acks,
        seen.unknown,
        seen.kept,
        seen.gone,
        seen.lives,
        seen.killed_at_start,
        seen.faults.len(),
        seen.faults.first(),
    );
    if flaw.is_none() {
        let looked = Command::new(program()).arg("check").args(&keeping.arguments).output();
        let looked = looked.expect("it runs");
        assert!(looked.status.success(), "{}", String::from_utf8_lossy(&looked.stderr));
    }
    seen
}
