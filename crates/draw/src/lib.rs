//! Draws the strip, the floor plan and the gaps, and puts pages together.
//!
//! Pure: values in, strings out; equal input gives equal output, byte for byte. Every figure is an SVG of its own that
//! refers to nothing outside, with a title and a description. The same figure goes onto the screen, into the browser's
//! print and, through `lanewright-paper`, into a PDF.
//!
//! Lengths along a lane are metres from its start line, in running direction; lengths on the drawing are CSS pixels
//! (96 to the inch), so that 12 px text prints at 9 pt. What is drawn where, and why, is told in
//! `docs/methods/drawing.md`.

mod advances;
mod advances_scripts;
pub mod charts;
pub mod feet;
pub mod floor;
pub mod gaps;
mod heights;
pub mod knocks;
mod labels;
pub mod lesson_pages;
mod notes;
pub mod page;
pub mod papers;
pub mod plan_pages;
pub mod setting_out;
pub mod sound;
pub mod strip;
pub mod svg;
pub mod text;
mod timeline;
pub mod unit_pages;

pub use feet::{DrillPictureOptions, drill_picture};
pub use floor::{FloorOptions, floor_plan};
pub use gaps::{GapScale, gap_chart, gap_row};
pub use lesson_pages::{LessonPageOptions, lesson_pages};
pub use page::{Align, Block, Column, Page, Paper, Table};
pub use papers::{
    CardOptions, HandoverOptions, ReportInput, ReportOptions, card_pages, handover_pages, report_pages,
};
pub use plan_pages::{PlanPageOptions, plan_pages};
pub use sound::{SoundStrip, sound_strip};
pub use strip::{StripOptions, StripScale, lane_strip, lane_strips};
pub use unit_pages::unit_pages;

use lanewright_model::words::Words;
use lanewright_model::{Arg, Message};

/// A drawing that stands on its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Id of the root element; equal for equal lanes, different for different figures of one page.
    pub id: String,
    /// The SVG, `<svg …>` to `</svg>`, safe to put into a page as it is.
    pub svg: String,
    /// Width in CSS pixels.
    pub width: f64,
    /// Height in CSS pixels.
    pub height: f64,
    /// Short name, also in the SVG.
    pub title: String,
    /// The same facts in sentences, for those who do not see the drawing; also in the SVG.
    pub description: String,
}

/// Where a figure will be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Style {
    /// On a screen: colours come from the page's CSS variables, with light-theme values to fall back on.
    #[default]
    Screen,
    /// On paper: black on white, nothing told by colour.
    Print,
}

/// Which way a lane runs on the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Layout {
    /// From left to right, for paper and laptop.
    #[default]
    Across,
    /// From the bottom up, for a phone: the start is near the thumb.
    Upright,
}

/// The colours of a style.
pub(crate) struct Palette {
    pub(crate) ink: &'static str,
    pub(crate) soft: &'static str,
    pub(crate) line: &'static str,
    pub(crate) grass: &'static str,
    pub(crate) go: &'static str,
    pub(crate) warn: &'static str,
    pub(crate) card: &'static str,
}

impl Style {
    pub(crate) fn palette(self) -> Palette {
        match self {
            Style::Screen => Palette {
                ink: "var(--ink,#16211d)",
                soft: "var(--soft,#4c5a54)",
                line: "var(--line,#cfd6cf)",
                grass: "var(--grass,#e7efe4)",
                go: "var(--go,#0b5d3b)",
                warn: "var(--warn,#8a3b00)",
                card: "var(--card,#ffffff)",
            },
            Style::Print => Palette {
                ink: "#000000",
                soft: "#222222",
                line: "#aaaaaa",
                grass: "#eeeeee",
                go: "#000000",
                warn: "#000000",
                card: "#ffffff",
            },
        }
    }
}

/// Says a message with arguments; numbers and their units stay on one line.
pub(crate) fn say(words: &Words, id: &str, arguments: &[(&str, Arg)]) -> String {
    let message = arguments
        .iter()
        .fold(Message::new(id), |message, (name, argument)| message.with(name, argument.clone()));
    tie(&words.say(&message))
}

/// Shows a number with its unit, both on one line.
pub(crate) fn shown(words: &Words, argument: &Arg) -> String {
    tie(&words.show(argument))
}

/// Replaces the space between a number and its unit, and between feet and inches, by one that does not break.
fn tie(text: &str) -> String {
    let is_number = |letter: char| letter.is_ascii_digit() || letter == '½';
    let mut tied = String::with_capacity(text.len());
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        tied.push_str(word);
        if let Some(next) = words.peek() {
            let unit =
                matches!(next.trim_end_matches([',', '.', ';', ':', ')']), "m" | "cm" | "ft" | "in" | "%");
            let binds = (word.ends_with(is_number) && unit) || (word == "ft" && next.starts_with(is_number));
            tied.push(if binds { '\u{a0}' } else { ' ' });
        }
    }
    tied
}

/// Returns a tape distance as it stands under a mark: without the unit where the unit is the same for all.
///
/// `6.15` in metres, `20'2"` in feet and inches.
pub(crate) fn tape(words: &Words, at_m: f64) -> String {
    tape_of(words, &Arg::GapM(at_m))
}

/// Returns a length likewise.
pub(crate) fn tape_of(words: &Words, length: &Arg) -> String {
    let shown = words.show(length);
    match shown.strip_suffix(" m") {
        Some(metres) => metres.to_owned(),
        None => shown.replace(" ft ", "'").replace(" ft", "'").replace(" in", "\""),
    }
}

/// Returns a height as it is said: centimetres or inches, or "line" for a line on the floor.
pub(crate) fn height(words: &Words, height_cm: f64) -> String {
    if height_cm > 0.0 { shown(words, &Arg::HeightCm(height_cm)) } else { words.get("draw-floor-line") }
}

#[cfg(test)]
mod tests {
    use lanewright_model::words::Units;

    use super::*;

    #[test]
    fn numbers_keep_their_units_beside_them() {
        assert_eq!(
            tie("gap 1.25 m, then 6 ft 2½ in to go"),
            "gap 1.25\u{a0}m, then 6\u{a0}ft\u{a0}2½\u{a0}in to go"
        );
        assert_eq!(tie("7 Larch, lane B in the hall"), "7 Larch, lane B in the hall");
    }

    #[test]
    fn tape_distances_are_short_in_both_units() {
        assert_eq!(tape(&Words::english(Units::Metric), 6.15), "6.15");
        assert_eq!(tape(&Words::english(Units::FeetInches), 6.15), "20'2\"");
        assert_eq!(tape(&Words::english(Units::FeetInches), 6.096), "20'");
    }
}
