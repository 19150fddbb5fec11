//! Sending what waits and fetching what is new: on opening, when the network or the page comes back, after each
//! save, and on a timer: slow alone, every few seconds beside other devices. Failing is normal and loses nothing.

use std::cell::Cell;

use lanewright_sync::message::PULL_RECORDS_MAX;
use lanewright_sync::{PullAnswer, PushAnswer};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, future_to_promise};

use super::app::{App, Screen};
use super::net::{self, NoAnswer};
use super::{on_document, on_window, steady};
use crate::logic::devices::{Me, Standing, me_path};
use crate::logic::pace::Pace;
use crate::logic::replica::next_push;

/// Between two looks whether it is time to ask, in milliseconds: no longer than the shortest pace.
const BEAT_MS: u64 = 2_500;
/// Only one tab sends at a time.
const LOCK: &str = "lanewright-sync";

/// How the server answered last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Contact {
    /// Not asked yet.
    #[default]
    Unknown,
    /// It answers and knows us.
    Open,
    /// It does not answer.
    NoAnswer,
    /// It answers, but this browser has no session.
    Stranger,
    /// This device holds another school's list.
    OtherSchool,
    /// It answers something that we do not understand: app and server are of different versions.
    OtherVersion,
}

thread_local! {
    static RUNNING: Cell<bool> = const { Cell::new(false) };
    static AGAIN: Cell<bool> = const { Cell::new(false) };
    static FAILED: Cell<u32> = const { Cell::new(0) };
    /// When the server was asked last, by the steady clock.
    static ASKED_MS: Cell<f64> = const { Cell::new(0.0) };
}

/// Starts listening to everything that may make a try worthwhile, and tries at once.
pub fn start(app: App) {
    on_window("online", move |_| trigger(app));
    on_document("visibilitychange", move |_| {
        app.look_at_the_day();
        if is_seen() {
            trigger(app);
        }
    });
    beat(app);
    trigger(app);
}

fn is_seen() -> bool {
    web_sys::window().and_then(|window| window.document()).is_some_and(|document| !document.hidden())
}

fn pace(app: App) -> Pace {
    Pace {
        waiting: app.waiting_count() > 0,
        together: app.standing.with_untracked(Standing::is_with_others),
        at_the_lane: app.screen.get_untracked() == Screen::Trackside,
        seen: is_seen(),
        failed: FAILED.get(),
    }
}

/// Looks again and again whether it is time: a helper may come in, or the screen change, at any moment.
fn beat(app: App) {
    let next = move || {
        app.look_at_the_day();
        // Timers come a little early or late.
        let since_ms = steady::now_ms() - ASKED_MS.get() + BEAT_MS as f64 / 2.0;
        if since_ms >= pace(app).every_ms() as f64 {
            trigger(app);
        }
        beat(app);
    };
    set_timeout(next, std::time::Duration::from_millis(BEAT_MS));
}

/// Sends and fetches now; while that is going on, once more afterwards.
pub fn trigger(app: App) {
    if RUNNING.replace(true) {
        AGAIN.set(true);
        return;
    }
    spawn_local(async move {
        loop {
            AGAIN.set(false);
            ASKED_MS.set(steady::now_ms());
            app.sending.set(true);
            let contact = with_lock(app).await;
            app.sending.set(false);
            if let Some(contact) = contact {
                FAILED.set(if contact == Contact::Open { 0 } else { FAILED.get().saturating_add(1) });
                app.contact.set(contact);
            }
            if !AGAIN.get() {
                break;
            }
        }
        RUNNING.set(false);
    });
}

