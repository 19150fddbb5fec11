//! Class: who is in it, what is known, and the ways to fill the list.

use jiff::civil::Date;
use lanewright_model::erasure::Target;
use lanewright_model::record::{Body, ClassBody, RunnerLabelBody};
use lanewright_model::school::RunnerView;
use lanewright_model::{Age, Arg, Message, Sex};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::erase::Erase;
use super::icons::icon;
use super::import::read_demo;
use super::parts::{Field, app, focus, t};
use super::shell::save_copy;
use crate::browser::app::{App, Screen, Sheet, new_id};
use crate::logic::entry::label_on_list;

/// The class list, or the ways to get one.
#[component]
pub fn ClassScreen() -> impl IntoView {
    let app = app();
    let is_there = Memo::new(move |_| app.class_id.with(|id| id.is_some()));
    move || if is_there.get() { view! { <List/> }.into_any() } else { view! { <Welcome/> }.into_any() }
}

/// The first screen of all: what this is, and three ways to begin.
#[component]
fn Welcome() -> impl IntoView {
    let app = app();
    view! {
        <section class="welcome" data-test="welcome">
            <h1>{t("app-welcome-title")}</h1>
            <p class="lead">{t("app-welcome-text")}</p>
            <div class="begin">
                <button
                    type="button"
                    class="big go"
                    data-test="begin-import"
                    on:click=move |_| app.sheet.set(Some(Sheet::Import))
                >
                    {icon("file")}
                    <span><b>{t("app-begin-import")}</b><small>{t("app-begin-import-hint")}</small></span>
                </button>
                <button
                    type="button"
                    class="big"
                    data-test="begin-type"
                    on:click=move |_| app.sheet.set(Some(Sheet::NewClass))
                >
                    {icon("edit")}
                    <span><b>{t("app-begin-type")}</b><small>{t("app-begin-type-hint")}</small></span>
                </button>
                <button type="button" class="big" data-test="begin-demo" on:click=move |_| read_demo(app)>
                    {icon("class")}
                    <span><b>{t("app-begin-demo")}</b><small>{t("app-begin-demo-hint")}</small></span>
                </button>
            </div>
            <p class="soft">{t("app-welcome-privacy")}</p>
        </section>
    }
}

#[component]
fn List() -> impl IntoView {
    let app = app();
    let rows = Memo::new(move |_| {
        let day = app.today.get();
        app.class.with(|class| {
            let runners = class.iter().flat_map(|class| &class.runners);
            runners
                .map(|view| (view.runner.id.0.clone(), view.runner.label.clone(), known(app, view, day)))
                .collect::<Vec<_>>()
        })
    });
    let counts = Memo::new(move |_| {
        app.class.with(|class| {
            let runners = || class.iter().flat_map(|class| &class.runners);
            (
                runners().count() as i64,
                runners().filter(|view| view.runner.stature_cm.is_some()).count() as i64,
                runners().filter(|view| !view.runner.steps.is_empty()).count() as i64,
            )
        })
    });
    view! {
        <div class="title-row">
            <h1 data-test="class-name">{move || app.class.with(|class| class.as_ref().map(|class| class.name.clone()))}</h1>
            <button
                type="button"
                class="btn quiet"
                data-test="rename-class"
                on:click=move |_| app.sheet.set(Some(Sheet::ClassName))
            >
                {icon("edit")}
                <span>{t("app-rename")}</span>
            </button>
        </div>
        <p class="lead" data-test="class-summary">{move || {
            let (all, sized, stepped) = counts.get();
            app.say(
                &Message::new("app-class-summary")
                    .with("count", Arg::Count(all))
                    .with("sized", Arg::Count(sized))
                    .with("stepped", Arg::Count(stepped)),
            )
        }}</p>
        <AddChild/>
        <div class="row tools">
            <button
                type="button"
                class="btn"
                data-test="import"
                on:click=move |_| app.sheet.set(Some(Sheet::Import))
            >
                {icon("file")}
                <span>{t("app-import")}</span>
            </button>
            <button
                type="button"
                class="btn"
                data-test="line-up"
                hidden=move || counts.get().0 < 3
                on:click=move |_| app.sheet.set(Some(Sheet::LineUp))
            >
                {icon("class")}
                <span>{t("app-line-up")}</span>
            </button>
            <button type="button" class="btn" data-test="copy-all" on:click=move |_| save_copy(app)>
                {icon("file")}
                <span>{t("data-save-copy-class")}</span>
            </button>
        </div>
        <ul class="children" data-test="children">
            <For each=move || rows.get() key=|row| row.clone() let:row>
                {
                    let (id, label, known) = row;
                    let open = id.clone();
                    view! {
                        <li>
                            <button
                                type="button"
                                class="child"
                                data-test="child"
                                data-id=id
                                on:click=move |_| app.sheet.set(Some(Sheet::Child(open.clone())))
                            >
                                <span class="child-text">
                                    <b class="name">{label}</b>
                                    <span class="known">{known}</span>
                                </span>
                                {icon("chevron")}
                            </button>
                        </li>
                    }
                }
            </For>
        </ul>
        {move || (counts.get().0 == 0).then(|| view! { <p class="notice note">{t("app-class-empty")}</p> })}
    }
}

