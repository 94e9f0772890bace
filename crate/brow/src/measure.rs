//! The millimetres of a pair: what a ruler would read on each side, and how
//! the sides differ.

use ophryon_frames::{Lateral, Point, Side, Sided, Vector};
use serde::Serialize;

use crate::{Brow, BrowPoints, Handle, Offset, Outline};

/// One side as a ruler reads it. All in mm on the skin; distances from the
/// midline, heights above the pupil line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct SideMeasures {
    /// Start (middle of the front edge) to the midline.
    pub start_mm: f64,
    /// Height of the front top.
    pub front_top_height_mm: f64,
    /// Height of the front bottom.
    pub front_bottom_height_mm: f64,
    /// Peak to the midline.
    pub peak_mm: f64,
    /// Height of the peak.
    pub peak_height_mm: f64,
    /// Lower arch to the midline.
    pub lower_arch_mm: f64,
    /// Height of the lower arch.
    pub lower_arch_height_mm: f64,
    /// Tail to the midline.
    pub tail_mm: f64,
    /// Height of the tail.
    pub tail_height_mm: f64,
    /// Straight distance from start to tail.
    pub length_mm: f64,
    /// Thickness of the front edge.
    pub thickness_start_mm: f64,
    /// Thickness halfway from start to peak, across the brow.
    pub thickness_body_mm: f64,
    /// Thickness at the peak, from the peak to the lower edge below it.
    pub thickness_peak_mm: f64,
    /// Thickness of the tail halfway from lower arch to tip, across its axis.
    pub thickness_tail_mm: f64,
    /// Enclosed area, mm².
    pub area_mm2: f64,
}

/// One row of the table of differences.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Difference {
    /// What is measured, as an id: "peak-height".
    pub id: &'static str,
    /// What is measured, in words: "peak, height above the pupil line".
    pub name: &'static str,
    /// Client's right, mm.
    pub right_mm: f64,
    /// Client's left, mm.
    pub left_mm: f64,
    /// Right less left, mm.
    pub difference_mm: f64,
}

/// Halfway from the start to the middle of peak and lower arch, and the
/// direction across the body there: where its thickness is read.
pub(crate) fn body_across(points: &BrowPoints) -> (Point<Lateral>, Vector<Lateral>) {
    let start = points.at(Handle::Start);
    let arch = points.peak.midpoint(points.lower_arch);
    let along = arch - start;
    (start.midpoint(arch), Vector::new(-along.y, along.x))
}

impl SideMeasures {
    /// Measures a brow placed with its offset.
    pub fn of(brow: &Brow, offset: &Offset) -> Self {
        let on_face = brow.displaced(offset);
        let (points, outline) = (on_face.points(), on_face.outline());
        let (start, tail) = (points.at(Handle::Start), points.tail);
        let front = points.front_top - points.front_bottom;
        let (body, across_body) = body_across(points);
        let axis = tail - points.lower_arch;
        Self {
            start_mm: start.x,
            front_top_height_mm: points.front_top.y,
            front_bottom_height_mm: points.front_bottom.y,
            peak_mm: points.peak.x,
            peak_height_mm: points.peak.y,
            lower_arch_mm: points.lower_arch.x,
            lower_arch_height_mm: points.lower_arch.y,
            tail_mm: tail.x,
            tail_height_mm: tail.y,
            length_mm: start.distance(tail),
            thickness_start_mm: front.length(),
            thickness_body_mm: outline.across(body, across_body).unwrap_or(0.0),
            thickness_peak_mm: outline
                .across(points.peak, Vector::new(0.0, 1.0))
                .unwrap_or(0.0),
            thickness_tail_mm: tail_thickness(outline, points.lower_arch, axis, 0.5),
            area_mm2: outline.area(),
        }
    }

    /// Every linear measure with its id and name, in the order it is read.
    pub fn rows(&self) -> [(&'static str, &'static str, f64); 14] {
        [
            ("start", "start to midline", self.start_mm),
            (
                "front-top-height",
                "front top, above the pupil line",
                self.front_top_height_mm,
            ),
            (
                "front-bottom-height",
                "front bottom, above the pupil line",
                self.front_bottom_height_mm,
            ),
            ("peak", "peak to midline", self.peak_mm),
            (
                "peak-height",
                "peak, above the pupil line",
                self.peak_height_mm,
            ),
            ("lower-arch", "lower arch to midline", self.lower_arch_mm),
            (
                "lower-arch-height",
                "lower arch, above the pupil line",
                self.lower_arch_height_mm,
            ),
            ("tail", "tail to midline", self.tail_mm),
            (
                "tail-height",
                "tail, above the pupil line",
                self.tail_height_mm,
            ),
            ("length", "start to tail", self.length_mm),
            (
                "thickness-start",
                "thickness at the start",
                self.thickness_start_mm,
            ),
            (
                "thickness-body",
                "thickness of the body",
                self.thickness_body_mm,
            ),
            (
                "thickness-peak",
                "thickness at the peak",
                self.thickness_peak_mm,
            ),
            (
                "thickness-tail",
                "thickness of the tail",
                self.thickness_tail_mm,
            ),
        ]
    }
}

/// Across the tail at a share of the way along its axis. The lower edge bulges past the
/// axis, so the line is laid from the upper side of it.
pub(crate) fn tail_thickness(
    outline: &Outline<Lateral>,
    arch: Point<Lateral>,
    axis: Vector<Lateral>,
    share: f64,
) -> f64 {
    let up = Vector::new(-axis.y, axis.x);
    let hits = outline.crossings(arch + axis * share, up);
    match (hits.first(), hits.last()) {
        (Some(low), Some(high)) => high - low,
        _ => 0.0,
    }
}

/// The table of differences between the sides.
pub fn differences(sides: &Sided<SideMeasures>) -> Vec<Difference> {
    let (right, left) = (sides.get(Side::Right).rows(), sides.get(Side::Left).rows());
    right
        .into_iter()
        .zip(left)
        .map(|((id, name, right_mm), (_, _, left_mm))| Difference {
            id,
            name,
            right_mm,
            left_mm,
            difference_mm: right_mm - left_mm,
        })
        .collect()
}
