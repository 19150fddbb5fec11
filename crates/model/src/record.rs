//! The facts that are saved: one record per fact, so that edits made at two places do not overwrite each other.
//!
//! A record is known by its `kind` and `id`; the later stamp wins (see `lanewright-sync`). Bodies carry a version
//! in their envelope, and fields that this version does not know are kept when a body is rewritten.
//! The format page is `docs/formats/records.md`.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::drill::DrillId;
use crate::erasure::{ErasureBody, RetentionBody};
use crate::kit::{Kit, Space};
use crate::run::{Evenness, HurdleSet, LANE_HURDLES_MAX, Leg, Run, Source, Watched};
use crate::runner::{Age, Presence, Runner, Sex, StrideObservation};
use crate::timing::{BoutFacts, Mark, StartKind, TimingFacts};

/// Version of the bodies below.
pub const BODY_VERSION: u32 = 1;

/// Fields that a newer version wrote; kept as they are.
pub type Unknown = BTreeMap<String, Value>;

/// A group of children who have the lesson together. The record's id is the class id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClassBody {
    /// Name such as `7 Larch`.
    pub name: String,
    /// No longer shown.
    #[serde(default)]
    pub gone: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// A child's label and class. The record's id is the runner id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunnerLabelBody {
    /// Class id.
    pub class: String,
    /// What the coach calls the child.
    pub label: String,
    /// Place in the class list.
    #[serde(default)]
    pub order: u32,
    /// Taken off the list; can be undone. Erasing is another matter.
    #[serde(default)]
    pub gone: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// Sex and age, both optional. The record's id is the runner id.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct RunnerAboutBody {
    /// Sex, for the growth tables.
    #[serde(default)]
    pub sex: Option<Sex>,
    /// Age in years when it was written down.
    #[serde(default)]
    pub age_y: Option<f64>,
    /// The day `age_y` was written down.
    #[serde(default)]
    pub age_on: Option<Date>,
    /// Date of birth.
    #[serde(default)]
    pub birth_date: Option<Date>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// One measurement of one child. Never edited in place: a correction voids it and adds another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MeasurementBody {
    /// Runner id.
    pub runner: String,
    /// The day.
    pub on: Option<Date>,
    /// What was measured.
    pub measured: Measured,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What a measurement says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Measured {
    /// Stature.
    Stature {
        /// In centimetres, 60 to 230.
        stature_cm: f64,
    },
    /// Leg length.
    LegLength {
        /// In centimetres.
        leg_length_cm: f64,
    },
    /// Something about steps.
    Steps {
        /// The observation.
        observation: StrideObservation,
    },
}

/// A class lined up by size. The record's id is the class id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LineUpBody {
    /// Runner ids, tallest first.
    pub order: Vec<String>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What a child does today. The record's id is the runner id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TodayBody {
    /// The day it holds for; on any other day the child counts as present.
    pub on: Date,
    /// Present, easy, helping or absent.
    pub presence: Presence,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// Which lanes a child may run in. The record's id is the runner id.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct LaneWishBody {
    /// Only this lane.
    #[serde(default)]
    pub only: Option<String>,
    /// Never these.
    #[serde(default)]
    pub never: Vec<String>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// Two children who should share a lane, or should not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairWishBody {
    /// Class id.
    pub class: String,
    /// Runner id.
    pub first: String,
    /// Runner id.
    pub second: String,
    /// `true`: in one lane; `false`: in different lanes.
    pub together: bool,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What is asked of the lanes. The record's id is the class id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanChoiceBody {
    /// Drills, the main one first.
    pub drills: Vec<DrillId>,
    /// Effort as a share of top speed.
    pub effort: f64,
    /// Most lanes wanted.
    #[serde(default)]
    pub lanes_max: Option<u32>,
    /// Exit sprint after the last hurdle, in metres; 0 for none.
    #[serde(default)]
    pub exit_sprint_m: f64,
    /// Adults who can each watch some lanes.
    #[serde(default = "one")]
    pub adults: u32,
    /// Hurdle height wanted, in centimetres; what most hurdles of the bag have, when absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_cm: Option<f64>,
    /// Most hurdles in a lane, when the floor is short.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hurdles_per_lane_max: Option<u32>,
    /// Most steps of run-up, when the floor is short.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run_up_steps_max: Option<u32>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

fn one() -> u32 {
    1
}

