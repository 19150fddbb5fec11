//! Cards, class report and handover of an invented class after five lessons: what stands on them and what does not.

mod progress_sample;

use lanewright_draw::charts::{
    CountRow, RateChart, RateFinding, RatePoint, Step, StepState, count_chart, rate_chart, stairs,
};
use lanewright_draw::page::to_html;
use lanewright_draw::papers::ReportInput;
use lanewright_draw::papers::{CardOptions, HandoverOptions, Level, ReportOptions, Shown, report_figures};
use lanewright_draw::{Block, Figure, Page, Paper, Style};
use lanewright_model::words::{Units, Words};
use lanewright_science::decide::Rate;
use lanewright_science::progress::{Next, Reach};
use progress_sample::{Sample, card_options, handover_options, report_options};

fn words_of(blocks: &[Block], out: &mut String) {
    for block in blocks {
        match block {
            Block::Heading { text, .. } | Block::Paragraph(text) | Block::Caution(text) => {
                out.push_str(text);
                out.push('\n');
            }
            Block::List { items, .. } => items.iter().for_each(|item| {
                out.push_str(item);
                out.push('\n');
            }),
            Block::Table(table) => {
                let titles = table.columns.iter().map(|column| &column.title);
                for cell in titles.chain(table.rows.iter().flatten()) {
                    out.push_str(cell);
                    out.push('\n');
                }
            }
            Block::Figure(figure) => {
                out.push_str(&format!("{}\n{}\n{}\n", figure.title, figure.description, figure.svg));
            }
            Block::Beside(parts) | Block::Cut(parts) => parts.iter().for_each(|part| words_of(part, out)),
            Block::PageBreak => {}
        }
    }
}

fn text_of(pages: &[Page]) -> String {
    let mut out = String::new();
    pages.iter().for_each(|page| words_of(&page.blocks, &mut out));
    out
}

/// The parts of all sheets, one a child.
fn cards_of(pages: &[Page]) -> Vec<Vec<Block>> {
    pages
        .iter()
        .flat_map(|page| match page.blocks.as_slice() {
            [Block::Cut(parts)] => parts.clone(),
            blocks => vec![blocks.to_vec()],
        })
        .filter(|part| !part.is_empty())
        .collect()
}

fn has_word(text: &str, word: &str) -> bool {
    text.split(|letter: char| !letter.is_alphanumeric()).any(|own| own == word)
}

#[test]
fn a_card_names_its_child_and_nobody_else() {
    let sample = Sample::new();
    for level in [Level::Plain, Level::VeryPlain] {
        let pages = sample.cards(&CardOptions { level, ..card_options(Paper::A4) });
        let cards = cards_of(&pages);
        assert_eq!(cards.len(), sample.names.len());
        for (card, own) in cards.iter().zip(&sample.names) {
            let mut text = String::new();
            words_of(card, &mut text);
            for name in &sample.names {
                assert_eq!(has_word(&text, name), name == own, "{name} on the card of {own}");
            }
        }
    }
}

#[test]
fn two_cards_share_a_sheet_and_the_last_of_an_odd_class_has_half_of_one() {
    let sample = Sample::new();
    assert_eq!(sample.cards(&card_options(Paper::A4)).len(), 14);
    let children = &sample.children()[..3];
    let options = card_options(Paper::Letter);
    let pages = lanewright_draw::card_pages(children, &sample.ladder, &sample.words, &options);
    assert_eq!(pages.len(), 2);
    let [Block::Cut(parts)] = pages[1].blocks.as_slice() else { panic!("not cut") };
    assert!(parts.len() == 2 && parts[1].is_empty());
    let one = CardOptions { two_to_a_sheet: false, ..options };
    assert_eq!(lanewright_draw::card_pages(children, &sample.ladder, &sample.words, &one).len(), 3);
}

