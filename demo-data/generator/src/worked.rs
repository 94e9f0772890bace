//! Powder worked into a brow: where it was worked in, and what of it is still
//! there.

use crate::chance::{Chance, fractal, noise};
use crate::curve::step;
use crate::head::{Side, Spot};
use crate::surface::Face;

/// One patch in which powder has faded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Faded {
    /// Its middle.
    pub at: Spot,
    /// Half its breadth and half its height, mm.
    pub radii: (f64, f64),
    /// Share of the powder that is left in its middle.
    pub left: f64,
}

/// Powder in one brow. Places are side-neutral, seen from the front.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// Round what was worked, in order.
    pub outline: Vec<Spot>,
    /// Colour of the powder, linear light.
    pub colour: [f64; 3],
    /// How much of the skin's colour it takes the place of where it is fullest.
    pub depth: f64,
    /// Breadth over which it ends at an edge, mm.
    pub soft: f64,
    /// Share of it at the very start, and over how many mm it grows to all.
    pub front: (f64, f64),
    /// How much of it is uneven from dot to dot, 0 to 1.
    pub grain: f64,
    /// What was lost all round, mm; less than nothing where it spread.
    pub lost_edge: f64,
    /// How unevenly that was lost: share of it, 0 to 1.
    pub ragged: f64,
    /// Patches in which it has faded.
    pub faded: Vec<Faded>,
    /// Seed of the dots and of the ragged edge.
    pub seed: u64,
}

/// What is known about powder: areas on the skin, mm².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorkedTruth {
    /// Inside the outline.
    pub drawn_mm2: f64,
    /// Where at least half of what was worked is still there.
    pub kept_mm2: f64,
    /// Inside the outline, and no longer so.
    pub lost_mm2: f64,
}

/// Side of a cell that areas are summed over, mm.
const CELL: f64 = 0.1;

impl Worked {
    /// An even powder within an outline, none of it lost.
    pub fn within(outline: Vec<Spot>, colour: [f64; 3], depth: f64, seed: u64) -> Self {
        Self {
            outline,
            colour,
            depth,
            soft: 0.8,
            front: (0.45, 7.0),
            grain: 0.35,
            lost_edge: 0.0,
            ragged: 0.0,
            faded: Vec::new(),
            seed,
        }
    }

    /// Distance inside the outline, mm; negative outside.
    fn depth_inside(&self, l: f64, h: f64) -> f64 {
        let n = self.outline.len();
        let (mut nearest, mut odd) = (f64::INFINITY, false);
        for (i, a) in self.outline.iter().enumerate() {
            let b = &self.outline[(i + 1) % n];
            let (dx, dy) = (b.lateral - a.lateral, b.height - a.height);
            let square = (dx * dx + dy * dy).max(1e-12);
            let t = (((l - a.lateral) * dx + (h - a.height) * dy) / square).clamp(0.0, 1.0);
            let away = libm::hypot(l - a.lateral - t * dx, h - a.height - t * dy);
            nearest = nearest.min(away);
            if (a.height <= h) != (b.height <= h) && l < a.lateral + dx * (h - a.height) / dy {
                odd = !odd;
            }
        }
        if odd { nearest } else { -nearest }
    }

    /// What was worked in at a place inside, of all: lighter at the start.
    fn planned(&self, l: f64) -> f64 {
        let first = self
            .outline
            .iter()
            .map(|s| s.lateral)
            .fold(f64::INFINITY, f64::min);
        let (at_start, over) = self.front;
        at_start + (1.0 - at_start) * step(0.0, over, l - first)
    }

    /// What is left of what was worked in at a place, 0 to 1, by edges and
    /// patches.
    fn left(&self, l: f64, h: f64) -> f64 {
        let inside = self.depth_inside(l, h);
        if inside < -2.5 {
            return 0.0;
        }
        let wave = 1.0 + self.ragged * fractal(l / 3.5, h / 3.5, 2, self.seed + 7);
        let edge = inside - self.lost_edge * wave;
        let mut left = step(-0.5 * self.soft, 0.5 * self.soft, edge);
        for f in &self.faded {
            let (u, v) = (
                (l - f.at.lateral) / f.radii.0,
                (h - f.at.height) / f.radii.1,
            );
            let r = libm::hypot(u, v);
            // At its rim half of what goes in its middle has gone.
            let soft = 0.5 * self.soft / f.radii.0.min(f.radii.1);
            let gone = (1.0 - f.left) * step(1.0 + soft, 1.0 - soft, r);
            left *= 1.0 - gone;
        }
        left
    }

    /// How much of the skin's colour the powder takes the place of.
    pub fn cover(&self, l: f64, h: f64) -> f64 {
        let left = self.left(l, h);
        if left <= 0.0 {
            return 0.0;
        }
        let dots = 1.0
            + self.grain
                * (0.7 * noise(l / 0.28, h / 0.28, self.seed)
                    + 0.5 * noise(l / 0.9, h / 0.9, self.seed + 1));
        (self.depth * self.planned(l) * left * dots).clamp(0.0, 1.0)
    }

