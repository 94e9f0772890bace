//! The iris assist: a rough tap near the pupil finds the iris's rim.

mod expected;

pub use expected::RoughScale;

use ophryon_frames::{Photo, Point, Vector};

/// How far from the pupil a tap may be, mm.
pub const CATCH_MM: f64 = 4.0;

/// The rim of an iris, as a circle in the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Iris {
    /// Middle of the circle.
    pub centre: Point<Photo>,
    /// Its radius, px.
    pub radius_px: f64,
    /// Standard uncertainty (k = 1) of the middle in each direction, px.
    pub centre_sd_px: f64,
    /// Standard uncertainty of the radius, px.
    pub radius_sd_px: f64,
    /// Share of the rim that was seen, 0 to 1; lids cover the rest.
    pub seen: f64,
}

impl Iris {
    /// The two points of the rim on a line through its middle, for an iris
    /// scale ([`ophryon_face::Reference::Iris`]): along `level`, which runs
    /// from one pupil to the other. The first lies against `level`.
    pub fn rim(&self, level: Vector<Photo>) -> [Point<Photo>; 2] {
        let along = level.unit().unwrap_or(Vector::new(1.0, 0.0)) * self.radius_px;
        [self.centre + -along, self.centre + along]
    }
}

/// Why a tap was left where it is. Displayed as a whole sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WeakEvidence {
    /// No circle near the tap stands out.
    #[error(
        "No clear iris was found near the tap, so the tap was left as it is. Zoom in and tap the middle of the pupil."
    )]
    NoRim,
    /// Too much of the rim is hidden.
    #[error(
        "Too little of the iris is in sight, so the tap was left as it is. Zoom in and tap the middle of the pupil, or take the photo again with the eyes a little wider open."
    )]
    Hidden,
    /// Two circles stand out alike.
    #[error(
        "The iris can't be told from what is around it, so the tap was left as it is. Zoom in and tap the middle of the pupil."
    )]
    Ambiguous,
    /// Too few px for a rim.
    #[error(
        "The iris is too small in this photo to find its rim, so the tap was left as it is. Tap the middle of the pupil, and come nearer next time."
    )]
    TooSmall,
    /// The tap lies outside, or too near the edge.
    #[error(
        "The eye is cut off at the edge of the photo, so the tap was left as it is. Take a photo with the whole face in it."
    )]
    Outside,
}
