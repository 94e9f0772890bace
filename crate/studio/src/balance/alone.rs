//! The photo at rest alone: what it says, and what it can't.

use ophryon_record::{Length, NaturalDifference};
use sycamore::web::View;

use super::numbers::which;
use crate::face::question;
use crate::markup::{El, button, div, el, p};
use crate::parts;
use crate::places::Place;
use crate::studio::Studio;
use crate::words;

/// What one photo says.
pub fn alone(studio: Studio) -> View {
    let rows = move || {
        studio
            .of_shape(|d| d.measured.natural_table())
            .unwrap_or_default()
    };
    parts![
        question(
            "Balance",
            "What the photo at rest says by itself.",
            "",
        ),
        el("table").class("numbers differences").id("alone-table").put(
            el("caption").words("How much higher one brow is"),
        ).put(el("tbody").shows(rows, |rows| {
            View::from(rows.iter().map(|r| row(r).into()).collect::<Vec<_>>())
        })),
        div("word calm").id("alone-limits").put(p(
            "What can't be known from one photo: whether a difference is set in the face or muscle that was at work even now. So there is no plan here; an offset can still be set by hand under Shape.",
        )),
        button("button main wide", "to-shape")
            .words("Go to the shape")
            .click(move || studio.view.go(Place::Shape)),
        button("button wide", "not-alone")
            .words("Bring a second photo after all")
            .click(move || studio.view.balance.alone.set(false)),
    ]
}

fn row(row: &NaturalDifference) -> El {
    let Length { mm, plus_minus_mm } = row.height;
    el("tr")
        .put(
            el("th")
                .at("scope", "row")
                .words(words::title(row.place.name())),
        )
        .put(which(
            mm,
            plus_minus_mm,
            row.height_distinguishable,
            "higher",
        ))
}
