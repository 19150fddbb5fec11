//! Trackside: one tap per run, and what it means.

use std::time::Duration;

use jiff::Timestamp;
use lanewright_model::record::{Body, RunBody, RunCorrectionBody, RunFacts, TodayBody};
use lanewright_model::run::{Leg, Run, Source, Watched};
use lanewright_model::school::RunView;
use lanewright_model::{Arg, Message, Presence};
use lanewright_science::decide::Options;
use lanewright_science::watch::WatchNext;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::icons::icon;
use super::lanes::no_plan;
use super::parts::{Choice, app, notice, t};
use super::stand::{StandLine, stands_since};
use super::{bouts, paper_runs, sound, sweep, timing};
use crate::browser::app::{App, LADDER, Screen, new_id};
use crate::browser::learner::learner;
use crate::browser::{keep_preference, now_ms, preference};
use crate::logic::beside::{lane_said_key, said_of_lane};
use crate::logic::change::Change;
use crate::logic::devices::lanes_given;
use crate::logic::kept::{Kept, seen_of};
use crate::logic::standing::lanes_written;
use crate::logic::trackside::{
    Child, LaneDrill, LaneNow, Marks, Row, Unsaved, Watching, correction_body, facts_now, faults_of,
    in_short, keep_unsaved, lanes_now, lead_for, lying_after, queue, run_body, unsaved_of,
};
use crate::logic::undo::Room;

/// A second tap on the big button within this time is a wet finger, not another run.
const BOUNCE: Duration = Duration::from_millis(350);
/// Names offered behind the next one.
const NAMES_AHEAD: usize = 3;
/// Where marks that are not saved are kept, for a reload.
const MARKS: &str = "lanewright-marks";
/// Where it is kept which sentences about lanes were read today.
const LANES_READ: &str = "lanewright-lanes-read";
/// Runs shown before "Show all".
const RUNS_SHOWN: usize = 5;

/// What is recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Run by run.
    Runs,
    /// The whole lane at once.
    Sweep,
    /// From paper.
    Paper,
    /// By its sound.
    Sound,
    /// Times at marks.
    Times,
    /// Bouts with turns on call.
    Turns,
}

/// What was said after a run: the toast's sentence it belongs to, the child, and what to do next.
#[derive(Debug, Clone, PartialEq)]
struct After {
    said: Message,
    name: String,
    next: Message,
}

/// What Trackside remembers while other screens are shown.
#[derive(Clone, Copy)]
pub struct Track {
    app: App,
    /// What is recorded.
    pub part: RwSignal<Part>,
    /// The lanes of today.
    pub lanes: Memo<Vec<LaneNow>>,
    /// The lane of this device.
    pub lane: Memo<Option<LaneNow>>,
    chosen_lane: RwSignal<Option<String>>,
    /// The drill that is run.
    pub drill: Memo<Option<LaneDrill>>,
    chosen_drill: RwSignal<Option<String>>,
    watched: RwSignal<Watched>,
    sprint: RwSignal<bool>,
    /// Runs of this lane today, oldest first.
    runs: Memo<Vec<RunView>>,
    queue: Memo<Vec<Child>>,
    chosen_child: RwSignal<Option<String>>,
    /// Who is up.
    pub child: Memo<Option<Child>>,
    chosen_lead: RwSignal<Option<Leg>>,
    /// The leg that leads.
    pub lead: Memo<Leg>,
    marks: RwSignal<Marks>,
    correcting: RwSignal<Option<RunView>>,
    after: RwSignal<Option<After>>,
    busy: RwSignal<bool>,
    choosing: RwSignal<bool>,
    more: RwSignal<bool>,
    /// Marks of lanes that are not saved yet.
    unsaved: StoredValue<Vec<Unsaved>>,
    pressed_ms: StoredValue<Option<i64>>,
    /// What was last learned, and of which class.
    kept: RwSignal<(String, Kept)>,
    /// Whom of this lane to watch next.
    watch: Memo<Option<(Child, WatchNext)>>,
    /// The day and which sentences about lanes were read on it, one a line.
    lanes_read: RwSignal<String>,
    /// What stands out of this lane and nobody has read today.
    lane_said: Memo<Option<Message>>,
}

/// Returns what Trackside remembers.
pub fn track() -> Track {
    expect_context::<Track>()
}

fn leg_words(leg: Leg) -> &'static str {
    match leg {
        Leg::Left => "trackside-left",
        Leg::Right => "trackside-right",
    }
}

/// Returns midnight of a day on this device, in milliseconds since 1970.
pub fn midnight_ms(day: jiff::civil::Date) -> i64 {
    let (year, month) = (day.year().unsigned_abs().into(), i32::from(day.month()) - 1);
    js_sys::Date::new_with_year_month_day(year, month, day.day().into()).get_time() as i64
}

/// Returns the time of day on this device, such as `10:14`.
pub fn clock(at: Timestamp) -> String {
    let at = js_sys::Date::new(&(at.as_millisecond() as f64).into());
    format!("{}:{:02}", at.get_hours(), at.get_minutes())
}

