//! Where the feet go: what must hold of the picture of every drill, a user's own ones included.

mod reading;

use std::sync::LazyLock;

use lanewright_draw::feet::CONTACTS_DRAWN_MAX;
use lanewright_draw::{DrillPictureOptions, Figure, Style, drill_picture};
use lanewright_model::drill::{Drill, Family, GapRule, Setting};
use lanewright_model::words::{Units, Words};
use lanewright_model::{DrillId, Ladder};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use roxmltree::{Document, Node};

static WORDS: LazyLock<Words> = LazyLock::new(|| Words::english(Units::Metric));
static LADDER: LazyLock<Ladder> = LazyLock::new(Ladder::built_in);

fn picture(drill: &Drill, width_px: f64) -> Figure {
    drill_picture(drill, &WORDS, &DrillPictureOptions { style: Style::Print, width_px })
}

fn built_in(id: &str) -> Figure {
    picture(LADDER.get(id).expect("a drill of the ladder"), 342.0)
}

/// One foot as the picture has it.
#[derive(Debug, Clone, PartialEq)]
struct Seen {
    foot: String,
    gap: usize,
    across: bool,
    letter: String,
    x: f64,
    y: f64,
}

fn feet(figure: &Figure) -> Vec<Seen> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    let groups = document.descendants().filter(|node| node.attribute("class") == Some("foot"));
    let mut feet: Vec<Seen> = groups
        .map(|group| {
            let letter = group.children().find(|node| node.has_tag_name("text")).expect("a letter");
            Seen {
                foot: group.attribute("data-foot").expect("which foot").to_owned(),
                gap: reading::number(group, "data-gap") as usize,
                across: group.attribute("data-toes") == Some("across"),
                letter: letter.text().unwrap_or_default().to_owned(),
                x: reading::number(letter, "x"),
                y: reading::number(letter, "y"),
            }
        })
        .collect();
    feet.sort_by(|a, b| a.x.total_cmp(&b.x));
    feet
}

/// Places of the hurdles along the lane, and how far each reaches across it.
fn hurdles(figure: &Figure) -> Vec<(f64, f64, f64)> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.attribute("class") == Some("hurdle"))
        .map(|node| (reading::number(node, "x1"), reading::number(node, "y1"), reading::number(node, "y2")))
        .collect()
}

/// Which foot leads over each hurdle, as the badges above them say.
fn leads(figure: &Figure) -> Vec<String> {
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    document
        .descendants()
        .filter(|node| node.attribute("class") == Some("lead"))
        .map(|node| node.attribute("data-foot").expect("which foot").to_owned())
        .collect()
}

/// Every x and y of an element; curves lie within the hull of their points.
fn points(node: Node<'_, '_>) -> Vec<(f64, f64)> {
    match node.tag_name().name() {
        "rect" => {
            let (x, y) = (reading::number(node, "x"), reading::number(node, "y"));
            vec![(x, y), (x + reading::number(node, "width"), y + reading::number(node, "height"))]
        }
        "line" => vec![
            (reading::number(node, "x1"), reading::number(node, "y1")),
            (reading::number(node, "x2"), reading::number(node, "y2")),
        ],
        "circle" => {
            let (x, y, r) =
                (reading::number(node, "cx"), reading::number(node, "cy"), reading::number(node, "r"));
            vec![(x - r, y - r), (x + r, y + r)]
        }
        "path" => {
            let path = node.attribute("d").expect("a path");
            let numbers: Vec<f64> = path
                .split(|sign: char| sign.is_ascii_alphabetic() || sign == ' ')
                .filter(|part| !part.is_empty())
                .map(|part| part.parse().expect("a number"))
                .collect();
            numbers.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
        }
        _ => Vec::new(),
    }
}

fn families() -> impl Strategy<Value = Family> {
    prop_oneof![
        Just(Family::OnTheSpot),
        Just(Family::OneLeg),
        Just(Family::Alternate),
        Just(Family::SameLead),
        Just(Family::Sideways),
        Just(Family::Free),
    ]
}

/// A drill such as somebody may write into a file of their own.
fn own_drill() -> impl Strategy<Value = Drill> {
    let gap = (any::<bool>(), 0.2..1.5_f64).prop_map(|(long, ratio)| GapRule {
        setting: if long { Setting::Long } else { Setting::Short },
        comfortable_ratio: ratio,
        low_ratio: ratio * 0.8,
        high_ratio: ratio * 1.2,
        band_of_own_step: false,
        own_running_step: false,
        sd_ln: 0.14,
        room_for_two_feet: false,
    });
    (
        (families(), proptest::option::of(0..9_u32), proptest::option::of(gap), any::<bool>(), any::<bool>()),
        (prop_oneof![Just("A"), Just("B"), Just("D")], "[ -~]{0,60}", "[a-z<&\"-]{1,12}"),
    )
        .prop_map(|((family, contacts_per_gap, gap, both_ways, one_leg), (class, name, id))| Drill {
            id: DrillId(id),
            name,
            family,
            contacts_per_gap,
            gap,
            both_ways,
            one_leg,
            contact_class: class.to_owned(),
            ..LADDER.get("alternate-run").expect("a drill of the ladder").clone()
        })
}

