//! The minutes of a lesson as a bar, to scale: parts without hurdles, blocks, minutes in which lanes are re-set.

use lanewright_model::Arg;
use lanewright_model::drill::Ladder;
use lanewright_model::words::Words;
use lanewright_science::lesson::{Lesson, When};

use crate::lesson_pages::{drills_of, part_name};
use crate::svg::{Drawing, Head, centred_baseline, label, line, rect};
use crate::{Figure, Style, labels, say, text};

const TEXT_PX: f64 = 14.0;
const NUMBER_PX: f64 = 20.0;
/// Names stand above the bar, minutes since the start below it.
const NAMES_BASE_PX: f64 = 14.0;
const BAR_PX: (f64, f64) = (34.0, 46.0);
const TICKS_BASE_PX: f64 = 101.0;
const HEIGHT_PX: f64 = 106.0;
/// A name farther than this from its part is left out of the drawing.
const REACH_PX: f64 = 190.0;
const SPACE_PX: f64 = 9.0;

/// What some minutes are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Part,
    Change,
    /// A block, by its number from 1.
    Block(usize),
    Spare,
}

struct Stretch {
    from: u32,
    minutes: u32,
    kind: Kind,
    said: String,
}

/// Returns the bar, and whether every part without hurdles is named in it.
pub(crate) fn timeline(
    lesson: &Lesson,
    ladder: &Ladder,
    words: &Words,
    width_px: f64,
    style: Style,
) -> (Figure, bool) {
    let stretches = stretches(lesson, ladder, words);
    let total = stretches.last().map_or(1, |last| last.from + last.minutes).max(1);
    let palette = style.palette();
    let (left, right) = (1.0, width_px - 1.0);
    let scale = (right - left) / f64::from(total);
    let at = |minute: u32| left + f64::from(minute) * scale;
    let (top, high) = BAR_PX;
    let mut drawing = Drawing::default();
    for stretch in &stretches {
        let (x, wide) = (at(stretch.from), f64::from(stretch.minutes) * scale);
        let (class, fill) = match stretch.kind {
            Kind::Part => ("part", palette.card),
            Kind::Change => ("change", palette.ink),
            Kind::Block(_) => ("block", palette.line),
            Kind::Spare => ("spare", "none"),
        };
        let mut area = rect(x, top, wide, high)
            .fill(fill)
            .stroke(palette.ink, 1.2)
            .attribute("class", class)
            .attribute("data-from-min", &stretch.from.to_string())
            .attribute("data-minutes", &stretch.minutes.to_string());
        if stretch.kind == Kind::Spare {
            area = area.dash("5 4");
        }
        drawing.push(area);
        let middle = x + wide / 2.0;
        let minutes = stretch.minutes.to_string();
        let long = say(words, "lesson-page-min", &[("minutes", Arg::Text(minutes.clone()))]);
        let said = if text::width(&long, TEXT_PX, false) + 6.0 <= wide { long } else { minutes };
        let has_room = text::width(&said, TEXT_PX, false) + 2.0 <= wide;
        match stretch.kind {
            Kind::Block(number) => {
                let number = number.to_string();
                if text::width(&number, NUMBER_PX, true) + 2.0 <= wide {
                    let y = centred_baseline(top + 15.0, NUMBER_PX);
                    drawing.push(label(middle, y, NUMBER_PX, &number).bold().middle().fill(palette.ink));
                }
                if has_room {
                    let y = centred_baseline(top + 35.0, TEXT_PX);
                    drawing.push(label(middle, y, TEXT_PX, &said).middle().fill(palette.ink));
                }
            }
            Kind::Part | Kind::Spare if has_room => {
                let y = centred_baseline(top + high / 2.0, TEXT_PX);
                drawing.push(label(middle, y, TEXT_PX, &said).middle().fill(palette.ink));
            }
            Kind::Change => {
                // White on black where there is room; the table says it in any case.
                let word = words.get("lesson-page-timeline-reset");
                if has_room && text::width(&word, TEXT_PX, false) + 4.0 <= wide {
                    for (y, said) in [(top + 15.0, &word), (top + 35.0, &said)] {
                        let y = centred_baseline(y, TEXT_PX);
                        drawing.push(label(middle, y, TEXT_PX, said).middle().fill(palette.card));
                    }
                }
            }
            Kind::Part | Kind::Spare => {}
        }
    }
    let named: Vec<&Stretch> = stretches.iter().filter(|stretch| stretch.kind == Kind::Part).collect();
    let marks: Vec<(f64, f64)> = named
        .iter()
        .map(|part| {
            let middle = at(part.from) + f64::from(part.minutes) * scale / 2.0;
            (middle, text::width(&part.said, TEXT_PX, false))
        })
        .collect();
    let placed = labels::spread(&marks, 0.0, width_px, SPACE_PX, REACH_PX);
    for place in &placed {
        let from = (place.centre, NAMES_BASE_PX + 5.0);
        drawing.push(line(from.0, from.1, marks[place.index].0, top).stroke(palette.ink, 0.9));
        let name = &named[place.index].said;
        drawing.push(label(place.centre, NAMES_BASE_PX, TEXT_PX, name).middle().fill(palette.ink));
    }
    let mut ticks: Vec<u32> = stretches.iter().map(|stretch| stretch.from).collect();
    ticks.push(total);
    let minute_marks: Vec<(f64, f64)> =
        ticks.iter().map(|tick| (at(*tick), text::width(&tick.to_string(), TEXT_PX, false))).collect();
    for place in labels::spread(&minute_marks, 0.0, width_px, 5.0, 12.0) {
        let tick = ticks[place.index];
        drawing.push(line(at(tick), top + high, at(tick), top + high + 5.0).stroke(palette.ink, 1.2));
        let said = tick.to_string();
        drawing.push(label(place.centre, TICKS_BASE_PX, TEXT_PX, &said).middle().fill(palette.ink));
    }
    let title = words.get("lesson-page-timeline");
    let description: Vec<String> = stretches
        .iter()
        .map(|stretch| {
            let minute = |minute: u32| Arg::Count(i64::from(minute));
            say(
                words,
                "lesson-page-timeline-desc",
                &[
                    ("from", minute(stretch.from)),
                    ("to", minute(stretch.from + stretch.minutes)),
                    ("what", Arg::Text(stretch.said.clone())),
                ],
            )
        })
        .collect();
    let description = description.join(" ");
    let id = "lw-timeline".to_owned();
    let svg = drawing.finish(Head {
        id: &id,
        width: width_px,
        height: HEIGHT_PX,
        title: &title,
        description: &description,
        data: &[],
    });
    let figure = Figure { id, svg, width: width_px, height: HEIGHT_PX, title, description };
    (figure, placed.len() == named.len())
}

