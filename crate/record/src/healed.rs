//! What stays of the shape, on this face: on the skin, as the camera sees it,
//! and in numbers beside the drawn ones.

use ophryon_brow::{
    Brow, Handle, HealError, Healing, Offset, Outline, Shrink, Stage, healed, to_draw,
};
use ophryon_frames::{Front, Lateral, Photo as Px, Point, Side, Sided, Skin};
use serde::Serialize;

use crate::Drawn;
use crate::drawn::svg_path;

/// One side before and after healing.
#[derive(Debug, Clone, PartialEq)]
pub struct HealedSide {
    /// Side-neutral, before the offset.
    pub healing: Healing,
    /// What the healing ends in ([`Drawn::healed`]) or begins with
    /// ([`Drawn::to_draw`]), on the skin; several outlines where it falls into
    /// pieces.
    pub on_skin: Vec<Outline<Skin>>,
    /// The same as the camera sees it.
    pub seen: Vec<Outline<Front>>,
    /// As drawn.
    pub drawn: StageNumbers,
    /// As healed.
    pub healed: StageNumbers,
}

/// A brow in numbers, offset included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct StageNumbers {
    /// Along the front edge, mm; of a soft one, past its rounding.
    pub thickness_start_mm: f64,
    /// Halfway from start to peak, across the brow, mm.
    pub thickness_body_mm: f64,
    /// Below the peak, mm.
    pub thickness_peak_mm: f64,
    /// Halfway from lower arch to tip, across the tail, mm.
    pub thickness_tail_mm: f64,
    /// Straight from start to tip, mm.
    pub length_mm: f64,
    /// Upper edge at the peak above the pupil line, mm; `None` where nothing
    /// of it stays.
    pub peak_height_mm: Option<f64>,
    /// Enclosed, mm².
    pub area_mm2: f64,
}

impl StageNumbers {
    /// A stage of a brow that is displaced by an offset.
    pub(crate) fn of(stage: &Stage, brow: &Brow, offset: &Offset) -> Self {
        let about = brow.points().at(Handle::Start);
        Self {
            thickness_start_mm: stage.thickness.start_mm,
            thickness_body_mm: stage.thickness.body_mm,
            thickness_peak_mm: stage.thickness.peak_mm,
            thickness_tail_mm: stage.thickness.tail_mm,
            length_mm: stage.length_mm(),
            peak_height_mm: stage.peak.map(|p| offset.apply(p, about).y),
            area_mm2: stage.area_mm2,
        }
    }

    /// Every number with its id and its name; heights and lengths in mm, the
    /// area in mm².
    pub fn rows(&self) -> [(&'static str, &'static str, Option<f64>); 7] {
        [
            (
                "thickness-start",
                "thickness, start (mm)",
                Some(self.thickness_start_mm),
            ),
            (
                "thickness-body",
                "thickness, body (mm)",
                Some(self.thickness_body_mm),
            ),
            (
                "thickness-peak",
                "thickness, peak (mm)",
                Some(self.thickness_peak_mm),
            ),
            (
                "thickness-tail",
                "thickness, tail (mm)",
                Some(self.thickness_tail_mm),
            ),
            ("length", "length, start to tip (mm)", Some(self.length_mm)),
            (
                "peak-height",
                "peak above the pupil line (mm)",
                self.peak_height_mm,
            ),
            ("area", "area (mm²)", Some(self.area_mm2)),
        ]
    }
}

impl Drawn {
    /// What stays of each side at the record's shrink, or why nothing does.
    /// Computed when it is asked for.
    pub fn healed(&self) -> Sided<Result<HealedSide, HealError>> {
        self.healed_by(&self.shrink)
    }

    /// The same at another shrink, as while a slider is dragged.
    pub fn healed_by(&self, shrink: &Shrink) -> Sided<Result<HealedSide, HealError>> {
        self.both_ways(|brow| healed(brow, shrink), |h| &h.healed)
    }

    /// What to draw on each side so that the shape is what stays, or why it
    /// can't be done.
    pub fn to_draw(&self) -> Sided<Result<HealedSide, HealError>> {
        self.both_ways(|brow| to_draw(brow, &self.shrink), |h| &h.drawn)
    }

    fn both_ways(
        &self,
        way: impl Fn(&Brow) -> Result<Healing, HealError>,
        shown: impl Fn(&Healing) -> &Stage,
    ) -> Sided<Result<HealedSide, HealError>> {
        // Linked sides are one brow: it heals once.
        let master = self.pair.master;
        let first = way(self.brows.get(master));
        let other = if self.pair.is_linked() {
            first.clone()
        } else {
            way(self.brows.get(master.other()))
        };
        let (right, left) = match master {
            Side::Right => (first, other),
            Side::Left => (other, first),
        };
        let placed = |side, healing: Result<Healing, HealError>| {
            healing.map(|healing| self.placed_on(side, shown(&healing).outlines.clone(), healing))
        };
        Sided {
            right: placed(Side::Right, right),
            left: placed(Side::Left, left),
        }
    }

    fn placed_on(
        &self,
        side: Side,
        outlines: Vec<Outline<Lateral>>,
        healing: Healing,
    ) -> HealedSide {
        let (brow, offset) = (self.brows.get(side), self.pair.offset.get(side));
        let on_skin: Vec<_> = outlines
            .iter()
            .map(|outline| brow.placed_too(outline, side, offset))
            .collect();
        let wrap = self.measured.wrap.get(side);
        HealedSide {
            seen: on_skin.iter().map(|o| o.seen(wrap)).collect(),
            on_skin,
            drawn: self.numbers(side, &healing.drawn),
            healed: self.numbers(side, &healing.healed),
            healing,
        }
    }

    /// One side as it is drawn, in the numbers that healing is told in.
    pub fn stage_numbers(&self, side: Side) -> StageNumbers {
        self.numbers(side, &Stage::as_drawn(self.brows.get(side)))
    }

    fn numbers(&self, side: Side, stage: &Stage) -> StageNumbers {
        StageNumbers::of(stage, self.brows.get(side), self.pair.offset.get(side))
    }

    /// Outlines as the camera sees them as SVG path data in the photo's px, to
    /// a hundredth.
    pub fn path_of(&self, seen: &[Outline<Front>]) -> String {
        let frame = &self.measured.levelled.survey.frame;
        let px = |controls: [Point<Front>; 4]| controls.map(|p| frame.to_photo(p));
        let one = |outline: &Outline<Front>| {
            let cubics = outline.segments().iter().map(|s| px(s.controls));
            svg_path(&cubics.collect::<Vec<[Point<Px>; 4]>>())
        };
        seen.iter().map(one).collect()
    }
}
