//! An agreed shape by itself: its lines and its millimetres, without a photo.

use ophryon_brow::{Outline, Shrink, SideConflict, Stage, healed};
use ophryon_frames::{Side, Sided, Skin};

use super::AgreedShape;
use crate::StageNumbers;

/// What is to be seen of a shape wherever there is no photo: on a second
/// device, on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct AgreedDrawing {
    /// Both outlines on the skin, offsets included.
    pub on_skin: Sided<Outline<Skin>>,
    /// What stays of each, in pieces where it falls apart; empty where so
    /// much shrink leaves nothing.
    pub healed_on_skin: Sided<Vec<Outline<Skin>>>,
    /// Each side as drawn.
    pub drawn: Sided<StageNumbers>,
    /// Each side as healed; `None` where nothing stays.
    pub healed: Sided<Option<StageNumbers>>,
    /// How much smaller that is.
    pub shrink: Shrink,
}

impl AgreedShape {
    /// Draws it.
    ///
    /// # Errors
    /// Points that no brow can be drawn through.
    pub fn drawing(&self) -> Result<AgreedDrawing, SideConflict> {
        let brows = self.pair.draw(&self.limits)?;
        let offset = |side| self.pair.offset.get(side);
        let healing = Sided::from_fn(|side| healed(brows.get(side), &self.shrink).ok());
        let healed_on = |side: Side| {
            let (brow, healing) = (brows.get(side), healing.get(side).as_ref()?);
            let outlines = healing.healed.outlines.iter();
            Some(
                outlines
                    .map(|o| brow.placed_too(o, side, offset(side)))
                    .collect(),
            )
        };
        Ok(AgreedDrawing {
            on_skin: Sided::from_fn(|side| brows.get(side).placed(side, offset(side))),
            healed_on_skin: Sided::from_fn(|side| healed_on(side).unwrap_or_default()),
            drawn: Sided::from_fn(|side| {
                let brow = brows.get(side);
                StageNumbers::of(&Stage::as_drawn(brow), brow, offset(side))
            }),
            healed: Sided::from_fn(|side| {
                let healing = healing.get(side).as_ref()?;
                Some(StageNumbers::of(
                    &healing.healed,
                    brows.get(side),
                    offset(side),
                ))
            }),
            shrink: self.shrink,
        })
    }
}
