//! How often a device asks the server: every few seconds where another device writes about the same children.

/// Between two tries while nothing is waiting, in milliseconds (engineering assumption).
pub const SLOW_MS: u64 = 60_000;
/// Between two tries while something is waiting, and beside other devices away from the lane, in milliseconds
/// (engineering assumption).
pub const WAITING_MS: u64 = 10_000;
/// Between two tries at the lane beside other devices, in milliseconds. Engineering assumption: a child walks back for
/// longer, so nobody taps a run again that another person has tapped; two small requests, so the battery lasts.
pub const TOGETHER_MS: u64 = 5_000;
/// Between two tries at the lane as long as nobody else is known to be in, in milliseconds. Engineering assumption:
/// until another coach's phone is noticed, both may tap the same child, and a round of a lane takes about as long.
pub const ALONE_MS: u64 = 15_000;

/// What decides how soon the server is asked again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pace {
    /// Something waits to be sent.
    pub waiting: bool,
    /// A helper or another coach is in, or this device is a helper's.
    pub together: bool,
    /// The screen beside the lane is shown.
    pub at_the_lane: bool,
    /// The page is in sight.
    pub seen: bool,
    /// Tries since the server answered last.
    pub failed: u32,
}

impl Pace {
    /// Returns the time from one try to the next, in milliseconds. Without an answer it doubles with each try, up to
    /// [`SLOW_MS`]; what waits is tried every [`WAITING_MS`] all the same.
    pub fn every_ms(self) -> u64 {
        let beside = match (self.together, self.at_the_lane) {
            _ if !self.seen => SLOW_MS,
            (true, true) => TOGETHER_MS,
            (true, false) => WAITING_MS,
            (false, true) => ALONE_MS,
            (false, false) => SLOW_MS,
        };
        let backed_off = (beside << self.failed.min(8)).min(SLOW_MS);
        if self.waiting { backed_off.min(WAITING_MS) } else { backed_off }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LANE: Pace = Pace { waiting: false, together: true, at_the_lane: true, seen: true, failed: 0 };

    #[test]
    fn beside_others_the_server_is_asked_every_few_seconds_and_alone_or_unseen_slowly() {
        assert_eq!(LANE.every_ms(), TOGETHER_MS);
        assert_eq!(Pace { at_the_lane: false, ..LANE }.every_ms(), WAITING_MS);
        assert_eq!(Pace { together: false, ..LANE }.every_ms(), ALONE_MS);
        assert_eq!(Pace { together: false, at_the_lane: false, ..LANE }.every_ms(), SLOW_MS);
        assert_eq!(Pace { seen: false, ..LANE }.every_ms(), SLOW_MS, "nobody looks");
        assert_eq!(Pace { seen: false, waiting: true, ..LANE }.every_ms(), WAITING_MS);
        assert_eq!(Pace { waiting: true, ..LANE }.every_ms(), TOGETHER_MS);
    }

    #[test]
    fn without_an_answer_it_asks_ever_more_rarely_and_what_waits_is_tried_all_the_same() {
        let every = |failed: u32, waiting: bool| Pace { failed, waiting, ..LANE }.every_ms();
        assert_eq!(
            [0, 1, 2, 3, 4, 90].map(|failed| every(failed, false)),
            [5_000, 10_000, 20_000, 40_000, 60_000, 60_000]
        );
        assert_eq!(every(90, true), WAITING_MS);
    }
}
