//! What is always there: undo, redo, the bare face, nearer and farther.

use leptos::prelude::*;

use super::icon::{Drawing, Icon};
use crate::stage::sight::{Sight, Spot};
use crate::studio::Studio;

/// One press of nearer or farther.
const ZOOM: f64 = 1.35;

/// The tools at the foot of the panel.
#[component]
pub fn Tools(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    view! {
        <footer class="panel-tools">
            <Steps studio=studio />
            <Looks studio=studio />
        </footer>
    }
}

#[component]
fn Steps(studio: Studio) -> impl IntoView {
    let undo = Memo::new(move |_| {
        studio.work.with(|w| {
            w.as_ref()
                .and_then(|w| w.history.undo_words().map(str::to_owned))
        })
    });
    let redo = Memo::new(move |_| {
        studio.work.with(|w| {
            w.as_ref()
                .and_then(|w| w.history.redo_words().map(str::to_owned))
        })
    });
    view! {
        <button
            type="button"
            class="button bare undo"
            data-testid="undo"
            disabled=move || undo.get().is_none()
            title=move || undo.get().map(|w| format!("Undo: {w}"))
            on:click=move |_| studio.undo()
        >
            <Icon of=Drawing::Undo />
            <span>
                {move || undo.get().map_or("Nothing to undo".to_owned(), |w| format!("Undo: {w}"))}
            </span>
        </button>
        <button
            type="button"
            class="button bare"
            data-testid="redo"
            disabled=move || redo.get().is_none()
            aria-label=move || redo.get().map_or("Nothing to redo".to_owned(), |w| format!("Redo: {w}"))
            title=move || redo.get().map(|w| format!("Redo: {w}"))
            on:click=move |_| studio.redo()
        >
            <Icon of=Drawing::Redo />
        </button>
    }
}

#[component]
fn Looks(studio: Studio) -> impl IntoView {
    let view = studio.view;
    let zoom = move |factor: f64| {
        let stage = view.stage.get_untracked();
        let middle = Spot::new(0.5 * stage.width, 0.5 * stage.height);
        let photo = untrack(|| studio.photo_size());
        let sight = view.sight.get_untracked();
        view.fly(sight.zoomed(factor, middle, photo, stage));
    };
    let whole = move |_| {
        let photo = untrack(|| studio.photo_size());
        view.fly(Sight::fitting(photo, view.stage.get_untracked()));
    };
    let hold = move |_| view.peek.set(true);
    let release = move || view.peek.set(false);
    view! {
        <div class="looking" role="group" aria-label="Looking">
            <button
                type="button"
                class="button"
                data-testid="peek"
                aria-pressed=move || view.peek.get().to_string()
                on:pointerdown=hold
                on:pointerup=move |_| release()
                on:pointerleave=move |_| release()
                on:pointercancel=move |_| release()
                on:contextmenu=move |e| e.prevent_default()
                on:keydown=move |e| {
                    if matches!(e.key().as_str(), " " | "Enter") {
                        e.prevent_default();
                        view.peek.set(true);
                    }
                }
                on:keyup=move |_| release()
                on:blur=move |_| release()
            >
                <Icon of=Drawing::Bare />
                <span>"Hold: bare face"</span>
            </button>
            <button
                type="button"
                class="button bare"
                data-testid="zoom-out"
                aria-label="Farther"
                title="Farther"
                on:click=move |_| zoom(1.0 / ZOOM)
            >
                <Icon of=Drawing::Farther />
            </button>
            <button
                type="button"
                class="button bare"
                data-testid="zoom-fit"
                aria-label="Whole photo"
                title="Whole photo"
                on:click=whole
            >
                <Icon of=Drawing::Whole />
            </button>
            <button
                type="button"
                class="button bare"
                data-testid="zoom-in"
                aria-label="Nearer"
                title="Nearer"
                on:click=move |_| zoom(ZOOM)
            >
                <Icon of=Drawing::Nearer />
            </button>
        </div>
    }
}
