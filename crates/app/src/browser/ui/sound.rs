//! Listening beside the lane: record one run or open a sound file, look at what was heard, correct it, save it as a
//! run.

use std::rc::Rc;
use std::time::Duration;

use jiff::Timestamp;
use lanewright_draw::{Style, sound_strip};
use lanewright_listen::{Findings, Lane, said};
use lanewright_model::{Arg, Message};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;

use super::findings::day_and_clock;
use super::heard_steps::{FreeRun, FreeRunForm, GapSounds, WhatIsRun};
use super::measure::verdict_changes;
use super::parts::{app, notice, t};
use super::trackside::{Setup, Strip, Then, Track, Who, track};
use crate::browser::app::{App, LADDER, new_id};
use crate::browser::listener::Listener;
use crate::browser::now_ms;
use crate::browser::recorder::{self, Recorder};
use crate::browser::recordings;
use crate::logic::heard::{GapSaid, Judged, cadence_of, gap_heard};
use crate::logic::sound::{
    Asked, COUNTDOWN_S, HEAVY_STOP, KEEP_DAYS, Kept, LONGEST_S, Level, Taking, Trouble, crossing_moved,
    first_contact, heard_run, heard_verb, is_usable, lane_of, marks_anew, open_knocks, stops_heavily,
    strip_of, unplaced, wav,
};
use crate::logic::trackside::Marks;

/// Narrowest and widest strip, px; beside it the page has its margins.
const STRIP_PX: (f64, f64) = (300.0, 640.0);
const MARGINS_PX: f64 = 34.0;

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// Nothing was recorded.
    Idle,
    /// The browser asks the person.
    Asking,
    /// The microphone is open; so many seconds until it counts.
    Counting(u32),
    /// It counts.
    Recording,
    /// A file is being read.
    Reading,
    /// The worker listens.
    Listening,
    /// There is an answer.
    Heard,
}

/// A take in memory.
#[derive(Clone)]
struct Take {
    samples: Rc<Vec<f32>>,
    rate_hz: u32,
    at_ms: i64,
}

/// What listening remembers while other screens are shown.
#[derive(Clone, Copy)]
pub struct Sound {
    app: App,
    track: Track,
    stage: RwSignal<Stage>,
    trouble: RwSignal<Option<Trouble>>,
    /// Level and height of the meter in percent.
    level: RwSignal<(Level, u32)>,
    seconds: RwSignal<u32>,
    found: RwSignal<Option<Findings>>,
    /// The lane that the answer is for.
    lane: RwSignal<Option<Lane>>,
    /// When hurdle 1 was crossed, where the coach said so.
    crossing: RwSignal<Option<f64>>,
    marks: RwSignal<Marks>,
    /// The coach looked: what was heard of a knock fell no hurdle.
    none_fell: RwSignal<bool>,
    /// A run without hurdles, and what is written down of it.
    free: FreeRun,
    /// The judgement of the gap that is saved with the run.
    agreed: RwSignal<Option<Judged>>,
    /// Where the page itself finds the take, to play it.
    url: RwSignal<Option<String>>,
    kept_until: RwSignal<Option<i64>>,
    kept: RwSignal<Vec<Kept>>,
    take: StoredValue<Option<Take>, LocalStorage>,
    taking: StoredValue<Option<Taking>, LocalStorage>,
    recorder: StoredValue<Option<Recorder>, LocalStorage>,
    listener: StoredValue<Listener, LocalStorage>,
    /// Counts attempts, so that what belongs to an earlier one is dropped.
    attempt: StoredValue<u32>,
}

/// Returns what listening remembers.
fn sound() -> Sound {
    expect_context::<Sound>()
}

/// Makes the state, and deletes kept recordings whose day has come.
pub fn provide(app: App, track: Track) {
    let own = Sound {
        app,
        track,
        stage: RwSignal::new(Stage::Idle),
        trouble: RwSignal::new(None),
        level: RwSignal::new((Level::Good, 0)),
        seconds: RwSignal::new(0),
        found: RwSignal::new(None),
        lane: RwSignal::new(None),
        crossing: RwSignal::new(None),
        marks: RwSignal::new(Marks::default()),
        none_fell: RwSignal::new(false),
        free: FreeRun::new(),
        agreed: RwSignal::new(None),
        url: RwSignal::new(None),
        kept_until: RwSignal::new(None),
        kept: RwSignal::new(Vec::new()),
        take: StoredValue::new_local(None),
        taking: StoredValue::new_local(None),
        recorder: StoredValue::new_local(None),
        listener: StoredValue::new_local(Listener::default()),
        attempt: StoredValue::new(0),
    };
    provide_context(own);
    let opened = Memo::new(move |_| app.local.with(|local| local.is_some()));
    Effect::new(move |_| {
        if opened.get() {
            own.tidy_kept();
        }
    });
}

