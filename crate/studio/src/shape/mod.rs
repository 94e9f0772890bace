//! The panel of the second place: the point in hand, what the constraints
//! say, both sides, the skin, the rules, the differences.

mod differences;
mod held;
mod offsets;
mod rules;
pub mod says;
pub mod tape;

use sycamore::web::View;

use crate::face::question;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::places::Place;
use crate::studio::Studio;
use crate::view::Hand;

/// The panel; while there is nothing to draw it says what is missing.
pub fn shape_panel(studio: Studio) -> View {
    let view = studio.view;
    shows(
        move || {
            let is_drawn = studio.of_shape(|_| ()).is_some();
            let compared = view.beside.compared.with(Option::is_some);
            (is_drawn, compared)
        },
        move |now| match now {
            (false, _) => not_yet(studio, Place::Shape),
            (true, true) => studio
                .later
                .shaping
                .show(move |views| (views.compare_panel)(studio)),
            (true, false) => drawn(studio),
        },
    )
}

/// First what the hands take up on the face, then what belongs to it.
fn drawn(studio: Studio) -> View {
    parts![
        studio
            .later
            .show
            .show_when_here(move |views| (views.standing)(studio)),
        hands(studio),
        shows(
            move || studio.view.hand.get(),
            move |hand| match hand {
                Hand::Points => points(studio),
                Hand::Sketch => studio.later.hands.show(move |views| (views.sketch)(studio)),
                Hand::Hair => studio.later.hands.show(move |views| (views.hair)(studio)),
            },
        ),
    ]
}

fn hands(studio: Studio) -> El {
    let hand = move |hand: Hand, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || studio.view.hand.get() == hand)
            .words(name)
            .click(move || studio.view.take_up(hand))
    };
    div("sides")
        .at("role", "group")
        .label("On the face")
        .put(hand(Hand::Points, "hand-points", "Points"))
        .put(hand(Hand::Sketch, "hand-sketch", "Sketch"))
        .put(hand(Hand::Hair, "hand-hair", "Hair"))
}

fn points(studio: Studio) -> View {
    parts![
        div("question")
            .put(says::headline(studio))
            .put(says::failing(studio)),
        div("side-by-side").put(held::held(studio)).put(
            div("").put(
                studio
                    .later
                    .shaping
                    .show(move |views| (views.sections)(studio)),
            ),
        ),
    ]
}

/// The sections about both brows and what they are measured by.
pub fn sections(studio: Studio) -> View {
    parts![
        offsets::both_sides(studio),
        tape::over_the_skin(studio),
        rules::mapping_rules(studio),
        says::all(studio),
        differences::differences(studio),
    ]
}

/// What is missing before this place has something to show.
pub fn not_yet(studio: Studio, place: Place) -> View {
    let why = move || studio.hindrance().unwrap_or_default();
    parts![
        question(
            place.name(),
            match place {
                Place::Shape => "There is no shape to show yet.",
                Place::Show => "There is nothing to show yet.",
                Place::Paper => "There is nothing to print yet.",
                _ => "The face comes first.",
            },
            "",
        ),
        div("word calm").id("not-yet").put(el("p").says(why)),
        button("button main wide", "to-face")
            .words("Go to the face")
            .click(move || studio.view.go(Place::Face)),
    ]
}

/// A section that opens: its name, what it says while closed, what is inside.
pub fn section(
    id: &'static str,
    name: &'static str,
    in_short: impl Fn() -> String + 'static,
    inside: El,
) -> El {
    el("details")
        .class("more")
        .id(id)
        .put(
            el("summary")
                .words(name)
                .put(el("span").class("beside").says(in_short)),
        )
        .put(inside)
}

/// A quiet paragraph.
fn quiet(words: &'static str) -> El {
    p(words).class("quiet")
}
