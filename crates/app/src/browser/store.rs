//! The copy of the records on this device, in IndexedDB.
//!
//! Three object stores: `records` and `outbox` (both keyed `kind/id`) and `meta`. Values are JSON text, so that the
//! bytes that are digested are the bytes that were saved. Every change is one read-write transaction with strict
//! durability: device state, records and outbox entries stand together or not at all, and two tabs take turns.

use std::collections::{BTreeMap, BTreeSet};

use idb::{
    Database, DatabaseEvent, Factory, KeyRange, ObjectStore, ObjectStoreParams, Query, Transaction,
    TransactionResult,
};
use lanewright_model::Message;
use lanewright_model::erasure::{ERASURE, Erasures};
use lanewright_sync::{
    Place, PullAnswer, PushAnswer, Record, RecordKey, RefusalReason, SchoolId, erasures_in, left_of,
};
use serde::{Serialize, de::DeserializeOwned};
use uuid::Uuid;
use wasm_bindgen::{JsCast, JsValue};

use crate::logic::change::Change;
use crate::logic::replica::{self, Device, OtherSchool, Purge, Told, Waiting};

const DATABASE: &str = "lanewright";
const DATABASE_VERSION: u32 = 1;
const STORES: [&str; 3] = ["records", "outbox", "meta"];
const DEVICE: &str = "device";

/// Everything that is on this device.
#[derive(Debug, Clone, PartialEq)]
pub struct Local {
    /// Who we are.
    pub device: Device,
    /// Records by key.
    pub records: BTreeMap<RecordKey, Record>,
    /// Writes that the server has not proven yet.
    pub outbox: BTreeMap<RecordKey, Waiting>,
}

/// Saving or reading failed; the text is the browser's.
#[derive(Debug, Clone)]
pub struct StoreError(pub String);

/// What browsers call it when there is no room left.
const NO_ROOM: &str = "QuotaExceededError";

impl StoreError {
    /// Returns whether the device has no room left, or the browser gives this page none.
    pub fn is_no_room(&self) -> bool {
        self.0.starts_with(NO_ROOM)
    }

    /// Returns the sentence that says that nothing was saved, and what to do.
    pub fn said(self) -> Message {
        if self.is_no_room() {
            Message::new("safe-not-saved-no-room")
        } else {
            Message::new("app-not-saved").text("reason", self.0)
        }
    }
}

impl From<idb::Error> for StoreError {
    fn from(error: idb::Error) -> Self {
        Self(error.to_string())
    }
}

impl From<serde_json::Error> for StoreError {
    fn from(error: serde_json::Error) -> Self {
        Self(error.to_string())
    }
}

/// The database of this browser profile.
#[derive(Clone)]
pub struct Store {
    database: JsValue,
}

impl Store {
    /// Opens the database, and makes it and the device's name when they are not there yet.
    pub async fn open() -> Result<Self, StoreError> {
        let factory = Factory::new()?;
        let mut request = factory.open(DATABASE, Some(DATABASE_VERSION))?;
        request.on_upgrade_needed(|event| {
            let Ok(database) = event.database() else { return };
            for name in STORES {
                // A store that cannot be made shows itself at the first transaction, as an error that is said.
                let _ = database.create_object_store(name, ObjectStoreParams::new());
            }
        });
        let database: Database = request.await?;
        let store = Self { database: database.into() };
        let transaction = store.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        if read::<Device>(&meta, DEVICE).await?.is_none() {
            put(&meta, DEVICE, &Device::new(Uuid::now_v7(), Uuid::now_v7()))?;
        }
        commit(transaction).await?;
        Ok(store)
    }

    /// Reads everything. What was erased while an older version of the app was here goes first.
    pub async fn load(&self) -> Result<Local, StoreError> {
        let mut local = self.read_all().await?;
        let erasures = erasures_in(local.records.values());
        if !replica::purge(local.records.values(), &erasures).is_empty() {
            let transaction = self.write_transaction()?;
            purge(&transaction, &erasures).await?;
            commit(transaction).await?;
            local = self.read_all().await?;
        }
        Ok(local)
    }

    async fn read_all(&self) -> Result<Local, StoreError> {
        let transaction = self.transaction("readonly")?;
        let meta = transaction.object_store("meta")?;
        let device = read::<Device>(&meta, DEVICE)
            .await?
            .ok_or_else(|| StoreError("the device has no name".into()))?;
        let mut records = BTreeMap::new();
        for record in read_all::<Record>(&transaction.object_store("records")?).await? {
            records.insert(record.key(), record);
        }
        let outbox = read_outbox(&transaction.object_store("outbox")?).await?;
        Ok(Local { device, records, outbox })
    }

