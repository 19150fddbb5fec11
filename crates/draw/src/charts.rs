//! Charts of a class and the stairs of a child: how many are where, how clean rates went, which steps are clean.
//!
//! Titles say what is found; axes have their quantity, unit and number of children; nothing is told by colour alone, so
//! that a grey print says the same. The values stand in the description too, and in a table beside each chart.

use lanewright_model::Arg;
use lanewright_model::words::Words;
use lanewright_science::decide::Rate;

use crate::strip::SMALL_PX;
use crate::svg::{Drawing, Head, centred_baseline, circle, id_from, label, line, polyline, rect};
use crate::{Figure, Palette, Style, say, text};

/// Height of a bar with its gap.
const ROW_PX: f64 = 30.0;
/// Height of a bar.
const BAR_PX: f64 = 20.0;
/// Least width of the words beside the bars.
const NAMES_PX: f64 = 128.0;
/// Distance of the lines that fill a bar.
const HATCH_PX: f64 = 5.0;

/// One drill and how many children are how far.
#[derive(Debug, Clone, PartialEq)]
pub struct CountRow {
    /// Name of the drill.
    pub name: String,
    /// Children for whom it is clean, who work on it, who were seen too little at it, who were not seen at it.
    pub counts: [u32; 4],
}

/// Words of the four parts of a bar, in their order.
const PARTS: [&str; 4] =
    ["chart-count-clean", "chart-count-working", "chart-count-little", "chart-count-not"];

/// Draws how many children are how far with each drill: one bar of the whole class a drill.
pub fn count_chart(rows: &[CountRow], width_px: f64, words: &Words, style: Style) -> Figure {
    let colours = style.palette();
    let count = rows.iter().map(|row| row.counts.iter().sum::<u32>()).max().unwrap_or(0);
    // Longer names get more room where the page is wide.
    let widest = rows.iter().map(|row| text::width(&row.name, 13.0, true)).fold(0.0, f64::max);
    let names_px = widest.clamp(NAMES_PX, NAMES_PX.max(width_px * 0.25));
    let (left, right) = (names_px + 8.0, width_px - 10.0);
    // The legend takes as many lines as the width asks for.
    let legend: Vec<(usize, String)> = PARTS.iter().map(|id| words.get(id)).enumerate().collect();
    let (mut spots, mut at, mut row) = (Vec::new(), 2.0, 0.0);
    for (part, said) in &legend {
        let wide = 21.0 + text::width(said, SMALL_PX, false);
        if at > 2.0 && at + wide > width_px - 2.0 {
            (at, row) = (2.0, row + 1.0);
        }
        spots.push((*part, said.as_str(), at, row * 20.0));
        at += wide + 16.0;
    }
    let legend_px = 26.0 + row * 20.0;
    let x = |children: u32| left + f64::from(children) / f64::from(count.max(1)) * (right - left);
    let bars_bottom = legend_px + ROW_PX * rows.len() as f64;
    let height = bars_bottom + 44.0;
    let mut drawing = Drawing::default();
    for (part, said, at, down) in spots {
        fill_part(&mut drawing, part, (at, down + 4.0, 16.0, 14.0), &colours);
        let y = centred_baseline(down + 11.0, SMALL_PX);
        drawing.push(label(at + 21.0, y, SMALL_PX, said).fill(colours.ink));
    }
    for (index, row) in rows.iter().enumerate() {
        let top = legend_px + ROW_PX * index as f64 + (ROW_PX - BAR_PX) / 2.0;
        let middle = top + BAR_PX / 2.0;
        let name = text::fit(&row.name, 13.0, true, names_px);
        drawing.push(
            label(names_px, centred_baseline(middle, 13.0), 13.0, &name).end().bold().fill(colours.ink),
        );
        let mut from = 0;
        for (part, children) in row.counts.iter().enumerate() {
            if *children == 0 {
                continue;
            }
            // A pixel of paper parts neighbours.
            let (x1, x2) = (x(from) + 0.5, x(from + children) - 0.5);
            fill_part(&mut drawing, part, (x1, top, x2 - x1, BAR_PX), &colours);
            let said = children.to_string();
            let wide = text::width(&said, 13.0, true);
            if wide + 8.0 <= x2 - x1 {
                let middle_x = (x1 + x2) / 2.0;
                let ink = if part == 0 { colours.card } else { colours.ink };
                if part != 0 {
                    drawing.push(
                        rect(middle_x - wide / 2.0 - 2.5, middle - 7.5, wide + 5.0, 15.0).fill(colours.card),
                    );
                }
                drawing.push(
                    label(middle_x, centred_baseline(middle, 13.0), 13.0, &said).middle().bold().fill(ink),
                );
            }
            from += children;
        }
    }
    drawing.push(line(left, bars_bottom + 2.0, right, bars_bottom + 2.0).stroke(colours.ink, 1.2));
    for children in ticks(count) {
        let at = x(children);
        drawing.push(line(at, bars_bottom + 2.0, at, bars_bottom + 7.0).stroke(colours.ink, 1.2));
        drawing
            .push(label(at, bars_bottom + 20.0, SMALL_PX, &children.to_string()).middle().fill(colours.ink));
    }
    let n = ("count", Arg::Count(count.into()));
    let axis = say(words, "chart-count-axis", std::slice::from_ref(&n));
    drawing.push(label((left + right) / 2.0, bars_bottom + 37.0, SMALL_PX, &axis).middle().fill(colours.ink));

    // The drill that most children have clean, the hardest of those.
    let best = rows.iter().filter(|row| row.counts[0] > 0).max_by_key(|row| row.counts[0]);
    let title = match best.or(rows.last()) {
        Some(row) => say(
            words,
            "chart-count-title-clean",
            &[("drill", Arg::Text(row.name.clone())), ("clean", Arg::Count(row.counts[0].into())), n.clone()],
        ),
        None => words.get("chart-count-title-none"),
    };
    let said: Vec<String> = rows
        .iter()
        .map(|row| {
            let [clean, working, little, not] = row.counts.map(|count| Arg::Count(count.into()));
            let arguments = [
                ("drill", Arg::Text(row.name.clone())),
                ("clean", clean),
                ("working", working),
                ("little", little),
                ("not", not),
            ];
            say(words, "chart-count-desc-row", &arguments)
        })
        .collect();
    let description = say(words, "chart-count-desc", &[n, ("rows", Arg::Text(said.join(" ")))]);
    finished(drawing, "count-chart", (width_px, height), title, description)
}

