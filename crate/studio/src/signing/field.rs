//! The field she signs in: a smooth line under a finger, a pen or a mouse.
//! How hard a pen is pressed doesn't count.

use ophryon_agreement::{FIELD, Touch};
use sycamore::reactive::{Signal, create_signal};
use web_sys::{Element, PointerEvent};

use crate::markup::{El, svg};

/// Height of the field, in units of [`Touch`].
const HIGH: u16 = 3_600;

/// What is drawn so far.
#[derive(Clone, Copy)]
pub struct Strokes {
    /// Stroke by stroke, the last one perhaps unfinished.
    pub all: Signal<Vec<Vec<Touch>>>,
    /// The finger that draws, and when the first one touched, ms.
    drawing: Signal<Option<i32>>,
    begun: Signal<Option<f64>>,
}

impl Strokes {
    /// Nothing yet.
    pub fn new() -> Self {
        Self {
            all: create_signal(Vec::new()),
            drawing: create_signal(None),
            begun: create_signal(None),
        }
    }

    /// Away with it.
    pub fn clear(self) {
        self.drawing.set(None);
        self.begun.set(None);
        self.all.set(Vec::new());
    }

    fn down(self, event: &PointerEvent) {
        // One finger draws; a palm beside it doesn't.
        if self.drawing.get_untracked().is_some() || event.button() > 0 {
            return;
        }
        event.prevent_default();
        if let Some(field) = field_of(event) {
            // Without it, only a line that leaves the field ends early.
            let _ = field.set_pointer_capture(event.pointer_id());
        }
        if self.begun.get_untracked().is_none() {
            self.begun.set(Some(event.time_stamp()));
        }
        self.drawing.set(Some(event.pointer_id()));
        if let Some(touch) = self.touch(event) {
            self.all.update(|all| all.push(vec![touch]));
        }
    }

    fn on(self, event: &PointerEvent) {
        if self.drawing.get_untracked() != Some(event.pointer_id()) {
            return;
        }
        if let Some(touch) = self.touch(event) {
            self.all.update(|all| {
                if let Some(stroke) = all.last_mut()
                    && stroke
                        .last()
                        .is_none_or(|t| (t.0, t.1) != (touch.0, touch.1))
                {
                    stroke.push(touch);
                }
            });
        }
    }

    fn up(self, event: &PointerEvent) {
        if self.drawing.get_untracked() == Some(event.pointer_id()) {
            self.on(event);
            self.drawing.set(None);
        }
    }

    fn touch(self, event: &PointerEvent) -> Option<Touch> {
        let rect = field_of(event)?.get_bounding_client_rect();
        let per_px = f64::from(FIELD) / rect.width().max(1.0);
        let unit = |px: f64, most: u16| (px * per_px).round().clamp(0.0, f64::from(most)) as u16;
        let ms = event.time_stamp() - self.begun.get_untracked().unwrap_or_default();
        Some(Touch(
            unit(f64::from(event.client_x()) - rect.left(), FIELD),
            unit(f64::from(event.client_y()) - rect.top(), HIGH),
            ms.max(0.0) as u32,
        ))
    }
}

fn field_of(event: &PointerEvent) -> Option<Element> {
    use wasm_bindgen::JsCast;
    event.current_target()?.dyn_into().ok()
}

/// The field.
pub fn field(strokes: Strokes, label: String) -> El {
    let line = move || {
        strokes
            .all
            .with(|all| all.iter().map(|s| path(s)).collect::<String>())
    };
    svg("svg")
        .at("class", "signature-field")
        .at("viewBox", format!("0 0 {FIELD} {HIGH}"))
        .at("role", "img")
        .id("signature")
        .label(label)
        .on("pointerdown", move |e: &PointerEvent| strokes.down(e))
        .on("pointermove", move |e: &PointerEvent| strokes.on(e))
        .on("pointerup", move |e: &PointerEvent| strokes.up(e))
        .on("pointercancel", move |e: &PointerEvent| strokes.up(e))
        .put(
            svg("path")
                .at("class", "signature-rule")
                .at("d", format!("M500 {0}H{1}", HIGH - 800, FIELD - 500)),
        )
        .put(svg("path").at("class", "signature-line").at("d", line))
}

/// Through the middles between touches, each touch pulling the line to itself:
/// no corner where a finger was reported twice in a turn.
fn path(stroke: &[Touch]) -> String {
    let at = |t: &Touch| (f64::from(t.0), f64::from(t.1));
    let mut d = String::new();
    let Some((x, y)) = stroke.first().map(at) else {
        return d;
    };
    d.push_str(&format!("M{x:.0} {y:.0}"));
    if stroke.len() == 1 {
        // A dot is a line of no length with round ends.
        d.push_str("h1");
        return d;
    }
    for pair in stroke.windows(2).skip(1) {
        let ((ax, ay), (bx, by)) = (at(&pair[0]), at(&pair[1]));
        let (mx, my) = ((ax + bx) / 2.0, (ay + by) / 2.0);
        d.push_str(&format!("Q{ax:.0} {ay:.0} {mx:.0} {my:.0}"));
    }
    if let Some((x, y)) = stroke.last().map(at) {
        d.push_str(&format!("L{x:.0} {y:.0}"));
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_begins_and_ends_where_the_finger_did() {
        let stroke = [Touch(10, 20, 0), Touch(50, 80, 8), Touch(90, 20, 16)];
        let d = path(&stroke);
        assert!(d.starts_with("M10 20") && d.ends_with("L90 20"), "{d}");
        assert_eq!(d.matches('Q').count(), 1);
        assert_eq!(path(&stroke[..1]), "M10 20h1");
        assert_eq!(path(&[]), "");
    }
}
