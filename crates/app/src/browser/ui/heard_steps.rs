//! What is asked and offered after a run was heard, for the spacing: distance and time of a free run, and whether
//! the gap sounds too close or too far.

use std::time::Duration;

use lanewright_model::{Arg, Message, Verdict};
use leptos::prelude::*;

use super::measure::{EFFORTS, LargeField, save_steps};
use super::parts::{Choice, Field, app, focus, notice, t};
use super::trackside::track;
use crate::browser::app::App;
use crate::logic::entry::EntryError;
use crate::logic::heard::{Entry, GapSaid, Judged, free_run};
use crate::logic::trackside::Child;

/// A tap on the big button this soon after saving is a wet finger.
const BOUNCE: Duration = Duration::from_millis(350);

/// The free run as it is being written down.
#[derive(Clone, Copy)]
pub struct FreeRun {
    /// Free running is recorded, not a lane.
    pub on: RwSignal<bool>,
    distance: RwSignal<String>,
    distance_error: RwSignal<Option<EntryError>>,
    time: RwSignal<String>,
    time_error: RwSignal<Option<EntryError>>,
    /// Effort in percent, where the coach chose one here.
    effort: RwSignal<Option<u32>>,
    saving: RwSignal<bool>,
}

impl FreeRun {
    /// Returns an empty one.
    pub fn new() -> Self {
        Self {
            on: RwSignal::new(false),
            distance: RwSignal::new(String::new()),
            distance_error: RwSignal::new(None),
            time: RwSignal::new(String::new()),
            time_error: RwSignal::new(None),
            effort: RwSignal::new(None),
            saving: RwSignal::new(false),
        }
    }

    /// Whether a step is on its way to the disk, or just was.
    pub fn is_busy(self) -> bool {
        self.saving.get()
    }

    /// Effort in percent: what was chosen, else what is asked of the class.
    fn effort(self, app: App) -> u32 {
        self.effort.get().unwrap_or_else(|| {
            app.class
                .with(|class| class.as_ref().map_or(60, |class| (class.choice.effort * 100.0).round() as u32))
        })
    }

    /// Saves the step of a heard run; `saved` is called when it is on disk. The distance stays for the next child.
    pub fn save(self, app: App, child: &Child, cadence: (f64, f64), saved: impl Fn() + 'static) {
        if self.saving.get_untracked() {
            return;
        }
        let effort = f64::from(untrack(|| self.effort(app))) / 100.0;
        let units = app.units.get_untracked();
        let (distance, time) = (self.distance.get_untracked(), self.time.get_untracked());
        match free_run(cadence, &distance, &time, effort, units) {
            Ok(observation) => {
                self.saving.set(true);
                save_steps(app, child.id.clone(), observation, move |done| {
                    set_timeout(move || self.saving.set(false), BOUNCE);
                    if done {
                        self.time.set(String::new());
                        saved();
                    }
                });
            }
            Err((Entry::Distance, message)) => {
                self.distance_error.set(Some(message));
                focus("heard-distance");
            }
            Err((Entry::Time, message)) => {
                self.time_error.set(Some(message));
                focus("heard-time");
            }
        }
    }
}

/// Over hurdles, or free running.
#[component]
pub fn WhatIsRun(
    /// Where the choice stands.
    free: FreeRun,
) -> impl IntoView {
    view! {
        <Choice
            label="heard-what"
            test="heard-what"
            options=vec![(false, "heard-what-lane", "lane"), (true, "heard-what-free", "free")]
            chosen=free.on
            choose=move |on| free.on.set(on)
        />
    }
}

/// Distance, time and effort of a free run whose cadence was heard.
#[component]
pub fn FreeRunForm(
    /// Where the entries stand.
    free: FreeRun,
    /// Whether the take carries a cadence.
    heard: bool,
    /// Is told to save.
    #[prop(into)]
    save: Callback<()>,
) -> impl IntoView {
    let app = app();
    if !heard {
        return view! { <div data-test="heard-no-cadence">{notice("warn", Message::new("heard-no-cadence"))}</div> }
            .into_any();
    }
    let effort = Signal::derive(move || free.effort(app));
    view! {
        <form
            class="stack"
            data-test="heard-form"
            on:submit=move |event| {
                event.prevent_default();
                save.run(());
            }
        >
            <h2>{t("heard-step-title")}</h2>
            <p>{t("heard-step-how")}</p>
            <div class="heard-fields">
                <LargeField
                    label="app-run-distance"
                    id="heard-distance"
                    value=free.distance
                    error=free.distance_error
                />
                <Field
                    label="app-run-time"
                    hint="heard-time-hint"
                    id="heard-time"
                    mode="decimal"
                    value=free.time
                    error=free.time_error
                />
            </div>
            <Choice
                label="app-run-effort"
                test="heard-effort"
                options=EFFORTS.to_vec()
                chosen=effort
                choose=move |percent| free.effort.set(Some(percent))
            />
        </form>
    }
    .into_any()
}

/// Whether the gap sounds too close, right or too far, and the judgement to agree to.
#[component]
pub fn GapSounds(
    /// What is said; follows the child.
    said: Memo<Option<GapSaid>>,
    /// What the coach agreed to.
    agreed: RwSignal<Option<Judged>>,
) -> impl IntoView {
    let app = app();
    let track = track();
    let likely = move |judged: Judged| {
        let name = track.child.with_untracked(|child| child.as_ref().map(|child| child.name.clone()));
        let agree = Message::new(match judged.verdict {
            Verdict::TooClose => "heard-agree-close",
            Verdict::Right => "heard-agree-right",
            Verdict::TooFar => "heard-agree-far",
        })
        .text("name", name.unwrap_or_default())
        .with("gap", Arg::GapM(judged.gap_m));
        let (sentence, mine, tapped) = (judged.said.clone(), judged.clone(), judged);
        view! {
            <div class="stack" data-test="heard-gap">
                <h2>{t("heard-gap-title")}</h2>
                <p data-test="heard-gap-said">{move || app.say(&sentence)}</p>
                <button
                    type="button"
                    class="fault"
                    data-test="heard-agree"
                    aria-pressed=move || agreed.with(|agreed| agreed.as_ref() == Some(&mine)).to_string()
                    on:click=move |_| agreed.update(|agreed| {
                        *agreed = (agreed.as_ref() != Some(&tapped)).then(|| tapped.clone());
                    })
                >
                    {move || app.say(&agree)}
                </button>
                <p class="soft">{t("heard-gap-look")}</p>
            </div>
        }
    };
    move || match said.get() {
        None => ().into_any(),
        Some(GapSaid::NotEnough) => {
            view! { <p class="soft" data-test="heard-gap-not-enough">{t("heard-gap-not-enough")}</p> }
                .into_any()
        }
        Some(GapSaid::Likely(judged)) => likely(judged).into_any(),
    }
}
