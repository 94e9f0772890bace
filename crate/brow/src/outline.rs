//! A closed brow outline of cubic Béziers, every piece of it named.

use kurbo::{BezPath, CubicBez, ParamCurve, ParamCurveArclen, ParamCurveArea, PathEl, Rect, Shape};
use ophryon_frames::{Frame, Front, Lateral, Point, Side, Skin, Vector, Wrap};

use crate::crossing::Bernstein;
use crate::{BrowPoints, Form, Offset};

/// Crossings nearer than this to a point on the outline are the point itself.
const TOUCH: f64 = 1e-3;

/// Points of a polygon nearer than this are one: far above rounding (1e-14),
/// far below any tolerance asked for.
const ONE_PLACE: f64 = 1e-9;

/// Arc lengths are this near to the truth; a ruler shows 0.5 mm.
const ARC_MM: f64 = 1e-6;

/// A named stretch of the outline, in the order it is walked: up the front,
/// out along the top, back along the underside.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// From the lower to the upper front corner.
    FrontEdge,
    /// The straight part of the upper edge.
    TopLine,
    /// The rounding on both sides of the peak.
    PeakRound,
    /// From the rounding to the tip.
    UpperTail,
    /// From the tip back to the rounding of the lower arch.
    LowerTail,
    /// The rounding on both sides of the lower arch.
    LowerArch,
    /// From the lower arch to the lower front corner.
    LowerLine,
}

impl Part {
    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::FrontEdge => "front edge",
            Self::TopLine => "top line",
            Self::PeakRound => "rounded peak",
            Self::UpperTail => "upper tail",
            Self::LowerTail => "lower tail",
            Self::LowerArch => "lower arch",
            Self::LowerLine => "lower line",
        }
    }

    /// Belongs to the upper edge, from the front corner to the tip.
    pub const fn is_upper(self) -> bool {
        matches!(self, Self::TopLine | Self::PeakRound | Self::UpperTail)
    }

    /// Belongs to the lower edge, from the tip to the front corner.
    pub const fn is_lower(self) -> bool {
        matches!(self, Self::LowerTail | Self::LowerArch | Self::LowerLine)
    }
}

/// One cubic of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment<F: Frame> {
    /// What it is part of.
    pub part: Part,
    /// Start, two control points, end.
    pub controls: [Point<F>; 4],
}

impl<F: Frame> Segment<F> {
    /// As a kurbo curve in the same frame.
    pub fn curve(&self) -> CubicBez {
        let [a, b, c, d] = self.controls.map(Point::to_kurbo);
        CubicBez::new(a, b, c, d)
    }

    fn of(part: Part, curve: CubicBez) -> Self {
        let controls = [curve.p0, curve.p1, curve.p2, curve.p3].map(Point::from_kurbo);
        Self { part, controls }
    }
}

/// A closed outline: each segment begins where the last one ended.
///
/// Side-neutral (`Outline<Lateral>`) as it is drawn, on one side of the skin
/// (`Outline<Skin>`) once placed, and as the camera sees it
/// (`Outline<Front>`). Only this crate makes them, from checked points.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline<F: Frame> {
    segments: Vec<Segment<F>>,
}

impl<F: Frame> Outline<F> {
    pub(crate) fn from_segments(segments: Vec<Segment<F>>) -> Self {
        Self { segments }
    }

    /// All segments, in order.
    pub fn segments(&self) -> &[Segment<F>] {
        &self.segments
    }

    /// The segments of one part, in order.
    pub fn part(&self, part: Part) -> impl Iterator<Item = &Segment<F>> {
        self.segments.iter().filter(move |s| s.part == part)
    }

    /// One closed path of cubics, for kurbo and for SVG.
    pub fn path(&self) -> BezPath {
        let mut path = BezPath::new();
        if let Some(first) = self.segments.first() {
            path.move_to(first.controls[0].to_kurbo());
        }
        for segment in &self.segments {
            let [_, b, c, d] = segment.controls.map(Point::to_kurbo);
            path.curve_to(b, c, d);
        }
        path.close_path();
        path
    }

