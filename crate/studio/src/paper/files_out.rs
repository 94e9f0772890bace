//! Printing, and files to save.

use ophryon_record::Papers;
use ophryon_stencil::{print_page, print_pages};

use super::made;
use crate::device::{files, print as printer};
use crate::markup::glance;
use crate::studio::Studio;

/// The shape as it is now counts as put on paper.
fn on_paper(studio: Studio, papers: &Papers) {
    studio
        .on_paper
        .set(Some(papers.report.head.fingerprint.clone()));
}

/// Prints the pages that lie on the table.
pub fn print(studio: Studio) {
    if let Some(papers) = made::now(studio)
        && studio.tell(printer::page(&print_pages(&papers.pages())))
    {
        on_paper(studio, &papers);
    }
}

/// Prints the list of distances alone.
pub fn print_list(studio: Studio) {
    if let Some(papers) = made::now(studio) {
        studio.tell(printer::page(&print_page(&papers.distances)));
    }
}

/// Prints the check page, corrected for a printer or for none.
pub fn print_check(studio: Studio, corrected_for: Option<&str>) -> bool {
    let page = glance(|| made::check_page(studio, corrected_for));
    studio.tell(printer::page(&print_page(&page)))
}

/// Saves `stencil.svg`.
pub fn save_svg(studio: Studio) {
    if let Some(papers) = made::now(studio)
        && studio.tell(files::save_text(
            "stencil.svg",
            "image/svg+xml",
            &papers.stencil_svg(),
        ))
    {
        on_paper(studio, &papers);
    }
}

/// Saves `report.json`.
pub fn save_report(studio: Studio) {
    if let Some(papers) = made::now(studio) {
        let json = papers.report_json();
        studio.tell(files::save_text("report.json", "application/json", &json));
    }
}
