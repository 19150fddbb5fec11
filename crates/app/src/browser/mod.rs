//! Everything that needs a browser: saving, sending, screens.

mod app;
mod beside;
mod learner;
mod listener;
mod net;
mod planner;
mod recorder;
mod recordings;
mod signals;
mod steady;
mod store;
mod sync;
mod ui;
mod worker;

use leptos::prelude::*;
use wasm_bindgen::prelude::*;

use crate::logic::lanes_json::Ask;

/// Starts the app in the page.
#[wasm_bindgen(start)]
pub fn start() {
    console_error_panic_hook::set_once();
    let Some(document) = web_sys::window().and_then(|window| window.document()) else { return };
    if let Some(waiting) = document.get_element_by_id("waiting") {
        waiting.remove();
    }
    mount_to_body(ui::Shell);
}

/// Returns the JSON of `lanewright lanes --json` for a class list; the page does not use it, tests compare digits.
///
/// Arguments are those of the command; `drills` has commas, `space_m` is empty or length and width of a hall.
///
/// # Errors
/// The sentence that says what is wrong with the input.
#[wasm_bindgen]
#[allow(clippy::too_many_arguments)]
pub fn lanes_json(
    class_csv: &str,
    drills: &str,
    hurdles: u32,
    space_m: &[f64],
    effort: Option<f64>,
    exit_sprint_m: f64,
    lanes_max: Option<u32>,
    on: &str,
) -> Result<String, JsValue> {
    let space_m = match space_m {
        [length_m, width_m] => Some((*length_m, *width_m)),
        _ => None,
    };
    let ask = Ask { class_csv, drills, hurdles, space_m, effort, exit_sprint_m, lanes_max, on };
    crate::logic::lanes_json::lanes_json(&ask).map_err(|said| JsValue::from_str(&said))
}

/// Answers what the page asks of its planner, in the worker; every answer is text.
///
/// # Errors
/// The question cannot be read: page and worker are of different versions.
#[wasm_bindgen]
pub fn plan_beside(asked: &str, tell: &js_sys::Function) -> Result<(), JsValue> {
    let asked: crate::logic::beside::Question =
        serde_json::from_str(asked).map_err(|error| JsValue::from_str(&error.to_string()))?;
    asked.answer(&app::LADDER, &mut |told| {
        if let Ok(text) = serde_json::to_string(&told) {
            let _ = tell.call1(&JsValue::NULL, &JsValue::from_str(&text));
        }
    });
    Ok(())
}

/// Listens to a take, in the worker; question and answer are text.
///
/// # Errors
/// The question cannot be read: page and worker are of different versions.
#[wasm_bindgen]
pub fn listen_beside(samples: &[f32], rate_hz: u32, asked: &str) -> Result<String, JsValue> {
    crate::logic::sound::answer(samples, rate_hz, asked).map_err(|said| JsValue::from_str(&said))
}

/// Milliseconds since 1970 by this device's clock.
fn now_ms() -> u64 {
    js_sys::Date::now() as u64
}

/// The day by this device's clock, where the device is.
fn today() -> jiff::civil::Date {
    let now = js_sys::Date::new_0();
    jiff::civil::Date::new(now.get_full_year() as i16, now.get_month() as i8 + 1, now.get_date() as i8)
        .unwrap_or(jiff::civil::date(2026, 1, 1))
}

/// Calls back on every event of that name at the window, for as long as the page lives.
fn on_window(name: &str, callback: impl FnMut(web_sys::Event) + 'static) {
    if let Some(window) = web_sys::window() {
        listen(&window, name, callback);
    }
}

/// Calls back on every event of that name at the document, for as long as the page lives.
fn on_document(name: &str, callback: impl FnMut(web_sys::Event) + 'static) {
    if let Some(document) = web_sys::window().and_then(|window| window.document()) {
        listen(&document, name, callback);
    }
}

fn listen(target: &web_sys::EventTarget, name: &str, callback: impl FnMut(web_sys::Event) + 'static) {
    let closure = Closure::<dyn FnMut(web_sys::Event)>::new(callback);
    // It fails only for a name that is no text.
    let _ = target.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref());
    closure.forget();
}

/// Reads a preference of this browser.
fn preference(name: &str) -> Option<String> {
    web_sys::window()?.local_storage().ok()??.get_item(name).ok()?
}

/// Returns the first language in the browser's own order for which there are words.
fn language_of_browser() -> Option<lanewright_model::words::Language> {
    let languages = web_sys::window()?.navigator().languages();
    languages
        .iter()
        .filter_map(|tag| tag.as_string())
        .find_map(|tag| lanewright_model::words::Language::from_tag(&tag))
}

/// Keeps a preference of this browser. Without storage the choice holds for this visit only.
fn keep_preference(name: &str, value: &str) {
    if let Some(Ok(Some(storage))) = web_sys::window().map(|window| window.local_storage()) {
        let _ = storage.set_item(name, value);
    }
}

/// A class in memory for measuring what one more run costs; the page does not use it, `cargo xtask bench` does.
#[wasm_bindgen]
pub struct OneMoreRun(crate::logic::kept::OneMoreRun);

#[wasm_bindgen]
impl OneMoreRun {
    /// Invents the class and learns what is typical of it.
    #[wasm_bindgen(constructor)]
    #[allow(clippy::new_without_default)]
    pub fn new() -> Self {
        Self(crate::logic::kept::OneMoreRun::new())
    }

    /// Takes in one more run of a child; returns a number that depends on everything that was computed.
    pub fn take(&mut self, child: usize) -> f64 {
        self.0.take(child)
    }
}
