//! Reading in a class list: choose or paste, see what was understood, answer what is asked, save all or nothing.

use lanewright_model::import::{
    self, BadCell, ColumnUnderstood, Comparison, ImportError, Meaning, Options, Preview, Question, RowPreview,
};
use lanewright_model::record::{Body, RunnerAboutBody};
use lanewright_model::runner::{Runner, RunnerId, StrideObservation};
use lanewright_model::{Age, Arg, Message, Sex};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;

use super::icons::icon;
use super::parts::{Field, app, focus, notice, t};
use crate::browser::app::{App, Screen, new_id};
use crate::browser::now_ms;
use crate::logic::list::{self, Into};

/// The invented class that newcomers look around in.
const DEMO: &str = include_str!("../../../../../fixtures/demo/class.csv");

/// A file as it was chosen or pasted.
#[derive(Debug, Clone, PartialEq)]
struct Source {
    name: String,
    bytes: Vec<u8>,
    pasted: bool,
}

/// Reads in the invented class through the same path as every list.
pub fn read_demo(app: App) {
    let list = import::read(DEMO.as_bytes(), &Options::default()).and_then(|preview| {
        let digest = preview.sha256.clone();
        Ok((preview.accept()?, digest))
    });
    match list {
        Ok((runners, digest)) => {
            let name = app.get("app-demo-name");
            save_list(app, runners, digest, Target::New(name));
        }
        Err(error) => app.tell(error.message(), false, true),
    }
}

/// Where the list is saved.
#[derive(Debug, Clone, PartialEq)]
enum Target {
    New(String),
    Here(String, Comparison),
}

fn save_list(app: App, runners: Vec<Runner>, sha256: String, target: Target) {
    let about = |id: &RunnerId| match app.stored("runner-about", &id.0) {
        Some(Body::RunnerAbout(body)) => body,
        _ => RunnerAboutBody::default(),
    };
    let count =
        app.class.with_untracked(|class| class.as_ref().map_or(0, |class| class.runners.len() as u32));
    let into = match &target {
        Target::New(name) => Into::NewClass { name },
        Target::Here(id, comparison) => Into::Class { id, count, comparison },
    };
    let (class, facts) =
        list::facts(&runners, &into, &sha256, app.today.get_untracked(), now_ms(), new_id, about);
    let changes = facts.iter().filter_map(|(id, body)| app.change(id, body)).collect();
    let said = match &target {
        Target::New(name) => Message::new("app-said-import")
            .with("count", Arg::Count(runners.len() as i64))
            .text("class", name.clone()),
        Target::Here(..) => {
            let name = app.class.with_untracked(|class| class.as_ref().map(|class| class.name.clone()));
            Message::new("app-said-import-changes").text("class", name.unwrap_or_default())
        }
    };
    spawn_local(async move {
        if app.save_now(said, changes).await {
            app.choose_class(&class);
            app.go(Screen::Class);
        }
    });
}

/// The sheet.
#[component]
pub fn ImportSheet() -> impl IntoView {
    let app = app();
    let source: RwSignal<Option<Source>> = RwSignal::new(None);
    // It outlives what was made of it: what is wrong in it is changed in it.
    let pasted = RwSignal::new(String::new());
    // A day that is still to come is a mistake.
    let fresh = move || Options { today: Some(app.today.get_untracked()), ..Options::default() };
    let options = RwSignal::new(fresh());
    let preview: Memo<Option<Result<Preview, ImportError>>> = Memo::new(move |_| {
        source.with(|source| {
            source.as_ref().map(|source| options.with(|options| import::read(&source.bytes, options)))
        })
    });
    let take = move |taken: Source| {
        options.set(fresh());
        source.set(Some(taken));
    };
    move || {
        preview.with(|preview| match preview {
            None => view! { <Choose take pasted/> }.into_any(),
            Some(Err(error)) => view! {
                <div data-test="import-error">{notice("bad", error.message())}</div>
                <Choose take pasted/>
            }
            .into_any(),
            Some(Ok(preview)) => understood(app, preview, source, options),
        })
    }
}

