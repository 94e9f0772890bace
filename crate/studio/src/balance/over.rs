//! Both photos on the stage: one beside or above the other, or laid over
//! each other. They move and zoom as one.

use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;

use ophryon_record::{FaceState, Image, PhotoState};
use sycamore::reactive::{Signal, create_effect, create_signal, untrack};
use sycamore::web::View;
use web_sys::{DragEvent, Event, PointerEvent, WheelEvent};

use super::of_balance;
use super::picture::{Picture, Room, picture};
use crate::ask::photo_in;
use crate::device::page;
use crate::exchange::Shows;
use crate::markup::{El, div, el, selector, shows, svg};
use crate::measures::known;
use crate::stage::drawing::{matrix, twice, words};
use crate::stage::gesture::{Act, Gesture, Under};
use crate::stage::sight::{Sight, Size, Spot};
use crate::stage::{bring, measure};
use crate::studio::Studio;
use crate::view::Compare;

/// Each photo is shown for so long while they blink.
const BLINK: Duration = Duration::from_millis(900);

/// Below this the words of start and peak would lie on each other, CSS px.
const SMALL_PX_PER_MM: f64 = 4.2;

/// How much more than both brows is shown across a pane.
const ROOM: f64 = 1.14;

/// The stage with both photos.
pub fn table(studio: Studio) -> View {
    let balance = studio.view.balance;
    let both = move || {
        let seen = of_balance(studio, |_| ()).is_some();
        (seen, seen && balance.how.get() == Compare::Both)
    };
    blink(studio);
    follow(studio);
    drop_here(studio);
    el("section")
        .class("stage compare")
        .label("Both photos")
        .id("compare")
        .shows(both, move |(seen, both)| match (seen, both) {
            (true, true) => div("panes")
                .put(pane(studio, &[FaceState::AtRest]))
                .put(pane(studio, &[FaceState::InUse]))
                .into(),
            (true, false) => div("panes")
                .put(pane(studio, &[FaceState::AtRest, FaceState::InUse]))
                .into(),
            (false, _) => div("panes").put(pane(studio, &[FaceState::AtRest])).into(),
        })
        .into()
}

/// Which of the two is seen where one lies over the other.
fn on_top(studio: Studio) -> FaceState {
    let balance = studio.view.balance;
    match balance.how.get() {
        Compare::Both | Compare::AtRest => FaceState::AtRest,
        Compare::InUse => FaceState::InUse,
        Compare::Blink if balance.blinked.get() => FaceState::InUse,
        Compare::Blink => FaceState::AtRest,
    }
}

fn in_use_state(studio: Studio) -> PhotoState {
    of_balance(studio, |b| b.in_use_state).unwrap_or(PhotoState::EyesOpen)
}

/// One photo, or both over each other.
fn pane(studio: Studio, states: &'static [FaceState]) -> El {
    let view = studio.view;
    let hands = Hands {
        studio,
        ground: create_signal(None),
        gesture: create_signal(Gesture::default()),
    };
    let seen = move |state: FaceState| states.len() == 1 || on_top(studio) == state;
    let now = move || match states {
        [one] => *one,
        _ => on_top(studio),
    };
    let room = selector(Box::new(move || {
        let px_per_mm = known::now(studio).map_or(f64::INFINITY, |known| {
            view.sight.get().scale / known.levelled.scale().mm_per_px()
        });
        if px_per_mm < SMALL_PX_PER_MM {
            Room::Small
        } else {
            Room::Usual
        }
    }));
    let drawn = move || {
        if view.peek.get() {
            return Picture::default();
        }
        let known = known::now(studio);
        let levelled = known.as_ref().map(|k| &k.levelled);
        let only = view.balance.only.get();
        let room = room.get();
        of_balance(studio, |b| picture(b, levelled, now(), only, room)).unwrap_or_default()
    };
    let picture = selector(Box::new(drawn));
    let lines = move || picture.get_clone().lines;
    let labels = move || picture.get_clone().labels;
    let caption = move || match now() {
        FaceState::AtRest => "At rest",
        FaceState::InUse => match in_use_state(studio) {
            PhotoState::Raised => "Brows raised",
            _ => "Eyes wide open",
        },
    };
    let mut pane = div("pane");
    for state in states {
        pane = pane.put(image(studio, *state, move || seen(*state)));
    }
    pane.put(
        svg("svg")
            .at("class", "drawing")
            .decoration()
            .put(
                svg("g")
                    .at("transform", move || {
                        let s = view.sight.get();
                        matrix(s.scale, s.left, s.top)
                    })
                    .put(shows(lines, |lines| {
                        let lines = lines.into_iter().map(|l| twice(l).into());
                        View::from(lines.collect::<Vec<_>>())
                    })),
            )
            .put(shows(labels, move |labels| {
                let labels = labels.into_iter().map(|l| words(studio, l).into());
                View::from(labels.collect::<Vec<_>>())
            })),
    )
    .put(
        el("p")
            .class("which-photo")
            .flag("hidden", move || view.peek.get())
            .says(move || caption().to_owned()),
    )
    .on::<PointerEvent>("pointerdown", move |e| hands.down(e))
    .on::<PointerEvent>("pointermove", move |e| hands.moved(e))
    .on::<PointerEvent>("pointerup", move |e| hands.up(e))
    .on::<PointerEvent>("pointercancel", move |e| hands.lost(e))
    .on::<WheelEvent>("wheel", move |e| hands.wheel(e))
    .on::<Event>("contextmenu", |e| e.prevent_default())
    .raw(move |element| {
        hands.ground.set(Some(element.clone()));
        measure(studio.view.stage, element);
    })
}

