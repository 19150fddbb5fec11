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

/// One second-order section. Its inputs and outputs are kept as they are (direct form I), and what an output takes off
/// the one after the next is worked out ahead: the next one then waits for one product and one difference only. Waiting
/// is what a processor spends its time on here.
#[derive(Debug, Clone)]
pub struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    /// The last two inputs, the later one first.
    inputs: [f64; 2],
    /// The last output, and what the one before it takes off the next.
    output: f64,
    older: f64,
}

impl Biquad {
    /// High-pass of second order (Butterworth) by the bilinear transform. `corner_hz` below half the rate.
    #[must_use]
    pub fn high_pass(corner_hz: f64, rate_hz: f64) -> Self {
        let (k, norm) = Self::warp(corner_hz, rate_hz);
        Self::new([norm, -2.0 * norm, norm], k, norm)
    }

    /// Low-pass of second order (Butterworth) by the bilinear transform. `corner_hz` below half the rate.
    #[must_use]
    pub fn low_pass(corner_hz: f64, rate_hz: f64) -> Self {
        let (k, norm) = Self::warp(corner_hz, rate_hz);
        let gain = k * k * norm;
        Self::new([gain, 2.0 * gain, gain], k, norm)
    }

    fn warp(corner_hz: f64, rate_hz: f64) -> (f64, f64) {
        let k = libm::tan(std::f64::consts::PI * (corner_hz / rate_hz).clamp(1e-6, 0.49));
        (k, 1.0 / (1.0 + std::f64::consts::SQRT_2 * k + k * k))
    }

    fn new(b: [f64; 3], k: f64, norm: f64) -> Self {
        let a = [2.0 * (k * k - 1.0) * norm, (1.0 - std::f64::consts::SQRT_2 * k + k * k) * norm];
        Self { b, a, inputs: [0.0; 2], output: 0.0, older: 0.0 }
    }

    /// Forgets what is left of a sound that ended long ago: processors are slow with numbers next to nothing.
    fn rest(&mut self) {
        for value in self.inputs.iter_mut().chain([&mut self.output, &mut self.older]) {
            if value.abs() < f64::from(GONE) {
                *value = 0.0;
            }
        }
    }

    /// Puts outputs in the place of inputs. What the inputs give is worked out for several at once; only the feedback
    /// has to wait for the output before.
    fn hear(&mut self, samples: &mut [f32]) {
        const AT_ONCE: usize = 8;
        // A copy: what no reference leads to can stay in registers.
        let mut section = self.clone();
        for samples in samples.chunks_mut(AT_ONCE) {
            let mut x = [0.0; AT_ONCE + 2];
            (x[0], x[1]) = (section.inputs[1], section.inputs[0]);
            for (x, sample) in x[2..].iter_mut().zip(&*samples) {
                *x = f64::from(*sample);
            }
            let zeros: [f64; AT_ONCE] = std::array::from_fn(|k| section.zeros([x[k + 2], x[k + 1], x[k]]));
            for (sample, zeros) in samples.iter_mut().zip(zeros) {
                *sample = section.feed_back(zeros) as f32;
            }
            section.inputs = [x[samples.len() + 1], x[samples.len()]];
        }
        *self = section;
    }

    /// The next output for the next input.
    pub fn step(&mut self, x: f64) -> f64 {
        let zeros = self.zeros([x, self.inputs[0], self.inputs[1]]);
        self.inputs = [x, self.inputs[0]];
        self.feed_back(zeros)
    }

    /// What the last three inputs give, the latest one first.
    fn zeros(&self, x: [f64; 3]) -> f64 {
        self.b[0] * x[0] + self.b[1] * x[1] + self.b[2] * x[2]
    }

    #[inline(always)]
    fn feed_back(&mut self, zeros: f64) -> f64 {
        let y = (zeros - self.older) - self.a[0] * self.output;
        (self.older, self.output) = (self.a[1] * self.output, y);
        y
    }
}

/// The band-passes of the fine bands. Each is a high-pass and a low-pass; their zeros are the same in every band, twice
/// `1 - z^-2`, and are worked out once. Gains are left to the power that comes out. Single precision does: below the
/// first of them 80 Hz are gone already.
#[derive(Debug, Clone)]
struct Bank {
    /// High-passes and low-passes of the first four bands, which a processor may step at once, and those of the last.
    four: [Poles<4>; 2],
    last: [Poles<1>; 2],
    sums: [f32; FINE_BANDS],
    /// What the zeros leave of the stretch at hand.
    zeros: Vec<f32>,
    /// Gain of both together, squared.
    gain: [f64; FINE_BANDS],
}

