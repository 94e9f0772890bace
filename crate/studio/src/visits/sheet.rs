//! The visit on paper: seen, printed, saved.

use ophryon_record::VisitSheetOptions;
use ophryon_stencil::{Paper, Sheet, print_pages, write_svg};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::bench::Bench;
use crate::device::{clock, files, print as printer};
use crate::markup::{El, button, div, el, glance, p, shows};
use crate::paper::busy_word;
use crate::paper::letters::{boxes, letters};
use crate::parts::icon::{Drawing, icon};
use crate::studio::Studio;
use crate::words;

/// The pages of the visit in work.
fn pages(studio: Studio, bench: Bench) -> Vec<Sheet> {
    let options = VisitSheetOptions {
        paper: studio.settings.sheet.get().paper.for_lists(),
        with_name: bench.with_name.get(),
        made: clock::today(),
    };
    let made = studio
        .record()
        .zip(bench.number(studio))
        .and_then(|(record, visit)| record.visit_sheet(visit, &options));
    made.unwrap_or_default()
}

/// One page below the other.
pub fn preview(studio: Studio, bench: Bench) -> View {
    let page = |sheet: &Sheet| {
        let svg = write_svg(sheet);
        // An XML declaration means nothing inside a page.
        let from = svg.find("<svg").unwrap_or(0);
        div("paper")
            .at("role", "img")
            .label(sheet.title().to_owned())
            .id("visit-page")
            .markup(svg.get(from..).unwrap_or_default().to_owned())
    };
    el("section")
        .class("table visit-pages")
        .label("The visit sheet")
        .id("visit-sheet")
        .put(
            div("room")
                .at("tabindex", "0")
                .at("role", "group")
                .label("Pages. Arrow keys scroll.")
                .shows(
                    move || pages(studio, bench),
                    move |pages| {
                        let all = pages.iter().map(|sheet| View::from(page(sheet)));
                        View::from(all.collect::<Vec<_>>())
                    },
                ),
        )
        .into()
}

/// What is said of it, and what is done with it.
pub fn panel(studio: Studio, bench: Bench) -> View {
    let busy = create_signal(false);
    let count = move || match pages(studio, bench).len() {
        1 => "Print this page".to_owned(),
        n => format!("Print {n} pages"),
    };
    div("visit-stack")
        .put(p("The visit on paper, for the file that local rules may ask for. They decide what it must hold, for how long it is kept and who may see it.").class("quiet"))
        .put(running(studio, bench))
        .put(
            button("button main wide", "print-visit")
                .put(icon(Drawing::Printer))
                .put(el("span").says(count))
                .click(move || {
                    let pages = glance(|| pages(studio, bench));
                    let pages: Vec<&Sheet> = pages.iter().collect();
                    studio.tell(printer::page(&print_pages(&pages)));
                }),
        )
        .put(
            button("button wide", "save-visit-pdf")
                .put(icon(Drawing::File))
                .put(el("span").words("Save as PDF"))
                .flag("disabled", move || busy.get())
                .click(move || save(studio, bench, busy)),
        )
        .put(busy_word(busy))
        .put(which_paper(studio))
        .put(whose(studio, bench))
        .into()
}

/// What a timer comes to is written down when it is paused.
fn running(studio: Studio, bench: Bench) -> View {
    shows(
        move || bench.running(studio).is_some(),
        move |is_running| {
            if !is_running {
                return View::new();
            }
            div("word calm")
                .id("sheet-timer")
                .put(p(
                    "A timer runs. Its time goes on the sheet once it is paused.",
                ))
                .put(
                    div("buttons").put(
                        button("button", "sheet-pause")
                            .words("Pause it")
                            .click(move || bench.pause(studio)),
                    ),
                )
                .into()
        },
    )
}

fn which_paper(studio: Studio) -> El {
    let sheet = studio.settings.sheet;
    let choice = |paper: Paper| {
        button("button", format!("visit-paper-{}", paper.id()))
            .pressed(move || sheet.get().paper.for_lists() == paper)
            .words(paper.name())
            .click(move || sheet.update(|options| options.paper = paper))
    };
    div("sides")
        .at("role", "group")
        .label("Paper")
        .all(Paper::LARGE.map(choice))
}

/// The code stands alone unless the name is asked for.
fn whose(studio: Studio, bench: Bench) -> View {
    let has_name = move || studio.record().is_some_and(|r| r.client.name.is_some());
    shows(has_name, move |has_name| {
        if !has_name {
            return View::new();
        }
        let choice = |id: &'static str, words: &'static str, with: bool| {
            button("button", id)
                .pressed(move || bench.with_name.get() == with)
                .words(words)
                .click(move || bench.with_name.set(with))
        };
        div("sides")
            .at("role", "group")
            .label("Whose it is")
            .put(choice("visit-code-only", "Code only", false))
            .put(choice("visit-with-name", "With her name", true))
            .into()
    })
}

fn save(studio: Studio, bench: Bench, busy: Signal<bool>) {
    let sheets = glance(|| pages(studio, bench));
    let day = glance(|| bench.of_visit(studio, |visit| visit.day.to_string()));
    busy.set(true);
    spawn_local(async move {
        let pages: Vec<&Sheet> = sheets.iter().collect();
        let press = studio.later.press.get().await;
        let fonts = letters(&pages).await;
        let written = press.and_then(|press| {
            let pdf = (press.pdf)(&pages, &fonts).map_err(|why| words::sentence(&why))?;
            let name = format!("visit-{}.pdf", day.unwrap_or_default());
            files::save_bytes(&name, "application/pdf", &pdf.bytes)?;
            Ok(pdf.missing)
        });
        // The artist may have gone on meanwhile.
        if busy.is_alive() {
            busy.set(false);
        }
        match written {
            Ok(missing) => studio.said.set(boxes(&missing)),
            Err(why) => studio.said.set(Some(why)),
        }
    });
}
