//! What was understood of a class list, what is wrong in it and what has to be asked.

use super::{DateOrder, Decimal, Delimiter, EncodingFound, ImportError, Meaning, Unit};
use crate::runner::{Runner, Sex};
use crate::words::{Arg, Message};

/// What was understood of a class list. Nothing is stored by it.
///
/// Cells and names in it are shown to the person who chose the file; they belong in no log.
#[derive(Debug, Clone, PartialEq)]
pub struct Preview {
    /// The encoding and how it was found.
    pub encoding: EncodingFound,
    /// What separates the columns and how that was found.
    pub delimiter: DelimiterFound,
    /// The decimal mark, when a number has one.
    pub decimal: Option<DecimalFound>,
    /// Every column that holds anything, in the order of the file.
    pub header: Vec<ColumnUnderstood>,
    /// Every row that names a child, in the order of the file; where a cell is wrong, the value is left unknown.
    pub rows: Vec<RowPreview>,
    /// Wrong cells in the order of the file, at most [`super::BAD_CELLS_LISTED_MAX`].
    pub bad: Vec<BadCell>,
    /// Number of wrong cells, listed or not.
    pub bad_count: usize,
    /// What the file does not settle. Answers go into the options; then the file is read again.
    pub questions: Vec<Question>,
    /// What the coach should know, though it does not stand in the way.
    pub warnings: Vec<Message>,
    /// SHA-256 of the file in hexadecimal, so that reading it twice is noticed.
    pub sha256: String,
}

impl Preview {
    /// Returns the children, all or none.
    ///
    /// # Errors
    /// [`ImportError::NotAccepted`] while a cell is wrong or a question is open.
    pub fn accept(self) -> Result<Vec<Runner>, ImportError> {
        if self.is_acceptable() {
            Ok(self.rows.into_iter().map(|row| row.runner).collect())
        } else {
            Err(ImportError::NotAccepted { bad: self.bad_count, questions: self.questions.len() })
        }
    }

    /// Returns whether [`Preview::accept`] would give the children.
    pub fn is_acceptable(&self) -> bool {
        self.bad_count == 0 && self.questions.is_empty()
    }

    /// Returns what was understood of the file as a whole, in sentences.
    pub fn understood(&self) -> Vec<Message> {
        let mut sentences = vec![
            Message::new("import-understood-children").with("children", Arg::Count(self.rows.len() as i64)),
            self.encoding.message(),
            self.delimiter.message(),
        ];
        sentences.extend(self.decimal.map(|decimal| decimal.message()));
        if self.bad_count > 0 {
            let all_listed = self.bad.len() == self.bad_count;
            sentences.push(
                Message::new(if all_listed { "import-understood-bad" } else { "import-understood-bad-many" })
                    .with("bad", Arg::Count(self.bad_count as i64))
                    .with("listed", Arg::Count(self.bad.len() as i64)),
            );
        }
        if !self.questions.is_empty() {
            sentences.push(
                Message::new("import-understood-questions")
                    .with("questions", Arg::Count(self.questions.len() as i64)),
            );
        }
        sentences
    }
}

/// What separates the columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DelimiterFound {
    /// The separator.
    pub delimiter: Delimiter,
    /// How it was found.
    pub how: DelimiterHow,
}

/// How the separator of the columns was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DelimiterHow {
    /// The coach chose it.
    Chosen,
    /// The first line says it (`sep=;`).
    Stated,
    /// It fits the headings or the width of the rows.
    Found,
}

impl DelimiterFound {
    /// Returns the sentence that says what separates the columns.
    pub fn message(&self) -> Message {
        let id = match (self.delimiter, self.how) {
            (Delimiter::OneColumn, _) => "import-delimiter-said-one-column",
            (_, DelimiterHow::Chosen) => "import-delimiter-said-chosen",
            (_, DelimiterHow::Stated) => "import-delimiter-said-stated",
            (_, DelimiterHow::Found) => "import-delimiter-said-found",
        };
        Message::new(id).with("delimiter", Arg::Say(Box::new(Message::new(self.delimiter.word_id()))))
    }
}

/// The decimal mark of the numbers in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalFound {
    /// The coach chose it.
    Chosen(Decimal),
    /// All numbers with decimals have this mark.
    Found(Decimal),
    /// Some numbers have a point, some a comma; each is plain by itself.
    Mixed,
}

impl DecimalFound {
    /// Returns the sentence that says which decimal mark is used.
    pub fn message(&self) -> Message {
        Message::new(match self {
            Self::Chosen(Decimal::Point) => "import-decimal-chosen-point",
            Self::Chosen(Decimal::Comma) => "import-decimal-chosen-comma",
            Self::Found(Decimal::Point) => "import-decimal-point",
            Self::Found(Decimal::Comma) => "import-decimal-comma",
            Self::Mixed => "import-decimal-mixed",
        })
    }
}

