//! Makes trying out links and passwords slow. A right link never waits; whoever is in never does.

use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv6Addr};
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

/// Wrong passwords from one address that cost no waiting (engineering assumption: a coach with cold fingers).
const OWN_FREE: u32 = 5;
/// Longest wait of one address between two passwords, in milliseconds. Behind a school's router everybody has the same
/// address: pupils who try make the coach wait this long, not longer (engineering assumption).
const OWN_WAIT_MAX_MS: u64 = 60_000;
/// How long wrong passwords of an address are remembered, in milliseconds (engineering assumption).
const OWN_WINDOW_MS: u64 = 15 * 60_000;
/// Between two passwords of all addresses together, when they have used up what is free, in milliseconds: 28,800 a day
/// (engineering assumption).
const ALL_STEP_MS: u64 = 3_000;
/// Passwords of all addresses together that cost no waiting (engineering assumption).
const ALL_FREE: u64 = 30;

/// Passwords that were tried of late. A password can be guessed, so unlike a link it has to wait before it is looked
/// at, right or wrong: longer with each wrong one from the same address, and at an even pace for all together.
/// Addresses are held in memory, for a quarter of an hour; none is written down.
#[derive(Debug, Default)]
pub(crate) struct Tries(Mutex<Late>);

#[derive(Debug, Default)]
struct Late {
    /// By address: how many, and when the last one was.
    own: BTreeMap<Option<IpAddr>, (u32, u64)>,
    /// When all together would have used up what is free again, in milliseconds since 1970.
    all_ms: u64,
}

/// A password that may be looked at, and counts as wrong until it is right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Turn(Option<IpAddr>);

/// A home or a phone gets 64 bits of an IPv6 address to itself.
fn neighbourhood(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V4(address) => address.into(),
        IpAddr::V6(address) => Ipv6Addr::from_bits(address.to_bits() >> 64 << 64).into(),
    }
}

fn own_wait_ms(wrong: u32) -> u64 {
    match wrong.checked_sub(OWN_FREE) {
        None => 0,
        Some(beyond) => (1000 << beyond.min(16)).min(OWN_WAIT_MAX_MS),
    }
}

impl Tries {
    /// Lets one password be looked at, or says in how many seconds.
    pub(crate) fn begin(&self, address: Option<IpAddr>, now_ms: u64) -> Result<Turn, u64> {
        let mut late = self.0.lock().expect("no one panics while holding the lock");
        // The clock may have been set back since: nothing was tried later than now, and nobody waits for the clock to
        // come by where it was.
        late.all_ms = late.all_ms.min(now_ms.saturating_add(ALL_FREE * ALL_STEP_MS));
        for (_, last_ms) in late.own.values_mut() {
            *last_ms = (*last_ms).min(now_ms);
        }
        late.own.retain(|_, (_, last_ms)| last_ms.saturating_add(OWN_WINDOW_MS) > now_ms);
        let address = address.map(neighbourhood);
        let (wrong, last_ms) = late.own.get(&address).copied().unwrap_or_default();
        let own_ms = last_ms.saturating_add(own_wait_ms(wrong));
        let all_ms = late.all_ms.max(now_ms).saturating_add(ALL_STEP_MS);
        let free_ms = own_ms.max(all_ms.saturating_sub(ALL_FREE * ALL_STEP_MS));
        if free_ms > now_ms {
            return Err((free_ms - now_ms).div_ceil(1000));
        }
        late.own.insert(address, (wrong + 1, now_ms));
        late.all_ms = all_ms;
        Ok(Turn(address))
    }

    /// It was right: what came before it from there is forgotten.
    pub(crate) fn right(&self, turn: Turn) {
        let mut late = self.0.lock().expect("no one panics while holding the lock");
        late.own.remove(&turn.0);
        late.all_ms = late.all_ms.saturating_sub(ALL_STEP_MS);
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

    fn at(last: u8) -> Option<IpAddr> {
        Some(IpAddr::from([192, 0, 2, last]))
    }

    #[test]
    fn wrong_passwords_of_one_address_wait_ever_longer_and_others_do_not() {
        let tries = Tries::default();
        let mut now_ms = 1_000_000;
        let mut waited = Vec::new();
        for _ in 0..14 {
            let mut wait = 0;
            while let Err(seconds) = tries.begin(at(1), now_ms + wait * 1000) {
                wait += seconds;
            }
            waited.push(wait);
            now_ms += wait * 1000;
        }
        assert_eq!(waited, [0, 0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60, 60, 60]);
        assert!(tries.begin(at(1), now_ms).is_err());
        assert!(tries.begin(at(2), now_ms).is_ok(), "another address");
        assert!(tries.begin(at(1), now_ms + OWN_WINDOW_MS).is_ok(), "forgotten");
    }

    #[test]
    fn a_right_password_forgets_the_wrong_ones_before_it() {
        let tries = Tries::default();
        for round in 0..20 {
            for _ in 0..OWN_FREE - 1 {
                tries.begin(at(1), round * 60_000).expect("free");
            }
            let turn = tries.begin(at(1), round * 60_000).expect("free");
            tries.right(turn);
        }
    }

    #[test]
    fn a_clock_that_is_set_back_locks_nobody_out() {
        let day_ms = 24 * 60 * 60_000;
        let now_ms = 1_000 * day_ms;
        // One address that has to wait, and all together that do.
        let (own, all) = (Tries::default(), Tries::default());
        while own.begin(at(1), now_ms).is_ok() {}
        for number in 0..=255 {
            let _ = all.begin(at(number), now_ms);
        }
        assert_eq!(all.begin(Some(IpAddr::from([198, 51, 100, 1])), now_ms), Err(3));
        for back_ms in [1, 60_000, day_ms, 900 * day_ms] {
            for tries in [&own, &all] {
                let waits = tries.begin(at(1), now_ms - back_ms).expect_err("a right one has not come");
                assert!((1..=3).contains(&waits), "{waits} s after a jump of {back_ms} ms");
            }
        }
        assert!(own.begin(at(1), now_ms - 900 * day_ms + 3000).is_ok());
        assert!(all.begin(at(1), now_ms - 900 * day_ms + 3000).is_ok());
    }

    #[test]
    fn many_addresses_together_come_to_one_in_three_seconds_and_memory_stays_small() {
        let tries = Tries::default();
        let mut through = 0;
        // Ten a second for an hour, each from another network.
        for tenth in 0..=36_000_u64 {
            let address = IpAddr::V6(Ipv6Addr::from_bits(u128::from(tenth) << 64 | 7));
            through += u64::from(tries.begin(Some(address), tenth * 100).is_ok());
        }
        assert_eq!(through, 3600 / 3 + ALL_FREE);
        assert!(tries.0.lock().unwrap().own.len() < 400);
        assert_eq!(neighbourhood("2001:db8:1:2:3::4".parse().unwrap()).to_string(), "2001:db8:1:2::");
        assert_eq!(neighbourhood("::ffff:192.0.2.1".parse().unwrap()), at(1).unwrap());
    }
}
