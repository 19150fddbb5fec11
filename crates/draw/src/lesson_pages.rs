//! The printed lesson: one sheet for the clipboard, and the task card of a station.

use std::collections::BTreeMap;

use lanewright_model::drill::{DrillId, Family, Ladder, Setting};
use lanewright_model::words::Words;
use lanewright_model::{Arg, Message};
use lanewright_science::flow;
use lanewright_science::lesson::{Block as LessonBlock, BlockGroup, FixedPart, Lesson, Use, When};
use lanewright_science::weather::{ends_running, limits_running};

use crate::page::{Block, Column, Footer, Page, Paper, TEXT_PERCENT_STEP, Table};
use crate::timeline::timeline;
use crate::{Figure, Style, heights, notes, say, tie};

/// Lanes beside each other in one table; more go into a second one below.
const LANES_BESIDE: usize = 6;
/// Text of the sheet in percent of the usual: what is tried for, and the least that is taken (engineering assumption:
/// 110 % sets tables at 10.7 pt and running text at 11.6 pt, to be read from a clipboard at arm's length).
const TEXT_WANTED: (u32, u32) = (110, 140);
const TEXT_LEAST: u32 = 80;
/// Text of the task card likewise: several children read it at once.
const CARD_TEXT: (u32, u32) = (120, 300);
/// Share of a table's width, in percent, for what its rows are called: with up to four lanes, and with more.
const LABEL_SHARES: (f64, f64) = (23.5, 19.0);
/// Contacts are said to the nearest five.
const CONTACTS_STEP: f64 = 5.0;
/// Setters who are named in a block when there is no room for all.
const FEW_SETTERS: usize = 3;

/// What goes onto the printed lesson.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LessonPageOptions {
    /// Paper to lay out for.
    pub paper: Paper,
    /// The class, as it is called. Nothing is written without it.
    pub class_name: Option<String>,
    /// The day, as it is to be written.
    pub date: Option<String>,
    /// Where: the name of the hall or field.
    pub place: Option<String>,
    /// Name and version of the program, for the foot of the sheet.
    pub software: String,
    /// Leaves the children's names out, for a copy that others may see.
    pub without_names: bool,
}

/// How much of what can be said is said: the less important goes first when the sheet is full.
#[derive(Debug, Clone, Copy)]
struct Detail {
    /// What the plan rests on.
    notes: bool,
    /// Why each block is there.
    why: bool,
    /// What to show and to say at the start.
    start: bool,
    /// What a fault looks like, beside its name.
    looks: bool,
    /// When the next setter takes over.
    turns: bool,
    /// Setters of a lane in a block: at most so many names.
    setters: usize,
    /// Cautions of the plan that are not about safety: at most so many. Those on safety are always there.
    cautions: usize,
}

const ALL: Detail = Detail {
    notes: true,
    why: true,
    start: true,
    looks: true,
    turns: true,
    setters: usize::MAX,
    cautions: 6,
};
const NO_NOTES: Detail = Detail { notes: false, ..ALL };
const NO_WHY: Detail = Detail { why: false, ..NO_NOTES };
const NO_START: Detail = Detail { start: false, cautions: 4, ..NO_WHY };
const FEW: Detail = Detail { setters: FEW_SETTERS, cautions: 3, ..NO_START };
const ONE: Detail = Detail { setters: 1, ..FEW };
const NO_LOOKS: Detail = Detail { looks: false, cautions: 2, ..ONE };
const LEAST: Detail = Detail { turns: false, ..NO_LOOKS };
const DETAILS: [Detail; 8] = [ALL, NO_NOTES, NO_WHY, NO_START, FEW, ONE, NO_LOOKS, LEAST];

