//! The area that two closed polygons have in common, exactly.
//!
//! The plane is cut at the height of every corner. Between two such heights
//! all edges are straight and reach from one to the other; where some of them
//! cross there, it is cut again at the crossing. What is left are trapezoids,
//! whose area is their width halfway up times their height, without error.
//! "Height" is the first axis here, so that the cuts are upright.
//!
//! A library of polygon booleans finds the common shape and not only its
//! area; the tests hold this against one. Used here, it would be a sixth of
//! the app's first load for a single number.

use ophryon_frames::{Frame, Point};

/// An edge from its lower to its upper end.
#[derive(Clone, Copy)]
struct Edge {
    bottom: (f64, f64),
    top: (f64, f64),
    /// +1 where it was walked upward, -1 downward.
    winding: i32,
    /// Index of its polygon.
    of: usize,
}

impl Edge {
    fn x_at(&self, y: f64) -> f64 {
        let ((x0, y0), (x1, y1)) = (self.bottom, self.top);
        x0 + (x1 - x0) * ((y - y0) / (y1 - y0))
    }
}

/// Area where both polygons wind at all (non-zero rule), in their frame's
/// unit squared. The last corner joins the first.
pub(crate) fn common_area<F: Frame>(one: &[Point<F>], other: &[Point<F>]) -> f64 {
    swept([one, other], |[a, b]| a != 0 && b != 0)
}

/// Area where a polygon winds at all.
pub(crate) fn wound_area<F: Frame>(polygon: &[Point<F>]) -> f64 {
    swept([polygon, &[]], |[a, _]| a != 0)
}

fn swept<F: Frame>(polygons: [&[Point<F>]; 2], counts: impl Fn([i32; 2]) -> bool) -> f64 {
    let mut edges: Vec<Edge> = Vec::new();
    let mut levels: Vec<f64> = Vec::new();
    for (of, polygon) in polygons.into_iter().enumerate() {
        let next = polygon.iter().skip(1).chain(polygon.first());
        for (a, b) in polygon.iter().zip(next) {
            // A brow is wider than high: cut upright, with x for height, a
            // slab has four or six edges instead of dozens.
            let (a, b) = ((a.y, a.x), (b.y, b.x));
            levels.push(a.1);
            // A level edge bounds nothing that the others don't.
            if a.1 < b.1 {
                let winding = 1;
                let (bottom, top) = (a, b);
                edges.push(Edge {
                    bottom,
                    top,
                    winding,
                    of,
                });
            } else if b.1 < a.1 {
                let winding = -1;
                let (bottom, top) = (b, a);
                edges.push(Edge {
                    bottom,
                    top,
                    winding,
                    of,
                });
            }
        }
    }
    edges.sort_unstable_by(|a, b| a.bottom.1.total_cmp(&b.bottom.1));
    levels.sort_by(f64::total_cmp);
    levels.dedup();

    let mut waiting = edges.into_iter().peekable();
    let mut active: Vec<Edge> = Vec::new();
    let mut slab = Slab::default();
    let mut area = 0.0;
    for pair in levels.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        active.retain(|e| e.top.1 > low);
        while let Some(edge) = waiting.next_if(|e| e.bottom.1 <= low) {
            active.push(edge);
        }
        area += slab.area(&active, low, high, &counts);
    }
    area
}

/// What one slab needs, kept from slab to slab.
#[derive(Default)]
struct Slab {
    /// Where each edge is at the bottom and at the top, its winding and polygon.
    ends: Vec<(f64, f64, i32, usize)>,
    /// Where edges cross, as a share of the way up.
    cuts: Vec<f64>,
    /// From left to right.
    crossed: Vec<(f64, i32, usize)>,
}

