//! The question in whole numbers: children in the order of their own gaps, gaps in units, logarithms in fixed point.

use lanewright_model::Setting;

use super::{Ask, GRID_M, LaneGaps, side_of_band};

/// Units per metre. A unit is half a grid step, so that half of any gap on the grid is a whole number of units.
const UNITS_PER_M: usize = 40;

/// A grid step in units.
const GRID: usize = 2;

/// Longest gap that is looked at, in metres. Source: engineering assumption, longer than any band of a child.
const LOOKED_AT_MAX_M: f64 = 10.0;

/// One in the fixed-point logarithm: 2⁴⁴.
const ONE_LN: f64 = 17_592_186_044_416.0;

/// Rounds a logarithm to 2⁻⁴⁴.
fn fixed_ln(value_ln: f64) -> i64 {
    (value_ln * ONE_LN).round() as i64
}

/// Returns a sum of squares of fixed-point logarithms as a plain number.
pub(super) fn plain_sum_sq(fixed: i128) -> f64 {
    fixed as f64 / (ONE_LN * ONE_LN)
}

/// Returns the gap in metres. For a whole grid step this is the number nearest to k / 20.
pub(super) fn metres(units: usize) -> f64 {
    units as f64 / UNITS_PER_M as f64
}

/// What an arrangement, or a lane of one, costs; smaller is better, the first difference decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Worth {
    /// (child, drill) pairs outside a band.
    pub outside: u32,
    /// Gaps laid out.
    pub settings: u32,
    /// Lanes whose short gap is not half of the long one.
    pub not_half: u32,
    /// Sum of squares for the first drill, in fixed point.
    pub first: i128,
    /// Sum of squares for the first drill that uses the other gap, likewise.
    pub other: i128,
    /// Gap lengths in units, summed over the children who run them.
    pub gaps: u64,
    /// A one at the place of each lane with a fuller queue: small when those lanes come early.
    pub fuller: u64,
}

impl Worth {
    pub(super) const NOTHING: Self =
        Self { outside: 0, settings: 0, not_half: 0, first: 0, other: 0, gaps: 0, fuller: 0 };
    /// Stands for "cannot be done".
    pub(super) const NEVER: Self = Self {
        outside: u32::MAX,
        settings: u32::MAX,
        not_half: u32::MAX,
        first: i128::MAX,
        other: i128::MAX,
        gaps: u64::MAX,
        fuller: u64::MAX,
    };

    pub(super) fn can_be(self) -> bool {
        self.outside != u32::MAX
    }

    pub(super) fn plus(self, more: Self) -> Self {
        Self {
            outside: self.outside + more.outside,
            settings: self.settings + more.settings,
            not_half: self.not_half + more.not_half,
            first: self.first + more.first,
            other: self.other + more.other,
            gaps: self.gaps + more.gaps,
            fuller: self.fuller + more.fuller,
        }
    }
}

/// Which gaps a lane has and which of them the first drill uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    /// All drills use the same setting.
    Single(Setting),
    /// Both settings are asked for; the first drill uses the long gap.
    LongFirst,
    /// Both settings are asked for; the first drill uses the short gap.
    ShortFirst,
}

/// The gaps of one lane, in units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Gaps {
    /// For the first drill.
    pub first: usize,
    /// For the other setting; the same as `first` when there is none.
    pub other: usize,
}

/// What a lane costs with its best other gap, for one gap for the first drill.
#[derive(Debug, Clone, Copy)]
pub(super) struct Price {
    pub worth: Worth,
    /// The other gap, in units.
    pub other: usize,
}

impl Price {
    const NEVER: Self = Self { worth: Worth::NEVER, other: 0 };
}

/// The question in whole numbers. Children are named by their place in the order of own gaps.
#[derive(Debug)]
pub(super) struct Task {
    /// Index into `Ask::children`, by place.
    pub order: Vec<usize>,
    /// Number of lanes.
    pub lanes: usize,
    /// Children in a lane that does not have the fuller queue.
    pub queue: usize,
    /// Lanes with one child more.
    pub fuller_lanes: usize,
    /// Shortest gap looked at, in units, even.
    low: usize,
    /// Number of gaps looked at: units `low` to `low + width - 1`.
    pub width: usize,
    shape: Shape,
    /// Fixed-point logarithm by unit, from `low`.
    ln: Vec<i64>,
    /// Fixed-point own gap for the first drill, by place.
    own: Vec<i64>,
    /// Fixed-point own gap for the first drill of the other setting, by place.
    own_other: Vec<i64>,
    /// How many drills of the first drill's setting do not tolerate a gap: `width` entries per place.
    refuse: Vec<u16>,
    /// The same for the other setting.
    refuse_other: Vec<u16>,
}

