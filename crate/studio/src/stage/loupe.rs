//! The magnifier: what is under the crosshair, larger and away from the
//! finger that hides it.

use sycamore::reactive::ReadSignal;
use sycamore::web::View;

use super::drawing::{lines, matrix};
use super::sight::{Sight, Size, Spot};
use crate::markup::{El, div, el, svg};
use crate::studio::Studio;
use crate::view::Aim;

/// Diameter, CSS px.
const ACROSS: f64 = 168.0;

/// Its middle stands this far from the finger.
const AWAY: f64 = 132.0;

/// So much larger than the stage, within bounds that keep it useful.
fn magnified(stage_scale: f64) -> f64 {
    (2.2 * stage_scale).clamp(1.2, 9.0).max(stage_scale)
}

/// Where the middle of the magnifier stands: above the finger; beside it
/// where there is no room above.
fn middle(aim: Spot, stage: Size) -> Spot {
    let half = 0.5 * ACROSS + 6.0;
    let above = aim.y - AWAY;
    let spot = if above >= half {
        Spot::new(aim.x, above)
    } else if aim.x > 0.5 * stage.width {
        Spot::new(aim.x - AWAY, aim.y)
    } else {
        Spot::new(aim.x + AWAY, aim.y)
    };
    let within = |v: f64, room: f64| v.clamp(half.min(room - half), (room - half).max(half));
    Spot::new(within(spot.x, stage.width), within(spot.y, stage.height))
}

/// The magnifier and the crosshair, hidden while nothing is aimed at.
pub fn loupe(studio: Studio, url: ReadSignal<Option<String>>) -> View {
    let view = studio.view;
    let is_off = move || view.aim.get().is_none() || url.with(Option::is_none);
    // Where the crosshair is, and the sight of the glass.
    let aimed = move || -> (Aim, Sight) {
        let aim = view.aim.get().unwrap_or_default();
        (aim, view.sight.get())
    };
    let glass = move || -> (f64, f64, f64) {
        let (aim, sight) = aimed();
        let scale = magnified(sight.scale);
        let half = 0.5 * ACROSS - 2.0;
        (scale, half - scale * aim.at.x, half - scale * aim.at.y)
    };
    let place = move || {
        let (aim, sight) = aimed();
        let finger = aim.finger.unwrap_or_else(|| sight.to_stage(aim.at));
        let spot = middle(finger, view.stage.get());
        format!(
            "transform: translate({:.1}px, {:.1}px)",
            spot.x - 0.5 * ACROSS,
            spot.y - 0.5 * ACROSS,
        )
    };
    let cross = svg("svg")
        .at("class", "drawing")
        .decoration()
        .flag("hidden", is_off)
        .put(twice("aim", move || {
            let (aim, sight) = aimed();
            crosshair(sight.to_stage(aim.at))
        }));
    let picture = el("img")
        .at("src", move || url.get_clone())
        .at("alt", "")
        .at("width", move || format!("{:.0}", studio.photo_size().width))
        .at("height", move || {
            format!("{:.0}", studio.photo_size().height)
        })
        .at("style", move || {
            let (scale, left, top) = glass();
            format!("transform: translate({left:.2}px, {top:.2}px) scale({scale:.6})")
        });
    let drawn = svg("svg")
        .at("class", "drawing")
        .put(
            svg("g")
                .at("transform", move || {
                    let (scale, left, top) = glass();
                    matrix(scale, left, top)
                })
                .put(lines(studio)),
        )
        .put(twice("cross", || {
            "M82 8V70M82 94V156M8 82H70M94 82H156".to_owned()
        }));
    let glass = div("loupe")
        .id("loupe")
        .decoration()
        .flag("hidden", is_off)
        .at("style", place)
        .put(picture)
        .put(drawn);
    View::from(vec![cross.into(), glass.into()])
}

fn twice(class: &'static str, path: impl Fn() -> String + Clone + 'static) -> El {
    svg("g")
        .at("class", class)
        .put(svg("path").at("class", "halo").at("d", path.clone()))
        .put(svg("path").at("class", "core").at("d", path))
}

/// Four strokes around a place that leave it free.
fn crosshair(at: Spot) -> String {
    format!(
        "M{x:.1} {a:.1}V{b:.1}M{x:.1} {c:.1}V{d:.1}M{e:.1} {y:.1}H{f:.1}M{g:.1} {y:.1}H{h:.1}",
        x = at.x,
        y = at.y,
        a = at.y - 16.0,
        b = at.y - 5.0,
        c = at.y + 5.0,
        d = at.y + 16.0,
        e = at.x - 16.0,
        f = at.x - 5.0,
        g = at.x + 5.0,
        h = at.x + 16.0,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const STAGE: Size = Size::new(800.0, 700.0);

    #[test]
    fn the_magnifier_never_lies_under_the_finger_nor_off_the_stage() {
        for x in 0..=16 {
            for y in 0..=14 {
                let finger = Spot::new(f64::from(x) * 50.0, f64::from(y) * 50.0);
                let at = middle(finger, STAGE);
                assert!(
                    at.distance(finger) > 0.5 * ACROSS + 20.0,
                    "{finger:?} {at:?}"
                );
                let half = 0.5 * ACROSS;
                assert!((half..=STAGE.width - half).contains(&at.x), "{at:?}");
                assert!((half..=STAGE.height - half).contains(&at.y), "{at:?}");
            }
        }
    }

    #[test]
    fn it_always_magnifies() {
        for scale in [0.1, 0.5, 1.0, 3.0, 8.0, 12.0] {
            assert!(magnified(scale) >= scale);
        }
    }
}
