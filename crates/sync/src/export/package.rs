//! A folder of CSV tables with a description in the open form of a Data Package (frictionlessdata.io/specs, version 1).
//!
//! A cell holds what stands in the body at its column's place, when it is of the column's type; whatever is left of
//! the body stands in the last column, `more`, as JSON. So nothing is lost, not even what this version does not know.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

use super::json::check_format;
use super::tables::{Column, OTHERS, TABLES, Table, Type};
use super::{Export, ExportError, FORMAT, PACKAGE_FILE, in_order};
use crate::record::{Record, SchoolId, canonical_json};

/// For whom the tables are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Variant {
    /// For programs, and to be read in again: exact.
    Plain,
    /// For spreadsheets: with the names and times behind ids and numbers, a byte order mark, and text guarded against
    /// being run as a formula. It cannot be read in again.
    Spreadsheets,
}

impl Variant {
    fn name(self) -> &'static str {
        match self {
            Variant::Plain => "plain",
            Variant::Spreadsheets => "spreadsheets",
        }
    }
}

/// Returns a moment as text (ISO 8601, UTC); nothing for one beyond the calendar.
fn iso_time(ms: i64) -> String {
    jiff::Timestamp::from_millisecond(ms).map(|at| at.to_string()).unwrap_or_default()
}

/// Columns that every table begins with.
const FIRST: [(&str, &str); 3] = [
    ("id", "id of the thing that the fact is about"),
    ("stamp", "when and on which device it was written; the greater stamp stands"),
    ("version", "version of the body's shape"),
];
const MORE: (&str, &str) = ("more", "what has no column here, as JSON");

/// Writes all records as files: name and content, the description last.
pub fn write_package<'a>(
    school: SchoolId,
    records: impl IntoIterator<Item = &'a Record>,
    exported_ms: u64,
    variant: Variant,
) -> Vec<(String, String)> {
    let mut by_kind: BTreeMap<&str, Vec<&Record>> = BTreeMap::new();
    for record in records {
        let known = TABLES.iter().any(|table| table.kind == record.kind);
        by_kind.entry(if known { record.kind.as_str() } else { OTHERS }).or_default().push(record);
    }
    for list in by_kind.values_mut() {
        list.sort_by_key(|record| record.key());
    }
    let names = Names::of(&by_kind);
    let (mut files, mut resources) = (Vec::new(), Vec::new());
    for table in TABLES {
        let Some(records) = by_kind.get(table.kind) else { continue };
        files.push((format!("{}.csv", table.kind), write_table(table, records, variant, &names)));
        resources.push(describe(table, variant, &by_kind));
    }
    if let Some(records) = by_kind.get(OTHERS) {
        let mut rows = vec![["id", "kind", "stamp", "version", "body"].map(str::to_owned).to_vec()];
        rows.extend(records.iter().map(|record| {
            vec![
                record.id.to_string(),
                record.kind.clone(),
                record.stamp.to_string(),
                record.version.to_string(),
                canonical_json(&record.body),
            ]
        }));
        files.push((format!("{OTHERS}.csv"), csv_text(&rows, variant)));
        resources.push(describe_others());
    }
    let package = json!({
        "profile": "tabular-data-package",
        "name": "lanewright-export",
        "title": "All records of a school",
        "created": iso_time(i64::try_from(exported_ms).unwrap_or(i64::MAX)),
        "lanewright": {
            "format": FORMAT, "school": school, "exported_ms": exported_ms, "variant": variant.name(),
        },
        "resources": resources,
    });
    let mut text = serde_json::to_string_pretty(&package).expect("a description holds only JSON values");
    text.push('\n');
    files.push((PACKAGE_FILE.to_owned(), text));
    files
}

/// Names behind ids, for spreadsheets.
struct Names<'a> {
    runners: BTreeMap<String, &'a str>,
    classes: BTreeMap<String, &'a str>,
}

