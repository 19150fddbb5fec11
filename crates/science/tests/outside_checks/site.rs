//! Stopping rooms and speeds against worked tables.

use lanewright_science::site::{sprint_speed_mps, stopping_room_m};

/// The tables print one decimal; a value that ends in a five may be printed either way.
const PRINTED: f64 = 0.0501;

#[track_caller]
fn near(computed: f64, printed: f64, what: &str) {
    assert!((computed - printed).abs() <= PRINTED, "{what}: {computed} is printed as {printed}");
}

/// Rows worked by hand from d = v t + v² / (2 a) for 3 to 9 m/s: braking at 3 m/s², the same after half a second of
/// reaction, and at 2 m/s².
#[test]
fn stopping_rooms_worked_by_hand_agree() {
    let rows = [
        (3.0, 0.0, [1.5, 2.7, 4.2, 6.0, 8.2, 10.7, 13.5]),
        (3.0, 0.5, [3.0, 4.7, 6.7, 9.0, 11.7, 14.7, 18.0]),
        (2.0, 0.0, [2.3, 4.0, 6.3, 9.0, 12.3, 16.0, 20.3]),
    ];
    for (deceleration_mps2, reaction_s, printed) in rows {
        for (speed_mps, printed_m) in (3..=9).map(f64::from).zip(printed) {
            near(
                stopping_room_m(speed_mps, deceleration_mps2, reaction_s),
                printed_m,
                &format!("{speed_mps} m/s"),
            );
        }
    }
}

/// Speed after a standing start and the room to stop from it at 3 and 2 m/s², worked independently (root finding on
/// x(t) = V (t − τ (1 − e^(−t/τ)))) from force and top speed of trained football players under 10 to under 18 (Sci Rep
/// 2025, s41598-025-89501-3, Table 2; the two oldest groups from its third period).
#[test]
fn speeds_at_a_marker_agree_with_the_table() {
    // Top speed in m/s and force per mass in N/kg; the time constant is their quotient.
    let groups = [(6.1, 6.1), (6.4, 6.4), (7.3, 6.8), (8.7, 6.1), (8.8, 6.8)];
    let rows = [
        (5.0, [(4.9, 4.0, 6.0), (5.1, 4.3, 6.4), (5.5, 5.0, 7.5), (5.7, 5.4, 8.0), (5.9, 5.8, 8.7)]),
        (10.0, [(5.6, 5.3, 7.9), (5.9, 5.7, 8.6), (6.5, 7.0, 10.4), (7.0, 8.1, 12.1), (7.2, 8.6, 12.9)]),
        (20.0, [(6.0, 6.0, 9.0), (6.3, 6.6, 9.9), (7.1, 8.4, 12.5), (8.0, 10.7, 16.0), (8.2, 11.2, 16.8)]),
        (30.0, [(6.1, 6.2, 9.3), (6.4, 6.8, 10.2), (7.2, 8.7, 13.1), (8.4, 11.8, 17.7), (8.6, 12.2, 18.3)]),
    ];
    for (distance_m, columns) in rows {
        for ((top_mps, force_npkg), (speed_mps, firm_m, gentle_m)) in groups.into_iter().zip(columns) {
            let computed_mps = sprint_speed_mps(0.0, top_mps, top_mps / force_npkg, distance_m);
            let what = format!("{top_mps} m/s over {distance_m} m");
            near(computed_mps, speed_mps, &what);
            near(stopping_room_m(computed_mps, 3.0, 0.0), firm_m, &what);
            near(stopping_room_m(computed_mps, 2.0, 0.0), gentle_m, &what);
        }
    }
}

/// Exact values of the exponential sprint with top speed 9 m/s and time constant 1.2 s: after 0.5, 1, 2 and 4 s.
#[test]
fn exponential_sprint_meets_its_closed_form() {
    for (speed_mps, distance_m) in
        [(3.066834, 0.819799), (5.088616, 2.893661), (7.300120, 9.239857), (8.678934, 25.585279)]
    {
        assert!((sprint_speed_mps(0.0, 9.0, 1.2, distance_m) - speed_mps).abs() < 2e-6);
    }
}
