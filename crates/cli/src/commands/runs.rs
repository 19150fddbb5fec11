//! Reading run files for the commands that judge them.

use std::path::{Path, PathBuf};

use lanewright_model::run::{self, Observation};

use crate::failure::{Failure, Kind};
use crate::output;

/// Bad lines that are listed; of more, only how many.
const LISTED_MAX: usize = 20;

/// The run file of a command that judges one.
#[derive(clap::Args)]
pub(crate) struct RunsArgs {
    /// Run file, one JSON object a line (docs/formats/runs.md); - reads from standard input
    #[arg(value_name = "RUNS.jsonl")]
    runs: PathBuf,
    /// Pass over lines that cannot be read, and name them
    #[arg(long)]
    skip_bad: bool,
}

impl RunsArgs {
    /// Reads it.
    pub(crate) fn read(&self) -> Result<Vec<Observation>, Failure> {
        read(&self.runs, self.skip_bad)
    }
}

/// Reads a run file. A bad line refuses the file, unless `skip_bad`: then it is named and passed over.
pub(crate) fn read(path: &Path, skip_bad: bool) -> Result<Vec<Observation>, Failure> {
    let bytes = output::read(path)?;
    let text = match std::str::from_utf8(&bytes) {
        Ok(text) => text.strip_prefix('\u{feff}').unwrap_or(text),
        Err(error) => {
            let line = bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
            return Err(Failure::new(
                Kind::ClassList,
                format!("`{}`, line {line}: this is not UTF-8 text", path.display()),
            )
            .and("Save the file as UTF-8, one run a line (docs/formats/runs.md)."));
        }
    };
    let (observations, bad) = run::read_lines(text);
    if !bad.is_empty() && !skip_bad {
        let mut failure = Failure::new(
            Kind::ClassList,
            format!("`{}` has {} that cannot be read", path.display(), lines(bad.len())),
        );
        for line in bad.iter().take(LISTED_MAX) {
            failure = failure.and(line.to_string());
        }
        if bad.len() > LISTED_MAX {
            failure = failure.and(format!("… and {} more", bad.len() - LISTED_MAX));
        }
        return Err(failure.and("Mend them, or pass over them with --skip-bad."));
    }
    for line in bad.iter().take(LISTED_MAX) {
        output::note(&format!("passed over {line}"));
    }
    if bad.len() > LISTED_MAX {
        output::note(&format!("passed over {} more", lines(bad.len() - LISTED_MAX)));
    }
    if observations.is_empty() {
        return Err(Failure::new(Kind::NoPlan, format!("`{}` holds no run", path.display()))
            .and("A run is one JSON object a line (docs/formats/runs.md)."));
    }
    Ok(observations)
}

fn lines(count: usize) -> String {
    if count == 1 { "one line".to_owned() } else { format!("{count} lines") }
}

/// Returns the moment of the last observation.
pub(crate) fn latest(observations: &[Observation]) -> jiff::Timestamp {
    observations
        .iter()
        .map(|observation| match observation {
            Observation::Run(run) => run.at,
            Observation::Sweep(sweep) => sweep.at,
            Observation::Bout(bout) => bout.at,
        })
        .max()
        .expect("an empty file was refused")
}
