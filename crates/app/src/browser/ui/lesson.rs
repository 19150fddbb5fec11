//! The lesson at the field: which part is on, how long it lasts, what to say and watch, and what comes next.

use std::cell::Cell;
use std::time::Duration;

use lanewright_draw::{DrillPictureOptions, drill_picture};
use lanewright_model::record::Body;
use lanewright_model::{Arg, DrillId, Message, Presence};
use lanewright_science::lesson::{Lesson, LessonError};
use lanewright_science::plan::PlanInput;
use leptos::prelude::*;
use leptos::task::spawn_local;
use serde::{Deserialize, Serialize};
use wasm_bindgen::JsValue;

use super::devices::show;
use super::icons::icon;
use super::lanes::names_said;
use super::lesson_plan::{BetterPlan, Planning, Rest};
use super::parts::{app, notice, t};
use super::trackside::track;
use crate::browser::app::{App, LADDER, Screen, Toast};
use crate::browser::learner::{Learner, learner};
use crate::browser::planner::{News, Planner};
use crate::browser::signals::{self, SoundState, Sounds};
use crate::browser::{keep_preference, now_ms, on_document, on_window, preference};
use crate::logic::beside::{Asked, Question, Told};
use crate::logic::clock::{BoutNow, Cue, LessonClock, MINUTE_MS, Now, PartTime, Reading, Stage};
use crate::logic::lesson::{
    BlockNow, LessonAsk, Part, PartLane, What, ask_for_rest, blocks_of, minutes_seconds, name_children,
    parts_of, with_rest,
};

/// How often the clock is read while it runs and the page is in sight.
const LOOK_EVERY: Duration = Duration::from_millis(200);
/// How long it is said that Lanes and Trackside follow the lesson.
const SAID_FOR: Duration = Duration::from_secs(6);
/// A cue that comes later than this is shown, but neither spoken nor felt: it would be wrong by then.
const STALE_MS: u64 = 2_000;
/// A lesson that has been over for so long is put away when the page is opened.
const PUT_AWAY_MS: u64 = 3 * 60 * MINUTE_MS;
/// Where the running lesson lies in the browser's storage.
const KEPT: &str = "lanewright-lesson-running";

/// A lesson that has begun.
#[derive(Debug, Clone, PartialEq)]
struct Running {
    class: String,
    clock: LessonClock,
    parts: Vec<Part>,
    /// What was asked, with the coach's changes since.
    ask: LessonAsk,
}

impl Running {
    /// The parts with the minutes that they have by now.
    fn parts_now(&self) -> Vec<Part> {
        let minutes = self.clock.parts().iter().map(|time| time.minutes() as u32);
        self.parts.iter().zip(minutes).map(|(part, minutes)| Part { minutes, ..part.clone() }).collect()
    }
}

/// How far it is proven that no plan is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Proof {
    /// Nothing is looked at.
    None,
    /// The search goes on; so much of it is done.
    Looking(f64),
    /// No plan is worth more than this share above.
    AtMost(f64),
}

/// What a plan is for.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Purpose {
    /// The lesson that is to come.
    Whole,
    /// The rest of the one that runs, after this part.
    Rest(usize),
}

/// What is kept of it; no names.
#[derive(Serialize, Deserialize)]
struct Kept {
    class: String,
    clock: String,
    parts: Vec<Part>,
    #[serde(default)]
    ask: LessonAsk,
}

/// One of the ways in which a cue is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Signal {
    Sound,
    Voice,
    Vibration,
    Screen,
}

impl Signal {
    const ALL: [Signal; 4] = [Signal::Sound, Signal::Voice, Signal::Vibration, Signal::Screen];

    fn slug(self) -> &'static str {
        match self {
            Signal::Sound => "sound",
            Signal::Voice => "voice",
            Signal::Vibration => "vibration",
            Signal::Screen => "screen",
        }
    }

    fn words(self) -> &'static str {
        match self {
            Signal::Sound => "lesson-now-sound",
            Signal::Voice => "lesson-now-voice",
            Signal::Vibration => "lesson-now-vibration",
            Signal::Screen => "lesson-now-screen",
        }
    }
}

/// What the Lesson screen remembers while other screens are shown; the clock goes on there.
#[derive(Clone, Copy)]
pub struct Lessons {
    app: App,
    /// What is asked of the plan.
    pub ask: RwSignal<LessonAsk>,
    /// What was asked before the last change.
    pub before: RwSignal<Option<LessonAsk>>,
    /// The plan, or why there is none.
    pub planned: RwSignal<Option<Result<Lesson, LessonError>>>,
    /// It is being planned.
    pub planning: RwSignal<bool>,
    /// How far the plan that is shown is proven to be the best.
    pub proof: RwSignal<Proof>,
    /// A better plan that was found while the coach was at work with the one that is shown, and what it is for.
    offer: RwSignal<Option<(Purpose, Lesson)>>,
    /// Something was touched since the plan is shown.
    touched: StoredValue<bool>,
    planner: StoredValue<Planner, LocalStorage>,
    learner: Learner,
    planned_for: StoredValue<u64>,
    running: RwSignal<Option<Running>>,
    now: RwSignal<Option<Now>>,
    /// Cues told so far, for tests.
    told: RwSignal<usize>,
    on: [RwSignal<bool>; 4],
    sound: RwSignal<SoundState>,
    sounds: StoredValue<Sounds, LocalStorage>,
    screen_held: StoredValue<Option<JsValue>, LocalStorage>,
    ticking: StoredValue<Option<IntervalHandle>, LocalStorage>,
}

/// Returns what the Lesson screen remembers.
pub fn lessons() -> Lessons {
    expect_context::<Lessons>()
}

thread_local! {
    /// For whoever is called by the browser, not by a screen.
    static LESSONS: Cell<Option<Lessons>> = const { Cell::new(None) };
}

/// Makes the state, and takes up a lesson that was running when the page was left.
pub fn provide(app: App) {
    let own = Lessons::new(app);
    own.bring_drills();
    LESSONS.set(Some(own));
    provide_context(own);
}

/// Returns the lesson that is shown, as planned last, for printing.
pub fn lesson_to_print() -> Option<Lesson> {
    let own = LESSONS.get()?;
    own.planned.with_untracked(|planned| match planned {
        Some(Ok(lesson)) => Some(lesson.clone()),
        _ => None,
    })
}

fn reading() -> Reading {
    let stopwatch_ms =
        web_sys::window().and_then(|window| window.performance()).map_or(0.0, |watch| watch.now());
    Reading { stopwatch_ms: stopwatch_ms as u64, wall_ms: now_ms() }
}

fn is_hidden() -> bool {
    let document = web_sys::window().and_then(|window| window.document());
    document.is_some_and(|document| document.hidden())
}

/// Returns the time of day on this device, such as `10:14`.
fn time_of_day(wall_ms: u64) -> String {
    let at = js_sys::Date::new(&(wall_ms as f64).into());
    format!("{}:{:02}", at.get_hours(), at.get_minutes())
}

