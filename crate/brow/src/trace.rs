//! Measurements on a finished outline, by sampling it.
//!
//! Independent of how the outline was found: it knows segments and their
//! names, nothing of the solver.

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv};
use ophryon_frames::{Lateral, Point, Vector};

use crate::{Brow, BrowPoints, Outline, Part};

/// Samples per cubic: on a 3 mm piece an eighth of a millimetre apart.
const EACH: u32 = 24;

/// Largest gap between outline and polygon when a crossing is looked for, mm,
/// and when a find is looked at again.
const COARSE_MM: f64 = 0.01;
const FINE_MM: f64 = 0.0002;

/// Curvature below this, 1/mm, has no side to bend to: a radius of 10 m.
const STRAIGHT: f64 = 1e-4;

/// Stations along the tail where its thickness is taken.
const STATIONS: u32 = 64;

/// A place on an edge with its signed curvature in 1/mm.
#[derive(Clone, Copy)]
struct Sample {
    place: Point<Lateral>,
    bend: f64,
}

/// An outline sampled once for all measurements.
pub(crate) struct Trace<'a> {
    outline: &'a Outline<Lateral>,
    points: &'a BrowPoints,
    top_line: Vec<Point<Lateral>>,
    /// From front to tip.
    upper: Vec<Sample>,
    /// From tip to front.
    lower: Vec<Sample>,
}

impl<'a> Trace<'a> {
    pub fn of(brow: &'a Brow) -> Self {
        let outline = brow.outline();
        let edge = |belongs: fn(Part) -> bool| {
            let segments = outline.segments().iter().filter(move |s| belongs(s.part));
            segments.flat_map(|s| samples(&s.curve())).collect()
        };
        let line = outline.part(Part::TopLine);
        Self {
            outline,
            points: brow.points(),
            top_line: line
                .flat_map(|s| samples(&s.curve()))
                .map(|s| s.place)
                .collect(),
            upper: edge(Part::is_upper),
            lower: edge(Part::is_lower),
        }
    }

    /// Largest distance of the top line from its chord, mm.
    pub fn top_line_off_chord(&self) -> f64 {
        let (Some(first), Some(last)) = (self.top_line.first(), self.top_line.last()) else {
            return 0.0;
        };
        let Some(chord) = (*last - *first).unit() else {
            return 0.0;
        };
        self.top_line
            .iter()
            .map(|p| (*p - *first).cross(chord).abs())
            .fold(0.0, f64::max)
    }

    /// Smallest radius of curvature of the upper edge, mm; infinite for a
    /// straight one.
    pub fn tightest_upper_radius(&self) -> f64 {
        1.0 / self.upper.iter().map(|s| s.bend.abs()).fold(0.0, f64::max)
    }

    /// Changes of bend along the edge that has more of them.
    pub fn inflections(&self) -> u32 {
        let changes = |edge: &[Sample]| {
            let bent: Vec<f64> = edge
                .iter()
                .map(|s| s.bend)
                .filter(|bend| bend.abs() > STRAIGHT)
                .collect();
            bent.windows(2)
                .filter(|pair| pair[0] * pair[1] < 0.0)
                .count()
        };
        u32::try_from(changes(&self.upper).max(changes(&self.lower))).unwrap_or(u32::MAX)
    }

    /// How often the outline crosses itself.
    pub fn crossings(&self) -> u32 {
        // Two edges that meet at a sharp tip can cross as coarse polygons
        // without crossing as curves, so a find is looked at again.
        match polygon_crossings(&self.outline.flattened(COARSE_MM)) {
            0 => 0,
            _ => polygon_crossings(&self.outline.flattened(FINE_MM)),
        }
    }

    /// Largest growth of the thickness across the tail's axis on the way from
    /// the lower arch to the tip, mm; 0 when it never grows.
    pub fn thickness_growth(&self) -> f64 {
        let points = self.points;
        let axis = points.tail - points.lower_arch;
        let Some(along) = axis.unit() else { return 0.0 };
        let up = Vector::new(-along.y, along.x);
        let seen = |s: &Sample| {
            let from = s.place - points.lower_arch;
            (from.dot(along), from.dot(up))
        };
        // From the turns on: before them a steep edge may run back over the axis.
        let past = |turn: Point<Lateral>| move |s: &&Sample| s.place.x >= turn.x;
        let upper = self.upper.iter().filter(past(points.peak));
        let upper: Vec<_> = upper.map(seen).collect();
        let lower = self.lower.iter().rev().filter(past(points.lower_arch));
        let lower: Vec<_> = lower.map(seen).collect();
        let begin = (points.peak - points.lower_arch).dot(along).max(0.0);
        let (mut thinnest, mut grown) = (f64::INFINITY, 0.0_f64);
        for i in 0..=STATIONS {
            let sigma = begin + (axis.length() - begin) * f64::from(i) / f64::from(STATIONS);
            let thickness = height_at(&upper, sigma) - height_at(&lower, sigma);
            grown = grown.max(thickness - thinnest);
            thinnest = thinnest.min(thickness);
        }
        grown
    }
}

