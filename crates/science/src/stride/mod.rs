//! Every child's own gap for every drill, with an honest range.
//!
//! Before anything is seen the gap follows from size (a share of stature, or the running step that goes with age and
//! legs). Taped steps, counted runs and gaps that were tried narrow it, and three measured children say something of
//! the other twenty-seven. The method, its numbers and its limits are written up in `docs/methods/stride.md`.

mod cadence;
mod evidence;
mod filter;
mod heard;
mod height;
mod pool;
#[cfg(test)]
mod tests;

use std::sync::OnceLock;

use jiff::civil::Date;
use lanewright_model::drill::{Family, GapRule};
use lanewright_model::words::{Arg, Message};
use lanewright_model::{Drill, DrillId, Estimate, Ladder, Runner, RunnerId, Setting, StrideObservation};

pub use cadence::{
    cadence_hz, slow_cadence_hz, step_length_m, usual_v_max_mps, v_max_from_50_m_mps, v_max_that_suits_mps,
};
pub use evidence::{
    Belief, COUNT_SD_STEPS, HURDLE_SD_LN, JUDGEMENT_SD_LN, LISTED_STEP_SD_LN, LnLength, MISJUDGED_SHARE,
    STOPWATCH_SD_S, TAPE_SD_M, TOLERANCE_LN, TRIAL_SD_LN, counted_step, taped_step, timed_step,
};
pub use filter::{CLASS_OFFSET_SD_LN, OWN_TRAIT_SD_LN};
pub use heard::{
    CADENCE_RANGE_HZ, CADENCE_SD_LN, GAPS_LEAST, GapSounds, HeardSpeed, LIKELY_P, OwnStep, cadence_sd_hz,
    gap_sounds, heard_speed, heard_step_m, own_steps,
};
pub use height::{HEIGHT_RATIO_MAX, hurdle_height_cm};
pub use pool::{PooledClass, pool_class};

use crate::body::{self, Body, SizeBasis};
use crate::normal;
use filter::{Child, DrillModel, Prior, Seen, What};

/// Name and version of the method behind every estimate of this module.
pub const METHOD: &str = "stride/1";

/// Effort at which running drills are learned, as a share of top speed, and at which a class list's own step length
/// is taken (common practice, no source).
pub const LEARNING_EFFORT: f64 = 0.60;

/// Efforts that can be asked for, as shares of top speed.
const EFFORT_RANGE: (f64, f64) = (0.3, 1.0);

/// Own running step at learning effort as a share of stature, when age is unknown: two walking steps of 0.44
/// (common practice), and close to what the cadence curve gives for 8 to 16 years.
const OWN_STEP_SHARE: f64 = 0.88;

/// A running drill's spread once the child's speed was timed, over its spread before (0.12 over 0.14). Engineering
/// assumption.
const TIMED_SPREAD_RATIO: f64 = 0.12 / 0.14;

/// Spread of top speed between children of one age and sex: 8 % of the 50 m time, and the uncertain time constant.
const V_MAX_SD_LN: f64 = 0.10;

/// The same for children of one stature and unknown age. Engineering assumption.
const V_MAX_FROM_STATURE_SD_LN: f64 = 0.15;

/// How top speed goes with leg length among children of one age and sex, as a power. Engineering assumption: dynamic
/// similarity (equal v² / g L), and leg length drives children's speed until after their growth spurt (98 young
/// players, Okudaira 2026). Without it a tall and a short child of one age would get nearly the same running gap.
const V_MAX_LEG_EXPONENT: f64 = 0.5;

/// How well children hit an effort asked for, as a standard deviation of ln speed. Engineering assumption.
const EFFORT_SD_LN: f64 = 0.10;

/// Foot length as a share of stature. Engineering assumption (value from memory, no source at hand).
const FOOT_SHARE: f64 = 0.15;

/// No gap is shorter than a foot and this, in metres. Engineering assumption.
const ROOM_BESIDE_FOOT_M: f64 = 0.15;

