//! The language in which the program writes to people.

use std::sync::OnceLock;

use lanewright_model::words::{Language, Units, Words};

use crate::failure::{Failure, Kind};

/// The variable that names the language where no flag does.
const VARIABLE: &str = "LANEWRIGHT_LANGUAGE";

static CHOSEN: OnceLock<Language> = OnceLock::new();

/// Settles the language, once, before a command starts: the flag, else the variable, else English.
///
/// # Errors
/// The variable names a language without words.
pub(crate) fn settle(flag: Option<Language>) -> Result<(), Failure> {
    let language = match (flag, std::env::var(VARIABLE)) {
        (Some(language), _) => language,
        (None, Ok(tag)) if !tag.is_empty() => Language::from_tag(&tag).ok_or_else(|| {
            Failure::new(Kind::Usage, format!("{VARIABLE} is `{tag}`; there are {}", known().join(", ")))
        })?,
        _ => Language::default(),
    };
    // A second call would change nothing: a command has begun to speak.
    let _ = CHOSEN.set(language);
    Ok(())
}

/// Reads the flag.
pub(crate) fn parse(tag: &str) -> Result<Language, String> {
    Language::from_tag(tag).ok_or_else(|| format!("there are {}", known().join(", ")))
}

fn known() -> Vec<&'static str> {
    Language::ALL.into_iter().map(Language::tag).collect()
}

/// Returns the words in the settled language.
pub(crate) fn words(units: Units) -> Words {
    Words::new(CHOSEN.get().copied().unwrap_or_default(), units)
}
