//! The parameters of an invented head. Everything is in the head frame, in
//! millimetres: origin where the midline meets the pupil line, x toward the
//! client's left, y up, z toward the camera, pupils at about z = 0.
//!
//! # Sources of the proportions
//! - pupils 62.9 ± 3.5 apart, bizygomatic breadth 138 ± 6, head breadth
//!   151 ± 5.5: women and men of ANSUR II pooled (Gordon et al.,
//!   NATICK/TR-15/007, 2014);
//! - inner corners 31 to 38 apart over the world: systematic review of 67
//!   studies, PMC9029890 (2022); outer corners 88 to 91 and nose width 31 to
//!   35 apart: Farkas, Anthropometry of the Head and Face, 2nd ed. 1994 (from
//!   memory);
//! - iris 11.71 ± 0.42: Rüfer, Schröder, Erb, Cornea 24 (2005) 259-261;
//! - upper brow edge about 25 above the pupil: McKinney et al., Aesthetic Plast
//!   Surg 15 (1991) 141-147; lower brow hairs 19.5 above the lower rim of the
//!   iris: "inferior corneal limbus to brow", OPRS 2010 (n = 213);
//! - brow band round the temple like an upright cylinder of about 75 mm
//!   radius: measured on an open mean-face mesh;
//! - lower face heights, depths and the ear: plausible values of our own.

use crate::hair::Hair;
use crate::skin::Skin;
use crate::truth::Pair;
use crate::worked::Worked;
use serde::{Deserialize, Serialize};

/// One side of the client. "Right" and "left" are always the client's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The client's right, negative x.
    Right,
    /// The client's left, positive x.
    Left,
}

impl Side {
    /// Both, right first.
    pub const BOTH: [Side; 2] = [Side::Right, Side::Left];

    /// Sign of x on this side.
    pub fn sign(self) -> f64 {
        match self {
            Side::Right => -1.0,
            Side::Left => 1.0,
        }
    }
}

/// An invented head: what it is made of, and what its face is doing.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// Size and shape shared by both sides.
    pub face: Proportions,
    /// The client's right side.
    pub right: SideFeatures,
    /// The client's left side.
    pub left: SideFeatures,
    /// What lids and forehead are doing.
    pub expression: Expression,
    /// Colour of the skin.
    pub skin: Skin,
    /// Colour and style of hair, brows and lashes.
    pub hair: Hair,
    /// Seed of hairs, pores and freckles.
    pub seed: u64,
    /// Powder worked into the brows.
    pub worked: Pair<Option<Worked>>,
}

impl Head {
    /// The features of one side.
    pub fn side(&self, side: Side) -> &SideFeatures {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }

    /// The features of one side, to change them.
    pub fn side_mut(&mut self, side: Side) -> &mut SideFeatures {
        match side {
            Side::Right => &mut self.right,
            Side::Left => &mut self.left,
        }
    }

    /// The brow as it is now: at rest plus what the forehead does.
    pub fn brow_now(&self, side: Side) -> Brow {
        self.side(side).brow.lifted(self.expression.side(side).lift)
    }
}

impl Default for Head {
    fn default() -> Self {
        Self {
            face: Proportions::default(),
            right: SideFeatures::default(),
            left: SideFeatures::default(),
            expression: Expression::default(),
            skin: Skin::tone(2),
            hair: Hair::default(),
            seed: 1,
            worked: Pair::of(|_| None),
        }
    }
}

/// Sizes shared by both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proportions {
    /// Between the pupils.
    pub pupil_distance: f64,
    /// Between the inner eye corners.
    pub inner_corner_distance: f64,
    /// Between the outer eye corners.
    pub outer_corner_distance: f64,
    /// Across the nose wings.
    pub nose_width: f64,
    /// Height of the nose base (negative: below the pupils).
    pub nose_base_y: f64,
    /// Height of the line between the lips.
    pub mouth_y: f64,
    /// Height of the lowest point of the chin.
    pub chin_y: f64,
    /// Bizygomatic breadth.
    pub face_breadth: f64,
    /// Breadth of the head above the ears.
    pub head_breadth: f64,
    /// Radius of curvature of the brow band where it crosses the midline; the
    /// section is an ellipse, so that the band as a whole follows an upright
    /// cylinder of about 0.94 times this radius.
    pub brow_radius: f64,
    /// How far the nose stands out, as a factor.
    pub nose_projection: f64,
    /// White to white.
    pub iris_diameter: f64,
    /// Pupil opening.
    pub pupil_diameter: f64,
    /// Middle of the ear: distance from the midline, height, depth.
    pub ear: (f64, f64, f64),
    /// Factor on the fullness of the lips.
    pub lip_fullness: f64,
}

