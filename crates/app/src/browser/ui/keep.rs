//! How long things are kept: the rule, what it would take and when, and children who are on no list any more.

use lanewright_model::erasure::{Going, RetentionBody};
use lanewright_model::record::Body;
use lanewright_model::{Arg, Message};
use leptos::prelude::*;

use super::devices::day_text;
use super::icons::icon;
use super::parts::{Choices, app, t};
use crate::browser::app::{App, Sheet};
use crate::browser::now_ms;
use crate::logic::{erase, keep};

/// Days to choose from: until somebody erases it, then about one, two and three years.
const CHOICES: [Option<u32>; 4] = [None, Some(365), Some(730), Some(1095)];
/// The same for children who are on no list any more: a month is long enough to notice a slip.
const OFF_CHOICES: [Option<u32>; 4] = [None, Some(30), Some(180), Some(365)];

/// The way to the sheet, for coaches.
#[component]
pub fn KeepButton() -> impl IntoView {
    let app = app();
    move || {
        (!app.helps.get()).then(|| {
            view! {
                <button
                    type="button"
                    class="btn"
                    data-test="keep"
                    on:click=move |_| app.sheet.set(Some(Sheet::Keep))
                >
                    {icon("lesson")}
                    <span>{t("safe-keep-title")}</span>
                </button>
            }
        })
    }
}

fn stored(app: App) -> RetentionBody {
    let school = app.local.with(|local| local.as_ref().map(|local| local.device.school.0.to_string()));
    match school.and_then(|school| app.stored("retention", &school)) {
        Some(Body::Retention(body)) => body,
        _ => RetentionBody::default(),
    }
}

/// Looks at the records that are on this device.
fn with_records<T: Default>(app: App, look: impl FnOnce(&[&lanewright_sync::Record]) -> T) -> T {
    app.local.with(|local| {
        local.as_ref().map(|local| look(&local.records.values().collect::<Vec<_>>())).unwrap_or_default()
    })
}

/// One rule out of a few; a rule that another program set is offered as well.
#[component]
fn Days(
    /// Words of the label.
    label: &'static str,
    /// Test attribute; each button adds `-` and its days.
    test: &'static str,
    choices: [Option<u32>; 4],
    chosen: RwSignal<Option<u32>>,
    before: Option<u32>,
) -> impl IntoView {
    let app = app();
    let mut all = choices.to_vec();
    if !all.contains(&before) {
        all.push(before);
    }
    let buttons = all
        .into_iter()
        .map(|days| {
            let words = move || match days {
                None => app.get("safe-keep-always"),
                Some(days) if days % 365 == 0 => {
                    app.say(&Message::new("safe-keep-years").with("count", Arg::Count(i64::from(days / 365))))
                }
                Some(days) => {
                    app.say(&Message::new("safe-keep-days").with("count", Arg::Count(i64::from(days))))
                }
            };
            view! {
                <button
                    type="button"
                    class="choice"
                    data-test=format!("{test}-{}", days.unwrap_or(0))
                    aria-pressed=move || (chosen.get() == days).to_string()
                    on:click=move |_| chosen.set(days)
                >
                    {words}
                </button>
            }
        })
        .collect_view();
    view! { <Choices label>{buttons}</Choices> }
}

/// What goes, as a list.
fn goes(app: App, going: &Going) -> AnyView {
    let sentences = erase::said(going);
    view! {
        <ul class="facts" data-test="keep-goes">
            {sentences
                .into_iter()
                .map(|said| view! { <li><span>{move || app.say(&said)}</span></li> })
                .collect_view()}
        </ul>
    }
    .into_any()
}

