//! Seeded random numbers: for simulations whose seed is an argument, and for tests.

use crate::normal;

/// Splitmix64 (Steele, Lea & Flood 2014): small, and the same numbers everywhere.
pub(crate) struct Seeded(pub u64);

impl Seeded {
    /// Uniform in (0, 1).
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^= bits >> 31;
        ((bits >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Standard normal.
    pub fn normal(&mut self) -> f64 {
        normal::quantile(self.uniform())
    }

    /// One of 0 to `count` − 1.
    #[cfg(test)]
    pub fn below(&mut self, count: usize) -> usize {
        ((self.uniform() * count as f64) as usize).min(count - 1)
    }
}
