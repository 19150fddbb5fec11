//! What the coach should know about a plan, most important first, alike things said once.

use std::collections::BTreeMap;

use lanewright_model::kit::Surface;
use lanewright_model::{Arg, DrillId, Message};

use crate::lanes::Wish;
use crate::site::HURDLES_MIN;
use crate::stride::Basis;

use super::count::{Bound, LANES_PER_ADULT};
use super::{Draft, PlanInput, drill_name, lane_name};

/// More sentences than this about children outside a band are summed up.
const OUTSIDE_MAX: usize = 5;

/// A gap that is off the children's own by more than this share suits a drill no longer, though the drill tolerates it
/// (engineering assumption).
const OWN_GAP_NEAR_SHARE: f64 = 0.1;

pub(super) fn warnings(input: &PlanInput, draft: &Draft) -> Vec<Message> {
    let mut said = Vec::new();
    floor(input, draft, &mut said);
    heights(input, draft, &mut said);
    lanes(input, draft, &mut said);
    outside(input, draft, &mut said);
    one_gap(draft, &mut said);
    asked(input, draft, &mut said);
    known(input, draft, &mut said);
    said
}

/// Does it fit, and is the floor safe for what is asked.
fn floor(input: &PlanInput, draft: &Draft, said: &mut Vec<Message>) {
    if !draft.plan.fits {
        let short = &draft.arrangement;
        if short.short_length_m > 0.0 {
            said.push(Message::new("plan-too-long").with("by", Arg::RoomM(short.short_length_m)));
        }
        if short.short_width_m > 0.0 {
            said.push(Message::new("plan-too-wide").with("by", Arg::RoomM(short.short_width_m)));
        }
        if draft.stands {
            said.push(Message::new("plan-stand-no-room"));
        } else if draft.plan.remedies.is_empty() {
            said.push(Message::new("plan-no-remedy"));
        }
    }
    let runs = draft.lane_drills.iter().any(|drill| !drill.walk);
    match input.space.as_ref().map(|space| space.surface) {
        Some(Surface::Hard) if runs => said.push(Message::new("plan-hard-floor")),
        Some(Surface::Slippery) => said.push(Message::new("plan-slippery-floor")),
        _ => {}
    }
    if draft.lane_drills.iter().any(|drill| drill.both_ways) {
        said.push(Message::new("plan-tip-both-ways"));
    }
    if let Some(space) = &input.space
        && space.wall_finish
        && !space.wall_start
        && runs
    {
        said.push(Message::new("plan-run-to-open-end"));
    }
}

/// Hurdles that are high for someone, or not as planned.
fn heights(input: &PlanInput, draft: &Draft, said: &mut Vec<Message>) {
    // Whoever needs a lower hurdle than the lane has.
    let mut high: BTreeMap<(u64, usize), Vec<usize>> = BTreeMap::new();
    let mut high_count = 0;
    for (index, suit) in draft.suits.iter().enumerate() {
        let lane = draft.lane_of[index];
        if suit.short_leg && suit.height_cm < draft.heights.lanes[lane].height_cm {
            high.entry((suit.height_cm.to_bits(), lane)).or_default().push(index);
            high_count += 1;
        }
    }
    if high_count * 2 > draft.suits.len() {
        said.push(
            Message::new("plan-high-for-most")
                .with("count", Arg::Count(high_count as i64))
                .with("height", Arg::HeightCm(input.height_cm)),
        );
    } else {
        for ((bits, lane), children) in high {
            let height_cm = f64::from_bits(bits);
            let id = if height_cm > 0.0 { "plan-high-lower" } else { "plan-high-line" };
            said.push(
                Message::new(id)
                    .text("names", names(input, &children))
                    .with("count", Arg::Count(children.len() as i64))
                    .text("lane", lane_name(lane))
                    .with("height", Arg::HeightCm(draft.heights.lanes[lane].height_cm))
                    .with("suits", Arg::HeightCm(height_cm)),
            );
        }
    }
    // Lanes that were given the same instead of the same are one sentence.
    let mut instead: BTreeMap<(u64, u64), Vec<usize>> = BTreeMap::new();
    for lane in &draft.heights.ran_out {
        let given = draft.heights.lanes[*lane].height_cm;
        let wanted = draft.heights.wanted_cm[*lane];
        instead.entry((wanted.to_bits(), given.to_bits())).or_default().push(*lane);
    }
    for ((wanted, given), lanes) in instead {
        let given_cm = f64::from_bits(given);
        let id = if given_cm > 0.0 { "plan-heights-ran-out" } else { "plan-heights-lines" };
        said.push(
            Message::new(id)
                .text("lanes", lane_names(&lanes))
                .with("count", Arg::Count(lanes.len() as i64))
                .with("wanted", Arg::HeightCm(f64::from_bits(wanted)))
                .with("given", Arg::HeightCm(given_cm)),
        );
    }
    if !draft.heights.fewer.is_empty() {
        said.push(
            Message::new("plan-fewer-hurdles")
                .text("lanes", lane_names(&draft.heights.fewer))
                .with("count", Arg::Count(draft.heights.fewer.len() as i64)),
        );
    }
    let unusual: Vec<&DrillId> = draft
        .lane_drills
        .iter()
        .filter(|drill| !drill.heights_cm.is_empty() && !drill.heights_cm.contains(&input.height_cm))
        .filter(|drill| drill.heights_cm.iter().all(|height_cm| *height_cm < input.height_cm))
        .map(|drill| &drill.id)
        .collect();
    if let Some(drill) = unusual.first() {
        said.push(
            Message::new("plan-high-for-drill")
                .with("drill", drill_name(drill))
                .with("height", Arg::HeightCm(input.height_cm)),
        );
    }
}

