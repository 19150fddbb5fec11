//! The lesson before it begins: minutes, blocks, and what of them the coach fixes, changes or drops.

use lanewright_model::{Arg, DrillId, Message};
use lanewright_science::lesson::{BLOCK_MINUTES, Lesson, LessonError, Use};
use lanewright_science::weather::{BoutKind, rest_between_bouts};
use leptos::prelude::*;
use wasm_bindgen::JsCast;

use super::icons::icon;
use super::kit::Stepper;
use super::lanes::{no_plan, print};
use super::lesson::{Proof, by_drill, change_of, drill_name, lanes_drill, lessons, part_name};
use super::lesson_unit::NextLessons;
use super::parts::{Choice, app, notice, t, value_of};
use crate::browser::app::{App, LADDER};
use crate::logic::beside::is_proven;
use crate::logic::lesson::{BlockNow, LessonAsk, MINUTES, Part, PartLane, What, parts_of};

/// Effort from which a bout counts as all-out (engineering assumption).
const ALL_OUT_EFFORT: f64 = 0.9;
/// Bouts that are offered: seconds of work and of rest (common practice, no source).
const BOUTS: [(u64, u64); 6] = [(5, 25), (10, 20), (10, 40), (15, 45), (20, 40), (30, 60)];

/// The screen before a lesson begins.
#[component]
pub fn Planning() -> impl IntoView {
    let own = lessons();
    let use_for = Memo::new(move |_| own.ask.with(|ask| ask.use_for));
    let by_tape = Memo::new(move |_| own.ask.with(|ask| ask.by_tape));
    view! {
        <h1>{t("lesson-plan-title")}</h1>
        <div class="lesson-ask">
            <Choice
                label="lesson-plan-use"
                test="lesson-use"
                options=vec![
                    (Use::WarmUp, "lesson-use-warm-up", "warm-up"),
                    (Use::Station, "lesson-use-station", "station"),
                    (Use::Lesson, "lesson-use-lesson", "lesson"),
                ]
                chosen=use_for
                choose=move |use_for| own.change_ask(|ask| {
                    *ask = LessonAsk { by_tape: ask.by_tape, ..LessonAsk::of(use_for) };
                })
            />
            <div class="field lesson-minutes">
                <span class="label">{t("lesson-plan-minutes")}</span>
                <Stepper
                    label=Signal::derive(t("lesson-plan-minutes"))
                    test="lesson-minutes".to_owned()
                    value=Signal::derive(move || own.ask.with(|ask| ask.minutes))
                    low=MINUTES.0
                    high=MINUTES.1
                    change=move |minutes| own.change_ask(|ask| ask.minutes = minutes)
                />
            </div>
            <Choice
                label="lesson-plan-resetting"
                test="lesson-resetting"
                options=vec![
                    (false, "lesson-plan-on-marks", "marks"),
                    (true, "lesson-plan-by-tape", "tape"),
                ]
                chosen=by_tape
                choose=move |by_tape| own.change_ask(|ask| ask.by_tape = by_tape)
            />
        </div>
        <Planned/>
    }
}

#[component]
fn Planned() -> impl IntoView {
    let app = app();
    let own = lessons();
    let parts = Memo::new(move |_| {
        own.planned.with(|planned| match planned {
            Some(Ok(lesson)) => parts_of(lesson, &own.ask.get_untracked()),
            _ => Vec::new(),
        })
    });
    let is_planned = Memo::new(move |_| own.planned.with(|planned| matches!(planned, Some(Ok(_)))));
    let hands = move || {
        let changed = own.ask.with(LessonAsk::is_changed);
        let back = own.before.with(Option::is_some);
        view! {
            <div class="row">
                {back.then(|| view! {
                    <button type="button" class="btn small" data-test="lesson-change-back" on:click=move |_| own.change_back()>
                        {icon("undo")}
                        <span>{t("lesson-plan-back")}</span>
                    </button>
                })}
                {changed.then(|| view! {
                    <button
                        type="button"
                        class="btn small"
                        data-test="lesson-afresh"
                        on:click=move |_| own.change_ask(LessonAsk::afresh)
                    >
                        {t("lesson-plan-afresh")}
                    </button>
                })}
            </div>
        }
    };
    view! {
        {move || own.planned.with(|planned| match planned {
            Some(Err(LessonError::Plan(error))) => no_plan(app, error),
            Some(Err(error)) => notice("warn", error.message()),
            _ => ().into_any(),
        })}
        {hands}
        {move || own.planned.with(|planned| match planned {
            Some(Ok(lesson)) => sum_of(app, lesson),
            _ => ().into_any(),
        })}
        <Proven/>
        <BetterPlan/>
        <ol class="lesson-parts" data-test="lesson-parts" class:waits=move || own.planning.get()>
            {move || parts.get().into_iter().map(|part| part_card(app, part)).collect_view()}
        </ol>
        {move || own.planned.with(|planned| match planned {
            Some(Ok(lesson)) => around(app, lesson),
            _ => ().into_any(),
        })}
        {move || is_planned.get().then(|| view! {
            <NextLessons/>
            <button type="button" class="btn lesson-print" data-test="print" on:click=move |_| print(app)>
                {icon("print")}
                <span>{t("lesson-plan-print")}</span>
            </button>
        })}
    }
}