    /// Smallest upright box around the outline (min and max corner).
    pub fn bounds(&self) -> (Point<F>, Point<F>) {
        let all = self
            .segments
            .iter()
            .map(|s| Shape::bounding_box(&s.curve()));
        let hull = all.reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        (Point::new(hull.x0, hull.y0), Point::new(hull.x1, hull.y1))
    }

    /// Enclosed area in the frame's unit squared; never negative.
    pub fn area(&self) -> f64 {
        self.segments
            .iter()
            .map(|s| s.curve().signed_area())
            .sum::<f64>()
            .abs()
    }

    /// Whether a point lies inside.
    pub fn contains(&self, p: Point<F>) -> bool {
        p.is_finite() && self.path().contains(p.to_kurbo())
    }

    /// Length of the closed line in the frame's unit.
    pub fn perimeter(&self) -> f64 {
        self.segments.iter().map(|s| s.curve().arclen(ARC_MM)).sum()
    }

    /// Where the straight line through `at` along `direction` crosses the
    /// outline: signed distances from `at`, in order.
    pub fn crossings(&self, at: Point<F>, direction: Vector<F>) -> Vec<f64> {
        let Some(unit) = direction.unit() else {
            return Vec::new();
        };
        let mut along: Vec<f64> = self
            .segments
            .iter()
            .flat_map(|s| {
                let from_line = Bernstein(s.controls.map(|p| unit.cross(p - at)));
                let on_line = Bernstein(s.controls.map(|p| unit.dot(p - at)));
                let hits = from_line.sign_changes().into_iter();
                hits.map(move |t| on_line.at(t))
            })
            .collect();
        along.sort_by(f64::total_cmp);
        along
    }

    /// How far it is across the outline on that line: from the crossing
    /// nearest behind `at` to the nearest ahead, where a point on the outline
    /// counts as one of them. `None` where the line misses.
    pub fn across(&self, at: Point<F>, direction: Vector<F>) -> Option<f64> {
        let hits = self.crossings(at, direction);
        let behind = hits.iter().rev().find(|t| **t < -TOUCH);
        let ahead = hits.iter().find(|t| **t > TOUCH);
        match (behind, ahead) {
            (Some(behind), Some(ahead)) => Some(ahead - behind),
            (Some(only), None) | (None, Some(only)) => Some(only.abs()),
            (None, None) => None,
        }
    }

    /// The outline as a closed polygon that stays within `tolerance` of it (in
    /// the frame's unit); the first point is not repeated.
    pub fn flattened(&self, tolerance: f64) -> Vec<Point<F>> {
        let mut polygon = Vec::new();
        kurbo::flatten(self.path(), tolerance, |element| match element {
            PathEl::MoveTo(p) | PathEl::LineTo(p) => polygon.push(Point::from_kurbo(p)),
            _ => {}
        });
        // Where two cubics meet, flattening may give the joint twice, a last
        // bit apart; as an edge of its own that would cross its neighbours.
        polygon.dedup_by(|a, b| a.distance(*b) < ONE_PLACE);
        if polygon.len() > 1 && polygon[0].distance(polygon[polygon.len() - 1]) < ONE_PLACE {
            polygon.pop();
        }
        polygon
    }

    /// Evenly parametrised points on every segment, for drawing and checks:
    /// `each` per segment, closed by repeating nothing.
    pub fn sampled(&self, each: u32) -> Vec<Point<F>> {
        let steps = f64::from(each.max(1));
        self.segments
            .iter()
            .flat_map(|s| {
                let curve = s.curve();
                (0..each.max(1)).map(move |i| Point::from_kurbo(curve.eval(f64::from(i) / steps)))
            })
            .collect()
    }
}

impl Outline<Lateral> {
    /// The same outline with every point through a rigid motion.
    pub(crate) fn moved(&self, rule: impl Fn(Point<Lateral>) -> Point<Lateral>) -> Self {
        let moved = |s: &Segment<Lateral>| Segment {
            part: s.part,
            controls: s.controls.map(&rule),
        };
        Self::from_segments(self.segments.iter().map(moved).collect())
    }

