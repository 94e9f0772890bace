//! What healed, in sentences. Nothing is said that its uncertainty doesn't
//! carry.

use ophryon_face::BrowPlace;
use ophryon_frames::Side;

use super::even::EvenRow;
use super::outcome::{CheckedSide, HealedOutcome, WayKept};
use crate::MeasuredShare;

/// More of a brow than this under hair is said.
const MUCH_HAIR: f64 = 0.1;
/// Less spill than this is none, mm².
const LEAST_SPILL_MM2: f64 = 1.0;

impl MeasuredShare {
    /// "86 ± 3 %", k = 2.
    pub fn words(&self) -> String {
        format!(
            "{:.0} ± {:.0}\u{a0}%",
            100.0 * self.share,
            (200.0 * self.sd).max(1.0)
        )
    }
}

impl HealedOutcome {
    /// The one sentence that matters.
    pub fn headline(&self) -> String {
        let Some(area) = self.together(WayKept::Area) else {
            return "Neither brow could be measured in this photo.".to_owned();
        };
        if area.share + 2.0 * area.sd >= 1.0 && area.share - 2.0 * area.sd <= 1.0 {
            return format!(
                "The brows kept {} of the agreed area: not distinguishable from all of it.",
                area.words()
            );
        }
        format!("The brows kept {} of the agreed area.", area.words())
    }

    /// All that is to be said, one sentence each; what wants a look is marked.
    pub fn sentences(&self) -> Vec<(bool, String)> {
        let mut all = Vec::new();
        for (side, checked) in self.sides.iter() {
            match checked {
                Ok(checked) => all.extend(checked.sentences(side)),
                Err(why) => all.push((true, format!("Client's {}: {why}.", side.name()))),
            }
        }
        all.extend(
            self.evenness
                .iter()
                .map(|row| (row.is_off(), row.sentence())),
        );
        all.extend(self.laid.cautions.iter().map(|c| (true, c.clone())));
        all
    }

    /// How the agreed shape lies in the photo.
    pub fn fit_words(&self) -> String {
        let place = self.laid.place_sd_mm.right.max(self.laid.place_sd_mm.left);
        format!(
            "Measured against {}. It fits the photo to {:.1} mm at eye corners and nose; its place on the brow is sure to {:.1} mm.",
            self.laid.shape.words(),
            self.laid.alignment.rms_mm,
            2.0 * place
        )
    }
}

impl CheckedSide {
    fn sentences(&self, side: Side) -> Vec<(bool, String)> {
        let name = format!("Client's {}", side.name());
        let mut all = vec![(
            false,
            format!(
                "{name}: area kept {}, thickness kept {}.",
                self.area.words(),
                self.thickness.words()
            ),
        )];
        if !self.missing.is_empty() {
            let pieces: Vec<_> = self.missing.iter().map(super::Missing::words).collect();
            all.push((true, format!("{name}: missing are {}.", pieces.join(", "))));
        }
        if self.spill_mm2 >= LEAST_SPILL_MM2 {
            all.push((
                true,
                format!(
                    "{name}: {:.1} mm² lie beyond the agreed outline.",
                    self.spill_mm2
                ),
            ));
        }
        if self.under_hair >= MUCH_HAIR {
            all.push((
                true,
                format!(
                    "{name}: under {:.0} % of the brow hair stands too close to tell powder from hair; it counts as kept.",
                    100.0 * self.under_hair
                ),
            ));
        }
        all
    }
}

impl EvenRow {
    /// "At the peak …".
    pub fn sentence(&self) -> String {
        let place = match self.place {
            BrowPlace::Start => "start",
            BrowPlace::Peak => "peak",
            BrowPlace::Tail => "tail",
        };
        let off = self.off();
        if !self.is_off() {
            return format!(
                "At the {place} right and left stand as agreed: off by {off}, not distinguishable from none."
            );
        }
        let higher = if off.mm > 0.0 { "right" } else { "left" };
        format!(
            "At the {place} the client's {higher} brow stands {:.1} ± {:.1} mm higher against the other than agreed.",
            off.mm.abs(),
            2.0 * off.sd
        )
    }
}
