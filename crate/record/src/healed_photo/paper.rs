//! The touch-up on paper: what is to be filled again, inside the agreed
//! outline, at true size.

use ophryon_agreement::Day;
use ophryon_stencil::{Sheet, SheetOptions, lay_out};

use super::outcome::HealedOutcome;
use crate::{PaperError, Record};

impl Record {
    /// Lays out what is missing as a stencil of its own.
    ///
    /// # Errors
    /// [`PaperError::Sheet`], where it doesn't fit the paper.
    pub fn touch_up_sheet(
        &self,
        outcome: &HealedOutcome,
        options: &SheetOptions,
        day: Option<Day>,
    ) -> Result<Sheet, PaperError> {
        let (then, _) = self.as_agreed();
        let mut content = then.content(&outcome.laid.drawn, options);
        content.touch_up = outcome.touch_up();
        content.caption.made = day.map(Day::in_words);
        let place = &outcome.laid.place_sd_mm;
        content.caption.remark = Some(format!(
            "Touch-up: fill inside the full lines. Places ± {:.1} mm.",
            2.0 * place.right.max(place.left)
        ));
        Ok(lay_out(&content)?)
    }
}
