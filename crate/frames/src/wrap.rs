//! Wraps: how a flat frontal view lies on curved skin.
//!
//! A photograph is flat and a brow runs round the temple, so a print "at true
//! size" from the frontal view is several millimetres short on skin. A wrap
//! says how far along the skin (s) a point seen at x lies; heights keep.
//!
//! | wrap | s of x |
//! |---|---|
//! | flat | s = x |
//! | upright cylinder of radius R | x = R sin(s / R) |

use serde::{Deserialize, Serialize};

use crate::{Front, Point, Skin};

/// Radius used when nothing was measured: about that of a cylinder laid
/// through the brow band of the open mean face (75.4 mm there). A sheet made
/// with it says that it is an estimate.
pub const TYPICAL_RADIUS_MM: f64 = 75.0;

/// Tightest brow band a head can have; below it a tape or a tap is wrong.
pub const MIN_RADIUS_MM: f64 = 45.0;

/// Flattest curved brow band; above it the skin is flat for every ruler
/// (50 mm round 200 mm is 0.1 mm longer than straight).
pub const MAX_RADIUS_MM: f64 = 200.0;

/// Largest share of the radius that may be seen from the front. Beyond it
/// the skin turns away so steeply that a millimetre in the photo is more than
/// three on the skin.
const MAX_SEEN: f64 = 0.95;

/// How the frontal view lies on the skin. Both sides share one wrap about the
/// midline.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Wrap {
    /// The skin taken as flat: what is seen is what is printed. Short on skin.
    #[default]
    Flat,
    /// An upright cylinder through the midline.
    Cylinder {
        /// Radius in mm.
        radius_mm: f64,
    },
}

/// Why a wrap can't be made or can't carry a point.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WrapError {
    /// Radius outside what a head can have.
    #[error(
        "a brow band of radius {radius_mm:.1} mm is not a head's; it lies between {MIN_RADIUS_MM} and {MAX_RADIUS_MM} mm"
    )]
    Radius {
        /// The radius asked for, mm.
        radius_mm: f64,
    },
    /// Seen too far out to be carried to the skin.
    #[error(
        "a point {x_mm:.1} mm from the midline lies round the side of the head (the wrap reaches {reach_mm:.1} mm); measure it over the skin"
    )]
    RoundTheSide {
        /// Distance from the midline in the frontal view, mm.
        x_mm: f64,
        /// How far out the wrap reaches, mm.
        reach_mm: f64,
    },
    /// The tape reads less than the straight distance it spans.
    #[error(
        "the tape length {tape_mm:.1} mm is shorter than the {front_mm:.1} mm seen from the front; measure over the skin again"
    )]
    TapeTooShort {
        /// The length read off the tape, mm.
        tape_mm: f64,
        /// The same stretch in the frontal view, mm.
        front_mm: f64,
    },
}

impl Wrap {
    /// An upright cylinder of that radius.
    ///
    /// # Errors
    /// [`WrapError::Radius`] outside [`MIN_RADIUS_MM`]..=[`MAX_RADIUS_MM`].
    pub fn cylinder(radius_mm: f64) -> Result<Self, WrapError> {
        if (MIN_RADIUS_MM..=MAX_RADIUS_MM).contains(&radius_mm) {
            Ok(Self::Cylinder { radius_mm })
        } else {
            Err(WrapError::Radius { radius_mm })
        }
    }

    /// The cylinder on which a tape laid from `start` to `tail` reads
    /// `tape_mm`. Both points in the front frame, on the same side.
    ///
    /// The tape runs over s and h alike, as a straight line of the unrolled
    /// skin. Solved by bisection: the length falls steadily as the radius
    /// grows, and fifty halvings leave less than 1e-12 mm.
    ///
    /// # Errors
    /// A tape shorter than the straight distance, or so long that no head's
    /// radius explains it.
    pub fn cylinder_from_tape(
        start: Point<Front>,
        tail: Point<Front>,
        tape_mm: f64,
    ) -> Result<Self, WrapError> {
        let front_mm = start.distance(tail);
        let length = |radius_mm: f64| -> Option<f64> {
            let wrap = Self::Cylinder { radius_mm };
            let (a, b) = (wrap.to_skin(start).ok()?, wrap.to_skin(tail).ok()?);
            Some(a.distance(b))
        };
        if tape_mm.is_nan() || tape_mm < front_mm {
            return Err(WrapError::TapeTooShort { tape_mm, front_mm });
        }
        // Nearly flat: shorter than the flattest curved band explains.
        if length(MAX_RADIUS_MM).is_some_and(|flattest| tape_mm < flattest) {
            return Ok(Self::Cylinder {
                radius_mm: MAX_RADIUS_MM,
            });
        }
        let furthest = start.x.abs().max(tail.x.abs());
        // A hair wider than the horizon, so that rounding doesn't hide the tail.
        let horizon_mm = furthest / MAX_SEEN * (1.0 + 1e-9);
        let (mut tight, mut wide) = (MIN_RADIUS_MM.max(horizon_mm), MAX_RADIUS_MM);
        if length(tight).is_none_or(|longest| tape_mm > longest) {
            return Err(WrapError::Radius { radius_mm: tight });
        }
        for _ in 0..50 {
            let middle = 0.5 * (tight + wide);
            if length(middle).is_none_or(|l| l > tape_mm) {
                tight = middle;
            } else {
                wide = middle;
            }
        }
        Self::cylinder(0.5 * (tight + wide))
    }

