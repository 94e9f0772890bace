//! What of known size is in the photo.

use leptos::prelude::*;

use super::Question;
use super::caliper::CaliperFields;
use crate::ask::{ScaleKind, ScaleTry};
use crate::parts::icon::{Drawing, Icon};
use crate::parts::number_field::NumberField;
use crate::stage::bring::BringButtons;
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
#[component]
pub fn WhichScale(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let busy = RwSignal::new(false);
    let has_scale = studio.photo().is_some_and(|p| p.reference.is_some());
    let choose = move |kind: ScaleKind| {
        studio.said.set(None);
        studio.view.chosen.set(None);
        studio.view.way.update(|w| {
            w.scale = Some(ScaleTry { kind, taps: vec![] });
        });
    };
    view! {
        <Question step="Scale" text="What of known size is in the photo?" />
        <div class="choices">
            {ScaleKind::ALL
                .into_iter()
                .map(|kind| {
                    view! {
                        <button
                            type="button"
                            class="choice"
                            data-testid=id(kind)
                            on:click=move |_| choose(kind)
                        >
                            <Icon of=drawing(kind) />
                            <strong>{kind.name()}</strong>
                            <small>{kind.about()}</small>
                        </button>
                    }
                })
                .collect_view()}
        </div>
        {has_scale
            .then(|| {
                view! {
                    <button
                        type="button"
                        class="button"
                        data-testid="keep-scale"
                        on:click=move |_| studio.view.way.update(|w| w.other_scale = false)
                    >
                        "Keep the scale as it is"
                    </button>
                }
            })}
        <details class="more">
            <summary>"Use another photo"</summary>
            <div class="inside">
                <BringButtons studio=studio busy=busy testid="other-photo-file" />
            </div>
        </details>
    }
}

/// One tap on the thing.
#[component]
pub fn ScaleTap(
    /// The app.
    studio: Studio,
    /// Which thing.
    kind: ScaleKind,
    /// Which tap.
    index: usize,
) -> impl IntoView {
    let back = move |_| {
        studio.said.set(None);
        studio.view.way.update(|w| match &mut w.scale {
            Some(scale) if !scale.taps.is_empty() => {
                scale.taps.pop();
            }
            _ => w.scale = None,
        });
    };
    // The second direction of a card can be left out.
    let enough = move |_| {
        let tried = studio.view.way.with_untracked(|w| w.scale.clone());
        if let Some(mut tried) = tried {
            tried.taps.truncate(2);
            studio.set_scale(&tried, None);
        }
    };
    let optional = kind == ScaleKind::Card && index >= 2;
    let of = format!("Scale, tap {} of {}", index + 1, kind.taps());
    view! {
        <Question step=of text=kind.question(index) hint=kind.hint(index) />
        <div class="buttons">
            <button type="button" class="button" data-testid="back" on:click=back>
                "Back"
            </button>
            {optional
                .then(|| {
                    view! {
                        <button type="button" class="button" data-testid="enough" on:click=enough>
                            "Leave it out"
                        </button>
                    }
                })}
        </div>
    }
}

/// The number that belongs to it.
#[component]
pub fn ScaleLength(
    /// The app.
    studio: Studio,
    /// Which thing.
    kind: ScaleKind,
) -> impl IntoView {
    if kind == ScaleKind::Caliper {
        return view! { <CaliperFields studio=studio /> }.into_any();
    }
    let length = RwSignal::new(None::<f64>);
    let (text, label) = match kind {
        ScaleKind::Sticker => ("How wide is the sticker?", "Diameter in mm"),
        _ => ("How far apart are the two marks?", "Distance in mm"),
    };
    let take = move || {
        let tried = studio.view.way.with_untracked(|w| w.scale.clone());
        match (tried, length.get_untracked()) {
            (Some(tried), Some(mm)) => {
                studio.set_scale(&tried, Some(mm));
            }
            _ => studio
                .said
                .set(Some("Type the length in millimetres first.".to_owned())),
        }
    };
    let back = move |_| {
        studio.said.set(None);
        studio.view.way.update(|w| {
            if let Some(scale) = &mut w.scale {
                scale.taps.pop();
            }
        });
    };
    view! {
        <Question
            step="Scale"
            text=text
            hint="As printed on it, in millimetres. The taps can still be dragged."
        />
        <NumberField
            label=label
            value=length
            on_value=Callback::new(move |mm| length.set(Some(mm)))
            testid="scale-length"
            step=1.0
            placeholder="such as 20"
        />
        <div class="buttons">
            <button type="button" class="button" data-testid="back" on:click=back>
                "Back"
            </button>
            <button
                type="button"
                class="button main"
                data-testid="scale-take"
                on:click=move |_| take()
            >
                "Use this length"
            </button>
        </div>
    }
    .into_any()
}
