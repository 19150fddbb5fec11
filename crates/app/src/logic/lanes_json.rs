//! The command `lanewright lanes --json` inside the app, so that tests can compare its digits with the native ones.

use jiff::civil::Date;
use lanewright_model::import::{self, Options};
use lanewright_model::kit::HurdleStock;
use lanewright_model::plan_json::PlanOut;
use lanewright_model::words::{Units, Words};
use lanewright_model::{Kit, Ladder, Space};
use lanewright_science::plan::{PlanInput, plan};

/// What `lanewright lanes` is asked, as far as a comparison needs it. Names are those of its flags.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask<'a> {
    /// The class list.
    pub class_csv: &'a str,
    /// Drills by id, commas between them, the main one first.
    pub drills: &'a str,
    /// Hurdles of 30 cm in the bag.
    pub hurdles: u32,
    /// Length and width of a hall with walls all round, in metres.
    pub space_m: Option<(f64, f64)>,
    /// Effort as a share of top speed; each drill's own when absent.
    pub effort: Option<f64>,
    /// Sprint after the last hurdle, in metres.
    pub exit_sprint_m: f64,
    /// Lanes wanted.
    pub lanes_max: Option<u32>,
    /// Day for which ages count, `2026-03-02`.
    pub on: &'a str,
}

/// Returns the JSON that `lanewright lanes --json` prints for the same input.
///
/// # Errors
/// The sentence that says what is wrong with the input.
pub fn lanes_json(ask: &Ask) -> Result<String, String> {
    let words = Words::english(Units::Metric);
    let list = import::read(ask.class_csv.as_bytes(), &Options::default())
        .and_then(|preview| preview.accept())
        .map_err(|error| error.to_string())?;
    let ladder = Ladder::built_in();
    let mut drills = Vec::new();
    for id in ask.drills.split(',') {
        let drill = ladder.get(id.trim()).ok_or_else(|| format!("there is no drill `{}`", id.trim()))?;
        drills.push(drill.clone());
    }
    let today: Date = ask.on.parse().map_err(|_| format!("`{}` is not a date", ask.on))?;
    let kit = Kit { hurdles: vec![HurdleStock { height_cm: 30.0, count: ask.hurdles }], ..Kit::default() };
    let input = PlanInput {
        effort: ask.effort,
        space: ask.space_m.map(|(length_m, width_m)| Space::hall(length_m, width_m)),
        exit_sprint_m: ask.exit_sprint_m,
        lanes_max: ask.lanes_max,
        ladder: Some(ladder),
        ..PlanInput::new(list, drills, kit, today)
    };
    let plan = plan(&input).map_err(|error| words.say(&error.message()))?;
    Ok(PlanOut::new(&plan).to_json())
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEMO: &str = include_str!("../../../../fixtures/demo/class.csv");

    #[test]
    fn the_demo_class_gives_lanes_and_bad_input_says_why() {
        let ask = Ask {
            class_csv: DEMO,
            drills: "alternate-run,alternate-walk",
            hurdles: 24,
            space_m: Some((28.0, 15.0)),
            effort: None,
            exit_sprint_m: 0.0,
            lanes_max: None,
            on: "2026-03-02",
        };
        let json: serde_json::Value = serde_json::from_str(&lanes_json(&ask).unwrap()).unwrap();
        assert_eq!(json["runners"].as_array().unwrap().len(), 28);
        assert_eq!(json["drills"], serde_json::json!(["alternate-run", "alternate-walk"]));
        assert!(json["warnings"][0]["text"].is_string());
        for (wrong, says) in [
            (Ask { drills: "stroll", ..ask.clone() }, "stroll"),
            (Ask { on: "soon", ..ask.clone() }, "soon"),
            (Ask { class_csv: "name,stature_cm\nWren,14500\n", ..ask.clone() }, "1"),
            (Ask { drills: "free-run", ..ask.clone() }, "hurdles"),
        ] {
            let said = lanes_json(&wrong).unwrap_err();
            assert!(said.contains(says), "{said}");
        }
    }
}