    /// Where on the skin a point seen from the front lies.
    ///
    /// # Errors
    /// [`WrapError::RoundTheSide`] for points the frontal view can't place.
    pub fn to_skin(&self, p: Point<Front>) -> Result<Point<Skin>, WrapError> {
        match *self {
            Self::Flat => Ok(Point::new(p.x, p.y)),
            Self::Cylinder { radius_mm } => {
                let seen = p.x / radius_mm;
                if seen.is_nan() || seen.abs() > MAX_SEEN {
                    let reach_mm = MAX_SEEN * radius_mm;
                    return Err(WrapError::RoundTheSide {
                        x_mm: p.x.abs(),
                        reach_mm,
                    });
                }
                Ok(Point::new(radius_mm * libm::asin(seen), p.y))
            }
        }
    }

    /// Where a point on the skin is seen from the front. Total: beyond the
    /// quarter turn the head hides it, and it is drawn on the edge.
    pub fn to_front(&self, p: Point<Skin>) -> Point<Front> {
        match *self {
            Self::Flat => Point::new(p.x, p.y),
            Self::Cylinder { radius_mm } => {
                let turn = (p.x / radius_mm)
                    .clamp(-std::f64::consts::FRAC_PI_2, std::f64::consts::FRAC_PI_2);
                Point::new(radius_mm * libm::sin(turn), p.y)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn there_and_back_is_the_same_place(
            x in -55.0..55.0f64, y in -40.0..60.0f64, radius in 60.0..120.0f64,
        ) {
            let p = Point::<Front>::new(x, y);
            for wrap in [Wrap::Flat, Wrap::cylinder(radius).unwrap()] {
                let back = wrap.to_front(wrap.to_skin(p).unwrap());
                prop_assert!(back.distance(p) < 1e-9);
            }
        }

        #[test]
        fn a_tape_gives_back_the_radius_it_was_laid_on(
            radius in 60.0..190.0f64, tail in 45.0..55.0f64, drop in -8.0..8.0f64,
        ) {
            let (a, b) = (Point::new(14.0, 18.0), Point::new(tail, 18.0 + drop));
            let wrap = Wrap::cylinder(radius).unwrap();
            let tape = wrap.to_skin(a).unwrap().distance(wrap.to_skin(b).unwrap());
            let Ok(Wrap::Cylinder { radius_mm }) = Wrap::cylinder_from_tape(a, b, tape) else {
                return Err(TestCaseError::fail("no cylinder"));
            };
            prop_assert!((radius_mm - radius).abs() < 1e-6, "{radius_mm} for {radius}");
        }
    }

    #[test]
    fn what_no_head_can_have_is_refused_in_words() {
        let (a, b) = (Point::new(14.0, 18.0), Point::new(52.0, 18.0));
        let short = Wrap::cylinder_from_tape(a, b, 37.0).unwrap_err();
        assert!(short.to_string().contains("shorter than the 38.0 mm"));
        assert!(matches!(
            Wrap::cylinder_from_tape(a, b, 90.0),
            Err(WrapError::Radius { .. })
        ));
        assert!(matches!(
            Wrap::cylinder_from_tape(a, b, f64::NAN),
            Err(WrapError::TapeTooShort { .. })
        ));
        assert!(Wrap::cylinder(20.0).is_err() && Wrap::cylinder(f64::NAN).is_err());
        let ear = Wrap::cylinder(75.0)
            .unwrap()
            .to_skin(Point::new(76.0, -11.0))
            .unwrap_err();
        assert!(ear.to_string().contains("round the side"));
    }

    /// Arc length of a circle in closed form: a quarter of the way to the
    /// horizon (sin 30° = 1/2) is R π / 6.
    #[test]
    fn arc_length_of_the_cylinder_in_closed_form() {
        let s = Wrap::cylinder(75.0)
            .unwrap()
            .to_skin(Point::new(37.5, 0.0))
            .unwrap()
            .x;
        assert!((s - 75.0 * std::f64::consts::PI / 6.0).abs() < 1e-12);
    }
}
