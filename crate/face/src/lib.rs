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
//!
//! ```
//! use ophryon_face::{FaceFrame, FrontFace, Landmark, Landmarks, Reference, SidedLandmark};
//! use ophryon_frames::{Point, Side};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let mut taps = Landmarks::default();
//! for (id, x, y) in [
//!     ("right/outer-corner", 550.0, 802.0),
//!     ("right/pupil", 685.0, 800.0),
//!     ("right/inner-corner", 820.0, 803.0),
//!     ("left/inner-corner", 1180.0, 803.0),
//!     ("left/pupil", 1315.0, 800.0),
//!     ("left/outer-corner", 1450.0, 802.0),
//!     ("left/nose-wing", 1170.0, 1180.0),
//!     ("right/nose-wing", 830.0, 1180.0),
//! ] {
//!     taps.set(Landmark::from_id(id)?, Point::new(x, y));
//! }
//! assert!(taps.check(2000, 2600).is_empty());
//! // A card below the chin: 856 px for its 85.60 mm.
//! let card = Reference::Card {
//!     long: [Point::new(572.0, 2400.0), Point::new(1428.0, 2400.0)],
//!     short: None,
//! };
//! let frame = FaceFrame::fit(&taps, card.scale(&taps)?)?;
//! let face = FrontFace::new(&taps, &frame)?;
//! // The nose wing lies 17 mm beside the midline and 38 mm below the pupils.
//! let wing = face.need(Side::Left, SidedLandmark::NoseWing)?;
//! assert!(wing.distance(Point::new(17.0, -38.0)) < 1e-9);
//! # Ok(())
//! # }
//! ```

mod align;
mod distance;
mod expected;
mod front_face;
mod landmark;
mod landmarks;
mod level;
mod notice;
mod plan;
mod scale;
mod states;
mod symmetry;
mod verdict;

pub use align::{Alignment, LARGEST_RMS_MM, MISTAP_MM, STEADY};
pub use distance::{
    Distance, POSSIBLE_PUPILS_MM, PupilCheck, PupilVerdict, USUAL_PUPILS_MM, check_pupil_distance,
    pupil_distance,
};
pub use expected::Expected;
pub use front_face::{FaceError, FrontFace};
pub use landmark::{Landmark, MiddleLandmark, Need, SidedLandmark, UnknownLandmark};
pub use landmarks::{LandmarkError, Landmarks};
pub use level::FaceFrame;
pub use notice::{NOTICE_SOURCES, Notice};
pub use plan::{BrowPlan, Correction, Moved, NothingToCorrect, PlanLimit, PlanRoom, PlanStop};
pub use scale::{
    CALIPER_SD_MM, CARD_ASPECT_TOLERANCE, CARD_LONG_MM, CARD_SHORT_MM, IRIS_MM, IRIS_SD_MM,
    LONGEST_REFERENCE_MM, Reference, Scale, ScaleError, TAP_SD_PX,
};
pub use states::{
    BrowPlace, BrowStates, FaceState, PlaceHeights, PoseSpread, StateDifference, StateError,
    StatePhoto, brow_states,
};
pub use symmetry::{
    BrowDifference, BrowDifferences, MirrorResidual, brow_differences, mirror_residual,
};
pub use verdict::{Judged, PLACE_K, StateVerdict, WHOLE_K};