/// Why there are not as many lanes as asked for, and who watches them.
fn lanes(input: &PlanInput, draft: &Draft, said: &mut Vec<Message>) {
    let count = &draft.count;
    if let (Some(bound), Some(wanted)) = (count.refused, input.lanes_max) {
        let id = match bound {
            Bound::Hurdles => "plan-lanes-hurdles",
            Bound::Width => "plan-lanes-width",
            Bound::Children => "plan-lanes-children",
        };
        said.push(
            Message::new(id)
                .with("wanted", Arg::Count(i64::from(wanted)))
                .with("lanes", Arg::Count(i64::from(count.lanes)))
                .with("least", Arg::Count(i64::from(HURDLES_MIN))),
        );
    }
    if count.unwatched {
        said.push(
            Message::new("plan-lanes-unwatched")
                .with("lanes", Arg::Count(i64::from(count.lanes)))
                .with("adults", Arg::Count(i64::from(input.adults.max(1))))
                .with("each", Arg::Count(i64::from(LANES_PER_ADULT))),
        );
    }
    if input.kit.hurdle_count() == 0 && input.height_cm > 0.0 {
        said.push(Message::new("plan-no-hurdles"));
    } else if let Some(total) = count.total
        && total < HURDLES_MIN
    {
        said.push(Message::new("plan-few-hurdles").with("count", Arg::Count(i64::from(total))));
    }
    if draft.stands {
        said.extend(super::standing::unmet_said(input, draft));
    }
    for (child, lane) in &draft.lost_wishes {
        said.push(
            Message::new("plan-wish-lost").text("names", names(input, &[*child])).text("lane", lane.as_str()),
        );
    }
}

/// Who leaves the band of which drill, with the remedy.
fn outside(input: &PlanInput, draft: &Draft, said: &mut Vec<Message>) {
    // By drill, lane and side; the lane's gap is the same for the whole group.
    let mut groups: BTreeMap<(usize, usize, bool), Vec<usize>> = BTreeMap::new();
    for (index, runner) in draft.plan.runners.iter().enumerate() {
        for (drill, gap) in runner.gaps.iter().enumerate() {
            if !gap.inside {
                let far = lane_gap_m(draft, draft.lane_of[index], drill) > gap.band_high_m;
                groups.entry((drill, draft.lane_of[index], far)).or_default().push(index);
            }
        }
    }
    let mut groups: Vec<_> = groups.into_iter().collect();
    // The main drill first, and within a drill the largest group.
    groups.sort_by_key(|((drill, lane, _), children)| (*drill, std::cmp::Reverse(children.len()), *lane));
    let rest: usize = groups.iter().skip(OUTSIDE_MAX).map(|(_, children)| children.len()).sum();
    for ((drill, lane, far), children) in groups.iter().take(OUTSIDE_MAX) {
        let own_m: Vec<f64> =
            children.iter().map(|index| draft.plan.runners[*index].gaps[*drill].gap_m.median).collect();
        let own = gap_range(&own_m);
        let guessed = children.iter().any(|index| draft.plan.runners[*index].gaps[*drill].gap_m.n == 0);
        let other = other_lane(draft, children, *lane);
        let remedy = match (guessed, other) {
            (true, Some(_)) => "plan-outside-guess-other",
            (true, None) => "plan-outside-guess",
            (false, Some(_)) => "plan-outside-sure-other",
            (false, None) => "plan-outside-sure",
        };
        let remedy = Message::new(remedy)
            .with("own", own.clone())
            .with("count", Arg::Count(children.len() as i64))
            .text("other", other.map(lane_name).unwrap_or_default());
        said.push(
            Message::new(if *far { "plan-outside-far" } else { "plan-outside-close" })
                .text("names", names(input, children))
                .text("lane", lane_name(*lane))
                .with("drill", drill_name(&draft.lane_drills[*drill].id))
                .with("gap", Arg::GapM(lane_gap_m(draft, *lane, *drill)))
                .with("own", own)
                .with("remedy", Arg::Say(Box::new(remedy))),
        );
    }
    if rest > 0 {
        said.push(Message::new("plan-outside-more").with("count", Arg::Count(rest as i64)));
    }
}

