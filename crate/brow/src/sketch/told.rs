//! How far the outline lies from the strokes, where, and in words.

use ophryon_frames::{Lateral, Point};
use serde::Serialize;

use super::Sketched;
use super::find::{Found, POINTS, Told};
use super::nearest::Walk;
use crate::{Brow, Handle, Part};

/// Nearer than this an outline follows its sketch, mm: a liner's breadth.
const FOLLOWS_MM: f64 = 0.5;

/// Within so many of the strokes' own standard deviations it follows too, up
/// to what is no trembling any more, mm.
const FOLLOWS_SD: f64 = 3.0;
const TREMBLING_MM: f64 = 1.5;

/// How near an outline follows strokes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct FollowedTo {
    /// Largest distance from a stroke to the outline, mm.
    pub largest_mm: f64,
    /// Root mean square of the distances, mm.
    pub rms_mm: f64,
    /// Where the strokes lie farthest off.
    pub farthest: Point<Lateral>,
    /// The nearest place of the outline to that.
    pub nearest: Point<Lateral>,
    /// The part of the outline it lies on.
    pub part: Part,
}

impl FollowedTo {
    /// Measured on the finished outline, whatever made it.
    pub(super) fn measure(strokes: &[Point<Lateral>], brow: &Brow, found: &Found) -> Self {
        let walk = Walk::of(brow);
        let mut all = Self {
            largest_mm: 0.0,
            rms_mm: 0.0,
            farthest: brow.points().peak,
            nearest: brow.points().peak,
            part: Part::PeakRound,
        };
        let mut squares = 0.0;
        for p in strokes {
            let Some(foot) = walk.nearest(p.to_kurbo(), |_| true) else {
                continue;
            };
            squares += foot.off * foot.off;
            if foot.off > all.largest_mm {
                let on = kurbo::ParamCurve::eval(&walk.curves[foot.segment], foot.t);
                all.largest_mm = foot.off;
                all.farthest = *p;
                all.nearest = Point::from_kurbo(on);
                all.part = walk.parts[foot.segment];
            }
        }
        all.rms_mm = (squares / strokes.len().max(1) as f64).sqrt();
        // Where the outline runs on beyond its sketch, no stroke is near to tell.
        let ends = [
            (Handle::FrontTop, Part::FrontEdge),
            (Handle::FrontBottom, Part::FrontEdge),
            (Handle::Tail, Part::UpperTail),
        ];
        for (handle, part) in ends {
            let (end, drawn) = (brow.points().at(handle), found.points.at(handle));
            let off = end.distance(drawn);
            if found.told(handle) == Told::Drawn && off > follows_mm(found) && off > all.largest_mm
            {
                all.largest_mm = off;
                all.farthest = drawn;
                all.nearest = end;
                all.part = part;
            }
        }
        all
    }
}

impl Sketched {
    /// How well the sketch is followed, in one sentence.
    pub fn sentence(&self) -> String {
        let FollowedTo {
            largest_mm,
            rms_mm,
            part,
            ..
        } = self.followed;
        let most =
            format!("The sketch is followed to {largest_mm:.1} mm, usually to {rms_mm:.1} mm");
        match &self.why {
            Some(why) => format!(
                "{most}; farthest at the {}, because {}.",
                part.name(),
                why.words()
            ),
            None if largest_mm >= FOLLOWS_MM => format!(
                "{most}; farthest at the {}, where the strokes themselves spread by {:.1} mm.",
                part.name(),
                self.spread_mm
            ),
            None => format!("{most}."),
        }
    }

    /// What else is to be known: what was not used, and what stayed as it was.
    pub fn remarks(&self) -> Vec<String> {
        let mut all = Vec::new();
        let points = |n: usize| match n {
            1 => "One point".to_owned(),
            n => format!("{n} points"),
        };
        if self.left_out.not_numbers > 0 {
            all.push(format!(
                "{} left out: no numbers.",
                points(self.left_out.not_numbers)
            ));
        }
        if self.left_out.off_the_face > 0 {
            all.push(format!(
                "{} left out: off the face.",
                points(self.left_out.off_the_face)
            ));
        }
        if self.left_out.beyond_midline > 0 {
            all.push(format!(
                "{} left out: beyond the midline, on the other brow's side.",
                points(self.left_out.beyond_midline)
            ));
        }
        let kept: Vec<&str> = POINTS
            .into_iter()
            .filter(|h| !self.shown.contains(h))
            .map(Handle::name)
            .collect();
        if !kept.is_empty() {
            all.push(format!(
                "Not in the sketch, so kept as it was or nearly: {}.",
                kept.join(", ")
            ));
        }
        all
    }
}

/// How far off an outline still follows its sketch, mm.
pub(super) fn follows_mm(found: &Found) -> f64 {
    FOLLOWS_MM.max((FOLLOWS_SD * found.spread_mm()).min(TREMBLING_MM))
}
