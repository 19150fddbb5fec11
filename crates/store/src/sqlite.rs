//! The store of a school: one SQLite file.

use std::collections::BTreeMap;
use std::path::Path;
use std::pin::pin;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use async_trait::async_trait;
use futures_util::TryStreamExt;
use lanewright_model::erasure::{ERASURE, Erasures};
use lanewright_sync::message::PULL_BYTES_MAX;
use lanewright_sync::{
    Acked, Merge, Place, PullAnswer, PushAnswer, Record, RecordKey, RefusalReason, Refused, SchoolId,
    Standing, canonical_json, check, left_of, merge, received,
};
use sqlx::error::DatabaseError as _;
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection, SqliteError, SqlitePoolOptions, SqliteRow};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, Row, Sqlite, SqlitePool, Transaction};
use tokio::sync::Mutex;
use uuid::Uuid;

use crate::erase::{Sweep, follows, goes};
use crate::folder::Folder;
use crate::journal;
use crate::{Link, Password, Role, Session, Store, StoreError, TokenHash};

/// Newest format that this program writes and reads.
pub const FORMAT_VERSION: i64 = STEPS.len() as i64;

/// Steps from an empty file to the newest format; each sets `user_version` to its number and is one transaction.
///
/// Only ever append. A file of an earlier format is copied before it is changed, and a file of every released format
/// is opened in tests.
const STEPS: &[&str] = &[
    include_str!("../steps/sqlite/0001_start.sql"),
    include_str!("../steps/sqlite/0002_way_in.sql"),
    include_str!("../steps/sqlite/0003_password.sql"),
];

/// `LnWr`, in the header of our files.
const APPLICATION_ID: i64 = 0x4c6e_5772;

/// Oldest SQLite without the fault that could damage a write-ahead log while it was reset
/// (sqlite.org/wal.html, "WAL-reset bug", mended in 3.51.3).
const SQLITE_MIN: [u32; 3] = [3, 51, 3];

/// Settings that every connection gets and is then asked for: name, and what SQLite answers when it holds.
const SETTINGS: &[(&str, &str)] = &[
    // Readers never block the writer. Local disks only, never a network or synchronised folder.
    ("journal_mode", "wal"),
    // FULL: a commit is on the disk before it is acked. NORMAL would lose acked records in a power cut.
    ("synchronous", "2"),
    // On macOS a plain fsync does not reach the platter. Without effect elsewhere.
    ("fullfsync", "1"),
    ("checkpoint_fullfsync", "1"),
    ("foreign_keys", "1"),
    ("busy_timeout", "5000"),
    // A schema that someone tampered with must not call functions with side effects.
    ("trusted_schema", "0"),
    ("cell_size_check", "1"),
    // Children's data: what is deleted is overwritten, and nothing is spilled into temporary files.
    ("secure_delete", "1"),
    ("temp_store", "2"),
    // A stray pointer must not reach the file.
    ("mmap_size", "0"),
];

/// Connections at once: one writes, the others read (engineering assumption).
const CONNECTIONS_MAX: u32 = 4;
/// How long a request waits for a connection (engineering assumption).
const CONNECTION_WAIT: Duration = Duration::from_secs(10);

/// Records in one SQLite file in a folder of its own.
pub struct SqliteStore {
    pool: SqlitePool,
    home: SchoolId,
    /// Name of this opening of the file.
    opening: Uuid,
    /// One writer at a time: the others wait here in turn instead of holding connections that readers need. Who writes
    /// has the erasures of the schools that were written to; a school is missing when they have to be read anew.
    writer: Mutex<BTreeMap<SchoolId, Erasures>>,
    /// Something was erased, and its bytes may still lie in the log or in the file.
    scrub_due: AtomicBool,
    /// Last, so that the folder is let go only after the connections.
    folder: Folder,
}

impl SqliteStore {
    /// Opens the data folder, making folder and file if they are not there.
    ///
    /// `new_home` names the school of a file that has none yet; in an existing file it is passed over.
    ///
    /// # Errors
    /// Another process uses the folder; the file belongs to something else or to a later version (it is then
    /// left untouched); it is damaged; a setting on which safety rests did not take.
    pub async fn open(folder: &Path, new_home: SchoolId) -> Result<Self, StoreError> {
        let folder = Folder::take(folder)?;
        let path = folder.database()?;
        identify(&path).await?;
        let pool = SqlitePoolOptions::new()
            .max_connections(CONNECTIONS_MAX)
            .acquire_timeout(CONNECTION_WAIT)
            .after_connect(|connection, _| {
                Box::pin(async move {
                    assert_settings(connection)
                        .await
                        .map_err(|error| sqlx::Error::Configuration(Box::new(error)))
                })
            })
            .connect_with(connect_options(&path))
            .await?;
        let (home, opening) = prepare(&pool, new_home, &folder).await?;
        let store = Self {
            pool,
            home,
            opening,
            writer: Mutex::new(BTreeMap::new()),
            scrub_due: AtomicBool::new(false),
            folder,
        };
        store.scrub_leftovers().await?;
        Ok(store)
    }