impl Track {
    /// Makes the state; the choices of this device come back.
    pub fn new(app: App) -> Self {
        let chosen_lane = RwSignal::new(preference("lanewright-lane"));
        let chosen_drill = RwSignal::new(preference("lanewright-drill"));
        let chosen_child = RwSignal::new(None::<String>);
        let chosen_lead = RwSignal::new(None::<Leg>);
        let asked = Memo::new(move |_| {
            app.class.with(|class| class.as_ref().map_or(0.6, |class| class.choice.effort))
        });
        let lanes = Memo::new(move |_| {
            if app.helps.get() {
                let given =
                    |class: &Option<_>| app.standing.with(|own| Some(lanes_given(class.as_ref()?, own)));
                return app.class.with(given).unwrap_or_default();
            }
            let standing = app.class.with(|class| {
                let class = class.as_ref()?;
                Some(lanes_written(class, &class.standing.as_ref()?.lanes))
            });
            if let Some(standing) = standing {
                return standing;
            }
            app.plan.with(|plan| match plan {
                Some(Ok(plan)) => lanes_now(plan, &LADDER, asked.get()),
                _ => Vec::new(),
            })
        });
        let lane = Memo::new(move |_| {
            let chosen = chosen_lane.get();
            lanes.with(|lanes| {
                lanes.iter().find(|lane| Some(&lane.lane) == chosen.as_ref()).or(lanes.first()).cloned()
            })
        });
        let drill = Memo::new(move |_| {
            let chosen = chosen_drill.get();
            lane.with(|lane| lane.as_ref()?.drill(chosen.as_deref()).cloned())
        });
        let runs = Memo::new(move |_| {
            let since = midnight_ms(app.today.get());
            let Some(letter) = lane.with(|lane| lane.as_ref().map(|lane| lane.lane.clone())) else {
                return Vec::new();
            };
            app.class.with(|class| {
                let runs = class.iter().flat_map(|class| &class.runs);
                runs.filter(|view| view.run.lane == letter && view.run.at.as_millisecond() >= since)
                    .cloned()
                    .collect()
            })
        });
        let queue = Memo::new(move |_| {
            lane.with(|lane| {
                let Some(lane) = lane else { return Vec::new() };
                runs.with(|runs| {
                    let seen: Vec<&str> = runs.iter().map(|view| view.run.runner.as_str()).collect();
                    queue(&lane.children, &seen)
                })
            })
        });
        let child = Memo::new(move |_| {
            let named = chosen_child.get().and_then(|id| {
                app.class.with(|class| {
                    let view = class.as_ref()?.runners.iter().find(|view| view.runner.id.0 == id)?;
                    Some(Child { id: id.clone(), name: view.runner.label.clone() })
                })
            });
            named.or_else(|| queue.with(|queue| queue.first().cloned()))
        });
        let lead = Memo::new(move |_| {
            chosen_lead.get().unwrap_or_else(|| {
                let (child, drill) = (child.get(), drill.get());
                let (Some(child), Some(drill)) = (child, drill) else { return Leg::Left };
                app.class.with(|class| {
                    class.as_ref().map_or(Leg::Left, |class| lead_for(&child.id, &drill.id.0, &class.runs))
                })
            })
        });
        let kept = RwSignal::new((String::new(), Kept::default()));
        let learner = learner();
        Effect::new(move |_| {
            let class = app.class_id.get();
            learner.now.with(|learned| {
                if let Some(learned) =
                    learned.as_ref().filter(|learned| class.as_ref() == Some(&learned.class))
                {
                    kept.set((learned.class.clone(), Kept::of(learned.known.clone())));
                }
            });
        });
        let watch = Memo::new(move |_| {
            let (class_id, drill) = (app.class_id.get()?, drill.get()?);
            let children = queue.get();
            // Who is learned anew is looked at anew; what is only looked up changes nothing that others read.
            kept.with(|_| ());
            let next = app.class.with(|class| {
                let class = class.as_ref()?;
                let mut now = kept.write_untracked();
                if now.0 != class_id {
                    *now = (class_id, Kept::default());
                }
                now.1.watch_next(&children, &drill.id.0, |id| seen_of(class, id), &LADDER, &Self::options())
            })?;
            let child = children.into_iter().find(|child| child.id == next.runner)?;
            Some((child, next))
        });
        let lanes_read = RwSignal::new(preference(LANES_READ).unwrap_or_default());
        let lane_said = Memo::new(move |_| {
            let letter = lane.with(|lane| lane.as_ref().map(|lane| lane.lane.clone()))?;
            let said = learner.lanes.with(|(class, said)| {
                (Some(class) == app.class_id.get().as_ref()).then(|| said_of_lane(said, &letter))
            })?;
            let day = app.today.get().to_string();
            let is_read = |message: &Message| {
                lanes_read.with(|read| {
                    let mut lines = read.lines();
                    lines.next() == Some(day.as_str()) && lines.any(|line| line == lane_said_key(message))
                })
            };
            said.into_iter().find(|message| !is_read(message))
        });
        let sprint = app
            .class
            .with_untracked(|class| class.as_ref().is_some_and(|class| class.choice.exit_sprint_m > 0.0));
        let track = Self {
            app,
            part: RwSignal::new(bouts::part_of_today(app)),
            lanes,
            lane,
            chosen_lane,
            drill,
            chosen_drill,
            watched: RwSignal::new(match preference("lanewright-watched").as_deref() {
                Some("technique") => Watched::Technique,
                _ => Watched::Knocks,
            }),
            sprint: RwSignal::new(sprint),
            runs,
            queue,
            chosen_child,
            child,
            chosen_lead,
            lead,
            marks: RwSignal::new(Marks::default()),
            correcting: RwSignal::new(None),
            after: RwSignal::new(None),
            busy: RwSignal::new(false),
            choosing: RwSignal::new(false),
            more: RwSignal::new(false),
            unsaved: StoredValue::new(
                preference(MARKS).and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default(),
            ),
            pressed_ms: StoredValue::new(None),
            kept,
            watch,
            lanes_read,
            lane_said,
        };
        // Another lane, or a lane of another length, begins with what was marked in it and not saved.
        let shape = Memo::new(move |_| {
            let class = app.class_id.get();
            lane.with(|lane| lane.as_ref().map(|lane| (class, lane.lane.clone(), lane.hurdles)))
        });
        Effect::new(move |_| {
            shape.get();
            if track.correcting.read_untracked().is_none() {
                track.clear();
                track.bring_back();
            }
        });
        Effect::new(move |_| {
            track.marks.with(|_| ());
            track.chosen_child.with(|_| ());
            track.chosen_lead.with(|_| ());
            track.keep_marks();
        });
        // The exit sprint that the lanes are laid out for is what is asked, until it is switched here.
        let planned_sprint = Memo::new(move |_| {
            app.class.with(|class| class.as_ref().is_some_and(|class| class.choice.exit_sprint_m > 0.0))
        });
        Effect::new(move |_| track.sprint.set(planned_sprint.get()));
        Effect::new(move |_| bouts::keep_part(app, track.part.get()));
        track
    }

    /// Everything stands, the queue decides who is next.
    fn clear(self) {
        let hurdles = self.lane.with_untracked(|lane| lane.as_ref().map_or(0, |lane| lane.hurdles));
        self.marks.set(Marks::clear(hurdles));
        self.chosen_child.set(None);
        self.chosen_lead.set(None);
        self.correcting.set(None);
        self.choosing.set(false);
        self.more.set(false);
    }

    /// Keeps what is marked and not saved, for a look at another lane and for a reload.
    fn keep_marks(self) {
        let (Some(class), Some(lane), Some(child)) =
            (self.app.class_id.get_untracked(), self.lane.get_untracked(), self.child.get_untracked())
        else {
            return;
        };
        let marks = self.marks.get_untracked();
        // A correction has its run to go back to.
        if self.correcting.read_untracked().is_some() || marks.rows.len() != lane.hurdles as usize {
            return;
        }
        let now = Unsaved {
            class,
            on: self.app.today.get_untracked(),
            lane: lane.lane,
            runner: child.id,
            hurdles: lane.hurdles,
            down: marks.numbers(Row::Down),
            lay: marks.numbers(Row::WasDown),
            faults: marks.faults,
            lead: self.chosen_lead.get_untracked(),
        };
        let before = self.unsaved.get_value();
        self.unsaved.update_value(|kept| keep_unsaved(kept, now));
        let after = self.unsaved.get_value();
        if before != after {
            keep_preference(MARKS, &serde_json::to_string(&after).unwrap_or_default());
        }
    }

    /// Brings back what was marked in this lane and not saved.
    fn bring_back(self) {
        let (Some(class), Some(lane)) = (self.app.class_id.get_untracked(), self.lane.get_untracked()) else {
            return;
        };
        let on = self.app.today.get_untracked();
        let known = |id: &str| self.app.runner_now(id).is_some();
        let found = self.unsaved.with_value(|kept| unsaved_of(kept, &class, on, &lane, known).cloned());
        if let Some(found) = found {
            self.marks.set(found.marks());
            self.chosen_lead.set(found.lead);
            self.chosen_child.set(Some(found.runner));
        }
    }

    /// Leaves a correction; what was marked before it comes back.
    fn leave_correction(self) {
        self.clear();
        self.bring_back();
    }

    /// Returns the leg that somebody looked at; what was only proposed is none.
    pub fn lead_seen(self) -> Option<Leg> {
        self.chosen_lead.get_untracked()
    }

    /// Chooses the lane of this device.
    pub fn choose_lane(self, lane: &str) {
        keep_preference("lanewright-lane", lane);
        self.correcting.set(None);
        self.chosen_lane.set(Some(lane.to_owned()));
        to_the_child();
    }

    /// Returns whether something is marked that is not saved.
    pub fn is_marking(self) -> bool {
        let is_marked = |row: &Row| *row != Row::Stands;
        self.marks.with(|marks| !marks.faults.is_empty() || marks.rows.iter().any(is_marked))
    }

    /// Chooses the drill that is run.
    pub fn choose_drill(self, drill: &str) {
        keep_preference("lanewright-drill", drill);
        self.chosen_drill.set(Some(drill.to_owned()));
    }

