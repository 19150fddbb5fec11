//! The list of faults: what to look or listen for, from where, and what to try.

use serde::Deserialize;

use crate::drill::{DrillId, Ladder};

const BUILT_IN: &str = include_str!("../data/faults.toml");

/// From where a fault is seen best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SeenFrom {
    /// Standing in front of the runner.
    Front,
    /// Standing beside the lane.
    Side,
    /// Standing at the end of the lane.
    End,
    /// By ear.
    Heard,
}

/// Which gap brings a fault about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SpacingCause {
    /// A gap that is long for the child.
    Long,
    /// A gap that is short for the child.
    Short,
}

/// Which change of lane is worth a try.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LaneTry {
    /// A shorter gap.
    Shorter,
    /// A longer gap.
    Longer,
    /// A lower hurdle or a floor line.
    Lower,
    /// Leave the lane.
    None,
}

/// One fault. Its words are the messages `fault-<id>`, `-look`, `-cause` and `-cue`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fault {
    /// Stable name, as it stands in runs.
    pub id: String,
    /// From where it is seen best.
    pub seen_from: SeenFrom,
    /// Which gap brings it about, when spacing can be the cause.
    #[serde(default)]
    pub spacing: Option<SpacingCause>,
    /// Which change of lane is worth a try.
    pub lane_try: LaneTry,
    /// Drills to fall back on.
    #[serde(default)]
    pub easier: Vec<DrillId>,
}

#[derive(Deserialize)]
struct FaultFile {
    fault: Vec<Fault>,
}

/// Returns all faults.
///
/// # Panics
/// Never in a released build: a test reads the same file.
pub fn faults() -> Vec<Fault> {
    toml::from_str::<FaultFile>(BUILT_IN).expect("the built-in fault file is tested").fault
}

/// Returns the first fault id of a ladder that is not in the list, with its drill.
pub fn unknown_fault(ladder: &Ladder) -> Option<(DrillId, String)> {
    let known = faults();
    ladder.drills().iter().find_map(|drill| {
        drill
            .faults
            .iter()
            .chain(&drill.key_fault)
            .find(|id| !known.iter().any(|fault| fault.id == **id))
            .map(|id| (drill.id.clone(), id.clone()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::{Units, Words};

    #[test]
    fn every_fault_of_every_drill_is_in_the_list_and_has_words() {
        let ladder = Ladder::built_in();
        assert_eq!(unknown_fault(&ladder), None);
        let words = Words::english(Units::Metric);
        for fault in faults() {
            for part in ["", "-look", "-cause", "-cue"] {
                let id = format!("fault-{}{part}", fault.id);
                assert!(words.has(&id), "{id} has no words");
            }
            for drill in &fault.easier {
                assert!(ladder.get(&drill.0).is_some(), "{} falls back on {drill}", fault.id);
            }
        }
    }
}
