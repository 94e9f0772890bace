//! The face: the photo, what is drawn over it, and what fingers do there.

pub mod bring;
pub mod drawing;
pub mod follow;
pub mod gesture;
pub mod hand;
pub mod loupe;
pub mod points;
pub mod scene;
pub mod sight;
pub mod stroke;

use ophryon_frames::{Photo as Px, Point};
use ophryon_record::Image;
use sycamore::reactive::{Signal, create_effect, create_signal, on_cleanup};
use sycamore::web::View;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Event, KeyboardEvent, PointerEvent, WheelEvent};

use self::gesture::{Act, Gesture, Under};
use self::scene::{Grip, nearest};
use self::sight::{Size, Spot};
use crate::ask::Ask;
use crate::device::page;
use crate::markup::{el, glance, selector, shows};
use crate::parts::nudge;
use crate::places::Place;
use crate::studio::Studio;
use crate::view::{Aim, Hand};

/// Within this a finger takes hold of a point, CSS px: half of 44.
const REACH: f64 = 22.0;

/// The same while a tap is asked for: nearer, so that an answer beside a point
/// that is already there counts as an answer.
const REACH_ASKED: f64 = 11.0;

/// One notch of a wheel.
const WHEEL: f64 = 0.0016;

/// The middle button moves the photo.
const MIDDLE_BUTTON: i16 = 1;

/// The stage.
pub fn stage(studio: Studio) -> View {
    let view = studio.view;
    follow::follow(studio);
    let hands = Hands {
        studio,
        ground: create_signal(None),
        gesture: create_signal(Gesture::default()),
        held: create_signal(None),
    };
    let url = selector(Box::new(move || match studio.photo()?.image {
        Image::File { name } => studio.keeper.urls.with(|u| u.get(&name).cloned()),
        Image::Embedded { .. } => None,
    }));
    let asking = selector(Box::new(move || is_asking(studio)));
    create_effect(move || {
        studio.ask.track();
        if asking.get() {
            page::next_frame(move || hands.focus());
        }
    });
    let picture = move |url: Option<String>| match url {
        None => View::new(),
        Some(src) => {
            let size = studio.photo_size_now();
            el("img")
                .at("src", src)
                .at("alt", "The client's face")
                .at("width", format!("{:.0}", size.width))
                .at("height", format!("{:.0}", size.height))
                .at("draggable", "false")
                .id("photo")
                .at("style", move || {
                    let s = view.sight.get();
                    format!(
                        "transform: translate({:.2}px, {:.2}px) scale({:.6})",
                        s.left, s.top, s.scale
                    )
                })
                .into()
        }
    };
    el("div")
        .class(move || {
            if asking.get() {
                "stage asking"
            } else {
                "stage can-pan"
            }
        })
        .id("stage")
        .at("tabindex", move || if asking.get() { "0" } else { "-1" })
        .at(
            "role",
            move || if asking.get() { "application" } else { "group" },
        )
        .label(move || stage_label(asking.get()))
        .on::<PointerEvent>("pointerdown", move |e| hands.down(e))
        .on::<PointerEvent>("pointermove", move |e| hands.moved(e))
        .on::<PointerEvent>("pointerup", move |e| hands.up(e))
        .on::<PointerEvent>("pointercancel", move |e| hands.lost(e))
        .on::<WheelEvent>("wheel", move |e| hands.wheel(e))
        .on::<KeyboardEvent>("keydown", move |e| hands.key(e))
        .on::<Event>("contextmenu", |e| e.prevent_default())
        .shows(move || url.get_clone(), picture)
        .put(drawing::drawing(studio))
        .put(
            studio
                .later
                .balance
                .show_when_here(move |views| (views.dimensions)(studio)),
        )
        .put(points::points(studio))
        .put(drawing_hand(studio))
        .put(loupe::loupe(studio, url))
        .put(bring::bring(studio, url))
        .raw(move |element| {
            hands.ground.set(Some(element.clone()));
            measure(studio.view.stage, element);
        })
        .into()
}

/// What the hand that draws needs over the face, where one does.
fn drawing_hand(studio: Studio) -> View {
    let view = studio.view;
    let hand = move || match view.place.get() {
        Place::Shape if studio.of_shape(|_| ()).is_some() => view.hand.get(),
        _ => Hand::Points,
    };
    shows(hand, move |hand| match hand {
        Hand::Points => View::new(),
        Hand::Sketch => studio
            .later
            .hands
            .show_when_here(move |views| (views.sketch_over)(studio)),
        Hand::Hair => studio
            .later
            .hands
            .show_when_here(move |views| (views.hair_over)(studio)),
    })
}

