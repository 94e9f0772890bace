//! What the client says of the shape, and what answers it: millimetres, seen
//! on the face before they are taken.

use std::cell::Cell;

use ophryon_brow::{Change, Phrase, Proposal};
use ophryon_frames::Side;
use ophryon_record::{apply, feedback_edit};
use sycamore::reactive::{Signal, create_effect, create_signal, on_cleanup, untrack};
use sycamore::web::View;
use wasm_bindgen::JsCast;

use super::numbers::both;
use crate::device::page;
use crate::markup::{El, button, div, el, glance, p};
use crate::number::signed;
use crate::shape;
use crate::studio::Studio;
use crate::words;

type Answer = Option<Result<Proposal, String>>;

/// The section.
pub fn section(studio: Studio) -> El {
    let said = create_signal(None::<Phrase>);
    // What was said is answered anew with every shape.
    let answer = crate::markup::selector(Box::new(move || -> Answer {
        let phrase = said.get()?;
        let record = studio.record()?;
        let answer = record.feedback(phrase);
        Some(answer.map_err(|why| words::sentence(&why.to_string())))
    }));
    let ghost = studio.view.ghost;
    create_effect(move || {
        let answer = answer.get_clone();
        untrack(|| match &answer {
            Some(Ok(proposal)) => ghost.set(on_face(studio, proposal)),
            Some(Err(_)) => ghost.set(None),
            None => {}
        });
    });
    on_cleanup(move || ghost.set(None));
    keep_the_keyboard(said);
    let heard = move || {
        let record = studio.record();
        let answers = record.and_then(|r| r.answers.clone());
        answers.map(|a| a.said).unwrap_or_default()
    };
    let in_short = move || match heard().len() {
        0 => "\u{201c}too thick\u{201d} and the like".to_owned(),
        1 => "1 answered".to_owned(),
        n => format!("{n} answered"),
    };
    let inside = div("inside")
        .put(div("answer").at("aria-live", "polite").id("answer").shows(
            move || said.get().zip(answer.get_clone()),
            move |answer| {
                match answer {
                    None => phrases(said),
                    Some((phrase, answer)) => div("proposed")
                        .put(el("h3").words(format!("“{}”", words::title(phrase.words()))))
                        .put(match answer {
                            Err(why) => nothing_left(said, why),
                            Ok(proposal) => proposed(studio, said, &proposal),
                        })
                        .into(),
                }
            },
        ))
        .shows(heard, |heard| {
            if heard.is_empty() {
                return View::new();
            }
            let all: Vec<_> = heard.iter().map(|p| format!("“{}”", p.words())).collect();
            p(format!("Answered so far: {}.", all.join(", ")))
                .class("quiet")
                .id("answered")
                .into()
        });
    shape::section("she-says", "What she says", in_short, inside)
}

/// What was pressed is gone once it is answered; the keyboard goes on with what
/// stands there instead.
fn keep_the_keyboard(said: Signal<Option<Phrase>>) {
    let begun = Cell::new(false);
    create_effect(move || {
        said.track();
        if !begun.replace(true) {
            return;
        }
        page::next_frame(|| {
            let next = page::document().and_then(|page| page.query_selector(NEXT).ok().flatten());
            if let Some(next) = next {
                // Without the focus, only the keys have a longer way.
                let _ = next.unchecked_into::<web_sys::HtmlElement>().focus();
            }
        });
    });
}

/// The first button of the answer, else of the phrases.
const NEXT: &str = "[data-testid=answer] button";

/// All that she may say.
fn phrases(said: Signal<Option<Phrase>>) -> View {
    let one = |phrase: Phrase| {
        button("button", format!("says-{}", phrase.id()))
            .words(words::title(phrase.words()))
            .click(move || said.set(Some(phrase)))
    };
    crate::parts![
        p("What does she say?"),
        div("phrases")
            .at("role", "group")
            .label("What she says")
            .all(Phrase::ALL.map(one)),
    ]
}

fn nothing_left(said: Signal<Option<Phrase>>, why: String) -> View {
    crate::parts![
        div("word").id("nothing-left").put(p(why)),
        div("buttons").put(
            button("button", "answer-leave")
                .words("Back")
                .click(move || said.set(None)),
        ),
    ]
}

/// Both brows as the answer would have them: path data in the photo's px.
fn on_face(studio: Studio, proposal: &Proposal) -> Option<String> {
    let record = glance(|| studio.record())?;
    let next = apply(&record, &feedback_edit(proposal)).ok()?;
    let drawn = next.drawn().ok()?;
    Some(Side::BOTH.map(|side| drawn.photo_path(side)).concat())
}

/// The answer: first what it comes to and the buttons, then why, then every
/// number.
fn proposed(studio: Studio, said: Signal<Option<Phrase>>, proposal: &Proposal) -> View {
    let edit = feedback_edit(proposal);
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let rows = proposal.changes.iter().map(|change| row(change).into());
    let rows = rows.collect::<Vec<View>>();
    let lead =
        in_short_of(proposal).map_or_else(View::new, |short| p(short).class("strong").into());
    let close = move || {
        studio.view.ghost.set(None);
        said.set(None);
    };
    let take = move || {
        // Answered, it isn't said any more: the next answer must not show.
        if studio.apply(&edit) {
            close();
        }
    };
    let every_number = el("table")
        .class("numbers")
        .id("answer-changes")
        .put(
            el("thead").put(
                el("tr")
                    .put(el("td"))
                    .all(["Now, mm", "Then, mm", "Change"].map(head)),
            ),
        )
        .put(el("tbody").put(View::from(rows)));
    crate::parts![
        lead,
        div("buttons")
            .put(
                button("button main", "answer-take")
                    .words("Take it")
                    .click(take),
            )
            .put(
                button("button", "answer-leave")
                    .words("Leave it")
                    .click(close),
            ),
        p(words::sentence(&proposal.reason)).id("answer-reason"),
        every_number,
        p(proposal.still_possible()).class("quiet"),
    ]
}

/// What a proposal comes to, in its leading change.
pub fn in_short_of(proposal: &Proposal) -> Option<String> {
    let leads = |change: &&Change| change.parameter == proposal.lead;
    let lead = proposal.changes.iter().find(leads);
    lead.or(proposal.changes.first()).map(in_short)
}

/// "Thickness of the body: 6.9 mm becomes 6.4 mm."
fn in_short(change: &Change) -> String {
    let (from, to) = (&change.from_mm, &change.to_mm);
    format!(
        "{}: {} mm becomes {} mm.",
        words::title(change.parameter.name()),
        both(Some(from.right), Some(from.left)),
        both(Some(to.right), Some(to.left))
    )
}

fn row(change: &Change) -> El {
    let (from, to) = (&change.from_mm, &change.to_mm);
    let cell = |words: String| el("td").words(words);
    el("tr")
        .put(
            el("th")
                .at("scope", "row")
                .words(words::title(change.parameter.name())),
        )
        .put(cell(both(Some(from.right), Some(from.left))))
        .put(cell(both(Some(to.right), Some(to.left))))
        .put(cell(signed(change.by_mm)))
}
