//! The play itself: who does what when, and what the network makes of it.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_app::logic::change::Change;
use lanewright_app::logic::replica::Device;
use lanewright_dice::Dice;
use lanewright_model::erasure::ERASURE;
use lanewright_store::{Store, StoreError};
use lanewright_sync::{Acked, PullAnswer, Push, PushAnswer, Record, RecordKey, SchoolId, Stamp};
use serde_json::json;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::Flaw;
use crate::judge::{History, Verdict, Write, judge, text_of};
use crate::phone::Disk;

/// Where the server's store stands.
#[allow(async_fn_in_trait)]
pub trait Site {
    /// Returns the store as it is open now.
    fn store(&self) -> &dyn Store;
    /// Lets the server die without warning and start again on what is on its disk.
    async fn die(&mut self);
    /// Keeps a copy of the server's data as it is now, in the place of an earlier copy.
    async fn back_up(&mut self);
    /// Lets the server start again on the copy, as if nothing had come after it. Without a copy: as after dying.
    async fn put_back(&mut self);
}

/// How large a history is, and what is wrong in it.
#[derive(Debug, Clone, Copy)]
pub struct World {
    /// Phones, at least one.
    pub phones: usize,
    /// Events before everything heals.
    pub events: usize,
    /// The server's data is put back from older copies now and then; phones are not, in such a history. (A write that
    /// only one phone and the server had, and that both were set back before, is nowhere any more.)
    pub copies: bool,
    /// Clocks are set to about a day ahead again and again, where the server takes some stamps and refuses others, and
    /// put right again.
    pub clocks_ahead: bool,
    /// A flaw put in on purpose.
    pub flaw: Option<Flaw>,
}

/// The server's clock when a history begins, in milliseconds since 1970.
const BEGIN_MS: u64 = 1_772_446_445_000;
const HOUR_MS: i64 = 3_600_000;
/// Records in one pull of a history: few, so that pulls come in several pages.
const PAGE: usize = 7;
/// Children of a history; one or two are erased in most.
const CHILDREN: usize = 5;
/// Rounds in which healed phones have to agree.
const ROUNDS_MAX: usize = 12;

struct Phone {
    disk: Disk,
    /// How far its clock is off.
    off_ms: i64,
    backup: Option<Disk>,
    /// The server's time in the last answer to a push that the app heard; the app does not save it.
    server_ms: Option<u64>,
    /// Answers that the network holds back: they arrive after something else.
    late: Vec<Late>,
}

enum Late {
    Push(PushAnswer),
    Pull(PullAnswer),
}

struct Play<'a, S> {
    site: &'a mut S,
    school: SchoolId,
    dice: Dice,
    now_ms: u64,
    phones: Vec<Phone>,
    /// Pushes that arrive later than they should, after their sender has given up.
    delayed: Vec<Push>,
    history: History,
    copies: bool,
    clocks_ahead: bool,
    flaw: Option<Flaw>,
    trace: Sha256,
    texts: usize,
    /// Openings of the server's data that answered pushes since it was put back for the last time, and before.
    openings: BTreeSet<Uuid>,
    openings_gone: BTreeSet<Uuid>,
    /// Children that facts are about.
    children: Vec<Uuid>,
    /// Names of the school, the real one and those that phones made up: facts by these names are about no child, as the
    /// name changes when a phone takes on the server's school.
    schools: BTreeSet<Uuid>,
}

