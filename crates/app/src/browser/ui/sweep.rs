//! A whole lane at once: who has got it, who not yet.

use std::collections::BTreeMap;

use lanewright_model::record::Body;
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::icons::icon;
use super::parts::{app, t};
use super::trackside::{Setup, track};
use crate::browser::app::new_id;
use crate::browser::now_ms;
use crate::logic::trackside::{Child, Look, sweep_bodies};

/// What was tapped and is not saved yet, by runner id.
#[derive(Clone, Copy)]
pub struct Looks(RwSignal<BTreeMap<String, Look>>);

impl Looks {
    /// Nobody seen.
    pub fn new() -> Self {
        Self(RwSignal::new(BTreeMap::new()))
    }

    fn of(self, id: &str) -> Look {
        self.0.with(|looks| looks.get(id).copied().unwrap_or_default())
    }
}

fn children() -> Vec<Child> {
    let track = track();
    track.lane.with(|lane| lane.as_ref().map(|lane| lane.children.clone())).unwrap_or_default()
}

fn slug(look: Look) -> &'static str {
    match look {
        Look::NotSeen => "not-seen",
        Look::GotIt => "got-it",
        Look::NotYet => "not-yet",
    }
}

fn word(look: Look) -> &'static str {
    match look {
        Look::NotSeen => "trackside-not-seen",
        Look::GotIt => "trackside-got-it",
        Look::NotYet => "trackside-not-yet",
    }
}

/// The lane's children as tiles.
#[component]
pub fn Sweep() -> impl IntoView {
    let app = app();
    let looks = expect_context::<Looks>();
    let rows = Memo::new(move |_| children());
    let seen = move || rows.with(|rows| rows.iter().any(|child| looks.of(&child.id) != Look::NotSeen));
    let everybody = move |_| {
        let look = if rows
            .with_untracked(|rows| rows.iter().all(|child| untrack(|| looks.of(&child.id)) == Look::GotIt))
        {
            Look::NotSeen
        } else {
            Look::GotIt
        };
        looks.0.update(|looks| {
            for child in rows.get_untracked() {
                looks.insert(child.id, look);
            }
        });
    };
    let all_got_it =
        move || seen() && rows.with(|rows| rows.iter().all(|child| looks.of(&child.id) == Look::GotIt));
    view! {
        <Setup drill_only=true/>
        <p class="soft">{t("trackside-sweep-how")}</p>
        <button type="button" class="btn sweep-all" data-test="sweep-all" on:click=everybody>
            {move || app.get(if all_got_it() { "trackside-sweep-none" } else { "trackside-sweep-all" })}
        </button>
        <ul class="roll" data-test="sweep">
            <For each=move || rows.get() key=|child| child.id.clone() let:child>
                {
                    let (id, tapped) = (child.id.clone(), child.id.clone());
                    let look = Memo::new(move |_| looks.of(&id));
                    let name = child.name.clone();
                    view! {
                        <li>
                            <button
                                type="button"
                                class=move || format!("tile look {}", slug(look.get()))
                                data-test="look"
                                data-name=name
                                data-look=move || slug(look.get())
                                on:click=move |_| looks.0.update(|looks| {
                                    let look = looks.entry(tapped.clone()).or_default();
                                    *look = look.tapped();
                                })
                            >
                                <b class="name">{child.name}</b>
                                <span class="state">
                                    {move || match look.get() {
                                        Look::NotSeen => ().into_any(),
                                        Look::GotIt => icon("confirmed"),
                                        Look::NotYet => icon("undo"),
                                    }}
                                    {move || app.get(word(look.get()))}
                                </span>
                            </button>
                        </li>
                    }
                }
            </For>
        </ul>
    }
}

/// Saves the lane.
#[component]
pub fn SweepVerb() -> impl IntoView {
    let app = app();
    let track = track();
    let looks = expect_context::<Looks>();
    let rows = Memo::new(move |_| children());
    let of_lane = move || {
        rows.with(|rows| rows.iter().map(|child| (child.id.clone(), looks.of(&child.id))).collect::<Vec<_>>())
    };
    let seen = Memo::new(move |_| of_lane().iter().filter(|(_, look)| *look != Look::NotSeen).count());
    let busy = RwSignal::new(false);
    let save = move |_| {
        let (Some(class), Some(watching)) = (app.class_id.get_untracked(), track.watching()) else { return };
        if busy.get_untracked() {
            return;
        }
        let marked = untrack(of_lane);
        let lane = watching.lane.lane;
        let bodies = sweep_bodies(&class, &lane, &watching.drill.id, &marked, now_ms() as i64);
        if bodies.is_empty() {
            return;
        }
        let got = bodies.iter().filter(|body| body.got_it).count();
        let said = Message::new("trackside-said-sweep")
            .text("lane", lane)
            .with("got", Arg::Count(got as i64))
            .with("not", Arg::Count((bodies.len() - got) as i64));
        let changes =
            bodies.into_iter().filter_map(|body| app.change(&new_id(), &Body::Sweep(body))).collect();
        busy.set(true);
        spawn_local(async move {
            if app.save_now(said, changes).await {
                looks.0.update(|looks| {
                    for (id, _) in &marked {
                        looks.remove(id);
                    }
                });
            }
            busy.set(false);
        });
    };
    view! {
        <button type="button" class="btn go verb" data-test="sweep-save" disabled=move || seen.get() == 0 on:click=save>
            {move || app.say(
                &Message::new("trackside-sweep-save").with("seen", Arg::Count(seen.get() as i64)),
            )}
        </button>
    }
}
