//! The state that the screens show, and the one way in which it changes.

use std::sync::{Arc, LazyLock};
use std::time::Duration;

use jiff::civil::Date;
use lanewright_model::erasure::{Going, Target};
use lanewright_model::plan::Plan;
use lanewright_model::record::Body;
use lanewright_model::school::{ClassView, RunnerView, School};
use lanewright_model::words::{Language, Units, Words};
use lanewright_model::writing::{hold_together, set_apart};
use lanewright_model::{Kit, Ladder, Message, Space};
use lanewright_science::plan::{PlanError, PlanInput, plan, plan_standing};
use lanewright_sync::stamp::STAMP_AHEAD_MAX_MS;
use lanewright_sync::{Place, PullAnswer, PushAnswer, Record, RecordKey, RefusalReason, SchoolId};
use leptos::prelude::*;
use leptos::task::spawn_local;
use uuid::Uuid;
use wasm_bindgen::{JsCast, JsValue, closure::Closure};

use super::store::{Local, Store, StoreError};
use super::sync::{self, Contact};
use super::{keep_preference, language_of_browser, now_ms, on_window, preference, today};
use crate::logic::change::Change;
use crate::logic::devices::Standing;
use crate::logic::erase;
use crate::logic::replica::{Purge, Waiting};
use crate::logic::undo::{Room, UndoStack};

/// The drills.
pub static LADDER: LazyLock<Ladder> = LazyLock::new(Ladder::built_in);

/// Told to other tabs: something was written here that they should show, and send if nobody else does.
const CHANGED: &str = "changed";
/// Told to other tabs: the server has proven something.
const SETTLED: &str = "settled";
/// So long a note stands: two short sentences are read twice in it (engineering assumption).
const NOTE_STAYS: Duration = Duration::from_secs(8);
/// A note at whose buttons somebody is with the keyboard.
const HELD: &str = ".toast:focus-within, .toast:hover";
/// Where what this device may do is kept.
const STANDING: &str = "lanewright-standing";

/// The screens, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Screen {
    /// Who is in the class.
    Class,
    /// Who is here.
    Today,
    /// What there is to work with.
    Kit,
    /// Lanes, floor, print.
    Lanes,
    /// What happens when, and the clock.
    Lesson,
    /// One tap per run.
    Trackside,
    /// What the runs say.
    Findings,
}

impl Screen {
    /// All of them.
    pub const ALL: [Screen; 7] = [
        Screen::Class,
        Screen::Today,
        Screen::Kit,
        Screen::Lanes,
        Screen::Lesson,
        Screen::Trackside,
        Screen::Findings,
    ];

    /// Name in addresses and test attributes.
    pub fn slug(self) -> &'static str {
        match self {
            Screen::Class => "class",
            Screen::Today => "today",
            Screen::Kit => "kit",
            Screen::Lanes => "lanes",
            Screen::Lesson => "lesson",
            Screen::Trackside => "trackside",
            Screen::Findings => "findings",
        }
    }

    fn from_hash(hash: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|screen| hash.trim_start_matches(['#', '/']) == screen.slug())
    }
}

/// A sheet over the screen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sheet {
    /// One child.
    Child(String),
    /// Make a class.
    NewClass,
    /// Rename or leave the class.
    ClassName,
    /// Choose a class.
    ChooseClass,
    /// Read in a class list.
    Import,
    /// Line up by size.
    LineUp,
    /// Who with whom, who where.
    Wish,
    /// Drills, effort, lanes.
    Choice,
    /// Measure steps.
    Measure,
    /// Where the data is.
    Data,
    /// Other devices.
    Devices,
    /// How long things are kept.
    Keep,
}

/// Why the app does not open without a network on this device. What is recorded is kept all the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotKept {
    /// The address is not secure, so browsers keep nothing of it.
    NotSecure,
    /// This browser keeps no apps, or not in this kind of window.
    NotHere,
    /// The files of the app did not come, or found no room.
    Failed,
}

/// The line above the tabs: what was just done or went wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Toast {
    /// The sentence.
    pub said: Message,
    /// It can be undone.
    pub undo: bool,
    /// It went wrong.
    pub bad: bool,
    /// The sheet over which it was said.
    pub over: Option<Sheet>,
}

