//! The class as a whole: how many are where, how clean rates went from lesson to lesson, what each lesson held, and
//! what was changed about the lanes.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use lanewright_model::drill::Ladder;
use lanewright_model::run::{Observation, Run};
use serde::{Deserialize, Serialize};

use super::{Ask, ChildProgress, Reach, Seen, at, runner_of};
use crate::contacts::{self, RUN_ON_CONTACTS, RunSteps, Unrecorded};
use crate::decide::Rate;
use crate::flow::Paces;
use crate::lesson::{RUN_STEPS_HZ, WALK_STEPS_HZ};
use crate::student;

/// Fewest children whose mean is shown with a range (engineering assumption: a range from two says nothing).
pub const MEAN_CHILDREN_MIN: usize = 3;
/// Speed of the way back in metres per second, as planned lessons have it (engineering assumption).
pub const WALK_BACK_MPS: f64 = 1.3;
/// Upper end of a 90 % interval.
const P_INTERVAL: f64 = 0.95;
/// A change of the class is told from none outside the 95 % interval.
const P_TOLD: f64 = 0.975;

/// A drill in one lesson.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrillDay {
    /// The lesson.
    pub day: Date,
    /// Children with runs.
    pub children: u32,
    /// Runs.
    pub runs: u32,
    /// Share of the standing hurdles that stayed up: mean over children, with its 90 % interval. From fewer than
    /// [`MEAN_CHILDREN_MIN`] children the interval is 0 to 1.
    pub clean_rate: Rate,
}

/// First lesson of a drill against its last one, from the children who were seen in both.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClassChange {
    /// First lesson.
    pub from: Date,
    /// Last lesson.
    pub to: Date,
    /// Children seen in both.
    pub children: u32,
    /// Their mean before.
    pub before: f64,
    /// Their mean after.
    pub after: f64,
    /// After minus before: mean over children with its 90 % interval.
    pub difference: Rate,
    /// The 95 % interval leaves out no change.
    pub told: bool,
}

/// One drill and the class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrillProgress {
    /// Drill id.
    pub drill: String,
    /// Children for whom it is clean.
    pub clean: u32,
    /// Children who work on it.
    pub working: u32,
    /// Children who were seen too little at it.
    pub seen_little: u32,
    /// Children who were not seen at it.
    pub not_seen: u32,
    /// Lesson by lesson, earliest first.
    pub days: Vec<DrillDay>,
    /// What changed, when at least [`MEAN_CHILDREN_MIN`] children were seen in two lessons.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub change: Option<ClassChange>,
}

/// A middle value with the least and the greatest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Half of the children have less, half more.
    pub middle: f64,
    /// The least of all children.
    pub least: f64,
    /// The greatest.
    pub most: f64,
}

impl Spread {
    fn of(mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        let count = values.len();
        if count == 0 {
            return Self { middle: 0.0, least: 0.0, most: 0.0 };
        }
        let middle = 0.5 * (values[(count - 1) / 2] + values[count / 2]);
        Self { middle, least: values[0], most: values[count - 1] }
    }
}

/// What one lesson held, as far as it was recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LessonFacts {
    /// The day.
    pub day: Date,
    /// Runner ids that were seen, in the order of the class.
    pub seen: Vec<String>,
    /// Runs.
    pub runs: u32,
    /// Runs of a child, among those seen.
    pub runs_per_child: Spread,
    /// Foot contacts of a child.
    pub contacts_per_child: Spread,
    /// Minutes in which a child ran or walked back, reckoned from the recorded runs.
    pub moving_min_per_child: Spread,
    /// Minutes from the first recorded moment to the last.
    pub minutes: f64,
}

/// A gap or height that was laid otherwise than in the lesson of that lane and drill before.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneChange {
    /// Lane letter.
    pub lane: String,
    /// Drill id.
    pub drill: String,
    /// The lesson before.
    pub from: Date,
    /// The lesson with the change.
    pub to: Date,
    /// Gap before, in metres.
    pub from_gap_m: f64,
    /// Gap after.
    pub to_gap_m: f64,
    /// Height before, in centimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_height_cm: Option<f64>,
    /// Height after.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_height_cm: Option<f64>,
}

