//! Before there is a photo: choose one, take one, or drop one.

use ophryon_record::PhotoState;
use sycamore::reactive::{ReadSignal, Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::{DragEvent, Event, File};

use crate::device::{files, page};
use crate::exchange::Shows;
use crate::markup::{El, div, el, glance, p, shows, svg};
use crate::parts::icon::{Drawing, icon};
use crate::studio::Studio;

/// Takes a photo that was chosen or dropped; says what it is doing meanwhile.
pub fn take(studio: Studio, busy: Signal<bool>, file: File, shows: Shows) {
    busy.set(true);
    spawn_local(async move {
        let outcome = studio.bring_photo(file, shows).await;
        // With the photo there, this part of the page may be gone.
        if busy.is_alive() {
            busy.set(false);
        }
        if let Err(why) = outcome {
            studio.said.set(Some(why));
        }
    });
}

/// A button that opens the browser's own window to choose a file.
pub struct FileButton {
    /// What it says.
    pub words: &'static str,
    /// The drawing beside it.
    pub of: Drawing,
    /// Which files are offered.
    pub accept: &'static str,
    /// Id for tests, of the input.
    pub id: String,
    /// Asks a phone or tablet for its camera.
    pub camera: bool,
    /// Drawn as the main thing to do.
    pub main: bool,
}

impl FileButton {
    /// The button; told which file was chosen.
    pub fn view(self, on_file: impl Fn(File) + 'static) -> El {
        el("label")
            .class(if self.main { "button main" } else { "button" })
            .put(icon(self.of))
            .put(el("span").words(self.words))
            .put(
                el("input")
                    .class("for-readers")
                    .at("type", "file")
                    .at("accept", self.accept)
                    // The artist photographs the client, not herself.
                    .at("capture", self.camera.then_some("environment"))
                    .id(self.id)
                    .on::<Event>("change", move |event| {
                        if let Some(file) = files::chosen(event) {
                            on_file(file);
                        }
                    }),
            )
    }
}

/// Two buttons that bring a photo: choose one, take one.
pub fn bring_buttons(
    studio: Studio,
    busy: Signal<bool>,
    choose: &'static str,
    id: &'static str,
    main: bool,
    shows: Shows,
) -> El {
    let button = |words, of, id: String, camera, main| {
        FileButton {
            words,
            of,
            accept: "image/*",
            id,
            camera,
            main,
        }
        .view(move |file| take(studio, busy, file, shows))
    };
    div("buttons")
        .put(button(choose, Drawing::Photo, id.to_owned(), false, main))
        .put(button(
            "Camera",
            Drawing::Camera,
            format!("{id}-camera"),
            true,
            false,
        ))
}

/// The empty stage, and the note while a photo is dragged over it.
pub fn bring(studio: Studio, url: ReadSignal<Option<String>>) -> View {
    let over = create_signal(false);
    let busy = create_signal(false);
    page::listen::<DragEvent>("dragover", move |e| {
        e.prevent_default();
        if !over.get_untracked() {
            over.set(true);
        }
    });
    page::listen::<DragEvent>("dragleave", move |e| {
        // Only leaving the window counts, not going from element to element.
        if e.related_target().is_none() {
            over.set(false);
        }
    });
    page::listen::<DragEvent>("drop", move |e| {
        e.prevent_default();
        over.set(false);
        let files = e.data_transfer().and_then(|d| d.files());
        match files.and_then(|f| f.get(0)) {
            Some(file) => take(studio, busy, file, dropped(studio)),
            None => studio.said.set(Some(
                "That was no file, so nothing was changed. Drop a photo in JPEG, PNG or WebP."
                    .to_owned(),
            )),
        }
    });
    let is_erased = move || studio.photo().is_some_and(|p| p.erased);
    shows(
        move || (url.with(Option::is_some), is_erased(), over.get()),
        move |state| match state {
            (false, false, over) => empty(studio, busy, over),
            (_, _, true) => div("drop-note")
                .words("Drop the photo to bring it in")
                .into(),
            (false, true, false) => p("Her photo was erased. What was tapped and drawn is kept.")
                .class("erased-note")
                .id("photo-erased")
                .into(),
            (true, _, false) => View::new(),
        },
    )
}

/// Where there is a photo already, only the artist knows what a dropped one
/// shows.
fn dropped(studio: Studio) -> Shows {
    match glance(|| studio.photo()) {
        None => Shows::State(studio.view.on_photo.get_untracked()),
        Some(_) => Shows::Unknown,
    }
}

fn empty(studio: Studio, busy: Signal<bool>, over: bool) -> View {
    let words = move || {
        if studio.photo().is_some() {
            "The photo of this client is not on this device. Bring the same one again; everything tapped in it is kept.".to_owned()
        } else {
            match studio.view.on_photo.get() {
                PhotoState::Relaxed => "Drop a photo here, or choose one. Best: straight from the front, a metre or more away, face at rest, with a bank card held flat beside the brows.",
                PhotoState::EyesOpen => "Drop the photo with eyes wide open here, or choose it. Same place, same camera, same light as the one at rest.",
                PhotoState::Raised => "Drop the photo with brows raised here, or choose it. Same place, same camera, same light as the one at rest.",
                PhotoState::Healed => "Drop the photo of the healed brows here, or choose it. Straight from the front, face at rest, even light, with a bank card held flat beside the brows.",
                PhotoState::Visit => "Drop a photo to keep with the visit here, or choose it.",
            }
            .to_owned()
        }
    };
    div(if over { "bring over" } else { "bring" })
        .id("bring")
        .put(
            div("bring-card")
                .put(face_sketch())
                .put(el("p").says(words))
                .shows(
                    move || busy.get(),
                    move |is_busy| {
                        if is_busy {
                            p("Reading the photo").class("busy").into()
                        } else {
                            let shows = Shows::State(studio.view.on_photo.get_untracked());
                            bring_buttons(studio, busy, "Choose a photo", "photo-file", true, shows)
                                .into()
                        }
                    },
                ),
        )
        .into()
}

/// A face from the front with a card beside it.
fn face_sketch() -> El {
    let path = |d: &'static str| svg("path").at("d", d);
    svg("svg").at("viewBox", "0 0 220 170").decoration().put(
        svg("g")
            .at("class", "face")
            .put(path(
                "M62 78c0-42 20-66 48-66s48 24 48 66c0 44-24 82-48 82S62 122 62 78Z",
            ))
            .put(path("M76 66c8-7 16-9 26-5M144 66c-8-7-16-9-26-5"))
            .put(path(
                "M78 80c6-6 16-6 22 0-6 5-16 5-22 0ZM120 80c6-6 16-6 22 0-6 5-16 5-22 0Z",
            ))
            .put(path(
                "M106 84c-2 12-6 20-7 26 4 5 18 5 22 0-1-6-5-14-7-26M97 132c8 6 18 6 26 0",
            ))
            .put(path("M172 52h40v25h-40ZM172 59h40").at("class", "card")),
    )
}
