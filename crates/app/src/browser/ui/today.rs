//! Today: who is here, who goes easy, who helps; what that makes of the lanes; who with whom.

use std::collections::BTreeMap;

use lanewright_model::plan::Plan;
use lanewright_model::record::{Body, LaneWishBody, PairWishBody, TodayBody};
use lanewright_model::writing::set_apart;
use lanewright_model::{Arg, Message, Presence};
use lanewright_science::plan::lane_name;
use leptos::prelude::*;

use super::conditions::Conditions;
use super::icons::icon;
use super::lanes::{names_said, no_plan};
use super::parts::{Choice, app, notice, t};
use crate::browser::app::{App, Screen, Sheet, new_id};
use crate::logic::change::Change;
use crate::logic::jobs;

fn slug(presence: Presence) -> &'static str {
    match presence {
        Presence::Present => "present",
        Presence::Easy => "easy",
        Presence::Helping => "helping",
        Presence::Absent => "absent",
    }
}

fn word(presence: Presence) -> &'static str {
    match presence {
        Presence::Present => "app-present",
        Presence::Easy => "app-easy",
        Presence::Helping => "app-helping",
        Presence::Absent => "app-absent",
    }
}

/// Who is here today.
#[component]
pub fn TodayScreen() -> impl IntoView {
    let app = app();
    let empty = Memo::new(move |_| {
        app.class.with(|class| class.as_ref().is_none_or(|class| class.runners.is_empty()))
    });
    move || {
        if empty.get() {
            return view! {
                <h1>{t("app-today-title")}</h1>
                <p class="lead">{t("app-today-empty")}</p>
                <button type="button" class="btn go" on:click=move |_| app.go(Screen::Class)>
                    {t("app-to-class")}
                </button>
            }
            .into_any();
        }
        view! { <Roll/> }.into_any()
    }
}

#[component]
fn Roll() -> impl IntoView {
    let app = app();
    let brush = RwSignal::new(Presence::Absent);
    let ids = Memo::new(move |_| {
        app.class.with(|class| {
            let runners = class.iter().flat_map(|class| &class.runners);
            runners.map(|view| (view.runner.id.0.clone(), view.runner.label.clone())).collect::<Vec<_>>()
        })
    });
    let presence = Memo::new(move |_| {
        app.class.with(|class| {
            let runners = class.iter().flat_map(|class| &class.runners);
            runners.map(|view| (view.runner.id.0.clone(), view.presence)).collect::<BTreeMap<_, _>>()
        })
    });
    let count = move |wanted: Presence| {
        presence.with(|all| all.values().filter(|presence| **presence == wanted).count())
    };
    let everybody = move |_| {
        let changes: Vec<Change> = presence.with_untracked(|all| {
            all.iter()
                .filter(|(_, presence)| **presence != Presence::Present)
                .filter_map(|(id, _)| presence_change(app, id, Presence::Present))
                .collect()
        });
        app.save(Message::new("app-said-everybody"), changes);
    };
    let counter = move |which: Presence| {
        view! {
            <span class=format!("count {}", slug(which)) data-test=format!("count-{}", slug(which))>
                {icon(slug(which))}
                <b>{move || count(which)}</b>
                <span>{t(word(which))}</span>
            </span>
        }
    };
    view! {
        <div class="title-row">
            <h1>{t("app-today-title")}</h1>
            <button
                type="button"
                class="btn small"
                data-test="everybody"
                disabled=move || presence.with(|all| all.values().all(|one| *one == Presence::Present))
                on:click=everybody
            >
                {t("app-everybody")}
            </button>
        </div>
        <div class="counts" role="group" aria-label=t("app-counts")>
            {counter(Presence::Present)}
            {counter(Presence::Easy)}
            {counter(Presence::Helping)}
            {counter(Presence::Absent)}
        </div>
        <div class="stack">
        <div class="brush">
            <Choice
                label="app-brush"
                test="brush"
                options=vec![
                    (Presence::Absent, "app-absent", "absent"),
                    (Presence::Easy, "app-easy", "easy"),
                    (Presence::Helping, "app-helping", "helping"),
                ]
                chosen=brush
                choose=move |presence| brush.set(presence)
            />
        </div>
        <ul class="roll" data-test="roll">
            <For each=move || ids.get() key=|row| row.clone() let:row>
                {
                    let (id, label) = row;
                    let mine = id.clone();
                    let now = Memo::new(move |_| {
                        presence.with(|all| all.get(&mine).copied().unwrap_or_default())
                    });
                    let (said, name) = (label.clone(), label.clone());
                    view! {
                        <li>
                            <button
                                type="button"
                                class=move || format!("tile {}", slug(now.get()))
                                data-test="tile"
                                data-name=name
                                data-presence=move || slug(now.get())
                                on:click=move |_| {
                                    let brush = brush.get_untracked();
                                    let next =
                                        if now.get_untracked() == brush { Presence::Present } else { brush };
                                    set_presence(app, &id, &said, next);
                                }
                            >
                                <b class="name">{label}</b>
                                <span class="state">
                                    {move || icon(slug(now.get()))}
                                    {move || app.get(word(now.get()))}
                                </span>
                            </button>
                        </li>
                    }
                }
            </For>
        </ul>
        </div>
        <h2>{t("app-today-lanes")}</h2>
        <LanesToday/>
        <h2>{t("app-wishes-title")}</h2>
        <Wishes/>
        <Conditions/>
    }
}

