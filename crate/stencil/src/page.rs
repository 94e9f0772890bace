//! Paper: its exact size and the part of it that every printer reaches.

use serde::{Deserialize, Serialize};

/// Kept white on all sides. Ink-jet printers can't reach the last 3 to 12.7 mm
/// of a sheet (common practice, no source); the lower edge is the worst.
pub const MARGIN_MM: f64 = 13.0;

/// A size of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 215.9 x 279.4 mm, 8.5 x 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Both sizes.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// The name on the pack.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    /// Width in mm.
    pub const fn width_mm(self) -> f64 {
        match self {
            Self::A4 => 210.0,
            Self::Letter => 215.9,
        }
    }

    /// Height in mm.
    pub const fn height_mm(self) -> f64 {
        match self {
            Self::A4 => 297.0,
            Self::Letter => 279.4,
        }
    }

    /// The other size.
    pub const fn other(self) -> Self {
        match self {
            Self::A4 => Self::Letter,
            Self::Letter => Self::A4,
        }
    }
}
