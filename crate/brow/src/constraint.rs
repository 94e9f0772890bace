//! The constraints by name, and what a reading of one consists of.

use ophryon_frames::{Lateral, Point};
use serde::{Deserialize, Serialize};

use crate::{BrowPoints, HairRegion};

/// A named constraint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Constraint {
    /// Largest distance of the top line from its chord.
    StraightTopLine,
    /// Smallest radius of curvature of the upper edge.
    RoundedPeak,
    /// The lower arch lies behind the peak, toward the tail.
    ArchBehindPeak,
    /// The tail runs toward the middle of the ear.
    TailAim,
    /// Thickness never grows from the lower arch to the tip.
    Taper,
    /// No self-crossing, no more changes of bend than allowed.
    SimpleOutline,
    /// Share of the hair inside the outline.
    HairInside,
    /// Largest step of the outline beyond the hair border.
    HairStep,
}

impl Constraint {
    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::StraightTopLine => "straight top line",
            Self::RoundedPeak => "rounded peak",
            Self::ArchBehindPeak => "arch behind peak",
            Self::TailAim => "tail aim",
            Self::Taper => "taper",
            Self::SimpleOutline => "simple outline",
            Self::HairInside => "hair inside",
            Self::HairStep => "hair step",
        }
    }
}

/// Unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Degrees.
    Degrees,
    /// Percent.
    Percent,
    /// A plain count.
    Count,
}

/// What a value is held against.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Tolerance {
    /// At most so much.
    AtMost {
        /// In the reading's unit.
        most: f64,
    },
    /// At least so much.
    AtLeast {
        /// In the reading's unit.
        least: f64,
    },
    /// Between two values.
    Within {
        /// In the reading's unit.
        least: f64,
        /// In the reading's unit.
        most: f64,
    },
    /// Only shown: the artist has set no limit.
    Shown,
}

/// Whether a constraint holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The value keeps its tolerance.
    Holds,
    /// It doesn't.
    Fails,
    /// Nothing to hold it against: no limit set, or no hair traced.
    Shown,
}

/// What would make a failing constraint hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Mend {
    /// One plain sentence: "turn the tail up by 4.0 degrees".
    pub sentence: String,
    /// The brow's points with that done (before the side's offset).
    pub points: BrowPoints,
}

/// One constraint as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Reading {
    /// Which constraint.
    pub constraint: Constraint,
    /// The measured value; `None` where there is nothing to measure.
    pub value: Option<f64>,
    /// Unit of value and tolerance.
    pub unit: Unit,
    /// What it is held against.
    pub tolerance: Tolerance,
    /// Whether it holds.
    pub verdict: Verdict,
    /// A second figure that belongs to it, in mm: the miss at the ear for the
    /// tail's aim (positive: the tail points above the ear's middle).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beside_mm: Option<f64>,
    /// The reading in words, with its number: "lower arch 1.5 mm behind the peak".
    pub sentence: String,
    /// What would mend it, where it fails and a remedy is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<Mend>,
}

/// What a brow stands among on its side of the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting<'a> {
    /// Middle of the ear on the skin, side-neutral, mm.
    pub ear: Point<Lateral>,
    /// This side's offset, which moves the brow against the ear and the hair.
    pub offset: crate::Offset,
    /// The natural hair on this side, where it is known.
    pub hair: Option<&'a HairRegion>,
}
