//! The strength that powder usually has along a brow, and the skin just beside
//! it.

use super::Band;
use super::filled::{Field, HALF};
use crate::hair::Mask;
use crate::plane::Plane;

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
/// And where it falls below this share of what is beside it: a shallower dip is
/// the powder's own unevenness, and a line drawn over every dip of an uneven
/// one lies above it. Ours; a faded patch keeps a quarter or less.
const DEEP: f64 = 0.85;
/// The very start has at least so much of the strength behind it.
const LEAST_START: f64 = 0.6;
/// Where most nearby has faded, at least so much of the whole brow's strength
/// is usual.
const LEAST_USUAL: f64 = 0.45;
/// Skin beside the brow counts within so many mm, and where it is no darker
/// than this share of the powder.
const SHADE_MM: f64 = 1.8;
pub(super) const MOST_SHADE: f32 = 0.45;
impl Field<'_> {
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
    pub(super) fn settle(&mut self) {
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
}

/// Less what the skin just beside the brow has: folds and shade that the broad
/// field of the skin's colour doesn't follow.
pub(super) fn less_beside(strength: Vec<f32>, beside: &[bool], band: &Band) -> Vec<f32> {
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

/// The value that a share of them lies below; reorders.
fn quantile(values: &mut [f32], share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let at = (share * (values.len() - 1) as f64) as usize;
    f64::from(*values.select_nth_unstable_by(at, f32::total_cmp).1)
}

/// Deep dips narrower than so many cells are bridged: the largest within half of
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
        if value.is_finite() && k.1 <= DEEP * value {
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
