//! Letting another phone in, and the devices that are in.

use std::collections::BTreeSet;

use lanewright_model::record::{Body, LaneSheetBody, StandingLanesBody};
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;
use serde::Deserialize;
use wasm_bindgen::{JsCast, JsValue};

use super::icons::icon;
use super::parts::{Choice, Choices, Field, app, focus, notice, t};
use super::password::PasswordSection;
use super::trackside::Track;
use crate::browser::app::{App, Screen, Sheet};
use crate::browser::sync::{self, Contact};
use crate::browser::{net, now_ms};
use crate::logic::devices::{Picture, Role, link_at, picture_of, sheet_of};
use crate::logic::entry::EntryError;

/// Where other devices reach the program.
#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Reach {
    network: bool,
    encrypted: bool,
    addresses: Vec<String>,
}

/// A link that was made.
#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Made {
    path: String,
    expires_ms: u64,
}

/// A device that is in.
#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Device {
    name: String,
    number: i64,
    label: Option<String>,
    role: Role,
    lanes: Option<Vec<String>>,
    since_ms: i64,
    seen_day: i64,
    this: bool,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Listed {
    devices: Vec<Device>,
    links: Vec<serde_json::Value>,
}

/// What went wrong with a request: which problem, the server's English words for it, and the numbers in them.
#[derive(Deserialize)]
struct Problem {
    #[serde(rename = "type")]
    kind: String,
    detail: String,
    #[serde(flatten)]
    more: std::collections::BTreeMap<String, serde_json::Value>,
}

impl Problem {
    /// Says it in the app's language; a server that knows more problems than the app is quoted.
    fn said(self, app: App) -> String {
        let Some(name) = self.kind.strip_prefix("/problems/") else { return self.detail };
        let mut message = Message::new(&format!("problem-{name}-detail"));
        if !app.words.with_untracked(|words| words.0.has(&message.id)) {
            return self.detail;
        }
        for (name, number) in &self.more {
            if let Some(number) = number.as_i64() {
                message = message.with(name, Arg::Count(number));
            }
        }
        app.say(&message)
    }
}

/// The state of the sheet.
#[derive(Clone, Copy)]
struct Way {
    app: App,
    reach: RwSignal<Option<Reach>>,
    listed: RwSignal<Option<Listed>>,
    address: RwSignal<Option<String>>,
    made: RwSignal<Option<(Made, Role)>>,
    /// Which device is to be signed out: asked once before it is done.
    ending: RwSignal<Option<Ending>>,
    trouble: RwSignal<Option<String>>,
}

/// Whom a coach is about to sign out.
#[derive(Debug, Clone, PartialEq)]
enum Ending {
    One(String),
    Others,
}

impl Way {
    fn new(app: App) -> Self {
        Self {
            app,
            reach: RwSignal::new(None),
            listed: RwSignal::new(None),
            address: RwSignal::new(None),
            made: RwSignal::new(None),
            ending: RwSignal::new(None),
            trouble: RwSignal::new(None),
        }
    }

    /// Reads an answer; what went wrong is said on the sheet.
    fn read<T: serde::de::DeserializeOwned>(self, answer: Result<net::Answer, net::NoAnswer>) -> Option<T> {
        let text = match answer {
            Ok(answer) if answer.status < 300 => answer.text,
            Ok(answer) => {
                let problem = serde_json::from_str::<Problem>(&answer.text).ok();
                let unknown = || self.app.get("devices-no-answer");
                self.trouble.set(Some(problem.map_or_else(unknown, |problem| problem.said(self.app))));
                return None;
            }
            Err(net::NoAnswer) => {
                self.trouble.set(Some(self.app.get("devices-no-answer")));
                return None;
            }
        };
        self.trouble.set(None);
        serde_json::from_str(if text.is_empty() { "null" } else { &text }).ok()
    }

    fn look(self) {
        spawn_local(async move {
            if let Some(reach) = self.read::<Reach>(net::get("/api/v1/addresses").await) {
                self.reach.set(Some(reach));
            }
            self.list().await;
        });
    }

