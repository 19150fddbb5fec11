//! Undo: the last changes of this device, each with what stood there before.

use lanewright_model::Message;
use lanewright_sync::{Record, RecordKey, SchoolId, Stamp};
use serde_json::Value;

use super::change::{Change, taken_back};

/// How many steps back can be taken.
pub const UNDO_STEPS_MAX: usize = 50;

/// What is written beside the lane.
const TRACKSIDE_KINDS: &[&str] = &[
    "run",
    "run-correction",
    "sweep",
    "stretch",
    "timing",
    "timing-correction",
    "bout",
    "bout-correction",
    "standing-lanes",
];

/// What may be written with it: that a child is here, and what was said of the gap.
const BESIDE_KINDS: &[&str] = &["today", "measurement"];

/// A step that wrote more facts than this was no slip of the thumb: after another undo it is not the next one that a
/// tap takes back. Engineering assumption: a list that was read in, a line-up, a lesson from paper.
const SLIP_FACTS_MAX: usize = 8;

/// Where somebody asks for an undo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Room {
    /// Beside what was just said: the latest step, whatever it was.
    Anywhere,
    /// Beside the lane: only what was recorded there. A class that was read in before is out of reach.
    Trackside,
}

/// One saved change as it can be undone.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What was said when it was saved, for example `Ada is absent.`.
    pub said: Message,
    parts: Vec<Part>,
}

impl Step {
    fn is_in(&self, room: Room) -> bool {
        let is_of = |kinds: &[&str], part: &Part| kinds.contains(&part.key.kind.as_str());
        room == Room::Anywhere
            || (self.parts.iter().any(|part| is_of(TRACKSIDE_KINDS, part))
                && self.parts.iter().all(|part| is_of(TRACKSIDE_KINDS, part) || is_of(BESIDE_KINDS, part)))
    }
}

#[derive(Debug, Clone, PartialEq)]
struct Part {
    key: RecordKey,
    version: u32,
    before: Option<Value>,
    written: Value,
    stamp: Stamp,
}

/// A fact was changed elsewhere since, so that undoing would overwrite somebody's work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangedSince;

/// The steps that can be undone, the latest last.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct UndoStack {
    steps: Vec<Step>,
}

impl UndoStack {
    /// Remembers a change that was saved: the records written and, for each, what stood there before.
    pub fn push(&mut self, said: Message, written: &[Record], before: impl Fn(&RecordKey) -> Option<Value>) {
        let parts = written
            .iter()
            .map(|record| Part {
                key: record.key(),
                version: record.version,
                before: before(&record.key()),
                written: record.body.clone(),
                stamp: record.stamp,
            })
            .collect();
        self.steps.push(Step { said, parts });
        if self.steps.len() > UNDO_STEPS_MAX {
            self.steps.remove(0);
        }
    }

    /// Returns the step that an undo in this room would take back now.
    pub fn latest(&self, room: Room) -> Option<&Step> {
        self.steps.iter().rev().find(|step| step.is_in(room))
    }

    /// Returns whether one more undo may be offered right after one: the next step is a small one.
    pub fn goes_on(&self) -> bool {
        self.steps.last().is_some_and(|step| step.parts.len() <= SLIP_FACTS_MAX)
    }

    /// Takes the latest step of a room off and returns it with the changes that write the old bodies with new stamps.
    /// `current` tells the stamp that stands for a fact now.
    ///
    /// # Errors
    /// [`ChangedSince`]: one of its facts has another stamp by now. The step is dropped, nothing is written.
    pub fn undo(
        &mut self,
        room: Room,
        current: impl Fn(&RecordKey) -> Option<Stamp>,
    ) -> Option<Result<(Step, Vec<Change>), ChangedSince>> {
        let place = self.steps.iter().rposition(|step| step.is_in(room))?;
        let step = self.steps.remove(place);
        if step.parts.iter().any(|part| current(&part.key) != Some(part.stamp)) {
            return Some(Err(ChangedSince));
        }
        let changes = step
            .parts
            .iter()
            .map(|part| Change {
                key: part.key.clone(),
                version: part.version,
                body: part.before.clone().unwrap_or_else(|| taken_back(&part.key.kind, &part.written)),
            })
            .collect();
        Some(Ok((step, changes)))
    }

    /// Notes that an undo was saved: earlier steps that touched the same facts may still be undone, since what
    /// they wrote stands again, now with the stamps of the undo.
    pub fn rebase(&mut self, written: &[Record]) {
        for record in written {
            let key = record.key();
            if let Some(part) = self
                .steps
                .iter_mut()
                .rev()
                .flat_map(|step| &mut step.parts)
                .find(|part| part.key == key && part.written == record.body)
            {
                part.stamp = record.stamp;
            }
        }
    }

