//! Cards, class report and handover as PDF: sheets, structure, scripts, bytes.

#[path = "../../draw/tests/sample/mod.rs"]
mod plan_sample;
#[path = "../../draw/tests/progress_sample/mod.rs"]
mod progress_sample;
mod reading;

use lanewright_draw::papers::{CardOptions, Level, card_pages, name_line};
use lanewright_draw::{Block, Page, Paper, StripOptions, Style, lane_strip};
use lanewright_paper::{Options, can_print, missing_letters, pdf, sheet_count};
use progress_sample::{Sample, card_options, handover_options, report_options};
use reading::{File, Value};

fn options() -> Options {
    Options { creator: "Lanewright".into(), created: None }
}

fn file(pages: &[Page]) -> File {
    File::read(&pdf(pages, &options()).expect("a file"))
}

fn text(value: Option<&Value>) -> Option<&str> {
    match value {
        Some(Value::Text(text)) => Some(text),
        _ => None,
    }
}

/// The first six cards: files are slow to write without optimisation.
fn some_cards(sample: &Sample) -> Vec<Page> {
    card_pages(&sample.children()[..6], &sample.ladder, &sample.words, &card_options(Paper::A4))
}

#[test]
fn every_card_fits_its_half_and_the_handover_its_sheet() {
    let sample = Sample::new();
    let lesson = sample.lesson();
    for paper in [Paper::A4, Paper::Letter] {
        for level in [Level::Plain, Level::VeryPlain] {
            let options = CardOptions { level, ..card_options(paper) };
            let cards = sample.cards(&options);
            assert_eq!(sheet_count(&cards), 14, "{level:?} on {paper:?}");
            assert!(cards.iter().all(|page| page.text_percent >= 90));
            let one = sample.cards(&CardOptions { two_to_a_sheet: false, ..options });
            assert_eq!(sheet_count(&one), 28, "{level:?} on {paper:?}");
        }
        let handover = sample.handover(&lesson, &handover_options(paper));
        assert_eq!(sheet_count(&handover), 1);
        assert!(handover[0].text_percent >= 80, "text at {} %", handover[0].text_percent);
    }
}

#[test]
fn each_card_is_a_section_with_its_heading_text_and_described_figures() {
    let sample = Sample::new();
    let file = file(&some_cards(&sample));
    let tree = file.structure();
    let cards: Vec<_> = tree.all().into_iter().filter(|element| element.role == "Sect").collect();
    assert_eq!(cards.len(), 6);
    for (card, child) in cards.iter().zip(&sample.progress.children) {
        assert_eq!(card.count("H1"), 1);
        assert!(card.count("H2") >= 2 && card.count("P") >= 3, "{card:?}");
        // The stairs, and the drawing of what is worked on.
        assert_eq!(card.count("Figure"), 1 + usize::from(child.focus.is_some()));
        for figure in card.all().into_iter().filter(|element| element.role == "Figure") {
            assert!(figure.alt.as_ref().is_some_and(|alt| alt.len() > 30), "{figure:?}");
            assert!(figure.content > 0);
        }
        // Reading order: name first, stairs before the words about them.
        let roles: Vec<&str> = card.children.iter().map(|element| element.role.as_str()).collect();
        assert_eq!(roles[..3], ["H1", "P", "Figure"]);
    }
}

#[test]
fn the_report_has_tables_with_head_cells_and_every_figure_a_description() {
    let sample = Sample::new();
    let file = file(&sample.report(&report_options(Paper::Letter)));
    let tree = file.structure();
    assert_eq!(tree.count("H1"), 1);
    assert!(tree.count("H2") >= 6 && tree.count("H3") >= 4);
    assert!(tree.count("Table") >= 5);
    for table in tree.all().into_iter().filter(|element| element.role == "Table") {
        let heads = table.all().into_iter().find(|element| element.role == "THead").expect("a head");
        let columns = heads.count("TH");
        for row in table.all().into_iter().filter(|element| element.role == "TR") {
            assert_eq!(row.count("TH") + row.count("TD"), columns);
        }
    }
    let figures: Vec<_> = tree.all().into_iter().filter(|element| element.role == "Figure").collect();
    assert!(figures.len() >= 4);
    let count = figures[0].alt.as_ref().expect("a description");
    assert!(count.contains("of 28 children") && count.contains("seen too little"), "{count}");
    // Nothing that holds text stands outside the structure's own roles.
    let known = [
        "StructTreeRoot",
        "Document",
        "Sect",
        "H1",
        "H2",
        "H3",
        "P",
        "L",
        "LI",
        "Lbl",
        "LBody",
        "Table",
        "THead",
        "TBody",
        "TR",
        "TH",
        "TD",
        "Caption",
        "Figure",
    ];
    for element in tree.all() {
        assert!(known.contains(&element.role.as_str()), "{} is a role of its own", element.role);
    }
}