impl Sound {
    // Recording

    /// Begins an attempt: whatever there was is dropped.
    fn begin(self, stage: Stage) -> u32 {
        self.drop_take();
        self.trouble.set(None);
        self.stage.set(stage);
        self.attempt.update_value(|attempt| *attempt += 1);
        self.attempt.get_value()
    }

    fn is_now(self, attempt: u32) -> bool {
        self.attempt.get_value() == attempt
    }

    /// Opens the microphone and counts down.
    fn record(self) {
        let attempt = self.begin(Stage::Asking);
        self.level.set((Level::Good, 0));
        self.listener.with_value(Listener::warm_up);
        spawn_local(async move {
            let hear = move |piece: Option<Vec<f32>>| {
                if self.is_now(attempt) {
                    self.hear(piece.as_deref());
                }
            };
            match Recorder::open(hear).await {
                // In the meantime the coach went elsewhere: the microphone closes again.
                Ok(_) if !self.is_now(attempt) => {}
                Ok(recorder) => {
                    self.taking.set_value(Some(Taking::new(recorder.rate_hz)));
                    self.recorder.set_value(Some(recorder));
                    self.count(attempt, COUNTDOWN_S);
                }
                Err(trouble) if self.is_now(attempt) => self.fail(trouble),
                Err(_) => {}
            }
        });
    }

    fn count(self, attempt: u32, seconds: u32) {
        if !self.is_now(attempt) {
            return;
        }
        if seconds == 0 {
            // What came during the countdown was for the meter only.
            self.recorder.with_value(|recorder| {
                if let Some(recorder) = recorder {
                    self.taking.set_value(Some(Taking::new(recorder.rate_hz)));
                }
            });
            self.seconds.set(0);
            self.stage.set(Stage::Recording);
            return;
        }
        self.stage.set(Stage::Counting(seconds));
        set_timeout(move || self.count(attempt, seconds - 1), Duration::from_secs(1));
    }

    /// Takes a piece from the microphone; nothing means that it went away.
    fn hear(self, piece: Option<&[f32]>) {
        let recording = self.stage.get_untracked() == Stage::Recording;
        let Some(piece) = piece else {
            let long = recording && self.taking.with_value(|t| t.as_ref().is_some_and(|t| t.seconds() > 1.0));
            match long {
                true => self.finish(),
                false => self.attempt.update_value(|attempt| *attempt += 1),
            }
            self.close();
            if !long {
                self.stage.set(Stage::Idle);
            }
            self.trouble.set(Some(Trouble::BrokeOff));
            return;
        };
        let mut over = false;
        self.taking.update_value(|taking| {
            let Some(taking) = taking else { return };
            taking.push(piece);
            over = recording && taking.is_over();
            let now = (taking.level(), (taking.meter() * 100.0) as u32);
            if self.level.get_untracked() != now {
                self.level.set(now);
            }
            let seconds = taking.seconds() as u32;
            if recording && self.seconds.get_untracked() != seconds {
                self.seconds.set(seconds);
            }
        });
        if over {
            self.finish();
        }
    }

    fn close(self) {
        self.recorder.set_value(None);
        self.taking.set_value(None);
    }

    /// Ends the recording and listens to it.
    fn finish(self) {
        let mut taken = None;
        self.taking.update_value(|taking| taken = taking.take());
        self.close();
        if let Some(taking) = taken {
            let at_ms = now_ms() as i64 - (taking.seconds() * 1000.0) as i64;
            let (samples, rate_hz) = taking.done();
            self.listen_to(samples, rate_hz, at_ms);
        }
    }

    /// Stops without an answer.
    fn cancel(self) {
        self.attempt.update_value(|attempt| *attempt += 1);
        self.close();
        self.listener.with_value(Listener::stop);
        self.stage.set(Stage::Idle);
    }

    /// The screen is left: no microphone stays open behind it.
    fn leave(self) {
        if matches!(self.stage.get_untracked(), Stage::Asking | Stage::Counting(_) | Stage::Recording) {
            self.cancel();
        }
    }