/// An observed step this many standard deviations from what size and age suggest is worth a second look.
const SURPRISING_Z: f64 = 3.5;

/// Steps and gaps outside this range (in metres) are typing mistakes.
const STEP_RANGE_M: std::ops::RangeInclusive<f64> = 0.15..=3.5;

/// Speeds outside this range (in metres a second) are typing mistakes.
const SPEED_RANGE_MPS: std::ops::RangeInclusive<f64> = 0.3..=12.0;

/// What a child's gaps rest on, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Steps of this child were measured.
    MeasuredSteps,
    /// Gaps were tried and judged.
    TriedGaps,
    /// Stature was measured.
    Stature,
    /// Stature follows from the place in a line-up.
    LineUp,
    /// Stature follows from a taped leg.
    LegLength,
    /// Age and sex.
    AgeAndSex,
    /// Age alone.
    Age,
    /// The other children of the class.
    Class,
    /// Nothing.
    Nothing,
}

impl Basis {
    /// Returns the plain words for it.
    pub fn words(&self) -> &'static str {
        match self {
            Self::MeasuredSteps => "measured steps",
            Self::TriedGaps => "tried gaps",
            Self::Stature => "stature",
            Self::LineUp => "line-up",
            Self::LegLength => "leg length",
            Self::AgeAndSex => "age and sex",
            Self::Age => "age",
            Self::Class => "the rest of the class",
            Self::Nothing => "nothing yet",
        }
    }

    fn of_size(basis: SizeBasis) -> Self {
        match basis {
            SizeBasis::Measured => Self::Stature,
            SizeBasis::LineUp => Self::LineUp,
            SizeBasis::LegLength => Self::LegLength,
            SizeBasis::AgeAndSex => Self::AgeAndSex,
            SizeBasis::Age => Self::Age,
            SizeBasis::Class => Self::Class,
            SizeBasis::Nothing => Self::Nothing,
        }
    }
}

/// One child's size, speed and gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct RunnerGaps {
    /// Which child.
    pub id: RunnerId,
    /// Stature in centimetres.
    pub stature_cm: Estimate,
    /// Sub-ischial leg length (stature minus sitting height) in metres.
    pub leg_length_m: Estimate,
    /// What the gaps rest on.
    pub basis: Basis,
    /// One entry for every drill with a gap, in the order asked for.
    pub gaps: Vec<GapForDrill>,
    /// Top speed in metres a second.
    pub v_max_mps: Estimate,
    /// What the teacher should know about this child's size and steps.
    pub notices: Vec<Message>,
}

/// One child's gap for one drill.
#[derive(Debug, Clone, PartialEq)]
pub struct GapForDrill {
    /// Which drill.
    pub drill: DrillId,
    /// ln of the median comfortable gap in metres.
    pub mu_ln: f64,
    /// Standard deviation of ln gap.
    pub sd_ln: f64,
    /// Comfortable gap in metres; `n` counts this child's observations of this drill or one that shares its gap.
    pub gap_m: Estimate,
    /// Shortest gap that the drill tolerates for this child, in metres.
    pub band_low_m: f64,
    /// Longest gap that the drill tolerates for this child, in metres.
    pub band_high_m: f64,
}

/// Returns size, speed and gaps of every child of a class, in the order given.
///
/// `drills` names what is asked for; those without a gap rule are passed over. `effort` is a share of top speed and
/// counts for drills whose gap is the own running step; without it each drill's own effort counts (values outside
/// 0.3 to 1 are moved to the nearest end). `base_depth_m` is the depth of a hurdle's base along the lane. `today`
/// decides ages and how old measurements are.
///
/// Observations of built-in drills that are not asked for count too, so that the answer for one drill does not
/// depend on which others are in the list. See [`class_gaps_among`] for ladders of your own.
pub fn class_gaps(
    runners: &[Runner],
    drills: &[&Drill],
    effort: Option<f64>,
    base_depth_m: f64,
    today: Date,
) -> Vec<RunnerGaps> {
    static BUILT_IN: OnceLock<Ladder> = OnceLock::new();
    class_gaps_among(runners, drills, BUILT_IN.get_or_init(Ladder::built_in), effort, base_depth_m, today)
}