/// Whole numbers along an axis from 0 to `most`: ones, twos, fives, tens …, at most seven of them.
fn ticks(most: u32) -> Vec<u32> {
    let step = [1, 2, 5, 10, 20, 50, 100, 200, 500].into_iter().find(|step| most / step <= 6).unwrap_or(1000);
    (0..=most).step_by(step as usize).collect()
}

fn fill_part(
    drawing: &mut Drawing,
    part: usize,
    (x, y, wide, high): (f64, f64, f64, f64),
    colours: &Palette,
) {
    match part {
        0 => drawing.push(rect(x, y, wide, high).fill(colours.ink)),
        1 => {
            drawing.push(rect(x, y, wide, high).fill(colours.line).stroke(colours.ink, 1.0));
            // Lines of equal distance from the left edge, so that a narrow part has one too.
            let mut at = x + HATCH_PX;
            while at < x + wide - 1.0 {
                drawing.push(line(at, y, at, y + high).stroke(colours.ink, 0.8));
                at += HATCH_PX;
            }
        }
        2 => drawing.push(rect(x, y, wide, high).fill(colours.grass).stroke(colours.ink, 1.0)),
        _ => drawing.push(rect(x, y, wide, high).fill(colours.card).stroke(colours.ink, 1.0).dash("3 3")),
    }
}

fn finished(
    drawing: Drawing,
    id: &str,
    (width, height): (f64, f64),
    title: String,
    description: String,
) -> Figure {
    let id = id_from(id);
    let svg =
        drawing.finish(Head { id: &id, width, height, title: &title, description: &description, data: &[] });
    Figure { id, svg, width, height, title, description }
}

/// One lesson in a chart of clean rates.
#[derive(Debug, Clone, PartialEq)]
pub struct RatePoint {
    /// The day, as it is to be written.
    pub day: String,
    /// Mean over children with its 90 % interval, 0 to 1.
    pub rate: Rate,
    /// Children behind it.
    pub children: u32,
    /// The interval says something; otherwise only an open dot is drawn.
    pub has_range: bool,
}

/// What the title of a chart of clean rates says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateFinding {
    /// Up, beyond the noise.
    Up,
    /// Down, beyond the noise.
    Down,
    /// Nothing beyond the noise.
    Same,
    /// One lesson only.
    One,
    /// Several lessons, but too few children in two of them.
    Few,
}

/// A chart of the clean rates of one drill.
#[derive(Debug, Clone, PartialEq)]
pub struct RateChart {
    /// Name of the drill.
    pub name: String,
    /// Lessons, earliest first.
    pub points: Vec<RatePoint>,
    /// What the title says.
    pub finding: RateFinding,
    /// Share in the title: before.
    pub before: f64,
    /// Share in the title: after, or of the only lesson.
    pub after: f64,
    /// The mark that counts as clean enough.
    pub needed: f64,
    /// Lowest value that the scale has to hold; charts of one page share it.
    pub lowest: f64,
}

