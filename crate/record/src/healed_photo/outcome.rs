//! What was kept, with how sure that is.

use ophryon_frames::{Point, Side, Sided, Skin};
use ophryon_photo::{Columns, FIFTHS, Measured, NoPigment};

use super::even::{EvenRow, rows};
use super::lay::LaidOver;
use super::missing::Missing;
use crate::visits::{LEAST_SHARE_SD, MOST_KEPT, MOST_SHARE_SD};
use crate::{HealedCheck, Kept, MeasuredShare, Record, SkinType, VisitKind};

/// One healed brow against what was agreed.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedSide {
    /// Of the agreed area.
    pub area: MeasuredShare,
    /// Of the thickness, mean over the body.
    pub thickness: MeasuredShare,
    /// Of the thickness by fifths, from the start to the tip.
    pub fifths: [MeasuredShare; FIFTHS],
    /// How much darker than the skin round it the middle of the brow is.
    pub darkness: MeasuredShare,
    /// How many standard deviations of the skin the powder lies from it.
    pub apart: f64,
    /// Agreed area, mm².
    pub drawn_mm2: f64,
    /// Filled beyond the outline, farther than that may lie beside its place,
    /// mm².
    pub spill_mm2: f64,
    /// Share of the agreed area where hairs stand too close to tell powder by;
    /// it counts as filled.
    pub under_hair: f64,
    /// What is missing, the largest first.
    pub missing: Vec<Missing>,
    /// Closed lines round what is filled.
    pub edge: Vec<Vec<Point<Skin>>>,
    columns: Columns,
}

/// Which way both sides together were kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WayKept {
    /// Of the area.
    Area,
    /// Of the thickness.
    Thickness,
}

/// Both brows.
#[derive(Debug, Clone, PartialEq)]
pub struct HealedOutcome {
    /// Against what, and how that lies in the photo.
    pub laid: LaidOver,
    /// Each side, or why it isn't measured.
    pub sides: Sided<Result<CheckedSide, NoPigment>>,
    /// Right against left, at the places where both healed.
    pub evenness: Vec<EvenRow>,
}

impl HealedOutcome {
    /// From what the photo's pixels say of each side.
    pub fn of(laid: LaidOver, found: &Sided<Result<Measured, NoPigment>>) -> Self {
        let sides = Sided::from_fn(|side| match found.get(side) {
            Ok(measured) => Ok(CheckedSide::of(&laid, side, measured)),
            Err(why) => Err(*why),
        });
        let columns = Sided::from_fn(|side| {
            let checked: &Result<CheckedSide, _> = sides.get(side);
            checked.as_ref().ok().map(|c| &c.columns)
        });
        let evenness = rows(&laid, &columns);
        Self {
            laid,
            sides,
            evenness,
        }
    }

    /// What a visit keeps of it; the pigment and the client's skin are the
    /// artist's to tell. How much lighter it became is known where the brows
    /// were measured on the day of the first session, and nowhere else.
    pub fn check(
        &self,
        record: &Record,
        pigment: &str,
        skin_type: Option<SkinType>,
    ) -> HealedCheck {
        let on_the_day = on_the_day(record, &self.laid.photo);
        HealedCheck {
            photo: Some(self.laid.photo.clone()),
            kept: Sided::from_fn(|side| {
                let one = self.sides.get(side).as_ref().ok()?;
                let then = on_the_day.and_then(|check| check.kept.get(side).as_ref()?.darkness);
                Some(Kept {
                    area: one.area,
                    thickness: one.thickness,
                    lightening: then.and_then(|then| lighter(then, one.darkness)),
                    darkness: Some(one.darkness),
                })
            }),
            pigment: pigment.to_owned(),
            skin_type,
        }
    }

    /// Both sides together; `None` where neither is measured.
    pub fn together(&self, way: WayKept) -> Option<MeasuredShare> {
        let all: Vec<MeasuredShare> = self
            .sides
            .iter()
            .filter_map(|(_, side)| side.as_ref().ok())
            .map(|side| match way {
                WayKept::Area => side.area,
                WayKept::Thickness => side.thickness,
            })
            .collect();
        let n = all.len() as f64;
        let mean = |of: fn(&MeasuredShare) -> f64| all.iter().map(of).sum::<f64>() / n;
        // Mostly the same causes on both sides, so they don't shrink.
        (n > 0.0).then(|| share(mean(|s| s.share), mean(|s| s.sd)))
    }