impl<'a> Names<'a> {
    fn of(by_kind: &BTreeMap<&str, Vec<&'a Record>>) -> Self {
        let names = |kind: &str, key: &str| {
            let records = by_kind.get(kind).into_iter().flatten();
            records
                .filter_map(|record| Some((record.id.to_string(), record.body.get(key)?.as_str()?)))
                .collect()
        };
        Self { runners: names("runner-label", "label"), classes: names("class", "name") }
    }

    /// Returns the further column that a spreadsheet gets beside a column, and its cell.
    fn beside(&self, column: &Column, value: Option<&Value>) -> Option<(String, String)> {
        let text = || value.and_then(Value::as_str).unwrap_or_default();
        let named =
            |names: &BTreeMap<String, &str>| names.get(text()).copied().unwrap_or_default().to_owned();
        match column.kind {
            Type::Id("runner-label") => Some((format!("{}_name", column.name), named(&self.runners))),
            Type::Id("class") => Some((format!("{}_name", column.name), named(&self.classes))),
            Type::Whole if column.name.ends_with("at_ms") => {
                let time = value.and_then(Value::as_i64).map(iso_time).unwrap_or_default();
                Some((column.name.trim_end_matches("_ms").to_owned(), time))
            }
            _ => None,
        }
    }
}

fn write_table(table: &Table, records: &[&Record], variant: Variant, names: &Names) -> String {
    let mut header: Vec<String> = FIRST.iter().map(|(name, _)| (*name).to_owned()).collect();
    for column in table.columns {
        header.push(column.name.to_owned());
        if variant == Variant::Spreadsheets {
            header.extend(names.beside(column, None).map(|(name, _)| name));
        }
    }
    header.push(MORE.0.to_owned());
    let mut rows = vec![header];
    for record in records {
        let mut rest = record.body.clone();
        let mut row = vec![record.id.to_string(), record.stamp.to_string(), record.version.to_string()];
        for column in table.columns {
            let value = take(&mut rest, column.path, column.kind);
            let cell = value.as_ref().map(|value| cell_of(value, column.kind)).unwrap_or_default();
            // An id is text too: what a device wrote there need not be one.
            let is_text = matches!(column.kind, Type::Text | Type::Id(_) | Type::List | Type::Object);
            row.push(guard(cell, is_text && variant == Variant::Spreadsheets));
            if variant == Variant::Spreadsheets {
                row.extend(names.beside(column, value.as_ref()).map(|(_, cell)| guard(cell, true)));
            }
        }
        let nothing_left = rest.as_object().is_some_and(Map::is_empty);
        row.push(if nothing_left { String::new() } else { canonical_json(&rest) });
        rows.push(row);
    }
    csv_text(&rows, variant)
}

/// Puts an apostrophe before text that a spreadsheet could run as a formula; numbers are left as they are.
fn guard(cell: String, is_text: bool) -> String {
    let runs = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\0', '＝', '＋', '－', '＠']);
    if is_text && runs { format!("'{cell}") } else { cell }
}

/// Returns rows as RFC 4180 text with a comma and CR LF.
fn csv_text(rows: &[Vec<String>], variant: Variant) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).expect("writing to memory does not fail");
    }
    let bytes = writer.into_inner().expect("writing to memory does not fail");
    let text = String::from_utf8(bytes).expect("only text was written");
    if variant == Variant::Spreadsheets { format!("\u{feff}{text}") } else { text }
}

/// Takes a value out of a body, when it is there and of the type, and with it the objects that are empty then.
fn take(body: &mut Value, path: &[&str], kind: Type) -> Option<Value> {
    let map = body.as_object_mut()?;
    let [first, rest @ ..] = path else { return None };
    if rest.is_empty() {
        return if map.get(*first).is_some_and(|value| fits(value, kind)) {
            map.remove(*first)
        } else {
            None
        };
    }
    let inner = map.get_mut(*first)?;
    let taken = take(inner, rest, kind)?;
    if inner.as_object().is_some_and(Map::is_empty) {
        map.remove(*first);
    }
    Some(taken)
}