impl Default for PlanChoiceBody {
    fn default() -> Self {
        Self {
            drills: vec![DrillId("alternate-run".into())],
            effort: 0.6,
            lanes_max: None,
            exit_sprint_m: 0.0,
            adults: 1,
            height_cm: None,
            hurdles_per_lane_max: None,
            run_up_steps_max: None,
            unknown: Unknown::new(),
        }
    }
}

/// One class list that was read in, so that reading it twice is noticed and the whole can be undone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ImportBody {
    /// Class id.
    pub class: String,
    /// SHA-256 of the file, in hexadecimal.
    pub sha256: String,
    /// When, in milliseconds since 1970.
    pub at_ms: u64,
    /// Runner ids that it added.
    pub runners: Vec<String>,
    /// Undone.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// The bag of hurdles. The record's id is the school id: one kit per school for now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KitBody {
    /// The kit.
    pub kit: Kit,
    /// No longer counts, so that a first entry can be undone.
    #[serde(default)]
    pub gone: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// The floor. The record's id is the school id: one floor per school for now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SpaceBody {
    /// The floor.
    pub space: Space,
    /// No longer counts, so that a first entry can be undone.
    #[serde(default)]
    pub gone: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// One run as it was recorded. What it says is never edited: see [`RunCorrectionBody`]; an undo sets `void` and keeps
/// the rest. The record's id is the run id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunBody {
    /// Class id.
    pub class: String,
    /// The run, with the keys of a run file (`docs/formats/runs.md`); `runner` is the runner id.
    pub run: RunFacts,
    /// What a device heard of it, for runs with the source `sound`. A correction leaves it as it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sound: Option<Box<RunSound>>,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What a device heard of a run. The recording itself is dropped, so this is the observation: moments on its own time
/// line, and what was computed from them on that day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunSound {
    /// Length of the recording, s.
    pub duration_s: f64,
    /// Probability that one child runs in it.
    pub run_p: f64,
    /// Onsets of the contacts, s from the first sample.
    #[serde(default)]
    pub contacts_s: Vec<f64>,
    /// Knocks that were heard, whatever the coach then saw lying.
    #[serde(default)]
    pub knocks: Vec<SoundKnock>,
    /// Heavy stops, s.
    #[serde(default)]
    pub brakes_s: Vec<f64>,
    /// Steps a second.
    #[serde(default)]
    pub cadence_hz: Option<SoundRange>,
    /// Standard deviation of step times over their mean.
    #[serde(default)]
    pub cv_step_time: Option<SoundRange>,
    /// Difference of the two feet's mean step times over the mean.
    #[serde(default)]
    pub asymmetry: Option<SoundRange>,
    /// Are the steps even?
    pub evenness: Evenness,
    /// Speed through each gap, m/s, the gap behind hurdle 1 first.
    #[serde(default)]
    pub speeds_mps: Vec<SoundRange>,
    /// Probability that the crossings were counted right.
    #[serde(default)]
    pub alignment_p: Option<f64>,
}

/// A value with its 90 % range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SoundRange {
    /// Best estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A knock that was heard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SoundKnock {
    /// Onset, s from the first sample.
    pub t_s: f64,
    /// Probability that it is a knock.
    pub p: f64,
    /// Hurdle from 1, where it is known.
    #[serde(default)]
    pub hurdle: Option<u32>,
}

/// What a run record holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunFacts {
    /// Runner id.
    pub runner: String,
    /// Drill.
    pub drill: DrillId,
    /// Lane letter.
    pub lane: String,
    /// The moment of the press, in milliseconds since 1970.
    pub at_ms: i64,
    /// The leg that crossed the first hurdle first.
    #[serde(default)]
    pub lead: Option<Leg>,
    /// Hurdles in the lane.
    pub hurdles: u32,
    /// Which fell, counted from 1.
    #[serde(default)]
    pub knocked: Vec<u32>,
    /// Which lay down already.
    #[serde(default)]
    pub down_before: Vec<u32>,
    /// What was looked at.
    #[serde(default)]
    pub watched: Watched,
    /// Fault ids seen.
    #[serde(default)]
    pub faults: Vec<String>,
    /// Effort asked for.
    #[serde(default)]
    pub effort: Option<f64>,
    /// An exit sprint followed.
    #[serde(default)]
    pub exit_sprint: bool,
    /// Gap in metres.
    #[serde(default)]
    pub gap_m: Option<f64>,
    /// Hurdle height in centimetres.
    #[serde(default)]
    pub height_cm: Option<f64>,
    /// The lane as it stood.
    pub setup: String,
    /// Who or what recorded it.
    #[serde(default)]
    pub source: Source,
}

