//! The printed plan: one page that hangs at the wall of the hall, and the sheets for setting the lanes out.

use lanewright_model::drill::Setting;
use lanewright_model::plan::{Plan, PlannedLane};
use lanewright_model::words::{Units, Words};
use lanewright_model::{Arg, Message};
use lanewright_science::safety::is_safety;

use crate::page::{Block, Column, Footer, Page, Paper, Table};
use crate::setting_out::{self, Cord, Mark, MarkKind};
use crate::strip::{self, StripOptions};
use crate::{FloorOptions, Layout, Style, floor_plan, height, heights, lane_strips, notes, say, text, tie};

/// How many notes the first page has, those on safety counted; more only where more are about safety.
const NOTES_MAX: usize = 5;
/// Text of the first page in percent of the usual, when notes on safety alone are too many for one sheet at the usual
/// size: what is tried. Else they go on to a second sheet.
const SMALLER_TEXT: [u32; 2] = [90, 80];
/// Children in a lane's cell before the rest is only counted.
const NAMES_MAX: usize = 16;
/// Remedies on the first page, best first, when the plan does not fit.
const REMEDIES_MAX: usize = 3;
/// The floor plan takes at least and at most these shares of the first page's height.
const FLOOR_SHARES: (f64, f64) = (0.36, 0.55);
/// Room for the foot of the sheet and the space around the floor plan.
const FOOT_PX: f64 = 70.0;

/// What goes onto the printed plan.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlanPageOptions {
    /// Paper to lay out for.
    pub paper: Paper,
    /// The day, as it is to be written. Nothing is written without it.
    pub date: Option<String>,
    /// Where: the name of the hall or field.
    pub place: Option<String>,
    /// Length of the teacher's shoe in metres, for marks in shoe lengths.
    pub shoe_length_m: Option<f64>,
    /// Name and version of the program, for the foot of the sheet.
    pub software: String,
    /// Leaves the children's names out, for a copy that others may see.
    pub without_names: bool,
}

/// Returns the printed plan: the plan on one page, the strips, and a list of marks per lane.
///
/// The same pages print from the browser ([`crate::page::to_html`]) and as PDF.
pub fn plan_pages(plan: &Plan, class_name: &str, words: &Words, options: &PlanPageOptions) -> Vec<Page> {
    let title = title(plan, class_name, words);
    let footer = footer(plan, class_name, words, options);
    let page = |blocks: Vec<Block>| Page {
        title: title.clone(),
        language: words.language.to_owned(),
        paper: options.paper,
        text_percent: 100,
        blocks,
        footer: footer.clone(),
    };
    let first = || {
        // Notes on safety are always there; of the others as many as leave it one sheet.
        let others = (0..=NOTES_MAX)
            .rev()
            .map(|others_max| page(first_page(plan, &title, words, options, others_max)));
        if let Some(fits) = others.into_iter().find(heights::fits) {
            return fits;
        }
        let mut least = page(first_page(plan, &title, words, options, 0));
        for percent in SMALLER_TEXT {
            least.text_percent = percent;
            if heights::fits(&least) {
                return least;
            }
        }
        least.text_percent = 100;
        least
    };
    let mut pages = vec![first()];
    let (width_px, _) = options.paper.inner_px();
    let strips = lane_strips(
        plan,
        words,
        &StripOptions {
            layout: Layout::Across,
            style: Style::Print,
            width_px,
            scale: None,
            names: !options.without_names,
        },
    );
    if !plan.lanes.is_empty() {
        let head = vec![
            heading(1, words.get("draw-out-title")),
            Block::List { numbered: true, items: steps(plan, words) },
        ];
        let strips = strips.into_iter().map(Block::Figure).collect();
        pages.extend(pack(head, strips, options.paper).into_iter().map(page));
        let (head, lists) = marks_lists(plan, words, options);
        pages.extend(pack(head, lists, options.paper).into_iter().map(page));
    }
    pages
}

/// Shares blocks out over pages; the first page starts with `head`, each further one with its heading.
fn pack(head: Vec<Block>, blocks: Vec<Block>, paper: Paper) -> Vec<Vec<Block>> {
    let (width_px, inner_px) = paper.inner_px();
    let room_px = inner_px - FOOT_PX;
    let heading = head[..1].to_vec();
    let height = |blocks: &[Block]| blocks.iter().map(|block| height_px(block, width_px)).sum::<f64>();
    let mut used_px = height(&head);
    let mut page = head;
    let mut pages = Vec::new();
    for block in blocks {
        let needed_px = height_px(&block, width_px);
        if used_px + needed_px > room_px && page.len() > 1 {
            pages.push(std::mem::replace(&mut page, heading.clone()));
            used_px = height(&heading);
        }
        used_px += needed_px;
        page.push(block);
    }
    pages.push(page);
    pages
}

