//! What of the agreed outline is filled, and how much of its area and
//! thickness that is.

use super::strength::Pigment;
use super::touch_up::{TouchUp, rings_of};
use super::usual::{MOST_SHADE, less_beside};
use super::{Band, BandPlace, NoPigment};
use crate::hair::Mask;

/// A brow is told in so many parts from start to tip.
pub const FIFTHS: usize = 5;

/// Share of the usual strength nearby at which a place counts as filled: half
/// of the powder. Cameras press bright tones together, so that half may come
/// out as a little less on fair skin; how much, no photo tells.
pub(super) const HALF: f64 = 0.5;
/// The same, lower and higher: how much the answer hangs on it.
const AROUND_HALF: [f64; 2] = [0.4, 0.6];
/// How far an area may be off by edges alone (standard uncertainty), and how
/// much more where powder lies but few of the skin's standard deviations from
/// it. Ours: tried on one set of drawn photos, and checked on others.
const EDGE_SD: f64 = 0.012;
const SKIN_SD: f64 = 0.35;
/// Of a brow under hair, so much may be missing unseen: half of what healing
/// commonly takes.
const UNSEEN: f64 = 0.2;
/// So many standard deviations of the skin are never powder, as far as that
/// leaves what is a third as strong as the middle of the brow.
const NOISE: f64 = 2.5;
const LEAST_POWDER: f64 = 0.33;
/// Holes of the filled region smaller than this are between two dots, mm².
const DOT_MM2: f64 = 0.25;
/// And what is thinner than twice this is a hair or a freckle, mm.
const SPECK_MM: f64 = 0.15;
/// Powder spreads this far at most, mm; what lies farther is something else.
const SPREAD_MM: f64 = 1.2;
/// Of the length of the brow, where its body lies.
const BODY: (f64, f64) = (0.08, 0.7);

/// Upper and lower edge by columns of the band, cells from above; `None` where
/// a column has nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Columns {
    /// Of the agreed outline.
    pub drawn: Vec<Option<(f64, f64)>>,
    /// Of what is filled.
    pub healed: Vec<Option<(f64, f64)>>,
}

/// What is filled at one threshold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filled {
    /// Of the agreed area: what is filled, in and just beside the outline.
    pub area: f64,
    /// Mean over the body of what is filled of each column's thickness.
    pub thickness: f64,
    /// The same by fifths from start to tip.
    pub fifths: [f64; FIFTHS],
}

/// One healed brow, measured on its band.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Shares of what was agreed.
    pub kept: Filled,
    /// Standard uncertainty of each, by the threshold and by how far the skin
    /// can be told; scale and place are the caller's.
    pub sd: Filled,
    /// Agreed area, mm².
    pub drawn_mm2: f64,
    /// Filled beyond the outline by more than it may lie beside its place, mm².
    pub spill_mm2: f64,
    /// Share of the agreed area where hairs stand too close to tell powder by.
    pub under_hair: f64,
    /// How much darker than the skin the middle is, 0 to 1.
    pub darkness: f64,
    /// Standard uncertainty of that.
    pub darkness_sd: f64,
    /// How many standard deviations of the skin that is.
    pub apart: f64,
    /// Edges by columns.
    pub columns: Columns,
    /// Closed lines round what is filled.
    pub edge: Vec<Vec<BandPlace>>,
    /// What is missing inside the outline.
    pub touch_up: TouchUp,
}

/// The band with what is known of each of its cells.
pub(super) struct Field<'a> {
    pub band: &'a Band,
    pub drawn: Mask,
    pub strength: Vec<f32>,
    pub dense: Vec<bool>,
    /// Usual strength by columns.
    pub usual: Vec<f64>,
    /// How far powder lies from skin, in the skin's standard deviations.
    apart: f64,
}

impl Measured {
    /// Measures a brow.
    ///
    /// # Errors
    /// [`NoPigment`].
    pub fn of(pigment: &Pigment, band: &Band) -> Result<Self, NoPigment> {
        let field = Field::of(pigment, band)?;
        let region = field.region(HALF);
        let away = field
            .drawn
            .grown(band.cells((2.0 * band.place_sd_mm).max(0.4)));
        let near = |region: &Mask| region.and(|i| away.on[i]);
        let kept = field.shares(&near(&region));
        let [low, high] = AROUND_HALF.map(|at| field.shares(&near(&field.region(at))));
        let drawn = field.drawn.count();
        let dense = (0..field.dense.len())
            .filter(|i| field.drawn.on[*i] && field.dense[*i])
            .count();
        let under_hair = dense as f64 / drawn.max(1) as f64;
        // A rectangular spread between both; what the skin's own unevenness does
        // to edges; and what may be missing unseen under hair.
        let noise = libm::hypot(
            EDGE_SD + SKIN_SD / (pigment.apart * pigment.apart),
            UNSEEN * under_hair,
        );
        let sd = |of: fn(&Filled) -> f64| {
            let spread = 0.5 * (of(&low) - of(&high)).abs() / 3.0_f64.sqrt();
            libm::hypot(spread, noise)
        };
        let beyond = region.and(|i| !away.on[i]).opened(band.cells(SPECK_MM));
        let mut fifths = [0.0; FIFTHS];
        for (n, f) in fifths.iter_mut().enumerate() {
            let spread = 0.5 * (low.fifths[n] - high.fifths[n]).abs() / 3.0_f64.sqrt();
            *f = libm::hypot(spread, noise);
        }
        Ok(Self {
            kept,
            sd: Filled {
                area: sd(|f| f.area),
                thickness: sd(|f| f.thickness),
                fifths,
            },
            drawn_mm2: band.mm2(drawn),
            spill_mm2: band.mm2(beyond.count()),
            under_hair,
            darkness: pigment.darkness,
            darkness_sd: pigment.darkness_sd,
            apart: pigment.apart,
            columns: Columns {
                drawn: edges(&field.drawn),
                healed: edges(&region),
            },
            edge: rings_of(&region, band, 0.12),
            touch_up: TouchUp::of(&field, &region),
        })
    }
}

