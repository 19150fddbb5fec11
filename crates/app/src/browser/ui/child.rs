//! One child: label, sex, age, sizes, measured steps.

use jiff::civil::Date;
use lanewright_model::erasure::Target;
use lanewright_model::record::{Body, Measured, MeasurementBody, RunnerAboutBody, RunnerLabelBody};
use lanewright_model::{Age, Arg, Message, Sex, StrideObservation, Verdict};
use leptos::prelude::*;

use super::erase::Erase;
use super::icons::icon;
use super::parts::{Choice, Field, app, focus, t};
use crate::browser::app::{App, new_id};
use crate::logic::change::Change;
use crate::logic::entry::{self, Bare, EntryError};

/// Shortest and tallest stature that is taken, in metres.
const STATURE_M: (f64, f64) = (0.6, 2.3);
/// Shortest and longest leg that is taken, in metres.
const LEG_M: (f64, f64) = (0.25, 1.3);
/// Youngest and oldest age that is taken, in years.
const AGE_Y: (f64, f64) = (3.0, 25.0);

#[derive(Clone, Copy)]
struct Form {
    label: RwSignal<String>,
    sex: RwSignal<Option<Sex>>,
    born: RwSignal<String>,
    age: RwSignal<String>,
    stature: RwSignal<String>,
    leg: RwSignal<String>,
    label_error: RwSignal<Option<EntryError>>,
    born_error: RwSignal<Option<EntryError>>,
    age_error: RwSignal<Option<EntryError>>,
    stature_error: RwSignal<Option<EntryError>>,
    leg_error: RwSignal<Option<EntryError>>,
}

/// The sheet for one child.
#[component]
pub fn ChildSheet(
    /// Runner id.
    id: String,
) -> impl IntoView {
    let app = app();
    let Some(view) = app.runner_now(&id) else {
        return view! { <p>{t("app-child-gone")}</p> }.into_any();
    };
    let runner = view.runner.clone();
    let units = app.units.get_untracked();
    let small = |length_cm: Option<f64>| {
        RwSignal::new(
            length_cm.map(|cm| entry::show_length(cm / 100.0, Bare::Small, units)).unwrap_or_default(),
        )
    };
    let (born, age) = match runner.age {
        Some(Age::Born(date)) => (date.to_string(), String::new()),
        Some(Age::Years { age_y, .. }) => (String::new(), app.show(Arg::Number(age_y))),
        None => (String::new(), String::new()),
    };
    let form = Form {
        label: RwSignal::new(runner.label.clone()),
        sex: RwSignal::new(runner.sex),
        born: RwSignal::new(born),
        age: RwSignal::new(age),
        stature: small(runner.stature_cm),
        leg: small(runner.leg_length_cm),
        label_error: RwSignal::new(None),
        born_error: RwSignal::new(None),
        age_error: RwSignal::new(None),
        stature_error: RwSignal::new(None),
        leg_error: RwSignal::new(None),
    };
    let (length_hint, length_mode) = match units {
        lanewright_model::words::Units::Metric => ("app-hint-cm", "decimal"),
        lanewright_model::words::Units::FeetInches => ("app-hint-ft", "text"),
    };
    let save_id = id.clone();
    let save = move || {
        if let Some(changes) = changes(app, &save_id, form) {
            app.sheet.set(None);
            let said = Message::new("app-said-child").text("name", form.label.get_untracked().trim());
            app.save(said, changes);
        }
    };
    let label = runner.label.clone();
    let off_id = id.clone();
    let take_off = move |_| {
        let Some(Body::RunnerLabel(body)) = app.stored("runner-label", &off_id) else { return };
        let body = Body::RunnerLabel(RunnerLabelBody { gone: true, ..body });
        let changes = app.change(&off_id, &body).into_iter().collect();
        app.sheet.set(None);
        app.save(Message::new("app-said-off-list").text("name", label.clone()), changes);
    };
    view! {
        <form
            class="stack"
            on:submit=move |event| {
                event.prevent_default();
                save();
            }
        >
            <Field label="app-child-label" hint="app-child-label-hint" id="child-label" value=form.label error=form.label_error/>
            <Choice
                label="app-child-sex"
                test="child-sex"
                options=vec![
                    (Some(Sex::Female), "app-sex-girl", "girl"),
                    (Some(Sex::Male), "app-sex-boy", "boy"),
                    (None, "app-sex-none", "none"),
                ]
                chosen=form.sex
                choose=move |sex| form.sex.set(sex)
            />
            <div class="pair">
                <Field label="app-child-stature" hint=length_hint id="child-stature" mode=length_mode value=form.stature error=form.stature_error/>
                <Field label="app-child-leg" hint=length_hint id="child-leg" mode=length_mode value=form.leg error=form.leg_error/>
            </div>
            <div class="pair">
                <Field label="app-child-age" hint="app-child-age-hint" id="child-age" mode="decimal" value=form.age error=form.age_error/>
                <Field label="app-child-born" hint="app-child-born-hint" id="child-born" kind="date" value=form.born error=form.born_error/>
            </div>
            <p class="soft">{t("app-child-why")}</p>
            <button type="submit" class="btn go wide" data-test="save-child">{t("app-save")}</button>
        </form>
        <Steps id=id.clone()/>
        <hr/>
        <div class="row">
            <button type="button" class="btn" data-test="take-off" on:click=take_off>
                {t("app-take-off")}
            </button>
        </div>
        <hr/>
        <Erase target=Target::Runner(id) name=runner.label/>
    }
    .into_any()
}

