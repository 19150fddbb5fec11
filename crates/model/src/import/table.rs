//! Text to rows of cells: which sign separates the columns, and on which line of the file each row starts.

use csv::{ReaderBuilder, StringRecord};

use super::error::ImportError;
use super::{COLUMNS_MAX, Delimiter, DelimiterHow, Options, ROWS_MAX, header, trim};

/// Characters at the start of the text in which the separator is looked for.
const SAMPLE_CHARS_MAX: usize = 64 * 1024;
/// Rows at the start of the text in which the separator is looked for.
const SAMPLE_ROWS_MAX: usize = 100;
/// Rows at the top among which a header is looked for. Engineering assumption.
pub(super) const HEADER_ROWS_MAX: usize = 30;
/// Share of rows that must have the same number of cells for a separator without a known header.
/// Engineering assumption.
const SAME_WIDTH_SHARE_MIN: f64 = 0.7;
/// A row of our own behind the last one of the file. When it does not come back as a row, a quotation mark is open.
const LAST_ROW: &str = "end";

/// One row that holds something.
#[derive(Debug, Clone)]
pub(super) struct Row {
    /// The line on which it starts, counted from 1.
    pub line: u64,
    /// Cells up to the last that is not empty, as they stand in the file.
    pub cells: Vec<String>,
    /// Number of cells with the empty ones at the end.
    pub width: usize,
}

impl Row {
    /// Returns a cell without the white space around it; an absent cell is empty.
    pub fn cell(&self, index: usize) -> &str {
        self.cells.get(index).map_or("", |cell| trim(cell))
    }

    /// Returns how many cells hold something.
    pub fn filled(&self) -> usize {
        (0..self.cells.len()).filter(|&index| !self.cell(index).is_empty()).count()
    }
}

/// The rows of a file that hold something.
pub(super) struct Table {
    pub delimiter: Delimiter,
    pub how: DelimiterHow,
    pub rows: Vec<Row>,
    /// The line of the first row that was not read any more, when the file goes on far beyond what is allowed.
    pub cut_at: Option<u64>,
}

/// Splits a text into rows and cells.
pub(super) fn read(text: &str, options: &Options) -> Result<Table, ImportError> {
    let text = text.trim_start_matches('\u{feff}');
    let (stated, skipped) = stated_delimiter(text);
    let (delimiter, how) = match (options.delimiter, stated) {
        (Some(chosen), _) => (chosen, DelimiterHow::Chosen),
        (None, Some(stated)) => (stated, DelimiterHow::Stated),
        (None, None) => (detect(text), DelimiterHow::Found),
    };
    let (rows, cut_at) =
        split(&text[skipped..], delimiter, 1 + u64::from(skipped > 0), ROWS_MAX + HEADER_ROWS_MAX)?;
    if rows.is_empty() {
        return Err(ImportError::Empty);
    }
    if delimiter == Delimiter::OneColumn
        && how == DelimiterHow::Found
        && let Some((delimiter, rows)) = rows_in_quotation_marks(&rows)
    {
        return Ok(Table { delimiter, how, rows, cut_at });
    }
    Ok(Table { delimiter, how, rows, cut_at })
}

/// Unpacks a list whose every line stands in quotation marks as a whole: `"Name,Height"`, `"Wren,143"`.
fn rows_in_quotation_marks(rows: &[Row]) -> Option<(Delimiter, Vec<Row>)> {
    let lines: Vec<&str> = rows.iter().map(|row| row.cell(0)).collect();
    if lines.iter().any(|line| line.contains(['\n', '\r'])) {
        return None;
    }
    let delimiter = detect(&lines.join("\n"));
    let unpacked: Vec<Row> = rows
        .iter()
        .zip(lines)
        .filter_map(|(packed, line)| {
            let mut record = StringRecord::new();
            reader(line, delimiter).read_record(&mut record).ok()?;
            row(&record, packed.line)
        })
        .collect();
    let headed = unpacked.iter().take(HEADER_ROWS_MAX).any(|row| header::known_headings(row) > 0);
    let narrow = unpacked.iter().all(|row| row.cells.len() <= COLUMNS_MAX);
    (delimiter != Delimiter::OneColumn && headed && narrow && unpacked.len() == rows.len())
        .then_some((delimiter, unpacked))
}

