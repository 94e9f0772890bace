//! The agreed shape in a later photo.

use ophryon_agreement::{Seal, When};
use ophryon_face::{
    Alignment, FaceError, Landmark, STEADY, STRAIGHT_DEGREES, SidedLandmark, TAP_SD_MM,
};
use ophryon_frames::{Front, Photo as Px, Point, Side, Sided, Skin};
use ophryon_photo::PigmentSearch;

use crate::{Drawn, Photo, PhotoState, Record, StudyError};

/// Outlines are flattened to so many mm.
pub(super) const FLAT_MM: f64 = 0.01;
/// Two scales that differ by more than so many standard uncertainties don't
/// belong to one face.
const APART: f64 = 3.0;

/// Which shape a healed brow is measured against.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LaidShape {
    /// The one she agreed to last.
    Agreed {
        /// Its version.
        version: u32,
        /// When she signed.
        at: When,
        /// Its seal.
        seal: Seal,
    },
    /// The present one: she has agreed to none, or withdrew, or the agreement
    /// can't be relied on.
    Present {
        /// Its version.
        version: u32,
    },
}

impl LaidShape {
    /// What its area and its outline are called: nothing is called agreed
    /// that she didn't agree to.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Agreed { .. } => "agreed",
            Self::Present { .. } => "drawn",
        }
    }

    /// As the rest of a sentence: "the shape agreed on …".
    pub fn words(&self) -> String {
        match self {
            Self::Agreed { version, at, seal } => format!(
                "the shape agreed on {}, version {version}, seal {}",
                at.in_words(),
                seal.short()
            ),
            Self::Present { version } => {
                format!("the present shape, version {version}; no agreement to it is kept")
            }
        }
    }
}

/// Why a shape can't be laid into a later photo; what to do stands in it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotLaid {
    /// No photo of the healed brows.
    #[error("there is no photo of the healed brows yet; bring one")]
    NoPhoto,
    /// It is no photo of the healed brows.
    #[error("the photo “{photo}” is not one of the healed brows; choose one that is")]
    OtherState {
        /// Its id.
        photo: String,
    },
    /// No shape was drawn.
    #[error("no shape is kept that the healed brows could be measured against; draw one first")]
    NoShape,
    /// What the shape was designed on can't be measured.
    #[error("{0}")]
    Study(#[from] StudyError),
    /// The later photo's landmarks are missing or make no face.
    #[error("in the photo of the healed brows, {0}")]
    Face(FaceError),
    /// The same for its scale, or taps that contradict each other.
    #[error("in the photo of the healed brows, {0}")]
    Later(StudyError),
    /// The face can't be seen as far as the brows go.
    #[error("the shape lies outside of the photo of the healed brows; look at its landmarks")]
    Outside,
}

/// The agreed shape, and where each place of it lies in the later photo.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidOver {
    /// Id of the later photo.
    pub photo: String,
    /// What it is measured against, drawn.
    pub drawn: Drawn,
    /// Whose shape that is.
    pub shape: LaidShape,
    /// How the later photo lies on the face as it was designed on.
    pub alignment: Alignment,
    /// Standard uncertainty of the later photo's scale, relative.
    pub scale_sd: f64,
    /// How far an outline may lie beside its place, each direction (standard
    /// uncertainty), mm.
    pub place_sd_mm: Sided<f64>,
    /// Standard uncertainty of right less left of two heights over the whole
    /// breadth of the brows, by turn alone, mm.
    pub turn_sd_mm: f64,
    /// What to bear in mind, one sentence each.
    pub cautions: Vec<String>,
    /// The eyes' corners in the later photo.
    eyes: Sided<[Point<Px>; 2]>,
    /// Size of the later photo, px.
    pub size_px: (u32, u32),
}

impl Record {
    /// The photo of the healed brows that is measured.
    pub fn healed_photo(&self) -> Option<&Photo> {
        self.photos.iter().find(|p| p.state == PhotoState::Healed)
    }

    /// The record as she agreed to it last, and which shape that is.
    pub(super) fn as_agreed(&self) -> (Self, LaidShape) {
        let last = self.consent.agreements.last();
        let standing = last.filter(|one| one.withdrawn.is_none());
        let sealed = standing.and_then(|one| Some((one.seal, one.read().ok()?)));
        let Some((seal, sealed)) = sealed else {
            let version = self.version;
            return (self.clone(), LaidShape::Present { version });
        };
        let shape = sealed.shape;
        let then = Self {
            pair: Some(shape.pair),
            limits: shape.limits,
            wrap: shape.wrap,
            plan: shape.plan,
            shrink: shape.shrink,
            version: sealed.version,
            ..self.clone()
        };
        let laid = LaidShape::Agreed {
            version: sealed.version,
            at: sealed.at,
            seal,
        };
        (then, laid)
    }

    /// Lays the shape that was agreed to last, else the present one, into the
    /// photo of the healed brows.
    ///
    /// # Errors
    /// [`NotLaid`], with the next thing to do.
    pub fn laid_over(&self) -> Result<LaidOver, NotLaid> {
        let photo = self.healed_photo().ok_or(NotLaid::NoPhoto)?;
        self.laid_over_in(photo)
    }