/// Returns whether a cell of this type gives back exactly this value.
fn fits(value: &Value, kind: Type) -> bool {
    match (kind, value) {
        (Type::Text | Type::Id(_), Value::String(text)) => !text.is_empty(),
        (Type::Day, Value::String(text)) => {
            text.parse::<jiff::civil::Date>().is_ok_and(|day| day.to_string() == *text)
        }
        (Type::Whole, Value::Number(number)) => number.is_i64() || number.is_u64(),
        (Type::Number, Value::Number(_))
        | (Type::Truth, Value::Bool(_))
        | (Type::List, Value::Array(_))
        | (Type::Object, Value::Object(_)) => true,
        _ => false,
    }
}

fn cell_of(value: &Value, kind: Type) -> String {
    match (kind, value) {
        (Type::Text | Type::Id(_) | Type::Day, Value::String(text)) => text.clone(),
        (_, other) => canonical_json(other),
    }
}

fn value_of(cell: &str, kind: Type) -> Result<Value, String> {
    let wanted = match kind {
        Type::Text | Type::Id(_) => return Ok(Value::from(cell)),
        Type::Day => "a day, as 2026-03-02",
        Type::Whole => "a whole number",
        Type::Number => "a number, with a point for decimals",
        Type::Truth => "true or false",
        Type::List => "a list in JSON",
        Type::Object => "an object in JSON",
    };
    let value =
        if kind == Type::Day { Some(Value::from(cell)) } else { serde_json::from_str::<Value>(cell).ok() };
    value.filter(|value| fits(value, kind)).ok_or_else(|| format!("`{}` is not {wanted}", shorten(cell)))
}

/// Errors go to terminals and logs: a cell is shown in part, and without control characters.
fn shorten(cell: &str) -> String {
    cell.chars().filter(|sign| !sign.is_control()).take(40).collect()
}

fn put(body: &mut Value, path: &[&str], value: Value) -> Result<(), String> {
    let Some(map) = body.as_object_mut() else { return Err("`more` is not an object here".into()) };
    match path {
        [] => {}
        [last] => {
            if map.insert((*last).to_owned(), value).is_some() {
                return Err(format!("`{last}` stands in `more` as well"));
            }
        }
        [first, rest @ ..] => {
            put(map.entry((*first).to_owned()).or_insert_with(|| json!({})), rest, value)?;
        }
    }
    Ok(())
}

fn field(name: &str, kind: Type, says: &str) -> Value {
    let (kind, format) = match kind {
        Type::Text => ("string", "default"),
        Type::Id(_) => ("string", "uuid"),
        Type::Whole => ("integer", "default"),
        Type::Number => ("number", "default"),
        Type::Truth => ("boolean", "default"),
        Type::Day => ("date", "default"),
        Type::List => ("array", "default"),
        Type::Object => ("object", "default"),
    };
    json!({"name": name, "type": kind, "format": format, "description": says})
}

fn resource(name: &str, says: &str, fields: &[Value], foreign_keys: &[Value]) -> Value {
    let mut schema = json!({"fields": fields, "primaryKey": "id", "missingValues": [""]});
    if !foreign_keys.is_empty() {
        schema["foreignKeys"] = Value::from(foreign_keys);
    }
    json!({
        "profile": "tabular-data-resource", "name": name, "path": format!("{name}.csv"), "description": says,
        "format": "csv", "mediatype": "text/csv", "encoding": "utf-8",
        "dialect": {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": "\"", "doubleQuote": true, "header": true},
        "schema": schema,
    })
}

