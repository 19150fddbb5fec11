//! The printed plan as PDF and PNG.

#[path = "../../draw/tests/sample/mod.rs"]
mod sample;

#[path = "../../draw/tests/lessons/mod.rs"]
mod lessons;

use std::io::Write;
use std::process::{Command, Stdio};

use lanewright_draw::page::{Block, Column, Footer, Page, Paper, Table};
use lanewright_draw::{FloorOptions, PlanPageOptions, Style, floor_plan, lesson_pages, plan_pages};
use lanewright_model::drill::Ladder;
use lanewright_model::words::{Units, Words};
use lanewright_paper::{Options, PaperError, figure_png, missing_letters, page_pngs, pdf, sheet_count};

const NAMES: [&str; 9] = ["Žofie", "Łukasz", "Nguyễn", "Ægir", "Ελένη", "Жанна", "İpek", "Siân", "Ștefan"];

fn options() -> Options {
    Options { creator: "Lanewright".into(), created: None }
}

fn pages(paper: Paper) -> Vec<Page> {
    let mut plan = sample::plan();
    for (runner, name) in plan.lanes[0].runners.iter_mut().zip(NAMES) {
        *runner = name.to_owned();
    }
    plan.lanes[1].runners.extend(NAMES[7..].iter().map(|name| (*name).to_owned()));
    let options = PlanPageOptions {
        paper,
        date: Some("2 March 2026".into()),
        place: Some("Small hall".into()),
        shoe_length_m: Some(0.29),
        software: "Lanewright".into(),
        without_names: false,
    };
    plan_pages(&plan, "7 Larch", &Words::english(Units::Metric), &options)
}

fn page(blocks: Vec<Block>) -> Page {
    Page {
        title: "A page".into(),
        language: "en".into(),
        paper: Paper::A4,
        text_percent: 100,
        blocks,
        footer: Footer { lines: vec!["foot".into()], page_of: "Page {page} of {pages}".into() },
    }
}

/// Runs a PDF tool on a file given on its standard input; `None` when the tool is not installed.
fn tool(name: &str, arguments: &[&str], file: &[u8]) -> Option<String> {
    let child = Command::new(name)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let Ok(mut child) = child else {
        eprintln!("{name} is not installed: this check was left out (package poppler-utils)");
        return None;
    };
    let mut stdin = child.stdin.take().expect("a pipe");
    let file = file.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&file));
    let output = child.wait_with_output().expect("the tool ends");
    writer.join().expect("the writer ends").expect("the tool reads the file");
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

#[test]
fn equal_pages_give_equal_bytes() {
    let one = pdf(&pages(Paper::A4), &options()).expect("a file");
    let two = pdf(&pages(Paper::A4), &options()).expect("a file");
    assert!(one == two);
    assert!(one.starts_with(b"%PDF-1.7"));
}

#[test]
fn file_carries_a_date_only_when_one_is_given() {
    let has_date = |file: &[u8]| file.windows(12).any(|window| window == b"CreationDate");
    assert!(!has_date(&pdf(&pages(Paper::A4), &options()).expect("a file")));
    let dated = Options { created: Some((2026, 3, 2)), ..options() };
    assert!(has_date(&pdf(&pages(Paper::A4), &dated).expect("a file")));
}

#[test]
fn text_of_names_can_be_extracted() {
    let file = pdf(&pages(Paper::A4), &options()).expect("a file");
    let Some(text) = tool("pdftotext", &["-layout", "-", "-"], &file) else { return };
    for name in NAMES {
        assert!(text.contains(name), "{name} cannot be found");
    }
    assert!(text.contains("Page 1 of 3") && text.contains("Page 3 of 3"));
    assert!(text.contains("11.00"), "tape distances are text too");
}