/// Reads the form; `None`: something has to be changed first, and says what.
fn changes(app: App, id: &str, form: Form) -> Option<Vec<Change>> {
    let view = app.runner_now(id)?;
    let before = view.runner;
    let units = app.units.get_untracked();
    let day = app.today.get_untracked();
    let mut wrong: Option<&'static str> = None;
    let mut fail = |error: RwSignal<Option<EntryError>>, message: EntryError, field: &'static str| {
        error.set(Some(message));
        wrong = wrong.or(Some(field));
    };

    let label = form.label.get_untracked().split_whitespace().collect::<Vec<_>>().join(" ");
    if label.is_empty() {
        fail(form.label_error, Message::new("app-label-missing"), "child-label");
    }
    let length = |text: RwSignal<String>, limits: (f64, f64)| {
        let text = text.get_untracked();
        if text.trim().is_empty() {
            return Ok(None);
        }
        entry::length_within_m(&text, Bare::Small, units, limits.0, limits.1)
            .map(|length_m| Some(length_m * 100.0))
    };
    let stature_cm = length(form.stature, STATURE_M).unwrap_or_else(|message| {
        fail(form.stature_error, message, "child-stature");
        None
    });
    let leg_cm = length(form.leg, LEG_M).unwrap_or_else(|message| {
        fail(form.leg_error, message, "child-leg");
        None
    });
    let age_text = form.age.get_untracked();
    let age_y = if age_text.trim().is_empty() {
        None
    } else {
        match entry::number(&age_text) {
            Ok(age_y) if (AGE_Y.0..=AGE_Y.1).contains(&age_y) => Some(age_y),
            Ok(_) => {
                fail(form.age_error, Message::new("app-age-range"), "child-age");
                None
            }
            Err(message) => {
                fail(form.age_error, message, "child-age");
                None
            }
        }
    };
    let born_text = form.born.get_untracked();
    let born = if born_text.trim().is_empty() {
        None
    } else {
        let oldest = Date::new(day.year() - AGE_Y.1 as i16, 1, 1).unwrap_or(Date::MIN);
        let youngest = Date::new(day.year() - AGE_Y.0 as i16 + 1, 1, 1).unwrap_or(day).min(day);
        entry::date(&born_text, oldest, youngest).map(Some).unwrap_or_else(|message| {
            fail(form.born_error, message, "child-born");
            None
        })
    };
    if let Some(field) = wrong {
        focus(field);
        return None;
    }

    let mut changes = Vec::new();
    if label != before.label
        && let Some(Body::RunnerLabel(body)) = app.stored("runner-label", id)
    {
        changes.extend(app.change(id, &Body::RunnerLabel(RunnerLabelBody { label, ..body })));
    }
    let about_before = match app.stored("runner-about", id) {
        Some(Body::RunnerAbout(body)) => body,
        _ => RunnerAboutBody::default(),
    };
    let about = RunnerAboutBody {
        sex: form.sex.get_untracked(),
        age_y,
        age_on: match (age_y, age_y == about_before.age_y) {
            (None, _) => None,
            (Some(_), true) => about_before.age_on,
            (Some(_), false) => Some(day),
        },
        birth_date: born,
        unknown: about_before.unknown.clone(),
    };
    if about != about_before {
        changes.extend(app.change(id, &Body::RunnerAbout(about)));
    }
    let same = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 0.051,
        (a, b) => a.is_none() && b.is_none(),
    };
    let mut measured =
        |old: Option<f64>, new: Option<f64>, is: fn(&Measured) -> bool, what: fn(f64) -> Measured| {
            if same(old, new) {
                return;
            }
            // A value corrected on the day it was taken, or taken out, voids what stood there;
            // a new one later is growth.
            for (record, on, written) in &view.measurements {
                if is(written)
                    && (new.is_none() || *on == Some(day))
                    && let Some(Body::Measurement(body)) = app.stored("measurement", record)
                {
                    let body = Body::Measurement(MeasurementBody { void: true, ..body });
                    changes.extend(app.change(record, &body));
                }
            }
            if let Some(new) = new {
                changes.extend(app.change(&new_id(), &measurement(id, day, what(new))));
            }
        };
    measured(
        before.stature_cm,
        stature_cm,
        |measured| matches!(measured, Measured::Stature { .. }),
        |stature_cm| Measured::Stature { stature_cm },
    );
    measured(
        before.leg_length_cm,
        leg_cm,
        |measured| matches!(measured, Measured::LegLength { .. }),
        |leg_length_cm| Measured::LegLength { leg_length_cm },
    );
    Some(changes)
}

