use jiff::civil::{Date, date};
use lanewright_model::words::{Units, Words};
use lanewright_model::{Age, Runner, Sex};

use super::*;
use crate::seeded::Seeded;

const TODAY: Date = date(2026, 3, 2);

fn child(label: &str) -> Runner {
    Runner::named(label, label)
}

fn measured(label: &str, stature_cm: f64) -> Runner {
    Runner { stature_cm: Some(stature_cm), stature_date: Some(TODAY), ..child(label) }
}

fn aged(label: &str, sex: Option<Sex>, age_y: f64) -> Runner {
    Runner { sex, age: Some(Age::Years { age_y, on: Some(TODAY) }), ..child(label) }
}

fn body_of(runner: Runner) -> Body {
    class_bodies(&[runner], TODAY).remove(0)
}

fn ids(body: &Body) -> Vec<&str> {
    body.notices.iter().map(|notice| notice.id.as_str()).collect()
}

#[test]
fn each_further_fact_narrows_the_stature() {
    let nothing = body_of(child("a"));
    let age = body_of(aged("a", None, 14.5));
    let age_and_sex = body_of(aged("a", Some(Sex::Male), 14.5));
    let with_leg = body_of(Runner { leg_length_cm: Some(86.0), ..aged("a", Some(Sex::Male), 14.5) });
    let all = body_of(Runner {
        stature_cm: Some(165.0),
        stature_date: Some(TODAY),
        ..aged("a", Some(Sex::Male), 14.5)
    });
    let bodies = [nothing, age, age_and_sex, with_leg, all];
    assert!(bodies.windows(2).all(|pair| pair[0].stature_sd_ln > pair[1].stature_sd_ln));
    assert_eq!(
        bodies.map(|body| body.basis),
        [SizeBasis::Nothing, SizeBasis::Age, SizeBasis::AgeAndSex, SizeBasis::LegLength, SizeBasis::Measured]
    );
}

#[test]
fn whole_years_widen_the_stature_by_half_a_year_either_way() {
    let whole = body_of(aged("a", Some(Sex::Female), 11.0));
    let decimal = body_of(aged("a", Some(Sex::Female), 11.5 + 1e-9));
    assert!((whole.stature_cm.median - decimal.stature_cm.median).abs() < 0.01);
    assert!(whole.stature_sd_ln > decimal.stature_sd_ln);
}

#[test]
fn unknown_child_gets_a_very_wide_size_and_says_so() {
    let body = body_of(child("a"));
    assert!(body.stature_cm.low < 122.0 && body.stature_cm.high > 185.0);
    assert_eq!(ids(&body), ["body-size-unknown"]);
}

#[test]
fn child_without_facts_is_like_the_rest_of_its_class() {
    let mut class: Vec<Runner> = (0..12).map(|k| measured(&format!("m{k}"), 125.0 + f64::from(k))).collect();
    class.push(child("new"));
    let body = class_bodies(&class, TODAY).pop().unwrap();
    assert_eq!(body.basis, SizeBasis::Class);
    assert!((body.stature_cm.median - 130.5).abs() < 1.0, "{:?}", body.stature_cm);
    assert!(body.stature_sd_ln < 0.06 && body.notices.is_empty());
}

#[test]
fn old_measurement_is_moved_by_the_usual_growth_and_widened() {
    let a_year_ago = Some(date(2025, 3, 2));
    let runner = Runner {
        age: Some(Age::Born(date(2014, 3, 2))),
        sex: Some(Sex::Male),
        stature_cm: Some(143.0),
        stature_date: a_year_ago,
        ..child("a")
    };
    let body = body_of(runner.clone());
    let usual_growth = usual(Sex::Male, 12.0).m_cm / usual(Sex::Male, 11.0).m_cm;
    assert!((body.stature_cm.median / (143.0 * usual_growth) - 1.0).abs() < 1e-4);
    assert!(body.stature_sd_ln > 2.0 * MEASURED_SD_LN);
    // Without an age nothing can be added, so the spread must say it.
    let unknown_age = body_of(Runner { age: None, ..runner.clone() });
    assert!((unknown_age.stature_cm.median - 143.0).abs() < 1e-9);
    assert!(unknown_age.stature_sd_ln > body.stature_sd_ln);
    // Grown-ups stay as they are.
    let adult = body_of(Runner { age: Some(Age::Born(date(1990, 1, 1))), stature_cm: Some(181.0), ..runner });
    assert!((adult.stature_cm.median - 181.0).abs() < 1e-9);
    assert!((adult.stature_sd_ln - MEASURED_SD_LN).abs() < 1e-12);
}

