//! The data file as a whole: looked at, copied, put back. None of these changes what a running program works with.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use futures_util::TryStreamExt;
use lanewright_model::erasure::ERASURE;
use lanewright_sync::{Record, SchoolId};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{ConnectOptions, Connection, Row};

use crate::folder::{DATABASE, Folder, keep_file, private_file};
use crate::sqlite::{FORMAT_VERSION, SqliteStore, assert_settings, connect_options, identify, record_from};
use crate::{Store, StoreError};

/// Where the data file of a data folder lies.
pub fn database_in(folder: &Path) -> PathBuf {
    folder.join(DATABASE)
}

/// What a data file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Contents {
    /// The school that it was made for.
    pub school: SchoolId,
    /// Its format; beyond [`FORMAT_VERSION`] it may be read and not written.
    pub format: i64,
    /// All records of that school.
    pub records: Vec<Record>,
}

/// How a data file is.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Health {
    /// Its format.
    pub format: i64,
    /// What SQLite found wrong with the file; nothing when it is sound.
    pub file: Vec<String>,
    /// Records whose digest is not that of their content.
    pub damaged: Vec<String>,
    /// Sound records by kind.
    pub kinds: BTreeMap<String, usize>,
    /// Settings on which safety rests, as they were read back; empty for a file of a later format and for a copy.
    pub settings: Vec<(&'static str, String)>,
    /// The setting that does not hold, as a sentence.
    pub setting_wrong: Option<String>,
}

impl Health {
    /// Returns whether nothing is wrong.
    pub fn is_sound(&self) -> bool {
        self.file.is_empty() && self.damaged.is_empty() && self.setting_wrong.is_none()
    }
}

async fn read_only(path: &Path) -> Result<SqliteConnection, StoreError> {
    if !path.exists() {
        let source = std::io::Error::from(std::io::ErrorKind::NotFound);
        return Err(StoreError::File { path: path.display().to_string(), what: "opened", source });
    }
    match identify(path).await {
        // A later program has written it: it is read, and left as it is.
        Ok(()) | Err(StoreError::Newer { .. }) => {}
        Err(error) => return Err(error),
    }
    let options = SqliteConnectOptions::new().filename(path).read_only(true).disable_statement_logging();
    Ok(options.pragma("trusted_schema", "0").pragma("busy_timeout", "5000").connect().await?)
}

async fn format_of(connection: &mut SqliteConnection) -> Result<i64, StoreError> {
    Ok(sqlx::query_scalar("PRAGMA user_version").fetch_one(connection).await?)
}

/// Reads everything in a data file, also while a program works with it, and also when a later program wrote it.
///
/// # Errors
/// It is not ours, or damaged: then nothing is returned.
pub async fn contents(path: &Path) -> Result<Contents, StoreError> {
    let mut connection = read_only(path).await?;
    let read = async {
        // One transaction, so that all is of one moment.
        let mut transaction = connection.begin().await?;
        let format = format_of(&mut transaction).await?;
        let school: Option<String> =
            sqlx::query_scalar("SELECT school FROM home").fetch_optional(&mut *transaction).await?;
        let school = school.and_then(|text| text.parse().ok()).map(SchoolId);
        let school = school.ok_or_else(|| StoreError::Damaged { what: "the name of the school".into() })?;
        let mut rows = sqlx::query(
            "SELECT kind, id, version, body, stamp, digest FROM record WHERE school = $1 ORDER BY kind, id",
        )
        .bind(school.0.to_string())
        .fetch(&mut *transaction);
        let mut records = Vec::new();
        while let Some(row) = rows.try_next().await? {
            records.push(record_from(school, &row)?);
        }
        Ok(Contents { school, format, records })
    };
    let read = read.await;
    connection.close().await?;
    read
}

