//! Yes or no on a grid, and what is done with it at the scale of millimetres:
//! distances, closing of gaps, pieces.

/// A yes or no for each cell, by rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mask {
    pub width: usize,
    pub height: usize,
    pub on: Vec<bool>,
}

/// Farther than any cell of a grid, squared.
const FAR: f32 = 1e12;

impl Mask {
    pub fn from_fn(width: usize, height: usize, holds: impl Fn(usize, usize) -> bool) -> Self {
        let mut on = Vec::with_capacity(width * height);
        for row in 0..height {
            on.extend((0..width).map(|column| holds(column, row)));
        }
        Self { width, height, on }
    }

    pub fn count(&self) -> usize {
        self.on.iter().filter(|on| **on).count()
    }

    pub fn is_empty(&self) -> bool {
        !self.on.contains(&true)
    }

    pub fn and(&self, holds: impl Fn(usize) -> bool) -> Self {
        let on = self.on.iter().enumerate().map(|(i, on)| *on && holds(i));
        Self {
            on: on.collect(),
            ..*self
        }
    }

    pub fn not(&self) -> Self {
        Self {
            on: self.on.iter().map(|on| !on).collect(),
            ..*self
        }
    }

    /// Squared distance of each cell to the nearest that is on, in cells.
    ///
    /// Source: Felzenszwalb, Huttenlocher: Distance transforms of sampled
    /// functions, Theory of Computing 8 (2012) 415-428.
    pub fn squared_distances(&self) -> Vec<f32> {
        let (w, h) = (self.width, self.height);
        let mut squares: Vec<f32> = self
            .on
            .iter()
            .map(|on| if *on { 0.0 } else { FAR })
            .collect();
        let mut hull = Hull::of(w.max(h));
        let mut line = vec![0.0; w.max(h)];
        for column in 0..w {
            for row in 0..h {
                line[row] = squares[row * w + column];
            }
            hull.transform(&mut line[..h]);
            for row in 0..h {
                squares[row * w + column] = line[row];
            }
        }
        for row in squares.chunks_exact_mut(w) {
            hull.transform(row);
        }
        squares
    }

    /// Every cell within a radius of one that is on.
    pub fn grown(&self, radius: f64) -> Self {
        let most = (radius * radius) as f32;
        let on = self.squared_distances().into_iter().map(|d| d <= most);
        Self {
            on: on.collect(),
            ..*self
        }
    }

    /// Every cell farther than a radius from all that are off; beyond the
    /// grid it goes on as at its edge.
    pub fn shrunk(&self, radius: f64) -> Self {
        self.not().grown(radius).not()
    }

    /// Gaps narrower than twice the radius are closed.
    pub fn closed(&self, radius: f64) -> Self {
        self.grown(radius).shrunk(radius)
    }

    /// What is thinner than twice the radius is left out.
    pub fn opened(&self, radius: f64) -> Self {
        self.shrunk(radius).grown(radius)
    }

    /// Pieces that hang together by their edges, as lists of cells.
    pub fn pieces(&self) -> Vec<Vec<usize>> {
        let (w, h) = (self.width, self.height);
        let mut seen = vec![false; self.on.len()];
        let mut pieces = Vec::new();
        for first in 0..self.on.len() {
            if !self.on[first] || seen[first] {
                continue;
            }
            seen[first] = true;
            let mut piece = vec![first];
            let mut next = 0;
            while let Some(&cell) = piece.get(next) {
                next += 1;
                let (column, row) = (cell % w, cell / w);
                let beside = [
                    (column > 0).then(|| cell - 1),
                    (column + 1 < w).then(|| cell + 1),
                    (row > 0).then(|| cell - w),
                    (row + 1 < h).then(|| cell + w),
                ];
                for other in beside.into_iter().flatten() {
                    if self.on[other] && !seen[other] {
                        seen[other] = true;
                        piece.push(other);
                    }
                }
            }
            pieces.push(piece);
        }
        pieces
    }

