//! Before the first run: floor and shoes, heat, thunder. Nothing of it is saved but when it thundered last.

use jiff::Timestamp;
use lanewright_model::kit::Surface;
use lanewright_model::words::Units;
use lanewright_model::{Arg, Message};
use lanewright_science::weather::{
    Guidance, LightningRule, Sky, Thunder, Wbgt, WeatherError, checklist, ends_running, heat_advice,
    heat_index_f, heat_index_note, lightning, lightning_note, limits_running, wbgt_estimate,
};
use leptos::leptos_dom::helpers::set_interval_with_handle;
use leptos::prelude::*;
use std::time::Duration;

use super::parts::{Field, app, notice, t};
use crate::browser::{keep_preference, now_ms, preference};
use crate::logic::entry::{EntryError, number};

/// Where the moment of the last thunder lies in the browser's storage, in milliseconds since 1970.
const THUNDER: &str = "lanewright-thunder-ms";
/// How often the minutes until the field is open again are counted anew.
const LOOK_EVERY: Duration = Duration::from_secs(10);

fn moment(ms: u64) -> Timestamp {
    Timestamp::from_millisecond(ms as i64).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// What to look at before children run.
#[component]
pub fn Conditions() -> impl IntoView {
    let app = app();
    let surface = Memo::new(move |_| app.space().map_or(Surface::Hall, |space| space.surface));
    let list = move || {
        let surface = surface.get();
        checklist(surface, surface != Surface::Hall)
            .into_iter()
            .map(|item| view! { <li>{move || app.say(&item)}</li> })
            .collect_view()
    };
    view! {
        <details data-test="conditions">
            <summary><h2>{t("app-conditions-title")}</h2></summary>
            <div class="stack">
                <ul class="plain" data-test="checklist">{list}</ul>
                <Thunderstorm/>
                <Heat/>
            </div>
        </details>
    }
}

#[component]
fn Thunderstorm() -> impl IntoView {
    let heard = RwSignal::new(preference(THUNDER).and_then(|ms| ms.parse::<u64>().ok()));
    let now = RwSignal::new(now_ms());
    if let Ok(handle) = set_interval_with_handle(move || now.set(now_ms()), LOOK_EVERY) {
        on_cleanup(move || handle.clear());
    }
    let sky = Memo::new(move |_| {
        let all: Vec<Thunder> =
            heard.get().map(|ms| Thunder { at: moment(ms), flash_to_bang_s: None }).into_iter().collect();
        lightning(&all, moment(now.get()), LightningRule::AnyThunder)
    });
    let keep = move |ms: Option<u64>| {
        keep_preference(THUNDER, &ms.map(|ms| ms.to_string()).unwrap_or_default());
        heard.set(ms);
        now.set(now_ms());
    };
    view! {
        <div class="stack" data-test="thunder-state">
            {move || {
                let sky = sky.get();
                notice(if sky == Sky::Open { "note" } else { "bad" }, lightning_note(sky, moment(now.get())))
            }}
            <div class="choice-row">
                <button type="button" class="btn" data-test="thunder" on:click=move |_| keep(Some(now_ms()))>
                    {t("app-thunder-now")}
                </button>
                {move || {
                    (sky.get() != Sky::Open).then(|| view! {
                        <button type="button" class="btn small" data-test="no-thunder" on:click=move |_| keep(None)>
                            {t("app-thunder-mistake")}
                        </button>
                    })
                }}
            </div>
        </div>
    }
}

/// Which tone a sentence on the heat has.
fn tone(said: &Message) -> &'static str {
    if ends_running(said) {
        "bad"
    } else if limits_running(said) {
        "warn"
    } else {
        "note"
    }
}

/// What two typed numbers come to: sentences, or what is wrong with which of them.
fn heat(air_c: f64, humidity_pct: f64) -> Result<Vec<Message>, WeatherError> {
    let index_f = heat_index_f(air_c * 1.8 + 32.0, humidity_pct)?;
    let advice = heat_advice(&wbgt_estimate(air_c, humidity_pct)?, &Guidance::default())?;
    let mut said = advice.say;
    said.push(heat_index_note(index_f));
    Ok(said)
}

/// What a meter's value comes to.
fn measured_heat(wbgt_c: f64) -> Result<Vec<Message>, WeatherError> {
    Ok(heat_advice(&Wbgt::Measured(wbgt_c), &Guidance::default())?.say)
}

#[component]
fn Heat() -> impl IntoView {
    let app = app();
    let (meter, meter_error) = (RwSignal::new(String::new()), RwSignal::new(None::<EntryError>));
    let (air, humidity) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (air_error, humidity_error) = (RwSignal::new(None::<EntryError>), RwSignal::new(None::<EntryError>));
    let fahrenheit = move || app.units.get() == Units::FeetInches;
    let answer = move || {
        let to_c = |degrees: f64| if fahrenheit() { (degrees - 32.0) / 1.8 } else { degrees };
        let said = |result: Result<Vec<Message>, WeatherError>| match result {
            Ok(said) => {
                said.into_iter().map(|message| notice(tone(&message), message)).collect_view().into_any()
            }
            Err(error) => notice(
                "warn",
                Message::new("app-heat-range")
                    .with("provided", Arg::Number(error.provided))
                    .text("allowed", error.allowed),
            ),
        };
        let (air_text, humidity_text, meter_text) = (air.get(), humidity.get(), meter.get());
        // Measured beats estimated.
        if !meter_text.trim().is_empty() {
            return match number(&meter_text) {
                Ok(wbgt) => said(measured_heat(to_c(wbgt))),
                Err(_) => notice("warn", Message::new("app-heat-numbers")),
            };
        }
        if air_text.trim().is_empty() || humidity_text.trim().is_empty() {
            return ().into_any();
        }
        let (Ok(air), Ok(humidity)) = (number(&air_text), number(&humidity_text)) else {
            return notice("warn", Message::new("app-heat-numbers"));
        };
        said(heat(to_c(air), humidity))
    };
    view! {
        <div class="pair">
            {move || {
                let hint = if fahrenheit() { "app-hint-fahrenheit" } else { "app-hint-celsius" };
                view! { <Field label="app-heat-air" hint=hint id="heat-air" value=air error=air_error mode="decimal"/> }
            }}
            <Field
                label="app-heat-humidity"
                hint="app-hint-percent"
                id="heat-humidity"
                value=humidity
                error=humidity_error
                mode="decimal"
            />
        </div>
        {move || {
            let hint = if fahrenheit() { "app-hint-fahrenheit" } else { "app-hint-celsius" };
            view! { <Field label="app-heat-wbgt" hint=hint id="heat-wbgt" value=meter error=meter_error mode="decimal"/> }
        }}
        <div class="stack" data-test="heat">{answer}</div>
    }
}
