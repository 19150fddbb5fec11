//! The school's password: coming in with it, and setting, changing or taking it away.

use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;
use serde::Deserialize;

use super::devices::day_text;
use super::icons::icon;
use super::parts::{app, focus, t, value_of};
use crate::browser::net;
use crate::browser::sync;

/// What the server says of a password.
#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Kept {
    set_ms: Option<i64>,
    in_clear: bool,
    signs_min: i64,
    signs_max: i64,
}

#[derive(Deserialize)]
struct Problem {
    #[serde(rename = "type")]
    kind: String,
}

/// Returns why a password was not taken, in words of this app, which follow its language.
fn refusal(answer: &Result<net::Answer, net::NoAnswer>, kept: Option<&Kept>) -> Message {
    let Ok(answer) = answer else { return Message::new("safe-password-no-answer") };
    let kind = serde_json::from_str::<Problem>(&answer.text).map(|problem| problem.kind).unwrap_or_default();
    let signs = |message: Message, signs: Option<i64>| message.with("signs", Arg::Count(signs.unwrap_or(0)));
    match kind.trim_start_matches("/problems/") {
        "password-wrong" => Message::new("problem-password-wrong-detail"),
        "password-wait" => Message::new("problem-password-wait-detail")
            .with("seconds", Arg::Count(answer.retry_after_s.unwrap_or(60))),
        "password-in-clear" => Message::new("problem-password-in-clear-detail"),
        "password-common" => Message::new("problem-password-common-detail"),
        "password-short" => {
            signs(Message::new("problem-password-short-detail"), kept.map(|kept| kept.signs_min))
        }
        "password-long" => {
            signs(Message::new("problem-password-long-detail"), kept.map(|kept| kept.signs_max))
        }
        _ => Message::new("safe-password-no-answer"),
    }
}

/// A field for a password that can be looked at, with its label and what is wrong with it.
#[component]
fn Secret(
    /// Words of the label.
    label: &'static str,
    /// Id of the field, and its test attribute.
    id: &'static str,
    /// `current-password` or `new-password`: what the browser may offer.
    complete: &'static str,
    /// What stands in it.
    value: RwSignal<String>,
    /// What is wrong with it.
    error: RwSignal<Option<Message>>,
) -> impl IntoView {
    let app = app();
    let shown = RwSignal::new(false);
    let error_id = format!("{id}-error");
    let described = error_id.clone();
    view! {
        <div class="field">
            <label for=id><span class="label">{t(label)}</span></label>
            <div class="secret">
                <input
                    id=id
                    data-test=id
                    type=move || if shown.get() { "text" } else { "password" }
                    autocomplete=complete
                    autocapitalize="off"
                    spellcheck="false"
                    prop:value=move || value.get()
                    on:input=move |event| {
                        value.set(value_of(&event));
                        error.set(None);
                    }
                    aria-invalid=move || error.with(|error| error.is_some()).to_string()
                    aria-describedby=described
                />
                <button
                    type="button"
                    class="btn small"
                    data-test=format!("{id}-show")
                    aria-controls=id
                    on:click=move |_| shown.update(|shown| *shown = !*shown)
                >
                    {move || app.get(if shown.get() { "safe-password-hide" } else { "safe-password-show" })}
                </button>
            </div>
            <p class="entry-error" id=error_id role="alert">
                {move || error.get().map(|message| app.say(&message))}
            </p>
        </div>
    }
}

/// On the start screen of a browser that the server does not know: the other way in.
#[component]
pub fn Enter() -> impl IntoView {
    let app = app();
    let value = RwSignal::new(String::new());
    let error = RwSignal::new(None::<Message>);
    let busy = RwSignal::new(false);
    let enter = move || {
        if busy.get_untracked() {
            return;
        }
        if value.with_untracked(String::is_empty) {
            error.set(Some(Message::new("safe-password-missing")));
            focus("password");
            return;
        }
        busy.set(true);
        spawn_local(async move {
            let body = serde_json::json!({"password": value.get_untracked()}).to_string();
            let answer = net::post("/api/v1/password/enter", &body).await;
            busy.set(false);
            if answer.as_ref().is_ok_and(|answer| answer.status < 300) {
                value.set(String::new());
                app.tell(Message::new("safe-password-in"), false, false);
                sync::trigger(app);
                return;
            }
            error.set(Some(refusal(&answer, None)));
            focus("password");
        });
    };
    // Where others could read along, the server takes none: then the field would only promise.
    if !web_sys::window().is_some_and(|window| window.is_secure_context()) {
        return view! { <p class="soft">{t("safe-password-needs-tls")}</p> }.into_any();
    }
    view! {
        <form
            class="stack"
            data-test="password-enter"
            on:submit=move |event| {
                event.prevent_default();
                enter();
            }
        >
            <Secret
                label="safe-password-enter-label"
                id="password"
                complete="current-password"
                value
                error
            />
            <button
                type="submit"
                class="btn"
                data-test="password-enter-do"
                aria-disabled=move || busy.get().to_string()
            >
                {move || app.get(if busy.get() { "safe-password-looking" } else { "safe-password-enter" })}
            </button>
        </form>
    }
    .into_any()
}

/// What a coach is about to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Doing {
    Nothing,
    Setting,
    TakingAway,
}