impl Task {
    /// Prepares a question whose numbers have been checked.
    pub(super) fn new(ask: &Ask) -> Self {
        let first_setting = ask.settings[0];
        let other_drill = ask.settings.iter().position(|setting| *setting != first_setting);
        let shape = match (first_setting, other_drill) {
            (setting, None) => Shape::Single(setting),
            (Setting::Long, Some(_)) => Shape::LongFirst,
            (Setting::Short, Some(_)) => Shape::ShortFirst,
        };
        let children = ask.children.len();
        let mut order: Vec<usize> = (0..children).collect();
        order.sort_by_key(|child| (fixed_ln(ask.children[*child].own_gap_ln), *child));
        let own: Vec<i64> = order.iter().map(|child| fixed_ln(ask.children[*child].own_gap_ln)).collect();
        let own_other = match other_drill {
            Some(drill) => {
                order.iter().map(|child| fixed_ln(ask.children[*child].drills[drill].gap_ln)).collect()
            }
            None => Vec::new(),
        };
        let bands_count = ask.settings.len() > 1;
        let (low, width) = looked_at(ask, bands_count);
        let ln = (low..low + width).map(|units| fixed_ln(libm::log(metres(units)))).collect();
        let refusals = |wanted: Option<Setting>| -> Vec<u16> {
            let mut refuse = vec![0; children * width];
            let Some(wanted) = wanted.filter(|_| bands_count) else { return refuse };
            for (place, child) in order.iter().enumerate() {
                let drills = &ask.children[*child].drills;
                for (_, band) in ask.settings.iter().zip(drills).filter(|(setting, _)| **setting == wanted) {
                    for (offset, count) in refuse[place * width..][..width].iter_mut().enumerate() {
                        let gap_m = metres(low + offset);
                        *count += u16::from(side_of_band(gap_m, band.low_m, band.high_m).is_some());
                    }
                }
            }
            refuse
        };
        let refuse = refusals(Some(first_setting));
        let refuse_other = refusals(other_drill.map(|drill| ask.settings[drill]));
        Self {
            lanes: ask.lanes,
            queue: children / ask.lanes,
            fuller_lanes: children % ask.lanes,
            order,
            low,
            width,
            shape,
            ln,
            own,
            own_other,
            refuse,
            refuse_other,
        }
    }

    /// Returns the number of children.
    pub(super) fn children(&self) -> usize {
        self.order.len()
    }

    /// Returns whether only one drill was asked for, so far as the search is concerned: no band and no second gap
    /// can matter, and an arrangement in order of own gaps is a best one.
    pub(super) fn is_plain(&self) -> bool {
        matches!(self.shape, Shape::Single(_)) && self.refuse.iter().all(|count| *count == 0)
    }

    /// Returns the gap in units for an index into the gaps looked at.
    pub(super) fn units(&self, index: usize) -> usize {
        self.low + index
    }

    /// Returns the gaps of a lane in metres.
    pub(super) fn lane_gaps(&self, gaps: Gaps) -> LaneGaps {
        let (first_gap_m, other_m) = (metres(gaps.first), metres(gaps.other));
        let (long_m, short_m, short_is_half) = match self.shape {
            Shape::Single(Setting::Long) => (Some(first_gap_m), None, false),
            Shape::Single(Setting::Short) => (None, Some(first_gap_m), false),
            Shape::LongFirst => (Some(first_gap_m), Some(other_m), gaps.other * 2 == gaps.first),
            Shape::ShortFirst => (Some(other_m), Some(first_gap_m), gaps.first * 2 == gaps.other),
        };
        LaneGaps { first_gap_m, long_m, short_m, short_is_half }
    }

    /// Fills in what a lane with these members costs, for every gap for the first drill.
    pub(super) fn price(
        &self,
        members: impl Iterator<Item = usize>,
        scratch: &mut Scratch,
        into: &mut [Price],
    ) {
        scratch.clear(self.width);
        let mut own = Squares::default();
        let mut own_other = Squares::default();
        for place in members {
            own.add(self.own[place]);
            for (sum, count) in
                scratch.refuse.iter_mut().zip(&self.refuse[place * self.width..][..self.width])
            {
                *sum += u32::from(*count);
            }
            if let Some(other) = self.own_other.get(place) {
                own_other.add(*other);
                let counts = &self.refuse_other[place * self.width..][..self.width];
                for (sum, count) in scratch.refuse_other.iter_mut().zip(counts) {
                    *sum += u32::from(*count);
                }
            }
        }
        let bill = Bill { task: self, scratch, own, own_other };
        match self.shape {
            Shape::Single(_) => bill.single(into),
            Shape::LongFirst => bill.long_first(into),
            Shape::ShortFirst => bill.short_first(into),
        }
    }
}

