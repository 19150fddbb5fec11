//! The copy of the school's records on this device: stamping, merging, the outbox, and taking on a school.
//!
//! The rules only; `crate::browser::store` runs each of them inside one IndexedDB transaction. An outbox entry goes
//! only by proof: the server returned key, stamp and digest of exactly this write, or sent a later write of the same
//! fact.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_model::erasure::{ERASURE, Erasures};
use lanewright_sync::stamp::is_ahead;
use lanewright_sync::{
    Clock, DeviceId, Merge, Place, Push, PushAnswer, Record, RecordKey, RefusalReason, SchoolId, Stamp,
    left_of, merge,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::change::Change;

/// How many of its earlier names a device remembers (engineering assumption): it takes one each time its clock is set
/// back, and only answers that were lost since may bring back what it wrote under one.
const NAMES_MAX: usize = 64;

/// What this device knows of itself; saved beside the records.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Device {
    /// Name of this browser profile.
    pub device: DeviceId,
    /// The school that the records belong to.
    pub school: SchoolId,
    /// The school's name was made up here, because no server has answered yet.
    pub provisional: bool,
    /// Greatest stamp written or seen.
    pub last: Stamp,
    /// How far the server's records have been taken in.
    pub cursor: u64,
    /// Where the server said it stands; absent when it has not said so, as servers of earlier versions do not.
    #[serde(default)]
    pub at: Option<Place>,
    /// Greatest stamp that the server has proven to hold or sent. However wrong the clock was: what is stamped below it
    /// would be superseded there at once.
    #[serde(default)]
    pub held: Option<Stamp>,
    /// Names under which this device stamped until its clock was set back, oldest first; the name of today is that of
    /// [`Device::last`]. What one of them wrote is older than what a later one wrote, whatever the stamps say.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub names: Vec<DeviceId>,
}

/// What the server's answer to "do you still stand where you told me?" means for this device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// Everything that was told still holds.
    Same,
    /// The server's data was put back from a copy, or it is the first time that this device can ask: it reads again
    /// from the start and sends again what it has.
    Anew,
}

impl Device {
    /// Returns a device that has seen nothing yet, with names made by the caller.
    pub fn new(device: Uuid, provisional_school: Uuid) -> Self {
        let device = DeviceId(device);
        Self {
            device,
            school: SchoolId(provisional_school),
            provisional: true,
            last: Stamp { wall_ms: 0, counter: 0, device },
            cursor: 0,
            at: None,
            held: None,
            names: Vec::new(),
        }
    }

    /// Returns which of this device's names it is, the oldest first; `None`: somebody else's.
    fn place_of(&self, name: DeviceId) -> Option<usize> {
        if name == self.last.device {
            return Some(self.names.len());
        }
        self.names.iter().position(|it| *it == name)
    }

    /// Returns whether a record was written here and is older than another that was: a later name wrote the other.
    /// A device that was put back from a backup holds no name from after it, and takes such writes for somebody else's.
    fn wrote_before(&self, record: &Record, other: &Record) -> bool {
        match (self.place_of(record.stamp.device), self.place_of(other.stamp.device)) {
            (Some(record), Some(other)) => record < other,
            _ => false,
        }
    }

    /// Stamps changes in order and returns the records to be saved, all in one transaction.
    pub fn stamp(&mut self, changes: &[Change], now_ms: u64) -> Vec<Record> {
        let mut clock = Clock::resume(self.last);
        let records = changes
            .iter()
            .map(|change| Record {
                id: change.key.id,
                kind: change.key.kind.clone(),
                version: change.version,
                body: change.body.clone(),
                stamp: clock.next(now_ms),
                school: self.school,
            })
            .collect();
        self.last = clock.last();
        records
    }

    /// Stamps writes anew that the server refused because they lay too far ahead: this device's clock was wrong when
    /// they were made, and its later stamps would stay ahead too. `server_ms` is the server's time. They keep their
    /// order, and come after all that the server is known to hold.
    ///
    /// The server may hold more than it is known to: what it took while its answer was lost. So from here on this
    /// device stamps under `name`, which nobody has borne, and [`absorb`] knows what it wrote before.
    pub fn stamp_anew(&mut self, refused: &[Record], server_ms: u64, name: Uuid) -> Vec<Record> {
        let mut clock = Clock::resume(self.last);
        clock.set_back(server_ms);
        if let Some(held) = self.held {
            clock.follow(held);
        }
        if clock.last() < self.last {
            self.names.push(self.last.device);
            self.names.drain(..self.names.len().saturating_sub(NAMES_MAX));
            clock = Clock::resume(Stamp { device: DeviceId(name), ..clock.last() });
        }
        let mut anew: Vec<Record> = refused.to_vec();
        anew.sort_by_key(|record| record.stamp);
        for record in &mut anew {
            record.stamp = clock.next(server_ms);
        }
        self.last = clock.last();
        anew
    }

