//! Findings under pressure: what an exit sprint and more effort do to a child's running, times with errors, turns.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_draw::Style;
use lanewright_draw::knocks::{RateRange, rate_row};
use lanewright_model::timing::BoutView;
use lanewright_model::{Arg, Message};
use lanewright_science::decide::{Options, PressureVerdict, Rate};
use lanewright_science::pressure::{self, UnderPressure};
use lanewright_science::sprint::Speed;
use leptos::prelude::*;

use super::findings::{day_and_clock, drill_name, name_of};
use super::parts::{app, t};
use super::timing::{method_words, time_words};
use super::trackside::track;
use crate::browser::app::{App, LADDER};
use crate::browser::now_ms;
use crate::logic::pressure::{ChildTimes, Exit, child_times, is_told, method_of};
use crate::logic::sound::steps_heard;
use crate::logic::turns::{passes_drop_off, summary_of};

/// Runs with times that a table shows: the latest.
const RUNS_SHOWN: usize = 6;

/// Everything that is found under pressure.
#[derive(Debug, Clone, PartialEq, Default)]
struct Pressed {
    judged: Vec<UnderPressure>,
    times: BTreeMap<String, ChildTimes>,
    bouts: Vec<BoutView>,
}

/// Returns the day on this device.
fn day_of(at_ms: i64) -> jiff::civil::Date {
    let day = js_sys::Date::new(&(at_ms as f64).into());
    jiff::civil::Date::new(day.get_full_year() as i16, day.get_month() as i8 + 1, day.get_date() as i8)
        .unwrap_or(jiff::civil::date(1970, 1, 1))
}

fn find(app: App) -> Pressed {
    let now = jiff::Timestamp::from_millisecond(now_ms() as i64).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let options = Options { now, losses: Default::default() };
    let Some(class) = app.class.get() else { return Pressed::default() };
    let checks = app.school.with(|school| school.clock_checks.clone());
    let (attempts, _) = class.attempts(&checks);
    let hurdles = track()
        .lanes
        .with(|lanes| lanes.iter().map(|lane| (lane.lane.clone(), lane.hurdles)).collect::<BTreeMap<_, _>>());
    let hurdles_of = |lane: &str| hurdles.get(lane).or(hurdles.values().next()).copied().unwrap_or_default();
    Pressed {
        judged: pressure::all(&class.observations(), &LADDER, &steps_heard(&class.runs), &options),
        times: child_times(&attempts, &class.stretches, day_of, hurdles_of),
        bouts: class.bouts.clone(),
    }
}

fn verdict_words(verdict: PressureVerdict) -> (&'static str, &'static str) {
    match verdict {
        PressureVerdict::Holds => ("pressed-holds", "move-on"),
        PressureVerdict::Breaks => ("pressed-breaks", "step-back"),
        PressureVerdict::NotEnoughSeen => ("pressed-open", "not-enough"),
    }
}

/// Everybody of whom something was seen, in the order of the list.
#[component]
pub fn PressurePart() -> impl IntoView {
    let app = app();
    let pressed = Memo::new(move |_| find(app));
    let open: StoredValue<BTreeSet<String>> = StoredValue::new(BTreeSet::new());
    view! {
        <p class="soft">{t("pressed-how")}</p>
        {move || {
            let pressed = pressed.get();
            let order: Vec<String> = app.class.with(|class| {
                let runners = class.iter().flat_map(|class| &class.runners);
                runners.map(|view| view.runner.id.0.clone()).collect()
            });
            let rows: Vec<AnyView> =
                order.iter().filter_map(|runner| child_row(app, &pressed, runner, open)).collect();
            if rows.is_empty() {
                return view! { <p class="lead">{t("pressed-none")}</p> }.into_any();
            }
            view! { <ul class="findings-list card" data-test="pressed-list">{rows}</ul> }.into_any()
        }}
    }
}

