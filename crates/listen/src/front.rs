//! From samples to what the rest looks at: band energies every 5 ms and envelopes every 0.25 and 1 ms.
//!
//! Samples go in piece by piece and are forgotten; what stays grows with the length of the take only up to
//! [`LONGEST_TAKE_S`], about 0.1 MB a second.

use crate::fft::{Fft, LANES, Lanes};

/// Bands of a quarter octave, the first from 100 Hz.
pub const BANDS: usize = 26;
/// Bands of the fine envelopes.
pub const FINE_BANDS: usize = 5;
/// Lower edge of the first band.
const LOWEST_HZ: f64 = 100.0;
/// Distance of two frames. Engineering assumption: a quarter of the window.
pub const FRAME_S: f64 = 0.005;
/// Length of a window of the spectrum.
const WINDOW_S: f64 = 512.0 / 24_000.0;
/// Length of one value of the wide envelope.
pub const WIDE_S: f64 = 0.00025;
/// Length of one value of the fine envelopes.
pub const FINE_S: f64 = 0.001;
/// A take is cut here: one run over a lane is over long before, and memory stays bounded. Engineering assumption.
pub const LONGEST_TAKE_S: f64 = 120.0;
/// Edges of the fine bands in Hz.
const FINE_EDGES_HZ: [(f64, f64); FINE_BANDS] =
    [(150.0, 400.0), (400.0, 1000.0), (1000.0, 2200.0), (2200.0, 4500.0), (4500.0, 9000.0)];
/// Power added everywhere, -100 dB of full scale: digital silence has a floor too.
pub const LEAST_POWER: f32 = 1e-10;

/// Sound reduced to energies. Times count from the first sample.
#[derive(Debug, Clone, Default)]
pub struct Sound {
    /// Mean power in each band of each frame, frame after frame; frame `i` is centred on `i * frame_s`.
    pub bands: Vec<f32>,
    /// Distance of two frames, close to [`FRAME_S`].
    pub frame_s: f64,
    /// Largest magnitude above 80 Hz in each stretch of about [`WIDE_S`].
    pub wide: Vec<f32>,
    /// Length of one value of `wide`.
    pub wide_s: f64,
    /// Mean power of each fine band in each stretch of about [`FINE_S`].
    pub fine: Vec<[f32; FINE_BANDS]>,
    /// Length of one value of `fine`.
    pub fine_s: f64,
    /// Length of what was heard.
    pub duration_s: f64,
    /// Share of samples at the limit of the scale.
    pub clipped_share: f64,
    /// Largest magnitude of a sample.
    pub peak: f32,
    /// More was offered than a take may be long.
    pub too_long: bool,
    /// What [`Sound::hush`] left out: beginnings and ends, s.
    pub hushed: Vec<[f64; 2]>,
}

impl Sound {
    /// Number of whole frames.
    #[must_use]
    pub fn frames(&self) -> usize {
        self.bands.len() / BANDS
    }

    /// Leaves stretches out, beginnings and ends in seconds: in each everything stays as it is just behind it, so that
    /// nothing rises there and nothing begins where it ends.
    pub fn hush(&mut self, stretches: &[[f64; 2]]) {
        let mut stretches: Vec<[f64; 2]> = stretches
            .iter()
            .map(|&[from, to]| [from.clamp(0.0, self.duration_s), to.clamp(0.0, self.duration_s)])
            .filter(|[from, to]| to > from)
            .collect();
        stretches.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut apart: Vec<[f64; 2]> = Vec::new();
        for [from, to] in stretches {
            match apart.last_mut() {
                Some(last) if from <= last[1] => last[1] = last[1].max(to),
                _ => apart.push([from, to]),
            }
        }
        for &[from, to] in &apart {
            // A frame looks half a window to either side.
            let half = 0.5 * WINDOW_S;
            let frames = within(self.frames(), self.frame_s, from - half, to + half);
            if let Some(like) = beside(&frames, self.frames()) {
                for frame in frames {
                    self.bands.copy_within(like * BANDS..(like + 1) * BANDS, frame * BANDS);
                }
            }
            let wide = within(self.wide.len(), self.wide_s, from, to);
            if let Some(like) = beside(&wide, self.wide.len()) {
                let value = self.wide[like];
                self.wide[wide].fill(value);
            }
            let fine = within(self.fine.len(), self.fine_s, from, to);
            if let Some(like) = beside(&fine, self.fine.len()) {
                let value = self.fine[like];
                self.fine[fine].fill(value);
            }
        }
        if !apart.is_empty() {
            // Whether the rest is overdriven; what was left out may well be.
            self.peak = self.wide.iter().copied().fold(0.0, f32::max);
            let limited = self.wide.iter().filter(|&&peak| peak >= 0.98).count();
            self.clipped_share = self.clipped_share.min(limited as f64 / self.wide.len().max(1) as f64);
        }
        self.hushed = apart;
    }

