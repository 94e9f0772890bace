//! The shape as it is before the sketch: what stays where nothing was drawn.

use kurbo::ParamCurve;
use ophryon_frames::{Lateral, Point};

use super::strokes::Place;
use crate::{Brow, Part};

/// Places of each cubic: about 0.4 mm apart.
const OF_EACH: u32 = 8;

/// Both edges of the present shape, from front to tip.
pub(super) struct Present<'a> {
    pub brow: &'a Brow,
    pub upper: Vec<Point<Lateral>>,
    pub lower: Vec<Point<Lateral>>,
}

impl<'a> Present<'a> {
    pub fn of(brow: &'a Brow) -> Self {
        let mut lower = edge(brow, Part::is_lower);
        lower.reverse();
        Self {
            brow,
            upper: edge(brow, Part::is_upper),
            lower,
        }
    }

    /// Whether what was drawn lies nearer to the upper edge than to the lower.
    pub fn nearer_is_upper<'p>(&self, places: impl Iterator<Item = &'p Place>) -> bool {
        let (mut upper, mut lower) = (0.0, 0.0);
        for place in places {
            upper += place.weight * distance(&self.upper, place.at);
            lower += place.weight * distance(&self.lower, place.at);
        }
        upper <= lower
    }
}

/// Every place of one edge, as the outline is walked.
pub(super) fn edge(brow: &Brow, wanted: fn(Part) -> bool) -> Vec<Point<Lateral>> {
    let segments = brow.outline().segments().iter();
    segments
        .filter(|s| wanted(s.part))
        .flat_map(|s| {
            let curve = s.curve();
            (0..=OF_EACH)
                .map(move |i| Point::from_kurbo(curve.eval(f64::from(i) / f64::from(OF_EACH))))
        })
        .collect()
}

fn distance(line: &[Point<Lateral>], p: Point<Lateral>) -> f64 {
    line.iter().map(|q| q.distance(p)).fold(f64::MAX, f64::min)
}