    /// Stamps what stands here once more, above everything seen, and returns it: an older word of this device's own
    /// stood above it.
    pub fn say_again(&mut self, word: &Record) -> Record {
        let mut clock = Clock::resume(self.last);
        let stamp = clock.next(0);
        self.last = clock.last();
        Record { stamp, ..word.clone() }
    }

    /// Takes note of where the server stands, before anything else is said to it. `known` is the server's word on
    /// [`Device::at`].
    pub fn stand(&mut self, at: Option<Place>, known: bool) -> Told {
        let Some(now) = at else {
            // An earlier server says nothing of it. What it acks is believed as before.
            self.at = None;
            return Told::Same;
        };
        let told = match self.at {
            Some(_) if known => Told::Same,
            None if self.cursor == 0 => Told::Same,
            _ => Told::Anew,
        };
        let seq = match (told, self.at) {
            (Told::Same, Some(before)) => before.seq.max(now.seq),
            _ => now.seq,
        };
        if told == Told::Anew {
            self.cursor = 0;
        }
        self.at = Some(Place { history: now.history, seq });
        told
    }

    /// Takes note of how far the server has come, by an answer to a push or a pull. Returns whether the answer counts:
    /// one from another opening of the server's data does not, until [`Device::stand`] has compared the two.
    #[must_use]
    pub fn goes_on(&mut self, at: Option<Place>) -> bool {
        match (&mut self.at, at) {
            (None, None) => true,
            (Some(before), Some(now)) if before.history == now.history => {
                before.seq = before.seq.max(now.seq);
                true
            }
            _ => false,
        }
    }

    /// Takes note of a stamp that the server sent.
    pub fn follow(&mut self, accepted: Stamp) {
        let mut clock = Clock::resume(self.last);
        clock.follow(accepted);
        self.last = clock.last();
        self.held = self.held.max(Some(accepted));
    }

    /// Takes note of a stamp that the server acked at `server_ms`, its own time: what is written from here on comes
    /// after it, also when the clock was set back while the ack was on its way. One further ahead than the server takes
    /// was acked for a fact that it does not hold under that stamp, as those of erased children are.
    pub fn hold(&mut self, acked: Stamp, server_ms: u64) {
        if !is_ahead(acked, server_ms) {
            self.follow(acked);
        }
    }
}

/// A write that the server has not yet proven to hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Waiting {
    /// Stamp of the write.
    pub stamp: Stamp,
    /// Digest of the write.
    pub digest: String,
    /// Why the server did not take it, when it said so.
    #[serde(default)]
    pub refused: Option<RefusalReason>,
    /// When the server first did not take it, by the server's clock, in milliseconds since 1970, or the greatest stamp
    /// that it was known to hold then, if that lay ahead: this was written before the one and after the other.
    #[serde(default)]
    pub refused_ms: Option<u64>,
}

impl Waiting {
    /// Returns the entry for a record that was just written here.
    pub fn of(record: &Record) -> Self {
        Self { stamp: record.stamp, digest: record.digest(), refused: None, refused_ms: None }
    }

    /// Notes that the server did not take it, at `server_ms` by its clock. `held` is [`Device::held`].
    ///
    /// A write of somebody else with a stamp up to `held` may have been seen and overruled by this one; only what lies
    /// beyond is later.
    pub fn refuse(&mut self, reason: RefusalReason, server_ms: u64, held: Option<Stamp>) {
        self.refused = Some(reason);
        self.refused_ms.get_or_insert(server_ms.max(held.map_or(0, |held| held.wall_ms)));
    }

    /// Returns whether somebody else wrote later than this, although the stamp says otherwise: the server refused the
    /// stamp as lying too far ahead, and had done so before the other one wrote.
    fn is_outrun_by(&self, incoming: &Record, device: &Device) -> bool {
        self.refused == Some(RefusalReason::ClockAhead)
            && device.place_of(incoming.stamp.device).is_none()
            && self.refused_ms.is_some_and(|refused_ms| refused_ms < incoming.stamp.wall_ms)
    }
}

/// What becomes of a record that the server sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Absorbed {
    /// It replaces what is stored.
    pub replace: bool,
    /// The write that waits for the same fact is superseded or proven: it no longer needs to be sent.
    pub drop_waiting: bool,
    /// What is stored is this device's later word, and stands below: [`Device::say_again`], and send it.
    pub say_again: bool,
}

