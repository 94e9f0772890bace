//! Where an outline is nearest to a place.

use kurbo::{CubicBez, ParamCurve, Vec2};

use crate::{Brow, Part, Segment};

/// Chords of each cubic that the nearest place is looked for on, before it is
/// found on the curve itself.
const CHORDS: usize = 6;

/// An outline as chords, with the cubics they came from.
pub(super) struct Walk {
    pub curves: Vec<CubicBez>,
    pub parts: Vec<Part>,
    joints: Vec<[kurbo::Point; CHORDS + 1]>,
}

/// The nearest place of an outline.
pub(super) struct Foot {
    pub segment: usize,
    pub t: f64,
    /// From the outline to the place, mm; positive along `across`.
    pub off: f64,
    /// Unit length, square to the outline; beyond an end of it, to the place.
    pub across: Vec2,
}

impl Walk {
    pub fn of(brow: &Brow) -> Self {
        let segments = brow.outline().segments();
        let curves: Vec<CubicBez> = segments.iter().map(Segment::curve).collect();
        let joint = |c: &CubicBez| std::array::from_fn(|i| c.eval(i as f64 / CHORDS as f64));
        Self {
            joints: curves.iter().map(joint).collect(),
            parts: segments.iter().map(|s| s.part).collect(),
            curves,
        }
    }

    /// The nearest place on the parts that are wanted; `None` without any.
    pub fn nearest(&self, at: kurbo::Point, wanted: impl Fn(Part) -> bool) -> Option<Foot> {
        let mut best: Option<(f64, usize, f64)> = None;
        for (segment, joints) in self.joints.iter().enumerate() {
            if !wanted(self.parts[segment]) {
                continue;
            }
            for (i, pair) in joints.windows(2).enumerate() {
                let chord = pair[1] - pair[0];
                let square = chord.hypot2();
                let share = match square > 0.0 {
                    true => ((at - pair[0]).dot(chord) / square).clamp(0.0, 1.0),
                    false => 0.0,
                };
                let off = (at - (pair[0] + chord * share)).hypot2();
                if best.is_none_or(|(least, _, _)| off < least) {
                    best = Some((off, segment, (i as f64 + share) / CHORDS as f64));
                }
            }
        }
        let (_, segment, t) = best?;
        let curve = &self.curves[segment];
        let t = on_curve(curve, at, t);
        let (foot, run) = (curve.eval(t), tangent(curve, t));
        let gap = at - foot;
        let (off, length) = (gap.hypot(), run.hypot());
        let across = if off >= 1e-9 {
            gap / off
        } else if length > 0.0 {
            Vec2::new(-run.y, run.x) / length
        } else {
            Vec2::new(0.0, 1.0)
        };
        Some(Foot {
            segment,
            t,
            off,
            across,
        })
    }
}

fn tangent(c: &CubicBez, t: f64) -> Vec2 {
    let s = 1.0 - t;
    (c.p1 - c.p0) * (3.0 * s * s) + (c.p2 - c.p1) * (6.0 * s * t) + (c.p3 - c.p2) * (3.0 * t * t)
}

/// A few steps toward where the line to `at` stands on the curve.
fn on_curve(curve: &CubicBez, at: kurbo::Point, mut t: f64) -> f64 {
    for _ in 0..3 {
        let run = tangent(curve, t);
        let square = run.hypot2();
        if square <= 0.0 {
            break;
        }
        t = (t + (at - curve.eval(t)).dot(run) / square).clamp(0.0, 1.0);
    }
    t
}
