//! Bouts: sideways through the hurdles, turning on calls that nobody can foresee.

use std::time::Duration;

use lanewright_listen::{Findings, Reason, said};
use lanewright_model::drill::Family;
use lanewright_model::record::Body;
use lanewright_model::run::Source;
use lanewright_model::timing::{BoutFacts, BoutView};
use lanewright_model::{Arg, DrillId, Message};
use lanewright_science::turn::{Side, Way, passes};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::icons::icon;
use super::parts::{Choice, app, focus, notice, t};
use super::trackside::{Part, Track, UndoButton, clock, midnight_ms, track};
use crate::browser::app::{App, LADDER, new_id};
use crate::browser::listener::Listener;
use crate::browser::recorder::Recorder;
use crate::browser::signals::{self, Sounds};
use crate::browser::{keep_preference, now_ms, preference, steady};
use crate::logic::clock::Cue;
use crate::logic::sound::Asked;
use crate::logic::trackside::{Child, LaneNow};
use crate::logic::turns::{
    BoutDraft, BoutTake, Caller, KeptBout, LENGTHS_S, Says, Taps, apart_of, asks_for_turns, bout_body,
    bout_sound, floor, no_such_bout, pairs_now, rest_left_s, taps_heard,
};

/// The drill that is done.
const SHUTTLE: &str = "side-shuttle";
/// How often the caller looks at the clock.
const LOOK_EVERY: Duration = Duration::from_millis(40);
/// How long a call stays on the screen, in seconds.
const CALL_SHOWN_S: f64 = 0.9;
/// Stature where nobody of a lane was measured, in centimetres (engineering assumption: the middle of the age band).
const STATURE_CM: f64 = 150.0;
/// So long the browser's question about the microphone waits for an answer; then the bout begins without. Engineering
/// assumption: children who stand ready stand no longer.
const ASKS_FOR: Duration = Duration::from_secs(15);
/// Bouts shown below.
const BOUTS_SHOWN: usize = 8;
/// Where a bout that is over and not saved is kept on the device.
const KEPT: &str = "lanewright-bout-over";
/// Where it is kept what was done beside the lane today.
const PART: &str = "lanewright-trackside-part";

/// Who calls.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum CallsBy {
    Voice,
    Tone,
    Nobody,
}

impl CallsBy {
    fn name(self) -> &'static str {
        match self {
            CallsBy::Voice => "voice",
            CallsBy::Tone => "tone",
            CallsBy::Nobody => "nobody",
        }
    }
}

/// How far a bout has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    Before,
    On,
    Over,
}

/// What listening to a bout has come to.
#[derive(Debug, Clone, PartialEq)]
enum Ear {
    /// Nobody listens.
    Off,
    /// The browser asks the person for the microphone.
    Asking,
    /// The microphone is open.
    Open,
    /// The worker listens.
    Listening,
    /// There is an answer.
    Heard(Box<Findings>),
    /// It does not work.
    Trouble,
    /// The bout is longer than the listener takes.
    TooLong,
}

/// What bouts remember while other screens are shown.
#[derive(Clone, Copy)]
pub struct Bouts {
    app: App,
    /// The lanes; a timer finds no context.
    track: Track,
    alone: RwSignal<bool>,
    length_s: RwSignal<Option<f64>>,
    calls_by: RwSignal<CallsBy>,
    chosen: RwSignal<Option<Vec<Child>>>,
    stage: RwSignal<Stage>,
    running: RwSignal<Vec<Child>>,
    caller: StoredValue<Option<Caller>>,
    began: StoredValue<(i64, f64)>,
    elapsed_s: RwSignal<f64>,
    called_s: RwSignal<Option<f64>>,
    taps: RwSignal<Vec<Taps>>,
    down: RwSignal<Vec<u32>>,
    over: RwSignal<Option<BoutDraft>>,
    /// To be saved with nothing tapped although calls were given: asked once.
    asks: RwSignal<bool>,
    correcting: RwSignal<Option<String>>,
    sounds: StoredValue<Sounds, LocalStorage>,
    /// Turns are counted by sound too.
    by_sound: RwSignal<bool>,
    ear: RwSignal<Ear>,
    /// What was heard has been taken over.
    taken: RwSignal<bool>,
    take: StoredValue<Option<BoutTake>, LocalStorage>,
    recorder: StoredValue<Option<Recorder>, LocalStorage>,
    listener: StoredValue<Listener, LocalStorage>,
    /// Counts bouts, so that what belongs to an earlier one is dropped.
    attempt: StoredValue<u32>,
    busy: RwSignal<bool>,
    /// Goes up every second while the screen is shown: rests run down.
    beat: RwSignal<u64>,
    shown: StoredValue<u64>,
}

/// Returns what was done beside the lane today: runs, times or turns. A new day begins with runs.
pub fn part_of_today(app: App) -> Part {
    let kept = preference(PART).unwrap_or_default();
    match kept.split_once(' ') {
        Some((day, "times")) if day == app.today.get_untracked().to_string() => Part::Times,
        Some((day, "turns")) if day == app.today.get_untracked().to_string() => Part::Turns,
        _ => Part::Runs,
    }
}

/// Keeps what is done beside the lane, for when the page is opened again.
pub fn keep_part(app: App, part: Part) {
    let name = match part {
        Part::Times => "times",
        Part::Turns => "turns",
        Part::Runs | Part::Sweep | Part::Paper | Part::Sound => "runs",
    };
    keep_preference(PART, &format!("{} {name}", app.today.get_untracked()));
}

/// Returns what bouts remember.
fn bouts() -> Bouts {
    expect_context::<Bouts>()
}

