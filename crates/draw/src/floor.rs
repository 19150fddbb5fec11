//! The floor seen from above, to scale.

use lanewright_model::Arg;
use lanewright_model::plan::{LanePlace, Plan, PlannedLane};
use lanewright_model::words::{Units, Words};

use crate::setting_out;
use crate::strip::{LABEL_SPACE_PX, SMALL_PX, letter_box, other_marks};
use crate::svg::{Drawing, Element, Head, centred_baseline, circle, label, line, number, polyline, rect};
use crate::{Figure, Layout, Palette, Style, labels, say, tape, text};

/// Thickness of a wall on the drawing.
const WALL_PX: f64 = 6.0;
/// Height of the lines that lead from marks to tape distances.
const LEAD_PX: f64 = 5.0;
/// Room for the arrow of the way back beside tape distances.
const ARROW_PX: f64 = 6.0;
/// How far a tape distance may stand from its mark before some are left out.
const REACH_PX: f64 = 24.0;
/// Floor shown beyond the lanes when the rest is cut away, in metres.
const CUT_MARGIN_M: f64 = 2.0;
/// The rest of a floor is cut away when the lanes use less than this share of a side.
const CUT_BELOW_RATIO: f64 = 0.72;
/// Bounds of the scale of the upright plan.
const UPRIGHT_PX_PER_M: (f64, f64) = (8.0, 30.0);

/// How a floor plan is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorOptions {
    /// Which way the lanes run.
    pub layout: Layout,
    /// For screen or paper.
    pub style: Style,
    /// Width of the drawing in CSS pixels. On a phone choose `Layout::Upright` and the room there is.
    pub width_px: f64,
    /// Greatest height in CSS pixels; the scale gets smaller until the plan fits.
    pub height_max_px: f64,
}

impl Default for FloorOptions {
    fn default() -> Self {
        Self { layout: Layout::Across, style: Style::Screen, width_px: 703.0, height_max_px: 520.0 }
    }
}

/// Maps metres on the floor to pixels on the drawing.
struct Map {
    upright: bool,
    origin: (f64, f64),
    px_per_m: f64,
    /// The stretch of floor that is shown, along and across, in metres.
    along: (f64, f64),
    across: (f64, f64),
}

impl Map {
    /// Returns the point `along` the running direction and `across` it, both in metres.
    fn point(&self, along: f64, across: f64) -> (f64, f64) {
        if self.upright {
            (
                self.origin.0 + (across - self.across.0) * self.px_per_m,
                self.origin.1 + (self.along.1 - along) * self.px_per_m,
            )
        } else {
            (
                self.origin.0 + (along - self.along.0) * self.px_per_m,
                self.origin.1 + (across - self.across.0) * self.px_per_m,
            )
        }
    }

    fn area(&self, along: (f64, f64), across: (f64, f64)) -> (f64, f64, f64, f64) {
        let (x1, y1) = self.point(along.0, across.0);
        let (x2, y2) = self.point(along.1, across.1);
        (x1.min(x2), y1.min(y2), (x2 - x1).abs(), (y2 - y1).abs())
    }

    fn rect(&self, along: (f64, f64), across: (f64, f64)) -> Element {
        let (x, y, width, height) = self.area(along, across);
        rect(x, y, width, height)
    }

    fn line(&self, from: (f64, f64), to: (f64, f64)) -> Element {
        let (from, to) = (self.point(from.0, from.1), self.point(to.0, to.1));
        line(from.0, from.1, to.0, to.1)
    }
}

