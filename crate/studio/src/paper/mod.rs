//! The last place: the sheet as it will be printed, and the files.

mod files_out;
mod list;
mod table;

use std::rc::Rc;

use ophryon_record::Papers;
use ophryon_stencil::{Facing, Paper};
use sycamore::reactive::{ReadSignal, create_memo};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

pub use files_out::save_client;
pub use table::table;

use crate::face::question;
use crate::markup::{El, button, div, el, p, shows, svg};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::places::Place;
use crate::shape::{not_yet, says, section};
use crate::stage::bring::FileButton;
use crate::studio::Studio;
use crate::view::OnTable;
use crate::words;

/// The papers of the shape as it is; the sentence why there are none; nothing
/// while there is no shape.
type Made = Option<Result<Rc<Papers>, String>>;

fn papers(studio: Studio) -> Made {
    let (paper, facing) = (studio.settings.paper.get(), studio.view.facing.get());
    let record = studio.record()?;
    studio.of_shape(|drawn| {
        let made = record.papers_of(drawn, paper, facing);
        made.map(Rc::new)
            .map_err(|e| words::sentence(&e.to_string()))
    })
}

/// The panel.
pub fn paper_panel(studio: Studio) -> View {
    // Told of every change of the shape; comparing would take longer than looking.
    let made = create_memo(move || papers(studio));
    let state = move || made.with(|m| m.as_ref().map(|m| m.as_ref().err().cloned()));
    shows(state, move |state| match state {
        None => parts![not_yet(studio), client_file(studio)],
        Some(Some(why)) => parts![
            question("Paper", "The pair doesn't fit this paper.", ""),
            div("word").put(p(why)),
            which_paper(studio),
            client_file(studio),
        ],
        Some(None) => sheets(studio, made),
    })
}

fn sheets(studio: Studio, made: ReadSignal<Made>) -> View {
    let on_table = studio.view.on_table;
    let which = |sheet: OnTable, words: &'static str, id: &'static str| {
        button("button", id)
            .pressed(move || on_table.get() == sheet)
            .words(words)
            .click(move || on_table.set(sheet))
    };
    parts![
        question(
            "Paper",
            "This is what will be printed.",
            "Print at 100 %, not fitted to the page. Then lay a ruler on the printed bars: each must read 100 mm.",
        ),
        div("sides")
            .at("role", "group")
            .label("On the table")
            .put(which(OnTable::Stencil, "Stencil", "show-stencil"))
            .put(which(OnTable::Distances, "Ruler list", "show-distances")),
        button("button main wide", "print")
            .put(icon(Drawing::Sheet))
            .put(el("span").words("Print both sheets"))
            .click(move || files_out::print(studio, made)),
        cautions(studio),
        div("")
            .put(section(
                "ruler-list",
                "Distances to check with a ruler",
                String::new,
                list::ruler_list(made),
            ))
            .put(section(
                "paper-choice",
                "Paper",
                move || studio.settings.paper.get().name().to_owned(),
                div("inside")
                    .put(which_paper(studio))
                    .put(which_way(studio)),
            ))
            .put(section("files", "Files", String::new, files(studio, made),)),
    ]
}

fn cautions(studio: Studio) -> El {
    // Each with whether a tape mends it.
    let all = move || {
        let by_tape = studio.record().and_then(|r| r.wrap.caution());
        let mut all: Vec<(String, bool)> = says::off(studio)
            .iter()
            .map(|said| (says::sentence(said), false))
            .collect();
        let others = studio.of_shape(|d| d.measured.cautions.clone());
        for words in others.unwrap_or_default() {
            let is_mended = by_tape == Some(words.as_str());
            all.push((words, is_mended));
        }
        all
    };
    let caution = move |(words, by_tape): (String, bool)| -> View {
        let line = el("li")
            .class("fails")
            .put(
                svg("svg")
                    .at("class", "sign fails")
                    .at("viewBox", "0 0 18 18")
                    .at("role", "img")
                    .label("needs a look")
                    .put(svg("path").at("d", "M9 2 16 9 9 16 2 9Z")),
            )
            .put(el("span").words(words));
        if !by_tape {
            return line.into();
        }
        let enter = button("button", "to-tape").words("Enter a tape length");
        line.put(div("buttons").put(enter.click(move || {
            studio.view.tape.set(true);
            studio.view.go(Place::Shape);
        })))
        .into()
    };
    el("ul")
        .class("says")
        .id("cautions")
        .shows(all, move |all| {
            View::from(all.into_iter().map(caution).collect::<Vec<_>>())
        })
}

fn files(studio: Studio, made: ReadSignal<Made>) -> El {
    let save = |id: &'static str, words: &'static str| {
        button("button start", id)
            .put(icon(Drawing::File))
            .put(el("span").words(words))
    };
    div("inside")
        .put(
            save("save-stencil", "Save the stencil, stencil.svg")
                .click(move || files_out::save_stencil(studio, made)),
        )
        .put(
            save("save-report", "Save all numbers, report.json")
                .click(move || files_out::save_report(studio, made)),
        )
        .put(client_file(studio))
}

fn which_paper(studio: Studio) -> El {
    let paper = studio.settings.paper;
    let choice = |p: Paper| {
        button("button", format!("paper-{}", p.name().to_ascii_lowercase()))
            .pressed(move || paper.get() == p)
            .words(p.name())
            .click(move || paper.set(p))
    };
    div("sides")
        .at("role", "group")
        .label("Paper")
        .all(Paper::ALL.map(choice))
}

fn which_way(studio: Studio) -> El {
    let facing = studio.view.facing;
    let choice = |to: Facing, name: &'static str, about: &'static str, id: &'static str| {
        button("choice", id)
            .class(move || {
                if facing.get() == to {
                    "choice chosen"
                } else {
                    "choice"
                }
            })
            .pressed(move || facing.get() == to)
            .put(el("strong").words(name))
            .put(el("small").words(about))
            .click(move || facing.set(to))
    };
    div("choices")
        .at("role", "group")
        .label("How the sheet lies on the skin")
        .put(choice(
            Facing::FaceUp,
            "Print side up",
            "To cut out and draw round.",
            "face-up",
        ))
        .put(choice(
            Facing::FaceDown,
            "Print side on the skin",
            "For transfer: the drawing is mirrored, the words stay readable.",
            "face-down",
        ))
}

/// Saving and opening the client's file.
fn client_file(studio: Studio) -> View {
    let open = FileButton {
        words: "Open a client's file",
        of: Drawing::File,
        accept: ".json,application/json",
        id: "open-client".to_owned(),
        camera: false,
        main: false,
    };
    parts![
        button("button start", "save-client")
            .put(icon(Drawing::File))
            .put(el("span").words("Save the client's file, photo included"))
            .click(move || save_client(studio)),
        open.view(move |file| {
            spawn_local(async move {
                studio.finish();
                studio.keep_now().await;
                if let Err(why) = studio.open_file(&file).await {
                    studio.said.set(Some(why));
                }
            });
        })
        .class("button start"),
    ]
}