impl Bouts {
    /// Makes the state.
    pub fn new(app: App) -> Self {
        let bouts = Self {
            app,
            track: track(),
            alone: RwSignal::new(false),
            length_s: RwSignal::new(LENGTHS_S[1]),
            calls_by: RwSignal::new(match preference("lanewright-calls-by").as_deref() {
                Some("tone") => CallsBy::Tone,
                Some("nobody") => CallsBy::Nobody,
                _ => CallsBy::Voice,
            }),
            chosen: RwSignal::new(None),
            stage: RwSignal::new(Stage::Before),
            running: RwSignal::new(Vec::new()),
            caller: StoredValue::new(None),
            began: StoredValue::new((0, 0.0)),
            elapsed_s: RwSignal::new(0.0),
            called_s: RwSignal::new(None),
            taps: RwSignal::new(Vec::new()),
            down: RwSignal::new(Vec::new()),
            over: RwSignal::new(None),
            asks: RwSignal::new(false),
            correcting: RwSignal::new(None),
            sounds: StoredValue::new_local(Sounds::default()),
            by_sound: RwSignal::new(preference("lanewright-turns-by").as_deref() == Some("sound")),
            ear: RwSignal::new(Ear::Off),
            taken: RwSignal::new(false),
            take: StoredValue::new_local(None),
            recorder: StoredValue::new_local(None),
            listener: StoredValue::new_local(Listener::default()),
            attempt: StoredValue::new(0),
            busy: RwSignal::new(false),
            beat: RwSignal::new(0),
            shown: StoredValue::new(0),
        };
        // A bout that is over outlives the page until it is saved or dropped.
        Effect::new(move |_| {
            if bouts.stage.get() != Stage::Over || bouts.correcting.with(Option::is_some) {
                return;
            }
            let Some((class, bout)) = app.class_id.get().zip(bouts.facts()) else { return };
            if let Ok(text) = serde_json::to_string(&KeptBout { class, bout }) {
                keep_preference(KEPT, &text);
            }
        });
        bouts
    }

    fn keep_beating(self) {
        let mine = self.shown.get_value() + 1;
        self.shown.set_value(mine);
        self.next_beat(mine);
        on_cleanup(move || self.shown.update_value(|shown| *shown += 1));
    }

    fn next_beat(self, mine: u64) {
        if self.shown.get_value() == mine {
            self.beat.update(|beat| *beat += 1);
            set_timeout(move || self.next_beat(mine), Duration::from_secs(1));
        }
    }

    /// Returns the bouts of today, oldest first.
    fn today(self) -> Vec<BoutView> {
        let since_ms = midnight_ms(self.app.today.get());
        self.app.class.with(|class| {
            let views = class.iter().flat_map(|class| &class.bouts);
            views.filter(|view| view.facts.at_ms >= since_ms).cloned().collect()
        })
    }

    /// Returns the pairs of the lane (or each child alone) and who rests.
    fn groups(self) -> (Vec<Vec<Child>>, Option<Child>) {
        let children =
            self.track.lane.with(|lane| lane.as_ref().map(|lane| lane.children.clone())).unwrap_or_default();
        let today = self.today();
        if self.alone.get() {
            return (children.into_iter().map(|child| vec![child]).collect(), None);
        }
        let apart = self.app.class.with(|class| class.as_ref().map(apart_of).unwrap_or_default());
        let (pairs, rests) = pairs_now(&children, &today, &apart);
        (pairs.into_iter().map(Vec::from).collect(), rests)
    }

    /// Returns who is on next: those chosen, else the group with the least rest left that ran longest ago.
    fn next(self) -> Vec<Child> {
        if let Some(chosen) = self.chosen.get() {
            return chosen;
        }
        let (groups, _) = self.groups();
        let today = self.today();
        let last = |group: &Vec<Child>| {
            let own = today.iter().rposition(|view| {
                view.facts.runners.iter().any(|each| group.iter().any(|child| child.id == each.runner))
            });
            own.map_or(-1, |place| place as i64)
        };
        groups.into_iter().min_by_key(last).unwrap_or_default()
    }

    /// Returns how many hurdles stand at each place: as the floor lies, or else as in the lane.
    fn hurdles(self) -> u32 {
        let Some(lane) = self.track.lane.get() else { return 8 };
        let Some(space) = self.app.space() else { return lane.hurdles };
        let setup = floor(self.gap_m(&lane), &self.app.kit(), &space, lane.children.len(), !self.alone.get());
        if setup.hurdles == 0 { lane.hurdles } else { setup.hurdles }
    }

    /// Returns the gap that the screen says to lay: feet and bases have to fit between the hurdles.
    fn laid_gap_m(self, lane: &LaneNow) -> f64 {
        let gap_m = self.gap_m(lane);
        let Some(space) = self.app.space() else { return gap_m };
        floor(gap_m, &self.app.kit(), &space, lane.children.len(), !self.alone.get()).gap_m
    }

    /// Returns the gap of the drill, or of the children of the lane.
    fn gap_m(self, lane: &LaneNow) -> f64 {
        let sideways = |id: &str| LADDER.get(id).is_some_and(|drill| drill.family == Family::Sideways);
        if let Some(drill) = lane.drills.iter().find(|drill| sideways(&drill.id.0)) {
            return drill.gap_m;
        }
        let statures: Vec<f64> = self.app.class.with(|class| {
            let runners = class.iter().flat_map(|class| &class.runners);
            let own = runners.filter(|view| lane.children.iter().any(|child| child.id == view.runner.id.0));
            own.filter_map(|view| view.runner.stature_cm).collect()
        });
        let mean_cm = match statures.len() {
            0 => STATURE_CM,
            count => statures.iter().sum::<f64>() / count as f64,
        };
        let share = LADDER.get(SHUTTLE).and_then(|drill| drill.gap).map_or(0.46, |gap| gap.comfortable_ratio);
        // To the five centimetres that a tape shows at a glance.
        (share * mean_cm / 5.0).round() * 0.05
    }