/// Lanes that stand on one gap though drills of the long and the short setting are done in them: what is laid, whom it
/// suits, what each drill's own gap would be.
fn one_gap(draft: &Draft, said: &mut Vec<Message>) {
    let drills = draft.lane_drills.len();
    // The mean of the own gaps of a lane's children, in the logarithm.
    let own_m = |lane: usize, drill: usize| {
        let own: Vec<f64> = (0..draft.lane_of.len())
            .filter(|child| draft.lane_of[*child] == lane)
            .map(|child| draft.gaps[child].gaps[drill].mu_ln)
            .collect();
        libm::exp(own.iter().sum::<f64>() / own.len().max(1) as f64)
    };
    let suits = |lane: usize, drill: usize| {
        (lane_gap_m(draft, lane, drill) / own_m(lane, drill) - 1.0).abs() <= OWN_GAP_NEAR_SHARE
    };
    let lanes: Vec<usize> = (0..draft.plan.lanes.len())
        .filter(|lane| {
            let settings = &draft.plan.lanes[*lane].settings;
            settings.len() > 1 && settings.iter().all(|setting| setting.gap_m == settings[0].gap_m)
        })
        .filter(|lane| (0..drills).any(|drill| !suits(*lane, drill)))
        .collect();
    if lanes.is_empty() {
        return;
    }
    let of_lanes = |gap_m: &dyn Fn(usize) -> f64| {
        let of_lane = |lane: usize| {
            Message::new("plan-one-gap-lane")
                .text("lane", lane_name(lane))
                .with("gap", Arg::GapM(gap_m(lane)))
        };
        listed("plan-list", lanes.iter().map(|lane| of_lane(*lane)))
    };
    let on_grid = |gap_m: f64| (gap_m / crate::lanes::GRID_M).round() * crate::lanes::GRID_M;
    let own = |drill: usize| {
        Message::new("plan-one-gap-own")
            .with("drill", drill_name(&draft.lane_drills[drill].id))
            .with("gaps", of_lanes(&|lane| on_grid(own_m(lane, drill))))
    };
    let right: Vec<Message> = (0..drills)
        .filter(|drill| lanes.iter().all(|lane| suits(*lane, *drill)))
        .map(|drill| {
            Message::new("plan-one-gap-drill").with("drill", drill_name(&draft.lane_drills[drill].id))
        })
        .collect();
    let right = match right.is_empty() {
        true => Message::new("plan-one-gap-none"),
        false => Message::new("plan-one-gap-right").with("drills", listed("plan-list", right.into_iter())),
    };
    said.push(
        Message::new("plan-one-gap")
            .with("count", Arg::Count(lanes.len() as i64))
            .with("laid", of_lanes(&|lane| draft.plan.lanes[lane].spacing_m))
            .with("right", Arg::Say(Box::new(right)))
            .with("own", listed("plan-list-drills", (0..drills).map(own))),
    );
}

/// Returns messages one after the other, joined by the words of `between`.
fn listed(between: &str, messages: impl Iterator<Item = Message>) -> Arg {
    let joined = messages.reduce(|first, second| {
        Message::new(between)
            .with("first", Arg::Say(Box::new(first)))
            .with("second", Arg::Say(Box::new(second)))
    });
    Arg::Say(Box::new(joined.unwrap_or_else(|| Message::new("plan-change-none"))))
}