/// Draws the clean rates of a drill, lesson by lesson: dot and range, number of children below, the mark as a dashed
/// line. The scale ends at all hurdles and begins at a whole fifth, 80 % at most, below every value.
pub fn rate_chart(chart: &RateChart, width_px: f64, words: &Words, style: Style) -> Figure {
    let RateChart { name, points, finding, before, after, needed, lowest } = chart;
    let colours = style.palette();
    let (left, right, top, plot_px) = (46.0, width_px - 8.0, 26.0, 78.0);
    let bottom = top + plot_px;
    let height = bottom + 40.0;
    let lowest = points
        .iter()
        .map(|point| if point.has_range { point.rate.low } else { point.rate.mean })
        .fold(lowest.min(*needed), f64::min);
    let floor = ((lowest * 5.0 + 1e-9).floor() / 5.0).clamp(0.0, 0.8);
    let y = |share: f64| bottom - (share.clamp(floor, 1.0) - floor) / (1.0 - floor) * plot_px;
    let step = (right - left) / points.len().max(1) as f64;
    let x = |index: usize| left + step * (index as f64 + 0.5);
    let mut drawing = Drawing::default();
    drawing.push(label(2.0, 13.0, SMALL_PX, &words.get("chart-rate-axis")).fill(colours.ink));
    for quarter in 0..=4 {
        let share = floor + f64::from(quarter) / 4.0 * (1.0 - floor);
        drawing.push(line(left, y(share), right, y(share)).stroke(colours.line, 1.0));
        let said = crate::shown(words, &Arg::Share(share));
        drawing.push(
            label(left - 5.0, centred_baseline(y(share), SMALL_PX), SMALL_PX, &said).end().fill(colours.ink),
        );
    }
    drawing.push(line(left, y(*needed), right, y(*needed)).stroke(colours.go, 1.6).dash("7 4"));
    let said = words.get("chart-rate-needed");
    let said_px = text::width(&said, SMALL_PX, false);
    drawing.push(
        line(right - said_px - 32.0, 9.0, right - said_px - 6.0, 9.0).stroke(colours.go, 1.6).dash("7 4"),
    );
    drawing.push(label(right, 13.0, SMALL_PX, &said).end().fill(colours.ink));
    for pair in 1..points.len() {
        let (from, to) = (&points[pair - 1], &points[pair]);
        drawing.push(
            line(x(pair - 1), y(from.rate.mean), x(pair), y(to.rate.mean))
                .stroke(colours.soft, 1.0)
                .dash("2 4"),
        );
    }
    for (index, point) in points.iter().enumerate() {
        let at = x(index);
        if point.has_range {
            drawing.push(
                line(at, y(point.rate.low), at, y(point.rate.high))
                    .stroke(colours.ink, 3.0)
                    .attribute("class", "range"),
            );
            for end in [point.rate.low, point.rate.high] {
                drawing.push(line(at - 5.0, y(end), at + 5.0, y(end)).stroke(colours.ink, 1.5));
            }
        }
        let fill = if point.has_range { colours.ink } else { colours.card };
        drawing.push(
            circle(at, y(point.rate.mean), 5.0)
                .fill(fill)
                .stroke(colours.ink, 2.0)
                .attribute("class", "mean"),
        );
        if is_labelled(index, points.len(), step) {
            let n = say(words, "chart-rate-n", &[("count", Arg::Count(point.children.into()))]);
            drawing.push(label(at, bottom + 18.0, SMALL_PX, &point.day).middle().fill(colours.ink));
            drawing.push(label(at, bottom + 34.0, SMALL_PX, &n).middle().fill(colours.soft));
        }
    }
    drawing.push(line(left, bottom, right, bottom).stroke(colours.ink, 1.2));

    let id = match finding {
        RateFinding::Up => "chart-rate-title-up",
        RateFinding::Down => "chart-rate-title-down",
        RateFinding::Same => "chart-rate-title-same",
        RateFinding::One => "chart-rate-title-one",
        RateFinding::Few => "chart-rate-title-few",
    };
    let arguments =
        [("drill", Arg::Text(name.clone())), ("before", Arg::Share(*before)), ("after", Arg::Share(*after))];
    let title = say(words, id, &arguments);
    let rows: Vec<String> = points
        .iter()
        .map(|point| {
            let id = if point.has_range { "chart-rate-desc-row" } else { "chart-rate-desc-few" };
            let arguments = [
                ("day", Arg::Text(point.day.clone())),
                ("mean", Arg::Share(point.rate.mean)),
                ("low", Arg::Share(point.rate.low)),
                ("high", Arg::Share(point.rate.high)),
                ("count", Arg::Count(point.children.into())),
            ];
            say(words, id, &arguments)
        })
        .collect();
    let description = say(words, "chart-rate-desc", &[("rows", Arg::Text(rows.join(" ")))]);
    finished(drawing, &format!("rate-{name}"), (width_px, height), title, description)
}

