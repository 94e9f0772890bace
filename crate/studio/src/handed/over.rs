//! Handing over, at the place Show: one tap, the first time after a code.

use sycamore::web::View;

use crate::studio::Studio;

/// The large button, and what is done about the code.
pub fn handing(_studio: Studio) -> View {
    View::new()
}
