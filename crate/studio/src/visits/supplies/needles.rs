//! The needles' batch.

use ophryon_record::VisitChange;
use web_sys::Event;

use crate::markup::{El, button, div, el, value_of};
use crate::shape;
use crate::studio::Studio;
use crate::visits::bench::Bench;

/// The section.
pub fn section(studio: Studio, bench: Bench) -> El {
    let now = move || {
        let batch = bench.of_visit(studio, |visit| visit.needle_batch.clone());
        batch.unwrap_or_default()
    };
    let in_short = move || match now() {
        none if none.is_empty() => "no batch".to_owned(),
        batch => batch,
    };
    let keep = move |batch: String| {
        let batch = batch.trim().to_owned();
        if bench.change(studio, VisitChange::NeedleBatch(batch.clone())) {
            bench.put_on_shelf(|shelf| shelf.put_needles(&batch));
        }
    };
    // Without what was typed around it; on the shelf once it is whole.
    let left = move |batch: String| {
        let batch = batch.trim().to_owned();
        if bench.write_on(studio, VisitChange::NeedleBatch(batch.clone())) {
            bench.put_on_shelf(|shelf| shelf.put_needles(&batch));
        }
        studio.written();
    };
    let offered = move || {
        let shelf = bench.shelf.get_clone();
        let (record, visit) = studio.record().zip(bench.number(studio))?;
        Some(record.offered_needles(visit, &shelf))
    };
    let input = el("input")
        .at("type", "text")
        .at("maxlength", "100")
        .at("autocomplete", "off")
        .at("enterkeyhint", "done")
        .label("Batch of the needles")
        .id("needle-batch")
        .value(now)
        // Kept as it is written: a page may go without the field being left.
        .on::<Event>("focus", move |_| studio.written())
        .on::<Event>("input", move |e| {
            bench.write_on(studio, VisitChange::NeedleBatch(value_of(e)));
        })
        .on::<Event>("blur", move |e| left(value_of(e)));
    let inside = div("inside")
        .put(
            div("field")
                .put(el("span").decoration().words("Batch of the needles"))
                .put(input),
        )
        .shows(offered, move |offered| {
            let each = offered.unwrap_or_default().into_iter().enumerate();
            let each = each.map(|(at, batch)| {
                button("button start", format!("needles-offer-{at}"))
                    .label(format!("Used again: batch {batch}"))
                    .words(format!("+ batch {batch}"))
                    .click(move || keep(batch.clone()))
            });
            div("offers")
                .at("role", "group")
                .label("Used before")
                .all(each)
                .into()
        });
    shape::section("needles", "Needles", in_short, inside)
}
