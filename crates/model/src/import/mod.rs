//! Class lists as coaches really have them: reading, previewing, writing and comparing.
//!
//! [`read`] turns the bytes of a file into a [`Preview`] that says what was understood. What is ambiguous becomes a
//! [`Question`] with its possible answers; what is wrong becomes a [`BadCell`] with its place and remedy. Only a
//! preview without either can be [accepted](Preview::accept), and then as a whole. [`write()`] writes our own form,
//! [`compare`] says who of a list is already in a class.
//!
//! Formats: `docs/formats/class-list.md`. Rules with their reasons: `docs/methods/class-import.md`.
//!
//! ```
//! use lanewright_model::import::{Options, read};
//!
//! let preview = read("Name;Größe (m)\nWren;1,43\n".as_bytes(), &Options::default())?;
//! let runners = preview.accept()?;
//! assert_eq!(runners[0].label, "Wren");
//! assert_eq!(runners[0].stature_cm, Some(143.0));
//! # Ok::<(), lanewright_model::import::ImportError>(())
//! ```

mod build;
mod cell;
mod compare;
mod date;
mod decode;
mod error;
mod frame;
mod header;
mod length;
mod preview;
mod table;
mod write;

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::runner::Sex;

pub use compare::{Changed, Comparison, Field, Known, compare};
pub use decode::{ENCODINGS, EncodingFound, EncodingHow};
pub use error::{FileKind, ImportError};
pub use preview::{
    Answer, BadCell, Choice, ColumnUnderstood, DecimalFound, DelimiterFound, DelimiterHow, Preview, Question,
    RowPreview, UnitHow,
};
pub use write::write;

/// Largest file that is read, in bytes: 2 MiB. Engineering assumption; a class list has a few kilobytes.
pub const BYTES_MAX: usize = 2 * 1024 * 1024;
/// Most children in one file. Engineering assumption: a large school, whole.
pub const ROWS_MAX: usize = 2_000;
/// Most columns that hold anything. Engineering assumption.
pub const COLUMNS_MAX: usize = 100;
/// Longest cell, in characters. Engineering assumption.
pub const CELL_CHARS_MAX: usize = 1_000;
/// Longest name and longest id, in characters. Engineering assumption.
pub const NAME_CHARS_MAX: usize = 80;
/// Most wrong cells that a preview lists one by one; more are counted. Engineering assumption.
pub const BAD_CELLS_LISTED_MAX: usize = 200;

/// Range of statures that are taken, in centimetres. Engineering assumption: outside it the unit or a digit is wrong.
pub const STATURE_CM: (f64, f64) = (60.0, 230.0);
/// Range of leg lengths that are taken, in centimetres. Engineering assumption.
pub const LEG_LENGTH_CM: (f64, f64) = (25.0, 130.0);
/// Range of step lengths that are taken, in metres. Engineering assumption.
pub const STEP_LENGTH_M: (f64, f64) = (0.2, 3.0);
/// Range of ages that are taken, in years. Engineering assumption.
pub const AGE_Y: (f64, f64) = (3.0, 25.0);
/// First and last year of birth that is taken. Engineering assumption.
pub const BIRTH_YEARS: (i16, i16) = (1990, 2035);
/// First and last year in which a child can have been measured. Engineering assumption.
pub const MEASURED_YEARS: (i16, i16) = (1993, 2060);

/// What the coach has settled by hand. Everything else is found in the file, or asked.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Options {
    /// Name of the encoding, one of [`ENCODINGS`] or another label of the WHATWG encoding standard.
    pub encoding: Option<String>,
    /// What stands between two columns.
    pub delimiter: Option<Delimiter>,
    /// Which sign is the decimal mark.
    pub decimal: Option<Decimal>,
    /// In which order day and month stand in dates such as `03/04/2014`.
    pub date_order: Option<DateOrder>,
    /// Unit of a column, by column index from 0.
    pub units: BTreeMap<usize, Unit>,
    /// What a column holds, by column index from 0.
    pub columns: BTreeMap<usize, Meaning>,
    /// What a letter means in the column of sexes, in lower case.
    pub sex_letters: BTreeMap<char, Sex>,
    /// How much of a surname is kept when it has a column of its own, or stands before a comma.
    pub surnames: Surnames,
    /// The line on which the table starts (header or first child), counted from 1; what stands above is left out.
    pub first_line: Option<u64>,
    /// The day of reading, where it is known: nobody was born or measured after it. A day more is let through, for
    /// clocks and time zones.
    pub today: Option<Date>,
}

impl Options {
    /// Settles one thing, as an answer to a question asks for.
    pub fn choose(&mut self, choice: &Choice) {
        match *choice {
            Choice::Decimal(decimal) => self.decimal = Some(decimal),
            Choice::DateOrder(order) => self.date_order = Some(order),
            Choice::Unit { column, unit } => drop(self.units.insert(column, unit)),
            Choice::Column { column, meaning } => drop(self.columns.insert(column, meaning)),
            Choice::SexLetter { letter, sex } => drop(self.sex_letters.insert(letter, sex)),
            Choice::FirstLine { line } => self.first_line = Some(line),
        }
    }
}

/// What stands between two columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Delimiter {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
    /// `|`
    Bar,
    /// Nothing: the file has one column.
    OneColumn,
}

impl Delimiter {
    /// All of them, in the order in which a choice offers them.
    pub const ALL: [Self; 5] = [Self::Comma, Self::Semicolon, Self::Tab, Self::Bar, Self::OneColumn];

