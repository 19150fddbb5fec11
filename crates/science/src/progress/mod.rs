//! What a class and each of its children can do by now, what really changed, and what comes next.
//!
//! Joins what other computations say of single lessons: the next step of [`crate::verdict`], and a change between
//! first and last lesson that is called one only when two different looks at it agree ([`crate::change`] on single
//! runs, the posterior of the clean rate on whole patterns). Method page: `docs/methods/progress.md`.

mod class;
mod shift;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use lanewright_model::drill::{Drill, Ladder};
use lanewright_model::run::{Observation, Run, Watched};
use serde::{Deserialize, Serialize};

use crate::decide::{Action, Decision, Known, Losses, Options, WATCHED_CLEAR_MIN, expected_losses};
use crate::verdict;

pub use class::{
    ClassChange, DrillDay, DrillProgress, LaneChange, LessonFacts, MEAN_CHILDREN_MIN, Spread, WALK_BACK_MPS,
};
pub use shift::{REAL_P, RateChange};

/// Name and version of the method.
pub const METHOD: &str = "progress/1";
/// Watched runs, latest first, in which a fault is looked for (engineering assumption: what was put right long ago is
/// not worked on).
pub const WATCHED_LOOK: usize = 4;
/// Among the latest so many of them the fault must be seen at least once (engineering assumption).
pub const WATCHED_LATEST: usize = 2;

/// How far a child is with one drill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reach {
    /// Clean, and with the technique watched: what `decide` calls moving on.
    Clean,
    /// Seen, and not clean yet.
    Working,
    /// Seen, but too little to say anything.
    SeenLittle,
    /// Not seen.
    NotSeen,
}

/// One child at one drill with hurdles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrillReach {
    /// Drill id.
    pub drill: String,
    /// How far.
    pub reach: Reach,
    /// What was said at the end of the last lesson in which it was seen; absent when it never was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decision: Option<Decision>,
    /// The lessons in which it was seen, earliest first.
    pub days: Vec<Date>,
    /// First lessons against last lessons, when there is enough in both.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub change: Option<RateChange>,
}

/// What a child works on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Focus {
    /// Drill id.
    pub drill: String,
    /// The fault seen most often in the latest watched runs; without one the drill's own cue is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fault: Option<String>,
    /// Watched runs with the fault.
    pub seen: u32,
    /// Watched runs looked at.
    pub of: u32,
}

/// What comes next for a child.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what", content = "drill")]
pub enum Next {
    /// A drill that is open now.
    Try(String),
    /// The same drill.
    OnceMore(String),
    /// The same drill with someone who looks at the technique: the hurdles stand already.
    BeWatched(String),
    /// An easier drill.
    Easier(String),
    /// Two more runs of the drill, so that something can be said.
    ShowMore(String),
    /// Every drill is clean: free runs and speed.
    Free,
    /// Nothing was seen so far.
    Begin,
}

/// One child.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChildProgress {
    /// Runner id.
    pub runner: String,
    /// Lessons in which something was seen, earliest first.
    pub days: Vec<Date>,
    /// Runs, sweeps not counted.
    pub runs: u32,
    /// Standing hurdles met in them.
    pub hurdles: u32,
    /// All drills with hurdles, in the order of the ladder.
    pub drills: Vec<DrillReach>,
    /// What to work on; absent when nothing was seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub focus: Option<Focus>,
    /// What comes next.
    pub next: Next,
}

impl ChildProgress {
    /// Returns the drills of one reach, in the order of the ladder.
    pub fn at(&self, reach: Reach) -> impl Iterator<Item = &DrillReach> {
        self.drills.iter().filter(move |drill| drill.reach == reach)
    }

    /// Returns the changes that are real, gains first.
    pub fn real_changes(&self) -> Vec<&DrillReach> {
        let real = |drill: &&DrillReach| drill.change.as_ref().is_some_and(RateChange::is_real);
        let mut real: Vec<&DrillReach> = self.drills.iter().filter(real).collect();
        real.sort_by_key(|drill| drill.change.as_ref().is_some_and(|change| !change.is_gain()));
        real
    }

