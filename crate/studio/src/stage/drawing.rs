//! Lines and words over the photo. Every line is drawn twice, dark under
//! light, so that it shows on any skin.

use sycamore::web::View;

use super::scene::{Label, Line};
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
fn twice(line: Line) -> El {
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

fn words(studio: Studio, label: Label) -> El {
    let at = label.at;
    let (dx, dy) = (label.dx, label.dy);
    let sight = studio.view.sight;
    svg("text")
        .at("class", label.class)
        .at("text-anchor", label.anchor)
        .at("x", move || {
            format!("{:.1}", sight.get().to_stage(at).x + dx)
        })
        .at("y", move || {
            format!("{:.1}", sight.get().to_stage(at).y + dy)
        })
        .words(label.text)
}
