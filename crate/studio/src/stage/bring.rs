//! Before there is a photo: choose one, take one, or drop one.

use leptos::ev::DragEvent;
use leptos::prelude::*;
use leptos::task::spawn_local;
use web_sys::File;

use crate::device::files;
use crate::parts::icon::{Drawing, Icon};
use crate::studio::Studio;

/// Takes a photo that was chosen or dropped; says what it is doing meanwhile.
pub fn take(studio: Studio, busy: RwSignal<bool>, file: File) {
    busy.set(true);
    spawn_local(async move {
        let outcome = studio.bring_photo(file).await;
        busy.set(false);
        if let Err(why) = outcome {
            studio.said.set(Some(why));
        }
    });
}

/// A button that opens the browser's own window to choose a file.
#[component]
pub fn FileButton(
    /// What it says.
    words: &'static str,
    /// The drawing beside it.
    of: Drawing,
    /// Which files are offered.
    accept: &'static str,
    /// Id for tests, of the input.
    #[prop(into)]
    testid: String,
    /// Told which file was chosen.
    on_file: Callback<File>,
    /// Asks a phone or tablet for its camera.
    #[prop(optional)]
    camera: bool,
    /// Drawn as the main thing to do.
    #[prop(optional)]
    main: bool,
) -> impl IntoView {
    let chosen = move |event: web_sys::Event| {
        if let Some(file) = files::chosen(&event) {
            on_file.run(file);
        }
    };
    view! {
        <label class="button" class:main=main>
            <Icon of=of />
            <span>{words}</span>
            <input
                class="for-readers"
                type="file"
                accept=accept
                capture=camera.then_some("user")
                data-testid=testid
                on:change=chosen
            />
        </label>
    }
}

/// Two buttons that bring a photo.
#[component]
pub fn BringButtons(
    /// The app.
    studio: Studio,
    /// True while a photo is being read.
    busy: RwSignal<bool>,
    /// The first button's words.
    #[prop(default = "Choose a photo")]
    choose: &'static str,
    /// Drawn as the main thing to do.
    #[prop(optional)]
    main: bool,
    /// Id for tests, of the first input.
    #[prop(default = "photo-file")]
    testid: &'static str,
) -> impl IntoView {
    let taken = Callback::new(move |file: File| take(studio, busy, file));
    view! {
        <div class="buttons">
            <FileButton words=choose of=Drawing::Photo accept="image/*" testid=testid on_file=taken main=main />
            <FileButton
                words="Camera"
                of=Drawing::Camera
                accept="image/*"
                testid=format!("{testid}-camera")
                on_file=taken
                camera=true
            />
        </div>
    }
}

/// The empty stage, and the note while a photo is dragged over it.
#[component]
pub fn Bring(
    /// The app.
    studio: Studio,
    /// The photo is there to be shown.
    has_picture: Signal<bool>,
) -> impl IntoView {
    let over = RwSignal::new(false);
    let busy = RwSignal::new(false);
    let hovering = window_event_listener(leptos::ev::dragover, move |e: DragEvent| {
        e.prevent_default();
        if !over.get_untracked() {
            over.set(true);
        }
    });
    let gone = window_event_listener(leptos::ev::dragleave, move |e: DragEvent| {
        // Only leaving the window counts, not going from element to element.
        if e.related_target().is_none() {
            over.set(false);
        }
    });
    let dropped = window_event_listener(leptos::ev::drop, move |e: DragEvent| {
        e.prevent_default();
        over.set(false);
        let file = e
            .data_transfer()
            .and_then(|d| d.files())
            .and_then(|f| f.get(0));
        match file {
            Some(file) => take(studio, busy, file),
            None => studio.said.set(Some(
                "That was no file, so nothing was changed. Drop a photo in JPEG or PNG.".to_owned(),
            )),
        }
    });
    on_cleanup(move || {
        hovering.remove();
        gone.remove();
        dropped.remove();
    });
    let is_lost = move || !has_picture.get() && studio.photo().is_some();
    view! {
        {move || {
            (!has_picture.get())
                .then(|| {
                    view! {
                        <div class="bring" class:over=move || over.get() data-testid="bring">
                            <div class="bring-card">
                                <FaceSketch />
                                <p>
                                    {move || {
                                        if is_lost() {
                                            "The photo of this client is not on this device. Bring the same one again; everything tapped in it is kept."
                                        } else {
                                            "Drop a photo here, or choose one. Best: straight from the front, a metre or more away, face at rest, with a bank card held flat beside the brows."
                                        }
                                    }}
                                </p>
                                {move || {
                                    if busy.get() {
                                        view! { <p class="busy">"Reading the photo"</p> }.into_any()
                                    } else {
                                        view! { <BringButtons studio=studio busy=busy main=true /> }
                                            .into_any()
                                    }
                                }}
                            </div>
                        </div>
                    }
                })
        }}
        {move || {
            (has_picture.get() && over.get())
                .then(|| view! { <div class="drop-note">"Drop the photo to use it instead"</div> })
        }}
    }
}

/// A face from the front with a card beside it.
#[component]
fn FaceSketch() -> impl IntoView {
    view! {
        <svg viewBox="0 0 220 170" aria-hidden="true">
            <g class="face">
                <path d="M62 78c0-42 20-66 48-66s48 24 48 66c0 44-24 82-48 82S62 122 62 78Z" />
                <path d="M76 66c8-7 16-9 26-5M144 66c-8-7-16-9-26-5" />
                <path d="M78 80c6-6 16-6 22 0-6 5-16 5-22 0ZM120 80c6-6 16-6 22 0-6 5-16 5-22 0Z" />
                <path d="M106 84c-2 12-6 20-7 26 4 5 18 5 22 0-1-6-5-14-7-26M97 132c8 6 18 6 26 0" />
                <path class="card" d="M172 52h40v25h-40ZM172 59h40" />
            </g>
        </svg>
    }
}