/// The feedback of some second-order sections side by side.
#[derive(Debug, Clone, Copy)]
struct Poles<const COUNT: usize> {
    /// Feedback of the last output and of the one before it.
    feedback: [[f32; COUNT]; 2],
    /// The last outputs, and what those before them take off the next, as in [`Biquad`].
    output: [f32; COUNT],
    older: [f32; COUNT],
}

impl<const COUNT: usize> Poles<COUNT> {
    fn new(sections: &[Biquad]) -> Self {
        let feedback = [0, 1].map(|which| std::array::from_fn(|band| sections[band].a[which] as f32));
        Self { feedback, output: [0.0; COUNT], older: [0.0; COUNT] }
    }

    #[inline(always)]
    fn step(&mut self, x: [f32; COUNT]) -> [f32; COUNT] {
        let [by, by_older] = self.feedback;
        let y = std::array::from_fn(|band| (x[band] - self.older[band]) - by[band] * self.output[band]);
        self.older = std::array::from_fn(|band| by_older[band] * self.output[band]);
        self.output = y;
        y
    }

    /// As [`Biquad::rest`].
    fn rest(&mut self) {
        // Without a question, so that a processor can do it to several at once.
        let rest = |value: f32| if value.abs() < GONE { 0.0 } else { value };
        (self.output, self.older) = (self.output.map(rest), self.older.map(rest));
    }
}

/// What is left of a sound that ended long ago; processors are slow with still smaller numbers.
const GONE: f32 = 1e-20;

impl Bank {
    /// How many samples the zeros look back.
    const BEFORE: usize = 4;

    fn new(low_cuts: &[Biquad; FINE_BANDS], high_cuts: &[Biquad; FINE_BANDS]) -> Self {
        Self {
            four: [Poles::new(low_cuts), Poles::new(high_cuts)],
            last: [Poles::new(&low_cuts[4..]), Poles::new(&high_cuts[4..])],
            sums: [0.0; FINE_BANDS],
            zeros: Vec::new(),
            gain: std::array::from_fn(|band| {
                let gain = low_cuts[band].b[0] * high_cuts[band].b[0];
                gain * gain
            }),
        }
    }

    /// The next samples, behind the [`Bank::BEFORE`] before them.
    fn hear(&mut self, samples: &[f32]) {
        let later = samples[2..].iter().zip(&samples[Self::BEFORE..]);
        self.zeros.clear();
        self.zeros.extend(samples.iter().zip(later).map(|(x_4, (x_2, x))| (x - x_2) - (x_2 - x_4)));
        self.hear_four();
        self.hear_last();
    }

    fn hear_four(&mut self) {
        // Copies, here and below: what no reference leads to can stay in registers.
        let [mut low_cuts, mut high_cuts] = self.four;
        let [a, b, c, d, _] = self.sums;
        let mut sums = [a, b, c, d];
        for &x in &self.zeros {
            let y = high_cuts.step(low_cuts.step([x; 4]));
            sums = std::array::from_fn(|band| sums[band] + y[band] * y[band]);
        }
        self.four = [low_cuts, high_cuts];
        self.sums[..4].copy_from_slice(&sums);
    }

    /// One section after the other: stepped together, a compiler ties them so that each waits for the other.
    fn hear_last(&mut self) {
        let [mut low_cut, mut high_cut] = self.last;
        for x in &mut self.zeros {
            [*x] = low_cut.step([*x]);
        }
        let mut sum = self.sums[4];
        for &x in &self.zeros {
            let [y] = high_cut.step([x]);
            sum += y * y;
        }
        self.last = [low_cut, high_cut];
        self.sums[4] = sum;
    }

    /// Mean power of the last so many samples in every band; counts anew from here.
    fn mean_powers(&mut self, count: u32) -> [f32; FINE_BANDS] {
        let sums = std::mem::take(&mut self.sums);
        let n = f64::from(count);
        std::array::from_fn(|band| (f64::from(sums[band]) * self.gain[band] / n) as f32)
    }

    fn rest(&mut self) {
        self.four.iter_mut().for_each(Poles::rest);
        self.last.iter_mut().for_each(Poles::rest);
    }
}

/// Where stretches end whose length is no whole number of samples.
#[derive(Debug, Clone)]
struct Stretches {
    length: f64,
    /// How many have ended.
    ended: u32,
    /// How many samples are gone since the last end, and how many are left to the next one.
    gone: u32,
    left: u32,
}

