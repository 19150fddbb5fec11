//! The twin in memory, for tests and simulation. Nothing in it outlives the process.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard};

use async_trait::async_trait;
use lanewright_sync::message::PULL_BYTES_MAX;
use lanewright_sync::{
    Acked, Merge, PullAnswer, PushAnswer, Record, RecordKey, Refused, SchoolId, canonical_json, check, merge,
};

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
        for record in records {
            let key = record.key();
            if let Err(reason) = check(record, school, now_ms) {
                answer.refused.push(Refused { key, stamp: record.stamp, reason });
                continue;
            }
            let stored = shelf.records.get(&key);
            if merge(stored.map(|(_, record)| record), record) == Merge::Replace {
                if let Some((seq, _)) = stored {
                    shelf.by_seq.remove(seq);
                }
                shelf.seq += 1;
                shelf.by_seq.insert(shelf.seq, key.clone());
                shelf.records.insert(key, (shelf.seq, record.clone()));
            }
            answer.acked.push(Acked::of(record));
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