/// Reads a first line such as `sep=;`, which some spreadsheets write and read. Returns the separator and the number of
/// bytes to skip; a separator that is not ours is skipped and then looked for in the text.
fn stated_delimiter(text: &str) -> (Option<Delimiter>, usize) {
    let end = text.find(['\r', '\n']).unwrap_or(text.len());
    let line = text[..end].trim_matches(|c| c == '"' || c == ' ');
    let Some(sign) = line.get(..4).filter(|start| start.eq_ignore_ascii_case("sep=")).map(|_| &line[4..])
    else {
        return (None, 0);
    };
    let skipped = end + if text[end..].starts_with("\r\n") { 2 } else { usize::from(end < text.len()) };
    let delimiter = match sign.chars().next() {
        Some(',') => Some(Delimiter::Comma),
        Some(';') => Some(Delimiter::Semicolon),
        Some('\t') => Some(Delimiter::Tab),
        Some('|') => Some(Delimiter::Bar),
        _ => None,
    };
    (delimiter, skipped)
}

/// Finds the separator: the one under which most headings are known; else the one that gives rows of one width.
fn detect(text: &str) -> Delimiter {
    let sample = match text.char_indices().nth(SAMPLE_CHARS_MAX) {
        Some((end, _)) => &text[..end],
        None => text,
    };
    // Tabs and semicolons hardly ever stand inside cells, commas do: the order settles a draw.
    let candidates = [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Bar, Delimiter::Comma];
    let parsed: Vec<(Delimiter, Vec<Row>)> = candidates
        .into_iter()
        .map(|delimiter| (delimiter, sample_rows(sample, delimiter)))
        .filter(|(_, rows)| rows.iter().any(|row| row.width > 1))
        .collect();
    let mut best: Option<(usize, Delimiter)> = None;
    for (delimiter, rows) in &parsed {
        let known = rows
            .iter()
            .take(HEADER_ROWS_MAX)
            .filter(|row| row.width > 1)
            .map(header::known_headings)
            .max()
            .unwrap_or(0);
        if known > best.map_or(0, |(most, _)| most) {
            best = Some((known, *delimiter));
        }
    }
    if let Some((_, delimiter)) = best {
        return delimiter;
    }
    // A heading that stands alone on its line: the file has one column, whatever its names contain.
    let alone = sample_rows(sample, Delimiter::OneColumn);
    if alone.iter().take(HEADER_ROWS_MAX).any(|row| header::known_headings(row) > 0) {
        return Delimiter::OneColumn;
    }
    parsed
        .iter()
        .find(|(_, rows)| same_width_share(rows) >= SAME_WIDTH_SHARE_MIN)
        .map_or(Delimiter::OneColumn, |(delimiter, _)| *delimiter)
}

fn sample_rows(sample: &str, delimiter: Delimiter) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut reader = reader(sample, delimiter);
    let mut record = StringRecord::new();
    while rows.len() < SAMPLE_ROWS_MAX && reader.read_record(&mut record).unwrap_or(false) {
        rows.extend(row(&record, 0));
    }
    rows
}

/// Returns the share of rows that have the most frequent number of cells above one.
fn same_width_share(rows: &[Row]) -> f64 {
    let mut counts = std::collections::BTreeMap::new();
    for row in rows.iter().filter(|row| row.width > 1) {
        *counts.entry(row.width).or_insert(0_usize) += 1;
    }
    counts.values().max().map_or(0.0, |&most| most as f64 / rows.len() as f64)
}

fn reader(text: &str, delimiter: Delimiter) -> csv::Reader<&[u8]> {
    ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter.byte())
        .from_reader(text.as_bytes())
}

/// Returns a record as a row, or nothing when all its cells are empty.
fn row(record: &StringRecord, line: u64) -> Option<Row> {
    let used = (0..record.len()).rfind(|&index| !trim(&record[index]).is_empty())? + 1;
    Some(Row { line, cells: record.iter().take(used).map(str::to_owned).collect(), width: record.len() })
}

