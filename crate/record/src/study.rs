//! What the design photo says, in millimetres: the face levelled, the mapping
//! lines, the natural brows and their differences.
//!
//! Everything here follows from the record alone, so the app and the command
//! line can't disagree.

use ophryon_brow::{Ear, EyeSide, HairRegion, MappingLines, NaturalBrow, Pair, propose};
use ophryon_face::{
    BrowDifference, BrowDifferences, BrowPlace, Distance, FaceError, FaceFrame, FrontFace,
    PupilCheck, PupilVerdict, Reference, Scale, SidedLandmark, TapSpread, brow_differences,
    check_pupil_distance, pupil_distance,
};
use ophryon_frames::{Front, Lateral, Photo as Px, Point, Side, Sided, Skin, Wrap};
use serde::Serialize;

use crate::report::Length;
use crate::{Curve, Photo, Record, StudyError, TapeVerdict, WrapChoice};

/// The face on its level, before any brow: frame, landmarks, pupils.
#[derive(Debug, Clone, PartialEq)]
pub struct Levelled {
    /// Id of the photo it is measured in.
    pub photo: String,
    /// What gave the scale.
    pub reference: Reference,
    /// mm per px with its uncertainty.
    pub scale: Scale,
    /// Photo to front and back; roll; tilt of the midline.
    pub frame: FaceFrame,
    /// Every tapped landmark in mm, as seen from the front.
    pub face: FrontFace,
    /// Pupil to pupil.
    pub pupils: Distance,
    /// Whether that is a person's distance.
    pub pupil_check: PupilCheck,
}

/// What the design photo says of the brows.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The face on its level.
    pub levelled: Levelled,
    /// How the frontal view lies on the skin of each side.
    pub wrap: Sided<Wrap>,
    /// The same with what it rests on, how sure it is, and whether the tapes
    /// agree.
    pub curve: Curve,
    /// Where the wrap comes from.
    pub wrap_choice: WrapChoice,
    /// Landmarks of each side, reflected to the client's left.
    pub eyes: Sided<EyeSide>,
    /// Mapping lines of each side, reflected to the client's left;
    /// [`Measured::drawn_lines`] has them where they lie.
    pub lines: Sided<MappingLines>,
    /// The natural brow of each side, reflected to the client's left; `None`
    /// while a landmark of it is missing.
    pub natural: Sided<Option<NaturalBrow>>,
    /// How the natural brows differ; `None` while a landmark is missing.
    pub natural_differences: Option<BrowDifferences>,
    /// Where the tail aims on each side.
    pub ears: Sided<Ear>,
    /// The natural hair on the skin: the traced border, else the natural
    /// brow's landmarks.
    pub hair: Sided<Option<HairRegion>>,
    /// What to bear in mind, one sentence each.
    pub cautions: Vec<String>,
}

/// Right less left of the natural brows at one place, as seen from the front.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NaturalDifference {
    /// Where; at the start it is the middle of the front edge.
    pub place: BrowPlace,
    /// Positive when the client's right brow is the higher one.
    pub height: Length,
    /// The height differs by more than its own uncertainty.
    pub height_distinguishable: bool,
    /// Positive when the client's right brow is farther from the midline.
    pub from_midline: Length,
    /// The distance from the midline differs by more than its own uncertainty.
    pub from_midline_distinguishable: bool,
}

impl Record {
    /// Levels the face in the design photo.
    ///
    /// # Errors
    /// [`StudyError`] with the next thing to do: bring a photo, set its
    /// scale, tap a landmark, mend contradicting ones.
    pub fn levelled(&self) -> Result<Levelled, StudyError> {
        self.levelled_in(self.design_photo().ok_or(StudyError::NoPhoto)?)
    }

    /// Levels the face in a photo.
    pub(crate) fn levelled_in(&self, photo: &Photo) -> Result<Levelled, StudyError> {
        let id = || photo.id.clone();
        let reference = *photo
            .first_reference()
            .ok_or_else(|| StudyError::NoScale { photo: id() })?;
        let scale = reference
            .scale(&photo.landmarks)
            .map_err(|problem| StudyError::Scale {
                photo: id(),
                problem,
            })?;
        let problems = photo.landmarks.check(photo.width_px, photo.height_px);
        if !problems.is_empty() {
            return Err(StudyError::Landmarks {
                photo: id(),
                problems,
            });
        }
        let no_face = |problem| StudyError::Face {
            photo: id(),
            problem,
        };
        let frame = FaceFrame::fit(&photo.landmarks, scale).map_err(no_face)?;
        let face = FrontFace::new(&photo.landmarks, &frame).map_err(no_face)?;
        let pupils = pupil_distance(&photo.landmarks, scale).map_err(no_face)?;
        Ok(Levelled {
            photo: id(),
            reference,
            scale,
            frame,
            face,
            pupils,
            pupil_check: check_pupil_distance(pupils.mm),
        })
    }

