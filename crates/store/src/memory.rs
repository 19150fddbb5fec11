//! The twin in memory, for tests and simulation. Nothing in it outlives the process.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard};

use async_trait::async_trait;
use lanewright_model::erasure::{ERASURE, Erasures};
use lanewright_sync::message::PULL_BYTES_MAX;
use lanewright_sync::{
    Acked, Merge, PullAnswer, PushAnswer, Record, RecordKey, Refused, SchoolId, canonical_json, check,
    left_of, merge, received,
};
use uuid::Uuid;

use crate::erase::{Sweep, follows, goes};
use crate::{Link, Session, Store, StoreError, TokenHash};

/// Records in memory.
pub struct MemoryStore {
    home: SchoolId,
    state: Mutex<State>,
}

#[derive(Default)]
struct State {
    schools: BTreeMap<SchoolId, Shelf>,
    links: BTreeMap<TokenHash, Link>,
    sessions: BTreeMap<TokenHash, Session>,
}

/// Records of one school.
#[derive(Default)]
struct Shelf {
    seq: u64,
    records: BTreeMap<RecordKey, (u64, Record)>,
    by_seq: BTreeMap<u64, RecordKey>,
    erasures: Erasures,
}

impl Shelf {
    fn put(&mut self, record: &Record) {
        let key = record.key();
        if let Some((seq, _)) = self.records.get(&key) {
            self.by_seq.remove(seq);
        }
        self.seq += 1;
        self.by_seq.insert(self.seq, key.clone());
        self.records.insert(key, (self.seq, record.clone()));
    }

    /// Erases a child whose class was erased before the school knew it.
    fn erase_child(&mut self, child: Uuid, class: Uuid, school: SchoolId) -> bool {
        let cause = RecordKey { kind: ERASURE.to_owned(), id: class };
        let Some(stamp) = self.records.get(&cause).map(|(_, cause)| cause.stamp) else { return false };
        let record = follows(child, stamp, school);
        self.put(&record);
        self.erasures.add(&child.to_string(), &record.body)
    }

    fn sweep(&mut self, school: SchoolId) {
        loop {
            let mut sweep = Sweep::default();
            for (key, (_, record)) in &self.records {
                sweep.look(&self.erasures, &key.kind, key.id, &record.body);
            }
            for key in sweep.gone {
                if let Some((seq, _)) = self.records.remove(&key) {
                    self.by_seq.remove(&seq);
                }
            }
            for (key, body) in sweep.changed {
                if let Some((_, record)) = self.records.get_mut(&key) {
                    record.body = body;
                }
            }
            let mut more = false;
            for (child, class) in sweep.orphans {
                more |= self.erase_child(child, class, school);
            }
            if !more {
                return;
            }
        }
    }
}

impl MemoryStore {
    /// Returns an empty store for a school.
    pub fn new(home: SchoolId) -> Self {
        let state = State { schools: [(home, Shelf::default())].into(), ..State::default() };
        Self { home, state: Mutex::new(state) }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().expect("no one panics while holding the lock")
    }
}

#[async_trait]
impl Store for MemoryStore {
    fn home(&self) -> SchoolId {
        self.home
    }

    async fn add_school(&self, school: SchoolId) -> Result<(), StoreError> {
        self.state().schools.entry(school).or_default();
        Ok(())
    }

    async fn push(
        &self,
        school: SchoolId,
        records: &[Record],
        now_ms: u64,
    ) -> Result<PushAnswer, StoreError> {
        let mut state = self.state();
        let shelf = state.schools.get_mut(&school).ok_or(StoreError::UnknownSchool)?;
        let mut answer = PushAnswer { now_ms, ..PushAnswer::default() };
        let mut sweep_due = false;
        for record in records {
            let key = record.key();
            if let (true, class) = goes(&shelf.erasures, record)
                && record.school == school
            {
                if let Some(class) = class.filter(|_| !shelf.records.contains_key(&key)) {
                    sweep_due |= shelf.erase_child(record.id, class, school);
                }
                answer.acked.push(Acked::of(record));
                continue;
            }
            let taken = received(record, now_ms);
            if let Err(reason) = check(&taken, school, now_ms) {
                answer.refused.push(Refused { key, stamp: record.stamp, reason });
                continue;
            }
            let Some(left) = left_of(&shelf.erasures, &taken) else { continue };
            if merge(shelf.records.get(&key).map(|(_, record)| record), &left) == Merge::Replace {
                shelf.put(&left);
                if left.kind == ERASURE {
                    sweep_due |= shelf.erasures.add(&left.id.to_string(), &left.body);
                }
            }
            answer.acked.push(Acked::of(record));
        }
        if sweep_due {
            shelf.sweep(school);
        }
        Ok(answer)
    }

    async fn pull(&self, school: SchoolId, after: u64, limit: usize) -> Result<PullAnswer, StoreError> {
        let state = self.state();
        let shelf = state.schools.get(&school).ok_or(StoreError::UnknownSchool)?;
        let after = if after > shelf.seq { 0 } else { after };
        let mut answer = PullAnswer { records: Vec::new(), cursor: after, more: false };
        let mut bytes = 0;
        for (seq, key) in shelf.by_seq.range(after + 1..) {
            if answer.records.len() >= limit || bytes >= PULL_BYTES_MAX {
                answer.more = true;
                break;
            }
            let (_, record) = &shelf.records[key];
            bytes += canonical_json(&record.body).len();
            answer.cursor = *seq;
            answer.records.push(record.clone());
        }
        Ok(answer)
    }

    async fn get(&self, school: SchoolId, key: &RecordKey) -> Result<Option<Record>, StoreError> {
        let state = self.state();
        let shelf = state.schools.get(&school).ok_or(StoreError::UnknownSchool)?;
        Ok(shelf.records.get(key).map(|(_, record)| record.clone()))
    }

    async fn add_link(&self, link: Link) -> Result<(), StoreError> {
        let mut state = self.state();
        if !state.schools.contains_key(&link.school) {
            return Err(StoreError::UnknownSchool);
        }
        state.links.insert(link.token, link);
        Ok(())
    }

    async fn void_links(&self, school: SchoolId) -> Result<(), StoreError> {
        self.state().links.retain(|_, link| link.school != school);
        Ok(())
    }

    async fn open_link(
        &self,
        link: TokenHash,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError> {
        let mut state = self.state();
        state.links.retain(|_, link| link.expires_ms > now_ms);
        state.sessions.retain(|_, session| session.expires_ms > now_ms);
        let Some(Link { school, role, .. }) = state.links.remove(&link) else { return Ok(None) };
        let session = Session { token: session, school, role, opened_ms: now_ms, expires_ms };
        state.sessions.insert(session.token, session);
        Ok(Some(session))
    }

    async fn session(&self, token: TokenHash, now_ms: u64) -> Result<Option<Session>, StoreError> {
        Ok(self.state().sessions.get(&token).copied().filter(|session| session.expires_ms > now_ms))
    }

    async fn end_session(&self, token: TokenHash) -> Result<(), StoreError> {
        self.state().sessions.remove(&token);
        Ok(())
    }

    async fn close(&self) {}
}
