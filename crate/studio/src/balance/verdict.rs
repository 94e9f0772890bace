//! The verdict: a sentence to read aloud, then the plan, then the numbers.

use ophryon_record::{NOTICE_SOURCES, PhotoState, StateVerdict};
use sycamore::web::View;

use super::{numbers, of_balance, plan, second::without_ids};
use crate::ask::photo_in;
use crate::exchange::Shows;
use crate::face::question;
use crate::markup::{El, button, div, el, p, shows};
use crate::parts;
use crate::shape::section;
use crate::stage::bring::bring_buttons;
use crate::studio::Studio;
use crate::view::Compare;
use sycamore::reactive::create_signal;

/// The panel with both photos there.
pub fn verdict(studio: Studio) -> View {
    let told = move || of_balance(studio, |b| (b.verdict, b.in_use_only));
    parts![
        shows(told, |told| {
            let (title, hint) = told.map_or(("", ""), |(v, only)| headline(v, only));
            question("Balance", title, hint)
        }),
        el("blockquote")
            .class("aloud")
            .id("verdict")
            .at("aria-label", "To read to the client")
            .says(move || of_balance(studio, |b| b.aloud.clone()).unwrap_or_default()),
        cautions(studio),
        looking(studio),
        div("side-by-side").put(plan::plan(studio)).put(
            div("")
                .put(numbers::differences(studio))
                .put(others(studio))
                .put(numbers::heights(studio))
                .put(numbers::why_uncertain(studio))
                .put(photos(studio)),
        ),
    ]
}

const fn headline(verdict: StateVerdict, in_use_only: bool) -> (&'static str, &'static str) {
    match verdict {
        StateVerdict::Set => ("The difference is set in the face.", ""),
        StateVerdict::Movement => ("The difference is movement.", ""),
        StateVerdict::Both => ("Some of it is set, some is movement.", ""),
        StateVerdict::Even if in_use_only => ("It can’t be told yet.", ""),
        StateVerdict::Even => ("The brows can’t be told from even.", ""),
    }
}

/// What to bear in mind.
fn cautions(studio: Studio) -> View {
    shows(
        move || of_balance(studio, |b| b.cautions.clone()).unwrap_or_default(),
        move |all| {
            if all.is_empty() {
                return View::new();
            }
            let said = all.iter().map(|s| p(without_ids(studio, s)));
            div("word").id("balance-cautions").all(said).into()
        },
    )
}

/// Which of the photos is looked at, and how.
fn looking(studio: Studio) -> View {
    let how = studio.view.balance.how;
    let one = |to: Compare, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || how.get() == to)
            .words(name)
            .click(move || how.set(to))
    };
    div("buttons chips compare-how")
        .at("role", "group")
        .label("Photos on the stage")
        .put(one(Compare::Both, "look-both", "Both"))
        .put(one(Compare::AtRest, "look-at-rest", "At rest"))
        .put(one(Compare::InUse, "look-in-use", "In use"))
        .put(one(Compare::Blink, "look-blink", "Blink"))
        .into()
}

/// Whether others would notice.
fn others(studio: Studio) -> El {
    let notice = move || of_balance(studio, |b| b.notice.clone()).unwrap_or_default();
    section(
        "notice",
        "Would others notice?",
        String::new,
        div("inside")
            .put(el("p").id("notice-words").says(notice))
            .put(
                el("details")
                    .class("source")
                    .put(el("summary").words("Where that comes from"))
                    .put(p(NOTICE_SOURCES).class("quiet")),
            ),
    )
}

/// Another photo to compare with.
fn photos(studio: Studio) -> El {
    let busy = create_signal(false);
    let has_raised = move || {
        let record = studio.record();
        record.is_some_and(|r| {
            photo_in(&r, PhotoState::Raised).is_some()
                && photo_in(&r, PhotoState::EyesOpen).is_some()
        })
    };
    let against = studio.view.balance.against;
    let choice = move |state: PhotoState, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || against.get() == state)
            .words(name)
            .click(move || against.set(state))
    };
    let inside = div("inside")
        .shows(has_raised, move |has| {
            if !has {
                return View::new();
            }
            div("buttons chips")
                .at("role", "group")
                .label("Compared with the photo at rest")
                .put(choice(PhotoState::EyesOpen, "against-eyes-open", "Eyes wide open"))
                .put(choice(PhotoState::Raised, "against-raised", "Brows raised"))
                .into()
        })
        .put(p("Take the second photo again where the two don’t fit, or add one with brows raised where opening the eyes moves them too little.").class("quiet"))
        .put(bring_buttons(
            studio,
            busy,
            "Second photo again",
            "second-again-file",
            false,
            Shows::State(PhotoState::EyesOpen),
        ))
        .put(bring_buttons(
            studio,
            busy,
            "With brows raised",
            "raised-file",
            false,
            Shows::State(PhotoState::Raised),
        ));
    section("other-photos", "Other photos", String::new, inside)
}
