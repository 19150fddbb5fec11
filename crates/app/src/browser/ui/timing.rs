//! Times in the hand: start and mark presses, one phone or two, and times from a watch or gates.

use std::collections::BTreeMap;
use std::time::Duration;

use lanewright_model::record::{Body, ClockCheckBody, StretchBody};
use lanewright_model::timing::{
    Attempt, ClockOffset, Ground, Mark, MarkTime, Method, NoTime, Press, StartKind, Timed, TimingFacts,
    TimingView, attempts, check_marks, check_run_up,
};
use lanewright_model::words::Units;
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsValue;

use super::icons::icon;
use super::parts::{Choice, app, focus, notice, t, value_of};
use super::stand::stands;
use super::trackside::{UndoButton, clock, midnight_ms, track};
use crate::browser::app::{App, Screen, new_id};
use crate::browser::{keep_preference, net, now_ms, preference, signals, steady, sync};
use crate::logic::devices::marks_given;
use crate::logic::entry::{Bare, length_m};
use crate::logic::phones::{Answer, Others, QUESTIONS, compare, others, worth_keeping};
use crate::logic::timing::{
    EXIT_MIN_M, OnTheWay, Role, Slip, TypedRun, is_short_by_hand, loose_facts, mark_facts, on_the_way,
    other_child, plus_minus_s, proposed_marks, slip_of, start_facts, stretch_now, swap_at_mark, timing_body,
    timing_correction, typed_facts, typed_runs,
};
use crate::logic::trackside::{Child, queue};

/// A second press within this time is a wet glass, in milliseconds (engineering assumption: a thumb that means it twice
/// needs a tenth of a second, so no child's press is taken for a bounce).
const BOUNCE_MS: f64 = 60.0;
/// Between two looks at the server while two phones time together.
const ASK_EVERY: Duration = Duration::from_secs(1);
/// Between two comparisons of the clocks, in milliseconds (engineering assumption).
const COMPARE_EVERY_MS: f64 = 60_000.0;
/// Names offered behind the next one.
const NAMES_AHEAD: usize = 3;
/// Times shown before "Show all".
const TIMES_SHOWN: usize = 6;
/// Attempts offered for an exchange: those nearest in time.
const SWAPS_SHOWN: usize = 6;

/// What a press is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Start,
    Mark,
}

/// A press on its way to the disk.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Pressed {
    Start(String),
    Mark(String, u32),
}

/// A press that nobody can have meant: asked about before it is kept.
#[derive(Debug, Clone, PartialEq)]
struct Queried {
    of: OnTheWay,
    facts: TimingFacts,
    time_s: f64,
    slip: Slip,
}

/// What the server said when it was asked for the time.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Asked {
    #[default]
    NotYet,
    Known(ClockOffset),
    NoAnswer,
}

/// What timing remembers while other screens are shown.
#[derive(Clone, Copy)]
pub struct Times {
    app: App,
    whole: RwSignal<bool>,
    chosen_role: RwSignal<Role>,
    role: Memo<Role>,
    /// Lane letter; empty for the whole class.
    lane: Memo<String>,
    children: Memo<Vec<Child>>,
    stretch: Memo<Option<(String, StretchBody)>>,
    marks: Memo<Vec<Mark>>,
    /// Attempts of this lane today, oldest first.
    attempts: Memo<Vec<Attempt>>,
    /// Presses at marks whose start is not known.
    loose: Memo<Vec<TimingView>>,
    pressed: RwSignal<Vec<Pressed>>,
    way: Memo<Vec<OnTheWay>>,
    queue: Memo<Vec<Child>>,
    chosen_child: RwSignal<Option<String>>,
    choosing: RwSignal<bool>,
    /// Pressed first, named after.
    nameless: RwSignal<Option<(u32, Press)>>,
    queried: RwSignal<Vec<Queried>>,
    correcting: RwSignal<Option<String>>,
    /// Of the last press of a start and of a mark, by the steady clock.
    last_press_ms: StoredValue<[f64; 2]>,
    asked: RwSignal<Asked>,
    compared_ms: StoredValue<f64>,
    /// Goes up twice a second while the screen is shown.
    beat: RwSignal<u64>,
    shown: StoredValue<u64>,
    screen_lock: StoredValue<Option<JsValue>, LocalStorage>,
    typed: RwSignal<String>,
    typed_method: RwSignal<Method>,
}

/// Returns what timing remembers.
pub fn times() -> Times {
    expect_context::<Times>()
}

impl Times {
    /// Makes the state; the choices of this device come back.
    pub fn new(app: App) -> Self {
        let track = track();
        let whole = RwSignal::new(preference("lanewright-times-whole").as_deref() == Some("yes"));
        let chosen_role =
            RwSignal::new(Role::from_name(&preference("lanewright-times-role").unwrap_or_default()));
        let lane = Memo::new(move |_| match whole.get() {
            true => String::new(),
            false => track.lane.with(|lane| lane.as_ref().map(|lane| lane.lane.clone())).unwrap_or_default(),
        });
        let children = Memo::new(move |_| {
            let lane = lane.get();
            track.lanes.with(|lanes| {
                let own = lanes.iter().filter(|now| lane.is_empty() || now.lane == lane);
                own.flat_map(|now| now.children.clone()).collect::<Vec<_>>()
            })
        });
        let stretch = Memo::new(move |_| {
            let since_ms = midnight_ms(app.today.get());
            app.class.with(|class| {
                let found = stretch_now(&class.as_ref()?.stretches, &lane.get(), since_ms)?;
                Some((found.0.clone(), found.1.clone()))
            })
        });
        let marks = Memo::new(move |_| match stretch.get() {
            Some((_, stretch)) => stretch.marks,
            None if app.helps.get() || stands(app) => {
                app.class.with(|class| marks_given(class.as_ref(), &lane.get()))
            }
            None => app.plan.with(|plan| {
                let plan = plan.as_ref().and_then(|plan| plan.as_ref().ok());
                proposed_marks(plan, &lane.get())
            }),
        });
        let folded = Memo::new(move |_| {
            let since_ms = midnight_ms(app.today.get());
            let checks = app.school.with(|school| school.clock_checks.clone());
            let lane = lane.get();
            app.class.with(|class| {
                let Some(class) = class else { return (Vec::new(), Vec::new()) };
                let own: BTreeMap<String, StretchBody> = class
                    .stretches
                    .iter()
                    .filter(|(_, stretch)| stretch.lane == lane)
                    .map(|(id, stretch)| (id.clone(), stretch.clone()))
                    .collect();
                let today: Vec<TimingView> =
                    class.timings.iter().filter(|view| view.facts.at_ms() >= since_ms).cloned().collect();
                attempts(&today, &own, &checks)
            })
        });
        let attempts = Memo::new(move |_| folded.with(|(attempts, _)| attempts.clone()));
        let loose = Memo::new(move |_| folded.with(|(_, loose)| loose.clone()));
        let role = Memo::new(move |_| chosen_role.get().within(marks.with(Vec::len) as u32));
        let pressed = RwSignal::new(Vec::new());
        let beat = RwSignal::new(0);
        let way = Memo::new(move |_| {
            beat.get();
            let passed: Vec<(String, u32)> = pressed.with(|pressed: &Vec<Pressed>| {
                let marks = pressed.iter().filter_map(|pressed| match pressed {
                    Pressed::Mark(id, mark) => Some((id.clone(), *mark)),
                    Pressed::Start(_) => None,
                });
                marks.collect()
            });
            let marks_of = |id: &str| {
                app.class.with(|class| Some(class.as_ref()?.stretches.get(id)?.marks.len() as u32))
            };
            // Only a phone that starts asks who stands at the marks.
            let beside = role.get() == Role::Starts
                && app.local.with_untracked(|local| {
                    let device = local.as_ref().map(|local| local.device.device.0.to_string());
                    let now = device.map(|device| steady::press_at(device, steady::now_ms()));
                    let there = |now| app.school.with(|school| others(&school.clock_checks, &now));
                    now.is_some_and(|now| there(now) != Others::None)
                });
            let now_ms = now_ms() as i64;
            attempts.with(|attempts| on_the_way(attempts, marks_of, &passed, role.get(), beside, now_ms))
        });
        let queue = Memo::new(move |_| {
            let mut seen: Vec<String> =
                attempts.with(|attempts| attempts.iter().map(|attempt| attempt.runner.clone()).collect());
            pressed.with(|pressed: &Vec<Pressed>| {
                seen.extend(pressed.iter().filter_map(|pressed| match pressed {
                    Pressed::Start(runner) => Some(runner.clone()),
                    Pressed::Mark(..) => None,
                }));
            });
            let seen: Vec<&str> = seen.iter().map(String::as_str).collect();
            children.with(|children| queue(children, &seen))
        });
        Self {
            app,
            whole,
            chosen_role,
            role,
            lane,
            children,
            stretch,
            marks,
            attempts,
            loose,
            pressed,
            way,
            queue,
            chosen_child: RwSignal::new(None),
            choosing: RwSignal::new(false),
            nameless: RwSignal::new(None),
            queried: RwSignal::new(Vec::new()),
            correcting: RwSignal::new(None),
            last_press_ms: StoredValue::new([f64::NEG_INFINITY; 2]),
            asked: RwSignal::new(Asked::NotYet),
            compared_ms: StoredValue::new(f64::NEG_INFINITY),
            beat,
            shown: StoredValue::new(0),
            screen_lock: StoredValue::new_local(None),
            typed: RwSignal::new(String::new()),
            typed_method: RwSignal::new(Method::Watch),
        }
    }

