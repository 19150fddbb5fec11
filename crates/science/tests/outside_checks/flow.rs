//! Flow against rows worked by hand.

use lanewright_science::contacts::RunSteps;
use lanewright_science::flow::{Flow, LaneFlow, Paces, StartRule, flow};

/// The rows are printed with four decimals.
const LAST_DIGIT: f64 = 0.000_05 + 1e-9;

fn row(
    children: u32,
    [run_up_m, gap_m, exit_m, run_out_m]: [f64; 4],
    hurdles: u32,
    [speed_mps, lag_s, clean_rate]: [f64; 3],
    start: StartRule,
) -> Flow {
    let contacts = RunSteps { per_gap: 1, run_up: 6, exit: 2 };
    let walk_back = true;
    let lane = LaneFlow {
        children,
        run_up_m,
        hurdles,
        gap_m,
        exit_m,
        run_out_m,
        speed_mps,
        lag_s,
        clean_rate,
        start,
        walk_back,
        contacts,
    };
    flow(&lane, &Paces::default()).unwrap()
}

#[track_caller]
fn near(computed: f64, printed: f64, what: &str) {
    assert!((computed - printed).abs() <= LAST_DIGIT, "{what}: {computed} is printed as {printed}");
}

/// Four lanes worked by hand from run = L / v + lag, back = (L + run-out) / 1.3, reset = 4 H (1 − c), interval =
/// max(N gap, cycle): a queue of seven, the same with follow starts at the fourth hurdle, four children at a long
/// lane, and ten at a walking lane.
#[test]
fn lanes_worked_by_hand_agree_to_the_printed_digit() {
    let seven = [5.0, 1.25, 4.0, 6.0];
    let follow = StartRule::Follow { hurdle: 4 };
    let rows = [
        (
            row(7, seven, 6, [3.5, 1.1, 0.85], StartRule::Clear),
            [5.4571, 16.3462, 3.6, 7.9143, 24.8033, 55.4, 1.0830, 0.3936, 33.5967],
        ),
        (
            row(7, seven, 6, [3.5, 1.1, 0.85], follow),
            [5.4571, 16.3462, 3.6, 7.7, 24.8033, 53.9, 1.1132, 0.4045, 32.0967],
        ),
        (
            row(4, [5.0, 1.10, 4.0, 6.0], 8, [3.0, 1.1, 0.90], StartRule::Clear),
            [6.6667, 17.4615, 3.2, 8.5333, 27.1282, 34.1333, 1.7578, 0.7069, 10.0051],
        ),
        (
            row(10, [1.0, 0.55, 2.0, 1.0], 8, [1.0, 0.4, 0.80], StartRule::Clear),
            [7.25, 6.0385, 6.4, 11.65, 16.2885, 116.5, 0.5150, 0.1141, 103.2115],
        ),
    ];
    for (number, (flow, printed)) in rows.iter().enumerate() {
        let computed = [
            flow.run_s,
            flow.back_s,
            flow.reset_s,
            flow.start_gap_s,
            flow.cycle_s,
            flow.interval_s,
            flow.runs_per_min,
            flow.moving_share,
            flow.wait_s,
        ];
        for (column, (computed, printed)) in computed.into_iter().zip(printed).enumerate() {
            near(computed, *printed, &format!("lane {}, column {}", number + 1, column + 1));
        }
    }
}

/// Little 1961, Operations Research 9:383-387: the mean number in a system is the rate of arrivals times the mean time
/// in it.
#[test]
fn children_in_the_cycle_obey_littles_law() {
    let flow = row(7, [5.0, 1.25, 4.0, 6.0], 6, [3.5, 1.1, 0.85], StartRule::Clear);
    let starts_per_s = 7.0 / flow.interval_s;
    near(flow.in_cycle, starts_per_s * flow.cycle_s, "children busy");
    near(flow.in_cycle, 3.1340, "children busy");
}
