//! A lesson as text.

use std::fmt::Write as _;

use lanewright_model::drill::{DrillId, Family, Ladder, Setting};
use lanewright_model::words::{Arg, Message, Words};
use lanewright_science::lesson::{Block, BlockGroup, FixedPart, Lesson, When};
use lanewright_science::unit::Unit;
use lanewright_science::weather::{ends_running, limits_running};

use crate::output::{bullet, wrapped};

pub(crate) fn text(lesson: &Lesson, ladder: &Ladder, words: &Words) -> String {
    let mut page = Page { lesson, ladder, words, text: String::new() };
    let (first, cautions): (Vec<&Message>, Vec<&Message>) =
        lesson.cautions.iter().partition(|said| limits_running(said));
    let runs = !first.iter().any(|said| ends_running(said));
    if runs {
        page.head();
        page.list("lesson-text-cautions", &first);
    } else {
        // Whether it is run at all comes before how often.
        page.list("lesson-text-cautions", &first);
        page.text.push('\n');
        page.head();
    }
    page.parts();
    page.list("lesson-text-say", &lesson.demonstrate.iter().chain(&lesson.talk).collect::<Vec<_>>());
    page.list("lesson-text-jobs", &lesson.jobs.iter().collect::<Vec<_>>());
    page.list("lesson-text-card", &lesson.card.iter().collect::<Vec<_>>());
    if runs {
        page.list("lesson-text-moving", &lesson.more_moving.iter().map(|help| &help.say).collect::<Vec<_>>());
    }
    page.list("lesson-text-cautions", &cautions.into_iter().chain(&lesson.prompts).collect::<Vec<_>>());
    page.list("lesson-text-notes", &lesson.notes.iter().collect::<Vec<_>>());
    page.text.trim_start_matches('\n').to_owned()
}

/// Children who are named as setters of a lane; the others are counted.
const SETTERS_NAMED: usize = 2;

struct Page<'a> {
    lesson: &'a Lesson,
    ladder: &'a Ladder,
    words: &'a Words,
    text: String,
}

