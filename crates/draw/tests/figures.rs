//! What must hold of every drawing, on plans made at random.

mod reading;
mod sample;

use std::sync::LazyLock;

use lanewright_draw::{
    Figure, FloorOptions, GapScale, Layout, StripOptions, Style, floor_plan, gap_chart, gap_row, lane_strips,
};
use lanewright_model::kit::{Space, Surface};
use lanewright_model::plan::Plan;
use lanewright_model::words::{Arg, Units, Words};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use sample::LaneShape;

/// Marks and parts are drawn to within this of their place: half a pixel cannot be seen.
const PLACE_PX: f64 = 0.5;
/// Smallest text: 12 CSS pixels, 9 pt on paper.
const TEXT_MIN_PX: f64 = 12.0;

/// Words are dear to build: once for all cases.
static METRIC: LazyLock<Words> = LazyLock::new(|| Words::english(Units::Metric));
static FEET: LazyLock<Words> = LazyLock::new(|| Words::english(Units::FeetInches));

fn words(units: Units) -> &'static Words {
    match units {
        Units::Metric => &METRIC,
        Units::FeetInches => &FEET,
    }
}

fn shape() -> impl Strategy<Value = LaneShape> {
    (
        (0.4..2.2_f64, proptest::option::of(0.3..1.1_f64), 1..13_u32, prop_oneof![Just(0.0), 10.0..60.0_f64]),
        (0.5..16.0_f64, 0.0..0.5_f64, 0.5..6.0_f64, prop_oneof![Just(0.0), 2.0..6.0_f64]),
        (
            prop_oneof![Just(0.0), 0.5..25.0_f64],
            0.5..20.0_f64,
            0.0..2.5_f64,
            prop_oneof![Just(0.0), Just(0.7)],
        ),
    )
        .prop_map(
            |((gap_m, short_m, hurdles, height_cm), (run_up_m, share, waiting_m, back_m), rest)| {
                let (exit_m, stopping_m, margin_m, side_strip_m) = rest;
                LaneShape {
                    name: String::new(),
                    gap_m: (gap_m * 20.0).round() / 20.0,
                    short_m: short_m.map(|short_m| (short_m * 40.0).round() / 40.0),
                    hurdles,
                    height_cm,
                    run_up_m,
                    second_start_m: run_up_m * share,
                    waiting_m,
                    start_stopping_m: back_m,
                    exit_m,
                    stopping_m,
                    margin_m,
                    side_strip_m,
                }
            },
        )
}

fn space() -> impl Strategy<Value = Option<Space>> {
    proptest::option::of((12.0..90.0_f64, 6.0..45.0_f64, any::<[bool; 4]>()).prop_map(
        |(length_m, width_m, [start, finish, left, right])| Space {
            length_m,
            width_m,
            surface: Surface::Grass,
            wall_start: start,
            wall_finish: finish,
            wall_left: left,
            wall_right: right,
        },
    ))
}

fn any_plan() -> impl Strategy<Value = Plan> {
    (proptest::collection::vec(shape(), 1..8), space()).prop_map(|(mut shapes, space)| {
        for (shape, name) in shapes.iter_mut().zip('A'..) {
            shape.name = name.to_string();
        }
        sample::plan_of(&shapes, space)
    })
}

fn units() -> impl Strategy<Value = Units> {
    prop_oneof![Just(Units::Metric), Just(Units::FeetInches)]
}

fn strips(plan: &Plan, layout: Layout, width_px: f64, units: Units) -> Vec<Figure> {
    let options = StripOptions { layout, style: Style::Print, width_px, scale: None, names: true };
    lane_strips(plan, words(units), &options)
}

fn floor(plan: &Plan, layout: Layout, width_px: f64, units: Units) -> Figure {
    let options = FloorOptions { layout, style: Style::Print, width_px, height_max_px: 900.0 };
    floor_plan(plan, words(units), &options)
}