/// Handles to the whole state; cheap to copy.
#[derive(Clone, Copy)]
pub struct App {
    store: StoredValue<Option<Store>, LocalStorage>,
    channel: StoredValue<Option<web_sys::BroadcastChannel>, LocalStorage>,
    undo: StoredValue<UndoStack>,
    /// How many notes were shown.
    told: StoredValue<u32>,
    /// What is on this device; `None` until it was read.
    pub local: RwSignal<Option<Local>>,
    /// Why nothing can be read or saved, in the browser's words.
    pub store_error: RwSignal<Option<String>>,
    /// The last change found no room on this device.
    pub no_room: RwSignal<bool>,
    /// What the server's clock showed when it last took records, in milliseconds since 1970.
    server_ms: StoredValue<Option<u64>>,
    /// The day.
    pub today: RwSignal<Date>,
    /// The records, folded.
    pub school: Memo<School>,
    /// Chosen class.
    chosen: RwSignal<Option<String>>,
    /// Id of the class that is shown.
    pub class_id: Memo<Option<String>>,
    /// The class that is shown.
    pub class: Memo<Option<ClassView>>,
    /// What the plan follows from.
    pub input: Memo<Option<PlanInput>>,
    /// The plan for the class that is shown, or why there is none: how the lanes would be laid now.
    pub plan: Memo<Option<Result<Plan, PlanError>>>,
    /// The lanes as they are today: those that stand, else those of the plan. What shows lanes shows these.
    pub laid: Memo<Option<Result<Plan, PlanError>>>,
    /// The words, in the chosen language and units.
    pub words: Memo<Shared<Words>>,
    /// Chosen units.
    pub units: RwSignal<Units>,
    /// Chosen language.
    pub language: RwSignal<Language>,
    /// The screen.
    pub screen: RwSignal<Screen>,
    /// The sheet over it.
    pub sheet: RwSignal<Option<Sheet>>,
    /// The line above the tabs.
    pub toast: RwSignal<Option<Toast>>,
    /// How the server answered last.
    pub contact: RwSignal<Contact>,
    /// What the server said that this device may do.
    pub standing: RwSignal<Standing>,
    /// This device records at the lanes and nothing else.
    pub helps: Memo<bool>,
    /// Something is on its way.
    pub sending: RwSignal<bool>,
    /// A newer version of the app waits for a reload.
    pub update_ready: RwSignal<bool>,
    /// Why the app does not open without a network on this device.
    pub not_kept: RwSignal<Option<NotKept>>,
}

/// A shared value that counts as changed whenever it is another one.
pub struct Shared<T>(pub Arc<T>);

