//! The shape on this face: on the skin, as the camera sees it, and in
//! millimetres.

use ophryon_brow::{
    Brow, Constraint, Difference, HairFit, HairRegion, Handle, Offset, Outline, Pair, Reading,
    Setting, Shrink, SideMeasures, Verdict, differences, pair_constraints,
};
use ophryon_frames::{Front, Lateral, Photo as Px, Point, Side, Sided, Skin};
use serde::{Deserialize, Serialize};

use crate::{Measured, Record, StudyError};

/// Whose shape it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShapeSource {
    /// Kept in the record.
    Record,
    /// The record has none yet: the proposal from the mapping lines.
    Proposal,
}

/// A point that can be taken hold of, wherever it is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandlePlace {
    /// Which point.
    pub handle: Handle,
    /// On the skin without a side, offset included; what
    /// [`crate::Edit::MoveHandle`] takes.
    pub lateral: Point<Lateral>,
    /// On the skin.
    pub skin: Point<Skin>,
    /// As seen from the front.
    pub front: Point<Front>,
    /// In the photo.
    pub photo: Point<Px>,
}

/// Everything there is to show of the shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// What the photo says.
    pub measured: Measured,
    /// The pair that was drawn.
    pub pair: Pair,
    /// Whose it is.
    pub source: ShapeSource,
    /// Each side's brow, side-neutral, before its offset.
    pub brows: Sided<Brow>,
    /// The outlines on the skin, offsets included. What is printed.
    pub on_skin: Sided<Outline<Skin>>,
    /// The same as the camera sees them.
    pub seen: Sided<Outline<Front>>,
    /// The points to take hold of, in the order of [`Handle::ALL`].
    pub handles: Sided<Vec<HandlePlace>>,
    /// Every constraint as measured.
    pub readings: Sided<Vec<Reading>>,
    /// What a ruler reads on each side.
    pub measures: Sided<SideMeasures>,
    /// The table of differences.
    pub differences: Vec<Difference>,
    /// How each outline sits on the natural hair, where that is known.
    pub hair_fit: Sided<Option<HairFit>>,
    /// How much smaller a brow heals; see [`Drawn::healed`].
    pub shrink: Shrink,
}

impl Record {
    /// Draws the pair, or the proposal while there is none.
    ///
    /// # Errors
    /// As [`Record::measured`] and [`Record::proposal`]; points that no brow
    /// can be drawn through.
    pub fn drawn(&self) -> Result<Drawn, StudyError> {
        self.drawn_on(self.measured()?)
    }

    /// The same on a photo that is measured already. It is the same photo for
    /// every shape of this record.
    pub(crate) fn drawn_on(&self, measured: Measured) -> Result<Drawn, StudyError> {
        let (pair, source) = match &self.pair {
            Some(pair) => (pair.clone(), ShapeSource::Record),
            None => (self.proposal_on(&measured)?, ShapeSource::Proposal),
        };
        let brows = pair.draw(&self.limits)?;
        let on_skin = Sided::from_fn(|side| brows.get(side).placed(side, pair.offset.get(side)));
        let seen = Sided::from_fn(|side| on_skin.get(side).seen(measured.wrap.get(side)));
        let handles = Sided::from_fn(|side| handles(&pair, side, &measured));
        let settings = Sided::from_fn(|side| Setting {
            ear: measured.ears.get(side).on_skin,
            offset: *pair.offset.get(side),
            hair: measured.hair.get(side).as_ref(),
        });
        let mut readings = pair_constraints(&brows, &settings, &self.limits);
        for side in Side::BOTH {
            let is_traced = |p: &crate::Photo| !p.hair.get(side).is_empty();
            if !self.design_photo().is_some_and(is_traced) {
                say_rough(readings.get_mut(side));
            }
        }
        let measures =
            Sided::from_fn(|side| SideMeasures::of(brows.get(side), pair.offset.get(side)));
        let hair_fit = Sided::from_fn(|side| {
            let region = measured.hair.get(side).as_ref()?;
            fit_under(region, brows.get(side), pair.offset.get(side))
        });
        Ok(Drawn {
            differences: differences(&measures),
            measured,
            pair,
            source,
            brows,
            on_skin,
            seen,
            handles,
            readings,
            measures,
            hair_fit,
            shrink: self.shrink,
        })
    }
}

