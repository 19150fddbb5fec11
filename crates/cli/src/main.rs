//! The program `lanewright`: one command per job, data on standard output, messages on standard error.

#[cfg(feature = "audio")]
mod audio;
mod class;
mod commands;
mod failure;
mod language;
mod output;
mod usage;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::failure::Failure;

/// Help shows examples first, then what there is.
pub(crate) const HELP: &str = "\
{before-help}{about-with-newline}
{usage-heading} {usage}

{all-args}{after-help}
";

const EXAMPLES: &str = "\
Examples:
  lanewright start --demo
  lanewright lanes --class 7-larch.csv --drill alternate-run --hurdles 24 --space 28x15
  lanewright lesson --class 7-larch.csv --minutes 50 --hurdles 24 --space 32x18
  lanewright decide runs.jsonl
  lanewright listen run.m4a --hurdles 5 --spacing-m 4.8 --contacts-per-gap 3
  lanewright topple --push one-finger --mass-kg 0.4
  lanewright sprint splits.csv --start photocell --timing-sd-s 0.005
  lanewright report cards runs.jsonl --class 7-larch.csv --pdf cards.pdf";

/// Exit codes stand in the help of every command that reads files.
pub(crate) const EXIT_CODES: &str = "\
Exit codes:
  0  done; a plan that does not fit is an answer too: \"fits\": false
  1  something unexpected
  2  a flag is missing or cannot be understood
  3  a file cannot be read
  4  the class list or the run file has mistakes; nothing was computed
  5  there is no answer: nobody runs, no drill has hurdles, wishes clash, or no knock to explain
  6  a file cannot be written
  7  the data is damaged";

/// Sets out mini-hurdle lanes for a class.
#[derive(Parser)]
#[command(
    name = "lanewright",
    version,
    help_template = HELP,
    before_help = EXAMPLES,
    after_help = EXIT_CODES,
    arg_required_else_help = true,
    disable_help_subcommand = true,
)]
struct Cli {
    /// Language of what is written and printed: en or de; without it LANEWRIGHT_LANGUAGE counts. Help, usage errors
    /// and JSON stay English
    #[arg(long, global = true, value_name = "LANGUAGE", value_parser = language::parse)]
    language: Option<lanewright_model::words::Language>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Start(commands::start::Args),
    Lanes(Box<commands::lanes::Args>),
    Lesson(Box<commands::lesson::Args>),
    Decide(commands::decide::Args),
    Cause(commands::cause::Args),
    #[cfg(feature = "audio")]
    Listen(commands::listen::Args),
    Topple(commands::topple::Args),
    Sprint(commands::sprint::Args),
    #[cfg(feature = "pdf")]
    Report(Box<commands::report::Args>),
    Export(commands::data::export::Args),
    Import(commands::data::import::Args),
    Erase(commands::data::erase::Args),
    Backup(commands::data::backup::Args),
    Restore(commands::data::restore::Args),
    Check(commands::data::check::Args),
}

fn main() -> ExitCode {
    let Cli { language, command } = usage::parse();
    let result = language::settle(language).and_then(|()| run(command));
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            failure.report();
            failure.exit_code()
        }
    }
}

fn run(command: Command) -> Result<(), Failure> {
    match command {
        Command::Start(args) => commands::start::run(&args),
        Command::Lanes(args) => commands::lanes::run(&args),
        Command::Lesson(args) => commands::lesson::run(&args),
        Command::Decide(args) => commands::decide::run(&args),
        Command::Cause(args) => commands::cause::run(&args),
        #[cfg(feature = "audio")]
        Command::Listen(args) => commands::listen::run(&args),
        Command::Topple(args) => commands::topple::run(&args),
        Command::Sprint(args) => commands::sprint::run(&args),
        #[cfg(feature = "pdf")]
        Command::Report(args) => commands::report::run(&args),
        Command::Export(args) => commands::data::export::run(&args),
        Command::Import(args) => commands::data::import::run(&args),
        Command::Erase(args) => commands::data::erase::run(&args),
        Command::Backup(args) => commands::data::backup::run(&args),
        Command::Restore(args) => commands::data::restore::run(&args),
        Command::Check(args) => commands::data::check::run(&args),
    }
}
