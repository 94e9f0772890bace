//! What the outline must keep to of the hair, where the artist wants that
//! held.

use ophryon_brow::Limits;
use ophryon_record::Edit;
use sycamore::web::View;

use crate::markup::{El, button, div, glance, p};
use crate::number::tenths;
use crate::parts::number_field::NumberField;
use crate::shape::section;
use crate::studio::Studio;

/// Offered when a limit is first held: a good part of the hair, and a step
/// that pigment hides.
const INSIDE: f64 = 0.9;
const STEP_MM: f64 = 1.0;

fn now(studio: Studio) -> Limits {
    studio.record().map(|r| r.limits).unwrap_or_default()
}

fn set(studio: Studio, change: impl FnOnce(&mut Limits)) {
    let mut limits = glance(|| now(studio));
    change(&mut limits);
    studio.apply(&Edit::SetLimits(limits));
}

/// The section.
pub fn held_to_hair(studio: Studio) -> El {
    let short = move || {
        let limits = now(studio);
        let inside = limits
            .hair_inside_least
            .map(|v| format!("{:.0} % inside", 100.0 * v));
        let step = limits
            .hair_step_most_mm
            .map(|v| format!("step {} mm", tenths(v)));
        let all: Vec<String> = [inside, step].into_iter().flatten().collect();
        if all.is_empty() {
            "nothing held".to_owned()
        } else {
            all.join(", ")
        }
    };
    let inside = div("inside")
        .put(p("What is held here is checked with the other rules, and a shape off it can be mended there.").class("quiet"))
        .put(one(
            studio,
            Field { label: "Least hair inside, %", id: "hair-inside-least", step: 1.0 },
            |limits| limits.hair_inside_least.map(|v| 100.0 * v),
            |limits, value| limits.hair_inside_least = value.map(|v| v / 100.0),
            100.0 * INSIDE,
        ))
        .put(one(
            studio,
            Field { label: "Largest step beyond the hair, mm", id: "hair-step-most", step: 0.1 },
            |limits| limits.hair_step_most_mm,
            |limits, value| limits.hair_step_most_mm = value,
            STEP_MM,
        ));
    section("hair-limits", "Held to the hair", short, inside)
}

struct Field {
    label: &'static str,
    id: &'static str,
    step: f64,
}

/// A limit that is held or only shown.
fn one(
    studio: Studio,
    field: Field,
    read: fn(&Limits) -> Option<f64>,
    write: fn(&mut Limits, Option<f64>),
    usual: f64,
) -> View {
    let Field { label, id, step } = field;
    crate::markup::shows(
        move || read(&now(studio)).is_some(),
        move |is_held| {
            let toggle = button("button", format!("{id}-held"))
                .pressed(move || is_held)
                .words(if is_held {
                    "Hold it no longer"
                } else {
                    "Hold it"
                })
                .click(move || {
                    set(studio, |limits| write(limits, (!is_held).then_some(usual)));
                });
            if !is_held {
                return div("question").put(p(label)).put(toggle).into();
            }
            let number = NumberField {
                step,
                ..NumberField::new(label, id)
            };
            div("question")
                .put(number.view(
                    move || read(&now(studio)),
                    move |value| set(studio, |limits| write(limits, Some(value))),
                ))
                .put(toggle)
                .into()
        },
    )
}
