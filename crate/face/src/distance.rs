//! A distance with its uncertainty, and whether the pupils' is a person's.

use std::fmt;

use ophryon_frames::{Photo, Point, Side};

use crate::{FaceError, Landmark, Landmarks, Scale, SidedLandmark, TAP_SD_PX};

/// Most adults' pupils are this far apart, mm: Dodgson NA. Variation and
/// extrema of human interpupillary distance. Proc. SPIE 2004;5291:36-46.
pub const USUAL_PUPILS_MM: std::ops::RangeInclusive<f64> = 50.0..=75.0;
/// Nearly all adults' are, mm; same source.
pub const POSSIBLE_PUPILS_MM: std::ops::RangeInclusive<f64> = 45.0..=80.0;

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
    /// Between two taps, each with [`TAP_SD_PX`] in every direction. First
    /// order: the taps and the scale are taken as independent.
    pub fn between(a: Point<Photo>, b: Point<Photo>, scale: Scale) -> Self {
        let mm = a.distance(b) * scale.mm_per_px();
        let taps = std::f64::consts::SQRT_2 * TAP_SD_PX * scale.mm_per_px();
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
        write!(f, "{:.1} ± {:.1} mm", self.mm, self.expanded())
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

/// How likely a distance between pupils is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PupilVerdict {
    /// Inside [`USUAL_PUPILS_MM`].
    Usual,
    /// A person may have it; a wrong scale is likelier. Ask, then go on.
    Unusual,
    /// Outside [`POSSIBLE_PUPILS_MM`]: the scale is wrong. Stop.
    Impossible,
}

/// The verdict with a sentence for the artist.
#[derive(Debug, Clone, PartialEq)]
pub struct PupilCheck {
    /// Go on, ask, or stop.
    pub verdict: PupilVerdict,
    /// What was found, and the way out.
    pub sentence: String,
}

/// Whether pupils so many mm apart are a person's, or the scale is wrong.
pub fn check_pupil_distance(mm: f64) -> PupilCheck {
    let (usual, possible) = (USUAL_PUPILS_MM, POSSIBLE_PUPILS_MM);
    if usual.contains(&mm) {
        PupilCheck {
            verdict: PupilVerdict::Usual,
            sentence: format!("The pupils are {mm:.1} mm apart, as most adults' are."),
        }
    } else if possible.contains(&mm) {
        PupilCheck {
            verdict: PupilVerdict::Unusual,
            sentence: format!(
                "The pupils come out {mm:.1} mm apart; most adults' are {} to {} mm apart. Check the scale before going on.",
                usual.start(),
                usual.end()
            ),
        }
    } else {
        PupilCheck {
            verdict: PupilVerdict::Impossible,
            sentence: format!(
                "The pupils come out {mm:.1} mm apart; nearly all adults' are {} to {} mm apart, so the scale can't be right. Tap the scale again, or check the length that was entered.",
                possible.start(),
                possible.end()
            ),
        }
    }
}
