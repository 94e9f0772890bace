//! Millimetres per pixel with their uncertainty, and why there may be none.

#[cfg(doc)]
use crate::CARD_ASPECT_TOLERANCE;
use crate::held::MOST_NEARER_MM;
use crate::{LONGEST_REFERENCE_MM, Landmark};

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
    /// Held farther off than it can have been.
    #[error(
        "the {what} is said to be {mm} mm nearer than the brows; say by how much within {MOST_NEARER_MM} mm"
    )]
    HeldAway {
        /// Which reference.
        what: &'static str,
        /// As it was said.
        mm: f64,
    },
    /// A caliper distance between landmarks one behind the other.
    #[error(
        "the {first} and the {second} lie one behind the other, so a photo from the front can't show their distance; choose two landmarks side by side"
    )]
    OneBehindTheOther {
        /// The one.
        first: Landmark,
        /// The other.
        second: Landmark,
    },
    /// No reference at all.
    #[error(
        "nothing of known size is tapped; tap a card, a coin, a ruler or a sticker in the photo"
    )]
    NoReference,
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

    /// Of lengths that are computed, not seen: nothing is uncertain.
    pub(crate) const fn certain(mm_per_px: f64) -> Self {
        Self {
            mm_per_px,
            relative_sd: 0.0,
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