fn heading(level: u8, text: String) -> Block {
    Block::Heading { level, text }
}

fn title(plan: &Plan, class_name: &str, words: &Words) -> String {
    say(
        words,
        "draw-plan-title",
        &[("count", Arg::Count(plan.lanes.len() as i64)), ("class", Arg::Text(class_name.to_owned()))],
    )
}

fn footer(plan: &Plan, class_name: &str, words: &Words, options: &PlanPageOptions) -> Footer {
    let mut methods: Vec<&str> = plan
        .runners
        .iter()
        .flat_map(|runner| [runner.spacing_m.method.as_str(), runner.stature_cm.method.as_str()])
        .filter(|method| !method.is_empty())
        .collect();
    methods.sort_unstable();
    methods.dedup();
    let mut about = vec![class_name.to_owned()];
    about.extend(options.date.clone());
    let units = match words.units {
        Units::Metric => "draw-units-metric",
        Units::FeetInches => "draw-units-feet",
    };
    about.push(words.get(units));
    let made = match methods.is_empty() {
        true => options.software.clone(),
        false => say(
            words,
            "draw-made-with",
            &[("software", Arg::Text(options.software.clone())), ("methods", Arg::Text(methods.join(", ")))],
        ),
    };
    let page_of = say(
        words,
        "draw-page-of",
        &[("page", Arg::Text("{page}".to_owned())), ("pages", Arg::Text("{pages}".to_owned()))],
    );
    Footer { lines: vec![about.join(" · "), made], page_of }
}

fn first_page(
    plan: &Plan,
    title: &str,
    words: &Words,
    options: &PlanPageOptions,
    others_max: usize,
) -> Vec<Block> {
    let (width_px, height_px_max) = options.paper.inner_px();
    let mut blocks = vec![heading(1, title.to_owned())];
    let mut facts: Vec<String> = Vec::new();
    facts.extend(options.date.as_ref().map(|date| date.replace(' ', "\u{a0}")));
    facts.extend(options.place.clone());
    if !plan.drills.is_empty() {
        facts.push(tie(&plan.drills_said(words)));
    }
    if let Some(effort) = plan.effort_of_all() {
        facts.push(say(words, "draw-effort", &[("effort", Arg::Share(effort))]));
    }
    facts.push(say(words, "draw-children", &[("count", Arg::Count(plan.runners.len() as i64))]));
    if let Some(floor) = &plan.floor {
        facts.push(say(
            words,
            "draw-floor-size",
            &[
                ("length", Arg::MeasuredM(floor.space.length_m)),
                ("width", Arg::MeasuredM(floor.space.width_m)),
            ],
        ));
    }
    blocks.push(Block::Paragraph(facts.join(" · ")));
    if !plan.fits {
        blocks.push(Block::Caution(words.get("draw-caution-fits-not")));
        if !plan.remedies.is_empty() {
            let items =
                plan.remedies.iter().take(REMEDIES_MAX).map(|remedy| tie(&words.say(remedy))).collect();
            blocks.push(Block::List { numbered: false, items });
        }
    }
    let mut below = vec![Block::Table(lanes_table(plan, words, options))];
    let cautions = ["draw-caution-stop", "draw-caution-check", "draw-caution-rules"];
    below.push(Block::Caution(cautions.map(|id| words.say(&Message::new(id))).join(" ")));
    let on_safety = plan.warnings.iter().filter(|said| is_safety(said)).count();
    let others_max = others_max.min(NOTES_MAX.saturating_sub(on_safety));
    let notes = notes::notes(&plan.warnings, words, options.without_names, others_max);
    if !notes.shown.is_empty() {
        below.push(heading(2, words.get("draw-notes")));
        below.push(Block::List { numbered: false, items: notes.shown });
    }
    if notes.more > 0 {
        let more = [("count", Arg::Count(notes.more as i64))];
        below.push(Block::Paragraph(say(words, "draw-more-notes", &more)));
    }
    let taken_px: f64 = blocks.iter().chain(&below).map(|block| height_px(block, width_px)).sum();
    let height_max_px = (height_px_max - taken_px - FOOT_PX)
        .clamp(FLOOR_SHARES.0 * height_px_max, FLOOR_SHARES.1 * height_px_max);
    blocks.push(Block::Figure(floor_plan(
        plan,
        words,
        &FloorOptions { layout: Layout::Across, style: Style::Print, width_px, height_max_px },
    )));
    blocks.extend(below);
    blocks
}

