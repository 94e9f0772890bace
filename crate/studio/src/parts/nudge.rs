//! Four buttons that move what was taken hold of by a tenth of a millimetre,
//! and the keys that do the same.

use leptos::ev::KeyboardEvent;
use leptos::prelude::*;

use super::icon::{Drawing, Icon};
use crate::stage::scene::Grip;
use crate::studio::Studio;

/// One press of a button or an arrow key, mm.
pub const STEP_MM: f64 = 0.1;

/// With Shift, mm.
pub const LARGE_STEP_MM: f64 = 1.0;

/// By how much an arrow key moves, in mm to the right and up; `None` for any
/// other key.
pub fn arrow(key: &str, shift: bool) -> Option<(f64, f64)> {
    let step = if shift { LARGE_STEP_MM } else { STEP_MM };
    Some(match key {
        "ArrowLeft" => (-step, 0.0),
        "ArrowRight" => (step, 0.0),
        "ArrowUp" => (0.0, step),
        "ArrowDown" => (0.0, -step),
        _ => return None,
    })
}

/// Moves a grip by an arrow key. The step ends when the key is lifted
/// ([`lifted`]), so that holding it is one step of the history.
pub fn pressed(studio: Studio, grip: Grip, event: &KeyboardEvent) {
    if let Some((right, up)) = arrow(&event.key(), event.shift_key()) {
        event.prevent_default();
        event.stop_propagation();
        studio.view.chosen.set(Some(grip));
        studio.nudge(grip, right, up);
    }
}

/// Ends a step begun by [`pressed`].
pub fn lifted(studio: Studio, event: &KeyboardEvent) {
    if arrow(&event.key(), false).is_some() {
        studio.finish();
    }
}

/// Four buttons around the step they make.
#[component]
pub fn NudgePad(
    /// Told how far: mm to the right and up.
    on_nudge: Callback<(f64, f64)>,
) -> impl IntoView {
    let button = move |class: &'static str, of: Drawing, x: f64, y: f64| {
        view! {
            <button
                type="button"
                class=format!("button {class}")
                data-testid=format!("nudge-{class}")
                aria-label=format!("Move {class} by 0.1 mm")
                on:click=move |e| {
                    let k = if e.shift_key() { LARGE_STEP_MM } else { STEP_MM };
                    on_nudge.run((k * x, k * y));
                }
            >
                <Icon of=of />
            </button>
        }
    };
    view! {
        <div class="pad" role="group" aria-label="Move by 0.1 mm">
            {button("up", Drawing::Up, 0.0, 1.0)}
            {button("left", Drawing::Left, -1.0, 0.0)}
            <span class="middle" aria-hidden="true">"0.1 mm"</span>
            {button("right", Drawing::Right, 1.0, 0.0)}
            {button("down", Drawing::Down, 0.0, -1.0)}
        </div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_move_a_tenth_and_with_shift_a_millimetre() {
        assert_eq!(arrow("ArrowUp", false), Some((0.0, 0.1)));
        assert_eq!(arrow("ArrowLeft", true), Some((-1.0, 0.0)));
        assert_eq!(arrow("a", false), None);
    }
}
