//! What the commands on the data folder share: where it is, the time, and what to say when it cannot be used.

pub(crate) mod backup;
pub(crate) mod check;
pub(crate) mod erase;
pub(crate) mod export;
pub(crate) mod import;
pub(crate) mod restore;

use std::io::{BufRead as _, IsTerminal as _, Read as _, Write as _};
use std::path::{Path, PathBuf};

use lanewright_store::file::{Contents, contents, database_in};
use lanewright_store::postgres::{self, Database};
use lanewright_store::{PostgresStore, SqliteStore, Store, StoreError};
use lanewright_sync::{DeviceId, SchoolId};
use uuid::Uuid;

use super::start::{Shared, data_folder};
use crate::failure::{Failure, Kind};

/// Exit codes of the commands on the data folder.
pub(crate) const DATA_EXIT_CODES: &str = "\
Exit codes:
  0  done
  2  a flag is missing or cannot be understood
  3  the data folder or a file cannot be read
  4  a file has mistakes; nothing was changed
  5  there is nothing of that name, or too little to be told
  6  a file cannot be written
  7  the data is damaged";

/// Which data folder.
#[derive(clap::Args, Clone)]
pub(crate) struct Folder {
    /// Folder of the data, as `start` uses it; without it, this user's own
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// The folder of the demo class
    #[arg(long)]
    demo: bool,
    #[command(flatten)]
    shared: Shared,
}

impl Folder {
    /// Returns the folder, there or not.
    pub(crate) fn path(&self) -> Result<PathBuf, Failure> {
        data_folder(self.data.as_ref(), self.demo)
    }

    /// Returns the folder, which has to hold data.
    pub(crate) fn existing(&self) -> Result<PathBuf, Failure> {
        let folder = self.path()?;
        if database_in(&folder).exists() {
            return Ok(folder);
        }
        Err(Failure::new(Kind::Read, format!("there is no Lanewright data in {}", folder.display()))
            .and("Name the folder that `lanewright start` uses with --data DIR."))
    }

    /// Returns the folder for what is done with a file only.
    pub(crate) fn file_only(&self, instead: &str) -> Result<PathBuf, Failure> {
        if self.shared.database.is_some() {
            return Err(Failure::new(
                Kind::Usage,
                "this is for a data file; a PostgreSQL database has its own way",
            )
            .and(instead));
        }
        self.path()
    }

    /// Returns the database, if one is named.
    pub(crate) fn database(&self) -> Result<Option<Database>, Failure> {
        let named = self.shared.database.as_ref();
        named.map(|file| Database::from_file(file).map_err(|error| store_failure(&error))).transpose()
    }

    /// Reads everything, also while a program works with it.
    pub(crate) fn read(&self) -> Result<Contents, Failure> {
        let nothing = || Failure::new(Kind::Read, "there is no data of that school in the database");
        self.read_if_there()?.ok_or_else(nothing)
    }

    /// Reads everything, or nothing when there is none yet. A folder has to hold data.
    fn read_if_there(&self) -> Result<Option<Contents>, Failure> {
        let read = match self.database()? {
            Some(database) => block_on(postgres::contents(&database, self.shared.school.map(SchoolId)))?,
            None => block_on(contents(&database_in(&self.existing()?)))?.map(Some),
        };
        read.map_err(|error| store_failure(&error))
    }

    /// Returns whether another school than this one was asked for.
    pub(crate) fn names_another(&self, school: SchoolId) -> bool {
        self.shared.school.is_some_and(|named| named != school.0)
    }

    /// Says that what is there belongs to another school than what is to come.
    pub(crate) fn other_school(&self, school: SchoolId) -> Failure {
        let (place, way) = match &self.shared.database {
            Some(file) => (file.clone(), format!("Name the school with --school {}.", school.0)),
            None => (self.path().unwrap_or_default(), "Name a new folder with --data DIR.".to_owned()),
        };
        Failure::new(Kind::Read, format!("{} holds the data of another school", place.display()))
            .and(format!("{way} Nothing was changed."))
    }

    /// Returns what is there already, for whoever brings more.
    pub(crate) fn present(&self) -> Result<Option<Contents>, Failure> {
        if self.shared.database.is_none() && !database_in(&self.path()?).exists() {
            return Ok(None);
        }
        self.read_if_there()
    }

