//! The data folder: for the owner only, and for one process only.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use crate::StoreError;

/// Name of the database in the data folder.
pub(crate) const DATABASE: &str = "lanewright.sqlite";
/// Name of the file whose lock says that a process is using the folder.
const LOCK: &str = "lanewright.lock";

/// A data folder that this process has for itself, until it is dropped.
pub(crate) struct Folder {
    path: PathBuf,
    _lock: File,
}

impl Folder {
    /// Takes a folder, making it if it is not there.
    ///
    /// A new or empty folder, and one that already is a data folder, is closed to other users. In a folder that
    /// holds other things only our own files are.
    pub fn take(path: &Path) -> Result<Self, StoreError> {
        let failed = |what, source| file_error(path, what, source);
        if !path.exists() {
            private_folder(path).map_err(|source| failed("made", source))?;
        }
        let empty = fs::read_dir(path).map_err(|source| failed("opened", source))?.next().is_none();
        if empty || path.join(DATABASE).exists() {
            close_to_others(path, 0o700).map_err(|source| failed("closed to other users", source))?;
        }
        let lock_path = path.join(LOCK);
        let lock = private_file(&lock_path).map_err(|source| file_error(&lock_path, "opened", source))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(StoreError::InUse { path: path.display().to_string() });
            }
            Err(TryLockError::Error(source)) => return Err(file_error(&lock_path, "locked", source)),
        }
        Ok(Self { path: path.to_owned(), _lock: lock })
    }

    /// Returns the path of the database, after making sure that the file is there and closed to others.
    ///
    /// SQLite gives the files beside it (`-wal`, `-shm`) the same permissions.
    pub fn database(&self) -> Result<PathBuf, StoreError> {
        let path = self.path.join(DATABASE);
        let failed = |what, source| file_error(&path, what, source);
        let file = private_file(&path).map_err(|source| failed("opened", source))?;
        close_to_others(&path, 0o600).map_err(|source| failed("closed to other users", source))?;
        // The name must survive a power cut too, or the records would be in a file that cannot be found.
        file.sync_all().and_then(|()| sync_folder(&self.path)).map_err(|source| failed("written", source))?;
        Ok(path)
    }

    /// Returns where the copy lies that is made before a file of an earlier format is changed.
    pub fn copy_path(&self, format: i64) -> PathBuf {
        self.path.join(format!("{DATABASE}.format-{format}"))
    }

    /// Makes an empty file for that copy, closed to others; one that a start which did not finish has left is emptied.
    pub fn empty_copy(&self, format: i64) -> Result<(), StoreError> {
        let path = self.copy_path(format);
        let made = private_file(&path).and_then(|file| file.set_len(0));
        made.map_err(|source| file_error(&path, "written", source))
    }

    /// Makes that copy survive a power cut.
    pub fn keep_copy(&self, format: i64) -> Result<(), StoreError> {
        let path = self.copy_path(format);
        let kept = File::open(&path).and_then(|file| file.sync_all()).and_then(|()| sync_folder(&self.path));
        kept.map_err(|source| file_error(&path, "written", source))
    }
}

impl Folder {
    /// Where the file that a backup replaces is kept.
    pub fn before_restore(&self) -> PathBuf {
        self.path.join(format!("{DATABASE}.before-restore"))
    }

    /// Where a backup is made ready before it takes its place.
    pub fn coming(&self) -> PathBuf {
        self.path.join(format!("{DATABASE}.coming"))
    }

    /// Puts what was made ready in the place of the database; the file that was there is kept if `keep`.
    pub fn exchange(&self, keep: bool) -> Result<(), StoreError> {
        let path = self.path.join(DATABASE);
        let exchange = || {
            if keep {
                // With its log, which belongs to it; both have the same name before the ending.
                for ending in ["-wal", "-shm"] {
                    let log = self.path.join(format!("{DATABASE}{ending}"));
                    let kept = self.path.join(format!("{DATABASE}.before-restore{ending}"));
                    if log.exists() {
                        fs::rename(&log, kept)?;
                    } else if kept.exists() {
                        fs::remove_file(kept)?;
                    }
                }
                fs::rename(&path, self.before_restore())?;
            }
            fs::rename(self.coming(), &path)?;
            sync_folder(&self.path)
        };
        exchange().map_err(|source| file_error(&path, "replaced", source))
    }

    /// Removes earlier copies of the database beside it: what was erased would live on in them.
    pub fn remove_copies(&self) {
        let prefix = format!("{DATABASE}.");
        for entry in fs::read_dir(&self.path).into_iter().flatten().flatten() {
            if entry.file_name().to_string_lossy().starts_with(&prefix) {
                let _ = fs::remove_file(entry.path());
            }
        }
    }
}

/// Makes a file and its name survive a power cut.
pub(crate) fn keep_file(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()?;
    path.parent().filter(|parent| !parent.as_os_str().is_empty()).map_or(Ok(()), sync_folder)
}

fn file_error(path: &Path, what: &'static str, source: io::Error) -> StoreError {
    StoreError::File { path: path.display().to_string(), what, source }
}

#[cfg(unix)]
fn private_folder(path: &Path) -> io::Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    fs::DirBuilder::new().recursive(true).mode(0o700).create(path)
}

#[cfg(not(unix))]
fn private_folder(path: &Path) -> io::Result<()> {
    fs::create_dir_all(path)
}

pub(crate) fn private_file(path: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

/// Takes away what other users may do, if they may do anything.
#[cfg(unix)]
fn close_to_others(path: &Path, mode: u32) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let open_to_others = fs::metadata(path)?.permissions().mode() & 0o077 != 0;
    if open_to_others { fs::set_permissions(path, fs::Permissions::from_mode(mode)) } else { Ok(()) }
}

/// Elsewhere the user's own folders are closed to others by the system.
#[cfg(not(unix))]
fn close_to_others(_path: &Path, _mode: u32) -> io::Result<()> {
    Ok(())
}

#[cfg(unix)]
fn sync_folder(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_path: &Path) -> io::Result<()> {
    Ok(())
}
