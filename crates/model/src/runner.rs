//! Runners and what is known of their bodies and steps.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::drill::DrillId;

/// Names one runner. In a class list of our own form it is the `id` column, else the name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RunnerId(pub String);

/// Sex as growth references use it. Optional everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sex {
    /// Uses the girls' tables.
    Female,
    /// Uses the boys' tables.
    Male,
}

/// How a runner's age is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Age {
    /// Age in years when it was written down. A whole number means "had that birthday already": add half a year.
    Years {
        /// Age in years, 3 to 25.
        age_y: f64,
        /// The day it was written down, when known.
        on: Option<Date>,
    },
    /// Date of birth.
    Born(Date),
}

/// A runner with everything that is known. Only `id` and `label` are required.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Runner {
    /// Stable name of the runner.
    pub id: RunnerId,
    /// What the coach calls the child: initials or a first name.
    pub label: String,
    /// Sex, when given.
    pub sex: Option<Sex>,
    /// Age, when given.
    pub age: Option<Age>,
    /// Measured stature in centimetres, 60 to 230.
    pub stature_cm: Option<f64>,
    /// The day the stature was measured.
    pub stature_date: Option<Date>,
    /// The stature measured before that one, for growth between two measurements.
    pub stature_before: Option<(f64, Date)>,
    /// Measured leg length (floor to the top of the thigh bone's outer knob), in centimetres.
    pub leg_length_cm: Option<f64>,
    /// Place in the class's line-up by size, counted from the tallest = 1, and the size of that line.
    pub line_up: Option<(u32, u32)>,
    /// What has been measured or tried at the field, oldest first.
    pub steps: Vec<StrideObservation>,
}

impl Runner {
    /// Returns a runner of whom only the label is known.
    pub fn named(id: impl Into<String>, label: impl Into<String>) -> Self {
        Self {
            id: RunnerId(id.into()),
            label: label.into(),
            sex: None,
            age: None,
            stature_cm: None,
            stature_date: None,
            stature_before: None,
            leg_length_cm: None,
            line_up: None,
            steps: Vec::new(),
        }
    }
}

/// One thing seen of a runner's steps.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum StrideObservation {
    /// A comfortable running step without hurdles at learning effort, as a class list gives it in `step_length_m`.
    StepLength {
        /// One foot contact to the next of the other foot, in metres.
        step_length_m: f64,
    },
    /// Tape laid over counted steps, toe to toe.
    Tape {
        /// The drill whose steps were taped; free running when absent.
        drill: Option<DrillId>,
        /// Distance from first toe to last toe, in metres.
        distance_m: f64,
        /// Number of steps between them, at least 1.
        steps: u32,
    },
    /// A free run over a known distance with counted steps and, if taken, its time; or one whose steps were heard.
    TimedRun {
        /// Distance in metres.
        distance_m: f64,
        /// Steps counted over that distance; of a heard run cadence × time, rounded, so that a version that does not
        /// know the cadence reads a counted run.
        steps: u32,
        /// Time in seconds, when taken.
        time_s: Option<f64>,
        /// Effort asked for, as a share of top speed, 0.3 to 1.
        effort: f64,
        /// Steps a second, when they were heard. With it and a time the step is distance / time / cadence.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cadence_hz: Option<f64>,
        /// Standard deviation of that cadence, in steps a second; taken as none when absent.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cadence_sd_hz: Option<f64>,
    },
    /// A gap tried at the field and judged.
    Trial {
        /// The drill that was run.
        drill: DrillId,
        /// The gap that stood, in metres.
        gap_m: f64,
        /// How it looked.
        verdict: Verdict,
    },
}

/// How a gap looked when a child ran through it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Chopped steps.
    TooClose,
    /// Comfortable.
    Right,
    /// Reaching.
    TooFar,
}

/// What a child does today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Presence {
    /// Runs as usual.
    #[default]
    Present,
    /// Runs, but without sprints and turns.
    Easy,
    /// Does not run; can stand hurdles up, count or call.
    Helping,
    /// Is not here.
    Absent,
}
