//! The landmarks in millimetres, as seen from the front.

use std::collections::BTreeMap;

use ophryon_frames::{Front, Photo, Point, Side};

use crate::{FaceFrame, Landmark, Landmarks, MiddleLandmark, SidedLandmark};

/// Every tapped landmark on the levelled face: mm, origin where the midline
/// meets the pupil line, x toward the client's left, y up.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FrontFace {
    /// What is known.
    pub points: BTreeMap<Landmark, Point<Front>>,
}

/// Why taps make no face, and the way out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FaceError {
    /// Needed here and not tapped.
    #[error("the {landmark} is missing; tap it")]
    Missing {
        /// Which one.
        landmark: Landmark,
    },
    /// A coordinate is NaN or infinite.
    #[error("the {landmark} has no place in the photo (not a number); tap it again")]
    NotFinite {
        /// Which one.
        landmark: Landmark,
    },
    /// No direction from one pupil to the other.
    #[error("both pupils lie on the same spot; tap the middle of each again")]
    PupilsTogether,
    /// The nose comes out above the eyes.
    #[error(
        "the nose comes out above the pupils: the photo is mirrored or upside down, or right and left are exchanged; turn it round, or tap the pupils and the wings of the nose again"
    )]
    MirroredOrTurned,
    /// The points of the midline don't line up.
    #[error(
        "the landmarks of eyes and nose don't line up to a midline; tap the pupils, eye corners and wings of the nose again"
    )]
    NoMidline,
    /// The midline leans more than a face can.
    #[error(
        "the midline comes out {degrees:.0} degrees off the upright of the pupils; look at the {landmark} on both sides first, then at the pupils"
    )]
    MidlineAskew {
        /// Positive: upper end toward the client's left.
        degrees: f64,
        /// The one furthest from the upright through the pupils' middle.
        landmark: Landmark,
    },
}

impl FaceError {
    /// The tap, if it is there and a number.
    pub(crate) fn need(landmark: Landmark, at: Option<Point<Photo>>) -> Result<Point<Photo>, Self> {
        Self::finite(landmark, at)?.ok_or(Self::Missing { landmark })
    }

    /// The tap, if it is a number; missing is fine.
    pub(crate) fn finite(
        landmark: Landmark,
        at: Option<Point<Photo>>,
    ) -> Result<Option<Point<Photo>>, Self> {
        match at {
            Some(p) if !p.is_finite() => Err(Self::NotFinite { landmark }),
            other => Ok(other),
        }
    }
}

impl FrontFace {
    /// All taps carried to the front view.
    ///
    /// # Errors
    /// [`FaceError::NotFinite`] for the first tap that is not a number.
    pub fn new(landmarks: &Landmarks, frame: &FaceFrame) -> Result<Self, FaceError> {
        let mut points = BTreeMap::new();
        for (landmark, p) in landmarks.iter() {
            let at = frame.to_front(p);
            if !at.is_finite() {
                return Err(FaceError::NotFinite { landmark });
            }
            points.insert(landmark, at);
        }
        Ok(Self { points })
    }

    /// A landmark of one side, if it was tapped.
    pub fn get(&self, side: Side, landmark: SidedLandmark) -> Option<Point<Front>> {
        self.points.get(&Landmark::Sided(side, landmark)).copied()
    }

    /// A landmark of the middle, if it was tapped.
    pub fn middle(&self, landmark: MiddleLandmark) -> Option<Point<Front>> {
        self.points.get(&Landmark::Middle(landmark)).copied()
    }

    /// A landmark of one side that the work can't do without.
    ///
    /// # Errors
    /// [`FaceError::Missing`], naming it.
    pub fn need(&self, side: Side, landmark: SidedLandmark) -> Result<Point<Front>, FaceError> {
        self.get(side, landmark).ok_or(FaceError::Missing {
            landmark: Landmark::Sided(side, landmark),
        })
    }

    /// Height of the middle of that side's ear above the pupil line, mm;
    /// below is negative. The frontal view can place the ear's height, not
    /// its distance over the skin.
    pub fn ear_height(&self, side: Side) -> Option<f64> {
        self.get(side, SidedLandmark::EarMiddle).map(|p| p.y)
    }
}
