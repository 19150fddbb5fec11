//! Lanes: the floor plan, who runs where, what to set out, and the way to paper.

use lanewright_draw::knocks::{CountingOptions, counting_sheets};
use lanewright_draw::lesson_pages::{LessonPageOptions, lesson_pages};
use lanewright_draw::page::{body_html, print_css};
use lanewright_draw::{
    FloorOptions, GapScale, Layout, Paper, PlanPageOptions, StripOptions, Style, floor_plan, gap_row,
    lane_strips, plan_pages,
};
use lanewright_model::drill::DrillId;
use lanewright_model::plan::{Plan, PlannedLane, PlannedRunner};
use lanewright_model::record::{Body, PlanChoiceBody};
use lanewright_model::words::{Units, Words};
use lanewright_model::writing::set_apart;
use lanewright_model::{Arg, Message, Setting};
use lanewright_science::plan::{Change as Way, PlanError, ways_to_fit};
use lanewright_science::site;
use leptos::prelude::*;
use wasm_bindgen::{JsCast, JsValue};

use super::icons::icon;
use super::kit::Stepper;
use super::lesson::lesson_to_print;
use super::parts::{Choice, app, notice, t};
use super::stand::StandLine;
use crate::browser::app::{App, LADDER, Screen, Sheet};
use crate::browser::{keep_preference, on_window, preference};

/// From this width on, the plan lies across and the table stands beside it, in CSS pixels.
const WIDE_PX: f64 = 1000.0;
/// Lane fit beyond which the table says so with a word, as a share of the own gap (docs/methods/plan.md).
const FAR_RATIO: f64 = 0.08;

/// Sprints after the last hurdle that are offered, in metres (common practice, no source).
const SPRINTS_M: [u32; 4] = [0, 5, 10, 20];

/// Returns names as people say them: `A, B and C`.
pub fn names_said(app: App, names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => {
            app.say(&Message::new("app-and").text("first", rest.join(", ")).text("last", last.clone()))
        }
    }
}

/// Says why there is no plan, and where to change it.
pub fn no_plan(app: App, error: &PlanError) -> AnyView {
    let wishes = match error {
        PlanError::Wishes(wishes) => wishes.clone(),
        _ => Vec::new(),
    };
    let wishes = wishes.into_iter().map(|wish| view! { <li>{move || app.say(&wish)}</li> }).collect_view();
    let (to, words) = match error {
        PlanError::NoRunners | PlanError::Wishes(_) => (Screen::Today, "app-to-today"),
        PlanError::NoDrill => (Screen::Lanes, "app-to-choice"),
        _ => (Screen::Kit, "app-to-kit"),
    };
    let go = move |_| {
        if to == Screen::Lanes {
            app.sheet.set(Some(Sheet::Choice));
        } else {
            app.go(to);
        }
    };
    view! {
        {notice("warn", error.message())}
        <ul class="plain">{wishes}</ul>
        <button type="button" class="btn" on:click=go>{t(words)}</button>
    }
    .into_any()
}

/// The width of the window, followed.
fn window_width() -> RwSignal<f64> {
    let read = || {
        web_sys::window()
            .and_then(|window| window.inner_width().ok())
            .and_then(|width| width.as_f64())
            .unwrap_or(390.0)
    };
    let width = RwSignal::new(read());
    on_window("resize", move |_| {
        // The screen may be gone by now; its signal with it.
        if let Some(before) = width.try_get_untracked()
            && before != read()
        {
            width.try_set(read());
        }
    });
    width
}

/// The screen.
#[component]
pub fn LanesScreen() -> impl IntoView {
    let app = app();
    let is_class = Memo::new(move |_| app.class_id.with(Option::is_some));
    move || {
        if !is_class.get() {
            return view! {
                <h1>{t("app-lanes-title")}</h1>
                <p class="lead">{t("app-lanes-no-class")}</p>
                <button type="button" class="btn go" on:click=move |_| app.go(Screen::Class)>
                    {t("app-to-class")}
                </button>
            }
            .into_any();
        }
        view! { <Planned/> }.into_any()
    }
}

