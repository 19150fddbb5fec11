//! What happened, and whether it was right.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_model::erasure::ERASURE;
use lanewright_sync::{Record, RecordKey, Stamp};
use uuid::Uuid;

/// A way in which a history breaks the contract.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// The server proved to hold a write and does not.
    AckedLost(String),
    /// A phone showed a write as saved and does not hold it any more.
    ShownLost(String),
    /// A write stands under two names.
    Doubled(String),
    /// Something stands that nobody wrote.
    Unwritten(String),
    /// A phone's records differ from the server's after everything has healed.
    Apart(String),
    /// A phone still waits for proof after everything has healed.
    NeverProven(String),
    /// Something still names a child that was erased.
    Returned(String),
    /// An older word of a phone stands in the place of its later one.
    Overtaken(String),
}

/// One write of one phone.
#[derive(Debug, Clone)]
pub(crate) struct Write {
    pub phone: usize,
    pub text: String,
    pub key: RecordKey,
    pub stamp: Stamp,
    /// The app told its user that it is saved.
    pub shown: bool,
    /// The phone was set back to an older backup since; what only it had is gone with it.
    pub excused: bool,
    /// Somebody else's word has taken its place on its phone since.
    pub answered: bool,
    /// The child that the fact is about, whatever is written of it.
    pub child: Option<Uuid>,
}

/// Everything that is to be judged.
#[derive(Debug, Default)]
pub(crate) struct History {
    pub writes: Vec<Write>,
    /// Proven to a phone: which fact, which stamp.
    pub acked: BTreeSet<(RecordKey, Stamp)>,
    /// Facts that got another name when their phone took on the server's school.
    pub renamed: BTreeMap<RecordKey, RecordKey>,
    /// Phones that were set back to an older backup.
    pub set_back: BTreeSet<usize>,
    /// Proven before the server's data was put back from a copy for the last time.
    pub before_put_back: BTreeSet<(RecordKey, Stamp)>,
}

/// How a history went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// Digest of all that happened and of where it ended.
    pub digest: String,
    /// Writes that were shown as saved.
    pub shown: usize,
    /// Writes that the server proved to hold.
    pub acked: usize,
    /// Writes of which nobody knows.
    pub unknown: usize,
    /// Children whose erasure the server has.
    pub erased: usize,
    /// Writes that the server refuses for their stamps, and that stay on their phones.
    pub refused: usize,
    /// What was wrong; empty when nothing was.
    pub faults: Vec<Fault>,
}

/// What a fact says: the text of the write that stands.
pub(crate) fn text_of(record: &Record) -> String {
    record.body["name"].as_str().unwrap_or_default().to_owned()
}

/// What a phone holds at the end, which facts of it are refused, and how many wait beside them.
pub(crate) type Held<'a> = (&'a BTreeMap<RecordKey, Record>, BTreeSet<RecordKey>, usize);

pub(crate) fn judge(history: &History, server: &BTreeMap<RecordKey, Record>, phones: &[Held]) -> Vec<Fault> {
    let mut faults = BTreeSet::new();
    let named = |key: &RecordKey| history.renamed.get(key).unwrap_or(key).clone();
    let erased: BTreeSet<Uuid> = server.keys().filter(|key| key.kind == ERASURE).map(|key| key.id).collect();
    let about_erased: BTreeSet<&RecordKey> = history
        .writes
        .iter()
        .filter(|write| write.child.is_some_and(|child| erased.contains(&child)))
        .map(|write| &write.key)
        .collect();
    for (key, stamp) in history.acked.iter().filter(|(key, _)| !about_erased.contains(key)) {
        if key.kind == ERASURE && server.contains_key(key) {
            // The server may have corrected its stamp; that it is there is what counts.
            continue;
        }
        // What only the copy lacked comes back from the phones. Where its phone has said something later since, which
        // the server refuses, that word waits there and says so, and the earlier one is nowhere any more.
        let waits = |(records, refused, _): &Held| {
            refused.contains(&named(key)) && records.get(&named(key)).is_some_and(|it| it.stamp > *stamp)
        };
        if history.before_put_back.contains(&(key.clone(), *stamp)) && phones.iter().any(waits) {
            continue;
        }
        if server.get(&named(key)).is_none_or(|record| record.stamp < *stamp) {
            faults.insert(Fault::AckedLost(format!("{stamp}")));
        }
    }
    for write in history.writes.iter().filter(|write| write.shown && !write.excused) {
        let (records, _, _) = &phones[write.phone];
        let is_erasure = write.key.kind == ERASURE && records.contains_key(&write.key);
        if is_erasure || about_erased.contains(&write.key) {
            continue;
        }
        if records.get(&named(&write.key)).is_none_or(|record| record.stamp < write.stamp) {
            faults.insert(Fault::ShownLost(write.text.clone()));
        }
    }
    // A phone's own words stand in the order in which they were said, however its clock was set in between. One that
    // was set back to a backup has forgotten some of them.
    for record in server.values().filter(|record| record.kind != ERASURE) {
        let said = history.writes.iter().position(|write| write.text == text_of(record));
        let Some((at, phone)) = said.map(|at| (at, history.writes[at].phone)) else { continue };
        let later = history.writes[at + 1..].iter().find(|write| {
            write.phone == phone && write.shown && !write.answered && named(&write.key) == record.key()
        });
        // What is refused stays on its phone, as the later word there.
        let refused = phones[phone].1.contains(&record.key());
        if let Some(later) = later.filter(|_| !refused && !history.set_back.contains(&phone)) {
            faults.insert(Fault::Overtaken(format!("{} by {}", later.text, text_of(record))));
        }
    }
    let written: BTreeMap<&str, RecordKey> =
        history.writes.iter().map(|write| (write.text.as_str(), named(&write.key))).collect();
    for (place, records) in
        [("server", server)].into_iter().chain(phones.iter().map(|(records, _, _)| ("a phone", *records)))
    {
        for (key, record) in records {
            let text = text_of(record);
            match written.get(text.as_str()) {
                None => {
                    faults.insert(Fault::Unwritten(format!("{text} at {place}")));
                }
                Some(known) if known != key => {
                    faults.insert(Fault::Doubled(text));
                }
                Some(_) => {}
            }
        }
    }
    for (place, records) in
        [("server", server)].into_iter().chain(phones.iter().map(|(records, _, _)| ("a phone", *records)))
    {
        for record in records.values().filter(|record| record.kind != ERASURE) {
            let text = record.body.to_string();
            for child in erased.iter().filter(|child| text.contains(&child.to_string())) {
                faults.insert(Fault::Returned(format!("{child} at {place} in {}", text_of(record))));
            }
        }
    }
    for (number, (records, refused, waiting)) in phones.iter().enumerate() {
        for key in records.keys().chain(server.keys()).filter(|key| !refused.contains(key)) {
            // One erasure of a child is as good as another.
            let both_erase = key.kind == ERASURE && records.contains_key(key) && server.contains_key(key);
            if records.get(key) != server.get(key) && !both_erase {
                let say = |record: Option<&Record>| {
                    record.map_or("nothing".into(), |record| format!("{} {}", text_of(record), record.stamp))
                };
                let (here, there) = (say(records.get(key)), say(server.get(key)));
                faults.insert(Fault::Apart(format!("phone {number} has {here}, the server {there}")));
            }
        }
        if *waiting > 0 {
            faults.insert(Fault::NeverProven(format!("phone {number}, {waiting} writes")));
        }
    }
    faults.into_iter().collect()
}