    fn choose_role(self, role: Role) {
        keep_preference("lanewright-times-role", &role.name());
        self.chosen_role.set(role);
        self.asked.set(Asked::NotYet);
        self.compared_ms.set_value(f64::NEG_INFINITY);
        self.nameless.set(None);
    }

    fn choose_whole(self, whole: bool) {
        keep_preference("lanewright-times-whole", if whole { "yes" } else { "no" });
        self.whole.set(whole);
        self.chosen_child.set(None);
        self.correcting.set(None);
    }

    fn name(self, runner: &str) -> String {
        self.app.runner_now(runner).map_or_else(|| "–".to_owned(), |view| view.runner.label)
    }

    /// The child that the start button starts.
    fn next_child(self) -> Option<Child> {
        let named = self.chosen_child.get().and_then(|id| {
            let view = self.app.runner(&id)?;
            Some(Child { id, name: view.runner.label })
        });
        named.or_else(|| self.queue.with(|queue| queue.first().cloned()))
    }

    fn device(self) -> Option<String> {
        let local = self.app.local.read_untracked();
        Some(local.as_ref()?.device.device.0.to_string())
    }

    fn press_at(self, steady_ms: f64) -> Option<Press> {
        Some(steady::press_at(self.device()?, steady_ms))
    }

    /// Returns the press of an event, or nothing when it comes too soon after the last one of its kind.
    fn press(self, event: &web_sys::Event, kind: Kind) -> Option<Press> {
        let steady_ms = event.time_stamp();
        let mut last_ms = self.last_press_ms.get_value();
        if (steady_ms - last_ms[kind as usize]).abs() < BOUNCE_MS {
            return None;
        }
        last_ms[kind as usize] = steady_ms;
        self.last_press_ms.set_value(last_ms);
        self.press_at(steady_ms)
    }

    /// Returns the stretch that stands; the proposed one is saved when the first press needs it.
    async fn stretch_id(self) -> Option<String> {
        if let Some((id, _)) = self.stretch.get_untracked() {
            return Some(id);
        }
        let body = self.stretch_body(self.marks.get_untracked(), StartKind::FirstMovement, 0.0)?;
        let id = new_id();
        let change = self.app.change(&id, &Body::Stretch(body))?;
        self.app.note(vec![change]).await.then_some(id)
    }

    fn stretch_body(self, marks: Vec<Mark>, start: StartKind, run_up_m: f64) -> Option<StretchBody> {
        Some(StretchBody {
            class: self.app.class_id.get_untracked()?,
            lane: self.lane.get_untracked(),
            marks,
            start,
            run_up_m,
            at_ms: now_ms() as i64,
            of: None,
            void: false,
            unknown: Default::default(),
        })
    }

    fn start(self, press: Press) {
        let (Some(child), Some(class)) = (untrack(|| self.next_child()), self.app.class_id.get_untracked())
        else {
            return;
        };
        self.chosen_child.set(None);
        self.choosing.set(false);
        let pressed = Pressed::Start(child.id.clone());
        self.pressed.update(|all| all.push(pressed.clone()));
        spawn_local(async move {
            if let Some(stretch) = self.stretch_id().await {
                let facts = start_facts(&stretch, &child.id, press);
                let said = Message::new("timing-said-start").text("name", child.name);
                self.save(said, &class, facts).await;
            }
            self.done(&pressed);
        });
    }

    fn mark(self, of: OnTheWay, press: Press) {
        let Some(class) = self.app.class_id.get_untracked() else { return };
        let facts = mark_facts(&of, press, self.role.get_untracked());
        // The next press of the same child at the same mark answers the question.
        self.forget_query(&of);
        if let Some((slip, time_s)) = self.slip(&of, &facts) {
            self.queried.update(|all| all.push(Queried { of, facts, time_s, slip }));
            return;
        }
        self.keep_mark(of, facts, class);
    }

    fn forget_query(self, of: &OnTheWay) {
        self.queried.update(|all| all.retain(|query| (&query.of.id, query.of.mark) != (&of.id, of.mark)));
    }

    /// Returns why a press cannot have been meant, and the time that it would give.
    fn slip(self, of: &OnTheWay, facts: &TimingFacts) -> Option<(Slip, f64)> {
        let time = self.time_with(of, facts)?;
        let passed = self.attempts.with_untracked(|all| {
            let own = all.iter().find(|attempt| attempt.id == of.id);
            own.map(|attempt| attempt.marks.clone()).unwrap_or_default()
        });
        let marks_m: Vec<f64> = self.app.class.with_untracked(|class| {
            let stretch = class.as_ref()?.stretches.get(&of.stretch)?;
            Some(stretch.marks.iter().map(|mark| mark.at_m).collect())
        })?;
        Some((slip_of(&marks_m, &passed, &time)?, time.time_s.ok()?))
    }

    fn keep_mark(self, of: OnTheWay, facts: TimingFacts, class: String) {
        let pressed = Pressed::Mark(of.id.clone(), of.mark);
        self.pressed.update(|all| all.push(pressed.clone()));
        let said = self.said_at_mark(&of, &facts);
        spawn_local(async move {
            self.save(said, &class, facts).await;
            self.done(&pressed);
        });
    }

    /// A mark was pressed and nobody is known to be on the way: the name comes after.
    fn mark_nameless(self, press: Press) {
        let Role::AtMark(mark) = self.role.get_untracked() else { return };
        self.nameless.set(Some((mark, press)));
        focus("timing-who");
    }

    fn name_it(self, child: Child) {
        let (Some((mark, press)), Some(class)) =
            (self.nameless.get_untracked(), self.app.class_id.get_untracked())
        else {
            return;
        };
        self.nameless.set(None);
        spawn_local(async move {
            if let Some(stretch) = self.stretch_id().await {
                let facts = loose_facts(&stretch, &child.id, mark, press);
                let said = Message::new("timing-said-loose").text("name", child.name);
                self.save(said, &class, facts).await;
            }
        });
    }

    async fn save(self, said: Message, class: &str, facts: TimingFacts) {
        let change = self.app.change(&new_id(), &Body::Timing(timing_body(class, facts)));
        self.app.save_now(said, change.into_iter().collect()).await;
    }

