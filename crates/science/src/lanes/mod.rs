//! Who runs in which lane, and how far apart each lane's hurdles stand.
//!
//! Every child has a gap of their own. A lane has one gap for all who queue at it (or two, a long and a short one,
//! on marks laid once), queues differ by at most one child, and gaps come in steps of 5 cm because that is what a
//! person with a tape lays out. [`optimise`] finds the lanes whose gaps differ least from the children's own:
//! the sum over all children of (ln lane gap − ln own gap)² for the first drill is as small as it can be.
//!
//! The page `docs/methods/lanes.md` says why the answer is exact and where that ends.
//!
//! Everything is decided in whole numbers: logarithms are rounded to 2⁻⁴⁴ once, on entry, and sums and comparisons
//! are exact from there on. Ties are real ties, and every machine breaks them alike.

mod arrange;
mod improve;
mod search;
mod task;
mod wishes;

use lanewright_model::Setting;

pub use wishes::Wish;

/// Step of the gaps that are laid out, in metres. Source: engineering assumption (a tape is read to 5 cm at a glance).
pub const GRID_M: f64 = 0.05;

/// Most lanes that one call arranges. Source: engineering assumption (a bit set of lanes fits a machine word).
pub const LANES_MAX: usize = 64;

/// Most children that one call arranges. Source: engineering assumption, ten times a large class.
pub const CHILDREN_MAX: usize = 400;

/// Shortest own gap that is taken as one, in metres. Source: engineering assumption.
pub const OWN_GAP_MIN_M: f64 = 0.1;

/// Longest own gap that is taken as one, in metres. Source: engineering assumption.
pub const OWN_GAP_MAX_M: f64 = 6.0;

/// A gap this close to the edge of a band still counts as inside, in metres: a band edge that falls on a mark must
/// not be lost to the last digit of a product. Source: engineering assumption.
pub const BAND_SLACK_M: f64 = 1e-9;

/// One child who runs today, as the lanes see them.
#[derive(Debug, Clone, PartialEq)]
pub struct Child {
    /// Natural logarithm of the child's own median gap in metres, for the first drill asked for.
    pub own_gap_ln: f64,
    /// Gap and band for every drill asked for, in that order.
    pub drills: Vec<ChildDrill>,
    /// The only lane this child may run in, counted from 0 = shortest gap.
    pub only: Option<usize>,
    /// Lanes this child is kept out of. A lane that does not exist is kept out of by itself.
    pub never: Vec<usize>,
}

/// One child's gap for one drill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChildDrill {
    /// Natural logarithm of the own median gap in metres.
    pub gap_ln: f64,
    /// Shortest gap that the drill tolerates for this child, in metres; 0 for none.
    pub low_m: f64,
    /// Longest gap that the drill tolerates for this child, in metres; infinite for none.
    pub high_m: f64,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ask<'a> {
    /// Everyone who runs, in the order of the class list. At least as many as lanes.
    pub children: &'a [Child],
    /// Which of a lane's two gaps each drill uses; one entry per drill, the main drill first.
    pub settings: &'a [Setting],
    /// Number of lanes, 1 to [`LANES_MAX`].
    pub lanes: usize,
    /// Pairs of children who share a lane, as indices into `children`.
    pub together: &'a [(usize, usize)],
    /// Pairs of children who do not share a lane, likewise.
    pub apart: &'a [(usize, usize)],
    /// No gap is shorter than this, in metres.
    pub gap_min_m: f64,
}

/// The lanes that suit the children best.
#[derive(Debug, Clone, PartialEq)]
pub struct Optimum {
    /// Lane of each child, in the order of `Ask::children`.
    pub lane_of: Vec<usize>,
    /// The lanes, shortest gap for the first drill first.
    pub lanes: Vec<LaneGaps>,
    /// Sum over children of (ln lane gap − ln own gap)², first drill.
    pub sum_sq_ln: f64,
    /// Largest |ln lane gap − ln own gap|, first drill.
    pub max_abs_ln: f64,
    /// Who is outside the band of which drill; empty when every lane suits everyone. By child, then drill.
    pub outside: Vec<Outside>,
    /// How much is known about this being the best.
    pub proof: Proof,
}

