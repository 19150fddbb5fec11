//! A whole lane at once: who has got it, who not yet.

use std::collections::BTreeMap;

use jiff::Timestamp;
use lanewright_model::record::Body;
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::icons::icon;
use super::parts::{app, t};
use super::trackside::{Setup, clock, midnight_ms, track};
use crate::browser::app::new_id;
use crate::browser::now_ms;
use crate::logic::trackside::{Child, Look, looks_saved, sweep_bodies};

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
    let track = track();
    // What was saved today stays in sight: who of the lane was looked at, and how it was.
    let saved = Memo::new(move |_| {
        let since_ms = midnight_ms(app.today.get());
        let drill = track.drill.with(|drill| drill.as_ref().map(|drill| drill.id.clone()));
        app.class.with(|class| {
            class
                .as_ref()
                .zip(drill)
                .map(|(class, drill)| looks_saved(class, &drill, since_ms))
                .unwrap_or_default()
        })
    });
    let said = move || {
        let (of, count) = saved.with(|saved| {
            rows.with(|rows| (rows.iter().filter(|child| saved.contains_key(&child.id)).count(), rows.len()))
        });
        (of > 0).then(|| {
            let words = Message::new("trackside-sweep-saved")
                .with("seen", Arg::Count(of as i64))
                .with("count", Arg::Count(count as i64));
            view! { <b data-test="sweep-saved">{app.say(&words)}</b> }
        })
    };
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
        <p class="soft">{t("trackside-sweep-how")}" "{said}</p>
        <button type="button" class="btn sweep-all" data-test="sweep-all" on:click=everybody>
            {move || app.get(if all_got_it() { "trackside-sweep-none" } else { "trackside-sweep-all" })}
        </button>
        <ul class="roll" data-test="sweep">
            <For each=move || rows.get() key=|child| child.id.clone() let:child>
                {
                    let (id, tapped) = (child.id.clone(), child.id.clone());
                    let mine = child.id.clone();
                    let look = Memo::new(move |_| looks.of(&id));
                    let before = Memo::new(move |_| saved.with(|saved| saved.get(&mine).copied()));
                    // What was saved stands there until somebody looks anew.
                    let state = move || match (look.get(), before.get()) {
                        (Look::NotSeen, Some((got_it, at_ms))) => {
                            let look = if got_it { Look::GotIt } else { Look::NotYet };
                            let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
                            format!("{} · {}", app.get(word(look)), clock(at))
                        }
                        (look, _) => app.get(word(look)),
                    };
                    let name = child.name.clone();
                    view! {
                        <li>
                            <button
                                type="button"
                                class=move || match before.get() {
                                    Some((true, _)) => format!("tile look saved had-it {}", slug(look.get())),
                                    Some((false, _)) => format!("tile look saved {}", slug(look.get())),
                                    None => format!("tile look {}", slug(look.get())),
                                }
                                data-saved=move || before.get().map(|(got_it, _)| if got_it { "got-it" } else { "not-yet" })
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
                                    {move || match (look.get(), before.get()) {
                                        (Look::GotIt, _) | (Look::NotSeen, Some((true, _))) => icon("confirmed"),
                                        (Look::NotYet, _) | (Look::NotSeen, Some(_)) => icon("undo"),
                                        (Look::NotSeen, None) => ().into_any(),
                                    }}
                                    {state}
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
