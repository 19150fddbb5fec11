//! Age on a given day, and how exactly it is known.

use jiff::civil::Date;
use lanewright_model::Age;

/// Mean length of a year in days.
pub(crate) const DAYS_PER_YEAR: f64 = 365.25;

/// Spread of an age given in whole years: the birthday lies anywhere in the year before. Uniform: 1/√12.
const WHOLE_YEARS_SD_Y: f64 = 0.288_675_134_594_812_9;

/// Further spread of an age that was written down on an unknown day. Engineering assumption: class lists are
/// renewed every year, so it is rarely more than half a year old.
const UNDATED_AGE_SD_Y: f64 = 0.3;

/// Ages that can be used, in years: the youngest of the growth reference to any adult.
const USABLE_AGES_Y: std::ops::RangeInclusive<f64> = 2.0..=110.0;

/// Age on one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgeNow {
    /// Decimal age in years.
    pub age_y: f64,
    /// Standard deviation in years; 0 when the date of birth is known.
    pub sd_y: f64,
}

/// Returns the number of days from `from` to `to`, negative when `to` is earlier.
pub(crate) fn days_between(from: Date, to: Date) -> f64 {
    to.duration_since(from).as_hours() as f64 / 24.0
}

/// Returns decimal age on a day, or nothing when it cannot be: born later, younger than 2 or older than 110.
///
/// A whole number of years means "had that birthday already", so half a year is added and the spread of not
/// knowing the birthday comes with it. An age written down on a known earlier day grows with the calendar.
pub fn age_on(age: Age, day: Date) -> Option<AgeNow> {
    let now = match age {
        Age::Born(born) => AgeNow { age_y: days_between(born, day) / DAYS_PER_YEAR, sd_y: 0.0 },
        Age::Years { age_y, on } => {
            let (half_year, whole_sd_y) =
                if age_y.fract() == 0.0 { (0.5, WHOLE_YEARS_SD_Y) } else { (0.0, 0.0) };
            let elapsed_y = on.map_or(0.0, |on| days_between(on, day).max(0.0) / DAYS_PER_YEAR);
            let undated_sd_y = if on.is_some() { 0.0 } else { UNDATED_AGE_SD_Y };
            AgeNow {
                age_y: age_y + half_year + elapsed_y,
                sd_y: (whole_sd_y * whole_sd_y + undated_sd_y * undated_sd_y).sqrt(),
            }
        }
    };
    USABLE_AGES_Y.contains(&now.age_y).then_some(now)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn whole_years_mean_half_a_year_more() {
        let today = date(2026, 3, 2);
        let whole = age_on(Age::Years { age_y: 11.0, on: Some(today) }, today).unwrap();
        assert_eq!(whole.age_y, 11.5);
        assert!(whole.sd_y > 0.28 && whole.sd_y < 0.29);
        let decimal = age_on(Age::Years { age_y: 11.2, on: Some(today) }, today).unwrap();
        assert_eq!((decimal.age_y, decimal.sd_y), (11.2, 0.0));
    }

    #[test]
    fn age_grows_with_the_calendar_and_never_shrinks() {
        let written = date(2025, 3, 2);
        let age = Age::Years { age_y: 11.0, on: Some(written) };
        let a_year_on = age_on(age, date(2026, 3, 2)).unwrap();
        assert!((a_year_on.age_y - 12.5).abs() < 0.001);
        assert_eq!(age_on(age, date(2024, 3, 2)).unwrap().age_y, 11.5);
        assert!(age_on(Age::Years { age_y: 11.0, on: None }, written).unwrap().sd_y > a_year_on.sd_y);
    }

    #[test]
    fn impossible_ages_are_not_used() {
        let today = date(2026, 3, 2);
        assert_eq!(age_on(Age::Born(date(2026, 3, 3)), today), None);
        assert_eq!(age_on(Age::Born(date(1900, 1, 1)), today), None);
        assert_eq!(age_on(Age::Years { age_y: f64::NAN, on: None }, today), None);
        let born = age_on(Age::Born(date(2014, 3, 2)), today).unwrap();
        assert!((born.age_y - 12.0).abs() < 0.001 && born.sd_y == 0.0);
    }
}