    fn done(self, pressed: &Pressed) {
        self.pressed.update(|all| {
            if let Some(place) = all.iter().position(|other| other == pressed) {
                all.remove(place);
            }
        });
    }

    /// Returns what is said when a press at a mark is on the disk: the time, as it follows with this press.
    fn said_at_mark(self, of: &OnTheWay, facts: &TimingFacts) -> Message {
        let name = untrack(|| self.name(&of.runner));
        let at_m = self.mark_m(&of.stretch, of.mark);
        let time = self.time_with(of, facts);
        let what = time.map_or_else(|| Message::new("timing-clocks-not-compared"), |time| time_words(&time));
        Message::new("timing-said-mark")
            .text("name", name)
            .with("at", Arg::GapM(at_m))
            .with("time", Arg::Say(Box::new(what)))
    }

    /// Returns the time that a press at a mark gives.
    fn time_with(self, of: &OnTheWay, facts: &TimingFacts) -> Option<MarkTime> {
        self.app.class.with_untracked(|class| {
            let class = class.as_ref()?;
            let checks = self.app.school.with_untracked(|school| school.clock_checks.clone());
            let start = class.timings.iter().find(|view| view.id == of.id)?;
            let views =
                [start.clone(), TimingView { id: "now".into(), facts: facts.clone(), correction: None }];
            let (attempts, _) = attempts(&views, &class.stretches, &checks);
            attempts.first()?.time_at(of.mark).cloned()
        })
    }

    fn mark_m(self, stretch: &str, mark: u32) -> f64 {
        untrack(|| self.mark_m_now(stretch, mark))
    }

    /// The same, and whoever shows it notices when the marks are put right.
    fn mark_m_now(self, stretch: &str, mark: u32) -> f64 {
        self.app.class.with(|class| {
            let stretch = class.as_ref().and_then(|class| class.stretches.get(stretch));
            stretch.and_then(|stretch| stretch.marks.get(mark as usize - 1)).map_or(0.0, |mark| mark.at_m)
        })
    }

    fn timing(self, id: &str) -> Option<TimingView> {
        self.app
            .class
            .with_untracked(|class| class.as_ref()?.timings.iter().find(|view| view.id == id).cloned())
    }

    /// Returns when an attempt was, as a clock shows it.
    fn clock_of(attempt: &Attempt) -> String {
        clock(jiff::Timestamp::from_millisecond(attempt.at_ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH))
    }

    fn correct(self, said: Message, bodies: Vec<lanewright_model::record::TimingCorrectionBody>) {
        let app = self.app;
        let changes = bodies
            .into_iter()
            .filter_map(|body| app.change(&new_id(), &Body::TimingCorrection(body)))
            .collect();
        spawn_local(async move {
            if app.save_now(said, changes).await {
                self.correcting.set(None);
            }
        });
    }

    // Two phones

    fn is_two(self) -> bool {
        self.role.get_untracked() != Role::Both
    }

    /// While the screen is shown: the list grows old, the other phone is looked for, the clocks are compared.
    fn keep_looking(self) {
        let mine = self.shown.get_value() + 1;
        self.shown.set_value(mine);
        self.look(mine);
        spawn_local(async move {
            if let Some(held) = signals::keep_screen_on().await {
                self.screen_lock.set_value(Some(held));
            }
        });
        on_cleanup(move || {
            self.shown.update_value(|shown| *shown += 1);
            if let Some(held) = self.screen_lock.get_value() {
                signals::let_screen_off(&held);
                self.screen_lock.set_value(None);
            }
        });
    }

    fn look(self, mine: u64) {
        if self.shown.get_value() != mine || self.app.screen.get_untracked() != Screen::Trackside {
            return;
        }
        self.beat.update(|beat| *beat += 1);
        if self.is_two() {
            sync::trigger(self.app);
            let steady_ms = steady::now_ms();
            if steady_ms - self.compared_ms.get_value() >= COMPARE_EVERY_MS {
                self.compared_ms.set_value(steady_ms);
                spawn_local(self.compare_clocks());
            }
        }
        set_timeout(move || self.look(mine), ASK_EVERY);
    }

    /// Asks the server for the time, several times over, and keeps what is learned when it is worth it.
    async fn compare_clocks(self) {
        let mut answers = Vec::new();
        for _ in 0..QUESTIONS {
            let asked_ms = steady::now_ms();
            let Ok(answer) = net::get("/api/v1/clock").await else { break };
            let answered_ms = steady::now_ms();
            let said: Option<serde_json::Value> = serde_json::from_str(&answer.text).ok();
            if let Some(server_ms) = said.and_then(|said| said["now_ms"].as_f64()) {
                answers.push(Answer { asked_ms, answered_ms, server_ms });
            }
        }
        // The answers are by the clock that began with the page; the press adds where that was by the wall clock.
        let Some(now) = self.press_at(steady::now_ms()) else { return };
        let Some(from_zero) = compare(&answers) else {
            self.asked.set(Asked::NoAnswer);
            // Soon again: the network may come back.
            self.compared_ms.set_value(steady::now_ms() - COMPARE_EVERY_MS * 0.9);
            return;
        };
        let offset = ClockOffset { offset_ms: from_zero.offset_ms - now.clock_ms as f64, ..from_zero };
        self.asked.set(Asked::Known(offset));
        let checks = self.app.school.with_untracked(|school| school.clock_checks.clone());
        if worth_keeping(&checks, &now, &offset) {
            let body = ClockCheckBody {
                device: now.device,
                clock_ms: now.clock_ms,
                at_ms: now.at_ms,
                offset_ms: offset.offset_ms,
                error_ms: offset.error_ms,
                round_trips: answers.len() as u32,
                void: false,
                unknown: Default::default(),
            };
            let change = self.app.change(&new_id(), &Body::ClockCheck(body));
            self.app.note(change.into_iter().collect()).await;
        }
    }
}

/// Returns a time with its error, or why there is none.
pub fn time_words(time: &MarkTime) -> Message {
    match time.time_s {
        Ok(time_s) => Message::new("timing-time")
            .with("time", Arg::TimeS(time_s))
            .with("error", Arg::TimeS(plus_minus_s(time.sd_s))),
        Err(NoTime::ClocksNotCompared) => Message::new("timing-clocks-not-compared"),
        Err(NoTime::BeforeStart) => Message::new("timing-before-start"),
    }
}

/// Returns how a time was taken, in words.
pub fn method_words(method: Method, clocks_s: f64) -> Message {
    match method {
        Method::Tap => Message::new("timing-method-tap"),
        Method::SecondPhone => Message::new("timing-method-second-phone")
            .with("error", Arg::Count((clocks_s * 1000.0).ceil() as i64)),
        Method::Watch => Message::new("timing-method-watch"),
        Method::Gates => Message::new("timing-method-gates"),
    }
}

/// The screen part.
#[component]
pub fn TimesPart() -> impl IntoView {
    let times = times();
    times.keep_looking();
    view! {
        <WhoPicks/>
        <Marks/>
        <Phones/>
        <div class="time-run" data-test="times">
            <Nameless/>
            <Queries/>
            <Way/>
            <NextUp/>
        </div>
        <aside class="track-side">
            <Correcting/>
            <TimesList/>
            <Typed/>
        </aside>
    }
}

