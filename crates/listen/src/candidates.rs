//! Everything that could be a step: moments at which the sound rises, in any band, with what can be said about each.

use crate::front::{BANDS, FINE_BANDS, LEAST_POWER, Sound, larger};
use crate::refine::running_sums;

/// Number of traits of a candidate.
pub const TRAITS: usize = 20;
/// Their names, in the order of [`Candidate::traits`]; the fitting script prints by them.
pub const TRAIT_NAMES: [&str; TRAITS] = [
    "novelty",
    "novelty_rel",
    "level",
    "level_rel",
    "before",
    "after",
    "near_before",
    "near_after",
    "late_early",
    "rise",
    "decay",
    "tonality",
    "low_share",
    "high_share",
    "centroid",
    "neighbours",
    "spread_bands",
    "fine_jump",
    "pre_slope",
    "masked",
];

/// Places for the bands where several are worked out at once: whole fours.
pub const ROOM: usize = BANDS.next_multiple_of(4);

/// A moment at which the sound rises.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// Frame with the steepest rise.
    pub frame: usize,
    /// Onset on the waveform, s.
    pub onset_s: f64,
    /// Level over the noise, dB.
    pub level_db: f64,
    /// Rise of the bands, any unit.
    pub novelty: f64,
    /// Spectrum of what was added, dB below its own sum, clamped at -30; zeros behind the last band.
    pub shape: [f32; ROOM],
    /// How far each band stands above the noise, 0..1; zeros behind the last band.
    pub clear: [f32; ROOM],
    /// See [`TRAIT_NAMES`].
    pub traits: [f64; TRAITS],
}

/// Per-band noise floor on a coarse grid: a low percentile over a running stretch.
#[derive(Debug, Clone)]
pub struct Floor {
    step: usize,
    rows: Vec<[f32; BANDS]>,
}

impl Floor {
    /// The 30th percentile of every fourth frame over 1.6 s, around every eighth.
    #[must_use]
    pub fn of(sound: &Sound) -> Self {
        let (step, sampled) = (8, 4);
        let frames = sound.frames();
        let reach = (0.8 / sound.frame_s) as usize;
        let points = frames.div_ceil(step).max(1);
        let mut rows = vec![[LEAST_POWER; BANDS]; points];
        // From one stretch to the next only a few frames go and come.
        let mut sorted = Sorted::new();
        let (mut first, mut next) = (0, 0);
        for (point, row) in rows.iter_mut().enumerate() {
            let centre = point * step;
            let from = centre.saturating_sub(reach) / sampled * sampled;
            let to = (centre + reach + 1).min(frames);
            while next < to || first < from {
                let comes = (next < to).then(|| sound.frame(next));
                let goes = (first < from).then(|| sound.frame(first));
                sorted.change(comes, goes);
                next += if comes.is_some() { sampled } else { 0 };
                first += if goes.is_some() { sampled } else { 0 };
            }
            let at = (sorted.held as f64 * 0.3) as usize;
            if at < sorted.held {
                *row = std::array::from_fn(|band| sorted.bands[band][at].max(LEAST_POWER));
            }
        }
        Self { step, rows }
    }

    /// The floor at a frame.
    #[must_use]
    pub fn at(&self, frame: usize) -> &[f32; BANDS] {
        &self.rows[(frame / self.step).min(self.rows.len() - 1)]
    }
}

/// The frames of a stretch, sorted in every band for itself.
#[derive(Debug)]
struct Sorted {
    bands: Vec<Vec<f32>>,
    held: usize,
}

impl Sorted {
    fn new() -> Self {
        Self { bands: vec![Vec::new(); BANDS], held: 0 }
    }

