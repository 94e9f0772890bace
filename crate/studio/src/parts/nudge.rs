//! Four buttons that move what was taken hold of by a tenth of a millimetre,
//! and the keys that do the same.

use sycamore::web::View;
use web_sys::{KeyboardEvent, MouseEvent};

use super::icon::{Drawing, icon};
use crate::markup::{button, div, el};
use crate::stage::scene::Grip;
use crate::studio::Studio;

/// One press of a button or an arrow key, mm.
pub const STEP_MM: f64 = 0.1;

/// With Shift, mm.
pub const LARGE_STEP_MM: f64 = 1.0;

/// With Ctrl, or by the page keys, mm.
const PAGE_MM: f64 = 10.0;

/// By how much a key moves, in mm to the right and up; `None` for a key that
/// doesn't.
pub fn step(event: &KeyboardEvent) -> Option<(f64, f64)> {
    arrow(&event.key(), event.shift_key(), event.ctrl_key())
}

fn arrow(key: &str, shift: bool, ctrl: bool) -> Option<(f64, f64)> {
    let step = match (ctrl, shift) {
        (true, _) => PAGE_MM,
        (_, true) => LARGE_STEP_MM,
        _ => STEP_MM,
    };
    Some(match key {
        "PageUp" => (0.0, PAGE_MM),
        "PageDown" => (0.0, -PAGE_MM),
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
    if let Some((right, up)) = step(event) {
        event.prevent_default();
        event.stop_propagation();
        studio.view.chosen.set(Some(grip));
        studio.nudge(grip, right, up);
    }
}

/// Ends a step begun by [`pressed`].
pub fn lifted(studio: Studio, event: &KeyboardEvent) {
    if step(event).is_some() {
        studio.finish();
    }
}

/// Four buttons around the step they make; told how far, mm to the right and up.
pub fn nudge_pad(on_nudge: impl Fn(f64, f64) + Clone + 'static) -> View {
    let step = |class: &'static str, of: Drawing, x: f64, y: f64| {
        let on_nudge = on_nudge.clone();
        button("button", format!("nudge-{class}"))
            .class(format!("button {class}"))
            .label(format!("Move {class} by 0.1 mm"))
            .put(icon(of))
            .on::<MouseEvent>("click", move |e| {
                let k = if e.shift_key() {
                    LARGE_STEP_MM
                } else {
                    STEP_MM
                };
                on_nudge(k * x, k * y);
            })
    };
    div("pad")
        .at("role", "group")
        .label("Move by 0.1 mm")
        .put(step("up", Drawing::Up, 0.0, 1.0))
        .put(step("left", Drawing::Left, -1.0, 0.0))
        .put(el("span").class("middle").decoration().words("0.1 mm"))
        .put(step("right", Drawing::Right, 1.0, 0.0))
        .put(step("down", Drawing::Down, 0.0, -1.0))
        .into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_move_a_tenth_with_shift_a_millimetre_with_ctrl_ten() {
        assert_eq!(arrow("ArrowUp", false, false), Some((0.0, 0.1)));
        assert_eq!(arrow("ArrowLeft", true, false), Some((-1.0, 0.0)));
        assert_eq!(arrow("ArrowRight", false, true), Some((10.0, 0.0)));
        assert_eq!(arrow("PageDown", false, false), Some((0.0, -10.0)));
        assert_eq!(arrow("a", false, false), None);
    }
}
