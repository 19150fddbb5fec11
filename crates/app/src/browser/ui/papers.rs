//! Progress on paper: cards, class report and handover, printed by the browser; the charts of the report on screen.

use std::cell::Cell;

use lanewright_draw::page::body_html;
use lanewright_draw::papers::{
    CardOptions, HandoverOptions, Level, ReportInput, ReportOptions, Shown, card_pages, handover_pages,
    report_figures, report_pages,
};
use lanewright_draw::{Paper, Style};
use lanewright_model::Message;
use lanewright_model::run::Run;
use lanewright_model::runner::Presence;
use lanewright_model::school::ClassView;
use lanewright_science::cause::cause;
use lanewright_science::decide::Losses;
use lanewright_science::progress::{Ask, ChildProgress, ClassProgress, progress_with};
use leptos::prelude::*;

use super::icons::icon;
use super::lesson::lesson_to_print;
use super::parts::{Choice, app, t};
use crate::browser::app::{App, LADDER, Screen};
use crate::browser::learner::Learner;
use crate::browser::{keep_preference, preference};

/// Width of a chart on a phone.
const CHART_PX: f64 = 340.0;

/// What is printed from here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sheet {
    Cards,
    Class,
    Handover,
}

thread_local! {
    /// What was asked for last, for the print dialogue, which the browser opens at any time.
    static CHOSEN: Cell<Option<Sheet>> = const { Cell::new(None) };
}

fn software() -> String {
    format!("Lanewright {}", env!("CARGO_PKG_VERSION"))
}

fn is_very_plain() -> bool {
    preference("lanewright-card-words").as_deref() == Some("very-plain")
}

fn is_one_to_a_sheet() -> bool {
    preference("lanewright-card-sheet").as_deref() == Some("one")
}

fn without_names() -> bool {
    preference("lanewright-print-names").as_deref() == Some("no")
}

/// Returns by how many seconds this device's clock is ahead of UTC.
pub fn utc_offset_s() -> i32 {
    // Minutes west of UTC, as browsers count.
    (-60.0 * js_sys::Date::new_0().get_timezone_offset()) as i32
}

fn progress_of(class: &ClassView) -> ClassProgress {
    let runners: Vec<&str> = class.runners.iter().map(|view| view.runner.id.0.as_str()).collect();
    let ask =
        Ask { runners: &runners, ladder: &LADDER, utc_offset_s: utc_offset_s(), losses: Losses::default() };
    // What the findings were made with, so that both say the same.
    let observations = class.observations();
    let known = use_context::<Learner>().and_then(|learner| learner.known(&observations));
    progress_with(&observations, &ask, known)
}

fn names_of(class: &ClassView) -> Vec<String> {
    class.runners.iter().map(|view| view.runner.label.clone()).collect()
}

/// What is found about the lanes in all lessons of the report, set-ups of other days with their days.
fn lane_findings(class: &ClassView) -> Vec<Message> {
    let runs: Vec<&Run> = class.runs.iter().map(|view| &view.run).collect();
    cause(&runs, &LADDER).map(|causes| causes.findings).unwrap_or_default()
}

/// Returns what was asked for on this screen as a page, if anything was.
pub fn to_print(app: App, paper: Paper) -> Option<String> {
    let sheet = CHOSEN.get()?;
    let class = app.class.get_untracked()?;
    let progress = progress_of(&class);
    let names = names_of(&class);
    let words = app.words.get_untracked();
    let date = Some(app.full_day(app.today.get_untracked()));
    let class_name = Some(class.name.clone());
    let pages = match sheet {
        Sheet::Cards => {
            let level = if is_very_plain() { Level::VeryPlain } else { Level::Plain };
            let options = CardOptions {
                paper,
                level,
                shown: Shown::default(),
                two_to_a_sheet: !is_one_to_a_sheet(),
                class_name,
                date,
            };
            let children: Vec<(String, &ChildProgress)> =
                names.iter().cloned().zip(&progress.children).collect();
            card_pages(&children, &LADDER, &words.0, &options)
        }
        Sheet::Class => {
            let findings = lane_findings(&class);
            let input =
                ReportInput { progress: &progress, names: &names, lane_findings: &findings, ladder: &LADDER };
            let options = ReportOptions {
                paper,
                class_name,
                date,
                software: software(),
                without_names: without_names(),
            };
            report_pages(&input, &words.0, &options)
        }
        Sheet::Handover => {
            let lesson = lesson_to_print()?;
            let who = |presence: Presence| -> Vec<String> {
                let those = class.runners.iter().filter(|view| view.presence == presence);
                those.map(|view| view.runner.label.clone()).collect()
            };
            let options = HandoverOptions {
                paper,
                class_name,
                date,
                place: None,
                contact: None,
                helping: who(Presence::Helping),
                easy: who(Presence::Easy),
                absent: who(Presence::Absent),
                software: software(),
                without_names: without_names(),
            };
            handover_pages(&lesson, &progress, &LADDER, &words.0, &options)
        }
    };
    Some(body_html(&pages))
}

