//! Whether a photo is good enough at the brows and eyes, in numbers and in
//! sentences.

use ophryon_frames::Sided;

/// What is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matter {
    /// px per mm.
    Resolution,
    /// Width of the sharpest edges.
    Sharpness,
    /// Too dark.
    Dark,
    /// Burnt out.
    Bright,
    /// One side lit more than the other.
    Uneven,
    /// Grain.
    Noise,
}

/// How much it matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Can be worked with; worth knowing.
    Mind,
    /// Taking the photo again saves time.
    TakeAgain,
}

/// One thing about the photo that the artist should know.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// What it is about.
    pub matter: Matter,
    /// How much it matters.
    pub weight: Weight,
    /// What is wrong, and the way out.
    pub sentence: String,
}

/// Light on one side, over the skin and hair of brow and eye.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// Median brightness, as a share of the brightest that the photo can show
    /// (linear light, not sRGB).
    pub median: f64,
    /// Share of the px that are burnt out, 0 to 1.
    pub burnt: f64,
    /// Share of the px that are black, 0 to 1.
    pub black: f64,
}

/// What the pixels at brows and eyes say.
#[derive(Debug, Clone, PartialEq)]
pub struct Quality {
    /// Resolution, px per mm.
    pub px_per_mm: f64,
    /// Standard deviation of the blur (of a Gaussian one) on the sharpest
    /// edges, px. `None` where there is no edge that can be judged.
    pub blur_px: Option<f64>,
    /// Standard deviation of the grain, in steps of 255.
    pub grain: f64,
    /// Light on each side.
    pub exposure: Sided<Exposure>,
    /// How many times as much light falls on the brighter side as on the
    /// other, 1 or more.
    pub light_ratio: f64,
    /// What the artist should know; the weightiest first, none for a good photo.
    pub remarks: Vec<Remark>,
}

impl Quality {
    /// From the darkest to the brightest part of the sharpest edges (10 to
    /// 90 %), mm.
    pub fn edge_mm(&self) -> Option<f64> {
        // The Gaussian integral rises from 10 to 90 % over 2.563 deviations.
        Some(2.563 * self.blur_px? / self.px_per_mm)
    }
}