    fn fail(self, trouble: Trouble) {
        self.close();
        self.stage.set(Stage::Idle);
        self.trouble.set(Some(trouble));
    }

    fn open_file(self, file: web_sys::File) {
        let attempt = self.begin(Stage::Reading);
        self.close();
        self.listener.with_value(Listener::warm_up);
        spawn_local(async move {
            let read = recorder::read_file(&file).await;
            if !self.is_now(attempt) {
                return;
            }
            match read {
                Ok((samples, rate_hz)) => self.listen_to(samples, rate_hz, now_ms() as i64),
                Err(trouble) => self.fail(trouble),
            }
        });
    }

    // Listening

    fn listen_to(self, samples: Vec<f32>, rate_hz: u32, at_ms: i64) {
        self.url.set(
            blob(&wav(&samples, rate_hz))
                .and_then(|blob| web_sys::Url::create_object_url_with_blob(&blob).ok()),
        );
        self.take.set_value(Some(Take { samples: Rc::new(samples), rate_hz, at_ms }));
        self.crossing.set(None);
        self.marks.set(Marks::default());
        self.none_fell.set(false);
        self.ask();
    }

    /// Asks the worker, with the lane as it stands and the first crossing as it was chosen.
    fn ask(self) {
        let Some(take) = self.take.get_value() else { return };
        let track = self.track;
        let (now, drill) = (track.lane.get_untracked(), track.drill.get_untracked());
        let crossing = self.crossing.get_untracked();
        let lane = now
            .as_ref()
            .zip(drill)
            .filter(|_| !self.free.on.get_untracked())
            .and_then(|(now, drill)| lane_of(now, &drill, &LADDER, crossing));
        let hurdles = now.map_or(0, |now| now.hurdles);
        self.stage.set(Stage::Listening);
        self.agreed.set(None);
        let told = move |found: Option<Findings>| {
            let Some(found) = found else { return self.fail(Trouble::NoListener) };
            let before = self.found.get_untracked();
            self.marks.update(|marks| *marks = marks_anew(marks, before.as_ref(), &found, hurdles));
            self.lane.set(lane);
            self.found.set(Some(found));
            self.stage.set(Stage::Heard);
        };
        self.listener.with_value(|listener| {
            listener.ask(&take.samples, take.rate_hz, &Asked { lane, own: None }, told);
        });
    }

    /// What the run says of the gap for the child who is up. The class is taken as it is now: what is saved of this
    /// very run does not come back as evidence.
    fn gap_said(self, found: &Findings, lane: Option<&Lane>) -> Option<GapSaid> {
        let child = self.track.child.get()?;
        if self.app.helps.get() {
            return None;
        }
        let drill = self.track.drill.get_untracked()?;
        let class = self.app.class.with_untracked(|class| {
            Some(class.as_ref()?.runners.iter().map(|view| view.runner.clone()).collect::<Vec<_>>())
        })?;
        gap_heard(found, lane?, &drill.id, (&class, &child.id), &LADDER, self.app.today.get_untracked())
    }

    /// Returns how many heard knocks still want a look.
    fn open_knocks(self) -> usize {
        let none_fell = self.none_fell.get();
        let open = |found: &Findings| self.marks.with(|marks| open_knocks(found, marks, none_fell));
        self.found.with(|found| found.as_ref().map_or(0, open))
    }

    /// Returns the moment of the first crossing when it is moved by so many contacts, which may be none.
    fn moved(self, by: isize) -> Option<f64> {
        self.lane.with(|lane| self.found.with(|found| crossing_moved(found.as_ref()?, lane.as_ref()?, by)))
    }

    fn move_crossing(self, by: isize) {
        if let Some(at_s) = untrack(|| self.moved(by)) {
            self.crossing.set(Some(at_s));
            self.ask();
        }
    }

    /// Forgets the take; what was kept stays kept.
    fn drop_take(self) {
        if let Some(url) = self.url.get_untracked() {
            let _ = web_sys::Url::revoke_object_url(&url);
            self.url.set(None);
        }
        self.listener.with_value(Listener::stop);
        self.take.set_value(None);
        self.found.set(None);
        self.agreed.set(None);
        self.kept_until.set(None);
        self.stage.set(Stage::Idle);
    }

    // What becomes of it

    /// Saves the step of a free run; the next child comes up.
    fn save_step(self) {
        let cadence = self.found.with_untracked(|found| found.as_ref().and_then(cadence_of));
        let (Some(child), Some(cadence)) = (self.track.child.get_untracked(), cadence) else { return };
        self.free.save(self.app, &child, cadence, move || {
            self.drop_take();
            self.track.pass_on();
        });
    }