    fn choose_watched(self, watched: Watched) {
        keep_preference(
            "lanewright-watched",
            if watched == Watched::Technique { "technique" } else { "knocks" },
        );
        self.watched.set(watched);
        if watched == Watched::Knocks {
            self.marks.update(|marks| marks.faults.clear());
        }
    }

    /// Returns what holds for the next run.
    pub fn watching(self) -> Option<Watching> {
        Some(Watching {
            lane: self.lane.get_untracked()?,
            drill: self.drill.get_untracked()?,
            watched: self.watched.get_untracked(),
            exit_sprint: self.sprint.get_untracked(),
        })
    }

    /// The next child of the lane comes up without a run.
    pub fn pass_on(self) {
        let Some(child) = self.child.get_untracked() else { return };
        let next = self.lane.with_untracked(|lane| {
            queue(&lane.as_ref()?.children, &[&child.id]).first().map(|next| next.id.clone())
        });
        self.chosen_child.set(next);
        self.choosing.set(false);
    }

    fn press(self) {
        self.pressed_ms.set_value(Some(now_ms() as i64));
    }

    /// Returns the moment of the press; a press by keyboard has no other than now.
    fn press_time(self) -> i64 {
        let pressed = self.pressed_ms.get_value();
        self.pressed_ms.set_value(None);
        pressed.unwrap_or_else(|| now_ms() as i64)
    }

    fn run_number(self, runner: &str) -> i64 {
        let drill = self.drill.with(|drill| drill.as_ref().map(|drill| drill.id.0.clone()));
        self.runs.with(|runs| {
            let own = runs.iter().filter(|view| view.run.runner == runner);
            own.filter(|view| Some(&view.run.drill) == drill.as_ref()).count() as i64 + 1
        })
    }

    /// Saves what is marked: the run comes up in the list, and the next child, only when it is on disk.
    fn save(self) {
        let at_ms = self.press_time();
        if self.busy.get_untracked() {
            return;
        }
        if let Some(view) = self.correcting.get_untracked() {
            return self.save_correction(&view, true);
        }
        let app = self.app;
        let (Some(child), Some(watching), Some(class)) =
            (self.child.get_untracked(), self.watching(), app.class_id.get_untracked())
        else {
            return;
        };
        let facts = watching.facts(&child.id, self.lead_seen(), &self.marks.get_untracked(), at_ms);
        self.save_run(child, run_body(&class, facts), Vec::new(), || {});
    }

    /// Returns whether a run is on its way to the disk.
    pub fn is_busy(self) -> bool {
        self.busy.get()
    }

    /// Saves a run that was tapped or heard, with what else was said of it; `saved` is called when it is on disk.
    pub fn save_run(self, child: Child, body: RunBody, beside: Vec<Change>, saved: impl FnOnce() + 'static) {
        let app = self.app;
        let Some(run) = body.run.to_run(&body.class).filter(|_| !self.busy.get_untracked()) else { return };
        let number = untrack(|| self.run_number(&child.id));
        let facts = &body.run;
        let what = in_short(&facts.knocked, facts.down_before.len(), &facts.faults);
        let said = match facts.source {
            Source::Sound => Message::new("sound-said-run"),
            _ => Message::new("trackside-said-run"),
        };
        let mut said = said
            .text("name", child.name.clone())
            .with("number", Arg::Count(number))
            .with("what", Arg::Say(Box::new(what)));
        // Who runs is here. A helper's phone does not say who is.
        let is_absent = app.runner_now(&child.id).is_some_and(|view| view.presence == Presence::Absent);
        let mut comes = None;
        if is_absent && !app.helps.get_untracked() {
            let on = app.today.get_untracked();
            let body = TodayBody { on, presence: Presence::Present, unknown: Default::default() };
            comes = app.change(&child.id, &Body::Today(body));
            said = Message::new("trackside-said-and-here")
                .with("said", Arg::Say(Box::new(said)))
                .text("name", child.name.clone());
        }
        let changes =
            app.change(&new_id(), &Body::Run(body)).into_iter().chain(beside).chain(comes).collect();
        self.busy.set(true);
        spawn_local(async move {
            if app.save_now(said.clone(), changes).await {
                self.clear();
                saved();
                back_to_the_child();
                let next = self.sentence(&run);
                self.after.set(next.map(|next| After { said, name: child.name, next }));
            }
            set_timeout(move || self.busy.set(false), BOUNCE);
        });
    }

    fn save_correction(self, view: &RunView, was: bool) {
        let app = self.app;
        let (Some(child), Some(class)) = (self.child.get_untracked(), app.class_id.get_untracked()) else {
            return;
        };
        let marks = self.marks.get_untracked();
        let lead = self.chosen_lead.get_untracked();
        let corrected = was.then_some((child.id.as_str(), lead, &marks));
        let body = correction_body(&class, &view.id, &facts_now(view), corrected);
        let said = match &body.run {
            Some(run) => Message::new("trackside-said-corrected")
                .text("name", child.name.clone())
                .with("what", Arg::Say(Box::new(in_short(&run.knocked, run.down_before.len(), &run.faults)))),
            None => Message::new("trackside-said-no-run")
                .text("name", child.name.clone())
                .text("time", clock(view.run.at)),
        };
        let change = app.change(&new_id(), &Body::RunCorrection(body));
        self.busy.set(true);
        spawn_local(async move {
            if app.save_now(said, change.into_iter().collect()).await {
                self.leave_correction();
            }
            set_timeout(move || self.busy.set(false), BOUNCE);
        });
    }

    fn correct(self, view: RunView) {
        self.marks.set(Marks::of(&view));
        self.chosen_child.set(Some(view.run.runner.clone()));
        self.chosen_lead.set(view.run.lead);
        self.choosing.set(false);
        self.more.set(self.has_rare_fault(&view.run));
        self.correcting.set(Some(view));
        super::parts::focus("track-who");
    }

    /// Returns whether a fault of the run is not among those beside the strip.
    fn has_rare_fault(self, run: &Run) -> bool {
        let hand = LADDER.get(&run.drill).map(|drill| faults_of(drill, []).0).unwrap_or_default();
        run.faults.iter().any(|fault| !hand.contains(fault))
    }

    // What it means

    fn options() -> Options {
        let now = Timestamp::from_millisecond(now_ms() as i64).unwrap_or(Timestamp::UNIX_EPOCH);
        Options { now, losses: Default::default() }
    }

    /// Returns the sentence after a run, from what was seen of its runner and what was last learned of the class.
    fn sentence(self, run: &Run) -> Option<Message> {
        let class_id = self.app.class_id.get_untracked()?;
        let own = self.app.class.with_untracked(|class| Some(seen_of(class.as_ref()?, &run.runner)))?;
        let say = |kept: &Kept| kept.sentence(run, &own, &LADDER, &Self::options());
        Some(self.kept.with_untracked(|(class, kept)| match *class == class_id {
            true => say(kept),
            false => say(&Kept::default()),
        }))
    }
}

/// Scrolls to the child who is up, before the new screen is painted: later, a tap under way would meet another button.
fn to_the_child() {
    request_animation_frame(|| {
        let document = web_sys::window().and_then(|window| window.document());
        if let Some(who) = document.and_then(|document| document.get_element_by_id("track-who")) {
            who.scroll_into_view();
        }
    });
}

/// Scrolls to the child who is up now, where the page had been moved away from the name: nobody is saved unseen.
fn back_to_the_child() {
    request_animation_frame(|| {
        let document = web_sys::window().and_then(|window| window.document());
        let who = document.and_then(|document| document.get_element_by_id("track-who"));
        if let Some(who) = who.filter(|who| who.get_bounding_client_rect().top() < 0.0) {
            who.scroll_into_view();
        }
    });
}

