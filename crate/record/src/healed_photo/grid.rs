//! The agreed outline of one brow on a grid over the skin.

use ophryon_frames::{Lateral, Point, Side, Skin};
use ophryon_photo::{Band, BandPlace};

use super::lay::{FLAT_MM, LaidOver, view_sd};

/// Side of a cell of the grid over the skin, mm: areas of a brow come out to a
/// tenth of a percent.
const CELL_MM: f64 = 0.1;
/// How far the grid goes beyond the outline, mm: farther than powder spreads.
const MARGIN_MM: f64 = 2.5;

impl LaidOver {
    /// The grid over the skin of one side.
    pub fn band(&self, side: Side) -> Band {
        let grid = self.grid(side);
        let ring: Vec<_> = self.ring(side);
        let (width, height) = grid.size;
        let mut seen = Vec::with_capacity(width * height);
        let mut inside = Vec::with_capacity(width * height);
        for row in 0..height {
            let y = grid.place(0.5, row as f64 + 0.5).y;
            let crossings = crossings(&ring, y);
            for column in 0..width {
                let p = grid.place(column as f64 + 0.5, row as f64 + 0.5);
                seen.push(self.to_photo(side.place(p)));
                inside.push(crossings.partition_point(|x| *x <= p.x) % 2 == 1);
            }
        }
        Band {
            width,
            height,
            cell_mm: CELL_MM,
            seen,
            inside,
            place_sd_mm: *self.place_sd_mm.get(side),
        }
    }

    /// The agreed outline, offset included, side-neutral.
    fn ring(&self, side: Side) -> Vec<Point<Lateral>> {
        let ring = self.drawn.on_skin.get(side).flattened(FLAT_MM);
        ring.into_iter().map(|p| side.neutral(p)).collect()
    }

    /// How that grid lies on the skin.
    pub(super) fn grid(&self, side: Side) -> Grid {
        let ring = self.ring(side);
        let fold = |of: fn(&Point<Lateral>) -> f64, f: fn(f64, f64) -> f64, from: f64| {
            ring.iter().map(of).fold(from, f)
        };
        let (x0, x1) = (
            fold(|p| p.x, f64::min, f64::INFINITY) - MARGIN_MM,
            fold(|p| p.x, f64::max, f64::NEG_INFINITY) + MARGIN_MM,
        );
        let (y0, y1) = (
            fold(|p| p.y, f64::min, f64::INFINITY) - MARGIN_MM,
            fold(|p| p.y, f64::max, f64::NEG_INFINITY) + MARGIN_MM,
        );
        let cells = |mm: f64| (mm / CELL_MM).clamp(1.0, 2000.0) as usize;
        Grid {
            corner: Point::new(x0, y1),
            size: (cells(x1 - x0), cells(y1 - y0)),
        }
    }

    /// Share by which a brow's area comes out larger or smaller, because the
    /// head may be turned further in one photo than in the other (standard
    /// uncertainty): the skin falls away toward the tail.
    pub(super) fn view_share(&self, side: Side) -> f64 {
        let wrap = self.drawn.measured.wrap.get(side);
        let ring = self.ring(side);
        let slope = |p: &Point<Lateral>| {
            let at = side.place(*p);
            let ahead = Point::<Skin>::new(at.x + side.sign() * 0.5, at.y);
            let seen = (wrap.to_front(ahead).x - wrap.to_front(at).x).abs() / 0.5;
            let seen = seen.clamp(0.2, 1.0);
            (1.0 - seen * seen).sqrt() / seen
        };
        let mean = ring.iter().map(slope).sum::<f64>() / ring.len().max(1) as f64;
        view_sd() * mean
    }
}

/// How a band lies on the skin, side-neutral.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grid {
    corner: Point<Lateral>,
    pub(super) size: (usize, usize),
}

impl Grid {
    /// A place so many cells along and down.
    pub(super) fn place(&self, along: f64, down: f64) -> Point<Lateral> {
        Point::new(
            self.corner.x + along * CELL_MM,
            self.corner.y - down * CELL_MM,
        )
    }

    pub(super) fn at(&self, place: BandPlace) -> Point<Lateral> {
        self.place(place.along, place.down)
    }
}

/// Where a closed line crosses a height, in rising order.
fn crossings(ring: &[Point<Lateral>], y: f64) -> Vec<f64> {
    let next = ring.iter().cycle().skip(1);
    let mut all: Vec<f64> = ring
        .iter()
        .zip(next)
        .filter(|(a, b)| (a.y <= y) != (b.y <= y))
        .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
        .collect();
    all.sort_by(f64::total_cmp);
    all
}
