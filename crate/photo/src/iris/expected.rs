//! How large an iris may be in the photo.

use std::ops::RangeInclusive;

use ophryon_face::{IRIS_MM, MEAN_PUPILS_MM, POSSIBLE_PUPILS_MM, Scale};
use ophryon_frames::{Photo, Point};

use super::CATCH_MM;
use crate::{Crop, Size};

/// Diameters that irises of adults have, mm: from 10.58 to 12.58 in 390 people
/// (Rüfer et al., Cornea 2005;24:259-61), and some room for a gaze to the side
/// and for those not among them.
const DIAMETER_MM: RangeInclusive<f64> = 10.0..=13.5;
/// Standard deviation between people and studies as a share of the diameter:
/// 0.42 of 11.71 in that study, means from 11.65 to 11.97 in others, and half
/// as much again, because an unlikely iris is still one.
const DIAMETER_SD: f64 = 0.06;

/// How uncertain a scale by two rough taps on the pupils is, as a share: 3.6
/// of 63 mm between people, and some 4 mm of the two taps.
const BY_PUPILS_SD: f64 = 0.085;

/// Scales of photos that brows can be drawn on, px per mm, where nothing else
/// is known: from a face that fills a tenth of a small photo to one that
/// overfills a large one.
const ANY_PX_PER_MM: RangeInclusive<f64> = 0.6..=24.0;

/// How far the middle may lie from the tap, in radii of the iris: the catch
/// against the smallest iris.
pub const MOST_OFF_RADIUS: f64 = 2.0 * CATCH_MM / *DIAMETER_MM.start();

/// About how many px a millimetre has, before the iris is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoughScale {
    least: f64,
    most: f64,
    /// The likeliest, and its standard uncertainty as a share.
    likely: Option<(f64, f64)>,
}

impl RoughScale {
    /// Nothing is known yet. The search takes longest then and gives up
    /// soonest: with a scale, or both pupils, it is surer.
    pub const UNKNOWN: Self = Self {
        least: *ANY_PX_PER_MM.start(),
        most: *ANY_PX_PER_MM.end(),
        likely: None,
    };

    /// From the scale.
    pub fn known(scale: Scale) -> Self {
        let px_per_mm = 1.0 / scale.mm_per_px();
        // Three standard uncertainties to both sides.
        let spread = (3.0 * scale.relative_sd()).clamp(0.02, 0.5);
        let (least, most) = (px_per_mm * (1.0 - spread), px_per_mm * (1.0 + spread));
        Self::within(least, most, px_per_mm, scale.relative_sd())
    }

    /// From rough taps on both pupils: nearly all adults' lie 45 to 80 mm
    /// apart (Dodgson 2004).
    pub fn by_pupils(a: Point<Photo>, b: Point<Photo>) -> Self {
        let px = a.distance(b);
        let possible = POSSIBLE_PUPILS_MM;
        let (least, most) = (px / possible.end(), px / possible.start());
        Self::within(least, most, px / MEAN_PUPILS_MM, BY_PUPILS_SD)
    }

    fn within(least: f64, most: f64, likely: f64, sd: f64) -> Self {
        let (low, high) = (*ANY_PX_PER_MM.start(), *ANY_PX_PER_MM.end());
        if !(least.is_finite() && most.is_finite()) {
            return Self::UNKNOWN;
        }
        Self {
            least: least.clamp(low, high),
            most: most.clamp(low, high),
            likely: Some((likely.clamp(low, high), sd)),
        }
    }

    /// Radii that the iris may have, px.
    pub fn radius_px(self) -> RangeInclusive<f64> {
        let half = |mm: f64| mm / 2.0;
        half(*DIAMETER_MM.start()) * self.least..=half(*DIAMETER_MM.end()) * self.most
    }

    /// The likeliest radius, px, and its standard deviation as a share.
    pub(super) fn likely_radius(self) -> Option<(f64, f64)> {
        let (px_per_mm, sd) = self.likely?;
        Some((px_per_mm * IRIS_MM / 2.0, libm::hypot(sd, DIAMETER_SD)))
    }

    /// The piece of the photo that the search around a tap needs.
    pub fn crop(self, tap: Point<Photo>, photo: Size) -> Option<Crop> {
        Crop::around(&[tap], self.reach_px(), photo)
    }

    /// How far from the tap the rim and what is around it may lie, px.
    pub(super) fn reach_px(self) -> f64 {
        (MOST_OFF_RADIUS + 1.7) * self.radius_px().end() + 4.0
    }
}
