//! Where hair is looked for: round a brow, and not in the eye.

use ophryon_face::{Landmark, Landmarks, SidedLandmark};
use ophryon_frames::{Photo, Point, Side, Vector};

use crate::{Crop, Size};

/// How far beyond the tapped or mapped brow its hair can lie, mm: a millimetre
/// for the taps, and what an edge bulges between two of them. Ours; farther
/// out a gleam of the skin is likelier than hair that nobody tapped.
pub(super) const GROWTH_MM: f64 = 2.5;
/// How far beyond that skin is looked at to know its colour, mm.
const SKIN_MM: f64 = 6.5;
/// How far lashes and the fold of the lid reach above and below the line
/// between the eye's corners, and beside the corners, mm: from lid margins 5
/// mm above the pupil (usual) with lashes of some 4 mm before them.
const EYE_UP_MM: f64 = 9.5;
const EYE_DOWN_MM: f64 = 9.0;
const EYE_BESIDE_MM: f64 = 5.0;
/// Scales at which a brow can be made out, px per mm.
const SCALES: std::ops::RangeInclusive<f64> = 1.5..=60.0;
/// Sizes of a brow from end to end, mm.
const BROW_MM: std::ops::RangeInclusive<f64> = 12.0..=110.0;
/// Most places that say where a brow is.
const MOST_PLACES: usize = 400;

/// Where one brow's hair is looked for.
#[derive(Debug, Clone, PartialEq)]
pub struct HairSearch {
    /// Round the brow, in order.
    pub(super) brow: Vec<Point<Photo>>,
    eye: Option<Lids>,
    pub(super) px_per_mm: f64,
}

/// The eye's corners; up is away from the chin.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Lids {
    middle: Point<Photo>,
    /// Along the line of the corners, 1 px long.
    along: Vector<Photo>,
    up: Vector<Photo>,
    half: f64,
}

/// Why hair can't be looked for yet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SearchError {
    /// Landmarks that say where the brow is.
    #[error("tap {} first: hair is looked for around them", names(.missing))]
    Missing {
        /// In the order they are tapped.
        missing: Vec<Landmark>,
    },
    /// No photo of a face has this scale, or it is too coarse for hairs.
    #[error(
        "at {px_per_mm:.1} px per mm hair can't be made out; it takes 1.5 to 60 px per mm, so check the scale or take the photo from nearer"
    )]
    Scale {
        /// As given.
        px_per_mm: f64,
    },
    /// The places lie nowhere, in one place or a head apart.
    #[error("the places round the brow are no brow's; tap its start, peak and tail again")]
    NoBrow,
}

fn names(landmarks: &[Landmark]) -> String {
    let names: Vec<String> = landmarks
        .iter()
        .map(|l| format!("the {}", l.name()))
        .collect();
    names.join(", ")
}

impl HairSearch {
    /// Around a brow given as a closed line in order, of its landmarks or of
    /// the mapped shape, px; `eye` are the corners of the eye, so that lids
    /// and lashes are not taken for hair.
    ///
    /// # Errors
    /// [`SearchError::Scale`], [`SearchError::NoBrow`].
    pub fn new(
        brow: Vec<Point<Photo>>,
        eye: Option<[Point<Photo>; 2]>,
        px_per_mm: f64,
    ) -> Result<Self, SearchError> {
        if !SCALES.contains(&px_per_mm) {
            return Err(SearchError::Scale { px_per_mm });
        }
        // No photo has so many px on a side; f64 then keeps parts of a px.
        let sound = |p: &Point<Photo>| p.x.abs() < 1e6 && p.y.abs() < 1e6;
        let first = brow.first().filter(|_| brow.len() <= MOST_PLACES);
        let far = first.map(|a| brow.iter().map(|p| p.distance(*a)).fold(0.0, f64::max));
        let long = far.is_some_and(|px| BROW_MM.contains(&(px / px_per_mm)));
        if brow.len() < 3 || !long || !brow.iter().all(sound) {
            return Err(SearchError::NoBrow);
        }
        let n = brow.len() as f64;
        let sum = brow.iter().fold((0.0, 0.0), |s, p| (s.0 + p.x, s.1 + p.y));
        let middle = Point::new(sum.0 / n, sum.1 / n);
        let eye = eye.filter(|e| e.iter().all(sound)).and_then(|[a, b]| {
            let along = (b - a).unit()?;
            let lids = a.midpoint(b);
            let up = Vector::new(-along.y, along.x);
            Some(Lids {
                middle: lids,
                along,
                up: if up.dot(middle - lids) < 0.0 {
                    up * -1.0
                } else {
                    up
                },
                half: 0.5 * a.distance(b),
            })
        });
        Ok(Self {
            brow,
            eye,
            px_per_mm,
        })
    }

    /// Around the natural brow's landmarks of one side.
    ///
    /// # Errors
    /// [`SearchError`].
    pub fn of_landmarks(
        landmarks: &Landmarks,
        side: Side,
        px_per_mm: f64,
    ) -> Result<Self, SearchError> {
        use SidedLandmark as L;
        let at = |l: L| landmarks.get(Landmark::Sided(side, l));
        let wanted = [
            L::BrowStartBottom,
            L::BrowStartTop,
            L::BrowPeak,
            L::BrowTail,
        ];
        let missing: Vec<Landmark> = wanted
            .into_iter()
            .filter(|l| at(*l).is_none())
            .map(|l| Landmark::Sided(side, l))
            .collect();
        if !missing.is_empty() {
            return Err(SearchError::Missing { missing });
        }
        let round = wanted.into_iter().chain([L::BrowLowerArch]);
        let eye = at(L::InnerCorner).zip(at(L::OuterCorner));
        Self::new(
            round.filter_map(at).collect(),
            eye.map(|(a, b)| [a, b]),
            px_per_mm,
        )
    }

    /// px per mm.
    pub const fn px_per_mm(&self) -> f64 {
        self.px_per_mm
    }

    /// The piece of the photo that is needed. `None` when the brow lies
    /// outside of it.
    pub fn crop(&self, photo: Size) -> Option<Crop> {
        Crop::around(&self.brow, self.margin_px() + 1.0, photo)
    }

    pub(super) fn margin_px(&self) -> f64 {
        (GROWTH_MM + SKIN_MM) * self.px_per_mm
    }

    /// Lids, lashes and what lies below the eye.
    pub(super) fn is_eye(&self, p: Point<Photo>) -> bool {
        let Some(lids) = &self.eye else { return false };
        let k = self.px_per_mm;
        let (from, half) = (p - lids.middle, lids.half + EYE_BESIDE_MM * k);
        let (along, up) = (from.dot(lids.along) / half, from.dot(lids.up) / k);
        if up > 0.0 {
            let up = up / EYE_UP_MM;
            along * along + up * up < 1.0
        } else {
            along.abs() < 1.0 && up > -EYE_DOWN_MM
        }
    }
}