/// Returns the printed lesson: one sheet, and for a station a task card for the children on a sheet of its own.
///
/// The sheet says as much as fits at a size that is read at arm's length; notes and reasons go first, then what is
/// said at the start, then all setters but the first ones. Only when the rest is still too much the text gets smaller.
/// Children, blocks, drills and gaps are always there. The same pages print from the browser
/// ([`crate::page::to_html`]) and as PDF.
pub fn lesson_pages(
    lesson: &Lesson,
    ladder: &Ladder,
    words: &Words,
    options: &LessonPageOptions,
) -> Vec<Page> {
    let sheet = Sheet { lesson, ladder, words, options };
    let mut pages = vec![sheet.one_page()];
    if lesson.use_for == Use::Station && !lesson.card.is_empty() {
        pages.push(sheet.card());
    }
    pages
}

/// Returns the names of a block's drills, each once, in the order of the lanes.
pub(crate) fn drills_of(block: &LessonBlock, ladder: &Ladder, words: &Words) -> Vec<String> {
    ids_of(block).iter().map(|id| short_name(id, ladder, words)).collect()
}

fn ids_of(block: &LessonBlock) -> Vec<&DrillId> {
    let mut ids: Vec<&DrillId> = Vec::new();
    for group in &block.groups {
        if !ids.contains(&&group.drill) {
            ids.push(&group.drill);
        }
    }
    ids
}

/// Returns the name of a part without hurdles; the coach's own word where it is none of ours.
pub(crate) fn part_name(what: &str, words: &Words) -> String {
    if what == "free-runs" {
        return words.get("lesson-page-part-free-runs");
    }
    let id = format!("lesson-part-{what}");
    if words.has(&id) { words.get(&id) } else { what.to_owned() }
}

/// Returns a drill's short name; the name in the drill file where there are no words for it.
fn short_name(id: &DrillId, ladder: &Ladder, words: &Words) -> String {
    let known = format!("lesson-page-drill-{id}");
    if words.has(&known) {
        return words.get(&known);
    }
    ladder.get(&id.0).map_or_else(|| id.to_string(), |drill| drill.name.clone())
}

fn heading(level: u8, text: String) -> Block {
    Block::Heading { level, text }
}

fn count(number: usize) -> Arg {
    Arg::Count(number as i64)
}

fn minutes(number: u32) -> (&'static str, Arg) {
    ("minutes", Arg::Count(i64::from(number)))
}

/// Returns the value that all share, if they do.
fn same<T: PartialEq>(mut values: impl Iterator<Item = T>) -> Option<T> {
    let first = values.next()?;
    values.all(|value| value == first).then_some(first)
}

struct Sheet<'a> {
    lesson: &'a Lesson,
    ladder: &'a Ladder,
    words: &'a Words,
    options: &'a LessonPageOptions,
}

