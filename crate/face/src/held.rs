//! Where a thing of known size was while the photo was taken: in the plane of
//! the brows, or nearer, or farther off.
//!
//! A thing nearer to the camera looks larger. With the camera d away from the
//! brows and the thing Δ in front of them, its millimetres per px are too few
//! by Δ/(d - Δ) (pinhole): 10 mm are 3.4 % at 0.3 m and 0.84 % at 1.2 m.

use serde::{Deserialize, Serialize};

/// Where a card, ruler, sticker or coin was held.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(
    tag = "where",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Held {
    /// Beside the face, as far from the camera as the brows.
    #[default]
    BrowPlane,
    /// Flat on the middle of the forehead, above the brows.
    Forehead,
    /// Flat on the front of the chin.
    Chin,
    /// Flat on a cheek, below the eye.
    Cheek,
    /// As the artist says.
    Nearer {
        /// How much nearer to the camera than the brows, mm; negative is
        /// farther off.
        mm: f64,
    },
}

/// Largest distance from the plane of the brows that can be said, mm.
pub const MOST_NEARER_MM: f64 = 200.0;

impl Held {
    /// All but what the artist says in millimetres.
    pub const PLACES: [Self; 4] = [Self::BrowPlane, Self::Forehead, Self::Chin, Self::Cheek];

    /// How much nearer to the camera than the plane of the brows, and its
    /// standard uncertainty, mm.
    ///
    /// By hand a thing is held within about 10 mm of where it should be (ours),
    /// so 5. Forehead, chin and cheek from vertices 151, 199 and 280 of the
    /// mean face (see `typical`), with the spread between people.
    pub const fn nearer_mm(self) -> (f64, f64) {
        match self {
            Self::BrowPlane => (0.0, 5.0),
            Self::Forehead => (7.0, 4.0),
            Self::Chin => (8.0, 6.0),
            Self::Cheek => (-8.0, 5.0),
            Self::Nearer { mm } => (mm, 3.0),
        }
    }

    /// In words, after "held": "in the plane of the brows".
    pub fn words(self) -> String {
        match self {
            Self::BrowPlane => "in the plane of the brows".to_owned(),
            Self::Forehead => "on the forehead".to_owned(),
            Self::Chin => "on the chin".to_owned(),
            Self::Cheek => "on a cheek".to_owned(),
            Self::Nearer { mm } if mm < 0.0 => format!("{:.0} mm behind the brows", -mm),
            Self::Nearer { mm } => format!("{mm:.0} mm in front of the brows"),
        }
    }
}
