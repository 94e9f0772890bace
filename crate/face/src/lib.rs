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
//! | taps, references, lens | all of it, pose and camera, with what to bear in mind | [`Survey::of`] |
//! | a survey | the budget of any number of the face | [`Survey::influences`], [`Quantity`] |
//!
//! Two photos of one face, at rest and in use, are compared by
//! [`brow_states`]; [`BrowStates::judged`] says whether a difference between
//! the brows is set in the face or movement, [`Notice`] whether others see it,
//! and [`BrowPlan`] how much of it is evened out on each side.
//!
//! "Right" and "left" are always the client's own.
//!
//! ```
//! use ophryon_face::{
//!     FaceFrame, FrontFace, Held, Landmark, Landmarks, Reference, SidedLandmark,
//! };
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
//!     held: Held::Chin,
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
mod budget;
mod coin;
mod combined;
mod definite;
mod distance;
mod expected;
mod front_face;
mod held;
mod influence;
mod input;
mod landmark;
mod landmarks;
mod lens;
mod level;
mod log_scale;
#[cfg(test)]
mod monte_carlo;
mod notice;
mod plan;
mod plausible;
mod pose;
mod pose_report;
mod quantity;
mod reference;
mod scale;
mod states;
mod survey;
mod symmetry;
mod taps;
mod typical;
mod verdict;
mod view;

pub use align::{Alignment, LARGEST_RMS_MM, MISTAP_MM, STEADY};
pub use budget::{Budget, Cause, Unit};
pub use coin::Coin;
pub use combined::{CombinedScale, ReferenceReading};
pub use distance::{Distance, pupil_distance};
pub use expected::Expected;
pub use front_face::{FaceError, FrontFace};
pub use held::{Held, MOST_NEARER_MM};
pub use influence::Influences;
pub use landmark::{Landmark, MiddleLandmark, Need, SidedLandmark, UnknownLandmark};
pub use landmarks::{LandmarkError, Landmarks};
pub use lens::{CameraDistance, Lens, NEAREST_MM};
pub use level::FaceFrame;
pub use log_scale::{
    CALIPER_SD_MM, CARD_ASPECT_TOLERANCE, CARD_LONG_MM, CARD_SHORT_MM, IRIS_MM, IRIS_SD_MM,
};
pub use notice::{NOTICE_SOURCES, Notice};
pub use plan::{BrowPlan, Correction, Moved, NothingToCorrect, PlanLimit, PlanRoom, PlanStop};
pub use plausible::{
    IrisCheck, MEAN_PUPILS_MM, POSSIBLE_IRIS_MM, POSSIBLE_PUPILS_MM, PupilCheck, PupilVerdict,
    USUAL_IRIS_MM, USUAL_PUPILS_MM, check_iris, check_photo_width, check_pupil_distance,
};
pub use pose::{Angle, Pose, STRAIGHT_DEGREES};
pub use pose_report::{PoseReport, PoseVerdict, ViewCost};
pub use quantity::Quantity;
pub use reference::{LONGEST_REFERENCE_MM, Reference};
pub use scale::{Scale, ScaleError};
pub use states::{
    BrowPlace, BrowStates, FaceState, MeanHeights, PlaceHeights, StateDifference, StateError,
    brow_states,
};
pub use survey::{Survey, SurveyError};
pub use symmetry::{
    BrowDifference, BrowDifferences, MirrorResidual, brow_differences, mirror_residual,
};
pub use taps::{DEFAULT_COUNTS_AS, EDGE_SHARE, PIXEL_SD_PX, SLIP_MM, TAP_SD_MM, TapSpread, Taps};
pub use verdict::{InUse, Judged, PLACE_K, StateVerdict, WHOLE_K};
