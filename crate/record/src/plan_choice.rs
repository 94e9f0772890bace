//! How much of a difference is evened out, and on which side: what was chosen.
//! What follows from it in mm is [`crate::Balance`]'s plan.

use ophryon_frames::Sided;
use serde::{Deserialize, Serialize};

/// Half on the high side, half on the low one (common practice, no source).
pub const USUAL_SHARE: f64 = 0.5;

/// Furthest that the plan takes a brow beyond the border of the natural hair
/// unless told otherwise, mm. Ours: more leaves a strip of hair beside the
/// shape, or of bare skin inside it, that is seen from a step away.
pub const USUAL_BEYOND_HAIR_MM: f64 = 2.0;

/// What is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlanWay {
    /// Start, peak and tail each by their own difference.
    #[default]
    PerPoint,
    /// The whole brow by one.
    OneLift,
}

/// Whether the plan was taken into the shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlanDecision {
    /// Not yet.
    #[default]
    Open,
    /// The pair's offsets follow it.
    Taken,
}

/// How a difference is to be evened out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, rename_all = "kebab-case", deny_unknown_fields)]
pub struct PlanChoice {
    /// Share of the difference that the high side comes down by, 0 to 1; the
    /// low side goes up by the rest.
    pub share: f64,
    /// Most that each side may be moved, up or down, mm; `None` for no cap.
    pub cap_mm: Sided<Option<f64>>,
    /// Furthest that a side may be taken beyond the border of its natural
    /// hair, mm; `None` where the hair is no limit.
    pub beyond_hair_mm: Option<f64>,
    /// What is moved.
    pub way: PlanWay,
    /// Whether it was taken into the shape.
    pub decision: PlanDecision,
}

impl Default for PlanChoice {
    fn default() -> Self {
        Self {
            share: USUAL_SHARE,
            cap_mm: Sided::default(),
            beyond_hair_mm: Some(USUAL_BEYOND_HAIR_MM),
            way: PlanWay::default(),
            decision: PlanDecision::default(),
        }
    }
}