fn stretches(lesson: &Lesson, ladder: &Ladder, words: &Words) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut add = |minutes: u32, kind: Kind, said: String| {
        let from = stretches.last().map_or(0, |last| last.from + last.minutes);
        if minutes > 0 {
            stretches.push(Stretch { from, minutes, kind, said });
        }
        from + minutes
    };
    for part in lesson.fixed.iter().filter(|part| part.when == When::Before) {
        add(part.minutes, Kind::Part, part_name(&part.what, words));
    }
    for (block, number) in lesson.blocks.iter().zip(1..) {
        add(block.change_minutes, Kind::Change, words.get("lesson-page-timeline-change"));
        let arguments = [
            ("number", Arg::Count(number as i64)),
            ("drills", Arg::Text(drills_of(block, ladder, words).join(", "))),
        ];
        add(block.minutes, Kind::Block(number), say(words, "lesson-page-timeline-block", &arguments));
    }
    let mut until = 0;
    for part in lesson.fixed.iter().filter(|part| part.when == When::After) {
        until = add(part.minutes, Kind::Part, part_name(&part.what, words));
    }
    let until = until.max(lesson.total_minutes);
    add(lesson.minutes.saturating_sub(until), Kind::Spare, words.get("lesson-page-timeline-spare"));
    stretches
}
