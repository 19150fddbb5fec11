//! The frame of a table: where its header is, what its columns hold, and which rows are children.

use std::collections::BTreeSet;

use super::cell::{is_footer, is_missing, is_missing_name, shorten};
use super::error::ImportError;
use super::header::{self, Heading};
use super::preview::{Answer, Choice, DelimiterFound, Question, SAMPLE_JOINT, column_name};
use super::table::{HEADER_ROWS_MAX, Row, Table};
use super::{Meaning, Options, ROWS_MAX, Unit};
use crate::words::{Arg, Message};

/// Rows above the only heading of a file with one column that may be titles. Engineering assumption.
const TITLES_ABOVE_ONE_COLUMN_MAX: usize = 3;
/// Values of a column that a preview shows.
const SAMPLE_VALUES: usize = 3;
/// Words from which a lone text below a table is a remark and no name. Engineering assumption.
const REMARK_WORDS_MIN: usize = 5;

/// A column of the table.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub index: usize,
    pub header: String,
    /// How it is called in a list of wrong cells.
    pub name: String,
    pub heading: Heading,
    pub meaning: Meaning,
    pub sample: Vec<String>,
}

/// A table with its header read.
pub(super) struct Frame {
    pub delimiter: DelimiterFound,
    pub columns: Vec<Column>,
    /// Rows that should be children.
    pub rows: Vec<Row>,
    /// Number of cells that a row may have.
    pub width: usize,
    /// Stature columns of feet and of inches, when they stand apart.
    pub feet_and_inches: Option<(usize, usize)>,
    pub questions: Vec<Question>,
    pub warnings: Vec<Message>,
}

impl Frame {
    /// Returns the columns that hold something.
    pub fn with(&self, meaning: Meaning) -> impl Iterator<Item = &Column> {
        self.columns.iter().filter(move |column| column.meaning == meaning)
    }
}

/// Finds header, columns and children of a table.
pub(super) fn frame(table: Table, options: &Options) -> Result<Frame, ImportError> {
    let delimiter = DelimiterFound { delimiter: table.delimiter, how: table.how };
    let mut rows = table.rows;
    let mut warnings = Vec::new();
    if let Some(first) = options.first_line {
        rows.retain(|row| row.line >= first);
    }
    let (header_at, header_known) = find_header(&rows, options);
    let mut titles: Vec<Row> = Vec::new();
    let header = match header_at {
        Some(at) => {
            titles = rows.drain(..at).collect();
            Some(rows.remove(0))
        }
        None => {
            let wide = rows.iter().filter(|row| row.width > 1).count() * 2 > rows.len();
            while wide && options.first_line.is_none() && rows.first().is_some_and(|row| row.width == 1) {
                titles.push(rows.remove(0));
            }
            None
        }
    };
    if let (Some(first), Some(last)) = (titles.first(), titles.last()) {
        warnings.push(
            Message::new("import-titles-left-out")
                .with("lines", Arg::Count(titles.len() as i64))
                .with("first", line(first.line))
                .with("last", line(last.line))
                .text("text", shorten(&title_text(first))),
        );
    }
    if header.is_none() {
        warnings.push(Message::new("import-no-header"));
    }
    take_list_marks_off(&mut rows, &mut warnings);
    let mut columns = columns(header.as_ref(), &rows, options);
    if header.is_some() {
        take_units_row(&mut rows, &mut columns);
    }
    leave_out_repeated_headers(header.as_ref(), &mut rows, &mut warnings);
    leave_out_footers(&mut rows, columns.len(), &mut warnings);
    if let Some(line) = rows.get(ROWS_MAX).map(|row| row.line).or(table.cut_at) {
        return Err(ImportError::TooManyRows { line, allowed: ROWS_MAX });
    }
    if rows.is_empty() {
        return Err(ImportError::NoRows);
    }
    for column in &mut columns {
        column.sample = sample(&rows, column.index);
    }
    columns.retain(|column| !column.header.is_empty() || !column.sample.is_empty());

    let width = header.as_ref().map_or(usize::MAX, |header| header.width);
    let header_line = header.as_ref().map_or(rows[0].line, |row| row.line);
    let mut frame =
        Frame { delimiter, columns, rows, width, feet_and_inches: None, questions: Vec::new(), warnings };
    if header_known {
        frame.settle_names_of_one_word();
    } else {
        frame.settle_columns_without_known_headings(header_line, options);
    }
    frame.settle_twins(header_line);
    frame.find_names(header_line)?;
    if options.first_line.is_none() && header.is_none() {
        frame.ask_for_title();
    }
    Ok(frame)
}

