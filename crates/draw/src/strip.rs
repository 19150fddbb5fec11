//! One lane as a strip, to scale along its length.

use lanewright_model::Arg;
use lanewright_model::drill::Setting;
use lanewright_model::plan::{Plan, PlannedLane};
use lanewright_model::words::Words;

use crate::setting_out::{self, Mark, MarkKind};
use crate::svg::{Drawing, Head, centred_baseline, circle, id_from, label, line, number, polyline, rect};
use crate::{Figure, Layout, Palette, Style, labels, say, tape, text};

/// Size of text in figures, in CSS pixels: 9 pt on paper.
pub(crate) const SMALL_PX: f64 = 12.0;
/// Size of names and settings.
pub(crate) const TEXT_PX: f64 = 14.0;
/// Height of one row of small labels.
pub(crate) const ROW_PX: f64 = 15.0;
/// Least room between two labels.
pub(crate) const LABEL_SPACE_PX: f64 = 5.0;
/// Room left of a strip, for the lane's letter and the names of the tape rows.
const GUTTER_PX: f64 = 62.0;
/// Height of the picture of the lane.
const BAND_PX: f64 = 44.0;
/// How far a tape label may stand from its mark, along the lane, before labels are left out.
const REACH_PX: f64 = 95.0;
/// Height of the lines that lead from marks to labels.
const LEAD_PX: f64 = 9.0;

/// How a strip is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripOptions {
    /// Which way the lane runs.
    pub layout: Layout,
    /// For screen or paper.
    pub style: Style,
    /// Width of the drawing in CSS pixels.
    pub width_px: f64,
    /// What the scale leaves room for; the lane's own lengths when absent.
    pub scale: Option<StripScale>,
    /// Whether the names of the children are written.
    pub names: bool,
}

impl Default for StripOptions {
    fn default() -> Self {
        Self { layout: Layout::Across, style: Style::Screen, width_px: 703.0, scale: None, names: true }
    }
}

/// Room on both sides of the start line, so that several strips share one scale and their start lines stand in line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripScale {
    /// Room behind the start line, in metres.
    pub behind_m: f64,
    /// Room from the start line to the end of the clear margin, in metres.
    pub ahead_m: f64,
}

impl StripScale {
    /// Returns the scale that holds all of these lanes.
    pub fn of<'a>(lanes: impl IntoIterator<Item = &'a PlannedLane>) -> Self {
        lanes.into_iter().fold(Self { behind_m: 0.0, ahead_m: 1.0 }, |scale, lane| Self {
            behind_m: scale.behind_m.max(setting_out::waiting_m(lane).1),
            ahead_m: scale.ahead_m.max(setting_out::free_until_m(lane) + lane.parts.margin_m),
        })
    }
}

/// Draws every lane of a plan at one scale, start lines in line.
pub fn lane_strips(plan: &Plan, words: &Words, options: &StripOptions) -> Vec<Figure> {
    let scale = options.scale.unwrap_or_else(|| StripScale::of(&plan.lanes));
    let options = StripOptions { scale: Some(scale), ..*options };
    plan.lanes.iter().map(|lane| lane_strip(lane, words, &options)).collect()
}

/// Draws one lane to scale: waiting room, start marks, run-up, hurdles, exit, stopping room, clear margin, and the
/// running tape distance under every mark.
///
/// Heights of hurdles are drawn larger than scale, the lengths never. Marks of the long setting are triangles, those of
/// the short setting open circles. Where marks are too close for their labels, labels fan out and lines lead to
/// them; where even that is too little, every second (third …) is written and the list of the setting-out page
/// has them all.
pub fn lane_strip(lane: &PlannedLane, words: &Words, options: &StripOptions) -> Figure {
    match options.layout {
        Layout::Across => across(lane, words, options),
        Layout::Upright => upright(lane, words, options),
    }
}

/// Returns the gap, hurdles and height of a lane in one line: `gap 1.25 m · 6 hurdles, 30 cm`.
pub(crate) fn lane_facts(lane: &PlannedLane, words: &Words) -> String {
    format!("{} · {}", gaps(lane, words), hurdles(lane, words))
}

/// Returns the gap or gaps of a lane: `gap 1.25 m`.
fn gaps(lane: &PlannedLane, words: &Words) -> String {
    match (setting_out::setting(lane, Setting::Long), setting_out::setting(lane, Setting::Short)) {
        (Some(long), Some(short)) => {
            say(words, "draw-two-gaps", &[("long", Arg::GapM(long.gap_m)), ("short", Arg::GapM(short.gap_m))])
        }
        _ => say(words, "draw-one-gap", &[("gap", Arg::GapM(lane.spacing_m))]),
    }
}