/// Returns the name of a part.
pub fn part_name(part: &Part) -> Message {
    match &part.what {
        What::Fixed(what) => Message::new(&format!("lesson-part-{what}")),
        What::Change(_) => Message::new("lesson-plan-change"),
        What::Block { number, lanes } => {
            let first = lanes.first().map(|lane| &lane.drill);
            let same = first.filter(|first| lanes.iter().all(|lane| lane.drill == **first));
            match same {
                Some(drill) => drill_name(drill),
                None => Message::new("lesson-now-block").with("number", Arg::Count(*number as i64 + 1)),
            }
        }
    }
}

/// Returns the name of a drill.
pub fn drill_name(drill: &DrillId) -> Message {
    Message::new(&format!("drill-{drill}"))
}

/// Returns the lanes of a block, those with the same drill together.
pub fn by_drill(lanes: &[PartLane]) -> Vec<(DrillId, Vec<PartLane>)> {
    let mut together: Vec<(DrillId, Vec<PartLane>)> = Vec::new();
    for lane in lanes {
        match together.iter_mut().find(|(drill, _)| *drill == lane.drill) {
            Some((_, lanes)) => lanes.push(lane.clone()),
            None => together.push((lane.drill.clone(), vec![lane.clone()])),
        }
    }
    together
}

/// Says which lanes do a drill.
pub fn lanes_drill(app: App, drill: &DrillId, lanes: &[PartLane]) -> Message {
    let letters: Vec<String> = lanes.iter().map(|lane| lane.lane.clone()).collect();
    let drill = Arg::Say(Box::new(drill_name(drill)));
    if let [lane] = letters.as_slice() {
        return Message::new("lesson-plan-lane-drill").text("lane", lane.clone()).with("drill", drill);
    }
    Message::new("lesson-plan-lanes-drill").text("lanes", names_said(app, &letters)).with("drill", drill)
}

impl Lessons {
    fn new(app: App) -> Self {
        let on = Signal::ALL.map(|signal| {
            let kept = preference(&format!("lanewright-lesson-{}", signal.slug()));
            // A voice is more than people expect of a page: only on request.
            RwSignal::new(kept.map_or(signal != Signal::Voice, |kept| kept == "on"))
        });
        let ask = preference("lanewright-lesson-ask").and_then(|kept| serde_json::from_str(&kept).ok());
        let own = Self {
            app,
            ask: RwSignal::new(ask.unwrap_or_default()),
            before: RwSignal::new(None),
            planned: RwSignal::new(None),
            planning: RwSignal::new(false),
            proof: RwSignal::new(Proof::None),
            offer: RwSignal::new(None),
            touched: StoredValue::new(false),
            planner: StoredValue::new_local(Planner::default()),
            learner: learner(),
            planned_for: StoredValue::new(0),
            running: RwSignal::new(Self::kept()),
            now: RwSignal::new(None),
            told: RwSignal::new(0),
            on,
            sound: RwSignal::new(SoundState::NeedsTap),
            sounds: StoredValue::new_local(Sounds::default()),
            screen_held: StoredValue::new_local(None),
            ticking: StoredValue::new_local(None),
        };
        own.sound.set(own.sounds.with_value(Sounds::state));
        Effect::new(move |_| own.plan_when_asked());
        // Whoever is in a part is known again once there is a plan.
        Effect::new(move |_| {
            let planned = own.planned.with(|planned| match planned {
                Some(Ok(lesson)) => Some(parts_of(lesson, &own.ask.get_untracked())),
                _ => None,
            });
            let class = app.class_id.get();
            let Some(planned) = planned else { return };
            if own.running.with_untracked(|running| running.as_ref().map(|own| own.class.clone()) == class) {
                own.running.update(|running| {
                    if let Some(running) = running {
                        name_children(&mut running.parts, &planned);
                    }
                });
            }
        });
        on_document("visibilitychange", move |_| own.seen_or_not());
        on_window("pagehide", move |_| own.keep());
        own.planner.with_value(Planner::warm_up);
        on_document("keydown", move |_| own.touched.set_value(true));
        on_document("pointerdown", move |_| {
            own.touched.set_value(true);
            if own.stage() == Some(Stage::Running) && own.sound.get_untracked() == SoundState::NeedsTap {
                own.wake_sound();
            }
        });
        if own.running.with_untracked(Option::is_some) {
            own.seen_or_not();
            own.tick();
            own.begin_ticking();
        }
        own
    }

    // The plan

    /// Plans when the screen is looked at and what the plan follows from has changed.
    fn plan_when_asked(self) {
        let app = self.app;
        let shown = app.screen.get() == Screen::Lesson;
        let ask = self.ask.get();
        let input = app.input.get();
        let is_running = self.running.with(Option::is_some);
        if !shown || (is_running && self.planned.with_untracked(Option::is_some)) {
            return;
        }
        let Some(input) = input else {
            self.planned.set(None);
            return;
        };
        if let Some(asked) = self.asked(input, ask) {
            self.ask_planner(asked, Purpose::Whole);
        }
    }

    /// Puts together what the planner needs to know.
    pub fn asked(self, input: PlanInput, ask: LessonAsk) -> Option<Asked> {
        let (history, helping) = self.app.class.with_untracked(|class| {
            let class = class.as_ref()?;
            let helps = class.runners.iter().filter(|view| view.presence == Presence::Helping);
            Some((class.observations(), helps.map(|view| view.runner.label.clone()).collect()))
        })?;
        let known = self.learner.known(&history);
        let now = jiff::Timestamp::from_millisecond(now_ms() as i64).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        // The lesson chooses its drills by itself, and the worker has the ladder.
        let input = PlanInput { drills: Vec::new(), ladder: None, ..input };
        Some(Asked { input, history, known, helping, ask, now, days: Vec::new(), seed: 0 })
    }

    fn ask_planner(self, asked: Asked, purpose: Purpose) {
        let turn = self.planned_for.get_value() + 1;
        self.planned_for.set_value(turn);
        self.planning.set(true);
        self.proof.set(Proof::None);
        self.offer.set(None);
        self.touched.set_value(false);
        let planner = self.planner.with_value(Clone::clone);
        let own = asked.clone();
        let class = self.app.class_id.get_untracked();
        planner.ask(&Question::Plan(Box::new(asked)), move |news| {
            // An answer about a class that is not shown any more would be filed under the one that is.
            if self.planned_for.get_value() == turn && self.app.class_id.get_untracked() == class {
                self.planner_said(&own, purpose, news);
            }
        });
    }