/// Whether a lesson's day is written below its dot: all where there is room, else every second, third …; the last
/// always, and none so close before it that both would meet.
fn is_labelled(index: usize, count: usize, step_px: f64) -> bool {
    const LABEL_PX: f64 = 66.0;
    let every = (LABEL_PX / step_px).ceil().max(1.0) as usize;
    index + 1 == count || (index.is_multiple_of(every) && count - 1 - index >= every)
}

/// How far a child is with one step of the stairs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepState {
    /// Clean.
    Clean,
    /// Seen, not clean.
    Open,
    /// Not seen.
    Ahead,
}

/// One step of a child's stairs.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// A word or two below it.
    pub name: String,
    /// How far.
    pub state: StepState,
    /// The child works on it now.
    pub is_here: bool,
}

/// Draws the drills of the ladder as stairs: clean steps are full and ticked, the step of now has a flag, others are
/// empty. `id` tells the stairs of one child from those of another on the same sheet.
pub fn stairs(id: &str, steps: &[Step], width_px: f64, words: &Words, style: Style) -> Figure {
    let colours = style.palette();
    let count = steps.len().max(1) as f64;
    let wide = width_px / count;
    let (top, low_px, high_px) = (22.0, 15.0, 38.0);
    let bottom = top + high_px;
    let height = bottom + 31.0;
    let mut drawing = Drawing::default();
    for (index, step) in steps.iter().enumerate() {
        let (x, x_to) = (wide * index as f64 + 1.0, wide * (index + 1) as f64 - 1.0);
        let high = low_px + (high_px - low_px) * (index as f64 / (count - 1.0).max(1.0));
        let y = bottom - high;
        let outline = match step.state {
            StepState::Clean => rect(x, y, x_to - x, high).fill(colours.ink).attribute("class", "clean"),
            StepState::Open => rect(x, y, x_to - x, high)
                .fill(colours.line)
                .stroke(colours.ink, 2.0)
                .attribute("class", "open"),
            StepState::Ahead => rect(x, y, x_to - x, high)
                .fill(colours.card)
                .stroke(colours.ink, 1.0)
                .dash("4 3")
                .attribute("class", "ahead"),
        };
        drawing.push(outline);
        let middle = (x + x_to) / 2.0;
        if step.state == StepState::Clean {
            let tick = y + 8.0;
            drawing.push(
                polyline(
                    &[(middle - 7.0, tick), (middle - 2.0, tick + 5.0), (middle + 8.0, tick - 6.0)],
                    false,
                )
                .fill("none")
                .stroke(colours.card, 2.6)
                .round_ends(),
            );
        }
        if step.is_here {
            let pole = x + 8.0;
            drawing.push(line(pole, y, pole, y - 21.0).stroke(colours.ink, 2.0));
            let flag = [(pole, y - 21.0), (pole + 17.0, y - 15.5), (pole, y - 10.0)];
            drawing.push(polyline(&flag, true).fill(colours.ink));
            let here = words.get("card-steps-here");
            let here_px = text::width(&here, SMALL_PX, true);
            if 21.0 + here_px + pole <= width_px {
                drawing.push(label(pole + 20.0, y - 8.0, SMALL_PX, &here).bold().fill(colours.ink));
            } else {
                drawing.push(label(pole - 4.0, y - 8.0, SMALL_PX, &here).end().bold().fill(colours.ink));
            }
        }
        for (row, said) in
            text::wrap(&step.name, SMALL_PX, step.is_here, wide - 2.0).iter().take(2).enumerate()
        {
            let mut words =
                label(middle, bottom + 14.0 + 14.0 * row as f64, SMALL_PX, said).middle().fill(colours.ink);
            if step.is_here {
                words = words.bold();
            }
            drawing.push(words);
        }
    }
    drawing.push(line(0.0, bottom, width_px, bottom).stroke(colours.ink, 1.5));
    let clean: Vec<&str> =
        steps.iter().filter(|step| step.state == StepState::Clean).map(|step| step.name.as_str()).collect();
    let mut description = vec![say(
        words,
        "card-steps-desc",
        &[("clean", Arg::Count(clean.len() as i64)), ("names", Arg::Text(clean.join(", ")))],
    )];
    if let Some(here) = steps.iter().find(|step| step.is_here) {
        description.push(say(words, "card-steps-desc-here", &[("drill", Arg::Text(here.name.clone()))]));
    }
    description.push(say(words, "card-steps-desc-all", &[("count", Arg::Count(steps.len() as i64))]));
    let title = words.get("card-steps-title");
    finished(drawing, &format!("stairs-{id}"), (width_px, height), title, description.join(" "))
}
