//! Reads the class list, and says what is wrong in it or what it leaves open.

use std::path::Path;

use lanewright_model::import::{self, Choice, DateOrder, Decimal, Meaning, Options, Preview, Unit};
use lanewright_model::runner::{Runner, Sex};
use lanewright_model::words::{Arg, Message, Units, Words};
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::failure::{Failure, Kind};
use crate::{language, output};

/// Answers to what a class list may leave open. A refusal says which one is wanted.
#[derive(clap::Args)]
#[command(next_help_heading = "Reading the class list, when it asks")]
pub(crate) struct ListArgs {
    /// Order of day and month: day-month-year, month-day-year or year-month-day
    #[arg(long, value_name = "ORDER", value_parser = word::<DateOrder>)]
    dates: Option<DateOrder>,
    /// Decimal mark: point or comma
    #[arg(long, value_name = "MARK", value_parser = word::<Decimal>)]
    decimal: Option<Decimal>,
    /// Unit of a column, by its number, such as 3=cm
    #[arg(long = "unit", value_name = "COLUMN=UNIT", value_delimiter = ',', value_parser = for_column::<Unit>)]
    column_units: Vec<(usize, Unit)>,
    /// What a column holds, by its number, such as 2=stature
    #[arg(long = "column", value_name = "COLUMN=WHAT", value_delimiter = ',', value_parser = for_column::<Meaning>)]
    columns: Vec<(usize, Meaning)>,
    /// What a letter in the column of sexes means, such as w=female
    #[arg(long = "sex-letter", value_name = "LETTER=SEX", value_delimiter = ',', value_parser = sex_letter)]
    sex_letters: Vec<(char, Sex)>,
    /// Line on which the table starts
    #[arg(long, value_name = "N")]
    first_line: Option<u64>,
    /// Encoding of the file, such as windows-1252
    #[arg(long, value_name = "NAME")]
    encoding: Option<String>,
}

impl ListArgs {
    fn options(&self) -> Options {
        Options {
            encoding: self.encoding.clone(),
            decimal: self.decimal,
            date_order: self.dates,
            units: self.column_units.iter().copied().collect(),
            columns: self.columns.iter().copied().collect(),
            sex_letters: self.sex_letters.iter().copied().collect(),
            first_line: self.first_line,
            today: Some(jiff::ZonedDateTime::now().date()),
            ..Options::default()
        }
    }
}

/// Reads a word as it is written in files.
fn word<T: DeserializeOwned>(text: &str) -> Result<T, String> {
    let value = serde_json::Value::String(text.trim().to_lowercase());
    serde_json::from_value(value).map_err(|error| {
        let error = error.to_string();
        error.split_once(", expected").map_or(error.clone(), |(_, known)| format!("expected{known}"))
    })
}

/// Returns a word as it is written in files.
fn written<T: Serialize>(value: T) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(text)) => text,
        _ => String::new(),
    }
}

fn for_column<T: DeserializeOwned>(text: &str) -> Result<(usize, T), String> {
    let wrong = "give the number of the column, an equals sign and the word, such as 3=cm";
    let (column, value) = text.split_once('=').ok_or(wrong)?;
    let column: usize = column.trim().parse().map_err(|_| wrong)?;
    Ok((column.checked_sub(1).ok_or("columns count from 1")?, word(value)?))
}

fn sex_letter(text: &str) -> Result<(char, Sex), String> {
    let wrong = "give one letter, an equals sign, and female or male, such as w=female";
    let (letter, sex) = text.split_once('=').ok_or(wrong)?;
    let mut letters = letter.trim().chars().flat_map(char::to_lowercase);
    match (letters.next(), letters.next()) {
        (Some(letter), None) => Ok((letter, word(sex)?)),
        _ => Err(wrong.to_owned()),
    }
}

/// Reads a class list; `-` is standard input. What the coach should know about it goes to standard error.
///
/// # Errors
/// The file cannot be read, or it has mistakes or open questions: then nothing of it is taken.
pub(crate) fn read(path: &Path, args: &ListArgs) -> Result<Vec<Runner>, Failure> {
    let bytes = output::read(path)?;
    let words = language::words(Units::Metric);
    let preview = import::read(&bytes, &args.options()).map_err(|error| {
        Failure::new(Kind::ClassList, words.say(&error.message())).and(words.get("cli-nothing-planned"))
    })?;
    if !preview.is_acceptable() {
        return Err(refusal(&preview, &words));
    }
    // What is said of one row may be among what is said of the list.
    let of_rows = preview.rows.iter().flat_map(|row| &row.notes);
    for notice in preview.warnings.iter().chain(of_rows.filter(|note| !preview.warnings.contains(note))) {
        output::note(&words.say(notice));
    }
    preview.accept().map_err(|error| Failure::new(Kind::ClassList, words.say(&error.message())))
}

fn refusal(preview: &Preview, words: &Words) -> Failure {
    let open = preview.bad_count + preview.questions.len();
    let look = Message::new("cli-list-look").with("places", Arg::Count(open as i64));
    let place = |line: String, column: String, said: String| {
        let place = Message::new("cli-list-place").text("line", line).text("column", column);
        words.say(&place.text("said", said))
    };
    let mut failure = Failure::new(Kind::ClassList, words.say(&look));
    for bad in &preview.bad {
        // The place stands first and in the words that other programs look for.
        let provided = if bad.provided.is_empty() { String::new() } else { format!("`{}`. ", bad.provided) };
        let remedy = words.say(&bad.remedy);
        failure =
            failure.and(place(bad.line.to_string(), bad.column.to_string(), format!("{provided}{remedy}")));
    }
    if preview.bad_count > preview.bad.len() {
        let more = (preview.bad_count - preview.bad.len()) as i64;
        failure = failure.and(words.say(&Message::new("cli-list-more").with("count", Arg::Count(more))));
    }
    for question in &preview.questions {
        let asked = words.say(&question.message);
        failure = failure.and(place(question.line.to_string(), question.column.to_string(), asked));
        for answer in &question.answers {
            let flags: Vec<String> = answer.choices.iter().map(flag).collect();
            failure = failure.and(format!("  {}: {}", flags.join(" "), words.say(&answer.message)));
        }
    }
    failure.and(words.get("cli-nothing-planned"))
}

/// The flag that settles one thing.
fn flag(choice: &Choice) -> String {
    match *choice {
        Choice::Decimal(decimal) => format!("--decimal {}", written(decimal)),
        Choice::DateOrder(order) => format!("--dates {}", written(order)),
        Choice::Unit { column, unit } => format!("--unit {}={}", column + 1, written(unit)),
        Choice::Column { column, meaning } => format!("--column {}={}", column + 1, written(meaning)),
        Choice::SexLetter { letter, sex } => format!("--sex-letter {letter}={}", written(sex)),
        Choice::FirstLine { line } => format!("--first-line {line}"),
    }
}
