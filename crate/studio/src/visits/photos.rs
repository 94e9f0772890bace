//! Photos that are kept with a visit and never measured.

use ophryon_record::{Edit, Image, PhotoState, VisitChange, VisitEdit};
use sycamore::reactive::{Signal, create_signal};
use wasm_bindgen_futures::spawn_local;
use web_sys::File;

use super::bench::Bench;
use crate::markup::{El, button, div, el, glance, p};
use crate::parts::icon::Drawing;
use crate::shape;
use crate::stage::bring::FileButton;
use crate::studio::Studio;

fn kept(studio: Studio, bench: Bench) -> Vec<String> {
    let photos = bench.of_visit(studio, |visit| visit.photos.clone());
    photos.unwrap_or_default()
}

/// The section.
pub fn section(studio: Studio, bench: Bench) -> El {
    let in_short = move || match kept(studio, bench).len() {
        0 => "none".to_owned(),
        n => n.to_string(),
    };
    let busy = create_signal(false);
    let inside = div("inside")
        .put(
            p("Kept with the visit and on this device; nothing is measured in them.")
                .class("quiet"),
        )
        .shows(
            move || kept(studio, bench),
            move |photos| {
                let frames = photos.into_iter().enumerate();
                let frames = frames.map(|(at, id)| frame(studio, bench, at, id));
                div("visit-photos").all(frames).into()
            },
        )
        .shows(
            move || busy.get(),
            move |is_busy| {
                if is_busy {
                    p("Reading the photo")
                        .class("busy")
                        .at("role", "status")
                        .into()
                } else {
                    bring(studio, bench, busy).into()
                }
            },
        );
    shape::section("visit-photos", "Photos", in_short, inside)
}

fn bring(studio: Studio, bench: Bench, busy: Signal<bool>) -> El {
    let file = |words, of, id: &str, camera| {
        FileButton {
            words,
            of,
            accept: "image/*",
            id: id.to_owned(),
            camera,
            main: false,
        }
        .view(move |file| take(studio, bench, busy, file))
    };
    div("buttons")
        .put(file("Add a photo", Drawing::Photo, "visit-photo", false))
        .put(file("Camera", Drawing::Camera, "visit-photo-camera", true))
}

fn take(studio: Studio, bench: Bench, busy: Signal<bool>, file: File) {
    let Some(visit) = glance(|| bench.number(studio)) else {
        return;
    };
    busy.set(true);
    spawn_local(async move {
        let outcome = studio.bring_visit_photo(file, visit).await;
        // She may have gone on meanwhile.
        if busy.is_alive() {
            busy.set(false);
        }
        if let Err(why) = outcome {
            studio.said.set(Some(why));
        }
    });
}

fn frame(studio: Studio, bench: Bench, at: usize, id: String) -> El {
    let name = {
        let id = id.clone();
        move || match &studio.record()?.photo(&id)?.image {
            Image::File { name } => Some(name.clone()),
            Image::Embedded { .. } => None,
        }
    };
    let url = move || {
        let name = name()?;
        studio.keeper.urls.with(|urls| urls.get(&name).cloned())
    };
    let number = at + 1;
    div("visit-photo")
        .id(format!("visit-photo-{at}"))
        .shows(url, move |url| match url {
            Some(src) => el("img")
                .at("src", src)
                .at("alt", format!("Photo {number} of this visit"))
                .into(),
            None => p("Not on this device.").class("quiet").into(),
        })
        .put(
            button("button", format!("visit-photo-{at}-remove"))
                .label(format!("Take photo {number} out of the visit"))
                .words("Take out")
                .click(move || remove(studio, bench, &id)),
        )
}

/// One that is only here goes with it; one that was measured stays.
fn remove(studio: Studio, bench: Bench, id: &str) {
    let Some(record) = glance(|| studio.record()) else {
        return;
    };
    let Some(visit) = glance(|| bench.number(studio)) else {
        return;
    };
    let mut photos = glance(|| kept(studio, bench));
    photos.retain(|one| one != id);
    let what = VisitChange::Photos(photos);
    let mut edits = vec![Edit::Visit(VisitEdit::Change { visit, what })];
    let only_here = record
        .photo(id)
        .is_some_and(|p| p.state == PhotoState::Visit);
    let elsewhere = record.visits.iter().enumerate();
    let mut elsewhere = elsewhere.filter(|(number, _)| *number != visit);
    let is_elsewhere = elsewhere.any(|(_, v)| {
        let checked = v.healed.as_ref().and_then(|check| check.photo.as_ref());
        v.photos.iter().any(|one| one == id) || checked.is_some_and(|one| one == id)
    });
    if only_here && !is_elsewhere {
        edits.push(Edit::RemovePhoto {
            photo: id.to_owned(),
        });
    }
    studio.apply_all(&edits, "take a photo out of the visit");
}
