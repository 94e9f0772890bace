//! The natural hair as a region, and how the outline sits on it.

use ophryon_frames::{Lateral, Point};
use serde::Serialize;

use crate::Outline;
use crate::overlap::{common_area, wound_area};

/// Largest gap between the outline and the polygon it becomes, mm: at most
/// 0.2 % of a brow's area.
const FLATTENED_MM: f64 = 0.005;

/// No head reaches so far from its midline, mm; false for NaN too.
const OFF_HEAD_MM: f64 = 1000.0;

/// The natural hair's border as a closed polygon, side-neutral on the skin, mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(transparent)]
pub struct HairRegion {
    border: Vec<Point<Lateral>>,
}

/// How an outline sits on the hair. Areas in mm².
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HairFit {
    /// Hair inside the outline.
    pub inside_mm2: f64,
    /// Hair outside the outline, to be cleaned.
    pub outside_mm2: f64,
    /// Skin inside the outline that has no hair.
    pub bare_mm2: f64,
    /// Largest step of the outline beyond the hair border, mm.
    pub largest_step_mm: f64,
}

/// A place of the outline beyond the hair, and the nearest hair to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HairStep {
    /// On the outline.
    pub outline: Point<Lateral>,
    /// On the hair's border.
    pub hair: Point<Lateral>,
}

impl HairStep {
    /// How far they lie apart, mm.
    pub fn mm(&self) -> f64 {
        self.outline.distance(self.hair)
    }
}

impl HairFit {
    /// Share of the hair inside the outline, 0 to 1; `None` without hair.
    pub fn share_inside(&self) -> Option<f64> {
        let all = self.inside_mm2 + self.outside_mm2;
        (all > 0.0).then(|| self.inside_mm2 / all)
    }
}

impl HairRegion {
    /// A region from its border points in order; `None` with fewer than three
    /// or with one that is nowhere on a head.
    pub fn new(border: Vec<Point<Lateral>>) -> Option<Self> {
        let on_a_head = |p: &Point<Lateral>| p.x.abs() < OFF_HEAD_MM && p.y.abs() < OFF_HEAD_MM;
        (border.len() >= 3 && border.iter().all(on_a_head)).then_some(Self { border })
    }

    /// The border points.
    pub fn border(&self) -> &[Point<Lateral>] {
        &self.border
    }

    /// Areas and the largest step, for an outline in the same place.
    ///
    /// A border that crosses itself counts where it winds around.
    pub fn fit(&self, outline: &Outline<Lateral>) -> HairFit {
        let drawn = outline.flattened(FLATTENED_MM);
        let inside_mm2 = common_area(&drawn, &self.border);
        let hair_mm2 = wound_area(&self.border);
        let farthest = self.largest_of(&drawn).map_or(0.0, |step| step.mm());
        HairFit {
            inside_mm2,
            outside_mm2: (hair_mm2 - inside_mm2).max(0.0),
            bare_mm2: (outline.area() - inside_mm2).max(0.0),
            largest_step_mm: farthest,
        }
    }

    /// Where an outline in the same place steps farthest beyond the hair;
    /// `None` for one that lies within it.
    pub fn largest_step(&self, outline: &Outline<Lateral>) -> Option<HairStep> {
        self.largest_of(&outline.flattened(FLATTENED_MM))
    }

    fn largest_of(&self, drawn: &[Point<Lateral>]) -> Option<HairStep> {
        let steps = drawn.iter().filter_map(|p| self.step_beyond(*p));
        steps.max_by(|a, b| a.mm().total_cmp(&b.mm()))
    }

    /// From a place outside the border to its nearest; `None` inside.
    fn step_beyond(&self, p: Point<Lateral>) -> Option<HairStep> {
        let edges = || self.border.iter().zip(self.border.iter().cycle().skip(1));
        let winding: i32 = edges()
            .map(|(a, b)| match (a.y <= p.y, b.y <= p.y) {
                (true, false) if (*b - *a).cross(p - *a) > 0.0 => 1,
                (false, true) if (*b - *a).cross(p - *a) < 0.0 => -1,
                _ => 0,
            })
            .sum();
        if winding != 0 {
            return None;
        }
        let steps = edges().map(|(a, b)| HairStep {
            outline: p,
            hair: on_stretch(p, *a, *b),
        });
        steps.min_by(|a, b| a.mm().total_cmp(&b.mm()))
    }
}

/// The nearest place of a stretch.
fn on_stretch(p: Point<Lateral>, a: Point<Lateral>, b: Point<Lateral>) -> Point<Lateral> {
    let run = b - a;
    let square = run.dot(run);
    let t = if square > 0.0 {
        ((p - a).dot(run) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    a + run * t
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::points::tests::plain;
    use crate::{Form, Limits, draw};

    fn drawn() -> Outline<Lateral> {
        draw(&plain(), &Form::default(), &Limits::default())
            .unwrap()
            .outline()
            .clone()
    }

    #[test]
    fn hair_that_is_the_outline_is_all_inside() {
        let outline = drawn();
        let fit = HairRegion::new(outline.flattened(FLATTENED_MM))
            .unwrap()
            .fit(&outline);
        assert!((fit.share_inside().unwrap() - 1.0).abs() < 1e-6, "{fit:?}");
        assert!(
            fit.bare_mm2 < 0.002 * outline.area() && fit.largest_step_mm < 1e-6,
            "{fit:?}"
        );
    }

    #[test]
    fn hair_two_millimetres_lower_leaves_a_step_of_two_on_top() {
        let outline = drawn();
        let lower: Vec<_> = outline
            .flattened(FLATTENED_MM)
            .into_iter()
            .map(|p| Point::new(p.x, p.y - 2.0))
            .collect();
        let region = HairRegion::new(lower).unwrap();
        let fit = region.fit(&outline);
        assert!((fit.largest_step_mm - 2.0).abs() < 0.05, "{fit:?}");
        let step = region.largest_step(&outline).unwrap();
        assert!((step.mm() - fit.largest_step_mm).abs() < 1e-12);
        assert!((step.outline - step.hair).y > 1.9, "{step:?}");
        assert!(
            (fit.outside_mm2 - fit.bare_mm2).abs() < 0.002 * outline.area(),
            "equal shapes: {fit:?}"
        );
        assert!(fit.outside_mm2 > 0.15 * outline.area());
    }

    #[test]
    fn a_square_hair_patch_in_closed_form() {
        // Wholly inside the body: 4 mm², none outside.
        let at = [(24.0, 21.0), (26.0, 21.0), (26.0, 23.0), (24.0, 23.0)];
        let border = at.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        let outline = drawn();
        let fit = HairRegion::new(border).unwrap().fit(&outline);
        assert!(
            (fit.inside_mm2 - 4.0).abs() < 1e-6 && fit.outside_mm2 < 1e-9,
            "{fit:?}"
        );
    }
}
