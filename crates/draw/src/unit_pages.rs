//! The printed unit: what comes lesson by lesson, what may be clean after each, what opens for whom.

use lanewright_model::drill::{DrillId, Ladder};
use lanewright_model::words::{Words, day_message};
use lanewright_model::{Arg, Message};
use lanewright_science::unit::{METHOD, Spread, Unit, UnitLesson};

use crate::page::{Block, Column, Footer, Page, Table};
use crate::{LessonPageOptions, heights, say, tie};

/// Lessons beside each other in one table of shares; more go into another one below.
const LESSONS_BESIDE: usize = 6;
/// Text in percent of the usual: what is tried for one sheet, greatest first; else it goes on to further sheets.
const TEXT: [u32; 3] = [100, 90, 80];

/// Returns the printed unit, on one sheet where it fits at a readable size.
///
/// The same pages print from the browser ([`crate::page::to_html`]) and as PDF.
pub fn unit_pages(unit: &Unit, ladder: &Ladder, words: &Words, options: &LessonPageOptions) -> Vec<Page> {
    let mut page = page(unit, ladder, words, options);
    for percent in TEXT {
        page.text_percent = percent;
        if heights::fits(&page) {
            return vec![page];
        }
    }
    page.text_percent = TEXT[0];
    vec![page]
}

fn page(unit: &Unit, ladder: &Ladder, words: &Words, options: &LessonPageOptions) -> Page {
    let mut title = vec![words.get("lesson-unit-title")];
    title.extend(options.class_name.clone());
    let title = title.join(" · ");
    let mut blocks = vec![
        Block::Heading { level: 1, text: title.clone() },
        Block::Paragraph(words.get("lesson-unit-what")),
        Block::Table(lessons(unit, ladder, words)),
        heading("lesson-unit-clean", words),
        Block::Paragraph(say(words, "lesson-unit-clean-how", &[("draws", Arg::Count(unit.draws as i64))])),
    ];
    blocks.extend(shares(unit, ladder, words));
    let opens = unit.what_opens(ladder).into_iter().map(|mut said| {
        if options.without_names {
            without_names(&mut said, words);
        }
        tie(&words.say(&said))
    });
    blocks.push(heading("lesson-text-opens", words));
    blocks.push(Block::List { numbered: false, items: opens.collect() });
    blocks.push(heading("lesson-unit-rests-on", words));
    let notes = unit.notes.iter().map(|said| tie(&words.say(said))).collect();
    blocks.push(Block::List { numbered: false, items: notes });

    let mut about: Vec<String> = options.class_name.iter().cloned().collect();
    about.extend(options.date.clone());
    let made = [("software", Arg::Text(options.software.clone())), ("methods", Arg::Text(METHOD.to_owned()))];
    about.push(say(words, "draw-made-with", &made));
    let page_of = [("page", Arg::Text("{page}".to_owned())), ("pages", Arg::Text("{pages}".to_owned()))];
    Page {
        title,
        language: words.language.to_owned(),
        paper: options.paper,
        text_percent: TEXT[0],
        blocks,
        footer: Footer { lines: vec![about.join(" · ")], page_of: say(words, "draw-page-of", &page_of) },
    }
}

fn heading(id: &str, words: &Words) -> Block {
    Block::Heading { level: 2, text: words.get(id) }
}

fn name(id: &str, ladder: &Ladder, words: &Words) -> String {
    let known = format!("drill-{id}");
    if words.has(&known) {
        return words.get(&known);
    }
    ladder.get(id).map_or_else(|| id.to_owned(), |drill| drill.name.clone())
}

