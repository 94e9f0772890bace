//! Where a brow starts, peaks and ends, from the face's own landmarks.
//!
//! Each rule is a named construction with straight lines in the frontal view
//! (front frame, mm), as published and as taught. They are opinions: published
//! comparisons found no rule better than another (Hamamoto et al., Facial
//! Plast Surg 2013;29:76-82), so the artist picks and overrides.
//!
//! Everything here is on one side, reflected to the client's left
//! ([`ophryon_frames::Side::front_as_left`]): x grows toward the tail.

use ophryon_frames::{Front, Point, Vector, Wrap};
use serde::{Deserialize, Serialize};

/// Where the brow starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StartRule {
    /// On the vertical through the inner eye corner.
    #[default]
    InnerCorner,
    /// On the vertical through the nose wing (Westmore 1974, as restated by
    /// Yalçınkaya 2016).
    NoseWing,
}

/// Where it peaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PeakRule {
    /// On the line from the nose wing through the pupil (common practice). On a
    /// typical face it meets the brow near 0.9 eye widths from the inner
    /// corner, where peaks were measured: 0.93 in women at random, 0.98 in
    /// models (Roth and Metzinger, Arch Facial Plast Surg 2003;5:235-9).
    #[default]
    WingThroughPupil,
    /// On the line from the nose wing through the outer rim of the iris.
    WingThroughIrisRim,
    /// On the vertical through the pupil.
    AbovePupil,
    /// On the vertical through the outer rim of the iris (Westmore 1974).
    AboveIrisRim,
}

/// Where the tail ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TailRule {
    /// On the line from the nose wing through the outer eye corner
    /// (Westmore 1974).
    #[default]
    WingThroughOuterCorner,
    /// On the line of the lower lid, continued past the outer corner.
    LowerLid,
}

/// Where the line from the lower arch to the middle of the ear is straight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AimFrame {
    /// On the skin, as a tape would lie.
    #[default]
    Skin,
    /// In the frontal picture.
    Front,
}

/// The artist's choice of rules.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Rules {
    /// Where the brow starts.
    pub start: StartRule,
    /// mm from the start rule's line toward the tail.
    pub start_offset_mm: f64,
    /// Where it peaks.
    pub peak: PeakRule,
    /// Where the tail ends.
    pub tail: TailRule,
    /// Where the aim at the ear is straight.
    pub aim: AimFrame,
}

/// The landmarks of one side that the rules use, reflected to the left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EyeSide {
    /// Inner eye corner.
    pub inner_corner: Point<Front>,
    /// Outer eye corner.
    pub outer_corner: Point<Front>,
    /// Outermost point of the nose wing.
    pub nose_wing: Point<Front>,
    /// Middle of the pupil.
    pub pupil: Point<Front>,
    /// Outer rim of the iris, where a rule uses it.
    pub iris_outer_rim: Option<Point<Front>>,
    /// A point of the lower lid's margin near the outer corner, likewise.
    pub lower_lid: Option<Point<Front>>,
}

/// A straight line of the frontal view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// A point on it; where it is drawn from.
    pub from: Point<Front>,
    /// A second point, the landmark it runs through.
    pub through: Point<Front>,
}

impl Line {
    fn vertical(at: Point<Front>) -> Self {
        Self {
            from: at,
            through: at + Vector::new(0.0, 10.0),
        }
    }

    /// Where the line is at a height; `None` for a level line.
    pub fn at_height(&self, height_mm: f64) -> Option<Point<Front>> {
        let run = self.through - self.from;
        if run.y.abs() < 1e-9 {
            return None;
        }
        let t = (height_mm - self.from.y) / run.y;
        Some(Point::new(self.from.x + t * run.x, height_mm))
    }

    /// Where two lines cross; `None` when they run alongside each other.
    pub fn crossing(&self, other: &Self) -> Option<Point<Front>> {
        let (u, v) = (self.through - self.from, other.through - other.from);
        let across = u.cross(v);
        if across.abs() < 1e-9 * u.length() * v.length() {
            return None;
        }
        let t = (other.from - self.from).cross(v) / across;
        Some(self.from + u * t)
    }