/// Returns about how high a block prints, rather too much than too little, so that the floor plan leaves room for it.
fn height_px(block: &Block, width_px: f64) -> f64 {
    const LINE_PX: f64 = 19.0;
    let lines = |said: &str, room_px: f64| text::wrap(said, 14.0, false, room_px).len() as f64;
    match block {
        Block::Heading { level: 1, .. } => 36.0,
        Block::Heading { .. } => 38.0,
        Block::Paragraph(said) => lines(said, width_px) * LINE_PX + 6.0,
        Block::Caution(said) => lines(said, width_px - 50.0) * LINE_PX + 20.0,
        Block::List { items, .. } => {
            items.iter().map(|item| lines(item, width_px - 23.0) * LINE_PX + 1.0).sum::<f64>() + 7.0
        }
        Block::Table(table) => {
            let shares: f64 = table.columns.iter().map(|column| column.share).sum();
            let tallest = |row: &Vec<String>| {
                let cells = row.iter().zip(&table.columns);
                cells
                    .map(|(cell, column)| lines(cell, column.share / shares * width_px - 12.0))
                    .fold(1.0, f64::max)
            };
            46.0 + table.rows.iter().map(|row| tallest(row) * 17.0 + 8.0).sum::<f64>()
        }
        Block::Figure(figure) => figure.height + 14.0,
        // Rows beside each other are set closer: lists of marks, one line each.
        Block::Beside(columns) => columns
            .iter()
            .map(|column| {
                column
                    .iter()
                    .map(|block| match block {
                        Block::Table(table) => 38.0 + table.rows.len() as f64 * 21.4,
                        other => height_px(other, width_px / columns.len() as f64) - 4.0,
                    })
                    .sum::<f64>()
            })
            .fold(0.0, f64::max),
        Block::Cut(_) | Block::PageBreak => 0.0,
    }
}

fn lanes_table(plan: &Plan, words: &Words, options: &PlanPageOptions) -> Table {
    let two = plan.lanes.iter().any(|lane| lane.settings.len() > 1);
    let mut columns = vec![Column::words(words.get("draw-col-lane"), 7.0)];
    if two {
        columns.push(Column::numbers(words.get("draw-col-long-gap"), 12.0));
        columns.push(Column::numbers(words.get("draw-col-short-gap"), 13.0));
    } else {
        columns.push(Column::numbers(words.get("draw-col-gap"), 12.0));
    }
    columns.push(Column::counts(words.get("draw-col-hurdles"), 10.0));
    columns.push(Column::numbers(words.get("draw-col-height"), 10.0));
    columns.push(Column::numbers(words.get("draw-col-stop"), 12.0));
    columns.push(Column::words(words.get("draw-col-children"), 58.0));
    let rows = plan
        .lanes
        .iter()
        .map(|lane| {
            let mut row = vec![lane.lane.clone()];
            if two {
                for which in [Setting::Long, Setting::Short] {
                    row.push(setting_out::setting(lane, which).map_or_else(
                        || "–".to_owned(),
                        |setting| crate::shown(words, &Arg::GapM(setting.gap_m)),
                    ));
                }
            } else {
                row.push(crate::shown(words, &Arg::GapM(lane.spacing_m)));
            }
            row.push(lane.hurdles.to_string());
            row.push(height(words, lane.hurdle_height_cm));
            row.push(crate::shown(words, &Arg::RoomM(lane.parts.stopping_m)));
            row.push(children(lane, words, options));
            row
        })
        .collect();
    Table { caption: None, columns, rows }
}

fn children(lane: &PlannedLane, words: &Words, options: &PlanPageOptions) -> String {
    let count = |count: usize| say(words, "draw-children", &[("count", Arg::Count(count as i64))]);
    if options.without_names {
        return count(lane.runners.len());
    }
    let shown = lane.runners.len().min(NAMES_MAX);
    let mut names = lane.runners[..shown].join(", ");
    if lane.runners.len() > shown {
        let rest = (lane.runners.len() - shown) as i64;
        names.push_str(&format!(" {}", say(words, "draw-and-more", &[("count", Arg::Count(rest))])));
    }
    names
}

fn steps(plan: &Plan, words: &Words) -> Vec<String> {
    let two = plan.lanes.iter().any(|lane| lane.settings.len() > 1);
    let starts = plan.lanes.iter().any(|lane| lane.parts.second_start_m > 0.0);
    let mut ids = vec!["draw-out-step-tape", "draw-out-step-marks"];
    if two {
        ids.push("draw-out-step-two");
    }
    if starts {
        ids.push("draw-out-step-starts");
    }
    ids.push("draw-out-step-stop");
    ids.push("draw-out-step-try");
    ids.into_iter().map(|id| words.get(id)).collect()
}

