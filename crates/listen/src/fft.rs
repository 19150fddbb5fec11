//! Power spectra of real windows of samples, four windows side by side, for lengths that are powers of two.
//!
//! Written here rather than taken from a library so that every device adds the same numbers in the same order: a
//! library that uses the vector units of one processor gives other last digits on the next. Four windows go through
//! every step together: whatever a processor does with four numbers at once, each of them is added as it would be alone.

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

/// A complex number of each window: real parts, imaginary parts.
#[derive(Debug, Clone, Copy, Default)]
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

    /// Times the same number in every window.
    fn turned(self, by: (f32, f32)) -> Self {
        Self {
            re: each(self.re, self.im, |re, im| re * by.0 - im * by.1),
            im: each(self.re, self.im, |re, im| re * by.1 + im * by.0),
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
    /// `exp(-2 pi i k / length)` for `k < length / 2`.
    twiddles: Vec<(f32, f32)>,
    /// Bit-reversed order of the half-length complex transform.
    order: Vec<u32>,
    /// Of each step that joins four parts of one length: the three twiddles for every place in a part.
    fours: Vec<[(f32, f32); 3]>,
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
            (libm::cos(angle) as f32, libm::sin(angle) as f32)
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
            *slot = lanes[0];
        }
    }

    /// Writes the power spectra of four stretches, each times the window and followed by zeros. Stretches and window
    /// have one length, at most that of the transform; `power` has `length / 2 + 1` entries.
    pub fn powers(&mut self, stretches: [&[f32]; LANES], window: &[f32], power: &mut [Lanes]) {
        let half = self.length / 2;
        let count = stretches.iter().map(|stretch| stretch.len()).min().unwrap_or(0).min(window.len());
        let stretches = stretches.map(|stretch| &stretch[..count]);
        let window = &window[..count];
        let at = |index: usize| -> Lanes {
            match window.get(index) {
                Some(weight) => std::array::from_fn(|lane| stretches[lane][index] * weight),
                None => [0.0; LANES],
            }
        };
        for (slot, &from) in self.work.iter_mut().zip(&self.order) {
            let from = from as usize * 2;
            *slot = Complex { re: at(from), im: at(from + 1) };
        }
        self.transform();
        // Even and odd samples went in as real and imaginary parts; take them apart again, two bins at a time.
        let first = self.work[0];
        let (sum, difference) = (plus(first.re, first.im), minus(first.re, first.im));
        power[0] = each(sum, sum, |a, b| a * b);
        power[half] = each(difference, difference, |a, b| a * b);
        for k in 1..=half / 2 {
            let (z, mirror) = (self.work[k], self.work[half - k]);
            let halved = |a: Lanes| a.map(|x| 0.5 * x);
            let even = Complex { re: halved(plus(z.re, mirror.re)), im: halved(minus(z.im, mirror.im)) };
            let odd = Complex { re: halved(plus(z.im, mirror.im)), im: halved(minus(mirror.re, z.re)) };
            let odd = odd.turned(self.twiddles[k]);
            power[k] = even.plus(odd).power();
            power[half - k] = even.minus(odd).power();
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
                    let (second, third, fourth) = (b.turned(turn[0]), c.turned(turn[1]), d.turned(turn[2]));
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
                let turned = b.turned(*turn);
                (*a, *b) = (a.plus(turned), a.minus(turned));
            }
        }
    }
}
