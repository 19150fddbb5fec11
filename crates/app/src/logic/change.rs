//! Changes that a person asks for, and how each kind of fact is taken back.

use lanewright_model::record::{BODY_VERSION, Body};
use lanewright_sync::{Record, RecordKey};
use serde_json::{Value, json};
use uuid::Uuid;

/// One fact to be written: not yet stamped.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Which fact.
    pub key: RecordKey,
    /// What it says from now on.
    pub body: Value,
    /// Version of the body's shape.
    pub version: u32,
}

impl Change {
    /// Returns a change that writes a body of this version.
    pub fn new(id: Uuid, body: &Body) -> Self {
        Self {
            key: RecordKey { kind: body.kind().to_owned(), id },
            body: body.to_value(),
            version: BODY_VERSION,
        }
    }

    /// Returns a change that writes the body on top of what is stored: fields that only a newer version
    /// understands, and that newer version's number, stay.
    pub fn over(stored: Option<&Record>, id: Uuid, body: &Body) -> Self {
        let mut change = Self::new(id, body);
        let Some(stored) = stored else { return change };
        change.version = change.version.max(stored.version);
        if let (Value::Object(new), Value::Object(old)) = (&mut change.body, &stored.body) {
            let known = known_fields(&change.key.kind);
            for (name, value) in old {
                if !known.contains(&name.as_str()) {
                    new.entry(name.clone()).or_insert_with(|| value.clone());
                }
            }
        }
        change
    }
}

/// Fields of a kind that this version writes itself; everything else in a body is kept as it was found.
fn known_fields(kind: &str) -> &'static [&'static str] {
    match kind {
        "class" => &["name", "gone"],
        "runner-label" => &["class", "label", "order", "gone"],
        "runner-about" => &["sex", "age_y", "age_on", "birth_date"],
        "measurement" => &["runner", "on", "measured", "void"],
        "line-up" => &["order"],
        "today" => &["on", "presence"],
        "lane-wish" => &["only", "never"],
        "pair-wish" => &["class", "first", "second", "together", "void"],
        "plan-choice" => &[
            "drills",
            "effort",
            "lanes_max",
            "exit_sprint_m",
            "adults",
            "height_cm",
            "hurdles_per_lane_max",
            "run_up_steps_max",
        ],
        "import" => &["class", "sha256", "at_ms", "runners", "void"],
        "kit" => &["kit", "gone"],
        "space" => &["space", "gone"],
        "run" => &["class", "run", "void"],
        "run-correction" => &["class", "of", "run", "void"],
        "sweep" => &["class", "runner", "drill", "lane", "at_ms", "got_it", "void"],
        "stretch" => &["class", "lane", "marks", "start", "run_up_m", "at_ms", "void"],
        "timing" => &["class", "timing", "void"],
        "timing-correction" => &["class", "of", "timing", "void"],
        "bout" => &["class", "bout", "void"],
        "bout-correction" => &["class", "of", "bout", "void"],
        "erasure" => &["what", "before_ms"],
        "retention" => &["keep_days", "off_list_days"],
        "clock-check" => &["device", "clock_ms", "at_ms", "offset_ms", "error_ms", "round_trips", "void"],
        "lane-sheet" => &["on", "lanes"],
        "standing-lanes" => &["on", "since_ms", "lanes"],
        _ => &[],
    }
}