fn presence_change(app: App, id: &str, presence: Presence) -> Option<Change> {
    let body = TodayBody { on: app.today.get_untracked(), presence, unknown: Default::default() };
    app.change(id, &Body::Today(body))
}

fn set_presence(app: App, id: &str, name: &str, presence: Presence) {
    let said = Message::new(match presence {
        Presence::Present => "app-said-present",
        Presence::Easy => "app-said-easy",
        Presence::Helping => "app-said-helping",
        Presence::Absent => "app-said-absent",
    })
    .text("name", name);
    app.save(said, presence_change(app, id, presence).into_iter().collect());
}

/// The lanes with today's children, and jobs for those who help.
#[component]
fn LanesToday() -> impl IntoView {
    let app = app();
    move || {
        app.laid.with(|plan| match plan {
            None => ().into_any(),
            Some(Err(error)) => no_plan(app, error),
            Some(Ok(plan)) => view! {
                <ul class="lane-list" data-test="today-lanes">
                    {plan
                        .lanes
                        .iter()
                        .map(|lane| {
                            let gap_m = lane.spacing_m;
                            view! {
                                <li>
                                    <span class="lane-tag">{lane.lane.clone()}</span>
                                    <span class="lane-text">
                                        <b class="number">{move || app.show(Arg::GapM(gap_m))}</b>
                                        " "
                                        <span>{set_apart(&lane.runners.join(", "))}</span>
                                    </span>
                                </li>
                            }
                        })
                        .collect_view()}
                </ul>
                {helpers(app, plan)}
            }
            .into_any(),
        })
    }
}

fn helpers(app: App, plan: &Plan) -> AnyView {
    let helping: Vec<String> = app.class.with(|class| {
        let runners = class.iter().flat_map(|class| &class.runners);
        runners
            .filter(|view| view.presence == Presence::Helping)
            .map(|view| view.runner.label.clone())
            .collect()
    });
    let lanes: Vec<(String, usize)> =
        plan.lanes.iter().map(|lane| (lane.lane.clone(), lane.runners.len())).collect();
    if helping.is_empty() {
        return view! { <p class="soft">{t("app-no-helpers")}</p> }.into_any();
    }
    let rows = jobs::deal(&helping, &lanes)
        .into_iter()
        .map(|job| {
            let message = Message::new("app-job")
                .text("name", job.helper)
                .with("count", Arg::Count(job.lanes.len() as i64))
                .text("lanes", names_said(app, &job.lanes));
            view! { <li>{icon("helping")}<span>{move || app.say(&message)}</span></li> }
        })
        .collect_view();
    view! { <ul class="jobs" data-test="jobs">{rows}</ul> }.into_any()
}

/// One wish as it stands: what it says, and what takes it back.
#[derive(Debug, Clone, PartialEq)]
enum Wish {
    Pair(String, PairWishBody),
    Only(String, String),
    Never(String, String),
}

