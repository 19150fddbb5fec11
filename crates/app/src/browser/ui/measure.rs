//! Measuring steps at the field: a tape, a counted run, or trying gaps. The lanes follow at once.

use std::collections::BTreeMap;

use lanewright_model::drill::DrillId;
use lanewright_model::record::{Body, Measured, MeasurementBody};
use lanewright_model::{Arg, Message, Presence, StrideObservation, Verdict};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::child::measurement;
use super::kit::Stepper;
use super::parts::{Choice, Field, app, focus, notice, t};
use super::today::ChildSelect;
use crate::browser::app::{App, LADDER, new_id};
use crate::logic::change::Change;
use crate::logic::entry::{self, Bare};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum How {
    Try,
    Tape,
    Run,
}

/// Efforts that are asked for of a free run: percent of top speed, word, name for tests.
pub const EFFORTS: [(u32, &str, &str); 4] = [
    (40, "app-effort-easy", "40"),
    (60, "app-effort-learning", "60"),
    (75, "app-effort-brisk", "75"),
    (100, "app-effort-full", "100"),
];

/// The sheet.
#[component]
pub fn MeasureSheet() -> impl IntoView {
    let how = RwSignal::new(How::Try);
    view! {
        <Choice
            label="app-measure-how"
            test="measure-how"
            options=vec![
                (How::Try, "app-measure-try", "try"),
                (How::Tape, "app-measure-tape", "tape"),
                (How::Run, "app-measure-run", "run"),
            ]
            chosen=how
            choose=move |chosen| how.set(chosen)
        />
        {move || match how.get() {
            How::Try => view! { <TryGaps/> }.into_any(),
            How::Tape => view! { <Tape/> }.into_any(),
            How::Run => view! { <CountedRun/> }.into_any(),
        }}
    }
}

/// The main drill of the class that is shown.
fn main_drill(app: App) -> DrillId {
    app.class
        .with(|class| class.as_ref().and_then(|class| class.choice.drills.first().cloned()))
        .unwrap_or_else(|| DrillId("alternate-run".into()))
}

/// Children who run today: id, label, own gap now.
fn running(app: App) -> Vec<(String, String, Option<f64>)> {
    let gaps: BTreeMap<String, f64> = app.plan.with(|plan| match plan {
        Some(Ok(plan)) => {
            plan.runners.iter().map(|runner| (runner.id.0.clone(), runner.spacing_m.median)).collect()
        }
        _ => BTreeMap::new(),
    });
    app.class.with(|class| {
        class
            .iter()
            .flat_map(|class| &class.runners)
            .filter(|view| matches!(view.presence, Presence::Present | Presence::Easy))
            .map(|view| {
                let id = view.runner.id.0.clone();
                let gap = gaps.get(&id).copied();
                (id, view.runner.label.clone(), gap)
            })
            .collect()
    })
}

