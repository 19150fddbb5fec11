//! The pace that the class really has: learned from the starts of its latest lesson, used for the runs of the next
//! block and the next lesson.

use std::collections::BTreeMap;

use lanewright_model::plan::Plan;
use lanewright_model::run::{Observation, Run, Source};
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{LessonInput, lane_flow};
use crate::flow::{self, LaneStarts};

/// Runs that lie so many seconds or less before the latest one are of the same lesson (engineering assumption).
pub const SAME_LESSON_S: f64 = 3.0 * 3600.0;
/// Rounds of a lane's queue that must be on record: with fewer, a missing run looks like a slow one (engineering
/// assumption).
pub const ROUNDS_MIN: u32 = 2;
/// Starts that lie closer together than this on average were not noted as they happened (engineering assumption).
pub const START_GAP_MIN_S: f64 = 2.0;
/// A lane whose starts lie further from the model than this factor, either way, says nothing of the pace (engineering
/// assumption). Whoever watches four lanes in turn taps every child equally often and yet only one run in four: such
/// a record looks whole, and its starts lie several times too far apart.
pub const FACTOR_MAX: f64 = 1.6;

/// The pace of a class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClassPace {
    /// Times between two starts of a child over what the model says, for lanes without starts of their own.
    pub factor: f64,
    /// Lanes with starts of their own, by letter.
    pub lanes: BTreeMap<String, LanePace>,
    /// Starts that it rests on.
    pub starts: u32,
}

/// The pace of one lane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LanePace {
    /// Times between two starts of a child over what the model says.
    pub factor: f64,
    /// Seconds from one start in the lane to the next: low end of the 90 % interval.
    pub low_s: f64,
    /// The same in the middle.
    pub every_s: f64,
    /// High end.
    pub high_s: f64,
    /// Starts of the lane that it rests on.
    pub starts: u32,
}

impl ClassPace {
    /// Returns by how much a lane is slower than the model says.
    pub fn factor_of(&self, lane: &str) -> f64 {
        self.lanes.get(lane).map_or(self.factor, |lane| lane.factor)
    }

    /// Says what was learned.
    pub fn say(&self) -> Message {
        let whole = |value: f64| Arg::Count(libm::round(value) as i64);
        let low = self.lanes.values().map(|lane| lane.low_s).fold(f64::INFINITY, f64::min);
        let high = self.lanes.values().map(|lane| lane.high_s).fold(0.0, f64::max);
        Message::new("lesson-note-pace")
            .with("lanes", Arg::Count(self.lanes.len() as i64))
            .text("letters", self.lanes.keys().map(String::as_str).collect::<Vec<_>>().join(", "))
            .with("low", whole(low))
            .with("high", whole(high))
            .with("starts", Arg::Count(self.starts.into()))
    }
}

