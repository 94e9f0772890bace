//! What the app is about, in a drawing and two lines.

use leptos::prelude::*;

/// A brow with its dimensions, as on a workshop drawing.
#[component]
pub fn Picture() -> impl IntoView {
    view! {
        <div class="home-picture">
            <svg viewBox="0 0 480 250" role="img" aria-label="A brow with its dimensions drawn in">
                <path class="dots" d="M40 20V236M40 196H470" />
                <path
                    class="brow-shape"
                    d="M106 152 L312 62 C340 51 358 52 374 66 C404 92 428 122 450 158 C424 134 396 118 366 110 C342 104 322 108 300 116 L110 196 Z"
                />
                <path class="drawn" d="M106 226H450M106 218v16M450 218v16" />
                <path class="drawn" d="M40 30H340M340 22v16M40 22v16" />
                <path class="drawn" d="M340 62V196M332 196h16" />
                <circle class="ring" cx="106" cy="152" r="7" />
                <circle class="ring" cx="110" cy="196" r="7" />
                <circle class="ring" cx="340" cy="55" r="7" />
                <circle class="ring" cx="366" cy="110" r="7" />
                <circle class="ring" cx="450" cy="158" r="7" />
            </svg>
            <h1>"Two brows, measured on her own face."</h1>
            <p>
                "Bring a photo, tap the landmarks, draw the brow by its own points, and print the pair at true size, with every distance to check by ruler."
            </p>
        </div>
    }
}
