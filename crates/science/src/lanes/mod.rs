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
