//! The frame: top line, tabs, sheets, the line that says what was done, and where the data is.

use lanewright_model::words::{Language, Units};
use lanewright_model::{Arg, Message};
use lanewright_sync::RefusalReason;
use lanewright_sync::export::write_json;
use leptos::html::Dialog;
use leptos::prelude::*;

use super::icons::icon;
use super::parts::{Choice, app, focus, notice, t};
use super::{
    child, class, devices, findings, import, keep, kit, lanes, lesson, line_up, measure, password, stand,
    today, trackside,
};
use crate::browser::app::{App, NotKept, Screen, Sheet};
use crate::browser::sync::{self, Contact};
use crate::browser::{keep_preference, learner, now_ms, on_window, preference, worker};
use crate::logic::undo::Room;

/// The whole app.
#[component]
pub fn Shell() -> impl IntoView {
    let app = App::new();
    provide_context(app);
    // A memo, so that the page stays as it is when a record is written or confirmed: somebody may be typing in it.
    let is_read = Memo::new(move |_| app.local.with(|local| local.is_some()));
    learner::provide(app);
    trackside::provide(app);
    lesson::provide(app);
    stand::keep(app);
    devices::give_out(app);
    view! {
        <a class="skip" href="#main" on:click=move |event| {
            event.prevent_default();
            focus("main");
        }>{t("app-skip")}</a>
        <div class="frame">
            <TopLine/>
            <main id="main" tabindex="-1">
                {move || match (app.store_error.get(), is_read.get()) {
                    (Some(reason), _) => {
                        notice("bad", Message::new("app-no-storage").text("reason", reason))
                    }
                    (None, false) => view! { <p class="soft">{t("app-reading")}</p> }.into_any(),
                    (None, true) => view! { <Page/> }.into_any(),
                }}
            </main>
            <div class="dock">
                <ToastLine in_sheet=false/>
                <NextBar/>
                <Tabs/>
            </div>
        </div>
        <SheetHost/>
        <div id="paper" class="paper" aria-hidden="true"></div>
    }
}

#[component]
fn Page() -> impl IntoView {
    let app = app();
    // The address and the tabs both name the screen: the second of them changes nothing.
    let shown = Memo::new(move |_| app.screen.get());
    // A memo: somebody may be typing a password while the server is asked once more.
    let stranger = Memo::new(move |_| app.contact.get() == Contact::Stranger);
    // Nothing may move under a thumb while children run: a newer version waits until the lesson is over.
    let lessons = lesson::lessons();
    let busy = Memo::new(move |_| lessons.is_running() || shown.get() == Screen::Trackside);
    let update = Memo::new(move |_| app.update_ready.get() && !busy.get());
    // Said where the app begins, and once.
    let not_kept = Memo::new(move |_| {
        let begins = match shown.get() {
            Screen::Class => true,
            Screen::Trackside => app.helps.get(),
            _ => false,
        };
        app.not_kept.get().filter(|why| begins && !is_understood(*why))
    });
    // Printing by the browser's own command gives the plan as well.
    on_window("beforeprint", move |_| {
        lanes::fill_paper(app);
    });
    view! {
        {move || stranger.get().then(|| view! {
            <section class="card stranger" data-test="stranger">
                <h2>{move || app.get(devices::stranger_title(app))}</h2>
                <p data-test="stranger-text">{move || app.say(&devices::stranger_text(app))}</p>
                <password::Enter/>
            </section>
        })}
        {move || app.no_room.get().then(|| view! { <NoRoom/> })}
        {move || update.get().then(|| view! { <Update/> })}
        {move || not_kept.get().map(|why| view! { <NotKeptLine why/> })}
        {move || (app.contact.get() == Contact::OtherSchool).then(|| {
            notice("bad", Message::new("app-contact-other-school"))
        })}
        {move || {
            let screen = shown.get();
            // Some words are said once, when a screen is made: another language makes it anew.
            app.language.track();
            let inside = match screen {
                other if app.helps.get() && other != Screen::Trackside => {
                    view! { <devices::NotForHelpers/> }.into_any()
                }
                Screen::Class => view! { <class::ClassScreen/> }.into_any(),
                Screen::Today => view! { <today::TodayScreen/> }.into_any(),
                Screen::Kit => view! { <kit::KitScreen/> }.into_any(),
                Screen::Lanes => view! { <lanes::LanesScreen/> }.into_any(),
                Screen::Lesson => view! { <lesson::LessonScreen/> }.into_any(),
                Screen::Trackside => view! { <trackside::TracksideScreen/> }.into_any(),
                Screen::Findings => view! { <findings::FindingsScreen/> }.into_any(),
            };
            view! { <div class="screen" data-test=format!("screen-{}", screen.slug())>{inside}</div> }
        }}
    }
}