    fn save(self) {
        let track = self.track;
        let (Some(child), Some(watching), Some(class), Some(take)) = (
            track.child.get_untracked(),
            track.watching(),
            self.app.class_id.get_untracked(),
            self.take.get_value(),
        ) else {
            return;
        };
        let marks = self.marks.get_untracked();
        let lead = track.lead_seen();
        let body = self.found.with_untracked(|found| {
            heard_run(&class, &watching, &child.id, lead, &marks, found.as_ref()?, take.at_ms)
        });
        if let Some(body) = body {
            // What was agreed to was said of one child.
            let agreed = self.agreed.get_untracked().filter(|agreed| agreed.runner == child.id);
            let beside = agreed
                .map(|said| verdict_changes(self.app, &said.runner, &said.drill, said.gap_m, said.verdict))
                .unwrap_or_default();
            track.save_run(child, body, beside, move || self.drop_take());
        }
    }

    fn keep(self) {
        let Some(take) = self.take.get_value() else { return };
        let track = self.track;
        let kept = Kept {
            id: new_id(),
            at_ms: take.at_ms,
            runner: track.child.with_untracked(|child| child.as_ref().map(|child| child.id.clone())),
            lane: track
                .lane
                .with_untracked(|lane| lane.as_ref().map(|lane| lane.lane.clone()))
                .unwrap_or_default(),
            seconds: take.samples.len() as f64 / f64::from(take.rate_hz),
        };
        let until = kept.until_ms();
        spawn_local(async move {
            let done = match blob(&wav(&take.samples, take.rate_hz)) {
                Some(blob) => recordings::keep(&kept, &blob).await.map_err(|error| error.0),
                None => Err(String::new()),
            };
            match done {
                Ok(()) => self.kept_until.set(Some(until)),
                Err(reason) => {
                    self.app.tell(Message::new("sound-not-kept").text("reason", reason), false, true);
                }
            }
            self.look_at_kept().await;
        });
    }

    async fn look_at_kept(self) {
        if let Ok(all) = recordings::all().await {
            self.kept.set(all);
        }
    }

    /// Deletes what has to go, then shows the rest.
    fn tidy_kept(self) {
        spawn_local(async move {
            let now = now_ms() as i64;
            for kept in recordings::all().await.unwrap_or_default() {
                let known = |runner: &str| untrack(|| self.app.stored("runner-label", runner)).is_some();
                if kept.has_to_go(now, known) {
                    // It stays until the next start when the browser cannot delete it now.
                    let _ = recordings::delete(&kept.id).await;
                }
            }
            self.look_at_kept().await;
        });
    }

    fn delete(self, id: String) {
        spawn_local(async move {
            let _ = recordings::delete(&id).await;
            self.look_at_kept().await;
        });
    }
}

/// Returns bytes as a sound file in memory.
fn blob(bytes: &[u8]) -> Option<web_sys::Blob> {
    let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type("audio/wav");
    web_sys::Blob::new_with_u8_array_sequence_and_options(&parts, &kind).ok()
}

fn day(app: App, at_ms: i64) -> String {
    day_and_clock(app, Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH))
}

fn strip_px() -> f64 {
    let wide = web_sys::window().and_then(|window| window.inner_width().ok()?.as_f64());
    (wide.unwrap_or(390.0) - MARGINS_PX).clamp(STRIP_PX.0, STRIP_PX.1)
}

