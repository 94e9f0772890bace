//! A bed measured on a grid, so that not every pixel and every dot measures the
//! outline again.

use ophryon_frames::{Front, Point, Vector};

use crate::bed::Bed;
use crate::manner::Place;

/// Side of a cell, mm. Distances are exact at its middle and straight between:
/// 0.01 mm off where an edge bends with a radius of 1 mm.
const CELL_MM: f64 = 0.2;

/// So much beside the bed is known as well, mm: the line's halo lies there.
pub(crate) const BESIDE_MM: f64 = 1.6;

/// Farther outside than this only the depth is asked for, mm: two cells.
const NEAR_MM: f64 = 2.0 * CELL_MM;

/// Half the thickness of a brow is less, mm.
const THICKEST_MM: f64 = 40.0;

/// A bed measured once.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    corner: Point<Front>,
    width: usize,
    height: usize,
    /// Depth (mm), place along the brow and half the thickness (mm), by rows.
    cells: Vec<[f32; 3]>,
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
        let count = |from: f64, to: f64| ((to + BESIDE_MM - from) / CELL_MM).ceil() as usize + 1;
        let (width, height) = (count(corner.x, high.x), count(corner.y, high.y));
        let mut cells = Vec::with_capacity(width * height);
        let mut last_mm = 0.0_f64;
        for row in 0..height {
            for column in 0..width {
                let p = corner + Vector::new(column as f64, row as f64) * CELL_MM;
                let distance_mm = bed.edge_distance(p);
                // From cell to cell an edge must be crossed to come inside or out.
                let is_known = column > 0 && last_mm.abs() > CELL_MM;
                let is_inside = if is_known {
                    last_mm > 0.0
                } else {
                    bed.holds(p)
                };
                last_mm = if is_inside { distance_mm } else { -distance_mm };
                cells.push(if last_mm > -NEAR_MM {
                    let place = bed.place_at(p, last_mm);
                    // A thickness that isn't known is as any brow's: none is thicker.
                    let half_mm = place.half_mm.min(THICKEST_MM);
                    [last_mm as f32, place.along as f32, half_mm as f32]
                } else {
                    [last_mm as f32, 0.0, 0.0]
                });
            }
        }
        Self {
            corner,
            width,
            height,
            cells,
        }
    }

    /// What is known of a place; `None` well beside the bed.
    pub(crate) fn at(&self, p: Point<Front>) -> Option<Place> {
        let (x, y) = (
            (p.x - self.corner.x) / CELL_MM,
            (p.y - self.corner.y) / CELL_MM,
        );
        // What is no number is not inside either.
        let is_in = |v: f64, count: usize| v >= 0.0 && v < count.saturating_sub(1) as f64;
        if !(is_in(x, self.width) && is_in(y, self.height)) {
            return None;
        }
        let (column, row) = (x as usize, y as usize);
        let (right, up) = (x - column as f64, y - row as f64);
        let first = row * self.width + column;
        let mix = |of: usize| {
            let cell = |i: usize| f64::from(self.cells[i][of]);
            let below = cell(first) + (cell(first + 1) - cell(first)) * right;
            let next = first + self.width;
            let above = cell(next) + (cell(next + 1) - cell(next)) * right;
            below + (above - below) * up
        };
        Some(Place {
            depth_mm: mix(0),
            along: mix(1),
            half_mm: mix(2),
        })
    }
}