/// A lane, or everybody.
#[component]
fn WhoPicks() -> impl IntoView {
    let app = app();
    let track = track();
    let times = times();
    let letters = Memo::new(move |_| {
        track.lanes.with(|lanes| lanes.iter().map(|lane| lane.lane.clone()).collect::<Vec<_>>())
    });
    view! {
        <div class="lane-picks" role="group" aria-label=t("trackside-lanes")>
            <For each=move || letters.get() key=|letter| letter.clone() let:letter>
                {
                    let (mine, said, shown) = (letter.clone(), letter.clone(), letter.clone());
                    view! {
                        <button
                            type="button"
                            data-test=format!("times-lane-{letter}")
                            aria-label=move || app.say(&Message::new("trackside-lane").text("lane", said.clone()))
                            aria-pressed=move || (times.lane.get() == mine).to_string()
                            on:click=move |_| {
                                times.choose_whole(false);
                                track.choose_lane(&letter);
                            }
                        >
                            {shown}
                        </button>
                    }
                }
            </For>
            <button
                type="button"
                class="all"
                data-test="times-lane-all"
                aria-pressed=move || times.whole.get().to_string()
                on:click=move |_| times.choose_whole(true)
            >
                {t("timing-whole-class")}
            </button>
        </div>
    }
}

/// A mark that is being typed.
#[derive(Clone, Copy)]
struct MarkField {
    key: u64,
    text: RwSignal<String>,
    ground: RwSignal<Ground>,
}

/// Where the marks are and which phone stands where: one line that opens.
#[component]
fn Marks() -> impl IntoView {
    let app = app();
    let times = times();
    let line = move || {
        let marks = times.marks.get();
        let mark = |(mark, number): (&Mark, i64)| {
            let mark = Message::new("timing-line-mark")
                .with("number", Arg::Count(number))
                .with("at", Arg::GapM(mark.at_m));
            app.say(&mark)
        };
        let mut listed: Vec<String> = marks.iter().zip(1..).map(mark).collect();
        if let Some((_, StretchBody { start: StartKind::Flying, run_up_m, .. })) = times.stretch.get()
            && run_up_m > 0.0
        {
            let run_up = Message::new("timing-line-run-up").with("run_up", Arg::GapM(run_up_m));
            listed.insert(0, app.say(&run_up));
        }
        let role = role_words(times.role.get(), &marks);
        let line = Message::new("timing-line").text("marks", listed.join(" · "));
        app.say(&line.with("role", Arg::Say(Box::new(role))))
    };
    let fields: RwSignal<Vec<MarkField>> = RwSignal::new(Vec::new());
    let keys = StoredValue::new(0u64);
    let field = move |text: String, ground: Ground| {
        keys.update_value(|key| *key += 1);
        MarkField { key: keys.get_value(), text: RwSignal::new(text), ground: RwSignal::new(ground) }
    };
    let start = RwSignal::new(StartKind::FirstMovement);
    let run_up = RwSignal::new(String::new());
    let error: RwSignal<Option<Message>> = RwSignal::new(None);
    // What was entered, and the stretch whose times it would change: only the teacher knows which of two was meant.
    let asked: RwSignal<Option<(StretchBody, String)>> = RwSignal::new(None);
    Effect::new(move |_| {
        let marks = times.marks.get();
        let shown = |at_m: f64| untrack(|| app.show(Arg::GapM(at_m)));
        let stretch = times.stretch.get().map(|(_, stretch)| stretch);
        start.set(stretch.as_ref().map(|stretch| stretch.start).unwrap_or_default());
        let run_up_m = stretch.map_or(0.0, |stretch| stretch.run_up_m);
        run_up.set(if run_up_m > 0.0 { shown(run_up_m) } else { String::new() });
        fields.set(marks.iter().map(|mark| field(shown(mark.at_m), mark.ground)).collect());
        error.set(None);
        asked.set(None);
    });
    let keep = move |id: &str, said: &'static str, body: StretchBody| {
        asked.set(None);
        app.save(Message::new(said), app.change(id, &Body::Stretch(body)).into_iter().collect());
    };
    let save = move |_| {
        let read: Result<(Vec<Mark>, f64), Message> = fields.with_untracked(|fields| {
            let each = fields.iter().map(|field| {
                let units = app.units.get_untracked();
                let at_m = length_m(&field.text.get_untracked(), Bare::Large, units)?;
                Ok(Mark { at_m, ground: field.ground.get_untracked() })
            });
            let marks = each.collect::<Result<Vec<_>, Message>>()?;
            check_marks(&marks)?;
            let run_up = run_up.get_untracked();
            if start.get_untracked() != StartKind::Flying || run_up.trim().is_empty() {
                return Ok((marks, 0.0));
            }
            let run_up_m = length_m(&run_up, Bare::Large, app.units.get_untracked())?;
            check_run_up(run_up_m)?;
            Ok((marks, run_up_m))
        });
        let (marks, run_up_m) = match read {
            Err(says) => return error.set(Some(says)),
            Ok(read) => read,
        };
        error.set(None);
        let Some(body) = times.stretch_body(marks, start.get_untracked(), run_up_m) else { return };
        let Some((id, before)) = times.stretch.get_untracked() else {
            return keep(&new_id(), "timing-said-marks", body);
        };
        let used = times.attempts.with_untracked(|all| all.iter().any(|attempt| attempt.stretch == id))
            || times.loose.with_untracked(|all| all.iter().any(|view| view.facts.stretch == id));
        let differs =
            (&body.marks, body.start, body.run_up_m) != (&before.marks, before.start, before.run_up_m);
        match (used, differs) {
            (_, false) => app.tell(Message::new("timing-said-marks"), false, false),
            (false, true) => keep(&id, "timing-said-marks", body),
            // Times refer to marks by number: with more or fewer of them it is another stretch.
            (true, true) if body.marks.len() != before.marks.len() => {
                keep(&new_id(), "timing-said-moved", body);
            }
            (true, true) => {
                asked.set(Some((body, id)));
                focus("timing-marks-wrong");
            }
        }
    };
    let moved = move |_| {
        if let Some((body, _)) = asked.get_untracked() {
            keep(&new_id(), "timing-said-moved", body);
        }
    };
    let wrong = move |_| {
        if let Some((body, id)) = asked.get_untracked() {
            keep(&new_id(), "timing-said-wrong", StretchBody { of: Some(id), ..body });
        }
    };
    let question = move || {
        asked.with(Option::is_some).then(|| {
            view! {
                <div class="stack" role="group" aria-label=t("timing-marks-asked") data-test="marks-asked">
                    <p class="label">{t("timing-marks-asked")}</p>
                    <div class="correct-row even">
                        <button
                            type="button"
                            id="timing-marks-wrong"
                            class="btn"
                            data-test="marks-wrong"
                            on:click=wrong
                        >
                            {t("timing-marks-wrong")}
                        </button>
                        <button type="button" class="btn" data-test="marks-moved" on:click=moved>
                            {t("timing-marks-moved")}
                        </button>
                    </div>
                </div>
            }
        })
    };
    let run_up_field = move || {
        (start.get() == StartKind::Flying).then(|| {
            view! {
                <label class="stack">
                    <span class="label">{t("timing-run-up")}</span>
                    <input
                        data-test="run-up"
                        inputmode="decimal"
                        autocomplete="off"
                        prop:value=move || run_up.get()
                        on:input=move |event| run_up.set(value_of(&event))
                    />
                    <span class="soft">{t("timing-run-up-how")}</span>
                </label>
            }
        })
    };
    let rows = move |mark: MarkField| {
        view! {
            <li class="mark-row">
                <input
                    data-test="mark-at"
                    inputmode="decimal"
                    autocomplete="off"
                    aria-label=t("timing-mark-at")
                    prop:value=move || mark.text.get()
                    on:input=move |event| mark.text.set(value_of(&event))
                />
                <button
                    type="button"
                    class="choice"
                    data-test="mark-ground"
                    on:click=move |_| mark.ground.update(|ground| *ground = match *ground {
                        Ground::Flat => Ground::Hurdled,
                        Ground::Hurdled => Ground::Flat,
                    })
                >
                    {move || app.get(match mark.ground.get() {
                        Ground::Flat => "timing-ground-flat",
                        Ground::Hurdled => "timing-ground-hurdled",
                    })}
                </button>
                <button
                    type="button"
                    class="btn"
                    aria-label=t("timing-mark-remove")
                    data-test="mark-remove"
                    on:click=move |_| fields.update(|fields| fields.retain(|other| other.key != mark.key))
                >
                    {icon("close")}
                </button>
            </li>
        }
    };
    // What is left between the last hurdle and the exit line may be too short for an exit speed by hand.
    let short = move || {
        let marks = times.marks.get();
        // A helper has no lanes to change.
        let how = match app.helps.get() {
            true => Message::new("timing-exit-ask-coach"),
            false => Message::new("timing-exit-ask-lanes"),
        };
        let how = Arg::Say(Box::new(how));
        let said = match marks.as_slice() {
            [.., before, last] if (before.ground, last.ground) == (Ground::Hurdled, Ground::Flat) => {
                let exit_m = last.at_m - before.at_m;
                is_short_by_hand(exit_m).then(|| {
                    Message::new("timing-short-exit").with("exit", Arg::GapM(exit_m)).with("how", how)
                })
            }
            // Proposed, not chosen: there was no room for a second mark.
            [only] if only.ground == Ground::Hurdled && times.stretch.with(Option::is_none) => {
                Some(Message::new("timing-no-exit").with("least", Arg::GapM(EXIT_MIN_M)).with("how", how))
            }
            _ => None,
        };
        said.map(|said| notice("note", said))
    };
    let add = move |_| {
        let last = fields.with_untracked(|fields| fields.last().map(|field| field.text.get_untracked()));
        let units = app.units.get_untracked();
        let last_m = last.and_then(|text| length_m(&text, Bare::Large, units).ok()).unwrap_or(0.0);
        let step_m = if units == Units::Metric { 10.0 } else { 9.144 };
        let text = untrack(|| app.show(Arg::GapM(last_m + step_m)));
        fields.update(|fields| fields.push(field(text, Ground::Flat)));
    };
    view! {
        <details class="track-setup" data-test="times-setup">
            <summary>
                <span class="sr">{t("timing-setup")}</span>
                <span class="track-setup-text">{line}</span>
                {icon("edit")}
            </summary>
            <div class="stack">
                <RolePicks/>
                {short}
                <fieldset class="choices">
                    <legend class="label">{t("timing-marks")}</legend>
                    <p class="soft">{t("timing-marks-how")}</p>
                    <ul class="mark-rows" data-test="mark-rows">
                        <For each=move || fields.get() key=|field| field.key children=rows/>
                    </ul>
                    <div class="correct-row">
                        <button type="button" class="btn" data-test="mark-add" on:click=add>
                            {icon("add")}
                            <span>{t("timing-mark-add")}</span>
                        </button>
                    </div>
                </fieldset>
                <Choice
                    label="timing-start-kind"
                    test="start-kind"
                    options=vec![
                        (StartKind::FirstMovement, "timing-start-first-movement", "first-movement"),
                        (StartKind::Gun, "timing-start-gun", "gun"),
                        (StartKind::Flying, "timing-start-flying", "flying"),
                        (StartKind::Photocell, "timing-start-photocell", "photocell"),
                    ]
                    chosen=start
                    choose=move |kind| start.set(kind)
                />
                {run_up_field}
                <p class="entry-error" role="alert">{move || error.get().map(|says| app.say(&says))}</p>
                <div class="correct-row">
                    <button type="button" class="btn go" data-test="marks-save" on:click=save>
                        {t("timing-marks-save")}
                    </button>
                </div>
                {question}
            </div>
        </details>
    }
}

