//! How many lanes, and how many hurdles in each.

use crate::site::{self, DrillAsk, HURDLES_MIN};

use super::PlanInput;

/// More hurdles than this in a lane teach no more (engineering assumption).
pub const HURDLES_PER_LANE_MAX: u32 = 8;

/// Lanes that one adult can watch (engineering assumption; a school's own rules come first).
pub const LANES_PER_ADULT: u32 = 4;

/// A lane of one child alone wastes hurdles and nobody stands them up: two at least (engineering assumption).
pub const CHILDREN_PER_LANE_MIN: u32 = 2;

/// What holds the number of lanes down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bound {
    /// Too few hurdles for more.
    Hurdles,
    /// The floor is too narrow for more.
    Width,
    /// Too few children for more.
    Children,
}

/// How many lanes there are and could be.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Count {
    /// Lanes of the plan.
    pub lanes: u32,
    /// Lanes that the kit, the floor and the adults allow.
    pub possible: u32,
    /// Hurdles that each lane is to have.
    pub per_lane: u32,
    /// Hurdles in the bag; `None` where floor lines serve, which never run out.
    pub total: Option<u32>,
    /// Lanes asked for that are not there, and why.
    pub refused: Option<Bound>,
    /// More lanes than the adults can watch were asked for.
    pub unwatched: bool,
}

pub(super) fn count(input: &PlanInput, drills: &[DrillAsk]) -> Count {
    let children = input.runners.len() as u32;
    // Floor lines are drawn: there are as many as one likes, unless the bag says how many.
    let total = match input.kit.hurdle_count() {
        0 => None,
        _ if input.height_cm == 0.0 && input.kit.hurdles.iter().all(|stock| stock.height_cm > 0.0) => None,
        count => Some(count),
    };
    let by_hurdles = total.map_or(site::LANES_MOST, |total| (total / HURDLES_MIN).max(1));
    let by_width = input
        .space
        .as_ref()
        .map_or(site::LANES_MOST, |space| site::lanes_across(drills, input.kit.hurdle_width_m, space).max(1));
    let by_adults = (LANES_PER_ADULT * input.adults.max(1)).min(site::LANES_MOST);
    let possible = by_hurdles.min(by_width).min(by_adults);
    let (lanes, refused) = match input.lanes_max {
        None => (possible.min((children / CHILDREN_PER_LANE_MIN).max(1)), None),
        Some(wanted) => {
            let bounds =
                [(by_hurdles, Bound::Hurdles), (by_width, Bound::Width), (children, Bound::Children)];
            let (most, bound) = bounds.into_iter().min_by_key(|(most, _)| *most).expect("three bounds");
            (wanted.min(most).max(1), (most < wanted).then_some(bound))
        }
    };
    let even = total.map_or(HURDLES_PER_LANE_MAX, |total| total / lanes);
    let per_lane = even.min(HURDLES_PER_LANE_MAX).min(input.hurdles_per_lane_max.unwrap_or(u32::MAX)).max(1);
    Count { lanes, possible, per_lane, total, refused, unwatched: lanes > by_adults }
}
