//! The class report: where the class is, how it went, what each lesson held, lanes, and who was seen too little.

use lanewright_model::Arg;
use lanewright_model::drill::Ladder;
use lanewright_model::words::{Message, Words};
use lanewright_science::decide::{Rate, needed_rate};
use lanewright_science::progress::{
    ClassProgress, DrillProgress, MEAN_CHILDREN_MIN, METHOD, RateChange, Spread,
};

use super::{count, drill_name, foot, heading};
use crate::charts::{CountRow, RateChart, RateFinding, RatePoint, count_chart, rate_chart};
use crate::page::{Block, Column, Page, Paper, Table};
use crate::{Figure, Style, say, tie};

/// Drills with a chart of their own: those with most runs.
const CHARTS_MAX: usize = 4;
/// Lessons of a chart and its table, the latest.
const LESSONS_MAX: usize = 10;
/// Changes of lanes that are named, the latest.
const LANE_CHANGES_MAX: usize = 6;

/// What the report is made of.
#[derive(Debug, Clone, Copy)]
pub struct ReportInput<'a> {
    /// Where the class stands.
    pub progress: &'a ClassProgress,
    /// What each child is called, in the order of the children of `progress`.
    pub names: &'a [String],
    /// What was found about lanes and hurdles of the latest lesson; empty when there was too little.
    pub lane_findings: &'a [Message],
    /// All drills.
    pub ladder: &'a Ladder,
}

/// What goes onto the class report.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReportOptions {
    /// Paper to lay out for.
    pub paper: Paper,
    /// The class, as it is called. Nothing is written without it.
    pub class_name: Option<String>,
    /// The day, as it is to be written.
    pub date: Option<String>,
    /// Name and version of the program, for the foot of the sheet.
    pub software: String,
    /// Leaves the children's names out, for a copy that others may see.
    pub without_names: bool,
}

/// Returns the class report.
pub fn report_pages(input: &ReportInput<'_>, words: &Words, options: &ReportOptions) -> Vec<Page> {
    let report = Report { input, words, options };
    vec![report.page()]
}

/// Returns the charts of the report, each with the id of its drill or `count`, for a screen or for files of their own.
pub fn report_figures(
    input: &ReportInput<'_>,
    words: &Words,
    width_px: f64,
    style: Style,
) -> Vec<(String, Figure)> {
    let options = ReportOptions::default();
    let report = Report { input, words, options: &options };
    let mut figures = vec![("count".to_owned(), report.count_figure(width_px, style))];
    for drill in report.charted() {
        figures.push((drill.drill.clone(), report.rate_figure(drill, width_px, style)));
    }
    figures
}

struct Report<'a> {
    input: &'a ReportInput<'a>,
    words: &'a Words,
    options: &'a ReportOptions,
}

