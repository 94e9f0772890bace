//! Mouth and chin. `y` is the reference height (see [`crate::surface`]).

use crate::curve::{Curve, hill, hill_at, mix, step};
use crate::head::Head;

/// Lips as three lines over the distance from the midline.
#[derive(Debug, Clone)]
pub struct Mouth {
    upper: Curve,
    middle: Curve,
    lower: Curve,
    half: f64,
}

impl Mouth {
    /// The mouth of a head.
    pub fn of(head: &Head) -> Self {
        let half = 25.0 * mix(1.0, head.face.face_breadth / 139.0, 0.6);
        let full = head.face.lip_fullness;
        let k = half / 25.0;
        let line = |points: &[(f64, f64)], scale: f64| {
            let scaled: Vec<(f64, f64)> = points
                .iter()
                .map(|p| (p.0 * k, -67.3 + (p.1 + 67.3) * scale))
                .collect();
            Curve::through(&scaled)
        };
        Self {
            upper: line(
                &[
                    (0.0, -60.9),
                    (1.5, -60.6),
                    (4.8, -59.5),
                    (8.0, -60.2),
                    (14.0, -62.6),
                    (20.0, -65.2),
                    (25.0, -67.3),
                ],
                full,
            ),
            middle: line(
                &[
                    (0.0, -67.5),
                    (4.0, -67.0),
                    (9.0, -66.8),
                    (15.0, -67.2),
                    (21.0, -67.3),
                    (25.0, -67.4),
                ],
                1.0,
            ),
            lower: line(
                &[
                    (0.0, -77.2),
                    (4.0, -77.2),
                    (9.0, -76.4),
                    (14.0, -74.7),
                    (20.0, -71.2),
                    (25.0, -67.5),
                ],
                full,
            ),
            half,
        }
    }

    /// How much a place is lip (0 to 1), and how near the line between the lips it is (0 to 1).
    pub fn lip(&self, x: f64, y: f64) -> (f64, f64) {
        let l = x.abs();
        if l > self.half + 1.5 || !(-84.0..=-54.0).contains(&y) {
            return (0.0, 0.0);
        }
        let (u, m, w) = (self.upper.at(l), self.middle.at(l), self.lower.at(l));
        let end = step(self.half + 0.4, self.half - 1.2, l);
        let body = step(u + 0.6, u - 0.6, y) * step(w - 0.9, w + 0.9, y) * end;
        let d = (y - m).abs();
        (
            body,
            step(0.75, 0.1, d) * step(self.half + 1.2, self.half - 1.0, l),
        )
    }

    /// What mouth and chin add to the face's surface.
    pub fn relief(&self, x: f64, y: f64) -> f64 {
        if !(-124.0..=-28.0).contains(&y) {
            return 0.0;
        }
        let l = x.abs();
        let mut z = 6.2 * hill_at(x, y, 0.0, -63.0, 40.0, 34.0);
        z += 4.2 * hill_at(x, y, 0.0, -104.0, 30.0, 19.0);
        z -= 1.6 * hill_at(x, y, 0.0, -86.5, 30.0, 9.0);
        // Corners of the mouth sit in a dimple.
        z -= 1.6 * hill_at(l, y, self.half + 1.5, -67.6, 9.0, 9.0);
        // Philtrum.
        let along = step(-62.0, -55.5, y) * step(-46.5, -51.0, y);
        z += along * (0.32 * hill((l - 5.0) * (l - 5.0) / 18.0) - 0.7 * hill(x * x / 22.0));
        if l < self.half && (-80.0..=-57.0).contains(&y) {
            let (u, m, w) = (self.upper.at(l), self.middle.at(l), self.lower.at(l));
            let fade = step(self.half, self.half - 12.0, l);
            let up = ((u - y) / (u - m).max(0.5)).clamp(-1.0, 2.0);
            let low = ((m - y) / (m - w).max(0.5)).clamp(-1.0, 2.0);
            z += fade * 2.5 * hill((up - 0.62) * (up - 0.62) / 0.75);
            z += fade * 3.3 * hill((low - 0.5) * (low - 0.5) / 0.62);
            z -= (0.4 + 1.4 * fade) * hill((y - m) * (y - m) / 2.6);
        }
        z
    }
}
