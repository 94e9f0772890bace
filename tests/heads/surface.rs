//! Heads as depth over the frontal view, and lengths measured on them by fine
//! polylines. Nothing here uses the product: this is what it is held against.

use nalgebra::{DMatrix, DVector};
use ophryon_demo::Face;

/// A place seen from the front, mm: x toward the client's left, y up.
pub type Seen = [f64; 2];

/// Depth toward the camera over a place seen from the front, mm.
pub struct Surface(Box<dyn Fn(Seen) -> f64>);

impl Surface {
    pub fn new(depth: impl Fn(Seen) -> f64 + 'static) -> Self {
        Self(Box::new(depth))
    }

    /// An invented head of the demo's generator.
    pub fn of(face: Face) -> Self {
        Self::new(move |[x, y]| face.point(x, y).z)
    }

    /// A superellipsoid: half-breadth, half-height and half-depth in mm; the
    /// horizontal section is |x/a|^n + |z/c|^n = 1. Its middle lies `below`
    /// the pupil line, so that the forehead leans back the more.
    pub fn ellipsoid([a, b, c]: [f64; 3], n: f64, below: f64) -> Self {
        Self::new(move |[x, y]| {
            let up = (y + below) / b;
            let ring = libm::pow(1.0 - up * up, 0.5 * n);
            c * libm::pow(ring - libm::pow(x.abs() / a, n), 1.0 / n)
        })
    }

    /// With so much more bone (mm) over the eyes; negative for a smooth brow.
    pub fn with_ridge(self, mm: f64) -> Self {
        self.with_bump(mm, [26.0, 18.0], [26.0, 9.0])
    }

    /// With a temple so much hollower (mm) behind the tail.
    pub fn with_hollow_temple(self, mm: f64) -> Self {
        self.with_bump(-mm, [62.0, 20.0], [14.0, 20.0])
    }

    /// On both sides a soft hill, exp(-r²/2), of these widths.
    fn with_bump(self, mm: f64, at: Seen, width: Seen) -> Self {
        Self::new(move |[x, y]| {
            let (u, v) = ((x.abs() - at[0]) / width[0], (y - at[1]) / width[1]);
            self.depth([x, y]) + mm * libm::exp(-0.5 * (u * u + v * v))
        })
    }

    /// Upright at that height, no forehead leaning back: the same horizontal
    /// section all the way up.
    pub fn upright_from(self, y: f64) -> Self {
        Self::new(move |[x, _]| self.depth([x, y]))
    }

    pub fn depth(&self, at: Seen) -> f64 {
        (self.0)(at)
    }

    /// Length over the skin of a frontal path, t from 0 to 1, by a polyline.
    pub fn length(&self, pieces: u32, path: impl Fn(f64) -> Seen) -> f64 {
        length(|at| self.depth(at), pieces, path)
    }

    /// Over the skin along the straight frontal line between two near places.
    pub fn across(&self, from: Seen, to: Seen) -> f64 {
        across(|at| self.depth(at), from, to)
    }

    /// x, y, z of the skin seen at a place.
    pub fn place(&self, at: Seen) -> [f64; 3] {
        [at[0], at[1], self.depth(at)]
    }

    /// The geodesic between two places: what a taut tape reads. By Ritz: the
    /// path's sideways offset from the frontal chord is a sine series whose
    /// coefficients make the length stationary (Newton on differences). The
    /// length is flat about its least, so few terms give it to micrometres.
    pub fn taut(&self, from: Seen, to: Seen) -> f64 {
        const TERMS: usize = 4;
        const STEP: f64 = 0.02;
        let aside = [from[1] - to[1], to[0] - from[0]];
        let chord = libm::hypot(aside[0], aside[1]);
        let over = |series: &DVector<f64>| {
            self.length(120, |t| {
                let sine = |k: usize| libm::sin((k + 1) as f64 * std::f64::consts::PI * t);
                let off: f64 = (0..TERMS).map(|k| series[k] * sine(k)).sum::<f64>() / chord;
                let [x, y] = straight(from, to, t);
                [x + off * aside[0], y + off * aside[1]]
            })
        };
        let unit = |k: usize| DVector::from_fn(TERMS, |i, _| if i == k { STEP } else { 0.0 });
        let mut series = DVector::zeros(TERMS);
        for _ in 0..4 {
            let here = over(&series);
            let out: Vec<f64> = (0..TERMS).map(|k| over(&(&series + unit(k)))).collect();
            let back: Vec<f64> = (0..TERMS).map(|k| over(&(&series - unit(k)))).collect();
            let slope = DVector::from_fn(TERMS, |k, _| (out[k] - back[k]) / (2.0 * STEP));
            let mut bend = DMatrix::zeros(TERMS, TERMS);
            for k in 0..TERMS {
                bend[(k, k)] = (out[k] - 2.0 * here + back[k]) / (STEP * STEP);
                for l in 0..k {
                    let both = over(&(&series + unit(k) + unit(l)));
                    let mixed = (both - out[k] - out[l] + here) / (STEP * STEP);
                    bend[(k, l)] = mixed;
                    bend[(l, k)] = mixed;
                }
            }
            series -= bend.lu().solve(&slope).unwrap();
        }
        over(&series)
    }
}

fn straight(from: Seen, to: Seen, t: f64) -> Seen {
    [0, 1].map(|k| from[k] + t * (to[k] - from[k]))
}

fn length(depth: impl Fn(Seen) -> f64, pieces: u32, path: impl Fn(f64) -> Seen) -> f64 {
    let place = |i: u32| {
        let at = path(f64::from(i) / f64::from(pieces));
        [at[0], at[1], depth(at)]
    };
    let mut last = place(0);
    let mut sum = 0.0;
    for next in (1..=pieces).map(place) {
        let squares: f64 = (0..3)
            .map(|k| (next[k] - last[k]) * (next[k] - last[k]))
            .sum();
        sum += squares.sqrt();
        last = next;
    }
    sum
}

/// Over any surface along the straight frontal line between two near places.
pub fn across(depth: impl Fn(Seen) -> f64, from: Seen, to: Seen) -> f64 {
    length(depth, 6, |t| straight(from, to, t))
}
