//! The printed lesson: what stands on it, and that nothing of it covers anything else.

mod lessons;
mod reading;

use std::sync::LazyLock;

use lanewright_draw::page::{Block, Page, Paper, Table, to_html};
use lanewright_draw::{Figure, LessonPageOptions, lesson_pages};
use lanewright_model::drill::{DrillId, Ladder, Setting};
use lanewright_model::words::{Arg, Message, Units, Words};
use lanewright_science::lesson::{Lesson, Use};
use lanewright_science::weather::{Guidance, Wbgt, heat_advice};
use lessons::{Ask, options, planned};
use roxmltree::Document;

static DEMO: LazyLock<Lesson> = LazyLock::new(|| planned(&Ask::demo()));
static NEW: LazyLock<Lesson> = LazyLock::new(|| planned(&lessons::named("new")));
static LARGE: LazyLock<Lesson> = LazyLock::new(|| planned(&lessons::named("large")));
static MIXED: LazyLock<Lesson> = LazyLock::new(|| planned(&lessons::named("large-mixed")));
static STATION: LazyLock<Lesson> = LazyLock::new(|| planned(&lessons::named("station")));

fn all() -> [&'static Lesson; 5] {
    [&DEMO, &NEW, &LARGE, &MIXED, &STATION]
}

fn pages_of(lesson: &Lesson, options: &LessonPageOptions, units: Units) -> Vec<Page> {
    lesson_pages(lesson, &Ladder::built_in(), &Words::english(units), options)
}

fn pages(lesson: &Lesson) -> Vec<Page> {
    pages_of(lesson, &options(Paper::A4), Units::Metric)
}

fn table(page: &Page) -> &Table {
    let mut tables = page.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    });
    tables.next_back().expect("a sheet has a table")
}

fn figure(page: &Page) -> &Figure {
    let mut figures = page.blocks.iter().filter_map(|block| match block {
        Block::Figure(figure) => Some(figure),
        _ => None,
    });
    figures.next_back().expect("a sheet has a timeline")
}

/// Writes a page as plain text.
fn text_of(page: &Page) -> String {
    let mut out = format!("text at {} %\n", page.text_percent);
    for block in &page.blocks {
        match block {
            Block::Heading { level, text } => out.push_str(&format!("h{level} {text}\n")),
            Block::Paragraph(text) => out.push_str(&format!("p {text}\n")),
            Block::Caution(text) => out.push_str(&format!("! {text}\n")),
            Block::List { items, .. } => items.iter().for_each(|item| out.push_str(&format!("- {item}\n"))),
            Block::Figure(figure) => out.push_str(&format!("[{}: {}]\n", figure.title, figure.description)),
            Block::Table(table) => {
                let titles: Vec<&str> = table.columns.iter().map(|column| column.title.as_str()).collect();
                out.push_str(&format!("| {}\n", titles.join(" | ")));
                table.rows.iter().for_each(|row| out.push_str(&format!("| {}\n", row.join(" | "))));
            }
            Block::Beside(_) | Block::Cut(_) | Block::PageBreak => panic!("a lesson has none of these"),
        }
    }
    out.push_str(&format!("_ {}\n", page.footer.lines.join(" / ")));
    out
}

#[test]
fn printed_lesson_says_what_it_did() {
    insta::assert_snapshot!("lesson-page", text_of(&pages(&DEMO)[0]));
    let station: Vec<String> = pages(&STATION).iter().map(text_of).collect();
    insta::assert_snapshot!("station-pages", station.join("\n"));
}

#[test]
fn what_ends_running_stands_above_the_plan_and_not_below() {
    let mut lesson = DEMO.clone();
    let heat = heat_advice(&Wbgt::Measured(33.0), &Guidance::default()).expect("a value that can be");
    lesson.cautions.splice(0..0, heat.say);
    for without_names in [false, true] {
        let options = LessonPageOptions { without_names, ..options(Paper::A4) };
        let page = text_of(&pages_of(&lesson, &options, Units::Metric)[0]);
        let found: Vec<usize> = page.match_indices("do not run").map(|(place, _)| place).collect();
        let plan = page.find("\n[").expect("the timeline");
        assert!(found.len() == 1 && found[0] < plan, "{page}");
    }
}

