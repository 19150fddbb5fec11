//! Erases what was seen longer ago than the school keeps it: at the start, and once a day.

use std::collections::BTreeMap;
use std::time::Duration;

use lanewright_model::erasure::{ERASURE, ErasureBody, RETENTION, Target, off_lists, what_goes};
use lanewright_model::record::{BODY_VERSION, Body};
use lanewright_store::{Store, StoreError};
use lanewright_sync::message::{PULL_RECORDS_MAX, PUSH_RECORDS_MAX};
use lanewright_sync::{Clock, DeviceId, Record, RecordKey};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::AppState;

/// Between two looks. Retention counts whole days, so more often would find nothing.
const DAY: Duration = Duration::from_secs(24 * 60 * 60);

/// Erases by age, and children who were taken off their list, if the school wants it. Returns whether anything was to
/// be done.
///
/// # Errors
/// The store failed.
pub async fn apply(store: &dyn Store, now_ms: u64) -> Result<bool, StoreError> {
    let school = store.home();
    let wanted = store.get(school, &RecordKey { kind: RETENTION.into(), id: school.0 }).await?;
    let Some(Ok(Some(Body::Retention(wanted)))) =
        wanted.map(|record| Body::from_value(RETENTION, &record.body))
    else {
        return Ok(false);
    };
    let by_age = match wanted.before_ms(now_ms) {
        Some(before_ms) => erase_before(store, before_ms, now_ms).await?,
        None => false,
    };
    let off_lists = match wanted.off_list_before_ms(now_ms) {
        Some(before_ms) => erase_off_lists(store, before_ms, now_ms).await?,
        None => false,
    };
    Ok(by_age || off_lists)
}

/// Erases the children who were taken off their list before a moment, with all that tells of them.
async fn erase_off_lists(store: &dyn Store, before_ms: i64, now_ms: u64) -> Result<bool, StoreError> {
    let school = store.home();
    let mut records = Vec::new();
    let mut cursor = 0;
    loop {
        let page = store.pull(school, cursor, PULL_RECORDS_MAX).await?;
        cursor = page.cursor;
        records.extend(page.records.into_iter().map(|record| (record.id.to_string(), record)));
        if !page.more {
            break;
        }
    }
    let listed = records
        .iter()
        .map(|(id, record)| (record.kind.as_str(), id.as_str(), &record.body, record.stamp.wall_ms));
    let due = off_lists(listed).into_iter().filter(|(_, since_ms)| *since_ms < before_ms);
    let mut erased = BTreeMap::new();
    for (child, _) in due {
        let all = records.iter().map(|(id, record)| (record.kind.as_str(), id.as_str(), &record.body));
        erased.extend(what_goes(all, &Target::Runner(child)).ids);
    }
    if erased.is_empty() {
        return Ok(false);
    }
    let mut clock = Clock::new(DeviceId(school.0));
    let erasures: Vec<Record> = erased
        .into_iter()
        .filter_map(|(id, what)| {
            let body = Body::Erasure(ErasureBody::of(what)).to_value();
            let (id, stamp) = (id.parse().ok()?, clock.next(now_ms));
            Some(Record { id, kind: ERASURE.into(), version: BODY_VERSION, body, stamp, school })
        })
        .collect();
    for some in erasures.chunks(PUSH_RECORDS_MAX) {
        store.push(school, some, now_ms).await?;
    }
    tracing::info!("children who were taken off their list long enough ago were erased");
    Ok(true)
}

/// Erases what was seen before a moment. There is one such erasure for a school, whose moment moves on.
async fn erase_before(store: &dyn Store, before_ms: i64, now_ms: u64) -> Result<bool, StoreError> {
    let school = store.home();
    let mut digest = Sha256::digest(format!("retention {}", school.0));
    digest[6] = digest[6] & 0x0f | 0x80;
    digest[8] = digest[8] & 0x3f | 0x80;
    let id = Uuid::from_slice(&digest[..16]).expect("16 bytes");
    let known = store.get(school, &RecordKey { kind: ERASURE.into(), id }).await?;
    if known
        .as_ref()
        .and_then(|known| known.body["before_ms"].as_i64())
        .is_some_and(|known| known >= before_ms)
    {
        return Ok(false);
    }
    let mut clock = Clock::new(DeviceId(id));
    if let Some(known) = known {
        clock.follow(known.stamp);
    }
    let body = Body::Erasure(ErasureBody::before(before_ms)).to_value();
    let stamp = clock.next(now_ms);
    let erasure = Record { id, kind: ERASURE.into(), version: BODY_VERSION, body, stamp, school };
    store.push(school, &[erasure], now_ms).await?;
    tracing::info!("what was seen longer ago than the school keeps it was erased");
    Ok(true)
}

