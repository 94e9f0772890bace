//! How long the brow is over the skin: one tape length joins the flat photo
//! and the curved brow.

use ophryon_frames::Side;
use ophryon_record::{Edit, WrapChoice};
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::{quiet, section};
use crate::device::page;
use crate::markup::{El, button, div, el, glance, selector};
use crate::number;
use crate::parts::number_field::NumberField;
use crate::studio::Studio;
use crate::words;

/// The section.
pub fn over_the_skin(studio: Studio) -> El {
    let wrap = selector(Box::new(move || {
        studio.record().map(|r| r.wrap).unwrap_or_default()
    }));
    let side = create_signal(match wrap.get_untracked() {
        WrapChoice::Tape { side, .. } => side,
        _ => Side::Right,
    });
    let tape = move || match wrap.get() {
        WrapChoice::Tape { side: s, length_mm } if s == side.get() => Some(length_mm),
        _ => None,
    };
    let in_short = move || match wrap.get() {
        WrapChoice::Estimate => "an estimate".to_owned(),
        WrapChoice::Tape { length_mm, .. } => format!("{} mm by tape", number::tenths(length_mm)),
        WrapChoice::Cylinder { .. } => "chosen".to_owned(),
        WrapChoice::Flat => "none".to_owned(),
    };
    let set = move |length_mm: f64| {
        let side = glance(|| side.get());
        studio.apply(&Edit::SetWrap(WrapChoice::Tape { side, length_mm }));
    };
    let side_button = |s: Side| {
        button("button", format!("tape-side-{}", s.name()))
            .pressed(move || side.get() == s)
            .words(words::side_title(s))
            .click(move || side.set(s))
    };
    let field = NumberField {
        step: 0.5,
        placeholder: "such as 52.5",
        ..NumberField::new("Tape reads, mm", "tape-length")
    };
    let none = move |is_estimate: bool| {
        if is_estimate {
            return View::new();
        }
        button("button", "tape-none")
            .words("Go on with the estimate")
            .click(move || {
                studio.apply(&Edit::SetWrap(WrapChoice::Estimate));
            })
            .into()
    };
    let inside = div("inside")
        .put(el("h3").words("How far is it over the skin, from start to tail of the natural brow?"))
        .put(quiet("Draw a soft tape tight over the skin, straight from the start to the end of the tail. Don't follow the arch. A flat photo can't show this, and a stencil without it comes out a few millimetres short."))
        .put(
            div("sides")
                .at("role", "group")
                .label("Side the tape was laid on")
                .all(Side::BOTH.map(side_button)),
        )
        .put(field.view(tape, set))
        .put(el("p").id("wrap-words").says(move || wrap.get().words()))
        .shows(move || wrap.get() == WrapChoice::Estimate, none);
    let section = section("over-the-skin", "Over the skin", in_short, inside);
    if !studio.view.tape.replace(false) {
        return section;
    }
    section.flag("open", true).raw(|section| {
        // When the panel stands.
        page::next_frame(move || section.scroll_into_view());
    })
}
