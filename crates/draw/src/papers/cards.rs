//! A child's card: one side in plain words, two to a sheet with a line to cut along, or one to a sheet.

use lanewright_model::Arg;
use lanewright_model::drill::Ladder;
use lanewright_model::words::Words;
use lanewright_science::progress::{ChildProgress, DrillReach, Next, RateChange, Reach};

use super::heading;
use crate::charts::{Step, StepState, stairs};
use crate::feet::{DrillPictureOptions, drill_picture};
use crate::page::{Block, Footer, Page, Paper, TEXT_PERCENT_STEP};
use crate::svg::id_from;
use crate::{Figure, Style, heights, say};

/// Size of text that is tried for on half a sheet and on a whole one, in percent of the usual.
const TEXT_WANTED: [(u32, u32); 2] = [(100, 130), (140, 200)];
/// The least that is taken.
const TEXT_LEAST: u32 = 80;
/// Clean drills that are listed; of more only how many.
const LISTED: [usize; 3] = [4, 3, 2];
/// Changes that are told: more is a report, not a card.
const CHANGES_MAX: usize = 2;
/// Widest drawing of a drill, so that it does not crowd out the words.
const PICTURE_MAX_PX: f64 = 420.0;

/// How plain the words are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Level {
    /// What a child of ten reads.
    #[default]
    Plain,
    /// Shorter sentences, and fewer of them.
    VeryPlain,
}

/// What stands on a card beside the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shown {
    /// The stairs.
    pub steps: bool,
    /// What can be done.
    pub can: bool,
    /// What changed.
    pub changes: bool,
    /// What to work on, with its drawing.
    pub work: bool,
    /// What comes next.
    pub next: bool,
}

impl Default for Shown {
    fn default() -> Self {
        Self { steps: true, can: true, changes: true, work: true, next: true }
    }
}

/// What goes onto the cards.
#[derive(Debug, Clone, PartialEq)]
pub struct CardOptions {
    /// Paper to lay out for.
    pub paper: Paper,
    /// How plain the words are.
    pub level: Level,
    /// What is shown.
    pub shown: Shown,
    /// Two cards to a sheet, to be cut apart; otherwise one.
    pub two_to_a_sheet: bool,
    /// The class, as it is called. Nothing is written without it.
    pub class_name: Option<String>,
    /// The day, as it is to be written.
    pub date: Option<String>,
}

impl Default for CardOptions {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            level: Level::Plain,
            shown: Shown::default(),
            two_to_a_sheet: true,
            class_name: None,
            date: None,
        }
    }
}

/// Returns a line on which a name is written by hand: for names in letters that a printer does not have.
pub fn name_line(words: &Words) -> String {
    format!("{} ______________", words.get("card-name-line"))
}

/// Returns the cards of these children, each with the name it is called by, in their order.
///
/// A card says nothing of any other child. It says as much as fits at a good size; fewer of the clean drills are listed
/// before the text gets smaller.
pub fn card_pages(
    children: &[(String, &ChildProgress)],
    ladder: &Ladder,
    words: &Words,
    options: &CardOptions,
) -> Vec<Page> {
    let title = match &options.class_name {
        Some(class) => say(words, "card-document", &[("class", Arg::Text(class.clone()))]),
        None => words.get("card-document-plain"),
    };
    let page = |text_percent: u32, blocks: Vec<Block>| Page {
        title: title.clone(),
        language: words.language.to_owned(),
        paper: options.paper,
        text_percent,
        blocks,
        footer: Footer::default(),
    };
    let cards: Vec<Card> = children
        .iter()
        .enumerate()
        .map(|(index, (name, child))| Card { index, name, child, ladder, words, options })
        .collect();
    let per_sheet = if options.two_to_a_sheet { 2 } else { 1 };
    let room = options.paper.part_px(per_sheet);
    let wanted = TEXT_WANTED[2 - per_sheet];
    cards
        .chunks(per_sheet)
        .map(|sheet| {
            let fitted: Vec<(u32, usize)> = sheet.iter().map(|card| card.fitted(room, wanted)).collect();
            // Neighbours on one sheet have one size of text.
            let percent = fitted.iter().map(|(percent, _)| *percent).min().unwrap_or(100);
            let parts: Vec<Vec<Block>> =
                sheet.iter().zip(&fitted).map(|(card, (_, listed))| card.blocks(*listed, room.0)).collect();
            match parts.len() {
                1 if per_sheet == 1 => page(percent, parts.into_iter().flatten().collect()),
                // The last card of an odd class has its half, too.
                _ => page(percent, vec![Block::Cut(filled(parts, per_sheet))]),
            }
        })
        .collect()
}

fn filled(mut parts: Vec<Vec<Block>>, count: usize) -> Vec<Vec<Block>> {
    parts.resize_with(count, Vec::new);
    parts
}

