//! Shapes kept beside the present one: keep, name, order, go on with, remove.

use ophryon_record::{Edit, MOST_VARIANTS, Record, Variant, VariantEdit};
use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::Event;

use crate::markup::{El, button, div, el, glance, p, value_of};
use crate::parts::icon::{Drawing, icon};
use crate::shape;
use crate::studio::Studio;
use crate::view::Lay;

fn kept(studio: Studio) -> Vec<Variant> {
    studio
        .record()
        .map(|r| r.variants.clone())
        .unwrap_or_default()
}

/// Does something with the kept shapes as one step.
fn done(studio: Studio, edit: VariantEdit) -> bool {
    studio.apply(&Edit::Variant(edit))
}

/// Keeps the present shape under the next free name.
pub fn keep(studio: Studio) {
    let Some(record) = glance(|| studio.record()) else {
        return;
    };
    done(
        studio,
        VariantEdit::Keep {
            name: record.free_variant_name(),
            note: String::new(),
        },
    );
}

/// Makes a kept shape the present one.
pub fn go_on_with(studio: Studio, index: usize) {
    done(studio, VariantEdit::Take { index });
}

/// The section.
pub fn section(studio: Studio) -> El {
    let in_short = move || match kept(studio).len() {
        0 => "none".to_owned(),
        n => format!("{n} of {MOST_VARIANTS}"),
    };
    let is_kept = move || {
        let record = studio.record();
        record.as_deref().is_some_and(|r| r.kept_as().is_some())
    };
    let is_full = move || kept(studio).len() >= MOST_VARIANTS;
    let keep_words = move || {
        match (is_kept(), is_full()) {
            (true, _) => "This shape is kept",
            (false, true) => "Four are kept; remove one first",
            (false, false) => "Keep this shape",
        }
        .to_owned()
    };
    let can_compare = move || {
        let record = studio.record();
        record.as_deref().is_some_and(|r| compared(r) > 1)
    };
    let inside = div("inside")
        .put(
            div("buttons")
                .put(
                    button("button", "keep-shape")
                        .flag("disabled", move || is_kept() || is_full())
                        .says(keep_words)
                        .click(move || keep(studio)),
                )
                .put(
                    button("button", "compare-shapes")
                        .flag("disabled", move || !can_compare())
                        .words("Compare")
                        .click(move || studio.view.beside.compared.set(Some(Lay::SideBySide))),
                ),
        )
        .put(list(studio))
        .shows(
            move || kept(studio).is_empty(),
            |none| {
                if !none {
                    return View::new();
                }
                p("Keep a shape, go on drawing, and lay both side by side.")
                    .class("quiet")
                    .into()
            },
        );
    shape::section("kept-shapes", "Kept shapes", in_short, inside)
}

/// How many shapes there are to compare.
fn compared(record: &Record) -> usize {
    record.variants.len() + usize::from(record.kept_as().is_none())
}

/// Every kept shape in a row of its own.
pub fn list(studio: Studio) -> View {
    let rows = move || {
        let record = studio.record();
        let present = record.as_deref().and_then(Record::kept_as);
        let all = kept(studio).into_iter().enumerate();
        all.map(|(i, v)| (i, v.name, v.note, present == Some(i)))
            .collect::<Vec<_>>()
    };
    crate::markup::shows(rows, move |rows| {
        let last = rows.len().saturating_sub(1);
        let rows = rows.into_iter().map(|(index, name, note, is_present)| {
            row(studio, index, last, (name, note), is_present).into()
        });
        div("kept-list")
            .put(View::from(rows.collect::<Vec<_>>()))
            .into()
    })
}

fn row(
    studio: Studio,
    index: usize,
    last: usize,
    (name, note): (String, String),
    is_present: bool,
) -> El {
    let open = create_signal(false);
    let head = div("kept-head")
        .put(el("strong").id(format!("kept-{index}")).words(name.clone()))
        .put(if is_present {
            el("span").class("quiet").words("drawn now")
        } else {
            button("button", format!("go-on-with-{index}"))
                .words("Go on with it")
                .click(move || go_on_with(studio, index))
        })
        .put(
            button("button bare", format!("kept-more-{index}"))
                .label(format!("More about {name}"))
                .at("aria-expanded", crate::markup::yes_no(move || open.get()))
                .words("\u{22ef}")
                .click(move || open.set(!open.get_untracked())),
        );
    let quiet = if note.is_empty() {
        View::new()
    } else {
        p(note.clone()).class("quiet").into()
    };
    div("kept-row").put(head).put(quiet).shows(
        move || open.get(),
        move |open| {
            if open {
                more(studio, index, last, &name, &note)
            } else {
                View::new()
            }
        },
    )
}

/// Name, note, place, removal.
fn more(studio: Studio, index: usize, last: usize, name: &str, note: &str) -> View {
    let (now_name, now_note) = (name.to_owned(), note.to_owned());
    let describe = move |name: String, note: String| {
        let name = name.trim().to_owned();
        done(studio, VariantEdit::Describe { index, name, note });
    };
    let field = |label: &'static str, id: String, value: String| {
        el("input")
            .at("type", "text")
            .at("maxlength", "60")
            .at("autocomplete", "off")
            .label(label)
            .id(id)
            .value(move || value.clone())
    };
    let for_name = {
        let (describe, note) = (describe, now_note.clone());
        field("Name", format!("kept-name-{index}"), now_name.clone())
            .on::<Event>("change", move |e| describe(value_of(e), note.clone()))
    };
    let for_note = field("Note", format!("kept-note-{index}"), now_note)
        .on::<Event>("change", move |e| describe(now_name.clone(), value_of(e)));
    let moved = |id: &'static str, words: &'static str, of, to: usize| {
        button("button", format!("{id}-{index}"))
            .label(words)
            .at("title", words)
            .flag("disabled", move || to == index || to > last)
            .put(icon(of))
            .click(move || {
                done(studio, VariantEdit::Move { index, to });
            })
    };
    div("kept-more")
        .put(
            div("field")
                .put(el("span").decoration().words("Name"))
                .put(for_name),
        )
        .put(
            div("field")
                .put(el("span").decoration().words("Note"))
                .put(for_note),
        )
        .put(
            div("buttons")
                .put(moved(
                    "kept-up",
                    "Earlier in the row",
                    Drawing::Up,
                    index.saturating_sub(1),
                ))
                .put(moved(
                    "kept-down",
                    "Later in the row",
                    Drawing::Down,
                    index + 1,
                ))
                .put(
                    button("button", format!("kept-remove-{index}"))
                        .words("Remove")
                        .click(move || {
                            done(studio, VariantEdit::Remove { index });
                        }),
                ),
        )
        .into()
}