impl Sheet<'_> {
    fn say(&self, id: &str, arguments: &[(&str, Arg)]) -> String {
        say(self.words, id, arguments)
    }

    /// The most that fits at a good size; else the least, at the greatest size at which it fits.
    fn one_page(&self) -> Page {
        for detail in DETAILS {
            if let Some(page) = largest(&self.sheet(detail), TEXT_WANTED) {
                return page;
            }
        }
        let least = self.sheet(LEAST);
        largest(&least, (TEXT_LEAST, TEXT_WANTED.0)).unwrap_or(least)
    }

    fn page(&self, title: String, blocks: Vec<Block>) -> Page {
        Page {
            title,
            language: self.words.language.to_owned(),
            paper: self.options.paper,
            text_percent: 100,
            blocks,
            footer: self.footer(),
        }
    }

    fn footer(&self) -> Footer {
        let mut about: Vec<String> = self.options.class_name.iter().cloned().collect();
        about.extend(self.options.date.clone());
        let made = [
            ("software", Arg::Text(self.options.software.clone())),
            ("methods", Arg::Text(format!("{}, {}", self.lesson.method, flow::METHOD))),
        ];
        let page_of = [("page", Arg::Text("{page}".to_owned())), ("pages", Arg::Text("{pages}".to_owned()))];
        about.push(self.say("draw-made-with", &made));
        Footer { lines: vec![about.join(" · ")], page_of: self.say("draw-page-of", &page_of) }
    }

    fn title(&self) -> String {
        let use_words = self.words.get(match self.lesson.use_for {
            Use::WarmUp => "lesson-use-warm-up",
            Use::Station => "lesson-use-station",
            Use::Lesson => "lesson-use-lesson",
        });
        match &self.options.class_name {
            Some(class) => {
                let named = [("use", Arg::Text(use_words)), ("class", Arg::Text(class.clone()))];
                self.say("lesson-page-title-class", &named)
            }
            None => use_words,
        }
    }

    fn sheet(&self, detail: Detail) -> Page {
        let title = self.title();
        let mut head = vec![title.clone()];
        head.extend(self.options.date.as_ref().map(|date| date.replace(' ', "\u{a0}")));
        head.push(self.say("lesson-page-min", &[minutes(self.lesson.minutes)]));
        let mut blocks = vec![heading(1, head.join(" · ")), Block::Paragraph(self.facts())];
        if !self.lesson.fits {
            blocks.push(Block::Caution(self.words.get("draw-caution-fits-not")));
        }
        blocks.extend(self.comes_first().map(|said| Block::Caution(self.words.say(said))));
        let width_px = self.options.paper.inner_px().0;
        let (figure, all_named) = timeline(self.lesson, self.ladder, self.words, width_px, Style::Print);
        blocks.push(Block::Figure(figure));
        if !all_named {
            let parts = self.parts(&self.fixed(When::Before));
            blocks.push(Block::Paragraph(self.say("lesson-page-before", &[("parts", Arg::Text(parts))])));
        }
        blocks.extend(self.lanes_tables(detail));
        if detail.turns && !self.options.without_names {
            let runs = ("runs", Arg::Count(i64::from(flow::TURN_RUNS)));
            blocks.push(Block::Paragraph(self.say("lesson-page-setters", &[runs])));
        }
        self.cues(detail, &mut blocks);
        self.after(&mut blocks);
        self.hands(&mut blocks);
        self.cautions(detail, &mut blocks);
        self.less_important(detail, &mut blocks);
        self.page(title, blocks)
    }

    fn facts(&self) -> String {
        let lesson = self.lesson;
        let mut facts: Vec<String> = self.options.place.iter().cloned().collect();
        facts.push(self.say("draw-children", &[("count", count(lesson.names.len()))]));
        facts.push(self.say("lesson-page-lanes", &[("count", count(lesson.groups.len()))]));
        if let Some(each) = same((0..lesson.groups.len()).map(|lane| self.hurdles(lane))) {
            facts.push(self.say("lesson-page-hurdles-each", &[("hurdles", Arg::Text(each))]));
        }
        facts.join(" · ")
    }

    fn hurdles(&self, lane: usize) -> String {
        let group = &self.lesson.groups[lane];
        let number = ("count", Arg::Count(i64::from(group.hurdles)));
        if group.hurdle_height_cm > 0.0 {
            let height = ("height", Arg::HeightCm(group.hurdle_height_cm));
            self.say("draw-hurdles", &[number, height])
        } else {
            self.say("draw-lines", &[number])
        }
    }

    fn fixed(&self, when: When) -> Vec<&FixedPart> {
        self.lesson.fixed.iter().filter(|part| part.when == when).collect()
    }

    fn parts(&self, parts: &[&FixedPart]) -> String {
        let said: Vec<String> = parts
            .iter()
            .map(|part| {
                let what = ("what", Arg::Text(part_name(&part.what, self.words)));
                self.say("lesson-page-part", &[what, minutes(part.minutes)])
            })
            .collect();
        said.join(" · ")
    }

    fn name(&self, runner: &str) -> String {
        self.lesson.names.get(runner).map_or_else(|| runner.to_owned(), Clone::clone)
    }

    /// Names, or how many they are on a copy without names.
    fn names(&self, names: &[String]) -> String {
        if self.options.without_names {
            self.say("draw-children", &[("count", count(names.len()))])
        } else {
            names.join(", ")
        }
    }

    /// One table: a column for each lane; rows for the queue, the setters, and each block with what differs in it.
    fn lanes_tables(&self, detail: Detail) -> Vec<Block> {
        let lesson = self.lesson;
        let with_names = !self.options.without_names;
        let hurdles: Vec<String> = (0..lesson.groups.len()).map(|lane| self.hurdles(lane)).collect();
        let queue = lesson.groups.iter().map(|group| {
            self.names(&group.runners.iter().map(|runner| self.name(runner)).collect::<Vec<_>>())
        });
        let mut rows: Vec<(String, Vec<String>)> = Vec::new();
        if same(hurdles.iter()).is_none() {
            rows.push((self.words.get("lesson-page-row-hurdles"), hurdles));
        }
        rows.push((self.words.get("lesson-page-row-queue"), queue.collect()));
        let setters = |block: &LessonBlock| -> Vec<String> {
            block.groups.iter().map(|group| first_of(&group.setters, detail.setters)).collect()
        };
        let setters_row = self.words.get(match detail.setters {
            1 => "lesson-page-row-setter",
            _ => "lesson-page-row-setters",
        });
        let usual = same(lesson.blocks.iter().map(setters)).filter(|_| with_names);
        if let Some(usual) = &usual {
            rows.push((setters_row.clone(), usual.clone()));
        }
        for ((block, number), from) in lesson.blocks.iter().zip(1..).zip(self.starts()) {
            let numbered = |row: String| {
                let arguments = [("number", count(number)), ("row", Arg::Text(row))];
                self.say("lesson-page-row-of", &arguments)
            };
            let mut add = |row: String, cells: Vec<String>| {
                if cells.iter().any(|cell| !cell.is_empty()) {
                    let or_dash = |cell: String| if cell.is_empty() { "–".to_owned() } else { cell };
                    rows.push((row, cells.into_iter().map(or_dash).collect()));
                }
            };
            let of_lanes = |cell: &dyn Fn(&BlockGroup) -> String| block.groups.iter().map(cell).collect();
            if with_names {
                let row = self.say("lesson-page-row-movers", &[minutes(block.change_minutes)]);
                add(numbered(row), of_lanes(&|group| group.movers.join(", ")));
            }
            let one_drill = ids_of(block).len() == 1;
            let minute = |minute: u32| Arg::Count(i64::from(minute));
            let times = [
                ("number", count(number)),
                ("drill", Arg::Text(drills_of(block, self.ladder, self.words).join(", "))),
                minutes(block.minutes),
                ("from", minute(from)),
                ("to", minute(from + block.minutes)),
            ];
            let id = if one_drill { "lesson-page-block" } else { "lesson-page-block-many" };
            add(self.say(id, &times), of_lanes(&|group| self.gap(group, one_drill)));
            add(numbered(self.words.get("lesson-page-row-easier")), of_lanes(&|group| self.easier(group)));
            let lines = |group: &BlockGroup| {
                let names: Vec<String> = group.over_lines.iter().map(|runner| self.name(runner)).collect();
                if names.is_empty() { String::new() } else { self.names(&names) }
            };
            add(numbered(self.words.get("lesson-page-row-lines")), of_lanes(&lines));
            if with_names && usual.is_none() {
                add(numbered(setters_row.clone()), setters(block));
            }
        }
        let lanes: Vec<String> = lesson.groups.iter().map(|group| group.lane.clone()).collect();
        tables(&self.words.get("lesson-page-row-lane"), &lanes, &rows)
    }

    /// The minutes at which the blocks start.
    fn starts(&self) -> Vec<u32> {
        let mut from: u32 = self.fixed(When::Before).iter().map(|part| part.minutes).sum();
        let mut starts = Vec::new();
        for block in &self.lesson.blocks {
            from += block.change_minutes;
            starts.push(from);
            from += block.minutes;
        }
        starts
    }

    /// Setting and gap of a lane in a block, with the drill where lanes differ.
    fn gap(&self, group: &BlockGroup, one_drill: bool) -> String {
        let gap = [("gap", Arg::GapM(group.gap_m))];
        let gap = match group.setting {
            Setting::Long => self.say("lesson-page-gap-long", &gap),
            Setting::Short => self.say("lesson-page-gap-short", &gap),
        };
        let gap = gap.replace(' ', "\u{a0}");
        if one_drill {
            return gap;
        }
        let drill = ("drill", Arg::Text(short_name(&group.drill, self.ladder, self.words)));
        self.say("lesson-page-drill-gap", &[drill, ("gap", Arg::Text(gap))])
    }

    /// A line for each block: cue and what to watch for, each drill once, and how much each child does.
    fn cues(&self, detail: Detail, blocks: &mut Vec<Block>) {
        let mut cued: Vec<&DrillId> = Vec::new();
        let mut items = Vec::new();
        for block in &self.lesson.blocks {
            let mut said = Vec::new();
            for id in ids_of(block) {
                let drill = ("drill", Arg::Text(short_name(id, self.ladder, self.words)));
                let known = self.ladder.get(&id.0).filter(|_| !cued.contains(&id));
                cued.push(id);
                let groups = || block.groups.iter().filter(|group| group.drill == *id);
                match known {
                    Some(known) => {
                        let cue = ("cue", known.cue_arg());
                        said.push(self.say("lesson-page-cue", &[drill, cue]));
                        if let Some(fault) = groups().find_map(|group| group.watch_for.as_ref()) {
                            said.push(self.watch(fault, detail));
                        }
                    }
                    None => {
                        said.push(self.say("lesson-page-again", &[drill]));
                        continue;
                    }
                }
                if groups().any(|group| group.lead_changes) {
                    let one_leg = known.is_some_and(|known| known.family == Family::OneLeg);
                    said.push(self.words.get(if one_leg { "lesson-text-side" } else { "lesson-page-lead" }));
                }
            }
            said.push(self.each(block));
            items.push(said.join(" "));
        }
        blocks.push(heading(2, self.words.get("lesson-page-cues")));
        blocks.push(Block::List { numbered: true, items });
    }

    fn watch(&self, fault: &str, detail: Detail) -> String {
        let (name, look) = (format!("fault-{fault}"), format!("fault-{fault}-look"));
        let known = if self.words.has(&name) { self.words.get(&name) } else { fault.to_owned() };
        let said = self.say("lesson-page-watch", &[("fault", Arg::Text(self.words.inside(&known)))]);
        if detail.looks && self.words.has(&look) { format!("{said} {}", self.words.get(&look)) } else { said }
    }

    /// Runs and contacts of each child, from the lane with the fewest to the lane with the most.
    fn each(&self, block: &LessonBlock) -> String {
        let range = |of: &dyn Fn(&BlockGroup) -> f64, step: f64| {
            let rounded = |value: f64| ((value / step).round() * step).max(0.0) as i64;
            let values = || block.groups.iter().map(|group| rounded(of(group)));
            let (low, high) = (values().min().unwrap_or(0), values().max().unwrap_or(0));
            if low == high {
                Arg::Count(low)
            } else {
                let ends = [("low", Arg::Count(low)), ("high", Arg::Count(high))];
                Arg::Text(self.say("lesson-page-range", &ends))
            }
        };
        let runs = range(&|group| group.runs_per_child, 1.0);
        let contacts = range(&|group| group.contacts_per_child, CONTACTS_STEP);
        self.say("lesson-page-each", &[("runs", runs), ("contacts", contacts)])
    }

    /// Who does which easier drill: children of one drill together.
    fn easier(&self, group: &BlockGroup) -> String {
        let mut by_drill: BTreeMap<&DrillId, Vec<String>> = BTreeMap::new();
        for (runner, drill) in &group.easier {
            by_drill.entry(drill).or_default().push(self.name(runner));
        }
        let said: Vec<String> = by_drill
            .into_iter()
            .map(|(drill, names)| {
                let drill = short_name(drill, self.ladder, self.words);
                let names = self.names(&names);
                self.say("lesson-page-easier", &[("names", Arg::Text(names)), ("drill", Arg::Text(drill))])
            })
            .collect();
        said.join("; ")
    }

    fn after(&self, blocks: &mut Vec<Block>) {
        let parts = self.fixed(When::After);
        if parts.is_empty() {
            return;
        }
        let (free, other): (Vec<&FixedPart>, Vec<&FixedPart>) =
            parts.into_iter().partition(|part| part.what == "free-runs");
        let mut said: Vec<String> = free
            .iter()
            .map(|part| match self.ladder.get("free-run") {
                Some(drill) => {
                    let cue = ("cue", drill.cue_arg());
                    self.say("lesson-page-free-runs", &[minutes(part.minutes), cue])
                }
                None => self.say("lesson-page-free-runs-plain", &[minutes(part.minutes)]),
            })
            .collect();
        if !other.is_empty() {
            said.push(format!("{}.", self.parts(&other)));
        }
        let said = ("said", Arg::Text(said.join(" ")));
        blocks.push(Block::Paragraph(self.say("lesson-page-after", &[said])));
    }

    fn hands(&self, blocks: &mut Vec<Block>) {
        if self.lesson.jobs.is_empty() || self.options.without_names {
            return;
        }
        let jobs: Vec<String> = self.lesson.jobs.iter().map(|job| self.words.say(job)).collect();
        let jobs = ("jobs", Arg::Text(jobs.join(" ")));
        blocks.push(Block::Paragraph(self.say("lesson-page-helping", &[jobs])));
    }

    /// Cautions that stand above the plan, because they are about whether it is run at all. They name nobody.
    fn comes_first(&self) -> impl Iterator<Item = &Message> {
        self.lesson.cautions.iter().filter(|said| limits_running(said))
    }

    fn cautions(&self, detail: Detail, blocks: &mut Vec<Block>) {
        blocks.push(Block::Caution(self.words.get("lesson-page-cautions")));
        let own = self.lesson.cautions.iter().filter(|said| !limits_running(said));
        let notes = notes::notes(own, self.words, self.options.without_names, detail.cautions);
        let mut items = notes.shown;
        if notes.more > 0 {
            items.push(self.say("draw-more-notes", &[("count", count(notes.more))]));
        }
        if !items.is_empty() {
            blocks.push(Block::List { numbered: false, items });
        }
    }

    fn list(&self, messages: &[Message]) -> Block {
        let items = messages.iter().map(|message| tie(&self.words.say(message))).collect();
        Block::List { numbered: false, items }
    }

    /// What goes first when the sheet is full.
    fn less_important(&self, detail: Detail, blocks: &mut Vec<Block>) {
        let lesson = self.lesson;
        if detail.start {
            blocks.push(heading(2, self.words.get("lesson-page-start")));
            let said: Vec<Message> = lesson.demonstrate.iter().chain(&lesson.talk).cloned().collect();
            blocks.push(self.list(&said));
        }
        if detail.why {
            blocks.push(heading(2, self.words.get("lesson-page-why")));
            let items = lesson
                .blocks
                .iter()
                .zip(1..)
                .map(|(block, number)| {
                    let why: Vec<String> =
                        block.why.iter().map(|message| tie(&self.words.say(message))).collect();
                    let why = ("why", Arg::Text(why.join(" ")));
                    self.say("lesson-page-why-block", &[("number", count(number)), why])
                })
                .collect();
            blocks.push(Block::List { numbered: false, items });
        }
        if detail.notes && !self.options.without_names {
            blocks.push(heading(2, self.words.get("lesson-page-notes")));
            let mut said = vec![flow::moving_note(lesson.moving.share_of_lesson)];
            if !lesson.cautions.iter().any(ends_running) {
                said.extend(lesson.more_moving.iter().map(|help| help.say.clone()));
            }
            said.extend(lesson.notes.iter().cloned());
            blocks.push(self.list(&said));
        }
    }

    /// The card that children read themselves, as large as one sheet takes.
    fn card(&self) -> Page {
        let title = self.say("lesson-page-card-title", &[("title", Arg::Text(self.title()))]);
        let (last, steps) = self.lesson.card.split_last().expect("a card has sentences");
        let items = steps.iter().map(|message| tie(&self.words.say(message))).collect();
        let blocks = vec![
            heading(1, self.words.get("lesson-page-card")),
            Block::List { numbered: true, items },
            Block::Caution(self.words.say(last)),
        ];
        let page = self.page(title, blocks);
        largest(&page, CARD_TEXT).unwrap_or(page)
    }
}

