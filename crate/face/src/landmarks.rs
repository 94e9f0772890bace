//! The taps in one photo, and what is wrong with them.

use std::collections::BTreeMap;

use ophryon_frames::{Photo, Point, Side, Vector};
use serde::{Deserialize, Serialize};

use crate::{Landmark, MiddleLandmark, SidedLandmark};

/// Two landmarks nearer than this are one tap: half a pixel, far below the
/// thinnest brow in a usable photo.
const SAME_SPOT_PX: f64 = 0.5;

/// What was tapped in one photo. Every landmark may still be missing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Landmarks {
    /// On the client's right.
    pub right: BTreeMap<SidedLandmark, Point<Photo>>,
    /// On the client's left.
    pub left: BTreeMap<SidedLandmark, Point<Photo>>,
    /// On the middle of the face.
    pub middle: BTreeMap<MiddleLandmark, Point<Photo>>,
}

/// What is wrong with a tap, and the way out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LandmarkError {
    /// A coordinate is NaN or infinite.
    #[error("the {landmark} has no place in the photo (not a number); tap it again")]
    NotFinite {
        /// Which one.
        landmark: Landmark,
    },
    /// Outside the picture.
    #[error(
        "the {landmark} lies outside the photo of {width_px} x {height_px} px; tap it again inside"
    )]
    OutsidePhoto {
        /// Which one.
        landmark: Landmark,
        /// Width of the photo.
        width_px: u32,
        /// Height of the photo.
        height_px: u32,
    },
    /// Two landmarks in one place.
    #[error("the {first} and the {second} lie on the same spot; tap one of them again")]
    SameSpot {
        /// The earlier in asking order.
        first: Landmark,
        /// The later.
        second: Landmark,
    },
    /// One pair is exchanged.
    #[error(
        "the {right} and the {left} are exchanged: the client's right is on the photo's left; swap the two"
    )]
    SidesSwapped {
        /// The one stored for the client's right.
        right: Landmark,
        /// Its partner.
        left: Landmark,
    },
    /// Every pair is exchanged.
    #[error(
        "all landmarks have right and left exchanged, beginning with the {landmark}: either the photo is mirrored (turn mirroring off or flip it) or the sides were confused (swap them)"
    )]
    Mirrored {
        /// The first one.
        landmark: Landmark,
    },
    /// The nose lies above the eyes.
    #[error(
        "the {landmark} lies above the pupils: turn the photo the right way up, or tap the wings of the nose again"
    )]
    UpsideDown {
        /// A nose wing.
        landmark: Landmark,
    },
    /// The nose lies beside the eyes.
    #[error(
        "the {landmark} lies beside the pupils instead of below: turn the photo upright, or tap the wings of the nose again"
    )]
    OnItsSide {
        /// A nose wing.
        landmark: Landmark,
    },
    /// Two landmarks of one side stand in the wrong order.
    #[error("the {landmark} should lie {should} the {other}; tap both again")]
    OutOfOrder {
        /// The one that is out of place.
        landmark: Landmark,
        /// The one it is compared with.
        other: Landmark,
        /// "farther from the nose than" or "above".
        should: &'static str,
    },
}

const FARTHER: &str = "farther from the nose than";
const ABOVE: &str = "above";

/// Of each pair, the second lies farther from the middle of the face.
const OUTWARD: [(SidedLandmark, SidedLandmark); 6] = [
    (SidedLandmark::InnerCorner, SidedLandmark::Pupil),
    (SidedLandmark::Pupil, SidedLandmark::OuterCorner),
    (SidedLandmark::Pupil, SidedLandmark::IrisOuterRim),
    (SidedLandmark::BrowStartTop, SidedLandmark::BrowPeak),
    (SidedLandmark::BrowPeak, SidedLandmark::BrowTail),
    (SidedLandmark::BrowStartBottom, SidedLandmark::BrowTail),
];

/// Of each pair, the second lies higher.
const UPWARD: [(SidedLandmark, SidedLandmark); 4] = [
    (SidedLandmark::LowerLid, SidedLandmark::Pupil),
    (SidedLandmark::Pupil, SidedLandmark::BrowPeak),
    (SidedLandmark::BrowStartBottom, SidedLandmark::BrowStartTop),
    (SidedLandmark::BrowLowerArch, SidedLandmark::BrowPeak),
];

const UPWARD_MIDDLE: [(MiddleLandmark, MiddleLandmark); 2] = [
    (MiddleLandmark::Chin, MiddleLandmark::NoseBase),
    (MiddleLandmark::NoseBase, MiddleLandmark::Bridge),
];

impl Landmarks {
    /// The taps of one side.
    pub fn side(&self, side: Side) -> &BTreeMap<SidedLandmark, Point<Photo>> {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }

    fn side_mut(&mut self, side: Side) -> &mut BTreeMap<SidedLandmark, Point<Photo>> {
        match side {
            Side::Right => &mut self.right,
            Side::Left => &mut self.left,
        }
    }

    /// Where it was tapped, if it was.
    pub fn get(&self, landmark: Landmark) -> Option<Point<Photo>> {
        match landmark {
            Landmark::Sided(side, l) => self.side(side).get(&l).copied(),
            Landmark::Middle(l) => self.middle.get(&l).copied(),
        }
    }

    /// Puts it there; the place it had before is returned.
    pub fn set(&mut self, landmark: Landmark, at: Point<Photo>) -> Option<Point<Photo>> {
        match landmark {
            Landmark::Sided(side, l) => self.side_mut(side).insert(l, at),
            Landmark::Middle(l) => self.middle.insert(l, at),
        }
    }