fn child_row(
    app: App,
    pressed: &Pressed,
    runner: &str,
    open: StoredValue<BTreeSet<String>>,
) -> Option<AnyView> {
    let judged: Vec<&UnderPressure> =
        pressed.judged.iter().filter(|judged| judged.runner == runner).collect();
    let times = pressed.times.get(runner);
    let turns = summary_of(&pressed.bouts, runner);
    if judged.is_empty() && times.is_none() && turns.is_none() {
        return None;
    }
    // What breaks goes before what holds, and both before what is open.
    let verdicts = judged.iter().filter_map(|judged| judged.sprint.as_ref().map(|sprint| sprint.verdict));
    let verdict = verdicts
        .min_by_key(|verdict| match verdict {
            PressureVerdict::Breaks => 0,
            PressureVerdict::Holds => 1,
            PressureVerdict::NotEnoughSeen => 2,
        })
        .unwrap_or(PressureVerdict::NotEnoughSeen);
    let (words, slug) = verdict_words(verdict);
    let name = name_of(app, runner);
    let data_name = name.clone();
    let highest = judged
        .iter()
        .filter_map(|judged| judged.ladder.highest_effort)
        .fold(None, |most, effort| Some(most.map_or(effort, |most: f64| most.max(effort))));
    let last = times.and_then(|times| times.runs.first()?.times.last().cloned());
    let short = [
        highest.map(|effort| Message::new("pressed-up-to").with("effort", Arg::Share(effort))),
        last.map(|(at_m, time)| {
            Message::new("timing-at")
                .with("at", Arg::GapM(at_m))
                .with("time", Arg::Say(Box::new(time_words(&time))))
        }),
    ];
    let short = short.into_iter().flatten().map(|words| app.say(&words)).collect::<Vec<_>>().join(" · ");
    let drills = judged.into_iter().map(|judged| drill_part(app, judged)).collect_view();
    let times = times.map(|times| times_part(app, times));
    let turns = turns.map(|turns| {
        let rate = turns.one_step.map(|rate| {
            Message::new("pressed-one-step")
                .with("turns", Arg::Count(turns.turns.into()))
                .with("mean", Arg::Share(rate.mean))
                .with("low", Arg::Share(rate.low))
                .with("high", Arg::Share(rate.high))
        });
        let bouts = Message::new("pressed-bouts")
            .with("bouts", Arg::Count(turns.bouts.into()))
            .with("falls", Arg::Count(turns.falls.into()));
        let drop = passes_drop_off(&pressed.bouts, runner).map(|drop| drop.words());
        view! {
            <h3>{t("pressed-turns")}</h3>
            <p>{app.say(&bouts)}</p>
            {rate.map(|rate| view! { <p data-test="one-step-rate">{app.say(&rate)}</p> })}
            {drop.map(|drop| view! { <p>{app.say(&drop)}</p> })}
        }
    });
    let id = runner.to_owned();
    let is_open = open.with_value(|open| open.contains(&id));
    Some(
        view! {
            <li class=format!("finding pressed {slug}") data-test="pressed" data-name=data_name data-verdict=slug>
                <details open=is_open>
                    <summary on:click=move |_| open.update_value(|open| {
                        if !open.remove(&id) {
                            open.insert(id.clone());
                        }
                    })>
                        <b class="name">{name}</b>
                        <span class=format!("next-step {slug}")>{t(words)}</span>
                        <span class="soft number short">{short}</span>
                    </summary>
                    <div class="finding-more">{drills}{times}{turns}</div>
                </details>
            </li>
        }
        .into_any(),
    )
}

/// Returns a share or a difference of shares, and its range in a line below.
fn range(app: App, rate: &Rate) -> impl IntoView {
    let between =
        Message::new("pressed-between").with("low", Arg::Share(rate.low)).with("high", Arg::Share(rate.high));
    view! {
        <b>{app.show(Arg::Share(rate.mean))}</b>
        <span class="between soft">{app.say(&between)}</span>
    }
}

fn drill_part(app: App, judged: &UnderPressure) -> AnyView {
    let drill = drill_name(app, &judged.drill);
    let why = judged.why.iter().map(|why| app.say(why)).collect::<Vec<_>>().join(" ");
    let sprint = judged.sprint.as_ref().map(|sprint| {
        view! {
            <tr>
                <th scope="row">{t("pressed-clean-sprint")}</th>
                <td class="number">{range(app, &sprint.clean_rate)}</td>
                <td class="number">{range(app, &sprint.difference)}</td>
                <td>{t(verdict_words(sprint.verdict).0)}</td>
            </tr>
        }
    });
    let contrasts = [
        ("pressed-rhythm", &judged.rhythm),
        ("pressed-evenness", &judged.evenness),
        ("pressed-effort", &judged.effort),
    ];
    let contrasts = contrasts
        .into_iter()
        .filter_map(|(words, contrast)| {
            let contrast = contrast.as_ref()?;
            Some(view! {
                <tr>
                    <th scope="row">{t(words)}</th>
                    <td class="number">{range(app, &contrast.under)}</td>
                    <td class="number">{range(app, &contrast.difference)}</td>
                    <td>{t(verdict_words(contrast.verdict).0)}</td>
                </tr>
            })
        })
        .collect_view();
    let any = judged.sprint.is_some() || judged.rhythm.is_some() || judged.effort.is_some();
    let table = any.then(|| {
        view! {
            <table class="plain-table">
                <thead>
                    <tr>
                        <th scope="col">{t("pressed-what")}</th>
                        <th scope="col">{t("pressed-under")}</th>
                        <th scope="col">{t("pressed-difference")}</th>
                        <th scope="col">{t("pressed-verdict")}</th>
                    </tr>
                </thead>
                <tbody>{sprint}{contrasts}</tbody>
            </table>
        }
    });
    let steps = judged
        .ladder
        .steps
        .iter()
        .map(|step| {
            let effort = app.show(Arg::Share(step.effort));
            let rate = RateRange {
                mean: step.clean_rate.mean,
                low: step.clean_rate.low,
                high: step.clean_rate.high,
                needed: step.needed,
                enough: step.verdict != PressureVerdict::NotEnoughSeen,
            };
            let figure = app.words.with(|words| rate_row(&effort, &rate, 200.0, &words.0, Style::Screen));
            view! {
                <tr>
                    <th scope="row">{effort}</th>
                    <td>
                        <span class="rate" inner_html=figure.svg></span>
                        <span class="number">{range(app, &step.clean_rate)}</span>
                    </td>
                    <td class="number">{step.hurdles}</td>
                    <td>{t(verdict_words(step.verdict).0)}</td>
                </tr>
            }
        })
        .collect_view();
    let ladder = (!judged.ladder.steps.is_empty()).then(|| {
        view! {
            <table class="plain-table efforts">
                <thead>
                    <tr>
                        <th scope="col">{t("pressed-effort-col")}</th>
                            <th scope="col">{t("pressed-clean")}</th>
                        <th scope="col">{t("pressed-hurdles")}</th>
                        <th scope="col">{t("pressed-verdict")}</th>
                    </tr>
                </thead>
                <tbody>{steps}</tbody>
            </table>
        }
    });
    view! {
        <h3>{drill}</h3>
        <p>{why}</p>
        <div class="table-scroll">{table}</div>
        <div class="table-scroll">{ladder}</div>
    }
    .into_any()
}

