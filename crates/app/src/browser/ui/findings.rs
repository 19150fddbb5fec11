//! Findings: by child, by lane, and whom to watch. Ranges and sentences; nobody is ranked.

use std::collections::{BTreeMap, BTreeSet};

use lanewright_draw::Style;
use lanewright_draw::knocks::{HurdleKnocks, RateRange, knock_strip, rate_row};
use lanewright_model::run::{Observation, Run};
use lanewright_model::school::RunView;
use lanewright_model::{Arg, Message};
use lanewright_science::cause::{Causes, cause};
use lanewright_science::coach::{Advice, Peer, advise};
use lanewright_science::decide::{Action, ClassModel, Decision, Options};
use lanewright_science::normal::Z_95;
use lanewright_science::proportion::wilson;
use lanewright_science::verdict;
use lanewright_science::watch::{self, WatchNext};
use leptos::prelude::*;

use super::icons::icon;
use super::papers::utc_offset_s;
use super::parts::{Choice, app, notice, t};
use super::trackside::{clock, short, take_out, taken_out, taken_out_row};
use crate::browser::app::{App, LADDER, Screen};
use crate::browser::learner::learner;
use crate::browser::now_ms;

/// Children that the list of whom to watch shows: more than a coach can keep in mind is no help.
const WATCH_SHOWN: usize = 6;

/// Parts of the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Children,
    Lanes,
    Watch,
    Pressure,
    Papers,
}

/// What is unfolded, by runner and drill; it stays so when runs change and everything is found anew.
#[derive(Clone, Copy)]
struct Unfolded {
    rows: StoredValue<BTreeSet<(String, String)>>,
    runs: StoredValue<BTreeSet<(String, String)>>,
}

/// Puts a key into a set or takes it out.
fn keep(set: StoredValue<BTreeSet<(String, String)>>, key: &(String, String), there: bool) {
    set.update_value(|set| {
        if there {
            set.insert(key.clone())
        } else {
            set.remove(key)
        };
    });
}

/// Everything that is found, computed together when runs change.
#[derive(Debug, Clone, PartialEq)]
struct Found {
    decisions: Vec<Decision>,
    causes: Option<Causes>,
    watch: Vec<WatchNext>,
    advice: BTreeMap<(String, String), Advice>,
}

fn find(app: App) -> Found {
    let now = jiff::Timestamp::from_millisecond(now_ms() as i64).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let options = Options { now, losses: Default::default() };
    let Some(class) = app.class.get() else {
        return Found { decisions: vec![], causes: None, watch: vec![], advice: BTreeMap::new() };
    };
    let observations = class.observations();
    let known = learner().known(&observations);
    let model = match &known {
        Some(known) => ClassModel::with(&observations, &LADDER, &options, known),
        None => ClassModel::learn(&observations, &LADDER, &options),
    };
    let runs: Vec<&Run> = class.runs.iter().map(|view| &view.run).collect();
    // The causes of today's lanes: set-ups of other days stood elsewhere.
    let latest = runs.iter().map(|run| run.at.as_millisecond()).max().unwrap_or(0);
    const HALF_DAY_MS: i64 = 43_200_000;
    let recent: Vec<&Run> =
        runs.iter().copied().filter(|run| run.at.as_millisecond() > latest - HALF_DAY_MS).collect();
    let causes = cause(&recent, &LADDER);
    // What the cards say, too, and whether one of these lanes is to be looked at first.
    let ask = verdict::Ask { utc_offset_s: utc_offset_s(), ..verdict::Ask::new(&LADDER) };
    let lanes = verdict::Lanes::new(&recent, causes.as_ref());
    let decisions = verdict::Class::new(&observations, ask, Some(model.known())).verdicts(Some(&lanes));
    let candidates: Vec<(String, String)> = app.laid.with(|plan| match plan {
        Some(Ok(plan)) => {
            let drill = plan.drills.first().map(|drill| drill.0.clone()).unwrap_or_default();
            plan.runners.iter().map(|runner| (runner.id.0.clone(), drill.clone())).collect()
        }
        _ => Vec::new(),
    });
    let watch = watch::next(&model, &observations, &candidates, &options);
    let advice = advices(app, &decisions, &observations);
    Found { decisions, causes, watch, advice }
}

