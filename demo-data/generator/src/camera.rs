//! A pinhole camera in front of the head.

use crate::vec3::{Vec3, v3};
use serde::{Deserialize, Serialize};

/// A pinhole camera that looks straight at the head; the head is turned, not the camera.
///
/// The *scene frame* has its origin in the head's origin and its axes along
/// the camera's: x right in the picture, y up, z toward the camera.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Camera {
    /// From the pinhole to the plane of the pupils, mm.
    #[serde(rename = "distance-mm")]
    pub distance: f64,
    /// Focal length in px: px per mm in the plane of the pupils, times the distance.
    #[serde(rename = "focal-px")]
    pub focal: f64,
    /// Turn toward the client's left, degrees.
    #[serde(rename = "yaw-deg")]
    pub yaw: f64,
    /// Chin up, degrees.
    #[serde(rename = "pitch-deg")]
    pub pitch: f64,
    /// Head tipped toward the client's right shoulder (counter-clockwise in the picture), degrees.
    #[serde(rename = "roll-deg")]
    pub roll: f64,
    /// Where the optical axis meets the picture, px.
    #[serde(rename = "principal-px")]
    pub principal: (f64, f64),
    /// Head's origin beside the optical axis, mm (x, y of the scene).
    #[serde(rename = "offset-mm")]
    pub offset: (f64, f64),
    /// Size of the picture, px.
    #[serde(rename = "size-px")]
    pub size: (u32, u32),
}

impl Default for Camera {
    /// A portrait from 3.2 m, 5.6 px per mm, upright and straight.
    fn default() -> Self {
        Self {
            distance: 3200.0,
            focal: 5.6 * 3200.0,
            yaw: 0.0,
            pitch: 0.0,
            roll: 0.0,
            principal: (900.0, 900.0),
            offset: (0.0, 0.0),
            size: (1800, 2250),
        }
    }
}

/// The turn of the head as rows of a rotation matrix.
#[derive(Debug, Clone, Copy)]
pub struct Turn {
    rows: [Vec3; 3],
}

impl Turn {
    /// From the head frame to the scene frame.
    pub fn to_scene(&self, p: Vec3) -> Vec3 {
        v3(
            self.rows[0].dot(p),
            self.rows[1].dot(p),
            self.rows[2].dot(p),
        )
    }

    /// From the scene frame to the head frame.
    pub fn to_head(&self, p: Vec3) -> Vec3 {
        self.rows[0] * p.x + self.rows[1] * p.y + self.rows[2] * p.z
    }
}

impl Camera {
    /// The same picture, `k` times as large in px.
    pub fn scaled(mut self, k: f64) -> Self {
        self.focal *= k;
        self.principal = (self.principal.0 * k, self.principal.1 * k);
        let size = |n: u32| ((f64::from(n) * k + 0.5) as u32).max(1);
        self.size = (size(self.size.0), size(self.size.1));
        self
    }

    /// The same scale on the face from another distance.
    pub fn from_distance(mut self, distance: f64) -> Self {
        self.focal *= distance / self.distance;
        self.distance = distance;
        self
    }

    /// px per mm at a depth of the scene.
    pub fn scale_at(&self, z: f64) -> f64 {
        self.focal / (self.distance - z)
    }

    /// How the head is turned: yaw first, then pitch, then roll.
    pub fn turn(&self) -> Turn {
        let (sy, cy) = libm::sincos(self.yaw.to_radians());
        let (sp, cp) = libm::sincos(self.pitch.to_radians());
        let (sr, cr) = libm::sincos(self.roll.to_radians());
        // Yaw: x' = x cos + z sin. Pitch: y' = y cos + z sin. Roll: counter-clockwise.
        let x = v3(cy, 0.0, sy);
        let y = v3(-sp * sy, cp, sp * cy);
        let z = v3(-cp * sy, -sp, cp * cy);
        Turn {
            rows: [x * cr - y * sr, x * sr + y * cr, z],
        }
    }

    /// Picture position of a point of the scene frame, px: origin at the outer
    /// corner of the top left pixel, y down.
    pub fn project_scene(&self, p: Vec3) -> (f64, f64) {
        let k = self.scale_at(p.z);
        (
            self.principal.0 + k * (p.x + self.offset.0),
            self.principal.1 - k * (p.y + self.offset.1),
        )
    }

    /// Picture position of a point of the head, px.
    pub fn project(&self, p: Vec3) -> (f64, f64) {
        self.project_scene(self.turn().to_scene(p))
    }

    /// The pinhole, in the scene frame.
    pub fn pinhole(&self) -> Vec3 {
        v3(-self.offset.0, -self.offset.1, self.distance)
    }

    /// Direction from the pinhole through a picture position, scene frame, z = -1.
    pub fn ray(&self, px: (f64, f64)) -> Vec3 {
        v3(
            (px.0 - self.principal.0) / self.focal,
            -(px.1 - self.principal.1) / self.focal,
            -1.0,
        )
    }
}

/// Picture position of a point of the head, px.
pub fn project(camera: &Camera, point: Vec3) -> (f64, f64) {
    camera.project(point)
}
