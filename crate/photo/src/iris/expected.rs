//! How large an iris may be in the photo.

use std::ops::RangeInclusive;

use ophryon_face::{POSSIBLE_PUPILS_MM, Scale};
use ophryon_frames::{Photo, Point};

use super::CATCH_MM;
use crate::{Crop, Size};

/// Diameters that irises of adults have, mm: mean 11.7, and three standard
/// deviations of the widest published spread (Rüfer et al., Cornea 2005;24:
/// 259-61: 10.58 to 12.58 seen in 390 people), and half a millimetre more.
const DIAMETER_MM: RangeInclusive<f64> = 10.0..=13.5;

/// Scales of photos that brows can be drawn on, px per mm, where nothing else
/// is known: from a face that fills a fifth of a small photo to one that
/// overfills a large one.
const ANY_PX_PER_MM: RangeInclusive<f64> = 0.6..=24.0;

/// About how many px a millimetre has, before there is a scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoughScale {
    least: f64,
    most: f64,
}

impl RoughScale {
    /// Nothing is known yet.
    pub const UNKNOWN: Self = Self {
        least: *ANY_PX_PER_MM.start(),
        most: *ANY_PX_PER_MM.end(),
    };

    /// From the scale, three of its standard uncertainties to both sides.
    pub fn known(scale: Scale) -> Self {
        let px_per_mm = 1.0 / scale.mm_per_px();
        let spread = (3.0 * scale.relative_sd()).clamp(0.02, 0.5);
        Self::within(px_per_mm * (1.0 - spread), px_per_mm * (1.0 + spread))
    }

    /// From rough taps on both pupils: nearly all adults' lie 45 to 80 mm
    /// apart (Dodgson 2004).
    pub fn by_pupils(a: Point<Photo>, b: Point<Photo>) -> Self {
        let px = a.distance(b);
        Self::within(
            px / POSSIBLE_PUPILS_MM.end(),
            px / POSSIBLE_PUPILS_MM.start(),
        )
    }

    fn within(least: f64, most: f64) -> Self {
        let (low, high) = (*ANY_PX_PER_MM.start(), *ANY_PX_PER_MM.end());
        if !(least.is_finite() && most.is_finite()) {
            return Self::UNKNOWN;
        }
        Self {
            least: least.clamp(low, high),
            most: most.clamp(low, high),
        }
    }

    /// Radii that the iris may have, px.
    pub fn radius_px(self) -> RangeInclusive<f64> {
        let half = |mm: f64| mm / 2.0;
        half(*DIAMETER_MM.start()) * self.least..=half(*DIAMETER_MM.end()) * self.most
    }

    /// How far from the pupil a tap may be, px.
    pub fn catch_px(self) -> f64 {
        CATCH_MM * self.most
    }

    /// The piece of the photo that the search around a tap needs.
    pub fn crop(self, tap: Point<Photo>, photo: Size) -> Option<Crop> {
        let reach = self.catch_px() + 1.3 * self.radius_px().end() + 4.0;
        Crop::around(&[tap], reach, photo)
    }
}
