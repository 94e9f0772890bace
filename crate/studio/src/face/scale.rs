//! What of known size is in the photo.

use sycamore::reactive::create_signal;
use sycamore::web::View;

use super::caliper::caliper_fields;
use super::landmarks::last_tap;
use super::question;
use crate::ask::{ScaleKind, ScaleTry};
use crate::markup::{El, button, div, el, glance};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::number_field::NumberField;
use crate::stage::bring::bring_buttons;
use crate::studio::Studio;

const fn drawing(kind: ScaleKind) -> Drawing {
    match kind {
        ScaleKind::Card => Drawing::Card,
        ScaleKind::Ruler => Drawing::Ruler,
        ScaleKind::Sticker => Drawing::Sticker,
        ScaleKind::Caliper => Drawing::Caliper,
        ScaleKind::Iris => Drawing::Iris,
    }
}

const fn id(kind: ScaleKind) -> &'static str {
    match kind {
        ScaleKind::Card => "scale-card",
        ScaleKind::Ruler => "scale-ruler",
        ScaleKind::Sticker => "scale-sticker",
        ScaleKind::Caliper => "scale-caliper",
        ScaleKind::Iris => "scale-iris",
    }
}

/// The choice.
pub fn which_scale(studio: Studio) -> View {
    let busy = create_signal(false);
    let has_scale = glance(|| studio.photo()).is_some_and(|p| !p.references.is_empty());
    let choice = |kind: ScaleKind| {
        button("choice", id(kind))
            .put(icon(drawing(kind)))
            .put(el("strong").words(kind.name()))
            .put(el("small").words(kind.about()))
            .click(move || {
                studio.said.set(None);
                studio.view.chosen.set(None);
                studio.view.way.update(|w| {
                    w.scale = Some(ScaleTry { kind, taps: vec![] });
                });
            })
    };
    let keep = if has_scale {
        button("button", "keep-scale")
            .words("Keep the scale as it is")
            .click(move || studio.view.way.update(|w| w.other_scale = false))
            .into()
    } else {
        View::new()
    };
    parts![
        question("Scale", "What of known size is in the photo?", ""),
        div("choices").all(ScaleKind::ALL.map(choice)),
        keep,
        el("details")
            .class("more")
            .put(el("summary").words("Use another photo"))
            .put(div("inside").put(bring_buttons(
                studio,
                busy,
                "Choose a photo",
                "other-photo-file",
                false,
            ))),
    ]
}

/// One tap on the thing.
pub fn scale_tap(studio: Studio, kind: ScaleKind, index: usize) -> View {
    let back = back_button(studio, move || {
        studio.view.way.update(|w| match &mut w.scale {
            Some(scale) if !scale.taps.is_empty() => {
                scale.taps.pop();
            }
            _ => w.scale = None,
        });
    });
    // The second direction of a card can be left out.
    let enough = move || {
        let tried = studio.view.way.get_clone_untracked().scale;
        if let Some(mut tried) = tried {
            tried.taps.truncate(2);
            studio.set_scale(&tried, None);
        }
    };
    let buttons = div("buttons").put(back);
    let buttons = if kind == ScaleKind::Card && index >= 2 {
        buttons.put(
            button("button", "enough")
                .words("Leave it out")
                .click(enough),
        )
    } else {
        buttons
    };
    parts![
        question(
            format!("Scale, tap {} of {}", index + 1, kind.taps()),
            kind.question(index),
            kind.hint(index),
        ),
        buttons,
        last_tap(studio),
    ]
}

/// One step back.
pub fn back_button(studio: Studio, back: impl Fn() + 'static) -> El {
    button("button", "back").words("Back").click(move || {
        studio.said.set(None);
        back();
    })
}

/// The number that belongs to it.
pub fn scale_length(studio: Studio, kind: ScaleKind) -> View {
    if kind == ScaleKind::Caliper {
        return caliper_fields(studio);
    }
    let length = create_signal(None::<f64>);
    let (text, label, usual) = match kind {
        ScaleKind::Sticker => ("How wide is the sticker?", "Diameter in mm", "such as 20"),
        _ => (
            "How far apart are the two marks?",
            "Distance in mm",
            "such as 100",
        ),
    };
    let take = move || {
        let tried = studio.view.way.get_clone_untracked().scale;
        match (tried, length.get_untracked()) {
            (Some(tried), Some(mm)) => {
                studio.set_scale(&tried, Some(mm));
            }
            _ => studio
                .said
                .set(Some("Type the length in millimetres first.".to_owned())),
        }
    };
    let back = back_button(studio, move || {
        studio.view.way.update(|w| {
            if let Some(scale) = &mut w.scale {
                scale.taps.pop();
            }
        });
    });
    let field = NumberField {
        step: 1.0,
        placeholder: usual,
        ..NumberField::new(label, "scale-length")
    };
    parts![
        question(
            "Scale",
            text,
            "As printed on it, in millimetres. The taps can still be dragged.",
        ),
        field.view(move || length.get(), move |mm| length.set(Some(mm))),
        div("buttons").put(back).put(
            button("button main", "scale-take")
                .words("Use this length")
                .click(take),
        ),
        last_tap(studio),
    ]
}
