//! What is done with a shape beside drawing it: styles, what the client says,
//! the healed size, shapes kept to be compared, published measures. A part of the app that is
//! fetched when it is first used.

pub mod compare;
mod healed;
mod kept;
pub mod numbers;
pub mod says;
mod standing;
mod styles;

use sycamore::web::View;

use crate::parts;
use crate::studio::Studio;

/// The sections of the panel.
pub fn sections(studio: Studio) -> View {
    healed::follow(studio);
    parts![
        styles::section(studio),
        says::section(studio),
        healed::section(studio),
        kept::section(studio),
        standing::section(studio),
        crate::shape::sections(studio),
    ]
}