/// Returns the same as [`class_gaps`], with observations of drills looked up in `ladder` when they are not among
/// `drills`.
pub fn class_gaps_among(
    runners: &[Runner],
    drills: &[&Drill],
    ladder: &Ladder,
    effort: Option<f64>,
    base_depth_m: f64,
    today: Date,
) -> Vec<RunnerGaps> {
    let ClassView { bodies, lookup, children, beliefs } =
        ClassView::new(runners, drills, ladder, effort, today);
    runners
        .iter()
        .zip(bodies)
        .zip(children)
        .zip(beliefs)
        .map(|(((runner, body), child), beliefs)| {
            let gaps = lookup.drills[..lookup.asked]
                .iter()
                .zip(beliefs)
                .map(|(drill, belief)| gap_for_drill(drill, belief, &child, &lookup, &body, base_depth_m))
                .collect();
            let basis = if child.measured_steps {
                Basis::MeasuredSteps
            } else if !child.input.seen.is_empty() {
                Basis::TriedGaps
            } else {
                Basis::of_size(body.basis)
            };
            let mut notices = body.notices;
            notices.extend(child.notices);
            RunnerGaps {
                id: runner.id.clone(),
                stature_cm: body.stature_cm,
                leg_length_m: body.leg_length_m,
                basis,
                gaps,
                v_max_mps: child.speed.estimate,
                notices,
            }
        })
        .collect()
}

/// The class as the filter sees it, and what it believes: one entry a child, in the order given.
struct ClassView<'a> {
    bodies: Vec<Body>,
    lookup: Lookup<'a>,
    children: Vec<ChildView>,
    beliefs: Vec<Vec<Belief>>,
}

impl<'a> ClassView<'a> {
    fn new(
        runners: &[Runner],
        drills: &[&'a Drill],
        ladder: &'a Ladder,
        effort: Option<f64>,
        today: Date,
    ) -> Self {
        let asked_effort = effort.filter(|effort| effort.is_finite());
        let bodies = body::class_bodies(runners, today);
        let lookup = Lookup::new(runners, drills, ladder);
        let children: Vec<ChildView> = runners
            .iter()
            .zip(&bodies)
            .map(|(runner, body)| ChildView::new(runner, body, &lookup, asked_effort))
            .collect();
        let models: Vec<DrillModel> = lookup.drills.iter().map(|drill| drill.model).collect();
        let inputs: Vec<Child> = children.iter().map(|child| child.input.clone()).collect();
        let beliefs = filter::posterior(&models, &inputs);
        Self { bodies, lookup, children, beliefs }
    }
}

fn gap_for_drill(
    drill: &KnownDrill<'_>,
    belief: Belief,
    child: &ChildView,
    lookup: &Lookup<'_>,
    body: &Body,
    base_depth_m: f64,
) -> GapForDrill {
    let foot_m = FOOT_SHARE * body.stature_cm.median / 100.0;
    let mut floor_m = foot_m + ROOM_BESIDE_FOOT_M;
    if drill.rule.room_for_two_feet {
        floor_m = floor_m.max(2.0 * foot_m + base_depth_m.max(0.0));
    }
    let n = child
        .input
        .seen
        .iter()
        .filter(|seen| lookup.drills[seen.drill].model.channel == drill.model.channel)
        .count() as u32;
    let mut gap_m = normal::log_normal_estimate(belief.mu_ln, belief.sd_ln(), n, METHOD);
    // The band goes with the child: where the own gap turned out longer than size suggests, so is what is tolerated.
    let comfortable = if drill.rule.band_of_own_step { 1.0 } else { drill.rule.comfortable_ratio };
    let band_low_m = (gap_m.median * drill.rule.low_ratio / comfortable).max(floor_m);
    let band_high_m = (gap_m.median * drill.rule.high_ratio / comfortable).max(floor_m);
    gap_m.low = gap_m.low.max(floor_m);
    gap_m.median = gap_m.median.max(floor_m);
    gap_m.high = gap_m.high.max(floor_m);
    GapForDrill {
        drill: drill.drill.id.clone(),
        mu_ln: belief.mu_ln.max(libm::log(floor_m)),
        sd_ln: belief.sd_ln(),
        gap_m,
        band_low_m,
        band_high_m,
    }
}

/// A drill with a gap, and how it hangs together with the others.
struct KnownDrill<'a> {
    drill: &'a Drill,
    rule: GapRule,
    model: DrillModel,
}

