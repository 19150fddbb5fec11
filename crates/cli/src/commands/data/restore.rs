//! `lanewright restore`: a backup in the place of the data.

use std::path::PathBuf;

use lanewright_store::file::restore;

use super::{DATA_EXIT_CODES, Folder, block_on, data_file, store_failure, typed};
use crate::failure::{Failure, Kind};
use crate::output;

const EXAMPLES: &str = "\
Examples:
  # Stop the server first.
  lanewright restore /media/stick/lanewright/lanewright-20260302T101405Z.sqlite";

/// Puts a backup in the place of the data
///
/// The file that was there is kept beside it until something is erased. What was erased since the backup stays erased.
/// Every device has to open a new link.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = DATA_EXIT_CODES)]
pub(crate) struct Args {
    /// The backup
    #[arg(value_name = "BACKUP")]
    from: PathBuf,
    #[command(flatten)]
    folder: Folder,
    /// Do not ask
    #[arg(long)]
    yes: bool,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let folder = args.folder.file_only("Put a pg_dump back into a new database with psql: docs/deploy.md")?;
    data_file(&args.from, "Name one backup, as `lanewright backup` wrote it.")?;
    let there = lanewright_store::file::database_in(&folder).exists();
    let question = format!("The data in {} will be replaced. To go on, type `restore`:", folder.display());
    if there && !args.yes && !typed(&question, "restore") {
        return Err(
            Failure::new(Kind::Usage, "nothing was changed").and("Say --yes to go on without being asked.")
        );
    }
    let kept = block_on(restore(&folder, &args.from))?.map_err(|error| store_failure(&error))?;
    output::note(&format!("{} is in place.", args.from.display()));
    if let Some(kept) = kept {
        output::note(&format!(
            "What was there is kept as {} until something is erased; delete it when all is well.",
            kept.display()
        ));
    }
    output::note("Every device has to open a new link: start the server and use the one that it prints.");
    Ok(())
}
