//! Erasing: what goes with a child, a class or a past, and what stays away for ever.
//!
//! An erasure is a record of its own (kind `erasure`); its id is the id that was erased. It says nothing about the
//! child. [`Erasures`] is the set of all of them, and [`Erasures::fate`] decides for any other record whether it stays.
//! The answer depends on the record and on the set alone, not on stamps and not on the order of arrival: whoever holds
//! the same records and the same erasures ends up with the same. The format page is `docs/formats/erasure.md`.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::record::Unknown;

/// Kind of the records that erase.
pub const ERASURE: &str = "erasure";
/// Kind of the record that says how long a school keeps what was seen.
pub const RETENTION: &str = "retention";
/// Shortest time for which a school may keep what was seen, in days. Engineering assumption: less would take the lesson
/// of last week away.
pub const KEEP_DAYS_MIN: u32 = 30;

const DAY_MS: i64 = 24 * 60 * 60 * 1000;

/// What kind of thing an erased id named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Erased {
    /// A child.
    Runner,
    /// A class with all its children.
    Class,
    /// One record that names neither and tells of them all the same, such as a run that was corrected to the child.
    Record,
    /// Everything seen before a moment; the id is one of its own.
    Before,
    /// Something that this version does not know: the id stays away all the same.
    #[serde(other)]
    Other,
}

/// An erasure. The record's id is the erased id; nothing in it tells of a person.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ErasureBody {
    /// What the id named.
    pub what: Erased,
    /// For [`Erased::Before`]: the moment, in milliseconds since 1970.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before_ms: Option<i64>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

impl ErasureBody {
    /// Returns the body for an erased id.
    pub fn of(what: Erased) -> Self {
        Self { what, before_ms: None, unknown: Unknown::new() }
    }

    /// Returns the body that erases everything seen before a moment.
    pub fn before(before_ms: i64) -> Self {
        Self { what: Erased::Before, before_ms: Some(before_ms), unknown: Unknown::new() }
    }
}

/// How long a school keeps what was seen. The record's id is the school id.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct RetentionBody {
    /// Days for what was seen, at least [`KEEP_DAYS_MIN`]; absent: until somebody erases it.
    #[serde(default)]
    pub keep_days: Option<u32>,
    /// Days for children who are on no list any more, at least [`KEEP_DAYS_MIN`]; absent: until somebody erases them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub off_list_days: Option<u32>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

impl RetentionBody {
    /// Returns the moment before which everything seen goes: the last midnight (UTC) that lies at least `keep_days`
    /// back. `None`: nothing goes by age.
    pub fn before_ms(&self, now_ms: u64) -> Option<i64> {
        midnight_ms(self.keep_days?, now_ms)
    }

    /// Returns the moment before which a child must have been taken off its list to go, by the same rule.
    pub fn off_list_before_ms(&self, now_ms: u64) -> Option<i64> {
        midnight_ms(self.off_list_days?, now_ms)
    }
}

/// Returns the last midnight (UTC) that lies at least so many days back.
fn midnight_ms(days: u32, now_ms: u64) -> Option<i64> {
    let now_ms = i64::try_from(now_ms).ok()?;
    Some((now_ms / DAY_MS - i64::from(days.max(KEEP_DAYS_MIN))) * DAY_MS)
}

/// Finds the children who are on no list any more, out of records as `(kind, id, body, written_ms)`: who was taken off,
/// and who was in a class that was taken off. Returns since when, in milliseconds since 1970, by the child's id.
pub fn off_lists<'a>(
    records: impl IntoIterator<Item = (&'a str, &'a str, &'a Value, u64)>,
) -> BTreeMap<String, i64> {
    let is_gone = |body: &Value| body["gone"] == true;
    let written = |ms: u64| i64::try_from(ms).unwrap_or(i64::MAX);
    let listed: Vec<_> =
        records.into_iter().filter(|(kind, ..)| ["class", "runner-label"].contains(kind)).collect();
    let classes: BTreeMap<&str, i64> = listed
        .iter()
        .filter(|(kind, _, body, _)| *kind == "class" && is_gone(body))
        .map(|(_, id, _, ms)| (*id, written(*ms)))
        .collect();
    listed
        .iter()
        .filter(|(kind, ..)| *kind == "runner-label")
        .filter_map(|(_, id, body, ms)| {
            let own = is_gone(body).then(|| written(*ms));
            // Whoever was written down in a class that was off already, is on no list since then.
            let class = body["class"].as_str().and_then(|class| classes.get(class));
            let class = class.map(|since_ms| written(*ms).max(*since_ms));
            // Off both ways: since the first of the two.
            let since_ms = own.into_iter().chain(class).min()?;
            Some(((*id).to_owned(), since_ms))
        })
        .collect()
}

