//! What has to hold of every connection, and how a database gets its shape.

use lanewright_sync::SchoolId;
use sha2::{Digest, Sha256};
use sqlx::postgres::PgConnection;
use sqlx::{ConnectOptions, Connection, Row};
use uuid::Uuid;

use super::{Database, damaged};
use crate::StoreError;

/// Newest format of a database that this program writes and reads.
pub const FORMAT_VERSION: i64 = STEPS.len() as i64;

/// Steps from an empty database to the newest format; each sets the number in `lanewright.about`. Only ever append. A
/// dump of every released format is opened in tests.
const STEPS: &[&str] = &[
    include_str!("../../steps/postgres/0001_start.sql"),
    include_str!("../../steps/postgres/0002_password.sql"),
];

/// `LnWr`: the lock under which one process at a time looks whose database this is and changes its shape.
const LADDER_LOCK: i64 = 0x4c6e_5772;

/// Settings that every connection asks for, and is then asked for: name, and what PostgreSQL answers when it holds.
pub(super) const SETTINGS: &[(&str, &str)] = &[
    // A commit is on the disk before it is acked; with synchronous standbys, on theirs as well.
    ("synchronous_commit", "on"),
    // A process that hangs or whose computer died must not hold a school's row for ever (engineering assumptions).
    ("idle_in_transaction_session_timeout", "30s"),
    ("lock_timeout", "10s"),
    // Rows of other schools are left out, not reported as errors.
    ("row_security", "on"),
    // A plan for any school would lock the parts of all of them.
    ("plan_cache_mode", "force_custom_plan"),
    // Nothing that lies in another schema is ever meant.
    ("search_path", "pg_catalog"),
];

/// Settings of the database server itself, which only whoever runs it can change.
const SERVER_SETTINGS: &[(&str, &str)] = &[
    // Otherwise a power cut loses or damages what was acked.
    ("fsync", "on"),
    ("full_page_writes", "on"),
    ("server_encoding", "UTF8"),
];

/// Ways in which the server would write what is stored into its own log.
const LOG_SETTINGS: &[&str] = &[
    "log_statement",
    "log_min_duration_statement",
    "log_min_duration_sample",
    "log_transaction_sample_rate",
    "log_parameter_max_length",
    "log_parameter_max_length_on_error",
];

/// Returns what a connection answers for each setting on which safety rests, in a fixed order.
pub(super) async fn read_settings(
    connection: &mut PgConnection,
) -> Result<Vec<(&'static str, String)>, StoreError> {
    let mut settings = Vec::new();
    for name in SETTINGS.iter().chain(SERVER_SETTINGS).map(|(name, _)| name).chain(LOG_SETTINGS) {
        let value: Option<String> = sqlx::query_scalar("SELECT current_setting($1, true)")
            .bind(name)
            .fetch_one(&mut *connection)
            .await?;
        settings.push((*name, value.unwrap_or_default()));
    }
    Ok(settings)
}