    async fn list(self) {
        if let Some(listed) = self.read::<Listed>(net::get("/api/v1/devices").await) {
            self.listed.set(Some(listed));
        }
    }

    fn invite(self, role: Role, lanes: Option<Vec<String>>, label: String) {
        spawn_local(async move {
            let label = Some(label.trim().to_owned()).filter(|label| !label.is_empty());
            let lanes = lanes.filter(|_| role == Role::Helper);
            let body = serde_json::json!({"role": role, "lanes": lanes, "label": label}).to_string();
            if let Some(made) = self.read::<Made>(net::post("/api/v1/links", &body).await) {
                self.made.set(Some((made, role)));
                // The square is what the other phone is held over; it is there before a finger aims at what it moves.
                request_animation_frame(|| show("device-link"));
                self.list().await;
                // The server now says that somebody is invited: today's lanes are given out.
                sync::trigger(self.app);
            }
        });
    }

    fn ask(self, path: &'static str, body: serde_json::Value) {
        spawn_local(async move {
            let answer = net::post(path, &body.to_string()).await;
            let ends_links = path == "/api/v1/links/void" || body["others"] == true;
            if ends_links && answer.as_ref().is_ok_and(|answer| answer.status < 300) {
                self.made.set(None);
            }
            self.read::<serde_json::Value>(answer);
            self.list().await;
        });
    }
}

/// The whole sheet.
#[component]
pub fn DevicesSheet() -> impl IntoView {
    let app = app();
    let way = Way::new(app);
    way.look();
    view! {
        <section class="stack">
            {move || way.trouble.get().map(|text| view! {
                <p class="notice bad" role="alert" data-test="devices-trouble">{icon("warning")}<span>{text}</span></p>
            })}
            {move || (app.contact.get() == Contact::NoAnswer).then(|| {
                notice("note", Message::new("devices-no-answer"))
            })}
            {move || {
                let reach = way.reach.get().filter(|_| way.made.with(Option::is_none));
                reach.map(|reach| view! { <ReachNotes reach/> })
            }}
            {move || match way.made.get() {
                None => view! { <Invite way/> }.into_any(),
                Some((made, role)) => view! { <MadeLink way made role/> }.into_any(),
            }}
        </section>
        <section class="stack">
            <h3>{t("devices-in-title")}</h3>
            {move || way.listed.get().map(|listed| view! { <DeviceList way listed/> })}
        </section>
        <PasswordSection changed=move |()| spawn_local(way.list())/>
    }
}

/// Whether others reach the program, and what they can rely on.
#[component]
fn ReachNotes(reach: Reach) -> impl IntoView {
    // The page came from the port of the program, which stays the same.
    let port = web_sys::window().and_then(|window| window.location().port().ok()).unwrap_or_default();
    let port = if port.is_empty() { "7314".to_owned() } else { port };
    let addr = format!("--addr 0.0.0.0:{port}");
    let tls = "--tls-cert CERTIFICATE.pem --tls-key KEY.pem";
    let command = |text: String| view! { <code class="command" data-test="start-flags">{text}</code> };
    match (reach.network, reach.encrypted) {
        (false, _) => view! {
            <div class="notice warn block" data-test="here-only">
                <p>{icon("warning")}<span>{t("devices-here-only")}</span></p>
                {command(addr.clone())}
                <p>{t("devices-tls-brings")}</p>
                {command(format!("{addr} {tls}"))}
            </div>
        }
        .into_any(),
        (true, false) => view! {
            <div class="notice warn block" data-test="in-clear">
                <p>{icon("warning")}<span>{t("devices-in-clear")}</span></p>
                <p>{t("devices-tls-brings")}</p>
                {command(tls.to_owned())}
            </div>
        }
        .into_any(),
        (true, true) => ().into_any(),
    }
}

