//! The project's landmarks, as exact points of the surface that is drawn.

use crate::head::{Head, Side, Spot};
use crate::surface::Face;
use crate::vec3::{Vec3, v3};
use serde::{Deserialize, Serialize};

/// Landmarks of one side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Sided<T> {
    /// Middle of the pupil.
    pub pupil: T,
    /// Lateral-most point of the iris.
    pub iris_outer_rim: T,
    /// Where the lids meet on the nose's side.
    pub inner_corner: T,
    /// Where the lids meet on the temple's side.
    pub outer_corner: T,
    /// Lateral-most point of the nose wing.
    pub nose_wing: T,
    /// On the lower lid's margin, 5 mm medial of the outer corner.
    pub lower_lid: T,
    /// Middle of the ear.
    pub ear_middle: T,
    /// Upper corner of the brow's front edge.
    pub brow_start_top: T,
    /// Lower corner of the brow's front edge.
    pub brow_start_bottom: T,
    /// Highest point of the hair's upper border.
    pub brow_peak: T,
    /// Highest point of the hair's lower border.
    pub brow_lower_arch: T,
    /// Lateral end of the hair.
    pub brow_tail: T,
}

impl<T: Copy> Sided<T> {
    /// All with their ids.
    pub fn each(&self) -> [(&'static str, T); 12] {
        [
            ("pupil", self.pupil),
            ("iris-outer-rim", self.iris_outer_rim),
            ("inner-corner", self.inner_corner),
            ("outer-corner", self.outer_corner),
            ("nose-wing", self.nose_wing),
            ("lower-lid", self.lower_lid),
            ("ear-middle", self.ear_middle),
            ("brow-start-top", self.brow_start_top),
            ("brow-start-bottom", self.brow_start_bottom),
            ("brow-peak", self.brow_peak),
            ("brow-lower-arch", self.brow_lower_arch),
            ("brow-tail", self.brow_tail),
        ]
    }

    /// The same landmarks with something done to each.
    pub fn map<U>(&self, f: impl Fn(T) -> U) -> Sided<U> {
        Sided {
            pupil: f(self.pupil),
            iris_outer_rim: f(self.iris_outer_rim),
            inner_corner: f(self.inner_corner),
            outer_corner: f(self.outer_corner),
            nose_wing: f(self.nose_wing),
            lower_lid: f(self.lower_lid),
            ear_middle: f(self.ear_middle),
            brow_start_top: f(self.brow_start_top),
            brow_start_bottom: f(self.brow_start_bottom),
            brow_peak: f(self.brow_peak),
            brow_lower_arch: f(self.brow_lower_arch),
            brow_tail: f(self.brow_tail),
        }
    }
}

/// Landmarks on the midline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Middle<T> {
    /// Bridge of the nose, 6 mm above the pupil line.
    pub bridge: T,
    /// Where the nose meets the upper lip.
    pub nose_base: T,
    /// Lowest point of the chin.
    pub chin: T,
}

impl<T: Copy> Middle<T> {
    /// All with their ids.
    pub fn each(&self) -> [(&'static str, T); 3] {
        [
            ("bridge", self.bridge),
            ("nose-base", self.nose_base),
            ("chin", self.chin),
        ]
    }

    /// The same landmarks with something done to each.
    pub fn map<U>(&self, f: impl Fn(T) -> U) -> Middle<U> {
        Middle {
            bridge: f(self.bridge),
            nose_base: f(self.nose_base),
            chin: f(self.chin),
        }
    }
}

/// All landmarks of a face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Landmarks<T = Vec3> {
    /// The client's right.
    pub right: Sided<T>,
    /// The client's left.
    pub left: Sided<T>,
    /// On the midline.
    pub middle: Middle<T>,
}

impl<T: Copy> Landmarks<T> {
    /// One side.
    pub fn side(&self, side: Side) -> &Sided<T> {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }

    /// All with group ("right", "left", "middle") and id.
    pub fn each(&self) -> Vec<(&'static str, &'static str, T)> {
        let mut all = Vec::with_capacity(27);
        all.extend(self.right.each().map(|(id, p)| ("right", id, p)));
        all.extend(self.left.each().map(|(id, p)| ("left", id, p)));
        all.extend(self.middle.each().map(|(id, p)| ("middle", id, p)));
        all
    }

    /// The same landmarks with something done to each.
    pub fn map<U>(&self, f: impl Fn(T) -> U) -> Landmarks<U> {
        Landmarks {
            right: self.right.map(&f),
            left: self.left.map(&f),
            middle: self.middle.map(&f),
        }
    }
}

/// Where a spot of one side lies on the skin.
pub fn on_skin(face: &Face, side: Side, s: Spot) -> Vec3 {
    face.point(side.sign() * s.lateral, s.height)
}

/// The landmarks of a head, head frame, mm.
pub fn landmarks(head: &Head) -> Landmarks {
    landmarks_of(head, &Face::of(head))
}

/// The same for a head already made ready.
pub fn landmarks_of(head: &Head, face: &Face) -> Landmarks {
    let sided = |side: Side| {
        let at = |l: f64, y: f64| face.point(side.sign() * l, y);
        let eye = face.eye(side);
        let brow = head.brow_now(side);
        let skin = |s: Spot| on_skin(face, side, s);
        let (wing_l, wing_r) = face.nose.wing(side);
        let ear = face.ear(side);
        let lid = eye.outer.lateral - 5.0;
        let rim = (eye.pupil.lateral + eye.iris, eye.pupil.height);
        Sided {
            pupil: at(eye.pupil.lateral, eye.pupil.height),
            iris_outer_rim: v3(side.sign() * rim.0, rim.1, eye.ball(rim.0, rim.1)),
            inner_corner: skin(eye.inner),
            outer_corner: skin(eye.outer),
            nose_wing: at(wing_l, face.actual_y(wing_r)),
            lower_lid: at(lid, eye.lower_margin(lid)),
            ear_middle: v3(
                side.sign() * ear.middle.lateral,
                ear.middle.height,
                ear.depth(ear.middle.lateral, ear.middle.height)
                    .unwrap_or(head.face.ear.2),
            ),
            brow_start_top: skin(brow.start_top),
            brow_start_bottom: skin(brow.start_bottom),
            brow_peak: skin(brow.peak),
            brow_lower_arch: skin(brow.lower_arch),
            brow_tail: skin(brow.tail),
        }
    };
    let f = &head.face;
    Landmarks {
        right: sided(Side::Right),
        left: sided(Side::Left),
        middle: Middle {
            bridge: face.point(0.0, 6.0),
            nose_base: face.point(0.0, f.nose_base_y),
            // The edge itself has no depth of its own: a hair's breadth above it.
            chin: face.point(0.0, f.chin_y + 0.15),
        },
    }
}
