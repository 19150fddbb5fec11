//! The facts that are saved: one record per fact, so that edits made at two places do not overwrite each other.
//!
//! A record is known by its `kind` and `id`; the later stamp wins (see `lanewright-sync`). Bodies carry a version
//! in their envelope, and fields that this version does not know are kept when a body is rewritten.
//! The format page is `docs/formats/records.md`.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::drill::DrillId;
use crate::kit::{Kit, Space};
use crate::runner::{Presence, Sex, StrideObservation};

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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_fields_survive_a_rewrite() {
        let value = serde_json::json!({"name": "7 Larch", "colour": "green"});
        let body = Body::from_value("class", &value).unwrap().unwrap();
        assert_eq!(body.to_value()["colour"], "green");
        assert_eq!(Body::from_value("telescope", &value).unwrap(), None);
    }
}
