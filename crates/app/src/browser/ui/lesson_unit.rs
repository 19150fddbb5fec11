//! The next lessons: what the class may come to, and how sure that is.

use std::collections::BTreeSet;

use jiff::ToSpan;
use jiff::civil::Date;
use lanewright_model::{Arg, DrillId, Message};
use lanewright_science::unit::{Unit, UnitLesson};
use leptos::prelude::*;

use super::kit::Stepper;
use super::lesson::{drill_name, lessons};
use super::lesson_plan::is_open;
use super::parts::{app, notice, t};
use crate::browser::app::{App, LADDER};
use crate::browser::planner::{News, Planner};
use crate::browser::{keep_preference, preference};
use crate::logic::beside::{Asked, Question, Told};
use crate::logic::lesson::seed_of;

/// Fewest and most lessons that are looked ahead.
const LESSONS: (u32, u32) = (2, 8);
/// Fewest and most days from one lesson to the next.
const EVERY: (u32, u32) = (1, 28);

/// What is known of the next lessons.
#[derive(Clone)]
enum Ahead {
    /// So many are planned.
    Working(u32),
    /// All are.
    There(Box<Unit>),
    /// There are none: why.
    None(Message),
}

/// A number of this browser.
fn kept(name: &'static str, usual: u32, (low, high): (u32, u32)) -> RwSignal<u32> {
    let kept = preference(name).and_then(|text| text.parse::<u32>().ok());
    RwSignal::new(kept.unwrap_or(usual).clamp(low, high))
}

#[component]
pub fn NextLessons() -> impl IntoView {
    let app = app();
    let own = lessons();
    let open = RwSignal::new(false);
    let count = kept("lanewright-unit-lessons", 6, LESSONS);
    let every = kept("lanewright-unit-every", 7, EVERY);
    let ahead: RwSignal<Option<Ahead>> = RwSignal::new(None);
    let planner = StoredValue::new_local(Planner::default());
    on_cleanup(move || planner.with_value(Planner::stop));
    // Looked at anew whenever it is open and something that it follows from changes: runs, children, what is asked.
    let asked = Memo::new(move |_| {
        if !open.get() {
            return None;
        }
        app.class.track();
        let asked = own.asked(app.input.get()?, own.ask.get())?;
        let first = app.today.get();
        let days: Vec<Date> = (0..count.get())
            .filter_map(|number| first.checked_add((i64::from(number) * i64::from(every.get())).days()).ok())
            .collect();
        let seed = seed_of(&app.class_id.get().unwrap_or_default());
        Some(Asked { days, seed, ..asked })
    });
    Effect::new(move |_| {
        let Some(asked) = asked.get() else {
            planner.with_value(Planner::stop);
            return;
        };
        ahead.set(Some(Ahead::Working(0)));
        let of = asked.days.len() as f64;
        planner.with_value(Clone::clone).ask(&Question::Plan(Box::new(asked)), move |news| {
            ahead.set(Some(match news {
                News::Told(Told::Done(done)) => Ahead::Working((done * of).round() as u32),
                News::Told(Told::Unit(unit)) => Ahead::There(unit),
                News::Told(Told::NoUnit(why)) => Ahead::None(why),
                News::Told(_) => return,
                News::Broken => Ahead::None(Message::new("lesson-unit-broken")),
            }));
        });
    });
    let keep = move |name: &'static str, value: RwSignal<u32>, now: u32| {
        keep_preference(name, &now.to_string());
        value.set(now);
    };
    let shown = move || match ahead.get() {
        None => ().into_any(),
        Some(Ahead::None(why)) => notice("warn", why),
        Some(Ahead::Working(done)) => {
            let of = count.get_untracked();
            let said = Message::new("lesson-unit-working")
                .with("done", Arg::Count(done.into()))
                .with("of", Arg::Count(of.into()));
            view! {
                <div class="lesson-looking" role="status">
                    <p>{move || app.say(&said)}</p>
                    <progress max=of.to_string() value=done.to_string() aria-label=t("lesson-unit-title")></progress>
                </div>
            }
            .into_any()
        }
        Some(Ahead::There(unit)) => unit_view(app, &unit),
    };
    view! {
        <details class="lesson-unit" data-test="unit" on:toggle=move |event| open.set(is_open(&event))>
            <summary><h2>{t("lesson-unit-title")}</h2></summary>
            <div class="stack">
                <p class="soft">{t("lesson-unit-what")}</p>
                <div class="lesson-unit-ask">
                    <div class="field lesson-minutes">
                        <span class="label">{t("lesson-unit-lessons")}</span>
                        <Stepper
                            label=Signal::derive(t("lesson-unit-lessons"))
                            test="unit-lessons".to_owned()
                            value=count
                            low=LESSONS.0
                            high=LESSONS.1
                            change=move |now| keep("lanewright-unit-lessons", count, now)
                        />
                    </div>
                    <div class="field lesson-minutes">
                        <span class="label">{t("lesson-unit-every")}</span>
                        <Stepper
                            label=Signal::derive(t("lesson-unit-every"))
                            test="unit-every".to_owned()
                            value=every
                            low=EVERY.0
                            high=EVERY.1
                            change=move |now| keep("lanewright-unit-every", every, now)
                        />
                    </div>
                </div>
                {shown}
            </div>
        </details>
    }
}

