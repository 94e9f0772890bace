//! The photos of one client: at rest, eyes wide open, brows raised.

use ophryon_record::{Image, PhotoState};
use sycamore::reactive::on_cleanup;
use sycamore::web::View;
use web_sys::Url;

use super::question;
use crate::ask;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::studio::Studio;
use crate::words;

/// All states a photo may be of, in the order of bringing.
const STATES: [PhotoState; 3] = [
    PhotoState::Relaxed,
    PhotoState::EyesOpen,
    PhotoState::Raised,
];

/// Those shown: a photo of the healed brows only once there is one, or while
/// it is asked for.
fn shown(studio: Studio) -> Vec<PhotoState> {
    let healed = PhotoState::Healed;
    let there = studio
        .record()
        .is_some_and(|r| ask::photo_in(&r, healed).is_some());
    let mut all = STATES.to_vec();
    if there || studio.view.on_photo.get() == healed {
        all.push(healed);
    }
    all
}

const fn title(state: PhotoState) -> &'static str {
    match state {
        PhotoState::Relaxed => "At rest",
        PhotoState::EyesOpen => "Eyes wide",
        PhotoState::Raised => "Raised",
        PhotoState::Healed => "Healed",
        PhotoState::Visit => "Visit",
    }
}

const fn id(state: PhotoState) -> &'static str {
    match state {
        PhotoState::Relaxed => "relaxed",
        PhotoState::EyesOpen => "eyes-open",
        PhotoState::Raised => "raised",
        PhotoState::Healed => "healed",
        PhotoState::Visit => "visit",
    }
}

/// The photos as a strip; nothing before the first one is there.
pub fn strip(studio: Studio) -> View {
    let frames = move || {
        let any = studio.record().is_some_and(|r| !r.photos.is_empty());
        any.then(|| shown(studio))
    };
    shows(frames, move |frames| {
        let Some(frames) = frames else {
            return View::new();
        };
        div("strip")
            .at("role", "group")
            .label("Photos of this client")
            .all(frames.into_iter().map(|state| frame(studio, state)))
            .into()
    })
}

fn frame(studio: Studio, state: PhotoState) -> El {
    let url = move || {
        let record = studio.record()?;
        match &ask::photo_in(&record, state)?.image {
            Image::File { name } => studio.keeper.urls.with(|u| u.get(name).cloned()),
            Image::Embedded { .. } => None,
        }
    };
    let there = move || {
        let record = studio.record();
        record.is_some_and(|r| ask::photo_in(&r, state).is_some())
    };
    button("frame", format!("photo-{}", id(state)))
        .at("aria-pressed", move || {
            if studio.view.on_photo.get() == state {
                "true"
            } else {
                "false"
            }
        })
        .label(move || {
            let has = if there() { "" } else { ", none yet" };
            format!("The photo {}{has}", words::state(state))
        })
        .shows(url, |url| match url {
            Some(src) => el("img").at("src", src).at("alt", "").into(),
            None => icon(Drawing::Nearer).into(),
        })
        .put(el("span").words(title(state)))
        .click(move || studio.view.look_at_photo(state))
}

/// What is the face doing in the photo that was brought?
pub fn which_state(studio: Studio) -> View {
    let choice = |state: PhotoState, name: &'static str, about: &'static str| {
        let taken = studio
            .settled()
            .is_some_and(|r| ask::photo_in(&r, state).is_some());
        let about = if taken {
            format!("{about} It takes the place of the one that is there; undo brings that back.")
        } else {
            about.to_owned()
        };
        button("choice", format!("shows-{}", id(state)))
            .put(el("strong").words(name))
            .put(el("small").words(about))
            .click(move || studio.coming_shows(state))
    };
    let worked = studio.settled().is_some_and(|r| r.pair.is_some());
    parts![
        question("Another photo", "What is the face doing in it?", ""),
        preview(studio),
        div("choices").all(
            [
                choice(
                    PhotoState::EyesOpen,
                    "Eyes wide open",
                    "As in use; shows whether a difference is muscle."
                ),
                choice(
                    PhotoState::Relaxed,
                    "At rest",
                    "Eyes softly open; the brows are drawn on this one."
                ),
                choice(
                    PhotoState::Raised,
                    "Brows raised",
                    "As far as they go; can be left out."
                ),
            ]
            .into_iter()
            .chain(worked.then(|| choice(
                PhotoState::Healed,
                "Healed",
                "Weeks after the work, to be measured against what was agreed."
            )))
        ),
        button("button", "forget-photo")
            .words("Leave the photo out")
            .click(move || studio.forget_coming()),
    ]
}

/// The photo that was brought, so that it can be told from the one beside.
fn preview(studio: Studio) -> View {
    let coming = studio.view.coming.get_clone_untracked();
    let url = coming.and_then(|p| Url::create_object_url_with_blob(&p.blob).ok());
    let Some(url) = url else { return View::new() };
    let done = url.clone();
    on_cleanup(move || {
        // Nothing but memory is lost if that fails.
        let _ = Url::revoke_object_url(&done);
    });
    el("img")
        .class("coming-photo")
        .at("src", url)
        .at("alt", "The photo that was brought")
        .into()
}

/// How a photo with the eyes wide open is had.
pub fn eyes_wide() -> El {
    div("word calm")
        .put(el("h3").words("What to say to the client"))
        .put(p("“Look straight into the lens, and open your eyes as wide as you can.” Same place, same camera, same light. No scale is needed in it; it is laid over the one at rest."))
}

/// A photo is asked for.
pub fn first_photo(state: PhotoState) -> View {
    match state {
        PhotoState::Relaxed => parts![
            question(
                "Photo",
                "Bring a photo of the client's face.",
                "Choose it, take it or drop it beside this panel. It stays on this device.",
            ),
            div("word calm")
                .put(el("h3").words("So that millimetres come out right"))
                .put(p("The camera level with the eyes and a metre or more away, zoomed in rather than near. Face straight to the camera, brows at rest. A bank card, a ruler or a round sticker beside the brows gives the scale.")),
        ],
        PhotoState::EyesOpen => parts![
            question(
                "Second photo",
                "Now the same face with eyes wide open.",
                "It shows whether a difference is set in the face or comes with the movement.",
            ),
            eyes_wide(),
        ],
        PhotoState::Raised => parts![
            question(
                "Third photo, can be left out",
                "Now with brows raised as far as they go.",
                "Where opening the eyes moves the brows too little to tell.",
            ),
            div("word calm")
                .put(el("h3").words("What to say to the client"))
                .put(p("“Look straight into the lens, and lift your brows as high as you can.” Same place, same camera, same light.")),
        ],
        PhotoState::Healed | PhotoState::Visit => parts![question(
            "Healed photo",
            "Bring a photo of the healed brows.",
            "Four to eight weeks after the work, face at rest, even light, a card, ruler or sticker beside the brows.",
        )],
    }
}

/// Everything is tapped in a photo of the face in use.
pub fn in_use_done(studio: Studio, state: PhotoState) -> View {
    if state == PhotoState::Healed {
        return parts![
            question(
                title(state),
                "The photo of the healed brows is tapped.",
                "Drag any point to set it right, or see what healed.",
            ),
            button("button main wide", "to-healed")
                .words("See what healed")
                .click(move || studio.view.go(crate::places::Place::Visits)),
        ];
    }
    parts![
        question(
            title(state),
            format!("The photo {} is tapped.", words::state(state)),
            "Drag any point to set it right, or see what the two photos say together.",
        ),
        button("button main wide", "to-balance")
            .words("See the balance")
            .click(move || studio.view.go(crate::places::Place::Balance)),
    ]
}
