//! What erasures do to stored records: the part that both stores share.

use std::collections::BTreeSet;

use lanewright_model::erasure::{ERASURE, Erased, Erasures, Fate};
use lanewright_sync::erase::RUNNER_LABEL;
use lanewright_sync::{Record, RecordKey, SchoolId, Stamp, class_of, erasure};
use uuid::Uuid;

/// What has to be done to stored rows.
#[derive(Debug, Default)]
pub(crate) struct Sweep {
    /// Rows to be deleted.
    pub gone: Vec<RecordKey>,
    /// Rows to be rewritten: key and new body. Stamp and number stay, so no device is sent them again; each does the
    /// same to its own copy.
    pub changed: Vec<(RecordKey, serde_json::Value)>,
    /// Children whose class was erased before the school knew them.
    pub orphans: BTreeSet<(Uuid, Uuid)>,
}

impl Sweep {
    /// Looks at one row.
    pub fn look(&mut self, erasures: &Erasures, kind: &str, id: Uuid, body: &serde_json::Value) {
        let key = || RecordKey { kind: kind.to_owned(), id };
        match erasures.fate(kind, &id.to_string(), body) {
            Fate::Stays => {}
            Fate::Changed(body) => self.changed.push((key(), body)),
            Fate::Goes => {
                self.gone.push(key());
                if kind == RUNNER_LABEL && !erasures.holds(&id.to_string()) {
                    let class = body["class"].as_str().and_then(|class| class.parse().ok());
                    self.orphans.extend(class.map(|class| (id, class)));
                }
            }
        }
    }
}

/// Returns whether a record goes, and, when it is the label of a child in an erased class, that class.
pub(crate) fn goes(erasures: &Erasures, record: &Record) -> (bool, Option<Uuid>) {
    if record.kind == ERASURE
        || erasures.fate(&record.kind, &record.id.to_string(), &record.body) != Fate::Goes
    {
        return (false, None);
    }
    let known = erasures.holds(&record.id.to_string());
    (true, class_of(record).filter(|_| !known))
}

/// Returns the erasure of a child that follows from the erasure of its class: with the class's stamp, so that whoever
/// derives it derives the same.
pub(crate) fn follows(child: Uuid, class_stamp: Stamp, school: SchoolId) -> Record {
    erasure(child, Erased::Runner, class_stamp, school)
}
