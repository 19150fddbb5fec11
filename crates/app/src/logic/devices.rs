//! Several devices: what this one may do, the lanes as a coach's phone gives them out, and a link as a picture.

use lanewright_model::plan::Plan;
use lanewright_model::record::{LaneSheetBody, SheetDrill, SheetLane};
use lanewright_model::school::ClassView;
use lanewright_model::timing::Mark;
use lanewright_sync::{Place, SchoolId};
use qrcodegen::{QrCode, QrCodeEcc};
use serde::{Deserialize, Serialize};

use super::standing::lanes_written;
use super::timing::proposed_marks;
use super::trackside::LaneNow;

/// What a device may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Everything.
    #[default]
    Coach,
    /// Record at the lanes. A role that this version does not know counts as this one.
    #[serde(other)]
    Helper,
}

/// What the server said of this device last; kept on the device, so that it holds without a network.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Standing {
    /// What it may do.
    pub role: Role,
    /// In which lanes a helper records; `None`: in all.
    #[serde(default)]
    pub lanes: Option<Vec<String>>,
    /// For a coach: helpers who are in or invited.
    #[serde(default)]
    pub helpers: u32,
    /// For a coach: other coaches' devices that were there today.
    #[serde(default)]
    pub coaches: u32,
}

impl Standing {
    /// Returns whether this device helps.
    pub fn helps(&self) -> bool {
        self.role == Role::Helper
    }

    /// Returns whether another device may write about the same children now.
    pub fn is_with_others(&self) -> bool {
        self.helps() || self.helpers + self.coaches > 0
    }

    /// Returns whether this device may record in a lane.
    pub fn has_lane(&self, lane: &str) -> bool {
        self.role == Role::Coach
            || self.lanes.as_ref().is_none_or(|lanes| lanes.iter().any(|own| own == lane))
    }
}

/// The answer to "who am I?".
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Me {
    /// Whose server it is.
    pub school: SchoolId,
    /// What this device may do.
    #[serde(flatten)]
    pub standing: Standing,
    /// Where the server stands; absent at a server of an earlier version.
    #[serde(default)]
    pub at: Option<Place>,
    /// Whether it still stands where this device was told.
    #[serde(default = "yes")]
    pub known: bool,
}

fn yes() -> bool {
    true
}

/// Returns the address at which a device asks who it is, with where it was told that the server stands.
pub fn me_path(told: Option<Place>) -> String {
    match told {
        Some(told) => format!("/api/v1/me?history={}&seq={}", told.history, told.seq),
        None => "/api/v1/me".into(),
    }
}

/// Returns today's lanes as they are given out: how they stand, who runs in them, and no size.
pub fn sheet_of(lanes: &[LaneNow], plan: &Plan, on: jiff::civil::Date) -> LaneSheetBody {
    let lanes = lanes.iter().map(|lane| SheetLane {
        lane: lane.lane.clone(),
        hurdles: lane.hurdles,
        height_cm: lane.height_cm,
        drills: lane
            .drills
            .iter()
            .map(|drill| SheetDrill { drill: drill.id.clone(), gap_m: drill.gap_m, effort: drill.effort })
            .collect(),
        runners: lane.children.iter().map(|child| child.id.clone()).collect(),
        marks: proposed_marks(Some(plan), &lane.lane),
    });
    LaneSheetBody { on, lanes: lanes.collect(), unknown: Default::default() }
}

/// Returns the lanes that were given out to this device, with the names that it knows.
pub fn lanes_given(class: &ClassView, standing: &Standing) -> Vec<LaneNow> {
    lanes_written(class, class.lane_sheet.iter().filter(|lane| standing.has_lane(&lane.lane)))
}

/// Returns where times are taken in a lane that stands or was given out, when nothing else was laid out.
pub fn marks_given(class: Option<&ClassView>, lane: &str) -> Vec<Mark> {
    let given = class.and_then(|class| {
        let lanes = class.standing.as_ref().map_or(&class.lane_sheet, |standing| &standing.lanes);
        lanes.iter().find(|given| given.lane == lane)
    });
    given.map_or_else(|| proposed_marks(None, lane), |given| given.marks.clone())
}

/// A link as a QR code: squares of one unit, with the quiet zone of four units that readers need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Width and height of the whole, in units.
    pub side: i32,
    /// The dark squares as one SVG path.
    pub path: String,
}

/// Units of white around a QR code (ISO/IEC 18004; from memory).
const QUIET: i32 = 4;

/// Returns a link as a QR code, or `None` when it is too long for one.
pub fn picture_of(link: &str) -> Option<Picture> {
    let code = QrCode::encode_text(link, QrCodeEcc::Medium).ok()?;
    let mut path = String::new();
    for y in 0..code.size() {
        // One stroke for each run of dark squares: the picture is a third as long.
        let mut x = 0;
        while x < code.size() {
            let from = x;
            while x < code.size() && code.get_module(x, y) {
                x += 1;
            }
            if x > from {
                path.push_str(&format!("M{} {}h{}v1h-{}z", from + QUIET, y + QUIET, x - from, x - from));
            }
            x += 1;
        }
    }
    Some(Picture { side: code.size() + 2 * QUIET, path })
}