/// How far the plan is proven to be the best: a line that keeps its place, whatever it says.
#[component]
fn Proven() -> impl IntoView {
    let app = app();
    let own = lessons();
    let line = move || match (own.planning.get(), own.proof.get()) {
        (true, _) => view! { <p class="lesson-working">{t("lesson-plan-working")}</p> }.into_any(),
        (false, Proof::Looking(done)) => view! {
            <div class="lesson-looking">
                <p>{t("lesson-plan-looking")}</p>
                <progress max="1" value=done.to_string() aria-label=t("lesson-plan-looking")></progress>
            </div>
        }
        .into_any(),
        (false, Proof::AtMost(gap)) if is_proven(gap) => {
            view! { <p class="soft">{icon("confirmed")}<span>{t("lesson-plan-proven")}</span></p> }.into_any()
        }
        (false, Proof::AtMost(gap)) => {
            let said = Message::new("lesson-plan-at-most").with("share", Arg::Share(gap));
            view! { <p class="soft">{move || app.say(&said)}</p> }.into_any()
        }
        (false, Proof::None) => ().into_any(),
    };
    let state = move || match (own.planning.get(), own.proof.get()) {
        (true, _) => "planning",
        (false, Proof::Looking(_)) => "looking",
        (false, Proof::AtMost(gap)) if is_proven(gap) => "proven",
        _ => "open",
    };
    view! { <div class="lesson-proof" role="status" data-test="proof" data-proof=state>{line}</div> }
}

/// A better plan was found while somebody was at work: it comes on request only.
#[component]
pub fn BetterPlan() -> impl IntoView {
    let own = lessons();
    let is_offered = Memo::new(move |_| own.is_better_offered());
    move || {
        is_offered.get().then(|| {
            view! {
                <div class="notice note block" data-test="better">
                    <p>{icon("note")}<span>{t("lesson-plan-better")}</span></p>
                    <div class="row">
                        <button type="button" class="btn" data-test="better-take" on:click=move |_| own.take_offer()>
                            {t("lesson-plan-better-take")}
                        </button>
                    </div>
                </div>
            }
        })
    }
}

/// What comes after the part that is on, to be changed while the lesson runs.
#[component]
pub fn Rest() -> impl IntoView {
    let app = app();
    let own = lessons();
    let open = RwSignal::new(false);
    let to_come = Memo::new(move |_| own.to_come());
    let is_any =
        move || to_come.with(|(_, parts)| parts.iter().any(|part| matches!(part.what, What::Block { .. })));
    let first_free = move || {
        // While lanes are re-set for a block, that block has begun.
        let blocks = own.blocks_now().len();
        let left = to_come
            .with(|(_, parts)| parts.iter().filter(|part| matches!(part.what, What::Block { .. })).count());
        blocks - left + usize::from(own.is_changing())
    };
    let rows = move || {
        let first_free = first_free();
        let parts = to_come.with(|(_, parts)| parts.clone());
        parts
            .into_iter()
            .filter(|part| matches!(part.what, What::Block { number, .. } if number >= first_free))
            .map(|part| part_card(app, part))
            .collect_view()
    };
    let hands = move || {
        own.before.with(Option::is_some).then(|| view! {
            <button type="button" class="btn small" data-test="rest-back" on:click=move |_| own.change_back()>
                {icon("undo")}
                <span>{t("lesson-plan-back")}</span>
            </button>
        })
    };
    view! {
        <details
            class="lesson-rest"
            data-test="rest"
            hidden=move || !is_any()
            on:toggle=move |event| open.set(is_open(&event))
        >
            <summary>{t("lesson-now-rest-change")}</summary>
            <p class="soft">{t("lesson-now-rest-how")}</p>
            <p class="lesson-working" role="status" hidden=move || !own.planning.get()>{t("lesson-plan-working")}</p>
            {hands}
            <ol class="lesson-parts" class:waits=move || own.planning.get()>{move || open.get().then(rows)}</ol>
        </details>
    }
}