    /// Stamps and saves changes. Returns once they are durable, with what is saved and what an erasure among them took.
    ///
    /// What names somebody who was erased is not saved.
    pub async fn write(
        &self,
        changes: &[Change],
        now_ms: u64,
    ) -> Result<(Device, Vec<Record>, Purge), StoreError> {
        let transaction = self.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        let mut device = read_device(&meta).await?;
        let stored = transaction.object_store("records")?;
        let outbox = transaction.object_store("outbox")?;
        let mut erasures = read_erasures(&stored).await?;
        let mut records = device.stamp(changes, now_ms);
        records.retain_mut(|record| match left_of(&erasures, record) {
            Some(left) => {
                *record = left;
                true
            }
            None => false,
        });
        let mut erases = false;
        for record in &records {
            erases |= record.kind == ERASURE && erasures.add(&record.id.to_string(), &record.body);
            put(&stored, &key_text(&record.key()), record)?;
            put(&outbox, &key_text(&record.key()), &Waiting::of(record))?;
        }
        put(&meta, DEVICE, &device)?;
        let gone = if erases { purge(&transaction, &erasures).await? } else { Purge::default() };
        commit(transaction).await?;
        Ok((device, records, gone))
    }

    /// Takes in records from the server and moves the cursor. Returns what changed here.
    /// An answer from another opening of the server's data than the one last compared changes nothing.
    pub async fn absorb(&self, answer: &PullAnswer) -> Result<Taken, StoreError> {
        let transaction = self.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        let mut device = read_device(&meta).await?;
        let stored = transaction.object_store("records")?;
        let outbox = transaction.object_store("outbox")?;
        let mut taken = Taken {
            device: device.clone(),
            replaced: Vec::new(),
            proven: Vec::new(),
            said_again: Vec::new(),
            purge: Purge::default(),
        };
        if !device.goes_on(answer.at) {
            commit(transaction).await?;
            return Ok(taken);
        }
        let mut erasures = read_erasures(&stored).await?;
        let mut erases = false;
        for record in &answer.records {
            if record.school != device.school {
                continue;
            }
            device.follow(record.stamp);
            let Some(record) = left_of(&erasures, record) else { continue };
            let key = key_text(&record.key());
            let before = read::<Record>(&stored, &key).await?;
            let waiting = read::<Waiting>(&outbox, &key).await?;
            let absorbed = replica::absorb(&device, before.as_ref(), waiting.as_ref(), &record);
            if let Some(word) = before.filter(|_| absorbed.say_again) {
                let again = device.say_again(&word);
                put(&stored, &key, &again)?;
                put(&outbox, &key, &Waiting::of(&again))?;
                taken.said_again.push(again);
            }
            if absorbed.drop_waiting {
                drop(outbox.delete(Query::Key(JsValue::from_str(&key)))?);
                taken.proven.push(record.key());
            }
            if absorbed.replace {
                put(&stored, &key, &record)?;
                erases |= record.kind == ERASURE && erasures.add(&record.id.to_string(), &record.body);
                taken.replaced.push(record);
            }
        }
        if erases {
            taken.purge = purge(&transaction, &erasures).await?;
        }
        device.cursor = device.cursor.max(answer.cursor);
        put(&meta, DEVICE, &device)?;
        taken.device = device;
        commit(transaction).await?;
        Ok(taken)
    }

    /// Takes note of where the server stands, and puts what it may have lost into the outbox again. `own_only`: this
    /// device may write only what it wrote itself.
    pub async fn stand(&self, at: Option<Place>, known: bool, own_only: bool) -> Result<(), StoreError> {
        let transaction = self.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        let mut device = read_device(&meta).await?;
        if device.stand(at, known) == Told::Anew {
            let outbox = transaction.object_store("outbox")?;
            let records = read_all::<Record>(&transaction.object_store("records")?).await?;
            let waiting: BTreeSet<RecordKey> = read_outbox(&outbox).await?.into_keys().collect();
            let own = own_only.then_some(&device);
            for (key, entry) in replica::send_again(records.iter(), &waiting, own) {
                put(&outbox, &key_text(&key), &entry)?;
            }
        }
        put(&meta, DEVICE, &device)?;
        commit(transaction).await
    }

