//! From a photograph to millimetres: landmarks, scale, roll and midline.
//!
//! The artist taps [`Landmarks`] in the photo and something of known size
//! ([`Reference`]). From these come the [`Scale`], the [`FaceFrame`] that
//! levels the face, and the [`FrontFace`]: every landmark in millimetres, as
//! seen from the front. How uneven the face is follows from those
//! ([`mirror_residual`], [`brow_differences`]).
//!
//! | from | to | by |
//! |---|---|---|
//! | taps, px | mm per px, with its uncertainty | [`Reference::scale`] |
//! | taps, px | roll, midline, origin | [`FaceFrame::fit`] |
//! | photo, px | front, mm | [`FaceFrame::to_front`], [`FrontFace::new`] |
//!
//! "Right" and "left" are always the client's own.

mod distance;
mod expected;
mod front_face;
mod landmark;
mod landmarks;
mod level;
mod scale;
mod symmetry;

pub use distance::{
    Distance, POSSIBLE_PUPILS_MM, PupilCheck, PupilVerdict, USUAL_PUPILS_MM, check_pupil_distance,
    pupil_distance,
};
pub use expected::Expected;
pub use front_face::{FaceError, FrontFace};
pub use landmark::{Landmark, MiddleLandmark, Need, SidedLandmark, UnknownLandmark};
pub use landmarks::{LandmarkError, Landmarks};
pub use level::FaceFrame;
pub use scale::{
    CALIPER_SD_MM, CARD_ASPECT_TOLERANCE, CARD_LONG_MM, CARD_SHORT_MM, IRIS_MM, IRIS_SD_MM,
    LONGEST_REFERENCE_MM, Reference, Scale, ScaleError, TAP_SD_PX,
};
pub use symmetry::{
    BrowDifference, BrowDifferences, MirrorResidual, brow_differences, mirror_residual,
};
