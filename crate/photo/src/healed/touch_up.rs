//! What is missing inside the agreed outline: where, how much, and the closed
//! lines to fill.

use ophryon_frames::{Photo, Point, signed_area, simplified};

use super::filled::{FIFTHS, Field};
use super::{Band, BandPlace};
use crate::hair::{Mask, rings};
use crate::plane::Plane;

/// What is thinner than twice this is not to be filled, mm: as far as an edge
/// may lie beside its place.
const SLIVER_MM: f64 = 0.32;
/// Pieces smaller than this neither, mm².
const LEAST_MM2: f64 = 1.0;
/// Farther inside than this a missing piece is a patch and no edge, mm.
const EDGE_MM: f64 = 0.8;
/// Corners are rounded over so many mm.
const SMOOTH_MM: f64 = 0.18;
/// Lines keep this near to what was found, mm.
const LINE_MM: f64 = 0.04;

/// One piece that is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// On the skin, mm².
    pub area_mm2: f64,
    /// Its middle.
    pub middle: BandPlace,
    /// In which fifth of the brow that lies, from 0 at the start.
    pub fifth: usize,
    /// It lies inside with powder round it, and is not the edge that drew back.
    pub is_inside: bool,
    /// How thick it is where it is thickest, mm.
    pub thick_mm: f64,
    /// How far it has faded: share of the usual strength that is left.
    pub left: f64,
    /// Closed lines round it; those that wind the other way are what is still
    /// filled in it.
    pub lines: Vec<Vec<BandPlace>>,
}

/// Everything to fill, the largest first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TouchUp {
    /// Piece by piece.
    pub patches: Vec<Patch>,
}

impl TouchUp {
    pub(super) fn of(field: &Field<'_>, region: &Mask) -> Self {
        let band = field.band;
        let w = band.width;
        let missing = field
            .drawn
            .and(|i| !region.on[i])
            .opened(band.cells(SLIVER_MM));
        // Opening by a disc can bulge out of nothing, yet not out of the outline.
        let missing = missing.and(|i| field.drawn.on[i]);
        let least = LEAST_MM2 / (band.cell_mm * band.cell_mm);
        let core = field.drawn.shrunk(band.cells(EDGE_MM));
        let columns = |i: &usize| i % w;
        let drawn = (0..field.drawn.on.len()).filter(|i| field.drawn.on[*i]);
        let (first, last) = drawn.fold((w, 0), |(a, b), i| (a.min(i % w), b.max(i % w)));
        let mut patches: Vec<Patch> = missing
            .pieces()
            .into_iter()
            .filter(|piece| piece.len() as f64 >= least)
            .map(|piece| {
                let n = piece.len() as f64;
                let along = piece.iter().map(|i| columns(i) as f64).sum::<f64>() / n + 0.5;
                let down = piece.iter().map(|i| (i / w) as f64).sum::<f64>() / n + 0.5;
                let inner = piece.iter().filter(|i| core.on[**i]).count() as f64;
                let share = (along - first as f64) / (last - first + 1) as f64;
                let left = piece
                    .iter()
                    .map(|i| f64::from(field.strength[*i]) / field.usual[i % w].max(1e-6))
                    .sum::<f64>()
                    / n;
                let mut alone = Mask {
                    on: vec![false; missing.on.len()],
                    ..missing
                };
                for i in &piece {
                    alone.on[*i] = true;
                }
                let deepest = alone
                    .not()
                    .squared_distances()
                    .into_iter()
                    .zip(&alone.on)
                    .filter(|(_, on)| **on)
                    .fold(0.0, |most: f32, (d, _)| most.max(d));
                Patch {
                    thick_mm: 2.0 * f64::from(deepest).sqrt() * band.cell_mm,
                    area_mm2: band.mm2(piece.len()),
                    middle: BandPlace { along, down },
                    fifth: ((share * FIFTHS as f64) as usize).min(FIFTHS - 1),
                    is_inside: inner > 0.5 * n,
                    left: left.clamp(0.0, 1.0),
                    lines: within(&alone, &field.drawn, band),
                }
            })
            .filter(|patch| !patch.lines.is_empty())
            .collect();
        patches.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
        Self { patches }
    }

    /// All together, mm².
    pub fn area_mm2(&self) -> f64 {
        self.patches.iter().map(|p| p.area_mm2).sum()
    }
}

/// Smooth closed lines round a piece that nowhere leave the outline.
fn within(piece: &Mask, drawn: &Mask, band: &Band) -> Vec<Vec<BandPlace>> {
    let smooth = soft(piece, band, SMOOTH_MM);
    let bound = soft(drawn, band, 0.5 * SMOOTH_MM);
    let values = smooth.values.iter().zip(&bound.values);
    let values = values.map(|(a, b)| a.min(*b)).collect();
    lines(&smooth.with(values), band)
}

/// Smooth closed lines round a region.
pub(super) fn rings_of(region: &Mask, band: &Band, smooth_mm: f64) -> Vec<Vec<BandPlace>> {
    lines(&soft(region, band, smooth_mm), band)
}

fn soft(mask: &Mask, band: &Band, smooth_mm: f64) -> Plane {
    let values = mask.on.iter().map(|on| f32::from(u8::from(*on))).collect();
    Plane::grid_of(mask.width, mask.height, values).blurred(band.cells(smooth_mm))
}

/// A plane of its own lies nowhere in a photo: its places are cells.
fn lines(plane: &Plane, band: &Band) -> Vec<Vec<BandPlace>> {
    let least = 0.25 * LEAST_MM2 / (band.cell_mm * band.cell_mm);
    rings(plane, 0.5)
        .into_iter()
        .filter(|ring| signed_area(ring).abs() >= least)
        .map(|ring| simplified(&ring, band.cells(LINE_MM)))
        .filter(|ring| !ring.is_empty())
        .map(|ring| {
            let place = |p: &Point<Photo>| BandPlace {
                along: p.x,
                down: p.y,
            };
            ring.iter().map(place).collect()
        })
        .collect()
}
