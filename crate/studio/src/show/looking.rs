//! How her face is looked at here, and in which tone she will see it.

use ophryon_powder::Tone;
use sycamore::web::View;
use web_sys::Event;

use crate::look::{BEFORE, DRAWN, FRESH, Facing, HEALED, IMPRESSION, Near};
use crate::markup::{El, button, div, el, p, shows, value_of};
use crate::shape::section;
use crate::studio::Studio;

/// The stages by name.
const STAGES: [(f64, &str, &str); 4] = [
    (BEFORE, "before", "Before"),
    (DRAWN, "drawn", "Drawn"),
    (FRESH, "fresh", "Fresh"),
    (HEALED, "healed", "Healed"),
];

/// Slider and tone, and folded away what is rarely changed.
pub fn looking(studio: Studio) -> El {
    div("rows").put(slider(studio)).put(section(
        "look-options",
        "How she sees it",
        move || studio.view.look.tone.get().name().to_owned(),
        div("inside")
            .put(tones(studio))
            .put(shapes(studio))
            .put(which_way(studio))
            .put(p(IMPRESSION).class("quiet")),
    ))
}

fn slider(studio: Studio) -> El {
    let stage = studio.view.look.stage;
    let name = move || {
        let nearest = STAGES.iter().min_by(|a, b| {
            let off = |s: &(f64, &str, &str)| (s.0 - stage.get()).abs();
            off(a).total_cmp(&off(b))
        });
        nearest.map_or("", |s| s.2)
    };
    let stop = move |(at, id, name): (f64, &'static str, &'static str)| {
        button("button", format!("see-{id}"))
            .pressed(move || (stage.get() - at).abs() < 0.05)
            .words(name)
            .click(move || stage.set(at))
    };
    div("show-slide")
        .put(
            el("input")
                .class("slider")
                .at("type", "range")
                .at("min", "0")
                .at("max", "3")
                .at("step", "0.01")
                .id("show-stage")
                .label("From before to healed")
                .at("aria-valuetext", name)
                .value(move || format!("{:.2}", stage.get()))
                .on::<Event>("input", move |e| {
                    if let Ok(at) = value_of(e).parse::<f64>() {
                        stage.set(at.clamp(BEFORE, HEALED));
                    }
                }),
        )
        .put(
            div("sides")
                .at("role", "group")
                .label("What is seen")
                .all(STAGES.map(stop)),
        )
}

fn tones(studio: Studio) -> El {
    let tone = studio.view.look.tone;
    let one = |of: Tone| {
        let [r, g, b] = of.srgb();
        button("tone", format!("tone-{}", of.id()))
            .pressed(move || tone.get() == of)
            .label(of.name())
            .at("title", of.name())
            .put(
                el("span")
                    .class("tone-colour")
                    .at("style", format!("background: rgb({r} {g} {b})")),
            )
            .put(el("span").words(of.name()))
            .click(move || tone.set(of))
    };
    div("tones")
        .at("role", "group")
        .label("Tone")
        .all(Tone::ALL.map(one))
}

/// Kept shapes, where there are any.
fn shapes(studio: Studio) -> View {
    let names = move || {
        let record = studio.record();
        let record = record.as_deref();
        let present = record.and_then(|r| r.kept_as());
        let all = record.map(|r| {
            r.variants
                .iter()
                .map(|v| v.name.clone())
                .collect::<Vec<_>>()
        });
        (present, all.unwrap_or_default())
    };
    shows(names, move |(present, names)| {
        if names.is_empty() {
            return View::new();
        }
        let variant = studio.view.look.variant;
        let one = move |of: Option<usize>, name: String| {
            button(
                "button",
                of.map_or("see-present".to_owned(), |n| format!("see-shape-{n}")),
            )
            .pressed(move || variant.get() == of)
            .words(name)
            .click(move || variant.set(of))
        };
        let kept = names.into_iter().enumerate();
        let kept = kept.filter(|(n, _)| present != Some(*n));
        let kept: Vec<El> = kept.map(|(n, name)| one(Some(n), name)).collect();
        div("chips buttons")
            .at("role", "group")
            .label("Which shape")
            .put(one(None, "The present shape".to_owned()))
            .all(kept)
            .into()
    })
}

fn which_way(studio: Studio) -> El {
    let (facing, near) = (studio.view.look.facing, studio.view.look.near);
    let face = move |of: Facing, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || facing.get() == of)
            .words(name)
            .click(move || facing.set(of))
    };
    let far = move |of: Near, id: &'static str, name: &'static str| {
        button("button", id)
            .pressed(move || near.get() == of)
            .words(name)
            .click(move || near.set(of))
    };
    div("rows")
        .put(
            div("sides")
                .at("role", "group")
                .label("Which way round")
                .put(face(Facing::Others, "facing-as-photo", "As others see her"))
                .put(face(Facing::Mirror, "facing-as-mirror", "As in a mirror")),
        )
        .put(
            div("sides")
                .at("role", "group")
                .label("How near")
                .put(far(Near::Brows, "near-the-brows", "Brows"))
                .put(far(Near::Face, "near-the-face", "Whole face")),
        )
}
