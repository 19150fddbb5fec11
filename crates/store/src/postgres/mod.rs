//! The store of a district: one PostgreSQL database, worked with by several server processes at once.
//!
//! # Invariants
//! - Who writes records of a school holds that school's row until the commit, and takes numbers only then: numbers
//!   become visible in their order, whichever process gives them.
//! - Nothing that a process remembers is believed before it was compared under that lock.
//! - Every transaction says for which school it is before it reads or writes a row; the database leaves out all others.
//!   A token opens a narrow way: the one row with its digest, to be read.

mod address;
mod connection;
mod whole;

use std::collections::{BTreeMap, BTreeSet};
use std::pin::pin;
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::Duration;

use async_trait::async_trait;
use futures_util::TryStreamExt;
use lanewright_model::erasure::{ERASURE, Erasures};
use lanewright_sync::message::PULL_BYTES_MAX;
use lanewright_sync::{
    Acked, Merge, Place, PullAnswer, PushAnswer, Record, RecordKey, RefusalReason, Refused, SchoolId,
    Standing, canonical_json, left_of, merge, received,
};
use sqlx::pool::PoolConnection;
use sqlx::postgres::{PgConnection, PgPoolOptions, PgRow};
use sqlx::{AssertSqlSafe, PgPool, Postgres, Row, Transaction};
use uuid::Uuid;

use crate::erase::{Sweep, follows, goes};
use crate::sqlite::{damaged, lanes_from, school_from, signed, token_from, unsigned};
use crate::{Link, Password, Role, Session, Store, StoreError, TokenHash};
use connection::{
    Ground, assert_connection, connect, ground, insert_school, note_opening, of_school, prepare,
    read_settings,
};

pub use address::Database;
pub use connection::FORMAT_VERSION;
pub use whole::{check, contents};

/// Connections at once of one process (engineering assumption; a server as it comes takes 100 of all processes).
const CONNECTIONS_MAX: u32 = 8;
/// How long a request waits for a connection (engineering assumption).
const CONNECTION_WAIT: Duration = Duration::from_secs(5);
/// How long a connection is used before it is made, and asked for its settings, anew (engineering assumption).
const CONNECTION_AGE: Duration = Duration::from_secs(30 * 60);
/// How long apart it is asked whether transactions have ended that could still see deleted rows (engineering
/// assumption).
const OLDER_STEP: Duration = Duration::from_millis(100);

/// How long the rewriting of a table waits for others.
#[derive(Debug, Clone, Copy)]
struct Patience {
    /// How often it is asked whether transactions have ended that could still see deleted rows, [`OLDER_STEP`] apart.
    asked: u32,
    /// How long it waits for the table's readers; who comes later waits behind it.
    readers: &'static str,
}

/// When something was deleted just now, and at the start and the end: two seconds for each (engineering assumption).
const PATIENT: Patience = Patience { asked: 20, readers: "2s" };
/// When it is still due with a later push: a transaction that stays open must not hold up every push of a lesson
/// (engineering assumption).
const IN_PASSING: Patience = Patience { asked: 1, readers: "100ms" };

/// Records in a PostgreSQL database.
pub struct PostgresStore {
    pool: PgPool,
    database: Database,
    home: SchoolId,
    /// One push of a school at a time: the others wait here instead of holding connections that readers need.
    turns: Mutex<BTreeMap<SchoolId, Turn>>,
    /// Schools of which something was erased and whose bytes may still lie in the tables' files.
    scrub_due: Mutex<BTreeSet<SchoolId>>,
    /// Held by the one request that finds out why the pool gives no connection.
    asks: tokio::sync::Mutex<()>,
}

/// What the last push of a school knew, for whoever comes next. Taken out, and put back once it is durable.
type Turn = Arc<tokio::sync::Mutex<Option<Known>>>;

/// The erasures of a school up to one of its changes.
struct Known {
    opening: Uuid,
    seq: i64,
    erasures: Erasures,
}

impl PostgresStore {
    /// Opens a database, giving it its shape if nothing is in it.
    ///
    /// `school` is the one for which this process works when nobody says another; room is made for it. Without it, that
    /// is the school the database was made for. A database that has none yet is made for `school`, or, without it, for
    /// `new_home`, which otherwise is passed over.
    ///
    /// # Errors
    /// The database belongs to something else or to a later version (it is then left untouched); the role may pass
    /// over the rules for rows; a setting on which safety rests does not hold; it is a standby; it does not answer.
    pub async fn open(
        database: &Database,
        new_home: SchoolId,
        school: Option<SchoolId>,
    ) -> Result<Self, StoreError> {
        let first = prepare(database, school.unwrap_or(new_home)).await?;
        let pool = PgPoolOptions::new()
            .max_connections(CONNECTIONS_MAX)
            .acquire_timeout(CONNECTION_WAIT)
            .max_lifetime(CONNECTION_AGE)
            .after_connect(|connection, _| {
                Box::pin(async move {
                    assert_connection(connection)
                        .await
                        .map_err(|error| sqlx::Error::Configuration(Box::new(error)))
                })
            })
            .connect_with(database.options.clone())
            .await?;
        let store = Self {
            pool,
            database: database.clone(),
            home: school.unwrap_or(first),
            turns: Mutex::default(),
            scrub_due: Mutex::default(),
            asks: tokio::sync::Mutex::default(),
        };
        if let Some(school) = school {
            store.add_school(school).await?;
        }
        for school in store.schools().await? {
            // Notes the opening now, so that no reader has to wait for it.
            store.stand(school).await?;
            // What a process that was cut off while it erased has left. A table that is in use now is for another time.
            let _ = store.scrub(school, PATIENT).await;
        }
        Ok(store)
    }