/// Compares settings with what they have to be.
pub(super) fn assert_settings(settings: &[(&'static str, String)]) -> Result<(), StoreError> {
    let found =
        |name: &str| settings.iter().find(|(one, _)| *one == name).map_or("", |(_, value)| value.as_str());
    let setting = |name: &str, wanted: &str| StoreError::Setting {
        name: name.into(),
        wanted: wanted.into(),
        found: found(name).into(),
    };
    for (name, wanted) in SETTINGS.iter().chain(SERVER_SETTINGS) {
        if found(name) != *wanted {
            return Err(setting(name, wanted));
        }
    }
    let statements_are_logged = matches!(found("log_statement"), "mod" | "all")
        || found("log_min_duration_statement") != "-1"
        || found("log_min_duration_sample") != "-1"
        || found("log_transaction_sample_rate") != "0";
    for (name, counts) in
        [("log_parameter_max_length", statements_are_logged), ("log_parameter_max_length_on_error", true)]
    {
        if counts && found(name) != "0" {
            return Err(setting(name, "0"));
        }
    }
    Ok(())
}

/// Asks a connection who it is and where it leads.
async fn assert_role(connection: &mut PgConnection) -> Result<(), StoreError> {
    if sqlx::query_scalar("SELECT pg_is_in_recovery()").fetch_one(&mut *connection).await? {
        return Err(StoreError::Standby);
    }
    // Also through roles that it may take on.
    let row = sqlx::query(
        "SELECT current_user::text AS role, bool_or(rolsuper OR rolbypassrls) AS above FROM pg_roles
         WHERE pg_has_role(current_user, oid, 'MEMBER')",
    )
    .fetch_one(&mut *connection)
    .await?;
    if row.try_get::<Option<bool>, _>("above")? != Some(false) {
        return Err(StoreError::MightyRole { role: row.try_get("role")? });
    }
    Ok(())
}

/// What every connection of a pool has to pass before a record goes over it; and the database must not have moved on to
/// a later format since this program opened it.
pub(super) async fn assert_connection(connection: &mut PgConnection) -> Result<(), StoreError> {
    assert_role(connection).await?;
    assert_settings(&read_settings(connection).await?)?;
    let found = format(connection).await?;
    if found > FORMAT_VERSION {
        return Err(StoreError::NewerDatabase { found, known: FORMAT_VERSION });
    }
    Ok(())
}

pub(super) async fn format(connection: &mut PgConnection) -> Result<i64, StoreError> {
    Ok(sqlx::query_scalar("SELECT format FROM lanewright.about").fetch_one(connection).await?)
}

/// Opens one connection. To read, its settings need not be safe.
pub(super) async fn connect(database: &Database) -> Result<PgConnection, StoreError> {
    let mut connection = database.options.connect().await?;
    assert_role(&mut connection).await?;
    Ok(connection)
}

/// Finds out whose database this is, and returns its format: 0 for one in which nothing is.
pub(super) async fn identify(connection: &mut PgConnection) -> Result<i64, StoreError> {
    let ours: bool = sqlx::query_scalar("SELECT to_regclass('lanewright.about') IS NOT NULL")
        .fetch_one(&mut *connection)
        .await?;
    if ours {
        let row =
            sqlx::query("SELECT program, format FROM lanewright.about").fetch_optional(connection).await;
        // A table of that name with other columns is somebody else's.
        return match row {
            Ok(Some(row)) if row.try_get::<&str, _>("program").is_ok_and(|name| name == "Lanewright") => {
                row.try_get("format").map_err(|_| StoreError::ForeignDatabase)
            }
            Ok(_) => Err(StoreError::ForeignDatabase),
            Err(error) if error.as_database_error().is_some() => Err(StoreError::ForeignDatabase),
            Err(error) => Err(error.into()),
        };
    }
    // What an extension has brought along belongs to the server.
    let others: i64 = sqlx::query_scalar(
        "SELECT count(*) FROM pg_class JOIN pg_namespace ON pg_namespace.oid = relnamespace
         WHERE nspname <> 'information_schema' AND nspname NOT LIKE 'pg\\_%'
         AND NOT EXISTS (SELECT 1 FROM pg_depend WHERE classid = 'pg_class'::regclass
                         AND objid = pg_class.oid AND deptype = 'e')",
    )
    .fetch_one(&mut *connection)
    .await?;
    let schema: bool =
        sqlx::query_scalar("SELECT to_regnamespace('lanewright') IS NOT NULL").fetch_one(connection).await?;
    if others > 0 || schema { Err(StoreError::ForeignDatabase) } else { Ok(0) }
}

/// Brings a database to the newest format and returns the school it was made for: `new_home` if it has none yet. Of
/// several processes that start at once, one does it and the others wait.
pub(super) async fn prepare(database: &Database, new_home: SchoolId) -> Result<SchoolId, StoreError> {
    let mut connection = connect(database).await?;
    assert_settings(&read_settings(&mut connection).await?)?;
    let mut transaction = connection.begin().await?;
    sqlx::query("SELECT pg_advisory_xact_lock($1)").bind(LADDER_LOCK).execute(&mut *transaction).await?;
    let found = identify(&mut transaction).await?;
    if found > FORMAT_VERSION {
        return Err(StoreError::NewerDatabase { found, known: FORMAT_VERSION });
    }
    for step in &STEPS[usize::try_from(found).map_err(|_| StoreError::ForeignDatabase)?..] {
        sqlx::raw_sql(*step).execute(&mut *transaction).await?;
    }
    let home: Option<String> =
        sqlx::query_scalar("SELECT home FROM lanewright.about").fetch_one(&mut *transaction).await?;
    let home = match home {
        Some(home) => SchoolId(home.parse().map_err(|_| damaged("the name of the school"))?),
        None => {
            sqlx::query("UPDATE lanewright.about SET home = $1")
                .bind(new_home.0.to_string())
                .execute(&mut *transaction)
                .await?;
            new_home
        }
    };
    insert_school(&mut transaction, home).await?;
    if let Some(table) = unguarded(&mut transaction).await?.into_iter().next() {
        return Err(StoreError::Unguarded { table });
    }
    transaction.commit().await?;
    connection.close().await?;
    Ok(home)
}

/// Returns the tables with rows of schools that are not guarded by a policy.
pub(super) async fn unguarded(connection: &mut PgConnection) -> Result<Vec<String>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT relname::text FROM pg_class JOIN pg_attribute ON attrelid = pg_class.oid
         WHERE relnamespace = to_regnamespace('lanewright') AND relkind IN ('r', 'p') AND attname = 'school'
         AND NOT (relrowsecurity AND relforcerowsecurity
                  AND EXISTS (SELECT 1 FROM pg_policy WHERE polrelid = pg_class.oid)) ORDER BY relname",
    )
    .fetch_all(connection)
    .await?)
}

/// Makes room for a school. Doing it again changes nothing.
pub(super) async fn insert_school(connection: &mut PgConnection, school: SchoolId) -> Result<(), StoreError> {
    of_school(&mut *connection, school).await?;
    for sql in [
        "INSERT INTO lanewright.directory (id) VALUES ($1) ON CONFLICT (id) DO NOTHING",
        "INSERT INTO lanewright.school (school, seq) VALUES ($1, 0) ON CONFLICT (school) DO NOTHING",
    ] {
        sqlx::query(sql).bind(school.0.to_string()).execute(&mut *connection).await?;
    }
    Ok(())
}

