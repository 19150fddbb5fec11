//! `lanewright check`: is the data file sound?

use std::path::PathBuf;

use lanewright_store::file::{check, database_in};
use lanewright_store::{FORMAT_VERSION, postgres};
use serde_json::json;

use super::{DATA_EXIT_CODES, Folder, block_on, data_file, store_failure};
use crate::failure::{Failure, Kind};
use crate::output;

const EXAMPLES: &str = "\
Examples:
  lanewright check
  lanewright check --file /media/stick/lanewright/lanewright-20260302T101405Z.sqlite";

/// Looks the data file over, also while the server runs
///
/// SQLite's check of the whole file, the digest of every record, and the settings on which safety rests, read back.
/// Of a PostgreSQL database: the digest of every record of all schools, the rules that keep schools apart,
/// and the settings.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = DATA_EXIT_CODES)]
pub(crate) struct Args {
    #[command(flatten)]
    folder: Folder,
    /// A backup instead of the data folder
    #[arg(long, value_name = "FILE", conflicts_with_all = ["data", "demo", "database"])]
    file: Option<PathBuf>,
    /// Machine-readable
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let database = args.folder.database()?;
    let (name, known, health) = match (&database, &args.file) {
        (Some(database), _) => {
            (database.to_string(), postgres::FORMAT_VERSION, block_on(postgres::check(database))?)
        }
        (None, Some(file)) => {
            data_file(file, "--file takes one backup; --data takes the folder that `start` uses.")?;
            (file.display().to_string(), FORMAT_VERSION, block_on(check(file, false))?)
        }
        (None, None) => {
            let path = database_in(&args.folder.existing()?);
            (path.display().to_string(), FORMAT_VERSION, block_on(check(&path, true))?)
        }
    };
    let health = health.map_err(|error| store_failure(&error))?;
    let records: usize = health.kinds.values().sum();
    if args.json {
        let settings: serde_json::Map<String, serde_json::Value> =
            health.settings.iter().map(|(name, value)| ((*name).to_owned(), json!(value))).collect();
        output::print_json(&json!({
            "file": name, "sound": health.is_sound(), "format": health.format,
            "records": records, "kinds": health.kinds, "settings": settings,
            "wrong": health.file.iter().chain(&health.damaged).chain(&health.setting_wrong).collect::<Vec<_>>(),
        }))?;
    }
    if !health.is_sound() {
        let mut failure = Failure::new(Kind::Damaged, format!("{name} is not sound:"));
        for wrong in health.file.iter().chain(&health.damaged).chain(&health.setting_wrong).take(20) {
            failure = failure.and(format!("  {wrong}"));
        }
        let way = match database {
            None => {
                "Stop the server, keep the file, and put the last sound backup back with `lanewright restore`."
            }
            Some(_) => {
                "Stop all servers, keep the database, and put the last backup back into a new one: docs/deploy.md"
            }
        };
        return Err(failure.and(way).and("A phone's own copy can be saved in the app with `Save a copy`."));
    }
    if !args.json {
        let mut text = format!("{name} is sound: {}", super::records(records));
        let erased = health.kinds.get("erasure").copied().unwrap_or(0);
        if erased > 0 {
            text.push_str(&format!(", {erased} of them erasures"));
        }
        text.push_str(".\n");
        if health.format > known {
            text.push_str(&format!(
                "A later version wrote it (format {}, known is {known}): it can be exported, not changed.\n",
                health.format
            ));
        }
        if !health.settings.is_empty() {
            text.push_str(&format!("All {} settings hold.\n", health.settings.len()));
        }
        output::print(&text)?;
    }
    Ok(())
}