    fn placed(&self, side: Side) -> Outline<Skin> {
        let placed = |s: &Segment<Lateral>| Segment {
            part: s.part,
            controls: s.controls.map(|p| side.place(p)),
        };
        Outline::from_segments(self.segments.iter().map(placed).collect())
    }
}

impl Outline<Skin> {
    /// This outline as the camera sees it.
    ///
    /// Each cubic is halved twice and every quarter refitted with the mapped
    /// ends and end directions; a quarter is at most a few mm long, which
    /// leaves less than 0.001 mm (checked in tests).
    pub fn seen(&self, wrap: &Wrap) -> Outline<Front> {
        let mut segments = Vec::with_capacity(self.segments.len() * 4);
        for segment in &self.segments {
            let curve = segment.curve();
            if matches!(wrap, Wrap::Flat) {
                let controls = segment.controls.map(|p| wrap.to_front(p));
                segments.push(Segment {
                    part: segment.part,
                    controls,
                });
                continue;
            }
            for quarter in 0..4 {
                let t = f64::from(quarter) * 0.25;
                segments.push(Segment::of(
                    segment.part,
                    seen_piece(curve.subsegment(t..t + 0.25), wrap),
                ));
            }
        }
        Outline::from_segments(segments)
    }
}

/// One short cubic through a wrap: ends and end derivatives carried over by
/// the wrap's own derivative (a central difference; the wrap is smooth).
fn seen_piece(curve: CubicBez, wrap: &Wrap) -> CubicBez {
    const STEP_MM: f64 = 1e-4;
    let front = |p: kurbo::Point| wrap.to_front(Point::<Skin>::from_kurbo(p)).to_kurbo();
    let carried = |p: kurbo::Point, v: kurbo::Vec2| {
        let length = v.hypot();
        if length == 0.0 {
            return v;
        }
        let step = v * (STEP_MM / length);
        (front(p + step) - front(p - step)) * (length / (2.0 * STEP_MM))
    };
    let (p0, p3) = (front(curve.p0), front(curve.p3));
    let out = carried(curve.p0, curve.p1 - curve.p0);
    let back = carried(curve.p3, curve.p2 - curve.p3);
    CubicBez::new(p0, p0 + out, p3 + back, p3)
}

/// A brow that has been drawn: the points asked for and the curve through
/// them. Only [`crate::draw`] makes one, so that the two always belong
/// together.
#[derive(Debug, Clone, PartialEq)]
pub struct Brow {
    pub(crate) points: BrowPoints,
    pub(crate) form: Form,
    pub(crate) outline: Outline<Lateral>,
}

impl Brow {
    /// The mapped points the outline passes through.
    pub fn points(&self) -> &BrowPoints {
        &self.points
    }

    /// What was wished of the curve beyond its points.
    pub fn form(&self) -> &Form {
        &self.form
    }

    /// The outline, side-neutral, on the skin.
    pub fn outline(&self) -> &Outline<Lateral> {
        &self.outline
    }

    /// The brow with a side's offset, still side-neutral. The turn is about
    /// the middle of the front edge, so that turning a brow leaves its start
    /// where it was.
    #[must_use]
    pub fn displaced(&self, offset: &Offset) -> Self {
        let about = self.points.at(crate::Handle::Start);
        let rule = |p| offset.apply(p, about);
        Self {
            points: self.points.mapped(rule),
            form: self.form.clone(),
            outline: self.outline.moved(rule),
        }
    }

    /// Another outline of this brow, such as the healed one, on one side of
    /// the face with that side's offset.
    pub fn placed_too(
        &self,
        outline: &Outline<Lateral>,
        side: Side,
        offset: &Offset,
    ) -> Outline<Skin> {
        let about = self.points.at(crate::Handle::Start);
        outline.moved(|p| offset.apply(p, about)).placed(side)
    }

    /// On one side of the face, with that side's offset.
    pub fn placed(&self, side: Side, offset: &Offset) -> Outline<Skin> {
        self.displaced(offset).outline.placed(side)
    }
}