/// Two gaps for the whole class in three minutes: one tap per child and gap.
#[component]
fn TryGaps() -> impl IntoView {
    let app = app();
    // Gaps worth trying: those that the lanes have, else round ones near a step.
    let suggested = {
        let mut gaps: Vec<i64> = app.plan.with_untracked(|plan| match plan {
            Some(Ok(plan)) => plan.lanes.iter().map(|lane| (lane.spacing_m * 100.0).round() as i64).collect(),
            _ => vec![110, 130, 150],
        });
        gaps.sort_unstable();
        gaps.dedup();
        gaps
    };
    let gap_cm = RwSignal::new(suggested.get(suggested.len() / 2).copied().unwrap_or(120));
    let drill = untrack(|| main_drill(app));
    let drill_name = Message::new("app-try-how")
        .with("drill", Arg::Say(Box::new(Message::new(&format!("drill-{drill}")))));
    let order: Vec<(String, String)> = {
        let mut all = untrack(|| running(app));
        all.sort_by(|a, b| a.2.partial_cmp(&b.2).unwrap_or(std::cmp::Ordering::Equal));
        all.into_iter().map(|(id, label, _)| (id, label)).collect()
    };
    let gaps_now = Memo::new(move |_| {
        running(app).into_iter().map(|(id, _, gap)| (id, gap)).collect::<BTreeMap<_, _>>()
    });
    let rows = order
        .into_iter()
        .map(|(id, label)| {
            let (for_gap, for_verdict) = (id.clone(), id.clone());
            let drill = StoredValue::new(drill.clone());
            let given = Memo::new(move |_| {
                let gap_m = gap_cm.get() as f64 / 100.0;
                drill
                    .with_value(|drill| verdict_today(app, &for_verdict, drill, gap_m))
                    .map(|(_, verdict)| verdict)
            });
            let own = move || {
                gaps_now.with(|all| all.get(&for_gap).copied().flatten()).map(|gap| app.show(Arg::GapM(gap)))
            };
            let name = label.clone();
            let buttons = [
                (Verdict::TooClose, "app-too-close", "close"),
                (Verdict::Right, "app-right", "right"),
                (Verdict::TooFar, "app-too-far", "far"),
            ]
            .map(|(verdict, words, slug)| {
                let (id, label) = (id.clone(), label.clone());
                view! {
                    <button
                        type="button"
                        class=format!("verdict {slug}")
                        data-test=format!("verdict-{slug}")
                        aria-pressed=move || (given.get() == Some(verdict)).to_string()
                        on:click=move |_| {
                            let gap_m = gap_cm.get_untracked() as f64 / 100.0;
                            drill.with_value(|drill| judge(app, &id, &label, drill, gap_m, verdict));
                        }
                    >
                        {t(words)}
                    </button>
                }
            });
            view! {
                <li class="try-row" data-test="try-row" data-name=name>
                    <p><b class="name">{label.clone()}</b><span class="soft number">{own}</span></p>
                    <div class="verdicts">{buttons.collect_view()}</div>
                </li>
            }
        })
        .collect_view();
    view! {
        <p>{move || app.say(&drill_name)}</p>
        <div class="stack sticky">
            <fieldset class="choices">
                <legend class="label">{t("app-gap-standing")}</legend>
                <div class="gap-stepper">
                    <button
                        type="button"
                        class="step"
                        data-test="gap-less"
                        on:click=move |_| gap_cm.update(|gap| *gap = (*gap - 5).max(20))
                    >
                        <span aria-hidden="true">"−"</span>
                        <span class="sr">{t("app-less")}</span>
                    </button>
                    <output class="gap number" data-test="gap-now">
                        {move || app.show(Arg::GapM(gap_cm.get() as f64 / 100.0))}
                    </output>
                    <button
                        type="button"
                        class="step"
                        data-test="gap-more"
                        on:click=move |_| gap_cm.update(|gap| *gap = (*gap + 5).min(300))
                    >
                        <span aria-hidden="true">"+"</span>
                        <span class="sr">{t("app-more")}</span>
                    </button>
                </div>
                <div class="even choice-row">
                    {suggested
                        .into_iter()
                        .map(|gap| {
                            view! {
                                <button
                                    type="button"
                                    class="choice"
                                    aria-pressed=move || (gap_cm.get() == gap).to_string()
                                    on:click=move |_| gap_cm.set(gap)
                                >
                                    {move || app.show(Arg::GapM(gap as f64 / 100.0))}
                                </button>
                            }
                        })
                        .collect_view()}
                </div>
            </fieldset>
        </div>
        <ul class="try-list">{rows}</ul>
    }
}

/// The verdict given today for that gap, with its record.
fn verdict_today(app: App, id: &str, drill: &DrillId, gap_m: f64) -> Option<(String, Verdict)> {
    let day = app.today.get();
    let view = app.runner(id)?;
    view.measurements.iter().rev().find_map(|(record, on, measured)| match measured {
        Measured::Steps { observation: StrideObservation::Trial { drill: tried, gap_m: stood, verdict } }
            if *on == Some(day) && tried == drill && (stood - gap_m).abs() < 1e-6 =>
        {
            Some((record.clone(), *verdict))
        }
        _ => None,
    })
}

/// Returns what has to be written for a verdict to stand today: nothing where it stands already; another one for
/// the same gap is taken back.
pub fn verdict_changes(app: App, id: &str, drill: &DrillId, gap_m: f64, verdict: Verdict) -> Vec<Change> {
    let before = untrack(|| verdict_today(app, id, drill, gap_m));
    if before.as_ref().is_some_and(|(_, given)| *given == verdict) {
        return Vec::new();
    }
    let mut changes = taken_back(app, before.map(|(record, _)| record));
    let observation = StrideObservation::Trial { drill: drill.clone(), gap_m, verdict };
    let body = measurement(id, app.today.get_untracked(), Measured::Steps { observation });
    changes.extend(app.change(&new_id(), &body));
    changes
}

