//! Foot contacts: how many, of which kind, per child, lesson and week; and the few moments worth a sentence.
//!
//! Counting, no more: no ceiling, no ratio of this week to last weeks, nothing that blocks. Method page:
//! `docs/methods/contacts.md`.

mod counting;
mod prompts;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use jiff::civil::Date;
use jiff::tz::Offset;
use lanewright_model::drill::{Drill, Ladder};
use lanewright_model::run::Observation;
use serde::{Deserialize, Serialize};

pub use counting::{RUN_ON_CONTACTS, RunSteps, per_run};
pub use prompts::{
    About, JUMP_DAYS_A_WEEK, JUMPS_ANYONE, JUMPS_NEW, Prompt, TURNS_A_LESSON, growth_prompt, prompts,
};

/// Name and version of the method.
pub const METHOD: &str = "contacts/1";

/// Kinds of foot contacts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum ContactClass {
    /// Walking and stepping over.
    A,
    /// Running steps.
    B,
    /// Bounds and jumps with both feet.
    C,
    /// Hard stops, and turns by more than a right angle.
    D,
}

impl ContactClass {
    /// Returns the class of a drill's steps, from the letter in the drill file; nothing for another letter.
    ///
    /// In drills of class D the steps between the hurdles are running steps, B (or walking, A): only their turns are D.
    pub fn of_steps(drill: &Drill) -> Option<Self> {
        match drill.contact_class.as_str() {
            "A" => Some(Self::A),
            "B" => Some(Self::B),
            "C" => Some(Self::C),
            "D" => Some(if drill.walk { Self::A } else { Self::B }),
            _ => None,
        }
    }
}

/// Contacts by class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Tally {
    /// Walking and stepping over.
    pub a: u32,
    /// Running steps.
    pub b: u32,
    /// Bounds and jumps.
    pub c: u32,
    /// Hard stops and turns.
    pub d: u32,
    /// Runs and bouts counted.
    pub runs: u32,
    /// Runs and bouts whose contacts are not known: no hurdles, or a drill that is not in the ladder.
    pub not_counted: u32,
}

impl Tally {
    fn add(&mut self, class: ContactClass, contacts: u32) {
        let count = match class {
            ContactClass::A => &mut self.a,
            ContactClass::B => &mut self.b,
            ContactClass::C => &mut self.c,
            ContactClass::D => &mut self.d,
        };
        *count = count.saturating_add(contacts);
    }

    /// Adds another tally.
    pub fn join(&mut self, other: &Tally) {
        self.add(ContactClass::A, other.a);
        self.add(ContactClass::B, other.b);
        self.add(ContactClass::C, other.c);
        self.add(ContactClass::D, other.d);
        self.runs = self.runs.saturating_add(other.runs);
        self.not_counted = self.not_counted.saturating_add(other.not_counted);
    }
}

/// An ISO week: the year it belongs to and its number, 1 to 53.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Week {
    /// Year of the week; in the first days of January it may be the year before.
    pub year: i16,
    /// Number of the week.
    pub week: i8,
}

impl Week {
    /// Returns the week of a day. Weeks begin on Monday.
    pub fn of(day: Date) -> Self {
        let week = day.iso_week_date();
        Self { year: week.year(), week: week.week() }
    }
}

/// All contacts of one child.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct ChildContacts {
    /// By lesson: a day is a lesson.
    pub days: BTreeMap<Date, Tally>,
}

impl ChildContacts {
    /// Returns the contacts by ISO week.
    pub fn weeks(&self) -> BTreeMap<Week, Tally> {
        let mut weeks: BTreeMap<Week, Tally> = BTreeMap::new();
        for (day, tally) in &self.days {
            weeks.entry(Week::of(*day)).or_default().join(tally);
        }
        weeks
    }

    /// Returns all contacts together.
    pub fn total(&self) -> Tally {
        let mut total = Tally::default();
        for tally in self.days.values() {
            total.join(tally);
        }
        total
    }
}

