//! The table of differences: right, left, and by how much.

use ophryon_brow::Difference;
use sycamore::web::View;

use super::section;
use crate::markup::{El, div, el};
use crate::number::{signed, tenths};
use crate::studio::Studio;
use crate::words;

/// Below this a ruler shows no difference, mm.
const SEEN_MM: f64 = 0.05;

/// The section.
pub fn differences(studio: Studio) -> El {
    let rows = move || {
        studio
            .of_shape(|d| d.differences.clone())
            .unwrap_or_default()
    };
    let in_short = move || {
        let largest = rows()
            .iter()
            .map(|d| d.difference_mm.abs())
            .fold(0.0, f64::max);
        if largest < SEEN_MM {
            "none".to_owned()
        } else {
            format!("up to {} mm", tenths(largest))
        }
    };
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let table = el("table")
        .class("numbers")
        .put(
            el("caption")
                .class("for-readers")
                .words("Lengths on the skin in mm, client's right and left, and right less left"),
        )
        .put(
            el("thead").put(
                el("tr").all(
                    [
                        "mm on the skin",
                        "Client's right",
                        "Client's left",
                        "Difference",
                    ]
                    .map(head),
                ),
            ),
        )
        .put(el("tbody").shows(rows, |rows| {
            View::from(rows.iter().map(|d| row(d).into()).collect::<Vec<_>>())
        }));
    section(
        "differences",
        "Differences of the drawn pair",
        in_short,
        div("scroll-across").put(table),
    )
}

fn row(d: &Difference) -> El {
    let differs = d.difference_mm.abs() >= SEEN_MM;
    let cell = |words: String| el("td").words(words);
    el("tr")
        .class(if differs { "differs" } else { "" })
        .id(format!("difference-{}", d.id))
        .put(el("th").at("scope", "row").words(words::title(d.name)))
        .put(cell(tenths(d.right_mm)))
        .put(cell(tenths(d.left_mm)))
        .put(cell(signed(d.difference_mm)))
}
