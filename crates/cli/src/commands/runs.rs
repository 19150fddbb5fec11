//! Reading run files for the commands that judge them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use jiff::tz::Offset;
use lanewright_model::Ladder;
use lanewright_model::run::{self, Observation, Source};
use lanewright_model::runner::Runner;
use lanewright_model::words::{Arg, Message, Units};

use super::lanes::nearest;
use crate::failure::{Failure, Kind};
use crate::{language, output};

/// Bad lines that are listed; of more, only how many.
const LISTED_MAX: usize = 20;
/// Names, and lines of one name, that are listed in a notice.
const NAMED_MAX: usize = 8;
/// How far ahead of this computer's clock a run may be dated: the clocks of phones, and zones that were mistaken.
const AHEAD_MAX_H: i64 = 24;

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
        read(&self.runs, self.skip_bad, &Ladder::built_in(), None)
    }
}

/// The class list beside which a run file is read.
pub(crate) struct Beside<'a> {
    pub(crate) runners: &'a [Runner],
    /// Classes of the run file that are meant; empty for all.
    pub(crate) runs_of: &'a [String],
}

/// Reads a run file. A bad line refuses the file, unless `skip_bad`: then it is named and passed over. Runs of the
/// future are named and left out; drills that the ladder does not have, and with a class list runners who are not on
/// it, are named. Beside a class list only the classes that are meant count, and an id of the list that several of them
/// use refuses the file: nobody could say whose runs they are.
pub(crate) fn read(
    path: &Path,
    skip_bad: bool,
    ladder: &Ladder,
    beside: Option<Beside<'_>>,
) -> Result<Vec<Observation>, Failure> {
    let bytes = output::read(path)?;
    let words = language::words(Units::Metric);
    let say = |id: &str| words.say(&Message::new(id).text("path", path.display().to_string()));
    let counted = |id: &str, count: usize| {
        let message = Message::new(id).text("path", path.display().to_string());
        words.say(&message.with("count", Arg::Count(count as i64)))
    };
    let text = match std::str::from_utf8(&bytes) {
        Ok(text) => text.strip_prefix('\u{feff}').unwrap_or(text),
        Err(error) => {
            let line = bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
            return Err(Failure::new(Kind::ClassList, not_utf8(path, line)).and(say("cli-run-utf8-remedy")));
        }
    };
    let (observations, bad) = run::read_numbered(text);
    if observations.is_empty()
        && !bad.is_empty()
        && text.lines().all(|line| !line.trim_start().starts_with('{'))
    {
        return Err(Failure::new(Kind::ClassList, say("cli-run-other-file")).and(say("cli-run-none-remedy")));
    }
    if !bad.is_empty() && !skip_bad {
        let mut failure = Failure::new(Kind::ClassList, counted("cli-run-bad", bad.len()));
        for line in bad.iter().take(LISTED_MAX) {
            failure = failure.and(words.say(&line.message()));
        }
        if bad.len() > LISTED_MAX {
            failure = failure.and(counted("cli-run-bad-more", bad.len() - LISTED_MAX));
        }
        return Err(failure.and(say("cli-run-bad-remedy")));
    }
    for line in bad.iter().take(LISTED_MAX) {
        let line = Arg::Say(Box::new(line.message()));
        output::note(&words.say(&Message::new("cli-run-passed-over").with("line", line)));
    }
    if bad.len() > LISTED_MAX {
        output::note(&counted("cli-run-passed-over-more", bad.len() - LISTED_MAX));
    }
    if observations.is_empty() {
        return Err(Failure::new(Kind::NoPlan, say("cli-run-none")).and(say("cli-run-none-remedy")));
    }
    let mut observations = of_the_past(observations)?;
    if let Some(beside) = &beside {
        observations = of_the_class(observations, beside, path)?;
    }
    say_repeated(&observations);
    let mut drills = Named::default();
    let mut strangers = Named::default();
    for (line, seen) in &observations {
        if ladder.get(seen.drill()).is_none() {
            drills.add(seen.drill(), *line);
        }
        if beside.as_ref().is_some_and(|own| own.runners.iter().all(|runner| runner.id.0 != seen.runner())) {
            strangers.add(seen.runner(), *line);
        }
    }
    if !drills.0.is_empty() {
        let known: Vec<&str> = ladder.drills().iter().map(|drill| drill.id.0.as_str()).collect();
        let near = drills.0.keys().next().and_then(|id| nearest(id, &known)).filter(|_| drills.0.len() == 1);
        let mut said = words.say(&drills.message("cli-run-drills"));
        if let Some(near) = near {
            said.push(' ');
            said.push_str(&words.say(&Message::new("cli-run-drill-near").text("near", near)));
        }
        output::note(&said);
    }
    if !strangers.0.is_empty() {
        output::note(&words.say(&strangers.message("cli-run-strangers")));
    }
    Ok(observations.into_iter().map(|(_, seen)| seen).collect())
}

