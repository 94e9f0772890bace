//! What is worth remembering of a visit.

use ophryon_record::VisitChange;
use web_sys::Event;

use super::bench::Bench;
use crate::markup::{El, div, el, value_of};
use crate::shape;
use crate::studio::Studio;

/// Letters of the note that are shown beside its name.
const SHOWN: usize = 24;

/// The section.
pub fn section(studio: Studio, bench: Bench) -> El {
    let notes = move || {
        let notes = bench.of_visit(studio, |visit| visit.notes.clone());
        notes.unwrap_or_default()
    };
    let in_short = move || {
        let notes = notes();
        let line = notes.lines().next().unwrap_or_default();
        if line.chars().count() > SHOWN {
            let shown: String = line.chars().take(SHOWN).collect();
            format!("{}…", shown.trim_end())
        } else {
            line.to_owned()
        }
    };
    let field = el("textarea")
        .class("plain-input")
        .at("rows", "4")
        .id("visit-notes")
        .label("Notes of this visit")
        .value(notes)
        // Kept as it is written: a page may go without the field being left.
        .on::<Event>("focus", move |_| studio.written())
        .on::<Event>("input", move |e| {
            bench.write_on(studio, VisitChange::Notes(value_of(e)));
        });
    let inside = div("inside").put(field);
    shape::section("notes", "Notes", in_short, inside)
}