/// Parts of the printed lesson that other sheets are made of, too.
pub(crate) struct SheetParts {
    /// What decides whether it is run at all; stands above everything else.
    pub(crate) stops: Vec<Block>,
    /// Place, children, lanes, hurdles.
    pub(crate) facts: String,
    /// The minutes as a bar.
    pub(crate) bar: Figure,
    /// A column for each lane.
    pub(crate) lanes: Vec<Block>,
    /// What to say and to watch for.
    pub(crate) cues: Vec<Block>,
    /// What comes after the blocks.
    pub(crate) after: Vec<Block>,
    /// Who helps.
    pub(crate) hands: Vec<Block>,
    /// What to take care of.
    pub(crate) cautions: Vec<Block>,
}

/// Lengths in which [`sheet_parts`] come: 0 says most.
pub(crate) const LENGTHS: usize = DETAILS.len();

/// Returns the parts of a lesson's sheet at one of the [`LENGTHS`].
pub(crate) fn sheet_parts(
    lesson: &Lesson,
    ladder: &Ladder,
    words: &Words,
    options: &LessonPageOptions,
    length: usize,
) -> SheetParts {
    let sheet = Sheet { lesson, ladder, words, options };
    let detail = DETAILS[length.min(LENGTHS - 1)];
    let (mut cues, mut after, mut hands, mut cautions) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    sheet.cues(detail, &mut cues);
    sheet.after(&mut after);
    sheet.hands(&mut hands);
    sheet.cautions(detail, &mut cautions);
    SheetParts {
        stops: sheet.comes_first().map(|said| Block::Caution(words.say(said))).collect(),
        facts: sheet.facts(),
        bar: timeline(lesson, ladder, words, options.paper.inner_px().0, Style::Print).0,
        lanes: sheet.lanes_tables(detail),
        cues,
        after,
        hands,
        cautions,
    }
}