pub(super) fn drills(seen: &Seen<'_>, children: &[ChildProgress], days: &[Date]) -> Vec<DrillProgress> {
    let mut found = Vec::new();
    for drill in seen.ladder.drills().iter().filter(|drill| drill.gap.is_some()) {
        let reaches: Vec<Reach> = children
            .iter()
            .filter_map(|child| child.drills.iter().find(|own| own.drill == drill.id.0))
            .map(|own| own.reach)
            .collect();
        let count = |reach: Reach| reaches.iter().filter(|own| **own == reach).count() as u32;
        if count(Reach::NotSeen) as usize == children.len() {
            continue;
        }
        let by_day: Vec<(Date, BTreeMap<&str, Vec<&Run>>)> = days
            .iter()
            .map(|day| (*day, runs_of(seen, *day, &drill.id.0)))
            .filter(|(_, own)| !own.is_empty())
            .collect();
        found.push(DrillProgress {
            drill: drill.id.0.clone(),
            clean: count(Reach::Clean),
            working: count(Reach::Working),
            seen_little: count(Reach::SeenLittle),
            not_seen: count(Reach::NotSeen),
            change: change(&by_day),
            days: by_day.iter().map(|(day, own)| drill_day(*day, own)).collect(),
        });
    }
    found
}

/// Runs of one lesson at one drill without an exit sprint, by runner.
fn runs_of<'a>(seen: &Seen<'a>, day: Date, drill: &str) -> BTreeMap<&'a str, Vec<&'a Run>> {
    let mut own: BTreeMap<&str, Vec<&Run>> = BTreeMap::new();
    for (observation, on) in &seen.all {
        if let Observation::Run(run) = observation
            && *on == day
            && run.drill == drill
            && run.standing() > 0
            && !run.exit_sprint
        {
            own.entry(&run.runner).or_default().push(run);
        }
    }
    own
}

fn share(runs: &[&Run]) -> f64 {
    let stood: u32 = runs.iter().map(|run| run.standing() - run.knocked.count()).sum();
    let of: u32 = runs.iter().map(|run| run.standing()).sum();
    f64::from(stood) / f64::from(of.max(1))
}

fn drill_day(day: Date, own: &BTreeMap<&str, Vec<&Run>>) -> DrillDay {
    let shares: Vec<f64> = own.values().map(|runs| share(runs)).collect();
    let (mean, half) = mean_and_half(&shares, P_INTERVAL);
    let clean_rate = Rate { mean, low: (mean - half).max(0.0), high: (mean + half).min(1.0) };
    DrillDay {
        day,
        children: own.len() as u32,
        runs: own.values().map(|runs| runs.len() as u32).sum(),
        clean_rate,
    }
}

/// Mean over children and half of its interval, from Student's t; the whole range when they are few.
fn mean_and_half(values: &[f64], p: f64) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count.max(1.0);
    if values.len() < MEAN_CHILDREN_MIN {
        return (mean, 1.0);
    }
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    let error = (squares / (count - 1.0) / count).sqrt();
    (mean, student::quantile(p, count - 1.0) * error)
}

fn change(by_day: &[(Date, BTreeMap<&str, Vec<&Run>>)]) -> Option<ClassChange> {
    let (from, first) = by_day.first()?;
    let (to, last) = by_day.last()?;
    if from == to {
        return None;
    }
    let pairs: Vec<(f64, f64)> =
        first.iter().filter_map(|(runner, runs)| Some((share(runs), share(last.get(runner)?)))).collect();
    if pairs.len() < MEAN_CHILDREN_MIN {
        return None;
    }
    let differences: Vec<f64> = pairs.iter().map(|(before, after)| after - before).collect();
    let (mean, half) = mean_and_half(&differences, P_INTERVAL);
    let (_, told_half) = mean_and_half(&differences, P_TOLD);
    let count = pairs.len() as f64;
    Some(ClassChange {
        from: *from,
        to: *to,
        children: pairs.len() as u32,
        before: pairs.iter().map(|(before, _)| before).sum::<f64>() / count,
        after: pairs.iter().map(|(_, after)| after).sum::<f64>() / count,
        difference: Rate { mean, low: (mean - half).max(-1.0), high: (mean + half).min(1.0) },
        told: mean.abs() > told_half,
    })
}