fn describe(table: &Table, variant: Variant, by_kind: &BTreeMap<&str, Vec<&Record>>) -> Value {
    let nobody = Names { runners: BTreeMap::new(), classes: BTreeMap::new() };
    let mut fields = vec![
        field(FIRST[0].0, Type::Id(""), FIRST[0].1),
        field(FIRST[1].0, Type::Text, FIRST[1].1),
        field(FIRST[2].0, Type::Whole, FIRST[2].1),
    ];
    let mut foreign_keys = Vec::new();
    for column in table.columns {
        fields.push(field(column.name, column.kind, column.says));
        // A record may come before what it names; a key is declared where every id is there.
        if let Type::Id(kind) = column.kind
            && let Some(named) = by_kind.get(kind)
        {
            let ids: BTreeSet<String> = named.iter().map(|record| record.id.to_string()).collect();
            let all_there = by_kind.get(table.kind).into_iter().flatten().all(|record| {
                let value = column.path.iter().try_fold(&record.body, |value, key| value.get(*key));
                value.and_then(Value::as_str).is_none_or(|id| ids.contains(id))
            });
            if all_there {
                foreign_keys.push(json!({
                    "fields": column.name, "reference": {"resource": kind, "fields": "id"},
                }));
            }
        }
        if variant == Variant::Spreadsheets
            && let Some((name, _)) = nobody.beside(column, None)
        {
            fields.push(field(&name, Type::Text, "the column before it in plain words"));
        }
    }
    let mut more = field(MORE.0, Type::Text, MORE.1);
    more["type"] = "object".into();
    fields.push(more);
    resource(table.kind, table.says, &fields, &foreign_keys)
}

fn describe_others() -> Value {
    let mut body = field("body", Type::Text, "the body, as JSON");
    body["type"] = "object".into();
    let fields = [
        field(FIRST[0].0, Type::Id(""), FIRST[0].1),
        field("kind", Type::Text, "kind of the record"),
        field(FIRST[1].0, Type::Text, FIRST[1].1),
        field(FIRST[2].0, Type::Whole, FIRST[2].1),
        body,
    ];
    let mut described = resource(OTHERS, "Records of kinds that the writer did not know.", &fields, &[]);
    described["schema"]["primaryKey"] = json!(["kind", "id"]);
    described
}

