//! Going on with a client, and beginning with a new one.

use std::rc::Rc;

use sycamore::reactive::create_signal;
use sycamore::web::View;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Event, KeyboardEvent};

use super::line::{line, same_code};
use super::{Doing, Known};
use crate::device::clock;
use crate::device::store::Entry;
use crate::markup::{El, button, div, el, p, shows, value_of, yes_no};
use crate::parts;

/// Clients shown before the others are looked for.
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

fn new_client(doing: Doing) -> View {
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
    let field = div("begin")
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
        );
    let in_use = move || {
        let code = code.get_clone();
        let same = |e: &&Entry| same_code(&e.code, &code);
        doing
            .known
            .with(|known| known.clients()?.iter().find(same).map(last_seen))
    };
    parts![
        field,
        shows(in_use, |said| match said {
            None => View::new(),
            Some(said) => p(said)
                .class("word calm")
                .at("role", "status")
                .id("code-in-use")
                .into(),
        }),
    ]
}

fn last_seen(entry: &Entry) -> String {
    format!(
        "A client has this code already, last changed {}. Add a letter or a number to tell them apart, or go on with her below.",
        clock::date(entry.changed_ms)
    )
}

/// The last ones, and the way to the others.
fn all(doing: Doing, list: Rc<Vec<Entry>>) -> View {
    let count = list.len();
    if count <= AT_FIRST {
        return first(doing, &list);
    }
    let is_open = doing.finding;
    parts![
        shows(
            move || is_open.get(),
            move |is_open| {
                if is_open {
                    let finder = doing.studio.later.safe;
                    finder.show(move |views| (views.find)(doing))
                } else {
                    first(doing, &list)
                }
            },
        ),
        button("button bare", "all-clients")
            .at("aria-expanded", yes_no(move || is_open.get()))
            .says(move || {
                if is_open.get() {
                    "Only the last ones".to_owned()
                } else {
                    format!("Find another of {count} clients")
                }
            })
            .click(move || {
                doing.asked.set(String::new());
                is_open.set(!is_open.get_untracked());
            }),
    ]
}

fn first(doing: Doing, list: &[Entry]) -> View {
    let rows = list.iter().take(AT_FIRST).enumerate();
    el("ul")
        .class("choices")
        .label("Clients on this device")
        .all(rows.map(|(i, entry)| line(doing, entry, i == 0, list, None)))
        .into()
}
