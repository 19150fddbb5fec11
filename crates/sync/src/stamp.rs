//! Hybrid logical stamps: later than everything seen, close to the wall clock, never equal.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// How far a stamp may lie ahead of the server's clock, in milliseconds: 24 hours.
pub const STAMP_AHEAD_MAX_MS: u64 = 24 * 60 * 60 * 1000;
/// Latest wall time that fits into a stamp's text, in milliseconds since 1970: the year 2286.
pub const WALL_MS_MAX: u64 = 9_999_999_999_999;
/// Greatest counter that fits into a stamp's text.
pub const COUNTER_MAX: u32 = 999_999;

/// Names one device (one browser profile, or the server itself).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct DeviceId(pub Uuid);

/// When a record was written: wall time, a counter within it, and the device that wrote it.
///
/// Ordered by time, then counter, then device, so any two stamps of different writes differ. As text it is
/// `<13 digits of milliseconds>-<6 digits of counter>-<device>`, and text order is stamp order: that is why the
/// text has one form only (fixed lengths, lower case) and anything else is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stamp {
    /// Milliseconds since 1970, at most [`WALL_MS_MAX`].
    pub wall_ms: u64,
    /// Counts writes within the same millisecond or while the clock stands back, at most [`COUNTER_MAX`].
    pub counter: u32,
    /// Who wrote.
    pub device: DeviceId,
}

/// A stamp that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{provided}` is not a stamp; a stamp looks like `1772446445000-000003-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e`"
)]
pub struct StampError {
    /// What stood there.
    pub provided: String,
}

impl fmt::Display for Stamp {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{:013}-{:06}-{}", self.wall_ms, self.counter, self.device.0)
    }
}

impl FromStr for Stamp {
    type Err = StampError;

    fn from_str(text: &str) -> Result<Self, StampError> {
        let error = || StampError { provided: text.to_owned() };
        let (wall, rest) = text.split_once('-').ok_or_else(error)?;
        let (counter, device) = rest.split_once('-').ok_or_else(error)?;
        let digits =
            |part: &str, length| part.len() == length && part.bytes().all(|byte| byte.is_ascii_digit());
        if !digits(wall, 13) || !digits(counter, 6) || device.len() != 36 {
            return Err(error());
        }
        Ok(Self {
            wall_ms: wall.parse().map_err(|_| error())?,
            counter: counter.parse().map_err(|_| error())?,
            device: DeviceId(device.parse().map_err(|_| error())?),
        })
        .and_then(|stamp: Self| if stamp.to_string() == text { Ok(stamp) } else { Err(error()) })
    }
}

impl Serialize for Stamp {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Stamp {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

/// Makes stamps that are later than everything this device has written or seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clock {
    last: Stamp,
}

impl Clock {
    /// Returns a clock for a device that has seen nothing yet.
    pub fn new(device: DeviceId) -> Self {
        Self { last: Stamp { wall_ms: 0, counter: 0, device } }
    }

    /// Returns a clock that goes on after a saved stamp; it belongs to that stamp's device.
    pub fn resume(last: Stamp) -> Self {
        Self { last }
    }

    /// Returns the greatest stamp written or seen, to be saved with the records.
    pub fn last(&self) -> Stamp {
        self.last
    }

    /// Returns the next stamp. `now_ms` is the wall clock; when it stands still or back, the counter moves on.
    ///
    /// # Panics
    /// After ten billion writes in the year 2286, when no later stamp exists.
    pub fn next(&mut self, now_ms: u64) -> Stamp {
        let device = self.last.device;
        let now_ms = now_ms.min(WALL_MS_MAX);
        self.last = if now_ms > self.last.wall_ms {
            Stamp { wall_ms: now_ms, counter: 0, device }
        } else if self.last.counter < COUNTER_MAX {
            Stamp { counter: self.last.counter + 1, ..self.last }
        } else {
            assert!(self.last.wall_ms < WALL_MS_MAX, "stamps have run out");
            Stamp { wall_ms: self.last.wall_ms + 1, counter: 0, device }
        };
        self.last
    }
}

impl Clock {
    /// Takes note of a stamp that the server has accepted, so that the next own one is later.
    ///
    /// The server has measured it against its own clock. Measuring it once more against this device's would let a
    /// device whose clock is days behind write below what it has seen: its write would be superseded at once,
    /// unseen by anyone.
    pub fn follow(&mut self, accepted: Stamp) {
        if (accepted.wall_ms, accepted.counter) > (self.last.wall_ms, self.last.counter) {
            self.last = Stamp { device: self.last.device, ..accepted };
        }
    }