/// The one or two gaps of a lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaneGaps {
    /// Gap for the first drill, in metres.
    pub first_gap_m: f64,
    /// Gap for drills with the long setting, in metres; absent when none was asked for.
    pub long_m: Option<f64>,
    /// Gap for drills with the short setting, in metres; absent when none was asked for.
    pub short_m: Option<f64>,
    /// The short gap is exactly half of the long one: it uses every mark, the long gap every second mark.
    pub short_is_half: bool,
}

impl LaneGaps {
    /// Returns the gap for a drill with that setting, in metres; absent when no drill with it was asked for.
    pub fn gap_m(&self, setting: Setting) -> Option<f64> {
        match setting {
            Setting::Long => self.long_m,
            Setting::Short => self.short_m,
        }
    }

    /// Returns how many different gaps the lane has: 1 or 2.
    pub fn setting_count(&self) -> usize {
        match (self.long_m, self.short_m) {
            (Some(long_m), Some(short_m)) if long_m != short_m => 2,
            _ => 1,
        }
    }
}

/// One child whose lane gap lies outside the band of one drill.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outside {
    /// Index into `Ask::children`.
    pub child: usize,
    /// Index into `Ask::settings`.
    pub drill: usize,
    /// The child's lane.
    pub lane: usize,
    /// On which side of the band the lane's gap lies.
    pub side: Side,
}

/// On which side of a child's band a gap lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The hurdles stand closer than the child tolerates.
    TooClose,
    /// The hurdles stand further apart than the child tolerates.
    TooFar,
}

/// How much is known about an arrangement being the best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Proof {
    /// No arrangement is better.
    Exact,
    /// Several drills: no arrangement is better in which the children stand in the order of their own gaps and the
    /// lanes' gaps rise with them. Arrangements out of that order were searched by swapping and moving children,
    /// and none was better than this one; they were not all seen.
    InOrder,
    /// The search stopped at its limit. This is the best arrangement found.
    Bound {
        /// No arrangement has a smaller sum of squares for the first drill.
        lower: f64,
    },
}

/// Why there is no arrangement.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LanesError {
    /// No drill was asked for.
    #[error("no drill with hurdles was asked for; name at least one")]
    NoDrill,
    /// There are no lanes, or too many.
    #[error("{provided} lanes were asked for; allowed is 1 to {LANES_MAX}")]
    LaneCount {
        /// What was asked for.
        provided: usize,
    },
    /// There are fewer children than lanes, or too many.
    #[error("{provided} children for {lanes} lanes; allowed is {lanes} to {CHILDREN_MAX}")]
    ChildCount {
        /// How many children there are.
        provided: usize,
        /// How many lanes were asked for.
        lanes: usize,
    },
    /// A child does not have one entry per drill.
    #[error("child {child} has gaps for {provided} drills; {expected} were asked for")]
    DrillCount {
        /// Index into `Ask::children`.
        child: usize,
        /// Entries there are.
        provided: usize,
        /// Entries there should be.
        expected: usize,
    },
    /// An own gap is not a number, or not one that a child runs.
    #[error(
        "child {child}, drill {drill}: own gap {provided_m} m; allowed is {OWN_GAP_MIN_M} to {OWN_GAP_MAX_M} m"
    )]
    OwnGap {
        /// Index into `Ask::children`.
        child: usize,
        /// Index into `Ask::settings`.
        drill: usize,
        /// What was given, in metres.
        provided_m: f64,
    },
    /// A band is empty or not made of numbers.
    #[error(
        "child {child}, drill {drill}: band {low_m} to {high_m} m; the lower end must not exceed the upper one"
    )]
    Band {
        /// Index into `Ask::children`.
        child: usize,
        /// Index into `Ask::settings`.
        drill: usize,
        /// Lower end, in metres.
        low_m: f64,
        /// Upper end, in metres.
        high_m: f64,
    },
    /// The shortest gap allowed is not a number, negative, or longer than any own gap may be.
    #[error("shortest gap {provided_m} m; allowed is 0 to {OWN_GAP_MAX_M} m")]
    GapMin {
        /// What was given, in metres.
        provided_m: f64,
    },
    /// A wish is about a child who is not there.
    #[error("a wish is about child {provided}, but there are only {children}")]
    UnknownChild {
        /// The index in the wish.
        provided: usize,
        /// How many children there are.
        children: usize,
    },
    /// A child is to run only in a lane that is not there.
    #[error("child {child} is to run in lane {lane} only, but there are only {lanes} lanes")]
    UnknownLane {
        /// Index into `Ask::children`.
        child: usize,
        /// The lane, counted from 0.
        lane: usize,
        /// How many lanes there are.
        lanes: usize,
    },
    /// The wishes cannot be met together. Taking back any one of them would do.
    #[error("these {} wishes cannot all be met; take one back", wishes.len())]
    WishesClash {
        /// A smallest set in the sense that none of them can be left out of it.
        wishes: Vec<Wish>,
    },
    /// There are so many wishes that the search ended before it met them or found them impossible.
    #[error("there are too many wishes to arrange; take some back")]
    WishesTooMany,
}

