//! Printing, and files to save.

use std::rc::Rc;

use ophryon_record::Papers;
use ophryon_stencil::print_pages;
use sycamore::reactive::ReadSignal;
use wasm_bindgen_futures::spawn_local;

use super::Made;
use crate::device::{files, print as printer};
use crate::markup::glance;
use crate::studio::Studio;

/// The shape as it is now counts as put on paper.
fn on_paper(studio: Studio, papers: &Papers) {
    studio
        .on_paper
        .set(Some(papers.report.head.fingerprint.clone()));
}

fn done(studio: Studio, outcome: Result<(), String>) -> bool {
    match outcome {
        Ok(()) => {
            studio.said.set(None);
            true
        }
        Err(why) => {
            studio.said.set(Some(why));
            false
        }
    }
}

fn papers(made: ReadSignal<Made>) -> Option<Rc<Papers>> {
    glance(|| made.get_clone())?.ok()
}

/// Prints the stencil and the ruler list.
pub fn print(studio: Studio, made: ReadSignal<Made>) {
    if let Some(papers) = papers(made) {
        let html = print_pages(&[&papers.stencil, &papers.distances]);
        if done(studio, printer::page(&html)) {
            on_paper(studio, &papers);
        }
    }
}

/// Saves `stencil.svg`.
pub fn save_stencil(studio: Studio, made: ReadSignal<Made>) {
    if let Some(papers) = papers(made) {
        let svg = papers.stencil_svg();
        if done(
            studio,
            files::save_text("stencil.svg", "image/svg+xml", &svg),
        ) {
            on_paper(studio, &papers);
        }
    }
}

/// Saves `report.json`.
pub fn save_report(studio: Studio, made: ReadSignal<Made>) {
    if let Some(papers) = papers(made) {
        let json = papers.report_json();
        done(
            studio,
            files::save_text("report.json", "application/json", &json),
        );
    }
}

/// Saves the client's file under her code.
pub fn save_client(studio: Studio) {
    spawn_local(async move {
        let outcome = studio.client_file().await.and_then(|text| {
            let code = studio.settled().map(|r| r.client.code).unwrap_or_default();
            files::save_text(&file_name(&code), "application/json", &text)
        });
        done(studio, outcome);
    });
}

/// A file name from the artist's code: letters and digits, and whatever other
/// scripts have; the rest as hyphens.
fn file_name(code: &str) -> String {
    let plain: String = code
        .trim()
        .chars()
        .map(|c| {
            let kept = c.is_ascii_alphanumeric() || !(c.is_ascii() || c.is_control());
            if kept { c } else { '-' }
        })
        .collect();
    let plain = plain.trim_matches('-');
    if plain.is_empty() {
        "client.json".to_owned()
    } else {
        format!("{plain}.json")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_holds_nothing_that_a_folder_could_stumble_over() {
        assert_eq!(file_name("K. M."), "K--M.json");
        assert_eq!(file_name("../../etc"), "etc.json");
        assert_eq!(file_name("Åsa 2"), "Åsa-2.json");
        assert_eq!(file_name(" / "), "client.json");
    }
}
