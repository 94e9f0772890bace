//! From skin to page: where everything on a stencil sheet lies.

use ophryon_brow::Outline;
use ophryon_frames::{Page, Point, Side, Sided, Skin};
use serde::{Deserialize, Serialize};

use crate::{Caption, Paper, Sheet};

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

/// What goes on a stencil sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetContent {
    /// Both outlines on the skin, where they belong.
    pub outlines: Sided<Outline<Skin>>,
    /// What the sheet says.
    pub caption: Caption,
    /// What it is printed on.
    pub paper: Paper,
    /// Which way it is laid on the skin.
    pub facing: Facing,
}

/// Where skin lies on a page. True size: 1 mm is 1 mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    /// Where midline and pupil line meet.
    pub origin: Point<Page>,
    /// Which way the drawing is turned.
    pub facing: Facing,
}

impl Placing {
    /// Where a place on the skin lies on the page. Face up, the client's right
    /// is on the page's left, as one sees the client.
    pub fn to_page(&self, p: Point<Skin>) -> Point<Page> {
        let outward = match self.facing {
            Facing::FaceUp => p.x,
            Facing::FaceDown => -p.x,
        };
        Point::new(self.origin.x + outward, self.origin.y - p.y)
    }
}

/// Why there can be no sheet, and the way out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SheetError {
    /// An outline without segments or with a coordinate that is no number.
    #[error("the client's {} brow has no outline that can be printed; draw it again", .side.name())]
    NoOutline {
        /// The side.
        side: Side,
    },
    /// Wider than the paper.
    #[error("the pair needs {needed_mm:.0} mm across and {} leaves {room_mm:.0} mm; {}", .paper.name(), way_out(*.needed_mm, *.other_room_mm, .paper.other()))]
    TooWide {
        /// What the pair and its marks need across, mm.
        needed_mm: f64,
        /// What the paper leaves, mm.
        room_mm: f64,
        /// What the other paper leaves, mm.
        other_room_mm: f64,
        /// The paper asked for.
        paper: Paper,
    },
    /// Higher than the paper.
    #[error("the pair with its pupil line needs {needed_mm:.0} mm from top to bottom and {} leaves {room_mm:.0} mm; {}", .paper.name(), way_out(*.needed_mm, *.other_room_mm, .paper.other()))]
    TooHigh {
        /// What the pair, the pupil line and its marks need, mm.
        needed_mm: f64,
        /// What the paper leaves, mm.
        room_mm: f64,
        /// What the other paper leaves, mm.
        other_room_mm: f64,
        /// The paper asked for.
        paper: Paper,
    },
}

fn way_out(needed_mm: f64, other_room_mm: f64, other: Paper) -> String {
    if needed_mm <= other_room_mm {
        format!(
            "use {} paper, which leaves {other_room_mm:.0} mm",
            other.name()
        )
    } else {
        "no brows are that large: check the scale of the photo and the tape length".to_owned()
    }
}

/// Lays out the stencil sheet.
///
/// # Errors
/// [`SheetError`], when an outline can't be printed or doesn't fit the paper.
pub fn lay_out(content: &SheetContent) -> Result<Sheet, SheetError> {
    crate::drawing::stencil(content)
}