    /// Whether a moment lies in a stretch that was left out, or so close to it that its edge is all there is.
    #[must_use]
    pub fn is_hushed(&self, t_s: f64) -> bool {
        self.hushed.iter().any(|&[from, to]| t_s > from - 0.02 && t_s < to + 0.01)
    }

    /// The bands of one frame.
    #[must_use]
    pub fn frame(&self, index: usize) -> &[f32] {
        &self.bands[index * BANDS..(index + 1) * BANDS]
    }
}

/// Places of values so far apart whose times lie between two moments.
fn within(count: usize, step_s: f64, from_s: f64, to_s: f64) -> std::ops::Range<usize> {
    let at = |t_s: f64| libm::ceil((t_s / step_s).max(0.0)) as usize;
    at(from_s).min(count)..at(to_s).min(count)
}

/// The place behind a stretch, or before it at the end; `None` where there is neither.
fn beside(stretch: &std::ops::Range<usize>, count: usize) -> Option<usize> {
    if stretch.end < count { Some(stretch.end) } else { stretch.start.checked_sub(1) }
}

/// One second-order section in direct form II transposed.
#[derive(Debug, Clone)]
pub struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    state: [f64; 2],
}

impl Biquad {
    /// High-pass of second order (Butterworth) by the bilinear transform. `corner_hz` below half the rate.
    #[must_use]
    pub fn high_pass(corner_hz: f64, rate_hz: f64) -> Self {
        let (k, norm) = Self::warp(corner_hz, rate_hz);
        Self {
            b: [norm, -2.0 * norm, norm],
            a: [2.0 * (k * k - 1.0) * norm, (1.0 - std::f64::consts::SQRT_2 * k + k * k) * norm],
            state: [0.0; 2],
        }
    }

    /// Low-pass of second order (Butterworth) by the bilinear transform. `corner_hz` below half the rate.
    #[must_use]
    pub fn low_pass(corner_hz: f64, rate_hz: f64) -> Self {
        let (k, norm) = Self::warp(corner_hz, rate_hz);
        let gain = k * k * norm;
        Self {
            b: [gain, 2.0 * gain, gain],
            a: [2.0 * (k * k - 1.0) * norm, (1.0 - std::f64::consts::SQRT_2 * k + k * k) * norm],
            state: [0.0; 2],
        }
    }

    fn warp(corner_hz: f64, rate_hz: f64) -> (f64, f64) {
        let k = libm::tan(std::f64::consts::PI * (corner_hz / rate_hz).clamp(1e-6, 0.49));
        (k, 1.0 / (1.0 + std::f64::consts::SQRT_2 * k + k * k))
    }

    /// Forgets what is left of a sound that ended long ago: processors are slow with numbers next to nothing.
    fn rest(&mut self) {
        for value in &mut self.state {
            if value.abs() < f64::from(GONE) {
                *value = 0.0;
            }
        }
    }

    /// The next output for the next input.
    pub fn step(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.state[0];
        self.state[0] = self.b[1] * x - self.a[0] * y + self.state[1];
        self.state[1] = self.b[2] * x - self.a[1] * y;
        y
    }
}

/// The band-passes of the fine bands, side by side, so that a processor may step several at once. Their gains are left
/// to the power that comes out. Single precision does: below the first of them 80 Hz are gone already.
#[derive(Debug, Clone)]
struct Bank {
    /// Feedback of the high-passes, then of the low-passes.
    low_cut: [[f32; FINE_BANDS]; 2],
    high_cut: [[f32; FINE_BANDS]; 2],
    state: [[f32; FINE_BANDS]; 4],
    /// Gain of both together, squared.
    gain: [f64; FINE_BANDS],
}

/// What is left of a sound that ended long ago; processors are slow with still smaller numbers.
const GONE: f32 = 1e-20;

impl Bank {
    fn new(low_cuts: &[Biquad; FINE_BANDS], high_cuts: &[Biquad; FINE_BANDS]) -> Self {
        let feedback = |sections: &[Biquad; FINE_BANDS]| {
            [0, 1].map(|k| std::array::from_fn(|band| sections[band].a[k] as f32))
        };
        Self {
            low_cut: feedback(low_cuts),
            high_cut: feedback(high_cuts),
            state: [[0.0; FINE_BANDS]; 4],
            gain: std::array::from_fn(|band| {
                let gain = low_cuts[band].b[0] * high_cuts[band].b[0];
                gain * gain
            }),
        }
    }