impl Report<'_> {
    fn say(&self, id: &str, arguments: &[(&str, Arg)]) -> String {
        say(self.words, id, arguments)
    }

    fn name(&self, drill: &str) -> String {
        drill_name(self.words, self.input.ladder, drill)
    }

    fn page(&self) -> Page {
        let title = match &self.options.class_name {
            Some(class) => self.say("report-title", &[("class", Arg::Text(class.clone()))]),
            None => self.words.get("report-title-plain"),
        };
        let mut blocks = vec![heading(1, title.clone()), Block::Paragraph(self.facts())];
        if self.input.progress.days.is_empty() {
            blocks.push(Block::Paragraph(self.words.get("report-nothing")));
        } else {
            blocks.push(Block::Paragraph(self.words.get("report-prompt")));
            self.coverage(&mut blocks);
            self.lessons(&mut blocks);
            self.unseen(&mut blocks);
            self.changed(&mut blocks);
            self.lanes(&mut blocks);
            self.progress(&mut blocks);
        }
        let mut about: Vec<String> = self.options.class_name.iter().cloned().collect();
        about.extend(self.options.date.clone());
        Page {
            title,
            language: self.words.language.to_owned(),
            paper: self.options.paper,
            text_percent: 100,
            blocks,
            footer: foot(self.words, about, &self.options.software, METHOD),
        }
    }

    fn facts(&self) -> String {
        let progress = self.input.progress;
        let on = |at: Option<&jiff::civil::Date>| at.map_or_else(String::new, |at| self.words.day(*at, true));
        let runs: u32 = progress.lessons.iter().map(|lesson| lesson.runs).sum();
        self.say(
            "report-facts",
            &[
                ("children", count(progress.children.len())),
                ("lessons", count(progress.days.len())),
                ("from", Arg::Text(on(progress.days.first()))),
                ("to", Arg::Text(on(progress.days.last()))),
                ("runs", Arg::Count(runs.into())),
            ],
        )
    }

    fn count_figure(&self, width_px: f64, style: Style) -> Figure {
        let rows: Vec<CountRow> = self
            .input
            .progress
            .drills
            .iter()
            .map(|drill| CountRow {
                name: self.name(&drill.drill),
                counts: [drill.clean, drill.working, drill.seen_little, drill.not_seen],
            })
            .collect();
        count_chart(&rows, width_px, self.words, style)
    }

    fn coverage(&self, blocks: &mut Vec<Block>) {
        let figure = self.count_figure(self.options.paper.inner_px().0, Style::Print);
        blocks.push(heading(2, self.words.get("report-where")));
        blocks.push(heading(3, figure.title.clone()));
        blocks.push(Block::Figure(figure));
        blocks.push(Block::Paragraph(self.words.get("report-where-how")));
        let columns = vec![
            Column::words(self.words.get("report-col-drill"), 3.0),
            Column::counts(self.words.get("report-col-clean"), 1.0),
            Column::counts(self.words.get("report-col-working"), 1.2),
            Column::counts(self.words.get("report-col-little"), 1.2),
            Column::counts(self.words.get("report-col-not"), 1.0),
        ];
        let rows = self
            .input
            .progress
            .drills
            .iter()
            .map(|drill| {
                let counts = [drill.clean, drill.working, drill.seen_little, drill.not_seen];
                let counts = counts.into_iter().map(|count| count.to_string());
                std::iter::once(self.name(&drill.drill)).chain(counts).collect()
            })
            .collect();
        blocks.push(Block::Table(Table { caption: None, columns, rows }));
    }

    fn spread(&self, spread: &Spread, step: f64) -> String {
        let shown = |value: f64| Arg::Count((value / step).round() as i64 * step as i64);
        self.say(
            "report-spread",
            &[("middle", shown(spread.middle)), ("least", shown(spread.least)), ("most", shown(spread.most))],
        )
    }

    fn lessons(&self, blocks: &mut Vec<Block>) {
        blocks.push(heading(2, self.words.get("report-lessons")));
        let columns = vec![
            Column::words(self.words.get("report-col-lesson"), 1.6),
            Column::counts(self.words.get("report-col-children"), 1.0),
            Column::counts(self.words.get("report-col-runs"), 0.8),
            Column::counts(self.words.get("report-col-runs-each"), 1.3),
            Column::counts(self.words.get("report-col-contacts"), 1.6),
            Column::counts(self.words.get("report-col-moving"), 1.3),
            Column::counts(self.words.get("report-col-minutes"), 1.2),
        ];
        let lessons = &self.input.progress.lessons;
        let rows = lessons[lessons.len().saturating_sub(LESSONS_MAX)..]
            .iter()
            .map(|lesson| {
                vec![
                    self.words.day(lesson.day, false),
                    lesson.seen.len().to_string(),
                    lesson.runs.to_string(),
                    self.spread(&lesson.runs_per_child, 1.0),
                    // Contacts to the nearest five, as everywhere on paper.
                    self.spread(&lesson.contacts_per_child, 5.0),
                    self.spread(&lesson.moving_min_per_child, 1.0),
                    format!("{:.0}", lesson.minutes),
                ]
            })
            .collect();
        blocks.push(Block::Table(Table { caption: None, columns, rows }));
        blocks.push(Block::Paragraph(self.words.get("report-lessons-how")));
    }

    fn unseen(&self, blocks: &mut Vec<Block>) {
        blocks.push(heading(2, self.words.get("report-unseen")));
        let names: Vec<String> = self
            .input
            .progress
            .children
            .iter()
            .zip(self.input.names)
            .filter(|(child, _)| !child.is_seen_enough())
            .map(|(_, name)| name.clone())
            .collect();
        blocks.push(Block::Paragraph(if names.is_empty() {
            self.words.get("report-unseen-none")
        } else if self.options.without_names {
            self.say("report-unseen-count", &[("count", count(names.len()))])
        } else {
            self.say("report-unseen-names", &[("names", Arg::Text(names.join(", ")))])
        }));
    }

    /// The drills with most runs, in the order of the ladder.
    fn charted(&self) -> Vec<&DrillProgress> {
        let runs = |drill: &DrillProgress| drill.days.iter().map(|day| day.runs).sum::<u32>();
        let mut drills: Vec<(usize, &DrillProgress)> = self
            .input
            .progress
            .drills
            .iter()
            .enumerate()
            .filter(|(_, drill)| !drill.days.is_empty())
            .collect();
        drills.sort_by_key(|(_, drill)| std::cmp::Reverse(runs(drill)));
        drills.truncate(CHARTS_MAX);
        drills.sort_by_key(|(place, _)| *place);
        drills.into_iter().map(|(_, drill)| drill).collect()
    }

    fn rate_figure(&self, drill: &DrillProgress, width_px: f64, style: Style) -> Figure {
        let days = &drill.days[drill.days.len().saturating_sub(LESSONS_MAX)..];
        let points: Vec<RatePoint> = days
            .iter()
            .map(|lesson| RatePoint {
                day: self.words.day(lesson.day, false),
                rate: lesson.clean_rate,
                children: lesson.children,
                has_range: lesson.children as usize >= MEAN_CHILDREN_MIN,
            })
            .collect();
        let last = points.last().map_or(0.0, |point| point.rate.mean);
        let (finding, values) = match &drill.change {
            Some(change) if change.told && change.difference.mean > 0.0 => {
                (RateFinding::Up, (change.before, change.after))
            }
            Some(change) if change.told => (RateFinding::Down, (change.before, change.after)),
            Some(change) => (RateFinding::Same, (change.before, change.after)),
            None if drill.days.len() < 2 => (RateFinding::One, (last, last)),
            None => (RateFinding::Few, (last, last)),
        };
        let chart = RateChart {
            name: self.name(&drill.drill),
            points,
            finding,
            before: values.0,
            after: values.1,
            needed: needed_rate(self.input.ladder.get(&drill.drill), None, false),
            lowest: self.lowest(),
        };
        rate_chart(&chart, width_px, self.words, style)
    }

    /// The lowest value of all charts: they share one scale, so that they can be compared.
    fn lowest(&self) -> f64 {
        let days = self.charted().into_iter().flat_map(|drill| &drill.days);
        days.map(|lesson| {
            let has_range = lesson.children as usize >= MEAN_CHILDREN_MIN;
            if has_range { lesson.clean_rate.low } else { lesson.clean_rate.mean }
        })
        .fold(1.0, f64::min)
    }

    fn progress(&self, blocks: &mut Vec<Block>) {
        let charted = self.charted();
        if charted.is_empty() {
            return;
        }
        blocks.push(heading(2, self.words.get("report-progress")));
        let width_px = self.options.paper.inner_px().0 / 2.0 - 12.0;
        for drill in charted {
            let figure = self.rate_figure(drill, width_px, Style::Print);
            blocks.push(heading(3, figure.title.clone()));
            let mut beside = vec![Block::Table(self.rate_table(drill))];
            if let Some(change) = &drill.change {
                let points = |share: f64| (share * 100.0).round() as i64;
                let signed = |share: f64| Arg::Text(points(share).to_string().replace('-', "\u{2212}"));
                let said = ("points", Arg::Count(points(change.difference.mean).abs()));
                let id =
                    if change.difference.mean >= 0.0 { "report-points-up" } else { "report-points-down" };
                let arguments = [
                    ("children", Arg::Count(change.children.into())),
                    ("difference", Arg::Text(self.say(id, &[said]))),
                    ("low", signed(change.difference.low)),
                    ("high", {
                        let high = signed(change.difference.high);
                        Arg::Text(self.say("report-points", &[("points", high)]))
                    }),
                ];
                beside.push(Block::Paragraph(self.say("report-progress-change", &arguments)));
            }
            blocks.push(Block::Beside(vec![vec![Block::Figure(figure)], beside]));
        }
        blocks.push(Block::Paragraph(self.words.get("report-progress-how")));
    }

    fn rate_table(&self, drill: &DrillProgress) -> Table {
        let percent = |share: f64| format!("{:.0}", share * 100.0);
        let range = |rate: &Rate| format!("{}–{}\u{a0}%", percent(rate.low), percent(rate.high));
        let columns = vec![
            Column::words(self.words.get("report-col-lesson"), 1.6),
            Column::counts(self.words.get("report-col-children"), 1.0),
            Column::counts(self.words.get("report-col-runs"), 0.8),
            Column::counts(self.words.get("report-col-mean"), 1.0),
            Column::counts(self.words.get("report-col-range"), 1.2),
        ];
        let rows = drill.days[drill.days.len().saturating_sub(LESSONS_MAX)..]
            .iter()
            .map(|lesson| {
                let has_range = lesson.children as usize >= MEAN_CHILDREN_MIN;
                vec![
                    self.words.day(lesson.day, false),
                    lesson.children.to_string(),
                    lesson.runs.to_string(),
                    format!("{}\u{a0}%", percent(lesson.clean_rate.mean)),
                    if has_range { range(&lesson.clean_rate) } else { "–".to_owned() },
                ]
            })
            .collect();
        Table { caption: None, columns, rows }
    }

    fn changed(&self, blocks: &mut Vec<Block>) {
        blocks.push(heading(2, self.words.get("report-changed")));
        let (mut up, mut down) = (Vec::new(), Vec::new());
        for (child, name) in self.input.progress.children.iter().zip(self.input.names) {
            for drill in child.real_changes() {
                let arguments =
                    [("name", Arg::Text(name.clone())), ("drill", Arg::Text(self.name(&drill.drill)))];
                let side =
                    if drill.change.as_ref().is_some_and(RateChange::is_gain) { &mut up } else { &mut down };
                side.push(self.say("report-changed-one", &arguments));
            }
        }
        if up.is_empty() && down.is_empty() {
            blocks.push(Block::Paragraph(self.words.get("report-changed-none")));
            return;
        }
        if self.options.without_names {
            let counts = [("up", count(up.len())), ("down", count(down.len()))];
            blocks.push(Block::Paragraph(self.say("report-changed-count", &counts)));
            return;
        }
        for (id, names) in [("report-changed-up", up), ("report-changed-down", down)] {
            if !names.is_empty() {
                blocks.push(Block::Paragraph(self.say(id, &[("names", Arg::Text(names.join(", ")))])));
            }
        }
    }

    fn lanes(&self, blocks: &mut Vec<Block>) {
        blocks.push(heading(2, self.words.get("report-lanes")));
        let mut items: Vec<String> =
            self.input.lane_findings.iter().map(|message| tie(&self.words.say(message))).collect();
        if items.is_empty() {
            items.push(self.words.get("report-lanes-none"));
        }
        let changes = &self.input.progress.lane_changes;
        let from = changes.len().saturating_sub(LANE_CHANGES_MAX);
        for change in &changes[from..] {
            let arguments = |from: Arg, to: Arg| {
                [
                    ("day", Arg::Text(self.words.day(change.to, false))),
                    ("lane", Arg::Text(change.lane.clone())),
                    ("drill", Arg::Text(self.name(&change.drill))),
                    ("from", from),
                    ("to", to),
                ]
            };
            if change.from_gap_m != change.to_gap_m {
                let gaps = arguments(Arg::GapM(change.from_gap_m), Arg::GapM(change.to_gap_m));
                items.push(self.say("report-lane-gap", &gaps));
            }
            if let (Some(from_cm), Some(to_cm)) = (change.from_height_cm, change.to_height_cm)
                && from_cm != to_cm
            {
                let heights = arguments(Arg::HeightCm(from_cm), Arg::HeightCm(to_cm));
                items.push(self.say("report-lane-height", &heights));
            }
        }
        if changes.is_empty() {
            items.push(self.words.get("report-lane-unchanged"));
        } else if from > 0 {
            items.push(self.say("report-lane-more", &[("count", count(from))]));
        }
        blocks.push(Block::List { numbered: false, items });
    }
}
