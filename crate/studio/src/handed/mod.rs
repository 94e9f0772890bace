//! What the client sees while the device is in her hands.

pub mod code;
pub mod over;
pub mod words;

use sycamore::web::View;

use crate::studio::Studio;

/// The whole page.
pub fn whole(studio: Studio) -> View {
    crate::look::look(studio)
}