impl<T> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<T> PartialEq for Shared<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl App {
    /// Makes the state and starts reading what is on the device.
    pub fn new() -> Self {
        let local: RwSignal<Option<Local>> = RwSignal::new(None);
        let day = RwSignal::new(today());
        let units = RwSignal::new(match preference("lanewright-units").as_deref() {
            Some("feet-inches") => Units::FeetInches,
            _ => Units::Metric,
        });
        let kept = preference("lanewright-language").and_then(|tag| Language::from_tag(&tag));
        let language = RwSignal::new(kept.or_else(language_of_browser).unwrap_or_default());
        let school = Memo::new(move |_| {
            local.with(|local| match local {
                None => School::default(),
                Some(local) => {
                    let ids: Vec<String> = local.records.keys().map(|key| key.id.to_string()).collect();
                    let records = local.records.values().zip(&ids);
                    School::from_records(
                        records.map(|(record, id)| (record.kind.as_str(), id.as_str(), &record.body)),
                        day.get(),
                    )
                }
            })
        });
        let standing = RwSignal::new(
            preference(STANDING).and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default(),
        );
        let helps = Memo::new(move |_| standing.with(Standing::helps));
        let chosen = RwSignal::new(preference("lanewright-class"));
        let class_id = Memo::new(move |_| {
            school.with(|school| {
                chosen
                    .get()
                    .filter(|id| school.classes.contains_key(id))
                    .or_else(|| {
                        // A helper comes for the class whose lanes were given out.
                        let given = school.classes.iter().find(|(_, class)| !class.lane_sheet.is_empty());
                        given.filter(|_| helps.get()).map(|(id, _)| id.clone())
                    })
                    .or_else(|| school.classes.keys().next_back().cloned())
            })
        });
        let class = Memo::new(move |_| {
            let id = class_id.get()?;
            school.with(|school| school.classes.get(&id).cloned())
        });
        let input = Memo::new(move |_| {
            // Without sizes there is no plan to compute; the lanes come from a coach's phone.
            if helps.get() {
                return None;
            }
            let kit = school.with(|school| school.kit.clone()).unwrap_or_default();
            let space = school.with(|school| school.space.clone());
            class.with(|class| {
                let class = class.as_ref()?;
                Some(PlanInput::from_class(class, &kit, space.as_ref(), &LADDER, day.get()))
            })
        });
        let plan = Memo::new(move |_| input.with(|input| input.as_ref().map(plan)));
        let stand = Memo::new(move |_| {
            class.with(|class| {
                class.as_ref().and_then(|class| class.standing.as_ref()).map(|it| it.lanes.clone())
            })
        });
        let laid = Memo::new(move |_| {
            let stands = stand.with(|stand| {
                let stand = stand.as_ref()?;
                input.with(|input| input.as_ref().map(|input| plan_standing(input, &LADDER, stand)))
            });
            stands.filter(Result::is_ok).or_else(|| plan.get())
        });
        let hash = || web_sys::window().and_then(|window| window.location().hash().ok()).unwrap_or_default();
        let app = Self {
            store: StoredValue::new_local(None),
            channel: StoredValue::new_local(None),
            undo: StoredValue::new(UndoStack::default()),
            told: StoredValue::new(0),
            local,
            store_error: RwSignal::new(None),
            no_room: RwSignal::new(false),
            server_ms: StoredValue::new(None),
            today: day,
            school,
            chosen,
            class_id,
            class,
            input,
            plan,
            laid,
            words: Memo::new(move |_| Shared(Arc::new(Words::new(language.get(), units.get())))),
            units,
            language,
            screen: RwSignal::new(
                Screen::from_hash(&hash())
                    .unwrap_or_else(|| if helps.get_untracked() { Screen::Trackside } else { Screen::Class }),
            ),
            sheet: RwSignal::new(None),
            toast: RwSignal::new(None),
            contact: RwSignal::new(Contact::Unknown),
            standing,
            helps,
            sending: RwSignal::new(false),
            update_ready: RwSignal::new(false),
            not_kept: RwSignal::new(None),
        };
        on_window("hashchange", move |_| {
            if let Some(screen) = Screen::from_hash(&hash()) {
                app.leave_note(screen);
                app.screen.set(screen);
            }
        });
        // The page says which language it is in, for voices that read it and for hyphens.
        Effect::new(move |_| {
            let tag = language.get().tag();
            let document = web_sys::window().and_then(|window| window.document());
            if let Some(page) = document.and_then(|document| document.document_element()) {
                let _ = page.set_attribute("lang", tag);
            }
        });
        super::worker::start(app);
        app.open();
        app
    }

    fn open(self) {
        spawn_local(async move {
            let opened = async {
                let store = Store::open().await?;
                let local = store.load().await?;
                Ok::<_, StoreError>((store, local))
            };
            match opened.await {
                Ok((store, local)) => {
                    self.store.set_value(Some(store));
                    self.local.set(Some(local));
                    self.listen_to_other_tabs();
                    sync::start(self);
                }
                Err(error) => self.store_error.set(Some(error.0)),
            }
        });
    }

    fn listen_to_other_tabs(self) {
        let Ok(channel) = web_sys::BroadcastChannel::new("lanewright") else { return };
        let callback =
            Closure::<dyn FnMut(web_sys::MessageEvent)>::new(move |event: web_sys::MessageEvent| {
                let changed = event.data().as_string().as_deref() == Some(CHANGED);
                spawn_local(async move {
                    self.reload().await;
                    if changed {
                        sync::trigger(self);
                    }
                });
            });
        channel.set_onmessage(Some(callback.as_ref().unchecked_ref()));
        callback.forget();
        self.channel.set_value(Some(channel));
    }

    fn tell_other_tabs(self, what: &str) {
        self.channel.with_value(|channel| {
            if let Some(channel) = channel {
                let _ = channel.post_message(&JsValue::from_str(what));
            }
        });
    }

    async fn reload(self) {
        let Some(store) = self.store.get_value() else { return };
        if let Ok(local) = store.load().await {
            self.set_local(local);
        }
    }

    fn set_local(self, local: Local) {
        if self.local.read_untracked().as_ref() != Some(&local) {
            self.local.set(Some(local));
        }
    }