    /// Signed distance of a point in mm: positive to the right of the line as
    /// it runs upward, which on the left side of the face is toward the tail.
    pub fn beyond(&self, p: Point<Front>) -> f64 {
        let run = self.through - self.from;
        let upward = if run.y < 0.0 { -run } else { run };
        upward.unit().map_or(0.0, |u| (p - self.from).cross(u))
    }
}

/// The three lines of one side, as they are drawn over the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MappingLines {
    /// The start lies on it.
    pub start: Line,
    /// The peak lies on it.
    pub peak: Line,
    /// The tip lies on it.
    pub tail: Line,
}

/// Landmarks from which a rule can't be constructed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MappingError {
    /// The rule needs a landmark that isn't there.
    #[error("the {rule} needs the {landmark}; tap it or choose another rule")]
    Missing {
        /// The rule, as the artist reads it.
        rule: &'static str,
        /// The landmark.
        landmark: &'static str,
    },
    /// Two landmarks of one line are on top of each other.
    #[error(
        "the {rule} has no direction: its two landmarks lie {gap_mm:.1} mm apart; tap them again"
    )]
    NoDirection {
        /// The rule.
        rule: &'static str,
        /// Their distance, mm.
        gap_mm: f64,
    },
    /// The line never reaches the brow.
    #[error("the {rule} does not cross the brow; check its landmarks or choose another rule")]
    Misses {
        /// The rule.
        rule: &'static str,
    },
    /// A landmark the wrap can't place.
    #[error(transparent)]
    Wrap(#[from] ophryon_frames::WrapError),
}

/// Two landmarks nearer than this give a line no direction: a tap is good to
/// about 0.5 mm, and a line of 3 mm with that error turns by 13 degrees.
const SHORTEST_LINE_MM: f64 = 3.0;

impl MappingLines {
    /// Constructs the lines of one side.
    ///
    /// # Errors
    /// A landmark that a chosen rule needs is missing, or two of them
    /// coincide.
    pub fn construct(eye: &EyeSide, rules: &Rules) -> Result<Self, MappingError> {
        let iris_rim = || {
            eye.iris_outer_rim.ok_or(MappingError::Missing {
                rule: "peak rule",
                landmark: "outer rim of the iris",
            })
        };
        let start_at = match rules.start {
            StartRule::InnerCorner => eye.inner_corner,
            StartRule::NoseWing => eye.nose_wing,
        };
        let peak = match rules.peak {
            PeakRule::WingThroughPupil => sloping(eye.nose_wing, eye.pupil, "peak rule")?,
            PeakRule::WingThroughIrisRim => sloping(eye.nose_wing, iris_rim()?, "peak rule")?,
            PeakRule::AbovePupil => Line::vertical(eye.pupil),
            PeakRule::AboveIrisRim => Line::vertical(iris_rim()?),
        };
        let tail = match rules.tail {
            TailRule::WingThroughOuterCorner => {
                sloping(eye.nose_wing, eye.outer_corner, "tail rule")?
            }
            TailRule::LowerLid => {
                let lid = eye.lower_lid.ok_or(MappingError::Missing {
                    rule: "tail rule",
                    landmark: "lower lid near the outer corner",
                })?;
                sloping(lid, eye.outer_corner, "tail rule")?
            }
        };
        let start = Line::vertical(start_at + Vector::new(rules.start_offset_mm, 0.0));
        Ok(Self { start, peak, tail })
    }

    /// Where the tail rule's line meets the straight line on the skin from
    /// `arch` to `ear` (both on the skin, side-neutral as the left side).
    ///
    /// Bisection along that line: the frontal view of a straight line on the
    /// skin crosses the rule's line once between the arch and the horizon.
    ///
    /// # Errors
    /// [`MappingError::Misses`] when it doesn't cross.
    pub fn tip_on_skin(
        &self,
        arch: Point<ophryon_frames::Skin>,
        ear: Point<ophryon_frames::Skin>,
        wrap: &Wrap,
    ) -> Result<Point<ophryon_frames::Skin>, MappingError> {
        let beyond = |t: f64| self.tail.beyond(wrap.to_front(arch.lerp(ear, t)));
        let misses = MappingError::Misses { rule: "tail rule" };
        let (mut inside, mut outside) = (0.0, 1.0);
        let crosses = beyond(inside) <= 0.0 && beyond(outside) >= 0.0; // false for NaN
        if !crosses {
            return Err(misses);
        }
        for _ in 0..60 {
            let t = 0.5 * (inside + outside);
            if beyond(t) < 0.0 {
                inside = t
            } else {
                outside = t
            }
        }
        Ok(arch.lerp(ear, 0.5 * (inside + outside)))
    }
}