/// All drills that matter: those asked for first, then others that were observed, and last free running, if it was.
struct Lookup<'a> {
    drills: Vec<KnownDrill<'a>>,
    asked: usize,
    /// Drills without a gap that observations may name: free running.
    free: Vec<&'a Drill>,
    /// Place of the free running step. It counts as one more drill, which is the own-step drill but for what hurdles
    /// change; that difference is a child's own, so measuring more free steps does not average it out.
    free_step: Option<usize>,
}

/// Drills with equal keys have one and the same comfortable gap: the own running step, or a family's short or long
/// gap.
type ChannelKey = Option<(Family, Setting)>;

impl<'a> Lookup<'a> {
    fn new(runners: &[Runner], asked: &[&'a Drill], ladder: &'a Ladder) -> Self {
        let mut keys: Vec<ChannelKey> = Vec::new();
        let mut know = |drill: &'a Drill, apart: f64| {
            let rule = drill.gap?;
            let key = if rule.own_running_step { None } else { Some((drill.family, rule.setting)) };
            let channel = keys.iter().position(|other| *other == key).unwrap_or_else(|| {
                keys.push(key);
                keys.len() - 1
            });
            let model = DrillModel { channel, sd_ln: rule.sd_ln, one_step: rule.own_running_step, apart };
            Some(KnownDrill { drill, rule, model })
        };
        let mut drills: Vec<KnownDrill<'a>> = asked.iter().filter_map(|drill| know(drill, 0.0)).collect();
        let asked_count = drills.len();
        let free = asked
            .iter()
            .copied()
            .chain(ladder.drills())
            .filter(|drill| drill.family == Family::Free && drill.gap.is_none())
            .collect();
        let mut lookup = Self { drills: Vec::new(), asked: asked_count, free, free_step: None };
        if runners.iter().all(|runner| runner.steps.is_empty()) {
            return Self { drills, ..lookup };
        }
        for drill in ladder.drills() {
            let observed = runners
                .iter()
                .flat_map(|runner| &runner.steps)
                .any(|observation| drill_of(observation) == Some(&drill.id));
            if observed && !drills.iter().any(|known| known.drill.id == drill.id) {
                drills.extend(know(drill, 0.0));
            }
        }
        let own_step = asked
            .iter()
            .copied()
            .chain(ladder.drills())
            .find(|drill| drill.gap.is_some_and(|rule| rule.own_running_step));
        if let Some(free_step) = own_step.and_then(|drill| know(drill, HURDLE_SD_LN * HURDLE_SD_LN)) {
            lookup.free_step = Some(drills.len());
            drills.push(free_step);
        }
        Self { drills, ..lookup }
    }

    /// Place of a drill with hurdles.
    fn position(&self, id: &DrillId) -> Option<usize> {
        let with_hurdles = self.free_step.unwrap_or(self.drills.len());
        self.drills[..with_hurdles].iter().position(|known| known.drill.id == *id)
    }
}

fn drill_of(observation: &StrideObservation) -> Option<&DrillId> {
    match observation {
        StrideObservation::Tape { drill, .. } => drill.as_ref(),
        StrideObservation::Trial { drill, .. } => Some(drill),
        StrideObservation::StepLength { .. } | StrideObservation::TimedRun { .. } => None,
    }
}