impl RunFacts {
    /// Returns the run as the computations take it, or `None` when its numbers do not fit together.
    pub fn to_run(&self, class: &str) -> Option<Run> {
        if !(1..=LANE_HURDLES_MAX).contains(&self.hurdles) {
            return None;
        }
        let down_before = HurdleSet::from_numbers(&self.down_before, self.hurdles).ok()?;
        let knocked = HurdleSet::from_numbers(&self.knocked, self.hurdles).ok()?;
        Some(Run {
            runner: self.runner.clone(),
            drill: self.drill.0.clone(),
            lane: self.lane.clone(),
            class: Some(class.to_owned()),
            at: jiff::Timestamp::from_millisecond(self.at_ms).ok()?,
            lead: self.lead,
            hurdles: self.hurdles,
            // A hurdle cannot fall that lay down already.
            knocked: HurdleSet(knocked.0 & !down_before.0),
            down_before,
            watched: self.watched,
            faults: self.faults.clone(),
            effort: self.effort,
            exit_sprint: self.exit_sprint,
            gap_m: self.gap_m,
            height_cm: self.height_cm,
            setup: self.setup.clone(),
            source: self.source,
        })
    }
}

/// What a run really was, said later. The first record stays as it is; of several corrections of one run the one
/// with the greatest id (made last) counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunCorrectionBody {
    /// Class id.
    pub class: String,
    /// Id of the run that is corrected.
    pub of: String,
    /// What it was; absent when there was no such run.
    #[serde(default)]
    pub run: Option<RunFacts>,
    /// Taken back: the run counts as first recorded, or as corrected before.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// One look at one child at the end of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SweepBody {
    /// Class id.
    pub class: String,
    /// Runner id.
    pub runner: String,
    /// Drill.
    pub drill: DrillId,
    /// Lane letter.
    pub lane: String,
    /// The moment, in milliseconds since 1970.
    pub at_ms: i64,
    /// Got it, or not yet.
    pub got_it: bool,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// A stretch of a lane on which times are taken: its marks. Never edited once a time refers to it: marks that were
/// moved are a stretch of their own, and marks that were written down wrongly are put right by a stretch that says so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StretchBody {
    /// Class id.
    pub class: String,
    /// Lane letter; empty when the whole class runs on it.
    #[serde(default)]
    pub lane: String,
    /// The marks behind the start, nearest first.
    pub marks: Vec<Mark>,
    /// What begins the time.
    #[serde(default)]
    pub start: StartKind,
    /// Run-up before the start line, in metres; 0 from standing.
    #[serde(default)]
    pub run_up_m: f64,
    /// Since when it stands, in milliseconds since 1970.
    pub at_ms: i64,
    /// Record id of a stretch whose marks, start and run-up were written down wrongly and are these; absent for a
    /// stretch of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// One press at a start or a mark, or the typed times of one run. What it says is never edited: see
/// [`TimingCorrectionBody`]. The record's id is the id of the press; a start's id is that of the attempt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TimingBody {
    /// Class id.
    pub class: String,
    /// What was timed.
    pub timing: TimingFacts,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What a timing really was, said later. The first record stays; of several corrections the one with the greatest id
/// counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TimingCorrectionBody {
    /// Class id.
    pub class: String,
    /// Id of the timing that is corrected.
    pub of: String,
    /// What it was; absent when there was no such time.
    #[serde(default)]
    pub timing: Option<TimingFacts>,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What a device heard of a bout of one child. The recording itself is dropped.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoutSound {
    /// Length of the recording, s.
    pub duration_s: f64,
    /// Probability that one child runs in it.
    pub run_p: f64,
    /// The turns, in order.
    #[serde(default)]
    pub turns: Vec<SoundTurn>,
}

/// A turn that was heard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SoundTurn {
    /// The push-off, s from the first sample.
    pub t_s: f64,
    /// Probability that it is a turn.
    pub p: f64,
    /// Probability that it was made on one step.
    pub one_step_p: f64,
    /// Probability that the stop was heavy.
    pub heavy_p: f64,
    /// How much louder than the child's other contacts, dB.
    #[serde(default)]
    pub strength_db: Option<SoundRange>,
    /// From the first contact of the turn to the way back, s.
    pub seconds: f64,
}

