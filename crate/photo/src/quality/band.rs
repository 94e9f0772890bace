//! Where brows and eyes are in the photo, by the pupils.

use ophryon_frames::{Photo, Point, Side, Sided, Vector};

use crate::{Crop, Size};

/// Brows and eyes of both sides, a little more than faces have, mm: from the
/// midline outward, and above the pupils (published: the upper brow edge lies
/// about 25 mm above the pupil, McKinney et al. 1991).
const BROW: Patch = Patch {
    lateral: [10.0, 62.0],
    height: [9.0, 33.0],
};
const EYE: Patch = Patch {
    lateral: [15.0, 47.0],
    height: [-8.0, 8.0],
};
const BOTH: Patch = Patch {
    lateral: [10.0, 62.0],
    height: [-9.0, 33.0],
};

/// A rectangle, side-neutral.
#[derive(Debug, Clone, Copy)]
struct Patch {
    lateral: [f64; 2],
    height: [f64; 2],
}

/// Pupils and scale: all that is needed to say where brows are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrowBand {
    middle: Point<Photo>,
    /// From the client's right pupil to the left one, 1 mm long.
    across: Vector<Photo>,
    px_per_mm: f64,
}

/// A part of the band.
#[derive(Debug, Clone, Copy)]
pub(super) enum Part {
    Brow,
    Eye,
    Both,
}

impl BrowBand {
    /// `None` for pupils in one place, for places that are none, and for a
    /// scale that no photo of a face has (0.2 to 60 px per mm).
    pub fn new(pupils: Sided<Point<Photo>>, px_per_mm: f64) -> Option<Self> {
        let across = (pupils.left - pupils.right).unit()?;
        let middle = pupils.right.midpoint(pupils.left);
        let sound = middle.is_finite() && (0.2..=60.0).contains(&px_per_mm);
        sound.then_some(Self {
            middle,
            across: across * px_per_mm,
            px_per_mm,
        })
    }

    /// px per mm.
    pub const fn px_per_mm(&self) -> f64 {
        self.px_per_mm
    }

    /// The piece of the photo to judge.
    pub fn crop(&self, photo: Size) -> Option<Crop> {
        let corners: Vec<Point<Photo>> = Side::BOTH
            .into_iter()
            .flat_map(|side| self.corners(side, Part::Both))
            .collect();
        Crop::around(&corners, 2.0, photo)
    }

    fn patch(part: Part) -> Patch {
        match part {
            Part::Brow => BROW,
            Part::Eye => EYE,
            Part::Both => BOTH,
        }
    }

    pub(super) fn corners(&self, side: Side, part: Part) -> [Point<Photo>; 4] {
        let patch = Self::patch(part);
        let [(l0, h0), (l1, h1)] = [0, 1].map(|i| (patch.lateral[i], patch.height[i]));
        [(l0, h0), (l1, h0), (l1, h1), (l0, h1)].map(|(l, h)| self.place(side, l, h))
    }

    fn place(&self, side: Side, lateral: f64, height: f64) -> Point<Photo> {
        let up = Vector::new(self.across.y, -self.across.x);
        self.middle + self.across * (side.sign() * lateral) + up * height
    }

    /// Whether a place belongs to a part.
    pub(super) fn holds(&self, side: Side, part: Part, p: Point<Photo>) -> bool {
        let from = p - self.middle;
        let k = self.px_per_mm * self.px_per_mm;
        let lateral = side.sign() * from.dot(self.across) / k;
        let height = from.dot(Vector::new(self.across.y, -self.across.x)) / k;
        let patch = Self::patch(part);
        (patch.lateral[0]..=patch.lateral[1]).contains(&lateral)
            && (patch.height[0]..=patch.height[1]).contains(&height)
    }
}
