//! What a lesson is for, and the parts of it that hold no drill.

use serde::{Deserialize, Serialize};

/// What is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Use {
    /// Five to ten minutes before something else.
    WarmUp,
    /// One station of a circuit: groups come, work and go on.
    Station,
    /// The whole lesson.
    #[default]
    Lesson,
}

impl Use {
    /// Returns the most blocks that are usual (engineering assumption).
    pub fn blocks_max(self) -> usize {
        match self {
            Self::WarmUp | Self::Station => 2,
            Self::Lesson => 4,
        }
    }
}

/// Whether a fixed part comes before or after the blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// Before the first block.
    Before,
    /// After the last block.
    After,
}

/// A part of the lesson that takes time and holds no drill with hurdles.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FixedPart {
    /// What it is: `register`, `set-up`, `talk`, `demonstration`, `free-runs`, `cool-down`, `kit-away`, or the coach's
    /// own word.
    pub what: String,
    /// Minutes.
    pub minutes: u32,
    /// Before or after the blocks.
    pub when: When,
}

impl FixedPart {
    /// Returns a part; the known parts know where they belong, others come before the blocks.
    pub fn new(what: &str, minutes: u32) -> Self {
        let when = match what {
            "free-runs" | "cool-down" | "kit-away" => When::After,
            _ => When::Before,
        };
        Self { what: what.to_owned(), minutes, when }
    }
}

/// Returns the fixed parts that are usual (common practice, no source), in their order.
pub fn usual_parts(use_for: Use) -> Vec<FixedPart> {
    let parts: &[(&str, u32)] = match use_for {
        Use::WarmUp | Use::Station => &[("demonstration", 1)],
        Use::Lesson => &[
            ("register", 3),
            ("set-up", 5),
            ("talk", 2),
            ("demonstration", 2),
            ("free-runs", 4),
            ("cool-down", 3),
            ("kit-away", 4),
        ],
    };
    parts.iter().map(|(what, minutes)| FixedPart::new(what, *minutes)).collect()
}
