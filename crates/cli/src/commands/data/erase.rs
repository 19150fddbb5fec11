//! `lanewright erase`: a child, a class or a past, for good.

use std::path::PathBuf;

use jiff::civil::Date;
use lanewright_model::erasure::{
    ERASURE, ErasureBody, Going, KEEP_DAYS_MIN, RETENTION, RetentionBody, Target, what_goes,
};
use lanewright_model::record::{BODY_VERSION, Body};
use lanewright_model::words::{Arg, Message, Units};
use lanewright_store::StoreError;
use lanewright_store::file::{Contents, erase_in_copy};
use lanewright_sync::{Clock, Record, RecordKey};
use uuid::Uuid;

use super::backup::copies_in;
use super::{DATA_EXIT_CODES, Folder, block_on, new_device, new_id, now_ms, store_failure, typed};
use crate::failure::{Failure, Kind};
use crate::{language, output};

const EXAMPLES: &str = "\
Examples:
  # See what would go.
  lanewright erase --child Ada --class \"7 Larch\" --dry-run
  # One child, in the backups as well. Stop the server first, or erase in the app while it runs.
  lanewright erase --child Ada --class \"7 Larch\" --backups /media/stick/lanewright
  # A class with all its children.
  lanewright erase --class \"7 Larch\"
  # Everything seen before a day, once, or always what is older than about two school years.
  lanewright erase --before 2025-08-01
  lanewright erase --keep-days 730";

/// Erases a child, a class or a past, for good
///
/// From the data here at once, from every other device when it next meets the server. There is no way back.
#[derive(clap::Args)]
#[command(help_template = crate::HELP, before_help = EXAMPLES, after_help = DATA_EXIT_CODES)]
#[command(group = clap::ArgGroup::new("what").required(true).multiple(true))]
pub(crate) struct Args {
    #[command(flatten)]
    folder: Folder,
    /// The child: name as it is on the list, or id
    #[arg(long, value_name = "NAME", group = "what", conflicts_with_all = ["before", "keep_days"])]
    child: Option<String>,
    /// The class with all its children; with --child: the class in which the child is
    #[arg(long, value_name = "NAME", group = "what", conflicts_with_all = ["before", "keep_days"])]
    class: Option<String>,
    /// Everything seen before this day (UTC): runs, times, sizes, presence; children and classes stay
    #[arg(long, value_name = "DAY", group = "what", conflicts_with = "keep_days")]
    before: Option<Date>,
    /// From now on keep what was seen for so many days; 0: until somebody erases it
    #[arg(long, value_name = "N", group = "what")]
    keep_days: Option<u32>,
    /// Folder with backups that are to forget it as well
    #[arg(long, value_name = "DIR")]
    backups: Option<PathBuf>,
    /// Only say what would go
    #[arg(long, short = 'n')]
    dry_run: bool,
    /// Do not ask
    #[arg(long)]
    yes: bool,
}

pub(crate) fn run(args: &Args) -> Result<(), Failure> {
    let found = args.folder.read()?;
    let now_ms = now_ms();
    let (target, name) = target(args, &found, now_ms)?;
    let going = target.as_ref().map_or_else(Going::default, |target| of(&found, target));
    tell(&going, &name);
    if args.dry_run {
        return Ok(());
    }
    // A rule for the future asks for no name; what goes by it is listed all the same.
    let question = format!("It goes for good. To erase, type {name}:");
    if !args.yes && !typed(&question, &name) {
        return Err(
            Failure::new(Kind::Usage, "nothing was erased").and("Say --yes to go on without being asked.")
        );
    }
    let mut bodies: Vec<(Uuid, Body)> = going
        .ids
        .iter()
        .filter_map(|(id, what)| Some((id.parse().ok()?, Body::Erasure(ErasureBody::of(*what)))))
        .collect();
    if let Some(Target::Before(before_ms)) = target {
        bodies.push((new_id(), Body::Erasure(ErasureBody::before(before_ms))));
    }
    if let Some(keep_days) = args.keep_days {
        let known =
            found.records.iter().find(|record| record.kind == RETENTION && record.id == found.school.0);
        let known =
            known.and_then(|record| serde_json::from_value::<RetentionBody>(record.body.clone()).ok());
        let keep_days = (keep_days > 0).then_some(keep_days);
        let body = RetentionBody { keep_days, ..known.unwrap_or_default() };
        bodies.push((found.school.0, Body::Retention(body)));
    }
    let records = stamped(&found, bodies, now_ms);
    let opening = args.folder.open(found.school)?;
    block_on(async {
        let store = opening.await?;
        let answer = store.push(found.school, &records, now_ms).await;
        store.close().await;
        answer
    })?
    .map_err(|error| match error {
        StoreError::InUse { .. } => Failure::new(Kind::Read, error.to_string())
            .and("While the server runs, erase in the app: on the sheet of the child or of the class."),
        other => store_failure(&other),
    })?;
    output::note("Erased here. Every other device erases it when it next meets the server.");
    if let Some(backups) = &args.backups {
        let all: Vec<Record> =
            found.records.iter().chain(&records).filter(|it| it.kind == ERASURE).cloned().collect();
        let copies = copies_in(backups);
        for copy in &copies {
            block_on(erase_in_copy(&copy.path, &all, found.school, now_ms))?
                .map_err(|error| store_failure(&error))?;
        }
        let these =
            if copies.len() == 1 { "One backup".to_owned() } else { format!("{} backups", copies.len()) };
        output::note(&format!("Forgotten in the backups, too: {these} in {}.", backups.display()));
    } else {
        output::note("Backups, exports and printed pages still hold it: see --backups.");
    }
    Ok(())
}

