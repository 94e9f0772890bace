//! Styles: what a way of drawing brows wants of a shape, as data.
//!
//! A style never says where a brow lies: start, peak and tail are mapped on
//! each face, heights and thickness are the natural hair's. It says within
//! which band it takes what the face has ([`Band`]), what it wants of the rest
//! and how far the artist may adapt that to a face ([`Leeway`]).
//! [`Style::on`] draws it there, inside both.
//!
//! Thickness at the body, the peak and along the tail is a share of the
//! thickness at the start, so that a style is the same on a small face and on
//! a large one.

mod apply;
mod made;
mod problem;

use serde::{Deserialize, Serialize};

pub use apply::{GaveWay, StyleError, StyleSide, Styled};
pub use problem::{LONGEST_ABOUT, LONGEST_STYLE_NAME, MOST_TAIL_PLACES, StyleProblem};

/// What a style takes from the face, and within which bounds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Band {
    /// Least that is taken.
    pub least: f64,
    /// Most that is taken.
    pub most: f64,
}

impl Band {
    /// The nearest value inside.
    pub fn take(&self, value: f64) -> f64 {
        value.max(self.least).min(self.most)
    }

    /// Inside, ends included.
    pub fn holds(&self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }
}

/// What a style wants, and how far an artist may adapt it to a face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Leeway {
    /// What it is drawn with where nothing is in the way.
    pub usual: f64,
    /// Least that is still this style.
    pub least: f64,
    /// Most that is still this style.
    pub most: f64,
}

impl Leeway {
    /// The bounds alone.
    pub const fn band(&self) -> Band {
        Band {
            least: self.least,
            most: self.most,
        }
    }

    /// From the usual value (0) to the least (1).
    pub fn toward_least(&self, share: f64) -> f64 {
        self.usual + share * (self.least - self.usual)
    }

    /// From the usual value (0) to the most (1).
    pub fn toward_most(&self, share: f64) -> f64 {
        self.usual + share * (self.most - self.usual)
    }
}

/// A way of drawing brows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Style {
    /// The name it is chosen by.
    pub name: String,
    /// What it looks like, in a sentence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub about: String,
    /// Where the peak may lie: distance from the inner eye corner as a share
    /// of the eye's width, in the frontal view, as published measures have it.
    /// The mapped peak is taken into it.
    pub peak_place: Band,
    /// How high the peak may lie above the front top, mm. The natural hair's
    /// own rise is taken into it.
    pub rise_mm: Band,
    /// Smallest radius of curvature around the peak, mm.
    pub peak_radius_mm: Leeway,
    /// Length of the rounding before the peak, as a share of the way from the
    /// front top to the peak.
    pub rounding: Leeway,
    /// Straightness: largest distance of the top line from its chord, mm.
    pub straight_mm: Leeway,
    /// Thickness at the start, mm. The natural hair's own is taken into it.
    pub start_mm: Band,
    /// Thickness halfway along the body, as a share of that at the start.
    pub body: Leeway,
    /// Thickness at the peak, likewise.
    pub peak: Leeway,
    /// Thickness along the tail, likewise, from the lower arch outward.
    pub tail: Vec<TailPlace>,
    /// Length of the tail, as a share of the mapped one: from the lower arch to
    /// where the aim at the ear meets the tail rule's line.
    pub tail_length: Leeway,
    /// How the front edge ends.
    pub front: StyleFront,
}

/// Thickness at one place of the tail.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct TailPlace {
    /// Where, as a share of the way from the lower arch (0) to the tip (1).
    pub at: f64,
    /// Thickness there, as a share of that at the start.
    pub thickness: Leeway,
}

/// How a style's front edge ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum StyleFront {
    /// Upright, with two corners.
    Square,
    /// Upright, both corners rounded.
    #[serde(rename_all = "kebab-case")]
    Soft {
        /// Tightest radius of each rounding, mm.
        radius_mm: Leeway,
    },
    /// Leaning, with two corners.
    #[serde(rename_all = "kebab-case")]
    Slanted {
        /// How much farther out the front top lies than the front bottom, mm;
        /// negative leans toward the midline.
        lean_mm: Leeway,
    },
}

impl StyleFront {
    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Square => "square",
            Self::Soft { .. } => "soft",
            Self::Slanted { .. } => "slanted",
        }
    }
}