/// A newer version is there, and the way to it.
#[component]
fn Update() -> impl IntoView {
    view! {
        <div class="notice note update" data-test="update">
            <span>{t("app-update-ready")}</span>
            <button type="button" class="btn small" data-test="update-now" on:click=move |_| worker::take_over()>
                {t("app-update-now")}
            </button>
        </div>
    }
}

/// The device is full: what that means, and what can be done at once.
#[component]
fn NoRoom() -> impl IntoView {
    let app = app();
    view! {
        <div class="notice bad block" role="alert" data-test="no-room">
            <p>{icon("warning")}<span>{t("safe-no-room")}</span></p>
            <div class="row">
                <button type="button" class="btn small" on:click=move |_| save_copy(app)>
                    {icon("file")}
                    <span>{t("app-save-copy")}</span>
                </button>
            </div>
        </div>
    }
}

/// Under which name it is kept that a sentence was read.
fn understood_key(why: NotKept) -> &'static str {
    match why {
        NotKept::NotSecure => "lanewright-understood-not-secure",
        NotKept::NotHere => "lanewright-understood-not-here",
        NotKept::Failed => "lanewright-understood-not-kept",
    }
}

fn is_understood(why: NotKept) -> bool {
    preference(understood_key(why)).is_some()
}

/// Returns what does not work when the app is not kept on this device, and what helps.
fn not_kept_words(why: NotKept) -> &'static str {
    match why {
        NotKept::NotSecure => "safe-not-kept-not-secure",
        NotKept::NotHere => "safe-not-kept-not-here",
        NotKept::Failed => "safe-not-kept-failed",
    }
}

/// The app does not open without a network on this device.
#[component]
fn NotKeptLine(why: NotKept) -> impl IntoView {
    let app = app();
    view! {
        <div class="notice note block" data-test="not-kept">
            <p>{icon("note")}<span>{t(not_kept_words(why))}</span></p>
            <div class="row">
                {(why == NotKept::Failed).then(|| view! {
                    <button
                        type="button"
                        class="btn small"
                        data-test="keep-again"
                        on:click=move |_| worker::register(app)
                    >
                        {t("safe-not-kept-again")}
                    </button>
                })}
                <button
                    type="button"
                    class="btn small"
                    data-test="understood"
                    on:click=move |_| {
                        keep_preference(understood_key(why), "yes");
                        app.not_kept.notify();
                    }
                >
                    {t("safe-not-kept-understood")}
                </button>
            </div>
        </div>
    }
}

#[component]
fn TopLine() -> impl IntoView {
    let app = app();
    view! {
        <header class="top">
            <span class="mark">{icon("kit")}<b>"Lanewright"</b></span>
            <button
                type="button"
                class="class-button"
                data-test="choose-class"
                hidden=move || app.class.with(|class| class.is_none())
                on:click=move |_| app.sheet.set(Some(Sheet::ChooseClass))
            >
                <span>{move || app.class.with(|class| class.as_ref().map(|class| class.name.clone()))}</span>
                {icon("swap")}
                <span class="sr">{t("app-choose-class")}</span>
            </button>
            <lesson::LessonChip/>
            <SaveState/>
        </header>
    }
}

/// How far the latest writes have come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Safe {
    Device,
    Sending,
    Confirmed,
    Trouble,
}

fn safe(app: App) -> Safe {
    let (waiting, refused) = app.local.with(|local| {
        local.as_ref().map_or((0, false), |local| {
            (local.outbox.len(), local.outbox.values().any(|entry| entry.refused.is_some()))
        })
    });
    let contact = app.contact.get();
    if app.store_error.with(|error| error.is_some())
        || refused
        || matches!(contact, Contact::OtherSchool | Contact::OtherVersion)
    {
        Safe::Trouble
    } else if waiting > 0 && app.sending.get() && contact == Contact::Open {
        Safe::Sending
    } else if waiting > 0 || contact != Contact::Open {
        Safe::Device
    } else {
        Safe::Confirmed
    }
}