    /// Measures the design photo: lines, natural brows, wrap, hair.
    ///
    /// # Errors
    /// As [`Record::levelled`]; pupils at an impossible distance; a rule whose
    /// landmark is missing; a wrap that can't be made.
    pub fn measured(&self) -> Result<Measured, StudyError> {
        let levelled = self.levelled()?;
        if levelled.pupil_check.verdict == PupilVerdict::Impossible {
            return Err(StudyError::Pupils {
                photo: levelled.photo,
                sentence: levelled.pupil_check.sentence,
            });
        }
        let face = &levelled.face;
        let eyes = Sided::try_from_fn(|side| {
            eye(face, side).map_err(|problem| StudyError::Face {
                photo: levelled.photo.clone(),
                problem,
            })
        })?;
        let lines = Sided::try_from_fn(|side| {
            MappingLines::construct(eyes.get(side), &self.rules)
                .map_err(|problem| StudyError::Mapping { side, problem })
        })?;
        let curve = self.curve_on(&levelled)?;
        let wrap = curve.wrap;
        let natural = Sided::from_fn(|side| natural_brow(face, side).ok());
        let ears = Sided::from_fn(|side| {
            let seen = face
                .get(side, SidedLandmark::EarMiddle)
                .map(|p| side.front_as_left(p));
            Ear::from_known(*self.ear_tape_mm.get(side), seen)
        });
        let mut cautions = cautions(&levelled, &self.wrap);
        let doubtful = curve
            .checks
            .iter()
            .filter(|c| c.verdict == TapeVerdict::MeasureAgain);
        cautions.extend(doubtful.map(|c| c.sentence.clone()));
        let photo = self.design_photo();
        let hair = Sided::from_fn(|side| {
            let traced = photo.map_or(&[][..], |p| p.hair.get(side));
            let border = if traced.is_empty() {
                natural.get(side).map_or_else(Vec::new, |n| border_of(&n))
            } else {
                let left = |p: &Point<Px>| side.front_as_left(levelled.frame.to_front(*p));
                traced.iter().map(left).collect()
            };
            let on_skin: Result<Vec<_>, _> = border
                .into_iter()
                .map(|p| wrap.get(side).to_skin(p).map(|p| Side::Left.neutral(p)))
                .collect();
            match on_skin {
                Ok(border) => HairRegion::new(border),
                Err(why) => {
                    cautions.push(format!(
                        "The hair of the client's {} brow is left out: {why}.",
                        side.name()
                    ));
                    None
                }
            }
        });
        Ok(Measured {
            natural_differences: brow_differences(face).ok(),
            wrap,
            curve,
            wrap_choice: self.wrap,
            eyes,
            lines,
            natural,
            ears,
            hair,
            cautions,
            levelled,
        })
    }

    /// A first pair from the mapping lines and the natural brows, whatever
    /// shape the record has.
    ///
    /// # Errors
    /// As [`Record::measured`]; a landmark of the natural brow is missing; a
    /// line that doesn't reach the brow.
    pub fn proposal(&self) -> Result<Pair, StudyError> {
        self.proposal_on(&self.measured()?)
    }

    pub(crate) fn proposal_on(&self, measured: &Measured) -> Result<Pair, StudyError> {
        let levelled = &measured.levelled;
        let natural = Sided::try_from_fn(|side| {
            natural_brow(&levelled.face, side).map_err(|problem| StudyError::Face {
                photo: levelled.photo.clone(),
                problem,
            })
        })?;
        let points = propose(
            &measured.lines,
            &natural,
            &measured.ears,
            &self.rules,
            &measured.wrap,
            &self.limits,
        )
        .map_err(StudyError::Proposal)?;
        Ok(Pair::even(points))
    }
}