fn all_figures(plan: &Plan, units: Units) -> Vec<Figure> {
    let mut figures = strips(plan, Layout::Across, 703.0, units);
    figures.extend(strips(plan, Layout::Upright, 358.0, units));
    figures.push(floor(plan, Layout::Across, 703.0, units));
    figures.push(floor(plan, Layout::Upright, 358.0, units));
    figures.push(gap_chart(plan, 358.0, words(units), Style::Print));
    figures.push(gap_chart(plan, 560.0, words(units), Style::Print));
    figures
}

/// The same plans every time; `SEED=7 CASES=5000 cargo test …` tries others.
fn config() -> ProptestConfig {
    let from_env = |name: &str| std::env::var(name).ok().and_then(|value| value.parse::<u64>().ok());
    ProptestConfig {
        cases: from_env("CASES").unwrap_or(60) as u32,
        rng_seed: RngSeed::Fixed(from_env("SEED").unwrap_or(1)),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn every_mark_of_a_strip_stands_at_its_distance(plan in any_plan(), units in units()) {
        for figure in strips(&plan, Layout::Across, 703.0, units) {
            let (scale, zero) = (reading::root_number(&figure, "data-px-per-m"), reading::root_number(&figure, "data-zero-px"));
            for mark in reading::marks(&figure, None) {
                prop_assert!((mark.x - (zero + mark.at_m * scale)).abs() <= PLACE_PX, "{mark:?}");
            }
        }
        for figure in strips(&plan, Layout::Upright, 358.0, units) {
            let (scale, zero) = (reading::root_number(&figure, "data-px-per-m"), reading::root_number(&figure, "data-zero-px"));
            for mark in reading::marks(&figure, None) {
                prop_assert!((mark.y - (zero - mark.at_m * scale)).abs() <= PLACE_PX, "{mark:?}");
            }
        }
    }

    #[test]
    fn a_strip_shows_every_mark_of_its_lane(plan in any_plan()) {
        for layout in [Layout::Across, Layout::Upright] {
            for (figure, lane) in strips(&plan, layout, 700.0, Units::Metric).iter().zip(&plan.lanes) {
                let seen = reading::marks(figure, None);
                let hurdles: Vec<f64> =
                    seen.iter().filter(|mark| mark.class == "hurdle").map(|mark| mark.at_m).collect();
                prop_assert_eq!(&hurdles, &lane.marks_m);
                for at_m in lane.settings.iter().flat_map(|setting| &setting.marks_m) {
                    let there = |mark: &&reading::MarkSeen| {
                        mark.class.starts_with("mark-") && (mark.at_m - at_m).abs() < 0.026
                    };
                    prop_assert!(seen.iter().find(there).is_some(), "{} m is not marked", at_m);
                }
            }
        }
    }

    #[test]
    fn rooms_are_drawn_to_scale_and_the_stopping_room_whole(plan in any_plan(), units in units()) {
        for (layout, width_px) in [(Layout::Across, 703.0), (Layout::Upright, 358.0)] {
            let mut figures = strips(&plan, layout, width_px, units);
            figures.push(floor(&plan, layout, width_px, units));
            for figure in figures {
                let scale = reading::root_number(&figure, "data-px-per-m");
                let parts = reading::parts(&figure);
                prop_assert!(parts.iter().any(|(part, ..)| part == "stopping"));
                for (part, length_m, width, height) in parts {
                    let along = match (layout, part.as_str()) {
                        // A side strip's length is its width: it lies beside the lane.
                        (Layout::Across, "side-strip") => height,
                        (Layout::Upright, "side-strip") => width,
                        (Layout::Across, _) => width,
                        (Layout::Upright, _) => height,
                    };
                    prop_assert!((along - length_m * scale).abs() <= PLACE_PX, "{part}: {along} px for {length_m} m");
                }
            }
        }
    }

    #[test]
    fn hurdles_on_the_floor_stand_at_start_plus_distance(plan in any_plan()) {
        let Some(placed) = &plan.floor else { return Ok(()) };
        let across = floor(&plan, Layout::Across, 703.0, Units::Metric);
        let upright = floor(&plan, Layout::Upright, 358.0, Units::Metric);
        for (lane, place) in plan.lanes.iter().zip(&placed.lanes) {
            let (scale, zero) = (reading::root_number(&across, "data-px-per-m"), reading::root_number(&across, "data-zero-px"));
            let seen = reading::marks(&across, Some(&lane.lane));
            prop_assert_eq!(seen.iter().filter(|mark| mark.class == "hurdle").count(), lane.marks_m.len());
            for mark in seen {
                prop_assert!((mark.x - (zero + (place.start_x_m + mark.at_m) * scale)).abs() <= PLACE_PX);
            }
            let (scale, zero) = (reading::root_number(&upright, "data-px-per-m"), reading::root_number(&upright, "data-zero-y-px"));
            for mark in reading::marks(&upright, Some(&lane.lane)) {
                prop_assert!((mark.y - (zero - (place.start_x_m + mark.at_m) * scale)).abs() <= PLACE_PX);
            }
        }
    }

    #[test]
    fn no_text_covers_another_or_leaves_the_drawing(plan in any_plan(), units in units()) {
        for figure in all_figures(&plan, units) {
            let texts = reading::texts(&figure);
            for (index, one) in texts.iter().enumerate() {
                prop_assert!(
                    one.left >= -0.5
                        && one.right <= figure.width + 0.5
                        && one.top >= -0.5
                        && one.bottom <= figure.height + 0.5,
                    "{}: {:?} leaves {} × {}", figure.id, one, figure.width, figure.height
                );
                for other in &texts[index + 1..] {
                    prop_assert!(!one.covers(other), "{}: {:?} covers {:?}", figure.id, one, other);
                }
            }
        }
    }

    #[test]
    fn no_text_of_a_strip_lies_over_a_hurdle(plan in any_plan(), units in units()) {
        for layout in [Layout::Across, Layout::Upright] {
            for figure in strips(&plan, layout, if layout == Layout::Across { 703.0 } else { 358.0 }, units) {
                let texts = reading::texts(&figure);
                for hurdle in reading::hurdle_areas(&figure) {
                    for text in &texts {
                        prop_assert!(!text.covers(&hurdle), "{}: {:?} over a hurdle {:?}", figure.id, text, hurdle);
                    }
                }
            }
        }
    }

    #[test]
    fn no_text_is_smaller_than_nine_points(plan in any_plan(), units in units()) {
        for figure in all_figures(&plan, units) {
            prop_assert!(reading::smallest_text_px(&figure) >= TEXT_MIN_PX, "{}", figure.id);
        }
    }

    #[test]
    fn names_stay_text_whatever_they_hold(
        names in proptest::collection::vec(any::<String>(), 1..6),
        lane in any::<String>(),
    ) {
        let mut plan = sample::plan();
        plan.lanes[0].lane = lane.clone();
        plan.lanes[0].runners = names.clone();
        for (runner, name) in plan.runners.iter_mut().zip(&names) {
            runner.name = name.clone();
            runner.id.0 = name.clone();
            runner.lane = lane.clone();
        }
        for figure in all_figures(&plan, Units::Metric) {
            let document = roxmltree::Document::parse(&figure.svg);
            prop_assert!(document.is_ok(), "{}: {:?}", figure.id, document.err());
            for node in document.iter().flat_map(|document| document.descendants()).filter(|node| node.is_element()) {
                let allowed = ["svg", "title", "desc", "g", "rect", "line", "circle", "path", "text"];
                prop_assert!(allowed.contains(&node.tag_name().name()), "<{}>", node.tag_name().name());
                prop_assert!(node.attributes().all(|attribute| !attribute.name().starts_with("on")));
            }
        }
    }
}

#[test]
fn markup_in_names_is_shown_not_obeyed() {
    let hostile = "<script>alert(1)</script>";
    let mut plan = sample::plan();
    plan.lanes[0].runners[0] = hostile.to_owned();
    plan.runners[0].name = hostile.to_owned();
    plan.runners[0].id.0 = "\"/><script>".to_owned();
    let row =
        gap_row(&plan.runners[0], 1.2, &GapScale::of(&plan), 140.0, words(Units::Metric), Style::Screen);
    let mut figures = all_figures(&plan, Units::Metric);
    figures.push(row);
    for figure in &figures {
        assert!(!figure.svg.contains("<script"), "{}", figure.id);
    }
    let strip = &figures[0];
    assert!(strip.svg.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
}

#[test]
fn equal_plans_give_equal_drawings() {
    for (one, two) in
        all_figures(&sample::plan(), Units::Metric).iter().zip(&all_figures(&sample::plan(), Units::Metric))
    {
        assert_eq!(one, two);
    }
}

#[test]
fn drawings_refer_to_nothing_outside() {
    for figure in all_figures(&sample::plan(), Units::FeetInches) {
        let without_namespace = figure.svg.replacen("http://www.w3.org/2000/svg", "", 1);
        for reference in ["http", "href", "url(", "@import", "style=", "<image", "<use", "<foreignObject"] {
            assert!(!without_namespace.contains(reference), "{} holds {reference}", figure.id);
        }
    }
}

#[test]
fn drawings_have_a_role_a_title_and_a_description() {
    for figure in all_figures(&sample::plan(), Units::Metric) {
        let document = roxmltree::Document::parse(&figure.svg).expect("the drawing is well-formed");
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let named = root.attribute("aria-labelledby").expect("a label");
        for id in named.split(' ') {
            let node = document.descendants().find(|node| node.attribute("id") == Some(id));
            assert!(node.and_then(|node| node.text()).is_some_and(|text| !text.is_empty()), "{id}");
        }
    }
}

#[test]
fn print_knows_no_colour_and_screen_takes_colours_from_the_page() {
    let plan = sample::plan();
    let paper = floor(&plan, Layout::Across, 703.0, Units::Metric);
    assert!(!paper.svg.contains("var("));
    for colour in paper.svg.split("\"#").skip(1).filter_map(|rest| rest.get(..6)) {
        assert!(colour[..2] == colour[2..4] && colour[2..4] == colour[4..], "#{colour} is not a grey");
    }
    let screen = floor_plan(&plan, words(Units::Metric), &FloorOptions::default());
    for variable in ["var(--ink,#", "var(--grass,#", "var(--warn,#", "var(--card,#"] {
        assert!(screen.svg.contains(variable), "{variable}");
    }
}

#[test]
fn no_words_are_missing() {
    let plan = sample::plan();
    for units in [Units::Metric, Units::FeetInches] {
        let mut figures = all_figures(&plan, units);
        figures.extend(all_figures(&sample::walking_plan(), units));
        for figure in figures {
            for said in reading::texts(&figure)
                .iter()
                .map(|area| &area.said)
                .chain([&figure.title, &figure.description])
            {
                assert!(!said.contains("draw-") && !said.contains("{$"), "{}: {said}", figure.id);
            }
        }
    }
}

#[test]
fn long_and_short_marks_differ_in_shape() {
    let strip = &strips(&sample::plan(), Layout::Across, 703.0, Units::Metric)[0];
    let document = roxmltree::Document::parse(&strip.svg).expect("the drawing is well-formed");
    let shapes = |class: &str| -> Vec<&str> {
        document
            .descendants()
            .filter(|node| node.attribute("class") == Some(class))
            .map(|node| node.tag_name().name())
            .collect()
    };
    assert_eq!(shapes("mark-long"), ["path"; 6]);
    assert_eq!(shapes("mark-short"), ["circle"; 6]);
}

#[test]
fn walls_are_drawn_only_where_there_are_walls() {
    let mut plan = sample::plan();
    let walls = |plan: &Plan| {
        floor(plan, Layout::Across, 703.0, Units::Metric).svg.matches("data-part=\"wall\"").count()
    };
    assert_eq!(walls(&plan), 4);
    if let Some(placed) = &mut plan.floor {
        placed.space.wall_left = false;
        placed.space.wall_right = false;
    }
    assert_eq!(walls(&plan), 2);
    plan.floor = None;
    assert_eq!(walls(&plan), 0);
}

#[test]
fn a_large_field_is_cut_to_the_lanes() {
    let shapes = [LaneShape::usual("A", 1.2), LaneShape::usual("B", 1.3)];
    let field = Space {
        wall_start: false,
        wall_finish: false,
        wall_left: false,
        wall_right: false,
        ..Space::hall(100.0, 60.0)
    };
    let small =
        floor(&sample::plan_of(&shapes, Some(Space::hall(28.0, 15.0))), Layout::Across, 703.0, Units::Metric);
    let large = floor(&sample::plan_of(&shapes, Some(field)), Layout::Across, 703.0, Units::Metric);
    let scale = |figure: &Figure| reading::root_number(figure, "data-px-per-m");
    assert!(scale(&large) > 0.8 * scale(&small), "{} against {}", scale(&large), scale(&small));
}

#[test]
fn words_stand_above_the_hatching_of_what_does_not_fit() {
    let shapes = [LaneShape::usual("A", 1.2), LaneShape::usual("B", 1.3)];
    for (space, layout, width_px) in [
        (Space::hall(20.0, 9.0), Layout::Across, 703.0),
        (Space::hall(30.0, 3.0), Layout::Across, 703.0),
        (Space::hall(20.0, 9.0), Layout::Upright, 358.0),
    ] {
        let plan = sample::plan_of(&shapes, Some(space));
        assert!(!plan.fits);
        let figure = floor(&plan, layout, width_px, Units::Metric);
        let document = roxmltree::Document::parse(&figure.svg).expect("the drawing is well-formed");
        let nodes: Vec<_> = document.descendants().collect();
        let place = |wanted: &dyn Fn(&roxmltree::Node<'_, '_>) -> bool| nodes.iter().rposition(wanted);
        let part = |name: &'static str| {
            move |node: &roxmltree::Node<'_, '_>| node.attribute("data-part") == Some(name)
        };
        let hatched = place(&part("over")).expect("something is hatched");
        let room =
            plan.lanes.iter().map(|lane| words(Units::Metric).show(&Arg::RoomM(lane.parts.stopping_m)));
        for room in room.map(|room| room.replace(' ', "\u{a0}")) {
            let said = nodes
                .iter()
                .position(|node| {
                    node.has_tag_name("text") && node.text().is_some_and(|said| said.starts_with(&room))
                })
                .expect("the room is written");
            assert!(said > hatched, "{room} at {said}, hatched until {hatched}");
            assert_eq!(
                nodes[said].prev_sibling_element().and_then(|node| node.attribute("data-part")),
                Some("ground")
            );
        }
    }
}

#[test]
fn measured_gaps_are_filled_and_guessed_ones_open() {
    let plan = sample::plan();
    let scale = GapScale::of(&plan);
    let dot = |name: &str| {
        let runner = plan.runners.iter().find(|runner| runner.name == name).expect("a child");
        let row = gap_row(runner, 1.25, &scale, 140.0, words(Units::Metric), Style::Print);
        let document = roxmltree::Document::parse(&row.svg).expect("the drawing is well-formed");
        let circle = document.descendants().find(|node| node.has_tag_name("circle")).expect("a dot");
        circle.attribute("fill").expect("a fill").to_owned()
    };
    assert_eq!(dot("Jorun"), "#000000");
    assert_eq!(dot("Kesia"), "#ffffff");
}

#[test]
fn figures_look_as_they_did() {
    // Run with INSTA_UPDATE=always after a change on purpose, look at the difference, and commit it.
    let plan = sample::plan();
    let two = sample::plan_of(
        &[LaneShape::usual("A", 1.2), LaneShape::usual("B", 1.3)],
        Some(Space::hall(28.0, 9.0)),
    );
    let floor = floor(&two, Layout::Across, 703.0, Units::Metric).svg;
    let strip = strips(&plan, Layout::Across, 703.0, Units::Metric).swap_remove(1).svg;
    let phone = strips(&sample::walking_plan(), Layout::Upright, 358.0, Units::FeetInches).swap_remove(0).svg;
    let row =
        gap_row(&plan.runners[7], 1.25, &GapScale::of(&plan), 140.0, words(Units::Metric), Style::Screen).svg;
    for (name, svg) in [("floor", floor), ("strip", strip), ("strip-upright", phone), ("gap-row", row)] {
        assert!(svg.len() <= 20 * 1024, "{name} is too large to be reviewed: {} bytes", svg.len());
        insta::assert_snapshot!(name, svg);
    }
}
