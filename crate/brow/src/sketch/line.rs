//! One smooth line through everything that was drawn along an edge.
//!
//! Height over the distance from the midline as a cubic B-spline on equal
//! knots, with the third differences of its coefficients held small: the
//! penalised splines of Eilers and Marx (Statistical Science 11(2), 1996,
//! 89-121). How small is chosen by generalised cross-validation (Craven and
//! Wahba, Numerische Mathematik 31, 1979, 377-403), so that a sure hand is
//! followed closely and a trembling one is smoothed. Places far off the others
//! lose their weight (Tukey's biweight). Both from memory.

use super::strokes::Place;

/// Distance of the knots, mm: a peak of 4 mm radius still fits between them.
const KNOT_MM: f64 = 2.5;

/// What the third differences may weigh.
const SMOOTHING: [f64; 6] = [0.003, 0.03, 0.3, 3.0, 30.0, 300.0];

/// Half the width of the band of the normal equations.
const BAND: usize = 3;

/// Places farther off than so many robust standard deviations don't count.
const CUT: f64 = 4.685;

/// Least robust standard deviation, mm, so that exact points are not culled.
const LEAST_SD_MM: f64 = 0.05;

/// The line along one edge.
#[derive(Debug, Clone)]
pub(super) struct Line {
    begin: f64,
    step: f64,
    coefficients: Vec<f64>,
    /// Outermost distances from the midline that were drawn, mm.
    pub from: f64,
    pub to: f64,
    /// Standard deviation of what was drawn about the line, mm, across it.
    pub spread_mm: f64,
}

impl Line {
    /// `None` when less than [`KNOT_MM`] of the brow was drawn.
    pub fn through(places: &[Place]) -> Option<Self> {
        let xs = places.iter().map(|p| p.at.x);
        let (from, to) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| {
            (a.min(x), b.max(x))
        });
        if places.len() < 2 || to - from < KNOT_MM {
            return None;
        }
        let pieces = ((to - from) / KNOT_MM).ceil();
        let mut line = Self {
            begin: from,
            step: (to - from) / pieces,
            coefficients: vec![0.0; pieces as usize + BAND],
            from,
            to,
            spread_mm: 0.0,
        };
        let mut weights: Vec<f64> = places.iter().map(|p| p.weight.max(1e-3)).collect();
        for _ in 0..3 {
            line.solve(places, &weights)?;
            let off: Vec<f64> = places.iter().map(|p| line.off(p)).collect();
            let mut sizes: Vec<f64> = off.iter().map(|r| r.abs()).collect();
            let middle = sizes.len() / 2;
            let median = *sizes.select_nth_unstable_by(middle, f64::total_cmp).1;
            line.spread_mm = 1.4826 * median;
            let cut = CUT * line.spread_mm.max(LEAST_SD_MM);
            for ((weight, place), off) in weights.iter_mut().zip(places).zip(off) {
                let slope = line.slope(place.at.x);
                let near = (1.0 - (off / cut) * (off / cut)).max(0.0);
                *weight = place.weight.max(1e-3) * (near * near + 1e-6) / (1.0 + slope * slope);
            }
        }
        Some(line)
    }

    /// Height at a distance from the midline, mm; beyond what was drawn the
    /// line runs on straight.
    pub fn height(&self, x: f64) -> f64 {
        let inside = x.clamp(self.from, self.to);
        let (first, basis, _) = self.basis(inside);
        let at: f64 = (0..=BAND)
            .map(|k| basis[k] * self.coefficients[first + k])
            .sum();
        at + (x - inside) * self.slope(inside)
    }

    /// Its slope there.
    pub fn slope(&self, x: f64) -> f64 {
        let (first, _, slopes) = self.basis(x.clamp(self.from, self.to));
        (0..=BAND)
            .map(|k| slopes[k] * self.coefficients[first + k])
            .sum()
    }

    /// Distance across the line, mm; positive above it.
    pub fn off(&self, place: &Place) -> f64 {
        let slope = self.slope(place.at.x);
        (place.at.y - self.height(place.at.x)) / (1.0 + slope * slope).sqrt()
    }

    /// The four cubic B-splines that are not zero at `x`, and their slopes.
    fn basis(&self, x: f64) -> (usize, [f64; 4], [f64; 4]) {
        let last = self.coefficients.len() - BAND - 1;
        let along = (x - self.begin) / self.step;
        let first = (along.max(0.0) as usize).min(last);
        let t = along - first as f64;
        let s = 1.0 - t;
        let value = [
            s * s * s / 6.0,
            (4.0 - 6.0 * t * t + 3.0 * t * t * t) / 6.0,
            (4.0 - 6.0 * s * s + 3.0 * s * s * s) / 6.0,
            t * t * t / 6.0,
        ];
        let slope = [
            -0.5 * s * s,
            -2.0 * t + 1.5 * t * t,
            2.0 * s - 1.5 * s * s,
            0.5 * t * t,
        ];
        (first, value, slope.map(|d| d / self.step))
    }

    /// The coefficients under the smoothing that cross-validation likes best.
    fn solve(&mut self, places: &[Place], weights: &[f64]) -> Option<()> {
        let n = self.coefficients.len();
        let mut gram = vec![[0.0; BAND + 1]; n];
        let mut right = vec![0.0; n];
        let total: f64 = weights.iter().sum();
        for (place, weight) in places.iter().zip(weights) {
            let weight = weight / total;
            let (first, basis, _) = self.basis(place.at.x);
            for i in 0..=BAND {
                right[first + i] += weight * basis[i] * place.at.y;
                for j in i..=BAND {
                    gram[first + i][j - i] += weight * basis[i] * basis[j];
                }
            }
        }
        let count = places.len() as f64;
        let mut best: Option<(f64, Vec<f64>)> = None;
        for smoothing in SMOOTHING {
            let lambda = smoothing * 1e-3;
            let Some(factor) = Factor::of(with_penalty(&gram, lambda)) else {
                continue;
            };
            let found = factor.solved(&right);
            let free = factor.trace_with(&gram);
            self.coefficients.copy_from_slice(&found);
            let squares: f64 = places
                .iter()
                .zip(weights)
                .map(|(p, w)| w * (p.at.y - self.height(p.at.x)).powi(2))
                .sum();
            let left = 1.0 - (free / count).min(0.95);
            let score = squares / (total * left * left);
            if best.as_ref().is_none_or(|(least, _)| score < *least) {
                best = Some((score, found));
            }
        }
        self.coefficients = best?.1;
        Some(())
    }
}