fn role_words(role: Role, marks: &[Mark]) -> Message {
    match role {
        Role::Both => Message::new("timing-role-both"),
        Role::Starts => Message::new("timing-role-starts"),
        Role::AtMark(mark) => {
            let at_m = marks.get(mark as usize - 1).map_or(0.0, |mark| mark.at_m);
            Message::new("timing-role-mark").with("at", Arg::GapM(at_m))
        }
    }
}

#[component]
fn RolePicks() -> impl IntoView {
    let app = app();
    let times = times();
    let roles = Memo::new(move |_| {
        let marks = times.marks.with(Vec::len) as u32;
        [Role::Both, Role::Starts].into_iter().chain((1..=marks).map(Role::AtMark)).collect::<Vec<_>>()
    });
    view! {
        <fieldset class="choices">
            <legend class="label">{t("timing-role")}</legend>
            <div class="choice-row">
                {move || {
                    let marks = times.marks.get();
                    roles
                        .get()
                        .into_iter()
                        .map(|role| {
                            let words = role_words(role, &marks);
                            view! {
                                <button
                                    type="button"
                                    class="choice"
                                    data-test=format!("role-{}", role.name())
                                    aria-pressed=move || (times.role.get() == role).to_string()
                                    on:click=move |_| times.choose_role(role)
                                >
                                    {move || app.say(&words)}
                                </button>
                            }
                        })
                        .collect_view()
                }}
            </div>
        </fieldset>
    }
}

/// How the two phones stand to each other; nothing with one phone.
#[component]
fn Phones() -> impl IntoView {
    let app = app();
    let times = times();
    let says = Memo::new(move |_| {
        if times.role.get() == Role::Both {
            return None;
        }
        times.beat.get();
        match times.asked.get() {
            Asked::NotYet => Some(("note", Message::new("timing-phones-asking"))),
            Asked::NoAnswer => Some(("warn", Message::new("timing-phones-no-answer"))),
            Asked::Known(own) => {
                let now = times.press_at(steady::now_ms())?;
                let there = app.school.with(|school| others(&school.clock_checks, &now));
                let millis = |error_ms: f64| Arg::Count(error_ms.ceil() as i64);
                Some(match there {
                    Others::Within(error_ms) => {
                        ("good", Message::new("timing-phones-agree").with("error", millis(error_ms)))
                    }
                    Others::None => {
                        ("note", Message::new("timing-phones-alone").with("error", millis(own.error_ms)))
                    }
                })
            }
        }
    });
    move || {
        says.get().map(|(kind, message)| {
            let alone = kind == "warn";
            view! {
                <div data-test="phones" data-kind=kind class="phones">
                    {notice(kind, message)}
                    {alone.then(|| view! {
                        <button
                            type="button"
                            class="btn"
                            data-test="one-phone"
                            on:click=move |_| times.choose_role(Role::Both)
                        >
                            {t("timing-one-phone")}
                        </button>
                    })}
                </div>
            }
        })
    }
}

/// Children as tiles: those of this list first, then the rest of the class.
fn tiles(
    own: Vec<Child>,
    test: &'static str,
    choose: impl Fn(Child) + Clone + Send + Sync + 'static,
) -> AnyView {
    let app = app();
    let rest: Vec<Child> = app.class.with_untracked(|class| {
        let runners = class.iter().flat_map(|class| &class.runners);
        runners
            .map(|view| Child { id: view.runner.id.0.clone(), name: view.runner.label.clone() })
            .filter(|child| !own.contains(child))
            .collect()
    });
    let row = move |children: Vec<Child>| {
        let choose = choose.clone();
        children
            .into_iter()
            .map(move |child| {
                let (choose, shown, name) = (choose.clone(), child.name.clone(), child.name.clone());
                view! {
                    <li>
                        <button
                            type="button"
                            class="tile"
                            data-test=test
                            data-name=name
                            on:click=move |_| choose(child.clone())
                        >
                            <b class="name">{shown}</b>
                        </button>
                    </li>
                }
            })
            .collect_view()
    };
    let others = (!rest.is_empty()).then(|| view! { <h3>{t("trackside-rest")}</h3> });
    view! {
        <ul class="roll">{row.clone()(own)}</ul>
        {others}
        <ul class="roll">{row(rest)}</ul>
    }
    .into_any()
}

