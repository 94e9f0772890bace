//! The quiet card on the first screen: how old the last backup is.

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;

use super::age::{Age, shortage};
use crate::device::clock;
use crate::device::store::space;
use crate::home::Doing;
use crate::markup::{button, div, el, p, shows};
use crate::safe::unfinished;

/// One line, one button; nothing while there is nobody to keep safe.
pub fn card(doing: Doing) -> View {
    shows(
        move || doing.known.with(|known| known.clients().cloned()),
        move |list| {
            let Some(list) = list else {
                return View::new();
            };
            let age = create_signal(None::<Age>);
            let left = create_signal(String::new());
            let cut_off = create_signal(None::<String>);
            let is_empty = list.is_empty();
            spawn_local(async move {
                let Ok(store) = doing.studio.keeper.store().await else {
                    return;
                };
                let said = unfinished::said(&store).await;
                if cut_off.is_alive() {
                    cut_off.set(said);
                }
                if let Ok(found) = Age::of(&store, &list).await
                    && age.is_alive()
                {
                    age.set(Some(found));
                }
                if let Some(space) = space().await
                    && left.is_alive()
                {
                    left.set(shortage(&space).unwrap_or_default());
                }
            });
            let now = clock::now_ms();
            el("section")
                .class(move || {
                    let is_due = age.with(|a| a.is_some_and(|a| a.is_due(now)));
                    if is_due { "safe-card due" } else { "safe-card" }
                })
                .id("safe-card")
                .label("Backup")
                .put(
                    div("safe-says")
                        .put(shows(
                            move || cut_off.get_clone(),
                            move |said| match said {
                                Some(said) => unfinished_restore(doing, said, cut_off),
                                None => View::new(),
                            },
                        ))
                        .put(p("").id("backup-age").says(move || match age.get() {
                            Some(age) => age.words(now),
                            None => String::new(),
                        }))
                        .put(
                            p("")
                                .class("quiet")
                                .id("room")
                                .says(move || left.get_clone()),
                        ),
                )
                .put(
                    button("button", "keep-safe")
                        .words(if is_empty {
                            "Bring clients back"
                        } else {
                            "Backup"
                        })
                        .click(move || doing.keeping_safe.set(true)),
                )
                .into()
        },
    )
}

/// A restore that was cut off, until it is read.
fn unfinished_restore(doing: Doing, said: String, cut_off: Signal<Option<String>>) -> View {
    let read = move || {
        cut_off.set(None);
        spawn_local(async move {
            if let Ok(store) = doing.studio.keeper.store().await {
                unfinished::forget(&store).await;
            }
        });
    };
    div("word calm")
        .at("role", "status")
        .id("restore-unfinished")
        .put(p(said))
        .put(
            div("buttons").put(
                button("button", "restore-unfinished-read")
                    .words("All right")
                    .click(read),
            ),
        )
        .into()
}
