//! One tape length over the skin settles the wrap.

use crate::{
    Front, MAX_DEPTH, MAX_RADIUS_MM, MIN_DEPTH, MIN_RADIUS_MM, Point, Wrap, WrapError, WrapKind,
};

/// Halvings of the free number: what is left is far below what rounding does
/// to the length.
const HALVINGS: u32 = 60;

impl Wrap {
    /// The wrap of a kind on which a tape along these points reads `tape_mm`.
    ///
    /// Two points for a tape from start to tail, or more where it followed a
    /// line; between neighbours it runs straight over the unrolled skin. The
    /// length grows steadily with the curve of the head, so bisection finds
    /// the one that fits.
    ///
    /// # Errors
    /// A tape shorter than the frontal distance, or longer than any head's.
    pub fn from_tape(
        kind: WrapKind,
        along: &[Point<Front>],
        tape_mm: f64,
    ) -> Result<Self, WrapError> {
        let front_mm = length(along, |p| Some((p.x, p.y))).unwrap_or(f64::NAN);
        if front_mm.is_nan() || front_mm <= 0.0 {
            return Err(WrapError::NoStretch);
        }
        if tape_mm.is_nan() || tape_mm < front_mm {
            return Err(WrapError::TapeTooShort { tape_mm, front_mm });
        }
        let over = |wrap: &Self| length(along, |p| wrap.to_skin(p).ok().map(|q| (q.x, q.y)));
        // Nearly flat: shorter than the flattest curved band explains.
        let flattest = kind.curved(0.0);
        if over(&flattest).is_some_and(|least| tape_mm <= least) {
            return Ok(flattest);
        }
        let (mut flat, mut curved) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (flat + curved);
            // Where the stretch lies beyond the wrap's reach it is too curved.
            if over(&kind.curved(middle)).is_none_or(|l| l > tape_mm) {
                curved = middle;
            } else {
                flat = middle;
            }
        }
        let found = kind.curved(flat);
        let reached_mm = over(&found).unwrap_or(front_mm);
        if tape_mm - reached_mm > EXPLAINED_MM {
            return Err(WrapError::TapeTooLong {
                tape_mm,
                front_mm,
                longest_mm: reached_mm,
            });
        }
        Ok(found)
    }
}

/// A tape is explained when its length is met to this; far under its ticks.
const EXPLAINED_MM: f64 = 1e-6;

impl WrapKind {
    /// The wrap of this kind that is curved by a share, 0 to 1, of what a head
    /// can be.
    fn curved(self, share: f64) -> Wrap {
        match self {
            Self::Cylinder => {
                let bend =
                    1.0 / MAX_RADIUS_MM + share * (1.0 / MIN_RADIUS_MM - 1.0 / MAX_RADIUS_MM);
                Wrap::Cylinder {
                    radius_mm: 1.0 / bend,
                }
            }
            Self::Profile => Wrap::Profile {
                depth: MIN_DEPTH + share * (MAX_DEPTH - MIN_DEPTH),
            },
        }
    }
}

fn length(
    along: &[Point<Front>],
    place: impl Fn(Point<Front>) -> Option<(f64, f64)>,
) -> Option<f64> {
    let places: Option<Vec<_>> = along.iter().map(|p| place(*p)).collect();
    let stretches = places?;
    Some(
        stretches
            .windows(2)
            .map(|w| libm::hypot(w[1].0 - w[0].0, w[1].1 - w[0].1))
            .sum(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_tape_gives_back_the_head_it_was_laid_on(
            radius in 62.0..190.0f64, depth in 0.005..0.2f64,
            tail in 45.0..55.0f64, drop in -8.0..8.0f64,
        ) {
            let along = [Point::new(14.0, 18.0), Point::new(33.0, 22.0), Point::new(tail, 18.0 + drop)];
            let heads = [
                (WrapKind::Cylinder, Wrap::cylinder(radius).unwrap()),
                (WrapKind::Profile, Wrap::profile(depth).unwrap()),
            ];
            for (kind, head) in heads {
                let on_skin = along.map(|p| head.to_skin(p).unwrap());
                let tape = on_skin.windows(2).map(|w| w[0].distance(w[1])).sum();
                let found = Wrap::from_tape(kind, &along, tape).unwrap();
                for p in along {
                    let off = found.to_skin(p).unwrap().distance(head.to_skin(p).unwrap());
                    prop_assert!(off < 1e-9, "{found:?} for {head:?}");
                }
            }
        }
    }

    #[test]
    fn what_no_tape_can_read_is_refused_in_words() {
        let along = [Point::new(14.0, 18.0), Point::new(52.0, 18.0)];
        for kind in [WrapKind::Cylinder, WrapKind::Profile] {
            let said = |tape| Wrap::from_tape(kind, &along, tape).unwrap_err().to_string();
            assert!(said(37.0).contains("shorter than the 38.0 mm"));
            assert!(
                said(90.0).contains("more than any head has"),
                "{}",
                said(90.0)
            );
            assert!(said(f64::NAN).contains("shorter"));
            assert!(Wrap::from_tape(kind, &along[..1], 40.0) == Err(WrapError::NoStretch));
        }
    }

    #[test]
    fn a_tape_as_long_as_the_view_is_a_flat_head() {
        let along = [Point::new(14.0, 18.0), Point::new(52.0, 18.0)];
        let wrap = Wrap::from_tape(WrapKind::Profile, &along, 38.0).unwrap();
        assert!((wrap.to_skin(along[1]).unwrap().x - 52.0).abs() < 0.2);
    }
}
