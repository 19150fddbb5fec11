//! What app and server say to each other. Format page: `docs/formats/sync.md`.

use serde::{Deserialize, Serialize};

use crate::record::{Record, RecordKey};
use crate::stamp::{STAMP_AHEAD_MAX_MS, Stamp};

/// Most records in one push.
pub const PUSH_RECORDS_MAX: usize = 500;
/// Longest body of one record, in bytes of JSON.
pub const BODY_BYTES_MAX: usize = 64 * 1024;
/// Most records in one pull answer.
pub const PULL_RECORDS_MAX: usize = 500;

/// App to server: records to be stored.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Push {
    /// At most [`PUSH_RECORDS_MAX`].
    pub records: Vec<Record>,
}

/// Proof that a write is durable on the server, or superseded there by a later one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Acked {
    /// Which fact.
    pub key: RecordKey,
    /// Stamp of the write that was pushed.
    pub stamp: Stamp,
    /// Digest of the write that was pushed, as the server computed it.
    pub digest: String,
}

/// Why a record was not stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusalReason {
    /// The stamp lies more than 24 h ahead of the server: the device's clock is wrong.
    ClockAhead,
    /// The record belongs to another school.
    OtherSchool,
    /// The body is too long or does not have the shape of its kind.
    BadBody,
}

/// A record that was not stored, with the reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Refused {
    /// Which fact.
    pub key: RecordKey,
    /// Stamp of the write that was refused.
    pub stamp: Stamp,
    /// Why.
    pub reason: RefusalReason,
}

/// Server to app: what became of the pushed records. Every pushed record is in exactly one of the lists.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PushAnswer {
    /// Durable.
    pub acked: Vec<Acked>,
    /// Not stored.
    pub refused: Vec<Refused>,
}

/// Server to app: records after a cursor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PullAnswer {
    /// Records in the order in which the server committed them.
    pub records: Vec<Record>,
    /// Pass this as `after` next time.
    pub cursor: u64,
    /// Whether there is more right now.
    pub more: bool,
}

/// Checks one pushed record before it is stored.
///
/// # Errors
/// The reason for which it must not be stored.
pub fn check(record: &Record, school: crate::SchoolId, now_ms: u64) -> Result<(), RefusalReason> {
    if record.school != school {
        return Err(RefusalReason::OtherSchool);
    }
    if record.stamp.wall_ms > now_ms.saturating_add(STAMP_AHEAD_MAX_MS) {
        return Err(RefusalReason::ClockAhead);
    }
    let length = serde_json::to_vec(&record.body).map_or(usize::MAX, |bytes| bytes.len());
    if length > BODY_BYTES_MAX || !record.body.is_object() || record.kind.is_empty() || record.kind.len() > 40
    {
        return Err(RefusalReason::BadBody);
    }
    match lanewright_model::record::Body::from_value(&record.kind, &record.body) {
        Ok(_) => Ok(()),
        Err(_) if record.version > lanewright_model::record::BODY_VERSION => Ok(()),
        Err(_) => Err(RefusalReason::BadBody),
    }
}
