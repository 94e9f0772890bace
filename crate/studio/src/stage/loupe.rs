//! The magnifier: what is under the crosshair, larger and away from the
//! finger that hides it.

use leptos::prelude::*;

use super::drawing::twice;
use super::sight::{Sight, Size, Spot};
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

/// The magnifier, while something is aimed at.
#[component]
pub fn Loupe(
    /// The app.
    studio: Studio,
    /// Address of the photo.
    url: Memo<Option<String>>,
) -> impl IntoView {
    let view = studio.view;
    let shown = move || view.aim.get().zip(url.get());
    move || {
        shown().map(|(aim, url)| {
            let stage = view.stage.get_untracked();
            let sight = view.sight.get_untracked();
            glass(studio, aim, url, stage, sight)
        })
    }
}

fn glass(studio: Studio, aim: Aim, url: String, stage: Size, sight: Sight) -> impl IntoView {
    let at = aim.finger.unwrap_or_else(|| sight.to_stage(aim.at));
    let spot = middle(at, stage);
    let scale = magnified(sight.scale);
    let half = 0.5 * ACROSS - 2.0;
    let (left, top) = (half - scale * aim.at.x, half - scale * aim.at.y);
    let size = untrack(|| studio.photo_size());
    let lines = studio.scene.with_untracked(|s| s.lines.clone());
    let cross = |d: &'static str| {
        view! {
            <path class="halo" d=d />
            <path class="core" d=d />
        }
    };
    view! {
        <Crosshair at=sight.to_stage(aim.at) />
        <div
            class="loupe"
            data-testid="loupe"
            aria-hidden="true"
            style:transform=format!(
                "translate({:.1}px, {:.1}px)",
                spot.x - 0.5 * ACROSS,
                spot.y - 0.5 * ACROSS,
            )
        >
            <img
                src=url
                alt=""
                width=size.width
                height=size.height
                style:transform=format!("translate({left:.2}px, {top:.2}px) scale({scale:.6})")
            />
            <svg class="drawing">
                <g transform=format!(
                    "matrix({scale:.6} 0 0 {scale:.6} {left:.2} {top:.2})",
                )>{lines.into_iter().map(twice).collect_view()}</g>
                <g class="cross">{cross("M82 8V70M82 94V156M8 82H70M94 82H156")}</g>
            </svg>
        </div>
    }
}

#[component]
fn Crosshair(at: Spot) -> impl IntoView {
    let path = format!(
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
    );
    view! {
        <svg class="drawing" aria-hidden="true">
            <g class="aim">
                <path class="halo" d=path.clone() />
                <path class="core" d=path />
            </g>
        </svg>
    }
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
                assert!(at.distance(finger) > 0.5 * ACROSS + 20.0, "{finger:?} {at:?}");
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
