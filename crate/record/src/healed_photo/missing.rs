//! What is missing inside the agreed outline, on the skin.

use ophryon_frames::{Point, Side, Skin};
use ophryon_photo::{BandPlace, Patch};

use super::lay::LaidOver;

/// Where along the brow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MissingPart {
    /// The first fifth.
    Start,
    /// The second and third.
    Body,
    /// The fourth.
    Arch,
    /// The last.
    Tail,
}

impl MissingPart {
    const fn of(fifth: usize) -> Self {
        match fifth {
            0 => Self::Start,
            1 | 2 => Self::Body,
            3 => Self::Arch,
            _ => Self::Tail,
        }
    }

    /// The name that the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Body => "body",
            Self::Arch => "arch",
            Self::Tail => "tail",
        }
    }
}

/// One piece to fill again.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// Where along the brow.
    pub part: MissingPart,
    /// A patch with powder round it, and not an edge that drew back.
    pub is_patch: bool,
    /// On the skin, mm².
    pub area_mm2: f64,
    /// Its place is surer than it is thick. An edge that isn't may be the
    /// outline lying beside its place.
    pub is_sure: bool,
    /// Share of the usual strength that is left there.
    pub left: f64,
    /// Its middle.
    pub middle: Point<Skin>,
    /// Closed lines round it, in order.
    pub lines: Vec<Vec<Point<Skin>>>,
}

impl Missing {
    pub(super) fn of(laid: &LaidOver, side: Side, patch: &Patch) -> Self {
        let grid = laid.grid(side);
        let on_skin = |p: &BandPlace| side.place(grid.at(*p));
        Self {
            part: MissingPart::of(patch.fifth),
            is_patch: patch.is_inside,
            area_mm2: patch.area_mm2,
            is_sure: patch.is_inside || patch.thick_mm > 2.0 * laid.place_sd_mm.get(side),
            left: patch.left,
            middle: on_skin(&patch.middle),
            lines: patch
                .lines
                .iter()
                .map(|line| line.iter().map(on_skin).collect())
                .collect(),
        }
    }

    /// "a patch of 6.2 mm² in the body".
    pub fn words(&self) -> String {
        let (what, at) = if self.is_patch {
            ("a patch", "in")
        } else {
            ("the edge", "along")
        };
        let unsure = if self.is_sure {
            ""
        } else {
            " (thinner than its place is sure: look at the skin)"
        };
        format!(
            "{what} of {:.1} mm² {at} the {}{unsure}",
            self.area_mm2,
            self.part.name()
        )
    }
}
