//! Bringing the shape to the natural hair: lifted to its upper border without
//! thickening, or following its border where the points leave freedom.

use ophryon_brow::{BrowPoints, Form, GuideSource, HairRegion, Handle, NoLift, hugging, lift};
use ophryon_frames::Side;

use crate::{Drawn, Edit, EditError, Record, StudyError, apply};

/// A shape brought to the hair of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct ToHair {
    /// The side whose hair it was brought to; the other follows while they
    /// are linked.
    pub side: Side,
    /// Before the side's offset.
    pub points: BrowPoints,
    /// What is wished of the curve between them.
    pub form: Form,
    /// What was done, in millimetres.
    pub sentence: String,
}

impl ToHair {
    /// The change that takes it into the record.
    pub fn edit(&self) -> Edit {
        Edit::Sketch {
            side: self.side,
            points: self.points,
            form: Box::new(self.form.clone()),
        }
    }
}

/// Why the shape stays as it is.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotToHair {
    /// Nobody knows where the hair is.
    #[error("the hair of the client's {} brow isn't known yet; find it or brush it on", side.name())]
    NoHair {
        /// The side.
        side: Side,
    },
    /// It can't be lifted.
    #[error("{0}")]
    Lift(#[from] NoLift),
    /// The hair lies elsewhere.
    #[error("the hair lies nowhere along the brow; check its border")]
    Elsewhere,
    /// No brow can be drawn so.
    #[error("{0}")]
    Edit(#[from] EditError),
    /// It can't be looked at.
    #[error("{0}")]
    Study(#[from] StudyError),
}

impl Drawn {
    /// The shape lifted to the upper border of one side's hair, the underside
    /// by as much. `record` is the one that was drawn.
    ///
    /// # Errors
    /// Hair that isn't known, or [`NotToHair::Lift`] with the reason.
    pub fn lifted_to_hair(&self, record: &Record, side: Side) -> Result<ToHair, NotToHair> {
        let hair = self.hair_as_modelled(record, side)?;
        let (points, form) = (self.pair.points(side), self.pair.form(side));
        let lifted = lift(points, form, &hair, &record.limits)?;
        let by = self.pivot_moved(side, &lifted.points);
        Ok(ToHair {
            side,
            points: lifted.points.shifted(by),
            sentence: lifted.sentence(),
            form: lifted.form,
        })
    }

    /// The shape staying close to the border of one side's hair.
    ///
    /// # Errors
    /// Hair that isn't known or lies elsewhere; a limit that leaves no shape.
    pub fn following_hair(&self, record: &Record, side: Side) -> Result<ToHair, NotToHair> {
        let hair = self.hair_as_modelled(record, side)?;
        let (points, form) = (self.pair.points(side), self.pair.form(side));
        let form = hugging(points, form, &hair).ok_or(NotToHair::Elsewhere)?;
        let mut follows = ToHair {
            side,
            points: *points,
            form,
            sentence: String::new(),
        };
        let drawn = apply(record, &follows.edit())?.drawn()?;
        let brow = drawn.brows.get(side);
        let guide = follows.form.guide.as_ref();
        if let Some(close) = guide.and_then(|g| brow.closeness(g)) {
            follows.sentence = format!(
                "The outline comes as near to the border of the hair as its points let it: at most {:.1} mm off, {:.1} mm on average.",
                close.largest_mm, close.mean_mm
            );
        }
        Ok(follows)
    }

    /// The shape without that, where one side's follows the hair.
    pub fn leaving_hair(&self, side: Side) -> Option<ToHair> {
        let form = self.pair.form(side);
        let follows = form
            .guide
            .as_ref()
            .is_some_and(|g| g.source == GuideSource::Hair);
        follows.then(|| ToHair {
            side,
            points: *self.pair.points(side),
            form: Form {
                guide: None,
                ..form.clone()
            },
            sentence: "The outline runs as its points and rules alone have it.".to_owned(),
        })
    }

    /// The traced hair with the side's offset undone.
    fn hair_as_modelled(&self, record: &Record, side: Side) -> Result<HairRegion, NotToHair> {
        let photo = record.design_photo();
        let is_traced = photo.is_some_and(|p| !p.hair.get(side).is_empty());
        let hair = self.measured.hair.get(side).as_ref().filter(|_| is_traced);
        let offset = self.pair.offset.get(side);
        let about = self.pair.points(side).at(Handle::Start);
        let hair = hair.ok_or(NotToHair::NoHair { side })?;
        Ok(hair.moved(|p| offset.undo(p, about)))
    }
}
