//! The floor for sideways shuttles: gap, marks, lanes side by side, who faces where.

use lanewright_model::kit::Space;
use lanewright_model::run::Leg;
use lanewright_model::words::{Arg, Message};
use serde::{Deserialize, Serialize};

use super::METHOD;
use crate::site;
use crate::topple::{Topple, Verdict};

/// Floor beyond the first and last hurdle in which a child stands, turns and steps off, metres (engineering assumption;
/// the same as after any sideways drill).
pub const END_ROOM_M: f64 = site::WALK_EXIT_M;

/// Whether the hurdles fall from both sides: in a shuttle every second pass hits them from behind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BothWays {
    /// They fall easily from both sides.
    Both,
    /// From one side they are too firm.
    OneWay,
    /// Not tried from both sides.
    NotKnown,
}

/// Returns whether a hurdle falls from both sides, from one verdict for each.
pub fn gives_way_both_ways(near: &Topple, far: &Topple) -> BothWays {
    match (near.verdict, far.verdict) {
        (Verdict::FallsEasily, Verdict::FallsEasily) => BothWays::Both,
        (Verdict::TooFirm, _) | (_, Verdict::TooFirm) => BothWays::OneWay,
        _ => BothWays::NotKnown,
    }
}

/// What a floor is wanted for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LateralAsk {
    /// The children's own gap for sideways drills, metres; made longer when two feet and a base need more.
    pub gap_m: f64,
    /// Length of the longest foot, metres.
    pub foot_m: f64,
    /// Depth of a hurdle's base along the lane, metres.
    pub base_depth_m: f64,
    /// Width of a hurdle across the lane, metres.
    pub hurdle_width_m: f64,
    /// Hurdles in the bag.
    pub hurdles: u32,
    /// Children who shuttle.
    pub children: u32,
    /// Whether they shuttle in pairs: then lanes are laid in twos.
    pub in_pairs: bool,
    /// Whether the hurdles fall from both sides.
    pub gives_way: BothWays,
    /// The floor; lanes run along its length.
    pub space: Space,
}

/// One lane of the floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LateralLane {
    /// Lane, counted from 1 at the left.
    pub lane: u32,
    /// Its middle, metres from the left edge of the floor.
    pub middle_m: f64,
    /// The pair it belongs to, counted from 1; each child alone: the lane itself.
    pub pair: u32,
}

/// The floor as it is laid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LateralSetup {
    /// Gap between hurdles, metres.
    pub gap_m: f64,
    /// Hurdles in each lane.
    pub hurdles: u32,
    /// Where each hurdle stands, metres from the start mark.
    pub marks_m: Vec<f64>,
    /// Start mark to the far end of the turning room, metres.
    pub length_m: f64,
    /// Free floor needed beyond either end, metres.
    pub clear_m: f64,
    /// Lanes, from the left.
    pub lanes: Vec<LateralLane>,
    /// Children who can shuttle at the same time: never two in one lane.
    pub at_once: u32,
    /// Whether the floor is long enough and has at least one lane (two for pairs).
    pub fits: bool,
    /// What stands with it.
    pub cautions: Vec<Message>,
    /// Name and version of the method.
    pub method: String,
}

/// Fewest and most hurdles of one lane (engineering assumption: fewer is no shuttle, more is a run).
const HURDLES_RANGE: [u32; 2] = [3, 8];

/// Lays the floor for sideways shuttles.
///
/// Lanes lie side by side with [`site::LANE_GAP_BOTH_WAYS_M`] of free floor between them. Each child has a lane of its
/// own, all begin at the same end and turn on the same call: nobody turns towards anybody.
pub fn lateral_setup(ask: &LateralAsk) -> LateralSetup {
    let gap_m = ask.gap_m.max(2.0 * ask.foot_m + ask.base_depth_m);
    let lane_m = ask.hurdle_width_m + 2.0 * site::BESIDE_HURDLE_M;
    let each_m = lane_m + site::LANE_GAP_BOTH_WAYS_M;
    let walls =
        [ask.space.wall_left, ask.space.wall_right].map(|wall| if wall { site::WALL_CLEAR_M } else { 0.0 });
    let width_m = ask.space.width_m - walls[0] - walls[1];
    let across = if width_m < lane_m { 0 } else { 1 + ((width_m - lane_m) / each_m + 1e-9) as u32 };
    let [fewest, most] = HURDLES_RANGE;
    let wanted = ask.children.min(across).min(ask.hurdles / fewest);
    let lanes = if ask.in_pairs { wanted - wanted % 2 } else { wanted };
    let room_m = ask.space.length_m - 2.0 * site::MARGIN_M - 2.0 * END_ROOM_M;
    let long_enough = if room_m < 0.0 { 0 } else { 1 + (room_m / gap_m + 1e-9) as u32 };
    let hurdles = ask.hurdles.checked_div(lanes).unwrap_or(0).min(most).min(long_enough);
    let fits = lanes > 0 && hurdles >= fewest;
    let marks_m: Vec<f64> = (0..hurdles).map(|at| END_ROOM_M + f64::from(at) * gap_m).collect();
    let used_m = f64::from(lanes.saturating_sub(1)) * each_m + lane_m;
    let left_m = walls[0] + 0.5 * (width_m - used_m).max(0.0) + 0.5 * lane_m;
    let lane = |at: u32| LateralLane {
        lane: at + 1,
        middle_m: left_m + f64::from(at) * each_m,
        pair: if ask.in_pairs { at / 2 + 1 } else { at + 1 },
    };
    let mut cautions = vec![Message::new("turn-one-child-a-lane")];
    match ask.gives_way {
        BothWays::Both => {}
        BothWays::OneWay => cautions.insert(0, Message::new("turn-falls-one-way")),
        BothWays::NotKnown => cautions.insert(0, Message::new("turn-try-both-ways")),
    }
    if gap_m > ask.gap_m {
        cautions.push(Message::new("turn-gap-for-two-feet").with("gap", Arg::GapM(gap_m)));
    }
    if !fits {
        cautions.push(Message::new("turn-does-not-fit"));
    } else if lanes < ask.children {
        cautions.push(
            Message::new("turn-take-turns")
                .with("at_once", Arg::Count(i64::from(lanes)))
                .with("children", Arg::Count(i64::from(ask.children))),
        );
    }
    LateralSetup {
        gap_m,
        hurdles,
        length_m: marks_m.last().map_or(0.0, |last_m| last_m + END_ROOM_M),
        marks_m,
        clear_m: site::MARGIN_M,
        lanes: (0..lanes).map(lane).collect(),
        at_once: lanes,
        fits,
        cautions,
        method: METHOD.to_owned(),
    }
}

