//! The browser app.
//!
//! It renders a function of one record and one view, and emits edits; it holds
//! no knowledge of brows. What can be decided without a browser is in plain
//! functions with ordinary tests.
//!
//! | folder | what it is |
//! |---|---|
//! | `stage` | the face: zoom, gestures, what is drawn over the photo |
//! | `face`, `balance`, `shape`, `show`, `paper`, `visits` | the panels of the places |
//! | `handed` | what the client sees while the device is in her hands |
//! | `guest` | what a client sees on a device of her own |
//! | `look` | the powder on her face, drawn |
//! | `signing` | what she reads, answers and signs |
//! | `healed` | the healed brows measured, and what is learned of them |
//! | `safe` | backups, erasing, earlier versions |
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
mod guest;
mod hair;
mod handed;
mod healed;
mod home;
mod keeper;
mod later;
mod lock;
mod look;
mod markup;
mod measures;
mod number;
mod paper;
mod parts;
mod places;
mod safe;
mod shape;
mod shaping;
mod show;
mod signing;
mod sketch;
mod stage;
mod studio;
mod view;
mod visits;
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

/// File names of a record's pictures; one that was erased is none any more.
pub(crate) fn pictures_of(record: &Record) -> impl Iterator<Item = &str> {
    let photos = record.photos.iter().filter(|p| !p.erased);
    photos.filter_map(|p| match &p.image {
        Image::File { name } => Some(name.as_str()),
        Image::Embedded { .. } => None,
    })
}
