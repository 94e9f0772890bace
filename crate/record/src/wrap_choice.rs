//! How the frontal view lies on this client's skin, and how that is known.

use ophryon_frames::{Side, TYPICAL_DEPTH, Wrap};
use serde::{Deserialize, Serialize};

/// Where the wrap comes from. The wrap itself follows from it and from the
/// landmarks: [`crate::Record::wrap`].
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum WrapChoice {
    /// An upright profile of the typical depth. The sheet says that it is an
    /// estimate.
    #[default]
    Estimate,
    /// An upright profile from one tape length over the skin, from the start
    /// to the tail of the natural brow.
    Tape {
        /// The side the tape was laid on.
        side: Side,
        /// What it read, mm.
        length_mm: f64,
    },
    /// An upright cylinder of a radius known from elsewhere.
    Cylinder {
        /// Radius, mm.
        radius_mm: f64,
    },
    /// No wrap. The sheet says that it is short on skin.
    Flat,
}

impl WrapChoice {
    /// The wrap, where it doesn't depend on the photo: everything but a tape.
    pub fn fixed(&self) -> Option<Wrap> {
        match *self {
            Self::Estimate => Some(Wrap::Profile {
                depth: TYPICAL_DEPTH,
            }),
            Self::Cylinder { radius_mm } => Some(Wrap::Cylinder { radius_mm }),
            Self::Flat => Some(Wrap::Flat),
            Self::Tape { .. } => None,
        }
    }

    /// What to be careful about while no tape was laid; `None` where nothing is.
    pub const fn caution(&self) -> Option<&'static str> {
        match self {
            Self::Estimate => Some(
                "The curve of the skin is an estimate; draw a tape from start to tail over the skin and enter what it reads.",
            ),
            Self::Flat => Some(
                "The curve of the skin is left out: lengths along the brow are short on skin by several mm.",
            ),
            Self::Tape { .. } | Self::Cylinder { .. } => None,
        }
    }

    /// One sentence for the sheet and the screen.
    pub fn words(&self) -> String {
        match self {
            Self::Estimate => {
                "Curve of the skin: estimate of a typical head; one tape length makes it a measurement."
                    .to_owned()
            }
            Self::Tape { side, length_mm } => format!(
                "Curve of the skin: by tape, {length_mm:.1} mm over the client's {} brow.",
                side.name()
            ),
            Self::Cylinder { radius_mm } => {
                format!("Curve of the skin: cylinder of {radius_mm:.1} mm, chosen.")
            }
            Self::Flat => {
                "The curve of the skin is left out: the brows on this sheet are short on skin by several mm.".to_owned()
            }
        }
    }
}
