//! A distance read off a caliper, between two landmarks.

use ophryon_face::{Landmark, Reference, SidedLandmark};
use ophryon_frames::Side;
use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::question;
use super::scale::back_button;
use crate::markup::{button, div, el};
use crate::parts;
use crate::parts::number_field::NumberField;
use crate::studio::Studio;

/// Pairs that a caliper reaches without harm; never across an open eye.
const BETWEEN: [(SidedLandmark, &str); 3] = [
    (SidedLandmark::InnerCorner, "Inner eye corners"),
    (SidedLandmark::OuterCorner, "Outer eye corners"),
    (SidedLandmark::NoseWing, "Wings of the nose"),
];

/// Between which points, and what it read.
pub fn caliper_fields(studio: Studio) -> View {
    let chosen = create_signal(SidedLandmark::InnerCorner);
    let length = create_signal(None::<f64>);
    let take = move || {
        let tried = studio.view.way.get_clone_untracked().scale;
        let (Some(tried), Some(distance_mm)) = (tried, length.get_untracked()) else {
            studio
                .said
                .set(Some("Type what the caliper read first.".to_owned()));
            return;
        };
        let l = chosen.get_untracked();
        let reference = Reference::Caliper {
            between: Side::BOTH.map(|side| Landmark::Sided(side, l)),
            distance_mm,
        };
        studio.set_reference(reference, &tried);
    };
    let choice = |(l, name): (SidedLandmark, &'static str)| {
        button("choice", format!("caliper-{}", l.id()))
            .class(move || {
                if chosen.get() == l {
                    "choice chosen"
                } else {
                    "choice"
                }
            })
            .pressed(move || chosen.get() == l)
            .put(el("strong").words(name))
            .click(move || chosen.set(l))
    };
    let field = NumberField {
        step: 0.5,
        placeholder: "such as 32",
        ..NumberField::new("Distance in mm", "scale-length")
    };
    parts![
        question(
            "Scale",
            "What did the caliper read?",
            "Eyes closed, the tips beside the points, without pressing.",
        ),
        div("choices")
            .at("role", "group")
            .label("Between")
            .all(BETWEEN.map(choice)),
        field.view(move || length.get(), move |mm| length.set(Some(mm))),
        div("buttons")
            .put(back_button(studio, move || {
                studio.view.way.update(|w| w.scale = None);
            }))
            .put(
                button("button main", "scale-take")
                    .words("Use this reading")
                    .click(take),
            ),
    ]
}
