//! Hybrid logical stamps: later than everything seen, close to the wall clock, never equal.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// How far a stamp may lie ahead of the server's clock, in milliseconds: 24 hours.
pub const STAMP_AHEAD_MAX_MS: u64 = 24 * 60 * 60 * 1000;

/// Names one device (one browser profile, or the server itself).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct DeviceId(pub Uuid);

/// When a record was written: wall time, a counter within it, and the device that wrote it.
///
/// Ordered by time, then counter, then device, so any two stamps of different writes differ. As text it is
/// `<13 digits of milliseconds>-<6 digits of counter>-<device>`, and text order is stamp order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stamp {
    /// Milliseconds since 1970, at most 9 999 999 999 999.
    pub wall_ms: u64,
    /// Counts writes within the same millisecond or while the clock stands back, at most 999 999.
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
    pub fn next(&mut self, now_ms: u64) -> Stamp {
        let device = self.last.device;
        self.last = if now_ms > self.last.wall_ms {
            Stamp { wall_ms: now_ms, counter: 0, device }
        } else if self.last.counter < 999_999 {
            Stamp { counter: self.last.counter + 1, ..self.last }
        } else {
            Stamp { wall_ms: self.last.wall_ms + 1, counter: 0, device }
        };
        self.last
    }

    /// Takes note of a stamp from elsewhere, so that the next own one is later.
    ///
    /// A stamp more than [`STAMP_AHEAD_MAX_MS`] ahead of `now_ms` is passed over: one device with a wrong clock
    /// must not carry all others into the future.
    pub fn observe(&mut self, seen: Stamp, now_ms: u64) {
        if seen.wall_ms > now_ms.saturating_add(STAMP_AHEAD_MAX_MS) {
            return;
        }
        if (seen.wall_ms, seen.counter) > (self.last.wall_ms, self.last.counter) {
            self.last = Stamp { device: self.last.device, ..seen };
        }
    }
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
        clock.observe(seen, 1000);
        assert!(clock.next(1000) > seen);
    }

    #[test]
    fn far_future_stamps_do_not_carry_the_clock_away() {
        let mut clock = Clock::new(device(1));
        clock.observe(Stamp { wall_ms: 1000 + STAMP_AHEAD_MAX_MS + 1, counter: 0, device: device(9) }, 1000);
        assert_eq!(clock.next(1000).wall_ms, 1000);
    }

    proptest::proptest! {
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
