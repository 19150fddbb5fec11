//! Seeded histories on the store in memory and on real files. A failure names its seed: `play` it again.

use std::path::PathBuf;

use lanewright_sim::{Fault, Flaw, Site, Verdict, World, play};
use lanewright_store::{MemoryStore, SqliteStore, Store, StoreError};
use lanewright_sync::SchoolId;
use uuid::Uuid;

const SCHOOL: SchoolId = SchoolId(Uuid::from_u128(0x10));

/// The store in memory: what is committed survives the server.
struct Memory {
    store: MemoryStore,
    copy: Option<MemoryStore>,
    openings: u128,
}

impl Memory {
    fn new() -> Self {
        Self { store: MemoryStore::new(SCHOOL), copy: None, openings: 0 }
    }
}

impl Site for Memory {
    fn store(&self) -> &dyn Store {
        &self.store
    }
    async fn die(&mut self) {
        self.openings += 1;
        self.store.open_again(Uuid::from_u128(self.openings));
    }
    async fn back_up(&mut self) {
        self.copy = Some(self.store.copy());
    }
    async fn put_back(&mut self) {
        if let Some(copy) = &self.copy {
            self.store = copy.copy();
        }
        self.die().await;
    }
}

/// A real file, opened again after each death. Its connections are dropped without a word.
struct File {
    folder: PathBuf,
    copies: tempfile::TempDir,
    store: Option<SqliteStore>,
}

/// Files of which a copy consists, made while nobody has them open.
const FILES: [&str; 2] = ["lanewright.sqlite", "lanewright.sqlite-wal"];

impl File {
    async fn open(folder: PathBuf) -> Result<Self, StoreError> {
        let store = Some(SqliteStore::open(&folder, SCHOOL).await?);
        Ok(Self { folder, copies: tempfile::tempdir().expect("a temporary folder"), store })
    }
}

impl Site for File {
    fn store(&self) -> &dyn Store {
        self.store.as_ref().expect("open between deaths")
    }
    async fn die(&mut self) {
        self.store = None;
        // The pool's threads let go of the folder a moment after it is dropped.
        for _ in 0..200 {
            match SqliteStore::open(&self.folder, SCHOOL).await {
                Ok(store) => {
                    self.store = Some(store);
                    return;
                }
                Err(StoreError::InUse { .. }) => {
                    tokio::time::sleep(std::time::Duration::from_millis(5)).await
                }
                Err(error) => panic!("the file does not open again: {error}"),
            }
        }
        panic!("the folder stays in use");
    }
    async fn back_up(&mut self) {
        if let Some(store) = self.store.take() {
            store.close().await;
        }
        exchange(&self.folder, self.copies.path());
        self.die().await;
    }
    async fn put_back(&mut self) {
        if let Some(store) = self.store.take() {
            store.close().await;
        }
        if self.copies.path().join(FILES[0]).exists() {
            exchange(self.copies.path(), &self.folder);
        }
        self.die().await;
    }
}

/// Copies a data folder's files over those of another.
fn exchange(from: &std::path::Path, to: &std::path::Path) {
    for name in FILES {
        let _ = std::fs::remove_file(to.join(name));
        if from.join(name).exists() {
            std::fs::copy(from.join(name), to.join(name)).expect("copied");
        }
    }
    let _ = std::fs::remove_file(to.join("lanewright.sqlite-shm"));
}

fn block_on<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime").block_on(future)
}

fn in_memory(seed: u64, flaw: Option<Flaw>) -> Verdict {
    let world =
        World { phones: 2 + (seed % 4) as usize, events: 60, copies: false, clocks_ahead: false, flaw };
    block_on(play(seed, &world, &mut Memory::new())).expect("memory does not fail")
}

fn with_copies(seed: u64, flaw: Option<Flaw>) -> Verdict {
    let world =
        World { phones: 2 + (seed % 4) as usize, events: 90, copies: true, clocks_ahead: false, flaw };
    block_on(play(seed, &world, &mut Memory::new())).expect("memory does not fail")
}

/// Few facts and phones, so that corrections are many.
fn with_clocks_ahead(seed: u64, copies: bool, flaw: Option<Flaw>) -> Verdict {
    let world = World { phones: 2 + (seed % 2) as usize, events: 90, copies, clocks_ahead: true, flaw };
    block_on(play(seed, &world, &mut Memory::new())).expect("memory does not fail")
}

fn on_file(seed: u64) -> Verdict {
    on_file_with(seed, false)
}

fn on_file_with(seed: u64, copies: bool) -> Verdict {
    let world =
        World { phones: 2 + (seed % 4) as usize, events: 40, copies, clocks_ahead: false, flaw: None };
    block_on(async {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mut site = File::open(folder.path().to_path_buf()).await.expect("opened");
        play(seed, &world, &mut site).await.expect("the file does not fail")
    })
}