#[test]
fn notes_on_safety_are_on_every_sheet_however_full_it_is() {
    for lesson in all() {
        let mut lesson = lesson.clone();
        let guessed =
            |name: &str| Message::new("plan-guessed").text("names", name).with("count", Arg::Count(1));
        lesson.cautions = (0..8).map(|number| guessed(&format!("Guest {number}"))).collect();
        let safety = ["plan-slippery-floor", "plan-tip-both-ways", "plan-run-to-open-end", "plan-no-remedy"];
        lesson.cautions.extend(safety.map(Message::new));
        let heat = heat_advice(&Wbgt::Measured(29.0), &Guidance::default()).expect("a value that can be");
        lesson.cautions.extend(heat.say.clone());
        let words = Words::english(Units::Metric);
        for without_names in [false, true] {
            let options = LessonPageOptions { without_names, ..options(Paper::Letter) };
            let page = text_of(&pages_of(&lesson, &options, Units::Metric)[0]).replace('\u{a0}', " ");
            let place = |said: &Message| page.find(&words.say(said).replace('\u{a0}', " "));
            let last = safety.map(Message::new).iter().chain(&heat.say).map(place).max().flatten();
            for said in safety.map(Message::new).iter().chain(&heat.say) {
                assert!(place(said).is_some(), "{}: {page}", said.id);
            }
            assert!(page.find("Guest").is_none_or(|other| last < Some(other)), "{page}");
            assert!(page.contains("in the program"), "{page}");
        }
    }
}

#[test]
fn every_child_lane_block_drill_and_gap_is_named() {
    let words = Words::english(Units::Metric);
    for lesson in all() {
        let page = &pages(lesson)[0];
        let table = table(page);
        let queue = table.rows.iter().find(|row| row[0] == "queue").expect("a row of queues");
        for (index, group) in lesson.groups.iter().enumerate() {
            assert_eq!(table.columns[index + 1].title, group.lane);
            let names: Vec<&str> = queue[index + 1].split(", ").collect();
            let expected: Vec<&str> = group.runners.iter().map(|id| lesson.names[id].as_str()).collect();
            assert_eq!(names, expected, "the queue of lane {}", group.lane);
        }
        for (block, number) in lesson.blocks.iter().zip(1..) {
            let head = format!("{number} · ");
            let minutes = format!("{}\u{a0}min (", block.minutes);
            let row = table.rows.iter().find(|row| row[0].starts_with(&head) && row[0].contains(&minutes));
            let row = row.unwrap_or_else(|| panic!("block {number} has no row"));
            for (index, group) in block.groups.iter().enumerate() {
                let setting = if group.setting == Setting::Long { "long" } else { "short" };
                let gap = format!("{setting} {}", words.show(&Arg::GapM(group.gap_m)));
                assert!(row[index + 1].replace('\u{a0}', " ").ends_with(&gap), "{row:?} lacks {gap}");
                let drill = words.get(&format!("lesson-page-drill-{}", group.drill));
                assert!(row[0].contains(&drill) || row[index + 1].contains(&drill), "{row:?} lacks {drill}");
            }
        }
    }
}

#[test]
fn a_block_with_several_drills_names_each_in_its_lane() {
    let block = MIXED
        .blocks
        .iter()
        .position(|block| block.groups.iter().any(|own| own.drill != block.groups[0].drill));
    let number = block.expect("a block with several drills") + 1;
    let page = &pages(&MIXED)[0];
    let row = table(page)
        .rows
        .iter()
        .find(|row| row[0].starts_with(&format!("{number} · ")) && row[0].ends_with(')'));
    let cells = &row.expect("the block's row")[1..];
    assert!(cells.iter().any(|cell| cell.starts_with("Alternate run, long")), "{cells:?}");
    assert!(cells.iter().any(|cell| cell.starts_with("Two-contact run, long")), "{cells:?}");
}

