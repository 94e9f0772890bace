//! The brow band seen from the front, its skin laid flat with lengths kept,
//! and what is left between two flat shapes after the best rigid motion.

use ophryon_demo::Brow;

use crate::surface::Seen;

/// Rows from the lower edge to the upper; the middle one is the centre line.
pub const ROWS: usize = 5;
pub const CENTRE: usize = ROWS / 2;

/// Columns from start to tail.
pub const COLUMNS: usize = 29;

/// Half of a brow's thickness, mm, where it runs out at the tail: a flat piece
/// needs some breadth to say which way is across.
const THINNEST_HALF_MM: f64 = 1.5;

/// A grid of places, by column and in each from the lower edge up.
pub struct Band {
    pub rows: usize,
    pub seen: Vec<Seen>,
}

/// Of the client's left brow: the line half-way between its borders.
pub fn centre(brow: &Brow, t: f64) -> Seen {
    let at = brow.centre(t);
    [at.lateral, at.height]
}

impl Band {
    pub fn of(brow: &Brow) -> Self {
        let columns = (0..COLUMNS).map(|c| c as f64 / (COLUMNS - 1) as f64);
        let seen = columns.flat_map(|t| {
            let [x, y] = centre(brow, t);
            let half = (0.5 * (brow.upper(x) - brow.lower(x))).max(THINNEST_HALF_MM);
            (0..ROWS).map(move |r| {
                let share = r as f64 / CENTRE as f64 - 1.0;
                [x, y + share * half]
            })
        });
        Self {
            rows: ROWS,
            seen: seen.collect(),
        }
    }

    /// The skin under the band laid flat: the plane grid whose edges and
    /// diagonals differ least, in share of their length over the skin, from
    /// the ones on the head. Beside it that strain, rms.
    pub fn flattened(&self, over: impl Fn(Seen, Seen) -> f64) -> (Vec<Seen>, f64) {
        self.flattened_by(|i, j| over(self.seen[i], self.seen[j]))
    }

    /// The same from any lengths between neighbours (Gauss and Newton).
    pub fn flattened_by(&self, over: impl Fn(usize, usize) -> f64) -> (Vec<Seen>, f64) {
        let edges: Vec<(usize, usize, f64)> =
            self.neighbours().map(|(i, j)| (i, j, over(i, j))).collect();
        let mut flat = self.seen.clone();
        let mut strain = f64::INFINITY;
        for _ in 0..60 {
            let mut normal = Banded::new(2 * flat.len(), 2 * self.rows + 4);
            let mut right = vec![0.0; 2 * flat.len()];
            let mut squares = 0.0;
            for &(i, j, mm) in &edges {
                let [u, v] = [0, 1].map(|k| flat[j][k] - flat[i][k]);
                let now = libm::hypot(u, v);
                let off = (now - mm) / mm;
                squares += off * off;
                let slope = [-u, -v, u, v].map(|d| d / (now * mm));
                let at = [2 * i, 2 * i + 1, 2 * j, 2 * j + 1];
                for (a, &row) in at.iter().enumerate() {
                    right[row] -= slope[a] * off;
                    for (b, &column) in at.iter().enumerate() {
                        normal.add(row, column, slope[a] * slope[b]);
                    }
                }
            }
            let now = (squares / edges.len() as f64).sqrt();
            // Rigid motions cost nothing; a little weight keeps them still.
            for k in 0..right.len() {
                normal.add(k, k, 1e-7);
            }
            normal.solve(&mut right);
            for (k, step) in right.iter().enumerate() {
                flat[k / 2][k % 2] += step;
            }
            let moved = right.iter().fold(0.0, |m: f64, s| m.max(s.abs()));
            strain = now;
            if moved < 1e-6 {
                break;
            }
        }
        (flat, strain)
    }