fn split(
    text: &str,
    delimiter: Delimiter,
    first_line: u64,
    rows_max: usize,
) -> Result<(Vec<Row>, Option<u64>), ImportError> {
    let closed = format!("{text}\n{LAST_ROW}");
    let mut reader = reader(&closed, delimiter);
    let mut lines = Lines { bytes: closed.as_bytes(), at: 0, line: first_line };
    let mut rows: Vec<Row> = Vec::new();
    let mut record = StringRecord::new();
    loop {
        let from = usize::try_from(reader.position().byte()).unwrap_or(usize::MAX);
        // The text is valid UTF-8 and rows may differ in width, so that reading cannot fail; if it did, it would end.
        if !reader.read_record(&mut record).unwrap_or(false) {
            break;
        }
        let line = lines.of_row_after(from);
        if lines.at > text.len() {
            return Ok((rows, None));
        }
        if reader.position().byte() >= closed.len() as u64 {
            break;
        }
        let Some(row) = row(&record, line) else { continue };
        if row.cells.len() > COLUMNS_MAX {
            return Err(ImportError::TooManyColumns {
                line,
                provided: row.cells.len(),
                allowed: COLUMNS_MAX,
            });
        }
        if rows.len() == rows_max {
            return Ok((rows, Some(line)));
        }
        rows.push(row);
    }
    Err(ImportError::UnclosedQuote { line: lines.line })
}

/// Counts lines while rows are read. Carriage returns alone end lines too.
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u64,
}

impl Lines<'_> {
    /// Returns the line of the first row that starts at or after a byte, passing over empty lines.
    fn of_row_after(&mut self, byte: usize) -> u64 {
        while let Some(&here) = self.bytes.get(self.at) {
            let ends_line = here == b'\n' || here == b'\r' && self.bytes.get(self.at + 1) != Some(&b'\n');
            if self.at >= byte && here != b'\n' && here != b'\r' {
                break;
            }
            self.line += u64::from(ends_line);
            self.at += 1;
        }
        self.line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<(u64, Vec<String>)> {
        let table = read(text, &Options::default()).expect("rows");
        table.rows.into_iter().map(|row| (row.line, row.cells)).collect()
    }

    #[test]
    fn rows_know_the_line_on_which_they_start() {
        for end in ["\n", "\r\n", "\r"] {
            let text = ["", "Name,cm", "\"Anna", "Lena\",143", "", "  ", "Wren,151", ""].join(end);
            let starts: Vec<u64> = lines(&text).into_iter().map(|(line, _)| line).collect();
            assert_eq!(starts, [2, 3, 7], "lines end with {end:?}");
        }
    }

    #[test]
    fn a_stated_separator_is_followed_and_not_a_row() {
        assert_eq!(lines("sep=;\r\nName;x\r\nWren;1,5\r\n")[1], (3, vec!["Wren".into(), "1,5".into()]));
        assert_eq!(lines("\"sep=|\"\nName|x\n")[0].0, 2);
    }

    #[test]
    fn an_open_quotation_mark_is_found_at_its_row() {
        let text = "Name,cm\nAnna,143\n\"Wren,151\nUmi,140\n";
        assert_eq!(read(text, &Options::default()).err(), Some(ImportError::UnclosedQuote { line: 3 }));
    }

    #[test]
    fn separators_inside_cells_do_not_mislead() {
        let delimiter = |text: &str| read(text, &Options::default()).expect("rows").delimiter;
        assert_eq!(delimiter("Name;Height (m)\nWren;1,43\nUmi;1,51\n"), Delimiter::Semicolon);
        assert_eq!(delimiter("Wren;1,43\nUmi;1,51\n"), Delimiter::Semicolon);
        assert_eq!(delimiter("Name,Notes\nWren,tall; fast\nUmi,new; shy\n"), Delimiter::Comma);
        assert_eq!(delimiter("Name\nLarch, Wren\nBeech, Umi\n"), Delimiter::OneColumn);
        assert_eq!(delimiter("Wren\nUmi\n"), Delimiter::OneColumn);
        assert_eq!(delimiter("Name\tcm\nWren\t143\n"), Delimiter::Tab);
        assert_eq!(delimiter("Name|cm\nWren|143\n"), Delimiter::Bar);
    }
}
