//! The sheet on the table: the same drawing that is printed.

use leptos::prelude::*;
use ophryon_stencil::write_svg;

use super::papers;
use crate::studio::Studio;
use crate::view::OnTable;

/// The sheet, or an empty table.
#[component]
pub fn Table(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let svg = Memo::new(move |_| {
        let papers = papers(studio)?.ok()?;
        let sheet = match studio.view.on_table.get() {
            OnTable::Stencil => &papers.stencil,
            OnTable::Distances => &papers.distances,
        };
        let svg = write_svg(sheet);
        // An XML declaration means nothing inside a page.
        let from = svg.find("<svg").unwrap_or(0);
        Some((svg[from..].to_owned(), sheet.title().to_owned()))
    });
    let aspect = move || {
        let paper = studio.settings.paper.get();
        format!("{:.4}", paper.width_mm() / paper.height_mm())
    };
    view! {
        <section class="table" aria-label="The sheet" data-testid="table">
            {move || {
                svg.get()
                    .map(|(svg, title)| {
                        view! {
                            <div
                                class="paper"
                                role="img"
                                aria-label=title
                                data-testid="sheet-preview"
                                style=("--paper-aspect", aspect)
                                inner_html=svg
                            ></div>
                        }
                    })
            }}
        </section>
    }
}