/// Returns how many hurdles of which height: `6 hurdles, 30 cm`.
pub(crate) fn hurdles(lane: &PlannedLane, words: &Words) -> String {
    let count = ("count", Arg::Count(i64::from(lane.hurdles)));
    if lane.hurdle_height_cm > 0.0 {
        say(words, "draw-hurdles", &[count, ("height", Arg::HeightCm(lane.hurdle_height_cm))])
    } else {
        say(words, "draw-lines", &[count])
    }
}

fn describe(lane: &PlannedLane, names: bool, words: &Words) -> String {
    let parts = &lane.parts;
    let list = |marks_m: &[f64]| {
        marks_m.iter().map(|at_m| crate::shown(words, &Arg::GapM(*at_m))).collect::<Vec<_>>().join(", ")
    };
    let mut sentences = vec![say(
        words,
        "draw-strip-desc",
        &[
            ("hurdles", Arg::Text(hurdles(lane, words))),
            ("runup", Arg::RoomM(lane.run_up_m)),
            ("exit", Arg::RoomM(parts.exit_m)),
            ("stop", Arg::RoomM(parts.stopping_m)),
            ("free", words.free_until(setting_out::free_until_m(lane))),
        ],
    )];
    for setting in &lane.settings {
        let id = match setting.setting {
            Setting::Long => "draw-strip-desc-long",
            Setting::Short => "draw-strip-desc-short",
        };
        sentences.push(say(
            words,
            id,
            &[("gap", Arg::GapM(setting.gap_m)), ("marks", Arg::Text(list(&setting.marks_m)))],
        ));
    }
    if lane.settings.is_empty() {
        sentences.push(say(words, "draw-strip-desc-marks", &[("marks", Arg::Text(list(&lane.marks_m)))]));
    }
    if names && !lane.runners.is_empty() {
        sentences.push(say(words, "draw-strip-desc-names", &[("names", Arg::Text(lane.runners.join(", ")))]));
    }
    sentences.join(" ")
}

/// Returns the marks of the setting that is not the one whose hurdles are drawn.
pub(crate) fn other_marks(lane: &PlannedLane) -> Vec<f64> {
    lane.settings
        .iter()
        .flat_map(|setting| setting.marks_m.iter().copied())
        .filter(|at_m| lane.marks_m.iter().all(|hurdle_m| (hurdle_m - at_m).abs() > 1e-9))
        .collect()
}

/// A filled triangle that points up at `tip`: a mark of the long setting.
pub(crate) fn long_symbol(drawing: &mut Drawing, tip: (f64, f64), colour: &str, at_m: Option<f64>) {
    let (x, y) = tip;
    let symbol = polyline(&[(x, y), (x + 4.5, y + 8.0), (x - 4.5, y + 8.0)], true).fill(colour);
    drawing.push(match at_m {
        Some(at_m) => symbol.at_m("mark-long", at_m),
        None => symbol,
    });
}

/// An open circle: a mark of the short setting.
pub(crate) fn short_symbol(drawing: &mut Drawing, centre: (f64, f64), colours: &Palette, at_m: Option<f64>) {
    let symbol = circle(centre.0, centre.1, 3.6).fill(colours.card).stroke(colours.ink, 1.6);
    drawing.push(match at_m {
        Some(at_m) => symbol.at_m("mark-short", at_m),
        None => symbol,
    });
}

/// Draws the letter of a lane in a box.
pub(crate) fn letter_box(drawing: &mut Drawing, x: f64, y: f64, side: f64, lane: &str, colours: &Palette) {
    drawing.push(rect(x, y, side, side).fill(colours.card).stroke(colours.ink, 2.0).corner(side * 0.2));
    let size = (side * 0.68).max(SMALL_PX);
    let shown = text::fit(lane, size, true, side - 2.0);
    drawing.push(
        label(x + side / 2.0, centred_baseline(y + side / 2.0, size), size, &shown)
            .bold()
            .middle()
            .fill(colours.ink),
    );
}

/// A hurdle seen from the side on ground level `ground_y`: a post with a round top on a foot; a floor line lies flat.
fn hurdle_from_side(drawing: &mut Drawing, x: f64, ground_y: f64, lane: &PlannedLane, at_m: f64, ink: &str) {
    if lane.hurdle_height_cm <= 0.0 {
        drawing.push(rect(x - 5.0, ground_y - 4.0, 10.0, 4.0).fill(ink).at_m("hurdle", at_m));
        return;
    }
    // Low hurdles stay visible; high ones stay under the flags of the start marks.
    let tall = (lane.hurdle_height_cm * 0.9).clamp(11.0, 26.0);
    drawing.push(line(x, ground_y, x, ground_y - tall).stroke(ink, 3.0).at_m("hurdle", at_m));
    drawing.push(circle(x, ground_y - tall, 2.8).fill(ink));
    drawing.push(line(x - 5.0, ground_y - 1.5, x + 5.0, ground_y - 1.5).stroke(ink, 3.0));
}

