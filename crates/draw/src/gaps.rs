//! Each child's own gap as a range, with the lane's gap in the same picture.

use lanewright_model::Arg;
use lanewright_model::plan::{Plan, PlannedRunner};
use lanewright_model::words::{Units, Words};

use crate::strip::SMALL_PX;
use crate::svg::{Drawing, Head, centred_baseline, circle, id_from, label, line, polyline};
use crate::{Figure, Palette, Style, say, tape, text};

/// Height of one child's row.
const ROW_PX: f64 = 24.0;

/// The stretch of gaps that all rows share, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapScale {
    /// Left end.
    pub low_m: f64,
    /// Right end.
    pub high_m: f64,
}

impl GapScale {
    /// Returns the scale that holds every child's range and every lane's gap, to whole decimetres.
    pub fn of(plan: &Plan) -> Self {
        let mut values = plan
            .runners
            .iter()
            .flat_map(|runner| [runner.spacing_m.low, runner.spacing_m.high])
            .chain(plan.lanes.iter().map(|lane| lane.spacing_m))
            .filter(|value| value.is_finite())
            .peekable();
        if values.peek().is_none() {
            return Self { low_m: 0.5, high_m: 2.0 };
        }
        let (low, high) = values
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        let low_m = ((low - 0.02) * 10.0).floor() / 10.0;
        let high_m = ((high + 0.02) * 10.0).ceil() / 10.0;
        Self { low_m, high_m: high_m.max(low_m + 0.2) }
    }

    fn x(&self, value_m: f64, from: f64, to: f64) -> f64 {
        from + (value_m - self.low_m) / (self.high_m - self.low_m) * (to - from)
    }

    /// Returns round values for the axis, in metres, at most `most` of them.
    fn ticks(&self, most: usize) -> Vec<f64> {
        let step = [0.1, 0.2, 0.5, 1.0]
            .into_iter()
            .find(|step| (((self.high_m - self.low_m) / step).floor() as usize) < most)
            .unwrap_or(2.0);
        let first = (self.low_m / step - 1e-9).ceil();
        (0..)
            .map(|k| (first + f64::from(k)) * step)
            .take_while(|value| *value <= self.high_m + 1e-9)
            .collect()
    }
}

