//! Keeps records, sessions, one-time links and passwords.
//!
//! One async trait, [`Store`], and three that implement it: [`SqliteStore`] for a school, [`PostgresStore`] for several
//! server processes on one database, and [`MemoryStore`], the twin for tests and simulation. All pass the very same
//! suite (feature `suite`).
//!
//! # Invariants
//! - Every record comes in through [`Store::push`]. Rules are added there, never on a second way in.
//! - What is acked is durable. What is not acked is stored whole or not at all.
//! - What a read returns is what was pushed: digests are compared on the way out.
//! - What was erased never comes back, whatever its stamp, and no byte of it stays in the file.
//! - No clock in here: times and tokens are arguments. Only the name of an opening comes from the database.

#[cfg(feature = "suite")]
pub mod cluster;
mod erase;
pub mod file;
mod folder;
mod journal;
mod memory;
pub mod postgres;
mod sqlite;
#[cfg(feature = "suite")]
pub mod suite;

use async_trait::async_trait;
use lanewright_sync::{Place, PullAnswer, PushAnswer, Record, RecordKey, SchoolId, Standing};
use sha2::{Digest, Sha256};

pub use memory::MemoryStore;
pub use postgres::PostgresStore;
pub use sqlite::{FORMAT_VERSION, SqliteStore};

/// SHA-256 of a token, the only trace of it that is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TokenHash(pub [u8; 32]);

impl TokenHash {
    /// Returns the digest of a token.
    pub fn of(token: &str) -> Self {
        Self(Sha256::digest(token).into())
    }

    fn to_hex(self) -> String {
        self.0.iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// Shows the first 8 hexadecimal digits: enough to tell devices apart in a log, and no way back to the token.
impl std::fmt::Display for TokenHash {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0[..4].iter().try_for_each(|byte| write!(formatter, "{byte:02x}"))
    }
}

/// What a session may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Sees and writes everything of the school.
    Coach,
    /// Records runs and times; sees names, lanes and today's runs.
    Helper,
}

impl Role {
    /// Returns the role's name as it is stored and sent.
    pub fn name(self) -> &'static str {
        match self {
            Role::Coach => "coach",
            Role::Helper => "helper",
        }
    }

    fn from_name(name: &str) -> Result<Self, StoreError> {
        match name {
            "coach" => Ok(Role::Coach),
            "helper" => Ok(Role::Helper),
            _ => Err(StoreError::Damaged { what: "a session's role".into() }),
        }
    }
}

/// A link that opens a session once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Digest of the token in the link.
    pub token: TokenHash,
    /// Whose records the session sees.
    pub school: SchoolId,
    /// What the session may do.
    pub role: Role,
    /// Lanes in which a helper may record; `None`: in all. Letters, without commas.
    pub lanes: Option<Vec<String>>,
    /// What the coach calls the device.
    pub label: Option<String>,
    /// When it stops working, in milliseconds since 1970.
    pub expires_ms: u64,
}

/// A device that opened a link.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// Digest of the token in the device's cookie.
    pub token: TokenHash,
    /// Whose records it sees.
    pub school: SchoolId,
    /// What it may do.
    pub role: Role,
    /// Lanes in which a helper may record; `None`: in all.
    pub lanes: Option<Vec<String>>,
    /// What the coach calls the device.
    pub label: Option<String>,
    /// One more than the largest number among the school's open sessions when it was opened: a name for a device
    /// without a label.
    pub number: u32,
    /// When it was opened, in milliseconds since 1970.
    pub opened_ms: u64,
    /// When it ends, in milliseconds since 1970.
    pub expires_ms: u64,
    /// The last day on which it asked for anything, counted from 1970-01-01 (UTC).
    pub seen_day: u32,
}

impl Session {
    /// Returns the session that a link opens at `now_ms`, until `expires_ms`. `token` is that of the device's cookie,
    /// `number` its [`Session::number`].
    pub(crate) fn opened(link: Link, token: TokenHash, number: u32, now_ms: u64, expires_ms: u64) -> Self {
        let Link { school, role, lanes, label, .. } = link;
        let (opened_ms, seen_day) = (now_ms, day_of(now_ms));
        Self { token, school, role, lanes, label, number, opened_ms, expires_ms, seen_day }
    }

