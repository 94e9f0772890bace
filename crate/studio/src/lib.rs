//! The browser app.
//!
//! It renders a function of one record and one view, and emits edits; it holds
//! no knowledge of brows. What can be decided without a browser is in plain
//! functions with ordinary tests.
//!
//! | folder | what it is |
//! |---|---|
//! | `stage` | the face: zoom, gestures, what is drawn over the photo |
//! | `face`, `balance`, `shape`, `paper` | the panels of the places |
//! | `sketch`, `hair` | what the hands do on the face where the shape is made |
//! | `shaping` | styles, what the client says, the healed size, kept shapes |
//! | `measures` | what a photo says in millimetres, each with its ± |
//! | `home` | the first screen |
//! | `parts` | panel, thread, tools, fields |
//! | `later` | parts of the app that are fetched when first used |
//! | `device` | the browser: store, pictures, files, printing |

mod app;
mod ask;
mod balance;
mod client_files;
mod device;
mod exchange;
mod face;
mod hair;
mod home;
mod keeper;
mod later;
mod markup;
mod measures;
mod number;
mod paper;
mod parts;
mod places;
mod shape;
mod shaping;
mod sketch;
mod stage;
mod studio;
mod view;
mod words;

use ophryon_record::{Image, Record};

/// Puts the app on the page.
pub fn start() {
    // Without it a panic says "unreachable" and nothing else.
    std::panic::set_hook(Box::new(|what| {
        web_sys::console::error_1(&what.to_string().into());
    }));
    sycamore::web::render(|| {
        markup::remember_scope();
        app::app()
    });
}

/// File names of a record's pictures.
pub(crate) fn pictures_of(record: &Record) -> impl Iterator<Item = &str> {
    record.photos.iter().filter_map(|p| match &p.image {
        Image::File { name } => Some(name.as_str()),
        Image::Embedded { .. } => None,
    })
}
