//! From samples to what the rest looks at: band energies every 5 ms and envelopes every 0.25 and 1 ms.
//!
//! Samples go in piece by piece and are forgotten; what stays grows with the length of the take only up to
//! [`LONGEST_TAKE_S`], about 0.1 MB a second.

use crate::fft::Fft;

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
    /// Power of the mean of all samples.
    pub mean_power: f64,
    /// More was offered than a take may be long.
    pub too_long: bool,
}

impl Sound {
    /// Number of whole frames.
    #[must_use]
    pub fn frames(&self) -> usize {
        self.bands.len() / BANDS
    }

    /// The bands of one frame.
    #[must_use]
    pub fn frame(&self, index: usize) -> &[f32] {
        &self.bands[index * BANDS..(index + 1) * BANDS]
    }
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

    /// The next output for the next input.
    pub fn step(&mut self, x: f64) -> f64 {
        let y = self.b[0] * x + self.state[0];
        self.state[0] = self.b[1] * x - self.a[0] * y + self.state[1];
        self.state[1] = self.b[2] * x - self.a[1] * y;
        y
    }
}

/// One section for each fine band, side by side, so that a processor may step several at once.
#[derive(Debug, Clone)]
struct Sections {
    b: [[f64; FINE_BANDS]; 3],
    a: [[f64; FINE_BANDS]; 2],
    state: [[f64; FINE_BANDS]; 2],
}

impl Sections {
    fn new(sections: [Biquad; FINE_BANDS]) -> Self {
        let b = [0, 1, 2].map(|k| std::array::from_fn(|band| sections[band].b[k]));
        let a = [0, 1].map(|k| std::array::from_fn(|band| sections[band].a[k]));
        Self { b, a, state: [[0.0; FINE_BANDS]; 2] }
    }

    fn step(&mut self, x: [f64; FINE_BANDS]) -> [f64; FINE_BANDS] {
        let mut y = [0.0; FINE_BANDS];
        for band in 0..FINE_BANDS {
            y[band] = self.b[0][band] * x[band] + self.state[0][band];
            self.state[0][band] = self.b[1][band] * x[band] - self.a[0][band] * y[band] + self.state[1][band];
            self.state[1][band] = self.b[2][band] * x[band] - self.a[1][band] * y[band];
        }
        y
    }
}

/// Keeps every n-th sample behind a windowed-sinc low-pass whose delay is taken back.
#[derive(Debug, Clone)]
struct Decimator {
    factor: usize,
    taps: Vec<f32>,
    kept: Vec<f32>,
    next: usize,
}

impl Decimator {
    fn new(factor: usize) -> Self {
        if factor <= 1 {
            return Self { factor: 1, taps: Vec::new(), kept: Vec::new(), next: 0 };
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
        let taps: Vec<f32> = taps.iter().map(|tap| (tap / sum) as f32).collect();
        // Half a filter of silence before the first sample: output k then lies exactly on input k * factor.
        Self { factor, kept: vec![0.0; reach], next: 0, taps }
    }

    fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        if self.factor == 1 {
            out.extend_from_slice(samples);
            return;
        }
        self.kept.extend_from_slice(samples);
        while self.next + self.taps.len() <= self.kept.len() {
            let window = &self.kept[self.next..self.next + self.taps.len()];
            out.push(dot(window, &self.taps));
            self.next += self.factor;
        }
        let drop = self.next.min(self.kept.len());
        self.kept.drain(..drop);
        self.next -= drop;
    }

    fn tail(&self) -> usize {
        self.taps.len() / 2
    }
}

