//! What one person needs to set a lane out: marks in the order of the tape, shoe lengths, knots on a cord.

use lanewright_model::drill::Setting;
use lanewright_model::plan::{Plan, PlannedLane};

/// Marks closer together than this are one mark: half the width of a strip of floor tape (engineering assumption).
const SAME_MARK_M: f64 = 0.025;

/// One mark on the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Tape distance from the start line, in metres.
    pub at_m: f64,
    /// What is put there.
    pub kind: MarkKind,
}

/// What a mark is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// The start line, which is also the start mark L.
    StartLeft,
    /// The start mark R, one step forward.
    StartRight,
    /// A hurdle: its number in the long setting, in the short setting, or in both.
    Hurdle {
        /// Number in the long setting, from 1.
        long: Option<u32>,
        /// Number in the short setting, from 1.
        short: Option<u32>,
    },
    /// Where running ends and stopping begins.
    Exit,
    /// Where the stopping room ends.
    FreeUntil,
}

/// Returns the setting of a lane with that name, if the lane has it.
pub fn setting(lane: &PlannedLane, which: Setting) -> Option<&lanewright_model::plan::LaneSetting> {
    lane.settings.iter().find(|setting| setting.setting == which)
}

/// Returns the tape distance of the last mark of any setting, in metres.
pub fn last_mark_m(lane: &PlannedLane) -> f64 {
    lane.settings
        .iter()
        .flat_map(|setting| setting.marks_m.iter())
        .chain(lane.marks_m.iter())
        .copied()
        .fold(lane.run_up_m + lane.parts.hurdles_m, f64::max)
}

/// Returns where running ends and stopping begins, in metres from the start line.
pub fn exit_m(lane: &PlannedLane) -> f64 {
    last_mark_m(lane) + lane.parts.exit_m
}

/// Returns where the stopping room ends, in metres from the start line.
pub fn free_until_m(lane: &PlannedLane) -> f64 {
    exit_m(lane) + lane.parts.stopping_m
}

/// Returns how far behind the start line the waiting room begins and ends, in metres: nearer and farther end.
///
/// Where runs come back, stopping room lies between the start line and those who wait.
pub fn waiting_m(lane: &PlannedLane) -> (f64, f64) {
    let near_m = lane.parts.start_stopping_m;
    (near_m, near_m + lane.parts.waiting_m)
}

/// Returns all marks of a lane in the order in which the tape meets them, from one walk along the tape.
pub fn marks(lane: &PlannedLane) -> Vec<Mark> {
    let mut hurdles: Vec<(f64, Option<u32>, Option<u32>)> = Vec::new();
    let mut add = |at_m: f64, long: Option<u32>, short: Option<u32>| {
        let same = hurdles.iter_mut().find(|(other_m, other_long, other_short)| {
            (other_m - at_m).abs() < SAME_MARK_M
                && (long.is_none() || other_long.is_none())
                && (short.is_none() || other_short.is_none())
        });
        match same {
            Some((_, other_long, other_short)) => {
                *other_long = other_long.or(long);
                *other_short = other_short.or(short);
            }
            None => hurdles.push((at_m, long, short)),
        }
    };
    if lane.settings.is_empty() {
        for (at_m, number) in lane.marks_m.iter().zip(1..) {
            add(*at_m, Some(number), None);
        }
    }
    for setting in &lane.settings {
        for (at_m, number) in setting.marks_m.iter().zip(1..) {
            match setting.setting {
                Setting::Long => add(*at_m, Some(number), None),
                Setting::Short => add(*at_m, None, Some(number)),
            }
        }
    }
    hurdles.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut marks = vec![Mark { at_m: 0.0, kind: MarkKind::StartLeft }];
    if lane.parts.second_start_m > 0.0 {
        marks.push(Mark { at_m: lane.parts.second_start_m, kind: MarkKind::StartRight });
    }
    marks.extend(
        hurdles.into_iter().map(|(at_m, long, short)| Mark { at_m, kind: MarkKind::Hurdle { long, short } }),
    );
    if lane.parts.exit_m >= SAME_MARK_M {
        marks.push(Mark { at_m: exit_m(lane), kind: MarkKind::Exit });
    }
    if lane.parts.stopping_m > 0.0 {
        marks.push(Mark { at_m: free_until_m(lane), kind: MarkKind::FreeUntil });
    }
    marks
}

/// Returns a distance in shoe lengths, to the nearest half shoe.
///
/// `shoe_length_m` must be positive; otherwise there is no answer.
pub fn shoes(at_m: f64, shoe_length_m: f64) -> Option<f64> {
    (shoe_length_m > 0.0 && shoe_length_m.is_finite()).then(|| (at_m / shoe_length_m * 2.0).round() / 2.0)
}

/// Returns a count of halves as it is written: `17½`.
pub fn halves(count: f64) -> String {
    let whole = count.floor();
    match (whole as i64, count - whole >= 0.5) {
        (0, true) => "½".to_owned(),
        (whole, true) => format!("{whole}½"),
        (whole, false) => format!("{whole}"),
    }
}

/// A cord with one knot per mark, and the lanes it serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Cord {
    /// Lanes whose marks are all on this cord.
    pub lanes: Vec<String>,
    /// Knots after the start knot.
    pub knots: Vec<Knot>,
}

/// One knot on a cord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knot {
    /// Distance from the start knot, in metres.
    pub from_start_m: f64,
    /// Distance from the knot before, in metres.
    pub from_before_m: f64,
}

/// Returns the cords for a plan: one for lanes that share their marks, else one per lane.
///
/// A lane whose marks all lie on another lane's cord uses that cord. The start knot lies on the start line; it is not
/// among the knots.
pub fn cords(plan: &Plan) -> Vec<Cord> {
    let mut lines: Vec<(String, Vec<f64>)> = plan
        .lanes
        .iter()
        .map(|lane| {
            let knots = marks(lane).into_iter().map(|mark| mark.at_m).filter(|at_m| *at_m > 0.0).collect();
            (lane.lane.clone(), knots)
        })
        .collect();
    // Longest lists first, so that a lane with fewer marks can join; the order is otherwise kept.
    lines.sort_by_key(|(_, knots)| std::cmp::Reverse(knots.len()));
    let mut cords: Vec<(Vec<String>, Vec<f64>)> = Vec::new();
    for (lane, knots) in lines {
        let covers = |other: &[f64]| {
            knots.iter().all(|at_m| other.iter().any(|knot_m| (knot_m - at_m).abs() < SAME_MARK_M / 2.0))
        };
        match cords.iter_mut().find(|(_, other)| covers(other)) {
            Some((lanes, _)) => lanes.push(lane),
            None => cords.push((vec![lane], knots)),
        }
    }
    let place = |name: &String| plan.lanes.iter().position(|lane| lane.lane == *name);
    for (lanes, _) in &mut cords {
        lanes.sort_by_key(place);
    }
    cords.sort_by_key(|(lanes, _)| lanes.first().and_then(place));
    cords
        .into_iter()
        .map(|(lanes, at)| {
            let mut before_m = 0.0;
            let knots = at
                .into_iter()
                .map(|from_start_m| {
                    let knot = Knot { from_start_m, from_before_m: from_start_m - before_m };
                    before_m = from_start_m;
                    knot
                })
                .collect();
            Cord { lanes, knots }
        })
        .collect()
}