/// Adds λ DᵀD of the third differences, and enough of the identity that
/// stretches where nothing was drawn have one solution.
fn with_penalty(gram: &[[f64; BAND + 1]], lambda: f64) -> Vec<[f64; BAND + 1]> {
    const THIRD: [f64; 4] = [-1.0, 3.0, -3.0, 1.0];
    let mut all = gram.to_vec();
    for first in 0..all.len() - BAND {
        for i in 0..=BAND {
            for j in i..=BAND {
                all[first + i][j - i] += lambda * THIRD[i] * THIRD[j];
            }
        }
    }
    for row in &mut all {
        row[0] += 1e-12;
    }
    all
}

/// Cholesky's factor of a symmetric banded matrix, kept by diagonals.
struct Factor(Vec<[f64; BAND + 1]>);

impl Factor {
    /// `None` for a matrix that is not positive definite.
    fn of(mut a: Vec<[f64; BAND + 1]>) -> Option<Self> {
        let n = a.len();
        for i in 0..n {
            let pivot = a[i][0];
            if pivot.is_nan() || pivot <= 0.0 {
                return None;
            }
            let root = pivot.sqrt();
            a[i].iter_mut().for_each(|v| *v /= root);
            let row = a[i];
            for k in 1..=BAND.min(n - 1 - i) {
                for j in k..=BAND.min(n - 1 - i) {
                    a[i + k][j - k] -= row[k] * row[j];
                }
            }
        }
        Some(Self(a))
    }

    fn solved(&self, right: &[f64]) -> Vec<f64> {
        let (l, n) = (&self.0, right.len());
        let mut x = right.to_vec();
        for i in 0..n {
            x[i] /= l[i][0];
            for k in 1..=BAND.min(n - 1 - i) {
                x[i + k] -= l[i][k] * x[i];
            }
        }
        for i in (0..n).rev() {
            for k in 1..=BAND.min(n - 1 - i) {
                x[i] -= l[i][k] * x[i + k];
            }
            x[i] /= l[i][0];
        }
        x
    }

    /// Trace of the inverse times another such matrix: the degrees of freedom
    /// that a smoothing leaves.
    fn trace_with(&self, other: &[[f64; BAND + 1]]) -> f64 {
        let n = other.len();
        (0..n)
            .map(|c| {
                let mut column = vec![0.0; n];
                for (k, v) in other[c].iter().enumerate().take(n - c) {
                    column[c + k] = *v;
                }
                for k in 1..=BAND.min(c) {
                    column[c - k] = other[c - k][k];
                }
                self.solved(&column)[c]
            })
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_frames::Point;

    fn along(height: impl Fn(f64) -> f64, noise: impl Fn(usize) -> f64) -> Vec<Place> {
        (0..120)
            .map(|i| {
                let x = 15.0 + 0.35 * i as f64;
                Place {
                    at: Point::new(x, height(x) + noise(i)),
                    weight: 0.35,
                }
            })
            .collect()
    }

    /// A parabola has no third differences, so nothing holds the line off it.
    #[test]
    fn a_parabola_comes_back_as_it_is() {
        let parabola = |x: f64| 30.0 - 0.01 * (x - 40.0) * (x - 40.0);
        let line = Line::through(&along(parabola, |_| 0.0)).unwrap();
        for x in [15.0, 22.2, 40.0, 56.6] {
            assert!((line.height(x) - parabola(x)).abs() < 1e-6);
            assert!((line.slope(x) + 0.02 * (x - 40.0)).abs() < 1e-6);
        }
        assert!(line.spread_mm < 1e-6);
    }

    #[test]
    fn a_stray_mark_and_trembling_hardly_move_the_line() {
        let parabola = |x: f64| 30.0 - 0.02 * (x - 40.0) * (x - 40.0);
        let mut places = along(parabola, |i| [0.4, -0.3, 0.1, -0.4, 0.2][i % 5]);
        places[40].at.y += 6.0;
        let line = Line::through(&places).unwrap();
        for i in 0..40 {
            let x = 16.0 + f64::from(i);
            let off = (line.height(x) - parabola(x)).abs();
            assert!(off < 0.2, "{off} at {x}");
        }
        assert!((0.1..0.5).contains(&line.spread_mm), "{}", line.spread_mm);
    }
}
