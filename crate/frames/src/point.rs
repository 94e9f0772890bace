//! Points and vectors that know their frame.

use std::marker::PhantomData;
use std::ops::{Add, Mul, Neg, Sub};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::Frame;

/// A place in frame `F`, in that frame's unit. Written as `[x, y]` in JSON.
#[derive(Clone, Copy, PartialEq)]
pub struct Point<F: Frame> {
    /// First axis of the frame.
    pub x: f64,
    /// Second axis of the frame.
    pub y: f64,
    frame: PhantomData<F>,
}

/// A displacement in frame `F`.
#[derive(Clone, Copy, PartialEq)]
pub struct Vector<F: Frame> {
    /// Along the first axis.
    pub x: f64,
    /// Along the second axis.
    pub y: f64,
    frame: PhantomData<F>,
}

impl<F: Frame> Point<F> {
    /// A point from its two coordinates, in the frame's unit.
    pub const fn new(x: f64, y: f64) -> Self {
        Self {
            x,
            y,
            frame: PhantomData,
        }
    }

    /// Neither coordinate is NaN or infinite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }

    /// Straight distance in the frame's unit.
    pub fn distance(self, other: Self) -> f64 {
        (self - other).length()
    }

    /// The place of the straight stretch from `a` to `b` that is nearest.
    #[must_use]
    pub fn nearest_on(self, a: Self, b: Self) -> Self {
        let run = b - a;
        let square = run.dot(run);
        if square > 0.0 {
            a + run * ((self - a).dot(run) / square).clamp(0.0, 1.0)
        } else {
            a
        }
    }

    /// The point `t` of the way to `other`; 0.5 is the middle.
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// Halfway to `other`.
    pub fn midpoint(self, other: Self) -> Self {
        self.lerp(other, 0.5)
    }

    /// Same numbers as a kurbo point, for curve work inside one frame.
    pub fn to_kurbo(self) -> kurbo::Point {
        kurbo::Point::new(self.x, self.y)
    }

    /// From a kurbo point whose numbers are known to be in this frame.
    pub fn from_kurbo(p: kurbo::Point) -> Self {
        Self::new(p.x, p.y)
    }
}

impl<F: Frame> Vector<F> {
    /// A displacement from its two components.
    pub const fn new(x: f64, y: f64) -> Self {
        Self {
            x,
            y,
            frame: PhantomData,
        }
    }

    /// Length in the frame's unit.
    pub fn length(self) -> f64 {
        libm::hypot(self.x, self.y)
    }

    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// z of the cross product: positive when `other` lies counter-clockwise
    /// of `self` in a y-up frame.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Same direction, length 1; `None` when there is no direction.
    pub fn unit(self) -> Option<Self> {
        let length = self.length();
        (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
    }

    /// Direction in degrees, counter-clockwise from the first axis in a y-up
    /// frame, in (-180, 180].
    pub fn degrees(self) -> f64 {
        libm::atan2(self.y, self.x).to_degrees()
    }

    /// Turned counter-clockwise (y-up frames) by so many degrees.
    pub fn turned(self, degrees: f64) -> Self {
        let (sin, cos) = libm::sincos(degrees.to_radians());
        Self::new(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }
}

impl<F: Frame> std::fmt::Debug for Point<F> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}({} {}, {} {})",
            F::NAME,
            self.x,
            F::UNIT,
            self.y,
            F::UNIT
        )
    }
}

impl<F: Frame> std::fmt::Debug for Vector<F> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}<{} {}, {} {}>",
            F::NAME,
            self.x,
            F::UNIT,
            self.y,
            F::UNIT
        )
    }
}

impl<F: Frame> Sub for Point<F> {
    type Output = Vector<F>;
    fn sub(self, other: Self) -> Vector<F> {
        Vector::new(self.x - other.x, self.y - other.y)
    }
}

impl<F: Frame> Add<Vector<F>> for Point<F> {
    type Output = Self;
    fn add(self, v: Vector<F>) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}

impl<F: Frame> Sub<Vector<F>> for Point<F> {
    type Output = Self;
    fn sub(self, v: Vector<F>) -> Self {
        Self::new(self.x - v.x, self.y - v.y)
    }
}

impl<F: Frame> Add for Vector<F> {
    type Output = Self;
    fn add(self, v: Self) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}

impl<F: Frame> Sub for Vector<F> {
    type Output = Self;
    fn sub(self, v: Self) -> Self {
        Self::new(self.x - v.x, self.y - v.y)
    }
}

impl<F: Frame> Neg for Vector<F> {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

impl<F: Frame> Mul<f64> for Vector<F> {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}

impl<F: Frame> Serialize for Point<F> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        [self.x, self.y].serialize(serializer)
    }
}

impl<'de, F: Frame> Deserialize<'de> for Point<F> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let [x, y] = <[f64; 2]>::deserialize(deserializer)?;
        Ok(Self::new(x, y))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Front;

    #[test]
    fn a_quarter_turn_takes_the_first_axis_to_the_second() {
        let v = Vector::<Front>::new(2.0, 0.0).turned(90.0);
        assert!(v.x.abs() < 1e-15 && (v.y - 2.0).abs() < 1e-15);
        assert!((v.degrees() - 90.0).abs() < 1e-12);
    }

    #[test]
    fn no_direction_means_no_unit_vector() {
        assert_eq!(Vector::<Front>::new(0.0, 0.0).unit(), None);
        assert_eq!(Vector::<Front>::new(f64::INFINITY, 0.0).unit(), None);
    }
}
