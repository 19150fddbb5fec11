//! Hurdles that explain some of a child's knocks: to be looked at before the child is.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_model::run::{HurdleSet, Observation, Run, setup_words};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{Class, Moment};
use crate::cause::{Causes, lane_words, setups};
use crate::decide::{Action, Decision, Rate};

/// A hurdle that is found worse than others and that this child knocked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Doubted {
    /// Lane letter; empty when not given.
    pub lane: String,
    /// The lane as it stood.
    pub setup: String,
    /// Hurdle number, counted from 1.
    pub hurdle: u32,
    /// Times this child knocked it.
    pub knocks: u32,
    /// Times this child met it standing.
    pub met: u32,
}

/// What would be said of the child without the hurdles in doubt.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WithoutThem {
    /// The next step.
    pub action: Action,
    /// Probability that the runs are clean enough to move on.
    pub p_up: f64,
    /// Clean rate.
    pub clean_rate: Rate,
}

/// What is to be looked at before a child.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneDoubts {
    /// The hurdles, by lane and number.
    pub places: Vec<Doubted>,
    /// The verdict with these hurdles left out of the child's runs.
    pub without: WithoutThem,
}

/// What was found about the lanes of some runs.
#[derive(Debug, Default)]
pub struct Lanes {
    /// Of each run, by runner and moment: its lane, and the lane as it stood.
    laid: BTreeMap<(String, i64), (String, String)>,
    /// Hurdles in doubt, by the lane as it stood.
    hurdles: BTreeMap<String, HurdleSet>,
    /// Letters of lanes that were laid more than once.
    laid_often: BTreeSet<String>,
}

impl Lanes {
    /// Takes in what was found from these runs. Nothing found: nothing is doubted.
    pub fn new(runs: &[&Run], causes: Option<&Causes>) -> Self {
        let Some(causes) = causes else { return Self::default() };
        let mut lanes = Self::default();
        for slot in causes.blamed() {
            let set = lanes.hurdles.entry(slot.setup.clone()).or_default();
            *set = HurdleSet(set.0 | 1 << (slot.hurdle - 1));
        }
        let mut letters: BTreeMap<&str, u32> = BTreeMap::new();
        for lane in &causes.lanes {
            *letters.entry(&lane.lane).or_default() += 1;
        }
        lanes.laid_often =
            letters.into_iter().filter(|(_, laid)| *laid > 1).map(|(letter, _)| letter.to_owned()).collect();
        if !lanes.hurdles.is_empty() {
            for (run, setup) in runs.iter().zip(setups(runs)) {
                lanes.laid.insert((run.runner.clone(), run.at.as_millisecond()), (run.lane.clone(), setup));
            }
        }
        lanes
    }

    /// Returns the hurdles in doubt that a run went over.
    fn doubted(&self, run: &Run) -> HurdleSet {
        let setup = self.setup_of(run);
        setup.and_then(|setup| self.hurdles.get(setup)).copied().unwrap_or_default()
    }

    fn setup_of(&self, run: &Run) -> Option<&str> {
        let (lane, setup) = self.laid.get(&(run.runner.clone(), run.at.as_millisecond()))?;
        (*lane == run.lane).then_some(setup.as_str())
    }