    fn language(self) -> String {
        self.app.words.with_untracked(|words| words.0.language.to_owned())
    }

    fn say(self, words: &'static str, cue: Cue) {
        // A voice would cover the turn that it calls for.
        let listens = self.take.with_value(Option::is_some);
        let by_voice = self.calls_by.get_untracked() == CallsBy::Voice;
        let speaks = !listens && by_voice && signals::can_speak(&self.language());
        self.take.update_value(|take| {
            if let Some(take) = take {
                let long_s = (!speaks).then(|| signals::tone_s(cue));
                take.sounds(steady::now_ms(), long_s, words == "turns-say-turn");
            }
        });
        if speaks {
            signals::speak(&untrack(|| self.app.get(words)), &self.language());
        } else {
            // Without a voice on this device the tone calls; who calls without either hears beginning and end.
            self.sounds.with_value(|sounds| sounds.try_out(cue));
        }
        signals::vibrate(cue);
    }

    fn go(self) {
        let children = untrack(|| self.next());
        if children.is_empty() || self.busy.get_untracked() {
            return;
        }
        self.sounds.update_value(Sounds::wake);
        self.hush();
        match self.by_sound.get_untracked() && children.len() == 1 {
            true => self.listen_and_begin(children),
            false => self.begin(children),
        }
    }

    /// Opens the microphone; the bout begins in any case, unless the screen is left before.
    fn listen_and_begin(self, children: Vec<Child>) {
        let attempt = self.attempt.get_value();
        self.busy.set(true);
        self.ear.set(Ear::Asking);
        self.listener.with_value(Listener::warm_up);
        let ready = children.clone();
        let unanswered = move || {
            if self.attempt.get_value() == attempt && self.ear.get_untracked() == Ear::Asking {
                // A late answer opens nothing.
                self.hush();
                self.ear.set(Ear::Trouble);
                self.begin(ready);
            }
        };
        set_timeout(unanswered, ASKS_FOR);
        spawn_local(async move {
            let hear = move |piece: Option<Vec<f32>>| {
                if self.attempt.get_value() == attempt {
                    self.hear(piece.as_deref());
                }
            };
            let opened = Recorder::open(hear).await;
            if self.attempt.get_value() != attempt {
                return;
            }
            self.busy.set(false);
            match opened {
                Ok(recorder) => {
                    self.take.set_value(Some(BoutTake::new(recorder.rate_hz)));
                    self.recorder.set_value(Some(recorder));
                    self.ear.set(Ear::Open);
                }
                Err(_) => self.ear.set(Ear::Trouble),
            }
            self.begin(children);
        });
    }

    /// Takes a piece from the microphone; nothing means that it went away.
    fn hear(self, piece: Option<&[f32]>) {
        let mut over = piece.is_none();
        self.take.update_value(|take| {
            if let (Some(take), Some(piece)) = (take, piece) {
                take.push(piece, steady::now_ms());
                over = take.is_full();
            }
        });
        if over && self.ear.get_untracked() == Ear::Open {
            self.recorder.set_value(None);
            self.take.set_value(None);
            self.ear.set(if piece.is_none() { Ear::Trouble } else { Ear::TooLong });
        }
    }

    /// Closes the microphone and listens to what there is; then the recording is gone.
    fn listen(self) {
        self.recorder.set_value(None);
        let mut taken = None;
        self.take.update_value(|take| taken = take.take());
        let Some(take) = taken else { return };
        let (samples, rate_hz, own) = take.done();
        self.ear.set(Ear::Listening);
        let told = move |found: Option<Findings>| {
            self.ear.set(match found {
                Some(found) => Ear::Heard(Box::new(found)),
                None => Ear::Trouble,
            });
        };
        self.listener.with_value(|listener| {
            listener.ask(&samples, rate_hz, &Asked { lane: None, own: Some(own) }, told);
        });
    }

    /// Ends all listening.
    fn hush(self) {
        self.attempt.update_value(|attempt| *attempt += 1);
        if self.ear.get_untracked() == Ear::Asking {
            self.busy.set(false);
        }
        self.recorder.set_value(None);
        self.take.set_value(None);
        self.listener.with_value(Listener::stop);
        self.taken.set(false);
        self.ear.set(Ear::Off);
    }

    /// Takes over what was heard: the turns; what fell stays as it was tapped.
    fn take_heard(self) {
        let heard = self.ear.with_untracked(|ear| match ear {
            Ear::Heard(found) => found.turns.clone(),
            _ => None,
        });
        if let Some(turns) = heard {
            self.taps.update(|all| {
                if let [taps] = all.as_mut_slice() {
                    *taps = taps_heard(&turns, taps.falls).0;
                }
            });
            self.taken.set(true);
        }
    }

    fn begin(self, children: Vec<Child>) {
        let seed = (self.calls_by.get_untracked() != CallsBy::Nobody)
            .then(|| (js_sys::Math::random() * f64::from(u32::MAX)) as u32);
        self.caller.set_value(Some(Caller::new(self.length_s.get_untracked(), seed)));
        self.began.set_value((now_ms() as i64, steady::now_ms()));
        self.taps.set(vec![Taps::default(); children.len()]);
        self.down.set(Vec::new());
        self.asks.set(false);
        self.running.set(children);
        self.elapsed_s.set(0.0);
        self.called_s.set(None);
        self.stage.set(Stage::On);
        self.say("turns-say-go", Cue::Work { part: 0, bout: 0 });
        self.look();
    }

