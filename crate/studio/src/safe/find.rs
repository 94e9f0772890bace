//! Finding a client among many.

use std::cell::OnceCell;
use std::rc::Rc;

use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::Event;

use super::pages;
use super::search::{Index, why};
use crate::device::page::focus;
use crate::device::store::Entry;
use crate::home::Doing;
use crate::home::line::line;
use crate::markup::{div, el, p, selector, shows, value_of};
use crate::parts;

/// A field to search by, and who was found.
pub fn find(doing: Doing) -> View {
    let list = doing
        .known
        .with_untracked(|known| known.clients().cloned().unwrap_or_default());
    // A client that is erased or changed meanwhile leaves the search as it is.
    let asked = doing.asked;
    let page = create_signal(0);
    let index: OnceCell<Index> = OnceCell::new();
    let found = {
        let list = Rc::clone(&list);
        selector(Box::new(move || {
            asked.with(|asked| {
                if asked.trim().is_empty() {
                    Rc::new((0..list.len()).collect())
                } else {
                    Rc::new(index.get_or_init(|| Index::of(&list)).find(asked))
                }
            })
        }))
    };
    let count = move || found.with(|f| f.len());
    div("finder")
        .put(
            el("label")
                .class("field")
                .put(el("span").words("Code, name, day or note"))
                .put(
                    el("input")
                        .at("type", "search")
                        .at("autocomplete", "off")
                        .at("spellcheck", "false")
                        .at("value", asked.get_clone_untracked())
                        .id("search")
                        .raw(focus)
                        .on::<Event>("input", move |e| {
                            page.set(0);
                            asked.set(value_of(e));
                        }),
                ),
        )
        .put(
            p("")
                .class("for-readers")
                .at("role", "status")
                .id("found")
                .says(move || match count() {
                    1 => "1 client found".to_owned(),
                    n => format!("{n} clients found"),
                }),
        )
        .put(shows(
            move || (found.get_clone(), page.get(), asked.get_clone()),
            move |(found, page, asked)| rows(doing, &list, &found, page, &asked),
        ))
        .put(pages::turn(page, count))
        .into()
}

fn rows(doing: Doing, list: &Rc<Vec<Entry>>, found: &[usize], page: usize, asked: &str) -> View {
    if found.is_empty() {
        return parts![
            p("Nobody here by that code, name, day or note. Look in an earlier backup, or begin a new client above.")
                .class("quiet")
                .id("nobody"),
        ];
    }
    let shown = &found[pages::rows(page, found.len())];
    let entries = shown.iter().filter_map(|i| list.get(*i));
    el("ul")
        .class("choices")
        .label("Clients found")
        .all(entries.map(|entry| line(doing, entry, false, list, why(entry, asked))))
        .into()
}