/// Histories by default; `LANEWRIGHT_SOAK_CASES` asks for more.
fn histories(by_default: u64) -> u64 {
    std::env::var("LANEWRIGHT_SOAK_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(by_default)
}

/// Plays seeds and sums up; stops at the first fault, with its seed.
fn all_hold(count: u64, refusals: Refusals, judged: impl Fn(u64) -> Verdict) {
    let (mut shown, mut acked, mut unknown, mut refused, mut erased) = (0, 0, 0, 0, 0);
    for seed in 0..count {
        let verdict = judged(seed);
        assert!(verdict.faults.is_empty(), "seed {seed}: {:?}", verdict.faults);
        shown += verdict.shown;
        acked += verdict.acked;
        unknown += verdict.unknown;
        refused += verdict.refused;
        erased += verdict.erased;
    }
    println!(
        "{count} histories: {shown} writes shown, {acked} acked, {unknown} unknown, {refused} refused, {erased} erased"
    );
    // A history in which hardly anything happens proves nothing.
    assert!(acked as u64 > 5 * count && shown as u64 > 10 * count && unknown > 0);
    assert_eq!(refused > 0, refusals == Refusals::Stay, "{refused} are refused at the end");
    assert!(2 * erased as u64 > count, "children are erased");
}

/// What is still refused when all has healed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Refusals {
    /// Some clocks stay wrong, and what they wrote stays on its phone.
    Stay,
    /// Every clock is put right, and everything is taken.
    None,
}

#[test]
fn nothing_is_lost_doubled_or_left_apart_in_memory() {
    all_hold(histories(5000), Refusals::Stay, |seed| in_memory(seed, None));
}

#[test]
fn nothing_is_lost_doubled_or_left_apart_on_a_file() {
    all_hold(histories(5000) / 25, Refusals::Stay, on_file);
}

#[test]
fn nothing_is_lost_when_older_copies_of_the_server_are_put_back_in_memory() {
    all_hold(histories(5000), Refusals::Stay, |seed| with_copies(seed, None));
}

#[test]
fn nothing_is_lost_when_older_copies_of_the_server_are_put_back_on_a_file() {
    all_hold(histories(5000) / 50, Refusals::Stay, |seed| on_file_with(seed, true));
}

#[test]
fn no_correction_is_overtaken_by_what_it_corrects_however_far_clocks_run_ahead() {
    all_hold(histories(5000), Refusals::None, |seed| with_clocks_ahead(seed, seed % 2 == 0, None));
}

/// The control: a phone that keeps its name when its clock is set back cannot tell its older words from its later ones.
#[test]
fn under_one_name_for_ever_a_correction_is_overtaken_by_what_it_corrects() {
    let overtaken = |seed: &u64| {
        let faults = with_clocks_ahead(*seed, seed.is_multiple_of(2), Some(Flaw::OneNameForEver)).faults;
        faults.iter().any(|fault| matches!(fault, Fault::Overtaken(_)))
    };
    let hits = (0..400).filter(overtaken).count();
    println!("corrections overtaken in {hits} of 400 histories");
    assert!(hits > 0, "{hits}");
}

/// Seeds beyond those that are played each time, in which a long run once found something.
#[test]
fn histories_that_once_lost_something_hold() {
    // A correction gave way to what it had overruled, once the server had been put back.
    assert_eq!(with_copies(6964, None).faults, []);
    // A word that the copy lacked had been overruled on its phone, under a clock that the server refused to the end.
    assert_eq!(with_copies(17775, None).faults, []);
    // The same, and the ack came after the copy was put back.
    assert_eq!(with_copies(49094, None).faults, []);
    // A phone set its clock back while an ack was on its way, and stamped below what was acked.
    assert_eq!(with_clocks_ahead(27684, true, None).faults, []);
}

/// The control: phones that do not ask lose what the copy did not have.
#[test]
fn without_asking_where_the_server_stands_acked_writes_are_lost() {
    let lost = |seed: &u64| {
        let faults = with_copies(*seed, Some(Flaw::HistoryPassedOver)).faults;
        faults.iter().any(|fault| matches!(fault, Fault::AckedLost(_)))
    };
    let hits = (0..200).filter(lost).count();
    println!("acked writes lost in {hits} of 200 histories");
    assert!(hits > 20, "{hits}");
}

#[test]
fn one_seed_plays_one_history() {
    for seed in 0..20 {
        assert_eq!(in_memory(seed, None), in_memory(seed, None));
    }
    assert_eq!(on_file(3), on_file(3));
    assert_eq!(with_copies(3, None), with_copies(3, None));
    assert_ne!(in_memory(1, None).digest, in_memory(5, None).digest);
}

#[test]
fn every_flaw_is_found() {
    let found = |flaw: Flaw, is_it: fn(&Fault) -> bool| {
        let hits = (0..100).filter(|seed| in_memory(*seed, Some(flaw)).faults.iter().any(is_it)).count();
        println!("{flaw:?}: found in {hits} of 100 histories");
        assert!(hits > 0, "{flaw:?} went unnoticed");
    };
    found(Flaw::OutboxClearedBySending, |fault| matches!(fault, Fault::Apart(_)));
    found(Flaw::AckBeforeStore, |fault| matches!(fault, Fault::AckedLost(_)));
    found(Flaw::NewNamesOnRetry, |fault| matches!(fault, Fault::Doubled(_)));
    found(Flaw::LastToArriveStands, |fault| matches!(fault, Fault::Apart(_)));
    found(Flaw::StampsMeasuredAgain, |fault| matches!(fault, Fault::Apart(_)));
    found(Flaw::ErasureByStamp, |fault| matches!(fault, Fault::Returned(_)));
    found(Flaw::ErasureOnlyOnce, |fault| matches!(fault, Fault::Returned(_)));
    found(Flaw::ShownBeforeSaved, |fault| matches!(fault, Fault::ShownLost(_)));
}
