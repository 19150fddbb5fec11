//! The counting rule: contacts of one run through one lane.

use lanewright_model::drill::Drill;
use serde::{Deserialize, Serialize};

use crate::site::RUN_ON_STEPS;

/// Contacts after the last hurdle when nobody counted them: the steps to run on (engineering assumption).
pub const RUN_ON_CONTACTS: u32 = RUN_ON_STEPS;

/// Foot contacts of one run, part by part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct RunSteps {
    /// Contacts from one hurdle to the next: 1 when every step crosses a hurdle, 2 when the same leg leads.
    pub per_gap: u32,
    /// Contacts before the first hurdle.
    pub run_up: u32,
    /// Contacts after the last hurdle, up to the exit line.
    pub exit: u32,
}

impl RunSteps {
    /// Returns the contacts of a drill of the ladder; nothing for drills without hurdles, whose runs have no gaps.
    ///
    /// `exit` are the contacts after the last hurdle; [`RUN_ON_CONTACTS`] unless somebody counted or a sprint follows.
    pub fn of(drill: &Drill, exit: u32) -> Option<Self> {
        Some(Self { per_gap: drill.contacts_per_gap?, run_up: drill.run_up_steps, exit })
    }
}

/// Returns the foot contacts of one run through a lane.
///
/// # Formula
/// contacts per gap × (hurdles − 1) + run-up + exit. A lane without hurdles has no gaps.
pub fn per_run(hurdles: u32, steps: RunSteps) -> u32 {
    steps.per_gap * hurdles.saturating_sub(1) + steps.run_up + steps.exit
}
