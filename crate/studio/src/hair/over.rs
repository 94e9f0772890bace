//! The hair on the face, and the brush that corrects it.

use ophryon_brow::Handle;
use ophryon_frames::{Photo as Px, Point, Side};
use sycamore::reactive::{create_effect, on_cleanup};
use sycamore::web::View;
use web_sys::KeyboardEvent;

use super::layers::layers;
use super::{Adds, end_stroke, is_there, kept, px_per_mm};
use crate::markup::{El, glance, shows, svg};
use crate::number::tenths;
use crate::parts::nudge;
use crate::stage::drawing::{matrix, twice, words};
use crate::stage::hand::{Told, layer};
use crate::stage::scene::{Label, Line};
use crate::studio::Studio;

/// Everything on the face while the hair is looked at.
pub fn over(studio: Studio) -> View {
    let hairing = studio.view.hairing;
    follow(studio);
    layer(studio, hairing.fingers, move |told| match told {
        Told::Begin(at) => {
            hairing.at.set(Some(at));
            hairing.stroke.set(vec![at]);
        }
        Told::On(places) => {
            hairing.at.set(places.last().copied());
            hairing.stroke.update(|s| s.extend(places));
        }
        Told::End => end_stroke(studio),
        Told::CallOff => hairing.stroke.set(Vec::new()),
        Told::Over(Some(spot)) => {
            let at = studio.view.sight.get_untracked().to_photo(spot);
            hairing.at.set(Some(at));
        }
        Told::Over(None) => {}
    })
    .id("hair-ground")
    .at("tabindex", "0")
    .at("role", "application")
    .label("The hair. Arrow keys move the brush by 0.1 mm, with Shift by 1 mm, with Ctrl by 10 mm; Enter brushes there.")
    .on::<KeyboardEvent>("keydown", move |e| key(studio, e))
    .put(picture(studio))
    .into()
}

/// What is proposed belongs to one shape and to this hand.
fn follow(studio: Studio) {
    let hairing = studio.view.hairing;
    let before = std::cell::Cell::new(false);
    let forget = move || {
        if hairing.brought.with_untracked(Option::is_some) {
            hairing.brought.set(None);
            studio.view.ghost.set(None);
        }
    };
    create_effect(move || {
        drop(studio.record());
        if before.replace(true) {
            forget();
        }
    });
    on_cleanup(move || {
        if hairing.brought.is_alive() {
            forget();
        }
    });
}

/// Where the brush is; at first on the start of the client's right brow.
fn place(studio: Studio) -> Option<Point<Px>> {
    let start = || studio.of_shape(|d| d.handle(Side::Right, Handle::Start).map(|h| h.photo));
    studio.view.hairing.at.get().or_else(|| start().flatten())
}

fn key(studio: Studio, event: &KeyboardEvent) {
    let hairing = studio.view.hairing;
    let Some(at) = glance(|| place(studio)) else {
        return;
    };
    if let Some((right, up)) = nudge::step(event) {
        event.prevent_default();
        event.stop_propagation();
        hairing.at.set(Some(studio.beside(at, right, up)));
    } else if matches!(event.key().as_str(), "Enter" | " ") {
        event.prevent_default();
        hairing.stroke.set(vec![at]);
        end_stroke(studio);
    }
}

fn picture(studio: Studio) -> El {
    let view = studio.view;
    svg("svg")
        .at("class", "drawing")
        .decoration()
        .flag("hidden", move || view.peek.get())
        .id("hair-drawing")
        .put(
            svg("g")
                .at("transform", move || {
                    let s = view.sight.get();
                    matrix(s.scale, s.left, s.top)
                })
                .put(layers(studio))
                .put(steps(studio))
                .put(swept(studio)),
        )
        .put(step_labels(studio))
        .put(ring(studio))
}

/// Steps beyond the hair of so many mm are shown on the face: what a liner
/// alone makes is none.
const SHOWN_MM: f64 = 0.5;

/// Where each side steps farthest beyond its hair.
fn largest_steps(studio: Studio) -> Vec<([Point<Px>; 2], f64)> {
    if studio.view.hairing.brought.with(Option::is_some) {
        return Vec::new();
    }
    let sides = Side::BOTH.into_iter();
    let found = sides.filter(|side| !kept(studio, *side).is_empty());
    found
        .filter_map(|side| studio.of_shape(|d| d.hair_step(side)).flatten())
        .filter(|(_, mm)| *mm >= SHOWN_MM)
        .collect()
}

fn steps(studio: Studio) -> View {
    shows(
        move || largest_steps(studio),
        |all| {
            let lines = all.into_iter().map(|([a, b], _)| {
                twice(Line {
                    class: "dimension off",
                    path: format!("M{:.2} {:.2}L{:.2} {:.2}", a.x, a.y, b.x, b.y),
                    filled: false,
                })
                .into()
            });
            View::from(lines.collect::<Vec<_>>())
        },
    )
}

fn step_labels(studio: Studio) -> View {
    shows(
        move || largest_steps(studio),
        move |all| {
            let labels = all.into_iter().map(|([at, hair], mm)| {
                let label = Label {
                    at,
                    of: at,
                    dx: 0.0,
                    dy: if at.y > hair.y { 24.0 } else { -12.0 },
                    anchor: "middle",
                    class: "label",
                    text: format!("{} mm", tenths(mm)),
                };
                words(studio, label).into()
            });
            View::from(labels.collect::<Vec<_>>())
        },
    )
}

/// What the brush has gone over since it came down.
fn swept(studio: Studio) -> El {
    let hairing = studio.view.hairing;
    svg("path")
        .at("class", move || match hairing.brush.get() {
            Adds::Hair => "swept",
            Adds::Skin => "swept off",
        })
        .at("stroke-width", move || {
            let k = px_per_mm(studio).unwrap_or_default();
            format!("{:.1}", k * hairing.size_mm.get())
        })
        .at("d", move || {
            hairing.stroke.with(|stroke| {
                let mut d = String::new();
                for (i, p) in stroke.iter().enumerate() {
                    let step = if i == 0 { 'M' } else { 'L' };
                    d.push_str(&format!("{step}{:.1} {:.1}", p.x, p.y));
                }
                if stroke.len() == 1 {
                    d.push_str("h0");
                }
                d
            })
        })
}

/// The brush in its true size.
fn ring(studio: Studio) -> El {
    let view = studio.view;
    let hairing = view.hairing;
    let circle = |class: &'static str| {
        svg("circle").at("class", class).at("r", move || {
            let k = px_per_mm(studio).unwrap_or_default();
            let radius = 0.5 * hairing.size_mm.get() * k * view.sight.get().scale;
            format!("{:.1}", radius.max(1.0))
        })
    };
    svg("g")
        .at("class", move || match hairing.brush.get() {
            Adds::Hair => "brush",
            Adds::Skin => "brush off",
        })
        .flag("hidden", move || {
            !is_there(studio) && hairing.at.with(Option::is_none)
        })
        .at("transform", move || {
            let spot = place(studio).map(|at| view.sight.get().to_stage(at));
            spot.map(|s| format!("translate({:.1} {:.1})", s.x, s.y))
        })
        .put(circle("halo"))
        .put(circle("core"))
}
