//! Things of known size in a photo.

use ophryon_frames::{Photo, Point, Side};
use serde::{Deserialize, Serialize};

use crate::log_scale::Sight;
use crate::{Coin, Held, Landmark, Landmarks, Scale, ScaleError, TapSpread};

/// Longest reference that fits beside a face, mm.
pub const LONGEST_REFERENCE_MM: f64 = 500.0;

/// What gives the photo its scale. Lengths in mm, taps in px.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(
    tag = "kind",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Reference {
    /// An ID-1 card.
    Card {
        /// The middles of the two short edges, 85.60 mm apart.
        long: [Point<Photo>; 2],
        /// The middles of the two long edges, 53.98 mm apart. With it a
        /// tilted card is noticed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        short: Option<[Point<Photo>; 2]>,
        /// Where it was held.
        #[serde(default, skip_serializing_if = "is_default")]
        held: Held,
    },
    /// Two marks on a ruler.
    Ruler {
        /// The marks.
        ends: [Point<Photo>; 2],
        /// From the one to the other, mm.
        length_mm: f64,
        /// Where it was held.
        #[serde(default, skip_serializing_if = "is_default")]
        held: Held,
    },
    /// A round sticker on the skin.
    Sticker {
        /// Opposite points of the rim, where it looks widest.
        rim: [Point<Photo>; 2],
        /// Its diameter, mm.
        diameter_mm: f64,
        /// Where it was stuck.
        #[serde(default, skip_serializing_if = "is_default")]
        held: Held,
    },
    /// A coin.
    Coin {
        /// Opposite points of the rim, where it looks widest.
        rim: [Point<Photo>; 2],
        /// Which one.
        coin: Coin,
        /// Where it was held.
        #[serde(default, skip_serializing_if = "is_default")]
        held: Held,
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

fn is_default(held: &Held) -> bool {
    *held == Held::default()
}

impl Reference {
    /// A word for it in sentences.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Card { .. } => "card",
            Self::Ruler { .. } => "ruler",
            Self::Sticker { .. } => "sticker",
            Self::Coin { .. } => "coin",
            Self::Caliper { .. } => "caliper distance",
            Self::Iris { .. } => "iris",
        }
    }

    /// Where it was held; `None` for what is part of the face.
    pub const fn held(&self) -> Option<Held> {
        match self {
            Self::Card { held, .. }
            | Self::Ruler { held, .. }
            | Self::Sticker { held, .. }
            | Self::Coin { held, .. } => Some(*held),
            Self::Caliper { .. } | Self::Iris { .. } => None,
        }
    }

    /// The same reference held elsewhere; what is part of the face stays.
    #[must_use]
    pub const fn held_at(mut self, place: Held) -> Self {
        match &mut self {
            Self::Card { held, .. }
            | Self::Ruler { held, .. }
            | Self::Sticker { held, .. }
            | Self::Coin { held, .. } => *held = place,
            Self::Caliper { .. } | Self::Iris { .. } => {}
        }
        self
    }

    /// Millimetres per pixel in the plane of the brows from this reference
    /// alone, with taps off by as much as they usually are and the camera at
    /// an unknown distance. `landmarks` are looked at only for a caliper
    /// distance. [`crate::Survey`] knows more.
    ///
    /// # Errors
    /// [`ScaleError`], naming what to do.
    pub fn scale(&self, landmarks: &Landmarks) -> Result<Scale, ScaleError> {
        let spread = TapSpread::by_default(self.rough_mm_per_px(landmarks)?);
        let sight = Sight {
            landmarks,
            spread: &spread,
            lens: None,
        };
        let found = self.log_scale(0, &sight)?;
        Scale::new(libm::exp(found.ln), found.variance().sqrt())
    }
}