#[test]
fn children_over_floor_lines_are_named_in_their_lane() {
    let mut lesson = DEMO.clone();
    let runner = lesson.groups[2].runners[1].clone();
    lesson.blocks[0].groups[2].over_lines = vec![runner.clone()];
    let page = &pages(&lesson)[0];
    let row = table(page).rows.iter().find(|row| row[0] == "1 · over floor lines").expect("a row of its own");
    assert_eq!((row[1].as_str(), &row[3]), ("–", &lesson.names[&runner]));
}

#[test]
fn easier_drills_movers_and_setters_are_named_in_their_lane() {
    // Whether somebody has an easier drill in the demo depends on its runs.
    let mut eased = DEMO.clone();
    let runner = eased.groups[0].runners[0].clone();
    eased.blocks[1].groups[0].easier.insert(runner, DrillId("side-run".into()));
    for lesson in all().into_iter().chain([&eased]) {
        let page = &pages(lesson)[0];
        let rows = &table(page).rows;
        for (block, number) in lesson.blocks.iter().zip(1..) {
            let row = |what: &str| {
                let own = rows.iter().find(|row| row[0].starts_with(&format!("{number} · {what}")));
                own.or_else(|| rows.iter().find(|row| row[0].starts_with(what)))
            };
            for (index, group) in block.groups.iter().enumerate() {
                for runner in group.easier.keys() {
                    let cell = &row("easier").expect("a row of easier drills")[index + 1];
                    assert!(cell.contains(&lesson.names[runner]), "{cell}");
                }
                for name in &group.movers {
                    let cell = &row("re-set").expect("a row of movers")[index + 1];
                    assert!(cell.contains(name.as_str()), "{cell}");
                }
                let cell =
                    &row("setters").or_else(|| row("first setter")).expect("a row of setters")[index + 1];
                assert!(cell.starts_with(group.setters[0].as_str()), "{cell}");
            }
        }
        let text = text_of(page);
        for job in &lesson.jobs {
            assert!(text.contains(&Words::english(Units::Metric).say(job)), "{text}");
        }
    }
    assert!(!NEW.jobs.is_empty() && DEMO.blocks.iter().any(|block| !block.groups[0].movers.is_empty()));
}

#[test]
fn cue_and_fault_stand_once_for_each_drill_and_contacts_in_each_block() {
    let ladder = Ladder::built_in();
    for lesson in all() {
        let text = text_of(&pages(lesson)[0]);
        for group in lesson.blocks.iter().flat_map(|block| &block.groups) {
            let cue = format!(": “{}” Watch for: ", ladder.get(&group.drill.0).expect("a drill").cue);
            assert_eq!(text.matches(&cue).count(), 1, "{cue}");
        }
        assert_eq!(text.matches("\u{a0}contacts.").count(), lesson.blocks.len());
    }
}

#[test]
fn timeline_is_to_scale_and_covers_every_minute_once() {
    for lesson in all() {
        let page = &pages(lesson)[0];
        let figure = figure(page);
        let document = Document::parse(&figure.svg).expect("the drawing is well-formed");
        let stretches: Vec<_> =
            document.descendants().filter(|node| node.has_attribute("data-minutes")).collect();
        let width: f64 = stretches.iter().map(|node| reading::number(*node, "width")).sum();
        let minutes: f64 = stretches.iter().map(|node| reading::number(*node, "data-minutes")).sum();
        assert_eq!(minutes, f64::from(lesson.minutes));
        let mut next = 0.0;
        for node in &stretches {
            let own = reading::number(*node, "data-minutes");
            assert_eq!(reading::number(*node, "data-from-min"), next);
            assert!((reading::number(*node, "width") - own / minutes * width).abs() < 0.5);
            next += own;
        }
        let count =
            |class: &str| stretches.iter().filter(|node| node.attribute("class") == Some(class)).count();
        assert_eq!(count("block"), lesson.blocks.len());
        assert_eq!(count("part"), lesson.fixed.len());
        assert_eq!(count("change"), lesson.blocks.iter().filter(|block| block.change_minutes > 0).count());
    }
}