    /// Returns the name by which a coach ends it: 16 hexadecimal digits of the token's digest, no way back to the
    /// token.
    pub fn name(&self) -> String {
        self.token.to_hex()[..16].to_owned()
    }
}

/// The password of a school, as far as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Password {
    /// What a password is compared with: salt, parameters and digest in one text. The store does not read it.
    pub hash: String,
    /// When a coach set it, in milliseconds since 1970.
    pub set_ms: u64,
}

/// Milliseconds of a day.
const DAY_MS: u64 = 24 * 60 * 60 * 1000;

/// Returns the number of a day, counted from 1970-01-01 (UTC).
pub fn day_of(ms: u64) -> u32 {
    u32::try_from(ms / DAY_MS).unwrap_or(u32::MAX)
}

/// What keeps the records of one or more schools.
#[async_trait]
pub trait Store: Send + Sync + 'static {
    /// Returns the school that this store was made for.
    fn home(&self) -> SchoolId;

    /// Returns the schools of this store: those that are looked after when nobody asks, such as for what is too old.
    async fn schools(&self) -> Result<Vec<SchoolId>, StoreError> {
        Ok(vec![self.home()])
    }

    /// Makes room for one more school. Doing it again changes nothing.
    async fn add_school(&self, school: SchoolId) -> Result<(), StoreError>;

    /// Stores records: the only way in.
    ///
    /// Each is checked ([`lanewright_sync::check`]) and then merged with what is there
    /// ([`lanewright_sync::merge`]). All changes of one push become visible together. Every record is answered
    /// once, in the order of the push; one that is acked is durable, or superseded by a later one that is.
    /// Pushing the same again changes nothing and is acked again.
    ///
    /// An erasure outranks every stamp: what it names goes, and is dropped on arrival from then on. A record that is
    /// dropped so is acked, since what supersedes it is durable.
    ///
    /// # Errors
    /// Nothing was stored, or, if the store failed while committing, all or nothing.
    async fn push(&self, school: SchoolId, records: &[Record], now_ms: u64)
    -> Result<PushAnswer, StoreError>;

    /// Returns the records that were committed after a cursor, oldest first, at most `limit` of them and at most
    /// about [`lanewright_sync::message::PULL_BYTES_MAX`].
    ///
    /// A record that was replaced appears once, at the place of its last change. A cursor beyond the last change
    /// comes from another history (a store that was restored): the answer then starts from the beginning, which
    /// does no harm since merging is idempotent.
    async fn pull(&self, school: SchoolId, after: u64, limit: usize) -> Result<PullAnswer, StoreError>;

    /// Says where this store stands, and whether a place that a device was told earlier lies behind it in the same
    /// history. It does when the opening of that name is known here and everything up to the place was still there when
    /// the next opening began. A store that was put back from a copy fails that: it must be read again from the start,
    /// and be given again what the device has.
    async fn standing(&self, school: SchoolId, told: Option<Place>) -> Result<Standing, StoreError>;

    /// Returns the record of a key.
    async fn get(&self, school: SchoolId, key: &RecordKey) -> Result<Option<Record>, StoreError>;

    /// Keeps a link until it is used or expires.
    async fn add_link(&self, link: Link) -> Result<(), StoreError>;

    /// Takes back all links of a school that were not used. Sessions stay.
    async fn void_links(&self, school: SchoolId) -> Result<(), StoreError>;

    /// Returns the links of a school that were not used and have not expired, in no order.
    async fn links(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Link>, StoreError>;

    /// Uses a link up and opens a session with another token. `None` if the link is unknown, used or expired:
    /// of several who try at once, one gets the session.
    async fn open_link(
        &self,
        link: TokenHash,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError>;

    /// Returns the password of a school, if it has one.
    async fn password(&self, school: SchoolId) -> Result<Option<Password>, StoreError>;

    /// Sets, changes or takes away the password of a school, if its hash is still `before` (`None`: there is none).
    /// Returns whether it was: of several who change it at once, one does. Nothing of the old one stays in the file.
    async fn set_password(
        &self,
        school: SchoolId,
        before: Option<&str>,
        after: Option<Password>,
    ) -> Result<bool, StoreError>;

    /// Opens a coach's session for whoever knew the school's password, if its hash is still the one that was compared:
    /// a password that was changed meanwhile opens nothing.
    async fn open_with_password(
        &self,
        school: SchoolId,
        hash: &str,
        session: TokenHash,
        now_ms: u64,
        expires_ms: u64,
    ) -> Result<Option<Session>, StoreError>;

    /// Returns an open session.
    async fn session(&self, token: TokenHash, now_ms: u64) -> Result<Option<Session>, StoreError>;

    /// Returns the open sessions of a school, oldest first.
    async fn sessions(&self, school: SchoolId, now_ms: u64) -> Result<Vec<Session>, StoreError>;

    /// Notes the day on which a session was used. Unknown ones are passed over.
    async fn note_seen(&self, token: TokenHash, day: u32) -> Result<(), StoreError>;

    /// Ends a session. Unknown ones are passed over.
    async fn end_session(&self, token: TokenHash) -> Result<(), StoreError>;

    /// Finishes what is under way and lets go of files. Afterwards nothing else may be asked.
    async fn close(&self);
}

/// Why a store cannot be opened or did not answer. Texts name files, never what is in them.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// A school that was never added.
    #[error("this store knows no such school")]
    UnknownSchool,
    /// What was read is not what was written.
    #[error(
        "the data is damaged: {what} is not what was stored; stop, keep the file, and restore the last backup"
    )]
    Damaged {
        /// Which part, without its content.
        what: String,
    },
    /// The file belongs to something else.
    #[error("{path} is not a Lanewright data file; it was left as it is. Name another folder with --data")]
    NotOurs {
        /// The file.
        path: String,
    },
    /// The file was written by a later version.
    #[error(
        "{path} has format {found}, and this program reads up to {known}; it was left as it is. Use the newer program"
    )]
    Newer {
        /// The file.
        path: String,
        /// Format of the file.
        found: i64,
        /// Newest format that this program reads.
        known: i64,
    },
    /// A copy holds the data of another school.
    #[error("{path} holds the data of another school; it was left as it is. Name another folder with --data")]
    OtherSchool {
        /// The file.
        path: String,
    },
    /// Another process has the folder open.
    #[error("another Lanewright is using {path}; stop that one first, or name another folder with --data")]
    InUse {
        /// The folder.
        path: String,
    },
    /// The SQLite in this program is too old to be trusted.
    #[error(
        "SQLite {found} can damage files; this program needs {wanted} or later and was built with the wrong one"
    )]
    OldSqlite {
        /// Version found.
        found: String,
        /// Oldest version that will do.
        wanted: String,
    },
    /// A setting did not take.
    #[error("the database's setting {name} is `{found}`, not `{wanted}`; saved records would not be safe")]
    Setting {
        /// Which setting.
        name: String,
        /// What it has to be.
        wanted: String,
        /// What it is.
        found: String,
    },
    /// A file or folder could not be used.
    #[error("{path} could not be {what}: {source}")]
    File {
        /// The file or folder.
        path: String,
        /// What was tried, such as `opened`.
        what: &'static str,
        /// Why it failed.
        source: std::io::Error,
    },
    /// The file with the address of a database cannot be used.
    #[error("{path} does not lead to a database: {problem}")]
    Address {
        /// The file.
        path: String,
        /// What is wrong, without what is in it.
        problem: String,
    },
    /// The database belongs to something else.
    #[error(
        "the database holds something else; it was left as it is. Make a new one for Lanewright: docs/deploy.md"
    )]
    ForeignDatabase,
    /// The database was written by a later version.
    #[error(
        "the database has format {found}, and this program reads up to {known}; it was left as it is. Use the newer program"
    )]
    NewerDatabase {
        /// Format of the database.
        found: i64,
        /// Newest format that this program reads.
        known: i64,
    },
    /// The role may pass over the rules that keep schools apart.
    #[error(
        "the database role {role} may pass over the rules for rows, which keep schools apart; work as a role that is neither SUPERUSER nor BYPASSRLS: docs/deploy.md"
    )]
    MightyRole {
        /// The role.
        role: String,
    },
    /// A table has lost the rules that keep schools apart.
    #[error(
        "the table {table} has lost the rules for rows, which keep schools apart; put the last backup back"
    )]
    Unguarded {
        /// The table.
        table: String,
    },
    /// The database follows another one and takes no writes.
    #[error("this database is a standby; name the one that it follows")]
    Standby,
    /// The database did not answer.
    #[error("the database did not answer: {0}")]
    Database(#[source] Box<dyn std::error::Error + Send + Sync>),
}
