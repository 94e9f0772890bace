//! Where a brow is read before and after it has healed.

use ophryon_frames::{Lateral, Point, Vector};

use super::{Healing, Stage, Thickness};
use crate::inset::Moved;
use crate::measure::body_across;
use crate::{Brow, Front, Handle, Offset, Outline, SideMeasures};

/// The places where thickness is taken: fixed by the brow's points, so that
/// before and after are read in the same places.
pub(super) struct Gauge<'a> {
    pub brow: &'a Brow,
    start: Point<Lateral>,
    front: Vector<Lateral>,
    inward: Vector<Lateral>,
    /// How far behind the front edge its thickness is taken, mm: past the
    /// rounding of a soft front.
    behind_front: f64,
    body: Point<Lateral>,
    across: Vector<Lateral>,
}

impl<'a> Gauge<'a> {
    pub fn of(brow: &'a Brow) -> Self {
        let points = brow.points();
        let start = points.at(Handle::Start);
        let (body, across) = body_across(points);
        let front = points.front_top - points.front_bottom;
        let inward = Vector::new(front.y, -front.x);
        Self {
            brow,
            start,
            front,
            inward: inward.unit().unwrap_or(Vector::new(1.0, 0.0)),
            behind_front: match brow.form().front {
                Front::Square => 0.0,
                // A rounding ends within twice its radius and half the edge.
                Front::Soft { radius_mm } => (2.0 * radius_mm).min(0.5 * front.length()),
            },
            body,
            across,
        }
    }

    pub fn as_drawn(&self, brow: &Brow) -> Stage {
        let sizes = SideMeasures::of(brow, &Offset::default());
        let points = brow.points();
        Stage {
            start: self.start,
            peak: Some(points.peak),
            tip: Some(points.tail),
            outlines: vec![brow.outline().clone()],
            area_mm2: sizes.area_mm2,
            thickness: Thickness {
                start_mm: if self.behind_front > 0.0 {
                    let at = self.start + self.inward * self.behind_front;
                    self.front_of(std::slice::from_ref(brow.outline()), at, 0.0)
                } else {
                    sizes.thickness_start_mm
                },
                body_mm: self.body(std::slice::from_ref(brow.outline())),
                peak_mm: sizes.thickness_peak_mm,
                tail_mm: sizes.thickness_tail_mm,
            },
            reach_mm: reach(std::slice::from_ref(brow.outline())),
        }
    }

    /// Moved in by a distance, or out by a negative one.
    pub fn of_moved(&self, m: Moved<Lateral>, distance: f64) -> Stage {
        /// Just past the front edge, where its two corners still stand, mm.
        const PAST: f64 = 1e-6;
        let points = self.brow.points();
        // Drawn larger, the front's corners are round; its edge is measured
        // where it was, which is what the eye takes for it.
        let past = self.behind_front + distance.max(0.0) + PAST;
        let at_start = self.start + self.inward * past;
        let axis = points.tail - points.lower_arch;
        let tail = points.lower_arch + axis * 0.5;
        let peak = uppermost(&m.outlines, points.peak);
        Stage {
            start: self.start + self.inward * distance,
            peak: peak.map(|(above, _)| points.peak + Vector::new(0.0, above)),
            tip: if distance > 0.0 {
                tip(&m.outlines)
            } else {
                // An arc round the tip that was; farthest along the tail's axis.
                let out = axis.unit().unwrap_or(Vector::new(1.0, 0.0));
                Some(points.tail + out * -distance)
            },
            area_mm2: m.area,
            thickness: Thickness {
                start_mm: self.front_of(&m.outlines, at_start, (-distance).max(0.0)),
                body_mm: self.body(&m.outlines),
                peak_mm: peak.map_or(0.0, |(above, below)| above - below),
                tail_mm: widest(&m.outlines, tail, Vector::new(-axis.y, axis.x)),
            },
            reach_mm: reach(&m.outlines),
            outlines: m.outlines,
        }
    }

    /// Thickness of the front. Where the top line leans as the front edge does,
    /// the line along that edge runs on into the body; no more counts than
    /// the edge had, and what was added at its ends.
    fn front_of(&self, outlines: &[Outline<Lateral>], at: Point<Lateral>, added: f64) -> f64 {
        let reach = if self.behind_front > 0.0 {
            f64::INFINITY
        } else {
            0.5 * self.front.length() + added
        };
        nearest_part(outlines, at, self.front, reach)
    }

    pub fn body(&self, outlines: &[Outline<Lateral>]) -> f64 {
        nearest_part(outlines, self.body, self.across, f64::INFINITY)
    }

    pub fn healing(
        &self,
        drawn: Stage,
        healed: Stage,
        distance_mm: f64,
        within_mm: f64,
    ) -> Healing {
        Healing {
            tail_shorter_mm: drawn.reach_mm - healed.reach_mm,
            drawn,
            healed,
            distance_mm,
            within_mm,
        }
    }
}

fn reach(outlines: &[Outline<Lateral>]) -> f64 {
    let farthest = outlines.iter().map(|o| o.bounds().1.x);
    farthest.reduce(f64::max).unwrap_or(0.0)
}

/// Thickness on a line; 0 where nothing of it is left. Of a line that crosses
/// several parts, as on a steep brow, the part nearest `at` counts, within so
/// far of it on either side.
fn nearest_part(
    outlines: &[Outline<Lateral>],
    at: Point<Lateral>,
    along: Vector<Lateral>,
    reach: f64,
) -> f64 {
    let mut nearest = (f64::INFINITY, 0.0);
    for outline in outlines {
        for part in outline.crossings(at, along).chunks_exact(2) {
            let (low, high) = (part[0].max(-reach), part[1].min(reach));
            let off = (0.5 * (low + high)).abs();
            if off < nearest.0 && low < high {
                nearest = (off, high - low);
            }
        }
    }
    nearest.1
}

/// From the first to the last crossing of a line, on the outline that has most.
fn widest(outlines: &[Outline<Lateral>], at: Point<Lateral>, along: Vector<Lateral>) -> f64 {
    let one = |o: &Outline<Lateral>| {
        let hits = o.crossings(at, along);
        match (hits.first(), hits.last()) {
            (Some(low), Some(high)) => high - low,
            _ => 0.0,
        }
    };
    outlines.iter().map(one).fold(0.0, f64::max)
}

/// Where the upper edge runs into the lower one at the end of the tail: the
/// farthest, where the brow has fallen into pieces.
fn tip(outlines: &[Outline<Lateral>]) -> Option<Point<Lateral>> {
    let ends = outlines.iter().flat_map(|o| {
        let next = o.segments().iter().cycle().skip(1);
        let both = o.segments().iter().zip(next);
        let turns = both.filter(|(a, b)| a.part.is_upper() && b.part.is_lower());
        turns.map(|(a, _)| a.controls[3])
    });
    ends.reduce(|a, b| if b.x > a.x { b } else { a })
}

/// On the upright through the peak, the upper edge and the one below it, mm
/// above the peak.
fn uppermost(outlines: &[Outline<Lateral>], peak: Point<Lateral>) -> Option<(f64, f64)> {
    let up = Vector::new(0.0, 1.0);
    let mut hits: Vec<f64> = outlines
        .iter()
        .flat_map(|o| o.crossings(peak, up))
        .collect();
    hits.sort_by(f64::total_cmp);
    match hits[..] {
        [.., below, above] => Some((above, below)),
        _ => None,
    }
}
