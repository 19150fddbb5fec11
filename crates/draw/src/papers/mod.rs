//! Progress on paper: a card for each child, a report for the class, a handover for whoever takes the next lesson.

mod cards;
mod handover;
mod report;

use lanewright_model::Arg;
use lanewright_model::drill::Ladder;
use lanewright_model::words::Words;

use crate::page::{Block, Footer};
use crate::say;

pub use cards::{CardOptions, Level, Shown, card_pages, name_line};
pub use handover::{HandoverOptions, handover_pages};
pub use report::{ReportInput, ReportOptions, report_figures, report_pages};

fn heading(level: u8, text: String) -> Block {
    Block::Heading { level, text }
}

fn count(number: usize) -> Arg {
    Arg::Count(number as i64)
}

/// A drill's name in the words of the language; the name in the drill file where there are none.
fn drill_name(words: &Words, ladder: &Ladder, id: &str) -> String {
    let known = format!("lesson-page-drill-{id}");
    if words.has(&known) {
        return words.get(&known);
    }
    ladder.get(id).map_or_else(|| id.to_owned(), |drill| drill.name.clone())
}

fn foot(words: &Words, about: Vec<String>, software: &str, methods: &str) -> Footer {
    let mut about = about;
    let made = [("software", Arg::Text(software.to_owned())), ("methods", Arg::Text(methods.to_owned()))];
    about.push(say(words, "draw-made-with", &made));
    let page_of = [("page", Arg::Text("{page}".to_owned())), ("pages", Arg::Text("{pages}".to_owned()))];
    Footer { lines: vec![about.join(" · ")], page_of: say(words, "draw-page-of", &page_of) }
}