    fn planner_said(self, asked: &Asked, purpose: Purpose, news: News) {
        match news {
            News::Told(Told::Learned(known)) => {
                self.learner.learned(asked.history.clone(), *known);
            }
            News::Told(Told::Done(share)) => self.proof.set(Proof::Looking(share)),
            News::Told(Told::Better(planned)) => {
                if self.proof.get_untracked() == Proof::None {
                    self.proof.set(Proof::Looking(0.0));
                }
                self.take(purpose, planned.unpack());
            }
            News::Told(Told::Planned(planned)) => {
                let gap = planned.gap;
                self.take(purpose, planned.unpack());
                self.proof.set(gap.map_or(Proof::None, Proof::AtMost));
            }
            News::Told(Told::Unit(_) | Told::NoUnit(_) | Told::Lanes(_)) => {}
            // The page asks itself: for the reason, or since there is no worker.
            News::Told(Told::NoPlan) | News::Broken => match (asked.answer_here(&LADDER), purpose) {
                (Ok(lesson), _) => {
                    let gap = lesson.gap;
                    self.take(purpose, lesson);
                    self.proof.set(Proof::AtMost(gap));
                }
                (Err(error), Purpose::Whole) => {
                    self.planned.set(Some(Err(error)));
                    self.planning.set(false);
                }
                (Err(error), Purpose::Rest(_)) => self.no_rest(error.message()),
            },
        }
    }

    /// A plan came. The first one is shown; a better one too, unless somebody is at work with the first.
    fn take(self, purpose: Purpose, lesson: Lesson) {
        let is_first = self.planning.get_untracked();
        let is_shown = self
            .planned
            .with_untracked(|shown| matches!(shown, Some(Ok(shown)) if shown.blocks == lesson.blocks));
        self.planning.set(false);
        if is_first || (purpose == Purpose::Whole && !self.touched.get_value() && !is_shown) {
            self.show(purpose, lesson);
        } else if is_shown {
            // What is said of it may differ, such as how far it is proven; for paper, nothing moves on the screen.
            self.planned.update_untracked(|shown| *shown = Some(Ok(lesson)));
        } else {
            self.offer.set(Some((purpose, lesson)));
        }
    }

    fn show(self, purpose: Purpose, lesson: Lesson) {
        match purpose {
            Purpose::Whole => self.planned.set(Some(Ok(lesson))),
            Purpose::Rest(part) => self.show_rest(part, lesson),
        }
    }

    /// Returns whether a lesson is running; follows changes.
    pub fn is_running(self) -> bool {
        self.running.with(Option::is_some)
    }

    /// Whether a better plan waits.
    pub fn is_better_offered(self) -> bool {
        self.offer.with(Option::is_some)
    }

    /// Shows the better plan that was offered.
    pub fn take_offer(self) {
        if let Some((purpose, lesson)) = self.offer.get_untracked() {
            self.offer.set(None);
            self.show(purpose, lesson);
        }
    }

    // The rest of a lesson that runs

    /// Where the lesson that runs stands: its parts with their minutes by now, the part that is on, the minutes after
    /// that part until the end that was planned, and what was asked.
    fn rest_state(self) -> Option<(Vec<Part>, usize, u32, LessonAsk)> {
        let at = reading();
        self.running.with_untracked(|running| {
            let running = running.as_ref()?;
            let now = running.clock.now(at);
            if now.stage == Stage::Over {
                return None;
            }
            let rest_ms = (now.whole_left_ms - now.left_ms) as i64 - now.moved_ms;
            let minutes = (rest_ms.max(0) as u64 + MINUTE_MS / 2) / MINUTE_MS;
            Some((running.parts_now(), now.part, minutes as u32, running.ask.clone()))
        })
    }

    /// Plans what comes after the part that is on, in the minutes that remain until the planned end.
    fn plan_rest(self) {
        let Some((parts, part, minutes, ask)) = self.rest_state() else { return };
        let asked = ask_for_rest(&ask, &parts, part, minutes)
            .and_then(|ask| self.asked(self.app.input.get_untracked()?, ask));
        match asked {
            Some(asked) => self.ask_planner(asked, Purpose::Rest(part)),
            None => self.no_rest(Message::new("lesson-now-rest-none")),
        }
    }

    fn show_rest(self, part: usize, lesson: Lesson) {
        let parts = self.running.with_untracked(|running| {
            let running = running.as_ref()?;
            with_rest(&running.parts, part, &parts_of(&lesson, &running.ask))
        });
        let Some(parts) = parts else { return };
        let rest: Vec<PartTime> = parts[part + 1..].iter().map(Part::time).collect();
        let mut done = false;
        self.tap(|clock, at| done = clock.replace_rest(at, part, &rest));
        if !done {
            // The part ended meanwhile.
            return self.plan_rest();
        }
        self.running.update(|running| {
            if let Some(running) = running {
                running.parts = parts;
            }
        });
        self.planned.set(Some(Ok(lesson)));
        self.tick();
        self.keep();
    }

    /// The rest stays as it was.
    fn no_rest(self, why: Message) {
        self.planning.set(false);
        if let Some(before) = self.before.get_untracked() {
            self.before.set(None);
            self.set_running_ask(before);
        }
        self.app.toast.set(Some(Toast { said: why, undo: false, bad: true, over: None }));
    }

    fn set_running_ask(self, ask: LessonAsk) {
        self.running.update(|running| {
            if let Some(running) = running {
                running.ask = ask;
            }
        });
    }

    /// Returns what is asked: of the lesson that runs, or else of the plan.
    pub fn ask_now(self) -> LessonAsk {
        self.running
            .with(|running| running.as_ref().map(|own| own.ask.clone()))
            .unwrap_or_else(|| self.ask.get())
    }

    /// Returns the blocks as they stand: of the lesson that runs, or else of the plan.
    pub fn blocks_now(self) -> Vec<BlockNow> {
        let running =
            self.running.with_untracked(|running| running.as_ref().map(|own| blocks_of(&own.parts_now())));
        running.unwrap_or_else(|| {
            self.planned.with_untracked(|planned| match planned {
                Some(Ok(lesson)) => blocks_of(&parts_of(lesson, &self.ask.get_untracked())),
                _ => Vec::new(),
            })
        })
    }

    /// Whether lanes are being re-set for the next block.
    pub fn is_changing(self) -> bool {
        let at = reading();
        self.running.with_untracked(|running| {
            running
                .as_ref()
                .is_some_and(|own| matches!(own.parts[own.clock.now(at).part].what, What::Change(_)))
        })
    }

    /// Returns the parts after the one that is on, with the number of those before.
    pub fn to_come(self) -> (usize, Vec<Part>) {
        self.now.with(|now| now.as_ref().map(|now| now.part));
        let at = reading();
        self.running.with(|running| match running {
            Some(running) => {
                let part = running.clock.now(at).part;
                (part + 1, running.parts_now().into_iter().skip(part + 1).collect())
            }
            None => (0, Vec::new()),
        })
    }

    /// Changes what is asked; the rest is planned anew at once.
    pub fn change_ask(self, change: impl FnOnce(&mut LessonAsk)) {
        let before = untrack(|| self.ask_now());
        let mut ask = before.clone();
        change(&mut ask);
        if ask != before {
            self.before.set(Some(before));
            self.set_ask(ask);
        }
    }

    /// Takes the last change of what is asked back.
    pub fn change_back(self) {
        if let Some(before) = self.before.get_untracked() {
            self.before.set(None);
            self.set_ask(before);
        }
    }

