//! One JSON file.

use serde_json::Value;

use super::{Export, ExportError, FORMAT, FORMAT_BEFORE, in_order};
use crate::record::{Record, SchoolId, canonical_json};

/// Writes records as JSON, one on a line.
pub fn write_json<'a>(
    school: SchoolId,
    records: impl IntoIterator<Item = &'a Record>,
    exported_ms: u64,
) -> String {
    let mut records: Vec<&Record> = records.into_iter().collect();
    records.sort_by_key(|record| record.key());
    let mut text = format!(
        "{{\"format\":\"{FORMAT}\",\n\"school\":\"{}\",\n\"exported_ms\":{exported_ms},\n\"records\":[",
        school.0
    );
    for (place, record) in records.iter().enumerate() {
        text.push_str(if place == 0 { "\n" } else { ",\n" });
        let value = serde_json::to_value(record).expect("records hold only JSON values");
        text.push_str(&canonical_json(&value));
    }
    text.push_str("\n]}\n");
    text
}

/// Reads what [`write_json`] wrote, and the app's copies of before.
///
/// # Errors
/// Names the line or the record; nothing is read then.
pub fn read_json(text: &str) -> Result<Export, ExportError> {
    let value: Value = serde_json::from_str(text).map_err(|error| {
        let place = format!("line {}, column {}", error.line(), error.column());
        ExportError::new(place, "this is not JSON, or it ends too early")
    })?;
    let top = |problem: &str| ExportError::new("at the top of the file", problem);
    let Value::Object(mut map) = value else { return Err(top("an export is a JSON object")) };
    let format = map.get("format").and_then(Value::as_str).unwrap_or_default();
    check_format(format).map_err(|problem| top(&problem))?;
    let school = match map.get("school") {
        None if format == FORMAT_BEFORE => None,
        Some(Value::String(text)) => {
            let id = text.parse().map_err(|_| top("`school` is not the id of a school"))?;
            Some(SchoolId(id))
        }
        _ => return Err(top("`school` is missing")),
    };
    let exported_ms = map.get("exported_ms").and_then(Value::as_u64);
    let Some(Value::Array(values)) = map.remove("records") else {
        return Err(top("`records` is missing, or no list"));
    };
    let mut records = Vec::with_capacity(values.len());
    for (value, number) in values.into_iter().zip(1..) {
        let place = format!("record {number}");
        let record: Record =
            serde_json::from_value(value).map_err(|error| ExportError::new(&place, error.to_string()))?;
        records.push((place, record));
    }
    let (school, records) = in_order(records, school)?;
    Ok(Export { school, exported_ms, records })
}

/// Returns whether this program reads a format, or what to do about it.
pub(super) fn check_format(format: &str) -> Result<(), String> {
    if format == FORMAT || format == FORMAT_BEFORE {
        return Ok(());
    }
    match format.strip_prefix("lanewright-export/") {
        Some(version) if version.parse::<u32>().is_ok() => {
            Err(format!("this export has version {version}, and this program reads 1; use the newer program"))
        }
        _ => Err(format!("this is no export of Lanewright: `format` is not `{FORMAT}`")),
    }
}