/// For each child and drill with a fault in the last watched run: is it the gap or the technique?
fn advices(
    app: App,
    decisions: &[Decision],
    observations: &[Observation],
) -> BTreeMap<(String, String), Advice> {
    let gaps: BTreeMap<String, f64> = app.laid.with(|plan| match plan {
        Some(Ok(plan)) => {
            plan.runners.iter().map(|runner| (runner.id.0.clone(), runner.spacing_m.median)).collect()
        }
        _ => BTreeMap::new(),
    });
    let last = |runner: &str, drill: &str| -> Option<&Run> {
        observations
            .iter()
            .filter_map(|observation| match observation {
                Observation::Run(run) if run.runner == runner && run.drill == drill => Some(run),
                _ => None,
            })
            .max_by_key(|run| run.at)
    };
    let mut advices = BTreeMap::new();
    for decision in decisions {
        let Some(run) = last(&decision.runner, &decision.drill) else { continue };
        let (Some(fault), Some(own), Some(lane_gap)) =
            (run.faults.first(), gaps.get(&decision.runner), run.gap_m)
        else {
            continue;
        };
        let peers: Vec<Peer> = decisions
            .iter()
            .filter(|other| other.runner != decision.runner && other.drill == decision.drill)
            .filter_map(|other| {
                let seen = last(&other.runner, &other.drill).filter(|seen| seen.lane == run.lane)?;
                Some(Peer { own_gap_m: *gaps.get(&other.runner)?, shows: seen.faults.contains(fault) })
            })
            .collect();
        if let Some(advice) = advise(fault, *own, lane_gap, &peers) {
            advices.insert((decision.runner.clone(), decision.drill.clone()), advice);
        }
    }
    advices
}

/// The screen.
#[component]
pub fn FindingsScreen() -> impl IntoView {
    let app = app();
    let seen = Memo::new(move |_| {
        app.class.with(|class| {
            class.as_ref().is_some_and(|class| {
                let seen = class.runs.len() + class.sweeps.len() + class.timings.len() + class.bouts.len();
                seen > 0
            })
        })
    });
    let part = RwSignal::new(Part::Children);
    provide_context(Unfolded { rows: Default::default(), runs: Default::default() });
    let found = Memo::new(move |_| find(app));
    move || {
        if !seen.get() {
            return view! {
                <h1>{t("app-findings-title")}</h1>
                <p class="lead">{t("app-findings-none")}</p>
                <OtherOuts found/>
                <button type="button" class="btn go" on:click=move |_| app.go(Screen::Trackside)>
                    {t("app-to-trackside")}
                </button>
            }
            .into_any();
        }
        view! {
            <div class="title-row">
                <h1>{t("app-findings-title")}</h1>
                <button
                    type="button"
                    class="btn small"
                    data-test="print-counting"
                    on:click=move |_| super::lanes::print(app)
                >
                    {icon("print")}
                    <span>{t("app-findings-print-counting")}</span>
                </button>
            </div>
            <Choice
                label="app-findings-part"
                test="findings-part"
                options=vec![
                    (Part::Children, "app-findings-children", "children"),
                    (Part::Lanes, "app-findings-lanes", "lanes"),
                    (Part::Watch, "app-findings-watch", "watch"),
                    (Part::Pressure, "app-findings-pressure", "pressure"),
                    (Part::Papers, "app-findings-papers", "papers"),
                ]
                chosen=part
                choose=move |chosen| part.set(chosen)
            />
            {move || match part.get() {
                Part::Children => view! { <Children found/> }.into_any(),
                Part::Lanes => view! { <LaneFindings found/> }.into_any(),
                Part::Watch => view! { <Watch found/> }.into_any(),
                Part::Pressure => view! { <super::pressure::PressurePart/> }.into_any(),
                Part::Papers => view! { <super::papers::PapersPart/> }.into_any(),
            }}
        }
        .into_any()
    }
}