    fn set_ask(self, ask: LessonAsk) {
        if self.running.with_untracked(Option::is_some) {
            self.set_running_ask(ask);
            self.keep();
            return self.plan_rest();
        }
        keep_preference("lanewright-lesson-ask", &serde_json::to_string(&ask).unwrap_or_default());
        self.ask.set(ask);
    }

    // The clock

    fn kept() -> Option<Running> {
        let kept: Kept = serde_json::from_str(&preference(KEPT)?).ok()?;
        let at = reading();
        let clock = LessonClock::bring_back(&kept.clock, at)?;
        let matches = clock.parts().len() == kept.parts.len();
        let fresh = clock.now(at).over_ms < PUT_AWAY_MS;
        (matches && fresh).then_some(Running { class: kept.class, clock, parts: kept.parts, ask: kept.ask })
    }

    fn keep(self) {
        let at = reading();
        let mut text = None;
        // Nothing that is shown changes with it.
        self.running.update_untracked(|running| {
            if let Some(Running { class, clock, parts, ask }) = running {
                let (class, parts, ask) = (class.clone(), parts.clone(), ask.clone());
                let kept = Kept { class, clock: clock.keep(at), parts, ask };
                text = serde_json::to_string(&kept).ok();
            }
        });
        if let Some(text) = text {
            keep_preference(KEPT, &text);
        }
    }

    fn stage(self) -> Option<Stage> {
        self.now.with_untracked(|now| now.as_ref().map(|now| now.stage))
    }

    /// Begins the planned lesson, from within a tap.
    fn start(self) {
        let Some(class) = self.app.class_id.get_untracked() else { return };
        let parts = self.planned.with_untracked(|planned| match planned {
            Some(Ok(lesson)) => Some(parts_of(lesson, &self.ask.get_untracked())),
            _ => None,
        });
        let Some(parts) = parts else { return };
        let Some(mut clock) = LessonClock::new(parts.iter().map(Part::time).collect()) else { return };
        self.lay_lanes_out();
        clock.start(reading());
        self.told.set(0);
        // What is looked for still would come too late; changes from here on are of the lesson that runs.
        self.planner.with_value(Planner::stop);
        self.offer.set(None);
        self.before.set(None);
        self.running.set(Some(Running { class, clock, parts, ask: self.ask.get_untracked() }));
        self.keep();
        self.wake_sound();
        self.hold_screen();
        self.tick();
        self.begin_ticking();
        if let Some(window) = web_sys::window() {
            window.scroll_to_with_x_and_y(0.0, 0.0);
        }
    }

    /// Lets Lanes and Trackside have the drills of the lesson, when they do not have all of them.
    fn lay_lanes_out(self) {
        let app = self.app;
        let drills = self.planned.with_untracked(|planned| match planned {
            Some(Ok(lesson)) => lesson.plan.as_ref().map(|plan| plan.drills.clone()),
            _ => None,
        });
        let choice = app.class.with_untracked(|class| class.as_ref().map(|class| class.choice.clone()));
        let (Some(drills), Some(mut choice), Some(class)) = (drills, choice, app.class_id.get_untracked())
        else {
            return;
        };
        if drills.iter().all(|drill| choice.drills.contains(drill)) {
            return;
        }
        choice.drills = drills;
        let change = app.change(&class, &Body::PlanChoice(choice));
        let said = Message::new("lesson-plan-lanes-said");
        app.save(said.clone(), change.into_iter().collect());
        // The clock needs the place; the undo stays where every undo is.
        set_timeout(
            move || {
                if app.toast.with_untracked(|toast| toast.as_ref().is_some_and(|toast| toast.said == said)) {
                    app.toast.set(None);
                }
            },
            SAID_FOR,
        );
    }

    /// Puts the lesson away.
    fn end(self) {
        self.sounds.update_value(Sounds::take_back);
        self.planner.with_value(Planner::stop);
        self.offer.set(None);
        self.before.set(None);
        self.running.set(None);
        self.now.set(None);
        keep_preference(KEPT, "");
        self.stop_ticking();
        self.let_screen_off();
    }

    /// Does something to the clock, from within a tap.
    fn tap(self, act: impl FnOnce(&mut LessonClock, Reading)) {
        // What was due before the tap is told first.
        self.tick();
        self.sounds.update_value(Sounds::take_back);
        self.wake_sound();
        let at = reading();
        self.running.update_untracked(|running| {
            if let Some(running) = running {
                act(&mut running.clock, at);
            }
        });
        self.tick();
        self.keep();
        match self.stage() {
            Some(Stage::Running) => {
                self.begin_ticking();
                self.hold_screen();
            }
            // During a talk the phone goes into a pocket.
            _ => self.let_screen_off(),
        }
    }

    /// Reads the clock, tells what is due, shows where the lesson stands.
    fn tick(self) {
        let at = reading();
        let (mut due, mut ahead, mut now) = (Vec::new(), Vec::new(), None);
        self.running.update_untracked(|running| {
            if let Some(running) = running {
                due = running.clock.observe(at);
                ahead = running.clock.ahead(at, signals::SOUND_AHEAD_MS);
                now = Some(running.clock.now(at));
            }
        });
        if self.on(Signal::Sound) {
            let state = self.sounds.with_value(Sounds::state);
            if self.sound.get_untracked() != state {
                self.sound.set(state);
            }
            self.sounds.update_value(|sounds| sounds.hand_over(&due, &ahead));
        }
        for due in due.iter().filter(|due| due.late_ms <= STALE_MS) {
            self.tell(due.cue);
        }
        if !due.is_empty() {
            self.told.update(|told| *told += due.len());
            self.keep();
        }
        let is_over = now.as_ref().is_some_and(|now| now.stage == Stage::Over);
        if self.now.with_untracked(|shown| *shown != now) {
            self.now.set(now);
        }
        if is_over {
            self.let_screen_off();
        }
    }

    /// Tells a cue by voice and vibration; the sound is under way by itself.
    fn tell(self, cue: Cue) {
        if self.on(Signal::Vibration) {
            signals::vibrate(cue);
        }
        if !self.on(Signal::Voice) {
            return;
        }
        let said = match cue {
            Cue::Work { .. } => Some(self.app.get("lesson-now-say-work")),
            Cue::Rest { .. } => Some(self.app.get("lesson-now-say-rest")),
            Cue::Warning { .. } => Some(self.app.get("lesson-now-say-warning")),
            Cue::End { part } => self.running.with_untracked(|running| {
                let next = running.as_ref()?.parts.get(part + 1);
                Some(self.app.say(&next.map_or_else(|| Message::new("lesson-now-over"), part_name)))
            }),
        };
        if let Some(said) = said {
            signals::speak(&said, &self.language());
        }
    }

    fn language(self) -> String {
        self.app.words.with_untracked(|words| words.0.language.to_owned())
    }

