//! A disk that keeps what was synced, and of the rest what chance leaves.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::trace::{Event, What};
use crate::wire::Dice;

/// What a disk writes at once: half a kilobyte, the least that drives promise (512 bytes, as SQLite assumes too).
const SECTOR: usize = 512;

/// What a power cut leaves of writes that were not synced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// Nothing.
    Nothing,
    /// Everything: as after the death of the program alone.
    Everything,
    /// Each sector with this chance, in percent, whatever became of those before.
    Sectors(usize),
}

#[derive(Debug, Clone)]
enum Change {
    Write { offset: usize, bytes: Vec<u8> },
    Cut(usize),
}

#[derive(Debug, Clone, Default)]
struct Sheet {
    synced: Vec<u8>,
    /// What came after, with the moment.
    changes: Vec<(usize, Change)>,
    made: usize,
    named: bool,
    removed: Option<usize>,
}

/// The files of a folder, as they are on the disk and beyond it.
#[derive(Debug, Clone, Default)]
pub struct Disk {
    sheets: BTreeMap<String, Sheet>,
    /// The drive says that it has synced the log of the database, and has not.
    lies_about_the_log: bool,
}

fn apply(bytes: &mut Vec<u8>, change: &Change, mut stays: impl FnMut() -> bool) {
    match change {
        Change::Cut(length) => {
            if stays() {
                bytes.resize(*length, 0);
            }
        }
        Change::Write { offset, bytes: written } => {
            let (mut at, end) = (*offset, offset + written.len());
            while at < end {
                let next = ((at / SECTOR + 1) * SECTOR).min(end);
                if stays() {
                    if bytes.len() < next {
                        bytes.resize(next, 0);
                    }
                    bytes[at..next].copy_from_slice(&written[at - offset..next - offset]);
                }
                at = next;
            }
        }
    }
}

impl Disk {
    /// An empty disk in a drive that is honest, or that lies about the log.
    pub fn new(lies_about_the_log: bool) -> Self {
        Self { lies_about_the_log, ..Self::default() }
    }

    /// Goes on by one event.
    pub fn take(&mut self, event: &Event) {
        let at = event.at;
        match &event.what {
            // Made anew by every opening, and by design never asked after a cut.
            What::Make(file) if file.ends_with("-shm") || file.ends_with(".lock") => {}
            What::Make(file) => {
                let sheet = self.sheets.entry(file.clone()).or_insert(Sheet { made: at, ..Sheet::default() });
                if sheet.removed.take().is_some() {
                    sheet.changes.push((at, Change::Cut(0)));
                }
            }
            What::Write { file, offset, bytes } => {
                if let Some(sheet) = self.sheets.get_mut(file) {
                    sheet.changes.push((at, Change::Write { offset: *offset, bytes: bytes.clone() }));
                }
            }
            What::Cut { file, length } => {
                if let Some(sheet) = self.sheets.get_mut(file) {
                    sheet.changes.push((at, Change::Cut(*length)));
                }
            }
            What::Synced { file, begun } => {
                let lied = self.lies_about_the_log && file.ends_with("-wal");
                if let Some(sheet) = self.sheets.get_mut(file).filter(|_| !lied) {
                    let later = sheet.changes.partition_point(|(at, _)| at < begun);
                    for (_, change) in sheet.changes.drain(..later) {
                        apply(&mut sheet.synced, &change, || true);
                    }
                }
            }
            What::FolderSynced { begun } => {
                self.sheets.retain(|_, sheet| sheet.removed.is_none_or(|at| at >= *begun));
                for sheet in self.sheets.values_mut().filter(|sheet| sheet.made < *begun) {
                    sheet.named = true;
                }
            }
            What::Remove(file) => {
                if let Some(sheet) = self.sheets.get_mut(file) {
                    sheet.removed = Some(at);
                }
            }
            What::Acked(_) => {}
        }
    }

    /// Returns whether a cut could take anything right now.
    pub fn has_unsynced(&self) -> bool {
        self.sheets.values().any(|sheet| !sheet.changes.is_empty() || !sheet.named || sheet.removed.is_some())
    }

    /// Writes down what a power cut leaves.
    pub fn cut(&self, left: Left, dice: &mut Dice, into: &Path) {
        let mut stays = || match left {
            Left::Nothing => false,
            Left::Everything => true,
            Left::Sectors(percent) => dice.percent(percent),
        };
        for (name, sheet) in &self.sheets {
            let named = sheet.named || stays();
            let removed = sheet.removed.is_some() && stays();
            if !named || removed {
                continue;
            }
            let mut bytes = sheet.synced.clone();
            for (_, change) in &sheet.changes {
                apply(&mut bytes, change, &mut stays);
            }
            fs::write(into.join(name), bytes).expect("written");
        }
    }
}