pub(super) fn lessons(
    seen: &Seen<'_>,
    days: &[Date],
    observations: &[Observation],
    ask: &Ask<'_>,
) -> Vec<LessonFacts> {
    let unrecorded = Unrecorded { utc_offset_s: ask.utc_offset_s, ..Unrecorded::default() };
    let counted = contacts::count(observations, ask.ladder, &unrecorded);
    days.iter()
        .map(|day| {
            let own: Vec<&Observation> =
                seen.all.iter().filter(|(_, on)| on == day).map(|(observation, _)| *observation).collect();
            let present: BTreeSet<&str> = own.iter().map(|observation| runner_of(observation)).collect();
            let of_child = |runner: &str| -> Vec<&Run> {
                own.iter()
                    .filter_map(|observation| match observation {
                        Observation::Run(run) if run.runner == runner => Some(run),
                        _ => None,
                    })
                    .collect()
            };
            let mut runs = 0;
            let (mut counts, mut contacts, mut moving) = (Vec::new(), Vec::new(), Vec::new());
            for runner in &present {
                let mine = of_child(runner);
                runs += mine.len() as u32;
                counts.push(mine.len() as f64);
                let tally = counted.get(*runner).and_then(|child| child.days.get(day)).copied();
                let tally = tally.unwrap_or_default();
                contacts.push(f64::from(tally.a + tally.b + tally.c + tally.d));
                let seconds: f64 = mine.iter().map(|run| moving_s(run, ask.ladder)).sum();
                moving.push(seconds / 60.0);
            }
            let moments = own.iter().map(|observation| at(observation).as_millisecond());
            let (first, last) = (moments.clone().min().unwrap_or(0), moments.max().unwrap_or(0));
            LessonFacts {
                day: *day,
                seen: ask
                    .runners
                    .iter()
                    .filter(|id| present.contains(**id))
                    .map(|id| (*id).to_owned())
                    .collect(),
                runs,
                runs_per_child: Spread::of(counts),
                contacts_per_child: Spread::of(contacts),
                moving_min_per_child: Spread::of(moving),
                minutes: (last - first) as f64 / 60_000.0,
            }
        })
        .collect()
}

/// Seconds in which a child runs and walks back for one run: contacts over steps a second, getting up to speed, and the
/// same way back at a walk. 0 for runs whose contacts are not known.
fn moving_s(run: &Run, ladder: &Ladder) -> f64 {
    let paces = Paces::default();
    let Some(drill) = ladder.get(&run.drill) else { return 0.0 };
    let Some(steps) = RunSteps::of(drill, RUN_ON_CONTACTS) else { return 0.0 };
    let contacts = f64::from(contacts::per_run(run.hurdles, steps));
    let steps_hz = if drill.walk { WALK_STEPS_HZ } else { RUN_STEPS_HZ };
    let step_m = run.gap_m.unwrap_or(0.0) / f64::from(steps.per_gap.max(1));
    let back_s = if drill.both_ways { 0.0 } else { contacts * step_m / WALK_BACK_MPS };
    contacts / steps_hz + paces.lag_s(drill.walk) + back_s
}

/// A lesson with the gap in metres and the height in centimetres of a lane.
type Laid = (Date, f64, Option<f64>);
/// Gap and height in whole centimetres.
type WholeCm = (i64, Option<i64>);

pub(super) fn lane_changes(seen: &Seen<'_>, days: &[Date]) -> Vec<LaneChange> {
    // What a lane had in most of a lesson's runs of a drill.
    let mut laid: BTreeMap<(&str, &str), Vec<Laid>> = BTreeMap::new();
    for day in days {
        let mut counts: BTreeMap<(&str, &str), BTreeMap<WholeCm, u32>> = BTreeMap::new();
        for (observation, on) in &seen.all {
            if let Observation::Run(run) = observation
                && on == day
                && let Some(gap_m) = run.gap_m
                && !run.lane.is_empty()
            {
                let cm = (libm::round(gap_m * 100.0) as i64, run.height_cm.map(|cm| libm::round(cm) as i64));
                *counts.entry((&run.lane, &run.drill)).or_default().entry(cm).or_default() += 1;
            }
        }
        for (key, own) in counts {
            let most = own.iter().max_by_key(|(cm, count)| (**count, std::cmp::Reverse(**cm)));
            if let Some(((gap_cm, height_cm), _)) = most {
                let height_cm = height_cm.map(|cm| cm as f64);
                laid.entry(key).or_default().push((*day, *gap_cm as f64 / 100.0, height_cm));
            }
        }
    }
    let mut changes: Vec<LaneChange> = laid
        .into_iter()
        .flat_map(|((lane, drill), days)| {
            days.windows(2)
                .filter(|pair| pair[0].1 != pair[1].1 || pair[0].2 != pair[1].2)
                .map(|pair| LaneChange {
                    lane: lane.to_owned(),
                    drill: drill.to_owned(),
                    from: pair[0].0,
                    to: pair[1].0,
                    from_gap_m: pair[0].1,
                    to_gap_m: pair[1].1,
                    from_height_cm: pair[0].2,
                    to_height_cm: pair[1].2,
                })
                .collect::<Vec<LaneChange>>()
        })
        .collect();
    changes.sort_by(|a, b| (a.to, &a.lane, &a.drill).cmp(&(b.to, &b.lane, &b.drill)));
    changes
}
