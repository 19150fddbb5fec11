//! From a class, a bag of hurdles and a floor to lanes set out: the plan that joins all computations.
//!
//! [`plan`] is a pure function: equal input gives an equal plan, and the order in which the children stand in the
//! class list has no part in who runs where. `docs/methods/plan.md` says which rule decides what.

mod count;
mod fit;
mod heights;
mod notes;
mod standing;

use std::collections::BTreeMap;

use jiff::civil::Date;
use lanewright_model::drill::{Drill, Family, Ladder, Setting};
use lanewright_model::kit::{Kit, Space, Surface};
use lanewright_model::plan::{DrillGap, LaneSetting, Misfit, Plan, PlannedLane, PlannedRunner};
use lanewright_model::record::{PairWishBody, SheetLane};
use lanewright_model::runner::{Presence, Runner, RunnerId};
use lanewright_model::school::ClassView;
use lanewright_model::{Arg, DrillId, Message};
use serde::{Deserialize, Serialize};

use crate::lanes::{self, LanesError};
use crate::site::{self, DrillAsk, LaneAsk, SiteAsk};
use crate::stride::{self, RunnerGaps};

pub use count::{CHILDREN_PER_LANE_MIN, HURDLES_PER_LANE_MAX, LANES_PER_ADULT};
pub use fit::{Change, EFFORT_MIN, apply, ways_to_fit};
pub use standing::{plan_standing, wishes_unmet};

/// Hurdle height when the coach gives none and the bag decides nothing, in centimetres (common practice, no source).
pub const HEIGHT_CM: f64 = 30.0;

/// Room for a foot between two hurdles, in metres: no gap is shorter than a base and this (engineering assumption).
const FOOT_ROOM_M: f64 = 0.15;

/// Everything that a plan follows from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanInput {
    /// Children who run today.
    pub runners: Vec<Runner>,
    /// Children of the same class who do not run today; what is known of them tells about the others.
    pub class_mates: Vec<Runner>,
    /// Drills, the main one first.
    pub drills: Vec<Drill>,
    /// Effort as a share of top speed, 0.05 to 1; each drill's own when absent.
    pub effort: Option<f64>,
    /// The bag of hurdles.
    pub kit: Kit,
    /// Hurdle height wanted, in centimetres, 0 to 60; 0 for floor lines.
    pub height_cm: f64,
    /// The floor, when its size is known.
    pub space: Option<Space>,
    /// Lanes wanted; as many as suit when absent.
    pub lanes_max: Option<u32>,
    /// Adults who can each watch some lanes.
    pub adults: u32,
    /// Sprint after the last hurdle, in metres, 0 to 60; 0 for none.
    pub exit_sprint_m: f64,
    /// Most hurdles in a lane, when the floor is short.
    pub hurdles_per_lane_max: Option<u32>,
    /// Most steps of run-up for running drills, when the floor is short.
    pub run_up_steps_max: Option<u32>,
    /// Who runs where, and with whom.
    pub wishes: Wishes,
    /// Children who run today, but without sprints and turns.
    pub easy: Vec<RunnerId>,
    /// The drills to fall back on when the floor is too short for those asked for; not written.
    #[serde(skip)]
    pub ladder: Option<Ladder>,
    /// The day, for ages.
    pub today: Date,
}

/// Who runs where, and with whom. Wishes about children who do not run today are passed over.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Wishes {
    /// Children who run in one lane only, `A`, `B`, …
    pub only: Vec<(RunnerId, String)>,
    /// Children who are kept out of a lane.
    pub never: Vec<(RunnerId, String)>,
    /// Pairs who share a lane.
    pub together: Vec<(RunnerId, RunnerId)>,
    /// Pairs who do not share a lane.
    pub apart: Vec<(RunnerId, RunnerId)>,
}