    /// Takes note of a new day, on which everybody counts as present again.
    pub fn look_at_the_day(self) {
        let now = today();
        if self.today.get_untracked() != now {
            self.today.set(now);
        }
    }

    // Saving

    /// Says what was done, with an undo when there is one.
    pub fn tell(self, said: Message, undo: bool, bad: bool) {
        self.toast.set(Some(Toast { said, undo, bad, over: self.sheet.get_untracked() }));
        self.told.update_value(|told| *told += 1);
        if !bad {
            self.note_goes(self.told.get_value());
        }
    }

    /// Takes a note away after a while, unless another one stands there by then; one that somebody is at stays until
    /// nobody is.
    fn note_goes(self, number: u32) {
        let goes = move || {
            if self.told.try_get_value() != Some(number) {
                return;
            }
            let document = web_sys::window().and_then(|window| window.document());
            let held = document.and_then(|document| document.query_selector(HELD).ok().flatten());
            if held.is_some() {
                self.note_goes(number);
            } else {
                self.toast.set(None);
            }
        };
        set_timeout(goes, NOTE_STAYS);
    }

    /// A note is of the screen on which it was said; an error stays until it is closed.
    fn leave_note(self, to: Screen) {
        let stays = self.toast.with_untracked(|toast| toast.as_ref().is_none_or(|toast| toast.bad));
        if self.screen.get_untracked() != to && !stays {
            self.toast.set(None);
        }
    }

    /// Saves changes as one whole; then shows them, says the sentence with an undo, and sends them on.
    pub fn save(self, said: Message, changes: Vec<Change>) {
        spawn_local(async move {
            self.save_now(said, changes).await;
        });
    }

    /// Like [`App::save`]; returns whether it is saved.
    pub async fn save_now(self, said: Message, changes: Vec<Change>) -> bool {
        if changes.is_empty() {
            return true;
        }
        let before = |key: &RecordKey| {
            let local = self.local.read_untracked();
            local.as_ref().and_then(|local| local.records.get(key)).map(|record| record.body.clone())
        };
        let befores: Vec<_> = changes.iter().map(|change| before(&change.key)).collect();
        match self.write(&changes).await {
            Ok(written) => {
                self.undo.update_value(|undo| {
                    undo.push(said.clone(), &written, |key| {
                        let place = written.iter().position(|record| record.key() == *key);
                        place.and_then(|place| befores[place].clone())
                    });
                });
                self.tell(said, true, false);
                self.ask_to_keep();
                true
            }
            Err(error) => {
                self.tell(error.said(), false, true);
                false
            }
        }
    }

    /// Saves what no person asked for, such as a comparison of clocks: without a sentence, and no undo takes it back.
    /// Returns whether it is saved.
    pub async fn note(self, changes: Vec<Change>) -> bool {
        self.write(&changes).await.is_ok()
    }

    /// Takes note of whether there was room for a change.
    fn look_at_room<T>(self, done: Result<T, StoreError>) -> Result<T, StoreError> {
        let no_room = done.as_ref().is_err_and(StoreError::is_no_room);
        if (no_room || done.is_ok()) && self.no_room.get_untracked() != no_room {
            self.no_room.set(no_room);
        }
        done
    }

    async fn write(self, changes: &[Change]) -> Result<Vec<Record>, StoreError> {
        let store = self.store.get_value().ok_or_else(|| StoreError("no storage".into()))?;
        let (device, written, purge) = self.look_at_room(store.write(changes, now_ms()).await)?;
        self.local.update(|local| {
            let Some(local) = local else { return };
            local.device = device;
            for record in &written {
                local.outbox.insert(record.key(), Waiting::of(record));
                local.records.insert(record.key(), record.clone());
            }
            take_away(local, &purge);
        });
        self.forget(&purge);
        self.tell_other_tabs(CHANGED);
        sync::trigger(self);
        Ok(written)
    }

    /// After something was erased, nothing may remember what stood there: not the undo, and not the lesson or the
    /// bout that is kept for a reload.
    fn forget(self, purge: &Purge) {
        if !purge.is_empty() {
            self.undo.set_value(UndoStack::default());
            keep_preference("lanewright-lesson-running", "");
            keep_preference("lanewright-marks", "");
            keep_preference("lanewright-bout-over", "");
        }
    }

    /// Finds what goes with a child or a class on this device.
    pub fn going(self, target: &Target) -> Going {
        let local = self.local.read_untracked();
        erase::going(local.iter().flat_map(|local| local.records.values()), target)
    }

