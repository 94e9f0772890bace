//! Why a change was not made.

use ophryon_brow::SideConflict;
use ophryon_frames::WrapError;

use crate::{ConsentError, MOST_VARIANTS, Problem, StudyError, VisitError};

/// Why an edit was not made. The record is as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EditError {
    /// No photo of that id.
    #[error("there is no photo “{id}”; choose one that is there")]
    NoSuchPhoto {
        /// The id.
        id: String,
    },
    /// The id is taken.
    #[error("there is a photo “{id}” already; give the new one another id")]
    PhotoExists {
        /// The id.
        id: String,
    },
    /// No reference of that number.
    #[error("the photo “{photo}” has no reference {}; choose one that is there", .index + 1)]
    NoSuchReference {
        /// The photo's id.
        photo: String,
        /// The number, from 0.
        index: usize,
    },
    /// As many shapes are kept as can be.
    #[error(
        "{MOST_VARIANTS} shapes are kept already; keep this one in place of another, or remove one"
    )]
    VariantsFull,
    /// No kept shape of that number.
    #[error("there is no kept shape {}; choose one that is there", .index + 1)]
    NoSuchVariant {
        /// The number, from 0.
        index: usize,
    },
    /// Nothing was asked, said or agreed to.
    #[error("{0}")]
    Consent(#[from] ConsentError),
    /// The log of visits stays as it was.
    #[error("{0}")]
    Visit(#[from] VisitError),
    /// Each side stands where it was drawn by itself.
    #[error(
        "the brows are unlinked, so each side stands where it was drawn by itself; link them, then take the plan"
    )]
    Unlinked,
    /// A value that can't be used.
    #[error("{}", first(.0))]
    Problems(Vec<Problem>),
    /// No brow can be drawn so; the last good shape stays.
    #[error("{0}")]
    Conflict(#[from] SideConflict),
    /// The wrap can't be made from that tape or radius.
    #[error("{0}")]
    Wrap(#[from] WrapError),
    /// There is no shape to change and none can be proposed yet.
    #[error("{0}")]
    Study(#[from] StudyError),
}

fn first(problems: &[Problem]) -> String {
    problems
        .first()
        .map_or_else(String::new, |p| p.sentence.clone())
}