impl Wishes {
    /// Returns the wishes of a class that hold.
    pub fn of(class: &ClassView) -> Self {
        let pairs = |together: bool| {
            let wanted = move |pair: &&PairWishBody| pair.together == together && !pair.void;
            class
                .pairs
                .iter()
                .map(|(_, pair)| pair)
                .filter(wanted)
                .map(|pair| (RunnerId(pair.first.clone()), RunnerId(pair.second.clone())))
                .collect()
        };
        Self {
            only: class
                .runners
                .iter()
                .filter_map(|view| Some((view.runner.id.clone(), view.wish.only.clone()?)))
                .collect(),
            never: class
                .runners
                .iter()
                .flat_map(|view| view.wish.never.iter().map(|lane| (view.runner.id.clone(), lane.clone())))
                .collect(),
            together: pairs(true),
            apart: pairs(false),
        }
    }
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlanError {
    /// Nobody runs today.
    #[error("nobody runs today; the class list is empty, or everyone is absent or helping")]
    NoRunners,
    /// No drill with hurdles was asked for.
    #[error("none of the drills asked for has hurdles; name at least one that has")]
    NoDrill,
    /// A number is out of its range.
    #[error("{field} is {provided}; allowed is {allowed}")]
    Range {
        /// The field.
        field: &'static str,
        /// What stood there.
        provided: f64,
        /// What may stand there.
        allowed: &'static str,
    },
    /// Two children have the same id.
    #[error("two children have the id `{0}`; give one of them another")]
    SameId(String),
    /// The wishes cannot be met together; the messages say which ones clash.
    #[error("{} wishes about lanes and pairs cannot all be met; take one back", .0.len())]
    Wishes(Vec<Message>),
    /// The lanes cannot be arranged.
    #[error(transparent)]
    Lanes(LanesError),
}

impl PlanError {
    /// Returns what to say to the coach.
    pub fn message(&self) -> Message {
        match self {
            Self::NoRunners => Message::new("plan-error-no-runners"),
            Self::NoDrill => Message::new("plan-error-no-drill"),
            Self::Range { field, provided, allowed } => Message::new("plan-error-range")
                .text("field", *field)
                .with("provided", Arg::Number(*provided))
                .text("allowed", *allowed),
            Self::SameId(id) => Message::new("plan-error-same-id").text("id", id.as_str()),
            Self::Wishes(wishes) => {
                Message::new("plan-error-wishes").with("count", Arg::Count(wishes.len() as i64))
            }
            Self::Lanes(error) => Message::new("plan-error-lanes").text("reason", error.to_string()),
        }
    }
}

impl PlanInput {
    /// Returns the input for some children, drills and hurdles, with everything else as it usually is.
    pub fn new(runners: Vec<Runner>, drills: Vec<Drill>, kit: Kit, today: Date) -> Self {
        Self {
            runners,
            class_mates: Vec::new(),
            drills,
            effort: None,
            height_cm: usual_height_cm(&kit),
            kit,
            space: None,
            lanes_max: None,
            adults: 1,
            exit_sprint_m: 0.0,
            hurdles_per_lane_max: None,
            run_up_steps_max: None,
            wishes: Wishes::default(),
            easy: Vec::new(),
            ladder: None,
            today,
        }
    }

    /// Returns the input for a class as it stands today: who is absent or helps does not run.
    ///
    /// Drills of the class's choice that the ladder does not know are passed over.
    pub fn from_class(
        class: &ClassView,
        kit: &Kit,
        space: Option<&Space>,
        ladder: &Ladder,
        today: Date,
    ) -> Self {
        let runs = |presence: Presence| matches!(presence, Presence::Present | Presence::Easy);
        let runners = |wanted: bool| {
            class
                .runners
                .iter()
                .filter(move |view| runs(view.presence) == wanted)
                .map(|view| view.runner.clone())
        };
        let choice = &class.choice;
        let drills = choice.drills.iter().filter_map(|id| ladder.get(&id.0)).cloned().collect();
        Self {
            class_mates: runners(false).collect(),
            effort: Some(choice.effort),
            height_cm: choice.height_cm.unwrap_or_else(|| usual_height_cm(kit)),
            space: space.cloned(),
            lanes_max: choice.lanes_max,
            adults: choice.adults,
            exit_sprint_m: choice.exit_sprint_m,
            hurdles_per_lane_max: choice.hurdles_per_lane_max,
            run_up_steps_max: choice.run_up_steps_max,
            wishes: Wishes::of(class),
            easy: class
                .runners
                .iter()
                .filter(|view| view.presence == Presence::Easy)
                .map(|view| view.runner.id.clone())
                .collect(),
            ladder: Some(ladder.clone()),
            ..Self::new(runners(true).collect(), drills, kit.clone(), today)
        }
    }