    /// Takes it away; the place it had is returned.
    pub fn remove(&mut self, landmark: Landmark) -> Option<Point<Photo>> {
        match landmark {
            Landmark::Sided(side, l) => self.side_mut(side).remove(&l),
            Landmark::Middle(l) => self.middle.remove(&l),
        }
    }

    /// All that were tapped, in the order of asking.
    pub fn iter(&self) -> impl Iterator<Item = (Landmark, Point<Photo>)> + '_ {
        Landmark::in_order()
            .into_iter()
            .filter_map(|l| Some((l, self.get(l)?)))
    }

    /// The next landmark to ask for among those the caller wants.
    pub fn next_missing(&self, mut wanted: impl FnMut(Landmark) -> bool) -> Option<Landmark> {
        Landmark::in_order()
            .into_iter()
            .find(|&l| wanted(l) && self.get(l).is_none())
    }

    /// Everything wrong with the taps in a photo of that size, in the order
    /// of asking; empty when nothing is. Missing landmarks are not wrong:
    /// whoever needs one says so.
    pub fn check(&self, width_px: u32, height_px: u32) -> Vec<LandmarkError> {
        let mut errors = Vec::new();
        let (width, height) = (f64::from(width_px), f64::from(height_px));
        let mut sound: Vec<(Landmark, Point<Photo>)> = Vec::new();
        for (landmark, p) in self.iter() {
            if !p.is_finite() {
                errors.push(LandmarkError::NotFinite { landmark });
                continue;
            }
            if !(0.0..=width).contains(&p.x) || !(0.0..=height).contains(&p.y) {
                errors.push(LandmarkError::OutsidePhoto {
                    landmark,
                    width_px,
                    height_px,
                });
            }
            if let Some(&(first, _)) = sound.iter().find(|(_, q)| q.distance(p) < SAME_SPOT_PX) {
                errors.push(LandmarkError::SameSpot {
                    first,
                    second: landmark,
                });
            }
            sound.push((landmark, p));
        }
        self.check_sense(&mut errors);
        errors
    }

    /// A tap that is a number.
    fn finite(&self, landmark: Landmark) -> Option<Point<Photo>> {
        self.get(landmark).filter(|p| p.is_finite())
    }

    fn pair(&self, l: SidedLandmark) -> Option<(Point<Photo>, Point<Photo>)> {
        Some((
            self.finite(Landmark::Sided(Side::Right, l))?,
            self.finite(Landmark::Sided(Side::Left, l))?,
        ))
    }

    /// From the pupils' middle to the nose wings' middle.
    fn down(&self) -> Option<Vector<Photo>> {
        let (pr, pl) = self.pair(SidedLandmark::Pupil)?;
        let (nr, nl) = self.pair(SidedLandmark::NoseWing)?;
        (nr.midpoint(nl) - pr.midpoint(pl)).unit()
    }

    /// Turned photos, exchanged sides, exchanged landmarks.
    fn check_sense(&self, errors: &mut Vec<LandmarkError>) {
        // Before the eyes and nose are there, the photo is taken as upright.
        let down = self.down().unwrap_or(Vector::new(0.0, 1.0));
        let wing = Landmark::Sided(Side::Right, SidedLandmark::NoseWing);
        if down.y.abs() < down.x.abs() {
            errors.push(LandmarkError::OnItsSide { landmark: wing });
            return;
        }
        if down.y < 0.0 {
            errors.push(LandmarkError::UpsideDown { landmark: wing });
            return;
        }
        let mut to_left = Vector::<Photo>::new(down.y, -down.x);

        let pairs: Vec<(SidedLandmark, bool)> = SidedLandmark::ALL
            .into_iter()
            .filter_map(|l| {
                let (right, left) = self.pair(l)?;
                Some((l, (left - right).dot(to_left) < 0.0))
            })
            .collect();
        let swapped: Vec<SidedLandmark> = pairs.iter().filter(|p| p.1).map(|p| p.0).collect();
        let mirrored = pairs.len() >= 2 && swapped.len() == pairs.len();
        if mirrored {
            let first = Landmark::in_order()
                .into_iter()
                .find(|l| self.finite(*l).is_some() && self.finite(l.partner()).is_some());
            if let Some(landmark) = first {
                errors.push(LandmarkError::Mirrored { landmark });
            }
            to_left = -to_left;
        } else {
            errors.extend(swapped.iter().map(|&l| LandmarkError::SidesSwapped {
                right: Landmark::Sided(Side::Right, l),
                left: Landmark::Sided(Side::Left, l),
            }));
        }

        let mut order = |lower: Landmark, upper: Landmark, along: Vector<Photo>, should| {
            if let (Some(a), Some(b)) = (self.finite(lower), self.finite(upper))
                && (b - a).dot(along) < 0.0
            {
                errors.push(LandmarkError::OutOfOrder {
                    landmark: upper,
                    other: lower,
                    should,
                });
            }
        };
        for side in Side::BOTH {
            for (near, far) in OUTWARD {
                // Said already, and better, as exchanged sides.
                if mirrored || !(swapped.contains(&near) || swapped.contains(&far)) {
                    order(
                        Landmark::Sided(side, near),
                        Landmark::Sided(side, far),
                        to_left * side.sign(),
                        FARTHER,
                    );
                }
            }
            for (low, high) in UPWARD {
                order(
                    Landmark::Sided(side, low),
                    Landmark::Sided(side, high),
                    -down,
                    ABOVE,
                );
            }
        }
        for (low, high) in UPWARD_MIDDLE {
            order(Landmark::Middle(low), Landmark::Middle(high), -down, ABOVE);
        }
    }
}