/// Draws the whole plan to scale: walls, lanes with their letters, hurdles, waiting place, way back, stopping room,
/// a scale in metres, and the tape distances of the first drill where there is room for them.
///
/// Without a floor in the plan the lanes stand side by side and no walls are drawn. Of a floor much larger than the
/// lanes only the part around them is shown, with a torn edge where it goes on. Lanes that do not fit are drawn as
/// they would stand, across the wall.
pub fn floor_plan(plan: &Plan, words: &Words, options: &FloorOptions) -> Figure {
    let colours = options.style.palette();
    let upright = options.layout == Layout::Upright;
    let places = places(plan);
    let lanes: Vec<(&PlannedLane, LanePlace)> = plan.lanes.iter().zip(places).collect();
    let space = plan.floor.as_ref().map(|floor| &floor.space);

    // What the lanes take up, and what is shown.
    let used_along = lanes.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |used, (lane, place)| {
        let end_m = setting_out::free_until_m(lane) + lane.parts.margin_m;
        (used.0.min(place.start_x_m - setting_out::waiting_m(lane).1), used.1.max(place.start_x_m + end_m))
    });
    let used_across = lanes.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |used, (lane, place)| {
        (
            used.0.min(place.left_y_m - lane.parts.side_strip_m),
            used.1.max(place.right_y_m + lane.parts.way_back_m),
        )
    });
    let (used_along, used_across) =
        if lanes.is_empty() { ((0.0, 10.0), (0.0, 5.0)) } else { (used_along, used_across) };
    let along = shown(used_along, space.map(|space| space.length_m));
    let across = shown(used_across, space.map(|space| space.width_m));

    // Room around the floor for walls, numbers and the legend.
    let most = along.1.max(along.1 / unit_m(words)).ceil();
    let number_px =
        if upright { text::width(&format!("{most}"), SMALL_PX, false) + WALL_PX + 12.0 } else { 34.0 };
    let side_px = WALL_PX + 4.0;
    let legend = legend(plan, words);
    let legend_lines = wrap_legend(&legend, options.width_px - 8.0);
    let legend_px = legend_lines.len() as f64 * 19.0 + 8.0;
    let (length_m, width_m) = (along.1 - along.0, across.1 - across.0);
    let px_per_m = if upright {
        let by_width = (options.width_px - number_px - side_px - 4.0) / width_m;
        let by_height = (options.height_max_px - 2.0 * side_px - legend_px - 20.0) / length_m;
        by_width.min(by_height).clamp(UPRIGHT_PX_PER_M.0.min(by_width), UPRIGHT_PX_PER_M.1)
    } else {
        let by_width = (options.width_px - 2.0 * side_px - 2.0) / length_m;
        let by_height = (options.height_max_px - side_px - number_px - legend_px - 20.0) / width_m;
        by_width.min(by_height.max(4.0))
    };
    let origin = if upright {
        let free = options.width_px - number_px - side_px - 4.0 - width_m * px_per_m;
        (number_px + 2.0 + free.max(0.0) / 2.0, side_px + 2.0)
    } else {
        let free = options.width_px - 2.0 * side_px - 2.0 - length_m * px_per_m;
        (side_px + 1.0 + free.max(0.0) / 2.0, side_px + 2.0)
    };
    let map = Map { upright, origin, px_per_m, along, across };
    let mut drawing = Drawing::default();

    edges(&mut drawing, &map, plan, &colours);
    for (index, (lane, place)) in lanes.iter().enumerate() {
        let next_m =
            lanes.get(index + 1).map_or(across.1, |(next, at)| at.left_y_m - next.parts.side_strip_m);
        draw_lane(&mut drawing, &map, lane, place, next_m, words, &colours);
    }
    if let Some(space) = space {
        for (lane, place) in &lanes {
            over_the_edge(&mut drawing, &map, lane, place, (space.length_m, space.width_m), &colours);
        }
    }
    // Words stand above the hatching of what does not fit, on a ground of their own.
    for (lane, place) in &lanes {
        lane_words(&mut drawing, &map, lane, place, plan.fits, words, &colours);
    }
    let floor_bottom = map.area(along, across).1 + map.area(along, across).3;
    let y = metres(&mut drawing, &map, space.is_some(), floor_bottom, words, &colours, options.width_px);
    let height = draw_legend(&mut drawing, &legend_lines, y, &colours);

    let layout = if upright { "upright" } else { "across" };
    let id = format!("lw-floor-{layout}");
    let title = words.get("draw-floor-title");
    let description = describe(plan, words);
    let svg = drawing.finish(Head {
        id: &id,
        width: options.width_px,
        height,
        title: &title,
        description: &description,
        data: &[
            ("data-px-per-m", &format!("{px_per_m}")),
            ("data-zero-px", &number(map.point(0.0, across.0).0)),
            ("data-zero-y-px", &number(map.point(0.0, across.0).1)),
        ],
    });
    Figure { id, svg, width: options.width_px, height, title, description }
}