/// The screen.
#[component]
pub fn TracksideScreen() -> impl IntoView {
    let app = app();
    let track = track();
    let ready = Memo::new(move |_| {
        let empty = app.class.with(|class| class.as_ref().is_none_or(|class| class.runners.is_empty()));
        (empty, track.lanes.with(|lanes| lanes.is_empty()), track.drill.with(|drill| drill.is_none()))
    });
    // It begins at the child: name, lane, strip and button are on one screen then.
    Effect::new(move |_| {
        if ready.get() == (false, false, false) && track.part.get_untracked() == Part::Runs {
            to_the_child();
        }
    });
    move || match ready.get() {
        (true, ..) | (_, true, _) if app.helps.get() => view! {
            <h1>{t("devices-no-lanes-title")}</h1>
            <p class="lead" data-test="no-lanes-yet">{t("devices-no-lanes")}</p>
        }
        .into_any(),
        (true, ..) => view! {
            <h1>{t("trackside-title")}</h1>
            <p class="lead">{t("trackside-empty")}</p>
            <button type="button" class="btn go" on:click=move |_| app.go(Screen::Class)>
                {t("app-to-class")}
            </button>
        }
        .into_any(),
        (_, true, _) => view! {
            <h1>{t("trackside-title")}</h1>
            {move || app.plan.with(|plan| match plan {
                Some(Err(error)) => no_plan(app, error),
                _ => ().into_any(),
            })}
        }
        .into_any(),
        (_, _, true) => view! {
            <h1>{t("trackside-title")}</h1>
            {notice("warn", Message::new("trackside-no-drill"))}
            <button type="button" class="btn go" on:click=move |_| app.go(Screen::Lanes)>
                {t("app-to-choice")}
            </button>
        }
        .into_any(),
        _ => view! {
            <h1 class="sr">{t("trackside-title")}</h1>
            <Whats/>
            {move || {
                (!matches!(track.part.get(), Part::Times | Part::Turns)).then(|| view! { <Parts/> })
            }}
            {move || (track.part.get() != Part::Times).then(|| view! { <LanePicks/> })}
            {move || match track.part.get() {
                Part::Runs => view! { <Runs/> }.into_any(),
                Part::Sweep => view! { <sweep::Sweep/> }.into_any(),
                Part::Paper => view! { <paper_runs::PaperRuns/> }.into_any(),
                Part::Sound => view! { <sound::SoundPart/> }.into_any(),
                Part::Times => view! { <timing::TimesPart/> }.into_any(),
                Part::Turns => view! { <bouts::TurnsPart/> }.into_any(),
            }}
            // Last, so that nothing moves when it comes with the first run.
            <StandLine/>
        }
        .into_any(),
    }
}

/// Runs, times or turns: what this phone is used for.
#[component]
fn Whats() -> impl IntoView {
    let track = track();
    let is = |what: Part, part: Part| match what {
        Part::Times | Part::Turns => part == what,
        _ => !matches!(part, Part::Times | Part::Turns),
    };
    view! {
        <div class="track-parts" role="group" aria-label=t("trackside-what")>
            {[
                (Part::Runs, "trackside-what-runs", "what-runs"),
                (Part::Times, "trackside-what-times", "what-times"),
                (Part::Turns, "trackside-what-turns", "what-turns"),
            ]
            .map(|(what, words, test)| view! {
                <button
                    type="button"
                    data-test=test
                    aria-pressed=move || is(what, track.part.get()).to_string()
                    on:click=move |_| track.part.set(what)
                >
                    {t(words)}
                </button>
            })
            .collect_view()}
        </div>
    }
}

/// Run by run, the whole lane, or from paper.
#[component]
fn Parts() -> impl IntoView {
    let track = track();
    view! {
        <div class="track-parts" role="group" aria-label=t("trackside-part")>
            {[
                (Part::Runs, "trackside-part-runs", "part-runs"),
                (Part::Sweep, "trackside-part-sweep", "part-sweep"),
                (Part::Paper, "trackside-part-paper", "part-paper"),
                (Part::Sound, "sound-part", "part-sound"),
            ]
            .map(|(part, words, test)| view! {
                <button
                    type="button"
                    data-test=test
                    aria-pressed=move || (track.part.get() == part).to_string()
                    on:click=move |_| {
                        track.part.set(part);
                        if part == Part::Runs {
                            to_the_child();
                        } else if let Some(window) = web_sys::window() {
                            window.scroll_to_with_x_and_y(0.0, 0.0);
                        }
                    }
                >
                    {t(words)}
                </button>
            })
            .collect_view()}
        </div>
    }
}

/// The lanes as large letters: every phone takes its own.
#[component]
fn LanePicks() -> impl IntoView {
    let track = track();
    let letters = Memo::new(move |_| {
        track.lanes.with(|lanes| lanes.iter().map(|lane| lane.lane.clone()).collect::<Vec<_>>())
    });
    view! {
        <div class="lane-picks" role="group" aria-label=t("trackside-lanes")>
            <For each=move || letters.get() key=|letter| letter.clone() let:letter>
                {
                    let (mine, said, test) = (letter.clone(), letter.clone(), format!("lane-{letter}"));
                    let shown = letter.clone();
                    view! {
                        <button
                            type="button"
                            data-test=test
                            aria-label={
                                let app = app();
                                move || app.say(&Message::new("trackside-lane").text("lane", said.clone()))
                            }
                            aria-pressed=move || {
                                track.lane.with(|lane| lane.as_ref().is_some_and(|lane| lane.lane == mine)).to_string()
                            }
                            on:click=move |_| track.choose_lane(&letter)
                        >
                            {shown}
                        </button>
                    }
                }
            </For>
        </div>
    }
}

/// Drill, gap, what is watched: one line that opens.
#[component]
pub fn Setup(
    /// Only the drill matters here.
    #[prop(optional)]
    drill_only: bool,
) -> impl IntoView {
    let app = app();
    let track = track();
    let drill_name =
        move || track.drill.with(|drill| drill.as_ref().map(|drill| app.get(&format!("drill-{}", drill.id))));
    let line = move || {
        let gap = track.drill.with(|drill| drill.as_ref().map(|drill| drill.gap_m)).unwrap_or_default();
        if drill_only {
            return app.show(Arg::GapM(gap));
        }
        let watched = match track.watched.get() {
            Watched::Knocks => "trackside-watching-knocks",
            Watched::Technique => "trackside-watching-technique",
        };
        let id = if track.sprint.get() { "trackside-setup-line-sprint" } else { "trackside-setup-line" };
        app.say(
            &Message::new(id)
                .with("gap", Arg::GapM(gap))
                .with("watched", Arg::Say(Box::new(Message::new(watched)))),
        )
    };
    let drills = move || {
        let drills =
            track.lane.with(|lane| lane.as_ref().map(|lane| lane.drills.clone())).unwrap_or_default();
        drills
            .into_iter()
            .map(|drill| {
                let (id, mine) = (drill.id.0.clone(), drill.id.clone());
                let words = Message::new("trackside-drill-gap")
                    .with("drill", Arg::Say(Box::new(Message::new(&format!("drill-{id}")))))
                    .with("gap", Arg::GapM(drill.gap_m));
                view! {
                    <button
                        type="button"
                        class="choice"
                        data-test=format!("track-drill-{id}")
                        aria-pressed=move || {
                            track.drill.with(|now| now.as_ref().is_some_and(|now| now.id == mine)).to_string()
                        }
                        on:click=move |_| track.choose_drill(&id)
                    >
                        {move || app.say(&words)}
                    </button>
                }
            })
            .collect_view()
    };
    view! {
        <details class="track-setup" data-test="track-setup">
            <summary>
                <span class="sr">{t("trackside-setup")}</span>
                <span class="track-setup-text">
                    <b>{drill_name}</b>
                    <span class="soft">{line}</span>
                </span>
                {icon("edit")}
            </summary>
            <div class="stack">
                <fieldset class="choices">
                    <legend class="label">{t("trackside-drill")}</legend>
                    <div class="choice-row">{drills}</div>
                </fieldset>
                {(!drill_only).then(|| view! {
                    <Choice
                        label="trackside-watched"
                        test="watched"
                        options=vec![
                            (Watched::Knocks, "trackside-watched-knocks", "knocks"),
                            (Watched::Technique, "trackside-watched-technique", "technique"),
                        ]
                        chosen=track.watched
                        choose=move |watched| track.choose_watched(watched)
                    />
                    <Choice
                        label="trackside-sprint"
                        test="sprint"
                        options=vec![(false, "trackside-sprint-off", "off"), (true, "trackside-sprint-on", "on")]
                        chosen=track.sprint
                        choose=move |on| track.sprint.set(on)
                    />
                })}
            </div>
        </details>
    }
}

