//! One phone: what is on its disk, and the app's rules on it. Each method is one transaction of the app's store.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_app::logic::change::Change;
use lanewright_app::logic::replica::{
    Device, Purge, Told, Waiting, absorb, adopt, next_push, purge, send_again, settle,
};
use lanewright_model::erasure::ERASURE;
use lanewright_sync::stamp::is_ahead;
use lanewright_sync::{
    PullAnswer, Push, PushAnswer, Record, RecordKey, RefusalReason, SchoolId, Stamp, Standing, erasures_in,
    left_of,
};

use uuid::Uuid;

use crate::Flaw;

/// What survives when the app dies.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Disk {
    pub device: Device,
    pub records: BTreeMap<RecordKey, Record>,
    pub outbox: BTreeMap<RecordKey, Waiting>,
}

/// What a pull changed on a phone.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    /// Records of the server that stand here now.
    pub replaced: Vec<Record>,
    /// Facts whose refused write here gave way to somebody else's with an earlier stamp, and that stamp.
    pub gave_way: Vec<(RecordKey, Stamp)>,
}

impl Disk {
    pub fn new(device: Device) -> Self {
        Self { device, records: BTreeMap::new(), outbox: BTreeMap::new() }
    }

    /// Writes changes and returns the records.
    ///
    /// What names somebody who was erased is not written.
    pub fn write(&mut self, changes: &[Change], now_ms: u64, flaw: Option<Flaw>) -> Vec<Record> {
        let records = self.device.stamp(changes, now_ms);
        for record in &records {
            let Some(record) = self.arriving(record, flaw) else { continue };
            self.outbox.insert(record.key(), Waiting::of(&record));
            self.records.insert(record.key(), record);
        }
        if records.iter().any(|record| record.kind == ERASURE) {
            self.purge(flaw);
        }
        records
    }

    /// Returns what erasures leave of a record that comes to be held here.
    fn arriving(&self, record: &Record, flaw: Option<Flaw>) -> Option<Record> {
        if flaw == Some(Flaw::ErasureOnlyOnce) {
            return Some(record.clone());
        }
        left_of(&erasures_in(self.erasing(record, flaw)), record)
    }

    /// Returns the erasures that a record has to face: all of them, unless a flaw looks at stamps.
    fn erasing<'a>(&'a self, record: &'a Record, flaw: Option<Flaw>) -> impl Iterator<Item = &'a Record> {
        self.records.values().filter(move |erasure| {
            erasure.kind == ERASURE && (flaw != Some(Flaw::ErasureByStamp) || record.stamp < erasure.stamp)
        })
    }

    /// Takes away what was erased.
    fn purge(&mut self, flaw: Option<Flaw>) {
        let purge = if flaw == Some(Flaw::ErasureByStamp) {
            let gone = |record: &&Record| left_of(&erasures_in(self.erasing(record, flaw)), record).is_none();
            Purge { gone: self.records.values().filter(gone).map(Record::key).collect(), changed: Vec::new() }
        } else {
            purge(self.records.values(), &erasures_in(self.records.values()))
        };
        for key in &purge.gone {
            self.records.remove(key);
            self.outbox.remove(key);
        }
        for record in purge.changed {
            if let Some(waiting) = self.outbox.get_mut(&record.key()) {
                *waiting = Waiting::of(&record);
            }
            self.records.insert(record.key(), record);
        }
    }

    /// Takes on the server's school. Returns the records under their new envelope.
    pub fn adopt(&mut self, school: SchoolId) -> Vec<Record> {
        let waiting: BTreeSet<RecordKey> = self.outbox.keys().cloned().collect();
        let records: Vec<Record> = self.records.values().cloned().collect();
        let adoption = adopt(&mut self.device, school, records.iter(), &waiting)
            .unwrap_or_else(|_| unreachable!("every phone of a history belongs to one school"));
        let Some(adoption) = adoption else { return Vec::new() };
        for key in &adoption.removed {
            self.records.remove(key);
            self.outbox.remove(key);
        }
        for record in &adoption.records {
            self.records.insert(record.key(), record.clone());
        }
        self.outbox.extend(adoption.waiting);
        adoption.records
    }

    /// Takes note of where the server stands, and puts everything into the outbox again if it has lost something.
    pub fn stand(&mut self, standing: Standing) {
        if self.device.stand(Some(standing.at), standing.known) == Told::Anew {
            let waiting: BTreeSet<RecordKey> = self.outbox.keys().cloned().collect();
            self.outbox.extend(send_again(self.records.values(), &waiting, None));
        }
    }

    pub fn push(&self) -> Push {
        next_push(&self.outbox, &self.records)
    }

    /// Notes what the server proved and refused; returns what it proved.
    pub fn settle(&mut self, answer: &PushAnswer) -> Vec<RecordKey> {
        if !self.device.goes_on(answer.at) {
            return Vec::new();
        }
        for acked in &answer.acked {
            self.device.hold(acked.stamp, answer.now_ms);
        }
        let settled = settle(&self.outbox, answer);
        for key in &settled.proven {
            self.outbox.remove(key);
        }
        for (key, reason) in settled.refused {
            if let Some(entry) = self.outbox.get_mut(&key) {
                entry.refuse(reason, answer.now_ms, self.device.held);
            }
        }
        settled.proven
    }

    /// Takes in what the server sent, and returns what of it changed something here.
    pub fn absorb(&mut self, answer: &PullAnswer, now_ms: u64, flaw: Option<Flaw>) -> Taken {
        let mut taken = Taken::default();
        if !self.device.goes_on(answer.at) {
            return taken;
        }
        for record in &answer.records {
            let key = record.key();
            if flaw != Some(Flaw::StampsMeasuredAgain) || !is_ahead(record.stamp, now_ms) {
                self.device.follow(record.stamp);
            }
            let Some(record) = self.arriving(record, flaw) else { continue };
            let absorbed = absorb(&self.device, self.records.get(&key), self.outbox.get(&key), &record);
            if let Some(word) = self.records.get(&key).filter(|_| absorbed.say_again) {
                let again = self.device.say_again(word);
                self.outbox.insert(key.clone(), Waiting::of(&again));
                self.records.insert(key.clone(), again);
            }
            if absorbed.replace {
                if record.kind != ERASURE && self.records.get(&key).is_some_and(|it| it.stamp > record.stamp)
                {
                    taken.gave_way.push((key.clone(), record.stamp));
                }
                taken.replaced.push(record.clone());
                self.records.insert(key.clone(), record);
            }
            if absorbed.drop_waiting {
                self.outbox.remove(&key);
            }
        }
        self.device.cursor = self.device.cursor.max(answer.cursor);
        if answer.records.iter().any(|record| record.kind == ERASURE) {
            self.purge(flaw);
        }
        taken
    }

    /// Lets refused writes be sent once more; those that lay too far ahead are stamped anew with the server's time,
    /// when the app has heard it, and returned. `name` is one that no phone has borne.
    pub fn retry_refused(&mut self, server_ms: Option<u64>, name: Uuid) -> Vec<Record> {
        let mut ahead = Vec::new();
        for (key, entry) in self.outbox.iter_mut().filter(|(_, entry)| entry.refused.is_some()) {
            if entry.refused.take() == Some(RefusalReason::ClockAhead) {
                ahead.extend(self.records.get(key).cloned());
            }
        }
        let anew =
            server_ms.map(|server_ms| self.device.stamp_anew(&ahead, server_ms, name)).unwrap_or_default();
        for record in &anew {
            self.records.insert(record.key(), record.clone());
            self.outbox.insert(record.key(), Waiting::of(record));
        }
        anew
    }
}