/// Returns where each lane stands: as the plan says, or side by side when there is no floor.
fn places(plan: &Plan) -> Vec<LanePlace> {
    if let Some(floor) = &plan.floor
        && floor.lanes.len() == plan.lanes.len()
    {
        return floor.lanes.clone();
    }
    let waiting_m = plan.lanes.iter().map(|lane| setting_out::waiting_m(lane).1).fold(0.0, f64::max);
    let mut left_m = 0.5;
    plan.lanes
        .iter()
        .map(|lane| {
            left_m += lane.parts.side_strip_m;
            let right_m = left_m + lane.parts.width_m.max(0.6);
            let place = LanePlace { start_x_m: waiting_m, left_y_m: left_m, right_y_m: right_m };
            left_m = right_m + lane.parts.way_back_m.max(0.8);
            place
        })
        .collect()
}

/// Returns the stretch that is shown: the floor, or the lanes with a margin when the floor is much larger.
fn shown(used: (f64, f64), floor_m: Option<f64>) -> (f64, f64) {
    let Some(floor_m) = floor_m else { return (used.0.min(0.0), used.1) };
    let whole = (used.0.min(0.0), used.1.max(floor_m));
    if used.1 - used.0 >= CUT_BELOW_RATIO * floor_m {
        return whole;
    }
    let from = if used.0 <= 2.0 * CUT_MARGIN_M { whole.0 } else { used.0 - CUT_MARGIN_M };
    let to = if floor_m - used.1 <= 2.0 * CUT_MARGIN_M { whole.1 } else { used.1 + CUT_MARGIN_M };
    (from, to)
}

/// Draws the four edges: walls thick, open edges dashed, cut edges torn.
fn edges(drawing: &mut Drawing, map: &Map, plan: &Plan, colours: &Palette) {
    let (along, across) = (map.along, map.across);
    let Some(space) = plan.floor.as_ref().map(|floor| &floor.space) else {
        drawing.push(map.rect(along, across).fill(colours.card).stroke(colours.line, 1.0));
        return;
    };
    let floor_along = (along.0.max(0.0), along.1.min(space.length_m));
    let floor_across = (across.0.max(0.0), across.1.min(space.width_m));
    drawing.push(map.rect(floor_along, floor_across).fill(colours.card));
    // (two ends of the edge, outward direction on the floor, is a wall, is cut away)
    type Side = ((f64, f64), (f64, f64), (f64, f64), bool, bool);
    let sides: [Side; 4] = [
        ((0.0, floor_across.0), (0.0, floor_across.1), (-1.0, 0.0), space.wall_start, along.0 > 0.0),
        (
            (space.length_m, floor_across.0),
            (space.length_m, floor_across.1),
            (1.0, 0.0),
            space.wall_finish,
            along.1 < space.length_m,
        ),
        ((floor_along.0, 0.0), (floor_along.1, 0.0), (0.0, -1.0), space.wall_left, across.0 > 0.0),
        (
            (floor_along.0, space.width_m),
            (floor_along.1, space.width_m),
            (0.0, 1.0),
            space.wall_right,
            across.1 < space.width_m,
        ),
    ];
    let out_m = WALL_PX / 2.0 / map.px_per_m;
    for (from, to, out, wall, cut) in sides {
        if cut {
            let at_along =
                |point: (f64, f64)| (point.0.clamp(along.0, along.1), point.1.clamp(across.0, across.1));
            torn_edge(
                drawing,
                map.point(at_along(from).0, at_along(from).1),
                map.point(at_along(to).0, at_along(to).1),
                colours,
            );
        } else if wall {
            // Thick lines lie outside the floor, and reach round the corners.
            let longer = |point: (f64, f64), sign: f64| {
                (
                    point.0 + out.0 * out_m + out.1.abs() * sign * out_m * 2.0,
                    point.1 + out.1 * out_m + out.0.abs() * sign * out_m * 2.0,
                )
            };
            drawing.push(
                map.line(longer(from, -1.0), longer(to, 1.0))
                    .stroke(colours.ink, WALL_PX)
                    .attribute("data-part", "wall"),
            );
        } else {
            drawing.push(map.line(from, to).stroke(colours.soft, 1.2).dash("8 6"));
        }
    }
}

