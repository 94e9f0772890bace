//! Whether a place is nearer to an outline than a distance, and on which side.

use kurbo::{CubicBez, ParamCurve, Point as At};

/// Most straight edges that one cubic becomes.
const MOST_EDGES: f64 = 400.0;

/// Upright strips that a brow is divided into, each about as wide as the brow
/// heals: only the edges in a few of them are looked at for one place.
const STRIPS: usize = 160;

/// The outline as short straight edges, listed by the upright strips that they
/// lie in.
pub(crate) struct Shore {
    /// Left side of the first strip, and strips in a millimetre.
    left: f64,
    per_mm: f64,
    /// Where the edges of each strip begin in `edges`, and where the last end.
    begin: Vec<u32>,
    edges: Vec<[At; 2]>,
}

impl Shore {
    /// The edges stay this near to the curves, mm.
    pub const WITHIN_MM: f64 = 1e-4;

    pub fn of(curves: impl Iterator<Item = CubicBez>) -> Self {
        let mut line: Vec<[At; 2]> = Vec::with_capacity(1024);
        for c in curves {
            // A chord over a step h is off by at most h²/8 of the second
            // derivative, which is largest at an end.
            let second = |a: At, b: At, c: At| {
                let bend = (a - b) + (c - b);
                6.0 * bend.hypot2().sqrt()
            };
            let bend = second(c.p0, c.p1, c.p2).max(second(c.p1, c.p2, c.p3));
            let edges = (bend / (8.0 * Self::WITHIN_MM)).sqrt().ceil();
            let edges = edges.clamp(1.0, MOST_EDGES) as u32;
            let mut from = c.p0;
            for i in 1..=edges {
                let to = c.eval(f64::from(i) / f64::from(edges));
                line.push([from, to]);
                from = to;
            }
        }
        Self::in_strips(&line)
    }

    fn in_strips(line: &[[At; 2]]) -> Self {
        let xs = || line.iter().flatten().map(|p| p.x);
        let left = xs().fold(f64::INFINITY, f64::min);
        let right = xs().fold(f64::NEG_INFINITY, f64::max);
        let wide = right - left;
        let mut shore = Self {
            left,
            per_mm: if wide > 0.0 {
                STRIPS as f64 / wide
            } else {
                0.0
            },
            begin: vec![0; STRIPS + 1],
            edges: Vec::new(),
        };
        let strips = |[a, b]: &[At; 2]| shore.strip(a.x.min(b.x))..=shore.strip(a.x.max(b.x));
        let mut count = vec![0_u32; STRIPS + 1];
        for edge in line {
            for strip in strips(edge) {
                count[strip + 1] += 1;
            }
        }
        for i in 0..STRIPS {
            count[i + 1] += count[i];
        }
        let mut edges = vec![[At::ZERO; 2]; count[STRIPS] as usize];
        let mut free = count.clone();
        for edge in line {
            for strip in strips(edge) {
                edges[free[strip] as usize] = *edge;
                free[strip] += 1;
            }
        }
        (shore.begin, shore.edges) = (count, edges);
        shore
    }

    /// The strip that lies at so much; the outer ones reach on for ever.
    fn strip(&self, x: f64) -> usize {
        // A cast takes what is below 0, and what is no number, for 0.
        (((x - self.left) * self.per_mm) as usize).min(STRIPS - 1)
    }

    fn between(&self, from: f64, to: f64) -> &[[At; 2]] {
        let (first, last) = (self.strip(from), self.strip(to));
        &self.edges[self.begin[first] as usize..self.begin[last + 1] as usize]
    }

    /// Whether a place lies nearer than `distance`, beyond what the edges
    /// leave in doubt.
    pub fn is_nearer(&self, at: At, distance: f64) -> bool {
        let near = distance - 2.0 * Self::WITHIN_MM;
        if near <= 0.0 {
            return false;
        }
        let square = near * near;
        let (low, high) = (at.y - near, at.y + near);
        self.between(at.x - near, at.x + near).iter().any(|[a, b]| {
            let aside = (a.y > high && b.y > high) || (a.y < low && b.y < low);
            !aside && to_edge(at, *a, *b) < square
        })
    }

    /// Whether the outline winds round a place.
    pub fn surrounds(&self, at: At) -> bool {
        // Counted where an upright line from the place upward is crossed.
        let crossed = |[a, b]: &[At; 2]| match (a.x <= at.x, b.x <= at.x) {
            (true, false) if (*b - *a).cross(at - *a) < 0.0 => 1,
            (false, true) if (*b - *a).cross(at - *a) > 0.0 => -1,
            _ => 0,
        };
        let windings: i32 = self.between(at.x, at.x).iter().map(crossed).sum();
        windings != 0
    }
}

/// Squared distance from a place to a straight edge.
fn to_edge(at: At, a: At, b: At) -> f64 {
    let (run, from) = (b - a, at - a);
    let square = run.hypot2();
    let t = if square > 0.0 {
        (from.dot(run) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (from - run * t).hypot2()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place() -> impl Strategy<Value = At> {
        (-12.0..12.0_f64, -12.0..12.0_f64).prop_map(|(x, y)| At::new(x, y))
    }

    proptest! {
        /// A ring of any cubics: the nearest of many plain samples, and the
        /// winding of the path by kurbo, say the same.
        #[test]
        fn strips_leave_nothing_out(
            corners in prop::collection::vec(place(), 2..9),
            bends in prop::collection::vec(place(), 18),
            at in place(),
            distance in 0.001..6.0_f64,
        ) {
            let ends = corners.iter().zip(corners.iter().cycle().skip(1));
            let curves: Vec<CubicBez> = ends
                .zip(bends.chunks_exact(2))
                .map(|((a, b), bend)| CubicBez::new(*a, bend[0], bend[1], *b))
                .collect();
            let shore = Shore::of(curves.iter().copied());
            let samples = curves.iter().flat_map(|c| {
                (0..=2000).map(|i| c.eval(f64::from(i) / 2000.0))
            });
            let near = samples.map(|p| (p - at).hypot()).fold(f64::INFINITY, f64::min);
            // Samples are up to 0.04 mm apart; the edges off by their own share.
            if near < distance - 0.01 {
                prop_assert!(shore.is_nearer(at, distance));
            }
            if near > distance + 0.01 {
                prop_assert!(!shore.is_nearer(at, distance));
            }
            if near > 0.03 {
                let mut path = kurbo::BezPath::new();
                path.move_to(corners[0]);
                for c in &curves {
                    path.curve_to(c.p1, c.p2, c.p3);
                }
                path.close_path();
                let winding = kurbo::Shape::winding(&path, at);
                prop_assert_eq!(shore.surrounds(at), winding != 0);
            }
        }
    }
}
