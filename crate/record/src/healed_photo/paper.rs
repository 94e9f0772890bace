//! The touch-up on paper: what is to be filled again, inside the agreed
//! outline, at true size.

use ophryon_agreement::Day;
use ophryon_stencil::{Sheet, SheetOptions, lay_out};

use super::outcome::HealedOutcome;
use crate::{PaperError, Record, VisitKind};

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
        let mut remark = format!(
            "Fill inside the full lines. Places ± {:.1} mm.",
            2.0 * place.right.max(place.left)
        );
        if let Some(day) = self.day_of_healed(&outcome.laid.photo) {
            remark.push_str(&format!(" Photo of {}.", day.in_words()));
        }
        content.caption.remark = Some(remark);
        Ok(lay_out(&content)?)
    }

    /// The day of the visit that a photo of the healed brows was measured at:
    /// the one that keeps its numbers, else the latest after the first session.
    fn day_of_healed(&self, photo: &str) -> Option<Day> {
        let log = self.visit_log();
        let of_photo = log.iter().find(|(_, visit)| {
            let check = visit.healed.as_deref();
            check.and_then(|c| c.photo.as_deref()) == Some(photo)
        });
        let not_yet_kept = || {
            let mut open = log.iter().rev();
            open.find(|(_, v)| v.kind != VisitKind::FirstSession && v.healed.is_none())
        };
        let (_, visit) = of_photo.or_else(not_yet_kept)?;
        Some(visit.day)
    }
}