/// Whether the details that an event comes from are open.
pub fn is_open(event: &web_sys::Event) -> bool {
    let element = event.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok());
    element.is_some_and(|element| element.has_attribute("open"))
}

fn sum_of(app: App, lesson: &Lesson) -> AnyView {
    let sum = Message::new("lesson-plan-sum")
        .with("total", Arg::Count(lesson.total_minutes.into()))
        .with("minutes", Arg::Count(lesson.minutes.into()))
        .with("blocks", Arg::Count(lesson.blocks.len() as i64));
    let runs = Message::new("lesson-plan-sum-runs")
        .with("runs", Arg::Count(lesson.moving.runs_per_child.round() as i64))
        .with("share", Arg::Share(lesson.moving.share_of_blocks));
    view! {
        <div class="lesson-sum" data-test="lesson-sum">
            <p class="lead"><b>{move || app.say(&sum)}</b></p>
            <p class="soft">{move || app.say(&runs)}</p>
            {(!lesson.fits).then(|| notice("bad", Message::new("lesson-plan-fits-not")))}
        </div>
    }
    .into_any()
}

fn part_card(app: App, part: Part) -> AnyView {
    let name = part_name(&part);
    let name_of = name.clone();
    let minutes = Message::new("lesson-plan-block-minutes").with("minutes", Arg::Count(part.minutes.into()));
    match part.what {
        What::Block { number, lanes } => block_card(app, number, part.minutes, lanes),
        What::Fixed(what) => {
            let own = lessons();
            let change = move |longer: bool, id: &'static str, test: &'static str, sign: &'static str| {
                let (what, name) = (what.clone(), name.clone());
                let said = Message::new(id).with("part", Arg::Say(Box::new(name)));
                view! {
                    <button
                        type="button"
                        class="btn"
                        data-test=test
                        aria-label=move || app.say(&said)
                        on:click=move |_| own.change_ask(|ask| ask.stretch_fixed(&what, longer))
                    >
                        {sign}
                    </button>
                }
            };
            let shown = name_of.clone();
            view! {
                <li class="lesson-part lesson-part-fixed" data-test="lesson-part-fixed">
                    <b class="number">{move || app.say(&minutes)}</b>
                    <span>{move || app.say(&shown)}</span>
                    <div class="lesson-stretch">
                        {change(false, "lesson-plan-part-shorter", "part-less", "−")}
                        {change(true, "lesson-plan-part-longer", "part-more", "+")}
                    </div>
                </li>
            }
            .into_any()
        }
        What::Change(lanes) => {
            let rows = lanes
                .into_iter()
                .map(|lane| change_of(app, lane.lane, lane.setting, lane.gap_m, &lane.movers));
            view! {
                <li class="lesson-part">
                    <b class="number">{move || app.say(&minutes)}</b>
                    <div>
                        <span>{move || app.say(&name)}</span>
                        <ul class="plain soft">{rows.collect_view()}</ul>
                    </div>
                </li>
            }
            .into_any()
        }
    }
}