/// For whom the link is.
#[component]
fn Invite(way: Way) -> impl IntoView {
    let app = way.app;
    let track = expect_context::<Track>();
    let role = RwSignal::new(Role::Helper);
    let chosen = RwSignal::new(BTreeSet::<String>::new());
    let label = RwSignal::new(String::new());
    let error = RwSignal::new(None::<EntryError>);
    let letters = Memo::new(move |_| {
        track.lanes.with(|lanes| lanes.iter().map(|lane| lane.lane.clone()).collect::<Vec<_>>())
    });
    view! {
        <p>{t("devices-lead")}</p>
        <Choice
            label="devices-who"
            test="invite"
            options=vec![(Role::Helper, "devices-helper", "helper"), (Role::Coach, "devices-coach", "coach")]
            chosen=role
            choose=move |chosen| role.set(chosen)
        />
        <p class="soft">{move || app.get(match role.get() {
            Role::Helper => "devices-helper-may",
            Role::Coach => "devices-coach-may",
        })}</p>
        {move || (role.get() == Role::Helper && letters.with(|letters| letters.len() > 1)).then(|| view! {
            <Choices label="devices-lanes">
                <button
                    type="button"
                    class="choice"
                    data-test="invite-lane-all"
                    aria-pressed=move || chosen.with(BTreeSet::is_empty).to_string()
                    on:click=move |_| chosen.set(BTreeSet::new())
                >
                    {t("devices-lanes-all")}
                </button>
                {letters.get().into_iter().map(|letter| {
                    let (mine, test) = (letter.clone(), format!("invite-lane-{letter}"));
                    let name = letter.clone();
                    view! {
                        <button
                            type="button"
                            class="choice"
                            data-test=test
                            aria-pressed=move || chosen.with(|chosen| chosen.contains(&mine)).to_string()
                            on:click=move |_| chosen.update(|chosen| {
                                if !chosen.remove(&letter) {
                                    chosen.insert(letter.clone());
                                }
                            })
                        >
                            {name}
                        </button>
                    }
                }).collect_view()}
            </Choices>
        })}
        <Field label="devices-label" hint="devices-label-hint" id="device-label" value=label error/>
        <button
            type="button"
            class="btn go wide"
            data-test="make-link"
            on:click=move |_| {
                let lanes = chosen.get_untracked();
                let lanes = (!lanes.is_empty()).then(|| lanes.into_iter().collect());
                way.invite(role.get_untracked(), lanes, label.get_untracked());
            }
        >
            {icon("add")}
            <span>{t("devices-make")}</span>
        </button>
    }
}

/// The link, as a picture and in letters.
#[component]
fn MadeLink(way: Way, made: Made, role: Role) -> impl IntoView {
    let app = way.app;
    let here = web_sys::window().and_then(|window| window.location().origin().ok()).unwrap_or_default();
    let addresses = move || {
        let known = way.reach.get().map(|reach| reach.addresses).unwrap_or_default();
        if known.is_empty() { vec![here.clone()] } else { known }
    };
    let addresses = Memo::new(move |_| addresses());
    let path = made.path.clone();
    let link = Memo::new(move |_| {
        let addresses = addresses.get();
        let chosen = way.address.get().filter(|chosen| addresses.contains(chosen));
        link_at(&chosen.or(addresses.first().cloned()).unwrap_or_default(), &path)
    });
    let minutes = (made.expires_ms.saturating_sub(now_ms()) / 60_000) as i64;
    view! {
        <h3 id="device-link">{t(match role {
            Role::Helper => "devices-link-helper",
            Role::Coach => "devices-link-coach",
        })}</h3>
        <p>{move || app.say(&Message::new("devices-link-once").with("minutes", Arg::Count(minutes)))}</p>
        {move || (addresses.with(Vec::len) > 1).then(|| view! {
            <Choices label="devices-address">
                {addresses.get().into_iter().map(|address| {
                    let (mine, shown) = (address.clone(), address.clone());
                    view! {
                        <button
                            type="button"
                            class="choice"
                            aria-pressed=move || link.with(|link| link.starts_with(&mine)).to_string()
                            on:click=move |_| way.address.set(Some(address.clone()))
                        >
                            {shown}
                        </button>
                    }
                }).collect_view()}
            </Choices>
        })}
        {move || link.with(|link| picture_of(link)).map(|Picture { side, path }| view! {
            <svg
                class="qr"
                viewBox=format!("0 0 {side} {side}")
                role="img"
                aria-label=t("devices-qr")
                data-test="link-picture"
            >
                <rect width=side height=side fill="#ffffff"></rect>
                <path d=path fill="#000000"></path>
            </svg>
        })}
        <p class="link-text" id="device-link-text" data-test="link-text">{move || link.get()}</p>
        <div class="row">
            <button type="button" class="btn" data-test="copy-link" on:click=move |_| copy(app, link.get_untracked())>
                {icon("file")}
                <span>{t("devices-copy")}</span>
            </button>
            <button type="button" class="btn" data-test="another-link" on:click=move |_| way.made.set(None)>
                {icon("add")}
                <span>{t("devices-another")}</span>
            </button>
        </div>
    }
}

