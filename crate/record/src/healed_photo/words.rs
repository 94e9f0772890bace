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
        let whose = self.laid.shape.name();
        if area.share + 2.0 * area.sd >= 1.0 && area.share - 2.0 * area.sd <= 1.0 {
            return format!(
                "The brows kept {} of the {whose} area: not distinguishable from all of it.",
                area.words()
            );
        }
        format!("The brows kept {} of the {whose} area.", area.words())
    }

    /// All that is to be said, one sentence each; what wants a look is marked.
    pub fn sentences(&self) -> Vec<(bool, String)> {
        let mut all = Vec::new();
        for (side, checked) in self.sides.iter() {
            match checked {
                Ok(checked) => all.extend(checked.sentences(side, self.laid.shape.name())),
                Err(why) => all.push((true, format!("Client's {}: {why}.", side.name()))),
            }
        }
        all.extend(
            self.evenness
                .iter()
                .map(|row| (row.is_off(), row.sentence(self.laid.shape.name()))),
        );
        all.extend(self.laid.cautions.iter().map(|c| (true, c.clone())));
        all
    }

    /// How the agreed shape lies in the photo.
    pub fn fit_words(&self) -> String {
        let place = self.laid.place_sd_mm.right.max(self.laid.place_sd_mm.left);
        format!(
            "Measured against {}. Eye corners and nose of both photos lie {:.1} mm apart on average, which is an error and no distance; the outline's place on the brow is sure to ± {:.1} mm.",
            self.laid.shape.words(),
            self.laid.alignment.rms_mm,
            2.0 * place
        )
    }
}

impl CheckedSide {
    fn sentences(&self, side: Side, whose: &str) -> Vec<(bool, String)> {
        let name = format!("Client's {}", side.name());
        let mut all = vec![(
            false,
            format!(
                "{name}: area kept {}, thickness kept {}.",
                self.area.words(),
                self.thickness.words()
            ),
        )];
        // The largest comes first.
        let pieces = self.missing.iter().map(super::Missing::sentence);
        all.extend(pieces.map(|words| (true, format!("{name}: {}", in_sentence(&words)))));
        if self.spill_mm2 >= LEAST_SPILL_MM2 {
            all.push((
                true,
                format!(
                    "{name}: about {:.0} mm² lie farther beyond the {whose} outline than its place is sure.",
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

/// A sentence after a name and a colon.
fn in_sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_ascii_lowercase());
    first.into_iter().chain(letters).collect()
}

impl EvenRow {
    /// "At the peak …"; `whose` shape it was held against: "agreed", "drawn".
    pub fn sentence(&self, whose: &str) -> String {
        let place = match self.place {
            BrowPlace::Start => "start",
            BrowPlace::Peak => "peak",
            BrowPlace::Tail => "tail",
        };
        let off = self.off();
        if !self.is_off() {
            return format!(
                "At the {place}: no difference larger than {:.1} mm from right and left as {whose} was seen ({}).",
                2.0 * off.sd,
                off.to_string().replace('-', "\u{2212}")
            );
        }
        let higher = if off.mm > 0.0 { "right" } else { "left" };
        format!(
            "At the {place} the client's {higher} brow stands {:.1} ± {:.1} mm higher against the other than {whose}.",
            off.mm.abs(),
            2.0 * off.sd
        )
    }
}

#[cfg(test)]
mod tests {
    use ophryon_face::Distance;

    use super::*;

    fn row(off_mm: f64) -> EvenRow {
        EvenRow {
            place: BrowPlace::Peak,
            planned_mm: 0.5,
            now: Distance {
                mm: 0.5 + off_mm,
                sd: 0.6,
            },
        }
    }

    #[test]
    fn what_was_not_seen_is_told_by_how_much_would_have_been() {
        assert_eq!(
            row(-0.8).sentence("agreed"),
            "At the peak: no difference larger than 1.2 mm from right and left as agreed was seen (\u{2212}0.8 ± 1.2 mm)."
        );
        assert_eq!(
            row(-1.8).sentence("drawn"),
            "At the peak the client's left brow stands 1.8 ± 1.2 mm higher against the other than drawn."
        );
    }
}