fn across(lane: &PlannedLane, words: &Words, options: &StripOptions) -> Figure {
    let colours = options.style.palette();
    let parts = &lane.parts;
    let scale = options.scale.unwrap_or_else(|| StripScale::of([lane]));
    let right_pad = 8.0;
    let px_per_m = (options.width_px - GUTTER_PX - right_pad).max(100.0) / (scale.behind_m + scale.ahead_m);
    let x = |at_m: f64| GUTTER_PX + (scale.behind_m + at_m) * px_per_m;
    let (low, high) = (GUTTER_PX + 2.0, options.width_px - 2.0);
    let exit_m = setting_out::exit_m(lane);
    let free_until_m = setting_out::free_until_m(lane);
    let mut drawing = Drawing::default();

    // Head: what the lane is, who runs in it.
    let facts_room = options.width_px - GUTTER_PX - 2.0;
    let mut y = 2.0;
    for facts in text::wrap(&lane_facts(lane, words), TEXT_PX, true, facts_room) {
        y += TEXT_PX + 2.0;
        drawing.push(label(GUTTER_PX, y, TEXT_PX, &facts).bold().fill(colours.ink));
    }
    if options.names && !lane.runners.is_empty() {
        for names in text::wrap_list(&lane.runners, TEXT_PX, facts_room) {
            y += TEXT_PX + 3.0;
            drawing.push(label(GUTTER_PX, y, TEXT_PX, &names).fill(colours.ink));
        }
    }
    y += 6.0;

    // Rooms whose names do not fit inside get them above, with a line down.
    let rooms = rooms(lane, words, exit_m, free_until_m);
    // The flag of the second start mark flies backwards where it would reach the first hurdle or the exit line.
    let next_m = lane.marks_m.first().copied().unwrap_or(exit_m).min(exit_m);
    let flag_ahead = x(parts.second_start_m) + FLAG_PX <= x(next_m);
    let flag_from = if flag_ahead { f64::INFINITY } else { x(parts.second_start_m) - FLAG_PX - 2.0 };
    // The stretch inside a room that words may take.
    let clear = |room: &Room| {
        let from = x(room.from_m) + if room.starts { FLAG_PX + 4.0 } else { 0.0 };
        let to = if room.to_m <= 0.0 { x(room.to_m).min(flag_from) } else { x(room.to_m) };
        (from, to)
    };
    let mut above: Vec<(f64, &Room)> = Vec::new();
    let mut inside: Vec<(&Room, &str)> = Vec::new();
    for room in &rooms {
        let (from, to) = clear(room);
        let space = to - from - 8.0;
        match room.says.iter().find(|said| text::width(said, SMALL_PX, false) <= space) {
            Some(said) => inside.push((room, said)),
            // What the tape row says anyway is left out where it does not fit.
            None if room.optional => {}
            None => above.push((x((room.from_m + room.to_m) / 2.0), room)),
        }
    }
    let above_labels: Vec<(f64, f64)> = above
        .iter()
        .map(|(centre, room)| {
            (*centre, room.says.last().map_or(0.0, |said| text::width(said, SMALL_PX, false)))
        })
        .collect();
    let placed_above = labels::spread(&above_labels, low, high, LABEL_SPACE_PX, REACH_PX);
    let top = if placed_above.is_empty() { y } else { y + SMALL_PX + LEAD_PX };
    for placed in &placed_above {
        let (centre, room) = above[placed.index];
        drawing.push(line(placed.centre, y + SMALL_PX, centre, top + 4.0).stroke(colours.soft, 1.0));
        if let Some(said) = room.says.last() {
            drawing.push(label(placed.centre, y + SMALL_PX - 3.0, SMALL_PX, said).middle().fill(colours.ink));
        }
    }

    // The lane.
    let ground = top + BAND_PX;
    letter_box(&mut drawing, 2.0, top + 3.0, 40.0, &lane.lane, &colours);
    let waiting = setting_out::waiting_m(lane);
    drawing.push(
        rect(x(-waiting.1), top, parts.waiting_m * px_per_m, BAND_PX)
            .fill("none")
            .stroke(colours.soft, 1.0)
            .dash("1 3")
            .part("waiting", parts.waiting_m),
    );
    if parts.start_stopping_m > 0.0 {
        drawing.push(
            rect(x(-parts.start_stopping_m), top, parts.start_stopping_m * px_per_m, BAND_PX)
                .fill(colours.card)
                .stroke(colours.warn, 1.6)
                .dash("7 4")
                .part("stopping-back", parts.start_stopping_m),
        );
    }
    drawing.push(rect(x(0.0), top, exit_m * px_per_m, BAND_PX).fill(colours.grass).part("lane", exit_m));
    drawing.push(
        rect(x(exit_m), top, parts.stopping_m * px_per_m, BAND_PX)
            .fill(colours.card)
            .stroke(colours.warn, 1.6)
            .dash("7 4")
            .part("stopping", parts.stopping_m),
    );
    if parts.margin_m > 0.0 {
        drawing.push(
            rect(x(free_until_m), top, parts.margin_m * px_per_m, BAND_PX)
                .fill("none")
                .stroke(colours.soft, 1.0)
                .dash("1 3")
                .part("margin", parts.margin_m),
        );
    }
    waiting_heads(&mut drawing, lane, (x(-waiting.1), x(-waiting.0)), ground, &colours);
    drawing.push(line(x(0.0), ground, x(exit_m), ground).stroke(colours.ink, 2.0));
    for (room, said) in &inside {
        let (from, to) = clear(room);
        let centre = (from + to) / 2.0;
        let colour = if room.warns { colours.warn } else { colours.ink };
        let middle = if room.arrow { top + 15.0 } else { top + BAND_PX / 2.0 };
        drawing.push(label(centre, centred_baseline(middle, SMALL_PX), SMALL_PX, said).middle().fill(colour));
        if room.arrow {
            let half = (text::width(said, SMALL_PX, false) / 2.0).min((to - from) / 2.0 - 4.0);
            drawing.arrow((centre - half, top + 30.0), (centre + half, top + 30.0), 2.0, colours.go);
        }
    }
    let left = StartMark { at_m: 0.0, name: words.get("draw-start-left"), flag_ahead: true };
    start_line(&mut drawing, &left, x(0.0), (top - 2.0, ground), &colours);
    if parts.second_start_m > 0.0 {
        let at_m = parts.second_start_m;
        let right = StartMark { at_m, name: words.get("draw-start-right"), flag_ahead };
        start_line(&mut drawing, &right, x(at_m), (top + 12.0, ground), &colours);
    }
    drawing.push(line(x(exit_m), top, x(exit_m), ground).stroke(colours.ink, 1.5));
    for at_m in &lane.marks_m {
        hurdle_from_side(&mut drawing, x(*at_m), ground, lane, *at_m, colours.ink);
    }

    // The tape.
    let marks = setting_out::marks(lane);
    let long_row: Vec<&Mark> = marks.iter().filter(|mark| in_first_row(mark, lane)).collect();
    let short_row: Vec<&Mark> = marks.iter().filter(|mark| in_second_row(mark, lane)).collect();
    let mut y = ground + 4.0;
    let symbols = ground + 4.0;
    for mark in &long_row {
        match mark.kind {
            MarkKind::Hurdle { long: Some(_), .. } => {
                long_symbol(&mut drawing, (x(mark.at_m), symbols), colours.ink, Some(mark.at_m));
            }
            MarkKind::Hurdle { .. } => {
                short_symbol(&mut drawing, (x(mark.at_m), symbols + 5.0), &colours, Some(mark.at_m));
            }
            _ => drawing.push(
                line(x(mark.at_m), ground, x(mark.at_m), symbols + 7.0)
                    .stroke(colours.ink, 1.5)
                    .at_m("mark", mark.at_m),
            ),
        }
    }
    y += 9.0;
    let has_long = long_row.iter().any(|mark| matches!(mark.kind, MarkKind::Hurdle { long: Some(_), .. }));
    let name = match (short_row.is_empty(), has_long) {
        (true, _) => "draw-row-tape",
        (false, true) => "draw-row-long",
        (false, false) => "draw-row-short",
    };
    row_name(&mut drawing, y, name, has_long, words, &colours);
    y = tape_row(&mut drawing, &long_row, y, &x, (low, high), words, &colours);
    if !short_row.is_empty() {
        y += 1.0;
        for mark in &short_row {
            short_symbol(&mut drawing, (x(mark.at_m), y + 5.0), &colours, Some(mark.at_m));
        }
        y += 10.0;
        row_name(&mut drawing, y, "draw-row-short", false, words, &colours);
        y = tape_row(&mut drawing, &short_row, y, &x, (low, high), words, &colours);
    }
    finish(drawing, lane, words, options, y + 2.0, px_per_m, x(0.0), "across")
}

