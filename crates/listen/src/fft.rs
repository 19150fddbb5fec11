//! Power spectrum of a real window of samples, for lengths that are powers of two.
//!
//! Written here rather than taken from a library so that every device adds the same numbers in the same order: a
//! library that uses the vector units of one processor gives other last digits on the next.

/// A planned transform: twiddles and the order of the input, made once.
#[derive(Debug, Clone)]
pub struct Fft {
    /// Length of the real input; a power of two, at least 4.
    length: usize,
    /// `exp(-2 pi i k / length)` for `k < length / 2`.
    twiddles: Vec<(f32, f32)>,
    /// Bit-reversed order of the half-length complex transform.
    order: Vec<u32>,
    /// Twiddles of each stage, one stage after the other.
    stages: Vec<(f32, f32)>,
    work: Vec<(f32, f32)>,
}

impl Fft {
    /// Plans a transform of `length` real samples; the length is raised to the next power of two, at least 4.
    #[must_use]
    pub fn new(length: usize) -> Self {
        let length = length.next_power_of_two().max(4);
        let half = length / 2;
        let twiddles: Vec<(f32, f32)> = (0..half)
            .map(|k| {
                let angle = -2.0 * std::f64::consts::PI * k as f64 / length as f64;
                (libm::cos(angle) as f32, libm::sin(angle) as f32)
            })
            .collect();
        let mut stages = Vec::with_capacity(half);
        let mut span = 1;
        while span < half {
            stages.extend(twiddles.iter().step_by(length / (2 * span)).take(span));
            span *= 2;
        }
        let bits = half.trailing_zeros();
        let order = (0..half as u32).map(|k| k.reverse_bits() >> (32 - bits)).collect();
        Self { length, twiddles, order, stages, work: vec![(0.0, 0.0); half] }
    }

    /// Length of the real input.
    #[must_use]
    pub fn length(&self) -> usize {
        self.length
    }

    /// Writes `|X[k]|^2` for `k = 0 ..= length / 2` into `power`. `samples` shorter than the length are followed by
    /// zeros, longer ones are cut; entries of `power` beyond the spectrum are left alone.
    pub fn power(&mut self, samples: &[f32], power: &mut [f32]) {
        let half = self.length / 2;
        let at = |index: usize| samples.get(index).copied().unwrap_or(0.0);
        for (slot, &from) in self.work.iter_mut().zip(&self.order) {
            let from = from as usize * 2;
            *slot = (at(from), at(from + 1));
        }
        for pair in self.work.chunks_exact_mut(2) {
            let (a, b) = (pair[0], pair[1]);
            pair[0] = (a.0 + b.0, a.1 + b.1);
            pair[1] = (a.0 - b.0, a.1 - b.1);
        }
        let mut span = 2;
        let mut begin = 1;
        while span < half {
            let twiddles = &self.stages[begin..begin + span];
            for block in self.work.chunks_exact_mut(2 * span) {
                let (low, high) = block.split_at_mut(span);
                for ((a, b), w) in low.iter_mut().zip(high).zip(twiddles) {
                    let turned = (b.0 * w.0 - b.1 * w.1, b.0 * w.1 + b.1 * w.0);
                    *b = (a.0 - turned.0, a.1 - turned.1);
                    *a = (a.0 + turned.0, a.1 + turned.1);
                }
            }
            begin += span;
            span *= 2;
        }
        // Even and odd samples went in as real and imaginary parts; take them apart again.
        for (k, slot) in power.iter_mut().enumerate().take(half + 1) {
            let z = self.work[k % half];
            let mirror = self.work[(half - k) % half];
            let even = (0.5 * (z.0 + mirror.0), 0.5 * (z.1 - mirror.1));
            let odd = (0.5 * (z.1 + mirror.1), 0.5 * (mirror.0 - z.0));
            let w = if k == half { (-1.0, 0.0) } else { self.twiddles[k] };
            let re = even.0 + odd.0 * w.0 - odd.1 * w.1;
            let im = even.1 + odd.0 * w.1 + odd.1 * w.0;
            *slot = re * re + im * im;
        }
    }
}