    /// Returns whether anything can be said of any drill.
    pub fn is_seen_enough(&self) -> bool {
        self.drills.iter().any(|drill| matches!(drill.reach, Reach::Clean | Reach::Working))
    }
}

/// A class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClassProgress {
    /// Lessons, earliest first: a day is a lesson.
    pub days: Vec<Date>,
    /// Children in the order in which they were given.
    pub children: Vec<ChildProgress>,
    /// Drills that at least one child was seen at, in the order of the ladder.
    pub drills: Vec<DrillProgress>,
    /// What each lesson held.
    pub lessons: Vec<LessonFacts>,
    /// Gaps of lanes that were changed from one lesson to the next.
    pub lane_changes: Vec<LaneChange>,
    /// Name and version of the method.
    pub method: String,
}

impl ClassProgress {
    /// Returns the children of whom nothing can be said yet, in their order.
    pub fn not_seen_enough(&self) -> impl Iterator<Item = &ChildProgress> {
        self.children.iter().filter(|child| !child.is_seen_enough())
    }
}

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// Runner ids of the class, in the order in which they are to be returned. Runs of others are passed over.
    pub runners: &'a [&'a str],
    /// All drills.
    pub ladder: &'a Ladder,
    /// Offset of the school's clock from UTC, in seconds, so that a day is the school's day; −93,599 to 93,599.
    pub utc_offset_s: i32,
    /// What mistakes cost.
    pub losses: Losses,
}

/// Observations of one class with their days, oldest first.
struct Seen<'a> {
    all: Vec<(&'a Observation, Date)>,
    ladder: &'a Ladder,
    losses: Losses,
}

impl<'a> Seen<'a> {
    fn options(&self, now: Timestamp) -> Options {
        Options { now, losses: self.losses }
    }
}

fn at(observation: &Observation) -> Timestamp {
    match observation {
        Observation::Run(run) => run.at,
        Observation::Sweep(sweep) => sweep.at,
        Observation::Bout(bout) => bout.at,
    }
}

fn runner_of(observation: &Observation) -> &str {
    match observation {
        Observation::Run(run) => &run.runner,
        Observation::Sweep(sweep) => &sweep.runner,
        Observation::Bout(bout) => &bout.runner,
    }
}

/// Drill that a run or a sweep was of.
fn drill_of(observation: &Observation) -> Option<&str> {
    match observation {
        Observation::Run(run) => Some(&run.drill),
        Observation::Sweep(sweep) => Some(&sweep.drill),
        Observation::Bout(_) => None,
    }
}

/// Returns where the class and each of its children stand after all these observations.
///
/// Next steps are those of [`verdict::Class::verdicts`]: each drill as it stood at the end of the last lesson in which
/// it was seen.
pub fn progress(observations: &[Observation], ask: &Ask<'_>) -> ClassProgress {
    progress_with(observations, ask, None)
}

