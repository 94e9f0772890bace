//! Where a brow starts, peaks and ends: the artist picks.

use ophryon_brow::{AimFrame, PeakRule, Rules, StartRule, TailRule};
use ophryon_record::Edit;
use sycamore::web::View;
use web_sys::Event;

use super::section;
use crate::markup::{El, button, div, el, glance, selector, value_of};
use crate::parts::number_field::NumberField;
use crate::studio::Studio;

const STARTS: [(StartRule, &str); 2] = [
    (StartRule::InnerCorner, "above the inner eye corner"),
    (StartRule::NoseWing, "above the wing of the nose"),
];
const PEAKS: [(PeakRule, &str); 4] = [
    (PeakRule::AboveIrisRim, "above the outer rim of the iris"),
    (PeakRule::AbovePupil, "above the pupil"),
    (
        PeakRule::WingThroughIrisRim,
        "nose wing through the rim of the iris",
    ),
    (PeakRule::WingThroughPupil, "nose wing through the pupil"),
];
const TAILS: [(TailRule, &str); 2] = [
    (
        TailRule::WingThroughOuterCorner,
        "nose wing through the outer eye corner",
    ),
    (TailRule::LowerLid, "the lower lid's line, continued"),
];
const AIMS: [(AimFrame, &str); 2] = [
    (AimFrame::Skin, "straight over the skin"),
    (AimFrame::Front, "straight in the photo"),
];

/// The section.
pub fn mapping_rules(studio: Studio) -> El {
    let rules = selector(Box::new(move || {
        studio.record().map(|r| r.rules).unwrap_or_default()
    }));
    let set = move |change: &dyn Fn(&mut Rules)| {
        let mut rules = glance(|| rules.get());
        change(&mut rules);
        studio.apply(&Edit::SetRules(rules));
    };
    let mapping = studio.view.mapping;
    let further = NumberField {
        step: 0.5,
        ..NumberField::new("Start further out, mm", "rule-start-offset")
    };
    let inside = div("inside")
        .put(choose(
            "It starts",
            "rule-start",
            &STARTS,
            move || rules.get().start,
            move |v| {
                set(&|r| r.start = v);
            },
        ))
        .put(further.view(
            move || Some(rules.get().start_offset_mm),
            move |mm| set(&|r| r.start_offset_mm = mm),
        ))
        .put(choose(
            "It peaks",
            "rule-peak",
            &PEAKS,
            move || rules.get().peak,
            move |v| {
                set(&|r| r.peak = v);
            },
        ))
        .put(choose(
            "It ends on",
            "rule-tail",
            &TAILS,
            move || rules.get().tail,
            move |v| {
                set(&|r| r.tail = v);
            },
        ))
        .put(choose(
            "The line to the ear is",
            "rule-aim",
            &AIMS,
            move || rules.get().aim,
            move |v| {
                set(&|r| r.aim = v);
            },
        ))
        .put(
            div("buttons")
                .put(
                    button("button", "mapping-lines")
                        .pressed(move || mapping.get())
                        .words("Show the lines on the face")
                        .click(move || mapping.set(!mapping.get_untracked())),
                )
                .shows(
                    move || studio.record().is_some_and(|r| r.pair.is_some()),
                    move |is_own| {
                        if is_own {
                            anew(studio).into()
                        } else {
                            View::new()
                        }
                    },
                ),
        );
    section("rules", "Mapping rules", String::new, inside)
}

/// Draws the proposal again, over the artist's own shape.
fn anew(studio: Studio) -> El {
    button("button", "propose")
        .words("Draw anew by these rules")
        .click(move || {
            studio.apply(&Edit::Propose);
        })
}

/// One of several, as the browser's own list.
fn choose<T: Copy + PartialEq + 'static>(
    label: &'static str,
    id: &'static str,
    options: &'static [(T, &'static str)],
    now: impl Fn() -> T + Clone + 'static,
    on_choice: impl Fn(T) + 'static,
) -> El {
    let option = |(i, (value, words)): (usize, &(T, &'static str))| {
        let (value, now) = (*value, now.clone());
        el("option")
            .at("value", i.to_string())
            .flag("selected", move || now() == value)
            .words(*words)
    };
    let index = {
        let now = now.clone();
        move || {
            let now = now();
            let at = options.iter().position(|(v, _)| *v == now).unwrap_or(0);
            at.to_string()
        }
    };
    el("label").class("field").put(el("span").words(label)).put(
        el("select")
            .id(id)
            .all(options.iter().enumerate().map(option))
            .value(index)
            .on::<Event>("change", move |event| {
                let index = value_of(event).parse::<usize>().ok();
                if let Some((value, _)) = index.and_then(|i| options.get(i)) {
                    on_choice(*value);
                }
            }),
    )
}