/// Brings a part of the page into sight.
pub fn show(id: &str) {
    let document = web_sys::window().and_then(|window| window.document());
    if let Some(part) = document.and_then(|document| document.get_element_by_id(id)) {
        part.scroll_into_view();
    }
}

/// Copies a link; where the browser lets no page do that, the link is marked, to be copied by hand.
fn copy(app: App, link: String) {
    spawn_local(async move {
        let done = copied(&link).await;
        if !done {
            select("device-link-text");
        }
        app.tell(
            Message::new(if done { "devices-said-copied" } else { "devices-said-selected" }),
            false,
            false,
        );
    });
}

/// Asks the browser to copy a text; `false`: it has no clipboard for this page, or refuses.
async fn copied(text: &str) -> bool {
    let Some(window) = web_sys::window() else { return false };
    let get = |of: &JsValue, name: &str| js_sys::Reflect::get(of, &name.into()).unwrap_or(JsValue::UNDEFINED);
    // Only pages from a secure address have one.
    let clipboard = get(&window.navigator(), "clipboard");
    if clipboard.is_undefined() {
        return false;
    }
    let Ok(write) = get(&clipboard, "writeText").dyn_into::<js_sys::Function>() else { return false };
    let asked =
        write.call1(&clipboard, &JsValue::from_str(text)).and_then(JsCast::dyn_into::<js_sys::Promise>);
    match asked {
        Ok(asked) => wasm_bindgen_futures::JsFuture::from(asked).await.is_ok(),
        Err(_) => false,
    }
}

/// Marks the text of a part of the page, as a finger held on it does.
fn select(id: &str) {
    let Some(window) = web_sys::window() else { return };
    let Some(part) = window.document().and_then(|document| document.get_element_by_id(id)) else { return };
    let call = |of: &JsValue, name: &str, with: Option<&JsValue>| {
        let of_name = js_sys::Reflect::get(of, &name.into()).ok()?.dyn_into::<js_sys::Function>().ok()?;
        match with {
            Some(with) => of_name.call1(of, with).ok(),
            None => of_name.call0(of).ok(),
        }
    };
    if let Some(selection) = call(&window, "getSelection", None) {
        call(&selection, "selectAllChildren", Some(&part));
    }
}

/// Returns the title for a device that the server does not let in: it was signed out, or never was in.
pub fn stranger_title(app: App) -> &'static str {
    if was_in(app) { "devices-out-title" } else { "app-stranger-title" }
}

/// Returns what such a device can do, and how much waits on it.
pub fn stranger_text(app: App) -> Message {
    let waiting = app.local.with(|local| local.as_ref().map_or(0, |local| local.outbox.len()));
    let id = match (was_in(app), app.helps.get()) {
        (false, _) => return Message::new("app-stranger-text"),
        (true, true) => "devices-out-helper",
        (true, false) => "devices-out-coach",
    };
    Message::new(id).with("count", Arg::Count(waiting as i64))
}

