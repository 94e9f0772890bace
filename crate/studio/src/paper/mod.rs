//! The last place: the sheets as they will be printed, the printer, the list
//! that the ruler's readings go into, and the files.
//!
//! Reached by [`table`], [`paper_panel`] and [`is_done`] alone, so that all of it can be a
//! part of the app that is fetched when it is first used.

pub mod agreement;
mod files_out;
pub mod letters;
mod made;
mod options;
mod pages;
pub mod press;
mod printers;
mod ruler;
mod sheets;
mod shelf;
mod worksheet;

pub use self::sheets::busy_word;

use sycamore::web::View;

use crate::device::page;
use crate::markup::shows;
use crate::studio::Studio;
use crate::view::OnTable;

/// What lies there instead of the face.
pub fn table(studio: Studio) -> View {
    shows(
        move || studio.view.on_table.get(),
        move |on_table| match on_table {
            OnTable::Sheets => pages::sheets(studio),
            OnTable::Ruler => worksheet::worksheet(studio),
            OnTable::Printer => pages::check_page(studio),
        },
    )
}

/// Whether the shape as it is was the last to be printed or saved.
pub fn is_done(studio: Studio) -> bool {
    let record = studio.record();
    let mark = record.and_then(|record| studio.of_shape(|d| record.fingerprint_of(d)));
    mark.is_some() && studio.on_paper.get_clone() == mark
}

/// What the panel asks and offers.
pub fn paper_panel(studio: Studio) -> View {
    shows(
        move || studio.view.on_table.get(),
        move |on_table| {
            page::to_top(&[".panel", ".panel-body"]);
            match on_table {
                OnTable::Sheets => sheets::sheets(studio),
                OnTable::Ruler => ruler::ruler(studio),
                OnTable::Printer => printers::printers(studio),
            }
        },
    )
}
