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

/// What a two-state chain says about each place, and how probable the whole is.
#[derive(Debug, Clone, PartialEq)]
pub struct States {
    /// Natural logarithm of the probability of everything observed.
    pub log_likelihood: f64,
    /// Probability of the second state at each place, from what was observed up to there.
    pub filtered: Vec<f64>,
    /// The same from all that was observed.
    pub smoothed: Vec<f64>,
}

/// Runs the scaled forward-backward recursion for two states (first: sound, second: broken down).
///
/// `start` holds the chances of the states at the first place, `change[from][to]` those of a step, `seen[k]` the
/// probability of what was observed at place k in each state (1, 1 where nothing was observed).
pub fn states(start: [f64; 2], change: [[f64; 2]; 2], seen: &[[f64; 2]]) -> States {
    let mut forward: Vec<[f64; 2]> = Vec::with_capacity(seen.len());
    let mut scales = Vec::with_capacity(seen.len());
    for (place, observed) in seen.iter().enumerate() {
        let before = match place.checked_sub(1) {
            None => start,
            Some(last) => {
                let [sound, broken] = forward[last];
                [0, 1].map(|to| sound * change[0][to] + broken * change[1][to])
            }
        };
        let joint = [before[0] * observed[0], before[1] * observed[1]];
        let scale = joint[0] + joint[1];
        scales.push(scale);
        forward.push(joint.map(|value| value / scale));
    }
    let mut backward = [1.0, 1.0];
    let mut smoothed = vec![0.0; seen.len()];
    for place in (0..seen.len()).rev() {
        let joint = [forward[place][0] * backward[0], forward[place][1] * backward[1]];
        smoothed[place] = joint[1] / (joint[0] + joint[1]);
        let next = seen[place];
        backward = [0, 1].map(|from| {
            (0..2).map(|to| change[from][to] * next[to] * backward[to]).sum::<f64>() / scales[place]
        });
    }
    States {
        log_likelihood: scales.iter().map(|scale| libm::log(*scale)).sum(),
        filtered: forward.iter().map(|state| state[1]).collect(),
        smoothed,
    }
}

/// From this smoothed probability on, a hurdle counts as one where the line was broken (engineering assumption).
pub const BROKEN_P: f64 = 0.8;

impl Chain {
    /// Returns the hurdles, counted from 1, at which technique had most probably broken down: two or more in a row
    /// with a probability of at least [`BROKEN_P`].
    pub fn broken_at(&self, hurdles: u32, knocked: HurdleSet, down: HurdleSet) -> Vec<u32> {
        let seen: Vec<[f64; 2]> = (1..=hurdles)
            .map(|number| {
                if down.contains(number) {
                    [1.0, 1.0]
                } else if knocked.contains(number) {
                    [self.knock_sound_p, self.knock_broken_p]
                } else {
                    [1.0 - self.knock_sound_p, 1.0 - self.knock_broken_p]
                }
            })
            .collect();
        let change = [[1.0 - self.break_p, self.break_p], [1.0 - self.stay_p, self.stay_p]];
        let smoothed = states([1.0 - self.break_p, self.break_p], change, &seen).smoothed;
        let high =
            |number: u32| number >= 1 && number <= hurdles && smoothed[number as usize - 1] >= BROKEN_P;
        (1..=hurdles).filter(|number| high(*number) && (high(number - 1) || high(number + 1))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHAIN: Chain = Chain { break_p: 0.07, stay_p: 0.7, knock_sound_p: 0.03, knock_broken_p: 0.6 };

    #[test]
    fn probabilities_of_all_patterns_add_up_to_one() {
        let sum: f64 = (0..256).map(|bits| CHAIN.likelihood(8, HurdleSet(bits), HurdleSet::default())).sum();
        assert!((sum - 1.0).abs() < 1e-12);
    }

    #[test]
    fn clean_rate_is_the_mean_share_standing_over_all_patterns() {
        let mean: f64 = (0..256u64)
            .map(|bits| {
                let standing = f64::from(8 - bits.count_ones()) / 8.0;
                standing * CHAIN.likelihood(8, HurdleSet(bits), HurdleSet::default())
            })
            .sum();
        assert!((mean - CHAIN.clean_rate(8)).abs() < 1e-12);
    }

    #[test]
    fn a_hurdle_that_lay_down_is_no_evidence() {
        let down = HurdleSet::from_numbers(&[3], 8).unwrap();
        let knocked = HurdleSet::from_numbers(&[5], 8).unwrap();
        let both = CHAIN.likelihood(8, knocked, HurdleSet::default())
            + CHAIN.likelihood(8, HurdleSet(knocked.0 | down.0), HurdleSet::default());
        assert!((CHAIN.likelihood(8, knocked, down) - both).abs() < 1e-15);
    }

    #[test]
    fn a_row_of_falls_is_a_broken_line_and_a_single_knock_is_not() {
        let set = |numbers: &[u32]| HurdleSet::from_numbers(numbers, 8).unwrap();
        assert_eq!(CHAIN.broken_at(8, set(&[6, 7, 8]), HurdleSet::default()), vec![6, 7, 8]);
        assert!(CHAIN.broken_at(8, set(&[4]), HurdleSet::default()).is_empty());
    }
}