    /// Takes a frame in, and out one that was put in before.
    fn change(&mut self, comes: Option<&[f32]>, goes: Option<&[f32]>) {
        // Counted, not searched for: a search asks questions that a processor cannot guess the answers of.
        let place = |values: &[f32], power: f32| {
            values.iter().map(|&value| u32::from(value < power)).sum::<u32>() as usize
        };
        for (band, values) in self.bands.iter_mut().enumerate() {
            match (comes.map(|frame| frame[band]), goes.map(|frame| frame[band])) {
                (Some(new), Some(old)) => {
                    // What lies between the two places moves by one.
                    let (from, to) = (place(values, old), place(values, new));
                    if to > from {
                        values.copy_within(from + 1..to, from);
                        values[to - 1] = new;
                    } else {
                        values.copy_within(to..from, to + 1);
                        values[to] = new;
                    }
                }
                (Some(new), None) => values.insert(place(values, new), new),
                (None, Some(old)) => {
                    values.remove(place(values, old));
                }
                (None, None) => {}
            }
        }
        self.held = self.bands[0].len();
    }
}

/// Weight of each band in the novelty: less where rumble and hiss live.
fn band_weight(band: usize) -> f32 {
    match band {
        0..=2 => 0.5,
        3..=24 => 1.0,
        _ => 0.6,
    }
}

/// Log to base 10 of a number of at least 1, to a unit or two of the last digit. One plain formula without a question
/// asked on the way, so that a processor can work out several at once.
fn log10(x: f32) -> f32 {
    /// The root of one half.
    const LEAST_PART: u32 = 0x3f35_04f3;
    // `x` is a power of two times a part between the roots of one half and of two.
    let bits = x.to_bits().wrapping_sub(LEAST_PART);
    let power = (bits as i32 >> 23) as f32;
    let part = f32::from_bits((bits & 0x007f_ffff) + LEAST_PART);
    // The log of (1 + s) / (1 - s) as a series, cut where the rest is below 1e-9.
    let s = (part - 1.0) / (part + 1.0);
    let z = s * s;
    let rest = z * (2.0 / 3.0 + z * (2.0 / 5.0 + z * (2.0 / 7.0 + z * (2.0 / 9.0))));
    power * std::f32::consts::LOG10_2 + (s + s + s * rest) * std::f32::consts::LOG10_E
}

/// Logs of the bands over their floor, between a copy of the first and one of the last.
fn logs(powers: &[f32], floor: &[f32; BANDS]) -> [f32; ROOM + 4] {
    let mut over = [1.0f32; ROOM];
    for ((slot, power), low) in over.iter_mut().zip(powers).zip(floor) {
        *slot = 1.0 + power / low;
    }
    // A loop, not a map: of that compilers make one log after the other.
    for slot in &mut over {
        *slot = log10(*slot);
    }
    let mut row = [0.0; ROOM + 4];
    row[0] = over[0];
    row[1..=BANDS].copy_from_slice(&over[..BANDS]);
    row[BANDS + 1] = over[BANDS - 1];
    row
}

/// How steeply the sound rises at every frame: half-wave difference to the largest of three bands two frames before.
#[must_use]
pub fn novelty(sound: &Sound, floor: &Floor) -> Vec<f64> {
    let weights: [f32; ROOM] = std::array::from_fn(|band| if band < BANDS { band_weight(band) } else { 0.0 });
    // The rows of two frames before, of one before and of this one.
    let mut rows = [[0.0; ROOM + 4]; 3];
    (0..sound.frames())
        .map(|frame| {
            let now = logs(sound.frame(frame), floor.at(frame));
            rows = if frame == 0 { [now; 3] } else { [rows[1], rows[2], now] };
            let [before, _, now] = &rows;
            let mut rises = [0.0f32; 4];
            for four in 0..ROOM / 4 {
                for (lane, rise) in rises.iter_mut().enumerate() {
                    let band = 4 * four + lane;
                    let past = larger(larger(before[band], before[band + 1]), before[band + 2]);
                    *rise += weights[band] * larger(now[band + 1] - past, 0.0);
                }
            }
            rises.into_iter().map(f64::from).sum()
        })
        .collect()
}

