//! The surface of the face: depth over (x, y), so that every point that is
//! measured is a point that is drawn.
//!
//! Depths are authored for one reference face and follow other proportions by
//! a smooth warp of heights ([`Face::reference_y`]) and a scale of breadths.

use crate::curve::{Curve, hill, hill_at, mix, soft_max, step};
use crate::ear::Ear;
use crate::eye::Eye;
use crate::head::{Head, Side};
use crate::mouth::Mouth;
use crate::nose::Nose;
use crate::vec3::{Vec3, v3};

/// Lowest point of the reference face's chin.
const CHIN: f64 = -119.0;

/// A head made ready for measuring and drawing.
#[derive(Debug, Clone)]
pub struct Face {
    height: Curve,
    front: Curve,
    half_square: Curve,
    depth: Curve,
    squareness: Curve,
    face_scale: f64,
    head_scale: f64,
    brow_radius: f64,
    /// Right and left eye.
    pub eyes: [Eye; 2],
    /// The nose.
    pub nose: Nose,
    /// The mouth.
    pub mouth: Mouth,
    /// Right and left ear.
    pub ears: [Ear; 2],
}

impl Face {
    /// Makes a head ready.
    pub fn of(head: &Head) -> Self {
        let f = &head.face;
        let half: [(f64, f64); 20] = [
            (CHIN, 0.0),
            (-117.6, 11.0),
            (-114.5, 19.0),
            (-109.0, 27.0),
            (-102.0, 34.5),
            (-92.0, 43.8),
            (-82.0, 51.5),
            (-74.0, 56.6),
            (-65.0, 60.8),
            (-50.0, 64.8),
            (-36.0, 67.6),
            (-22.0, 69.6),
            (-8.0, 71.8),
            (6.0, 74.0),
            (22.0, 75.5),
            (45.0, 74.3),
            (70.0, 69.0),
            (92.0, 56.0),
            (110.0, 34.0),
            (118.0, 0.0),
        ];
        let squares: Vec<(f64, f64)> = half.iter().map(|p| (p.0, p.1 * p.1)).collect();
        Self {
            height: Curve::through(&[
                (f.chin_y - 20.0, CHIN - 20.0),
                (f.chin_y, CHIN),
                (f.mouth_y, -67.0),
                (f.nose_base_y, -46.0),
                (f.nose_base_y * 0.55, -46.0 * 0.55),
                (0.0, 0.0),
                (30.0, 30.0),
                (200.0, 200.0),
            ]),
            front: Curve::through(&[
                (-124.0, 9.0),
                (-104.0, 9.0),
                (-86.0, 9.0),
                (-65.0, 8.6),
                (-48.0, 8.2),
                (-34.0, 6.4),
                (-22.0, 5.2),
                (-8.0, 5.4),
                (2.0, 7.6),
                (12.0, 10.8),
                (22.0, 13.0),
                (32.0, 13.4),
                (45.0, 11.4),
                (62.0, 5.6),
                (80.0, -4.0),
                (100.0, -22.0),
                (118.0, -50.0),
            ]),
            half_square: Curve::through(&squares),
            depth: Curve::through(&[
                (CHIN, 6.0),
                (-114.0, 16.0),
                (-105.0, 33.0),
                (-92.0, 48.0),
                (-80.0, 53.0),
                (-65.0, 53.0),
                (-50.0, 52.0),
                (-36.0, 51.0),
                (-22.0, 52.0),
                (-8.0, 57.0),
                (4.0, 63.0),
                (14.0, 75.0),
            ]),
            squareness: Curve::through(&[
                (-118.0, 2.0),
                (-95.0, 2.1),
                (-60.0, 2.25),
                (-25.0, 2.4),
                (0.0, 2.25),
                (16.0, 2.0),
                (60.0, 2.0),
            ]),
            face_scale: f.face_breadth / 139.0,
            head_scale: f.head_breadth / 151.0,
            brow_radius: f.brow_radius,
            eyes: Side::BOTH.map(|s| Eye::of(head, s)),
            nose: Nose::of(head),
            mouth: Mouth::of(head),
            ears: Side::BOTH.map(|s| Ear::of(head, s)),
        }
    }

    /// The eye of one side.
    pub fn eye(&self, side: Side) -> &Eye {
        &self.eyes[usize::from(side == Side::Left)]
    }

    /// The ear of one side.
    pub fn ear(&self, side: Side) -> &Ear {
        &self.ears[usize::from(side == Side::Left)]
    }

    /// Height in the reference face of a height in this one.
    pub fn reference_y(&self, y: f64) -> f64 {
        self.height.at(y)
    }

    /// The inverse of [`Self::reference_y`].
    pub fn actual_y(&self, reference: f64) -> f64 {
        // Bisection: the warp rises, and 60 halvings of 400 mm are exact.
        let (mut low, mut high) = (-200.0, 200.0);
        for _ in 0..60 {
            let y = 0.5 * (low + high);
            if self.height.at(y) < reference {
                low = y;
            } else {
                high = y;
            }
        }
        0.5 * (low + high)
    }