/// What is known of a child, in a few plain words.
fn known(app: App, view: &RunnerView, day: Date) -> String {
    let runner = &view.runner;
    let mut parts = Vec::new();
    match runner.sex {
        Some(Sex::Female) => parts.push(app.get("app-known-girl")),
        Some(Sex::Male) => parts.push(app.get("app-known-boy")),
        None => {}
    }
    if let Some(age) = &runner.age {
        let years = whole_years(age, day);
        parts.push(app.say(&Message::new("app-known-age").with("years", Arg::Count(years))));
    }
    if let Some(stature_cm) = runner.stature_cm {
        parts.push(app.show_body(stature_cm));
    }
    if let Some(leg_cm) = runner.leg_length_cm {
        parts.push(app.say(&Message::new("app-known-leg").text("length", app.show_body(leg_cm))));
    }
    if !runner.steps.is_empty() {
        parts.push(app.get("app-known-steps"));
    }
    if parts.is_empty() { app.get("app-known-nothing") } else { parts.join(" · ") }
}

/// Whole years of age on a day.
pub fn whole_years(age: &Age, day: Date) -> i64 {
    match age {
        Age::Born(born) => {
            let years = i64::from(day.year() - born.year());
            let birthday_is_over = (day.month(), day.day()) >= (born.month(), born.day());
            years - i64::from(!birthday_is_over)
        }
        Age::Years { age_y, .. } => age_y.floor() as i64,
    }
}

/// One line to type names into; each Enter adds a child.
#[component]
fn AddChild() -> impl IntoView {
    let app = app();
    let name = RwSignal::new(String::new());
    let error = RwSignal::new(None);
    let add = move || {
        let labels = names_in(&name.get_untracked());
        if labels.is_empty() {
            error.set(Some(Message::new("app-add-nothing")));
            focus("new-child");
            return;
        }
        let Some((said, changes)) = add_changes(app, &labels) else { return };
        spawn_local(async move {
            if app.save_now(said, changes).await {
                name.set(String::new());
                focus("new-child");
            }
        });
    };
    view! {
        <form
            class="add-child"
            on:submit=move |event| {
                event.prevent_default();
                add();
            }
        >
            <Field label="app-add-label" hint="app-add-hint" id="new-child" value=name error/>
            <button type="submit" class="btn" data-test="add-child">
                {icon("add")}
                <span>{t("app-add")}</span>
            </button>
        </form>
    }
}

/// Splits what was typed into names: commas, semicolons or new lines between them.
pub fn names_in(text: &str) -> Vec<String> {
    text.split([',', ';', '\n'])
        .map(|name| name.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|name| !name.is_empty())
        .collect()
}

fn add_changes(app: App, labels: &[String]) -> Option<(Message, Vec<crate::logic::change::Change>)> {
    let class_id = app.class_id.get_untracked()?;
    let mut taken: Vec<String> = app.class.with_untracked(|class| {
        class.iter().flat_map(|class| &class.runners).map(|view| view.runner.label.clone()).collect()
    });
    let mut changes = Vec::new();
    for label in labels {
        let label = label_on_list(label, &taken.iter().map(String::as_str).collect::<Vec<_>>());
        taken.push(label.clone());
        let body = Body::RunnerLabel(RunnerLabelBody {
            class: class_id.clone(),
            label,
            order: taken.len() as u32,
            gone: false,
            unknown: Default::default(),
        });
        changes.push(app.change(&new_id(), &body)?);
    }
    let said = match labels {
        [_] => Message::new("app-said-added").text("name", taken.last()?.clone()),
        _ => Message::new("app-said-added-many").with("count", Arg::Count(labels.len() as i64)),
    };
    Some((said, changes))
}

fn class_body(name: String) -> Body {
    Body::Class(ClassBody { name, gone: false, unknown: Default::default() })
}

fn class_name_error(name: &str) -> Option<Message> {
    name.trim().is_empty().then(|| Message::new("app-class-name-missing"))
}