    fn seen_or_not(self) {
        let at = reading();
        let hidden = is_hidden();
        self.running.update_untracked(|running| {
            if let Some(running) = running {
                if hidden { running.clock.hide(at) } else { running.clock.show(at) }
            }
        });
        if self.running.with_untracked(Option::is_none) {
            return;
        }
        self.tick();
        self.keep();
        if !hidden && self.stage() == Some(Stage::Running) {
            self.hold_screen();
        }
    }

    fn begin_ticking(self) {
        if self.ticking.with_value(Option::is_none) {
            let handle = set_interval_with_handle(move || self.tick(), LOOK_EVERY).ok();
            self.ticking.set_value(handle);
        }
    }

    fn stop_ticking(self) {
        if let Some(handle) = self.ticking.get_value() {
            handle.clear();
        }
        self.ticking.set_value(None);
    }

    // Signals

    fn on(self, signal: Signal) -> bool {
        self.signal(signal).get_untracked()
    }

    fn signal(self, signal: Signal) -> RwSignal<bool> {
        self.on[Signal::ALL.iter().position(|own| *own == signal).unwrap_or_default()]
    }

    fn switch(self, signal: Signal) {
        let on = !self.on(signal);
        self.signal(signal).set(on);
        keep_preference(&format!("lanewright-lesson-{}", signal.slug()), if on { "on" } else { "off" });
        match signal {
            Signal::Sound if on => {
                self.wake_sound();
                self.tick();
            }
            Signal::Sound => self.sounds.update_value(Sounds::take_back),
            Signal::Screen if on && self.stage() == Some(Stage::Running) => self.hold_screen(),
            Signal::Screen => self.let_screen_off(),
            Signal::Vibration if on => signals::vibrate(Cue::Warning { part: 0 }),
            Signal::Voice if on => {
                signals::speak(&self.app.get("lesson-now-say-warning"), &self.language());
            }
            Signal::Voice | Signal::Vibration => {}
        }
    }

    fn wake_sound(self) {
        if !self.on(Signal::Sound) {
            return;
        }
        self.sounds.update_value(Sounds::wake);
        // Waking takes a moment; the next look sees it.
        self.sound.set(self.sounds.with_value(Sounds::state));
    }

    fn hear(self) {
        self.sounds.update_value(Sounds::wake);
        set_timeout(
            move || {
                self.sound.set(self.sounds.with_value(Sounds::state));
                self.sounds.with_value(|sounds| sounds.try_out(Cue::End { part: 0 }));
            },
            Duration::from_millis(60),
        );
    }

    fn hold_screen(self) {
        if !self.on(Signal::Screen) || is_hidden() {
            return;
        }
        spawn_local(async move {
            if let Some(held) = signals::keep_screen_on().await {
                let before = self.screen_held.get_value();
                self.screen_held.set_value(Some(held));
                if let Some(before) = before {
                    signals::let_screen_off(&before);
                }
            }
        });
    }

    fn let_screen_off(self) {
        if let Some(held) = self.screen_held.get_value() {
            signals::let_screen_off(&held);
        }
        self.screen_held.set_value(None);
    }

    /// Trackside goes along with the lesson: a block that begins brings its drill, as soon as no mark waits to be saved
    /// for the drill before. What the coach chooses by hand holds until the next part.
    fn bring_drills(self) {
        let part = Memo::new(move |_| self.now.with(|now| now.as_ref().map(|now| now.part)));
        let is_marking = Memo::new(move |_| track().is_marking());
        Effect::new(move |followed: Option<Option<usize>>| {
            let (now, is_marking) = (part.get(), is_marking.get());
            match (followed.flatten(), now) {
                (Some(before), Some(number)) if before != number => {
                    if is_marking {
                        return Some(before);
                    }
                    self.bring_drill(number);
                }
                _ => {}
            }
            now
        });
    }

    fn bring_drill(self, part: usize) {
        let track = track();
        let letter = track.lane.with_untracked(|lane| lane.as_ref().map(|lane| lane.lane.clone()));
        let class = self.app.class_id.get_untracked();
        let drill = self.running.with_untracked(|running| {
            let running = running.as_ref().filter(|running| Some(&running.class) == class.as_ref())?;
            let What::Block { lanes, .. } = &running.parts.get(part)?.what else { return None };
            let own = lanes.iter().find(|lane| Some(&lane.lane) == letter.as_ref()).or(lanes.first())?;
            Some(own.drill.0.clone())
        });
        if let Some(drill) = drill {
            track.choose_drill(&drill);
        }
    }

    /// Records runs of a lane with the drill of the part that is on.
    fn to_trackside(self, lane: &PartLane) {
        let track = track();
        track.choose_lane(&lane.lane);
        track.choose_drill(&lane.drill.0);
        self.app.go(Screen::Trackside);
    }
}

/// The screen.
#[component]
pub fn LessonScreen() -> impl IntoView {
    let app = app();
    let own = lessons();
    let is_running = Memo::new(move |_| own.running.with(Option::is_some));
    let is_class = Memo::new(move |_| app.class_id.with(Option::is_some));
    move || match (is_running.get(), is_class.get()) {
        (true, _) => view! { <Clock/> }.into_any(),
        (false, true) => view! { <Planning/> }.into_any(),
        (false, false) => view! {
            <h1>{t("lesson-plan-title")}</h1>
            <p class="lead">{t("lesson-plan-no-class")}</p>
            <button type="button" class="btn go" on:click=move |_| app.go(Screen::Class)>
                {t("app-to-class")}
            </button>
        }
        .into_any(),
    }
}

/// What the clock shows; each value changes the page only when it changes itself.
#[derive(Clone, Copy)]
struct Shown {
    stage: Memo<Stage>,
    part: Memo<usize>,
    left: Memo<String>,
    bout: Memo<Option<(bool, u64, u64, String)>>,
}

impl Shown {
    fn of(own: Lessons) -> Self {
        let now = own.now;
        Self {
            stage: Memo::new(move |_| now.with(|now| now.as_ref().map_or(Stage::Ready, |now| now.stage))),
            part: Memo::new(move |_| now.with(|now| now.as_ref().map_or(0, |now| now.part))),
            left: Memo::new(move |_| {
                now.with(|now| now.as_ref().map_or_else(String::new, |now| minutes_seconds(now.left_ms)))
            }),
            bout: Memo::new(move |_| {
                let bout: BoutNow = now.with(|now| now.as_ref().and_then(|now| now.bout))?;
                Some((bout.work, bout.number, bout.of, bout.left_ms.div_ceil(1000).to_string()))
            }),
        }
    }
}