/// The part of Trackside that listens.
#[component]
pub fn SoundPart() -> impl IntoView {
    let own = sound();
    let track = track();
    own.tidy_kept();
    on_cleanup(move || own.leave());
    // Another lane or drill means other hurdles: the answer is asked for anew.
    let stands = Memo::new(move |_| (track.lane.get(), track.drill.get(), own.free.on.get()));
    let first = StoredValue::new(true);
    Effect::new(move |_| {
        stands.with(|_| ());
        if !first.get_value() && matches!(own.stage.get_untracked(), Stage::Heard | Stage::Listening) {
            own.crossing.set(None);
            own.ask();
        }
        first.set_value(false);
    });
    let no_gaps = Memo::new(move |_| {
        let (lane, drill, free) = stands.get();
        !free && lane.zip(drill).is_none_or(|(lane, drill)| lane_of(&lane, &drill, &LADDER, None).is_none())
    });
    let trouble = Memo::new(move |_| match own.trouble.get() {
        Some(trouble) => Some(trouble),
        None if !recorder::is_secure() => Some(Trouble::NotSecure),
        None => None,
    });
    let app = app();
    let free = own.free.on;
    // A helper's phone has no sizes and writes down no measurements.
    let helps = app.helps;
    Effect::new(move |_| {
        if helps.get() {
            free.set(false);
        }
    });
    view! {
        {move || (!helps.get()).then(|| view! { <WhatIsRun free=own.free/> })}
        <div hidden=move || free.get()>
            <Setup drill_only=true/>
        </div>
        <section class="track-run" data-test="sound">
            {move || match free.get() {
                true => view! { <Who name_only=true/> }.into_any(),
                false => view! { <Who/> }.into_any(),
            }}
            <p class="soft" hidden=move || own.stage.get() == Stage::Heard>
                {move || if free.get() { app.get("heard-free-how") } else { app.get("sound-how") }}
            </p>
            {move || no_gaps.get().then(|| view! { <p class="soft">{t("sound-no-hurdles")}</p> })}
            {move || trouble.get().map(|trouble| view! {
                <div data-test="sound-trouble">{notice("warn", trouble.message())}</div>
            })}
            <Taker/>
            {move || (own.stage.get() == Stage::Heard).then(|| view! { <Answer/> })}
            <Then/>
        </section>
        <aside class="track-side">
            <KeptList/>
        </aside>
    }
}

/// What goes on while there is no answer.
#[component]
fn Taker() -> impl IntoView {
    let app = app();
    let own = sound();
    let is_open = move || matches!(own.stage.get(), Stage::Counting(_) | Stage::Recording);
    let state = move || {
        let message = match own.stage.get() {
            Stage::Idle | Stage::Heard => return String::new(),
            Stage::Asking => Message::new("sound-asking"),
            Stage::Counting(seconds) => {
                Message::new("sound-counting").with("seconds", Arg::Count(seconds.into()))
            }
            Stage::Recording => Message::new("sound-recording")
                .with("seconds", Arg::Count(own.seconds.get().into()))
                .with("most", Arg::Count(LONGEST_S as i64)),
            Stage::Reading => Message::new("sound-reading"),
            Stage::Listening => Message::new("sound-listening"),
        };
        app.say(&message)
    };
    let slug = move || match own.stage.get() {
        Stage::Idle => "idle",
        Stage::Asking => "asking",
        Stage::Counting(_) => "counting",
        Stage::Recording => "recording",
        Stage::Reading => "reading",
        Stage::Listening => "listening",
        Stage::Heard => "heard",
    };
    let level_words = move || match own.level.get().0 {
        Level::Good => "sound-level-good",
        Level::Loud => "sound-level-loud",
        Level::Silent => "sound-level-silent",
    };
    let chosen = move |event: web_sys::Event| {
        let Some(field) =
            event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok())
        else {
            return;
        };
        if let Some(file) = field.files().and_then(|files| files.get(0)) {
            own.open_file(file);
        }
        // The same file can be chosen again.
        field.set_value("");
    };
    view! {
        <div class="sound-take" data-test="sound-stage" data-stage=slug>
            <div hidden=move || matches!(own.stage.get(), Stage::Idle | Stage::Heard)>
                <p class="sound-state" aria-live="polite"><b>{state}</b></p>
                <div hidden=move || !is_open()>
                    <meter
                        min="0"
                        max="100"
                        low="20"
                        high="97"
                        optimum="60"
                        aria-label=t("sound-level")
                        data-test="sound-meter"
                        prop:value=move || f64::from(own.level.get().1)
                    ></meter>
                    <p
                        class=move || if own.level.get().0 == Level::Good { "soft" } else { "sound-warn" }
                        aria-live="polite"
                        data-test="sound-level"
                    >
                        {move || app.get(level_words())}
                    </p>
                    <p class="soft">{t("sound-stops-itself")}</p>
                </div>
            </div>
            <div class="row" hidden=move || own.stage.get() != Stage::Idle>
                <label class="btn" for="sound-file">{t("sound-open-file")}</label>
                <input
                    id="sound-file"
                    class="sr"
                    data-test="sound-file"
                    type="file"
                    accept="audio/*,.wav,.m4a,.mp3,.ogg,.flac,.aac"
                    on:change=chosen
                />
                <p class="soft">{t("sound-private")}</p>
            </div>
        </div>
    }
}

