//! Printing, and files to save. The same names and bytes as `ophryon sheet`.

use ophryon_record::Papers;
use ophryon_stencil::{Sides, print_page, print_pages};
use sycamore::reactive::Signal;
use wasm_bindgen_futures::spawn_local;

use super::letters::{boxes, letters};
use super::made;
use crate::device::{files, print as printer};
use crate::markup::glance;
use crate::studio::Studio;
use crate::words;

const PDF: &str = "application/pdf";

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

/// The stencil's file: "stencil-right.svg" where one side stands alone.
pub fn stencil_file(studio: Studio, ending: &str) -> String {
    let side = match studio.settings.sheet.get().sides {
        Sides::Both => "",
        Sides::Right => "-right",
        Sides::Left => "-left",
    };
    format!("stencil{side}.{ending}")
}

/// Saves the stencil as SVG.
pub fn save_svg(studio: Studio) {
    let name = glance(|| stencil_file(studio, "svg"));
    if let Some(papers) = made::now(studio)
        && studio.tell(files::save_text(
            &name,
            "image/svg+xml",
            &papers.stencil_svg(),
        ))
    {
        on_paper(studio, &papers);
    }
}

/// Saves every page as PDF. `busy` while that takes.
pub fn save_pdf(studio: Studio, busy: Signal<bool>) {
    let name = glance(|| stencil_file(studio, "pdf"));
    let Some(papers) = made::now(studio) else {
        return;
    };
    working(busy, async move {
        let press = studio.later.press.get().await;
        let fonts = letters(&papers.pages()).await;
        let written = press.and_then(|press| {
            let pdf = (press.pdf)(&papers.pages(), &fonts).map_err(|why| words::sentence(&why))?;
            files::save_bytes(&name, PDF, &pdf.bytes)?;
            Ok(pdf.missing)
        });
        match written {
            Ok(missing) => {
                on_paper(studio, &papers);
                studio.said.set(boxes(&missing));
            }
            Err(why) => studio.said.set(Some(why)),
        }
    });
}

/// Saves the list of distances as a PDF of its own.
pub fn save_list(studio: Studio, busy: Signal<bool>) {
    let Some(papers) = made::now(studio) else {
        return;
    };
    working(busy, async move {
        let press = studio.later.press.get().await;
        let fonts = letters(&[&papers.distances]).await;
        let written = press.and_then(|press| {
            let pdf =
                (press.pdf)(&[&papers.distances], &fonts).map_err(|why| words::sentence(&why))?;
            files::save_bytes("distances.pdf", PDF, &pdf.bytes)
        });
        studio.tell(written);
    });
}

/// Saves the stencil for a cutter: never corrected, for a cutter is no printer.
pub fn save_dxf(studio: Studio, busy: Signal<bool>) {
    let name = glance(|| stencil_file(studio, "dxf"));
    let Some(papers) = made::uncorrected_now(studio) else {
        return;
    };
    working(busy, async move {
        let press = studio.later.press.get().await;
        let written = press.and_then(|press| {
            let dxf = (press.dxf)(&papers.stencil).map_err(|why| words::sentence(&why))?;
            files::save_text(&name, "image/vnd.dxf", &dxf)
        });
        if studio.tell(written) {
            on_paper(studio, &papers);
        }
    });
}

fn working(busy: Signal<bool>, work: impl Future<Output = ()> + 'static) {
    busy.set(true);
    spawn_local(async move {
        work.await;
        // The artist may have gone on meanwhile.
        if busy.is_alive() {
            busy.set(false);
        }
    });
}

/// Saves `report.json`.
pub fn save_report(studio: Studio) {
    if let Some(papers) = made::now(studio) {
        let json = papers.report_json();
        studio.tell(files::save_text("report.json", "application/json", &json));
    }
}