/// Leaves out what is dated in the future, and says so: beside it all true runs would look old.
fn of_the_past(observations: Vec<(usize, Observation)>) -> Result<Vec<(usize, Observation)>, Failure> {
    let now = jiff::Timestamp::now();
    let latest = now.checked_add(jiff::Span::new().hours(AHEAD_MAX_H)).unwrap_or(now);
    let (past, ahead): (Vec<_>, Vec<_>) = observations.into_iter().partition(|(_, seen)| seen.at() <= latest);
    if ahead.is_empty() {
        return Ok(past);
    }
    let words = language::words(Units::Metric);
    let day = |at: jiff::Timestamp| words.day(Offset::UTC.to_datetime(at).date(), true);
    let lines = ahead.iter().take(NAMED_MAX).map(|(line, seen)| {
        words.say(&Message::new("cli-run-line").text("line", line.to_string()).text("day", day(seen.at())))
    });
    let message = |id: &str| {
        Message::new(id)
            .with("count", Arg::Count(ahead.len() as i64))
            .text("lines", lines.clone().collect::<Vec<_>>().join(", "))
            .with("more", Arg::Count(ahead.len().saturating_sub(NAMED_MAX) as i64))
            .text("today", day(now))
    };
    if past.is_empty() {
        return Err(Failure::new(Kind::ClassList, words.say(&message("cli-run-all-ahead")))
            .and(words.get("cli-run-ahead-remedy")));
    }
    output::note(&format!("{} {}", words.say(&message("cli-run-ahead")), words.get("cli-run-ahead-remedy")));
    Ok(past)
}

/// Names lines that say what another says, to the second: a file that was joined to itself counts each run twice. Paper
/// knows no seconds.
fn say_repeated(observations: &[(usize, Observation)]) {
    let mut seen = BTreeMap::<(&str, jiff::Timestamp), Vec<&(usize, Observation)>>::new();
    let mut repeated: Vec<(usize, usize)> = Vec::new();
    for one in observations {
        if matches!(&one.1, Observation::Run(run) if run.source == Source::Paper) {
            continue;
        }
        let before = seen.entry((one.1.runner(), one.1.at())).or_default();
        match before.iter().find(|other| other.1 == one.1) {
            Some(other) => repeated.push((one.0, other.0)),
            None => before.push(one),
        }
    }
    if repeated.is_empty() {
        return;
    }
    let words = language::words(Units::Metric);
    let lines = repeated.iter().take(NAMED_MAX).map(|(line, like)| {
        words.say(
            &Message::new("cli-run-line-like").text("line", line.to_string()).text("like", like.to_string()),
        )
    });
    let message = Message::new("cli-run-repeated")
        .with("count", Arg::Count(repeated.len() as i64))
        .text("lines", lines.collect::<Vec<_>>().join(", "))
        .with("more", Arg::Count(repeated.len().saturating_sub(NAMED_MAX) as i64));
    output::note(&words.say(&message));
}