fn print(app: App, sheet: Sheet) {
    CHOSEN.set(Some(sheet));
    super::lanes::print(app);
}

/// The part of Findings that goes onto paper.
#[component]
pub fn PapersPart() -> impl IntoView {
    let app = app();
    on_cleanup(|| CHOSEN.set(None));
    let very_plain = RwSignal::new(is_very_plain());
    let one = RwSignal::new(is_one_to_a_sheet());
    let has_lesson = lesson_to_print().is_some();
    let button = move |sheet: Sheet, words: &'static str, test: &'static str| {
        view! {
            <button type="button" class="btn" data-test=test on:click=move |_| print(app, sheet)>
                {icon("print")}
                <span>{t(words)}</span>
            </button>
        }
    };
    let handover = if has_lesson {
        button(Sheet::Handover, "app-papers-print-handover", "print-handover").into_any()
    } else {
        view! {
            <p class="soft">{t("app-papers-no-lesson")}</p>
            <button type="button" class="btn" data-test="to-lesson" on:click=move |_| app.go(Screen::Lesson)>
                {t("app-papers-to-lesson")}
            </button>
        }
        .into_any()
    };
    let charts = move || {
        let Some(class) = app.class.get() else { return ().into_any() };
        let (progress, names) = (progress_of(&class), names_of(&class));
        let input = ReportInput { progress: &progress, names: &names, lane_findings: &[], ladder: &LADDER };
        let figures = app.words.with(|words| report_figures(&input, &words.0, CHART_PX, Style::Screen));
        figures
            .into_iter()
            .map(|(_, figure)| {
                view! {
                    <section class="card" data-test="papers-chart">
                        <h2>{figure.title.clone()}</h2>
                        <figure class="knock-strip" inner_html=figure.svg></figure>
                        <details>
                            <summary>{t("app-papers-values")}</summary>
                            <p>{figure.description.clone()}</p>
                        </details>
                    </section>
                }
            })
            .collect_view()
            .into_any()
    };
    view! {
        <section class="card stack" data-test="papers-cards">
            <h2>{t("app-papers-cards")}</h2>
            <p class="soft">{t("app-papers-cards-what")}</p>
            <div class="columns">
                <Choice
                    label="app-papers-words"
                    test="card-words"
                    options=vec![(false, "app-papers-plain", "plain"), (true, "app-papers-very-plain", "very-plain")]
                    chosen=very_plain
                    choose=move |very| {
                        keep_preference("lanewright-card-words", if very { "very-plain" } else { "plain" });
                        very_plain.set(very);
                    }
                />
                <Choice
                    label="app-papers-sheet"
                    test="card-sheet"
                    options=vec![(false, "app-papers-two", "two"), (true, "app-papers-one", "one")]
                    chosen=one
                    choose=move |single| {
                        keep_preference("lanewright-card-sheet", if single { "one" } else { "two" });
                        one.set(single);
                    }
                />
            </div>
            {button(Sheet::Cards, "app-papers-print-cards", "print-cards")}
        </section>
        <section class="card stack" data-test="papers-class">
            <h2>{t("app-papers-class")}</h2>
            <p class="soft">{t("app-papers-class-what")}</p>
            {button(Sheet::Class, "app-papers-print-class", "print-class")}
        </section>
        <section class="card stack" data-test="papers-handover">
            <h2>{t("app-papers-handover")}</h2>
            <p class="soft">{t("app-papers-handover-what")}</p>
            {handover}
        </section>
        <div class="columns two">{charts}</div>
    }
}