/// The same drills every time; `SEED=7 CASES=5000 cargo test …` tries others.
fn config() -> ProptestConfig {
    let from_env = |name: &str| std::env::var(name).ok().and_then(|value| value.parse::<u64>().ok());
    ProptestConfig {
        cases: from_env("CASES").unwrap_or(200) as u32,
        rng_seed: RngSeed::Fixed(from_env("SEED").unwrap_or(1)),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Returns what is wrong with a picture: text over text, something outside, text too small.
fn wrong(figure: &Figure) -> Option<String> {
    let document = Document::parse(&figure.svg).ok()?;
    for node in document.descendants().filter(|node| node.is_element()) {
        for (x, y) in points(node) {
            if !(-0.01..=figure.width + 0.01).contains(&x) || !(-0.01..=figure.height + 0.01).contains(&y) {
                return Some(format!("({x}, {y}) is outside {} × {}", figure.width, figure.height));
            }
        }
    }
    let texts = reading::texts(figure);
    for (index, one) in texts.iter().enumerate() {
        if one.left < -0.5 || one.right > figure.width + 0.5 || one.top < 0.0 || one.bottom > figure.height {
            return Some(format!("{one:?} leaves {} × {}", figure.width, figure.height));
        }
        if let Some(other) = texts[index + 1..].iter().find(|other| one.covers(other)) {
            return Some(format!("{one:?} covers {other:?}"));
        }
    }
    (reading::smallest_text_px(figure) < 12.0).then(|| "text is too small".to_owned())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn every_gap_has_as_many_feet_as_contacts(drill in own_drill(), width_px in 200.0..760.0_f64) {
        let figure = picture(&drill, width_px);
        let hurdles = hurdles(&figure);
        if drill.family == Family::OnTheSpot || (drill.gap.is_none() && drill.contacts_per_gap.is_none()) {
            prop_assert!(hurdles.is_empty());
            prop_assert!(feet(&figure).len() >= 2);
            return Ok(());
        }
        prop_assert!((3..=4).contains(&hurdles.len()), "{} hurdles", hurdles.len());
        let usual = if drill.family == Family::Alternate { 1 } else { 2 };
        let contacts = drill.contacts_per_gap.unwrap_or(usual).clamp(1, CONTACTS_DRAWN_MAX) as usize;
        for (index, pair) in hurdles.windows(2).enumerate() {
            let between: Vec<Seen> = feet(&figure)
                .into_iter()
                .filter(|seen| seen.x > pair[0].0 + 0.01 && seen.x <= pair[1].0 + 0.01)
                .collect();
            prop_assert_eq!(between.len(), contacts, "gap {}: {:?}", index + 1, between);
            prop_assert!(between.iter().all(|seen| seen.gap == index + 1));
        }
    }

    #[test]
    fn nothing_leaves_the_drawing_and_no_text_covers_another(
        drill in own_drill(),
        width_px in 200.0..760.0_f64,
    ) {
        let figure = picture(&drill, width_px);
        prop_assert!(Document::parse(&figure.svg).is_ok());
        prop_assert_eq!(wrong(&figure), None);
    }

    #[test]
    fn with_an_even_number_of_contacts_one_foot_leads_and_with_an_odd_number_both_in_turn(
        drill in own_drill().prop_filter("over the hurdles", |drill| {
            matches!(drill.family, Family::Alternate | Family::SameLead) && drill.contacts_per_gap.is_some()
        }),
    ) {
        let contacts = drill.contacts_per_gap.unwrap_or(1).clamp(1, CONTACTS_DRAWN_MAX);
        let leads = leads(&picture(&drill, 342.0));
        for pair in leads.windows(2) {
            prop_assert_eq!(pair[0] == pair[1], contacts % 2 == 0, "{:?}", leads);
        }
    }

    #[test]
    fn left_and_right_come_in_turn(
        drill in own_drill().prop_filter("over the hurdles", |drill| {
            matches!(drill.family, Family::Alternate | Family::SameLead | Family::Free)
        }),
    ) {
        for pair in feet(&picture(&drill, 342.0)).windows(2) {
            prop_assert_ne!(&pair[0].foot, &pair[1].foot);
        }
    }
}

#[test]
fn the_foot_that_leads_lands_first_behind_every_hurdle() {
    for id in ["alternate-walk", "alternate-run", "two-contact-walk", "two-contact-run"] {
        let figure = built_in(id);
        for ((hurdle, _, _), lead) in hurdles(&figure).iter().zip(leads(&figure)) {
            let landing = feet(&figure).into_iter().find(|seen| seen.x > *hurdle).expect("a step after it");
            assert_eq!(landing.foot, lead, "{id}");
        }
    }
    assert_eq!(leads(&built_in("two-contact-run")), ["left", "left", "left"]);
    assert_eq!(leads(&built_in("alternate-run")), ["left", "right", "left"]);
}

#[test]
fn in_one_leg_drills_the_support_foot_is_beside_the_hurdles_and_level_with_each() {
    for id in ["single-walk", "dead-leg-run"] {
        let figure = built_in(id);
        let (hurdles, feet) = (hurdles(&figure), feet(&figure));
        for (x, high, low) in &hurdles {
            let level = feet.iter().find(|seen| (seen.x - x).abs() < 0.01).expect("a foot level with it");
            assert_eq!(level.foot, "right", "{id}");
            assert!(level.y - 6.0 > *low, "{id}: beside the hurdle");
            assert!(
                feet.iter().filter(|seen| seen.foot == "left").all(|seen| (*high..*low).contains(&seen.y))
            );
        }
        assert_eq!(leads(&figure), vec!["left"; hurdles.len()]);
    }
}

#[test]
fn sideways_the_toes_point_across_and_it_goes_both_ways() {
    for id in ["side-walk", "side-run", "side-shuttle"] {
        let figure = built_in(id);
        assert!(feet(&figure).iter().all(|seen| seen.across), "{id}");
        assert!(figure.svg.contains("class=\"both-ways\""), "{id}");
        assert_eq!(figure.svg.contains("class=\"turn\""), id == "side-shuttle", "{id}");
        // Facing up the page a child has its right foot on the right, and never crosses its feet.
        for (gap, pair) in feet(&figure).chunks_exact(2).enumerate() {
            assert_eq!([pair[0].foot.as_str(), pair[1].foot.as_str()], ["left", "right"], "{id}, gap {gap}");
        }
    }
    assert!(feet(&built_in("alternate-run")).iter().all(|seen| !seen.across));
}

#[test]
fn on_the_spot_one_foot_or_both_cycle_and_there_is_no_hurdle() {
    let cycles = |id: &str| built_in(id).svg.matches("class=\"cycle\"").count();
    assert_eq!((cycles("spot-single"), cycles("spot-alternate"), cycles("free-run")), (1, 2, 0));
    for id in ["spot-single", "spot-alternate", "free-run"] {
        assert!(hurdles(&built_in(id)).is_empty(), "{id}");
    }
}

#[test]
fn long_gaps_are_drawn_longer_than_short_ones_and_share_one_scale() {
    let gap_px = |id: &str| {
        let hurdles = hurdles(&built_in(id));
        hurdles[1].0 - hurdles[0].0
    };
    let ratio =
        |id: &str| LADDER.get(id).and_then(|drill| drill.gap).map_or(0.0, |gap| gap.comfortable_ratio);
    assert_eq!(gap_px("two-contact-run"), gap_px("alternate-run"), "it is the same lane");
    for id in ["single-walk", "alternate-walk", "side-walk"] {
        let (drawn, real) = (gap_px(id) / gap_px("alternate-run"), ratio(id) / ratio("alternate-run"));
        assert!((drawn - real).abs() < 0.03, "{id}: {drawn} for {real}");
    }
}

#[test]
fn left_and_right_differ_in_letter_and_in_fill() {
    let figure = built_in("alternate-run");
    let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
    for (foot, letter, sole, ink) in
        [("left", "L", "#000000", "#ffffff"), ("right", "R", "#ffffff", "#000000")]
    {
        let group = document
            .descendants()
            .find(|node| node.attribute("class") == Some("foot") && node.attribute("data-foot") == Some(foot))
            .expect("a foot");
        let text = group.children().find(|node| node.has_tag_name("text")).expect("a letter");
        let shape = group.children().find(|node| node.has_tag_name("path")).expect("a sole");
        assert_eq!((text.text(), text.attribute("fill")), (Some(letter), Some(ink)));
        assert_eq!(shape.attribute("fill"), Some(sole));
    }
}

#[test]
fn the_sentences_say_what_the_picture_shows() {
    let said = |id: &str| built_in(id).description;
    assert!(said("alternate-walk").contains("One foot contact in every gap"));
    assert!(said("alternate-walk").contains("L, R, L"));
    assert!(said("two-contact-run").contains("The left foot leads over every hurdle"));
    assert!(said("dead-leg-run").contains("The right foot stays beside them"));
    assert!(said("side-shuttle").contains("both ways") && said("side-shuttle").contains("On the call"));
    for drill in LADDER.drills() {
        let figure = picture(drill, 342.0);
        assert!(figure.title.starts_with(&drill.name), "{}", figure.title);
        for text in reading::texts(&figure).iter().map(|area| &area.said).chain([&figure.description]) {
            assert!(!text.contains("draw-") && !text.contains("{$"), "{text}");
        }
    }
}

#[test]
fn drills_look_as_they_did() {
    // Run with INSTA_UPDATE=always after a change on purpose, look at the difference, and commit it.
    for id in ["two-contact-run", "single-walk", "side-shuttle", "spot-single"] {
        insta::assert_snapshot!(format!("drill-{id}"), built_in(id).svg);
    }
}