    /// Whether there is anything to fill again.
    pub fn any_missing(&self) -> bool {
        let mut sides = self.sides.iter();
        sides.any(|(_, side)| side.as_ref().is_ok_and(|s| !s.missing.is_empty()))
    }

    /// The closed lines of the touch-up, by side.
    pub fn touch_up(&self) -> Sided<Vec<Vec<Point<Skin>>>> {
        Sided::from_fn(|side| {
            let checked = self.sides.get(side).as_ref().ok();
            let pieces = checked.into_iter().flat_map(|c| &c.missing);
            pieces.flat_map(|m| m.lines.iter().cloned()).collect()
        })
    }
}

impl CheckedSide {
    fn of(laid: &LaidOver, side: Side, found: &Measured) -> Self {
        let grid = laid.grid(side);
        let view = laid.view_share(side);
        // An area goes with the square of the scale, a thickness with it.
        let area_sd = |kept: f64, sd: f64| {
            let scale = 2.0 * laid.scale_sd * kept;
            root([sd, scale, view * kept])
        };
        let thickness_sd = |kept: f64, sd: f64| root([sd, laid.scale_sd * kept, 0.0]);
        let mut fifths = [share(0.0, 0.5); FIFTHS];
        for (n, one) in fifths.iter_mut().enumerate() {
            let kept = found.kept.fifths[n];
            // A fifth is short: where it begins in the photo counts.
            let beside = laid.place_sd_mm.get(side) / 10.0;
            *one = share(kept, root([found.sd.fifths[n], laid.scale_sd, beside]));
        }
        Self {
            area: share(found.kept.area, area_sd(found.kept.area, found.sd.area)),
            thickness: share(
                found.kept.thickness,
                thickness_sd(found.kept.thickness, found.sd.thickness),
            ),
            fifths,
            darkness: share(found.darkness, found.darkness_sd.max(0.02)),
            apart: found.apart,
            drawn_mm2: found.drawn_mm2,
            spill_mm2: found.spill_mm2,
            under_hair: found.under_hair,
            missing: found
                .touch_up
                .patches
                .iter()
                .map(|p| Missing::of(laid, side, p))
                .collect(),
            edge: found
                .edge
                .iter()
                .map(|ring| ring.iter().map(|p| side.place(grid.at(*p))).collect())
                .collect(),
            columns: found.columns.clone(),
        }
    }

    /// Missing in all, mm².
    pub fn missing_mm2(&self) -> f64 {
        self.missing.iter().map(|m| m.area_mm2).sum()
    }
}

/// What was measured on the day of the first session, in another photo.
fn on_the_day<'r>(record: &'r Record, photo: &str) -> Option<&'r HealedCheck> {
    let log = record.visit_log();
    let mut first = log
        .iter()
        .filter(|(_, visit)| visit.kind == VisitKind::FirstSession);
    let check = first.find_map(|(_, visit)| visit.healed.as_deref())?;
    (check.photo.as_deref() != Some(photo)).then_some(check)
}

/// Share of the darkness that went.
fn lighter(then: MeasuredShare, now: MeasuredShare) -> Option<MeasuredShare> {
    if then.share <= 2.0 * then.sd {
        return None;
    }
    let left = now.share / then.share;
    let sd = left * root([now.sd / now.share.max(0.01), then.sd / then.share, 0.0]);
    Some(share((1.0 - left).clamp(0.0, 1.0), sd))
}

fn root(parts: [f64; 3]) -> f64 {
    parts.iter().map(|p| p * p).sum::<f64>().sqrt()
}

/// A share that a record can keep.
fn share(share: f64, sd: f64) -> MeasuredShare {
    MeasuredShare {
        share: share.clamp(0.0, MOST_KEPT),
        sd: sd.clamp(LEAST_SHARE_SD, MOST_SHARE_SD),
    }
}