    fn look(self) {
        if self.stage.get_untracked() != Stage::On {
            return;
        }
        let elapsed_s = (steady::now_ms() - self.began.get_value().1) / 1000.0;
        let mut says = Says::Nothing;
        self.caller.update_value(|caller| {
            if let Some(caller) = caller {
                says = caller.look(elapsed_s);
            }
        });
        self.elapsed_s.set(elapsed_s);
        match says {
            Says::Nothing => {}
            Says::Turn => {
                self.called_s.set(Some(elapsed_s));
                self.say("turns-say-turn", Cue::Work { part: 0, bout: 1 });
            }
            Says::Stop => {
                self.say("turns-say-stop", Cue::End { part: 0 });
                return self.end(None);
            }
        }
        set_timeout(move || self.look(), LOOK_EVERY);
    }

    /// Ends the bout: at its length, or now.
    fn end(self, now: Option<()>) {
        let Some(lane) = self.track.lane.get_untracked() else { return self.leave() };
        let (at_ms, began_ms) = self.began.get_value();
        let elapsed_s = (steady::now_ms() - began_ms) / 1000.0;
        let Some(caller) = self.caller.get_value() else { return self.leave() };
        let seconds = match (now, caller.length_s) {
            (None, Some(length_s)) => length_s,
            _ => elapsed_s,
        };
        let children = self.running.get_untracked();
        self.over.set(Some(BoutDraft {
            lane: lane.lane.clone(),
            drill: DrillId(SHUTTLE.into()),
            at_ms,
            planned_s: caller.length_s,
            seconds: (seconds * 10.0).round().max(1.0) / 10.0,
            seed: caller.seed,
            calls: caller.given(),
            gap_m: untrack(|| self.laid_gap_m(&lane)),
            children: children.into_iter().map(|child| (child.id, Taps::default())).collect(),
            down: Vec::new(),
            source: None,
        }));
        self.correcting.set(None);
        self.stage.set(Stage::Over);
        self.listen();
    }

    /// Opens a bout of the list to correct it.
    fn correct(self, view: &BoutView) {
        self.hush();
        self.open(&view.facts);
        self.correcting.set(Some(view.id.clone()));
        self.stage.set(Stage::Over);
    }

    /// Takes up the bout that was over and not saved when the page went away.
    fn take_up(self) {
        if self.stage.get_untracked() != Stage::Before {
            return;
        }
        let kept = preference(KEPT).and_then(|text| serde_json::from_str::<KeptBout>(&text).ok());
        let since_ms = midnight_ms(self.app.today.get_untracked());
        let class = self.app.class_id.get_untracked();
        let Some(kept) = kept.filter(|kept| kept.is_of(class.as_deref(), since_ms)) else { return };
        self.open(&kept.bout);
        self.correcting.set(None);
        self.stage.set(Stage::Over);
    }

    /// Shows a bout with its counts.
    fn open(self, facts: &BoutFacts) {
        self.asks.set(false);
        let child = |id: &str| Child {
            id: id.to_owned(),
            name: self.app.runner_now(id).map(|view| view.runner.label).unwrap_or_default(),
        };
        self.running.set(facts.runners.iter().map(|each| child(&each.runner)).collect());
        self.taps.set(
            facts
                .runners
                .iter()
                .map(|each| Taps {
                    one_step: each.one_step_turns,
                    several: each.turns - each.one_step_turns,
                    falls: each.falls,
                })
                .collect(),
        );
        self.down.set(facts.down.clone());
        self.over.set(Some(BoutDraft {
            lane: facts.lane.clone(),
            drill: facts.drill.clone(),
            at_ms: facts.at_ms,
            planned_s: facts.planned_s,
            seconds: facts.seconds,
            seed: facts.seed,
            calls: facts.calls,
            gap_m: facts.gap_m.unwrap_or_default(),
            children: facts.runners.iter().map(|each| (each.runner.clone(), Taps::default())).collect(),
            down: Vec::new(),
            source: facts.source,
        }));
    }

    /// Returns the bout that is over, with what is tapped.
    fn facts(self) -> Option<BoutFacts> {
        let mut draft = self.over.get()?;
        for ((_, taps), tapped) in draft.children.iter_mut().zip(self.taps.get()) {
            *taps = tapped;
        }
        draft.down = self.down.get();
        draft.down.sort_unstable();
        if self.taken.get() {
            draft.source = Some(Source::Sound);
        }
        Some(draft.facts())
    }

    fn leave(self) {
        self.hush();
        keep_preference(KEPT, "");
        self.asks.set(false);
        self.over.set(None);
        self.correcting.set(None);
        self.chosen.set(None);
        self.stage.set(Stage::Before);
    }

    /// Saves the bout; one with calls and no turn only when somebody was `sure` of it.
    fn save(self, sure: bool) {
        let (Some(facts), Some(class)) = (untrack(|| self.facts()), self.app.class_id.get_untracked()) else {
            return;
        };
        if self.busy.get_untracked() {
            return;
        }
        if !sure && self.correcting.get_untracked().is_none() && asks_for_turns(&facts) {
            self.asks.set(true);
            focus("turns-none-asked");
            return;
        }
        self.asks.set(false);
        if let Err(says) = facts.check() {
            self.app.tell(says, false, true);
            return;
        }
        let names = self.running.with_untracked(|all| names_of(all));
        let said = Message::new("turns-said-bout").text("names", names);
        let body = match self.correcting.get_untracked() {
            None => {
                let mut body = bout_body(&class, facts);
                body.sound = self.ear.with_untracked(|ear| match ear {
                    Ear::Heard(found) => bout_sound(found).map(Box::new),
                    _ => None,
                });
                Body::Bout(body)
            }
            Some(of) => {
                let mut correction = no_such_bout(&class, &of);
                correction.bout = Some(facts);
                Body::BoutCorrection(correction)
            }
        };
        self.write(said, body);
    }