#[test]
fn no_text_of_the_timeline_covers_another_or_leaves_it() {
    for name in ["demo", "warm-up", "large-long"] {
        let lesson = planned(&lessons::named(name));
        for paper in [Paper::A4, Paper::Letter] {
            let pages = pages_of(&lesson, &options(paper), Units::Metric);
            let figure = figure(&pages[0]);
            let texts = reading::texts(figure);
            for (index, text) in texts.iter().enumerate() {
                assert!(text.left >= -0.05 && text.right <= figure.width + 0.05, "{text:?}");
                assert!(text.top >= 0.0 && text.bottom <= figure.height, "{text:?}");
                assert!(texts[..index].iter().all(|other| !text.covers(other)), "{text:?}");
            }
            assert!(reading::smallest_text_px(figure) >= 12.0);
        }
    }
}

#[test]
fn a_page_is_black_white_and_grey() {
    for colour in figure(&pages(&DEMO)[0]).svg.split("=\"#").skip(1) {
        let (red, green, blue) = (&colour[..2], &colour[2..4], &colour[4..6]);
        assert!(red == green && green == blue, "#{red}{green}{blue}");
    }
}

#[test]
fn headings_lead_through_the_page() {
    for lesson in all() {
        for page in pages(lesson) {
            let levels: Vec<u8> = page
                .blocks
                .iter()
                .filter_map(|block| match block {
                    Block::Heading { level, .. } => Some(*level),
                    _ => None,
                })
                .collect();
            assert_eq!(levels[0], 1);
            assert!(levels[1..].iter().all(|level| *level == 2), "{levels:?}");
        }
    }
    let html = to_html(&pages(&DEMO));
    assert!(
        html.contains("<h1>Lesson for 7 Larch") && html.contains("<h2>") && html.contains("scope=\"row\"")
    );
}

#[test]
fn a_station_has_a_card_in_big_type_and_other_lessons_have_none() {
    let pages = self::pages(&STATION);
    assert_eq!(pages.len(), 2);
    assert!(pages[1].text_percent >= 150, "{} %", pages[1].text_percent);
    let (card, words) = (text_of(&pages[1]), Words::english(Units::Metric));
    for message in &STATION.card {
        let said = words.say(message);
        let said = said.split_once("min ").map_or(said.as_str(), |(_, rest)| rest);
        assert!(card.contains(said), "{card}");
    }
    assert!(
        STATION.use_for == Use::Station
            && [&DEMO, &NEW, &LARGE].iter().all(|own| self::pages(own).len() == 1)
    );
}

#[test]
fn a_lesson_that_does_not_fit_the_floor_says_so_before_the_blocks() {
    let lesson = Lesson { fits: false, ..DEMO.clone() };
    let page = &pages(&lesson)[0];
    let place = |wanted: fn(&Block) -> bool| page.blocks.iter().position(wanted);
    let caution = place(|block| matches!(block, Block::Caution(text) if text.contains("does not fit")));
    assert!(caution.is_some() && caution < place(|block| matches!(block, Block::Table(_))));
}

#[test]
fn names_can_be_left_out() {
    for lesson in all() {
        let without = LessonPageOptions { without_names: true, ..options(Paper::A4) };
        let html = to_html(&pages_of(lesson, &without, Units::Metric));
        for name in lesson.names.values().chain([&"Wren".to_owned()]) {
            assert!(!html.contains(name.as_str()), "{name}");
        }
    }
}

#[test]
fn pages_have_no_missing_words_and_escape_what_people_wrote() {
    for units in [Units::Metric, Units::FeetInches] {
        for lesson in all() {
            let hostile = LessonPageOptions { class_name: Some("<i>7</i>".into()), ..options(Paper::A4) };
            let mut lesson = lesson.clone();
            let first = lesson.groups[0].runners[0].clone();
            lesson.names.insert(first, "<b onclick=x>&".into());
            let html = to_html(&pages_of(&lesson, &hostile, units));
            assert!(!html.contains("<b onclick") && html.contains("&lt;b onclick"));
            assert!(
                !html.contains("lesson-page") && !html.contains("{$") && !html.contains("<i>7"),
                "{html}"
            );
        }
    }
}

#[test]
fn equal_lessons_give_equal_pages() {
    assert_eq!(pages(&DEMO), pages(&DEMO));
}