/// A zigzag where the floor goes on.
fn torn_edge(drawing: &mut Drawing, from: (f64, f64), to: (f64, f64), colours: &Palette) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = (dx * dx + dy * dy).sqrt();
    let teeth = (length / 12.0).floor().max(1.0);
    let (nx, ny) = (-dy / length.max(1e-9), dx / length.max(1e-9));
    let count = teeth as usize * 2;
    let points: Vec<(f64, f64)> = (0..=count)
        .map(|k| {
            let share = k as f64 / count as f64;
            let out = if k % 2 == 0 { 0.0 } else { 3.0 };
            (from.0 + dx * share + nx * out, from.1 + dy * share + ny * out)
        })
        .collect();
    drawing.push(polyline(&points, false).fill("none").stroke(colours.soft, 1.0));
}

fn draw_lane(
    drawing: &mut Drawing,
    map: &Map,
    lane: &PlannedLane,
    place: &LanePlace,
    next_m: f64,
    words: &Words,
    colours: &Palette,
) {
    let parts = &lane.parts;
    let start = place.start_x_m;
    let exit = start + setting_out::exit_m(lane);
    let free_until = start + setting_out::free_until_m(lane);
    let own = across_lane(place);
    let waiting = setting_out::waiting_m(lane);
    let middle = (own.0 + own.1) / 2.0;
    drawing.open("lane", &[("data-lane", &lane.lane)]);

    drawing.push(
        map.rect((start - waiting.1, start - waiting.0), own)
            .fill("none")
            .stroke(colours.soft, 1.0)
            .dash("1 3")
            .part("waiting", parts.waiting_m),
    );
    if parts.start_stopping_m > 0.0 {
        drawing.push(
            map.rect((start - parts.start_stopping_m, start), own)
                .fill(colours.card)
                .stroke(colours.warn, 1.6)
                .dash("7 4")
                .part("stopping-back", parts.start_stopping_m),
        );
    }
    drawing.push(
        map.rect((start, exit), own).fill(colours.grass).stroke(colours.soft, 0.8).part("lane", exit - start),
    );
    if parts.side_strip_m > 0.0 {
        drawing.push(
            map.rect((start, exit), (own.0 - parts.side_strip_m, own.0))
                .fill("none")
                .stroke(colours.soft, 1.0)
                .dash("4 3")
                .part("side-strip", parts.side_strip_m),
        );
    }
    drawing.push(
        map.rect((exit, free_until), own)
            .fill(colours.card)
            .stroke(colours.warn, 1.6)
            .dash("7 4")
            .part("stopping", parts.stopping_m),
    );
    if parts.margin_m > 0.0 {
        drawing.push(
            map.rect((free_until, free_until + parts.margin_m), own)
                .fill("none")
                .stroke(colours.soft, 1.0)
                .dash("1 3")
                .part("margin", parts.margin_m),
        );
    }

    // Marks of the other setting, then start marks and hurdles over them.
    for at_m in other_marks(lane) {
        let (x, y) = map.point(start + at_m, middle);
        drawing.push(circle(x, y, 2.4).fill(colours.card).stroke(colours.ink, 1.2).at_m("mark-short", at_m));
    }
    drawing.push(map.line((start, own.0), (start, own.1)).stroke(colours.ink, 3.0).at_m("start", 0.0));
    if parts.second_start_m > 0.0 {
        let quarter = (own.1 - own.0) * 0.25;
        let at = start + parts.second_start_m;
        drawing.push(
            map.line((at, own.0 + quarter), (at, own.1 - quarter))
                .stroke(colours.ink, 2.0)
                .at_m("start", parts.second_start_m),
        );
    }
    let reach = (own.1 - own.0) * 0.36;
    for at_m in &lane.marks_m {
        let at = start + at_m;
        drawing.push(
            map.line((at, middle - reach), (at, middle + reach))
                .stroke(colours.ink, 3.4)
                .round_ends()
                .at_m("hurdle", *at_m),
        );
    }

    way_back(drawing, map, lane, place, next_m, words, colours);
    drawing.close();
}

/// Returns where a lane lies across the floor.
fn across_lane(place: &LanePlace) -> (f64, f64) {
    (place.left_y_m, place.right_y_m.max(place.left_y_m + 0.3))
}

/// Returns the side of the box with a lane's letter.
fn letter_side(map: &Map, own: (f64, f64)) -> f64 {
    22.0_f64.min((own.1 - own.0) * map.px_per_m - 2.0).max(16.0)
}

/// Returns whether the letter stands between start line and first hurdle.
fn letter_before_hurdles(map: &Map, lane: &PlannedLane, side: f64) -> bool {
    lane.parts.waiting_m * map.px_per_m < side * 0.6 && lane.parts.run_up_m * map.px_per_m > side + 12.0
}

