//! The two-state chain along a lane: technique is sound or has broken down, and knocks come mostly from the latter.

use lanewright_model::run::HurdleSet;

/// Chances of one child at one drill, from hurdle to hurdle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// Chance that sound technique breaks down before a hurdle, 0 to 1. The run starts sound before the first.
    pub break_p: f64,
    /// Chance that broken technique is still broken at the next hurdle, 0 to 1.
    pub stay_p: f64,
    /// Chance of a knock while sound, 0 to 1.
    pub knock_sound_p: f64,
    /// Chance of a knock while broken down, 0 to 1.
    pub knock_broken_p: f64,
}

impl Chain {
    /// Returns the probability of what one run showed. Hurdles in `down` lay on the floor and say nothing.
    ///
    /// # Formula
    /// Forward algorithm over the states sound and broken; the probability stays far above the smallest `f64` for
    /// the at most 64 hurdles of a lane, so no scaling is needed.
    pub fn likelihood(&self, hurdles: u32, knocked: HurdleSet, down: HurdleSet) -> f64 {
        let (mut sound, mut broken) = (1.0, 0.0);
        for number in 1..=hurdles {
            (sound, broken) = self.step(sound, broken);
            if !down.contains(number) {
                if knocked.contains(number) {
                    sound *= self.knock_sound_p;
                    broken *= self.knock_broken_p;
                } else {
                    sound *= 1.0 - self.knock_sound_p;
                    broken *= 1.0 - self.knock_broken_p;
                }
            }
        }
        sound + broken
    }

    /// Returns the clean rate: the expected share of `hurdles` standing hurdles that still stand after a run.
    pub fn clean_rate(&self, hurdles: u32) -> f64 {
        let (mut sound, mut broken, mut standing) = (1.0, 0.0, 0.0);
        for _ in 0..hurdles {
            (sound, broken) = self.step(sound, broken);
            standing += sound * (1.0 - self.knock_sound_p) + broken * (1.0 - self.knock_broken_p);
        }
        standing / f64::from(hurdles)
    }

    /// Returns the probability that nothing falls over `hurdles` hurdles.
    pub fn all_stand(&self, hurdles: u32) -> f64 {
        self.likelihood(hurdles, HurdleSet::default(), HurdleSet::default())
    }

    fn step(&self, sound: f64, broken: f64) -> (f64, f64) {
        (
            sound * (1.0 - self.break_p) + broken * (1.0 - self.stay_p),
            sound * self.break_p + broken * self.stay_p,
        )
    }
}
