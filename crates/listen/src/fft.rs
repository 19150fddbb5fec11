//! Power spectrum of a real window of samples, for lengths that are powers of two.
//!
//! Written here rather than taken from a library so that every device adds the same numbers in the same order: a
//! library that uses the vector units of one processor gives other last digits on the next.

/// A planned transform: twiddles and the order of the input, made once. Real and imaginary parts lie apart, so that the
/// inner loops run over plain rows of numbers.
#[derive(Debug, Clone)]
pub struct Fft {
    /// Length of the real input; a power of two, at least 4.
    length: usize,
    /// `exp(-2 pi i k / length)` for `k < length / 2`.
    twiddles: Vec<(f32, f32)>,
    /// Bit-reversed order of the half-length complex transform.
    order: Vec<u32>,
    /// Twiddles of each stage, one stage after the other: real parts, imaginary parts.
    stages: (Vec<f32>, Vec<f32>),
    work: (Vec<f32>, Vec<f32>),
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
        let mut stages = (Vec::with_capacity(half), Vec::with_capacity(half));
        let mut span = 1;
        while span < half {
            for twiddle in twiddles.iter().step_by(length / (2 * span)).take(span) {
                stages.0.push(twiddle.0);
                stages.1.push(twiddle.1);
            }
            span *= 2;
        }
        let bits = half.trailing_zeros();
        let order = (0..half as u32).map(|k| k.reverse_bits() >> (32 - bits)).collect();
        Self { length, twiddles, order, stages, work: (vec![0.0; half], vec![0.0; half]) }
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
        let (re, im) = (&mut self.work.0, &mut self.work.1);
        for ((re, im), &from) in re.iter_mut().zip(im.iter_mut()).zip(&self.order) {
            let from = from as usize * 2;
            (*re, *im) = (at(from), at(from + 1));
        }
        for row in [&mut *re, &mut *im] {
            for pair in row.chunks_exact_mut(2) {
                (pair[0], pair[1]) = (pair[0] + pair[1], pair[0] - pair[1]);
            }
        }
        let (mut span, mut begin) = (2, 1);
        while span < half {
            let w_re = &self.stages.0[begin..begin + span];
            let w_im = &self.stages.1[begin..begin + span];
            for (re, im) in re.chunks_exact_mut(2 * span).zip(im.chunks_exact_mut(2 * span)) {
                let (low_re, high_re) = re.split_at_mut(span);
                let (low_im, high_im) = im.split_at_mut(span);
                let low = low_re.iter_mut().zip(low_im);
                let high = high_re.iter_mut().zip(high_im);
                for (((a_re, a_im), (b_re, b_im)), (w_re, w_im)) in low.zip(high).zip(w_re.iter().zip(w_im)) {
                    let turned_re = *b_re * w_re - *b_im * w_im;
                    let turned_im = *b_re * w_im + *b_im * w_re;
                    (*b_re, *b_im) = (*a_re - turned_re, *a_im - turned_im);
                    (*a_re, *a_im) = (*a_re + turned_re, *a_im + turned_im);
                }
            }
            begin += span;
            span *= 2;
        }
        // Even and odd samples went in as real and imaginary parts; take them apart again.
        for (k, slot) in power.iter_mut().enumerate().take(half + 1) {
            let (here, there) = (k % half, (half - k) % half);
            let (z, mirror) = ((re[here], im[here]), (re[there], im[there]));
            let even = (0.5 * (z.0 + mirror.0), 0.5 * (z.1 - mirror.1));
            let odd = (0.5 * (z.1 + mirror.1), 0.5 * (mirror.0 - z.0));
            let w = if k == half { (-1.0, 0.0) } else { self.twiddles[k] };
            let re = even.0 + odd.0 * w.0 - odd.1 * w.1;
            let im = even.1 + odd.0 * w.1 + odd.1 * w.0;
            *slot = re * re + im * im;
        }
    }
}