/// Returns the page with the largest text with which it stands on one sheet.
pub(crate) fn largest(page: &Page, (low, high): (u32, u32)) -> Option<Page> {
    let mut page = page.clone();
    (low..=high).rev().step_by(TEXT_PERCENT_STEP as usize).find_map(|percent| {
        page.text_percent = percent;
        heights::fits(&page).then(|| page.clone())
    })
}

/// Returns the first names of a list, and a sign when there are more; of one alone it is said in the row's name.
fn first_of(names: &[String], most: usize) -> String {
    let shown = names.len().min(most);
    let more = if shown < names.len() && most > 1 { " …" } else { "" };
    format!("{}{more}", names[..shown].join(", "))
}

/// Returns tables whose columns are lanes, at most so many lanes beside each other.
fn tables(head: &str, lanes: &[String], rows: &[(String, Vec<String>)]) -> Vec<Block> {
    (0..lanes.len())
        .step_by(LANES_BESIDE)
        .map(|first| {
            let until = (first + LANES_BESIDE).min(lanes.len());
            let label = if lanes.len() <= 4 { LABEL_SHARES.0 } else { LABEL_SHARES.1 };
            let mut columns = vec![Column::words(head, label)];
            let share = (100.0 - label) / (until - first) as f64;
            columns.extend(lanes[first..until].iter().map(|lane| Column::words(lane, share)));
            let rows = rows
                .iter()
                .map(|(name, cells)| {
                    std::iter::once(name.clone()).chain(cells[first..until].iter().cloned()).collect()
                })
                .collect();
            Block::Table(Table { caption: None, columns, rows })
        })
        .collect()
}