/// Looks a data file over: SQLite's own check of the whole file, every record's digest, and, when `in_folder`, the
/// settings as a program that works with it has them.
///
/// # Errors
/// It is not ours, or cannot be read at all.
pub async fn check(path: &Path, in_folder: bool) -> Result<Health, StoreError> {
    let mut connection = read_only(path).await?;
    let mut health = Health { format: format_of(&mut connection).await?, ..Health::default() };
    for pragma in ["PRAGMA integrity_check(20)", "PRAGMA foreign_key_check"] {
        let rows = sqlx::query(pragma).fetch_all(&mut connection).await;
        match rows {
            Ok(rows) => health.file.extend(
                rows.iter()
                    .map(|row| {
                        row.try_get::<String, _>(0).unwrap_or_else(|_| "a reference leads nowhere".into())
                    })
                    .filter(|said| said != "ok"),
            ),
            Err(error) => health.file.push(StoreError::from(error).to_string()),
        }
    }
    let mut rows = sqlx::query("SELECT school, kind, id, version, body, stamp, digest FROM record")
        .fetch(&mut connection);
    loop {
        match rows.try_next().await {
            Ok(None) => break,
            Ok(Some(row)) => {
                let school = row.try_get::<String, _>("school").ok().and_then(|text| text.parse().ok());
                match record_from(SchoolId(school.unwrap_or_default()), &row) {
                    Ok(record) => *health.kinds.entry(record.kind).or_default() += 1,
                    Err(StoreError::Damaged { what }) => health.damaged.push(what),
                    Err(error) => return Err(error),
                }
            }
            Err(error) => {
                health.damaged.push(StoreError::from(error).to_string());
                break;
            }
        }
    }
    drop(rows);
    connection.close().await?;
    if in_folder && health.format <= FORMAT_VERSION && health.file.is_empty() {
        let mut connection = connect_options(path).connect().await?;
        health.settings = crate::sqlite::read_settings(&mut connection).await?;
        health.setting_wrong = assert_settings(&mut connection).await.err().map(|error| error.to_string());
        connection.close().await?;
    }
    Ok(health)
}

/// Copies a data file to a new file, as of one moment, also while a program works with it. The copy is on the disk and
/// was looked over before it gets its name; an existing file of that name is replaced.
///
/// # Errors
/// The source or the copy is not sound: nothing is left under the name.
pub async fn backup(path: &Path, to: &Path) -> Result<Health, StoreError> {
    copy(path, to, true).await
}

/// Does what [`backup`] does, and leaves out sessions, links and the password: for a copy that goes to others, or that
/// takes the place of a file in which they may have changed.
///
/// # Errors
/// As for [`backup`].
pub async fn backup_without_ways_in(path: &Path, to: &Path) -> Result<Health, StoreError> {
    copy(path, to, false).await
}

async fn copy(path: &Path, to: &Path, ways_in: bool) -> Result<Health, StoreError> {
    let mut unfinished = to.as_os_str().to_owned();
    unfinished.push(".unfinished");
    let unfinished = PathBuf::from(unfinished);
    let failed = |what, source| StoreError::File { path: to.display().to_string(), what, source };
    // Made by us, so that it is closed to others from its first byte.
    let made = private_file(&unfinished).and_then(|file| file.set_len(0));
    made.map_err(|source| failed("written", source))?;
    let copied = async {
        let mut connection = read_only(path).await?;
        let copied = sqlx::query("VACUUM INTO $1")
            .bind(unfinished.display().to_string())
            .execute(&mut connection)
            .await;
        connection.close().await?;
        copied?;
        if !ways_in {
            without_ways_in(&unfinished).await?;
        }
        let health = check(&unfinished, false).await?;
        if health.is_sound() { Ok(health) } else { Err(StoreError::Damaged { what: "the copy".into() }) }
    };
    let copied = copied.await;
    let kept = match copied {
        Ok(health) => keep_file(&unfinished)
            .and_then(|()| fs::rename(&unfinished, to))
            .and_then(|()| keep_file(to))
            .map(|()| health)
            .map_err(|source| failed("written", source)),
        Err(error) => Err(error),
    };
    if kept.is_err() {
        let _ = fs::remove_file(&unfinished);
    }
    kept
}

/// Takes sessions, links and the password out of a copy, so that no byte of them is left in it.
async fn without_ways_in(copy: &Path) -> Result<(), StoreError> {
    let options = SqliteConnectOptions::new().filename(copy).disable_statement_logging();
    let mut connection = options.pragma("secure_delete", "1").connect().await?;
    for (table, sql) in [
        ("session", "DELETE FROM session"),
        ("link", "DELETE FROM link"),
        ("password", "DELETE FROM password"),
    ] {
        // A copy of an earlier format knows fewer tables.
        let known: i64 =
            sqlx::query_scalar("SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = $1")
                .bind(table)
                .fetch_one(&mut connection)
                .await?;
        if known > 0 {
            sqlx::query(sql).execute(&mut connection).await?;
        }
    }
    Ok(connection.close().await?)
}

