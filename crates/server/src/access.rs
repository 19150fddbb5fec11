//! What a helper sees and writes.
//!
//! A helper stands at a lane and records. For that it takes the names of the class that runs, who is there, how the
//! lanes stand and today's runs; it takes no other class, no size, no sex, no date of birth and no note, so those never
//! leave the server. What is not on a list here is neither sent nor taken: a kind that comes later is closed until
//! somebody opens it.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_model::erasure::ERASURE;
use lanewright_model::record::{BODY_VERSION, Body};
use lanewright_store::{Role, Session, Store, StoreError};
use lanewright_sync::message::PULL_RECORDS_MAX;
use lanewright_sync::{Record, RecordKey, RefusalReason, SchoolId};

/// Kinds that a helper is sent of a class whose lanes were given out: names, who is there, what is asked of the lanes,
/// how they stand; and what was erased.
const SEEN: &[&str] = &["class", "runner-label", "today", "plan-choice", "lane-sheet", "stretch", "erasure"];
/// Kinds that a helper writes, and is sent while they are fresh.
const WRITTEN: &[&str] = &[
    "run",
    "run-correction",
    "sweep",
    "stretch",
    "timing",
    "timing-correction",
    "bout",
    "bout-correction",
    "clock-check",
];
/// Kinds that tell of no class: what was erased, and how a device's clock goes.
const OF_NO_CLASS: &[&str] = &[ERASURE, "clock-check"];
/// Kind of the lanes as they are given out.
const LANE_SHEET: &str = "lane-sheet";
/// How long what was recorded counts as today's, in milliseconds: a day, since the server does not know in which time
/// zone the lesson is.
const FRESH_MS: u64 = 24 * 60 * 60 * 1000;

/// Where a fact was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Place {
    /// In a lane; empty for all lanes at once.
    Lane(String),
    /// Where the fact of that kind and id was recorded.
    As(&'static str, String),
    /// In no lane: it is about the device.
    Nowhere,
    /// A newer app's body, which cannot be read here.
    Unknown,
}

/// Returns every place that a fact touches. A correction touches that of the fact it corrects as well.
fn places(record: &Record) -> Vec<Place> {
    let body = match Body::from_value(&record.kind, &record.body) {
        Ok(Some(body)) => body,
        Ok(None) | Err(_) if record.version > BODY_VERSION => return vec![Place::Unknown],
        // The store refuses it and says why.
        _ => return vec![Place::Nowhere],
    };
    let lane = |lane: &String| Place::Lane(lane.clone());
    match body {
        Body::Run(body) => vec![lane(&body.run.lane)],
        Body::RunCorrection(body) => {
            let now = body.run.iter().map(|run| lane(&run.lane));
            now.chain([Place::As("run", body.of)]).collect()
        }
        Body::Sweep(body) => vec![lane(&body.lane)],
        Body::Stretch(body) => vec![lane(&body.lane)],
        Body::Timing(body) => vec![Place::As("stretch", body.timing.stretch)],
        Body::TimingCorrection(body) => {
            let now = body.timing.map(|timing| Place::As("stretch", timing.stretch));
            now.into_iter().chain([Place::As("timing", body.of)]).collect()
        }
        Body::Bout(body) => vec![lane(&body.bout.lane)],
        Body::BoutCorrection(body) => {
            let now = body.bout.iter().map(|bout| lane(&bout.lane));
            now.chain([Place::As("bout", body.of)]).collect()
        }
        _ => vec![Place::Nowhere],
    }
}

/// Finds what a place refers to: in the store, or among what is pushed with it.
async fn find(
    store: &dyn Store,
    school: SchoolId,
    pushed: &[Record],
    kind: &str,
    id: &str,
) -> Result<Option<Record>, StoreError> {
    let Ok(id) = id.parse() else { return Ok(None) };
    let key = RecordKey { kind: kind.to_owned(), id };
    // What stands counts before what is only asked for: a push could name its own reference as it likes.
    let stored = store.get(school, &key).await?;
    Ok(stored.or_else(|| pushed.iter().find(|record| record.key() == key).cloned()))
}