    /// Erases, here and now; every other place hears of it with the next exchange.
    pub fn erase(self, target: Target) {
        self.erase_all(self.going(&target));
    }

    /// Like [`App::erase`], for what was found before.
    pub fn erase_all(self, going: Going) {
        spawn_local(async move {
            let said = match self.write(&erase::changes(&going)).await {
                Ok(_) => Message::new("data-said-erased")
                    .with("count", lanewright_model::Arg::Count(going.total() as i64)),
                Err(error) => return self.tell(error.said(), false, true),
            };
            self.tell(said, false, false);
        });
    }

    /// Takes the latest change of a room back.
    pub fn undo(self, room: Room) {
        let current = |key: &RecordKey| {
            let local = self.local.read_untracked();
            local.as_ref().and_then(|local| local.records.get(key)).map(|record| record.stamp)
        };
        let mut step = None;
        self.undo.update_value(|undo| step = undo.undo(room, current));
        let Some(step) = step else {
            self.toast.set(None);
            return;
        };
        let Ok((step, changes)) = step else {
            let said = Message::new("app-undo-changed-since");
            self.tell(said, self.goes_on(room), true);
            return;
        };
        spawn_local(async move {
            match self.write(&changes).await {
                Ok(written) => {
                    self.undo.update_value(|undo| undo.rebase(&written));
                    let said = Message::new("app-undone")
                        .with("what", lanewright_model::Arg::Say(Box::new(step.said)));
                    self.tell(said, self.goes_on(room), false);
                }
                Err(error) => self.tell(error.said(), false, true),
            }
        });
    }

    /// Returns whether there is something to take back in a room.
    pub fn can_undo(self, room: Room) -> bool {
        self.undo.with_value(|undo| undo.latest(room).is_some())
    }

    /// Returns whether what says that something was taken back may offer to go on: beside the lane the large button
    /// does that.
    fn goes_on(self, room: Room) -> bool {
        room == Room::Anywhere && self.undo.with_value(UndoStack::goes_on)
    }

    /// Asks the browser once not to throw the data away; the answer shows on the data sheet.
    fn ask_to_keep(self) {
        if preference("lanewright-kept").is_some() {
            return;
        }
        spawn_local(async move {
            let Some(window) = web_sys::window() else { return };
            let navigator = window.navigator();
            let has = js_sys::Reflect::get(&navigator, &"storage".into()).is_ok_and(|it| !it.is_undefined());
            if !has {
                return;
            }
            if let Ok(asked) = navigator.storage().persist()
                && let Ok(kept) = wasm_bindgen_futures::JsFuture::from(asked).await
            {
                keep_preference("lanewright-kept", if kept.is_truthy() { "yes" } else { "no" });
            }
        });
    }

    // What the exchange with the server needs

    /// Takes note of what this device may do.
    pub fn take_standing(self, standing: Standing) {
        if self.standing.with_untracked(|before| *before == standing) {
            return;
        }
        if let Ok(text) = serde_json::to_string(&standing) {
            keep_preference(STANDING, &text);
        }
        if standing.helps() && !self.helps.get_untracked() {
            self.go(Screen::Trackside);
        }
        self.standing.set(standing);
    }

    /// Takes note of where the server stands; sends everything again if it has lost something.
    pub async fn stand(self, at: Option<Place>, known: bool) -> Result<(), StoreError> {
        let before = self.local.read_untracked().as_ref().map(|local| local.device.at);
        if before == Some(at) && known {
            return Ok(());
        }
        let store = self.store.get_value().ok_or_else(|| StoreError("no storage".into()))?;
        self.look_at_room(store.stand(at, known, self.helps.get_untracked()).await)?;
        self.reload().await;
        Ok(())
    }

    /// Takes on the server's school; `false`: this device belongs to another one.
    pub async fn adopt(self, school: SchoolId) -> Result<bool, StoreError> {
        let before = {
            let local = self.local.read_untracked();
            local.as_ref().map(|local| (local.device.school, local.device.provisional))
        };
        if before == Some((school, false)) {
            return Ok(true);
        }
        let store = self.store.get_value().ok_or_else(|| StoreError("no storage".into()))?;
        match store.adopt(school).await? {
            Err(_) => Ok(false),
            Ok(changed) => {
                if let Some((before, _)) = before {
                    self.undo.update_value(|undo| undo.adopt(before, school));
                }
                self.reload().await;
                if changed {
                    self.tell_other_tabs(CHANGED);
                }
                Ok(true)
            }
        }
    }