/// Median of a slice; 0 when empty.
#[must_use]
pub fn median(values: &[f64]) -> f64 {
    quantile(values, 0.5)
}

/// Quantile by linear interpolation between order statistics (SciPy's default); 0 when empty.
#[must_use]
pub fn quantile(values: &[f64], share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    // As whole numbers in the same order, which are quicker to compare (`f64::total_cmp` makes them anew each time).
    let turned = |bits: i64| bits ^ ((bits >> 63) as u64 >> 1) as i64;
    let number = |key: i64| f64::from_bits(turned(key) as u64);
    let mut keys: Vec<i64> = values.iter().map(|value| turned(value.to_bits() as i64)).collect();
    let at = share.clamp(0.0, 1.0) * (keys.len() - 1) as f64;
    let low = at.floor() as usize;
    let (_, &mut lower, above) = keys.select_nth_unstable(low);
    let lower = number(lower);
    let next = above.iter().copied().min().map_or(f64::INFINITY, number);
    if next.is_finite() { lower + (next - lower) * (at - low as f64) } else { lower }
}

fn db(power: f64) -> f64 {
    10.0 * libm::log10(power.max(1e-14))
}

/// Peaks of the novelty above a low threshold: many more than there are steps, on purpose.
#[must_use]
pub fn peaks(novelty: &[f64], frame_s: f64) -> Vec<usize> {
    let reach = (0.03 / frame_s).round() as usize;
    let wide = (0.8 / frame_s) as usize;
    let mut found = Vec::new();
    let mut limit = 0.0;
    for (frame, &value) in novelty.iter().enumerate() {
        if frame % 20 == 0 {
            let stretch = &novelty[frame.saturating_sub(wide)..(frame + wide).min(novelty.len())];
            let middle = median(stretch);
            let spread: Vec<f64> = stretch.iter().map(|x| (x - middle).abs()).collect();
            limit = middle + 2.0 * median(&spread);
        }
        if value <= limit.max(0.5) {
            continue;
        }
        let near = &novelty[frame.saturating_sub(reach)..(frame + reach + 1).min(novelty.len())];
        let first_of_equals = novelty[frame.saturating_sub(reach)..frame].iter().all(|&x| x < value);
        if first_of_equals && near.iter().all(|&x| x <= value) {
            found.push(frame);
        }
    }
    found
}

/// All candidates of a take.
#[must_use]
pub fn candidates(sound: &Sound) -> Vec<Candidate> {
    let floor = Floor::of(sound);
    let rising = novelty(sound, &floor);
    let frames = sound.frames();
    let mut list: Vec<Candidate> = peaks(&rising, sound.frame_s)
        .into_iter()
        .filter(|&frame| frame >= 3 && frame + 4 < frames && !sound.is_hushed(frame as f64 * sound.frame_s))
        .map(|frame| describe(sound, &floor, &rising, frame))
        .collect();
    relate(&mut list, sound.frame_s);
    list
}

