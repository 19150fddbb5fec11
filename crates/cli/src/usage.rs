//! Reads the flags, and says in plain words what is wrong with one.

use std::error::Error as _;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Command, CommandFactory, FromArgMatches};

/// Reads the flags of this call, or ends the program with what is wrong with them.
pub(crate) fn parse<C: CommandFactory + FromArgMatches>() -> C {
    let mut command = with_negative_numbers(C::command());
    command
        .try_get_matches_from_mut(std::env::args_os())
        .and_then(|matches| C::from_arg_matches(&matches))
        .unwrap_or_else(|error| plainly(error).exit())
}

/// Takes `-1` for the value of a flag, so that the flag's own range is named and no flag `-1` is looked for.
fn with_negative_numbers(command: Command) -> Command {
    command.allow_negative_numbers(true).mut_subcommands(with_negative_numbers)
}

/// Replaces what the libraries say about numbers and days by what may stand there.
fn plainly(error: clap::Error) -> clap::Error {
    let context = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => text.as_str(),
        _ => "",
    };
    let (flag, value) = (context(ContextKind::InvalidArg), context(ContextKind::InvalidValue));
    let Some(why) = error.source().filter(|_| error.kind() == ErrorKind::ValueValidation) else {
        return error;
    };
    let allowed = if why.is::<std::num::ParseIntError>() {
        "write a whole number".to_owned()
    } else if why.is::<std::num::ParseFloatError>() {
        "write a number, with a point before decimals".to_owned()
    } else if why.is::<jiff::Error>() && flag.contains("TIME") {
        "write date, time and zone, such as 2026-03-02T12:00:00Z".to_owned()
    } else if why.is::<jiff::Error>() {
        "write the day as YYYY-MM-DD, such as 2026-03-02".to_owned()
    } else if let Some(allowed) = allowed_of(&why.to_string()) {
        allowed
    } else {
        return error;
    };
    let said =
        format!("invalid value '{value}' for '{flag}': {allowed}\n\nFor more information, try '--help'.\n");
    clap::Error::raw(ErrorKind::ValueValidation, said)
}

/// Turns `-1 is not in 0..=4294967295` into what is allowed.
fn allowed_of(why: &str) -> Option<String> {
    let (_, range) = why.split_once(" is not in ")?;
    let (low, high) = range.split_once("..=").or_else(|| range.split_once(".."))?;
    // The ends of the number's type are no limits of ours.
    let open = high.is_empty() || high.parse::<u64>().is_ok_and(|high| high >= u64::from(u32::MAX));
    Some(match open {
        true => format!("write a whole number, {low} or more"),
        false => format!("allowed is {low} to {high}"),
    })
}