impl Default for Proportions {
    fn default() -> Self {
        Self {
            pupil_distance: 63.0,
            inner_corner_distance: 32.4,
            outer_corner_distance: 89.0,
            nose_width: 33.4,
            nose_base_y: -46.0,
            mouth_y: -67.0,
            chin_y: -119.0,
            face_breadth: 139.0,
            head_breadth: 151.0,
            brow_radius: 80.0,
            nose_projection: 1.0,
            iris_diameter: 11.7,
            pupil_diameter: 3.6,
            ear: (76.0, -11.0, -88.0),
            lip_fullness: 1.0,
        }
    }
}

/// What differs from side to side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideFeatures {
    /// Inner eye corner: lateral shift and height above the pupil line.
    pub inner_corner: (f64, f64),
    /// Outer eye corner: lateral shift and height above the pupil line.
    pub outer_corner: (f64, f64),
    /// Nose wing: lateral shift and height above its usual place.
    pub nose_wing: (f64, f64),
    /// Ear: height above its usual place.
    pub ear_height: f64,
    /// The brow at rest.
    pub brow: Brow,
}

impl Default for SideFeatures {
    fn default() -> Self {
        Self {
            inner_corner: (0.0, -1.2),
            outer_corner: (0.0, 0.6),
            nose_wing: (0.0, 0.0),
            ear_height: 0.0,
            brow: Brow::default(),
        }
    }
}

/// A place on the face, seen from the front and side-neutral: distance from
/// the midline toward the tail, and height above the pupil line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spot {
    /// Distance from the midline.
    pub lateral: f64,
    /// Height above the pupil line.
    pub height: f64,
}

/// Shorthand for a [`Spot`].
pub const fn spot(lateral: f64, height: f64) -> Spot {
    Spot { lateral, height }
}

/// The area that brow hair covers, by the points an artist would name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brow {
    /// Upper corner of the front edge.
    pub start_top: Spot,
    /// Lower corner of the front edge.
    pub start_bottom: Spot,
    /// Highest point of the upper border.
    pub peak: Spot,
    /// Highest point of the lower border.
    pub lower_arch: Spot,
    /// Lateral end.
    pub tail: Spot,
    /// Hairs per square millimetre.
    pub density: f64,
}

impl Default for Brow {
    fn default() -> Self {
        Self {
            start_top: spot(16.4, 20.6),
            start_bottom: spot(15.4, 13.8),
            peak: spot(42.5, 25.6),
            lower_arch: spot(44.0, 19.4),
            tail: spot(57.0, 14.6),
            density: 2.9,
        }
    }
}

impl Brow {
    /// The brow with its start, peak and tail raised.
    pub fn lifted(mut self, lift: Lift) -> Self {
        self.start_top.height += lift.start;
        self.start_bottom.height += lift.start;
        self.peak.height += lift.peak;
        self.lower_arch.height += lift.peak;
        self.tail.height += lift.tail;
        self
    }

    /// The brow moved as a whole.
    pub fn moved(mut self, lateral: f64, height: f64) -> Self {
        for s in [
            &mut self.start_top,
            &mut self.start_bottom,
            &mut self.peak,
            &mut self.lower_arch,
            &mut self.tail,
        ] {
            s.lateral += lateral;
            s.height += height;
        }
        self
    }
}

/// How far the forehead muscle raises a brow.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lift {
    /// At the start.
    pub start: f64,
    /// At the peak.
    pub peak: f64,
    /// At the tail.
    pub tail: f64,
}

/// What one side of the face is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideExpression {
    /// Upper lid margin above the pupil's middle (margin reflex distance).
    pub lid: f64,
    /// Lower lid margin below the pupil's middle.
    pub lower_lid: f64,
    /// What the forehead does to the brow.
    pub lift: Lift,
}

/// What the face is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expression {
    /// The client's right side.
    pub right: SideExpression,
    /// The client's left side.
    pub left: SideExpression,
}

impl Expression {
    /// One side.
    pub fn side(&self, side: Side) -> &SideExpression {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }

    /// Soft gaze, lids half down, forehead at rest.
    pub fn relaxed() -> Self {
        let side = SideExpression {
            lid: 2.5,
            lower_lid: 5.1,
            lift: Lift::default(),
        };
        Self {
            right: side,
            left: side,
        }
    }

    /// Eyes well open, forehead in use as much as `lift` says on both sides.
    pub fn eyes_open(lift: Lift) -> Self {
        let side = SideExpression {
            lid: 4.6,
            lower_lid: 5.5,
            lift,
        };
        Self {
            right: side,
            left: side,
        }
    }
}

impl Default for Expression {
    fn default() -> Self {
        Self::eyes_open(Lift::default())
    }
}