    /// The same for one photo of them.
    ///
    /// # Errors
    /// [`NotLaid`].
    pub fn laid_over_in(&self, photo: &Photo) -> Result<LaidOver, NotLaid> {
        if photo.state != PhotoState::Healed {
            let photo = photo.id.clone();
            return Err(NotLaid::OtherState { photo });
        }
        if self.pair.is_none() {
            return Err(NotLaid::NoShape);
        }
        let (then, shape) = self.as_agreed();
        let drawn = then.drawn()?;
        let before = &drawn.measured.levelled.survey;
        for landmark in STEADY {
            let is_middle = matches!(landmark, Landmark::Middle(_));
            if !is_middle && photo.landmarks.get(landmark).is_none() {
                return Err(NotLaid::Face(FaceError::Missing { landmark }));
            }
        }
        let problems = photo.landmarks.check(photo.width_px, photo.height_px);
        if !problems.is_empty() {
            return Err(NotLaid::Later(StudyError::Landmarks {
                photo: photo.id.clone(),
                problems,
            }));
        }
        let fit = Alignment::fit(&photo.landmarks, &before.face).map_err(NotLaid::Face)?;
        // Each photo's taps; what the landmarks leave may say more.
        let tap_sd_mm = (2.0_f64.sqrt() * TAP_SD_MM).max(fit.rms_mm);
        let mut cautions = Vec::new();
        let by_fit = (
            fit.mm_per_px(),
            libm::hypot(before.scale.scale.relative_sd(), fit.scale_sd(tap_sd_mm)),
        );
        let (mm_per_px, scale_sd) = if photo.references.is_empty() {
            cautions.push("The photo of the healed brows has no scale of its own; the distances between eyes and nose give it.".to_owned());
            by_fit
        } else {
            let later = self.levelled_in(photo).map_err(NotLaid::Later)?;
            cautions.extend(later.survey.cautions());
            let own = later.scale();
            let own = (own.mm_per_px(), own.relative_sd());
            let differ = libm::log(own.0 / by_fit.0);
            if differ.abs() > APART * libm::hypot(own.1, by_fit.1) {
                cautions.push(format!(
                    "Eyes and nose are {:.1} % {} by this photo's scale than in the photo the shape was designed on. Look at what gives the scale in both.",
                    100.0 * differ.abs(),
                    if differ > 0.0 { "larger" } else { "smaller" }
                ));
            }
            together(own, by_fit)
        };
        cautions.extend(fit.caution());
        let alignment = fit.with_mm_per_px(mm_per_px);
        let middle = |side: Side| {
            let (low, high) = drawn.seen.get(side).bounds();
            low.midpoint(high)
        };
        let place_sd_mm = Sided::from_fn(|side| {
            let by_taps = alignment.place_sd_mm(middle(side), tap_sd_mm);
            libm::hypot(by_taps, view_sd_mm())
        });
        let span = middle(Side::Left).x - middle(Side::Right).x;
        let turn_sd_mm = span.abs() * alignment.scale_sd(tap_sd_mm);
        let corner = |side, l| {
            let landmark = Landmark::Sided(side, l);
            let missing = NotLaid::Face(FaceError::Missing { landmark });
            photo.landmarks.get(landmark).ok_or(missing)
        };
        let eyes = Sided::try_from_fn(|side| {
            Ok::<_, NotLaid>([
                corner(side, SidedLandmark::InnerCorner)?,
                corner(side, SidedLandmark::OuterCorner)?,
            ])
        })?;
        Ok(LaidOver {
            photo: photo.id.clone(),
            drawn,
            shape,
            alignment,
            scale_sd,
            place_sd_mm,
            turn_sd_mm,
            cautions,
            eyes,
            size_px: (photo.width_px, photo.height_px),
        })
    }
}

/// Mean of two scales with relative standard uncertainties, each by its
/// weight.
fn together(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let (wa, wb) = (1.0 / (a.1 * a.1).max(1e-12), 1.0 / (b.1 * b.1).max(1e-12));
    let log = (wa * libm::log(a.0) + wb * libm::log(b.0)) / (wa + wb);
    (libm::exp(log), (1.0 / (wa + wb)).sqrt())
}

/// How far a head may be turned further in one photo than in the other without
/// being sent back, radians (standard uncertainty): both within the gate, in
/// rectangular spreads.
pub(super) fn view_sd() -> f64 {
    (STRAIGHT_DEGREES * (2.0_f64 / 3.0).sqrt()).to_radians()
}

/// What that shifts a brow against eyes and nose, mm: brows lie about so far
/// before the middle of those (on the project's mean face, from memory).
fn view_sd_mm() -> f64 {
    const DEPTH_MM: f64 = 5.0;
    DEPTH_MM * view_sd()
}

impl LaidOver {
    /// Where a place on the skin lies in the later photo.
    pub fn to_photo(&self, at: Point<Skin>) -> Point<Px> {
        self.front_to_photo(self.drawn.measured.wrap.to_front(at))
    }

    fn front_to_photo(&self, at: Point<Front>) -> Point<Px> {
        self.alignment.to_photo(at)
    }

    /// px per mm on the face.
    pub fn px_per_mm(&self) -> f64 {
        1.0 / self.alignment.mm_per_px()
    }

    /// The agreed outline of one side in the later photo, in order.
    pub fn outline_in_photo(&self, side: Side) -> Vec<Point<Px>> {
        let ring = self.drawn.seen.get(side).flattened(FLAT_MM);
        ring.into_iter().map(|p| self.front_to_photo(p)).collect()
    }

    /// Where powder is looked for.
    pub fn search(&self, side: Side) -> PigmentSearch {
        PigmentSearch {
            outline: self.outline_in_photo(side),
            eye: *self.eyes.get(side),
            px_per_mm: self.px_per_mm(),
        }
    }
}