/// Marks of the row nearest to the lane: starts, ends, and the long setting (or the only one).
fn in_first_row(mark: &Mark, lane: &PlannedLane) -> bool {
    match mark.kind {
        MarkKind::Hurdle { long, .. } => {
            long.is_some() || setting_out::setting(lane, Setting::Long).is_none()
        }
        _ => true,
    }
}

/// Marks of the row below: the short setting, when there are two.
fn in_second_row(mark: &Mark, lane: &PlannedLane) -> bool {
    setting_out::setting(lane, Setting::Long).is_some()
        && matches!(mark.kind, MarkKind::Hurdle { short: Some(_), .. })
}

/// A stretch of the lane with a name.
struct Room {
    from_m: f64,
    to_m: f64,
    /// What can be written, longest first.
    says: Vec<String>,
    warns: bool,
    arrow: bool,
    /// Start marks stand at its beginning.
    starts: bool,
    /// Need not be named.
    optional: bool,
}

fn rooms(lane: &PlannedLane, words: &Words, exit_m: f64, free_until_m: f64) -> Vec<Room> {
    let parts = &lane.parts;
    let said = |ids: &[&str], length_m: f64| -> Vec<String> {
        ids.iter().map(|id| say(words, id, &[("room", Arg::RoomM(length_m))])).collect()
    };
    let stops = |length_m: f64| said(&["draw-stop-long", "draw-stop", "draw-room"], length_m);
    let first_m = lane.marks_m.first().copied().unwrap_or(lane.run_up_m).min(lane.run_up_m.max(0.0));
    let last_m = setting_out::last_mark_m(lane);
    let mut rooms = vec![Room {
        from_m: parts.second_start_m.min(first_m),
        to_m: first_m,
        says: said(&["draw-run-up", "draw-room"], first_m),
        warns: false,
        arrow: true,
        starts: true,
        optional: false,
    }];
    if parts.start_stopping_m > 0.0 {
        rooms.insert(
            0,
            Room {
                from_m: -parts.start_stopping_m,
                to_m: 0.0,
                says: stops(parts.start_stopping_m),
                warns: true,
                arrow: false,
                starts: false,
                optional: false,
            },
        );
    }
    if parts.exit_m > 0.0 {
        rooms.push(Room {
            from_m: last_m,
            to_m: exit_m,
            says: said(&["draw-exit", "draw-room"], parts.exit_m),
            warns: false,
            arrow: true,
            starts: false,
            optional: true,
        });
    }
    if parts.stopping_m > 0.0 {
        rooms.push(Room {
            from_m: exit_m,
            to_m: free_until_m,
            says: stops(parts.stopping_m),
            warns: true,
            arrow: false,
            starts: false,
            optional: false,
        });
    }
    if parts.margin_m > 0.0 {
        rooms.push(Room {
            from_m: free_until_m,
            to_m: free_until_m + parts.margin_m,
            says: said(&["draw-margin", "draw-room"], parts.margin_m),
            warns: false,
            arrow: false,
            starts: false,
            optional: true,
        });
    }
    rooms
}