/// Returns whether the server has let this device in before: then it knows the school's own id.
fn was_in(app: App) -> bool {
    app.helps.get() || app.local.with(|local| local.as_ref().is_some_and(|local| !local.device.provisional))
}

/// Returns a day of the server's list as text.
pub fn day_text(app: App, day: i64) -> String {
    let days = jiff::Span::new().try_days(day).unwrap_or_default();
    jiff::civil::date(1970, 1, 1).checked_add(days).map(|day| app.day(day)).unwrap_or_default()
}

#[component]
fn DeviceList(way: Way, listed: Listed) -> impl IntoView {
    let app = way.app;
    let others = listed.devices.len() > 1;
    let waiting = listed.links.len() as i64;
    let rows = listed
        .devices
        .into_iter()
        .map(|device| {
            let title = device.label.clone().unwrap_or_else(|| {
                app.say(&Message::new("devices-number").with("number", Arg::Count(device.number)))
            });
            let may = match (device.role, &device.lanes) {
                (Role::Coach, _) => Message::new("devices-role-coach"),
                (Role::Helper, None) => Message::new("devices-role-helper"),
                (Role::Helper, Some(lanes)) => Message::new("devices-role-helper-lanes")
                    .with("count", Arg::Count(lanes.len() as i64))
                    .text("lanes", lanes.join(", ")),
            };
            let days = Message::new("devices-days")
                .text("since", day_text(app, device.since_ms.div_euclid(86_400_000)))
                .text("seen", day_text(app, device.seen_day));
            let name = device.name.clone();
            let spoken = title.clone();
            let ending = Ending::One(name.clone());
            let (mine, asked) = (ending.clone(), ending.clone());
            let out = view! {
                <button
                    type="button"
                    class="btn small"
                    data-test="sign-out"
                    aria-expanded=move || way.ending.with(|ending| ending.as_ref() == Some(&mine)).to_string()
                    on:click=move |_| {
                        way.ending.set(Some(asked.clone()));
                        focus("sign-out-asked");
                    }
                >
                    <span>{t("devices-sign-out")}</span>
                    <span class="sr">{spoken}</span>
                </button>
            };
            let question = move || {
                let name = name.clone();
                way.ending
                    .with(|now| now.as_ref() == Some(&ending))
                    .then(|| sign_out_question(way, "devices-sign-out", serde_json::json!({"name": name})))
            };
            view! {
                <li class="device" data-test="device">
                    <div>
                        <b>{title}</b>
                        <span class="soft">{move || app.say(&may)}</span>
                        <span class="soft">{move || app.say(&days)}</span>
                    </div>
                    {if device.this {
                        view! { <span class="this">{t("devices-this")}</span> }.into_any()
                    } else {
                        out.into_any()
                    }}
                    {question}
                </li>
            }
        })
        .collect_view();
    view! {
        <ul class="devices">{rows}</ul>
        {others.then(|| view! {
            <button
                type="button"
                class="btn"
                data-test="sign-out-others"
                aria-expanded=move || way.ending.with(|ending| *ending == Some(Ending::Others)).to_string()
                on:click=move |_| {
                    way.ending.set(Some(Ending::Others));
                    focus("sign-out-asked");
                }
            >
                {t("devices-sign-out-others")}
            </button>
            {move || way.ending.with(|ending| *ending == Some(Ending::Others)).then(|| {
                sign_out_question(way, "devices-sign-out-others", serde_json::json!({"others": true}))
            })}
        })}
        {(waiting > 0).then(|| view! {
            <div class="row">
                <span>{move || app.say(&Message::new("devices-waiting").with("count", Arg::Count(waiting)))}</span>
                <button
                    type="button"
                    class="btn small"
                    data-test="take-back"
                    on:click=move |_| way.ask("/api/v1/links/void", serde_json::json!({}))
                >
                    {t("devices-take-back")}
                </button>
            </div>
        })}
        <p class="soft">{t("devices-stays")}</p>
    }
}