    fn check(&self) -> Result<(), PlanError> {
        if self.runners.is_empty() {
            return Err(PlanError::NoRunners);
        }
        let range = |field, provided: f64, low: f64, high: f64, allowed| {
            // Written so that a number that is none (NaN) is refused as well.
            if provided >= low && provided <= high {
                Ok(())
            } else {
                Err(PlanError::Range { field, provided, allowed })
            }
        };
        range("effort", self.effort.unwrap_or(0.5), 0.05, 1.0, "0.05 to 1")?;
        range("height_cm", self.height_cm, 0.0, 60.0, "0 to 60 cm")?;
        range("exit_sprint_m", self.exit_sprint_m, 0.0, 60.0, "0 to 60 m")?;
        range("hurdle_width_m", self.kit.hurdle_width_m, 0.1, 3.0, "0.1 to 3 m")?;
        range("base_depth_m", self.kit.base_depth_m, 0.0, 1.0, "0 to 1 m")?;
        if let Some(lanes) = self.lanes_max {
            range("lanes_max", f64::from(lanes), 1.0, f64::from(site::LANES_MOST), "1 to 26")?;
        }
        if let Some(space) = &self.space {
            range("length_m", space.length_m, 1.0, 500.0, "1 to 500 m")?;
            range("width_m", space.width_m, 1.0, 500.0, "1 to 500 m")?;
        }
        for stock in &self.kit.hurdles {
            range("hurdles.height_cm", stock.height_cm, 0.0, 60.0, "0 to 60 cm")?;
        }
        Ok(())
    }
}

/// Returns the height that most hurdles of the bag have, in centimetres; the lower one when two are as many.
pub fn usual_height_cm(kit: &Kit) -> f64 {
    let most = kit
        .hurdles
        .iter()
        .filter(|stock| stock.count > 0)
        .max_by(|a, b| a.count.cmp(&b.count).then(b.height_cm.total_cmp(&a.height_cm)));
    most.map_or(HEIGHT_CM, |stock| stock.height_cm)
}

/// Returns the name of a lane, `A` for 0.
pub fn lane_name(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    if index < 26 { letter.to_string() } else { format!("{}{letter}", lane_name(index / 26 - 1)) }
}

/// Returns the index of a lane by its name, 0 for `A` or `a`.
pub fn lane_index(name: &str) -> Option<usize> {
    let mut letters = name.trim().chars();
    match (letters.next().map(|letter| letter.to_ascii_uppercase()), letters.next()) {
        (Some(letter @ 'A'..='Z'), None) => Some(letter as usize - 'A' as usize),
        _ => None,
    }
}

/// Makes the plan.
///
/// # Errors
/// Nobody runs, no drill has hurdles, a number is out of its range, or the wishes clash. A floor that is too small is
/// no error: the plan says that it does not fit, and what would help.
pub fn plan(input: &PlanInput) -> Result<Plan, PlanError> {
    let mut draft = Draft::make(input)?;
    if !draft.plan.fits {
        draft.plan.remedies = fit::remedies(input, &draft);
    }
    draft.plan.warnings = notes::warnings(input, &draft);
    Ok(draft.plan)
}

/// A plan with what it was made from, before anything is said about it.
struct Draft<'a> {
    plan: Plan,
    /// Drills with hurdles, in the order asked for.
    lane_drills: Vec<&'a Drill>,
    /// Gaps of those who run, in the order of `PlanInput::runners`.
    gaps: Vec<RunnerGaps>,
    /// Lane of each of them.
    lane_of: Vec<usize>,
    /// Height that suits each of them.
    suits: Vec<heights::Suit>,
    count: count::Count,
    heights: heights::Heights,
    arrangement: site::Arrangement,
    site: SiteAsk,
    /// Wishes for lanes that are not there.
    lost_wishes: Vec<(usize, String)>,
    /// The lanes stand: what is said is of them as they are.
    stands: bool,
}

