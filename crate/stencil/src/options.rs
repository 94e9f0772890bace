//! How a stencil is put on paper: one value that the app keeps, the command
//! line reads, and the layout obeys.

use ophryon_frames::Side;
use serde::{Deserialize, Serialize};

use crate::Paper;

/// Everything that can be chosen of a stencil sheet. The default is one pair on
/// A4, face up, with the code alone.
///
/// Whatever is written down may leave out what is as usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct SheetOptions {
    /// What it is printed on. The sheet is laid out upright where it fits so,
    /// else across.
    pub paper: Paper,
    /// Which brows.
    pub sides: Sides,
    /// How often the same on one page, with lines to cut it apart; from 1 to
    /// [`most_copies`](crate::most_copies).
    pub copies: u32,
    /// Which way it is laid on the skin.
    pub facing: Facing,
    /// The client's name beside her code; never unless asked for.
    pub with_name: bool,
}

impl Default for SheetOptions {
    fn default() -> Self {
        Self {
            paper: Paper::default(),
            sides: Sides::default(),
            copies: 1,
            facing: Facing::default(),
            with_name: false,
        }
    }
}

/// Which brows are on a stencil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sides {
    /// Both, as far apart as on the skin.
    #[default]
    Both,
    /// The client's right alone.
    Right,
    /// The client's left alone.
    Left,
}

impl Sides {
    /// All choices.
    pub const ALL: [Self; 3] = [Self::Both, Self::Right, Self::Left];

    /// "both brows", "the client's right brow".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Both => "both brows",
            Self::Right => "the client's right brow",
            Self::Left => "the client's left brow",
        }
    }

    /// Whether that side is drawn.
    pub const fn has(self, side: Side) -> bool {
        matches!(
            (self, side),
            (Self::Both, _) | (Self::Right, Side::Right) | (Self::Left, Side::Left)
        )
    }

    /// The sides that are drawn, the client's right first.
    pub fn drawn(self) -> impl Iterator<Item = Side> {
        Side::BOTH.into_iter().filter(move |side| self.has(*side))
    }
}

/// Which way the printed side looks when the sheet lies on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Facing {
    /// Up, toward the artist: the drawing is as one sees the client.
    #[default]
    FaceUp,
    /// Down, onto the skin, for transfer: the drawing is mirrored as a whole,
    /// the words stay readable.
    FaceDown,
}