    /// Returns what one connection of the pool answers for each setting, in a fixed order.
    ///
    /// # Errors
    /// The database did not answer.
    pub async fn settings(&self) -> Result<Vec<(&'static str, String)>, StoreError> {
        read_settings(&mut *self.pool.acquire().await?).await
    }

    /// Writes file and log anew without what was deleted, so that no byte of it is left in either.
    ///
    /// `secure_delete` overwrites what is deleted, but not what moved within the file before, and the log keeps the
    /// pages of earlier commits. If a reader holds the log, the next push or the end of the program tries again.
    async fn scrub(&self) -> Result<(), StoreError> {
        if !self.scrub_due.load(Ordering::SeqCst) {
            return Ok(());
        }
        let mut connection = self.pool.acquire().await?;
        sqlx::query("VACUUM").execute(&mut *connection).await?;
        self.folder.remove_copies();
        if truncate_log(&mut connection).await? {
            self.scrub_due.store(false, Ordering::SeqCst);
        }
        Ok(())
    }

    /// Finishes what a program that was cut off while it erased has left: pages that were set free, and the log.
    async fn scrub_leftovers(&self) -> Result<(), StoreError> {
        let mut connection = self.pool.acquire().await?;
        let free: i64 = sqlx::query_scalar("PRAGMA freelist_count").fetch_one(&mut *connection).await?;
        if free > 0 {
            sqlx::query("VACUUM").execute(&mut *connection).await?;
        }
        truncate_log(&mut connection).await?;
        Ok(())
    }

    async fn begin(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        // A deferred transaction that turns to writing would fail at once if another one is writing.
        Ok(self.pool.begin_with("BEGIN IMMEDIATE").await?)
    }
}

/// How every connection that may write is opened.
pub(crate) fn connect_options(path: &Path) -> SqliteConnectOptions {
    let mut options = SqliteConnectOptions::new().filename(path);
    for (name, value) in SETTINGS {
        options = options.pragma(*name, *value);
    }
    // Statements in logs would be noise; slow ones would be logged with their text.
    options.disable_statement_logging()
}

pub(crate) async fn read_settings(
    connection: &mut SqliteConnection,
) -> Result<Vec<(&'static str, String)>, StoreError> {
    let mut settings = Vec::new();
    for (name, _) in SETTINGS {
        let sql = AssertSqlSafe(format!("PRAGMA {name}"));
        let row = sqlx::query(sql).fetch_one(&mut *connection).await?;
        let value = row.try_get::<i64, _>(0).map(|number| number.to_string());
        settings.push((*name, value.or_else(|_| row.try_get::<String, _>(0))?));
    }
    Ok(settings)
}

/// Asks a connection for every setting and compares.
pub(crate) async fn assert_settings(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    for ((name, found), (_, wanted)) in read_settings(connection).await?.into_iter().zip(SETTINGS) {
        if found != *wanted {
            return Err(StoreError::Setting { name: name.into(), wanted: (*wanted).into(), found });
        }
    }
    let found: String = sqlx::query_scalar("SELECT sqlite_version()").fetch_one(connection).await?;
    let mut numbers = found.split('.').map(|part| part.parse().unwrap_or(0));
    let version = [(); 3].map(|()| numbers.next().unwrap_or(0));
    if version < SQLITE_MIN {
        let wanted = SQLITE_MIN.map(|number| number.to_string()).join(".");
        return Err(StoreError::OldSqlite { found, wanted });
    }
    Ok(())
}