/// Decides what to do with a record from the server.
///
/// One erasure of an id is as good as another: if the server has one, ours need not be sent.
pub fn absorb(
    device: &Device,
    stored: Option<&Record>,
    waiting: Option<&Waiting>,
    incoming: &Record,
) -> Absorbed {
    if incoming.kind == ERASURE {
        let replace = merge(stored, incoming) == Merge::Replace;
        return Absorbed { replace, drop_waiting: waiting.is_some(), say_again: false };
    }
    if stored.is_some_and(|stored| incoming.stamp > stored.stamp && device.wrote_before(incoming, stored)) {
        return Absorbed { replace: false, drop_waiting: false, say_again: true };
    }
    if waiting.is_some_and(|waiting| waiting.is_outrun_by(incoming, device)) {
        return Absorbed { replace: true, drop_waiting: true, say_again: false };
    }
    let replace = merge(stored, incoming) == Merge::Replace;
    let drop_waiting = waiting.is_some_and(|waiting| {
        incoming.stamp > waiting.stamp
            || (incoming.stamp == waiting.stamp && (replace || incoming.digest() == waiting.digest))
    });
    Absorbed { replace, drop_waiting, say_again: false }
}

/// What erasures take from this device.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Purge {
    /// Facts that go, from the records and from the outbox.
    pub gone: Vec<RecordKey>,
    /// Facts that stay without the erased in their lists; one that waits waits with its new digest.
    pub changed: Vec<Record>,
}

impl Purge {
    /// Returns whether nothing changes.
    pub fn is_empty(&self) -> bool {
        self.gone.is_empty() && self.changed.is_empty()
    }
}

/// Decides what erasures take from the records of this device.
pub fn purge<'a>(records: impl IntoIterator<Item = &'a Record>, erasures: &Erasures) -> Purge {
    let mut purge = Purge::default();
    for record in records {
        match left_of(erasures, record) {
            None => purge.gone.push(record.key()),
            Some(left) if left != *record => purge.changed.push(left),
            Some(_) => {}
        }
    }
    purge
}

/// What the server's answer means for the outbox.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Settled {
    /// Proven: these entries go.
    pub proven: Vec<RecordKey>,
    /// Refused: these entries stay, with the reason.
    pub refused: Vec<(RecordKey, RefusalReason)>,
}

/// Returns what is to be sent again to a server whose data was put back: everything that does not wait already.
///
/// `own`: only what was written on this device, under any of its names, for one that may not write the rest. Sending
/// what the server has changes nothing there.
pub fn send_again<'a>(
    records: impl Iterator<Item = &'a Record>,
    waiting: &BTreeSet<RecordKey>,
    own: Option<&Device>,
) -> Vec<(RecordKey, Waiting)> {
    records
        .filter(|record| own.is_none_or(|own| own.place_of(record.stamp.device).is_some()))
        .map(|record| (record.key(), Waiting::of(record)))
        .filter(|(key, _)| !waiting.contains(key))
        .collect()
}

/// Compares a push answer with the outbox as it stands now. Entries that changed since the push stay untouched.
pub fn settle(outbox: &BTreeMap<RecordKey, Waiting>, answer: &PushAnswer) -> Settled {
    let mut settled = Settled::default();
    for acked in &answer.acked {
        if outbox
            .get(&acked.key)
            .is_some_and(|waiting| waiting.stamp == acked.stamp && waiting.digest == acked.digest)
        {
            settled.proven.push(acked.key.clone());
        }
    }
    for refused in &answer.refused {
        if outbox.get(&refused.key).is_some_and(|waiting| waiting.stamp == refused.stamp) {
            settled.refused.push((refused.key.clone(), refused.reason));
        }
    }
    settled
}

/// Returns the next push, oldest write first and without refused ones: as much as one message may hold, by number and
/// by length.
pub fn next_push(outbox: &BTreeMap<RecordKey, Waiting>, records: &BTreeMap<RecordKey, Record>) -> Push {
    let mut waiting: Vec<(&RecordKey, &Waiting)> =
        outbox.iter().filter(|(_, waiting)| waiting.refused.is_none()).collect();
    waiting.sort_by_key(|(_, waiting)| waiting.stamp);
    Push::first_of(waiting.into_iter().filter_map(|(key, _)| records.get(key)))
}

/// The device already belongs to another school than the server's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OtherSchool;

/// What taking on the server's school changes on the device.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Adoption {
    /// Keys that no longer exist: the kit and the floor were named after the made-up school.
    pub removed: Vec<RecordKey>,
    /// Records in the new envelope.
    pub records: Vec<Record>,
    /// Outbox entries with their new digests.
    pub waiting: Vec<(RecordKey, Waiting)>,
}