    /// Renames what was named after the made-up school once the server's school is known.
    pub fn adopt(&mut self, before: SchoolId, after: SchoolId) {
        for part in self.steps.iter_mut().flat_map(|step| &mut step.parts) {
            if part.key.id == before.0 {
                part.key.id = after.0;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logic::replica::Device;
    use serde_json::json;
    use std::collections::BTreeMap;
    use uuid::Uuid;

    struct Bench {
        device: Device,
        stored: BTreeMap<RecordKey, Record>,
        undo: UndoStack,
        now_ms: u64,
    }

    impl Bench {
        fn new() -> Self {
            Self {
                device: Device::new(Uuid::from_u128(1), Uuid::from_u128(2)),
                stored: BTreeMap::new(),
                undo: UndoStack::default(),
                now_ms: 1000,
            }
        }

        fn write(&mut self, changes: &[Change]) -> Vec<Record> {
            self.now_ms += 1;
            let records = self.device.stamp(changes, self.now_ms);
            for record in &records {
                self.stored.insert(record.key(), record.clone());
            }
            records
        }

        fn change(&mut self, said: &str, changes: &[Change]) {
            let before = self.stored.clone();
            let records = self.write(changes);
            self.undo
                .push(Message::new(said), &records, |key| before.get(key).map(|record| record.body.clone()));
        }

        fn undo(&mut self) -> Option<Result<String, ChangedSince>> {
            self.undo_in(Room::Anywhere)
        }

        fn undo_in(&mut self, room: Room) -> Option<Result<String, ChangedSince>> {
            let stored = self.stored.clone();
            Some(match self.undo.undo(room, |key| stored.get(key).map(|record| record.stamp))? {
                Err(changed) => Err(changed),
                Ok((step, changes)) => {
                    let records = self.write(&changes);
                    self.undo.rebase(&records);
                    Ok(step.said.id)
                }
            })
        }

        fn presence(&self) -> &str {
            self.stored.values().next().unwrap().body["presence"].as_str().unwrap()
        }
    }

    fn today(presence: &str) -> Change {
        Change {
            key: RecordKey { kind: "today".into(), id: Uuid::from_u128(9) },
            body: json!({"on": "2026-03-02", "presence": presence}),
            version: 1,
        }
    }

    #[test]
    fn undo_walks_back_to_where_it_began() {
        let mut bench = Bench::new();
        bench.change("absent", &[today("absent")]);
        bench.change("helping", &[today("helping")]);
        bench.change("easy", &[today("easy")]);
        assert_eq!(bench.undo(), Some(Ok("easy".into())));
        assert_eq!(bench.presence(), "helping");
        assert_eq!(bench.undo(), Some(Ok("helping".into())));
        assert_eq!(bench.presence(), "absent");
        assert_eq!(bench.undo(), Some(Ok("absent".into())));
        assert_eq!(bench.presence(), "present");
        assert_eq!(bench.undo(), None);
    }

    #[test]
    fn undo_never_overwrites_what_another_device_wrote_since() {
        let mut bench = Bench::new();
        bench.change("absent", &[today("absent")]);
        let mut elsewhere = Device::new(Uuid::from_u128(7), Uuid::from_u128(2));
        let record = elsewhere.stamp(&[today("easy")], 5000).remove(0);
        bench.stored.insert(record.key(), record);
        assert_eq!(bench.undo(), Some(Err(ChangedSince)));
        assert_eq!(bench.presence(), "easy");
    }

    #[test]
    fn undo_takes_a_whole_change_back_at_once() {
        let mut bench = Bench::new();
        let label = |id: u128| Change {
            key: RecordKey { kind: "runner-label".into(), id: Uuid::from_u128(id) },
            body: json!({"class": "c", "label": "x"}),
            version: 1,
        };
        bench.change("read in", &[label(1), label(2), label(3)]);
        assert_eq!(bench.undo(), Some(Ok("read in".into())));
        assert!(bench.stored.values().all(|record| record.body["gone"] == true));
    }

    #[test]
    fn beside_the_lane_only_what_was_recorded_there_is_taken_back() {
        let mut bench = Bench::new();
        let of = |kind: &str, id: u128| Change {
            key: RecordKey { kind: kind.into(), id: Uuid::from_u128(id) },
            body: json!({"class": "c", "label": "x"}),
            version: 1,
        };
        let list: Vec<Change> = (1..=26).map(|id| of("runner-label", id)).collect();
        bench.change("read in", &list);
        assert_eq!(bench.undo.latest(Room::Trackside), None);
        assert_eq!(bench.undo_in(Room::Trackside), None);
        bench.change("clean", &[of("run", 100)]);
        bench.change("absent", &[today("absent")]);
        assert_eq!(bench.undo.latest(Room::Trackside).unwrap().said.id, "clean");
        assert_eq!(bench.undo_in(Room::Trackside), Some(Ok("clean".into())));
        assert_eq!(bench.undo_in(Room::Trackside), None);
        // Elsewhere one goes on after another, but not on to a whole list.
        assert!(bench.undo.goes_on());
        assert_eq!(bench.undo(), Some(Ok("absent".into())));
        assert!(!bench.undo.goes_on());
        assert_eq!(bench.undo(), Some(Ok("read in".into())));
    }

    #[test]
    fn every_undo_is_written_with_a_later_stamp() {
        let mut bench = Bench::new();
        bench.change("absent", &[today("absent")]);
        let before = bench.stored.values().next().unwrap().stamp;
        bench.undo();
        assert!(bench.stored.values().next().unwrap().stamp > before);
    }

    #[test]
    fn the_kit_can_be_undone_after_the_school_is_known() {
        let mut bench = Bench::new();
        let provisional = bench.device.school;
        let kit = Change {
            key: RecordKey { kind: "kit".into(), id: provisional.0 },
            body: json!({"kit": 1}),
            version: 1,
        };
        bench.change("kit", &[kit]);
        let school = SchoolId(Uuid::from_u128(50));
        let mut record = bench.stored.pop_first().unwrap().1;
        record.id = school.0;
        bench.stored.insert(record.key(), record);
        bench.undo.adopt(provisional, school);
        assert_eq!(bench.undo(), Some(Ok("kit".into())));
        assert_eq!(bench.stored.values().next().unwrap().body["gone"], true);
    }
}