/// One bout as it was recorded. What it says is never edited: see [`BoutCorrectionBody`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoutBody {
    /// Class id.
    pub class: String,
    /// The bout.
    pub bout: BoutFacts,
    /// What a device heard of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sound: Option<Box<BoutSound>>,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// What a bout really was, said later. The first record stays; of several corrections the one with the greatest id
/// counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoutCorrectionBody {
    /// Class id.
    pub class: String,
    /// Id of the bout that is corrected.
    pub of: String,
    /// What it was; absent when there was no such bout.
    #[serde(default)]
    pub bout: Option<BoutFacts>,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// One comparison of a device's clock with the server's. Two devices that each compared theirs know how they stand to
/// each other: by the difference of the offsets, within the sum of the errors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClockCheckBody {
    /// The device, as in record stamps.
    pub device: String,
    /// Which of its clocks, as in a press.
    pub clock_ms: i64,
    /// When, in milliseconds since 1970 by that clock.
    pub at_ms: i64,
    /// Server minus device, in milliseconds.
    pub offset_ms: f64,
    /// The offset lies within this many milliseconds of `offset_ms`.
    pub error_ms: f64,
    /// Questions that were asked; the quickest answer counts.
    pub round_trips: u32,
    /// Taken back.
    #[serde(default)]
    pub void: bool,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// The lanes as a coach's phone gives them out to those who record without seeing a size. The record's id is the class
/// id. It follows from other records; it is one because who must not see those cannot compute it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LaneSheetBody {
    /// The day it holds for; on any other day there is none.
    pub on: Date,
    /// The lanes, A first.
    pub lanes: Vec<SheetLane>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// The lanes as they stand on the ground, from the first thing that was recorded in them on a day: whoever comes late
/// or goes early moves no hurdle. The record's id is the class id. Written by a coach's phone; only coaches get it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandingLanesBody {
    /// The day it holds for; on any other day there is none.
    pub on: Date,
    /// Since when they stand so, in milliseconds since 1970.
    pub since_ms: i64,
    /// The lanes, A first; none: they do not stand yet, and the plan says how to lay them.
    pub lanes: Vec<SheetLane>,
    /// Kept for newer versions.
    #[serde(flatten)]
    pub unknown: Unknown,
}

/// One lane of a lane sheet: how it stands and who runs in it, nothing about a body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetLane {
    /// Lane letter.
    pub lane: String,
    /// Hurdles in it.
    pub hurdles: u32,
    /// Their height in centimetres; 0 is a floor line.
    pub height_cm: f64,
    /// Drills with hurdles, the main one first.
    pub drills: Vec<SheetDrill>,
    /// Runner ids in the order in which they come up.
    pub runners: Vec<String>,
    /// Where times are taken when nothing else was laid out.
    pub marks: Vec<Mark>,
}

/// A drill as it is run in a lane of a lane sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetDrill {
    /// Which drill.
    pub drill: DrillId,
    /// Gap between hurdles, in metres.
    pub gap_m: f64,
    /// Effort asked for, as a share of top speed.
    pub effort: f64,
}

/// Any body that this version understands.
#[derive(Debug, Clone, PartialEq)]
#[allow(missing_docs)]
pub enum Body {
    Class(ClassBody),
    RunnerLabel(RunnerLabelBody),
    RunnerAbout(RunnerAboutBody),
    Measurement(MeasurementBody),
    LineUp(LineUpBody),
    Today(TodayBody),
    LaneWish(LaneWishBody),
    PairWish(PairWishBody),
    PlanChoice(PlanChoiceBody),
    Import(ImportBody),
    Kit(KitBody),
    Space(SpaceBody),
    Run(RunBody),
    RunCorrection(RunCorrectionBody),
    Sweep(SweepBody),
    Stretch(StretchBody),
    Timing(TimingBody),
    TimingCorrection(TimingCorrectionBody),
    Bout(BoutBody),
    BoutCorrection(BoutCorrectionBody),
    ClockCheck(ClockCheckBody),
    LaneSheet(LaneSheetBody),
    StandingLanes(StandingLanesBody),
    Erasure(ErasureBody),
    Retention(RetentionBody),
}

