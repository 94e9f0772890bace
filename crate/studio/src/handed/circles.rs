//! Circles that she draws on her face with a finger, pen or mouse, kept in the
//! photo's px.

use ophryon_frames::{Photo as Px, Point};
use ophryon_record::{MOST_CIRCLE_POINTS, MOST_CIRCLES};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen::JsCast;
use web_sys::PointerEvent;

use super::Client;
use crate::look::{self, Facing};
use crate::markup::{El, div, glance, svg};
use crate::stage::measure;
use crate::stage::sight::{Sight, Size, Spot};

/// A finger that moved less than this drew no further, CSS px; a circle of the
/// size of a face keeps well under [`MOST_CIRCLE_POINTS`].
const STEP: f64 = 4.0;

/// What is being drawn.
#[derive(Clone, Copy)]
pub struct Circling {
    /// Circles can be drawn.
    pub is_on: Signal<bool>,
    /// Finished ones.
    pub circles: Signal<Vec<Vec<Point<Px>>>>,
    /// The one under the finger, and whose finger it is.
    now: Signal<Option<(i32, Vec<Point<Px>>)>>,
    size: Signal<Size>,
}

impl Circling {
    /// Nothing drawn.
    pub fn new() -> Self {
        Self {
            is_on: create_signal(false),
            circles: create_signal(Vec::new()),
            now: create_signal(None),
            size: create_signal(Size::default()),
        }
    }

    /// Drops what was drawn.
    pub fn clear(self) {
        self.is_on.set(false);
        self.erase();
    }

    /// Drops the circles; others can be drawn.
    pub fn erase(self) {
        self.now.set(None);
        self.circles.set(Vec::new());
    }
}

/// How the photo lies under the layer, and whether mirrored; followed.
fn ground(client: Client) -> Option<(Sight, bool, f64)> {
    let record = client.studio.record()?;
    let size = client.circling.size.get();
    let look = client.studio.view.look;
    if !size.is_some() {
        return None;
    }
    let sight = look::sight_in(&record, look.near.get(), size)?;
    Some((sight, look.facing.get() == Facing::Mirror, size.width))
}

/// Over her face: the circles, and while they can be drawn what takes the
/// finger. `said` are circles of what she said before.
pub fn layer(client: Client, said: impl Fn() -> Vec<Vec<Point<Px>>> + 'static) -> View {
    let circling = client.circling;
    let is_on = circling.is_on;
    let paths = move || {
        let Some((sight, mirrored, width)) = ground(client) else {
            return [String::new(), String::new()];
        };
        let on_screen = |circle: &Vec<Point<Px>>| {
            let spots = circle.iter().map(|p| {
                let spot = sight.to_stage(*p);
                if mirrored {
                    Spot::new(width - spot.x, spot.y)
                } else {
                    spot
                }
            });
            line(spots)
        };
        let fresh = circling
            .circles
            .with(|c| c.iter().map(on_screen).collect::<String>());
        let now = circling
            .now
            .with(|now| now.as_ref().map(|(_, circle)| on_screen(circle)));
        let before: String = said().iter().map(on_screen).collect();
        [before, fresh + &now.unwrap_or_default()]
    };
    let paths = crate::markup::selector(Box::new(paths));
    let path = move |class: &'static str, which: usize| -> El {
        svg("path")
            .class(class)
            .at("d", move || paths.with(|p| p[which].clone()))
    };
    div("circles")
        .class(move || if is_on.get() { "circles on" } else { "circles" })
        .id("circles")
        .put(
            svg("svg")
                .decoration()
                .put(path("circle-under before", 0))
                .put(path("circle-line before", 0))
                .put(path("circle-under", 1))
                .put(path("circle-line", 1).id("circle-line")),
        )
        .on::<PointerEvent>("pointerdown", move |e| down(client, e))
        .on::<PointerEvent>("pointermove", move |e| moved(client, e))
        .on::<PointerEvent>("pointerup", move |e| up(client, e))
        .on::<PointerEvent>("pointercancel", move |_| circling.now.set(None))
        .raw(move |element| measure(circling.size, element))
        .into()
}

fn line(spots: impl Iterator<Item = Spot>) -> String {
    spots
        .enumerate()
        .map(|(n, spot)| {
            let begins = if n == 0 { 'M' } else { 'L' };
            format!("{begins}{:.1} {:.1}", spot.x, spot.y)
        })
        .collect()
}

/// Where in the photo the finger is.
fn place(client: Client, event: &PointerEvent) -> Option<Point<Px>> {
    let over: web_sys::Element = event.current_target()?.dyn_into().ok()?;
    let bounds = over.get_bounding_client_rect();
    let (sight, mirrored, width) = glance(|| ground(client))?;
    let x = f64::from(event.client_x()) - bounds.left();
    let y = f64::from(event.client_y()) - bounds.top();
    let x = if mirrored { width - x } else { x };
    Some(sight.to_photo(Spot::new(x, y)))
}

fn down(client: Client, event: &PointerEvent) {
    let circling = client.circling;
    let is_full = circling.circles.with_untracked(|c| c.len() >= MOST_CIRCLES);
    // A second finger draws nothing.
    if is_full || circling.now.with_untracked(Option::is_some) {
        return;
    }
    if let Some(at) = place(client, event) {
        event.prevent_default();
        if let Some(over) = event.current_target()
            && let Ok(over) = over.dyn_into::<web_sys::Element>()
        {
            // Without it, a circle ends at the edge.
            let _ = over.set_pointer_capture(event.pointer_id());
        }
        circling.now.set(Some((event.pointer_id(), vec![at])));
    }
}

fn moved(client: Client, event: &PointerEvent) {
    let now = client.circling.now;
    let is_hers =
        now.with_untracked(|n| n.as_ref().is_some_and(|(id, _)| *id == event.pointer_id()));
    if !is_hers {
        return;
    }
    let scale = glance(|| ground(client)).map(|(sight, ..)| sight.scale);
    let (Some(at), Some(scale)) = (place(client, event), scale) else {
        return;
    };
    now.update(|now| {
        let Some((_, circle)) = now else { return };
        let is_far = circle
            .last()
            .is_none_or(|last| last.distance(at) * scale >= STEP);
        if is_far && circle.len() < MOST_CIRCLE_POINTS {
            circle.push(at);
        }
    });
}

fn up(client: Client, event: &PointerEvent) {
    let circling = client.circling;
    let done = circling
        .now
        .with_untracked(|n| n.as_ref().is_some_and(|(id, _)| *id == event.pointer_id()));
    if done && let Some((_, circle)) = circling.now.take() {
        // A tap is no circle.
        if circle.len() > 2 {
            circling.circles.update(|c| c.push(circle));
        }
    }
}
