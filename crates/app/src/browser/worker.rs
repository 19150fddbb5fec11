//! The service worker: keeps the app on the device, and says when a newer one is ready.

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration};

use super::app::App;
use super::listen;

/// Registers the worker. Pages from an address that is not secure have none; then the app needs the server to open.
pub fn start(app: App) {
    let Some(container) = container() else { return };
    let first = container.controller().is_none();
    spawn_local(async move {
        let Ok(asked) = JsFuture::from(container.register("/sw.js")).await else { return };
        let registration: ServiceWorkerRegistration = asked.unchecked_into();
        if registration.waiting().is_some() && !first {
            app.update_ready.set(true);
        }
        let watched = registration.clone();
        listen(&registration, "updatefound", move |_| {
            let Some(worker) = watched.installing() else { return };
            let state = worker.clone();
            listen(&worker, "statechange", move |_| {
                // The very first worker is no update.
                if state.state() == web_sys::ServiceWorkerState::Installed
                    && self::container().is_some_and(|container| container.controller().is_some())
                {
                    app.update_ready.set(true);
                }
            });
        });
    });
}

/// Lets the waiting worker take over and opens the page anew.
pub fn take_over() {
    let Some(container) = container() else { return };
    listen(&container, "controllerchange", |_| {
        if let Some(window) = web_sys::window() {
            let _ = window.location().reload();
        }
    });
    spawn_local(async move {
        let Ok(found) = JsFuture::from(container.get_registration()).await else { return };
        let Ok(registration) = found.dyn_into::<ServiceWorkerRegistration>() else { return };
        let waiting: Option<ServiceWorker> = registration.waiting();
        if let Some(waiting) = waiting {
            let _ = waiting.post_message(&JsValue::from_str("take over"));
        }
    });
}

fn container() -> Option<ServiceWorkerContainer> {
    let navigator = web_sys::window()?.navigator();
    let found = js_sys::Reflect::get(&navigator, &"serviceWorker".into()).ok()?;
    (!found.is_undefined()).then(|| navigator.service_worker())
}
