//! What is typical of the class is learned beside the page, in a pause, ahead of any question: then the sentence after
//! a run, the findings and the first plan of a lesson need not wait for it.

use std::time::Duration;

use jiff::Timestamp;
use lanewright_model::Message;
use lanewright_model::run::Observation;
use lanewright_science::decide::{ClassModel, Known, Options};
use leptos::prelude::*;

use super::app::{App, LADDER};
use super::planner::{News, Planner};
use super::{now_ms, on_document};
use crate::logic::beside::{Question, Told};

/// A class that nothing was learned of is learned as soon as the page is drawn.
const AT_ONCE: Duration = Duration::from_millis(200);
/// What came in since is learned when nobody has tapped for so long …
const PAUSE: Duration = Duration::from_secs(2);
/// … or when there are so many new observations, whether somebody taps or not.
const EVERY_OBSERVATIONS: usize = 20;

/// What was learned, and from what.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// Which class.
    pub class: String,
    /// The observations it was learned from.
    pub from: Vec<Observation>,
    /// What is typical of the class.
    pub known: Known,
}

/// See the top of this file.
#[derive(Clone, Copy)]
pub struct Learner {
    app: App,
    /// What was learned last.
    pub now: RwSignal<Option<Learned>>,
    /// What stands out of today's hurdles and lanes, and of which class.
    pub lanes: RwSignal<(String, Vec<Message>)>,
    /// The observations from which that was asked last.
    lanes_from: StoredValue<Option<Vec<Observation>>>,
    planner: StoredValue<Planner, LocalStorage>,
    tapped_ms: StoredValue<u64>,
    waiting: StoredValue<bool>,
}

/// Returns what the page has learned.
pub fn learner() -> Learner {
    expect_context::<Learner>()
}

/// Begins to learn whenever the class that is shown has something new.
pub fn provide(app: App) {
    let own = Learner {
        app,
        now: RwSignal::new(None),
        lanes: RwSignal::new(Default::default()),
        lanes_from: StoredValue::new(None),
        planner: StoredValue::new_local(Planner::default()),
        tapped_ms: StoredValue::new(0),
        waiting: StoredValue::new(false),
    };
    provide_context(own);
    for tap in ["pointerdown", "keydown"] {
        on_document(tap, move |_| own.tapped_ms.set_value(now_ms()));
    }
    Effect::new(move |_| {
        if app.class.with(Option::is_some) {
            own.later(AT_ONCE);
        }
    });
}

impl Learner {
    /// Returns what is known, if it was learned from just these observations.
    pub fn known(self, seen: &[Observation]) -> Option<Known> {
        self.now.with_untracked(|learned| {
            let learned = learned.as_ref()?;
            (learned.from == seen).then(|| learned.known.clone())
        })
    }

    /// Takes in what was learned elsewhere.
    pub fn learned(self, from: Vec<Observation>, known: Known) {
        if let Some(class) = self.app.class_id.get_untracked() {
            self.now.set(Some(Learned { class, from, known }));
        }
    }

    fn later(self, after: Duration) {
        if self.waiting.get_value() {
            return;
        }
        self.waiting.set_value(true);
        set_timeout(
            move || {
                self.waiting.set_value(false);
                self.learn();
            },
            after,
        );
    }

    /// Learns, unless everything is known or somebody is tapping.
    fn learn(self) {
        let Some(class) = self.app.class_id.get_untracked() else { return };
        let seen = self.app.class.with_untracked(|class| class.as_ref().map(|class| class.observations()));
        let Some(seen) = seen else { return };
        // How many observations are new; `None`: nothing was learned of this class.
        let new = self.now.with_untracked(|learned| {
            let learned = learned.as_ref().filter(|learned| learned.class == class)?;
            Some((learned.from != seen).then(|| seen.len().abs_diff(learned.from.len())))
        });
        let paused = now_ms().saturating_sub(self.tapped_ms.get_value()) + 100 >= PAUSE.as_millis() as u64;
        match new {
            // What is still being learned is of another class, or of what was taken back.
            None if seen.is_empty() => return self.stop(),
            Some(None) => return self.look_at_lanes(class, seen),
            Some(Some(new)) if !paused && new < EVERY_OBSERVATIONS => return self.later(PAUSE),
            None | Some(Some(_)) => {}
        }
        self.lanes_from.set_value(None);
        let now = Timestamp::from_millisecond(now_ms() as i64).unwrap_or(Timestamp::UNIX_EPOCH);
        let question = Question::Learn { history: seen.clone(), now };
        self.planner.with_value(Clone::clone).ask(&question, move |news| {
            let known = match news {
                News::Told(Told::Learned(known)) => *known,
                News::Told(_) => return,
                // Without a worker the page learns by itself.
                News::Broken => {
                    ClassModel::learn(&seen, &LADDER, &Options { now, losses: Default::default() }).known()
                }
            };
            self.now.set(Some(Learned { class: class.clone(), from: seen.clone(), known }));
            self.look_at_lanes(class.clone(), seen.clone());
        });
    }

    /// Ends what is asked: nobody wants it any more.
    fn stop(self) {
        self.lanes_from.set_value(None);
        self.lanes.set(Default::default());
        self.planner.with_value(Planner::stop);
    }

    /// Asks which hurdles and lanes stand out, once for the same observations.
    fn look_at_lanes(self, class: String, seen: Vec<Observation>) {
        if self.lanes_from.with_value(|from| from.as_ref() == Some(&seen)) {
            return;
        }
        self.lanes_from.set_value(Some(seen.clone()));
        let question = Question::Lanes { history: seen };
        self.planner.with_value(Clone::clone).ask(&question, move |news| {
            // Without a worker it stands among the findings, where it is computed on the page.
            if let News::Told(Told::Lanes(said)) = news {
                self.lanes.set((class.clone(), said));
            }
        });
    }
}
