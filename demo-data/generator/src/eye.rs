//! One eye: where the lids part, the ball between them, the skin over it.
//! Side-neutral: `l` is the distance from the midline, `y` the height.

use crate::curve::{Curve, dome, hill, mix, soft_max, step};
use crate::head::{Head, Side, Spot, spot};

/// Depth of the ball's middle: its front then lies at the pupil's z = 0.
const BALL_Z: f64 = -12.0;
/// Thickness of the lids over the ball.
const LID: f64 = 1.7;
/// Breadth of the lower lid's moist rim, seen from the front.
pub const RIM: f64 = 0.9;

/// Where the upper lid runs between the corners, as a share of its height.
const UPPER: [(f64, f64); 9] = [
    (0.0, 0.0),
    (0.06, 0.15),
    (0.18, 0.56),
    (0.32, 0.89),
    (0.47, 1.0),
    (0.64, 0.93),
    (0.80, 0.68),
    (0.92, 0.32),
    (1.0, 0.0),
];
/// Where the lower lid runs, as a share of its depth.
const LOWER: [(f64, f64); 8] = [
    (0.0, 0.0),
    (0.08, 0.10),
    (0.20, 0.38),
    (0.38, 0.82),
    (0.58, 1.0),
    (0.76, 0.90),
    (0.90, 0.50),
    (1.0, 0.0),
];

/// An eye with its lids as they are now.
#[derive(Debug, Clone)]
pub struct Eye {
    /// Middle of the pupil.
    pub pupil: Spot,
    /// Where the lids meet on the nose's side.
    pub inner: Spot,
    /// Where the lids meet on the temple's side.
    pub outer: Spot,
    /// Radius of the iris.
    pub iris: f64,
    /// Radius of the pupil.
    pub pupil_radius: f64,
    upper: Curve,
    lower: Curve,
    upper_height: f64,
    lower_depth: f64,
    /// Height of the skin fold's edge above the resting corner line, at mid lid.
    crease: f64,
}

/// What is seen at a place in or around the eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EyePart {
    /// Between the lids.
    Ball,
    /// The moist rim of the lower lid.
    Rim,
    /// Skin.
    Skin,
}

impl Eye {
    /// The eye of one side of a head.
    pub fn of(head: &Head, side: Side) -> Self {
        let f = &head.face;
        let s = head.side(side);
        let e = head.expression.side(side);
        let pupil = spot(f.pupil_distance / 2.0, 0.0);
        let inner = spot(
            f.inner_corner_distance / 2.0 + s.inner_corner.0,
            s.inner_corner.1,
        );
        let outer = spot(
            f.outer_corner_distance / 2.0 + s.outer_corner.0,
            s.outer_corner.1,
        );
        let upper = Curve::through(&UPPER);
        let lower = Curve::through(&LOWER);
        let t = (pupil.lateral - inner.lateral) / (outer.lateral - inner.lateral);
        let line = mix(inner.height, outer.height, t);
        Self {
            pupil,
            inner,
            outer,
            iris: f.iris_diameter / 2.0,
            pupil_radius: f.pupil_diameter / 2.0,
            upper_height: (pupil.height + e.lid - line) / upper.at(t),
            lower_depth: (line - pupil.height + e.lower_lid) / lower.at(t),
            // The fold follows the lid a little, and the brow above it.
            crease: 8.6 + 0.22 * (e.lid - 4.0) + 0.35 * e.lift.peak,
            upper,
            lower,
        }
    }

    /// Place between the corners: 0 at the inner, 1 at the outer one.
    pub fn along(&self, l: f64) -> f64 {
        (l - self.inner.lateral) / (self.outer.lateral - self.inner.lateral)
    }

    fn line(&self, t: f64) -> f64 {
        mix(self.inner.height, self.outer.height, t)
    }

    /// Height of the upper lid's margin.
    pub fn upper_margin(&self, l: f64) -> f64 {
        let t = self.along(l);
        self.line(t) + self.upper_height * self.upper.at(t)
    }