/// Who runs in which lane, and how the hurdles of each are to stand.
struct Laid<'a> {
    count: count::Count,
    /// Lane of each who runs, in the order of `PlanInput::runners`.
    lane_of: Vec<usize>,
    lanes: Vec<lanes::LaneGaps>,
    misfit: Misfit,
    suits: Vec<heights::Suit>,
    heights: heights::Heights,
    lost_wishes: Vec<(usize, String)>,
    /// The lanes as they stand on the ground.
    standing: Option<&'a [SheetLane]>,
}

impl<'a> Draft<'a> {
    fn make(input: &'a PlanInput) -> Result<Self, PlanError> {
        input.check()?;
        let lane_drills: Vec<&Drill> = input.drills.iter().filter(|drill| drill.gap.is_some()).collect();
        if lane_drills.is_empty() {
            return Err(PlanError::NoDrill);
        }
        let order = canonical_order(&input.runners)?;
        let gaps = gaps_of(input, &lane_drills, &order);

        let count = count::count(input, &drill_asks(input, &lane_drills, &|_| 0.0));
        let lanes = count.lanes as usize;

        // Lanes: children in canonical order, so that the class list's order decides nothing.
        let mut lost_wishes = Vec::new();
        let (lane_of, optimum) = run_lanes(input, &lane_drills, &gaps, &order, lanes, &mut lost_wishes)?;

        let suits: Vec<heights::Suit> =
            gaps.iter().map(|gaps| heights::suit(input, &gaps.leg_length_m, count.per_lane)).collect();
        let members =
            |lane: usize| (0..gaps.len()).filter(|index| lane_of[*index] == lane).collect::<Vec<_>>();
        let heights = heights::heights(
            input,
            count.per_lane,
            &(0..lanes)
                .map(|lane| members(lane).into_iter().map(|index| suits[index].height_cm).collect())
                .collect::<Vec<Vec<f64>>>(),
        );
        let laid = Laid {
            count,
            lane_of,
            misfit: Misfit { sum_sq_ln: optimum.sum_sq_ln, max_abs_ln: optimum.max_abs_ln },
            lanes: optimum.lanes,
            suits,
            heights,
            lost_wishes,
            standing: None,
        };
        Ok(Self::lay_out(input, lane_drills, gaps, laid))
    }

