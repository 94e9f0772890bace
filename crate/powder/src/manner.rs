//! How powder lies: the numbers of the look, each by name.
//!
//! The sizes of dots are from memory (a fine needle leaves dots of some tenths
//! of a millimetre); that the front is light, the tail full, every edge soft,
//! and the healed brow paler, softer and smaller is common practice. All other
//! numbers are ours, chosen by eye on six skin tones.

/// How the powder lies within its outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Manner {
    /// Density at the front edge, as a share of the fullest.
    pub front: f64,
    /// How far along the brow, from 0 to 1, it is fullest.
    pub full_at: f64,
    /// Along the body and the tail density rises from the edge inward over so
    /// many mm.
    pub soft_mm: f64,
    /// The same at the front.
    pub soft_front_mm: f64,
    /// Diameter of a dot, mm.
    pub dot_mm: f64,
    /// Share of a dot's radius over which it fades.
    pub dot_soft: f64,
    /// Distance of dots where the powder is fullest, mm.
    pub spacing_mm: f64,
    /// How much a dot covers, 0 to 1.
    pub dot: f64,
    /// How much the finest powder between the dots covers, 0 to 1.
    pub haze: f64,
    /// How strong the tone is, 0 to 1.
    pub strength: f64,
}

impl Manner {
    /// As it is on the first days: dark, crisp.
    pub const FRESH: Self = Self {
        front: 0.26,
        full_at: 0.64,
        soft_mm: 1.4,
        soft_front_mm: 2.8,
        dot_mm: 0.30,
        dot_soft: 0.9,
        spacing_mm: 0.36,
        dot: 0.36,
        haze: 0.66,
        strength: 0.90,
    };

    /// What stays: paler, softer. That it is smaller as well is in its outline.
    pub const HEALED: Self = Self {
        front: 0.24,
        full_at: 0.68,
        soft_mm: 1.7,
        soft_front_mm: 3.2,
        dot_mm: 0.42,
        dot_soft: 1.2,
        spacing_mm: 0.36,
        dot: 0.20,
        haze: 0.62,
        strength: 0.74,
    };

    /// Density at a place: from 0 outside and on the edge itself to 1.
    pub fn density(&self, place: Place) -> f64 {
        let rise = self.front + (1.0 - self.front) * eased(place.along / self.full_at);
        let body = eased(place.along / FRONT_ENDS);
        let soft_mm = self.soft_front_mm + (self.soft_mm - self.soft_front_mm) * body;
        // Where the brow is thinner than its edges are soft, as at the tip, it
        // is still full in its middle.
        let soft_mm = soft_mm
            .min(SOFT_OF_HALF * place.half_mm)
            .max(THINNEST_SOFT_MM);
        rise * eased(place.depth_mm / soft_mm)
    }
}

/// A place of a brow, as far as its powder follows from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Distance from the nearest edge, mm: positive inside, negative outside.
    pub depth_mm: f64,
    /// How far along the brow: 0 at the front, 1 at the tip.
    pub along: f64,
    /// Half the brow's thickness there, mm.
    pub half_mm: f64,
}

/// Edges are soft over at most this share of half the thickness, and over at
/// least so many mm.
const SOFT_OF_HALF: f64 = 0.95;
const THINNEST_SOFT_MM: f64 = 0.25;

/// How far along the brow its front part reaches.
const FRONT_ENDS: f64 = 0.3;

/// From 0 to 1 with level ends. What is no number counts as 0.
pub(crate) fn eased(t: f64) -> f64 {
    let t = if t > 0.0 { t.min(1.0) } else { 0.0 };
    t * t * (3.0 - 2.0 * t)
}