    /// Returns the id of its words.
    pub fn word_id(self) -> &'static str {
        match self {
            Self::Comma => "import-delimiter-comma",
            Self::Semicolon => "import-delimiter-semicolon",
            Self::Tab => "import-delimiter-tab",
            Self::Bar => "import-delimiter-bar",
            Self::OneColumn => "import-delimiter-one-column",
        }
    }

    /// The byte that splits cells. The unit separator stands for "one column": no list is typed with it.
    fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
            Self::Bar => b'|',
            Self::OneColumn => 0x1f,
        }
    }
}

/// Which sign is the decimal mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decimal {
    /// `1.43`
    Point,
    /// `1,43`
    Comma,
}

/// In which order day, month and year stand when they are plain numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DateOrder {
    /// `31/12/2014`
    DayMonthYear,
    /// `12/31/2014`
    MonthDayYear,
    /// `14/12/31`, offered only for years of two digits.
    YearMonthDay,
}

/// How much of a surname is kept when it has a column of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Surnames {
    /// First name and the first letter of the surname: enough to call a child, and the least to store.
    #[default]
    FirstLetter,
    /// First name and whole surname.
    Whole,
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meaning {
    /// What the coach calls the child.
    Name,
    /// First name.
    FirstName,
    /// Surname.
    Surname,
    /// A code for the child that runs refer to.
    Id,
    /// Sex.
    Sex,
    /// Age.
    Age,
    /// The day the age was written down.
    AgeDate,
    /// Date of birth.
    BirthDate,
    /// Stature.
    Stature,
    /// The day the stature was measured.
    StatureDate,
    /// Leg length.
    LegLength,
    /// Length of one running step.
    StepLength,
    /// Something this program has no use for, or does not know.
    NotUsed,
    /// Something that is kept out on purpose: health, addresses, parents, mass and the like.
    NotReadIn,
}

impl Meaning {
    /// What a coach can choose for a column, in the order in which a choice offers it.
    pub const ALL: [Self; 13] = [
        Self::Name,
        Self::FirstName,
        Self::Surname,
        Self::Sex,
        Self::Age,
        Self::BirthDate,
        Self::Stature,
        Self::StatureDate,
        Self::LegLength,
        Self::StepLength,
        Self::Id,
        Self::AgeDate,
        Self::NotUsed,
    ];

    /// Returns the id of its words.
    pub fn word_id(self) -> &'static str {
        match self {
            Self::Name => "import-meaning-name",
            Self::FirstName => "import-meaning-first-name",
            Self::Surname => "import-meaning-surname",
            Self::Id => "import-meaning-id",
            Self::Sex => "import-meaning-sex",
            Self::Age => "import-meaning-age",
            Self::AgeDate => "import-meaning-age-date",
            Self::BirthDate => "import-meaning-birth-date",
            Self::Stature => "import-meaning-stature",
            Self::StatureDate => "import-meaning-stature-date",
            Self::LegLength => "import-meaning-leg-length",
            Self::StepLength => "import-meaning-step-length",
            Self::NotUsed => "import-meaning-not-used",
            Self::NotReadIn => "import-meaning-not-read-in",
        }
    }

    fn is_read(self) -> bool {
        !matches!(self, Self::NotUsed | Self::NotReadIn)
    }

    fn is_length(self) -> bool {
        matches!(self, Self::Stature | Self::LegLength | Self::StepLength)
    }

    fn is_date(self) -> bool {
        matches!(self, Self::BirthDate | Self::StatureDate | Self::AgeDate)
    }
}

/// Unit of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// Centimetres.
    Cm,
    /// Metres.
    M,
    /// Millimetres.
    Mm,
    /// Inches.
    Inches,
    /// Feet, whole or with inches beside them.
    Feet,
    /// Feet and inches written with a point: `4.11` is 4 ft 11 in.
    FeetPointInches,
    /// Feet with decimals: `4.5` is four and a half feet.
    FeetDecimal,
    /// Years.
    Years,
    /// Years and months written with a point: `11.10` is 11 years and 10 months.
    YearsPointMonths,
    /// Months.
    Months,
}

impl Unit {
    /// Returns the id of its words.
    pub fn word_id(self) -> &'static str {
        match self {
            Self::Cm => "import-unit-cm",
            Self::M => "import-unit-m",
            Self::Mm => "import-unit-mm",
            Self::Inches => "import-unit-inches",
            Self::Feet => "import-unit-feet",
            Self::FeetPointInches => "import-unit-feet-point-inches",
            Self::FeetDecimal => "import-unit-feet-decimal",
            Self::Years => "import-unit-years",
            Self::YearsPointMonths => "import-unit-years-point-months",
            Self::Months => "import-unit-months",
        }
    }
}

/// Reads a class list and says what was understood.
///
/// Changes nothing anywhere: the preview is data. Reading the same bytes with the same options gives the same preview.
///
/// # Errors
/// The file as a whole cannot be a class list: too large, empty, not text, without names, with a quotation mark that
/// never closes. Wrong cells are no error here; they stand in [`Preview::bad`].
pub fn read(bytes: &[u8], options: &Options) -> Result<Preview, ImportError> {
    if bytes.len() > BYTES_MAX {
        return Err(ImportError::TooLarge { provided_bytes: bytes.len(), allowed_bytes: BYTES_MAX });
    }
    let decoded = decode::decode(bytes, options.encoding.as_deref())?;
    let table = table::read(&decoded.text, options)?;
    let frame = frame::frame(table, options)?;
    build::build(decoded, frame, options, digest(bytes))
}

/// Returns the SHA-256 of a file in hexadecimal, as [`Preview::sha256`] carries it.
pub fn digest(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Trims white space, and the invisible marks that spreadsheets leave at the ends of cells.
fn trim(text: &str) -> &str {
    text.trim_matches(|c: char| {
        c.is_whitespace() || matches!(c, '\u{feff}' | '\u{200b}' | '\u{200e}' | '\u{200f}')
    })
}
