//! Strokes drawn freely over the photo: whose brow each belongs to, and what
//! all of them together come to.

use ophryon_brow::Handle;
use ophryon_frames::{Lateral, Photo as Px, Point, Side, Sided};

use crate::{Drawn, Edit, Record, SketchedError, SketchedShape, Strokes};

/// What free strokes come to.
#[derive(Debug, Clone, PartialEq)]
pub struct SketchedOver {
    /// One shape for each side that follows its own strokes; one for both
    /// where the brows are linked.
    pub shapes: Vec<SketchedShape>,
    /// Both sides were drawn on, and as the brows are linked one shape had to
    /// follow all of it.
    pub is_for_both: bool,
    /// A stroke runs over both brows, and what it drew between their fronts is
    /// left out.
    pub has_one_over_both: bool,
}

/// What each side has of one stroke.
#[derive(Debug, Clone, PartialEq)]
enum Parted {
    One(Side),
    Both(Sided<Vec<Vec<Point<Px>>>>),
}

impl SketchedOver {
    /// The changes that take it into the record.
    pub fn edits(&self) -> Vec<Edit> {
        self.shapes.iter().map(SketchedShape::edit).collect()
    }

    /// What they do, to follow "Undo:".
    pub fn words(&self) -> String {
        match &self.shapes[..] {
            [one] if !self.is_for_both => one.edit().words(),
            _ => "sketch both brows".to_owned(),
        }
    }
}

impl Drawn {
    /// The side on which most of a stroke lies; the client's left without one.
    pub fn side_of_stroke(&self, stroke: &[Point<Px>]) -> Side {
        let frame = &self.measured.levelled.survey.frame;
        let sum: f64 = stroke.iter().map(|p| frame.to_front(*p).x).sum();
        Side::of_x(sum)
    }

    /// Whether a stroke runs over the midline and over both brows.
    pub fn is_over_both(&self, stroke: &[Point<Px>]) -> bool {
        matches!(self.parted(stroke), Parted::Both(_))
    }

    /// A stroke that reaches beyond the front of either brow is one for each;
    /// what it drew between the fronts is the way from one to the other and
    /// tells no front. Any other stroke is its side's.
    fn parted(&self, stroke: &[Point<Px>]) -> Parted {
        let frame = &self.measured.levelled.survey.frame;
        let over = |side: Side| -> Vec<Vec<Point<Px>>> {
            let start = self.handle(side, Handle::Start);
            let front = start.map_or(0.0, |h| h.front.x * side.sign());
            let is_over = |p: &Point<Px>| frame.to_front(*p).x * side.sign() >= front.max(0.0);
            let runs = stroke.chunk_by(|a, b| is_over(a) == is_over(b));
            runs.filter(|run| run.first().is_some_and(is_over))
                .map(<[_]>::to_vec)
                .collect()
        };
        let over = Sided::from_fn(over);
        match over.right.is_empty() || over.left.is_empty() {
            true => Parted::One(self.side_of_stroke(stroke)),
            false => Parted::Both(over),
        }
    }

    /// What strokes over the photo come to, each on the side where it lies.
    /// A stroke over both brows is parted at the midline.
    /// Linked brows share one shape: strokes on both sides then count together.
    ///
    /// # Errors
    /// [`SketchedError::Sketch`] for strokes that show no brow.
    pub fn sketched_over(
        &self,
        record: &Record,
        strokes: &[Vec<Point<Px>>],
    ) -> Result<SketchedOver, SketchedError> {
        let mut on: Sided<Vec<Vec<Point<Px>>>> = Sided::from_fn(|_| Vec::new());
        let mut has_one_over_both = false;
        for stroke in strokes {
            match self.parted(stroke) {
                Parted::One(side) => on.get_mut(side).push(stroke.clone()),
                Parted::Both(over) => {
                    has_one_over_both = true;
                    for (side, own) in over.iter() {
                        on.get_mut(side).extend(own.iter().cloned());
                    }
                }
            }
        }
        let is_for_both = !on.right.is_empty() && !on.left.is_empty();
        let shapes = match (is_for_both, self.pair.is_linked()) {
            (true, true) => vec![self.sketched_together(record, on)?],
            _ => {
                let drawn_on = |side: &Side| !on.get(*side).is_empty();
                let mut sides: Vec<Side> = Side::BOTH.into_iter().filter(drawn_on).collect();
                if sides.is_empty() {
                    // Says that nothing is drawn.
                    sides.push(Side::Right);
                }
                let one =
                    |side: Side| self.sketched(record, side, &Strokes::Photo(on.get(side).clone()));
                sides.into_iter().map(one).collect::<Result<_, _>>()?
            }
        };
        Ok(SketchedOver {
            shapes,
            is_for_both,
            has_one_over_both,
        })
    }

    fn sketched_together(
        &self,
        record: &Record,
        on: Sided<Vec<Vec<Point<Px>>>>,
    ) -> Result<SketchedShape, SketchedError> {
        let on = on.map(Strokes::Photo);
        let lateral = Sided::from_fn(|side| self.as_modelled(side, on.get(side)));
        let all = lateral.iter().flat_map(|(_, own)| own.clone()).collect();
        let shape = self.sketched(record, Side::Right, &Strokes::Lateral(all))?;
        let farthest = shape.sketched.followed.farthest;
        let [right, left] = Side::BOTH.map(|side| nearest(lateral.get(side), farthest));
        if right <= left {
            return Ok(shape);
        }
        // It is pointed at where it was drawn.
        let [farthest, nearest] = [farthest, shape.sketched.followed.nearest]
            .map(|p| self.modelled_in_photo(Side::Left, p));
        Ok(SketchedShape {
            farthest,
            nearest,
            ..shape
        })
    }
}

fn nearest(strokes: &[Vec<Point<Lateral>>], to: Point<Lateral>) -> f64 {
    let all = strokes.iter().flatten();
    all.map(|p| p.distance(to)).fold(f64::INFINITY, f64::min)
}
