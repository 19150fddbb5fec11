//! Records as open files, and back: one JSON file, or a folder of CSV tables that describes itself.
//!
//! Reading what was written gives the same records, bit by bit; a file that cannot be read whole is not read at all.
//! The format page is `docs/formats/export.md`.

mod json;
mod package;
pub mod research;
mod tables;

use std::collections::BTreeMap;

use crate::record::{Record, RecordKey, SchoolId};

pub use json::{read_json, write_json};
pub use package::{Variant, read_package, write_package};
pub use tables::OTHERS;

/// Name and version of the format. A reader refuses another name and a greater version.
pub const FORMAT: &str = "lanewright-export/1";
/// What the app's copies were called before they had a school in them; read as well.
pub const FORMAT_BEFORE: &str = "lanewright-records/v1";
/// Name of the file that describes the tables, as the Data Package standard asks for.
pub const PACKAGE_FILE: &str = "datapackage.json";

/// Everything that a school has.
#[derive(Debug, Clone, PartialEq)]
pub struct Export {
    /// Whose records they are; absent only in a copy of an early version without any record.
    pub school: Option<SchoolId>,
    /// When it was written, in milliseconds since 1970, if it says so.
    pub exported_ms: Option<u64>,
    /// The records, in the order of their keys.
    pub records: Vec<Record>,
}

/// Why an export cannot be read, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {problem}")]
pub struct ExportError {
    /// File, line, column or number of the record, as far as they are known.
    pub place: String,
    /// What stands there and what should.
    pub problem: String,
}

impl ExportError {
    fn new(place: impl Into<String>, problem: impl Into<String>) -> Self {
        Self { place: place.into(), problem: problem.into() }
    }
}

/// Puts records in the order of their keys, and refuses two of one key or of two schools. `places` says where each
/// stands.
fn in_order(
    records: Vec<(String, Record)>,
    school: Option<SchoolId>,
) -> Result<(Option<SchoolId>, Vec<Record>), ExportError> {
    let mut school = school;
    let mut by_key: BTreeMap<RecordKey, (String, Record)> = BTreeMap::new();
    for (place, record) in records {
        if *school.get_or_insert(record.school) != record.school {
            return Err(ExportError::new(place, "this record belongs to another school than the others"));
        }
        if let Some((first, _)) = by_key.get(&record.key()) {
            let problem = format!("{} {} stands at {first} already", record.kind, record.id);
            return Err(ExportError::new(place, problem));
        }
        by_key.insert(record.key(), (place, record));
    }
    Ok((school, by_key.into_values().map(|(_, record)| record).collect()))
}

#[cfg(test)]
mod tests;
