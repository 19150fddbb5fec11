//! What Trackside keeps of a class between two runs, so that one more run costs next to nothing.
//!
//! A run changes what is known of one child; what is typical of the class is learned anew in a pause. So after a run
//! only that child's runs are gone through, with the class's parameters as they were last learned.

use std::collections::BTreeMap;

use lanewright_model::run::{Observation, Run};
use lanewright_model::school::ClassView;
use lanewright_model::{Ladder, Message};
use lanewright_science::decide::after::after_run;
use lanewright_science::decide::{ClassModel, Known, Options};
use lanewright_science::watch::{Look, Outcomes, WatchNext, look, order};

use super::trackside::Child;

/// See the top of this file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Kept {
    known: Known,
    outcomes: BTreeMap<String, Outcomes>,
    looks: BTreeMap<(String, String), (u64, Look)>,
}

impl Kept {
    /// Learns what is typical of the class.
    pub fn learn(seen: &[Observation], ladder: &Ladder, options: &Options) -> Self {
        Self::of(ClassModel::learn(seen, ladder, options).known())
    }

    /// Begins with what was learned already.
    pub fn of(known: Known) -> Self {
        Self { known, ..Self::default() }
    }

    /// Returns the sentence after a run. `own` are all observations of its runner.
    pub fn sentence(&self, run: &Run, own: &[Observation], ladder: &Ladder, options: &Options) -> Message {
        after_run(&ClassModel::with(own, ladder, options, &self.known), run, options)
    }

    /// Returns whom of the given children to watch next at that drill, or `None` when no look would change anything
    /// and nobody has gone unseen for long. Children stand in the order of their queue; it decides between equals.
    pub fn watch_next(
        &mut self,
        children: &[Child],
        drill: &str,
        own_of: impl Fn(&str) -> Vec<Observation>,
        ladder: &Ladder,
        options: &Options,
    ) -> Option<WatchNext> {
        let looks =
            children.iter().map(|child| self.look(&child.id, drill, &own_of(&child.id), ladder, options));
        let first = order(looks.collect(), options.now).into_iter().next()?;
        (first.why.id != "watch-clear").then_some(first)
    }

    /// Looks a child up; what is kept serves until the child's own runs change.
    fn look(
        &mut self,
        runner: &str,
        drill: &str,
        own: &[Observation],
        ladder: &Ladder,
        options: &Options,
    ) -> Look {
        let state = fingerprint(own);
        let key = (runner.to_owned(), drill.to_owned());
        match self.looks.get(&key) {
            Some((known, look)) if *known == state => return look.clone(),
            _ => {}
        }
        let model = ClassModel::with(own, ladder, options, &self.known);
        let outcomes = self.outcomes.entry(drill.to_owned()).or_insert_with(|| Outcomes::new(&model, drill));
        let look = look(&model, outcomes, own, runner, options);
        self.looks.insert(key, (state, look.clone()));
        look
    }
}

/// Returns a number that changes when what was seen changes: another run, a correction, a run taken out.
fn fingerprint(own: &[Observation]) -> u64 {
    own.iter().fold(own.len() as u64, |state, observation| {
        let parts = match observation {
            Observation::Run(run) => [
                run.at.as_millisecond() as u64,
                run.knocked.0,
                run.down_before.0,
                u64::from(run.hurdles) << 8 | run.faults.len() as u64,
            ],
            Observation::Sweep(sweep) => [sweep.at.as_millisecond() as u64, u64::from(sweep.got_it), 1, 1],
            Observation::Bout(_) => [0; 4],
        };
        parts
            .into_iter()
            .fold(state, |state, part| (state ^ part).wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(29))
    })
}

/// Returns what was seen of one child of a class.
pub fn seen_of(class: &ClassView, runner: &str) -> Vec<Observation> {
    let runs = class.runs.iter().filter(|view| view.run.runner == runner);
    let sweeps = class.sweeps.iter().filter(|(_, sweep)| sweep.runner == runner);
    runs.map(|view| Observation::Run(view.run.clone()))
        .chain(sweeps.map(|(_, sweep)| Observation::Sweep(sweep.clone())))
        .collect()
}

/// A class of 32 children with ten runs each, for measuring what one more run costs, here and in the browser.
pub struct OneMoreRun {
    kept: Kept,
    seen: Vec<Vec<Observation>>,
    children: Vec<Child>,
    ladder: Ladder,
    options: Options,
    seed: u64,
}

/// Children of the measured class.
const COST_CHILDREN: usize = 32;
/// Runs of each of them.
const COST_RUNS: usize = 10;
/// Children who share the lane of the child who ran.
const COST_LANE: usize = 8;

impl OneMoreRun {
    /// Invents the class and learns what is typical of it.
    ///
    /// # Panics
    /// Never: the moment it begins with is a valid one.
    pub fn new() -> Self {
        let now = jiff::Timestamp::from_second(1_772_446_445).expect("a moment in 2026");
        let children: Vec<Child> = (0..COST_CHILDREN)
            .map(|child| Child { id: format!("r{child:02}"), name: format!("Child {child}") })
            .collect();
        let mut cost = Self {
            kept: Kept::default(),
            seen: vec![Vec::new(); COST_CHILDREN],
            children,
            ladder: Ladder::built_in(),
            options: Options { now, losses: Default::default() },
            seed: 3,
        };
        for _ in 0..COST_RUNS {
            for child in 0..COST_CHILDREN {
                let run = cost.run(child);
                cost.seen[child].push(Observation::Run(run));
            }
        }
        let all: Vec<Observation> = cost.seen.iter().flatten().cloned().collect();
        cost.kept = Kept::learn(&all, &cost.ladder, &cost.options);
        cost
    }

