//! The panel of the first place: photo, scale, landmarks; one question at a
//! time.

mod caliper;
mod done;
mod landmarks;
mod scale;

use std::borrow::Cow;

use sycamore::web::View;

use crate::ask::Ask;
use crate::markup::{div, el, p, shows};
use crate::parts;
use crate::studio::Studio;

/// The question and what answers it.
pub fn face_panel(studio: Studio) -> View {
    shows(
        move || studio.ask.get_clone(),
        move |ask| match ask {
            Ask::Photo => first_photo(),
            Ask::WhichScale => scale::which_scale(studio),
            Ask::ScaleTap { kind, index } => scale::scale_tap(studio, kind, index),
            Ask::ScaleLength { kind } => scale::scale_length(studio, kind),
            Ask::Landmark(landmark) => landmarks::one_landmark(studio, landmark),
            Ask::Nothing => done::done(studio),
        },
    )
}

/// The sentence of the moment: where in the work, the sentence, and where
/// exactly or why. It is read out when it changes.
pub fn question(
    step: impl Into<Cow<'static, str>>,
    text: impl Into<Cow<'static, str>>,
    hint: impl Into<Cow<'static, str>>,
) -> View {
    let hint = hint.into();
    let question = div("question")
        .at("aria-live", "polite")
        .put(p(step).class("step"))
        .put(el("h2").id("question").words(text));
    if hint.is_empty() {
        question.into()
    } else {
        question.put(p(hint).class("quiet")).into()
    }
}

fn first_photo() -> View {
    parts![
        question(
            "Photo",
            "Bring a photo of the client's face.",
            "Choose it, take it or drop it beside this panel. It stays on this device.",
        ),
        div("word calm")
            .put(el("h3").words("So that millimetres come out right"))
            .put(p("The camera level with the eyes and a metre or more away, zoomed in rather than near. Face straight to the camera, brows at rest. A bank card, a ruler or a round sticker beside the brows gives the scale.")),
    ]
}