/// Parts of the wish that do not go with the drills, and those who go easy.
fn asked(input: &PlanInput, draft: &Draft, said: &mut Vec<Message>) {
    if input.exit_sprint_m > 0.0 && draft.lane_drills.iter().all(|drill| drill.walk || drill.both_ways) {
        said.push(Message::new("plan-no-sprint-after"));
    }
    if let (Some(effort), Some(drill)) = (input.effort, draft.lane_drills.iter().find(|drill| !drill.walk))
        && effort > drill.effort_max
    {
        said.push(
            Message::new("plan-effort-high")
                .with("drill", drill_name(&drill.id))
                .with("effort", Arg::Share(effort))
                .with("most", Arg::Share(drill.effort_max)),
        );
    }
    let hard = input.exit_sprint_m > 0.0 || draft.lane_drills.iter().any(|drill| drill.contact_class == "D");
    let easy: Vec<usize> =
        (0..input.runners.len()).filter(|index| input.easy.contains(&input.runners[*index].id)).collect();
    if hard && !easy.is_empty() {
        said.push(
            Message::new("plan-easy")
                .text("names", names(input, &easy))
                .with("count", Arg::Count(easy.len() as i64)),
        );
    }
}

/// What is only guessed. The same notice about several children is one sentence with their names.
fn known(input: &PlanInput, draft: &Draft, said: &mut Vec<Message>) {
    let mut notices: Vec<Message> = Vec::new();
    for notice in draft.gaps.iter().flat_map(|gaps| &gaps.notices) {
        let alike = notices.iter_mut().find(|known| {
            let without_child = |message: &Message| {
                let mut args = message.args.clone();
                args.remove("child");
                (message.id.clone(), args)
            };
            known.args.contains_key("child") && without_child(known) == without_child(notice)
        });
        match (alike.and_then(|known| known.args.get_mut("child")), notice.args.get("child")) {
            (Some(Arg::Text(names)), Some(Arg::Text(name))) => {
                names.push_str(", ");
                names.push_str(name);
            }
            _ => notices.push(notice.clone()),
        }
    }
    said.extend(notices);
    // Children of whom nothing at all is known have a notice of their own.
    let guessed: Vec<usize> = (0..draft.gaps.len())
        .filter(|index| matches!(draft.gaps[*index].basis, Basis::AgeAndSex | Basis::Age | Basis::Class))
        .collect();
    if !guessed.is_empty() {
        said.push(
            Message::new("plan-guessed")
                .text("names", names(input, &guessed))
                .with("count", Arg::Count(guessed.len() as i64)),
        );
    }
}

/// Returns a wish in words; `name` gives the label of a child.
pub(super) fn wish(wish: &Wish, name: &dyn Fn(usize) -> String) -> Message {
    match *wish {
        Wish::Only { child, lane } => {
            Message::new("plan-wish-only").text("first", name(child)).text("lane", lane_name(lane))
        }
        Wish::Never { child, lane } => {
            Message::new("plan-wish-never").text("first", name(child)).text("lane", lane_name(lane))
        }
        Wish::Together { first, second } => {
            Message::new("plan-wish-together").text("first", name(first)).text("second", name(second))
        }
        Wish::Apart { first, second } => {
            Message::new("plan-wish-apart").text("first", name(first)).text("second", name(second))
        }
    }
}

fn lane_gap_m(draft: &Draft, lane: usize, drill: usize) -> f64 {
    let setting = draft.lane_drills[drill].gap.as_ref().map(|gap| gap.setting);
    let lane = &draft.plan.lanes[lane];
    lane.settings
        .iter()
        .find(|known| Some(known.setting) == setting)
        .map_or(lane.spacing_m, |known| known.gap_m)
}

/// A lane that suits all of these children in every drill, when there is one; the nearest.
fn other_lane(draft: &Draft, children: &[usize], lane: usize) -> Option<usize> {
    let suits = |other: &usize| {
        children.iter().all(|index| {
            draft.plan.runners[*index].gaps.iter().enumerate().all(|(drill, gap)| {
                crate::lanes::inside_band(lane_gap_m(draft, *other, drill), gap.band_low_m, gap.band_high_m)
            })
        })
    };
    (0..draft.plan.lanes.len())
        .filter(|other| *other != lane)
        .filter(suits)
        .min_by_key(|other| other.abs_diff(lane))
}

fn gap_range(gaps_m: &[f64]) -> Arg {
    let low_m = gaps_m.iter().copied().fold(f64::INFINITY, f64::min);
    let high_m = gaps_m.iter().copied().fold(0.0, f64::max);
    if high_m - low_m < 0.01 {
        Arg::GapM((low_m + high_m) / 2.0)
    } else {
        Arg::Say(Box::new(
            Message::new("plan-from-to").with("low", Arg::GapM(low_m)).with("high", Arg::GapM(high_m)),
        ))
    }
}

fn names(input: &PlanInput, children: &[usize]) -> String {
    children.iter().map(|index| input.runners[*index].label.as_str()).collect::<Vec<_>>().join(", ")
}

fn lane_names(lanes: &[usize]) -> String {
    lanes.iter().map(|lane| lane_name(*lane)).collect::<Vec<_>>().join(", ")
}