/// One of the photos, where it lies on the face at rest.
fn image(studio: Studio, state: FaceState, seen: impl Fn() -> bool + 'static) -> View {
    let photo = move || {
        let record = studio.record()?;
        match state {
            FaceState::AtRest => record.design_photo().cloned(),
            FaceState::InUse => photo_in(&record, in_use_state(studio)).cloned(),
        }
    };
    let source = move || {
        let photo = photo()?;
        let Image::File { name } = &photo.image else {
            return None;
        };
        let url = studio.keeper.urls.with(|u| u.get(name).cloned())?;
        Some((url, photo.width_px, photo.height_px))
    };
    let lies = move || match state {
        FaceState::AtRest => String::new(),
        FaceState::InUse => {
            let m = of_balance(studio, |b| b.overlay).unwrap_or([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
            let [a, b, c, d, e, f] = m;
            format!(" matrix({a:.8}, {b:.8}, {c:.8}, {d:.8}, {e:.3}, {f:.3})")
        }
    };
    let seen = Rc::new(seen);
    shows(source, move |source| {
        let Some((url, width, height)) = source else {
            return View::new();
        };
        let seen = Rc::clone(&seen);
        let (alt, id) = match state {
            FaceState::AtRest => ("The client's face at rest", "compare-at-rest"),
            FaceState::InUse => ("The client's face in use", "compare-in-use"),
        };
        el("img")
            .at("src", url)
            .at("alt", alt)
            .at("width", width.to_string())
            .at("height", height.to_string())
            .at("draggable", "false")
            .id(id)
            .flag("hidden", move || !seen())
            .at("style", move || {
                let s = studio.view.sight.get();
                format!(
                    "transform: translate({:.2}px, {:.2}px) scale({:.6}){}",
                    s.left,
                    s.top,
                    s.scale,
                    lies()
                )
            })
            .into()
    })
}

/// Shows both brows whenever the panes change their size.
fn follow(studio: Studio) {
    let reason = selector(Box::new(move || {
        (studio.photo_size(), studio.view.stage.get())
    }));
    create_effect(move || {
        let (photo, stage) = reason.get();
        if photo.is_some() && stage.is_some() {
            untrack(|| studio.view.look(brows(studio, photo, stage)));
        }
    });
}

/// Both brows across the pane.
fn brows(studio: Studio, photo: Size, stage: Size) -> Sight {
    let region = studio.record().and_then(|record| {
        let photo = record.design_photo()?;
        let scale = photo.first_reference()?.scale(&photo.landmarks).ok()?;
        photo.landmarks.brow_region(Some(scale.mm_per_px()))
    });
    match region {
        Some(region) => {
            // With room beside the tails for the numbers.
            let radius = ROOM * region.radius_px * stage.width.min(stage.height) / stage.width;
            Sight::framing(region.centre, radius, photo, stage)
        }
        None => Sight::fitting(photo, stage),
    }
}

/// Shows one after the other while asked to; never where the system asks for
/// less motion: there a tap changes them.
fn blink(studio: Studio) {
    let balance = studio.view.balance;
    let turn = Rc::new(Cell::new(0_u32));
    let is_on = selector(Box::new(move || balance.how.get() == Compare::Blink));
    // Gone with this part of the page.
    let here = create_signal(());
    create_effect(move || {
        turn.set(turn.get().wrapping_add(1));
        if is_on.get() && !page::wants_stillness() {
            go_on(studio, here, Rc::clone(&turn), turn.get());
        }
    });
}

fn go_on(studio: Studio, here: Signal<()>, turn: Rc<Cell<u32>>, mine: u32) {
    page::later(BLINK, move || {
        if !here.is_alive() || turn.get() != mine {
            return;
        }
        let blinked = studio.view.balance.blinked;
        // Held still while the bare face is looked at.
        if !studio.view.peek.get_untracked() {
            blinked.set(!blinked.get_untracked());
        }
        go_on(studio, here, turn, mine);
    });
}

/// A photo dropped here is the second one, where there is none.
fn drop_here(studio: Studio) {
    let busy = create_signal(false);
    page::listen::<DragEvent>("dragover", |e| e.prevent_default());
    page::listen::<DragEvent>("drop", move |e| {
        e.prevent_default();
        let files = e.data_transfer().and_then(|d| d.files());
        let Some(file) = files.and_then(|f| f.get(0)) else {
            return;
        };
        let has_second = studio
            .settled()
            .is_some_and(|r| photo_in(&r, PhotoState::EyesOpen).is_some());
        let shows = if has_second {
            Shows::Unknown
        } else {
            Shows::State(PhotoState::EyesOpen)
        };
        bring::take(studio, busy, file, shows);
    });
}

/// Fingers, mouse and wheel move both photos.
#[derive(Clone, Copy)]
struct Hands {
    studio: Studio,
    ground: Signal<Option<web_sys::Element>>,
    gesture: Signal<Gesture>,
}

impl Hands {
    fn spot(self, x: i32, y: i32) -> Spot {
        let ground = self.ground.get_clone_untracked();
        let rect = ground.map(|e| e.get_bounding_client_rect());
        rect.map_or(Spot::default(), |r| {
            Spot::new(f64::from(x) - r.left(), f64::from(y) - r.top())
        })
    }

    fn down(self, event: &PointerEvent) {
        if let Some(ground) = self.ground.get_clone_untracked() {
            // Without capture a drag still works, only not beyond the pane.
            let _ = ground.set_pointer_capture(event.pointer_id());
        }
        let at = self.spot(event.client_x(), event.client_y());
        let acts = self
            .gesture
            .update_silent(|g| g.down(event.pointer_id(), at, Under::Ground));
        self.act_all(acts);
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
    }

    fn lost(self, event: &PointerEvent) {
        let acts = self.gesture.update_silent(|g| g.lost(event.pointer_id()));
        self.act_all(acts);
    }

    fn act_all(self, acts: Vec<Act>) {
        let (view, balance) = (self.studio.view, self.studio.view.balance);
        let (photo, stage) = (self.studio.photo_size_now(), view.stage.get_untracked());
        for act in acts {
            let sight = view.sight.get_untracked();
            match act {
                Act::Pan(x, y) => view.look(sight.panned(x, y, photo, stage)),
                Act::Pinch(from, to) => view.look(sight.pinched(from, to, photo, stage)),
                Act::TapGround => match balance.how.get_untracked() {
                    Compare::AtRest => balance.how.set(Compare::InUse),
                    Compare::InUse => balance.how.set(Compare::AtRest),
                    Compare::Blink => balance.blinked.set(!balance.blinked.get_untracked()),
                    Compare::Both => {}
                },
                _ => {}
            }
        }
    }

    fn wheel(self, event: &WheelEvent) {
        event.prevent_default();
        let view = self.studio.view;
        let about = self.spot(event.client_x(), event.client_y());
        let (photo, stage) = (self.studio.photo_size_now(), view.stage.get_untracked());
        let factor = crate::stage::wheel_factor(event);
        let sight = view.sight.get_untracked();
        view.look(sight.zoomed(factor, about, photo, stage));
    }
}
