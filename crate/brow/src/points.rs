//! The five mapped points of one brow, the handles an artist would name.

use ophryon_frames::{Lateral, Point, Vector};
use serde::{Deserialize, Serialize};

/// Two mapped points closer than this are one tap: a brow thinner than a
/// pencil line can't be drawn, let alone measured with a ruler.
pub const COINCIDENT_MM: f64 = 1.0;

/// Furthest from the midline that a brow can reach over the skin; about half
/// the published arc from ear to ear (140 to 150 mm, from memory) less a ear's
/// breadth. Beyond it a unit or a tap is wrong.
pub const FURTHEST_MM: f64 = 120.0;

/// Highest and lowest a brow point can lie, from the pupil line.
pub const HEIGHT_RANGE_MM: (f64, f64) = (-30.0, 80.0);

/// A point of the brow that can be taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Handle {
    /// The whole front edge: both front corners move together.
    Start,
    /// Upper corner of the front edge.
    FrontTop,
    /// Lower corner of the front edge.
    FrontBottom,
    /// Highest point of the upper edge.
    Peak,
    /// Highest point of the lower edge.
    LowerArch,
    /// The tip of the tail.
    Tail,
}

impl Handle {
    /// All handles in the order of the work, from the midline outward.
    pub const ALL: [Self; 6] = [
        Self::Start,
        Self::FrontTop,
        Self::FrontBottom,
        Self::Peak,
        Self::LowerArch,
        Self::Tail,
    ];

    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::FrontTop => "front top",
            Self::FrontBottom => "front bottom",
            Self::Peak => "peak",
            Self::LowerArch => "lower arch",
            Self::Tail => "tail",
        }
    }
}

/// The mapped points of one brow, side-neutral, on the skin, in mm.
///
/// The outline passes through all five exactly. The peak and the lower arch
/// are the highest points of their edges: the curve is level there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct BrowPoints {
    /// Upper corner of the front edge.
    pub front_top: Point<Lateral>,
    /// Lower corner of the front edge.
    pub front_bottom: Point<Lateral>,
    /// Highest point of the upper edge.
    pub peak: Point<Lateral>,
    /// Highest point of the lower edge.
    pub lower_arch: Point<Lateral>,
    /// Tip of the tail.
    pub tail: Point<Lateral>,
}

/// Mapped points that can't be the points of a brow, and the way out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PointError {
    /// A coordinate is NaN or infinite.
    #[error("the {} is not a number; place it again", .handle.name())]
    NotFinite {
        /// The point.
        handle: Handle,
    },
    /// Outside anything a face has.
    #[error("the {} lies {} mm from the midline and {} mm above the pupil line, outside any face; check the scale or place it again", .handle.name(), readable(*x_mm), readable(*y_mm))]
    OffTheFace {
        /// The point.
        handle: Handle,
        /// Distance from the midline, mm.
        x_mm: f64,
        /// Height above the pupil line, mm.
        y_mm: f64,
    },
    /// Two points in the wrong order from the midline outward.
    #[error("{}", out_of_order(*inner, *outer, *gap_mm, *least_mm))]
    Order {
        /// The point that belongs nearer the midline.
        inner: Handle,
        /// The point that belongs farther out.
        outer: Handle,
        /// How far it lies out now, mm; negative when it lies inside.
        gap_mm: f64,
        /// How far it must lie out, mm.
        least_mm: f64,
    },
    /// Two points in the wrong order from below upward.
    #[error("{}", too_low(*lower, *upper, *gap_mm, *least_mm))]
    Height {
        /// The point that belongs below.
        lower: Handle,
        /// The point that belongs above.
        upper: Handle,
        /// How far it lies above now, mm; negative when it lies below.
        gap_mm: f64,
        /// How far it must lie above, mm.
        least_mm: f64,
    },
}

/// A number as a person can read it: nobody counts the digits of 1e300.
fn readable(mm: f64) -> String {
    if mm.abs() < 1e6 {
        format!("{mm:.1}")
    } else {
        format!("{mm:.0e}")
    }
}

