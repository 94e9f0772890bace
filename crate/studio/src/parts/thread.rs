//! The places of the work as knots on a thread.

use leptos::prelude::*;

use crate::places::{Place, State};
use crate::studio::Studio;

/// The thread; a knot shows whether its place is empty, needs a look or is done.
#[component]
pub fn Thread(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let state = move |place: Place| {
        studio.shown.with(|record| match record {
            Some(record) => studio.drawn.with(|drawn| {
                let mark = drawn
                    .as_ref()
                    .and_then(|d| d.as_ref().ok())
                    .map(|d| record.fingerprint_of(d));
                let on_paper = mark.is_some() && studio.on_paper.get() == mark;
                place.state(record, drawn.as_ref(), on_paper)
            }),
            None => State::Empty,
        })
    };
    let knot = move |place: Place| {
        let state = Memo::new(move |_| state(place));
        let is_here = move || studio.view.place.get() == place;
        view! {
            <button
                type="button"
                class="knot"
                data-testid=format!("place-{}", place.id())
                data-state=move || state.get().words()
                aria-current=move || is_here().then_some("step")
                on:click=move |_| {
                    studio.finish();
                    studio.view.go(place);
                }
            >
                <KnotSign state=state />
                <span>{place.name()}</span>
                <span class="for-readers">{move || format!(", {}", state.get().words())}</span>
            </button>
        }
    };
    view! {
        <nav class="thread" aria-label="Places of the work">
            {Place::ALL.into_iter().map(knot).collect_view()}
        </nav>
    }
}

#[component]
fn KnotSign(state: Memo<State>) -> impl IntoView {
    let class = move || match state.get() {
        State::Empty => "state",
        State::Look => "state look",
        State::Done => "state done",
    };
    let path = move || match state.get() {
        State::Empty => "",
        State::Look => "M7 3.500a3.500 3.500 0 0 1 0 7Z",
        State::Done => "M4.200 7.200 6.200 9.200 9.800 5.200",
    };
    view! {
        <svg class=class viewBox="0 0 14 14" aria-hidden="true">
            <circle cx="7" cy="7" r="5.600" />
            <path d=path />
        </svg>
    }
}
