//! A plan made by hand: four lanes of seven children, two settings, a hall of 28 m by 15 m.

#![allow(dead_code, reason = "each test file uses its own part")]

use lanewright_model::drill::{DrillId, Setting};
use lanewright_model::kit::Space;
use lanewright_model::plan::{
    DrillGap, Floor, LaneParts, LanePlace, LaneSetting, Misfit, Plan, PlannedLane, PlannedRunner,
};
use lanewright_model::runner::RunnerId;
use lanewright_model::{Arg, Estimate, Message};

/// Children of the demo class with a plausible gap in metres, and whether it was measured.
const CHILDREN: [(&str, f64, bool); 28] = [
    ("Kesia", 1.13, false),
    ("Piran", 1.15, false),
    ("Linnea", 1.19, false),
    ("Ishaan", 1.20, false),
    ("Idris", 1.22, false),
    ("Gideon", 1.22, false),
    ("Soraya", 1.23, false),
    ("Jorun", 1.26, true),
    ("Dunja", 1.25, false),
    ("Abiola", 1.25, false),
    ("Umi", 1.26, false),
    ("Valentin", 1.27, false),
    ("Ottilie", 1.27, false),
    ("Teodor", 1.28, false),
    ("Rafferty", 1.33, true),
    ("Femke", 1.29, false),
    ("Bram", 1.29, false),
    ("Quill", 1.30, false),
    ("Edda", 1.30, false),
    ("Wren", 1.31, false),
    ("Leopold", 1.31, false),
    ("Xanthe", 1.33, false),
    ("Nuria", 1.34, false),
    ("Maelle", 1.36, false),
    ("Zelda", 1.37, false),
    ("Yannick", 1.38, false),
    ("Cosima", 1.42, true),
    ("Hanneke", 1.44, false),
];

fn estimate(median: f64, spread: f64, n: u32, method: &str) -> Estimate {
    Estimate { median, low: median * (1.0 - spread), high: median * (1.0 + spread), n, method: method.into() }
}

/// What one sample lane looks like.
#[derive(Debug, Clone)]
pub struct LaneShape {
    pub name: String,
    pub gap_m: f64,
    pub short_m: Option<f64>,
    pub hurdles: u32,
    pub height_cm: f64,
    pub run_up_m: f64,
    pub second_start_m: f64,
    pub waiting_m: f64,
    pub start_stopping_m: f64,
    pub exit_m: f64,
    pub stopping_m: f64,
    pub margin_m: f64,
    pub side_strip_m: f64,
}

impl LaneShape {
    pub fn usual(name: &str, gap_m: f64) -> Self {
        Self {
            name: name.into(),
            gap_m,
            short_m: Some(gap_m / 2.0),
            hurdles: 6,
            height_cm: 30.0,
            run_up_m: 5.0,
            second_start_m: 1.1,
            waiting_m: 2.0,
            start_stopping_m: 0.0,
            exit_m: 3.0,
            stopping_m: 6.5,
            margin_m: 2.0,
            side_strip_m: 0.0,
        }
    }
}

pub fn lane(shape: &LaneShape, runners: Vec<String>) -> PlannedLane {
    let marks = |gap_m: f64| -> Vec<f64> {
        (0..shape.hurdles).map(|k| shape.run_up_m + f64::from(k) * gap_m).collect()
    };
    let hurdles_m = f64::from(shape.hurdles.saturating_sub(1)) * shape.gap_m;
    let mut settings = vec![LaneSetting {
        setting: Setting::Long,
        gap_m: shape.gap_m,
        marks_m: marks(shape.gap_m),
        drills: vec![DrillId("alternate-run".into())],
    }];
    if let Some(short_m) = shape.short_m {
        settings.push(LaneSetting {
            setting: Setting::Short,
            gap_m: short_m,
            marks_m: marks(short_m),
            drills: vec![DrillId("alternate-walk".into())],
        });
    }
    PlannedLane {
        lane: shape.name.clone(),
        spacing_m: shape.gap_m,
        hurdles: shape.hurdles,
        hurdle_height_cm: shape.height_cm,
        marks_m: marks(shape.gap_m),
        settings,
        runners,
        run_up_m: shape.run_up_m,
        run_out_m: shape.exit_m + shape.stopping_m,
        length_m: shape.waiting_m
            + shape.start_stopping_m
            + shape.run_up_m
            + hurdles_m
            + shape.exit_m
            + shape.stopping_m
            + shape.margin_m,
        parts: LaneParts {
            waiting_m: shape.waiting_m,
            start_stopping_m: shape.start_stopping_m,
            second_start_m: shape.second_start_m,
            run_up_m: shape.run_up_m,
            hurdles_m,
            exit_m: shape.exit_m,
            stopping_m: shape.stopping_m,
            margin_m: shape.margin_m,
            exit_speed_mps: 4.4,
            width_m: 1.2,
            side_strip_m: shape.side_strip_m,
            way_back_m: 1.0,
        },
    }
}