/// Draws one head per waiting child, as many as there is room for, the first one nearest to the start line.
fn waiting_heads(
    drawing: &mut Drawing,
    lane: &PlannedLane,
    room: (f64, f64),
    ground: f64,
    colours: &Palette,
) {
    let step = 15.0;
    let places = ((room.1 - room.0 - 6.0) / step).floor().max(0.0) as usize;
    for place in 0..places.min(lane.runners.len()) {
        let x = room.1 - 12.0 - place as f64 * step;
        drawing.push(circle(x, ground - 27.0, 4.2).fill(colours.card).stroke(colours.soft, 1.6));
        drawing.push(
            polyline(
                &[
                    (x - 5.0, ground - 2.0),
                    (x - 5.0, ground - 17.0),
                    (x + 5.0, ground - 17.0),
                    (x + 5.0, ground - 2.0),
                ],
                false,
            )
            .fill("none")
            .stroke(colours.soft, 1.6)
            .round_ends(),
        );
    }
}

/// A start mark with its flag.
struct StartMark {
    at_m: f64,
    name: String,
    flag_ahead: bool,
}

/// Side of the flag of a start mark.
const FLAG_PX: f64 = 16.0;

fn start_line(drawing: &mut Drawing, mark: &StartMark, x: f64, (top, ground): (f64, f64), colours: &Palette) {
    let width = if mark.at_m > 0.0 { 2.0 } else { 3.0 };
    drawing.push(line(x, top, x, ground).stroke(colours.ink, width).at_m("start", mark.at_m));
    let flag_x = if mark.flag_ahead { x } else { x - FLAG_PX };
    drawing.push(rect(flag_x, top, FLAG_PX, FLAG_PX).fill(colours.ink));
    let baseline = centred_baseline(top + FLAG_PX / 2.0, SMALL_PX);
    drawing.push(
        label(flag_x + FLAG_PX / 2.0, baseline, SMALL_PX, &mark.name).bold().middle().fill(colours.card),
    );
}

/// Writes the name of a tape row into the gutter, with its symbol.
fn row_name(drawing: &mut Drawing, top: f64, id: &str, long: bool, words: &Words, colours: &Palette) {
    let baseline = top + SMALL_PX;
    if long {
        long_symbol(drawing, (7.0, baseline - 8.5), colours.ink, None);
    } else {
        short_symbol(drawing, (7.0, baseline - 4.3), colours, None);
    }
    let name = text::fit(&words.get(id), SMALL_PX, false, GUTTER_PX - 18.0);
    drawing.push(label(16.0, baseline, SMALL_PX, &name).fill(colours.soft));
}

