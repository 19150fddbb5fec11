//! Everything that could be a step: moments at which the sound rises, in any band, with what can be said about each.

use crate::front::{BANDS, FINE_BANDS, LEAST_POWER, Sound};

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
    /// Spectrum of what was added, dB below its own sum, clamped at -30.
    pub shape: [f32; BANDS],
    /// How far each band stands above the noise, 0..1.
    pub clear: [f32; BANDS],
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
        // What the stretch holds, sorted; from one stretch to the next only a few values go and come.
        let mut sorted: Vec<Vec<f32>> = vec![Vec::new(); BANDS];
        let (mut first, mut next) = (0, 0);
        for (point, row) in rows.iter_mut().enumerate() {
            let centre = point * step;
            let from = centre.saturating_sub(reach) / sampled * sampled;
            let to = (centre + reach + 1).min(frames);
            while next < to {
                for (values, &power) in sorted.iter_mut().zip(sound.frame(next)) {
                    values.insert(values.partition_point(|&value| value < power), power);
                }
                next += sampled;
            }
            while first < from {
                for (values, &power) in sorted.iter_mut().zip(sound.frame(first)) {
                    values.remove(values.partition_point(|&value| value < power));
                }
                first += sampled;
            }
            for (slot, values) in row.iter_mut().zip(&sorted) {
                if let Some(last) = values.len().checked_sub(1) {
                    let at = ((values.len() as f64 * 0.3) as usize).min(last);
                    *slot = values[at].max(LEAST_POWER);
                }
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

/// Weight of each band in the novelty: less where rumble and hiss live.
fn band_weight(band: usize) -> f64 {
    match band {
        0..=2 => 0.5,
        3..=24 => 1.0,
        _ => 0.6,
    }
}

/// How steeply the sound rises at every frame: half-wave difference to the largest of three bands two frames before.
#[must_use]
pub fn novelty(sound: &Sound, floor: &Floor) -> Vec<f64> {
    let frames = sound.frames();
    let mut logs = vec![0.0f32; frames * BANDS];
    for (frame, row) in logs.chunks_exact_mut(BANDS).enumerate() {
        for ((slot, power), low) in row.iter_mut().zip(sound.frame(frame)).zip(floor.at(frame)) {
            *slot = libm::log10f(1.0 + power / low);
        }
    }
    let row = |frame: usize| &logs[frame * BANDS..(frame + 1) * BANDS];
    (0..frames)
        .map(|frame| {
            let (now, before) = (row(frame), row(frame.saturating_sub(2)));
            let mut rise = 0.0;
            for band in 0..BANDS {
                let past =
                    before[band.saturating_sub(1)].max(before[band]).max(before[(band + 1).min(BANDS - 1)]);
                rise += band_weight(band) * f64::from((now[band] - past).max(0.0));
            }
            rise
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
    let mut values = values.to_vec();
    let at = share.clamp(0.0, 1.0) * (values.len() - 1) as f64;
    let low = at.floor() as usize;
    let (_, &mut lower, above) = values.select_nth_unstable_by(low, f64::total_cmp);
    let next = above.iter().copied().fold(f64::INFINITY, f64::min);
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
    let mut clear = [0.0f32; BANDS];
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
    let mut shape = [0.0f32; BANDS];
    for (slot, value) in shape.iter_mut().zip(&added) {
        *slot = db(value / total).max(-30.0) as f32;
    }
    let level_db = db(gained / noise_sum);
    let share = |range: std::ops::Range<usize>| added[range].iter().sum::<f64>() / total;
    // Energy over the noise, frame by frame, for times of rising and falling.
    let energy: Vec<f64> = (frame.saturating_sub(per(0.06))..(frame + per(0.3)).min(frames))
        .map(|f| {
            let over = sound.frame(f)[..24].iter().zip(noise).map(|(power, noise)| (power - noise).max(0.0));
            let mut lanes = [0.0f32; 8];
            for (place, over) in over.enumerate().skip(1) {
                lanes[place % 8] += over;
            }
            lanes.iter().map(|&sum| f64::from(sum)).sum::<f64>()
        })
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

/// Largest jump of energy within 4 ms in any fine band near a moment, dB.
fn fine_jump(fine: &[[f32; FINE_BANDS]], at: usize) -> f64 {
    let from = at.saturating_sub(25).max(6);
    let mut best = 0.0f64;
    for t in from..(at + 25).min(fine.len().saturating_sub(4)) {
        let (mut before, mut after) = ([0.0f64; FINE_BANDS], [0.0f64; FINE_BANDS]);
        for row in &fine[t - 6..t - 1] {
            for (sum, value) in before.iter_mut().zip(row) {
                *sum += f64::from(*value);
            }
        }
        for row in &fine[t..t + 4] {
            for (sum, value) in after.iter_mut().zip(row) {
                *sum += f64::from(*value);
            }
        }
        for (before, after) in before.iter().zip(&after) {
            best = best.max((after / 4.0 + 1e-11) / (before / 5.0 + 1e-11));
        }
    }
    db(best).min(40.0)
}

/// Mean distance of two spectra, dB, weighted by how clear both are.
#[must_use]
pub fn distance_db(a: &Candidate, b: &Candidate) -> f64 {
    let (mut sums, mut weights) = ([0.0f32; 8], [0.0f32; 8]);
    let mut add = |lane: usize, band: usize| {
        let weight = a.clear[band] * b.clear[band];
        sums[lane] += weight * (a.shape[band] - b.shape[band]).abs();
        weights[lane] += weight;
    };
    for eight in 0..BANDS / 8 {
        for lane in 0..8 {
            add(lane, 8 * eight + lane);
        }
    }
    for band in BANDS / 8 * 8..BANDS {
        add(band % 8, band);
    }
    let total = |lanes: [f32; 8]| lanes.iter().map(|&x| f64::from(x)).sum::<f64>();
    (total(sums) + 0.02 * 12.0) / (total(weights) + 0.02)
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