/// A press without a name: whose was it?
#[component]
fn Nameless() -> impl IntoView {
    let times = times();
    move || {
        times.nameless.get().map(|_| {
            let own = times.queue.get_untracked();
            view! {
                <div class="notice warn block" id="timing-who" tabindex="-1" data-test="nameless">
                    <h2>{t("timing-nameless")}</h2>
                    {tiles(own, "nameless-tile", move |child| times.name_it(child))}
                    <button
                        type="button"
                        class="btn"
                        data-test="nobody"
                        on:click=move |_| times.nameless.set(None)
                    >
                        {t("timing-nobody")}
                    </button>
                </div>
            }
        })
    }
}

/// Presses that nobody can have meant: kept only when somebody says so.
#[component]
fn Queries() -> impl IntoView {
    let app = app();
    let times = times();
    move || {
        let rows = times.queried.get().into_iter().map(|query| {
            let said = Message::new(match query.slip {
                Slip::TooFast => "timing-slip-fast",
                Slip::TooSlow => "timing-slip-slow",
            })
            .text("name", times.name(&query.of.runner))
            .with("at", Arg::GapM(times.mark_m(&query.of.stretch, query.of.mark)))
            .with("time", Arg::TimeS(query.time_s));
            let (kept, dropped) = (query.clone(), query.of);
            view! {
                <div class="notice warn block" role="alert" data-test="mark-queried">
                    <p>{icon("warning")}<span>{move || app.say(&said)}</span></p>
                    <div class="correct-row even">
                        <button type="button" class="btn" data-test="slip-keep" on:click=move |_| {
                            let Some(class) = app.class_id.get_untracked() else { return };
                            let Queried { of, facts, .. } = kept.clone();
                            times.forget_query(&of);
                            times.keep_mark(of, facts, class);
                        }>
                            {t("timing-slip-keep")}
                        </button>
                        <button
                            type="button"
                            class="btn"
                            data-test="slip-drop"
                            on:click=move |_| times.forget_query(&dropped)
                        >
                            {t("timing-slip-drop")}
                        </button>
                    </div>
                </div>
            }
        });
        rows.collect_view()
    }
}

/// Who is on the way, in the order of their starts: the next one on top. A tap takes the time.
#[component]
fn Way() -> impl IntoView {
    let app = app();
    let times = times();
    let nobody = Memo::new(move |_| times.way.with(Vec::is_empty));
    let device = times.device();
    view! {
        <h2>{t("timing-way")}</h2>
        {move || nobody.get().then(|| view! {
            <p class="soft" data-test="way-none">
                {app.get(match times.role.get() {
                    Role::AtMark(_) => "timing-way-none-mark",
                    Role::Both | Role::Starts => "timing-way-none",
                })}
            </p>
        })}
        <ol class="way" data-test="way">
            <For each=move || times.way.get() key=|child| (child.id.clone(), child.mark) let:child>
                {
                    let name = times.name(&child.runner);
                    let (shown, attempt) = (name.clone(), child.id.clone());
                    let at = Message::new("timing-next-at").with("at", Arg::GapM(times.mark_m(&child.stretch, child.mark)));
                    let own = times.attempts.with_untracked(|all| {
                        let found = all.iter().find(|attempt| attempt.id == child.id);
                        found.is_some_and(|attempt| attempt.started_on == device)
                    });
                    let (started_ms, (pressed, clicked)) = (child.at_ms, (child.clone(), child));
                    let elapsed = move || {
                        times.beat.get();
                        own.then(|| {
                            let gone_s = (now_ms() as i64 - started_ms).max(0) / 1000;
                            app.say(&Message::new("timing-gone").with("seconds", Arg::Count(gone_s)))
                        })
                    };
                    view! {
                        <li>
                            <button
                                type="button"
                                class="way-child"
                                data-test="way-child"
                                data-name=name
                                on:pointerdown=move |event| {
                                    if event.button() == 0 && let Some(press) = times.press(&event, Kind::Mark) {
                                        times.mark(pressed.clone(), press);
                                    }
                                }
                                on:click=move |event| {
                                    // A finger has done it when it came down; a key has not.
                                    if event.detail() == 0 && let Some(press) = times.press(&event, Kind::Mark) {
                                        times.mark(clicked.clone(), press);
                                    }
                                }
                            >
                                <b>{shown}</b>
                                <span>{move || app.say(&at)}</span>
                                <span class="soft number">{elapsed}</span>
                            </button>
                            <button
                                type="button"
                                class="btn way-edit"
                                data-test="way-edit"
                                aria-label=t("timing-correct")
                                on:click=move |_| {
                                    times.correcting.set(Some(attempt.clone()));
                                    focus("timing-correcting");
                                }
                            >
                                {icon("edit")}
                            </button>
                        </li>
                    }
                }
            </For>
        </ol>
    }
}

/// Who starts next: one tap takes another.
#[component]
fn NextUp() -> impl IntoView {
    let times = times();
    let ahead = Memo::new(move |_| {
        let now = times.next_child().map(|child| child.id);
        times.queue.with(|queue| {
            queue
                .iter()
                .filter(|child| Some(&child.id) != now.as_ref())
                .take(NAMES_AHEAD)
                .cloned()
                .collect::<Vec<_>>()
        })
    });
    move || {
        (!matches!(times.role.get(), Role::AtMark(_))).then(|| {
            view! {
                <div class="track-then">
                    <span class="soft">{t("trackside-then")}</span>
                    <For each=move || ahead.get() key=|child| child.id.clone() let:child>
                        {
                            let (id, name) = (child.id.clone(), child.name.clone());
                            view! {
                                <button
                                    type="button"
                                    class="choice"
                                    data-test="time-then"
                                    data-name=name
                                    on:click=move |_| times.chosen_child.set(Some(id.clone()))
                                >
                                    {child.name}
                                </button>
                            }
                        }
                    </For>
                    <button
                        type="button"
                        class="choice other"
                        data-test="time-somebody"
                        aria-expanded=move || times.choosing.get().to_string()
                        on:click=move |_| times.choosing.update(|open| *open = !*open)
                    >
                        {t("trackside-somebody")}
                    </button>
                </div>
                {move || times.choosing.get().then(|| {
                    tiles(times.queue.get_untracked(), "time-somebody-tile", move |child| {
                        times.chosen_child.set(Some(child.id));
                        times.choosing.set(false);
                    })
                })}
            }
        })
    }
}