fn describe(sound: &Sound, floor: &Floor, rising: &[f64], frame: usize) -> Candidate {
    let frames = sound.frames();
    let per = |seconds: f64| (seconds / sound.frame_s).round() as usize;
    let span = |from: usize, to: usize| from.min(frames - 1)..to.clamp(from.min(frames - 1) + 1, frames);
    let mean_bands = |range: std::ops::Range<usize>| {
        let n = range.len().max(1) as f64;
        let mut sums = [0.0f64; BANDS];
        for frame in range {
            for (sum, power) in sums.iter_mut().zip(sound.frame(frame)) {
                *sum += f64::from(*power);
            }
        }
        sums.map(|sum| sum / n)
    };
    let pre = span(frame.saturating_sub(per(0.05)), frame.saturating_sub(per(0.01)));
    let body = span(frame, frame + per(0.05));
    let noise = floor.at(frame);
    let mut added = [0.0f64; BANDS];
    let mut clear = [0.0f32; ROOM];
    let mut noise_sum = 0.0;
    let mut gained = 0.0;
    let (befores, nows) = (mean_bands(pre), mean_bands(body));
    for band in 0..BANDS {
        let (before, now) = (befores[band], nows[band]);
        let base = f64::from(noise[band]);
        added[band] = (now - 0.5 * (before + base)).max(0.01 * base);
        clear[band] = (added[band] / (added[band] + before.max(base))) as f32;
        if (1..24).contains(&band) {
            noise_sum += base;
            gained += added[band];
        }
    }
    let total: f64 = added.iter().sum();
    let mut shape = [0.0f32; ROOM];
    for (slot, value) in shape.iter_mut().zip(&added) {
        *slot = db(value / total).max(-30.0) as f32;
    }
    let level_db = db(gained / noise_sum);
    let share = |range: std::ops::Range<usize>| added[range].iter().sum::<f64>() / total;
    // Energy over the noise, frame by frame, for times of rising and falling.
    let energy: Vec<f64> = (frame.saturating_sub(per(0.06))..(frame + per(0.3)).min(frames))
        .map(|frame| over(sound.frame(frame), noise))
        .collect();
    let at = frame - frame.saturating_sub(per(0.06));
    let early: f64 = energy[at..(at + per(0.03)).min(energy.len())].iter().sum::<f64>() + 1e-12;
    let late: f64 =
        energy[(at + per(0.06)).min(energy.len())..(at + per(0.25)).min(energy.len())].iter().sum::<f64>();
    let stretch = &energy[at..(at + per(0.08)).min(energy.len())];
    let (top_at, top) =
        stretch.iter().enumerate().fold((0, 0.0), |best, (i, &e)| if e > best.1 { (i, e) } else { best });
    let begun = energy[..at + top_at].iter().rposition(|&e| e < 0.1 * top).unwrap_or(0);
    let ended =
        energy[at + top_at..].iter().position(|&e| e < 0.1 * top).unwrap_or(energy.len() - at - top_at);
    let strongest = added.iter().fold(0.0f64, |a, &b| a.max(b)) / total;
    let centroid: f64 = added.iter().enumerate().map(|(b, e)| b as f64 * e).sum::<f64>() / total;
    let rose = (0..BANDS).filter(|&b| clear[b] > 0.6).count() as f64 / BANDS as f64;
    let fine_at = (frame as f64 * sound.frame_s / sound.fine_s) as usize;
    let jump = fine_jump(&sound.fine, fine_at);
    let pre_energy: f64 = energy[..at].iter().sum::<f64>() / at.max(1) as f64 + 1e-12;
    let now_energy = stretch.iter().sum::<f64>() / stretch.len().max(1) as f64 + 1e-12;
    let mut traits = [0.0; TRAITS];
    traits[0] = libm::log(rising[frame].max(1e-3));
    traits[2] = level_db;
    traits[8] = db((late + 1e-12) / early).clamp(-40.0, 20.0);
    traits[9] = libm::log1p((at + top_at - begun.min(at + top_at)) as f64);
    traits[10] = libm::log1p(ended as f64);
    traits[11] = strongest;
    traits[12] = libm::sqrt(share(0..8));
    traits[13] = libm::sqrt(share(20..BANDS));
    traits[14] = centroid;
    traits[16] = rose;
    traits[17] = jump;
    traits[18] = db(now_energy / pre_energy).clamp(-20.0, 40.0);
    Candidate {
        frame,
        onset_s: crate::refine::onset_s(sound, frame as f64 * sound.frame_s),
        level_db,
        novelty: rising[frame],
        shape,
        clear,
        traits,
    }
}

