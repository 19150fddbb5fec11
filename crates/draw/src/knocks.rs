//! Clean rates as ranges, knock rates per hurdle, and the sheet on which a child who waits counts for a partner.

use lanewright_model::Arg;
use lanewright_model::plan::{Plan, PlannedLane};
use lanewright_model::words::Words;

use crate::page::{Block, Column, Footer, Page, Paper, Table};
use crate::strip::SMALL_PX;
use crate::svg::{Drawing, Head, centred_baseline, circle, id_from, label, line, rect};
use crate::{Figure, Style, say, text};

/// A clean rate with its range and the mark that counts as clean enough, all from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateRange {
    /// Middle value.
    pub mean: f64,
    /// Lower end of the likely range.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The mark.
    pub needed: f64,
    /// At least twelve hurdles in two runs were seen; otherwise the dot is open.
    pub enough: bool,
}

/// Left end of the scale: below half of the hurdles standing nothing needs to be told apart.
const RATE_LOW: f64 = 0.4;
/// Height of one row.
const ROW_PX: f64 = 24.0;

/// Draws one clean rate on a scale from 40 % to all: the line is the likely range, the dot the middle value (open while
/// not enough was seen), the tick the mark. The values stand in the sentence beside it.
pub fn rate_row(name: &str, rate: &RateRange, width_px: f64, words: &Words, style: Style) -> Figure {
    let colours = style.palette();
    let (from, to) = (8.0, width_px - 8.0);
    let x = |share: f64| from + (share.max(RATE_LOW) - RATE_LOW) / (1.0 - RATE_LOW) * (to - from);
    let y = ROW_PX / 2.0;
    let mut drawing = Drawing::default();
    drawing.push(line(from, y, to, y).stroke(colours.line, 1.0));
    drawing.push(line(x(rate.needed), 2.0, x(rate.needed), ROW_PX - 2.0).stroke(colours.go, 2.5));
    drawing.push(line(x(rate.low), y, x(rate.high), y).stroke(colours.ink, 3.0).round_ends());
    let fill = if rate.enough { colours.ink } else { colours.card };
    drawing.push(circle(x(rate.mean), y, 5.0).fill(fill).stroke(colours.ink, 2.0));
    let title = say(words, "draw-rate-title", &[("name", Arg::Text(name.to_owned()))]);
    let description = say(
        words,
        "draw-rate-said",
        &[
            ("mean", Arg::OfHundred(rate.mean)),
            ("low", Arg::OfHundred(rate.low)),
            ("high", Arg::OfHundred(rate.high)),
            ("needed", Arg::OfHundred(rate.needed)),
        ],
    );
    let id = format!("{}-rate", id_from(name));
    let svg = drawing.finish(Head {
        id: &id,
        width: width_px,
        height: ROW_PX,
        title: &title,
        description: &description,
        data: &[],
    });
    Figure { id, svg, width: width_px, height: ROW_PX, title, description }
}

/// How often one hurdle of a lane fell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HurdleKnocks {
    /// Number, counted from 1.
    pub hurdle: u32,
    /// Times it fell.
    pub knocks: u32,
    /// Times it was met standing.
    pub met: u32,
    /// It falls more easily than the others.
    pub suspect: bool,
}

