//! What app and server say to each other. Format page: `docs/formats/sync.md`.
//!
//! What the server receives is strict. What the app receives may grow: fields it does not know are passed over,
//! and so are reasons, since a cached app can be older than its server.

use lanewright_model::record::{BODY_VERSION, Body};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::record::{Record, RecordKey, SchoolId};
use crate::stamp::{STAMP_AHEAD_MAX_MS, Stamp, is_ahead};

/// Most records in one push (engineering assumption: a class of 32 with all its facts fits into one).
pub const PUSH_RECORDS_MAX: usize = 500;
/// Longest push, in bytes of JSON (engineering assumption).
pub const PUSH_BYTES_MAX: usize = 4 * 1024 * 1024;
/// Longest body of one record, in bytes of canonical JSON (engineering assumption: a line-up of 1,500 fits).
pub const BODY_BYTES_MAX: usize = 64 * 1024;
/// Longest name of a kind, in bytes.
pub const KIND_BYTES_MAX: usize = 40;
/// Most records in one pull answer.
pub const PULL_RECORDS_MAX: usize = 500;
/// Bodies of one pull answer, in bytes: it ends with the record that reaches this.
pub const PULL_BYTES_MAX: usize = 4 * 1024 * 1024;

/// App to server: records to be stored.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Push {
    /// At most [`PUSH_RECORDS_MAX`].
    pub records: Vec<Record>,
}

impl Push {
    /// Returns a push with as many records from the front of an outbox as one push may hold: all of them, or up
    /// to the limit of number or length, but at least one if there is one.
    pub fn first_of<'a>(outbox: impl IntoIterator<Item = &'a Record>) -> Self {
        let mut records = Vec::new();
        let mut length = r#"{"records":[]}"#.len();
        for record in outbox {
            length += serde_json::to_string(record).map_or(usize::MAX / 2, |text| text.len() + 1);
            if records.len() == PUSH_RECORDS_MAX || (length > PUSH_BYTES_MAX && !records.is_empty()) {
                break;
            }
            records.push(record.clone());
        }
        Self { records }
    }
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

impl Acked {
    /// Returns the proof for a write.
    pub fn of(record: &Record) -> Self {
        Self { key: record.key(), stamp: record.stamp, digest: record.digest() }
    }

    /// Returns whether this is the proof for exactly that write. Only then may it leave the outbox.
    pub fn proves(&self, record: &Record) -> bool {
        *self == Self::of(record)
    }
}

/// Why a record was not stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusalReason {
    /// The stamp lies more than 24 h ahead of the server: the device's clock is wrong.
    ClockAhead,
    /// The record belongs to another school.
    OtherSchool,
    /// The kind is no name of a kind, the version is 0, the body is too long or does not have the shape of its
    /// kind.
    BadBody,
    /// This device may not write that kind of fact.
    OtherRole,
    /// This device may record in other lanes only.
    OtherLane,
    /// A reason that this version does not know yet.
    #[serde(other)]
    Other,
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
    /// The server's clock in milliseconds since 1970, for a device whose stamps were refused as ahead.
    #[serde(default)]
    pub now_ms: u64,
    /// Where the store stood after this push.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Place>,
}

/// Server to app: records after a cursor.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PullAnswer {
    /// Records in the order in which the server committed them.
    pub records: Vec<Record>,
    /// Pass this as `after` next time.
    pub cursor: u64,
    /// Whether there is more right now.
    pub more: bool,
    /// Where the store stood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Place>,
}

/// Where a store stands: in which opening of its file, and after how many changes.
///
/// A file that is put back from a copy goes on under a new name, and its numbers are given out a second time. So a
/// number means something only together with the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    /// Name of the opening.
    pub history: Uuid,
    /// Number of the last change.
    pub seq: u64,
}

/// Where a store stands, and whether a place that a device names lies behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Standing {
    /// Where the store stands.
    pub at: Place,
    /// Everything up to the named place is still there; `true` when none was named.
    pub known: bool,
}

/// Checks one record as the server does before it stores it. The app can ask beforehand.
///
/// # Errors
/// The reason for which it must not be stored.
pub fn check(record: &Record, school: SchoolId, now_ms: u64) -> Result<(), RefusalReason> {
    if record.school != school {
        return Err(RefusalReason::OtherSchool);
    }
    if is_ahead(record.stamp, now_ms) {
        return Err(RefusalReason::ClockAhead);
    }
    let length = crate::record::canonical_json(&record.body).len();
    if !is_kind(&record.kind)
        || record.version == 0
        || !record.body.is_object()
        || length > BODY_BYTES_MAX
        || has_nul(&record.body)
    {
        return Err(RefusalReason::BadBody);
    }
    match Body::from_value(&record.kind, &record.body) {
        // A day that is still to come cannot be erased: what will be seen on it is not there yet.
        Ok(Some(Body::Erasure(body)))
            if body.before_ms.is_some_and(|before_ms| {
                u64::try_from(before_ms)
                    .is_ok_and(|before_ms| before_ms > now_ms.saturating_add(STAMP_AHEAD_MAX_MS))
            }) =>
        {
            Err(RefusalReason::BadBody)
        }
        Ok(_) => Ok(()),
        // A newer app may have given a known kind another shape; it is stored and passed on untouched.
        Err(_) if record.version > BODY_VERSION => Ok(()),
        Err(_) => Err(RefusalReason::BadBody),
    }
}

/// Returns whether a text can name a kind: lower-case words joined by hyphens.
fn is_kind(text: &str) -> bool {
    text.len() <= KIND_BYTES_MAX
        && text.split('-').all(|word| {
            !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
        })
}