/// Top speed of one child and the step that goes with it.
struct Speed {
    v_max_mps: f64,
    estimate: Estimate,
    leg_m: f64,
    /// Age is unknown and no run was timed: steps are a share of stature.
    from_stature: bool,
    /// Variance that comes from not knowing the sex.
    unknown_sex_variance: f64,
    timed: bool,
}

impl Speed {
    fn new(runner: &Runner, body: &Body) -> Self {
        let leg_m = body.leg_length_m.median;
        let stature_m = body.stature_cm.median / 100.0;
        let mut unknown_sex_variance = 0.0;
        let (v_max_mps, sd_ln) = match body.age {
            Some(age) => {
                let for_leg =
                    libm::pow(leg_m / body::usual_leg_length_m(runner.sex, age.age_y), V_MAX_LEG_EXPONENT);
                if runner.sex.is_none() {
                    use lanewright_model::Sex::{Female, Male};
                    let of = |sex| libm::log(usual_v_max_mps(Some(sex), age.age_y));
                    unknown_sex_variance = normal::mixture_of_two((of(Female), 0.0), (of(Male), 0.0)).1;
                }
                let sd_ln = (V_MAX_SD_LN * V_MAX_SD_LN + unknown_sex_variance).sqrt();
                (for_leg * usual_v_max_mps(runner.sex, age.age_y), sd_ln)
            }
            None => {
                let v_max = v_max_that_suits_mps(OWN_STEP_SHARE * stature_m, LEARNING_EFFORT, leg_m);
                let from_size = body.stature_sd_ln * body.stature_sd_ln;
                let sd_ln = (V_MAX_FROM_STATURE_SD_LN * V_MAX_FROM_STATURE_SD_LN + from_size).sqrt();
                (v_max, sd_ln)
            }
        };
        let mut belief = Belief::new(v_max_mps, sd_ln);
        let mut count = 0;
        for observation in &runner.steps {
            let StrideObservation::TimedRun {
                distance_m,
                time_s: Some(time_s),
                effort,
                cadence_hz,
                cadence_sd_hz,
                ..
            } = observation
            else {
                continue;
            };
            let heard = cadence_hz.map(|cadence_hz| (cadence_hz, cadence_sd_hz.unwrap_or(0.0)));
            if is_timed_run_usable(*distance_m, *time_s, *effort)
                && heard.is_none_or(heard::is_cadence_usable)
            {
                let clock = STOPWATCH_SD_S / time_s;
                belief = belief.measured(LnLength {
                    ln_m: libm::log(distance_m / time_s / effort),
                    variance: clock * clock + EFFORT_SD_LN * EFFORT_SD_LN,
                });
                count += 1;
            }
        }
        Self {
            v_max_mps: belief.median_m(),
            estimate: normal::log_normal_estimate(belief.mu_ln, belief.sd_ln(), count, METHOD),
            leg_m,
            from_stature: body.age.is_none() && count == 0,
            unknown_sex_variance: if count == 0 { unknown_sex_variance } else { 0.0 },
            timed: count > 0,
        }
    }

    /// ln of the free running step in metres at an effort.
    fn ln_step(&self, effort: f64) -> f64 {
        libm::log(step_length_m(effort * self.v_max_mps, self.v_max_mps, self.leg_m))
    }

    /// Change of ln step per change of ln stature: through the legs when speed follows from age or a clock, in full
    /// when the step is a share of stature.
    fn size_loading(&self, effort: f64) -> f64 {
        if self.from_stature {
            return 1.0;
        }
        let leg_m = self.leg_m * libm::exp(0.01);
        let faster = if self.timed { 1.0 } else { libm::exp(0.01 * V_MAX_LEG_EXPONENT) };
        let v_max_mps = faster * self.v_max_mps;
        (libm::log(step_length_m(effort * v_max_mps, v_max_mps, leg_m)) - self.ln_step(effort)) / 0.01
    }
}

