//! Hair of head, brows and lashes, the colour of the eyes, and looks that try
//! them out.

use crate::skin::Skin;

/// How the client wears her hair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HairStyle {
    /// Brushed straight back from the face.
    Back,
    /// Parted in the middle and tied behind.
    Parted,
    /// Held back by a broad cloth band.
    Band,
}

/// Colours (linear light, 0 to 1) and style.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hair {
    /// How it is worn.
    pub style: HairStyle,
    /// Hair of the head.
    pub colour: [f64; 3],
    /// Hair of the brows.
    pub brow: [f64; 3],
    /// Lashes.
    pub lash: [f64; 3],
    /// Colour of the iris.
    pub iris: [f64; 3],
    /// Colour of band and clothes.
    pub cloth: [f64; 3],
}

/// Hair colours by plain name: black, dark brown, brown, auburn, fair, grey,
/// very fair.
pub const HAIR_COLOURS: [[f64; 3]; 7] = [
    [0.012, 0.010, 0.010],
    [0.035, 0.020, 0.013],
    [0.085, 0.046, 0.024],
    [0.150, 0.055, 0.022],
    [0.340, 0.215, 0.105],
    [0.300, 0.290, 0.280],
    [0.560, 0.400, 0.245],
];

/// Iris colours: dark brown, brown, hazel, green, grey-blue, blue, nearly
/// black, pale grey.
pub const IRIS_COLOURS: [[f64; 3]; 8] = [
    [0.045, 0.020, 0.010],
    [0.120, 0.055, 0.022],
    [0.160, 0.105, 0.040],
    [0.120, 0.145, 0.065],
    [0.150, 0.200, 0.230],
    [0.100, 0.190, 0.310],
    [0.016, 0.009, 0.006],
    [0.330, 0.380, 0.410],
];

impl Hair {
    /// Hair and brows of one of [`HAIR_COLOURS`], eyes of one of
    /// [`IRIS_COLOURS`]; higher numbers than there are give the last.
    pub fn of(colour: usize, iris: usize, style: HairStyle) -> Self {
        let pick = |table: &[[f64; 3]], i: usize| table[i.min(table.len() - 1)];
        let hair = pick(&HAIR_COLOURS, colour);
        Self {
            style,
            colour: hair,
            // Brows are usually a shade darker than the hair of the head.
            brow: hair.map(|c| c * 0.62),
            lash: hair.map(|c| (c * 0.3).min(0.02)),
            iris: pick(&IRIS_COLOURS, iris),
            cloth: [0.36, 0.40, 0.42],
        }
    }
}

/// A skin with a hair and an iris.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// In words.
    pub name: &'static str,
    /// Its tone.
    pub skin: Skin,
    /// Hair, brows and eyes.
    pub hair: Hair,
}

/// Looks from little contrast between brow and skin to much, each with another
/// iris.
pub fn looks() -> [Look; 8] {
    let look = |name, tone, hair, iris| Look {
        name,
        skin: Skin::tone(tone),
        hair: Hair::of(hair, iris, HairStyle::Back),
    };
    [
        look("fair hair on fair skin, pale eyes", 0, 6, 7),
        look("black hair on fair skin, blue eyes", 0, 0, 5),
        look("auburn hair on fair skin, green eyes", 1, 3, 3),
        look("grey hair on light skin, grey eyes", 1, 5, 4),
        look("brown hair on medium skin, hazel eyes", 2, 2, 2),
        look("dark brown hair on olive skin, brown eyes", 3, 1, 1),
        look("black hair on brown skin, dark eyes", 4, 0, 0),
        look("black hair on dark skin, nearly black eyes", 5, 0, 6),
    ]
}

impl Default for Hair {
    fn default() -> Self {
        Self::of(2, 1, HairStyle::Back)
    }
}
