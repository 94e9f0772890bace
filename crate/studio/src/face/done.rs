//! All landmarks are there: what they say, what is amiss, and on to the shape.

use ophryon_face::Landmark;
use ophryon_record::{Edit, PhotoState};
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::question;
use super::strip::in_use_done;
use crate::ask::{self, OtherScale};
use crate::exchange::Shows;
use crate::markup::{El, button, div, el, glance, p, shows};
use crate::parts;
use crate::places::Place;
use crate::stage::bring::bring_buttons;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The summary of the face.
pub fn done(studio: Studio) -> View {
    parts![
        shows(
            move || amiss(studio),
            move |amiss| match amiss {
                Some((words, landmark)) => what_is_amiss(studio, words, landmark),
                None => all_is_well(studio),
            }
        ),
        measured(studio),
        again(studio),
    ]
}

/// Everything is tapped in a photo of the face in use.
pub fn in_use(studio: Studio, state: PhotoState) -> View {
    parts![in_use_done(studio, state), measured(studio), again(studio),]
}

/// The point in hand, and what the photo says in millimetres.
fn measured(studio: Studio) -> View {
    studio
        .later
        .balance
        .show_when_here(move |views| (views.measures)(studio))
}

fn all_is_well(studio: Studio) -> View {
    parts![
        question(
            "Face",
            "The face is measured.",
            "Drag any point to set it right, or go on: is a difference set in the face, or movement?",
        ),
        button("button main wide", "to-balance")
            .words("Go to the balance")
            .click(move || studio.view.go(Place::Balance)),
        button("button wide", "to-shape")
            .words("Straight to the shape")
            .click(move || studio.view.go(Place::Shape)),
    ]
}

/// What keeps the face from being measured, and the landmark to look at.
fn amiss(studio: Studio) -> Option<(String, Option<Landmark>)> {
    let (record, study) = (studio.record()?, studio.study()?);
    let why = study.as_ref().as_ref().err()?;
    Some((words::study(why), landmark_in(&why.field(&record))))
}

/// The same on the panel, with the way to mend it.
fn what_is_amiss(studio: Studio, words: String, landmark: Option<Landmark>) -> View {
    let mut buttons = div("buttons");
    if let Some(l) = landmark {
        buttons = buttons.put(
            button("button", "mend-landmark")
                .words(format!("Tap the {} again", l.name()))
                .click(move || studio.ask_again(l)),
        );
    }
    let buttons = buttons.put(scale_again(studio, "other-scale"));
    parts![
        question("Face", "Something doesn't fit yet.", ""),
        div("word").id("amiss").put(p(words)).put(buttons),
    ]
}

fn scale_again(studio: Studio, id: &'static str) -> El {
    button("button", id)
        .words("Set the scale again")
        .click(move || {
            studio
                .view
                .way
                .update(|w| w.other_scale = Some(OtherScale::Instead(0)))
        })
}

/// The landmark that a field of the client's file stands for:
/// `photos[0].landmarks.right.pupil`.
fn landmark_in(field: &str) -> Option<Landmark> {
    let (_, place) = field.split_once(".landmarks.")?;
    Landmark::from_id(&place.replace('.', "/")).ok()
}

/// Everything that was tapped, to be gone back to.
fn again(studio: Studio) -> El {
    let busy = create_signal(false);
    let state = studio.view.on_photo.get_untracked();
    let rows = move || {
        let record = studio.record()?;
        let photo = ask::photo_in(&record, state)?;
        let row = |l: Landmark| (l, photo.landmarks.get(l).is_some());
        Some(
            ask::asked_for(&record, state)
                .into_iter()
                .map(row)
                .collect::<Vec<_>>(),
        )
    };
    div("")
        .put(
            el("details")
                .class("more")
                .id("landmark-list")
                .put(el("summary").words("All landmarks"))
                .put(el("ul").class("inside").shows(rows, move |rows| {
                    let rows = rows.unwrap_or_default().into_iter();
                    View::from(
                        rows.map(|(l, there)| row(studio, l, there).into())
                            .collect::<Vec<_>>(),
                    )
                })),
        )
        .put(
            el("details")
                .class("more")
                .id("other-photo")
                .put(el("summary").words("Another photo instead"))
                .put(
                    div("inside")
                        .put(bring_buttons(
                            studio,
                            busy,
                            "Another photo",
                            "other-photo-file",
                            false,
                            Shows::State(state),
                        ))
                        .put(
                            p("It takes the place of this one and is tapped from the start; undo brings this one back.")
                                .class("quiet"),
                        )
                        .put(remove(studio, state)),
                ),
        )
}

/// Takes a photo of the face in use away; without the one at rest there is
/// nothing.
fn remove(studio: Studio, state: PhotoState) -> View {
    if state == PhotoState::Relaxed {
        return View::new();
    }
    button("button", "remove-photo")
        .words("Take this photo out")
        .click(move || {
            if let Some(photo) = glance(|| studio.photo())
                && studio.apply(&Edit::RemovePhoto { photo: photo.id })
            {
                studio.view.look_at_photo(PhotoState::Relaxed);
            }
        })
        .into()
}

fn row(studio: Studio, l: Landmark, there: bool) -> El {
    let name = words::title(&l.name());
    let what = if there {
        "tap again"
    } else {
        "left out, tap it"
    };
    el("li")
        .class("client-line")
        .put(
            button(
                "button bare start",
                format!("show-{}", l.id().replace('/', "-")),
            )
            .words(name)
            .click(move || studio.view.chosen.set(Some(Grip::Landmark(l)))),
        )
        .put(
            button("button", format!("again-{}", l.id().replace('/', "-")))
                .words(what)
                .click(move || studio.ask_again(l)),
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use ophryon_face::{MiddleLandmark, SidedLandmark};
    use ophryon_frames::Side;

    #[test]
    fn a_field_of_the_file_leads_back_to_its_landmark() {
        assert_eq!(
            landmark_in("photos[0].landmarks.right.inner-corner"),
            Some(Landmark::Sided(Side::Right, SidedLandmark::InnerCorner))
        );
        assert_eq!(
            landmark_in("photos[0].landmarks.middle.chin"),
            Some(Landmark::Middle(MiddleLandmark::Chin))
        );
        assert_eq!(landmark_in("photos[0].landmarks"), None);
        assert_eq!(landmark_in("photos[0].references"), None);
    }
}