    /// The next sample, squared in every band.
    fn step(&mut self, x: f32) -> [f32; FINE_BANDS] {
        let twice = x + x;
        let [first, second, third, fourth] = &mut self.state;
        std::array::from_fn(|band| {
            // Numerators 1, -2, 1 and 1, 2, 1.
            let y = x + first[band];
            first[band] = second[band] - twice - self.low_cut[0][band] * y;
            second[band] = x - self.low_cut[1][band] * y;
            let z = y + third[band];
            third[band] = fourth[band] + (y + y) - self.high_cut[0][band] * z;
            fourth[band] = y - self.high_cut[1][band] * z;
            z * z
        })
    }

    fn rest(&mut self) {
        for value in self.state.iter_mut().flatten() {
            if value.abs() < GONE {
                *value = 0.0;
            }
        }
    }
}

/// Outputs of the decimator that are worked out together.
const TOGETHER: usize = 16;

/// Keeps every n-th sample behind a windowed-sinc low-pass whose delay is taken back.
#[derive(Debug, Clone)]
struct Decimator {
    factor: usize,
    /// Every n-th tap from the first, from the second, and so on.
    taps: Vec<Vec<f32>>,
    length: usize,
    kept: Vec<f32>,
    /// Every n-th of the samples kept, likewise.
    phases: Vec<Vec<f32>>,
}

impl Decimator {
    fn new(factor: usize) -> Self {
        if factor <= 1 {
            return Self { factor: 1, taps: Vec::new(), length: 0, kept: Vec::new(), phases: Vec::new() };
        }
        let reach = 12 * factor;
        let cut = 0.46 / factor as f64;
        let taps: Vec<f64> = (0..=2 * reach)
            .map(|index| {
                let x = index as f64 - reach as f64;
                let sinc = if x == 0.0 {
                    2.0 * cut
                } else {
                    libm::sin(2.0 * std::f64::consts::PI * cut * x) / (std::f64::consts::PI * x)
                };
                let window = 0.5 + 0.5 * libm::cos(std::f64::consts::PI * x / (reach as f64 + 1.0));
                sinc * window
            })
            .collect();
        let sum: f64 = taps.iter().sum();
        let phase =
            |from: usize| taps.iter().skip(from).step_by(factor).map(|tap| (tap / sum) as f32).collect();
        // Half a filter of silence before the first sample: output k then lies exactly on input k * factor.
        Self {
            factor,
            taps: (0..factor).map(phase).collect(),
            length: taps.len(),
            kept: vec![0.0; reach],
            phases: vec![Vec::new(); factor],
        }
    }

    fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        if self.factor == 1 {
            out.extend_from_slice(samples);
            return;
        }
        self.kept.extend_from_slice(samples);
        let ready = match self.kept.len().checked_sub(self.length) {
            Some(spare) => spare / self.factor + 1,
            None => return,
        };
        for (from, phase) in self.phases.iter_mut().enumerate() {
            phase.clear();
            phase.extend(self.kept.iter().skip(from).step_by(self.factor));
        }
        // However many outputs are worked out together, each sums its products in the same order.
        let mut done = 0;
        while done < ready {
            let many = ready - done >= TOGETHER;
            let mut sums = [0.0f32; TOGETHER];
            let count = if many { TOGETHER } else { 1 };
            for (taps, phase) in self.taps.iter().zip(&self.phases) {
                let stretch = &phase[done..];
                if many {
                    for (tap, window) in taps.iter().zip(stretch.windows(TOGETHER)) {
                        for (sum, x) in sums.iter_mut().zip(window) {
                            *sum += tap * x;
                        }
                    }
                } else {
                    for (tap, x) in taps.iter().zip(stretch) {
                        sums[0] += tap * x;
                    }
                }
            }
            out.extend_from_slice(&sums[..count]);
            done += count;
        }
        self.kept.drain(..ready * self.factor);
    }

    fn tail(&self) -> usize {
        self.length / 2
    }
}

