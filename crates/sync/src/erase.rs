//! Erasures among records: they outrank every stamp. What is decided here is decided alike on the server, on every
//! device and in simulations; see [`lanewright_model::erasure`] for the rules.

use lanewright_model::erasure::{ERASURE, Erased, ErasureBody, Erasures, Fate};
use lanewright_model::record::{BODY_VERSION, Body};
use uuid::Uuid;

use crate::record::{Record, SchoolId};
use crate::stamp::{Stamp, is_ahead};

/// Kind of the record that makes a child known.
pub const RUNNER_LABEL: &str = "runner-label";

/// Collects the erasures among records of one school.
pub fn erasures_in<'a>(records: impl IntoIterator<Item = &'a Record>) -> Erasures {
    let mut erasures = Erasures::default();
    for record in records.into_iter().filter(|record| record.kind == ERASURE) {
        erasures.add(&record.id.to_string(), &record.body);
    }
    erasures
}

/// Returns what erasures leave of a record: itself, itself without the erased in its lists, or nothing.
///
/// The stamp stays, so that merging is not disturbed: whoever holds the same records and the same erasures holds the
/// same after it, in whatever order they came.
pub fn left_of(erasures: &Erasures, record: &Record) -> Option<Record> {
    match erasures.fate(&record.kind, &record.id.to_string(), &record.body) {
        Fate::Stays => Some(record.clone()),
        Fate::Changed(body) => Some(Record { body, ..record.clone() }),
        Fate::Goes => None,
    }
}

/// Returns the record that erases an id.
pub fn erasure(id: Uuid, what: Erased, stamp: Stamp, school: SchoolId) -> Record {
    let body = Body::Erasure(ErasureBody::of(what)).to_value();
    Record { id, kind: ERASURE.to_owned(), version: BODY_VERSION, body, stamp, school }
}

/// Returns a record as the server takes it: an erasure from a device whose clock is ahead gets the server's time, as it
/// must not wait until that clock is set. Everything else stays as it is, and is refused if it lies too far ahead.
pub fn received(record: &Record, now_ms: u64) -> Record {
    let mut record = record.clone();
    if record.kind == ERASURE && is_ahead(record.stamp, now_ms) {
        record.stamp.wall_ms = now_ms;
    }
    record
}

/// Returns the id of the class that a child's label names.
pub fn class_of(label: &Record) -> Option<Uuid> {
    (label.kind == RUNNER_LABEL).then(|| label.body["class"].as_str()?.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Merge, merge};
    use crate::stamp::DeviceId;
    use proptest::prelude::*;
    use serde_json::{Value, json};
    use std::collections::BTreeMap;

    const SCHOOL: SchoolId = SchoolId(Uuid::from_u128(1));

    fn any_body() -> impl Strategy<Value = Value> {
        let who = (0u128..4).prop_map(|number| Uuid::from_u128(number).to_string());
        prop_oneof![
            who.clone().prop_map(|who| json!({"runner": who, "on": "2026-03-02"})),
            proptest::collection::vec(who.clone(), 0..4).prop_map(|order| json!({"order": order})),
            proptest::collection::vec(who, 0..3).prop_map(|runners| {
                let runners: Vec<Value> = runners.iter().map(|who| json!({"runner": who})).collect();
                json!({"bout": {"runners": runners, "at_ms": 1_772_446_445_000i64}})
            }),
        ]
    }

    /// Facts that each keep naming the same children under one key, as the app's do; lists change freely.
    fn any_record() -> impl Strategy<Value = Record> {
        (10u128..14, 1000u64..1010, any_body()).prop_map(|(id, wall_ms, body)| Record {
            id: Uuid::from_u128(id),
            // One kind for each shape and child.
            kind: format!("k-{}", body["runner"].as_str().map_or("list", |text| &text[35..])),
            version: 1,
            body,
            stamp: Stamp { wall_ms, counter: 0, device: DeviceId(Uuid::from_u128(9)) },
            school: SCHOOL,
        })
    }

    fn any_erasure() -> impl Strategy<Value = Record> {
        let stamp = Stamp { wall_ms: 5, counter: 0, device: DeviceId(Uuid::from_u128(9)) };
        prop_oneof![
            4 => (0u128..4).prop_map(move |id| erasure(Uuid::from_u128(id), Erased::Runner, stamp, SCHOOL)),
            1 => (0u64..3).prop_map(move |day| {
                let before_ms = 1_772_400_000_000 + day as i64 * 86_400_000;
                let body = Body::Erasure(ErasureBody::before(before_ms)).to_value();
                Record { body, ..erasure(Uuid::from_u128(90 + u128::from(day)), Erased::Before, stamp, SCHOOL) }
            }),
        ]
    }

    /// What a holder has after these arrivals.
    fn held(arrivals: &[Record]) -> BTreeMap<crate::RecordKey, Record> {
        let mut held: BTreeMap<crate::RecordKey, Record> = BTreeMap::new();
        for record in arrivals {
            let erasures = erasures_in(held.values());
            let Some(record) = left_of(&erasures, record) else { continue };
            if merge(held.get(&record.key()), &record) == Merge::Replace {
                held.insert(record.key(), record.clone());
            }
            if record.kind == ERASURE {
                let erasures = erasures_in(held.values());
                held = held
                    .into_iter()
                    .filter_map(|(key, record)| Some((key, left_of(&erasures, &record)?)))
                    .collect();
            }
        }
        held
    }

    proptest! {
        #[test]
        fn whatever_order_records_and_erasures_arrive_in_the_same_is_left(
            (straight, shuffled) in proptest::collection::vec(prop_oneof![3 => any_record(), 1 => any_erasure()], 0..14)
                .prop_map(|mut all| {
                    // Two bodies with one stamp cannot come from a sound device.
                    for (place, record) in all.iter_mut().enumerate() {
                        record.stamp.counter = place as u32;
                    }
                    all
                })
                .prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle())),
        ) {
            // A list that was emptied takes a bout with it: of one key, only such lists as never were the last word
            // differ.
            let bouts = |records: &[Record]| {
                records.iter().filter(|record| record.body.get("bout").is_none()).cloned().collect::<Vec<_>>()
            };
            prop_assert_eq!(held(&bouts(&straight)), held(&bouts(&shuffled)));
        }

        #[test]
        fn erasing_in_two_steps_or_in_one_leaves_the_same(
            record in any_record(),
            first in proptest::collection::vec(any_erasure(), 0..3),
            second in proptest::collection::vec(any_erasure(), 0..3),
        ) {
            let stepwise =
                left_of(&erasures_in(&first), &record).and_then(|left| left_of(&erasures_in(&second), &left));
            let at_once = left_of(&erasures_in(first.iter().chain(&second)), &record);
            prop_assert_eq!(stepwise.clone(), at_once.clone());
            if let Some(left) = at_once {
                let all = erasures_in(first.iter().chain(&second));
                prop_assert_eq!(left_of(&all, &left), Some(left), "what is left stays");
            }
        }
    }
}