/// Draws one child's row: the line is the likely range, the dot the best value (open: guessed from size; filled:
/// measured), the tick with two points the lane's gap. The values stand in the table beside it.
pub fn gap_row(
    runner: &PlannedRunner,
    lane_gap_m: f64,
    scale: &GapScale,
    width_px: f64,
    words: &Words,
    style: Style,
) -> Figure {
    let colours = style.palette();
    let mut drawing = Drawing::default();
    row(&mut drawing, runner, lane_gap_m, scale, (8.0, width_px - 8.0), ROW_PX / 2.0, &colours);
    let id = format!("{}-gap", id_from(&runner.id.0));
    let title = say(words, "draw-gap-title", &[("name", Arg::Text(runner.name.clone()))]);
    let description = describe(runner, lane_gap_m, words);
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

/// Draws all children of a plan, lane by lane, with names, one axis and a legend.
pub fn gap_chart(plan: &Plan, width_px: f64, words: &Words, style: Style) -> Figure {
    let colours = style.palette();
    let scale = GapScale::of(plan);
    let names_px = plan
        .runners
        .iter()
        .map(|runner| text::width(&runner.name, SMALL_PX + 1.0, false))
        .fold(40.0, f64::max)
        .min(width_px * 0.34);
    let (from, to) = (names_px + 20.0, width_px - 16.0);
    let mut drawing = Drawing::default();
    let ticks = scale.ticks(((to - from) / 48.0).floor().max(2.0) as usize);
    let top = 22.0;
    let mut y = top;
    let mut rows = Vec::new();
    for lane in &plan.lanes {
        rows.push((y, None, lane));
        y += ROW_PX + 2.0;
        let mut members: Vec<&PlannedRunner> =
            plan.runners.iter().filter(|runner| runner.lane == lane.lane).collect();
        members.sort_by(|a, b| {
            a.spacing_m.median.total_cmp(&b.spacing_m.median).then_with(|| a.name.cmp(&b.name))
        });
        for runner in members {
            rows.push((y, Some(runner), lane));
            y += ROW_PX;
        }
        y += 4.0;
    }
    for tick in &ticks {
        let x = scale.x(*tick, from, to);
        drawing.push(line(x, top - 2.0, x, y).stroke(colours.line, 1.0));
        let said = tape(words, *tick);
        drawing.push(label(x, top - 7.0, SMALL_PX, &said).middle().fill(colours.soft));
    }
    let unit = match words.units {
        Units::Metric => "draw-gaps-axis-m",
        Units::FeetInches => "draw-gaps-axis-ft",
    };
    drawing.push(
        label(4.0, top - 7.0, SMALL_PX, &text::fit(&words.get(unit), SMALL_PX, false, names_px - 4.0))
            .fill(colours.soft),
    );
    for (y, runner, lane) in rows {
        match runner {
            None => {
                let said = say(
                    words,
                    "draw-gap-lane",
                    &[("lane", Arg::Text(lane.lane.clone())), ("gap", Arg::GapM(lane.spacing_m))],
                );
                let room = (scale.x(lane.spacing_m, from, to) - 12.0).max(names_px);
                let said = text::fit(&said, SMALL_PX + 1.0, true, room);
                drawing.push(
                    label(4.0, centred_baseline(y + ROW_PX / 2.0 + 2.0, 13.0), 13.0, &said)
                        .bold()
                        .fill(colours.ink),
                );
            }
            Some(runner) => {
                let name = text::fit(&runner.name, SMALL_PX + 1.0, false, names_px);
                drawing.push(
                    label(12.0, centred_baseline(y + ROW_PX / 2.0, 13.0), 13.0, &name).fill(colours.ink),
                );
                row(&mut drawing, runner, lane.spacing_m, &scale, (from, to), y + ROW_PX / 2.0, &colours);
            }
        }
    }
    y += 8.0;
    y = legend(&mut drawing, y, width_px, words, &colours);
    let title = words.get("draw-gaps-title");
    let description = plan
        .runners
        .iter()
        .map(|runner| {
            let lane_gap_m = plan
                .lanes
                .iter()
                .find(|lane| lane.lane == runner.lane)
                .map_or(f64::NAN, |lane| lane.spacing_m);
            format!("{}: {}", runner.name, describe(runner, lane_gap_m, words))
        })
        .collect::<Vec<_>>()
        .join(" ");
    let svg = drawing.finish(Head {
        id: "lw-gaps",
        width: width_px,
        height: y,
        title: &title,
        description: &description,
        data: &[],
    });
    Figure { id: "lw-gaps".to_owned(), svg, width: width_px, height: y, title, description }
}

fn row(
    drawing: &mut Drawing,
    runner: &PlannedRunner,
    lane_gap_m: f64,
    scale: &GapScale,
    (from, to): (f64, f64),
    y: f64,
    colours: &Palette,
) {
    let gap = &runner.spacing_m;
    lane_tick(drawing, scale.x(lane_gap_m, from, to), y, colours);
    drawing.push(
        line(scale.x(gap.low, from, to), y, scale.x(gap.high, from, to), y)
            .stroke(colours.ink, 3.0)
            .round_ends(),
    );
    dot(drawing, scale.x(gap.median, from, to), y, gap.n > 0, colours);
}

fn dot(drawing: &mut Drawing, x: f64, y: f64, measured: bool, colours: &Palette) {
    let fill = if measured { colours.ink } else { colours.card };
    drawing.push(circle(x, y, 5.0).fill(fill).stroke(colours.ink, 2.0));
}

/// The lane's gap: a tall tick with a point at each end, so that it is not taken for a grid line.
fn lane_tick(drawing: &mut Drawing, x: f64, y: f64, colours: &Palette) {
    let (top, bottom) = (y - 11.0, y + 11.0);
    drawing.push(line(x, top, x, bottom).stroke(colours.go, 2.0));
    drawing.push(polyline(&[(x - 4.0, top), (x + 4.0, top), (x, top + 5.0)], true).fill(colours.go));
    drawing.push(polyline(&[(x - 4.0, bottom), (x + 4.0, bottom), (x, bottom - 5.0)], true).fill(colours.go));
}

fn legend(drawing: &mut Drawing, top: f64, width_px: f64, words: &Words, colours: &Palette) -> f64 {
    let (mut x, mut y) = (4.0, top + 10.0);
    for (index, id) in
        ["draw-legend-guessed", "draw-legend-measured", "draw-legend-range", "draw-legend-lane-gap"]
            .iter()
            .enumerate()
    {
        let said = words.get(id);
        let wide = 30.0 + text::width(&said, SMALL_PX, false);
        if x > 4.0 && x + wide > width_px {
            x = 4.0;
            y += 24.0;
        }
        match index {
            0 | 1 => dot(drawing, x + 12.0, y, index == 1, colours),
            2 => drawing.push(line(x + 2.0, y, x + 22.0, y).stroke(colours.ink, 3.0).round_ends()),
            _ => lane_tick(drawing, x + 12.0, y, colours),
        }
        drawing.push(label(x + 28.0, centred_baseline(y, SMALL_PX), SMALL_PX, &said).fill(colours.ink));
        x += wide + 16.0;
    }
    y + 16.0
}

fn describe(runner: &PlannedRunner, lane_gap_m: f64, words: &Words) -> String {
    let gap = &runner.spacing_m;
    let id = if gap.n > 0 { "draw-gap-desc-measured" } else { "draw-gap-desc-guessed" };
    say(
        words,
        id,
        &[
            ("gap", Arg::GapM(gap.median)),
            ("low", Arg::GapM(gap.low)),
            ("high", Arg::GapM(gap.high)),
            ("lane", Arg::Text(runner.lane.clone())),
            ("lanegap", Arg::GapM(lane_gap_m)),
        ],
    )
}
