//! The worker beside the page that plans lessons and learns what is typical of a class.

use super::beside::Beside;
use crate::logic::beside::{Question, Told};

/// What the planner says.
pub enum News {
    /// Something that the worker tells.
    Told(Told),
    /// The worker is not to be had: no file, no memory, another version.
    Broken,
}

/// Asks one question after the other; a newer one puts an end to the older.
#[derive(Clone)]
pub struct Planner(Beside);

impl Default for Planner {
    fn default() -> Self {
        Self(Beside::new("lanewrightPlanner"))
    }
}

impl Planner {
    /// Starts the worker before it is needed.
    pub fn warm_up(&self) {
        self.0.warm_up();
    }

    /// Asks; `hear` is called with everything that is told until the next question.
    pub fn ask(&self, asked: &Question, hear: impl Fn(News) + 'static) {
        let text = serde_json::to_string(asked).unwrap_or_default();
        let ending = asked.ending();
        let hear = move |told: Option<Told>| hear(told.map_or(News::Broken, News::Told));
        self.0.ask(&[("asked", text.into())], move |told| ending.is(told), hear);
    }

    /// Ends the work on a question that nobody asks any more.
    pub fn stop(&self) {
        self.0.stop();
    }
}
