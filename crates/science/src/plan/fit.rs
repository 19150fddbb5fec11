//! What would make a plan fit a floor that is too small. Every answer was tried: the whole plan was made again with it.

use lanewright_model::{Arg, Message};

use crate::site;

use super::{Draft, PlanInput, drill_name};
use lanewright_model::DrillId;

/// No lower effort than this is suggested, as a share of top speed: below it the drill is another one (engineering
/// assumption).
pub const EFFORT_MIN: f64 = 0.4;

/// Efforts are lowered in steps of this.
const EFFORT_STEP: f64 = 0.05;

/// More ways than this are no help.
const WAYS_MAX: usize = 4;

/// One thing to change in what is asked.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Something about the lanes on the floor.
    Site(site::Change),
    /// Run slower.
    LowerEffort {
        /// Effort as a share of top speed.
        to: f64,
    },
    /// Do an easier, slower drill instead.
    SlowerDrill {
        /// The drill that takes too much room.
        drill: DrillId,
        /// What to do instead.
        instead: DrillId,
    },
    /// Leave a drill out.
    LeaveOut {
        /// The drill that takes too much room.
        drill: DrillId,
    },
}

/// Returns what is asked after a change.
pub fn apply(input: &PlanInput, change: &Change) -> PlanInput {
    let mut input = input.clone();
    match change {
        Change::Site(site::Change::ShortenExit { to_m, .. }) => input.exit_sprint_m = *to_m,
        Change::Site(site::Change::OtherDirection) => input.space = input.space.as_ref().map(site::turned),
        Change::Site(site::Change::FewerHurdles { to, .. }) => input.hurdles_per_lane_max = Some(*to),
        Change::Site(site::Change::ShortenRunUp { to, .. }) => input.run_up_steps_max = Some(*to),
        Change::Site(site::Change::FewerLanes { to, .. }) => input.lanes_max = Some(*to),
        Change::LowerEffort { to } => input.effort = Some(*to),
        Change::SlowerDrill { drill, instead } => {
            let found = input.ladder.as_ref().and_then(|ladder| ladder.get(&instead.0)).cloned();
            match found {
                Some(found) if input.drills.iter().all(|other| other.id != found.id) => {
                    for asked in input.drills.iter_mut().filter(|asked| asked.id == *drill) {
                        *asked = found.clone();
                    }
                }
                _ => input.drills.retain(|asked| asked.id != *drill),
            }
        }
        Change::LeaveOut { drill } => input.drills.retain(|asked| asked.id != *drill),
    }
    input
}

/// Returns what would make the plan fit its floor, best first: each entry is a list of changes to be made together.
///
/// Each entry was tried: with its changes applied, [`super::plan`] says that it fits. No change shortens the stopping
/// room. Empty when it fits as it is, when nothing helps, and when there is no plan at all.
pub fn ways_to_fit(input: &PlanInput) -> Vec<Vec<Change>> {
    match Draft::make(input) {
        Ok(draft) if !draft.plan.fits => ways(input, &draft),
        _ => Vec::new(),
    }
}

pub(super) fn remedies(input: &PlanInput, draft: &Draft) -> Vec<Message> {
    ways(input, draft).iter().map(|changes| say(changes)).collect()
}

fn fits(input: &PlanInput, changes: &[Change]) -> bool {
    let changed = changes.iter().fold(input.clone(), |input, change| apply(&input, change));
    Draft::make(&changed).is_ok_and(|draft| draft.plan.fits)
}

fn ways(input: &PlanInput, draft: &Draft) -> Vec<Vec<Change>> {
    let (single, together): (Vec<_>, Vec<_>) = site::remedies(&draft.site)
        .into_iter()
        .map(|changes| changes.into_iter().map(Change::Site).collect::<Vec<_>>())
        .partition(|changes| changes.len() == 1);
    let turned = vec![Change::Site(site::Change::OtherDirection)];
    let slower = slower(input, draft);
    let mut ways: Vec<Vec<Change>> = Vec::new();
    // What costs the lesson least stands first; changes that must be combined come last.
    for changes in single.into_iter().chain([turned]).chain(slower).chain(together) {
        if ways.len() == WAYS_MAX {
            break;
        }
        let combined_for_nothing = changes.len() > 1 && ways.iter().any(|known| known.len() == 1);
        if !combined_for_nothing && !ways.contains(&changes) && fits(input, &changes) {
            ways.push(changes);
        }
    }
    ways
}

