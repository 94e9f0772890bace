//! The whole: the first screen, or stage and panel.

use sycamore::web::View;
use wasm_bindgen::JsCast;
use web_sys::KeyboardEvent;

use crate::device::page;
use crate::device::settings::Hand;
use crate::guest::called;
use crate::home::home;
use crate::markup::{el, shows};
use crate::parts::panel::panel;
use crate::places::Place;
use crate::stage::stage;
use crate::studio::Studio;

/// The app.
pub fn app() -> View {
    let studio = Studio::new();
    // A guest's page knows nothing of this device's clients and opens no store;
    // it isn't shown where a client has the device.
    let is_locked = studio.lock.kept.with_untracked(|k| k.handed.is_some());
    if called::is_guest() && !is_locked {
        return studio.later.guest.show(|views| (views.whole)());
    }
    studio.follow_lock();
    studio.keep_from_now_on();
    studio.later.come_quietly();
    called::begin_anew_by_link(Some(studio));
    studio.take_landed();
    page::listen::<KeyboardEvent>("keydown", move |event| history_keys(studio, event));
    let is_handed = move || studio.handed.get();
    let is_known = move || studio.lock.is_known.get();
    let is_open = move || studio.work.with(Option::is_some);
    shows(
        // Her pages stand whether her file is open yet or not.
        move || (is_known(), is_handed(), !is_handed() && is_open()),
        move |(is_known, is_handed, is_open)| match (is_handed, is_open) {
            _ if !is_known => View::new(),
            // Whatever else is open, she sees nothing but her own face.
            (true, _) => studio.later.handed.show(move |views| (views.whole)(studio)),
            (false, true) => work(studio),
            (false, false) => home(studio),
        },
    )
}

/// Undo and redo by the keys that every program has for them, except while a
/// text is being typed.
fn history_keys(studio: Studio, event: &KeyboardEvent) {
    let typing = event.target().is_some_and(|t| {
        t.dyn_ref::<web_sys::HtmlElement>()
            .is_some_and(|e| matches!(e.tag_name().as_str(), "INPUT" | "TEXTAREA" | "SELECT"))
    });
    // In a client's hands no key reaches the artist's work.
    let is_artists = !studio.handed.get_untracked() && !studio.keeper.looks_back.get_untracked();
    if !is_artists || typing || !(event.ctrl_key() || event.meta_key()) || event.alt_key() {
        return;
    }
    match (event.key().to_ascii_lowercase().as_str(), event.shift_key()) {
        ("z", false) => studio.undo(),
        ("z", true) | ("y", false) => studio.redo(),
        _ => return,
    }
    event.prevent_default();
}

/// The client in work, or how she was.
fn work(studio: Studio) -> View {
    shows(
        move || studio.keeper.looks_back.get(),
        move |looks_back| {
            if looks_back {
                studio
                    .later
                    .safe
                    .show(move |views| (views.versions)(studio))
            } else {
                desk(studio)
            }
        },
    )
}

/// Stage and panel.
fn desk(studio: Studio) -> View {
    el("main")
        .class(move || match studio.settings.hand.get() {
            Hand::Right => "studio",
            Hand::Left => "studio left-hand",
        })
        .shows(
            move || match studio.view.place.get() {
                Place::Shape if studio.view.beside.compared.with(Option::is_some) => Place::Shape,
                // The stage stays as it is from one of these to the other.
                Place::Face | Place::Shape => Place::Face,
                place => place,
            },
            move |place| match place {
                Place::Shape => studio
                    .later
                    .shaping
                    .show_when_here(move |views| (views.table)(studio)),
                Place::Face => stage(studio),
                Place::Balance => studio
                    .later
                    .balance
                    .show_when_here(move |views| (views.table)(studio)),
                Place::Paper => studio
                    .later
                    .paper
                    .show_when_here(move |views| (views.table)(studio)),
                Place::Show => studio
                    .later
                    .show
                    .show_when_here(move |views| (views.table)(studio)),
                Place::Visits => studio
                    .later
                    .visits
                    .show_when_here(move |views| (views.table)(studio)),
            },
        )
        .put(panel(studio))
        .into()
}