/// Choosing a file or pasting a table.
#[component]
fn Choose(
    take: impl Fn(Source) + Copy + Send + Sync + 'static,
    /// What stands in the field for pasting.
    pasted: RwSignal<String>,
) -> impl IntoView {
    let error = RwSignal::new(None::<Message>);
    let choose = move |event: web_sys::Event| {
        let Some(input) =
            event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok())
        else {
            return;
        };
        let Some(file) = input.files().and_then(|files| files.get(0)) else { return };
        spawn_local(async move {
            let read = JsFuture::from(file.array_buffer()).await;
            match read {
                Ok(buffer) => {
                    take(Source {
                        name: list::class_name_from_file(&file.name()),
                        bytes: js_sys::Uint8Array::new(&buffer).to_vec(),
                        pasted: false,
                    });
                }
                Err(reason) => {
                    let reason = crate::browser::store::error_text(&reason);
                    error.set(Some(Message::new("app-import-unreadable").text("reason", reason)));
                }
            }
            // So that choosing the same file again, changed, is noticed.
            input.set_value("");
        });
    };
    let read_pasted = move |_| {
        let text = pasted.get_untracked();
        if text.trim().is_empty() {
            error.set(Some(Message::new("app-import-nothing")));
            focus("import-paste");
            return;
        }
        take(Source { name: String::new(), bytes: text.into_bytes(), pasted: true });
    };
    view! {
        <div class="stack">
            <p>{t("app-import-how")}</p>
            <label class="btn go wide file-button">
                {icon("file")}
                <span>{t("app-import-file")}</span>
                <input
                    type="file"
                    data-test="import-file"
                    accept=".csv,.tsv,.txt,text/csv,text/plain,text/tab-separated-values"
                    on:change=choose
                />
            </label>
            <div class="field">
                <label for="import-paste">
                    <span class="label">{t("app-import-paste")}</span>
                    <span class="hint">{t("app-import-paste-hint")}</span>
                </label>
                <textarea
                    id="import-paste"
                    data-test="import-paste"
                    rows="6"
                    spellcheck="false"
                    prop:value=move || pasted.get()
                    on:input=move |event| {
                        error.set(None);
                        pasted.set(event_target_value(&event));
                    }
                ></textarea>
            </div>
            {move || error.get().map(|message| notice("bad", message))}
            <button type="button" class="btn wide" data-test="import-paste-go" on:click=read_pasted>
                {t("app-import-paste-go")}
            </button>
        </div>
    }
}

/// What was understood: questions first, then what is wrong, then where it goes.
fn understood(
    app: App,
    preview: &Preview,
    source: RwSignal<Option<Source>>,
    options: RwSignal<Options>,
) -> AnyView {
    let pasted = source.with_untracked(|source| source.as_ref().is_some_and(|source| source.pasted));
    let found = Message::new("app-import-found").with("count", Arg::Count(preview.rows.len() as i64));
    let questions =
        preview.questions.iter().cloned().map(|question| ask(app, question, options)).collect_view();
    let question_count = preview.questions.len();
    let understood = preview
        .understood()
        .into_iter()
        .map(|message| view! { <li>{move || app.say(&message)}</li> })
        .collect_view();
    let warnings = preview.warnings.iter().cloned().map(|message| notice("warn", message)).collect_view();
    let columns = preview.header.iter().map(|column| column_row(app, column, options)).collect_view();
    view! {
        <p class="lead" data-test="import-found"><b>{move || app.say(&found)}</b></p>
        {(question_count > 0).then(|| view! {
            <section class="stack" data-test="import-questions">
                <h3>{move || app.say(&Message::new("app-import-question").with("count", Arg::Count(question_count as i64)))}</h3>
                {questions}
            </section>
        })}
        {wrong(app, preview, pasted)}
        {warnings}
        {preview.is_acceptable().then(|| view! { <SaveInto preview=preview.clone() source/> })}
        <section class="stack">
            <h3>{t("app-import-rows")}</h3>
            {rows_table(app, &preview.rows)}
        </section>
        <details>
            <summary>{t("app-import-columns")}</summary>
            <div class="stack">
                <ul class="plain">{understood}</ul>
                <ul class="import-grid" data-test="import-columns">{columns}</ul>
            </div>
        </details>
        <button type="button" class="btn" data-test="import-again" on:click=move |_| source.set(None)>
            {icon("undo")}
            <span>{t(if pasted { "app-import-change" } else { "app-import-again" })}</span>
        </button>
    }
    .into_any()
}

fn ask(app: App, question: Question, options: RwSignal<Options>) -> AnyView {
    let message = question.message.clone();
    let answers = question
        .answers
        .into_iter()
        .enumerate()
        .map(|(place, answer)| {
            view! {
                <button
                    type="button"
                    class="btn"
                    data-test=format!("answer-{place}")
                    on:click=move |_| options.update(|options| {
                        for choice in &answer.choices {
                            options.choose(choice);
                        }
                    })
                >
                    {app.say(&answer.message)}
                </button>
            }
        })
        .collect_view();
    view! {
        <div class="notice note block" data-test="import-question">
            <p>{move || app.say(&message)}</p>
            <div class="row">{answers}</div>
        </div>
    }
    .into_any()
}