#[component]
fn Runs() -> impl IntoView {
    let track = track();
    let nobody = Memo::new(move |_| track.child.with(|child| child.is_none()));
    view! {
        <Setup/>
        {move || nobody.get().then(|| view! { <p class="lead">{t("trackside-no-children")}</p> })}
        <section class="track-run" class:correcting=move || track.correcting.with(|view| view.is_some())>
            <Correcting/>
            <Who/>
            <div class="track-body">
                <Strip marks=track.marks/>
                <Faults/>
            </div>
            <StillLying/>
            <Then/>
            <WatchHint/>
        </section>
        <aside class="track-side">
            <LastRuns/>
        </aside>
    }
}

/// What stands out of this lane: one line in the place of the note, so that it moves and hides nothing; the hurdle that
/// is meant is marked in the strip. It opens with a tap, and goes when somebody has read it.
#[component]
fn LaneSaid() -> impl IntoView {
    let app = app();
    let track = track();
    let read = track.lanes_read;
    move || {
        let message = track.lane_said.get()?;
        let key = lane_said_key(&message);
        Some(view! {
            <details class="lane-said" data-test="lane-said">
                <summary>{icon("warning")}<span>{app.say(&message)}</span></summary>
                <button
                    type="button"
                    class="btn"
                    data-test="lane-said-read"
                    on:click=move |_| {
                        let day = app.today.get_untracked().to_string();
                        let before = read.get_untracked();
                        let kept = if before.lines().next() == Some(day.as_str()) { before } else { day };
                        let now = format!("{kept}\n{key}");
                        keep_preference(LANES_READ, &now);
                        read.set(now);
                    }
                >
                    {t("trackside-lane-read")}
                </button>
            </details>
        })
    }
}

#[component]
fn Correcting() -> impl IntoView {
    let app = app();
    let track = track();
    move || {
        track.correcting.get().map(|view| {
            let name = app.runner_now(&view.run.runner).map(|view| view.runner.label).unwrap_or_default();
            let title =
                Message::new("trackside-correcting").text("name", name).text("time", clock(view.run.at));
            let first = Message::new("trackside-first-recorded")
                .with("what", Arg::Say(Box::new(first_recorded(app, &view.id).unwrap_or_else(|| short(&view)))));
            let gone = view.clone();
            view! {
                <div class="notice warn block" data-test="correcting">
                    <h2>{move || app.say(&title)}</h2>
                    <p>{move || app.say(&first)}</p>
                    <div class="correct-row">
                        <button type="button" class="btn" data-test="no-such-run" on:click=move |_| {
                            track.save_correction(&gone, false);
                        }>
                            {t("trackside-no-such-run")}
                        </button>
                        <button type="button" class="btn" data-test="leave-correction" on:click=move |_| track.leave_correction()>
                            {t("trackside-cancel")}
                        </button>
                    </div>
                </div>
            }
        })
    }
}

/// Returns what a run was, in short, as it counts now.
pub fn short(view: &RunView) -> Message {
    in_short(&view.run.knocked.numbers(), view.run.down_before.count() as usize, &view.run.faults)
}

/// Returns what the first record of a run says.
fn first_recorded(app: App, id: &str) -> Option<Message> {
    match app.stored("run", id)? {
        Body::Run(RunBody { run: RunFacts { knocked, down_before, faults, .. }, .. }) => {
            Some(in_short(&knocked, down_before.len(), &faults))
        }
        _ => None,
    }
}

/// The child who is up, and the leg.
#[component]
pub fn Who(
    /// The name alone: a free run has no number and no lead leg.
    #[prop(optional)]
    name_only: bool,
) -> impl IntoView {
    let app = app();
    let track = track();
    let name = move || track.child.with(|child| child.as_ref().map(|child| child.name.clone()));
    let number = move || {
        let id = track.child.with(|child| child.as_ref().map(|child| child.id.clone()))?;
        Some(app.say(&Message::new("trackside-run-number").with("number", Arg::Count(track.run_number(&id)))))
    };
    let letter = move || track.lane.with(|lane| lane.as_ref().map(|lane| lane.lane.clone()));
    let long =
        move || track.child.with(|child| child.as_ref().is_some_and(|child| child.name.chars().count() > 11));
    view! {
        <div class="track-who" hidden=move || track.child.with(|child| child.is_none())>
            <button
                type="button"
                id="track-who"
                class="track-name"
                data-test="track-who"
                aria-expanded=move || track.choosing.get().to_string()
                on:click=move |_| track.choosing.update(|open| *open = !*open)
            >
                <span class="soft" data-test="run-number" hidden=name_only>
                    <span class="track-lane" data-test="run-lane">{letter}</span>
                    {move || track.correcting.with(|view| view.is_none()).then(number)}
                    {move || track.correcting.with(|view| view.is_some()).then(|| app.get("trackside-correct-who"))}
                </span>
                <b class:long=long data-test="track-name">{name}</b>
                <span class="sr">{t("trackside-change-child")}</span>
            </button>
            <div class="track-lead" role="group" aria-labelledby="track-lead-label" hidden=name_only>
                <span class="soft" id="track-lead-label">{t("trackside-lead")}</span>
                <div>
                    {[(Leg::Left, "lead-left"), (Leg::Right, "lead-right")]
                        .map(|(leg, test)| view! {
                            <button
                                type="button"
                                data-test=test
                                class:proposed=move || track.chosen_lead.get().is_none() && track.lead.get() == leg
                                aria-pressed=move || (track.chosen_lead.get() == Some(leg)).to_string()
                                on:click=move |_| {
                                    // A second tap says again that nobody looked.
                                    let seen = track.chosen_lead.get_untracked() == Some(leg);
                                    track.chosen_lead.set((!seen).then_some(leg));
                                }
                            >
                                {t(leg_words(leg))}
                            </button>
                        })
                        .collect_view()}
                </div>
            </div>
        </div>
        {move || track.choosing.get().then(|| view! { <Somebody/> })}
    }
}