/// A side of the lane, as seen from the start mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

impl Side {
    /// Returns the other side.
    pub fn other(self) -> Self {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }
}

/// Which way a pass goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// Away from the start mark.
    Out,
    /// Towards it.
    Back,
}

/// One stretch between two turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pass {
    /// Counted from 1.
    pub number: u32,
    /// Which way it goes.
    pub way: Way,
    /// Which side the child looks to.
    pub facing: Side,
    /// The leg that crosses first.
    pub leads: Leg,
}

/// Returns the passes of a bout: way and facing flip at each turn, so the same leg leads throughout. The other leg's
/// turn comes when the next bout begins facing the other side.
pub fn passes(first_facing: Side, count: u32) -> Vec<Pass> {
    (0..count)
        .map(|at| {
            let (way, facing) = if at.is_multiple_of(2) {
                (Way::Out, first_facing)
            } else {
                (Way::Back, first_facing.other())
            };
            // Facing left on the way out, the right shoulder goes first.
            let leads = match (way, facing) {
                (Way::Out, Side::Left) | (Way::Back, Side::Right) => Leg::Right,
                _ => Leg::Left,
            };
            Pass { number: at + 1, way, facing, leads }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::kit::Surface;
    use proptest::prelude::*;

    fn ask() -> LateralAsk {
        LateralAsk {
            gap_m: 0.7,
            foot_m: 0.24,
            base_depth_m: 0.1,
            hurdle_width_m: 0.6,
            hurdles: 24,
            children: 6,
            in_pairs: true,
            gives_way: BothWays::Both,
            space: Space {
                length_m: 28.0,
                width_m: 15.0,
                surface: Surface::Hall,
                wall_start: true,
                wall_finish: true,
                wall_left: true,
                wall_right: true,
            },
        }
    }

    proptest! {
        #[test]
        fn lanes_never_come_closer_than_two_metres_nor_to_a_wall(
            width_m in 1.0..40.0, length_m in 2.0..60.0, hurdles in 0u32..60, children in 0u32..33,
            in_pairs: bool, foot_m in 0.15..0.35, gap_m in 0.3..1.2,
        ) {
            let mut ask = LateralAsk { hurdles, children, in_pairs, foot_m, gap_m, ..ask() };
            (ask.space.width_m, ask.space.length_m) = (width_m, length_m);
            let setup = lateral_setup(&ask);
            let lane_m = ask.hurdle_width_m + 2.0 * site::BESIDE_HURDLE_M;
            for two in setup.lanes.windows(2) {
                prop_assert!(two[1].middle_m - two[0].middle_m - lane_m >= site::LANE_GAP_BOTH_WAYS_M - 1e-9);
            }
            for lane in &setup.lanes {
                prop_assert!(lane.middle_m - 0.5 * lane_m >= site::WALL_CLEAR_M - 1e-9);
                prop_assert!(lane.middle_m + 0.5 * lane_m <= width_m - site::WALL_CLEAR_M + 1e-9);
            }
            prop_assert!(setup.gap_m >= 2.0 * foot_m + ask.base_depth_m - 1e-12 && setup.gap_m >= gap_m);
            prop_assert!(setup.hurdles * setup.at_once <= hurdles && setup.at_once <= children);
            prop_assert!(!in_pairs || setup.at_once.is_multiple_of(2));
            if setup.fits {
                prop_assert!(setup.length_m + 2.0 * setup.clear_m <= length_m + 1e-9);
                prop_assert!(setup.hurdles >= 3 && setup.at_once > 0);
            } else {
                prop_assert!(setup.cautions.iter().any(|caution| caution.id == "turn-does-not-fit"));
            }
        }
    }

    #[test]
    fn facing_flips_at_each_turn_and_the_same_leg_leads() {
        let passes = passes(Side::Left, 5);
        assert!(passes.iter().all(|pass| pass.leads == Leg::Right));
        assert!(passes.windows(2).all(|two| two[0].facing != two[1].facing && two[0].way != two[1].way));
        assert!(super::passes(Side::Right, 4).iter().all(|pass| pass.leads == Leg::Left));
    }

    #[test]
    fn a_hurdle_that_falls_one_way_only_is_told_first() {
        let judge = |half_depth_m| {
            crate::topple::judge(&crate::topple::Object {
                mass_kg: 0.5,
                height_m: 0.3,
                half_depth_m,
                centre_height_m: 0.15,
                friction: 0.8,
            })
        };
        let (easy, firm) = (judge(0.08), judge(0.9));
        assert_eq!(gives_way_both_ways(&easy, &easy), BothWays::Both);
        assert_eq!(gives_way_both_ways(&easy, &firm), BothWays::OneWay);
        let setup = lateral_setup(&LateralAsk { gives_way: BothWays::OneWay, ..ask() });
        assert_eq!(setup.cautions[0].id, "turn-falls-one-way");
    }
}
