//! Line up by size: tap from the tallest to the shortest, measure three; the rest follows.

use lanewright_model::record::{Body, LineUpBody, Measured};
use lanewright_model::words::Units;
use lanewright_model::{Arg, Message};
use leptos::prelude::*;

use super::child::measurement;
use super::icons::icon;
use super::parts::{app, notice, t, value_of};
use crate::browser::app::new_id;
use crate::logic::entry::{self, Bare};

/// Shortest and tallest stature that is taken, in metres.
const STATURE_M: (f64, f64) = (0.6, 2.3);

/// The sheet.
#[component]
pub fn LineUpSheet() -> impl IntoView {
    let app = app();
    let children = app.class.with_untracked(|class| {
        class
            .iter()
            .flat_map(|class| &class.runners)
            .map(|view| (view.runner.id.0.clone(), view.runner.label.clone(), view.runner.stature_cm))
            .collect::<Vec<_>>()
    });
    let children = StoredValue::new(children);
    let name = move |id: &str| {
        children.with_value(|all| {
            all.iter().find(|child| child.0 == id).map(|child| child.1.clone()).unwrap_or_default()
        })
    };
    let line = RwSignal::new(
        app.class
            .with_untracked(|class| class.as_ref().map(|class| class.line_up.clone()).unwrap_or_default()),
    );
    // Whoever left the list stands in no line.
    line.update(|line| {
        line.retain(|id| children.with_value(|all| all.iter().any(|child| child.0 == *id)));
    });
    let rest = move || {
        let line = line.get();
        children.with_value(|all| {
            all.iter().filter(|child| !line.contains(&child.0)).cloned().collect::<Vec<_>>()
        })
    };
    // Tallest, middle, shortest of the line: who is to be measured.
    let three = move || {
        line.with(|line| match line.len() {
            0 => Vec::new(),
            1 => vec![line[0].clone()],
            2 => vec![line[0].clone(), line[1].clone()],
            count => vec![line[0].clone(), line[count / 2].clone(), line[count - 1].clone()],
        })
    };
    let entries = RwSignal::new(std::collections::BTreeMap::<String, String>::new());
    let error = RwSignal::new(None::<Message>);
    let save = move || {
        let order = line.get_untracked();
        if order.len() < 3 {
            error.set(Some(Message::new("app-line-up-three")));
            return;
        }
        let Some(class) = app.class_id.get_untracked() else { return };
        let body = Body::LineUp(LineUpBody { order, unknown: Default::default() });
        let mut changes: Vec<_> = app.change(&class, &body).into_iter().collect();
        for id in three() {
            let text = entries.with_untracked(|entries| entries.get(&id).cloned()).unwrap_or_default();
            if text.trim().is_empty() {
                continue;
            }
            let units = app.units.get_untracked();
            match entry::length_within_m(&text, Bare::Small, units, STATURE_M.0, STATURE_M.1) {
                Ok(stature_m) => {
                    let measured = Measured::Stature { stature_cm: stature_m * 100.0 };
                    changes.extend(
                        app.change(&new_id(), &measurement(&id, app.today.get_untracked(), measured)),
                    );
                }
                Err(message) => {
                    let said = Message::new("app-line-up-entry")
                        .text("name", name(&id))
                        .with("what", Arg::Say(Box::new(message)));
                    error.set(Some(said));
                    return;
                }
            }
        }
        let count = Arg::Count(line.with_untracked(Vec::len) as i64);
        app.sheet.set(None);
        app.save(Message::new("app-said-line-up").with("count", count), changes);
    };
    view! {
        <div class="stack">
            <p>{t("app-line-up-how")}</p>
            <ol class="line" data-test="line">
                {move || {
                    line.get()
                        .into_iter()
                        .enumerate()
                        .map(|(place, id)| view! { <li><b>{place + 1}</b>" "{name(&id)}</li> })
                        .collect_view()
                }}
            </ol>
            <div class="row" hidden=move || line.with(Vec::is_empty)>
                <button type="button" class="btn" on:click=move |_| { line.update(|line| { line.pop(); }); }>
                    {icon("undo")}
                    <span>{t("app-line-up-back")}</span>
                </button>
                <button type="button" class="btn quiet" on:click=move |_| line.set(Vec::new())>
                    {t("app-line-up-again")}
                </button>
            </div>
            <ul class="roll" hidden=move || rest().is_empty()>
                <For each=rest key=|child| child.0.clone() let:child>
                    {
                        let (id, label, _) = child;
                        view! {
                            <li>
                                <button
                                    type="button"
                                    class="tile"
                                    data-test="line-child"
                                    on:click=move |_| {
                                        error.set(None);
                                        line.update(|line| line.push(id.clone()));
                                    }
                                >
                                    <b class="name">{label}</b>
                                    <span class="state">{t("app-line-up-next")}</span>
                                </button>
                            </li>
                        }
                    }
                </For>
            </ul>
            {move || (line.with(|line| line.len() >= 3)).then(|| {
                let hint = match app.units.get() {
                    Units::Metric => "app-hint-cm",
                    Units::FeetInches => "app-hint-ft",
                };
                let words = ["app-line-up-tallest", "app-line-up-middle", "app-line-up-shortest"];
                let fields = three()
                    .into_iter()
                    .zip(words)
                    .map(|(id, words)| {
                        let known = children.with_value(|all| {
                            all.iter().find(|child| child.0 == id).and_then(|child| child.2)
                        });
                        let field = format!("line-up-{}", &words[12..]);
                        let shown = field.clone();
                        let key = id.clone();
                        let value = id.clone();
                        let message = Message::new(words).text("name", name(&id));
                        view! {
                            <div class="field">
                                <label for=field.clone()>
                                    <span class="label">{move || app.say(&message)}</span>
                                    <span class="hint">{t(hint)}</span>
                                </label>
                                <input
                                    id=field
                                    data-test=shown
                                    type="text"
                                    inputmode="decimal"
                                    placeholder=known.map(|stature_cm| untrack(|| app.show_body(stature_cm)))
                                    prop:value=move || entries.with(|all| all.get(&value).cloned().unwrap_or_default())
                                    on:input=move |event| {
                                        entries.update(|all| { all.insert(key.clone(), value_of(&event)); });
                                    }
                                />
                            </div>
                        }
                    })
                    .collect_view();
                view! { <p>{t("app-line-up-measure")}</p><div class="stack">{fields}</div> }
            })}
            {move || error.get().map(|message| notice("bad", message))}
            <button type="button" class="btn go wide" data-test="save-line-up" on:click=move |_| save()>
                {t("app-save")}
            </button>
        </div>
    }
}
