//! The sound of a run as a strip: time from left to right, a stroke for every contact, the knocks above, speed below.

use lanewright_model::Arg;
use lanewright_model::words::Words;

use crate::strip::SMALL_PX;
use crate::svg::{Drawing, Head, circle, label, line, polyline, rect};
use crate::{Figure, Style, say, shown};

/// What was heard, in seconds from the start of the take.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SoundStrip {
    /// Length of the take.
    pub duration_s: f64,
    /// Contacts: when, how sure (0 to 1), which of the two feet (0 or 1).
    pub contacts: Vec<(f64, f64, u8)>,
    /// Knocks: when, and the hurdle where it is known.
    pub knocks: Vec<(f64, Option<usize>)>,
    /// Heavy stops: when.
    pub brakes: Vec<f64>,
    /// Speeds: from, to, metres a second.
    pub speeds: Vec<(f64, f64, f64)>,
}

/// Height of the strip, where the line of the ground lies, how far the strokes of the two feet reach from it.
const HEIGHT_PX: f64 = 132.0;
const GROUND_PX: f64 = 66.0;
const STROKE_PX: f64 = 22.0;
/// Left and right of the time axis.
const SIDE_PX: f64 = 16.0;

/// Draws the strip. The two feet stand on either side of the line, pale where the ear was not sure; a knock is a filled
/// lozenge with the number of its hurdle, a heavy stop a ring.
#[must_use]
pub fn sound_strip(heard: &SoundStrip, width_px: f64, words: &Words, style: Style) -> Figure {
    let colours = style.palette();
    let length_s = if heard.duration_s > 0.0 { heard.duration_s } else { 1.0 };
    let x = |t_s: f64| SIDE_PX + t_s / length_s * (width_px - 2.0 * SIDE_PX);
    let mut drawing = Drawing::default();
    drawing
        .push(rect(0.5, 0.5, width_px - 1.0, HEIGHT_PX - 1.0).fill(colours.card).stroke(colours.line, 1.0));
    drawing.push(line(SIDE_PX, GROUND_PX, width_px - SIDE_PX, GROUND_PX).stroke(colours.line, 1.0));
    let every = if length_s > 20.0 { 5.0 } else { 1.0 };
    let mut t_s = 0.0;
    while t_s <= length_s {
        drawing.push(line(x(t_s), HEIGHT_PX - 24.0, x(t_s), HEIGHT_PX - 19.0).stroke(colours.soft, 1.0));
        let said = say(words, "draw-sound-seconds", &[("t", Arg::Number(t_s))]);
        drawing.push(label(x(t_s), HEIGHT_PX - 6.0, SMALL_PX, &said).middle().fill(colours.soft));
        t_s += every;
    }
    for &(t_s, p, foot) in &heard.contacts {
        let end = if foot == 0 { GROUND_PX - STROKE_PX } else { GROUND_PX + STROKE_PX };
        let colour = if p >= 0.8 { colours.ink } else { colours.soft };
        let mut stroke =
            line(x(t_s), GROUND_PX, x(t_s), end).stroke(colour, if p >= 0.8 { 3.0 } else { 2.0 });
        if p < 0.8 {
            stroke = stroke.dash("3 3");
        }
        drawing.push(stroke.attribute("class", "contact"));
    }
    for &t_s in &heard.brakes {
        drawing.push(
            circle(x(t_s), GROUND_PX, 7.0).fill("none").stroke(colours.warn, 2.5).attribute("class", "brake"),
        );
    }
    for &(t_s, hurdle) in &heard.knocks {
        let (cx, cy) = (x(t_s), 30.0);
        let points = [(cx, cy - 6.0), (cx + 6.0, cy), (cx, cy + 6.0), (cx - 6.0, cy)];
        drawing.push(polyline(&points, true).fill(colours.warn).attribute("class", "knock"));
        if let Some(hurdle) = hurdle {
            let number = hurdle.to_string();
            drawing.push(label(cx, 18.0, SMALL_PX, &number).middle().bold().fill(colours.warn));
        }
    }
    for &(from_s, to_s, speed_mps) in &heard.speeds {
        let said = shown(words, &Arg::SpeedMps(speed_mps));
        if x(to_s) - x(from_s) >= 44.0 {
            let middle = 0.5 * (x(from_s) + x(to_s));
            drawing.push(label(middle, 102.0, SMALL_PX, &said).middle().fill(colours.go));
        }
    }
    legend(&mut drawing, heard, width_px, words, style);
    let title = words.get("draw-sound-title");
    let description = say(
        words,
        "draw-sound-said",
        &[
            ("contacts", Arg::Count(heard.contacts.len() as i64)),
            ("seconds", Arg::Number((heard.duration_s * 10.0).round() / 10.0)),
            ("knocks", Arg::Count(heard.knocks.len() as i64)),
            ("brakes", Arg::Count(heard.brakes.len() as i64)),
        ],
    );
    let svg = drawing.finish(Head {
        id: "lw-sound",
        width: width_px,
        height: HEIGHT_PX,
        title: &title,
        description: &description,
        data: &[],
    });
    Figure { id: "lw-sound".to_owned(), svg, width: width_px, height: HEIGHT_PX, title, description }
}

/// Names the signs that occur, in the upper right corner.
fn legend(drawing: &mut Drawing, heard: &SoundStrip, width_px: f64, words: &Words, style: Style) {
    let colours = style.palette();
    let mut right = width_px - SIDE_PX;
    if !heard.brakes.is_empty() {
        let name = words.get("draw-sound-brake");
        drawing.push(label(right, 16.0, SMALL_PX, &name).end().fill(colours.soft));
        right -= crate::text::width(&name, SMALL_PX, false) + 12.0;
        drawing.push(circle(right, 12.0, 5.0).fill("none").stroke(colours.warn, 2.0));
        right -= 16.0;
    }
    if !heard.knocks.is_empty() {
        let name = words.get("draw-sound-knock");
        drawing.push(label(right, 16.0, SMALL_PX, &name).end().fill(colours.soft));
        right -= crate::text::width(&name, SMALL_PX, false) + 12.0;
        let points = [(right, 7.0), (right + 5.0, 12.0), (right, 17.0), (right - 5.0, 12.0)];
        drawing.push(polyline(&points, true).fill(colours.warn));
        right -= 16.0;
    }
    let name = words.get("draw-sound-contact");
    drawing.push(label(right, 16.0, SMALL_PX, &name).end().fill(colours.soft));
    right -= crate::text::width(&name, SMALL_PX, false) + 8.0;
    drawing.push(line(right, 6.0, right, 18.0).stroke(colours.ink, 3.0));
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanewright_model::words::Units;

    #[test]
    fn every_event_is_drawn_once() {
        let heard = SoundStrip {
            duration_s: 4.0,
            contacts: vec![(1.0, 0.9, 0), (1.4, 0.5, 1), (1.8, 0.95, 0)],
            knocks: vec![(1.6, Some(2)), (2.5, None)],
            brakes: vec![1.8],
            speeds: vec![(1.0, 1.8, 4.2)],
        };
        let figure = sound_strip(&heard, 640.0, &Words::english(Units::Metric), Style::Print);
        let count = |class: &str| figure.svg.matches(&format!("class=\"{class}\"")).count();
        assert_eq!((count("contact"), count("knock"), count("brake")), (3, 2, 1));
        assert!(figure.svg.contains("4.2\u{a0}m/s") || figure.svg.contains("4.2 m/s"));
        assert!(figure.description.starts_with("3 contacts in 4 s"));
    }
}
