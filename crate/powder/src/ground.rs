//! Depth and place along the brow on a grid, so that every pixel and every
//! dot need not measure the outline again.

use ophryon_frames::{Front, Point, Vector};

use crate::bed::Bed;

/// Side of a cell, mm. Distances are exact at its middle and straight between:
/// 0.01 mm off where an edge bends with a radius of 1 mm.
const CELL_MM: f64 = 0.2;

/// So much beside the bed is known as well, mm: the line's halo lies there.
pub(crate) const BESIDE_MM: f64 = 1.6;

/// A bed measured once.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    corner: Point<Front>,
    width: usize,
    height: usize,
    /// Depth (mm) and place along the brow, by rows.
    cells: Vec<[f32; 2]>,
}

impl Ground {
    pub(crate) fn of(bed: &Bed) -> Self {
        let Some((low, high)) = bed.bounds() else {
            return Self {
                corner: Point::new(0.0, 0.0),
                width: 0,
                height: 0,
                cells: Vec::new(),
            };
        };
        let corner = low + Vector::new(-BESIDE_MM, -BESIDE_MM);
        let cells = |from: f64, to: f64| ((to + BESIDE_MM - from) / CELL_MM).ceil() as usize + 1;
        let (width, height) = (cells(corner.x, high.x), cells(corner.y, high.y));
        let places = (0..width * height).map(|i| {
            let (column, row) = ((i % width) as f64, (i / width) as f64);
            let p = corner + Vector::new(column, row) * CELL_MM;
            [bed.depth(p) as f32, bed.along(p) as f32]
        });
        Self {
            corner,
            width,
            height,
            cells: places.collect(),
        }
    }

    /// Depth (mm) and place along the brow; `None` well beside the bed.
    pub(crate) fn at(&self, p: Point<Front>) -> Option<(f64, f64)> {
        let (x, y) = (
            (p.x - self.corner.x) / CELL_MM,
            (p.y - self.corner.y) / CELL_MM,
        );
        // What is no number is not inside either.
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        let (column, row) = (x as usize, y as usize);
        if column + 1 >= self.width || row + 1 >= self.height {
            return None;
        }
        let (right, up) = (x - column as f64, y - row as f64);
        let first = row * self.width + column;
        let mix = |of: usize| {
            let cell = |i: usize| f64::from(self.cells[i][of]);
            let below = cell(first) + (cell(first + 1) - cell(first)) * right;
            let next = first + self.width;
            let above = cell(next) + (cell(next + 1) - cell(next)) * right;
            below + (above - below) * up
        };
        Some((mix(0), mix(1)))
    }
}
