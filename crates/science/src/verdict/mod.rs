//! The one verdict on each child at each drill that next steps, findings, cards and reports all give.
//!
//! Answers two things beside [`crate::decide`]: from when a verdict is, and whether a hurdle is to be looked at before
//! the child. A drill is judged as it stood at the end of the last lesson in which the child was seen at it:
//! what was left behind weeks ago keeps its verdict, with its day beside it, and does not fade by the calendar alone.
//! Method page: `docs/methods/decide.md`.

mod lanes;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use lanewright_model::drill::Ladder;
use lanewright_model::run::Observation;
use lanewright_model::words::{Arg, Message, day_message};

use crate::decide::{ClassModel, Decision, Known, Losses, Options};

pub use lanes::{Doubted, LaneDoubts, Lanes, WithoutThem};

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// All drills.
    pub ladder: &'a Ladder,
    /// Offset of the school's clock from UTC, in seconds, so that a day is the school's day; −93,599 to 93,599.
    pub utc_offset_s: i32,
    /// What mistakes cost.
    pub losses: Losses,
    /// Judges every drill at this moment, older runs faded by their age. Without it each drill is judged as it stood at
    /// the end of the last lesson in which the child was seen at it.
    pub at: Option<Timestamp>,
}

impl<'a> Ask<'a> {
    /// Asks where everyone stands, by the days of UTC and with the usual losses.
    pub fn new(ladder: &'a Ladder) -> Self {
        Self { ladder, utc_offset_s: 0, losses: Losses::default(), at: None }
    }

    fn options(&self, now: Timestamp) -> Options {
        Options { now, losses: self.losses }
    }

    /// Returns the school's day of a moment.
    fn day_of(&self, at: Timestamp) -> Date {
        Offset::from_seconds(self.utc_offset_s).unwrap_or(Offset::UTC).to_datetime(at).date()
    }
}

/// Judges every runner at every drill seen, sorted by class, runner and drill. Each class learns from its own runs.
pub fn verdicts(observations: &[Observation], ask: &Ask<'_>, lanes: Option<&Lanes>) -> Vec<Decision> {
    let mut classes: BTreeMap<Option<&str>, Vec<&Observation>> = BTreeMap::new();
    for observation in observations {
        if !matches!(observation, Observation::Bout(_)) {
            classes.entry(observation.class()).or_default().push(observation);
        }
    }
    classes.into_values().flat_map(|own| Class::new(own, *ask, None).verdicts(lanes)).collect()
}

/// One class, ready to be judged.
#[derive(Debug)]
pub struct Class<'a> {
    /// Observations with their days, oldest first.
    seen: Vec<(&'a Observation, Date)>,
    ask: Ask<'a>,
    known: Known,
}

/// What is judged at one moment: the evidence there was, and whom at which drills it concerns.
struct Moment<'a> {
    now: Timestamp,
    evidence: Vec<&'a Observation>,
    due: BTreeSet<(&'a str, &'a str)>,
}

impl<'a> Class<'a> {
    /// Takes in the observations of one class; learns what its runs teach, unless that is `known`.
    pub fn new(
        observations: impl IntoIterator<Item = &'a Observation>,
        ask: Ask<'a>,
        known: Option<Known>,
    ) -> Self {
        let mut seen: Vec<(&Observation, Date)> =
            observations.into_iter().map(|observation| (observation, ask.day_of(observation.at()))).collect();
        seen.sort_by_key(|(observation, _)| observation.at());
        let now = ask.at.or_else(|| seen.last().map(|(last, _)| last.at())).unwrap_or(Timestamp::UNIX_EPOCH);
        let known = known.unwrap_or_else(|| {
            let all: Vec<&Observation> = seen.iter().map(|(observation, _)| *observation).collect();
            ClassModel::learn(all.iter().copied(), ask.ladder, &ask.options(now)).known()
        });
        Self { seen, ask, known }
    }

    /// Returns what the class taught.
    pub fn known(&self) -> &Known {
        &self.known
    }

    /// Judges every runner at every drill seen, sorted by runner and drill; with `lanes`, says of each whether a hurdle
    /// is to be looked at first.
    pub fn verdicts(&self, lanes: Option<&Lanes>) -> Vec<Decision> {
        let last = self.seen.last().map(|(_, day)| *day);
        let mut found: Vec<Decision> = Vec::new();
        for moment in self.moments() {
            let judged = self.judged(moment.now, &moment.evidence, &moment.due);
            let day = self.ask.day_of(moment.now);
            for mut decision in judged {
                if let Some(lanes) = lanes {
                    lanes.doubt(self, &moment, &mut decision);
                }
                if let Some(last) = last.filter(|last| day < *last) {
                    let day = Arg::Say(Box::new(day_message(day, day.year() != last.year())));
                    // Behind what was seen: so it is read as the day of that.
                    decision.why.insert(1, Message::new("why-last-seen").with("day", day));
                }
                found.push(decision);
            }
        }
        found.sort_by(|a, b| (&a.runner, &a.drill).cmp(&(&b.runner, &b.drill)));
        found
    }

    fn judged(
        &self,
        now: Timestamp,
        evidence: &[&Observation],
        due: &BTreeSet<(&str, &str)>,
    ) -> Vec<Decision> {
        let options = self.ask.options(now);
        let model = ClassModel::with(evidence.iter().copied(), self.ask.ladder, &options, &self.known);
        let runners: BTreeSet<&str> = due.iter().map(|(runner, _)| *runner).collect();
        runners
            .into_iter()
            .flat_map(|runner| model.decisions_of(runner, &options))
            .filter(|decision| due.contains(&(decision.runner.as_str(), decision.drill.as_str())))
            .collect()
    }

    /// The moments at which something is judged: one that was asked for, else the end of each lesson for what was seen
    /// in it the last time.
    fn moments(&self) -> Vec<Moment<'a>> {
        let mut last_days: BTreeMap<(&'a str, &'a str), Date> = BTreeMap::new();
        for (observation, day) in &self.seen {
            if !matches!(observation, Observation::Bout(_)) {
                last_days.insert((observation.runner(), observation.drill()), *day);
            }
        }
        if let Some(now) = self.ask.at {
            let evidence = self.seen.iter().map(|(observation, _)| *observation).collect();
            return vec![Moment { now, evidence, due: last_days.into_keys().collect() }];
        }
        let days: BTreeSet<Date> = last_days.values().copied().collect();
        days.into_iter()
            .map(|day| {
                let due: BTreeSet<(&str, &str)> =
                    last_days.iter().filter(|(_, last)| **last == day).map(|(key, _)| *key).collect();
                let runners: BTreeSet<&str> = due.iter().map(|(runner, _)| *runner).collect();
                let until = || self.seen.iter().take_while(|(_, own)| *own <= day);
                let now = until().last().map_or(Timestamp::UNIX_EPOCH, |(observation, _)| observation.at());
                // What is said of a child rests on its own runs once the class is known.
                let evidence = until()
                    .map(|(observation, _)| *observation)
                    .filter(|observation| runners.contains(observation.runner()))
                    .collect();
                Moment { now, evidence, due }
            })
            .collect()
    }
}
