//! Copies of a strip in rows and columns, with lines to cut them apart.

use ophryon_frames::{Page, Point};

use crate::Placing;
use crate::sheet::{Mark, Stroke};
use crate::strip::{Layers, Strip};

/// White between two copies; the line to cut them apart runs in its middle, mm.
const BETWEEN_MM: f64 = 4.0;

/// Where scissors go between copies.
const APART: Stroke = Stroke {
    width_mm: 0.12,
    dashes: &[4.0, 2.0],
};

/// Rows and columns for so many copies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Grid {
    copies: u32,
    columns: u32,
}

/// How many of one size lie side by side in a room.
pub(crate) fn side_by_side(room_mm: f64, each_mm: f64) -> u32 {
    // A thousandth for rounding: what fits by measure fits.
    let count = ((room_mm + BETWEEN_MM + 1e-3) / (each_mm + BETWEEN_MM)).floor();
    if count >= 1.0 { count as u32 } else { 0 }
}

impl Grid {
    /// At least one column.
    pub(crate) fn new(copies: u32, columns: u32) -> Self {
        Self {
            copies,
            columns: columns.clamp(1, copies.max(1)),
        }
    }

    fn rows(self) -> u32 {
        self.copies.div_ceil(self.columns)
    }

    pub(crate) fn width_mm(self, strip: &Strip) -> f64 {
        extent(self.columns, strip.width_mm())
    }

    pub(crate) fn height_mm(self, strip: &Strip) -> f64 {
        extent(self.rows(), strip.height_mm())
    }

    /// Draws all copies with the upper left corner there; says where the skin
    /// lies for each.
    pub(crate) fn draw(
        self,
        strip: &Strip,
        corner: Point<Page>,
        layers: &mut Layers,
    ) -> Vec<Placing> {
        let (step_x, step_y) = (
            strip.width_mm() + BETWEEN_MM,
            strip.height_mm() + BETWEEN_MM,
        );
        let placings = (0..self.copies)
            .map(|copy| {
                let (row, column) = (copy / self.columns, copy % self.columns);
                let at = Point::new(
                    corner.x + f64::from(column) * step_x,
                    corner.y + f64::from(row) * step_y,
                );
                strip.draw(at, copy + 1, layers)
            })
            .collect();
        let (right, lower) = (
            corner.x + self.width_mm(strip),
            corner.y + self.height_mm(strip),
        );
        let half = BETWEEN_MM / 2.0;
        let mut lines = vec![];
        for row in 1..self.rows() {
            let y = corner.y + f64::from(row) * step_y - half;
            lines.push([Point::new(corner.x, y), Point::new(right, y)]);
        }
        for column in 1..self.columns {
            let x = corner.x + f64::from(column) * step_x - half;
            lines.push([Point::new(x, corner.y), Point::new(x, lower)]);
        }
        if !lines.is_empty() {
            let stroke = APART;
            layers
                .cut_lines
                .draw_as("cut-apart", Mark::Lines { lines, stroke });
        }
        placings
    }
}

fn extent(count: u32, each_mm: f64) -> f64 {
    f64::from(count) * (each_mm + BETWEEN_MM) - BETWEEN_MM
}