    fn write(self, said: Message, body: Body) {
        let app = self.app;
        let change = app.change(&new_id(), &body);
        self.busy.set(true);
        spawn_local(async move {
            if app.save_now(said, change.into_iter().collect()).await {
                self.leave();
            }
            self.busy.set(false);
        });
    }
}

fn names_of(children: &[Child]) -> String {
    children.iter().map(|child| child.name.clone()).collect::<Vec<_>>().join(" + ")
}

/// The screen part.
#[component]
pub fn TurnsPart() -> impl IntoView {
    let bouts = bouts();
    bouts.keep_beating();
    bouts.take_up();
    // Nobody is listened to behind another screen; the bout goes on by tap.
    on_cleanup(move || {
        if matches!(bouts.ear.get_untracked(), Ear::Asking | Ear::Open) {
            bouts.hush();
        }
    });
    view! {
        <div class="time-run" data-test="turns">
            {move || match bouts.stage.get() {
                Stage::Before => view! { <Before/> }.into_any(),
                Stage::On => view! { <On/> }.into_any(),
                Stage::Over => view! { <Over/> }.into_any(),
            }}
        </div>
        <aside class="track-side">
            <BoutList/>
        </aside>
    }
}

/// Floor, pairs, length, who calls.
#[component]
fn Before() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    let groups = Memo::new(move |_| bouts.groups());
    let next = Memo::new(move |_| bouts.next());
    let lengths = LENGTHS_S
        .into_iter()
        .zip(["turns-length-5", "turns-length-10", "turns-length-30", "turns-length-free"])
        .zip(["5", "10", "30", "free"])
        .map(|((length_s, words), name)| (length_s, words, name))
        .collect::<Vec<_>>();
    let no_voice = move || {
        (bouts.calls_by.get() == CallsBy::Voice && !signals::can_speak(&bouts.language()))
            .then(|| notice("note", Message::new("turns-no-voice")))
    };
    let line = move || {
        let length = match bouts.length_s.get() {
            Some(seconds) => Message::new("turns-seconds").with("seconds", Arg::Number(seconds)),
            None => Message::new("turns-length-free"),
        };
        let calls = match bouts.calls_by.get() {
            CallsBy::Voice if signals::can_speak(&bouts.language()) => "turns-line-voice",
            // Without a voice a tone calls.
            CallsBy::Voice | CallsBy::Tone => "turns-line-tone",
            CallsBy::Nobody => "turns-line-nobody",
        };
        let who = if bouts.alone.get() { "turns-who-alone" } else { "turns-who-pairs" };
        app.say(
            &Message::new("turns-settings-line")
                .with("length", Arg::Say(Box::new(length)))
                .with("calls", Arg::Say(Box::new(Message::new(calls))))
                .with("who", Arg::Say(Box::new(Message::new(who)))),
        )
    };
    let asking = Memo::new(move |_| bouts.ear.with(|ear| *ear == Ear::Asking));
    view! {
        {move || asking.get().then(|| view! {
            <p role="status" data-test="bout-asking">{t("sound-asking")}</p>
        })}
        <details class="track-setup" data-test="turns-settings">
            <summary>
                <span class="sr">{t("turns-settings")}</span>
                <span class="track-setup-text">{line}</span>
                {icon("edit")}
            </summary>
            <div class="stack">
                <Choice
                    label="turns-length"
                    test="turns-length"
                    options=lengths
                    chosen=bouts.length_s
                    choose=move |length_s| bouts.length_s.set(length_s)
                />
                <Choice
                    label="turns-calls-by"
                    test="turns-calls"
                    options=vec![
                        (CallsBy::Voice, "turns-calls-voice", "voice"),
                        (CallsBy::Tone, "turns-calls-tone", "tone"),
                        (CallsBy::Nobody, "turns-calls-nobody", "nobody"),
                    ]
                    chosen=bouts.calls_by
                    choose=move |by: CallsBy| {
                        keep_preference("lanewright-calls-by", by.name());
                        bouts.calls_by.set(by);
                    }
                />
                {no_voice}
                <Choice
                    label="turns-count-by"
                    test="turns-count"
                    options=vec![(false, "turns-count-tap", "tap"), (true, "turns-count-sound", "sound")]
                    chosen=bouts.by_sound
                    choose=move |sound: bool| {
                        keep_preference("lanewright-turns-by", if sound { "sound" } else { "tap" });
                        bouts.by_sound.set(sound);
                    }
                />
                {move || bouts.by_sound.get().then(|| notice("note", Message::new(match bouts.alone.get() {
                    true => "turns-sound-how",
                    false => "turns-sound-alone",
                })))}
                <Choice
                    label="turns-who"
                    test="turns-who"
                    options=vec![(false, "turns-who-pairs", "pairs"), (true, "turns-who-alone", "alone")]
                    chosen=bouts.alone
                    choose=move |alone| {
                        bouts.alone.set(alone);
                        bouts.chosen.set(None);
                    }
                />
            </div>
        </details>
        {move || bouts.track.lane.get().map(|lane| {
            let what = Message::new("turns-what").with("gap", Arg::GapM(bouts.laid_gap_m(&lane)));
            view! { <p data-test="turns-what">{app.say(&what)}</p> }
        })}
        <FloorCard/>
        <ul class="groups" data-test="groups">
            {move || {
                groups
                    .get()
                    .0
                    .into_iter()
                    .map(|group| {
                        let (names, shown) = (names_of(&group), names_of(&group));
                        let (mine, tapped) = (group.clone(), group.clone());
                        // The row stays as it is while the rest runs down: a finger may be on it.
                        let rests = move || {
                            bouts.beat.get();
                            let today = bouts.today();
                            let left = group.iter().map(|child| rest_left_s(&today, &child.id, now_ms() as i64));
                            let rest_s = left.fold(0.0, f64::max);
                            (rest_s > 0.0).then(|| {
                                let words =
                                    Message::new("turns-rest").with("seconds", Arg::Count(rest_s.ceil() as i64));
                                view! { <span class="soft" data-test="rest">{app.say(&words)}</span> }
                            })
                        };
                        view! {
                            <li>
                                <button
                                    type="button"
                                    class="choice group"
                                    data-test="group"
                                    data-name=names
                                    aria-pressed=move || (next.get() == mine).to_string()
                                    on:click=move |_| bouts.chosen.set(Some(tapped.clone()))
                                >
                                    <b>{shown}</b>
                                    {rests}
                                </button>
                            </li>
                        }
                    })
                    .collect_view()
            }}
        </ul>
        {move || groups.get().1.map(|child| {
            let words = Message::new("turns-rests").text("name", child.name);
            view! { <p class="soft" data-test="rests">{app.say(&words)}</p> }
        })}
    }
}

