//! Tools, pigments and needles: entered once, offered again by a tap, warned of
//! when they are past their day.

mod form;
mod needles;

use ophryon_record::{MOST_SUPPLIES, Supply, SupplyKind, VisitChange};
use sycamore::web::View;

use super::bench::Bench;
use crate::device::clock;
use crate::markup::{El, button, div, el, glance, shows};
use crate::parts::line::{Stands, line};
use crate::shape;
use crate::studio::Studio;
use crate::words;
pub use form::Form;
use form::typed;
pub use needles::section as needles;

/// What of the supplies deserves a second look, today.
pub fn warnings(studio: Studio, bench: Bench) -> View {
    let all = move || {
        let warnings = bench.of_visit(studio, |visit| {
            // A visit that is read later is looked at as on its own day.
            visit.warnings(clock::today().map_or(visit.day, |today| today.min(visit.day)))
        });
        let warnings = warnings.unwrap_or_default();
        let said = warnings.iter();
        said.map(|w| (w.id(), words::sentence(&w.to_string())))
            .collect::<Vec<_>>()
    };
    el("ul")
        .class("says")
        .id("visit-warnings")
        .shows(all, |all| {
            let lines = all.into_iter().map(|(id, words)| {
                line(Stands::Off, "needs a look", words)
                    .id(format!("warning-{id}"))
                    .into()
            });
            View::from(lines.collect::<Vec<_>>())
        })
        .into()
}

/// The words and ids of a kind.
#[derive(Clone, Copy)]
struct Kind {
    kind: SupplyKind,
    /// "pigment".
    one: &'static str,
    /// Head of the section.
    all: &'static str,
    /// Begins ids.
    id: &'static str,
}

/// The pigments.
pub fn pigments(studio: Studio, bench: Bench) -> El {
    section(
        studio,
        bench,
        Kind {
            kind: SupplyKind::Pigment,
            one: "pigment",
            all: "Pigments",
            id: "pigment",
        },
    )
}

/// The tools.
pub fn tools(studio: Studio, bench: Bench) -> El {
    section(
        studio,
        bench,
        Kind {
            kind: SupplyKind::Tool,
            one: "tool",
            all: "Tools",
            id: "tool",
        },
    )
}

fn there(studio: Studio, bench: Bench, kind: Kind) -> Vec<Supply> {
    let supplies = bench.of_visit(studio, |visit| visit.supplies(kind.kind).clone());
    supplies.unwrap_or_default()
}

fn set(studio: Studio, bench: Bench, kind: Kind, all: Vec<Supply>) -> bool {
    bench.change(
        studio,
        match kind.kind {
            SupplyKind::Tool => VisitChange::Tools(all),
            SupplyKind::Pigment => VisitChange::Pigments(all),
        },
    )
}

fn section(studio: Studio, bench: Bench, kind: Kind) -> El {
    let form = bench.form(kind.kind);
    let is_typed = move || form.is_for(bench.number(studio));
    let in_short = move || {
        let all = there(studio, bench, kind);
        match all.as_slice() {
            _ if is_typed() => "not added yet".to_owned(),
            [] => "none".to_owned(),
            [one] => one.name.clone(),
            all => all.len().to_string(),
        }
    };
    let inside = div("inside")
        .shows(
            move || there(studio, bench, kind),
            move |all| {
                let rows = all.into_iter().enumerate();
                let rows = rows.map(|(at, one)| row(studio, bench, kind, form, at, one));
                div("supply-rows").all(rows).into()
            },
        )
        .put(offers(studio, bench, kind))
        .shows(is_typed, move |is_open| {
            if is_open {
                typed(studio, bench, kind, form)
            } else {
                button("button", format!("{}-new", kind.id))
                    .says(move || match there(studio, bench, kind).is_empty() {
                        true => format!("Enter a {}", kind.one),
                        false => format!("Enter another {}", kind.one),
                    })
                    .click(move || show(studio, bench, form, Supply::default(), None))
                    .into()
            }
        });
    shape::section(kind.id, kind.all, in_short, inside)
}

fn show(studio: Studio, bench: Bench, form: Form, supply: Supply, at: Option<usize>) {
    if let Some(visit) = glance(|| bench.number(studio)) {
        form.show(visit, supply, at);
    }
}

fn row(studio: Studio, bench: Bench, kind: Kind, form: Form, at: usize, one: Supply) -> El {
    let today = clock::today();
    let is_over = matches!((one.expires, today), (Some(last), Some(today)) if last < today);
    let words = one.words();
    let (name, about) = match words.split_once(", ") {
        Some((_, about)) => (one.name.clone(), words::sentence(about)),
        None => (one.name.clone(), "No batch number, no last day.".to_owned()),
    };
    div(if is_over {
        "supply-row over"
    } else {
        "supply-row"
    })
    .id(format!("{}-{at}", kind.id))
    .put(
        div("supply-words")
            .put(el("strong").words(name.clone()))
            .put(el("span").class("quiet").words(about)),
    )
    .put(
        button("button bare", format!("{}-{at}-change", kind.id))
            .label(format!("Change {name}"))
            .words("Change")
            .click(move || show(studio, bench, form, one.clone(), Some(at))),
    )
    .put(
        button("button bare", format!("{}-{at}-remove", kind.id))
            .label(format!("Take {name} out of the visit"))
            .words("Take out")
            .click(move || {
                let mut all = glance(|| there(studio, bench, kind));
                if at < all.len() {
                    all.remove(at);
                    set(studio, bench, kind, all);
                }
            }),
    )
}

/// From her earlier visits and from this device, by a tap.
fn offers(studio: Studio, bench: Bench, kind: Kind) -> View {
    let offered = move || {
        let shelf = bench.shelf.get_clone();
        let (record, visit) = studio.record().zip(bench.number(studio))?;
        if record.visits.get(visit)?.supplies(kind.kind).len() >= MOST_SUPPLIES {
            return None;
        }
        let today = clock::today();
        let last = record.as_last_time(visit, kind.kind, today);
        Some((last, record.offered(visit, kind.kind, &shelf, today)))
    };
    let add = move |new: Vec<Supply>| {
        let mut all = glance(|| there(studio, bench, kind));
        all.extend(new.iter().cloned());
        if set(studio, bench, kind, all) {
            bench.put_on_shelf(|shelf| {
                for one in &new {
                    shelf.put(kind.kind, one);
                }
            });
        }
    };
    shows(offered, move |offered| {
        let Some((last, offered)) = offered.filter(|(_, all)| !all.is_empty()) else {
            return View::new();
        };
        let names: Vec<_> = last.iter().map(|one| one.name.clone()).collect();
        let together = last.len() > 1;
        let as_last_time = button("button", format!("{}-as-last-time", kind.id))
            .words(format!("As last time: {}", names.join(", ")))
            .click(move || add(last.clone()));
        let each = offered.into_iter().enumerate().map(|(at, one)| {
            let mut words = one.name.clone();
            if !one.batch.is_empty() {
                words.push_str(&format!(", batch {}", one.batch));
            }
            button("button start", format!("{}-offer-{at}", kind.id))
                .label(format!("Used again: {words}"))
                .words(format!("+ {words}"))
                .click(move || add(vec![one.clone()]))
        });
        let all = div("offers").at("role", "group").label("Used before");
        let all = if together { all.put(as_last_time) } else { all };
        all.all(each).into()
    })
}