/// Returns an address with a path of the server, for another device to open.
pub fn link_at(origin: &str, path: &str) -> String {
    format!("{}{path}", origin.trim_end_matches('/'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logic::trackside::{Child, LaneDrill};
    use lanewright_model::record::Body;
    use lanewright_model::school::School;
    use serde_json::json;

    #[test]
    fn a_server_of_an_earlier_version_makes_a_coach_and_an_unknown_role_a_helper() {
        let school = "5c0e1a52-6f0b-4b1d-9c38-0d6f2f1f7a10";
        let earlier: Me =
            serde_json::from_value(json!({"role": "coach", "school": school, "device": "network"})).unwrap();
        assert_eq!(earlier.standing, Standing::default());
        assert!(earlier.known && earlier.at.is_none());
        let later: Me = serde_json::from_value(json!({"role": "referee", "school": school})).unwrap();
        assert!(later.standing.helps());
        let helper: Me = serde_json::from_value(
            json!({"role": "helper", "lanes": ["B"], "school": school, "known": false,
                "at": {"history": school, "seq": 7}}),
        )
        .unwrap();
        assert!(helper.standing.has_lane("B") && !helper.standing.has_lane("A") && !helper.known);
        assert_eq!(me_path(helper.at), format!("/api/v1/me?history={school}&seq=7"));
        assert_eq!(me_path(None), "/api/v1/me");
    }

    #[test]
    fn lanes_that_were_given_out_come_back_as_they_were_without_those_of_others() {
        let lane = |letter: &str, children: &[&str]| LaneNow {
            lane: letter.into(),
            hurdles: 6,
            height_cm: 30.0,
            drills: vec![LaneDrill {
                id: lanewright_model::DrillId("side-run".into()),
                gap_m: 1.2,
                effort: 0.6,
            }],
            children: children
                .iter()
                .map(|id| Child { id: (*id).into(), name: format!("name of {id}") })
                .collect(),
        };
        let lanes = [lane("A", &["r1", "r2"]), lane("B", &["r3"])];
        let plan = Plan {
            runners: vec![],
            lanes: vec![],
            misfit: Default::default(),
            fits: true,
            warnings: vec![],
            remedies: vec![],
            lanes_possible: 2,
            efforts: Default::default(),
            drills: vec![],
            effort: 0.6,
            floor: None,
        };
        let day = jiff::civil::date(2026, 3, 2);
        let sheet = Body::LaneSheet(sheet_of(&lanes, &plan, day)).to_value();
        let class = json!({"name": "7 Larch"});
        let labels: Vec<_> =
            ["r1", "r2", "r3"].map(|id| (id, json!({"class": "c", "label": format!("name of {id}")}))).into();
        let records = [("class", "c", &class), ("lane-sheet", "c", &sheet)];
        let records =
            || records.into_iter().chain(labels.iter().map(|(id, body)| ("runner-label", *id, body)));
        let school = School::from_records(records(), day);
        let helper = |lanes: Option<&[&str]>| Standing {
            role: Role::Helper,
            lanes: lanes.map(|lanes| lanes.iter().map(|lane| (*lane).to_owned()).collect()),
            ..Standing::default()
        };
        assert_eq!(lanes_given(&school.classes["c"], &helper(None)), lanes);
        assert_eq!(lanes_given(&school.classes["c"], &helper(Some(&["B"]))), lanes[1..]);
        assert_eq!(lanes_given(&school.classes["c"], &helper(Some(&["C"]))), []);
        // On the next day there are none until they are given out anew.
        let tomorrow = School::from_records(records(), jiff::civil::date(2026, 3, 3));
        assert_eq!(lanes_given(&tomorrow.classes["c"], &helper(None)), []);
    }

    #[test]
    fn the_picture_of_a_link_has_every_dark_square_once_and_white_around_it() {
        let link = format!("https://lanes.school.example:7314/open/{}", "0123456789abcdef".repeat(4));
        let picture = picture_of(&link).expect("short enough");
        let code = QrCode::encode_text(&link, QrCodeEcc::Medium).unwrap();
        let mut dark = std::collections::BTreeSet::new();
        for stroke in picture.path.split('M').skip(1) {
            let (at, rest) = stroke.split_once('h').unwrap();
            let (x, y) = at.split_once(' ').unwrap();
            let width: i32 = rest.split('v').next().unwrap().parse().unwrap();
            for step in 0..width {
                let at = (x.parse::<i32>().unwrap() + step, y.parse::<i32>().unwrap());
                assert!(dark.insert(at), "{at:?} twice");
            }
        }
        for y in 0..picture.side {
            for x in 0..picture.side {
                assert_eq!(dark.contains(&(x, y)), code.get_module(x - 4, y - 4), "{x} {y}");
            }
        }
        assert!(picture.side - 8 == code.size() && !dark.is_empty());
        assert_eq!(picture_of(&"x".repeat(5000)), None);
        assert_eq!(link_at("https://a.example/", "/open/x"), "https://a.example/open/x");
    }
}
