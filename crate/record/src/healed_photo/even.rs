//! Evenness now against plan: right less left of three heights, of what healed
//! and of what was agreed, read off both in the same way.

use ophryon_face::{BrowPlace, Distance};
use ophryon_frames::{Side, Sided};
use ophryon_photo::Columns;

use super::lay::LaidOver;

/// Where along the brow the start's, and the tail's height is read, of its
/// length.
const START: (f64, f64) = (0.06, 0.2);
const TAIL: (f64, f64) = (0.78, 0.92);
/// How far beside the highest place of the upper edge, mm: it is flat there.
const BESIDE_PEAK_MM: f64 = 2.0;
/// How sure an edge's height is by the threshold, averaged over some
/// millimetres of it, mm. Ours; tried on drawn photos.
pub(super) const EDGE_SD_MM: f64 = 0.12;

/// The brows at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EvenRow {
    /// Start and tail by the middle of the brow, the peak by its upper edge.
    pub place: BrowPlace,
    /// Right less left as agreed, mm; positive where the client's right one is
    /// the higher one.
    pub planned_mm: f64,
    /// The same as healed.
    pub now: Distance,
}

impl EvenRow {
    /// Healed less agreed.
    pub fn off(&self) -> Distance {
        Distance {
            mm: self.now.mm - self.planned_mm,
            sd: self.now.sd,
        }
    }

    /// Whether it healed otherwise than agreed by more than its uncertainty.
    pub fn is_off(&self) -> bool {
        self.off().mm.abs() > 2.0 * self.now.sd
    }
}

/// Heights of one side at start, peak and tail, mm: agreed, and healed.
fn heights(laid: &LaidOver, side: Side, columns: &Columns) -> [Option<(f64, f64)>; 3] {
    let grid = laid.grid(side);
    let height = |down: f64| grid.place(0.0, down).y;
    let drawn = &columns.drawn;
    let (Some(first), Some(last)) = (
        drawn.iter().position(Option::is_some),
        drawn.iter().rposition(Option::is_some),
    ) else {
        return [None; 3];
    };
    let long = (last - first) as f64;
    let part = |(from, to): (f64, f64)| {
        let at = |share: f64| first + (share * long) as usize;
        at(from)..at(to)
    };
    // Only columns where both are, so that they are compared at one place.
    let mean = |columns_of: std::ops::Range<usize>, of: fn((f64, f64)) -> f64| {
        let (mut agreed, mut healed, mut n) = (0.0, 0.0, 0.0);
        let wanted = columns_of.len();
        for c in columns_of {
            if let (Some(Some(a)), Some(Some(b))) = (drawn.get(c), columns.healed.get(c)) {
                agreed += height(of(*a));
                healed += height(of(*b));
                n += 1.0;
            }
        }
        // Half of it has to be there.
        (n > 0.5 * wanted as f64).then(|| (agreed / n, healed / n))
    };
    let middle = |(top, bottom): (f64, f64)| 0.5 * (top + bottom);
    let tops = drawn
        .iter()
        .enumerate()
        .filter_map(|(c, e)| Some((c, (*e)?.0)));
    let peak = tops
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(first, |(c, _)| c);
    let beside = (BESIDE_PEAK_MM / 0.1) as usize;
    [
        mean(part(START), middle),
        mean(peak.saturating_sub(beside)..peak + beside, |(top, _)| top),
        mean(part(TAIL), middle),
    ]
}

/// Every place where both brows healed.
pub(super) fn rows(laid: &LaidOver, columns: &Sided<Option<&Columns>>) -> Vec<EvenRow> {
    let (Some(right), Some(left)) = (columns.right, columns.left) else {
        return Vec::new();
    };
    let (right, left) = (
        heights(laid, Side::Right, right),
        heights(laid, Side::Left, left),
    );
    let sd = libm::hypot(laid.turn_sd_mm, 2.0_f64.sqrt() * EDGE_SD_MM);
    BrowPlace::ALL
        .into_iter()
        .zip(right.into_iter().zip(left))
        .filter_map(|(place, (r, l))| {
            let ((r_then, r_now), (l_then, l_now)) = (r?, l?);
            Some(EvenRow {
                place,
                planned_mm: r_then - l_then,
                now: Distance {
                    mm: r_now - l_now,
                    sd,
                },
            })
        })
        .collect()
}
