//! A plan as other programs get it: the JSON of `lanewright lanes --json`, described in `docs/formats/lanes.md`.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::drill::DrillId;
use crate::plan::{Floor, Misfit, Plan, PlannedLane, PlannedRunner};
use crate::words::{Arg, Message, Units, Words};

/// A message as other programs get it: its id and arguments, and the English sentence in metric units.
#[derive(Debug, Serialize)]
pub struct Said<'a> {
    id: &'a str,
    args: &'a BTreeMap<String, Arg>,
    text: String,
}

/// Returns messages as other programs get them. The text is metric whatever the reader's units.
pub fn said(messages: &[Message]) -> Vec<Said<'_>> {
    let words = Words::english(Units::Metric);
    messages
        .iter()
        .map(|message| Said { id: &message.id, args: &message.args, text: words.say(message) })
        .collect()
}

/// A plan with its messages spoken; its serialised form is the output of `lanewright lanes --json`.
#[derive(Debug, Serialize)]
pub struct PlanOut<'a> {
    runners: &'a [PlannedRunner],
    lanes: &'a [PlannedLane],
    misfit: Misfit,
    fits: bool,
    warnings: Vec<Said<'a>>,
    remedies: Vec<Said<'a>>,
    lanes_possible: u32,
    drills: &'a [DrillId],
    effort: f64,
    efforts: &'a BTreeMap<DrillId, f64>,
    floor: &'a Option<Floor>,
}

impl<'a> PlanOut<'a> {
    /// Returns the plan with its messages spoken.
    pub fn new(plan: &'a Plan) -> Self {
        // Taken apart by name, so that a new field is not forgotten here.
        let Plan {
            runners,
            lanes,
            misfit,
            fits,
            warnings,
            remedies,
            lanes_possible,
            drills,
            effort,
            efforts,
            floor,
        } = plan;
        Self {
            runners,
            lanes,
            misfit: *misfit,
            fits: *fits,
            warnings: said(warnings),
            remedies: said(remedies),
            lanes_possible: *lanes_possible,
            drills,
            effort: *effort,
            efforts,
            floor,
        }
    }

    /// Returns the JSON text, indented, with a line break at its end.
    pub fn to_json(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("plans are JSON values");
        text.push('\n');
        text
    }
}
