//! The constraints' tolerances and what the artist asks of the curve.

use serde::{Deserialize, Serialize};

/// What every outline must keep to. All lengths in mm on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Limits {
    /// Largest distance of the top line from its chord, mm.
    pub straight_mm: f64,
    /// Smallest radius of curvature of the upper edge, mm.
    pub peak_radius_mm: f64,
    /// Least distance of the lower arch behind the peak, mm.
    pub arch_behind_least_mm: f64,
    /// The usual distance of the lower arch behind the peak, mm.
    pub arch_behind_mm: f64,
    /// Largest distance of the lower arch behind the peak, mm.
    pub arch_behind_most_mm: f64,
    /// Largest angle between the tail's axis and the direction to the ear, degrees.
    pub aim_degrees: f64,
    /// Most changes of bend that either edge may make.
    pub inflections: u32,
    /// Length of the rounding before the peak as a share of front top to peak.
    pub rounding: f64,
    /// Least share of the hair that must lie inside (0 to 1); `None` only shows it.
    pub hair_inside_least: Option<f64>,
    /// Largest step beyond the hair border, mm; `None` only shows it.
    pub hair_step_most_mm: Option<f64>,
}

impl Default for Limits {
    /// Common practice, without a source, for what is asked; the numbers are ours.
    fn default() -> Self {
        Self {
            straight_mm: 0.2,
            peak_radius_mm: 4.0,
            arch_behind_least_mm: 0.5,
            arch_behind_mm: 1.5,
            arch_behind_most_mm: 4.0,
            aim_degrees: 2.0,
            inflections: 0,
            rounding: 0.35,
            hair_inside_least: None,
            hair_step_most_mm: None,
        }
    }
}

impl Limits {
    /// The first limit that is not a number or makes no sense, in words.
    pub fn problem(&self) -> Option<&'static str> {
        let positive = |v: f64| v.is_finite() && v > 0.0;
        let checks = [
            (
                positive(self.straight_mm),
                "straight-mm must be a number above 0",
            ),
            (
                positive(self.peak_radius_mm),
                "peak-radius-mm must be a number above 0",
            ),
            (
                positive(self.aim_degrees),
                "aim-degrees must be a number above 0",
            ),
            (
                positive(self.arch_behind_least_mm)
                    && self.arch_behind_least_mm <= self.arch_behind_mm
                    && self.arch_behind_mm <= self.arch_behind_most_mm
                    && self.arch_behind_most_mm.is_finite(),
                "arch-behind limits must be numbers above 0 in the order least, usual, most",
            ),
            (
                self.rounding.is_finite() && (0.05..=0.9).contains(&self.rounding),
                "rounding must lie between 0.05 and 0.9",
            ),
            (
                self.hair_inside_least
                    .is_none_or(|v| (0.0..=1.0).contains(&v)),
                "hair-inside-least must lie between 0 and 1",
            ),
            (
                self.hair_step_most_mm.is_none_or(positive),
                "hair-step-most-mm must be a number above 0",
            ),
        ];
        checks
            .into_iter()
            .find(|(holds, _)| !holds)
            .map(|(_, words)| words)
    }
}
