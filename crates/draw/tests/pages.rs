//! The printed plan: its blocks, its HTML, and what one needs to set a lane out.

mod sample;

use lanewright_draw::page::{Block, Page, Paper, to_html};
use lanewright_draw::setting_out::{self, MarkKind};
use lanewright_draw::{PlanPageOptions, plan_pages};
use lanewright_model::words::{Arg, Message, Units, Words};
use sample::LaneShape;

fn options() -> PlanPageOptions {
    PlanPageOptions {
        paper: Paper::A4,
        date: Some("2 March 2026".into()),
        place: Some("Small hall".into()),
        shoe_length_m: Some(0.29),
        software: "Lanewright 0.0.0".into(),
        without_names: false,
    }
}

fn pages(units: Units) -> Vec<Page> {
    plan_pages(&sample::plan(), "7 Larch", &Words::english(units), &options())
}

/// Writes blocks as plain text, figures by their titles.
fn outline(blocks: &[Block], indent: &str, out: &mut String) {
    for block in blocks {
        match block {
            Block::Heading { level, text } => out.push_str(&format!("{indent}h{level} {text}\n")),
            Block::Paragraph(text) => out.push_str(&format!("{indent}p {text}\n")),
            Block::Caution(text) => out.push_str(&format!("{indent}! {text}\n")),
            Block::List { items, .. } => {
                items.iter().for_each(|item| out.push_str(&format!("{indent}- {item}\n")));
            }
            Block::Figure(figure) => out.push_str(&format!("{indent}[{}]\n", figure.title)),
            Block::Table(table) => {
                let titles: Vec<&str> = table.columns.iter().map(|column| column.title.as_str()).collect();
                out.push_str(&format!("{indent}| {}\n", titles.join(" | ")));
                table.rows.iter().for_each(|row| out.push_str(&format!("{indent}| {}\n", row.join(" | "))));
            }
            Block::Beside(parts) | Block::Cut(parts) => {
                parts.iter().for_each(|part| outline(part, &format!("{indent}  "), out));
            }
            Block::PageBreak => out.push_str("---\n"),
        }
    }
}

fn text_of(pages: &[Page]) -> String {
    let mut out = String::new();
    for (index, page) in pages.iter().enumerate() {
        outline(&page.blocks, "", &mut out);
        out.push_str(&format!(
            "_ {} / {}\n\n",
            page.footer.lines.join(" / "),
            page.footer.page_of(index + 1, pages.len())
        ));
    }
    out
}

#[test]
fn printed_plan_says_what_it_did() {
    insta::assert_snapshot!("plan-pages", text_of(&pages(Units::Metric)));
}

#[test]
fn every_table_row_has_a_cell_per_column() {
    fn check(blocks: &[Block]) {
        for block in blocks {
            match block {
                Block::Table(table) => {
                    assert!(table.rows.iter().all(|row| row.len() == table.columns.len()));
                }
                Block::Beside(columns) => columns.iter().for_each(|column| check(column)),
                _ => {}
            }
        }
    }
    for plan in [sample::plan(), sample::walking_plan()] {
        for shoe_length_m in [None, Some(0.27), Some(0.0)] {
            let options = PlanPageOptions { shoe_length_m, ..options() };
            for page in plan_pages(&plan, "7 Larch", &Words::english(Units::Metric), &options) {
                check(&page.blocks);
            }
        }
    }
}

#[test]
fn printed_plan_has_no_missing_words() {
    for units in [Units::Metric, Units::FeetInches] {
        for plan in [sample::plan(), sample::walking_plan()] {
            let text = text_of(&plan_pages(&plan, "7 Larch", &Words::english(units), &options()));
            assert!(!text.contains("draw-") && !text.contains("{$"), "{text}");
        }
    }
}

#[test]
fn cautions_stand_on_the_first_page() {
    let pages = pages(Units::Metric);
    let cautions: String = pages[0]
        .blocks
        .iter()
        .filter_map(|block| match block {
            Block::Caution(text) => Some(text.as_str()),
            _ => None,
        })
        .collect();
    for word in ["stopping room", "floor", "stand-in", "rules of your school"] {
        assert!(cautions.contains(word), "{word}");
    }
}

