//! Leg length: from stature, or from a tape.
//!
//! Leg length here is the sub-ischial one, stature minus sitting height, because that is what growth studies
//! tabulate. A teacher's tape runs from the floor to the outer knob of the thigh bone, which lies higher.

use lanewright_model::Sex;

use super::reference;
use crate::normal;

/// First age of [`RATIO_MALE`] and [`RATIO_FEMALE`], in years; one entry a year from there.
const RATIO_FIRST_AGE_Y: f64 = 8.0;

/// Median sitting height over stature, boys of 8 to 18 years (Fredriks et al. 2005, Arch Dis Child 90:807-812,
/// Dutch reference). Checked against the Berkeley Growth Study: within 0.006.
const RATIO_MALE: [f64; 11] = [0.531, 0.525, 0.520, 0.516, 0.513, 0.509, 0.508, 0.510, 0.512, 0.513, 0.515];

/// The same for girls.
const RATIO_FEMALE: [f64; 11] = [0.531, 0.526, 0.522, 0.519, 0.516, 0.516, 0.518, 0.522, 0.524, 0.524, 0.524];

/// Spread of ln leg length between children of one stature and age: the ratio's own spread, 0.513 × 0.025, over
/// 0.487 (from the same table).
pub const LEG_FROM_STATURE_SD_LN: f64 = 0.027;

/// Leg length to the knob of the thigh bone over sub-ischial leg length: 0.5135 of stature, measured on 51 adults
/// (open gait data of BMClab, CC BY 4.0), against 0.48 of stature.
pub const HIP_OVER_SUB_ISCHIAL: f64 = 1.07;

/// Spread of a taped leg length as a witness of sub-ischial leg length, on the log scale: where the knob sits, and
/// a centimetre or two of tape. Engineering assumption.
pub const TAPED_LEG_SD_LN: f64 = 0.032;

/// Taped leg lengths outside this range (in centimetres) are typing mistakes.
pub(super) const TAPED_LEG_RANGE_CM: std::ops::RangeInclusive<f64> = 25.0..=130.0;

/// Returns median sitting height over stature at an age; the mean of both sexes when sex is unknown.
///
/// Linear between whole years; held at the 8-year value below and the 18-year value above. Below 8 years legs are
/// in truth a little shorter than this says.
pub fn sitting_height_ratio(sex: Option<Sex>, age_y: f64) -> f64 {
    let at = |ratios: &[f64; 11]| {
        let place = normal::within(age_y - RATIO_FIRST_AGE_Y, 0.0, 10.0);
        let below = place.floor().min(9.0);
        let index = below as usize;
        ratios[index] + (place - below) * (ratios[index + 1] - ratios[index])
    };
    match sex {
        Some(Sex::Female) => at(&RATIO_FEMALE),
        Some(Sex::Male) => at(&RATIO_MALE),
        None => 0.5 * (at(&RATIO_FEMALE) + at(&RATIO_MALE)),
    }
}

/// Returns sub-ischial leg length in metres.
///
/// # Formula
/// L = H (1 − sitting height / stature).
pub fn leg_length_m(stature_m: f64, sitting_height_ratio: f64) -> f64 {
    stature_m * (1.0 - sitting_height_ratio)
}

/// Returns the usual sub-ischial leg length in metres at an age; the geometric mean of both sexes when sex is unknown.
pub fn usual_leg_length_m(sex: Option<Sex>, age_y: f64) -> f64 {
    let of =
        |sex| leg_length_m(reference::usual(sex, age_y).m_cm / 100.0, sitting_height_ratio(Some(sex), age_y));
    match sex {
        Some(sex) => of(sex),
        None => (of(Sex::Female) * of(Sex::Male)).sqrt(),
    }
}

/// Returns the age in years at which a stature is the usual one, both sexes together, 5 to 18.
///
/// Stands in for an unknown age where only the proportions of the body depend on it.
pub fn age_that_suits_y(stature_cm: f64) -> f64 {
    let usual_cm =
        |age_y| 0.5 * (reference::usual(Sex::Female, age_y).m_cm + reference::usual(Sex::Male, age_y).m_cm);
    let (mut low, mut high) = (5.0, 18.0);
    // Thirteen years halved fifteen times: to the hour.
    for _ in 0..15 {
        let middle = 0.5 * (low + high);
        if usual_cm(middle) < stature_cm { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratio_is_held_outside_the_table_and_linear_inside() {
        assert_eq!(sitting_height_ratio(Some(Sex::Male), 3.0), 0.531);
        assert_eq!(sitting_height_ratio(Some(Sex::Female), 60.0), 0.524);
        assert!((sitting_height_ratio(Some(Sex::Male), 12.5) - 0.511).abs() < 1e-12);
        assert!((sitting_height_ratio(None, 12.0) - 0.5145).abs() < 1e-12);
        assert!(sitting_height_ratio(None, f64::NAN).is_finite());
    }

    #[test]
    fn suiting_age_follows_stature() {
        assert!((age_that_suits_y(137.0 + 1.2) - 10.0).abs() < 0.2);
        assert!(age_that_suits_y(60.0) < 5.01 && age_that_suits_y(230.0) > 17.99);
    }
}