fn block_card(app: App, number: usize, minutes: u32, lanes: Vec<PartLane>) -> AnyView {
    let own = lessons();
    let count = Arg::Count(number as i64 + 1);
    let title = Message::new("lesson-plan-block").with("number", count.clone());
    let said_minutes = Message::new("lesson-plan-block-minutes").with("minutes", Arg::Count(minutes.into()));
    let shorter = Message::new("lesson-plan-shorter").with("number", count.clone());
    let longer = Message::new("lesson-plan-longer").with("number", count);
    // Fixing a block changes nothing else of it.
    let fixed = Memo::new(move |_| own.ask_now().is_fixed(number));
    let with_blocks = move |change: fn(&mut LessonAsk, &[BlockNow], usize)| {
        let blocks = own.blocks_now();
        own.change_ask(|ask| change(ask, &blocks, number));
    };
    let blocks = own.blocks_now();
    let why = own.planned.with_untracked(|planned| match planned {
        // After the page was opened anew in a lesson, the plan may be another than the one that runs.
        Some(Ok(lesson)) if lesson.blocks.len() == blocks.len() => {
            lesson.blocks.get(number).map(|block| block.why.clone()).unwrap_or_default()
        }
        _ => Vec::new(),
    });
    let is_why = !why.is_empty();
    let blocks = blocks.len();
    let why = why.into_iter().map(|said| view! { <li>{move || app.say(&said)}</li> }).collect_view();
    let drills = by_drill(&lanes)
        .into_iter()
        .map(|(drill, lanes)| {
            let said = lanes_drill(app, &drill, &lanes);
            let cue = LADDER
                .get(&drill.0)
                .map(|drill| Message::new("lesson-text-cue").with("cue", drill.cue_arg()));
            let easier: Vec<String> = lanes
                .iter()
                .flat_map(|lane| &lane.easier)
                .map(|(drill, names)| {
                    app.say(
                        &Message::new("lesson-now-easier")
                            .with("drill", Arg::Say(Box::new(drill_name(drill))))
                            .text("names", names.join(", ")),
                    )
                })
                .collect();
            let easier = easier.into_iter().map(|said| view! { <p class="soft">{said}</p> }).collect_view();
            view! {
                <div>
                    <p><b>{move || app.say(&said)}</b></p>
                    {cue.map(|cue| view! { <p class="clock-cue">{move || app.say(&cue)}</p> })}
                    {easier}
                </div>
            }
        })
        .collect_view();
    let effort = lanes
        .iter()
        .filter_map(|lane| LADDER.get(&lane.drill.0))
        .map(|drill| drill.effort)
        .fold(0.0, f64::max);
    let kind = if effort >= ALL_OUT_EFFORT { BoutKind::AllOut } else { BoutKind::Game };
    let swaps = lanes.into_iter().map(|lane| swap_of(app, number, &lane)).collect_view();
    view! {
        <li class="lesson-block card" data-test="lesson-block" class:fixed=move || fixed.get()>
            <div class="lesson-block-top">
                <h2>{move || app.say(&title)}</h2>
                {move || fixed.get().then(|| view! { <span class="tag">{t("lesson-plan-fixed")}</span> })}
                <div class="lesson-stretch">
                    <button
                        type="button"
                        class="btn"
                        data-test="block-less"
                        aria-label=move || app.say(&shorter)
                        disabled={minutes <= BLOCK_MINUTES.0}
                        on:click=move |_| with_blocks(|ask, blocks, block| ask.stretch(blocks, block, false))
                    >
                        "−"
                    </button>
                    <b class="number" data-test="block-minutes">{move || app.say(&said_minutes)}</b>
                    <button
                        type="button"
                        class="btn"
                        data-test="block-more"
                        aria-label=move || app.say(&longer)
                        disabled={minutes >= BLOCK_MINUTES.1}
                        on:click=move |_| with_blocks(|ask, blocks, block| ask.stretch(blocks, block, true))
                    >
                        "+"
                    </button>
                </div>
            </div>
            {drills}
            <div class="row">
                <button
                    type="button"
                    class="btn small"
                    data-test="block-fix"
                    on:click=move |_| {
                        if fixed.get_untracked() {
                            own.change_ask(|ask| ask.loosen(number));
                        } else {
                            with_blocks(|ask, blocks, block| ask.fix(blocks, block));
                        }
                    }
                >
                    {move || app.get(if fixed.get() { "lesson-plan-loosen" } else { "lesson-plan-fix" })}
                </button>
                <button
                    type="button"
                    class="btn small"
                    data-test="block-drop"
                    disabled={blocks < 2}
                    on:click=move |_| with_blocks(LessonAsk::drop_block)
                >
                    {t("lesson-plan-drop")}
                </button>
            </div>
            <details data-test="block-swap">
                <summary>{t("lesson-plan-swap")}</summary>
                <div class="lesson-swaps">{swaps}{bouts_of(app, number, kind)}</div>
            </details>
            {is_why.then(|| view! {
                <details data-test="block-why">
                    <summary>{t("lesson-plan-why")}</summary>
                    <ul class="plain">{why}</ul>
                </details>
            })}
        </li>
    }
    .into_any()
}

