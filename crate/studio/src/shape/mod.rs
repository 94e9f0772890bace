//! The panel of the second place: the point in hand, what the constraints
//! say, both sides, the skin, the rules, the differences.

mod differences;
mod held;
mod offsets;
mod rules;
mod says;
mod tape;

use leptos::prelude::*;

use crate::face::Question;
use crate::places::Place;
use crate::studio::Studio;
use crate::words;

/// The panel; while there is nothing to draw it says what is missing.
#[component]
pub fn ShapePanel(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let is_drawn = Memo::new(move |_| studio.drawn.with(|d| matches!(d, Some(Ok(_)))));
    move || {
        if is_drawn.get() {
            view! { <Drawn studio=studio /> }.into_any()
        } else {
            view! { <NotYet studio=studio /> }.into_any()
        }
    }
}

#[component]
fn Drawn(studio: Studio) -> impl IntoView {
    view! {
        <says::Headline studio=studio />
        <div class="side-by-side">
            <held::Held studio=studio />
            <says::Failing studio=studio />
        </div>
        <div>
            <offsets::BothSides studio=studio />
            <tape::OverTheSkin studio=studio />
            <rules::MappingRules studio=studio />
            <says::All studio=studio />
            <differences::Differences studio=studio />
        </div>
    }
}

/// What is missing before there is a shape.
#[component]
pub fn NotYet(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let why = move || {
        studio
            .drawn
            .with(|d| d.as_ref().and_then(|d| d.as_ref().err().map(words::study)))
    };
    view! {
        <Question step="Shape" text="There is no shape to show yet." />
        <div class="word calm" data-testid="not-yet">
            <p>{why}</p>
        </div>
        <button
            type="button"
            class="button main wide"
            data-testid="to-face"
            on:click=move |_| studio.view.go(Place::Face)
        >
            "Go to the face"
        </button>
    }
}