#[component]
fn Wishes() -> impl IntoView {
    let app = app();
    let wishes = Memo::new(move |_| {
        app.class.with(|class| {
            let Some(class) = class else { return Vec::new() };
            let label = |id: &str| {
                class.runners.iter().find(|view| view.runner.id.0 == id).map(|view| view.runner.label.clone())
            };
            let mut wishes: Vec<(Message, Wish)> = Vec::new();
            for (id, pair) in &class.pairs {
                if let (Some(first), Some(second)) = (label(&pair.first), label(&pair.second)) {
                    let words = if pair.together { "app-wish-together" } else { "app-wish-apart" };
                    let message = Message::new(words).text("first", first).text("second", second);
                    wishes.push((message, Wish::Pair(id.clone(), pair.clone())));
                }
            }
            for view in &class.runners {
                let id = &view.runner.id.0;
                let say = |words: &str, lane: &str| {
                    Message::new(words).text("name", view.runner.label.clone()).text("lane", lane)
                };
                if let Some(lane) = &view.wish.only {
                    wishes.push((say("app-wish-only", lane), Wish::Only(id.clone(), lane.clone())));
                }
                for lane in &view.wish.never {
                    wishes.push((say("app-wish-never", lane), Wish::Never(id.clone(), lane.clone())));
                }
            }
            wishes
        })
    });
    let take_back = move |message: &Message, wish: &Wish| {
        let said = Message::new("app-said-wish-back").with("wish", Arg::Say(Box::new(message.clone())));
        let change = match wish {
            Wish::Pair(id, pair) => {
                app.change(id, &Body::PairWish(PairWishBody { void: true, ..pair.clone() }))
            }
            Wish::Only(id, _) => lane_wish(app, id, |wish| wish.only = None),
            Wish::Never(id, lane) => lane_wish(app, id, |wish| wish.never.retain(|other| other != lane)),
        };
        app.save(said, change.into_iter().collect());
    };
    view! {
        {move || wishes.with(|wishes| wishes.is_empty()).then(|| view! { <p class="soft">{t("app-wishes-none")}</p> })}
        <ul class="facts" data-test="wishes">
            {move || {
                wishes
                    .get()
                    .into_iter()
                    .map(|(message, wish)| {
                        let words = message.clone();
                        view! {
                            <li>
                                <span>{move || app.say(&words)}</span>
                                <button type="button" class="btn quiet" on:click=move |_| take_back(&message, &wish)>
                                    {icon("undo")}
                                    <span>{t("app-take-back")}</span>
                                </button>
                            </li>
                        }
                    })
                    .collect_view()
            }}
        </ul>
        <button type="button" class="btn" data-test="add-wish" on:click=move |_| app.sheet.set(Some(Sheet::Wish))>
            {icon("add")}
            <span>{t("app-add-wish")}</span>
        </button>
    }
}