/// Moves everything that was written before a server answered into the server's school.
///
/// Nothing of it was ever pushed, so the stamps stay; the envelope's school changes, and with it the digest. Kit
/// and floor are known by the school's id, so they get a new key. Returns `None` when nothing is to be done.
///
/// # Errors
/// [`OtherSchool`]: the device has worked with another school. Its records must not be mixed into this one.
pub fn adopt<'a>(
    device: &mut Device,
    server: SchoolId,
    records: impl Iterator<Item = &'a Record>,
    waiting: &BTreeSet<RecordKey>,
) -> Result<Option<Adoption>, OtherSchool> {
    if device.school == server {
        let was = std::mem::replace(&mut device.provisional, false);
        return Ok(was.then(Adoption::default));
    }
    if !device.provisional {
        return Err(OtherSchool);
    }
    let before = device.school;
    device.school = server;
    device.provisional = false;
    let mut adoption = Adoption::default();
    for record in records {
        let key = record.key();
        let mut record = Record { school: server, ..record.clone() };
        if record.id == before.0 {
            adoption.removed.push(key.clone());
            record.id = server.0;
        }
        if waiting.contains(&key) {
            adoption.waiting.push((record.key(), Waiting::of(&record)));
        }
        adoption.records.push(record);
    }
    Ok(Some(adoption))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_sync::message::{PUSH_BYTES_MAX, PUSH_RECORDS_MAX};
    use lanewright_sync::{Acked, Refused};
    use serde_json::json;

    fn device() -> Device {
        Device::new(Uuid::from_u128(1), Uuid::from_u128(100))
    }

    fn change(id: u128, label: &str) -> Change {
        Change {
            key: RecordKey { kind: "runner-label".into(), id: Uuid::from_u128(id) },
            body: json!({"class": "c", "label": label}),
            version: 1,
        }
    }

    fn outbox(records: &[Record]) -> BTreeMap<RecordKey, Waiting> {
        records.iter().map(|record| (record.key(), Waiting::of(record))).collect()
    }

    fn kept(records: &[Record]) -> BTreeMap<RecordKey, Record> {
        records.iter().map(|record| (record.key(), record.clone())).collect()
    }

    fn ack(record: &Record) -> Acked {
        Acked { key: record.key(), stamp: record.stamp, digest: record.digest() }
    }

    #[test]
    fn stamps_grow_over_changes_and_over_a_clock_set_back() {
        let mut device = device();
        let first = device.stamp(&[change(1, "Ada"), change(2, "Bo")], 5000);
        let second = device.stamp(&[change(1, "Adah")], 10);
        assert!(first[0].stamp < first[1].stamp && first[1].stamp < second[0].stamp);
    }

    #[test]
    fn what_was_seen_is_earlier_than_what_is_written_next() {
        let mut own = device();
        own.stamp(&[change(1, "Ada")], 1000);
        let before = own.last;
        own.follow(Stamp { wall_ms: 900, counter: 5, device: DeviceId(Uuid::from_u128(9)) });
        assert_eq!(own.last, before, "an older stamp moves nothing");
        let seen = Stamp { wall_ms: 2000, counter: 5, device: DeviceId(Uuid::from_u128(9)) };
        own.follow(seen);
        let written = own.stamp(&[change(1, "Adah")], 1000);
        assert!(written[0].stamp > seen);
        assert_eq!(written[0].stamp.device, own.device);
    }

    #[test]
    fn an_ack_of_an_older_write_does_not_clear_the_newer_one() {
        let mut device = device();
        let old = device.stamp(&[change(1, "Ada")], 1000);
        let new = device.stamp(&[change(1, "Adah")], 1001);
        let answer = PushAnswer { acked: vec![ack(&old[0])], ..PushAnswer::default() };
        assert_eq!(settle(&outbox(&new), &answer), Settled::default());
        let answer = PushAnswer { acked: vec![ack(&new[0])], ..PushAnswer::default() };
        assert_eq!(settle(&outbox(&new), &answer).proven, vec![new[0].key()]);
    }

    #[test]
    fn an_ack_with_another_digest_proves_nothing() {
        let mut device = device();
        let records = device.stamp(&[change(1, "Ada")], 1000);
        let mut wrong = ack(&records[0]);
        wrong.digest.replace_range(0..1, if wrong.digest.starts_with('0') { "1" } else { "0" });
        let answer = PushAnswer { acked: vec![wrong], ..PushAnswer::default() };
        assert_eq!(settle(&outbox(&records), &answer), Settled::default());
    }

    #[test]
    fn refused_writes_stay_and_are_not_pushed_again_by_themselves() {
        let mut device = device();
        let records = device.stamp(&[change(1, "Ada"), change(2, "Bo")], 1000);
        let mut outbox = outbox(&records);
        let answer = PushAnswer {
            acked: vec![],
            refused: vec![Refused {
                key: records[0].key(),
                stamp: records[0].stamp,
                reason: RefusalReason::ClockAhead,
            }],
            ..PushAnswer::default()
        };
        let settled = settle(&outbox, &answer);
        assert_eq!(settled.refused, vec![(records[0].key(), RefusalReason::ClockAhead)]);
        outbox.get_mut(&records[0].key()).unwrap().refused = Some(RefusalReason::ClockAhead);
        assert_eq!(next_push(&outbox, &kept(&records)).records, vec![records[1].clone()]);
    }

    #[test]
    fn pushes_go_oldest_first_and_never_exceed_one_message() {
        let mut device = device();
        let changes: Vec<Change> =
            (0..PUSH_RECORDS_MAX as u128 + 20).rev().map(|id| change(id, "x")).collect();
        let records = device.stamp(&changes, 1000);
        let push = next_push(&outbox(&records), &kept(&records));
        assert_eq!(push.records.len(), PUSH_RECORDS_MAX);
        assert_eq!(push.records[0], records[0]);
    }

    #[test]
    fn long_records_go_in_several_messages_each_within_the_limit() {
        let mut device = device();
        let label = "x".repeat(60_000);
        let changes: Vec<Change> = (0..100).map(|id| change(id, &label)).collect();
        let records = device.stamp(&changes, 1000);
        let mut waiting = outbox(&records);
        let mut pushed = Vec::new();
        while !waiting.is_empty() {
            let push = next_push(&waiting, &kept(&records));
            assert!(
                !push.records.is_empty() && serde_json::to_string(&push).unwrap().len() <= PUSH_BYTES_MAX
            );
            for record in push.records {
                waiting.remove(&record.key());
                pushed.push(record);
            }
        }
        assert_eq!(pushed, records, "all of them, oldest first");
    }

    #[test]
    fn a_later_write_from_elsewhere_replaces_ours_and_ends_its_wait() {
        let mut own = device();
        let ours = own.stamp(&[change(1, "Ada")], 1000).remove(0);
        let mut other = Device::new(Uuid::from_u128(2), Uuid::from_u128(100));
        let earlier = other.stamp(&[change(1, "Ana")], 900).remove(0);
        let later = other.stamp(&[change(1, "Anna")], 1100).remove(0);
        let waiting = Waiting::of(&ours);
        assert_eq!(
            absorb(&own, Some(&ours), Some(&waiting), &earlier),
            Absorbed { replace: false, drop_waiting: false, say_again: false }
        );
        assert_eq!(
            absorb(&own, Some(&ours), Some(&waiting), &later),
            Absorbed { replace: true, drop_waiting: true, say_again: false }
        );
        assert_eq!(
            absorb(&own, Some(&ours), Some(&waiting), &ours),
            Absorbed { replace: false, drop_waiting: true, say_again: false },
            "our own write coming back is proof that it arrived"
        );
    }

    #[test]
    fn an_erasure_takes_the_child_from_this_device_whatever_the_stamps() {
        let mut ahead = device();
        let line_up = Change {
            key: RecordKey { kind: "line-up".into(), id: Uuid::from_u128(7) },
            body: json!({"order": [Uuid::from_u128(1), Uuid::from_u128(2)]}),
            version: 1,
        };
        // A year ahead of everybody else.
        let records = ahead.stamp(&[change(1, "Ada"), change(2, "Bo"), line_up], 31_536_000_000);
        let stamp = Stamp { wall_ms: 5, counter: 0, device: DeviceId(Uuid::from_u128(9)) };
        let what = lanewright_model::erasure::Erased::Runner;
        let erasure = lanewright_sync::erasure(Uuid::from_u128(1), what, stamp, ahead.school);
        let erasures = lanewright_sync::erasures_in([&erasure]);
        let purge = purge(records.iter().chain([&erasure]), &erasures);
        assert_eq!(purge.gone, [records[0].key()]);
        assert_eq!(purge.changed.len(), 1);
        assert_eq!(purge.changed[0].body, json!({"order": [Uuid::from_u128(2)]}));
        assert_eq!(purge.changed[0].stamp, records[2].stamp);
    }

    #[test]
    fn work_before_the_first_contact_moves_into_the_school_of_the_server() {
        let mut device = device();
        let provisional = device.school;
        let kit = Change {
            key: RecordKey { kind: "kit".into(), id: provisional.0 },
            body: json!({"kit": {}}),
            version: 1,
        };
        let records = device.stamp(&[change(1, "Ada"), kit], 1000);
        let waiting = records.iter().map(Record::key).collect();
        let server = SchoolId(Uuid::from_u128(500));
        let adoption = adopt(&mut device, server, records.iter(), &waiting).unwrap().unwrap();
        assert!(!device.provisional);
        assert_eq!(device.school, server);
        assert_eq!(adoption.removed, vec![RecordKey { kind: "kit".into(), id: provisional.0 }]);
        assert!(adoption.records.iter().all(|record| record.school == server));
        assert_eq!(adoption.records[1].id, server.0);
        assert_eq!(adoption.waiting.len(), 2);
        for (record, (key, waiting)) in adoption.records.iter().zip(&adoption.waiting) {
            assert_eq!((&record.key(), &record.digest()), (key, &waiting.digest));
        }
        assert_eq!(adopt(&mut device, server, [].into_iter(), &BTreeSet::new()), Ok(None));
        let other = SchoolId(Uuid::from_u128(501));
        assert_eq!(adopt(&mut device, other, [].into_iter(), &BTreeSet::new()), Err(OtherSchool));
    }

    fn place(history: u128, seq: u64) -> Place {
        Place { history: Uuid::from_u128(history), seq }
    }

    #[test]
    fn a_device_reads_and_sends_anew_when_the_server_lost_what_it_had_told() {
        let mut device = device();
        assert_eq!(device.stand(Some(place(1, 9)), true), Told::Same, "the first contact");
        device.cursor = 9;
        assert!(device.goes_on(Some(place(1, 12))));
        assert_eq!(device.at, Some(place(1, 12)));
        // Restarted: another name, and everything is there.
        assert_eq!(device.stand(Some(place(2, 12)), true), Told::Same);
        assert_eq!((device.at, device.cursor), (Some(place(2, 12)), 9));
        // An answer of the opening before, or of the one after, proves nothing yet.
        assert!(!device.goes_on(Some(place(1, 13))) && !device.goes_on(Some(place(3, 13))));
        assert!(!device.goes_on(None));
        assert_eq!(device.at, Some(place(2, 12)));
        // Put back.
        assert_eq!(device.stand(Some(place(3, 4)), false), Told::Anew);
        assert_eq!((device.at, device.cursor), (Some(place(3, 4)), 0));
    }

    #[test]
    fn a_server_of_an_earlier_version_is_believed_as_before_and_the_next_newer_one_is_read_anew() {
        let mut device = device();
        assert_eq!(device.stand(None, true), Told::Same);
        device.cursor = 7;
        assert!(device.goes_on(None));
        assert_eq!(device.stand(Some(place(1, 7)), true), Told::Anew, "nobody knows what came before");
        device.cursor = 7;
        assert_eq!(device.stand(None, true), Told::Same);
        assert_eq!((device.at, device.cursor), (None, 7));
        // What an earlier app saved has no such field.
        let saved = serde_json::to_value(&device).unwrap();
        let mut earlier = saved.clone();
        earlier.as_object_mut().unwrap().remove("at");
        assert_eq!(serde_json::from_value::<Device>(earlier).unwrap(), device);
    }

    #[test]
    fn what_is_sent_again_is_everything_that_does_not_wait_or_only_what_was_written_here() {
        let (mut own, mut other) = (device(), Device::new(Uuid::from_u128(2), Uuid::from_u128(100)));
        let mut records = own.stamp(&[change(1, "Ada"), change(2, "Bo")], 1000);
        records.extend(other.stamp(&[change(3, "Cy")], 1000));
        let waiting = [records[0].key()].into();
        let keys =
            |again: Vec<(RecordKey, Waiting)>| again.into_iter().map(|(key, _)| key).collect::<Vec<_>>();
        let all = send_again(records.iter(), &waiting, None);
        assert_eq!(all[0].1, Waiting::of(&records[1]));
        assert_eq!(keys(all), [records[1].key(), records[2].key()]);
        assert_eq!(keys(send_again(records.iter(), &waiting, Some(&own))), [records[1].key()]);
    }

    #[test]
    fn writes_of_a_clock_that_ran_ahead_are_stamped_anew_in_their_order_and_later_ones_follow() {
        let day_ms = 24 * 60 * 60 * 1000;
        let (server_ms, wrong_ms) = (1_772_446_445_000, 1_772_446_445_000 + 3 * day_ms);
        let mut device = device();
        let ahead = device.stamp(&[change(1, "a"), change(2, "b")], wrong_ms);
        // The clock is right again, and its stamps are not: they must be later than what was written before.
        let after = device.stamp(&[change(3, "c")], server_ms + 5);
        assert!(lanewright_sync::stamp::is_ahead(after[0].stamp, server_ms));
        let refused = [after[0].clone(), ahead[1].clone(), ahead[0].clone()];
        let anew = device.stamp_anew(&refused, server_ms, Uuid::from_u128(11));
        let labels: Vec<&str> = anew.iter().filter_map(|record| record.body["label"].as_str()).collect();
        assert_eq!(labels, ["a", "b", "c"]);
        assert!(anew.is_sorted_by_key(|record| record.stamp));
        assert!(anew.iter().all(|record| !lanewright_sync::stamp::is_ahead(record.stamp, server_ms)));
        let next = device.stamp(&[change(4, "d")], server_ms + 10);
        assert!(next[0].stamp > anew[2].stamp);
        assert!(!lanewright_sync::stamp::is_ahead(next[0].stamp, server_ms));
        // A device that did not run ahead only moves on.
        let before = device.last;
        let anew = device.stamp_anew(&next, server_ms, Uuid::from_u128(12));
        assert!(anew[0].stamp > before);
    }

    const DAY_MS: u64 = 24 * 60 * 60 * 1000;

    /// A clock a day and half a minute ahead: what was written offline at nine is taken at ten, its correction a little
    /// later is not.
    #[test]
    fn a_refused_correction_is_stamped_above_what_the_server_holds_of_a_clock_that_ran_ahead() {
        let nine_ms = 1_772_446_445_000;
        let (ten_ms, wrong_ms) = (nine_ms + 3_600_000, DAY_MS + 30_000);
        for heard in ["by the ack", "by the pull"] {
            let mut device = device();
            let held = device.stamp(&[change(1, "141")], nine_ms + wrong_ms).remove(0);
            assert!(!is_ahead(held.stamp, ten_ms));
            match heard {
                "by the ack" => device.hold(held.stamp, ten_ms),
                _ => device.follow(held.stamp),
            }
            let device: &mut Device = &mut serde_json::from_value(json!(device)).unwrap();
            let later_ms = ten_ms + 300_000;
            let refused = device.stamp(&[change(1, "151")], later_ms + wrong_ms);
            assert!(is_ahead(refused[0].stamp, later_ms));
            let anew = device.stamp_anew(&refused, later_ms, Uuid::from_u128(11)).remove(0);
            assert_eq!(merge(Some(&held), &anew), Merge::Replace, "the server takes it, {heard}");
            assert!(!is_ahead(anew.stamp, later_ms));
        }
    }

    /// The push was under way when the clock was set back; its ack came after.
    #[test]
    fn a_correction_comes_after_what_was_acked_while_the_clock_was_set_back() {
        let nine_ms = 1_772_446_445_000;
        let (ten_ms, wrong_ms) = (nine_ms + 3_600_000, DAY_MS + 30_000);
        let mut device = device();
        let first = device.stamp(&[change(1, "141")], nine_ms + wrong_ms).remove(0);
        let refused = device.stamp(&[change(2, "151")], ten_ms + wrong_ms);
        let anew = device.stamp_anew(&refused, ten_ms, Uuid::from_u128(11)).remove(0);
        assert!(first.stamp > anew.stamp);
        device.hold(first.stamp, ten_ms);
        let correction = device.stamp(&[change(1, "142")], ten_ms + 1000).remove(0);
        assert_eq!(merge(Some(&first), &correction), Merge::Replace);
        assert!(!is_ahead(correction.stamp, ten_ms + 1000));
    }

    /// The server took the first word, and both the answer and the pull were lost. What this device wrote since stands
    /// below it, however the correction came about.
    #[test]
    fn what_a_device_wrote_before_its_clock_was_set_back_does_not_come_back_over_its_correction() {
        let nine_ms = 1_772_446_445_000;
        let (ten_ms, wrong_ms) = (nine_ms + 3_600_000, DAY_MS + 30_000);
        for corrected in ["while the clock is wrong", "after it was put right"] {
            let mut device = device();
            let first = device.stamp(&[change(1, "141")], nine_ms + wrong_ms).remove(0);
            assert!(!is_ahead(first.stamp, ten_ms), "the server takes it at ten");
            let key = if corrected == "while the clock is wrong" { 1 } else { 2 };
            let refused = device.stamp(&[change(key, "151")], ten_ms + wrong_ms);
            assert!(is_ahead(refused[0].stamp, ten_ms));
            let anew = device.stamp_anew(&refused, ten_ms, Uuid::from_u128(11)).remove(0);
            let ours =
                if key == 1 { anew } else { device.stamp(&[change(1, "151")], ten_ms + 1000).remove(0) };
            assert!(first.stamp > ours.stamp, "{corrected}: its stamp is below");
            // What is saved in between tells it too.
            let device: &mut Device = &mut serde_json::from_value(json!(device)).unwrap();
            device.follow(first.stamp);
            let waiting = Waiting::of(&ours);
            for waiting in [Some(&waiting), None] {
                let absorbed = absorb(device, Some(&ours), waiting, &first);
                let stays = Absorbed { replace: false, drop_waiting: false, say_again: true };
                assert_eq!(absorbed, stays, "{corrected}");
            }
            let again = device.say_again(&ours);
            assert_eq!(merge(Some(&first), &again), Merge::Replace, "{corrected}: every device takes it");
            assert!(!is_ahead(again.stamp, ten_ms));
            assert_eq!(again.body, ours.body);
            assert!(!absorb(device, Some(&again), None, &first).say_again, "once is enough");
            // One that somebody else wrote is as late as it says.
            let mut other = Device::new(Uuid::from_u128(2), Uuid::from_u128(100));
            let theirs = other.stamp(&[change(1, "143")], first.stamp.wall_ms).remove(0);
            assert!(absorb(device, Some(&ours), Some(&waiting), &theirs).replace);
        }
    }

    #[test]
    fn a_refused_write_does_not_give_way_to_one_from_before_the_clock_was_set_back() {
        let mut own = device();
        let first = own.stamp(&[change(1, "141")], 5000 + DAY_MS).remove(0);
        let refused = own.stamp(&[change(2, "x")], 5000 + 2 * DAY_MS);
        own.stamp_anew(&refused, 5000, Uuid::from_u128(11));
        // The clock runs ahead once more.
        let ours = own.stamp(&[change(1, "151")], 5000 + 3 * DAY_MS).remove(0);
        let mut waiting = Waiting::of(&ours);
        waiting.refuse(RefusalReason::ClockAhead, 6000, None);
        let stays = Absorbed { replace: false, drop_waiting: false, say_again: false };
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &first), stays);
    }

    #[test]
    fn a_device_sends_again_what_it_wrote_under_its_earlier_names() {
        let mut own = device();
        let ahead = own.stamp(&[change(1, "a"), change(2, "b")], 5000 + 2 * DAY_MS);
        own.stamp_anew(&ahead[1..], 5000, Uuid::from_u128(11));
        assert_eq!((own.names.as_slice(), own.last.device.0.as_u128()), ([own.device].as_slice(), 11));
        assert_eq!(send_again(ahead[..1].iter(), &BTreeSet::new(), Some(&own)).len(), 1);
        // A device that never ran ahead has one name, and an earlier app's has no such field.
        let plain = serde_json::to_value(device()).unwrap();
        assert!(plain.get("names").is_none());
        assert_eq!(serde_json::from_value::<Device>(plain).unwrap(), device());
    }

    #[test]
    fn an_ack_of_a_stamp_that_no_server_takes_keeps_no_clock_ahead() {
        let mut device = device();
        let ahead = device.stamp(&[change(1, "Ada")], 1000 + 2 * DAY_MS);
        device.hold(ahead[0].stamp, 1000);
        assert_eq!(device.held, None);
        let anew = device.stamp_anew(&ahead, 1000, Uuid::from_u128(11));
        assert!(!is_ahead(anew[0].stamp, 1000));
        // What an earlier app saved has no such field.
        let mut earlier = json!(device);
        earlier.as_object_mut().unwrap().remove("held");
        assert_eq!(serde_json::from_value::<Device>(earlier).unwrap(), device);
    }

    /// Another clock runs a quarter of an hour ahead, which is allowed: its stamp lies after our refusal, and we had
    /// seen and overruled it. It comes again from a server that was put back.
    #[test]
    fn a_refused_write_does_not_give_way_to_what_it_had_overruled() {
        let (mut own, mut other) = (device(), Device::new(Uuid::from_u128(2), Uuid::from_u128(100)));
        let theirs = other.stamp(&[change(1, "Ana")], 5000 + 900_000).remove(0);
        own.follow(theirs.stamp);
        let ours = own.stamp(&[change(1, "Ada")], 6000 + 3 * DAY_MS).remove(0);
        let mut waiting = Waiting::of(&ours);
        waiting.refuse(RefusalReason::ClockAhead, 7000, own.held);
        let stays = Absorbed { replace: false, drop_waiting: false, say_again: false };
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &theirs), stays);
        // What comes after both is later.
        let later = other.stamp(&[change(1, "Anna")], 8000 + 900_000).remove(0);
        assert!(absorb(&own, Some(&ours), Some(&waiting), &later).replace);
    }

    #[test]
    fn a_refused_write_gives_way_to_what_somebody_else_wrote_after_it_was_refused() {
        let (mut own, mut other) = (device(), Device::new(Uuid::from_u128(2), Uuid::from_u128(100)));
        let before = own.stamp(&[change(1, "Ad")], 5000 + DAY_MS).remove(0);
        let ours = own.stamp(&[change(1, "Ada")], 5000 + 3 * DAY_MS).remove(0);
        let earlier = other.stamp(&[change(1, "Ana")], 4000).remove(0);
        let later = other.stamp(&[change(1, "Anna")], 9000).remove(0);
        let (stays, gives_way) = (
            Absorbed { replace: false, drop_waiting: false, say_again: false },
            Absorbed { replace: true, drop_waiting: true, say_again: false },
        );
        let mut waiting = Waiting::of(&ours);
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &later), stays, "nobody has refused it");
        waiting.refuse(RefusalReason::ClockAhead, 5000, None);
        waiting.refuse(RefusalReason::ClockAhead, 9500, None);
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &earlier), stays);
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &later), gives_way);
        // One's own earlier write is earlier, whatever the clock said.
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &before), stays);
        // For another reason than the clock its stamp is as good as any.
        waiting.refused = Some(RefusalReason::Other);
        assert_eq!(absorb(&own, Some(&ours), Some(&waiting), &later), stays);
        // What an earlier app saved does not say when.
        let mut saved = serde_json::to_value(&waiting).unwrap();
        saved.as_object_mut().unwrap().remove("refused_ms");
        let saved: Waiting = serde_json::from_value(saved).unwrap();
        assert_eq!(absorb(&own, Some(&ours), Some(&saved), &later), stays);
    }
}
