//! Backups, erasing, earlier versions.

use sycamore::web::View;

use crate::markup::div;
use crate::studio::Studio;

/// Backup and restore, on the first screen.
pub fn backups(_studio: Studio) -> View {
    div("backups").into()
}

/// Earlier versions of the client in work.
pub fn versions(_studio: Studio) -> View {
    div("versions").into()
}