/// The whole sheet.
#[component]
pub fn KeepSheet() -> impl IntoView {
    let app = app();
    let before = untrack(|| stored(app));
    let seen = RwSignal::new(before.keep_days);
    let off = RwSignal::new(before.off_list_days);
    let (seen_before, off_before) = (before.keep_days, before.off_list_days);
    let rule =
        Memo::new(move |_| RetentionBody { keep_days: seen.get(), off_list_days: off.get(), ..stored(app) });
    let is_new = Memo::new(move |_| {
        let now = stored(app);
        (now.keep_days, now.off_list_days) != (seen.get(), off.get())
    });
    let outlook = Memo::new(move |_| {
        with_records(app, |records| rule.with(|rule| keep::outlook(records.iter().copied(), rule, now_ms())))
    });
    let save = move || {
        let Some(change) = app.school_change(&Body::Retention(rule.get_untracked())) else { return };
        app.save(Message::new("safe-keep-said"), vec![change]);
    };
    view! {
        <section class="stack">
            <p>{t("safe-keep-lead")}</p>
            <Days label="safe-keep-seen" test="keep-seen" choices=CHOICES chosen=seen before=seen_before/>
            <Days label="safe-keep-off" test="keep-off" choices=OFF_CHOICES chosen=off before=off_before/>
            <p class="soft">{t("safe-keep-stays")}</p>
        </section>
        <section class="stack" aria-live="polite">
            {move || outlook.with(|outlook| {
                let total = outlook.now.total();
                let next = outlook.next.map(|day| app.day(day));
                let now = if total > 0 {
                    let goes = goes(app, &outlook.now);
                    view! { <p><b>{t("safe-keep-goes-now")}</b></p>{goes} }.into_any()
                } else {
                    view! { <p data-test="keep-nothing">{t("safe-keep-nothing-now")}</p> }.into_any()
                };
                view! {
                    {now}
                    {next.map(|day| view! {
                        <p data-test="keep-next">{move || {
                            app.say(&Message::new("safe-keep-next").text("day", day.clone()))
                        }}</p>
                    })}
                }
            })}
            {move || is_new.get().then(|| {
                let takes = outlook.with(|outlook| outlook.now.total() > 0);
                view! {
                    {takes.then(|| view! { <p class="soft">{t("safe-keep-when")}</p> })}
                    <div class="row">
                        <button
                            type="button"
                            class=if takes { "btn danger" } else { "btn go" }
                            data-test="keep-save"
                            on:click=move |_| save()
                        >
                            {takes.then(|| icon("warning"))}
                            <span>{t(if takes { "safe-keep-save-goes" } else { "app-save" })}</span>
                        </button>
                    </div>
                }
            })}
        </section>
        <OffLists/>
    }
}

/// Children who are on no list any more, and the way to erase them at once.
#[component]
fn OffLists() -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let children = Memo::new(move |_| {
        with_records(app, |records| keep::unlisted(records.iter().copied()).into_iter().collect::<Vec<_>>())
    });
    let ids = move || children.with(|children| children.iter().map(|(id, _)| id.clone()).collect::<Vec<_>>());
    let rows = move || {
        children
            .get()
            .into_iter()
            .map(|(_, (name, since_ms))| {
                let since = Message::new("safe-keep-off-since")
                    .text("name", name)
                    .text("day", day_text(app, since_ms.div_euclid(86_400_000)));
                view! { <li><span>{move || app.say(&since)}</span></li> }
            })
            .collect_view()
    };
    move || {
        children.with(|children| !children.is_empty()).then(|| {
            view! {
                <section class="stack erase" data-test="off-lists">
                    <h3>{t("safe-keep-off-title")}</h3>
                    <p class="soft">{t("safe-keep-off-why")}</p>
                    <ul class="facts">{rows}</ul>
                    {move || if open.get() {
                        let going = with_records(app, |records| {
                            keep::going_with(records.iter().copied(), &ids())
                        });
                        let (told, erased) = (goes(app, &going), StoredValue::new(going));
                        view! {
                            <p><b>{t("data-erase-goes")}</b></p>
                            {told}
                            <div class="row">
                                <button type="button" class="btn" on:click=move |_| open.set(false)>
                                    {t("data-erase-keep")}
                                </button>
                                <button
                                    type="button"
                                    class="btn danger"
                                    data-test="off-lists-do"
                                    on:click=move |_| {
                                        open.set(false);
                                        app.erase_all(erased.get_value());
                                    }
                                >
                                    {icon("warning")}
                                    <span>{t("data-erase-do")}</span>
                                </button>
                            </div>
                        }
                        .into_any()
                    } else {
                        view! {
                            <div class="row">
                                <button
                                    type="button"
                                    class="btn"
                                    data-test="off-lists-erase"
                                    on:click=move |_| open.set(true)
                                >
                                    {icon("warning")}
                                    <span>{t("safe-keep-off-erase")}</span>
                                </button>
                            </div>
                        }
                        .into_any()
                    }}
                </section>
            }
        })
    }
}
