//! The twin in memory, for tests and simulation. Nothing in it outlives the process.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard};

use async_trait::async_trait;
use lanewright_sync::message::PULL_BYTES_MAX;
use lanewright_sync::{
    Acked, Merge, Place, PullAnswer, PushAnswer, Record, RecordKey, Refused, SchoolId, Standing,
    canonical_json, check, merge,
};
use uuid::Uuid;

use crate::{Link, Session, Store, StoreError, TokenHash, day_of};

/// Records in memory.
pub struct MemoryStore {
    home: SchoolId,
    state: Mutex<State>,
}

#[derive(Clone, Default)]
struct State {
    /// Name of the opening that is going on.
    opening: Uuid,
    schools: BTreeMap<SchoolId, Shelf>,
    links: BTreeMap<TokenHash, Link>,
    sessions: BTreeMap<TokenHash, Session>,
}

/// Records of one school.
#[derive(Clone, Default)]
struct Shelf {
    /// Openings in their order, each with the number of changes at its begin.
    openings: Vec<(Uuid, u64)>,
    seq: u64,
    records: BTreeMap<RecordKey, (u64, Record)>,
    by_seq: BTreeMap<u64, RecordKey>,
}

impl MemoryStore {
    /// Returns an empty store for a school.
    pub fn new(home: SchoolId) -> Self {
        let state = State { schools: [(home, Shelf::default())].into(), ..State::default() };
        let store = Self { home, state: Mutex::new(state) };
        store.open_again(Uuid::nil());
        store
    }

    /// Returns a copy of everything as it is now, as a file that is copied would hold it.
    pub fn copy(&self) -> Self {
        Self { home: self.home, state: Mutex::new(self.state().clone()) }
    }

    /// Begins an opening, as a file does whenever it is opened.
    pub fn open_again(&self, name: Uuid) {
        let mut state = self.state();
        state.opening = name;
        for shelf in state.schools.values_mut() {
            shelf.openings.push((name, shelf.seq));
        }
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
        let mut state = self.state();
        let opening = state.opening;
        let new = || Shelf { openings: vec![(opening, 0)], ..Shelf::default() };
        state.schools.entry(school).or_insert_with(new);
        Ok(())
    }

    async fn push(
        &self,
        school: SchoolId,
        records: &[Record],
        now_ms: u64,
    ) -> Result<PushAnswer, StoreError> {
        let mut state = self.state();
        let history = state.opening;
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
        answer.at = Some(Place { history, seq: shelf.seq });
        Ok(answer)
    }

    async fn pull(&self, school: SchoolId, after: u64, limit: usize) -> Result<PullAnswer, StoreError> {
        let state = self.state();
        let shelf = state.schools.get(&school).ok_or(StoreError::UnknownSchool)?;
        let after = if after > shelf.seq { 0 } else { after };
        let at = Some(Place { history: state.opening, seq: shelf.seq });
        let mut answer = PullAnswer { records: Vec::new(), cursor: after, more: false, at };
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

    async fn standing(&self, school: SchoolId, told: Option<Place>) -> Result<Standing, StoreError> {
        let state = self.state();
        let shelf = state.schools.get(&school).ok_or(StoreError::UnknownSchool)?;
        let known = told.is_none_or(|told| {
            let found = shelf.openings.iter().position(|(name, _)| *name == told.history);
            found
                .is_some_and(|at| told.seq <= shelf.openings.get(at + 1).map_or(shelf.seq, |(_, from)| *from))
        });
        Ok(Standing { at: Place { history: state.opening, seq: shelf.seq }, known })
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
        let Some(Link { school, role, lanes, label, .. }) = state.links.remove(&link) else {
            return Ok(None);
        };
        let own = state.sessions.values().filter(|session| session.school == school);
        let session = Session {
            token: session,
            school,
            role,
            lanes,
            label,
            number: own.map(|session| session.number).max().unwrap_or(0) + 1,
            opened_ms: now_ms,
            expires_ms,
            seen_day: day_of(now_ms),
        };
        state.sessions.insert(session.token, session.clone());
        Ok(Some(session))
    }

    async fn session(&self, token: TokenHash, now_ms: u64) -> Result<Option<Session>, StoreError> {
        Ok(self.state().sessions.get(&token).cloned().filter(|session| session.expires_ms > now_ms))
    }

    async fn links(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Link>, StoreError> {
        let state = self.state();
        let open = state.links.values().filter(|link| link.school == school && link.expires_ms > now_ms);
        Ok(open.cloned().collect())
    }

    async fn sessions(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Session>, StoreError> {
        let state = self.state();
        let open = state.sessions.values().filter(|one| one.school == school && one.expires_ms > now_ms);
        let mut open: Vec<Session> = open.cloned().collect();
        open.sort_by_key(|session| (session.opened_ms, session.number));
        Ok(open)
    }

    async fn note_seen(&self, token: TokenHash, day: u32) -> Result<(), StoreError> {
        if let Some(session) = self.state().sessions.get_mut(&token) {
            session.seen_day = day;
        }
        Ok(())
    }

    async fn end_session(&self, token: TokenHash) -> Result<(), StoreError> {
        self.state().sessions.remove(&token);
        Ok(())
    }

    async fn close(&self) {}
}
