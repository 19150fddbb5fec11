//! A database as a whole: everything of a school, and whether all of it is sound. Also while programs work with it.

use futures_util::TryStreamExt;
use lanewright_sync::SchoolId;
use sqlx::postgres::PgConnection;
use sqlx::{Connection, Row};

use super::connection::{assert_settings, connect, format, identify, of_school, read_settings, unguarded};
use super::{Database, FORMAT_VERSION, damaged, record_from, schools};
use crate::StoreError;
use crate::file::{Contents, Health};

/// How often what is wrong is told in one go.
const WRONG_MAX: usize = 20;

async fn read_only(database: &Database) -> Result<PgConnection, StoreError> {
    let mut connection = connect(database).await?;
    // A later program has written it: it is read, and left as it is.
    if identify(&mut connection).await? == 0 {
        return Err(StoreError::ForeignDatabase);
    }
    Ok(connection)
}

/// Reads everything of a school, or of the one for which the database was made. `None` if there is nothing of that
/// school yet.
///
/// # Errors
/// It is not ours, or damaged: then nothing is returned.
pub async fn contents(database: &Database, school: Option<SchoolId>) -> Result<Option<Contents>, StoreError> {
    let mut connection = connect(database).await?;
    if identify(&mut connection).await? == 0 {
        return Ok(None);
    }
    let mut transaction = connection.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY").await?;
    let format = format(&mut transaction).await?;
    let home: Option<String> =
        sqlx::query_scalar("SELECT home FROM lanewright.about").fetch_one(&mut *transaction).await?;
    let home = home.and_then(|home| home.parse().ok()).map(SchoolId);
    let school = school.or(home).ok_or_else(|| damaged("the name of the school"))?;
    if !schools(&mut transaction).await?.contains(&school) {
        return Ok(None);
    }
    of_school(&mut transaction, school).await?;
    let mut records = Vec::new();
    {
        let mut rows = sqlx::query(
            "SELECT kind, id, version, body, stamp, digest FROM lanewright.record
             WHERE school = $1 ORDER BY kind, id",
        )
        .bind(school.0.to_string())
        .fetch(&mut *transaction);
        while let Some(row) = rows.try_next().await? {
            records.push(record_from(school, &row)?);
        }
    }
    transaction.commit().await?;
    connection.close().await?;
    Ok(Some(Contents { school, format, records }))
}

/// Looks a database over: every record's digest and number, school by school, the rules for rows, and the settings on
/// which safety rests. Pages on the disk are the server's to check: see its checksums, and `pg_amcheck`.
///
/// # Errors
/// It is not ours, or cannot be read at all.
pub async fn check(database: &Database) -> Result<Health, StoreError> {
    let mut connection = read_only(database).await?;
    let mut health = Health { format: format(&mut connection).await?, ..Health::default() };
    for table in unguarded(&mut connection).await? {
        health.file.push(StoreError::Unguarded { table }.to_string());
    }
    for school in schools(&mut connection).await? {
        look(&mut connection, school, &mut health).await?;
    }
    health.settings = read_settings(&mut connection).await?;
    let checksums: String = sqlx::query_scalar("SHOW data_checksums").fetch_one(&mut connection).await?;
    health.setting_wrong = assert_settings(&health.settings).err().map(|error| error.to_string());
    health.settings.push(("data_checksums", checksums));
    if health.format > FORMAT_VERSION {
        health.settings.clear();
    }
    connection.close().await?;
    Ok(health)
}

/// Looks at the records of one school.
async fn look(
    connection: &mut PgConnection,
    school: SchoolId,
    health: &mut Health,
) -> Result<(), StoreError> {
    let mut transaction = connection.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY").await?;
    of_school(&mut transaction, school).await?;
    let name = school.0.to_string();
    let last: i64 = sqlx::query_scalar("SELECT seq FROM lanewright.school WHERE school = $1")
        .bind(&name)
        .fetch_optional(&mut *transaction)
        .await?
        .unwrap_or(-1);
    let mut rows = sqlx::query(
        "SELECT kind, id, version, body, stamp, digest, seq FROM lanewright.record WHERE school = $1",
    )
    .bind(&name)
    .fetch(&mut *transaction);
    while let Some(row) = rows.try_next().await? {
        let wrong = match record_from(school, &row) {
            Ok(record) if row.try_get::<i64, _>("seq")? > last => {
                format!("record {} {}: its number is one that was never given", record.kind, record.id)
            }
            Ok(record) => {
                *health.kinds.entry(record.kind).or_default() += 1;
                continue;
            }
            Err(StoreError::Damaged { what }) => what,
            Err(error) => return Err(error),
        };
        if health.damaged.len() < WRONG_MAX {
            health.damaged.push(wrong);
        }
    }
    Ok(())
}