/// Puts lanes of these shapes onto a floor (or none), shares out the children, and fills in the rest.
pub fn plan_of(shapes: &[LaneShape], space: Option<Space>) -> Plan {
    let per_lane = CHILDREN.len().div_ceil(shapes.len().max(1));
    let mut runners = Vec::new();
    let mut lanes = Vec::new();
    for (shape, children) in shapes.iter().zip(CHILDREN.chunks(per_lane)) {
        for (name, gap_m, measured) in children {
            let spacing_m = if *measured {
                estimate(*gap_m, 0.05, 1, "stride/1")
            } else {
                estimate(*gap_m, 0.15, 0, "stride/1")
            };
            runners.push(PlannedRunner {
                id: RunnerId(format!("r-{}", name.to_lowercase())),
                name: (*name).into(),
                gaps: vec![DrillGap {
                    drill: DrillId("alternate-run".into()),
                    gap_m: spacing_m.clone(),
                    band_low_m: gap_m * 0.9,
                    band_high_m: gap_m * 1.1,
                    inside: true,
                }],
                spacing_m,
                hurdle_height_cm: 30.0,
                basis: if *measured { "measured steps" } else { "stature" }.into(),
                lane: shape.name.clone(),
                fit_ratio: shape.gap_m / gap_m - 1.0,
                stature_cm: estimate(gap_m / 0.0088, 0.01, 1, "body/1"),
            });
        }
        lanes.push(lane(shape, children.iter().map(|(name, ..)| (*name).into()).collect()));
    }
    let pitch_m: Vec<f64> = lanes
        .iter()
        .map(|lane| lane.parts.width_m + lane.parts.side_strip_m + lane.parts.way_back_m)
        .collect();
    let needed_width_m: f64 = pitch_m.iter().sum();
    let needed_length_m = lanes.iter().map(|lane| lane.length_m).fold(0.0, f64::max);
    let last_hurdle_m = lanes
        .iter()
        .map(|lane| lane.parts.waiting_m + lane.parts.start_stopping_m + lane.run_up_m + lane.parts.hurdles_m)
        .fold(0.0, f64::max);
    let fits = space
        .as_ref()
        .is_none_or(|space| space.length_m >= needed_length_m && space.width_m >= needed_width_m);
    let floor = space.map(|space| {
        let spread_m = ((space.width_m - 1.0 - needed_width_m) / (lanes.len() as f64 + 1.0)).clamp(0.0, 1.0);
        let mut left_m = 1.0 + spread_m;
        let places = lanes
            .iter()
            .zip(&pitch_m)
            .map(|(lane, pitch_m)| {
                let own_m = left_m + lane.parts.side_strip_m;
                let place = LanePlace {
                    start_x_m: last_hurdle_m - lane.run_up_m - lane.parts.hurdles_m,
                    left_y_m: own_m,
                    right_y_m: own_m + lane.parts.width_m,
                };
                left_m += pitch_m + spread_m;
                place
            })
            .collect();
        Floor { space, lanes: places, needed_length_m, needed_width_m }
    });
    Plan {
        runners,
        lanes,
        misfit: Misfit { sum_sq_ln: 0.031, max_abs_ln: 0.07 },
        fits,
        warnings: vec![],
        remedies: vec![],
        lanes_possible: 5,
        efforts: [("alternate-run", 0.6)].map(|(id, effort)| (DrillId(id.into()), effort)).into(),
        drills: vec![DrillId("alternate-run".into()), DrillId("alternate-walk".into())],
        effort: 0.6,
        floor,
    }
}

/// The usual sample: four lanes of seven children on a hall floor.
pub fn plan() -> Plan {
    let shapes = [
        LaneShape::usual("A", 1.2),
        LaneShape::usual("B", 1.25),
        LaneShape::usual("C", 1.3),
        LaneShape { hurdles: 6, ..LaneShape::usual("D", 1.4) },
    ];
    let mut plan = plan_of(&shapes, Some(Space::hall(28.0, 15.0)));
    plan.warnings.push(
        Message::new("draw-floor-desc-lane")
            .text("lane", "A")
            .with("gap", Arg::GapM(1.2))
            .text("hurdles", "6")
            .with("stop", Arg::RoomM(6.5)),
    );
    plan
}

/// One lane with one setting, walking, floor lines, a side strip and no floor.
pub fn walking_plan() -> Plan {
    let shape = |name: &str, gap_m: f64| LaneShape {
        short_m: None,
        height_cm: 0.0,
        run_up_m: 2.0,
        second_start_m: 0.5,
        exit_m: 1.0,
        stopping_m: 1.5,
        margin_m: 1.0,
        side_strip_m: 0.8,
        hurdles: 8,
        ..LaneShape::usual(name, gap_m)
    };
    plan_of(&[shape("A", 0.62), shape("B", 0.7), shape("C", 0.78)], None)
}