/// Sum of products in eight lanes, always in the same order.
fn dot(a: &[f32], b: &[f32]) -> f32 {
    let mut lanes = [0.0f32; 8];
    let (a8, b8) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f32 = a8.remainder().iter().zip(b8.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a8.zip(b8) {
        for (lane, (x, y)) in lanes.iter_mut().zip(x.iter().zip(y)) {
            *lane += x * y;
        }
    }
    lanes.iter().sum::<f32>() + rest
}

/// Takes samples piece by piece.
#[derive(Debug, Clone)]
pub struct Front {
    rate_hz: f64,
    decimator: Decimator,
    decimated: Vec<f32>,
    fft: Fft,
    window: Vec<f32>,
    windowed: Vec<f32>,
    power: Vec<f32>,
    band_bins: Vec<Vec<(usize, f32)>>,
    hop: usize,
    recent: Vec<f32>,
    recent_start: i64,
    next_centre: i64,
    high: Biquad,
    low_cuts: Sections,
    high_cuts: Sections,
    wide_step: f64,
    fine_step: f64,
    inner_count: u64,
    wide_peak: f32,
    fine_sum: [f64; FINE_BANDS],
    fine_samples: u32,
    heard: u64,
    longest: u64,
    clipped: u64,
    power_sum: f64,
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
                (0..bins)
                    .filter_map(|bin| {
                        let (from, to) = ((bin as f64 - 0.5) * step_hz, (bin as f64 + 0.5) * step_hz);
                        let share = (high.min(to) - low.max(from)) / step_hz;
                        (share > 0.0).then_some((bin, (share * norm) as f32))
                    })
                    .collect()
            })
            .collect();
        let low_cuts = FINE_EDGES_HZ.map(|(low, _)| Biquad::high_pass(low.min(0.4 * inner), inner));
        let high_cuts = FINE_EDGES_HZ.map(|(_, high)| Biquad::low_pass(high.min(0.45 * inner), inner));
        Self {
            rate_hz: rate,
            decimator: Decimator::new(factor),
            decimated: Vec::new(),
            windowed: vec![0.0; length],
            power: vec![0.0; bins],
            band_bins,
            hop,
            recent: vec![0.0; length / 2],
            recent_start: -((length / 2) as i64),
            next_centre: 0,
            high: Biquad::high_pass(80.0, inner),
            low_cuts: Sections::new(low_cuts),
            high_cuts: Sections::new(high_cuts),
            wide_step: (WIDE_S * inner).max(1.0),
            fine_step: (FINE_S * inner).max(1.0),
            inner_count: 0,
            wide_peak: 0.0,
            fine_sum: [0.0; FINE_BANDS],
            fine_samples: 0,
            heard: 0,
            longest: (LONGEST_TAKE_S * rate) as u64,
            clipped: 0,
            power_sum: 0.0,
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
        for (slot, &sample) in clean.iter_mut().zip(samples) {
            *slot = if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
            let size = slot.abs();
            self.sound.peak = self.sound.peak.max(size);
            self.clipped += u64::from(size >= 0.999);
            self.power_sum += f64::from(size * size);
        }
        self.heard += samples.len() as u64;
        let mut out = std::mem::take(&mut self.decimated);
        out.clear();
        self.decimator.push(&clean[..samples.len()], &mut out);
        self.inner(&out);
        self.decimated = out;
    }

    fn inner(&mut self, samples: &[f32]) {
        for &sample in samples {
            let x = f64::from(sample);
            let high = self.high.step(x);
            self.wide_peak = self.wide_peak.max(high.abs() as f32);
            let banded = self.high_cuts.step(self.low_cuts.step([high; FINE_BANDS]));
            for (sum, y) in self.fine_sum.iter_mut().zip(banded) {
                *sum += y * y;
            }
            self.fine_samples += 1;
            self.inner_count += 1;
            let count = self.inner_count as f64;
            if count >= (self.sound.wide.len() + 1) as f64 * self.wide_step {
                self.sound.wide.push(self.wide_peak);
                self.wide_peak = 0.0;
            }
            if count >= (self.sound.fine.len() + 1) as f64 * self.fine_step {
                let n = f64::from(self.fine_samples);
                self.sound.fine.push(self.fine_sum.map(|sum| (sum / n) as f32));
                self.fine_sum = [0.0; FINE_BANDS];
                self.fine_samples = 0;
            }
        }
        self.recent.extend_from_slice(samples);
        let length = self.window.len() as i64;
        while self.next_centre - length / 2 + length <= self.recent_start + self.recent.len() as i64 {
            let from = (self.next_centre - length / 2 - self.recent_start) as usize;
            let stretch = &self.recent[from..from + self.window.len()];
            for ((slot, x), w) in self.windowed.iter_mut().zip(stretch).zip(&self.window) {
                *slot = x * w;
            }
            self.fft.power(&self.windowed, &mut self.power);
            for bins in &self.band_bins {
                let sum: f32 = bins.iter().map(|&(bin, weight)| self.power[bin] * weight).sum();
                self.sound.bands.push(sum + LEAST_POWER);
            }
            self.next_centre += self.hop as i64;
        }
        let keep_from = self.next_centre - length / 2;
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
        self.inner(&out);
        let n = self.heard.max(1) as f64;
        self.sound.duration_s = self.heard_s();
        self.sound.clipped_share = self.clipped as f64 / n;
        self.sound.mean_power = self.power_sum / n;
        self.sound
    }
}
