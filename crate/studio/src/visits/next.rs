//! When the client comes next: proposed, edited, left open.

use ophryon_record::{NEXT_VISIT_WEEKS, NextVisit, VisitChange};
use sycamore::web::View;

use super::bench::Bench;
use super::days::DayField;
use crate::markup::{El, button, div, el, glance, p};
use crate::shape;
use crate::studio::Studio;
use crate::words;

/// Its id.
pub const SECTION: &str = "next-visit";

/// The section.
pub fn section(studio: Studio, bench: Bench) -> El {
    let next = move || bench.of_visit(studio, |visit| visit.next).flatten();
    let in_short = move || match next() {
        None => "open".to_owned(),
        Some(next) if next.from == next.to => next.from.in_words(),
        Some(next) => format!("from {}", next.from.in_words()),
    };
    let inside = div("inside").shows(
        move || next().is_some(),
        move |is_settled| {
            if is_settled {
                settled(studio, bench)
            } else {
                proposed(studio, bench)
            }
        },
    );
    shape::section(SECTION, "Next visit", in_short, inside)
}

fn set(studio: Studio, bench: Bench, next: Option<NextVisit>) {
    bench.change(studio, VisitChange::Next(next));
}

/// What is common, to be taken by a tap.
fn proposed(studio: Studio, bench: Bench) -> View {
    let proposed = move || {
        let proposed = bench.of_visit(studio, |visit| visit.proposed_next());
        proposed.flatten()
    };
    let (least, most) = NEXT_VISIT_WEEKS;
    let words = move || {
        let proposed = proposed().map(NextVisit::words);
        format!(
            "Common is {least} to {most} weeks after: {}.",
            proposed.unwrap_or_default()
        )
    };
    div("visit-stack")
        .put(el("p").id("next-proposed").says(words))
        .put(
            button("button", "take-next")
                .words("Settle it so")
                .click(move || set(studio, bench, glance(proposed))),
        )
        .into()
}

/// Both days, to be edited.
fn settled(studio: Studio, bench: Bench) -> View {
    let next = move || bench.of_visit(studio, |visit| visit.next).flatten();
    let said = move || next().map_or_else(String::new, |n| words::sentence(&n.words()));
    let field = |label, id, of: fn(NextVisit) -> ophryon_record::Day, is_from: bool| {
        DayField {
            label,
            id,
            can_be_empty: false,
        }
        .view(
            move || next().map(of),
            move |day| {
                let (Some(day), Some(now)) = (day, glance(next)) else {
                    return;
                };
                // The other day gives way where they would cross.
                let next = if is_from {
                    NextVisit {
                        from: day,
                        to: now.to.max(day),
                    }
                } else {
                    NextVisit {
                        from: now.from.min(day),
                        to: day,
                    }
                };
                set(studio, bench, Some(next));
            },
        )
    };
    div("visit-stack")
        .put(
            div("pair-fields")
                .put(field("Not before", "next-from", |n| n.from, true))
                .put(field("Not after", "next-to", |n| n.to, false)),
        )
        .put(el("p").class("quiet").id("next-said").says(said))
        .put(
            button("button", "next-open")
                .words("Leave it open")
                .click(move || set(studio, bench, None)),
        )
        .put(p("A range, no promise: skin is looked at before it is worked again.").class("quiet"))
        .into()
}