/// Returns whether a record lies in given lanes, with everything it refers to.
async fn in_lanes(
    store: &dyn Store,
    school: SchoolId,
    pushed: &[Record],
    record: &Record,
    lanes: &[String],
) -> Result<bool, StoreError> {
    // Whoever names a stretch of the whole class times in it; only laying one out is the coach's.
    let mut left: Vec<(Place, bool)> = places(record).into_iter().map(|place| (place, false)).collect();
    // A timing refers to a stretch and a correction to a timing: nothing refers farther.
    let mut steps = 0;
    while let Some((place, referred)) = left.pop() {
        steps += 1;
        let inside = match place {
            Place::Nowhere => true,
            Place::Unknown => false,
            Place::Lane(lane) => lanes.contains(&lane) || (referred && lane.is_empty()),
            Place::As(kind, id) => match find(store, school, pushed, kind, &id).await? {
                Some(other) if steps < 16 => {
                    left.extend(places(&other).into_iter().map(|place| (place, true)));
                    true
                }
                _ => false,
            },
        };
        if !inside {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Says for each record of a push why a session may not write it, in the order of the push.
pub(crate) async fn refusals(
    store: &dyn Store,
    session: &Session,
    records: &[Record],
) -> Result<Vec<Option<RefusalReason>>, StoreError> {
    let mut refusals = Vec::with_capacity(records.len());
    for record in records {
        refusals.push(match (session.role, &session.lanes) {
            (Role::Coach, _) => None,
            (Role::Helper, _) if !WRITTEN.contains(&record.kind.as_str()) => Some(RefusalReason::OtherRole),
            (Role::Helper, None) => None,
            (Role::Helper, Some(lanes)) => {
                // What stands there already must be theirs too, or a run could be pulled out of another lane.
                let stored = store.get(session.school, &record.key()).await?;
                let mut inside = in_lanes(store, session.school, records, record, lanes).await?;
                if let Some(stored) = stored {
                    inside &= in_lanes(store, session.school, records, &stored, lanes).await?;
                }
                (!inside).then_some(RefusalReason::OtherLane)
            }
        });
    }
    Ok(refusals)
}

/// Returns whether a helper is sent a record of a class at all: its lanes were given out today.
async fn is_given_out(
    store: &dyn Store,
    school: SchoolId,
    class: &str,
    now_ms: u64,
) -> Result<bool, StoreError> {
    let Ok(id) = class.parse() else { return Ok(false) };
    let sheet = store.get(school, &RecordKey { kind: LANE_SHEET.into(), id }).await?;
    Ok(sheet.is_some_and(|sheet| is_fresh(&sheet, now_ms)))
}

fn is_fresh(record: &Record, now_ms: u64) -> bool {
    record.stamp.wall_ms.saturating_add(FRESH_MS) > now_ms
}

/// Returns the class that a record is of, as text; `None`: of none.
async fn class_of(
    store: &dyn Store,
    school: SchoolId,
    record: &Record,
) -> Result<Option<String>, StoreError> {
    let named = |record: &Record| record.body["class"].as_str().map(str::to_owned);
    Ok(match record.kind.as_str() {
        "class" | "plan-choice" | LANE_SHEET => Some(record.id.to_string()),
        // It is named after the child, and the child's label after the class.
        "today" => {
            let key = RecordKey { kind: "runner-label".into(), id: record.id };
            store.get(school, &key).await?.as_ref().and_then(named)
        }
        _ => named(record),
    })
}

/// What a helper is sent of one class after another, looked up once.
struct Given<'a> {
    store: &'a dyn Store,
    session: &'a Session,
    now_ms: u64,
    classes: BTreeMap<String, bool>,
}

impl Given<'_> {
    /// Returns whether a helper is sent a record.
    async fn holds(&mut self, record: &Record) -> Result<bool, StoreError> {
        let (store, school) = (self.store, self.session.school);
        let kind = record.kind.as_str();
        if OF_NO_CLASS.contains(&kind) {
            return Ok(kind == ERASURE || is_fresh(record, self.now_ms));
        }
        let in_sight = SEEN.contains(&kind)
            || (WRITTEN.contains(&kind)
                && is_fresh(record, self.now_ms)
                && match &self.session.lanes {
                    None => true,
                    Some(lanes) => in_lanes(store, school, &[], record, lanes).await?,
                });
        if !in_sight {
            return Ok(false);
        }
        let Some(class) = class_of(store, school, record).await? else { return Ok(false) };
        if let Some(given) = self.classes.get(&class) {
            return Ok(*given);
        }
        let given = is_given_out(store, school, &class, self.now_ms).await?;
        self.classes.insert(class, given);
        Ok(given)
    }
}

/// Keeps of a pull what a session may see; `cursor` is where the pull ended.
///
/// A helper is sent one class's names when its lanes are given out. They were committed before that, and the helper's
/// cursor has passed them: whenever a pull brings the lanes of a class, it brings what was passed over as well.
pub(crate) async fn seen(
    store: &dyn Store,
    session: &Session,
    records: Vec<Record>,
    cursor: u64,
    now_ms: u64,
) -> Result<Vec<Record>, StoreError> {
    if session.role == Role::Coach {
        return Ok(records);
    }
    let mut given = Given { store, session, now_ms, classes: BTreeMap::new() };
    let mut kept = Vec::new();
    let mut sheets = BTreeSet::new();
    for record in records {
        if given.holds(&record).await? {
            if record.kind == LANE_SHEET {
                sheets.insert(record.id.to_string());
            }
            kept.push(record);
        }
    }
    if sheets.is_empty() {
        return Ok(kept);
    }
    let on_page: BTreeSet<RecordKey> = kept.iter().map(Record::key).collect();
    let mut after = 0;
    while after < cursor {
        let page = store.pull(session.school, after, PULL_RECORDS_MAX).await?;
        for record in page.records {
            let passed = !OF_NO_CLASS.contains(&record.kind.as_str())
                && !on_page.contains(&record.key())
                && given.holds(&record).await?
                && class_of(store, session.school, &record)
                    .await?
                    .is_some_and(|class| sheets.contains(&class));
            if passed {
                kept.push(record);
            }
        }
        if !page.more {
            break;
        }
        after = page.cursor;
    }
    Ok(kept)
}