fn unit_view(app: App, unit: &Unit) -> AnyView {
    let lessons = unit
        .lessons
        .iter()
        .enumerate()
        .map(|(index, lesson)| lesson_row(app, index + 1, lesson))
        .collect_view();
    let heads = (1..=unit.lessons.len())
        .map(|number| view! { <th scope="col">{number.to_string()}</th> })
        .collect_view();
    // In the order of the ladder, slow ones first.
    let run: BTreeSet<&String> = unit.lessons.iter().flat_map(|lesson| lesson.clean.keys()).collect();
    let drills = LADDER.drills().iter().filter(|drill| run.contains(&drill.id.0));
    let shares = drills
        .map(|drill| {
            let name = drill_name(&drill.id);
            let cells = unit.lessons.iter().map(|lesson| share_cell(app, lesson, &drill.id.0)).collect_view();
            view! { <tr><th scope="row">{move || app.say(&name)}</th>{cells}</tr> }
        })
        .collect_view();
    let how = Message::new("lesson-unit-clean-how").with("draws", Arg::Count(unit.draws as i64));
    let list = |title: &'static str, said: Vec<Message>| {
        let rows = said.into_iter().map(|said| view! { <li>{move || app.say(&said)}</li> }).collect_view();
        view! { <details><summary>{t(title)}</summary><ul class="plain">{rows}</ul></details> }
    };
    let children = unit.what_opens(&LADDER);
    view! {
        <div class="stack" data-test="unit-shown">
            <div class="table-scroll">
                <table class="plain-table lesson-unit-table">
                    <thead>
                        <tr>
                            <th scope="col">{t("lesson-unit-lesson")}</th>
                            <th scope="col">{t("lesson-unit-drills")}</th>
                            <th scope="col">{t("lesson-unit-runs")}</th>
                        </tr>
                    </thead>
                    <tbody>{lessons}</tbody>
                </table>
            </div>
            <h3>{t("lesson-unit-clean")}</h3>
            <p class="soft">{move || app.say(&how)}</p>
            <div class="table-scroll">
                <table class="plain-table lesson-unit-shares">
                    <thead><tr><th scope="col">{t("lesson-unit-drill")}</th>{heads}</tr></thead>
                    <tbody>{shares}</tbody>
                </table>
            </div>
            {list("lesson-unit-opens", children)}
            {list("lesson-unit-rests-on", unit.notes.clone())}
        </div>
    }
    .into_any()
}

fn lesson_row(app: App, number: usize, lesson: &UnitLesson) -> AnyView {
    let title = Message::new("lesson-unit-date")
        .with("number", Arg::Count(number as i64))
        .text("date", app.day(lesson.date));
    let blocks = lesson
        .blocks
        .iter()
        .map(|block| {
            let mut drills: Vec<&DrillId> = Vec::new();
            for drill in block.drills.values() {
                if !drills.contains(&drill) {
                    drills.push(drill);
                }
            }
            let names: Vec<String> = drills.iter().map(|drill| app.say(&drill_name(drill))).collect();
            let minutes =
                Message::new("lesson-unit-minutes").with("minutes", Arg::Count(block.minutes.into()));
            view! { <li><b class="number">{app.say(&minutes)}</b><span>{names.join(", ")}</span></li> }
        })
        .collect_view();
    let check = lesson.check_first.then(|| view! { <p class="soft">{t("lesson-unit-check")}</p> });
    let runs = lesson.runs_per_child.round().to_string();
    view! {
        <tr>
            <th scope="row">{move || app.say(&title)}{check}</th>
            <td><ul class="lesson-unit-blocks">{blocks}</ul></td>
            <td>{runs}</td>
        </tr>
    }
    .into_any()
}

fn share_cell(app: App, lesson: &UnitLesson, drill: &str) -> AnyView {
    let Some(share) = lesson.clean.get(drill) else { return view! { <td>"–"</td> }.into_any() };
    let mean = app.show(Arg::Share(share.mean));
    let (low, high) = (app.show(Arg::Share(share.low_80)), app.show(Arg::Share(share.high_80)));
    let spread = format!("{}–{high}", low.trim_end_matches([' ', '\u{a0}', '\u{202f}', '%']));
    view! { <td><b>{mean}</b><span class="soft">{spread}</span></td> }.into_any()
}
