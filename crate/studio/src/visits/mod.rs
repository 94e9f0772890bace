//! The place Visits: the log.

use sycamore::web::View;

use crate::markup::div;
use crate::studio::Studio;

/// The visit in work.
pub fn table(_studio: Studio) -> View {
    div("visit").into()
}

/// What the panel asks and offers.
pub fn panel(_studio: Studio) -> View {
    div("visits").into()
}
