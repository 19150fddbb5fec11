//! The onset on the waveform: the moment at which the levels of all bands change together, then the foot of the burst.

use crate::front::{FINE_BANDS, Sound};

/// The change of level is looked for this far before and after the frame of a candidate, s.
const REACH_S: (f64, f64) = (0.030, 0.022);
/// Lengths of the stretches before and after a change, s. Engineering assumption: a flight is longer, a burst lasts.
const BEFORE_S: f64 = 0.030;
const AFTER_S: f64 = 0.012;
/// The foot of a burst: this share of its peak (-20 dB).
const FOOT_SHARE: f32 = 0.1;
/// A foot below this multiple of the noise cannot be seen.
const OVER_NOISE: f32 = 1.8;
/// A pause this long ends the walk back from the peak, s.
const PAUSE_S: f64 = 0.004;

/// Where a candidate near `about_s` begins, s.
#[must_use]
pub fn onset_s(sound: &Sound, about_s: f64) -> f64 {
    let change_s = change(sound, about_s);
    foot(sound, change_s).unwrap_or(change_s)
}

/// For every place of some fine powers the sum of those before it, with next to nothing added to each: the sum of any
/// stretch is then a difference, and never nothing.
pub(crate) fn running_sums(fine: &[[f32; FINE_BANDS]]) -> Vec<[f64; FINE_BANDS]> {
    let mut sums = Vec::with_capacity(fine.len() + 1);
    let mut sum = [0.0f64; FINE_BANDS];
    sums.push(sum);
    for row in fine {
        for (sum, power) in sum.iter_mut().zip(row) {
            *sum += f64::from(*power) + 1e-11;
        }
        sums.push(sum);
    }
    sums
}

/// The most probable moment of a change of level: before it every band has one mean power, after it another.
fn change(sound: &Sound, about_s: f64) -> f64 {
    let per = |seconds: f64| (seconds / sound.fine_s).round() as usize;
    let (before, after) = (per(BEFORE_S), per(AFTER_S));
    let centre = per(about_s);
    let from = centre.saturating_sub(per(REACH_S.0)).max(2);
    let to = (centre + per(REACH_S.1)).min(sound.fine.len().saturating_sub(3));
    let begin = from.saturating_sub(before);
    let sums = running_sums(&sound.fine[begin.min(sound.fine.len())..(to + after).min(sound.fine.len())]);
    let mut best = (0.0, about_s);
    for at in from..to {
        let low = at.saturating_sub(before);
        let high = (at + after).min(sound.fine.len());
        let (n0, n1) = ((at - low) as f64, (high - at) as f64);
        let (start, middle, end) = (&sums[low - begin], &sums[at - begin], &sums[high - begin]);
        // A sum of logs is the log of a product, and a product of quotients one quotient.
        let (share0, share1) = ((n0 + n1) / n0, (n0 + n1) / n1);
        let (mut all, mut then, mut now) = (1.0, 1.0, 1.0);
        for band in 0..FINE_BANDS {
            let (s0, s1) = (middle[band] - start[band], end[band] - middle[band]);
            if s1 * n0 > s0 * n1 {
                all *= s0 + s1;
                then *= s0 * share0;
                now *= s1 * share1;
            }
        }
        if then == 1.0 {
            continue; // Nothing rises: no gain.
        }
        let gain = n0 * libm::log(all / then) + n1 * libm::log(all / now);
        if gain > best.0 {
            best = (gain, at as f64 * sound.fine_s);
        }
    }
    best.1
}

/// From the first peak after the change back to its foot; `None` where noise hides the foot.
fn foot(sound: &Sound, change_s: f64) -> Option<f64> {
    let per = |seconds: f64| (seconds / sound.wide_s).round() as usize;
    let at = per(change_s);
    let wide = &sound.wide;
    let burst = at.saturating_sub(per(0.002))..(at + per(0.012)).min(wide.len());
    if burst.is_empty() {
        return None;
    }
    // Magnitudes are in the order of their bits, which are quicker to compare.
    let quiet = &wide[at.saturating_sub(per(0.06))..at.saturating_sub(per(0.006))];
    let mut quiet: Vec<u32> = quiet.iter().map(|peak| peak.to_bits()).collect();
    let noise = if quiet.is_empty() {
        0.0
    } else {
        let middle = quiet.len() * 7 / 10;
        f32::from_bits(*quiet.select_nth_unstable(middle).1)
    };
    let (peak_at, peak) =
        burst.fold((at, 0.0f32), |best, k| if wide[k] > best.1 { (k, wide[k]) } else { best });
    if peak < 4.0 * noise {
        return None;
    }
    let limit = (FOOT_SHARE * peak).max(OVER_NOISE * noise);
    let pause = per(PAUSE_S);
    let mut first = peak_at;
    let mut k = peak_at;
    let stop = at.saturating_sub(per(0.025));
    while k > stop {
        k -= 1;
        if wide[k] >= limit {
            first = k;
        } else if first - k > pause {
            break;
        }
    }
    Some((first as f64 + 0.5) * sound.wide_s)
}