macro_rules! kinds {
    ($($variant:ident $kind:literal),* $(,)?) => {
        /// Kinds that this version understands. Others are stored and passed on untouched.
        pub const KINDS: &[&str] = &[$($kind),*];

        impl Body {
            /// Returns the kind as it stands in the envelope.
            pub fn kind(&self) -> &'static str {
                match self { $(Body::$variant(_) => $kind),* }
            }

            /// Returns the body as JSON.
            pub fn to_value(&self) -> Value {
                match self {
                    $(Body::$variant(body) => serde_json::to_value(body).expect("bodies hold only JSON values")),*
                }
            }

            /// Reads a body of the given kind; `None` for kinds that this version does not know.
            ///
            /// # Errors
            /// The body does not have the shape of its kind.
            pub fn from_value(kind: &str, value: &Value) -> Result<Option<Self>, serde_json::Error> {
                match kind {
                    $($kind => Ok(Some(Body::$variant(serde::Deserialize::deserialize(value)?))),)*
                    _ => Ok(None),
                }
            }
        }
    };
}

kinds! {
    Class "class",
    RunnerLabel "runner-label",
    RunnerAbout "runner-about",
    Measurement "measurement",
    LineUp "line-up",
    Today "today",
    LaneWish "lane-wish",
    PairWish "pair-wish",
    PlanChoice "plan-choice",
    Import "import",
    Kit "kit",
    Space "space",
    Run "run",
    RunCorrection "run-correction",
    Sweep "sweep",
    Stretch "stretch",
    Timing "timing",
    TimingCorrection "timing-correction",
    Bout "bout",
    BoutCorrection "bout-correction",
    ClockCheck "clock-check",
    LaneSheet "lane-sheet",
    StandingLanes "standing-lanes",
    Erasure "erasure",
    Retention "retention",
}

/// Returns the facts that a runner from a class list consists of, as `(kind, id, body)`, ready for envelopes.
///
/// The runner's id becomes the records' id, so it must be a UUID in its usual text form. Only what is known
/// becomes a record. Places in a line-up belong to the class ([`LineUpBody`]) and are not among them.
/// Equal input gives equal ids, see [`measurement_id`].
pub fn bodies_for_runner(runner: &Runner, class_id: &str, order: u32) -> Vec<(&'static str, String, Body)> {
    let id = &runner.id.0;
    let mut bodies = vec![Body::RunnerLabel(RunnerLabelBody {
        class: class_id.to_owned(),
        label: runner.label.clone(),
        order,
        gone: false,
        unknown: Unknown::new(),
    })];
    if runner.sex.is_some() || runner.age.is_some() {
        let mut about = RunnerAboutBody { sex: runner.sex, ..RunnerAboutBody::default() };
        match runner.age {
            Some(Age::Born(born)) => about.birth_date = Some(born),
            Some(Age::Years { age_y, on }) => (about.age_y, about.age_on) = (Some(age_y), on),
            None => {}
        }
        bodies.push(Body::RunnerAbout(about));
    }
    let mut facts: Vec<_> = bodies.into_iter().map(|body| (body.kind(), id.clone(), body)).collect();

    let mut measured: Vec<(String, Option<Date>, Measured)> = Vec::new();
    if let Some((stature_cm, on)) = runner.stature_before {
        measured.push(("stature-before".into(), Some(on), Measured::Stature { stature_cm }));
    }
    if let Some(stature_cm) = runner.stature_cm {
        measured.push(("stature".into(), runner.stature_date, Measured::Stature { stature_cm }));
    }
    if let Some(leg_length_cm) = runner.leg_length_cm {
        measured.push(("leg-length".into(), None, Measured::LegLength { leg_length_cm }));
    }
    for (place, observation) in runner.steps.iter().enumerate() {
        measured.push((format!("steps-{place}"), None, Measured::Steps { observation: observation.clone() }));
    }
    for (what, on, measured) in measured {
        let body = MeasurementBody { runner: id.clone(), on, measured, void: false, unknown: Unknown::new() };
        facts.push(("measurement", measurement_id(id, &what), Body::Measurement(body)));
    }
    facts
}

