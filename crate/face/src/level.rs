//! Levelling the face: roll, midline and origin.
//!
//! Roll is that of the pupil line. The midline is the straight line of least
//! weighted squared perpendicular distance (total least squares) to the
//! midpoints of paired landmarks and to the landmarks of the middle; the
//! brows take no part in it, because their middle lies 1.4 to 1.8 mm off the
//! midline (ASPS 2013, abstract 22430). Its direction is the larger
//! eigenvector of a symmetric 2 x 2 matrix, in closed form.

use ophryon_frames::{Front, Photo, Point, Side, Vector};

use crate::{FaceError, Landmark, Landmarks, MiddleLandmark, Scale, SidedLandmark};

/// Pairs whose midpoints make the midline, with weights. All but the ears are
/// always needed. A weight is the inverse of a variance, and only ratios
/// count. Ours: eye corners and pupils stay within about a millimetre; the
/// nose is as sharp but bends more often; the ears lie 100 mm behind the
/// eyes, so that each degree of yaw moves their middle by almost 2 mm.
const PAIRS: [(SidedLandmark, f64, Kind); 5] = [
    (SidedLandmark::Pupil, 1.0, Kind::Needed),
    (SidedLandmark::InnerCorner, 1.0, Kind::Needed),
    (SidedLandmark::OuterCorner, 1.0, Kind::Needed),
    (SidedLandmark::NoseWing, 1.0, Kind::Needed),
    (SidedLandmark::EarMiddle, 0.1, Kind::Extra),
];

/// Single landmarks, with weights against those of [`PAIRS`]. A single tap
/// has twice the variance of a pair's midpoint; the chin moves with the jaw,
/// and so far down that a larger weight would let it alone set the direction.
const SINGLES: [(MiddleLandmark, f64); 3] = [
    (MiddleLandmark::Bridge, 0.5),
    (MiddleLandmark::NoseBase, 0.5),
    (MiddleLandmark::Chin, 0.1),
];

/// A midline further off the upright of the pupils is a wrong tap; canting
/// beyond 3° is already noticed by viewers.
const MAX_TILT_DEGREES: f64 = 10.0;

/// Smallest (a - b) / (a + b) of the two eigenvalues for which the points
/// have a direction; a face's are near 1.
const MIN_ELONGATION: f64 = 0.5;

/// The marks of the midline; a pair is named by its right one.
pub(crate) fn midline_marks() -> impl Iterator<Item = Landmark> {
    let pairs = PAIRS
        .into_iter()
        .map(|(l, ..)| Landmark::Sided(Side::Right, l));
    let singles = SINGLES.into_iter().map(|(l, _)| Landmark::Middle(l));
    pairs.chain(singles)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Needed,
    Extra,
}

/// The similarity between the photo (px, y down) and the levelled front view
/// (mm, y up): x along the pupil line toward the client's left, origin where
/// the midline meets it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceFrame {
    origin: Point<Photo>,
    /// Unit vector of the pupil line from the client's right to her left, in
    /// the photo (y down).
    across: Vector<Photo>,
    scale: Scale,
    midline_tilt_degrees: f64,
}

impl FaceFrame {
    /// Levels a face.
    ///
    /// # Errors
    /// [`FaceError`]: a needed landmark missing or not a number, pupils in
    /// one place, a mirrored or turned photo, or taps that make no midline.
    pub fn fit(landmarks: &Landmarks, scale: Scale) -> Result<Self, FaceError> {
        Self::fit_beside(landmarks, scale, &[])
    }

