//! Heat, lightning and rest against published charts and tables.

use lanewright_science::weather::{
    BoutKind, Guidance, HeatIndexBand, Step, Wbgt, heat_index_band, heat_index_c, heat_index_f,
    rest_between_bouts, storm_distance_m, wbgt_estimate, wbgt_indoor_c, wbgt_outdoor_c,
};

/// Reference values are printed with three or four decimals.
const LAST_DIGIT: f64 = 0.000_51;

#[track_caller]
fn near(computed: f64, printed: f64, tolerance: f64, what: &str) {
    assert!((computed - printed).abs() <= tolerance, "{what}: {computed} is printed as {printed}");
}

/// Heat index chart of the US National Weather Service (whole degrees), and the same points from the formula of its
/// Weather Prediction Center page, computed independently.
#[test]
fn heat_index_meets_the_national_weather_service_chart() {
    let rows = [
        // °F, %, formula, chart
        (80.0, 40.0, 79.790, 80.0),
        (84.0, 65.0, 88.930, 89.0),
        (86.0, 90.0, 105.394, 105.0),
        (88.0, 60.0, 95.149, 95.0),
        (90.0, 60.0, 99.678, 100.0),
        (90.0, 70.0, 105.922, 106.0),
        (92.0, 75.0, 116.441, 116.0),
        (94.0, 55.0, 106.337, 106.0),
        (96.0, 65.0, 121.032, 121.0),
        (100.0, 50.0, 118.316, 118.0),
        (104.0, 40.0, 118.877, 119.0),
        (110.0, 40.0, 135.657, 136.0),
    ];
    for (air_f, humidity_pct, formula, chart) in rows {
        let index_f = heat_index_f(air_f, humidity_pct).unwrap();
        let what = format!("{air_f} °F, {humidity_pct} %");
        near(index_f, formula, LAST_DIGIT, &what);
        assert_eq!(index_f.round(), chart, "{what}");
    }
}

/// The simple branch on both sides of 80, and both adjustments, computed independently.
#[test]
fn edges_of_the_heat_index_agree() {
    let rows = [(75.0, 50.0, 74.7750), (79.0, 50.0, 78.9750), (95.0, 10.0, 89.4496), (82.0, 90.0, 91.9917)];
    for (air_f, humidity_pct, expected) in rows {
        near(heat_index_f(air_f, humidity_pct).unwrap(), expected, 0.000_051, &format!("{air_f} °F"));
    }
}

#[test]
fn heat_index_in_celsius_agrees() {
    for (air_c, humidity_pct, expected) in
        [(30.0, 60.0, 32.832), (32.0, 50.0, 34.364), (35.0, 40.0, 37.216), (28.0, 80.0, 32.099)]
    {
        near(heat_index_c(air_c, humidity_pct).unwrap(), expected, LAST_DIGIT, &format!("{air_c} °C"));
    }
}

/// Bands of the US National Weather Service: 80 caution, 90 extreme caution, 103 danger, 125 extreme danger (°F).
#[test]
fn heat_index_bands_begin_where_the_weather_service_says() {
    use HeatIndexBand::{BelowCaution, Caution, Danger, ExtremeCaution, ExtremeDanger};
    for (index_f, band) in [
        (79.9, BelowCaution),
        (80.0, Caution),
        (89.9, Caution),
        (90.0, ExtremeCaution),
        (102.9, ExtremeCaution),
        (103.0, Danger),
        (124.9, Danger),
        (125.0, ExtremeDanger),
    ] {
        assert_eq!(heat_index_band(index_f), band, "{index_f}");
    }
}

/// 0.7 Tnwb + 0.2 Tg + 0.1 Ta (table note of the American Academy of Pediatrics); indoors 0.7 Tnwb + 0.3 Tg (ISO 7243,
/// from memory).
#[test]
fn measured_wet_bulb_globe_temperatures_worked_by_hand_agree() {
    near(wbgt_outdoor_c(25.0, 45.0, 32.0).unwrap(), 29.70, 1e-9, "25/45/32");
    near(wbgt_outdoor_c(22.0, 38.0, 28.0).unwrap(), 25.80, 1e-9, "22/38/28");
    near(wbgt_indoor_c(25.0, 45.0).unwrap(), 31.00, 1e-9, "25/45");
}

