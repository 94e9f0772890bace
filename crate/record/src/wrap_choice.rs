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

    /// One sentence for the sheet and the screen.
    pub fn words(&self) -> String {
        match self {
            Self::Estimate => {
                "Skin wrap: estimate of a typical head; one tape length makes it a measurement."
                    .to_owned()
            }
            Self::Tape { side, length_mm } => format!(
                "Skin wrap: by tape, {length_mm:.1} mm over the client's {} brow.",
                side.name()
            ),
            Self::Cylinder { radius_mm } => {
                format!("Skin wrap: cylinder of {radius_mm:.1} mm, chosen.")
            }
            Self::Flat => {
                "No skin wrap: the brows on this sheet are short on skin by several mm.".to_owned()
            }
        }
    }
}