fn wrong(app: App, preview: &Preview, pasted: bool) -> AnyView {
    if preview.bad_count == 0 {
        return ().into_any();
    }
    let count = preview.bad_count;
    let listed = preview.bad.len();
    let cells = preview
        .bad
        .iter()
        .map(BadCell::message)
        .map(|message| view! { <li data-test="bad-cell">{move || app.say(&message)}</li> })
        .collect_view();
    view! {
        <section class="notice bad block" data-test="import-bad">
            <p>
                {icon("warning")}
                <b>{move || app.say(&Message::new("app-import-bad").with("count", Arg::Count(count as i64)))}</b>
            </p>
            <p>{t(if pasted { "app-import-bad-how-text" } else { "app-import-bad-how" })}</p>
            <ul class="plain">{cells}</ul>
            {(count > listed).then(|| view! {
                <p>{move || app.say(&Message::new("app-import-more-bad").with("count", Arg::Count((count - listed) as i64)))}</p>
            })}
        </section>
    }
    .into_any()
}

fn column_row(app: App, column: &ColumnUnderstood, options: RwSignal<Options>) -> AnyView {
    let message = column.message();
    let index = column.index;
    let id = format!("column-{index}");
    let label = column.name();
    let meaning = column.meaning;
    // What is kept out on purpose is not offered for reading.
    let select = (meaning != Meaning::NotReadIn).then(|| {
        let choices = Meaning::ALL
            .into_iter()
            .map(|choice| {
                view! {
                    <option value=choice.word_id() selected=choice == meaning>{app.get(choice.word_id())}</option>
                }
            })
            .collect_view();
        view! {
            <label class="sr" for=id.clone()>{app.say(&label)}</label>
            <select
                id=id.clone()
                data-test=id.clone()
                on:change=move |event| {
                    let chosen = event_target_value(&event);
                    if let Some(meaning) = Meaning::ALL.into_iter().find(|meaning| meaning.word_id() == chosen) {
                        options.update(|options| { options.columns.insert(index, meaning); });
                    }
                }
            >
                {choices}
            </select>
        }
    });
    view! { <li class="stack"><span>{move || app.say(&message)}</span>{select}</li> }.into_any()
}