/// The drills that a lane can hold, to choose another.
fn swap_of(app: App, block: usize, lane: &PartLane) -> AnyView {
    let own = lessons();
    let possible: Vec<DrillId> = own.planned.with_untracked(|planned| match planned {
        Some(Ok(lesson)) => {
            let group = lesson.groups.iter().find(|group| group.lane == lane.lane);
            let held = |id: &str| group.is_some_and(|group| group.spacing_m.contains_key(id));
            LADDER.drills().iter().filter(|drill| held(&drill.id.0)).map(|drill| drill.id.clone()).collect()
        }
        _ => Vec::new(),
    });
    let (letter, chosen) = (lane.lane.clone(), lane.drill.clone());
    let id = format!("swap-{block}-{letter}");
    let label = Message::new("lesson-plan-swap-lane").text("lane", letter.clone());
    let options = possible
        .into_iter()
        .map(|drill| {
            let name = drill_name(&drill);
            view! { <option value=drill.0.clone() selected={drill == chosen}>{move || app.say(&name)}</option> }
        })
        .collect_view();
    view! {
        <div class="field">
            <label for=id.clone()><span class="label">{move || app.say(&label)}</span></label>
            <select id=id.clone() data-test=id on:change=move |event| {
                let drill = DrillId(value_of(&event));
                own.change_ask(|ask| ask.swap(block, &letter, &drill));
            }>
                {options}
            </select>
        </div>
    }
    .into_any()
}

fn bouts_of(app: App, block: usize, kind: BoutKind) -> AnyView {
    let own = lessons();
    let chosen = untrack(|| own.ask_now()).bouts.get(&block).copied();
    let id = format!("bouts-{block}");
    let options = BOUTS
        .map(|(work_s, rest_s)| {
            let said = Message::new("lesson-plan-bouts-of")
                .with("work", Arg::Count(work_s as i64))
                .with("rest", Arg::Count(rest_s as i64));
            view! {
                <option value=format!("{work_s}-{rest_s}") selected={chosen == Some((work_s, rest_s))}>
                    {move || app.say(&said)}
                </option>
            }
        })
        .collect_view();
    let rest = chosen.and_then(|(work_s, rest_s)| {
        let rest = rest_between_bouts(work_s as f64, kind).ok()?;
        Some(notice(if (rest_s as f64) < rest.low_s { "warn" } else { "note" }, rest.say))
    });
    view! {
        <div class="field">
            <label for=id.clone()><span class="label">{t("lesson-plan-bouts")}</span></label>
            <select id=id.clone() data-test=id on:change=move |event| {
                let value = value_of(&event);
                let bouts = BOUTS.into_iter().find(|(work_s, rest_s)| format!("{work_s}-{rest_s}") == value);
                own.change_ask(|ask| {
                    match bouts {
                        Some(bouts) => ask.bouts.insert(block, bouts),
                        None => ask.bouts.remove(&block),
                    };
                });
            }>
                <option value="none" selected=chosen.is_none()>{t("lesson-plan-bouts-none")}</option>
                {options}
            </select>
            {rest}
        </div>
    }
    .into_any()
}

/// What belongs to the lesson and is no part of it.
fn around(app: App, lesson: &Lesson) -> AnyView {
    let list = |title: &'static str, test: &'static str, said: Vec<Message>, open: bool| {
        (!said.is_empty()).then(|| {
            let rows =
                said.into_iter().map(|said| view! { <li>{move || app.say(&said)}</li> }).collect_view();
            view! {
                <details data-test=test open=open>
                    <summary>{t(title)}</summary>
                    <ul class="plain">{rows}</ul>
                </details>
            }
        })
    };
    let prepare = [&lesson.jobs, &lesson.talk, &lesson.demonstrate, &lesson.card].into_iter().flatten();
    let cautions = lesson.cautions.iter().chain(&lesson.prompts).cloned().collect();
    let helps = lesson.more_moving.iter().map(|help| help.say.clone()).collect();
    view! {
        <div class="lesson-around">
            {list("lesson-plan-cautions", "lesson-cautions", cautions, true)}
            {list("lesson-plan-prepare", "lesson-prepare", prepare.cloned().collect(), false)}
            {list("lesson-plan-more-moving", "lesson-more-moving", helps, false)}
            {list("lesson-plan-notes", "lesson-notes", lesson.notes.clone(), false)}
        </div>
    }
    .into_any()
}
