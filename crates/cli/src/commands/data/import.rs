//! `lanewright import`: what `export` wrote, all of it or nothing.

use std::path::{Path, PathBuf};

use lanewright_model::erasure::Erasures;
use lanewright_store::StoreError;
use lanewright_sync::export::{Export, ExportError, PACKAGE_FILE, read_json, read_package};
use lanewright_sync::{RefusalReason, check, erasures_in, left_of};

use super::{DATA_EXIT_CODES, Folder, block_on, now_ms, records, store_failure};
use crate::failure::{Failure, Kind};
use crate::output;

const EXAMPLES: &str = "\
Examples:
  # Into this user's own data, or into a new folder.
  lanewright import monday.json
  lanewright import monday.json --data school
  # A folder of tables, as `export --form tables` writes it. See first what would happen.
  lanewright import monday --dry-run";

/// Reads an export in: all of it or nothing
///
/// Of two writes of one fact the later stands; what was erased stays erased.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = DATA_EXIT_CODES)]
pub(crate) struct Args {
    /// JSON file, or folder of tables
    #[arg(value_name = "EXPORT")]
    from: PathBuf,
    #[command(flatten)]
    folder: Folder,
    /// Only say what would happen
    #[arg(long, short = 'n')]
    dry_run: bool,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let export = read(&args.from)?;
    let now_ms = now_ms();
    let Some(school) = export.school else {
        return Err(mistakes(&args.from, "it holds no records".to_owned()));
    };
    let mut erasures = Erasures::default();
    if args.folder.names_another(school) {
        return Err(args.folder.other_school(school));
    }
    if let Some(present) = args.folder.present()? {
        if present.school != school {
            return Err(args.folder.other_school(school));
        }
        erasures = erasures_in(&present.records);
    }
    for (record, number) in export.records.iter().zip(1..) {
        check(record, school, now_ms).map_err(|reason| {
            let why = match reason {
                RefusalReason::ClockAhead => "it was written more than a day ahead of this computer's clock",
                RefusalReason::OtherSchool => "it belongs to another school",
                _ => "it does not have the shape of its kind",
            };
            mistakes(&args.from, format!("record {number} ({} {}): {why}", record.kind, record.id))
        })?;
    }
    let stays_away = export.records.iter().filter(|record| left_of(&erasures, record).is_none()).count();
    if !args.dry_run {
        let opening = args.folder.open(school)?;
        block_on(async {
            let store = opening.await?;
            // One push: all of it becomes visible together, or none.
            let answer = store.push(school, &export.records, now_ms).await;
            store.close().await;
            answer
        })?
        .map_err(|error: StoreError| store_failure(&error))?;
    }
    let done = match (args.dry_run, export.records.len()) {
        (true, _) => "would be read in",
        (false, 1) => "was read in",
        (false, _) => "were read in",
    };
    let named = if stays_away == 1 { "names" } else { "name" };
    output::note(&format!(
        "{} {done}; {stays_away} of them {named} what was erased.",
        records(export.records.len())
    ));
    Ok(())
}

fn read(from: &Path) -> Result<Export, Failure> {
    let wrong = |error: ExportError| mistakes(from, error.to_string());
    if !from.is_dir() {
        let bytes = output::read(from)?;
        let text = std::str::from_utf8(&bytes)
            .map_err(|error| mistakes(from, format!("byte {}: this is not UTF-8", error.valid_up_to())))?;
        return read_json(text).map_err(wrong);
    }
    let description = output::read(&from.join(PACKAGE_FILE))?;
    let description = String::from_utf8_lossy(&description);
    read_package(&description, |name| {
        std::fs::read(from.join(name)).map_err(|error| format!("it cannot be read: {error}"))
    })
    .map_err(wrong)
}

fn mistakes(from: &Path, problem: String) -> Failure {
    Failure::new(Kind::ClassList, format!("`{}`: {problem}", from.display())).and("Nothing was changed.")
}