/// Linear between the neighbouring samples of one edge, walked outward.
fn height_at(edge: &[(f64, f64)], sigma: f64) -> f64 {
    let next = edge.partition_point(|(s, _)| *s < sigma);
    match (
        next.checked_sub(1).and_then(|i| edge.get(i)),
        edge.get(next),
    ) {
        (Some((s0, t0)), Some((s1, t1))) if s1 > s0 => t0 + (t1 - t0) * (sigma - s0) / (s1 - s0),
        (_, Some((_, t))) | (Some((_, t)), None) => *t,
        (None, None) => 0.0,
    }
}

/// Curvature is (x'y" - y'x") / |p'|³.
fn samples(curve: &CubicBez) -> impl Iterator<Item = Sample> + use<> {
    let (curve, first) = (*curve, curve.deriv());
    let second = first.deriv();
    (0..=EACH).map(move |i| {
        let t = f64::from(i) / f64::from(EACH);
        let (v, a) = (first.eval(t).to_vec2(), second.eval(t).to_vec2());
        let square = v.hypot2();
        let bend = if square == 0.0 {
            0.0
        } else {
            v.cross(a) / (square * square.sqrt())
        };
        Sample {
            place: Point::from_kurbo(curve.eval(t)),
            bend,
        }
    })
}

/// Crossings of a closed polygon with itself; neighbours share an end and
/// don't count.
fn polygon_crossings(polygon: &[Point<Lateral>]) -> u32 {
    let n = polygon.len();
    let edge = |i: usize| (polygon[i], polygon[(i + 1) % n]);
    let mut count = 0;
    for i in 0..n {
        let (a, b) = edge(i);
        let (low, high) = (a.x.min(b.x), a.x.max(b.x));
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (c, d) = edge(j);
            if c.x.min(d.x) > high || c.x.max(d.x) < low {
                continue;
            }
            let (ab, cd) = (b - a, d - c);
            let apart =
                ab.cross(c - a) * ab.cross(d - a) < 0.0 && cd.cross(a - c) * cd.cross(b - c) < 0.0;
            count += u32::from(apart);
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;
    use crate::{Form, Limits, draw};

    #[test]
    fn a_bow_tie_crosses_itself_once() {
        let tie = [(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)];
        let polygon: Vec<_> = tie.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        assert_eq!(polygon_crossings(&polygon), 1);
    }

    /// Its tip, flattened from two cubics, came out twice, a last bit apart.
    #[test]
    fn a_tip_rounded_twice_is_no_crossing() {
        let points = BrowPoints {
            front_top: Point::new(8.032724329883287, 21.659118432771905),
            front_bottom: Point::new(8.032724329883287, 16.612365073610352),
            peak: Point::new(46.496406164722, 26.843838390512964),
            lower_arch: Point::new(47.821116653553645, 16.98800208406645),
            tail: Point::new(76.38016798494046, 5.049350275833255),
        };
        let brow = draw(&points, &Form::default(), &Limits::default()).unwrap();
        assert_eq!(Trace::of(&brow).crossings(), 0);
    }

    #[test]
    fn a_quarter_circle_shows_its_radius() {
        // κ = 4(√2 - 1)/3 (classic); its curvature stays within 3 % of 1/8.
        let k = 8.0 * 0.552_284_749_8;
        let arc = CubicBez::new((8.0, 0.0), (8.0, k), (k, 8.0), (0.0, 8.0));
        for s in samples(&arc) {
            assert!((1.0 / s.bend - 8.0).abs() < 0.24, "{}", 1.0 / s.bend);
        }
    }

    #[test]
    fn a_swollen_tail_is_seen() {
        let mut brow = draw(&plain(), &Form::default(), &Limits::default()).unwrap();
        assert!(Trace::of(&brow).thickness_growth() < 1e-9);
        let swollen: Vec<_> = brow
            .outline
            .segments()
            .iter()
            .map(|s| {
                let mut s = *s;
                if s.part == Part::UpperTail {
                    s.controls[1] = s.controls[1] + Vector::new(0.0, 4.0);
                }
                s
            })
            .collect();
        brow.outline = Outline::from_segments(swollen);
        assert!(Trace::of(&brow).thickness_growth() > 0.2);
        assert!(Trace::of(&brow).inflections() > 0);
    }
}