/// The children as they would be saved.
fn rows_table(app: App, rows: &[RowPreview]) -> AnyView {
    let day = app.today.get_untracked();
    let rows = rows
        .iter()
        .map(|row| {
            let runner = &row.runner;
            let sex = runner.sex.map(|sex| app.get(if sex == Sex::Female { "app-known-girl" } else { "app-known-boy" }));
            let age = runner.age.as_ref().map(|age| match age {
                Age::Born(date) => app.full_day(*date),
                years => super::class::whole_years(years, day).to_string(),
            });
            let step = runner.steps.iter().find_map(|step| match step {
                StrideObservation::StepLength { step_length_m } => Some(app.show(Arg::GapM(*step_length_m))),
                _ => None,
            });
            let notes: Vec<String> = row.notes.iter().map(|note| app.say(note)).collect();
            view! {
                <tr data-test="import-row">
                    <th scope="row">
                        {runner.label.clone()}
                        {(!notes.is_empty()).then(|| view! { <span class="fit-word">{notes.join(" ")}</span> })}
                    </th>
                    <td>{sex}</td>
                    <td>{age}</td>
                    <td class="number">{runner.stature_cm.map(|stature_cm| untrack(|| app.show_body(stature_cm)))}</td>
                    <td class="number">{runner.leg_length_cm.map(|leg_cm| untrack(|| app.show_body(leg_cm)))}</td>
                    <td class="number">{step}</td>
                </tr>
            }
        })
        .collect_view();
    view! {
        <div class="table-scroll" tabindex="0" role="region" aria-label=t("app-import-rows")>
            <table class="data">
                <thead>
                    <tr>
                        <th scope="col">{t("app-child-label")}</th>
                        <th scope="col">{t("app-import-col-sex")}</th>
                        <th scope="col">{t("app-import-col-age")}</th>
                        <th scope="col">{t("app-child-stature")}</th>
                        <th scope="col">{t("app-import-col-leg")}</th>
                        <th scope="col">{t("app-import-col-step")}</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
    .into_any()
}

/// A new class or the one that is shown; what is there already is said.
#[component]
fn SaveInto(preview: Preview, source: RwSignal<Option<Source>>) -> impl IntoView {
    let app = app();
    let digest = preview.sha256.clone();
    let Ok(runners) = preview.accept() else { return ().into_any() };
    let count = runners.len() as i64;
    let here = untrack(|| {
        app.class.with(|class| {
            let class = class.as_ref()?;
            let existing: Vec<Runner> = class.runners.iter().map(|view| view.runner.clone()).collect();
            let comparison = import::compare(&existing, &runners);
            let twice = class.imports.iter().any(|(_, import)| import.sha256 == digest);
            Some((app.class_id.get()?, class.name.clone(), comparison, twice, existing.is_empty()))
        })
    });
    // Whoever reads in a list of known names wants to add to their class; an empty class is waiting for its list.
    let fits_here =
        here.as_ref().is_some_and(|(_, _, comparison, _, empty)| *empty || comparison.known_count() > 0);
    let into_here = RwSignal::new(fits_here);
    let name = RwSignal::new(
        source.with_untracked(|source| source.as_ref().map(|source| source.name.clone()).unwrap_or_default()),
    );
    let error = RwSignal::new(None);
    let here = StoredValue::new(here);
    let runners = StoredValue::new(runners);
    let digest = StoredValue::new(digest);
    let nothing_new = move || {
        into_here.get()
            && here.with_value(|here| {
                here.as_ref().is_some_and(|(_, _, comparison, ..)| {
                    comparison.new.is_empty() && comparison.changed.is_empty()
                })
            })
    };
    let save = move |_| {
        let target = if into_here.get_untracked() {
            match here.get_value() {
                Some((id, _, comparison, ..)) => Target::Here(id, comparison),
                None => return,
            }
        } else {
            let name = name.get_untracked().trim().to_owned();
            if name.is_empty() {
                error.set(Some(Message::new("app-class-name-missing")));
                focus("import-class-name");
                return;
            }
            Target::New(name)
        };
        save_list(app, runners.get_value(), digest.get_value(), target);
    };
    let choice = here.with_value(|here| {
        here.as_ref().map(|(_, class, ..)| {
            let class = class.clone();
            view! {
                <fieldset class="choices">
                    <legend class="label">{t("app-import-into")}</legend>
                    <div class="choice-row">
                        <button
                            type="button"
                            class="choice"
                            data-test="import-into-here"
                            aria-pressed=move || into_here.get().to_string()
                            on:click=move |_| into_here.set(true)
                        >
                            {class}
                        </button>
                        <button
                            type="button"
                            class="choice"
                            data-test="import-into-new"
                            aria-pressed=move || (!into_here.get()).to_string()
                            on:click=move |_| into_here.set(false)
                        >
                            {t("app-import-into-new")}
                        </button>
                    </div>
                </fieldset>
            }
        })
    });
    view! {
        <section class="card stack" data-test="import-save-into">
            {choice}
            {move || into_here.get().then(|| here.with_value(|here| here.as_ref().map(|found| {
                let (_, class, comparison, twice, empty) = found;
                let twice = twice.then(|| {
                    notice("warn", Message::new("app-import-twice").text("class", class.clone()))
                });
                let compared = (!empty).then(|| notice("note", comparison.message()));
                let missing = comparison.not_in_list.len();
                let missing = (missing > 0 && !empty).then(|| {
                    let message = Message::new("app-import-missing-of")
                        .with("count", Arg::Count(missing as i64))
                        .text("class", class.clone());
                    view! { <p class="soft">{move || app.say(&message)}</p> }
                });
                view! { {twice}{compared}{missing} }
            })))}
            {move || (!into_here.get()).then(|| view! {
                <Field label="app-import-name" hint="app-class-name-hint" id="import-class-name" value=name error/>
            })}
            <button
                type="button"
                class="btn go wide"
                data-test="import-save"
                disabled=nothing_new
                on:click=save
            >
                {move || {
                    let known = here.with_value(|here| {
                        here.as_ref().is_some_and(|(_, _, comparison, ..)| comparison.known_count() > 0)
                    });
                    if nothing_new() {
                        app.get("app-import-nothing-new")
                    } else if into_here.get() && known {
                        app.get("app-import-save-changes")
                    } else {
                        app.say(&Message::new("app-import-save").with("count", Arg::Count(count)))
                    }
                }}
            </button>
        </section>
    }
    .into_any()
}
