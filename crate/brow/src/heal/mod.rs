//! The healed size: what stays of a drawn brow, and what to draw so that a
//! brow stays.
//!
//! A healed brow is a little smaller all round than it was drawn: about a
//! tenth (common practice, no source; an artist who measures her own healed
//! brows uses her own figure). It is modelled as the points of the drawn brow
//! that lie at least one distance inside it, the same everywhere
//! ([`crate::inset`]); the distance follows from the share of the area, or of
//! the body's thickness, that goes.
//!
//! The inverse adds everything nearer than the distance, and with it arcs at
//! the tip and at the front corners: of all outlines that heal to a given one
//! that is the smallest. Moved in again it gives the given one exactly, as
//! long as no hollow of it is tighter than the distance; otherwise it is
//! refused.

mod distance;
mod gauge;

use ophryon_frames::{Lateral, Point};
use serde::{Deserialize, Serialize};

use self::distance::distance_for;
use self::gauge::Gauge;
use crate::inset::Toward;
use crate::{Brow, Outline};

/// About a tenth smaller (common practice, no source).
pub const USUAL_SHRINK: f64 = 0.1;

/// Largest share that can be asked for (ours): nothing heals to less than half.
pub const LARGEST_SHRINK: f64 = 0.5;

/// A healed tail thinner than this no longer reads as part of the brow, mm
/// (ours: about two passes of a fine line side by side).
pub const THIN_MM: f64 = 1.0;

/// What must be drawn thicker than it will stay by more than this looks bold
/// until it has healed, mm (ours: about two ticks of a ruler).
pub const BOLD_MM: f64 = 1.0;

/// A tail that heals shorter by more than this is said, mm (ours: what a
/// ruler shows and others begin to notice).
const SHORTER_MM: f64 = 1.0;

/// What the share is a share of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShrinkBy {
    /// Of the area.
    #[default]
    Area,
    /// Of the thickness of the body.
    Thickness,
}

impl ShrinkBy {
    /// The name the artist reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Area => "area",
            Self::Thickness => "thickness",
        }
    }
}

/// How much smaller a brow heals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Shrink {
    /// Share that goes, 0 to [`LARGEST_SHRINK`].
    pub share: f64,
    /// Share of what.
    pub by: ShrinkBy,
}

impl Default for Shrink {
    fn default() -> Self {
        Self {
            share: USUAL_SHRINK,
            by: ShrinkBy::default(),
        }
    }
}

impl Shrink {
    /// What keeps it from being used, in words.
    pub fn problem(&self) -> Option<HealError> {
        let sound = (0.0..=LARGEST_SHRINK).contains(&self.share);
        (!sound).then_some(HealError::Share { share: self.share })
    }
}

/// Why there is no healed outline, or none to draw.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum HealError {
    /// No share.
    #[error("{} is no healed shrink; it lies between 0 % and {:.0} %", percent(*share), 100.0 * LARGEST_SHRINK)]
    Share {
        /// As given.
        share: f64,
    },
    /// Nothing is left, or what is left falls into pieces before the share is
    /// reached.
    #[error("the brow is too thin to heal {:.1} % smaller in {}; make it thicker or the shrink smaller", 100.0 * share, by.name())]
    TooThin {
        /// Share asked for.
        share: f64,
        /// Of what.
        by: ShrinkBy,
    },
    /// A hollow tighter than the distance would be filled.
    #[error(
        "no outline heals to this one: it is hollower than {distance_mm:.1} mm somewhere, and what is drawn {distance_mm:.1} mm larger fills that; round it out or make the shrink smaller"
    )]
    TooHollow {
        /// Distance that would be added, mm.
        distance_mm: f64,
    },
    /// The outline crosses itself or has no area.
    #[error("the outline crosses itself, so it has no inside to heal; move its points apart")]
    Crossed,
}

fn percent(share: f64) -> String {
    if share.is_finite() && share.abs() < 1e6 {
        format!("{} %", (share * 1e6).round() / 1e4)
    } else {
        "this".to_owned()
    }
}

/// Thickness where an artist looks for it, mm; 0 where nothing is left.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Thickness {
    /// Along the front edge; of a soft one, just past its rounding.
    pub start_mm: f64,
    /// Halfway from start to peak, across the brow.
    pub body_mm: f64,
    /// Below the peak.
    pub peak_mm: f64,
    /// Halfway from lower arch to tip, across the tail.
    pub tail_mm: f64,
}

impl Thickness {
    /// Every one with its name, from the front to the tail.
    pub fn rows(&self) -> [(&'static str, f64); 4] {
        [
            ("start", self.start_mm),
            ("body", self.body_mm),
            ("peak", self.peak_mm),
            ("tail", self.tail_mm),
        ]
    }
}

/// A brow before or after healing.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Its outline; several where it falls into pieces, the largest first.
    pub outlines: Vec<Outline<Lateral>>,
    /// Area, mm².
    pub area_mm2: f64,
    /// Where an artist looks for it.
    pub thickness: Thickness,
    /// Farthest point from the midline, mm.
    pub reach_mm: f64,
    /// Middle of the front edge.
    pub start: Point<Lateral>,
    /// Upper edge above the peak that was mapped; `None` where nothing is left.
    pub peak: Option<Point<Lateral>>,
    /// Tip of the tail; `None` where nothing is left.
    pub tip: Option<Point<Lateral>>,
}

