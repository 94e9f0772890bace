//! The panel of the first place: photo, scale, landmarks; one question at a
//! time.

mod caliper;
mod done;
pub mod landmarks;
pub mod looks;
pub mod quality;
pub mod scale;
pub mod snap;
mod strip;

pub use self::strip::{eyes_wide, strip};

use std::borrow::Cow;

use ophryon_record::PhotoState;
use sycamore::web::View;

use crate::ask::Ask;
use crate::markup::{div, el, p, shows};
use crate::shape::tape;
use crate::studio::Studio;

/// The question and what answers it. While there is no photo yet, what follows
/// one comes quietly beside it.
pub fn face_panel(studio: Studio) -> View {
    quality::judge_from_now_on(studio);
    shows(
        move || match studio.ask.get_clone() {
            Ask::Photo(state) => Some(state),
            _ => None,
        },
        move |photo| match photo {
            Some(state) => View::from(vec![strip_here(studio), strip::first_photo(state)]),
            None => studio
                .later
                .photos
                .show(move |photos| (photos.panel)(studio)),
        },
    )
}

/// The photos that there are, once what shows them is here.
fn strip_here(studio: Studio) -> View {
    studio
        .later
        .photos
        .show_when_here(move |photos| (photos.strip)(studio))
}

/// What is asked of a photo that is there.
pub fn of_a_photo(studio: Studio) -> View {
    let asked = shows(
        move || (studio.ask.get_clone(), studio.view.on_photo.get()),
        move |(ask, state)| match ask {
            // Asked before anything of a photo is; see `face_panel`.
            Ask::Photo(_) => View::new(),
            Ask::WhatState => strip::which_state(studio),
            Ask::WhichScale => scale::which_scale(studio),
            Ask::ScaleTap { kind, index } => scale::scale_tap(studio, kind, index),
            Ask::ScaleLength { kind } => scale::scale_length(studio, kind),
            Ask::Landmark(landmark) => landmarks::one_landmark(studio, landmark),
            Ask::Tape(side, line) => tape::one_tape(studio, side, line),
            Ask::Tapes => tape::tapes(studio),
            Ask::Nothing if state == PhotoState::Relaxed => done::done(studio),
            Ask::Nothing => done::in_use(studio, state),
        },
    );
    // The tape is laid on the client, not in a photo.
    let on_a_photo = move || !studio.ask.with(|a| matches!(a, Ask::Tape(..) | Ask::Tapes));
    let strip = shows(on_a_photo, move |on_a_photo| {
        if on_a_photo {
            strip::strip(studio)
        } else {
            View::new()
        }
    });
    View::from(vec![strip, quality::take_again(studio), asked])
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
