//! Who of a new list is already in a class, and what has changed.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::runner::{Age, Runner, RunnerId, StrideObservation};
use crate::words::{Arg, Message};

/// A new list beside the children of a class.
///
/// Whether the very same file was read before is known from its digest alone; see [`super::digest`].
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Comparison {
    /// Children of the class about whom the list says nothing new.
    pub already_there: Vec<Known>,
    /// Children of the class about whom the list says something else or more.
    pub changed: Vec<Changed>,
    /// Places in the new list, counted from 0, of children who are not in the class.
    pub new: Vec<usize>,
    /// Children of the class who are not in the list.
    pub not_in_list: Vec<RunnerId>,
}

/// A child that stands in class and list.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// The child in the class.
    pub existing: RunnerId,
    /// Place in the new list, counted from 0.
    pub index: usize,
}

/// A child that stands in class and list with different facts.
#[derive(Debug, Clone, PartialEq)]
pub struct Changed {
    /// The child in the class.
    pub existing: RunnerId,
    /// Place in the new list, counted from 0.
    pub index: usize,
    /// What the list says that the class does not.
    pub fields: Vec<Field>,
}

/// A fact that a class list can carry beside the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// Sex.
    Sex,
    /// Age or date of birth.
    Age,
    /// Stature, or the day of measuring.
    Stature,
    /// Leg length.
    LegLength,
    /// Step length.
    StepLength,
}

impl Comparison {
    /// Returns the number of children who stand in both.
    pub fn known_count(&self) -> usize {
        self.already_there.len() + self.changed.len()
    }

    /// Returns the sentence that says how the list stands to the class.
    pub fn message(&self) -> Message {
        let count = |number: usize| Arg::Count(i64::try_from(number).unwrap_or(i64::MAX));
        let id = match (self.known_count(), self.changed.len(), self.new.len()) {
            (0, ..) => "import-compare-all-new",
            (_, 0, 0) => "import-compare-nothing-new",
            _ => "import-compare-some-new",
        };
        Message::new(id)
            .with("known", count(self.known_count()))
            .with("all", count(self.known_count() + self.new.len()))
            .with("changed", count(self.changed.len()))
            .with("new", count(self.new.len()))
    }
}

/// Compares a new list with the children of a class.
///
/// A child is the same when the id is the same, else when the label is, else when the label is the same but for
/// capitals. Every child of either side is matched at most once. A fact that the list leaves out is not a change.
pub fn compare(existing: &[Runner], new: &[Runner]) -> Comparison {
    let keys: [fn(&Runner) -> String; 3] =
        [|runner| runner.id.0.clone(), |runner| runner.label.clone(), |runner| runner.label.to_lowercase()];
    let mut open: BTreeSet<usize> = (0..existing.len()).collect();
    let mut matches: Vec<Option<usize>> = vec![None; new.len()];
    for key in keys {
        let mut places: BTreeMap<String, VecDeque<usize>> = BTreeMap::new();
        for &at in &open {
            places.entry(key(&existing[at])).or_default().push_back(at);
        }
        for (found, runner) in matches.iter_mut().zip(new).filter(|(found, _)| found.is_none()) {
            *found = places.get_mut(&key(runner)).and_then(VecDeque::pop_front);
            if let Some(at) = found {
                open.remove(at);
            }
        }
    }
    let mut comparison = Comparison::default();
    for (index, found) in matches.into_iter().enumerate() {
        let Some(found) = found else {
            comparison.new.push(index);
            continue;
        };
        let known = existing[found].id.clone();
        let fields = changes(&existing[found], &new[index]);
        if fields.is_empty() {
            comparison.already_there.push(Known { existing: known, index });
        } else {
            comparison.changed.push(Changed { existing: known, index, fields });
        }
    }
    comparison.not_in_list = open.into_iter().map(|at| existing[at].id.clone()).collect();
    comparison
}

fn changes(old: &Runner, new: &Runner) -> Vec<Field> {
    let differs = |old: Option<f64>, new: Option<f64>| new.is_some() && new != old;
    let age_differs = match (old.age, new.age) {
        (_, None) => false,
        (Some(Age::Years { age_y: old, .. }), Some(Age::Years { age_y: new, on: None })) => old != new,
        (old, new) => old != new,
    };
    let date_differs = new.stature_date.is_some() && new.stature_date != old.stature_date;
    let step = |step: &&StrideObservation| matches!(step, StrideObservation::StepLength { .. });
    let step_differs = new.steps.iter().filter(step).any(|step| !old.steps.contains(step));
    let found = [
        (Field::Sex, new.sex.is_some() && new.sex != old.sex),
        (Field::Age, age_differs),
        (Field::Stature, differs(old.stature_cm, new.stature_cm) || date_differs),
        (Field::LegLength, differs(old.leg_length_cm, new.leg_length_cm)),
        (Field::StepLength, step_differs),
    ];
    found.into_iter().filter(|(_, changed)| *changed).map(|(field, _)| field).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::runner::Sex;

    fn class() -> Vec<Runner> {
        let mut wren = Runner::named("a1", "Wren");
        wren.stature_cm = Some(143.0);
        vec![wren, Runner::named("a2", "Umi"), Runner::named("a3", "Piran")]
    }

    #[test]
    fn the_same_list_brings_nothing_new() {
        let list =
            [Runner::named("Wren", "Wren"), Runner::named("umi", "umi"), Runner::named("Piran", "Piran")];
        let comparison = compare(&class(), &list);
        assert_eq!(comparison.already_there.len(), 3);
        assert_eq!((comparison.changed.len(), comparison.new.len(), comparison.not_in_list.len()), (0, 0, 0));
        assert_eq!(comparison.message().id, "import-compare-nothing-new");
    }

    #[test]
    fn new_facts_and_new_children_are_told_apart() {
        let mut wren = Runner::named("Wren", "Wren");
        wren.stature_cm = Some(145.0);
        wren.sex = Some(Sex::Female);
        let comparison = compare(&class(), &[wren, Runner::named("Zelda", "Zelda")]);
        assert_eq!(
            comparison.changed,
            [Changed { existing: RunnerId("a1".into()), index: 0, fields: vec![Field::Sex, Field::Stature] }]
        );
        assert_eq!(comparison.new, [1]);
        assert_eq!(comparison.not_in_list, [RunnerId("a2".into()), RunnerId("a3".into())]);
    }
}