/// What was understood of one column.
#[derive(Debug, Clone, PartialEq)]
pub struct ColumnUnderstood {
    /// Place in the file, counted from 0.
    pub index: usize,
    /// The heading as it stands in the file; empty when there is none.
    pub header: String,
    /// What the column holds.
    pub meaning: Meaning,
    /// Its unit, for lengths and ages whose numbers have none beside them.
    pub unit: Option<(Unit, UnitHow)>,
    /// Its first values, shortened; none of columns that are kept out on purpose.
    pub sample: Vec<String>,
}

impl ColumnUnderstood {
    /// Returns how the column is called: its heading, or `column 3`.
    pub fn name(&self) -> Message {
        column_name(self.index, &self.header)
    }

    /// Returns the sentence that says what the column holds.
    pub fn message(&self) -> Message {
        let id = match (self.meaning, self.unit, self.sample.is_empty()) {
            (Meaning::NotReadIn, ..) => "import-column-not-read-in",
            (Meaning::NotUsed, _, true) => "import-column-not-used-empty",
            (Meaning::NotUsed, ..) => "import-column-not-used",
            (_, _, true) => "import-column-empty",
            (_, Some((_, UnitHow::Magnitude)), _) => "import-column-unit-guessed",
            (_, Some(_), _) => "import-column-unit",
            (_, None, _) => "import-column",
        };
        let unit =
            self.unit.map_or(Message::new("import-unit-none"), |(unit, _)| Message::new(unit.word_id()));
        Message::new(id)
            .with("column", Arg::Say(Box::new(self.name())))
            .with("meaning", Arg::Say(Box::new(Message::new(self.meaning.word_id()))))
            .with("unit", Arg::Say(Box::new(unit)))
            .text("sample", self.sample.join(SAMPLE_JOINT))
    }
}

/// What stands between sample values; a comma would run into decimals.
pub(super) const SAMPLE_JOINT: &str = " · ";

/// How the unit of a column was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitHow {
    /// The coach chose it.
    Chosen,
    /// The heading says it.
    Heading,
    /// Only this unit makes children of the numbers.
    Magnitude,
    /// It is the usual one, and nothing speaks against it.
    Usual,
}

/// One child of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct RowPreview {
    /// The line of the file on which the row starts, counted from 1.
    pub line: u64,
    /// The child.
    pub runner: Runner,
    /// What the coach should know about this row.
    pub notes: Vec<Message>,
}

/// One cell that cannot be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct BadCell {
    /// The line of the file on which its row starts, counted from 1.
    pub line: u64,
    /// Its column, counted from 0.
    pub column_index: usize,
    /// Its heading, or its number counted from 1 when there is none.
    pub column: String,
    /// What stands there, shortened.
    pub provided: String,
    /// What is wrong and what to do.
    pub remedy: Message,
}

impl BadCell {
    /// Returns place, cell and remedy as one message.
    pub fn message(&self) -> Message {
        Message::new(if self.provided.is_empty() { "import-bad-empty-cell" } else { "import-bad-cell" })
            .with("line", Arg::Count(self.line as i64))
            .with("column", Arg::Say(Box::new(called(self.column_index, &self.column))))
            .text("provided", self.provided.clone())
            .with("remedy", Arg::Say(Box::new(self.remedy.clone())))
    }
}

/// Something that the file does not settle.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The first line that asks for it.
    pub line: u64,
    /// The column, counted from 0.
    pub column_index: usize,
    /// Its heading, or its number counted from 1 when there is none.
    pub column: String,
    /// What is asked.
    pub message: Message,
    /// What can be answered, the likelier first.
    pub answers: Vec<Answer>,
}

impl Question {
    /// Returns how its column is called.
    pub fn column_name(&self) -> Message {
        called(self.column_index, &self.column)
    }
}

/// One answer to a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What the answer says.
    pub message: Message,
    /// What it settles; see [`super::Options::choose`].
    pub choices: Vec<Choice>,
}

/// One thing that an answer settles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// The decimal mark.
    Decimal(Decimal),
    /// The order of day and month.
    DateOrder(DateOrder),
    /// The unit of a column.
    Unit {
        /// Column, counted from 0.
        column: usize,
        /// Its unit.
        unit: Unit,
    },
    /// What a column holds.
    Column {
        /// Column, counted from 0.
        column: usize,
        /// What it holds.
        meaning: Meaning,
    },
    /// A letter in the column of sexes.
    SexLetter {
        /// The letter, in lower case.
        letter: char,
        /// What it means.
        sex: Sex,
    },
    /// Where the table starts.
    FirstLine {
        /// Line, counted from 1.
        line: u64,
    },
}

fn called(index: usize, column: &str) -> Message {
    let is_number = column.parse() == Ok(index + 1);
    column_name(index, if is_number { "" } else { column })
}

/// Returns how a column is called: its heading, or its number.
pub(super) fn column_name(index: usize, header: &str) -> Message {
    if header.is_empty() {
        Message::new("import-column-number").with("number", Arg::Count(index as i64 + 1))
    } else {
        Message::new("import-column-heading").text("heading", header)
    }
}
