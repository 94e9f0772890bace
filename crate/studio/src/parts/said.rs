//! The last refusal or remark.

use leptos::prelude::*;

use crate::studio::Studio;

/// One sentence with a button to put it away. Always there for readers.
#[component]
pub fn Said(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    view! {
        <div role="status" aria-live="polite">
            {move || {
                studio
                    .said
                    .get()
                    .map(|words| {
                        view! {
                            <div class="word" data-testid="said">
                                <p>{words}</p>
                                <div class="buttons">
                                    <button
                                        type="button"
                                        class="button"
                                        data-testid="said-close"
                                        on:click=move |_| studio.said.set(None)
                                    >
                                        "All right"
                                    </button>
                                </div>
                            </div>
                        }
                    })
            }}
        </div>
    }
}