/// What becomes of a record.
#[derive(Debug, Clone, PartialEq)]
pub enum Fate {
    /// It names nothing that was erased.
    Stays,
    /// It named something erased in a list: this is its body without that.
    Changed(Value),
    /// It is about something erased.
    Goes,
}

/// All erasures of a school.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Erasures {
    ids: BTreeSet<String>,
    before_ms: Option<i64>,
}

impl Erasures {
    /// Returns whether nothing was erased.
    pub fn is_empty(&self) -> bool {
        self.ids.is_empty() && self.before_ms.is_none()
    }

    /// Returns how many ids were erased.
    pub fn len(&self) -> usize {
        self.ids.len()
    }

    /// Returns whether an id was erased.
    pub fn holds(&self, id: &str) -> bool {
        self.ids.contains(id) || self.ids.contains(&id.to_ascii_lowercase())
    }

    /// Returns the moment before which everything seen is erased, in milliseconds since 1970.
    pub fn before_ms(&self) -> Option<i64> {
        self.before_ms
    }

    /// Takes an erasure in; returns whether it says anything new. A body that this version cannot read erases its id.
    pub fn add(&mut self, id: &str, body: &Value) -> bool {
        match body["before_ms"].as_i64() {
            Some(before_ms) if body["what"] == "before" => {
                let more = self.before_ms.is_none_or(|known| before_ms > known);
                if more {
                    self.before_ms = Some(before_ms);
                }
                more
            }
            _ => self.ids.insert(id.to_ascii_lowercase()),
        }
    }

    /// Decides what becomes of a record.
    ///
    /// It goes when its id was erased, when it names an erased id anywhere outside a list, or when it tells of a moment
    /// before the erased past. Out of a list the erased are taken, and the rest stays; a list of things that each tell
    /// of someone, and that is empty then, takes the record with it (a bout of nobody is no bout).
    pub fn fate(&self, kind: &str, id: &str, body: &Value) -> Fate {
        if kind == ERASURE || self.is_empty() {
            return Fate::Stays;
        }
        if self.holds(id) {
            return Fate::Goes;
        }
        if self.before_ms.is_some_and(|before_ms| ends_ms(kind, body).is_some_and(|end| end <= before_ms)) {
            return Fate::Goes;
        }
        if self.ids.is_empty() || !self.named_in(body) {
            return Fate::Stays;
        }
        let mut rest = body.clone();
        if self.take_out(&mut rest) { Fate::Goes } else { Fate::Changed(rest) }
    }

    fn named_in(&self, value: &Value) -> bool {
        match value {
            Value::String(text) => self.is_erased(text),
            Value::Array(items) => items.iter().any(|item| self.named_in(item)),
            Value::Object(map) => map.iter().any(|(key, value)| self.is_erased(key) || self.named_in(value)),
            _ => false,
        }
    }

    /// Ids have 36 letters; anything else is not looked up.
    fn is_erased(&self, text: &str) -> bool {
        text.len() == 36 && self.holds(text)
    }

    /// Takes what is erased out of a value; returns whether the value itself has to go.
    fn take_out(&self, value: &mut Value) -> bool {
        match value {
            Value::String(text) => self.is_erased(text),
            Value::Array(items) => {
                let (before, mut told_of_someone) = (items.len(), false);
                items.retain_mut(|item| {
                    let goes = self.take_out(item);
                    told_of_someone |= goes && !item.is_string();
                    !goes
                });
                told_of_someone && items.is_empty() && before > 0
            }
            Value::Object(map) => {
                map.retain(|key, _| !self.is_erased(key));
                let mut goes = false;
                for value in map.values_mut() {
                    goes |= self.take_out(value);
                }
                goes
            }
            _ => false,
        }
    }
}

/// Kinds that hold for as long as their child or class is there. All others tell of one moment or day.
const LASTING: [&str; 13] = [
    ERASURE,
    RETENTION,
    "class",
    "runner-label",
    "runner-about",
    "line-up",
    "lane-wish",
    "pair-wish",
    "plan-choice",
    "import",
    "kit",
    "space",
    "stretch",
];