/// How the floor lies for this lane's children.
#[component]
fn FloorCard() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    move || {
        let lane = bouts.track.lane.get()?;
        let Some(space) = app.space() else {
            return Some(notice("note", Message::new("turns-no-floor")));
        };
        let kit = app.kit();
        let setup = floor(bouts.gap_m(&lane), &kit, &space, lane.children.len(), !bouts.alone.get());
        let line = Message::new("turns-floor")
            .with("places", Arg::Count(setup.lanes.len() as i64))
            .with("hurdles", Arg::Count(setup.hurdles.into()))
            .with("gap", Arg::GapM(setup.gap_m));
        let marks =
            setup.marks_m.iter().map(|at_m| app.show(Arg::GapM(*at_m))).collect::<Vec<_>>().join(" · ");
        let marks = Message::new("turns-floor-marks").text("marks", marks);
        let middles: Vec<String> =
            setup.lanes.iter().map(|lane| app.show(Arg::GapM(lane.middle_m))).collect();
        let middles = Message::new("turns-floor-middles").text("middles", middles.join(" · "));
        let room = Message::new("turns-floor-room")
            .with("length", Arg::RoomM(setup.length_m))
            .with("clear", Arg::RoomM(setup.clear_m));
        let first = passes(Side::Left, 2);
        let flips = first.first().is_some_and(|pass| pass.way == Way::Out && pass.facing == Side::Left);
        let cautions = setup
            .cautions
            .iter()
            .cloned()
            .map(|caution| {
                let kind = match caution.id.as_str() {
                    "turn-does-not-fit" | "turn-falls-one-way" => "bad",
                    "turn-try-both-ways" => "warn",
                    _ => "note",
                };
                notice(kind, caution)
            })
            .collect_view();
        Some(
            view! {
                <details class="track-setup" data-test="turns-floor">
                    <summary>
                        <span class="track-setup-text">{move || app.say(&line)}</span>
                        {icon("edit")}
                    </summary>
                    <div class="stack">
                        <p class="number floor-marks">{move || app.say(&marks)}</p>
                        <p class="number floor-marks">{move || app.say(&middles)}</p>
                        <p>{move || app.say(&room)}</p>
                        {flips.then(|| view! { <p>{t("turns-facing")}</p> })}
                        {cautions}
                    </div>
                </details>
            }
            .into_any(),
        )
    }
}

/// The bout is on: the clock, the call, the taps.
#[component]
fn On() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    let called = Memo::new(move |_| {
        let now_s = bouts.elapsed_s.get();
        bouts.called_s.get().is_some_and(|called_s| now_s - called_s <= CALL_SHOWN_S)
    });
    let clock = Memo::new(move |_| {
        let length_s = bouts.caller.with_value(|caller| caller.as_ref().and_then(|caller| caller.length_s));
        let elapsed_s = bouts.elapsed_s.get();
        match length_s {
            Some(length_s) => (length_s - elapsed_s).max(0.0).ceil() as i64,
            None => elapsed_s as i64,
        }
    });
    view! {
        <div class="bout-clock" class:called=move || called.get() data-test="bout-clock" data-called=move || called.get().to_string()>
            <b class="number">{move || clock.get()}</b>
            <span>{move || called.get().then(|| app.get("turns-call"))}</span>
        </div>
        {move || match bouts.ear.get() {
            Ear::Open => Some(view! { <p class="soft" data-test="bout-hears">{t("turns-sound-on")}</p> }.into_any()),
            Ear::Trouble => Some(notice("warn", Message::new("turns-sound-trouble")).into_any()),
            Ear::TooLong => Some(notice("note", Message::new("turns-sound-too-long")).into_any()),
            _ => None,
        }}
        <TapPads steps=false/>
    }
}