    /// Returns what one connection of the pool answers for each setting, in a fixed order.
    ///
    /// # Errors
    /// The database did not answer.
    pub async fn settings(&self) -> Result<Vec<(&'static str, String)>, StoreError> {
        read_settings(&mut *self.pool.acquire().await?).await
    }

    fn turn(&self, school: SchoolId) -> Turn {
        self.turns.lock().expect("no one panics while holding the lock").entry(school).or_default().clone()
    }

    fn scrub_due(&self) -> MutexGuard<'_, BTreeSet<SchoolId>> {
        self.scrub_due.lock().expect("no one panics while holding the lock")
    }

    /// Begins to write: each statement sees what was committed before it, which matters after waiting for a lock.
    async fn begin(&self) -> Result<Transaction<'static, Postgres>, StoreError> {
        self.begin_with("BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE").await
    }

    async fn begin_of(&self, school: SchoolId) -> Result<Transaction<'static, Postgres>, StoreError> {
        let mut transaction = self.begin().await?;
        of_school(&mut transaction, school).await?;
        Ok(transaction)
    }

    /// Begins to read: everything is of one moment.
    async fn view(&self) -> Result<Transaction<'static, Postgres>, StoreError> {
        self.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY").await
    }

    async fn begin_with(&self, begin: &'static str) -> Result<Transaction<'static, Postgres>, StoreError> {
        match self.pool.begin_with(begin).await {
            // The pool tries again and keeps to itself why no connection will do: one is made to ask. One only, however
            // many wait: the server may have no more to give.
            Err(sqlx::Error::PoolTimedOut) => {
                if let Ok(_asks) = self.asks.try_lock() {
                    let asked = async {
                        let mut connection = connect(&self.database).await?;
                        assert_connection(&mut connection).await
                    };
                    tokio::time::timeout(CONNECTION_WAIT, asked).await.unwrap_or(Ok(()))?;
                }
                Err(sqlx::Error::PoolTimedOut.into())
            }
            begun => Ok(begun?),
        }
    }

    async fn view_of(&self, school: SchoolId) -> Result<Transaction<'static, Postgres>, StoreError> {
        let mut transaction = self.view().await?;
        of_school(&mut transaction, school).await?;
        Ok(transaction)
    }

    /// Begins to read and looks where the school stands; notes the opening first if it is new.
    async fn stand(&self, school: SchoolId) -> Result<(Transaction<'static, Postgres>, Ground), StoreError> {
        let mut transaction = self.view_of(school).await?;
        let found = ground(&mut transaction, school).await?;
        if found.noted {
            return Ok((transaction, found));
        }
        transaction.commit().await?;
        let mut transaction = self.begin_of(school).await?;
        lock_school(&mut transaction, school).await?;
        let found = ground(&mut transaction, school).await?;
        if !found.noted {
            note_opening(&mut transaction, school, &found).await?;
        }
        transaction.commit().await?;
        let mut transaction = self.view_of(school).await?;
        let found = ground(&mut transaction, school).await?;
        Ok((transaction, found))
    }

    /// Writes the part of the table with a school's records anew, without what was deleted, so that no byte of it is
    /// left in its file. What the server's log of changes still has, and for how long: `docs/deploy.md`.
    async fn scrub(&self, school: SchoolId, patience: Patience) -> Result<(), StoreError> {
        let mut transaction = self.view_of(school).await?;
        let row = sqlx::query("SELECT erased, scrubbed FROM lanewright.school WHERE school = $1")
            .bind(school.0.to_string())
            .fetch_one(&mut *transaction)
            .await?;
        let (erased, scrubbed): (i64, i64) = (row.try_get("erased")?, row.try_get("scrubbed")?);
        if erased > scrubbed {
            let part: i32 = sqlx::query_scalar(
                "SELECT part FROM generate_series(0, 15) AS part
                 WHERE satisfies_hash_partition('lanewright.record'::regclass, 16, part, $1)",
            )
            .bind(school.0.to_string())
            .fetch_one(&mut *transaction)
            .await?;
            transaction.commit().await?;
            let table = format!("record_{part}");
            if !rewrite(&mut self.pool.acquire().await?, &table, patience).await? {
                // It stays due.
                return Ok(());
            }
            let mut transaction = self.begin_of(school).await?;
            sqlx::query("UPDATE lanewright.school SET scrubbed = greatest(scrubbed, $2) WHERE school = $1")
                .bind(school.0.to_string())
                .bind(erased)
                .execute(&mut *transaction)
                .await?;
            transaction.commit().await?;
        }
        self.scrub_due().remove(&school);
        Ok(())
    }
}