/// Returns when that which a record tells of was over, in milliseconds since 1970; `None` when it tells of no moment.
pub fn ends_ms(kind: &str, body: &Value) -> Option<i64> {
    if LASTING.contains(&kind) {
        return None;
    }
    let day_end_ms = || {
        let day: Date = body["on"].as_str()?.parse().ok()?;
        let since = day.since(jiff::civil::date(1970, 1, 1)).ok()?.get_days();
        Some((i64::from(since) + 1) * DAY_MS)
    };
    latest_at_ms(body).or_else(day_end_ms)
}

fn latest_at_ms(value: &Value) -> Option<i64> {
    match value {
        Value::Object(map) => map
            .iter()
            .filter_map(|(key, value)| if key == "at_ms" { value.as_i64() } else { latest_at_ms(value) })
            .max(),
        Value::Array(items) => items.iter().filter_map(latest_at_ms).max(),
        _ => None,
    }
}

/// What somebody wants to erase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// One child, by id.
    Runner(String),
    /// One class with all its children, by id.
    Class(String),
    /// Everything seen before a moment, in milliseconds since 1970.
    Before(i64),
}

/// What an erasure takes with it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Going {
    /// Ids to be erased, each with what it names; for [`Target::Before`] none.
    pub ids: BTreeMap<String, Erased>,
    /// Records that go, by kind.
    pub records: BTreeMap<String, usize>,
    /// Records that lose an entry of a list and stay.
    pub changed: usize,
}

impl Going {
    /// Returns how many records go.
    pub fn total(&self) -> usize {
        self.records.values().sum()
    }

    /// Returns how many children go.
    pub fn runners(&self) -> usize {
        self.ids.values().filter(|what| **what == Erased::Runner).count()
    }
}

