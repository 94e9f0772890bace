//! The powder on her face, drawn.

use sycamore::web::View;

use crate::markup::div;
use crate::studio::Studio;

/// Her face, as it is chosen to be seen.
pub fn look(_studio: Studio) -> View {
    div("look").id("look").into()
}