fn speed_words(app: App, speed: &Speed) -> AnyView {
    let shown = |mps: f64| Arg::SpeedMps(mps);
    match speed.high_mps {
        Some(high) => {
            let between =
                Message::new("pressed-between").with("low", shown(speed.low_mps)).with("high", shown(high));
            view! {
                <b>{app.show(shown(speed.speed_mps))}</b>
                <span class="between soft">{app.say(&between)}</span>
            }
            .into_any()
        }
        // The stretch is too short for this timing: only how fast it was at least.
        None => {
            let least = Message::new("pressed-speed-least").with("low", shown(speed.low_mps));
            app.say(&least).into_any()
        }
    }
}

fn times_part(app: App, times: &ChildTimes) -> AnyView {
    let rows = times
        .runs
        .iter()
        .take(RUNS_SHOWN)
        .map(|run| {
            let at = jiff::Timestamp::from_millisecond(run.at_ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
            let marks = run.times.iter().map(|(at_m, time)| {
                app.say(
                    &Message::new("timing-at")
                        .with("at", Arg::GapM(*at_m))
                        .with("time", Arg::Say(Box::new(time_words(time)))),
                )
            });
            let marks = marks.map(|mark| view! { <span class="number">{mark}</span> }).collect_view();
            let (method, clocks_s) = method_of(run);
            let method = app.say(&method_words(method, clocks_s));
            let exit = run.exit.as_ref().map(|exit| match exit {
                Exit::Speed(speed) => speed_words(app, speed),
                Exit::ShortByHand(length_m) => {
                    let short = Message::new("pressed-exit-short").with("exit", Arg::GapM(*length_m));
                    view! { <span class="soft">{app.say(&short)}</span> }.into_any()
                }
            });
            view! {
                <tr>
                    <th scope="row" class="number">{day_and_clock(app, at)}<br/><span class="soft">{method}</span></th>
                    <td class="stacked">{marks}</td>
                    <td class="number" data-test="exit-speed">{exit.unwrap_or_else(|| "–".into_any())}</td>
                </tr>
            }
        })
        .collect_view();
    let change = times.change.as_ref().map(|(change, error)| {
        let gain = Message::new("pressed-gain")
            .with("gain", Arg::TimeS(change.gain.median))
            .with("low", Arg::TimeS(change.gain.low))
            .with("high", Arg::TimeS(change.gain.high));
        let least = Message::new("pressed-least").with("least", Arg::TimeS(change.smallest_told));
        let (words, basis) = (change.words(), error.words());
        let least = (!is_told(change)).then(|| app.say(&least));
        view! {
            <p data-test="change"><b>{app.say(&words)}</b>" "{app.say(&gain)}" "{least}</p>
            <p class="soft">{app.say(&basis)}</p>
        }
    });
    let cost = times.cost.as_ref().map(|cost| {
        let words = Message::new("pressed-cost")
            .with("cost", Arg::TimeS(cost.seconds.median))
            .with("low", Arg::TimeS(cost.seconds.low))
            .with("high", Arg::TimeS(cost.seconds.high));
        view! { <p data-test="hurdles-cost">{app.say(&words)}</p> }
    });
    let drop = times.drop.as_ref().map(|drop| {
        let words = drop.words();
        view! { <p data-test="drop-off">{app.say(&words)}</p> }
    });
    view! {
        <h3>{t("pressed-times")}</h3>
        <div class="table-scroll">
            <table class="plain-table times-table">
                <thead>
                    <tr>
                        <th scope="col">{t("pressed-when")}</th>
                        <th scope="col">{t("pressed-time")}</th>
                        <th scope="col">{t("pressed-exit")}</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
        {change}
        {cost}
        {drop}
    }
    .into_any()
}