/// What was heard: the strip, the recording, what to correct, sentences.
#[component]
fn Answer() -> impl IntoView {
    let app = app();
    let own = sound();
    let Some(found) = own.found.get_untracked() else { return ().into_any() };
    let lane = own.lane.get_untracked();
    let play = move || {
        view! {
            <div class="sound-play">
                <audio
                    controls=true
                    preload="auto"
                    data-test="sound-play"
                    aria-label=t("sound-play")
                    src=move || own.url.get()
                ></audio>
                {move || match own.kept_until.get() {
                    Some(until) => {
                        let words = Message::new("sound-keep-on").text("date", day(app, until));
                        view! { <p class="soft" data-test="sound-kept-on">{app.say(&words)}</p> }.into_any()
                    }
                    None => {
                        let words = Message::new("sound-keep").with("days", Arg::Count(KEEP_DAYS));
                        view! {
                            <button type="button" class="btn" data-test="sound-keep" on:click=move |_| own.keep()>
                                {app.say(&words)}
                            </button>
                        }
                        .into_any()
                    }
                }}
                <div class="row">
                    <button type="button" class="btn" data-test="sound-again" on:click=move |_| own.record()>
                        {t("sound-again")}
                    </button>
                    <button type="button" class="btn" data-test="sound-drop" on:click=move |_| own.drop_take()>
                        {t("sound-drop")}
                    </button>
                </div>
            </div>
        }
    };
    let sentences = said::said(&found, lane.as_ref());
    if !is_usable(&found) {
        return view! {
            <div class="stack" data-test="sound-refused">
                <h2>{t("sound-not-heard")}</h2>
                {sentences.into_iter().map(|message| notice("warn", message)).collect_view()}
                {play()}
            </div>
        }
        .into_any();
    }
    let figure =
        app.words.with_untracked(|words| sound_strip(&strip_of(&found), strip_px(), &words.0, Style::Screen));
    let (contacts, knocks) = (found.contacts.len(), found.knocks.len());
    if own.free.on.get_untracked() {
        return view! {
            <div class="stack" data-test="sound-heard" data-contacts=contacts data-knocks=knocks>
                <figure class="sound-strip" data-test="sound-strip" inner_html=figure.svg></figure>
                <FreeRunForm free=own.free heard=cadence_of(&found).is_some() save=move |()| own.save_step()/>
                <Said sentences/>
                {play()}
            </div>
        }
        .into_any();
    }
    let speeds = said::gaps(&found);
    let gap_said = {
        let (found, lane) = (found.clone(), lane);
        Memo::new(move |_| own.gap_said(&found, lane.as_ref()))
    };
    let loose = unplaced(&found);
    view! {
        <div class="stack" data-test="sound-heard" data-contacts=contacts data-knocks=knocks>
            <figure class="sound-strip" data-test="sound-strip" inner_html=figure.svg></figure>
            <Crossing found=found.clone() lane=lane/>
            <p>{t("sound-look")}</p>
            {(loose > 0).then(|| view! {
                <div class="stack" id="sound-open" tabindex="-1" data-test="sound-open">
                    {notice("note", Message::new("sound-unplaced").with("count", Arg::Count(loose as i64)))}
                    {move || (own.open_knocks() > 0).then(|| view! {
                        <button
                            type="button"
                            class="choice still-lying"
                            data-test="none-fell"
                            on:click=move |_| own.none_fell.set(true)
                        >
                            {move || app.get(match loose > own.open_knocks() {
                                true => "sound-no-other-fell",
                                false => "sound-none-fell",
                            })}
                        </button>
                    })}
                </div>
            })}
            <div class="track-body">
                <Strip marks=own.marks/>
                <Said sentences/>
            </div>
            <GapSounds said=gap_said agreed=own.agreed/>
            {stops_heavily(&found).then(|| view! {
                <div class="stack" data-test="sound-heavy">
                    <p>{t("sound-heavy-stop")}</p>
                    <button
                        type="button"
                        class="fault"
                        data-test="fault-heavy-stop"
                        aria-pressed=move || {
                            own.marks.with(|marks| marks.faults.iter().any(|fault| fault == HEAVY_STOP)).to_string()
                        }
                        on:click=move |_| own.marks.update(|marks| marks.tap_fault(HEAVY_STOP))
                    >
                        {t("fault-heavy-stop")}
                    </button>
                </div>
            })}
            {(!speeds.is_empty()).then(|| view! {
                <details data-test="sound-speeds">
                    <summary>{t("sound-speeds")}</summary>
                    <ul>
                        {speeds
                            .into_iter()
                            .map(|message| view! { <li>{move || app.say(&message)}</li> })
                            .collect_view()}
                    </ul>
                </details>
            })}
            {play()}
        </div>
    }
    .into_any()
}