/// Hatches what does not stand on the floor.
fn over_the_edge(
    drawing: &mut Drawing,
    map: &Map,
    lane: &PlannedLane,
    place: &LanePlace,
    (length_m, width_m): (f64, f64),
    colours: &Palette,
) {
    // A centimetre is no misfit.
    const LEAST_M: f64 = 0.01;
    let along = (
        place.start_x_m - setting_out::waiting_m(lane).1,
        place.start_x_m + setting_out::free_until_m(lane) + lane.parts.margin_m,
    );
    let across = (place.left_y_m - lane.parts.side_strip_m, place.right_y_m);
    let outside = [
        ((length_m.max(along.0), along.1), across),
        ((along.0, along.1.min(0.0)), across),
        (along, (width_m.max(across.0), across.1)),
    ];
    for (along, across) in outside {
        if along.1 - along.0 <= LEAST_M || across.1 - across.0 <= LEAST_M {
            continue;
        }
        let (x, y, width, height) = map.area(along, across);
        drawing.push(
            rect(x, y, width, height).fill("none").stroke(colours.warn, 1.4).attribute("data-part", "over"),
        );
        // Lines at 45°, one every 7 px, cut to the rectangle.
        let mut offset = 7.0;
        while offset < width + height {
            let from = (x + f64::min(offset, width), y + f64::max(offset - width, 0.0));
            let to = (x + f64::max(offset - height, 0.0), y + f64::min(offset, height));
            drawing.push(line(from.0, from.1, to.0, to.1).stroke(colours.warn, 1.2));
            offset += 7.0;
        }
    }
}

/// Writes into a lane what fits: its letter, the arrow of the running direction, and the length of the stopping room.
fn lane_words(
    drawing: &mut Drawing,
    map: &Map,
    lane: &PlannedLane,
    place: &LanePlace,
    fits: bool,
    words: &Words,
    colours: &Palette,
) {
    let parts = &lane.parts;
    let start = place.start_x_m;
    let own = across_lane(place);
    let middle = (own.0 + own.1) / 2.0;
    // The letter stands where the children wait; where that is too small and the run-up is not, before the first
    // hurdle.
    let waiting = setting_out::waiting_m(lane);
    let side = letter_side(map, own);
    let letter_inside = letter_before_hurdles(map, lane, side);
    let at = if letter_inside { start + parts.run_up_m * 0.5 } else { start - (waiting.0 + waiting.1) / 2.0 };
    let (x, y) = map.point(at, middle);
    letter_box(drawing, x - side / 2.0, y - side / 2.0, side, &lane.lane, colours);
    // Running direction: an arrow between the start marks and the first hurdle.
    let first_m = lane.marks_m.first().copied().unwrap_or(lane.run_up_m);
    let from_m = start + parts.second_start_m.max(0.0) + 7.0 / map.px_per_m;
    let to_m = start + first_m - 9.0 / map.px_per_m;
    if !letter_inside && to_m > from_m {
        drawing.arrow(map.point(from_m, middle), map.point(to_m, middle), 2.2, colours.go);
    }
    let exit = start + setting_out::exit_m(lane);
    let free_until = start + setting_out::free_until_m(lane);
    let (x, y) = map.point((exit + free_until) / 2.0, middle);
    let (_, _, width, height) = map.area((exit, free_until), own);
    let say = |id: &str| say(words, id, &[("room", Arg::RoomM(parts.stopping_m))]);
    let has_room = |said: &String| text::width(said, SMALL_PX, false) <= width - 3.0;
    // Where lanes are hatched, what is written keeps clear of the lines.
    let mut ground = |said: &str, turned: bool| {
        let (long, high) = (text::width(said, SMALL_PX, false) + 4.0, SMALL_PX + 3.0);
        let (width, height) = if turned { (high, long) } else { (long, high) };
        if !fits {
            let ground = rect(x - width / 2.0, y - height / 2.0, width, height).fill(colours.card);
            drawing.push(ground.attribute("data-part", "ground"));
        }
    };
    // The length of the stopping room is written in the shortest form rather than left out.
    let one_line =
        [say("draw-stop-long"), say("draw-stop"), say("draw-room"), short_room(words, parts.stopping_m)];
    if map.upright && width < 60.0 {
        // Too narrow for a line: the words run up the lane.
        let along = |said: &&String| text::width(said, SMALL_PX, false) <= height - 4.0;
        if width >= SMALL_PX + 2.0
            && let Some(said) = one_line.iter().find(along)
        {
            ground(said, true);
            let x = x + SMALL_PX * 0.36;
            let turn = format!("rotate(-90 {} {})", number(x), number(y));
            let written = label(x, y, SMALL_PX, said).middle().fill(colours.warn);
            drawing.push(written.attribute("transform", &turn));
        }
    } else if height >= SMALL_PX
        && let Some(said) = one_line.iter().find(|said| has_room(said))
    {
        ground(said, false);
        drawing.push(label(x, centred_baseline(y, SMALL_PX), SMALL_PX, said).middle().fill(colours.warn));
    }
}

