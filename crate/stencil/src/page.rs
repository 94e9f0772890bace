//! Paper: its exact size and the part of it that every printer reaches.

use serde::{Deserialize, Serialize};

/// Kept white on all sides of office paper, mm. Ink-jet printers can't reach the
/// last 3 to 12.7 mm of a sheet (common practice, no source); the lower edge is
/// the worst.
pub const MARGIN_MM: f64 = 13.0;

/// A size of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    #[serde(rename = "a4")]
    A4,
    /// 215.9 x 279.4 mm, 8.5 x 11 in (ANSI/ASME Y14.1, size A).
    #[serde(rename = "letter")]
    Letter,
    /// 148 x 210 mm (ISO 216).
    #[serde(rename = "a5")]
    A5,
    /// 105 x 148 mm (ISO 216).
    #[serde(rename = "a6")]
    A6,
    /// 100 x 150 mm, the metric shipping label (common stock, no standard).
    #[serde(rename = "100x150")]
    Label100x150,
    /// 101.6 x 152.4 mm, 4 x 6 in, the shipping label in inches (common stock,
    /// no standard).
    #[serde(rename = "4x6in")]
    Label4x6In,
    /// 62 x 150 mm, cut or torn from a roll of 62 mm (common stock, no
    /// standard): one brow to a piece.
    #[serde(rename = "62x150")]
    Roll62x150,
}

impl Paper {
    /// Every size, the large ones first.
    pub const ALL: [Self; 7] = [
        Self::A4,
        Self::Letter,
        Self::A5,
        Self::A6,
        Self::Label100x150,
        Self::Label4x6In,
        Self::Roll62x150,
    ];

    /// Those with room for notes and lists beside the drawing.
    pub const LARGE: [Self; 2] = [Self::A4, Self::Letter];

    /// The name on the pack, after which "paper" can stand.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
            Self::A5 => "A5",
            Self::A6 => "A6",
            Self::Label100x150 => "100 x 150 mm",
            Self::Label4x6In => "4 x 6 in",
            Self::Roll62x150 => "62 x 150 mm",
        }
    }

    /// Short and without spaces, for the command line and for settings: "a4".
    pub const fn id(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
            Self::A5 => "a5",
            Self::A6 => "a6",
            Self::Label100x150 => "100x150",
            Self::Label4x6In => "4x6in",
            Self::Roll62x150 => "62x150",
        }
    }

    /// The paper of that [`id`](Self::id).
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.id() == id)
    }

    /// What it is and where it is common, in a line.
    pub const fn about(self) -> &'static str {
        match self {
            Self::A4 => "210 x 297 mm, office paper",
            Self::Letter => "8.5 x 11 in, office paper",
            Self::A5 => "148 x 210 mm, half of A4",
            Self::A6 => "105 x 148 mm, postcard or label",
            Self::Label100x150 => "shipping label",
            Self::Label4x6In => "101.6 x 152.4 mm, shipping label",
            Self::Roll62x150 => "a piece of a 62 mm roll",
        }
    }

    /// Width in mm.
    pub const fn width_mm(self) -> f64 {
        match self {
            Self::A4 => 210.0,
            Self::Letter => 215.9,
            Self::A5 => 148.0,
            Self::A6 => 105.0,
            Self::Label100x150 => 100.0,
            Self::Label4x6In => 101.6,
            Self::Roll62x150 => 62.0,
        }
    }

    /// Height in mm.
    pub const fn height_mm(self) -> f64 {
        match self {
            Self::A4 => 297.0,
            Self::Letter => 279.4,
            Self::A5 => 210.0,
            Self::A6 => 148.0,
            Self::Label100x150 | Self::Roll62x150 => 150.0,
            Self::Label4x6In => 152.4,
        }
    }

    /// Kept white on all sides, mm. Label printers reach all but the last 2 or
    /// 3 mm (common practice, no source).
    pub const fn margin_mm(self) -> f64 {
        match self {
            Self::A4 | Self::Letter => MARGIN_MM,
            Self::A5 => 5.0,
            Self::A6 | Self::Label100x150 | Self::Label4x6In => 4.0,
            Self::Roll62x150 => 3.0,
        }
    }

    /// Too small for notes beside the drawing.
    pub const fn is_small(self) -> bool {
        !matches!(self, Self::A4 | Self::Letter)
    }

    /// What lists go on when the stencil goes on this: itself, or office paper.
    pub const fn for_lists(self) -> Self {
        match self {
            Self::Letter | Self::Label4x6In => Self::Letter,
            _ => Self::A4,
        }
    }
}