/// Returns what the coach calls a child.
pub fn name_of(app: App, runner: &str) -> String {
    app.runner(runner).map_or_else(|| "–".to_owned(), |view| view.runner.label)
}

fn action_words(action: Action) -> (&'static str, &'static str) {
    match action {
        Action::MoveOn => ("action-move-on", "move-on"),
        Action::Repeat => ("action-repeat", "repeat"),
        Action::StepBack => ("action-step-back", "step-back"),
        Action::NotEnoughSeen => ("action-not-enough-seen", "not-enough"),
    }
}

#[component]
fn Children(found: Memo<Found>) -> impl IntoView {
    let app = app();
    view! {
        <p class="soft">{t("app-findings-how")}</p>
        {move || {
            let found = found.get();
            let mut drills: Vec<String> =
                found.decisions.iter().map(|decision| decision.drill.clone()).collect();
            drills.sort_unstable();
            drills.dedup();
            // In the order of the ladder, slow drills first.
            let place = |id: &String| {
                LADDER.drills().iter().position(|drill| drill.id.0 == *id).unwrap_or(usize::MAX)
            };
            drills.sort_by_key(place);
            drills
                .into_iter()
                .map(|drill| {
                    let rows = in_list_order(app, &found, &drill)
                        .into_iter()
                        .map(|decision| {
                            let key = (decision.runner.clone(), decision.drill.clone());
                            child_row(app, decision, found.advice.get(&key))
                        })
                        .collect_view();
                    let name = drill_name(app, &drill);
                    view! {
                        <section class="card findings-drill" data-test="findings-drill">
                            <h2>{name}</h2>
                            <ul class="findings-list">{rows}</ul>
                        </section>
                    }
                })
                .collect_view()
        }}
        <OtherOuts found/>
    }
}

/// Runs that were taken out and stand under no child above, since nothing else was seen of it at that drill.
#[component]
fn OtherOuts(found: Memo<Found>) -> impl IntoView {
    let app = app();
    move || {
        let mut outs = taken_out(app);
        found.with(|found| {
            outs.retain(|out| {
                let shown = |decision: &Decision| {
                    decision.runner == out.run.runner && decision.drill == out.run.drill.0
                };
                !found.decisions.iter().any(shown)
            });
        });
        (!outs.is_empty()).then(|| {
            let rows = outs.into_iter().map(|out| {
                let drill = drill_name(app, &out.run.drill.0);
                taken_out_row(app, out, move |at| format!("{}, {drill}", day_and_clock(app, at)))
            });
            view! {
                <section class="card" data-test="other-outs">
                    <h2>{t("app-findings-other-outs")}</h2>
                    <ul class="last-runs dated">{rows.collect_view()}</ul>
                </section>
            }
        })
    }
}

/// Returns the name of a drill.
pub fn drill_name(app: App, drill: &str) -> String {
    let id = format!("drill-{drill}");
    let name = app.get(&id);
    if name == id { drill.to_owned() } else { name }
}

/// Children stand in the order of the class list, never in the order of their rates.
fn in_list_order<'a>(app: App, found: &'a Found, drill: &str) -> Vec<&'a Decision> {
    let order: BTreeMap<String, usize> = app.class.with(|class| {
        let runners = class.iter().flat_map(|class| &class.runners);
        runners.enumerate().map(|(place, view)| (view.runner.id.0.clone(), place)).collect()
    });
    let mut rows: Vec<&Decision> = found
        .decisions
        .iter()
        .filter(|decision| decision.drill == drill && order.contains_key(&decision.runner))
        .collect();
    rows.sort_by_key(|decision| order.get(&decision.runner).copied());
    rows
}