/// Energy of one frame over the noise, without the lowest band and the two highest.
fn over(powers: &[f32], noise: &[f32; BANDS]) -> f64 {
    let mut sums = [0.0f32; 8];
    let eights = powers.as_chunks::<8>().0.iter().zip(noise.as_chunks::<8>().0);
    for (eight, (powers, noise)) in eights.enumerate() {
        for ((sum, power), noise) in sums.iter_mut().zip(powers).zip(noise) {
            *sum += larger(power - noise, 0.0);
        }
        if eight == 0 {
            sums[0] = 0.0;
        }
    }
    sums.into_iter().map(f64::from).sum()
}

/// Largest jump of energy within 4 ms in any fine band near a moment, dB.
fn fine_jump(fine: &[[f32; FINE_BANDS]], at: usize) -> f64 {
    let (from, to) = (at.saturating_sub(25).max(6), (at + 25).min(fine.len().saturating_sub(4)));
    if from >= to {
        return db(0.0);
    }
    let begin = from - 6;
    let sums = running_sums(&fine[begin..to + 3]);
    let mut best = 0.0f64;
    for t in from - begin..to - begin {
        // Five values up to the one before the last, and four from the moment on.
        let (before, after) = ([&sums[t - 6], &sums[t - 1]], [&sums[t], &sums[t + 4]]);
        for band in 0..FINE_BANDS {
            let before = (before[1][band] - before[0][band]) / 5.0;
            let after = (after[1][band] - after[0][band]) / 4.0;
            best = best.max(after / before);
        }
    }
    db(best).min(40.0)
}

/// Mean distance of two spectra, dB, weighted by how clear both are.
#[must_use]
pub fn distance_db(a: &Candidate, b: &Candidate) -> f64 {
    let [sums, weights] = distances(a, b).map(|four| f64::from((four[0] + four[1]) + (four[2] + four[3])));
    (sums + 0.02 * 12.0) / (weights + 0.02)
}

/// Distances times their weights, and weights, of every fourth band in one sum. On its own: what follows keeps
/// compilers from working on four bands at once.
#[inline(never)]
fn distances(a: &Candidate, b: &Candidate) -> [[f32; 4]; 2] {
    let [mut sums, mut weights] = [[0.0; 4]; 2];
    for four in (0..ROOM).step_by(4) {
        for lane in 0..4 {
            let weight = a.clear[four + lane] * b.clear[four + lane];
            sums[lane] += weight * (a.shape[four + lane] - b.shape[four + lane]).abs();
            weights[lane] += weight;
        }
    }
    [sums, weights]
}

/// The smallest of many values.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Smallest<const COUNT: usize> {
    values: [f64; COUNT],
    seen: usize,
}

impl<const COUNT: usize> Smallest<COUNT> {
    pub(crate) fn new() -> Self {
        Self { values: [f64::INFINITY; COUNT], seen: 0 }
    }

    pub(crate) fn add(&mut self, value: f64) {
        self.seen = (self.seen + 1).min(COUNT);
        if value >= self.values[COUNT - 1] {
            return;
        }
        let mut value = value;
        for slot in &mut self.values {
            if value < *slot {
                std::mem::swap(slot, &mut value);
            }
        }
    }

    /// Their mean; `none` where there are none.
    pub(crate) fn mean(&self, none: f64) -> f64 {
        match self.seen {
            0 => none,
            seen => self.values[..seen].iter().sum::<f64>() / seen as f64,
        }
    }
}

/// Candidates are compared with those at most this far away, s: memory of a run, not of the whole lesson.
pub(crate) const LIKE_S: f64 = 10.0;

