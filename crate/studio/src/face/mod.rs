//! The panel of the first place: photo, scale, landmarks; one question at a
//! time.

mod caliper;
mod done;
mod landmarks;
mod scale;

use leptos::prelude::*;

use crate::ask::Ask;
use crate::studio::Studio;

/// The question and what answers it.
#[component]
pub fn FacePanel(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    move || match studio.ask.get() {
        Ask::Photo => view! { <FirstPhoto /> }.into_any(),
        Ask::WhichScale => view! { <scale::WhichScale studio=studio /> }.into_any(),
        Ask::ScaleTap { kind, index } => {
            view! { <scale::ScaleTap studio=studio kind=kind index=index /> }.into_any()
        }
        Ask::ScaleLength { kind } => {
            view! { <scale::ScaleLength studio=studio kind=kind /> }.into_any()
        }
        Ask::Landmark(landmark) => {
            view! { <landmarks::OneLandmark studio=studio landmark=landmark /> }.into_any()
        }
        Ask::Nothing => view! { <done::Done studio=studio /> }.into_any(),
    }
}

/// The sentence of the moment. It is read out when it changes.
#[component]
pub fn Question(
    /// Where in the work this is.
    #[prop(into)]
    step: String,
    /// The sentence.
    #[prop(into)]
    text: String,
    /// Where exactly, or why.
    #[prop(into, optional)]
    hint: String,
) -> impl IntoView {
    view! {
        <div class="question" aria-live="polite">
            <p class="step">{step}</p>
            <h2 data-testid="question">{text}</h2>
            {(!hint.is_empty()).then(|| view! { <p class="quiet">{hint}</p> })}
        </div>
    }
}

#[component]
fn FirstPhoto() -> impl IntoView {
    view! {
        <Question
            step="Photo"
            text="Bring a photo of the client's face."
            hint="Choose it, take it or drop it on the left. It stays on this device."
        />
        <div class="word calm">
            <h3>"So that millimetres come out right"</h3>
            <p>
                "The camera level with her eyes and a metre or more away, zoomed in rather than near. Face straight to the camera, brows at rest. A bank card, a ruler or a round sticker beside the brows gives the scale."
            </p>
        </div>
    }
}