/// A row for each lesson: when, which drills for how long, how much each child does.
fn lessons(unit: &Unit, ladder: &Ladder, words: &Words) -> Table {
    let row = |(lesson, number): (&UnitLesson, i64)| {
        let date = Arg::Say(Box::new(day_message(lesson.date, true)));
        let mut when =
            vec![say(words, "lesson-unit-date", &[("number", Arg::Count(number)), ("date", date)])];
        when.extend(lesson.check_first.then(|| words.get("lesson-unit-check")));
        let blocks: Vec<String> = lesson
            .blocks
            .iter()
            .map(|block| {
                let mut drills: Vec<(&DrillId, Vec<&str>)> = Vec::new();
                for (lane, drill) in &block.drills {
                    match drills.iter_mut().find(|(known, _)| *known == drill) {
                        Some((_, lanes)) => lanes.push(lane),
                        None => drills.push((drill, vec![lane])),
                    }
                }
                // Where lanes differ, each drill is told with its lanes.
                let several = drills.len() > 1;
                let said = drills.iter().map(|(drill, lanes)| {
                    let name = name(&drill.0, ladder, words);
                    if several { format!("{name} ({})", lanes.join(",\u{a0}")) } else { name }
                });
                let said: Vec<String> = said.collect();
                let minutes = [("minutes", Arg::Count(i64::from(block.minutes)))];
                let minutes = say(words, "lesson-unit-minutes", &minutes).replace(' ', "\u{a0}");
                format!("{minutes} {}", said.join(" / "))
            })
            .collect();
        vec![
            when.join(", "),
            blocks.join(" · "),
            lesson.runs_per_child.round().to_string(),
            lesson.contacts_per_child.round().to_string(),
        ]
    };
    Table {
        caption: None,
        columns: vec![
            Column::words(words.get("lesson-unit-lesson"), 26.0),
            Column::words(words.get("lesson-unit-drills"), 50.0),
            Column::counts(words.get("lesson-unit-runs"), 12.0),
            Column::counts(words.get("lesson-unit-contacts"), 12.0),
        ],
        rows: unit.lessons.iter().zip(1..).map(row).collect(),
    }
}

/// What share of the children may run each drill clean after each lesson.
fn shares(unit: &Unit, ladder: &Ladder, words: &Words) -> Vec<Block> {
    // In the order of the ladder, slow ones first.
    let place = |id: &str| ladder.drills().iter().position(|drill| drill.id.0 == id);
    let mut drills: Vec<&String> = unit.lessons.iter().flat_map(|lesson| lesson.clean.keys()).collect();
    drills.sort_by_key(|drill| (place(drill), *drill));
    drills.dedup();
    let cell = |share: &Spread| {
        let shown = |share: f64| words.show(&Arg::Share(share)).replace(' ', "\u{a0}");
        let low = shown(share.low_80);
        let low = low.trim_end_matches(['\u{a0}', '%']);
        format!("{} ({low}–{})", shown(share.mean), shown(share.high_80))
    };
    (0..unit.lessons.len())
        .step_by(LESSONS_BESIDE)
        .map(|first| {
            let beside = &unit.lessons[first..(first + LESSONS_BESIDE).min(unit.lessons.len())];
            let mut columns = vec![Column::words(words.get("lesson-unit-drill"), 28.0)];
            columns.extend(
                (first + 1..).take(beside.len()).map(|number| Column::words(number.to_string(), 12.0)),
            );
            let rows = drills
                .iter()
                .map(|drill| {
                    let cells = beside.iter().map(|lesson| match lesson.clean.get(*drill) {
                        Some(share) => cell(share),
                        None => "–".to_owned(),
                    });
                    std::iter::once(name(drill, ladder, words)).chain(cells).collect()
                })
                .collect();
            Block::Table(Table { caption: None, columns, rows })
        })
        .collect()
}

/// Says how many children it is instead of who.
fn without_names(said: &mut Message, words: &Words) {
    if let Some(Arg::Say(who)) = said.args.get("who") {
        let count = who.args.get("count").cloned().unwrap_or(Arg::Count(1));
        let how_many = say(words, "draw-children", &[("count", count)]);
        said.args.insert("who".to_owned(), Arg::Text(how_many));
    }
}