/// Runs one exchange while holding the lock, where the browser has locks. `None`: another tab is at it.
async fn with_lock(app: App) -> Option<Contact> {
    let navigator = web_sys::window()?.navigator();
    let locks = js_sys::Reflect::get(&navigator, &"locks".into()).unwrap_or(JsValue::UNDEFINED);
    // Only pages from a secure address have locks; without them two tabs may send the same, which changes nothing.
    let request = js_sys::Reflect::get(&locks, &"request".into());
    let Some(request) = request.ok().and_then(|request| request.dyn_into::<js_sys::Function>().ok()) else {
        return Some(exchange(app).await);
    };
    let result = std::rc::Rc::new(Cell::new(None));
    let inner = result.clone();
    let callback = Closure::once_into_js(move |lock: JsValue| -> js_sys::Promise {
        future_to_promise(async move {
            if !lock.is_null() {
                inner.set(Some(exchange(app).await));
            }
            Ok(JsValue::UNDEFINED)
        })
    });
    let options = js_sys::Object::new();
    js_sys::Reflect::set(&options, &"ifAvailable".into(), &JsValue::TRUE).ok()?;
    let asked = request.call3(&locks, &JsValue::from_str(LOCK), &options, &callback).ok()?;
    let _ = JsFuture::from(js_sys::Promise::from(asked)).await;
    result.get()
}

async fn exchange(app: App) -> Contact {
    match try_exchange(app).await {
        Ok(contact) => contact,
        Err(NoAnswer) => Contact::NoAnswer,
    }
}

async fn try_exchange(app: App) -> Result<Contact, NoAnswer> {
    let told = app.local.read_untracked().as_ref().and_then(|local| local.device.at);
    let answer = net::get(&me_path(told)).await?;
    let me: Me = match answer.status {
        401 | 403 => return Ok(Contact::Stranger),
        200 => match serde_json::from_str(&answer.text) {
            Ok(me) => me,
            Err(_) => return Ok(Contact::OtherVersion),
        },
        // A server that does not know the address is not ours, or a reverse proxy has lost it.
        _ => return Err(NoAnswer),
    };
    match app.adopt(me.school).await {
        Ok(true) => {}
        Ok(false) => return Ok(Contact::OtherSchool),
        Err(_) => return Err(NoAnswer),
    }
    app.take_standing(me.standing);
    // Before anything is sent: what the server says from here on is measured against where it stands now.
    app.stand(me.at, me.known).await.map_err(|_| NoAnswer)?;
    app.contact.set(Contact::Open);
    let mut anew = false;
    loop {
        let push = {
            let local = app.local.read_untracked();
            let Some(local) = local.as_ref() else { return Err(NoAnswer) };
            next_push(&local.outbox, &local.records)
        };
        if push.records.is_empty() {
            break;
        }
        let json = serde_json::to_string(&push).map_err(|_| NoAnswer)?;
        let answer = net::post("/api/v1/push", &json).await?;
        match answer.status {
            200 => {}
            401 | 403 => return Ok(Contact::Stranger),
            400 | 404 | 422 => return Ok(Contact::OtherVersion),
            _ => return Err(NoAnswer),
        }
        let Ok(answer) = serde_json::from_str::<PushAnswer>(&answer.text) else {
            return Ok(Contact::OtherVersion);
        };
        let mut settled = app.settle(&answer).await.map_err(|_| NoAnswer)?;
        if !anew && app.clock_was_put_right() && app.send_refused_again().await {
            // Once in an exchange: if they are refused again, the person is told.
            (anew, settled) = (true, 1);
        }
        if settled == 0 {
            // Nothing was proven and nothing refused: asking again at once would go round in circles.
            break;
        }
    }
    loop {
        let after = app.local.read_untracked().as_ref().map_or(0, |local| local.device.cursor);
        let path = format!("/api/v1/pull?after={after}&limit={PULL_RECORDS_MAX}");
        let answer = net::get(&path).await?;
        match answer.status {
            200 => {}
            401 | 403 => return Ok(Contact::Stranger),
            _ => return Err(NoAnswer),
        }
        let Ok(answer) = serde_json::from_str::<PullAnswer>(&answer.text) else {
            return Ok(Contact::OtherVersion);
        };
        app.absorb(&answer).await.map_err(|_| NoAnswer)?;
        let now = app.local.read_untracked().as_ref().map_or(0, |local| local.device.cursor);
        // An answer that moves nothing came from a server that has changed: going on would go round in circles.
        if !answer.more || now == after {
            break;
        }
    }
    Ok(Contact::Open)
}
