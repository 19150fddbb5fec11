use jiff::{SignedDuration, Timestamp};
use lanewright_model::kit::Surface;
use lanewright_model::words::{Message, Units, Words};
use proptest::prelude::*;

use super::*;

fn at(minute: i64) -> Timestamp {
    Timestamp::from_second(1_772_445_600 + 60 * minute).unwrap()
}

fn thunder(minute: i64, flash_to_bang_s: impl Into<Option<f64>>) -> Thunder {
    Thunder { at: at(minute), flash_to_bang_s: flash_to_bang_s.into() }
}

fn inside(heard: &[Thunder], minute: i64, rule: LightningRule) -> bool {
    lightning(heard, at(minute), rule) != Sky::Open
}

#[track_caller]
fn is_whole(message: &Message) {
    let text = Words::english(Units::Metric).say(message);
    assert!(!text.contains('{') && text != message.id, "{text}");
}

#[test]
fn any_thunder_sends_inside_for_half_an_hour() {
    let heard = [thunder(0, 55.0)];
    let rule = LightningRule::AnyThunder;
    assert!(!inside(&heard, -1, rule) && inside(&heard, 0, rule) && inside(&heard, 29, rule));
    assert!(!inside(&heard, 30, rule));
    assert!(!inside(&[], 0, rule));
}

#[test]
fn every_thunder_starts_the_half_hour_again() {
    let heard = [thunder(20, 25.0), thunder(0, 10.0)];
    for rule in [LightningRule::AnyThunder, LightningRule::ThirtyThirty] {
        assert!(inside(&heard, 49, rule) && !inside(&heard, 50, rule));
        let expected = Sky::Inside { last: at(20), resume_at: at(50) };
        assert_eq!(lightning(&heard, at(30), rule), expected);
    }
}

#[test]
fn far_thunder_keeps_inside_but_does_not_send_there_under_the_thirty_rule() {
    let rule = LightningRule::ThirtyThirty;
    assert!(!inside(&[thunder(0, 31.0)], 1, rule) && inside(&[thunder(0, 30.0)], 1, rule));
    assert!(inside(&[thunder(0, None)], 1, rule) && inside(&[thunder(0, f64::NAN)], 1, rule));
    let far_after_close = [thunder(0, 20.0), thunder(20, 45.0)];
    assert!(inside(&far_after_close, 45, rule));
    let far_too_late = [thunder(0, 20.0), thunder(31, 45.0)];
    assert!(!inside(&far_too_late, 32, rule));
}

#[test]
fn minutes_left_are_rounded_up() {
    let sky = lightning(&[thunder(0, None)], at(0), LightningRule::AnyThunder);
    let now = at(29).checked_add(SignedDuration::from_secs(30)).unwrap();
    let note = lightning_note(sky, now);
    assert_eq!(note.args["minutes"], lanewright_model::Arg::Count(1));
    is_whole(&note);
    is_whole(&lightning_note(Sky::Open, now));
}

#[test]
fn an_estimate_is_judged_by_its_upper_end_and_says_what_it_assumes() {
    let estimate = wbgt_estimate(28.0, 45.0).unwrap();
    let Wbgt::Estimated(range) = &estimate else { panic!("it is an estimate") };
    let as_measured = heat_advice(&Wbgt::Measured(range.median), &Guidance::default()).unwrap();
    let advice = heat_advice(&estimate, &Guidance::default()).unwrap();
    assert_eq!(advice.by_c, range.high);
    assert!(advice.step >= as_measured.step);
    assert!(advice.say.iter().any(|message| message.id == "weather-wbgt-estimated"));
    assert!(as_measured.say.iter().all(|message| message.id != "weather-wbgt-estimated"));
    advice.say.iter().for_each(is_whole);
}

#[test]
fn the_school_overrides_and_the_disagreement_is_said() {
    let limits = SchoolLimits { more_rest_c: 25.0, limit_c: 28.0, cancel_c: 31.0 };
    let advice = heat_advice(&Wbgt::Measured(30.5), &Guidance::School(limits)).unwrap();
    assert_eq!(advice.step, Step::Limit);
    assert_eq!(
        advice.published.iter().map(|(_, step)| *step).collect::<Vec<_>>(),
        [Step::Cancel, Step::Cancel, Step::Limit]
    );
    assert_eq!(advice.say.last().unwrap().id, "weather-guidance-disagrees");
    let agree = heat_advice(&Wbgt::Measured(33.0), &Guidance::default()).unwrap();
    assert_eq!((agree.step, agree.say.len()), (Step::Cancel, 2));
    let falling = SchoolLimits { more_rest_c: 28.0, limit_c: 25.0, cancel_c: 31.0 };
    let error = heat_advice(&Wbgt::Measured(20.0), &Guidance::School(falling)).unwrap_err();
    assert_eq!(error.field, "limit_c");
}