/// Returns the tape distance that stands under a mark.
fn tape_of(words: &Words, mark: &Mark) -> String {
    match mark.kind {
        MarkKind::FreeUntil => crate::tape_of(words, &words.free_until(mark.at_m)),
        _ => tape(words, mark.at_m),
    }
}

/// Writes a row of tape distances and returns where it ends.
fn tape_row(
    drawing: &mut Drawing,
    marks: &[&Mark],
    top: f64,
    x: &dyn Fn(f64) -> f64,
    (low, high): (f64, f64),
    words: &Words,
    colours: &Palette,
) -> f64 {
    let shown: Vec<String> = marks.iter().map(|mark| tape_of(words, mark)).collect();
    let extents: Vec<(f64, f64)> = marks
        .iter()
        .zip(&shown)
        .map(|(mark, shown)| (x(mark.at_m), text::width(shown, SMALL_PX, true)))
        .collect();
    let placed = labels::spread(&extents, low, high, LABEL_SPACE_PX, REACH_PX);
    let shift =
        placed.iter().map(|placed| (placed.centre - extents[placed.index].0).abs()).fold(0.0, f64::max);
    let moved = shift > 2.0;
    // Steep enough to follow with the eye.
    let text_top = if moved { top + (shift * 0.2).clamp(LEAD_PX, 2.0 * LEAD_PX) } else { top };
    for placed in &placed {
        let mark = marks[placed.index];
        if moved {
            drawing.push(line(x(mark.at_m), top, placed.centre, text_top + 1.0).stroke(colours.soft, 0.8));
        }
        let baseline = text_top + SMALL_PX;
        let written =
            label(placed.centre, baseline, SMALL_PX, &shown[placed.index]).middle().fill(colours.ink);
        let ends = !matches!(mark.kind, MarkKind::Hurdle { .. });
        drawing.push(if ends { written } else { written.bold() });
    }
    text_top + SMALL_PX + 3.0
}

#[expect(clippy::too_many_arguments, reason = "one call per layout, all of it goes into the head")]
fn finish(
    drawing: Drawing,
    lane: &PlannedLane,
    words: &Words,
    options: &StripOptions,
    height: f64,
    px_per_m: f64,
    zero_px: f64,
    layout: &str,
) -> Figure {
    let id = format!("{}-strip-{layout}", id_from(&lane.lane));
    let title = say(words, "draw-strip-title", &[("lane", Arg::Text(lane.lane.clone()))]);
    let description = describe(lane, options.names, words);
    let height = height.ceil();
    let svg = drawing.finish(Head {
        id: &id,
        width: options.width_px,
        height,
        title: &title,
        description: &description,
        data: &[("data-px-per-m", &format!("{px_per_m}")), ("data-zero-px", &number(zero_px))],
    });
    Figure { id, svg, width: options.width_px, height, title, description }
}

/// Distance between two marks of one column that the upright strip's scale aims at.
const UPRIGHT_LABEL_PX: f64 = 15.0;
/// Bounds of the upright strip's scale, so that it neither crowds nor grows without end.
const UPRIGHT_PX_PER_M: (f64, f64) = (18.0, 30.0);