    /// Opens it to be written to; a new one is made for this school.
    pub(crate) fn open(
        &self,
        school: SchoolId,
    ) -> Result<impl Future<Output = Result<Box<dyn Store>, StoreError>>, Failure> {
        let (database, named) = (self.database()?, self.shared.school.map(SchoolId));
        let folder = if database.is_none() { self.path()? } else { PathBuf::new() };
        Ok(async move {
            Ok(match database {
                Some(database) => Box::new(PostgresStore::open(&database, school, named).await?) as _,
                None => Box::new(SqliteStore::open(&folder, school).await?) as _,
            })
        })
    }
}

/// Bytes at the start of a file that tell whether it is a data file.
pub(crate) const HEAD_BYTES: u64 = 100;

/// Returns whether a file that starts so is one of our data files: an SQLite database with our application id, which
/// stands in bytes 68 to 71 (The SQLite Database File Format, sqlite.org).
pub(crate) fn is_data_file(start: &[u8]) -> bool {
    start.starts_with(b"SQLite format 3\0") && start.get(68..72) == Some(b"LnWr")
}

/// Refuses a folder, and a file that is no data file, where one data file is wanted.
pub(crate) fn data_file(path: &Path, way: &str) -> Result<(), Failure> {
    let name = path.display();
    if path.is_dir() {
        return Err(Failure::new(Kind::Read, format!("`{name}` is a folder")).and(way));
    }
    let mut start = Vec::new();
    let read = std::fs::File::open(path).and_then(|file| file.take(HEAD_BYTES).read_to_end(&mut start));
    read.map_err(|error| {
        Failure::new(Kind::Read, format!("`{name}` cannot be read: {error}")).and("Check the name.")
    })?;
    if start.starts_with(b"SQLite format 3\0") {
        return Ok(());
    }
    Err(Failure::new(Kind::Read, format!("`{name}` is no data file of Lanewright")).and(way))
}

/// Says how many records there are.
pub(crate) fn records(count: usize) -> String {
    if count == 1 { "one record".to_owned() } else { format!("{count} records") }
}

/// Runs what the store does.
pub(crate) fn block_on<T>(future: impl Future<Output = T>) -> Result<T, Failure> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime =
        runtime.map_err(|error| Failure::new(Kind::Read, format!("the system gives no timers: {error}")))?;
    Ok(runtime.block_on(future))
}

/// Says what the store said.
pub(crate) fn store_failure(error: &StoreError) -> Failure {
    match error {
        StoreError::Damaged { .. } => Failure::new(Kind::Damaged, error.to_string())
            .and("`lanewright check` says what is wrong; `lanewright restore` puts a backup in its place."),
        _ => Failure::new(Kind::Read, error.to_string()),
    }
}

/// Milliseconds since 1970 by this computer's clock.
pub(crate) fn now_ms() -> u64 {
    u64::try_from(jiff::Timestamp::now().as_millisecond()).unwrap_or(0)
}

/// Returns a name for this run of the program as a device.
pub(crate) fn new_device() -> DeviceId {
    DeviceId(new_id())
}

/// Returns a random id.
pub(crate) fn new_id() -> Uuid {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).expect("the system has randomness");
    uuid::Builder::from_random_bytes(bytes).into_uuid()
}

/// Asks for a word to be typed, on a terminal only; returns whether it was.
pub(crate) fn typed(question: &str, wanted: &str) -> bool {
    let stdin = std::io::stdin();
    if !stdin.is_terminal() {
        return false;
    }
    let mut stderr = std::io::stderr().lock();
    let _ = write!(stderr, "{question} ");
    let _ = stderr.flush();
    let mut answer = String::new();
    stdin.lock().read_line(&mut answer).is_ok() && answer.trim() == wanted
}

/// Writes files into a new folder: all of them, or the folder is not there.
pub(crate) fn write_folder(folder: &Path, files: &[(String, String)]) -> Result<(), Failure> {
    let failed = |error: std::io::Error| {
        Failure::new(Kind::Write, format!("`{}` cannot be written: {error}", folder.display()))
    };
    if folder.exists() {
        let problem = format!("`{}` is there already", folder.display());
        return Err(Failure::new(Kind::Write, problem).and("Name a folder that is not there yet."));
    }
    let mut unfinished = folder.as_os_str().to_owned();
    unfinished.push(".unfinished");
    let unfinished = PathBuf::from(unfinished);
    let _ = std::fs::remove_dir_all(&unfinished);
    let written = std::fs::create_dir_all(&unfinished).and_then(|()| {
        for (name, text) in files {
            std::fs::write(unfinished.join(name), text)?;
        }
        std::fs::rename(&unfinished, folder)
    });
    written.map_err(|error| {
        let _ = std::fs::remove_dir_all(&unfinished);
        failed(error)
    })
}
