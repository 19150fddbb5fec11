//! Whatever samples come, at whatever rate: findings, never a panic, and every number in its range.

use lanewright_listen::{Lane, Listener};
use proptest::prelude::*;

fn sane(samples: &[f32], rate_hz: u32, channels: usize, lane: Option<&Lane>) {
    let mut listener = Listener::new(rate_hz);
    for piece in samples.chunks(997) {
        listener.push_interleaved(piece, channels);
    }
    let found = listener.finish(lane);
    assert!((0.0..=1.0).contains(&found.run_p));
    for contact in &found.contacts {
        assert!(
            (0.0..=1.0).contains(&contact.p) && contact.t_s >= 0.0 && contact.t_s <= found.duration_s + 0.1
        );
    }
    assert!(found.contacts.windows(2).all(|pair| pair[0].t_s < pair[1].t_s));
    for range in [found.cadence_hz, found.cv_step_time, found.asymmetry, found.trend].into_iter().flatten() {
        assert!(range.low <= range.value && range.value <= range.high, "{range:?}");
    }
    for gap in &found.gaps {
        assert!(
            gap.low_mps > 0.0 && gap.low_mps <= gap.speed_mps && gap.speed_mps <= gap.high_mps,
            "{gap:?}"
        );
    }
    assert_eq!(found.reason.is_none(), !found.contacts.is_empty());
}

/// Samples from a seed: noise, now and then what is no sound at all.
fn odd_samples(seed: u64, count: usize) -> Vec<f32> {
    let mut state = seed | 1;
    (0..count)
        .map(|_| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            match state % 16 {
                0 => f32::from_bits((state >> 32) as u32),
                1 => 0.0,
                _ => (state >> 40) as f32 / 8_388_608.0 - 1.0,
            }
        })
        .collect()
}

/// Cases of short noise; `LANEWRIGHT_FUZZ_CASES` asks for more.
fn fuzz_cases() -> u32 {
    std::env::var("LANEWRIGHT_FUZZ_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(20_000)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        fuzz_cases()
    ))]

    /// Short, wild and cheap.
    #[test]
    fn any_samples_give_findings(
        seed in any::<u64>(),
        count in 0usize..900,
        rate_hz in prop_oneof![Just(0u32), Just(300), Just(8000), Just(44_100), any::<u32>()],
        channels in 0usize..4,
    ) {
        sane(&odd_samples(seed, count), rate_hz, channels, None);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        fuzz_cases() / 400
    ))]

    /// Long enough for a rhythm: bursts at random moments.
    #[test]
    fn any_bursts_give_findings(
        bursts in prop::collection::vec((0.0f64..4.0, 0.0f64..1.0, 0.001f64..0.2), 0..40),
        steady in prop::option::of(0.15f64..1.0),
        hurdles in 2usize..9,
        per in 1usize..4,
        mark in prop::option::of(-1.0f64..5.0),
    ) {
        let rate = 4000.0;
        let mut samples = vec![0.0f32; 16_000];
        let regular = steady.into_iter().flat_map(|every| {
            (0..((4.0 / every) as usize)).map(move |k| (k as f64 * every, 0.8, 0.03))
        });
        let mut state = 1u32;
        for (at, size, decay) in bursts.into_iter().chain(regular) {
            for k in 0..600 {
                let Some(slot) = samples.get_mut((at * rate) as usize + k) else { break };
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let noise = f64::from(state >> 8) / f64::from(1u32 << 23) - 1.0;
                *slot += (size * noise * libm::exp(-(k as f64) / rate / decay)) as f32;
            }
        }
        let lane = Lane { hurdles, spacing_m: 1.5 * per as f64, contacts_per_gap: per, first_crossing_s: mark };
        sane(&samples, 4000, 1, Some(&lane));
    }
}
