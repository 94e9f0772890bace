//! The brows that are looked at: the present shape or a kept one, drawn and
//! healed, as the camera sees them.

use ophryon_brow::Outline;
use ophryon_face::FaceFrame;
use ophryon_frames::{Front, Point, Side, Sided};
use ophryon_powder::Powder;
use ophryon_record::{Drawn, Image, Record};

use crate::stage::sight::Size;

/// Both brows on their photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Brows {
    /// The photo's file.
    pub photo: String,
    /// Its size, px.
    pub size: Size,
    /// How the face lies in it.
    pub frame: FaceFrame,
    /// As drawn.
    pub drawn: Sided<Outline<Front>>,
    /// What stays; nothing where a brow is too thin to heal by the record's
    /// shrink.
    pub healed: Sided<Vec<Outline<Front>>>,
}

impl Brows {
    /// Of a record's present shape; `drawn` is what follows from it.
    pub fn of(record: &Record, drawn: &Drawn) -> Option<Self> {
        let photo = record.design_photo()?;
        let Image::File { name } = &photo.image else {
            return None;
        };
        let healed = drawn.healed();
        Some(Self {
            photo: name.clone(),
            size: Size::new(f64::from(photo.width_px), f64::from(photo.height_px)),
            frame: drawn.measured.levelled.survey.frame,
            drawn: drawn.seen.clone(),
            healed: Sided::from_fn(|side| {
                let kept = healed.get(side).as_ref();
                kept.map(|h| h.seen.clone()).unwrap_or_default()
            }),
        })
    }

    /// Of a kept shape. `None` for one that isn't there or can't be drawn on
    /// this photo.
    pub fn of_kept(record: &Record, index: usize) -> Option<Self> {
        let with = record.with_variant(index)?;
        Self::of(&with, &with.drawn().ok()?)
    }

    /// Corners of what they take.
    pub fn corners(&self) -> impl Iterator<Item = Point<Front>> {
        self.drawn.iter().flat_map(|(_, outline)| {
            let (low, high) = outline.bounds();
            let two = [Point::new(low.x, high.y), Point::new(high.x, low.y)];
            [low, high].into_iter().chain(two)
        })
    }

    /// The powder of one of them.
    pub fn powder(&self, side: Side) -> Powder {
        Powder::of(self.drawn.get(side), self.healed.get(side))
    }
}
