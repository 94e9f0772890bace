//! Tones by names of our own, as plain colours.

/// A tone of pigment as it looks on pale skin when it lies close.
///
/// Names and values are invented for this project: a tone is an impression to
/// talk about on a screen, no promise of what a certain pigment will look like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Tone {
    /// Very light, golden.
    RipeBarley,
    /// Light and cool.
    AshTwig,
    /// Light brown, warm.
    DryFern,
    /// Middle brown, reddish.
    FoxCoat,
    /// Middle brown, neutral.
    #[default]
    RiverClay,
    /// Middle brown, warm.
    AcornShell,
    /// Dark brown, cool.
    WetBark,
    /// Very dark, neutral.
    DeepPeat,
}

impl Tone {
    /// From light to dark.
    pub const ALL: [Self; 8] = [
        Self::RipeBarley,
        Self::AshTwig,
        Self::DryFern,
        Self::FoxCoat,
        Self::RiverClay,
        Self::AcornShell,
        Self::WetBark,
        Self::DeepPeat,
    ];

    /// A word for files, messages and tests; never changes.
    pub const fn id(self) -> &'static str {
        match self {
            Self::RipeBarley => "ripe-barley",
            Self::AshTwig => "ash-twig",
            Self::DryFern => "dry-fern",
            Self::FoxCoat => "fox-coat",
            Self::RiverClay => "river-clay",
            Self::AcornShell => "acorn-shell",
            Self::WetBark => "wet-bark",
            Self::DeepPeat => "deep-peat",
        }
    }

    /// The tone with that id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|tone| tone.id() == id)
    }

    /// The name that is read, in English.
    pub const fn name(self) -> &'static str {
        match self {
            Self::RipeBarley => "Ripe barley",
            Self::AshTwig => "Ash twig",
            Self::DryFern => "Dry fern",
            Self::FoxCoat => "Fox coat",
            Self::RiverClay => "River clay",
            Self::AcornShell => "Acorn shell",
            Self::WetBark => "Wet bark",
            Self::DeepPeat => "Deep peat",
        }
    }

    /// Red, green and blue, sRGB (IEC 61966-2-1), 0 to 255.
    pub const fn srgb(self) -> [u8; 3] {
        match self {
            Self::RipeBarley => [184, 152, 112],
            Self::AshTwig => [152, 138, 124],
            Self::DryFern => [150, 118, 92],
            Self::FoxCoat => [140, 92, 72],
            Self::RiverClay => [124, 100, 84],
            Self::AcornShell => [112, 82, 62],
            Self::WetBark => [88, 76, 70],
            Self::DeepPeat => [62, 53, 48],
        }
    }

    /// As CSS writes it: `#rrggbb`.
    pub fn css(self) -> String {
        let [red, green, blue] = self.srgb();
        format!("#{red:02x}{green:02x}{blue:02x}")
    }
}
