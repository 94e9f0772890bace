//! The healed brows measured against what was agreed, and what is learned.
//!
//! Reached from the place Visits by [`section`] and [`table`] alone, and by
//! [`learned`] from where the healed size is chosen.

pub mod learned;
mod measure;
mod over;
mod told;

use ophryon_record::{NotLaid, PhotoState, Record};
use sycamore::reactive::create_signal;
use sycamore::web::View;

use self::measure::{Found, at_hand};
use crate::exchange::Shows;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::places::Place;
use crate::stage::bring::bring_buttons;
use crate::studio::Studio;
use crate::words;

pub use self::over::table;

/// Where the check stands.
#[derive(Debug, Clone, PartialEq)]
enum Stands {
    /// No shape to measure against.
    NoShape,
    /// One is proposed and was not taken.
    NotTaken,
    /// No photo yet.
    NoPhoto,
    /// Something is to be tapped or mended in it.
    ToTap(String),
    /// It can be measured.
    Ready,
}

fn stands(record: &Record) -> Stands {
    match record.laid_over() {
        Ok(_) => Stands::Ready,
        Err(NotLaid::NoShape) => Stands::NoShape,
        Err(NotLaid::NoPhoto) if record.pair.is_none() => Stands::NoShape,
        Err(NotLaid::NoPhoto) => Stands::NoPhoto,
        Err(NotLaid::Study(why)) => Stands::ToTap(words::study(&why)),
        Err(NotLaid::Later(why)) => Stands::ToTap(words::study(&why)),
        Err(why) => Stands::ToTap(words::sentence(&why.to_string())),
    }
}

/// The sentence of the moment, below that of the visit; read out when it
/// changes.
fn asked(text: impl Into<String>, hint: impl Into<String>) -> View {
    let (text, hint) = (text.into(), hint.into());
    let asked = div("question")
        .at("aria-live", "polite")
        .put(el("h2").id("healed-asked").words(text));
    if hint.is_empty() {
        asked.into()
    } else {
        asked.put(p(hint).class("quiet")).into()
    }
}

/// What the panel asks and offers.
pub fn section(studio: Studio) -> View {
    let hand = at_hand(studio);
    hand.follow(studio);
    let state = move || {
        let state = stands(studio.record()?.as_ref());
        let is_proposed = state == Stands::NoShape && studio.hindrance().is_none();
        Some(if is_proposed { Stands::NotTaken } else { state })
    };
    let asked = shows(state, move |state| match state {
        None => View::new(),
        Some(Stands::NoShape) => asked(
            "There is no shape yet that a healed brow could be measured against.",
            "Draw one first, and let the client agree to it.",
        ),
        Some(Stands::NotTaken) => parts![
            asked(
                "The proposed shape isn't taken yet.",
                "Healed brows are measured against the shape that was drawn. Take the proposal first.",
            ),
            button("button main wide", "to-proposal")
                .words("Go to the shape")
                .click(move || studio.view.go(Place::Shape)),
        ],
        Some(Stands::NoPhoto) => first_photo(studio),
        Some(Stands::ToTap(why)) => to_tap(studio, why),
        Some(Stands::Ready) => measured(studio),
    });
    parts![
        div("healed-check").id("healed-check").put(asked),
        div("rows").put(learned::section(studio)),
    ]
}

fn first_photo(studio: Studio) -> View {
    let busy = create_signal(false);
    parts![
        asked(
            "Bring a photo of the healed brows.",
            "Four to eight weeks after the work, as the first one was taken: from the front, face at rest, even light, a card, ruler or sticker beside the brows.",
        ),
        bring_buttons(
            studio,
            busy,
            "Choose the healed photo",
            "healed-file",
            true,
            Shows::State(PhotoState::Healed),
        ),
        p("It is compared with the agreed shape. The design, its sheet and the client's yes stay as they are.")
            .class("quiet"),
    ]
}

fn to_tap(studio: Studio, why: String) -> View {
    parts![
        asked("The healed photo isn't tapped yet.", ""),
        div("word").put(p(why)),
        button("button main wide", "tap-healed")
            .words("Go on tapping")
            .click(move || {
                studio.view.look_at_photo(PhotoState::Healed);
                studio.view.go(Place::Face);
            }),
        another(studio),
    ]
}

/// Another photo takes the place of this one, which stays kept.
fn another(studio: Studio) -> El {
    let busy = create_signal(false);
    el("details")
        .class("more")
        .id("other-healed")
        .put(el("summary").words("Another healed photo"))
        .put(
            div("inside")
                .put(bring_buttons(
                    studio,
                    busy,
                    "Another photo",
                    "other-healed-file",
                    false,
                    Shows::State(PhotoState::Healed),
                ))
                .put(
                    p("This one stays kept with the visits; it is no longer measured.")
                        .class("quiet"),
                ),
        )
}

fn measured(studio: Studio) -> View {
    let hand = at_hand(studio);
    let found = shows(
        move || hand.found.get_clone(),
        move |found| match found {
            None => div("coming quiet busy")
                .at("role", "status")
                .words("Measuring the healed brows")
                .into(),
            Some(Found::Not(why)) => parts![
                asked("The healed brows could not be measured.", ""),
                div("word").id("not-measured").put(p(why)),
            ],
            Some(Found::Measured(outcome)) => told::outcome(studio, &outcome),
        },
    );
    parts![found, again(studio), another(studio)]
}

fn again(studio: Studio) -> El {
    button("button wide", "tap-healed-again")
        .words("Look at its landmarks and scale")
        .click(move || {
            studio.view.look_at_photo(PhotoState::Healed);
            studio.view.go(Place::Face);
        })
}
