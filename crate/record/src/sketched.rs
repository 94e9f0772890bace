//! A sketch over the photo, or points from elsewhere, as a shape of the record.
//!
//! Strokes are brought to where the brow is modelled (side-neutral, on the
//! skin, the side's offset undone); what comes of them is the values of one
//! [`Edit::Sketch`].

use ophryon_brow::{BrowPoints, Form, Handle, SketchError, Sketched, sketch};
use ophryon_frames::{Lateral, Photo as Px, Point, Side, Skin, Vector};

use crate::{Drawn, Edit, Record, StudyError};

/// Strokes of one side, in the frame in which they were drawn or measured.
/// Each inner list is one stroke; order and direction don't matter.
#[derive(Debug, Clone, PartialEq)]
pub enum Strokes {
    /// Over the design photo, px.
    Photo(Vec<Vec<Point<Px>>>),
    /// On the skin, mm: signed from the midline, and height above the pupils.
    Skin(Vec<Vec<Point<Skin>>>),
    /// Side-neutral on the skin, mm, before the side's offset: as the shape
    /// itself is kept.
    Lateral(Vec<Vec<Point<Lateral>>>),
}

/// Why nothing came of a sketch. The record is as it was.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SketchedError {
    /// There is no shape to sketch over, and none can be proposed yet.
    #[error("{0}")]
    Study(#[from] StudyError),
    /// The strokes show no brow.
    #[error("{0}")]
    Sketch(#[from] SketchError),
}

/// What a sketch on one side comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct SketchedShape {
    /// The side it was drawn on; the other follows while they are linked.
    pub side: Side,
    /// The points of the closest shape, before the side's offset.
    pub points: BrowPoints,
    /// What it wishes of the curve between them.
    pub form: Form,
    /// How it was found: distances, reason, what was left out. Its places are
    /// before the side's offset.
    pub sketched: Sketched,
    /// Where in the photo the strokes lie farthest off.
    pub farthest: Point<Px>,
    /// The nearest place of the outline to that, in the photo.
    pub nearest: Point<Px>,
}

impl SketchedShape {
    /// The change that takes it into the record.
    pub fn edit(&self) -> Edit {
        Edit::Sketch {
            side: self.side,
            points: self.points,
            form: Box::new(self.form.clone()),
        }
    }
}

impl Record {
    /// The shape closest to strokes on one side; see [`Drawn::sketched`].
    ///
    /// # Errors
    /// As [`Record::drawn`]; strokes that show no brow.
    pub fn sketched(&self, side: Side, strokes: &Strokes) -> Result<SketchedShape, SketchedError> {
        self.drawn()?.sketched(self, side, strokes)
    }
}

impl Drawn {
    /// The shape closest to strokes on one side, under the record's limits.
    /// What was not drawn stays as it is. `record` is the one that was drawn.
    ///
    /// # Errors
    /// [`SketchedError::Sketch`] for strokes that show no brow.
    pub fn sketched(
        &self,
        record: &Record,
        side: Side,
        strokes: &Strokes,
    ) -> Result<SketchedShape, SketchedError> {
        let present = self.brows.get(side);
        let sketched = sketch(&self.as_modelled(side, strokes), present, &record.limits)?;
        let in_photo = |p| self.modelled_in_photo(side, p);
        Ok(SketchedShape {
            side,
            points: sketched
                .brow
                .points()
                .shifted(self.pivot_moved(side, sketched.brow.points())),
            form: sketched.brow.form().clone(),
            farthest: in_photo(sketched.followed.farthest),
            nearest: in_photo(sketched.followed.nearest),
            sketched,
        })
    }

    /// Strokes where the brow is modelled: side-neutral on the skin, mm, the
    /// side's offset undone. Places that the wrap can't reach, round the side
    /// of the head, come out off the face, where sketching leaves them out and
    /// counts them.
    pub fn as_modelled(&self, side: Side, strokes: &Strokes) -> Vec<Vec<Point<Lateral>>> {
        let offset = self.pair.offset.get(side);
        let about = self.pair.points(side).at(Handle::Start);
        let undone = |p: Point<Lateral>| offset.undo(p, about);
        match strokes {
            Strokes::Photo(all) => each(all, |p| {
                let place = self.measured.place_on_skin(side, p);
                place.map_or(OFF_THE_FACE, undone)
            }),
            Strokes::Skin(all) => each(all, |p| undone(side.neutral(p))),
            Strokes::Lateral(all) => all.clone(),
        }
    }

    /// Where a modelled place is seen in the photo on a side.
    pub fn modelled_in_photo(&self, side: Side, p: Point<Lateral>) -> Point<Px> {
        self.measured
            .place_in_photo(side.place(self.on_face(side, p)))
    }

    /// A modelled place with the side's offset.
    fn on_face(&self, side: Side, p: Point<Lateral>) -> Point<Lateral> {
        let about = self.pair.points(side).at(Handle::Start);
        self.pair.offset.get(side).apply(p, about)
    }

    /// The offset's turn is about the start. A sketch that moves the start
    /// moves the pivot, and with R the turn, the whole brow would lie off by
    /// (R - 1) times that; it is put back where it was drawn.
    pub(crate) fn pivot_moved(&self, side: Side, points: &BrowPoints) -> Vector<Lateral> {
        let was = self.pair.points(side).at(Handle::Start);
        let moved = points.at(Handle::Start) - was;
        moved.turned(self.pair.offset.get(side).turn_degrees) + moved * -1.0
    }
}

/// A place that no face has.
const OFF_THE_FACE: Point<Lateral> = Point::new(1e9, 0.0);

fn each<F: ophryon_frames::Frame>(
    strokes: &[Vec<Point<F>>],
    rule: impl Fn(Point<F>) -> Point<Lateral>,
) -> Vec<Vec<Point<Lateral>>> {
    let one = |stroke: &Vec<Point<F>>| stroke.iter().map(|p| rule(*p)).collect();
    strokes.iter().map(one).collect()
}