/// Finds out whose file this is, without writing to it.
pub(crate) async fn identify(path: &Path) -> Result<(), StoreError> {
    let not_ours = || StoreError::NotOurs { path: path.display().to_string() };
    let mut connection = SqliteConnectOptions::new()
        .filename(path)
        .read_only(true)
        .disable_statement_logging()
        .connect()
        .await?;
    let asked = async {
        let application: i64 = sqlx::query_scalar("PRAGMA application_id").fetch_one(&mut connection).await?;
        let version: i64 = sqlx::query_scalar("PRAGMA user_version").fetch_one(&mut connection).await?;
        let tables: i64 =
            sqlx::query_scalar("SELECT count(*) FROM sqlite_schema").fetch_one(&mut connection).await?;
        Ok::<_, sqlx::Error>((application, version, tables))
    };
    let mut asked = asked.await;
    connection.close().await?;
    if let Err(error) = &asked
        && result_code(error) == Some(journal::READONLY_ROLLBACK)
    {
        // Whoever writes next rolls it back.
        let (application, version, holds) = journal::owner(path).ok_or_else(not_ours)?;
        asked = Ok((application, version, i64::from(holds)));
    }
    match asked {
        Ok((0, 0, 0)) => Ok(()),
        Ok((APPLICATION_ID, version, _)) if version > FORMAT_VERSION => {
            Err(StoreError::Newer { path: path.display().to_string(), found: version, known: FORMAT_VERSION })
        }
        Ok((APPLICATION_ID, version, _)) if version >= 1 => Ok(()),
        Ok(_) => Err(not_ours()),
        Err(error) if primary_code(&error) == Some(SQLITE_NOTADB) => Err(not_ours()),
        Err(error) => Err(error.into()),
    }
}

/// Checks the file, brings it to the newest format, begins an opening, and returns the school it was made for and the
/// name of the opening.
async fn prepare(
    pool: &SqlitePool,
    new_home: SchoolId,
    folder: &Folder,
) -> Result<(SchoolId, Uuid), StoreError> {
    let mut connection = pool.acquire().await?;
    // Not the quicker quick_check: it passes over an index that has lost entries, and then a pull would leave out
    // records without a word.
    let verdict: String = sqlx::query_scalar("PRAGMA integrity_check(1)").fetch_one(&mut *connection).await?;
    if verdict != "ok" {
        return Err(StoreError::Damaged { what: "the database file".into() });
    }
    let version: i64 = sqlx::query_scalar("PRAGMA user_version").fetch_one(&mut *connection).await?;
    if (1..FORMAT_VERSION).contains(&version) {
        folder.empty_copy(version)?;
        sqlx::query("VACUUM INTO $1")
            .bind(folder.copy_path(version).display().to_string())
            .execute(&mut *connection)
            .await?;
        folder.keep_copy(version)?;
    }
    for step in &STEPS[usize::try_from(version).expect("identified")..] {
        let mut transaction = connection.begin_with("BEGIN IMMEDIATE").await?;
        sqlx::raw_sql(*step).execute(&mut *transaction).await?;
        transaction.commit().await?;
    }
    let mut transaction = connection.begin_with("BEGIN IMMEDIATE").await?;
    let home: Option<String> =
        sqlx::query_scalar("SELECT school FROM home").fetch_optional(&mut *transaction).await?;
    let home = match home {
        Some(home) => SchoolId(home.parse().map_err(|_| damaged("the name of the school"))?),
        None => {
            insert_school(&mut transaction, new_home).await?;
            sqlx::query("INSERT INTO home (one, school) VALUES (1, $1)")
                .bind(new_home.0.to_string())
                .execute(&mut *transaction)
                .await?;
            new_home
        }
    };
    let bytes: Vec<u8> = sqlx::query_scalar("SELECT randomblob(16)").fetch_one(&mut *transaction).await?;
    let bytes = bytes.try_into().map_err(|_| damaged("the name of an opening"))?;
    let opening = uuid::Builder::from_random_bytes(bytes).into_uuid();
    begin_opening(&mut transaction, opening).await?;
    transaction.commit().await?;
    Ok((home, opening))
}

/// Notes an opening for every school that has not got it yet.
async fn begin_opening(connection: &mut SqliteConnection, opening: Uuid) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO opening (school, number, name, from_seq)
         SELECT id, 1 + (SELECT count(*) FROM opening WHERE opening.school = school.id), $1, seq FROM school
         WHERE NOT EXISTS (SELECT 1 FROM opening WHERE opening.school = school.id AND opening.name = $1)",
    )
    .bind(opening.to_string())
    .execute(connection)
    .await?;
    Ok(())
}

async fn insert_school(connection: &mut SqliteConnection, school: SchoolId) -> Result<(), StoreError> {
    sqlx::query("INSERT INTO school (id, seq) VALUES ($1, 0) ON CONFLICT (id) DO NOTHING")
        .bind(school.0.to_string())
        .execute(connection)
        .await?;
    Ok(())
}

#[async_trait]
impl Store for SqliteStore {
    fn home(&self) -> SchoolId {
        self.home
    }

