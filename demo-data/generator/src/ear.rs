//! An ear as it shows beside the face: side-neutral, `l` is the distance from the midline.

use crate::curve::{dome, hill, hill_at, step};
use crate::head::{Head, Side, Spot, spot};

/// Half the height of the ear.
const HALF: f64 = 31.0;

/// An ear, seen from the front.
#[derive(Debug, Clone)]
pub struct Ear {
    /// Middle of the ear, as tapped.
    pub middle: Spot,
    /// Depth of the middle.
    z: f64,
    /// Where it grows out of the head.
    root: f64,
}

impl Ear {
    /// The ear of one side of a head.
    pub fn of(head: &Head, side: Side) -> Self {
        let (l, y, z) = head.face.ear;
        Self {
            middle: spot(l, y + head.side(side).ear_height),
            z,
            root: l - 8.5,
        }
    }

    /// Outer edge at a relative height `b` (-1 lobe to 1 top).
    fn edge(b: f64) -> f64 {
        let round = (1.0 - b * b).max(0.0).sqrt();
        // Broader above the middle, a small lobe below.
        round * (15.5 + 4.2 * b - 2.0 * hill((b + 0.55) * (b + 0.55) / 0.12))
    }

    /// Place in the ear: share of the way out to the edge, relative height.
    pub fn place(&self, l: f64, y: f64) -> Option<(f64, f64)> {
        let b = (y - self.middle.height) / HALF;
        if b.abs() >= 1.0 || l < self.root - 6.0 {
            return None;
        }
        let out = (l - self.root) / Self::edge(b).max(0.1);
        (out < 1.0).then_some((out, b))
    }

    /// Depth at a place; `None` beside the ear.
    pub fn depth(&self, l: f64, y: f64) -> Option<f64> {
        let (out, b) = self.place(l, y)?;
        // The ear stands back as it stands out.
        let mut z = self.z + 7.0 - 0.85 * (l - self.root);
        // Rolled rim, falling off round its edge.
        let rim = (out - 0.84) / 0.17;
        z += 3.4 * dome((rim * rim).min(1.3)).max(-0.6) * step(-0.75, -0.35, b);
        z += 2.4 * dome((out.max(0.0) * out.max(0.0)).min(1.2)).max(0.0) * step(-0.3, -0.7, b);
        // Inner ridge, bowl, and the flap in front of it.
        z += 2.8
            * hill((out - 0.52) * (out - 0.52) / 0.035)
            * step(-0.62, -0.3, b)
            * step(0.85, 0.35, b);
        z -= 4.6 * hill_at(out, b, 0.2, -0.14, 0.36, 0.42);
        z += 3.0 * hill_at(out, b, -0.06, -0.16, 0.26, 0.22);
        Some(z)
    }

    /// How deep in the bowl or under the rim a place lies, 0 to 1, for its shade.
    pub fn hollow(&self, l: f64, y: f64) -> f64 {
        self.place(l, y).map_or(0.0, |(out, b)| {
            let bowl = hill_at(out, b, 0.2, -0.14, 0.34, 0.40);
            let groove = hill((out - 0.70) * (out - 0.70) / 0.012) * step(-0.4, -0.1, b) * 0.7;
            (bowl + groove).min(1.0)
        })
    }
}