fn line(number: u64) -> Arg {
    Arg::Count(i64::try_from(number).unwrap_or(i64::MAX))
}

fn title_text(row: &Row) -> String {
    (0..row.cells.len())
        .map(|index| row.cell(index))
        .filter(|cell| !cell.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Returns the place of the header and whether its words are known.
fn find_header(rows: &[Row], options: &Options) -> (Option<usize>, bool) {
    let looked_at = if options.first_line.is_some() { 1 } else { HEADER_ROWS_MAX };
    let mut best = (0, None);
    for (at, row) in rows.iter().take(looked_at).enumerate() {
        let known = header::known_headings(row);
        if known > best.0 {
            best = (known, Some(at));
        }
    }
    if let (_, Some(at)) = best {
        // Titles hold little; a heading far below rows that look like children is none.
        let filled = rows[at].filled();
        let titles = rows[..at].iter().all(|row| filled > 1 && row.filled() < filled.max(3));
        if at == 0 || titles || filled == 1 && at <= TITLES_ABOVE_ONE_COLUMN_MAX {
            return (Some(at), true);
        }
    }
    // Words in the first row above nothing but numbers are headings in another language.
    let unknown = rows.split_first().is_some_and(|(first, rest)| {
        first.filled() > 1
            && (0..first.cells.len()).any(|index| {
                let below: Vec<&str> =
                    rest.iter().map(|row| row.cell(index)).filter(|cell| !is_missing(cell)).collect();
                let above = first.cell(index);
                !is_missing(above)
                    && !is_value(above)
                    && below.len() > 1
                    && below.iter().all(|cell| is_value(cell))
            })
    });
    (unknown.then_some(0), false)
}

/// Returns whether a cell starts like a number or a date.
fn is_value(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

fn columns(header: Option<&Row>, rows: &[Row], options: &Options) -> Vec<Column> {
    let count = match header {
        Some(header) => header.width,
        None => rows.iter().map(|row| row.cells.len()).max().unwrap_or(0),
    };
    (0..count)
        .map(|index| {
            let header = header
                .map_or("", |header| header.cell(index))
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            let header = shorten(&header);
            let heading = header::read(&header);
            let meaning =
                options.columns.get(&index).copied().or(heading.meaning).unwrap_or(Meaning::NotUsed);
            let name = if header.is_empty() { (index + 1).to_string() } else { header.clone() };
            Column { index, name, header, heading, meaning, sample: Vec::new() }
        })
        .collect()
}

fn sample(rows: &[Row], index: usize) -> Vec<String> {
    rows.iter()
        .map(|row| row.cell(index))
        .filter(|cell| !is_missing(cell))
        .take(SAMPLE_VALUES)
        .map(shorten)
        .collect()
}

/// Takes the units out of a row below the header that holds nothing else: `;(cm);(m)`.
fn take_units_row(rows: &mut Vec<Row>, columns: &mut [Column]) {
    let Some(row) = rows.first() else { return };
    let units: Vec<(usize, Option<Unit>)> = (0..row.cells.len())
        .filter(|&index| !row.cell(index).is_empty())
        .map(|index| (index, header::lone_unit(row.cell(index))))
        .collect();
    let fits = units.iter().all(|(index, unit)| {
        unit.is_some()
            && columns
                .get(*index)
                .is_some_and(|column| column.meaning.is_length() || column.meaning == Meaning::Age)
    });
    if !units.is_empty() && fits {
        for (index, unit) in units {
            columns[index].heading.unit = columns[index].heading.unit.or(unit);
        }
        rows.remove(0);
    }
}

/// Takes numbers and dots off the names of a plain list: `1. Wren`, `2) Umi`, `- Piran`.
fn take_list_marks_off(rows: &mut [Row], warnings: &mut Vec<Message>) {
    let rest = |place: usize, row: &Row| -> Option<String> {
        let text = row.cell(0);
        let rest = text.strip_prefix(['-', '–', '*', '•', '·']).or_else(|| {
            text.strip_prefix(&(place + 1).to_string()).and_then(|rest| rest.strip_prefix(['.', ')']))
        })?;
        let name = rest.trim_start();
        (row.cells.len() == 1 && name.len() < rest.len() && !name.is_empty()).then(|| name.to_owned())
    };
    let names: Option<Vec<String>> = rows.iter().enumerate().map(|(place, row)| rest(place, row)).collect();
    if let Some(names) = names.filter(|names| names.len() > 1) {
        warnings.push(Message::new("import-list-marks").text("sample", shorten(rows[0].cell(0))));
        for (row, name) in rows.iter_mut().zip(names) {
            row.cells[0] = name;
        }
    }
}

fn leave_out_repeated_headers(header: Option<&Row>, rows: &mut Vec<Row>, warnings: &mut Vec<Message>) {
    let Some(header) = header else { return };
    rows.retain(|row| {
        let repeated = row.cells.len() == header.cells.len()
            && row.filled() > 0
            && (0..row.cells.len()).all(|index| row.cell(index) == header.cell(index));
        if repeated {
            warnings.push(Message::new("import-header-repeated").with("line", line(row.line)));
        }
        !repeated
    });
}

/// Leaves totals, averages and remarks below the children out and says so.
fn leave_out_footers(rows: &mut Vec<Row>, column_count: usize, warnings: &mut Vec<Message>) {
    let at = warnings.len();
    while let Some(row) = rows.last() {
        let first =
            (0..row.cells.len()).map(|index| row.cell(index)).find(|cell| !cell.is_empty()).unwrap_or("");
        let remark =
            column_count > 1 && row.filled() == 1 && first.split_whitespace().count() >= REMARK_WORDS_MIN;
        if !is_footer(first) && !remark {
            break;
        }
        let sentence = Message::new("import-footer-left-out")
            .with("line", line(row.line))
            .text("text", shorten(&title_text(row)));
        warnings.insert(at, sentence);
        rows.pop();
    }
}

impl Frame {
    fn index_of(&self, meaning: Meaning) -> Option<usize> {
        self.columns.iter().position(|column| column.meaning == meaning)
    }

    /// Decides what a column called just "Name" (Nom, Nombre) holds beside one of surnames or first names.
    fn settle_names_of_one_word(&mut self) {
        let Some(name) = self.index_of(Meaning::Name) else { return };
        let first = self
            .columns
            .iter()
            .position(|column| column.meaning == Meaning::FirstName && !column.heading.called_by);
        let surname = self.index_of(Meaning::Surname);
        let contains = |part: usize| {
            let (name, part) = (self.columns[name].index, self.columns[part].index);
            let within = self.rows.iter().filter(|row| {
                let whole = row.cell(name).to_lowercase();
                whole.contains(&row.cell(part).to_lowercase())
            });
            within.count() * 2 > self.rows.len()
        };
        let bare = self.columns[name].heading.bare_name;
        match (first, surname) {
            (Some(first), None) if bare && !contains(first) => self.columns[name].meaning = Meaning::Surname,
            (None, Some(surname)) if bare && !contains(surname) => {
                self.columns[name].meaning = Meaning::FirstName
            }
            _ => {
                for part in [first, surname].into_iter().flatten() {
                    self.columns[part].meaning = Meaning::NotUsed;
                }
            }
        }
    }

    /// Takes the only column of words as the names; asks what every other column holds.
    fn settle_columns_without_known_headings(&mut self, header_line: u64, options: &Options) {
        let open: Vec<usize> = (0..self.columns.len())
            .filter(|&at| {
                let column = &self.columns[at];
                column.heading.meaning.is_none()
                    && !options.columns.contains_key(&column.index)
                    && !column.sample.is_empty()
            })
            .collect();
        let texts: Vec<usize> = open.iter().copied().filter(|&at| self.is_text(at)).collect();
        let named = self
            .columns
            .iter()
            .any(|column| column.meaning == Meaning::Name || column.meaning == Meaning::FirstName);
        if let (false, [only]) = (named, texts.as_slice()) {
            let only = *only;
            self.columns[only].meaning = Meaning::Name;
            if self.columns.len() > 1 {
                self.warnings.push(Message::new("import-names-taken").with(
                    "column",
                    Arg::Say(Box::new(column_name(self.columns[only].index, &self.columns[only].header))),
                ));
            }
        }
        for at in open {
            if self.columns[at].meaning == Meaning::Name {
                continue;
            }
            let likely = self.likely_meanings(at, named || texts.len() == 1);
            let column = &self.columns[at];
            let question = Question {
                line: header_line,
                column_index: column.index,
                column: column.name.clone(),
                message: Message::new("import-ask-column")
                    .with("column", Arg::Say(Box::new(column_name(column.index, &column.header))))
                    .text("sample", column.sample.join(SAMPLE_JOINT)),
                answers: likely
                    .into_iter()
                    .map(|meaning| Answer {
                        message: Message::new(meaning.word_id()),
                        choices: vec![Choice::Column { column: column.index, meaning }],
                    })
                    .collect(),
            };
            self.questions.push(question);
        }
    }

    /// Returns whether a column holds words rather than numbers, dates or letters of sexes.
    fn is_text(&self, at: usize) -> bool {
        let index = self.columns[at].index;
        let cells: Vec<&str> =
            self.rows.iter().map(|row| row.cell(index)).filter(|cell| !is_missing(cell)).collect();
        let text = |cell: &&&str| {
            !is_value(cell)
                && !matches!(
                    super::cell::sex(cell),
                    super::cell::SexCell::Known(_) | super::cell::SexCell::Letter(_)
                )
        };
        cells.iter().filter(text).count() * 2 > cells.len()
    }

    /// Returns what a column without a known heading may hold, the likelier first.
    fn likely_meanings(&self, at: usize, has_names: bool) -> Vec<Meaning> {
        let index = self.columns[at].index;
        let cells: Vec<&str> =
            self.rows.iter().map(|row| row.cell(index)).filter(|cell| !is_missing(cell)).collect();
        let all = |test: &dyn Fn(&str) -> bool| cells.iter().all(|cell| test(cell));
        let counts_up = cells.iter().enumerate().all(|(place, cell)| cell.parse() == Ok(place + 1));
        let number = |text: &str| text.replace(',', ".").parse::<f64>().unwrap_or(f64::NAN);
        let first = if counts_up {
            vec![Meaning::NotUsed]
        } else if all(&|cell| {
            matches!(super::cell::sex(cell), super::cell::SexCell::Known(_) | super::cell::SexCell::Letter(_))
        }) {
            vec![Meaning::Sex]
        } else if all(&|cell| {
            !matches!(
                super::date::read(cell),
                super::date::DateCell::Unreadable | super::date::DateCell::YearOnly
            )
        }) {
            vec![Meaning::BirthDate, Meaning::StatureDate]
        } else if all(&|cell| (3.0..=25.0).contains(&number(cell))) {
            vec![Meaning::Age]
        } else if all(&is_value) {
            vec![Meaning::Stature, Meaning::LegLength, Meaning::StepLength]
        } else if has_names {
            vec![Meaning::NotUsed]
        } else {
            vec![Meaning::FirstName, Meaning::Surname, Meaning::Name]
        };
        let rest = Meaning::ALL.into_iter().filter(|meaning| !first.contains(meaning)).collect::<Vec<_>>();
        first.into_iter().chain(rest).collect()
    }

    /// Decides between columns that hold the same thing: empty ones do not count, for others it is asked.
    fn settle_twins(&mut self, header_line: u64) {
        let meanings: BTreeSet<Meaning> = self.columns.iter().map(|column| column.meaning).collect();
        for meaning in meanings {
            if !meaning.is_read()
                || meaning == Meaning::FirstName
                    && self.twins(meaning).iter().any(|&at| self.columns[at].heading.called_by)
            {
                continue;
            }
            let mut twins = self.twins(meaning);
            if twins.len() < 2 {
                continue;
            }
            let filled: Vec<usize> =
                twins.iter().copied().filter(|&at| !self.columns[at].sample.is_empty()).collect();
            if !filled.is_empty() {
                for &empty in twins.iter().filter(|at| !filled.contains(at)) {
                    self.columns[empty].meaning = Meaning::NotUsed;
                }
                twins = filled;
            }
            if let [a, b] = twins[..] {
                let index = |at: usize| self.columns[at].index;
                match (self.columns[a].heading.unit, self.columns[b].heading.unit) {
                    (Some(Unit::Feet), Some(Unit::Inches)) if meaning == Meaning::Stature => {
                        self.feet_and_inches = Some((index(a), index(b)));
                        continue;
                    }
                    (Some(Unit::Inches), Some(Unit::Feet)) if meaning == Meaning::Stature => {
                        self.feet_and_inches = Some((index(b), index(a)));
                        continue;
                    }
                    _ => {}
                }
            }
            if twins.len() > 1 {
                self.ask_which(meaning, &twins, header_line);
            }
        }
    }

    fn twins(&self, meaning: Meaning) -> Vec<usize> {
        (0..self.columns.len()).filter(|&at| self.columns[at].meaning == meaning).collect()
    }

    fn ask_which(&mut self, meaning: Meaning, twins: &[usize], header_line: u64) {
        let answers = twins
            .iter()
            .map(|&kept| Answer {
                message: Message::new("import-answer-column")
                    .with(
                        "column",
                        Arg::Say(Box::new(column_name(self.columns[kept].index, &self.columns[kept].header))),
                    )
                    .text("sample", self.columns[kept].sample.join(SAMPLE_JOINT)),
                choices: twins
                    .iter()
                    .map(|&at| Choice::Column {
                        column: self.columns[at].index,
                        meaning: if at == kept { meaning } else { Meaning::NotUsed },
                    })
                    .collect(),
            })
            .collect();
        let first = &self.columns[twins[0]];
        self.questions.push(Question {
            line: header_line,
            column_index: first.index,
            column: first.name.clone(),
            message: Message::new("import-ask-which-column")
                .with("meaning", Arg::Say(Box::new(Message::new(meaning.word_id())))),
            answers,
        });
        for &at in &twins[usize::from(meaning == Meaning::Name)..] {
            self.columns[at].meaning = Meaning::NotUsed;
        }
    }

    /// Makes sure that there are names: a heading that is missing, a code in their place, or a question.
    fn find_names(&mut self, header_line: u64) -> Result<(), ImportError> {
        let has = |meaning: Meaning| self.columns.iter().any(|column| column.meaning == meaning);
        if has(Meaning::Name)
            || has(Meaning::FirstName)
            || has(Meaning::Surname)
            || !self.questions.is_empty()
        {
            return Ok(());
        }
        let texts: Vec<usize> = (0..self.columns.len())
            .filter(|&at| {
                let column = &self.columns[at];
                column.meaning == Meaning::NotUsed
                    && column.heading.meaning.is_none()
                    && !column.sample.is_empty()
                    && self.is_text(at)
            })
            .collect();
        let said = |column: &Column| Arg::Say(Box::new(column_name(column.index, &column.header)));
        match texts.as_slice() {
            [only] if self.columns[*only].header.is_empty() => {
                let only = *only;
                self.columns[only].meaning = Meaning::Name;
                self.warnings
                    .push(Message::new("import-names-taken").with("column", said(&self.columns[only])));
            }
            [] if has(Meaning::Id) => {
                self.warnings.push(Message::new("import-names-from-ids"));
            }
            [] => return Err(ImportError::NoNames { line: header_line }),
            candidates => {
                let first = &self.columns[candidates[0]];
                self.questions.push(Question {
                    line: header_line,
                    column_index: first.index,
                    column: first.name.clone(),
                    message: Message::new("import-ask-names"),
                    answers: candidates
                        .iter()
                        .map(|&at| Answer {
                            message: Message::new("import-answer-column")
                                .with("column", said(&self.columns[at]))
                                .text("sample", self.columns[at].sample.join(SAMPLE_JOINT)),
                            choices: vec![Choice::Column {
                                column: self.columns[at].index,
                                meaning: Meaning::Name,
                            }],
                        })
                        .collect(),
                });
            }
        }
        Ok(())
    }

    /// Asks whether the first line of a list without a header is a child or a title such as `7 Larch`.
    fn ask_for_title(&mut self) {
        const GROUP_WORDS: &[&str] = &[
            "class", "form", "group", "team", "list", "year", "grade", "set", "klasse", "gruppe", "classe",
            "groupe", "clase", "grupo", "register",
        ];
        let Some(name) = self.index_of(Meaning::Name).map(|at| self.columns[at].index) else { return };
        let [first, second, rest @ ..] = self.rows.as_slice() else { return };
        let digit = |row: &Row| row.cell(name).chars().any(|c| c.is_ascii_digit());
        let text = first.cell(name);
        let group =
            text.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|word| GROUP_WORDS.contains(&word));
        let like_title = first.filled() == 1
            && !is_missing_name(text)
            && (group || digit(first) && !digit(second) && !rest.iter().any(digit));
        if like_title {
            let answer = |id: &str, line: u64| Answer {
                message: Message::new(id),
                choices: vec![Choice::FirstLine { line }],
            };
            let column = &self.columns[self.index_of(Meaning::Name).unwrap_or(0)];
            self.questions.push(Question {
                line: first.line,
                column_index: name,
                column: column.name.clone(),
                message: Message::new("import-ask-title").text("text", shorten(text)),
                answers: vec![
                    answer("import-answer-title", second.line),
                    answer("import-answer-child", first.line),
                ],
            });
        }
    }
}
