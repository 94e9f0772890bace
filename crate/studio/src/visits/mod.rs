//! The place Visits: the log. While she works, a counter for gloved hands lies
//! on the table, and the panel holds the rest.
//!
//! Reached by [`table`] and [`panel`] alone, so that all of it can be a part of
//! the app that is fetched when it is first used.

mod awake;
mod bench;
mod brows;
mod counter;
mod days;
mod log;
mod measured;
mod next;
mod notes;
mod photos;
mod sheet;
mod skin;
mod supplies;
mod ticking;
mod timing;

use sycamore::web::View;

use crate::device::page;
use crate::face::question;
use crate::healed;
use crate::markup::{button, div, shows};
use crate::parts;
use crate::studio::Studio;
pub use bench::open_visit;
use bench::{Bench, OnBench, bench};
pub use timing::forget as forget_timer;

/// From the healed brows to where the next visit is settled.
pub fn to_next_visit(studio: Studio) {
    bench(studio).on.set(OnBench::Work);
    // Once it is there.
    page::next_frame(|| {
        let section = page::document().and_then(|d| d.get_element_by_id(next::SECTION));
        let Some(section) = section else { return };
        // What can't be opened is scrolled to all the same.
        let _ = section.set_attribute("open", "");
        section.scroll_into_view();
        if let Ok(Some(summary)) = section.query_selector("summary") {
            page::focus(summary);
        }
    });
}

/// The visit in work, the healed brows, or the sheet.
pub fn table(studio: Studio) -> View {
    let bench = bench(studio);
    ticking::tick_from_now_on(bench);
    let there = move || bench.number(studio).is_some();
    shows(
        move || there().then(|| bench.on.get()),
        move |on| match on {
            None => log::nothing_yet(studio, bench),
            Some(OnBench::Work) => counter::counter(studio, bench),
            Some(OnBench::Healed) => healed::table(studio),
            Some(OnBench::Sheet) => sheet::preview(studio, bench),
        },
    )
}

/// What the panel asks and offers.
pub fn panel(studio: Studio) -> View {
    let bench = bench(studio);
    // Put up anew for another visit: nothing half typed goes along.
    shows(
        move || Some((bench.number(studio)?, bench.on.get())),
        move |open| {
            let on = open.map(|(_, on)| on);
            page::to_top(&[".panel", ".panel-body"]);
            match on {
                None => log::begin(studio, bench),
                Some(on) => parts![
                    log::which(studio, bench),
                    moments(bench),
                    match on {
                        OnBench::Work => work(studio, bench),
                        OnBench::Healed => healed::section(studio),
                        OnBench::Sheet => sheet::panel(studio, bench),
                    },
                ],
            }
        },
    )
}

/// What is done now: the work, the healed brows, the sheet.
fn moments(bench: Bench) -> View {
    let choice = |on: OnBench, id: &'static str, words: &'static str| {
        button("button", id)
            .pressed(move || bench.on.get() == on)
            .words(words)
            .click(move || bench.on.set(on))
    };
    div("sides three")
        .at("role", "group")
        .label("What is done now")
        .put(choice(OnBench::Work, "bench-work", "The work"))
        .put(choice(OnBench::Healed, "bench-healed", "Healed"))
        .put(choice(OnBench::Sheet, "bench-sheet", "Sheet"))
        .into()
}

/// Everything of a visit but what is counted.
fn work(studio: Studio, bench: Bench) -> View {
    parts![
        log::agreed(studio),
        supplies::warnings(studio, bench),
        ticking::forgotten(studio, bench),
        div("rows")
            .put(supplies::pigments(studio, bench))
            .put(supplies::tools(studio, bench))
            .put(supplies::needles(studio, bench))
            .put(skin::section(studio, bench))
            .put(measured::section(studio, bench))
            .put(photos::section(studio, bench))
            .put(notes::section(studio, bench))
            .put(next::section(studio, bench))
            .put(log::section(studio, bench)),
    ]
}

/// The sentence of the moment; see [`question`].
fn asked(step: String, text: String, hint: String) -> View {
    question(step, text, hint)
}