/// On the sheet with the devices: whether there is one, and the way to set, change or take it away.
#[component]
pub fn PasswordSection(
    /// Is told when other devices may have been signed out.
    #[prop(into)]
    changed: Callback<()>,
) -> impl IntoView {
    let app = app();
    let kept = RwSignal::new(None::<Kept>);
    let doing = RwSignal::new(Doing::Nothing);
    let value = RwSignal::new(String::new());
    let error = RwSignal::new(None::<Message>);
    let others = RwSignal::new(false);
    let busy = RwSignal::new(false);
    let look = move || {
        spawn_local(async move {
            if let Ok(answer) = net::get("/api/v1/password").await
                && answer.status == 200
            {
                kept.set(serde_json::from_str(&answer.text).ok());
            }
        });
    };
    look();
    let done = move |said: &'static str| {
        doing.set(Doing::Nothing);
        value.set(String::new());
        error.set(None);
        others.set(false);
        app.tell(Message::new(said), false, false);
        look();
        changed.run(());
    };
    let set = move || {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        spawn_local(async move {
            let new = value.get_untracked();
            let body = serde_json::json!({"password": new, "others": others.get_untracked()}).to_string();
            let answer = net::post("/api/v1/password", &body).await;
            busy.set(false);
            if answer.as_ref().is_ok_and(|answer| answer.status == 200) {
                done("safe-password-said-set");
            } else {
                error.set(Some(kept.with_untracked(|kept| refusal(&answer, kept.as_ref()))));
                focus("new-password");
            }
        });
    };
    let take_away = move || {
        spawn_local(async move {
            let answer = net::post("/api/v1/password/away", "{}").await;
            if answer.is_ok_and(|answer| answer.status < 300) {
                done("safe-password-said-away");
            } else {
                app.tell(Message::new("safe-password-no-answer"), false, true);
            }
        });
    };
    let is_set =
        Memo::new(move |_| kept.with(|kept| kept.as_ref().is_some_and(|kept| kept.set_ms.is_some())));
    let in_clear = Memo::new(move |_| kept.with(|kept| kept.as_ref().is_some_and(|kept| kept.in_clear)));
    let go = move |to: Doing| move |_: leptos::ev::MouseEvent| doing.set(to);
    let says = move || {
        let set_ms = kept.with(|kept| kept.as_ref().map(|kept| kept.set_ms));
        set_ms.map(|set_ms| match set_ms {
            None => app.get("safe-password-none"),
            Some(ms) => {
                let day = day_text(app, ms.div_euclid(86_400_000));
                app.say(&Message::new("safe-password-since").text("day", day))
            }
        })
    };
    let rest = move || {
        view! {
            {in_clear.get().then(|| view! { <p class="soft">{t("safe-password-not-here")}</p> })}
            <div class="row">
                {(!in_clear.get()).then(|| view! {
                    <button type="button" class="btn" data-test="password-set" on:click=go(Doing::Setting)>
                        {icon("edit")}
                        <span>{move || app.get(if is_set.get() {
                            "safe-password-change"
                        } else {
                            "safe-password-set"
                        })}</span>
                    </button>
                })}
                {is_set.get().then(|| view! {
                    <button
                        type="button"
                        class="btn"
                        data-test="password-away"
                        on:click=go(Doing::TakingAway)
                    >
                        {t("safe-password-away")}
                    </button>
                })}
            </div>
        }
    };
    let setting = move || {
        view! {
            <form
                class="stack"
                on:submit=move |event| {
                    event.prevent_default();
                    set();
                }
            >
                <p class="soft">{move || {
                    let least = kept.with(|kept| kept.as_ref().map_or(0, |kept| kept.signs_min));
                    app.say(&Message::new("safe-password-how").with("signs", Arg::Count(least)))
                }}</p>
                <Secret
                    label="safe-password-new"
                    id="new-password"
                    complete="new-password"
                    value
                    error
                />
                <div class="row">
                    <button
                        type="button"
                        class="choice"
                        data-test="password-others"
                        aria-pressed=move || others.get().to_string()
                        on:click=move |_| others.update(|others| *others = !*others)
                    >
                        {t("safe-password-others")}
                    </button>
                </div>
                <div class="row">
                    <button
                        type="submit"
                        class="btn go"
                        data-test="password-save"
                        aria-disabled=move || busy.get().to_string()
                    >
                        {t("app-save")}
                    </button>
                    <button type="button" class="btn" on:click=go(Doing::Nothing)>
                        {t("safe-password-cancel")}
                    </button>
                </div>
            </form>
        }
    };
    let taking_away = move || {
        view! {
            <p>{t("safe-password-away-what")}</p>
            <div class="row">
                <button type="button" class="btn" on:click=go(Doing::Nothing)>
                    {t("safe-password-keep")}
                </button>
                <button
                    type="button"
                    class="btn danger"
                    data-test="password-away-do"
                    on:click=move |_| take_away()
                >
                    {t("safe-password-away")}
                </button>
            </div>
        }
    };
    view! {
        <section class="stack" data-test="password-section">
            <h3>{t("safe-password-title")}</h3>
            <p data-test="password-state">{says}</p>
            {move || kept.with(Option::is_some).then(|| match doing.get() {
                Doing::Nothing => rest().into_any(),
                Doing::Setting => setting().into_any(),
                Doing::TakingAway => taking_away().into_any(),
            })}
        </section>
    }
}