#[test]
fn measurement_from_the_future_counts_as_todays() {
    let body = body_of(Runner { stature_date: Some(date(2027, 1, 1)), ..measured("a", 150.0) });
    assert!((body.stature_cm.median - 150.0).abs() < 1e-9);
}

#[test]
fn tall_class_makes_its_unmeasured_children_tall() {
    let mut class: Vec<Runner> = (0..20)
        .map(|k| Runner {
            stature_cm: Some(usual(Sex::Female, 12.0).stature_cm(1.0) + 0.1 * f64::from(k - 10)),
            stature_date: Some(TODAY),
            ..aged(&format!("m{k}"), Some(Sex::Female), 12.0 + 1e-9)
        })
        .collect();
    class.push(aged("new", Some(Sex::Female), 12.0 + 1e-9));
    let with_class = class_bodies(&class, TODAY).pop().unwrap();
    let alone = body_of(aged("new", Some(Sex::Female), 12.0 + 1e-9));
    let shift = with_class.stature_mu_ln - alone.stature_mu_ln;
    assert!((0.02..0.045).contains(&shift), "{shift}");
    assert!(with_class.stature_sd_ln < alone.stature_sd_ln);
}

#[test]
fn taped_leg_and_stature_are_two_witnesses_of_one_leg() {
    let base = || Runner {
        stature_cm: Some(149.0),
        stature_date: Some(TODAY),
        ..aged("a", Some(Sex::Female), 12.0 + 1e-9)
    };
    let untaped = body_of(base());
    let taped = body_of(Runner { leg_length_cm: Some(80.0), ..base() });
    assert!(taped.leg_length_m.median > untaped.leg_length_m.median);
    assert!(taped.leg_length_m.median < 0.80 / HIP_OVER_SUB_ISCHIAL);
    let width = |body: &Body| libm::log(body.leg_length_m.high / body.leg_length_m.low);
    assert!(width(&taped) < width(&untaped));
    assert_eq!(taped.stature_cm, untaped.stature_cm);
    assert_eq!((taped.leg_length_m.n, untaped.leg_length_m.n), (1, 0));
}

#[test]
fn leg_that_does_not_go_with_the_stature_is_passed_over() {
    let runner = measured("a", 149.0);
    let plain = body_of(runner.clone());
    for leg_length_cm in [45.0, 120.0, 0.76, f64::NAN] {
        let body = body_of(Runner { leg_length_cm: Some(leg_length_cm), ..runner.clone() });
        assert_eq!(body.leg_length_m, plain.leg_length_m);
        assert_eq!(ids(&body), ["body-leg-length-odd"], "{leg_length_cm}");
    }
}

#[test]
fn very_unusual_stature_asks_for_a_second_look_at_the_age_it_was_taken() {
    let at = |stature_cm, stature_date| Runner {
        stature_cm: Some(stature_cm),
        stature_date: Some(stature_date),
        ..aged("Ada", Some(Sex::Female), 14.0 + 1e-9)
    };
    assert!(ids(&body_of(at(172.0, TODAY))).is_empty());
    assert_eq!(ids(&body_of(at(190.0, TODAY))), ["body-stature-surprising"]);
    assert_eq!(ids(&body_of(at(125.0, TODAY))), ["body-stature-surprising"]);
    // The same 125 cm six years ago, at eight, was usual.
    assert!(ids(&body_of(at(125.0, date(2020, 3, 2)))).is_empty());
    // With sex unknown it must be unusual for both.
    let unknown_sex = |stature_cm| Runner { sex: None, ..at(stature_cm, TODAY) };
    assert!(ids(&body_of(unknown_sex(187.0))).is_empty());
    assert_eq!(ids(&body_of(unknown_sex(197.0))), ["body-stature-surprising"]);
}

#[test]
fn growing_fast_is_one_plain_sentence() {
    let runner = Runner {
        stature_cm: Some(146.0),
        stature_date: Some(TODAY),
        stature_before: Some((141.0, date(2025, 9, 1))),
        ..aged("Ada", Some(Sex::Female), 12.0)
    };
    let body = body_of(runner);
    let words = Words::english(Units::Metric);
    assert_eq!(
        words.say(&body.notices[0]),
        "Ada has grown 5 cm in 6 months and is growing fast: steps may be clumsy for a while, so measure them again \
         and keep jumps and hard turns few."
    );
    assert_eq!(body.growth.unwrap().pace, Pace::Fast);
}

