//! A small dense Cholesky factor.
//!
//! Written here rather than taken from a linear algebra crate: those pick different instructions on different
//! machines, and then phone and office would print different last digits.

/// Lower triangular factor of a symmetric positive definite matrix, row by row.
pub struct Cholesky {
    size: usize,
    rows: Vec<f64>,
}

impl Cholesky {
    /// Factors a symmetric matrix given row by row (only the lower triangle is read).
    /// Returns `None` when it is not positive definite.
    pub fn new(matrix: &[f64], size: usize) -> Option<Self> {
        let mut rows = matrix.to_vec();
        for i in 0..size {
            for j in 0..=i {
                let mut sum = rows[i * size + j];
                for k in 0..j {
                    sum -= rows[i * size + k] * rows[j * size + k];
                }
                if i == j {
                    if sum.is_nan() || sum <= 0.0 {
                        return None;
                    }
                    rows[i * size + i] = sum.sqrt();
                } else {
                    rows[i * size + j] = sum / rows[j * size + j];
                }
            }
        }
        Some(Self { size, rows })
    }

    /// Returns the natural logarithm of the determinant.
    pub fn log_det(&self) -> f64 {
        (0..self.size).map(|i| 2.0 * libm::log(self.rows[i * self.size + i])).sum()
    }

    /// Solves L y = b in place.
    pub fn forward(&self, b: &mut [f64]) {
        for i in 0..self.size {
            let mut sum = b[i];
            for (k, value) in b.iter().enumerate().take(i) {
                sum -= self.rows[i * self.size + k] * value;
            }
            b[i] = sum / self.rows[i * self.size + i];
        }
    }

    /// Solves A x = b in place.
    pub fn solve(&self, b: &mut [f64]) {
        self.forward(b);
        for i in (0..self.size).rev() {
            let mut sum = b[i];
            for (k, value) in b.iter().enumerate().skip(i + 1) {
                sum -= self.rows[k * self.size + i] * value;
            }
            b[i] = sum / self.rows[i * self.size + i];
        }
    }

    /// Returns vᵀ A⁻¹ v.
    pub fn quadratic(&self, vector: &[f64]) -> f64 {
        let mut work = vector.to_vec();
        self.forward(&mut work);
        work.iter().map(|value| value * value).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factor_solves_and_gives_the_determinant() {
        // A = L Lᵀ with L = [[2,0,0],[1,3,0],[4,-1,2]]: det = (2·3·2)² = 144.
        let a = [4.0, 2.0, 8.0, 2.0, 10.0, 1.0, 8.0, 1.0, 21.0];
        let factor = Cholesky::new(&a, 3).expect("positive definite");
        assert!((factor.log_det() - libm::log(144.0)).abs() < 1e-12);
        let mut x = [14.0, 13.0, 30.0];
        factor.solve(&mut x);
        assert!(x.iter().all(|value| (value - 1.0).abs() < 1e-12), "{x:?}");
        assert!((factor.quadratic(&[14.0, 13.0, 30.0]) - 57.0).abs() < 1e-9);
        assert!(Cholesky::new(&[1.0, 2.0, 2.0, 1.0], 2).is_none());
    }
}