    /// Sets the clock back to `now_ms` after the server refused its stamps as lying too far ahead.
    ///
    /// Only for a device that ran ahead: its refused writes exist nowhere else, so they are stamped anew with
    /// [`Clock::next`] and pushed again. `now_ms` is then the server's time, which its answer carries.
    pub fn set_back(&mut self, now_ms: u64) {
        if is_ahead(self.last, now_ms) {
            self.last = Stamp { wall_ms: now_ms, counter: 0, device: self.last.device };
        }
    }
}

/// Returns whether a stamp lies further ahead of `now_ms` than [`STAMP_AHEAD_MAX_MS`].
pub fn is_ahead(stamp: Stamp, now_ms: u64) -> bool {
    stamp.wall_ms > now_ms.saturating_add(STAMP_AHEAD_MAX_MS)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn device(number: u128) -> DeviceId {
        DeviceId(Uuid::from_u128(number))
    }

    #[test]
    fn stamps_grow_even_when_the_clock_goes_back() {
        let mut clock = Clock::new(device(1));
        let first = clock.next(1000);
        let second = clock.next(900);
        let third = clock.next(1000);
        assert!(first < second && second < third);
    }

    #[test]
    fn next_stamp_is_later_than_any_seen() {
        let mut clock = Clock::new(device(1));
        let seen = Stamp { wall_ms: 5000, counter: 7, device: device(9) };
        clock.follow(seen);
        assert!(clock.next(1000) > seen);
    }

    #[test]
    fn a_device_days_behind_still_writes_above_what_the_server_sent() {
        let mut clock = Clock::new(device(1));
        let accepted = Stamp { wall_ms: 1000 + 2 * STAMP_AHEAD_MAX_MS, counter: 4, device: device(9) };
        clock.follow(accepted);
        assert!(clock.next(1000) > accepted);
    }

    #[test]
    fn a_full_counter_carries_into_the_time() {
        let mut clock = Clock::new(device(1));
        clock.follow(Stamp { wall_ms: 2000, counter: COUNTER_MAX, device: device(9) });
        let next = clock.next(1500);
        assert_eq!((next.wall_ms, next.counter), (2001, 0));
    }

    #[test]
    fn a_clock_beyond_the_last_stamp_still_gives_one_that_can_be_read() {
        let stamp = Clock::new(device(1)).next(u64::MAX);
        assert_eq!(stamp.to_string().parse::<Stamp>(), Ok(stamp));
    }

    #[test]
    fn a_clock_that_ran_ahead_can_be_set_back_and_another_cannot() {
        let mut wrong = Clock::new(device(1));
        let ahead = wrong.next(5000 + STAMP_AHEAD_MAX_MS + 1);
        wrong.set_back(5000);
        let anew = wrong.next(5000);
        assert!(anew < ahead && !is_ahead(anew, 5000));

        let mut sound = Clock::new(device(1));
        let last = sound.next(6000);
        sound.set_back(5000);
        assert!(sound.next(5000) > last);
    }

    #[test]
    fn a_stamp_has_one_text_only() {
        let text = "1772446445000-000003-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e";
        assert_eq!(text.parse::<Stamp>().unwrap().to_string(), text);
        for other in [
            "1772446445000-000003-018F3A1E-7B1C-7C3A-9D2E-5F6A7B8C9D0E",
            "1772446445000-3-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e",
            "+772446445000-000003-018f3a1e-7b1c-7c3a-9d2e-5f6a7b8c9d0e",
            "1772446445000-000003-018f3a1e7b1c7c3a9d2e5f6a7b8c9d0e",
            "1772446445000-000003",
            "",
        ] {
            assert!(other.parse::<Stamp>().is_err(), "{other}");
        }
    }

    proptest::proptest! {
        #[test]
        fn stamps_of_one_clock_only_grow(
            steps in proptest::collection::vec(
                (0u64..100_000, proptest::option::of((0u64..100_000, 0u32..1_000_000))),
                1..50,
            ),
        ) {
            let mut clock = Clock::new(device(1));
            let mut last = None;
            for (now_ms, seen) in steps {
                if let Some((wall_ms, counter)) = seen {
                    let seen = Stamp { wall_ms, counter, device: device(7) };
                    clock.follow(seen);
                    last = last.max(Some(seen));
                }
                let next = clock.next(now_ms);
                proptest::prop_assert!(Some(next) > last);
                last = Some(next);
            }
        }

        #[test]
        fn text_order_is_stamp_order(
            a in (0u64..10_000_000_000_000, 0u32..1_000_000, 0u128..u128::MAX),
            b in (0u64..10_000_000_000_000, 0u32..1_000_000, 0u128..u128::MAX),
        ) {
            let [a, b] = [a, b].map(|(wall_ms, counter, id)| Stamp { wall_ms, counter, device: device(id) });
            proptest::prop_assert_eq!(a.to_string().cmp(&b.to_string()), a.cmp(&b));
            proptest::prop_assert_eq!(a.to_string().parse::<Stamp>().unwrap(), a);
        }
    }
}
