//! Toppling against statics worked by hand and the rule for race hurdles.

use lanewright_science::topple::{
    First, GRAVITY_MPS2, Object, PUSH_MAX_N, RestingBar, Topple, Verdict, judge, judge_resting_bar,
};

/// Worked figures are printed with three or four digits.
const LAST_DIGIT: f64 = 0.0006;

fn object(mass_kg: f64, half_depth_m: f64, centre_height_m: f64, friction: f64) -> Object {
    Object { mass_kg, height_m: 0.30, half_depth_m, centre_height_m, friction }
}

fn says(topple: &Topple, id: &str) -> bool {
    topple.why.iter().any(|message| message.id == id)
}

#[track_caller]
fn near(computed: f64, expected: f64, tolerance: f64) {
    assert!((computed - expected).abs() <= tolerance, "{computed} is not {expected} ± {tolerance}");
}

/// Rows worked by hand from m g b / H, μ m g, m g (√(b² + h²) − h) and, for even boxes struck at the top,
/// m (1 + (depth/height)²) / 3.
#[test]
fn statics_worked_by_hand_agree() {
    use First::{Either, Slides, Tips};
    use Verdict::{FallsEasily, TooFirm};
    let rows = [
        // mass, half depth, centre height, friction; tip N, tip J, slide N; first, verdict, blows over
        ("light frame", object(0.5, 0.15, 0.12, 0.5), 2.453, 0.3536, 2.45, Either, FallsEasily, false),
        (
            "light frame, short side",
            object(0.5, 0.05, 0.12, 0.5),
            0.818,
            0.0491,
            2.45,
            Tips,
            FallsEasily,
            true,
        ),
        (
            "cardboard box 30 cm deep",
            object(0.6, 0.15, 0.15, 0.4),
            2.943,
            0.3657,
            2.35,
            Slides,
            FallsEasily,
            false,
        ),
        (
            "cardboard box 20 cm deep",
            object(0.6, 0.10, 0.15, 0.4),
            1.962,
            0.1782,
            2.35,
            Tips,
            FallsEasily,
            false,
        ),
        ("wooden box 30 x 30 cm", object(5.0, 0.15, 0.15, 0.4), 24.525, 3.048, 19.6, Slides, TooFirm, false),
        ("bench", object(12.0, 0.15, 0.22, 0.4), 58.860, 5.447, 47.1, Slides, TooFirm, false),
    ];
    for (name, object, tip_force_n, tip_energy_j, slide_force_n, first, verdict, blows_over) in rows {
        let topple = judge(&object);
        near(topple.tip_force_n.unwrap(), tip_force_n, LAST_DIGIT);
        near(topple.tip_energy_j.unwrap(), tip_energy_j, LAST_DIGIT);
        near(topple.slide_force_n.unwrap(), slide_force_n, 0.06);
        assert_eq!((topple.first, topple.verdict), (first, verdict), "{name}");
        assert_eq!(says(&topple, "topple-blows-over"), blows_over, "{name}");
    }
}

#[test]
fn even_boxes_have_the_effective_mass_and_impulse_worked_by_hand() {
    for (mass_kg, half_depth_m, effective_mass_kg, impulse_ns) in
        [(0.6, 0.15, 0.400, 0.541), (0.6, 0.10, 0.289, 0.321), (5.0, 0.15, 3.333, 4.507)]
    {
        let object = object(mass_kg, half_depth_m, 0.15, 0.4);
        near(object.effective_mass_kg(), effective_mass_kg, LAST_DIGIT);
        near(object.tip_impulse_ns(), impulse_ns, LAST_DIGIT);
        let depth_over_height = 2.0 * half_depth_m / object.height_m;
        near(object.effective_mass_kg(), mass_kg * (1.0 + depth_over_height.powi(2)) / 3.0, 1e-12);
    }
}

/// A 150 g stick that rests on two cones, flat and behind a lip of 45 degrees.
#[test]
fn a_resting_stick_falls_off_as_worked_by_hand() {
    let flat = RestingBar { mass_kg: 0.15, friction: 0.4, lip_rad: 0.0 };
    near(flat.release_force_n(), 0.59, 0.005);
    let lip = RestingBar { lip_rad: std::f64::consts::FRAC_PI_4, ..flat };
    near(lip.release_force_n(), 3.4, 0.05);
    for bar in [flat, lip] {
        let topple = judge_resting_bar(&bar);
        assert_eq!((topple.first, topple.verdict), (First::BarFalls, Verdict::FallsEasily));
        near(topple.effective_mass_kg.unwrap(), 0.15, 0.0);
    }
}

/// World Athletics Technical Rule 22 as the England Athletics equipment table quotes it: a force equal to the weight
/// of 3.6 to 4 kg at the centre of the top edge tilts a race hurdle of at least 10 kg; at 1.067 m that is a moment
/// of 37.68 N m, so the counterweights stand 0.384 m from the edge over which it tips.
#[test]
fn race_hurdle_rule_is_met_by_the_statics() {
    let race =
        Object { mass_kg: 10.0, height_m: 1.067, half_depth_m: 0.384, centre_height_m: 0.5, friction: 0.5 };
    near(race.tip_force_n(), 35.30, 0.01);
    let lightest_n = 3.6 * GRAVITY_MPS2;
    let heaviest_n = 4.0 * GRAVITY_MPS2;
    assert!(race.tip_force_n() >= lightest_n - 0.02 && race.tip_force_n() <= heaviest_n);
    near(lightest_n * 1.067, 37.68, 0.005);
    // A race hurdle is no training hurdle for children.
    assert_eq!(judge(&race).verdict, Verdict::TooFirm);
}

/// England Athletics equipment table: 2.7 kg is the lowest toppling weight it prints. The limit for stand-ins lies
/// well below it.
#[test]
fn limit_for_stand_ins_lies_below_every_published_toppling_weight() {
    let lowest_n = 2.7 * GRAVITY_MPS2;
    near(lowest_n, 26.5, 0.05);
    near(lowest_n * 0.685, 18.14, 0.005);
    near(PUSH_MAX_N / lowest_n, 0.38, 0.005);
}
