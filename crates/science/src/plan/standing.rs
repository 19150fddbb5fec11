//! The plan of lanes that stand: gaps, hurdles, heights and who runs where are given; the rest follows from them as in
//! any plan.

use lanewright_model::drill::{Drill, Family, Ladder, Setting};
use lanewright_model::plan::{Misfit, Plan};
use lanewright_model::record::SheetLane;
use lanewright_model::run::LANE_HURDLES_MAX;
use lanewright_model::runner::{Runner, RunnerId};
use lanewright_model::timing::Ground;
use lanewright_model::{Arg, Message};

use crate::lanes::{LaneGaps, OWN_GAP_MAX_M, OWN_GAP_MIN_M};
use crate::site::WALK_RUN_UP_M;

use super::{Draft, Laid, PlanError, PlanInput, Wishes, count, heights, notes};

/// Makes the plan of lanes that stand, for those of them who run today.
///
/// Gaps, hurdles, heights, drills, the order of the queues and, where the first mark tells it, the run-up are those of
/// `standing`. What the children of today need is computed anew: the room to stop, whether it is there, what to know.
/// Drills of `standing` that the ladder does not know are passed over, and so is who runs today and is in no lane yet.
///
/// # Errors
/// As for [`super::plan`], except that wishes never clash: those that are not met are said.
pub fn plan_standing(input: &PlanInput, ladder: &Ladder, standing: &[SheetLane]) -> Result<Plan, PlanError> {
    let gap = |gap_m: f64| match (OWN_GAP_MIN_M..=OWN_GAP_MAX_M).contains(&gap_m) {
        true => Ok(()),
        false => Err(PlanError::Range { field: "gap_m", provided: gap_m, allowed: "0.1 to 6 m" }),
    };
    standing.iter().flat_map(|lane| &lane.drills).try_for_each(|drill| gap(drill.gap_m))?;
    let asked = asked(input, ladder, standing);
    asked.check()?;
    let lane_drills: Vec<&Drill> = asked.drills.iter().filter(|drill| drill.gap.is_some()).collect();
    if lane_drills.is_empty() || standing.iter().any(|lane| lane.drills.is_empty()) {
        return Err(PlanError::NoDrill);
    }
    let order = super::canonical_order(&asked.runners)?;
    let gaps = super::gaps_of(&asked, &lane_drills, &order);
    let lane_of: Vec<usize> =
        asked.runners.iter().filter_map(|runner| lane_at(standing, &runner.id)).collect();
    let lanes: Vec<LaneGaps> = standing.iter().map(|lane| lane_gaps(lane, &lane_drills)).collect();

    let off_ln =
        |index: usize| libm::log(lanes[lane_of[index]].first_gap_m / gaps[index].gaps[0].gap_m.median);
    let misfit = Misfit {
        sum_sq_ln: (0..gaps.len()).map(|index| off_ln(index) * off_ln(index)).sum(),
        max_abs_ln: (0..gaps.len()).map(|index| off_ln(index).abs()).fold(0.0, f64::max),
    };
    let stand: Vec<heights::LaneHeight> = standing
        .iter()
        .map(|lane| heights::LaneHeight {
            height_cm: lane.height_cm,
            hurdles: lane.hurdles.clamp(1, LANE_HURDLES_MAX),
        })
        .collect();
    let mut count = count::count(&asked, &super::drill_asks(&asked, &lane_drills, &|_| 0.0));
    count.lanes = standing.len() as u32;
    count.possible = count.possible.max(count.lanes);
    count.per_lane = stand.iter().map(|lane| lane.hurdles).max().unwrap_or(1);
    count.refused = None;
    let suits = gaps.iter().map(|gaps| heights::suit(&asked, &gaps.leg_length_m, count.per_lane)).collect();
    let laid = Laid {
        count,
        lane_of,
        lanes,
        misfit,
        suits,
        heights: heights::Heights {
            wanted_cm: stand.iter().map(|lane| lane.height_cm).collect(),
            lanes: stand,
            ran_out: Vec::new(),
            fewer: Vec::new(),
        },
        lost_wishes: Vec::new(),
        standing: Some(standing),
    };
    let mut draft = Draft::lay_out(&asked, lane_drills, gaps, laid);
    for (lane, stands) in draft.plan.lanes.iter_mut().zip(standing) {
        lane.lane.clone_from(&stands.lane);
    }
    for (runner, lane) in draft.plan.runners.iter_mut().zip(&draft.lane_of) {
        runner.lane.clone_from(&standing[*lane].lane);
    }
    draft.plan.warnings = notes::warnings(&asked, &draft);
    Ok(draft.plan)
}