fn child_row(app: App, decision: &Decision, advice: Option<&Advice>) -> AnyView {
    let name = name_of(app, &decision.runner);
    let (words, slug) = action_words(decision.action);
    let rate = RateRange {
        mean: decision.clean_rate.mean,
        low: decision.clean_rate.low,
        high: decision.clean_rate.high,
        needed: decision.needed,
        enough: decision.action != Action::NotEnoughSeen,
    };
    let figure = app.words.with(|words| rate_row(&name, &rate, 320.0, &words.0, Style::Screen));
    let clean = Message::new("app-findings-clean")
        .with("mean", Arg::OfHundred(rate.mean))
        .with("low", Arg::OfHundred(rate.low))
        .with("high", Arg::OfHundred(rate.high));
    let (seen, pulled) = seen_words(app, decision);
    let why = decision
        .why
        .iter()
        .cloned()
        .map(|message| view! { <p>{move || app.say(&message)}</p> })
        .collect_view();
    let advice = advice.map(|advice| {
        let cue = Message::new("app-findings-cue").with("cue", Arg::Say(Box::new(advice.cue.clone())));
        let first = advice.why.clone().map(|why| notice("warn", why));
        let lane = advice.lane.clone();
        let cause = advice.cause.clone();
        let easier = advice.easier.first().map(|drill| {
            let message = Message::new("app-findings-easier").text("drill", drill_name(app, &drill.0));
            view! { <p class="soft">{move || app.say(&message)}</p> }
        });
        let lane_line = (advice.p_gap >= 0.5).then(|| view! { <p>{move || app.say(&lane)}</p> });
        view! {
            {first}
            {lane_line}
            <p class="cue">{move || app.say(&cue)}</p>
            <p class="soft">{move || app.say(&cause)}</p>
            {easier}
        }
    });
    let shown = name.clone();
    let key = (decision.runner.clone(), decision.drill.clone());
    let unfolded = expect_context::<Unfolded>();
    let row_open = unfolded.rows.with_value(|rows| rows.contains(&key));
    let runs_open = RwSignal::new(unfolded.runs.with_value(|runs| runs.contains(&key)));
    let (row_key, runs_key) = (key.clone(), key.clone());
    view! {
        <li class=format!("finding {slug}") data-test="finding" data-name=name data-action=slug>
            <details open=row_open>
                // The click, not the toggle after it: the row may be drawn anew between the two.
                <summary on:click=move |_| {
                    let open = unfolded.rows.with_value(|rows| rows.contains(&row_key));
                    keep(unfolded.rows, &row_key, !open);
                }>
                    <b class="name">{shown}</b>
                    <span class=format!("next-step {slug}")>{t(words)}</span>
                    <span class="rate" inner_html=figure.svg></span>
                </summary>
                <div class="finding-more">
                    <p class="number">{move || app.say(&clean)}</p>
                    <p class="soft" data-test="findings-seen">{move || app.say(&seen)}</p>
                    {pulled.then(|| view! { <p class="soft">{t("app-findings-pulled")}</p> })}
                    {why}
                    {advice}
                    <button
                        type="button"
                        class="link"
                        data-test="runs-of"
                        aria-expanded=move || runs_open.get().to_string()
                        on:click=move |_| {
                            runs_open.update(|open| *open = !*open);
                            keep(unfolded.runs, &runs_key, runs_open.get_untracked());
                        }
                    >
                        {t("app-findings-runs")}
                    </button>
                    {move || runs_open.get().then(|| runs_of(app, &key.0, &key.1))}
                </div>
            </details>
        </li>
    }
    .into_any()
}

/// The share that is shown may lie this far from the plain share of the runs before it is said why. Engineering
/// assumption: from there on people wonder.
const PULLED: f64 = 0.03;
/// Up to so many runs that is what draws it away (engineering assumption: more outweigh the class).
const FEW_RUNS: usize = 8;