/// Looks once a day, for as long as the program runs.
pub(crate) async fn daily(state: AppState) {
    loop {
        tokio::time::sleep(DAY).await;
        if let Err(error) = apply(&*state.store, (state.clock)()).await {
            tracing::error!(%error, "what is too old could not be erased");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_store::MemoryStore;
    use lanewright_sync::{SchoolId, Stamp};
    use serde_json::json;

    const DAY_MS: u64 = 24 * 60 * 60 * 1000;
    const NOW_MS: u64 = 20_000 * DAY_MS + 5;

    #[tokio::test]
    async fn what_is_older_than_the_school_wants_goes_and_goes_on_going() {
        let school = SchoolId(Uuid::from_u128(1));
        let store = MemoryStore::new(school);
        let record = |kind: &str, id: Uuid, body: serde_json::Value| Record {
            id,
            kind: kind.into(),
            version: 1,
            body,
            stamp: Stamp { wall_ms: 5, counter: 0, device: DeviceId(id) },
            school,
        };
        let run = |number: u128, days_ago: u64| {
            let at_ms = NOW_MS - days_ago * DAY_MS;
            record("telescope", Uuid::from_u128(number), json!({"at_ms": at_ms}))
        };
        let records = [run(10, 10), run(40, 40), run(60, 60)];
        store.push(school, &records, NOW_MS).await.unwrap();
        assert!(!apply(&store, NOW_MS).await.unwrap(), "nobody asked for it");
        let keep = record(RETENTION, school.0, json!({"keep_days": 50}));
        store.push(school, &[keep], NOW_MS).await.unwrap();
        let mut left = Vec::new();
        for days_later in [0, 0, 11, 12] {
            let now_ms = NOW_MS + days_later * DAY_MS;
            let applied = apply(&store, now_ms).await.unwrap();
            let all = store.pull(school, 0, 100).await.unwrap().records;
            let erasures = all.iter().filter(|record| record.kind == ERASURE).count();
            let seen = all.iter().filter(|record| record.kind == "telescope").count();
            left.push((applied, erasures, seen));
        }
        assert_eq!(left, [(true, 1, 2), (false, 1, 2), (true, 1, 1), (true, 1, 1)]);
    }

    #[tokio::test]
    async fn who_is_off_the_list_for_long_enough_goes_with_everything_and_the_others_stay() {
        let school = SchoolId(Uuid::from_u128(1));
        let store = MemoryStore::new(school);
        let record = |kind: &str, number: u128, days_ago: u64, body: serde_json::Value| Record {
            id: Uuid::from_u128(number),
            kind: kind.into(),
            version: 1,
            body,
            stamp: Stamp {
                wall_ms: NOW_MS - days_ago * DAY_MS,
                counter: 0,
                device: DeviceId(Uuid::from_u128(9)),
            },
            school,
        };
        let (larch, yew) = (Uuid::from_u128(2), Uuid::from_u128(3));
        let label = |number: u128, days_ago: u64, class: Uuid, gone: bool| {
            record("runner-label", number, days_ago, json!({"class": class, "label": "x", "gone": gone}))
        };
        let run = |number: u128, child: u128| {
            record("telescope", number, 5, json!({"runner": Uuid::from_u128(child), "at_ms": NOW_MS}))
        };
        let records = [
            record("class", 2, 90, json!({"name": "7 Larch"})),
            record("class", 3, 35, json!({"name": "8 Yew", "gone": true})),
            label(10, 90, larch, false),
            label(11, 40, larch, true),
            label(12, 20, larch, true),
            label(13, 90, yew, false),
            run(20, 10),
            run(21, 11),
            run(22, 12),
            run(23, 13),
        ];
        store.push(school, &records, NOW_MS).await.unwrap();
        let keep = Record { id: school.0, ..record(RETENTION, 0, 0, json!({"off_list_days": 30})) };
        store.push(school, &[keep], NOW_MS).await.unwrap();
        assert!(apply(&store, NOW_MS).await.unwrap());
        let left = async || -> Vec<u128> {
            let all = store.pull(school, 0, 100).await.unwrap().records;
            let seen =
                all.iter().filter(|record| ["telescope", "runner-label"].contains(&record.kind.as_str()));
            let mut ids: Vec<u128> = seen.map(|record| record.id.as_u128()).collect();
            ids.sort_unstable();
            ids
        };
        assert_eq!(left().await, [10, 12, 20, 22]);
        assert!(!apply(&store, NOW_MS).await.unwrap(), "nothing more is due");
        assert!(apply(&store, NOW_MS + 11 * DAY_MS).await.unwrap());
        assert_eq!(left().await, [10, 20]);
    }
}
