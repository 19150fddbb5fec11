//! Two phones, one time: by how much their clocks differ, and what a time between them is worth.

use lanewright_model::Estimate;
use lanewright_model::words::Message;
use serde::{Deserialize, Serialize};

use super::METHOD;
use crate::normal::Z_95;

/// Most by which two clocks of phones run apart, parts in a million (engineering assumption: each crystal within 50).
pub const DRIFT_MAX_PPM: f64 = 100.0;
/// Shortest time over which a drift is said, seconds (engineering assumption).
const DRIFT_SPAN_MIN_S: f64 = 30.0;

/// One question and its answer between two phones, each moment read on the clock of the phone where it happened.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Exchange {
    /// Question sent, clock here, seconds.
    pub sent_here_s: f64,
    /// Question received, clock there.
    pub received_there_s: f64,
    /// Answer sent, clock there.
    pub sent_there_s: f64,
    /// Answer received, clock here.
    pub received_here_s: f64,
}

impl Exchange {
    fn is_possible(&self) -> bool {
        let times = [self.sent_here_s, self.received_there_s, self.sent_there_s, self.received_here_s];
        times.iter().all(|time| time.is_finite())
            && self.received_here_s >= self.sent_here_s
            && self.sent_there_s >= self.received_there_s
    }

    /// Bounds of the offset that no delay can break: no message arrives before it was sent.
    fn bounds(&self) -> (f64, f64) {
        (self.sent_there_s - self.received_here_s, self.received_there_s - self.sent_here_s)
    }
}

/// Clock there minus clock here.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClockOffset {
    /// Middle of what is possible, seconds.
    pub offset_s: f64,
    /// The true offset is no further away than this, whatever the delays, while the clocks drift apart by less than
    /// [`DRIFT_MAX_PPM`]: seconds.
    pub error_s: f64,
    /// Moment that it holds for, clock here.
    pub at_here_s: f64,
    /// Exchanges behind it.
    pub exchanges: u32,
    /// How fast the clock there gains on the one here: bounds in parts in a million, once the exchanges span half a
    /// minute.
    pub drift_ppm: Option<(f64, f64)>,
}

/// Why there is no offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ClockError {
    /// No exchange that could have happened.
    #[error("the phones have not exchanged a time yet")]
    NoExchange,
    /// The exchanges contradict one another: a clock was set or slept in between.
    #[error("the clocks were set or slept between two exchanges; start over with new ones")]
    ClocksJumped,
}

/// Returns the offset of the other phone's clock at a moment of the clock here.
///
/// Exchanges that cannot have happened (an answer received before the question was sent) are passed over.
///
/// # Formula
/// Each exchange leaves an interval: received there − sent here is at least the offset, sent there − received here at
/// most (Cristian 1989, Distributed Computing 3:146-158). Carried to the moment asked for it widens by the greatest
/// drift times the time between. The offset lies in all of these intervals; half the width of what they share is the
/// error. Delays may differ both ways as they like.
///
/// # Errors
/// Without an exchange, or when no offset fits them all.
pub fn clock_offset(exchanges: &[Exchange], at_here_s: f64) -> Result<ClockOffset, ClockError> {
    let possible: Vec<&Exchange> = exchanges.iter().filter(|exchange| exchange.is_possible()).collect();
    if possible.is_empty() {
        return Err(ClockError::NoExchange);
    }
    let rate = DRIFT_MAX_PPM * 1e-6;
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for exchange in &possible {
        let (least, most) = exchange.bounds();
        // Each bound was read at one moment of the clock here.
        low = low.max(least - rate * (at_here_s - exchange.received_here_s).abs());
        high = high.min(most + rate * (at_here_s - exchange.sent_here_s).abs());
    }
    if low > high {
        return Err(ClockError::ClocksJumped);
    }
    Ok(ClockOffset {
        offset_s: 0.5 * (low + high),
        error_s: 0.5 * (high - low),
        at_here_s,
        exchanges: possible.len() as u32,
        drift_ppm: drift(&possible),
    })
}

/// Bounds of the mean drift over the exchanges: every later bound against every earlier one.
fn drift(exchanges: &[&Exchange]) -> Option<(f64, f64)> {
    let (mut low, mut high) = (-DRIFT_MAX_PPM, DRIFT_MAX_PPM);
    let first = exchanges.iter().map(|exchange| exchange.sent_here_s).fold(f64::INFINITY, f64::min);
    let last = exchanges.iter().map(|exchange| exchange.received_here_s).fold(f64::NEG_INFINITY, f64::max);
    if last - first < DRIFT_SPAN_MIN_S {
        return None;
    }
    for earlier in exchanges {
        for later in exchanges {
            let ((least, most), (later_least, later_most)) = (earlier.bounds(), later.bounds());
            let rises_s = later.received_here_s - earlier.sent_here_s;
            if rises_s >= DRIFT_SPAN_MIN_S {
                low = f64::max(low, (later_least - most) / rises_s * 1e6);
            }
            let falls_s = later.sent_here_s - earlier.received_here_s;
            if falls_s >= DRIFT_SPAN_MIN_S {
                high = f64::min(high, (later_most - least) / falls_s * 1e6);
            }
        }
    }
    Some((low, high))
}

/// Whose clock stamped a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phone {
    /// This one.
    Here,
    /// The other.
    There,
}

/// One moment, stamped by a phone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stamp {
    /// Which clock.
    pub phone: Phone,
    /// Reading of that clock, seconds.
    pub at_s: f64,
    /// Error of the tap, standard deviation in seconds.
    pub sd_s: f64,
}

