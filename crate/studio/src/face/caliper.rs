//! A distance read off a caliper, between two landmarks.

use leptos::prelude::*;
use ophryon_face::{Landmark, Reference, SidedLandmark};
use ophryon_frames::Side;

use super::Question;
use crate::parts::number_field::NumberField;
use crate::studio::Studio;

/// Pairs that a caliper reaches without harm; never across an open eye.
const BETWEEN: [(SidedLandmark, &str); 3] = [
    (SidedLandmark::InnerCorner, "Inner eye corners"),
    (SidedLandmark::OuterCorner, "Outer eye corners"),
    (SidedLandmark::NoseWing, "Wings of the nose"),
];

/// Between which points, and what it read.
#[component]
pub fn CaliperFields(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let chosen = RwSignal::new(SidedLandmark::InnerCorner);
    let length = RwSignal::new(None::<f64>);
    let take = move |_| {
        let tried = studio.view.way.with_untracked(|w| w.scale.clone());
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
    view! {
        <Question
            step="Scale"
            text="What did the caliper read?"
            hint="Her eyes closed, the tips beside the points, without pressing."
        />
        <div class="choices" role="group" aria-label="Between">
            {BETWEEN
                .into_iter()
                .map(|(l, name)| {
                    view! {
                        <button
                            type="button"
                            class="choice"
                            class:chosen=move || chosen.get() == l
                            aria-pressed=move || (chosen.get() == l).to_string()
                            data-testid=format!("caliper-{}", l.id())
                            on:click=move |_| chosen.set(l)
                        >
                            <strong>{name}</strong>
                        </button>
                    }
                })
                .collect_view()}
        </div>
        <NumberField
            label="Distance in mm"
            value=length
            on_value=Callback::new(move |mm| length.set(Some(mm)))
            testid="scale-length"
            step=0.5
            placeholder="such as 32"
        />
        <div class="buttons">
            <button
                type="button"
                class="button"
                data-testid="back"
                on:click=move |_| studio.view.way.update(|w| w.scale = None)
            >
                "Back"
            </button>
            <button type="button" class="button main" data-testid="scale-take" on:click=take>
                "Use this reading"
            </button>
        </div>
    }
}