    /// Takes in one more run of a child: the sentence, and whom of the lane to watch next. Returns a number that
    /// depends on both, for comparing. The run is not kept, so every call does the same work.
    pub fn take(&mut self, child: usize) -> f64 {
        let child = child % COST_CHILDREN;
        let run = self.run(child);
        self.seen[child].push(Observation::Run(run.clone()));
        let said = self.kept.sentence(&run, &self.seen[child], &self.ladder, &self.options);
        let from = child / COST_LANE * COST_LANE;
        let (lane, seen) = (&self.children[from..from + COST_LANE], &self.seen);
        let own_of =
            |id: &str| id[1..].parse().map_or_else(|_| Vec::new(), |child: usize| seen[child].clone());
        let next = self.kept.watch_next(lane, &run.drill, own_of, &self.ladder, &self.options);
        self.seen[child].pop();
        said.id.len() as f64 + next.map_or(0.0, |next| next.worth)
    }

    fn run(&mut self, child: usize) -> Run {
        let mut unit = || {
            self.seed =
                self.seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.seed >> 11) as f64 / (1u64 << 53) as f64
        };
        let p = 0.02 + 0.2 * (child % 7) as f64 / 7.0;
        let mut bits = 0u64;
        let mut fell = false;
        for number in 0..8 {
            fell = unit() < if fell { 0.5 } else { p };
            bits |= u64::from(fell) << number;
        }
        let drill = ["alternate-run", "alternate-walk", "two-contact-run", "alternate-run"];
        let minutes = (unit() * 200.0) as i64;
        Run {
            runner: format!("r{child:02}"),
            drill: drill[(unit() * 4.0) as usize % 4].into(),
            lane: "A".into(),
            class: None,
            at: self.options.now - jiff::SignedDuration::from_mins(minutes),
            lead: None,
            hurdles: 8,
            knocked: lanewright_model::run::HurdleSet(bits),
            down_before: Default::default(),
            watched: lanewright_model::run::Watched::Technique,
            faults: vec![],
            effort: Some(0.6),
            exit_sprint: false,
            gap_m: Some(1.25),
            height_cm: Some(30.0),
            setup: "A/1.25/30".into(),
            source: lanewright_model::run::Source::Tap,
        }
    }
}

impl Default for OneMoreRun {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_science::watch;

    fn of(cost: &OneMoreRun) -> impl Fn(&str) -> Vec<Observation> + use<> {
        let seen = cost.seen.clone();
        move |id: &str| seen[id[1..].parse::<usize>().unwrap()].clone()
    }

    #[test]
    fn what_is_kept_says_what_the_whole_class_says() {
        let mut cost = OneMoreRun::new();
        let all: Vec<Observation> = cost.seen.iter().flatten().cloned().collect();
        let model = ClassModel::learn(&all, &cost.ladder, &cost.options);
        let lane = cost.children[8..16].to_vec();
        let candidates: Vec<(String, String)> =
            lane.iter().map(|child| (child.id.clone(), "alternate-run".to_owned())).collect();
        let whole = watch::next(&model, &all, &candidates, &cost.options).remove(0);
        let (own_of, ladder, options) = (of(&cost), cost.ladder.clone(), cost.options);
        let kept = cost.kept.watch_next(&lane, "alternate-run", &own_of, &ladder, &options).unwrap();
        assert_eq!(kept, whole);
        // Asked again, what is kept answers the same.
        assert_eq!(cost.kept.watch_next(&lane, "alternate-run", &own_of, &ladder, &options), Some(kept));
        let Some(Observation::Run(run)) = cost.seen[9].last() else { panic!("a run") };
        assert_eq!(
            cost.kept.sentence(run, &cost.seen[9], &ladder, &options),
            after_run(&model, run, &options)
        );
    }

    #[test]
    fn whoever_was_just_watched_gives_way_and_a_correction_is_noticed() {
        let cost = OneMoreRun::new();
        let (ladder, options) = (cost.ladder.clone(), cost.options);
        let mut kept = cost.kept.clone();
        let lane = cost.children[..8].to_vec();
        let first = kept.watch_next(&lane, "alternate-run", of(&cost), &ladder, &options).unwrap();
        let seen_now = |id: &str| {
            let mut own = of(&cost)(id);
            if id == first.runner {
                let Some(Observation::Run(run)) = own.last().cloned() else { panic!("a run") };
                own.push(Observation::Run(Run { at: options.now, ..run }));
            }
            own
        };
        let second = kept.watch_next(&lane, "alternate-run", seen_now, &ladder, &options).unwrap();
        assert_ne!(first.runner, second.runner, "the longest unseen child was seen");
        // The run is taken out again.
        assert_eq!(kept.watch_next(&lane, "alternate-run", of(&cost), &ladder, &options), Some(first));
    }

    #[test]
    fn nobody_is_named_when_no_look_would_change_anything() {
        let cost = OneMoreRun::new();
        let options = cost.options;
        let clean = |id: &str| -> Vec<Observation> {
            (0..12)
                .map(|minute| {
                    Observation::Run(Run {
                        runner: id.to_owned(),
                        drill: "alternate-run".into(),
                        knocked: Default::default(),
                        at: options.now - jiff::SignedDuration::from_secs(minute * 10),
                        ..match &cost.seen[0][0] {
                            Observation::Run(run) => run.clone(),
                            _ => panic!("a run"),
                        }
                    })
                })
                .collect()
        };
        let lane = cost.children[..3].to_vec();
        let mut kept = Kept::default();
        assert_eq!(kept.watch_next(&lane, "alternate-run", clean, &cost.ladder, &options), None);
    }
}
