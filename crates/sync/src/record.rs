//! The envelope of a record, and which of two writes stands.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::stamp::Stamp;

/// Names one school. Rows of different schools never meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SchoolId(pub Uuid);

/// A fact as it is saved and sent. The envelope is strict; the body keeps what it does not know.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Which thing the fact is about.
    pub id: Uuid,
    /// Which fact about it; see `lanewright_model::record`.
    pub kind: String,
    /// Version of the body's shape.
    pub version: u32,
    /// The fact.
    pub body: Value,
    /// When and where it was written.
    pub stamp: Stamp,
    /// Whose it is.
    pub school: SchoolId,
}

/// What makes two writes the same fact.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct RecordKey {
    /// Kind of the record.
    pub kind: String,
    /// Id of the record.
    pub id: Uuid,
}

impl Record {
    /// Returns the key of the record.
    pub fn key(&self) -> RecordKey {
        RecordKey { kind: self.kind.clone(), id: self.id }
    }

    /// Returns the SHA-256 of the whole record in hexadecimal: the proof that both sides hold the same bytes.
    ///
    /// Object keys are in sorted order (`serde_json` without `preserve_order`), so equal records have equal digests.
    pub fn digest(&self) -> String {
        let bytes = serde_json::to_vec(self).expect("records hold only JSON values");
        Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// Which of two writes of one fact stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Merge {
    /// The new one is later: it replaces what was there.
    Replace,
    /// The one that is there is later, or both are the same write.
    Keep,
}

/// Decides between the stored record of a key, if any, and another write of the same key: the greater stamp stands.
///
/// Two different bodies with one stamp cannot come from a sound device; then the greater digest stands, so that
/// all sides still agree.
pub fn merge(stored: Option<&Record>, incoming: &Record) -> Merge {
    match stored {
        None => Merge::Replace,
        Some(stored) => {
            debug_assert_eq!(stored.key(), incoming.key());
            let newer = incoming.stamp > stored.stamp
                || (incoming.stamp == stored.stamp && incoming.digest() > stored.digest());
            if newer { Merge::Replace } else { Merge::Keep }
        }
    }
}