    /// Lays the lanes out on the floor.
    fn lay_out(
        input: &PlanInput,
        lane_drills: Vec<&'a Drill>,
        gaps: Vec<RunnerGaps>,
        laid: Laid<'_>,
    ) -> Self {
        let Laid { count, lane_of, lanes: lane_gaps, misfit, suits, heights, lost_wishes, standing } = laid;
        let lanes = lane_gaps.len();
        let members =
            |lane: usize| (0..gaps.len()).filter(|index| lane_of[*index] == lane).collect::<Vec<_>>();

        let site = SiteAsk {
            lanes: (0..lanes)
                .map(|lane| {
                    let mut members = members(lane);
                    if members.is_empty() {
                        // All who run in it are away: whoever takes the lane may be anybody of those who are here.
                        members = (0..gaps.len()).collect();
                    }
                    let step_m = |drill: usize| {
                        let contacts = f64::from(lane_drills[drill].contacts_per_gap.unwrap_or(1).max(1));
                        median(members.iter().map(|index| gaps[*index].gaps[drill].gap_m.median / contacts))
                    };
                    let gap_m =
                        lane_gaps[lane].long_m.unwrap_or(0.0).max(lane_gaps[lane].short_m.unwrap_or(0.0));
                    LaneAsk {
                        // Who is away keeps the place behind the start line.
                        children: standing.map_or(members.len(), |stand| stand[lane].runners.len()) as u32,
                        hurdles: heights.lanes[lane].hurdles,
                        gap_m,
                        v_max_mps: members
                            .iter()
                            .map(|index| top_speed_mps(&gaps[*index]))
                            .fold(0.0, f64::max),
                        drills: drill_asks(input, &lane_drills, &step_m),
                        run_up_m: standing.and_then(|stand| standing::run_up_m(&stand[lane])),
                    }
                })
                .collect(),
            exit_sprint_m: input.exit_sprint_m,
            run_up_steps_max: input.run_up_steps_max,
            hurdle_width_m: input.kit.hurdle_width_m,
            surface: input.space.as_ref().map_or(Surface::Hall, |space| space.surface),
            space: input.space.clone(),
        };
        let arrangement = site::arrange(&site);

        let planned_lanes = (0..lanes)
            .map(|lane| {
                let mut members = members(lane);
                // Lanes that stand keep the order of their queue.
                let place = |index: &usize| {
                    standing.and_then(|stand| {
                        stand[lane].runners.iter().position(|id| *id == input.runners[*index].id.0)
                    })
                };
                members.sort_by(|a, b| {
                    let own_m = |index: &usize| gaps[*index].gaps[0].gap_m.median;
                    place(a)
                        .cmp(&place(b))
                        .then(own_m(a).total_cmp(&own_m(b)))
                        .then_with(|| input.runners[*a].id.cmp(&input.runners[*b].id))
                });
                planned_lane(
                    lane,
                    &lane_drills,
                    &lane_gaps[lane],
                    &heights.lanes[lane],
                    &arrangement.parts[lane],
                    members.into_iter().map(|index| input.runners[index].label.clone()).collect(),
                )
            })
            .collect();
        let runners = (0..gaps.len())
            .map(|index| {
                planned_runner(
                    &input.runners[index],
                    &gaps[index],
                    lane_of[index],
                    &lane_gaps[lane_of[index]],
                    &lane_drills,
                    suits[index].height_cm,
                )
            })
            .collect();
        let plan = Plan {
            runners,
            lanes: planned_lanes,
            misfit,
            fits: arrangement.fits,
            warnings: Vec::new(),
            remedies: Vec::new(),
            lanes_possible: count.possible,
            drills: input.drills.iter().map(|drill| drill.id.clone()).collect(),
            effort: DrillAsk::new(lane_drills[0], 0.0, input.effort).effort,
            efforts: efforts(input),
            floor: arrangement.floor.clone(),
        };
        Self {
            plan,
            lane_drills,
            gaps,
            lane_of,
            suits,
            count,
            heights,
            arrangement,
            site,
            lost_wishes,
            stands: standing.is_some(),
        }
    }
}

/// What each drill asks of a lane, with the steps of its children by drill.
fn drill_asks(input: &PlanInput, lane_drills: &[&Drill], steps: &dyn Fn(usize) -> f64) -> Vec<DrillAsk> {
    let mut asks: Vec<DrillAsk> = lane_drills
        .iter()
        .enumerate()
        .map(|(index, drill)| DrillAsk::new(drill, steps(index), input.effort))
        .collect();
    // A free run has no hurdles and is run through the same lane, at its own effort.
    for drill in input.drills.iter().filter(|drill| drill.family == Family::Free) {
        asks.push(DrillAsk::new(drill, steps(0), None));
    }
    asks
}

/// Effort of each drill that is run; a free run goes at its own.
fn efforts(input: &PlanInput) -> BTreeMap<DrillId, f64> {
    let runs = input.drills.iter().filter(|drill| !drill.walk && drill.family != Family::OnTheSpot);
    runs.map(|drill| {
        let asked = input.effort.filter(|_| drill.family != Family::Free);
        (drill.id.clone(), DrillAsk::new(drill, 0.0, asked).effort)
    })
    .collect()
}

/// Indices of the children by id: an order that the class list has no part in.
fn canonical_order(runners: &[Runner]) -> Result<Vec<usize>, PlanError> {
    let mut order: Vec<usize> = (0..runners.len()).collect();
    order.sort_by(|a, b| runners[*a].id.cmp(&runners[*b].id));
    match order.windows(2).find(|pair| runners[pair[0]].id == runners[pair[1]].id) {
        Some(pair) => Err(PlanError::SameId(runners[pair[0]].id.0.clone())),
        None => Ok(order),
    }
}

