//! Invented clients to try things out on.

use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::Doing;
use crate::exchange::{Practise, SAMPLES, Sample};
use crate::markup::{El, button, div, el, p, yes_no};
use crate::parts;

/// The samples: one button, then how and which.
pub fn samples(doing: Doing) -> El {
    let open = create_signal(false);
    let how = create_signal(Practise::Shape);
    let way = move |to: Practise, words: &'static str, id: &'static str| {
        button("button", id)
            .pressed(move || how.get() == to)
            .words(words)
            .click(move || how.set(to))
    };
    let choice = move |sample: Sample| {
        button("choice", sample.folder)
            .put(el("strong").words(sample.name))
            .put(el("small").words(sample.about))
            .click(move || {
                let how = how.get_untracked();
                doing.run("Fetching the sample", doing.studio.open_sample(sample, how));
            })
    };
    el("section")
        .put(
            button("button wide", "try-sample")
                .at("aria-expanded", yes_no(move || open.get()))
                .words("Try a sample client")
                .click(move || open.set(!open.get_untracked())),
        )
        .shows(
            move || open.get(),
            move |is_open| {
                if !is_open {
                    return View::new();
                }
                parts![
                    p("All three are invented; their photos are drawn by a program.")
                        .class("quiet"),
                    div("sides")
                        .at("role", "group")
                        .label("How to begin")
                        .put(way(
                            Practise::Shape,
                            "Go straight to the shape",
                            "sample-shape"
                        ))
                        .put(way(
                            Practise::Everything,
                            "Tap everything myself",
                            "sample-everything",
                        )),
                    div("choices").all(SAMPLES.map(choice)),
                ]
            },
        )
}