#[component]
fn Clock() -> impl IntoView {
    let app = app();
    let own = lessons();
    let shown = Shown::of(own);
    let parts = Memo::new(move |_| {
        own.running.with(|running| running.as_ref().map(|own| own.parts.clone()).unwrap_or_default())
    });
    let part = Memo::new(move |_| parts.with(|parts| parts.get(shown.part.get()).cloned()));
    let is_over = Memo::new(move |_| shown.stage.get() == Stage::Over);
    let over = Memo::new(move |_| {
        own.now.with(|now| now.as_ref().map_or_else(String::new, |now| minutes_seconds(now.over_ms)))
    });
    // The place to the millisecond, for tests and for nobody else.
    let place = move || own.now.with(|now| now.as_ref().map(|now| (now.part, now.into_ms)));
    view! {
        <div
            class="clock"
            data-test="clock"
            data-stage=move || format!("{:?}", shown.stage.get()).to_lowercase()
            data-part=move || place().map(|(part, _)| part.to_string())
            data-into-ms=move || place().map(|(_, into_ms)| into_ms.to_string())
            data-told=move || own.told.get().to_string()
            data-sound=move || format!("{:?}", own.sound.get()).to_lowercase()
        >
            <Timeline parts shown/>
            <div class="clock-face" class:paused=move || shown.stage.get() == Stage::Paused>
                <p class="clock-part soft">{move || app.say(
                    &Message::new("lesson-now-part")
                        .with("number", Arg::Count(shown.part.get() as i64 + 1))
                        .with("of", Arg::Count(parts.with(Vec::len) as i64)),
                )}</p>
                <h1 data-test="part-name">{move || {
                    if is_over.get() {
                        return app.get("lesson-now-over");
                    }
                    part.with(|part| part.as_ref().map(|part| app.say(&part_name(part))).unwrap_or_default())
                }}</h1>
                <p class="clock-left" data-test="time-left" role="timer">
                    {move || if is_over.get() { over.get() } else { shown.left.get() }}
                </p>
                <p class="clock-of">{move || {
                    let id = match shown.stage.get() {
                        Stage::Over => "lesson-now-over-for",
                        Stage::Paused => "lesson-now-talk",
                        _ => "lesson-now-left",
                    };
                    app.get(id)
                }}</p>
                {move || shown.bout.get().map(|(work, number, of, left)| view! {
                    <p class="clock-bout" class:work=work data-test="bout">
                        <b>{t(if work { "lesson-now-work" } else { "lesson-now-rest" })}</b>
                        <span class="clock-bout-left">{left}</span>
                        <span>{app.say(
                            &Message::new("lesson-now-bout")
                                .with("number", Arg::Count(number as i64))
                                .with("of", Arg::Count(of as i64)),
                        )}</span>
                    </p>
                })}
                <Minutes is_over/>
            </div>
            <Differing/>
            <NextUp parts shown/>
            <BetterPlan/>
            <div class="clock-what">
                {move || part.get().map(|part| what_of(app, own, part))}
            </div>
            <Rest/>
            <Signals/>
            <EndLesson/>
        </div>
    }
}

/// Ends the lesson before its time; one tap that went astray ends nothing.
#[component]
fn EndLesson() -> impl IntoView {
    let own = lessons();
    let asked = RwSignal::new(false);
    move || {
        match asked.get() {
        false => view! {
            <button
                type="button"
                class="btn quiet end-lesson"
                data-test="end-lesson"
                on:click=move |_| {
                    asked.set(true);
                    // The answers are below the question, at the very end of the page.
                    request_animation_frame(|| show("end-asked"));
                }
            >
                {icon("close")}
                <span>{t("lesson-now-end")}</span>
            </button>
        }
        .into_any(),
        true => view! {
            <div class="stack" id="end-asked" role="group" aria-label=t("lesson-now-end-asked")>
                <p>{t("lesson-now-end-asked")}</p>
                <button type="button" class="btn go" data-test="end-lesson-not" on:click=move |_| asked.set(false)>
                    <span>{t("lesson-now-end-not")}</span>
                </button>
                <button type="button" class="btn quiet" data-test="end-lesson-yes" on:click=move |_| own.end()>
                    {icon("close")}
                    <span>{t("lesson-now-end")}</span>
                </button>
            </div>
        }
        .into_any(),
    }
    }
}

/// The parts side by side, as long as they last.
#[component]
fn Timeline(parts: Memo<Vec<Part>>, shown: Shown) -> impl IntoView {
    let app = app();
    let own = lessons();
    let lengths = Memo::new(move |_| {
        // Follows minutes that were added or taken off.
        own.now.track();
        own.running.with_untracked(|running| {
            let times = running.iter().flat_map(|running| running.clock.parts());
            times.map(|time| time.minutes()).collect::<Vec<_>>()
        })
    });
    let rows = move || {
        let lengths = lengths.get();
        parts
            .get()
            .into_iter()
            .zip(lengths)
            .enumerate()
            .map(|(number, (part, minutes))| {
                let is_block = matches!(part.what, What::Block { .. });
                let said = Message::new("lesson-now-next-part")
                    .with("part", Arg::Say(Box::new(part_name(&part))))
                    .with("minutes", Arg::Count(minutes as i64));
                view! {
                    <li
                        style:flex-grow=minutes.to_string()
                        class:block=is_block
                        class:done=move || number < shown.part.get() || shown.stage.get() == Stage::Over
                        aria-current=move || {
                            (number == shown.part.get() && shown.stage.get() != Stage::Over).then_some("step")
                        }
                    >
                        <span class="sr">{move || app.say(&said)}</span>
                        <span aria-hidden="true">{if is_block { minutes.to_string() } else { String::new() }}</span>
                    </li>
                }
            })
            .collect_view()
    };
    view! { <ol class="timeline" data-test="timeline" aria-label=t("lesson-now-parts")>{rows}</ol> }
}

/// A minute more or less, and when it all ends.
#[component]
fn Minutes(is_over: Memo<bool>) -> impl IntoView {
    let app = app();
    let own = lessons();
    let whole = Memo::new(move |_| {
        own.now.with(|now| now.as_ref().map(|now| minutes_seconds(now.whole_left_ms)).unwrap_or_default())
    });
    let ends = Memo::new(move |_| {
        own.now.with(|now| now.as_ref().map(|now| time_of_day(now.end_wall_ms)).unwrap_or_default())
    });
    let moved = Memo::new(move |_| {
        let moved_ms = own.now.with(|now| now.as_ref().map_or(0, |now| now.moved_ms));
        // What a talk of a few seconds moves is nothing that anyone plans by.
        (moved_ms.unsigned_abs() >= MINUTE_MS / 2)
            .then(|| (moved_ms > 0, minutes_seconds(moved_ms.unsigned_abs() / 1000 * 1000)))
    });
    let can_take = Memo::new(move |_| {
        own.now
            .with(|now| now.as_ref().is_some_and(|now| now.left_ms > MINUTE_MS && now.stage != Stage::Over))
    });
    view! {
        <div class="clock-minutes" hidden=move || is_over.get()>
            <button
                type="button"
                class="btn"
                data-test="minute-less"
                aria-label=t("lesson-now-shorter")
                disabled=move || !can_take.get()
                on:click=move |_| own.tap(|clock, at| { clock.take_minute(at); })
            >
                {t("lesson-now-minute-less")}
            </button>
            <p>
                <b data-test="ends">{move || app.say(&Message::new("lesson-now-ends").text("clock", ends.get()))}</b>
                <span class="soft">{move || app.say(&Message::new("lesson-now-whole").text("time", whole.get()))}</span>
                {move || moved.get().map(|(later, time)| {
                    let id = if later { "lesson-now-later" } else { "lesson-now-earlier" };
                    view! { <span class="soft">{app.say(&Message::new(id).text("time", time))}</span> }
                })}
            </p>
            <button
                type="button"
                class="btn"
                data-test="minute-more"
                aria-label=t("lesson-now-longer")
                on:click=move |_| own.tap(|clock, at| { clock.add_minute(at); })
            >
                {t("lesson-now-minute-more")}
            </button>
        </div>
    }
}