/// Everybody: this lane in the order of its queue, then the rest of the class.
#[component]
fn Somebody() -> impl IntoView {
    let app = app();
    let track = track();
    let own = track.queue.get_untracked();
    let rest: Vec<Child> = app.class.with_untracked(|class| {
        let runners = class.iter().flat_map(|class| &class.runners);
        runners
            .map(|view| Child { id: view.runner.id.0.clone(), name: view.runner.label.clone() })
            .filter(|child| !own.contains(child))
            .collect()
    });
    let tiles = move |children: Vec<Child>| {
        children
            .into_iter()
            .map(|child| {
                let (id, name) = (child.id.clone(), child.name.clone());
                // Who is not among those who run is marked with a word.
                let state = match app.runner_now(&child.id).map(|view| view.presence) {
                    Some(Presence::Absent) => Some("app-absent"),
                    Some(Presence::Helping) => Some("app-helping"),
                    _ => None,
                };
                view! {
                    <li>
                        <button
                            type="button"
                            class="tile"
                            data-test="somebody-tile"
                            data-name=name
                            on:click=move |_| {
                                track.chosen_child.set(Some(id.clone()));
                                if track.correcting.read_untracked().is_none() {
                                    track.chosen_lead.set(None);
                                }
                                track.choosing.set(false);
                            }
                        >
                            <b class="name">{child.name}</b>
                            {state.map(|words| view! { <span class="state">{t(words)}</span> })}
                        </button>
                    </li>
                }
            })
            .collect_view()
    };
    let rest_shown = (!rest.is_empty()).then(|| view! { <h3>{t("trackside-rest")}</h3> });
    view! {
        <div class="stack" data-test="somebody-list">
            <StandLine/>
            <ul class="roll">{tiles(own)}</ul>
            {rest_shown}
            <ul class="roll">{tiles(rest)}</ul>
        </div>
    }
}

/// Pictures of a hurdle from the front, drawn for this app: upright, and flat on the floor.
fn hurdle_picture(row: Row) -> &'static str {
    match row {
        Row::Stands => {
            "<svg viewBox='0 0 84 34' aria-hidden='true' focusable='false'><path d='M14 29V7h56v22M6 30h16M62 30h16'/></svg>"
        }
        Row::Down => {
            "<svg viewBox='0 0 84 34' aria-hidden='true' focusable='false'><path d='M7 28h70M13 22l9 6M71 22l-9 6'/></svg>"
        }
        Row::WasDown => {
            "<svg viewBox='0 0 84 34' aria-hidden='true' focusable='false'><path d='M7 28h70' stroke-dasharray='7 8'/></svg>"
        }
    }
}

/// The lane from above the start: the finish on top, a row per hurdle.
#[component]
pub fn Strip(
    /// What is marked.
    marks: RwSignal<Marks>,
) -> impl IntoView {
    let app = app();
    let track = track();
    let count = Memo::new(move |_| marks.with(|marks| marks.rows.len()) as u32);
    // The hurdle that falls more easily than the others, and whether anything is said of the lane at all.
    let odd = Memo::new(move |_| {
        track.lane_said.with(|said| {
            let hurdle = said.as_ref()?.args.get("hurdle");
            Some(if let Some(Arg::Count(number)) = hurdle { *number } else { 0 })
        })
    });
    let row = move |number: u32| {
        let is_odd = Memo::new(move |_| odd.get() == Some(number.into()));
        let state = Memo::new(move |_| {
            marks.with(|marks| marks.rows.get(number as usize - 1).copied().unwrap_or_default())
        });
        let label = move || {
            let id = match state.get() {
                Row::Stands => "trackside-row-stands",
                Row::Down => "trackside-row-down",
                Row::WasDown => "trackside-row-was-down",
            };
            let row = Message::new(id).with("number", Arg::Count(number.into()));
            match is_odd.get() {
                true => app.say(&Message::new("trackside-row-odd").with("row", Arg::Say(Box::new(row)))),
                false => app.say(&row),
            }
        };
        view! {
            <li>
                <button
                    type="button"
                    class:odd=is_odd
                    class=move || match state.get() {
                        Row::Stands => "hurdle",
                        Row::Down => "hurdle down",
                        Row::WasDown => "hurdle was-down",
                    }
                    data-test=format!("hurdle-{number}")
                    aria-label=label
                    on:click=move |_| {
                        marks.update(|marks| marks.tap(number));
                    }
                >
                    <span class="hurdle-number">{number}</span>
                    <span class="hurdle-picture" inner_html=move || hurdle_picture(state.get())></span>
                    <span class="hurdle-word">
                        {move || match state.get() {
                            Row::Stands if is_odd.get() => icon("warning"),
                            Row::Stands => ().into_any(),
                            Row::Down => app.get("trackside-down").into_any(),
                            Row::WasDown => app.get("trackside-was-down").into_any(),
                        }}
                    </span>
                </button>
            </li>
        }
    };
    view! {
        <div class="strip" style=move || format!("--hurdles: {}", count.get().max(1))>
            <p class="soft" data-test="strip-finish">
                {move || (odd.get() == Some(0)).then(|| icon("warning"))}
                {move || match stands_since(app) {
                    Some(time) => app.say(&Message::new("trackside-finish-stands").text("time", time)),
                    None => app.get("trackside-finish"),
                }}
            </p>
            <ol data-test="strip" aria-label=t("trackside-strip")>
                {move || (1..=count.get()).rev().map(row).collect_view()}
            </ol>
            <p class="soft">{t("trackside-start")}</p>
        </div>
    }
}

#[component]
fn Faults() -> impl IntoView {
    let app = app();
    let track = track();
    let lists = Memo::new(move |_| {
        // A correction keeps the drill of its run.
        let id = track.correcting.with(|view| view.as_ref().map(|view| view.run.drill.clone()));
        let id = id.or_else(|| track.drill.with(|drill| drill.as_ref().map(|drill| drill.id.0.clone())));
        let all = lanewright_model::fault::faults().into_iter().map(|fault| fault.id);
        id.and_then(|id| LADDER.get(&id)).map(|drill| {
            let key = drill.key_fault.clone();
            let (hand, rest) = faults_of(drill, all);
            (key, hand, rest)
        })
    });
    let watching = Memo::new(move |_| {
        track.watched.get() == Watched::Technique || track.correcting.with(|view| view.is_some())
    });
    let button = move |fault: String, key: bool| {
        let (mine, tapped) = (fault.clone(), fault.clone());
        let words = Message::new(&format!("fault-{fault}"));
        view! {
            <button
                type="button"
                class=if key { "fault key" } else { "fault" }
                data-test=format!("fault-{fault}")
                aria-pressed=move || track.marks.with(|marks| marks.faults.contains(&mine)).to_string()
                on:click=move |_| {
                    track.marks.update(|marks| marks.tap_fault(&tapped));
                }
            >
                {key.then(|| view! { <span class="key-tag">{t("trackside-key")}</span> })}
                <span>{move || app.say(&words)}</span>
            </button>
        }
    };
    move || {
        if !watching.get() {
            return view! {
                <div class="track-faults off">
                    <p class="soft" data-test="not-watched">{t("trackside-not-watched")}</p>
                    <button
                        type="button"
                        class="btn"
                        data-test="watch-technique"
                        on:click=move |_| track.choose_watched(Watched::Technique)
                    >
                        {t("trackside-watch-technique")}
                    </button>
                </div>
            }
            .into_any();
        }
        let Some((key, hand, rest)) = lists.get() else { return ().into_any() };
        let hand = hand.into_iter().map(|fault| {
            let is_key = Some(&fault) == key.as_ref();
            button(fault, is_key)
        });
        let hand = hand.collect_view();
        view! {
            <div class="track-faults" role="group" aria-label=t("trackside-faults")>
                {hand}
                <button
                    type="button"
                    class="fault more"
                    data-test="more-faults"
                    aria-expanded=move || track.more.get().to_string()
                    on:click=move |_| track.more.update(|more| *more = !*more)
                >
                    {move || app.get(if track.more.get() { "trackside-fewer" } else { "trackside-more" })}
                </button>
            </div>
            {move || track.more.get().then(|| view! {
                <div class="more-faults" role="group" aria-label=t("trackside-faults")>
                    {rest.iter().map(|fault| button(fault.clone(), false)).collect_view()}
                </div>
            })}
        }
        .into_any()
    }
}

