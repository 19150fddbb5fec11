//! What went wrong, where, and what to change.

use std::io::Write as _;
use std::process::ExitCode;

use lanewright_model::words::Units;

use crate::language;

/// Kinds of failure; each has an exit code of its own, listed in the help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A flag is missing or cannot be understood.
    Usage,
    /// A file cannot be read.
    Read,
    /// The class list has mistakes.
    ClassList,
    /// There is no such plan.
    NoPlan,
    /// A file cannot be written.
    Write,
    /// The data file is not what was stored.
    Damaged,
}

/// A failure with its sentences, the one that says what to do last.
#[derive(Debug)]
pub(crate) struct Failure {
    kind: Kind,
    lines: Vec<String>,
}

impl Failure {
    pub(crate) fn new(kind: Kind, line: impl Into<String>) -> Self {
        Self { kind, lines: vec![line.into()] }
    }

    /// Adds a line: another mistake of the same sort, or what to do.
    pub(crate) fn and(mut self, line: impl Into<String>) -> Self {
        self.lines.push(line.into());
        self
    }

    pub(crate) fn exit_code(&self) -> ExitCode {
        ExitCode::from(match self.kind {
            Kind::Usage => 2,
            Kind::Read => 3,
            Kind::ClassList => 4,
            Kind::NoPlan => 5,
            Kind::Write => 6,
            Kind::Damaged => 7,
        })
    }

    /// Writes the failure to standard error.
    pub(crate) fn report(&self) {
        // What is wrong with a call is said in English, like the help that names its flags.
        let start = match self.kind {
            Kind::Usage => "error".to_owned(),
            _ => language::words(Units::Metric).get("cli-error"),
        };
        let mut text = format!("{start}: ");
        text.push_str(&self.lines.join("\n"));
        text.push('\n');
        // Nobody is left to be told when standard error is closed.
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
    }
}
