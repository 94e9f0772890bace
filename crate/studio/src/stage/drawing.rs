//! Lines and words over the photo. Every line is drawn twice, dark under
//! light, so that it shows on any skin.

use leptos::prelude::*;

use super::scene::{Label, Line};
use crate::studio::Studio;

/// Lines and words.
#[component]
pub fn Drawing(
    /// The app.
    studio: Studio,
) -> impl IntoView {
    let view = studio.view;
    let transform = move || {
        let s = view.sight.get();
        format!(
            "matrix({:.6} 0 0 {:.6} {:.2} {:.2})",
            s.scale, s.scale, s.left, s.top
        )
    };
    let lines = move || studio.scene.with(|s| s.lines.clone());
    let labels = move || studio.scene.with(|s| s.labels.clone());
    view! {
        <svg class="drawing" aria-hidden="true" hidden=move || view.peek.get() data-testid="drawing">
            <g transform=transform>{move || lines().into_iter().map(twice).collect_view()}</g>
            {move || labels().into_iter().map(|l| words(studio, l)).collect_view()}
        </svg>
    }
}

/// A line, dark under light, of the same width at every zoom.
pub fn twice(line: Line) -> impl IntoView {
    let Line {
        class,
        path,
        filled,
    } = line;
    let wash = filled.then(|| view! { <path class="wash" d=path.clone() /> });
    view! {
        <g class=class>
            {wash}
            <path class="halo" d=path.clone() vector-effect="non-scaling-stroke" />
            <path class="core" d=path vector-effect="non-scaling-stroke" />
        </g>
    }
}

fn words(studio: Studio, label: Label) -> impl IntoView {
    let Label {
        at,
        dx,
        dy,
        anchor,
        class,
        text,
    } = label;
    let x = move || studio.view.sight.get().to_stage(at).x + dx;
    let y = move || studio.view.sight.get().to_stage(at).y + dy;
    view! {
        <text class=class x=move || format!("{:.1}", x()) y=move || format!("{:.1}", y()) text-anchor=anchor>
            {text}
        </text>
    }
}
