//! The hairs of a brow, one by one, and the region that they cover: where
//! they grow on the face, whatever a picture shows of it.

use crate::chance::Chance;
use crate::curve::{mix, step};
use crate::head::{Brow, Head, Side, Spot, spot};
use crate::surface::Face;

/// One hair as it lies on the face, seen from the front.
#[derive(Debug, Clone, PartialEq)]
pub struct BrowHair {
    /// From root to tip: where, and how far it stands off the skin, mm.
    pub path: Vec<(Spot, f64)>,
    /// Half its breadth at the root, mm; a third of that at the tip.
    pub half_width: f64,
    /// How thick it is to the eye, of 1.
    pub strength: f64,
    /// Factor on the colour of the brow's hair.
    pub tint: f64,
}

/// Which way a brow hair grows, radians from lateral toward up (side-neutral):
/// nearly upright at the start, then along the brow; upper hairs lean down,
/// lower hairs up, so that they meet.
fn growth(brow: &Brow, l: f64, h: f64) -> f64 {
    let t = brow.along(l).clamp(0.0, 1.0);
    let (top, low) = (brow.upper(l), brow.lower(l));
    let v = ((h - low) / (top - low).max(0.2)).clamp(0.0, 1.0);
    let ahead = brow.centre((t + 0.06).min(1.0));
    let here = brow.centre((t - 0.02).max(0.0));
    let axis = libm::atan2(ahead.height - here.height, ahead.lateral - here.lateral);
    let upright = 1.38 - 0.25 * v;
    let body = axis + mix(0.62, -0.42, step(0.15, 0.95, v)) * mix(1.0, 0.55, t);
    mix(upright, body, step(0.02, 0.30, t))
}

/// All hairs of one brow, in the order in which they lie over each other.
pub fn brow_hairs(head: &Head, side: Side) -> Vec<BrowHair> {
    let brow = head.brow_now(side);
    // At rest and in use the same hairs: they are placed on the brow at rest.
    let rest = head.side(side).brow;
    let mut chance = Chance::new(head.seed.wrapping_mul(977) + 5 + u64::from(side == Side::Left));
    let count = (rest.area() * rest.density) as usize;
    let from = rest.start_bottom.lateral.min(rest.start_top.lateral);
    // First the body of the brow, then hairs along its borders, so that hair
    // reaches everywhere the outline says.
    let bodies = count;
    let edges = count * 2 / 5;
    let mut made = 0;
    let mut hairs = Vec::new();
    for _ in 0..(count + edges) * 6 {
        if made >= bodies + edges {
            break;
        }
        let along_border = made >= bodies;
        let l0 = chance.between(from, rest.tail.lateral);
        let (share, which) = (chance.unit(), chance.unit());
        let (low, top) = (rest.lower(l0), rest.upper(l0));
        let share = match (along_border, which < 0.6) {
            (false, _) => share,
            (true, true) => share * 0.5 / (top - low).max(0.6),
            (true, false) => 1.0 - (0.3 + share * 1.2) / (top - low).max(1.6),
        };
        let h0 = mix(low, top, share);
        // As many hairs where the brow is narrow as its breadth holds.
        let keep = if along_border { 1.0 } else { (top - low) / 8.5 };
        let dice = chance.unit();
        let (long, lean, bend, wide, tint) = (
            chance.around(6.2, 1.1),
            chance.around(0.0, 0.13),
            chance.around(-0.05, 0.05),
            chance.around(0.066, 0.014),
            chance.around(1.0, 0.2),
        );
        if dice > keep || !rest.contains(l0, h0) {
            continue;
        }
        made += 1;
        // The same place in the brow as it is now.
        let h0 = mix(brow.lower(l0), brow.upper(l0), share);
        let t = brow.along(l0);
        let long = long
            * mix(1.0, 0.72, step(0.55, 1.0, t))
            * mix(0.8, 1.0, step(0.0, 0.2, t))
            * if along_border { 0.72 } else { 1.0 };
        let mut angle = growth(&brow, l0, h0) + lean;
        let (mut l, mut h) = (l0, h0);
        let steps = 14;
        let mut path = vec![(spot(l, h), 0.1)];
        for i in 1..=steps {
            let stride = long / f64::from(steps);
            let ahead = |angle: f64| {
                let (s, c) = libm::sincos(angle);
                (l + c * stride, h + s * stride)
            };
            let mut next = ahead(angle);
            // No hair leaves the outline that the truth gives: it bends along the border.
            if !brow.contains(next.0, next.1) {
                angle -= 0.35;
                next = ahead(angle);
            }
            if !brow.contains(next.0, next.1) {
                break;
            }
            (l, h) = next;
            let toward = growth(&brow, l, h) + lean;
            angle += (toward - angle) * 0.25 + bend * 0.4;
            let lift = 0.1 + 0.5 * f64::from(i) / f64::from(steps);
            path.push((spot(l, h), lift));
        }
        if path.len() < 3 {
            continue;
        }
        // Finer and fewer at the very start and at the tail's end.
        let strength = mix(0.52, 1.0, step(0.0, 0.22, t))
            * mix(1.0, 0.8, step(0.85, 1.0, t))
            * if along_border { 0.8 } else { 1.0 };
        hairs.push(BrowHair {
            path,
            half_width: wide,
            strength,
            tint,
        });
    }
    hairs
}

