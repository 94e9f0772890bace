//! The lines to draw over the photo, where they lie on the client's own side.

use ophryon_brow::Line;
use ophryon_frames::{Front, Photo as Px, Point, Side};
use serde::{Deserialize, Serialize};

use crate::Measured;

/// What a line over the face stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LineKind {
    /// The face's midline.
    Midline,
    /// The line through the pupils.
    PupilLine,
    /// The start rule's line.
    Start,
    /// The peak rule's line.
    Peak,
    /// The tail rule's line.
    Tail,
}

/// A line to draw over the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnLine {
    /// What it stands for.
    pub kind: LineKind,
    /// The side it belongs to; `None` for midline and pupil line.
    pub side: Option<Side>,
    /// Its ends as seen from the front, mm.
    pub front: [Point<Front>; 2],
    /// Its ends in the photo, px.
    pub photo: [Point<Px>; 2],
}

/// How far a drawn line reaches above the natural peak (or above where one
/// usually is), so that it is seen to cross the brow.
const LINE_ABOVE_PEAK_MM: f64 = 12.0;
/// Height of a peak above the pupils when none was tapped; only for drawing.
const USUAL_PEAK_MM: f64 = 25.0;
/// Furthest out that a line is drawn: past any tail seen from the front.
const LINE_OUT_MM: f64 = 72.0;
/// How far the midline is drawn below the pupils: past the nose.
const MIDLINE_DOWN_MM: f64 = 55.0;

impl Measured {
    /// Every line to draw over the photo: midline, pupil line, and per side
    /// those of start, peak and tail.
    pub fn drawn_lines(&self) -> Vec<DrawnLine> {
        let top = |side: Side| {
            let peak = self.natural.get(side).map_or(USUAL_PEAK_MM, |n| n.peak.y);
            peak + LINE_ABOVE_PEAK_MM
        };
        let highest = top(Side::Right).max(top(Side::Left));
        let line = |kind, side, front: [Point<Front>; 2]| DrawnLine {
            kind,
            side,
            front,
            photo: front.map(|p| self.levelled.survey.frame.to_photo(p)),
        };
        let mut all = vec![
            line(
                LineKind::Midline,
                None,
                [Point::new(0.0, highest), Point::new(0.0, -MIDLINE_DOWN_MM)],
            ),
            line(
                LineKind::PupilLine,
                None,
                [Point::new(-LINE_OUT_MM, 0.0), Point::new(LINE_OUT_MM, 0.0)],
            ),
        ];
        for (side, lines) in self.lines.iter() {
            for (kind, mapped) in [
                (LineKind::Start, lines.start),
                (LineKind::Peak, lines.peak),
                (LineKind::Tail, lines.tail),
            ] {
                let ends = across_brow(&mapped, top(side)).map(|p| side.front_as_left(p));
                all.push(line(kind, Some(side), ends));
            }
        }
        all
    }
}

/// From where a mapping line starts to where it has crossed the brow: up to
/// `top_mm`, or out to the end of what is seen.
fn across_brow(line: &Line, top_mm: f64) -> [Point<Front>; 2] {
    let run = line.through - line.from;
    let reach = |end: f64, from: f64, step: f64| {
        let t = (end - from) / step;
        if step > 0.0 { t } else { f64::INFINITY }
    };
    let t = reach(top_mm, line.from.y, run.y)
        .min(reach(LINE_OUT_MM, line.from.x, run.x))
        .max(1.0);
    let t = if t.is_finite() { t } else { 1.0 };
    [line.from, line.from + run * t]
}
