//! What lies over the face while the hand draws on it: takes fingers, pen and
//! mouse before the stage does, and tells where they draw in the photo's px.
//! Two fingers, the middle button and the wheel still move and enlarge the
//! photo.

use ophryon_frames::{Photo as Px, Point};
use sycamore::reactive::{Signal, create_signal};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::PointerEvent;

use super::MIDDLE_BUTTON;
use super::sight::Spot;
use super::stroke::{Act, Down, Drawing, Fingers, Purpose, Tool};
use crate::markup::{El, div};
use crate::studio::Studio;

/// What the hand does there.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// A stroke begins.
    Begin(Point<Px>),
    /// It goes on through these.
    On(Vec<Point<Px>>),
    /// It is done.
    End,
    /// It never was.
    CallOff,
    /// Pen or mouse is over that place of the stage, or nowhere.
    Over(Option<Spot>),
}

/// The layer; what is drawn goes inside.
pub fn layer(
    studio: Studio,
    fingers: Signal<Fingers>,
    told: impl Fn(Told) + Clone + 'static,
) -> El {
    let hand = Hand {
        studio,
        fingers,
        ground: create_signal(None),
        drawing: create_signal(Drawing::default()),
    };
    let [down, moved, up, lost, away] = std::array::from_fn(|_| told.clone());
    div("hand")
        .on::<PointerEvent>("pointerdown", move |e| hand.down(e, &down))
        .on::<PointerEvent>("pointermove", move |e| hand.moved(e, &moved))
        .on::<PointerEvent>("pointerup", move |e| {
            e.stop_propagation();
            let acts = hand.drawing.update_silent(|d| d.up(e.pointer_id()));
            hand.act_all(acts, &up);
        })
        .on::<PointerEvent>("pointercancel", move |e| {
            e.stop_propagation();
            let acts = hand.drawing.update_silent(|d| d.lost(e.pointer_id()));
            hand.act_all(acts, &lost);
        })
        .on::<PointerEvent>("pointerleave", move |_| away(Told::Over(None)))
        .raw(move |element| hand.ground.set(Some(element)))
}

#[derive(Clone, Copy)]
struct Hand {
    studio: Studio,
    fingers: Signal<Fingers>,
    ground: Signal<Option<web_sys::Element>>,
    drawing: Signal<Drawing>,
}

impl Hand {
    fn spot(self, (x, y): (f64, f64)) -> Spot {
        let ground = self.ground.get_clone_untracked();
        let corner = ground.map(|e| e.get_bounding_client_rect());
        corner.map_or(Spot::default(), |r| Spot::new(x - r.left(), y - r.top()))
    }

    fn down(self, event: &PointerEvent, told: &dyn Fn(Told)) {
        event.stop_propagation();
        let tool = match event.pointer_type().as_str() {
            "pen" => Tool::Pen,
            "touch" => Tool::Finger,
            _ => Tool::Mouse,
        };
        if tool == Tool::Pen && self.fingers.get_untracked() == Fingers::Draw {
            self.fingers.set(Fingers::Move);
        }
        if let Some(ground) = self.ground.get_clone_untracked() {
            // Without capture a stroke still works, only not beyond the stage.
            let _ = ground.set_pointer_capture(event.pointer_id());
        }
        let by = Down {
            id: event.pointer_id(),
            tool,
            at_ms: event.time_stamp(),
        };
        let purpose = match event.button() {
            MIDDLE_BUTTON => Purpose::Move,
            _ => Purpose::Draw,
        };
        let at = self.spot(exact(event));
        let fingers = self.fingers.get_untracked();
        let acts = self
            .drawing
            .update_silent(|d| d.down(by, at, purpose, fingers));
        self.act_all(acts, told);
    }

    fn moved(self, event: &PointerEvent, told: &dyn Fn(Told)) {
        event.stop_propagation();
        if event.pointer_type() != "touch" {
            told(Told::Over(Some(self.spot(exact(event)))));
        }
        let id = event.pointer_id();
        let mut acts = Vec::new();
        for place in places(event) {
            let to = self.spot(place);
            acts.extend(self.drawing.update_silent(|d| d.moved(id, to)));
        }
        self.act_all(acts, told);
    }

    fn act_all(self, acts: Vec<Act>, told: &dyn Fn(Told)) {
        let view = self.studio.view;
        let (photo, stage) = (self.studio.photo_size_now(), view.stage.get_untracked());
        let place = |spot: Spot| view.sight.get_untracked().to_photo(spot);
        let mut on = Vec::new();
        for act in acts {
            let sight = view.sight.get_untracked();
            match act {
                Act::Begin(spot) => told(Told::Begin(place(spot))),
                Act::On(spot) => on.push(place(spot)),
                Act::End => told(Told::End),
                Act::CallOff => told(Told::CallOff),
                Act::Pan(x, y) => view.look(sight.panned(x, y, photo, stage)),
                Act::Pinch(from, to) => view.look(sight.pinched(from, to, photo, stage)),
            }
        }
        if !on.is_empty() {
            told(Told::On(on));
        }
    }
}

/// Where it was since the last message: the browser gathers what comes faster
/// than frames.
fn places(event: &PointerEvent) -> Vec<(f64, f64)> {
    // Not every browser has it.
    let gathered = js_sys::Reflect::get(event, &JsValue::from_str("getCoalescedEvents"))
        .ok()
        .and_then(|f| f.dyn_into::<js_sys::Function>().ok())
        .and_then(|f| f.call0(event).ok())
        .and_then(|all| all.dyn_into::<js_sys::Array>().ok());
    let all: Vec<_> = gathered.into_iter().flatten().map(|e| exact(&e)).collect();
    if all.is_empty() {
        vec![exact(event)]
    } else {
        all
    }
}

/// Where an event is on the page, with its fractions of a px.
fn exact(event: &JsValue) -> (f64, f64) {
    let number = |name: &str| {
        let found = js_sys::Reflect::get(event, &JsValue::from_str(name));
        found.ok().and_then(|v| v.as_f64()).unwrap_or(0.0)
    };
    (number("clientX"), number("clientY"))
}