/// Ways to be slower at the last hurdle: less effort, an easier drill, one drill fewer.
fn slower(input: &PlanInput, draft: &Draft) -> Vec<Vec<Change>> {
    let mut ways = Vec::new();
    let speed = |drill: &site::DrillAsk| if drill.walk { 0.0 } else { drill.effort };
    let Some(lane) = draft.site.lanes.first() else { return ways };
    let Some(fastest) = lane.drills.iter().max_by(|a, b| speed(a).total_cmp(&speed(b))) else { return ways };
    if fastest.walk {
        return ways;
    }
    // From the effort asked for down, in whole steps.
    let from = (fastest.effort / EFFORT_STEP - 1e-6).floor();
    let steps = (0..).map(|step| (from - f64::from(step)) * EFFORT_STEP);
    let lower = steps
        .take_while(|to| *to >= EFFORT_MIN - 1e-9)
        .map(|to| vec![Change::LowerEffort { to: (to * 100.0).round() / 100.0 }])
        .find(|changes| fits(input, changes));
    ways.extend(lower);
    let drill = fastest.drill.clone();
    if draft.lane_drills.len() > 1 {
        ways.push(vec![Change::LeaveOut { drill }]);
    } else if let (Some(ladder), Some(asked)) =
        (&input.ladder, input.drills.iter().find(|asked| asked.id == drill))
    {
        let easier =
            asked.needs.iter().find(|need| ladder.get(&need.0).is_some_and(|found| found.gap.is_some()));
        ways.extend(easier.map(|instead| vec![Change::SlowerDrill { drill, instead: instead.clone() }]));
    }
    ways
}

fn say(changes: &[Change]) -> Message {
    let mut said = changes.iter().map(say_one);
    let Some(first) = said.next() else { return Message::new("plan-change-none") };
    // Two and more are read out one after the other.
    said.fold(first, |before, next| {
        Message::new("plan-change-and")
            .with("first", Arg::Say(Box::new(before)))
            .with("second", Arg::Say(Box::new(next)))
    })
}

fn say_one(change: &Change) -> Message {
    match change {
        Change::Site(site::Change::ShortenExit { by_m, to_m }) if *to_m == 0.0 => {
            Message::new("plan-change-no-sprint").with("by", Arg::RoomM(*by_m))
        }
        Change::Site(site::Change::ShortenExit { by_m, to_m }) => {
            Message::new("plan-change-sprint").with("by", Arg::RoomM(*by_m)).with("to", Arg::RoomM(*to_m))
        }
        Change::Site(site::Change::OtherDirection) => Message::new("plan-change-direction"),
        Change::Site(site::Change::FewerHurdles { by, to }) => Message::new("plan-change-hurdles")
            .with("by", Arg::Count(i64::from(*by)))
            .with("to", Arg::Count(i64::from(*to))),
        Change::Site(site::Change::ShortenRunUp { by, to }) => Message::new("plan-change-run-up")
            .with("by", Arg::Count(i64::from(*by)))
            .with("to", Arg::Count(i64::from(*to))),
        Change::Site(site::Change::FewerLanes { to, .. }) => {
            Message::new("plan-change-lanes").with("to", Arg::Count(i64::from(*to)))
        }
        Change::LowerEffort { to } => Message::new("plan-change-effort").with("to", Arg::Share(*to)),
        Change::SlowerDrill { drill, instead } => Message::new("plan-change-drill")
            .with("drill", drill_name(drill))
            .with("instead", drill_name(instead)),
        Change::LeaveOut { drill } => Message::new("plan-change-leave-out").with("drill", drill_name(drill)),
    }
}
