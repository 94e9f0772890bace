//! The distances that a ruler must read, as a table.

use ophryon_stencil::{Distance, DistanceKind};
use sycamore::reactive::ReadSignal;
use sycamore::web::View;

use super::Made;
use crate::markup::{El, div, el};
use crate::number::tenths;
use crate::words;

/// The table, in the kinds of reading.
pub fn ruler_list(made: ReadSignal<Made>) -> El {
    let rows = move || match made.get_clone() {
        Some(Ok(papers)) => papers.report.distances.clone(),
        _ => Vec::new(),
    };
    div("inside").shows(rows, |rows| {
        let tables = DistanceKind::ALL.map(|kind| table(kind, &rows).into());
        View::from(Vec::from(tables))
    })
}

fn table(kind: DistanceKind, rows: &[Distance]) -> El {
    let head = |words: &'static str| el("th").at("scope", "col").words(words);
    el("table")
        .class("numbers")
        .put(el("caption").class("quiet").words(kind.how()))
        .put(el("thead").put(el("tr").all(["mm", "Client's right", "Client's left"].map(head))))
        .put(el("tbody").all(rows.iter().filter(|d| d.kind == kind).map(row)))
}

fn row(d: &Distance) -> El {
    el("tr")
        .id(format!("distance-{}", d.id))
        .put(el("th").at("scope", "row").words(words::title(d.name)))
        .put(el("td").words(tenths(d.right_mm)))
        .put(el("td").words(tenths(d.left_mm)))
}