fn is_timed_run_usable(distance_m: f64, time_s: f64, effort: f64) -> bool {
    effort >= EFFORT_RANGE.0
        && effort <= EFFORT_RANGE.1
        && time_s > 0.0
        && SPEED_RANGE_MPS.contains(&(distance_m / time_s))
}

/// One child as the filter sees it, and what is to be said about its steps.
struct ChildView {
    input: Child,
    speed: Speed,
    measured_steps: bool,
    notices: Vec<Message>,
}

impl ChildView {
    fn new(runner: &Runner, body: &Body, lookup: &Lookup<'_>, asked_effort: Option<f64>) -> Self {
        let speed = Speed::new(runner, body);
        let ln_stature_m = body.stature_mu_ln - libm::log(100.0);
        let effort_in =
            |drill: &Drill| asked_effort.unwrap_or(drill.effort).clamp(EFFORT_RANGE.0, EFFORT_RANGE.1);
        let priors = lookup
            .drills
            .iter()
            .map(|known| {
                if !known.rule.own_running_step {
                    return Prior {
                        mu_ln: libm::log(known.rule.comfortable_ratio) + ln_stature_m,
                        sd_ln: known.rule.sd_ln,
                        size_loading: 1.0,
                    };
                }
                let effort = effort_in(known.drill);
                let spread = if speed.timed { TIMED_SPREAD_RATIO } else { 1.0 };
                let sd_ln = spread * known.rule.sd_ln;
                // A ladder of one's own may have another share of stature; without an age it is all there is.
                let other_share = if speed.from_stature {
                    libm::log(known.rule.comfortable_ratio / OWN_STEP_SHARE)
                } else {
                    0.0
                };
                Prior {
                    mu_ln: speed.ln_step(effort) + other_share,
                    sd_ln: (sd_ln * sd_ln + speed.unknown_sex_variance).sqrt(),
                    size_loading: speed.size_loading(effort),
                }
            })
            .collect();
        let mut view = Self {
            input: Child { priors, size_variance: body.stature_sd_ln * body.stature_sd_ln, seen: Vec::new() },
            speed,
            measured_steps: false,
            notices: Vec::new(),
        };
        let mut passed_over = false;
        let mut surprising_step_m = None;
        for observation in &runner.steps {
            let Some((seen, step_m)) = view.read(observation, lookup) else {
                passed_over = true;
                continue;
            };
            if let What::Measured(length) = seen.what {
                view.measured_steps = true;
                if view.is_surprising(seen.drill, length, lookup) {
                    surprising_step_m = Some(step_m);
                }
            }
            view.input.seen.push(seen);
        }
        // Verdicts are taken in drill by drill; by name, so that it does not matter what else is asked for.
        let id = |seen: &Seen| &lookup.drills[seen.drill].drill.id;
        view.input.seen.sort_by(|a, b| id(a).cmp(id(b)));
        if let Some(step_m) = surprising_step_m {
            view.notices.push(
                Message::new("stride-steps-surprising")
                    .text("child", &*runner.label)
                    .with("step", Arg::GapM(step_m)),
            );
        }
        if passed_over {
            view.notices.push(Message::new("stride-observation-passed-over").text("child", &*runner.label));
        }
        view
    }

    fn is_surprising(&self, drill: usize, length: LnLength, lookup: &Lookup<'_>) -> bool {
        let prior = &self.input.priors[drill];
        let size = prior.size_loading * prior.size_loading * self.input.size_variance;
        let apart = lookup.drills[drill].model.apart;
        let sd = (prior.sd_ln * prior.sd_ln + size + apart + length.variance).sqrt();
        (length.ln_m - prior.mu_ln).abs() > SURPRISING_Z * sd
    }

