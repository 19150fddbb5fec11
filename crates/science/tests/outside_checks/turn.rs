//! Calls, clocks and drop-off against distributions, worked rows and a simulated network.

use lanewright_science::turn::{
    CallAsk, ClockError, DRIFT_MAX_PPM, Exchange, Phone, Stamp, calls, clock_offset, drop_off, noise_floor,
    time_between,
};

use crate::sprint::Random;

/// Largest distance between the shares of the values and of an exponential of that mean, times √n: above 1.63 for one
/// sample in a hundred (Kolmogorov 1933; table in Stephens 1974, Journal of the American Statistical Association
/// 69:730-737).
fn distance_from_exponential(mut values: Vec<f64>, mean: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len() as f64;
    let apart = values
        .iter()
        .enumerate()
        .map(|(index, value)| {
            let below = -libm::expm1(-value / mean);
            (below - index as f64 / n).abs().max((below - (index + 1) as f64 / n).abs())
        })
        .fold(0.0, f64::max);
    apart * n.sqrt()
}

fn gaps(times: &[f64]) -> Vec<f64> {
    let starts = std::iter::once(0.0).chain(times.iter().copied());
    starts.zip(times).map(|(before, time)| time - before).collect()
}

#[test]
fn calls_have_no_memory_beyond_the_shortest_gap() {
    let ask = CallAsk::of_length(None);
    let all: Vec<f64> = (0..60).flat_map(|seed| gaps(&calls(&ask, seed).unwrap())).collect();
    assert!(all.len() > 8000);
    let mean = ask.gap_mean_s - ask.gap_min_s;
    let beyond: Vec<f64> = all.iter().map(|gap| gap - ask.gap_min_s).collect();
    assert!(beyond.iter().all(|gap| *gap >= 0.0));
    assert!(distance_from_exponential(beyond.clone(), mean) < 1.63);
    // Whoever has waited three seconds already waits on as if just come.
    let waited: Vec<f64> = beyond.iter().filter(|gap| **gap > 3.0).map(|gap| gap - 3.0).collect();
    assert!(waited.len() > 1000 && distance_from_exponential(waited, mean) < 1.63);
    // One gap says nothing of the next.
    let middle = beyond.iter().sum::<f64>() / beyond.len() as f64;
    let together: f64 = beyond.windows(2).map(|two| (two[0] - middle) * (two[1] - middle)).sum();
    let alone: f64 = beyond.iter().map(|gap| (gap - middle) * (gap - middle)).sum();
    assert!((together / alone).abs() * (beyond.len() as f64).sqrt() < 2.6);
}

