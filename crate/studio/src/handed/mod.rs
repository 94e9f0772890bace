//! What the client sees while the device is in her hands: her face, what she
//! thinks of it, what she chooses and signs, and the way back to the artist.
//!
//! She only says; nothing here changes a shape but her choosing between those
//! that the artist kept. Everything is in her language ([`words`]).

mod back;
mod choose;
pub mod circles;
mod client;
pub mod code;
pub mod over;
mod pad;
mod page;
mod said;
mod seen;
pub mod words;

use std::time::Duration;

use sycamore::reactive::{Signal, create_effect, create_signal, on_cleanup};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use crate::device;
use crate::markup::{button, div, el, p};
use crate::studio::Studio;
use client::Client;
use words::Words;

/// Between two looks at a pause.
const SECOND: Duration = Duration::from_secs(1);

/// A window that is told to keep its client does so within this time.
const OTHER_WINDOW: Duration = Duration::from_millis(300);

/// What stands on the page.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ready {
    /// Messages and client are being fetched.
    Opening,
    /// All is there.
    Here,
    /// The messages can't be had.
    NoWords,
    /// Her file can't be had.
    Gone,
}

/// The whole page.
pub fn whole(studio: Studio) -> View {
    count_down(studio);
    let ready = create_signal(Ready::Opening);
    let words = create_signal(None::<Words>);
    let why = create_signal(String::new());
    let fetch = move || {
        ready.set(Ready::Opening);
        spawn_local(async move {
            let (state, said) = open(studio, words).await;
            if ready.is_alive() {
                why.set(said);
                ready.set(state);
            }
        });
    };
    let is_here = studio.lock.is_here;
    create_effect(move || {
        is_here.track();
        fetch();
    });
    on_cleanup(|| words::mark_page("en"));
    el("main")
        .class("handed")
        .id("handed")
        .shows(
            move || (is_here.get(), ready.get()),
            move |(is_here, ready)| match (words.get_untracked(), ready, is_here) {
                (Some(words), _, false) => elsewhere(studio, words),
                (Some(words), Ready::Here, true) => Client::new(studio, words).view(),
                (Some(words), Ready::Gone, true) => {
                    back::gone(studio, words, &why.get_clone_untracked())
                }
                (_, Ready::NoWords, _) => div("handed-alone")
                    .at("role", "alert")
                    .put(p(why.get_clone_untracked()))
                    .put(
                        button("button main", "handed-again")
                            .words("Try again")
                            .click(fetch),
                    )
                    .into(),
                _ => div("coming quiet")
                    .at("role", "status")
                    .words("\u{2026}")
                    .into(),
            },
        )
        .into()
}

/// Fetches what is missing.
async fn open(studio: Studio, held: Signal<Option<Words>>) -> (Ready, String) {
    let is_elsewhere = || !studio.lock.is_here.get_untracked();
    if is_elsewhere() {
        // Another window has her by now; what was said here is kept first.
        studio.close().await;
    }
    let words = match held.get_untracked() {
        Some(words) => words,
        None => match Words::fetch().await {
            Ok(words) => words,
            Err(why) => return (Ready::NoWords, why),
        },
    };
    if held.is_alive() {
        held.set(Some(words));
    }
    style_is_here().await;
    let key = studio.lock.kept.with_untracked(|k| k.handed.clone());
    let Some(key) = key.filter(|_| !is_elsewhere()) else {
        return (Ready::Here, String::new());
    };
    if studio.key_now().as_ref() != Some(&key) {
        // A window that had her until now keeps what she did there first.
        device::page::wait(OTHER_WINDOW).await;
        if is_elsewhere() {
            return (Ready::Here, String::new());
        }
        if let Err(why) = studio.open(&key).await {
            return (Ready::Gone, why);
        }
    }
    (Ready::Here, String::new())
}

/// Waits for the style of these pages, which comes beside the first load: bare
/// of it they would jump. One that never comes is done without.
async fn style_is_here() {
    const PATIENCE: u32 = 60;
    for _ in 0..PATIENCE {
        let link = device::page::document().and_then(|d| {
            d.query_selector("link[href$=\"/handed.css\"]")
                .ok()
                .flatten()
        });
        let sheet = link.and_then(|l| js_sys::Reflect::get(&l, &"sheet".into()).ok());
        if sheet.is_some_and(|s| !s.is_null() && !s.is_undefined()) {
            return;
        }
        device::page::breathe().await;
    }
}

/// A pause gets shorter while the lock is on the screen.
pub fn count_down(studio: Studio) {
    let alive = create_signal(());
    tick(studio, alive);
}

fn tick(studio: Studio, alive: Signal<()>) {
    device::page::later(SECOND, move || {
        if !alive.is_alive() {
            return;
        }
        let is_paused = studio.lock.kept.with_untracked(|k| k.pause_s > 0);
        if is_paused && studio.lock.is_here.get_untracked() {
            studio
                .lock
                .change(|k| k.pause_s = k.pause_s.saturating_sub(1));
        }
        tick(studio, alive);
    });
}

/// Her pages are open in another window.
fn elsewhere(studio: Studio, words: Words) -> View {
    div("handed-alone")
        .id("handed-elsewhere")
        .put(el("h1").says(move || words.say("elsewhere-heading")))
        .put(el("p").says(move || words.say("elsewhere-says")))
        .put(
            button("button main", "handed-here")
                .says(move || words.say("elsewhere-here"))
                .click(move || studio.lock.work_here()),
        )
        .into()
}