impl Stretches {
    fn of(length: f64) -> Self {
        let mut stretches = Self { length, ended: 0, gone: 0, left: 0 };
        stretches.left = stretches.end(1);
        stretches
    }

    /// How many samples lie before the end of the first so many.
    fn end(&self, count: u32) -> u32 {
        let end = f64::from(count) * self.length;
        let whole = end as u32;
        whole + u32::from(f64::from(whole) < end)
    }

    /// Goes on by so many samples, at most to the end of the stretch. There it says how many the stretch had.
    fn pass(&mut self, samples: usize) -> Option<u32> {
        (self.gone, self.left) = (self.gone + samples as u32, self.left - samples as u32);
        if self.left > 0 {
            return None;
        }
        let had = std::mem::take(&mut self.gone);
        self.ended += 1;
        self.left = self.end(self.ended + 1) - self.end(self.ended);
        Some(had)
    }
}

/// Outputs of the decimator that are worked out together.
const TOGETHER: usize = 8;
/// Taps of the decimator on either side of the middle one, for every sample left out or kept.
const REACH: usize = 12;

/// Keeps every n-th sample behind a windowed-sinc low-pass whose delay is taken back.
#[derive(Debug, Clone)]
struct Decimator {
    factor: usize,
    /// The first half of the taps: every n-th from the first, from the second, and so on. The second half mirrors it.
    taps: Vec<[f32; REACH]>,
    middle: f32,
    /// Samples that are not done with: every n-th from the first, from the second, and so on.
    phases: Vec<Vec<f32>>,
    /// The phase that the next sample belongs to.
    next: usize,
}

impl Decimator {
    fn new(factor: usize) -> Self {
        if factor <= 1 {
            return Self { factor: 1, taps: Vec::new(), middle: 1.0, phases: Vec::new(), next: 0 };
        }
        let reach = REACH * factor;
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
        let tap = |index: usize| (taps[index] / sum) as f32;
        // Half a filter of silence before the first sample: output k then lies exactly on input k * factor.
        Self {
            factor,
            taps: (0..factor).map(|from| std::array::from_fn(|k| tap(from + k * factor))).collect(),
            middle: tap(reach),
            phases: vec![vec![0.0; REACH]; factor],
            next: 0,
        }
    }

    fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        if self.factor == 1 {
            out.extend_from_slice(samples);
            return;
        }
        self.take_apart(samples);
        // The last output needs as many samples of the first phase behind it as before it.
        let needed = |from: usize| if from == 0 { 2 * REACH } else { 2 * REACH - 1 };
        let ready =
            self.phases.iter().enumerate().map(|(from, phase)| phase.len().saturating_sub(needed(from)));
        let ready = ready.min().unwrap_or(0);
        let mut done = 0;
        while done + TOGETHER <= ready {
            out.extend_from_slice(&self.outputs::<TOGETHER, 4>(done));
            done += TOGETHER;
        }
        while done < ready {
            out.extend_from_slice(&self.outputs::<1, 1>(done));
            done += 1;
        }
        for phase in &mut self.phases {
            phase.drain(..ready);
        }
    }

    /// Deals samples out to the phases.
    fn take_apart(&mut self, samples: &[f32]) {
        match &mut self.phases[..] {
            // By far the most frequent case, and two at a time go faster.
            [first, second] => {
                let (lone, samples) = samples.split_at(self.next.min(samples.len()));
                second.extend_from_slice(lone);
                let (pairs, rest) = samples.as_chunks::<2>();
                first.extend(pairs.iter().map(|pair| pair[0]));
                second.extend(pairs.iter().map(|pair| pair[1]));
                first.extend_from_slice(rest);
            }
            phases => {
                for (place, phase) in phases.iter_mut().enumerate() {
                    let from = (place + self.factor - self.next) % self.factor;
                    phase.extend(samples.iter().skip(from).step_by(self.factor));
                }
            }
        }
        self.next = (self.next + samples.len()) % self.factor;
    }

    /// Some outputs one after the other. However many are worked out together, each sums in the same order: samples as
    /// far before as behind the middle have the same tap and are added first. `GROUP` divides `COUNT`.
    fn outputs<const COUNT: usize, const GROUP: usize>(&self, done: usize) -> [f32; COUNT] {
        let mut sums = [0.0f32; COUNT];
        let span = REACH + COUNT - 1;
        for (from, taps) in self.taps.iter().enumerate() {
            let mirrored = (self.factor - from) % self.factor;
            let behind = done + REACH + usize::from(from == 0);
            let before = &self.phases[from][done..done + span];
            let behind = &self.phases[mirrored][behind..behind + span];
            for ((tap, a), b) in taps.iter().zip(before.windows(COUNT)).zip(behind.windows(COUNT).rev()) {
                let (a, b) = (a.as_chunks::<GROUP>().0, b.as_chunks::<GROUP>().0);
                for ((sums, a), b) in sums.as_chunks_mut::<GROUP>().0.iter_mut().zip(a).zip(b) {
                    *sums = std::array::from_fn(|lane| sums[lane] + tap * (a[lane] + b[lane]));
                }
            }
        }
        for (sum, x) in sums.iter_mut().zip(&self.phases[0][done + REACH..]) {
            *sum += self.middle * x;
        }
        sums
    }

    fn tail(&self) -> usize {
        if self.factor == 1 { 0 } else { REACH * self.factor }
    }
}

