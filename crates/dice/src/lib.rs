//! Seeded random numbers for tests, simulations and measurements: a seed plays the same on every machine. Nothing that
//! ships uses them.

use std::f64::consts::TAU;

use uuid::Uuid;

/// SplitMix64 (Steele, Lea & Flood 2014). The number is the seed, and moves on.
#[derive(Debug, Clone)]
pub struct Dice(pub u64);

impl Dice {
    /// 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^ (bits >> 31)
    }

    /// One of 0 to `count` − 1; 0 when there is nothing to choose from.
    pub fn below(&mut self, count: usize) -> usize {
        (self.bits() % count.max(1) as u64) as usize
    }

    /// True in `percent` of all cases.
    pub fn percent(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// At least 0, less than 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// True with this probability, 0 to 1.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// At least `low`, less than `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Standard normal (Box & Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (radius, turn) = (self.share().max(1e-300), self.share());
        (-2.0 * libm::log(radius)).sqrt() * libm::cos(TAU * turn)
    }

    /// Roughly normal, mean 0, standard deviation 1, never beyond 6: the sum of twelve shares.
    pub fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }

    /// A random id (version 4).
    pub fn uuid(&mut self) -> Uuid {
        let bytes = Uuid::from_u64_pair(self.bits(), self.bits()).into_bytes();
        uuid::Builder::from_random_bytes(bytes).into_uuid()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers of seed 1234567, as they are commonly printed for this generator (from memory).
    #[test]
    fn the_numbers_are_those_of_splitmix64() {
        let mut dice = Dice(1_234_567);
        let first: Vec<u64> = (0..3).map(|_| dice.bits()).collect();
        assert_eq!(first, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn shares_and_normals_have_the_mean_and_spread_that_they_promise() {
        let mut dice = Dice(1);
        let spread = |numbers: &[f64]| {
            let mean = numbers.iter().sum::<f64>() / numbers.len() as f64;
            let square = numbers.iter().map(|one| (one - mean).powi(2)).sum::<f64>() / numbers.len() as f64;
            (mean, square.sqrt())
        };
        let shares: Vec<f64> = (0..40_000).map(|_| dice.share()).collect();
        assert!(shares.iter().all(|share| (0.0..1.0).contains(share)));
        let (mean, sd) = spread(&shares);
        assert!((mean - 0.5).abs() < 0.01 && (sd - (1.0f64 / 12.0).sqrt()).abs() < 0.01, "{mean} {sd}");
        let normals: Vec<f64> = (0..40_000).map(|_| dice.normal()).collect();
        let bells: Vec<f64> = (0..40_000).map(|_| dice.bell()).collect();
        for numbers in [normals, bells] {
            let (mean, sd) = spread(&numbers);
            assert!(mean.abs() < 0.03 && (sd - 1.0).abs() < 0.03, "{mean} {sd}");
        }
    }
}