#[component]
fn SaveState() -> impl IntoView {
    let app = app();
    let safe = Memo::new(move |_| safe(app));
    view! {
        <button
            type="button"
            class=move || {
                format!("save-state {}", if safe.get() == Safe::Trouble { "trouble" } else { "" })
            }
            data-test="save-state"
            data-state=move || match safe.get() {
                Safe::Device => "device",
                Safe::Sending => "sending",
                Safe::Confirmed => "confirmed",
                Safe::Trouble => "trouble",
            }
            on:click=move |_| app.sheet.set(Some(Sheet::Data))
        >
            {move || icon(match safe.get() {
                Safe::Device => "device",
                Safe::Sending => "sent",
                Safe::Confirmed => "confirmed",
                Safe::Trouble => "warning",
            })}
            <span>{move || app.get(match safe.get() {
                Safe::Device => "app-safe-device",
                Safe::Sending => "app-safe-sending",
                Safe::Confirmed => "app-safe-confirmed",
                Safe::Trouble => "app-safe-trouble",
            })}</span>
        </button>
    }
}

/// The one big verb of the screen: where to go from here.
#[component]
fn NextBar() -> impl IntoView {
    let app = app();
    let children =
        Memo::new(move |_| app.class.with(|class| class.as_ref().map_or(0, |class| class.runners.len())));
    let next = move |screen: Screen, words: &'static str, test: &'static str| {
        view! {
            <div class="next-bar">
                <button type="button" class="btn go wide" data-test=test on:click=move |_| app.go(screen)>
                    <span>{t(words)}</span>
                    {icon("next")}
                </button>
            </div>
        }
        .into_any()
    };
    move || {
        if children.get() == 0 || (app.helps.get() && app.screen.get() != Screen::Trackside) {
            return ().into_any();
        }
        match app.screen.get() {
            Screen::Class => next(Screen::Today, "app-next-today", "next-today"),
            Screen::Today => next(Screen::Kit, "app-next-kit", "next-kit"),
            Screen::Kit => next(Screen::Lanes, "app-next-lanes", "next-lanes"),
            Screen::Lanes => view! {
                <div class="next-bar two">
                    <lanes::MeasureButton/>
                    <lanes::PrintButton/>
                </div>
            }
            .into_any(),
            Screen::Lesson => view! { <lesson::LessonBar/> }.into_any(),
            Screen::Trackside => view! { <trackside::VerbBar/> }.into_any(),
            Screen::Findings => ().into_any(),
        }
    }
}

#[component]
fn Tabs() -> impl IntoView {
    let app = app();
    let tabs = Screen::ALL
        .into_iter()
        .map(|screen| {
            let (words, picture) = match screen {
                Screen::Class => ("app-tab-class", "class"),
                Screen::Today => ("app-tab-today", "today"),
                Screen::Kit => ("app-tab-kit", "kit"),
                Screen::Lanes => ("app-tab-lanes", "lanes"),
                Screen::Lesson => ("lesson-plan-tab", "lesson"),
                Screen::Trackside => ("trackside-tab", "trackside"),
                Screen::Findings => ("app-tab-findings", "findings"),
            };
            view! {
                <li hidden=move || app.helps.get() && screen != Screen::Trackside>
                    <a
                        href=format!("#/{}", screen.slug())
                        data-test=format!("tab-{}", screen.slug())
                        aria-current=move || (app.screen.get() == screen).then_some("page")
                        on:click=move |event| {
                            event.prevent_default();
                            app.go(screen);
                        }
                    >
                        {icon(picture)}
                        <span>{t(words)}</span>
                    </a>
                </li>
            }
        })
        .collect_view();
    view! {
        <nav class="tabs" aria-label=t("app-tabs")>
            <ul>{tabs}</ul>
        </nav>
    }
}

/// What was just done, with its undo. Sheets cover the screen, so an open sheet has a line of its own.
#[component]
fn ToastLine(in_sheet: bool) -> impl IntoView {
    let app = app();
    let mine = move || app.sheet.with(|sheet| sheet.is_some()) == in_sheet;
    // A sheet shows what was said over it; older lines wait until it is closed.
    let toast = Memo::new(move |_| {
        app.toast.get().filter(|toast| mine() && (!in_sheet || toast.over == app.sheet.get()))
    });
    view! {
        <div class="toast-place">
            <div
                class=move || {
                    toast.with(|toast| match toast {
                        Some(toast) if toast.bad => "toast bad",
                        Some(_) => "toast",
                        None => "toast empty",
                    })
                }
                data-test=move || mine().then_some("toast")
            >
                <p role="status" aria-live="polite" data-test=move || mine().then_some("said")>
                    {move || toast.get().map(|toast| app.say(&toast.said))}
                </p>
                {move || toast.with(|toast| toast.as_ref().is_some_and(|toast| toast.undo)).then(|| view! {
                    <button type="button" class="undo" data-test="undo" on:click=move |_| app.undo(Room::Anywhere)>
                        {icon("undo")}
                        <span>{t("app-undo")}</span>
                    </button>
                })}
                {move || toast.with(|toast| toast.is_some()).then(|| view! {
                    <button
                        type="button"
                        class="dismiss"
                        aria-label=t("app-dismiss")
                        on:click=move |_| app.toast.set(None)
                    >
                        {icon("close")}
                    </button>
                })}
            </div>
        </div>
    }
}