    /// Height of the lower lid's margin, where it touches the ball.
    pub fn lower_margin(&self, l: f64) -> f64 {
        let t = self.along(l);
        self.line(t) - self.lower_depth * self.lower.at(t)
    }

    /// Height of the edge of the fold above the upper lid.
    pub fn crease_line(&self, l: f64) -> f64 {
        let t = self.along(l);
        let c = t.clamp(0.0, 1.0) - 0.5;
        let arch = 1.0 - 3.0 * c * c;
        self.line(t) + self.crease * arch - 12.0 * (t - 0.5 - c).abs()
    }

    /// How far inside the opening a place lies, about in mm; negative outside.
    pub fn opening(&self, l: f64, y: f64) -> f64 {
        let side = (l - self.inner.lateral).min(self.outer.lateral - l);
        let gap = (self.upper_margin(l) - y).min(y - self.lower_margin(l));
        gap.min(side * 2.0)
    }

    /// What is seen there.
    pub fn part(&self, l: f64, y: f64) -> EyePart {
        let d = self.opening(l, y);
        if d >= 0.0 {
            EyePart::Ball
        } else if d > -self.rim_breadth(l) && y < self.upper_margin(l) {
            EyePart::Rim
        } else {
            EyePart::Skin
        }
    }

    /// Breadth of the lower lid's rim, none at the corners.
    pub fn rim_breadth(&self, l: f64) -> f64 {
        let t = self.along(l);
        RIM * step(0.0, 0.2, t) * step(1.0, 0.88, t)
    }

    fn shell(&self, l: f64, y: f64, thick: f64) -> f64 {
        let dx = l - self.pupil.lateral;
        let rx = if dx < 0.0 { 17.5 } else { 14.6 } + 0.45 * thick;
        let (u, v) = (dx / rx, (y - self.pupil.height) / (12.5 + thick));
        BALL_Z + (12.0 + thick) * dome(u * u + v * v)
    }

    /// Surface of the ball, with the flesh in the corners.
    pub fn ball(&self, l: f64, y: f64) -> f64 {
        soft_max(self.shell(l, y, 0.0), -6.6, 2.5)
    }

    /// The skin around the eye, given the face's surface there without eyes.
    pub fn skin(&self, face: f64, l: f64, y: f64) -> f64 {
        let mut z = soft_max(face, self.shell(l, y, LID), 7.0);
        let t = self.along(l);
        let reach = step(-0.12, 0.12, t) * step(1.25, 0.9, t);
        if reach > 0.0 {
            // The fold: skin hanging over the lid's platform.
            let above = y - self.crease_line(l);
            z += reach * (1.5 * step(-0.5, 1.6, above) * step(11.0, 1.5, above));
            z -= reach * 0.5 * hill(above * above / 1.2);
            // The soft bag under the lower lid, and the groove below it.
            let below = self.lower_margin(l) - y;
            z += reach * (0.45 * hill((below - 3.2) * (below - 3.2) / 9.0));
            z -= reach * (0.22 * hill((below - 8.0) * (below - 8.0) / 16.0));
        }
        z
    }

    /// The surface seen from the front: ball, rim or skin.
    pub fn surface(&self, face: f64, l: f64, y: f64) -> f64 {
        let reach = 30.0;
        if (l - self.pupil.lateral).abs() > reach || (y - self.pupil.height).abs() > reach {
            return face;
        }
        let skin = self.skin(face, l, y);
        let d = self.opening(l, y);
        if d < -1.5 {
            return skin;
        }
        let ball = self.ball(l, y);
        let breadth = if y < 0.5 * (self.upper_margin(l) + self.lower_margin(l)) {
            self.rim_breadth(l) + 0.25
        } else {
            0.35
        };
        mix(skin, ball, step(-breadth, 0.0, d))
    }
}
