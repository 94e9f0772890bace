//! The powder on her face, drawn.
//!
//! [`look()`] is a view that fills what it is put into; how her face is looked
//! at stands in `studio.view.look`, a [`LookState`] whose signals any view may
//! set.

mod state;

use sycamore::web::View;

use crate::markup::div;
use crate::studio::Studio;

pub use state::{
    BEFORE, DRAWN, FRESH, Facing, HEALED, IMPRESSION, IMPRESSION_KEY, LookState, Near,
};

/// Her face, as it is chosen to be seen.
pub fn look(_studio: Studio) -> View {
    div("look").id("look").into()
}
