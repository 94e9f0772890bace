//! Giving the tablet back: the artist's code, and what is said to a wrong one.

use std::rc::Rc;

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::code::{self, Refused};
use super::pad::{PadWords, pad};
use super::page::Page;
use super::words::Words;
use super::{Client, device};
use crate::markup::{El, button, div, el, p};
use crate::studio::Studio;

/// The last page, or whenever she wants to give it back.
pub fn give_back(client: Client) -> View {
    let words = client.words;
    div("handed-alone")
        .id("handed-back")
        .put(client.heading(move || words.say("back-heading")))
        .put(el("p").says(move || words.say("back-says")))
        .put(
            button("button wide", "keep-looking")
                .says(move || words.say("back-stay"))
                .click(move || client.go(Page::Look)),
        )
        .put(keys(client.studio, words))
        .into()
}

/// Her file can't be shown: why, and the way back.
pub fn gone(studio: Studio, words: Words, why: &str) -> View {
    let said = words.say_with("gone-says", &[("why", why)]);
    div("handed-alone")
        .at("role", "alert")
        .id("handed-gone")
        .put(el("h1").says(move || words.say("gone-heading")))
        .put(p(said))
        .put(keys(studio, words))
        .into()
}

fn pad_words(words: Words) -> PadWords {
    PadWords {
        label: Rc::new(move || words.say("code")),
        typed: Rc::new(move |count| words.say_with("code-typed", &[("count", &count.to_string())])),
        digit: Rc::new(move |digit| words.say_with("code-digit", &[("digit", digit)])),
        erase: Rc::new(move || words.say("code-erase")),
        take: Rc::new(move || words.say("code-take")),
    }
}

/// The artist's keys.
fn keys(studio: Studio, words: Words) -> El {
    let refused = create_signal(None::<Refused>);
    let busy = create_signal(false);
    let kept = studio.lock.kept;
    let is_held = move || busy.get() || kept.with(|k| k.pause_s > 0);
    div("handed-code")
        .put(el("h2").says(move || words.say("code")))
        .put(pad("code", pad_words(words), is_held, move |code| {
            take_back(studio, code, refused, busy);
        }))
        .put(
            el("p")
                .id("code-said")
                .at("aria-live", "assertive")
                .says(move || said(words, busy.get(), kept.with(|k| k.pause_s), refused.get())),
        )
        .put(
            el("details")
                .put(
                    el("summary")
                        .id("code-forgotten")
                        .says(move || words.say("code-forgotten")),
                )
                .put(el("p").says(move || words.say("code-forgotten-says"))),
        )
}

fn take_back(studio: Studio, typed: String, refused: Signal<Option<Refused>>, busy: Signal<bool>) {
    busy.set(true);
    spawn_local(async move {
        // A try takes a moment: that it is tried is shown before.
        device::page::breathe().await;
        let outcome = code::take_back(studio, &typed).await;
        // When it went well, this page is gone by now.
        if busy.is_alive() {
            busy.set(false);
            refused.set(outcome.err());
        }
    });
}

fn said(words: Words, is_busy: bool, pause_s: u32, refused: Option<Refused>) -> String {
    if is_busy {
        return words.say("code-checking");
    }
    if pause_s > 0 {
        return words.say_with("code-pause", &[("seconds", &pause_s.to_string())]);
    }
    match refused {
        Some(Refused::Wrong(1)) => words.say("code-wrong-last"),
        Some(Refused::Wrong(left)) if left > 0 => {
            words.say_with("code-wrong", &[("left", &left.to_string())])
        }
        _ => String::new(),
    }
}