    /// Turns an observation into what it says of a drill's gap, and the step it shows; nothing if it cannot be right
    /// or names a drill without a gap.
    fn read(&self, observation: &StrideObservation, lookup: &Lookup<'_>) -> Option<(Seen, f64)> {
        match observation {
            StrideObservation::StepLength { step_length_m } => {
                let step = LnLength {
                    ln_m: libm::log(*step_length_m),
                    variance: LISTED_STEP_SD_LN * LISTED_STEP_SD_LN,
                };
                self.free_step(step, *step_length_m, LEARNING_EFFORT, lookup)
            }
            StrideObservation::TimedRun { distance_m, steps, time_s, effort, cadence_hz, cadence_sd_hz } => {
                let effort_usable = (EFFORT_RANGE.0..=EFFORT_RANGE.1).contains(effort);
                let time_usable =
                    time_s.is_none_or(|time_s| is_timed_run_usable(*distance_m, time_s, *effort));
                if *steps == 0 || !effort_usable || !time_usable {
                    return None;
                }
                if let (Some(time_s), Some(cadence_hz)) = (time_s, cadence_hz) {
                    let cadence = (*cadence_hz, cadence_sd_hz.unwrap_or(0.0));
                    if !heard::is_cadence_usable(cadence) {
                        return None;
                    }
                    let step_m = distance_m / time_s / cadence_hz;
                    let step = timed_step(*distance_m, (*time_s, STOPWATCH_SD_S), cadence);
                    return self.free_step(step, step_m, *effort, lookup);
                }
                let step_m = distance_m / f64::from(*steps);
                self.free_step(counted_step(*distance_m, *steps), step_m, *effort, lookup)
            }
            StrideObservation::Tape { drill, distance_m, steps } => {
                if *steps == 0 {
                    return None;
                }
                let step_m = distance_m / f64::from(*steps);
                let step = taped_step(*distance_m, *steps);
                let free_effort = match drill {
                    None => Some(LEARNING_EFFORT),
                    Some(id) => lookup.free.iter().find(|free| free.id == *id).map(|free| free.effort),
                };
                if let Some(effort) = free_effort {
                    return self.free_step(step, step_m, effort, lookup);
                }
                let position = lookup.position(drill.as_ref()?)?;
                let known = &lookup.drills[position];
                let contacts = f64::from(known.drill.contacts_per_gap.unwrap_or(1).max(1));
                let gap_ln = step.ln_m + libm::log(contacts) + self.to_asked_effort(position, known);
                let usable = STEP_RANGE_M.contains(&step_m);
                usable.then_some((
                    Seen { drill: position, what: What::Measured(LnLength { ln_m: gap_ln, ..step }) },
                    step_m,
                ))
            }
            StrideObservation::Trial { drill, gap_m, verdict } => {
                let position = lookup.position(drill)?;
                let known = &lookup.drills[position];
                let ln_gap = libm::log(*gap_m) + self.to_asked_effort(position, known);
                STEP_RANGE_M.contains(gap_m).then_some((
                    Seen { drill: position, what: What::Judged { ln_gap, verdict: *verdict } },
                    *gap_m,
                ))
            }
        }
    }

    /// A step without hurdles says something of the step over hurdles, less exactly.
    fn free_step(
        &self,
        step: LnLength,
        step_m: f64,
        effort: f64,
        lookup: &Lookup<'_>,
    ) -> Option<(Seen, f64)> {
        let drill = lookup.free_step?;
        if !STEP_RANGE_M.contains(&step_m) {
            return None;
        }
        let length = LnLength {
            ln_m: step.ln_m + self.input.priors[drill].mu_ln - self.speed.ln_step(effort),
            ..step
        };
        Some((Seen { drill, what: What::Measured(length) }, step_m))
    }

    /// What turns a drill's gap at its own effort into its gap at the effort asked for, on the log scale.
    fn to_asked_effort(&self, position: usize, known: &KnownDrill<'_>) -> f64 {
        if known.rule.own_running_step {
            self.input.priors[position].mu_ln - self.speed.ln_step(known.drill.effort)
        } else {
            0.0
        }
    }
}
