//! A small Cholesky factor that leaves out what is nought.
//!
//! Each row is kept from its first entry that can differ from nought; the factor has no entries left of it either
//! (George & Liu 1981, Computer Solution of Large Sparse Positive Definite Systems, chapter 4). A school's classes hardly
//! touch each other, so a year of thirty classes costs about thirty times one class and not its cube.
//!
//! Written here rather than taken from a linear algebra crate: those pick different instructions on different
//! machines, and then phone and office would print different last digits.

/// Lower triangle of a symmetric matrix, each row from its first entry that can differ from nought.
#[derive(Debug, Clone)]
pub struct Envelope {
    first: Vec<usize>,
    rows: Vec<Vec<f64>>,
}

impl Envelope {
    /// Returns the zero matrix whose row `i` begins at column `first[i]`, at most `i`.
    pub fn new(first: &[usize]) -> Self {
        let rows = first.iter().enumerate().map(|(row, first)| vec![0.0; row + 1 - first]).collect();
        Self { first: first.to_vec(), rows }
    }

    /// Adds to one entry of the lower triangle. The column must not lie left of the row's first.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.rows[row][column - self.first[row]] += value;
    }

    /// Factors the matrix. Returns `None` when it is not positive definite.
    pub fn factor(mut self) -> Option<Cholesky> {
        for i in 0..self.rows.len() {
            let (above, rest) = self.rows.split_at_mut(i);
            let (row, first) = (&mut rest[0], self.first[i]);
            for j in first..i {
                let start = first.max(self.first[j]);
                let other = &above[j];
                let sum =
                    dot(&row[start - first..j - first], &other[start - self.first[j]..j - self.first[j]]);
                row[j - first] = (row[j - first] - sum) / other[j - self.first[j]];
            }
            let square = row[i - first] - dot(&row[..i - first], &row[..i - first]);
            if square.is_nan() || square <= 0.0 {
                return None;
            }
            row[i - first] = square.sqrt();
        }
        Some(Cholesky(self))
    }
}

/// Four sums side by side: the same order of additions everywhere, and quicker than one after the other.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    let (a_fours, b_fours) = (a.chunks_exact(4), b.chunks_exact(4));
    let tail: f64 = a_fours.remainder().iter().zip(b_fours.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a_fours.zip(b_fours) {
        for (sum, (x, y)) in sums.iter_mut().zip(x.iter().zip(y)) {
            *sum += x * y;
        }
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + tail
}

/// Lower triangular factor L of a symmetric positive definite matrix, A = L Lᵀ.
pub struct Cholesky(Envelope);

impl Cholesky {
    /// Returns the natural logarithm of the determinant.
    pub fn log_det(&self) -> f64 {
        self.0.rows.iter().filter_map(|row| row.last()).map(|diagonal| 2.0 * libm::log(*diagonal)).sum()
    }

    /// Solves L y = b in place.
    pub fn forward(&self, b: &mut [f64]) {
        // Rows that begin after the last entry so far stay what they are.
        let Some(start) = b.iter().position(|value| *value != 0.0) else { return };
        let mut last = start;
        for i in start..b.len() {
            let (row, first) = (&self.0.rows[i], self.0.first[i]);
            if b[i] == 0.0 && first > last {
                continue;
            }
            let from = first.max(start);
            if from < i {
                b[i] -= dot(&row[from - first..i - first], &b[from..i]);
            }
            b[i] /= row[i - first];
            last = i;
        }
    }

    /// Solves A x = b in place.
    pub fn solve(&self, b: &mut [f64]) {
        self.forward(b);
        for i in (0..b.len()).rev() {
            let (row, first) = (&self.0.rows[i], self.0.first[i]);
            b[i] /= row[i - first];
            let value = b[i];
            for (entry, weight) in b[first..i].iter_mut().zip(row) {
                *entry -= weight * value;
            }
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

    fn full(entries: &[f64], size: usize) -> Envelope {
        let mut matrix = Envelope::new(&vec![0; size]);
        for row in 0..size {
            for column in 0..=row {
                matrix.add(row, column, entries[row * size + column]);
            }
        }
        matrix
    }

    #[test]
    fn factor_solves_and_gives_the_determinant() {
        // A = L Lᵀ with L = [[2,0,0],[1,3,0],[4,-1,2]]: det = (2·3·2)² = 144.
        let a = [4.0, 2.0, 8.0, 2.0, 10.0, 1.0, 8.0, 1.0, 21.0];
        let factor = full(&a, 3).factor().expect("positive definite");
        assert!((factor.log_det() - libm::log(144.0)).abs() < 1e-12);
        let mut x = [14.0, 13.0, 30.0];
        factor.solve(&mut x);
        assert!(x.iter().all(|value| (value - 1.0).abs() < 1e-12), "{x:?}");
        assert!((factor.quadratic(&[14.0, 13.0, 30.0]) - 57.0).abs() < 1e-9);
        assert!(full(&[1.0, 2.0, 2.0, 1.0], 2).factor().is_none());
    }

    #[test]
    fn leaving_out_noughts_changes_nothing() {
        // Three blocks of different sizes that meet in the last two rows only.
        let first = [0, 0, 0, 3, 3, 5, 5, 5, 5, 0, 0];
        let size = first.len();
        let mut random = crate::seeded::Seeded(11);
        let (mut entries, mut lean) = (vec![0.0; size * size], Envelope::new(&first));
        for row in 0..size {
            for column in first[row]..=row {
                let value = if row == column { 20.0 } else { random.uniform() - 0.5 };
                entries[row * size + column] = value;
                lean.add(row, column, value);
            }
        }
        let (whole, lean) =
            (full(&entries, size).factor().expect("definite"), lean.factor().expect("definite"));
        assert!((whole.log_det() - lean.log_det()).abs() < 1e-12);
        for spot in 0..size {
            let mut a = vec![0.0; size];
            a[spot] = 1.0;
            a[(spot + 2) % size] = -0.5;
            let mut b = a.clone();
            assert!((whole.quadratic(&a) - lean.quadratic(&a)).abs() < 1e-14);
            whole.solve(&mut a);
            lean.solve(&mut b);
            assert!(a.iter().zip(&b).all(|(a, b)| (a - b).abs() < 1e-14), "{a:?} {b:?}");
            // And it is the solution: A x = b.
            for row in 0..size {
                let product: f64 = (0..size)
                    .map(|column| entries[row.max(column) * size + row.min(column)] * b[column])
                    .sum();
                let wanted =
                    f64::from(u8::from(row == spot)) - 0.5 * f64::from(u8::from(row == (spot + 2) % size));
                assert!((product - wanted).abs() < 1e-12);
            }
        }
    }
}
