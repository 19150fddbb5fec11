//! The normal distribution from `libm`.

/// Half width of a 90 % interval in standard deviations: Φ⁻¹(0.95).
pub const Z_95: f64 = 1.644_853_626_951_472_7;

/// Returns the density φ(x).
pub fn pdf(x: f64) -> f64 {
    const INV_SQRT_TAU: f64 = 0.398_942_280_401_432_7;
    INV_SQRT_TAU * libm::exp(-0.5 * x * x)
}

/// Returns the distribution function Φ(x), accurate in both tails.
pub fn cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}
