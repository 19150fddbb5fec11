//! Why a file as a whole was not read or not taken.

use std::fmt;

use crate::words::{Arg, Message, Units, Words};

/// What a file is when it is not a text table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A spreadsheet workbook (a zip archive).
    Workbook,
    /// A spreadsheet workbook of the old binary kind.
    OldWorkbook,
    /// A PDF.
    Pdf,
    /// A picture.
    Picture,
    /// A web page, or a table saved as one.
    WebPage,
    /// Structured data such as JSON or XML, or formatted text.
    Structured,
    /// None of these, but not text either.
    Binary,
}

/// Why a file as a whole was not read or not taken. Nothing has been changed when it is returned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ImportError {
    /// The file holds nothing.
    Empty,
    /// The file is too large.
    TooLarge {
        /// Size of the file.
        provided_bytes: usize,
        /// Largest size that is read.
        allowed_bytes: usize,
    },
    /// The file holds too many rows.
    TooManyRows {
        /// The line of the first row too many.
        line: u64,
        /// Most rows that are read.
        allowed: usize,
    },
    /// A row holds too many cells.
    TooManyColumns {
        /// The line of that row.
        line: u64,
        /// Cells in it, up to the last that is not empty.
        provided: usize,
        /// Most columns that are read.
        allowed: usize,
    },
    /// The file is no text table.
    NotText {
        /// What it looks like.
        kind: FileKind,
    },
    /// The encoding that was asked for does not exist.
    UnknownEncoding {
        /// The name that was given.
        provided: String,
    },
    /// A quotation mark opens a cell and never closes.
    UnclosedQuote {
        /// The line on which the row with the opening mark starts.
        line: u64,
    },
    /// No column can be the names.
    NoNames {
        /// The line of the header.
        line: u64,
    },
    /// There is a header and no child below it.
    NoRows,
    /// The preview still holds wrong cells or open questions, so nothing was taken.
    NotAccepted {
        /// Wrong cells.
        bad: usize,
        /// Open questions.
        questions: usize,
    },
}

impl ImportError {
    /// Returns what is wrong and what to do, for people.
    pub fn message(&self) -> Message {
        let count = |number: usize| Arg::Count(i64::try_from(number).unwrap_or(i64::MAX));
        let line = |number: u64| Arg::Count(i64::try_from(number).unwrap_or(i64::MAX));
        match self {
            Self::Empty => Message::new("import-error-empty"),
            Self::TooLarge { provided_bytes, allowed_bytes } => Message::new("import-error-too-large")
                .with("provided", Arg::Number((*provided_bytes as f64 / 104_857.6).ceil() / 10.0))
                .with("allowed", Arg::Number(*allowed_bytes as f64 / 1_048_576.0)),
            Self::TooManyRows { line: at, allowed } => Message::new("import-error-too-many-rows")
                .with("line", line(*at))
                .with("allowed", count(*allowed)),
            Self::TooManyColumns { line: at, provided, allowed } => {
                Message::new("import-error-too-many-columns")
                    .with("line", line(*at))
                    .with("provided", count(*provided))
                    .with("allowed", count(*allowed))
            }
            Self::NotText { kind } => Message::new(match kind {
                FileKind::Workbook => "import-error-workbook",
                FileKind::OldWorkbook => "import-error-old-workbook",
                FileKind::Pdf => "import-error-pdf",
                FileKind::Picture => "import-error-picture",
                FileKind::WebPage => "import-error-web-page",
                FileKind::Structured => "import-error-structured",
                FileKind::Binary => "import-error-binary",
            }),
            Self::UnknownEncoding { provided } => {
                Message::new("import-error-unknown-encoding").text("provided", provided.clone())
            }
            Self::UnclosedQuote { line: at } => {
                Message::new("import-error-unclosed-quote").with("line", line(*at))
            }
            Self::NoNames { line: at } => Message::new("import-error-no-names").with("line", line(*at)),
            Self::NoRows => Message::new("import-error-no-rows"),
            Self::NotAccepted { bad, questions } => Message::new("import-error-not-accepted")
                .with("bad", count(*bad))
                .with("questions", count(*questions)),
        }
    }

    /// Returns the line of the file to look at, when there is one.
    pub fn line(&self) -> Option<u64> {
        match self {
            Self::TooManyRows { line, .. }
            | Self::TooManyColumns { line, .. }
            | Self::UnclosedQuote { line }
            | Self::NoNames { line } => Some(*line),
            _ => None,
        }
    }
}

impl fmt::Display for ImportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&Words::english(Units::Metric).say(&self.message()))
    }
}
