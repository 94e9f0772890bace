//! The object of known size held beside the face, parallel to the picture.

use crate::camera::Camera;
use crate::vec3::{Vec3, v3};

/// Long side of an ID-1 card (ISO/IEC 7810), mm.
pub const CARD_LONG: f64 = 85.60;
/// Short side of an ID-1 card (ISO/IEC 7810), mm.
pub const CARD_SHORT: f64 = 53.98;
/// Corner radius of an ID-1 card (ISO/IEC 7810, nominal), mm.
pub const CARD_CORNER: f64 = 3.18;

/// What is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScaleKind {
    /// An ID-1 card, long side upright.
    Card,
    /// A round sticker of this diameter on a white tag.
    Sticker {
        /// Diameter, mm.
        diameter: f64,
    },
    /// A ruler, upright, zero mark at its lower end, marked to this length.
    Ruler {
        /// Length between the first and the last mark, mm.
        length: f64,
    },
}

/// A scale object and where it is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaleObject {
    /// What it is.
    pub kind: ScaleKind,
    /// Its middle, scene frame, mm.
    pub centre: Vec3,
    /// Turn in its own plane, degrees, counter-clockwise in the picture.
    pub turn: f64,
}

impl ScaleObject {
    /// A point of the object (mm from its middle, x right, y up when not turned), scene frame.
    pub fn at(&self, x: f64, y: f64) -> Vec3 {
        let (s, c) = libm::sincos(self.turn.to_radians());
        self.centre + v3(c * x - s * y, s * x + c * y, 0.0)
    }

    /// Place on the object of a scene point in its plane; the inverse of [`Self::at`].
    pub fn place(&self, p: Vec3) -> (f64, f64) {
        let (s, c) = libm::sincos(self.turn.to_radians());
        let (dx, dy) = (p.x - self.centre.x, p.y - self.centre.y);
        (c * dx + s * dy, -s * dx + c * dy)
    }

    /// Named points to tap: for the card its corners before rounding and the
    /// middles of its edges; for the sticker its middle and four points of its
    /// edge; for the ruler each tenth millimetre mark.
    pub fn points(&self) -> Vec<(String, Vec3)> {
        let named = |name: &str, x: f64, y: f64| (name.to_owned(), self.at(x, y));
        match self.kind {
            ScaleKind::Card => {
                let (w, h) = (CARD_SHORT / 2.0, CARD_LONG / 2.0);
                vec![
                    named("corner-top-left", -w, h),
                    named("corner-top-right", w, h),
                    named("corner-bottom-right", w, -h),
                    named("corner-bottom-left", -w, -h),
                    named("edge-top", 0.0, h),
                    named("edge-right", w, 0.0),
                    named("edge-bottom", 0.0, -h),
                    named("edge-left", -w, 0.0),
                ]
            }
            ScaleKind::Sticker { diameter } => {
                let r = diameter / 2.0;
                vec![
                    named("middle", 0.0, 0.0),
                    named("edge-top", 0.0, r),
                    named("edge-right", r, 0.0),
                    named("edge-bottom", 0.0, -r),
                    named("edge-left", -r, 0.0),
                ]
            }
            ScaleKind::Ruler { length } => {
                let tens = (length / 10.0 + 1e-9) as u32;
                (0..=tens)
                    .map(|i| {
                        let mm = f64::from(i) * 10.0;
                        named(&format!("mark-{mm:.0}"), RULER_EDGE, mm - length / 2.0)
                    })
                    .collect()
            }
        }
    }

    /// Picture positions of [`Self::points`].
    pub fn project(&self, camera: &Camera) -> Vec<(String, (f64, f64))> {
        self.points()
            .into_iter()
            .map(|(name, p)| (name, camera.project_scene(p)))
            .collect()
    }
}

/// Half the breadth of the ruler; its marks start at the edge toward the face.
pub const RULER_HALF: f64 = 11.0;
/// Where the ruler's marked edge lies, from its middle line.
pub const RULER_EDGE: f64 = -RULER_HALF;
/// Ruler beyond its first and last mark.
pub const RULER_SPARE: f64 = 5.0;
