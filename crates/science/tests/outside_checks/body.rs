//! Stature and legs against published growth tables.

use lanewright_model::Sex::{self, Female, Male};
use lanewright_science::body::{
    READING_SD_CM, Reference, growth, leg_length_m, lms, sitting_height_ratio, usual,
};

/// Φ⁻¹(0.97): the 3rd and 97th centile lie this many standard deviations from the median.
const Z_97: f64 = 1.880_793_608_151_251;

fn assert_close(ours: f64, published: f64, tolerance: f64, what: &str) {
    assert!((ours - published).abs() <= tolerance, "{what}: {ours} against {published}");
}

/// WHO Reference 2007, height-for-age (de Onis et al. 2007): median and spread as printed; P3 and P97 follow from
/// them with L = 1.
#[test]
fn who_2007_rows_and_their_third_and_ninety_seventh_centiles() {
    type Row = (Sex, f64, f64, f64, Option<(f64, f64)>);
    let rows: [Row; 11] = [
        (Male, 8.0, 127.2651, 0.04438, Some((116.64, 137.89))),
        (Male, 10.0, 137.7795, 0.04626, Some((125.79, 149.77))),
        (Male, 12.0, 149.0807, 0.04753, Some((135.75, 162.41))),
        (Male, 14.0, 163.1816, 0.04714, Some((148.71, 177.65))),
        (Male, 16.0, 172.8967, 0.04495, Some((158.28, 187.51))),
        (Male, 19.0, 176.5432, 0.04134, None),
        (Female, 8.0, 126.5558, 0.04581, Some((115.65, 137.46))),
        (Female, 10.0, 138.6363, 0.04614, Some((126.61, 150.67))),
        (Female, 12.0, 151.2327, 0.04523, Some((138.37, 164.10))),
        (Female, 14.0, 159.7890, 0.04345, Some((146.73, 172.85))),
        (Female, 19.0, 163.1548, 0.04009, None),
    ];
    for (sex, age_y, m_cm, s, centiles) in rows {
        let row = lms(Reference::Who2007, sex, 12.0 * age_y).unwrap();
        assert_eq!((row.l, row.m_cm, row.s), (1.0, m_cm, s));
        assert_eq!(usual(sex, age_y), row, "the program uses the WHO from 5 to 19 years");
        if let Some((p3_cm, p97_cm)) = centiles {
            assert_close(row.stature_cm(-Z_97), p3_cm, 0.005, "P3");
            assert_close(row.stature_cm(Z_97), p97_cm, 0.005, "P97");
        }
    }
    assert_eq!(lms(Reference::Who2007, Male, 60.9), None);
    assert_eq!(lms(Reference::Who2007, Female, 228.1), None);
}

/// Worked z-scores and the share of children who are not taller, from the WHO 2007 and CDC 2000 tables by the LMS
/// formula (Cole & Green 1992).
#[test]
fn z_scores_by_the_lms_formula() {
    let rows = [
        (Reference::Who2007, Male, 120.0, 130.0, -1.2206, 0.1111),
        (Reference::Who2007, Female, 144.0, 160.0, 1.2817, 0.9000),
        (Reference::Who2007, Male, 168.0, 150.0, -1.7136, 0.0433),
        (Reference::Cdc2000, Male, 120.5, 130.0, -1.3566, 0.0874),
        (Reference::Cdc2000, Female, 144.5, 160.0, 1.1661, 0.8782),
    ];
    for (reference, sex, age_months, stature_cm, z_score, share) in rows {
        let row = lms(reference, sex, age_months).unwrap();
        assert_close(row.z_score(stature_cm), z_score, 0.000_05, "z");
        assert_close(row.share_not_taller(stature_cm), share, 0.000_05, "share");
    }
}

/// CDC 2000 (Kuczmarski et al. 2002): rows named in the text of this check, all digits.
#[test]
fn cdc_2000_rows_and_printed_centiles() {
    let rows = [
        (Male, 120.5, 0.505564115, 138.8234114, 0.047610108, 126.6677753, 151.5294179),
        (Male, 144.5, 0.420919142, 149.3088178, 0.049947823, 135.6621289, 163.7185106),
        (Female, 120.5, 0.284748919, 138.2111552, 0.048704503, 125.9599043, 151.2919534),
        (Female, 144.5, 1.303044695, 151.4865636, 0.048599314, 137.4380555, 165.1502647),
    ];
    for (sex, age_months, l, m_cm, s, p3_cm, p97_cm) in rows {
        let row = lms(Reference::Cdc2000, sex, age_months).unwrap();
        assert_eq!((row.l, row.m_cm, row.s), (l, m_cm, s));
        assert_close(row.stature_cm(-Z_97), p3_cm, 2e-6, "P3");
        assert_close(row.stature_cm(Z_97), p97_cm, 2e-6, "P97");
    }
    for (sex, l, m_cm, s) in [(Male, 1.16728, 176.8492, 0.040370), (Female, 1.10805, 163.3383, 0.039636)] {
        let row = lms(Reference::Cdc2000, sex, 240.0).unwrap();
        assert_close(row.l, l, 5e-6, "L at 20 years");
        assert_close(row.m_cm, m_cm, 5e-5, "M at 20 years");
        assert_close(row.s, s, 5e-7, "S at 20 years");
    }
}

