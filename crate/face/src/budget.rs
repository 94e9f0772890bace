//! What makes a measured number uncertain, cause by cause.
//!
//! First-order propagation after JCGM 100:2008 (GUM): the variance is the sum
//! of squares of what each input, moved by its own standard uncertainty,
//! moves the number.

use std::fmt;

use crate::Distance;

/// Why a number is uncertain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// The taps on the places that were measured.
    Taps,
    /// The taps on eyes and nose, through level and midline.
    Level,
    /// The scale.
    Scale,
    /// The face's own unevenness, which moves its midline.
    Unevenness,
    /// A turned or tipped head.
    Pose,
    /// A near camera.
    Distance,
    /// How deep this face is, unlike the typical one.
    Depth,
}

impl Cause {
    /// All, from the hand to the head.
    pub const ALL: [Self; 7] = [
        Self::Taps,
        Self::Level,
        Self::Scale,
        Self::Unevenness,
        Self::Pose,
        Self::Distance,
        Self::Depth,
    ];

    /// Word for it in files: "taps", "level", …
    pub const fn id(self) -> &'static str {
        match self {
            Self::Taps => "taps",
            Self::Level => "level",
            Self::Scale => "scale",
            Self::Unevenness => "unevenness",
            Self::Pose => "pose",
            Self::Distance => "distance",
            Self::Depth => "depth",
        }
    }

    /// In words: "taps on the places measured".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Taps => "taps on the places measured",
            Self::Level => "taps on eyes and nose (level and midline)",
            Self::Scale => "scale",
            Self::Unevenness => "unevenness of the face (midline)",
            Self::Pose => "turned or tipped head",
            Self::Distance => "nearness of the camera",
            Self::Depth => "depth of the face",
        }
    }
}

/// What a number is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Degrees.
    Degrees,
}

impl Unit {
    const fn name(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Degrees => "degrees",
        }
    }
}

/// A number with what makes it uncertain. Shown with k = 2: `1.4 ± 0.3 mm`.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Best estimate.
    pub value: f64,
    /// What it is measured in.
    pub unit: Unit,
    /// Standard uncertainty (k = 1) by cause, in the same unit; a cause that
    /// adds nothing is left out.
    pub parts: Vec<(Cause, f64)>,
}

impl Budget {
    /// Standard uncertainty (k = 1).
    pub fn sd(&self) -> f64 {
        self.parts.iter().map(|(_, sd)| sd * sd).sum::<f64>().sqrt()
    }

    /// Half the interval that holds about 95 % of the true values (k = 2).
    pub fn expanded(&self) -> f64 {
        2.0 * self.sd()
    }

    /// Standard uncertainty by one cause.
    pub fn part(&self, cause: Cause) -> f64 {
        let found = self.parts.iter().find(|(c, _)| *c == cause);
        found.map_or(0.0, |(_, sd)| *sd)
    }

    /// The cause that adds most, and its share of the variance.
    pub fn dominant(&self) -> Option<(Cause, f64)> {
        let variance = self.sd() * self.sd();
        self.parts
            .iter()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(cause, sd)| (*cause, sd * sd / variance))
    }

    /// The number differs from 0 by more than its expanded uncertainty. What
    /// doesn't is not distinguishable from even, and nothing to correct.
    pub fn distinguishable(&self) -> bool {
        self.value.abs() > self.expanded()
    }
}

impl fmt::Display for Budget {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = to_tenth(self.value);
        // Nothing is known to better than a tenth.
        let expanded = self.expanded().max(0.1);
        write!(f, "{value:.1} ± {expanded:.1} {}", self.unit.name())
    }
}

/// Without the minus of a number that is shown as zero.
pub(crate) fn to_tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0 + 0.0
}

impl From<&Budget> for Distance {
    fn from(budget: &Budget) -> Self {
        Self {
            mm: budget.value,
            sd: budget.sd(),
        }
    }
}