/// Sentences about a take.
#[component]
fn Said(
    /// The sentences.
    sentences: Vec<Message>,
) -> impl IntoView {
    let app = app();
    view! {
        <div class="sound-said" data-test="sound-said">
            <h2>{t("sound-heard")}</h2>
            <ul>
                {sentences
                    .into_iter()
                    .map(|message| view! { <li>{move || app.say(&message)}</li> })
                    .collect_view()}
            </ul>
        </div>
    }
}

/// Which contact comes before hurdle 1: where the counting of hurdles begins.
#[component]
fn Crossing(
    /// What was heard.
    found: Findings,
    /// How the lane stood.
    lane: Option<Lane>,
) -> impl IntoView {
    let app = app();
    let own = sound();
    if lane.is_none() {
        return ().into_any();
    }
    let Some(contact) = first_contact(&found) else {
        return view! { <p class="soft" data-test="sound-not-counted">{t("sound-not-counted")}</p> }
            .into_any();
    };
    let words = Message::new("sound-crossing").with("contact", Arg::Count(contact as i64));
    let guessed = found.alignment_p.filter(|_| own.crossing.get_untracked().is_none());
    let why = match guessed {
        Some(p) => Message::new("sound-crossing-guessed").with("p", Arg::Share(p)),
        None => Message::new("sound-crossing-chosen"),
    };
    let button = |by: isize, words: &'static str, sign: &'static str, test: &'static str| {
        view! {
            <button
                type="button"
                class="btn"
                data-test=test
                aria-label=t(words)
                disabled=move || own.moved(by).is_none()
                on:click=move |_| own.move_crossing(by)
            >
                {sign}
            </button>
        }
    };
    view! {
        <div class="sound-crossing">
            {button(-1, "sound-crossing-earlier", "−", "crossing-earlier")}
            <p>
                <b data-test="crossing" data-contact=contact>{move || app.say(&words)}</b>
                <span class="soft">{move || app.say(&why)}</span>
            </p>
            {button(1, "sound-crossing-later", "+", "crossing-later")}
            {guessed.map(|_| view! {
                <button
                    type="button"
                    class="btn"
                    data-test="crossing-right"
                    disabled=move || own.moved(0).is_none()
                    on:click=move |_| own.move_crossing(0)
                >
                    {t("sound-crossing-right")}
                </button>
            })}
        </div>
    }
    .into_any()
}

/// Recordings that were kept on purpose.
#[component]
fn KeptList() -> impl IntoView {
    let app = app();
    let own = sound();
    let playing = RwSignal::new(None::<(String, String)>);
    let quiet = move || {
        if let Some((_, url)) = playing.get_untracked() {
            let _ = web_sys::Url::revoke_object_url(&url);
        }
        playing.set(None);
    };
    on_cleanup(quiet);
    let play = move |id: String| {
        quiet();
        spawn_local(async move {
            if let Ok(Some(blob)) = recordings::sound(&id).await
                && let Ok(url) = web_sys::Url::create_object_url_with_blob(&blob)
            {
                playing.set(Some((id, url)));
            }
        });
    };
    let row = move |kept: Kept| {
        let name = kept.runner.as_deref().and_then(|id| app.runner_now(id)).map(|view| view.runner.label);
        let who = Message::new("sound-kept-row")
            .text("name", name.unwrap_or_else(|| app.get("sound-kept-nobody")))
            .text("lane", kept.lane.clone());
        let times = Message::new("sound-kept-times")
            .text("date", day(app, kept.at_ms))
            .with("seconds", Arg::Count(kept.seconds.round() as i64))
            .text("until", day(app, kept.until_ms()));
        let (mine, heard, gone) = (kept.id.clone(), kept.id.clone(), kept.id);
        view! {
            <li class="kept-row" data-test="kept">
                <p><b>{app.say(&who)}</b><span class="soft">{app.say(&times)}</span></p>
                <button type="button" class="btn" data-test="kept-play" on:click=move |_| play(heard.clone())>
                    {t("sound-listen-again")}
                </button>
                <button
                    type="button"
                    class="btn"
                    data-test="kept-delete"
                    on:click=move |_| {
                        quiet();
                        own.delete(gone.clone());
                    }
                >
                    {t("sound-delete")}
                </button>
                {move || playing.get().filter(|(id, _)| *id == mine).map(|(_, url)| view! {
                    <audio controls=true autoplay=true src=url></audio>
                })}
            </li>
        }
    };
    move || {
        own.kept.with(|kept| !kept.is_empty()).then(|| {
            view! {
                <section class="stack" data-test="kept-list">
                    <h2>{t("sound-kept")}</h2>
                    <p class="soft">{t("sound-kept-where")}</p>
                    <ul>{own.kept.get().into_iter().map(row).collect_view()}</ul>
                </section>
            }
        })
    }
}

