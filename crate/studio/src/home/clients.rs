//! Going on with a client, and beginning with a new one.

use std::rc::Rc;

use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Event, KeyboardEvent};

use super::{Doing, Known};
use crate::device::clock;
use crate::device::store::Entry;
use crate::markup::{El, button, div, el, p, value_of, yes_no};
use crate::parts;

/// Clients shown before all are asked for.
const AT_FIRST: usize = 2;

/// Longest code; more is a name, which doesn't belong on paper.
const LONGEST_CODE: usize = 40;

/// The clients on this device, the last one first, and a new one.
pub fn clients(doing: Doing) -> El {
    el("section")
        .class("card")
        .put(el("h2").words("Who is in the chair?"))
        .put(new_client(doing))
        .shows(
            move || doing.known.get_clone(),
            move |known| match known {
                Known::Reading => p("Looking for clients on this device")
                    .class("busy")
                    .at("role", "status")
                    .into(),
                Known::Trouble(why) => no_store(doing, why),
                Known::Clients(list) if list.is_empty() => p("No clients on this device yet.")
                    .class("quiet")
                    .id("no-clients")
                    .into(),
                Known::Clients(list) => all(doing, list),
            },
        )
}

fn no_store(doing: Doing, why: String) -> View {
    div("word")
        .at("role", "alert")
        .id("no-store")
        .put(p(why))
        .put(p("You can still work; save each client's file before you close the page. A private window keeps nothing."))
        .put(
            div("buttons").put(
                button("button", "store-again")
                    .words("Try again")
                    .click(move || doing.reread()),
            ),
        )
        .into()
}

fn new_client(doing: Doing) -> El {
    let code = create_signal(String::new());
    let begin = move || {
        let code = code.get_clone_untracked();
        let code = code.trim();
        if code.is_empty() {
            doing.trouble.set(Some(
                "Type a short code first, such as initials.".to_owned(),
            ));
        } else if code.chars().count() > LONGEST_CODE {
            doing.trouble.set(Some(format!(
                "That is longer than {LONGEST_CODE} letters. A short code is enough."
            )));
        } else {
            doing.studio.begin(code);
            spawn_local(clock::ask_to_keep());
        }
    };
    div("begin")
        .put(
            el("label")
                .class("field")
                .put(el("span").words("Initials or code"))
                .put(
                    el("input")
                        .at("type", "text")
                        .at("autocomplete", "off")
                        .at("autocapitalize", "characters")
                        .at("spellcheck", "false")
                        .id("new-code")
                        .on::<Event>("input", move |e| code.set(value_of(e)))
                        .on::<KeyboardEvent>("keydown", move |e| {
                            if e.key() == "Enter" {
                                begin();
                            }
                        }),
                ),
        )
        .put(
            button("button main", "new-client")
                .words("New client")
                .click(begin),
        )
}

fn all(doing: Doing, list: Vec<Entry>) -> View {
    let more = list.len().saturating_sub(AT_FIRST);
    let is_all = create_signal(false);
    let list = Rc::new(list);
    let shown = {
        let list = Rc::clone(&list);
        move || {
            let count = if is_all.get() { list.len() } else { AT_FIRST };
            list.iter().take(count).cloned().collect::<Vec<_>>()
        }
    };
    let rows = el("ul")
        .class("choices")
        .label("Clients on this device")
        .shows(shown, move |entries| {
            let rows = entries.into_iter().enumerate();
            View::from(
                rows.map(|(i, e)| line(doing, e, i == 0).into())
                    .collect::<Vec<_>>(),
            )
        });
    if more == 0 {
        return rows.into();
    }
    parts![
        rows,
        button("button bare", "all-clients")
            .pressed(move || is_all.get())
            .says(move || {
                if is_all.get() {
                    "Fewer".to_owned()
                } else {
                    format!("{more} more on this device")
                }
            })
            .click(move || is_all.set(!is_all.get_untracked())),
    ]
}

fn line(doing: Doing, entry: Entry, newest: bool) -> El {
    let erasing = create_signal(false);
    let ago = clock::ago(entry.changed_ms, clock::now_ms());
    let date = clock::date(entry.changed_ms);
    let title = if newest {
        format!("Go on with {}", entry.code)
    } else {
        entry.code.clone()
    };
    let key = entry.key.clone();
    let open = move || {
        let key = key.clone();
        doing.run("Opening the client", async move {
            doing.studio.open(&key).await
        });
    };
    el("li")
        .put(
            div("client-line")
                .put(
                    button("choice", "client")
                        .put(el("strong").words(title))
                        .put(el("small").words(format!("{}, {ago}, {date}", entry.stands)))
                        .click(open),
                )
                .put(
                    button("button bare", "erase")
                        .label(format!("Erase {}", entry.code))
                        .at("aria-expanded", yes_no(move || erasing.get()))
                        .words("Erase")
                        .click(move || erasing.set(!erasing.get_untracked())),
                ),
        )
        .shows(
            move || erasing.get(),
            move |is_erasing| {
                if is_erasing {
                    erase(doing, entry.clone(), erasing)
                } else {
                    View::new()
                }
            },
        )
}

/// What can't be undone needs a typed word.
fn erase(doing: Doing, entry: Entry, erasing: Signal<bool>) -> View {
    let Entry { key, code, .. } = entry;
    let typed = create_signal(String::new());
    let warning = format!(
        "Photo, landmarks and shape of {code} go from this device for good. To do it, type {code}."
    );
    let now = move || {
        let key = key.clone();
        doing.run("Erasing the client", async move {
            doing.studio.keeper.store().await?.erase(&key).await?;
            doing.reread();
            Ok(())
        });
    };
    div("word")
        .put(p(warning))
        .put(
            div("begin")
                .put(
                    el("input")
                        .class("plain-input")
                        .at("type", "text")
                        .at("autocomplete", "off")
                        .label("Code, to erase")
                        .id("erase-word")
                        .on::<Event>("input", move |e| typed.set(value_of(e))),
                )
                .put(
                    button("button", "erase-now")
                        .flag("disabled", move || typed.with(|t| t.trim() != code))
                        .words("Erase for good")
                        .click(now),
                ),
        )
        .put(
            div("buttons").put(
                button("button", "erase-not")
                    .words("Keep")
                    .click(move || erasing.set(false)),
            ),
        )
        .into()
}