    /// Notes what the server proved and refused; returns how many entries that settles.
    pub async fn settle(self, answer: &PushAnswer) -> Result<usize, StoreError> {
        let store = self.store.get_value().ok_or_else(|| StoreError("no storage".into()))?;
        let waiting = |local: &Option<Local>| {
            local
                .as_ref()
                .map_or(0, |local| local.outbox.values().filter(|entry| entry.refused.is_none()).count())
        };
        let before = waiting(&self.local.read_untracked());
        self.server_ms.set_value(Some(answer.now_ms));
        let (device, outbox) = self.look_at_room(store.settle(answer).await)?;
        self.local.update(|local| {
            if let Some(local) = local {
                local.device = device;
                local.outbox = outbox;
            }
        });
        let after = waiting(&self.local.read_untracked());
        self.tell_other_tabs(SETTLED);
        Ok(before.saturating_sub(after))
    }

    /// Takes in records from the server.
    pub async fn absorb(self, answer: &PullAnswer) -> Result<(), StoreError> {
        let PullAnswer { records, cursor, .. } = answer;
        let store = self.store.get_value().ok_or_else(|| StoreError("no storage".into()))?;
        let unchanged = self.local.read_untracked().as_ref().is_some_and(|local| {
            local.device.cursor == *cursor && local.device.at == answer.at && records.is_empty()
        });
        if unchanged {
            return Ok(());
        }
        let taken = self.look_at_room(store.absorb(answer).await)?;
        self.local.update(|local| {
            let Some(local) = local else { return };
            local.device = taken.device;
            for key in &taken.proven {
                local.outbox.remove(key);
            }
            for record in taken.replaced {
                local.records.insert(record.key(), record);
            }
            for record in &taken.said_again {
                local.outbox.insert(record.key(), Waiting::of(record));
                local.records.insert(record.key(), record.clone());
            }
            take_away(local, &taken.purge);
        });
        self.forget(&taken.purge);
        if !taken.said_again.is_empty() {
            self.undo.update_value(|undo| undo.rebase(&taken.said_again));
            sync::trigger(self);
        }
        self.tell_other_tabs(SETTLED);
        Ok(())
    }

    /// Sends refused writes once more. Those that lay too far ahead go with the server's time instead of the clock that
    /// was wrong.
    pub fn retry_refused(self) {
        spawn_local(async move {
            if self.send_refused_again().await {
                sync::trigger(self);
            }
        });
    }

    /// Makes refused writes ready to be sent again; returns whether that is done.
    pub async fn send_refused_again(self) -> bool {
        let Some(store) = self.store.get_value() else { return false };
        let Ok(anew) = self.look_at_room(store.retry_refused(self.server_ms.get_value()).await) else {
            return false;
        };
        self.undo.update_value(|undo| undo.rebase(&anew));
        self.reload().await;
        self.tell_other_tabs(CHANGED);
        true
    }

    /// Returns whether writes were refused as lying ahead although this device's clock agrees with the server's by now:
    /// it was put right, and only the stamps still follow the wrong time.
    pub fn clock_was_put_right(self) -> bool {
        let Some(server_ms) = self.server_ms.get_value() else { return false };
        let refused = self.local.with_untracked(|local| {
            let ahead = |entry: &Waiting| entry.refused == Some(RefusalReason::ClockAhead);
            local.as_ref().is_some_and(|local| local.outbox.values().any(ahead))
        });
        refused && now_ms() <= server_ms.saturating_add(STAMP_AHEAD_MAX_MS)
    }

    /// Returns how many writes wait to be sent.
    pub fn waiting_count(self) -> usize {
        self.local.with_untracked(|local| local.as_ref().map_or(0, |local| local.outbox.len()))
    }

    // Words

    /// Returns the words of a message; follows the language and the units.
    pub fn say(self, message: &Message) -> String {
        // A child's name that runs from right to left keeps its place in the sentence.
        hold_together(&set_apart(&self.with_words(|words| words.say(message))))
    }

    /// Shows a day as the language writes it, with its year when that is not this one.
    pub fn day(self, day: jiff::civil::Date) -> String {
        let with_year = day.year() != self.today.get_untracked().year();
        self.with_words(|words| words.day(day, with_year))
    }

