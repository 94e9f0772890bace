//! The one panel beside the face.

use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::icon::{Drawing, icon};
use super::said::said;
use super::thread::thread;
use super::tools::tools;
use crate::face::face_panel;
use crate::keeper::{Keeping, Seat};
use crate::markup::{button, div, el, p, shows, yes_no};
use crate::parts;
use crate::places::Place;
use crate::shape::shape_panel;
use crate::studio::Studio;
use crate::view::SheetSize;

/// Thread, question, tools.
pub fn panel(studio: Studio) -> View {
    el("aside")
        .class(move || match studio.view.sheet.get() {
            SheetSize::Small => "panel small",
            SheetSize::Half => "panel",
            SheetSize::Tall => "panel tall",
        })
        .label("Work")
        .id("panel")
        .put(
            el("header")
                .class("panel-top")
                .put(whose(studio))
                .put(thread(studio)),
        )
        // Above what scrolls, so that it is seen from anywhere.
        .put(el("div").put(said(studio)).put(between_windows(studio)))
        // Put up anew with its place, so that each begins at its top.
        .shows(
            move || studio.view.place.get(),
            move |place| {
                let body = div("panel-body")
                    .put(trouble(studio))
                    .put(who_she_is(studio));
                body.put(match place {
                    Place::Face => face_panel(studio),
                    Place::Balance => studio
                        .later
                        .balance
                        .show(move |views| (views.panel)(studio)),
                    Place::Shape => shape_panel(studio),
                    Place::Paper => studio.later.paper.show(move |views| (views.panel)(studio)),
                    Place::Show => studio.later.show.show(move |views| (views.panel)(studio)),
                    Place::Visits => studio.later.visits.show(move |views| (views.panel)(studio)),
                })
                .into()
            },
        )
        .put(tools(studio))
        .into()
}

fn whose(studio: Studio) -> View {
    let code = move || {
        let record = studio.record();
        record.map(|r| r.client.code.clone()).unwrap_or_default()
    };
    let kept = move || {
        match (studio.keeper.seat.get(), studio.keeper.keeping.get_clone()) {
            (_, Keeping::Trouble(_)) | (Seat::Gone, _) => "Not kept",
            (Seat::Following, _) => "Following",
            (Seat::Here, Keeping::Kept) => "Kept",
            (Seat::Here, Keeping::Soon) => "Keeping",
        }
        .to_owned()
    };
    let kept_class = move || match studio.keeper.keeping.get_clone() {
        Keeping::Trouble(_) => "button bare kept trouble",
        _ => "button bare kept",
    };
    let (sheet, details) = (studio.view.sheet, studio.view.details);
    let size = |id: &'static str, name: &'static str, of: Drawing, up: bool| {
        let end = if up {
            SheetSize::Tall
        } else {
            SheetSize::Small
        };
        button("button bare sheet-size", id)
            .label(name)
            .flag("disabled", move || sheet.get() == end)
            .put(icon(of))
            .click(move || sheet.set(sheet.get_untracked().stepped(up)))
    };
    div("whose")
        .put(
            button("button bare", "to-clients")
                .put(icon(Drawing::Clients))
                .put(el("span").words("Clients"))
                .click(move || spawn_local(studio.close())),
        )
        .put(
            button("button bare code", "client-code")
                .at("title", "Who she is")
                .at("aria-expanded", yes_no(move || details.get()))
                .put(el("bdi").says(code))
                .click(move || details.set(!details.get_untracked())),
        )
        .put(
            button("button bare kept", "kept")
                .class(kept_class)
                .at("title", "Earlier versions")
                .says(kept)
                .click(move || studio.keeper.looks_back.set(true)),
        )
        .put(size(
            "sheet-smaller",
            "Smaller panel",
            Drawing::Smaller,
            false,
        ))
        .put(size("sheet-larger", "Larger panel", Drawing::Taller, true))
        .into()
}

/// Code, name and note while they are open, and what she wished for her photos.
fn who_she_is(studio: Studio) -> View {
    let safe = studio.later.safe;
    parts![
        shows(
            move || studio.view.details.get(),
            move |is_open| {
                if is_open {
                    safe.show(move |views| (views.in_client)(studio))
                } else {
                    View::new()
                }
            },
        ),
        safe.show_when_here(move |views| (views.wishes)(studio)),
    ]
}

/// Another window has the client.
fn between_windows(studio: Studio) -> View {
    shows(
        move || studio.keeper.seat.get() == Seat::Here,
        move |is_here| {
            if is_here {
                return View::new();
            }
            let safe = studio.later.safe;
            safe.show(move |views| (views.between_windows)(studio))
        },
    )
}

/// The client is not kept: why, and what to do.
fn trouble(studio: Studio) -> View {
    shows(
        move || studio.keeper.keeping.get_clone(),
        move |keeping| match keeping {
            Keeping::Trouble(why) => div("word")
                .at("role", "alert")
                .id("not-kept")
                .put(p(why))
                .put(
                    div("buttons")
                        .put(
                            button("button", "keep-again")
                                .words("Try again")
                                .click(move || spawn_local(studio.keep_now())),
                        )
                        .put(
                            button("button", "keep-as-file")
                                .words("Save the client's file")
                                .click(move || studio.save_client()),
                        )
                        .shows(
                            move || studio.keeper.wants_to_leave.get(),
                            move |wants| {
                                if !wants {
                                    return View::new();
                                }
                                button("button", "leave-anyway")
                                    .words("Leave without the last change")
                                    .click(move || studio.leave())
                                    .into()
                            },
                        ),
                )
                .into(),
            _ => View::new(),
        },
    )
}
