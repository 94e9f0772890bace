//! The sight goes by itself to what is asked for or worked on.

use std::cell::RefCell;

use sycamore::reactive::{create_effect, untrack};

use ophryon_face::check_photo_width;
use ophryon_record::{Photo, PhotoState, Record};

use super::sight::{Sight, Size};
use crate::ask::{self, Ask};
use crate::markup::selector;
use crate::places::Place;
use crate::studio::Studio;

/// How much more than the likely place is shown around it.
const ROOM: f64 = 2.3;

/// What decides where to look; anything else leaves the sight alone.
#[derive(Debug, Clone, PartialEq)]
struct Reason {
    place: Place,
    state: PhotoState,
    ask: Ask,
    photo: Size,
    stage: Size,
}

impl Reason {
    fn photo_in<'r>(&self, record: &'r Record) -> Option<&'r Photo> {
        match self.place {
            Place::Face => ask::photo_in(record, self.state),
            _ => record.design_photo(),
        }
    }
}

/// From now on the sight follows the question until the next one comes; in
/// between it is the artist's.
pub fn follow(studio: Studio) {
    let reason = selector(Box::new(move || {
        let place = studio.view.place.get();
        Reason {
            place,
            state: studio.view.on_photo.get(),
            ask: match place {
                Place::Face => studio.ask.get_clone(),
                _ => Ask::Nothing,
            },
            photo: studio.photo_size(),
            stage: studio.view.stage.get(),
        }
    }));
    let before = RefCell::new(None::<Reason>);
    create_effect(move || {
        let now = reason.get_clone();
        let before = before.replace(Some(now.clone()));
        if now.photo.is_some() && now.stage.is_some() {
            let fresh = before.as_ref().is_none_or(|b| {
                b.photo != now.photo || b.stage != now.stage || b.state != now.state
            });
            untrack(|| go(studio, &now, fresh));
        }
    });
}

fn go(studio: Studio, reason: &Reason, at_once: bool) {
    let view = studio.view;
    let (photo, stage) = (reason.photo, reason.stage);
    let whole = Sight::fitting(photo, stage);
    let record = studio.record();
    let expected = record.as_ref().and_then(|record| {
        let photo = reason.photo_in(record)?;
        // One in use takes its scale from the relaxed one, if it has none.
        let sized = photo
            .first_reference()
            .map_or(record.design_photo()?, |_| photo);
        let mm_per_px = sized
            .first_reference()
            .and_then(|r| r.scale(&sized.landmarks).ok())
            .map(|s| s.mm_per_px())
            // By a scale that can't be, the sight would fly past the face.
            .filter(|mm| check_photo_width(sized.width_px.into(), *mm).is_none());
        match (&reason.ask, reason.place) {
            (Ask::Landmark(l), Place::Face) => {
                let place = photo.landmarks.expected(*l, mm_per_px)?;
                Some((place.centre, ROOM * place.radius_px))
            }
            (Ask::Tape(..) | Ask::Tapes, _) | (_, Place::Shape) => {
                let place = photo.landmarks.brow_region(mm_per_px)?;
                Some((place.centre, place.radius_px))
            }
            _ => None,
        }
    });
    let to = match expected {
        Some((centre, radius)) if !matches!(reason.ask, Ask::Landmark(_)) => {
            // Both brows across the stage, whatever its shape.
            let radius = radius * stage.width.min(stage.height) / stage.width;
            Sight::framing(centre, radius, photo, stage)
        }
        Some((centre, radius)) => {
            if !at_once && view.sight.get_untracked().shows(centre, radius, stage) {
                return;
            }
            Sight::framing(centre, radius, photo, stage)
        }
        None => whole,
    };
    if at_once {
        view.look(to);
    } else {
        view.fly(to);
    }
}