/// The same with what was learned of the class before, so that it says what others say who use that, too.
pub fn progress_with(observations: &[Observation], ask: &Ask<'_>, learned: Option<Known>) -> ClassProgress {
    let offset = Offset::from_seconds(ask.utc_offset_s).unwrap_or(Offset::UTC);
    let known: BTreeSet<&str> = ask.runners.iter().copied().collect();
    let mut all: Vec<(&Observation, Date)> = observations
        .iter()
        .filter(|seen| known.contains(runner_of(seen)))
        .map(|seen| (seen, offset.to_datetime(at(seen)).date()))
        .collect();
    all.sort_by_key(|(seen, _)| at(seen));
    let seen = Seen { all, ladder: ask.ladder, losses: ask.losses };
    let days: Vec<Date> = seen.all.iter().map(|(_, day)| *day).collect::<BTreeSet<_>>().into_iter().collect();
    let ask_verdict =
        verdict::Ask { ladder: ask.ladder, utc_offset_s: ask.utc_offset_s, losses: ask.losses, at: None };
    let class = verdict::Class::new(seen.all.iter().map(|(seen, _)| *seen), ask_verdict, learned);

    // Days of each child and drill; the last of them is when it is judged.
    let mut drill_days: BTreeMap<(&str, &str), BTreeSet<Date>> = BTreeMap::new();
    for (observation, day) in &seen.all {
        if let Some(drill) = drill_of(observation) {
            drill_days.entry((runner_of(observation), drill)).or_default().insert(*day);
        }
    }
    let decisions: BTreeMap<(String, String), Decision> = class
        .verdicts(None)
        .into_iter()
        .map(|decision| ((decision.runner.clone(), decision.drill.clone()), decision))
        .collect();
    let changes = shift::changes(&seen, class.known(), &drill_days);
    let children: Vec<ChildProgress> =
        ask.runners.iter().map(|runner| child(runner, &seen, &drill_days, &decisions, &changes)).collect();
    let drills = class::drills(&seen, &children, &days);
    let lessons = class::lessons(&seen, &days, observations, ask);
    let lane_changes = class::lane_changes(&seen, &days);
    ClassProgress { days, children, drills, lessons, lane_changes, method: METHOD.to_owned() }
}

fn child(
    runner: &str,
    seen: &Seen<'_>,
    drill_days: &BTreeMap<(&str, &str), BTreeSet<Date>>,
    decisions: &BTreeMap<(String, String), Decision>,
    changes: &BTreeMap<(String, String), RateChange>,
) -> ChildProgress {
    let own: Vec<(&Observation, Date)> =
        seen.all.iter().filter(|(observation, _)| runner_of(observation) == runner).copied().collect();
    let runs: Vec<&Run> = own
        .iter()
        .filter_map(|(observation, _)| match observation {
            Observation::Run(run) if run.standing() > 0 => Some(run),
            _ => None,
        })
        .collect();
    let drills: Vec<DrillReach> = seen
        .ladder
        .drills()
        .iter()
        .filter(|drill| drill.gap.is_some())
        .map(|drill| {
            let key = (runner.to_owned(), drill.id.0.clone());
            let decision = decisions.get(&key).cloned();
            let days = drill_days.get(&(runner, drill.id.0.as_str()));
            DrillReach {
                drill: drill.id.0.clone(),
                reach: reach_of(decision.as_ref()),
                decision,
                days: days.iter().flat_map(|days| days.iter().copied()).collect(),
                change: changes.get(&key).cloned(),
            }
        })
        .collect();
    let days: Vec<Date> = own.iter().map(|(_, day)| *day).collect::<BTreeSet<_>>().into_iter().collect();
    let focus = focus_of(seen.ladder, &drills, &runs);
    let next = next_of(seen, &drills, focus.as_ref());
    ChildProgress {
        runner: runner.to_owned(),
        days,
        runs: runs.len() as u32,
        hurdles: runs.iter().map(|run| run.standing()).sum(),
        drills,
        focus,
        next,
    }
}

fn reach_of(decision: Option<&Decision>) -> Reach {
    match decision.map(|decision| decision.action) {
        None => Reach::NotSeen,
        Some(Action::NotEnoughSeen) => Reach::SeenLittle,
        Some(Action::MoveOn) => Reach::Clean,
        Some(Action::Repeat | Action::StepBack) => Reach::Working,
    }
}

/// The hardest drill of the child's latest lesson with hurdles that is not clean yet; if all are clean, the hardest
/// of them. The order of the ladder says what is harder.
fn focus_of(ladder: &Ladder, drills: &[DrillReach], runs: &[&Run]) -> Option<Focus> {
    let last = drills.iter().filter_map(|drill| drill.days.last()).max()?;
    let latest = || drills.iter().rev().filter(|drill| drill.days.last() == Some(last));
    let chosen = latest().find(|drill| drill.reach != Reach::Clean).or_else(|| latest().next())?;
    let drill = ladder.get(&chosen.drill)?;
    let (fault, seen, of) = fault_of(drill, runs);
    Some(Focus { drill: chosen.drill.clone(), fault, seen, of })
}

