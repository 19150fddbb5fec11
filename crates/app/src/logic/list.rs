//! What reading in a class list writes: for a new class, and on top of one that is there.

use jiff::civil::Date;
use lanewright_model::import::{Comparison, Field};
use lanewright_model::record::{
    Body, ClassBody, ImportBody, Measured, MeasurementBody, RunnerAboutBody, bodies_for_runner,
};
use lanewright_model::runner::{Age, Runner, RunnerId, StrideObservation};

/// One fact to be written: record id and body.
pub type Fact = (String, Body);

/// Where a list goes.
#[derive(Debug, Clone, PartialEq)]
pub enum Into<'a> {
    /// A class that is made for it.
    NewClass {
        /// Its name.
        name: &'a str,
    },
    /// A class that is there.
    Class {
        /// Class id.
        id: &'a str,
        /// Children who stand in it.
        count: u32,
        /// How the list stands to it.
        comparison: &'a Comparison,
    },
}

/// Returns everything that reading in `list` writes, as one change, and the id of its class.
///
/// `new_id` makes a record id with every call. `about` returns what is stored of a child's sex and age. The list's
/// own ids are not taken over: children of two lists may have the same.
pub fn facts(
    list: &[Runner],
    into: &Into,
    sha256: &str,
    today: Date,
    at_ms: u64,
    mut new_id: impl FnMut() -> String,
    about: impl Fn(&RunnerId) -> RunnerAboutBody,
) -> (String, Vec<Fact>) {
    let mut facts: Vec<Fact> = Vec::new();
    let (class, first, new): (String, u32, Vec<usize>) = match into {
        Into::NewClass { name } => {
            let id = new_id();
            let body = ClassBody { name: (*name).to_owned(), gone: false, unknown: Default::default() };
            facts.push((id.clone(), Body::Class(body)));
            (id, 1, (0..list.len()).collect())
        }
        Into::Class { id, count, comparison } => ((*id).to_owned(), count + 1, comparison.new.clone()),
    };
    let mut added = Vec::new();
    for (order, index) in (first..).zip(new) {
        let mut runner = list[index].clone();
        runner.id = RunnerId(new_id());
        added.push(runner.id.0.clone());
        for (_, id, body) in bodies_for_runner(&runner, &class, order) {
            facts.push((id, body));
        }
    }
    if let Into::Class { comparison, .. } = into {
        for changed in &comparison.changed {
            let (child, new) = (&changed.existing, &list[changed.index]);
            if changed.fields.iter().any(|field| matches!(field, Field::Sex | Field::Age)) {
                facts.push((child.0.clone(), Body::RunnerAbout(merged(about(child), new))));
            }
            let mut measured = |on: Option<Date>, measured: Measured| {
                let body = MeasurementBody {
                    runner: child.0.clone(),
                    // Without a day it would stand before every dated one and never count.
                    on: Some(on.unwrap_or(today)),
                    measured,
                    void: false,
                    unknown: Default::default(),
                };
                facts.push((new_id(), Body::Measurement(body)));
            };
            for field in &changed.fields {
                match field {
                    Field::Sex | Field::Age => {}
                    Field::Stature => {
                        if let Some(stature_cm) = new.stature_cm {
                            measured(new.stature_date, Measured::Stature { stature_cm });
                        }
                    }
                    Field::LegLength => {
                        if let Some(leg_length_cm) = new.leg_length_cm {
                            measured(None, Measured::LegLength { leg_length_cm });
                        }
                    }
                    Field::StepLength => {
                        for step in &new.steps {
                            if matches!(step, StrideObservation::StepLength { .. }) {
                                measured(None, Measured::Steps { observation: step.clone() });
                            }
                        }
                    }
                }
            }
        }
    }
    let import = ImportBody {
        class: class.clone(),
        sha256: sha256.to_owned(),
        at_ms,
        runners: added,
        void: false,
        unknown: Default::default(),
    };
    facts.push((new_id(), Body::Import(import)));
    (class, facts)
}

/// What is stored, with what the list says over it.
fn merged(stored: RunnerAboutBody, new: &Runner) -> RunnerAboutBody {
    let mut about = RunnerAboutBody { sex: new.sex.or(stored.sex), ..stored };
    match new.age {
        Some(Age::Born(born)) => about.birth_date = Some(born),
        Some(Age::Years { age_y, on }) => (about.age_y, about.age_on) = (Some(age_y), on),
        None => {}
    }
    about
}

