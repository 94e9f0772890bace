//! The area that brow hair covers, as borders and as a closed outline.
//! Side-neutral and seen from the front: lateral distance and height.

use crate::curve::{hermite, mix};
use crate::head::{Brow, Spot, spot};

/// Points on each of the outline's four long pieces.
const PIECE: usize = 48;

impl Brow {
    /// Height of the upper border; highest at the peak, and only there.
    pub fn upper(&self, l: f64) -> f64 {
        let (a, p, t) = (self.start_top, self.peak, self.tail);
        if l < p.lateral {
            let l = l.max(a.lateral);
            let chord = (p.height - a.height) / (p.lateral - a.lateral);
            hermite(
                l,
                (a.lateral, a.height, 1.25 * chord),
                (p.lateral, p.height, 0.0),
            )
        } else {
            let l = l.min(t.lateral);
            let chord = (t.height - p.height) / (t.lateral - p.lateral);
            hermite(
                l,
                (p.lateral, p.height, 0.0),
                (t.lateral, t.height, 1.35 * chord),
            )
        }
    }

    /// Height of the lower border; highest at the lower arch, and only there.
    pub fn lower(&self, l: f64) -> f64 {
        let (a, p, t) = (self.start_bottom, self.lower_arch, self.tail);
        if l < p.lateral {
            let l = l.max(a.lateral);
            let chord = (p.height - a.height) / (p.lateral - a.lateral);
            hermite(
                l,
                (a.lateral, a.height, 1.15 * chord),
                (p.lateral, p.height, 0.0),
            )
        } else {
            let l = l.min(t.lateral);
            let chord = (t.height - p.height) / (t.lateral - p.lateral);
            hermite(
                l,
                (p.lateral, p.height, 0.0),
                (t.lateral, t.height, 1.5 * chord),
            )
        }
    }

    /// Lateral place of the front edge at a height.
    pub fn front(&self, height: f64) -> f64 {
        let (a, b) = (self.start_bottom, self.start_top);
        let t = ((height - a.height) / (b.height - a.height)).clamp(0.0, 1.0);
        mix(a.lateral, b.lateral, t)
    }

    /// Whether hair grows at a place.
    pub fn contains(&self, l: f64, height: f64) -> bool {
        l >= self.front(height)
            && l <= self.tail.lateral
            && height <= self.upper(l)
            && height >= self.lower(l)
    }

    /// How far along from start (0) to tail (1).
    pub fn along(&self, l: f64) -> f64 {
        let from = self.start_bottom.lateral.min(self.start_top.lateral);
        (l - from) / (self.tail.lateral - from)
    }

    /// A point of the centre line, half-way between the borders; 0 start, 1 tail.
    pub fn centre(&self, t: f64) -> Spot {
        let from = mix(self.start_bottom.lateral, self.start_top.lateral, 0.5);
        let l = mix(from, self.tail.lateral, t);
        if t <= 0.0 {
            return spot(
                from,
                mix(self.start_bottom.height, self.start_top.height, 0.5),
            );
        }
        spot(l, 0.5 * (self.upper(l) + self.lower(l)))
    }

    /// The closed outline: from the lower corner of the front edge up, along
    /// the upper border to the tail, and back along the lower one. The first
    /// point is not repeated.
    pub fn outline(&self) -> Vec<Spot> {
        let mut points = vec![self.start_bottom];
        let mut run = |from: f64, to: f64, border: &dyn Fn(f64) -> f64, last: bool| {
            let n = if last { PIECE } else { PIECE - 1 };
            for i in 0..=n {
                let l = mix(from, to, i as f64 / PIECE as f64);
                points.push(spot(l, border(l)));
            }
        };
        run(
            self.start_top.lateral,
            self.peak.lateral,
            &|l| self.upper(l),
            false,
        );
        run(
            self.peak.lateral,
            self.tail.lateral,
            &|l| self.upper(l),
            true,
        );
        run(
            self.tail.lateral,
            self.lower_arch.lateral,
            &|l| self.lower(l),
            false,
        );
        run(
            self.lower_arch.lateral,
            self.start_bottom.lateral,
            &|l| self.lower(l),
            false,
        );
        // The tail was reached from both sides, the first point from behind.
        points.dedup_by(|a, b| {
            (a.lateral - b.lateral).abs() < 1e-9 && (a.height - b.height).abs() < 1e-9
        });
        points
    }

    /// Area inside the outline, seen from the front, mm².
    pub fn area(&self) -> f64 {
        let p = self.outline();
        let mut twice = 0.0;
        for (i, a) in p.iter().enumerate() {
            let b = p[(i + 1) % p.len()];
            twice += a.lateral * b.height - b.lateral * a.height;
        }
        (twice / 2.0).abs()
    }
}