    async fn add_school(&self, school: SchoolId) -> Result<(), StoreError> {
        let _turn = self.writer.lock().await;
        let mut transaction = self.begin().await?;
        insert_school(&mut transaction, school).await?;
        begin_opening(&mut transaction, self.opening).await?;
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
                check(&taken, school, now_ms).map(|()| taken)
            })
            .collect();

        let mut turn = self.writer.lock().await;
        // Taken out, and put back once they are durable: whoever is cut off in between leaves them to be read anew.
        let known = turn.remove(&school);
        let mut transaction = self.begin().await?;
        // The school's row comes first: whoever holds it commits before the next one gets a number, so numbers
        // become visible in their order. SQLite has one writer anyway; other databases need this line.
        let seq: Option<i64> = sqlx::query_scalar("UPDATE school SET seq = seq WHERE id = $1 RETURNING seq")
            .bind(school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        let before = seq.ok_or(StoreError::UnknownSchool)?;
        let mut seq = before;
        let mut erasures = match known {
            Some(erasures) => erasures,
            None => read_erasures(&mut transaction, school).await?,
        };
        let mut sweep_due = false;
        let mut answer = PushAnswer { now_ms, ..PushAnswer::default() };
        for (record, checked) in records.iter().zip(checked) {
            let key = record.key();
            if let (true, class) = goes(&erasures, record)
                && record.school == school
            {
                if let Some(class) = class
                    && find(&mut transaction, school, &key).await?.is_none()
                {
                    sweep_due |=
                        erase_child(&mut transaction, school, record.id, class, &mut erasures, &mut seq)
                            .await?;
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
            let stored = find(&mut transaction, school, &key).await?;
            if merge(stored.as_ref(), &left) == Merge::Replace {
                seq += 1;
                put(&mut transaction, &left, seq).await?;
                if left.kind == ERASURE {
                    sweep_due |= erasures.add(&left.id.to_string(), &left.body);
                }
            }
            answer.acked.push(Acked::of(record));
        }
        if sweep_due {
            sweep(&mut transaction, school, &mut erasures, &mut seq).await?;
            self.scrub_due.store(true, Ordering::SeqCst);
        }
        if seq > before {
            sqlx::query("UPDATE school SET seq = $2 WHERE id = $1")
                .bind(school.0.to_string())
                .bind(seq)
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        answer.at = Some(Place { history: self.opening, seq: unsigned(seq) });
        turn.insert(school, erasures);
        // The push stands whatever comes of this; what is left to be done is done with the next one.
        let _ = self.scrub().await;
        Ok(answer)
    }

    async fn pull(&self, school: SchoolId, after: u64, limit: usize) -> Result<PullAnswer, StoreError> {
        // One transaction, so that the count and the rows are of one moment.
        let mut transaction = self.pool.begin().await?;
        let seq: Option<i64> = sqlx::query_scalar("SELECT seq FROM school WHERE id = $1")
            .bind(school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        let seq = seq.ok_or(StoreError::UnknownSchool)?;
        let after = i64::try_from(after).ok().filter(|after| *after <= seq).unwrap_or(0);
        let at = Some(Place { history: self.opening, seq: unsigned(seq) });
        let mut answer = PullAnswer { records: Vec::new(), cursor: unsigned(after), more: false, at };
        let mut bytes = 0;
        let mut rows = pin!(
            sqlx::query(
                "SELECT kind, id, version, body, stamp, digest, seq FROM record
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
        let mut transaction = self.pool.begin().await?;
        let seq: Option<i64> = sqlx::query_scalar("SELECT seq FROM school WHERE id = $1")
            .bind(school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        let seq = seq.ok_or(StoreError::UnknownSchool)?;
        let known = match told {
            None => true,
            Some(told) => {
                // Up to where the named opening went: to the begin of the next one, or to now.
                let until: Option<i64> = sqlx::query_scalar(
                    "SELECT coalesce(
                         (SELECT next.from_seq FROM opening AS next
                          WHERE next.school = named.school AND next.number = named.number + 1), $3)
                     FROM opening AS named WHERE named.school = $1 AND named.name = $2",
                )
                .bind(school.0.to_string())
                .bind(told.history.to_string())
                .bind(seq)
                .fetch_optional(&mut *transaction)
                .await?;
                until.is_some_and(|until| told.seq <= unsigned(until))
            }
        };
        Ok(Standing { at: Place { history: self.opening, seq: unsigned(seq) }, known })
    }

    async fn get(&self, school: SchoolId, key: &RecordKey) -> Result<Option<Record>, StoreError> {
        let mut transaction = self.pool.begin().await?;
        let known: Option<i64> = sqlx::query_scalar("SELECT seq FROM school WHERE id = $1")
            .bind(school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        known.ok_or(StoreError::UnknownSchool)?;
        find(&mut transaction, school, key).await
    }

    async fn add_link(&self, link: Link) -> Result<(), StoreError> {
        let _turn = self.writer.lock().await;
        let mut transaction = self.begin().await?;
        let known: Option<i64> = sqlx::query_scalar("SELECT seq FROM school WHERE id = $1")
            .bind(link.school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        known.ok_or(StoreError::UnknownSchool)?;
        sqlx::query(
            "INSERT INTO link (token_sha256, school, role, lanes, label, expires_ms)
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
        let _turn = self.writer.lock().await;
        sqlx::query("DELETE FROM link WHERE school = $1")
            .bind(school.0.to_string())
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    async fn open_link(
        &self,
        link: TokenHash,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError> {
        let _turn = self.writer.lock().await;
        let mut transaction = self.begin().await?;
        for sql in ["DELETE FROM link WHERE expires_ms <= $1", "DELETE FROM session WHERE expires_ms <= $1"] {
            sqlx::query(sql).bind(signed(now_ms)).execute(&mut *transaction).await?;
        }
        let row =
            sqlx::query("DELETE FROM link WHERE token_sha256 = $1 RETURNING school, role, lanes, label")
                .bind(link.to_hex())
                .fetch_optional(&mut *transaction)
                .await?;
        let opened = match row {
            None => None,
            Some(row) => {
                let link = Link {
                    token: link,
                    school: school_from(row.try_get("school")?)?,
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
        let row = sqlx::query("SELECT hash, set_ms FROM password WHERE school = $1")
            .bind(school.0.to_string())
            .fetch_optional(&self.pool)
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
        let _turn = self.writer.lock().await;
        let mut transaction = self.begin().await?;
        let known: Option<i64> = sqlx::query_scalar("SELECT seq FROM school WHERE id = $1")
            .bind(school.0.to_string())
            .fetch_optional(&mut *transaction)
            .await?;
        known.ok_or(StoreError::UnknownSchool)?;
        if stored_hash(&mut transaction, school).await?.as_deref() != before {
            return Ok(false);
        }
        sqlx::query("DELETE FROM password WHERE school = $1")
            .bind(school.0.to_string())
            .execute(&mut *transaction)
            .await?;
        if let Some(password) = after {
            sqlx::query("INSERT INTO password (school, hash, set_ms) VALUES ($1, $2, $3)")
                .bind(school.0.to_string())
                .bind(password.hash)
                .bind(signed(password.set_ms))
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        // The change stands whatever comes of this: in the file the old one is overwritten, in the log it still lies.
        if let Ok(mut connection) = self.pool.acquire().await {
            let _ = truncate_log(&mut connection).await;
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
        let _turn = self.writer.lock().await;
        let mut transaction = self.begin().await?;
        sqlx::query("DELETE FROM session WHERE expires_ms <= $1")
            .bind(signed(now_ms))
            .execute(&mut *transaction)
            .await?;
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
        let row = sqlx::query("SELECT * FROM session WHERE token_sha256 = $1 AND expires_ms > $2")
            .bind(token.to_hex())
            .bind(signed(now_ms))
            .fetch_optional(&self.pool)
            .await?;
        row.map(|row| session_from(&row)).transpose()
    }

    async fn links(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Link>, StoreError> {
        let rows = sqlx::query("SELECT * FROM link WHERE school = $1 AND expires_ms > $2")
            .bind(school.0.to_string())
            .bind(signed(now_ms))
            .fetch_all(&self.pool)
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
        let rows = sqlx::query(
            "SELECT * FROM session WHERE school = $1 AND expires_ms > $2 ORDER BY opened_ms, number",
        )
        .bind(school.0.to_string())
        .bind(signed(now_ms))
        .fetch_all(&self.pool)
        .await?;
        rows.iter().map(session_from).collect()
    }

    async fn note_seen(&self, token: TokenHash, day: u32) -> Result<(), StoreError> {
        let _turn = self.writer.lock().await;
        sqlx::query("UPDATE session SET seen_day = $2 WHERE token_sha256 = $1")
            .bind(token.to_hex())
            .bind(i64::from(day))
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    async fn end_session(&self, token: TokenHash) -> Result<(), StoreError> {
        let _turn = self.writer.lock().await;
        sqlx::query("DELETE FROM session WHERE token_sha256 = $1")
            .bind(token.to_hex())
            .execute(&self.pool)
            .await?;
        Ok(())
    }

    async fn close(&self) {
        // A push that is under way finishes its commit first.
        let _turn = self.writer.lock().await;
        let _ = self.scrub().await;
        self.pool.close().await;
    }
}

async fn stored_hash(
    connection: &mut SqliteConnection,
    school: SchoolId,
) -> Result<Option<String>, StoreError> {
    Ok(sqlx::query_scalar("SELECT hash FROM password WHERE school = $1")
        .bind(school.0.to_string())
        .fetch_optional(connection)
        .await?)
}

/// Opens a session as a link gives it; its token, number and times are made here.
async fn insert_session(
    connection: &mut SqliteConnection,
    token: TokenHash,
    link: Link,
    now_ms: u64,
    expires_ms: u64,
) -> Result<Session, StoreError> {
    let number: i64 =
        sqlx::query_scalar("SELECT 1 + coalesce(max(number), 0) FROM session WHERE school = $1")
            .bind(link.school.0.to_string())
            .fetch_one(&mut *connection)
            .await?;
    let number = u32::try_from(number).unwrap_or(u32::MAX);
    let session = Session::opened(link, token, number, now_ms, expires_ms);
    sqlx::query(
        "INSERT INTO session
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

async fn find(
    connection: &mut SqliteConnection,
    school: SchoolId,
    key: &RecordKey,
) -> Result<Option<Record>, StoreError> {
    let row = sqlx::query(
        "SELECT kind, id, version, body, stamp, digest FROM record WHERE school = $1 AND kind = $2 AND id = $3",
    )
    .bind(school.0.to_string())
    .bind(&key.kind)
    .bind(key.id.to_string())
    .fetch_optional(connection)
    .await?;
    row.map(|row| record_from(school, &row)).transpose()
}

/// Reads every erasure of a school.
async fn read_erasures(connection: &mut SqliteConnection, school: SchoolId) -> Result<Erasures, StoreError> {
    let rows = sqlx::query("SELECT id, body FROM record WHERE school = $1 AND kind = $2")
        .bind(school.0.to_string())
        .bind(ERASURE)
        .fetch_all(connection)
        .await?;
    let mut erasures = Erasures::default();
    for row in rows {
        let id: &str = row.try_get("id")?;
        let body = serde_json::from_str(row.try_get("body")?).map_err(|_| damaged("an erasure"))?;
        erasures.add(id, &body);
    }
    Ok(erasures)
}

/// Erases a child whose class was erased before the school knew it. Returns whether that is new.
async fn erase_child(
    connection: &mut SqliteConnection,
    school: SchoolId,
    child: Uuid,
    class: Uuid,
    erasures: &mut Erasures,
    seq: &mut i64,
) -> Result<bool, StoreError> {
    let cause = RecordKey { kind: ERASURE.to_owned(), id: class };
    let Some(cause) = find(&mut *connection, school, &cause).await? else { return Ok(false) };
    let record = follows(child, cause.stamp, school);
    *seq += 1;
    put(connection, &record, *seq).await?;
    Ok(erasures.add(&child.to_string(), &record.body))
}

/// Takes what was erased out of the stored records.
async fn sweep(
    connection: &mut SqliteConnection,
    school: SchoolId,
    erasures: &mut Erasures,
    seq: &mut i64,
) -> Result<(), StoreError> {
    loop {
        let mut sweep = Sweep::default();
        {
            let mut rows = pin!(
                sqlx::query("SELECT kind, id, body FROM record WHERE school = $1 AND kind <> $2")
                    .bind(school.0.to_string())
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
        for key in &sweep.gone {
            sqlx::query("DELETE FROM record WHERE school = $1 AND kind = $2 AND id = $3")
                .bind(school.0.to_string())
                .bind(&key.kind)
                .bind(key.id.to_string())
                .execute(&mut *connection)
                .await?;
        }
        for (key, body) in sweep.changed {
            let Some(stored) = find(&mut *connection, school, &key).await? else { continue };
            let record = Record { body, ..stored };
            sqlx::query(
                "UPDATE record SET body = $4, digest = $5 WHERE school = $1 AND kind = $2 AND id = $3",
            )
            .bind(school.0.to_string())
            .bind(&key.kind)
            .bind(key.id.to_string())
            .bind(canonical_json(&record.body))
            .bind(record.digest())
            .execute(&mut *connection)
            .await?;
        }
        let mut more = false;
        for (child, class) in sweep.orphans {
            more |= erase_child(&mut *connection, school, child, class, erasures, seq).await?;
        }
        if !more {
            return Ok(());
        }
    }
}

/// Writes the log back into the file and empties it. Returns whether nothing of it is left.
async fn truncate_log(connection: &mut SqliteConnection) -> Result<bool, StoreError> {
    let row = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").fetch_one(connection).await?;
    Ok(row.try_get::<i64, _>(0)? == 0)
}

async fn put(connection: &mut SqliteConnection, record: &Record, seq: i64) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO record (school, kind, id, version, body, stamp, digest, seq)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
         ON CONFLICT (school, kind, id) DO UPDATE SET
             version = excluded.version, body = excluded.body, stamp = excluded.stamp,
             digest = excluded.digest, seq = excluded.seq",
    )
    .bind(record.school.0.to_string())
    .bind(&record.kind)
    .bind(record.id.to_string())
    .bind(i64::from(record.version))
    .bind(canonical_json(&record.body))
    .bind(record.stamp.to_string())
    .bind(record.digest())
    .bind(seq)
    .execute(connection)
    .await?;
    Ok(())
}

/// Reads a record and compares its digest with the one that was stored: damage is reported, never passed on.
pub(crate) fn record_from(school: SchoolId, row: &SqliteRow) -> Result<Record, StoreError> {
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

fn session_from(row: &SqliteRow) -> Result<Session, StoreError> {
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

pub(crate) fn lanes_from(text: Option<String>) -> Option<Vec<String>> {
    text.map(|text| text.split(',').filter(|lane| !lane.is_empty()).map(str::to_owned).collect())
}

pub(crate) fn token_from(text: &str) -> Result<TokenHash, StoreError> {
    let mut bytes = [0; 32];
    for (place, byte) in bytes.iter_mut().enumerate() {
        let digits = text.get(2 * place..2 * place + 2).ok_or_else(|| damaged("the digest of a token"))?;
        *byte = u8::from_str_radix(digits, 16).map_err(|_| damaged("the digest of a token"))?;
    }
    Ok(TokenHash(bytes))
}

pub(crate) fn school_from(text: &str) -> Result<SchoolId, StoreError> {
    text.parse::<Uuid>().map(SchoolId).map_err(|_| damaged("the name of a school"))
}

pub(crate) fn damaged(what: &str) -> StoreError {
    StoreError::Damaged { what: what.to_owned() }
}

/// Times beyond the year 292 million are all the same to us.
pub(crate) fn signed(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

pub(crate) fn unsigned(number: i64) -> u64 {
    u64::try_from(number).unwrap_or(0)
}

/// Result code "database disk image is malformed" (sqlite.org/rescode.html).
const SQLITE_CORRUPT: u32 = 11;
/// Result code "file is not a database".
const SQLITE_NOTADB: u32 = 26;

/// Returns SQLite's result code without the extension in the upper bytes.
fn primary_code(error: &sqlx::Error) -> Option<u32> {
    Some(result_code(error)? & 0xff)
}

/// Returns SQLite's whole result code.
fn result_code(error: &sqlx::Error) -> Option<u32> {
    error.as_database_error()?.try_downcast_ref::<SqliteError>()?.code()?.parse().ok()
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        if matches!(primary_code(&error), Some(SQLITE_CORRUPT | SQLITE_NOTADB)) {
            return damaged("the database file");
        }
        match error {
            // Our own verdict on a connection, back from the pool.
            sqlx::Error::Configuration(inner) => match inner.downcast::<StoreError>() {
                Ok(own) => *own,
                Err(other) => StoreError::Database(other),
            },
            other => StoreError::Database(Box::new(other)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::suite::{HOME, NOW_MS, pull_all, write};
    use serde_json::json;

    async fn fresh() -> (SqliteStore, tempfile::TempDir) {
        let folder = tempfile::tempdir().expect("a temporary folder");
        (SqliteStore::open(folder.path(), HOME).await.expect("opened"), folder)
    }

    #[tokio::test]
    async fn every_setting_holds_on_every_connection() {
        let (store, _folder) = fresh().await;
        let mut held = Vec::new();
        for _ in 0..CONNECTIONS_MAX {
            let mut connection = store.pool.acquire().await.expect("a connection");
            let settings = read_settings(&mut connection).await.expect("read");
            let expected: Vec<_> =
                SETTINGS.iter().map(|(name, value)| (*name, (*value).to_owned())).collect();
            assert_eq!(settings, expected);
            held.push(connection);
        }
    }

    #[tokio::test]
    async fn a_connection_with_one_setting_missing_is_refused() {
        let (store, folder) = fresh().await;
        let path = folder.path().join("lanewright.sqlite");
        for (name, wrong) in [
            ("synchronous", "1"),
            ("foreign_keys", "0"),
            ("busy_timeout", "0"),
            ("trusted_schema", "1"),
            ("cell_size_check", "0"),
            ("secure_delete", "0"),
            ("temp_store", "0"),
            ("fullfsync", "0"),
            ("mmap_size", "65536"),
        ] {
            let mut connection =
                connect_options(&path).pragma(name, wrong).connect().await.expect("connected");
            let error = assert_settings(&mut connection).await.expect_err("refused");
            assert!(matches!(&error, StoreError::Setting { name: named, .. } if named == name), "{error}");
            connection.close().await.expect("closed");
        }
        store.close().await;
        let mut connection =
            connect_options(&path).pragma("journal_mode", "delete").connect().await.expect("connected");
        assert!(assert_settings(&mut connection).await.is_err());
    }

    #[tokio::test]
    async fn the_steps_end_at_the_newest_format() {
        let (store, _folder) = fresh().await;
        let version: i64 =
            sqlx::query_scalar("PRAGMA user_version").fetch_one(&store.pool).await.expect("read");
        let id: i64 = sqlx::query_scalar("PRAGMA application_id").fetch_one(&store.pool).await.expect("read");
        assert_eq!((version, id), (FORMAT_VERSION, APPLICATION_ID));
    }

    #[tokio::test]
    async fn a_push_that_fails_halfway_leaves_nothing() {
        let (store, _folder) = fresh().await;
        sqlx::raw_sql(
            "CREATE TRIGGER full BEFORE INSERT ON record WHEN new.kind = 'microscope'
             BEGIN SELECT RAISE(ABORT, 'the disk is full'); END",
        )
        .execute(&store.pool)
        .await
        .expect("made");
        let mut records = vec![write(1, 0, json!({})), write(2, 0, json!({})), write(3, 0, json!({}))];
        records[1].kind = "microscope".into();
        let error = store.push(HOME, &records, NOW_MS).await.expect_err("failed");
        assert!(matches!(error, StoreError::Database(_)), "{error}");
        assert_eq!(pull_all(&store, HOME, 0, 10).await, (vec![], 0));
        // The same records without the cause go through, numbered as if nothing had happened.
        records.remove(1);
        store.push(HOME, &records, NOW_MS).await.expect("pushed");
        assert_eq!(pull_all(&store, HOME, 0, 10).await, (records, 2));
    }

    #[tokio::test]
    async fn a_push_whose_caller_goes_away_is_stored_whole_or_not_at_all() {
        let (store, _folder) = fresh().await;
        let records: Vec<Record> = (1..=10).map(|number| write(number, 0, json!({}))).collect();
        let mut sizes = std::collections::BTreeSet::new();
        for polls in 0..400 {
            // Polls the push a few times only, then drops it.
            let mut push = pin!(store.push(HOME, &records, NOW_MS));
            let mut left = polls;
            let done = std::future::poll_fn(|context| {
                if left == 0 {
                    return std::task::Poll::Ready(false);
                }
                left -= 1;
                push.as_mut().poll(context).map(|answer| answer.is_ok())
            })
            .await;
            let stored = pull_all(&store, HOME, 0, 100).await.0.len();
            assert!(stored == 0 || stored == records.len(), "{stored} after {polls} polls");
            sizes.insert(stored);
            if done {
                break;
            }
        }
        assert_eq!(sizes.len(), 2, "both outcomes were seen");
    }

    #[tokio::test]
    async fn a_changed_row_is_reported_and_never_served() {
        let (store, _folder) = fresh().await;
        let record = write(1, 0, json!({"v": 1}));
        for sql in [
            "UPDATE record SET body = '{\"v\":2}'",
            "UPDATE record SET version = 2",
            "UPDATE record SET stamp = replace(stamp, '-0000', '-1000')",
            "UPDATE record SET digest = replace(digest, substr(digest, 1, 1), 'x')",
            "UPDATE record SET kind = 'microscope'",
        ] {
            sqlx::query("DELETE FROM record").execute(&store.pool).await.expect("emptied");
            store.push(HOME, std::slice::from_ref(&record), NOW_MS).await.expect("pushed");
            sqlx::query(sql).execute(&store.pool).await.expect("changed");
            let error = store.pull(HOME, 0, 10).await.expect_err("noticed");
            assert!(matches!(error, StoreError::Damaged { .. }), "{sql}: {error}");
        }
    }
}
