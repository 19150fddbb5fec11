//! What would keep the children of a whole lesson moving more.

use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::{FlowError, LaneFlow, Paces, StartRule, flow};
use crate::site::HURDLES_MIN;

/// Speed of a way back that is jogged, in metres per second (engineering assumption: between a walk and a run).
pub const JOG_BACK_MPS: f64 = 2.2;

/// With follow starts the next child starts when this share of the hurdles is passed (engineering assumption).
pub const FOLLOW_FROM_SHARE: f64 = 2.0 / 3.0;

/// Numbers closer than this are the same: a change that changes nothing is not named.
const SAME: f64 = 1e-9;

/// One lane of the lesson and its hands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneAsk {
    /// What the lane is called, for example `B`.
    pub label: String,
    /// The lane and its children; its times are those of one setter.
    pub flow: LaneFlow,
    /// So many times less often than the model says do its children start; see [`super::Flow::slowed`].
    pub slower: f64,
    /// Who stands hurdles up at a time, 1 or more.
    pub setters: u32,
    /// Children and adults at this lane who do not run and can stand hurdles up.
    pub helpers: u32,
}

/// What bag, floor and rules allow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Room {
    /// One more lane has room on the floor, with its stopping room.
    pub one_more_lane: bool,
    /// Hurdles left in the bag.
    pub spare_hurdles: u32,
    /// The school lets a child start while another is in the lane.
    pub follow_starts: bool,
}

/// Something to change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// One lane's children are split over two lanes; the hurdles of all lanes and the bag are shared out again.
    OneMoreLane,
    /// One hurdle fewer in every lane, so that lanes are shorter and less falls.
    OneHurdleFewer,
    /// Two queues at every lane, starting in turn: children get ready while the other queue starts.
    TwoQueues,
    /// Start when the one before has passed two thirds of the hurdles, a setter on each side.
    FollowStarts,
    /// Jog back instead of walking.
    JogBack,
    /// A second setter at every lane that has the hands.
    SecondSetter,
}

/// A number now, and after a change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BeforeAfter {
    /// As planned.
    pub before: f64,
    /// With the change.
    pub after: f64,
}

impl BeforeAfter {
    /// Returns what the change adds; negative when it takes away.
    pub fn gain(&self) -> f64 {
        self.after - self.before
    }
}

/// One change and what it does, as means over all children of the lanes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Help {
    /// What to change.
    pub change: Change,
    /// Labels of the lanes where it changes something.
    pub lanes: Vec<String>,
    /// Share of the time in which a child runs or comes back.
    pub moving_share: BeforeAfter,
    /// Runs of a child in a minute.
    pub runs_per_min: BeforeAfter,
    /// The change and its numbers in a sentence.
    pub say: Message,
}

/// Returns at which hurdle the next child starts with follow starts: two thirds of the way, rounded up.
pub fn follow_from(hurdles: u32) -> u32 {
    ((f64::from(hurdles) * FOLLOW_FROM_SHARE - SAME).ceil() as u32).clamp(1, hurdles.max(1))
}

/// Returns what changes would do to one block; see [`what_would_help_over`].
///
/// # Errors
/// Names the first number that is out of its range.
pub fn what_would_help(lanes: &[LaneAsk], room: &Room, paces: &Paces) -> Result<Vec<Help>, FlowError> {
    what_would_help_over(&[(1.0, lanes.to_vec())], room, paces)
}