/// Own gaps of those who run, in their order; class mates who do not run have their say in them.
fn gaps_of(input: &PlanInput, lane_drills: &[&Drill], order: &[usize]) -> Vec<RunnerGaps> {
    let running: std::collections::BTreeSet<&RunnerId> =
        input.runners.iter().map(|runner| &runner.id).collect();
    let mut everyone: Vec<Runner> = order.iter().map(|index| input.runners[*index].clone()).collect();
    everyone.extend(input.class_mates.iter().filter(|mate| !running.contains(&mate.id)).cloned());
    everyone.sort_by(|a, b| a.id.cmp(&b.id));
    // No drill is run at more effort than it is meant for, whatever was asked.
    let most = lane_drills.iter().map(|drill| drill.effort_max).fold(0.0, f64::max);
    let effort = input.effort.map(|effort| effort.min(most));
    let (base_depth_m, today) = (input.kit.base_depth_m, input.today);
    let all = match &input.ladder {
        Some(ladder) => stride::class_gaps_among(&everyone, lane_drills, ladder, effort, base_depth_m, today),
        None => stride::class_gaps(&everyone, lane_drills, effort, base_depth_m, today),
    };
    let mut by_id: BTreeMap<RunnerId, RunnerGaps> =
        all.into_iter().map(|gaps| (gaps.id.clone(), gaps)).collect();
    input.runners.iter().map(|runner| by_id.remove(&runner.id).expect("every runner gets gaps")).collect()
}

/// The fastest that a child may well be, in metres per second.
fn top_speed_mps(gaps: &RunnerGaps) -> f64 {
    gaps.v_max_mps.high
}

fn run_lanes(
    input: &PlanInput,
    lane_drills: &[&Drill],
    gaps: &[RunnerGaps],
    order: &[usize],
    lanes: usize,
    lost_wishes: &mut Vec<(usize, String)>,
) -> Result<(Vec<usize>, lanes::Optimum), PlanError> {
    // Where each child stands in the canonical order.
    let mut place = vec![0; order.len()];
    for (at, index) in order.iter().enumerate() {
        place[*index] = at;
    }
    let index_of = |id: &RunnerId| input.runners.iter().position(|runner| runner.id == *id);
    let mut children: Vec<lanes::Child> = order
        .iter()
        .map(|index| {
            let drills: Vec<lanes::ChildDrill> = gaps[*index]
                .gaps
                .iter()
                .map(|gap| lanes::ChildDrill {
                    gap_ln: gap.mu_ln,
                    low_m: gap.band_low_m,
                    high_m: gap.band_high_m,
                })
                .collect();
            lanes::Child { own_gap_ln: drills[0].gap_ln, drills, only: None, never: Vec::new() }
        })
        .collect();
    for (id, lane) in &input.wishes.only {
        let Some(index) = index_of(id) else { continue };
        match lane_index(lane).filter(|lane| *lane < lanes) {
            Some(lane) => children[place[index]].only = Some(lane),
            None => lost_wishes.push((index, lane.clone())),
        }
    }
    for (id, lane) in &input.wishes.never {
        if let (Some(index), Some(lane)) = (index_of(id), lane_index(lane)) {
            children[place[index]].never.push(lane);
        }
    }
    let pairs = |pairs: &[(RunnerId, RunnerId)]| -> Vec<(usize, usize)> {
        let mut pairs: Vec<(usize, usize)> = pairs
            .iter()
            .filter_map(|(first, second)| {
                let (first, second) = (place[index_of(first)?], place[index_of(second)?]);
                (first != second).then_some((first.min(second), first.max(second)))
            })
            .collect();
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    };
    let (together, apart) = (pairs(&input.wishes.together), pairs(&input.wishes.apart));
    let settings: Vec<Setting> =
        lane_drills.iter().filter_map(|drill| Some(drill.gap.as_ref()?.setting)).collect();
    let ask = lanes::Ask {
        children: &children,
        settings: &settings,
        lanes,
        together: &together,
        apart: &apart,
        gap_min_m: input.kit.base_depth_m + FOOT_ROOM_M,
    };
    let optimum = lanes::optimise(&ask).map_err(|error| match error {
        LanesError::WishesClash { wishes } => {
            let name = |child: usize| input.runners[order[child]].label.clone();
            PlanError::Wishes(wishes.iter().map(|wish| notes::wish(wish, &name)).collect())
        }
        error => PlanError::Lanes(error),
    })?;
    let lane_of = place.iter().map(|at| optimum.lane_of[*at]).collect();
    Ok((lane_of, optimum))
}

