//! Points to take hold of: seen small, touched large, reached by the keyboard.

use sycamore::web::View;
use web_sys::{Event, KeyboardEvent};

use super::scene::Grip;
use crate::markup::{El, selector, svg};
use crate::parts::nudge;
use crate::studio::Studio;

/// Half of 44 px.
const REACH: &str = "22";

/// All points.
pub fn points(studio: Studio) -> View {
    let grips = move || {
        let scene = studio.scene.get_clone();
        scene
            .marks
            .iter()
            .map(|m| (m.grip, m.ring))
            .collect::<Vec<_>>()
    };
    svg("svg")
        .at("class", "drawing points")
        .at("role", "group")
        .label("Points. Arrow keys move the one that has the focus by 0.1 mm, with Shift by 1 mm, with Ctrl by 10 mm.")
        .flag("hidden", move || studio.view.peek.get())
        // Put up anew only when a point comes or goes, so that the focus stays.
        .shows(grips, move |grips| {
            let points = grips.into_iter();
            let points = points.map(|(grip, ring)| point(studio, grip, ring).into());
            View::from(points.collect::<Vec<_>>())
        })
        .into()
}

fn point(studio: Studio, grip: Grip, ring: bool) -> El {
    let mark = selector(Box::new(move || {
        let scene = studio.scene.get_clone();
        scene.marks.iter().find(|m| m.grip == grip).cloned()
    }));
    let circle = |class: &'static str, r: &'static str| svg("circle").at("class", class).at("r", r);
    let point = svg("g")
        .at("class", move || {
            if mark.with(|m| m.as_ref().is_some_and(|m| m.chosen)) {
                "point chosen"
            } else {
                "point"
            }
        })
        .at("transform", move || {
            let at = mark.with(|m| m.as_ref().map(|m| m.at));
            let spot = at.map(|at| studio.view.sight.get().to_stage(at));
            spot.map(|s| format!("translate({:.2} {:.2})", s.x, s.y))
        })
        .at("role", "button")
        .at("tabindex", "0")
        .id(grip.id())
        .label(move || mark.with(|m| m.as_ref().map(|m| m.name.clone())))
        .on::<Event>("focus", move |_| {
            if studio.view.chosen.get_untracked() != Some(grip) {
                studio.view.chosen.set(Some(grip));
            }
        })
        .on::<KeyboardEvent>("keydown", move |e| nudge::pressed(studio, grip, e))
        .on::<KeyboardEvent>("keyup", move |e| nudge::lifted(studio, e))
        .on::<Event>("blur", move |_| studio.finish())
        .put(circle("reach", REACH));
    if ring {
        point.put(circle("edge", "7.5")).put(circle("ring", "7.5"))
    } else {
        point.put(circle("dot", "4"))
    }
}
