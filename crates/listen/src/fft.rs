//! Power spectra of real windows of samples, four windows side by side, for lengths that are powers of two.
//!
//! Written here rather than taken from a library so that every device adds the same numbers in the same order: a
//! library that uses the vector units of one processor gives other last digits on the next. Four windows go through
//! every step together: whatever a processor does with four numbers at once, each of them is added as it would be
//! alone.

/// Windows that are transformed together.
pub const LANES: usize = 4;
/// One number of each window.
pub type Lanes = [f32; LANES];

fn each(a: Lanes, b: Lanes, of: impl Fn(f32, f32) -> f32) -> Lanes {
    std::array::from_fn(|lane| of(a[lane], b[lane]))
}

fn plus(a: Lanes, b: Lanes) -> Lanes {
    each(a, b, |a, b| a + b)
}

fn minus(a: Lanes, b: Lanes) -> Lanes {
    each(a, b, |a, b| a - b)
}

fn times(a: Lanes, b: Lanes) -> Lanes {
    each(a, b, |a, b| a * b)
}

/// A complex number of each window: real parts, imaginary parts. Lies in memory so that a processor can reckon with it
/// where it lies.
#[derive(Debug, Clone, Copy, Default)]
#[repr(align(16))]
struct Complex {
    re: Lanes,
    im: Lanes,
}

impl Complex {
    fn plus(self, other: Self) -> Self {
        Self { re: plus(self.re, other.re), im: plus(self.im, other.im) }
    }

    fn minus(self, other: Self) -> Self {
        Self { re: minus(self.re, other.re), im: minus(self.im, other.im) }
    }

    fn times(self, by: &Self) -> Self {
        Self {
            re: minus(times(self.re, by.re), times(self.im, by.im)),
            im: plus(times(self.re, by.im), times(self.im, by.re)),
        }
    }

    /// Plus and minus another number times `-i`.
    fn with_quarter(self, other: Self) -> (Self, Self) {
        let after = Self { re: plus(self.re, other.im), im: minus(self.im, other.re) };
        let before = Self { re: minus(self.re, other.im), im: plus(self.im, other.re) };
        (after, before)
    }

    fn power(self) -> Lanes {
        each(self.re, self.im, |re, im| re * re + im * im)
    }
}

/// A planned transform: twiddles and the order of the input, made once.
#[derive(Debug, Clone)]
pub struct Fft {
    /// Length of the real input; a power of two, at least 8.
    length: usize,
    /// `exp(-2 pi i k / length)` for `k < length / 2`, the same in every window.
    twiddles: Vec<Complex>,
    /// Where each pair of samples goes: the bit-reversed order of the half-length complex transform.
    order: Vec<u32>,
    /// Of each step that joins four parts of one length: the three twiddles for every place in a part.
    fours: Vec<[Complex; 3]>,
    work: Vec<Complex>,
}

impl Fft {
    /// Plans a transform of `length` real samples; the length is raised to the next power of two, at least 8.
    #[must_use]
    pub fn new(length: usize) -> Self {
        let length = length.next_power_of_two().max(8);
        let half = length / 2;
        let twiddle = |k: usize, of: usize| {
            let angle = -2.0 * std::f64::consts::PI * k as f64 / of as f64;
            Complex { re: [libm::cos(angle) as f32; LANES], im: [libm::sin(angle) as f32; LANES] }
        };
        let twiddles = (0..half).map(|k| twiddle(k, length)).collect();
        let mut fours = Vec::with_capacity(half);
        let mut span = 4;
        while 4 * span <= half {
            fours.extend(
                (0..span).map(|k| [twiddle(k, 2 * span), twiddle(k, 4 * span), twiddle(3 * k, 4 * span)]),
            );
            span *= 4;
        }
        let bits = half.trailing_zeros();
        let order = (0..half as u32).map(|k| k.reverse_bits() >> (32 - bits)).collect();
        Self { length, twiddles, order, fours, work: vec![Complex::default(); half] }
    }

    /// Length of the real input.
    #[must_use]
    pub fn length(&self) -> usize {
        self.length
    }

    /// Writes `|X[k]|^2` for `k = 0 ..= length / 2` into `power`. `samples` shorter than the length are followed by
    /// zeros, longer ones are cut; entries of `power` beyond the spectrum are left alone.
    pub fn power(&mut self, samples: &[f32], power: &mut [f32]) {
        let samples = &samples[..samples.len().min(self.length)];
        let mut all = vec![[0.0; LANES]; self.length / 2 + 1];
        self.powers([samples; LANES], &vec![1.0; samples.len()], &mut all);
        for (slot, lanes) in power.iter_mut().zip(all) {
            *slot = 0.25 * lanes[0];
        }
    }

