//! Circles that she draws on her face with a finger, pen or mouse, kept in the
//! photo's px.

use ophryon_frames::{Photo as Px, Point};
use ophryon_record::{MOST_CIRCLE_POINTS, MOST_CIRCLES};
use sycamore::reactive::{Signal, create_signal};
use sycamore::web::View;
use wasm_bindgen::JsCast;
use web_sys::PointerEvent;

use super::Client;
use super::page::Page;
use crate::look::{self, Facing};
use crate::markup::{El, div, el, glance, svg};
use crate::stage::measure;
use crate::stage::sight::{Sight, Size, Spot};
use crate::studio::Studio;

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

/// How the photo lies under a layer, and whether mirrored.
struct Ground {
    sight: Sight,
    mirrored: bool,
    width: f64,
}

impl Ground {
    /// As it lies now; followed.
    fn of(studio: Studio, size: Signal<Size>) -> Option<Self> {
        let record = studio.record()?;
        let size = size.get();
        let look = studio.view.look;
        if !size.is_some() {
            return None;
        }
        Some(Self {
            sight: look::sight_in(&record, look.near.get(), size)?,
            mirrored: look.facing.get() == Facing::Mirror,
            width: size.width,
        })
    }

    fn to_spot(&self, place: Point<Px>) -> Spot {
        let spot = self.sight.to_stage(place);
        Spot::new(self.across(spot.x), spot.y)
    }

    fn to_photo(&self, spot: Spot) -> Point<Px> {
        self.sight.to_photo(Spot::new(self.across(spot.x), spot.y))
    }

    fn across(&self, x: f64) -> f64 {
        if self.mirrored { self.width - x } else { x }
    }

    fn path(&self, circles: &[Vec<Point<Px>>]) -> String {
        let one = |circle: &Vec<Point<Px>>| line(circle.iter().map(|p| self.to_spot(*p)));
        circles.iter().map(one).collect()
    }
}

/// Circles of what she said of the shape in view and nobody answered yet;
/// followed.
pub fn waiting(studio: Studio) -> Vec<Vec<Point<Px>>> {
    let shape = studio.view.look.variant.get();
    let Some(record) = studio.record() else {
        return Vec::new();
    };
    let photo = record.design_photo().map(|p| &p.id);
    let all = record.consent.remarks.iter();
    let here =
        all.filter(|r| r.is_open() && r.photo.as_ref() == photo && record.is_said_of(r, shape));
    here.flat_map(|r| r.circles.clone()).collect()
}

/// Over her face, for the artist: what she drew and nobody answered yet.
pub fn heard(studio: Studio) -> View {
    let size = create_signal(Size::default());
    let path = move || {
        let ground = Ground::of(studio, size);
        ground.map_or_else(String::new, |ground| ground.path(&waiting(studio)))
    };
    let path = crate::markup::selector(Box::new(path));
    let drawn =
        move |class: &'static str| svg("path").class(class).at("d", move || path.get_clone());
    div("circles")
        .id("heard-circles")
        .put(
            svg("svg")
                .decoration()
                .all([drawn("circle-under"), drawn("circle-line")]),
        )
        .raw(move |element| measure(size, element))
        .into()
}

/// Over her face: the circles, and while they can be drawn what takes the
/// finger.
pub(super) fn layer(client: Client) -> View {
    let Client {
        studio,
        page,
        circling,
        ..
    } = client;
    let is_on = circling.is_on;
    let paths = move || {
        let Some(ground) = Ground::of(studio, circling.size) else {
            return [String::new(), String::new()];
        };
        let before = if page.get() == Page::Say {
            waiting(studio)
        } else {
            Vec::new()
        };
        let fresh = circling.circles.with(|c| ground.path(c));
        let now = circling.now.with(|now| match now {
            Some((_, circle)) => ground.path(std::slice::from_ref(circle)),
            None => String::new(),
        });
        [ground.path(&before), fresh + &now]
    };
    let paths = crate::markup::selector(Box::new(paths));
    let path = move |class: &'static str, which: usize| -> El {
        svg("path")
            .class(class)
            .at("d", move || paths.with(|p| p[which].clone()))
    };
    el("div")
        .class(move || if is_on.get() { "circles on" } else { "circles" })
        .id("circles")
        .put(svg("svg").decoration().all([
            path("circle-under before", 0),
            path("circle-line before", 0),
            path("circle-under", 1),
            path("circle-line", 1).id("circle-line"),
        ]))
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

/// Where in the photo the finger is, and how much the photo is enlarged.
fn place(client: Client, event: &PointerEvent) -> Option<(Point<Px>, f64)> {
    let over: web_sys::Element = event.current_target()?.dyn_into().ok()?;
    let bounds = over.get_bounding_client_rect();
    let ground = glance(|| Ground::of(client.studio, client.circling.size))?;
    let x = f64::from(event.client_x()) - bounds.left();
    let y = f64::from(event.client_y()) - bounds.top();
    Some((ground.to_photo(Spot::new(x, y)), ground.sight.scale))
}

fn down(client: Client, event: &PointerEvent) {
    let circling = client.circling;
    let is_full = circling.circles.with_untracked(|c| c.len() >= MOST_CIRCLES);
    // A second finger draws nothing.
    if is_full || circling.now.with_untracked(Option::is_some) {
        return;
    }
    if let Some((at, _)) = place(client, event) {
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
    let Some((at, scale)) = place(client, event) else {
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