    /// Clears proven outbox entries and notes refused ones. Returns device and outbox as they stand then. An answer
    /// from another opening of the server's data than the one last compared changes nothing.
    pub async fn settle(
        &self,
        answer: &PushAnswer,
    ) -> Result<(Device, BTreeMap<RecordKey, Waiting>), StoreError> {
        let transaction = self.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        let mut device = read_device(&meta).await?;
        let outbox = transaction.object_store("outbox")?;
        let mut waiting = read_outbox(&outbox).await?;
        if !device.goes_on(answer.at) {
            commit(transaction).await?;
            return Ok((device, waiting));
        }
        for acked in &answer.acked {
            device.hold(acked.stamp, answer.now_ms);
        }
        put(&meta, DEVICE, &device)?;
        let settled = replica::settle(&waiting, answer);
        for key in &settled.proven {
            drop(outbox.delete(Query::Key(JsValue::from_str(&key_text(key))))?);
            waiting.remove(key);
        }
        for (key, reason) in settled.refused {
            if let Some(entry) = waiting.get_mut(&key) {
                entry.refuse(reason, answer.now_ms, device.held);
                put(&outbox, &key_text(&key), entry)?;
            }
        }
        commit(transaction).await?;
        Ok((device, waiting))
    }

    /// Lets refused writes be sent once more. Those that lay too far ahead are stamped anew with the server's time,
    /// when it is known; they are returned.
    pub async fn retry_refused(&self, server_ms: Option<u64>) -> Result<Vec<Record>, StoreError> {
        let transaction = self.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        let mut device = read_device(&meta).await?;
        let stored = transaction.object_store("records")?;
        let outbox = transaction.object_store("outbox")?;
        let waiting = read_outbox(&outbox).await?;
        let mut ahead = Vec::new();
        for (key, entry) in waiting.iter().filter(|(_, entry)| entry.refused.is_some()) {
            put(&outbox, &key_text(key), &Waiting { refused: None, ..entry.clone() })?;
            if entry.refused == Some(RefusalReason::ClockAhead) {
                ahead.extend(read::<Record>(&stored, &key_text(key)).await?);
            }
        }
        let anew = server_ms
            .map(|server_ms| device.stamp_anew(&ahead, server_ms, Uuid::now_v7()))
            .unwrap_or_default();
        for record in &anew {
            put(&stored, &key_text(&record.key()), record)?;
            put(&outbox, &key_text(&record.key()), &Waiting::of(record))?;
        }
        put(&meta, DEVICE, &device)?;
        commit(transaction).await?;
        Ok(anew)
    }

    /// Takes on the server's school. Returns whether anything changed.
    pub async fn adopt(&self, school: SchoolId) -> Result<Result<bool, OtherSchool>, StoreError> {
        let transaction = self.write_transaction()?;
        let meta = transaction.object_store("meta")?;
        let mut device = read_device(&meta).await?;
        let stored = transaction.object_store("records")?;
        let outbox = transaction.object_store("outbox")?;
        let records = read_all::<Record>(&stored).await?;
        let waiting: BTreeSet<RecordKey> = read_outbox(&outbox).await?.into_keys().collect();
        let adoption = match replica::adopt(&mut device, school, records.iter(), &waiting) {
            Err(other) => return Ok(Err(other)),
            Ok(None) => return Ok(Ok(false)),
            Ok(Some(adoption)) => adoption,
        };
        for key in &adoption.removed {
            drop(stored.delete(Query::Key(JsValue::from_str(&key_text(key))))?);
            drop(outbox.delete(Query::Key(JsValue::from_str(&key_text(key))))?);
        }
        for record in &adoption.records {
            put(&stored, &key_text(&record.key()), record)?;
        }
        for (key, entry) in &adoption.waiting {
            put(&outbox, &key_text(key), entry)?;
        }
        put(&meta, DEVICE, &device)?;
        commit(transaction).await?;
        Ok(Ok(true))
    }

    fn write_transaction(&self) -> Result<Transaction, StoreError> {
        self.transaction("readwrite")
    }

    /// Opens a transaction over all stores. `complete` then means that the data has reached the disk.
    fn transaction(&self, mode: &str) -> Result<Transaction, StoreError> {
        let names: js_sys::Array = STORES.iter().map(|name| JsValue::from_str(name)).collect();
        let options = js_sys::Object::new();
        let failed = |error: JsValue| StoreError(error_text(&error));
        js_sys::Reflect::set(&options, &"durability".into(), &"strict".into()).map_err(failed)?;
        let open: js_sys::Function = js_sys::Reflect::get(&self.database, &"transaction".into())
            .map_err(failed)?
            .dyn_into()
            .map_err(failed)?;
        let transaction =
            open.call3(&self.database, &names, &JsValue::from_str(mode), &options).map_err(failed)?;
        Ok(Transaction::try_from(transaction)?)
    }
}

/// What a pull changed on this device.
pub struct Taken {
    /// Device state after it.
    pub device: Device,
    /// Records that replaced ours or are new.
    pub replaced: Vec<Record>,
    /// Outbox entries that went.
    pub proven: Vec<RecordKey>,
    /// This device's later words, stamped above older ones of its own; they wait to be sent.
    pub said_again: Vec<Record>,
    /// What erasures took.
    pub purge: Purge,
}

