//! Whether what a scale makes of the eyes is a person's.

use crate::Distance;

/// Most adults' pupils are this far apart, mm: Dodgson NA. Variation and
/// extrema of human interpupillary distance. Proc. SPIE 2004;5291:36-46.
pub const USUAL_PUPILS_MM: std::ops::RangeInclusive<f64> = 50.0..=75.0;
/// Nearly all adults' are, mm; same source.
pub const POSSIBLE_PUPILS_MM: std::ops::RangeInclusive<f64> = 45.0..=80.0;
/// Their mean, mm; same source.
pub const MEAN_PUPILS_MM: f64 = 63.0;

/// A photo of one face, taken to measure it, shows so much from left to right,
/// mm: from both brows alone to a room behind a person whose brows still have
/// 4 px per mm in the largest photo that is kept. It catches a wrong unit, not
/// a wrong millimetre. Ours.
const PHOTO_WIDTH_MM: std::ops::RangeInclusive<f64> = 90.0..=1600.0;

/// Most people's irises are this broad from white to white, mm: 10.70 to
/// 12.58, the range of Rüfer F, Schröder A, Erb C. Cornea 2005;24:259-61 (n =
/// 390; abstract).
pub const USUAL_IRIS_MM: std::ops::RangeInclusive<f64> = 10.7..=12.58;
/// Beyond this it is a disease of the eye or a wrong scale, mm: below 10 mm a
/// cornea is called too small, from 13 mm too large (from memory).
pub const POSSIBLE_IRIS_MM: std::ops::RangeInclusive<f64> = 10.0..=13.0;

/// What a scale would make of the photo, where that is no photo of one face;
/// known before anything of the face is tapped.
pub fn check_photo_width(width_px: f64, mm_per_px: f64) -> Option<String> {
    let mm = width_px * mm_per_px;
    if PHOTO_WIDTH_MM.contains(&mm) {
        return None;
    }
    let (wide, fits) = if mm > *PHOTO_WIDTH_MM.end() {
        ("wide", "less")
    } else {
        ("narrow", "more")
    };
    Some(format!(
        "By this the photo would be {:.0} cm {wide}, and one of a face shows {fits}. Check the length that was entered, and the taps on its ends.",
        mm / 10.0
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

/// The verdict on an iris with a sentence for the artist.
#[derive(Debug, Clone, PartialEq)]
pub struct IrisCheck {
    /// Go on, ask, or stop.
    pub verdict: PupilVerdict,
    /// White to white.
    pub breadth: Distance,
    /// What was found, and the way out.
    pub sentence: String,
}

/// Whether an iris so broad is a person's, or the scale is wrong. Its rim is
/// hard to tap, so it counts as unusual or impossible only when it is so by
/// more than its own uncertainty (k = 2).
pub fn check_iris(breadth: Distance) -> IrisCheck {
    let give = breadth.expanded();
    let within = |range: &std::ops::RangeInclusive<f64>| {
        breadth.mm >= range.start() - give && breadth.mm <= range.end() + give
    };
    let (verdict, sentence) = if within(&USUAL_IRIS_MM) {
        (
            PupilVerdict::Usual,
            format!("The iris is {breadth} across, as most people's are."),
        )
    } else {
        let (start, end) = (USUAL_IRIS_MM.start(), USUAL_IRIS_MM.end());
        let found = format!(
            "The iris comes out {breadth} across; most people's are {start:.1} to {end:.1} mm"
        );
        if within(&POSSIBLE_IRIS_MM) {
            (
                PupilVerdict::Unusual,
                format!("{found}. Check the scale and the rim of the iris before going on."),
            )
        } else {
            (
                PupilVerdict::Impossible,
                format!(
                    "{found}, so the scale or the rim can't be right. Tap the scale again, check the length that was entered, and tap the rim of the iris again."
                ),
            )
        }
    };
    IrisCheck {
        verdict,
        breadth,
        sentence,
    }
}
