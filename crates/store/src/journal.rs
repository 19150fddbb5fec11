//! A change of the file that was cut off before there was a write-ahead log.
//!
//! Whether a file keeps a log is written in the file itself, and that one change still goes through the older rollback
//! journal. When the program or the power dies in it, the next one who may write puts the file back as it was. Whoever may
//! only read cannot even look whose file it is. So that is read here from the bytes: they are the same before and after.

use std::fs::File;
use std::io::Read;
use std::path::Path;

/// SQLite's result code for a journal that only a writer can roll back (`SQLITE_READONLY_ROLLBACK`).
pub(crate) const READONLY_ROLLBACK: u32 = 776;
/// First bytes of a rollback journal (sqlite.org/fileformat2.html, section 3).
const JOURNAL_MAGIC: [u8; 8] = [0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7];

/// Returns `application_id`, `user_version` and whether there is anything in a file beside which such a journal lies, as
/// they are once it is rolled back. `None` when it is no journal or no SQLite file.
pub(crate) fn owner(path: &Path) -> Option<(i64, i64, bool)> {
    let mut journal_path = path.as_os_str().to_owned();
    journal_path.push("-journal");
    let mut journal = [0; 20];
    File::open(&journal_path).and_then(|mut file| file.read_exact(&mut journal)).ok()?;
    if journal[..8] != JOURNAL_MAGIC {
        return None;
    }
    // Number of records, a nonce, then the length before, in pages.
    if journal[16..20] == [0; 4] {
        return Some((0, 0, false));
    }
    let mut header = [0; 72];
    File::open(path).and_then(|mut file| file.read_exact(&mut header)).ok()?;
    let number = |at: usize| i32::from_be_bytes(header[at..at + 4].try_into().expect("4 bytes"));
    (&header[..16] == b"SQLite format 3\0").then(|| (number(68).into(), number(60).into(), true))
}