/// Takes what was erased out of the records and the outbox.
async fn purge(transaction: &Transaction, erasures: &Erasures) -> Result<Purge, StoreError> {
    let stored = transaction.object_store("records")?;
    let outbox = transaction.object_store("outbox")?;
    let purge = replica::purge(&read_all::<Record>(&stored).await?, erasures);
    for key in &purge.gone {
        drop(stored.delete(Query::Key(JsValue::from_str(&key_text(key))))?);
        drop(outbox.delete(Query::Key(JsValue::from_str(&key_text(key))))?);
    }
    for record in &purge.changed {
        let key = key_text(&record.key());
        put(&stored, &key, record)?;
        if read::<Waiting>(&outbox, &key).await?.is_some() {
            put(&outbox, &key, &Waiting::of(record))?;
        }
    }
    Ok(purge)
}

/// Reads the erasures that this device knows.
async fn read_erasures(store: &ObjectStore) -> Result<Erasures, StoreError> {
    // Keys are `kind/id`; the sign after `/` ends the range.
    let (first, last) = (format!("{ERASURE}/"), format!("{ERASURE}0"));
    let range = KeyRange::bound(&first.into(), &last.into(), None, Some(true))?;
    let values = store.get_all(Some(Query::KeyRange(range)), None)?.await?;
    let mut records = Vec::new();
    for text in values.into_iter().filter_map(|value| value.as_string()) {
        records.push(serde_json::from_str::<Record>(&text)?);
    }
    Ok(erasures_in(&records))
}

fn key_text(key: &RecordKey) -> String {
    format!("{}/{}", key.kind, key.id)
}

fn key_from_text(text: &str) -> Option<RecordKey> {
    let (kind, id) = text.rsplit_once('/')?;
    Some(RecordKey { kind: kind.to_owned(), id: id.parse().ok()? })
}

/// Asks for a value to be put. A failure aborts the transaction, which [`commit`] reports.
fn put(store: &ObjectStore, key: &str, value: &impl Serialize) -> Result<(), StoreError> {
    let text = serde_json::to_string(value)?;
    drop(store.put(&JsValue::from_str(&text), Some(&JsValue::from_str(key)))?);
    Ok(())
}

async fn read<T: DeserializeOwned>(store: &ObjectStore, key: &str) -> Result<Option<T>, StoreError> {
    let value = store.get(Query::Key(JsValue::from_str(key)))?.await?;
    match value.and_then(|value| value.as_string()) {
        Some(text) => Ok(Some(serde_json::from_str(&text)?)),
        None => Ok(None),
    }
}

async fn read_device(meta: &ObjectStore) -> Result<Device, StoreError> {
    read(meta, DEVICE).await?.ok_or_else(|| StoreError("the device has no name".into()))
}

async fn read_all<T: DeserializeOwned>(store: &ObjectStore) -> Result<Vec<T>, StoreError> {
    let values = store.get_all(None, None)?.await?;
    let texts = values.into_iter().filter_map(|value| value.as_string());
    texts.map(|text| serde_json::from_str(&text).map_err(StoreError::from)).collect()
}

async fn read_outbox(store: &ObjectStore) -> Result<BTreeMap<RecordKey, Waiting>, StoreError> {
    let keys = store.get_all_keys(None, None)?.await?;
    let entries = read_all::<Waiting>(store).await?;
    let keys = keys.into_iter().filter_map(|key| key_from_text(&key.as_string()?));
    Ok(keys.zip(entries).collect())
}

async fn commit(transaction: Transaction) -> Result<(), StoreError> {
    // Asked when it is over: why the browser took the change back stands on the transaction alone.
    let transaction = JsValue::from(transaction);
    let over = Transaction::try_from(transaction.clone())?;
    let why = move |otherwise: String| {
        let error = js_sys::Reflect::get(&transaction, &"error".into()).unwrap_or(JsValue::NULL);
        StoreError(if error.is_null() || error.is_undefined() { otherwise } else { error_text(&error) })
    };
    let done = match over.commit() {
        Ok(asked) => asked.await,
        Err(error) => Err(error),
    };
    match done {
        Ok(TransactionResult::Committed) => Ok(()),
        Ok(TransactionResult::Aborted) => Err(why("the browser took the change back".into())),
        Err(error) => Err(why(error.to_string())),
    }
}

/// Returns the browser's words for an error, after the name if it is the one that the app tells apart.
pub fn error_text(error: &JsValue) -> String {
    let word = |key: &str| js_sys::Reflect::get(error, &key.into()).ok().and_then(|word| word.as_string());
    let said = word("message").unwrap_or_else(|| format!("{error:?}"));
    if word("name").as_deref() == Some(NO_ROOM) { format!("{NO_ROOM}: {said}") } else { said }
}
