//! Parts that several screens share.

use lanewright_model::Message;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use crate::browser::app::App;
use crate::logic::entry::EntryError;

/// Returns the state.
pub fn app() -> App {
    expect_context::<App>()
}

/// Returns the words of an id, following the language and the units.
pub fn t(id: &'static str) -> impl Fn() -> String + Copy + Send + Sync + 'static {
    let app = app();
    move || app.get(id)
}

/// Returns the text in the input or select that an event comes from.
pub fn value_of(event: &web_sys::Event) -> String {
    event_target_value(event)
}

/// An entry field with its label, its unit and, when needed, what to change about the entry.
#[component]
pub fn Field(
    /// Words of the label.
    label: &'static str,
    /// Words beside the label: unit or "not needed".
    #[prop(optional)]
    hint: Option<&'static str>,
    /// Id of the field, and its test attribute.
    id: &'static str,
    /// What stands in it.
    value: RwSignal<String>,
    /// What is wrong with it.
    error: RwSignal<Option<EntryError>>,
    /// Keyboard on phones: `text`, `decimal`, `numeric`.
    #[prop(default = "text")]
    mode: &'static str,
    /// `text` or `date`.
    #[prop(default = "text")]
    kind: &'static str,
) -> impl IntoView {
    let app = app();
    let error_id = format!("{id}-error");
    let described = error_id.clone();
    view! {
        <div class="field">
            <label for=id>
                <span class="label">{t(label)}</span>
                {hint.map(|hint| view! { <span class="hint">{t(hint)}</span> })}
            </label>
            <input
                id=id
                data-test=id
                type=kind
                inputmode=mode
                autocomplete="off"
                prop:value=move || value.get()
                on:input=move |event| {
                    value.set(value_of(&event));
                    error.set(None);
                }
                aria-invalid=move || error.with(|error| error.is_some()).to_string()
                aria-describedby=described
            />
            <p class="entry-error" id=error_id role="alert">
                {move || error.get().map(|message| app.say(&message))}
            </p>
        </div>
    }
}

/// One choice out of a few, as buttons side by side.
#[component]
pub fn Choice<T: Clone + PartialEq + Send + Sync + 'static>(
    /// Words of the label.
    label: &'static str,
    /// Test attribute; each button adds `-` and its own name.
    test: &'static str,
    /// Value, words, name.
    options: Vec<(T, &'static str, &'static str)>,
    /// What is chosen.
    #[prop(into)]
    chosen: Signal<T>,
    /// Is told what was tapped.
    #[prop(into)]
    choose: Callback<T>,
) -> impl IntoView {
    let buttons = options
        .into_iter()
        .map(|(value, words, name)| {
            let mine = value.clone();
            view! {
                <button
                    type="button"
                    class="choice"
                    data-test=format!("{test}-{name}")
                    aria-pressed=move || (chosen.get() == mine).to_string()
                    on:click=move |_| choose.run(value.clone())
                >
                    {t(words)}
                </button>
            }
        })
        .collect_view();
    view! { <Choices label>{buttons}</Choices> }
}

/// Buttons side by side, with what they choose among.
#[component]
pub fn Choices(
    /// Words of the label.
    label: &'static str,
    children: Children,
) -> impl IntoView {
    view! {
        <fieldset class="choices">
            <legend class="label">{t(label)}</legend>
            <div class="choice-row">{children()}</div>
        </fieldset>
    }
}

/// A sentence with a shape of its own: `warn`, `note`, `good` or `bad`.
pub fn notice(kind: &'static str, message: Message) -> AnyView {
    let app = app();
    let icon = super::icons::icon(match kind {
        "good" => "confirmed",
        "note" => "note",
        _ => "warning",
    });
    view! {
        <p class=format!("notice {kind}")>
            {icon}
            <span>{move || app.say(&message)}</span>
        </p>
    }
    .into_any()
}

/// Moves the keyboard focus to an element.
pub fn focus(id: &str) {
    let element = web_sys::window()
        .and_then(|window| window.document())
        .and_then(|document| document.get_element_by_id(id))
        .and_then(|element| element.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(element) = element {
        let _ = element.focus();
    }
}