/// Returns the shortest gap worth looking at, in units, and how many.
///
/// One drill: a lane's best gap is a grid neighbour of the mean of its members, so nothing beyond the grid
/// neighbours of the extreme own gaps is needed. Several drills: nothing beyond all own gaps and all bands, because
/// moving a gap from there to the nearest of them neither puts anyone outside a band nor adds misfit. Where a band
/// has no end, the other gap may be half or double of one looked at.
fn looked_at(ask: &Ask, bands_count: bool) -> (usize, usize) {
    let mut low_m = f64::INFINITY;
    let mut high_m = 0.0_f64;
    let (mut endless_below, mut endless_above) = (false, false);
    let mut see = |gap_m: f64| {
        if gap_m <= 0.0 {
            endless_below = true;
        } else if gap_m == f64::INFINITY {
            endless_above = true;
        } else {
            low_m = low_m.min(gap_m);
            high_m = high_m.max(gap_m);
        }
    };
    for child in ask.children {
        see(libm::exp(child.own_gap_ln));
        if bands_count {
            for drill in &child.drills {
                see(libm::exp(drill.gap_ln));
                see(drill.low_m);
                see(drill.high_m);
            }
        }
    }
    if endless_below {
        low_m /= 2.0;
    }
    if endless_above {
        high_m *= 2.0;
    }
    let grid_steps = |gap_m: f64| gap_m.min(LOOKED_AT_MAX_M) / GRID_M;
    // A shortest gap that is itself on the grid must not be lost to the last digit of the division.
    let shortest = (ask.gap_min_m / GRID_M - 1e-9).ceil().max(1.0) as usize;
    let low = (grid_steps(low_m).floor() as usize).saturating_sub(1).max(shortest);
    let high = (grid_steps(high_m).ceil() as usize + 1).max(low);
    (low * GRID, (high - low) * GRID + 1)
}

/// Working space for [`Task::price`], kept between calls.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    refuse: Vec<u32>,
    refuse_other: Vec<u32>,
}

impl Scratch {
    fn clear(&mut self, width: usize) {
        for sums in [&mut self.refuse, &mut self.refuse_other] {
            sums.clear();
            sums.resize(width, 0);
        }
    }
}

/// Number, sum and sum of squares of fixed-point logarithms.
#[derive(Debug, Default)]
struct Squares {
    count: i64,
    sum: i64,
    sum_sq: i128,
}

impl Squares {
    fn add(&mut self, value: i64) {
        self.count += 1;
        self.sum += value;
        self.sum_sq += i128::from(value) * i128::from(value);
    }

    /// Returns the sum of squared differences from `from`.
    fn around(&self, from: i64) -> i128 {
        let from = i128::from(from);
        self.sum_sq + from * (i128::from(self.count) * from - 2 * i128::from(self.sum))
    }
}

/// One lane's members, summed up.
struct Bill<'a> {
    task: &'a Task,
    scratch: &'a Scratch,
    own: Squares,
    own_other: Squares,
}

/// The best other gap so far: what it costs, and its index.
type OtherGap = Option<(u32, i128, usize)>;

impl Bill<'_> {
    fn first(&self, index: usize) -> i128 {
        self.own.around(self.task.ln[index])
    }

    fn other(&self, index: usize) -> i128 {
        self.own_other.around(self.task.ln[index])
    }

    fn price(&self, first_index: usize, other_index: usize, settings: u32, not_half: u32) -> Price {
        let units = self.task.units(first_index) + self.task.units(other_index);
        let worth = Worth {
            outside: self.scratch.refuse[first_index] + self.scratch.refuse_other[other_index],
            settings,
            not_half,
            first: self.first(first_index),
            other: self.other(other_index),
            gaps: units as u64 * self.own.count as u64,
            fuller: 0,
        };
        Price { worth, other: self.task.units(other_index) }
    }

    fn single(&self, into: &mut [Price]) {
        into.fill(Price::NEVER);
        for index in (0..self.task.width).step_by(GRID) {
            let mut price = self.price(index, index, 1, 0);
            // There is no other gap: nobody is around it, and nobody refuses it.
            price.worth.other = 0;
            into[index] = price;
        }
    }

    fn long_first(&self, into: &mut [Price]) {
        into.fill(Price::NEVER);
        let mut shorter: OtherGap = None;
        for index in (0..self.task.width).step_by(GRID) {
            let mut best = self.price(index, index, 1, 1);
            // Half of an even unit count is in range unless it is shorter than everything looked at.
            if let Some(half) = (self.task.units(index) / 2).checked_sub(self.task.low) {
                keep_better(&mut best, self.price(index, half, 2, 0));
            }
            if let Some((_, _, short)) = shorter {
                keep_better(&mut best, self.price(index, short, 2, 1));
            }
            into[index] = best;
            let this = (self.scratch.refuse_other[index], self.other(index), index);
            if shorter.is_none_or(|so_far| this < so_far) {
                shorter = Some(this);
            }
        }
    }

    fn short_first(&self, into: &mut [Price]) {
        into.fill(Price::NEVER);
        let mut longer: OtherGap = None;
        for index in (0..self.task.width).rev() {
            let on_grid = index % GRID == 0;
            let mut best = Price::NEVER;
            if on_grid {
                best = self.price(index, index, 1, 1);
                if let Some((_, _, long)) = longer {
                    keep_better(&mut best, self.price(index, long, 2, 1));
                }
            }
            let double = 2 * self.task.units(index) - self.task.low;
            if double < self.task.width {
                keep_better(&mut best, self.price(index, double, 2, 0));
            }
            into[index] = best;
            let this = (self.scratch.refuse_other[index], self.other(index), index);
            if on_grid && longer.is_none_or(|so_far| this < so_far) {
                longer = Some(this);
            }
        }
    }
}

fn keep_better(best: &mut Price, candidate: Price) {
    if candidate.worth < best.worth {
        *best = candidate;
    }
}
