//! The sound of a run: samples in, findings out.
//!
//! [`Listener`] takes samples as they come, at any rate, keeps energies and forgets the samples; [`Listener::finish`]
//! says what was heard. No file is read here and none is decoded: the same code runs on a phone and on a server. How it
//! works and how well: `docs/methods/listen.md`.

pub mod analyse;
pub mod candidates;
pub mod fft;
pub mod findings;
pub mod front;
pub mod refine;
pub mod related;
pub mod rhythm;
pub mod said;
pub mod turns;
pub mod weights;

pub use analyse::Contact;
pub use findings::{Brake, Evenness, Findings, Gap, Knock, Lane, Range, Reason};
pub use turns::{NoTurns, Own, Stop, Turn, Turns};

/// Listens to one take.
#[derive(Debug, Clone)]
pub struct Listener {
    front: front::Front,
    mixed: Vec<f32>,
}

impl Listener {
    /// For samples at `rate_hz`; rates below 1,000 or above 768,000 are taken as those.
    #[must_use]
    pub fn new(rate_hz: u32) -> Self {
        Self { front: front::Front::new(rate_hz), mixed: Vec::new() }
    }

    /// The next samples of one channel, full scale 1.
    pub fn push(&mut self, samples: &[f32]) {
        self.front.push(samples);
    }

    /// The next samples of several channels, one after the other within a frame; they are averaged. An incomplete frame
    /// at the end is dropped.
    pub fn push_interleaved(&mut self, samples: &[f32], channels: usize) {
        let channels = channels.max(1);
        let mut mixed = std::mem::take(&mut self.mixed);
        mixed.clear();
        mixed.extend(samples.chunks_exact(channels).map(|frame| frame.iter().sum::<f32>() / channels as f32));
        self.front.push(&mixed);
        self.mixed = mixed;
    }

    /// Seconds heard so far; stops growing at [`front::LONGEST_TAKE_S`].
    #[must_use]
    pub fn heard_s(&self) -> f64 {
        self.front.heard_s()
    }

    /// Whether more was offered than a take may be long: what comes now is not listened to.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.front.is_full()
    }

    /// Ends the take. `lane` says how the hurdles stood, where that is known.
    #[must_use]
    pub fn finish(self, lane: Option<&Lane>) -> Findings {
        findings::findings(&self.front.finish(), lane)
    }

    /// Ends the take of a bout with turns. `own` says what the device itself called and sounded in it.
    #[must_use]
    pub fn finish_bout(self, own: &Own) -> Findings {
        findings::bout(self.front.finish(), own)
    }
}
