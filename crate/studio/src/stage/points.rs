//! Points to take hold of: seen small, touched large, reached by the keyboard.

use leptos::prelude::*;

use super::scene::{Grip, Mark};
use crate::parts::nudge;
use crate::studio::Studio;

/// Half of 44 px.
const REACH: &str = "22";

/// All points.
#[component]
pub fn Points(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let grips = Memo::new(move |_| {
        studio
            .scene
            .with(|s| s.marks.iter().map(|m| m.grip).collect::<Vec<_>>())
    });
    view! {
        <svg
            class="drawing points"
            role="group"
            aria-label="Points. Arrow keys move the one that has the focus by 0.1 mm, with Shift by 1 mm."
            hidden=move || studio.view.peek.get()
        >
            <For each=move || grips.get() key=|grip| *grip let:grip>
                <OnePoint studio=studio grip=grip />
            </For>
        </svg>
    }
}

#[component]
fn OnePoint(studio: Studio, grip: Grip) -> impl IntoView {
    let mark = Memo::new(move |_| {
        studio
            .scene
            .with(|s| s.marks.iter().find(|m| m.grip == grip).cloned())
    });
    let is_ring = mark.with_untracked(|m| m.as_ref().is_some_and(|m| m.ring));
    let transform = move || {
        let at = mark.with(|m| m.as_ref().map(|m| m.at));
        at.map(|at| {
            let spot = studio.view.sight.get().to_stage(at);
            format!("translate({:.2} {:.2})", spot.x, spot.y)
        })
    };
    let class = move || {
        let chosen = mark.with(|m| m.as_ref().is_some_and(|m| m.chosen));
        if chosen { "point chosen" } else { "point" }
    };
    let shape = if is_ring {
        view! {
            <circle class="edge" r="7.500" />
            <circle class="ring" r="7.500" />
        }
        .into_any()
    } else {
        view! { <circle class="dot" r="4" /> }.into_any()
    };
    view! {
        <g
            class=class
            transform=transform
            role="button"
            tabindex="0"
            data-testid=grip.id()
            aria-label=move || mark.with(|m: &Option<Mark>| m.as_ref().map(|m| m.name.clone()))
            on:focus=move |_| studio.view.chosen.set(Some(grip))
            on:keydown=move |e| nudge::pressed(studio, grip, &e)
            on:keyup=move |e| nudge::lifted(studio, &e)
            on:blur=move |_| studio.finish()
        >
            <circle class="reach" r=REACH />
            {shape}
        </g>
    }
}