/// Returns what is asked of lanes that stand: their drills, their effort, and those who have a place in them.
fn asked(input: &PlanInput, ladder: &Ladder, standing: &[SheetLane]) -> PlanInput {
    let stands = || standing.iter().flat_map(|lane| &lane.drills);
    let mut drills: Vec<Drill> = Vec::new();
    for drill in stands().filter_map(|drill| ladder.get(&drill.drill.0)) {
        if drill.gap.is_some() && drills.iter().all(|known| known.id != drill.id) {
            drills.push(drill.clone());
        }
    }
    let runs = |id: &str| drills.iter().any(|drill| drill.id.0 == id && !drill.walk);
    // Each drill's effort is what was asked or the highest that it is meant for; the highest of all was asked.
    let effort = stands().filter(|drill| runs(&drill.drill.0)).map(|drill| drill.effort).reduce(f64::max);
    drills.extend(input.drills.iter().filter(|drill| drill.family == Family::Free).cloned());
    let (runners, others): (Vec<Runner>, Vec<Runner>) =
        input.runners.iter().cloned().partition(|runner| lane_at(standing, &runner.id).is_some());
    PlanInput {
        runners,
        class_mates: input.class_mates.iter().cloned().chain(others).collect(),
        effort: effort.or(input.effort),
        drills,
        lanes_max: Some(standing.len() as u32),
        ..input.clone()
    }
}

/// Returns the lane in which a child has a place, as its number from 0.
fn lane_at(standing: &[SheetLane], id: &RunnerId) -> Option<usize> {
    standing.iter().position(|lane| lane.runners.contains(&id.0))
}

/// Returns the gaps of a lane that stands.
fn lane_gaps(lane: &SheetLane, lane_drills: &[&Drill]) -> LaneGaps {
    let of = |setting: Setting| {
        let uses = |drill: &&&Drill| drill.gap.as_ref().is_some_and(|rule| rule.setting == setting);
        let mut stands = lane_drills.iter().filter(uses).map(|drill| {
            lane.drills.iter().find(|stands| stands.drill == drill.id).map(|stands| stands.gap_m)
        });
        // A drill that is not among those of this lane is run on the gap of its main one.
        stands.next().map(|first| first.unwrap_or(lane.drills[0].gap_m))
    };
    let (long_m, short_m) = (of(Setting::Long), of(Setting::Short));
    let short_is_half =
        long_m.zip(short_m).is_some_and(|(long_m, short_m)| (short_m * 2.0 - long_m).abs() < 1e-9);
    LaneGaps { first_gap_m: lane.drills[0].gap_m, long_m, short_m, short_is_half }
}

/// Returns the run-up of a lane that stands, in metres: its first mark is at the last hurdle. `None` where marks of
/// another kind were written down.
pub(super) fn run_up_m(lane: &SheetLane) -> Option<f64> {
    let last = lane.marks.first().filter(|mark| mark.ground == Ground::Hurdled)?;
    let gap_m = lane.drills.iter().map(|drill| drill.gap_m).fold(0.0, f64::max);
    let hurdles = lane.hurdles.clamp(1, LANE_HURDLES_MAX);
    // A run-up is laid to a tenth of a metre; marks are written to the centimetre.
    let run_up_m = ((last.at_m - f64::from(hurdles - 1) * gap_m) * 10.0).round() / 10.0;
    (WALK_RUN_UP_M..=60.0).contains(&run_up_m).then_some(run_up_m)
}

/// Returns the wishes that are not met where children have been given lanes; wishes about a child without a lane are
/// passed over.
pub fn wishes_unmet(
    wishes: &Wishes,
    lane_of: &dyn Fn(&RunnerId) -> Option<String>,
    name: &dyn Fn(&RunnerId) -> String,
) -> Vec<Message> {
    let one = |id: &'static str, child: &RunnerId, lane: &str| {
        Message::new(id).text("first", name(child)).text("lane", lane)
    };
    let two = |id: &'static str, (first, second): &(RunnerId, RunnerId)| {
        Message::new(id).text("first", name(first)).text("second", name(second))
    };
    let share = |(first, second): &(RunnerId, RunnerId)| Some(lane_of(first)? == lane_of(second)?);
    let only = wishes.only.iter().filter(|(child, lane)| lane_of(child).is_some_and(|own| own != *lane));
    let never = wishes.never.iter().filter(|(child, lane)| lane_of(child).as_ref() == Some(lane));
    let together = wishes.together.iter().filter(|pair| share(pair) == Some(false));
    let apart = wishes.apart.iter().filter(|pair| share(pair) == Some(true));
    only.map(|(child, lane)| one("plan-wish-only", child, lane))
        .chain(never.map(|(child, lane)| one("plan-wish-never", child, lane)))
        .chain(together.map(|pair| two("plan-wish-together", pair)))
        .chain(apart.map(|pair| two("plan-wish-apart", pair)))
        .collect()
}

/// Returns what is said of wishes that are not met as the lanes stand.
pub(super) fn unmet_said(input: &PlanInput, draft: &Draft) -> Vec<Message> {
    let index = |id: &RunnerId| input.runners.iter().position(|runner| runner.id == *id);
    let lane = |id: &RunnerId| Some(draft.plan.lanes[draft.lane_of[index(id)?]].lane.clone());
    let name = |id: &RunnerId| index(id).map(|at| input.runners[at].label.clone()).unwrap_or_default();
    let said = |wish: Message| Message::new("plan-stand-wish").with("wish", Arg::Say(Box::new(wish)));
    wishes_unmet(&input.wishes, &lane, &name).into_iter().map(said).collect()
}
