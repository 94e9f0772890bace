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

use ophryon_frames::{Lateral, Point, Vector};
use serde::{Deserialize, Serialize};

use crate::inset::{Ground, Moved, Toward};
use crate::{Brow, Front, Handle, Offset, Outline, SideMeasures};

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

/// How near the share is met: a millionth of the brow.
const MET: f64 = 1e-8;

/// Thickness is read off the fitted outline, which leaps by less than this, mm
/// (mm² for an area), where a piece is halved once more.
const LEAP: f64 = 5e-4;

/// Rounds before the distance is given up; halving alone needs about forty.
const MOST_ROUNDS: u32 = 60;

/// Cuts before the quick search for an area gives way to the one that halves.
const MOST_CUTS: u32 = 8;

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
    let found = Ground::of(brow.outline())
        .and_then(|ground| gauge.sought(&ground, Toward::Inside, shrink.by, wanted));
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
    let found = Ground::of(brow.outline())
        .and_then(|ground| gauge.sought(&ground, Toward::Outside, shrink.by, wanted));
    let (distance_mm, m) = found.ok_or(HealError::Crossed)?;
    if m.cut {
        return Err(HealError::TooHollow { distance_mm });
    }
    let within = m.within;
    let drawn = gauge.of_moved(m, -distance_mm);
    Ok(gauge.healing(drawn, healed, distance_mm, within))
}

/// The distance at which `off` is nothing: Newton's steps by the slope that
/// `off` gives with its value, halved where they leave what is known. `None`
/// where no distance does it.
fn sought(
    ground: &Ground,
    toward: Toward,
    first: f64,
    close: f64,
    off: impl Fn(&Moved<Lateral>) -> (f64, f64),
) -> Option<(f64, Moved<Lateral>)> {
    let (mut near, mut far) = (0.0, f64::INFINITY);
    let mut distance = first;
    for _ in 0..MOST_ROUNDS {
        let m = ground.moved(distance, toward)?;
        let (value, slope) = off(&m);
        let settled = far - near < 1e-9 && value.abs() < LEAP;
        if (value.abs() <= close || settled) && !m.outlines.is_empty() {
            return Some((distance, m));
        }
        // Too little moved as long as the value would go on toward 0.
        if value * slope < 0.0 {
            near = distance
        } else {
            far = distance
        }
        let step = distance - value / slope;
        let inside = step > near && step < far;
        distance = match (inside, far.is_finite()) {
            (true, _) => step,
            (false, true) => 0.5 * (near + far),
            (false, false) => 2.0 * near,
        };
        if far - near < 1e-12 {
            return None;
        }
    }
    None
}

/// The same for an area, without a fit before the last round: the area's slope
/// is the length of the line, and the length changes nearly evenly with the
/// distance, so that two or three cuts do. `None` where that leads nowhere.
fn sought_area(ground: &Ground, toward: Toward, wanted: f64) -> Option<(f64, Moved<Lateral>)> {
    let sign = match toward {
        Toward::Inside => -1.0,
        Toward::Outside => 1.0,
    };
    let mut distance = sign * (wanted - ground.area) / ground.length;
    for _ in 0..MOST_CUTS {
        let cut = ground.cut(distance, toward)?;
        let off = cut.area - wanted;
        if off.abs() <= MET * wanted {
            return Some((distance, cut.fitted()?)).filter(|(_, m)| !m.outlines.is_empty());
        }
        // off + sign length s + bend s²/2 = 0, by the root that is small.
        let (slope, bend) = (
            sign * cut.length,
            sign * (cut.length - ground.length) / distance,
        );
        let square = slope * slope - 2.0 * bend * off;
        if square <= 0.0 {
            return None;
        }
        distance -= 2.0 * off / (slope + slope.signum() * square.sqrt());
        if distance <= 0.0 {
            return None;
        }
    }
    None
}

