//! The point in hand: where it is, how sure that is and why, and tapping it
//! once more.

use std::rc::Rc;

use ophryon_face::{Budget, Landmark, Quantity};
use ophryon_record::PhotoState;
use sycamore::web::View;

use super::{known, quietly, with_error};
use crate::ask::photo_in;
use crate::markup::{El, button, div, el, shows};
use crate::parts;
use crate::stage::scene::Grip;
use crate::studio::Studio;
use crate::words;

/// What is said of the landmark that was taken hold of last.
pub fn point(studio: Studio) -> View {
    let held = move || match studio.view.chosen.get() {
        Some(Grip::Landmark(landmark)) => Some(landmark),
        _ => None,
    };
    shows(held, move |held| {
        let Some(landmark) = held else {
            return View::new();
        };
        parts![places(studio, landmark), once_more(studio, landmark)]
    })
}

/// The two numbers of a landmark: from the midline, above the pupils.
pub fn numbers(studio: Studio, landmark: Landmark) -> Vec<(&'static str, Budget)> {
    if studio.view.on_photo.get() != PhotoState::Relaxed {
        return Vec::new();
    }
    let Some(known) = known::now(studio) else {
        return Vec::new();
    };
    let Some(influences) = &known.influences else {
        return Vec::new();
    };
    let out = influences.of_quantity(Quantity::FromMidline(landmark));
    let up = influences.of_quantity(Quantity::Height(landmark));
    let names = [
        ("From the midline", "From the midline"),
        ("Above the pupils", "Below the pupils"),
    ];
    let named = |((more, less), budget): (_, Option<Budget>)| {
        let mut budget = budget?;
        let name = if budget.value < 0.0 { less } else { more };
        budget.value = budget.value.abs();
        Some((name, budget))
    };
    names.into_iter().zip([out, up]).filter_map(named).collect()
}

fn places(studio: Studio, landmark: Landmark) -> View {
    shows(
        move || numbers(studio, landmark),
        move |numbers| {
            if numbers.is_empty() {
                return View::new();
            }
            let numbers = Rc::new(numbers);
            let mut list = el("dl").class("facts").id("point-places");
            for (name, budget) in numbers.iter() {
                list = list
                    .put(el("dt").words(*name))
                    .put(el("dd").words(with_error(budget.value, budget.expanded(), "mm")));
            }
            parts![list, why(&numbers)]
        },
    )
}

/// What makes them uncertain, the largest first.
fn why(numbers: &[(&'static str, Budget)]) -> El {
    let mut inside = div("inside");
    for (name, budget) in numbers {
        let Some((cause, share)) = budget.dominant() else {
            continue;
        };
        inside = inside.put(el("p").words(format!(
            "{name}: mostly {} ({:.0} %).",
            cause.words(),
            100.0 * share
        )));
        let mut parts = budget.parts.clone();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        let said: Vec<String> = parts
            .iter()
            .filter(|(_, sd)| 2.0 * sd >= 0.05)
            .map(|(cause, sd)| format!("{} {:.1} mm", cause.words(), 2.0 * sd))
            .collect();
        inside = inside.put(
            el("p")
                .class("quiet")
                .words(words::sentence(&said.join(", "))),
        );
    }
    el("details")
        .class("more")
        .id("why-error")
        .put(el("summary").words("Why \u{b1}"))
        .put(inside)
}

/// A second tap shows how far taps scatter.
fn once_more(studio: Studio, landmark: Landmark) -> View {
    let taps = move || {
        let record = studio.record()?;
        let photo = photo_in(&record, studio.view.on_photo.get())?;
        Some(photo.repeated_taps.get(&landmark).map_or(1, Vec::len))
    };
    let said = move || {
        let times = match taps() {
            Some(n) if n > 1 => format!("Tapped {n} times; it lies at their mean. "),
            _ => String::new(),
        };
        let spread = known::now(studio).map(|k| k.levelled.survey.spread.sentence());
        format!("{times}{}", spread.unwrap_or_default())
    };
    div("place-it")
        .put(
            button("button", "once-more")
                .words("Tap it once more")
                .click(move || studio.ask_once_more(landmark)),
        )
        .put(quietly(said).id("spread"))
        .into()
}
