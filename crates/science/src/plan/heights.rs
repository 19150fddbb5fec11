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
    /// The height that each lane wants, in centimetres.
    pub wanted_cm: Vec<f64>,
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

/// Gives each lane its hurdles. `suits` holds, per lane, the heights that suit its children, shortest gap first.
///
/// A lane wants the height that suits its middle child, as far as the bag has hurdles of it; floor lines for a whole
/// lane only when they were wanted. Heights never fall from a lane to the next one with longer gaps: the smaller
/// children have the lower hurdles. Among all ways to share out the bag like that, the one is taken with, in this
/// order, nobody's hurdles too high, fewest lanes of mere lines, fewest hurdles missing, least lowered. Lanes of one
/// height share its hurdles evenly.
pub(super) fn heights(input: &PlanInput, per_lane: u32, suits: &[Vec<f64>]) -> Heights {
    let mut stock: BTreeMap<u64, u32> = BTreeMap::new();
    for entry in input.kit.hurdles.iter().filter(|entry| entry.count > 0) {
        // Heights are not negative, so their bits sort as they do.
        *stock.entry((entry.height_cm + 0.0).to_bits()).or_default() += entry.count;
    }
    let lowest_cm = stock.keys().map(|bits| f64::from_bits(*bits)).find(|height| *height > 0.0);
    // Lines that are not listed are drawn, and never run out.
    stock.entry(0.0_f64.to_bits()).or_insert(u32::MAX);
    let wanted_cm: Vec<f64> = suits
        .iter()
        .map(|suits| {
            let mut suiting = suits.clone();
            suiting.sort_by(f64::total_cmp);
            let middle = suiting.get(suiting.len().saturating_sub(1) / 2).copied().unwrap_or(input.height_cm);
            match lowest_cm {
                // Whoever needs lines beside a lane of hurdles is named; the lane itself keeps its hurdles.
                Some(lowest_cm) if input.height_cm > 0.0 => middle.max(lowest_cm.min(input.height_cm)),
                _ => 0.0,
            }
        })
        .collect();
    let lanes = share_out(&stock.into_iter().collect::<Vec<_>>(), &wanted_cm, per_lane);
    let which = |is: &dyn Fn(usize) -> bool| (0..lanes.len()).filter(|lane| is(*lane)).collect();
    Heights {
        ran_out: which(&|lane| lanes[lane].height_cm != wanted_cm[lane]),
        fewer: which(&|lane| lanes[lane].hurdles < per_lane),
        lanes,
        wanted_cm,
    }
}

/// What a way to share out the bag costs, compared from left to right: centimetres too high, lanes of mere lines,
/// hurdles missing, centimetres lowered.
type Cost = [f64; 4];

/// Finds the cheapest way by dynamic programming over blocks of neighbouring lanes that have one height.
fn share_out(stock: &[(u64, u32)], wanted_cm: &[f64], per_lane: u32) -> Vec<LaneHeight> {
    let block = |from: usize, to: usize, (bits, count): (u64, u32)| -> Option<(Cost, LaneHeight)> {
        let height_cm = f64::from_bits(bits);
        let hurdles = (count / (to - from) as u32).min(per_lane);
        if hurdles < per_lane.min(HURDLES_MIN) {
            return None;
        }
        let mut cost = [0.0; 4];
        for wanted_cm in &wanted_cm[from..to] {
            cost[0] += (height_cm - wanted_cm).max(0.0);
            cost[1] += if height_cm == 0.0 && *wanted_cm > 0.0 { 1.0 } else { 0.0 };
            cost[2] += f64::from(per_lane - hurdles);
            cost[3] += (wanted_cm - height_cm).max(0.0);
        }
        Some((cost, LaneHeight { height_cm, hurdles }))
    };
    // The best way for the first `to` lanes with the heights seen so far; each height adds one block at the end.
    let mut best: Vec<Option<(Cost, Vec<LaneHeight>)>> = vec![None; wanted_cm.len() + 1];
    best[0] = Some(([0.0; 4], Vec::new()));
    for entry in stock {
        let before = best.clone();
        for (from, start) in before.iter().enumerate() {
            let Some((spent, lanes)) = start else { continue };
            for (to, end) in best.iter_mut().enumerate().skip(from + 1) {
                let Some((cost, lane)) = block(from, to, *entry) else { continue };
                let total: Cost = std::array::from_fn(|part| spent[part] + cost[part]);
                if end.as_ref().is_none_or(|(known, _)| total < *known) {
                    let mut lanes = lanes.clone();
                    lanes.resize(to, lane);
                    *end = Some((total, lanes));
                }
            }
        }
    }
    // Lines serve where nothing in the bag does: listed ones may have run out as well.
    best.pop().flatten().map_or_else(
        || vec![LaneHeight { height_cm: 0.0, hurdles: per_lane }; wanted_cm.len()],
        |(_, lanes)| lanes,
    )
}