#[test]
fn files_name_language_and_title_and_hold_their_fonts() {
    let sample = Sample::new();
    let lesson = sample.lesson();
    for (pages, title) in [
        (some_cards(&sample), "Cards for 7 Larch"),
        (sample.report(&report_options(Paper::A4)), "Class report: 7 Larch"),
        (sample.handover(&lesson, &handover_options(Paper::A4)), "Handover: 7 Larch"),
    ] {
        let bytes = pdf(&pages, &options()).expect("a file");
        assert!(bytes == pdf(&pages, &options()).expect("a file"), "{title}: two files differ");
        let file = File::read(&bytes);
        let catalog = file.of_type("Catalog");
        assert_eq!(text(catalog.get("Lang")), Some("en"));
        assert_eq!(file.dict(&catalog["MarkInfo"]).get("Marked"), Some(&Value::Bool(true)));
        let named = file.objects.values().any(|value| match value {
            Value::Dict(dict) => text(dict.get("Title")) == Some(title) && dict.contains_key("Creator"),
            _ => false,
        });
        assert!(named, "{title} is not the title");
        let mut fonts = 0;
        for value in file.objects.values() {
            if let Value::Dict(dict) = value
                && dict.get("Type") == Some(&Value::Name("FontDescriptor".into()))
            {
                let inside = ["FontFile", "FontFile2", "FontFile3"].iter().any(|key| dict.contains_key(*key));
                assert!(inside, "a font is not in the file");
                fonts += 1;
            }
        }
        assert!(fonts >= 2);
    }
}

#[test]
fn names_in_scripts_that_the_faces_have_are_set_and_found_again() {
    for name in ["Ελένη", "Жанна", "Łukasz", "Nguyễn"] {
        assert!(can_print(name), "{name}");
    }
    let sample = Sample::new();
    let names = ["Ελένη", "Жанна"];
    let children: Vec<_> =
        names.iter().map(|name| (*name).to_owned()).zip(&sample.progress.children).collect();
    let pages = card_pages(&children, &sample.ladder, &sample.words, &card_options(Paper::A4));
    assert!(missing_letters(&pages).is_empty());
    let bytes = pdf(&pages, &options()).expect("a file");
    // The outline is plain text in the file: it names the cards.
    let file = File::read(&bytes);
    for name in names {
        let named = file.objects.values().any(|value| match value {
            Value::Dict(dict) => text(dict.get("Title")) == Some(name),
            _ => false,
        });
        assert!(named, "{name} is not in the outline");
    }
}

/// A name in each of many scripts.
const NAMES: [&str; 20] = [
    "نور الهدى",
    "یاسمین",
    "נועה",
    "נֹעַם",
    "ნინო",
    "Արամ",
    "अर्जुन",
    "श्रद्धा",
    "পূর্ণিমা",
    "ਗੁਰਪ੍ਰੀਤ",
    "செல்வி",
    "ശ്രീജിത്ത്",
    "ปรีชา",
    "小明",
    "さくら",
    "민준",
    "Ελένη",
    "Жанна",
    "Nguyễn",
    "ሰላም",
];

#[test]
fn a_name_in_any_script_is_copied_from_the_file_as_it_was_written() {
    let sample = Sample::new();
    let children: Vec<_> =
        NAMES.iter().map(|name| (*name).to_owned()).zip(sample.progress.children.iter().cycle()).collect();
    let pages = card_pages(&children, &sample.ladder, &sample.words, &card_options(Paper::A4));
    assert!(missing_letters(&pages).is_empty(), "{:?}", missing_letters(&pages));
    let bytes = pdf(&pages, &options()).expect("a file");
    let file = File::read(&bytes);
    let texts = file.texts();
    for name in NAMES {
        assert!(can_print(name), "{name}");
        assert!(texts.iter().any(|text| text.contains(name)), "{name} is not in {texts:?}");
    }
    // A card each, with its heading and its figure, whatever the script.
    let tree = file.structure();
    let cards: Vec<_> = tree.all().into_iter().filter(|element| element.role == "Sect").collect();
    assert_eq!(cards.len(), NAMES.len());
    assert!(cards.iter().all(|card| card.count("H1") == 1 && card.count("Figure") >= 1));
}

#[test]
fn names_drawn_into_a_figure_are_text_too() {
    let sample = Sample::new();
    let mut plan = plan_sample::plan();
    for (runner, name) in plan.lanes[0].runners.iter_mut().zip(NAMES) {
        *runner = name.to_owned();
    }
    let options = StripOptions { style: Style::Print, ..StripOptions::default() };
    let figure = lane_strip(&plan.lanes[0], &sample.words, &options);
    let pages = [Page { blocks: vec![Block::Figure(figure)], ..some_cards(&sample).remove(0) }];
    let bytes = pdf(&pages, &self::options()).expect("a file");
    assert!(bytes == pdf(&pages, &self::options()).expect("a file"), "two files differ");
    let texts = File::read(&bytes).texts();
    for name in &plan.lanes[0].runners {
        let found = texts.iter().any(|text| text.contains(name.as_str()));
        assert!(found, "{name} is not in {texts:?}");
    }
}

#[test]
fn names_without_letters_are_told_beforehand_and_get_a_line_to_write_on() {
    let sample = Sample::new();
    for name in ["ᏣᎳᎩ", "ᠮᠣᠩᠭᠣᠯ", "🏃"] {
        assert!(!can_print(name), "{name}");
    }
    let line = name_line(&sample.words);
    assert!(can_print(&line) && line.contains("____"));
    let children = vec![(line, &sample.progress.children[0])];
    let pages = card_pages(&children, &sample.ladder, &sample.words, &card_options(Paper::A4));
    assert!(missing_letters(&pages).is_empty());
}

#[test]
fn absurd_names_neither_stop_the_file_nor_print_over_the_neighbour() {
    let sample = Sample::new();
    let names = ["m".repeat(400), "a b ".repeat(300), "</text><script>".into(), "\u{0}\u{202e}x\n".into()];
    let children: Vec<_> = names.into_iter().zip(&sample.progress.children).collect();
    let pages = card_pages(&children, &sample.ladder, &sample.words, &card_options(Paper::Letter));
    // Two cards that do not fit their halves come one below the other on sheets of their own.
    assert!(sheet_count(&pages) > 2);
    assert!(pdf(&pages, &options()).is_ok());
}