/// Returns what changes would do to blocks, each with its minutes, the one that adds most moving time first.
///
/// Each change is tried alone, in all lanes that allow it; a change that changes neither number is left out, one that
/// takes moving time away stands at the end (jogging back does, as it is over sooner). Ties keep the order of
/// [`Change`]. Of the splits into one more lane the best is named. A job for hands counts on the lane's helpers and
/// on the children who wait on average.
///
/// # Errors
/// Names the first number that is out of its range.
pub fn what_would_help_over(
    blocks: &[(f64, Vec<LaneAsk>)],
    room: &Room,
    paces: &Paces,
) -> Result<Vec<Help>, FlowError> {
    let minutes: f64 = blocks.iter().map(|(minutes, _)| minutes).sum();
    let mut before = Mean::default();
    // A change in the lanes that it is for, and what it adds to the means.
    let mut changes: Vec<(Change, Vec<String>, Mean)> = Vec::new();
    for (block_minutes, lanes) in blocks {
        let weight = block_minutes / minutes;
        let now = class_mean(lanes, paces)?;
        before.add(&now, weight);
        for (change, changed, labels) in candidates(lanes, room, paces)? {
            let mut added = class_mean(&changed, paces)?;
            added.add(&now, -1.0);
            // Each lane's split is a change of its own; every other one is for all lanes that it helps in some block.
            let known = changes.iter_mut().find(|(other, others, _)| {
                *other == change && (change != Change::OneMoreLane || *others == labels)
            });
            match known {
                Some((_, others, sum)) => {
                    others.extend(labels);
                    sum.add(&added, weight);
                }
                None => {
                    let mut sum = Mean::default();
                    sum.add(&added, weight);
                    changes.push((change, labels, sum));
                }
            }
        }
    }
    let mut helps = Vec::new();
    for (change, mut labels, added) in changes {
        labels.sort();
        labels.dedup();
        let moving_share =
            BeforeAfter { before: before.moving_share, after: before.moving_share + added.moving_share };
        let runs_per_min =
            BeforeAfter { before: before.runs_per_min, after: before.runs_per_min + added.runs_per_min };
        if differ(moving_share.before, moving_share.after) || differ(runs_per_min.before, runs_per_min.after)
        {
            let say = say(change, &labels, moving_share, runs_per_min);
            helps.push(Help { change, lanes: labels, moving_share, runs_per_min, say });
        }
    }
    helps.sort_by(|a, b| {
        let moving = b.moving_share.gain().total_cmp(&a.moving_share.gain());
        moving.then(b.runs_per_min.gain().total_cmp(&a.runs_per_min.gain())).then(a.change.cmp(&b.change))
    });
    // One split is enough: the best.
    let mut split_named = false;
    helps.retain(|help| help.change != Change::OneMoreLane || !std::mem::replace(&mut split_named, true));
    Ok(helps)
}

/// A lane as it would be, with paces of its own.
struct Tried {
    lane: LaneFlow,
    paces: Paces,
    slower: f64,
}

/// Means over the children of a class.
#[derive(Default)]
struct Mean {
    moving_share: f64,
    runs_per_min: f64,
}

impl Mean {
    fn add(&mut self, other: &Self, weight: f64) {
        self.moving_share += weight * other.moving_share;
        self.runs_per_min += weight * other.runs_per_min;
    }
}

trait AsTried {
    fn as_tried(&self, paces: &Paces) -> Result<Tried, FlowError>;
}

impl AsTried for LaneAsk {
    fn as_tried(&self, paces: &Paces) -> Result<Tried, FlowError> {
        super::range("setters", f64::from(self.setters), 1.0, 8.0, "1 to 8")?;
        let reset_s_per_hurdle = paces.reset_s_per_hurdle / f64::from(self.setters);
        Ok(Tried { lane: self.flow, paces: Paces { reset_s_per_hurdle, ..*paces }, slower: self.slower })
    }
}

impl AsTried for Tried {
    fn as_tried(&self, _: &Paces) -> Result<Tried, FlowError> {
        Ok(Tried { lane: self.lane, paces: self.paces, slower: self.slower })
    }
}

fn class_mean(lanes: &[impl AsTried], paces: &Paces) -> Result<Mean, FlowError> {
    let (mut children, mut moving, mut runs) = (0.0, 0.0, 0.0);
    for lane in lanes {
        let Tried { lane, paces, slower } = lane.as_tried(paces)?;
        let flow = flow(&lane, &paces)?.slowed(slower);
        children += f64::from(lane.children);
        moving += f64::from(lane.children) * flow.moving_share;
        runs += f64::from(lane.children) * flow.runs_per_min;
    }
    let children = f64::max(children, 1.0);
    Ok(Mean { moving_share: moving / children, runs_per_min: runs / children })
}

type Candidate = (Change, Vec<Tried>, Vec<String>);