/// Returns a stopping room in its shortest form: `6.5 m`, `21'4"`.
fn short_room(words: &Words, length_m: f64) -> String {
    let said = crate::shown(words, &Arg::RoomM(length_m));
    said.replace("\u{a0}ft\u{a0}", "'").replace("\u{a0}ft", "'").replace("\u{a0}in", "\"")
}

/// Draws the way back beside a lane and, where there is room, tape distances.
fn way_back(
    drawing: &mut Drawing,
    map: &Map,
    lane: &PlannedLane,
    place: &LanePlace,
    next_m: f64,
    words: &Words,
    colours: &Palette,
) {
    let parts = &lane.parts;
    let start = place.start_x_m;
    let strip = (place.right_y_m, (place.right_y_m + parts.way_back_m).min(next_m.max(place.right_y_m)));
    let strip_px = (strip.1 - strip.0) * map.px_per_m;
    let from = start + setting_out::free_until_m(lane);
    let waiting = setting_out::waiting_m(lane);
    let to = start - (waiting.0 + waiting.1) * 0.5;
    if map.upright {
        if strip_px >= 7.0 {
            let across = (strip.0 + strip.1) / 2.0;
            drawing.push(map.line((from, place.right_y_m), (from, across)).stroke(colours.soft, 1.4));
            drawing.arrow(map.point(from, across), map.point(to, across), 1.4, colours.soft);
        }
        return;
    }
    // The arrow keeps to the far side of the strip; tape distances stand between it and the lane.
    let tape_px = LEAD_PX + SMALL_PX + ARROW_PX;
    let with_tape = (next_m - strip.0) * map.px_per_m >= tape_px;
    if strip_px >= 7.0 {
        let across = if with_tape {
            strip.0 + (strip_px.max(tape_px) - ARROW_PX / 2.0) / map.px_per_m
        } else {
            (strip.0 + strip.1) / 2.0
        };
        drawing.push(map.line((from, place.right_y_m), (from, across)).stroke(colours.soft, 1.4));
        drawing.arrow(map.point(from, across), map.point(to, across), 1.4, colours.soft);
    }
    if !with_tape {
        return;
    }
    let at_m = &lane.marks_m;
    let shown: Vec<String> = at_m.iter().map(|at_m| tape(words, *at_m)).collect();
    let extents: Vec<(f64, f64)> = at_m
        .iter()
        .zip(&shown)
        .map(|(at_m, shown)| (map.point(start + at_m, 0.0).0, text::width(shown, SMALL_PX, false)))
        .collect();
    let top = map.point(0.0, place.right_y_m).1;
    let low = map.point(map.along.0, 0.0).0 + 2.0;
    let high = map.point(from, 0.0).0 - 6.0;
    for placed in labels::spread(&extents, low, high, LABEL_SPACE_PX, REACH_PX) {
        let x = extents[placed.index].0;
        drawing.push(line(x, top, placed.centre, top + LEAD_PX).stroke(colours.soft, 0.8));
        let baseline = top + LEAD_PX + SMALL_PX - 2.0;
        drawing
            .push(label(placed.centre, baseline, SMALL_PX, &shown[placed.index]).middle().fill(colours.ink));
    }
}

/// Returns the length of the unit that the scale counts in: the steps stay round in either.
fn unit_m(words: &Words) -> f64 {
    match words.units {
        Units::Metric => 1.0,
        Units::FeetInches => 0.3048,
    }
}

