//! The twin in memory, for tests and simulation. Nothing in it outlives the process.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard};

use async_trait::async_trait;
use lanewright_model::erasure::{ERASURE, Erasures};
use lanewright_sync::message::PULL_BYTES_MAX;
use lanewright_sync::{
    Acked, Merge, Place, PullAnswer, PushAnswer, Record, RecordKey, Refused, SchoolId, Standing,
    canonical_json, check, left_of, merge, received,
};
use uuid::Uuid;

use crate::erase::{Sweep, follows, goes};
use crate::{Link, Password, Role, Session, Store, StoreError, TokenHash};

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
    passwords: BTreeMap<SchoolId, Password>,
}

impl State {
    /// Opens a session as a link gives it; its token, school, number and times are made here.
    fn open_session(&mut self, token: TokenHash, link: Link, now_ms: u64, expires_ms: u64) -> Session {
        let own = self.sessions.values().filter(|session| session.school == link.school);
        let number = own.map(|session| session.number).max().unwrap_or(0) + 1;
        let session = Session::opened(link, token, number, now_ms, expires_ms);
        self.sessions.insert(session.token, session.clone());
        session
    }
}

/// Records of one school.
#[derive(Clone, Default)]
struct Shelf {
    /// Openings in their order, each with the number of changes at its begin.
    openings: Vec<(Uuid, u64)>,
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
        let Some(link) = state.links.remove(&link) else { return Ok(None) };
        Ok(Some(state.open_session(session, link, now_ms, expires_ms)))
    }

    async fn password(&self, school: SchoolId) -> Result<Option<Password>, StoreError> {
        Ok(self.state().passwords.get(&school).cloned())
    }

    async fn set_password(
        &self,
        school: SchoolId,
        before: Option<&str>,
        after: Option<Password>,
    ) -> Result<bool, StoreError> {
        let mut state = self.state();
        if !state.schools.contains_key(&school) {
            return Err(StoreError::UnknownSchool);
        }
        if state.passwords.get(&school).map(|password| password.hash.as_str()) != before {
            return Ok(false);
        }
        match after {
            Some(password) => drop(state.passwords.insert(school, password)),
            None => drop(state.passwords.remove(&school)),
        }
        Ok(true)
    }

    async fn open_with_password(
        &self,
        school: SchoolId,
        hash: &str,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError> {
        let mut state = self.state();
        state.sessions.retain(|_, session| session.expires_ms > now_ms);
        if state.passwords.get(&school).is_none_or(|password| password.hash != hash) {
            return Ok(None);
        }
        let link = Link { token: session, school, role: Role::Coach, lanes: None, label: None, expires_ms };
        Ok(Some(state.open_session(session, link, now_ms, expires_ms)))
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