/// Puts a backup in the place of a data folder's file. The file that was there is kept beside it, under the name that
/// is returned, until something is erased. What was erased since the backup stays erased; sessions, links and the
/// password of the backup are not put back: they may have been ended, used or changed since.
///
/// # Errors
/// A program works with the folder; the backup is not sound, of a later format, or of another school. Nothing has
/// changed then.
pub async fn restore(folder: &Path, from: &Path) -> Result<Option<PathBuf>, StoreError> {
    let health = check(from, false).await?;
    if health.format > FORMAT_VERSION {
        return Err(StoreError::Newer {
            path: from.display().to_string(),
            found: health.format,
            known: FORMAT_VERSION,
        });
    }
    if !health.is_sound() {
        return Err(StoreError::Damaged { what: from.display().to_string() });
    }
    let backup_school = contents(from).await?.school;
    let path = database_in(folder);
    let taken = Folder::take(folder)?;
    let mut erasures = Vec::new();
    let mut kept = None;
    if path.exists() && fs::metadata(&path).is_ok_and(|file| file.len() > 0) {
        // A file that cannot be read any more is what backups are for: it is put aside as it is.
        match contents(&path).await {
            Ok(present) if present.school != backup_school => {
                return Err(StoreError::OtherSchool { path: from.display().to_string() });
            }
            Ok(present) => {
                erasures.extend(present.records.into_iter().filter(|record| record.kind == ERASURE))
            }
            Err(newer @ (StoreError::Newer { .. } | StoreError::NotOurs { .. })) => return Err(newer),
            Err(_) => {}
        }
        kept = Some(taken.before_restore());
    }
    let coming = taken.coming();
    backup_without_ways_in(from, &coming).await?;
    if !erasures.is_empty() {
        // Before it takes its place, so that what was erased is never back, not even for a moment.
        let now_ms = erasures.iter().map(|record| record.stamp.wall_ms).max().unwrap_or(0);
        // Erasures of a past lay in the past of the server's clock when they were stored.
        let latest =
            erasures.iter().filter_map(|record| record.body["before_ms"].as_u64()).max().unwrap_or(0);
        erase_in_copy(&coming, &erasures, backup_school, now_ms.max(latest)).await?;
    }
    taken.exchange(kept.is_some())?;
    drop(taken);
    // Opened once, so that what cannot be opened is noticed now.
    SqliteStore::open(folder, backup_school).await?.close().await;
    Ok(kept)
}

/// Does to a copy what [`Store::push`] of erasures does to the data: the copy is made anew without what was erased.
///
/// # Errors
/// It is not a sound copy of that school's data; it is left as it is.
pub async fn erase_in_copy(
    copy: &Path,
    erasures: &[Record],
    school: SchoolId,
    now_ms: u64,
) -> Result<(), StoreError> {
    let found = contents(copy).await?;
    if found.school != school {
        return Err(StoreError::OtherSchool { path: copy.display().to_string() });
    }
    if found.format > FORMAT_VERSION {
        return Err(StoreError::Newer {
            path: copy.display().to_string(),
            found: found.format,
            known: FORMAT_VERSION,
        });
    }
    let mut beside = copy.as_os_str().to_owned();
    beside.push(".erasing");
    let beside = PathBuf::from(beside);
    let failed = |source| StoreError::File { path: beside.display().to_string(), what: "written", source };
    let done = async {
        if beside.exists() {
            fs::remove_dir_all(&beside).map_err(failed)?;
        }
        fs::create_dir(&beside).map_err(failed)?;
        backup(copy, &database_in(&beside)).await?;
        let store = SqliteStore::open(&beside, school).await?;
        store.push(school, erasures, now_ms).await?;
        store.close().await;
        drop(store);
        backup(&database_in(&beside), copy).await.map(|_| ())
    };
    let done = done.await;
    let _ = fs::remove_dir_all(&beside);
    done
}
