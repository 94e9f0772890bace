//! The place Show: what the client sees, says and agrees to.

use sycamore::web::View;

use crate::places::{Place, State};
use crate::studio::Studio;

/// Her face as she will see it.
pub fn table(studio: Studio) -> View {
    crate::look::look(studio)
}

/// What the panel asks and offers.
pub fn panel(studio: Studio) -> View {
    crate::handed::over::handing(studio)
}

/// How far the place is.
pub fn state(studio: Studio) -> State {
    let Some(record) = studio.record() else {
        return State::Empty;
    };
    if record.agreed().is_agreed() {
        State::Done
    } else {
        Place::Show.state(&record, studio.study().as_deref(), false)
    }
}
