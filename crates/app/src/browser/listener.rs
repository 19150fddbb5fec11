//! The worker beside the page that listens to a take.

use js_sys::Float32Array;
use lanewright_listen::Findings;

use super::beside::Beside;
use crate::logic::sound::Asked;

/// Asks one question after the other; a newer one puts an end to the older.
#[derive(Clone)]
pub struct Listener(Beside);

impl Default for Listener {
    fn default() -> Self {
        Self(Beside::new("lanewrightListener"))
    }
}

impl Listener {
    /// Starts the worker before it is needed.
    pub fn warm_up(&self) {
        self.0.warm_up();
    }

    /// Asks; `hear` is called once with the answer, or with nothing when the worker is not to be had. It is never
    /// called when a newer question came first.
    pub fn ask(
        &self,
        samples: &[f32],
        rate_hz: u32,
        asked: &Asked,
        hear: impl Fn(Option<Findings>) + 'static,
    ) {
        let text = serde_json::to_string(asked).unwrap_or_default();
        let parts = [
            ("samples", Float32Array::from(samples).into()),
            ("rate", rate_hz.into()),
            ("asked", text.into()),
        ];
        self.0.ask(&parts, |_| true, hear);
    }

    /// Ends the work on a question that nobody asks any more.
    pub fn stop(&self) {
        self.0.stop();
    }
}