/// Returns what a decision rests on, runs and looks at the whole lane apart, and whether the share that is shown is not
/// the plain one of the hurdles in the runs.
fn seen_words(app: App, decision: &Decision) -> (Message, bool) {
    let (runs, looks) = app.class.with_untracked(|class| {
        let own = |runner: &str, drill: &str| (runner, drill) == (&decision.runner, &decision.drill);
        let runs = class.iter().flat_map(|class| &class.runs).map(|view| &view.run);
        let runs: Vec<Run> = runs.filter(|run| own(&run.runner, &run.drill)).cloned().collect();
        let looks = class.iter().flat_map(|class| &class.sweeps);
        (runs, looks.filter(|(_, look)| own(&look.runner, &look.drill)).count())
    });
    let met: u32 = runs.iter().map(Run::standing).sum();
    let knocked: u32 = runs.iter().map(|run| run.knocked.count()).sum();
    let of_runs = Message::new("app-findings-seen")
        .with("runs", Arg::Count(runs.len() as i64))
        .with("hurdles", Arg::Count(met.into()));
    let of_looks = Message::new("app-findings-looks").with("looks", Arg::Count(looks as i64));
    let said = match (runs.is_empty(), looks) {
        (_, 0) => of_runs,
        (true, _) => of_looks,
        (false, _) => Message::new("app-and")
            .with("first", Arg::Say(Box::new(of_runs)))
            .with("last", Arg::Say(Box::new(of_looks))),
    };
    let plain = f64::from(met.saturating_sub(knocked)) / f64::from(met.max(1));
    let few = met > 0 && runs.len() <= FEW_RUNS;
    (said, few && (plain - decision.clean_rate.mean).abs() >= PULLED)
}

/// Returns day and time on this device.
pub fn day_and_clock(app: App, at: jiff::Timestamp) -> String {
    let day = js_sys::Date::new(&(at.as_millisecond() as f64).into());
    // The browser counts months from 0; what it says of a day is a day.
    let (month, date) = (day.get_month() as i8 + 1, day.get_date() as i8);
    let day = jiff::civil::Date::new(day.get_full_year() as i16, month, date).unwrap_or_default();
    format!("{}, {}", app.day(day), clock(at))
}

/// The runs of one child at one drill, latest first, and those that were taken out: each way can be gone back.
fn runs_of(app: App, runner: &str, drill: &str) -> impl IntoView + use<> {
    let mine: Vec<RunView> = app.class.with_untracked(|class| {
        let runs = class.iter().flat_map(|class| class.runs.iter().rev());
        runs.filter(|view| view.run.runner == runner && view.run.drill == drill).cloned().collect()
    });
    let out = untrack(|| taken_out(app));
    let out = out.into_iter().filter(|out| out.run.runner == runner && out.run.drill.0 == drill);
    let out = out.map(|out| taken_out_row(app, out, move |at| day_and_clock(app, at))).collect_view();
    let rows = mine
        .into_iter()
        .map(|view| {
            let at = day_and_clock(app, view.run.at);
            let (said_at, what) = (at.clone(), short(&view));
            view! {
                <li class="last-run" data-test="run-of">
                    <span class="soft number">{at}</span>
                    <span class="last-run-text">{move || app.say(&what)}</span>
                    <button
                        type="button"
                        class="btn"
                        data-test="take-out"
                        on:click=move |_| take_out(app, &view, said_at.clone())
                    >
                        {t("app-findings-take-out")}
                    </button>
                </li>
            }
        })
        .collect_view();
    view! { <ul class="last-runs dated">{rows}{out}</ul> }
}