/// Makes a class, with names if they are at hand.
#[component]
pub fn NewClassSheet() -> impl IntoView {
    let app = app();
    let name = RwSignal::new(String::new());
    let names = RwSignal::new(String::new());
    let error = RwSignal::new(None);
    let save = move || {
        let name = name.get_untracked();
        if let Some(message) = class_name_error(&name) {
            error.set(Some(message));
            focus("new-class-name");
            return;
        }
        let id = new_id();
        let name = name.trim().to_owned();
        let Some(class) = app.change(&id, &class_body(name.clone())) else { return };
        let mut changes = vec![class];
        let mut taken: Vec<String> = Vec::new();
        for label in names_in(&names.get_untracked()) {
            let label = label_on_list(&label, &taken.iter().map(String::as_str).collect::<Vec<_>>());
            taken.push(label.clone());
            let order = taken.len() as u32;
            let body =
                RunnerLabelBody { class: id.clone(), label, order, gone: false, unknown: Default::default() };
            changes.extend(app.change(&new_id(), &Body::RunnerLabel(body)));
        }
        let said = Message::new("app-said-new-class").text("name", name);
        spawn_local(async move {
            if app.save_now(said, changes).await {
                app.choose_class(&id);
                app.go(Screen::Class);
            }
        });
    };
    view! {
        <form
            class="stack"
            on:submit=move |event| {
                event.prevent_default();
                save();
            }
        >
            <Field label="app-class-name" hint="app-class-name-hint" id="new-class-name" value=name error/>
            <div class="field">
                <label for="new-class-names">
                    <span class="label">{t("app-class-names")}</span>
                    <span class="hint">{t("app-class-names-hint")}</span>
                </label>
                <textarea
                    id="new-class-names"
                    data-test="new-class-names"
                    rows="8"
                    prop:value=move || names.get()
                    on:input=move |event| names.set(event_target_value(&event))
                ></textarea>
            </div>
            <button type="submit" class="btn go wide" data-test="save-class">{t("app-save-class")}</button>
        </form>
    }
}

/// Renames the class or takes it off.
#[component]
pub fn ClassNameSheet() -> impl IntoView {
    let app = app();
    let before = app.class.with_untracked(|class| class.as_ref().map(|class| class.name.clone()));
    let erases = app.class_id.get_untracked().zip(before.clone());
    let name = RwSignal::new(before.clone().unwrap_or_default());
    let error = RwSignal::new(None);
    let before_for_gone = before.clone().unwrap_or_default();
    let save = move || {
        let new_name = name.get_untracked().trim().to_owned();
        if let Some(message) = class_name_error(&new_name) {
            error.set(Some(message));
            focus("class-name-field");
            return;
        }
        app.sheet.set(None);
        if Some(&new_name) == before.as_ref() {
            return;
        }
        let Some(id) = app.class_id.get_untracked() else { return };
        let changes = app.change(&id, &class_body(new_name.clone())).into_iter().collect();
        app.save(Message::new("app-said-renamed").text("name", new_name), changes);
    };
    let take_off = move |_| {
        let Some(id) = app.class_id.get_untracked() else { return };
        let body =
            Body::Class(ClassBody { name: before_for_gone.clone(), gone: true, unknown: Default::default() });
        let changes = app.change(&id, &body).into_iter().collect();
        app.sheet.set(None);
        app.save(Message::new("app-said-class-gone").text("name", before_for_gone.clone()), changes);
    };
    view! {
        <form
            class="stack"
            on:submit=move |event| {
                event.prevent_default();
                save();
            }
        >
            <Field label="app-class-name" id="class-name-field" value=name error/>
            <button type="submit" class="btn go wide" data-test="save-name">{t("app-save")}</button>
            <hr/>
            <p class="soft">{t("app-class-gone-hint")}</p>
            <button type="button" class="btn" data-test="class-gone" on:click=take_off>
                {t("app-class-gone")}
            </button>
        </form>
        {erases.map(|(id, name)| view! {
            <hr/>
            <Erase target=Target::Class(id) name/>
        })}
    }
}

/// Chooses among the classes.
#[component]
pub fn ChooseClassSheet() -> impl IntoView {
    let app = app();
    let classes = move || {
        app.school.with(|school| {
            school
                .classes
                .iter()
                .map(|(id, class)| (id.clone(), class.name.clone(), class.runners.len() as i64))
                .collect::<Vec<_>>()
        })
    };
    view! {
        <ul class="picks">
            <For each=classes key=|row| row.clone() let:row>
                {
                    let (id, name, count) = row;
                    let mine = id.clone();
                    view! {
                        <li>
                            <button
                                type="button"
                                class="pick"
                                data-test="pick-class"
                                aria-pressed=move || (app.class_id.get().as_ref() == Some(&mine)).to_string()
                                on:click=move |_| {
                                    app.choose_class(&id);
                                    app.sheet.set(None);
                                }
                            >
                                <b>{name}</b>
                                <span class="soft">{move || {
                                    app.say(&Message::new("app-children").with("count", Arg::Count(count)))
                                }}</span>
                            </button>
                        </li>
                    }
                }
            </For>
        </ul>
        <div class="row" hidden=move || app.helps.get()>
            <button type="button" class="btn" data-test="new-class" on:click=move |_| app.sheet.set(Some(Sheet::NewClass))>
                {icon("add")}
                <span>{t("app-new-class")}</span>
            </button>
            <button type="button" class="btn" on:click=move |_| app.sheet.set(Some(Sheet::Import))>
                {icon("file")}
                <span>{t("app-import")}</span>
            </button>
        </div>
    }
}
