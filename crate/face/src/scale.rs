//! Millimetres per pixel, from something of known size in the photo.
//!
//! First-order propagation after JCGM 100:2008 (GUM): the relative variance
//! of mm per px is the sum of that of the size and that of the tapped length.

use ophryon_frames::{Photo, Point, Side};
use serde::{Deserialize, Serialize};

use crate::{Landmark, Landmarks};

/// Long side of an ID-1 card (bank card, driving licence), mm: ISO/IEC 7810.
pub const CARD_LONG_MM: f64 = 85.60;
/// Short side of an ID-1 card, mm: ISO/IEC 7810.
pub const CARD_SHORT_MM: f64 = 53.98;
/// Standard uncertainty of a card's long side, mm: half the allowed
/// 85.47..85.72 over root three (ISO/IEC 7810; the limits from memory).
const CARD_LONG_SD_MM: f64 = 0.072;
/// The same of its short side: 53.92..54.03.
const CARD_SHORT_SD_MM: f64 = 0.032;
/// Largest share by which a card's aspect may differ from 85.60 : 53.98
/// before the card counts as tilted.
pub const CARD_ASPECT_TOLERANCE: f64 = 0.01;

/// Relative standard uncertainty left by tilt when nothing in the photo can
/// show it: up to about 15° (cos 15° = 0.966), evenly spread, 3.4 % / √12.
const UNSEEN_TILT_SD: f64 = 0.01;
/// The same when both sides of a card agree within the aspect tolerance:
/// 1 % / √12.
const CHECKED_TILT_SD: f64 = 0.003;

/// Standard uncertainty of a ruler length, mm: the ends are read to half a
/// millimetre, so 0.5 / √12 rounded up for the tick's own width. Ours.
const RULER_SD_MM: f64 = 0.2;
/// Standard uncertainty of a sticker's stated diameter, mm. Ours.
const STICKER_SD_MM: f64 = 0.1;
/// Standard uncertainty of a caliper distance over soft skin, mm. Ours.
pub const CALIPER_SD_MM: f64 = 0.5;

/// Horizontal diameter of the visible iris (white to white), mm: Rüfer F,
/// Schröder A, Erb C. White-to-white corneal diameter. Cornea 2005;24:259-61,
/// n = 390. Other studies' means run from 11.65 to 11.97.
pub const IRIS_MM: f64 = 11.71;
/// Standard deviation between people of [`IRIS_MM`], mm; same source.
pub const IRIS_SD_MM: f64 = 0.42;

/// Standard uncertainty of one tap in each direction, px, where it was not
/// measured. Ours.
pub const TAP_SD_PX: f64 = 0.5;

/// Longest reference that fits beside a face, mm.
pub const LONGEST_REFERENCE_MM: f64 = 500.0;
/// A reference shorter than this in the photo says nothing: the taps alone
/// leave 7 % there.
const SHORTEST_REFERENCE_PX: f64 = 10.0;

/// What gives the photo its scale. Lengths in mm, taps in px.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Reference {
    /// An ID-1 card held in the plane of the brows.
    Card {
        /// The middles of the two short edges, 85.60 mm apart.
        long: [Point<Photo>; 2],
        /// The middles of the two long edges, 53.98 mm apart. With it a
        /// tilted card is noticed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        short: Option<[Point<Photo>; 2]>,
    },
    /// Two marks on a ruler.
    Ruler {
        /// The marks.
        ends: [Point<Photo>; 2],
        /// From the one to the other, mm.
        length_mm: f64,
    },
    /// A round sticker on the skin.
    Sticker {
        /// Opposite points of the rim, where it looks widest.
        rim: [Point<Photo>; 2],
        /// Its diameter, mm.
        diameter_mm: f64,
    },
    /// A distance measured on the client with a caliper.
    Caliper {
        /// From where to where.
        between: [Landmark; 2],
        /// What the caliper read, mm.
        distance_mm: f64,
    },
    /// The iris, taken as of average size: several percent uncertain.
    Iris {
        /// Which eye.
        side: Side,
        /// Opposite points of the rim, level with the pupil.
        rim: [Point<Photo>; 2],
    },
}