#[test]
fn a_bout_never_ends_with_a_call_that_cannot_be_answered_and_its_end_cannot_be_foreseen() {
    for length_s in [5.0, 10.0, 30.0] {
        let ask = CallAsk::of_length(Some(length_s));
        let rate = 1.0 / (ask.gap_mean_s - ask.gap_min_s);
        let last_s = length_s - ask.gap_min_s;
        // Calls, and seconds in which a call may come, in the first and the second half of that time.
        let (mut counts, mut seconds) = ([0.0f64; 2], [0.0f64; 2]);
        let half_s = 0.5 * (last_s + ask.gap_min_s);
        for seed in 0..4000 {
            let times = calls(&ask, seed).unwrap();
            assert!(
                times.iter().all(|time| *time <= last_s)
                    && gaps(&times).iter().all(|gap| *gap >= ask.gap_min_s)
            );
            for time in &times {
                counts[usize::from(*time > half_s)] += 1.0;
            }
            let mut from = ask.gap_min_s;
            for until in times.iter().copied().chain([last_s]) {
                seconds[0] += (until.min(half_s) - from).max(0.0);
                seconds[1] += (until - from.max(half_s)).max(0.0);
                from = until + ask.gap_min_s;
            }
        }
        for (count, seconds) in counts.iter().zip(seconds) {
            let expected = rate * seconds;
            assert!(
                (count - expected).abs() < 3.3 * expected.sqrt(),
                "{length_s} s: {count} and {expected:.0}"
            );
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_calls_and_another_seed_others() {
    let ask = CallAsk::of_length(Some(30.0));
    assert_eq!(calls(&ask, 7).unwrap(), calls(&ask, 7).unwrap());
    assert_ne!(calls(&ask, 7).unwrap(), calls(&ask, 8).unwrap());
}

/// A phone whose clock drifts, changing its rate every minute, within what is allowed.
struct Clocks {
    offset_s: f64,
    rates: Vec<f64>,
}

impl Clocks {
    fn there(&self, here_s: f64) -> f64 {
        let mut there_s = here_s + self.offset_s;
        for (minute, rate) in self.rates.iter().enumerate() {
            let in_minute = (here_s - 60.0 * minute as f64).clamp(0.0, 60.0);
            there_s += rate * in_minute;
        }
        there_s
    }
}

#[test]
fn the_offset_of_two_phones_lies_within_its_error_whatever_the_network_does() {
    let mut random = Random(12);
    let (mut slow, mut errors) = (0, Vec::new());
    for _ in 0..400 {
        let steady = random.uniform() < 0.5;
        let rate = random.between(-DRIFT_MAX_PPM, DRIFT_MAX_PPM) * 1e-6;
        let rates = (0..20)
            .map(|_| if steady { rate } else { random.between(-DRIFT_MAX_PPM, DRIFT_MAX_PPM) * 1e-6 })
            .collect();
        let clocks = Clocks { offset_s: random.between(-1e5, 1e5), rates };
        // One way may be much slower than the other, and now and then a message waits for a second.
        let least = [random.between(0.001, 0.03), random.between(0.001, 0.2)];
        let mut delay = |way: usize| {
            let tail = -0.02 * libm::log(random.uniform());
            let stuck = if random.uniform() < 0.05 { 1.0 } else { 0.0 };
            least[way] + tail + stuck
        };
        let mut exchanges = Vec::new();
        for at in 0..40 {
            let sent_here_s = 10.0 * f64::from(at) + 1.0;
            let received_true_s = sent_here_s + delay(0);
            let sent_true_s = received_true_s + 0.002;
            exchanges.push(Exchange {
                sent_here_s,
                received_there_s: clocks.there(received_true_s),
                sent_there_s: clocks.there(sent_true_s),
                received_here_s: sent_true_s + delay(1),
            });
        }
        for at_here_s in [0.0, 137.0, 400.0, 900.0] {
            let found = clock_offset(&exchanges, at_here_s).unwrap();
            let truth = clocks.there(at_here_s) - at_here_s;
            assert!((found.offset_s - truth).abs() <= found.error_s + 1e-9, "{found:?} and {truth}");
            if at_here_s == 137.0 {
                errors.push(found.error_s);
                slow += u32::from(found.error_s > 0.15);
            }
        }
        let (low, high) = clock_offset(&exchanges, 400.0).unwrap().drift_ppm.unwrap();
        let mean_rate = (clocks.there(391.0) - clocks.there(1.0) - 390.0) / 390.0 * 1e6;
        assert!(!steady || (low <= mean_rate + 1e-3 && mean_rate <= high + 1e-3), "{low} {mean_rate} {high}");
    }
    errors.sort_by(f64::total_cmp);
    // The error follows the quickest way there and back, not the worst.
    assert!(errors[200] < 0.1 && slow == 0, "{} {slow}", errors[200]);
}

#[test]
fn a_time_between_two_phones_lies_within_its_interval_in_nine_of_ten_or_more() {
    let mut random = Random(31);
    let mut held = 0;
    for _ in 0..4000 {
        let offset_s = random.between(-100.0, 100.0);
        let mut exchange = |sent_here_s: f64| {
            let (there, back) = (random.between(0.005, 0.06), random.between(0.005, 0.06));
            Exchange {
                sent_here_s,
                received_there_s: sent_here_s + there + offset_s,
                sent_there_s: sent_here_s + there + offset_s,
                received_here_s: sent_here_s + there + back,
            }
        };
        let exchanges = [exchange(0.0), exchange(5.0), exchange(10.0)];
        let offset = clock_offset(&exchanges, 12.0).unwrap();
        let sd_s = 0.1;
        let start = Stamp { phone: Phone::Here, at_s: 10.0 + sd_s * random.normal(), sd_s };
        let stop = Stamp { phone: Phone::There, at_s: 14.2 + offset_s + sd_s * random.normal(), sd_s };
        let time = time_between(start, stop, Some(&offset)).unwrap();
        held += u32::from(time.seconds.low <= 4.2 && 4.2 <= time.seconds.high);
    }
    let share = f64::from(held) / 4000.0;
    assert!((0.885..0.95).contains(&share), "{share}");
}

#[test]
fn a_clock_set_during_the_lesson_is_noticed_and_not_averaged_away() {
    let exchange = |at: f64, offset: f64| Exchange {
        sent_here_s: at,
        received_there_s: at + 0.02 + offset,
        sent_there_s: at + 0.02 + offset,
        received_here_s: at + 0.04,
    };
    let exchanges = [exchange(0.0, 3.0), exchange(10.0, 3.0), exchange(20.0, 3.2)];
    assert_eq!(clock_offset(&exchanges, 20.0), Err(ClockError::ClocksJumped));
    assert!(clock_offset(&exchanges[2..], 20.0).is_ok());
}

/// Worked by hand: 4.90 4.95 5.02 5.08 5.15 5.10 s. Sum 30.20, ideal 29.40.
#[test]
fn drop_off_of_a_worked_series() {
    let found = drop_off(&[4.90, 4.95, 5.02, 5.08, 5.15, 5.10], 0.05).unwrap();
    assert!((found.decrement - 0.027_211).abs() < 5e-7 && (found.slowest_over_best - 0.051_020).abs() < 5e-7);
    assert!((found.slope_s.median - 0.047_43).abs() < 5e-6);
}

/// Six times of 5 s with nobody tiring, simulated with NumPy: mean decrement 1.28 % (95 % below 2.23) with an error of
/// 0.05 s, 2.61 % (4.59) with 0.10 s.
#[test]
fn noise_alone_makes_the_drop_off_that_was_simulated_elsewhere() {
    for (sd_s, mean, high) in [(0.05, 0.0128, 0.0223), (0.10, 0.0261, 0.0459)] {
        let (own_mean, own_high) = noise_floor(6, sd_s, 5.0);
        assert!((own_mean - mean).abs() < 2e-4, "{own_mean} and {mean}");
        assert!((own_high - high).abs() < 6e-4, "{own_high} and {high}");
    }
}

/// Extreme deviate from the sample mean, upper 5 % points (Nair 1948, Biometrika 35:118-144; as in Pearson & Hartley's
/// Biometrika Tables, table 25; values from memory, two decimals).
#[test]
fn extreme_deviates_equal_the_published_points() {
    for (repeats, printed) in [(3, 1.74), (4, 1.94), (5, 2.08), (6, 2.18), (8, 2.33), (10, 2.44)] {
        let (_, high) = noise_floor(repeats, 1e-6, 1.0);
        assert!((high * 1e6 - printed).abs() < 0.0051, "{repeats}: {high}");
    }
}

/// A series without tiring is called noise nineteen times in twenty, and the slope's interval holds 0.
#[test]
fn a_series_without_tiring_is_called_noise() {
    let mut random = Random(9);
    let (mut noise, mut flat) = (0, 0);
    for _ in 0..2000 {
        let times: Vec<f64> = (0..6).map(|_| 5.0 + 0.1 * random.normal()).collect();
        let found = drop_off(&times, 0.1).unwrap();
        noise += u32::from(!found.above_noise);
        flat += u32::from(found.slope_s.low <= 0.0 && 0.0 <= found.slope_s.high);
    }
    assert!((1860..=1940).contains(&noise), "{noise}");
    assert!(flat >= 1780, "{flat}");
}