fn taken_back(app: App, record: Option<String>) -> Vec<Change> {
    let Some(record) = record else { return Vec::new() };
    let Some(Body::Measurement(body)) = app.stored("measurement", &record) else { return Vec::new() };
    app.change(&record, &Body::Measurement(MeasurementBody { void: true, ..body })).into_iter().collect()
}

/// Writes a verdict; another one for the same gap today corrects it, the same one again takes it back.
fn judge(app: App, id: &str, label: &str, drill: &DrillId, gap_m: f64, verdict: Verdict) {
    let before = untrack(|| verdict_today(app, id, drill, gap_m));
    let again = before.as_ref().is_some_and(|(_, given)| *given == verdict);
    let changes = match again {
        true => taken_back(app, before.map(|(record, _)| record)),
        false => verdict_changes(app, id, drill, gap_m, verdict),
    };
    let words = match (again, verdict) {
        (true, _) => "app-said-verdict-back",
        (_, Verdict::TooClose) => "app-said-too-close",
        (_, Verdict::Right) => "app-said-right",
        (_, Verdict::TooFar) => "app-said-too-far",
    };
    let said = Message::new(words).text("name", label).with("gap", Arg::GapM(gap_m));
    app.save(said, changes);
}

/// Saves an observation of a child and says what the own gap is now; `clear` is told whether it is saved.
pub fn save_steps(app: App, id: String, observation: StrideObservation, clear: impl Fn(bool) + 'static) {
    let Some(view) = app.runner_now(&id) else { return clear(false) };
    let body = measurement(&id, app.today.get_untracked(), Measured::Steps { observation });
    let changes = app.change(&new_id(), &body).into_iter().collect();
    let label = view.runner.label.clone();
    spawn_local(async move {
        if !app.save_now(Message::new("app-said-steps").text("name", label.clone()), changes).await {
            return clear(false);
        }
        // The lanes are new by now: say what this child's own gap is.
        let gap = app.laid.with_untracked(|plan| match plan {
            Some(Ok(plan)) => plan
                .runners
                .iter()
                .find(|runner| runner.id.0 == id)
                .map(|runner| (runner.spacing_m.median, runner.lane.clone())),
            _ => None,
        });
        if let Some((gap_m, lane)) = gap {
            let said = Message::new("app-said-own-gap")
                .text("name", label)
                .with("gap", Arg::GapM(gap_m))
                .text("lane", lane);
            app.tell(said, true, false);
        }
        clear(true);
    });
}

#[component]
fn Tape() -> impl IntoView {
    let app = app();
    let child = RwSignal::new(String::new());
    let steps = RwSignal::new(4u32);
    let distance = RwSignal::new(String::new());
    let distance_error = RwSignal::new(None);
    let missing = RwSignal::new(false);
    let drill = untrack(|| main_drill(app));
    let walk = LADDER.get(&drill.0).is_some_and(|drill| drill.walk);
    let save = move || {
        if child.get_untracked().is_empty() {
            missing.set(true);
            return;
        }
        let steps_taken = steps.get_untracked();
        let low = 0.2 * f64::from(steps_taken);
        let high = 3.0 * f64::from(steps_taken);
        match entry::length_within_m(
            &distance.get_untracked(),
            Bare::Large,
            app.units.get_untracked(),
            low,
            high,
        ) {
            Ok(distance_m) => {
                let observation = StrideObservation::Tape {
                    drill: walk.then(|| drill.clone()),
                    distance_m,
                    steps: steps_taken,
                };
                save_steps(app, child.get_untracked(), observation, move |saved| {
                    if saved {
                        distance.set(String::new());
                        focus("tape-distance");
                    }
                });
            }
            Err(message) => {
                distance_error.set(Some(message));
                focus("tape-distance");
            }
        }
    };
    view! {
        <form
            class="stack"
            on:submit=move |event| {
                event.prevent_default();
                save();
            }
        >
            <p>{t(if walk { "app-tape-how-walk" } else { "app-tape-how" })}</p>
            <ChildSelect label="app-measure-child" id="tape-child" chosen=child/>
            <div class="stock">
                <span class="stock-name">{t("app-steps-counted")}</span>
                <Stepper
                    label=Signal::derive(t("app-steps-counted"))
                    test="tape-steps".to_owned()
                    value=steps
                    low=1
                    high=40
                    change=move |count: u32| steps.set(count)
                />
            </div>
            <LargeField label="app-tape-distance" id="tape-distance" value=distance error=distance_error/>
            {move || (missing.get() && child.with(String::is_empty)).then(|| notice("bad", Message::new("app-measure-who")))}
            <button type="submit" class="btn go wide" data-test="save-tape">{t("app-save")}</button>
        </form>
    }
}