#[component]
fn SheetHost() -> impl IntoView {
    let app = app();
    let dialog: NodeRef<Dialog> = NodeRef::new();
    Effect::new(move |_| {
        let open = app.sheet.with(|sheet| sheet.is_some());
        let Some(dialog) = dialog.get() else { return };
        if open && !dialog.open() {
            let _ = dialog.show_modal();
        } else if !open && dialog.open() {
            dialog.close();
        }
    });
    let title = move || {
        app.get(match app.sheet.get() {
            Some(Sheet::Child(_)) => "app-child-title",
            Some(Sheet::NewClass) => "app-new-class-title",
            Some(Sheet::ClassName) => "app-class-name-title",
            Some(Sheet::ChooseClass) => "app-choose-class",
            Some(Sheet::Import) => "app-import-title",
            Some(Sheet::LineUp) => "app-line-up-title",
            Some(Sheet::Wish) => "app-wish-title",
            Some(Sheet::Choice) => "app-choice-title",
            Some(Sheet::Measure) => "app-measure-title",
            Some(Sheet::Devices) => "devices-title",
            Some(Sheet::Keep) => "safe-keep-title",
            Some(Sheet::Data) | None => "app-data-title",
        })
    };
    view! {
        <dialog
            node_ref=dialog
            class="sheet"
            aria-labelledby="sheet-title"
            data-test="sheet"
            on:close=move |_| app.sheet.set(None)
            on:cancel=move |_: web_sys::Event| app.sheet.set(None)
        >
            <div class="sheet-top">
                <h2 id="sheet-title">{title}</h2>
                <button
                    type="button"
                    class="btn quiet"
                    data-test="close-sheet"
                    on:click=move |_| app.sheet.set(None)
                >
                    {icon("close")}
                    <span>{t("app-close")}</span>
                </button>
            </div>
            <div class="sheet-body">
                {move || match app.sheet.get() {
                    None => ().into_any(),
                    Some(Sheet::Child(id)) => view! { <child::ChildSheet id/> }.into_any(),
                    Some(Sheet::NewClass) => view! { <class::NewClassSheet/> }.into_any(),
                    Some(Sheet::ClassName) => view! { <class::ClassNameSheet/> }.into_any(),
                    Some(Sheet::ChooseClass) => view! { <class::ChooseClassSheet/> }.into_any(),
                    Some(Sheet::Import) => view! { <import::ImportSheet/> }.into_any(),
                    Some(Sheet::LineUp) => view! { <line_up::LineUpSheet/> }.into_any(),
                    Some(Sheet::Wish) => view! { <today::WishSheet/> }.into_any(),
                    Some(Sheet::Choice) => view! { <lanes::ChoiceSheet/> }.into_any(),
                    Some(Sheet::Measure) => view! { <measure::MeasureSheet/> }.into_any(),
                    Some(Sheet::Data) => view! { <DataSheet/> }.into_any(),
                    Some(Sheet::Devices) => view! { <devices::DevicesSheet/> }.into_any(),
                    Some(Sheet::Keep) => view! { <keep::KeepSheet/> }.into_any(),
                }}
            </div>
            <ToastLine in_sheet=true/>
        </dialog>
    }
}