/// Returns the pace of the latest lesson on record, or nothing where too little of it was tapped.
///
/// Only runs that were tapped count, in lanes where every child of the queue has at least [`ROUNDS_MIN`] of them and
/// nobody more than one above another: then no single run is missing. Runs that all carry one moment were typed in
/// later, and starts far from what the model says were not all tapped ([`FACTOR_MAX`]).
pub(super) fn pace_of(input: &LessonInput, plan: &Plan) -> Option<ClassPace> {
    let tapped = || {
        input.history.iter().filter_map(|seen| match seen {
            Observation::Run(run) if run.source == Source::Tap => Some(run),
            _ => None,
        })
    };
    let seconds = |run: &Run| run.at.as_millisecond() as f64 / 1000.0;
    let latest_s = tapped().map(seconds).fold(f64::NEG_INFINITY, f64::max);
    let mut queues: BTreeMap<(&str, &str), Vec<&Run>> = BTreeMap::new();
    for run in tapped().filter(|run| latest_s - seconds(run) <= SAME_LESSON_S) {
        queues.entry((run.lane.as_str(), run.drill.as_str())).or_default().push(run);
    }
    let mut asked: Vec<(&str, LaneStarts)> = Vec::new();
    for ((lane, drill), runs) in &queues {
        let mut rounds: BTreeMap<&str, u32> = BTreeMap::new();
        for run in runs {
            *rounds.entry(run.runner.as_str()).or_default() += 1;
        }
        let (least, most) = (rounds.values().min()?, rounds.values().max()?);
        if rounds.len() < 2 || *least < ROUNDS_MIN || most - least > 1 {
            continue;
        }
        let times = || runs.iter().map(|run| seconds(run));
        let span_s = times().fold(f64::NEG_INFINITY, f64::max) - times().fold(f64::INFINITY, f64::min);
        if span_s < START_GAP_MIN_S * (runs.len() - 1) as f64 {
            continue;
        }
        let Some(model_interval_s) = model_interval_s(input, plan, lane, drill, runs, rounds.len()) else {
            continue;
        };
        let every_s = span_s / (runs.len() - 1) as f64 * rounds.len() as f64;
        if !(1.0 / FACTOR_MAX..=FACTOR_MAX).contains(&(every_s / model_interval_s)) {
            continue;
        }
        let starts_s = runs.iter().map(|run| seconds(run) - latest_s).collect();
        asked.push((lane, LaneStarts { starts_s, children: rounds.len() as u32, model_interval_s }));
    }
    let lanes: Vec<LaneStarts> = asked.iter().map(|(_, starts)| starts.clone()).collect();
    let learned = flow::learn_interval(&lanes).ok()?;
    // A lane that ran several drills is as slow as they are on average, each counted by its starts.
    let mut sums: BTreeMap<&str, (f64, f64, [f64; 3])> = BTreeMap::new();
    let (mut all, mut weight) = (0.0, 0.0);
    for ((lane, starts), pace) in asked.iter().zip(&learned) {
        let per_min = &pace.runs_per_min;
        if per_min.n == 0 {
            continue;
        }
        let every_s = |rate: f64| 60.0 / rate / f64::from(starts.children);
        let own = f64::from(per_min.n);
        let factor_ln = libm::log(60.0 / per_min.median / starts.model_interval_s);
        let sum = sums.entry(lane).or_default();
        sum.0 += own;
        sum.1 += own * factor_ln;
        // More runs a minute is less time between two starts.
        for (sum, rate) in sum.2.iter_mut().zip([per_min.high, per_min.median, per_min.low]) {
            *sum += own * every_s(rate);
        }
        all += own * factor_ln;
        weight += own;
    }
    if weight <= 0.0 {
        return None;
    }
    let within = |ln: f64| libm::exp(ln).clamp(1.0 / FACTOR_MAX, FACTOR_MAX);
    let lanes = sums.into_iter().map(|(lane, (own, factor_ln, [low, middle, high]))| {
        let pace = LanePace {
            factor: within(factor_ln / own),
            low_s: low / own,
            every_s: middle / own,
            high_s: high / own,
            starts: own as u32,
        };
        (lane.to_owned(), pace)
    });
    Some(ClassPace { factor: within(all / weight), lanes: lanes.collect(), starts: weight as u32 })
}

/// What the model says of the time between two starts of a child in a lane as it was run.
fn model_interval_s(
    input: &LessonInput,
    plan: &Plan,
    lane: &str,
    drill: &str,
    runs: &[&Run],
    children: usize,
) -> Option<f64> {
    let drill = input.ladder.get(drill)?;
    let planned = plan.lanes.iter().find(|own| own.lane == lane).or_else(|| plan.lanes.first())?;
    let crossed: u32 = runs.iter().map(|run| run.standing()).sum();
    let fallen: u32 = runs.iter().map(|run| run.knocked.count()).sum();
    let clean_rate = 1.0 - f64::from(fallen) / f64::from(crossed.max(1));
    let mut ask = lane_flow(input, planned, drill, children as u32, clean_rate).or_else(|| {
        // The drill is not in this lesson: the lane as it was, with the gap that was noted.
        let mut other = planned.clone();
        let setting = other.settings.first_mut()?;
        setting.gap_m = runs.iter().find_map(|run| run.gap_m)?;
        setting.drills = vec![drill.id.clone()];
        lane_flow(input, &other, drill, children as u32, clean_rate)
    })?;
    ask.hurdles = runs.iter().map(|run| run.hurdles).max()?;
    if let Some(gap_m) = runs.iter().find_map(|run| run.gap_m) {
        ask.speed_mps *= gap_m / ask.gap_m;
        ask.gap_m = gap_m;
    }
    Some(flow::flow(&ask, &input.paces).ok()?.interval_s)
}