#[component]
fn Planned() -> impl IntoView {
    let app = app();
    let width = window_width();
    let title = move || {
        app.laid.with(|plan| match plan {
            Some(Ok(plan)) => {
                let class = app.class.with(|class| class.as_ref().map(|class| class.name.clone()));
                app.say(
                    &Message::new("draw-plan-title")
                        .with("count", Arg::Count(plan.lanes.len() as i64))
                        .text("class", class.unwrap_or_default()),
                )
            }
            _ => app.get("app-lanes-title"),
        })
    };
    let is_plan = Memo::new(move |_| app.laid.with(|plan| matches!(plan, Some(Ok(_)))));
    view! {
        <div class="title-row">
            <h1 data-test="lanes-title">{title}</h1>
            <div class="row wide-only">
                <MeasureButton/>
                <PrintButton/>
            </div>
        </div>
        <StandLine/>
        <Asked/>
        {move || app.laid.with(|plan| match plan {
            Some(Err(error)) => no_plan(app, error),
            _ => ().into_any(),
        })}
        {move || is_plan.get().then(|| view! {
            <Fits/>
            <div class="plan-grid">
                <div class="stack">
                    <FloorFigure width/>
                    <LaneCards width/>
                </div>
                <div class="stack">
                    <Children width/>
                    <Notes/>
                </div>
            </div>
            <Printing/>
        })}
    }
}

/// Opens the measuring sheet.
#[component]
pub fn MeasureButton() -> impl IntoView {
    let app = app();
    view! {
        <button type="button" class="btn" data-test="measure" on:click=move |_| app.sheet.set(Some(Sheet::Measure))>
            {icon("tape")}
            <span>{t("app-measure")}</span>
        </button>
    }
}

/// Prints the plan.
#[component]
pub fn PrintButton() -> impl IntoView {
    let app = app();
    view! {
        <button
            type="button"
            class="btn go"
            data-test="print"
            disabled=move || app.laid.with(|plan| !matches!(plan, Some(Ok(_))))
            on:click=move |_| print(app)
        >
            {icon("print")}
            <span>{t("app-print")}</span>
        </button>
    }
}