/// Leaves out the classes that are not meant, and refuses runs of several that cannot be told apart.
fn of_the_class(
    mut observations: Vec<(usize, Observation)>,
    beside: &Beside<'_>,
    path: &Path,
) -> Result<Vec<(usize, Observation)>, Failure> {
    let words = language::words(Units::Metric);
    let mut counts = BTreeMap::<String, i64>::new();
    for class in observations.iter().filter_map(|(_, seen)| seen.class()) {
        *counts.entry(class.to_owned()).or_default() += 1;
    }
    let named = counts.iter().take(NAMED_MAX).map(|(class, count)| {
        let said = Message::new("cli-run-class").text("class", class.clone());
        words.say(&said.with("count", Arg::Count(*count)))
    });
    let message = |id: &str| {
        Message::new(id)
            .text("path", path.display().to_string())
            .text("classes", named.clone().collect::<Vec<_>>().join(", "))
            .with("count", Arg::Count(counts.len() as i64))
            .with("more", Arg::Count(counts.len().saturating_sub(NAMED_MAX) as i64))
    };
    if let Some(none) = beside.runs_of.iter().find(|class| !counts.contains_key(*class)) {
        let said = words.say(&message("cli-run-class-none").text("class", none.clone()));
        return Err(Failure::new(Kind::ClassList, said));
    }
    if !beside.runs_of.is_empty() {
        observations.retain(|(_, seen)| {
            seen.class().is_some_and(|class| beside.runs_of.iter().any(|of| of == class))
        });
        return Ok(observations);
    }
    let mut classes_of = BTreeMap::<&str, &str>::new();
    for (_, seen) in &observations {
        let Some(class) = seen.class() else { continue };
        let known = *classes_of.entry(seen.runner()).or_insert(class);
        if known != class && beside.runners.iter().any(|runner| runner.id.0 == seen.runner()) {
            let said = words.say(&message("cli-run-classes").text("runner", seen.runner()));
            return Err(Failure::new(Kind::ClassList, said).and(words.get("cli-run-classes-remedy")));
        }
    }
    Ok(observations)
}

/// What does not fit, by name, with the lines that name it.
#[derive(Default)]
struct Named<'a>(BTreeMap<&'a str, Vec<usize>>);

impl<'a> Named<'a> {
    fn add(&mut self, name: &'a str, line: usize) {
        self.0.entry(name).or_default().push(line);
    }

    fn message(&self, id: &str) -> Message {
        let words = language::words(Units::Metric);
        let one = |(name, lines): (&&str, &Vec<usize>)| {
            let mut listed: Vec<String> = lines.iter().take(NAMED_MAX).map(usize::to_string).collect();
            if lines.len() > NAMED_MAX {
                listed.push("…".to_owned());
            }
            let said = Message::new("cli-run-named").text("name", *name).text("lines", listed.join(", "));
            words.say(&said.with("count", Arg::Count(lines.len() as i64)))
        };
        Message::new(id)
            .with("count", Arg::Count(self.0.len() as i64))
            .text("names", self.0.iter().take(NAMED_MAX).map(one).collect::<Vec<_>>().join(", "))
            .with("more", Arg::Count(self.0.len().saturating_sub(NAMED_MAX) as i64))
    }
}

/// Says in which line a file ceases to be text.
pub(crate) fn not_utf8(path: &Path, line: usize) -> String {
    let message = Message::new("cli-not-utf8").text("path", path.display().to_string());
    language::words(Units::Metric).say(&message.text("line", line.to_string()))
}

/// Reads by how many hours the school's clock is ahead of UTC.
pub(crate) fn utc_offset(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(hours) if (-12.0..=14.0).contains(&hours) => Ok(hours),
        _ => Err("allowed is -12 to 14".to_owned()),
    }
}

/// Returns the moment of the last observation.
pub(crate) fn latest(observations: &[Observation]) -> jiff::Timestamp {
    observations.iter().map(Observation::at).max().expect("an empty file was refused")
}