struct Card<'a> {
    index: usize,
    name: &'a str,
    child: &'a ChildProgress,
    ladder: &'a Ladder,
    words: &'a Words,
    options: &'a CardOptions,
}

impl Card<'_> {
    /// The largest text with the most drills listed; fewer drills before smaller text.
    fn fitted(&self, room: (f64, f64), (low, high): (u32, u32)) -> (u32, usize) {
        let largest = |listed: usize, (low, high): (u32, u32)| {
            let blocks = self.blocks(listed, room.0);
            (low..=high)
                .rev()
                .step_by(TEXT_PERCENT_STEP as usize)
                .find(|percent| heights::fit(&blocks, room, f64::from(*percent) / 100.0))
                .map(|percent| (percent, listed))
        };
        let least = LISTED[LISTED.len() - 1];
        LISTED
            .into_iter()
            .find_map(|listed| largest(listed, (low, high)))
            .or_else(|| largest(least, (TEXT_LEAST, low)))
            .unwrap_or((TEXT_LEAST, least))
    }

    /// The words of an id in the level asked for; ids that have no plainer form are the same in both.
    fn say(&self, plain: &str, easy: &str, arguments: &[(&str, Arg)]) -> String {
        let id = match self.options.level {
            Level::Plain => plain,
            Level::VeryPlain => easy,
        };
        say(self.words, id, arguments)
    }

    fn does(&self, drill: &str) -> String {
        let id = format!("card-drill-{drill}");
        if self.words.has(&id) {
            return self.words.get(&id);
        }
        self.ladder.get(drill).map_or_else(|| drill.to_owned(), |drill| drill.name.clone())
    }

    fn with_drill(&self, plain: &str, easy: &str, drill: &str) -> String {
        self.say(plain, easy, &[("drill", Arg::Text(self.does(drill)))])
    }

    fn blocks(&self, listed: usize, width_px: f64) -> Vec<Block> {
        let shown = self.options.shown;
        let mut blocks = vec![heading(1, self.name.to_owned()), Block::Paragraph(self.about())];
        if shown.steps {
            blocks.push(Block::Figure(self.stairs(width_px)));
        }
        let mut left = Vec::new();
        if shown.can {
            self.can(listed, &mut left);
        }
        if shown.changes {
            self.changed(&mut left);
        }
        let mut right = Vec::new();
        if shown.work {
            self.work(width_px, &mut right);
        }
        if shown.next {
            // Where few drills are listed there is more room on the left.
            let is_left = listed == LISTED[LISTED.len() - 1] && !left.is_empty() && !right.is_empty();
            let side = if is_left { &mut left } else { &mut right };
            side.push(heading(2, self.words.get("card-heading-next")));
            side.push(Block::Paragraph(self.next()));
        }
        match (left.is_empty(), right.is_empty()) {
            (false, false) => blocks.push(Block::Beside(vec![left, right])),
            _ => blocks.extend(left.into_iter().chain(right)),
        }
        blocks
    }

    fn about(&self) -> String {
        let mut about: Vec<String> = self.options.class_name.iter().cloned().collect();
        about.extend(self.options.date.as_ref().map(|date| date.replace(' ', "\u{a0}")));
        let seen = [
            ("runs", Arg::Count(self.child.runs.into())),
            ("lessons", Arg::Count(self.child.days.len() as i64)),
        ];
        about.push(say(self.words, "card-seen", &seen).trim().to_owned());
        about.join(" · ")
    }

    fn stairs(&self, width_px: f64) -> Figure {
        let here = self.child.focus.as_ref().map(|focus| focus.drill.as_str());
        let steps: Vec<Step> = self
            .child
            .drills
            .iter()
            .map(|drill| {
                let id = format!("card-step-{}", drill.drill);
                let name = if self.words.has(&id) { self.words.get(&id) } else { self.does(&drill.drill) };
                let state = match drill.reach {
                    Reach::Clean => StepState::Clean,
                    Reach::Working | Reach::SeenLittle => StepState::Open,
                    Reach::NotSeen => StepState::Ahead,
                };
                Step { name, state, is_here: here == Some(drill.drill.as_str()) }
            })
            .collect();
        stairs(&self.index.to_string(), &steps, width_px, self.words, Style::Print)
    }

    fn can(&self, listed: usize, blocks: &mut Vec<Block>) {
        blocks.push(heading(2, self.words.get("card-heading-can")));
        let clean: Vec<&DrillReach> = self.child.at(Reach::Clean).collect();
        if clean.is_empty() {
            let said = if self.child.runs == 0 && self.child.days.is_empty() {
                self.say("card-nothing", "card-easy-nothing", &[])
            } else if self.child.is_seen_enough() {
                self.say("card-can-none", "card-easy-can-none", &[])
            } else {
                self.say("card-little", "card-easy-little", &[])
            };
            blocks.push(Block::Paragraph(said));
            return;
        }
        blocks.push(Block::Paragraph(self.say("card-can", "card-easy-can", &[])));
        let more = clean.len().saturating_sub(listed);
        // The hardest are listed, the hardest first.
        let mut items: Vec<String> =
            clean.iter().rev().take(listed).map(|drill| format!("{}.", self.does(&drill.drill))).collect();
        if more > 0 {
            items.push(say(self.words, "card-can-more", &[("count", Arg::Count(more as i64))]));
        }
        blocks.push(Block::List { numbered: false, items });
    }

    fn changed(&self, blocks: &mut Vec<Block>) {
        if self.child.days.is_empty() {
            return;
        }
        blocks.push(heading(2, self.words.get("card-heading-changed")));
        let real = self.child.real_changes();
        if real.is_empty() {
            blocks.push(Block::Paragraph(if self.child.days.len() < 2 {
                self.say("card-first", "card-easy-first", &[])
            } else {
                self.say("card-same", "card-easy-same", &[])
            }));
        }
        for drill in real.into_iter().take(CHANGES_MAX) {
            if let Some(change) = &drill.change {
                blocks.push(Block::Paragraph(self.change(&drill.drill, change)));
            }
        }
    }

    fn change(&self, drill: &str, change: &RateChange) -> String {
        if !change.is_gain() {
            return self.with_drill("card-worse", "card-easy-worse", drill);
        }
        // Hurdles of ten, from the shares that were really seen; when both round to one number it says nothing.
        // Ten are ten only when nothing fell.
        let of_ten = |share: f64| if share < 1.0 { ((share * 10.0).round() as i64).min(9) } else { 10 };
        let (before, after) = (of_ten(change.runs.before), of_ten(change.runs.after));
        if after <= before {
            return self.with_drill("card-better-plain", "card-easy-better", drill);
        }
        let arguments = [
            ("drill", Arg::Text(self.does(drill))),
            ("before", Arg::Count(before)),
            ("after", Arg::Count(after)),
        ];
        self.say("card-better", "card-easy-better", &arguments)
    }

    fn work(&self, width_px: f64, blocks: &mut Vec<Block>) {
        let Some(focus) = &self.child.focus else { return };
        let Some(drill) = self.ladder.get(&focus.drill) else { return };
        blocks.push(heading(2, self.words.get("card-heading-work")));
        let said = match &focus.fault {
            Some(fault) => {
                let (known, cue_id) = (format!("card-fault-{fault}"), format!("fault-{fault}-cue"));
                let said = if self.words.has(&cue_id) {
                    Arg::Text(self.words.get(&cue_id))
                } else {
                    drill.cue_arg()
                };
                let cue = self.say("card-cue", "card-easy-cue", &[("cue", said)]);
                match self.options.level {
                    Level::Plain if self.words.has(&known) => format!("{} {cue}", self.words.get(&known)),
                    _ => cue,
                }
            }
            None => {
                let cue = [("cue", drill.cue_arg())];
                if focus.of > 0 {
                    self.say("card-keep", "card-easy-cue", &cue)
                } else {
                    self.say("card-think", "card-easy-cue", &cue)
                }
            }
        };
        blocks.push(Block::Paragraph(said));
        let column_px = (width_px / 2.0 - 22.0).min(PICTURE_MAX_PX);
        let options = DrillPictureOptions { style: Style::Print, width_px: column_px };
        blocks.push(Block::Figure(with_id(drill_picture(drill, self.words, &options), self.index)));
    }

    fn next(&self) -> String {
        match &self.child.next {
            Next::Try(drill) => self.with_drill("card-next-try", "card-easy-next-try", drill),
            Next::OnceMore(drill) => {
                self.with_drill("card-next-once-more", "card-easy-next-once-more", drill)
            }
            Next::BeWatched(drill) => self.with_drill("card-next-watched", "card-easy-next-watched", drill),
            Next::Easier(drill) => self.with_drill("card-next-easier", "card-easy-next-easier", drill),
            Next::ShowMore(drill) => self.with_drill("card-next-show", "card-easy-next-show", drill),
            Next::Free => self.say("card-next-free", "card-easy-next-free", &[]),
            Next::Begin => {
                let first = self.child.drills.first().map(|drill| drill.drill.as_str()).unwrap_or_default();
                self.with_drill("card-next-begin", "card-easy-next-begin", first)
            }
        }
    }
}

/// Gives a figure an id of its own: one drill is drawn on many cards of one document.
fn with_id(figure: Figure, index: usize) -> Figure {
    let id = id_from(&format!("card-{index}"));
    let old = figure.id.as_str();
    let svg = figure.svg.replace(&format!("\"{old}\""), &format!("\"{id}\""));
    let svg = svg
        .replace(&format!("{old}-title"), &format!("{id}-title"))
        .replace(&format!("{old}-desc"), &format!("{id}-desc"));
    Figure { id, svg, ..figure }
}
