//! How long the brow is over the skin: one tape length joins the flat photo
//! and the curved brow.

use ophryon_frames::Side;
use ophryon_record::{Edit, TapeLine, WrapChoice};
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
        WrapChoice::Tape(tapes) if tapes.right.is_empty() => Side::Left,
        _ => Side::Right,
    });
    let line = TapeLine::StartToTail;
    let tape = move || wrap.get().tapes().get(side.get()).get(line);
    let in_short = move || match wrap.get() {
        WrapChoice::Estimate => "an estimate".to_owned(),
        WrapChoice::Tape(tapes) => {
            let all = tapes.iter().flat_map(|(_, t)| t.iter());
            let all: Vec<_> = all.map(|(_, mm)| number::tenths(mm)).collect();
            format!("{} mm by tape", all.join(", "))
        }
        WrapChoice::Cylinder { .. } => "chosen".to_owned(),
        WrapChoice::Flat => "none".to_owned(),
    };
    let set = move |length_mm: f64| {
        let side = glance(|| side.get());
        let length_mm = Some(length_mm);
        studio.apply(&Edit::SetTape {
            side,
            line,
            length_mm,
        });
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
