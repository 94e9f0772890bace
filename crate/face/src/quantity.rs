//! The numbers an artist reads off a levelled face, each with its budget.

use ophryon_frames::{Front, Point, Side, Vector};

use crate::{BrowPlace, Budget, Influences, Landmark, SidedLandmark, Unit};

impl BrowPlace {
    /// The landmarks whose mean it is where the natural brows of one photo are
    /// compared: at the start, both ends of the front edge.
    pub const fn landmarks(self) -> &'static [SidedLandmark] {
        match self {
            Self::Start => &[SidedLandmark::BrowStartTop, SidedLandmark::BrowStartBottom],
            Self::Peak => &[SidedLandmark::BrowPeak],
            Self::Tail => &[SidedLandmark::BrowTail],
        }
    }

    /// Where it lies on one side.
    pub fn on(
        self,
        side: Side,
        at: &dyn Fn(Landmark) -> Option<Point<Front>>,
    ) -> Option<Point<Front>> {
        let all = self.landmarks();
        let share = 1.0 / all.len() as f64;
        let mut mean = Point::new(0.0, 0.0);
        for l in all {
            let p = at(Landmark::Sided(side, *l))?;
            mean = mean + Vector::new(p.x * share, p.y * share);
        }
        Some(mean)
    }
}

/// A number that is read off a levelled face, as seen from the front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Above the pupil line, mm; below is negative.
    Height(Landmark),
    /// From the midline outward, mm; a landmark of the middle toward the
    /// client's left.
    FromMidline(Landmark),
    /// Straight from one landmark to the other, mm.
    Between(Landmark, Landmark),
    /// The line from one landmark to the other against the level, degrees in
    /// (-180, 180], positive when it rises outward: on the client's right it
    /// is measured toward that side.
    Angle(Landmark, Landmark),
    /// Height of a place of one brow above the pupil line, mm.
    BrowHeight(Side, BrowPlace),
    /// Distance of a place of one brow from the midline, mm.
    BrowFromMidline(Side, BrowPlace),
    /// Right less left, mm: positive when the client's right brow is the
    /// higher one there.
    HeightDifference(BrowPlace),
    /// Right less left, mm: positive when the client's right brow is farther
    /// from the midline there.
    FromMidlineDifference(BrowPlace),
}

impl Quantity {
    /// What it is measured in.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Angle(..) => Unit::Degrees,
            _ => Unit::Mm,
        }
    }

    /// Its value from the places of the landmarks; `None` where one is
    /// missing.
    pub fn value(self, at: &dyn Fn(Landmark) -> Option<Point<Front>>) -> Option<f64> {
        let outward = |landmark: Landmark| match landmark {
            Landmark::Sided(side, _) => side.sign(),
            Landmark::Middle(_) => 1.0,
        };
        Some(match self {
            Self::Height(l) => at(l)?.y,
            Self::FromMidline(l) => outward(l) * at(l)?.x,
            Self::Between(a, b) => at(a)?.distance(at(b)?),
            Self::Angle(a, b) => {
                let along = at(b)? - at(a)?;
                libm::atan2(along.y, outward(a) * along.x).to_degrees()
            }
            Self::BrowHeight(side, place) => place.on(side, at)?.y,
            Self::BrowFromMidline(side, place) => side.sign() * place.on(side, at)?.x,
            Self::HeightDifference(place) => {
                place.on(Side::Right, at)?.y - place.on(Side::Left, at)?.y
            }
            Self::FromMidlineDifference(place) => {
                let out = |side: Side| Some(side.sign() * place.on(side, at)?.x);
                out(Side::Right)? - out(Side::Left)?
            }
        })
    }
}

impl Influences {
    /// The number with all that makes it uncertain; `None` where a landmark
    /// is missing.
    pub fn of_quantity(&self, quantity: Quantity) -> Option<Budget> {
        self.budget(quantity.unit(), |at| quantity.value(at))
    }
}