/// Returns what is to be done now, for the line over the button; nothing while the button itself says it.
pub fn note() -> Option<&'static str> {
    let own = sound();
    let heard = own.found.with(|found| {
        found.as_ref().is_some_and(|found| match own.free.on.get() {
            true => cadence_of(found).is_some(),
            false => is_usable(found),
        })
    });
    match own.stage.get() {
        Stage::Idle => Some("sound-note-first"),
        Stage::Heard if heard && !own.free.on.get() && own.open_knocks() > 0 => None,
        Stage::Heard if heard => Some("sound-note-heard"),
        Stage::Heard => Some("sound-note-first"),
        Stage::Asking | Stage::Counting(_) | Stage::Recording | Stage::Reading | Stage::Listening => None,
    }
}

/// Scrolls to the question which hurdle fell.
fn to_the_hurdles() {
    let document = web_sys::window().and_then(|window| window.document());
    if let Some(question) = document.and_then(|document| document.get_element_by_id("sound-open")) {
        question.scroll_into_view();
    }
}

/// The one big button: record, stop, save.
#[component]
pub fn SoundVerb() -> impl IntoView {
    let app = app();
    let own = sound();
    let track = track();
    let usable = Memo::new(move |_| own.found.with(|found| found.as_ref().is_some_and(is_usable)));
    // A free run is of use when it has a cadence.
    let free = Memo::new(move |_| own.free.on.get());
    let steps = Memo::new(move |_| own.found.with(|found| found.as_ref().and_then(cadence_of).is_some()));
    // A knock that was heard and belongs to no hurdle yet: nothing is saved before somebody said which.
    let asks = Memo::new(move |_| {
        own.stage.get() == Stage::Heard && !free.get() && usable.get() && own.open_knocks() > 0
    });
    let busy = move || match own.stage.get() {
        Stage::Heard if asks.get() => true,
        Stage::Reading | Stage::Listening => true,
        Stage::Heard | Stage::Idle => track.is_busy() || own.free.is_busy(),
        _ => false,
    };
    let words = move || match own.stage.get() {
        Stage::Idle => app.get("sound-record"),
        Stage::Asking | Stage::Counting(_) => app.get("sound-cancel"),
        Stage::Recording => app.get("sound-stop"),
        Stage::Reading => app.get("sound-reading"),
        Stage::Listening => app.get("sound-listening"),
        Stage::Heard if free.get() && steps.get() => app.get("heard-save-step"),
        Stage::Heard if !free.get() && usable.get() => own.found.with(|found| {
            let none_fell = own.none_fell.get();
            let verb = |found: &Findings| own.marks.with(|marks| heard_verb(found, marks, none_fell));
            found.as_ref().map(|found| app.say(&verb(found))).unwrap_or_default()
        }),
        Stage::Heard => app.get("sound-again"),
    };
    let tap = move |_| match own.stage.get_untracked() {
        // A second tap right after saving is a wet finger, not the next recording.
        Stage::Idle if untrack(|| track.is_busy() || own.free.is_busy()) => {}
        Stage::Idle => own.record(),
        Stage::Asking | Stage::Counting(_) => own.cancel(),
        Stage::Recording => own.finish(),
        Stage::Reading | Stage::Listening => {}
        Stage::Heard if free.get_untracked() && steps.get_untracked() => own.save_step(),
        Stage::Heard if asks.get_untracked() => to_the_hurdles(),
        Stage::Heard if !free.get_untracked() && usable.get_untracked() => own.save(),
        Stage::Heard => own.record(),
    };
    view! {
        <button
            type="button"
            class=move || if asks.get() { "btn verb asks" } else { "btn go verb" }
            data-test="sound-verb"
            aria-disabled=move || busy().to_string()
            on:click=tap
        >
            {words}
        </button>
    }
}
