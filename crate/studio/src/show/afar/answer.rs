//! Her answer comes back: taken once, checked against what was sent and what
//! stands here. Whatever is wrong with it is said, and nothing changes.

use ophryon_record::{AgreedState, Edit};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::Event;

use super::{Afar, said};
use crate::device::files;
use crate::guest::{packet_of, text_area};
use crate::markup::{El, button, div, el, glance, p, shows};
use crate::studio::Studio;

/// Takes it for the client in work.
///
/// # Errors
/// A sentence; nothing was changed.
pub fn take(studio: Studio, packet: &str) -> Result<String, String> {
    studio.finish();
    let record = studio.settled().ok_or("No client is open.")?;
    let edit = record.take_answer(packet).map_err(|why| why.to_string())?;
    if !studio.apply(&Edit::Consent(edit)) {
        return Err(said(studio));
    }
    let now = studio.settled().ok_or("No client is open.")?;
    Ok(match now.agreed() {
        AgreedState::Agreed { seal, sealed } => format!(
            "Her answer is here: she agreed on {}, seal {}. It is kept in her file.",
            sealed.at.in_words(),
            seal.short()
        ),
        AgreedState::NotAgreed { .. } => "Her answer is here and kept in her file.".to_owned(),
    })
}

fn take_and_tell(studio: Studio, packet: &str) {
    let afar = Afar::get();
    let outcome = take(studio, packet);
    if outcome.is_ok() {
        afar.pasted.set(String::new());
    }
    afar.tell(outcome);
}

/// Where an answer that came by hand goes in, and what is still waited for.
pub fn way(studio: Studio) -> View {
    let afar = Afar::get();
    shows(
        move || awaited(studio),
        move |awaited| {
            if awaited.is_empty() {
                return View::new();
            }
            let waiting = awaited.into_iter().map(|words| el("li").words(words));
            el("section")
                .class("afar-way")
                .id("afar-answer")
                .put(el("h3").words("Her answer"))
                .put(el("ul").class("afar-awaited").id("afar-awaited").all(waiting.collect::<Vec<_>>()))
                .put(p("From the studio's network it comes by itself. Else paste the line or choose the file that she sent. Her link or her code, opened on this device, brings it too where it begins with the address at which you work here.").class("quiet"))
                .put(
                    el("label")
                        .class("field")
                        .put(el("span").words("Line or link that she sent"))
                        .put(text_area("afar-line", afar.pasted)),
                )
                .put(
                    div("buttons")
                        .put(
                            button("button", "afar-take")
                                .words("Take her answer")
                                .click(move || take_and_tell(studio, &afar.pasted.get_clone_untracked())),
                        )
                        .put(file(studio)),
                )
                .into()
        },
    )
}

fn file(studio: Studio) -> El {
    el("label").class("button").words("From a file").put(
        el("input")
            .class("for-readers")
            .at("type", "file")
            .id("afar-file")
            .on::<Event>("change", move |event| {
                let Some(file) = files::chosen(event) else {
                    return;
                };
                spawn_local(async move {
                    match packet_of(&file).await {
                        Some(text) => take_and_tell(studio, &text),
                        None => Afar::get().tell(Err(
                            "this file is larger than anything Ophryon sends, so nothing was taken from it".to_owned(),
                        )),
                    }
                });
            }),
    )
}

/// What was sent and not answered, in words.
fn awaited(studio: Studio) -> Vec<String> {
    let Some(record) = studio.record() else {
        return Vec::new();
    };
    let sent = record.consent.invitations.iter().rev();
    glance(|| {
        sent.map(|one| {
            let moved_on = if one.version == record.version {
                ""
            } else {
                "; the shape is another by now, so an answer to it is no longer taken"
            };
            format!(
                "Version {} was sent on {}{moved_on}.",
                one.version,
                one.at.in_words()
            )
        })
        .collect()
    })
}