/// Approximation of the Australian Bureau of Meteorology (from memory), computed independently.
#[test]
fn estimated_wet_bulb_globe_temperatures_agree() {
    for (air_c, humidity_pct, expected) in [(25.0, 50.0, 24.321), (30.0, 50.0, 29.259), (30.0, 70.0, 32.583)]
    {
        let Wbgt::Estimated(estimate) = wbgt_estimate(air_c, humidity_pct).unwrap() else {
            panic!("it is an estimate")
        };
        near(estimate.median, expected, LAST_DIGIT, &format!("{air_c} °C, {humidity_pct} %"));
        // One degree and five percent either way.
        let Wbgt::Estimated(hotter) = wbgt_estimate(air_c + 1.0, humidity_pct + 5.0).unwrap() else {
            panic!("it is an estimate")
        };
        near(estimate.high, hotter.median, 1e-9, "upper end");
    }
}

/// Committee table of the American Academy of Pediatrics: below 24 °C all allowed; 24.0 to 25.9 longer rests; 26 to 29
/// stop those not used to heat, limit others; above 29 cancel.
#[test]
fn pediatrics_rows_are_kept() {
    use Step::{AsPlanned, Cancel, Limit, MoreRest};
    let rows = [
        (23.9, AsPlanned),
        (24.0, MoreRest),
        (25.9, MoreRest),
        (25.95, Limit),
        (26.0, Limit),
        (29.0, Limit),
        (29.1, Cancel),
        (f64::NAN, Cancel),
    ];
    for (wbgt_c, step) in rows {
        assert_eq!(Guidance::PediatricsCommittee.step(wbgt_c), step, "{wbgt_c}");
    }
    assert_eq!(Guidance::default(), Guidance::PediatricsCommittee);
}

/// American College of Sports Medicine 2007, as J Athl Train 51(8), Table 3, prints it: below 27.8; 27.9 to 30.0; 30.1
/// to 32.2; above 32.2; not used to heat and used to heat.
#[test]
fn sports_medicine_rows_are_kept() {
    use Step::{AsPlanned, Cancel, Limit, MoreRest};
    for (wbgt_c, not_used, used) in [
        (27.7, MoreRest, AsPlanned),
        (27.9, Limit, MoreRest),
        (30.0, Limit, MoreRest),
        (30.1, Cancel, Limit),
        (32.2, Cancel, Limit),
        (32.3, Cancel, Cancel),
    ] {
        assert_eq!(Guidance::SportsMedicineNew.step(wbgt_c), not_used, "{wbgt_c}");
        assert_eq!(Guidance::SportsMedicineUsed.step(wbgt_c), used, "{wbgt_c}");
    }
    // The default cancels earlier.
    assert_eq!(Guidance::default().step(29.5), Cancel);
    assert_eq!(Guidance::SportsMedicineNew.step(29.5), Limit);
}

/// 30/30 rule: thirty seconds from flash to bang are about six miles, five seconds a mile.
#[test]
fn thirty_seconds_are_six_miles() {
    near(storm_distance_m(30.0).unwrap() / 1609.344, 6.0, 1e-12, "30 s");
}

/// National Strength and Conditioning Association, Essentials (table for adults): 5 to 10 s all-out 1:12 to 1:20; 15 to
/// 30 s 1:3 to 1:5.
#[test]
fn rest_follows_the_published_ratios() {
    let rest = |bout_s, kind| {
        let rest = rest_between_bouts(bout_s, kind).unwrap();
        (rest.low_s, rest.high_s)
    };
    assert_eq!(rest(5.0, BoutKind::AllOut), (60.0, 100.0));
    assert_eq!(rest(10.0, BoutKind::AllOut), (120.0, 200.0));
    assert_eq!(rest(15.0, BoutKind::AllOut), (45.0, 75.0));
    assert_eq!(rest(30.0, BoutKind::AllOut), (90.0, 150.0));
    assert_eq!(rest(20.0, BoutKind::Game), (60.0, 100.0));
    // Nothing is printed between 10 and 15 s: the longer rest counts.
    assert_eq!(rest(12.0, BoutKind::AllOut), (144.0, 240.0));
}
