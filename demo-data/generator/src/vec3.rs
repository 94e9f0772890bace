//! Points and directions of the head frame, in millimetres.

use serde::{Deserialize, Serialize};

/// A point or direction: x toward the client's left, y up, z toward the camera.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Vec3 {
    /// Toward the client's left.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Toward the camera.
    pub z: f64,
}

/// Shorthand for a [`Vec3`].
pub const fn v3(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3 { x, y, z }
}

impl Vec3 {
    /// Scalar product.
    pub fn dot(self, o: Vec3) -> f64 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }

    /// Vector product.
    pub fn cross(self, o: Vec3) -> Vec3 {
        v3(
            self.y * o.z - self.z * o.y,
            self.z * o.x - self.x * o.z,
            self.x * o.y - self.y * o.x,
        )
    }

    /// Length.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction with length one; zero stays zero.
    pub fn unit(self) -> Vec3 {
        let l = self.length();
        if l > 0.0 { self * (1.0 / l) } else { self }
    }

    /// Distance between two points.
    pub fn distance(self, o: Vec3) -> f64 {
        (self - o).length()
    }
}

impl std::ops::Add for Vec3 {
    type Output = Vec3;
    fn add(self, o: Vec3) -> Vec3 {
        v3(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}

impl std::ops::Sub for Vec3 {
    type Output = Vec3;
    fn sub(self, o: Vec3) -> Vec3 {
        v3(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}

impl std::ops::Mul<f64> for Vec3 {
    type Output = Vec3;
    fn mul(self, k: f64) -> Vec3 {
        v3(self.x * k, self.y * k, self.z * k)
    }
}