/// Draws a lane's hurdles with the share of runs in which each fell. A hurdle that falls more easily than the others
/// has a thick frame and a word.
pub fn knock_strip(
    lane: &str,
    hurdles: &[HurdleKnocks],
    width_px: f64,
    words: &Words,
    style: Style,
) -> Figure {
    let colours = style.palette();
    let (left, top, bar_px, foot) = (46.0, 46.0, 92.0, 42.0);
    let height_px = top + bar_px + foot;
    let base = top + bar_px;
    let share = |entry: &HurdleKnocks| f64::from(entry.knocks) / f64::from(entry.met.max(1));
    let most = hurdles.iter().map(share).fold(0.2, f64::max);
    // Round the axis up to whole fifths, so that small rates stay small.
    let axis = ((most * 5.0 - 1e-9).ceil() / 5.0).clamp(0.2, 1.0);
    let step = (width_px - left - 8.0) / hurdles.len().max(1) as f64;
    let mut drawing = Drawing::default();
    drawing.push(label(2.0, 12.0, SMALL_PX, &words.get("draw-knocks-axis")).fill(colours.ink));
    let hurdle = text::fit(&words.get("draw-knocks-hurdle"), SMALL_PX, false, left - 6.0);
    drawing.push(label(left - 6.0, base + 16.0, SMALL_PX, &hurdle).end().fill(colours.ink));
    for part in [0.0, 0.5, 1.0] {
        let y = base - part * bar_px;
        drawing.push(line(left, y, width_px - 4.0, y).stroke(colours.line, 1.0));
        let said = words.show(&Arg::Share(axis * part));
        drawing
            .push(label(left - 6.0, centred_baseline(y, SMALL_PX), SMALL_PX, &said).end().fill(colours.soft));
    }
    for (index, entry) in hurdles.iter().enumerate() {
        let middle = left + step * (index as f64 + 0.5);
        let width = (step * 0.56).min(34.0);
        let high = share(entry) / axis * bar_px;
        let (fill, frame, thick) =
            if entry.suspect { (colours.warn, colours.ink, 3.0) } else { (colours.soft, colours.soft, 1.0) };
        drawing.push(
            rect(middle - width / 2.0, base - high, width, high.max(1.0))
                .fill(fill)
                .stroke(frame, thick)
                .corner(2.0),
        );
        drawing.push(
            label(middle, base + 16.0, SMALL_PX + 1.0, &entry.hurdle.to_string())
                .middle()
                .bold()
                .fill(colours.ink),
        );
        if step >= 40.0 {
            let said = say(
                words,
                "draw-knocks-of",
                &[("knocks", Arg::Count(entry.knocks.into())), ("met", Arg::Count(entry.met.into()))],
            );
            drawing.push(label(middle, base + 33.0, SMALL_PX, &said).middle().fill(colours.soft));
        }
        if entry.suspect {
            let said = text::fit(&words.get("draw-knocks-look"), SMALL_PX, true, step * 2.0);
            drawing.push(
                label(middle, (base - high - 6.0).max(28.0), SMALL_PX, &said)
                    .middle()
                    .bold()
                    .fill(colours.warn),
            );
        }
    }
    let suspect = hurdles.iter().find(|entry| entry.suspect);
    let title = match suspect {
        Some(entry) => say(
            words,
            "draw-knocks-title-suspect",
            &[("lane", Arg::Text(lane.to_owned())), ("hurdle", Arg::Count(entry.hurdle.into()))],
        ),
        None => say(words, "draw-knocks-title", &[("lane", Arg::Text(lane.to_owned()))]),
    };
    let list: Vec<String> = hurdles
        .iter()
        .map(|entry| {
            say(
                words,
                "draw-knocks-one",
                &[
                    ("hurdle", Arg::Count(entry.hurdle.into())),
                    ("knocks", Arg::Count(entry.knocks.into())),
                    ("met", Arg::Count(entry.met.into())),
                ],
            )
        })
        .collect();
    let description = list.join(" ");
    let id = format!("{}-knocks", id_from(lane));
    let svg = drawing.finish(Head {
        id: &id,
        width: width_px,
        height: height_px,
        title: &title,
        description: &description,
        data: &[],
    });
    Figure { id, svg, width: width_px, height: height_px, title, description }
}

/// What goes onto the counting sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct CountingOptions {
    /// Paper to lay out for.
    pub paper: Paper,
    /// Runs that fit on a sheet.
    pub runs: usize,
    /// The day, as it is to be written.
    pub date: Option<String>,
    /// Name and version of the program.
    pub software: String,
}

impl Default for CountingOptions {
    fn default() -> Self {
        Self { paper: Paper::A4, runs: 5, date: None, software: String::new() }
    }
}

/// Returns the counting sheets, one a lane: whoever waits circles the hurdles that a partner knocked over.
///
/// Each cell holds the numbers of the lane's hurdles; nothing circled and a tick at 0 is a clean run.
pub fn counting_sheets(plan: &Plan, class_name: &str, words: &Words, options: &CountingOptions) -> Vec<Page> {
    plan.lanes.iter().map(|lane| counting_sheet(plan, lane, class_name, words, options)).collect()
}