/// The two clocks of the device went apart: what was done about it, and the other way.
#[component]
fn Differing() -> impl IntoView {
    let app = app();
    let own = lessons();
    let differing = Memo::new(move |_| {
        own.now.track();
        own.running.with_untracked(|running| running.as_ref().and_then(|running| running.clock.difference()))
    });
    move || {
        differing.get().map(|difference| {
            let (id, other) = match (difference.wall_ahead_ms > 0, difference.counted) {
                (true, true) => ("lesson-now-differ-counted", Some("lesson-now-differ-take-out")),
                (true, false) => ("lesson-now-differ-uncounted", Some("lesson-now-differ-count")),
                (false, _) => ("lesson-now-differ-back", None),
            };
            let time = minutes_seconds(difference.wall_ahead_ms.unsigned_abs());
            let said = Message::new(id).text("time", time);
            view! {
                <div class="notice warn block" data-test="differing">
                    <p>{icon("warning")}<span>{move || app.say(&said)}</span></p>
                    <div class="row">
                        {other.map(|other| view! {
                            <button type="button" class="btn" on:click=move |_| own.tap(LessonClock::change_difference)>
                                {t(other)}
                            </button>
                        })}
                        <button type="button" class="btn" on:click=move |_| own.tap(|clock, _| clock.accept_difference())>
                            {t("lesson-now-differ-fine")}
                        </button>
                    </div>
                </div>
            }
        })
    }
}

/// What to do, say and watch in a part.
fn what_of(app: App, own: Lessons, part: Part) -> AnyView {
    match part.what {
        What::Fixed(what) => {
            let said = own.planned.with(|planned| match planned {
                Some(Ok(lesson)) => match what.as_str() {
                    "set-up" => lesson.jobs.clone(),
                    "talk" => lesson.talk.clone(),
                    "demonstration" => lesson.demonstrate.clone(),
                    _ => Vec::new(),
                },
                _ => Vec::new(),
            });
            let rows =
                said.into_iter().map(|said| view! { <li>{move || app.say(&said)}</li> }).collect_view();
            view! { <ul class="plain say">{rows}</ul> }.into_any()
        }
        What::Change(lanes) => {
            let rows = lanes
                .into_iter()
                .map(|lane| change_of(app, lane.lane, lane.setting, lane.gap_m, &lane.movers));
            view! { <ul class="plain say">{rows.collect_view()}</ul> }.into_any()
        }
        What::Block { lanes, .. } => {
            let drills = by_drill(&lanes);
            let alone = drills.len() == 1;
            drills
                .into_iter()
                .map(|(drill, lanes)| drill_of(app, own, &drill, lanes, alone))
                .collect_view()
                .into_any()
        }
    }
}

/// Says what a lane is re-set to, and who carries.
pub fn change_of(
    app: App,
    lane: String,
    setting: lanewright_model::Setting,
    gap_m: f64,
    movers: &[String],
) -> AnyView {
    let setting = match setting {
        lanewright_model::Setting::Long => "setting-long",
        lanewright_model::Setting::Short => "setting-short",
    };
    let id = if movers.is_empty() { "lesson-plan-change-lane" } else { "lesson-plan-change-who" };
    let said = Message::new(id)
        .text("lane", lane)
        .with("setting", Arg::Say(Box::new(Message::new(setting))))
        .with("gap", Arg::GapM(gap_m))
        .text("names", names_said(app, movers));
    view! { <li>{move || app.say(&said)}</li> }.into_any()
}

fn drill_of(app: App, own: Lessons, drill: &DrillId, lanes: Vec<PartLane>, alone: bool) -> AnyView {
    let known = LADDER.get(&drill.0);
    let cue = known.map(|drill| Message::new("lesson-text-cue").with("cue", drill.cue_arg()));
    let how = known.map(|drill| drill.how_arg());
    let watch = lanes.first().and_then(|lane| lane.watch_for.clone()).map(|fault| {
        Message::new("lesson-now-watch")
            .with("fault", Arg::Say(Box::new(Message::new(&format!("fault-{fault}")))))
    });
    let look = lanes
        .first()
        .and_then(|lane| lane.watch_for.clone())
        .map(|fault| Message::new(&format!("fault-{fault}-look")));
    let lead = lanes.iter().any(|lane| lane.lead_changes);
    let title = (!alone).then(|| lanes_drill(app, drill, &lanes));
    let picture = known.map(|drill| {
        app.words.with_untracked(|words| drill_picture(drill, &words.0, &DrillPictureOptions::default()).svg)
    });
    let taps = lanes
        .iter()
        .map(|lane| {
            let (letter, test) = (lane.lane.clone(), format!("to-trackside-{}", lane.lane));
            let said = Message::new("lesson-now-trackside").text("lane", lane.lane.clone());
            let lane = lane.clone();
            view! {
                <button
                    type="button"
                    class="btn"
                    data-test=test
                    aria-label=move || app.say(&said)
                    on:click=move |_| own.to_trackside(&lane)
                >
                    {letter}
                </button>
            }
        })
        .collect_view();
    let setters = lanes
        .iter()
        .filter(|lane| !lane.setters.is_empty())
        .map(|lane| view! { <li><b class="place">{lane.lane.clone()}</b><p>{lane.setters.join(", ")}</p></li> })
        .collect::<Vec<_>>();
    let setters = (!setters.is_empty()).then(|| {
        view! {
            <details>
                <summary>{t("lesson-now-setters")}</summary>
                <ul class="clock-lanes">{setters.into_iter().collect_view()}</ul>
            </details>
        }
    });
    let rows = lanes.into_iter().map(|lane| lane_of(app, lane)).collect_view();
    view! {
        <section class="clock-drill" data-test="drill-now">
            {title.map(|title| view! { <h2>{move || app.say(&title)}</h2> })}
            {cue.map(|cue| view! { <p class="clock-cue">{move || app.say(&cue)}</p> })}
            {watch.map(|watch| view! {
                <p class="clock-watch"><b>{move || app.say(&watch)}</b>" "<span>{look.map(|look| app.say(&look))}</span></p>
            })}
            {lead.then(|| view! { <p>{t("lesson-now-lead")}</p> })}
            <div class="clock-taps" role="group" aria-label=t("lesson-now-tap-runs")>
                <span>{icon("trackside")}{t("lesson-now-tap-runs")}</span>
                <div>{taps}</div>
            </div>
            <ul class="clock-lanes">{rows}</ul>
            {setters}
            <details class="clock-feet">
                <summary>{t("lesson-plan-feet")}</summary>
                <p>{move || how.clone().map(|how| app.show(how))}</p>
                <div inner_html=picture></div>
            </details>
        </section>
    }
    .into_any()
}