/// Takes samples piece by piece.
#[derive(Debug, Clone)]
pub struct Front {
    rate_hz: f64,
    decimator: Decimator,
    decimated: Vec<f32>,
    fft: Fft,
    window: Vec<f32>,
    power: Vec<Lanes>,
    /// First bin of each band, and the weights of its bins.
    band_bins: Vec<(usize, Vec<f32>)>,
    hop: usize,
    recent: Vec<f32>,
    recent_start: i64,
    next_centre: i64,
    high: Biquad,
    bank: Bank,
    wide_step: f64,
    fine_step: f64,
    inner_count: u64,
    wide_peak: f32,
    fine_sum: [f32; FINE_BANDS],
    fine_samples: u32,
    heard: u64,
    longest: u64,
    clipped: u64,
    sound: Sound,
}

impl Front {
    /// For samples at `rate_hz`; rates below 1,000 or above 768,000 are taken as those.
    #[must_use]
    pub fn new(rate_hz: u32) -> Self {
        let rate = f64::from(rate_hz.clamp(1000, 768_000));
        let factor = ((rate / 22_050.0) as usize).max(1);
        let inner = rate / factor as f64;
        let length = ((WINDOW_S * inner).round() as usize).max(8);
        let fft = Fft::new(length);
        let window: Vec<f32> = (0..length)
            .map(|k| {
                (0.5 - 0.5 * libm::cos(2.0 * std::f64::consts::PI * (k as f64 + 0.5) / length as f64)) as f32
            })
            .collect();
        let norm = 2.0 / (fft.length() as f64 * window.iter().map(|w| f64::from(w * w)).sum::<f64>());
        let hop = ((FRAME_S * inner).round() as usize).max(1);
        let step_hz = inner / fft.length() as f64;
        let bins = fft.length() / 2 + 1;
        let band_bins = (0..BANDS)
            .map(|band| {
                let low = LOWEST_HZ * libm::exp2(band as f64 / 4.0);
                let high = LOWEST_HZ * libm::exp2((band + 1) as f64 / 4.0);
                let share = |bin: usize| {
                    let (from, to) = ((bin as f64 - 0.5) * step_hz, (bin as f64 + 0.5) * step_hz);
                    (high.min(to) - low.max(from)) / step_hz
                };
                let from = (0..bins).find(|&bin| share(bin) > 0.0).unwrap_or(bins);
                let weights = (from..bins).map(share).take_while(|&share| share > 0.0);
                (from, weights.map(|share| (share * norm) as f32).collect())
            })
            .collect();
        let low_cuts = FINE_EDGES_HZ.map(|(low, _)| Biquad::high_pass(low.min(0.4 * inner), inner));
        let high_cuts = FINE_EDGES_HZ.map(|(_, high)| Biquad::low_pass(high.min(0.45 * inner), inner));
        Self {
            rate_hz: rate,
            decimator: Decimator::new(factor),
            decimated: Vec::new(),
            power: vec![[0.0; LANES]; bins],
            band_bins,
            hop,
            recent: vec![0.0; length / 2],
            recent_start: -((length / 2) as i64),
            next_centre: 0,
            high: Biquad::high_pass(80.0, inner),
            bank: Bank::new(&low_cuts, &high_cuts),
            wide_step: (WIDE_S * inner).max(1.0),
            fine_step: (FINE_S * inner).max(1.0),
            inner_count: 0,
            wide_peak: 0.0,
            fine_sum: [0.0; FINE_BANDS],
            fine_samples: 0,
            heard: 0,
            longest: (LONGEST_TAKE_S * rate) as u64,
            clipped: 0,
            sound: Sound {
                frame_s: hop as f64 / inner,
                wide_s: (WIDE_S * inner).max(1.0) / inner,
                fine_s: (FINE_S * inner).max(1.0) / inner,
                ..Sound::default()
            },
            fft,
            window,
        }
    }

    /// The next samples of one channel, full scale 1. What is not a number counts as silence.
    pub fn push(&mut self, samples: &[f32]) {
        let room = self.longest.saturating_sub(self.heard) as usize;
        if samples.len() > room {
            self.sound.too_long = true;
        }
        for piece in samples[..samples.len().min(room)].chunks(4096) {
            self.piece(piece);
        }
    }

    fn piece(&mut self, samples: &[f32]) {
        let mut clean = [0.0f32; 4096];
        let (mut peak, mut clipped) = ([0.0f32; 8], 0u32);
        for (slots, samples) in clean.chunks_mut(8).zip(samples.chunks(8)) {
            for (lane, (slot, &sample)) in slots.iter_mut().zip(samples).enumerate() {
                *slot = if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
                let size = slot.abs();
                peak[lane] = peak[lane].max(size);
                clipped += u32::from(size >= 0.999);
            }
        }
        self.sound.peak = peak.into_iter().fold(self.sound.peak, f32::max);
        self.clipped += u64::from(clipped);
        self.heard += samples.len() as u64;
        let mut out = std::mem::take(&mut self.decimated);
        out.clear();
        self.decimator.push(&clean[..samples.len()], &mut out);
        self.envelopes(&out);
        self.recent.extend_from_slice(&out);
        self.frames(false);
        self.decimated = out;
    }

