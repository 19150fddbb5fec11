//! The question in whole numbers: children in the order of their own gaps, gaps in units, logarithms in fixed point.

use std::ops::RangeInclusive;

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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Gaps {
    /// For the first drill.
    pub first: usize,
    /// For the other setting; the same as `first` when there is none.
    pub other: usize,
}

/// What a lane costs with certain gaps.
#[derive(Debug, Clone, Copy)]
pub(super) struct Price {
    pub worth: Worth,
    pub gaps: Gaps,
}

impl Price {
    pub(super) const NEVER: Self = Self { worth: Worth::NEVER, gaps: Gaps { first: 0, other: 0 } };

    fn keep_better(&mut self, other: Self) {
        if other.worth < self.worth {
            *self = other;
        }
    }
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
    /// Whether gaps must not fall from lane to lane. Always so with one drill, where it loses nothing; with several
    /// drills only when wishes name lanes, because then the order of the lanes is the order of their gaps.
    pub gaps_rise: bool,
    /// Fixed-point logarithm by unit, from `low`.
    ln: Vec<i64>,
    /// Fixed-point own gap for the first drill, by place.
    own: Vec<i64>,
    /// Fixed-point own gap for the first drill of the other setting, by place.
    own_other: Vec<i64>,
    /// How many drills of the first drill's setting do not tolerate a gap: `width` entries per place.
    refuse: Vec<u32>,
    /// The same for the other setting.
    refuse_other: Vec<u32>,
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
        let lanes_are_named = ask
            .children
            .iter()
            .any(|child| child.only.is_some() || child.never.iter().any(|lane| *lane < ask.lanes));
        let (low, width) = looked_at(ask, bands_count);
        let ln = (low..low + width).map(|units| fixed_ln(libm::log(metres(units)))).collect();
        let refusals = |wanted: Option<Setting>| -> Vec<u32> {
            let mut refuse = vec![0; children * width];
            let Some(wanted) = wanted.filter(|_| bands_count) else { return refuse };
            for (place, child) in order.iter().enumerate() {
                let drills = &ask.children[*child].drills;
                for (_, band) in ask.settings.iter().zip(drills).filter(|(setting, _)| **setting == wanted) {
                    for (offset, count) in refuse[place * width..][..width].iter_mut().enumerate() {
                        let gap_m = metres(low + offset);
                        *count += u32::from(side_of_band(gap_m, band.low_m, band.high_m).is_some());
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
            gaps_rise: !bands_count || lanes_are_named,
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

    /// Returns whether neither a band nor a second gap matters, so that an arrangement in the order of own gaps is a
    /// best one.
    pub(super) fn is_plain(&self) -> bool {
        self.gaps_rise
            && matches!(self.shape, Shape::Single(_))
            && self.refuse.iter().all(|count| *count == 0)
    }

    /// Returns other orders in which children may be dealt out to lanes: by their gaps for the drills after the first.
    pub(super) fn other_orders(&self, ask: &Ask) -> Vec<Vec<usize>> {
        let in_order: Vec<usize> = (0..self.children()).collect();
        let mut orders = vec![in_order.clone()];
        for drill in 1..ask.settings.len() {
            let gap_ln = |place: usize| fixed_ln(ask.children[self.order[place]].drills[drill].gap_ln);
            let mut places = in_order.clone();
            places.sort_by_key(|place| (gap_ln(*place), *place));
            if !orders.contains(&places) {
                orders.push(places);
            }
        }
        orders.split_off(1)
    }

    /// Returns the gap in units for an index into the gaps looked at.
    pub(super) fn units(&self, index: usize) -> usize {
        self.low + index
    }

    /// Returns the index for a gap in units.
    pub(super) fn index(&self, units: usize) -> usize {
        units - self.low
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

    /// Sums up a lane's members.
    pub(super) fn sums(&self, members: impl Iterator<Item = usize>) -> Sums {
        let mut sums = Sums::default();
        self.sum_up(members, &mut sums);
        sums
    }

    /// Sums up a lane's members into sums that were used before.
    pub(super) fn sum_up(&self, members: impl Iterator<Item = usize>, sums: &mut Sums) {
        sums.own = Squares::default();
        sums.own_other = Squares::default();
        for refused in [&mut sums.refused, &mut sums.refused_other] {
            refused.clear();
            refused.resize(self.width, 0);
        }
        for place in members {
            self.join(sums, place);
        }
    }

    /// Adds a member.
    pub(super) fn join(&self, sums: &mut Sums, place: usize) {
        sums.own.add(self.own[place]);
        let row = place * self.width..(place + 1) * self.width;
        sums.refused.iter_mut().zip(&self.refuse[row.clone()]).for_each(|(sum, count)| *sum += count);
        if let Some(own_other) = self.own_other.get(place) {
            sums.own_other.add(*own_other);
            let counts = &self.refuse_other[row];
            sums.refused_other.iter_mut().zip(counts).for_each(|(sum, count)| *sum += count);
        }
    }

    /// Takes a member out.
    pub(super) fn leave(&self, sums: &mut Sums, place: usize) {
        sums.own.take(self.own[place]);
        let row = place * self.width..(place + 1) * self.width;
        sums.refused.iter_mut().zip(&self.refuse[row.clone()]).for_each(|(sum, count)| *sum -= count);
        if let Some(own_other) = self.own_other.get(place) {
            sums.own_other.take(*own_other);
            let counts = &self.refuse_other[row];
            sums.refused_other.iter_mut().zip(counts).for_each(|(sum, count)| *sum -= count);
        }
    }

    /// Fills in what a lane costs for every gap for the first drill, with the best other gap for each.
    pub(super) fn price(&self, sums: &Sums, into: &mut [Price]) {
        into.fill(Price::NEVER);
        self.walk(sums, true, &mut |pair| into[pair.first].keep_better(self.price_of(sums, &pair)));
    }

    /// Returns the best gaps of a lane, the one for the first drill within a range of indices.
    pub(super) fn lay(&self, sums: &Sums, first: RangeInclusive<usize>) -> Price {
        let head = self.least_head(sums, &first);
        // Most gaps are out by now; only those left are worth the sums of squares.
        let any_free = head % KINDS == Kind::Free as u32;
        let mut best = Price::NEVER;
        self.walk(sums, any_free, &mut |pair| {
            if pair.head() == head && first.contains(&pair.first) {
                best.keep_better(self.price_of(sums, &pair));
            }
        });
        best
    }

    /// Returns the least head of the pairs that [`Self::walk`] visits. This is where the time goes.
    fn least_head(&self, sums: &Sums, first: &RangeInclusive<usize>) -> u32 {
        let (refused, refused_other) = (&sums.refused[..self.width], &sums.refused_other[..self.width]);
        let head = |index: usize, outside_other: u32, kind: Kind| head(refused[index] + outside_other, kind);
        let mut least = u32::MAX;
        let mut least_other = None;
        match self.shape {
            Shape::Single(_) => {
                for index in (0..self.width).step_by(GRID).filter(|index| first.contains(index)) {
                    least = least.min(head(index, 0, Kind::Only));
                }
            }
            Shape::LongFirst => {
                for index in (0..self.width).step_by(GRID) {
                    if first.contains(&index) {
                        least = least.min(head(index, refused_other[index], Kind::Same));
                        if let Some(half) = (self.units(index) / 2).checked_sub(self.low) {
                            least = least.min(head(index, refused_other[half], Kind::Half));
                        }
                        if let Some(shorter) = least_other {
                            least = least.min(head(index, shorter, Kind::Free));
                        }
                    }
                    least_other = Some(refused_other[index].min(least_other.unwrap_or(u32::MAX)));
                }
            }
            Shape::ShortFirst => {
                for index in (0..self.width).rev() {
                    let is_wanted = first.contains(&index);
                    let double = self.low + 2 * index;
                    if is_wanted && double < self.width {
                        least = least.min(head(index, refused_other[double], Kind::Half));
                    }
                    if index % GRID != 0 {
                        continue;
                    }
                    if is_wanted {
                        least = least.min(head(index, refused_other[index], Kind::Same));
                        if let Some(longer) = least_other {
                            least = least.min(head(index, longer, Kind::Free));
                        }
                    }
                    least_other = Some(refused_other[index].min(least_other.unwrap_or(u32::MAX)));
                }
            }
        }
        least
    }

    fn price_of(&self, sums: &Sums, pair: &Pair) -> Price {
        let gaps = Gaps { first: self.units(pair.first), other: self.units(pair.other) };
        let worth = Worth {
            outside: pair.outside,
            settings: pair.kind.settings(),
            not_half: u32::from(matches!(pair.kind, Kind::Same | Kind::Free)),
            first: sums.own.around(self.ln[pair.first]),
            other: sums.own_other.around(self.ln[pair.other]),
            gaps: (gaps.first + gaps.other) as u64 * sums.own.count as u64,
            fuller: 0,
        };
        Price { worth, gaps }
    }

    /// Visits the gaps that a lane may have. Of the free pairs only the one with the best other gap comes for each
    /// first gap: best by refusals and, if `by_squares`, by sum of squares.
    fn walk(&self, sums: &Sums, by_squares: bool, visit: &mut impl FnMut(Pair)) {
        let pair = |first: usize, other: usize, kind: Kind| {
            let outside = sums.refused[first] + sums.refused_other[other];
            Pair { first, other, kind, outside }
        };
        let rank = |index: usize| {
            let squares = if by_squares { sums.own_other.around(self.ln[index]) } else { 0 };
            (sums.refused_other[index], squares, index)
        };
        let mut best_other: Option<(u32, i128, usize)> = None;
        match self.shape {
            Shape::Single(_) => {
                (0..self.width).step_by(GRID).for_each(|index| visit(pair(index, index, Kind::Only)));
            }
            Shape::LongFirst => {
                for index in (0..self.width).step_by(GRID) {
                    visit(pair(index, index, Kind::Same));
                    if let Some(half) = (self.units(index) / 2).checked_sub(self.low) {
                        visit(pair(index, half, Kind::Half));
                    }
                    if let Some((_, _, shorter)) = best_other {
                        visit(pair(index, shorter, Kind::Free));
                    }
                    let this = rank(index);
                    if best_other.is_none_or(|best| this < best) {
                        best_other = Some(this);
                    }
                }
            }
            Shape::ShortFirst => {
                for index in (0..self.width).rev() {
                    let double = self.low + 2 * index;
                    if double < self.width {
                        visit(pair(index, double, Kind::Half));
                    }
                    if index % GRID != 0 {
                        continue;
                    }
                    visit(pair(index, index, Kind::Same));
                    if let Some((_, _, longer)) = best_other {
                        visit(pair(index, longer, Kind::Free));
                    }
                    let this = rank(index);
                    if best_other.is_none_or(|best| this < best) {
                        best_other = Some(this);
                    }
                }
            }
        }
    }
}

/// How the two gaps of a lane belong together, the most wanted first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// No drill asks for a second gap.
    Only,
    /// One gap serves both settings.
    Same,
    /// The short gap is half of the long one.
    Half,
    /// Neither.
    Free,
}

/// How many kinds there are.
const KINDS: u32 = 4;

impl Kind {
    fn settings(self) -> u32 {
        match self {
            Self::Only | Self::Same => 1,
            Self::Half | Self::Free => 2,
        }
    }
}

/// Two gaps that a lane may have, as indices.
#[derive(Debug, Clone, Copy)]
struct Pair {
    first: usize,
    other: usize,
    kind: Kind,
    /// (member, drill) pairs outside a band.
    outside: u32,
}

impl Pair {
    /// Returns what decides first between the gaps of a lane; smaller is better.
    fn head(&self) -> u32 {
        head(self.outside, self.kind)
    }
}

/// Puts what decides first into one number.
fn head(outside: u32, kind: Kind) -> u32 {
    outside * KINDS + kind as u32
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

/// A lane's members, summed up.
#[derive(Debug, Clone, Default)]
pub(super) struct Sums {
    own: Squares,
    own_other: Squares,
    /// By index: how many (member, drill) pairs refuse the gap, for drills with the first drill's setting.
    refused: Vec<u32>,
    /// The same for the other setting.
    refused_other: Vec<u32>,
}

/// Number, sum and sum of squares of fixed-point logarithms.
#[derive(Debug, Clone, Default)]
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

    fn take(&mut self, value: i64) {
        self.count -= 1;
        self.sum -= value;
        self.sum_sq -= i128::from(value) * i128::from(value);
    }

    /// Returns the sum of squared differences from `from`.
    fn around(&self, from: i64) -> i128 {
        let from = i128::from(from);
        self.sum_sq + from * (i128::from(self.count) * from - 2 * i128::from(self.sum))
    }
}
