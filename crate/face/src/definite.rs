//! Small symmetric positive definite systems, by Cholesky's factors.
//!
//! A handful of unknowns: a linear-algebra library would weigh more in the
//! app's download than all the rest of this crate (the tests compare).

/// A symmetric positive definite matrix, factored.
#[derive(Debug, Clone)]
pub(crate) struct Factored {
    /// Lower triangle, row by row.
    rows: Vec<Vec<f64>>,
}

impl Factored {
    /// `None` where it isn't positive definite, or not a number.
    pub(crate) fn new(n: usize, entry: impl Fn(usize, usize) -> f64) -> Option<Self> {
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(n);
        for i in 0..n {
            let mut row = Vec::with_capacity(i + 1);
            for j in 0..=i {
                let above: &[f64] = if j == i { &row } else { rows.get(j)? };
                let inner: f64 = row.iter().zip(above).take(j).map(|(a, b)| a * b).sum();
                let left = entry(i, j) - inner;
                if j == i {
                    // A pivot that cancelled to rounding is no pivot.
                    if left.is_nan() || left <= 1e-13 * entry(i, i).abs() {
                        return None;
                    }
                    row.push(left.sqrt());
                } else {
                    row.push(left / above.get(j)?);
                }
            }
            rows.push(row);
        }
        Some(Self { rows })
    }

    /// The solution of matrix times x = `right`.
    pub(crate) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let n = self.rows.len();
        let mut x: Vec<f64> = right.to_vec();
        x.resize(n, 0.0);
        for i in 0..n {
            let known: f64 = (0..i).map(|j| self.rows[i][j] * x[j]).sum();
            x[i] = (x[i] - known) / self.rows[i][i];
        }
        for i in (0..n).rev() {
            let known: f64 = (i + 1..n).map(|j| self.rows[j][i] * x[j]).sum();
            x[i] = (x[i] - known) / self.rows[i][i];
        }
        x
    }

    /// One entry of the inverse's diagonal.
    pub(crate) fn inverse_at(&self, i: usize) -> f64 {
        let mut unit = vec![0.0; self.rows.len()];
        unit[i] = 1.0;
        self.solve(&unit)[i]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn solutions_agree_with_a_linear_algebra_library(
            numbers in proptest::collection::vec(-3.0..3.0f64, 30), right in proptest::collection::vec(-5.0..5.0f64, 5),
        ) {
            let tall = DMatrix::from_row_slice(6, 5, &numbers);
            let square = tall.transpose() * &tall + DMatrix::identity(5, 5) * 0.1;
            let ours = Factored::new(5, |i, j| square[(i, j)]).unwrap();
            let inverse = square.clone().try_inverse().unwrap();
            let expected = &inverse * DVector::from_column_slice(&right);
            for (i, x) in ours.solve(&right).into_iter().enumerate() {
                prop_assert!((x - expected[i]).abs() < 1e-7 * (1.0 + expected.amax()));
                prop_assert!((ours.inverse_at(i) - inverse[(i, i)]).abs() < 1e-7 * (1.0 + inverse.amax()));
            }
        }
    }

    #[test]
    fn what_has_no_inverse_is_refused() {
        assert!(Factored::new(2, |_, _| 1.0).is_none());
        assert!(Factored::new(2, |i, j| if i == j { -1.0 } else { 0.0 }).is_none());
        assert!(Factored::new(1, |_, _| f64::NAN).is_none());
        assert!(Factored::new(0, |_, _| 0.0).is_some());
    }
}