    /// Peaks above 80 Hz and power in the fine bands.
    fn envelopes(&mut self, samples: &[f32]) {
        let mut rest = samples;
        while !rest.is_empty() {
            // As far as the nearer of the two ends that come next.
            let end = |done: usize, step: f64| libm::ceil((done + 1) as f64 * step) as u64;
            let (wide_end, fine_end) =
                (end(self.sound.wide.len(), self.wide_step), end(self.sound.fine.len(), self.fine_step));
            let room = (wide_end.min(fine_end) - self.inner_count) as usize;
            let (now, later) = rest.split_at(room.min(rest.len()));
            rest = later;
            let (mut peak, mut sum) = (self.wide_peak, self.fine_sum);
            for &sample in now {
                let high = self.high.step(f64::from(sample)) as f32;
                peak = peak.max(high.abs());
                for (sum, power) in sum.iter_mut().zip(self.bank.step(high)) {
                    *sum += power;
                }
            }
            (self.wide_peak, self.fine_sum) = (peak, sum);
            self.inner_count += now.len() as u64;
            self.fine_samples += now.len() as u32;
            if self.inner_count >= wide_end {
                self.sound.wide.push(self.wide_peak);
                self.wide_peak = 0.0;
            }
            if self.inner_count >= fine_end {
                let n = f64::from(self.fine_samples);
                let gain = &self.bank.gain;
                let mean = |band: usize| (f64::from(self.fine_sum[band]) * gain[band] / n) as f32;
                self.sound.fine.push(std::array::from_fn(mean));
                self.fine_sum = [0.0; FINE_BANDS];
                self.fine_samples = 0;
                self.bank.rest();
                self.high.rest();
            }
        }
    }

    /// Spectra of the frames that are whole, four at a time; at the end also of the last ones.
    fn frames(&mut self, last: bool) {
        let length = self.window.len();
        loop {
            let from = (self.next_centre - (length / 2) as i64 - self.recent_start) as usize;
            let ready = match self.recent.len().checked_sub(from + length) {
                Some(spare) => (spare / self.hop + 1).min(LANES),
                None => 0,
            };
            if ready == 0 || (ready < LANES && !last) {
                break;
            }
            let stretches = std::array::from_fn(|lane| {
                let from = from + lane.min(ready - 1) * self.hop;
                &self.recent[from..from + length]
            });
            self.fft.powers(stretches, &self.window, &mut self.power);
            let begin = self.sound.bands.len();
            self.sound.bands.resize(begin + ready * BANDS, 0.0);
            for (band, (first, weights)) in self.band_bins.iter().enumerate() {
                let mut sums = [0.0f32; LANES];
                for (power, weight) in self.power[(*first).min(self.power.len())..].iter().zip(weights) {
                    for (sum, power) in sums.iter_mut().zip(power) {
                        *sum += power * weight;
                    }
                }
                for (lane, sum) in sums.into_iter().take(ready).enumerate() {
                    self.sound.bands[begin + lane * BANDS + band] = sum + LEAST_POWER;
                }
            }
            self.next_centre += (ready * self.hop) as i64;
        }
        let keep_from = self.next_centre - (length / 2) as i64;
        let drop = (keep_from - self.recent_start).clamp(0, self.recent.len() as i64);
        self.recent.drain(..drop as usize);
        self.recent_start += drop;
    }

    /// Seconds heard so far.
    #[must_use]
    pub fn heard_s(&self) -> f64 {
        self.heard as f64 / self.rate_hz
    }

    /// Whether more was offered than a take may be long.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.sound.too_long
    }

    /// Ends the take.
    #[must_use]
    pub fn finish(mut self) -> Sound {
        let tail = vec![0.0; self.decimator.tail()];
        let mut out = Vec::new();
        self.decimator.push(&tail, &mut out);
        self.envelopes(&out);
        self.recent.extend_from_slice(&out);
        self.frames(true);
        let n = self.heard.max(1) as f64;
        self.sound.duration_s = self.heard_s();
        self.sound.clipped_share = self.clipped as f64 / n;
        self.sound
    }
}