/// Plays a history and judges it. `site` holds a new, empty store.
///
/// # Errors
/// The store failed.
pub async fn play(seed: u64, world: &World, site: &mut impl Site) -> Result<Verdict, StoreError> {
    let school = site.store().home();
    let mut dice = Dice(seed);
    let phones: Vec<Phone> = (0..world.phones)
        .map(|_| {
            // Most clocks are good; some are minutes off, a few a day or two.
            let off_ms = match dice.below(10) {
                0 => 40 * HOUR_MS,
                1 => -30 * HOUR_MS,
                2 | 3 => (dice.below(60) as i64 - 30) * HOUR_MS / 60,
                _ => dice.below(2000) as i64 - 1000,
            };
            let disk = Disk::new(Device::new(dice.uuid(), dice.uuid()));
            Phone { disk, off_ms, backup: None, server_ms: None, late: Vec::new() }
        })
        .collect();
    let schools = phones.iter().map(|phone| phone.disk.device.school.0).chain([school.0]).collect();
    let children = (0..CHILDREN).map(|_| dice.uuid()).collect();
    let mut play = Play {
        site,
        school,
        dice,
        now_ms: BEGIN_MS,
        phones,
        delayed: Vec::new(),
        history: History::default(),
        copies: world.copies,
        clocks_ahead: world.clocks_ahead,
        flaw: world.flaw,
        trace: Sha256::new(),
        texts: 0,
        openings: BTreeSet::new(),
        openings_gone: BTreeSet::new(),
        children,
        schools,
    };
    for _ in 0..world.events {
        play.event().await?;
    }
    play.heal().await
}

