//! The list that the ruler's readings go into: a box for each, as on the
//! printed one.

use ophryon_frames::Side;
use ophryon_stencil::{CheckedDistance, DistanceKind, RulerVerdict};
use sycamore::web::View;

use super::ruler::{self, Which};
use crate::device::page;
use crate::markup::{El, button, div, el, shows};
use crate::number::tenths;
use crate::studio::Studio;
use crate::words;

/// The list on the table.
pub fn worksheet(studio: Studio) -> View {
    let seen = move || {
        let check = ruler::check(studio)?;
        let current = ruler::current(studio, &check).map(|r| (r.id, r.side));
        Some((check.rows, current))
    };
    el("section")
        .class("table")
        .label("The list of distances")
        .id("worksheet")
        .put(shows(seen, move |seen| match seen {
            None => View::new(),
            Some((rows, current)) => div("room list").put(list(studio, &rows, current)).into(),
        }))
        .into()
}

fn list(studio: Studio, rows: &[CheckedDistance], current: Option<Which>) -> El {
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    let mut table = el("table").class("worksheet").put(
        el("thead").put(
            el("tr")
                .put(head("All in mm"))
                .put(head("Client's right").at("colspan", "2"))
                .put(head("Client's left").at("colspan", "2")),
        ),
    );
    for kind in DistanceKind::ALL {
        let of_kind: Vec<_> = rows.iter().filter(|r| r.kind == kind).collect();
        let mut body = el("tbody").put(
            el("tr").class("how").put(
                el("th")
                    .at("scope", "rowgroup")
                    .at("colspan", "5")
                    .words(kind.how()),
            ),
        );
        for right in of_kind.iter().filter(|r| r.side == Side::Right) {
            let left = of_kind
                .iter()
                .find(|r| r.side == Side::Left && r.id == right.id);
            let mut line = el("tr")
                .id(format!("distance-{}", right.id.id()))
                .put(el("th").at("scope", "row").words(words::title(right.name)));
            for row in [Some(right), left].into_iter().flatten() {
                line = line
                    .put(el("td").words(format!(
                        "{} \u{b1} {}",
                        tenths(row.expected_mm),
                        tenths(row.tolerance_mm)
                    )))
                    .put(el("td").put(reading(studio, row, current)));
            }
            body = body.put(line);
        }
        table = table.put(body);
    }
    table
}

/// The box for one reading.
fn reading(studio: Studio, row: &CheckedDistance, current: Option<Which>) -> El {
    let which = (row.id, row.side);
    let is_current = current == Some(which);
    let class = match row.verdict {
        RulerVerdict::NotRead => "box",
        RulerVerdict::Agrees => "box agrees",
        RulerVerdict::Off => "box off",
        RulerVerdict::Earlier => "box earlier",
    };
    let shown = row.read_mm.map(tenths).unwrap_or_default();
    let said = format!(
        "{} Should be {} mm.",
        ruler::compared(row),
        tenths(row.expected_mm)
    );
    let reading = button(class, format!("read-{}-{}", row.side.name(), row.id.id()))
        .label(said)
        .words(shown)
        .click(move || studio.view.reading.set(Some(which)));
    if !is_current {
        return reading;
    }
    reading.at("aria-current", "true").raw(|element| {
        // Once it stands; only as far as it must.
        page::next_frame(move || {
            let how = web_sys::ScrollIntoViewOptions::new();
            how.set_block(web_sys::ScrollLogicalPosition::Nearest);
            element.scroll_into_view_with_scroll_into_view_options(&how);
        });
    })
}