fn out_of_order(inner: Handle, outer: Handle, gap_mm: f64, least_mm: f64) -> String {
    let (inner, outer, out) = (inner.name(), outer.name(), enough(least_mm - gap_mm));
    let where_now = if gap_mm < 0.0 {
        format!("lies {:.1} mm nearer the midline than the {inner}", -gap_mm)
    } else {
        format!("lies only {gap_mm:.1} mm farther out than the {inner}")
    };
    format!("the {outer} {where_now}; move it out by {out:.1} mm")
}

fn too_low(lower: Handle, upper: Handle, gap_mm: f64, least_mm: f64) -> String {
    let (lower, upper, up) = (lower.name(), upper.name(), enough(least_mm - gap_mm));
    let where_now = if gap_mm < 0.0 {
        format!("lies {:.1} mm below the {lower}", -gap_mm)
    } else {
        format!("lies only {gap_mm:.1} mm above the {lower}")
    };
    format!("the {upper} {where_now}; raise it by {up:.1} mm")
}

/// Rounded up to what is said, so that doing what is said is enough.
fn enough(mm: f64) -> f64 {
    (mm * 10.0).ceil() / 10.0
}

impl BrowPoints {
    /// The point a handle stands on; [`Handle::Start`] is the middle of the
    /// front edge.
    pub fn at(&self, handle: Handle) -> Point<Lateral> {
        match handle {
            Handle::Start => self.front_top.midpoint(self.front_bottom),
            Handle::FrontTop => self.front_top,
            Handle::FrontBottom => self.front_bottom,
            Handle::Peak => self.peak,
            Handle::LowerArch => self.lower_arch,
            Handle::Tail => self.tail,
        }
    }

    /// The same brow with one handle moved by a vector.
    #[must_use]
    pub fn moved(mut self, handle: Handle, by: Vector<Lateral>) -> Self {
        match handle {
            Handle::Start => {
                self.front_top = self.front_top + by;
                self.front_bottom = self.front_bottom + by;
            }
            Handle::FrontTop => self.front_top = self.front_top + by,
            Handle::FrontBottom => self.front_bottom = self.front_bottom + by,
            Handle::Peak => self.peak = self.peak + by,
            Handle::LowerArch => self.lower_arch = self.lower_arch + by,
            Handle::Tail => self.tail = self.tail + by,
        }
        self
    }

    /// The same brow with one handle put on a place.
    #[must_use]
    pub fn with(self, handle: Handle, place: Point<Lateral>) -> Self {
        self.moved(handle, place - self.at(handle))
    }

    /// The whole brow moved.
    #[must_use]
    pub fn shifted(self, by: Vector<Lateral>) -> Self {
        self.mapped(|p| p + by)
    }

    /// Every point through one rule.
    #[must_use]
    pub fn mapped(self, mut rule: impl FnMut(Point<Lateral>) -> Point<Lateral>) -> Self {
        Self {
            front_top: rule(self.front_top),
            front_bottom: rule(self.front_bottom),
            peak: rule(self.peak),
            lower_arch: rule(self.lower_arch),
            tail: rule(self.tail),
        }
    }

    /// Moved point by point as another brow was: what differed between the two
    /// stays.
    #[must_use]
    pub fn moved_as(self, from: &Self, to: &Self) -> Self {
        Self {
            front_top: self.front_top + (to.front_top - from.front_top),
            front_bottom: self.front_bottom + (to.front_bottom - from.front_bottom),
            peak: self.peak + (to.peak - from.peak),
            lower_arch: self.lower_arch + (to.lower_arch - from.lower_arch),
            tail: self.tail + (to.tail - from.tail),
        }
    }

    /// Halfway between two brows, point by point.
    #[must_use]
    pub fn mean(self, other: Self) -> Self {
        Self {
            front_top: self.front_top.midpoint(other.front_top),
            front_bottom: self.front_bottom.midpoint(other.front_bottom),
            peak: self.peak.midpoint(other.peak),
            lower_arch: self.lower_arch.midpoint(other.lower_arch),
            tail: self.tail.midpoint(other.tail),
        }
    }