fn counting_sheet(
    plan: &Plan,
    lane: &PlannedLane,
    class_name: &str,
    words: &Words,
    options: &CountingOptions,
) -> Page {
    let title = say(
        words,
        "draw-counting-title",
        &[("lane", Arg::Text(lane.lane.clone())), ("class", Arg::Text(class_name.to_owned()))],
    );
    let drill = plan.drills.first().map(|drill| words.get(&format!("drill-{drill}"))).unwrap_or_default();
    let numbers: Vec<String> =
        std::iter::once("0".to_owned()).chain((1..=lane.hurdles).map(|number| number.to_string())).collect();
    let cell = numbers.join(" ");
    let mut columns = vec![Column::words(words.get("draw-counting-child"), 1.3)];
    for run in 1..=options.runs {
        let head = say(words, "draw-counting-run", &[("run", Arg::Count(run as i64))]);
        columns.push(Column::counts(head, 1.4));
    }
    // Two lines a child: the second is room for the next lesson or a latecomer.
    let spare = 2;
    let rows = lane
        .runners
        .iter()
        .cloned()
        .chain(std::iter::repeat_n(String::new(), spare))
        .map(|name| std::iter::once(name).chain(std::iter::repeat_n(cell.clone(), options.runs)).collect())
        .collect();
    let mut about = vec![class_name.to_owned(), drill];
    about.extend(options.date.clone());
    Page {
        title: title.clone(),
        language: words.language.to_owned(),
        paper: options.paper,
        text_percent: 100,
        blocks: vec![
            Block::Heading { level: 1, text: title },
            Block::Paragraph(words.get("draw-counting-how")),
            Block::Table(Table { caption: None, columns, rows }),
            Block::Paragraph(words.get("draw-counting-after")),
        ],
        footer: Footer {
            lines: vec![about.join(" · "), options.software.clone()],
            page_of: say(
                words,
                "draw-page-of",
                &[("page", Arg::Text("{page}".to_owned())), ("pages", Arg::Text("{pages}".to_owned()))],
            ),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::words::Units;

    fn hurdles() -> Vec<HurdleKnocks> {
        (1..=8)
            .map(|hurdle| HurdleKnocks {
                hurdle,
                knocks: if hurdle == 5 { 14 } else { 3 },
                met: 35,
                suspect: hurdle == 5,
            })
            .collect()
    }

    #[test]
    fn the_suspect_hurdle_is_named_in_the_title_and_every_count_in_the_description() {
        let figure = knock_strip("B", &hurdles(), 358.0, &Words::english(Units::Metric), Style::Screen);
        assert!(figure.title.contains('5') && figure.title.contains('B'), "{}", figure.title);
        assert!(figure.description.contains("14 of 35"), "{}", figure.description);
    }

    #[test]
    fn bars_are_as_high_as_their_rates() {
        let figure = knock_strip("B", &hurdles(), 358.0, &Words::english(Units::Metric), Style::Print);
        let heights: Vec<f64> = figure
            .svg
            .lines()
            .filter(|line| line.starts_with("<rect"))
            .map(|line| {
                let rest = &line[line.find(" height=\"").unwrap() + 9..];
                rest[..rest.find('"').unwrap()].parse().unwrap()
            })
            .collect();
        assert_eq!(heights.len(), 8);
        assert!((heights[4] / heights[0] - 14.0 / 3.0).abs() < 0.01, "{heights:?}");
    }

    #[test]
    fn an_open_dot_says_that_not_enough_was_seen() {
        let rate = RateRange { mean: 0.9, low: 0.8, high: 0.96, needed: 0.9, enough: false };
        let words = Words::english(Units::Metric);
        let open = rate_row("Ada", &rate, 140.0, &words, Style::Print);
        let filled = rate_row("Ada", &RateRange { enough: true, ..rate }, 140.0, &words, Style::Print);
        assert!(open.svg.contains("fill=\"#ffffff\"") && !filled.svg.contains("fill=\"#ffffff\""));
        assert!(open.description.contains("between 80 and 96"), "{}", open.description);
    }
}
