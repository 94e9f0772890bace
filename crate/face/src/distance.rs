//! A distance with its uncertainty.

use std::fmt;

use ophryon_frames::{Photo, Point, Side};

use crate::budget::to_tenth;
use crate::{FaceError, Landmark, Landmarks, Scale, SidedLandmark, TapSpread};

/// A length in mm with its standard uncertainty (k = 1).
///
/// Shown with k = 2, which holds about 95 % of the true values: `63.0 ± 0.4
/// mm` (JCGM 100:2008).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Distance {
    /// Best estimate, mm.
    pub mm: f64,
    /// Standard uncertainty, mm.
    pub sd: f64,
}

impl Distance {
    /// Between two taps, each off by as much as taps usually are. First
    /// order: the taps and the scale are taken as independent, and the head as
    /// straight and far away; [`crate::Survey`] knows more.
    pub fn between(a: Point<Photo>, b: Point<Photo>, scale: Scale) -> Self {
        let mm = a.distance(b) * scale.mm_per_px();
        let tap = TapSpread::by_default(scale.mm_per_px()).sd_mm();
        let taps = std::f64::consts::SQRT_2 * tap;
        let sd = libm::hypot(mm * scale.relative_sd(), taps);
        Self { mm, sd }
    }

    /// Half the interval that holds about 95 % of the true values, mm.
    pub fn expanded(self) -> f64 {
        2.0 * self.sd
    }
}

impl fmt::Display for Distance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Nothing is known to better than a tenth.
        let mm = to_tenth(self.mm);
        write!(f, "{mm:.1} ± {:.1} mm", self.expanded().max(0.1))
    }
}

/// From pupil to pupil.
///
/// # Errors
/// [`FaceError::Missing`] or [`FaceError::NotFinite`].
pub fn pupil_distance(landmarks: &Landmarks, scale: Scale) -> Result<Distance, FaceError> {
    let pupil = |side| {
        let landmark = Landmark::Sided(side, SidedLandmark::Pupil);
        FaceError::need(landmark, landmarks.get(landmark))
    };
    Ok(Distance::between(
        pupil(Side::Right)?,
        pupil(Side::Left)?,
        scale,
    ))
}