/// What fell in the run before counts as stood up, unless the coach says that nobody did.
#[component]
fn StillLying() -> impl IntoView {
    let app = app();
    let track = track();
    let lying = Memo::new(move |_| {
        if track.correcting.with(|view| view.is_some()) {
            return Default::default();
        }
        track.runs.with(|runs| runs.last().map(lying_after).unwrap_or_default())
    });
    let marked = Memo::new(move |_| {
        let numbers = track.marks.with(|marks| marks.numbers(Row::WasDown));
        lying.get().numbers().iter().all(|number| numbers.contains(number))
    });
    move || {
        (lying.get().count() > 0).then(|| {
            let numbers = lying.get().numbers().iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
            let words = Message::new("trackside-still-lying")
                .with("count", Arg::Count(lying.get().count().into()))
                .text("numbers", numbers);
            view! {
                <button
                    type="button"
                    class="choice still-lying"
                    data-test="still-lying"
                    title=t("trackside-still-lying-why")
                    aria-pressed=move || marked.get().to_string()
                    on:click=move |_| {
                        let lies = !marked.get_untracked();
                        track.marks.update(|marks| marks.still_lying(lying.get_untracked(), lies));
                    }
                >
                    {move || app.say(&words)}
                </button>
            }
        })
    }
}

/// Who comes up after this one: one tap takes another.
#[component]
pub fn Then() -> impl IntoView {
    let track = track();
    let ahead = Memo::new(move |_| {
        let now = track.child.with(|child| child.as_ref().map(|child| child.id.clone()));
        track.queue.with(|queue| {
            let others = queue.iter().filter(|child| Some(&child.id) != now.as_ref());
            others.take(NAMES_AHEAD).cloned().collect::<Vec<_>>()
        })
    });
    view! {
        <div class="track-then" hidden=move || track.correcting.with(|view| view.is_some())>
            <span class="soft">{t("trackside-then")}</span>
            <For each=move || ahead.get() key=|child| child.id.clone() let:child>
                {
                    let (id, name) = (child.id.clone(), child.name.clone());
                    view! {
                        <button
                            type="button"
                            class="choice"
                            data-test="then"
                            data-name=name
                            on:click=move |_| {
                                track.chosen_lead.set(None);
                                track.chosen_child.set(Some(id.clone()));
                            }
                        >
                            {child.name}
                        </button>
                    }
                }
            </For>
            <button
                type="button"
                class="choice other"
                data-test="somebody"
                on:click=move |_| {
                    track.choosing.set(true);
                    super::parts::focus("track-who");
                }
            >
                {t("trackside-somebody")}
            </button>
        </div>
    }
}

/// Whom to watch next, and why: one tap takes that child. The queue stays as it is.
#[component]
fn WatchHint() -> impl IntoView {
    let app = app();
    let track = track();
    move || {
        if track.correcting.with(|view| view.is_some()) {
            return ().into_any();
        }
        let Some((child, next)) = track.watch.get() else { return ().into_any() };
        if track.child.with(|now| now.as_ref().is_some_and(|now| now.id == child.id)) {
            let words = Message::new("trackside-watch-now").text("name", child.name);
            return view! {
                <p class="track-watch now" data-test="watch-now">
                    <b>{app.say(&words)}</b>
                    <span>{app.say(&next.why)}</span>
                </p>
            }
            .into_any();
        }
        let words = Message::new("trackside-watch-next").text("name", child.name.clone());
        let name = child.name.clone();
        view! {
            <button
                type="button"
                class="track-watch"
                data-test="watch-next"
                data-name=name
                on:click=move |_| {
                    track.chosen_lead.set(None);
                    track.chosen_child.set(Some(child.id.clone()));
                    super::parts::focus("track-who");
                }
            >
                <b>{app.say(&words)}</b>
                <span>{app.say(&next.why)}</span>
            </button>
        }
        .into_any()
    }
}

/// The runs of this lane today, latest first; a tap corrects one.
#[component]
fn LastRuns() -> impl IntoView {
    let app = app();
    let track = track();
    let all = RwSignal::new(false);
    let total = Memo::new(move |_| track.runs.with(|runs| runs.len()));
    let shown = move || {
        let limit = if all.get() { usize::MAX } else { RUNS_SHOWN };
        track.runs.with(|runs| runs.iter().rev().take(limit).cloned().collect::<Vec<_>>())
    };
    let name = move |id: &str| {
        app.class.with_untracked(|class| {
            let view = class.as_ref()?.runners.iter().find(|view| view.runner.id.0 == id)?;
            Some(view.runner.label.clone())
        })
    };
    view! {
        <section class="stack" data-test="last-runs">
            <h2>{t("trackside-last")}</h2>
            {move || (total.get() == 0).then(|| view! { <p class="soft">{t("trackside-last-none")}</p> })}
            <ul class="last-runs">
                <For
                    each=shown
                    key=|view| (view.id.clone(), view.correction.clone())
                    let:view
                >
                    {
                        let what = short(&view);
                        let corrected = view
                            .correction
                            .is_some()
                            .then(|| first_recorded(app, &view.id))
                            .flatten()
                            .map(|what| Message::new("trackside-corrected").with("what", Arg::Say(Box::new(what))));
                        let who = name(&view.run.runner);
                        let at = clock(view.run.at);
                        let run_id = view.id.clone();
                        view! {
                            <li>
                                <button
                                    type="button"
                                    class="last-run"
                                    data-test="last-run"
                                    data-id=run_id
                                    on:click=move |_| track.correct(view.clone())
                                >
                                    <span class="soft number">{at}</span>
                                    <span class="last-run-text">
                                        <b>{who}</b>
                                        <span>{move || app.say(&what)}</span>
                                        {corrected.map(|words| view! {
                                            <span class="soft" data-test="corrected">{move || app.say(&words)}</span>
                                        })}
                                    </span>
                                    {icon("edit")}
                                    <span class="sr">{t("trackside-correct")}</span>
                                </button>
                            </li>
                        }
                    }
                </For>
            </ul>
            <TakenOut/>
            {move || (total.get() > RUNS_SHOWN && !all.get()).then(|| view! {
                <button type="button" class="link" data-test="all-runs" on:click=move |_| all.set(true)>
                    {move || app.say(
                        &Message::new("trackside-all-runs").with("count", Arg::Count(total.get() as i64)),
                    )}
                </button>
            })}
        </section>
    }
}

/// Runs of this lane today that a correction took out.
#[component]
fn TakenOut() -> impl IntoView {
    let app = app();
    let track = track();
    let rows = Memo::new(move |_| {
        let letter = track.lane.with(|lane| lane.as_ref().map(|lane| lane.lane.clone()));
        let since = midnight_ms(app.today.get());
        let mut rows = taken_out(app);
        rows.retain(|out| Some(&out.run.lane) == letter.as_ref() && out.run.at_ms >= since);
        rows
    });
    view! {
        <ul class="last-runs">
            {move || rows.get().into_iter().map(|out| taken_out_row(app, out, clock)).collect_view()}
        </ul>
    }
}