impl<'a> Field<'a> {
    fn of(pigment: &Pigment, band: &'a Band) -> Result<Self, NoPigment> {
        if !band.is_sound() {
            return Err(NoPigment::OutOfPhoto);
        }
        let drawn = band.mask();
        let near = drawn.grown(band.cells(SPREAD_MM));
        let mut strength = Vec::with_capacity(band.seen.len());
        let mut beside = Vec::with_capacity(band.seen.len());
        for (p, near) in band.seen.iter().zip(&near.on) {
            let at = pigment.at(*p).map(|s| s as f32);
            if *near && at.is_none() {
                return Err(NoPigment::OutOfPhoto);
            }
            let at = at.unwrap_or(f32::INFINITY);
            beside.push(!near && at < MOST_SHADE);
            strength.push(if at.is_finite() { at } else { 0.0 });
        }
        let strength = less_beside(strength, &beside, band);
        let seen = band.seen.iter().zip(&drawn.on);
        let dense = seen.map(|(p, on)| *on && pigment.is_dense(*p)).collect();
        let mut field = Self {
            band,
            drawn,
            strength,
            dense,
            usual: Vec::new(),
            apart: pigment.apart,
        };
        field.settle();
        Ok(field)
    }

    /// What is filled at a threshold.
    pub fn region(&self, share: f64) -> Mask {
        let (w, h) = (self.band.width, self.band.height);
        let near = self.drawn.grown(self.band.cells(SPREAD_MM));
        let region = Mask::from_fn(w, h, |c, r| {
            let i = r * w + c;
            let noise = (NOISE / self.apart.max(NOISE)).min(LEAST_POWDER);
            let least = (share * self.usual[c]).max(noise);
            let filled = f64::from(self.strength[i]) >= least;
            near.on[i] && (filled || self.dense[i])
        });
        let dot = (DOT_MM2 / (self.band.cell_mm * self.band.cell_mm)) as usize;
        region
            .filled(dot)
            .opened(self.band.cells(SPECK_MM))
            .keeping(|piece| piece.iter().any(|i| self.drawn.on[*i]))
    }

    fn shares(&self, region: &Mask) -> Filled {
        let (w, h) = (self.band.width, self.band.height);
        let count = |mask: &Mask| -> Vec<usize> {
            (0..w)
                .map(|c| (0..h).filter(|r| mask.on[r * w + c]).count())
                .collect()
        };
        let (drawn, filled) = (count(&self.drawn), count(region));
        let first = drawn.iter().position(|n| *n > 0).unwrap_or(0);
        let last = drawn.iter().rposition(|n| *n > 0).unwrap_or(0);
        let long = (last - first + 1) as f64;
        let part = |from: f64, to: f64| {
            let (from, to) = (first as f64 + from * long, first as f64 + to * long);
            (from as usize, (to as usize).min(w))
        };
        let share = |(from, to): (usize, usize)| {
            let of = |n: &[usize]| n.iter().sum::<usize>() as f64;
            of(&filled[from..to]) / of(&drawn[from..to]).max(1.0)
        };
        let mut fifths = [0.0; FIFTHS];
        for (n, f) in fifths.iter_mut().enumerate() {
            let n = n as f64;
            *f = share(part(n / FIFTHS as f64, (n + 1.0) / FIFTHS as f64));
        }
        let (from, to) = part(BODY.0, BODY.1);
        let ratios = (from..to).filter(|c| drawn[*c] > 0);
        let (mut sum, mut n) = (0.0, 0.0);
        for c in ratios {
            sum += filled[c] as f64 / drawn[c] as f64;
            n += 1.0;
        }
        Filled {
            area: region.count() as f64 / self.drawn.count().max(1) as f64,
            thickness: if n > 0.0 { sum / n } else { 0.0 },
            fifths,
        }
    }
}

/// Uppermost and lowest cell of each column.
fn edges(mask: &Mask) -> Vec<Option<(f64, f64)>> {
    let (w, h) = (mask.width, mask.height);
    (0..w)
        .map(|c| {
            let on = |r: &usize| mask.on[r * w + c];
            let first = (0..h).find(on)?;
            let last = (0..h).rev().find(on)?;
            Some((first as f64, last as f64 + 1.0))
        })
        .collect()
}
