//! What the design photo says, in millimetres: the face levelled, the mapping
//! lines, the natural brows and their differences.
//!
//! Everything here follows from the record alone, so the app and the command
//! line can't disagree.

use ophryon_brow::{
    Ear, EyeSide, HairRegion, Line, MappingError, MappingLines, NaturalBrow, Pair, SideConflict,
    propose,
};
use ophryon_face::{
    BrowDifferences, Distance, FaceError, FaceFrame, FrontFace, Landmark, LandmarkError,
    PupilCheck, PupilVerdict, Reference, Scale, ScaleError, SidedLandmark, brow_differences,
    check_pupil_distance, pupil_distance,
};
use ophryon_frames::{Front, Lateral, Photo as Px, Point, Side, Sided, Skin, Wrap, WrapError};
use serde::{Deserialize, Serialize};

use crate::{Photo, Record, WrapChoice};

/// Why the photo can't be measured or the shape not be drawn yet, with the
/// next thing to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StudyError {
    /// No photo at all.
    #[error("there is no photo yet; bring one of the face at rest")]
    NoPhoto,
    /// Nothing of known size was tapped.
    #[error(
        "the photo “{photo}” has no scale yet; tap the ends of the card, or of another length you know, in it"
    )]
    NoScale {
        /// Its id.
        photo: String,
    },
    /// The reference gives no scale.
    #[error("in the photo “{photo}”, {problem}")]
    Scale {
        /// Its id.
        photo: String,
        /// Why.
        problem: ScaleError,
    },
    /// Taps that contradict each other; all of them.
    #[error("in the photo “{photo}”, {}", joined(.problems))]
    Landmarks {
        /// Its id.
        photo: String,
        /// Why; never empty.
        problems: Vec<LandmarkError>,
    },
    /// A landmark is missing, or the taps make no face.
    #[error("in the photo “{photo}”, {problem}")]
    Face {
        /// Its id.
        photo: String,
        /// Why.
        problem: FaceError,
    },
    /// Pupils at a distance that nobody has.
    #[error("in the photo “{photo}”: {sentence}")]
    Pupils {
        /// Its id.
        photo: String,
        /// What was found, and the way out.
        sentence: String,
    },
    /// A mapping rule can't be constructed.
    #[error("on the client's {}, {problem}", .side.name())]
    Mapping {
        /// The side.
        side: Side,
        /// Why.
        problem: MappingError,
    },
    /// The mapped lines make no shape.
    #[error("no shape can be proposed: {0}")]
    Proposal(MappingError),
    /// The wrap can't be made, or can't carry a point.
    #[error("{0}")]
    Wrap(#[from] WrapError),
    /// The shape can't be drawn.
    #[error("{0}")]
    Brow(#[from] SideConflict),
}

fn joined(problems: &[LandmarkError]) -> String {
    let all: Vec<_> = problems.iter().map(ToString::to_string).collect();
    all.join("; also, ")
}

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
    /// How the frontal view lies on the skin.
    pub wrap: Wrap,
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

/// What a line over the face stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LineKind {
    /// The face's midline.
    Midline,
    /// The line through the pupils.
    PupilLine,
    /// The start rule's line.
    Start,
    /// The peak rule's line.
    Peak,
    /// The tail rule's line.
    Tail,
}

/// A line to draw over the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnLine {
    /// What it stands for.
    pub kind: LineKind,
    /// The side it belongs to; `None` for midline and pupil line.
    pub side: Option<Side>,
    /// Its ends as seen from the front, mm.
    pub front: [Point<Front>; 2],
    /// Its ends in the photo, px.
    pub photo: [Point<Px>; 2],
}

/// How far a drawn line reaches above the natural peak (or above where one
/// usually is), so that it is seen to cross the brow.
const LINE_ABOVE_PEAK_MM: f64 = 12.0;
/// Height of a peak above the pupils when none was tapped; only for drawing.
const USUAL_PEAK_MM: f64 = 25.0;
/// Furthest out that a line is drawn: past any tail seen from the front.
const LINE_OUT_MM: f64 = 72.0;
/// How far the midline is drawn below the pupils: past the nose.
const MIDLINE_DOWN_MM: f64 = 55.0;