#[test]
fn a_card_shows_what_was_asked_for_and_no_more() {
    let sample = Sample::new();
    let nothing = Shown { steps: false, can: false, changes: false, work: false, next: false };
    let headings = |shown: Shown| {
        let pages = sample.cards(&CardOptions { shown, ..card_options(Paper::A4) });
        let text = text_of(&pages[..1]);
        ["You can do this now", "What has changed", "Work on this", "Next time", "The steps"]
            .map(|heading| text.contains(heading))
    };
    assert_eq!(headings(Shown::default()), [true; 5]);
    assert_eq!(headings(nothing), [false; 5]);
    assert_eq!(headings(Shown { can: true, ..nothing }), [true, false, false, false, false]);
    assert_eq!(headings(Shown { next: true, steps: true, ..nothing }), [false, false, false, true, true]);
}

#[test]
fn whoever_was_not_seen_is_told_so_kindly() {
    let sample = Sample::new();
    let cards = cards_of(&sample.cards(&card_options(Paper::A4)));
    let text = |id: &str| {
        let index = sample.runners.iter().position(|runner| runner.id.0 == id).expect("a child");
        let mut text = String::new();
        words_of(&cards[index], &mut text);
        (text, &sample.progress.children[index])
    };
    // r27 was never there, r13 ran twice in one lesson.
    let (nobody, child) = text("r27");
    assert!(nobody.contains("We will look out for you") && child.next == Next::Begin, "{nobody}");
    let (little, child) = text("r13");
    assert!(!child.is_seen_enough());
    assert!(little.contains("We have not seen much of you yet") && little.contains("first card"));
}

#[test]
fn cards_tell_of_a_change_only_where_it_is_real() {
    let sample = Sample::new();
    let cards = cards_of(&sample.cards(&card_options(Paper::A4)));
    let mut told = 0;
    for (card, child) in cards.iter().zip(&sample.progress.children) {
        let mut text = String::new();
        words_of(card, &mut text);
        let says = text.contains("More hurdles stay up now") || text.contains("Fewer hurdles stay up");
        assert_eq!(says, !child.real_changes().is_empty(), "{text}");
        told += u32::from(says);
    }
    assert!(told > 0, "the sample has no change: the test would be empty");
}

#[test]
fn the_stairs_have_a_full_step_for_every_clean_drill() {
    let sample = Sample::new();
    let cards = cards_of(&sample.cards(&card_options(Paper::A4)));
    for (card, child) in cards.iter().zip(&sample.progress.children) {
        let Some(Block::Figure(figure)) = card.iter().find(|block| matches!(block, Block::Figure(_))) else {
            panic!("no stairs")
        };
        let count = |class: &str| figure.svg.matches(&format!("class=\"{class}\"")).count();
        assert_eq!(count("clean"), child.at(Reach::Clean).count());
        assert_eq!(count("clean") + count("open") + count("ahead"), child.drills.len());
    }
}

fn check_figure(figure: &Figure) {
    let tree = roxmltree::Document::parse(&figure.svg).expect("well-formed");
    for node in tree.descendants() {
        for name in ["fill", "stroke"] {
            let Some(colour) = node.attribute(name).filter(|colour| colour.starts_with('#')) else {
                continue;
            };
            assert!(colour[1..3] == colour[3..5] && colour[3..5] == colour[5..7], "{colour} is no grey");
        }
        if node.has_tag_name("text") {
            let size: f64 = node.attribute("font-size").expect("a size").parse().expect("a number");
            assert!(size >= 12.0, "text of {size} px");
            let x: f64 = node.attribute("x").expect("a place").parse().expect("a number");
            let wide = lanewright_draw::text::width_set(node.text().unwrap_or(""), size, false);
            let (from, to) = match node.attribute("text-anchor") {
                Some("middle") => (x - wide / 2.0, x + wide / 2.0),
                Some("end") => (x - wide, x),
                _ => (x, x + wide),
            };
            assert!(from >= -1.0 && to <= figure.width + 1.0, "{:?} from {from} to {to}", node.text());
        }
    }
    assert!(!figure.title.is_empty() && figure.description.len() > 20);
}