/// Taps for each child: the kind of turn, and what fell.
#[component]
fn TapPads(
    /// With a minus beside each count.
    steps: bool,
) -> impl IntoView {
    let bouts = bouts();
    let change = move |place: usize, change: fn(&mut Taps) -> &mut u32, by: i32| {
        bouts.taps.update(|all| {
            if let Some(taps) = all.get_mut(place) {
                let count = change(taps);
                *count = count.saturating_add_signed(by);
            }
        });
    };
    let count = move |place: usize, of: fn(&Taps) -> u32| bouts.taps.with(|all| all.get(place).map_or(0, of));
    type Get = fn(&Taps) -> u32;
    type Put = fn(&mut Taps) -> &mut u32;
    let kinds: [(&'static str, &'static str, Get, Put); 3] = [
        ("turns-one-step", "one-step", |taps| taps.one_step, |taps| &mut taps.one_step),
        ("turns-several", "several", |taps| taps.several, |taps| &mut taps.several),
        ("turns-fell", "fell", |taps| taps.falls, |taps| &mut taps.falls),
    ];
    let pads = bouts
        .running
        .get_untracked()
        .into_iter()
        .enumerate()
        .map(|(place, child)| {
            let name = child.name.clone();
            let buttons = kinds
                .into_iter()
                .map(|(words, test, get, put)| {
                    let minus = steps.then(|| {
                        view! {
                            <button
                                type="button"
                                class="btn"
                                data-test=format!("{test}-less")
                                aria-label=t("turns-less")
                                on:click=move |_| change(place, put, -1)
                            >
                                "−"
                            </button>
                        }
                    });
                    view! {
                        <div class="pad" class:steps=steps>
                            <button
                                type="button"
                                class=format!("choice pad-{test}")
                                data-test=test
                                on:pointerdown=move |event| {
                                    if event.button() == 0 {
                                        change(place, put, 1);
                                    }
                                }
                                on:click=move |event| {
                                    if event.detail() == 0 {
                                        change(place, put, 1);
                                    }
                                }
                            >
                                <span>{t(words)}</span>
                                <b class="number">{move || count(place, get)}</b>
                            </button>
                            {minus}
                        </div>
                    }
                })
                .collect_view();
            view! {
                <section class="pads" data-test="pads" data-name=name>
                    <h2>{child.name}</h2>
                    <div class="pad-row">{buttons}</div>
                </section>
            }
        })
        .collect_view();
    view! { {pads} }
}

/// The bout is over: put the counts right, say which hurdles stay down, save.
#[component]
fn Over() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    let draft = bouts.over.get_untracked();
    let line = draft.map(|draft| {
        Message::new("turns-over")
            .with("seconds", Arg::Number(draft.seconds))
            .with("calls", Arg::Count(draft.calls.into()))
    });
    let hurdles = move || {
        let most = bouts.down.with(|down| down.iter().copied().max().unwrap_or(0));
        bouts.hurdles().max(most)
    };
    let none_asked = move || {
        bouts.asks.get().then(|| {
            let calls = bouts.over.with(|over| over.as_ref().map_or(0, |draft| draft.calls));
            let asked = Message::new("turns-none-asked").with("calls", Arg::Count(calls.into()));
            view! {
                <div
                    class="notice warn block"
                    id="turns-none-asked"
                    tabindex="-1"
                    role="alert"
                    data-test="turns-none-asked"
                >
                    <p>{icon("warning")}<span>{app.say(&asked)}</span></p>
                    <div class="correct-row even">
                        <button type="button" class="btn" data-test="save-none" on:click=move |_| bouts.save(true)>
                            {t("turns-none-save")}
                        </button>
                        <button
                            type="button"
                            class="btn"
                            data-test="count-first"
                            on:click=move |_| bouts.asks.set(false)
                        >
                            {t("turns-none-count")}
                        </button>
                    </div>
                </div>
            }
        })
    };
    view! {
        <p data-test="bout-over">{move || line.clone().map(|line| app.say(&line))}</p>
        {none_asked}
        <HeardTurns/>
        <TapPads steps=true/>
        <fieldset class="choices">
            <legend class="label">{t("turns-down")}</legend>
            <div class="choice-row">
                {move || (1..=hurdles()).map(|number| view! {
                    <button
                        type="button"
                        class="choice"
                        data-test=format!("down-{number}")
                        aria-pressed=move || bouts.down.with(|down| down.contains(&number)).to_string()
                        on:click=move |_| bouts.down.update(|down| {
                            match down.iter().position(|other| *other == number) {
                                Some(place) => drop(down.remove(place)),
                                None => down.push(number),
                            }
                        })
                    >
                        {number}
                    </button>
                }).collect_view()}
            </div>
        </fieldset>
        {move || bouts.correcting.get().map(|of| view! {
            <button
                type="button"
                class="btn"
                data-test="no-such-bout"
                on:click=move |_| {
                    let Some(class) = app.class_id.get_untracked() else { return };
                    let said = Message::new("turns-said-none");
                    bouts.write(said, Body::BoutCorrection(no_such_bout(&class, &of)));
                }
            >
                {t("turns-no-such-bout")}
            </button>
        })}
    }
}