    fn neighbours(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let n = self.rows;
        (0..self.seen.len()).flat_map(move |i| {
            let (bottom, top) = (i % n == 0, i % n == n - 1);
            [
                (!top).then_some(i + 1),
                Some(i + n),
                (!top).then_some(i + n + 1),
                (!bottom).then_some(i + n - 1),
            ]
            .into_iter()
            .flatten()
            .filter(|j| *j < self.seen.len())
            .map(move |j| (i, j))
        })
    }
}

/// A symmetric matrix with nothing far from its diagonal; lower half, by rows.
struct Banded {
    width: usize,
    cells: Vec<f64>,
}

impl Banded {
    fn new(size: usize, width: usize) -> Self {
        Self {
            width,
            cells: vec![0.0; size * (width + 1)],
        }
    }

    fn at(&self, row: usize, column: usize) -> usize {
        row * (self.width + 1) + column + self.width - row
    }

    fn add(&mut self, row: usize, column: usize, value: f64) {
        if column <= row {
            let at = self.at(row, column);
            self.cells[at] += value;
        }
    }

    /// Cholesky's factor in place, then both triangles.
    fn solve(mut self, right: &mut [f64]) {
        let first = |row: usize| row.saturating_sub(self.width);
        for row in 0..right.len() {
            for column in first(row)..=row {
                let mut sum = self.cells[self.at(row, column)];
                for k in first(row)..column {
                    if k >= first(column) {
                        sum -= self.cells[self.at(row, k)] * self.cells[self.at(column, k)];
                    }
                }
                let at = self.at(row, column);
                self.cells[at] = if row == column {
                    sum.sqrt()
                } else {
                    sum / self.cells[self.at(column, column)]
                };
            }
        }
        for row in 0..right.len() {
            for k in first(row)..row {
                right[row] -= self.cells[self.at(row, k)] * right[k];
            }
            right[row] /= self.cells[self.at(row, row)];
        }
        for row in (0..right.len()).rev() {
            right[row] /= self.cells[self.at(row, row)];
            for k in first(row)..row {
                right[k] -= self.cells[self.at(row, k)] * right[row];
            }
        }
    }
}

/// What is left between two shapes after the best rigid motion, mm.
#[derive(Debug, Clone, Copy, Default)]
pub struct LeftOver {
    pub rms: f64,
    pub most: f64,
}

/// In the plane the best turn is in closed form: the angle of the summed
/// products of places counted from their middles.
pub fn left_over(own: &[Seen], truth: &[Seen]) -> LeftOver {
    let n = own.len() as f64;
    let middle = |set: &[Seen]| [0, 1].map(|k| set.iter().map(|p| p[k]).sum::<f64>() / n);
    let (a, b) = (middle(own), middle(truth));
    let pairs = || {
        own.iter()
            .zip(truth)
            .map(|(p, q)| ([p[0] - a[0], p[1] - a[1]], [q[0] - b[0], q[1] - b[1]]))
    };
    let along: f64 = pairs().map(|(p, q)| p[0] * q[0] + p[1] * q[1]).sum();
    let across: f64 = pairs().map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum();
    let size = libm::hypot(along, across);
    let (cos, sin) = (along / size, across / size);
    let gaps: Vec<f64> = pairs()
        .map(|(p, q)| {
            let turned = [cos * p[0] - sin * p[1], sin * p[0] + cos * p[1]];
            libm::hypot(turned[0] - q[0], turned[1] - q[1])
        })
        .collect();
    LeftOver {
        rms: (gaps.iter().map(|g| g * g).sum::<f64>() / n).sqrt(),
        most: gaps.into_iter().fold(0.0, f64::max),
    }
}

/// Length of a plane polyline, mm.
pub fn length(places: impl Iterator<Item = Seen>) -> f64 {
    let places: Vec<_> = places.collect();
    places
        .windows(2)
        .map(|w| libm::hypot(w[1][0] - w[0][0], w[1][1] - w[0][1]))
        .sum()
}