#[test]
fn charts_are_grey_legible_and_inside_their_edges() {
    let sample = Sample::new();
    let input = ReportInput {
        progress: &sample.progress,
        names: &sample.names,
        lane_findings: &[],
        ladder: &sample.ladder,
    };
    for width_px in [340.0, 703.0] {
        let figures = report_figures(&input, &sample.words, width_px, Style::Print);
        assert!(figures.len() >= 4);
        figures.iter().for_each(|(_, figure)| check_figure(figure));
    }
    for page in sample.cards(&card_options(Paper::Letter)) {
        fn check(blocks: &[Block]) {
            for block in blocks {
                match block {
                    Block::Figure(figure) => check_figure(figure),
                    Block::Beside(parts) | Block::Cut(parts) => parts.iter().for_each(|part| check(part)),
                    _ => {}
                }
            }
        }
        check(&page.blocks);
    }
}

#[test]
fn bars_are_as_long_as_their_counts_and_titles_say_the_finding() {
    let words = Words::english(Units::Metric);
    let row = |name: &str, counts: [u32; 4]| CountRow { name: name.to_owned(), counts };
    let rows = [row("Walk", [20, 5, 2, 1]), row("Run", [7, 14, 0, 7])];
    let figure = count_chart(&rows, 700.0, &words, Style::Print);
    assert_eq!(figure.title, "Walk: 20 of 28 children can do it");
    assert!(figure.svg.contains("children (n = 28)"));
    assert!(figure.description.contains("Run: can do it 7, worked on 14, seen too little 0, not seen 7."));
    let tree = roxmltree::Document::parse(&figure.svg).expect("well-formed");
    let number = |node: roxmltree::Node<'_, '_>, name: &str| -> f64 {
        node.attribute(name).expect("there").parse().expect("a number")
    };
    // Bars are 20 px high, the legend's squares 14.
    let bars: Vec<f64> = tree
        .descendants()
        .filter(|node| node.has_tag_name("rect") && number(*node, "height") == 20.0)
        .map(|node| number(node, "width") + 1.0)
        .collect();
    let per_child = bars.iter().sum::<f64>() / 56.0;
    let wanted = [20.0, 5.0, 2.0, 1.0, 7.0, 14.0, 7.0];
    assert_eq!(bars.len(), wanted.len());
    for (bar, children) in bars.iter().zip(wanted) {
        assert!((bar / per_child - children).abs() < 0.05, "{bar} px for {children}");
    }
}

#[test]
fn ranges_are_drawn_to_scale_and_left_out_where_there_is_none() {
    let words = Words::english(Units::Metric);
    let point = |mean: f64, half: f64, has_range: bool| RatePoint {
        day: "2 March".to_owned(),
        rate: Rate { mean, low: mean - half, high: mean + half },
        children: 20,
        has_range,
    };
    let points = [point(0.6, 0.1, true), point(0.8, 0.05, true), point(0.9, 1.0, false)];
    let chart = RateChart {
        name: "Run".to_owned(),
        points: points.to_vec(),
        finding: RateFinding::Up,
        before: 0.6,
        after: 0.8,
        needed: 0.9,
        lowest: 0.5,
    };
    let figure = rate_chart(&chart, 340.0, &words, Style::Print);
    assert_eq!(figure.title, "Run: more stays up, from 60\u{a0}% to 80\u{a0}%");
    let tree = roxmltree::Document::parse(&figure.svg).expect("well-formed");
    let lengths: Vec<f64> = tree
        .descendants()
        .filter(|node| node.attribute("class") == Some("range"))
        .map(|node| {
            let at = |name: &str| node.attribute(name).expect("there").parse::<f64>().expect("a number");
            at("y1") - at("y2")
        })
        .collect();
    assert_eq!(lengths.len(), 2);
    assert!((lengths[0] / lengths[1] - 2.0).abs() < 0.01, "{lengths:?}");
    assert!(
        figure.description.contains("probably between 50\u{a0}% and 70\u{a0}%"),
        "{}",
        figure.description
    );
    assert!(figure.description.contains("too few children for a range"));
}