fn planned_lane(
    index: usize,
    lane_drills: &[&Drill],
    gaps: &lanes::LaneGaps,
    height: &heights::LaneHeight,
    parts: &lanewright_model::plan::LaneParts,
    runners: Vec<String>,
) -> PlannedLane {
    let marks_m =
        |gap_m: f64| (0..height.hurdles).map(|hurdle| parts.run_up_m + f64::from(hurdle) * gap_m).collect();
    let mut settings: Vec<LaneSetting> = Vec::new();
    for drill in lane_drills {
        let Some(setting) = drill.gap.as_ref().map(|gap| gap.setting) else { continue };
        match settings.iter_mut().find(|known| known.setting == setting) {
            Some(known) => known.drills.push(drill.id.clone()),
            None => {
                let gap_m = gaps.gap_m(setting).expect("every setting asked for has a gap");
                settings.push(LaneSetting {
                    setting,
                    gap_m,
                    marks_m: marks_m(gap_m),
                    drills: vec![drill.id.clone()],
                });
            }
        }
    }
    PlannedLane {
        lane: lane_name(index),
        spacing_m: gaps.first_gap_m,
        hurdles: height.hurdles,
        hurdle_height_cm: height.height_cm,
        marks_m: marks_m(gaps.first_gap_m),
        settings,
        runners,
        run_up_m: parts.run_up_m,
        run_out_m: parts.exit_m + parts.stopping_m,
        length_m: site::length_m(parts),
        parts: parts.clone(),
    }
}

fn planned_runner(
    runner: &Runner,
    gaps: &RunnerGaps,
    lane: usize,
    lane_gaps: &lanes::LaneGaps,
    lane_drills: &[&Drill],
    hurdle_height_cm: f64,
) -> PlannedRunner {
    let drill_gaps: Vec<DrillGap> = gaps
        .gaps
        .iter()
        .zip(lane_drills)
        .map(|(gap, drill)| {
            let setting = drill.gap.as_ref().map(|rule| rule.setting);
            let lane_gap_m =
                setting.and_then(|setting| lane_gaps.gap_m(setting)).unwrap_or(lane_gaps.first_gap_m);
            DrillGap {
                drill: drill.id.clone(),
                gap_m: gap.gap_m.clone(),
                band_low_m: gap.band_low_m,
                band_high_m: gap.band_high_m,
                inside: lanes::inside_band(lane_gap_m, gap.band_low_m, gap.band_high_m),
            }
        })
        .collect();
    PlannedRunner {
        id: runner.id.clone(),
        name: runner.label.clone(),
        spacing_m: gaps.gaps[0].gap_m.clone(),
        hurdle_height_cm,
        basis: gaps.basis.words().to_owned(),
        lane: lane_name(lane),
        fit_ratio: lane_gaps.first_gap_m / gaps.gaps[0].gap_m.median - 1.0,
        stature_cm: gaps.stature_cm.clone(),
        gaps: drill_gaps,
    }
}

/// Middle value; of an even number of values the mean of the middle two. 0 for none.
fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    match values.len() {
        0 => 0.0,
        odd if odd % 2 == 1 => values[odd / 2],
        even => (values[even / 2 - 1] + values[even / 2]) / 2.0,
    }
}

/// Words for a drill's name.
fn drill_name(id: &DrillId) -> Arg {
    Arg::Say(Box::new(Message::new(&format!("drill-{id}"))))
}

#[cfg(test)]
mod tests;
