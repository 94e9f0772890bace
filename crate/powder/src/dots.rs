//! Dots scattered like the blue noise that hands aim at: nowhere two on top of
//! each other, nowhere a row.
//!
//! Dart throwing with a distance that grows where the powder is thinner (Cook,
//! "Stochastic sampling in computer graphics", ACM TOG 5(1), 1986): darts are
//! thrown over the box, and one stays if it lies inside and no earlier one is
//! nearer than the distance wanted there.

use ophryon_frames::{Front, Point, Vector};

use crate::bed::Bed;
use crate::chance::Chance;
use crate::ground::Ground;
use crate::manner::Manner;

/// Thinner than this there are no dots, only the fading haze.
const THINNEST: f64 = 0.03;

/// Darts for each dot that could stand in the box. More fill the last gaps
/// ever more slowly.
const DARTS: f64 = 40.0;

/// Dots that fill a plane without more room are so many times 1 / distance².
/// (Random sequential adsorption of discs: they cover 0.547 of the plane.)
const FULL: f64 = 0.7;

/// More than on any two brows; finer wishes are cut off here.
const MOST_DARTS: f64 = 4e6;

/// Dots are never asked for closer than this, mm.
const CLOSEST_MM: f64 = 0.15;

/// Dots differ in size by up to this share, either way.
const SPREAD: f64 = 0.25;

/// One dot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// Its middle.
    pub at: Point<Front>,
    /// Its size as a share of the usual.
    pub size: f64,
}

/// Scatters dots over a bed. The same bed and manner give the same dots.
pub fn dots(bed: &Bed, manner: &Manner) -> Vec<Dot> {
    scattered(bed, &Ground::of(bed), manner)
}

pub(crate) fn scattered(bed: &Bed, ground: &Ground, manner: &Manner) -> Vec<Dot> {
    let is_apart = manner.spacing_mm >= CLOSEST_MM;
    let (Some((low, high)), true) = (bed.bounds(), is_apart) else {
        return Vec::new();
    };
    let (wide, high) = (high.x - low.x, high.y - low.y);
    let most = FULL * wide * high / (manner.spacing_mm * manner.spacing_mm);
    let mut near = Near::new(low, wide, high, manner.spacing_mm);
    let mut chance = Chance::of_shape(bed.rings());
    // A side's mirror image is scattered as its mirror image.
    let is_left = bed.rings().iter().flatten().map(|p| p.x).sum::<f64>() >= 0.0;
    for _ in 0..(DARTS * most).min(MOST_DARTS) as u64 {
        let (across, up, size) = (chance.unit(), chance.unit(), chance.unit());
        let across = if is_left { across } else { 1.0 - across };
        let at = low + Vector::new(across * wide, up * high);
        let size = 1.0 + SPREAD * (2.0 * size - 1.0);
        let Some(place) = ground.at(at) else {
            continue;
        };
        let density = manner.density(place);
        if density < THINNEST {
            continue;
        }
        let apart = manner.spacing_mm / density.sqrt();
        // The grid is a hundredth off; a dot must not leave the outline.
        if near.has_none_within(at, apart) && bed.depth(at) > 0.5 * manner.dot_mm * size {
            near.add(Dot { at, size });
        }
    }
    near.dots
}

/// Dots by cells of a grid.
struct Near {
    dots: Vec<Dot>,
    cells: Vec<Vec<u32>>,
    columns: usize,
    low: Point<Front>,
    side: f64,
}

impl Near {
    fn new(low: Point<Front>, wide: f64, high: f64, side: f64) -> Self {
        let count = |length: f64| (length / side) as usize + 1;
        Self {
            dots: Vec::new(),
            cells: vec![Vec::new(); count(wide) * count(high)],
            columns: count(wide),
            low,
            side,
        }
    }

    fn cell(&self, p: Point<Front>) -> (usize, usize) {
        let at = |from: f64, to: f64| ((to - from).max(0.0) / self.side) as usize;
        (at(self.low.x, p.x), at(self.low.y, p.y))
    }

    fn has_none_within(&self, p: Point<Front>, apart: f64) -> bool {
        let reach = Vector::new(apart, apart);
        let ((left, below), (right, above)) = (self.cell(p + -reach), self.cell(p + reach));
        (below..=above).all(|row| {
            (left..=right.min(self.columns - 1)).all(|column| {
                let cell = self.cells.get(row * self.columns + column);
                let far = |i: &u32| {
                    let off = self.dots[*i as usize].at - p;
                    off.dot(off) >= apart * apart
                };
                cell.is_none_or(|dots| dots.iter().all(far))
            })
        })
    }

    fn add(&mut self, dot: Dot) {
        let (column, row) = self.cell(dot.at);
        let index = self.dots.len() as u32;
        if let Some(cell) = self.cells.get_mut(row * self.columns + column) {
            cell.push(index);
            self.dots.push(dot);
        }
    }
}
