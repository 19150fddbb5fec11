//! Where the feet go in a drill: a small picture of the lane from above.
//!
//! The picture follows from the drill's data, so that a drill of one's own has one too. Gaps of different drills are
//! drawn at one scale; feet, and where in a gap they stand, are not to scale.

use lanewright_model::Arg;
use lanewright_model::drill::{Drill, Family, Setting};
use lanewright_model::words::Words;

use crate::strip::SMALL_PX;
use crate::svg::{Drawing, Element, Head, bends, blob, centred_baseline, circle, id_from, label, line, rect};
use crate::{Figure, Palette, Style, say, text};

/// Foot contacts in a gap beyond which a picture says the number but draws no more feet (engineering assumption).
pub const CONTACTS_DRAWN_MAX: u32 = 4;
/// Most and fewest hurdles of a picture.
const HURDLES: (usize, usize) = (3, 4);
/// Narrowest picture: three hurdles with four contacts in every gap.
const WIDTH_MIN_PX: f64 = 300.0;
/// Edge around the lane.
const EDGE_PX: f64 = 6.0;
/// Room before the first hurdle and behind the last one, inside the lane.
const ENDS_PX: f64 = 54.0;
/// How far the step before the first hurdle and the one after the last stand from them at most.
const OUTSIDE_PX: f64 = 34.0;
/// Length of a foot.
const FOOT_PX: f64 = 25.0;
/// Distance of a foot's middle line from the middle of the lane.
const TRACK_PX: f64 = 12.0;
/// Height of the row that says which foot leads.
const LEADS_PX: f64 = 24.0;
/// Width of the lane.
const LANE_PX: f64 = 76.0;
/// Height of a row of words below the lane.
const ROW_PX: f64 = 22.0;
/// Pixels for a gap as long as a child is tall, where the drawing is wide enough.
const STATURE_MAX_PX: f64 = 170.0;

/// How a drill is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillPictureOptions {
    /// For screen or paper.
    pub style: Style,
    /// Width of the drawing in CSS pixels; less than 300 counts as 300.
    pub width_px: f64,
}

impl Default for DrillPictureOptions {
    fn default() -> Self {
        Self { style: Style::Screen, width_px: 342.0 }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Foot {
    Left,
    Right,
}

impl Foot {
    fn other(self) -> Self {
        match self {
            Foot::Left => Foot::Right,
            Foot::Right => Foot::Left,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Foot::Left => "left",
            Foot::Right => "right",
        }
    }

    fn letter(self, words: &Words) -> String {
        words.get(match self {
            Foot::Left => "draw-foot-left",
            Foot::Right => "draw-foot-right",
        })
    }

    fn said(self, words: &Words) -> Arg {
        Arg::Text(words.get(match self {
            Foot::Left => "draw-foot-left-said",
            Foot::Right => "draw-foot-right-said",
        }))
    }
}

/// Which way the toes point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Toes {
    Ahead,
    Across,
}

/// One foot on the ground. Gap 0 is before the first hurdle, gap k between hurdle k and the next.
struct Print {
    x: f64,
    y: f64,
    foot: Foot,
    toes: Toes,
    gap: usize,
    in_the_air: bool,
}

/// Draws where the feet go, seen from above, running to the right.
///
/// A left foot is filled with a light letter, a right foot open with a dark one. With an odd number of contacts in a
/// gap left and right lead in turn; with an even number the same foot leads all the way. Drills beside the hurdles
/// have the support foot level with each hurdle, sideways drills have the toes across the lane, drills on the spot and
/// free runs have no hurdles. The step over a hurdle is an arrow that ends at the foot that leads.
pub fn drill_picture(drill: &Drill, words: &Words, options: &DrillPictureOptions) -> Figure {
    let name = words.get(&format!("drill-{}", drill.id));
    let name = if words.has(&format!("drill-{}", drill.id)) { name } else { drill.name.clone() };
    let pen = Pen {
        drill,
        words,
        colours: options.style.palette(),
        width: options.width_px.max(WIDTH_MIN_PX),
        drawing: Drawing::default(),
    };
    let has_hurdles = drill.gap.is_some() || drill.contacts_per_gap.is_some();
    match drill.family {
        Family::OnTheSpot => pen.on_the_spot(&name),
        _ if !has_hurdles => pen.free(&name),
        _ => pen.over_hurdles(&name),
    }
}

struct Pen<'a> {
    drill: &'a Drill,
    words: &'a Words,
    colours: Palette,
    width: f64,
    drawing: Drawing,
}

