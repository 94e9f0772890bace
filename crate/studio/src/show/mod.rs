//! The place Show: what the client sees, says and agrees to.
//!
//! Everything is asked here that the client will be asked, so that nothing is
//! new to the artist when the tablet comes back.

pub mod afar;
mod agreed;
mod agreements;
mod cautions;
mod heard;
mod looking;
mod papers;
mod text;
mod writing;

use sycamore::web::View;

use crate::face::question;
use crate::markup::{div, shows};
use crate::parts;
use crate::places::{Place, State};
use crate::shape::not_yet;
use crate::studio::Studio;

/// Her face as she will see it.
pub fn table(studio: Studio) -> View {
    div("show-table")
        .put(crate::look::look(studio))
        .put(crate::handed::circles::heard(studio))
        .into()
}

/// What the panel asks and offers.
pub fn panel(studio: Studio) -> View {
    shows(
        move || studio.of_shape(|_| ()).is_some(),
        move |is_drawn| {
            if is_drawn {
                ready(studio)
            } else {
                not_yet(studio, Place::Show)
            }
        },
    )
}

fn ready(studio: Studio) -> View {
    parts![
        question(
            "Show",
            "Let her see it, and hear what she says.",
            "She agrees to one exact shape. Any change afterwards is asked anew.",
        ),
        div("side-by-side")
            .put(
                div("rows")
                    .put(crate::handed::over::handing(studio))
                    .put(agreed::card(studio))
                    .put(looking::looking(studio)),
            )
            .put(
                div("rows")
                    .put(heard::section(studio))
                    .put(text::section(studio))
                    .put(cautions::section(studio))
                    .put(agreements::section(studio))
                    .put(studio.later.afar.show(move |views| (views.section)(studio))),
            ),
    ]
}

/// A word for the other places: that what she agreed to is not what stands
/// here, or quietly that it is.
pub fn standing(studio: Studio) -> View {
    agreed::standing(studio)
}

/// Whether undo would make another shape of the one that is agreed to.
pub fn undo_leaves(studio: Studio) -> bool {
    let work = studio.work;
    work.with(|w| {
        w.as_ref().is_some_and(|w| {
            // During a gesture undo ends only that.
            !w.history.is_previewing() && w.history.undo_leaves_what_is_agreed()
        })
    })
}

/// How far the place is.
pub fn state(studio: Studio) -> State {
    let Some(record) = studio.record() else {
        return State::Empty;
    };
    if record.agreed().is_agreed() {
        // What she flagged is seen before any work.
        match record.has_cautions_to_read() {
            true => State::Look,
            false => State::Done,
        }
    } else {
        Place::Show.state(&record, studio.study().as_deref(), false)
    }
}