fn sloping(
    from: Point<Front>,
    through: Point<Front>,
    rule: &'static str,
) -> Result<Line, MappingError> {
    let gap_mm = from.distance(through);
    if gap_mm.is_nan() || gap_mm < SHORTEST_LINE_MM {
        return Err(MappingError::NoDirection { rule, gap_mm });
    }
    Ok(Line { from, through })
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_frames::Skin;

    /// Pupils 63 mm apart; the rest of a typical face.
    fn typical() -> EyeSide {
        EyeSide {
            inner_corner: Point::new(16.0, -1.0),
            outer_corner: Point::new(44.5, 0.0),
            nose_wing: Point::new(17.0, -38.0),
            pupil: Point::new(31.5, 0.0),
            iris_outer_rim: Some(Point::new(37.4, 0.0)),
            lower_lid: Some(Point::new(40.0, -3.0)),
        }
    }

    #[test]
    fn lines_meet_the_brow_where_worked_out_by_hand() {
        let rules = Rules {
            peak: PeakRule::WingThroughPupil,
            ..Rules::default()
        };
        let lines = MappingLines::construct(&typical(), &rules).unwrap();
        // From (17, -38) through (31.5, 0): 14.5 out for 38 up. At 28 high,
        // 66 above the wing: 17 + 66 * 14.5 / 38 = 42.184.
        let peak = lines.peak.at_height(28.0).unwrap();
        assert!((peak.x - (17.0 + 66.0 * 14.5 / 38.0)).abs() < 1e-12);
        // Through (44.5, 0): 27.5 out for 38 up; at 20 high 58.974.
        let tail = lines.tail.at_height(20.0).unwrap();
        assert!((tail.x - (17.0 + 58.0 * 27.5 / 38.0)).abs() < 1e-12);
        assert_eq!(lines.start.at_height(20.0).unwrap().x, 16.0);
    }

    #[test]
    fn a_rule_without_its_landmark_says_which() {
        let eye = EyeSide {
            iris_outer_rim: None,
            ..typical()
        };
        let rules = Rules {
            peak: PeakRule::AboveIrisRim,
            ..Rules::default()
        };
        let said = MappingLines::construct(&eye, &rules)
            .unwrap_err()
            .to_string();
        assert_eq!(
            said,
            "the peak rule needs the outer rim of the iris; tap it or choose another rule"
        );
    }

    /// Worked example: on a cylinder of 75 mm, lower arch at (42, 21) and the
    /// ear's middle 143 mm over the skin and 11 mm below the pupils, the tip
    /// comes to (55.5, 15.2), about level with the start's underside.
    #[test]
    fn on_a_typical_face_the_tip_is_level_with_the_starts_underside() {
        let lines = MappingLines::construct(&typical(), &Rules::default()).unwrap();
        let wrap = Wrap::cylinder(75.0).unwrap();
        let arch = wrap.to_skin(Point::new(42.0, 21.0)).unwrap();
        let tip = lines
            .tip_on_skin(arch, Point::<Skin>::new(143.0, -11.0), &wrap)
            .unwrap();
        let seen = wrap.to_front(tip);
        assert!(
            (seen.x - 55.5).abs() < 0.1 && (seen.y - 15.2).abs() < 0.1,
            "{seen:?}"
        );
        // 15 mm of doubt about the ear moves the tip by about half a millimetre.
        let other = lines
            .tip_on_skin(arch, Point::<Skin>::new(158.0, -11.0), &wrap)
            .unwrap();
        let moved = wrap.to_front(other).distance(seen);
        assert!(moved < 0.75, "{moved}");
        // Straight in the picture instead, ear seen at 76: short and drooping.
        let flat = lines
            .tip_on_skin(Point::new(42.0, 21.0), Point::new(76.0, -11.0), &Wrap::Flat)
            .unwrap();
        assert!(
            (flat.x - 52.5).abs() < 0.3 && (flat.y - 11.0).abs() < 0.3,
            "{flat:?}"
        );
    }
}