#[test]
fn a_plan_that_does_not_fit_says_so_first() {
    let shapes = [LaneShape::usual("A", 1.2)];
    let plan = sample::plan_of(&shapes, Some(lanewright_model::Space::hall(12.0, 8.0)));
    assert!(!plan.fits);
    let page = &plan_pages(&plan, "7 Larch", &Words::english(Units::Metric), &options())[0];
    let first = page
        .blocks
        .iter()
        .position(|block| matches!(block, Block::Caution(text) if text.contains("does not fit")));
    let figure = page.blocks.iter().position(|block| matches!(block, Block::Figure(_)));
    assert!(first.is_some() && first < figure);
}

#[test]
fn names_can_be_left_out() {
    let options = PlanPageOptions { without_names: true, ..options() };
    let pages = plan_pages(&sample::plan(), "7 Larch", &Words::english(Units::Metric), &options);
    let html = to_html(&pages);
    for name in ["Kesia", "Hanneke"] {
        assert!(!html.contains(name), "{name}");
    }
    assert!(html.contains("7 children") || html.contains("7\u{a0}children"));
}

/// Five notes that are not about safety, then more of those that are than a sheet had room for.
fn with_notes(safety: usize) -> lanewright_model::plan::Plan {
    let mut plan = sample::plan();
    let guessed = |name: &str| Message::new("plan-guessed").text("names", name).with("count", Arg::Count(1));
    plan.warnings = ["Wren", "Idris", "Kesia", "Umi", "Edda"].map(guessed).into();
    for number in 0..safety {
        plan.warnings.push(
            Message::new("plan-high-lower")
                .text(
                    "names",
                    format!("Hanneke {number}, Abiola, Bram, Cosima, Dunja, Femke, Gideon, Ottilie"),
                )
                .with("count", Arg::Count(8))
                .text("lane", "A")
                .with("height", Arg::HeightCm(30.0))
                .with("suits", Arg::HeightCm(20.0)),
        );
    }
    plan.warnings.push(Message::new("plan-tip-both-ways"));
    plan
}

#[test]
fn every_note_on_safety_is_printed_and_before_all_others_however_many_there_are() {
    for paper in [Paper::A4, Paper::Letter] {
        for safety in [0, 3, 8, 40] {
            let plan = with_notes(safety);
            let options = PlanPageOptions { paper, ..options() };
            let page = plan_pages(&plan, "7 Larch", &Words::english(Units::Metric), &options).swap_remove(0);
            let notes = page.blocks.iter().filter_map(|block| match block {
                Block::List { numbered: false, items } => Some(items),
                _ => None,
            });
            let notes: Vec<&String> = notes.flatten().collect();
            let is_safety =
                |said: &&&String| said.contains("is high for the legs") || said.contains("Side-steps");
            let first = notes.iter().take_while(is_safety).count();
            assert_eq!(first, safety + 1, "{notes:?}");
            let more = page
                .blocks
                .iter()
                .any(|block| matches!(block, Block::Paragraph(said) if said.contains("in the program")));
            assert_eq!(more, notes.len() < safety + 1 + 5, "{notes:?}");
        }
    }
}

#[test]
fn a_copy_without_names_keeps_its_notes_on_safety_and_names_nobody() {
    let options = PlanPageOptions { without_names: true, ..options() };
    let pages = plan_pages(&with_notes(2), "7 Larch", &Words::english(Units::Metric), &options);
    let html = to_html(&pages).replace('\u{a0}', " ");
    for name in ["Wren", "Idris", "Hanneke", "Ottilie"] {
        assert!(!html.contains(name), "{name}");
    }
    assert_eq!(html.matches("is high for the legs of 8 children").count(), 2);
    assert!(html.contains("5 more notes are in the program"));
}

#[test]
fn html_escapes_what_people_wrote() {
    let mut plan = sample::plan();
    plan.lanes[0].runners[0] = "<b onclick=x>&".into();
    let options = PlanPageOptions { place: Some("<i>hall</i>".into()), ..options() };
    let html = to_html(&plan_pages(&plan, "7 <Larch>", &Words::english(Units::Metric), &options));
    for markup in ["<b onclick", "<i>hall", "<Larch>"] {
        assert!(!html.contains(markup), "{markup}");
    }
    assert!(html.contains("7 &lt;Larch&gt;"));
}

