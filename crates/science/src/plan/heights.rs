//! How high the hurdles of each lane are, from what is in the bag and whose legs cross them.

use std::collections::BTreeMap;

use lanewright_model::Estimate;

use crate::site::HURDLES_MIN;
use crate::stride;

use super::PlanInput;

/// The height that suits one child.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Suit {
    /// Height in centimetres; 0 for floor lines.
    pub height_cm: f64,
    /// The wanted height is high for this child's leg.
    pub short_leg: bool,
}

/// One lane's hurdles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LaneHeight {
    /// Height in centimetres; 0 for floor lines.
    pub height_cm: f64,
    /// How many stand in the lane.
    pub hurdles: u32,
}

/// All lanes' hurdles.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heights {
    /// One per lane.
    pub lanes: Vec<LaneHeight>,
    /// Lanes that have other hurdles than suit them best, because those ran out.
    pub ran_out: Vec<usize>,
    /// Lanes that have fewer hurdles than planned, because no height had enough.
    pub fewer: Vec<usize>,
}

/// Returns the height that suits a child among those of which there are enough for a lane.
pub(super) fn suit(input: &PlanInput, leg_length_m: &Estimate, per_lane: u32) -> Suit {
    let mut heights: Vec<f64> = input
        .kit
        .hurdles
        .iter()
        .filter(|stock| stock.count >= per_lane.min(HURDLES_MIN) && stock.height_cm <= input.height_cm)
        .map(|stock| stock.height_cm)
        .chain([0.0, input.height_cm])
        .collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup();
    let (height_cm, short) = stride::hurdle_height_cm(leg_length_m, input.height_cm, &heights);
    Suit { height_cm, short_leg: short.is_some() }
}

/// Gives each lane its hurdles. `suits` holds, per lane, the heights that suit its children.
///
/// A lane wants the height that suits its middle child, as long as the bag has hurdles of it; floor lines for a whole
/// lane only when they were wanted. The lanes with the longest gaps choose first: what is left for the others is
/// lower, and their children are the smaller ones.
pub(super) fn heights(input: &PlanInput, per_lane: u32, suits: &[Vec<f64>]) -> Heights {
    let mut stock: BTreeMap<u64, u32> = BTreeMap::new();
    for entry in &input.kit.hurdles {
        // Heights are not negative, so their bits sort as they do.
        *stock.entry(entry.height_cm.to_bits()).or_default() += entry.count;
    }
    let lines_drawn = !stock.contains_key(&0.0_f64.to_bits());
    let lowest_cm =
        stock.keys().map(|bits| f64::from_bits(*bits)).find(|height| *height > 0.0).unwrap_or(0.0);
    let mut found = Heights {
        lanes: vec![LaneHeight { height_cm: 0.0, hurdles: per_lane }; suits.len()],
        ran_out: vec![],
        fewer: vec![],
    };
    for lane in (0..suits.len()).rev() {
        let mut suiting = suits[lane].clone();
        suiting.sort_by(f64::total_cmp);
        let middle_cm = suiting.get(suiting.len().saturating_sub(1) / 2).copied().unwrap_or(input.height_cm);
        // Whoever needs lines beside a lane of hurdles is named; the lane itself keeps its hurdles.
        let wanted_cm =
            if input.height_cm > 0.0 { middle_cm.max(lowest_cm.min(input.height_cm)) } else { 0.0 };
        let pick = pick(&stock, wanted_cm, per_lane, lines_drawn);
        if let Some(left) = stock.get_mut(&pick.height_cm.to_bits()) {
            *left -= pick.hurdles.min(*left);
        }
        if pick.height_cm != wanted_cm {
            found.ran_out.push(lane);
        }
        if pick.hurdles < per_lane {
            found.fewer.push(lane);
        }
        found.lanes[lane] = pick;
    }
    found.ran_out.reverse();
    found.fewer.reverse();
    found
}

/// The height nearest below the wanted one with enough hurdles, else the nearest above, else the most there are of one
/// height, else floor lines.
fn pick(stock: &BTreeMap<u64, u32>, wanted_cm: f64, per_lane: u32, lines_drawn: bool) -> LaneHeight {
    if wanted_cm == 0.0 && lines_drawn {
        return LaneHeight { height_cm: 0.0, hurdles: per_lane };
    }
    let wanted = wanted_cm.to_bits();
    let enough = |entry: &(&u64, &u32)| *entry.1 >= per_lane;
    let below = stock.range(..=wanted).rev().filter(|(bits, _)| f64::from_bits(**bits) > 0.0 || !lines_drawn);
    let above = stock.range(wanted + 1..);
    if let Some((bits, _)) = below.clone().find(enough).or_else(|| above.clone().find(enough)) {
        return LaneHeight { height_cm: f64::from_bits(*bits), hurdles: per_lane };
    }
    let most = below.chain(above).fold(None, |best: Option<(&u64, &u32)>, entry| match best {
        Some(best) if best.1 >= entry.1 => Some(best),
        _ => Some(entry),
    });
    match most {
        Some((bits, left)) if *left >= HURDLES_MIN => {
            LaneHeight { height_cm: f64::from_bits(*bits), hurdles: *left }
        }
        _ => LaneHeight { height_cm: 0.0, hurdles: per_lane },
    }
}
