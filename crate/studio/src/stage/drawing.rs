//! Lines and words over the photo. Every line is drawn twice, dark under
//! light, so that it shows on any skin.

use sycamore::web::View;

use super::scene::{Label, Line};
use super::sight::{Size, Spot};
use crate::markup::{El, shows, svg};
use crate::studio::Studio;

/// Lines and words.
pub fn drawing(studio: Studio) -> View {
    let view = studio.view;
    svg("svg")
        .at("class", "drawing")
        .decoration()
        .flag("hidden", move || view.peek.get())
        .id("drawing")
        .put(
            svg("g")
                .at("transform", move || {
                    let s = view.sight.get();
                    matrix(s.scale, s.left, s.top)
                })
                .put(lines(studio)),
        )
        .put(labels(studio))
        .into()
}

/// An SVG transform that scales, then moves.
pub fn matrix(scale: f64, left: f64, top: f64) -> String {
    format!("matrix({scale:.6} 0 0 {scale:.6} {left:.2} {top:.2})")
}

/// The scene's lines, in px of the photo.
pub fn lines(studio: Studio) -> View {
    shows(
        move || studio.scene.get_clone().lines.clone(),
        |lines| {
            View::from(
                lines
                    .into_iter()
                    .map(|l| twice(l).into())
                    .collect::<Vec<_>>(),
            )
        },
    )
}

fn labels(studio: Studio) -> View {
    shows(
        move || studio.scene.get_clone().labels.clone(),
        move |labels| {
            let words = labels.into_iter().map(|l| words(studio, l).into());
            View::from(words.collect::<Vec<_>>())
        },
    )
}

/// A line, dark under light, of the same width at every zoom.
pub fn twice(line: Line) -> El {
    let path = |class: &'static str| {
        svg("path")
            .at("class", class)
            .at("d", line.path.clone())
            .at("vector-effect", "non-scaling-stroke")
    };
    let group = svg("g").at("class", line.class);
    let group = if line.filled {
        group.put(path("wash"))
    } else {
        group
    };
    group.put(path("halo")).put(path("core"))
}

/// Width of a letter as a share of its height; cautious, because a font of
/// the system's is used.
const LETTER: f64 = 0.64;
/// Height of the letters, CSS px.
const LETTERS: f64 = 16.0;
/// Words keep this far from the stage's edge, CSS px.
const MARGIN: f64 = 8.0;

/// Where words stand so that they stay on the stage.
fn kept(spot: Spot, anchor: &str, letters: usize, stage: Size) -> Spot {
    let width = LETTER * LETTERS * letters as f64;
    let (before, after) = match anchor {
        "start" => (0.0, width),
        "end" => (width, 0.0),
        _ => (0.5 * width, 0.5 * width),
    };
    let within = |v: f64, before: f64, after: f64, room: f64| {
        let (least, most) = (MARGIN + before, room - MARGIN - after);
        if least <= most {
            v.clamp(least, most)
        } else {
            v
        }
    };
    Spot::new(
        within(spot.x, before, after, stage.width),
        within(spot.y, LETTERS, 0.0, stage.height),
    )
}

/// Words beside a place, kept on the stage.
pub fn words(studio: Studio, label: Label) -> El {
    let (at, of, dx, dy, anchor) = (label.at, label.of, label.dx, label.dy, label.anchor);
    let letters = label.text.chars().count();
    let view = studio.view;
    let spot = move || {
        let spot = view.sight.get().to_stage(at);
        let spot = Spot::new(spot.x + dx, spot.y + dy);
        kept(spot, anchor, letters, view.stage.get())
    };
    let is_outside = move || !view.stage.get().holds(view.sight.get().to_stage(of));
    svg("text")
        .at("class", label.class)
        .flag("hidden", is_outside)
        .at("text-anchor", anchor)
        .at("x", move || format!("{:.1}", spot().x))
        .at("y", move || format!("{:.1}", spot().y))
        .words(label.text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_on_the_stage() {
        let stage = Size::new(800.0, 600.0);
        let width = LETTER * LETTERS * 13.0;
        let left = kept(Spot::new(10.0, 300.0), "end", 13, stage);
        assert!(left.x >= width && left.y == 300.0);
        let right = kept(Spot::new(790.0, -20.0), "start", 13, stage);
        assert!(right.x + width <= 800.0 && right.y > 0.0);
        let middle = Spot::new(400.0, 300.0);
        assert_eq!(kept(middle, "middle", 13, stage), middle);
        // Longer than the stage is wide: left where it is.
        assert_eq!(kept(middle, "middle", 500, stage).x, 400.0);
    }
}