    /// The same with marks of the midline taken so many mm farther toward the
    /// client's left than they were tapped; a pair is named by its right one.
    pub(crate) fn fit_beside(
        landmarks: &Landmarks,
        scale: Scale,
        beside: &[(Landmark, f64)],
    ) -> Result<Self, FaceError> {
        let need = |side, l| {
            let landmark = Landmark::Sided(side, l);
            FaceError::need(landmark, landmarks.get(landmark))
        };
        let right = need(Side::Right, SidedLandmark::Pupil)?;
        let left = need(Side::Left, SidedLandmark::Pupil)?;
        let between = left - right;
        let across = between.unit().ok_or(FaceError::PupilsTogether)?;

        // Levelled about the middle of the pupils until the origin is known.
        let level = Self {
            origin: right + between * 0.5,
            across,
            scale,
            midline_tilt_degrees: 0.0,
        };
        let mut marks = Vec::with_capacity(PAIRS.len() + SINGLES.len());
        for (l, weight, kind) in PAIRS {
            let landmark = Landmark::Sided(Side::Right, l);
            let ends = if kind == Kind::Needed {
                Some((need(Side::Right, l)?, need(Side::Left, l)?))
            } else {
                FaceError::finite(landmark, landmarks.get(landmark))?.zip(FaceError::finite(
                    landmark.partner(),
                    landmarks.get(landmark.partner()),
                )?)
            };
            if let Some((a, b)) = ends {
                let at = level.to_front(a.midpoint(b));
                marks.push(Mark {
                    landmark,
                    at,
                    weight,
                });
            }
        }
        for (l, weight) in SINGLES {
            let landmark = Landmark::Middle(l);
            if let Some(p) = FaceError::finite(landmark, landmarks.get(landmark))? {
                let at = level.to_front(p);
                marks.push(Mark {
                    landmark,
                    at,
                    weight,
                });
            }
        }
        // In a mirrored or upside-down photo, right to left turns the face over.
        let wings = marks
            .iter()
            .find(|m| m.landmark == Landmark::Sided(Side::Right, SidedLandmark::NoseWing));
        if wings.is_some_and(|m| m.at.y >= 0.0) {
            return Err(FaceError::MirroredOrTurned);
        }

        for (landmark, mm) in beside {
            for mark in marks.iter_mut().filter(|m| m.landmark == *landmark) {
                mark.at = mark.at + Vector::new(*mm, 0.0);
            }
        }

        let (through, up) = straight_through(&marks).ok_or(FaceError::NoMidline)?;
        let tilt = libm::atan2(up.x, up.y).to_degrees();
        if tilt.is_nan() || tilt.abs() > MAX_TILT_DEGREES {
            return Err(FaceError::MidlineAskew {
                degrees: tilt,
                landmark: furthest_from_upright(&marks),
            });
        }
        let x = through.x - through.y * up.x / up.y;
        let origin = level.to_photo(Point::new(x, 0.0));
        if !origin.is_finite() {
            return Err(FaceError::NoMidline);
        }
        Ok(Self {
            origin,
            midline_tilt_degrees: tilt,
            ..level
        })
    }

    /// Where a place in the photo lies on the levelled face.
    pub fn to_front(&self, p: Point<Photo>) -> Point<Front> {
        let v = p - self.origin;
        let k = self.scale.mm_per_px();
        // The photo's y runs down: up is `across` turned clockwise there.
        Point::new(k * v.dot(self.across), k * v.cross(self.across))
    }

    /// Where a place on the levelled face lies in the photo; undoes
    /// [`FaceFrame::to_front`].
    pub fn to_photo(&self, p: Point<Front>) -> Point<Photo> {
        let k = 1.0 / self.scale.mm_per_px();
        let up = Vector::new(self.across.y, -self.across.x);
        self.origin + self.across * (p.x * k) + up * (p.y * k)
    }

    /// How far the pupil line is turned in the photo, degrees; positive when
    /// the client's left eye is the higher one.
    pub fn roll_degrees(&self) -> f64 {
        libm::atan2(-self.across.y, self.across.x).to_degrees()
    }

    /// The midline against the perpendicular of the pupil line, degrees;
    /// positive when its upper end leans toward the client's left. Not 0 on
    /// most faces, and not a fault: the frame keeps to the pupil line.
    pub const fn midline_tilt_degrees(&self) -> f64 {
        self.midline_tilt_degrees
    }

    /// Where the midline meets the pupil line.
    pub const fn origin(&self) -> Point<Photo> {
        self.origin
    }

    /// The scale it was fitted with.
    pub const fn scale(&self) -> Scale {
        self.scale
    }
}

/// One point that the midline should run through.
#[derive(Debug, Clone, Copy)]
struct Mark {
    landmark: Landmark,
    at: Point<Front>,
    weight: f64,
}