/// Returns the body of a measurement made today.
pub fn measurement(runner: &str, day: Date, measured: Measured) -> Body {
    Body::Measurement(MeasurementBody {
        runner: runner.to_owned(),
        on: Some(day),
        measured,
        void: false,
        unknown: Default::default(),
    })
}

/// What was measured or tried, each with a button that takes it back.
#[component]
fn Steps(id: String) -> impl IntoView {
    let app = app();
    let rows = move || {
        app.runner(&id)
            .map(|view| {
                view.measurements
                    .iter()
                    .filter_map(|(record, on, measured)| match measured {
                        Measured::Steps { observation } => {
                            Some((record.clone(), *on, step_words(app, observation)))
                        }
                        _ => None,
                    })
                    .collect::<Vec<_>>()
            })
            .unwrap_or_default()
    };
    view! {
        <section class="stack">
            <h3>{t("app-steps-title")}</h3>
            {
                let rows = rows.clone();
                move || rows().is_empty().then(|| view! { <p class="soft">{t("app-steps-none")}</p> })
            }
            <ul class="facts">
                <For each=rows key=|row| row.0.clone() let:row>
                    {
                        let (record, on, words) = row;
                        let take_back = move |_| {
                            let Some(Body::Measurement(body)) = app.stored("measurement", &record) else { return };
                            let body = Body::Measurement(MeasurementBody { void: true, ..body });
                            let changes = app.change(&record, &body).into_iter().collect();
                            app.save(Message::new("app-said-measurement-back"), changes);
                        };
                        view! {
                            <li>
                                <span>{words}" "<span class="soft">{on.map(|on| on.to_string())}</span></span>
                                <button type="button" class="btn quiet" on:click=take_back>
                                    {icon("undo")}
                                    <span>{t("app-take-back")}</span>
                                </button>
                            </li>
                        }
                    }
                </For>
            </ul>
        </section>
    }
}

/// Says one observation in words.
fn step_words(app: App, observation: &StrideObservation) -> String {
    let drill = |id: &lanewright_model::DrillId| Arg::Say(Box::new(Message::new(&format!("drill-{id}"))));
    app.say(&match observation {
        StrideObservation::StepLength { step_length_m } => {
            Message::new("app-step-length").with("length", Arg::GapM(*step_length_m))
        }
        StrideObservation::Tape { distance_m, steps, .. } => Message::new("app-step-tape")
            .with("distance", Arg::GapM(*distance_m))
            .with("steps", Arg::Count((*steps).into())),
        StrideObservation::TimedRun {
            distance_m,
            time_s: Some(time_s),
            cadence_hz: Some(cadence_hz),
            ..
        } => Message::new("app-step-heard")
            .with("distance", Arg::MeasuredM(*distance_m))
            .with("time", Arg::Number(*time_s))
            .with("cadence", Arg::Decimals(*cadence_hz, 1))
            .with("step", Arg::GapM(distance_m / time_s / cadence_hz)),
        StrideObservation::TimedRun { distance_m, steps, time_s: Some(time_s), .. } => {
            Message::new("app-step-timed")
                .with("distance", Arg::MeasuredM(*distance_m))
                .with("steps", Arg::Count((*steps).into()))
                .with("time", Arg::Number(*time_s))
        }
        StrideObservation::TimedRun { distance_m, steps, time_s: None, .. } => {
            Message::new("app-step-counted")
                .with("distance", Arg::MeasuredM(*distance_m))
                .with("steps", Arg::Count((*steps).into()))
        }
        StrideObservation::Trial { drill: id, gap_m, verdict } => Message::new(match verdict {
            Verdict::TooClose => "app-step-too-close",
            Verdict::Right => "app-step-right",
            Verdict::TooFar => "app-step-too-far",
        })
        .with("gap", Arg::GapM(*gap_m))
        .with("drill", drill(id)),
    })
}