/// A field for a distance, with the hint that fits the units.
#[component]
pub fn LargeField(
    /// Words of the label.
    label: &'static str,
    /// Id of the field, and its test attribute.
    id: &'static str,
    /// What stands in it.
    value: RwSignal<String>,
    /// What is wrong with it.
    error: RwSignal<Option<Message>>,
) -> impl IntoView {
    let app = app();
    let hint = match app.units.get_untracked() {
        lanewright_model::words::Units::Metric => "app-hint-m",
        lanewright_model::words::Units::FeetInches => "app-hint-ft",
    };
    view! { <Field label hint id mode="decimal" value error/> }
}

#[component]
fn CountedRun() -> impl IntoView {
    let app = app();
    let child = RwSignal::new(String::new());
    let steps = RwSignal::new(12u32);
    let distance = RwSignal::new(match app.units.get_untracked() {
        lanewright_model::words::Units::Metric => "15".to_owned(),
        lanewright_model::words::Units::FeetInches => "50 ft".to_owned(),
    });
    let distance_error = RwSignal::new(None);
    let time = RwSignal::new(String::new());
    let time_error = RwSignal::new(None);
    let effort = RwSignal::new(app.class.with_untracked(|class| {
        class.as_ref().map_or(60, |class| (class.choice.effort * 100.0).round() as u32)
    }));
    let missing = RwSignal::new(false);
    let save = move || {
        if child.get_untracked().is_empty() {
            missing.set(true);
            return;
        }
        let count = steps.get_untracked();
        let low = 0.2 * f64::from(count);
        let high = 3.0 * f64::from(count);
        let distance_m = match entry::length_within_m(
            &distance.get_untracked(),
            Bare::Large,
            app.units.get_untracked(),
            low,
            high,
        ) {
            Ok(distance_m) => distance_m,
            Err(message) => {
                distance_error.set(Some(message));
                focus("run-distance");
                return;
            }
        };
        let time_s = if time.get_untracked().trim().is_empty() {
            None
        } else {
            match entry::number(&time.get_untracked()) {
                // Slower than walking and faster than any runner is a slip of the thumb.
                Ok(time_s) if (0.5..=11.0).contains(&(distance_m / time_s)) => Some(time_s),
                Ok(_) => {
                    time_error.set(Some(Message::new("app-time-range")));
                    focus("run-time");
                    return;
                }
                Err(message) => {
                    time_error.set(Some(message));
                    focus("run-time");
                    return;
                }
            }
        };
        let effort = f64::from(effort.get_untracked()) / 100.0;
        let observation = StrideObservation::TimedRun {
            distance_m,
            steps: count,
            time_s,
            effort,
            cadence_hz: None,
            cadence_sd_hz: None,
        };
        save_steps(app, child.get_untracked(), observation, move |saved| {
            if saved {
                time.set(String::new());
            }
        });
    };
    view! {
        <form
            class="stack"
            on:submit=move |event| {
                event.prevent_default();
                save();
            }
        >
            <p>{t("app-run-how")}</p>
            <ChildSelect label="app-measure-child" id="run-child" chosen=child/>
            <LargeField label="app-run-distance" id="run-distance" value=distance error=distance_error/>
            <div class="stock">
                <span class="stock-name">{t("app-steps-counted")}</span>
                <Stepper
                    label=Signal::derive(t("app-steps-counted"))
                    test="run-steps".to_owned()
                    value=steps
                    low=2
                    high=120
                    change=move |count: u32| steps.set(count)
                />
            </div>
            <Field label="app-run-time" hint="app-run-time-hint" id="run-time" mode="decimal" value=time error=time_error/>
            <Choice
                label="app-run-effort"
                test="run-effort"
                options=EFFORTS.to_vec()
                chosen=effort
                choose=move |percent| effort.set(percent)
            />
            {move || (missing.get() && child.with(String::is_empty)).then(|| notice("bad", Message::new("app-measure-who")))}
            <button type="submit" class="btn go wide" data-test="save-run">{t("app-save")}</button>
        </form>
    }
}