/// Returns whether a gap lies inside a band, both in metres, with [`BAND_SLACK_M`] at either end.
pub fn inside_band(gap_m: f64, low_m: f64, high_m: f64) -> bool {
    side_of_band(gap_m, low_m, high_m).is_none()
}

/// Returns on which side of a band a gap lies, both in metres; `None` inside.
fn side_of_band(gap_m: f64, low_m: f64, high_m: f64) -> Option<Side> {
    if gap_m < low_m - BAND_SLACK_M {
        Some(Side::TooClose)
    } else if gap_m > high_m + BAND_SLACK_M {
        Some(Side::TooFar)
    } else {
        None
    }
}

/// Arranges children and gaps so that the lanes suit them best.
///
/// Every lane gets ⌊n/K⌋ or ⌈n/K⌉ of the n children. Lanes are numbered by their gap for the first drill, shortest
/// first; that holds with wishes too, so "only lane A" means "only the lane with the shortest gap".
///
/// One drill: the sum of squares is the smallest there is, whatever the wishes; bands do not move it, they only
/// fill `outside`. Several drills: what comes first decides —
/// 1. fewest (child, drill) pairs outside a band;
/// 2. fewest gaps laid out, one or two per lane;
/// 3. most lanes whose short gap is half of the long one;
/// 4. the sum of squares for the first drill;
/// 5. the same sum for the first drill that uses the other gap.
///
/// Ties, in this order: the shorter gaps (summed over the children who run them); the fuller queues in the lanes
/// with the shorter gaps; children with equal own gaps in the order of the class list.
///
/// # Errors
/// Input out of range, or wishes that cannot be met together.
///
/// # Accuracy
/// Own gaps enter rounded to 2⁻⁴⁴ in the logarithm; the sum of squares of the answer exceeds the smallest one by
/// less than 1e-11 for a class of 40.
pub fn optimise(ask: &Ask) -> Result<Optimum, LanesError> {
    check(ask)?;
    let task = task::Task::new(ask);
    let found = search::search(&task, ask)?;
    Ok(report(ask, &task, &found))
}

