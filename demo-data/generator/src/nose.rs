//! The nose: ridge, tip, wings, nostrils. `y` is the reference height (see
//! [`crate::surface`]).

use crate::curve::{Curve, dome, hill, mix, soft_max, step};
use crate::head::{Head, Side};

/// Height of the wings' middle in the reference face.
pub const WING_Y: f64 = -37.0;
const WING_RY: f64 = 6.6;

/// A nose on its face.
#[derive(Debug, Clone)]
pub struct Nose {
    ridge: Curve,
    half_ridge: Curve,
    fall: Curve,
    projection: f64,
    /// Scale across.
    breadth: f64,
    /// Lateral edge of right and left wing, and their heights.
    wings: [(f64, f64); 2],
}

impl Nose {
    /// The nose of a head.
    pub fn of(head: &Head) -> Self {
        let half = head.face.nose_width / 2.0;
        let wing = |s: Side| {
            let (dx, dy) = head.side(s).nose_wing;
            (half + dx, WING_Y + dy)
        };
        Self {
            // Ridge along the midline: depth over height, after a mean face's profile.
            ridge: Curve::through(&[
                (-62.0, 2.0),
                (-56.0, 7.5),
                (-52.0, 12.2),
                (-48.0, 17.5),
                (-45.5, 20.0),
                (-43.2, 23.0),
                (-41.0, 27.0),
                (-38.5, 31.6),
                (-36.0, 34.2),
                (-32.5, 35.4),
                (-28.0, 34.4),
                (-21.0, 31.6),
                (-14.0, 27.6),
                (-7.0, 23.0),
                (0.0, 18.2),
                (6.0, 14.6),
                (12.0, 13.0),
                (18.0, 12.6),
                (26.0, 11.0),
            ]),
            half_ridge: Curve::through(&[
                (-50.0, 6.0),
                (-45.0, 3.2),
                (-40.0, 3.6),
                (-35.0, 6.6),
                (-30.0, 6.0),
                (-18.0, 4.6),
                (-8.0, 4.4),
                (0.0, 4.2),
                (8.0, 6.5),
                (20.0, 14.0),
            ]),
            fall: Curve::through(&[
                (-50.0, 1.2),
                (-45.0, 2.8),
                (-40.0, 3.3),
                (-33.0, 3.3),
                (-22.0, 2.75),
                (-10.0, 2.25),
                (0.0, 1.75),
                (8.0, 1.2),
                (20.0, 0.8),
            ]),
            projection: head.face.nose_projection,
            breadth: half / 16.7,
            wings: [wing(Side::Right), wing(Side::Left)],
        }
    }

    fn stand_out(&self, z: f64) -> f64 {
        mix(12.0, z, self.projection)
    }

    /// Lateral-most point of a wing: distance from the midline and reference height.
    pub fn wing(&self, side: Side) -> (f64, f64) {
        self.wings[usize::from(side == Side::Left)]
    }

    /// The face's surface with the nose on it.
    pub fn surface(&self, face: f64, x: f64, y: f64) -> f64 {
        if !(-62.0..=28.0).contains(&y) || x.abs() > 30.0 {
            return face;
        }
        let l = x.abs();
        let b = self.breadth;
        let half = self.half_ridge.at(y) * mix(1.0, b, 0.5);
        let ridge = self.stand_out(self.ridge.at(y))
            - self.fall.at(y) / b * ((l * l + half * half).sqrt() - half);
        // Fades into forehead and lip.
        let fade = step(28.0, 16.0, y) * step(-61.0, -46.0, y);
        let mut z = mix(
            face,
            soft_max(face, ridge, mix(4.0, 13.0, step(-50.0, -36.0, y))),
            fade,
        );
        let (tx, ty) = (l / (10.2 * b), (y + 33.0) / 8.6);
        z = soft_max(
            z,
            self.stand_out(23.8) + 12.0 * dome(tx * tx + ty * ty),
            4.0,
        );
        let (q, lateral) = self.wing_measure(x, y);
        // Sharp toward the cheek, soft toward the tip.
        let depth = mix(4.5, 1.2, step(-0.2, 0.5, lateral));
        z = soft_max(z, 4.6 + 17.6 * dome(q), depth);
        z - 5.5 * self.nostril(x, y)
    }

    /// Squared relative distance from the middle of the nearer wing (1 at its
    /// edge), and how far lateral of that middle.
    fn wing_measure(&self, x: f64, y: f64) -> (f64, f64) {
        let side = if x < 0.0 { Side::Right } else { Side::Left };
        let (edge, wy) = self.wing(side);
        let rx = 6.6 * self.breadth;
        let (ux, uy) = ((x.abs() - (edge - rx)) / rx, (y - wy) / WING_RY);
        // Egg-shaped: fuller below.
        (ux * ux + uy * uy * if uy > 0.0 { 0.75 } else { 1.15 }, ux)
    }

    /// The groove round a wing, 0 to 1.
    pub fn groove(&self, x: f64, y: f64) -> f64 {
        let (q, lateral) = self.wing_measure(x, y);
        hill((q - 1.07) * (q - 1.07) / 0.05) * step(0.05, 0.7, lateral)
    }

    /// How much of a nostril there is at a place, 0 to 1.
    pub fn nostril(&self, x: f64, y: f64) -> f64 {
        let b = self.breadth;
        let (dx, dy) = (x.abs() - 6.9 * b, y + 41.9);
        // Slanting: higher toward the wing.
        let (c, s) = (0.94, 0.34);
        let (u, v) = ((dx * c + dy * s) / (4.4 * b), (-dx * s + dy * c) / 2.5);
        hill(u * u + v * v)
    }
}