/// Traits that compare a candidate with the others of the take.
fn relate(list: &mut [Candidate], frame_s: f64) {
    let novelties: Vec<f64> = list.iter().map(|c| c.novelty).collect();
    let levels: Vec<f64> = list.iter().map(|c| c.level_db).collect();
    let loud_novelty = libm::log(quantile(&novelties, 0.85).max(1e-3));
    let loud_level = quantile(&levels, 0.85);
    let frames: Vec<usize> = list.iter().map(|c| c.frame).collect();
    let around = |frame: usize, reach_s: f64| {
        let reach = (reach_s / frame_s) as usize;
        frames.partition_point(|&f| f + reach < frame)..frames.partition_point(|&f| f <= frame + reach)
    };
    // Each pair is compared once.
    let mut likeness = vec![Smallest::<4>::new(); list.len()];
    for (index, a) in list.iter().enumerate() {
        for other in index + 1..around(a.frame, LIKE_S).end {
            let b = &list[other];
            let (of_a, of_b) = (b.level_db > a.level_db - 8.0, a.level_db > b.level_db - 8.0);
            if b.frame.abs_diff(a.frame) as f64 * frame_s > 0.19 && (of_a || of_b) {
                let distance = distance_db(a, b);
                if of_a {
                    likeness[index].add(distance);
                }
                if of_b {
                    likeness[other].add(distance);
                }
            }
        }
    }
    for (index, own) in list.iter_mut().enumerate() {
        let mut sides = [-20.0f64; 4];
        for other in around(own.frame, 0.21) {
            let frame = frames[other];
            let ahead = (frame as f64 - own.frame as f64) * frame_s;
            let louder = levels[other] - own.level_db;
            match ahead {
                x if (0.0..0.09).contains(&x) && frame != own.frame => sides[3] = sides[3].max(louder),
                x if (0.09..0.2).contains(&x) => sides[1] = sides[1].max(louder),
                x if (-0.09..0.0).contains(&x) => sides[2] = sides[2].max(louder),
                x if (-0.2..-0.09).contains(&x) => sides[0] = sides[0].max(louder),
                _ => {}
            }
        }
        own.traits[1] = own.traits[0] - loud_novelty;
        own.traits[3] = own.level_db - loud_level;
        own.traits[4] = sides[0];
        own.traits[5] = sides[1];
        own.traits[6] = sides[2];
        own.traits[7] = sides[3];
        own.traits[15] = likeness[index].mean(8.0);
        own.traits[19] = sides[0].max(sides[2]).max(0.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frames_stay_sorted_in_every_band_as_they_come_and_go() {
        let mut state = 3u32;
        let mut frame = || -> Vec<f32> {
            (0..BANDS)
                .map(|_| {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    // Few values, so that some are equal.
                    (state >> 27) as f32
                })
                .collect()
        };
        let frames: Vec<Vec<f32>> = (0..200).map(|_| frame()).collect();
        let mut sorted = Sorted::new();
        // Thirty come, then one comes and one goes, at the end they go.
        for at in 0..frames.len() + 30 {
            let gone = at.checked_sub(30);
            sorted.change(frames.get(at).map(|frame| &frame[..]), gone.map(|gone| &frames[gone][..]));
            let held = &frames[gone.map_or(0, |gone| gone + 1)..(at + 1).min(frames.len())];
            for band in 0..BANDS {
                let mut plain: Vec<f32> = held.iter().map(|frame| frame[band]).collect();
                plain.sort_by(f32::total_cmp);
                assert_eq!(sorted.bands[band], plain);
            }
        }
    }

    #[test]
    fn logs_are_those_of_libm() {
        assert_eq!(log10(1.0), 0.0);
        for k in 0..4000 {
            let x = 1.0 + libm::pow(10.0, f64::from(k) / 250.0 - 7.0) as f32;
            let exact = libm::log10(f64::from(x));
            let room = 2.5e-7 * exact + 1e-12;
            assert!((f64::from(log10(x)) - exact).abs() <= room, "{x}: {}, not {exact}", log10(x));
        }
    }

    #[test]
    fn a_quantile_lies_between_its_neighbours_in_order() {
        let values = [3.0, -1.0, 2.0, -5.0, 0.0];
        assert_eq!(quantile(&values, 0.0), -5.0);
        assert_eq!(quantile(&values, 0.375), -0.5);
        assert_eq!(median(&values), 0.0);
        assert_eq!(quantile(&values, 1.0), 3.0);
        assert_eq!(median(&[]), 0.0);
    }
}