/// Millimetres per pixel with its standard uncertainty; there is none without.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    mm_per_px: f64,
    relative_sd: f64,
}

/// Why a reference gives no scale, and the way out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScaleError {
    /// A tap is NaN, infinite or beyond any photo.
    #[error("a tap on the {what} is not a place in the photo; tap it again")]
    TapNotFinite {
        /// Which reference.
        what: &'static str,
    },
    /// Both taps in one place, or nearly.
    #[error(
        "the two taps on the {what} are only {px:.1} px apart; tap its two ends, or take a photo where it is larger"
    )]
    ZeroLength {
        /// Which reference.
        what: &'static str,
        /// Distance between the taps, px.
        px: f64,
    },
    /// No length that can be in the photo.
    #[error(
        "the {what} is said to be {mm} mm; enter its length in millimetres, above 0 and at most {LONGEST_REFERENCE_MM}"
    )]
    Length {
        /// Which reference.
        what: &'static str,
        /// The length that was entered.
        mm: f64,
    },
    /// Long and short taken for one another.
    #[error(
        "the card's long and short side are exchanged: the long one runs between the two short edges; tap them again"
    )]
    CardExchanged,
    /// Aspect off by more than [`CARD_ASPECT_TOLERANCE`].
    #[error(
        "the card looks tilted: its sides are off by {off_percent:.1} % against each other (at most 1 % will do); hold it flat toward the camera and take the photo again, or tap the middles of its edges again"
    )]
    CardTilted {
        /// Measured aspect against 85.60 : 53.98, percent; positive when the
        /// short side is the shortened one.
        off_percent: f64,
    },
    /// A caliper distance needs both its landmarks.
    #[error("the caliper distance needs the {landmark}; tap it first")]
    Missing {
        /// The one that is missing.
        landmark: Landmark,
    },
    /// A caliper distance from a landmark to itself.
    #[error("the caliper distance runs from the {landmark} to itself; choose two landmarks")]
    SameLandmark {
        /// That one.
        landmark: Landmark,
    },
    /// Numbers that make no scale.
    #[error("{mm_per_px} mm per px with a relative uncertainty of {relative_sd} is no scale")]
    NotAScale {
        /// As asked for.
        mm_per_px: f64,
        /// As asked for.
        relative_sd: f64,
    },
}

impl Scale {
    /// A scale known from elsewhere. `relative_sd` is the standard
    /// uncertainty (k = 1) as a share of the scale: 0.036 for 3.6 %.
    ///
    /// # Errors
    /// [`ScaleError::NotAScale`] unless both are finite and above 0 and the
    /// uncertainty is below 1.
    pub fn new(mm_per_px: f64, relative_sd: f64) -> Result<Self, ScaleError> {
        let positive = |v: f64| v.is_finite() && v > 0.0;
        if positive(mm_per_px) && positive(relative_sd) && relative_sd < 1.0 {
            Ok(Self {
                mm_per_px,
                relative_sd,
            })
        } else {
            Err(ScaleError::NotAScale {
                mm_per_px,
                relative_sd,
            })
        }
    }

    /// Millimetres per pixel.
    pub const fn mm_per_px(self) -> f64 {
        self.mm_per_px
    }

    /// Standard uncertainty (k = 1) as a share of the scale.
    pub const fn relative_sd(self) -> f64 {
        self.relative_sd
    }
}