/// Reads what [`write_package`] wrote. `file` gives the content of a file beside the description.
///
/// # Errors
/// Names file, line and column; nothing is read then.
pub fn read_package(
    description: &str,
    mut file: impl FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<Export, ExportError> {
    let top = |problem: &str| ExportError::new(PACKAGE_FILE, problem);
    let package: Value = serde_json::from_str(description).map_err(|error| {
        let place = format!("{PACKAGE_FILE}, line {}, column {}", error.line(), error.column());
        ExportError::new(place, "this is not JSON, or it ends too early")
    })?;
    let ours = &package["lanewright"];
    check_format(ours["format"].as_str().unwrap_or_default()).map_err(|problem| top(&problem))?;
    if ours["variant"] != Variant::Plain.name() {
        return Err(top(
            "these tables were made for spreadsheets or for research and cannot be read in; use the plain export",
        ));
    }
    let school = ours["school"].as_str().and_then(|text| text.parse().ok()).map(SchoolId);
    let school = school.ok_or_else(|| top("`lanewright.school` is not the id of a school"))?;
    let Some(resources) = package["resources"].as_array() else { return Err(top("`resources` is missing")) };
    let mut records = Vec::new();
    for resource in resources {
        let name = resource["name"].as_str().unwrap_or_default();
        let table = TABLES.iter().find(|table| table.kind == name);
        if table.is_none() && name != OTHERS {
            return Err(top(&format!("`{}` is no table of this version", shorten(name))));
        }
        let path = format!("{name}.csv");
        if resource["path"].as_str() != Some(&path) {
            return Err(top(&format!("the path of `{name}` has to be `{path}`")));
        }
        let bytes = file(&path).map_err(|problem| ExportError::new(&path, problem))?;
        read_table(&path, &bytes, table, school, &mut records)?;
    }
    let (school, records) = in_order(records, Some(school))?;
    Ok(Export { school, exported_ms: ours["exported_ms"].as_u64(), records })
}

fn read_table(
    path: &str,
    bytes: &[u8],
    table: Option<&Table>,
    school: SchoolId,
    records: &mut Vec<(String, Record)>,
) -> Result<(), ExportError> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        ExportError::new(format!("{path}, byte {}", error.valid_up_to()), "this is not UTF-8")
    })?;
    let mut expected: Vec<&str> = match table {
        Some(table) => {
            let columns = table.columns.iter().map(|column| column.name);
            FIRST.iter().map(|(name, _)| *name).chain(columns).collect()
        }
        None => vec!["id", "kind", "stamp", "version", "body"],
    };
    expected.extend(table.map(|_| MORE.0));
    let mut reader = csv::ReaderBuilder::new().has_headers(true).flexible(true).from_reader(text.as_bytes());
    let odd = |error: csv::Error| {
        let line = error.position().map_or(1, csv::Position::line);
        ExportError::new(format!("{path}, line {line}"), "this is no row of a table")
    };
    let header = reader.headers().map_err(odd)?.clone();
    let at = |name: &str| header.iter().position(|found| found == name);
    for name in &expected {
        if at(name).is_none() && (FIRST.iter().any(|(first, _)| first == name) || table.is_none()) {
            return Err(ExportError::new(format!("{path}, line 1"), format!("column `{name}` is missing")));
        }
    }
    if let Some(stranger) = header.iter().find(|name| !expected.contains(name)) {
        let problem = format!("column `{}` is none of this table", shorten(stranger));
        return Err(ExportError::new(format!("{path}, line 1"), problem));
    }
    // The reader's own count is one too low after CR LF: it stands before the LF when a row begins.
    let (mut counted, mut line) = (0, 1);
    for row in reader.records() {
        let row = row.map_err(odd)?;
        let begins = row.position().map_or(counted, |position| position.byte() as usize);
        let begins = begins + usize::from(text.as_bytes().get(begins) == Some(&b'\n'));
        let passed = text.as_bytes().get(counted..begins).unwrap_or_default();
        line += passed.iter().filter(|byte| **byte == b'\n').count();
        counted = begins;
        let wrong = |column: &str, problem: String| {
            ExportError::new(format!("{path}, line {line}, column {column}"), problem)
        };
        if row.len() != header.len() {
            let cells = if row.len() == 1 { "cell" } else { "cells" };
            let problem = format!("{} {cells} instead of {}", row.len(), header.len());
            return Err(ExportError::new(format!("{path}, line {line}"), problem));
        }
        let cell = |name: &str| at(name).and_then(|at| row.get(at)).unwrap_or_default();
        let parsed = |name: &str, what: &str| wrong(name, format!("`{}` is not {what}", shorten(cell(name))));
        let object = |name: &str| -> Result<Value, ExportError> {
            match serde_json::from_str::<Value>(cell(name)) {
                Ok(value) if value.is_object() || table.is_none() => Ok(value),
                _ => Err(parsed(name, "an object in JSON")),
            }
        };
        let (kind, body) = match table {
            None => (cell("kind").to_owned(), object("body")?),
            Some(table) => {
                let mut body = if cell(MORE.0).is_empty() { json!({}) } else { object(MORE.0)? };
                for column in table.columns.iter().filter(|column| !cell(column.name).is_empty()) {
                    let value = value_of(cell(column.name), column.kind)
                        .map_err(|problem| wrong(column.name, problem))?;
                    put(&mut body, column.path, value).map_err(|problem| wrong(column.name, problem))?;
                }
                (table.kind.to_owned(), body)
            }
        };
        let record = Record {
            id: cell("id").parse().map_err(|_| parsed("id", "an id"))?,
            kind,
            version: cell("version").parse().map_err(|_| parsed("version", "a version"))?,
            body,
            stamp: cell("stamp").parse().map_err(|_| parsed("stamp", "a stamp"))?,
            school,
        };
        records.push((format!("{path}, line {line}"), record));
    }
    Ok(())
}