/// Returns the body that takes a fact back when nothing was there before it.
///
/// A record is never deleted by an undo, because a deletion would have no stamp: it is written once more, saying
/// that it no longer counts or that nothing special holds.
pub fn taken_back(kind: &str, written: &Value) -> Value {
    let mut body = written.clone();
    match kind {
        "class" | "runner-label" | "kit" | "space" => body["gone"] = json!(true),
        "measurement" | "pair-wish" | "import" | "run" | "run-correction" | "sweep" | "stretch"
        | "timing" | "timing-correction" | "bout" | "bout-correction" | "clock-check" => {
            body["void"] = json!(true)
        }
        "today" => body["presence"] = json!("present"),
        "line-up" => body["order"] = json!([]),
        "lane-sheet" | "standing-lanes" => body["lanes"] = json!([]),
        "runner-about" => body = Body::RunnerAbout(Default::default()).to_value(),
        "lane-wish" => body = Body::LaneWish(Default::default()).to_value(),
        "plan-choice" => body = Body::PlanChoice(Default::default()).to_value(),
        "retention" => body = Body::Retention(Default::default()).to_value(),
        _ => {}
    }
    body
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::record::{KINDS, RunnerLabelBody};
    use lanewright_model::school::School;
    use lanewright_sync::{DeviceId, SchoolId, Stamp};

    #[test]
    fn every_kind_can_be_taken_back_and_stays_readable() {
        let samples = samples();
        // What was erased stays erased.
        for kind in KINDS.iter().filter(|kind| **kind != "erasure") {
            let (_, written) = samples
                .iter()
                .find(|(sample, _)| sample == kind)
                .unwrap_or_else(|| panic!("no sample for `{kind}`: say how a new kind is taken back"));
            let back = taken_back(kind, written);
            assert_ne!(&back, written, "{kind} is not taken back");
            assert!(Body::from_value(kind, &back).unwrap().is_some(), "{kind} cannot be read any more");
        }
    }

    #[test]
    fn known_fields_are_exactly_those_that_are_written() {
        for (kind, value) in samples() {
            let written = Body::from_value(kind, &value).unwrap().unwrap().to_value();
            let names: Vec<&str> = written.as_object().unwrap().keys().map(String::as_str).collect();
            let mut known = known_fields(kind).to_vec();
            known.sort_unstable();
            assert_eq!(names, known, "{kind}");
        }
    }

    #[test]
    fn fields_of_a_newer_version_survive_an_edit() {
        let id = Uuid::from_u128(7);
        let stored = Record {
            id,
            kind: "runner-label".into(),
            version: BODY_VERSION + 1,
            body: json!({"class": "c", "label": "Ada", "pronoun": "she"}),
            stamp: Stamp { wall_ms: 1, counter: 0, device: DeviceId(Uuid::nil()) },
            school: SchoolId(Uuid::nil()),
        };
        let label = RunnerLabelBody {
            class: "c".into(),
            label: "Adah".into(),
            order: 0,
            gone: false,
            unknown: Default::default(),
        };
        let change = Change::over(Some(&stored), id, &Body::RunnerLabel(label));
        assert_eq!(change.body["pronoun"], "she");
        assert_eq!(change.body["label"], "Adah");
        assert_eq!(change.version, BODY_VERSION + 1);
    }

    #[test]
    fn an_undone_first_kit_leaves_no_kit() {
        let kit = Body::from_value(
            "kit",
            &json!({"kit": {"hurdles": [], "hurdle_width_m": 0.6, "base_depth_m": 0.3, "shoe_length_m": null}}),
        )
        .unwrap()
        .unwrap()
        .to_value();
        let day = jiff::civil::date(2026, 3, 2);
        let back = taken_back("kit", &kit);
        assert!(School::from_records([("kit", "s", &kit)], day).kit.is_some());
        assert!(School::from_records([("kit", "s", &back)], day).kit.is_none());
    }

    fn samples() -> Vec<(&'static str, Value)> {
        vec![
            ("class", json!({"name": "7 Larch"})),
            ("runner-label", json!({"class": "c", "label": "Ada"})),
            ("runner-about", json!({"sex": "female", "age_y": 11.0, "age_on": null, "birth_date": null})),
            (
                "measurement",
                json!({"runner": "r", "on": null, "measured": {"kind": "stature", "stature_cm": 142.0}}),
            ),
            ("line-up", json!({"order": ["r"]})),
            ("today", json!({"on": "2026-03-02", "presence": "absent"})),
            ("lane-wish", json!({"only": "A", "never": []})),
            ("pair-wish", json!({"class": "c", "first": "r", "second": "s", "together": true})),
            (
                "plan-choice",
                json!({"drills": ["dead-leg-run"], "effort": 0.4, "lanes_max": 3, "exit_sprint_m": 10.0, "adults": 2, "height_cm": 20.0, "hurdles_per_lane_max": 5, "run_up_steps_max": 4}),
            ),
            ("import", json!({"class": "c", "sha256": "00", "at_ms": 1, "runners": ["r"]})),
            (
                "kit",
                json!({"kit": {"hurdles": [], "hurdle_width_m": 0.6, "base_depth_m": 0.3, "shoe_length_m": null}}),
            ),
            (
                "space",
                json!({"space": {"length_m": 28.0, "width_m": 15.0, "surface": "hall", "wall_start": true, "wall_finish": true, "wall_left": true, "wall_right": true}}),
            ),
            ("run", json!({"class": "c", "run": run_facts()})),
            ("run-correction", json!({"class": "c", "of": "r1", "run": run_facts()})),
            (
                "sweep",
                json!({"class": "c", "runner": "r", "drill": "side-run", "lane": "A", "at_ms": 1, "got_it": true}),
            ),
            (
                "stretch",
                json!({"class": "c", "lane": "A", "marks": [{"at_m": 10.0, "ground": "flat"}], "start": "gun", "run_up_m": 0.0, "at_ms": 1}),
            ),
            ("timing", json!({"class": "c", "timing": timing_facts()})),
            ("timing-correction", json!({"class": "c", "of": "t1", "timing": timing_facts()})),
            ("bout", json!({"class": "c", "bout": bout_facts()})),
            ("bout-correction", json!({"class": "c", "of": "b1", "bout": bout_facts()})),
            (
                "clock-check",
                json!({"device": "d", "clock_ms": 1, "at_ms": 2, "offset_ms": 3.5, "error_ms": 4.5, "round_trips": 8}),
            ),
            (
                "lane-sheet",
                json!({"on": "2026-03-02", "lanes": [{
                    "lane": "A", "hurdles": 6, "height_cm": 30.0, "runners": ["r"],
                    "drills": [{"drill": "side-run", "gap_m": 1.2, "effort": 0.6}],
                    "marks": [{"at_m": 10.0, "ground": "hurdled"}],
                }]}),
            ),
            (
                "standing-lanes",
                json!({"on": "2026-03-02", "since_ms": 1, "lanes": [{
                    "lane": "A", "hurdles": 6, "height_cm": 30.0, "runners": ["r"],
                    "drills": [{"drill": "side-run", "gap_m": 1.2, "effort": 0.6}],
                    "marks": [{"at_m": 10.0, "ground": "hurdled"}],
                }]}),
            ),
            ("erasure", json!({"what": "before", "before_ms": 1})),
            ("retention", json!({"keep_days": 400, "off_list_days": 60})),
        ]
    }

    fn timing_facts() -> Value {
        json!({
            "stretch": "s", "runner": "r", "method": "tap", "error_s": 0.07,
            "timed": {"kind": "start", "press": {"device": "d", "clock_ms": 1, "at_ms": 2}},
        })
    }

    fn bout_facts() -> Value {
        json!({
            "lane": "A", "drill": "side-shuttle", "at_ms": 1, "planned_s": 10.0, "seconds": 10.0, "seed": 7, "calls": 3,
            "runners": [{"runner": "r", "passes": 4, "turns": 3, "one_step_turns": 2, "falls": 1}], "down": [2],
            "gap_m": 0.7,
        })
    }

    fn run_facts() -> Value {
        json!({
            "runner": "r", "drill": "alternate-run", "lane": "A", "at_ms": 1, "lead": "left", "hurdles": 8, "knocked": [3],
            "down_before": [], "watched": "technique", "faults": [], "effort": 0.6, "exit_sprint": false, "gap_m": 1.25,
            "height_cm": 30.0, "setup": "A1", "source": "tap",
        })
    }
}
