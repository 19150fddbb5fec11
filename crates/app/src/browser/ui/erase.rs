//! Erasing a child or a class: what goes is said first, and the name is typed.

use lanewright_model::Message;
use lanewright_model::erasure::Target;
use leptos::prelude::*;

use super::icons::icon;
use super::parts::{app, focus, t, value_of};
use crate::logic::erase;

/// The foot of a sheet from which a child or a class can be erased.
#[component]
pub fn Erase(
    /// Whom or what.
    target: Target,
    /// The name that has to be typed.
    name: String,
) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let typed = RwSignal::new(String::new());
    let wrong = RwSignal::new(false);
    let (title, hint) = match target {
        Target::Class(_) => ("data-erase-class", "data-erase-class-hint"),
        _ => ("data-erase-child", "data-erase-child-hint"),
    };
    let asked = name.clone();
    let (goes, goes_of) = (target.clone(), StoredValue::new((target, name)));
    let erase = move || {
        let (target, name) = goes_of.get_value();
        if !erase::confirms(&typed.get_untracked(), &name) {
            wrong.set(true);
            focus("erase-name");
            return;
        }
        app.sheet.set(None);
        app.erase(target);
    };
    view! {
        <section class="stack erase">
            <p class="soft">{t(hint)}</p>
            {move || (!open.get()).then(|| view! {
                <div class="row">
                    <button type="button" class="btn" data-test="erase" on:click=move |_| open.set(true)>
                        {icon("warning")}
                        <span>{t(title)}</span>
                    </button>
                </div>
            })}
            {move || open.get().then(|| {
                let sentences = erase::said(&app.going(&goes));
                let asked = asked.clone();
                view! {
                    <p><b>{t("data-erase-goes")}</b></p>
                    <ul class="facts" data-test="erase-goes">
                        {sentences
                            .into_iter()
                            .map(|said| view! { <li><span>{move || app.say(&said)}</span></li> })
                            .collect_view()}
                    </ul>
                    <p class="soft">{t("data-erase-stays")}</p>
                    <div class="field">
                        <label for="erase-name">
                            <span class="label">{move || {
                                app.say(&Message::new("data-erase-type").text("name", asked.clone()))
                            }}</span>
                        </label>
                        <input
                            id="erase-name"
                            data-test="erase-name"
                            type="text"
                            autocomplete="off"
                            autocapitalize="off"
                            prop:value=move || typed.get()
                            on:input=move |event| {
                                typed.set(value_of(&event));
                                wrong.set(false);
                            }
                            // The sheet around it is a form that saves; Enter in here must not.
                            on:keydown=move |event| {
                                if event.key() == "Enter" {
                                    event.prevent_default();
                                    erase();
                                }
                            }
                            aria-invalid=move || wrong.get().to_string()
                            aria-describedby="erase-name-error"
                        />
                        <p class="entry-error" id="erase-name-error" role="alert">
                            {move || wrong.get().then(|| app.get("data-erase-not-name"))}
                        </p>
                    </div>
                    <div class="row">
                        <button type="button" class="btn" data-test="erase-keep" on:click=move |_| open.set(false)>
                            {t("data-erase-keep")}
                        </button>
                        <button type="button" class="btn danger" data-test="erase-do" on:click=move |_| erase()>
                            {icon("warning")}
                            <span>{t("data-erase-do")}</span>
                        </button>
                    </div>
                }
            })}
        </section>
    }
}