/// A tap on the photo is asked for.
fn is_asking(studio: Studio) -> bool {
    studio.view.place.get() == Place::Face && studio.ask.with(Ask::wants_tap)
}

const fn stage_label(asking: bool) -> &'static str {
    if asking {
        "Face. Arrow keys move the crosshair by 0.1 mm, with Shift by 1 mm, with Ctrl by 10 mm; Enter takes the place."
    } else {
        "Face"
    }
}

/// Keeps an element's size true, CSS px; the browser tells once at the
/// beginning and at every change.
pub fn measure(kept: Signal<Size>, element: web_sys::Element) {
    let watched = element.clone();
    let told = Closure::<dyn FnMut(JsValue)>::new(move |_| {
        let size = Size::new(
            f64::from(watched.client_width()),
            f64::from(watched.client_height()),
        );
        if kept.get_untracked() != size {
            kept.set(size);
        }
    });
    if let Ok(observer) = web_sys::ResizeObserver::new(told.as_ref().unchecked_ref()) {
        observer.observe(&element);
        on_cleanup(move || {
            observer.disconnect();
            drop(told);
        });
    }
}

/// What fingers, pen, mouse, wheel and keys do to the stage.
#[derive(Clone, Copy)]
struct Hands {
    studio: Studio,
    ground: Signal<Option<web_sys::Element>>,
    gesture: Signal<Gesture>,
    held: Signal<Option<Grip>>,
}

impl Hands {
    fn spot(self, x: i32, y: i32) -> Spot {
        self.ground
            .get_clone_untracked()
            .map(|e| e.get_bounding_client_rect())
            .map_or(Spot::default(), |r| {
                Spot::new(f64::from(x) - r.left(), f64::from(y) - r.top())
            })
    }

    /// So that the arrow keys answer at once.
    fn focus(self) {
        // The stage may be gone by then.
        if self.ground.is_alive()
            && let Some(ground) = self.ground.get_clone_untracked()
        {
            // Without the focus, only the keys have a longer way.
            let _ = ground.unchecked_into::<web_sys::HtmlElement>().focus();
        }
    }

    fn down(self, event: &PointerEvent) {
        // Buttons and links on the stage answer for themselves.
        let on_control = event.target().is_some_and(|t| {
            t.dyn_ref::<web_sys::Element>()
                .is_some_and(|e| e.closest("button, label, input").ok().flatten().is_some())
        });
        if on_control || self.studio.photo_size_now() == Size::default() {
            return;
        }
        if let Some(ground) = self.ground.get_clone_untracked() {
            // Without capture a drag still works, only not beyond the stage.
            let _ = ground.set_pointer_capture(event.pointer_id());
        }
        let at = self.spot(event.client_x(), event.client_y());
        let under = if event.button() == MIDDLE_BUTTON {
            Under::Ground
        } else {
            self.under(at)
        };
        let acts = self
            .gesture
            .update_silent(|g| g.down(event.pointer_id(), at, under));
        self.act_all(acts);
    }

    /// What lies there; a point is remembered as held.
    fn under(self, at: Spot) -> Under {
        let studio = self.studio;
        let asked = glance(|| is_asking(studio));
        let reach = if asked { REACH_ASKED } else { REACH };
        let sight = studio.view.sight.get_untracked();
        let scene = studio.scene.get_clone_untracked();
        let found = nearest(&scene.marks, reach, |p| sight.to_stage(p).distance(at))
            .map(|m| (m.grip, m.at));
        match found {
            Some((grip, place)) if !studio.view.peek.get_untracked() && !self.is_asked(grip) => {
                self.held.set_silent(Some(grip));
                let middle = sight.to_stage(place);
                Under::Point {
                    dx: middle.x - at.x,
                    dy: middle.y - at.y,
                }
            }
            _ if asked => Under::Asked {
                // One px of the finger is at most about one of the photo.
                gain: sight.scale.clamp(0.25, 1.0),
            },
            _ => Under::Ground,
        }
    }

    /// A point that is asked for again is answered anew, also on its own spot.
    fn is_asked(self, grip: Grip) -> bool {
        let ask = self.studio.ask.get_clone_untracked();
        matches!((grip, ask), (Grip::Landmark(held), Ask::Landmark(asked)) if held == asked)
    }

    fn moved(self, event: &PointerEvent) {
        let at = self.spot(event.client_x(), event.client_y());
        let acts = self
            .gesture
            .update_silent(|g| g.moved(event.pointer_id(), at));
        self.act_all(acts);
    }

    fn up(self, event: &PointerEvent) {
        let acts = self.gesture.update_silent(|g| g.up(event.pointer_id()));
        self.act_all(acts);
        self.put_magnifier_away();
    }