    /// Half the breadth of the face at a height; `None` above and below the face.
    pub fn half_breadth(&self, y: f64) -> Option<f64> {
        let r = self.reference_y(y);
        if r <= CHIN || r >= 118.0 {
            return None;
        }
        let scale = mix(self.face_scale, self.head_scale, step(-12.0, 24.0, r));
        Some(self.half_square.at(r).sqrt() * scale)
    }

    /// Depth of the horizontal section behind its front, at a height.
    fn section_depth(&self, r: f64, half: f64) -> f64 {
        let band = half * half / self.brow_radius;
        mix(self.depth.at(r), band, step(2.0, 15.0, r))
    }

    /// The plain face without features; `None` beside it.
    pub fn plain(&self, x: f64, y: f64) -> Option<f64> {
        let half = self.half_breadth(y)?;
        let t = x.abs() / half;
        if t >= 1.0 {
            return None;
        }
        let r = self.reference_y(y);
        let p = self.squareness.at(r);
        let tp = if p == 2.0 { t * t } else { libm::pow(t, p) };
        let fall = self.section_depth(r, half) * (1.0 - (1.0 - tp).sqrt());
        // The chin curls under.
        let e = ((-101.0 - r) / 18.0).clamp(0.0, 1.0);
        let curl = 15.0 * (1.0 - (1.0 - e * e).max(0.0).sqrt());
        Some(self.front.at(r) - fall - curl)
    }

    /// Skin, lids and balls of the eyes: depth at a place, `None` beside the face.
    pub fn depth(&self, x: f64, y: f64) -> Option<f64> {
        let mut z = self.plain(x, y)?;
        let r = self.reference_y(y);
        let l = x.abs();
        let fs = self.face_scale;
        // Orbits, brow ridge, cheekbones, cheeks.
        z -= 6.6 * hill_at(l, r, 28.5, -0.5, 32.0, 20.0);
        z -= 1.6 * hill_at(l, r, 18.0, 3.0, 14.0, 14.0);
        z += 1.0 * hill_at(l, r, 30.0, 18.0, 28.0, 11.0);
        z += 3.6 * hill_at(l, r, 42.0 * fs, -24.0, 32.0, 26.0);
        z -= 2.0 * hill_at(l, r, 46.0 * fs, -60.0, 24.0, 28.0);
        // The soft fold from the nose wing past the corner of the mouth.
        let fold = l - (19.5 + 0.42 * (-38.0 - r).max(0.0));
        let along = step(-36.0, -44.0, r) * step(-78.0, -60.0, r);
        z -= 0.9 * along * hill(fold * fold / 64.0);
        z += self.mouth.relief(x, r);
        z = self.nose.surface(z, x, r);
        let eye = &self.eyes[usize::from(x > 0.0)];
        Some(eye.surface(z, l, y))
    }

    /// Where the face has this (x, y); beside the face, the nearest point of its edge.
    pub fn point(&self, x: f64, y: f64) -> Vec3 {
        match self.depth(x, y) {
            Some(z) => v3(x, y, z),
            None => {
                let half = self.half_breadth(y).unwrap_or(0.0) * (1.0 - 1e-9);
                let edge = x.clamp(-half, half);
                v3(edge, y, self.plain(edge, y).unwrap_or(0.0))
            }
        }
    }

    /// Depth of hair brushed over the skull; `None` beside it.
    pub fn hair_depth(&self, x: f64, y: f64) -> Option<f64> {
        let rx = (81.0 - 9.5 * step(26.0, -6.0, y)) * self.head_scale;
        let (u, v) = (x / rx, (y - 28.0) / 98.0);
        let q = u * u + v * v;
        (q < 1.0 && y > -30.0).then(|| -78.0 + 87.5 * (1.0 - q).sqrt())
    }

    /// Neck, shoulders and clothes.
    pub fn body_depth(&self, x: f64, y: f64) -> Option<f64> {
        let l = x.abs();
        let mut best: Option<f64> = None;
        let neck = 48.5 * self.face_scale
            + 2.0 * step(-110.0, -70.0, y)
            + 13.0 * step(-128.0, -186.0, y).powi(2);
        if l < neck && y < -55.0 {
            let t = l / neck;
            let mut front = -36.0 - 0.14 * (y + 120.0);
            // The two muscles that run from behind the ears to the breastbone.
            let cord = l - (46.0 + 0.36 * (y + 92.0)).max(7.0);
            front += 2.0 * hill(cord * cord / 130.0) * step(-88.0, -125.0, y);
            front -= 2.0 * hill(l * l / 70.0) * step(-165.0, -182.0, y);
            best = Some(front - 48.0 * (1.0 - (1.0 - t * t).sqrt()));
        }
        let top = -146.0 - 0.46 * (l - 38.0).max(0.0) - 0.0006 * l * l;
        let under = top - y;
        if under > 0.0 {
            let round = 34.0 * (1.0 - (1.0 - (under / 70.0).min(1.0)).powi(2)).sqrt();
            let z = -74.0 + round + 16.0 * step(120.0, 20.0, l) - 0.0009 * l * l;
            best = Some(best.map_or(z, |b| soft_max(b, z, 14.0)));
        }
        best
    }
}