/// The places where thickness is taken: fixed by the brow's points, so that
/// before and after are read in the same places.
struct Gauge<'a> {
    brow: &'a Brow,
    start: Point<Lateral>,
    front: Vector<Lateral>,
    inward: Vector<Lateral>,
    /// How far behind the front edge its thickness is taken, mm: past the
    /// rounding of a soft front.
    behind_front: f64,
    body: Point<Lateral>,
    across: Vector<Lateral>,
}

impl<'a> Gauge<'a> {
    fn of(brow: &'a Brow) -> Self {
        let points = brow.points();
        let start = points.at(Handle::Start);
        let arch = points.peak.midpoint(points.lower_arch);
        let along = arch - start;
        let front = points.front_top - points.front_bottom;
        let inward = Vector::new(front.y, -front.x);
        Self {
            brow,
            start,
            front,
            inward: inward.unit().unwrap_or(Vector::new(1.0, 0.0)),
            behind_front: match brow.form().front {
                Front::Square => 0.0,
                // A rounding ends within twice its radius and half the edge.
                Front::Soft { radius_mm } => (2.0 * radius_mm).min(0.5 * front.length()),
            },
            body: start.midpoint(arch),
            across: Vector::new(-along.y, along.x),
        }
    }

    fn as_drawn(&self, brow: &Brow) -> Stage {
        let sizes = SideMeasures::of(brow, &Offset::default());
        let points = brow.points();
        Stage {
            start: self.start,
            peak: Some(points.peak),
            tip: Some(points.tail),
            outlines: vec![brow.outline().clone()],
            area_mm2: sizes.area_mm2,
            thickness: Thickness {
                start_mm: if self.behind_front > 0.0 {
                    let at = self.start + self.inward * self.behind_front;
                    self.front_of(std::slice::from_ref(brow.outline()), at)
                } else {
                    sizes.thickness_start_mm
                },
                body_mm: self.body(std::slice::from_ref(brow.outline())),
                peak_mm: sizes.thickness_peak_mm,
                tail_mm: sizes.thickness_tail_mm,
            },
            reach_mm: reach(std::slice::from_ref(brow.outline())),
        }
    }

    /// Moved in by a distance, or out by a negative one.
    fn of_moved(&self, m: Moved<Lateral>, distance: f64) -> Stage {
        /// Just past the front edge, where its two corners still stand, mm.
        const PAST: f64 = 1e-6;
        let points = self.brow.points();
        // Drawn larger, the front's corners are round; its edge is measured
        // where it was, which is what the eye takes for it.
        let past = self.behind_front + distance.max(0.0) + PAST;
        let at_start = self.start + self.inward * past;
        let axis = points.tail - points.lower_arch;
        let tail = points.lower_arch + axis * 0.5;
        let peak = uppermost(&m.outlines, points.peak);
        Stage {
            start: self.start + self.inward * distance,
            peak: peak.map(|(above, _)| points.peak + Vector::new(0.0, above)),
            tip: if distance > 0.0 {
                tip(&m.outlines)
            } else {
                // An arc round the tip that was; farthest along the tail's axis.
                let out = axis.unit().unwrap_or(Vector::new(1.0, 0.0));
                Some(points.tail + out * -distance)
            },
            area_mm2: m.area,
            thickness: Thickness {
                start_mm: self.front_of(&m.outlines, at_start),
                body_mm: self.body(&m.outlines),
                peak_mm: peak.map_or(0.0, |(above, below)| above - below),
                tail_mm: widest(&m.outlines, tail, Vector::new(-axis.y, axis.x)),
            },
            reach_mm: reach(&m.outlines),
            outlines: m.outlines,
        }
    }