    fn lost(self, event: &PointerEvent) {
        let acts = self.gesture.update_silent(|g| g.lost(event.pointer_id()));
        self.act_all(acts);
        self.put_magnifier_away();
    }

    fn put_magnifier_away(self) {
        let is_down = self.gesture.with_untracked(Gesture::is_down);
        if !is_down && self.studio.view.aim.with_untracked(Option::is_some) {
            self.studio.view.aim.set(None);
        }
    }

    fn act_all(self, acts: Vec<Act>) {
        for act in acts {
            self.act(act);
        }
    }

    fn act(self, act: Act) {
        let (studio, view) = (self.studio, self.studio.view);
        let (photo, stage) = (studio.photo_size_now(), view.stage.get_untracked());
        let sight = view.sight.get_untracked();
        let place = |spot: Spot| inside(sight.to_photo(spot), photo);
        match act {
            Act::Choose => {
                let held = self.held.get_untracked();
                view.chosen.set(held);
                view.ghost.set(None);
                if let Some(at) = held.and_then(|grip| studio.place_of(grip)) {
                    let finger = Some(sight.to_stage(at));
                    view.aim.set(Some(Aim { at, finger }));
                }
            }
            Act::Drag(spot) => {
                if let Some(grip) = self.held.get_untracked() {
                    studio.drag(grip, place(spot));
                    let at = studio.place_of(grip).unwrap_or_else(|| place(spot));
                    let finger = Some(spot);
                    view.aim.set(Some(Aim { at, finger }));
                }
            }
            Act::Drop => {
                studio.finish();
                view.aim.set(None);
            }
            Act::Aim(spot) => view.aim.set(Some(Aim {
                at: place(spot),
                finger: Some(spot),
            })),
            Act::Answer(spot) => {
                view.aim.set(None);
                let at = sight.to_photo(spot);
                if at == inside(at, photo) {
                    studio.answer(at);
                } else {
                    studio
                        .said
                        .set(Some("That is beside the photo. Tap inside it.".to_owned()));
                }
            }
            Act::Pan(x, y) => view.look(sight.panned(x, y, photo, stage)),
            Act::Pinch(from, to) => view.look(sight.pinched(from, to, photo, stage)),
            Act::TapGround => view.chosen.set(None),
            Act::CallOff => {
                studio.abandon();
                view.aim.set(None);
            }
        }
        if matches!(act, Act::CallOff | Act::Drop) {
            self.held.set_silent(None);
        }
    }

    fn wheel(self, event: &WheelEvent) {
        event.prevent_default();
        let (studio, view) = (self.studio, self.studio.view);
        let about = self.spot(event.client_x(), event.client_y());
        let (photo, stage) = (studio.photo_size_now(), view.stage.get_untracked());
        let factor = wheel_factor(event);
        let sight = view.sight.get_untracked();
        view.look(sight.zoomed(factor, about, photo, stage));
    }

    /// The crosshair by keys, while a tap is asked for.
    fn key(self, event: &KeyboardEvent) {
        let (studio, view) = (self.studio, self.studio.view);
        let asked = glance(|| is_asking(studio));
        if !asked {
            return;
        }
        let (photo, stage) = (studio.photo_size_now(), view.stage.get_untracked());
        let at = view.aim.get_untracked().map_or_else(
            || {
                let middle = Spot::new(0.5 * stage.width, 0.5 * stage.height);
                inside(view.sight.get_untracked().to_photo(middle), photo)
            },
            |aim| aim.at,
        );
        if let Some((right, up)) = nudge::step(event) {
            event.prevent_default();
            let at = inside(studio.beside(at, right, up), photo);
            view.aim.set(Some(Aim { at, finger: None }));
        } else if event.key() == "Enter" && view.aim.get_untracked().is_some() {
            event.prevent_default();
            view.aim.set(None);
            studio.answer(at);
        } else if event.key() == "Escape" {
            view.aim.set(None);
        }
    }
}

/// How much nearer a turn of the wheel goes.
pub fn wheel_factor(event: &WheelEvent) -> f64 {
    // A notch is 100 px in most browsers and 3 lines in some.
    let unit = if event.delta_mode() == WheelEvent::DOM_DELTA_LINE {
        33.0
    } else {
        1.0
    };
    let delta = (event.delta_y() * unit).clamp(-400.0, 400.0);
    // Pinching a touch pad comes as a wheel with Ctrl and small steps.
    let speed = if event.ctrl_key() { 6.0 } else { 1.0 };
    (-delta * WHEEL * speed).clamp(-0.7, 0.7) + 1.0
}

/// The nearest place inside the photo.
fn inside(p: Point<Px>, photo: Size) -> Point<Px> {
    Point::new(p.x.clamp(0.0, photo.width), p.y.clamp(0.0, photo.height))
}
