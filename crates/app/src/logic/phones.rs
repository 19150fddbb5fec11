//! Two phones, two clocks: what each learns from asking the server for the time.
//!
//! The server read its clock at some moment between question and answer, so every answer bounds how far the two clocks
//! are apart, however the way there and the way back share the delay (`turn::clock_offset`, and its method page). Quick
//! answers bound it narrowly. Two phones that both asked know how they stand to each other.

use lanewright_model::record::ClockCheckBody;
use lanewright_model::timing::{ClockOffset, DRIFT, Press, offset_at};
use lanewright_science::turn::{Exchange, clock_offset};

/// Questions of one comparison (engineering assumption: enough for one quick answer on a busy network).
pub const QUESTIONS: u32 = 8;
/// The server says whole milliseconds: the moment lies up to this much behind what it says.
const SERVER_STEP_MS: f64 = 1.0;
/// A phone that compared its clock within this time counts as being there, in milliseconds (engineering assumption).
pub const SEEN_WITHIN_MS: i64 = 180_000;

/// One question for the time: when it was asked and answered by the device's clock, and what the server said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// Asked, in milliseconds by the device's steady clock.
    pub asked_ms: f64,
    /// Answered, in milliseconds by the device's steady clock.
    pub answered_ms: f64,
    /// The server's number, in milliseconds since 1970.
    pub server_ms: f64,
}

/// Returns how far the device's clock is behind the server's at the last answer; `None` without answers, or when they
/// contradict each other because a clock was set in between.
pub fn compare(answers: &[Answer]) -> Option<ClockOffset> {
    let exchanges: Vec<Exchange> = answers
        .iter()
        .map(|answer| {
            // The server read its clock once, at some moment of the millisecond that it says: half of it either way.
            let there_s = (answer.server_ms + SERVER_STEP_MS / 2.0) / 1000.0;
            Exchange {
                sent_here_s: answer.asked_ms / 1000.0,
                received_there_s: there_s,
                sent_there_s: there_s,
                received_here_s: answer.answered_ms / 1000.0,
            }
        })
        .collect();
    let offset = clock_offset(&exchanges, answers.last()?.answered_ms / 1000.0).ok()?;
    let error_ms = offset.error_s * 1000.0 + SERVER_STEP_MS / 2.0;
    Some(ClockOffset { offset_ms: offset.offset_s * 1000.0, error_ms })
}

/// Returns whether a comparison is worth keeping beside those that are there: it knows more than they do by now.
pub fn worth_keeping(checks: &[ClockCheckBody], now: &Press, fresh: &ClockOffset) -> bool {
    offset_at(checks, now).is_none_or(|known| fresh.error_ms < known.error_ms)
}

/// How this phone stands to the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Others {
    /// No other phone compared its clock lately.
    None,
    /// Another one did: their clocks are known to each other within so many milliseconds.
    Within(f64),
}