/// What is asked of the lanes; each part opens where it is changed.
#[component]
fn Asked() -> impl IntoView {
    let app = app();
    let choice = Memo::new(move |_| {
        app.class.with(|class| class.as_ref().map(|class| class.choice.clone()).unwrap_or_default())
    });
    let drills = move || {
        choice.with(|choice| {
            choice.drills.iter().map(|id| app.get(&format!("drill-{id}"))).collect::<Vec<_>>().join(" + ")
        })
    };
    // A walk has no effort.
    let runs = move |choice: &PlanChoiceBody| {
        choice.drills.iter().filter_map(|id| LADDER.get(&id.0)).any(|drill| !drill.walk)
    };
    let effort = move || {
        choice.with(|choice| match choice.drills.is_empty() || runs(choice) {
            true => app.show(Arg::Share(choice.effort)),
            false => app.get("app-asked-effort-walk"),
        })
    };
    let hurdles = move || {
        let kit = app.kit();
        kit.hurdles
            .iter()
            .filter(|stock| stock.count > 0)
            .map(|stock| format!("{} × {}", stock.count, app.show(Arg::HeightCm(stock.height_cm))))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let floor = move || match app.space() {
        Some(space) => app.say(
            &Message::new("app-floor-size")
                .with("length", Arg::MeasuredM(space.length_m))
                .with("width", Arg::MeasuredM(space.width_m)),
        ),
        None => app.get("app-asked-no-floor"),
    };
    let lanes = move || {
        app.laid.with(|plan| match plan {
            Some(Ok(plan)) => app.say(
                &Message::new("app-asked-lanes-of")
                    .with("count", Arg::Count(plan.lanes.len() as i64))
                    .with("possible", Arg::Count(plan.lanes_possible.into())),
            ),
            _ => "–".to_owned(),
        })
    };
    let sprint = move || choice.with(|choice| choice.exit_sprint_m);
    view! {
        <div class="asked" role="group" aria-label=t("app-asked")>
            <button type="button" class="ask" data-test="ask-drills" on:click=move |_| app.sheet.set(Some(Sheet::Choice))>
                <span>{t("app-asked-drill")}</span>
                <b>{drills}</b>
            </button>
            <button type="button" class="ask" data-test="ask-effort" on:click=move |_| app.sheet.set(Some(Sheet::Choice))>
                <span>{t("app-asked-effort")}</span>
                <b>{effort}</b>
            </button>
            <button type="button" class="ask" data-test="ask-lanes" on:click=move |_| app.sheet.set(Some(Sheet::Choice))>
                <span>{t("app-asked-lanes")}</span>
                <b>{lanes}</b>
            </button>
            {move || (sprint() > 0.0).then(|| view! {
                <button type="button" class="ask" on:click=move |_| app.sheet.set(Some(Sheet::Choice))>
                    <span>{t("app-asked-sprint")}</span>
                    <b>{move || app.show(Arg::RoomM(sprint()))}</b>
                </button>
            })}
            <button type="button" class="ask" data-test="ask-hurdles" on:click=move |_| app.go(Screen::Kit)>
                <span>{t("app-asked-hurdles")}</span>
                <b>{hurdles}</b>
            </button>
            <button type="button" class="ask" data-test="ask-floor" on:click=move |_| app.go(Screen::Kit)>
                <span>{t("app-asked-floor")}</span>
                <b>{floor}</b>
            </button>
        </div>
    }
}

fn save_choice(app: App, said: Message, edit: impl FnOnce(&mut PlanChoiceBody)) {
    let Some(class) = app.class_id.get_untracked() else { return };
    let mut choice = app
        .class
        .with_untracked(|class| class.as_ref().map(|class| class.choice.clone()).unwrap_or_default());
    edit(&mut choice);
    app.save(said, app.change(&class, &Body::PlanChoice(choice)).into_iter().collect());
}

/// Does it fit, and if not: what would make it fit, each with one tap.
#[component]
fn Fits() -> impl IntoView {
    let app = app();
    let ways = Memo::new(move |_| {
        let fits =
            app.laid.with(|plan| plan.as_ref().is_none_or(|plan| plan.as_ref().is_ok_and(|plan| plan.fits)));
        if fits {
            return Vec::new();
        }
        app.input.with(|input| input.as_ref().map(ways_to_fit).unwrap_or_default())
    });
    move || {
        app.laid.with(|plan| {
            let Some(Ok(plan)) = plan else { return ().into_any() };
            let Some(floor) = &plan.floor else {
                return view! {
                    {notice("note", Message::new("app-fits-no-floor"))}
                    <button type="button" class="btn" data-test="to-floor" on:click=move |_| app.go(Screen::Kit)>
                        {t("app-to-floor")}
                    </button>
                }
                .into_any();
            };
            if plan.fits {
                let spare = app.words.with(|words| floor.spare_length(&words.0));
                return notice("good", Message::new("app-fits").with("spare", spare));
            }
            let remedies = plan.remedies.clone();
            let rows = remedies
                .into_iter()
                .enumerate()
                .map(|(place, message)| {
                    let said = message.clone();
                    let way = ways.with(|ways| ways.get(place).cloned());
                    view! {
                        <li>
                            <span>{move || app.say(&message)}</span>
                            {way.map(|way| view! {
                                <button
                                    type="button"
                                    class="btn small"
                                    data-test="do-way"
                                    on:click=move |_| do_way(app, &said, &way)
                                >
                                    {t("app-do-way")}
                                </button>
                            })}
                        </li>
                    }
                })
                .collect_view();
            view! {
                <div class="notice bad block" data-test="fits-not">
                    <p>{icon("warning")}<b>{t("app-fits-not")}</b></p>
                    <ul class="facts">{rows}</ul>
                </div>
            }
            .into_any()
        })
    }
}

/// Makes the changes of one way to fit, in what is asked or in the floor, as one change with one undo.
fn do_way(app: App, said: &Message, way: &[Way]) {
    let Some(class) = app.class_id.get_untracked() else { return };
    let mut choice = app
        .class
        .with_untracked(|class| class.as_ref().map(|class| class.choice.clone()).unwrap_or_default());
    let mut space = untrack(|| app.space());
    for change in way {
        match change {
            Way::Site(site::Change::ShortenExit { to_m, .. }) => choice.exit_sprint_m = *to_m,
            Way::Site(site::Change::OtherDirection) => space = space.as_ref().map(site::turned),
            Way::Site(site::Change::FewerHurdles { to, .. }) => choice.hurdles_per_lane_max = Some(*to),
            Way::Site(site::Change::ShortenRunUp { to, .. }) => choice.run_up_steps_max = Some(*to),
            Way::Site(site::Change::FewerLanes { to, .. }) => choice.lanes_max = Some(*to),
            Way::LowerEffort { to } => choice.effort = *to,
            Way::SlowerDrill { drill, instead } => {
                if choice.drills.contains(instead) {
                    choice.drills.retain(|other| other != drill);
                } else {
                    for asked in choice.drills.iter_mut().filter(|asked| *asked == drill) {
                        *asked = instead.clone();
                    }
                }
            }
            Way::LeaveOut { drill } => choice.drills.retain(|other| other != drill),
        }
    }
    let mut changes = Vec::new();
    let before = app.class.with_untracked(|class| class.as_ref().map(|class| class.choice.clone()));
    if before.as_ref() != Some(&choice) {
        changes.extend(app.change(&class, &Body::PlanChoice(choice)));
    }
    if space != untrack(|| app.space())
        && let Some(space) = space
    {
        let body = lanewright_model::record::SpaceBody { space, gone: false, unknown: Default::default() };
        changes.extend(app.school_change(&Body::Space(body)));
    }
    app.save(said.clone(), changes);
}

#[component]
fn FloorFigure(width: RwSignal<f64>) -> impl IntoView {
    let app = app();
    let svg = move || {
        let window_px = width.get();
        let options = if window_px >= WIDE_PX {
            let width_px = (window_px - 216.0 - 400.0 - 3.0 * 28.0).clamp(420.0, 900.0);
            FloorOptions { layout: Layout::Across, style: Style::Screen, width_px, height_max_px: 560.0 }
        } else {
            FloorOptions {
                layout: Layout::Upright,
                style: Style::Screen,
                width_px: (window_px - 40.0).clamp(280.0, 640.0),
                height_max_px: 760.0,
            }
        };
        app.laid.with(|plan| match plan {
            Some(Ok(plan)) => app.words.with(|words| floor_plan(plan, &words.0, &options).svg),
            _ => String::new(),
        })
    };
    view! { <figure class="card figure" data-test="floor-plan" inner_html=svg></figure> }
}

#[component]
fn LaneCards(width: RwSignal<f64>) -> impl IntoView {
    let app = app();
    move || {
        let window_px = width.get();
        app.laid.with(|plan| {
            let Some(Ok(plan)) = plan else { return ().into_any() };
            let options = if window_px >= WIDE_PX {
                StripOptions {
                    width_px: (window_px - 216.0 - 400.0 - 3.0 * 28.0 - 32.0).clamp(400.0, 870.0),
                    names: false,
                    ..StripOptions::default()
                }
            } else {
                StripOptions {
                    layout: Layout::Upright,
                    width_px: (window_px - 72.0).clamp(250.0, 480.0),
                    names: false,
                    ..StripOptions::default()
                }
            };
            let strips = app.words.with(|words| lane_strips(plan, &words.0, &options));
            let cards = plan
                .lanes
                .iter()
                .zip(strips)
                .map(|(lane, strip)| lane_card(app, lane, strip.svg))
                .collect_view();
            view! {
                <section class="stack" data-test="lanes">
                    <h2>{t("app-set-out")}</h2>
                    <div class="lane-cards">{cards}</div>
                </section>
            }
            .into_any()
        })
    }
}

/// The running tape distances, each with the dot behind it on one line.
fn tape_list(words: &Words, marks_m: &[f64]) -> AnyView {
    let last = marks_m.len().saturating_sub(1);
    marks_m
        .iter()
        .enumerate()
        .map(|(place, mark)| {
            let mark = words.show(&Arg::GapM(*mark));
            let text = match (words.units, place == last) {
                (_, true) => mark,
                // One unit at the end is enough for a row of metres.
                (Units::Metric, false) => format!("{} ·", mark.trim_end_matches(" m")),
                (Units::FeetInches, false) => format!("{mark} ·"),
            };
            view! { <span class="mark-at">{text}</span>" " }
        })
        .collect_view()
        .into_any()
}

fn lane_card(app: App, lane: &PlannedLane, strip: String) -> AnyView {
    let settings = lane
        .settings
        .iter()
        .map(|setting| {
            let (gap_m, marks_m) = (setting.gap_m, setting.marks_m.clone());
            let words = match (lane.settings.len(), setting.setting) {
                (1, _) => "app-gap",
                (_, Setting::Long) => "setting-long",
                (_, Setting::Short) => "setting-short",
            };
            view! {
                <div class="setting">
                    <p><span class="soft">{t(words)}</span>" "<b class="gap number">{move || app.show(Arg::GapM(gap_m))}</b></p>
                    <p class="tape">
                        <span class="soft">{t("app-tape")}</span>
                        " "
                        <span class="number">{move || app.words.with(|words| tape_list(&words.0, &marks_m))}</span>
                    </p>
                </div>
            }
        })
        .collect_view();
    let hurdles = {
        let message = if lane.hurdle_height_cm > 0.0 {
            Message::new("draw-hurdles")
                .with("count", Arg::Count(lane.hurdles.into()))
                .with("height", Arg::HeightCm(lane.hurdle_height_cm))
        } else {
            Message::new("draw-lines").with("count", Arg::Count(lane.hurdles.into()))
        };
        move || app.say(&message)
    };
    let stop_m = lane.parts.stopping_m;
    view! {
        <article class="card lane-card" data-test="lane" data-lane=lane.lane.clone()>
            <header>
                <span class="lane-tag large">{lane.lane.clone()}</span>
                <p class="names">{set_apart(&lane.runners.join(", "))}</p>
            </header>
            <p class="soft">
                {hurdles}
                " · "
                {move || app.say(&Message::new("draw-stop").with("room", Arg::RoomM(stop_m)))}
            </p>
            {settings}
            <details>
                <summary>{t("app-strip")}</summary>
                <figure class="figure" inner_html=strip></figure>
            </details>
        </article>
    }
    .into_any()
}

/// The children with their own gaps, the lane's gap in the same picture.
#[component]
fn Children(width: RwSignal<f64>) -> impl IntoView {
    let app = app();
    move || {
        app.laid.with(|plan| {
            let Some(Ok(plan)) = plan else { return ().into_any() };
            let scale = GapScale::of(plan);
            let row_px =
                if width.get() >= WIDE_PX { 132.0 } else { (width.get() - 290.0).clamp(72.0, 220.0) };
            let mut runners: Vec<&PlannedRunner> = plan.runners.iter().collect();
            runners.sort_by(|a, b| {
                (&a.lane, a.spacing_m.median)
                    .partial_cmp(&(&b.lane, b.spacing_m.median))
                    .unwrap_or(std::cmp::Ordering::Equal)
            });
            let rows =
                runners.into_iter().map(|runner| child_row(app, plan, runner, &scale, row_px)).collect_view();
            view! {
                <section class="card">
                    <h2>{t("app-gaps-title")}</h2>
                    <p class="legend soft">
                        <span><i class="dot open" aria-hidden="true"></i>{t("draw-legend-guessed")}</span>
                        <span><i class="dot" aria-hidden="true"></i>{t("draw-legend-measured")}</span>
                        <span><i class="tick" aria-hidden="true"></i>{t("draw-legend-lane-gap")}</span>
                    </p>
                    <div class="table-scroll">
                    <table class="gaps" data-test="gaps">
                        <thead>
                            <tr>
                                <th scope="col">{t("app-col-child")}</th>
                                <th scope="col">{t("app-col-gap")}</th>
                                <th scope="col">{t("app-col-lane")}</th>
                                <th scope="col" class="n">{t("app-col-fit")}</th>
                            </tr>
                        </thead>
                        <tbody>{rows}</tbody>
                    </table>
                    </div>
                </section>
            }
            .into_any()
        })
    }
}

fn child_row(app: App, plan: &Plan, runner: &PlannedRunner, scale: &GapScale, row_px: f64) -> AnyView {
    let lane_gap_m = plan
        .lanes
        .iter()
        .find(|lane| lane.lane == runner.lane)
        .map_or(runner.spacing_m.median, |lane| lane.spacing_m);
    let figure = app.words.with(|words| gap_row(runner, lane_gap_m, scale, row_px, &words.0, Style::Screen));
    let outside = runner.gaps.iter().any(|gap| !gap.inside);
    let fit = runner.fit_ratio;
    let words = if outside {
        Some("app-outside")
    } else if fit.abs() > FAR_RATIO {
        Some(if fit > 0.0 { "app-wide" } else { "app-close-word" })
    } else {
        None
    };
    let median_m = runner.spacing_m.median;
    let id = runner.id.0.clone();
    view! {
        <tr data-test="gap-row" class:outside=outside>
            <th scope="row">
                <button type="button" class="link" on:click=move |_| app.sheet.set(Some(Sheet::Child(id.clone())))>
                    {runner.name.clone()}
                </button>
            </th>
            <td>
                <span class="gap-cell">
                    <span class="gap-figure" inner_html=figure.svg></span>
                    <span class="number">{move || app.show(Arg::GapM(median_m))}</span>
                </span>
            </td>
            <td><span class="lane-tag">{runner.lane.clone()}</span></td>
            <td class="n">
                <span class="number">{percent(fit)}</span>
                {words.map(|words| view! { <span class="fit-word">{t(words)}</span> })}
            </td>
        </tr>
    }
    .into_any()
}

/// A signed share in whole percent, with a real minus.
fn percent(ratio: f64) -> String {
    let rounded = (ratio * 100.0).round();
    if rounded == 0.0 {
        "0 %".to_owned()
    } else if rounded > 0.0 {
        format!("+{rounded} %")
    } else {
        format!("−{} %", -rounded)
    }
}

/// What the coach should know.
#[component]
fn Notes() -> impl IntoView {
    let app = app();
    move || {
        app.laid.with(|plan| {
            let Some(Ok(plan)) = plan else { return ().into_any() };
            let notes = plan.warnings.iter().cloned().map(|message| notice("warn", message)).collect_view();
            view! { <section class="stack" data-test="notes">{notes}</section> }.into_any()
        })
    }
}

fn paper_choice() -> Paper {
    match preference("lanewright-paper").as_deref() {
        Some("letter") => Paper::Letter,
        Some(_) => Paper::A4,
        // Where people measure in feet, paper is Letter.
        None if preference("lanewright-units").as_deref() == Some("feet-inches") => Paper::Letter,
        None => Paper::A4,
    }
}

/// Paper size and names on the printed plan.
#[component]
fn Printing() -> impl IntoView {
    let paper = RwSignal::new(paper_choice() == Paper::Letter);
    let names = RwSignal::new(preference("lanewright-print-names").as_deref() != Some("no"));
    view! {
        <section class="card stack">
            <h2>{t("app-printing")}</h2>
            <p class="soft">{t("app-printing-what")}</p>
            <div class="columns">
                <Choice
                    label="app-paper"
                    test="paper"
                    options=vec![(false, "app-paper-a4", "a4"), (true, "app-paper-letter", "letter")]
                    chosen=paper
                    choose=move |letter| {
                        keep_preference("lanewright-paper", if letter { "letter" } else { "a4" });
                        paper.set(letter);
                    }
                />
                <Choice
                    label="app-print-names"
                    test="print-names"
                    options=vec![(true, "app-print-with-names", "with"), (false, "app-print-without-names", "without")]
                    chosen=names
                    choose=move |with| {
                        keep_preference("lanewright-print-names", if with { "yes" } else { "no" });
                        names.set(with);
                    }
                />
            </div>
        </section>
    }
}

/// Puts onto the page that only the printer sees what belongs to the screen: the plan, or trackside the sheets on
/// which children count for a partner. Returns whether there is anything.
pub fn fill_paper(app: App) -> bool {
    let paper = paper_choice();
    let screen = app.screen.get_untracked();
    let pages = match screen {
        Screen::Lesson => lesson_to_print().map(|lesson| {
            let class = app.class.with_untracked(|class| class.as_ref().map(|class| class.name.clone()));
            let options = LessonPageOptions {
                paper,
                class_name: class,
                date: Some(app.full_day(app.today.get_untracked())),
                place: None,
                software: format!("Lanewright {}", env!("CARGO_PKG_VERSION")),
                without_names: preference("lanewright-print-names").as_deref() == Some("no"),
            };
            let words = app.words.get_untracked();
            body_html(&lesson_pages(&lesson, &LADDER, &words.0, &options))
        }),
        Screen::Findings => super::papers::to_print(app, paper),
        _ => None,
    };
    let pages = pages.or_else(|| {
        app.laid.with_untracked(|plan| {
            let Some(Ok(plan)) = plan else { return None };
            let class = app.class.with_untracked(|class| class.as_ref().map(|class| class.name.clone()));
            let class = class.unwrap_or_default();
            let date = Some(app.full_day(app.today.get_untracked()));
            let software = format!("Lanewright {}", env!("CARGO_PKG_VERSION"));
            let words = app.words.get_untracked();
            match screen {
                Screen::Lanes => {
                    let options = PlanPageOptions {
                        paper,
                        date,
                        place: None,
                        shoe_length_m: untrack(|| app.kit()).shoe_length_m,
                        software,
                        without_names: preference("lanewright-print-names").as_deref() == Some("no"),
                    };
                    Some(body_html(&plan_pages(plan, &class, &words.0, &options)))
                }
                Screen::Trackside | Screen::Findings => {
                    let options = CountingOptions { paper, date, software, ..CountingOptions::default() };
                    Some(body_html(&counting_sheets(plan, &class, &words.0, &options)))
                }
                Screen::Class | Screen::Today | Screen::Kit | Screen::Lesson => None,
            }
        })
    });
    let Some(element) = web_sys::window()
        .and_then(|window| window.document())
        .and_then(|document| document.get_element_by_id("paper"))
    else {
        return false;
    };
    element.set_inner_html(pages.as_deref().unwrap_or_default());
    if pages.is_some() {
        use_print_style(&print_css(paper));
    }
    pages.is_some()
}

/// Gives the document a style sheet made from text. The content security policy allows no inline styles; a sheet
/// that the program constructs is not inline.
fn use_print_style(css: &str) {
    let made = || -> Result<(), JsValue> {
        let document = web_sys::window().and_then(|window| window.document()).ok_or(JsValue::NULL)?;
        let global = js_sys::global();
        let class: js_sys::Function = js_sys::Reflect::get(&global, &"CSSStyleSheet".into())?.dyn_into()?;
        let sheet = js_sys::Reflect::construct(&class, &js_sys::Array::new())?;
        let replace: js_sys::Function = js_sys::Reflect::get(&sheet, &"replaceSync".into())?.dyn_into()?;
        replace.call1(&sheet, &JsValue::from_str(css))?;
        js_sys::Reflect::set(&document, &"adoptedStyleSheets".into(), &js_sys::Array::of1(&sheet))?;
        Ok(())
    };
    // A browser without constructed sheets prints with the plain rules of the app's own style sheet.
    let _ = made();
}

/// Prints what belongs to the screen.
pub fn print(app: App) {
    if fill_paper(app)
        && let Some(window) = web_sys::window()
    {
        let _ = window.print();
    }
}

/// Drills, effort, lanes, sprint: saved with every tap.
#[component]
pub fn ChoiceSheet() -> impl IntoView {
    let app = app();
    let choice = Memo::new(move |_| {
        app.class.with(|class| class.as_ref().map(|class| class.choice.clone()).unwrap_or_default())
    });
    let drills = LADDER
        .drills()
        .iter()
        .filter(|drill| drill.gap.is_some())
        .map(|drill| {
            let id = drill.id.clone();
            let (mine, pressed) = (id.clone(), id.clone());
            let place = Memo::new(move |_| {
                choice.with(|choice| choice.drills.iter().position(|other| *other == mine))
            });
            let words = format!("drill-{id}");
            let how = drill.how_arg();
            view! {
                <li>
                    <button
                        type="button"
                        class="pick drill"
                        data-test=format!("drill-{id}")
                        aria-pressed=move || place.get().is_some().to_string()
                        on:click=move |_| toggle_drill(app, &pressed)
                    >
                        <span class="place" aria-hidden="true">{move || place.get().map(|place| place + 1)}</span>
                        <span class="pick-text">
                            <b>{move || app.get(&words)}</b>
                            <span class="soft">{move || app.show(how.clone())}</span>
                            {move || (place.get() == Some(0)).then(|| view! { <em>{t("app-main-drill")}</em> })}
                        </span>
                    </button>
                </li>
            }
        })
        .collect_view();
    let effort = Signal::derive(move || choice.with(|choice| (choice.effort * 100.0).round() as u32));
    let sprint = Signal::derive(move || choice.with(|choice| choice.exit_sprint_m.round() as u32));
    let lanes = Signal::derive(move || choice.with(|choice| choice.lanes_max));
    let possible = move || {
        app.laid.with(|plan| match plan {
            Some(Ok(plan)) => plan.lanes_possible.max(plan.lanes.len() as u32),
            _ => 6,
        })
    };
    let heights = move || {
        let mut heights: Vec<f64> =
            app.kit().hurdles.iter().filter(|stock| stock.count > 0).map(|stock| stock.height_cm).collect();
        heights.push(0.0);
        heights
    };
    let short = move || {
        choice.with(|choice| choice.hurdles_per_lane_max.is_some() || choice.run_up_steps_max.is_some())
    };
    view! {
        <section class="stack">
            <h3>{t("app-drills-title")}</h3>
            <p class="soft">{t("app-drills-how")}</p>
            <ul class="picks">{drills}</ul>
        </section>
        <section class="stack">
            <Choice
                label="app-effort"
                test="effort"
                options=vec![
                    (40, "app-effort-easy", "40"),
                    (60, "app-effort-learning", "60"),
                    (75, "app-effort-brisk", "75"),
                    (90, "app-effort-fast", "90"),
                ]
                chosen=effort
                choose=move |percent: u32| {
                    let effort = f64::from(percent) / 100.0;
                    let said = Message::new("app-said-effort").with("effort", Arg::Share(effort));
                    save_choice(app, said, |choice| choice.effort = effort);
                }
            />
            <fieldset class="choices">
                <legend class="label">{t("app-lanes-wanted")}</legend>
                <div class="choice-row">
                    <button
                        type="button"
                        class="choice"
                        data-test="lanes-auto"
                        aria-pressed=move || lanes.get().is_none().to_string()
                        on:click=move |_| save_choice(app, Message::new("app-said-lanes-auto"), |choice| choice.lanes_max = None)
                    >
                        {t("app-lanes-auto")}
                    </button>
                    {move || (1..=possible().max(lanes.get().unwrap_or(1))).map(|count| view! {
                        <button
                            type="button"
                            class="choice"
                            data-test=format!("lanes-{count}")
                            aria-pressed=move || (lanes.get() == Some(count)).to_string()
                            on:click=move |_| {
                                let said = Message::new("app-said-lanes").with("count", Arg::Count(count.into()));
                                save_choice(app, said, |choice| choice.lanes_max = Some(count));
                            }
                        >
                            {count}
                        </button>
                    }).collect_view()}
                </div>
            </fieldset>
            <fieldset class="choices">
                <legend class="label">{t("app-sprint")}</legend>
                <div class="choice-row">
                    {SPRINTS_M.into_iter().map(|metres| view! {
                        <button
                            type="button"
                            class="choice"
                            data-test=format!("sprint-{metres}")
                            aria-pressed=move || (sprint.get() == metres).to_string()
                            on:click=move |_| choose_sprint(app, metres)
                        >
                            {move || if metres == 0 { app.get("app-sprint-none") } else { app.show(Arg::RoomM(metres.into())) }}
                        </button>
                    }).collect_view()}
                </div>
            </fieldset>
            <fieldset class="choices">
                <legend class="label">{t("app-height")}</legend>
                <div class="choice-row">
                    <button
                        type="button"
                        class="choice"
                        aria-pressed=move || choice.with(|choice| choice.height_cm.is_none()).to_string()
                        on:click=move |_| save_choice(app, Message::new("app-said-height-auto"), |choice| choice.height_cm = None)
                    >
                        {t("app-height-auto")}
                    </button>
                    {move || heights().into_iter().map(|height_cm| view! {
                        <button
                            type="button"
                            class="choice"
                            aria-pressed=move || choice.with(|choice| choice.height_cm == Some(height_cm)).to_string()
                            on:click=move |_| {
                                let said = if height_cm > 0.0 {
                                    Message::new("app-said-height").with("height", Arg::HeightCm(height_cm))
                                } else {
                                    Message::new("app-said-floor-lines")
                                };
                                save_choice(app, said, |choice| choice.height_cm = Some(height_cm));
                            }
                        >
                            {move || if height_cm > 0.0 { app.show(Arg::HeightCm(height_cm)) } else { app.get("app-floor-lines") }}
                        </button>
                    }).collect_view()}
                </div>
            </fieldset>
            <div class="stock">
                <span class="stock-name">{t("app-adults")}</span>
                <Stepper
                    label=Signal::derive(t("app-adults"))
                    test="adults".to_owned()
                    value=Signal::derive(move || choice.with(|choice| choice.adults))
                    low=1
                    high=20
                    change=move |adults: u32| {
                        let said = Message::new("app-said-adults").with("count", Arg::Count(adults.into()));
                        save_choice(app, said, |choice| choice.adults = adults);
                    }
                />
            </div>
            {move || short().then(|| view! {
                <button
                    type="button"
                    class="btn"
                    data-test="full-length"
                    on:click=move |_| save_choice(app, Message::new("app-said-full-length"), |choice| {
                        choice.hurdles_per_lane_max = None;
                        choice.run_up_steps_max = None;
                    })
                >
                    {t("app-full-length")}
                </button>
            })}
        </section>
        <button type="button" class="btn go wide" data-test="choice-done" on:click=move |_| app.sheet.set(None)>
            {t("app-done")}
        </button>
    }
}

fn choose_sprint(app: App, metres: u32) {
    let exit_sprint_m = f64::from(metres);
    let said = if metres == 0 {
        Message::new("app-said-sprint-none")
    } else {
        Message::new("app-said-sprint").with("room", Arg::RoomM(exit_sprint_m))
    };
    save_choice(app, said, |choice| choice.exit_sprint_m = exit_sprint_m);
}

/// Puts a drill behind those chosen, or takes it out; the last one stays.
fn toggle_drill(app: App, id: &DrillId) {
    let name = Arg::Say(Box::new(Message::new(&format!("drill-{id}"))));
    let chosen = app
        .class
        .with_untracked(|class| class.as_ref().map(|class| class.choice.drills.clone()).unwrap_or_default());
    if chosen.contains(id) {
        if chosen.len() == 1 {
            app.tell(Message::new("app-one-drill"), false, true);
            return;
        }
        let said = Message::new("app-said-drill-out").with("drill", name);
        save_choice(app, said, |choice| choice.drills.retain(|other| other != id));
    } else {
        let said = Message::new("app-said-drill-in").with("drill", name);
        save_choice(app, said, |choice| choice.drills.push(id.clone()));
    }
}
