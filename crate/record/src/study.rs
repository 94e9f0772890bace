//! What the design photo says, in millimetres: the face levelled, the mapping
//! lines, the natural brows and their differences.
//!
//! Everything here follows from the record alone, so the app and the command
//! line can't disagree.

use ophryon_brow::{Ear, EyeSide, HairRegion, MappingLines, NaturalBrow, Pair, propose};
use ophryon_face::{
    BrowDifferences, BrowPlace, Budget, FaceError, FrontFace, Reference, Scale, SidedLandmark,
    Survey, SurveyError, brow_differences,
};
use ophryon_frames::{Front, Lateral, Photo as Px, Point, Side, Sided, Skin, Wrap, WrapError};
use serde::Serialize;

use crate::report::Length;
use crate::{Curve, Photo, Record, StudyError, TapeVerdict, WrapChoice};

/// The face on its level, before any brow: frame, landmarks, pupils.
#[derive(Debug, Clone, PartialEq)]
pub struct Levelled {
    /// Id of the photo it is measured in.
    pub photo: String,
    /// Scale, level, pose and distance, each with how sure it is.
    pub survey: Survey,
}

impl Levelled {
    /// mm per px with its uncertainty, from all references together.
    pub fn scale(&self) -> Scale {
        self.survey.scale.scale
    }

    /// What gave the scale: "card", "card and iris".
    pub fn references(&self) -> String {
        let readings = self.survey.scale.readings.iter();
        let mut names: Vec<_> = readings
            .filter(|r| r.scale.is_ok())
            .map(|r| r.reference.name())
            .collect();
        names.dedup();
        match names.split_last() {
            Some((last, [])) => (*last).to_owned(),
            Some((last, first)) => format!("{} and {last}", first.join(", ")),
            None => String::new(),
        }
    }
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
    /// Why the hair of a side is left out.
    hair_left_out: Sided<Option<WrapError>>,
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

/// The hair's border is kept this near, mm: a third of a hair's breadth.
const HAIR_BORDER_MM: f64 = 0.03;

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
        if photo.references.is_empty() {
            return Err(StudyError::NoScale { photo: id() });
        }
        let survey = Survey::of(&photo.taps(), &photo.references, photo.lens());
        // Taps that contradict each other say more than the face they don't make.
        let problems = photo.landmarks.check(photo.width_px, photo.height_px);
        match survey {
            Err(SurveyError::Scale(problem)) => Err(StudyError::Scale {
                photo: id(),
                problem,
            }),
            _ if !problems.is_empty() => Err(StudyError::Landmarks {
                photo: id(),
                problems,
            }),
            Err(SurveyError::Face(problem)) => Err(StudyError::Face {
                photo: id(),
                problem,
            }),
            Ok(survey) => Ok(Levelled {
                photo: id(),
                survey,
            }),
        }
    }

    /// Measures the design photo: lines, natural brows, wrap, hair.
    ///
    /// # Errors
    /// As [`Record::levelled`]; pupils at an impossible distance; a rule whose
    /// landmark is missing; a wrap that can't be made.
    pub fn measured(&self) -> Result<Measured, StudyError> {
        let levelled = self.levelled()?;
        if let Some(sentence) = levelled.survey.stops() {
            return Err(StudyError::Pupils {
                sentence: sentence.to_owned(),
                photo: levelled.photo,
            });
        }
        let face = &levelled.survey.face;
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
        let mut hair_left_out = Sided::default();
        let photo = self.design_photo();
        let hair = Sided::from_fn(|side| {
            let traced = photo.map_or(&[][..], |p| p.hair.get(side));
            let border = if traced.is_empty() {
                natural.get(side).map_or_else(Vec::new, |n| border_of(&n))
            } else {
                let left = |p: &Point<Px>| side.front_as_left(levelled.survey.frame.to_front(*p));
                traced.iter().map(left).collect()
            };
            let on_skin: Result<Vec<_>, _> = border
                .into_iter()
                .map(|p| wrap.get(side).to_skin(p).map(|p| Side::Left.neutral(p)))
                .collect();
            match on_skin {
                Ok(border) => HairRegion::new(border).map(|hair| hair.simplified(HAIR_BORDER_MM)),
                Err(why) => {
                    *hair_left_out.get_mut(side) = Some(why);
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
            hair_left_out,
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
            natural_brow(&levelled.survey.face, side).map_err(|problem| StudyError::Face {
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

fn scale_and_wrap_cautions(levelled: &Levelled, wrap: &WrapChoice) -> Vec<String> {
    let mut all = levelled.survey.cautions();
    let readings = &levelled.survey.scale.readings;
    if readings
        .iter()
        .all(|r| matches!(r.reference, Reference::Iris { .. }))
    {
        all.push(format!(
            "The scale is from the iris and uncertain by {:.0} %; a card or a ruler in the photo makes it surer.",
            200.0 * levelled.scale().relative_sd()
        ));
    }
    all.extend(wrap.caution().map(str::to_owned));
    all
}

impl Measured {
    /// What to bear in mind, one sentence each.
    #[must_use]
    pub fn cautions(&self) -> Vec<String> {
        let mut all = scale_and_wrap_cautions(&self.levelled, &self.wrap_choice);
        let checks = self.curve.checks.iter();
        let doubtful = checks.filter(|c| c.verdict == TapeVerdict::MeasureAgain);
        all.extend(doubtful.map(|c| c.sentence.clone()));
        for (side, left_out) in self.hair_left_out.iter() {
            if let Some(why) = left_out {
                all.push(format!(
                    "The hair of the client's {} brow is left out: {why}.",
                    side.name()
                ));
            }
        }
        all
    }

    /// Where on the skin of one side a place in the photo lies.
    ///
    /// # Errors
    /// [`StudyError::Wrap`] for a place round the side of the head.
    pub fn place_on_skin(&self, side: Side, at: Point<Px>) -> Result<Point<Lateral>, StudyError> {
        let skin = self
            .wrap
            .get(side)
            .to_skin(self.levelled.survey.frame.to_front(at))?;
        Ok(side.neutral(skin))
    }

    /// Where a place on the skin is seen in the photo.
    pub fn place_in_photo(&self, at: Point<Skin>) -> Point<Px> {
        self.levelled.survey.frame.to_photo(self.wrap.to_front(at))
    }

    /// How the natural brows differ, with everything that makes that
    /// uncertain; empty while a landmark is missing. Takes some hundred times
    /// as long as the rest, so it is asked for by itself.
    pub fn natural_table(&self) -> Vec<NaturalDifference> {
        let found = self.levelled.survey.brow_differences();
        let row = |(place, height, from_midline): &(BrowPlace, Budget, Budget)| NaturalDifference {
            place: *place,
            height: height.into(),
            height_distinguishable: height.distinguishable(),
            from_midline: from_midline.into(),
            from_midline_distinguishable: from_midline.distinguishable(),
        };
        let rows = found.unwrap_or_default();
        if rows.len() < BrowPlace::ALL.len() {
            return Vec::new();
        }
        rows.iter().map(row).collect()
    }
}