    /// Only the pieces that are wanted.
    pub fn keeping(&self, wanted: impl Fn(&[usize]) -> bool) -> Self {
        let mut on = vec![false; self.on.len()];
        for piece in self.pieces().iter().filter(|p| wanted(p)) {
            for cell in piece {
                on[*cell] = true;
            }
        }
        Self { on, ..*self }
    }

    /// Holes of fewer cells than this are filled; what is open to the grid's
    /// edge is none.
    pub fn filled(&self, cells: usize) -> Self {
        let (w, h) = (self.width, self.height);
        let at_edge = |cell: &usize| {
            let (column, row) = (cell % w, cell / w);
            column == 0 || row == 0 || column + 1 == w || row + 1 == h
        };
        let kept = self
            .not()
            .keeping(|p| p.len() >= cells || p.iter().any(at_edge));
        kept.not()
    }
}

/// The lower hull of parabolas along one line.
struct Hull {
    at: Vec<usize>,
    from: Vec<f32>,
    out: Vec<f32>,
}

impl Hull {
    fn of(longest: usize) -> Self {
        Self {
            at: vec![0; longest],
            from: vec![0.0; longest + 1],
            out: vec![0.0; longest],
        }
    }

    fn transform(&mut self, line: &mut [f32]) {
        let n = line.len();
        if n == 0 {
            return;
        }
        let cut = |q: usize, v: usize| {
            let (fq, fv) = (q as f32, v as f32);
            ((line[q] + fq * fq) - (line[v] + fv * fv)) / (2.0 * fq - 2.0 * fv)
        };
        let mut k = 0;
        self.at[0] = 0;
        (self.from[0], self.from[1]) = (f32::NEG_INFINITY, f32::INFINITY);
        for q in 1..n {
            let mut s = cut(q, self.at[k]);
            while k > 0 && s <= self.from[k] {
                k -= 1;
                s = cut(q, self.at[k]);
            }
            k += 1;
            self.at[k] = q;
            (self.from[k], self.from[k + 1]) = (s, f32::INFINITY);
        }
        k = 0;
        for (q, out) in self.out.iter_mut().enumerate().take(n) {
            while self.from[k + 1] < q as f32 {
                k += 1;
            }
            let v = self.at[k];
            let d = q as f32 - v as f32;
            *out = d * d + line[v];
        }
        line.copy_from_slice(&self.out[..n]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against every pair of cells.
        #[test]
        fn distances_are_those_to_the_nearest(on in prop::collection::vec(prop::bool::weighted(0.1), 17 * 11)) {
            let mask = Mask { width: 17, height: 11, on };
            let found = mask.squared_distances();
            for (i, d) in found.iter().enumerate() {
                let nearest = (0..found.len())
                    .filter(|j| mask.on[*j])
                    .map(|j| ((i % 17).abs_diff(j % 17).pow(2) + (i / 17).abs_diff(j / 17).pow(2)) as f32)
                    .fold(FAR, f32::min);
                prop_assert!((d - nearest).abs() <= 1e-3 || nearest == FAR && *d >= FAR * 0.99);
            }
        }

        #[test]
        fn closing_only_adds_and_opening_only_takes(on in prop::collection::vec(any::<bool>(), 23 * 9), radius in 0.0..4.0f64) {
            let mask = Mask { width: 23, height: 9, on };
            let (closed, opened) = (mask.closed(radius), mask.opened(radius));
            for i in 0..mask.on.len() {
                prop_assert!(closed.on[i] || !mask.on[i]);
                prop_assert!(mask.on[i] || !opened.on[i]);
            }
        }
    }

    #[test]
    fn a_hole_is_filled_and_a_bay_is_not() {
        let mask = Mask::from_fn(9, 7, |c, r| {
            (1..8).contains(&c) && (1..6).contains(&r) && (c, r) != (3, 3) && !(c >= 6 && r == 4)
        });
        // The bay at the right reaches the outside.
        let filled = mask.filled(4);
        assert_eq!(filled.count(), mask.count() + 1);
        assert!(filled.on[3 * 9 + 3] && !filled.on[4 * 9 + 7]);
        assert_eq!(mask.pieces().len(), 1);
    }
}