    /// Shows a day with its year.
    pub fn full_day(self, day: jiff::civil::Date) -> String {
        self.with_words(|words| words.day(day, true))
    }

    /// Follows the language and the units where something can follow; what a tap says is said once.
    fn with_words<T>(self, say: impl FnOnce(&Words) -> T) -> T {
        if leptos::reactive::graph::Observer::get().is_some() {
            self.words.with(|words| say(&words.0))
        } else {
            self.words.with_untracked(|words| say(&words.0))
        }
    }

    /// Returns the words of an id.
    pub fn get(self, id: &str) -> String {
        self.with_words(|words| words.get(id))
    }

    /// Shows one value.
    pub fn show(self, arg: lanewright_model::Arg) -> String {
        self.with_words(|words| words.show(&arg))
    }

    /// Shows a length of a body: `145 cm`, or `4 ft 9 in`.
    pub fn show_body(self, length_cm: f64) -> String {
        self.show(match self.units.get() {
            Units::Metric => lanewright_model::Arg::HeightCm(length_cm),
            Units::FeetInches => lanewright_model::Arg::GapM(length_cm / 100.0),
        })
    }

    /// Chooses how lengths are shown.
    pub fn choose_units(self, units: Units) {
        keep_preference(
            "lanewright-units",
            match units {
                Units::Metric => "metric",
                Units::FeetInches => "feet-inches",
            },
        );
        self.units.set(units);
    }

    /// Chooses the language of the words, for this browser.
    pub fn choose_language(self, language: Language) {
        keep_preference("lanewright-language", language.tag());
        self.language.set(language);
    }

    // Going places

    /// Goes to a screen.
    pub fn go(self, screen: Screen) {
        self.sheet.set(None);
        self.leave_note(screen);
        if let Some(window) = web_sys::window() {
            let _ = window.location().set_hash(&format!("/{}", screen.slug()));
            window.scroll_to_with_x_and_y(0.0, 0.0);
        }
        self.screen.set(screen);
    }

    /// Shows a class.
    pub fn choose_class(self, id: &str) {
        keep_preference("lanewright-class", id);
        self.chosen.set(Some(id.to_owned()));
    }

    // Reading

    /// Returns the kit: what was entered, else the usual bag.
    pub fn kit(self) -> Kit {
        self.school.with(|school| school.kit.clone()).unwrap_or_default()
    }

    /// Returns the floor, when one was entered.
    pub fn space(self) -> Option<Space> {
        self.school.with(|school| school.space.clone())
    }

    /// Returns one child of the class that is shown.
    pub fn runner(self, id: &str) -> Option<RunnerView> {
        self.class.with(|class| class.as_ref()?.runners.iter().find(|view| view.runner.id.0 == id).cloned())
    }

    /// Like [`App::runner`], without following changes.
    pub fn runner_now(self, id: &str) -> Option<RunnerView> {
        untrack(|| self.runner(id))
    }

    /// Returns a change of one fact on top of what is stored.
    pub fn change(self, id: &str, body: &Body) -> Option<Change> {
        let id: Uuid = id.parse().ok()?;
        let key = RecordKey { kind: body.kind().to_owned(), id };
        let local = self.local.read_untracked();
        Some(Change::over(local.as_ref()?.records.get(&key), id, body))
    }

    /// Returns a change of the school's kit or floor.
    pub fn school_change(self, body: &Body) -> Option<Change> {
        let school = self.local.read_untracked().as_ref()?.device.school;
        self.change(&school.0.to_string(), body)
    }

    /// Returns the body that is stored for a fact.
    pub fn stored(self, kind: &str, id: &str) -> Option<Body> {
        let key = RecordKey { kind: kind.to_owned(), id: id.parse().ok()? };
        let local = self.local.read_untracked();
        Body::from_value(kind, &local.as_ref()?.records.get(&key)?.body).ok()?
    }
}

/// Takes away what an erasure took.
fn take_away(local: &mut Local, purge: &Purge) {
    for key in &purge.gone {
        local.records.remove(key);
        local.outbox.remove(key);
    }
    for record in &purge.changed {
        if let Some(waiting) = local.outbox.get_mut(&record.key()) {
            *waiting = Waiting::of(record);
        }
        local.records.insert(record.key(), record.clone());
    }
}

/// Returns a new id; ids sort by the time they were made.
pub fn new_id() -> String {
    Uuid::now_v7().to_string()
}
