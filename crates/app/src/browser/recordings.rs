//! Recordings that somebody kept on purpose: in a database of their own, so that nothing that sends records can reach
//! them. They stay on this device and are deleted on their day.

use idb::{Database, DatabaseEvent, Factory, ObjectStoreParams, Query, TransactionMode};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::Blob;

use super::store::StoreError;
use super::{keep_preference, preference};
use crate::logic::sound::Kept;

const DATABASE: &str = "lanewright-recordings";
/// Kept in local storage from the first kept recording on: without it no database is made.
const EVER: &str = "lanewright-recordings";
/// What a recording is, as JSON text, and its bytes; both by its id.
const STORES: [&str; 2] = ["about", "sound"];

async fn open() -> Result<Database, StoreError> {
    let mut request = Factory::new()?.open(DATABASE, Some(1))?;
    request.on_upgrade_needed(|event| {
        let Ok(database) = event.database() else { return };
        for name in STORES {
            // A store that cannot be made shows itself at the first transaction, as an error that is said.
            let _ = database.create_object_store(name, ObjectStoreParams::new());
        }
    });
    Ok(request.await?)
}

/// Keeps a recording.
pub async fn keep(kept: &Kept, sound: &Blob) -> Result<(), StoreError> {
    keep_preference(EVER, "yes");
    let database = open().await?;
    let transaction = database.transaction(&STORES, TransactionMode::ReadWrite)?;
    let key = JsValue::from_str(&kept.id);
    let about = JsValue::from_str(&serde_json::to_string(kept)?);
    drop(transaction.object_store("about")?.put(&about, Some(&key))?);
    drop(transaction.object_store("sound")?.put(sound, Some(&key))?);
    let done = transaction.commit()?.await?;
    database.close();
    if done.is_committed() { Ok(()) } else { Err(StoreError("the browser took the change back".into())) }
}

/// Returns what is kept, latest first.
pub async fn all() -> Result<Vec<Kept>, StoreError> {
    if preference(EVER).is_none() {
        return Ok(Vec::new());
    }
    let database = open().await?;
    let transaction = database.transaction(&STORES, TransactionMode::ReadOnly)?;
    let texts = transaction.object_store("about")?.get_all(None, None)?.await?;
    database.close();
    let texts = texts.into_iter().filter_map(|text| text.as_string());
    let mut kept: Vec<Kept> = texts.filter_map(|text| serde_json::from_str(&text).ok()).collect();
    kept.sort_by_key(|kept| std::cmp::Reverse(kept.at_ms));
    Ok(kept)
}

/// Returns the sound of one.
pub async fn sound(id: &str) -> Result<Option<Blob>, StoreError> {
    let database = open().await?;
    let transaction = database.transaction(&STORES, TransactionMode::ReadOnly)?;
    let found = transaction.object_store("sound")?.get(Query::Key(JsValue::from_str(id)))?.await?;
    database.close();
    Ok(found.and_then(|found| found.dyn_into().ok()))
}

/// Deletes one.
pub async fn delete(id: &str) -> Result<(), StoreError> {
    let database = open().await?;
    let transaction = database.transaction(&STORES, TransactionMode::ReadWrite)?;
    for name in STORES {
        drop(transaction.object_store(name)?.delete(Query::Key(JsValue::from_str(id)))?);
    }
    let done = transaction.commit()?.await?;
    database.close();
    if done.is_committed() { Ok(()) } else { Err(StoreError("the browser took the change back".into())) }
}
