//! Whether a photo is sharp, well lit and fine enough at the brows: looked at
//! once it is known where they are, said in a sentence, never in the way.

use std::time::Duration;

use ophryon_face::{Landmark, SidedLandmark};
use ophryon_frames::{Photo as Px, Point, Side, Sided};
use ophryon_record::{Image, Photo, PhotoState, Record};
use sycamore::reactive::create_effect;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::ask::photo_in;
use crate::device::{page, pictures};
use crate::markup::{div, p, selector, shows};
use crate::studio::Studio;

/// Where to look in a photo, and how large.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrowsAt {
    /// The pupils.
    pub pupils: Sided<Point<Px>>,
    /// How many px a millimetre has.
    pub px_per_mm: f64,
    /// Size of the photo, px.
    pub photo: pictures::PxSize,
}

/// What the pixels there say.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Taking the photo again saves time.
    pub take_again: bool,
    /// What is amiss, the weightiest first; or that nothing is.
    pub sentences: Vec<String>,
}

/// A photo as it was judged.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedPhoto {
    /// Its id.
    pub id: String,
    /// Where it was looked at.
    pub at: BrowsAt,
    /// What was found.
    pub judged: Judged,
}

/// A photo is looked at when its points have rested for so long.
const REST: Duration = Duration::from_millis(600);

/// Pupils of a photo: as tapped, or halfway between the corners of the eyes,
/// which is near enough to find the brows.
fn pupils(photo: &Photo) -> Option<Sided<Point<Px>>> {
    let of = |side: Side| {
        let at = |l| photo.landmarks.get(Landmark::Sided(side, l));
        at(SidedLandmark::Pupil).or_else(|| {
            let inner = at(SidedLandmark::InnerCorner)?;
            Some(inner.midpoint(at(SidedLandmark::OuterCorner)?))
        })
    };
    Some(Sided {
        right: of(Side::Right)?,
        left: of(Side::Left)?,
    })
}

fn px_per_mm(photo: &Photo) -> Option<f64> {
    let scale = photo.first_reference()?.scale(&photo.landmarks).ok()?;
    Some(1.0 / scale.mm_per_px())
}

/// Where to look in the photo of that state; one without a scale of its own
/// takes it from the one at rest by the distance of the eyes.
fn brows_at(record: &Record, state: PhotoState) -> Option<(String, BrowsAt)> {
    let photo = photo_in(record, state)?;
    let own = pupils(photo)?;
    let px_per_mm = px_per_mm(photo).or_else(|| {
        let at_rest = photo_in(record, PhotoState::Relaxed)?;
        let eyes = pupils(at_rest)?;
        let ratio = own.right.distance(own.left) / eyes.right.distance(eyes.left);
        Some(ratio * px_per_mm(at_rest)?)
    })?;
    let at = BrowsAt {
        pupils: own,
        px_per_mm,
        photo: (photo.width_px, photo.height_px),
    };
    Some((photo.id.clone(), at))
}

/// From now on the photo that is looked at is judged.
pub fn judge_from_now_on(studio: Studio) {
    let what = selector(Box::new(move || {
        let record = studio.record()?;
        brows_at(&record, studio.view.on_photo.get())
    }));
    create_effect(move || {
        let Some((id, at)) = what.get_clone() else {
            return;
        };
        page::later(REST, move || {
            let still = what.is_alive() && what.get_clone_untracked() == Some((id.clone(), at));
            let known = studio
                .view
                .judged
                .with_untracked(|j| j.as_ref().is_some_and(|j| j.id == id && j.at == at));
            if still && !known {
                spawn_local(judge(studio, id, at));
            }
        });
    });
}

/// Without an answer nothing is said: the work goes on all the same.
async fn judge(studio: Studio, id: String, at: BrowsAt) {
    let Ok(photos) = studio.later.photos.get().await else {
        return;
    };
    let looks = photos.looks;
    let name = studio
        .settled()
        .and_then(|record| match &record.photo(&id)?.image {
            Image::File { name } => Some(name.clone()),
            Image::Embedded { .. } => None,
        });
    let Some(blob) = name.and_then(|name| studio.keeper.picture(&name)) else {
        return;
    };
    let Some(piece) = (looks.brows)(at) else {
        return;
    };
    if let Ok(rgba) = pictures::pixels(&blob, at.photo, piece).await
        && let Some(judged) = (looks.judge)(&rgba, piece, at)
    {
        studio.view.judged.set(Some(JudgedPhoto { id, at, judged }));
    }
}

/// What was found in the photo that is looked at.
pub fn judged_now(studio: Studio) -> Option<Judged> {
    let id = studio.photo()?.id;
    let judged = studio.view.judged.get_clone()?;
    (judged.id == id).then_some(judged.judged)
}

/// A photo that should be taken again is said at once.
pub fn take_again(studio: Studio) -> View {
    shows(
        move || judged_now(studio).filter(|j| j.take_again),
        |judged| match judged {
            None => View::new(),
            Some(judged) => div("word calm")
                .id("take-again")
                .at("role", "status")
                .all(judged.sentences.into_iter().take(1).map(p))
                .into(),
        },
    )
}
