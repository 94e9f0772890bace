//! After her yes: when, and the seal's first digits.

use std::rc::Rc;

use ophryon_agreement::When;
use sycamore::web::View;

use super::Desk;
use crate::handed::words::Words;
use crate::markup::{button, div, el, glance, p, shows};

/// The page.
pub fn done(desk: &Desk, on_done: Rc<dyn Fn()>) -> View {
    let words = desk.words;
    let asking = desk.asking.clone();
    shows(
        move || (asking.signed(), words.language()),
        move |(signed, _)| {
            let Some((at, seal)) = signed else {
                return View::new();
            };
            let on_done = Rc::clone(&on_done);
            let when = glance(|| when_in_words(words, &at));
            let sealed = seal.map_or_else(View::new, |seal| {
                let line = glance(|| words.say_with("sign-seal", &[("seal", &seal.short())]));
                crate::parts![
                    el("p").class("large seal").id("signed-seal").words(line),
                    p(glance(|| words.say("sign-seal-means"))),
                ]
            });
            crate::parts![
                div("signing-page")
                    .at("role", "status")
                    .put(
                        el("h1")
                            .id("signed")
                            .words(glance(|| words.say("sign-done")))
                    )
                    .put(
                        p(glance(
                            || words.say_with("sign-done-when", &[("when", &when)])
                        ))
                        .class("large"),
                    )
                    .put(sealed),
                div("signing-answers").put(
                    button("button main", "sign-finish")
                        .words(glance(|| words.say("sign-finish")))
                        .click(move || on_done()),
                ),
            ]
        },
    )
}

/// "14 March 2025, 15:09", as her language has it.
pub fn when_in_words(words: Words, at: &When) -> String {
    let Some((year, month, day)) = at.day().map(ophryon_agreement::Day::parts) else {
        return at.in_words();
    };
    let months = words.say("months");
    let month = months.split(' ').nth(month.saturating_sub(1) as usize);
    words.say_with(
        "when",
        &[
            ("day", &day.to_string()),
            ("month", month.unwrap_or_default()),
            ("year", &year.to_string()),
            ("time", at.time()),
        ],
    )
}
