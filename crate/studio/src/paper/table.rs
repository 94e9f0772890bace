//! The sheet on the table: the same drawing that is printed.

use ophryon_stencil::write_svg;
use sycamore::web::View;

use super::papers;
use crate::markup::{div, el};
use crate::studio::Studio;
use crate::view::OnTable;

/// The sheet, or an empty table.
pub fn table(studio: Studio) -> View {
    let sheet = move || {
        let papers = papers(studio)?.ok()?;
        let sheet = match studio.view.on_table.get() {
            OnTable::Stencil => &papers.stencil,
            OnTable::Distances => &papers.distances,
        };
        let svg = write_svg(sheet);
        // An XML declaration means nothing inside a page.
        let from = svg.find("<svg").unwrap_or(0);
        let paper = sheet.paper();
        let aspect = format!(
            "--paper-aspect: {:.4}",
            paper.width_mm() / paper.height_mm()
        );
        Some((svg[from..].to_owned(), sheet.title().to_owned(), aspect))
    };
    el("section")
        .class("table")
        .label("The sheet")
        .id("table")
        .shows(sheet, |sheet| match sheet {
            None => View::new(),
            Some((svg, title, aspect)) => div("paper")
                .at("role", "img")
                .label(title)
                .at("style", aspect)
                .id("sheet-preview")
                .markup(svg)
                .into(),
        })
        .into()
}
