//! Skin as the picture needs it. Six tones, from fair to dark.

/// How many tones [`Skin::tone`] knows.
pub const TONES: usize = 6;

/// Colour of the skin; colours are linear light, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skin {
    /// Share of light given back, by red, green, blue.
    pub albedo: [f64; 3],
    /// Colour of the lips.
    pub lips: [f64; 3],
    /// How much warmer cheeks, nose and ears are, 0 to 1.
    pub flush: f64,
    /// Freckles, 0 to 1.
    pub freckles: f64,
    /// How glossy, 0 to 1.
    pub gloss: f64,
    /// How deep light wanders under the skin (factor; dark skin scatters less visibly).
    pub softness: f64,
}

impl Skin {
    /// One of the [`TONES`] tones, 0 the fairest; higher numbers than there are give the last.
    pub fn tone(index: usize) -> Self {
        let (albedo, lips, flush, freckles, gloss, softness) = match index {
            0 => (
                [0.74, 0.495, 0.385],
                [0.52, 0.23, 0.20],
                0.55,
                0.55,
                0.30,
                1.0,
            ),
            1 => (
                [0.67, 0.425, 0.30],
                [0.47, 0.20, 0.17],
                0.45,
                0.15,
                0.34,
                1.0,
            ),
            2 => (
                [0.57, 0.35, 0.235],
                [0.41, 0.17, 0.13],
                0.38,
                0.08,
                0.38,
                0.95,
            ),
            3 => (
                [0.43, 0.245, 0.15],
                [0.33, 0.135, 0.105],
                0.30,
                0.0,
                0.42,
                0.9,
            ),
            4 => (
                [0.265, 0.140, 0.080],
                [0.225, 0.090, 0.072],
                0.22,
                0.0,
                0.40,
                0.8,
            ),
            _ => (
                [0.135, 0.068, 0.040],
                [0.135, 0.055, 0.047],
                0.15,
                0.0,
                0.46,
                0.7,
            ),
        };
        Self {
            albedo,
            lips,
            flush,
            freckles,
            gloss,
            softness,
        }
    }
}