/// Returns whether a NUL character stands anywhere in the texts: no label needs one, and PostgreSQL stores none.
fn has_nul(value: &serde_json::Value) -> bool {
    match value {
        serde_json::Value::String(text) => text.contains('\0'),
        serde_json::Value::Array(items) => items.iter().any(has_nul),
        serde_json::Value::Object(map) => map.iter().any(|(key, value)| key.contains('\0') || has_nul(value)),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stamp::DeviceId;
    use serde_json::{Value, json};
    use uuid::Uuid;

    const NOW_MS: u64 = 1_772_446_445_000;
    const SCHOOL: SchoolId = SchoolId(Uuid::from_u128(1));

    fn record(kind: &str, body: Value) -> Record {
        Record {
            id: Uuid::from_u128(7),
            kind: kind.into(),
            version: BODY_VERSION,
            body,
            stamp: Stamp { wall_ms: NOW_MS, counter: 0, device: DeviceId(Uuid::from_u128(9)) },
            school: SCHOOL,
        }
    }

    #[test]
    fn a_sound_record_is_accepted_and_so_is_a_kind_from_the_future() {
        assert_eq!(check(&record("class", json!({"name": "7 Larch"})), SCHOOL, NOW_MS), Ok(()));
        assert_eq!(check(&record("telescope", json!({"any": 1})), SCHOOL, NOW_MS), Ok(()));
        let newer = Record { version: BODY_VERSION + 1, ..record("class", json!({"title": "7 Larch"})) };
        assert_eq!(check(&newer, SCHOOL, NOW_MS), Ok(()));
    }

    #[test]
    fn each_wrong_record_is_refused_with_its_reason() {
        let class = record("class", json!({"name": "7 Larch"}));
        let at = |wall_ms| Stamp { wall_ms, ..class.stamp };
        let long = "x".repeat(BODY_BYTES_MAX);
        let cases = [
            (Record { school: SchoolId(Uuid::from_u128(2)), ..class.clone() }, RefusalReason::OtherSchool),
            (
                Record { stamp: at(NOW_MS + STAMP_AHEAD_MAX_MS + 1), ..class.clone() },
                RefusalReason::ClockAhead,
            ),
            (Record { version: 0, ..class.clone() }, RefusalReason::BadBody),
            (record("class", json!({"title": "no name"})), RefusalReason::BadBody),
            (record("class", json!(["7 Larch"])), RefusalReason::BadBody),
            (record("class", json!({"name": long})), RefusalReason::BadBody),
            (record("class", json!({"name": "7\u{0}Larch"})), RefusalReason::BadBody),
            (record("class", json!({"name": "7 Larch", "a\u{0}": []})), RefusalReason::BadBody),
            (record("", json!({})), RefusalReason::BadBody),
            (record("Telescope", json!({})), RefusalReason::BadBody),
            (record("tele--scope", json!({})), RefusalReason::BadBody),
            (record("../scope", json!({})), RefusalReason::BadBody),
            (record(&"t".repeat(KIND_BYTES_MAX + 1), json!({})), RefusalReason::BadBody),
        ];
        for (wrong, reason) in cases {
            assert_eq!(check(&wrong, SCHOOL, NOW_MS), Err(reason), "{} {}", wrong.kind, wrong.version);
        }
        let edge = Record { stamp: at(NOW_MS + STAMP_AHEAD_MAX_MS), ..class };
        assert_eq!(check(&edge, SCHOOL, NOW_MS), Ok(()));
    }

    #[test]
    fn an_outbox_of_any_size_goes_out_in_pushes_within_the_limits() {
        let small = vec![record("telescope", json!({})); PUSH_RECORDS_MAX + 1];
        assert_eq!(Push::first_of(&small).records.len(), PUSH_RECORDS_MAX);
        assert_eq!(Push::first_of(&small[..3]).records.len(), 3);
        assert_eq!(Push::first_of([]).records.len(), 0);

        let body = json!({"text": "\u{1}".repeat(60_000)});
        let large = vec![record("telescope", body); 60];
        let mut sent = 0;
        while sent < large.len() {
            let push = Push::first_of(&large[sent..]);
            assert!(!push.records.is_empty());
            assert!(serde_json::to_vec(&push).unwrap().len() <= PUSH_BYTES_MAX);
            sent += push.records.len();
        }
        assert_eq!(sent, large.len());
    }

    #[test]
    fn only_the_very_same_write_is_proved() {
        let pushed = record("class", json!({"name": "7 Larch"}));
        let proof = Acked::of(&pushed);
        assert!(proof.proves(&pushed));
        assert!(!proof.proves(&record("class", json!({"name": "7 Larch!"}))));
        assert!(!proof.proves(&Record { stamp: Stamp { counter: 1, ..pushed.stamp }, ..pushed.clone() }));
        assert!(!proof.proves(&Record { id: Uuid::from_u128(8), ..pushed }));
    }

    #[test]
    fn a_push_with_an_unknown_field_is_refused_and_an_answer_with_one_is_read() {
        assert!(serde_json::from_value::<Push>(json!({"records": [], "as": "owner"})).is_err());
        let key = json!({"kind": "class", "id": Uuid::from_u128(7)});
        let stamp = record("class", json!({})).stamp;
        let answer =
            json!({"acked": [], "refused": [{"key": key, "stamp": stamp, "reason": "moon-phase"}], "x": 1});
        let answer: PushAnswer = serde_json::from_value(answer).unwrap();
        assert_eq!(answer.refused[0].reason, RefusalReason::Other);
    }
}