impl Slab {
    /// Area between two heights which every active edge reaches across.
    fn area(
        &mut self,
        active: &[Edge],
        low: f64,
        high: f64,
        counts: &impl Fn([i32; 2]) -> bool,
    ) -> f64 {
        let Self {
            ends,
            cuts,
            crossed,
        } = self;
        ends.clear();
        let end = |e: &Edge| (e.x_at(low), e.x_at(high), e.winding, e.of);
        ends.extend(active.iter().map(end));
        cuts.clear();
        cuts.push(0.0);
        for (i, a) in ends.iter().enumerate() {
            for b in &ends[i + 1..] {
                let (below, above) = (a.0 - b.0, a.1 - b.1);
                if below * above < 0.0 {
                    cuts.push(below / (below - above));
                }
            }
        }
        cuts.push(1.0);
        if cuts.len() > 3 {
            cuts.sort_by(f64::total_cmp);
        }
        let mut area = 0.0;
        for pair in cuts.windows(2) {
            let middle = 0.5 * (pair[0] + pair[1]);
            // Few enough for each to be put in its place.
            crossed.clear();
            for (x0, x1, winding, of) in ends.iter() {
                let x = x0 + (x1 - x0) * middle;
                let at = crossed.partition_point(|c| c.0 <= x);
                crossed.insert(at, (x, *winding, *of));
            }
            let (mut windings, mut width, mut before) = ([0; 2], 0.0, f64::NEG_INFINITY);
            for (x, winding, of) in crossed.iter() {
                if counts(windings) {
                    width += x - before;
                }
                windings[*of] += winding;
                before = *x;
            }
            area += width * (pair[1] - pair[0]) * (high - low);
        }
        area
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use i_overlay::core::fill_rule::FillRule;
    use i_overlay::core::overlay_rule::OverlayRule;
    use i_overlay::float::single::SingleFloatOverlay;
    use ophryon_frames::Lateral;
    use proptest::prelude::*;

    type Corners = Vec<(f64, f64)>;

    fn points(corners: &Corners) -> Vec<Point<Lateral>> {
        corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    /// The same by a library of polygon booleans; rings of holes wind the
    /// other way, so signed areas add up.
    fn by_library(one: &Corners, other: &Corners) -> f64 {
        let pairs = |c: &Corners| c.iter().map(|(x, y)| [*x, *y]).collect::<Vec<_>>();
        let found: Vec<Vec<Vec<[f64; 2]>>> =
            pairs(one).overlay(&pairs(other), OverlayRule::Intersect, FillRule::NonZero);
        let signed = |ring: &Vec<[f64; 2]>| -> f64 {
            let next = ring.iter().cycle().skip(1);
            let cross = |(a, b): (&[f64; 2], &[f64; 2])| 0.5 * (a[0] * b[1] - b[0] * a[1]);
            ring.iter().zip(next).map(cross).sum()
        };
        found.iter().flatten().map(signed).sum::<f64>().abs()
    }

    #[test]
    fn squares_in_closed_form() {
        let square =
            |x: f64, y: f64, s: f64| points(&vec![(x, y), (x + s, y), (x + s, y + s), (x, y + s)]);
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        near(
            common_area(&square(0.0, 0.0, 2.0), &square(1.0, 1.0, 2.0)),
            1.0,
        );
        near(
            common_area(&square(0.0, 0.0, 4.0), &square(1.0, 1.0, 2.0)),
            4.0,
        );
        near(
            common_area(&square(0.0, 0.0, 1.0), &square(5.0, 0.0, 1.0)),
            0.0,
        );
        near(wound_area(&square(0.0, 0.0, 3.0)), 9.0);
        // A bow tie counts both its halves.
        near(
            wound_area(&points(&vec![
                (0.0, 0.0),
                (2.0, 2.0),
                (2.0, 0.0),
                (0.0, 2.0),
            ])),
            2.0,
        );
        near(wound_area::<Lateral>(&[]), 0.0);
    }

    proptest! {
        /// Corners anywhere: polygons that cross themselves and each other.
        #[test]
        fn any_two_polygons_have_the_area_that_a_library_finds(
            one in prop::collection::vec((-30.0..30.0f64, -10.0..10.0f64), 3..14),
            other in prop::collection::vec((-30.0..30.0f64, -10.0..10.0f64), 3..14),
        ) {
            let (ours, theirs) = (common_area(&points(&one), &points(&other)), by_library(&one, &other));
            // The library works on a grid of integers.
            prop_assert!((ours - theirs).abs() < 1e-4, "{ours} {theirs}");
        }
    }
}