impl Stage {
    /// A brow as it is drawn.
    pub fn as_drawn(brow: &Brow) -> Self {
        Gauge::of(brow).as_drawn(brow)
    }

    /// Straight distance from start to tip, mm; 0 where nothing is left.
    pub fn length_mm(&self) -> f64 {
        self.tip.map_or(0.0, |tip| self.start.distance(tip))
    }
}

/// A brow as it is drawn and as it heals, side-neutral, before a side's
/// offset.
#[derive(Debug, Clone, PartialEq)]
pub struct Healing {
    /// As it is drawn.
    pub drawn: Stage,
    /// As it heals.
    pub healed: Stage,
    /// Distance between the two outlines, mm.
    pub distance_mm: f64,
    /// How much nearer the start the tip lies once healed, mm.
    pub tail_shorter_mm: f64,
    /// Largest distance of the new outline from the exact one, mm.
    pub within_mm: f64,
}

/// What stays of a drawn brow.
///
/// # Errors
/// [`HealError`]: no share, or too thin for it.
pub fn healed(brow: &Brow, shrink: &Shrink) -> Result<Healing, HealError> {
    if let Some(problem) = shrink.problem() {
        return Err(problem);
    }
    let gauge = Gauge::of(brow);
    let drawn = gauge.as_drawn(brow);
    let keeps = 1.0 - shrink.share;
    if shrink.share == 0.0 {
        return Ok(gauge.healing(drawn.clone(), drawn, 0.0, 0.0));
    }
    let wanted = match shrink.by {
        ShrinkBy::Area => keeps * drawn.area_mm2,
        ShrinkBy::Thickness => keeps * drawn.thickness.body_mm,
    };
    let found = distance_for(&gauge, Toward::Inside, shrink.by, wanted);
    let (distance, m) = found.ok_or(HealError::TooThin {
        share: shrink.share,
        by: shrink.by,
    })?;
    let within = m.within;
    let healed = gauge.of_moved(m, distance);
    Ok(gauge.healing(drawn, healed, distance, within))
}

/// What to draw so that this brow is what stays.
///
/// # Errors
/// [`HealError`]: no share, or a hollow that would be filled.
pub fn to_draw(brow: &Brow, shrink: &Shrink) -> Result<Healing, HealError> {
    if let Some(problem) = shrink.problem() {
        return Err(problem);
    }
    let gauge = Gauge::of(brow);
    let healed = gauge.as_drawn(brow);
    let keeps = 1.0 - shrink.share;
    if shrink.share == 0.0 {
        return Ok(gauge.healing(healed.clone(), healed, 0.0, 0.0));
    }
    let wanted = match shrink.by {
        ShrinkBy::Area => healed.area_mm2 / keeps,
        ShrinkBy::Thickness => healed.thickness.body_mm / keeps,
    };
    let found = distance_for(&gauge, Toward::Outside, shrink.by, wanted);
    let (distance_mm, m) = found.ok_or(HealError::Crossed)?;
    if m.cut {
        return Err(HealError::TooHollow { distance_mm });
    }
    let within = m.within;
    let drawn = gauge.of_moved(m, -distance_mm);
    Ok(gauge.healing(drawn, healed, distance_mm, within))
}