fn upright(lane: &PlannedLane, words: &Words, options: &StripOptions) -> Figure {
    let colours = options.style.palette();
    let parts = &lane.parts;
    // A phone shows one lane at a time: each has the scale that suits it.
    let scale = StripScale::of([lane]);
    let marks = setting_out::marks(lane);
    let columns = [
        marks.iter().filter(|mark| in_first_row(mark, lane)).collect::<Vec<_>>(),
        marks.iter().filter(|mark| in_second_row(mark, lane)).collect::<Vec<_>>(),
    ];
    let closest_m = columns
        .iter()
        .flat_map(|column| column.windows(2).map(|pair| pair[1].at_m - pair[0].at_m))
        .filter(|apart_m| *apart_m > 0.2)
        .fold(f64::INFINITY, f64::min);
    let px_per_m = (UPRIGHT_LABEL_PX / closest_m.max(0.01)).clamp(UPRIGHT_PX_PER_M.0, UPRIGHT_PX_PER_M.1);
    let exit_m = setting_out::exit_m(lane);
    let free_until_m = setting_out::free_until_m(lane);
    let mut drawing = Drawing::default();

    // Head.
    let side = 40.0;
    letter_box(&mut drawing, 2.0, 2.0, side, &lane.lane, &colours);
    let mut y = 1.0;
    for facts in [gaps(lane, words), hurdles(lane, words)] {
        y += TEXT_PX + 4.0;
        let facts = text::fit(&facts, TEXT_PX, true, options.width_px - side - 14.0);
        drawing.push(label(side + 12.0, y, TEXT_PX, &facts).bold().fill(colours.ink));
    }
    let two = !columns[1].is_empty();
    let top = y.max(side) + 34.0;

    // Columns: short labels, lane, long labels.
    let widest =
        marks.iter().map(|mark| text::width(&tape_of(words, mark), SMALL_PX, true)).fold(0.0, f64::max);
    let label_room = widest + 19.0 + LEAD_PX;
    let left = if two { label_room } else { 8.0 };
    let right = options.width_px - label_room;
    let lane_width = (right - left).max(60.0);
    let bottom = top + scale.ahead_m * px_per_m;
    let yy = |at_m: f64| bottom - at_m * px_per_m;

    // Names of the columns.
    let first_is_long =
        columns[0].iter().any(|mark| matches!(mark.kind, MarkKind::Hurdle { long: Some(_), .. }));
    let heading = top - 14.0;
    let right_name = words.get(if two { "draw-row-long" } else { "draw-row-tape" });
    let heading_x = left + lane_width + 20.0;
    if first_is_long {
        long_symbol(&mut drawing, (left + lane_width + 11.0, heading - 9.0), colours.ink, None);
    } else {
        short_symbol(&mut drawing, (left + lane_width + 11.0, heading - 4.3), &colours, None);
    }
    drawing.push(label(heading_x, heading, SMALL_PX, &right_name).fill(colours.soft));
    if two {
        short_symbol(&mut drawing, (left - 11.0, heading - 4.3), &colours, None);
        drawing.push(
            label(left - 20.0, heading, SMALL_PX, &words.get("draw-row-short")).end().fill(colours.soft),
        );
    }

    // Rooms.
    let across = |from_m: f64, to_m: f64| rect(left, yy(to_m), lane_width, (to_m - from_m) * px_per_m);
    if parts.margin_m > 0.0 {
        drawing.push(
            across(free_until_m, free_until_m + parts.margin_m)
                .fill("none")
                .stroke(colours.soft, 1.0)
                .dash("1 3")
                .part("margin", parts.margin_m),
        );
    }
    drawing.push(
        across(exit_m, free_until_m)
            .fill(colours.card)
            .stroke(colours.warn, 1.8)
            .dash("7 4")
            .part("stopping", parts.stopping_m),
    );
    drawing.push(across(0.0, exit_m).fill(colours.grass).part("lane", exit_m));
    let waiting = setting_out::waiting_m(lane);
    if parts.start_stopping_m > 0.0 {
        drawing.push(
            across(-parts.start_stopping_m, 0.0)
                .fill(colours.card)
                .stroke(colours.warn, 1.8)
                .dash("7 4")
                .part("stopping-back", parts.start_stopping_m),
        );
    }
    drawing.push(
        across(-waiting.1, -waiting.0)
            .fill("none")
            .stroke(colours.soft, 1.0)
            .dash("1 3")
            .part("waiting", parts.waiting_m),
    );
    let middle = left + lane_width / 2.0;
    let gap_px = lane.marks_m.windows(2).map(|pair| (pair[1] - pair[0]) * px_per_m).fold(60.0, f64::min);
    let tall = (lane.hurdle_height_cm * 0.45).clamp(6.0, 18.0).min(gap_px * 0.62);
    // The flag of the second start mark hangs below its line where it would reach the first hurdle or the exit line.
    let flag = 18.0;
    let next_m = lane.marks_m.first().copied().unwrap_or(exit_m).min(exit_m);
    let flag_up = (next_m - parts.second_start_m) * px_per_m >= flag + 3.0;
    let flag_to = if flag_up { f64::NEG_INFINITY } else { yy(parts.second_start_m) + flag };
    for room in rooms(lane, words, exit_m, free_until_m) {
        // Words keep clear of that flag and of the last hurdle.
        let mut lower = yy(room.from_m) - if room.starts { flag } else { 0.0 };
        if let Some(last_m) = lane.marks_m.last().filter(|last_m| room.from_m >= **last_m) {
            lower = lower.min(yy(*last_m) - tall - 3.0);
        }
        let upper = if room.to_m <= 0.0 { yy(room.to_m).max(flag_to) } else { yy(room.to_m) };
        let (space, centre) = (lower - upper, (lower + upper) / 2.0);
        if space < ROW_PX {
            continue;
        }
        let arrow = room.arrow && space >= 30.0;
        let half = (space / 2.0 - 5.0).min(15.0);
        let room_px = lane_width - if arrow { 40.0 } else { 8.0 };
        let Some(said) = room.says.iter().find(|said| text::width(said, SMALL_PX, false) <= room_px) else {
            continue;
        };
        let colour = if room.warns { colours.warn } else { colours.ink };
        let x = if arrow { middle + 12.0 } else { middle };
        drawing.push(label(x, centred_baseline(centre, SMALL_PX), SMALL_PX, said).middle().fill(colour));
        if arrow {
            let from = x - text::width(said, SMALL_PX, false) / 2.0 - 14.0;
            drawing.arrow((from, centre + half), (from, centre - half), 2.5, colours.go);
        }
    }

    // Start marks.
    for (at_m, id) in [(0.0, "draw-start-left"), (parts.second_start_m, "draw-start-right")] {
        if id == "draw-start-right" && at_m <= 0.0 {
            continue;
        }
        let inset = if at_m > 0.0 { lane_width * 0.25 } else { 0.0 };
        drawing.push(
            line(left + inset, yy(at_m), left + lane_width - inset, yy(at_m))
                .stroke(colours.ink, if at_m > 0.0 { 2.5 } else { 4.0 })
                .at_m("start", at_m),
        );
        let flag_x = left + inset;
        let flag_y = yy(at_m) - if at_m > 0.0 && !flag_up { 0.0 } else { flag };
        drawing.push(rect(flag_x, flag_y, flag, flag).fill(colours.ink));
        drawing.push(
            label(
                flag_x + flag / 2.0,
                centred_baseline(flag_y + flag / 2.0, SMALL_PX + 1.0),
                SMALL_PX + 1.0,
                &words.get(id),
            )
            .bold()
            .middle()
            .fill(colours.card),
        );
    }
    drawing.push(line(left, yy(exit_m), left + lane_width, yy(exit_m)).stroke(colours.ink, 1.5));

    // Hurdles as the coach sees them from behind the start.
    let (from, to) = (middle - lane_width * 0.34, middle + lane_width * 0.34);
    for at_m in &lane.marks_m {
        let base = yy(*at_m);
        if lane.hurdle_height_cm <= 0.0 {
            drawing.push(line(from, base, to, base).stroke(colours.ink, 4.0).at_m("hurdle", *at_m));
            continue;
        }
        drawing.push(
            polyline(&[(from, base), (from, base - tall), (to, base - tall), (to, base)], false)
                .fill("none")
                .stroke(colours.ink, 3.2)
                .round_ends()
                .at_m("hurdle", *at_m),
        );
        for foot in [from, to] {
            drawing.push(line(foot - 6.0, base, foot + 6.0, base).stroke(colours.ink, 3.2).round_ends());
        }
    }

    // The tape: long on the right, short on the left.
    for (column, on_right) in [(&columns[0], true), (&columns[1], false)] {
        let edge = if on_right { left + lane_width } else { left };
        let sign = if on_right { 1.0 } else { -1.0 };
        let extents: Vec<(f64, f64)> = column.iter().map(|mark| (-yy(mark.at_m), SMALL_PX)).collect();
        let placed = labels::spread(&extents, -(bottom + 8.0), -(top - 10.0), 3.0, REACH_PX);
        for mark in column.iter() {
            let at = yy(mark.at_m);
            match mark.kind {
                MarkKind::Hurdle { long: Some(_), .. } if on_right => {
                    let tip = edge + 3.0;
                    drawing.push(
                        polyline(&[(tip, at), (tip + 8.0, at - 4.5), (tip + 8.0, at + 4.5)], true)
                            .fill(colours.ink)
                            .at_m("mark-long", mark.at_m),
                    );
                }
                MarkKind::Hurdle { .. } => {
                    short_symbol(&mut drawing, (edge + sign * 8.0, at), &colours, Some(mark.at_m));
                }
                _ => drawing
                    .push(line(edge, at, edge + 12.5, at).stroke(colours.ink, 1.5).at_m("mark", mark.at_m)),
            }
        }
        for placed in placed {
            let mark = column[placed.index];
            drawing.push(
                line(edge + sign * 12.5, yy(mark.at_m), edge + sign * (12.5 + LEAD_PX), -placed.centre)
                    .stroke(colours.soft, 0.8),
            );
            let written = label(
                edge + sign * (16.0 + LEAD_PX),
                centred_baseline(-placed.centre, SMALL_PX),
                SMALL_PX,
                &tape_of(words, mark),
            )
            .fill(colours.ink);
            let written = if matches!(mark.kind, MarkKind::Hurdle { .. }) { written.bold() } else { written };
            drawing.push(if on_right { written } else { written.end() });
        }
    }

    // Those who wait, and who they are.
    let waiting_top = yy(-waiting.0);
    let mut below = yy(-waiting.1);
    let word = words.get("draw-waiting");
    if parts.waiting_m * px_per_m >= ROW_PX + 4.0 {
        drawing.push(
            label(
                middle,
                centred_baseline(waiting_top + parts.waiting_m * px_per_m / 2.0, SMALL_PX),
                SMALL_PX,
                &word,
            )
            .middle()
            .fill(colours.soft),
        );
    }
    if options.names && !lane.runners.is_empty() {
        below += 4.0;
        for names in text::wrap_list(&lane.runners, TEXT_PX, options.width_px - 8.0) {
            below += TEXT_PX + 4.0;
            drawing.push(label(4.0, below, TEXT_PX, &names).fill(colours.ink));
        }
    }
    finish(drawing, lane, words, options, below + 8.0, px_per_m, bottom, "upright")
}