/// Returns a name for the class of a file: its name without folders and ending.
pub fn class_name_from_file(file: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    let words = stem.replace(['_', '-'], " ");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.is_empty()
        || ["class", "list", "export", "data", "book1"].contains(&words.to_lowercase().as_str())
    {
        String::new()
    } else {
        words
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::import::{Options, compare, read};
    use lanewright_model::runner::Sex;
    use lanewright_model::school::School;
    use std::collections::BTreeMap;

    const DAY: Date = jiff::civil::date(2026, 3, 2);

    fn list(text: &str) -> Vec<Runner> {
        read(text.as_bytes(), &Options::default()).unwrap().accept().unwrap()
    }

    struct Desk {
        stored: BTreeMap<(String, String), Body>,
        made: u32,
    }

    impl Desk {
        fn new() -> Self {
            Self { stored: BTreeMap::new(), made: 0 }
        }

        fn read_in(&mut self, text: &str, into: &Into) -> String {
            let list = list(text);
            let made = &mut self.made;
            let stored = &self.stored;
            let new_id = || {
                *made += 1;
                format!("018f3a1e-7b1c-7c3a-9d2e-{made:012}")
            };
            let about = |id: &RunnerId| match stored.get(&("runner-about".into(), id.0.clone())) {
                Some(Body::RunnerAbout(body)) => body.clone(),
                _ => RunnerAboutBody::default(),
            };
            let (class, facts) = facts(&list, into, "digest", DAY, 7, new_id, about);
            for (id, body) in facts {
                self.stored.insert((body.kind().into(), id), body);
            }
            class
        }

        fn school(&self) -> School {
            let values: Vec<_> =
                self.stored.iter().map(|((kind, id), body)| (kind, id, body.to_value())).collect();
            School::from_records(
                values.iter().map(|(kind, id, value)| (kind.as_str(), id.as_str(), value)),
                DAY,
            )
        }
    }

    const FIRST: &str = "name,sex,stature_cm,stature_date\nWren,F,143,2026-02-01\nUmi,,,\nPiran,M,,\n";

    #[test]
    fn a_list_becomes_a_class_with_its_children_in_order() {
        let mut desk = Desk::new();
        let class = desk.read_in(FIRST, &Into::NewClass { name: "7 Larch" });
        let school = desk.school();
        let class = &school.classes[&class];
        assert_eq!(class.name, "7 Larch");
        let labels: Vec<&str> = class.runners.iter().map(|view| view.runner.label.as_str()).collect();
        assert_eq!(labels, ["Wren", "Umi", "Piran"]);
        assert_eq!(class.runners[0].runner.stature_cm, Some(143.0));
        assert_eq!(class.imports[0].1.runners.len(), 3);
        assert_eq!(class.imports[0].1.sha256, "digest");
    }

    #[test]
    fn a_later_list_adds_new_children_and_new_facts_and_repeats_nothing() {
        let mut desk = Desk::new();
        let class = desk.read_in(FIRST, &Into::NewClass { name: "7 Larch" });
        let later = "name,sex,birth_date,stature_cm,stature_date,leg_length_cm,step_length_m\n\
                     Wren,F,,146,2026-03-01,,\nUmi,F,2014-05-17,,,74,1.30\nPiran,M,,,,,\nZelda,,,,,,\n";
        let runners = |school: &School| {
            school.classes[&class].runners.iter().map(|view| view.runner.clone()).collect::<Vec<_>>()
        };
        let existing = runners(&desk.school());
        let comparison = compare(&existing, &list(later));
        desk.read_in(later, &Into::Class { id: &class, count: 3, comparison: &comparison });
        let now = runners(&desk.school());
        assert_eq!(now.len(), 4);
        assert_eq!(now[0].id, existing[0].id);
        assert_eq!(now[0].stature_cm, Some(146.0));
        assert_eq!(now[0].stature_before.map(|(cm, _)| cm), Some(143.0), "growth is kept");
        assert_eq!((now[1].sex, now[1].leg_length_cm), (Some(Sex::Female), Some(74.0)));
        assert_eq!(now[1].steps.len(), 1);
        assert_eq!(now[3].label, "Zelda");

        // The same list once more brings nothing but the note that it was read.
        let comparison = compare(&now, &list(later));
        assert!(comparison.new.is_empty() && comparison.changed.is_empty(), "{comparison:?}");
        desk.read_in(later, &Into::Class { id: &class, count: 4, comparison: &comparison });
        assert_eq!(runners(&desk.school()), now);
    }

    #[test]
    fn a_list_leaves_alone_what_it_does_not_mention() {
        let mut desk = Desk::new();
        let class =
            desk.read_in("name,sex,birth_date\nWren,F,2014-02-04\n", &Into::NewClass { name: "7 Larch" });
        let existing: Vec<Runner> =
            desk.school().classes[&class].runners.iter().map(|view| view.runner.clone()).collect();
        let later = "name,birth_date\nWren,2014-02-05\n";
        let comparison = compare(&existing, &list(later));
        desk.read_in(later, &Into::Class { id: &class, count: 1, comparison: &comparison });
        let wren = &desk.school().classes[&class].runners[0].runner;
        assert_eq!(wren.sex, Some(Sex::Female));
        assert_eq!(wren.age, Some(Age::Born(jiff::civil::date(2014, 2, 5))));
    }

    #[test]
    fn class_names_come_from_file_names_that_say_something() {
        assert_eq!(class_name_from_file("7_Larch.csv"), "7 Larch");
        assert_eq!(class_name_from_file("C:\\lists\\8-Oak.txt"), "8 Oak");
        assert_eq!(class_name_from_file("export.csv"), "");
    }
}
