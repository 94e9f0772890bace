//! What tells hair from skin in this photo: the direction in which hair's
//! colour and grain differ, in the skin's own spread.

use super::mask::Mask;
use crate::plane::Plane;

/// What is known of a cell: how its red, green and blue differ from the
/// skin's, and how much they change from cell to cell.
pub const FEATURES: usize = 3;

/// Least spread of the skin in each feature: what 8 bits and JPEG leave of
/// the smoothest skin.
const LEAST_SPREAD: f64 = 0.008;

/// A direction of the features: 0 on skin, 1 on hair as it mostly is.
#[derive(Debug, Clone, Copy)]
pub struct Tell {
    weights: [f64; FEATURES],
    /// Skin's mean, which is 0 in the direction.
    from: f64,
    /// How many of the skin's standard deviations hair lies from skin.
    pub apart: f64,
}

impl Tell {
    /// Fisher's linear discriminant (1936) with the skin's covariance alone,
    /// because hair's depends on how dense it stands. `None` with too few of
    /// either.
    pub fn of(features: &[Plane; FEATURES], hair: &Mask, skin: &Mask) -> Option<Self> {
        let at = |i: usize| -> [f64; FEATURES] {
            std::array::from_fn(|f| f64::from(features[f].values[i]))
        };
        let cells = |mask: &Mask| -> Vec<[f64; FEATURES]> {
            let on = mask.on.iter().enumerate().filter(|(_, on)| **on);
            on.map(|(i, _)| at(i)).collect()
        };
        let (hair, mut skin) = (cells(hair), cells(skin));
        if hair.len() < 20 || skin.len() < 200 {
            return None;
        }
        let (mut mean, mut inverse) = spread(&skin)?;
        // Once more without what lies far out: folds, moles, lone hairs.
        for _ in 0..2 {
            skin.retain(|s| square(&minus(s, &mean), &inverse) < OUTLYING);
            if skin.len() < 200 {
                return None;
            }
            (mean, inverse) = spread(&skin)?;
        }
        let n = hair.len() as f64;
        let mut middle = [0.0; FEATURES];
        for h in &hair {
            for (m, v) in middle.iter_mut().zip(h) {
                *m += v / n;
            }
        }
        let toward = minus(&middle, &mean);
        let apart = square(&toward, &inverse);
        if apart <= 0.0 || !apart.is_finite() {
            return None;
        }
        let weights = times(&inverse, &toward).map(|w| w / apart);
        Some(Self {
            weights,
            from: weights.iter().zip(&mean).map(|(w, m)| w * m).sum(),
            apart: apart.sqrt(),
        })
    }

    /// How much like hair each cell is.
    pub fn over(&self, features: &[Plane; FEATURES]) -> Plane {
        let first = &features[0];
        let values = (0..first.values.len()).map(|i| {
            let each = (0..FEATURES).map(|f| self.weights[f] as f32 * features[f].values[i]);
            each.sum::<f32>() - self.from as f32
        });
        first.with(values.collect())
    }
}

/// Squared distance beyond which less than one in 2,000 of a normal spread
/// in four features lies.
const OUTLYING: f64 = 20.0;

type Square = [[f64; FEATURES]; FEATURES];

fn minus(a: &[f64; FEATURES], b: &[f64; FEATURES]) -> [f64; FEATURES] {
    std::array::from_fn(|i| a[i] - b[i])
}

fn times(m: &Square, v: &[f64; FEATURES]) -> [f64; FEATURES] {
    m.map(|row| row.iter().zip(v).map(|(a, b)| a * b).sum())
}

fn square(v: &[f64; FEATURES], m: &Square) -> f64 {
    times(m, v).iter().zip(v).map(|(a, b)| a * b).sum()
}

/// Mean and inverse covariance.
fn spread(cells: &[[f64; FEATURES]]) -> Option<([f64; FEATURES], Square)> {
    let n = cells.len() as f64;
    let mut mean = [0.0; FEATURES];
    for c in cells {
        for (m, v) in mean.iter_mut().zip(c) {
            *m += v / n;
        }
    }
    let mut covariance: Square = [[0.0; FEATURES]; FEATURES];
    for c in cells {
        let d = minus(c, &mean);
        for (row, a) in covariance.iter_mut().zip(&d) {
            for (cell, b) in row.iter_mut().zip(&d) {
                *cell += a * b / n;
            }
        }
    }
    for (i, row) in covariance.iter_mut().enumerate() {
        row[i] += LEAST_SPREAD * LEAST_SPREAD;
    }
    Some((mean, inverse(covariance)?))
}

/// By Gauss and Jordan; the diagonal of a covariance needs no pivoting.
fn inverse(mut m: Square) -> Option<Square> {
    let mut made: Square =
        std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
    for i in 0..FEATURES {
        let pivot = m[i][i];
        if pivot <= 0.0 || !pivot.is_finite() {
            return None;
        }
        for j in 0..FEATURES {
            m[i][j] /= pivot;
            made[i][j] /= pivot;
        }
        for k in (0..FEATURES).filter(|k| *k != i) {
            let f = m[k][i];
            for j in 0..FEATURES {
                let (a, b) = (m[i][j], made[i][j]);
                m[k][j] -= f * a;
                made[k][j] -= f * b;
            }
        }
    }
    Some(made)
}