/// Finds what goes with a child, a class or a past, out of records as `(kind, id, body)`.
///
/// Whoever erases a class erases each of its children by name, as their sizes do not name the class. A record that was
/// corrected to the child names somebody else, and a correction may name nobody: both are found by what they refer to
/// and erased by name as well. So what is written down is enough for every device, whatever it holds.
pub fn what_goes<'a>(
    records: impl IntoIterator<Item = (&'a str, &'a str, &'a Value)>,
    target: &Target,
) -> Going {
    let records: Vec<(&str, &str, &Value)> =
        records.into_iter().filter(|(kind, ..)| *kind != ERASURE).collect();
    let mut going = Going::default();
    let mut erasures = Erasures::default();
    match target {
        Target::Runner(id) => drop(going.ids.insert(id.clone(), Erased::Runner)),
        Target::Class(id) => {
            going.ids.insert(id.clone(), Erased::Class);
            for (_, runner, _) in records
                .iter()
                .filter(|(kind, _, body)| *kind == "runner-label" && body["class"].as_str() == Some(id))
            {
                going.ids.insert((*runner).to_owned(), Erased::Runner);
            }
        }
        Target::Before(before_ms) => erasures.before_ms = Some(*before_ms),
    }
    loop {
        erasures.ids.extend(going.ids.keys().map(|id| id.to_ascii_lowercase()));
        going.records.clear();
        going.changed = 0;
        let (mut gone, mut left) = (BTreeMap::new(), BTreeMap::new());
        for (kind, id, body) in &records {
            match erasures.fate(kind, id, body) {
                Fate::Goes => {
                    *going.records.entry((*kind).to_owned()).or_default() += 1;
                    gone.insert(*id, (*kind, *body));
                    continue;
                }
                Fate::Changed(_) => going.changed += 1,
                Fate::Stays => {}
            }
            left.insert(*id, (*kind, *body));
        }
        let before = going.ids.len();
        for (_, body) in gone.values() {
            // A correction that goes takes what it corrected along.
            if let Some(of) = body["of"].as_str().filter(|of| left.contains_key(of)) {
                going.ids.insert(of.to_owned(), Erased::Record);
            }
        }
        for (id, (_, body)) in &left {
            // A correction of what goes, and a press that belongs to a start that goes.
            let refers = [&body["of"], &body["timing"]["timed"]["start"]];
            if refers.iter().filter_map(|value| value.as_str()).any(|id| gone.contains_key(id)) {
                going.ids.insert((*id).to_owned(), Erased::Record);
            }
        }
        if going.ids.len() == before {
            return going;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    const ADA: &str = "00000000-0000-7000-8000-0000000000a0";
    const BO: &str = "00000000-0000-7000-8000-0000000000b0";
    const LARCH: &str = "00000000-0000-7000-8000-0000000000c0";

    fn erased(ids: &[&str]) -> Erasures {
        let mut erasures = Erasures::default();
        for id in ids {
            assert!(erasures.add(id, &json!({"what": "runner"})));
            assert!(!erasures.add(id, &json!({"what": "runner"})), "twice says nothing new");
        }
        erasures
    }

    #[test]
    fn whatever_is_about_the_erased_child_goes_whatever_its_kind() {
        let erasures = erased(&[ADA]);
        let goes = |kind: &str, id: &str, body: Value| erasures.fate(kind, id, &body) == Fate::Goes;
        assert!(goes("runner-label", ADA, json!({"class": LARCH, "label": "Ada"})));
        assert!(goes("runner-about", ADA, json!({"sex": "female"})));
        assert!(goes("measurement", "m", json!({"runner": ADA, "measured": {"stature_cm": 140}})));
        assert!(goes("run", "r", json!({"class": LARCH, "run": {"runner": ADA}})));
        assert!(goes("run", "r", json!({"class": LARCH, "run": {"runner": ADA.to_ascii_uppercase()}})));
        assert!(goes("pair-wish", "p", json!({"class": LARCH, "first": BO, "second": ADA})));
        assert!(goes("bout", "b", json!({"bout": {"runners": [{"runner": ADA, "turns": 3}]}})));
        assert!(goes("of-a-later-version", "x", json!({"any": [{"deep": {"who": ADA}}]})));
        for (kind, id, body) in [
            ("runner-label", BO, json!({"class": LARCH, "label": "Bo"})),
            ("run", "r", json!({"class": LARCH, "run": {"runner": BO}})),
            ("class", LARCH, json!({"name": "7 Larch"})),
        ] {
            assert_eq!(erasures.fate(kind, id, &body), Fate::Stays, "{kind}");
        }
    }

    #[test]
    fn out_of_a_list_only_the_erased_child_is_taken() {
        let erasures = erased(&[ADA]);
        let changed = |kind: &str, body: Value, rest: Value| {
            assert_eq!(erasures.fate(kind, "x", &body), Fate::Changed(rest));
        };
        changed("line-up", json!({"order": [ADA, BO]}), json!({"order": [BO]}));
        changed("line-up", json!({"order": [ADA]}), json!({"order": []}));
        changed(
            "bout",
            json!({"bout": {"seconds": 10.0, "runners": [{"runner": BO, "turns": 4}, {"runner": ADA, "turns": 3}]}}),
            json!({"bout": {"seconds": 10.0, "runners": [{"runner": BO, "turns": 4}]}}),
        );
        changed("of-a-later-version", json!({"by": {ADA: 3, BO: 4}}), json!({"by": {BO: 4}}));
    }

    #[test]
    fn an_erasure_itself_is_never_erased() {
        let erasures = erased(&[ADA]);
        assert_eq!(erasures.fate(ERASURE, ADA, &json!({"what": "runner"})), Fate::Stays);
    }

    #[test]
    fn what_was_seen_before_the_date_goes_and_what_lasts_stays() {
        let mut erasures = Erasures::default();
        let before_ms = 1_772_409_600_000; // 2026-03-02, 00:00 UTC
        assert!(erasures.add("any", &json!({"what": "before", "before_ms": before_ms})));
        assert!(!erasures.add("other", &json!({"what": "before", "before_ms": before_ms - 1})));
        let fate = |kind: &str, body: Value| erasures.fate(kind, BO, &body);
        let run = |at_ms: i64| json!({"class": LARCH, "run": {"runner": BO, "at_ms": at_ms}});
        assert_eq!(fate("run", run(before_ms - 1)), Fate::Goes);
        assert_eq!(fate("run", run(before_ms + 1)), Fate::Stays);
        assert_eq!(fate("measurement", json!({"runner": BO, "on": "2026-03-01"})), Fate::Goes);
        assert_eq!(fate("measurement", json!({"runner": BO, "on": "2026-03-02"})), Fate::Stays);
        assert_eq!(fate("measurement", json!({"runner": BO, "on": null})), Fate::Stays);
        assert_eq!(fate("stretch", json!({"class": LARCH, "at_ms": 1})), Fate::Stays);
        let press =
            json!({"timing": {"timed": {"kind": "start", "press": {"at_ms": 5, "clock_ms": before_ms}}}});
        assert_eq!(fate("timing", press), Fate::Goes);
    }

    #[test]
    fn retention_looks_whole_days_back_and_never_less_than_the_shortest_time() {
        let keeps =
            |keep_days| RetentionBody { keep_days, off_list_days: keep_days, unknown: Unknown::new() };
        let now_ms = (1000 * DAY_MS + 5) as u64;
        assert_eq!(keeps(Some(400)).before_ms(now_ms), Some(600 * DAY_MS));
        assert_eq!(keeps(Some(1)).before_ms(now_ms), Some((1000 - i64::from(KEEP_DAYS_MIN)) * DAY_MS));
        assert_eq!(keeps(None).before_ms(now_ms), None);
        for days in [None, Some(1), Some(400)] {
            assert_eq!(keeps(days).off_list_before_ms(now_ms), keeps(days).before_ms(now_ms));
        }
    }

    #[test]
    fn children_off_the_list_are_found_with_the_day_since_when() {
        let (cy, yew) = ("00000000-0000-7000-8000-0000000000c1", "00000000-0000-7000-8000-0000000000c2");
        let records = [
            ("class", LARCH, json!({"name": "7 Larch"}), 10),
            ("class", yew, json!({"name": "8 Yew", "gone": true}), 50),
            ("runner-label", ADA, json!({"class": LARCH, "label": "Ada"}), 20),
            ("runner-label", BO, json!({"class": LARCH, "label": "Bo", "gone": true}), 40),
            ("runner-label", cy, json!({"class": yew, "label": "Cy"}), 20),
            // Its class is not known here, which is no reason to think that it is on no list.
            (
                "runner-label",
                "00000000-0000-7000-8000-0000000000d1",
                json!({"class": ADA, "label": "Di"}),
                20,
            ),
            ("run", "r", json!({"class": yew, "gone": true}), 20),
        ];
        let found = off_lists(records.iter().map(|(kind, id, body, ms)| (*kind, *id, body, *ms)));
        assert_eq!(found, [(BO.to_owned(), 40), (cy.to_owned(), 50)].into());
    }

    #[test]
    fn a_child_written_into_a_class_that_was_off_already_counts_from_its_own_day() {
        let records = [
            ("class", LARCH, json!({"name": "7 Larch", "gone": true}), 50),
            // A phone that had not heard of it wrote Ada in, and took Bo off.
            ("runner-label", ADA, json!({"class": LARCH, "label": "Ada"}), 900),
            ("runner-label", BO, json!({"class": LARCH, "label": "Bo", "gone": true}), 800),
        ];
        let found = off_lists(records.iter().map(|(kind, id, body, ms)| (*kind, *id, body, *ms)));
        assert_eq!(found, [(ADA.to_owned(), 900), (BO.to_owned(), 800)].into());
    }

    /// A run tapped for Bo that was Ada's, its correction, and a press at a mark of an attempt that was Ada's.
    #[test]
    fn what_was_corrected_to_the_child_goes_by_name() {
        let records = [
            ("runner-label", ADA, json!({"class": LARCH, "label": "Ada"})),
            ("runner-label", BO, json!({"class": LARCH, "label": "Bo"})),
            ("run", "r1", json!({"class": LARCH, "run": {"runner": BO}})),
            ("run-correction", "k1", json!({"class": LARCH, "of": "r1", "run": {"runner": ADA}})),
            ("run", "r2", json!({"class": LARCH, "run": {"runner": ADA}})),
            ("run-correction", "k2", json!({"class": LARCH, "of": "r2", "run": null})),
            ("timing", "t1", json!({"timing": {"runner": BO, "timed": {"kind": "start"}}})),
            ("timing-correction", "k3", json!({"of": "t1", "timing": {"runner": ADA}})),
            ("timing", "t2", json!({"timing": {"runner": BO, "timed": {"kind": "mark", "start": "t1"}}})),
            ("run", "r3", json!({"class": LARCH, "run": {"runner": BO}})),
        ];
        let listed = || records.iter().map(|(kind, id, body)| (*kind, *id, body));
        let going = what_goes(listed(), &Target::Runner(ADA.into()));
        let ids: Vec<&str> = going.ids.keys().map(String::as_str).collect();
        assert_eq!(ids, [ADA, "k2", "r1", "t1", "t2"]);
        assert_eq!((going.runners(), going.total()), (1, 8));
        let all = what_goes(listed(), &Target::Class(LARCH.into()));
        assert_eq!((all.runners(), all.total()), (2, 10));
        assert_eq!(what_goes(listed(), &Target::Before(i64::MAX)).total(), 0, "none of these has a moment");
    }
}
