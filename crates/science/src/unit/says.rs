//! A unit in words.

use lanewright_model::drill::{Drill, Ladder};
use lanewright_model::words::{Arg, Message, day_message};

use super::{ChildAhead, LearningRate, Spread, Unit, UnitLesson};
use crate::lesson::drill_arg;

fn count(number: usize) -> Arg {
    Arg::Count(number as i64)
}

/// A drill's name as an argument, by its id.
fn named(ladder: &Ladder, id: &str) -> Arg {
    ladder.get(id).map_or_else(|| Arg::Text(id.to_owned()), |drill: &Drill| drill_arg(drill))
}

pub(super) fn notes(learning: &LearningRate, lessons: usize) -> Vec<Message> {
    let runs = &learning.runs_60_to_88;
    let rate = if learning.own {
        Message::new("unit-note-own-rate").with("lessons", count(learning.lessons))
    } else {
        Message::new("unit-note-usual-rate")
    };
    let whole = |value: f64| Arg::Count(libm::round(value) as i64);
    let mut notes = vec![
        rate.with("runs", whole(runs.median)).with("low", whole(runs.low)).with("high", whole(runs.high)),
    ];
    if lessons > 1 {
        notes.push(Message::new("unit-note-sketch"));
    }
    notes.push(Message::new("unit-note-technique"));
    notes.push(Message::new("unit-note-rests-on"));
    notes
}

impl Unit {
    /// Returns the unit in sentences: one group for each lesson, then the children, then the notes.
    pub fn sentences(&self, ladder: &Ladder) -> Vec<Vec<Message>> {
        let mut groups: Vec<Vec<Message>> = self
            .lessons
            .iter()
            .enumerate()
            .map(|(index, lesson)| lesson.sentences(index + 1, ladder))
            .collect();
        groups.push(self.what_opens(ladder));
        groups.push(self.notes.clone());
        groups
    }

    /// Returns what opens for whom: children for whom the same drill opens in the same lessons are one sentence.
    pub fn what_opens(&self, ladder: &Ladder) -> Vec<Message> {
        let mut alike: Vec<Vec<&ChildAhead>> = Vec::new();
        for child in &self.children {
            let when = |other: &ChildAhead| (other.next.clone(), other.earliest, other.latest);
            match alike.iter_mut().find(|group| when(group[0]) == when(child)) {
                Some(group) => group.push(child),
                None => alike.push(vec![child]),
            }
        }
        alike.into_iter().map(|group| opens(&group, ladder)).collect()
    }
}

impl UnitLesson {
    /// Returns one lesson in sentences; `number` counts from 1.
    pub fn sentences(&self, number: usize, ladder: &Ladder) -> Vec<Message> {
        let mut said = vec![
            Message::new("unit-lesson")
                .with("number", count(number))
                .with("date", Arg::Say(Box::new(day_message(self.date, true)))),
        ];
        if let (Some(days), true) = (self.days_since, self.check_first) {
            said.push(Message::new("unit-check").with("days", Arg::Count(days)));
        }
        for block in &self.blocks {
            // Lanes with the same drill are said together, the drill of the first lane first.
            let mut drills: Vec<(&str, Vec<&str>)> = Vec::new();
            for (lane, drill) in &block.drills {
                match drills.iter_mut().find(|(known, _)| *known == drill.0) {
                    Some((_, lanes)) => lanes.push(lane),
                    None => drills.push((&drill.0, vec![lane])),
                }
            }
            for (drill, lanes) in drills {
                let said_of = |id| {
                    Message::new(id)
                        .with("minutes", Arg::Count(i64::from(block.minutes)))
                        .with("drill", named(ladder, drill))
                };
                said.push(if lanes.len() == block.drills.len() {
                    said_of("unit-block")
                } else {
                    said_of("unit-block-lanes")
                        .with("count", count(lanes.len()))
                        .text("lanes", lanes.join(", "))
                });
            }
        }
        said.push(
            Message::new("unit-runs")
                .with("runs", Arg::Count(libm::round(self.runs_per_child) as i64))
                .with("contacts", Arg::Count(libm::round(self.contacts_per_child) as i64)),
        );
        // In the order of the ladder, slow ones first.
        let place = |id: &str| ladder.drills().iter().position(|drill| drill.id.0 == id);
        let mut clean: Vec<(&String, &Spread)> = self.clean.iter().collect();
        clean.sort_by_key(|(drill, _)| place(drill));
        for (drill, share) in clean {
            said.push(
                Message::new("unit-clean")
                    .with("drill", named(ladder, drill))
                    .with("mean", Arg::Share(share.mean))
                    .with("low", Arg::Share(share.low_80))
                    .with("high", Arg::Share(share.high_80)),
            );
        }
        for (drill, who) in &self.exit_sprint {
            said.push(
                Message::new("unit-exit-sprint")
                    .with("children", count(who.len()))
                    .with("drill", named(ladder, drill)),
            );
        }
        said
    }
}

/// Returns what lies ahead of children for whom the same drill opens in the same lessons; at least one.
fn opens(group: &[&ChildAhead], ladder: &Ladder) -> Message {
    let names: Vec<&str> = group.iter().map(|child| child.name.as_str()).collect();
    let who = Message::new("unit-who").with("count", count(group.len())).text("names", names.join(", "));
    let said = |id: &str| Message::new(id).with("who", Arg::Say(Box::new(who.clone())));
    let Some(next) = &group[0].next else { return said("unit-all-open") };
    let said = |id: &str| said(id).with("drill", named(ladder, &next.0));
    let share = || {
        let of = |pick: fn(f64, f64) -> f64| group.iter().map(|child| child.within_unit).reduce(pick);
        let (low, high) = (of(f64::min).unwrap_or_default(), of(f64::max).unwrap_or_default());
        let percent = |share: f64| (share * 100.0).round();
        match percent(low) == percent(high) {
            true => Arg::Share(low),
            false => Arg::Say(Box::new(
                Message::new("plan-from-to").with("low", Arg::Share(low)).with("high", Arg::Share(high)),
            )),
        }
    };
    match (group[0].earliest, group[0].latest) {
        (Some(earliest), Some(latest)) if earliest == latest => {
            said("unit-opens-in").with("lesson", count(earliest))
        }
        (Some(earliest), Some(latest)) => {
            said("unit-opens-between").with("earliest", count(earliest)).with("latest", count(latest))
        }
        (Some(earliest), None) => {
            said("unit-opens-from").with("earliest", count(earliest)).with("share", share())
        }
        _ => said("unit-opens-later").with("share", share()),
    }
}
