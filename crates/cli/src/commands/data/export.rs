//! `lanewright export`: everything, in open forms.

use std::io::Read as _;
use std::path::PathBuf;

use lanewright_model::school::School;
use lanewright_model::words::{Message, Units, Words};
use lanewright_store::file::{backup_without_ways_in, database_in};
use lanewright_sync::export::research::{K_DEFAULT, K_MIN, research};
use lanewright_sync::export::{Variant, write_json, write_package};

use super::{
    DATA_EXIT_CODES, Folder, HEAD_BYTES, block_on, is_data_file, now_ms, records, store_failure, write_folder,
};
use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # One file with everything, to keep or to read in elsewhere.
  lanewright export --to monday.json
  # A folder of tables with a description (Data Package), exact to the last digit.
  lanewright export --form tables --to monday
  # The same for a spreadsheet: names beside ids, and no cell that runs as a formula.
  lanewright export --form spreadsheets --to for-looking-at
  # Without persons, for research.
  lanewright export --form research --to for-research";

/// Writes everything that was recorded, in open forms
///
/// Also while the server runs, and also from a data file of a later version.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = DATA_EXIT_CODES)]
pub(crate) struct Args {
    #[command(flatten)]
    folder: Folder,
    /// In which form
    #[arg(long, value_enum, default_value = "json")]
    form: Form,
    /// File (json, sqlite) or new folder (tables, spreadsheets, research); - for standard output (json)
    #[arg(long, short = 'o', value_name = "PATH")]
    to: PathBuf,
    /// For research: least number of children of one sex, age band and stature band
    #[arg(long, value_name = "K", default_value_t = K_DEFAULT)]
    k: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Form {
    /// One JSON file, which `import` reads
    Json,
    /// A folder of CSV tables with a description, which `import` reads
    Tables,
    /// The same for looking at in a spreadsheet
    Spreadsheets,
    /// The data file itself
    Sqlite,
    /// Observations without persons: names left out, sizes in bands, rare combinations left out
    Research,
}

/// How an export as one JSON file begins (docs/formats/export.md).
const JSON_START: &[u8] = b"{\"format\":\"lanewright-export/";

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let is_folder = !matches!(args.form, Form::Json | Form::Sqlite);
    if args.to.as_os_str() == "-" && args.form != Form::Json {
        return Err(Failure::new(Kind::Usage, "only --form json goes to standard output")
            .and("Name a file or folder with --to."));
    }
    if !is_folder {
        replaceable(args)?;
    }
    if args.form == Form::Sqlite {
        args.folder.file_only("Take --form json or tables.")?;
        let from = database_in(&args.folder.existing()?);
        block_on(backup_without_ways_in(&from, &args.to))?.map_err(|error| store_failure(&error))?;
        output::note(&format!("{} holds names; keep it as safe as the data itself.", args.to.display()));
        return Ok(());
    }
    let found = args.folder.read()?;
    let now_ms = now_ms();
    match args.form {
        Form::Json => {
            output::write(&args.to, write_json(found.school, &found.records, now_ms).as_bytes())?;
        }
        Form::Tables | Form::Spreadsheets => {
            let variant = if args.form == Form::Tables { Variant::Plain } else { Variant::Spreadsheets };
            write_folder(&args.to, &write_package(found.school, &found.records, now_ms, variant))?;
        }
        Form::Research => {
            if args.k < K_MIN {
                return Err(Failure::new(Kind::Usage, format!("--k has to be {K_MIN} or more")));
            }
            let words = Words::english(Units::Metric);
            let on = jiff::ZonedDateTime::now().date();
            let ids: Vec<String> = found.records.iter().map(|record| record.id.to_string()).collect();
            let school = School::from_records(
                found
                    .records
                    .iter()
                    .zip(&ids)
                    .map(|(record, id)| (record.kind.as_str(), id.as_str(), &record.body)),
                on,
            );
            let mut seed = [0; 8];
            getrandom::fill(&mut seed).expect("the system has randomness");
            let made = research(&school, on, args.k, u64::from_le_bytes(seed), |said| words.say(said));
            let made = made.map_err(|few| {
                let there = match few.children {
                    0 => "there is no child".to_owned(),
                    1 => "there is one child".to_owned(),
                    children => format!("there are {children} children"),
                };
                let problem = format!("{there}, and {} are needed so that nobody stands alone", few.k);
                Failure::new(Kind::NoPlan, problem).and("Nothing was written.")
            })?;
            write_folder(&args.to, &made.files)?;
            for said in &made.said {
                output::note(&words.say(said));
            }
            return Ok(());
        }
        Form::Sqlite => unreachable!("done above"),
    }
    let what = if is_folder { "These files hold" } else { "It holds" };
    output::note(&format!(
        "{}. {what} names; keep them as safe as the data itself.",
        records(found.records.len())
    ));
    Ok(())
}

/// Refuses to write over the data itself, and over a file that is no earlier export of this form.
fn replaceable(args: &Args) -> Result<(), Failure> {
    let to = &args.to;
    if to.as_os_str() == "-" || !to.exists() {
        return Ok(());
    }
    let words = language::words(Units::Metric);
    let refused = |id: &str| {
        let said = words.say(&Message::new(id).text("path", to.display().to_string()));
        Err(Failure::new(Kind::Usage, said).and(words.get("cli-write-elsewhere")))
    };
    if args.folder.path().is_ok_and(|folder| output::same_file(to, &database_in(&folder))) {
        return refused("cli-over-data");
    }
    if to.is_dir() {
        return refused("cli-is-folder");
    }
    let mut start = Vec::new();
    let read = std::fs::File::open(to).and_then(|file| file.take(HEAD_BYTES).read_to_end(&mut start));
    let ours = match args.form {
        Form::Sqlite => is_data_file(&start),
        _ => {
            start.retain(|byte| !byte.is_ascii_whitespace());
            start.starts_with(JSON_START)
        }
    };
    if read.is_err() || !(ours || start.is_empty()) { refused("cli-over-other") } else { Ok(()) }
}