#[test]
fn file_is_tagged_and_names_its_language_title_and_size() {
    for (paper, size) in [(Paper::A4, "595.276 x 841.89"), (Paper::Letter, "612 x 792")] {
        let file = pdf(&pages(paper), &options()).expect("a file");
        let Some(facts) = tool("pdfinfo", &["-"], &file) else { return };
        assert!(facts.contains(&format!("Page size:       {size}")), "{facts}");
        assert!(facts.contains("Tagged:          yes"), "{facts}");
        assert!(facts.contains("Title:           Four lanes for 7 Larch"), "{facts}");
        let structure = tool("pdfinfo", &["-struct-text", "-"], &file).expect("the same tool");
        for part in ["H1 ", "Table", "THead", "TH", "TD", "Figure", "LBody"] {
            assert!(structure.contains(part), "{part} is not in the structure");
        }
        let raw = String::from_utf8_lossy(&file);
        assert!(raw.contains("/Lang(en)") || raw.contains("/Lang (en)"), "the language is not named");
        assert!(raw.contains("pdfuaid"), "the file does not claim PDF/UA");
    }
}

#[test]
fn plan_of_four_lanes_takes_three_sheets_on_either_paper() {
    assert_eq!(sheet_count(&pages(Paper::A4)), 3);
    assert_eq!(sheet_count(&pages(Paper::Letter)), 3);
}

#[test]
fn long_tables_go_on_with_their_head_on_every_sheet() {
    let rows = (0..150).map(|number| vec![format!("row {number}"), "x".into()]).collect();
    let table = Table {
        caption: Some("many rows".into()),
        columns: vec![Column::words("name of the row", 3.0), Column::numbers("value", 1.0)],
        rows,
    };
    let pages = [page(vec![Block::Table(table)])];
    let sheets = sheet_count(&pages);
    assert!((3..=6).contains(&sheets), "{sheets} sheets");
    let file = pdf(&pages, &options()).expect("a file");
    let Some(text) = tool("pdftotext", &["-layout", "-", "-"], &file) else { return };
    assert_eq!(text.matches("name of the row").count(), sheets);
    for number in 0..150 {
        assert_eq!(
            text.lines().filter(|line| line.contains(&format!("row {number} "))).count(),
            1,
            "row {number}"
        );
    }
}

#[test]
fn headings_never_end_a_sheet() {
    // However much stands before it, the heading is on the sheet of its paragraph.
    for before in 36..44 {
        let mut blocks: Vec<Block> = (0..before).map(|_| Block::Paragraph("filler".into())).collect();
        blocks.push(Block::Heading { level: 2, text: "Heading".into() });
        blocks.push(Block::Paragraph("its own words".into()));
        let file = pdf(&[page(blocks)], &options()).expect("a file");
        let Some(text) = tool("pdftotext", &["-layout", "-", "-"], &file) else { return };
        let sheet = text.split('\u{c}').find(|sheet| sheet.contains("Heading")).expect("the heading");
        assert!(sheet.contains("its own words"), "{before} paragraphs before");
    }
}

#[test]
fn page_breaks_start_a_new_sheet_and_blocks_beside_each_other_share_one() {
    let word = |text: &str| Block::Paragraph(text.into());
    assert_eq!(sheet_count(&[page(vec![word("a"), Block::PageBreak, word("b")])]), 2);
    assert_eq!(sheet_count(&[page(vec![Block::Beside(vec![vec![word("a")], vec![word("b")]])])]), 1);
    let tall: Vec<Block> = (0..120).map(|_| word("line")).collect();
    assert!(sheet_count(&[page(vec![Block::Beside(vec![tall.clone(), tall])])]) > 2);
}

#[test]
fn words_wider_than_the_page_break_instead_of_running_off() {
    let endless = "m".repeat(400);
    let file = pdf(&[page(vec![Block::Paragraph(endless)])], &options()).expect("a file");
    let Some(text) = tool("pdftotext", &["-layout", "-", "-"], &file) else { return };
    assert_eq!(text.matches('m').count(), 400);
    assert!(text.lines().filter(|line| line.contains("mmm")).count() > 3);
}

#[test]
fn letters_without_a_face_are_named_and_do_not_stop_the_file() {
    let pages = [page(vec![Block::Paragraph("さくら and نور and ᏣᎳᎩ and 🏃".into())])];
    assert_eq!(missing_letters(&pages), ['Ꭹ', 'Ꮃ', 'Ꮳ', '🏃']);
    assert!(pdf(&pages, &options()).is_ok());
    assert!(missing_letters(&self::pages(Paper::A4)).is_empty());
}

