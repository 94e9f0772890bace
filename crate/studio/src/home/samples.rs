//! Invented clients to try things out on.

use leptos::prelude::*;

use super::Doing;
use crate::exchange::{Practise, SAMPLES};

/// The samples: one button, then which and how.
#[component]
pub fn Samples(
    /// Shows what takes a moment.
    doing: Doing,
) -> impl IntoView {
    let open = RwSignal::new(false);
    let how = RwSignal::new(Practise::Shape);
    let way = move |to: Practise, words: &'static str, id: &'static str| {
        view! {
            <button
                type="button"
                class="button"
                data-testid=id
                aria-pressed=move || (how.get() == to).to_string()
                on:click=move |_| how.set(to)
            >
                {words}
            </button>
        }
    };
    view! {
        <section>
            <button
                type="button"
                class="button wide"
                data-testid="try-sample"
                aria-expanded=move || open.get().to_string()
                on:click=move |_| open.update(|o| *o = !*o)
            >
                "Try it with a sample client"
            </button>
            {move || {
                open.get()
                    .then(|| {
                        view! {
                            <p class="quiet">
                                "All three are invented; their photos are drawn by a program."
                            </p>
                            <div class="sides" role="group" aria-label="How to begin">
                                {way(Practise::Shape, "Go straight to the shape", "sample-shape")}
                                {way(Practise::Everything, "Tap everything myself", "sample-everything")}
                            </div>
                            <div class="choices">
                                {SAMPLES
                                    .into_iter()
                                    .map(|sample| {
                                        view! {
                                            <button
                                                type="button"
                                                class="choice"
                                                data-testid=sample.folder
                                                on:click=move |_| {
                                                    doing
                                                        .run(
                                                            "Fetching the sample",
                                                            doing.studio.open_sample(sample, how.get_untracked()),
                                                        );
                                                }
                                            >
                                                <strong>{sample.name}</strong>
                                                <small>{sample.about}</small>
                                            </button>
                                        }
                                    })
                                    .collect_view()}
                            </div>
                        }
                    })
            }}
        </section>
    }
}