#[component]
fn LaneFindings(found: Memo<Found>) -> impl IntoView {
    let app = app();
    move || {
        let Some(causes) = found.with(|found| found.causes.clone()) else {
            return view! { <p class="lead">{t("cause-nothing")}</p> }.into_any();
        };
        let findings = causes
            .findings
            .iter()
            .cloned()
            .map(|message| notice(if message.id == "cause-nothing" { "good" } else { "note" }, message))
            .collect_view();
        let mut lanes: BTreeMap<(String, String), Vec<usize>> = BTreeMap::new();
        for (index, slot) in causes.slots.iter().enumerate() {
            lanes.entry((slot.lane.clone(), slot.setup.clone())).or_default().push(index);
        }
        let strips = lanes
            .into_iter()
            .map(|((lane, _), mut slots)| {
                slots.sort_by_key(|index| causes.slots[*index].hurdle);
                let hurdles: Vec<HurdleKnocks> = slots
                    .iter()
                    .map(|index| {
                        let slot = &causes.slots[*index];
                        HurdleKnocks {
                            hurdle: slot.hurdle,
                            knocks: slot.knocks,
                            met: slot.met,
                            suspect: slot.is_blamed(),
                        }
                    })
                    .collect();
                let figure =
                    app.words.with(|words| knock_strip(&lane, &hurdles, 340.0, &words.0, Style::Screen));
                let rows = slots
                    .iter()
                    .map(|index| {
                        let slot = &causes.slots[*index];
                        let odds = Message::new("app-findings-odds")
                            .with("times", Arg::Decimals(slot.odds_ratio.median, 1))
                            .with("low", Arg::Decimals(slot.odds_ratio.low, 1))
                            .with("high", Arg::Decimals(slot.odds_ratio.high, 1));
                        let (low, high) = wilson(slot.knocks, slot.met, Z_95);
                        let share = Message::new("app-findings-share")
                            .with("low", Arg::Share(low))
                            .with("high", Arg::Share(high));
                        view! {
                            <tr>
                                <th scope="row">{slot.hurdle}</th>
                                <td class="number">{slot.knocks}</td>
                                <td class="number">{slot.met}</td>
                                <td class="number">{move || app.say(&share)}</td>
                                <td class="number">{move || app.say(&odds)}</td>
                            </tr>
                        }
                    })
                    .collect_view();
                view! {
                    <section class="card" data-test="lane-finding" data-lane=lane>
                        <h2>{figure.title.clone()}</h2>
                        <figure class="knock-strip" inner_html=figure.svg></figure>
                        <p class="soft">{t("app-findings-lane-how")}</p>
                        <details>
                            <summary>{t("app-findings-more")}</summary>
                            <div class="table-scroll"><table class="plain-table">
                                <thead>
                                    <tr>
                                        <th scope="col">{t("app-findings-table-hurdle")}</th>
                                        <th scope="col">{t("app-findings-table-fell")}</th>
                                        <th scope="col">{t("app-findings-table-met")}</th>
                                        <th scope="col">{t("app-findings-table-share")}</th>
                                        <th scope="col">{t("app-findings-table-odds")}</th>
                                    </tr>
                                </thead>
                                <tbody>{rows}</tbody>
                            </table></div>
                        </details>
                    </section>
                }
            })
            .collect_view();
        view! {
            {findings}
            <div class="columns two">{strips}</div>
        }
        .into_any()
    }
}

#[component]
fn Watch(found: Memo<Found>) -> impl IntoView {
    let app = app();
    move || {
        let rows = found.with(|found| {
            found
                .watch
                .iter()
                .take(WATCH_SHOWN)
                .cloned()
                .map(|next| {
                    let name = name_of(app, &next.runner);
                    let drill = drill_name(app, &next.drill);
                    view! {
                        <li class="watch-row" data-test="watch">
                            <b class="name">{name}</b>
                            <span class="soft">{drill}</span>
                            <span>{move || app.say(&next.why)}</span>
                        </li>
                    }
                })
                .collect_view()
        });
        view! { <ol class="watch-list">{rows}</ol> }
    }
}