/// Where the data is, what waits, and how lengths are shown.
#[component]
fn DataSheet() -> impl IntoView {
    let app = app();
    let counts = Memo::new(move |_| {
        app.local.with(|local| {
            local.as_ref().map_or((0, 0, 0), |local| {
                let refused = local.outbox.values().filter(|entry| entry.refused.is_some()).count();
                (local.records.len(), local.outbox.len() - refused, refused)
            })
        })
    });
    let count = |number: usize| Arg::Count(number as i64);
    let reasons = move || {
        app.local.with(|local| {
            let mut reasons: Vec<RefusalReason> = local
                .iter()
                .flat_map(|local| local.outbox.values().filter_map(|entry| entry.refused))
                .collect();
            reasons.dedup();
            reasons
                .into_iter()
                .map(|reason| {
                    notice(
                        "bad",
                        Message::new(match reason {
                            RefusalReason::ClockAhead => "app-refused-clock-ahead",
                            RefusalReason::OtherSchool => "app-refused-other-school",
                            RefusalReason::BadBody => "app-refused-bad-body",
                            RefusalReason::OtherRole => "app-refused-other-role",
                            RefusalReason::OtherLane => "app-refused-other-lane",
                            RefusalReason::Other => "app-refused-other",
                        }),
                    )
                })
                .collect_view()
        })
    };
    view! {
        <section class="stack">
            {move || app.update_ready.get().then(|| view! { <Update/> })}
            {move || {
                let said = match app.contact.get() {
                    Contact::Unknown => Message::new("app-contact-unknown"),
                    Contact::Open => Message::new("app-contact-open"),
                    Contact::NoAnswer => Message::new("app-contact-no-answer"),
                    Contact::Stranger => devices::stranger_text(app),
                    Contact::OtherSchool => Message::new("app-contact-other-school"),
                    Contact::OtherVersion => Message::new("app-contact-other-version"),
                };
                let kind = match app.contact.get() {
                    Contact::Open => "good",
                    Contact::Unknown | Contact::NoAnswer => "note",
                    _ => "warn",
                };
                notice(kind, said)
            }}
            <p>{move || {
                let (records, ..) = counts.get();
                app.say(&Message::new("app-data-here").with("count", count(records)))
            }}</p>
            <p data-test="waiting-count" data-count=move || counts.get().1.to_string()>{move || {
                app.say(&Message::new("app-data-waiting").with("count", count(counts.get().1)))
            }}</p>
            {reasons}
            {move || (counts.get().2 > 0).then(|| view! {
                <button
                    type="button"
                    class="btn"
                    data-test="send-refused"
                    on:click=move |_| app.retry_refused()
                >
                    {t("app-send-refused")}
                </button>
            })}
            // What the server has confirmed is safe there, whatever the browser does.
            {move || {
                let words = match preference("lanewright-kept").as_deref() {
                    Some("yes") => Some("app-data-kept"),
                    Some(_) => (counts.get().1 > 0).then_some("app-data-not-kept"),
                    None => Some("app-data-not-asked"),
                };
                words.map(|words| view! { <p class="soft" data-test="data-kept">{app.get(words)}</p> })
            }}
            {move || app.not_kept.get().map(|why| view! { <p class="soft">{t(not_kept_words(why))}</p> })}
            <div class="row">
                <button type="button" class="btn" data-test="send-now" on:click=move |_| sync::trigger(app)>
                    {icon("sent")}
                    <span>{t("app-send-now")}</span>
                </button>
                <button type="button" class="btn" data-test="save-copy" on:click=move |_| save_copy(app)>
                    {icon("file")}
                    <span>{t("app-save-copy")}</span>
                </button>
            </div>
        </section>
        <devices::DevicesSection/>
        <keep::KeepButton/>
        <section class="stack">
            <Choice
                label="app-units"
                test="units"
                options=vec![
                    (Units::Metric, "app-units-metric", "metric"),
                    (Units::FeetInches, "app-units-feet", "feet"),
                ]
                chosen=app.units
                choose=move |units| app.choose_units(units)
            />
            <Choice
                label="app-language"
                test="language"
                options=vec![
                    (Language::English, "app-language-english", "en"),
                    (Language::German, "app-language-german", "de"),
                ]
                chosen=app.language
                choose=move |language| app.choose_language(language)
            />
        </section>
        <section class="stack soft">
            <p>{t("app-data-privacy")}</p>
        </section>
    }
}

/// Hands the person a file with every record on this device, in the open form that `lanewright import` reads.
pub fn save_copy(app: App) {
    let written = app.local.with_untracked(|local| {
        local.as_ref().map(|local| {
            let text = write_json(local.device.school, local.records.values(), now_ms());
            (text, local.records.len())
        })
    });
    if let Some((text, count)) = written {
        let day = app.today.get_untracked();
        offer_file(&format!("lanewright-{day}.json"), "application/json", &text);
        let said = Message::new("data-said-copy").with("count", Arg::Count(count as i64));
        app.tell(said, false, false);
    }
}

/// Offers a text as a file to be saved.
pub fn offer_file(name: &str, kind: &str, text: &str) {
    use wasm_bindgen::{JsCast, JsValue};
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    let Ok(blob) = web_sys::Blob::new_with_str_sequence_and_options(&parts, &options) else { return };
    let Ok(url) = web_sys::Url::create_object_url_with_blob(&blob) else { return };
    if let Some(document) = web_sys::window().and_then(|window| window.document())
        && let Ok(element) = document.create_element("a")
        && let Ok(link) = element.dyn_into::<web_sys::HtmlAnchorElement>()
    {
        link.set_href(&url);
        link.set_download(name);
        link.click();
    }
    set_timeout(
        move || {
            let _ = web_sys::Url::revoke_object_url(&url);
        },
        std::time::Duration::from_secs(10),
    );
}