fn candidates(lanes: &[LaneAsk], room: &Room, paces: &Paces) -> Result<Vec<Candidate>, FlowError> {
    let mut candidates = splits(lanes, room, paces)?;
    let mut in_every_lane = |change, edit: &dyn Fn(&LaneAsk, u32, &mut Tried)| {
        let mut labels = Vec::new();
        let mut changed = Vec::new();
        for ask in lanes {
            let mut tried = ask.as_tried(paces)?;
            let before = flow(&tried.lane, &tried.paces)?;
            edit(ask, ask.helpers + waiting(&before, ask.flow.children), &mut tried);
            let after = flow(&tried.lane, &tried.paces)?;
            if differ(before.moving_share, after.moving_share)
                || differ(before.runs_per_min, after.runs_per_min)
            {
                labels.push(ask.label.clone());
            }
            changed.push(tried);
        }
        if !labels.is_empty() {
            candidates.push((change, changed, labels));
        }
        Ok::<(), FlowError>(())
    };
    in_every_lane(Change::OneHurdleFewer, &|_, _, tried| {
        if tried.lane.hurdles > HURDLES_MIN {
            tried.lane = with_hurdles(tried.lane, tried.lane.hurdles - 1);
        }
    })?;
    in_every_lane(Change::TwoQueues, &|_, _, tried| tried.paces.ready_s = 0.0)?;
    in_every_lane(Change::FollowStarts, &|_, hands, tried| {
        let LaneFlow { hurdles, start, speed_mps, .. } = tried.lane;
        let from = follow_from(hurdles);
        // In a short lane the pause before following is longer than the way that is saved.
        let saved_m = tried.lane.to_hurdle_m(hurdles) - tried.lane.to_hurdle_m(from);
        let sooner = saved_m / speed_mps > tried.paces.follow_pause_s;
        if room.follow_starts && hands >= 2 && hurdles > 0 && start == StartRule::Clear && sooner {
            tried.lane.start = StartRule::Follow { hurdle: from };
        }
    })?;
    in_every_lane(Change::JogBack, &|_, _, tried| {
        tried.paces.walk_back_mps = tried.paces.walk_back_mps.max(JOG_BACK_MPS);
    })?;
    in_every_lane(Change::SecondSetter, &|ask, hands, tried| {
        if ask.setters == 1 && hands >= 2 {
            tried.paces.reset_s_per_hurdle /= 2.0;
        }
    })?;
    Ok(candidates)
}

fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > SAME
}

/// Every way to split one lane's children over two lanes.
fn splits(lanes: &[LaneAsk], room: &Room, paces: &Paces) -> Result<Vec<Candidate>, FlowError> {
    let bag: u32 = room.spare_hurdles + lanes.iter().map(|ask| ask.flow.hurdles).sum::<u32>();
    let each = bag / (lanes.len() as u32 + 1);
    if !room.one_more_lane {
        return Ok(Vec::new());
    }
    let mut splits = Vec::new();
    for (index, ask) in lanes.iter().enumerate() {
        // Lanes without hurdles need none; the others keep enough for a rhythm or nothing is split.
        let enough = lanes.iter().all(|ask| ask.flow.hurdles <= each || each >= HURDLES_MIN);
        if ask.flow.children < 2 || !enough {
            continue;
        }
        let mut changed = Vec::new();
        for (other, ask) in lanes.iter().enumerate() {
            let mut tried = ask.as_tried(paces)?;
            tried.lane = with_hurdles(tried.lane, tried.lane.hurdles.min(each));
            if other == index {
                let half = ask.flow.children / 2;
                changed.push(Tried { lane: LaneFlow { children: half, ..tried.lane }, ..tried });
                tried.lane.children -= half;
            }
            changed.push(tried);
        }
        splits.push((Change::OneMoreLane, changed, vec![ask.label.clone()]));
    }
    Ok(splits)
}

fn with_hurdles(lane: LaneFlow, hurdles: u32) -> LaneFlow {
    let start = match lane.start {
        StartRule::Follow { hurdle } if hurdles > 0 => StartRule::Follow { hurdle: hurdle.min(hurdles) },
        other => other,
    };
    LaneFlow { hurdles, start, ..lane }
}

/// Children who wait on average, whole ones.
fn waiting(flow: &super::Flow, children: u32) -> u32 {
    (f64::from(children) - flow.in_cycle + SAME).floor().max(0.0) as u32
}

fn say(change: Change, labels: &[String], moving: BeforeAfter, runs: BeforeAfter) -> Message {
    let id = match change {
        Change::OneMoreLane => "flow-help-one-more-lane",
        Change::OneHurdleFewer => "flow-help-one-hurdle-fewer",
        Change::TwoQueues => "flow-help-two-queues",
        Change::FollowStarts => "flow-help-follow-starts",
        Change::JogBack => "flow-help-jog-back",
        Change::SecondSetter => "flow-help-second-setter",
    };
    const MINUTES: f64 = 10.0;
    let in_ten_minutes = |runs_per_min: f64| (runs_per_min * MINUTES).round() as i64;
    let (runs_before, runs_after) = (in_ten_minutes(runs.before), in_ten_minutes(runs.after));
    let runs = match runs_before == runs_after {
        true => Message::new("flow-effect-runs-alike"),
        false => Message::new("flow-effect-runs")
            .with("before", Arg::Count(runs_before))
            .with("after", Arg::Count(runs_after)),
    };
    let effect = Message::new("flow-effect")
        .with("before", Arg::Share(moving.before))
        .with("after", Arg::Share(moving.after))
        .with("runs", Arg::Say(Box::new(runs)));
    Message::new(id)
        .text("lanes", labels.join(", "))
        .with("count", Arg::Count(labels.len() as i64))
        .with("effect", Arg::Say(Box::new(effect)))
}