    /// Writes four times the power spectra of four stretches, each times the window and followed by zeros. Stretches
    /// and window have one length, at most that of the transform; `power` has `length / 2 + 1` entries.
    pub fn powers(&mut self, stretches: [&[f32]; LANES], window: &[f32], power: &mut [Lanes]) {
        self.load(stretches, window);
        self.transform();
        // Even and odd samples went in as real and imaginary parts; take them apart again, two bins at a time. Halving
        // the sums and differences is left out: hence four times the power.
        let half = self.length / 2;
        let (first, middle) = (self.work[0], self.work[half / 2]);
        let (sum, difference) = (plus(first.re, first.im), minus(first.re, first.im));
        power[0] = times(sum, sum).map(|x| 4.0 * x);
        power[half / 2] = middle.power().map(|x| 4.0 * x);
        power[half] = times(difference, difference).map(|x| 4.0 * x);
        let (up, down) = power[1..half].split_at_mut(half / 2 - 1);
        let (low, high) = self.work[1..half].split_at(half / 2 - 1);
        let bins = low.iter().zip(high[1..].iter().rev()).zip(&self.twiddles[1..]);
        for (((z, mirror), turn), (slot, other)) in bins.zip(up.iter_mut().zip(down[1..].iter_mut().rev())) {
            let even = Complex { re: plus(z.re, mirror.re), im: minus(z.im, mirror.im) };
            let odd = Complex { re: plus(z.im, mirror.im), im: minus(mirror.re, z.re) }.times(turn);
            *slot = even.plus(odd).power();
            *other = even.minus(odd).power();
        }
    }

    /// Puts the stretches, each times the window, where the transform wants them. Four samples of each stretch are
    /// taken at once and turned round, so that each number stands beside those of the other stretches.
    fn load(&mut self, stretches: [&[f32]; LANES], window: &[f32]) {
        let count = stretches.iter().map(|stretch| stretch.len()).min().unwrap_or(0).min(window.len());
        let [a, b, c, d] = stretches.map(|stretch| stretch[..count].as_chunks::<4>());
        let (weights, last_weights) = window[..count].as_chunks::<4>();
        let mut slots = self.order.as_chunks::<2>().0.iter();
        let mut store = |rows: [Lanes; LANES], slots: &[u32; 2]| {
            let column = |k: usize| rows.map(|row| row[k]);
            self.work[slots[0] as usize] = Complex { re: column(0), im: column(1) };
            self.work[slots[1] as usize] = Complex { re: column(2), im: column(3) };
        };
        for (((((a, b), c), d), weights), slots) in
            a.0.iter().zip(b.0).zip(c.0).zip(d.0).zip(weights).zip(&mut slots)
        {
            store([*a, *b, *c, *d].map(|row| times(row, *weights)), slots);
        }
        // The last ones that make no four, and silence behind them.
        let mut rows = [a.1, b.1, c.1, d.1].map(|rest| {
            let mut row = [0.0; 4];
            for ((slot, sample), weight) in row.iter_mut().zip(rest).zip(last_weights) {
                *slot = sample * weight;
            }
            row
        });
        for slots in slots {
            store(rows, slots);
            rows = [[0.0; 4]; LANES];
        }
    }

    /// Transforms what lies in `work` in bit-reversed order: four parts become one, at the end two where it must be.
    fn transform(&mut self) {
        let half = self.work.len();
        for four in self.work.chunks_exact_mut(4) {
            let (a, b) = (four[0].plus(four[1]), four[0].minus(four[1]));
            let (c, d) = (four[2].plus(four[3]), four[2].minus(four[3]));
            (four[0], four[2]) = (a.plus(c), a.minus(c));
            (four[1], four[3]) = b.with_quarter(d);
        }
        let (mut span, mut begin) = (4, 0);
        while 4 * span <= half {
            let turns = &self.fours[begin..begin + span];
            for block in self.work.chunks_exact_mut(4 * span) {
                let (low, high) = block.split_at_mut(2 * span);
                let ((a, b), (c, d)) = (low.split_at_mut(span), high.split_at_mut(span));
                for ((((a, b), c), d), turn) in a.iter_mut().zip(b).zip(c).zip(d).zip(turns) {
                    let (second, third, fourth) = (b.times(&turn[0]), c.times(&turn[1]), d.times(&turn[2]));
                    let (sum, difference) = (a.plus(second), a.minus(second));
                    let (sum2, difference2) = (third.plus(fourth), third.minus(fourth));
                    (*a, *c) = (sum.plus(sum2), sum.minus(sum2));
                    (*b, *d) = difference.with_quarter(difference2);
                }
            }
            begin += span;
            span *= 4;
        }
        if span < half {
            let (low, high) = self.work.split_at_mut(span);
            for ((a, b), turn) in low.iter_mut().zip(high).zip(self.twiddles.iter().step_by(2)) {
                let turned = b.times(turn);
                (*a, *b) = (a.plus(turned), a.minus(turned));
            }
        }
    }
}