#[test]
fn html_prints_on_either_paper_with_margins_and_repeated_heads() {
    for (paper, size) in [(Paper::A4, "A4"), (Paper::Letter, "letter")] {
        let options = PlanPageOptions { paper, ..options() };
        let html = to_html(&plan_pages(&sample::plan(), "7 Larch", &Words::english(Units::Metric), &options));
        assert!(html.contains(&format!("@page {{ size: {size} portrait; margin: 12mm; }}")));
        assert!(html.contains("display: table-header-group") && html.contains("break-inside: avoid"));
        assert!(
            html.contains("<html lang=\"en\">") && html.contains("<thead>") && html.contains("scope=\"col\"")
        );
        assert!(!html.replace("http://www.w3.org/2000/svg", "").contains("http"));
    }
}

#[test]
fn html_has_every_id_once() {
    let html = to_html(&pages(Units::Metric));
    let mut ids: Vec<&str> = html.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count);
}

#[test]
fn marks_come_in_the_order_of_the_tape_and_shared_marks_once() {
    let lane = &sample::plan().lanes[0];
    let marks = setting_out::marks(lane);
    assert!(marks.windows(2).all(|pair| pair[0].at_m < pair[1].at_m));
    // Six long marks 1.2 m apart, six short ones 0.6 m apart from the same first mark: three of them meet.
    let hurdles: Vec<MarkKind> =
        marks.iter().map(|mark| mark.kind).filter(|kind| matches!(kind, MarkKind::Hurdle { .. })).collect();
    assert_eq!(hurdles.len(), 9);
    assert_eq!(hurdles[0], MarkKind::Hurdle { long: Some(1), short: Some(1) });
    assert_eq!(hurdles[1], MarkKind::Hurdle { long: None, short: Some(2) });
    assert_eq!(hurdles[2], MarkKind::Hurdle { long: Some(2), short: Some(3) });
    assert_eq!(hurdles[8], MarkKind::Hurdle { long: Some(6), short: None });
    assert_eq!(marks[0].kind, MarkKind::StartLeft);
    assert_eq!(marks[marks.len() - 1].kind, MarkKind::FreeUntil);
    // 5 m run-up, five gaps of 1.2 m, 3 m exit, 6.5 m to stop.
    assert!((marks[marks.len() - 1].at_m - 20.5).abs() < 1e-9);
}

#[test]
fn shoes_are_counted_to_the_half() {
    // 17.24 and 4.14 shoes of 29 cm.
    assert_eq!(setting_out::shoes(5.0, 0.29), Some(17.0));
    assert_eq!(setting_out::shoes(1.2, 0.29), Some(4.0));
    assert_eq!(setting_out::shoes(1.3, 0.29), Some(4.5));
    assert_eq!(setting_out::shoes(5.0, 0.0), None);
    assert_eq!(setting_out::shoes(5.0, f64::NAN), None);
    assert_eq!(
        (setting_out::halves(4.5), setting_out::halves(0.5), setting_out::halves(17.0)),
        ("4½".into(), "½".into(), "17".into())
    );
}

#[test]
fn knots_lead_from_one_to_the_next_and_end_where_the_tape_ends() {
    let plan = sample::plan();
    let cords = setting_out::cords(&plan);
    assert_eq!(cords.len(), 4, "lanes with marks of their own have a cord each");
    for cord in cords {
        let sum_m: f64 = cord.knots.iter().map(|knot| knot.from_before_m).sum();
        let last = cord.knots.last().expect("knots");
        assert!((sum_m - last.from_start_m).abs() < 1e-9);
        assert!(cord.knots.iter().all(|knot| knot.from_before_m > 0.0));
    }
}

#[test]
fn lanes_with_the_same_marks_share_a_cord() {
    let shapes = [LaneShape::usual("A", 1.2), LaneShape::usual("B", 1.3), LaneShape::usual("C", 1.2)];
    let cords = setting_out::cords(&sample::plan_of(&shapes, None));
    let lanes: Vec<Vec<String>> = cords.into_iter().map(|cord| cord.lanes).collect();
    assert_eq!(lanes, [vec!["A".to_owned(), "C".to_owned()], vec!["B".to_owned()]]);
    // The long setting alone lies on the cord of both settings.
    let shapes = [LaneShape { short_m: None, ..LaneShape::usual("A", 1.2) }, LaneShape::usual("B", 1.2)];
    let cords = setting_out::cords(&sample::plan_of(&shapes, None));
    assert_eq!(cords.len(), 1);
    assert_eq!(cords[0].lanes, ["A", "B"]);
}