fn check(ask: &Ask) -> Result<(), LanesError> {
    let children = ask.children.len();
    if ask.settings.is_empty() {
        return Err(LanesError::NoDrill);
    }
    if !(1..=LANES_MAX).contains(&ask.lanes) {
        return Err(LanesError::LaneCount { provided: ask.lanes });
    }
    if !(ask.lanes..=CHILDREN_MAX).contains(&children) {
        return Err(LanesError::ChildCount { provided: children, lanes: ask.lanes });
    }
    if !(0.0..=OWN_GAP_MAX_M).contains(&ask.gap_min_m) {
        return Err(LanesError::GapMin { provided_m: ask.gap_min_m });
    }
    let own_gap_ln_range = libm::log(OWN_GAP_MIN_M)..=libm::log(OWN_GAP_MAX_M);
    for (index, child) in ask.children.iter().enumerate() {
        if child.drills.len() != ask.settings.len() {
            return Err(LanesError::DrillCount {
                child: index,
                provided: child.drills.len(),
                expected: ask.settings.len(),
            });
        }
        let own_gaps_ln = std::iter::once((0, child.own_gap_ln))
            .chain(child.drills.iter().map(|drill| drill.gap_ln).enumerate());
        for (drill, gap_ln) in own_gaps_ln {
            if !own_gap_ln_range.contains(&gap_ln) {
                return Err(LanesError::OwnGap { child: index, drill, provided_m: libm::exp(gap_ln) });
            }
        }
        for (drill, ChildDrill { low_m, high_m, .. }) in child.drills.iter().enumerate() {
            if low_m.is_nan() || high_m.is_nan() || low_m > high_m {
                return Err(LanesError::Band { child: index, drill, low_m: *low_m, high_m: *high_m });
            }
        }
        if let Some(lane) = child.only.filter(|lane| *lane >= ask.lanes) {
            return Err(LanesError::UnknownLane { child: index, lane, lanes: ask.lanes });
        }
    }
    for (first, second) in ask.together.iter().chain(ask.apart) {
        if let Some(provided) = [first, second].into_iter().find(|child| **child >= children) {
            return Err(LanesError::UnknownChild { provided: *provided, children });
        }
    }
    Ok(())
}