#[test]
fn hostile_names_do_not_stop_the_file() {
    let mut plan = sample::plan();
    plan.lanes[0].runners =
        vec!["</text><script>".into(), "\u{0}\u{202e}abc\n".into(), String::new(), " ".into()];
    let options = PlanPageOptions::default();
    let pages = plan_pages(&plan, "<&>", &Words::english(Units::Metric), &options);
    assert!(pdf(&pages, &self::options()).is_ok());
    assert!(page_pngs(&pages, 1.0).is_ok());
}

#[test]
fn no_pages_and_absurd_pictures_are_refused() {
    assert_eq!(pdf(&[], &options()), Err(PaperError::NoPages));
    let figure = floor_plan(&sample::plan(), &Words::english(Units::Metric), &FloorOptions::default());
    assert!(matches!(figure_png(&figure, 0.0), Err(PaperError::PictureSize { .. })));
    assert!(matches!(figure_png(&figure, 1000.0), Err(PaperError::PictureSize { .. })));
}

#[test]
fn pictures_have_the_size_asked_for() {
    let options = FloorOptions { style: Style::Print, ..FloorOptions::default() };
    let figure = floor_plan(&sample::plan(), &Words::english(Units::Metric), &options);
    let png = figure_png(&figure, 2.0).expect("a picture");
    assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
    let side = |at: usize| u32::from_be_bytes([png[at], png[at + 1], png[at + 2], png[at + 3]]);
    assert_eq!((side(16), side(20)), ((figure.width * 2.0) as u32, (figure.height * 2.0).ceil() as u32));
    assert_eq!(page_pngs(&pages(Paper::A4), 1.0).expect("pictures").len(), 3);
}

#[test]
fn every_lesson_stands_on_one_sheet_of_either_paper() {
    for (name, ask) in lessons::all() {
        let lesson = lessons::planned(&ask);
        for units in [Units::Metric, Units::FeetInches] {
            let words = Words::english(units);
            for paper in [Paper::A4, Paper::Letter] {
                let pages = lesson_pages(&lesson, &Ladder::built_in(), &words, &lessons::options(paper));
                for page in &pages {
                    let sheets = sheet_count(std::slice::from_ref(page));
                    assert_eq!(sheets, 1, "{name} on {paper:?} in {units:?}");
                    assert!(page.text_percent >= 90, "{name}: text at {} %", page.text_percent);
                }
            }
        }
    }
}

#[test]
fn every_name_of_a_lesson_can_be_found_in_the_file_and_parts_are_tagged() {
    let ask = lessons::named("large-new");
    let lesson = lessons::planned(&ask);
    let words = Words::english(Units::Metric);
    let pages = lesson_pages(&lesson, &Ladder::built_in(), &words, &lessons::options(Paper::Letter));
    let file = pdf(&pages, &options()).expect("a file");
    let Some(text) = tool("pdftotext", &["-layout", "-", "-"], &file) else { return };
    for name in lesson.names.values().chain(&ask.helping) {
        assert!(text.contains(name), "{name} cannot be found");
    }
    let structure = tool("pdfinfo", &["-struct-text", "-"], &file).expect("the same package");
    for part in ["H1 ", "H2 ", "Table", "TH", "TD", "Figure", "LBody"] {
        assert!(structure.contains(part), "{part} is not in the structure");
    }
}

#[test]
fn larger_text_takes_more_room() {
    let lines = vec![Block::Paragraph("Tall and quick, step down under you.".into()); 38];
    let sheets = |percent| {
        let mut page = page(lines.clone());
        page.text_percent = percent;
        sheet_count(&[page])
    };
    assert_eq!((sheets(100), sheets(200)), (1, 2));
}

#[test]
fn a_printed_lesson_has_no_colour() {
    let lesson = lessons::planned(&lessons::named("station"));
    let words = Words::english(Units::Metric);
    let pages = lesson_pages(&lesson, &Ladder::built_in(), &words, &lessons::options(Paper::A4));
    let picture = page_pngs(&pages, 0.5).expect("pictures").remove(0);
    let pixels = resvg::tiny_skia::Pixmap::decode_png(&picture).expect("a picture");
    let mut greys: Vec<u8> = Vec::new();
    for pixel in pixels.pixels() {
        assert!(pixel.red() == pixel.green() && pixel.green() == pixel.blue(), "{pixel:?}");
        greys.push(pixel.red());
    }
    greys.sort_unstable();
    greys.dedup();
    assert!(greys.len() > 20, "something is drawn");
}
