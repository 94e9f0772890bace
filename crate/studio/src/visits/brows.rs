//! Her own brows from the front. A tap on a zone counts a pass over it.

use ophryon_frames::Side;
use ophryon_record::{BrowZones, Zone, ZonesDrawn};
use sycamore::web::View;

use super::bench::Bench;
use crate::markup::{El, shows, svg};
use crate::studio::Studio;

/// How far outside its line a tap still means the outline, mm: half of it lies
/// under the other zones.
const REACH_MM: f64 = 8.0;

/// Nothing while there is no shape.
pub fn brows(studio: Studio, bench: Bench) -> View {
    shows(
        move || studio.of_shape(|drawn| drawn.zones_drawn()).flatten(),
        move |drawn| drawn.map_or_else(View::new, |drawn| picture(studio, bench, &drawn).into()),
    )
}

/// The tiles say all of it to those who don't see it.
fn picture(studio: Studio, bench: Bench, drawn: &ZonesDrawn) -> El {
    let [left, top, width, height] = drawn.view_box;
    svg("svg")
        .at("class", "zones")
        .at(
            "viewBox",
            format!("{left:.2} {top:.2} {width:.2} {height:.2}"),
        )
        .decoration()
        .id("zones")
        .all(Side::BOTH.map(|side| brow(studio, bench, drawn, side)))
}

fn brow(studio: Studio, bench: Bench, drawn: &ZonesDrawn, side: Side) -> El {
    let BrowZones { path, .. } = drawn.brows.get(side).clone();
    let clip = format!("zones-{}", side.name());
    let [_, top, _, height] = drawn.view_box;
    let area = |zone: Zone| {
        let [from, to] = drawn.reach(side, zone);
        zone_of(svg("rect"), studio, bench, side, zone)
            .at("x", format!("{from:.2}"))
            .at("y", format!("{top:.2}"))
            .at("width", format!("{:.2}", to - from))
            .at("height", format!("{height:.2}"))
    };
    let is_worked = move || bench.side.get() == side;
    svg("g")
        .at(
            "class",
            move || {
                if is_worked() { "zoned worked" } else { "zoned" }
            },
        )
        .put(
            svg("clipPath")
                .at("id", clip.clone())
                .put(svg("path").at("d", path.clone())),
        )
        .put(
            zone_of(svg("path"), studio, bench, side, Zone::Outline)
                .at("d", path.clone())
                .at("stroke-width", format!("{REACH_MM}")),
        )
        .put(
            svg("g")
                .at("clip-path", format!("url(#{clip})"))
                .all([Zone::Front, Zone::Body, Zone::Tail].map(area)),
        )
        .put(
            svg("path")
                .at("class", move || {
                    if is_worked() && bench.zone() == Zone::Outline {
                        "line at-hand"
                    } else {
                        "line"
                    }
                })
                .at("d", path),
        )
}

/// What is tapped for a zone.
fn zone_of(shape: El, studio: Studio, bench: Bench, side: Side, zone: Zone) -> El {
    let is_at_hand = move || bench.side.get() == side && bench.zone() == zone;
    let is_stopped = move || !bench.work(studio, side, zone).skin.is_empty();
    let is_outline = zone == Zone::Outline;
    shape
        .at("class", move || {
            match (is_outline, is_at_hand(), is_stopped()) {
                (true, ..) => "round",
                (_, false, false) => "zone",
                (_, true, false) => "zone at-hand",
                (_, false, true) => "zone stopped",
                (_, true, true) => "zone at-hand stopped",
            }
        })
        .id(format!("zone-{}-{}", side.name(), zone.name()))
        .click(move || bench.count(studio, side, zone))
}
