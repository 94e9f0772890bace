//! What is always there: undo, redo, the bare face, nearer and farther.

use ophryon_record::History;
use sycamore::reactive::ReadSignal;
use sycamore::web::View;
use web_sys::{Event, KeyboardEvent};

use super::icon::{Drawing, icon};
use crate::markup::{El, button, div, el, glance, selector};
use crate::places::Place;
use crate::stage::sight::{Sight, Spot};
use crate::studio::Studio;
use crate::view::Hand;

/// One press of nearer or farther.
const ZOOM: f64 = 1.35;

/// The tools at the foot of the panel.
pub fn tools(studio: Studio) -> View {
    let faceless = move || {
        let compared = studio.view.beside.compared.with(Option::is_some);
        compared
            || matches!(
                studio.view.place.get(),
                Place::Show | Place::Paper | Place::Visits
            )
    };
    el("footer")
        .class("panel-tools")
        .put(undo(studio))
        .put(redo(studio))
        .shows(faceless, move |faceless| {
            // On paper, and where shapes are compared, no one face is looked at.
            if faceless { View::new() } else { looks(studio) }
        })
        .into()
}

fn words_of(studio: Studio, read: fn(&History) -> Option<&str>) -> ReadSignal<Option<String>> {
    selector(Box::new(move || {
        studio
            .work
            .with(|w| w.as_ref().and_then(|w| read(&w.history).map(str::to_owned)))
    }))
}

fn undo(studio: Studio) -> El {
    let words = words_of(studio, History::undo_words);
    let agreed = selector(Box::new(move || studio.undo_leaves_agreed()));
    let asked = studio.view.undo_asked;
    let title = move || {
        words
            .get_clone()
            .map(|w| match agreed.with(Option::is_some) {
                false => format!("Undo: {w}"),
                true if asked.with(|a| a.as_ref() == Some(&w)) => {
                    format!("Once more to undo what she agreed to: {w}")
                }
                true => format!("Undo: {w} (she agreed to this)"),
            })
    };
    // A stroke that isn't in the shape yet is the last thing that was done.
    let sketch = studio.view.sketch;
    let is_sketching = move || {
        studio.view.place.get() == Place::Shape
            && studio.view.hand.get() == Hand::Sketch
            && sketch.has_last()
    };
    let title = move || match is_sketching() {
        true => Some(format!("Undo: {}", sketch.last_words())),
        false => title(),
    };
    button("button bare undo", "undo")
        .flag("disabled", move || title().is_none())
        .at("title", title)
        .put(icon(Drawing::Undo))
        .put(el("span").says(move || title().unwrap_or_else(|| "Nothing to undo".to_owned())))
        .click(move || match glance(is_sketching) {
            true => sketch.take_back(),
            false => studio.undo(),
        })
        // Asked and left alone, it is asked anew.
        .on::<Event>("blur", move |_| {
            if asked.with_untracked(Option::is_some) {
                asked.set(None);
            }
        })
}

fn redo(studio: Studio) -> El {
    let words = words_of(studio, History::redo_words);
    let title = move || words.get_clone().map(|w| format!("Redo: {w}"));
    button("button bare", "redo")
        .flag("disabled", move || words.with(Option::is_none))
        .at("title", title)
        .label(move || title().unwrap_or_else(|| "Nothing to redo".to_owned()))
        .put(icon(Drawing::Redo))
        .click(move || studio.redo())
}

fn looks(studio: Studio) -> View {
    let view = studio.view;
    let zoom = move |factor: f64| {
        let stage = view.stage.get_untracked();
        let middle = Spot::new(0.5 * stage.width, 0.5 * stage.height);
        let sight = view.sight.get_untracked();
        view.fly(sight.zoomed(factor, middle, studio.photo_size_now(), stage));
    };
    let whole = move || {
        view.fly(Sight::fitting(
            studio.photo_size_now(),
            view.stage.get_untracked(),
        ));
    };
    let look = |id: &'static str, name: &'static str, of: Drawing| {
        button("button bare", id)
            .label(name)
            .at("title", name)
            .put(icon(of))
    };
    div("looking")
        .at("role", "group")
        .label("Looking")
        .put(peek(studio))
        .put(look("zoom-out", "Farther", Drawing::Farther).click(move || zoom(1.0 / ZOOM)))
        .put(look("zoom-fit", "Whole photo", Drawing::Whole).click(whole))
        .put(look("zoom-in", "Nearer", Drawing::Nearer).click(move || zoom(ZOOM)))
        .into()
}

/// Everything drawn is hidden while this is held, by finger or by key.
fn peek(studio: Studio) -> El {
    let peek = studio.view.peek;
    let mut held = button("button", "peek")
        .pressed(move || peek.get())
        .put(icon(Drawing::Bare))
        .put(el("span").words("Hold: bare face"))
        .on::<Event>("pointerdown", move |_| peek.set(true))
        .on::<Event>("contextmenu", |e| e.prevent_default())
        .on::<KeyboardEvent>("keydown", move |e| {
            if matches!(e.key().as_str(), " " | "Enter") {
                e.prevent_default();
                peek.set(true);
            }
        });
    for end in [
        "pointerup",
        "pointerleave",
        "pointercancel",
        "keyup",
        "blur",
    ] {
        held = held.on::<Event>(end, move |_| {
            if peek.get_untracked() {
                peek.set(false);
            }
        });
    }
    held
}
