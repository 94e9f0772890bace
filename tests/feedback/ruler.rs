//! What a ruler reads on a brow as it lies on the face: from the control points
//! of its outline alone, own code.

use ophryon_brow::{BrowPoints, Offset, Outline};
use ophryon_frames::{Lateral, Point};

use crate::sampler::places;

/// Lengths on one side, mm.
#[derive(Debug, Clone, Copy)]
pub struct Ruler {
    pub body_thickness: f64,
    pub rise: f64,
    pub peak_height: f64,
    pub start_height: f64,
    pub start_to_midline: f64,
    pub length: f64,
    pub tail_height: f64,
}

/// Turned about the start and shifted, as an offset is defined.
fn laid(p: (f64, f64), about: (f64, f64), offset: &Offset) -> (f64, f64) {
    let (sin, cos) = libm::sincos(offset.turn_degrees.to_radians());
    let (x, y) = (p.0 - about.0, p.1 - about.1);
    (
        about.0 + cos * x - sin * y + offset.lateral_mm,
        about.1 + sin * x + cos * y + offset.height_mm,
    )
}

pub fn read(outline: &Outline<Lateral>, points: &BrowPoints, offset: &Offset) -> Ruler {
    let about = (
        0.5 * (points.front_top.x + points.front_bottom.x),
        0.5 * (points.front_top.y + points.front_bottom.y),
    );
    let on_face = |p: Point<Lateral>| laid((p.x, p.y), about, offset);
    let line: Vec<(f64, f64)> = places(outline)
        .iter()
        .map(|p| laid((p.x, p.y), about, offset))
        .collect();
    let tip = on_face(points.tail);
    let arch = on_face(points.lower_arch);
    let peak = on_face(points.peak);
    let start = laid(about, about, offset);
    let apart = |a: (f64, f64), b: (f64, f64)| ((a.0 - b.0).powi(2) + (a.1 - b.1).powi(2)).sqrt();
    let between = ((peak.0 + arch.0) / 2.0, (peak.1 + arch.1) / 2.0);
    let middle = ((start.0 + between.0) / 2.0, (start.1 + between.1) / 2.0);
    Ruler {
        body_thickness: across(&line, middle, (between.0 - start.0, between.1 - start.1)),
        rise: peak.1 - on_face(points.front_top).1,
        peak_height: peak.1,
        start_height: start.1,
        start_to_midline: start.0,
        length: apart(start, tip),
        tail_height: tip.1,
    }
}

/// Length inside a closed line of the upright to `along` through a place.
pub fn across(line: &[(f64, f64)], at: (f64, f64), along: (f64, f64)) -> f64 {
    let long = (along.0 * along.0 + along.1 * along.1).sqrt();
    let (ax, ay) = (along.0 / long, along.1 / long);
    let mut hits = Vec::new();
    for (p, q) in line.iter().zip(line.iter().cycle().skip(1)) {
        let u = (p.0 - at.0) * ax + (p.1 - at.1) * ay;
        let v = (q.0 - at.0) * ax + (q.1 - at.1) * ay;
        if (u < 0.0) != (v < 0.0) {
            let t = u / (u - v);
            let (x, y) = (p.0 + t * (q.0 - p.0), p.1 + t * (q.1 - p.1));
            hits.push((y - at.1) * ax - (x - at.0) * ay);
        }
    }
    let low = hits.iter().copied().fold(f64::INFINITY, f64::min);
    hits.iter().copied().fold(f64::NEG_INFINITY, f64::max) - low
}