/// Draws the scale along the floor and returns where it ends.
fn metres(
    drawing: &mut Drawing,
    map: &Map,
    floor_given: bool,
    floor_bottom: f64,
    words: &Words,
    colours: &Palette,
    width_px: f64,
) -> f64 {
    let unit_m = unit_m(words);
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .find(|step| step * unit_m * map.px_per_m >= 40.0)
        .unwrap_or(100.0);
    let first = (map.along.0.max(0.0) / unit_m / step).ceil() * step;
    let mut value = first;
    let metric = words.units == Units::Metric;
    let unit = match (floor_given, metric) {
        (true, true) => "draw-scale-metres-from",
        (true, false) => "draw-scale-feet-from",
        (false, true) => "draw-scale-metres",
        (false, false) => "draw-scale-feet",
    };
    // Tape distances are written beside lanes that run across only.
    let caption = match map.upright {
        true => words.get(unit),
        false => format!("{} · {}", words.get(unit), words.get("draw-scale-tape")),
    };
    if map.upright {
        let x = map.origin.0 - WALL_PX - 3.0;
        while value * unit_m <= map.along.1 + 1e-9 {
            let (_, y) = map.point(value * unit_m, map.across.0);
            drawing.push(line(x - 4.0, y, x, y).stroke(colours.ink, 1.0));
            drawing.push(
                label(x - 6.0, centred_baseline(y, SMALL_PX), SMALL_PX, &format!("{value}"))
                    .end()
                    .fill(colours.soft),
            );
            value += step;
        }
        let baseline = floor_bottom + WALL_PX + SMALL_PX + 6.0;
        let caption = text::fit(&caption, SMALL_PX, false, width_px - 8.0);
        drawing.push(label(4.0, baseline, SMALL_PX, &caption).fill(colours.soft));
        return baseline + 6.0;
    }
    let y = floor_bottom + WALL_PX + 2.0;
    while value * unit_m <= map.along.1 + 1e-9 {
        let (x, _) = map.point(value * unit_m, map.across.0);
        let said = format!("{value}");
        let half = text::width(&said, SMALL_PX, false) / 2.0;
        let centre = x.clamp(half + 1.0, width_px - half - 1.0);
        drawing.push(line(x, y, x, y + 5.0).stroke(colours.ink, 1.0));
        drawing.push(label(centre, y + 6.0 + SMALL_PX, SMALL_PX, &said).middle().fill(colours.soft));
        value += step;
    }
    let baseline = y + 6.0 + SMALL_PX * 2.0 + 3.0;
    // Under the floor, or from the left edge when the floor is narrow.
    let from = map.origin.0.min((width_px - text::width(&caption, SMALL_PX, false)).max(4.0));
    let caption = text::fit(&caption, SMALL_PX, false, width_px - from);
    drawing.push(label(from, baseline, SMALL_PX, &caption).fill(colours.soft));
    baseline + 6.0
}

/// What the symbols of the plan mean.
#[derive(Clone, Copy)]
enum Sign {
    Hurdle,
    Other,
    Stop,
    Margin,
    Waiting,
    Back,
    Side,
    Wall,
    Over,
}

fn legend(plan: &Plan, words: &Words) -> Vec<(Sign, String)> {
    let has = |test: &dyn Fn(&PlannedLane) -> bool| plan.lanes.iter().any(test);
    let mut signs = vec![(Sign::Waiting, words.get("draw-legend-waiting"))];
    signs.push((Sign::Hurdle, words.get("draw-legend-hurdle")));
    if has(&|lane| !other_marks(lane).is_empty()) {
        signs.push((Sign::Other, words.get("draw-legend-other")));
    }
    if has(&|lane| lane.parts.side_strip_m > 0.0) {
        signs.push((Sign::Side, words.get("draw-legend-side")));
    }
    signs.push((Sign::Stop, words.get("draw-legend-stop")));
    if has(&|lane| lane.parts.margin_m > 0.0) {
        signs.push((Sign::Margin, words.get("draw-legend-margin")));
    }
    if has(&|lane| lane.parts.way_back_m > 0.0) {
        signs.push((Sign::Back, words.get("draw-legend-back")));
    }
    let walls = plan.floor.as_ref().map(|floor| &floor.space);
    if walls.is_some_and(|space| space.wall_start || space.wall_finish || space.wall_left || space.wall_right)
    {
        signs.push((Sign::Wall, words.get("draw-legend-wall")));
    }
    if !plan.fits {
        signs.push((Sign::Over, words.get("draw-legend-over")));
    }
    signs
}

