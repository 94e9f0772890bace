//! How a brow's curve lies where its five points leave it freedom.
//!
//! The points and the limits are kept exactly; a [`Form`] says what the curve
//! does besides: how its front edge ends, how thick it is wished between the
//! points, and which line it stays close to. Wishes give way to points and
//! limits, never the other way round; [`crate::reached`] says what became of
//! them.

use serde::{Deserialize, Serialize};

use crate::Guide;

/// Largest radius of a soft front corner, mm; a brow's whole front is hardly
/// thicker.
pub const SOFTEST_MM: f64 = 15.0;

/// Thinnest and thickest that a brow can be wished, mm. Beyond it a unit is
/// wrong.
pub const THICKNESS_RANGE_MM: (f64, f64) = (0.2, 30.0);

/// Most places along the tail whose thickness can be wished: closer together
/// than a ruler's ticks they could only contradict each other.
pub const MOST_TAIL_WISHES: usize = 8;

/// What is wished of the curve beyond points and limits. The default wishes
/// nothing: square front, thickness and run as they come out fairest.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Form {
    /// How the front edge meets the upper and the lower edge.
    #[serde(skip_serializing_if = "Front::is_square")]
    pub front: Front,
    /// Wished thickness halfway along the body, mm: measured as
    /// [`crate::SideMeasures::thickness_body_mm`] is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body_mm: Option<f64>,
    /// Wished thickness at places along the tail; at most
    /// [`MOST_TAIL_WISHES`], in any order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tail: Vec<TailWish>,
    /// A sketched line or the hair's border to stay close to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guide: Option<Guide>,
    /// The artist's last shape, to stay near where nothing else is asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_shape: Option<Guide>,
    /// How strongly each of these counts.
    #[serde(skip_serializing_if = "Weights::are_usual")]
    pub weights: Weights,
}

/// How the front edge ends above and below.
///
/// A slanted front needs nothing here: the front top and the front bottom may
/// lie at different distances from the midline.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Front {
    /// Two corners, at the front top and the front bottom exactly.
    #[default]
    Square,
    /// Both corners rounded; curvature is continuous there too. The front top
    /// and the front bottom are then where the edges would meet, and the
    /// outline passes inside of them; it keeps to the middle of the front
    /// edge (the start) exactly.
    #[serde(rename_all = "kebab-case")]
    Soft {
        /// Tightest radius of each rounding, mm. Where the front edge is too
        /// short for it, the largest that fits.
        radius_mm: f64,
    },
}

impl Front {
    fn is_square(&self) -> bool {
        *self == Self::Square
    }
}

/// Wished thickness at one place of the tail.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct TailWish {
    /// Where, as a share of the way from the lower arch (0) to the tip (1).
    pub share: f64,
    /// Thickness there, across the tail's axis, mm.
    pub thickness_mm: f64,
}

/// How strongly each aim counts. Only their proportions matter; the minimised
/// sum and what each weight does is in docs/method.md.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Weights {
    /// On the squared change of curvature along both edges: the fairness.
    pub fairness: f64,
    /// On the squared curvature away from the two turns, 1/mm²: runs straight
    /// from the front and out to the tip, as an artist draws them.
    pub straight_runs: f64,
    /// On the squared distance from a sketched line, 1/mm⁶. A wave of the
    /// line as long as 2π times its sixth root is followed by half.
    pub sketch: f64,
    /// The same from the border of the hair.
    pub hair: f64,
    /// The same from the last shape.
    pub last_shape: f64,
    /// On the squared miss of a wished thickness, 1/mm⁵.
    pub thickness: f64,
}

impl Default for Weights {
    /// Ours, chosen by looking at what came out.
    fn default() -> Self {
        Self {
            fairness: 1.0,
            straight_runs: 0.08,
            sketch: 0.03,
            hair: 0.002,
            last_shape: 0.0002,
            thickness: 10.0,
        }
    }
}

/// Heaviest weight; more only makes rounding errors.
const HEAVIEST: f64 = 1e4;

impl Weights {
    fn are_usual(&self) -> bool {
        *self == Self::default()
    }

    fn all(&self) -> [f64; 6] {
        [
            self.fairness,
            self.straight_runs,
            self.sketch,
            self.hair,
            self.last_shape,
            self.thickness,
        ]
    }
}

impl Form {
    /// Wishes nothing.
    pub fn is_default(&self) -> bool {
        *self == Self::default()
    }

    /// The first thing in it that is not a number or makes no sense, in words.
    pub fn problem(&self) -> Option<&'static str> {
        let (thinnest, thickest) = THICKNESS_RANGE_MM;
        let thickness = |mm: f64| (thinnest..=thickest).contains(&mm);
        let soft = match self.front {
            Front::Square => true,
            Front::Soft { radius_mm } => radius_mm > 0.0 && radius_mm <= SOFTEST_MM,
        };
        let along = |w: &TailWish| (0.0..=1.0).contains(&w.share);
        let guides = || self.guide.iter().chain(&self.last_shape);
        let checks = [
            (
                soft,
                "a soft front's radius must lie above 0 and at most 15 mm",
            ),
            (
                self.body_mm.is_none_or(thickness),
                "a body's thickness must lie between 0.2 and 30 mm",
            ),
            (
                self.tail.len() <= MOST_TAIL_WISHES,
                "at most 8 places of the tail can be wished a thickness",
            ),
            (
                self.tail.iter().all(along),
                "a place along the tail must lie between 0 and 1",
            ),
            (
                self.tail.iter().all(|w| thickness(w.thickness_mm)),
                "a tail's thickness must lie between 0.2 and 30 mm",
            ),
            (
                guides().all(Guide::is_plausible),
                "a line to stay close to must lie on the brow: every place of it between the ends of its stretch and within 60 mm",
            ),
            (
                self.weights
                    .all()
                    .into_iter()
                    .all(|w| (0.0..=HEAVIEST).contains(&w)),
                "weights must lie between 0 and 10000",
            ),
            (
                self.weights.fairness >= 1e-3 && self.weights.straight_runs >= 1e-3,
                "fairness and straight-runs must weigh at least 0.001",
            ),
        ];
        checks
            .into_iter()
            .find(|(holds, _)| !holds)
            .map(|(_, words)| words)
    }
}