/// Asks once before somebody is signed out: what that phone has not sent yet waits on it for a new link.
fn sign_out_question(way: Way, words: &'static str, body: serde_json::Value) -> AnyView {
    view! {
        <div class="notice warn block" id="sign-out-asked" tabindex="-1" data-test="sign-out-asked">
            <p>{t("devices-sign-out-asks")}</p>
            <div class="row">
                <button
                    type="button"
                    class="btn danger"
                    data-test="sign-out-do"
                    on:click=move |_| {
                        way.ending.set(None);
                        way.ask("/api/v1/devices/end", body.clone());
                    }
                >
                    {t(words)}
                </button>
                <button type="button" class="btn" data-test="sign-out-not" on:click=move |_| way.ending.set(None)>
                    {t("devices-sign-out-not")}
                </button>
            </div>
        </div>
    }
    .into_any()
}

/// The way to the sheet, for coaches; what a helper's phone is for, for helpers.
#[component]
pub fn DevicesSection() -> impl IntoView {
    let app = app();
    move || {
        if app.helps.get() {
            let lanes = app.standing.with(|standing| standing.lanes.clone());
            return notice(
                "note",
                match lanes {
                    None => Message::new("devices-you-help"),
                    Some(lanes) => Message::new("devices-you-help-lanes")
                        .with("count", Arg::Count(lanes.len() as i64))
                        .text("lanes", lanes.join(", ")),
                },
            );
        }
        view! {
            <section class="stack">
                <button
                    type="button"
                    class="btn"
                    data-test="devices"
                    on:click=move |_| app.sheet.set(Some(Sheet::Devices))
                >
                    {icon("device")}
                    <span>{t("devices-title")}</span>
                </button>
            </section>
        }
        .into_any()
    }
}

/// What a helper's phone shows instead of a screen that is not for it.
#[component]
pub fn NotForHelpers() -> impl IntoView {
    let app = app();
    view! {
        <h1>{t("devices-not-here-title")}</h1>
        <p class="lead" data-test="not-for-helpers">{t("devices-not-here")}</p>
        <button type="button" class="btn go" on:click=move |_| app.go(Screen::Trackside)>
            {t("trackside-title")}
        </button>
    }
}

/// Gives today's lanes out while a helper is in or invited: whenever the plan changes, one record.
pub fn give_out(app: App) {
    let track = expect_context::<Track>();
    let given = StoredValue::new(None::<(String, LaneSheetBody)>);
    let sheet = Memo::new(move |_| {
        let wanted = app.standing.with(|standing| !standing.helps() && standing.helpers > 0);
        let id = app.class_id.get().filter(|_| wanted)?;
        // Lanes that stand are given out as they stand.
        let standing = app.class.with(|class| class.as_ref().and_then(|class| class.standing.clone()));
        if let Some(StandingLanesBody { on, lanes, .. }) = standing {
            return Some((id, LaneSheetBody { on, lanes, unknown: Default::default() }));
        }
        app.plan.with(|plan| {
            let plan = plan.as_ref()?.as_ref().ok()?;
            let lanes = track.lanes.get();
            (!lanes.is_empty()).then(|| (id, sheet_of(&lanes, plan, app.today.get())))
        })
    });
    Effect::new(move |_| {
        let Some((id, body)) = sheet.get() else { return };
        let stands = app.class.with(|class| {
            class.as_ref().is_some_and(|class| class.lane_sheet == body.lanes && !body.lanes.is_empty())
        });
        // What was given out once is not given out again over another coach's: two phones would take turns for ever.
        let once = given.with_value(|given| given.as_ref() == Some(&(id.clone(), body.clone())));
        if stands || once {
            return;
        }
        given.set_value(Some((id.clone(), body.clone())));
        let Some(change) = untrack(|| app.change(&id, &Body::LaneSheet(body))) else { return };
        spawn_local(async move {
            app.note(vec![change]).await;
        });
    });
}