/// Returns what stands above the lists of marks, and the lists, two lanes beside each other.
fn marks_lists(plan: &Plan, words: &Words, options: &PlanPageOptions) -> (Vec<Block>, Vec<Block>) {
    let mut blocks = vec![heading(1, words.get("draw-marks-title"))];
    let shoe_m = options.shoe_length_m.filter(|shoe_m| setting_out::shoes(1.0, *shoe_m).is_some());
    let cords = setting_out::cords(plan);
    blocks.push(Block::Paragraph(format!("{} {}", words.get("draw-marks-how"), words.get("draw-cord-how"))));
    match shoe_m {
        Some(shoe_m) => blocks.push(Block::Paragraph(say(
            words,
            "draw-shoes-how",
            &[("shoe", Arg::GapM(shoe_m)), ("half", Arg::GapM(shoe_m / 4.0))],
        ))),
        None => blocks.push(Block::Paragraph(words.get("draw-shoes-none"))),
    }
    for cord in cords.iter().filter(|cord| cord.lanes.len() > 1) {
        blocks.push(Block::Paragraph(say(
            words,
            "draw-cord-shared",
            &[("lanes", Arg::Text(cord.lanes.join(", ")))],
        )));
    }
    let mut lists = Vec::new();
    for pair in plan.lanes.chunks(2) {
        let mut columns: Vec<Vec<Block>> = pair
            .iter()
            .map(|lane| {
                vec![
                    heading(2, say(words, "draw-lane", &[("lane", Arg::Text(lane.lane.clone()))])),
                    Block::Paragraph(strip::lane_facts(lane, words)),
                    Block::Table(marks_table(lane, &cords, shoe_m, words)),
                ]
            })
            .collect();
        if columns.len() == 1 {
            columns.push(Vec::new());
        }
        lists.push(Block::Beside(columns));
    }
    (blocks, lists)
}

/// Returns a distance for a narrow column: `6.15 m`, `20'2"`.
fn written(words: &Words, length: &Arg) -> String {
    match words.units {
        Units::Metric => crate::shown(words, length),
        Units::FeetInches => crate::tape_of(words, length),
    }
}

fn marks_table(lane: &PlannedLane, cords: &[Cord], shoe_m: Option<f64>, words: &Words) -> Table {
    let two = lane.settings.len() > 1;
    let own_cord = cords.iter().find(|cord| cord.lanes.contains(&lane.lane));
    let mut columns = vec![
        Column::numbers(words.get("draw-col-tape"), 16.0),
        Column::words(words.get("draw-col-mark"), if two { 27.0 } else { 28.0 }),
    ];
    if two {
        columns.push(Column::counts(words.get("draw-col-long"), 10.0));
        columns.push(Column::counts(words.get("draw-col-short"), 11.0));
    }
    if shoe_m.is_some() {
        columns.push(Column::numbers(words.get("draw-col-shoes"), 12.0));
    }
    if own_cord.is_some() {
        columns.push(Column::numbers(words.get("draw-col-knot"), 20.0));
    }
    let number = |number: Option<u32>| number.map_or_else(|| "–".to_owned(), |number| number.to_string());
    let rows = setting_out::marks(lane)
        .into_iter()
        .map(|Mark { at_m, kind }| {
            let tape = match kind {
                MarkKind::FreeUntil => written(words, &words.free_until(at_m)),
                _ => written(words, &Arg::GapM(at_m)),
            };
            let mark = match kind {
                MarkKind::StartLeft => words.get("draw-mark-start-left"),
                MarkKind::StartRight => words.get("draw-mark-start-right"),
                MarkKind::Hurdle { long, short } if !two => {
                    say(words, "draw-mark-hurdle-n", &[("number", Arg::Text(number(long.or(short))))])
                }
                MarkKind::Hurdle { .. } => words.get("draw-mark-hurdle"),
                MarkKind::Exit => words.get("draw-mark-exit"),
                MarkKind::FreeUntil => words.get("draw-mark-free"),
            };
            let mut row = vec![tape, mark];
            if two {
                match kind {
                    MarkKind::Hurdle { long, short } => row.extend([number(long), number(short)]),
                    _ => row.extend([String::new(), String::new()]),
                }
            }
            if let Some(shoe_m) = shoe_m {
                row.push(setting_out::shoes(at_m, shoe_m).map(setting_out::halves).unwrap_or_default());
            }
            if let Some(cord) = own_cord {
                let knot =
                    cord.knots.iter().zip(1..).find(|(knot, _)| (knot.from_start_m - at_m).abs() < 0.0125);
                row.push(match knot {
                    Some((knot, index)) => say(
                        words,
                        "draw-knot",
                        &[
                            ("number", Arg::Count(index)),
                            ("more", Arg::Text(written(words, &Arg::GapM(knot.from_before_m)))),
                        ],
                    ),
                    None => words.get("draw-knot-start"),
                });
            }
            row
        })
        .collect();
    Table { caption: None, columns, rows }
}
