//! The client's right and left, and what one brow model becomes on each.

use serde::{Deserialize, Serialize};

use crate::{Frame, Front, Lateral, Point, Skin};

/// A side of the face; always the client's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The client's right: negative x in the front and skin frames.
    Right,
    /// The client's left: positive x in the front and skin frames.
    Left,
}

impl Side {
    /// Right, then left, as a face is read from the front.
    pub const BOTH: [Self; 2] = [Self::Right, Self::Left];

    /// The other one.
    pub const fn other(self) -> Self {
        match self {
            Self::Right => Self::Left,
            Self::Left => Self::Right,
        }
    }

    /// "right" or "left", as in ids.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }

    /// Sign of x in the front and skin frames: toward the tail on this side.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Right => -1.0,
            Self::Left => 1.0,
        }
    }

    /// The side on which a point of that x lies in the front and skin frames;
    /// the midline itself counts to the client's left.
    pub fn of_x(x_mm: f64) -> Self {
        if x_mm < 0.0 { Self::Right } else { Self::Left }
    }

    /// Puts a side-neutral point on this side. Exact: only a sign changes.
    pub fn place(self, p: Point<Lateral>) -> Point<Skin> {
        Point::new(self.sign() * p.x, p.y)
    }

    /// The side-neutral form of a point on this side; undoes [`Side::place`].
    pub fn neutral(self, p: Point<Skin>) -> Point<Lateral> {
        Point::new(self.sign() * p.x, p.y)
    }

    /// Reflects a front-frame point of this side to the client's left, so that
    /// one construction serves both sides; its own inverse.
    pub fn front_as_left(self, p: Point<Front>) -> Point<Front> {
        Point::new(self.sign() * p.x, p.y)
    }
}

/// One value for each side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sided<T> {
    /// The client's right.
    pub right: T,
    /// The client's left.
    pub left: T,
}

impl<T> Sided<T> {
    /// Both values from one rule.
    pub fn from_fn(mut make: impl FnMut(Side) -> T) -> Self {
        Self {
            right: make(Side::Right),
            left: make(Side::Left),
        }
    }

    /// Both values from one rule that may fail; the first failure is returned.
    pub fn try_from_fn<E>(mut make: impl FnMut(Side) -> Result<T, E>) -> Result<Self, E> {
        Ok(Self {
            right: make(Side::Right)?,
            left: make(Side::Left)?,
        })
    }

    /// The value of one side.
    pub fn get(&self, side: Side) -> &T {
        match side {
            Side::Right => &self.right,
            Side::Left => &self.left,
        }
    }

    /// The value of one side, to change it.
    pub fn get_mut(&mut self, side: Side) -> &mut T {
        match side {
            Side::Right => &mut self.right,
            Side::Left => &mut self.left,
        }
    }

    /// Right, then left.
    pub fn iter(&self) -> impl Iterator<Item = (Side, &T)> {
        [(Side::Right, &self.right), (Side::Left, &self.left)].into_iter()
    }

    /// A value made from each.
    pub fn map<U>(self, mut make: impl FnMut(T) -> U) -> Sided<U> {
        Sided {
            right: make(self.right),
            left: make(self.left),
        }
    }
}

impl<F: Frame> Sided<Point<F>> {
    /// Both points are numbers.
    pub fn is_finite(&self) -> bool {
        self.right.is_finite() && self.left.is_finite()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn mirroring_twice_changes_nothing(x in -200.0..200.0f64, y in -200.0..200.0f64) {
            let p = Point::<Lateral>::new(x, y);
            for side in Side::BOTH {
                prop_assert_eq!(side.neutral(side.place(p)), p);
                prop_assert_eq!(side.other().place(p).x, -side.place(p).x);
            }
        }
    }
}