impl<S: Site> Play<'_, S> {
    fn note(&mut self, what: &str) {
        self.trace.update(what.as_bytes());
        self.trace.update([0]);
    }

    fn clock(&self, phone: usize) -> u64 {
        self.now_ms.saturating_add_signed(self.phones[phone].off_ms)
    }

    async fn event(&mut self) -> Result<(), StoreError> {
        self.now_ms += self.dice.below(5000) as u64;
        let phone = self.dice.below(self.phones.len());
        match self.dice.below(100) {
            0..6 if self.clocks_ahead => {
                self.phones[phone].off_ms = match self.dice.below(3) {
                    0 => 0,
                    _ => 24 * HOUR_MS + (self.dice.below(120) as i64 - 60) * HOUR_MS / 60,
                };
                self.note("clock ahead or right");
            }
            6..12 if self.clocks_ahead => self.retry_refused(phone),
            12..16 if self.clocks_ahead => self.now_ms += HOUR_MS as u64 / 2,
            0..43 => self.write(phone),
            43..45 => self.erase(phone),
            45..80 => self.exchange(phone, true).await?,
            80..85 => self.arrive_late(phone),
            85..90 => {
                // A push that its sender has given up arrives after all.
                if !self.delayed.is_empty() {
                    let at = self.dice.below(self.delayed.len());
                    let push = self.delayed.swap_remove(at);
                    self.serve_push(&push).await?;
                }
            }
            90..92 if self.copies => {
                self.site.back_up().await;
                self.note("backed up");
            }
            92 if self.copies => {
                self.put_back().await;
                self.note("put back");
            }
            90..92 => {
                let disk = self.phones[phone].disk.clone();
                self.phones[phone].backup = Some(disk);
            }
            92 => self.set_back(phone),
            93..95 => {
                // Somebody sets the clock; the phone may run hours behind itself from then on.
                self.phones[phone].off_ms = (self.dice.below(120) as i64 - 60) * HOUR_MS / 10;
                self.note("clock");
            }
            95..97 => {
                self.site.die().await;
                self.note("server died");
            }
            97 => self.now_ms += HOUR_MS as u64,
            _ => self.retry_refused(phone),
        }
        Ok(())
    }

    /// Somebody erases a child.
    fn erase(&mut self, phone: usize) {
        self.texts += 1;
        let child = self.children[self.dice.below(self.children.len())];
        let text = format!("write {}", self.texts);
        let key = RecordKey { kind: ERASURE.into(), id: child };
        self.save(phone, Change { key, body: json!({ "what": "runner", "name": text }), version: 1 }, text);
    }

    /// Returns the child that a fact is about: a fact never changes whom it names, only what it says.
    fn child_of(&self, key: &RecordKey) -> Option<Uuid> {
        let number = (key.id.as_u128() % 1000) as usize;
        (number.is_multiple_of(3) && !self.schools.contains(&key.id))
            .then(|| self.children[number % self.children.len()])
    }

    /// Somebody writes: a new fact, or another word on a known one.
    fn write(&mut self, phone: usize) {
        self.texts += 1;
        let text = format!("write {}", self.texts);
        let known: Vec<RecordKey> =
            self.phones[phone].disk.records.keys().filter(|key| key.kind != ERASURE).cloned().collect();
        let key = if !known.is_empty() && self.dice.percent(35) {
            known[self.dice.below(known.len())].clone()
        } else if self.dice.percent(5) {
            // Like kit and floor: known by the school's own id.
            RecordKey { kind: "class".into(), id: self.phones[phone].disk.device.school.0 }
        } else {
            RecordKey { kind: "class".into(), id: self.dice.uuid() }
        };
        let mut body = json!({ "name": text });
        if let Some(child) = self.child_of(&key) {
            body["child"] = json!(child);
        } else if self.dice.percent(20) {
            let order: Vec<Uuid> =
                self.children.iter().copied().filter(|child| child.as_u128() % 7 < 5).collect();
            body["order"] = json!(order);
        }
        self.save(phone, Change { key, body, version: 1 }, text);
    }

    /// Writes a fact on a phone's disk, as the app does.
    fn save(&mut self, phone: usize, change: Change, text: String) {
        let now_ms = self.clock(phone);
        // The app may die while it saves: the whole transaction is there, or nothing of it.
        let (dies, saved) = (self.dice.percent(4), self.dice.percent(50));
        let before = self.phones[phone].disk.clone();
        let flaw = self.flaw;
        let record = self.phones[phone].disk.write(&[change], now_ms, flaw).remove(0);
        // What names an erased child is not written, and not shown.
        let written =
            self.phones[phone].disk.records.get(&record.key()).is_some_and(|it| it.stamp == record.stamp);
        self.note(&format!("{phone} {} {text} {dies} {saved}", record.stamp));
        if dies && !saved {
            self.phones[phone].disk = before;
        }
        if written && (!dies || saved) {
            // The clock may have been put right in between: the later word of a phone stands, whatever the stamps say.
            self.counts_from(phone, &record.key(), record.stamp);
        }
        let shown = written && (!dies || self.flaw == Some(Flaw::ShownBeforeSaved));
        let child = self.child_of(&record.key()).filter(|_| record.kind != ERASURE);
        self.history.writes.push(Write {
            phone,
            text,
            key: record.key(),
            stamp: record.stamp,
            shown,
            excused: false,
            answered: false,
            child,
        });
    }

    /// One round with the server, as the app does it: who am I, push until nothing waits, pull until nothing is left.
    /// Any message may be lost, held back or doubled.
    async fn exchange(&mut self, phone: usize, faulty: bool) -> Result<(), StoreError> {
        if faulty && self.dice.percent(20) {
            return Ok(());
        }
        self.adopt(phone);
        let told = self.phones[phone].disk.device.at;
        let mut standing = self.site.store().standing(self.school, told).await?;
        standing.known |= self.flaw == Some(Flaw::HistoryPassedOver);
        self.phones[phone].disk.stand(standing);
        loop {
            let mut push = self.phones[phone].disk.push();
            if push.records.is_empty() {
                break;
            }
            if self.flaw == Some(Flaw::NewNamesOnRetry) && self.dice.percent(10) {
                for record in &mut push.records {
                    record.id = self.dice.uuid();
                }
            }
            if self.flaw == Some(Flaw::OutboxClearedBySending) {
                self.phones[phone].disk.outbox.clear();
            }
            if faulty && self.dice.percent(12) {
                self.note("push lost");
                if self.dice.percent(60) {
                    self.delayed.push(push);
                }
                return Ok(());
            }
            let answer = self.serve_push(&push).await?;
            if faulty && self.dice.percent(6) {
                // The network delivers it twice.
                self.serve_push(&push).await?;
            }
            if self.copies && faulty && self.dice.percent(2) {
                // The server goes away and comes back, put back or not, in the middle of the exchange.
                match self.dice.percent(50) {
                    true => self.put_back().await,
                    false => self.site.die().await,
                }
                self.note("server changed");
            }
            if faulty && self.dice.percent(10) {
                // Stored, but the answer does not come, or comes after something else.
                if self.dice.percent(50) {
                    self.phones[phone].late.push(Late::Push(answer));
                }
                return Ok(());
            }
            let before = self.phones[phone].disk.outbox.clone();
            self.settle(phone, &answer);
            if self.phones[phone].disk.outbox == before {
                break;
            }
        }
        loop {
            let after = self.phones[phone].disk.device.cursor;
            let answer = self.site.store().pull(self.school, after, PAGE).await?;
            if faulty && self.dice.percent(8) {
                if self.dice.percent(50) {
                    self.phones[phone].late.push(Late::Pull(answer));
                }
                return Ok(());
            }
            self.absorb(phone, &answer);
            // An answer that moves nothing came from a server that has changed: going on would go round in circles.
            if !answer.more || self.phones[phone].disk.device.cursor == after {
                return Ok(());
            }
        }
    }

    async fn put_back(&mut self) {
        self.site.put_back().await;
        self.history.before_put_back.clone_from(&self.history.acked);
        self.openings_gone.append(&mut self.openings);
    }

    fn adopt(&mut self, phone: usize) {
        let was = self.phones[phone].disk.device.school;
        let school = self.school;
        let moved = self.phones[phone].disk.adopt(school);
        if was == school {
            return;
        }
        for record in moved.iter().filter(|record| record.id == school.0) {
            self.history.renamed.insert(RecordKey { kind: record.kind.clone(), id: was.0 }, record.key());
        }
        self.note("adopted");
    }

    fn settle(&mut self, phone: usize, answer: &PushAnswer) {
        self.phones[phone].server_ms = Some(answer.now_ms);
        let proven = self.phones[phone].disk.settle(answer);
        let gone = answer.at.is_some_and(|at| self.openings_gone.contains(&at.history));
        for acked in answer.acked.iter().filter(|acked| proven.contains(&acked.key)) {
            self.history.acked.insert((acked.key.clone(), acked.stamp));
            if gone {
                // The answer came after the data that it speaks of was put back.
                self.history.before_put_back.insert((acked.key.clone(), acked.stamp));
            }
        }
    }

    /// The server takes a push in.
    async fn serve_push(&mut self, push: &Push) -> Result<PushAnswer, StoreError> {
        let (school, now_ms) = (self.school, self.now_ms);
        let at = Some(self.site.store().standing(school, None).await?.at);
        self.openings.extend(at.map(|at| at.history));
        match self.flaw {
            Some(Flaw::AckBeforeStore) if self.dice.percent(5) => {
                let acked = push.records.iter().map(Acked::of).collect();
                Ok(PushAnswer { acked, refused: Vec::new(), now_ms, at })
            }
            Some(Flaw::LastToArriveStands) => {
                let mut restamped = Vec::new();
                for record in &push.records {
                    let stored = self.site.store().get(school, &record.key()).await?;
                    let mut record = record.clone();
                    if let Some(stored) = stored.filter(|stored| stored.stamp > record.stamp) {
                        record.stamp.wall_ms = stored.stamp.wall_ms + 1;
                    }
                    restamped.push(record);
                }
                self.site.store().push(school, &restamped, now_ms).await?;
                let acked = push.records.iter().map(Acked::of).collect();
                Ok(PushAnswer { acked, refused: Vec::new(), now_ms, at })
            }
            _ => self.site.store().push(school, &push.records, now_ms).await,
        }
    }

    fn absorb(&mut self, phone: usize, answer: &PullAnswer) {
        let (now_ms, flaw) = (self.clock(phone), self.flaw);
        let taken = self.phones[phone].disk.absorb(answer, now_ms, flaw);
        for (key, stamp) in taken.gave_way {
            self.counts_from(phone, &key, stamp);
        }
        for record in taken.replaced {
            let own = self.history.writes.iter().any(|it| it.phone == phone && it.text == text_of(&record));
            if !own {
                let History { writes, renamed, .. } = &mut self.history;
                let named = |it: &RecordKey| *renamed.get(it).unwrap_or(it) == record.key();
                for write in writes.iter_mut().filter(|it| it.phone == phone && named(&it.key)) {
                    write.answered = true;
                }
            }
        }
    }

    fn retry_refused(&mut self, phone: usize) {
        let server_ms = self.phones[phone].server_ms;
        let name = match self.flaw {
            Some(Flaw::OneNameForEver) => self.phones[phone].disk.device.device.0,
            _ => self.dice.uuid(),
        };
        for record in self.phones[phone].disk.retry_refused(server_ms, name) {
            self.counts_from(phone, &record.key(), record.stamp);
        }
    }

    /// What a phone wrote of a fact under stamps of a wrong clock, counts as written at `stamp` from now on.
    fn counts_from(&mut self, phone: usize, key: &RecordKey, stamp: Stamp) {
        let named = |it: &RecordKey| self.history.renamed.get(it).unwrap_or(it) == key;
        for write in self.history.writes.iter_mut().filter(|it| it.phone == phone && named(&it.key)) {
            write.stamp = write.stamp.min(stamp);
        }
    }

    fn arrive_late(&mut self, phone: usize) {
        if self.phones[phone].late.is_empty() {
            return;
        }
        let at = self.dice.below(self.phones[phone].late.len());
        match self.phones[phone].late.swap_remove(at) {
            Late::Push(answer) => self.settle(phone, &answer),
            Late::Pull(answer) => self.absorb(phone, &answer),
        }
        self.note("late answer");
    }

    /// The phone's profile is set back to an older backup: what only this phone had since then is gone.
    fn set_back(&mut self, phone: usize) {
        let Some(backup) = self.phones[phone].backup.take() else { return };
        self.phones[phone].disk = backup;
        self.phones[phone].late.clear();
        self.history.set_back.insert(phone);
        let held = &self.phones[phone].disk.records;
        for write in self.history.writes.iter_mut().filter(|write| write.phone == phone) {
            let acked = self.history.acked.contains(&(write.key.clone(), write.stamp));
            let still = held.get(&write.key).is_some_and(|record| record.stamp >= write.stamp);
            write.excused |= !acked && !still;
        }
        self.note("set back");
    }

    /// Ends all trouble, lets everyone exchange until nothing moves, and judges.
    async fn heal(mut self) -> Result<Verdict, StoreError> {
        for push in std::mem::take(&mut self.delayed) {
            self.serve_push(&push).await?;
        }
        self.site.die().await;
        for phone in 0..self.phones.len() {
            self.phones[phone].late.clear();
            if self.clocks_ahead {
                self.phones[phone].off_ms = 0;
            }
            self.retry_refused(phone);
        }
        for _ in 0..ROUNDS_MAX {
            let before: Vec<_> = self.phones.iter().map(|phone| phone.disk.clone()).collect();
            for phone in 0..self.phones.len() {
                self.exchange(phone, false).await?;
                if self.clocks_ahead {
                    // The clock is right: what is still refused is stamped anew by itself.
                    self.retry_refused(phone);
                }
            }
            if self.phones.iter().zip(&before).all(|(phone, before)| phone.disk == *before) {
                break;
            }
        }
        let server = self.everything().await?;
        let seen: Vec<_> = self
            .phones
            .iter()
            .map(|phone| {
                let outbox = &phone.disk.outbox;
                let refused: BTreeSet<RecordKey> = outbox
                    .iter()
                    .filter(|(_, waiting)| waiting.refused.is_some())
                    .map(|(key, _)| key.clone())
                    .collect();
                let waiting = outbox.len() - refused.len();
                (&phone.disk.records, refused, waiting)
            })
            .collect();
        let faults = judge(&self.history, &server, &seen);
        let refused = seen.iter().map(|(_, refused, _)| refused.len()).sum();
        for record in server.values().chain(seen.iter().flat_map(|(records, _, _)| records.values())) {
            self.trace.update(record.digest());
            self.trace.update(record.stamp.to_string());
        }
        let shown = self.history.writes.iter().filter(|write| write.shown).count();
        Ok(Verdict {
            digest: self.trace.finalize().iter().map(|byte| format!("{byte:02x}")).collect(),
            shown,
            acked: self.history.acked.len(),
            unknown: self.history.writes.len() - shown,
            erased: server.keys().filter(|key| key.kind == ERASURE).count(),
            refused,
            faults,
        })
    }

    async fn everything(&self) -> Result<BTreeMap<RecordKey, Record>, StoreError> {
        let (mut all, mut after) = (BTreeMap::new(), 0);
        loop {
            let answer = self.site.store().pull(self.school, after, 500).await?;
            all.extend(answer.records.into_iter().map(|record| (record.key(), record)));
            after = answer.cursor;
            if !answer.more {
                return Ok(all);
            }
        }
    }
}
