//! The point in hand: its millimetres to type, to step and to nudge.

use ophryon_brow::Handle;
use ophryon_frames::{Lateral, Point, Side};
use ophryon_record::Edit;
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::quiet;
use crate::markup::{El, button, div, el, glance, selector};
use crate::parts::nudge::nudge_pad;
use crate::parts::number_field::NumberField;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// The point in hand, or a choice of points.
pub fn held(studio: Studio) -> El {
    let held = selector(Box::new(move || match studio.view.chosen.get() {
        Some(Grip::Handle(side, handle)) => Some((side, handle)),
        _ => None,
    }));
    // The side last worked on stays chosen when the point is let go.
    let last = create_signal(Side::Right);
    let side = selector(Box::new(move || match held.get() {
        Some((side, _)) => {
            last.set_silent(side);
            side
        }
        None => last.get_untracked(),
    }));
    let take = move |side: Side, handle: Handle| {
        studio.finish();
        studio.view.chosen.set(Some(Grip::Handle(side, handle)));
    };
    let side_button = |s: Side| {
        button("button", format!("side-{}", s.name()))
            .pressed(move || side.get() == s)
            .words(words::side_title(s))
            .click(move || {
                let handle = held.get_untracked().map_or(Handle::Start, |h| h.1);
                take(s, handle);
            })
    };
    let handle_button = |h: Handle| {
        button("button", format!("take-{}", h.name().replace(' ', "-")))
            .pressed(move || held.get().is_some_and(|(_, now)| now == h))
            .words(words::title(h.name()))
            .click(move || take(side.get_untracked(), h))
    };
    el("section")
        .class("question")
        .label("Point in hand")
        .put(
            div("sides")
                .at("role", "group")
                .label("Side")
                .all(Side::BOTH.map(side_button)),
        )
        .put(
            div("handle-row")
                .at("role", "group")
                .label("Point")
                .all(Handle::ALL.map(handle_button)),
        )
        .shows(
            move || held.get(),
            move |held| match held {
                Some((side, handle)) => millimetres(studio, side, handle),
                None => quiet(
                    "Drag a ring on the face, or take a point here and move it by the millimetre.",
                )
                .into(),
            },
        )
}

fn millimetres(studio: Studio, side: Side, handle: Handle) -> View {
    let place = selector(Box::new(move || studio.handle_place(side, handle)));
    let move_to = move |to: Point<Lateral>| {
        studio.apply(&Edit::MoveHandle { side, handle, to });
    };
    let grip = Grip::Handle(side, handle);
    let plain = |label, id: &str| NumberField {
        buttons: false,
        ..NumberField::new(label, id)
    };
    div("place-it")
        .put(nudge_pad(move |right, up| {
            studio.nudge(grip, right, up);
            studio.finish();
        }))
        .put(
            div("question")
                .put(plain("From midline, mm", "handle-out").view(
                    move || place.get().map(|p| p.x),
                    move |x| {
                        if let Some(p) = glance(|| place.get()) {
                            move_to(Point::new(x, p.y));
                        }
                    },
                ))
                .put(plain("Above pupils, mm", "handle-up").view(
                    move || place.get().map(|p| p.y),
                    move |y| {
                        if let Some(p) = glance(|| place.get()) {
                            move_to(Point::new(p.x, y));
                        }
                    },
                )),
        )
        .into()
}
