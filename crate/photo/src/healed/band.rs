//! The agreed outline on a grid over the skin.

use ophryon_frames::{Photo, Point};

use crate::hair::Mask;

/// A grid over the skin of one brow: columns run from the start to the tail,
/// rows from above down. Its frame is the grid's own; [`BandPlace`] names a
/// place in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Cells from start to tail.
    pub width: usize,
    /// Cells down.
    pub height: usize,
    /// Side of a cell on the skin, mm.
    pub cell_mm: f64,
    /// By rows: where the middle of each cell is seen in the photo.
    pub seen: Vec<Point<Photo>>,
    /// By rows: whether the middle of the cell lies inside the agreed outline.
    pub inside: Vec<bool>,
    /// How far the outline may lie beside its place in this photo (standard
    /// uncertainty), mm.
    pub place_sd_mm: f64,
}

/// A place in a band: cells along and down from its corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandPlace {
    /// Cells from the start.
    pub along: f64,
    /// Cells from above.
    pub down: f64,
}

/// Least and most cells of a band: a brow is 10 to 110 mm long.
const CELLS: std::ops::RangeInclusive<usize> = 400..=4_000_000;

impl Band {
    /// Whether there are as many values as cells, and a brow among them.
    pub(super) fn is_sound(&self) -> bool {
        let cells = self.width.checked_mul(self.height);
        cells.is_some_and(|n| CELLS.contains(&n) && self.seen.len() == n && self.inside.len() == n)
            && self.cell_mm > 0.0
            && self.cell_mm < 1.0
            && self.inside.contains(&true)
    }

    pub(super) fn mask(&self) -> Mask {
        Mask {
            width: self.width,
            height: self.height,
            on: self.inside.clone(),
        }
    }

    /// A length on the skin in cells.
    pub(super) fn cells(&self, mm: f64) -> f64 {
        mm / self.cell_mm
    }

    /// Area of so many cells, mm².
    pub(super) fn mm2(&self, cells: usize) -> f64 {
        cells as f64 * self.cell_mm * self.cell_mm
    }
}