/// Says for which school the rest of the transaction reads and writes.
pub(super) async fn of_school(connection: &mut PgConnection, school: SchoolId) -> Result<(), StoreError> {
    sqlx::query("SELECT set_config('lanewright.school', $1, true)")
        .bind(school.0.to_string())
        .execute(connection)
        .await?;
    Ok(())
}

/// Tells one opening of a database from every other: which installation, which branch of its history after a
/// restoration or a change-over to a standby, which database, which table, and since when the server runs. Whatever
/// puts older rows in the place of newer ones changes one of these.
const OPENING: &str = "concat_ws('/',
    (SELECT system_identifier FROM pg_control_system()), left(pg_walfile_name(pg_current_wal_lsn()), 8),
    (SELECT oid FROM pg_database WHERE datname = current_database()), 'lanewright.record'::regclass::oid,
    extract(epoch FROM pg_postmaster_start_time()))";

/// Where a school stands, by one look.
pub(super) struct Ground {
    /// Number of its last change.
    pub seq: i64,
    /// Name of the opening that goes on.
    pub opening: Uuid,
    /// Whether the school has that opening noted.
    pub noted: bool,
}

/// Looks where a school stands. To be asked once in a transaction, after its row was locked if it is to be changed.
pub(super) async fn ground(connection: &mut PgConnection, school: SchoolId) -> Result<Ground, StoreError> {
    let row = sqlx::query(sqlx::AssertSqlSafe(format!(
        "SELECT seq, {OPENING} AS opening,
                (SELECT name FROM lanewright.opening WHERE opening.school = school.school
                 ORDER BY number DESC LIMIT 1) AS latest
         FROM lanewright.school WHERE school = $1"
    )))
    .bind(school.0.to_string())
    .fetch_optional(connection)
    .await?
    .ok_or(StoreError::UnknownSchool)?;
    let digest = Sha256::digest(row.try_get::<&str, _>("opening")?);
    let bytes: [u8; 16] = std::array::from_fn(|place| digest[place]);
    // Version 8: made by a rule of our own (RFC 9562, section 5.8).
    let opening = uuid::Builder::from_custom_bytes(bytes).into_uuid();
    let latest: Option<&str> = row.try_get("latest")?;
    let noted = latest.is_some_and(|latest| latest == opening.to_string());
    Ok(Ground { seq: row.try_get("seq")?, opening, noted })
}

/// Notes the opening that goes on. The school's row is locked.
pub(super) async fn note_opening(
    connection: &mut PgConnection,
    school: SchoolId,
    ground: &Ground,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO lanewright.opening (school, number, name, from_seq)
         SELECT $1, 1 + count(*), $2, $3 FROM lanewright.opening WHERE school = $1",
    )
    .bind(school.0.to_string())
    .bind(ground.opening.to_string())
    .bind(ground.seq)
    .execute(connection)
    .await?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sound() -> Vec<(&'static str, String)> {
        let fixed = SETTINGS.iter().chain(SERVER_SETTINGS).copied();
        let logs = LOG_SETTINGS.iter().map(|name| {
            let usual = match *name {
                "log_statement" => "none",
                "log_transaction_sample_rate" | "log_parameter_max_length_on_error" => "0",
                _ => "-1",
            };
            (*name, usual)
        });
        fixed.chain(logs).map(|(name, value)| (name, value.to_owned())).collect()
    }

    fn refused(changes: &[(&str, &str)]) -> Option<String> {
        let mut settings = sound();
        for (name, value) in changes {
            settings.iter_mut().find(|(one, _)| one == name).expect("known").1 = (*value).to_owned();
        }
        assert_settings(&settings).err().map(|error| error.to_string())
    }

    #[test]
    fn a_server_as_it_comes_will_do_and_each_setting_counts() {
        assert_eq!(refused(&[]), None);
        for (name, _) in SETTINGS.iter().chain(SERVER_SETTINGS) {
            let said = refused(&[(name, "off")]).expect("refused");
            assert!(said.contains(name) && said.contains("off"), "{said}");
        }
    }

    #[test]
    fn a_server_that_would_log_names_is_refused() {
        for logging in [
            ("log_statement", "all"),
            ("log_statement", "mod"),
            ("log_min_duration_statement", "250ms"),
            ("log_min_duration_sample", "1s"),
            ("log_transaction_sample_rate", "0.1"),
        ] {
            assert!(refused(&[logging]).is_some_and(|said| said.contains("log_parameter_max_length")));
            assert_eq!(refused(&[logging, ("log_parameter_max_length", "0")]), None, "{logging:?}");
        }
        assert_eq!(refused(&[("log_statement", "ddl")]), None);
        assert!(refused(&[("log_parameter_max_length_on_error", "-1")]).is_some());
    }
}
