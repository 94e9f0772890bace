//! The natural hair as a region, and how the outline sits on it.

use ophryon_frames::{Lateral, Point, simplified};
use serde::{Serialize, Serializer};

use crate::overlap::{common_area, wound_area};
use crate::{BrowPoints, Form, Guide, GuideSource, Outline};

/// Largest gap between the outline and the polygon it becomes, mm: at most
/// 0.2 % of a brow's area.
const FLATTENED_MM: f64 = 0.005;

/// No head reaches so far from its midline, mm; false for NaN too.
const OFF_HEAD_MM: f64 = 1000.0;

/// The natural hair's border as a closed polygon, side-neutral on the skin, mm.
///
/// Hair that grows in pieces, or leaves a patch bare, has its pieces joined by
/// lines that go there and back on the same places: they bound nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct HairRegion {
    border: Vec<Point<Lateral>>,
    /// Where it winds at all, mm²; asked for at every step of a drag.
    area_mm2: f64,
}

impl Serialize for HairRegion {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.border.serialize(serializer)
    }
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
        (border.len() >= 3 && border.iter().all(on_a_head)).then(|| Self {
            area_mm2: wound_area(&border),
            border,
        })
    }

    /// The border points.
    pub fn border(&self) -> &[Point<Lateral>] {
        &self.border
    }

    /// Its area, mm². A border that crosses itself counts where it winds
    /// around.
    pub const fn area_mm2(&self) -> f64 {
        self.area_mm2
    }

    /// The same border with no more points than keep it within a tolerance
    /// (mm): a finger's trace has ten where one would do.
    #[must_use]
    pub fn simplified(&self, tolerance: f64) -> Self {
        Self::new(simplified(&self.border, tolerance)).unwrap_or_else(|| self.clone())
    }

    /// The region with every point through a rigid motion.
    #[must_use]
    pub fn moved(&self, rule: impl Fn(Point<Lateral>) -> Point<Lateral>) -> Self {
        Self {
            border: self.border.iter().map(|p| rule(*p)).collect(),
            area_mm2: self.area_mm2,
        }
    }

    /// Areas and the largest step, for an outline in the same place.
    ///
    /// A border that crosses itself counts where it winds around.
    pub fn fit(&self, outline: &Outline<Lateral>) -> HairFit {
        let drawn = outline.flattened(FLATTENED_MM);
        let inside_mm2 = common_area(&drawn, &self.border);
        let farthest = self.largest_of(&drawn).map_or(0.0, |step| step.mm());
        HairFit {
            inside_mm2,
            outside_mm2: (self.area_mm2 - inside_mm2).max(0.0),
            bare_mm2: (outline.area() - inside_mm2).max(0.0),
            largest_step_mm: farthest,
        }
    }

    /// Where an outline in the same place steps farthest beyond the hair;
    /// `None` for one that lies within it.
    pub fn largest_step(&self, outline: &Outline<Lateral>) -> Option<HairStep> {
        self.largest_of(&outline.flattened(FLATTENED_MM))
    }

    /// From one place to the next a step grows by no more than the way
    /// between them, so most need not be looked at.
    fn largest_of(&self, drawn: &[Point<Lateral>]) -> Option<HairStep> {
        let (mut farthest, mut found) = (0.0, None);
        let (mut at_most, mut last) = (f64::INFINITY, None);
        for p in closely(drawn) {
            at_most += last.map_or(0.0, |q| p.distance(q));
            last = Some(p);
            if at_most <= farthest {
                continue;
            }
            let step = self.step_beyond(p);
            at_most = step.map_or(0.0, |s| s.mm());
            if at_most > farthest {
                (farthest, found) = (at_most, step);
            }
        }
        found
    }

    /// Lowest and highest place of the border on the upright through a
    /// distance from the midline; `None` where it doesn't reach.
    pub fn reach(&self, lateral: f64) -> Option<(f64, f64)> {
        self.edges().fold(None, |found, (a, b)| {
            if (a.x <= lateral) == (b.x <= lateral) {
                return found;
            }
            let y = a.y + (b.y - a.y) * ((lateral - a.x) / (b.x - a.x));
            let (low, high) = found.unwrap_or((y, y));
            Some((f64::min(low, y), f64::max(high, y)))
        })
    }

    fn edges(&self) -> impl Iterator<Item = (&Point<Lateral>, &Point<Lateral>)> {
        let next = self.border.iter().skip(1).chain(self.border.first());
        self.border.iter().zip(next)
    }

    /// From a place outside the border to its nearest; `None` inside.
    fn step_beyond(&self, p: Point<Lateral>) -> Option<HairStep> {
        let winding: i32 = self
            .edges()
            .map(|(a, b)| match (a.y <= p.y, b.y <= p.y) {
                (true, false) if (*b - *a).cross(p - *a) > 0.0 => 1,
                (false, true) if (*b - *a).cross(p - *a) < 0.0 => -1,
                _ => 0,
            })
            .sum();
        if winding != 0 {
            return None;
        }
        let (mut nearest, mut hair) = (f64::INFINITY, p);
        for (a, b) in self.edges() {
            let at = p.nearest_on(*a, *b);
            let square = (at - p).dot(at - p);
            if square < nearest {
                (nearest, hair) = (square, at);
            }
        }
        Some(HairStep { outline: p, hair })
    }
}

/// A form that stays close to the border of the hair, above and below, where
/// the points leave freedom; `None` where the hair lies nowhere along the
/// brow. A guide that was there gives way.
pub fn hugging(points: &BrowPoints, form: &Form, hair: &HairRegion) -> Option<Form> {
    let front = points.front_top.x.min(points.front_bottom.x);
    let steps = ((points.tail.x - front) / HUG_MM).clamp(0.0, 400.0) as u32;
    let (mut upper, mut lower) = (Vec::new(), Vec::new());
    for i in 0..=steps {
        let x = front + f64::from(i) * HUG_MM;
        if let Some((low, high)) = hair.reach(x) {
            upper.push(Point::new(x, high));
            lower.push(Point::new(x, low));
        }
    }
    let guide = Guide::from_lines(points, &upper, &lower, GuideSource::Hair)?;
    Some(Form {
        guide: Some(guide),
        ..form.clone()
    })
}

/// Steps in which the border is followed, mm: hairs stand as far apart.
const HUG_MM: f64 = 0.5;

/// Places of a closed line at most so far apart, mm: a step between two of
/// them is then larger by half of it at most, and mostly by far less.
const PLACES_MM: f64 = 0.25;

/// A closed line's corners and places between them.
fn closely(line: &[Point<Lateral>]) -> impl Iterator<Item = Point<Lateral>> {
    let next = line.iter().skip(1).chain(line.first());
    line.iter().zip(next).flat_map(|(a, b)| {
        let parts = (a.distance(*b) / PLACES_MM).ceil().clamp(1.0, 1000.0);
        (0..parts as u32).map(move |i| a.lerp(*b, f64::from(i) / parts))
    })
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