/// Writes a table anew without what was deleted. Whoever reads it now goes first; if that takes long, it is for another
/// time, since all who come later wait.
///
/// Returns whether it was done: rows that an older transaction could still see would be taken along.
async fn rewrite(
    connection: &mut PoolConnection<Postgres>,
    table: &str,
    patience: Patience,
) -> Result<bool, StoreError> {
    if !nobody_older(connection, patience.asked).await? {
        return Ok(false);
    }
    // Its setting is not that of the others any more.
    connection.close_on_drop();
    let readers = format!("SET lock_timeout = '{}'", patience.readers);
    sqlx::raw_sql(AssertSqlSafe(readers)).execute(&mut **connection).await?;
    sqlx::raw_sql(AssertSqlSafe(format!("VACUUM (FULL) lanewright.{table}")))
        .execute(&mut **connection)
        .await?;
    Ok(true)
}

/// Asks so many times whether all transactions that began before now have ended, and returns whether they have. Those
/// that write are found whoever they are, in any database: they hold back what our own connection sees. Those that only
/// read are found in this database and, as PostgreSQL has it, of our own role only, unless it may read all statistics.
async fn nobody_older(connection: &mut PgConnection, times: u32) -> Result<bool, StoreError> {
    let until: String = sqlx::query_scalar("SELECT pg_snapshot_xmax(pg_current_snapshot())::text")
        .fetch_one(&mut *connection)
        .await?;
    for asked in 0..times {
        if asked > 0 {
            tokio::time::sleep(OLDER_STEP).await;
        }
        // A standby that reports what its readers need has no database; with a slot, the slot holds it.
        let older: bool = sqlx::query_scalar(
            "SELECT pg_snapshot_xmin(pg_current_snapshot()) < $1::text::xid8
             OR EXISTS (SELECT 1 FROM pg_stat_activity
                        WHERE (datname = current_database() OR datname IS NULL) AND pid <> pg_backend_pid()
                        AND greatest(age(backend_xmin), age(backend_xid)) > age($1::text::xid8::xid))
             OR EXISTS (SELECT 1 FROM pg_replication_slots WHERE age(xmin) > age($1::text::xid8::xid))",
        )
        .bind(&until)
        .fetch_one(&mut *connection)
        .await?;
        if !older {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Locks the school's row until the end of the transaction, and makes sure that a commit is still a promise: whoever
/// runs the database can change its settings at any time.
async fn lock_school(connection: &mut PgConnection, school: SchoolId) -> Result<(), StoreError> {
    let row = sqlx::query(
        "SELECT current_setting('fsync') AS fsync, current_setting('full_page_writes') AS pages,
                current_setting('synchronous_commit') AS waits
         FROM lanewright.school WHERE school = $1 FOR NO KEY UPDATE",
    )
    .bind(school.0.to_string())
    .fetch_optional(connection)
    .await?
    .ok_or(StoreError::UnknownSchool)?;
    for (name, column) in [("fsync", "fsync"), ("full_page_writes", "pages"), ("synchronous_commit", "waits")]
    {
        let found: String = row.try_get(column)?;
        if found != "on" {
            return Err(StoreError::Setting { name: name.into(), wanted: "on".into(), found });
        }
    }
    Ok(())
}

/// Records of a school while a push works on them: what was read, and what is to be written in one go.
struct Desk {
    school: SchoolId,
    seq: i64,
    /// What stands, as far as it was looked at; with a number, what has to be written.
    records: BTreeMap<RecordKey, (Option<Record>, Option<i64>)>,
}

impl Desk {
    /// Reads the records of these keys, all at once.
    async fn fetch(
        &mut self,
        connection: &mut PgConnection,
        keys: BTreeSet<RecordKey>,
    ) -> Result<(), StoreError> {
        let (kinds, ids): (Vec<String>, Vec<String>) =
            keys.iter().map(|key| (key.kind.clone(), key.id.to_string())).unzip();
        let rows = sqlx::query(
            "SELECT kind, id, version, body, stamp, digest FROM lanewright.record
             JOIN unnest($2::text[], $3::text[]) AS wanted (wanted_kind, wanted_id)
             ON kind = wanted_kind AND id = wanted_id WHERE school = $1",
        )
        .bind(self.school.0.to_string())
        .bind(kinds)
        .bind(ids)
        .fetch_all(connection)
        .await?;
        self.records.extend(keys.into_iter().map(|key| (key, (None, None))));
        for row in &rows {
            let record = record_from(self.school, row)?;
            self.records.insert(record.key(), (Some(record), None));
        }
        Ok(())
    }

    async fn find(
        &mut self,
        connection: &mut PgConnection,
        key: &RecordKey,
    ) -> Result<Option<&Record>, StoreError> {
        if !self.records.contains_key(key) {
            self.fetch(connection, [key.clone()].into()).await?;
        }
        Ok(self.records[key].0.as_ref())
    }

    fn put(&mut self, record: Record) {
        self.seq += 1;
        self.records.insert(record.key(), (Some(record), Some(self.seq)));
    }

    /// Erases a child whose class was erased before the school knew it. Returns whether that is new.
    async fn erase_child(
        &mut self,
        connection: &mut PgConnection,
        child: Uuid,
        class: Uuid,
        erasures: &mut Erasures,
    ) -> Result<bool, StoreError> {
        let cause = RecordKey { kind: ERASURE.to_owned(), id: class };
        let Some(stamp) = self.find(connection, &cause).await?.map(|cause| cause.stamp) else {
            return Ok(false);
        };
        let record = follows(child, stamp, self.school);
        let is_new = erasures.add(&child.to_string(), &record.body);
        self.put(record);
        Ok(is_new)
    }

    /// Writes what is to be written.
    async fn write(&mut self, connection: &mut PgConnection) -> Result<(), StoreError> {
        let [mut kinds, mut ids, mut bodies, mut stamps, mut digests] = [const { Vec::<String>::new() }; 5];
        let [mut versions, mut numbers] = [const { Vec::<i64>::new() }; 2];
        for (record, number) in self.records.values_mut() {
            let (Some(record), Some(seq)) = (record, number.take()) else { continue };
            kinds.push(record.kind.clone());
            ids.push(record.id.to_string());
            versions.push(i64::from(record.version));
            bodies.push(canonical_json(&record.body));
            stamps.push(record.stamp.to_string());
            digests.push(record.digest());
            numbers.push(seq);
        }
        if kinds.is_empty() {
            return Ok(());
        }
        sqlx::query(
            "INSERT INTO lanewright.record (school, kind, id, version, body, stamp, digest, seq)
             SELECT $1, * FROM unnest($2::text[], $3::text[], $4::bigint[], $5::text[], $6::text[], $7::text[],
                                      $8::bigint[])
             ON CONFLICT (school, kind, id) DO UPDATE SET
                 version = excluded.version, body = excluded.body, stamp = excluded.stamp,
                 digest = excluded.digest, seq = excluded.seq",
        )
        .bind(self.school.0.to_string())
        .bind(kinds)
        .bind(ids)
        .bind(versions)
        .bind(bodies)
        .bind(stamps)
        .bind(digests)
        .bind(numbers)
        .execute(connection)
        .await?;
        Ok(())
    }

    /// Takes what was erased out of the stored records.
    async fn sweep(
        &mut self,
        connection: &mut PgConnection,
        erasures: &mut Erasures,
    ) -> Result<(), StoreError> {
        loop {
            self.write(&mut *connection).await?;
            let mut sweep = Sweep::default();
            {
                let mut rows = pin!(
                    sqlx::query(
                        "SELECT kind, id, body FROM lanewright.record WHERE school = $1 AND kind <> $2"
                    )
                    .bind(self.school.0.to_string())
                    .bind(ERASURE)
                    .fetch(&mut *connection)
                );
                while let Some(row) = rows.try_next().await? {
                    let (kind, id): (&str, &str) = (row.try_get("kind")?, row.try_get("id")?);
                    let broken = || damaged(&format!("record {kind} {id}"));
                    let body = serde_json::from_str(row.try_get("body")?).map_err(|_| broken())?;
                    sweep.look(erasures, kind, id.parse().map_err(|_| broken())?, &body);
                }
            }
            let (kinds, ids): (Vec<String>, Vec<String>) =
                sweep.gone.iter().map(|key| (key.kind.clone(), key.id.to_string())).unzip();
            sqlx::query(
                "DELETE FROM lanewright.record USING unnest($2::text[], $3::text[]) AS gone (gone_kind, gone_id)
                 WHERE school = $1 AND kind = gone_kind AND id = gone_id",
            )
            .bind(self.school.0.to_string())
            .bind(kinds)
            .bind(ids)
            .execute(&mut *connection)
            .await?;
            for (key, body) in sweep.changed {
                // Not from the desk: what lies there may be older than the row.
                self.records.remove(&key);
                let Some(stored) = self.find(&mut *connection, &key).await? else { continue };
                let record = Record { body, ..stored.clone() };
                sqlx::query(
                    "UPDATE lanewright.record SET body = $4, digest = $5 WHERE school = $1 AND kind = $2 AND id = $3",
                )
                .bind(self.school.0.to_string())
                .bind(&key.kind)
                .bind(key.id.to_string())
                .bind(canonical_json(&record.body))
                .bind(record.digest())
                .execute(&mut *connection)
                .await?;
            }
            let mut more = false;
            for (child, class) in sweep.orphans {
                more |= self.erase_child(&mut *connection, child, class, erasures).await?;
            }
            if !more {
                // Those that were known already were put all the same: they carry numbers.
                return self.write(connection).await;
            }
        }
    }
}

/// Brings the erasures of a school up to its present change.
async fn read_erasures(
    connection: &mut PgConnection,
    school: SchoolId,
    known: Option<Known>,
    ground: &Ground,
) -> Result<Erasures, StoreError> {
    let known = known.filter(|known| known.opening == ground.opening && known.seq <= ground.seq);
    let (seq, mut erasures) = known.map_or((0, Erasures::default()), |known| (known.seq, known.erasures));
    if seq == ground.seq {
        return Ok(erasures);
    }
    let rows =
        sqlx::query("SELECT id, body FROM lanewright.record WHERE school = $1 AND kind = $2 AND seq > $3")
            .bind(school.0.to_string())
            .bind(ERASURE)
            .bind(seq)
            .fetch_all(connection)
            .await?;
    for row in rows {
        let body = serde_json::from_str(row.try_get("body")?).map_err(|_| damaged("an erasure"))?;
        erasures.add(row.try_get("id")?, &body);
    }
    Ok(erasures)
}

#[async_trait]
impl Store for PostgresStore {
    fn home(&self) -> SchoolId {
        self.home
    }

    async fn schools(&self) -> Result<Vec<SchoolId>, StoreError> {
        schools(&mut *self.pool.acquire().await?).await
    }

    async fn add_school(&self, school: SchoolId) -> Result<(), StoreError> {
        let mut transaction = self.begin().await?;
        insert_school(&mut transaction, school).await?;
        Ok(transaction.commit().await?)
    }

    async fn push(
        &self,
        school: SchoolId,
        records: &[Record],
        now_ms: u64,
    ) -> Result<PushAnswer, StoreError> {
        let checked: Vec<Result<Record, RefusalReason>> = records
            .iter()
            .map(|record| {
                let taken = received(record, now_ms);
                lanewright_sync::check(&taken, school, now_ms).map(|()| taken)
            })
            .collect();

        let turn = self.turn(school);
        let mut turn = turn.lock().await;
        let known = turn.take();
        let mut transaction = self.begin_of(school).await?;
        lock_school(&mut transaction, school).await?;
        let ground = ground(&mut transaction, school).await?;
        if !ground.noted {
            note_opening(&mut transaction, school, &ground).await?;
        }
        let mut erasures = read_erasures(&mut transaction, school, known, &ground).await?;
        let mut desk = Desk { school, seq: ground.seq, records: BTreeMap::new() };
        let sound = checked.iter().filter_map(|checked| checked.as_ref().ok());
        desk.fetch(&mut transaction, sound.map(Record::key).collect()).await?;
        let mut sweep_due = false;
        let mut answer = PushAnswer { now_ms, ..PushAnswer::default() };
        for (record, checked) in records.iter().zip(checked) {
            let key = record.key();
            if let (true, class) = goes(&erasures, record)
                && record.school == school
            {
                if let Some(class) = class
                    && desk.find(&mut transaction, &key).await?.is_none()
                {
                    sweep_due |= desk.erase_child(&mut transaction, record.id, class, &mut erasures).await?;
                }
                answer.acked.push(Acked::of(record));
                continue;
            }
            let taken = match checked {
                Ok(taken) => taken,
                Err(reason) => {
                    answer.refused.push(Refused { key, stamp: record.stamp, reason });
                    continue;
                }
            };
            let Some(left) = left_of(&erasures, &taken) else { continue };
            if merge(desk.find(&mut transaction, &key).await?, &left) == Merge::Replace {
                if left.kind == ERASURE {
                    sweep_due |= erasures.add(&left.id.to_string(), &left.body);
                }
                desk.put(left);
            }
            answer.acked.push(Acked::of(record));
        }
        if sweep_due {
            desk.sweep(&mut transaction, &mut erasures).await?;
        } else {
            desk.write(&mut transaction).await?;
        }
        if desk.seq > ground.seq {
            sqlx::query(
                "UPDATE lanewright.school SET seq = $2, erased = erased + $3::bigint WHERE school = $1",
            )
            .bind(school.0.to_string())
            .bind(desk.seq)
            .bind(i64::from(sweep_due))
            .execute(&mut *transaction)
            .await?;
        }
        transaction.commit().await?;
        answer.at = Some(Place { history: ground.opening, seq: unsigned(desk.seq) });
        *turn = Some(Known { opening: ground.opening, seq: desk.seq, erasures });
        if sweep_due {
            self.scrub_due().insert(school);
        }
        // The push stands whatever comes of this; what is left to be done is done with the next one.
        if self.scrub_due().contains(&school) {
            let patience = if sweep_due { PATIENT } else { IN_PASSING };
            let _ = self.scrub(school, patience).await;
        }
        Ok(answer)
    }

    async fn pull(&self, school: SchoolId, after: u64, limit: usize) -> Result<PullAnswer, StoreError> {
        let (mut transaction, ground) = self.stand(school).await?;
        let after = i64::try_from(after).ok().filter(|after| *after <= ground.seq).unwrap_or(0);
        let at = Some(Place { history: ground.opening, seq: unsigned(ground.seq) });
        let mut answer = PullAnswer { records: Vec::new(), cursor: unsigned(after), more: false, at };
        let mut bytes = 0;
        let mut rows = pin!(
            sqlx::query(
                "SELECT kind, id, version, body, stamp, digest, seq FROM lanewright.record
                 WHERE school = $1 AND seq > $2 ORDER BY seq LIMIT $3",
            )
            .bind(school.0.to_string())
            .bind(after)
            .bind(i64::try_from(limit).unwrap_or(i64::MAX).saturating_add(1))
            .fetch(&mut *transaction)
        );
        while let Some(row) = rows.try_next().await? {
            if answer.records.len() >= limit || bytes >= PULL_BYTES_MAX {
                answer.more = true;
                break;
            }
            let record = record_from(school, &row)?;
            bytes += canonical_json(&record.body).len();
            answer.cursor = unsigned(row.try_get("seq")?);
            answer.records.push(record);
        }
        Ok(answer)
    }

    async fn standing(&self, school: SchoolId, told: Option<Place>) -> Result<Standing, StoreError> {
        let (mut transaction, ground) = self.stand(school).await?;
        let known = match told {
            None => true,
            Some(told) => {
                // Up to where the named opening went: to the begin of the next one, or to now.
                let until: Option<i64> = sqlx::query_scalar(
                    "SELECT coalesce(
                         (SELECT next.from_seq FROM lanewright.opening AS next
                          WHERE next.school = named.school AND next.number = named.number + 1), $3)
                     FROM lanewright.opening AS named WHERE named.school = $1 AND named.name = $2",
                )
                .bind(school.0.to_string())
                .bind(told.history.to_string())
                .bind(ground.seq)
                .fetch_optional(&mut *transaction)
                .await?;
                until.is_some_and(|until| told.seq <= unsigned(until))
            }
        };
        Ok(Standing { at: Place { history: ground.opening, seq: unsigned(ground.seq) }, known })
    }

    async fn get(&self, school: SchoolId, key: &RecordKey) -> Result<Option<Record>, StoreError> {
        let mut transaction = self.view_of(school).await?;
        known_school(&mut transaction, school).await?;
        let row = sqlx::query(
            "SELECT kind, id, version, body, stamp, digest FROM lanewright.record
             WHERE school = $1 AND kind = $2 AND id = $3",
        )
        .bind(school.0.to_string())
        .bind(&key.kind)
        .bind(key.id.to_string())
        .fetch_optional(&mut *transaction)
        .await?;
        row.map(|row| record_from(school, &row)).transpose()
    }

    async fn add_link(&self, link: Link) -> Result<(), StoreError> {
        let mut transaction = self.begin_of(link.school).await?;
        known_school(&mut transaction, link.school).await?;
        sqlx::query(
            "INSERT INTO lanewright.link (token_sha256, school, role, lanes, label, expires_ms)
             VALUES ($1, $2, $3, $4, $5, $6)",
        )
        .bind(link.token.to_hex())
        .bind(link.school.0.to_string())
        .bind(link.role.name())
        .bind(link.lanes.map(|lanes| lanes.join(",")))
        .bind(link.label)
        .bind(signed(link.expires_ms))
        .execute(&mut *transaction)
        .await?;
        Ok(transaction.commit().await?)
    }

    async fn void_links(&self, school: SchoolId) -> Result<(), StoreError> {
        let mut transaction = self.begin_of(school).await?;
        sqlx::query("DELETE FROM lanewright.link WHERE school = $1")
            .bind(school.0.to_string())
            .execute(&mut *transaction)
            .await?;
        Ok(transaction.commit().await?)
    }

    async fn open_link(
        &self,
        link: TokenHash,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError> {
        let mut transaction = self.begin().await?;
        let Some(school) = school_of(&mut transaction, Token::Link(link)).await? else { return Ok(None) };
        of_school(&mut transaction, school).await?;
        // Two devices that come in at once get different numbers.
        lock_school(&mut transaction, school).await?;
        remove_expired(&mut transaction, school, now_ms).await?;
        // Of several who found it, the first to hold the row takes it away.
        let row = sqlx::query(
            "DELETE FROM lanewright.link WHERE school = $1 AND token_sha256 = $2 RETURNING role, lanes, label",
        )
        .bind(school.0.to_string())
        .bind(link.to_hex())
        .fetch_optional(&mut *transaction)
        .await?;
        let opened = match row {
            None => None,
            Some(row) => {
                let link = Link {
                    token: link,
                    school,
                    role: Role::from_name(row.try_get("role")?)?,
                    lanes: lanes_from(row.try_get("lanes")?),
                    label: row.try_get("label")?,
                    expires_ms,
                };
                Some(insert_session(&mut transaction, session, link, now_ms, expires_ms).await?)
            }
        };
        transaction.commit().await?;
        Ok(opened)
    }

    async fn password(&self, school: SchoolId) -> Result<Option<Password>, StoreError> {
        let mut transaction = self.view_of(school).await?;
        let row = sqlx::query("SELECT hash, set_ms FROM lanewright.password WHERE school = $1")
            .bind(school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        row.map(|row| Ok(Password { hash: row.try_get("hash")?, set_ms: unsigned(row.try_get("set_ms")?) }))
            .transpose()
    }

    async fn set_password(
        &self,
        school: SchoolId,
        before: Option<&str>,
        after: Option<Password>,
    ) -> Result<bool, StoreError> {
        let mut transaction = self.begin_of(school).await?;
        lock_school(&mut transaction, school).await?;
        if stored_hash(&mut transaction, school).await?.as_deref() != before {
            return Ok(false);
        }
        sqlx::query("DELETE FROM lanewright.password WHERE school = $1")
            .bind(school.0.to_string())
            .execute(&mut *transaction)
            .await?;
        if let Some(password) = after {
            sqlx::query("INSERT INTO lanewright.password (school, hash, set_ms) VALUES ($1, $2, $3)")
                .bind(school.0.to_string())
                .bind(password.hash)
                .bind(signed(password.set_ms))
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        // The change stands whatever comes of this: the old one still lies in the table's file.
        if let Ok(mut connection) = self.pool.acquire().await {
            let _ = rewrite(&mut connection, "password", PATIENT).await;
        }
        Ok(true)
    }

    async fn open_with_password(
        &self,
        school: SchoolId,
        hash: &str,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError> {
        let mut transaction = self.begin_of(school).await?;
        lock_school(&mut transaction, school).await?;
        remove_expired(&mut transaction, school, now_ms).await?;
        let opened = if stored_hash(&mut transaction, school).await?.as_deref() == Some(hash) {
            let link =
                Link { token: session, school, role: Role::Coach, lanes: None, label: None, expires_ms };
            Some(insert_session(&mut transaction, session, link, now_ms, expires_ms).await?)
        } else {
            None
        };
        transaction.commit().await?;
        Ok(opened)
    }

    async fn session(&self, token: TokenHash, now_ms: u64) -> Result<Option<Session>, StoreError> {
        let mut transaction = self.view().await?;
        of_token(&mut transaction, token).await?;
        let row = sqlx::query("SELECT * FROM lanewright.session WHERE token_sha256 = $1 AND expires_ms > $2")
            .bind(token.to_hex())
            .bind(signed(now_ms))
            .fetch_optional(&mut *transaction)
            .await?;
        row.map(|row| session_from(&row)).transpose()
    }

    async fn links(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Link>, StoreError> {
        let mut transaction = self.view_of(school).await?;
        let rows = sqlx::query("SELECT * FROM lanewright.link WHERE school = $1 AND expires_ms > $2")
            .bind(school.0.to_string())
            .bind(signed(now_ms))
            .fetch_all(&mut *transaction)
            .await?;
        rows.iter()
            .map(|row| {
                Ok(Link {
                    token: token_from(row.try_get("token_sha256")?)?,
                    school,
                    role: Role::from_name(row.try_get("role")?)?,
                    lanes: lanes_from(row.try_get("lanes")?),
                    label: row.try_get("label")?,
                    expires_ms: unsigned(row.try_get("expires_ms")?),
                })
            })
            .collect()
    }

    async fn sessions(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Session>, StoreError> {
        let mut transaction = self.view_of(school).await?;
        let rows = sqlx::query(
            "SELECT * FROM lanewright.session WHERE school = $1 AND expires_ms > $2 ORDER BY opened_ms, number",
        )
        .bind(school.0.to_string())
        .bind(signed(now_ms))
        .fetch_all(&mut *transaction)
        .await?;
        rows.iter().map(session_from).collect()
    }

    async fn note_seen(&self, token: TokenHash, day: u32) -> Result<(), StoreError> {
        let mut transaction = self.begin().await?;
        let Some(school) = school_of(&mut transaction, Token::Session(token)).await? else { return Ok(()) };
        of_school(&mut transaction, school).await?;
        sqlx::query("UPDATE lanewright.session SET seen_day = $3 WHERE school = $1 AND token_sha256 = $2")
            .bind(school.0.to_string())
            .bind(token.to_hex())
            .bind(i64::from(day))
            .execute(&mut *transaction)
            .await?;
        Ok(transaction.commit().await?)
    }

    async fn end_session(&self, token: TokenHash) -> Result<(), StoreError> {
        let mut transaction = self.begin().await?;
        let Some(school) = school_of(&mut transaction, Token::Session(token)).await? else { return Ok(()) };
        of_school(&mut transaction, school).await?;
        sqlx::query("DELETE FROM lanewright.session WHERE school = $1 AND token_sha256 = $2")
            .bind(school.0.to_string())
            .bind(token.to_hex())
            .execute(&mut *transaction)
            .await?;
        Ok(transaction.commit().await?)
    }

    async fn close(&self) {
        let due: Vec<SchoolId> = self.scrub_due().iter().copied().collect();
        for school in due {
            let _ = self.scrub(school, PATIENT).await;
        }
        // Waits for connections that are in use: a push that is under way finishes its commit first.
        self.pool.close().await;
    }
}

/// Reads the names of all schools.
async fn schools(connection: &mut PgConnection) -> Result<Vec<SchoolId>, StoreError> {
    let names: Vec<String> =
        sqlx::query_scalar("SELECT id FROM lanewright.directory ORDER BY id").fetch_all(connection).await?;
    names.iter().map(|name| school_from(name)).collect()
}

async fn known_school(connection: &mut PgConnection, school: SchoolId) -> Result<(), StoreError> {
    let known: Option<i64> = sqlx::query_scalar("SELECT seq FROM lanewright.school WHERE school = $1")
        .bind(school.0.to_string())
        .fetch_optional(connection)
        .await?;
    known.map(|_| ()).ok_or(StoreError::UnknownSchool)
}

/// Says for which token the rest of the transaction may read the one row.
async fn of_token(connection: &mut PgConnection, token: TokenHash) -> Result<(), StoreError> {
    sqlx::query("SELECT set_config('lanewright.token', $1, true)")
        .bind(token.to_hex())
        .execute(connection)
        .await?;
    Ok(())
}

/// What a token opens.
enum Token {
    Link(TokenHash),
    Session(TokenHash),
}

/// Returns the school of the row with a token.
async fn school_of(connection: &mut PgConnection, token: Token) -> Result<Option<SchoolId>, StoreError> {
    let (sql, token) = match token {
        Token::Link(token) => ("SELECT school FROM lanewright.link WHERE token_sha256 = $1", token),
        Token::Session(token) => ("SELECT school FROM lanewright.session WHERE token_sha256 = $1", token),
    };
    of_token(&mut *connection, token).await?;
    let school: Option<String> =
        sqlx::query_scalar(sql).bind(token.to_hex()).fetch_optional(connection).await?;
    school.map(|school| school_from(&school)).transpose()
}

/// Takes away links and sessions of a school whose time is up.
async fn remove_expired(
    connection: &mut PgConnection,
    school: SchoolId,
    now_ms: u64,
) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM lanewright.link WHERE school = $1 AND expires_ms <= $2",
        "DELETE FROM lanewright.session WHERE school = $1 AND expires_ms <= $2",
    ] {
        sqlx::query(sql).bind(school.0.to_string()).bind(signed(now_ms)).execute(&mut *connection).await?;
    }
    Ok(())
}

async fn stored_hash(connection: &mut PgConnection, school: SchoolId) -> Result<Option<String>, StoreError> {
    Ok(sqlx::query_scalar("SELECT hash FROM lanewright.password WHERE school = $1")
        .bind(school.0.to_string())
        .fetch_optional(connection)
        .await?)
}

/// Opens a session as a link gives it; its token, number and times are made here. The school's row is locked, so two
/// devices that come in at once get different numbers.
async fn insert_session(
    connection: &mut PgConnection,
    token: TokenHash,
    link: Link,
    now_ms: u64,
    expires_ms: u64,
) -> Result<Session, StoreError> {
    let number: i64 =
        sqlx::query_scalar("SELECT 1 + coalesce(max(number), 0) FROM lanewright.session WHERE school = $1")
            .bind(link.school.0.to_string())
            .fetch_one(&mut *connection)
            .await?;
    let number = u32::try_from(number).unwrap_or(u32::MAX);
    let session = Session::opened(link, token, number, now_ms, expires_ms);
    sqlx::query(
        "INSERT INTO lanewright.session
             (token_sha256, school, role, lanes, label, number, opened_ms, expires_ms, seen_day)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(session.token.to_hex())
    .bind(session.school.0.to_string())
    .bind(session.role.name())
    .bind(session.lanes.as_ref().map(|lanes| lanes.join(",")))
    .bind(&session.label)
    .bind(i64::from(session.number))
    .bind(signed(session.opened_ms))
    .bind(signed(session.expires_ms))
    .bind(i64::from(session.seen_day))
    .execute(connection)
    .await?;
    Ok(session)
}

/// Reads a record and compares its digest with the one that was stored: damage is reported, never passed on.
fn record_from(school: SchoolId, row: &PgRow) -> Result<Record, StoreError> {
    let (kind, id): (String, String) = (row.try_get("kind")?, row.try_get("id")?);
    let broken = || damaged(&format!("record {kind} {id}"));
    let record = Record {
        id: id.parse().map_err(|_| broken())?,
        kind: kind.clone(),
        version: u32::try_from(row.try_get::<i64, _>("version")?).map_err(|_| broken())?,
        body: serde_json::from_str(row.try_get("body")?).map_err(|_| broken())?,
        stamp: row.try_get::<&str, _>("stamp")?.parse().map_err(|_| broken())?,
        school,
    };
    if record.digest() == row.try_get::<&str, _>("digest")? { Ok(record) } else { Err(broken()) }
}

fn session_from(row: &PgRow) -> Result<Session, StoreError> {
    let small = |number: i64| u32::try_from(number).unwrap_or(u32::MAX);
    Ok(Session {
        token: token_from(row.try_get("token_sha256")?)?,
        school: school_from(row.try_get("school")?)?,
        role: Role::from_name(row.try_get("role")?)?,
        lanes: lanes_from(row.try_get("lanes")?),
        label: row.try_get("label")?,
        number: small(row.try_get("number")?),
        opened_ms: unsigned(row.try_get("opened_ms")?),
        expires_ms: unsigned(row.try_get("expires_ms")?),
        seen_day: small(row.try_get("seen_day")?),
    })
}