/// Returns the record id of a measurement that came with a class list: a UUID made from the runner's.
///
/// The first half is that of the runner's id, so with time-ordered runner ids (UUID version 7) the measurement
/// sorts before whatever is measured later the same day; the second half is a digest of runner and `what`.
pub fn measurement_id(runner_id: &str, what: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(runner_id.as_bytes());
    hash.update([0]);
    hash.update(what.as_bytes());
    let mut digest = hash.finalize();
    // The two top bits of the second half name the layout, as in every UUID (RFC 9562, section 4.1).
    digest[0] = digest[0] & 0x3f | 0x80;
    let hex = |bytes: &[u8]| bytes.iter().map(|byte| format!("{byte:02x}")).collect::<String>();
    // Without a UUID to start from, the first half is a digest too: version 8, "as the maker likes".
    let fallback = || {
        let first = hex(&digest[8..16]);
        format!("{}-{}-8{}-", &first[..8], &first[8..12], &first[13..])
    };
    let is_uuid = runner_id.len() == 36 && runner_id.is_ascii();
    let first = if is_uuid { runner_id[..19].to_owned() } else { fallback() };
    format!("{first}{}-{}", hex(&digest[..2]), hex(&digest[2..8]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn unknown_fields_survive_a_rewrite() {
        let value = serde_json::json!({"name": "7 Larch", "colour": "green"});
        let body = Body::from_value("class", &value).unwrap().unwrap();
        assert_eq!(body.to_value()["colour"], "green");
        assert_eq!(Body::from_value("telescope", &value).unwrap(), None);
    }

    #[test]
    fn records_of_a_runner_fold_back_into_the_same_runner() {
        let mut runner = Runner::named("018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e", "Ada");
        runner.sex = Some(Sex::Female);
        runner.age = Some(Age::Years { age_y: 11.0, on: Some(date(2026, 2, 1)) });
        runner.stature_cm = Some(142.5);
        runner.stature_date = Some(date(2026, 3, 2));
        runner.stature_before = Some((139.0, date(2025, 9, 1)));
        runner.leg_length_cm = Some(74.0);
        runner.steps = vec![
            StrideObservation::StepLength { step_length_m: 1.31 },
            StrideObservation::StepLength { step_length_m: 1.33 },
            StrideObservation::TimedRun {
                distance_m: 20.0,
                steps: 15,
                time_s: Some(4.4),
                effort: 0.75,
                cadence_hz: Some(3.35),
                cadence_sd_hz: Some(0.05),
            },
        ];
        let class = ClassBody { name: "7 Larch".into(), gone: false, unknown: Unknown::new() };
        let mut facts = bodies_for_runner(&runner, "c", 3);
        facts.push(("class", "c".into(), Body::Class(class)));
        let values: Vec<_> = facts.iter().map(|(kind, id, body)| (*kind, id, body.to_value())).collect();
        let school = crate::school::School::from_records(
            values.iter().map(|(kind, id, value)| (*kind, id.as_str(), value)),
            date(2026, 3, 2),
        );
        let view = &school.classes["c"].runners[0];
        assert_eq!(view.runner.steps.len(), 3);
        runner.steps.sort_by_key(|step| format!("{step:?}"));
        let mut back = view.runner.clone();
        back.steps.sort_by_key(|step| format!("{step:?}"));
        assert_eq!(back, runner);
        assert_eq!(bodies_for_runner(&runner, "c", 3).len(), 8);
    }

    #[test]
    fn a_counted_run_is_written_as_before_there_was_a_cadence() {
        let written = serde_json::json!({
            "what": "timed-run", "distance_m": 20.0, "steps": 15, "time_s": 4.4, "effort": 0.75
        });
        let read: StrideObservation = serde_json::from_value(written.clone()).unwrap();
        assert_eq!(serde_json::to_value(&read).unwrap(), written);
    }

    #[test]
    fn only_what_is_known_becomes_a_record() {
        let facts = bodies_for_runner(&Runner::named("018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e", "Ada"), "c", 0);
        assert_eq!(facts.iter().map(|(kind, ..)| *kind).collect::<Vec<_>>(), ["runner-label"]);
    }

    #[test]
    fn measurement_ids_are_uuids_that_keep_the_time_of_the_runner_id() {
        let runner = "018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e";
        let id = measurement_id(runner, "stature");
        assert_eq!(id, measurement_id(runner, "stature"));
        assert_ne!(id, measurement_id(runner, "leg-length"));
        assert_ne!(id, runner);
        assert_eq!(id[..19], runner[..19]);
        for id in [id, measurement_id("r07", "stature")] {
            assert_eq!(id.len(), 36);
            assert!(id.bytes().enumerate().all(|(at, byte)| match at {
                8 | 13 | 18 | 23 => byte == b'-',
                _ => byte.is_ascii_hexdigit() && !byte.is_ascii_uppercase(),
            }));
            assert!("89ab".contains(&id[19..20]), "{id}");
        }
    }
}