/// Says what was found in metres and in the order of the class list.
fn report(ask: &Ask, task: &task::Task, found: &search::Found) -> Optimum {
    let lanes: Vec<LaneGaps> = found.arrangement.gaps.iter().map(|gaps| task.lane_gaps(*gaps)).collect();
    let mut lane_of = vec![0; ask.children.len()];
    let mut sum_sq_ln = 0.0;
    let mut max_abs_ln = 0.0_f64;
    // In the order of own gaps, so that the order of the class list does not touch the last digit.
    for (place, child) in task.order.iter().enumerate() {
        let lane = usize::from(found.arrangement.lane_of[place]);
        lane_of[*child] = lane;
        let difference_ln = libm::log(lanes[lane].first_gap_m) - ask.children[*child].own_gap_ln;
        sum_sq_ln += difference_ln * difference_ln;
        max_abs_ln = max_abs_ln.max(difference_ln.abs());
    }
    let mut outside = Vec::new();
    for (child, about) in ask.children.iter().enumerate() {
        let lane = lane_of[child];
        for (drill, (setting, band)) in ask.settings.iter().zip(&about.drills).enumerate() {
            let gap_m = lanes[lane].gap_m(*setting).expect("every setting asked for has a gap");
            if let Some(side) = side_of_band(gap_m, band.low_m, band.high_m) {
                outside.push(Outside { child, drill, lane, side });
            }
        }
    }
    Optimum { lane_of, lanes, sum_sq_ln, max_abs_ln, outside, proof: found.proof }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn child(gap_m: f64) -> Child {
        let gap_ln = libm::log(gap_m);
        Child {
            own_gap_ln: gap_ln,
            drills: vec![ChildDrill { gap_ln, low_m: 0.9 * gap_m, high_m: 1.1 * gap_m }],
            only: None,
            never: Vec::new(),
        }
    }

    /// A child with own gap and band for each of several drills, in metres.
    fn child_with(drills_m: &[(f64, f64, f64)]) -> Child {
        let drills: Vec<ChildDrill> = drills_m
            .iter()
            .map(|&(gap_m, low_m, high_m)| ChildDrill { gap_ln: libm::log(gap_m), low_m, high_m })
            .collect();
        Child { own_gap_ln: drills[0].gap_ln, drills, only: None, never: Vec::new() }
    }

    fn class(gaps_m: &[f64]) -> Vec<Child> {
        gaps_m.iter().map(|gap_m| child(*gap_m)).collect()
    }

    fn ask(children: &[Child], lanes: usize) -> Ask<'_> {
        Ask { children, settings: &[Setting::Long], lanes, together: &[], apart: &[], gap_min_m: 0.35 }
    }

    fn gaps_m(optimum: &Optimum) -> Vec<f64> {
        optimum.lanes.iter().map(|lane| lane.first_gap_m).collect()
    }

    #[test]
    fn gaps_are_clean_multiples_of_five_centimetres() {
        for step in 1..=200_u32 {
            let gap_m = task::metres(2 * step as usize);
            assert_eq!(gap_m, f64::from(step) / 20.0);
            assert!(gap_m.to_string().len() <= 5, "{gap_m}");
        }
    }

    #[test]
    fn one_child_gets_the_nearest_gap() {
        let optimum = optimise(&ask(&class(&[1.26]), 1)).unwrap();
        assert_eq!(gaps_m(&optimum), [1.25]);
        assert_eq!(optimum.lane_of, [0]);
        let difference_ln = libm::log(1.25) - libm::log(1.26);
        assert_eq!(optimum.sum_sq_ln, difference_ln * difference_ln);
        assert_eq!(optimum.max_abs_ln, difference_ln.abs());
    }

    #[test]
    fn as_many_lanes_as_children_give_everyone_the_nearest_gap() {
        let optimum = optimise(&ask(&class(&[1.52, 0.98, 1.27, 1.11]), 4)).unwrap();
        assert_eq!(gaps_m(&optimum), [1.0, 1.1, 1.25, 1.5]);
        assert_eq!(optimum.lane_of, [3, 0, 2, 1]);
    }

    #[test]
    fn of_two_equally_good_gaps_the_shorter_is_taken() {
        let optimum = optimise(&ask(&class(&[1.2, 1.25]), 1)).unwrap();
        assert_eq!(gaps_m(&optimum), [1.2]);
    }

    #[test]
    fn between_equally_good_lanes_the_shorter_gap_and_the_fuller_queue_come_first() {
        let optimum = optimise(&ask(&class(&[1.0, 1.2, 1.2, 1.4]), 2)).unwrap();
        assert_eq!(optimum.lane_of, [0, 0, 1, 1]);
        let optimum = optimise(&ask(&class(&[1.2, 1.2, 1.2, 1.2, 1.2]), 2)).unwrap();
        assert_eq!(optimum.lane_of, [0, 0, 0, 1, 1]);
        assert_eq!(gaps_m(&optimum), [1.2, 1.2]);
    }

    #[test]
    fn identical_children_stand_in_the_order_of_the_class_list() {
        let optimum = optimise(&ask(&class(&[1.3; 8]), 3)).unwrap();
        assert_eq!(optimum.lane_of, [0, 0, 0, 1, 1, 1, 2, 2]);
        assert_eq!(optimum.max_abs_ln, 0.0);
    }

    #[test]
    fn no_gap_is_shorter_than_the_shortest_allowed() {
        let children = class(&[0.4, 0.42, 0.9]);
        let optimum = optimise(&Ask { gap_min_m: 0.6, ..ask(&children, 3) }).unwrap();
        assert_eq!(gaps_m(&optimum), [0.6, 0.6, 0.9]);
        let optimum = optimise(&Ask { gap_min_m: 2.01, ..ask(&children, 1) }).unwrap();
        assert_eq!(gaps_m(&optimum), [2.05]);
    }

    #[test]
    fn bands_do_not_move_the_gap_of_a_single_drill() {
        let gaps = [(1.0, 1.0, 1.02), (1.1, 1.09, 1.1), (1.3, 1.28, 1.31)];
        let children: Vec<Child> = gaps.iter().map(|gap| child_with(&[*gap])).collect();
        let optimum = optimise(&ask(&children, 1)).unwrap();
        assert_eq!(gaps_m(&optimum), [1.15]);
        assert_eq!(optimum.proof, Proof::Exact);
        let sides: Vec<(usize, Side)> = optimum.outside.iter().map(|out| (out.child, out.side)).collect();
        assert_eq!(sides, [(0, Side::TooFar), (1, Side::TooFar), (2, Side::TooClose)]);
    }

    #[test]
    fn a_band_edge_on_the_mark_is_inside() {
        assert!(inside_band(1.2, 0.8 * 1.5, 1.5));
        assert!(inside_band(1.2, 0.9, 0.6 + 0.6));
        assert!(!inside_band(1.2, 1.21, 1.5));
    }

    #[test]
    fn short_is_half_of_long_where_the_bands_allow() {
        let child = child_with(&[(1.25, 1.15, 1.35), (0.66, 0.5, 0.8)]);
        let settings = [Setting::Long, Setting::Short];
        let optimum = optimise(&Ask { settings: &settings, ..ask(&[child], 1) }).unwrap();
        let lane = optimum.lanes[0];
        assert_eq!((lane.long_m, lane.short_m, lane.short_is_half), (Some(1.25), Some(0.625), true));
        assert_eq!(lane.setting_count(), 2);
        assert!(optimum.outside.is_empty());
    }

    #[test]
    fn short_has_its_own_gap_where_half_is_outside() {
        let child = child_with(&[(1.25, 1.15, 1.35), (0.8, 0.75, 0.9)]);
        let settings = [Setting::Long, Setting::Short];
        let optimum = optimise(&Ask { settings: &settings, ..ask(&[child], 1) }).unwrap();
        let lane = optimum.lanes[0];
        assert_eq!((lane.long_m, lane.short_m, lane.short_is_half), (Some(1.25), Some(0.8), false));
    }

    #[test]
    fn one_gap_serves_all_drills_where_it_lies_in_all_bands() {
        let child = child_with(&[(0.8, 0.6, 1.1), (1.3, 0.95, 1.5)]);
        let settings = [Setting::Short, Setting::Long];
        let optimum = optimise(&Ask { settings: &settings, ..ask(&[child], 1) }).unwrap();
        let lane = optimum.lanes[0];
        assert_eq!((lane.first_gap_m, lane.long_m, lane.short_m), (0.95, Some(0.95), Some(0.95)));
        assert_eq!(lane.setting_count(), 1);
    }

    #[test]
    fn half_is_found_where_bands_have_no_ends() {
        let child = child_with(&[(1.25, 1.2, f64::INFINITY), (0.75, 0.0, 0.8)]);
        let settings = [Setting::Long, Setting::Short];
        let optimum = optimise(&Ask { settings: &settings, ..ask(std::slice::from_ref(&child), 1) }).unwrap();
        assert_eq!((optimum.lanes[0].long_m, optimum.lanes[0].short_m), (Some(1.25), Some(0.625)));
        let turned = Child {
            own_gap_ln: child.drills[1].gap_ln,
            drills: vec![child.drills[1], child.drills[0]],
            ..child
        };
        let settings = [Setting::Short, Setting::Long];
        let optimum = optimise(&Ask { settings: &settings, ..ask(&[turned], 1) }).unwrap();
        assert_eq!((optimum.lanes[0].short_m, optimum.lanes[0].long_m), (Some(0.75), Some(1.5)));
    }

    #[test]
    fn drills_that_share_a_setting_share_the_gap_and_the_first_one_chooses_it() {
        let child = child_with(&[(1.3, 1.2, 1.4), (1.1, 1.0, 1.25)]);
        let settings = [Setting::Long, Setting::Long];
        let optimum = optimise(&Ask { settings: &settings, ..ask(&[child], 1) }).unwrap();
        assert_eq!((optimum.lanes[0].long_m, optimum.lanes[0].short_m), (Some(1.25), None));
    }

    #[test]
    fn who_cannot_be_kept_inside_is_named() {
        let near = child_with(&[(1.3, 1.2, 1.4), (0.6, 0.5, 0.7)]);
        let far = child_with(&[(1.8, 1.7, 1.9), (0.6, 0.5, 0.7)]);
        let settings = [Setting::Long, Setting::Short];
        let children = [near.clone(), far, near];
        let optimum = optimise(&Ask { settings: &settings, ..ask(&children, 1) }).unwrap();
        assert_eq!(optimum.outside, [Outside { child: 1, drill: 0, lane: 0, side: Side::TooClose }]);
    }

    #[test]
    fn lanes_named_in_wishes_stay_in_the_order_of_their_gaps() {
        let mut children = class(&[1.0, 1.1, 1.4, 1.5]);
        children[3].only = Some(0);
        let optimum = optimise(&ask(&children, 2)).unwrap();
        assert_eq!(optimum.lane_of[3], 0);
        assert!(optimum.lanes[0].first_gap_m <= optimum.lanes[1].first_gap_m);
        let settings = [Setting::Long, Setting::Short];
        let mut children: Vec<Child> = [1.0, 1.1, 1.4, 1.5]
            .iter()
            .map(|gap_m| child_with(&[(*gap_m, 0.9 * gap_m, 1.1 * gap_m), (0.6, 0.4, 0.8)]))
            .collect();
        children[3].only = Some(0);
        let optimum = optimise(&Ask { settings: &settings, ..ask(&children, 2) }).unwrap();
        assert_eq!(optimum.lane_of[3], 0);
        assert!(optimum.lanes[0].first_gap_m <= optimum.lanes[1].first_gap_m);
    }

    #[test]
    fn clashing_wishes_are_named_and_others_are_not() {
        let mut children = class(&[1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7]);
        children[5].never = vec![0];
        let ask = Ask { together: &[(0, 1), (3, 4), (1, 2)], apart: &[(0, 3), (0, 2)], ..ask(&children, 2) };
        let wishes = vec![
            Wish::Together { first: 0, second: 1 },
            Wish::Together { first: 1, second: 2 },
            Wish::Apart { first: 0, second: 2 },
        ];
        assert_eq!(optimise(&ask), Err(LanesError::WishesClash { wishes }));
    }

    #[test]
    fn more_children_for_a_lane_than_its_queue_holds_clash() {
        let mut children = class(&[1.0, 1.1, 1.2, 1.3]);
        for about in &mut children[..3] {
            about.only = Some(1);
        }
        let wishes = (0..3).map(|child| Wish::Only { child, lane: 1 }).collect();
        assert_eq!(optimise(&ask(&children, 2)), Err(LanesError::WishesClash { wishes }));
    }

    #[test]
    fn a_child_apart_from_itself_clashes() {
        let children = class(&[1.0, 1.1]);
        let result = optimise(&Ask { apart: &[(1, 1)], ..ask(&children, 2) });
        assert_eq!(
            result,
            Err(LanesError::WishesClash { wishes: vec![Wish::Apart { first: 1, second: 1 }] })
        );
    }

    #[test]
    fn more_wishes_than_the_search_can_weigh_still_get_lanes_that_meet_them() {
        let gaps: Vec<f64> = (0..40).map(|index| 1.0 + 0.017 * f64::from(index * 7 % 40)).collect();
        let children = class(&gaps);
        let apart: Vec<(usize, usize)> =
            (0..40).map(|index| (index, (index * 11 + 5) % 40)).filter(|(a, b)| a != b).collect();
        let together: Vec<(usize, usize)> = (0..6).map(|index| (index, 39 - index)).collect();
        let ask = Ask { apart: &apart, together: &together, ..ask(&children, 8) };
        let optimum = optimise(&ask).unwrap();
        assert!(apart.iter().all(|(a, b)| optimum.lane_of[*a] != optimum.lane_of[*b]));
        assert!(together.iter().all(|(a, b)| optimum.lane_of[*a] == optimum.lane_of[*b]));
        let Proof::Bound { lower } = optimum.proof else { panic!("the case is meant to reach the limit") };
        let freest = optimise(&Ask { apart: &[], together: &[], ..ask }).unwrap();
        assert!(
            freest.sum_sq_ln - 1e-9 <= lower && lower < optimum.sum_sq_ln,
            "{lower} {}",
            optimum.sum_sq_ln
        );
    }

    #[test]
    fn wishes_beyond_the_search_are_refused_in_words() {
        // Thirteen children, no two together, in twelve lanes that all differ in who may enter.
        let mut children = class(&[1.2; 26]);
        for (index, about) in children.iter_mut().take(13).enumerate() {
            about.never = vec![index % 12];
        }
        let apart: Vec<(usize, usize)> = (0..13).flat_map(|a| (0..a).map(move |b| (a, b))).collect();
        let result = optimise(&Ask { apart: &apart, ..ask(&children, 12) });
        assert_eq!(result, Err(LanesError::WishesTooMany));
    }

    #[test]
    fn input_out_of_range_is_refused_with_its_place() {
        let children = class(&[1.0, 1.1]);
        let of = |change: &dyn Fn(&mut Child)| {
            let mut children = children.clone();
            change(&mut children[1]);
            optimise(&ask(&children, 2)).unwrap_err()
        };
        assert_eq!(optimise(&Ask { settings: &[], ..ask(&children, 1) }), Err(LanesError::NoDrill));
        assert_eq!(optimise(&ask(&children, 0)), Err(LanesError::LaneCount { provided: 0 }));
        assert_eq!(optimise(&ask(&children, 65)), Err(LanesError::LaneCount { provided: 65 }));
        assert_eq!(optimise(&ask(&children, 3)), Err(LanesError::ChildCount { provided: 2, lanes: 3 }));
        let too_many = class(&[1.0; 401]);
        assert_eq!(optimise(&ask(&too_many, 3)), Err(LanesError::ChildCount { provided: 401, lanes: 3 }));
        let short = Ask { gap_min_m: f64::NAN, ..ask(&children, 2) };
        assert!(matches!(optimise(&short), Err(LanesError::GapMin { .. })));
        assert!(matches!(
            of(&|child| child.own_gap_ln = f64::NAN),
            LanesError::OwnGap { child: 1, drill: 0, .. }
        ));
        assert!(matches!(of(&|child| child.own_gap_ln = 3.0), LanesError::OwnGap { child: 1, .. }));
        assert!(matches!(of(&|child| child.drills[0].gap_ln = -9.0), LanesError::OwnGap { child: 1, .. }));
        assert!(matches!(
            of(&|child| child.drills[0].low_m = 9.0),
            LanesError::Band { child: 1, drill: 0, .. }
        ));
        assert!(matches!(of(&|child| child.drills.clear()), LanesError::DrillCount { child: 1, .. }));
        assert!(matches!(
            of(&|child| child.only = Some(2)),
            LanesError::UnknownLane { child: 1, lane: 2, .. }
        ));
        let stranger = Ask { together: &[(0, 2)], ..ask(&children, 2) };
        assert_eq!(optimise(&stranger), Err(LanesError::UnknownChild { provided: 2, children: 2 }));
        assert!(of(&|child| child.only = Some(2)).to_string().contains("only 2 lanes"));
    }
}