/// A time between two stamps.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TimeBetween {
    /// The time with its 90 % interval, seconds.
    pub seconds: Estimate,
    /// Its error as a standard deviation, seconds: taps and clocks.
    pub sd_s: f64,
    /// The clocks' part of the error: no further off than this, seconds; 0 on one phone.
    pub clock_error_s: f64,
}

impl TimeBetween {
    /// Returns the error of the clocks in words; nothing on one phone.
    pub fn words(&self) -> Option<Message> {
        (self.clock_error_s > 0.0).then(|| {
            Message::new("turn-clock-error")
                .with("seconds", lanewright_model::Arg::Number(self.clock_error_s))
        })
    }
}

/// Returns the time from `start` to `stop`; nothing when they come from two phones and the offset is not known.
///
/// # Formula
/// stop − start, the stamp from there less the offset. Variances of the two taps add up; the clock error is bounded by
/// ±e and anywhere within is as likely, so it adds e²/3. The 90 % interval is 1.645 standard deviations to each side.
pub fn time_between(start: Stamp, stop: Stamp, offset: Option<&ClockOffset>) -> Option<TimeBetween> {
    let (offset_s, clock_error_s) = match offset {
        _ if start.phone == stop.phone => (0.0, 0.0),
        Some(offset) => (offset.offset_s, offset.error_s),
        None => return None,
    };
    let here_s = |stamp: &Stamp| if stamp.phone == Phone::There { stamp.at_s - offset_s } else { stamp.at_s };
    let seconds = here_s(&stop) - here_s(&start);
    let sd_s = (start.sd_s * start.sd_s + stop.sd_s * stop.sd_s + clock_error_s * clock_error_s / 3.0).sqrt();
    Some(TimeBetween {
        seconds: Estimate {
            median: seconds,
            low: seconds - Z_95 * sd_s,
            high: seconds + Z_95 * sd_s,
            n: 1,
            method: METHOD.to_owned(),
        },
        sd_s,
        clock_error_s,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exchange(start: f64, there: f64, back: f64, offset: f64) -> Exchange {
        Exchange {
            sent_here_s: start,
            received_there_s: start + there + offset,
            sent_there_s: start + there + 0.001 + offset,
            received_here_s: start + there + 0.001 + back,
        }
    }

    #[test]
    fn without_delay_the_offset_is_exact() {
        let offset = clock_offset(&[exchange(10.0, 0.0, 0.0, 3.5)], 10.0).unwrap();
        assert!((offset.offset_s - 3.5).abs() < 1e-6 && offset.error_s < 1e-6, "{offset:?}");
        assert!(offset.drift_ppm.is_none());
    }

    #[test]
    fn unequal_delays_move_the_estimate_but_not_beyond_its_error() {
        let offset = clock_offset(&[exchange(10.0, 0.3, 0.01, -2.0)], 10.0).unwrap();
        assert!((offset.offset_s - -2.0).abs() > 0.1 && (offset.offset_s + 2.0).abs() <= offset.error_s);
        // One quick exchange makes the slow ones harmless.
        let with_quick = [exchange(10.0, 0.3, 0.01, -2.0), exchange(11.0, 0.004, 0.006, -2.0)];
        assert!(clock_offset(&with_quick, 11.0).unwrap().error_s < 0.006);
    }

    #[test]
    fn the_error_grows_while_the_phones_do_not_see_each_other() {
        let exchanges = [exchange(10.0, 0.01, 0.01, 1.0)];
        let now = clock_offset(&exchanges, 10.0).unwrap().error_s;
        let later = clock_offset(&exchanges, 610.0).unwrap().error_s;
        assert!((later - now - 600.0 * DRIFT_MAX_PPM * 1e-6).abs() < 1e-5, "{now} and {later}");
    }

    #[test]
    fn a_clock_that_jumped_is_noticed() {
        let exchanges = [exchange(10.0, 0.01, 0.01, 1.0), exchange(12.0, 0.01, 0.01, 2.0)];
        assert_eq!(clock_offset(&exchanges, 12.0), Err(ClockError::ClocksJumped));
        assert_eq!(clock_offset(&[], 12.0), Err(ClockError::NoExchange));
        let impossible = Exchange { received_here_s: 9.0, ..exchange(10.0, 0.01, 0.01, 1.0) };
        assert_eq!(clock_offset(&[impossible], 12.0), Err(ClockError::NoExchange));
    }

    #[test]
    fn a_time_on_one_phone_needs_no_offset() {
        let stamp = |phone, at_s| Stamp { phone, at_s, sd_s: 0.1 };
        let one = time_between(stamp(Phone::There, 1.0), stamp(Phone::There, 4.0), None).unwrap();
        assert!(
            (one.seconds.median - 3.0).abs() < 1e-12 && one.clock_error_s == 0.0 && one.words().is_none()
        );
        assert!(time_between(stamp(Phone::Here, 1.0), stamp(Phone::There, 4.0), None).is_none());
        let offset =
            ClockOffset { offset_s: 1.5, error_s: 0.03, at_here_s: 0.0, exchanges: 3, drift_ppm: None };
        let two = time_between(stamp(Phone::Here, 1.0), stamp(Phone::There, 4.0), Some(&offset)).unwrap();
        assert!((two.seconds.median - 1.5).abs() < 1e-12 && two.sd_s > one.sd_s && two.words().is_some());
    }
}