fn eye(face: &FrontFace, side: Side) -> Result<EyeSide, FaceError> {
    let left = |p| side.front_as_left(p);
    let need = |l| face.need(side, l).map(left);
    Ok(EyeSide {
        inner_corner: need(SidedLandmark::InnerCorner)?,
        outer_corner: need(SidedLandmark::OuterCorner)?,
        nose_wing: need(SidedLandmark::NoseWing)?,
        pupil: need(SidedLandmark::Pupil)?,
        iris_outer_rim: face.get(side, SidedLandmark::IrisOuterRim).map(left),
        lower_lid: face.get(side, SidedLandmark::LowerLid).map(left),
    })
}

pub(crate) fn natural_brow(face: &FrontFace, side: Side) -> Result<NaturalBrow, FaceError> {
    let left = |p| side.front_as_left(p);
    let need = |l| face.need(side, l).map(left);
    Ok(NaturalBrow {
        start_top: need(SidedLandmark::BrowStartTop)?,
        start_bottom: need(SidedLandmark::BrowStartBottom)?,
        peak: need(SidedLandmark::BrowPeak)?,
        lower_arch: face.get(side, SidedLandmark::BrowLowerArch).map(left),
        tail: need(SidedLandmark::BrowTail)?,
    })
}

/// The tapped natural brow as a closed border, in order.
fn border_of(natural: &NaturalBrow) -> Vec<Point<Front>> {
    let mut border = vec![
        natural.start_bottom,
        natural.start_top,
        natural.peak,
        natural.tail,
    ];
    border.extend(natural.lower_arch);
    border
}

fn cautions(levelled: &Levelled, wrap: &WrapChoice) -> Vec<String> {
    let mut all = Vec::new();
    if levelled.pupil_check.verdict != PupilVerdict::Usual {
        all.push(levelled.pupil_check.sentence.clone());
    }
    if matches!(levelled.reference, Reference::Iris { .. }) {
        all.push(format!(
            "The scale is from the iris and uncertain by {:.0} %; a card or a ruler in the photo makes it surer.",
            200.0 * levelled.scale.relative_sd()
        ));
    }
    all.extend(wrap.caution().map(str::to_owned));
    all
}

impl Measured {
    /// Where on the skin of one side a place in the photo lies.
    ///
    /// # Errors
    /// [`StudyError::Wrap`] for a place round the side of the head.
    pub fn place_on_skin(&self, side: Side, at: Point<Px>) -> Result<Point<Lateral>, StudyError> {
        let skin = self
            .wrap
            .get(side)
            .to_skin(self.levelled.frame.to_front(at))?;
        Ok(side.neutral(skin))
    }

    /// Where a place on the skin is seen in the photo.
    pub fn place_in_photo(&self, at: Point<Skin>) -> Point<Px> {
        self.levelled.frame.to_photo(self.wrap.to_front(at))
    }

    /// How the natural brows differ, with uncertainties from taps and scale;
    /// empty while a landmark is missing. What a turned head adds is not in
    /// them: up to about 0.6 mm per degree in the distances from the midline.
    pub fn natural_table(&self) -> Vec<NaturalDifference> {
        let Some(found) = &self.natural_differences else {
            return Vec::new();
        };
        let scale = self.levelled.scale;
        let tap_mm = TapSpread::by_default(scale.mm_per_px()).sd_mm();
        // `taps` independent taps on each side; the midline is uncertain by
        // about half a tap (four to nine midpoints) and counts twice, because
        // it moves both distances, one up and one down.
        let length = |mm: f64, taps: f64, midline: f64| Distance {
            mm,
            sd: libm::hypot(
                libm::hypot(tap_mm * (2.0 / taps).sqrt(), midline * tap_mm),
                mm * scale.relative_sd(),
            ),
        };
        let row = |place, found: &BrowDifference, taps| {
            let height = length(found.height_mm, taps, 0.0);
            let from_midline = length(found.from_midline_mm, taps, 1.0);
            NaturalDifference {
                place,
                height: height.into(),
                height_distinguishable: height.mm.abs() > height.expanded(),
                from_midline: from_midline.into(),
                from_midline_distinguishable: from_midline.mm.abs() > from_midline.expanded(),
            }
        };
        vec![
            row(BrowPlace::Start, &found.start, 2.0),
            row(BrowPlace::Peak, &found.peak, 1.0),
            row(BrowPlace::Tail, &found.tail, 1.0),
        ]
    }
}