#[test]
fn a_ladder_of_ones_own_has_stairs_too() {
    let words = Words::english(Units::Metric);
    let steps: Vec<Step> = (0..14)
        .map(|index| Step {
            name: format!("a long name number {index}"),
            state: if index < 3 { StepState::Clean } else { StepState::Ahead },
            is_here: index == 13,
        })
        .collect();
    check_figure(&stairs("x", &steps, 703.0, &words, Style::Print));
    check_figure(&stairs("x", &steps[..1], 703.0, &words, Style::Print));
}

#[test]
fn the_report_counts_every_child_once_a_row_and_names_who_was_not_seen() {
    let sample = Sample::new();
    let pages = sample.report(&report_options(Paper::A4));
    let table = pages[0]
        .blocks
        .iter()
        .find_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        })
        .expect("a table");
    for row in &table.rows {
        let sum: u32 = row[1..].iter().map(|cell| cell.parse::<u32>().expect("a count")).sum();
        assert_eq!(sum, 28, "{row:?}");
    }
    let text = text_of(&pages);
    let unseen: Vec<&String> = sample
        .progress
        .children
        .iter()
        .zip(&sample.names)
        .filter(|(child, _)| !child.is_seen_enough())
        .map(|(_, name)| name)
        .collect();
    assert!(unseen.len() >= 2 && unseen.iter().all(|name| has_word(&text, name)));
    // The gap of lane C was laid shorter, the hurdles of lane A higher.
    assert!(
        text.contains("1.30\u{a0}m") && text.contains("1.25\u{a0}m") && text.contains("20\u{a0}cm"),
        "{text}"
    );
}

#[test]
fn copies_without_names_have_none() {
    let sample = Sample::new();
    let report = ReportOptions { without_names: true, ..report_options(Paper::A4) };
    let lesson = sample.lesson();
    let handover = HandoverOptions { without_names: true, ..handover_options(Paper::A4) };
    for pages in [sample.report(&report), sample.handover(&lesson, &handover)] {
        let text = text_of(&pages);
        for name in &sample.names {
            assert!(!has_word(&text, name), "{name} stands there");
        }
    }
}

#[test]
fn a_class_without_runs_has_papers_that_say_so() {
    let sample = Sample::of(Vec::new());
    assert!(text_of(&sample.report(&report_options(Paper::A4))).contains("No run of these children"));
    let cards = sample.cards(&card_options(Paper::A4));
    assert_eq!(cards.len(), 14);
    let text = text_of(&cards);
    assert_eq!(text.matches("We will look out for you").count(), 28);
    assert!(!text.contains("What has changed") && !text.contains("Work on this"));
}

#[test]
fn the_handover_holds_what_a_stranger_needs() {
    let sample = Sample::new();
    let lesson = sample.lesson();
    let text = text_of(&sample.handover(&lesson, &handover_options(Paper::A4)));
    for group in &lesson.groups {
        for runner in &group.runners {
            assert!(has_word(&text, &lesson.names[runner]));
        }
    }
    for block in &lesson.blocks {
        for group in &block.groups {
            // Half a centimetre reads as the farther mark of the tape.
            let gap_m = (group.gap_m * 100.0 + 1e-6).round() / 100.0;
            assert!(text.contains(&format!("{gap_m:.2}\u{a0}m")), "gap {gap_m} m");
            let drill = sample.ladder.get(&group.drill.0).expect("a drill");
            assert!(text.contains(&drill.cue), "{}", drill.cue);
        }
    }
    for needed in [
        "extension 12",
        "Small hall",
        "Wren stands hurdles up",
        "no sprints or turns: Bram",
        "Stopping room free",
    ] {
        assert!(text.contains(needed), "{needed} is missing");
    }
}

#[test]
fn pages_for_the_browser_cut_sheets_where_paper_does() {
    let sample = Sample::new();
    let html = to_html(&sample.cards(&card_options(Paper::A4)));
    assert_eq!(html.matches("<section>").count(), 28);
    assert!(html.contains(".lw-cut-2 > section") && !html.contains("<footer>"));
    // No id twice: a drill is drawn on many cards.
    let mut ids: Vec<&str> =
        html.split(" id=\"").skip(1).map(|rest| &rest[..rest.find('"').expect("an end")]).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count);
}