/// Finds what is meant, and the word that has to be typed.
fn target(args: &Args, found: &Contents, now_ms: u64) -> Result<(Option<Target>, String), Failure> {
    if let Some(day) = args.before {
        let at = jiff::tz::TimeZone::UTC.to_timestamp(day.at(0, 0, 0, 0));
        let at = at.map_err(|_| Failure::new(Kind::Usage, format!("{day} is no day of the calendar")))?;
        let before_ms = at.as_millisecond();
        if before_ms > i64::try_from(now_ms).unwrap_or(i64::MAX) {
            return Err(Failure::new(Kind::Usage, format!("{day} is still to come")));
        }
        return Ok((Some(Target::Before(before_ms)), day.to_string()));
    }
    if let Some(keep_days) = args.keep_days {
        if (1..KEEP_DAYS_MIN).contains(&keep_days) {
            return Err(Failure::new(Kind::Usage, format!("--keep-days is 0, or {KEEP_DAYS_MIN} or more")));
        }
        let keep_days_or_none = (keep_days > 0).then_some(keep_days);
        let body = RetentionBody { keep_days: keep_days_or_none, ..RetentionBody::default() };
        return Ok((body.before_ms(now_ms).map(Target::Before), keep_days.to_string()));
    }
    let matches = |kind: &str, key: &str, wanted: &str| -> Vec<&Record> {
        let named = |record: &&Record| {
            record.kind == kind && (record.body[key] == *wanted || record.id.to_string() == wanted)
        };
        found.records.iter().filter(named).collect()
    };
    let only = |what: &str, wanted: &str, mut records: Vec<&Record>| -> Result<Uuid, Failure> {
        match (records.pop(), records.len()) {
            (None, _) => {
                Err(Failure::new(Kind::NoPlan, format!("there is no {what} of this name: {wanted}"))
                    .and("Write it as it is on the list, or give its id."))
            }
            (Some(one), 0) => Ok(one.id),
            (Some(last), more) => {
                let mut failure =
                    Failure::new(Kind::Usage, format!("{} {what} entries are called {wanted}:", more + 1));
                for record in records.into_iter().chain([last]) {
                    failure = failure.and(format!("  {}", record.id));
                }
                Err(failure.and("Give the id instead of the name."))
            }
        }
    };
    let class = match &args.class {
        Some(name) => Some((only("class", name, matches("class", "name", name))?, name)),
        None => None,
    };
    match (&args.child, class) {
        (Some(child), class) => {
            let mut labels = matches("runner-label", "label", child);
            if let Some((class, _)) = class {
                labels.retain(|label| label.body["class"] == class.to_string());
            }
            Ok((Some(Target::Runner(only("child", child, labels)?.to_string())), child.clone()))
        }
        (None, Some((class, name))) => Ok((Some(Target::Class(class.to_string())), name.clone())),
        (None, None) => {
            Err(Failure::new(Kind::Usage, "say what to erase: --child, --class, --before or --keep-days"))
        }
    }
}

fn of(found: &Contents, target: &Target) -> Going {
    let ids: Vec<String> = found.records.iter().map(|record| record.id.to_string()).collect();
    let records = found.records.iter().zip(&ids);
    what_goes(records.map(|(record, id)| (record.kind.as_str(), id.as_str(), &record.body)), target)
}

fn tell(going: &Going, name: &str) {
    let words = language::words(Units::Metric);
    let count = |number: usize| Arg::Count(i64::try_from(number).unwrap_or(i64::MAX));
    // What is listed, by its kinds; the rest is counted together.
    const LISTED: [(&str, &[&str]); 4] = [
        ("data-goes-labels", &["runner-label"]),
        ("data-goes-about", &["runner-about", "measurement"]),
        ("data-goes-runs", &["run", "sweep", "bout"]),
        ("data-goes-times", &["timing"]),
    ];
    let mut others = going.total();
    let mut said = Vec::new();
    for (id, kinds) in LISTED {
        let these: usize = kinds.iter().filter_map(|kind| going.records.get(*kind)).sum();
        others -= these;
        if these > 0 {
            said.push(words.say(&Message::new(id).with("count", count(these))));
        }
    }
    if others > 0 {
        said.push(words.say(&Message::new("data-goes-others").with("count", count(others))));
    }
    let name = match going.runners() {
        0 => name.to_owned(),
        children => {
            let named = Message::new("cli-goes-child").text("name", name).with("children", count(children));
            words.say(&named)
        }
    };
    let goes = Message::new("cli-goes").text("name", name).with("count", count(going.total()));
    output::note(&words.say(&goes.text("what", said.join("; "))));
}

/// Stamps bodies later than everything that they replace.
fn stamped(found: &Contents, bodies: Vec<(Uuid, Body)>, now_ms: u64) -> Vec<Record> {
    let mut clock = Clock::new(new_device());
    let keys: Vec<RecordKey> = bodies
        .iter()
        .map(|(id, body)| RecordKey { kind: body.kind().to_owned(), id: *id })
        .filter(|key| key.kind == RETENTION)
        .collect();
    for record in found.records.iter().filter(|record| keys.contains(&record.key())) {
        clock.follow(record.stamp);
    }
    bodies
        .into_iter()
        .map(|(id, body)| Record {
            id,
            kind: body.kind().to_owned(),
            version: BODY_VERSION,
            body: body.to_value(),
            stamp: clock.next(now_ms),
            school: found.school,
        })
        .collect()
}