    /// The distance that leaves, or gives, so much area or thickness of the
    /// body.
    fn sought(
        &self,
        ground: &Ground,
        toward: Toward,
        by: ShrinkBy,
        wanted: f64,
    ) -> Option<(f64, Moved<Lateral>)> {
        let sign = match toward {
            Toward::Inside => -1.0,
            Toward::Outside => 1.0,
        };
        let close = MET * wanted;
        match by {
            ShrinkBy::Area => sought_area(ground, toward, wanted).or_else(|| {
                let first = sign * (wanted - ground.area) / ground.length;
                sought(ground, toward, first, close, |m| {
                    (m.area - wanted, sign * m.length)
                })
            }),
            ShrinkBy::Thickness => {
                let before = self.body(std::slice::from_ref(self.brow.outline()));
                let first = 0.5 * sign * (wanted - before);
                sought(ground, toward, first, close, |m| {
                    (self.body(&m.outlines) - wanted, sign * 2.0)
                })
            }
        }
    }

    /// Thickness of the front. Where the top line leans as the front edge does,
    /// the line along that edge runs on into the body; no more counts than
    /// the edge had.
    fn front_of(&self, outlines: &[Outline<Lateral>], at: Point<Lateral>) -> f64 {
        let reach = if self.behind_front > 0.0 {
            f64::INFINITY
        } else {
            0.5 * self.front.length()
        };
        nearest_part(outlines, at, self.front, reach)
    }

    fn body(&self, outlines: &[Outline<Lateral>]) -> f64 {
        nearest_part(outlines, self.body, self.across, f64::INFINITY)
    }

    fn healing(&self, drawn: Stage, healed: Stage, distance_mm: f64, within_mm: f64) -> Healing {
        Healing {
            tail_shorter_mm: drawn.reach_mm - healed.reach_mm,
            drawn,
            healed,
            distance_mm,
            within_mm,
        }
    }
}

fn reach(outlines: &[Outline<Lateral>]) -> f64 {
    let farthest = outlines.iter().map(|o| o.bounds().1.x);
    farthest.reduce(f64::max).unwrap_or(0.0)
}

/// Thickness on a line; 0 where nothing of it is left. Of a line that crosses
/// several parts, as on a steep brow, the part nearest `at` counts, within so
/// far of it on either side.
fn nearest_part(
    outlines: &[Outline<Lateral>],
    at: Point<Lateral>,
    along: Vector<Lateral>,
    reach: f64,
) -> f64 {
    let mut nearest = (f64::INFINITY, 0.0);
    for outline in outlines {
        for part in outline.crossings(at, along).chunks_exact(2) {
            let (low, high) = (part[0].max(-reach), part[1].min(reach));
            let off = (0.5 * (low + high)).abs();
            if off < nearest.0 && low < high {
                nearest = (off, high - low);
            }
        }
    }
    nearest.1
}

/// From the first to the last crossing of a line, on the outline that has most.
fn widest(outlines: &[Outline<Lateral>], at: Point<Lateral>, along: Vector<Lateral>) -> f64 {
    let one = |o: &Outline<Lateral>| {
        let hits = o.crossings(at, along);
        match (hits.first(), hits.last()) {
            (Some(low), Some(high)) => high - low,
            _ => 0.0,
        }
    };
    outlines.iter().map(one).fold(0.0, f64::max)
}

/// Where the upper edge runs into the lower one at the end of the tail: the
/// farthest, where the brow has fallen into pieces.
fn tip(outlines: &[Outline<Lateral>]) -> Option<Point<Lateral>> {
    let ends = outlines.iter().flat_map(|o| {
        let next = o.segments().iter().cycle().skip(1);
        let both = o.segments().iter().zip(next);
        let turns = both.filter(|(a, b)| a.part.is_upper() && b.part.is_lower());
        turns.map(|(a, _)| a.controls[3])
    });
    ends.reduce(|a, b| if b.x > a.x { b } else { a })
}

/// On the upright through the peak, the upper edge and the one below it, mm
/// above the peak.
fn uppermost(outlines: &[Outline<Lateral>], peak: Point<Lateral>) -> Option<(f64, f64)> {
    let up = Vector::new(0.0, 1.0);
    let mut hits: Vec<f64> = outlines
        .iter()
        .flat_map(|o| o.crossings(peak, up))
        .collect();
    hits.sort_by(f64::total_cmp);
    match hits[..] {
        [.., below, above] => Some((above, below)),
        _ => None,
    }
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