impl Record {
    /// Levels the face in the design photo.
    ///
    /// # Errors
    /// [`StudyError`] with the next thing to do: bring a photo, set its
    /// scale, tap a landmark, mend contradicting ones.
    pub fn levelled(&self) -> Result<Levelled, StudyError> {
        let photo = self.design_photo().ok_or(StudyError::NoPhoto)?;
        let id = || photo.id.clone();
        let reference = photo
            .reference
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
        let wrap = self.wrap_on(&levelled)?;
        let natural = Sided::from_fn(|side| natural_brow(face, side).ok());
        let ears = Sided::from_fn(|side| {
            let seen = face
                .get(side, SidedLandmark::EarMiddle)
                .map(|p| side.front_as_left(p));
            Ear::from_known(*self.ear_tape_mm.get(side), seen)
        });
        let mut cautions = cautions(&levelled, &self.wrap);
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
                .map(|p| wrap.to_skin(p).map(|p| Side::Left.neutral(p)))
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

    /// The wrap that follows from the choice and, for a tape, the landmarks.
    ///
    /// # Errors
    /// As [`Record::levelled`] for a tape, and a wrap that no head has.
    pub fn wrap(&self) -> Result<Wrap, StudyError> {
        match self.wrap {
            WrapChoice::Tape { .. } => self.wrap_on(&self.levelled()?),
            WrapChoice::Cylinder { radius_mm } => Ok(Wrap::cylinder(radius_mm)?),
            other => Ok(other.fixed().unwrap_or_default()),
        }
    }

    fn wrap_on(&self, levelled: &Levelled) -> Result<Wrap, StudyError> {
        let WrapChoice::Tape { side, length_mm } = self.wrap else {
            return self.wrap();
        };
        let natural = natural_brow(&levelled.face, side).map_err(|problem| StudyError::Face {
            photo: levelled.photo.clone(),
            problem,
        })?;
        let start = natural.start_top.midpoint(natural.start_bottom);
        Ok(Wrap::cylinder_from_tape(start, natural.tail, length_mm)?)
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

fn natural_brow(face: &FrontFace, side: Side) -> Result<NaturalBrow, FaceError> {
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
    match wrap {
        WrapChoice::Estimate => all.push(
            "The skin wrap is an estimate; lay a tape from start to tail over the skin and enter what it reads.".to_owned(),
        ),
        WrapChoice::Flat => all.push(
            "There is no skin wrap: lengths along the brow are short on skin by several mm.".to_owned(),
        ),
        WrapChoice::Tape { .. } | WrapChoice::Cylinder { .. } => {}
    }
    all
}

impl Measured {
    /// Where on the skin of one side a place in the photo lies.
    ///
    /// # Errors
    /// [`StudyError::Wrap`] for a place round the side of the head.
    pub fn place_on_skin(&self, side: Side, at: Point<Px>) -> Result<Point<Lateral>, StudyError> {
        let skin = self.wrap.to_skin(self.levelled.frame.to_front(at))?;
        Ok(side.neutral(skin))
    }

    /// Where a place on the skin is seen in the photo.
    pub fn place_in_photo(&self, at: Point<Skin>) -> Point<Px> {
        self.levelled.frame.to_photo(self.wrap.to_front(at))
    }

    /// Every line to draw over the photo: midline, pupil line, and per side
    /// those of start, peak and tail.
    pub fn drawn_lines(&self) -> Vec<DrawnLine> {
        let top = |side: Side| {
            let peak = self.natural.get(side).map_or(USUAL_PEAK_MM, |n| n.peak.y);
            peak + LINE_ABOVE_PEAK_MM
        };
        let highest = top(Side::Right).max(top(Side::Left));
        let line = |kind, side, front: [Point<Front>; 2]| DrawnLine {
            kind,
            side,
            front,
            photo: front.map(|p| self.levelled.frame.to_photo(p)),
        };
        let mut all = vec![
            line(
                LineKind::Midline,
                None,
                [Point::new(0.0, highest), Point::new(0.0, -MIDLINE_DOWN_MM)],
            ),
            line(
                LineKind::PupilLine,
                None,
                [Point::new(-LINE_OUT_MM, 0.0), Point::new(LINE_OUT_MM, 0.0)],
            ),
        ];
        for (side, lines) in self.lines.iter() {
            for (kind, mapped) in [
                (LineKind::Start, lines.start),
                (LineKind::Peak, lines.peak),
                (LineKind::Tail, lines.tail),
            ] {
                let ends = across_brow(&mapped, top(side)).map(|p| side.front_as_left(p));
                all.push(line(kind, Some(side), ends));
            }
        }
        all
    }
}

/// From where a mapping line starts to where it has crossed the brow: up to
/// `top_mm`, or out to the end of what is seen.
fn across_brow(line: &Line, top_mm: f64) -> [Point<Front>; 2] {
    let run = line.through - line.from;
    let reach = |end: f64, from: f64, step: f64| {
        let t = (end - from) / step;
        if step > 0.0 { t } else { f64::INFINITY }
    };
    let t = reach(top_mm, line.from.y, run.y)
        .min(reach(LINE_OUT_MM, line.from.x, run.x))
        .max(1.0);
    let t = if t.is_finite() { t } else { 1.0 };
    [line.from, line.from + run * t]
}

/// Position of the design photo, for paths into the file.
pub(crate) fn design_index(record: &Record) -> usize {
    let is_design = |p: &Photo| record.design_photo().is_some_and(|d| d.id == p.id);
    record.photos.iter().position(is_design).unwrap_or(0)
}

impl StudyError {
    /// The field of the client's file to look at first, as a path.
    pub fn field(&self, record: &Record) -> String {
        let photo = format!("photos[{}]", design_index(record));
        let at =
            |landmark: Landmark| format!("{photo}.landmarks.{}", landmark.id().replace('/', "."));
        match self {
            Self::NoPhoto => "photos".to_owned(),
            Self::NoScale { .. } | Self::Scale { .. } | Self::Pupils { .. } => {
                format!("{photo}.reference")
            }
            Self::Landmarks { problems, .. } => problems
                .first()
                .map_or_else(|| format!("{photo}.landmarks"), |p| at(named(p))),
            Self::Face { problem, .. } => match problem {
                FaceError::Missing { landmark }
                | FaceError::NotFinite { landmark }
                | FaceError::MidlineAskew { landmark, .. } => at(*landmark),
                _ => format!("{photo}.landmarks"),
            },
            Self::Mapping { side, .. } => format!("{photo}.landmarks.{}", side.name()),
            Self::Proposal(_) => "rules".to_owned(),
            Self::Wrap(_) => "wrap".to_owned(),
            Self::Brow(conflict) => match &record.pair {
                Some(pair) if pair.unlinked.is_some() && conflict.side != pair.master => {
                    "pair.unlinked".to_owned()
                }
                Some(_) => "pair.points".to_owned(),
                None => "limits".to_owned(),
            },
        }
    }
}

fn named(problem: &LandmarkError) -> Landmark {
    match problem {
        LandmarkError::NotFinite { landmark }
        | LandmarkError::OutsidePhoto { landmark, .. }
        | LandmarkError::Mirrored { landmark }
        | LandmarkError::UpsideDown { landmark }
        | LandmarkError::OnItsSide { landmark }
        | LandmarkError::OutOfOrder { landmark, .. } => *landmark,
        LandmarkError::SameSpot { second, .. } => *second,
        LandmarkError::SidesSwapped { right, .. } => *right,
        // Landmark errors may gain variants; each of them names a landmark.
        _ => Landmark::Sided(Side::Right, SidedLandmark::Pupil),
    }
}