    /// Whether at least half of what was worked is there.
    pub fn is_kept(&self, l: f64, h: f64) -> bool {
        self.left(l, h) >= 0.5
    }

    /// Whether a place belongs to what was worked.
    pub fn was_worked(&self, l: f64, h: f64) -> bool {
        self.depth_inside(l, h) >= 0.0
    }

    /// Areas on the skin itself.
    pub fn truth(&self, face: &Face, side: Side) -> WorkedTruth {
        let of = |f: fn(&Spot) -> f64| self.outline.iter().map(f);
        let low = |f| of(f).fold(f64::INFINITY, f64::min) - 2.0;
        let high = |f| of(f).fold(f64::NEG_INFINITY, f64::max) + 2.0;
        let (l0, h0) = (low(|s| s.lateral), low(|s| s.height));
        let cells = |from: f64, to: f64| ((to - from) / CELL).max(0.0) as usize;
        let (w, t) = (
            cells(l0, high(|s| s.lateral)),
            cells(h0, high(|s| s.height)),
        );
        let mut made = WorkedTruth {
            drawn_mm2: 0.0,
            kept_mm2: 0.0,
            lost_mm2: 0.0,
        };
        for row in 0..t {
            for column in 0..w {
                let l = l0 + (column as f64 + 0.5) * CELL;
                let h = h0 + (row as f64 + 0.5) * CELL;
                let (worked, kept) = (self.was_worked(l, h), self.is_kept(l, h));
                if !worked && !kept {
                    continue;
                }
                let z = |x: f64, y: f64| face.point(x, y).z;
                let x = side.sign() * l;
                let across = (z(x + CELL, h) - z(x - CELL, h)) / (2.0 * CELL);
                let up = (z(x, h + CELL) - z(x, h - CELL)) / (2.0 * CELL);
                let area = CELL * CELL * (1.0 + across * across + up * up).sqrt();
                if worked {
                    made.drawn_mm2 += area;
                }
                if kept {
                    made.kept_mm2 += area;
                }
                if worked && !kept {
                    made.lost_mm2 += area;
                }
            }
        }
        made
    }

    /// Of the thickness of what was worked, the mean share that is kept, from
    /// one share of its length to another.
    pub fn thickness_kept(&self, from: f64, to: f64) -> f64 {
        let of = |f: fn(&Spot) -> f64| self.outline.iter().map(f);
        let low = |f| of(f).fold(f64::INFINITY, f64::min);
        let high = |f| of(f).fold(f64::NEG_INFINITY, f64::max);
        let (l0, l1) = (low(|s| s.lateral), high(|s| s.lateral));
        let (h0, h1) = (low(|s| s.height) - 2.0, high(|s| s.height) + 2.0);
        let columns = 80;
        let (mut sum, mut n) = (0.0, 0.0);
        for c in 0..columns {
            let t = from + (to - from) * (f64::from(c) + 0.5) / f64::from(columns);
            let l = l0 + t * (l1 - l0);
            let rows = ((h1 - h0) / CELL) as usize;
            let heights = (0..rows).map(|r| h0 + (r as f64 + 0.5) * CELL);
            let (mut worked, mut kept) = (0.0, 0.0);
            for h in heights {
                worked += f64::from(u8::from(self.was_worked(l, h)));
                kept += f64::from(u8::from(self.is_kept(l, h)));
            }
            if worked > 0.0 {
                sum += kept / worked;
                n += 1.0;
            }
        }
        if n > 0.0 { sum / n } else { 0.0 }
    }

    /// Loses some of it, as healing does: all round, unevenly, and in up to
    /// three patches.
    pub fn healed(mut self, chance: &mut Chance) -> Self {
        self.depth *= chance.between(0.55, 0.9);
        self.soft = chance.between(0.5, 1.1);
        self.lost_edge = chance.between(-0.05, 0.75);
        self.ragged = chance.between(0.0, 0.6);
        let patches = (chance.unit() * 4.0) as usize;
        for _ in 0..patches {
            let (low, high) = self
                .outline
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| {
                    (a.min(s.lateral), b.max(s.lateral))
                });
            let l = chance.between(low + 5.0, high - 8.0);
            // The middle of the brow there.
            let inside: Vec<f64> = (0..400)
                .map(|i| 5.0 + 0.1 * f64::from(i))
                .filter(|h| self.was_worked(l, *h))
                .collect();
            let (Some(first), Some(last)) = (inside.first(), inside.last()) else {
                continue;
            };
            let h = 0.5 * (first + last) + chance.between(-0.25, 0.25) * (last - first);
            self.faded.push(Faded {
                at: crate::head::spot(l, h),
                radii: (chance.between(1.2, 3.2), chance.between(0.9, 1.7)),
                left: chance.between(0.0, 0.25),
            });
        }
        self
    }
}