/// The CDC prints nine centiles beside its LMS values: all 3,924 of them follow from ours.
#[test]
fn every_printed_cdc_centile_follows_from_the_embedded_table() {
    // Φ⁻¹ of .03, .05, .10, .25, .50, .75, .90, .95, .97.
    const Z_SCORES: [f64; 9] = [
        -Z_97,
        -1.644_853_626_951_472_7,
        -1.281_551_565_544_600_4,
        -0.674_489_750_196_081_7,
        0.0,
        0.674_489_750_196_081_7,
        1.281_551_565_544_600_4,
        1.644_853_626_951_472_7,
        Z_97,
    ];
    let mut count = 0;
    for line in include_str!("data/cdc2000_stature_centiles.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let sex = if cells[0] == "female" { Female } else { Male };
        let row = lms(Reference::Cdc2000, sex, cells[1].parse().unwrap()).unwrap();
        for (cell, z_score) in cells[2..].iter().zip(Z_SCORES) {
            // The last printed digits go with single precision somewhere in the CDC's own computation.
            assert_close(row.stature_cm(z_score), cell.parse().unwrap(), 1e-5, line);
            count += 1;
        }
    }
    assert_eq!(count, 2 * 218 * 9);
}

/// Two references made apart from each other agree on the median within 2 cm wherever both speak.
#[test]
fn who_and_cdc_medians_agree_within_two_centimetres() {
    for sex in [Female, Male] {
        for age_months in 61..=228 {
            let of = |reference| lms(reference, sex, f64::from(age_months)).unwrap().m_cm;
            assert_close(
                of(Reference::Who2007),
                of(Reference::Cdc2000),
                2.0,
                &format!("{sex:?} {age_months}"),
            );
        }
    }
}

/// Leg length L = H (1 − sitting height / stature), worked from the Dutch reference (Fredriks et al. 2005, Arch Dis
/// Child 90:807-812).
#[test]
fn leg_length_from_stature_and_the_dutch_sitting_height_ratio() {
    for (sex, age_y, stature_m, ratio, leg_m) in [
        (Male, 12.0, 1.49, 0.513, 0.7256),
        (Female, 8.0, 1.27, 0.531, 0.5956),
        (Male, 16.0, 1.73, 0.512, 0.8442),
        (Female, 11.0, 1.45, 0.519, 0.6974),
    ] {
        assert_eq!(sitting_height_ratio(Some(sex), age_y), ratio);
        assert_close(leg_length_m(stature_m, ratio), leg_m, 0.000_05 + 1e-12, "leg");
    }
}

/// Sitting height over stature in the Berkeley Growth Study (about 66 children a sex, from the open data set): another
/// country, another century.
#[test]
fn sitting_height_ratio_agrees_with_the_berkeley_growth_study() {
    for (age_y, boys, girls) in [
        (8.0, 0.536, 0.531),
        (10.0, 0.523, 0.519),
        (12.0, 0.511, 0.513),
        (14.0, 0.509, 0.521),
        (16.0, 0.515, 0.524),
    ] {
        assert_close(sitting_height_ratio(Some(Male), age_y), boys, 0.006, "boys");
        assert_close(sitting_height_ratio(Some(Female), age_y), girls, 0.006, "girls");
    }
}

/// Median leg lengths of the British 1990 reference (centimetres): ours come from WHO statures and Dutch proportions.
#[test]
fn usual_leg_length_agrees_with_the_british_reference() {
    for (age_y, boys_cm, girls_cm) in [
        (8.0, 60.16, 59.06),
        (10.0, 66.06, 65.74),
        (12.0, 71.49, 72.19),
        (14.0, 78.60, 75.61),
        (16.0, 83.18, 76.81),
        (18.0, 84.52, 77.00),
    ] {
        for (sex, published_cm) in [(Male, boys_cm), (Female, girls_cm)] {
            let stature_m = usual(sex, age_y).m_cm / 100.0;
            let leg_cm = 100.0 * leg_length_m(stature_m, sitting_height_ratio(Some(sex), age_y));
            assert_close(leg_cm / published_cm, 1.0, 0.025, &format!("{sex:?} {age_y}"));
        }
    }
}

/// Reading error of a growth rate: √2 · 0.5 cm / Δt is 1.4 cm a year at six months.
#[test]
fn growth_rate_over_six_months_is_uncertain_by_1_4_centimetres_a_year() {
    let (before, later) = (jiff::civil::date(2025, 9, 1), jiff::civil::date(2026, 3, 2));
    let growth = growth((140.0, before), (143.0, later), None, None).unwrap();
    let sd = (growth.rate_cm_per_y.high - growth.rate_cm_per_y.low) / (2.0 * 1.644_853_626_951_472_7);
    assert_close(sd, 1.4, 0.05, "standard deviation of the rate");
    assert_eq!(READING_SD_CM, 0.5);
}
