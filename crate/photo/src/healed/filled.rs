//! What of the agreed outline is filled, and how much of its area and
//! thickness that is.

use super::strength::Pigment;
use super::touch_up::{TouchUp, rings_of};
use super::{Band, BandPlace, NoPigment};
use crate::hair::Mask;
use crate::plane::Plane;

/// A brow is told in so many parts from start to tip.
pub const FIFTHS: usize = 5;

/// Share of the usual strength nearby at which a place counts as filled: half
/// of the powder. Cameras press bright tones together, so that half may come
/// out as a little less on fair skin; how much, no photo tells.
const HALF: f64 = 0.5;
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
/// The usual strength is that of places at least so far inside, mm.
const CORE_MM: f64 = 0.9;
/// Within so many mm along the brow.
const NEARBY_MM: f64 = 3.0;
/// At first, while it isn't known what is filled, the strength that so many of
/// these are weaker than.
const FULLER: f64 = 0.8;
/// Once it is known, of places so far inside of it, mm: beyond that an edge
/// still tells.
const INSIDE_MM: f64 = 0.6;
/// Rounds of that.
const ROUNDS: usize = 2;
/// Fewer places than this tell nothing, mm².
const ENOUGH_MM2: f64 = 0.5;
/// Where the usual strength dips over less than this along the brow, mm, a
/// patch has faded right across.
const DIP_MM: f64 = 10.0;
/// The very start has at least so much of the strength behind it.
const LEAST_START: f64 = 0.6;
/// Where most nearby has faded, at least so much of the whole brow's strength
/// is usual.
const LEAST_USUAL: f64 = 0.45;
/// Holes of the filled region smaller than this are between two dots, mm².
const DOT_MM2: f64 = 0.25;
/// And what is thinner than twice this is a hair or a freckle, mm.
const SPECK_MM: f64 = 0.15;
/// Powder spreads this far at most, mm; what lies farther is something else.
const SPREAD_MM: f64 = 1.2;
/// Skin beside the brow counts within so many mm, and where it is no darker
/// than this share of the powder.
const SHADE_MM: f64 = 1.8;
const MOST_SHADE: f32 = 0.45;
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

    /// The strength that powder usually has at each column: the middle one of
    /// the places well inside, within [`NEARBY_MM`] along the brow.
    fn usual_by_columns(&self, inside: &Mask, share: f64) -> Vec<f64> {
        let (w, h) = (self.band.width, self.band.height);
        let mut columns: Vec<Vec<f32>> = vec![Vec::new(); w];
        let mut all = Vec::new();
        for r in 0..h {
            for (c, column) in columns.iter_mut().enumerate() {
                let i = r * w + c;
                if inside.on[i] && !self.dense[i] {
                    column.push(self.strength[i]);
                    all.push(self.strength[i]);
                }
            }
        }
        let whole = quantile(&mut all, share);
        let near = self.band.cells(NEARBY_MM) as usize;
        let enough = (ENOUGH_MM2 / (self.band.cell_mm * self.band.cell_mm)) as usize;
        // Every half millimetre is enough for what changes over three.
        let step = (self.band.cells(0.5) as usize).max(1);
        let mut known: Vec<(f64, f64)> = Vec::new();
        for c in (0..w).step_by(step) {
            let (from, to) = (c.saturating_sub(near), (c + near + 1).min(w));
            let mut nearby: Vec<f32> = columns[from..to].iter().flatten().copied().collect();
            if nearby.len() < enough {
                continue;
            }
            let places = (from..to).map(|at| (at * columns[at].len()) as f64);
            let middle = places.sum::<f64>() / nearby.len() as f64;
            let usual = quantile(&mut nearby, share).max(LEAST_USUAL * whole);
            known.push((middle, usual));
        }
        bridged(&mut known, self.band.cells(DIP_MM));
        (0..w)
            .map(|c| between(&known, c as f64).max(0.6 * LEAST_USUAL * whole))
            .collect()
    }

    /// Takes the usual strength first from inside the outline, then from inside
    /// what is found to be filled.
    fn settle(&mut self) {
        let shrunk = |mask: &Mask, mm: f64| mask.shrunk(self.band.cells(mm));
        let core = shrunk(&self.drawn, CORE_MM);
        let core = if core.count() < 40 {
            shrunk(&self.drawn, 0.4 * CORE_MM)
        } else {
            core
        };
        self.usual = self.usual_by_columns(&core, FULLER);
        for _ in 0..ROUNDS {
            let region = self.region(HALF);
            let inside = region.shrunk(self.band.cells(INSIDE_MM));
            if inside.count() < 40 {
                return;
            }
            self.usual = self.usual_by_columns(&inside, 0.5);
        }
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

/// Less what the skin just beside the brow has: folds and shade that the broad
/// field of the skin's colour doesn't follow.
fn less_beside(strength: Vec<f32>, beside: &[bool], band: &Band) -> Vec<f32> {
    let (w, h) = (band.width, band.height);
    let sigma = band.cells(SHADE_MM);
    let blurred = |values: Vec<f32>| Plane::grid_of(w, h, values).blurred(sigma).values;
    let only = |v: f32, on: &bool| if *on { v } else { 0.0 };
    let sum = blurred(
        strength
            .iter()
            .zip(beside)
            .map(|(s, on)| only(*s, on))
            .collect(),
    );
    let weight = blurred(beside.iter().map(|on| only(1.0, on)).collect());
    let level = sum.iter().zip(&weight).map(|(s, w)| s / (w + 0.01));
    strength
        .iter()
        .zip(level)
        .map(|(s, level)| s - level.clamp(-MOST_SHADE, MOST_SHADE))
        .collect()
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

/// The value that a share of them lies below; reorders.
fn quantile(values: &mut [f32], share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let at = (share * (values.len() - 1) as f64) as usize;
    f64::from(*values.select_nth_unstable_by(at, f32::total_cmp).1)
}

/// Dips narrower than so many cells are bridged: the largest within half of
/// that, then the least of those. Beyond both ends nothing is known, so that a
/// start that is lighter by plan stays so.
fn bridged(known: &mut [(f64, f64)], dip: f64) {
    let (Some(first), Some(last)) = (known.first(), known.last()) else {
        return;
    };
    let half = 0.5 * dip;
    let step = 0.25 * half.max(1.0);
    let largest = |at: f64| {
        let near = known.iter().filter(|k| (k.0 - at).abs() <= half);
        near.map(|k| k.1).fold(0.0, f64::max)
    };
    let count = ((last.0 - first.0 + dip) / step) as usize + 1;
    let grid: Vec<(f64, f64)> = (0..=count)
        .map(|i| first.0 - half + step * i as f64)
        .map(|at| (at, largest(at)))
        .filter(|(_, most)| *most > 0.0)
        .collect();
    let bridged: Vec<f64> = known
        .iter()
        .map(|(at, value)| {
            let near = grid.iter().filter(|g| (g.0 - at).abs() <= half);
            near.map(|g| g.1).fold(f64::INFINITY, f64::min).max(*value)
        })
        .collect();
    for (k, value) in known.iter_mut().zip(bridged) {
        if value.is_finite() {
            k.1 = value;
        }
    }
}

/// A line through known values in rising order; beyond both ends it goes on as
/// it came.
fn between(known: &[(f64, f64)], at: f64) -> f64 {
    let (Some(first), Some(last)) = (known.first(), known.last()) else {
        return 0.0;
    };
    let on = |a: (f64, f64), b: (f64, f64)| {
        let long = b.0 - a.0;
        if long.abs() < 1e-9 {
            a.1
        } else {
            a.1 + (b.1 - a.1) * (at - a.0) / long
        }
    };
    let ahead = 4.min(known.len() - 1);
    if at <= first.0 {
        // A start may be lighter by plan, yet not out of all proportion.
        let least = LEAST_START * first.1;
        return on(*first, known[ahead]).clamp(least, first.1);
    }
    if at >= last.0 {
        return last.1;
    }
    let i = known.partition_point(|k| k.0 < at).max(1);
    on(known[i - 1], known[i])
}