impl Pen<'_> {
    fn over_hurdles(mut self, name: &str) -> Figure {
        let drill = self.drill;
        let beside = drill.family == Family::OneLeg;
        let sideways = drill.family == Family::Sideways;
        let contacts = drill.contacts_per_gap.unwrap_or(match drill.family {
            Family::Alternate => 1,
            _ => 2,
        });
        let drawn = contacts.clamp(1, CONTACTS_DRAWN_MAX) as usize;

        // Gaps of all drills at one scale, as far as the feet leave room.
        let room = self.width - 2.0 * (EDGE_PX + ENDS_PX);
        let per_stature = (room / 1.8).min(STATURE_MAX_PX);
        let ratio = drill.gap.as_ref().map_or(0.66, |gap| gap.comfortable_ratio);
        let foot_room = if sideways { FOOT_PX * 0.75 } else { FOOT_PX * 0.66 };
        let least = (drawn as f64 * foot_room + 14.0).max(54.0);
        let gap_px = (ratio * per_stature).clamp(least, (room / (HURDLES.0 - 1) as f64).max(least));
        let count = ((room / gap_px + 1e-9).floor() as usize + 1).clamp(HURDLES.0, HURDLES.1);
        let first_x = (self.width - gap_px * (count - 1) as f64) / 2.0;
        let hurdle_x = |index: usize| first_x + gap_px * index as f64;

        // Who steps where.
        let top = LEADS_PX;
        let middle = top + LANE_PX / 2.0;
        // Running to the right, the left hand points up the page; sideways a child faces up the page and moves to the
        // right, so the right foot goes first.
        let first = if sideways { Foot::Right } else { Foot::Left };
        let lead_at = |hurdle: usize| {
            if drawn % 2 == 1 && hurdle % 2 == 1 && !beside { first.other() } else { first }
        };
        let y_of = |foot: Foot| match (sideways, beside, foot) {
            (true, ..) => middle + 8.0,
            (_, true, Foot::Left) => middle - 11.0,
            (_, true, Foot::Right) => middle + 23.0,
            (_, _, Foot::Left) => middle - TRACK_PX,
            (_, _, Foot::Right) => middle + TRACK_PX,
        };
        // Shares of a gap at which feet come down: all but the last are in it; beside the hurdles the last is the
        // support foot, level with the next hurdle.
        let share = |contact: usize| match (beside, sideways) {
            (true, _) => (contact + 1) as f64 / drawn as f64,
            // In pairs: the lead foot goes further, the other comes up to it.
            (_, true) => {
                let within = if contact.is_multiple_of(2) { 0.7 } else { 0.3 };
                ((contact / 2) as f64 + within) / drawn.div_ceil(2) as f64
            }
            _ => (contact as f64 + 0.5) / drawn as f64,
        };
        let outside = |foot_share: f64| (foot_share * gap_px).min(OUTSIDE_PX);
        let toes = if sideways { Toes::Across } else { Toes::Ahead };
        let mut prints = Vec::new();
        let mut leads = Vec::new();
        for hurdle in 0..count {
            let lead = lead_at(hurdle);
            leads.push(lead);
            let is_last = hurdle + 1 == count;
            for contact in 0..drawn {
                let foot = if beside {
                    // Counted from the support foot at the end of the gap.
                    if (drawn - 1 - contact).is_multiple_of(2) { first.other() } else { first }
                } else if contact.is_multiple_of(2) {
                    lead
                } else {
                    lead.other()
                };
                let x = if !is_last {
                    hurdle_x(hurdle) + share(contact) * gap_px
                } else if sideways && contact < 2 {
                    hurdle_x(hurdle) + if contact == 0 { OUTSIDE_PX + 6.0 } else { OUTSIDE_PX - 16.0 }
                } else if !sideways && contact == 0 {
                    hurdle_x(hurdle) + outside(share(0))
                } else {
                    continue;
                };
                prints.push(Print { x, y: y_of(foot), foot, toes, gap: hurdle + 1, in_the_air: false });
            }
        }
        // The step before the first hurdle; beside the hurdles the support foot is level with it.
        let before = |x: f64, foot: Foot| Print { x, y: y_of(foot), foot, toes, gap: 0, in_the_air: false };
        if sideways {
            prints.push(before(hurdle_x(0) - OUTSIDE_PX - 6.0, first.other()));
            prints.push(before(hurdle_x(0) - OUTSIDE_PX + 16.0, first));
        } else if beside {
            prints.push(before(hurdle_x(0) - outside(0.5), first));
            prints.push(before(hurdle_x(0), first.other()));
        } else {
            prints.push(before(hurdle_x(0) - outside(0.5 / drawn as f64), lead_at(0).other()));
        }

        // The lane, the hurdles, the steps over them.
        let (left, right) = (EDGE_PX, self.width - EDGE_PX);
        let (ink, soft, grass) = (self.colours.ink, self.colours.soft, self.colours.grass);
        let lane_high = if beside { LANE_PX * 0.6 } else { LANE_PX };
        self.drawing.push(rect(left, top, right - left, lane_high).fill(grass).attribute("class", "lane"));
        if beside {
            let strip = rect(left + 0.5, top + lane_high, right - left - 1.0, LANE_PX - lane_high - 0.5);
            self.drawing.push(strip.fill("none").stroke(soft, 1.0).dash("4 3"));
        }
        let (high, low) = (top + 4.0, if beside { top + lane_high - 4.0 } else { top + LANE_PX - 4.0 });
        for index in 0..count {
            let x = hurdle_x(index);
            for base in [high, low] {
                self.drawing.push(line(x - 5.0, base, x + 5.0, base).stroke(ink, 3.0));
            }
            let number = (index + 1).to_string();
            let bar = line(x, high, x, low).stroke(ink, 3.2).attribute("class", "hurdle");
            self.drawing.push(bar.attribute("data-hurdle", &number));
        }
        for (index, lead) in leads.iter().enumerate() {
            let x = hurdle_x(index);
            let landing = prints
                .iter()
                .filter(|print| print.foot == *lead && print.gap == index + 1 && print.x > x)
                .map(|print| print.x)
                .fold(f64::INFINITY, f64::min);
            if landing.is_finite() {
                self.step_over(x, landing, *lead, y_of(*lead), sideways);
            }
        }
        for print in &prints {
            self.print(print);
        }

        // Which foot leads.
        let says = self.words.get(if beside { "draw-feet-works" } else { "draw-feet-leads" });
        let says = text::fit(&says, SMALL_PX, false, first_x - 14.0 - EDGE_PX);
        let baseline = centred_baseline(LEADS_PX / 2.0 - 1.0, SMALL_PX);
        self.drawing.push(label(EDGE_PX, baseline, SMALL_PX, &says).fill(soft));
        for (index, lead) in leads.iter().enumerate() {
            self.badge(hurdle_x(index), LEADS_PX / 2.0 - 1.0, *lead, index + 1);
        }

        // Words below.
        let setting = drill.gap.as_ref().map(|gap| match gap.setting {
            Setting::Long => "setting-long",
            Setting::Short => "setting-short",
        });
        let gap = setting.map(|id| self.words.get(id)).unwrap_or_default();
        let arguments = [("gap", Arg::Text(gap)), ("count", Arg::Count(i64::from(contacts)))];
        let facts = say(self.words, "draw-feet-contacts", &arguments);
        let facts = facts.trim_start_matches([' ', '·']).to_owned();
        let y = self.ways(top + LANE_PX + 4.0, &facts);

        // The same in sentences.
        let mut said = vec![say(
            self.words,
            "draw-feet-desc-crossed",
            &[
                ("hurdles", Arg::Count(count as i64)),
                ("gap", arguments[0].1.clone()),
                ("count", Arg::Count(i64::from(contacts))),
            ],
        )];
        let both = [("leg", first.said(self.words)), ("other", first.other().said(self.words))];
        said.push(if beside {
            say(self.words, "draw-feet-desc-one-leg", &both)
        } else if sideways {
            say(self.words, "draw-feet-desc-sideways", &both)
        } else if drawn % 2 == 1 {
            let legs: Vec<String> = leads.iter().map(|lead| lead.letter(self.words)).collect();
            say(self.words, "draw-feet-desc-in-turn", &[("legs", Arg::Text(legs.join(", ")))])
        } else {
            say(self.words, "draw-feet-desc-same", &both[..1])
        });
        if drill.both_ways {
            said.push(self.words.get("draw-feet-desc-both-ways"));
        }
        if self.turns() {
            said.push(self.words.get("draw-feet-desc-turn"));
        }
        self.finish(name, &said.join(" "), y)
    }

    fn free(mut self, name: &str) -> Figure {
        let (top, middle) = (EDGE_PX, EDGE_PX + LANE_PX / 2.0);
        let (left, right) = (EDGE_PX, self.width - EDGE_PX);
        self.drawing
            .push(rect(left, top, right - left, LANE_PX).fill(self.colours.grass).attribute("class", "lane"));
        let steps = 5;
        for step in 0..steps {
            let foot = if step % 2 == 0 { Foot::Left } else { Foot::Right };
            let y = middle + if foot == Foot::Left { -TRACK_PX } else { TRACK_PX };
            let x = left + (right - left) * (step as f64 + 0.5) / f64::from(steps);
            self.print(&Print { x, y, foot, toes: Toes::Ahead, gap: 0, in_the_air: false });
        }
        let facts = self.words.get("draw-feet-free");
        let y = self.ways(top + LANE_PX + 4.0, &facts);
        let said = self.words.get("draw-feet-desc-free");
        self.finish(name, &said, y)
    }

    fn on_the_spot(mut self, name: &str) -> Figure {
        let one = self.drill.one_leg;
        let (x, middle) = (self.width / 2.0, EDGE_PX + 52.0);
        let (ink, grass) = (self.colours.ink, self.colours.grass);
        self.drawing.push(circle(x, middle, 50.0).fill(grass).attribute("class", "spot"));
        for foot in [Foot::Left, Foot::Right] {
            let works = !one || foot == Foot::Left;
            let out = if foot == Foot::Left { -1.0 } else { 1.0 };
            let y = middle + out * TRACK_PX;
            self.print(&Print { x, y, foot, toes: Toes::Ahead, gap: 0, in_the_air: one && works });
            if !works {
                continue;
            }
            // Heel up, round the outside, down in front: a cycle.
            let (heel, toe) = (x - FOOT_PX * 0.5, x + FOOT_PX * 0.5);
            let (near, far) = (y + out * 5.0, y + out * 24.0);
            let back = (heel - 4.0, near);
            let tip = (toe + 5.0, near);
            let path =
                [((heel - 12.0, far), (x - 4.0, far)), ((toe + 8.0, far), (toe + 6.0, near + out * 7.0))];
            self.drawing.open("cycle", &[("data-foot", foot.name())]);
            self.drawing.push(bends(back, &path).stroke(ink, 2.2).round_ends());
            self.drawing.arrow_head((toe + 6.5, near + out * 9.0), tip, 9.0, ink);
            self.drawing.close();
        }
        let facts = self.words.get(if one { "draw-feet-spot-one" } else { "draw-feet-spot-turns" });
        let baseline = EDGE_PX + 104.0 + 4.0 + SMALL_PX + 2.0;
        let facts = text::fit(&facts, SMALL_PX + 1.0, false, self.width - 2.0 * EDGE_PX);
        self.drawing.push(label(x, baseline, SMALL_PX + 1.0, &facts).middle().fill(ink));
        let both = [("leg", Foot::Left.said(self.words)), ("other", Foot::Right.said(self.words))];
        let said = if one {
            say(self.words, "draw-feet-desc-spot-one", &both)
        } else {
            self.words.get("draw-feet-desc-spot-turns")
        };
        self.finish(name, &said, baseline + 8.0)
    }

    /// Whether the drill turns on a call: hard stops and turns are contact class D.
    fn turns(&self) -> bool {
        self.drill.contact_class == "D"
    }

    /// Draws which way it goes, writes the facts, and returns where that ends.
    fn ways(&mut self, top: f64, facts: &str) -> f64 {
        let (go, ink) = (self.colours.go, self.colours.ink);
        let (left, right) = (EDGE_PX + 4.0, self.width - EDGE_PX - 4.0);
        let mut y = top;
        if self.turns() {
            // To and fro, with turns where the calls came.
            let span = right - left;
            let (far, near) = (left + span * 0.66, left + span * 0.24);
            let (one, two, three) = (y + 7.0, y + 19.0, y + 31.0);
            self.drawing.open("turn", &[]);
            self.drawing.push(
                bends(
                    (left, one),
                    &[
                        ((far - 30.0, one), (far - 8.0, one)),
                        ((far + 8.0, one), (far + 8.0, (one + two) / 2.0)),
                        ((far + 8.0, two), (far - 8.0, two)),
                        ((near + 30.0, two), (near + 8.0, two)),
                        ((near - 8.0, two), (near - 8.0, (two + three) / 2.0)),
                        ((near - 8.0, three), (near + 8.0, three)),
                        ((near + 20.0, three), (left + span * 0.5, three)),
                    ],
                )
                .stroke(go, 2.5)
                .round_ends(),
            );
            self.drawing.arrow_head((left, three), (left + span * 0.5 + 9.0, three), 10.0, go);
            self.drawing.close();
            let call = self.words.get("draw-feet-call");
            let at = |y: f64| centred_baseline(y, SMALL_PX);
            self.drawing.push(label(far + 15.0, at((one + two) / 2.0), SMALL_PX, &call).bold().fill(ink));
            self.drawing
                .push(label(near - 14.0, at((two + three) / 2.0), SMALL_PX, &call).bold().end().fill(ink));
            y += 40.0;
        }
        let middle = y + ROW_PX / 2.0;
        let arrow = 34.0;
        if self.drill.both_ways {
            self.drawing.open("both-ways", &[]);
            self.drawing.push(line(left + 8.0, middle, left + arrow - 8.0, middle).stroke(go, 2.5));
            self.drawing.arrow_head((left + arrow, middle), (left, middle), 10.0, go);
            self.drawing.arrow_head((left, middle), (left + arrow, middle), 10.0, go);
            self.drawing.close();
        } else {
            self.drawing.open("one-way", &[]);
            self.drawing.arrow((left, middle), (left + arrow, middle), 2.5, go);
            self.drawing.close();
        }
        let mut says = facts.to_owned();
        if self.turns() {
            says = format!("{says} · {}", self.words.get("draw-feet-turn"));
        } else if self.drill.both_ways {
            says = format!("{says} · {}", self.words.get("draw-feet-both-ways"));
        }
        let x = left + arrow + 9.0;
        for part in text::wrap(&says, SMALL_PX + 1.0, false, right - x) {
            let baseline = centred_baseline(y + ROW_PX / 2.0, SMALL_PX + 1.0);
            self.drawing.push(label(x, baseline, SMALL_PX + 1.0, &part).fill(ink));
            y += ROW_PX - 4.0;
        }
        y + 6.0
    }

    /// Draws the step of the leading foot over a hurdle, bent away from the other foot.
    fn step_over(&mut self, hurdle_x: f64, landing_x: f64, foot: Foot, y: f64, sideways: bool) {
        let go = self.colours.go;
        let (out, reach) = match (sideways, foot) {
            (true, _) => (-1.0, 34.0),
            (_, Foot::Left) => (-1.0, 20.0),
            (_, Foot::Right) => (1.0, 20.0),
        };
        let tip = if sideways {
            (landing_x - 1.0, y - FOOT_PX * 0.5 - 3.0)
        } else {
            (landing_x - FOOT_PX * 0.42, y + out * 7.0)
        };
        let from = if sideways { (hurdle_x - 16.0, tip.1) } else { (hurdle_x - 15.0, tip.1) };
        let by = ((from.0 + tip.0) / 2.0 + 2.0, tip.1 + out * (reach - 12.0));
        let (dx, dy) = (tip.0 - by.0, tip.1 - by.1);
        let long = (dx * dx + dy * dy).sqrt().max(1.0);
        let neck = (tip.0 - dx / long * 6.0, tip.1 - dy / long * 6.0);
        self.drawing.open("step", &[("data-foot", foot.name())]);
        self.drawing.push(bends(from, &[(by, neck)]).stroke(go, 2.2).round_ends());
        self.drawing.arrow_head(by, tip, 9.0, go);
        self.drawing.close();
    }

    /// Draws which foot leads over a hurdle, above it: left in a filled square, right in an open circle.
    fn badge(&mut self, x: f64, y: f64, foot: Foot, hurdle: usize) {
        let number = hurdle.to_string();
        self.drawing.open("lead", &[("data-foot", foot.name()), ("data-hurdle", &number)]);
        let (shape, letter) = match foot {
            Foot::Left => {
                let square = rect(x - 8.5, y - 8.5, 17.0, 17.0).corner(2.5).fill(self.colours.ink);
                (square, self.colours.card)
            }
            Foot::Right => {
                let ring = circle(x, y, 8.6).fill(self.colours.card).stroke(self.colours.ink, 1.8);
                (ring, self.colours.ink)
            }
        };
        self.drawing.push(shape);
        self.letter(x, y, foot, letter);
        self.drawing.close();
    }

    fn print(&mut self, print: &Print) {
        let gap = print.gap.to_string();
        let mut data = vec![("data-foot", print.foot.name()), ("data-gap", &gap)];
        if print.toes == Toes::Across {
            data.push(("data-toes", "across"));
        }
        self.drawing.open("foot", &data);
        let (fill, letter) = match print.foot {
            Foot::Left if !print.in_the_air => (self.colours.ink, self.colours.card),
            _ => (self.colours.card, self.colours.ink),
        };
        let sole: Element = blob(&sole(print)).fill(fill).stroke(self.colours.ink, 1.8);
        self.drawing.push(if print.in_the_air { sole.dash("4 3") } else { sole });
        self.letter(print.x, print.y, print.foot, letter);
        self.drawing.close();
    }

    fn letter(&mut self, x: f64, y: f64, foot: Foot, colour: &str) {
        let letter = foot.letter(self.words);
        let baseline = centred_baseline(y, SMALL_PX);
        self.drawing.push(label(x, baseline, SMALL_PX, &letter).bold().middle().fill(colour));
    }

    fn finish(self, name: &str, description: &str, height: f64) -> Figure {
        let id = format!("{}-feet", id_from(&self.drill.id.0));
        let title = say(self.words, "draw-feet-title", &[("drill", Arg::Text(name.to_owned()))]);
        let height = height.ceil();
        let svg = self.drawing.finish(Head {
            id: &id,
            width: self.width,
            height,
            title: &title,
            description,
            data: &[("data-drill", &self.drill.id.0)],
        });
        Figure { id, svg, width: self.width, height, title, description: description.to_owned() }
    }
}

/// Outline of a left sole, heel to toes along x, in foot lengths: round heel, narrow arch, the great toe inside.
const SOLE: [(f64, f64); 12] = [
    (-0.60, 0.00),
    (-0.56, -0.28),
    (-0.20, -0.31),
    (0.12, -0.35),
    (0.42, -0.38),
    (0.58, -0.24),
    (0.66, 0.10),
    (0.62, 0.38),
    (0.34, 0.40),
    (0.02, 0.25),
    (-0.28, 0.28),
    (-0.56, 0.28),
];

fn sole(print: &Print) -> Vec<(f64, f64)> {
    let side = if print.foot == Foot::Left { 1.0 } else { -1.0 };
    SOLE.iter()
        .map(|(along, inside)| {
            let (along, inside) = (along * FOOT_PX, inside * side * FOOT_PX);
            match print.toes {
                Toes::Ahead => (print.x + along, print.y + inside),
                // Toes up the page: what was ahead is up, what was to the right stays right.
                Toes::Across => (print.x + inside, print.y - along),
            }
        })
        .collect()
}
