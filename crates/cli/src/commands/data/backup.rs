//! `lanewright backup`: a copy of the data file, looked over before it counts.

use std::path::{Path, PathBuf};

use jiff::civil::DateTime;
use lanewright_store::file::{backup, database_in};

use super::{DATA_EXIT_CODES, Folder, block_on, records, store_failure};
use crate::failure::{Failure, Kind};
use crate::output;

const EXAMPLES: &str = "\
Examples:
  # Into a folder, under a name with the time; older ones than 30 days go.
  lanewright backup --to /media/stick/lanewright --keep-days 30";

/// Copies the data file, also while the server runs
///
/// The copy is complete, on the disk and looked over, or it is not there.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = DATA_EXIT_CODES)]
pub(crate) struct Args {
    #[command(flatten)]
    folder: Folder,
    /// Folder for the copies, best on another disk
    #[arg(long, short = 'o', value_name = "DIR")]
    to: PathBuf,
    /// Delete copies in that folder that are older; once the new one is there
    #[arg(long, value_name = "N")]
    keep_days: Option<u32>,
}

/// Copies are called by this, the time (UTC) and the ending.
const PREFIX: &str = "lanewright-";
const ENDING: &str = ".sqlite";
const FORM: &str = "%Y%m%dT%H%M%SZ";

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    args.folder.file_only("Copy it with pg_dump, or archive its log: docs/deploy.md")?;
    let from = database_in(&args.folder.existing()?);
    let failed = |error: std::io::Error| {
        Failure::new(Kind::Write, format!("`{}` cannot be written: {error}", args.to.display()))
            .and("Check that the disk is there and that you may write to it.")
    };
    std::fs::create_dir_all(&args.to).map_err(failed)?;
    let now = jiff::Timestamp::now();
    let name = format!("{PREFIX}{}{ENDING}", now.strftime(FORM));
    let to = args.to.join(&name);
    let health = block_on(backup(&from, &to))?.map_err(|error| store_failure(&error))?;
    let count: usize = health.kinds.values().sum();
    output::print(&format!("{}\n", to.display()))?;
    output::note(&format!(
        "{}, looked over. It holds names; keep it as safe as the data itself.",
        records(count)
    ));
    if let Some(keep_days) = args.keep_days {
        for copy in copies_in(&args.to) {
            let hours = now.duration_since(copy.made).as_hours();
            if hours >= i64::from(keep_days) * 24 && copy.path != to {
                std::fs::remove_file(&copy.path).map_err(failed)?;
                output::note(&format!(
                    "{} is older than {keep_days} days and was deleted.",
                    copy.path.display()
                ));
            }
        }
    }
    Ok(())
}

/// One copy in a folder.
pub(crate) struct Copy {
    pub path: PathBuf,
    /// When it was made, by its name.
    made: jiff::Timestamp,
}

/// Finds the copies in a folder, oldest first. Other files are passed over.
pub(crate) fn copies_in(folder: &Path) -> Vec<Copy> {
    let mut copies: Vec<Copy> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            let time = name.strip_prefix(PREFIX)?.strip_suffix(ENDING)?;
            let made = jiff::tz::TimeZone::UTC.to_timestamp(DateTime::strptime(FORM, time).ok()?).ok()?;
            Some(Copy { path: entry.path(), made })
        })
        .collect();
    copies.sort_by_key(|copy| copy.made);
    copies
}