#[test]
fn shrinking_child_is_a_measuring_mistake() {
    let runner = Runner { stature_before: Some((149.0, date(2025, 9, 1))), ..measured("Ada", 146.0) };
    assert_eq!(ids(&body_of(runner)), ["body-stature-shrank"]);
    let within_reading_error =
        Runner { stature_before: Some((147.0, date(2025, 9, 1))), ..measured("Ada", 146.0) };
    assert!(ids(&body_of(within_reading_error)).is_empty());
}

#[test]
fn birth_date_after_today_is_not_used() {
    let runner = Runner { age: Some(Age::Born(date(2027, 1, 1))), ..measured("Ada", 146.0) };
    assert_eq!(ids(&body_of(runner)), ["body-age-not-usable"]);
}

#[test]
fn order_of_the_class_does_not_matter() {
    let mut class = vec![
        measured("a", 160.0),
        aged("b", Some(Sex::Male), 12.0),
        aged("c", None, 12.0),
        child("d"),
        Runner { line_up: Some((2, 4)), ..child("e") },
        Runner { line_up: Some((1, 4)), ..measured("f", 158.0) },
        Runner { line_up: Some((4, 4)), ..measured("g", 140.0) },
        Runner { line_up: Some((3, 4)), ..child("h") },
    ];
    let forward = class_bodies(&class, TODAY);
    class.reverse();
    let mut backward = class_bodies(&class, TODAY);
    backward.reverse();
    for (a, b) in forward.iter().zip(&backward) {
        assert!((a.stature_mu_ln - b.stature_mu_ln).abs() < 1e-12);
        assert!((a.stature_sd_ln - b.stature_sd_ln).abs() < 1e-12);
        assert_eq!((a.basis, &a.notices), (b.basis, &b.notices));
    }
}

/// Lines up a class with true statures, measures three, and returns (error, said spread) on ln stature of the rest,
/// and the error that straight interpolation by place would have made.
fn line_up_errors(seeded: &mut Seeded, count: u32) -> Vec<(f64, f64, f64)> {
    let mut true_cm: Vec<f64> = (0..count).map(|_| 150.0 * (1.0 + 0.047 * seeded.normal())).collect();
    true_cm.sort_by(|a, b| b.total_cmp(a));
    let middle = count.div_ceil(2);
    let class: Vec<Runner> = (1..=count)
        .zip(&true_cm)
        .map(|(place, stature_cm)| {
            let label = format!("r{place}");
            let base = if [1, middle, count].contains(&place) {
                measured(&label, *stature_cm)
            } else {
                child(&label)
            };
            Runner { line_up: Some((place, count)), ..base }
        })
        .collect();
    let (tall, mid, short) = (true_cm[0], true_cm[middle as usize - 1], true_cm[count as usize - 1]);
    class_bodies(&class, TODAY)
        .iter()
        .zip(&true_cm)
        .zip(1..=count)
        .filter(|((body, _), _)| body.basis == SizeBasis::LineUp)
        .map(|((body, stature_cm), place)| {
            let straight_cm = if place < middle {
                tall + (mid - tall) * f64::from(place - 1) / f64::from(middle - 1)
            } else {
                mid + (short - mid) * f64::from(place - middle) / f64::from(count - middle)
            };
            let error = body.stature_mu_ln - libm::log(*stature_cm);
            (error, body.stature_sd_ln, libm::log(straight_cm / stature_cm))
        })
        .collect()
}

#[test]
fn line_up_with_three_measured_children_places_the_rest_within_three_centimetres() {
    let mut seeded = Seeded(7);
    let all: Vec<_> = (0..300).flat_map(|_| line_up_errors(&mut seeded, 28)).collect();
    let rms = |errors: &mut dyn Iterator<Item = f64>| {
        let (sum, count) = errors.fold((0.0, 0.0), |(sum, count), error| (sum + error * error, count + 1.0));
        (sum / count).sqrt()
    };
    let ours = rms(&mut all.iter().map(|(error, ..)| *error));
    let straight = rms(&mut all.iter().map(|(.., error)| *error));
    let unlined = 0.047;
    // Seen with this seed: 0.0111 (1.7 cm) against 0.0198 (3.0 cm) straight by place.
    assert!(ours < 0.0125 && ours < 0.62 * straight && straight < unlined, "{ours} against {straight}");
    let inside = all.iter().filter(|(error, sd, _)| error.abs() < normal::Z_95 * sd).count();
    let coverage = inside as f64 / all.len() as f64;
    // Seen: 0.953; the line is perfect here, while the method allows for one judged by eye.
    assert!((0.90..0.97).contains(&coverage), "{coverage}");
}