#[test]
fn in_the_cool_nothing_is_said_of_heat() {
    let frost = heat_advice(&wbgt_estimate(-15.0, 50.0).unwrap(), &Guidance::default()).unwrap();
    let ids: Vec<&str> = frost.say.iter().map(|message| message.id.as_str()).collect();
    assert_eq!((frost.step, ids.as_slice()), (Step::AsPlanned, ["weather-cool"].as_slice()));
    frost.say.iter().for_each(is_whole);
    let warm = heat_advice(&Wbgt::Measured(10.0), &Guidance::default()).unwrap();
    assert_eq!(warm.say[0].id, "weather-heat-as-planned");
    assert!(frost.say.iter().chain(&warm.say).all(|said| !limits_running(said)));
    let hot = heat_advice(&Wbgt::Measured(33.0), &Guidance::default()).unwrap();
    assert!(hot.say.iter().all(|said| limits_running(said) && ends_running(said)));
}

#[test]
fn readings_that_cannot_be_are_refused() {
    assert_eq!(heat_index_c(300.0, 50.0).unwrap_err().field, "air_c");
    assert_eq!(heat_index_f(90.0, 101.0).unwrap_err().field, "humidity_pct");
    assert_eq!(wbgt_outdoor_c(25.0, f64::NAN, 30.0).unwrap_err().field, "globe_c");
    assert_eq!(wbgt_indoor_c(75.0, 40.0).unwrap_err().field, "natural_wet_bulb_c");
    assert_eq!(wbgt_estimate(95.0, 50.0).unwrap_err().field, "air_c");
    assert!(heat_advice(&Wbgt::Measured(f64::NAN), &Guidance::default()).is_err());
    assert_eq!(storm_distance_m(-1.0).unwrap_err().field, "flash_to_bang_s");
    assert_eq!(
        rest_between_bouts(45.0, BoutKind::Game).unwrap_err().to_string(),
        "bout_s is 45; allowed is 5 to 30 s"
    );
}

#[test]
fn every_floor_has_its_list_and_every_sentence_its_words() {
    use Surface::{Grass, Hall, Hard, Slippery, Track};
    for surface in [Hall, Track, Grass, Slippery, Hard] {
        for outdoors in [false, true] {
            let list = checklist(surface, outdoors);
            list.iter().for_each(is_whole);
            let says = |id: &str| list.iter().any(|message| message.id == id);
            assert_eq!(says("weather-check-hard"), surface == Hard);
            assert_eq!(says("weather-check-outdoors"), outdoors);
            assert!(says("weather-check-shoes") && says("weather-check-rules"));
        }
    }
    for index_f in [70.0, 80.0, 95.0, 110.0, 130.0] {
        is_whole(&heat_index_note(index_f));
    }
    for kind in [BoutKind::AllOut, BoutKind::Game] {
        is_whole(&rest_between_bouts(6.0, kind).unwrap().say);
    }
}

proptest! {
    #[test]
    fn hotter_or_wetter_is_never_milder(
        air in -5.0_f64..45.0, humidity in 0.0_f64..95.0, hotter in 0.0_f64..5.0, wetter in 0.0_f64..5.0,
    ) {
        let of = |air: f64, humidity: f64| wbgt_estimate(air, humidity).unwrap();
        let (mild, hot) = (of(air, humidity), of(air + hotter, humidity + wetter));
        prop_assert!(mild.careful_c() <= hot.careful_c() + 1e-12);
        for guidance in [Guidance::default(), Guidance::SportsMedicineNew, Guidance::SportsMedicineUsed] {
            prop_assert!(guidance.step(mild.careful_c()) <= guidance.step(hot.careful_c() + 1e-9));
        }
        let Wbgt::Estimated(range) = mild else { unreachable!() };
        prop_assert!(range.low <= range.median && range.median <= range.high);
    }

    #[test]
    fn nobody_comes_out_within_half_an_hour_of_thunder(
        minutes in prop::collection::vec(0_i64..300, 0..12), now in 0_i64..330,
    ) {
        let heard: Vec<Thunder> = minutes.iter().map(|&minute| thunder(minute, 5.0)).collect();
        let recent = minutes.iter().any(|minute| (now - RESUME_AFTER_MIN + 1..=now).contains(minute));
        for rule in [LightningRule::AnyThunder, LightningRule::ThirtyThirty] {
            prop_assert_eq!(inside(&heard, now, rule), recent);
        }
    }
}
