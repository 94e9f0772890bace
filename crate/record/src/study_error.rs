//! Why there is nothing to show yet, with the next thing to do.

use ophryon_brow::{MappingError, SideConflict};
use ophryon_face::{FaceError, Landmark, LandmarkError, ScaleError, SidedLandmark};
use ophryon_frames::{Side, WrapError};

use crate::{Photo, Record, TapeLine};

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
    /// A tape that this face can't have read.
    #[error("on the client's {}, of the tape {}: {problem}", .side.name(), .line.words())]
    Tape {
        /// The side.
        side: Side,
        /// Where it was laid.
        line: TapeLine,
        /// Why.
        problem: WrapError,
    },
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
                format!("{photo}.references")
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
            Self::Tape { side, line, .. } => {
                let line = match line {
                    TapeLine::StartToTail => "start-to-tail-mm",
                    TapeLine::MidlineToTail => "midline-to-tail-mm",
                };
                format!("wrap.{}.{line}", side.name())
            }
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
