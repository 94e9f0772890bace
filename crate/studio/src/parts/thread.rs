//! The places of the work as knots on a thread.

use sycamore::reactive::ReadSignal;
use sycamore::web::View;

use crate::markup::{El, button, el, selector, svg};
use crate::places::{Place, State};
use crate::studio::Studio;

/// The thread; a knot shows whether its place is empty, needs a look or is done.
pub fn thread(studio: Studio) -> View {
    el("nav")
        .class("thread")
        .label("Places of the work")
        .all(Place::ALL.map(|place| knot(studio, place)))
        .into()
}

fn state(studio: Studio, place: Place) -> State {
    let Some(record) = studio.record() else {
        return State::Empty;
    };
    if place == Place::Balance
        && let Some(balance) = studio.later.balance.if_here()
    {
        return (balance.state)(&record);
    }
    if place == Place::Show
        && let Some(show) = studio.later.show.if_here()
    {
        return (show.state)(studio);
    }
    // What was put on paper only Paper can tell, and it has come where
    // anything was.
    let on_paper = place == Place::Paper
        && studio.on_paper.with(Option::is_some)
        && studio
            .later
            .paper
            .if_here()
            .is_some_and(|paper| (paper.is_done)(studio));
    place.state(&record, studio.study().as_deref(), on_paper)
}

fn knot(studio: Studio, place: Place) -> El {
    let state = selector(Box::new(move || state(studio, place)));
    button("knot", format!("place-{}", place.id()))
        .at("data-state", move || state.get().words())
        .at("aria-current", move || {
            (studio.view.place.get() == place).then_some("step")
        })
        .put(sign(state))
        .put(el("span").words(place.name()))
        .put(
            el("span")
                .class("for-readers")
                .says(move || format!(", {}", state.get().words())),
        )
        .click(move || {
            studio.finish();
            studio.view.go(place);
        })
}

fn sign(state: ReadSignal<State>) -> El {
    svg("svg")
        .at("class", move || match state.get() {
            State::Empty => "state",
            State::Look => "state look",
            State::Done => "state done",
        })
        .at("viewBox", "0 0 14 14")
        .decoration()
        .put(svg("circle").at("cx", "7").at("cy", "7").at("r", "5.6"))
        .put(svg("path").at("d", move || match state.get() {
            State::Empty => "",
            State::Look => "M7 3.5a3.5 3.5 0 0 1 0 7Z",
            State::Done => "M4.2 7.2 6.2 9.2 9.8 5.2",
        }))
}
