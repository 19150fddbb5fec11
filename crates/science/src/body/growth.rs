//! Growth between two measurements, said plainly. A prompt for the teacher, never a diagnosis.

use jiff::civil::Date;
use lanewright_model::words::{Arg, Message};
use lanewright_model::{Estimate, Runner, Sex};

use super::age::{AgeNow, DAYS_PER_YEAR, days_between};
use super::{METHOD, STATURE_RANGE_CM};
use crate::normal;

/// Spread of one stature reading with a fixed scale, in centimetres. Engineering assumption.
pub const READING_SD_CM: f64 = 0.5;

/// Shortest time between two readings that says anything about growth, in days: four months. At three months the
/// reading error alone is 2.8 cm a year.
pub const SHORTEST_INTERVAL_DAYS: f64 = 120.0;

/// Growth from which a girl is probably in her growth spurt, in centimetres a year. On 68 girls of the Berkeley
/// Growth Study aged 10 to 15.5 with reading noise this catches .76 of those within a year of their fastest growth
/// and lets .83 of the others pass.
pub const FAST_GIRLS_CM_PER_Y: f64 = 6.0;

/// The same for boys (65 boys: .71 caught, .86 let pass), and for children whose sex is not given.
pub const FAST_BOYS_CM_PER_Y: f64 = 7.0;

/// Ages at which the rule is applied, in years: younger children grow 6 cm a year as a matter of course.
pub const SPURT_AGES_Y: std::ops::RangeInclusive<f64> = 9.0..=17.0;

/// How fast a child grows, as far as two readings can say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pace {
    /// Not fast, or too uncertain to say.
    Usual,
    /// The rate lies above the threshold, but reading error could explain it.
    ProbablyFast,
    /// Even allowing for reading error the rate lies above the threshold with 90 % probability.
    Fast,
}

/// Growth between a child's last two statures.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth {
    /// Rate in centimetres a year.
    pub rate_cm_per_y: Estimate,
    /// Difference of the two statures in centimetres.
    pub grown_cm: f64,
    /// Time between them in days.
    pub days: f64,
    /// What it means.
    pub pace: Pace,
}

/// Returns growth between two readings, or nothing when they lie less than four months apart.
///
/// # Formula
/// Rate Δ/Δt; its standard deviation is √2 · 0.5 cm / Δt.
pub fn growth(
    (before_cm, before): (f64, Date),
    (later_cm, later): (f64, Date),
    sex: Option<Sex>,
    age: Option<AgeNow>,
) -> Option<Growth> {
    let days = days_between(before, later);
    let usable = STATURE_RANGE_CM.contains(&before_cm) && STATURE_RANGE_CM.contains(&later_cm);
    if days < SHORTEST_INTERVAL_DAYS || !usable {
        return None;
    }
    let years = days / DAYS_PER_YEAR;
    let grown_cm = later_cm - before_cm;
    let rate = grown_cm / years;
    let sd = std::f64::consts::SQRT_2 * READING_SD_CM / years;
    let threshold = if sex == Some(Sex::Female) { FAST_GIRLS_CM_PER_Y } else { FAST_BOYS_CM_PER_Y };
    let p_fast = normal::cdf((rate - threshold) / sd);
    let pace = if age.is_some_and(|age| !SPURT_AGES_Y.contains(&age.age_y)) || p_fast < 0.5 {
        Pace::Usual
    } else if p_fast < 0.9 {
        Pace::ProbablyFast
    } else {
        Pace::Fast
    };
    let rate_cm_per_y = Estimate {
        median: rate,
        low: rate - normal::Z_95 * sd,
        high: rate + normal::Z_95 * sd,
        n: 2,
        method: METHOD.to_owned(),
    };
    Some(Growth { rate_cm_per_y, grown_cm, days, pace })
}

/// Returns a runner's growth between the last two statures.
pub(super) fn growth_of(runner: &Runner, age: Option<AgeNow>) -> Option<Growth> {
    let later = (runner.stature_cm?, runner.stature_date?);
    growth(runner.stature_before?, later, runner.sex, age)
}

/// Returns what to tell the teacher about a runner's growth, in one sentence, or nothing.
pub(super) fn notice(runner: &Runner, growth: &Growth) -> Option<Message> {
    // A child does not shrink: three standard deviations of the difference of two readings.
    let shrunk = growth.grown_cm < -3.0 * std::f64::consts::SQRT_2 * READING_SD_CM;
    let id = match growth.pace {
        _ if shrunk => "body-stature-shrank",
        Pace::Fast => "body-growing-fast",
        Pace::ProbablyFast => "body-growing-fast-probably",
        Pace::Usual => return None,
    };
    let months = (growth.days / (DAYS_PER_YEAR / 12.0)).round() as i64;
    Some(
        Message::new(id)
            .text("child", &*runner.label)
            .with("grown", Arg::HeightCm(growth.grown_cm.abs()))
            .with("months", Arg::Count(months)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    const TWELVE: Option<AgeNow> = Some(AgeNow { age_y: 12.0, sd_y: 0.0 });

    fn half_a_year(grown_cm: f64, sex: Option<Sex>, age: Option<AgeNow>) -> Growth {
        growth((140.0, date(2025, 9, 1)), (140.0 + grown_cm, date(2026, 3, 2)), sex, age).unwrap()
    }

    #[test]
    fn rate_carries_the_reading_error_of_both_statures() {
        let growth = half_a_year(4.0, Some(Sex::Male), TWELVE);
        assert!((growth.rate_cm_per_y.median - 8.03).abs() < 0.01);
        // √2 · 0.5 cm over 0.4983 years is 1.419 cm a year.
        let sd = (growth.rate_cm_per_y.high - growth.rate_cm_per_y.low) / (2.0 * normal::Z_95);
        assert!((sd - 1.419).abs() < 0.001);
    }

    #[test]
    fn how_sure_it_sounds_follows_the_reading_error() {
        let pace = |grown_cm, sex| half_a_year(grown_cm, sex, TWELVE).pace;
        assert_eq!(pace(3.2, Some(Sex::Male)), Pace::Usual);
        assert_eq!(pace(3.2, Some(Sex::Female)), Pace::ProbablyFast);
        assert_eq!(pace(4.0, Some(Sex::Male)), Pace::ProbablyFast);
        assert_eq!(pace(4.6, Some(Sex::Male)), Pace::Fast);
        assert_eq!(pace(3.2, None), Pace::Usual);
    }

    #[test]
    fn small_children_are_not_flagged_for_growing_as_small_children_do() {
        let eight = Some(AgeNow { age_y: 8.0, sd_y: 0.0 });
        assert_eq!(half_a_year(4.0, Some(Sex::Female), eight).pace, Pace::Usual);
        assert_eq!(half_a_year(4.0, Some(Sex::Female), None).pace, Pace::Fast);
    }

    #[test]
    fn readings_close_together_say_nothing() {
        let later = (144.0, date(2025, 12, 1));
        assert_eq!(growth((140.0, date(2025, 9, 1)), later, None, TWELVE), None);
        assert_eq!(growth((140.0, date(2026, 9, 1)), later, None, TWELVE), None);
        assert_eq!(growth((f64::NAN, date(2024, 9, 1)), later, None, TWELVE), None);
    }
}
