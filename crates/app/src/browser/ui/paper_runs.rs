//! Runs that children counted on the printed helper sheet, typed in.

use std::collections::BTreeMap;

use lanewright_model::record::Body;
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::parts::{app, focus, notice, value_of};
use super::trackside::{Setup, track};
use crate::browser::app::new_id;
use crate::browser::now_ms;
use crate::logic::trackside::{Child, paper_line, run_body};

/// What was typed and is not saved yet, by runner id.
#[derive(Clone, Copy)]
pub struct Typed(RwSignal<BTreeMap<String, String>>);

impl Typed {
    /// Nothing typed.
    pub fn new() -> Self {
        Self(RwSignal::new(BTreeMap::new()))
    }

    fn of(self, id: &str) -> String {
        self.0.with(|typed| typed.get(id).cloned().unwrap_or_default())
    }
}

/// A child's runs as they were understood, or what to change; only children with something typed.
type Read = (String, Result<Vec<Vec<u32>>, Message>);

fn read_all(typed: Typed) -> Vec<Read> {
    let track = track();
    let Some((children, hurdles)) =
        track.lane.with(|lane| lane.as_ref().map(|lane| (lane.children.clone(), lane.hurdles)))
    else {
        return Vec::new();
    };
    children
        .into_iter()
        .map(|child| (child.id.clone(), paper_line(&typed.of(&child.id), hurdles)))
        .filter(|(_, read)| read.as_ref().map_or(true, |runs| !runs.is_empty()))
        .collect()
}

fn runs_in(read: &[Read]) -> usize {
    read.iter().filter_map(|(_, runs)| runs.as_ref().ok()).map(Vec::len).sum()
}

/// Moves on to the field of the child behind.
fn next_field(rows: &[Child], id: &str) {
    if let Some(next) = rows.iter().skip_while(|child| child.id != id).nth(1) {
        focus(&format!("paper-{}", next.id));
    }
}

/// One field per child of the lane.
#[component]
pub fn PaperRuns() -> impl IntoView {
    let app = app();
    let track = track();
    let typed = expect_context::<Typed>();
    let rows = Memo::new(move |_| {
        track.lane.with(|lane| lane.as_ref().map(|lane| lane.children.clone())).unwrap_or_default()
    });
    let hurdles = Memo::new(move |_| track.lane.with(|lane| lane.as_ref().map_or(0, |lane| lane.hurdles)));
    let bad = Memo::new(move |_| read_all(typed).iter().filter(|(_, read)| read.is_err()).count());
    view! {
        <Setup drill_only=true/>
        <p>{move || app.get(if hurdles.get() > 9 { "trackside-paper-how-commas" } else { "trackside-paper-how" })}</p>
        {move || (bad.get() > 0).then(|| {
            notice("bad", Message::new("trackside-paper-bad").with("count", Arg::Count(bad.get() as i64)))
        })}
        <ul class="paper-rows" data-test="paper-rows">
            <For each=move || rows.get() key=|child| child.id.clone() let:child>
                {
                    let (id, input, shown) = (child.id.clone(), child.id.clone(), child.id.clone());
                    let here = child.id.clone();
                    let field = format!("paper-{}", child.id);
                    let (label, about) = (field.clone(), format!("{field}-says"));
                    let described = about.clone();
                    let read = Memo::new(move |_| paper_line(&typed.of(&id), hurdles.get()));
                    let name = child.name.clone();
                    view! {
                        <li>
                            <label for=label class="name"><b>{child.name}</b></label>
                            <input
                                id=field
                                data-test="paper-field"
                                data-name=name
                                inputmode="tel"
                                autocomplete="off"
                                enterkeyhint="next"
                                prop:value=move || typed.of(&shown)
                                aria-invalid=move || read.with(|read| read.is_err()).to_string()
                                aria-describedby=described
                                on:input=move |event| {
                                    let text = value_of(&event);
                                    typed.0.update(|typed| {
                                        typed.insert(input.clone(), text);
                                    });
                                }
                                on:keydown=move |event| {
                                    if event.key() == "Enter" {
                                        event.prevent_default();
                                        rows.with_untracked(|rows| next_field(rows, &here));
                                    }
                                }
                            />
                            <p id=about data-test="paper-says" class=move || {
                                if read.with(|read| read.is_err()) { "entry-error" } else { "soft" }
                            }>
                                {move || match read.get() {
                                    Err(says) => app.say(&says),
                                    Ok(runs) if runs.is_empty() => String::new(),
                                    Ok(runs) => {
                                        let said = runs.iter().map(|fell| match fell.is_empty() {
                                            true => app.get("trackside-paper-clean"),
                                            false => {
                                                fell.iter().map(u32::to_string).collect::<Vec<_>>().join(" + ")
                                            }
                                        });
                                        let said = said.collect::<Vec<_>>().join(" · ");
                                        app.say(
                                            &Message::new("trackside-paper-preview")
                                                .with("count", Arg::Count(runs.len() as i64))
                                                .text("runs", said),
                                        )
                                    }
                                }}
                            </p>
                        </li>
                    }
                }
            </For>
        </ul>
    }
}

/// Saves all lines, or none while one of them needs a change.
#[component]
pub fn PaperVerb() -> impl IntoView {
    let app = app();
    let track = track();
    let typed = expect_context::<Typed>();
    let read = Memo::new(move |_| read_all(typed));
    let count = Memo::new(move |_| read.with(|read| runs_in(read)));
    let bad = Memo::new(move |_| read.with(|read| read.iter().any(|(_, runs)| runs.is_err())));
    let busy = RwSignal::new(false);
    let save = move |_| {
        let (Some(class), Some(watching)) = (app.class_id.get_untracked(), track.watching()) else { return };
        let lines: Result<Vec<_>, _> =
            read.get_untracked().into_iter().map(|(id, runs)| runs.map(|runs| (id, runs))).collect();
        let Ok(lines) = lines else { return };
        if lines.is_empty() || busy.get_untracked() {
            return;
        }
        let facts = watching.facts_of_paper(&lines, now_ms() as i64);
        let said = Message::new("trackside-said-paper")
            .text("lane", watching.lane.lane)
            .with("count", Arg::Count(facts.len() as i64));
        let changes = facts
            .into_iter()
            .filter_map(|facts| app.change(&new_id(), &Body::Run(run_body(&class, facts))))
            .collect();
        busy.set(true);
        spawn_local(async move {
            if app.save_now(said, changes).await {
                typed.0.update(|typed| {
                    for (id, _) in &lines {
                        typed.remove(id);
                    }
                });
            }
            busy.set(false);
        });
    };
    view! {
        <button
            type="button"
            class="btn go verb"
            data-test="paper-save"
            disabled=move || count.get() == 0 || bad.get()
            on:click=save
        >
            {move || app.say(
                &Message::new("trackside-paper-save").with("count", Arg::Count(count.get() as i64)),
            )}
        </button>
    }
}