const SIGN_PX: f64 = 26.0;

fn wrap_legend(legend: &[(Sign, String)], room: f64) -> Vec<Vec<(Sign, String, f64)>> {
    let mut lines: Vec<Vec<(Sign, String, f64)>> = vec![Vec::new()];
    let mut x = 0.0;
    for (sign, said) in legend {
        let wide = SIGN_PX + 5.0 + text::width(said, SMALL_PX, false) + 14.0;
        if x > 0.0 && x + wide - 14.0 > room {
            lines.push(Vec::new());
            x = 0.0;
        }
        if let Some(line) = lines.last_mut() {
            line.push((*sign, said.clone(), x));
        }
        x += wide;
    }
    lines
}

fn draw_legend(
    drawing: &mut Drawing,
    lines: &[Vec<(Sign, String, f64)>],
    top: f64,
    colours: &Palette,
) -> f64 {
    let mut y = top + 10.0;
    for row in lines {
        for (sign, said, at) in row {
            let x = at + 4.0;
            let box_ = rect(x, y - 7.0, SIGN_PX - 2.0, 14.0);
            match sign {
                Sign::Hurdle => {
                    drawing.push(
                        line(x + 12.0, y - 6.0, x + 12.0, y + 6.0).stroke(colours.ink, 3.4).round_ends(),
                    );
                }
                Sign::Other => {
                    drawing.push(circle(x + 12.0, y, 2.4).fill(colours.card).stroke(colours.ink, 1.2));
                }
                Sign::Stop => drawing.push(box_.fill(colours.card).stroke(colours.warn, 1.6).dash("7 4")),
                Sign::Margin | Sign::Waiting => {
                    drawing.push(box_.fill("none").stroke(colours.soft, 1.0).dash("1 3"));
                    if matches!(sign, Sign::Waiting) {
                        drawing.push(
                            rect(x + 7.0, y - 5.0, 10.0, 10.0)
                                .fill(colours.card)
                                .stroke(colours.ink, 1.4)
                                .corner(2.0),
                        );
                    }
                }
                Sign::Side => drawing.push(box_.fill("none").stroke(colours.soft, 1.0).dash("4 3")),
                Sign::Over => {
                    drawing.push(box_.fill("none").stroke(colours.warn, 1.4));
                    for offset in [0.0, 7.0] {
                        let x = x + 10.0 + offset;
                        drawing.push(line(x, y - 7.0, x - 7.0, y + 7.0).stroke(colours.warn, 1.2));
                    }
                }
                Sign::Back => drawing.arrow((x + SIGN_PX - 2.0, y), (x, y), 1.4, colours.soft),
                Sign::Wall => drawing.push(line(x, y, x + SIGN_PX - 2.0, y).stroke(colours.ink, WALL_PX)),
            }
            drawing.push(
                label(x + SIGN_PX + 3.0, centred_baseline(y, SMALL_PX), SMALL_PX, said).fill(colours.ink),
            );
        }
        y += 19.0;
    }
    y
}

fn describe(plan: &Plan, words: &Words) -> String {
    let mut sentences = Vec::new();
    match &plan.floor {
        Some(floor) => {
            sentences.push(say(
                words,
                "draw-floor-desc",
                &[
                    ("count", Arg::Count(plan.lanes.len() as i64)),
                    ("length", Arg::MeasuredM(floor.space.length_m)),
                    ("width", Arg::MeasuredM(floor.space.width_m)),
                ],
            ));
            let fit = if plan.fits { "draw-floor-desc-fits" } else { "draw-floor-desc-fits-not" };
            let (length, width) = floor.needed(words);
            sentences.push(say(words, fit, &[("length", length), ("width", width)]));
        }
        None => sentences.push(say(
            words,
            "draw-floor-desc-open",
            &[("count", Arg::Count(plan.lanes.len() as i64))],
        )),
    }
    for lane in &plan.lanes {
        sentences.push(say(
            words,
            "draw-floor-desc-lane",
            &[
                ("lane", Arg::Text(lane.lane.clone())),
                ("gap", Arg::GapM(lane.spacing_m)),
                ("hurdles", Arg::Text(crate::strip::hurdles(lane, words))),
                ("stop", Arg::RoomM(lane.parts.stopping_m)),
            ],
        ));
    }
    sentences.join(" ")
}
