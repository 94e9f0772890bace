//! The shapes that are kept, side by side in numbers, and as the camera sees
//! them, to be laid beside each other or shown in turn.

use ophryon_frames::{Side, Sided};
use serde::Serialize;

use crate::{Drawn, Measured, Record, ShapeSource, StageNumbers, StudyError};

/// What the present shape is called while it is not kept.
pub const PRESENT: &str = "Now";

/// One shape among those that are compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct VariantNumbers {
    /// Its number among the kept ones, from 0; `None` for the present shape
    /// where that is not kept.
    pub index: Option<usize>,
    /// It is the one that is drawn and printed now.
    pub present: bool,
    /// Its name.
    pub name: String,
    /// What was noted beside it.
    pub note: String,
    /// The style it began with.
    pub style: Option<String>,
    /// Its numbers; `None` where it can't be drawn.
    pub sides: Option<Sided<ComparedSide>>,
    /// Why it can't be drawn.
    pub problem: Option<String>,
}

/// One side of a compared shape.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ComparedSide {
    /// As drawn.
    pub drawn: StageNumbers,
    /// As healed; `None` where it can't be told.
    pub healed: Option<StageNumbers>,
    /// Why it can't be told.
    pub not_healed: Option<String>,
    /// Every constraint that fails, in a sentence.
    pub failing: Vec<String>,
    /// Share of the natural hair that lies inside, 0 to 1; `None` where it is
    /// not known.
    pub hair_inside: Option<f64>,
    /// Natural hair outside, to be cleaned, mm².
    pub hair_outside_mm2: Option<f64>,
    /// The outline as SVG path data in the design photo's px.
    #[serde(skip)]
    pub path: String,
    /// The healed outline likewise; empty where there is none.
    #[serde(skip)]
    pub healed_path: String,
}

impl Record {
    /// All kept shapes in their order, and after them the present one where it
    /// is none of them.
    ///
    /// # Errors
    /// As [`Record::measured`]: without a photo that can be measured no shape
    /// lies on a face. A single shape that can't be drawn says so by itself.
    pub fn compare(&self) -> Result<Vec<VariantNumbers>, StudyError> {
        Ok(self.compare_on(&self.measured()?))
    }

    /// The same on a photo that is measured already.
    pub(crate) fn compare_on(&self, measured: &Measured) -> Vec<VariantNumbers> {
        let kept = self.kept_as();
        let mut all = Vec::with_capacity(self.variants.len() + 1);
        for (i, variant) in self.variants.iter().enumerate() {
            let Some(record) = self.with_variant(i) else {
                continue;
            };
            let drawn = record.drawn_on(measured.clone());
            all.push(VariantNumbers {
                index: Some(i),
                present: kept == Some(i),
                name: variant.name.clone(),
                note: variant.note.clone(),
                style: variant.style.clone(),
                ..VariantNumbers::of(drawn)
            });
        }
        if kept.is_none() {
            all.push(VariantNumbers::of(self.drawn_on(measured.clone())));
        }
        all
    }
}

impl VariantNumbers {
    fn of(drawn: Result<Drawn, StudyError>) -> Self {
        let drawn = drawn.as_ref();
        let proposed = drawn.is_ok_and(|d| d.source == ShapeSource::Proposal);
        Self {
            index: None,
            present: true,
            name: PRESENT.to_owned(),
            note: if proposed {
                "Proposed from the mapping lines.".to_owned()
            } else {
                String::new()
            },
            style: None,
            sides: drawn.ok().map(sides),
            problem: drawn.err().map(ToString::to_string),
        }
    }
}

fn sides(drawn: &Drawn) -> Sided<ComparedSide> {
    let healed = drawn.healed();
    Sided::from_fn(|side: Side| {
        let healed = healed.get(side).as_ref();
        let hair = drawn.hair_fit.get(side).as_ref();
        let failing = drawn.failing().filter(|(s, _)| *s == side);
        ComparedSide {
            drawn: drawn.stage_numbers(side),
            healed: healed.ok().map(|h| h.healed),
            not_healed: healed.err().map(ToString::to_string),
            failing: failing.map(|(_, r)| r.sentence.clone()).collect(),
            hair_inside: hair.and_then(ophryon_brow::HairFit::share_inside),
            hair_outside_mm2: hair.map(|h| h.outside_mm2),
            path: drawn.photo_path(side),
            healed_path: healed.map_or_else(|_| String::new(), |h| drawn.path_of(&h.seen)),
        }
    })
}