/// Weighted total least squares: centroid and unit direction, upward.
fn straight_through(marks: &[Mark]) -> Option<(Point<Front>, Vector<Front>)> {
    let sum = |value: &dyn Fn(&Mark) -> f64| marks.iter().map(|m| m.weight * value(m)).sum::<f64>();
    let total = sum(&|_| 1.0);
    let centre = Point::<Front>::new(sum(&|m| m.at.x) / total, sum(&|m| m.at.y) / total);
    let xx = sum(&|m| (m.at.x - centre.x) * (m.at.x - centre.x));
    let yy = sum(&|m| (m.at.y - centre.y) * (m.at.y - centre.y));
    let xy = sum(&|m| (m.at.x - centre.x) * (m.at.y - centre.y));
    // Eigenvalues (xx + yy ± spread) / 2.
    let spread = libm::hypot(xx - yy, 2.0 * xy);
    let elongation = spread / (xx + yy);
    if elongation.is_nan() || elongation < MIN_ELONGATION {
        return None;
    }
    let (sin, cos) = libm::sincos(0.5 * libm::atan2(2.0 * xy, xx - yy));
    let along = Vector::new(cos, sin);
    Some((centre, if along.y < 0.0 { -along } else { along }))
}

/// The landmark to look at first when the midline leans too far.
fn furthest_from_upright(marks: &[Mark]) -> Landmark {
    marks
        .iter()
        .max_by(|a, b| a.at.x.abs().total_cmp(&b.at.x.abs()))
        .map_or(Landmark::Sided(Side::Right, SidedLandmark::NoseWing), |m| {
            m.landmark
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Matrix2;
    use proptest::prelude::*;

    fn marks() -> impl Strategy<Value = Vec<Mark>> {
        let mark = (-4.0..4.0f64, -90.0..40.0f64, 0.05..2.0f64).prop_map(|(x, y, weight)| Mark {
            landmark: Landmark::Middle(MiddleLandmark::Bridge),
            at: Point::new(x, y),
            weight,
        });
        proptest::collection::vec(mark, 4..9)
    }

    fn turned(marks: Vec<Mark>, degrees: f64) -> Vec<Mark> {
        let origin = Point::<Front>::new(0.0, 0.0);
        marks
            .into_iter()
            .map(|m| Mark {
                at: origin + (m.at - origin).turned(degrees),
                ..m
            })
            .collect()
    }

    /// Weighted sum of squared distances from the line.
    fn missed(marks: &[Mark], through: Point<Front>, along: Vector<Front>) -> f64 {
        marks
            .iter()
            .map(|m| m.weight * libm::pow((m.at - through).cross(along), 2.0))
            .sum()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1000))]

        #[test]
        fn the_closed_form_is_the_larger_eigenvector(marks in marks(), degrees in -80.0..80.0f64) {
            let marks = turned(marks, degrees);
            let Some((through, along)) = straight_through(&marks) else { return Ok(()) };
            let mut scatter = Matrix2::zeros();
            for m in &marks {
                let v = nalgebra::Vector2::new(m.at.x - through.x, m.at.y - through.y);
                scatter += m.weight * v * v.transpose();
            }
            let eigen = scatter.symmetric_eigen();
            let larger = eigen.eigenvectors.column(eigen.eigenvalues.imax());
            let sine = along.x * larger[1] - along.y * larger[0];
            prop_assert!(sine.abs() < 1e-9, "{along:?} against {larger:?}");
            // And the smaller eigenvalue is what the line misses.
            let smaller = eigen.eigenvalues.min();
            prop_assert!((missed(&marks, through, along) - smaller).abs() < 1e-7);
        }

        #[test]
        fn no_other_line_is_nearer(
            marks in marks(), shift in -3.0..3.0f64, turn in -10.0..10.0f64,
        ) {
            let Some((through, along)) = straight_through(&marks) else { return Ok(()) };
            let other = along.turned(turn);
            let beside = through + Vector::new(shift, 0.0);
            prop_assert!(missed(&marks, through, along) <= missed(&marks, beside, other) + 1e-9);
        }
    }

    #[test]
    fn a_heap_of_points_has_no_direction() {
        let heap = |at: &[(f64, f64)]| -> Vec<Mark> {
            at.iter()
                .map(|&(x, y)| Mark {
                    landmark: Landmark::Middle(MiddleLandmark::Chin),
                    at: Point::new(x, y),
                    weight: 1.0,
                })
                .collect()
        };
        let square = heap(&[(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)]);
        assert!(straight_through(&square).is_none());
        assert!(straight_through(&heap(&[(2.0, 3.0), (2.0, 3.0)])).is_none());
        assert!(straight_through(&[]).is_none());
    }
}