/// What was heard of the bout: a proposal, to be taken over or not.
#[component]
fn HeardTurns() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    move || match bouts.ear.get() {
        Ear::Off | Ear::Asking | Ear::Open => ().into_any(),
        Ear::Trouble => notice("warn", Message::new("turns-sound-trouble")).into_any(),
        Ear::TooLong => notice("note", Message::new("turns-sound-too-long")).into_any(),
        Ear::Listening => view! {
            <p class="soft" aria-live="polite" data-test="bout-listening">{t("turns-sound-listening")}</p>
        }
        .into_any(),
        Ear::Heard(found) => {
            let Some(turns) = found.turns.clone() else { return ().into_any() };
            let mut sentences = said::turns(&turns);
            if let Some(reason) = found.reason {
                sentences = vec![match reason {
                    Reason::TooLong => Message::new("turns-sound-too-long"),
                    other => other.message(),
                }];
            }
            if turns.reason.is_some() {
                return view! {
                    <div class="stack" data-test="bout-not-heard">
                        {sentences.into_iter().map(|message| notice("note", message)).collect_view()}
                    </div>
                }
                .into_any();
            }
            let (taps, unsure) = taps_heard(&turns, 0);
            let lines = sentences
                .into_iter()
                .map(|message| view! { <li>{move || app.say(&message)}</li> })
                .collect_view();
            view! {
                <section
                    class="stack sound-said"
                    data-test="bout-heard"
                    data-turns=turns.turns.len()
                    data-one=taps.one_step
                    data-several=taps.several
                >
                    <h2>{t("turns-sound-heard")}</h2>
                    <ul>{lines}</ul>
                    {(unsure > 0).then(|| {
                        notice("note", Message::new("turns-sound-unsure").with("count", Arg::Count(unsure.into())))
                    })}
                    {move || match bouts.taken.get() {
                        true => view! { <p class="soft" data-test="heard-taken">{t("turns-sound-taken")}</p> }.into_any(),
                        false => view! {
                            <button
                                type="button"
                                class="btn"
                                data-test="heard-take"
                                on:click=move |_| bouts.take_heard()
                            >
                                {t("turns-sound-take")}
                            </button>
                        }
                        .into_any(),
                    }}
                </section>
            }
            .into_any()
        }
    }
}

/// Bouts of today, latest first; a tap corrects one.
#[component]
fn BoutList() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    let rows = Memo::new(move |_| {
        let mut today = bouts.today();
        today.reverse();
        today.truncate(BOUTS_SHOWN);
        today
    });
    view! {
        <section class="stack" data-test="bout-list">
            <h2>{t("turns-today")}</h2>
            {move || rows.with(Vec::is_empty).then(|| view! { <p class="soft">{t("turns-today-none")}</p> })}
            <ul class="last-runs">
                <For each=move || rows.get() key=|view| (view.id.clone(), view.correction.clone()) let:view>
                    {
                        let lines = view
                            .facts
                            .runners
                            .iter()
                            .map(|each| {
                                let name = app.runner_now(&each.runner).map(|view| view.runner.label);
                                let words = Message::new("turns-line")
                                    .with("turns", Arg::Count(each.turns.into()))
                                    .with("one", Arg::Count(each.one_step_turns.into()))
                                    .with("falls", Arg::Count(each.falls.into()));
                                view! {
                                    <span class="time-at">
                                        <b>{name}</b>
                                        <span>{move || app.say(&words)}</span>
                                    </span>
                                }
                            })
                            .collect_view();
                        let length = Message::new("turns-seconds").with("seconds", Arg::Number(view.facts.seconds));
                        let corrected = view.correction.is_some().then(|| view! {
                            <span class="soft">{t("timing-corrected")}</span>
                        });
                        let at = clock(
                            jiff::Timestamp::from_millisecond(view.facts.at_ms)
                                .unwrap_or(jiff::Timestamp::UNIX_EPOCH),
                        );
                        let id = view.id.clone();
                        view! {
                            <li>
                                <button
                                    type="button"
                                    class="last-run"
                                    data-test="bout-row"
                                    data-id=id
                                    // A bout that is on, or over and not saved, goes first.
                                    disabled=move || match bouts.stage.get() {
                                        Stage::Before => false,
                                        Stage::On => true,
                                        Stage::Over => bouts.correcting.with(Option::is_none),
                                    }
                                    on:click=move |_| bouts.correct(&view)
                                >
                                    <span class="soft number">{at}</span>
                                    <span class="last-run-text">
                                        <span class="soft">{move || app.say(&length)}</span>
                                        {lines}
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
        </section>
    }
}

/// Under the thumb: go, stop, save.
#[component]
pub fn TurnsVerb() -> impl IntoView {
    let app = app();
    let bouts = bouts();
    move || match bouts.stage.get() {
        Stage::Before => {
            let names = move || names_of(&bouts.next());
            view! {
                <UndoButton/>
                <button
                    type="button"
                    class="btn go verb press"
                    data-test="bout-go"
                    disabled=move || bouts.next().is_empty() || bouts.busy.get()
                    on:click=move |_| bouts.go()
                >
                    {move || app.say(&Message::new("turns-go").text("names", names()))}
                </button>
            }
            .into_any()
        }
        Stage::On => view! {
            <button type="button" class="btn undo-big" data-test="bout-away" on:click=move |_| bouts.leave()>
                {icon("close")}
                <span>{t("turns-away")}</span>
            </button>
            <button
                type="button"
                class="btn verb press start"
                data-test="bout-stop"
                on:click=move |_| {
                    bouts.say("turns-say-stop", Cue::End { part: 0 });
                    bouts.end(Some(()));
                }
            >
                {t("turns-stop")}
            </button>
        }
        .into_any(),
        Stage::Over => view! {
            <button type="button" class="btn undo-big" data-test="bout-away" on:click=move |_| bouts.leave()>
                {icon("close")}
                <span>{t("turns-away")}</span>
            </button>
            <button
                type="button"
                class="btn go verb press"
                data-test="bout-save"
                disabled=move || bouts.busy.get()
                on:click=move |_| bouts.save(false)
            >
                {move || app.get(match bouts.correcting.with(Option::is_some) {
                    true => "trackside-save-correction",
                    false => "turns-save",
                })}
            </button>
        }
        .into_any(),
    }
}
