//! Whether a place is nearer to an outline than a distance, and on which side.

use kurbo::{CubicBez, ParamCurve, Point as At, Rect, Shape};

/// Most straight edges that one cubic becomes.
const MOST_EDGES: f64 = 400.0;

/// The outline as short straight edges, kept by the cubic they come from.
pub(crate) struct Shore {
    stretches: Vec<(Rect, Vec<At>)>,
}

impl Shore {
    /// The edges stay this near to the curves, mm.
    pub const WITHIN_MM: f64 = 1e-4;

    pub fn of(curves: impl Iterator<Item = CubicBez>) -> Self {
        let stretches = curves.map(|c| {
            // A chord over a step h is off by at most h²/8 of the second
            // derivative, which is largest at an end.
            let second = |a: At, b: At, c: At| {
                let bend = (a - b) + (c - b);
                6.0 * bend.hypot2().sqrt()
            };
            let bend = second(c.p0, c.p1, c.p2).max(second(c.p1, c.p2, c.p3));
            let edges = (bend / (8.0 * Self::WITHIN_MM)).sqrt().ceil();
            let edges = edges.clamp(1.0, MOST_EDGES) as u32;
            let at = |i: u32| c.eval(f64::from(i) / f64::from(edges));
            (c.bounding_box(), (0..=edges).map(at).collect())
        });
        Self {
            stretches: stretches.collect(),
        }
    }

    /// Whether a place lies nearer than `distance`, beyond what the edges
    /// leave in doubt.
    pub fn is_nearer(&self, at: At, distance: f64) -> bool {
        let near = distance - 2.0 * Self::WITHIN_MM;
        if near <= 0.0 {
            return false;
        }
        let square = near * near;
        self.stretches.iter().any(|(bounds, edges)| {
            let aside = (bounds.x0 - at.x).max(at.x - bounds.x1).max(0.0);
            let above = (bounds.y0 - at.y).max(at.y - bounds.y1).max(0.0);
            aside * aside + above * above < square
                && edges.windows(2).any(|e| to_edge(at, e[0], e[1]) < square)
        })
    }

    /// Whether the outline winds round a place.
    pub fn surrounds(&self, at: At) -> bool {
        // Counted where a level line from the place outward is crossed.
        let crossed = |a: At, b: At| match (a.y <= at.y, b.y <= at.y) {
            (true, false) if (b - a).cross(at - a) > 0.0 => 1,
            (false, true) if (b - a).cross(at - a) < 0.0 => -1,
            _ => 0,
        };
        let windings = self.stretches.iter().map(|(bounds, edges)| {
            if at.x > bounds.x1 {
                return 0;
            }
            match edges[..] {
                // Wholly farther out, only where it begins and ends counts.
                [first, .., last] if at.x < bounds.x0 => {
                    let up = i32::from(last.y > at.y);
                    up - i32::from(first.y > at.y)
                }
                _ => edges.windows(2).map(|e| crossed(e[0], e[1])).sum(),
            }
        });
        windings.sum::<i32>() != 0
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