/// Corrects one attempt: another child, two presses exchanged, or it did not happen.
#[component]
fn Correcting() -> impl IntoView {
    let app = app();
    let times = times();
    move || {
        let id = times.correcting.get()?;
        let all = times.attempts.get();
        let attempt = all.iter().find(|attempt| attempt.id == id)?.clone();
        let class = app.class_id.get()?;
        let name = times.name(&attempt.runner);
        let title = Message::new("timing-correcting")
            .text("name", name.clone())
            .text("time", Times::clock_of(&attempt));
        let choosing = RwSignal::new(false);
        let swaps = attempt
            .marks
            .iter()
            .filter_map(|time| {
                let press = times.timing(&time.record)?;
                matches!(press.facts.timed, Timed::Mark { .. }).then_some(())?;
                let mut near: Vec<&Attempt> = all
                    .iter()
                    .filter(|other| {
                        other.id != attempt.id
                            && other.stretch == attempt.stretch
                            && other.started_on.is_some()
                    })
                    .collect();
                near.sort_by_key(|other| other.at_ms.abs_diff(attempt.at_ms));
                near.truncate(SWAPS_SHOWN);
                if near.is_empty() {
                    return None;
                }
                near.sort_by_key(|other| other.at_ms);
                let words = Message::new("timing-swap")
                    .with("at", Arg::GapM(times.mark_m(&attempt.stretch, time.mark)));
                let buttons = near
                    .into_iter()
                    .map(|other| {
                        let other_name = times.name(&other.runner);
                        let shown = other_name.clone();
                        let said = Message::new("timing-said-swapped")
                            .text("first", name.clone())
                            .text("second", other_name.clone());
                        let there = other.time_at(time.mark).and_then(|time| times.timing(&time.record));
                        let bodies = swap_at_mark(&class, (&attempt, &press), (other, there.as_ref()));
                        view! {
                            <button
                                type="button"
                                class="choice"
                                data-test="swap-with"
                                data-name=other_name
                                on:click=move |_| times.correct(said.clone(), bodies.clone())
                            >
                                {shown}
                            </button>
                        }
                    })
                    .collect_view();
                Some(view! {
                    <div class="choices">
                        <span class="label">{move || app.say(&words)}</span>
                        <div class="choice-row">{buttons}</div>
                    </div>
                })
            })
            .collect_view();
        let own = times.children.get();
        let (class_out, attempt_out, name_out) = (class.clone(), attempt.clone(), name.clone());
        Some(view! {
            <div class="notice warn block" id="timing-correcting" tabindex="-1" data-test="timing-correcting">
                <h2>{move || app.say(&title)}</h2>
                {swaps}
                <button
                    type="button"
                    class="btn"
                    data-test="timing-other-child"
                    aria-expanded=move || choosing.get().to_string()
                    on:click=move |_| choosing.update(|open| *open = !*open)
                >
                    {t("timing-other-child")}
                </button>
                {move || choosing.get().then(|| {
                    let (class, attempt) = (class.clone(), attempt.clone());
                    tiles(own.clone(), "timing-child-tile", move |child| {
                        let Some(view) = times.timing(&attempt.id) else { return };
                        let said = Message::new("timing-said-child").text("name", child.name);
                        times.correct(said, vec![other_child(&class, &view, &child.id)]);
                    })
                })}
                <div class="correct-row">
                    <button type="button" class="btn" data-test="timing-none" on:click=move |_| {
                        let said = Message::new("timing-said-none")
                            .text("name", name_out.clone())
                            .text("time", Times::clock_of(&attempt_out));
                        times.correct(said, vec![timing_correction(&class_out, &attempt_out.id, None)]);
                    }>
                        {t("trackside-no-such-run")}
                    </button>
                    <button
                        type="button"
                        class="btn"
                        data-test="timing-leave"
                        on:click=move |_| times.correcting.set(None)
                    >
                        {t("trackside-cancel")}
                    </button>
                </div>
            </div>
        })
    }
}

/// The times of this lane today, latest first; a tap corrects one.
#[component]
fn TimesList() -> impl IntoView {
    let app = app();
    let times = times();
    let all = RwSignal::new(false);
    let done = Memo::new(move |_| {
        let way = times.way.get();
        times.attempts.with(|attempts| {
            let over = |attempt: &&Attempt| {
                !attempt.marks.is_empty() || !way.iter().any(|child| child.id == attempt.id)
            };
            attempts.iter().rev().filter(over).cloned().collect::<Vec<_>>()
        })
    });
    let total = Memo::new(move |_| done.with(Vec::len));
    let shown = move || {
        let limit = if all.get() { usize::MAX } else { TIMES_SHOWN };
        done.with(|done| done.iter().take(limit).cloned().collect::<Vec<_>>())
    };
    view! {
        <section class="stack" data-test="times-list">
            <h2>{t("timing-today")}</h2>
            {move || (total.get() == 0).then(|| view! { <p class="soft">{t("timing-today-none")}</p> })}
            <ul class="last-runs">
                <For
                    each=shown
                    key=|attempt| {
                        let marks: Vec<String> =
                            attempt.marks.iter().map(|time| format!("{time:?}")).collect();
                        (attempt.id.clone(), attempt.runner.clone(), marks)
                    }
                    let:attempt
                >
                    {
                        let name = times.name(&attempt.runner);
                        let (id, data_id, data_name) = (attempt.id.clone(), attempt.id.clone(), name.clone());
                        let marks = attempt
                            .marks
                            .iter()
                            .map(|time| {
                                let (stretch, mark, shown) = (attempt.stretch.clone(), time.mark, time_words(time));
                                let words = move || {
                                    Message::new("timing-at")
                                        .with("at", Arg::GapM(times.mark_m_now(&stretch, mark)))
                                        .with("time", Arg::Say(Box::new(shown.clone())))
                                };
                                let value = time.time_s.map_or_else(|_| String::new(), |time_s| time_s.to_string());
                                view! {
                                    <span class="time-at" data-test="time-at" data-mark=time.mark data-time=value data-clocks=time.clocks_s>
                                        <span class="number">{move || app.say(&words())}</span>
                                    </span>
                                }
                            })
                            .collect_view();
                        // The coarsest of them says how good the run's times are.
                        let coarsest = attempt.marks.iter().max_by(|a, b| a.sd_s.total_cmp(&b.sd_s));
                        let method = coarsest.map(|time| {
                            let words = method_words(time.method, time.clocks_s);
                            view! { <span class="soft">{move || app.say(&words)}</span> }
                        });
                        let none = attempt.marks.is_empty().then(|| view! {
                            <span class="soft">{t("timing-no-mark")}</span>
                        });
                        let corrected = attempt.corrected.then(|| view! {
                            <span class="soft" data-test="time-corrected">{t("timing-corrected")}</span>
                        });
                        let at = Times::clock_of(&attempt);
                        view! {
                            <li>
                                <button
                                    type="button"
                                    class="last-run"
                                    data-test="time-row"
                                    data-id=data_id
                                    data-name=data_name
                                    on:click=move |_| {
                                        times.correcting.set(Some(id.clone()));
                                        focus("timing-correcting");
                                    }
                                >
                                    <span class="soft number">{at}</span>
                                    <span class="last-run-text">
                                        <b>{name}</b>
                                        {marks}
                                        {method}
                                        {none}
                                        {corrected}
                                    </span>
                                    {icon("edit")}
                                    <span class="sr">{t("timing-correct")}</span>
                                </button>
                            </li>
                        }
                    }
                </For>
            </ul>
            {move || (total.get() > TIMES_SHOWN && !all.get()).then(|| view! {
                <button type="button" class="link" data-test="all-times" on:click=move |_| all.set(true)>
                    {move || app.say(
                        &Message::new("trackside-all-runs").with("count", Arg::Count(total.get() as i64)),
                    )}
                </button>
            })}
            <Loose/>
            <TakenOut/>
            {move || (total.get() > 0).then(|| view! { <p class="soft">{t("timing-error-how")}</p> })}
        </section>
    }
}

/// Presses at marks whose start is not known yet.
#[component]
fn Loose() -> impl IntoView {
    let app = app();
    let times = times();
    move || {
        let rows = times
            .loose
            .get()
            .into_iter()
            .map(|view| {
                let name = times.name(&view.facts.runner);
                let mark = match &view.facts.timed {
                    Timed::Mark { mark, .. } => *mark,
                    _ => 1,
                };
                let words = Message::new("timing-loose")
                    .text("name", name)
                    .with("at", Arg::GapM(times.mark_m(&view.facts.stretch, mark)));
                view! { <li data-test="loose">{move || app.say(&words)}</li> }
            })
            .collect_view();
        view! { <ul class="plain">{rows}</ul> }
    }
}