/// What runs do not record.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Unrecorded {
    /// Offset of the school's clock from UTC, in seconds, so that a day is the school's day.
    pub utc_offset_s: i32,
    /// Hurdles in a lane where bouts took place: bouts do not say.
    pub bout_hurdles: u32,
    /// Contacts after the last hurdle.
    pub exit: u32,
    /// Contacts after the last hurdle when an exit sprint follows.
    pub exit_sprint: u32,
}

impl Default for Unrecorded {
    fn default() -> Self {
        Self {
            utc_offset_s: 0,
            bout_hurdles: BOUT_HURDLES,
            exit: RUN_ON_CONTACTS,
            exit_sprint: EXIT_SPRINT_CONTACTS,
        }
    }
}

/// Hurdles of a shuttle lane when nobody says (engineering assumption: half of a full lane).
pub const BOUT_HURDLES: u32 = 4;

/// Contacts of an exit sprint when nobody says (engineering assumption: 10 m in steps of 1.25 m).
pub const EXIT_SPRINT_CONTACTS: u32 = 8;

/// Returns the contacts of `runs` runs at a drill through `hurdles` hurdles, as a plan has them.
///
/// Drills without hurdles have no gaps to count: their runs come back as not counted. A run of a turning drill ends
/// with one hard stop or turn.
pub fn planned(drill: &Drill, hurdles: u32, runs: u32, exit: u32) -> Tally {
    let mut tally = Tally::default();
    let (Some(steps), Some(class)) = (RunSteps::of(drill, exit), ContactClass::of_steps(drill)) else {
        tally.not_counted = runs;
        return tally;
    };
    tally.runs = runs;
    tally.add(class, per_run(hurdles, steps).saturating_mul(runs));
    if turns(drill) {
        tally.add(ContactClass::D, runs);
    }
    tally
}

/// Returns the contacts of every child, from the runs and bouts that were recorded.
///
/// A sweep is a look, not a run, and adds nothing. What was recorded is counted: runs that nobody tapped are missing.
pub fn count(
    observations: &[Observation],
    ladder: &Ladder,
    unrecorded: &Unrecorded,
) -> BTreeMap<String, ChildContacts> {
    let offset = Offset::from_seconds(unrecorded.utc_offset_s).unwrap_or(Offset::UTC);
    let mut children: BTreeMap<String, ChildContacts> = BTreeMap::new();
    for observation in observations {
        let (runner, at, tally) = match observation {
            Observation::Run(run) => {
                let exit = if run.exit_sprint { unrecorded.exit_sprint } else { unrecorded.exit };
                let tally = match ladder.get(&run.drill) {
                    Some(drill) => planned(drill, run.hurdles, 1, exit),
                    None => Tally { not_counted: 1, ..Tally::default() },
                };
                (&run.runner, run.at, tally)
            }
            Observation::Bout(bout) => {
                let mut tally = Tally::default();
                match ladder.get(&bout.drill).and_then(|drill| Some((drill, ContactClass::of_steps(drill)?)))
                {
                    Some((drill, class)) if drill.contacts_per_gap.is_some() => {
                        // To and fro: a pass begins where the last one ended, so there is no run-up and no exit.
                        let per_gap = drill.contacts_per_gap.unwrap_or(0);
                        let steps = RunSteps { per_gap, run_up: 0, exit: 0 };
                        let pass = per_run(unrecorded.bout_hurdles, steps);
                        tally.add(class, pass.saturating_mul(bout.passes));
                        tally.runs = 1;
                    }
                    _ => tally.not_counted = 1,
                }
                tally.add(ContactClass::D, bout.turns);
                (&bout.runner, bout.at, tally)
            }
            Observation::Sweep(_) => continue,
        };
        let day = offset.to_datetime(at).date();
        children.entry(runner.clone()).or_default().days.entry(day).or_default().join(&tally);
    }
    children
}

fn turns(drill: &Drill) -> bool {
    drill.contact_class == "D"
}