/// Samples that go through the front together.
const PIECE: usize = 4096;

/// The larger of two numbers; `f32::max` also asks which of them is one.
pub(crate) fn larger(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// The largest magnitude, and how many samples are at the limit of the scale or no numbers.
fn extent(samples: &[f32]) -> (f32, u32) {
    let (eights, rest) = samples.as_chunks::<8>();
    let mut last = [0.0; 8];
    last[..rest.len()].copy_from_slice(rest);
    let (mut peaks, mut limited) = ([0.0f32; 8], [0u32; 8]);
    for eight in eights.iter().chain([&last]) {
        for ((peak, limited), sample) in peaks.iter_mut().zip(&mut limited).zip(eight) {
            *peak = larger(*peak, sample.abs());
            *limited += u32::from(!(0.0..0.999).contains(&sample.abs()));
        }
    }
    (peaks.into_iter().fold(0.0, larger), limited.iter().sum())
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
    /// What is left above 80 Hz of the piece at hand, behind the last few samples of the one before.
    highs: Vec<f32>,
    bank: Bank,
    wide: Stretches,
    wide_peak: f32,
    fine: Stretches,
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
        // The transform gives four times the power.
        let norm = 0.5 / (fft.length() as f64 * window.iter().map(|w| f64::from(w * w)).sum::<f64>());
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
            highs: vec![0.0; Bank::BEFORE],
            bank: Bank::new(&low_cuts, &high_cuts),
            wide: Stretches::of((WIDE_S * inner).max(1.0)),
            wide_peak: 0.0,
            fine: Stretches::of((FINE_S * inner).max(1.0)),
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
        for piece in samples[..samples.len().min(room)].chunks(PIECE) {
            self.piece(piece);
        }
    }

    fn piece(&mut self, samples: &[f32]) {
        self.heard += samples.len() as u64;
        let mut out = std::mem::take(&mut self.decimated);
        out.clear();
        let (mut peak, mut limited) = extent(samples);
        if limited == 0 {
            self.decimator.push(samples, &mut out);
        } else {
            // Some are at the limit, beyond it or no numbers.
            let clean = |&x: &f32| if x.is_finite() { x.clamp(-8.0, 8.0) } else { 0.0 };
            let samples: Vec<f32> = samples.iter().map(clean).collect();
            (peak, limited) = extent(&samples);
            self.decimator.push(&samples, &mut out);
        }
        self.sound.peak = self.sound.peak.max(peak);
        self.clipped += u64::from(limited);
        self.hear(&out, false);
        self.decimated = out;
    }

    /// Envelopes and frames of the next samples behind the decimator.
    fn hear(&mut self, samples: &[f32], last: bool) {
        self.fine_powers(samples);
        self.wide_peaks();
        self.recent.extend_from_slice(samples);
        self.frames(last);
    }

    /// Power in the fine bands; keeps what is left above 80 Hz for the peaks. Every filter goes through one stretch
    /// before the next does: short enough for a processor to be busy with several of them at once.
    fn fine_powers(&mut self, samples: &[f32]) {
        let done = self.highs.len() - Bank::BEFORE;
        self.highs.drain(..done);
        self.highs.extend_from_slice(samples);
        let mut from = Bank::BEFORE;
        while from < self.highs.len() {
            let to = (from + self.fine.left as usize).min(self.highs.len());
            self.high.hear(&mut self.highs[from..to]);
            self.bank.hear(&self.highs[from - Bank::BEFORE..to]);
            if let Some(count) = self.fine.pass(to - from) {
                self.sound.fine.push(self.bank.mean_powers(count));
                self.bank.rest();
                self.high.rest();
            }
            from = to;
        }
    }

    /// Peaks above 80 Hz.
    fn wide_peaks(&mut self) {
        let mut rest = &self.highs[Bank::BEFORE..];
        while !rest.is_empty() {
            let (now, later) = rest.split_at((self.wide.left as usize).min(rest.len()));
            rest = later;
            self.wide_peak = now.iter().fold(self.wide_peak, |peak, high| larger(peak, high.abs()));
            if self.wide.pass(now.len()).is_some() {
                self.sound.wide.push(std::mem::take(&mut self.wide_peak));
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
        self.hear(&out, true);
        let n = self.heard.max(1) as f64;
        self.sound.duration_s = self.heard_s();
        self.sound.clipped_share = self.clipped as f64 / n;
        self.sound
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers between -1 and 1 that look like chance.
    fn noise(count: usize) -> Vec<f32> {
        let mut state = 7u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f32 / (1u32 << 23) as f32 - 1.0
        };
        (0..count).map(|_| next()).collect()
    }

    #[test]
    fn the_bank_gives_the_powers_of_its_sections_one_by_one() {
        let rate_hz = 22_050.0;
        let mut low_cuts = FINE_EDGES_HZ.map(|(low, _)| Biquad::high_pass(low, rate_hz));
        let mut high_cuts = FINE_EDGES_HZ.map(|(_, high)| Biquad::low_pass(high, rate_hz));
        let mut bank = Bank::new(&low_cuts, &high_cuts);
        let mut plain = [0.0; FINE_BANDS];
        let samples = noise(4000);
        bank.hear(&[[0.0; Bank::BEFORE].as_slice(), &samples].concat());
        for &sample in &samples {
            for band in 0..FINE_BANDS {
                let y = high_cuts[band].step(low_cuts[band].step(f64::from(sample)));
                plain[band] += y * y / samples.len() as f64;
            }
        }
        for (power, plain) in bank.mean_powers(samples.len() as u32).into_iter().zip(plain) {
            assert!((f64::from(power) / plain - 1.0).abs() < 1e-5, "{power}, not {plain}");
        }
    }

    #[test]
    fn a_section_gives_the_same_for_a_stretch_as_sample_by_sample() {
        let samples = noise(101);
        let (mut whole, mut single) = (Biquad::high_pass(80.0, 22_050.0), Biquad::high_pass(80.0, 22_050.0));
        let mut out = samples.clone();
        let (first, second) = out.split_at_mut(37);
        whole.hear(first);
        whole.hear(second);
        let plain: Vec<f32> = samples.iter().map(|x| single.step(f64::from(*x)) as f32).collect();
        assert_eq!(out, plain);
    }

    #[test]
    fn the_decimator_is_a_plain_convolution_whatever_the_pieces_are() {
        for factor in [2, 3, 5] {
            let samples = noise(3000);
            let mut decimator = Decimator::new(factor);
            let half: Vec<f32> =
                (0..REACH * factor).map(|k| decimator.taps[k % factor][k / factor]).collect();
            let taps: Vec<f32> =
                half.iter().copied().chain([decimator.middle]).chain(half.iter().rev().copied()).collect();
            let mut out = Vec::new();
            for piece in samples.chunks(97) {
                decimator.push(piece, &mut out);
            }
            assert_eq!(out.len(), (samples.len() - REACH * factor - 1) / factor + 1);
            for (k, out) in out.iter().enumerate() {
                let at =
                    |tap: usize| (k * factor + tap).checked_sub(REACH * factor).map_or(0.0, |at| samples[at]);
                let plain: f32 = taps.iter().enumerate().map(|(tap, weight)| weight * at(tap)).sum();
                assert!((out - plain).abs() < 1e-6, "{factor}: {out} at {k}, not {plain}");
            }
        }
    }

    #[test]
    fn stretches_end_where_their_length_says() {
        let mut stretches = Stretches::of(5.5125);
        let (mut at, mut ends) = (0, Vec::new());
        while ends.len() < 40 {
            let go = (stretches.left as usize).min(2);
            at += go;
            if stretches.pass(go).is_some() {
                ends.push(at);
            }
        }
        let expected: Vec<usize> = (1..=40).map(|k| libm::ceil(f64::from(k) * 5.5125) as usize).collect();
        assert_eq!(ends, expected);
    }
}
