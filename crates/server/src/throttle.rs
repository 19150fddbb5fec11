//! Makes trying out links slow, without making a right one wait.

use std::sync::Mutex;
use std::time::Duration;

/// Wrong links within [`WINDOW_MS`] that are answered at once (engineering assumption: a class that opens old links).
const FREE: usize = 20;
/// How long a wrong link counts, in milliseconds (engineering assumption).
const WINDOW_MS: u64 = 60_000;
/// How long each further wrong link waits for its answer (engineering assumption).
pub(crate) const WAIT: Duration = Duration::from_secs(2);

/// Wrong links of late. Nobody's address is noted: they are counted together, and since a right link never waits,
/// nobody can lock the owner out.
#[derive(Debug, Default)]
pub(crate) struct Throttle(Mutex<Vec<u64>>);

impl Throttle {
    /// Notes a wrong link and returns how long its answer has to wait.
    pub(crate) fn wrong(&self, now_ms: u64) -> Duration {
        let mut tries = self.0.lock().expect("no one panics while holding the lock");
        tries.retain(|at| at.saturating_add(WINDOW_MS) > now_ms);
        if tries.len() < FREE {
            tries.push(now_ms);
            return Duration::ZERO;
        }
        WAIT
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_wrong_links_wait_and_a_minute_later_none_does() {
        let throttle = Throttle::default();
        for _ in 0..FREE {
            assert_eq!(throttle.wrong(1000), Duration::ZERO);
        }
        for _ in 0..1000 {
            assert_eq!(throttle.wrong(1000 + WINDOW_MS - 1), WAIT);
        }
        assert_eq!(throttle.wrong(1000 + WINDOW_MS), Duration::ZERO);
    }
}
