//! The envelope of a record, and which of two writes stands. Format page: `docs/formats/records.md`.

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
    /// Version of the body's shape, from 1.
    pub version: u32,
    /// The fact.
    pub body: Value,
    /// When and where it was written.
    pub stamp: Stamp,
    /// Whose it is.
    pub school: SchoolId,
}

/// What makes two writes of one school the same fact.
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

    /// Returns the SHA-256 of the record's [`canonical_json`], in hexadecimal: the proof that two sides hold the
    /// same record.
    pub fn digest(&self) -> String {
        let value = serde_json::to_value(self).expect("records hold only JSON values");
        Sha256::digest(canonical_json(&value)).iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// Returns JSON text that is the same for equal values: no white space, object keys in byte order.
///
/// Sorting here and not by `serde_json`'s map keeps digests equal when some crate in one of the builds asks for
/// `preserve_order`. Whole numbers and fractions stay apart (`1` is not `1.0`); fractions are written in the
/// shortest form that reads back to the same bits.
pub fn canonical_json(value: &Value) -> String {
    let mut text = String::new();
    write_canonical(value, &mut text);
    text
}

fn write_canonical(value: &Value, text: &mut String) {
    match value {
        Value::Object(map) => {
            let mut entries: Vec<(&String, &Value)> = map.iter().collect();
            entries.sort_by_key(|(key, _)| *key);
            for (place, (key, value)) in entries.into_iter().enumerate() {
                text.push(if place == 0 { '{' } else { ',' });
                text.push_str(&Value::from(key.as_str()).to_string());
                text.push(':');
                write_canonical(value, text);
            }
            text.push_str(if map.is_empty() { "{}" } else { "}" });
        }
        Value::Array(items) => {
            for (place, item) in items.iter().enumerate() {
                text.push(if place == 0 { '[' } else { ',' });
                write_canonical(item, text);
            }
            text.push_str(if items.is_empty() { "[]" } else { "]" });
        }
        plain => text.push_str(&plain.to_string()),
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
/// all sides still agree. Merging therefore gives the same outcome in every order and however often it is
/// repeated.
///
/// # Panics
/// When the two are not writes of the same fact of the same school: going on would destroy one of them.
pub fn merge(stored: Option<&Record>, incoming: &Record) -> Merge {
    let Some(stored) = stored else { return Merge::Replace };
    assert!(
        stored.kind == incoming.kind && stored.id == incoming.id && stored.school == incoming.school,
        "only writes of one fact can be merged"
    );
    let newer = incoming.stamp > stored.stamp
        || (incoming.stamp == stored.stamp && incoming.digest() > stored.digest());
    if newer { Merge::Replace } else { Merge::Keep }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stamp::DeviceId;
    use proptest::prelude::*;

    fn record(body: Value, wall_ms: u64, counter: u32, device: u128) -> Record {
        Record {
            id: Uuid::from_u128(7),
            kind: "class".into(),
            version: 1,
            body,
            stamp: Stamp { wall_ms, counter, device: DeviceId(Uuid::from_u128(device)) },
            school: SchoolId(Uuid::from_u128(1)),
        }
    }

    fn any_json() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            any::<u64>().prop_map(Value::from),
            // Adding zero turns -0.0, which equals 0.0 and yet reads differently, into 0.0.
            any::<f64>().prop_map(|number| Value::from(number + 0.0)),
            (0u32..400).prop_map(|share| Value::from(f64::from(share) / 3.0)),
            ".{0,12}".prop_map(Value::from),
        ];
        leaf.prop_recursive(3, 24, 6, |inner| {
            prop_oneof![
                proptest::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
                proptest::collection::btree_map(".{0,6}", inner, 0..6)
                    .prop_map(|map| Value::Object(map.into_iter().collect())),
            ]
        })
    }

    /// Few stamps and few bodies, so that ties of both sorts occur.
    fn any_write() -> impl Strategy<Value = Record> {
        (0u32..3, 1000u64..1003, 0u32..2, 1u128..3).prop_map(|(name, wall_ms, counter, device)| {
            record(serde_json::json!({"name": format!("7 {name}")}), wall_ms, counter, device)
        })
    }

    fn stands(a: &Record, b: &Record) -> Record {
        match merge(Some(a), b) {
            Merge::Replace => b.clone(),
            Merge::Keep => a.clone(),
        }
    }

    proptest! {
        #[test]
        fn merging_gives_the_same_in_either_order(a in any_write(), b in any_write()) {
            prop_assert_eq!(stands(&a, &b), stands(&b, &a));
        }

        #[test]
        fn merging_gives_the_same_in_any_grouping(a in any_write(), b in any_write(), c in any_write()) {
            prop_assert_eq!(stands(&stands(&a, &b), &c), stands(&a, &stands(&b, &c)));
        }

        #[test]
        fn merging_again_changes_nothing(a in any_write(), b in any_write()) {
            let once = stands(&a, &b);
            prop_assert_eq!(merge(Some(&once), &a), Merge::Keep);
            prop_assert_eq!(merge(Some(&once), &b), Merge::Keep);
            prop_assert_eq!(merge(Some(&once), &once), Merge::Keep);
        }

        #[test]
        fn any_order_and_any_repetition_ends_with_the_same_record(
            writes in proptest::collection::vec(any_write(), 1..8),
            arrivals in proptest::collection::vec(any::<proptest::sample::Index>(), 0..30),
        ) {
            let fold = |order: &mut dyn Iterator<Item = &Record>| {
                order.fold(None::<Record>, |stored, write| match merge(stored.as_ref(), write) {
                    Merge::Replace => Some(write.clone()),
                    Merge::Keep => stored,
                })
            };
            let straight = fold(&mut writes.iter());
            let shuffled = fold(&mut arrivals.iter().map(|at| at.get(&writes)).chain(writes.iter().rev()));
            prop_assert_eq!(straight, shuffled);
        }

        #[test]
        fn a_record_reads_back_with_the_same_digest(body in any_json(), counter in 0u32..1_000_000) {
            let sent = record(body, 1_772_446_445_000, counter, 3);
            let text = serde_json::to_string(&sent).unwrap();
            let received: Record = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(received.digest(), sent.digest());
            prop_assert_eq!(received, sent);
        }

        #[test]
        fn canonical_text_is_json_of_the_same_value(value in any_json()) {
            let back: Value = serde_json::from_str(&canonical_json(&value)).unwrap();
            prop_assert_eq!(back, value);
        }

        #[test]
        fn any_change_of_the_body_changes_the_digest(a in any_json(), b in any_json()) {
            let digests = [&a, &b].map(|body| record(body.clone(), 1000, 0, 1).digest());
            prop_assert_eq!(a == b, digests[0] == digests[1]);
        }
    }

    #[test]
    fn canonical_text_sorts_keys_at_every_depth_and_escapes_them() {
        let value: Value =
            serde_json::from_str(r#"{ "b": [ {"z": 1, "a": 1.0}, [], {} ], "a\"": "é\n", "B": -0.5 }"#)
                .unwrap();
        assert_eq!(canonical_json(&value), r#"{"B":-0.5,"a\"":"é\n","b":[{"a":1.0,"z":1},[],{}]}"#);
    }

    /// Pins the digest: stored databases and devices in the field hold digests made by earlier versions.
    #[test]
    fn the_digest_of_a_known_record_does_not_change() {
        let known =
            record(serde_json::json!({"name": "7 Larch", "colour": [1, 1.5, null]}), 1_772_446_445_000, 3, 9);
        let text = concat!(
            r#"{"body":{"colour":[1,1.5,null],"name":"7 Larch"},"id":"00000000-0000-0000-0000-000000000007","#,
            r#""kind":"class","school":"00000000-0000-0000-0000-000000000001","#,
            r#""stamp":"1772446445000-000003-00000000-0000-0000-0000-000000000009","version":1}"#
        );
        assert_eq!(canonical_json(&serde_json::to_value(&known).unwrap()), text);
        assert_eq!(known.digest(), DIGEST_OF_KNOWN);
    }

    /// `sha256sum` of the text above.
    const DIGEST_OF_KNOWN: &str = "08833fd737d23905b09c3174fd0465b4865a9c0597ec3b4e6bf6d3c6abe26318";

    #[test]
    fn an_envelope_with_an_unknown_field_is_refused() {
        let mut value = serde_json::to_value(record(serde_json::json!({}), 1, 0, 1)).unwrap();
        assert!(serde_json::from_value::<Record>(value.clone()).is_ok());
        value["owner"] = "me".into();
        assert!(serde_json::from_value::<Record>(value).is_err());
    }

    #[test]
    #[should_panic(expected = "only writes of one fact")]
    fn records_of_two_schools_are_never_merged() {
        let ours = record(serde_json::json!({}), 1, 0, 1);
        let theirs = Record { school: SchoolId(Uuid::from_u128(2)), ..ours.clone() };
        merge(Some(&ours), &theirs);
    }
}