fn lane_wish(app: App, id: &str, edit: impl FnOnce(&mut LaneWishBody)) -> Option<Change> {
    let mut wish = match app.stored("lane-wish", id) {
        Some(Body::LaneWish(wish)) => wish,
        _ => LaneWishBody::default(),
    };
    edit(&mut wish);
    app.change(id, &Body::LaneWish(wish))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum WishKind {
    Together,
    Apart,
    Only,
    Never,
}

/// Adds one wish.
#[component]
pub fn WishSheet() -> impl IntoView {
    let app = app();
    let kind = RwSignal::new(WishKind::Apart);
    let first = RwSignal::new(String::new());
    let second = RwSignal::new(String::new());
    let lane = RwSignal::new("A".to_owned());
    let error = RwSignal::new(None::<Message>);
    let is_pair = move || matches!(kind.get(), WishKind::Together | WishKind::Apart);
    let lanes = move || {
        let count = app.laid.with(|plan| match plan {
            Some(Ok(plan)) => plan.lanes.len(),
            _ => 4,
        });
        (0..count).map(lane_name).collect::<Vec<_>>()
    };
    let save = move || {
        let (one, other) = (first.get_untracked(), second.get_untracked());
        let name = |id: &str| app.runner_now(id).map(|view| view.runner.label).unwrap_or_default();
        if one.is_empty() || (is_pair() && (other.is_empty() || other == one)) {
            error.set(Some(Message::new(if is_pair() { "app-wish-two" } else { "app-wish-one" })));
            return;
        }
        let Some(class) = app.class_id.get_untracked() else { return };
        let lane = lane.get_untracked();
        let (said, change) = match kind.get_untracked() {
            WishKind::Together | WishKind::Apart => {
                let together = kind.get_untracked() == WishKind::Together;
                let said = Message::new(if together { "app-wish-together" } else { "app-wish-apart" })
                    .text("first", name(&one))
                    .text("second", name(&other));
                let body = PairWishBody {
                    class,
                    first: one,
                    second: other,
                    together,
                    void: false,
                    unknown: Default::default(),
                };
                (said, app.change(&new_id(), &Body::PairWish(body)))
            }
            WishKind::Only => (
                Message::new("app-wish-only").text("name", name(&one)).text("lane", lane.clone()),
                lane_wish(app, &one, |wish| {
                    wish.never.retain(|other| *other != lane);
                    wish.only = Some(lane.clone());
                }),
            ),
            WishKind::Never => (
                Message::new("app-wish-never").text("name", name(&one)).text("lane", lane.clone()),
                lane_wish(app, &one, |wish| {
                    if wish.only.as_ref() == Some(&lane) {
                        wish.only = None;
                    }
                    if !wish.never.contains(&lane) {
                        wish.never.push(lane.clone());
                    }
                }),
            ),
        };
        app.sheet.set(None);
        app.save(said, change.into_iter().collect());
    };
    view! {
        <form
            class="stack"
            on:submit=move |event| {
                event.prevent_default();
                save();
            }
        >
            <Choice
                label="app-wish-what"
                test="wish"
                options=vec![
                    (WishKind::Apart, "app-wish-kind-apart", "apart"),
                    (WishKind::Together, "app-wish-kind-together", "together"),
                    (WishKind::Only, "app-wish-kind-only", "only"),
                    (WishKind::Never, "app-wish-kind-never", "never"),
                ]
                chosen=kind
                choose=move |chosen| kind.set(chosen)
            />
            <ChildSelect label="app-wish-first" id="wish-first" chosen=first/>
            {move || is_pair().then(|| view! { <ChildSelect label="app-wish-second" id="wish-second" chosen=second/> })}
            {move || (!is_pair()).then(|| view! {
                <fieldset class="choices">
                    <legend class="label">{t("app-wish-lane")}</legend>
                    <div class="choice-row">
                        {lanes()
                            .into_iter()
                            .map(|name| {
                                let mine = name.clone();
                                let shown = name.clone();
                                view! {
                                    <button
                                        type="button"
                                        class="choice"
                                        data-test=format!("wish-lane-{name}")
                                        aria-pressed=move || (lane.get() == mine).to_string()
                                        on:click=move |_| lane.set(name.clone())
                                    >
                                        {shown}
                                    </button>
                                }
                            })
                            .collect_view()}
                    </div>
                </fieldset>
            })}
            {move || error.get().map(|message| notice("bad", message))}
            <button type="submit" class="btn go wide" data-test="save-wish">{t("app-save")}</button>
        </form>
    }
}

/// Chooses one child of the class.
#[component]
pub fn ChildSelect(label: &'static str, id: &'static str, chosen: RwSignal<String>) -> impl IntoView {
    let app = app();
    let options = move || {
        app.class.with(|class| {
            class
                .iter()
                .flat_map(|class| &class.runners)
                .map(|view| (view.runner.id.0.clone(), view.runner.label.clone()))
                .collect::<Vec<_>>()
        })
    };
    view! {
        <div class="field">
            <label for=id><span class="label">{t(label)}</span></label>
            <select
                id=id
                data-test=id
                prop:value=move || chosen.get()
                on:change=move |event| chosen.set(event_target_value(&event))
            >
                <option value="">{t("app-choose-child")}</option>
                <For each=options key=|row| row.clone() let:row>
                    <option value=row.0.clone() selected=chosen.get_untracked() == row.0>{row.1.clone()}</option>
                </For>
            </select>
        </div>
    }
}
