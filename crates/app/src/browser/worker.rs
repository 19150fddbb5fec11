//! The service worker: keeps the app on the device, and says when a newer one is ready.

use std::cell::Cell;

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration, ServiceWorkerState};

use super::app::{App, NotKept};
use super::{listen, on_document};

/// Between two questions whether there is a newer version, in milliseconds: an hour (engineering assumption). Browsers
/// ask by themselves only when the page is opened, and phones leave it open for weeks.
const ASK_EVERY_MS: f64 = 60.0 * 60.0 * 1000.0;

thread_local! {
    /// This page has let the newer version take over.
    static CHOSEN: Cell<bool> = const { Cell::new(false) };
    static ASKED_MS: Cell<f64> = const { Cell::new(0.0) };
}

/// Registers the worker. Where there is none, the app needs the server to open, and says so.
pub fn start(app: App) {
    let Some(container) = container() else {
        let secure = web_sys::window().is_some_and(|window| window.is_secure_context());
        app.not_kept.set(Some(if secure { NotKept::NotHere } else { NotKept::NotSecure }));
        return;
    };
    // The very first worker takes over a page that had none: that is no update.
    let had_one = Cell::new(container.controller().is_some());
    listen(&container, "controllerchange", move |_| {
        if CHOSEN.get() {
            reload();
        } else if had_one.replace(true) {
            // Another tab has chosen: this one goes on with what it has, until somebody reloads it too.
            app.update_ready.set(true);
        }
    });
    register(app);
    on_document("visibilitychange", move |_| {
        let hidden = web_sys::window().and_then(|window| window.document()).is_none_or(|page| page.hidden());
        let now_ms = js_sys::Date::now();
        if hidden || (now_ms - ASKED_MS.get()).abs() < ASK_EVERY_MS {
            return;
        }
        ASKED_MS.set(now_ms);
        spawn_local(async move {
            if let Some(registration) = registration().await
                && let Ok(asked) = registration.update()
            {
                // Without a network it fails, and the next look tries again.
                let _ = JsFuture::from(asked).await;
            }
        });
    });
}

/// Lets the browser keep the app, and watches what comes of it.
pub fn register(app: App) {
    let Some(container) = container() else { return };
    let first = container.controller().is_none();
    app.not_kept.set(None);
    ASKED_MS.set(js_sys::Date::now());
    spawn_local(async move {
        let asked = JsFuture::from(container.register("/sw.js")).await;
        let Ok(asked) = asked else {
            // With an older version on the device the app opens all the same.
            if first {
                app.not_kept.set(Some(NotKept::Failed));
            }
            return;
        };
        let registration: ServiceWorkerRegistration = asked.unchecked_into();
        if registration.waiting().is_some() && !first {
            app.update_ready.set(true);
        }
        if let Some(installing) = registration.installing() {
            watch(app, installing);
        }
        let watched = registration.clone();
        listen(&registration, "updatefound", move |_| {
            if let Some(installing) = watched.installing() {
                watch(app, installing);
            }
        });
    });
}

/// Follows a worker while it fetches the app.
fn watch(app: App, worker: ServiceWorker) {
    let state = worker.clone();
    listen(&worker, "statechange", move |_| match state.state() {
        // The very first worker is no update.
        ServiceWorkerState::Installed if has_older() => app.update_ready.set(true),
        ServiceWorkerState::Installed | ServiceWorkerState::Activated => app.not_kept.set(None),
        ServiceWorkerState::Redundant if !has_older() => app.not_kept.set(Some(NotKept::Failed)),
        _ => {}
    });
}

/// Returns whether an earlier version serves this page.
fn has_older() -> bool {
    container().is_some_and(|container| container.controller().is_some())
}

/// Lets the waiting worker take over and opens the page anew.
pub fn take_over() {
    CHOSEN.set(true);
    spawn_local(async move {
        let waiting = registration().await.and_then(|registration| registration.waiting());
        match waiting {
            Some(waiting) => {
                let _ = waiting.post_message(&JsValue::from_str("take over"));
            }
            // Another tab has done it already.
            None => reload(),
        }
    });
}

fn reload() {
    if let Some(window) = web_sys::window() {
        let _ = window.location().reload();
    }
}

async fn registration() -> Option<ServiceWorkerRegistration> {
    JsFuture::from(container()?.get_registration()).await.ok()?.dyn_into().ok()
}

fn container() -> Option<ServiceWorkerContainer> {
    let navigator = web_sys::window()?.navigator();
    let found = js_sys::Reflect::get(&navigator, &"serviceWorker".into()).ok()?;
    (!found.is_undefined()).then(|| navigator.service_worker())
}