/// Hair that was neither found nor traced is what five tapped points enclose,
/// which may be a quarter off.
fn say_rough(readings: &mut [Reading]) {
    for reading in readings {
        let of_hair = matches!(
            reading.constraint,
            Constraint::HairInside | Constraint::HairStep
        );
        if of_hair && reading.value.is_some() {
            reading
                .sentence
                .push_str(" (hair from the tapped points, rough)");
        }
    }
}

fn handles(pair: &Pair, side: Side, measured: &Measured) -> Vec<HandlePlace> {
    let points = pair.points_on(side);
    let place = |handle| {
        let lateral = points.at(handle);
        let skin = side.place(lateral);
        let front = measured.wrap.get(side).to_front(skin);
        HandlePlace {
            handle,
            lateral,
            skin,
            front,
            photo: measured.levelled.survey.frame.to_photo(front),
        }
    };
    Handle::ALL.into_iter().map(place).collect()
}

/// The hair under a brow with an offset. The offset is a rigid motion, so the
/// hair is moved the other way instead: areas and steps stay the same.
fn fit_under(region: &HairRegion, brow: &Brow, offset: &Offset) -> Option<HairFit> {
    if *offset == Offset::default() {
        return Some(region.fit(brow.outline()));
    }
    let about = brow.points().at(Handle::Start);
    let moved = region.moved(|p| offset.undo(p, about));
    Some(moved.fit(brow.outline()))
}

/// One closed line of cubics as SVG path data, to a hundredth of a px.
pub(crate) fn svg_path(cubics: &[[Point<Px>; 4]]) -> String {
    let xy = |p: Point<Px>| format!("{:.2} {:.2}", p.x, p.y);
    let mut d = String::new();
    for [a, b, c, end] in cubics {
        if d.is_empty() {
            d = format!("M{}", xy(*a));
        }
        d.push_str(&format!("C{} {} {}", xy(*b), xy(*c), xy(*end)));
    }
    if !d.is_empty() {
        d.push('Z');
    }
    d
}

impl Drawn {
    /// One side's outline in the photo: cubics with start, two control points
    /// and end, px.
    pub fn photo_cubics(&self, side: Side) -> Vec<[Point<Px>; 4]> {
        let frame = &self.measured.levelled.survey.frame;
        let cubic = |controls: [Point<Front>; 4]| controls.map(|p| frame.to_photo(p));
        let segments = self.seen.get(side).segments();
        segments.iter().map(|s| cubic(s.controls)).collect()
    }

    /// One side's outline as SVG path data in the photo's px, to a hundredth.
    pub fn photo_path(&self, side: Side) -> String {
        svg_path(&self.photo_cubics(side))
    }

    /// Where a handle of one side is.
    pub fn handle(&self, side: Side, handle: Handle) -> Option<&HandlePlace> {
        self.handles.get(side).iter().find(|p| p.handle == handle)
    }

    /// Where one side's outline steps farthest beyond the natural hair: its
    /// place and that of the nearest hair in the photo, and mm on the skin.
    pub fn hair_step(&self, side: Side) -> Option<([Point<Px>; 2], f64)> {
        let region = self.measured.hair.get(side).as_ref()?;
        let brow = self.brows.get(side).displaced(self.pair.offset.get(side));
        let step = region.largest_step(brow.outline())?;
        let seen = |p| self.measured.place_in_photo(side.place(p));
        Some(([seen(step.outline), seen(step.hair)], step.mm()))
    }

    /// Every failing constraint with its side.
    pub fn failing(&self) -> impl Iterator<Item = (Side, &Reading)> {
        self.readings.iter().flat_map(|(side, readings)| {
            let fails = |r: &&Reading| r.verdict == Verdict::Fails;
            readings.iter().filter(fails).map(move |r| (side, r))
        })
    }
}