/// Side of a cell of a [`HairGround`], mm: finer than a hair.
const CELL: f64 = 0.1;

/// The ground that a brow's hairs cover, seen from the front: gaps between
/// two hairs belong to it, single hairs that stand out of it don't.
#[derive(Debug, Clone, PartialEq)]
pub struct HairGround {
    /// Lower corner nearest the midline.
    pub corner: Spot,
    /// Cells along and up.
    pub size: (usize, usize),
    /// By rows from below.
    pub covered: Vec<bool>,
    /// Seen from the front, mm².
    pub frontal_mm2: f64,
    /// On the skin itself, mm².
    pub on_skin_mm2: f64,
}

impl HairGround {
    /// Marks every cell that a hair of the brow touches, closes what is
    /// narrower than two times `gap` (a hair's neighbour stands half a
    /// millimetre to one beside it) and takes away what is thinner than two
    /// times `lone`; discs tried cell by cell.
    pub fn of(head: &Head, side: Side, gap: f64, lone: f64) -> Self {
        let hairs = brow_hairs(head, side);
        let all = || hairs.iter().flat_map(|h| h.path.iter().map(|(s, _)| *s));
        let margin = gap + lone + 1.0;
        let low = |of: fn(&Spot) -> f64| all().map(|s| of(&s)).fold(f64::MAX, f64::min) - margin;
        let high = |of: fn(&Spot) -> f64| all().map(|s| of(&s)).fold(f64::MIN, f64::max) + margin;
        let corner = spot(low(|s| s.lateral), low(|s| s.height));
        let cells = |from: f64, to: f64| ((to - from) / CELL).max(0.0) as usize + 1;
        let size = (
            cells(corner.lateral, high(|s| s.lateral)),
            cells(corner.height, high(|s| s.height)),
        );
        let mut covered = vec![false; size.0 * size.1];
        for hair in &hairs {
            for pair in hair.path.windows(2) {
                let [(a, _), (b, _)] = [pair[0], pair[1]];
                for i in 0..=8 {
                    let t = f64::from(i) / 8.0;
                    let l = (mix(a.lateral, b.lateral, t) - corner.lateral) / CELL;
                    let h = (mix(a.height, b.height, t) - corner.height) / CELL;
                    covered[h as usize * size.0 + l as usize] = true;
                }
            }
        }
        let closed = thinned(&grown(&covered, size, gap), size, gap);
        let covered = grown(&thinned(&closed, size, lone), size, lone);
        let face = Face::of(head);
        let (mut n, mut over) = (0.0, 0.0);
        for (i, _) in covered.iter().enumerate().filter(|(_, on)| **on) {
            n += 1.0;
            let l = side.sign() * (corner.lateral + (i % size.0) as f64 * CELL + 0.5 * CELL);
            let h = corner.height + (i / size.0) as f64 * CELL + 0.5 * CELL;
            // How steeply the skin falls away there.
            let z = |l: f64, h: f64| face.point(l, h).z;
            let across = (z(l + CELL, h) - z(l - CELL, h)) / (2.0 * CELL);
            let up = (z(l, h + CELL) - z(l, h - CELL)) / (2.0 * CELL);
            over += (1.0 + across * across + up * up).sqrt();
        }
        Self {
            corner,
            size,
            covered,
            frontal_mm2: n * CELL * CELL,
            on_skin_mm2: over * CELL * CELL,
        }
    }

    /// Whether a place of the brow is covered.
    pub fn contains(&self, at: Spot) -> bool {
        let l = (at.lateral - self.corner.lateral) / CELL;
        let h = (at.height - self.corner.height) / CELL;
        if l < 0.0 || h < 0.0 || l >= self.size.0 as f64 || h >= self.size.1 as f64 {
            return false;
        }
        self.covered[h as usize * self.size.0 + l as usize]
    }
}

/// Every cell with a covered one within a radius.
fn grown(covered: &[bool], (w, h): (usize, usize), radius: f64) -> Vec<bool> {
    let reach = radius / CELL;
    let n = reach as i64;
    let mut made = vec![false; covered.len()];
    for dy in -n..=n {
        let run = (reach * reach - (dy * dy) as f64).max(0.0).sqrt() as usize;
        for row in 0..h as i64 {
            let from = row + dy;
            if from < 0 || from >= h as i64 {
                continue;
            }
            let line = &covered[from as usize * w..(from as usize + 1) * w];
            let mut last: Option<usize> = None;
            // Cells up to the run before and behind each covered one.
            for (column, on) in line.iter().enumerate() {
                if *on {
                    let begin = column.saturating_sub(run);
                    let begin = last.map_or(begin, |l| begin.max(l));
                    let end = (column + run + 1).min(w);
                    for cell in &mut made[row as usize * w + begin..row as usize * w + end] {
                        *cell = true;
                    }
                    last = Some(column);
                }
            }
        }
    }
    made
}

/// Every covered cell without a bare one within a radius.
fn thinned(covered: &[bool], size: (usize, usize), radius: f64) -> Vec<bool> {
    let bare: Vec<bool> = covered.iter().map(|on| !on).collect();
    grown(&bare, size, radius).iter().map(|on| !on).collect()
}
