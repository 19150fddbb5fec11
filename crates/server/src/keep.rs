//! Erases what was seen longer ago than the school keeps it: at the start, and once a day.

use std::time::Duration;

use lanewright_model::erasure::{ERASURE, ErasureBody, RETENTION};
use lanewright_model::record::{BODY_VERSION, Body};
use lanewright_store::{Store, StoreError};
use lanewright_sync::{Clock, DeviceId, Record, RecordKey, SchoolId};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::AppState;

/// Between two looks. Retention counts whole days, so more often would find nothing.
const DAY: Duration = Duration::from_secs(24 * 60 * 60);

/// Does so for every school of a store.
///
/// # Errors
/// The store failed.
pub async fn apply_to_all(store: &dyn Store, now_ms: u64) -> Result<(), StoreError> {
    for school in store.schools().await? {
        apply(store, school, now_ms).await?;
    }
    Ok(())
}

/// Erases by age if the school wants it. There is one such erasure for a school, whose moment moves on: several
/// programs that work with one database make the same. Returns whether anything was to be done.
///
/// # Errors
/// The store failed.
pub async fn apply(store: &dyn Store, school: SchoolId, now_ms: u64) -> Result<bool, StoreError> {
    let wanted = store.get(school, &RecordKey { kind: RETENTION.into(), id: school.0 }).await?;
    let Some(Ok(Some(Body::Retention(wanted)))) =
        wanted.map(|record| Body::from_value(RETENTION, &record.body))
    else {
        return Ok(false);
    };
    let Some(before_ms) = wanted.before_ms(now_ms) else { return Ok(false) };
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
        if let Err(error) = apply_to_all(&*state.store, (state.clock)()).await {
            tracing::error!(%error, "what is too old could not be erased");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_store::MemoryStore;
    use lanewright_sync::Stamp;
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
        assert!(!apply(&store, school, NOW_MS).await.unwrap(), "nobody asked for it");
        let keep = record(RETENTION, school.0, json!({"keep_days": 50}));
        store.push(school, &[keep], NOW_MS).await.unwrap();
        let mut left = Vec::new();
        for days_later in [0, 0, 11, 12] {
            let now_ms = NOW_MS + days_later * DAY_MS;
            let applied = apply(&store, school, now_ms).await.unwrap();
            let all = store.pull(school, 0, 100).await.unwrap().records;
            let erasures = all.iter().filter(|record| record.kind == ERASURE).count();
            let seen = all.iter().filter(|record| record.kind == "telescope").count();
            left.push((applied, erasures, seen));
        }
        assert_eq!(left, [(true, 1, 2), (false, 1, 2), (true, 1, 1), (true, 1, 1)]);
    }
}