impl Reference {
    /// A word for it in sentences.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Card { .. } => "card",
            Self::Ruler { .. } => "ruler",
            Self::Sticker { .. } => "sticker",
            Self::Caliper { .. } => "caliper distance",
            Self::Iris { .. } => "iris",
        }
    }

    /// Millimetres per pixel from this reference. `landmarks` are looked at
    /// only for a caliper distance.
    ///
    /// # Errors
    /// [`ScaleError`], naming what to do.
    pub fn scale(&self, landmarks: &Landmarks) -> Result<Scale, ScaleError> {
        let what = self.name();
        let (estimate, tilt_sd) = match *self {
            Self::Card { long, short: None } => (
                Estimate::new(what, long, CARD_LONG_MM, CARD_LONG_SD_MM)?,
                UNSEEN_TILT_SD,
            ),
            Self::Card {
                long,
                short: Some(short),
            } => (card_of_both_sides(long, short)?, CHECKED_TILT_SD),
            Self::Ruler { ends, length_mm } => (
                Estimate::new(what, ends, length_mm, RULER_SD_MM)?,
                UNSEEN_TILT_SD,
            ),
            // Its widest chord lies across the tilt and keeps its length.
            Self::Sticker { rim, diameter_mm } => {
                (Estimate::new(what, rim, diameter_mm, STICKER_SD_MM)?, 0.0)
            }
            Self::Caliper {
                between: [a, b],
                distance_mm,
            } => {
                if a == b {
                    return Err(ScaleError::SameLandmark { landmark: a });
                }
                let at = |landmark| {
                    landmarks
                        .get(landmark)
                        .ok_or(ScaleError::Missing { landmark })
                };
                let ends = [at(a)?, at(b)?];
                (Estimate::new(what, ends, distance_mm, CALIPER_SD_MM)?, 0.0)
            }
            Self::Iris { rim, .. } => (Estimate::new(what, rim, IRIS_MM, IRIS_SD_MM)?, 0.0),
        };
        let relative_sd = (estimate.relative_variance + tilt_sd * tilt_sd).sqrt();
        Scale::new(estimate.mm_per_px, relative_sd)
    }
}

/// A scale from one tapped length, without what tilt adds.
#[derive(Clone, Copy)]
struct Estimate {
    mm_per_px: f64,
    relative_variance: f64,
}

impl Estimate {
    fn new(
        what: &'static str,
        [a, b]: [Point<Photo>; 2],
        mm: f64,
        sd_mm: f64,
    ) -> Result<Self, ScaleError> {
        if !(mm > 0.0 && mm <= LONGEST_REFERENCE_MM) {
            return Err(ScaleError::Length { what, mm });
        }
        let px = a.distance(b);
        if !px.is_finite() {
            return Err(ScaleError::TapNotFinite { what });
        }
        if px < SHORTEST_REFERENCE_PX {
            return Err(ScaleError::ZeroLength { what, px });
        }
        let (size, taps) = (sd_mm / mm, TAP_SD_PX / px);
        Ok(Self {
            mm_per_px: mm / px,
            // Two taps, each with its own error along the length.
            relative_variance: size * size + 2.0 * taps * taps,
        })
    }
}

/// Both sides of a card, weighted by their uncertainties, once they agree.
fn card_of_both_sides(
    long: [Point<Photo>; 2],
    short: [Point<Photo>; 2],
) -> Result<Estimate, ScaleError> {
    let long = Estimate::new("card", long, CARD_LONG_MM, CARD_LONG_SD_MM)?;
    let short = Estimate::new("card", short, CARD_SHORT_MM, CARD_SHORT_SD_MM)?;
    // Above 1 when the short side looks too short.
    let off = short.mm_per_px / long.mm_per_px;
    let turned = CARD_LONG_MM / CARD_SHORT_MM;
    if (off * turned * turned - 1.0).abs() < 0.1 {
        return Err(ScaleError::CardExchanged);
    }
    if (off - 1.0).abs() > CARD_ASPECT_TOLERANCE {
        return Err(ScaleError::CardTilted {
            off_percent: 100.0 * (off - 1.0),
        });
    }
    let (wl, ws) = (1.0 / long.relative_variance, 1.0 / short.relative_variance);
    Ok(Estimate {
        mm_per_px: (wl * long.mm_per_px + ws * short.mm_per_px) / (wl + ws),
        relative_variance: 1.0 / (wl + ws),
    })
}