/// The fault seen most often in the latest watched runs: the key fault first where counts are equal, then the order in
/// which the drill lists them.
fn fault_of(drill: &Drill, runs: &[&Run]) -> (Option<String>, u32, u32) {
    let watched: Vec<&Run> = runs
        .iter()
        .rev()
        .filter(|run| run.drill == drill.id.0 && run.watched == Watched::Technique)
        .take(WATCHED_LOOK)
        .copied()
        .collect();
    let of = watched.len() as u32;
    let times = |fault: &str| watched.iter().filter(|run| run.faults.iter().any(|own| own == fault)).count();
    let latest = &watched[..watched.len().min(WATCHED_LATEST)];
    let mut faults: Vec<&str> = drill.key_fault.iter().chain(&drill.faults).map(String::as_str).collect();
    faults.extend(watched.iter().flat_map(|run| run.faults.iter().map(String::as_str)));
    let mut best: Option<(&str, usize)> = None;
    for fault in faults {
        let recent = latest.iter().any(|run| run.faults.iter().any(|own| own == fault));
        if recent && best.is_none_or(|(_, most)| times(fault) > most) {
            best = Some((fault, times(fault)));
        }
    }
    match best {
        Some((fault, seen)) => (Some(fault.to_owned()), seen as u32, of),
        None => (None, 0, of),
    }
}

fn next_of(seen: &Seen<'_>, drills: &[DrillReach], focus: Option<&Focus>) -> Next {
    let Some(focus) = focus else { return Next::Begin };
    let own = drills.iter().find(|drill| drill.drill == focus.drill);
    let (Some(own), Some(drill)) = (own, seen.ladder.get(&focus.drill)) else { return Next::Begin };
    let Some(decision) = &own.decision else { return Next::Begin };
    let is_clean = |id: &str| drills.iter().any(|drill| drill.drill == id && drill.reach == Reach::Clean);
    match decision.action {
        Action::NotEnoughSeen => Next::ShowMore(focus.drill.clone()),
        Action::StepBack => match drill.easier.first().or(drill.needs.first()) {
            Some(easier) => Next::Easier(easier.0.clone()),
            None => Next::OnceMore(focus.drill.clone()),
        },
        Action::Repeat => {
            let [on, repeat, back] = expected_losses(decision.p_up, decision.p_back, &seen.losses);
            let only_watching =
                on < repeat.min(back) && decision.watched_clear < WATCHED_CLEAR_MIN && focus.fault.is_none();
            if only_watching {
                Next::BeWatched(focus.drill.clone())
            } else {
                Next::OnceMore(focus.drill.clone())
            }
        }
        Action::MoveOn => {
            // A drill counts as ready when it is clean, or when what needs it is.
            let ready = |id: &str| {
                is_clean(id)
                    || drills.iter().any(|higher| {
                        higher.reach == Reach::Clean
                            && seen
                                .ladder
                                .get(&higher.drill)
                                .is_some_and(|higher| higher.needs.iter().any(|need| need.0 == id))
                    })
            };
            let open = |candidate: &&Drill| {
                candidate.gap.is_some()
                    && !is_clean(&candidate.id.0)
                    && candidate.needs.iter().all(|need| ready(&need.0))
            };
            let after = |candidate: &&Drill| candidate.needs.iter().any(|need| need.0 == focus.drill);
            let all = seen.ladder.drills();
            let found = all.iter().filter(open).find(after).or_else(|| {
                let place = all.iter().position(|own| own.id == drill.id).unwrap_or(0);
                all[place..].iter().find(open).or_else(|| all.iter().find(open))
            });
            found.map_or(Next::Free, |drill| Next::Try(drill.id.0.clone()))
        }
    }
}