/// Returns how this phone's clock stands to that of another phone that was there lately: the worst of several.
pub fn others(checks: &[ClockCheckBody], now: &Press) -> Others {
    let Some(own) = offset_at(checks, now) else { return Others::None };
    let here_ms = now.at_ms as f64 + own.offset_ms;
    let mut devices: Vec<&str> = checks.iter().map(|check| check.device.as_str()).collect();
    devices.sort_unstable();
    devices.dedup();
    let errors = devices.into_iter().filter(|device| *device != now.device).filter_map(|device| {
        let last = checks
            .iter()
            .filter(|check| check.device == device)
            .max_by(|a, b| (a.at_ms as f64 + a.offset_ms).total_cmp(&(b.at_ms as f64 + b.offset_ms)))?;
        let ago_ms = here_ms - (last.at_ms as f64 + last.offset_ms);
        let here = ago_ms.abs() <= SEEN_WITHIN_MS as f64;
        here.then_some(last.error_ms + DRIFT * ago_ms.abs())
    });
    errors.max_by(f64::total_cmp).map_or(Others::None, |error_ms| Others::Within(own.error_ms + error_ms))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A network between a phone and a server whose clock is `offset_ms` ahead and runs `drift` faster.
    fn ask(offset_ms: f64, drift: f64, from_ms: f64, delays: &[(f64, f64)]) -> Vec<Answer> {
        let mut now_ms = from_ms;
        let mut answers = Vec::new();
        for (there_ms, back_ms) in delays {
            let asked_ms = now_ms;
            let at = now_ms + there_ms;
            let server_ms = (at + offset_ms + drift * at).floor();
            now_ms = at + back_ms;
            answers.push(Answer { asked_ms, answered_ms: now_ms, server_ms });
        }
        answers
    }

    fn check(device: &str, offset: ClockOffset, at_ms: i64) -> ClockCheckBody {
        ClockCheckBody {
            device: device.into(),
            clock_ms: 0,
            at_ms,
            offset_ms: offset.offset_ms,
            error_ms: offset.error_ms,
            round_trips: QUESTIONS,
            void: false,
            unknown: Default::default(),
        }
    }

    fn press(device: &str, at_ms: i64) -> Press {
        Press { device: device.into(), clock_ms: 0, at_ms }
    }

    proptest! {
        /// Whatever the delays, and however unequal: the true offset lies within the stated error.
        #[test]
        fn the_offset_of_two_phones_lies_within_its_stated_error(
            delays in prop::collection::vec((0.2..400.0f64, 0.2..400.0f64), 1..12),
            others_delays in prop::collection::vec((0.2..400.0f64, 0.2..400.0f64), 1..12),
            first in -5e6..5e6f64,
            second in -5e6..5e6f64,
            drifts in (-50e-6..50e-6f64, -50e-6..50e-6f64),
            later_ms in 0i64..120_000,
        ) {
            // Drift counts from the comparison: the offset is what it is then.
            let a = compare(&ask(first, 0.0, 1000.0, &delays)).unwrap();
            let b = compare(&ask(second, 0.0, 2000.0, &others_delays)).unwrap();
            prop_assert!((a.offset_ms - first).abs() <= a.error_ms + 1e-9);
            prop_assert!((b.offset_ms - second).abs() <= b.error_ms + 1e-9);
            // A press on each phone at the same moment by the server's clock, some time after the comparisons.
            let checks = [check("a", a, 1000), check("b", b, 2000)];
            let now_a = offset_at(&checks, &press("a", 1000 + later_ms)).unwrap();
            let now_b = offset_at(&checks, &press("b", 2000 + later_ms)).unwrap();
            let true_a = first + drifts.0 * later_ms as f64;
            let true_b = second + drifts.1 * later_ms as f64;
            let estimated = now_a.offset_ms - now_b.offset_ms;
            prop_assert!((estimated - (true_a - true_b)).abs() <= now_a.error_ms + now_b.error_ms + 1e-6);
        }
    }

    #[test]
    fn the_quickest_answer_counts() {
        let answers = ask(250.0, 0.0, 0.0, &[(200.0, 5.0), (4.0, 4.0), (90.0, 300.0)]);
        let offset = compare(&answers).unwrap();
        assert!((offset.offset_ms - 250.0).abs() <= 1.0, "{offset:?}");
        assert!(
            offset.error_ms <= 4.6,
            "half of 8 ms there and back, of the server's 1 ms, and a little drift: {offset:?}"
        );
        assert_eq!(compare(&[]), None);
    }

    #[test]
    fn a_comparison_is_kept_when_it_knows_more_than_the_ones_before() {
        let fresh = ClockOffset { offset_ms: 0.0, error_ms: 6.0 };
        let checks = [check("a", ClockOffset { offset_ms: 0.0, error_ms: 5.0 }, 0)];
        assert!(worth_keeping(&[], &press("a", 0), &fresh));
        assert!(!worth_keeping(&checks, &press("a", 1000), &fresh));
        assert!(worth_keeping(&checks, &press("a", 60_000), &fresh), "a minute of drift adds 6 ms");
    }

    #[test]
    fn another_phone_counts_while_it_was_there_lately() {
        let offset = ClockOffset { offset_ms: 100.0, error_ms: 5.0 };
        let checks = [check("a", offset, 0), check("b", ClockOffset { offset_ms: 90.0, error_ms: 7.0 }, 10)];
        assert_eq!(others(&checks[..1], &press("a", 0)), Others::None);
        assert_eq!(others(&checks, &press("a", 0)), Others::Within(12.0));
        assert_eq!(others(&checks, &press("a", SEEN_WITHIN_MS + 1000)), Others::None);
        assert_eq!(others(&checks, &press("c", 0)), Others::None, "this phone was never compared");
    }
}
