//! Looks back at forecasts of the unit on simulated classes with known truth: how often the 80 % range made after one
//! lesson held what the next one showed. Run:
//! `cargo run --release -p lanewright-science --example unit_calibration [classes] [first seed]`.

#[path = "../tests/outside_checks/unit_world.rs"]
mod unit_world;

use unit_world::{Curve, Held, USUAL_FORM, look_back};

const CHILDREN: usize = 24;
const LESSONS: usize = 6;
const DRAWS: usize = 200;

fn show(name: &str, held: &Held) {
    let n = held.outcomes;
    let (last, own, both) = held.last_square;
    println!(
        "  {name:<16} {n:>6} outcomes  80 % {:.3}  90 % {:.3}  bias {:+.4}  width {:.3}  error {:.4}; \
         where run the lesson before {:.4}, that lesson's share {:.4}",
        held.in_80 / n,
        held.in_90 / n,
        held.error / n,
        held.width / n,
        (held.square / n).sqrt(),
        (own / both).sqrt(),
        (last / both).sqrt(),
    );
}

fn main() {
    let number = |place: usize| std::env::args().nth(place).and_then(|text| text.parse::<u64>().ok());
    let (classes, first_seed) = (number(1).unwrap_or(8), number(2).unwrap_or(1));
    let worlds = [
        (Curve::NearSure, USUAL_FORM),
        (Curve::Slowing, USUAL_FORM),
        (Curve::Steady, USUAL_FORM),
        (Curve::NearSure, 0.0),
        (Curve::NearSure, 2.0 * USUAL_FORM),
    ];
    for (curve, form_sd) in worlds {
        println!("{curve:?}, form of the day {form_sd}: {classes} classes of {CHILDREN}");
        let mut all = Held::default();
        let mut by_lesson = vec![Held::default(); LESSONS - 1];
        for seed in first_seed..first_seed + classes {
            for (sum, held) in
                by_lesson.iter_mut().zip(look_back(curve, form_sd, CHILDREN, LESSONS, DRAWS, seed))
            {
                sum.add(&held);
                all.add(&held);
            }
        }
        for (index, held) in by_lesson.iter().enumerate() {
            show(&format!("lesson {}", index + 2), held);
        }
        show("all", &all);
    }
}
