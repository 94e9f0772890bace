//! Everything she ever agreed to, what was withdrawn included.

use ophryon_agreement::Seal;
use ophryon_record::{ConsentEdit, Edit, Record};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;

use super::papers;
use crate::device::clock;
use crate::markup::{El, button, div, el, p, selector};
use crate::paper::agreement::To;
use crate::shape;
use crate::studio::Studio;
use crate::words::sentence;

/// One agreement as it stands in the list.
#[derive(Clone, PartialEq)]
struct Row {
    index: usize,
    seal: Seal,
    /// "14 March 2025, 15:09", or that it is damaged.
    head: String,
    stands: String,
    is_good: bool,
    is_withdrawn: bool,
    keeps_photos: bool,
}

fn rows(record: &Record) -> Vec<Row> {
    let state = record.agreed();
    let now = state.seal();
    let all = record.consent.agreements.iter().enumerate();
    let rows = all.map(|(index, one)| {
        let read = one.read();
        let head = match &read {
            Ok(sealed) => format!("Version {}, {}", one.version, sealed.at.in_words()),
            Err(_) => format!("Version {}", one.version),
        };
        let stands = match (&read, &one.withdrawn) {
            (Err(why), _) => sentence(&format!("damaged: {why}")),
            (Ok(_), Some(at)) => format!("WITHDRAWN {}.", at.in_words()),
            (Ok(_), None) if now == Some(&one.seal) => "It holds for the present shape.".to_owned(),
            (Ok(_), None) => "Not to the present shape.".to_owned(),
        };
        Row {
            index,
            seal: one.seal,
            head,
            stands,
            is_good: read.is_ok(),
            is_withdrawn: one.withdrawn.is_some(),
            keeps_photos: read.is_ok_and(|sealed| sealed.keeps_photos()),
        }
    });
    rows.collect()
}

/// The section.
pub fn section(studio: Studio) -> El {
    let all = selector(Box::new(move || {
        let record = studio.record();
        record.map_or_else(Vec::new, |r| rows(&r))
    }));
    let in_short = move || match all.with(Vec::len) {
        0 => "none yet".to_owned(),
        1 => "1".to_owned(),
        n => n.to_string(),
    };
    let asked = create_signal(None::<usize>);
    let with_face = create_signal(true);
    let busy = create_signal(false);
    let inside = div("inside").id("agreements").shows(
        move || (all.get_clone(), asked.get()),
        move |(all, asked_now)| {
            if all.is_empty() {
                return p("What she signs comes to stand here, to be printed.")
                    .class("quiet")
                    .into();
            }
            let list = all.into_iter().rev().map(|row| {
                let is_asked = asked_now == Some(row.index);
                one(studio, &row, asked, is_asked, with_face, busy).into()
            });
            View::from(list.collect::<Vec<View>>())
        },
    );
    shape::section("all-agreements", "Agreements and papers", in_short, inside)
}

fn one(
    studio: Studio,
    row: &Row,
    asked: Signal<Option<usize>>,
    is_asked: bool,
    with_face: Signal<bool>,
    busy: Signal<bool>,
) -> El {
    let index = row.index;
    let class = if row.is_withdrawn {
        "agreement-row withdrawn"
    } else {
        "agreement-row"
    };
    let card = div(class)
        .id(format!("agreement-{}", index + 1))
        .put(el("strong").words(row.head.clone()))
        .put(p(format!("{} Seal {}.", row.stands, row.seal.short())));
    if !row.is_good {
        return card;
    }
    let face = if row.keeps_photos {
        button("button", format!("paper-face-{}", index + 1))
            .pressed(move || with_face.get())
            .words("With her face")
            .click(move || with_face.set(!with_face.get_untracked()))
    } else {
        p("She does not let photos be kept, so it is drawn without her face.").class("quiet")
    };
    let papers = div("buttons")
        .put(
            button("button", format!("print-agreement-{}", index + 1))
                .flag("disabled", move || busy.get())
                .words("Print")
                .click(move || {
                    papers::put_on_paper(
                        studio,
                        index,
                        with_face.get_untracked(),
                        To::Printer,
                        busy,
                    )
                }),
        )
        .put(
            button("button", format!("save-agreement-{}", index + 1))
                .flag("disabled", move || busy.get())
                .words("Save as PDF")
                .click(move || {
                    papers::put_on_paper(studio, index, with_face.get_untracked(), To::File, busy)
                }),
        );
    let card = card.put(face).put(papers).put(papers::busy_word(busy));
    if row.is_withdrawn {
        return card;
    }
    if !is_asked {
        return card.put(
            button("button bare", format!("withdraw-{}", index + 1))
                .words("She takes it back")
                .click(move || asked.set(Some(index))),
        );
    }
    let seal = row.seal;
    card.put(
        div("word")
            .id("withdraw-really")
            .put(p(
                "It stays to be seen, as withdrawn. This can’t be undone; she can only agree anew.",
            ))
            .put(
                div("buttons")
                    .put(
                        button("button", "withdraw-now")
                            .words("Withdraw it")
                            .click(move || withdraw(studio, seal, asked)),
                    )
                    .put(
                        button("button", "withdraw-leave")
                            .words("Leave it")
                            .click(move || asked.set(None)),
                    ),
            ),
    )
}

fn withdraw(studio: Studio, seal: Seal, asked: Signal<Option<usize>>) {
    asked.set(None);
    let Some(at) = clock::moment() else {
        studio.said.set(Some(
            "This device tells no time, so nothing was withdrawn.".to_owned(),
        ));
        return;
    };
    studio.apply(&Edit::Consent(ConsentEdit::Withdraw { seal, at }));
}