impl Page<'_> {
    fn say(&self, message: &Message) -> String {
        self.words.say(message)
    }

    fn drill(&self, id: &DrillId) -> String {
        let words = format!("drill-{}", id.0);
        if self.words.has(&words) {
            return self.words.get(&words);
        }
        self.ladder.get(&id.0).map_or_else(|| id.0.clone(), |drill| drill.name.clone())
    }

    fn name(&self, id: &str) -> String {
        self.lesson.names.get(id).cloned().unwrap_or_else(|| id.to_owned())
    }

    fn head(&mut self) {
        let lesson = self.lesson;
        let children: usize = lesson.groups.iter().map(|group| group.runners.len()).sum();
        let use_for = match lesson.use_for {
            lanewright_science::lesson::Use::WarmUp => "lesson-use-warm-up",
            lanewright_science::lesson::Use::Station => "lesson-use-station",
            lanewright_science::lesson::Use::Lesson => "lesson-use-lesson",
        };
        let head = Message::new("lesson-text-head")
            .with("use", Arg::Say(Box::new(Message::new(use_for))))
            .with("minutes", Arg::Count(i64::from(lesson.minutes)))
            .with("children", Arg::Count(children as i64))
            .with("lanes", Arg::Count(lesson.groups.len() as i64));
        let moves = Message::new("lesson-text-moves")
            .with("runs", Arg::Count(lesson.moving.runs_per_child.round() as i64))
            .with("blocks", Arg::Share(lesson.moving.share_of_blocks))
            .with("lesson", Arg::Share(lesson.moving.share_of_lesson));
        let (head, moves) = (self.say(&head), self.say(&moves));
        wrapped("", "", head.split(' '), &mut self.text);
        wrapped("", "", moves.split(' '), &mut self.text);
        self.text.push('\n');
    }

    fn parts(&mut self) {
        let lesson = self.lesson;
        let mut minute = 0;
        for part in lesson.fixed.iter().filter(|part| part.when == When::Before) {
            self.fixed(part, &mut minute);
        }
        for (number, block) in lesson.blocks.iter().enumerate() {
            self.block(number, block, &mut minute);
        }
        for part in lesson.fixed.iter().filter(|part| part.when == When::After) {
            self.fixed(part, &mut minute);
        }
    }

    fn line(&mut self, minute: &mut u32, minutes: u32, what: &str) {
        let _ = writeln!(self.text, "{minute:>4}  {minutes:>3} min  {what}");
        *minute += minutes;
    }

    fn fixed(&mut self, part: &FixedPart, minute: &mut u32) {
        let id = format!("lesson-part-{}", part.what);
        let what = if self.words.has(&id) { self.words.get(&id) } else { part.what.clone() };
        self.line(minute, part.minutes, &what);
    }

    fn block(&mut self, number: usize, block: &Block, minute: &mut u32) {
        if block.change_minutes > 0 {
            let movers: Vec<String> = block
                .groups
                .iter()
                .filter(|group| !group.movers.is_empty())
                .map(|group| {
                    let say = Message::new("lesson-text-reset")
                        .text("lane", group.lane.as_str())
                        .with("gap", Arg::GapM(group.gap_m))
                        .text("names", group.movers.join(", "));
                    self.say(&say)
                })
                .collect();
            let reset = self.words.get("lesson-text-resetting");
            self.line(minute, block.change_minutes, &reset);
            for mover in movers {
                wrapped("               ", "                 ", mover.split(' '), &mut self.text);
            }
        }
        let title =
            self.say(&Message::new("lesson-text-block").with("number", Arg::Count(number as i64 + 1)));
        self.line(minute, block.minutes, &title);
        let mut drills: Vec<&DrillId> = Vec::new();
        for group in &block.groups {
            if !drills.contains(&&group.drill) {
                drills.push(&group.drill);
            }
        }
        for drill in &drills {
            let groups: Vec<&BlockGroup> =
                block.groups.iter().filter(|group| group.drill == **drill).collect();
            self.drill_lines(drill, &groups, drills.len() > 1);
        }
        for why in &block.why {
            let why = self.say(why);
            wrapped("             · ", "               ", why.split(' '), &mut self.text);
        }
    }

    /// A drill with what to call out and watch for, then its lanes.
    fn drill_lines(&mut self, id: &DrillId, groups: &[&BlockGroup], name_lanes: bool) {
        let lanes: Vec<&str> = groups.iter().map(|group| group.lane.as_str()).collect();
        let title = if name_lanes {
            Message::new("lesson-text-drill-lanes")
                .text("drill", self.drill(id))
                .text("lanes", lanes.join(", "))
        } else {
            Message::new("lesson-text-drill").text("drill", self.drill(id))
        };
        let mut said = vec![self.say(&title)];
        if let Some(drill) = self.ladder.get(&id.0) {
            said.push(self.say(&Message::new("lesson-text-cue").with("cue", drill.cue_arg())));
            if groups.iter().any(|group| group.lead_changes) {
                let one_leg = drill.family == Family::OneLeg;
                said.push(self.words.get(if one_leg { "lesson-text-side" } else { "lesson-text-lead" }));
            }
        }
        if let Some(fault) = groups.iter().find_map(|group| group.watch_for.as_ref()) {
            let look = format!("fault-{fault}-look");
            if self.words.has(&look) {
                let look = self.words.get(&look);
                said.push(self.say(&Message::new("lesson-text-watch").text("look", look)));
            }
        }
        wrapped("             ", "             ", said.join(" ").split(' '), &mut self.text);
        for group in groups {
            self.lane_line(group);
        }
    }

    fn lane_line(&mut self, group: &BlockGroup) {
        let setting = match group.setting {
            Setting::Long => "setting-long",
            Setting::Short => "setting-short",
        };
        let line = Message::new("lesson-text-lane")
            .text("lane", group.lane.as_str())
            .with("setting", Arg::Say(Box::new(Message::new(setting))))
            .with("gap", Arg::GapM(group.gap_m))
            .with("runs", Arg::Count(group.runs_per_child.round() as i64))
            .with("contacts", Arg::Count(group.contacts_per_child.round() as i64));
        let mut said = vec![self.say(&line)];
        // Who does something easier, drill by drill.
        let mut easier: Vec<&DrillId> = group.easier.values().collect();
        easier.sort();
        easier.dedup();
        for drill in easier {
            let those = group.easier.iter().filter(|(_, own)| *own == drill);
            let names: Vec<String> = those.map(|(runner, _)| self.name(runner)).collect();
            let message = Message::new("lesson-text-easier")
                .text("names", names.join(", "))
                .text("drill", self.drill(drill));
            said.push(self.say(&message));
        }
        if !group.setters.is_empty() {
            // Who begins, in order; the others follow in the order of the queue.
            let (first, rest) = group.setters.split_at(group.setters.len().min(SETTERS_NAMED));
            let setters = Message::new("lesson-text-setters")
                .text("names", first.join(", "))
                .with("more", Arg::Count(rest.len() as i64));
            said.push(self.say(&setters));
        }
        wrapped("             ", "                ", said.join(" ").split(' '), &mut self.text);
    }

    fn list(&mut self, title: &str, messages: &[&Message]) {
        if messages.is_empty() {
            return;
        }
        let _ = writeln!(self.text, "\n{}", self.words.get(title));
        for message in messages {
            let said = self.say(message);
            bullet(&said, &mut self.text);
        }
    }
}

/// A unit as text: lesson by lesson, then when drills open for whom, then what it rests on.
pub(crate) fn unit_text(unit: &Unit, ladder: &Ladder, words: &Words) -> String {
    let mut text = String::new();
    let mut groups = unit.sentences(ladder).into_iter();
    for lesson in groups.by_ref().take(unit.lessons.len()) {
        let mut said = lesson.iter().map(|message| words.say(message));
        let _ = writeln!(text, "{}", said.next().unwrap_or_default());
        said.for_each(|said| bullet(&said, &mut text));
        text.push('\n');
    }
    for (title, messages) in ["lesson-text-opens", "lesson-text-notes"].into_iter().zip(groups) {
        let _ = writeln!(text, "{}", words.get(title));
        messages.iter().for_each(|message| bullet(&words.say(message), &mut text));
        text.push('\n');
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}