/// What is different for some children of a lane.
fn lane_of(app: App, lane: PartLane) -> AnyView {
    let mut said: Vec<Message> = lane
        .easier
        .iter()
        .map(|(drill, names)| {
            Message::new("lesson-now-easier")
                .with("drill", Arg::Say(Box::new(drill_name(drill))))
                .text("names", names_said(app, names))
        })
        .collect();
    if !lane.over_lines.is_empty() {
        said.push(Message::new("lesson-now-lines").text("names", names_said(app, &lane.over_lines)));
    }
    if said.is_empty() {
        return ().into_any();
    }
    let rows = said.into_iter().map(|said| view! { <p>{move || app.say(&said)}</p> }).collect_view();
    view! { <li><b class="place">{lane.lane}</b><div>{rows}</div></li> }.into_any()
}

#[component]
fn NextUp(parts: Memo<Vec<Part>>, shown: Shown) -> impl IntoView {
    let app = app();
    let next = move || {
        if shown.stage.get() == Stage::Over {
            return None;
        }
        let next = parts.with(|parts| parts.get(shown.part.get() + 1).cloned());
        let said = match next {
            Some(part) => app.say(
                &Message::new("lesson-now-next-part")
                    .with("part", Arg::Say(Box::new(part_name(&part))))
                    .with("minutes", Arg::Count(part.minutes.into())),
            ),
            None => app.get("lesson-now-next-none"),
        };
        Some(view! {
            <p class="clock-next" data-test="next-part">
                <span class="soft">{t("lesson-now-next")}</span>
                <b>{said}</b>
            </p>
        })
    };
    view! { {next} }
}

/// The switches, with what this browser does not allow.
#[component]
fn Signals() -> impl IntoView {
    let own = lessons();
    let missing = move |signal: Signal| match signal {
        Signal::Sound => match own.sound.get() {
            SoundState::Missing => Some("lesson-now-sound-missing"),
            SoundState::NeedsTap if own.signal(Signal::Sound).get() => Some("lesson-now-sound-tap"),
            _ => None,
        },
        Signal::Voice => (!signals::can_speak(&own.language())).then_some("lesson-now-voice-missing"),
        Signal::Vibration => (!signals::can_vibrate()).then_some("lesson-now-vibration-missing"),
        Signal::Screen => (!signals::can_keep_screen_on()).then_some("lesson-now-screen-missing"),
    };
    let switches = Signal::ALL
        .map(|signal| {
            let on = own.signal(signal);
            view! {
                <li>
                    <button
                        type="button"
                        class="switch"
                        role="switch"
                        data-test=format!("signal-{}", signal.slug())
                        aria-checked=move || on.get().to_string()
                        on:click=move |_| own.switch(signal)
                    >
                        <span>{t(signal.words())}</span>
                        <i aria-hidden="true"></i>
                    </button>
                    {move || missing(signal).map(|words| view! { <p class="soft">{t(words)}</p> })}
                </li>
            }
        })
        .collect_view();
    view! {
        <details class="signals" data-test="signals">
            <summary>{t("lesson-now-signals")}</summary>
            <ul>{switches}</ul>
            <button type="button" class="btn" data-test="hear-sound" on:click=move |_| own.hear()>
                {t("lesson-now-sound-hear")}
            </button>
            <p class="soft">{t("lesson-now-signals-hidden")}</p>
        </details>
        {move || (own.sound.get() == SoundState::NeedsTap && own.signal(Signal::Sound).get()).then(|| {
            notice("note", Message::new("lesson-now-sound-tap"))
        })}
    }
}

/// The big buttons under the thumb.
#[component]
pub fn LessonBar() -> impl IntoView {
    let own = lessons();
    let stage = Memo::new(move |_| {
        let running = own.running.with(Option::is_some);
        running.then(|| own.now.with(|now| now.as_ref().map_or(Stage::Running, |now| now.stage)))
    });
    let is_planned = Memo::new(move |_| own.planned.with(|planned| matches!(planned, Some(Ok(_)))));
    move || {
        match stage.get() {
        None => view! {
            <div class="next-bar">
                <button
                    type="button"
                    class="btn go wide"
                    data-test="lesson-start"
                    disabled=move || !is_planned.get() || own.planning.get()
                    on:click=move |_| own.start()
                >
                    {icon("play")}
                    <span>{t("lesson-plan-start")}</span>
                </button>
            </div>
        }
        .into_any(),
        Some(stage) => view! {
            <div class="lesson-bar">
                <button type="button" class="btn" data-test="lesson-back" on:click=move |_| own.tap(LessonClock::back)>
                    {icon("back")}
                    <span>{t("lesson-now-back")}</span>
                </button>
                {match stage {
                    Stage::Over => view! {
                        <button type="button" class="btn go verb" data-test="lesson-end" on:click=move |_| own.end()>
                            {icon("confirmed")}
                            <span>{t("lesson-now-end")}</span>
                        </button>
                    }.into_any(),
                    Stage::Paused => view! {
                        <button type="button" class="btn go verb" data-test="lesson-go-on" on:click=move |_| own.tap(LessonClock::resume)>
                            {icon("play")}
                            <span>{t("lesson-now-go-on")}</span>
                        </button>
                    }.into_any(),
                    _ => view! {
                        <button type="button" class="btn verb" data-test="lesson-pause" on:click=move |_| own.tap(LessonClock::pause)>
                            {icon("pause")}
                            <span>{t("lesson-now-pause")}</span>
                        </button>
                    }.into_any(),
                }}
                <button
                    type="button"
                    class="btn"
                    data-test="lesson-skip"
                    disabled={stage == Stage::Over}
                    on:click=move |_| own.tap(LessonClock::skip)
                >
                    {icon("skip")}
                    <span>{t("lesson-now-skip")}</span>
                </button>
            </div>
        }
        .into_any(),
    }
    }
}

/// The time left, on every other screen.
#[component]
pub fn LessonChip() -> impl IntoView {
    let app = app();
    let own = lessons();
    let left = Memo::new(move |_| {
        let away = app.screen.get() != Screen::Lesson && own.running.with(Option::is_some);
        own.now.with(|now| {
            now.as_ref()
                .filter(|now| away && now.stage != Stage::Over)
                .map(|now| minutes_seconds(now.left_ms))
        })
    });
    let is_shown = Memo::new(move |_| left.with(Option::is_some));
    view! {
        <button
            type="button"
            class="lesson-chip"
            data-test="lesson-chip"
            hidden=move || !is_shown.get()
            aria-label=move || {
                app.say(&Message::new("lesson-now-to-lesson").text("time", left.get().unwrap_or_default()))
            }
            on:click=move |_| app.go(Screen::Lesson)
        >
            {move || left.get()}
        </button>
    }
}