impl Healing {
    /// What there is to say of it, one sentence each, with its millimetres.
    pub fn sentences(&self) -> Vec<String> {
        let (drawn, healed) = (&self.drawn, &self.healed);
        let less = 100.0 * (1.0 - healed.area_mm2 / drawn.area_mm2);
        let mut all = vec![format!(
            "It heals {:.2} mm smaller all round: {less:.1} % less area, {:.1} % less thickness of the body.",
            self.distance_mm,
            100.0 * (1.0 - healed.thickness.body_mm / drawn.thickness.body_mm),
        )];
        if self.tail_shorter_mm > SHORTER_MM {
            all.push(format!(
                "The tip of the tail fades: the tail heals {:.1} mm shorter.",
                self.tail_shorter_mm
            ));
        }
        if healed.outlines.len() > 1 {
            all.push(format!(
                "It is so thin in places that it heals in {} pieces.",
                healed.outlines.len()
            ));
        }
        let mut bold = Vec::new();
        let both = drawn
            .thickness
            .rows()
            .into_iter()
            .zip(healed.thickness.rows());
        for ((name, before), (_, after)) in both {
            if after <= 0.0 {
                all.push(format!(
                    "Too thin at the {name}: of {before:.1} mm nothing stays."
                ));
            } else if after < THIN_MM {
                all.push(format!(
                    "Too thin at the {name} once healed: {after:.1} mm stay of {before:.1} mm, {:.1} mm less than the {THIN_MM:.1} mm that read as part of the brow.",
                    THIN_MM - after
                ));
            }
            if before - after > BOLD_MM {
                bold.push(format!("{name} {before:.1} mm, heals to {after:.1} mm"));
            }
        }
        if !bold.is_empty() {
            all.push(format!(
                "Bold when drawn, by more than {BOLD_MM:.1} mm: {}. Tell her before she looks.",
                bold.join("; ")
            ));
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inset::{Ground, Moved};
    use crate::points::tests::plain;
    use crate::shore::Shore;
    use crate::{Form, Limits, draw};

    fn brow() -> Brow {
        draw(&plain(), &Form::default(), &Limits::default()).unwrap()
    }

    #[test]
    fn a_tenth_of_the_area_goes() {
        let brow = brow();
        let h = healed(&brow, &Shrink::default()).unwrap();
        assert!((h.healed.area_mm2 / h.drawn.area_mm2 - 0.9).abs() < 1e-7);
        assert!((h.drawn.area_mm2 - brow.outline().area()).abs() < 1e-9);
        // About a third of a millimetre; both edges come in by it.
        assert!((0.2..0.5).contains(&h.distance_mm), "{}", h.distance_mm);
        let both = 2.0 * h.distance_mm;
        for ((name, before), (_, after)) in h
            .drawn
            .thickness
            .rows()
            .into_iter()
            .zip(h.healed.thickness.rows())
        {
            let gone = before - after;
            assert!(
                gone > 0.99 * both && gone < 1.35 * both,
                "{name} {gone} {both}"
            );
        }
        assert!(h.within_mm < 1e-3 && h.tail_shorter_mm > h.distance_mm);
        let said = h.sentences();
        assert!(said[0].contains("10.0 % less area"), "{said:?}");
    }

    #[test]
    fn a_tenth_of_the_thickness_goes() {
        let by = ShrinkBy::Thickness;
        let h = healed(&brow(), &Shrink { share: 0.1, by }).unwrap();
        let (before, after) = (h.drawn.thickness.body_mm, h.healed.thickness.body_mm);
        assert!((after / before - 0.9).abs() < 1e-6);
        let up = to_draw(&brow(), &Shrink { share: 0.1, by }).unwrap();
        assert!((up.healed.thickness.body_mm / up.drawn.thickness.body_mm - 0.9).abs() < 1e-6);
    }

    #[test]
    fn what_is_drawn_for_a_brow_heals_to_it() {
        let brow = brow();
        let h = to_draw(&brow, &Shrink::default()).unwrap();
        assert!((h.healed.area_mm2 / h.drawn.area_mm2 - 0.9).abs() < 1e-7);
        // Everywhere thicker by twice the distance or, where edges slant, more.
        let grown = h
            .drawn
            .thickness
            .rows()
            .into_iter()
            .zip(h.healed.thickness.rows());
        for ((name, drawn), (_, healed)) in grown {
            let more = (drawn - healed) / (2.0 * h.distance_mm);
            assert!((0.97..1.35).contains(&more), "{name} {more}");
        }
        let ground = Ground::of(&h.drawn.outlines[0]).unwrap();
        let back: Moved<Lateral> = ground.moved(h.distance_mm, Toward::Inside).unwrap();
        assert_eq!(back.outlines.len(), 1);
        assert!(
            (back.area - brow.outline().area()).abs() < 0.02,
            "{}",
            back.area
        );
        // Each lies on the other, both ways.
        for (one, other) in [
            (&back.outlines[0], brow.outline()),
            (brow.outline(), &back.outlines[0]),
        ] {
            let border = Shore::of(other.segments().iter().map(|s| s.curve()));
            for p in one.sampled(20) {
                assert!(border.is_nearer(p.to_kurbo(), 0.002), "{p:?}");
            }
        }
    }

    #[test]
    fn no_shrink_changes_nothing() {
        for by in [ShrinkBy::Area, ShrinkBy::Thickness] {
            for way in [healed, to_draw] {
                let h = way(&brow(), &Shrink { share: 0.0, by }).unwrap();
                assert_eq!((h.distance_mm, h.tail_shorter_mm), (0.0, 0.0));
                assert_eq!(h.drawn, h.healed);
            }
        }
    }

    #[test]
    fn shares_that_are_none_are_refused_in_words() {
        for share in [1.0, -0.1, 0.51, f64::NAN, f64::INFINITY, 1e300] {
            let shrink = Shrink {
                share,
                by: ShrinkBy::Area,
            };
            let said = healed(&brow(), &shrink).unwrap_err().to_string();
            assert!(said.ends_with("it lies between 0 % and 50 %"), "{said}");
            assert!(to_draw(&brow(), &shrink).is_err());
        }
        let said = Shrink {
            share: 1.0,
            by: ShrinkBy::Area,
        };
        assert_eq!(
            said.problem().unwrap().to_string(),
            "100 % is no healed shrink; it lies between 0 % and 50 %"
        );
    }
}