    /// Says in a child's verdict what is to be looked at first, and what the verdict would be without it. Nothing is
    /// said of a hurdle that does not speak against the child.
    pub(super) fn doubt(&self, class: &Class<'_>, moment: &Moment<'_>, decision: &mut Decision) {
        if self.laid.is_empty() {
            return;
        }
        let key = (decision.runner.clone(), decision.drill.clone());
        let own = || {
            moment.evidence.iter().filter_map(|observation| match observation {
                Observation::Run(run) if (&run.runner, &run.drill) == (&key.0, &key.1) => Some(run),
                _ => None,
            })
        };
        let mut hurdles: BTreeMap<(&str, &str, u32), (u32, u32)> = BTreeMap::new();
        for run in own() {
            let Some(setup) = self.setup_of(run) else { continue };
            for number in self.doubted(run).numbers() {
                if number <= run.hurdles && !run.down_before.contains(number) {
                    let count = hurdles.entry((&run.lane, setup, number)).or_default();
                    *count = (count.0 + u32::from(run.knocked.contains(number)), count.1 + 1);
                }
            }
        }
        let places: Vec<Doubted> = hurdles
            .into_iter()
            .filter(|(_, (knocks, _))| *knocks > 0)
            .map(|((lane, setup, hurdle), (knocks, met))| Doubted {
                lane: lane.to_owned(),
                setup: setup.to_owned(),
                hurdle,
                knocks,
                met,
            })
            .collect();
        if places.is_empty() {
            return;
        }
        let Some(without) = self.without(class, moment, &key) else { return };
        // A child who knocks these hurdles no more than others owes them nothing.
        if without.clean_rate.mean <= decision.clean_rate.mean {
            return;
        }
        let enough = |decision: &Decision| decision.why.iter().any(|why| why.id == "why-clean-enough");
        let then = Message::new(match without.action {
            Action::MoveOn => "why-lane-then-move-on",
            Action::Repeat if enough(&without) => "why-lane-then-watch",
            Action::Repeat => "why-lane-then-repeat",
            Action::StepBack => "why-lane-then-step-back",
            Action::NotEnoughSeen => "why-lane-then-not-enough",
        });
        let same = without.action == decision.action && enough(&without) == enough(decision);
        let mut words: Vec<Message> = places.iter().map(|place| self.look_at(place)).collect();
        words.push(
            Message::new(if same { "why-lane-without-same" } else { "why-lane-without" })
                .with("hurdles", Arg::Count(places.len() as i64))
                .with("mean", Arg::OfHundred(without.clean_rate.mean))
                .with("low", Arg::OfHundred(without.clean_rate.low))
                .with("high", Arg::OfHundred(without.clean_rate.high))
                .with("then", Arg::Say(Box::new(then))),
        );
        // What one leg did there, the hurdle may have done.
        if without.leg.is_none() {
            decision.leg = None;
            decision.why.retain(|why| !matches!(why.id.as_str(), "why-left-leg" | "why-right-leg"));
        }
        // Behind what was seen and what follows from it.
        let place = decision.why.len().min(2);
        decision.why.splice(place..place, words);
        let without =
            WithoutThem { action: without.action, p_up: without.p_up, clean_rate: without.clean_rate };
        decision.lanes = Some(LaneDoubts { places, without });
    }

    fn look_at(&self, place: &Doubted) -> Message {
        let often = self.laid_often.contains(&place.lane);
        Message::new(if often { "why-lane-hurdle-setup" } else { "why-lane-hurdle" })
            .with("lane", lane_words(&place.lane))
            .with("setup", setup_words(&place.setup))
            .with("hurdle", Arg::Count(i64::from(place.hurdle)))
            .with("knocks", Arg::Count(i64::from(place.knocks)))
            .with("met", Arg::Count(i64::from(place.met)))
    }

    /// Judges the child once more, the hurdles in doubt taken for hurdles that lay on the floor.
    fn without(&self, class: &Class<'_>, moment: &Moment<'_>, key: &(String, String)) -> Option<Decision> {
        let left: Vec<Observation> = moment
            .evidence
            .iter()
            .filter(|observation| observation.runner() == key.0)
            .map(|observation| match observation {
                Observation::Run(run) => {
                    let doubted = self.doubted(run).0;
                    Observation::Run(Run {
                        knocked: HurdleSet(run.knocked.0 & !doubted),
                        down_before: HurdleSet(run.down_before.0 | doubted & lane_of(run.hurdles)),
                        ..run.clone()
                    })
                }
                other => (*other).clone(),
            })
            .collect();
        let left: Vec<&Observation> = left.iter().collect();
        let due = BTreeSet::from([(key.0.as_str(), key.1.as_str())]);
        class.judged(moment.now, &left, &due).pop()
    }
}

/// All hurdles of a lane.
fn lane_of(hurdles: u32) -> u64 {
    if hurdles >= 64 { u64::MAX } else { (1 << hurdles) - 1 }
}