    /// Everything that keeps these five from being a brow; empty when they
    /// are one. Says nothing of constraints: those are measured on the curve.
    pub fn problems(&self) -> Vec<PointError> {
        let single = [
            Handle::FrontTop,
            Handle::FrontBottom,
            Handle::Peak,
            Handle::LowerArch,
            Handle::Tail,
        ];
        let lost: Vec<_> = single
            .into_iter()
            .filter_map(|h| self.misplaced(h))
            .collect();
        if !lost.is_empty() {
            return lost; // order means nothing among points that are nowhere
        }
        let outward = [
            (Handle::FrontTop, Handle::Peak),
            (Handle::FrontBottom, Handle::LowerArch),
            (Handle::Peak, Handle::Tail),
            (Handle::LowerArch, Handle::Tail),
        ];
        let upward = [
            (Handle::FrontBottom, Handle::FrontTop, COINCIDENT_MM),
            (Handle::LowerArch, Handle::Peak, COINCIDENT_MM),
            (Handle::FrontTop, Handle::Peak, 0.0),
            (Handle::FrontBottom, Handle::LowerArch, 0.0),
            (Handle::Tail, Handle::LowerArch, 0.0),
        ];
        let order = outward.into_iter().filter_map(|(inner, outer)| {
            let gap_mm = self.at(outer).x - self.at(inner).x;
            (gap_mm < COINCIDENT_MM).then_some(PointError::Order {
                inner,
                outer,
                gap_mm,
                least_mm: COINCIDENT_MM,
            })
        });
        let height = upward.into_iter().filter_map(|(lower, upper, least_mm)| {
            let gap_mm = self.at(upper).y - self.at(lower).y;
            (gap_mm < least_mm).then_some(PointError::Height {
                lower,
                upper,
                gap_mm,
                least_mm,
            })
        });
        order.chain(height).collect()
    }

    fn misplaced(&self, handle: Handle) -> Option<PointError> {
        let p = self.at(handle);
        if !p.is_finite() {
            return Some(PointError::NotFinite { handle });
        }
        let (lowest, highest) = HEIGHT_RANGE_MM;
        // The front may cross the midline by a little on a brow that grows
        // together; the artist sees it and decides.
        let on_the_face = (-10.0..=FURTHEST_MM).contains(&p.x) && (lowest..=highest).contains(&p.y);
        (!on_the_face).then_some(PointError::OffTheFace {
            handle,
            x_mm: p.x,
            y_mm: p.y,
        })
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A plain brow: 63 mm pupils, peak over the outer rim of the iris.
    pub(crate) fn plain() -> BrowPoints {
        BrowPoints {
            front_top: Point::new(15.0, 24.0),
            front_bottom: Point::new(15.0, 16.0),
            peak: Point::new(41.0, 29.5),
            lower_arch: Point::new(42.5, 22.0),
            tail: Point::new(57.0, 15.5),
        }
    }

    #[test]
    fn a_plain_brow_has_no_problems() {
        assert_eq!(plain().problems(), vec![]);
    }

    #[test]
    fn a_peak_outside_the_tail_is_named_with_the_way_back() {
        let crossed = plain().with(Handle::Peak, Point::new(60.0, 29.5));
        let said = crossed.problems()[0].to_string();
        assert_eq!(
            said,
            "the tail lies 3.0 mm nearer the midline than the peak; move it out by 4.0 mm"
        );
    }

    #[test]
    fn numbers_that_are_none_are_named_alone() {
        let lost = plain().with(Handle::Tail, Point::new(f64::NAN, 0.0));
        assert!(matches!(
            lost.problems()[..],
            [PointError::NotFinite {
                handle: Handle::Tail
            }]
        ));
    }

    #[test]
    fn taking_the_start_moves_both_front_corners() {
        let moved = plain().with(Handle::Start, Point::new(13.0, 20.5));
        assert_eq!(moved.front_top, Point::new(13.0, 24.5));
        assert_eq!(moved.front_bottom, Point::new(13.0, 16.5));
        assert_eq!(moved.peak, plain().peak);
    }
}
