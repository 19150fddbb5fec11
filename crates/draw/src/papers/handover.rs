//! The handover: one sheet for whoever takes the next lesson and does not know the class.

use std::collections::BTreeMap;

use lanewright_model::Arg;
use lanewright_model::drill::Ladder;
use lanewright_model::words::Words;
use lanewright_science::lesson::Lesson;
use lanewright_science::progress::{ClassProgress, METHOD};

use super::{foot, heading};
use crate::lesson_pages::{LENGTHS, LessonPageOptions, largest, sheet_parts};
use crate::page::{Block, Page, Paper};
use crate::say;

/// Text of the sheet in percent of the usual: what is tried for, and the least that is taken.
const TEXT_WANTED: (u32, u32) = (100, 125);
const TEXT_LEAST: u32 = 80;
/// Cues that are tied to children by name: more than a stranger can keep in mind is no help (engineering assumption).
const CUES_MAX: usize = 3;

/// What goes onto the handover.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HandoverOptions {
    /// Paper to lay out for.
    pub paper: Paper,
    /// The class, as it is called. Nothing is written without it.
    pub class_name: Option<String>,
    /// The day of the lesson, as it is to be written.
    pub date: Option<String>,
    /// Where: the name of the hall or field.
    pub place: Option<String>,
    /// Who is told when a child is hurt or something breaks.
    pub contact: Option<String>,
    /// Names of children who are here and do not run.
    pub helping: Vec<String>,
    /// Names of children who run, but without sprints and turns.
    pub easy: Vec<String>,
    /// Names of children who are not here.
    pub absent: Vec<String>,
    /// Name and version of the program, for the foot of the sheet.
    pub software: String,
    /// Leaves the children's names out, for a copy that others may see.
    pub without_names: bool,
}

/// Returns the handover of a lesson: one sheet with lanes, gaps, drills, cues, jobs and the children to know about.
///
/// What is less needed goes first when the sheet is full, as on the printed lesson; then the text gets smaller.
pub fn handover_pages(
    lesson: &Lesson,
    progress: &ClassProgress,
    ladder: &Ladder,
    words: &Words,
    options: &HandoverOptions,
) -> Vec<Page> {
    let sheet = Sheet { lesson, progress, ladder, words, options };
    let page = (0..LENGTHS)
        .find_map(|length| largest(&sheet.page(length), TEXT_WANTED))
        .or_else(|| largest(&sheet.page(LENGTHS - 1), (TEXT_LEAST, TEXT_WANTED.0)));
    vec![page.unwrap_or_else(|| sheet.page(LENGTHS - 1))]
}

struct Sheet<'a> {
    lesson: &'a Lesson,
    progress: &'a ClassProgress,
    ladder: &'a Ladder,
    words: &'a Words,
    options: &'a HandoverOptions,
}

impl Sheet<'_> {
    fn say(&self, id: &str, arguments: &[(&str, Arg)]) -> String {
        say(self.words, id, arguments)
    }

    fn page(&self, length: usize) -> Page {
        let options = self.options;
        let parts = sheet_parts(
            self.lesson,
            self.ladder,
            self.words,
            &LessonPageOptions {
                paper: options.paper,
                place: options.place.clone(),
                without_names: options.without_names,
                ..LessonPageOptions::default()
            },
            length,
        );
        let title = match &options.class_name {
            Some(class) => self.say("handover-title", &[("class", Arg::Text(class.clone()))]),
            None => self.words.get("handover-title-plain"),
        };
        let mut head = vec![title.clone()];
        head.extend(options.date.as_ref().map(|date| date.replace(' ', "\u{a0}")));
        head.push(self.say("handover-facts", &[("minutes", Arg::Count(self.lesson.minutes.into()))]));
        let mut blocks = vec![heading(1, head.join(" · ")), Block::Paragraph(parts.facts)];
        if !self.lesson.fits {
            blocks.push(Block::Caution(self.words.get("draw-caution-fits-not")));
        }
        blocks.extend(parts.stops);
        let how = vec![heading(2, self.words.get("handover-how")), self.how()];
        let children = self.children();
        if children.is_empty() {
            blocks.extend(how);
        } else {
            let known = vec![
                heading(2, self.words.get("handover-children")),
                Block::List { numbered: false, items: children },
            ];
            blocks.push(Block::Beside(vec![how, known]));
        }
        blocks.push(heading(2, self.words.get("handover-lanes")));
        blocks.push(Block::Figure(parts.bar));
        blocks.extend(parts.lanes);
        blocks.push(heading(2, self.words.get("handover-say")));
        // The parts bring a heading of their own.
        blocks.extend(parts.cues.into_iter().filter(|block| !matches!(block, Block::Heading { .. })));
        blocks.extend(parts.after);
        blocks.extend(parts.hands);
        blocks.extend(parts.cautions);
        let mut about: Vec<String> = options.class_name.iter().cloned().collect();
        about.extend(options.date.clone());
        let methods = format!("{}, {METHOD}", self.lesson.method);
        Page {
            title,
            language: self.words.language.to_owned(),
            paper: options.paper,
            text_percent: 100,
            blocks,
            footer: foot(self.words, about, &options.software, &methods),
        }
    }

    fn how(&self) -> Block {
        let who = self.options.contact.clone().unwrap_or_else(|| self.words.get("handover-who-default"));
        let items = vec![
            self.words.get("handover-how-set"),
            self.words.get("handover-how-start"),
            self.words.get("handover-how-cue"),
            self.words.get("handover-how-note"),
            self.say("handover-how-stop", &[("who", Arg::Text(who))]),
        ];
        Block::List { numbered: true, items }
    }

    /// Sentences on children by name; none on a copy without names.
    fn children(&self) -> Vec<String> {
        if self.options.without_names {
            return Vec::new();
        }
        let mut items = Vec::new();
        let mut add = |id: &str, names: &[String]| {
            if !names.is_empty() {
                items.push(self.say(id, &[("names", Arg::Text(names.join(", ")))]));
            }
        };
        add("handover-child-absent", &self.options.absent);
        // Who helps stands in the jobs, unless there are none.
        if self.lesson.jobs.is_empty() {
            add("handover-child-helping", &self.options.helping);
        }
        add("handover-child-easier", &self.options.easy);
        let runs_today = |runner: &str| self.lesson.names.get(runner);
        let unseen: Vec<String> =
            self.progress.not_seen_enough().filter_map(|child| runs_today(&child.runner).cloned()).collect();
        // Of a class of which nothing is known the sentence would only repeat the list.
        if unseen.len() < self.lesson.names.len() {
            add("handover-child-unseen", &unseen);
        }
        let mut by_fault: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for child in &self.progress.children {
            let fault = child.focus.as_ref().and_then(|focus| focus.fault.as_deref());
            if let (Some(fault), Some(name)) = (fault, runs_today(&child.runner)) {
                by_fault.entry(fault).or_default().push(name.clone());
            }
        }
        let mut faults: Vec<(&str, Vec<String>)> = by_fault.into_iter().collect();
        faults.sort_by_key(|(_, names)| std::cmp::Reverse(names.len()));
        for (fault, names) in faults.into_iter().take(CUES_MAX) {
            let cue = format!("fault-{fault}-cue");
            if self.words.has(&cue) {
                let arguments =
                    [("cue", Arg::Text(self.words.get(&cue))), ("names", Arg::Text(names.join(", ")))];
                items.push(self.say("handover-child-fault", &arguments));
            }
        }
        if items.is_empty() {
            items.push(self.words.get("handover-child-none"));
        }
        items
    }
}
