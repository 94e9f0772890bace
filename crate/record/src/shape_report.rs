//! The shape in `report.json` beyond its outline: healed, among published
//! measures.

use ophryon_brow::{
    Handle, HealError, NO_BEST_RULE, Outline, SeenSide, Shrink, Standing, standing,
};
use ophryon_frames::{Side, Sided, Skin};
use serde::Serialize;

use crate::report::CubicReport;
use crate::{Drawn, HealedSide, StageNumbers};

/// What stays of the shape, and what to draw so that the shape is what stays.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HealedReport {
    /// How much smaller it is taken to heal.
    pub shrink: Shrink,
    /// Of the shape as it is drawn.
    pub as_drawn: Sided<WayReport>,
    /// If the shape is what shall stay.
    pub to_heal_to_this: Sided<WayReport>,
}

/// One way of one side.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum WayReport {
    /// It can be told.
    #[serde(rename_all = "kebab-case")]
    Told {
        /// Between the two outlines, mm.
        distance_mm: f64,
        /// Largest distance of the new outline from the exact one, mm.
        within_mm: f64,
        /// How much nearer the start the tip lies once healed, mm.
        tail_shorter_mm: f64,
        /// In numbers as drawn.
        drawn: StageNumbers,
        /// In numbers as healed.
        healed: StageNumbers,
        /// What there is to say of it.
        sentences: Vec<String>,
        /// The new outline on the skin; several where it falls into pieces.
        outlines: Vec<Vec<CubicReport>>,
    },
    /// It can't.
    #[serde(rename_all = "kebab-case")]
    NotPossible {
        /// Why.
        not_possible: String,
    },
}

impl WayReport {
    fn of(way: &Result<HealedSide, HealError>) -> Self {
        match way {
            Ok(h) => Self::Told {
                distance_mm: h.healing.distance_mm,
                within_mm: h.healing.within_mm,
                tail_shorter_mm: h.healing.tail_shorter_mm,
                drawn: h.drawn,
                healed: h.healed,
                sentences: h.healing.sentences(),
                outlines: h.on_skin.iter().map(cubics).collect(),
            },
            Err(why) => Self::NotPossible {
                not_possible: why.to_string(),
            },
        }
    }
}

/// Where the shape stands among published measures.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct StandingReport {
    /// Why nothing here is called right or wrong.
    pub note: &'static str,
    /// Every measure of each side.
    #[serde(flatten)]
    pub sides: Sided<Vec<Standing>>,
}

impl Drawn {
    /// Where one side stands among published measures, as the camera sees it.
    /// Said, not scored.
    pub fn standing(&self, side: Side) -> Vec<Standing> {
        let at = |handle| {
            let place = self.handle(side, handle)?;
            Some(side.front_as_left(place.front))
        };
        let eyes = &self.measured.eyes;
        let seen = || {
            Some(SeenSide {
                side,
                outline: self.seen.get(side),
                start: at(Handle::Start)?,
                peak: at(Handle::Peak)?,
                lower_arch: at(Handle::LowerArch)?,
                tail: at(Handle::Tail)?,
                eye: eyes.get(side),
                other_outer_corner: eyes.get(side.other()).outer_corner,
            })
        };
        seen().map_or_else(Vec::new, |seen| standing(&seen))
    }

    pub(crate) fn standing_report(&self) -> StandingReport {
        StandingReport {
            note: NO_BEST_RULE,
            sides: Sided::from_fn(|side| self.standing(side)),
        }
    }

    pub(crate) fn healed_report(&self) -> HealedReport {
        HealedReport {
            shrink: self.shrink,
            as_drawn: ways(&self.healed()),
            to_heal_to_this: ways(&self.to_draw()),
        }
    }
}

fn ways(of: &Sided<Result<HealedSide, HealError>>) -> Sided<WayReport> {
    Sided::from_fn(|side| WayReport::of(of.get(side)))
}

/// An outline on the skin, cubic by cubic.
pub(crate) fn cubics(outline: &Outline<Skin>) -> Vec<CubicReport> {
    let one = |s: &ophryon_brow::Segment<Skin>| CubicReport {
        part: s.part,
        skin_mm: s.controls,
    };
    outline.segments().iter().map(one).collect()
}