/// Attempts of today that a correction took out, with the way back.
#[component]
fn TakenOut() -> impl IntoView {
    let app = app();
    let times = times();
    let rows = Memo::new(move |_| {
        let (class, since_ms) = (app.class_id.get(), midnight_ms(app.today.get()));
        let mut last: BTreeMap<String, (String, bool)> = BTreeMap::new();
        app.local.with(|local| {
            for record in local.iter().flat_map(|local| local.records.values()) {
                if record.kind != "timing-correction" {
                    continue;
                }
                if let Ok(Some(Body::TimingCorrection(body))) = Body::from_value(&record.kind, &record.body)
                    && !body.void
                    && Some(&body.class) == class.as_ref()
                {
                    let id = record.id.to_string();
                    let entry = last.entry(body.of).or_default();
                    if id > entry.0 {
                        *entry = (id, body.timing.is_none());
                    }
                }
            }
        });
        let lane = times.lane.get();
        last.into_iter()
            .filter(|(_, (_, out))| *out)
            .filter_map(|(of, (correction, _))| match untrack(|| app.stored("timing", &of))? {
                Body::Timing(body) if !body.void && body.timing.at_ms() >= since_ms => {
                    let stretch = app.class.with(|class| {
                        class
                            .as_ref()?
                            .stretches
                            .get(&body.timing.stretch)
                            .map(|stretch| stretch.lane.clone())
                    });
                    (stretch.as_ref() == Some(&lane)).then_some((correction, body.timing))
                }
                _ => None,
            })
            .collect::<Vec<_>>()
    });
    view! {
        <ul class="last-runs">
            {move || rows.get().into_iter().map(|(correction, facts)| {
                let name = times.name(&facts.runner);
                let at = clock(
                    jiff::Timestamp::from_millisecond(facts.at_ms()).unwrap_or(jiff::Timestamp::UNIX_EPOCH),
                );
                let said = Message::new("trackside-said-counts-again")
                    .text("name", name.clone())
                    .text("time", at.clone());
                view! {
                    <li class="last-run taken-out" data-test="time-taken-out">
                        <span class="soft number">{at}</span>
                        <span class="last-run-text"><b><s>{name}</s></b></span>
                        <button
                            type="button"
                            class="btn"
                            data-test="time-again"
                            on:click=move |_| {
                                let Some(Body::TimingCorrection(mut body)) =
                                    app.stored("timing-correction", &correction)
                                else {
                                    return;
                                };
                                body.void = true;
                                let change = app.change(&correction, &Body::TimingCorrection(body));
                                app.save(said.clone(), change.into_iter().collect());
                            }
                        >
                            {t("trackside-count-again")}
                        </button>
                    </li>
                }
            }).collect_view()}
        </ul>
    }
}

/// Times from a watch or gates, typed or pasted.
#[component]
fn Typed() -> impl IntoView {
    let app = app();
    let times = times();
    let read = Memo::new(move |_| {
        let everybody: Vec<Child> = app.class.with(|class| {
            let runners = class.iter().flat_map(|class| &class.runners);
            runners
                .map(|view| Child { id: view.runner.id.0.clone(), name: view.runner.label.clone() })
                .collect()
        });
        typed_runs(&times.typed.get(), &everybody, times.marks.with(Vec::len))
    });
    let count = Memo::new(move |_| read.with(|read| read.as_ref().map_or(0, Vec::len)));
    let save = move |_| {
        let (Ok(runs), Some(class)) = (read.get_untracked(), app.class_id.get_untracked()) else { return };
        let method = times.typed_method.get_untracked();
        spawn_local(async move {
            let Some(stretch) = times.stretch_id().await else { return };
            let facts = typed_facts(&runs, &stretch, method, now_ms() as i64);
            let said = Message::new("timing-said-typed").with("count", Arg::Count(facts.len() as i64));
            let changes = facts
                .into_iter()
                .filter_map(|facts| app.change(&new_id(), &Body::Timing(timing_body(&class, facts))))
                .collect();
            if app.save_now(said, changes).await {
                times.typed.set(String::new());
            }
        });
    };
    let how = move || {
        let marks = times.marks.get();
        let sample = marks.iter().zip(1..).map(|(_, place)| format!("{}.1", place * 2));
        let sample = sample.collect::<Vec<_>>().join(", ");
        app.say(&Message::new("timing-typed-how").text("sample", sample))
    };
    let preview = move || match read.get() {
        Err(bad) => bad.into_iter().map(|says| notice("bad", says)).collect_view().into_any(),
        Ok(runs) => runs
            .into_iter()
            .map(|TypedRun { name, times_s, .. }| {
                let listed = times_s.iter().map(|time_s| match time_s {
                    Some(time_s) => app.show(Arg::TimeS(*time_s)),
                    None => "–".to_owned(),
                });
                let listed = listed.collect::<Vec<_>>().join(" · ");
                view! { <p class="number" data-test="typed-preview"><b>{name}</b>" "{listed}</p> }
            })
            .collect_view()
            .into_any(),
    };
    view! {
        <details class="card typed-times" data-test="typed-times">
            <summary>{t("timing-typed")}</summary>
            <div class="stack">
                <p class="soft">{how}</p>
                <Choice
                    label="timing-typed-method"
                    test="typed-method"
                    options=vec![
                        (Method::Watch, "timing-method-watch", "watch"),
                        (Method::Gates, "timing-method-gates", "gates"),
                    ]
                    chosen=times.typed_method
                    choose=move |method| times.typed_method.set(method)
                />
                <textarea
                    rows="6"
                    data-test="typed-text"
                    autocomplete="off"
                    spellcheck="false"
                    aria-label=t("timing-typed")
                    prop:value=move || times.typed.get()
                    on:input=move |event| times.typed.set(value_of(&event))
                ></textarea>
                {preview}
                <button
                    type="button"
                    class="btn go"
                    data-test="typed-save"
                    disabled=move || count.get() == 0
                    on:click=save
                >
                    {move || app.say(
                        &Message::new("timing-typed-save").with("count", Arg::Count(count.get() as i64)),
                    )}
                </button>
            </div>
        </details>
    }
}

/// Under the thumb: the next child at the mark, the next child at the start.
#[component]
pub fn TimesVerb() -> impl IntoView {
    let app = app();
    let times = times();
    let first = Memo::new(move |_| times.way.with(|way| way.first().cloned()));
    let mark_words = move || match first.get() {
        Some(child) => {
            let at_m = times.mark_m(&child.stretch, child.mark);
            app.say(
                &Message::new("timing-verb-mark")
                    .text("name", times.name(&child.runner))
                    .with("at", Arg::GapM(at_m)),
            )
        }
        None if matches!(times.role.get(), Role::AtMark(_)) => app.get("timing-verb-nameless"),
        None => app.get("timing-verb-nobody"),
    };
    let take = move |event: &web_sys::Event| {
        let Some(press) = times.press(event, Kind::Mark) else { return };
        match first.get_untracked() {
            Some(child) => times.mark(child, press),
            None => times.mark_nameless(press),
        }
    };
    let start_words = move || {
        let name = times.next_child().map(|child| child.name).unwrap_or_default();
        app.say(&Message::new("timing-verb-start").text("name", name))
    };
    let go = move |event: &web_sys::Event| {
        if let Some(press) = times.press(event, Kind::Start) {
            times.start(press);
        }
    };
    let marks_here = move || times.role.get() != Role::Starts;
    let starts_here = move || !matches!(times.role.get(), Role::AtMark(_));
    let idle = move || first.with(Option::is_none) && times.role.get() == Role::Both;
    view! {
        <UndoButton/>
        <div class="time-verbs">
            {move || marks_here().then(|| view! {
                <button
                    type="button"
                    class="btn go verb press"
                    data-test="press-mark"
                    disabled=idle
                    on:pointerdown=move |event| {
                        if event.button() == 0 {
                            take(&event);
                        }
                    }
                    on:click=move |event| {
                        if event.detail() == 0 {
                            take(&event);
                        }
                    }
                >
                    {mark_words}
                </button>
            })}
            {move || starts_here().then(|| view! {
                <button
                    type="button"
                    class="btn verb press start"
                    data-test="press-start"
                    disabled=move || times.next_child().is_none()
                    on:pointerdown=move |event| {
                        if event.button() == 0 {
                            go(&event);
                        }
                    }
                    on:click=move |event| {
                        if event.detail() == 0 {
                            go(&event);
                        }
                    }
                >
                    {start_words}
                </button>
            })}
        </div>
    }
}
