//! What of known size is in the photo.

use ophryon_face::{Coin, Held};
use sycamore::reactive::create_signal;
use sycamore::web::View;
use web_sys::Event;

use super::caliper::caliper_fields;
use super::landmarks::last_tap;
use super::question;
use crate::ask::{KnownSize, OtherScale, ScaleKind, ScaleTry};
use crate::exchange::Shows;
use crate::markup::{El, button, div, el, glance};
use crate::parts;
use crate::parts::icon::{Drawing, icon};
use crate::parts::number_field::NumberField;
use crate::stage::bring::bring_buttons;
use crate::studio::Studio;
use crate::words;

const fn drawing(kind: ScaleKind) -> Drawing {
    match kind {
        ScaleKind::Card => Drawing::Card,
        ScaleKind::Ruler => Drawing::Ruler,
        ScaleKind::Sticker => Drawing::Sticker,
        ScaleKind::Coin => Drawing::Coin,
        ScaleKind::Caliper => Drawing::Caliper,
        ScaleKind::Iris => Drawing::Iris,
    }
}

const fn id(kind: ScaleKind) -> &'static str {
    match kind {
        ScaleKind::Card => "scale-card",
        ScaleKind::Ruler => "scale-ruler",
        ScaleKind::Sticker => "scale-sticker",
        ScaleKind::Coin => "scale-coin",
        ScaleKind::Caliper => "scale-caliper",
        ScaleKind::Iris => "scale-iris",
    }
}

/// The choice.
pub fn which_scale(studio: Studio) -> View {
    let busy = create_signal(false);
    let more = studio
        .view
        .way
        .with_untracked(|w| w.other_scale == Some(OtherScale::More));
    let (asked, about) = if more {
        (
            "What else of known size is in the photo?",
            "Two things that agree make the scale surer; one that doesn't is pointed out.",
        )
    } else {
        ("What of known size is in the photo?", "")
    };
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
                    let instead = w.other_scale.and_then(OtherScale::instead);
                    w.scale = Some(ScaleTry::new(kind, instead));
                });
            })
    };
    let keep = if has_scale {
        button("button", "keep-scale")
            .words("Keep the scale as it is")
            .click(move || studio.view.way.update(|w| w.other_scale = None))
            .into()
    } else {
        View::new()
    };
    parts![
        question("Scale", asked, about),
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
                Shows::State(studio.view.on_photo.get_untracked()),
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
            studio.set_scale(&tried, KnownSize::Given);
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
    match kind {
        ScaleKind::Caliper => return caliper_fields(studio),
        ScaleKind::Coin => return which_coin(studio),
        _ => {}
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
                studio.set_scale(&tried, KnownSize::Length(mm));
            }
            _ => studio
                .said
                .set(Some("Type the length in millimetres first.".to_owned())),
        }
    };
    let back = back_from_size(studio);
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
        // A refusal is answered by typing, and must not lie over the field.
        div("")
            .put(field.view(move || length.get(), move |mm| length.set(Some(mm))))
            .on::<Event>("input", move |_| studio.said.set(None)),
        where_held(studio),
        div("buttons").put(back).put(
            button("button main", "scale-take")
                .words("Use this length")
                .click(take),
        ),
        last_tap(studio),
    ]
}

/// Back to the last tap.
fn back_from_size(studio: Studio) -> El {
    back_button(studio, move || {
        studio.view.way.update(|w| {
            if let Some(scale) = &mut w.scale {
                scale.taps.pop();
            }
        });
    })
}

/// Where it was: a thing nearer to the camera looks larger.
fn where_held(studio: Studio) -> El {
    let held = move || {
        studio
            .view
            .way
            .with(|w| w.scale.as_ref().map(|s| s.held).unwrap_or_default())
    };
    held_choice("held", held, move |place| {
        studio.view.way.update(|w| {
            if let Some(scale) = &mut w.scale {
                scale.held = place;
            }
        });
    })
}

/// The places to choose from.
pub fn held_choice(
    id: &'static str,
    held: impl Fn() -> Held + Copy + 'static,
    choose: impl Fn(Held) + Copy + 'static,
) -> El {
    let one = |place: Held| {
        let name = held_name(place);
        button(
            "button",
            format!("{id}-{}", name.replace(' ', "-").to_ascii_lowercase()),
        )
        .pressed(move || held() == place)
        .words(name)
        .click(move || choose(place))
    };
    div("field").put(el("span").words("Where it was")).put(
        div("buttons chips")
            .at("role", "group")
            .label("Where it was")
            .all(Held::PLACES.map(one)),
    )
}

/// A word or two on a button.
pub const fn held_name(place: Held) -> &'static str {
    match place {
        Held::BrowPlane => "Level with the brows",
        Held::Forehead => "Forehead",
        Held::Chin => "Chin",
        Held::Cheek => "Cheek",
        Held::Nearer { .. } => "Elsewhere",
    }
}

/// Which coin it is.
fn which_coin(studio: Studio) -> View {
    let choice = |coin: Coin| {
        button(
            "choice",
            format!(
                "coin-{}",
                coin.name().replace(' ', "-").to_ascii_lowercase()
            ),
        )
        .put(el("strong").words(words::title(coin.name())))
        .put(el("small").words(format!("{} mm", coin.diameter_mm())))
        .click(move || {
            if let Some(tried) = studio.view.way.get_clone_untracked().scale {
                studio.set_scale(&tried, KnownSize::Coin(coin));
            }
        })
    };
    parts![
        question(
            "Scale",
            "Which coin is it?",
            "Only round coins; a many-sided one has no one width."
        ),
        where_held(studio),
        div("choices two")
            .at("role", "group")
            .label("Coins")
            .all(Coin::ALL.map(choice)),
        div("buttons").put(back_from_size(studio)),
        last_tap(studio),
    ]
}