/// A run that was taken out: its first record is still there, and so is the way back.
#[derive(Debug, Clone, PartialEq)]
pub struct Out {
    /// Record id of the correction.
    correction: String,
    /// What was recorded first.
    pub run: RunFacts,
}

/// Returns the runs of the class that corrections took out, latest first.
pub fn taken_out(app: App) -> Vec<Out> {
    let class_id = app.class_id.get();
    // Of several corrections of one run the last one counts: ids rise with time.
    let mut last: std::collections::BTreeMap<String, (String, bool)> = Default::default();
    app.local.with(|local| {
        for record in local.iter().flat_map(|local| local.records.values()) {
            if record.kind != "run-correction" {
                continue;
            }
            if let Ok(Some(Body::RunCorrection(body))) = Body::from_value(&record.kind, &record.body)
                && !body.void
                && Some(&body.class) == class_id.as_ref()
            {
                let id = record.id.to_string();
                let entry = last.entry(body.of).or_default();
                if id > entry.0 {
                    *entry = (id, body.run.is_none());
                }
            }
        }
    });
    let mut outs: Vec<Out> = last
        .into_iter()
        .filter(|(_, (_, out))| *out)
        .filter_map(|(of, (correction, _))| match untrack(|| app.stored("run", &of))? {
            Body::Run(run) if !run.void => Some(Out { correction, run: run.run }),
            _ => None,
        })
        .collect();
    outs.sort_by_key(|out| std::cmp::Reverse(out.run.at_ms));
    outs
}

/// Shows a run that was taken out, with the button that counts it again.
pub fn taken_out_row(app: App, out: Out, time: impl Fn(Timestamp) -> String) -> impl IntoView {
    let run = &out.run;
    let at = time(Timestamp::from_millisecond(run.at_ms).unwrap_or(Timestamp::UNIX_EPOCH));
    let who = app.runner_now(&run.runner).map(|view| view.runner.label).unwrap_or_default();
    let what = in_short(&run.knocked, run.down_before.len(), &run.faults);
    let words = Message::new("trackside-not-counted").with("what", Arg::Say(Box::new(what)));
    let said = Message::new("trackside-said-counts-again").text("name", who.clone()).text("time", at.clone());
    view! {
        <li class="last-run taken-out" data-test="taken-out">
            <span class="soft number">{at}</span>
            <span class="last-run-text">
                <b><s>{who}</s></b>
                <span class="soft">{move || app.say(&words)}</span>
            </span>
            <button
                type="button"
                class="btn"
                data-test="count-again"
                on:click=move |_| {
                    let Some(Body::RunCorrection(body)) = app.stored("run-correction", &out.correction) else {
                        return;
                    };
                    let body = Body::RunCorrection(RunCorrectionBody { void: true, ..body });
                    app.save(said.clone(), app.change(&out.correction, &body).into_iter().collect());
                }
            >
                {t("trackside-count-again")}
            </button>
        </li>
    }
}

/// Takes a run out: it did not happen. Its record stays, and [`taken_out_row`] brings it back.
pub fn take_out(app: App, view: &RunView, time: String) {
    let Some(class) = app.class_id.get_untracked() else { return };
    let name = app.runner_now(&view.run.runner).map(|view| view.runner.label).unwrap_or_default();
    let said = Message::new("trackside-said-no-run").text("name", name).text("time", time);
    let body = correction_body(&class, &view.id, &facts_now(view), None);
    app.save(said, app.change(&new_id(), &Body::RunCorrection(body)).into_iter().collect());
}

/// What was just saved, what it means, and the one big button: under the thumb.
#[component]
pub fn VerbBar() -> impl IntoView {
    let track = track();
    let ready = Memo::new(move |_| {
        track.drill.with(|drill| drill.is_some()) && track.child.with(|child| child.is_some())
    });
    move || {
        if !ready.get() {
            return ().into_any();
        }
        let verb = match track.part.get() {
            Part::Runs => view! { <UndoButton/><RunVerb/> }.into_any(),
            Part::Sweep => view! { <UndoButton/><sweep::SweepVerb/> }.into_any(),
            Part::Paper => view! { <UndoButton/><paper_runs::PaperVerb/> }.into_any(),
            Part::Sound => view! { <UndoButton/><sound::SoundVerb/> }.into_any(),
            Part::Times => view! { <timing::TimesVerb/> }.into_any(),
            Part::Turns => view! { <bouts::TurnsVerb/> }.into_any(),
        };
        view! {
            <div class="verb-bar">
                <Note/>
                <div class="verb-row">{verb}</div>
            </div>
        }
        .into_any()
    }
}

#[component]
fn Note() -> impl IntoView {
    let app = app();
    let track = track();
    let says_lane = Memo::new(move |_| {
        track.part.get() == Part::Runs
            && track.correcting.with(|view| view.is_none())
            && track.lane_said.with(|said| said.is_some())
    });
    let kind = move || {
        app.toast.with(|toast| match toast {
            Some(toast) if toast.bad => "track-note bad",
            Some(_) => "track-note",
            None if says_lane.get() => "track-note lane",
            None => "track-note empty",
        })
    };
    let after = Memo::new(move |_| {
        track.after.get().filter(|after| {
            app.toast.with(|toast| toast.as_ref().is_some_and(|toast| toast.said == after.said))
        })
    });
    view! {
        <div class=kind role="status" aria-live="polite" data-test="track-note">
            {move || match app.toast.get() {
                Some(toast) => view! { <span data-test="track-said">{app.say(&toast.said)}</span> }.into_any(),
                None if says_lane.get() => view! { <LaneSaid/> }.into_any(),
                None => {
                    let words = match track.part.get() {
                        Part::Times => "timing-note-first",
                        Part::Turns => "turns-note-first",
                        // An empty line keeps the place of the button below.
                        Part::Sound => match sound::note() {
                            Some(words) => words,
                            None => return view! { <span>"\u{a0}"</span> }.into_any(),
                        },
                        _ => "trackside-note-first",
                    };
                    view! { <span>{t(words)}</span> }.into_any()
                }
            }}
            {move || after.get().map(|after| view! {
                <span data-test="sentence"><b>{after.name}</b>" · "{app.say(&after.next)}</span>
            })}
        </div>
    }
}

/// Takes back what was recorded last beside the lane.
#[component]
pub fn UndoButton() -> impl IntoView {
    let app = app();
    let can = move || {
        app.toast.with(|_| ());
        app.can_undo(Room::Trackside)
    };
    view! {
        <button
            type="button"
            class="btn undo-big"
            data-test="track-undo"
            disabled=move || !can()
            on:click=move |_| app.undo(Room::Trackside)
        >
            {icon("undo")}
            <span>{t("app-undo")}</span>
        </button>
    }
}

#[component]
fn RunVerb() -> impl IntoView {
    let app = app();
    let track = track();
    let words = move || {
        if track.correcting.with(|view| view.is_some()) {
            return app.get("trackside-save-correction");
        }
        app.say(&track.marks.with(|marks| marks.verb()))
    };
    view! {
        <button
            type="button"
            class="btn go verb"
            data-test="verb"
            aria-disabled=move || track.busy.get().to_string()
            on:pointerdown=move |_| track.press()
            on:keydown=move |_| track.pressed_ms.set_value(None)
            on:click=move |_| track.save()
        >
            {words}
        </button>
    }
}

/// Makes what Trackside remembers available to all screens.
pub fn provide(app: App) {
    let track = Track::new(app);
    provide_context(track);
    provide_context(sweep::Looks::new());
    provide_context(paper_runs::Typed::new());
    provide_context(timing::Times::new(app));
    provide_context(bouts::Bouts::new(app));
    sound::provide(app, track);
}
